"""Supply: reservoir, pump, and what turns it: a person's arms, a steady drive, a shaft coupling."""

from __future__ import annotations

from collections.abc import Callable, Mapping

import casadi as ca

from trainer.parts.laws import bristle, pos, ramp, smooth_abs, smooth_min, smooth_sign
from trainer.parts.oil import HEAT_CAPACITY
from trainer.parts.part import (
    At,
    Choice,
    Control,
    Heat,
    Kind,
    Law,
    Loss,
    Parameter,
    Part,
    State,
    Wear,
)
from trainer.parts.roles import SWITCHED, PrimeMover, Pump, Tank, Transmission

__all__ = ["FixedPump", "HandCrank", "Reservoir", "ShaftCoupling", "SteadyDrive"]

OIL, SHAFT = Kind.OIL, Kind.SHAFT


class Reservoir(Part):
    """A vented tank: oil leaves by S and returns by T, both at zero gauge; its oil is counted, and cools."""

    ports = {"S": OIL, "T": OIL}
    carries = ("S", "T")
    symbol = "reservoir"
    letter = "Z"
    role = Tank()
    called = "tank"
    volume = Parameter("40 L", low="1 L", high="2000 L", meaning="oil in the tank at the start", at_rest=True)
    cooling = Parameter(
        "6 W/K",
        low="0 W/K",
        high="500 W/K",
        meaning="heat given to the air per kelvin (about 12 W/m2 K of wall)",
    )
    steel = Parameter("20 kg", low="0 kg", high="2000 kg", meaning="metal that warms with the oil")
    ambient = Parameter("20 C", low="-40 C", high="50 C", meaning="temperature of the air")
    content = State("0 m3", nominal="1 cm3")  # gained since the start

    def equations(self, at: At) -> Law:
        """Return the tank's law: two lines at zero gauge, content by their flows."""
        flow = at.given.S + at.given.T
        return Law(
            carries={"S": 0.0, "T": 0.0},
            rate={"content": flow},
            readings={
                "content": (at.volume + at.content, "volume"),
                "flow": (flow, "flow"),
                "heat capacity": (
                    at.volume * at.oil.density * HEAT_CAPACITY + at.steel * 480.0,
                    "heat capacity",
                ),
                "heat to the air": (at.cooling * (at.oil.temperature - at.ambient), "power"),
            },
        )


class FixedPump(Part):
    """A pump of fixed displacement: it pushes oil out; the circuit decides the pressure that takes.

    Slip and drag after Wilson (1946): slip = Cs d dp / mu, drag = Cv d mu w + Cf d |dp| + Tc. The data sets are
    our own choice, made to give 0.95 / 0.92 (gear, 1500 r/min, 175 bar, 35 mPa s) and 0.97 (low-speed piston).
    """

    ports = {"S": OIL, "P": OIL, "shaft": SHAFT}
    symbol = "pump_fixed"
    letter = "P"
    role = Pump()
    called = "pump"
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

    def equations(self, at: At) -> Law:
        """Return the pump's law; it fills with what is at its inlet, air and vapour included."""
        d, w, mu = at.displacement, at.speed.shaft, at.oil.viscosity
        drop, lift = at.p.P - at.p.S, at.h.P - at.h.S
        geometric = d * w
        forth = ramp(0.5 + 10 * w)  # which way it turns, from 0.05 rad/s on
        moved = pos(geometric, d) / at.w.S - pos(-geometric, d) / at.w.P
        slip = at.slip * d * drop / mu
        film = mu / (1 + mu / 0.35)  # the drag film warms itself when the oil is thick
        drag = at.viscous_drag * d * film * w + (
            at.pressure_drag * d * smooth_abs(drop, 1e4) + at.breakaway
        ) * smooth_sign(w, 0.5)
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
                "slip": (slip * at.w.P, "flow"),
                "filling": (forth * at.w.P / at.w.S + (1 - forth) * at.w.S / at.w.P, "ratio"),  # taken in, pressed
                "drag": (drag, "torque"),
                "torque": (d * drop + drag, "torque"),
                "power": ((d * drop + drag) * w, "power"),
            },
        )


