"""Spool sections of four ways: of closed centre, with compensators for load sensing, and with other centres."""

from __future__ import annotations

import math
from collections.abc import Iterator

import casadi as ca

from trainer.formula import WATER, Working
from trainer.language import mark, tr
from trainer.parts.laws import (
    check,
    clip,
    edge_flow,
    edge_laminar,
    edge_rate,
    leak_rate,
    opened,
    pos,
    ramp,
    smooth_min,
    straight_ramp,
)
from trainer.parts.part import At, Choice, Expr, Kind, Law, Loss, Parameter, Part, Stream
from trainer.parts.plain import Plain
from trainer.parts.roles import DirectionalValve, Role
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
from trainer.parts.workings import edge, heat
from trainer.units import PLAIN, pair

__all__ = ["ClosedCentreSection", "FourWaySection", "LoadSensingSection"]

OIL = Kind.OIL
_DENSITY = 870.0  # kg/m3, for which edges are cut
_FULL = 0.95  # share of the travel at which an edge is whole open
_EARLY = 0.2e-3  # m by which the edge to the tank opens before the one from P
_TAP = 0.3e-3  # m over which the tap of the load opens, ahead of the edge from P
_HANDOVER, _GIVE, _LEAST = 0.5e5, 2e5, 1e4  # Pa: a compensator's rounding, its load check, its least drop


class _ClosedCentre(Levered, Spool):
    """What both sections declare: a spool with its edges, stroke limiters, port valves and leaks."""

    role: Role = DirectionalValve(gallery=("", ""), neutral="rated_area")
    port_reliefs = Choice("none", "both", meaning="ports with a relief and an anti-cavitation check")
    rated_flow = Parameter("40 L/min", low="0.5 L/min", high="400 L/min", meaning="flow at full travel", at_rest=True)
    edge_drop = Parameter(
        "7 bar", low="2 bar", high="35 bar", meaning="drop over the edge from P at which it passes that flow"
    )
    dead_band = Parameter("1.2 mm", low="0.5 mm", high="2.5 mm", meaning="travel before a work port opens")
    port_setting = Parameter("230 bar", low="10 bar", high="450 bar", meaning="setting of the port reliefs")


def _edges(at: At) -> dict[str, Expr]:
    """Return the areas [m2] P-A, P-B, A-T, B-T, and the whole area, at the present spool place.

    An edge grows with the power 1.5 of what is travelled beyond its dead band: fine at first. Its whole area passes
    the rated flow at the stated drop.
    """
    whole = at.rated_flow / (at.discharge * ca.sqrt(2 * at.edge_drop / _DENSITY))
    place = at.spool * at.travel

    def opening(travelled: Expr, begins: Expr) -> Expr:
        return whole * straight_ramp((travelled - begins) / (_FULL * at.travel - at.dead_band)) ** 1.5

    feed_a, feed_b = (opening(way, at.dead_band) for way in (place, -place))
    back_b, back_a = (at.return_share * opening(way, at.dead_band - _EARLY) for way in (place, -place))
    rest = at.neutral_return * ramp(1 - ca.sqrt(place * place + 1e-10) / at.dead_band)
    return {"P_A": feed_a, "P_B": feed_b, "A_T": back_a + rest, "B_T": back_b + rest, "rated": whole}


def _law(at: At, areas: dict[str, Expr], fed: dict[str, Expr]) -> Law:
    """Return the law of a section with what its edges from P pass, ``fed`` by port [m3/s]."""
    k = edge_rate(1.0, at.discharge, at.oil)
    p, size = at.p, at.rated_flow / LAID_OUT
    leak = leak_rate(at.leakage * size, at.oil.viscosity)
    streams = {f"P_to_{port}": Stream("P", port, fed[port], Loss.METERING) for port in ("A", "B")}
    for port in ("A", "B"):
        area = areas[f"{port}_T"]
        home = edge_flow(p[port] - p["T"], k * area, edge_laminar(area, at.oil, at.discharge, NOTCHES))
        streams[f"{port}_to_T"] = Stream(port, "T", home, Loss.METERING)
    valves, told = port_valves(at, k, size)
    return Law(
        streams=streams | lands(at, leak) | valves,
        rate={"spool": (asked(at, at.lever, at.most_A, at.most_B) - at.spool) / at.lag},
        volume=dict.fromkeys(("P", "A", "B", "T"), at.gallery),
        readings={
            **{f"{way}_area": (area, "area") for way, area in areas.items()},
            **told,
            "load_check": (load_check(at), "pressure"),
            "land_leak": (leak, "leakage"),
        },
    )


def _ways(at: Sheet) -> list[str]:
    """Return the ways through the edges, the most flow first."""
    return sorted(("P_to_A", "P_to_B", "A_to_T", "B_to_T"), key=lambda way: -abs(at.passes(way)))


