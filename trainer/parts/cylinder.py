"""Double-acting cylinders: the usual one, and one whose rod goes through both ends."""

from __future__ import annotations

import math
from collections.abc import Callable, Generator, Iterator, Mapping
from dataclasses import replace
from typing import ClassVar

import casadi as ca

from trainer.formula import Term, Working
from trainer.language import mark, tr
from trainer.parts.laws import clip, friction_force, leak_rate, pos, smooth_abs, spilt, stop
from trainer.parts.part import At, Expr, Heat, Kind, Law, Loss, Parameter, Part, Stream, Wear
from trainer.parts.plain import Plain
from trainer.parts.roles import Actuator
from trainer.parts.sheet import LEAK, TRICKLE, Sheet, summed
from trainer.parts.workings import lost
from trainer.units import pair

__all__ = [
    "Cylinder",
    "DoubleRodCylinder",
    "areas",
    "both_ways",
    "end_pressure",
    "end_stop",
    "force_of",
    "friction",
    "leak_past",
    "rod_force",
    "rod_friction",
    "room",
    "speeds",
    "times",
]

_STRONG = 250e5  # Pa on the piston, for which the end stops are laid out
_RESTS = 1e-5  # m/s
_TIGHT = 0.15  # of the stroke, to either side, over which a bent rod binds
_LEAST, _FLOOR = 0.6e-3, 0.2e-3  # m of piston: the oil left at a stop at least, and where the volume stops shrinking


def room(dead: Expr, area: Expr, swept: Expr, moves: Expr | None = None) -> tuple[Expr, Expr]:
    """Return the volume of an end and the area with which the piston still moves it aside there.

    ``swept`` [m3] beside what is ``dead``; ``moves`` is its area where that is not the whole ``area`` [m2].
    """
    floor, width = _FLOOR * area, 0.5 * _FLOOR * area
    over = ca.fmax(dead, _LEAST * area) + swept - floor
    share = (clip(over, -width, width) + width) / (2 * width)
    return floor + pos(over, width), (area if moves is None else moves) * share


def rod_friction(at: At, pressed: Expr, area: Expr) -> Expr:
    """Return what seals and guides take of a rod's force [N].

    ``pressed`` are the pressure forces on them [N]; a bent rod binds as a pressure on ``area`` [m2] would.
    """
    static = at.kinetic_friction * (1 + at.stick_slip)
    v = at.speed.rod
    rubbing = friction_force(v, at.kinetic_friction, static, at.viscous_friction)
    near = clip(1 - ((at.place.rod / at.stroke - 0.5) / _TIGHT) ** 2, 0, 1)
    tight = at.bent * area * near * near
    return rubbing + (at.pressure_friction * pressed + tight) * ca.tanh(v / 0.002)


def end_stop(at: At, area: Expr) -> tuple[Expr, Expr, Expr]:
    """Return (force on the rod [N], heat [W], stored [J]) of a cylinder's ends, laid out for 250 bar on ``area``."""
    rate = _STRONG * area / at.end_give
    return stop(at.place.rod, at.speed.rod, at.stroke, rate, at.end_damping, at.end_give)


