"""Loads on a rod: a weight, a wall in its way, a force that does not change; on a shaft: a turntable."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace

import casadi as ca

from trainer.formula import Term, Working
from trainer.language import mark, tr
from trainer.parts.laws import TOUCH, contact, pressed, shock
from trainer.parts.part import At, Heat, Kind, Law, Loss, Parameter, Part, State, Wear
from trainer.parts.plain import Plain
from trainer.parts.roles import Load
from trainer.parts.sheet import Sheet, balance
from trainer.units import GRAVITY, PLAIN, pair

__all__ = ["ConstantForce", "Turntable", "Wall", "Weight"]

ROD, SHAFT = Kind.ROD, Kind.SHAFT


class Weight(Part):
    """A mass on the rod; ``along`` is the share of its weight that acts on it: 1 lifted, 0 level, -1 pulling.

    With ``leverage`` it hangs on a lever that is too long by that share: it goes so much further than the rod, weighs
    so much more there, and has the inertia of the square of it (textbooks of mechanics).
    """

    ports = {"rod": ROD}
    carries = ("rod",)
    symbol = "weight"
    letter = "W"
    plain = Plain(
        mark("Weight on a rod"),
        does=mark("It is the load: what the machine is there for."),
        works=mark(
            "Its weight, mass times 9.81, pushes on the rod, all of it upright, none of it level. Speeding it up "
            "asks for more force than holding it."
        ),
        set=mark("It is hung on by hand. A pressure counts only with a known weight."),
        law=mark("Force = mass · acceleration + share along the rod · weight: Newton's second law."),
    )
    role = Load("weight", lifted="rod", pushes=True)
    words = {"motion": "motion", "height": "height"}
    mass = Parameter("500 kg", low="0.5 kg", high="100000 kg", meaning="mass", load=True)
    along = Parameter("1", low="-1", high="1", meaning="share of its weight that resists extending")
    leverage = Wear(
        "0 %",
        mild="15 %",
        marginal="40 %",
        failed="100 %",
        notice="since it was last pinned up it hardly lifts what it always did, and it comes down fast",
        meaning="share by which its lever is longer than it should be: a pin in another hole",
        stays=True,
    )
    x = State("0 m", nominal="0.1 m")
    v = State("0 m/s", nominal="0.1 m/s")

    def equations(self, at: At) -> Law:
        """Return Newton's law for the mass and all that moves with it."""
        times = 1 + at.leverage
        weight, felt = at.mass * GRAVITY * at.along * times, at.mass * times * times
        return Law(
            carries={"rod": (at.x, at.v)},
            rate={"x": at.v, "v": (at.given.rod - weight) / (felt + at.inertia.rod)},
            stored={"motion": felt * at.v * at.v / 2, "height": weight * at.x},
            readings={"force": (weight, "force"), "place": (at.x, "length"), "speed": (at.v, "speed")},
        )

    @classmethod
    def workings(cls, at: Sheet) -> Iterator[Working]:
        """Yield a weight's force, what speeds it up, and the power that lifts it."""
        mass = at.number("m", "mass", tr("mass"), pair("kg", 1, "lb", 1))
        force = at.value("force")
        terms: tuple[Term, ...] = (mass,)
        share = ""
        if at.parameter("along") != 1.0:
            terms, share = (mass, at.number("k", "along", tr("share along the rod"), PLAIN)), " · k"
        long = at.parameter("leverage")
        if long:
            word = tr("its lever, of what it should be")
            terms, share = (*terms, at.term("i", 1 + long, "ratio", word, (), PLAIN)), f"{share} · i"
        pound = f"F = m{share}"
        result = at.term("F", force, "force", tr("against the rod"))
        yield Working(at.part, tr("Weight of the load"), result, terms, (f"F = m · 9.807{share} / 1000", pound),
                      tr("A mass of 1 lb weighs 1 lbf."))  # fmt: skip
        given = at.load("rod")
        moved = mass.value * (1 + long) ** 2 + at.inertia("rod")
        whole = at.term("m", moved, "mass", tr("load, piston and rod"), (), pair("kg", 1, "lb", 1))
        rate = at.term("a", abs(at.rate("v")), "acceleration", tr("gained a second"), (), pair("m/s2", 3, "ft/s2", 3))
        surplus = at.term("Fa", abs(given - force), "force", tr("what the rod gives beyond the weight")
                          if given >= force else tr("what the rod gives less than the weight"))  # fmt: skip
        faster = (given >= force) == (at.speed_at("rod") >= 0)
        yield Working(
            at.part, tr("What speeds it up") if faster else tr("What slows it down"),
            surplus, (whole, rate), ("Fa = m · a / 1000", "Fa = m · a / 32.17"),
        )  # fmt: skip
        yield _power(at, "rod", force, "weight")


