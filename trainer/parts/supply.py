"""Supply: pump, and what turns it: a person's arms, a steady drive, a shaft coupling."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import replace

import casadi as ca

from trainer.formula import Working
from trainer.language import mark, tr
from trainer.parts.efficiency import of_pump
from trainer.parts.laws import RATED_VISCOSITY, bristle, clip, displaced, drag_torque, gaps, pos, ramp, smooth_min
from trainer.parts.part import (
    At,
    Choice,
    Control,
    Efficiency,
    Heat,
    Kind,
    Law,
    Loss,
    Parameter,
    Part,
    State,
    Wear,
)
from trainer.parts.plain import Plain
from trainer.parts.roles import SWITCHED, PrimeMover, Pump, Transmission
from trainer.parts.sheet import LEAK, PERCENT, TRICKLE, Sheet, balance
from trainer.parts.workings import drive, pump_efficiency, pump_powers, worn
from trainer.units import PLAIN, pair

__all__ = ["FixedPump", "HandCrank", "ShaftCoupling", "SteadyDrive"]

OIL, SHAFT = Kind.OIL, Kind.SHAFT
_STANDS, _TURNS = 0.05, 0.5  # rad/s: below the first a pump stands, above the second a shaft is worth its speed


class FixedPump(Part):
    """A pump of fixed displacement: it pushes oil out; the circuit decides the pressure that takes.

    Slip and drag after Wilson (1946): slip = Cs d dp / mu, drag = Cv d mu w + Cf d |dp| + Tc. The data sets are
    our own choice, made to give 0.95 / 0.92 (gear, 1500 r/min, 175 bar, 35 mPa s) and 0.97 (low-speed piston).
    """

    ports = {"S": OIL, "P": OIL, "shaft": SHAFT}
    symbol = "pump_fixed"
    plate = ("{displacement}",)
    letter = "P"
    plain = Plain(
        mark("Fixed-displacement pump"),
        does=mark("It moves oil: so much for each turn."),
        works=mark(
            "The pump pushes oil out; loads and narrow places decide the pressure that takes, and the relief "
            "decides the most. What comes out is turns times oil per turn, less what slips back inside: more "
            "with pressure, with thin oil, with wear."
        ),
        set=mark(
            "Its size is chosen by the flow that the speeds need, its drive by flow times pressure. Wear "
            "shows as less flow at pressure with warm oil: it is measured, not guessed from a gauge in "
            "neutral."
        ),
        law=mark(
            "Flow = V · n − Cs · V · Δp / μ; torque = Δp · V + Cv · V · μ · n + Cf · V · Δp + a breakaway, "
            "after Wilson (1946). Its sets of numbers are our own, made to give 95 % and 92 % (gear) and 97 % "
            "(piston at low speed)."
        ),
    )
    role = Pump()
    called = "pump"
    words = {"slip": "slip", "drag": "drag", "filling": "filling"}
    kind = Choice("gear", "piston", meaning="the family whose losses it has")
    displacement = Parameter(
        "11 cm3/rev", low="0.5 cm3/rev", high="250 cm3/rev", meaning="oil moved per turn without slip"
    )
    rated_speed = Parameter(
        "1800 r/min",
        low="1 r/min",
        high="4000 r/min",
        meaning="speed at which the circuit is laid out",
        at_rest=True,
    )
    slip = Wear(
        "1.5e-8",
        mild=2,
        marginal=4,
        failed=10,
        notice="slower as the load rises, worse when hot",
        meaning="slip coefficient Cs",
    )
    viscous_drag = Parameter("8e4", low="0", high="1e6", meaning="viscous drag coefficient Cv")
    pressure_drag = Parameter("5 %", low="0 %", high="50 %", meaning="share of the torque lost to pressure, Cf")
    breakaway = Parameter("0.4 N m", low="0 N m", high="50 N m", meaning="friction torque of seals and bearings")
    rotor = Parameter("2e-4 kg m2", low="1e-6 kg m2", high="1 kg m2", meaning="moment of inertia of the rotor")
    gallery = Parameter("60 cm3", low="5 cm3", high="5 L", meaning="oil in the pump's outlet", at_rest=True)
    presets = {
        "kind": {
            "gear": {},
            "piston": {
                "slip": "1.5e-9",
                "viscous_drag": "9.3e3",
                "pressure_drag": "8 %",
                "breakaway": "0.2 N m",
                "rated_speed": "60 r/min",
            },
        }
    }

    @classmethod
    def delivery(cls, value: Callable[[str], float]) -> float:
        """Return the flow at rated speed without slip [m3/s]."""
        return value("displacement") * value("rated_speed")

    @classmethod
    def efficiency(cls, value: Callable[[str], float], choice: Callable[[str], str]) -> Efficiency:
        """Return its efficiencies at its rated speed."""
        del choice  # its numbers have it
        return of_pump(value, value("rated_speed"))

    def equations(self, at: At) -> Law:
        """Return the pump's law; it fills with what is at its inlet, air and vapour included."""
        d, w, mu = at.displacement, at.speed.shaft, at.oil.viscosity
        drop, lift = at.p.P - at.p.S, at.h.P - at.h.S
        geometric = d * w
        forth = ramp(0.5 + 10 * w)  # which way it turns, from 0.05 rad/s on
        moved = displaced(geometric, at.w.S, at.w.P, d)
        rate = gaps(at.slip, d, mu)
        slip = rate * drop
        drag = drag_torque(d, w, drop, mu, viscous=at.viscous_drag, pressed=at.pressure_drag, steady=at.breakaway)
        return Law(
            into={"S": moved - slip, "P": slip - moved, "shaft": d * drop + drag},
            volume={"S": 0.5 * at.gallery, "P": at.gallery},
            inertia={"shaft": at.rotor},
            heat={
                "slip": Heat(slip * lift, Loss.PUMP),
                "drag": Heat(drag * w, Loss.PUMP),
                "filling": Heat(geometric * drop - moved * lift, Loss.PUMP),
            },
            readings={
                "delivery": ((moved - slip) * at.w.P, "flow"),
                "gaps": (rate * at.w.P, "leakage"),
                "slip": (slip * at.w.P, "flow"),
                "pressed": (moved * at.w.P, "flow"),  # what it moves, at the pressure of its outlet
                "filling": (forth * at.w.P / at.w.S + (1 - forth) * at.w.S / at.w.P, "ratio"),  # taken in, pressed
                "drag": (drag, "torque"),
                "torque": (d * drop + drag, "torque"),
                "power": ((d * drop + drag) * w, "power"),
            },
        )

    @classmethod
    def workings(cls, at: Sheet) -> Iterator[Working]:
        """Yield delivery, torque, powers, slip, speed and efficiencies of a pump."""
        size = at.number("V", "displacement", tr("displacement"))
        turning = at.turns("shaft")
        leak = at.value("slip")
        slip = at.term("qs", abs(leak), "flow", tr("slips back inside"))
        w = at.speed_at("shaft")
        swept = size.value * w
        share = at.value("pressed") / swept if w > _STANDS else at.value("filling")
        filling = at.term("f", share, "ratio", tr("of what it takes in, pressed"), (), pair("", 4, "", 4))
        delivery = at.flow_at("P", at.value("delivery"), source=tr("pump outlet"))
        mark = "−" if leak >= 0 else "+"
        if w > _STANDS:
            yield Working(
                at.part, tr("Delivery of the pump"), delivery, (size, turning, filling, slip),
                (f"q = V · n · f / 1000 {mark} qs", f"q = V · n · f / 231 {mark} qs"),
            )  # fmt: skip
        drop = at.drop("P", "S")
        rub = at.term("Tr", at.value("drag"), "torque", tr("friction"))
        sign = "+" if rub.value >= 0 else "−"
        rub = replace(rub, value=abs(rub.value))
        torque = at.term("T", at.value("torque"), "torque", tr("shaft"), drop.refers_to)
        yield Working(
            at.part, tr("Torque on the pump"), torque, (drop, size, rub),
            (f"T = Δp · V / 62.8 {sign} Tr", f"T = Δp · V / 75.4 {sign} Tr"),
        )  # fmt: skip
        oil, shaft = powers = pump_powers(at, delivery, torque, turning)
        yield from powers
        if abs(drop.value) > 1e3:
            rate = at.value("gaps") * at.oil.viscosity / RATED_VISCOSITY
            k = at.term("k", rate, "leakage", tr("gaps, with oil of 35 mPa·s"), (), LEAK)
            yield Working(
                at.part, tr("Slip of the pump"),
                at.reading("qs", "slip", tr("slips back inside"), drop.refers_to, TRICKLE),
                (k, drop, at.viscosity()), ("qs = k · Δp · 35 / μ",) * 2,
            )  # fmt: skip
        if w > _TURNS:
            speed = at.turns("shaft")
            yield Working(
                at.part, tr("Speed that this flow takes"), speed, (delivery, slip, size, filling),
                (f"n = ( q {'+' if leak >= 0 else '−'} qs ) · 1000 / ( V · f )",
                 f"n = ( q {'+' if leak >= 0 else '−'} qs ) · 231 / ( V · f )"),
            )  # fmt: skip
            result = at.term(
                "η", delivery.value / swept, "ratio", tr("of what it sweeps"), delivery.refers_to, PERCENT
            )
            yield Working(
                at.part, tr("Volumetric efficiency"), result, (delivery, size, turning),
                ("η = q · 1000 · 100 / ( V · n )", "η = q · 231 · 100 / ( V · n )"),
            )  # fmt: skip
        yield from pump_efficiency(at, oil, shaft, drop)


