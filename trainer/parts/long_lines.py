"""Lines with more to them than a drop: one whose oil has inertia, and one whose shut-in oil warms."""

from __future__ import annotations

import math
from collections.abc import Iterator

import casadi as ca

from trainer.formula import Working
from trainer.language import mark, tr
from trainer.parts.laws import smooth_abs
from trainer.parts.part import At, Expr, Heat, Kind, Law, Loss, Parameter, Part, State, Stream
from trainer.parts.pipe_law import ROUGHEST, pipe_flow
from trainer.parts.plain import Plain
from trainer.parts.roles import Conduit, WarmedConduit
from trainer.parts.sheet import Sheet
from trainer.parts.workings import BORE, heat, velocity
from trainer.units import pair

__all__ = ["LongLine", "WarmedLine"]

OIL = Kind.OIL
_DENSITY = 870.0  # kg/m3, of the mass that moves: what is stored may not change with warmth
_SLOWEST = 1.0  # Reynolds number below which oil creeps, with the friction that it has there
_DAMPED = 0.412  # of a third's critical damping: with it a shut end meets Joukowsky's pressure, and no more
_THIRDS = (("1", "near"), ("near", "far"), ("far", "2"))
_FILLED = 20.0  # C, at which the room of a warmed line is as it is written
_TRICKLES = 1e-9  # m3/s, over which flow that turns round is rounded
_LONG, _RUNS = pair("m", 2, "ft", 2), pair("m/s", 0, "ft/s", 0)
_HEAVY = pair("kg/m3", 0, "lb/ft3", 2)
_BULK, _SHARE = pair("MPa", 0, "psi", 0), pair("%", 3, "%", 3)


def _churchill(reynolds: Expr, rough: Expr) -> Expr:
    """Return by how much a round pipe rubs more than laminar flow would, 1 or more, at a Reynolds number >= 1.

    Churchill 1977, one formula from laminar to rough; ``rough`` is the relative roughness.
    """
    a = 2.457 * ca.log(1 / ((7 / reynolds) ** 0.9 + 0.27 * rough))
    b = 37530 / reynolds
    return (1 + (reynolds / 8) ** 12 / (a**16 + b**16) ** 1.5) ** (1 / 12)


