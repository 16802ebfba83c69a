"""What swings and what holds it: the rotary actuator, the swing brake."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace

import casadi as ca

from trainer.formula import Working
from trainer.language import mark, tr
from trainer.parts.cylinder import room
from trainer.parts.laws import leak_rate, pos, ramp, smooth_abs, smooth_sign, stop, straight_ramp
from trainer.parts.part import At, Expr, Heat, Kind, Law, Loss, Parameter, Part, State, Stream, Wear
from trainer.parts.plain import Plain
from trainer.parts.roles import SHAFTS, Actuator
from trainer.parts.sheet import LEAK, PERCENT, SLOW, TRICKLE, Sheet, summed
from trainer.units import pair

__all__ = ["RotaryActuator", "SwingBrake"]

OIL, SHAFT = Kind.OIL, Kind.SHAFT
_STRONG = 250e5  # Pa for which the stops are laid out
_ANGLE = pair("deg", 1, "deg", 1)
_TURNS = 1e-3  # rad/s above which a shaft turns
_LINING = 5e-3  # of the torque that a brake keeps however far it is open: the least that a lining rubs
_SEATS = 2e-3  # s in which a lining that is let go comes away


class RotaryActuator(Part):
    """A vane or a rack that turns a shaft through a limited angle: oil at A turns it forward (positive).

    T = dp D less friction, q = D w and the leak past the vane: the laws of a motor between two stops (textbooks of
    fluid power). Its angle counts from its first stop.
    """

    ports = {"A": OIL, "B": OIL, "shaft": SHAFT}
    ends = {"shaft": "end"}
    symbol = "rotary_act"
    plate = ("{displacement}", "{angle}")
    letter = "A"
    plain = Plain(
        mark("Rotary actuator"),
        does=mark("It turns a shaft to and fro through part of a turn: a bucket that tilts, a grapple that swings."),
        works=mark(
            "Oil pushes on a vane, or on a rack that turns a pinion. The drop between its ports times its oil per "
            "turn, over 2 pi, is its torque, the same at every angle. At the end of its angle it stands against a "
            "stop, as a piston does."
        ),
        set=mark(
            "It is chosen by torque and angle. A heavy load is slowed before the stops, by the lever or by "
            "cushions; a worn vane lets it sag while the valve is shut."
        ),
        law=mark(
            "Torque = Δp · V / 2π − friction; speed = ( flow − leak ) / V, between two stops (textbooks of fluid "
            "power)."
        ),
    )
    role = Actuator(output="shaft")
    words = {"past_vane": "past the vane", "drag": "seals rub", "end_stop": "end stop"}
    displacement = Parameter(
        "1500 cm3/rev",
        low="10 cm3/rev",
        high="50000 cm3/rev",
        meaning="oil for a whole turn, if it could",
        at_rest=True,
    )
    angle = Parameter("180 deg", low="10 deg", high="360 deg", meaning="angle between its stops", at_rest=True)
    dead_volume = Parameter(
        "20 cm3", low="1 cm3", high="2 L", meaning="oil at each end beyond the vane", at_rest=True
    )
    leakage = Wear(
        "3e-14 m3/s/Pa",
        mild=5,
        marginal=20,
        failed=100,
        notice="weak, and sags while the lever rests",
        meaning="leak past the vane at 35 mPa s",
    )
    breakaway = Parameter("5 N m", low="0 N m", high="500 N m", meaning="friction torque of seals")
    pressure_drag = Parameter("5 %", low="0 %", high="40 %", meaning="share of the torque lost to pressure")
    viscous_drag = Parameter("5 N m s", low="0 N m s", high="1000 N m s", meaning="friction that grows with speed")
    rotor = Parameter("0.02 kg m2", low="1e-4 kg m2", high="50 kg m2", meaning="moment of inertia of shaft and vane")
    end_give = Parameter("2e-4 rad", low="2e-5 rad", high="5e-4 rad", meaning="how far its stops give way to 250 bar")
    end_damping = Parameter("2000 N m s", low="0 N m s", high="1e6 N m s", meaning="damping of its stops")
    turned = State("0 rad", nominal="0.1 rad")

    def equations(self, at: At) -> Law:
        """Return the actuator's law."""
        d, w, p, x = at.displacement, at.speed.shaft, at.p, at.turned
        rate = _STRONG * d / at.end_give
        end, end_heat, end_stored = stop(x, w, at.angle, rate, at.end_damping, at.end_give)
        rubs = (at.breakaway + at.pressure_drag * d * smooth_abs(p.A - p.B, 1e4)) * smooth_sign(w, 0.02)
        drag = rubs + at.viscous_drag * w
        room_a, end_a = room(at.dead_volume, d, d * x)
        room_b, end_b = room(at.dead_volume, d, d * (at.angle - x))
        push = p.A * end_a - p.B * end_b
        leak = leak_rate(at.leakage, at.oil.viscosity) * (p.A - p.B)
        return Law(
            streams={"past_vane": Stream("A", "B", leak, Loss.LEAKAGE)},
            into={"shaft": drag - push - end},
            rate={"turned": w},
            volume={"A": room_a, "B": room_b},
            inertia={"shaft": at.rotor},
            heat={"drag": Heat(drag * w, Loss.FRICTION), "end_stop": Heat(end_heat, Loss.FRICTION, dry=True)},
            stored={"end_stop": end_stored},
            readings={
                "torque": (push - drag, "torque"),
                "drag": (drag, "torque"),
                "turned": (x, "angle"),
                "end": (-end, "torque"),
            },
        )

    @classmethod
    def workings(cls, at: Sheet) -> Iterator[Working]:
        """Yield torque, speed, time, power and leak."""
        way, high, low = _way(at)
        size = at.number("V", "displacement", tr("oil for a whole turn"))
        rub = at.term("Tr", way * at.value("drag"), "torque", tr("friction"))
        torque = at.term("T", way * at.value("torque"), "torque", tr("shaft, from {high}").format(high=high))
        sign = "−" if rub.value >= 0 else "+"
        rub = replace(rub, value=abs(rub.value))
        yield Working(
            at.part, tr("Torque of the actuator"), torque, (at.drop(high, low), size, rub),
            (f"T = Δp · V / 62.8 {sign} Tr", f"T = Δp · V / 75.4 {sign} Tr"),
        )  # fmt: skip
        w, leak = at.speed_at("shaft"), at.passes("past_vane")
        into = "A" if w >= 0 else "B"
        moved = abs(at.flow(into) - at.enters(into) * at.specific(into))
        flow = at.flow_at(into, moved, source=tr("into {into}, less the leak past the vane").format(into=into))
        if abs(w) > _TURNS:
            turns = at.term("ω", abs(w), "shaft speed", tr("shaft"), (("speed", at.line("shaft")),), SLOW)
            yield Working(
                at.part, tr("Speed of the actuator"), turns, (flow, size),
                ("ω = q · 6000 / V", "ω = q · 1386 / V"), tr("1 r/min is 6 degrees a second."),
            )  # fmt: skip
            whole = at.number("α", "angle", tr("between the stops"), _ANGLE)
            takes = at.term("t", whole.value * size.value / flow.value, "time", tr("with this flow"))
            yield Working(
                at.part, tr("Time for the whole angle"), takes, (whole, size, flow),
                ("t = α · V / ( 6000 · q )", "t = α · V / ( 1386 · q )"),
            )  # fmt: skip
        given = at.value("torque") * w
        name = tr("Power on the shaft") if given >= 0 else tr("Power that the load gives back")
        turned = at.term("T", abs(torque.value), "torque", tr("shaft"))
        yield at.turning(name, abs(given), turned, at.turns("shaft", source=tr("shaft")))
        if abs(at.pressure_at("A") - at.pressure_at("B")) > 1e3:
            lost = at.term("ql", abs(leak), "flow", tr("past the vane"), (), TRICKLE)
            seal = at.number("k", "leakage", tr("seal, with oil of 35 mPa·s"), LEAK)
            yield Working(
                at.part, tr("Leak past the vane"), lost, (seal, at.drop(high, low), at.viscosity()),
                ("ql = k · Δp · 35 / μ",) * 2,
            )  # fmt: skip

    @classmethod
    def asks(cls, at: Sheet, port: str) -> Working | None:
        """Return the pressure at its inlet as what it stands for: torque, friction, back pressure."""
        way, high, low = _way(at)
        if port != high:
            return None
        items = (
            at.term("T", way * at.value("torque"), "torque", tr("asked by what it turns")),
            at.term("Tr", way * at.value("drag"), "torque", tr("friction")),
        )
        words, terms = summed(items)
        result, back = at.at_port(high, f"p{high}"), at.at_port(low, f"p{low}")
        size = at.number("V", "displacement", tr("oil for a whole turn"))
        forms = [f"{result.letter} = ( {words} ) · {k} / V + {back.letter}" for k in ("62.8", "75.4")]
        return Working(
            result.refers_to[0][1], tr("Asked for by {label}").format(label=at.label()), result,
            (*terms, size, back), (forms[0], forms[1]),
        )  # fmt: skip


