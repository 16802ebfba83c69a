"""Loads on a rod: a weight, a wall in its way, a force that does not change."""

from __future__ import annotations

from trainer.parts.laws import contact
from trainer.parts.part import At, Heat, Kind, Law, Loss, Parameter, Part, State
from trainer.parts.roles import Load
from trainer.units import GRAVITY

__all__ = ["ConstantForce", "Wall", "Weight"]

ROD = Kind.ROD


class Weight(Part):
    """A mass on the rod; ``along`` is the share of its weight that acts on it: 1 lifted, 0 level, -1 pulling."""

    ports = {"rod": ROD}
    carries = ("rod",)
    symbol = "weight"
    letter = "W"
    role = Load("weight", lifted="rod", pushes=True)
    mass = Parameter("500 kg", low="0.5 kg", high="100000 kg", meaning="mass", load=True)
    along = Parameter("1", low="-1", high="1", meaning="share of its weight that resists extending")
    x = State("0 m", nominal="0.1 m")
    v = State("0 m/s", nominal="0.1 m/s")

    def equations(self, at: At) -> Law:
        """Return Newton's law for the mass and all that moves with it."""
        weight = at.mass * GRAVITY * at.along
        return Law(
            carries={"rod": (at.x, at.v)},
            rate={"x": at.v, "v": (at.given.rod - weight) / (at.mass + at.inertia.rod)},
            stored={"motion": at.mass * at.v * at.v / 2, "height": weight * at.x},
            readings={"force": (weight, "force"), "place": (at.x, "length"), "speed": (at.v, "speed")},
        )


class Wall(Part):
    """Something stiff that the rod meets after a gap: it pushes back and never pulls."""

    ports = {"rod": ROD}
    symbol = "wall"
    letter = "W"
    role = Load()
    gap = Parameter("100 mm", low="0 mm", high="5 m", meaning="extension at which the rod touches it")
    rate = Parameter("2e7 N/m", low="1e4 N/m", high="1e9 N/m", meaning="stiffness")
    damping = Parameter("2 s/m", low="0 s/m", high="50 s/m", meaning="damping, as a share of the force per m/s")

    def equations(self, at: At) -> Law:
        """Return the contact's law; damping grows with the force, so that it never sticks."""
        force, heat, stored = contact(at.place.rod - at.gap, at.speed.rod, at.rate, at.damping)
        return Law(
            into={"rod": force},
            heat={"impact": Heat(heat, Loss.FRICTION, dry=True)},
            stored={"wall": stored},
            readings={"force": (force, "force")},
        )


class ConstantForce(Part):
    """A force against extending that does not change with place or speed: a hanging pull, a press load."""

    ports = {"rod": ROD}
    symbol = "force"
    letter = "W"
    role = Load(lifted="rod", pushes=True)
    force = Parameter("10 kN", low="-2000 kN", high="2000 kN", meaning="force against extending", load=True)
    mass = Parameter("10 kg", low="0.1 kg", high="10000 kg", meaning="mass that moves with it")

    def equations(self, at: At) -> Law:
        """Return the force's law; its work leaves the rig."""
        return Law(
            into={"rod": at.force},
            inertia={"rod": at.mass},
            supply={"load": -at.force * at.speed.rod},
            readings={"force": (at.force, "force")},
        )
