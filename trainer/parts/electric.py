"""Directional valves that a current moves: proportional, and servo, each with the place of its spool fed back."""

from __future__ import annotations

import math
from collections.abc import Iterator

import casadi as ca

from trainer.formula import Working
from trainer.language import mark, tr
from trainer.parts.laws import clip, edge_flow, edge_laminar, leak_rate, pos
from trainer.parts.part import At, Choice, Control, Expr, Kind, Law, Loss, Parameter, Part, State, Stream, Wear
from trainer.parts.plain import Plain
from trainer.parts.roles import DirectionalValve, Role
from trainer.parts.sheet import EDGE, PERCENT, Sheet
from trainer.parts.workings import edge, gap
from trainer.units import PLAIN

__all__ = ["ProportionalValve", "ServoValve"]

OIL = Kind.OIL
_SHARP = 15.0  # laminar number of sharp lands (Merritt 1967, a slit)
_DENSITY = 870.0  # kg/m3, for which edges are cut
_LAP = 1e-3  # of the travel, over which an edge is rounded where it opens
_QUICK = 1e-2  # s by which a ramp's end is rounded
_WORDS = {
    "P_to_A": "P to A", "P_to_B": "P to B", "A_to_T": "A to T", "B_to_T": "B to T", "leak_at_P": "leak at P",
    "leak_at_A": "leak at A", "leak_at_B": "leak at B",
}  # fmt: skip


class _Electric:
    """What both declare: a spool of second order that follows a command, and four edges."""

    role: Role = DirectionalValve(gallery=("", ""), neutral="rated_area")
    called = "valve"
    lever = Control("0", low="-1", high="1", meaning="command; + feeds A, - feeds B", ends=("in", "out"))
    damping = Parameter("0.8", low="0.2", high="2", meaning="damping ratio of its spool")
    discharge = Parameter("0.65", low="0.5", high="0.9", meaning="discharge coefficient of the edges")
    leakage = Parameter(
        "3e-14 m3/s/Pa",
        low="0 m3/s/Pa",
        high="3e-12 m3/s/Pa",
        meaning="leak of each shut land at 35 mPa s: P, A, B to T",
    )
    gallery = Parameter("10 cm3", low="1 cm3", high="500 cm3", meaning="oil in each gallery", at_rest=True)
    spool = State("0", nominal="0.1")
    going = State("0", nominal="10")  # of its travel, a second


def _law(at: At, asked: Expr, lap: Expr, leaks: Expr) -> Law:
    """Return the law of a spool that is asked for a place, -1 … 1, and of its four edges.

    x'' = w^2 (asked - x) - 2 zeta w x': the textbook second-order system, with its stops far outside.
    """
    whole = at.rated_flow / (at.discharge * ca.sqrt(2 * at.edge_drop / _DENSITY))
    place = clip(at.spool, -1, 1)

    def opening(way: Expr) -> Expr:
        return whole * pos((way - lap) / (1 - lap), _LAP)

    p = at.p
    k = at.discharge * math.sqrt(2) / ca.sqrt(at.oil.density)
    areas = {"P_A": opening(place), "P_B": opening(-place), "A_T": opening(-place), "B_T": opening(place)}
    streams = {}
    for way, area in areas.items():
        start, end = way.split("_")
        passed = edge_flow(p[start] - p[end], k * area, edge_laminar(area, at.oil, at.discharge, _SHARP))
        streams[f"{start}_to_{end}"] = Stream(start, end, passed, Loss.METERING)
    leak = leak_rate(leaks, at.oil.viscosity)
    for port in ("P", "A", "B"):
        streams[f"leak_at_{port}"] = Stream(port, "T", leak * (p[port] - p["T"]), Loss.LEAKAGE)
    natural = 2 * math.pi * at.frequency
    return Law(
        streams=streams,
        rate={
            "spool": at.going,
            "going": natural * natural * (asked - at.spool) - 2 * at.damping * natural * at.going,
        },
        volume=dict.fromkeys(("P", "A", "B", "T"), at.gallery),
        readings={
            **{f"{way}_area": (area, "area") for way, area in areas.items()},
            "rated_area": (whole, "area"), "asked": (asked, "ratio"), "behind": (asked - at.spool, "ratio"),
            "land_leak": (leak, "leakage"),
        },
    )  # fmt: skip


