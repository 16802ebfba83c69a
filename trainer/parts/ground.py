"""A trailer that stands on tyres and is lifted by two stabiliser legs on uneven ground."""

from __future__ import annotations

from collections.abc import Iterator

import casadi as ca

from trainer.formula import Working
from trainer.language import mark, tr
from trainer.parts.laws import contact, pos, pos_energy
from trainer.parts.mechanics import lagrange
from trainer.parts.part import At, Heat, Kind, Law, Loss, Parameter, Part, State
from trainer.parts.plain import Plain
from trainer.parts.roles import Load
from trainer.parts.sheet import PERCENT, Sheet
from trainer.units import GRAVITY, pair

__all__ = ["Trailer"]

_LIES = 0.25  # rad at which it lies on its side
_CATCH = (1e6, 0.5)  # stiffness [N m/rad] and damping [s/rad] of what it lies on


class Trailer(Part):
    """The trailer's weight shared by two tyres and two feet: it heaves and rolls; each foot meets its own ground.

    ``leg1`` is on the left. Extending a leg lowers its foot; contact is a stiff spring whose damping grows with
    the load, so that a foot never sticks to the ground. What stands on it goes with ``heave`` and ``roll`` (left up
    positive) and pushes back; leant too far it is caught by a stop, as a machine lies on its side.
    """

    ports = {"leg1": Kind.ROD, "leg2": Kind.ROD, "heave": Kind.ROD, "roll": Kind.SHAFT}
    carries = ("leg1", "leg2", "heave", "roll")
    spare = ("heave", "roll")
    symbol = "trailer"
    letter = "W"
    plain = Plain(
        mark("Trailer on its legs"),
        does=mark("It carries the crane, and stands on two feet and two tyres."),
        works=mark(
            "A foot carries nothing until it meets the ground; then it takes weight off the tyres, and the "
            "pressure in its cylinder rises with it. The foot that meets the ground first stops, and the oil "
            "goes to the other."
        ),
        set=mark(
            "Both feet are set until the machine stands level and the tyres are still loaded. On soft or "
            "sloping ground a foot sinks or meets it later: look again after the first lift."
        ),
        law=mark(
            "Heave and roll by Lagrange's equations; tyres and ground are springs, the ground's damping grows "
            "with the load (Hunt and Crossley 1975, from memory). Its sizes are our own."
        ),
    )
    role = Load(ways=(("leg1", "down", "up"), ("leg2", "down", "up")))
    words = {"ground": "ground", "motion": "motion", "height": "height", "springs": "springs"}
    mass = Parameter("1700 kg", low="100 kg", high="40000 kg", meaning="mass resting on legs and tyres")
    roll_inertia = Parameter("900 kg m2", low="20 kg m2", high="100000 kg m2", meaning="moment of inertia in roll")
    foot_mass = Parameter("15 kg", low="1 kg", high="500 kg", meaning="mass of one leg's moving half")
    spread = Parameter("1.1 m", low="0.2 m", high="4 m", meaning="half the distance between the feet")
    track = Parameter("0.8 m", low="0.2 m", high="3 m", meaning="half the distance between the tyres")
    gap = Parameter("250 mm", low="0 mm", high="1.5 m", meaning="feet above level ground with the legs in")
    ground1 = Parameter("0 mm", low="-400 mm", high="400 mm", meaning="ground under leg 1 above the tyres'")
    ground2 = Parameter("0 mm", low="-400 mm", high="400 mm", meaning="ground under leg 2 above the tyres'")
    hardness = Parameter("4e6 N/m", low="1e5 N/m", high="1e8 N/m", meaning="stiffness of the ground under a foot")
    settling = Parameter("2 s/m", low="0 s/m", high="20 s/m", meaning="damping of the ground, per unit of load")
    tyre = Parameter("3e5 N/m", low="1e4 N/m", high="1e7 N/m", meaning="stiffness of one tyre")
    tyre_damping = Parameter("3000 N s/m", low="0 N s/m", high="1e5 N s/m", meaning="damping of one tyre")
    heave = State("-27 mm", nominal="10 mm")
    roll = State("0 rad", nominal="0.01 rad")
    x1 = State("0 m", nominal="0.1 m")
    x2 = State("0 m", nominal="0.1 m")
    heave_rate = State("0 m/s", nominal="0.1 m/s")
    roll_rate = State("0 rad/s", nominal="0.1 rad/s")
    v1 = State("0 m/s", nominal="0.1 m/s")
    v2 = State("0 m/s", nominal="0.1 m/s")

    def equations(self, at: At) -> Law:
        """Return the trailer's law by Lagrange's equations for heave, roll and the two legs."""
        q = ca.vertcat(at.heave, at.roll, at.x1, at.x2)
        v = ca.vertcat(at.heave_rate, at.roll_rate, at.v1, at.v2)
        lean, level = ca.sin(at.roll), ca.cos(at.roll)
        feet = [at.heave + at.spread * lean + at.gap - at.x1, at.heave - at.spread * lean + at.gap - at.x2]
        hubs = [at.heave + at.track * lean, at.heave - at.track * lean]
        grounds = [at.ground1, at.ground2]
        motion = at.mass * v[0] ** 2 / 2 + at.roll_inertia * v[1] ** 2 / 2
        height = at.mass * GRAVITY * (at.heave + 0.8 * (level - 1))
        springs, heat = ca.SX(0), ca.SX(0)
        force = ca.vertcat(at.given.heave, at.given.roll, at.given.leg1, at.given.leg2)
        loads, tyres = [], []
        for foot, ground in zip(feet, grounds, strict=True):
            speed = ca.jtimes(foot, q, v)
            motion += at.foot_mass * speed**2 / 2
            height += at.foot_mass * GRAVITY * foot
            load, lost, held = contact(ground - foot, -speed, at.hardness, at.settling)
            springs += held
            heat += lost
            force += load * ca.gradient(foot, q)
            loads.append(load)
        for hub in hubs:
            speed = ca.jtimes(hub, q, v)
            touch = pos(-hub + 1e-3, 1e-3) / (pos(-hub + 1e-3, 1e-3) + 2e-3)
            springs += at.tyre * pos_energy(-hub, 1e-3)
            tyre = at.tyre * pos(-hub, 1e-3) - at.tyre_damping * touch * speed
            force += tyre * ca.gradient(hub, q)
            heat += at.tyre_damping * touch * speed**2
            tyres.append(tyre)
        for side in (1, -1):
            push, lost, held = contact(side * at.roll - _LIES, side * v[1], *_CATCH)
            force[1] -= side * push
            heat += lost
            springs += held
        others = sum(
            (at.inertia[port] * v[i] ** 2 / 2 for i, port in enumerate(("heave", "roll", "leg1", "leg2"))), ca.SX(0)
        )
        acceleration = lagrange(q, v, motion + others, height, force)
        names = (("heave", "heave_rate"), ("roll", "roll_rate"), ("x1", "v1"), ("x2", "v2"))
        return Law(
            carries={
                "leg1": (at.x1, at.v1),
                "leg2": (at.x2, at.v2),
                "heave": (at.heave, at.heave_rate),
                "roll": (at.roll, at.roll_rate),
            },
            rate={
                **{place: v[i] for i, (place, _) in enumerate(names)},
                **{speed: acceleration[i] for i, (_, speed) in enumerate(names)},
            },
            heat={"ground": Heat(heat, Loss.FRICTION, dry=True)},
            stored={"motion": motion, "height": height, "springs": springs},
            readings={
                "weight": (at.mass * GRAVITY - at.given.heave, "force"),
                "carried": (-at.given.heave, "force"),
                "load_1": (loads[0], "force"),
                "load_2": (loads[1], "force"),
                "tyre_1": (tyres[0], "force"),
                "tyre_2": (tyres[1], "force"),
                "heave": (at.heave, "length"),
                "roll": (at.roll, "angle"),
                "foot_1": (feet[0], "length"),
                "foot_2": (feet[1], "length"),
            },
        )

    @classmethod
    def workings(cls, at: Sheet) -> Iterator[Working]:
        """Yield the weight of the trailer and how much of it stands on the legs."""
        mass = at.number("m", "mass", tr("mass"), pair("kg", 0, "lb", 0))
        heavy = at.reading("W", "weight", tr("trailer"))
        carried = at.value("carried")
        if carried:
            more = at.term("Fk", carried, "force", tr("what stands on it"))
            words = ("W = m · 9.807 / 1000 + Fk", "W = m + Fk")
            yield Working(at.part, tr("Weight of the trailer"), heavy, (mass, more), words)
        else:
            yield Working(at.part, tr("Weight of the trailer"), heavy, (mass,), ("W = m · 9.807 / 1000", "W = m"))
        feet = [at.reading(f"F{k}", f"load_{k}", tr("foot {number}").format(number=k)) for k in (1, 2)]
        stands = (feet[0].value + feet[1].value) / heavy.value
        result = at.term("L", stands, "ratio", tr("of the weight stands on the legs"), (), PERCENT)
        yield Working(at.part, tr("Weight on the legs"), result, (*feet, heavy), ("L = ( F1 + F2 ) · 100 / W",) * 2)