def _way(at: Sheet, way: str) -> Iterator[Working]:
    """Yield the working of an edge without compensator."""
    area = at.reading("A", f"{way.replace('_to_', '_')}_area", tr("opening of the edge"), (), EDGE)
    discharge = at.parameter("discharge")
    fed = way.startswith("P")
    laminar = edge_laminar(area.value, at.oil, discharge, NOTCHES)
    yield from edge(
        at, way, area, discharge, cracking=at.value("load_check") if fed else None,
        held=at.parameter("check_held_open") if fed else 0.0, laminar=laminar,
    )  # fmt: skip


def _rest(at: Sheet) -> Iterator[Working]:
    """Yield travel, port valves and leaks."""
    yield from travel_workings(at)
    yield from land_workings(at)


def _whole(at: Sheet) -> Working:
    """Return the whole area of its edges."""
    flow = at.number("q", "rated_flow", tr("flow at full travel"))
    drop = at.number("Δp", "edge_drop", tr("at that flow"))
    number = at.term("Cd", at.parameter("discharge"), "ratio", tr("of the edge"), (), PLAIN)
    weight = at.term("ρ", _DENSITY, "density", tr("of the oil for which it is cut"))
    gravity = at.term("SG", _DENSITY / WATER, "ratio", tr("of the oil for which it is cut"), (), pair("", 3, "", 3))
    area = at.reading("A", "rated_area", tr("edge from P, whole open"), (), EDGE)
    return Working(
        at.part, tr("Whole opening of its edges"), area, (flow, drop, number, weight, gravity),
        ("A = q / ( 26.83 · Cd · √( Δp / ρ ) )", "A = q / ( 37.98 · Cd · √( Δp / SG ) )"),
    )  # fmt: skip


class ClosedCentreSection(_ClosedCentre, Part):
    """A four-way section that shuts everything in neutral: for a pump that takes its stroke back.

    P through a load check to A or B, the other to T. Areas are our own layout, cut for the rated flow. With an
    opening to T in neutral its centre is that of a motor or of a float.
    """

    ports = {"P": OIL, "A": OIL, "B": OIL, "T": OIL}
    symbol = "section_closed"
    letter = "V"
    plain = Plain(
        mark("Directional control valve section, closed centre"),
        does=mark(
            "It sends oil of a line that is always under pressure to one side or the other; at rest it shuts all."
        ),
        works=mark(
            "At rest nothing passes, and a pump that can take its stroke back gives hardly any oil. Moved, an edge "
            "opens to the load; what is between line and load drops over that edge, so a light load goes faster "
            "than a heavy one."
        ),
        set=mark(
            "Its stroke limiters say how fast each way may be. A spool for a motor lets both ports go to the tank in "
            "neutral. With a pump of fixed size it would send everything over the relief."
        ),
        law=mark(
            "Edges with q = Cd · A · √( 2 Δp / ρ ), laminar where they are small or the oil is thick (Merritt "
            "1967). Which edge opens when is a layout of this program, cut for the rated flow."
        ),
    )
    words = SPOOL_WORDS

    def equations(self, at: At) -> Law:
        """Return the section's law: edges from P see the whole drop."""
        areas = _edges(at)
        k = edge_rate(1.0, at.discharge, at.oil)
        fed = {}
        for port in ("A", "B"):
            area, drop = areas[f"P_{port}"], at.p.P - at.p[port]
            passing = edge_flow(drop, k * area, edge_laminar(area, at.oil, at.discharge, NOTCHES))
            fed[port] = passing * through_check(at, drop)
        return _law(at, areas, fed)

    @classmethod
    def workings(cls, at: Sheet) -> Iterator[Working]:
        """Yield its edges, its travel, its port valves and its leaks."""
        for way in _ways(at):
            yield from _way(at, way)
        yield _whole(at)
        yield from _rest(at)


