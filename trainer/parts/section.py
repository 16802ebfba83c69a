"""The open-centre spool section of a mobile bank."""

from __future__ import annotations

from collections.abc import Callable, Iterator

import casadi as ca

from trainer.formula import Working
from trainer.language import mark, tr
from trainer.parts.laws import (
    RATED_VISCOSITY,
    clip,
    edge_flow,
    edge_laminar,
    edge_rate,
    leak_rate,
    pos,
    ramp,
    straight_ramp,
)
from trainer.parts.part import At, Choice, Control, Expr, Kind, Law, Loss, Parameter, Part, Stream, Wear
from trainer.parts.plain import Plain
from trainer.parts.roles import DirectionalValve
from trainer.parts.sheet import EDGE, Sheet
from trainer.parts.spool import (
    LAID_OUT,
    NOTCHES,
    SPOOL_WORDS,
    Levered,
    Spool,
    asked,
    land_workings,
    lands,
    load_check,
    port_valves,
    through_check,
    travel_workings,
)
from trainer.parts.workings import edge

__all__ = ["OPEN_CENTRE_WORDS", "OpenCentre", "OpenCentreSection"]

OIL = Kind.OIL
_LAND = 15.0  # laminar number of the bypass' sharp lands (Merritt 1967, a slit)

OPEN_CENTRE_WORDS = SPOOL_WORDS | {"past_spool": "past the spool"}


class OpenCentre(Spool):
    """What sections of open centre declare, whatever moves their spool: edges, port valves, leaks."""

    port_reliefs = Choice("none", "A", "B", "both", meaning="ports with a relief and an anti-cavitation check")
    notch = Parameter("2 mm", low="0.5 mm", high="5 mm", meaning="length of the metering notches")
    neutral_return = Parameter(
        "0 mm2",
        low="0 mm2",
        high="60 mm2",
        meaning="opening from A and from B to T in neutral at 40 L/min: a motor's 4 mm2, a float's 30 mm2",
    )
    neutral_area = Parameter("47 mm2", low="5 mm2", high="100 mm2", meaning="bypass area in neutral at 40 L/min")
    passages = Parameter(
        "1 bar",
        low="0 bar",
        high="10 bar",
        meaning="laminar drop of passages to and from a work port, at rated flow and 35 mPa s",
    )
    neutral_blocked = Wear(
        "0 %",
        mild="40 %",
        marginal="65 %",
        failed="90 %",
        notice="it labours and gets hot with all levers at rest",
        meaning="share of the bypass that is blocked",
    )

    @classmethod
    def screws(cls, choice: Callable[[str], str]) -> tuple[str, ...]:
        """Return what the screws of its port reliefs turn, where it has any."""
        return () if choice("port_reliefs") == "none" else ("port_setting",)

    @staticmethod
    def neutral(at: At) -> Expr:
        """Return the bypass area in neutral at 40 L/min [m2]."""
        return at.neutral_area * (1 - clip(at.neutral_blocked, 0, 1))

    @staticmethod
    def edges(at: At, free: Expr = 0.0) -> tuple[Expr, Expr, Expr, Expr, Expr]:
        """Return the areas [m2] of bypass, P-A, P-B, A-T and B-T at the present spool place, floating by ``free``."""
        size = at.rated_flow / LAID_OUT * 1e-6
        place = at.spool * at.travel * 1e3  # mm
        away = ca.sqrt(place * place + 1e-4)
        shift = at.dead_band * 1e3 - 1.2  # the edges move with the dead band
        notch = at.notch * 1e3

        def opening(travelled: Expr, begins: Expr) -> Expr:
            return 7.04 * straight_ramp((travelled - begins) / notch) ** 1.5 + 9 * pos(travelled - begins - 2.0, 0.1)

        edges = ((0, 1.8), (1.6, 3.4))  # where the coarse and the fine edge begin to shut, over what travel
        coarse, fine = (straight_ramp(1 - (away - shift - start) / length) for start, length in edges)
        bypass = OpenCentre.neutral(at) / 47e-6 * (30 * coarse + 17 * fine**1.3)
        feed_a, feed_b = opening(place, 1.2 + shift), opening(-place, 1.2 + shift)
        rest = at.neutral_return * 1e6 * ramp(1 - away / (at.dead_band * 1e3))
        back_b, back_a = (at.return_share * opening(way, 1.0 + shift) + rest for way in (place, -place))
        feed_b, back_a, back_b = feed_b * (1 - free), back_a + 30 * free, back_b + 30 * free
        return size * bypass, size * feed_a, size * feed_b, size * back_a, size * back_b

    def open_centre(self, at: At, free: Expr = 0.0) -> Law:
        """Return the law of a spool where it stands: streams through edges, leaks and optional port valves."""
        bypass, feed_a, feed_b, back_a, back_b = self.edges(at, free)
        k = edge_rate(1.0, at.discharge, at.oil)
        p, size = at.p, at.rated_flow / LAID_OUT
        leak = leak_rate(at.leakage * size, at.oil.viscosity)
        passage = at.passages / at.rated_flow * at.oil.viscosity / RATED_VISCOSITY

        def metered(area: Expr, drop: Expr) -> Expr:
            return edge_flow(drop, k * area, edge_laminar(area, at.oil, at.discharge, NOTCHES), passage)

        def fed(area: Expr, port: str) -> Expr:
            drop = p.P - p[port]
            return metered(area, drop) * through_check(at, drop)

        across = p.C - p.C1
        past = edge_flow(across, k * bypass, edge_laminar(bypass, at.oil, at.discharge, _LAND))
        streams = {
            "past_spool": Stream("C", "C1", past + leak * across, Loss.PAST),
            "P_to_A": Stream("P", "A", fed(feed_a, "A"), Loss.METERING),
            "P_to_B": Stream("P", "B", fed(feed_b, "B"), Loss.METERING),
            "A_to_T": Stream("A", "T", metered(back_a, p.A - p["T"]), Loss.METERING),
            "B_to_T": Stream("B", "T", metered(back_b, p.B - p["T"]), Loss.METERING),
            **lands(at, leak),
        }
        valves, told = port_valves(at, k, size)
        chamber = at.gallery
        return Law(
            streams=streams | valves,
            volume={"C": chamber, "C1": chamber, "P": chamber, "A": chamber, "B": chamber, "T": chamber},
            readings={
                "bypass_area": (bypass, "area"),
                "P_A_area": (feed_a, "area"),
                "P_B_area": (feed_b, "area"),
                "A_T_area": (back_a, "area"),
                "B_T_area": (back_b, "area"),
                "neutral_area": (OpenCentre.neutral(at) * size, "area"),
                **told,
                "load_check": (load_check(at), "pressure"),
                "passage": (passage, "resistance"),
                "land_leak": (leak, "leakage"),
            },
        )

    @classmethod
    def open_centre_workings(cls, at: Sheet) -> Iterator[Working]:
        """Yield the edges of a section, its leaks, its port valves, and how far its spool has gone."""
        areas = {"P_to_A": "P_A", "P_to_B": "P_B", "A_to_T": "A_T", "B_to_T": "B_T", "past_spool": "bypass"}
        discharge = at.parameter("discharge")
        passage, lands = at.value("passage"), at.value("land_leak")
        ways = sorted(areas, key=lambda way: (way == "past_spool", -abs(at.passes(way))))
        for way in ways:
            area = at.reading("A", f"{areas[way]}_area", tr("opening of the edge"), (), EDGE)
            fed = way.startswith("P")
            cracking = at.value("load_check") if fed else None
            past = way == "past_spool"
            laminar = edge_laminar(area.value, at.oil, discharge, _LAND if past else NOTCHES)
            yield from edge(
                at, way, area, discharge, cracking=cracking, held=at.parameter("check_held_open") if fed else 0.0,
                laminar=laminar, passage=0.0 if past else passage, leak=lands if past else 0.0,
            )  # fmt: skip
        yield from travel_workings(at)
        yield from land_workings(at)