def _way(at: Sheet) -> tuple[int, str, str]:
    """Return the sign of the drop, and the ports from high to low."""
    return (1, "A", "B") if at.pressure_at("A") >= at.pressure_at("B") else (-1, "B", "A")


class SwingBrake(Part):
    """Springs press its linings on the shaft; oil at X lets them go.

    Dry friction that holds without creep: the linings wind up a little and slip at the torque that the springs leave
    them, in proportion to what the oil does not yet carry (spring force less pressure times area; textbooks of
    machine design).
    """

    ports = {"X": OIL, "shaft": SHAFT}
    port_names = {"X": "release port"}
    symbol = "brake"
    signals = ("X",)
    plate = ("{holding}", "{opens}")
    letter = "Z"
    plain = Plain(
        mark("Swing brake, spring applied"),
        does=mark("It holds a shaft while nothing drives it, and lets it go by oil pressure."),
        works=mark(
            "Springs press the linings together, so without oil it holds: with the engine off, with a burst hose. "
            "Pressure on its piston carries the springs, bit by bit, until the shaft is free."
        ),
        set=mark(
            "Its release pressure lies well under what the motor needs to start, else it drags. It holds, it does "
            "not slow: a shaft that still turns burns it. A linings' wear shows on a slope, dragging shows as "
            "heat."
        ),
        law=mark(
            "Holds up to holding · ( 1 − ( p − begin ) / ( open − begin ) ): springs less pressure times area; "
            "below that its linings wind up as a spring, Hooke's law, with a damping."
        ),
    )
    group = SHAFTS
    words = {"lining": "lining", "wound": "wound"}
    holding = Parameter("300 N m", low="1 N m", high="1e5 N m", meaning="torque that it holds without oil")
    begins = Parameter("10 bar", low="1 bar", high="100 bar", meaning="pressure from which it lets go")
    opens = Parameter("20 bar", low="2 bar", high="200 bar", meaning="pressure at which it is free")
    dragging = Wear(
        "1 %",
        mild=5,
        marginal=15,
        failed=40,
        notice="hard to start, and it smells hot",
        meaning="share of its torque that is left when it is open",
    )
    worn = Wear(
        "0 %",
        mild="20 %",
        marginal="50 %",
        failed="85 %",
        notice="coasts on, and drifts on a slope",
        meaning="share of its torque that its linings have lost",
    )
    give = Parameter("0.05 deg", low="0.005 deg", high="2 deg", meaning="twist of its linings before they slip")
    damping = Parameter(
        "3000 N m s", low="0.1 N m s", high="1e6 N m s", meaning="damping of its linings while it holds"
    )
    hub = Parameter("0.01 kg m2", low="1e-5 kg m2", high="50 kg m2", meaning="moment of inertia of what turns in it")
    gallery = Parameter("20 cm3", low="1 cm3", high="1 L", meaning="oil behind its piston", at_rest=True)
    wound = State("0 rad", nominal="1e-3 rad")

    @classmethod
    def objections(cls, value: Callable[[str], float]) -> list[str]:
        """Return that it would be free before it lets go."""
        if value("opens") <= value("begins"):
            return [tr("it has to be free at a higher pressure than that from which it lets go")]
        return []

    @staticmethod
    def _held(at: At) -> tuple[Expr, Expr]:
        """Return how far it is let go (0 … 1), and which share of its torque is left."""
        free = straight_ramp((at.p.X - at.begins) / ca.fmax(at.opens - at.begins, 1e5), 0.05)
        left = (at.dragging + (1 - at.dragging) * (1 - free)) * (1 - at.worn)
        return free, _LINING + pos(left - _LINING, _LINING / 2)

    def equations(self, at: At) -> Law:
        """Return the brake's law: a bristle whose reach shrinks as the oil comes."""
        w, z = at.speed.shaft, at.wound
        free, share = self._held(at)
        reach, stiffness = at.give * share, at.holding / at.give
        bent = z / reach
        slips = ramp((bent - 0.85) / 0.15) * ca.fmax(w, 0) + ramp((-bent - 0.85) / 0.15) * ca.fmin(w, 0)
        eases = (pos(z - reach, 0.05 * reach) - pos(-z - reach, 0.05 * reach)) / _SEATS
        damped = at.damping * share * (w - slips)
        torque = stiffness * z + damped
        return Law(
            into={"shaft": torque},
            rate={"wound": w - slips - eases},
            volume={"X": at.gallery},
            inertia={"shaft": at.hub},
            heat={"lining": Heat(stiffness * z * (slips + eases) + damped * w, Loss.FRICTION, dry=True)},
            stored={"wound": stiffness * z * z / 2},
            readings={
                "torque": (torque, "torque"),
                "damping": (damped, "torque"),
                "free": (free, "ratio"),
                "share": (share, "ratio"),
                "limit": (share * at.holding, "torque"),
            },
        )

    @classmethod
    def workings(cls, at: Sheet) -> Iterator[Working]:
        """Yield what it can hold, what it holds, and what is left until it is free."""
        whole = at.number("Tb", "holding", tr("with no oil, linings new"))
        share = at.reading("k", "share", tr("left to it"), (), PERCENT)
        limit = at.reading("Th", "limit", tr("at most"))
        yield Working(
            at.part, tr("Torque that the brake can hold"), limit, (whole, share), ("Th = Tb · k / 100",) * 2
        )
        fine = pair("deg", 3, "deg", 3)
        twist = at.term("φ", at.state("wound"), "angle", tr("twisted"), (), fine)
        wound = at.number("φg", "give", tr("before they slip"), fine)
        rest = at.reading("Td", "damping", tr("linings damp"))
        sign = "+" if rest.value >= 0 else "−"
        yield Working(
            at.part, tr("Torque of the brake"), at.reading("T", "torque", tr("on the shaft")),
            (whole, twist, wound, replace(rest, value=abs(rest.value))),
            (f"T = Tb · φ / φg {sign} Td",) * 2,
        )  # fmt: skip
        opens, now = at.number("pf", "opens", tr("free")), at.at_port("X")
        left = at.term("pl", opens.value - now.value, "pressure", tr("until it is free"), now.refers_to)
        if left.value > 0:
            yield Working(at.part, tr("Pressure left until it is free"), left, (opens, now), ("pl = pf − p",) * 2)
