"""Flow valves and check valves: what oil passes on its way."""

from __future__ import annotations

import math
from collections.abc import Iterator

from trainer.formula import Working
from trainer.language import mark, tr
from trainer.parts.laws import check, clip, edge_laminar, edge_rate, sqrt_flow
from trainer.parts.part import At, Control, Kind, Law, Loss, Parameter, Part, Stream, Wear
from trainer.parts.plain import Plain
from trainer.parts.roles import Check, Restrictor
from trainer.parts.sheet import EDGE, PERCENT, Sheet
from trainer.parts.workings import edge
from trainer.units import pair

__all__ = ["CheckValve", "Orifice", "Throttle"]

OIL = Kind.OIL
_SCREW = 100.0  # laminar number of a throttle's long notch


class CheckValve(Part):
    """Oil passes from 1 to 2 above the cracking pressure and hardly at all the other way."""

    ports = {"1": OIL, "2": OIL}
    symbol = "check"
    plate = ("{cracking}",)
    letter = "V"
    plain = Plain(
        mark("Check valve"),
        does=mark("It lets oil pass one way and shuts the other."),
        works=mark(
            "Oil pushes a ball off its seat against a light spring. From the other side the pressure itself "
            "presses the ball home; what stands behind it stays, save for a small leak."
        ),
        set=mark(
            "The spring is chosen for what it has to hold back: a light one costs little, a stiff one keeps a"
            " pressure before it. A check that drips lets a load sink."
        ),
        law=mark(
            "None below the cracking pressure; open it passes q = Cd · A · √( 2 Δp / ρ ), after Torricelli, as "
            "every textbook has it."
        ),
    )
    role = Check()
    words = {"through": "through"}
    area = Parameter("40 mm2", low="0.5 mm2", high="1000 mm2", meaning="area when fully open")
    cracking = Parameter("0.5 bar", low="0.05 bar", high="10 bar", meaning="pressure at which it begins to open")
    full = Parameter("1 bar", low="0.1 bar", high="10 bar", meaning="further rise until it is fully open")
    discharge = Parameter("0.7", low="0.5", high="1", meaning="discharge coefficient")
    leakage = Wear(
        "1e-14 m3/s/Pa",
        mild=30,
        marginal=300,
        failed=5000,
        notice="what it should hold comes back, or sinks, with everything at rest",
        meaning="leak either way",
    )
    gallery = Parameter("5 cm3", low="1 cm3", high="1 L", meaning="oil on each side", at_rest=True)

    def equations(self, at: At) -> Law:
        """Return the check's law: sqrt-flow one way, a leak the other."""
        drop = at.p["1"] - at.p["2"]
        flow = edge_rate(at.area, at.discharge, at.oil) * check(drop, at.cracking, at.full) + at.leakage * drop
        return Law(
            streams={"through": Stream("1", "2", flow, Loss.LINES)},
            volume={"1": at.gallery, "2": at.gallery},
            readings={"flow": (flow, "flow")},
        )

    @classmethod
    def workings(cls, at: Sheet) -> Iterator[Working]:
        """Yield flow, drop and heat of a check valve, or what holds it shut."""
        cracking = at.parameter("cracking")
        area = at.number("A", "area", tr("fully open"), EDGE)
        drop = at.drop("1", "2")
        if drop.value > cracking:
            yield from edge(
                at, "through", area, at.parameter("discharge"),
                cracking=cracking, full=at.parameter("full"), leak=at.parameter("leakage"),
            )  # fmt: skip
            return
        cracks = at.term("pc", cracking, "drop", tr("opens"))
        left = at.term("pl", cracking - drop.value, "drop", tr("holds it shut"), drop.refers_to)
        one, other = at.at_port("1", "p1"), at.at_port("2", "p2")
        yield Working(at.part, tr("What holds it shut"), left, (cracks, one, other), ("pl = pc − p1 + p2",) * 2)