class HandCrank(Part):
    """A person at a crank: torque falls with speed, weaker at the dead centres, and tires above a steady power.

    Cranking line T = T0 (1 - w/w0) from arm-crank tests (T0 about 60 N m, w0 about 22 rad/s); a reserve of work
    is spent above the power that can be kept up all day (40 W by arm) and comes back at half the rate.
    """

    ports = {"shaft": SHAFT}
    symbol = "hand_crank"
    letter = "M"
    plain = Plain(
        mark("Hand crank"),
        does=mark("A person turns the pump with it."),
        works=mark(
            "The arm is strongest standing still and has nothing left at full speed; at two places of each "
            "turn it pushes poorly. Above a steady power it tires."
        ),
        set=mark(
            "The speed asked for is what the person tries to keep. Where the load asks for too much torque, "
            "the crank slows down or stops."
        ),
        law=mark(
            "Torque of the arms falls in a straight line with speed, T0 · ( 1 − n / n0 ), as in tests of arm "
            "cranking (T0 about 60 N m or 44 lbf ft, from memory); work above 40 W tires, and comes back half "
            "as fast (from memory)."
        ),
    )
    role = PrimeMover(halt="Take the hands off the {} and let it stand.", kind="hand")
    words = {"arms": "arms"}
    speed_asked = Control("0 r/min", low="0 r/min", high="90 r/min", meaning="speed the person tries to keep")
    strength = Parameter("60 N m", low="1 N m", high="300 N m", meaning="torque at a standstill, rested")
    top_speed = Parameter("22 rad/s", low="1 rad/s", high="60 rad/s", meaning="speed at which no torque is left")
    steady = Parameter("40 W", low="1 W", high="400 W", meaning="power that can be kept up")
    work_reserve = Parameter("6 kJ", low="0.1 kJ", high="60 kJ", meaning="work above it before exhaustion")
    weary = Parameter("14 %", low="5 %", high="100 %", meaning="share of the strength left when exhausted")
    flywheel = Parameter("0.05 kg m2", low="1e-3 kg m2", high="5 kg m2", meaning="inertia of crank and flywheel")
    weakness = Wear(
        "0 %",
        mild="25 %",
        marginal="45 %",
        failed="70 %",
        notice="the crank gets too heavy as soon as something is to be lifted",
        meaning="share of the strength that is missing",
    )
    angle = State("0 rad", nominal="1 rad", wraps=True)
    spent = State("0 J", nominal="100 J")

    @classmethod
    def overload(cls, values: Mapping[str, float]) -> str:
        """Return that the arms give all they can and the crank falls behind."""
        slow = values["speed"] < 0.97 * values["speed_asked"] - 0.1
        if values["effort"] > 0.97 and slow and values["surplus"] < 0.1 * values["torque"]:
            return tr("cannot keep up. All the strength there is goes into the crank.")
        return ""

    def equations(self, at: At) -> Law:
        """Return the person's torque as a governor within what the arms can give."""
        w = at.speed.shaft
        left = ramp((at.work_reserve - at.spent) / (0.15 * at.work_reserve))
        fresh = at.weary + (1 - at.weary) * left
        dead_centre = 1 + 0.3 * ca.cos(2 * at.angle)
        strength = at.strength * (1 - clip(at.weakness, 0, 0.95))
        can = strength * fresh * pos(1 - w / at.top_speed, 0.02) * dead_centre
        ask = 20.0 * pos(at.speed_asked - w - 0.05, 0.05)
        torque = smooth_min(ask, can, 0.5)
        torque = pos(torque - 0.1, 0.1)
        power = torque * w
        over = power - at.steady
        spending = pos(over, 0.5) * ramp(1 + (at.work_reserve - at.spent) / (0.02 * at.work_reserve))
        return Law(
            into={"shaft": -torque},
            inertia={"shaft": at.flywheel},
            rate={"angle": w, "spent": spending - 0.5 * pos(-over, 0.5) * ramp(at.spent / 20.0)},
            supply={"arms": power},
            readings={
                "torque": (torque, "torque"),
                "power": (power, "power"),
                "effort": (torque / (can + 0.1), "ratio"),
                "largest_torque": (can, "torque"),
                "strength": (strength, "torque"),
                "fresh": (fresh, "ratio"),
                "dead_centre": (dead_centre, "ratio"),
                "rest": (1 - at.spent / at.work_reserve, "ratio"),
                "angle": (at.angle, "angle"),
            },
        )

    @classmethod
    def workings(cls, at: Sheet) -> Iterator[Working]:
        """Yield power, what the arms can, effort, and how long they last."""
        torque, speed, power = drive(at, tr("Power of the arms"))
        yield power
        given, consumption = at.value("torque"), at.value("effort")
        w = at.speed_at("shaft")
        top = at.parameter("top_speed")
        left = at.parameter("work_reserve") - at.state("spent")
        if consumption > 1e-6 and 1 - w / top > 0.02:
            can = at.reading("Tc", "largest_torque", tr("that the arms can at this speed"))
            yield Working(
                at.part, tr("Torque that the arms can"), can,
                (
                    worn(at, "T0", "strength", "weakness", "strength"),
                    at.reading("kf", "fresh", tr("how fresh they are"), (), PLAIN),
                    speed, at.number("n0", "top_speed"),
                    at.reading("kd", "dead_centre", tr("place of the crank, weakest at the dead centres"), (), PLAIN),
                ),
                ("Tc = T0 · kf · kd · ( 1 − n / n0 )",) * 2,
            )  # fmt: skip
            result = at.term("E", given / can.value, "ratio", tr("of what they can"), (), PERCENT)
            yield Working(at.part, tr("Effort"), result, (torque, can), ("E = T · 100 / Tc",) * 2)
        over = at.value("power") - at.parameter("steady")
        if over > 1.0 and left > 0:
            work = pair("kJ", 2, "ft lbf", 0)
            watts = pair("W", 2, "hp", 5)
            yield Working(
                at.part, tr("How long the arms last"),
                at.term("t", left / over, "time", tr("at this power"), (), pair("s", 0, "s", 0)),
                (
                    at.term("W", left, "energy", tr("work left above what they can all day"), (), work),
                    at.reading("P", "power", tr("now"), (), watts),
                    at.number("Pd", "steady", tr("all day"), watts),
                ),
                ("t = W · 1000 / ( P − Pd )", "t = W / ( ( P − Pd ) · 550 )"),
            )  # fmt: skip