class LoadSensingSection(_ClosedCentre, Part):
    """A closed-centre section with a compensator: its flow hangs on the lever and not on the load.

    Ahead of the edge the compensator keeps the drop over it at a spring's; behind the edge it brings all sections of
    a bank to one drop, the outlet of the pump less the told load, so that they share what there is. Either is part of
    the law without a state of its own (the compensator's piston is quick). Its load is told to LS through a check
    that opens with the spool; the small way there calms pump and load.
    """

    ports = {"P": OIL, "A": OIL, "B": OIL, "T": OIL, "LS": OIL}
    port_names = {"LS": mark("load-sensing line")}
    signals = ("LS",)
    symbol = "section_ls"
    letter = "V"
    plain = Plain(
        mark("Load-sensing directional valve section"),
        does=mark(
            "Its lever asks for a speed, and gets it whatever the load is, as long as the pump can give the oil."
        ),
        works=mark(
            "A small piston, the compensator, takes up what pump pressure is too much, so that the same drop stands "
            "over the edge for every load. A thin line tells the pump the load. Ahead of the edge, the heaviest load "
            "slows down first when oil runs short; behind it, all slow down alike."
        ),
        set=mark(
            "Its stroke limiters set the fastest speed each way. The pump's margin has to be above the drop that the "
            "compensator keeps, else every speed is low. Where a speed changes with the load, the compensator sticks."
        ),
        law=mark(
            "Edges with q = Cd · A · √( 2 Δp / ρ ) (Merritt 1967); the compensator's piston is in balance "
            "between the two sides of the edge and its spring, and quick enough to need no motion of its own. "
            "Which edge opens when is a layout of this program."
        ),
    )
    words = SPOOL_WORDS | {"A_to_LS": "load of A told", "B_to_LS": "load of B told"}
    compensator = Choice("ahead", "behind", meaning="where its compensator sits: ahead of the edge, or behind it")
    tap = Parameter("0.6 mm2", low="0.2 mm2", high="6 mm2", meaning="way from a work port to the load-sensing line")

    def equations(self, at: At) -> Law:
        """Return the section's law: its compensator says what drop is left to the edge from P."""
        areas = _edges(at)
        k = edge_rate(1.0, at.discharge, at.oil)
        fed, kept = {}, {}
        most = at.edge_drop if at.compensator == "ahead" else at.p.P - at.p.LS
        for port in ("A", "B"):
            area, drop = areas[f"P_{port}"], at.p.P - at.p[port]
            kept[port] = pos(smooth_min(drop - load_check(at), most, _HANDOVER), _LEAST)
            laminar = edge_laminar(area, at.oil, at.discharge, NOTCHES)
            passing = edge_flow(kept[port], k * area, laminar) * opened(drop, load_check(at), _GIVE)
            back = edge_flow(pos(-drop - _LEAST, _LEAST), k * area, laminar)  # past a check that is held open
            fed[port] = passing - clip(at.check_held_open, 0, 1) * back
        law = _law(at, areas, fed)
        for port, way in (("A", 1), ("B", -1)):
            tapped = at.tap * ramp((way * at.spool * at.travel - at.dead_band) / _TAP + 1)
            told = k * tapped * check(at.p[port] - at.p.LS, 0, 5e4)
            law.streams[f"{port}_to_LS"] = Stream(port, "LS", told, Loss.METERING)
            law.readings[f"kept_{port}"] = (kept[port], "pressure")
            law.readings[f"tap_{port}"] = (tapped, "area")
        law.volume["LS"] = 0.1 * at.gallery
        return law

    @classmethod
    def workings(cls, at: Sheet) -> Iterator[Working]:
        """Yield its edges with the drop that the compensator leaves, taps, travel, port valves and leaks."""
        discharge = at.parameter("discharge")
        for way in _ways(at):
            if not way.startswith("P"):
                yield from _way(at, way)
                continue
            port = way[-1]
            passes, kept = at.passes(way), at.reading("Δpk", f"kept_{port}", tr("left to the edge"), ())
            area = at.reading("A", f"P_{port}_area", tr("opening of the edge"), (), EDGE)
            if passes < 1e-9 or area.value <= 0 or kept.value <= 0:
                continue
            wide = discharge * area.value * math.sqrt(2 / at.oil.density)
            number = at.term(
                "Cd", discharge * passes / (wide * math.sqrt(kept.value)), "ratio",
                tr("of the edge, less where flow is laminar or the check part open"), (), PLAIN,
            )  # fmt: skip
            title = at.word(way)
            yield Working(
                at.part, tr("Flow {title}").format(title=title), at.flow_at("P", passes, source=title),
                (number, area, kept, at.density(), at.gravity()),
                ("q = 26.83 · Cd · A · √( Δpk / ρ )", "q = 37.98 · Cd · A · √( Δpk / SG )"), stream=way,
            )  # fmt: skip
            drop = at.drop("P", port)
            eaten = at.term("Δpc", drop.value - kept.value, "pressure", tr("eaten by compensator and check"))
            yield Working(
                at.part, tr("Drop that the compensator takes"), eaten, (drop, kept), ("Δpc = Δp − Δpk",) * 2
            )
            yield heat(at, way, tr("Heat {title}").format(title=title))
        for port in ("A", "B"):
            hole = at.reading("A", f"tap_{port}", tr("its tap"), (), EDGE)
            yield from edge(at, f"{port}_to_LS", hole, discharge, cracking=0.0, full=5e4)
        yield _whole(at)
        yield from _rest(at)


