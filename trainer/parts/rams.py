"""Cylinders that oil drives one way: with a piston, with a spring, as a plunger, in stages."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import replace
from typing import ClassVar

import casadi as ca

from trainer.formula import Term, Working
from trainer.language import mark, tr
from trainer.parts.cylinder import Cylinder, end_stop, friction, leak_past, rod_force, rod_friction, room, times
from trainer.parts.laws import clip, leak_rate, pos, smooth_abs
from trainer.parts.part import At, Choice, Expr, Heat, Kind, Law, Loss, Parameter, Part, Stream
from trainer.parts.plain import Plain
from trainer.parts.roles import Actuator
from trainer.parts.sheet import Sheet
from trainer.parts.workings import BORE
from trainer.units import pair

__all__ = [
    "Guided",
    "PlungerCylinder",
    "SingleActingCylinder",
    "SpringReturnCylinder",
    "TelescopicCylinder",
    "stages",
    "tube_area",
]

OIL, ROD = Kind.OIL, Kind.ROD
_STEP = 2e-3  # m over which a telescopic cylinder goes from one tube to the next
_MOVES = 1e-4  # m/s


class Guided:
    """What every rod in a gland has: length, friction, mass, ends."""

    stroke = Cylinder.stroke
    dead_volume = Cylinder.dead_volume
    kinetic_friction = Cylinder.kinetic_friction
    stick_slip = Cylinder.stick_slip
    viscous_friction = Cylinder.viscous_friction
    pressure_friction = Cylinder.pressure_friction
    bent = Cylinder.bent
    rod_mass = Cylinder.rod_mass
    end_give = Cylinder.end_give
    end_damping = Cylinder.end_damping


def _law(at: At, area: Expr, swept: Expr, moves: Expr | None = None, back: Expr = 0.0) -> Law:
    """Return the law of a cylinder with oil at A only.

    ``area`` [m2] lays out its ends, ``swept`` [m3] is the oil that its rod has made room for, ``moves`` [m2] the area
    that it moves now where that is another, ``back`` [N] what pushes it home beside its load.
    """
    v, p = at.speed.rod, at.p.A
    end, end_heat, end_stored = end_stop(at, area)
    now = area if moves is None else moves
    rubbing = rod_friction(at, smooth_abs(p, 1e4) * now, area)
    room_a, pushed = room(at.dead_volume, area, swept, moves)
    push = p * pushed - back
    return Law(
        into={"rod": rubbing - push - end},
        volume={"A": room_a},
        inertia={"rod": at.rod_mass},
        heat={
            "rod_friction": Heat(rubbing * v, Loss.FRICTION),
            "end_stop": Heat(end_heat, Loss.FRICTION, dry=True),
        },
        stored={"end_stop": end_stored},
        readings={
            "force": (push - rubbing, "force"),
            "friction": (rubbing, "force"),
            "extension": (at.place.rod / at.stroke, "ratio"),
            "cap_area": (now, "area"),
        },
    )


def _workings(at: Sheet, leak: float = 0.0, spring: float = 0.0) -> Iterator[Working]:
    """Yield force, speed, times and power of a cylinder with oil at A only; ``leak`` [m3/s] leaves it, to nowhere."""
    area = at.reading("A", "cap_area", tr("that the oil pushes on"))
    force, speed = at.value("force"), at.speed_at("rod")
    out = speed >= 0
    terms, words = _less(at, 1 if force >= 0 else -1, spring)
    sign = "" if force >= 0 else "− "
    yield Working(
        at.part, tr("Force on the rod") if force >= 0 else tr("Pull on the rod"), rod_force(at),
        (at.at_port("A", "pA"), area, *terms),
        (f"F = {sign}pA · A / 100{words}", f"F = {sign}pA · A{words}"),
    )  # fmt: skip
    source = tr("into the cylinder, less the leak past the piston") if leak else tr("into the cylinder")
    flow = at.flow_at("A", abs(at.flow("A") - leak * at.specific("A")), source=source)
    went = at.term("v", abs(speed), "speed", tr("rod goes out") if out else tr("rod goes in"))
    yield Working(
        at.part, tr("Speed out") if out else tr("Speed in"), went, (flow, area),
        ("v = q · 1000 / ( 6 · A )", "v = q · 231 / ( 60 · A )"),
    )  # fmt: skip
    if abs(speed) > _MOVES:
        given = force * speed
        name = tr("Power at the rod") if given >= 0 else tr("Power that the load gives back")
        yield at.pushing(name, abs(given), rod_force(at), went)


def _less(at: Sheet, sign: int, spring: float) -> tuple[tuple[Term, ...], str]:
    """Return friction, and what a spring takes, with the words that take them from a force of one ``sign``."""
    rub = friction(at)
    terms, words = (replace(rub, value=abs(rub.value)),), f" {'−' if sign * rub.value >= 0 else '+'} Fr"
    if not spring:
        return terms, words
    held = at.term("Fs", spring, "force", tr("the spring pushes home"))
    return (*terms, held), f"{words} {'−' if sign > 0 else '+'} Fs"


def _timed(at: Sheet) -> Iterator[Working]:
    """Yield the times of a cylinder whose area is the same all the way."""
    speed = at.speed_at("rod")
    if abs(speed) > _MOVES:
        area = at.reading("A", "cap_area", tr("that the oil pushes on"))
        went = at.term("v", abs(speed), "speed", tr("rod goes out") if speed >= 0 else tr("rod goes in"))
        flow = at.flow_at("A", abs(speed) * area.value, source=tr("that moves the rod"))
        yield from times(at, flow, area, went, speed >= 0)


def _asked(at: Sheet, spring: float = 0.0) -> Working:
    """Return the pressure at A as what it stands for: load, friction, what a spring takes."""
    area = at.reading("A", "cap_area", tr("that the oil pushes on"))
    force, rub = at.value("force"), friction(at)
    carried = at.term("F", abs(force), "force", tr("load and what moves it") if force >= 0 else tr("load that pulls"))
    words = ("" if force >= 0 else "− ") + f"F {'+' if rub.value >= 0 else '−'} Fr"
    terms: tuple[Term, ...] = (carried, replace(rub, value=abs(rub.value)))
    if spring:
        terms, words = (*terms, at.term("Fs", spring, "force", tr("the spring pushes home"))), f"{words} + Fs"
    result = at.at_port("A", "pA")
    return Working(
        result.refers_to[0][1], tr("Asked for by {label}").format(label=at.label()), result, (*terms, area),
        (f"pA = ( {words} ) · 100 / A", f"pA = ( {words} ) / A"),
    )  # fmt: skip


class SingleActingCylinder(Guided, Part):
    """Oil at A pushes the piston out; the load brings it home. What leaks past the piston goes back by L.

    The rod end is open to the air; L is the line that takes its drip to the tank.
    """

    ports = {"A": OIL, "L": OIL, "rod": ROD}
    port_names = {"A": "cap end", "L": "drip line"}
    symbol = "cyl_sa"
    plate = ("Ø{bore.}/{rod.}", "× {stroke}")
    letter = "A"
    plain = Plain(
        mark("Single-acting cylinder"),
        does=mark("It pushes by oil one way; its load brings it back."),
        works=mark(
            "Oil comes in at one end only. The other end breathes, and what seeps past the piston drips home from "
            "there. Coming back, the load presses the oil out: how fast is decided by what stands in its way."
        ),
        set=mark(
            "It is used where a weight is always there to bring it home: tipping, lifting, forks. The least load "
            "must still overcome friction and the pressure on the way to the tank. A drip line that runs tells of "
            "a worn seal."
        ),
        law=mark(
            "Force = p · A − friction out; home by the load alone. Speed = flow over A (textbooks of fluid "
            "power). Friction as of every cylinder; the leak past the piston goes with Δp / μ."
        ),
    )
    role = Actuator(chambers=("A",), areas=("cap_area",), stroke="stroke", drain="L")
    words = {"past_piston": "past the piston", "rod_friction": "rod friction", "end_stop": "end stop"}
    bore = Cylinder.bore
    rod = Cylinder.rod
    leakage = Cylinder.leakage
    breather = Parameter("5 cm3", low="1 cm3", high="1 L", meaning="oil in its drip line", at_rest=True)

    @classmethod
    def objections(cls, value: Callable[[str], float]) -> list[str]:
        """Return what cannot be: a rod as thick as its bore."""
        return Cylinder.objections(value)

    def equations(self, at: At) -> Law:
        """Return the cylinder's law."""
        return self._acting(at, 0.0)

    def _acting(self, at: At, back: Expr) -> Law:
        """Return the law of a piston that is pushed home with ``back`` [N]."""
        area = math.pi * at.bore * at.bore / 4
        law = _law(at, area, area * at.place.rod, back=back)
        leak = leak_rate(at.leakage, at.oil.viscosity) * (at.p.A - at.p.L)
        law.streams["past_piston"] = Stream("A", "L", leak, Loss.LEAKAGE)
        law.volume["L"] = at.breather
        return law

    springs: ClassVar[str] = ""  # the reading of what pushes the piston home beside its load

    @classmethod
    def back(cls, at: Sheet) -> float:
        """Return what pushes the piston home beside its load [N]."""
        return at.value(cls.springs) if cls.springs else 0.0

    @classmethod
    def workings(cls, at: Sheet) -> Iterator[Working]:
        """Yield force, speed, times, power, area and leak."""
        leak = at.passes("past_piston")
        yield from _workings(at, leak, cls.back(at))
        yield from _timed(at)
        area = at.reading("A", "cap_area", tr("piston"))
        yield _round(at, area, "bore", tr("bore"), tr("Area of the piston"))
        over = at.drop("A", "L")
        if abs(over.value) > 1e3:
            yield leak_past(at, over)

    @classmethod
    def asks(cls, at: Sheet, port: str) -> Working | None:
        """Return the pressure at the cap end as what it stands for."""
        return _asked(at, cls.back(at)) if port == "A" else None