def _workings(at: Sheet, lap: float) -> Iterator[Working]:
    """Yield edges, opening, frequency and leaks."""
    discharge = at.parameter("discharge")
    ways = ("P_to_A", "P_to_B", "A_to_T", "B_to_T")
    for way in sorted(ways, key=lambda way: -abs(at.passes(way))):
        area = at.reading("A", f"{way.replace('_to_', '_')}_area", tr("opening of the edge"), (), EDGE)
        yield from edge(at, way, area, discharge, laminar=edge_laminar(area.value, at.oil, discharge, _SHARP))
    place = abs(at.state("spool"))
    share = at.term("s", place, "ratio", tr("of its travel, as far as the spool has gone"), (), PERCENT)
    whole = at.reading("Ao", "rated_area", tr("edge, whole open"), (), EDGE)
    if lap + 2 * _LAP < place < 1:
        way = "P_A" if at.state("spool") > 0 else "P_B"
        over = at.term("u", lap, "ratio", tr("of it is overlap"), (), PERCENT)
        area = at.reading("A", f"{way}_area", tr("opening of the edge from P"), (), EDGE)
        yield Working(
            at.part, tr("Opening of its edge"), area, (share, over, whole), ("A = Ao · ( s − u ) / ( 100 − u )",) * 2
        )
    asked = at.term("c", abs(at.value("asked")), "ratio", tr("asked for"), (), PERCENT)
    behind = at.value("asked") - at.state("spool")
    lag = at.term("e", abs(behind), "ratio", tr("how far the spool is from it"), (), PERCENT)
    sign = 1 if at.value("asked") >= 0 else -1
    follows = at.term("s", sign * at.state("spool"), "ratio", tr("where the spool is"), (), PERCENT)
    mark_ = "−" if sign * behind >= 0 else "+"
    yield Working(at.part, tr("Place of its spool"), follows, (asked, lag), (f"s = c {mark_} e",) * 2)
    natural = at.number("f", "frequency", tr("of its spool, undamped"))
    damping = at.number("z", "damping", tr("damping ratio"), PLAIN)
    if damping.value < 0.99:
        rings = natural.value * math.sqrt(1 - damping.value**2)
        found = at.term("fd", rings, "frequency", tr("with which it rings"))
        yield Working(at.part, tr("How its spool rings"), found, (natural, damping), ("fd = f · √( 1 − z² )",) * 2)
    for port in ("P", "A", "B"):
        yield from gap(at, f"leak_at_{port}")


class ProportionalValve(_Electric, Part):
    """A 4/3 valve whose two solenoids push the spool in proportion to a current.

    Its amplifier leads the command by a ramp; its spool overlaps in the middle. With its place fed back it goes where
    it is asked to; without, the oil's flow force pushes it back by a share that grows with the drop over its edge
    (flow force after Merritt 1967, as one number). Rated at 5 bar an edge, as ISO 10770 has it (from memory).
    """

    ports = {"P": OIL, "A": OIL, "B": OIL, "T": OIL}
    symbol = "dcv_prop"
    letter = "V"
    plain = Plain(
        mark("Proportional directional valve"),
        does=mark("A small current decides how far it opens, and which way: speed by wire."),
        works=mark(
            "A solenoid pushes a spool against a spring, the further the more current. An amplifier brings the "
            "current up by a ramp, so that nothing jerks. Where a coil feels the spool's place, the amplifier "
            "corrects it: friction and the oil's own force then hardly count."
        ),
        set=mark(
            "First the currents at which motion just begins each way, to jump over the overlap; then the fastest "
            "speed each way; then the ramps. Sluggish or sticking in the cold: dirt. Stuck open: pull the plug, the "
            "springs must bring it home."
        ),
        law=mark(
            "The spool is a second-order system, x'' = ω² ( asked − x ) − 2 ζ ω x', of any textbook of control; its "
            "edges pass q = Cd · A · √( 2 Δp / ρ ) in proportion to the travel beyond the overlap (Merritt 1967)."
        ),
    )
    words = _WORDS
    feedback = Choice("yes", "no", meaning="whether the place of its spool is fed back")
    rated_flow = Parameter("40 L/min", low="0.5 L/min", high="1000 L/min", meaning="flow of an edge, whole open")
    edge_drop = Parameter(
        "5 bar", low="1 bar", high="35 bar", meaning="drop over an edge at which it passes that flow"
    )
    overlap = Parameter("15 %", low="0 %", high="40 %", meaning="of its travel each way: shut")
    ramp_time = Parameter(
        "100 ms", low="5 ms", high="10 s", meaning="time of the amplifier's ramp for the whole command"
    )
    frequency = Parameter("20 Hz", low="2 Hz", high="400 Hz", meaning="natural frequency of its spool")
    flow_force = Parameter(
        "5 %", low="0 %", high="40 %", meaning="of its travel: pushed back by 100 bar over an edge, without feedback"
    )
    dragging = Wear(
        "0 %",
        mild="10 %",
        marginal="25 %",
        failed="60 %",
        notice="it is slow both ways, and does not reach its speed",
        meaning="share of what is asked that friction and dirt eat, without feedback all of it, with a tenth",
    )
    command = State("0", nominal="0.1")

    def equations(self, at: At) -> Law:
        """Return the law of amplifier, spool and edges."""
        lead = clip((at.lever - at.command) / _QUICK, -1 / at.ramp_time, 1 / at.ramp_time)
        fed = at.feedback == "yes"
        lost = clip(at.dragging, 0, 1) * (0.1 if fed else 1.0)
        asked = at.command * (1 - lost)
        if not fed:
            drop = pos(at.p.P - at.p["T"], 1e5)
            asked = asked * ca.fmax(1 - at.flow_force * drop / 1e7, 0.1)
        law = _law(at, asked, at.overlap, at.leakage)
        law.rate["command"] = lead
        return law

    @classmethod
    def workings(cls, at: Sheet) -> Iterator[Working]:
        """Yield its edges, its opening, where its spool is and how it rings, and its leaks."""
        yield from _workings(at, at.parameter("overlap"))