_CROSSOVER = 1.3  # of the dead band: where the way home of a centre has shut
_CENTRES = {
    "closed": {},
    "tandem": {"bypass": "30 mm2"},
    "open": {"bypass": "30 mm2", "neutral_return": "30 mm2"},
    "float": {"neutral_return": "30 mm2"},
    "motor": {"neutral_return": "4 mm2"},
    "regenerative": {"joined": "25 mm2"},
}


class FourWaySection(_ClosedCentre, Part):
    """A four-way section whose centre is chosen: what its ports are joined to while the lever is at rest.

    Moved, it is as one of closed centre. In the centre its ways are plain edges that shut over the dead band; of a
    regenerative one the way from B to A is two such edges in series (textbooks of valves, from memory). Sizes of the
    centres are our own, for 40 L/min.
    """

    ports = {"P": OIL, "A": OIL, "B": OIL, "T": OIL}
    symbol = "section_four"
    letter = "V"
    plain = Plain(
        mark("Directional control valve section, four-way"),
        does=mark("It sends oil one way, the other way, or, at rest, where its centre leads."),
        works=mark(
            "Three squares, one behind the other on a spool. The middle one is its centre. Tandem: the pump runs "
            "free, the load is held. Open: all run free. Float or motor: pump shut, the load may move. "
            "Regenerative: the rod end's oil goes round to the cap end, and the rod runs out fast."
        ),
        set=mark(
            "A pump of fixed size wants a tandem or open centre, or it heats the oil over the relief at rest. A "
            "motor that coasts wants a motor centre. Tandem valves in a row add their drops. Which centre it is "
            "stands on the symbol, not on the lever."
        ),
        law=mark(
            "Edges with q = Cd · A · √( 2 Δp / ρ ) (Merritt 1967); those of the centre shut over the dead band, and "
            "round from B to A go two in series. Which edge opens when is a layout of this program."
        ),
    )
    words = SPOOL_WORDS | {"P_to_T": "P to T in the centre", "B_to_A": "B round to A"}
    centre = Choice(*_CENTRES, meaning="what its centre joins")
    bypass = Parameter("0 mm2", low="0 mm2", high="100 mm2", meaning="opening from P to T in the centre")
    joined = Parameter("0 mm2", low="0 mm2", high="60 mm2", meaning="opening from P to A and to B in the centre")
    presets = {"centre": _CENTRES}

    def equations(self, at: At) -> Law:
        """Return the section's law: that of a closed centre, and the ways that its own centre opens."""
        areas = _edges(at)
        place = ca.sqrt((at.spool * at.travel) ** 2 + 1e-10)
        centred = ramp(1 - place / at.dead_band)
        if at.centre == "regenerative":
            areas |= {way: areas[way] + at.joined * centred for way in ("P_A", "P_B")}
        fed = {}
        for port in ("A", "B"):
            area, drop = areas[f"P_{port}"], at.p.P - at.p[port]
            fed[port] = _passed(at, area, drop) * through_check(at, drop)
        law = _law(at, areas, fed)
        if at.centre in ("tandem", "open"):
            home = at.bypass * straight_ramp((_CROSSOVER * at.dead_band - place) / at.dead_band)
            law.streams["P_to_T"] = Stream("P", "T", _passed(at, home, at.p.P - at.p["T"]), Loss.PAST)
            law.readings["P_T_area"] = (home, "area")
        if at.centre == "regenerative":
            round_ = at.joined * centred / math.sqrt(2)
            law.streams["B_to_A"] = Stream("B", "A", _passed(at, round_, at.p.B - at.p.A), Loss.METERING)
            law.readings["B_A_area"] = (round_, "area")
        return law

    @classmethod
    def workings(cls, at: Sheet) -> Iterator[Working]:
        """Yield the ways of its centre, its edges, its travel, its port valves and its leaks."""
        discharge = at.parameter("discharge")
        for way in ("P_to_T", "B_to_A"):
            if way in at.streams:
                area = at.reading("A", f"{way.replace('_to_', '_')}_area", tr("opening of its centre"), (), EDGE)
                laminar = edge_laminar(area.value, at.oil, discharge, NOTCHES)
                yield from edge(at, way, area, discharge, laminar=laminar)
        for way in _ways(at):
            yield from _way(at, way)
        yield _whole(at)
        yield from _rest(at)


def _passed(at: At, area: Expr, drop: Expr) -> Expr:
    """Return what an edge of ``area`` [m2] passes at a drop [Pa]."""
    k = edge_rate(1.0, at.discharge, at.oil)
    return edge_flow(drop, k * area, edge_laminar(area, at.oil, at.discharge, NOTCHES))