class SpringReturnCylinder(SingleActingCylinder):
    """A single-acting cylinder with a spring that brings it home; at rest it presses with its preload."""

    symbol = "cyl_sa_spring"
    plain = Plain(
        mark("Single-acting cylinder with spring"),
        does=mark("It pushes by oil, and a spring brings it back, with no load too."),
        works=mark(
            "The oil has to press the spring together as well as move the load: the further out, the more of its "
            "force goes into the spring. With the oil let off, the spring pushes it home."
        ),
        set=mark(
            "Chosen for clamps and brakes with short strokes. The spring's force at the end is taken from what "
            "the oil can push; a weak one leaves it out when the way home has some pressure."
        ),
        law=mark(
            "Force = p · A − friction − preload − rate · travel: Hooke's law for the spring, the rest as of a "
            "single-acting cylinder."
        ),
    )
    words = {**SingleActingCylinder.words, "spring": "return spring"}
    springs = "spring"
    preload = Parameter("400 N", low="0 N", high="50 kN", meaning="force of the spring with the rod in")
    spring_rate = Parameter("2000 N/m", low="0 N/m", high="1e6 N/m", meaning="force of the spring per travel")

    def equations(self, at: At) -> Law:
        """Return the cylinder's law with its spring."""
        x = at.place.rod
        force = at.preload + at.spring_rate * x
        law = self._acting(at, force)
        law.stored["spring"] = at.preload * x + at.spring_rate * x * x / 2
        law.readings["spring"] = (force, "force")
        return law