class Wall(Part):
    """Something stiff that the rod meets after a gap: it pushes back and never pulls."""

    ports = {"rod": ROD}
    symbol = "wall"
    letter = "W"
    plain = Plain(
        mark("Fixed stop"),
        does=mark("It is something stiff that the rod runs into."),
        works=mark(
            "Until the rod is there it does nothing; then it pushes back as hard as it is pushed, and pressure "
            "rises until something gives way or lets oil off."
        ),
        set=mark("The gap says where it is met. It never pulls."),
        law=mark(
            "A stiff spring, Hooke's law, whose damping grows with the force (Hunt and Crossley 1975, from memory)."
        ),
    )
    role = Load()
    words = {"impact": "impact", "wall": "wall"}
    gap = Parameter("100 mm", low="0 mm", high="5 m", meaning="extension at which the rod touches it")
    rate = Parameter("2e7 N/m", low="1e4 N/m", high="1e9 N/m", meaning="stiffness")
    damping = Parameter("2 s/m", low="0 s/m", high="50 s/m", meaning="damping, as a share of the force per m/s")

    def equations(self, at: At) -> Law:
        """Return the contact's law; damping grows with the force, so that it never sticks."""
        depth = at.place.rod - at.gap
        force, heat, stored = contact(depth, at.speed.rod, at.rate, at.damping)
        return Law(
            into={"rod": force},
            heat={"impact": Heat(heat, Loss.FRICTION, dry=True)},
            stored={"wall": stored},
            readings={
                "force": (force, "force"),
                "pressed": (pressed(depth), "length"),
                "shock": (shock(at.speed.rod, at.damping), "ratio"),
            },
        )

    @classmethod
    def workings(cls, at: Sheet) -> Iterator[Working]:
        """Yield the gap to a wall, or the force with which it is pressed."""
        fine = pair("mm", 1, "in", 3)
        place = at.place_at("rod")
        gap = at.number("y", "gap", tr("rod out when it touches"), fine)
        depth = place - gap.value
        if depth <= -TOUCH:
            left = at.term("x", -depth, "length", tr("left until it touches"), (), fine)
            out = at.term("xr", place, "length", tr("rod is out"), (), fine)
            yield Working(at.part, tr("Way to the wall"), left, (gap, out), ("x = y − xr",) * 2)
            return
        rate = pair("kN/mm", 2, "lbf/in", 0)
        terms = (
            at.number("c", "rate", tr("stiffness"), rate),
            at.reading("y", "pressed", tr("pressed in"), (), pair("mm", 3, "in", 4)),
            at.reading("k", "shock", tr("1, more while it is hit"), (), PLAIN),
        )  # fmt: skip
        yield Working(at.part, tr("Force on the wall"), at.reading("F", "force", tr("pressed")), terms,
                      ("F = c · y · k",) * 2)  # fmt: skip


class ConstantForce(Part):
    """A force against extending that does not change with place or speed: a hanging pull, a press load."""

    ports = {"rod": ROD}
    symbol = "force"
    letter = "W"
    plain = Plain(
        mark("Constant force"),
        does=mark("It is a load that pushes with the same force at every place and speed."),
        works=mark(
            "The pressure that it asks for is that force over the area, and what friction and lines add. It takes "
            "no longer to speed up than the mass that moves with it."
        ),
        set=mark("Only the force is set. Less than nothing pulls the rod out, and the oil then has to hold it back."),
        law=mark("Force = mass · acceleration + the force that is set: Newton's second law."),
    )
    role = Load(lifted="rod", pushes=True)
    words = {"load": "load"}
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

    @classmethod
    def workings(cls, at: Sheet) -> Iterator[Working]:
        """Yield the power of a force that does not change."""
        yield _power(at, "rod", at.value("force"), tr("against the rod"))