class LongLine(Part):
    """A long pipe or hose with the inertia of its oil: a sudden stop at an end makes a blow.

    Three masses of oil, each rho L / 3 A between halves of its volume. A little of the flow goes past a mass where
    its ends differ suddenly, so that the first blow against a shut end is that of a real line, rho c v (Joukowsky
    1898). It swings in 4.14 times its length over c; a line of endless parts has 4 (Wylie & Streeter 1978, from
    memory), and one mass would have 4.6. Later swings die sooner than in a real pipe. Friction after Churchill.
    """

    inside = {"near": OIL, "far": OIL}
    ports = {"1": OIL, "2": OIL}
    symbol = "long_line"
    plate = ("Ø{bore}",)
    letter = "Z"
    plain = Plain(
        mark("Long line with inertia"),
        does=mark("It leads oil a long way, and its moving oil wants to go on when something stops it."),
        works=mark(
            "The oil in it is a mass of some kilograms at several metres a second. Shut quickly, that mass presses "
            "on until its motion is used up: a blow of many bars runs to and fro in the line. Soft hose walls take "
            "most of its sting, steel pipe does not."
        ),
        set=mark(
            "The blow grows with the oil's speed alone, not with length: half the speed halves it. Length says how "
            "slowly one has to shut: by several runs of the blow there and back. An accumulator or a soft hose near "
            "the valve helps."
        ),
        law=mark(
            "ρ · L / A · dq/dt = Δp less friction after Churchill (1977), for each third between half of its oil's "
            "springiness at either end; a damping of this program makes the first blow ρ · c · v, after Joukowsky "
            "(1898)."
        ),
    )
    role = Conduit(hose=True)
    words = {"into": "into it", "through": "through", "out": "out of it", "friction": "friction",
             "blow": "blows that die", "motion": "motion"}  # fmt: skip
    length = Parameter("10 m", low="0.5 m", high="500 m", meaning="length", at_rest=True)
    bore = Parameter("12.7 mm", low="3 mm", high="100 mm", meaning="inside diameter", at_rest=True)
    stiffness = Parameter("26 GPa", low="50 MPa", high="1000 GPa", meaning="stiffness of the wall", at_rest=True)
    roughness = Parameter("0 mm", low="0 mm", high="2 mm", meaning="roughness of the wall; drawn tube is smooth")
    flow = State("0 m3/s", nominal="10 L/min")  # of the oil in its first third, from 1 to 2
    flow_middle = State("0 m3/s", nominal="10 L/min")
    flow_end = State("0 m3/s", nominal="10 L/min")

    def equations(self, at: At) -> Law:
        """Return the law of three masses of oil between springs of oil; h drives them: pressure over density."""
        area = math.pi / 4 * at.bore * at.bore
        mass = _DENSITY * at.length / 3 / area  # [Pa s2/m3]
        half = area * at.length / 6
        softness = 1 / at.oil.stiffness + 1 / at.stiffness
        past = ca.sqrt(mass / (2 * half * softness)) / (2 * _DAMPED)  # [Pa s/m3]
        creeps = 128 * at.oil.viscosity * at.length / 3 / (math.pi * at.bore**4)  # Hagen and Poiseuille
        rough = ca.fmin(at.roughness / at.bore, ROUGHEST)
        law = Law(volume={}, compliance={})
        friction, blow, motion, drop = 0.0, 0.0, 0.0, 0.0
        moving = {
            "into": ("flow", at.flow),
            "through": ("flow_middle", at.flow_middle),
            "out": ("flow_end", at.flow_end),
        }
        for (stream, (state, own)), (start, end) in zip(moving.items(), _THIRDS, strict=True):
            reynolds = smooth_abs(own / area * at.bore * at.oil.density / at.oil.viscosity, _SLOWEST)
            rubs = creeps * _churchill(reynolds, rough)
            fall = at.h[start] - at.h[end]
            pushes = (fall - rubs * own) / (1 + rubs / past)  # what is left of it for the mass, when all has rubbed
            beside = pushes / past
            flow = own + beside
            law.streams[stream] = Stream(start, end, flow, Loss.LINES, raised=fall)  # its heat stands below
            law.rate[state] = pushes / mass
            friction, blow = friction + rubs * flow * flow, blow + past * beside * beside
            motion, drop = motion + mass * own * own / 2, drop + rubs * flow
            for node in (start, end):
                law.volume[node] = law.volume.get(node, 0.0) + half
                law.compliance[node] = law.compliance.get(node, 0.0) + half / at.stiffness
        law.heat = {"friction": Heat(friction, Loss.LINES), "blow": Heat(blow, Loss.LINES)}
        law.stored["motion"] = motion
        law.readings |= {
            "flow": (at.flow_middle, "flow"), "drop": (drop, "pressure"), "oil": (at.oil.stiffness, "pressure"),
            "wave": (1 / ca.sqrt(_DENSITY * softness), "speed"), "density": (_DENSITY, "density"),
        }  # fmt: skip
        return law

    @classmethod
    def workings(cls, at: Sheet) -> Iterator[Working]:
        """Yield velocity, drop by friction, how fast a blow runs in it, and the blow of a sudden stop."""
        oil, wall = (
            at.reading("K", "oil", tr("the oil at no pressure"), (), _BULK),
            at.number("Kw", "stiffness", tr("wall"), _BULK),
        )
        wave = at.reading("c", "wave", tr("of a blow in the line"), (), _RUNS)
        mass = at.reading("ρ", "density", tr("the oil in motion"), (), _HEAVY)
        words = "√( K · Kw / ( K + Kw ) / ρ )"  # MPa and kg/m3, psi and lb/ft3
        yield Working(
            at.part,
            tr("How fast a blow runs"),
            wave,
            (oil, wall, mass),
            (f"c = 1000 · {words}", f"c = 68.07 · {words}"),
        )
        passes = at.passes("through")
        start = "1" if passes > 0 else "2"
        flow = at.flow_at(start, abs(passes), source=tr("through the line"))
        bore = at.parameter("bore")
        speed = velocity(at, at.part, flow, bore)
        yield speed
        v = speed.result
        blow = at.term(
            "Δpj", mass.value * wave.value * v.value, "pressure", tr("above what stood there"), v.refers_to
        )
        yield Working(
            at.part, tr("Blow of a sudden stop"), blow, (mass, wave, v),
            ("Δpj = ρ · c · v / 100000", "Δpj = ρ · c · v / 4633"),
        )  # fmt: skip
        if v.value > 1e-3:
            length, size = (
                at.number("L", "length", tr("length"), _LONG),
                at.term("d", bore, "length", tr("bore"), (), BORE),
            )
            rubs = abs(at.value("drop"))
            factor = 2 * rubs * bore / (at.oil.density * v.value**2 * length.value)
            friction = at.term("λ", factor, "ratio", tr("friction, after Churchill"), v.refers_to, pair("", 4, "", 4))
            yield Working(
                at.part, tr("Drop of the line, by friction"), at.term("Δpr", rubs, "drop", tr("by friction")),
                (friction, length, size, at.density(), v),
                ("Δpr = λ · L · ρ · v² / ( 200 · d )", "Δpr = λ · L · ρ · v² / ( 772.2 · d )"),
            )  # fmt: skip