class PlungerCylinder(Guided, Part):
    """A rod that oil pushes out of its gland: no piston, and the area is the rod's own."""

    ports = {"A": OIL, "rod": ROD}
    symbol = "cyl_ram"
    plate = ("Ø{plunger}", "× {stroke}")
    letter = "A"
    plain = Plain(
        mark("Plunger cylinder"),
        does=mark("It lifts by oil with a thick rod, and comes down by its load."),
        works=mark(
            "There is no piston: oil stands all round the plunger and pushes on its end, so the plunger's own "
            "section counts, not the bore's. Only the gland is a seal, so nothing leaks inside."
        ),
        set=mark(
            "It is chosen by the plunger's diameter, for lifts and presses. A gland that is too tight makes it "
            "creep in jerks; one that weeps is seen at once, outside."
        ),
        law=mark("Force = p · A of the plunger − friction; speed = flow over the same A (textbooks of fluid power)."),
    )
    role = Actuator(chambers=("A",), areas=("cap_area",), stroke="stroke")
    words = {"rod_friction": "rod friction", "end_stop": "end stop"}
    plunger = Parameter("60 mm", low="10 mm", high="300 mm", meaning="diameter of the plunger", at_rest=True)

    def equations(self, at: At) -> Law:
        """Return the plunger's law."""
        area = math.pi * at.plunger * at.plunger / 4
        return _law(at, area, area * at.place.rod)

    @classmethod
    def workings(cls, at: Sheet) -> Iterator[Working]:
        """Yield force, speed, times, power and area."""
        yield from _workings(at)
        yield from _timed(at)
        area = at.reading("A", "cap_area", tr("plunger"))
        yield _round(at, area, "plunger", tr("plunger"), tr("Area of the plunger"))

    @classmethod
    def asks(cls, at: Sheet, port: str) -> Working | None:
        """Return the pressure as what it stands for."""
        return _asked(at) if port == "A" else None


