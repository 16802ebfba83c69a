"""Engines, hydraulic motors and gears: what turns, and what is turned."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping
from dataclasses import replace
from typing import ClassVar

import casadi as ca

from trainer.formula import Term, Working
from trainer.language import mark, tr
from trainer.parts.efficiency import of_motor
from trainer.parts.laws import clip, drag_torque, gaps, pos, ramp, smooth_sign
from trainer.parts.part import (
    At,
    Choice,
    Control,
    Efficiency,
    Expr,
    Heat,
    Kind,
    Law,
    Loss,
    Parameter,
    Part,
    State,
    Stream,
    Wear,
)
from trainer.parts.plain import Plain
from trainer.parts.roles import SWITCHED, Actuator, PrimeMover, Transmission
from trainer.parts.sheet import LEAK, PERCENT, SLOW, TRICKLE, Sheet, balance, summed
from trainer.parts.workings import drive, worn
from trainer.units import PLAIN, pair

__all__ = ["DieselEngine", "HydraulicMotor", "InductionMotor", "ReductionGear"]

OIL, SHAFT = Kind.OIL, Kind.SHAFT
_TURNS = 0.5  # rad/s, above which a shaft is worth its speed
_RUNS = {"low-speed": 200 * 2 * math.pi / 60, "gear": 1500 * 2 * math.pi / 60}  # [rad/s]
_KNEE = 0.2  # rad/s over which a motor's friction turns round


class DieselEngine(Part):
    """A small diesel: torque curve, governor with droop, lag of the torque; stalled below its stall speed.

    The set of numbers is our own for 18.5 kW at 2600 r/min with 25 % torque backup. Speed asked for: 0 is key
    off, which also clears a stall; from rest the starter turns it until it runs.
    """

    ports = {"shaft": SHAFT}
    symbol = "engine"
    letter = "M"
    plain = Plain(
        mark("Combustion engine"),
        does=mark("It turns the pump, as fast as the hand throttle says."),
        works=mark(
            "A governor gives more fuel as the speed falls. The torque that the pump asks for goes with "
            "pressure and with its oil per turn; where that is more than the engine has, it slows down, and "
            "at last it dies."
        ),
        set=mark(
            "Speed is set by the hand throttle: more turns bring more oil, not more pressure. A reading of "
            "flow or time counts only at the speed on the sheet."
        ),
        law=mark(
            "Torque is a parabola about its peak; a governor gives it within its droop and with a lag. The set "
            "of numbers is our own, for 18.5 kW at 2600 r/min with a quarter more torque below."
        ),
    )
    role = PrimeMover(halt="Turn the {} off and take the key.", kind="diesel", droop="droop")
    words = {"engine": "engine"}
    speed_asked = Control("900 r/min", low="0 r/min", high="2600 r/min", meaning="speed set at the hand throttle")
    peak_torque = Parameter("85 N m", low="5 N m", high="2000 N m", meaning="largest torque")
    peak_speed = Parameter("1700 r/min", low="500 r/min", high="3000 r/min", meaning="speed of the largest torque")
    rated_speed = Parameter("2600 r/min", low="800 r/min", high="4000 r/min", meaning="rated speed")
    fall = Parameter("1.68", low="0.1", high="5", meaning="fall of the torque away from its peak")
    droop = Parameter("8 %", low="1 %", high="20 %", meaning="fall of speed from no load to full load")
    lag = Parameter("120 ms", low="20 ms", high="2 s", meaning="time by which torque trails the governor")
    flywheel = Parameter("0.35 kg m2", low="0.01 kg m2", high="20 kg m2", meaning="moment of inertia")
    stall_speed = Parameter("500 r/min", low="100 r/min", high="900 r/min", meaning="speed below which it dies")
    starter = Parameter("70 N m", low="1 N m", high="500 N m", meaning="torque of the starter")
    speed_lost = Wear(
        "0 %",
        mild="8 %",
        marginal="17 %",
        failed="40 %",
        notice="everything is slow alike, and the engine sounds lower than it used to",
        meaning="share of the speed set that its linkage or governor falls short",
    )
    torque_lost = Wear(
        "0 %",
        mild="20 %",
        marginal="40 %",
        failed="65 %",
        notice="the engine drops and smokes as soon as it has to work hard",
        meaning="share of its torque that is gone: fuel filter, air filter, wear",
    )
    torque = State("0 N m", nominal="10 N m")
    stalled = State("0", nominal="1")  # 1 after a stall, until the key is turned off
    started = State("0", nominal="1")  # 1 once it has run up: the starter lets go

    @classmethod
    def latch(cls, values: Mapping[str, float]) -> dict[str, float]:
        """Return states that switch between calls: stalled when it fell below its stall speed under load."""
        if values["speed_asked"] < 5.0:
            return {"stalled": 0.0, "started": 0.0}
        started = 1.0 if values["shaft"] > 1.3 * values["stall_speed"] else values["started"]
        if started and values["shaft"] < 0.8 * values["stall_speed"]:
            return {"stalled": 1.0, "started": 0.0}
        return {"stalled": values["stalled"], "started": started}

    @classmethod
    def overload(cls, values: Mapping[str, float]) -> str:
        """Return that it has stalled, or gives its full torque and is pulled below the speed that is set.

        At full load a governor holds the speed set, and without load its droop more: neither is an overload.
        """
        if values["stalled"] > 0.5:
            return tr("has stalled. Set its speed to 0 to turn the key off, take the load away, then start it again.")
        slow = values["started"] > 0.5 and values["speed"] < 0.97 * values["speed_asked"]
        if values["effort"] > 0.97 and slow and values["surplus"] < 0.1 * values["torque"]:
            return tr("pulled down below the speed it is set to: it gives all its torque, and the pump takes more.")
        return ""

    def equations(self, at: At) -> Law:
        """Return the engine's law; energy is counted from its shaft on."""
        w = at.speed.shaft
        peak = at.peak_torque * (1 - clip(at.torque_lost, 0, 0.95))
        governed = at.speed_asked * (1 - clip(at.speed_lost, 0, 1))
        most = peak * pos(1 - at.fall * ((w - at.peak_speed) / at.rated_speed) ** 2, 0.02)
        alive = ramp((w - 0.7 * at.stall_speed) / (0.3 * at.stall_speed)) * (1 - at.stalled)
        alive = alive * ramp(at.speed_asked / 5.0)
        band = at.droop * governed + 1.0
        asked = most * ramp((governed + band - w) / band) * alive
        crank = at.starter * (1 - at.stalled) * (1 - at.started) * ramp(at.speed_asked / 5.0)
        crank = crank * ramp(2 * (1 - w / at.stall_speed))
        friction = 4.0 + 0.03 * ca.sqrt(w * w + 1)  # motoring: about 15 % of the rated torque
        turned = smooth_sign(w, 1.0) * friction
        total = at.torque + crank
        return Law(
            into={"shaft": turned - total},
            inertia={"shaft": at.flywheel},
            rate={"torque": (asked - at.torque) / at.lag, "stalled": 0.0, "started": 0.0},
            supply={"engine": (total - turned) * w},  # at the shaft: what it loses inside is not the circuit's
            readings={
                "torque": (total - turned, "torque"),
                "power": ((total - turned) * w, "power"),
                "effort": (at.torque / (most + 1.0), "ratio"),
                "largest_torque": (most, "torque"),
                "peak": (peak, "torque"),
                "governed": (governed, "shaft speed"),
                "stalled": (at.stalled, "ratio"),
            },
        )

    @classmethod
    def workings(cls, at: Sheet) -> Iterator[Working]:
        """Yield power, torque curve and load of a combustion engine."""
        _, speed, power = drive(at)
        asked = at.value("governed")
        over = speed.value - asked
        if asked > 1.0 and 0.0 < over <= 1.2 * at.parameter("droop") * asked:
            fine = pair("r/min", 0, "r/min", 0)
            more = at.term(
                "dn", over, "shaft speed", tr("more, as its governor asks for less torque"), speed.refers_to, fine
            )
            yield balance(
                at.part,
                tr("Speed with its governor"),
                speed,
                (at.term("ns", asked, "shaft speed", tr("set"), (), fine), more),
                tr("Set is the speed at full load; without load it turns up to {parameter:.0f} % faster.").format(
                    parameter=100 * at.parameter("droop")
                ),
            )
        yield power
        made, most = at.state("torque"), at.reading("Tm", "largest_torque", tr("the most at this speed"))
        if at.value("effort") < 1e-3 or most.value < 0.03 * at.parameter("peak_torque"):
            return
        fine = pair("r/min", 0, "r/min", 0)
        yield Working(
            at.part, tr("Largest torque at this speed"), most,
            (
                worn(at, "Tp", "peak_torque", "torque_lost", "peak"),
                at.number("k", "fall", tr("how steep the curve falls"), PLAIN),
                speed, at.number("np", "peak_speed", units=fine), at.number("nr", "rated_speed", units=fine),
            ),
            ("Tm = Tp · ( 1 − k · ( ( n − np ) / nr )² )",) * 2,
        )  # fmt: skip
        inside = at.term("Ti", made, "torque", tr("made now, its own friction included"))
        result = at.term("L", made / most.value, "ratio", tr("of what it can at this speed"), (), PERCENT)
        yield Working(at.part, tr("Load of the engine"), result, (inside, most), ("L = Ti · 100 / Tm",) * 2)


