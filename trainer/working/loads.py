"""Workings of loads: weights, walls and forces on a rod, the crane, the grapple, the trailer on its legs."""

from __future__ import annotations

from collections.abc import Iterator

from trainer.formula import Term, Working
from trainer.parts.laws import pos
from trainer.parts.roles import Actuator
from trainer.rig.rig import Fitted
from trainer.units import GRAVITY, PLAIN, pair
from trainer.working.sheet import MOMENT, PERCENT, Sheet, balance

__all__ = ["constant_force", "crane", "grapple", "trailer", "wall", "weight"]

_LENGTH = pair("m", 2, "ft", 2)


def _rates(at: Sheet, name: str) -> float:
    """Return the rate of a state, "part.state" [SI a second]."""
    network = at.now.network
    return float(network.derivative(at.now.x, at.now.pu)[network.state_index[name]])


def _power(at: Sheet, id_: str, port: str, force: float, what: str) -> Working:
    """Return what a force on a rod takes or gives as power."""
    speed = at.now.speed(at.line(id_, port))
    given = force * speed
    name = "Power that lifts it" if given >= 0 else "Power that it gives back"
    moved = at.term("v", abs(speed), "speed", "rod goes out" if speed >= 0 else "rod goes in")
    return at.pushing(id_, name, abs(given), at.term("F", abs(force), "force", what), moved)


def weight(at: Sheet, fitted: Fitted) -> Iterator[Working]:
    """Yield a weight's force, what speeds it up, and the power that lifts it."""
    id_, now = fitted.id, at.now
    mass = at.number("m", id_, "mass", "mass", pair("kg", 1, "lb", 1))
    along = now.parameter(id_, "along")
    force = now.value(id_, "force")
    terms: tuple[Term, ...] = (mass,)
    share, pound = "", "F = m"
    if along != 1.0:
        terms, share = (mass, at.term("k", along, "ratio", "share along the rod", (), PLAIN)), " · k"
        pound = "F = m · k"
    result = at.term("F", force, "force", "against the rod")
    yield Working(id_, "Weight of the load", result, terms, (f"F = m · 9.807{share} / 1000", pound),
                  "A mass of 1 lb weighs 1 lbf.")  # fmt: skip
    given = now.load(id_, "rod")
    gained = _rates(at, f"{id_}.v")
    moved = mass.value + sum(now.network.models[other].inertia(at_rest).full().ravel()[index]
                             for other, index, at_rest in _others(at, id_))  # fmt: skip
    whole = at.term("m", moved, "mass", "load, piston and rod", (), pair("kg", 1, "lb", 1))
    rate = at.term("a", abs(gained), "acceleration", "gained a second", (), pair(
        "m/s2", 3, "ft/s2", 3))  # fmt: skip
    surplus = at.term("Fa", abs(given - force), "force", "what the rod gives beyond the weight"
                      if given >= force else "what the rod gives less than the weight")  # fmt: skip
    faster = (given >= force) == (now.speed(at.line(id_, "rod")) >= 0)
    yield Working(
        id_, "What speeds it up" if faster else "What slows it down",
        surplus, (whole, rate), ("Fa = m · a / 1000", "Fa = m · a / 32.17"),
    )  # fmt: skip
    yield _power(at, id_, "rod", force, "weight")


def _others(at: Sheet, id_: str) -> Iterator[tuple[str, int, list[float]]]:
    """Yield the other parts on a load's rod: id, index among its moving ports, and its parameters' numbers."""
    network = at.now.network
    for other, port in network.lines[at.line(id_, "rod")].joins:
        if other != id_:
            model = network.models[other]
            numbers = [at.now.parameter(other, name) for name in model.parameters]
            yield other, model.moving.index(port), numbers


def wall(at: Sheet, fitted: Fitted) -> Iterator[Working]:
    """Yield the gap to a wall, or the force with which it is pressed."""
    id_, now = fitted.id, at.now
    fine = pair("mm", 1, "in", 3)
    place = now.place(at.line(id_, "rod"))
    gap = at.number("y", id_, "gap", "rod out when it touches", fine)
    depth = place - gap.value
    if depth <= -1e-4:
        left = at.term("x", -depth, "length", "left until it touches", (), fine)
        yield Working(id_, "Way to the wall", left, (gap, at.term("xr", place, "length", "rod is out", (), fine)),
                      ("x = y − xr",) * 2)  # fmt: skip
        return
    speed = now.speed(at.line(id_, "rod"))
    pressed = at.term("y", float(pos(depth, 1e-4)), "length", "pressed in", (), pair("mm", 3, "in", 4))
    shock = float(pos(1 + now.parameter(id_, "damping") * speed, 0.05))
    rate = pair("kN/mm", 2, "lbf/in", 0)
    terms = (
        at.number("c", id_, "rate", "stiffness", rate), pressed,
        at.term("k", shock, "ratio", "1, more while it is hit", (), PLAIN),
    )  # fmt: skip
    yield Working(id_, "Force on the wall", at.term("F", now.value(id_, "force"), "force", "pressed"), terms,
                  ("F = c · y · k",) * 2)  # fmt: skip