class SteadyDrive(Part):
    """A prime mover that holds the speed it is set to, whatever it drives: a large electric motor."""

    ports = {"shaft": SHAFT}
    carries = ("shaft",)
    symbol = "e_motor"
    letter = "M"
    plain = Plain(
        mark("Constant-speed drive"),
        does=mark("It turns the pump at the speed it is set to, whatever that takes."),
        works=mark(
            "It never slows down: what the load asks for, it gives. With it a lesson can look at the oil alone."
        ),
        set=mark("Only its speed is set. A real drive of that strength would be a large electric motor."),
        law=mark("None of its own: it holds its speed, an ideal of every textbook."),
    )
    role = PrimeMover(halt=SWITCHED, kind="ideal")
    words = {"drive": "drive"}
    setting = Control("0 r/min", low="-4000 r/min", high="4000 r/min", meaning="speed it holds")
    lag = Parameter("50 ms", low="1 ms", high="10 s", meaning="time constant of a change of speed")
    speed_lost = Wear(
        "0 %",
        mild="8 %",
        marginal="17 %",
        failed="40 %",
        notice="everything is slow alike, and it sounds lower than it used to",
        meaning="share of the speed set by which it turns too slowly",
    )
    turning = State("0 rad/s", nominal="10 rad/s")

    def equations(self, at: At) -> Law:
        """Return the drive's law: its speed follows the setting; torque and power are what that takes."""
        pull = (at.setting * (1 - clip(at.speed_lost, 0, 1)) - at.turning) / at.lag
        torque = at.inertia.shaft * pull - at.given.shaft
        return Law(
            carries={"shaft": (0.0, at.turning)},
            rate={"turning": pull},
            supply={"drive": torque * at.turning},
            readings={"torque": (torque, "torque"), "power": (torque * at.turning, "power")},
        )

    @classmethod
    def workings(cls, at: Sheet) -> Iterator[Working]:
        """Yield the power of a drive that holds its speed."""
        yield drive(at)[2]