class OpenCentreSection(Levered, OpenCentre, Part):
    """A six-port section: bypass C to C1 open in neutral, P through a load check to A or B, the other to T.

    Its five edges open and close with the travel of one spool: dead band, metering notches, full annulus; where they
    are small or the oil is thick they are laminar. Edge areas are our own layout for 40 L/min, scaled with the rated
    flow. How it is wired makes the bank: P tapped just ahead of C is tandem, all P together are parallel, P fed by
    the section before is series.
    """

    ports = {"C": OIL, "C1": OIL, "P": OIL, "A": OIL, "B": OIL, "T": OIL}
    symbol = "section"
    letter = "V"
    plain = Plain(
        mark("Directional control valve section, open centre"),
        does=mark(
            "It sends the oil to one side of a cylinder or motor and lets the other side home; at rest it "
            "lets the pump's oil pass by freely."
        ),
        works=mark(
            "A spool slides in a bore. At rest the way home is open and the work ports are shut. Moved, it "
            "first narrows the way home, then opens the port to the load behind a check; oil goes to the load"
            " once that pressure is reached. Between the two ends it shares the oil."
        ),
        set=mark(
            "A lever's first part does nothing you see: that is its overlap. The notches and the size of the "
            "way home say how finely it meters. Port reliefs guard one side against blows from outside, and "
            "their springs are set above the pump's."
        ),
        law=mark(
            "Five edges on one spool, each q = Cd · A · √( 2 Δp / ρ ), laminar where it is small or the oil is "
            "thick (Merritt 1967; Borutzky, Barnard and Thoma 2002, from memory). Which edge opens when is a "
            "layout of this program for 40 L/min (10.6 gpm), scaled with the rated flow."
        ),
    )
    role = DirectionalValve()
    words = OPEN_CENTRE_WORDS
    float_position = Choice("no", "yes", meaning="a fourth position that joins A and B to T")
    floating = Control("0", low="0", high="1", meaning="1 in the float detent")

    def equations(self, at: At) -> Law:
        """Return the section's law: its spool trails the lever."""
        wanted = asked(at, at.lever, at.most_A, at.most_B)
        free: Expr = 0.0
        if at.float_position == "yes":
            free = ramp(at.floating)
            wanted = wanted * (1 - free)
        law = self.open_centre(at, free)
        law.rate["spool"] = (wanted - at.spool) / at.lag
        return law

    @classmethod
    def workings(cls, at: Sheet) -> Iterator[Working]:
        """Yield the edges of a section, its leaks, its port valves, and how far its spool has gone."""
        yield from cls.open_centre_workings(at)