def stages(at: At) -> tuple[Expr, Expr, Expr, Expr]:
    """Return of tubes in one another the widest area, that which moves now [m2], and the room behind them [m3].

    The last number is the room behind all of them right out.
    """
    count = {"two": 2, "three": 3, "four": 4, "five": 5}[at.tubes]
    areas = [math.pi / 4 * (at.widest + (at.narrowest - at.widest) * k / (count - 1)) ** 2 for k in range(count)]
    x = at.place.rod
    moves, swept = areas[0], areas[0] * x
    for k in range(1, count):
        beyond = x - at.stroke * k / count
        less = areas[k] - areas[k - 1]
        moves = moves + less * (clip(beyond, -_STEP, _STEP) + _STEP) / (2 * _STEP)
        swept = swept + less * pos(beyond, _STEP)
    return areas[0], moves, swept, sum(areas) * at.stroke / count


class TelescopicCylinder(Guided, Part):
    """Tubes in one another, single acting: the widest comes out first and goes in last.

    Each acts with its own outside diameter; with a steady load the pressure rises and the rod goes faster from tube
    to tube (every textbook; from memory). The diameters fall evenly from the widest to the narrowest, each tube has
    its share of the travel.
    """

    ports = {"A": OIL, "rod": ROD}
    symbol = "cyl_tele"
    plate = ("Ø{widest.}/{narrowest.}", "× {stroke}")
    letter = "A"
    plain = Plain(
        mark("Telescopic cylinder"),
        does=mark("It reaches far out of a short body, in steps, by oil one way."),
        works=mark(
            "The widest tube moves first, for it needs the least pressure. When it is out, the next one takes "
            "over: less area, so more pressure for the same load and more speed from the same oil. Coming home, "
            "the narrowest goes in first."
        ),
        set=mark(
            "It is chosen for tipping, where the load is lightest at the end. The narrowest tube must lift what "
            "is left of it; the relief is set for that one. A tube that moves out of turn is damaged or dry."
        ),
        law=mark(
            "That of a plunger for the tube whose turn it is, from the widest to the narrowest; the change from "
            "one to the next takes 2 mm of travel (textbooks of fluid power; our own rounding)."
        ),
    )
    role = Actuator(chambers=("A",), areas=("cap_area",), stroke="stroke")
    words = {"rod_friction": "rod friction", "end_stop": "end stop"}
    tubes = Choice("three", "two", "four", "five", meaning="number of tubes that come out")
    stroke = Parameter("1.5 m", low="60 mm", high="10 m", meaning="travel of all tubes together", at_rest=True)
    widest = Parameter("100 mm", low="30 mm", high="300 mm", meaning="diameter of the first tube", at_rest=True)
    narrowest = Parameter("60 mm", low="15 mm", high="250 mm", meaning="diameter of the last tube", at_rest=True)

    @classmethod
    def objections(cls, value: Callable[[str], float]) -> list[str]:
        """Return what cannot be: a last tube that is as wide as the first."""
        if value("narrowest") > 0.95 * value("widest"):
            return [tr("its narrowest tube has to be narrower than its widest")]
        return []

    def equations(self, at: At) -> Law:
        """Return the law of the tube whose turn it is; the change from one to the next takes 2 mm."""
        widest, moves, swept, _ = stages(at)
        law = _law(at, widest, swept, moves)
        law.readings["tube"] = (ca.sqrt(4 * moves / math.pi), "length")
        return law

    @classmethod
    def workings(cls, at: Sheet) -> Iterator[Working]:
        """Yield force, speed, power, and the area of the tube whose turn it is."""
        yield from _workings(at)
        yield tube_area(at)

    @classmethod
    def asks(cls, at: Sheet, port: str) -> Working | None:
        """Return the pressure as what it stands for."""
        return _asked(at) if port == "A" else None


def tube_area(at: Sheet) -> Working:
    """Return the area of the tube whose turn it is as that of its diameter."""
    area = at.reading("A", "cap_area", tr("tube that moves"))
    diameter = at.reading("d", "tube", tr("tube that moves"), (), BORE)
    words = ("A = 0.7854 · d² / 100", "A = 0.7854 · d²")
    return Working(at.part, tr("Area of the tube that moves"), area, (diameter,), words)


def _round(at: Sheet, area: Term, parameter: str, source: str, title: str) -> Working:
    """Return an area as that of a diameter."""
    diameter = at.number("d", parameter, source, pair("mm", 1, "in", 3))
    return Working(at.part, title, area, (diameter,), ("A = 0.7854 · d² / 100", "A = 0.7854 · d²"))