class HandCrank(Part):
    """A person at a crank: torque falls with speed, weaker at the dead centres, and tires above a steady power.

    Cranking line T = T0 (1 - w/w0) from arm-crank tests (T0 about 60 N m, w0 about 22 rad/s); a reserve of work
    is spent above the power that can be kept up all day (40 W by arm) and comes back at half the rate.
    """

    ports = {"shaft": SHAFT}
    symbol = "hand_crank"
    letter = "M"
    role = PrimeMover(halt="Take the hands off the {} and let it stand.", by_hand=True)
    speed_asked = Control("0 r/min", low="0 r/min", high="90 r/min", meaning="speed the person tries to keep")
    strength = Parameter("60 N m", low="1 N m", high="300 N m", meaning="torque at a standstill, rested")
    top_speed = Parameter("22 rad/s", low="1 rad/s", high="60 rad/s", meaning="speed at which no torque is left")
    steady = Parameter("40 W", low="1 W", high="400 W", meaning="power that can be kept up")
    work_reserve = Parameter("6 kJ", low="0.1 kJ", high="60 kJ", meaning="work above it before exhaustion")
    weary = Parameter("14 %", low="5 %", high="100 %", meaning="share of the strength left when exhausted")
    flywheel = Parameter("0.05 kg m2", low="1e-3 kg m2", high="5 kg m2", meaning="inertia of crank and flywheel")
    angle = State("0 rad", nominal="1 rad", wraps=True)
    spent = State("0 J", nominal="100 J")

    @classmethod
    def overload(cls, values: Mapping[str, float]) -> str:
        """Return that the arms give all they can and the crank falls behind."""
        slow = values["speed"] < 0.97 * values["speed_asked"] - 0.1
        if values["effort"] > 0.97 and slow and values["surplus"] < 0.1 * values["torque"]:
            return "cannot keep up. All the strength there is goes into the crank."
        return ""

    def equations(self, at: At) -> Law:
        """Return the person's torque as a governor within what the arms can give."""
        w = at.speed.shaft
        left = ramp((at.work_reserve - at.spent) / (0.15 * at.work_reserve))
        able = at.strength * (at.weary + (1 - at.weary) * left)
        dead_centre = 1 + 0.3 * ca.cos(2 * at.angle)
        can = able * pos(1 - w / at.top_speed, 0.02) * dead_centre
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
                "rest": (1 - at.spent / at.work_reserve, "ratio"),
                "angle": (at.angle, "angle"),
            },
        )


class SteadyDrive(Part):
    """A prime mover that holds the speed it is set to, whatever it drives: a large electric motor."""

    ports = {"shaft": SHAFT}
    carries = ("shaft",)
    symbol = "e_motor"
    letter = "M"
    role = PrimeMover(halt=SWITCHED)
    setting = Control("0 r/min", low="-4000 r/min", high="4000 r/min", meaning="speed it holds")
    lag = Parameter("50 ms", low="1 ms", high="10 s", meaning="time constant of a change of speed")
    turning = State("0 rad/s", nominal="10 rad/s")

    def equations(self, at: At) -> Law:
        """Return the drive's law: its speed follows the setting; torque and power are what that takes."""
        pull = (at.setting - at.turning) / at.lag
        torque = at.inertia.shaft * pull - at.given.shaft
        return Law(
            carries={"shaft": (0.0, at.turning)},
            rate={"turning": pull},
            supply={"drive": torque * at.turning},
            readings={"torque": (torque, "torque"), "power": (torque * at.turning, "power")},
        )


class ShaftCoupling(Part):
    """A flexible coupling: a torsion spring that slips above a torque (a key sheared, a belt too slack)."""

    ports = {"1": SHAFT, "2": SHAFT}
    symbol = "coupling"
    letter = "Z"
    role = Transmission()
    grip = Parameter("200 N m", low="0.1 N m", high="5000 N m", meaning="torque at which it slips")
    wind = Parameter("3 deg", low="0.1 deg", high="30 deg", meaning="twist at that torque")
    damping = Parameter("0.5 N m s", low="0.001 N m s", high="50 N m s", meaning="damping of the rubber")
    hub = Parameter("2e-4 kg m2", low="1e-6 kg m2", high="1 kg m2", meaning="moment of inertia of each half")
    twist = State("0 rad", nominal="0.01 rad")

    def equations(self, at: At) -> Law:
        """Return the coupling's law after the bristle of ``laws``."""
        relative = at.speed["1"] - at.speed["2"]
        rate, torque, heat, stored = bristle(at.twist, relative, at.grip, at.wind, at.damping)
        return Law(
            into={"1": torque, "2": -torque},
            inertia={"1": at.hub, "2": at.hub},
            rate={"twist": rate},
            heat={"coupling": Heat(heat, Loss.DRIVE, dry=True)},
            stored={"twist": stored},
            readings={"torque": (torque, "torque"), "slip": (relative, "shaft speed")},
        )