class InductionMotor(Part):
    """A three-phase motor after Kloss: torque from slip, with its breakdown torque as the limit."""

    ports = {"shaft": SHAFT}
    symbol = "e_motor"
    letter = "M"
    plain = Plain(
        mark("Electric motor"),
        does=mark("It turns the pump at nearly one speed."),
        works=mark(
            "The rotor trails the turning field a little; the more it trails the more torque it has, up to a "
            "limit. Past that it stops in a moment."
        ),
        set=mark(
            "It is chosen by the power that the pump takes at its highest pressure. Its speed hangs on the "
            "mains and can hardly be set."
        ),
        law=mark("Torque from slip after Kloss: T = 2 Tk / ( s / sk + sk / s )."),
    )
    role = PrimeMover(halt=SWITCHED)
    words = {"bearings": "bearings", "rotor": "rotor", "mains": "mains"}
    switched = Control("1", low="0", high="1", meaning="1 when switched on", ends=("off", "on"))
    synchronous = Parameter("1500 r/min", low="300 r/min", high="3600 r/min", meaning="synchronous speed")
    rated_torque = Parameter("26.5 N m", low="1 N m", high="5000 N m", meaning="torque at rated slip")
    rated_slip = Parameter("4 %", low="0.3 %", high="12 %", meaning="slip at rated torque")
    breakdown = Parameter("2.5", low="1.5", high="4", meaning="breakdown torque over rated torque")
    rotor = Parameter("0.02 kg m2", low="1e-4 kg m2", high="20 kg m2", meaning="moment of inertia")
    friction = Parameter("0.3 N m", low="0 N m", high="50 N m", meaning="friction torque of bearings and fan")
    torque_lost = Wear(
        "0 %",
        mild="20 %",
        marginal="40 %",
        failed="65 %",
        notice="it hums and drops as soon as it has to work hard",
        meaning="share of its torque that is gone: low voltage, a phase missing",
    )

    @classmethod
    def overload(cls, values: Mapping[str, float]) -> str:
        """Return that it is pulled beyond its breakdown torque and stalls, or hums at a standstill."""
        steep = values["slip"] > values["breakdown_slip"]
        if values["switched"] > 0.5 and steep and values["surplus"] < 0.1 * values["torque"]:
            return tr(
                "has stalled under the load: it draws many times its current. Switch it off, then take the load away."
            )
        return ""

    def equations(self, at: At) -> Law:
        """Return the motor's law; what slips becomes heat in the rotor."""
        w = at.speed.shaft
        slip = (at.synchronous - w) / at.synchronous
        steepest = at.rated_slip * (at.breakdown + ca.sqrt(at.breakdown**2 - 1))
        most = at.breakdown * at.rated_torque * (1 - clip(at.torque_lost, 0, 0.95))
        torque = at.switched * 2 * most * slip * steepest / (slip**2 + steepest**2)
        rub = at.friction * smooth_sign(w, 1.0)
        return Law(
            into={"shaft": rub - torque},
            inertia={"shaft": at.rotor},
            supply={"mains": torque * at.synchronous},
            heat={
                "rotor": Heat(torque * (at.synchronous - w), Loss.DRIVE, dry=True),
                "bearings": Heat(rub * w, Loss.DRIVE, dry=True),
            },
            readings={
                "torque": (torque - rub, "torque"),
                "power": ((torque - rub) * w, "power"),
                "effort": (torque / most, "ratio"),
                "breakdown_torque": (most, "torque"),
                "breakdown_slip": (steepest, "ratio"),
                "friction": (rub, "torque"),
                "slip": (slip, "ratio"),
            },
        )

    @classmethod
    def workings(cls, at: Sheet) -> Iterator[Working]:
        """Yield power, slip and torque after Kloss."""
        torque, speed, power = drive(at)
        yield power
        w, even = at.speed_at("shaft"), at.parameter("synchronous")
        field = at.number("ns", "synchronous", tr("of the field"), pair("r/min", 0, "r/min", 0))
        slip = at.reading("s", "slip", tr("behind the field"), (), pair("%", 2, "%", 2))
        if w >= 0:
            yield Working(at.part, tr("Slip of the motor"), slip, (field, speed), ("s = ( ns − n ) · 100 / ns",) * 2)
        if at.control("switched") < 0.99 or slip.value <= 1e-4 or w < _TURNS:
            return
        yield Working(
            at.part, tr("Torque after Kloss"), torque,
            (
                at.reading("Tk", "breakdown_torque", tr("breakdown torque")), slip,
                at.reading("sk", "breakdown_slip", tr("slip at the breakdown torque"), (), pair("%", 2, "%", 2)),
                at.reading("Tr", "friction", tr("bearings and fan")),
            ),
            ("T = 2 · Tk / ( s / sk + sk / s ) − Tr",) * 2,
        )  # fmt: skip
        given = at.value("power")
        drawn = at.supply("mains")
        if given > 1 and drawn > 1 and even > 0:
            result = at.term("η", given / drawn, "ratio", tr("of what the mains give"), (), PERCENT)
            terms = (at.power("P", given, tr("on the shaft")), at.power("Pe", drawn, tr("from the mains")))
            yield Working(at.part, tr("Efficiency of the motor"), result, terms, ("η = P · 100 / Pe",) * 2)