class Turntable(Part):
    """What turns with a shaft: heavy, in a bearing that drags, on ground that slopes or not.

    ``slope``: the torque with which the ground's slope turns it back when it stands a quarter turn from where its
    heavy side hangs lowest (0).
    """

    ports = {"shaft": SHAFT}
    carries = ("shaft",)
    symbol = "turntable"
    plate = ("{moment}",)
    letter = "W"
    plain = Plain(
        mark("Turntable"),
        does=mark("It is what a swing motor turns: an upper carriage, a mast, a drum."),
        works=mark(
            "It takes torque to speed it up and gives it back when it is stopped: oil that is shut in then has to "
            "bear it. On a slope its heavy side wants to go down."
        ),
        set=mark("The farther out its weight, the more it counts, by the square. A slope is set as its torque."),
        law=mark(
            "Torque = moment of inertia · gain of speed + slope · sin( angle ) + drag · speed: Newton's second law."
        ),
    )
    role = Load("turntable")
    words = {"motion": "motion", "height": "height", "bearing": "bearing"}
    moment = Parameter("200 kg m2", low="0.01 kg m2", high="1e7 kg m2", meaning="moment of inertia", load=True)
    slope = Parameter(
        "0 N m", low="-1e6 N m", high="1e6 N m", meaning="torque of the slope a quarter turn on", load=True
    )
    drag = Parameter("20 N m s", low="0 N m s", high="1e5 N m s", meaning="drag of its bearing, per speed")
    turned = State("0 rad", nominal="0.1 rad")
    turning = State("0 rad/s", nominal="0.1 rad/s")

    def equations(self, at: At) -> Law:
        """Return Newton's law for the turntable and all that turns with it."""
        w = at.turning
        weight, rubs = at.slope * ca.sin(at.turned), at.drag * w
        rate = (at.given.shaft - weight - rubs) / (at.moment + at.inertia.shaft)
        return Law(
            carries={"shaft": (at.turned, w)},
            rate={"turned": w, "turning": rate},
            heat={"bearing": Heat(rubs * w, Loss.FRICTION, dry=True)},
            stored={
                "motion": at.moment * w * w / 2,
                "height": at.slope * (1 - ca.cos(at.turned)),
            },
            readings={
                "weight": (weight, "torque"),
                "drag": (rubs, "torque"),
                "place": (at.turned, "angle"),
            },
        )

    @classmethod
    def workings(cls, at: Sheet) -> Iterator[Working]:
        """Yield what speeds it up, the torque of the slope, and the power that turns it."""
        given, weight, rubs = at.load("shaft"), at.value("weight"), at.value("drag")
        way = 1 if given >= 0 else -1
        terms = (
            at.term("T", way * given, "torque", tr("from the shaft")),
            at.term("Ts", -way * weight, "torque", tr("of the slope")),
            at.term("Tr", -way * rubs, "torque", tr("bearing drags")),
        )
        left = at.term("Ta", way * (given - weight - rubs), "torque", tr("left to change its speed"))
        yield balance(at.part, tr("What changes its speed"), left, terms)
        whole = at.number("Tm", "slope", tr("a quarter turn on"))
        if whole.value:
            share = at.term("k", abs(math.sin(at.state("turned"))), "ratio", tr("of it, where it stands"), (), PLAIN)
            slope = at.term("Ts", abs(weight), "torque", tr("of the slope"))
            size = replace(whole, value=abs(whole.value))
            yield Working(at.part, tr("Torque of the slope"), slope, (size, share), ("Ts = Tm · k",) * 2)
        power = given * at.speed_at("shaft")
        name = tr("Power that turns it") if power >= 0 else tr("Power that it gives back")
        turned = at.term("T", abs(given), "torque", tr("from the shaft"))
        yield at.turning(name, abs(power), turned, at.turns("shaft", source=tr("shaft")))


def _power(at: Sheet, port: str, force: float, what: str) -> Working:
    """Return what a force on a rod takes or gives as power."""
    speed = at.speed_at(port)
    given = force * speed
    name = tr("Power that lifts it") if given >= 0 else tr("Power that it gives back")
    moved = at.term("v", abs(speed), "speed", tr("rod goes out") if speed >= 0 else tr("rod goes in"))
    return at.pushing(name, abs(given), at.term("F", abs(force), "force", what), moved)