def both_ways(
    at: At, ends: tuple[str, str], faces: tuple[Expr, Expr], swept: tuple[Expr, Expr],
    moves: tuple[Expr, Expr] | None = None,
) -> Law:  # fmt: skip
    """Return the law of a cylinder with oil at both ends: cap end and rod end.

    ``faces`` [m2] lay out its ends, ``swept`` [m3] is the oil that its rod has made room for at either end, ``moves``
    the areas that it moves now where these are others.
    """
    (one, other), (cap, annulus), v, p = ends, moves or faces, at.speed.rod, at.p
    end, end_heat, end_stored = end_stop(at, faces[0])
    rubbing = rod_friction(at, smooth_abs(p[one], 1e4) * cap + smooth_abs(p[other], 1e4) * annulus, faces[0])
    room_a, end_a = room(at.dead_volume, faces[0], swept[0], cap)
    room_b, end_b = room(at.dead_volume, faces[1], swept[1], annulus)
    push = p[one] * end_a - p[other] * end_b
    leak = leak_rate(at.leakage, at.oil.viscosity) * (p[one] - p[other])
    loss = spilt(p[other], at.gland, at.oil)
    return Law(
        streams={"past_piston": Stream(one, other, leak, Loss.LEAKAGE)},
        into={"rod": rubbing - push - end, other: loss},
        volume={one: room_a, other: room_b},
        inertia={"rod": at.rod_mass},
        heat={
            "rod_friction": Heat(rubbing * v, Loss.FRICTION),
            "end_stop": Heat(end_heat, Loss.FRICTION, dry=True),
            "spilt": Heat(loss * at.h[other], Loss.LEAKAGE, dry=True),
        },
        stored={"end_stop": end_stored},
        readings={
            "spilt": (loss, "flow"),
            "force": (push - rubbing, "force"),
            "friction": (rubbing, "force"),
            "extension": (at.place.rod / at.stroke, "ratio"),
            "cap_area": (cap, "area"),
            "rod_end_area": (annulus, "area"),
        },
    )