class ShaftCoupling(Part):
    """A flexible coupling: a torsion spring that slips above a torque (a key sheared, a belt too slack)."""

    ports = {"1": SHAFT, "2": SHAFT}
    symbol = "coupling"
    letter = "Z"
    plain = Plain(
        mark("Shaft coupling"),
        does=mark("It joins two shafts, and gives a little between them."),
        works=mark(
            "Rubber or springs wind up with the torque. Above a limit it slips: the drive turns, the pump "
            "hardly does, and the flow falls as if the pump were worn."
        ),
        set=mark(
            "It is chosen well above the highest torque, shocks included. Marks on both halves show whether it slips."
        ),
        law=mark(
            "A torsion spring, Hooke's law, that slips from a torque on: dry friction as one elastic bristle "
            "(Dahl 1968, from memory)."
        ),
    )
    role = Transmission()
    words = {"coupling": "coupling", "twist": "twist"}
    grip = Parameter("200 N m", low="0.1 N m", high="5000 N m", meaning="torque at which it slips")
    wind = Parameter("3 deg", low="0.1 deg", high="30 deg", meaning="twist at that torque")
    damping = Parameter("0.5 N m s", low="0.001 N m s", high="50 N m s", meaning="damping of the rubber")
    hub = Parameter("2e-4 kg m2", low="1e-6 kg m2", high="1 kg m2", meaning="moment of inertia of each half")
    slack = Wear(
        "0 %",
        mild="50 %",
        marginal="75 %",
        failed="97 %",
        notice="light work goes as ever, with a load it dies away; there is a burnt smell",
        meaning="share of its grip that is lost: a belt too slack, a key half sheared",
    )
    twist = State("0 rad", nominal="0.01 rad")

    def equations(self, at: At) -> Law:
        """Return the coupling's law after the bristle of ``laws``."""
        relative = at.speed["1"] - at.speed["2"]
        grip = at.grip * (1 - clip(at.slack, 0, 0.999))
        rate, torque, heat, stored = bristle(at.twist, relative, grip, at.wind, at.damping)
        return Law(
            into={"1": torque, "2": -torque},
            inertia={"1": at.hub, "2": at.hub},
            rate={"twist": rate},
            heat={"coupling": Heat(heat, Loss.DRIVE, dry=True)},
            stored={"twist": stored},
            readings={
                "torque": (torque, "torque"),
                "grip": (grip, "torque"),
                "damping": (at.damping * rate, "torque"),
                "slip": (relative, "shaft speed"),
            },
        )

    @classmethod
    def workings(cls, at: Sheet) -> Iterator[Working]:
        """Yield the torque that a coupling passes, by its twist, and its slip."""
        angle = pair("deg", 3, "deg", 3)
        bend = at.term("φ", at.state("twist"), "angle", tr("twisted"), (), angle)
        rest = at.reading("Td", "damping", tr("rubber damps"))
        result = at.reading("T", "torque", tr("passed on"))
        sign = "+" if rest.value >= 0 else "−"
        yield Working(
            at.part, tr("Torque of the coupling"), result,
            (worn(at, "Tg", "grip", "slack", "grip"), bend,
             at.number("φg", "wind", tr("twist at which it slips"), angle),
             replace(rest, value=abs(rest.value))),
            (f"T = Tg · φ / φg {sign} Td",) * 2,
        )  # fmt: skip
        fine = pair("r/min", 2, "r/min", 2)
        halves = [
            at.term(
                f"n{port}",
                sign * at.speed_at(port),
                "shaft speed",
                tr("shaft {line}").format(line=at.line(port)),
                (("speed", at.line(port)),),
                fine,
            )
            for port, sign in (("1", 1), ("2", -1))
        ]
        slip = at.reading("ns", "slip", tr("between its halves"), (), fine)
        yield balance(at.part, tr("Slip of the coupling"), slip, halves)