def constant_force(at: Sheet, fitted: Fitted) -> Iterator[Working]:
    """Yield the power of a force that does not change."""
    yield _power(at, fitted.id, "rod", at.now.value(fitted.id, "force"), "against the rod")


def crane(at: Sheet, fitted: Fitted) -> Iterator[Working]:
    """Yield load moment, weight of what hangs, and the moment of each cylinder on its pin."""
    id_, now = fitted.id, at.now
    kilograms = pair("kg", 0, "lb", 0)
    load = at.term("m", now.value(id_, "load"), "mass", "load", (), kilograms)
    own = at.number("mg", id_, "grapple_mass", "rotator and grapple", kilograms)
    reach = at.term("r", now.value(id_, "reach"), "length", "from column to tip, level", (), _LENGTH)
    hung = load.value + own.value
    yield Working(
        id_, "Load moment about the column",
        at.term("M", hung * GRAVITY * reach.value, "torque", "load and grapple", (), MOMENT), (load, own, reach),
        ("M = ( m + mg ) · 9.807 · r / 1000", "M = ( m + mg ) · r"),
    )  # fmt: skip
    yield Working(
        id_, "Weight that hangs from the tip", at.term("F", hung * GRAVITY, "force", "load and grapple"), (load, own),
        ("F = ( m + mg ) · 9.807 / 1000", "F = m + mg"),
    )  # fmt: skip
    for port in ("boom", "stick"):
        line = at.line(id_, port)
        drives = [other for other, _, role in now.network.rig.at_ports(line, Actuator) if role.linear]
        for other in drives:
            force, arm = now.value(other, "force"), now.value(id_, f"{port} arm")
            yield Working(
                id_, f"Moment of {other} on the {port}",
                at.term("M", abs(force * arm), "torque", f"about the pin of the {port}", (), MOMENT),
                (
                    at.term("F", abs(force), "force", "pushed by the rod" if force >= 0 else "pulled by the rod"),
                    at.term("y", abs(arm), "length", "lever arm of the cylinder now", (), pair("mm", 0, "in", 2)),
                ),
                ("M = F · y / 1000", "M = F · y / 12"),
            )  # fmt: skip


def grapple(at: Sheet, fitted: Fitted) -> Iterator[Working]:
    """Yield the grip of a grapple: the rod's force less what the tongs take."""
    id_, now = fitted.id, at.now
    given = now.load(id_, "rod")
    rubs = now.parameter(id_, "drag") * now.state(id_, "v")
    grip = now.value(id_, "force")
    terms = [
        at.term("Fr", given, "force", "given by the rod"),
        at.term("Fz", -rubs, "force", "pins of the tongs rub"),
    ]
    speeds = grip - given + rubs
    if abs(speeds) > 1.0:
        terms.append(at.term("Fa", speeds, "force", "speeds the tongs up" if speeds < 0 else "slows the tongs down"))
    elif abs(speeds) > 0:
        terms.append(at.term("Fa", speeds, "force", "the rest"))
    yield balance(id_, "Grip on the log", at.term("F", grip, "force", "on the log"), terms)
    rod = at.line(id_, "rod")
    place = now.place(rod)
    fine = pair("mm", 1, "in", 2)
    meets = now.parameter(id_, "log") * now.parameter(id_, "reach")
    if place < meets:
        left = at.term("x", meets - place, "length", "left until the tongs meet the log", (), fine)
        terms_ = (
            at.number("L", id_, "reach", "stroke that closes them", fine),
            at.number("k", id_, "log", "of it, where they meet the log", PERCENT),
            at.term("xr", place, "length", "rod is out", (), fine),
        )
        yield Working(id_, "Way to the log", left, terms_, ("x = k · L / 100 − xr",) * 2)


def trailer(at: Sheet, fitted: Fitted) -> Iterator[Working]:
    """Yield the weight of the trailer and how much of it stands on the legs."""
    id_, now = fitted.id, at.now
    mass = at.number("m", id_, "mass", "mass", pair("kg", 0, "lb", 0))
    heavy = at.term("W", mass.value * GRAVITY, "force", "trailer")
    yield Working(id_, "Weight of the trailer", heavy, (mass,), ("W = m · 9.807 / 1000", "W = m"))
    feet = [at.term(f"F{k}", now.value(id_, f"load {k}"), "force", f"foot {k}") for k in (1, 2)]
    stands = (feet[0].value + feet[1].value) / heavy.value
    result = at.term("L", stands, "ratio", "of the weight stands on the legs", (), PERCENT)
    yield Working(id_, "Weight on the legs", result, (*feet, heavy), ("L = ( F1 + F2 ) · 100 / W",) * 2)