class ServoValve(_Electric, Part):
    """A 4/3 valve without overlap whose spool follows a small current quickly: for closed loops of place or force.

    Its spool is a second-order system of high natural frequency, linearised (Merritt 1967). Rated at 35 bar an edge,
    70 bar in all, as ISO 10770 has it (from memory).
    """

    ports = {"P": OIL, "A": OIL, "B": OIL, "T": OIL}
    symbol = "dcv_servo"
    letter = "V"
    plain = Plain(
        mark("Servo valve"),
        does=mark("It turns a very small current into a flow, finely and a hundred times a second."),
        works=mark(
            "A torque motor of a few milliamperes moves a jet or a flapper, its oil moves the spool, and a feedback "
            "spring tells the torque motor when the spool is where it should be. Its edges are ground to meet the "
            "ports exactly: the least command gives flow."
        ),
        set=mark(
            "Its null is trimmed so that no command gives no motion. It wants oil as clean as no other valve: dirt "
            "shifts its null, silts up its spool, rounds its edges. It always leaks some oil to the tank."
        ),
        law=mark(
            "The spool is a second-order system, x'' = ω² ( asked − x ) − 2 ζ ω x', linearised, with edges of no "
            "overlap that pass q = Cd · A · √( 2 Δp / ρ ) in proportion to the travel (Merritt 1967)."
        ),
    )
    words = _WORDS
    rated_flow = Parameter("40 L/min", low="0.2 L/min", high="1000 L/min", meaning="flow of an edge, whole open")
    edge_drop = Parameter(
        "35 bar", low="1 bar", high="70 bar", meaning="drop over an edge at which it passes that flow"
    )
    frequency = Parameter("100 Hz", low="5 Hz", high="400 Hz", meaning="natural frequency of its spool")
    null_shift = Wear(
        "0 %",
        mild="1 %",
        marginal="3 %",
        failed="10 %",
        notice="it drifts one way with no command",
        meaning="opening towards A that is left with no command, of its travel",
    )
    erosion = Wear(
        "1e-13 m3/s/Pa",
        mild=5,
        marginal=20,
        failed=100,
        notice="the pump works and the oil is hot with nothing moving",
        meaning="leak of its rounded edges in the middle, at 35 mPa s",
    )

    def equations(self, at: At) -> Law:
        """Return the law of spool and edges."""
        return _law(at, clip(at.lever + at.null_shift, -1, 1), 0.0, at.leakage + at.erosion)

    @classmethod
    def workings(cls, at: Sheet) -> Iterator[Working]:
        """Yield its edges, its opening, where its spool is and how it rings, and its leaks."""
        yield from _workings(at, 0.0)