class Cylinder(Part):
    """Pressure on the piston moves the rod: A is the cap end, B the rod end. Place and speed are the load's.

    Friction: Stribeck curve plus a share of the pressure forces. Good seals hardly stick (common practice, no
    source), so that the load goes steadily however slowly; worn ones do. Stops of stiff metal with damping. Both
    ends hold oil also where a load presses the piston into a stop: at least 0.6 mm of piston.
    """

    ports = {"A": Kind.OIL, "B": Kind.OIL, "rod": Kind.ROD}
    port_names = {"A": "cap end", "B": "rod end"}
    symbol = "cyl_da"
    plate = ("Ø{bore.}/{rod.}", "× {stroke}")
    letter = "A"
    plain = Plain(
        mark("Double-acting cylinder"),
        does=mark("It turns oil into a push or a pull in a straight line."),
        works=mark(
            "The load on the area makes the pressure, the flow into the area makes the speed. The rod takes "
            "its share of one side: going home the oil has less area, so the same flow is faster and the same"
            " force asks for more pressure."
        ),
        set=mark(
            "The bore follows from the force at the pressure that may be used, the rod from what must not "
            "buckle, the pump from area times speed. A wider bore lifts the same load with less pressure, and"
            " slower."
        ),
        law=mark(
            "Force = pA · A1 − pB · A2 − friction; speed = flow over area. Friction falls from rest into motion"
            " and rises again with speed (Stribeck), with a share of the pressure forces; good seals hardly "
            "stick (common practice, no source)."
        ),
    )
    role = Actuator(areas=("cap_area", "rod_end_area"), stroke="stroke")
    words = {
        "past_piston": "past the piston", "rod_friction": "rod friction", "end_stop": "end stop",
        "spilt": "oil that is lost",
    }  # fmt: skip
    spills = {"B": "spilt"}
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
    bent = Wear(
        "0 bar",
        mild="3 bar",
        marginal="15 bar",
        failed="60 bar",
        notice="it sticks and squeals at one place of its way",
        meaning="what a bent rod or a tight pin takes at half its stroke, as pressure on the piston",
    )
    leakage = Wear(
        "1e-14 m3/s/Pa",
        mild=5,
        marginal=20,
        failed=100,
        notice="weak and slow both ways",
        meaning="leak past the piston at 35 mPa s",
    )
    gland = Wear(
        "0 mm2",
        mild="0.002 mm2",
        marginal="0.03 mm2",
        failed="0.5 mm2",
        notice="its rod is wet, and oil has to be topped up",
        meaning="gap of the rod's seal through which oil is lost",
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
            return [tr("the rod is as thick as the bore; give a rod that leaves an annulus")]
        return []

    @staticmethod
    def faces(at: At) -> tuple[Expr, Expr]:
        """Return the areas [m2] on which the oil at the cap end and at the rod end pushes."""
        cap = math.pi * at.bore * at.bore / 4
        return cap, cap - math.pi * ca.fmin(at.rod, 0.98 * at.bore) ** 2 / 4

    def equations(self, at: At) -> Law:
        """Return the cylinder's law."""
        return self._law(at, "A", "B")

    def _law(self, at: At, one: str, other: str) -> Law:
        """Return the law of a cylinder whose ends are the nodes ``one`` (cap end) and ``other`` (rod end)."""
        cap, annulus = self.faces(at)
        x = at.place.rod
        return both_ways(at, (one, other), (cap, annulus), (cap * x, annulus * (at.stroke - x)))

    rooms: ClassVar[
        Mapping[str, str]
    ] = {}  # a port -> the private node of the oil at the piston, where that is another
    rodless: ClassVar[bool] = True  # whether no rod stands on the cap side of the piston

    @classmethod
    def within(cls, at: Sheet, port: str) -> Term:
        """Return the pressure on the piston at an end."""
        letter = f"p{port}"
        if port not in cls.rooms:
            return at.at_port(port, letter)
        word = tr("inside, at the cap end") if port == "A" else tr("inside, at the rod end")
        return at.reading(letter, f"{cls.rooms[port]}_pressure", word, (("pressure", at.line(port)),))

    @classmethod
    def workings(cls, at: Sheet) -> Iterator[Working]:
        """Yield force, speed, the oil that comes back, times, power, areas and the leak of a cylinder."""
        cap, annulus = areas(at)
        speed, force = at.speed_at("rod"), at.value("force")
        yield force_of(at, cls.within(at, "A"), cls.within(at, "B"))
        yield from lost(at, cls.within(at, "B"), "gland")

        flow, area, went = yield from speeds(at, {port: cls.rooms.get(port, port) for port in ("A", "B")})
        if abs(speed) > 1e-4:
            yield from times(at, flow, area, went, speed > -_RESTS)
            yield _cycle(at, flow)
            given = force * speed
            name = tr("Power at the rod") if given >= 0 else tr("Power that the load gives back")
            yield at.pushing(name, abs(given), rod_force(at), went)
        for end_area, taken in ((cap, ""), (annulus, "dr"))[0 if cls.rodless else 1 :]:
            bore = at.number("d", "bore", tr("bore"), pair("mm", 1, "in", 3))
            rod_size = at.number("dr", "rod", tr("rod"), pair("mm", 1, "in", 3))
            inner = "d²" if not taken else "( d² − dr² )"
            yield Working(
                at.part, tr("Area on the rod side") if taken else tr("Area of the piston"), end_area,
                (bore, rod_size) if taken else (bore,),
                (f"{end_area.letter} = 0.7854 · {inner} / 100", f"{end_area.letter} = 0.7854 · {inner}"),
            )  # fmt: skip
        one, other = cls.within(at, "A").value, cls.within(at, "B").value
        if abs(one - other) > 1e3:
            ways = ("A", "B") if one > other else ("B", "A")
            over = at.term("Δp", abs(one - other), "drop", tr("over the piston")) if cls.rooms else at.drop(*ways)
            yield leak_past(at, over)

    @classmethod
    def asks(cls, at: Sheet, port: str) -> Working | None:
        """Return the pressure at an end as what it stands for: load, friction, back pressure."""
        if port in cls.rooms:
            return None
        return end_pressure(at, port)


class DoubleRodCylinder(Cylinder):
    """A piston with a rod through both ends: the same area, the same speed and the same force both ways."""

    symbol = "cyl_double_rod"
    plain = Plain(
        mark("Double-rod cylinder"),
        does=mark("It pushes and pulls with the same force, and goes as fast one way as the other."),
        works=mark(
            "A rod leaves at both ends, so the oil has the same ring on both sides of the piston. What goes in at "
            "one end comes out at the other: it takes no oil from the tank and gives none back."
        ),
        set=mark(
            "It is chosen for steering and for tables that go to and fro alike. It needs room at both ends, and its "
            "area is the ring: a wider bore than with one rod for the same force."
        ),
        law=mark(
            "Force = ( pA − pB ) · ring − friction; speed = flow over ring, both ways (textbooks of fluid power). "
            "Friction as of every cylinder."
        ),
    )
    port_names = {"A": "end A", "B": "end B"}
    rodless = False

    @staticmethod
    def faces(at: At) -> tuple[Expr, Expr]:
        """Return the ring [m2] on both sides."""
        ring = math.pi * at.bore * at.bore / 4 - math.pi * ca.fmin(at.rod, 0.98 * at.bore) ** 2 / 4
        return ring, ring


def speeds(at: Sheet, rooms: Mapping[str, str]) -> Generator[Working, None, tuple[Term, Term, Term]]:
    """Yield the speed of a rod and the oil that comes back; return the flow, the area and the speed as terms.

    ``rooms``: the nodes with the oil at the piston, by the ports A (cap end) and B (rod end).
    """
    cap, annulus = areas(at)
    speed = at.speed_at("rod")
    out = speed > -_RESTS
    ends = {"A": (cap, tr("cap end")), "B": (annulus, tr("rod end"))}
    flows = {port: at.flow(node) - at.enters(node) * at.specific(node) for port, node in rooms.items()}
    inlet, outlet = ("A", "B") if out else ("B", "A")
    area, end = ends[inlet]
    flow = at.flow_at(
        inlet, abs(flows[inlet]), source=tr("into the {end}, less the leak past the piston").format(end=end)
    )
    letter = area.letter
    went = at.term("v", abs(speed), "speed", tr("rod goes out") if out else tr("rod goes in"))
    yield Working(
        at.part, tr("Speed out") if out else tr("Speed in"), went, (flow, area),
        (f"v = q · 1000 / ( 6 · {letter} )", f"v = q · 231 / ( 60 · {letter} )"),
    )  # fmt: skip
    small, where = ends[outlet]
    back = at.flow_at(outlet, abs(flows[outlet]), "qr", tr("out of the {where}").format(where=where))
    yield Working(
        at.part, tr("Oil that leaves the {where}").format(where=where), back, (went, small),
        (f"qr = v · {small.letter} · 6 / 1000", f"qr = v · {small.letter} · 60 / 231"),
    )  # fmt: skip
    return flow, area, went


def leak_past(at: Sheet, over: Term) -> Working:
    """Return the leak past a piston, with the drop over it."""
    seal = at.number("k", "leakage", tr("seal, with oil of 35 mPa·s"), LEAK)
    lost_there = at.term("ql", abs(at.passes("past_piston")), "flow", tr("past the piston"), (), TRICKLE)
    terms = (seal, over, at.viscosity())
    return Working(at.part, tr("Leak past the piston"), lost_there, terms, ("ql = k · Δp · 35 / μ",) * 2)


def end_pressure(at: Sheet, port: str) -> Working:
    """Return the pressure at A (cap end) or B (rod end) as what it stands for: load, friction, back pressure."""
    return _cap_pressure(at) if port == "A" else _rod_pressure(at)


def areas(at: Sheet) -> tuple[Term, Term]:
    """Return the areas of both ends of a cylinder's piston."""
    return (
        at.reading("A", "cap_area", tr("piston")),
        at.reading("a", "rod_end_area", tr("piston less rod")),
    )


def rod_force(at: Sheet, letter: str = "F") -> Term:
    """Return the force on a cylinder's rod without its sign, and whether it pushes or pulls as its source."""
    force = at.value("force")
    return at.term(letter, abs(force), "force", tr("pushed by the rod") if force >= 0 else tr("pulled by the rod"))


def friction(at: Sheet) -> Term:
    """Return the friction of the seals, positive while the rod goes out."""
    return at.reading("Fr", "friction", tr("seals rub"))


def force_of(at: Sheet, one: Term, other: Term) -> Working:
    """Return the force on a rod from the pressures on both sides of its piston."""
    (cap, annulus), rub, push = areas(at), friction(at), at.value("force") >= 0
    terms = (one, cap, other, annulus)
    way = rub if push else replace(rub, value=-rub.value)
    sign = "−" if way.value > 0 else "+"
    sides = [("pA", "A"), ("pB", "a")] if push else [("pB", "a"), ("pA", "A")]
    words = [f"F = {' − '.join(f'{p} · {a}{rate}' for p, a in sides)} {sign} Fr" for rate in (" / 100", "")]
    return Working(
        at.part, tr("Force on the rod") if push else tr("Pull on the rod"), rod_force(at),
        (*terms, replace(rub, value=abs(rub.value))), (words[0], words[1]),
    )  # fmt: skip


def times(at: Sheet, flow: Term, area: Term, speed: Term, out: bool) -> Iterator[Working]:
    """Yield how long a rod takes to the end of its stroke, and for all of it."""
    length, place = at.parameter("stroke"), at.place_at("rod")
    fine = pair("mm", 1, "in", 2)
    stroke = at.term("s", length, "length", tr("stroke"), (), fine)
    been = at.term("x", max(place, 0.0), "length", tr("rod out so far"), (), fine)
    left = max(length - place if out else place, 0.0)
    if left > 1e-3 and place >= 0:
        words = "t = ( s − x ) / v" if out else "t = x / v"
        yield Working(
            at.part,
            tr("Time to the end of the stroke"),
            at.term("t", left / speed.value, "time", tr("at this speed")),
            (stroke, been, speed) if out else (been, speed),
            (words, words),
        )
    letter = area.letter
    yield Working(
        at.part, tr("Time for the whole stroke"),
        at.term("t", length * area.value / flow.value, "time", tr("at this flow")), (area, stroke, flow),
        (f"t = {letter} · s · 6 / ( 1000 · q )", f"t = {letter} · s · 60 / ( 231 · q )"),
    )  # fmt: skip


def _cycle(at: Sheet, flow: Term) -> Working:
    """Return the time of a stroke out and one in with the flow that there is."""
    cap, annulus = areas(at)
    length = at.parameter("stroke")
    stroke = at.term("s", length, "length", tr("stroke"), (), pair("mm", 1, "in", 2))
    return Working(
        at.part, tr("Cycle: out and in"),
        at.term("t", length * (cap.value + annulus.value) / flow.value, "time", tr("with this flow both ways")),
        (cap, annulus, stroke, flow),
        ("t = ( A + a ) · s · 6 / ( 1000 · q )", "t = ( A + a ) · s · 60 / ( 231 · q )"),
    )  # fmt: skip


def _carried(at: Sheet, sign: int) -> tuple[str, tuple[Term, ...]]:
    """Return the words of what the piston carries, force and friction; ``sign`` -1 seen from the rod end."""
    force, rub = at.value("force"), friction(at)
    word = tr("load and what moves it") if force >= 0 else tr("load that pulls")
    items = (at.term("F", sign * force, "force", word), replace(rub, value=sign * rub.value))
    return summed(items)


def _cap_pressure(at: Sheet) -> Working:
    """Return the pressure at a cylinder's cap end as what it stands for: load, friction, back pressure."""
    words, carried = _carried(at, 1)
    cap, annulus = areas(at)
    terms = (*carried, cap, at.at_port("B", "pB"), annulus)
    forms = [f"pA = ( {words} ){rate} / A + pB · a / A" for rate in (" · 100", "")]
    result = at.at_port("A", "pA")
    return Working(
        result.refers_to[0][1],
        tr("Asked for by {label}").format(label=at.label()),
        result,
        terms,
        (forms[0], forms[1]),
    )


def _rod_pressure(at: Sheet) -> Working:
    """Return the pressure at a cylinder's rod end as what it stands for."""
    words, carried = _carried(at, -1)
    cap, annulus = areas(at)
    terms = (at.at_port("A", "pA"), cap, annulus, *carried)
    joined = words.startswith("−")
    inner = words if not joined else words.removeprefix("− ").replace("−", "+")
    sign = "−" if joined else "+"
    forms = [f"pB = pA · A / a {sign} ( {inner} ){rate} / a" for rate in (" · 100", "")]
    result = at.at_port("B", "pB")
    return Working(
        result.refers_to[0][1],
        tr("Asked for by {label}").format(label=at.label()),
        result,
        terms,
        (forms[0], forms[1]),
    )
