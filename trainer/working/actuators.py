"""Workings of what does the work: cylinders and hydraulic motors."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from trainer.formula import Term, Working
from trainer.rig.rig import Fitted
from trainer.units import pair
from trainer.working.sheet import LEAK, PERCENT, TRICKLE, Sheet, summed

__all__ = ["areas", "cap_pressure", "cylinder", "hydraulic_motor", "motor_pressure", "rod_force", "rod_pressure"]

_RESTS = 1e-5  # m/s


def areas(at: Sheet, id_: str) -> tuple[Term, Term]:
    """Return the areas of both ends of a cylinder's piston."""
    return (
        at.term("A", at.now.value(id_, "cap area"), "area", "piston"),
        at.term("a", at.now.value(id_, "rod-end area"), "area", "piston less rod"),
    )


def rod_force(at: Sheet, id_: str, letter: str = "F") -> Term:
    """Return the force on a cylinder's rod without its sign, and whether it pushes or pulls as its source."""
    force = at.now.value(id_, "force")
    return at.term(letter, abs(force), "force", "pushed by the rod" if force >= 0 else "pulled by the rod")


def _friction(at: Sheet, id_: str) -> Term:
    """Return the friction of the seals, positive while the rod goes out."""
    return at.term("Fr", at.now.value(id_, "friction"), "force", "seals rub")


def _force(at: Sheet, fitted: Fitted) -> Working:
    id_ = fitted.id
    (cap, annulus), rub, push = areas(at, id_), _friction(at, id_), at.now.value(id_, "force") >= 0
    terms = (at.at_port(id_, "A", "pA"), cap, at.at_port(id_, "B", "pB"), annulus)
    way = rub if push else replace(rub, value=-rub.value)
    sign = "−" if way.value > 0 else "+"
    sides = [("pA", "A"), ("pB", "a")] if push else [("pB", "a"), ("pA", "A")]
    words = [f"F = {' − '.join(f'{p} · {a}{rate}' for p, a in sides)} {sign} Fr" for rate in (" / 100", "")]
    return Working(
        id_, "Force on the rod" if push else "Pull on the rod", rod_force(at, id_),
        (*terms, replace(rub, value=abs(rub.value))), (words[0], words[1]),
    )  # fmt: skip


def cylinder(at: Sheet, fitted: Fitted) -> Iterator[Working]:
    """Yield force, speed, the oil that comes back, times, power, areas and the leak of a cylinder."""
    id_, now = fitted.id, at.now
    cap, annulus = areas(at, id_)
    rod = at.line(id_, "rod")
    speed, force = now.speed(rod), now.value(id_, "force")
    out = speed > -_RESTS
    yield _force(at, fitted)

    leak = now["passes", id_, "past the piston"]
    ends = {"A": (cap, "cap end"), "B": (annulus, "rod end")}
    flows = {
        "A": now.flow(id_, "A") - leak * at.specific(at.line(id_, "A")),
        "B": now.flow(id_, "B") + leak * at.specific(at.line(id_, "B")),
    }
    inlet, outlet = ("A", "B") if out else ("B", "A")
    area, end = ends[inlet]
    flow = at.flow_at(id_, inlet, abs(flows[inlet]), source=f"into the {end}, less the leak past the piston")
    letter = area.letter
    went = at.term("v", abs(speed), "speed", "rod goes out" if out else "rod goes in")
    yield Working(
        id_, "Speed out" if out else "Speed in", went, (flow, area),
        (f"v = q · 1000 / ( 6 · {letter} )", f"v = q · 231 / ( 60 · {letter} )"),
    )  # fmt: skip
    small, where = ends[outlet]
    back = at.flow_at(id_, outlet, abs(flows[outlet]), "qr", f"out of the {where}")
    yield Working(
        id_, f"Oil that leaves the {where}", back, (went, small),
        (f"qr = v · {small.letter} · 6 / 1000", f"qr = v · {small.letter} · 60 / 231"),
    )  # fmt: skip
    if abs(speed) > 1e-4:
        yield from _times(at, fitted, flow, area, went, out)
        given = force * speed
        name = "Power at the rod" if given >= 0 else "Power that the load gives back"
        yield at.pushing(id_, name, abs(given), rod_force(at, id_), went)
    for end_area, size, taken in ((cap, "d", ""), (annulus, "d", "dr")):
        bore = at.number(size, id_, "bore", "bore", pair("mm", 1, "in", 3))
        rod_size = at.number("dr", id_, "rod", "rod", pair("mm", 1, "in", 3))
        inner = "d²" if not taken else "( d² − dr² )"
        yield Working(
            id_, "Area of the piston" if not taken else "Area on the rod side", end_area,
            (bore, rod_size) if taken else (bore,),
            (f"{end_area.letter} = 0.7854 · {inner} / 100", f"{end_area.letter} = 0.7854 · {inner}"),
        )  # fmt: skip
    one, other = now.pressure(at.line(id_, "A")), now.pressure(at.line(id_, "B"))
    if abs(one - other) > 1e3:
        ways = ("A", "B") if one > other else ("B", "A")
        yield Working(
            id_, "Leak past the piston", at.term("ql", abs(leak), "flow", "past the piston", (), TRICKLE),
            (
                at.term("k", now.parameter(id_, "leakage"), "leakage", "seal, with oil of 35 mPa·s", (), LEAK),
                at.drop(id_, *ways), at.viscosity(),
            ),
            ("ql = k · Δp · 35 / μ",) * 2,
        )  # fmt: skip


