"""The double-acting cylinder."""

from __future__ import annotations

import math
from collections.abc import Callable

import casadi as ca

from trainer.parts.laws import clip, friction_force, pos, smooth_abs, stop
from trainer.parts.part import At, Expr, Heat, Kind, Law, Loss, Parameter, Part, Stream, Wear
from trainer.parts.roles import Actuator

__all__ = ["Cylinder"]

_STRONG = 250e5  # Pa on the piston, for which the end stops are laid out
_LEAST, _FLOOR = 0.6e-3, 0.2e-3  # m of piston: the oil left at a stop at least, and where the volume stops shrinking


def _room(dead: Expr, area: Expr, travel: Expr) -> tuple[Expr, Expr]:
    """Return the volume of an end and the area with which the piston still moves it aside there."""
    floor, width = _FLOOR * area, 0.5 * _FLOOR * area
    over = ca.fmax(dead, _LEAST * area) + area * travel - floor
    return floor + pos(over, width), area * (clip(over, -width, width) + width) / (2 * width)


class Cylinder(Part):
    """Pressure on the piston moves the rod: A is the cap end, B the rod end. Place and speed are the load's.

    Friction: Stribeck curve plus a share of the pressure forces. Good seals hardly stick (common practice, no
    source), so that the load goes steadily however slowly; worn ones do. Stops of stiff metal with damping. Both
    ends hold oil also where a load presses the piston into a stop: at least 0.6 mm of piston.
    """

    ports = {"A": Kind.OIL, "B": Kind.OIL, "rod": Kind.ROD}
    port_names = {"A": "cap end", "B": "rod end"}
    symbol = "cyl_da"
    letter = "A"
    role = Actuator(areas=("cap area", "rod-end area"), stroke="stroke")
    bore = Parameter("80 mm", low="16 mm", high="300 mm", meaning="inside diameter", at_rest=True)
    rod = Parameter("45 mm", low="0 mm", high="250 mm", meaning="rod diameter", at_rest=True)
    stroke = Parameter("500 mm", low="20 mm", high="4 m", meaning="travel of the piston", at_rest=True)
    dead_volume = Parameter(
        "40 cm3", low="1 cm3", high="5 L", meaning="oil at each end beyond the stroke", at_rest=True
    )
    kinetic_friction = Parameter("120 N", low="0 N", high="20 kN", meaning="friction when moving")
    stick_slip = Wear(
        "5 %",
        mild=3,
        marginal=8,
        failed=20,
        notice="it moves in jerks when it goes slowly",
        meaning="friction before moving above that when moving",
    )
    viscous_friction = Parameter(
        "800 N s/m", low="0 N s/m", high="1e5 N s/m", meaning="friction that grows with speed"
    )
    pressure_friction = Parameter("1.5 %", low="0 %", high="20 %", meaning="seal friction, share of pressure forces")
    leakage = Wear(
        "1e-14 m3/s/Pa",
        mild=5,
        marginal=20,
        failed=100,
        notice="weak and slow both ways",
        meaning="leak past the piston at 35 mPa s",
    )
    rod_mass = Parameter("5 kg", low="0.1 kg", high="500 kg", meaning="mass of piston and rod")
    end_give = Parameter(
        "0.2 mm",
        low="0.02 mm",
        high="0.5 mm",
        meaning="how far the end stops give way to 250 bar on the whole piston",
    )
    end_damping = Parameter("2e4 N s/m", low="0 N s/m", high="1e6 N s/m", meaning="damping of the end stops")

    @classmethod
    def objections(cls, value: Callable[[str], float]) -> list[str]:
        """Return what cannot be: a rod as thick as its bore."""
        if value("rod") > 0.98 * value("bore"):
            return ["the rod is as thick as the bore; give a rod that leaves an annulus"]
        return []

    def equations(self, at: At) -> Law:
        """Return the cylinder's law."""
        x, v, p = at.place.rod, at.speed.rod, at.p
        cap = math.pi * at.bore * at.bore / 4
        annulus = cap - math.pi * ca.fmin(at.rod, 0.98 * at.bore) ** 2 / 4
        rate = _STRONG * cap / at.end_give
        end, end_heat, end_stored = stop(x, v, at.stroke, rate, at.end_damping, at.end_give)
        seal = at.pressure_friction * (smooth_abs(p.A, 1e4) * cap + smooth_abs(p.B, 1e4) * annulus)
        static = at.kinetic_friction * (1 + at.stick_slip)
        rubbing = friction_force(v, at.kinetic_friction, static, at.viscous_friction)
        rubbing = rubbing + seal * ca.tanh(v / 0.002)
        room_a, end_a = _room(at.dead_volume, cap, x)
        room_b, end_b = _room(at.dead_volume, annulus, at.stroke - x)
        push = p.A * end_a - p.B * end_b
        leak = at.leakage * 0.035 / at.oil.viscosity * (p.A - p.B)
        return Law(
            streams={"past the piston": Stream("A", "B", leak, Loss.LEAKAGE)},
            into={"rod": rubbing - push - end},
            volume={"A": room_a, "B": room_b},
            inertia={"rod": at.rod_mass},
            heat={
                "rod friction": Heat(rubbing * v, Loss.FRICTION),
                "end stop": Heat(end_heat, Loss.FRICTION, dry=True),
            },
            stored={"end stop": end_stored},
            readings={
                "force": (push - rubbing, "force"),
                "friction": (rubbing, "force"),
                "extension": (x / at.stroke, "ratio"),
                "cap area": (cap, "area"),
                "rod-end area": (annulus, "area"),
            },
        )