class HydraulicMotor(Part):
    """A motor for both directions, with case drain L: oil from A to B turns it forward (positive).

    Losses as of the pump. The data sets are our own choice, made to give what good ones have, from memory of makers'
    catalogues: 0.95 / 0.89 volumetric and mechanical (low-speed orbit motor, 200 r/min, 140 bar, 35 mPa s) and
    0.95 / 0.92 (gear motor, 1500 r/min, 175 bar). What it loses more at a standstill is gone above 30 r/min; slower
    it sticks and slips, as makers' least speeds of 10 to 50 r/min say (common practice, no source).
    """

    ports = {"A": OIL, "B": OIL, "L": OIL, "shaft": SHAFT}
    symbol = "motor_bidir"
    plate: ClassVar[tuple[str, ...]] = ("{displacement}",)
    letter = "A"
    plain = Plain(
        mark("Hydraulic motor, both directions"),
        does=mark("It turns oil into turning: a slew, a winch, a rotator."),
        works=mark(
            "The drop between its two ports times its oil per turn, over 2 pi, is its torque, less what it "
            "loses itself; flow over its oil per turn is its speed. Some oil leaks into the case and goes "
            "home by a line of its own."
        ),
        set=mark(
            "A larger one turns slower with more torque from the same oil; below some 30 turns a minute it sticks "
            "and slips. The case line stays free: pressure there ruins the shaft seal. Measured case oil tells how "
            "worn it is."
        ),
        law=mark(
            "Torque = Δp · V / 2π − friction; speed = ( flow − leaks ) / V. Leaks go with Δp / μ, friction with"
            " μ · n, with Δp and a breakaway, after Wilson (1946). Its sets of numbers are our own, made to "
            "give what good motors have (makers' catalogues, from memory)."
        ),
    )
    role = Actuator(output="shaft", drain="L")
    words = {
        "across": "across", "A_to_case": "A to case", "B_to_case": "B to case", "drag": "drag", "filling": "filling",
    }  # fmt: skip
    kind = Choice("low-speed", "gear", meaning="the family whose losses it has")
    displacement = Parameter(
        "315 cm3/rev",
        low="1 cm3/rev",
        high="2000 cm3/rev",
        meaning="oil per turn without leaks",
        at_rest=True,
    )
    leakage = Wear(
        "3e-9",
        mild=2,
        marginal=4,
        failed=10,
        notice="slow, and stalls early when hot",
        most="1e-6",
        meaning="leak coefficient, ports to each other and to the case",
    )
    viscous_drag = Parameter("8e4", low="0", high="1e6", meaning="viscous drag coefficient")
    pressure_drag = Parameter("10 %", low="0 %", high="50 %", meaning="share of the torque lost to pressure")
    starting_drag = Parameter("10 %", low="0 %", high="40 %", meaning="further share lost at a standstill")
    breakaway = Parameter("2 N m", low="0 N m", high="100 N m", meaning="friction torque of seals")
    rotor = Parameter("0.005 kg m2", low="1e-5 kg m2", high="5 kg m2", meaning="moment of inertia")
    presets = {
        "kind": {
            "low-speed": {},
            "gear": {
                "displacement": "16 cm3/rev",
                "leakage": "1.5e-8",
                "pressure_drag": "5 %",
                "breakaway": "0.4 N m",
                "rotor": "3e-4 kg m2",
            },
        }
    }
    gallery = Parameter("60 cm3", low="5 cm3", high="2 L", meaning="oil at each port", at_rest=True)

    @classmethod
    def efficiency(cls, value: Callable[[str], float], choice: Callable[[str], str]) -> Efficiency:
        """Return its efficiencies at a speed at which its kind runs well."""
        return of_motor(value, _RUNS[choice("kind")])

    def equations(self, at: At) -> Law:
        """Return the motor's law, after the pump's with the sign of the torque turned."""
        return self.law(at, at.displacement)

    @staticmethod
    def law(at: At, d: Expr) -> Law:
        """Return the law of a motor that takes ``d`` [m3/rad]; it leaks as wide as its whole displacement lets it."""
        w, mu, p = at.speed.shaft, at.oil.viscosity, at.p
        drop, fall = p.A - p.B, at.h.A - at.h.B
        geometric = d * w
        moved = pos(geometric, d) / at.w.A - pos(-geometric, d) / at.w.B
        share = at.pressure_drag + at.starting_drag * ca.exp(-((w / 2.0) ** 2))
        drag = drag_torque(d, w, drop, mu, viscous=at.viscous_drag, pressed=share, steady=at.breakaway, knee=_KNEE)
        leak = gaps(at.leakage, at.displacement, mu) / 2  # across, and from each port to the case
        return Law(
            streams={
                "across": Stream("A", "B", leak * drop, Loss.LEAKAGE),
                "A_to_case": Stream("A", "L", leak * (p.A - p.L), Loss.LEAKAGE),
                "B_to_case": Stream("B", "L", leak * (p.B - p.L), Loss.LEAKAGE),
            },
            into={"A": moved, "B": -moved, "shaft": drag - d * drop},
            volume={"A": at.gallery, "B": at.gallery, "L": at.gallery},
            inertia={"shaft": at.rotor},
            heat={
                "drag": Heat(drag * w, Loss.FRICTION),
                "filling": Heat(moved * fall - geometric * drop, Loss.FRICTION),
            },
            readings={
                "torque": (d * drop - drag, "torque"),
                "drag": (drag, "torque"),
                "power": ((d * drop - drag) * w, "power"),
                "gaps": (leak, "leakage"),
                "case_flow": (leak * (p.A + p.B - 2 * p.L), "flow"),
            },
        )

    @classmethod
    def size(cls, at: Sheet) -> Term:
        """Return the oil that a turn takes as it stands."""
        return at.number("V", "displacement", tr("displacement"))

    @classmethod
    def workings(cls, at: Sheet) -> Iterator[Working]:
        """Yield torque, speed, power, leakage and efficiency of a motor."""
        sign, high, low = _way(at)
        size = cls.size(at)
        drop = at.drop(high, low)
        rub = at.term("Tr", sign * at.value("drag"), "torque", tr("friction"))
        torque = at.term(
            "T", sign * at.value("torque"), "torque", tr("shaft, the way oil from {high} turns it").format(high=high)
        )
        mark = "−" if rub.value >= 0 else "+"
        rub = replace(rub, value=abs(rub.value))
        yield Working(
            at.part, tr("Torque of the motor"), torque, (drop, size, rub),
            (f"T = Δp · V / 62.8 {mark} Tr", f"T = Δp · V / 75.4 {mark} Tr"),
        )  # fmt: skip
        turning = at.speed_at("shaft")
        into, out = ("A", "B") if turning >= 0 else ("B", "A")
        across = at.passes("across") * (1 if into == "A" else -1)
        leak = (across + at.passes(f"{into}_to_case")) * at.specific(into)
        speed = at.turns("shaft", source=tr("motor shaft"))
        flow = at.flow_at(into, at.flow(into), source=tr("into {into}").format(into=into))
        lost = at.term("ql", leak, "flow", tr("leaks inside"), (), None)
        if abs(turning) > 1.5:
            part = "q − ql" if leak >= 0 else "q + ql"
            yield Working(
                at.part, tr("Speed of the motor"), speed, (flow, replace(lost, value=abs(leak)), size),
                (f"n = ( {part} ) · 1000 / V", f"n = ( {part} ) · 231 / V"),
            )  # fmt: skip
        given = at.value("power")
        turned = at.term("T", abs(torque.value), "torque", tr("shaft"))
        name = tr("Power on the shaft") if given >= 0 else tr("Power that the load gives back")
        yield at.turning(name, abs(given), turned, speed)
        passes = at.enters(into)
        through = at.mean(into, out, passes, "q", tr("through the motor, {into} to {out}").format(into=into, out=out))
        paid = drop.value * sign * (1 if into == "A" else -1) * through.value
        if paid > 1e-3 and given > 1e-3 and drop.value > 1e4:
            yield at.hydraulic(tr("Power of the oil"), paid, drop, through)
            result = at.term("η", given / paid, "ratio", tr("of the oil's power"), (), PERCENT)
            terms = (at.power("P", given, tr("on the shaft")), at.power("Ph", paid, tr("of the oil"), drop.refers_to))
            yield Working(at.part, tr("Efficiency of the motor"), result, terms, ("η = P · 100 / Ph",) * 2)
        ends = [at.at_port(port, f"p{port}") for port in ("A", "B", "L")]
        refers_to = tuple(tell for term in ends for tell in term.refers_to)
        yield Working(
            at.part, tr("Leak to the case"), at.reading("qc", "case_flow", tr("case drain"), refers_to, TRICKLE),
            (at.reading("k", "gaps", tr("gaps, with this oil"), (), LEAK), *ends),
            ("qc = k · ( pA + pB − 2 · pL )",) * 2,
        )  # fmt: skip

    @classmethod
    def asks(cls, at: Sheet, port: str) -> Working | None:
        """Return the pressure at a motor's inlet as what it stands for: torque, friction, back pressure."""
        sign, high, low = _way(at)
        if port != high:
            return None
        items = (
            at.term("T", sign * at.value("torque"), "torque", tr("asked by what it turns")),
            at.term("Tr", sign * at.value("drag"), "torque", tr("friction")),
        )
        words, terms = summed(items)
        result, back = at.at_port(high, f"p{high}"), at.at_port(low, f"p{low}")
        size = cls.size(at)
        forms = [f"{result.letter} = ( {words} ) · {k} / V + {back.letter}" for k in ("62.8", "75.4")]
        return Working(
            result.refers_to[0][1],
            tr("Asked for by {label}").format(label=at.label()),
            result,
            (*terms, size, back),
            (forms[0], forms[1]),
        )