def _times(at: Sheet, fitted: Fitted, flow: Term, area: Term, speed: Term, out: bool) -> Iterator[Working]:
    id_, now = fitted.id, at.now
    length, place = now.parameter(id_, "stroke"), now.place(at.line(id_, "rod"))
    fine = pair("mm", 1, "in", 2)
    stroke = at.term("s", length, "length", "stroke", (), fine)
    been = at.term("x", max(place, 0.0), "length", "rod out so far", (), fine)
    left = max(length - place if out else place, 0.0)
    if left > 1e-3 and place >= 0:
        words = "t = ( s − x ) / v" if out else "t = x / v"
        yield Working(
            id_, "Time to the end of the stroke", at.term("t", left / speed.value, "time", "at this speed"),
            (stroke, been, speed) if out else (been, speed), (words, words),
        )  # fmt: skip
    letter = area.letter
    yield Working(
        id_, "Time for the whole stroke",
        at.term("t", length * area.value / flow.value, "time", "at this flow"), (area, stroke, flow),
        (f"t = {letter} · s · 6 / ( 1000 · q )", f"t = {letter} · s · 60 / ( 231 · q )"),
    )  # fmt: skip
    cap, annulus = areas(at, id_)
    yield Working(
        id_, "Cycle: out and in",
        at.term("t", length * (cap.value + annulus.value) / flow.value, "time", "with this flow both ways"),
        (cap, annulus, stroke, flow),
        ("t = ( A + a ) · s · 6 / ( 1000 · q )", "t = ( A + a ) · s · 60 / ( 231 · q )"),
    )  # fmt: skip


def _carried(at: Sheet, id_: str, sign: int) -> tuple[str, tuple[Term, ...]]:
    """Return the words of what the piston carries, force and friction; ``sign`` -1 seen from the rod end."""
    force, rub = at.now.value(id_, "force"), _friction(at, id_)
    word = "load and what moves it" if force >= 0 else "load that pulls"
    items = (at.term("F", sign * force, "force", word), replace(rub, value=sign * rub.value))
    return summed(items)


def cap_pressure(at: Sheet, id_: str) -> Working:
    """Return the pressure at a cylinder's cap end as what it stands for: load, friction, back pressure."""
    words, carried = _carried(at, id_, 1)
    cap, annulus = areas(at, id_)
    terms = (*carried, cap, at.at_port(id_, "B", "pB"), annulus)
    forms = [f"pA = ( {words} ){rate} / A + pB · a / A" for rate in (" · 100", "")]
    result = at.at_port(id_, "A", "pA")
    return Working(result.refers_to[0][1], f"Asked for by {at.called(id_)}", result, terms, (forms[0], forms[1]))


def rod_pressure(at: Sheet, id_: str) -> Working:
    """Return the pressure at a cylinder's rod end as what it stands for."""
    words, carried = _carried(at, id_, -1)
    cap, annulus = areas(at, id_)
    terms = (at.at_port(id_, "A", "pA"), cap, annulus, *carried)
    joined = words.startswith("−")
    inner = words if not joined else words.removeprefix("− ").replace("−", "+")
    sign = "−" if joined else "+"
    forms = [f"pB = pA · A / a {sign} ( {inner} ){rate} / a" for rate in (" · 100", "")]
    result = at.at_port(id_, "B", "pB")
    return Working(result.refers_to[0][1], f"Asked for by {at.called(id_)}", result, terms, (forms[0], forms[1]))


# -- motors --------------------------------------------------------------------------------------------------------