class WarmedLine(Part):
    """A pipe whose standing oil takes the warmth of what is round it, and swells: shut in, its pressure rises.

    Each kelvin swells the oil by 0.07 % (from memory, mineral oil), of which rigid walls let nothing go: 0.0007 times
    a stiffness of 1500 MPa are some 10.5 bar. Oil that flows through brings the tank's warmth along. Its swelling is
    work on the oil that comes from outside.
    """

    ports = {"1": OIL, "2": OIL}
    symbol = "warmed_line"
    plate = ("Ø{bore}",)
    letter = "Z"
    plain = Plain(
        mark("Line in the sun"),
        does=mark("It leads oil; what is shut in there warms up and swells, and its pressure goes up by itself."),
        works=mark(
            "Warm oil needs more room. Between two shut valves there is none, and steel gives hardly any: each "
            "degree raises the pressure by some ten bar, with no pump turning. A soft hose gives way and softens it; "
            "a small leak, or a relief set for it, takes it away."
        ),
        set=mark(
            "A length of pipe that can be shut at both ends wants a small relief. Before such a line is opened its "
            "pressure is read at that line: gauges elsewhere do not show it. Cooling does the opposite and may leave "
            "a void."
        ),
        law=mark(
            "Its room shrinks by γ · V · Δθ as its oil swells, γ = 0.0007 for each kelvin (mineral oil, from "
            "memory): shut in, pressure rises by γ · K. Warmth follows as Newton's law of cooling has it; friction "
            "as in a hose."
        ),
    )
    role = WarmedConduit(hose=True)
    words = {"through": "through", "warmth": "swelling"}
    length = Parameter("6 m", low="0.05 m", high="500 m", meaning="length", at_rest=True)
    bore = Parameter("16 mm", low="3 mm", high="100 mm", meaning="inside diameter", at_rest=True)
    stiffness = Parameter("26 GPa", low="50 MPa", high="1000 GPa", meaning="stiffness of the wall", at_rest=True)
    swelling = Parameter(
        "0.07 %", low="0 %", high="0.15 %", meaning="of its volume, that its oil swells for each kelvin"
    )
    surroundings = Parameter(
        "20 C", low="-40 C", high="100 C", meaning="temperature that its surroundings bring it to", load=True
    )
    lag = Parameter("10 min", low="1 s", high="5 h", meaning="time by which standing oil follows its surroundings")
    warmth = State("20 C", nominal="10 C")

    def equations(self, at: At) -> Law:
        """Return the law of a pipe whose room shrinks as its oil swells."""
        half = math.pi / 8 * at.bore * at.bore * at.length
        flow = pipe_flow(at.p["1"] - at.p["2"], at.length, at.bore, at.oil.density, at.oil.viscosity)
        washed = smooth_abs(flow, _TRICKLES) / (2 * half)  # of its oil, anew each second
        warms = (at.surroundings - at.warmth) / at.lag + washed * (at.oil.temperature - at.warmth)
        grown = at.swelling * half
        room = half - grown * (at.warmth - _FILLED)
        standing = at.p["1"] + at.p["2"]
        return Law(
            streams={"through": Stream("1", "2", flow, Loss.LINES)},
            rate={"warmth": warms},
            volume={"1": room, "2": room},
            compliance={"1": half / at.stiffness, "2": half / at.stiffness},
            supply={"warmth": grown * warms * standing},
            readings={
                "flow": (flow, "flow"), "oil": (at.oil.stiffness + at.oil.stiffening * standing / 2, "pressure"),
            },
        )  # fmt: skip

    @classmethod
    def workings(cls, at: Sheet) -> Iterator[Working]:
        """Yield what one degree makes of it when it is shut in, its velocity and heat."""
        oil, wall = (
            at.reading("K", "oil", tr("the oil, at this pressure"), (), _BULK),
            at.number("Kw", "stiffness", tr("wall"), _BULK),
        )
        share = at.number("γ", "swelling", tr("swells for each °C"), _SHARE)
        stiff = oil.value * wall.value / (oil.value + wall.value)
        makes = at.term(
            "pθ", share.value * stiff, "pressure", tr("for each °C (1.8 °F)"), (("pressure", at.line("1")),)
        )
        yield Working(
            at.part, tr("What one degree makes, shut in"), makes, (share, oil, wall),
            ("pθ = γ / 100 · K · Kw / ( K + Kw ) · 10", "pθ = γ / 100 · K · Kw / ( K + Kw )"),
            tr("Without air in it, and with no leak."),
        )  # fmt: skip
        passes = at.passes("through")
        if abs(passes) > at.moves:
            start = "1" if passes > 0 else "2"
            yield velocity(
                at, at.part, at.flow_at(start, abs(passes), source=tr("through the line")), at.parameter("bore")
            )
            yield heat(at, "through", tr("Heat of the line"))