class ReductionGear(Part):
    """Gears between a fast shaft 1 and a slow shaft 2, with the wind-up of their shafts and a loss in the mesh."""

    ports = {"1": SHAFT, "2": SHAFT}
    symbol = "gear"
    letter = "Z"
    plain = Plain(
        mark("Reduction gear"),
        does=mark("It makes a fast shaft slow and strong."),
        works=mark(
            "As many times as the speed falls the torque rises, less a loss in the teeth. Behind it the "
            "load's inertia is felt the less, by the square of the ratio."
        ),
        set=mark(
            "The ratio is chosen so that the motor runs where it runs well. It changes speed against torque "
            "and makes no power."
        ),
        law=mark(
            "An ideal ratio behind a torsion spring: Hooke's law, with a drag in the mesh that goes with speed."
        ),
    )
    role = Transmission(geared=True)
    words = {"mesh": "mesh", "wound": "wound"}
    ratio = Parameter("12", low="0.1", high="400", meaning="turns of shaft 1 for one of shaft 2", at_rest=True)
    stiffness = Parameter("2e5 N m", low="10 N m", high="1e8 N m", meaning="torque on shaft 2 per radian of wind-up")
    damping = Parameter("600 N m s", low="0.01 N m s", high="1e6 N m s", meaning="damping of the wind-up")
    mesh = Parameter("5 N m s", low="0 N m s", high="1e4 N m s", meaning="drag of the mesh on shaft 2")
    wheel = Parameter("0.5 kg m2", low="1e-4 kg m2", high="500 kg m2", meaning="moment of inertia on shaft 2")
    pinion = Parameter("1e-3 kg m2", low="1e-6 kg m2", high="5 kg m2", meaning="moment of inertia on shaft 1")
    wound = State("0 rad", nominal="1e-3 rad")

    def equations(self, at: At) -> Law:
        """Return the gear's law: a torsion spring behind an ideal ratio."""
        fast, slow = at.speed["1"], at.speed["2"]
        rate = fast / at.ratio - slow
        torque, drag = at.stiffness * at.wound + at.damping * rate, at.mesh * slow
        return Law(
            into={"1": torque / at.ratio, "2": drag - torque},
            inertia={"1": at.pinion, "2": at.wheel},
            rate={"wound": rate},
            heat={"mesh": Heat(at.damping * rate * rate + drag * slow, Loss.DRIVE, dry=True)},
            stored={"wound": at.stiffness * at.wound * at.wound / 2},
            readings={
                "torque": (torque, "torque"),
                "mesh": (drag, "torque"),
                "winding": (rate, "shaft speed"),
            },
        )

    @classmethod
    def workings(cls, at: Sheet) -> Iterator[Working]:
        """Yield speed and torque of the slow shaft of a gear."""
        fast, slow = at.line("1"), at.line("2")
        ratio = at.number("i", "ratio", tr("teeth"), pair("", 2, "", 2))
        w1, w2 = at.speed_at("1"), at.speed_at("2")
        sign = 1 if w1 >= 0 else -1
        n1 = at.term(
            "n1",
            sign * w1,
            "shaft speed",
            tr("fast: {called}").format(called=at.called("1")),
            (("speed", fast),),
            pair("r/min", 1, "r/min", 1),
        )
        n2 = at.term(
            "n2",
            sign * w2,
            "shaft speed",
            tr("slow: {called}").format(called=at.called("2")),
            (("speed", slow),),
            SLOW,
        )
        wound = at.term("nw", sign * at.value("winding"), "shaft speed", tr("winds up shafts and teeth"), (), SLOW)
        mark = "−" if wound.value >= 0 else "+"
        yield Working(
            at.part, tr("Speed of the slow shaft"), n2, (n1, ratio, replace(wound, value=abs(wound.value))),
            (f"n2 = n1 · 6 / i {mark} nw",) * 2, tr("1 r/min is 6 degrees a second."),
        )  # fmt: skip
        into, out = at.load("1"), -at.load("2")
        way = 1 if into >= 0 else -1
        drag = way * at.value("mesh")
        mesh = at.term("Tr", abs(drag), "torque", tr("teeth rub"))
        yield Working(
            at.part, tr("Torque of the slow shaft"), at.term("T2", way * out, "torque", at.called("2")),
            (at.term("T1", way * into, "torque", at.called("1")), ratio, mesh),
            (f"T2 = T1 · i {'−' if drag >= 0 else '+'} Tr",) * 2,
        )  # fmt: skip


def _way(at: Sheet) -> tuple[int, str, str]:
    """Return the sign of a motor's drop, and its ports from high to low."""
    drop = at.pressure_at("A") - at.pressure_at("B")
    return (1, "A", "B") if drop >= 0 else (-1, "B", "A")