def _way(at: Sheet, id_: str) -> tuple[int, str, str]:
    """Return the sign of a motor's drop, and its ports from high to low."""
    drop = at.now.pressure(at.line(id_, "A")) - at.now.pressure(at.line(id_, "B"))
    return (1, "A", "B") if drop >= 0 else (-1, "B", "A")


def hydraulic_motor(at: Sheet, fitted: Fitted) -> Iterator[Working]:
    """Yield torque, speed, power, leakage and efficiency of a motor."""
    id_, now = fitted.id, at.now
    sign, high, low = _way(at, id_)
    size = at.number("V", id_, "displacement", "displacement")
    drop = at.drop(id_, high, low)
    rub = at.term("Tr", sign * now.value(id_, "drag"), "torque", "friction")
    torque = at.term("T", sign * now.value(id_, "torque"), "torque", f"shaft, the way oil from {high} turns it")
    mark = "−" if rub.value >= 0 else "+"
    rub = replace(rub, value=abs(rub.value))
    yield Working(
        id_, "Torque of the motor", torque, (drop, size, rub),
        (f"T = Δp · V / 62.8 {mark} Tr", f"T = Δp · V / 75.4 {mark} Tr"),
    )  # fmt: skip
    turning = now.speed(at.line(id_, "shaft"))
    into, out = ("A", "B") if turning >= 0 else ("B", "A")
    across = now["passes", id_, "across"] * (1 if into == "A" else -1)
    leak = (across + now["passes", id_, f"{into} to case"]) * at.specific(at.line(id_, into))
    speed = at.speed(at.line(id_, "shaft"), source="motor shaft")
    flow = at.flow_at(id_, into, now.flow(id_, into), source=f"into {into}")
    lost = at.term("ql", leak, "flow", "leaks inside", (), None)
    if abs(turning) > 1.5:
        part = "q − ql" if leak >= 0 else "q + ql"
        yield Working(
            id_, "Speed of the motor", speed, (flow, replace(lost, value=abs(leak)), size),
            (f"n = ( {part} ) · 1000 / V", f"n = ( {part} ) · 231 / V"),
        )  # fmt: skip
    given = now.value(id_, "power")
    turned = at.term("T", abs(torque.value), "torque", "shaft")
    name = "Power on the shaft" if given >= 0 else "Power that the load gives back"
    yield at.turning(id_, name, abs(given), turned, speed)
    passes = now["enters", id_, into]
    through = at.mean(id_, into, out, passes, "q", f"through the motor, {into} to {out}")
    paid = drop.value * sign * (1 if into == "A" else -1) * through.value
    if paid > 1e-3 and given > 1e-3 and drop.value > 1e4:
        yield at.hydraulic(id_, "Power of the oil", paid, drop, through)
        result = at.term("η", given / paid, "ratio", "of the oil's power", (), PERCENT)
        terms = (at.power("P", given, "on the shaft"), at.power("Ph", paid, "of the oil", drop.refers_to))
        yield Working(id_, "Efficiency of the motor", result, terms, ("η = P · 100 / Ph",) * 2)
    k = now.parameter(id_, "leakage") * now.parameter(id_, "displacement") / at.oil.viscosity / 2
    ends = [at.at_port(id_, port, f"p{port}") for port in ("A", "B", "L")]
    refers_to = tuple(tell for term in ends for tell in term.refers_to)
    yield Working(
        id_, "Leak to the case", at.term("qc", now.value(id_, "case flow"), "flow", "case drain", refers_to, TRICKLE),
        (at.term("k", k, "leakage", "gaps, with this oil", (), LEAK), *ends),
        ("qc = k · ( pA + pB − 2 · pL )",) * 2,
    )  # fmt: skip


def motor_pressure(at: Sheet, id_: str, port: str) -> Working | None:
    """Return the pressure at a motor's inlet as what it stands for: torque, friction, back pressure."""
    sign, high, low = _way(at, id_)
    if port != high:
        return None
    items = (
        at.term("T", sign * at.now.value(id_, "torque"), "torque", "asked by what it turns"),
        at.term("Tr", sign * at.now.value(id_, "drag"), "torque", "friction"),
    )
    words, terms = summed(items)
    result, back = at.at_port(id_, high, f"p{high}"), at.at_port(id_, low, f"p{low}")
    size = at.number("V", id_, "displacement", "displacement")
    forms = [f"{result.letter} = ( {words} ) · {k} / V + {back.letter}" for k in ("62.8", "75.4")]
    return Working(result.refers_to[0][1], f"Asked for by {at.called(id_)}", result, (*terms, size, back),
                   (forms[0], forms[1]))  # fmt: skip