class Orifice(Part):
    """A sharp-edged hole: flow goes with the root of the drop; viscosity hardly matters."""

    ports = {"1": OIL, "2": OIL}
    symbol = "orifice"
    plate = ("Ø{diameter}",)
    letter = "V"
    plain = Plain(
        mark("Fixed orifice"),
        does=mark("It slows oil down at one place, by a hole that is always the same."),
        works=mark(
            "All oil has to go through a sharp edge: for twice the flow it takes four times the drop. Thick "
            "or thin oil hardly matters. The drop times the flow becomes heat."
        ),
        set=mark(
            "The diameter is chosen for one flow at one drop. With no flow there is no drop: it holds nothing"
            " back that stands."
        ),
        law=mark(
            "q = Cd · A · √( 2 Δp / ρ ), after Torricelli; laminar at small drops as Borutzky, Barnard and "
            "Thoma (2002) have it (from memory)."
        ),
    )
    role = Restrictor()
    words = {"through": "through"}
    diameter = Parameter("2 mm", low="0.1 mm", high="60 mm", meaning="diameter of the hole")
    discharge = Parameter("0.65", low="0.5", high="1", meaning="discharge coefficient")
    clogging = Wear(
        "0 %",
        mild="25 %",
        marginal="55 %",
        failed="95 %",
        notice="one movement has become slow, the others go as ever",
        meaning="share of the hole that dirt fills",
    )
    transition = Parameter("0.05 bar", low="1e-4 bar", high="1 bar", meaning="drop below which it is laminar")
    gallery = Parameter("2 cm3", low="0.1 cm3", high="1 L", meaning="oil on each side", at_rest=True)

    def equations(self, at: At) -> Law:
        """Return the orifice's law."""
        area = math.pi * at.diameter * at.diameter / 4 * (1 - clip(at.clogging, 0, 1))
        flow = edge_rate(area, at.discharge, at.oil) * sqrt_flow(at.p["1"] - at.p["2"], at.transition)
        return Law(
            streams={"through": Stream("1", "2", flow, Loss.METERING)},
            volume={"1": at.gallery, "2": at.gallery},
            readings={"flow": (flow, "flow"), "area": (area, "area")},
        )

    @classmethod
    def workings(cls, at: Sheet) -> Iterator[Working]:
        """Yield flow, drop, heat and area of an orifice."""
        area = at.reading("A", "area", tr("hole"), (), EDGE)
        laminar = at.parameter("transition")
        yield from edge(at, "through", area, at.parameter("discharge"), laminar=laminar)
        diameter = at.number("d", "diameter", tr("of the hole"), pair("mm", 2, "in", 4))
        if at.parameter("clogging") > 0:
            dirt = at.number("c", "clogging", tr("of it clogged"), PERCENT)
            forms = ("A = 0.7854 · d² · ( 1 − c / 100 )",) * 2
            yield Working(at.part, tr("Area of the hole"), area, (diameter, dirt), forms)
            return
        yield Working(at.part, tr("Area of the hole"), area, (diameter,), ("A = 0.7854 · d²",) * 2)


class Throttle(Part):
    """An orifice that a hand opens: flow control by a screw; the less it is open, the more it feels viscosity."""

    ports = {"1": OIL, "2": OIL}
    symbol = "throttle"
    letter = "V"
    plain = Plain(
        mark("Throttle valve"),
        does=mark("It sets a speed by hand: the less it is open, the less oil gets through."),
        works=mark(
            "It makes a drop that grows with the square of the flow and falls with the square of the opening."
            " It slows a fixed pump's oil only where there is another way for the rest: over a relief, or "
            "past it."
        ),
        set=mark(
            "It is opened until the speed is right, with the load that is meant: more load, less drop, less "
            "speed. In the line in, out, or beside: each costs something else."
        ),
        law=mark(
            "q = Cd · A · √( 2 Δp / ρ ), after Torricelli; the less it is open, the longer it is laminar, as "
            "Borutzky, Barnard and Thoma (2002) have it (from memory)."
        ),
    )
    role = Restrictor()
    words = {"through": "through"}
    opening = Control("1", low="0", high="1", meaning="how far it is opened", ends=("shut", "open"))
    area = Parameter("10 mm2", low="0.1 mm2", high="1000 mm2", meaning="area when fully open")
    clogging = Wear(
        "0 %",
        mild="25 %",
        marginal="55 %",
        failed="95 %",
        notice="the speed that it sets has become slow, and turning it helps little",
        meaning="share of its opening that dirt fills",
    )
    discharge = Parameter("0.65", low="0.5", high="1", meaning="discharge coefficient")
    leakage = Parameter("1e-14 m3/s/Pa", low="0 m3/s/Pa", high="1e-10 m3/s/Pa", meaning="leak when shut")
    gallery = Parameter("5 cm3", low="1 cm3", high="1 L", meaning="oil on each side", at_rest=True)

    def equations(self, at: At) -> Law:
        """Return the throttle's law; the opening is held in 0 … 1."""
        open_ = clip(at.opening, 0, 1) * (1 - clip(at.clogging, 0, 1))
        drop = at.p["1"] - at.p["2"]
        area = at.area * open_
        laminar = edge_laminar(area, at.oil, at.discharge, _SCREW)
        flow = edge_rate(area, at.discharge, at.oil) * sqrt_flow(drop, laminar) + at.leakage * drop
        return Law(
            streams={"through": Stream("1", "2", flow, Loss.METERING)},
            volume={"1": at.gallery, "2": at.gallery},
            readings={
                "flow": (flow, "flow"),
                "opened": (open_, "ratio"),
                "area": (area, "area"),
            },
        )

    @classmethod
    def workings(cls, at: Sheet) -> Iterator[Working]:
        """Yield flow, drop, heat and area of a throttle."""
        area = at.reading("A", "area", tr("opening"), (), EDGE)
        leak, discharge = at.parameter("leakage"), at.parameter("discharge")
        laminar = float(edge_laminar(area.value, at.oil, discharge, _SCREW))
        yield from edge(at, "through", area, discharge, laminar=laminar, leak=leak)
        share = at.reading("s", "opened", tr("opened by"), (), PERCENT)
        whole = at.number("Ao", "area", tr("fully open"), EDGE)
        yield Working(at.part, tr("Opening of the throttle"), area, (share, whole), ("A = s · Ao / 100",) * 2)
