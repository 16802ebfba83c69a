"""Workings of lines: pressure as what it stands for, where the oil goes, its velocity and power; shafts and rods."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from trainer.formula import Term, Working
from trainer.language import tr
from trainer.parts.roles import Actuator
from trainer.parts.sheet import balance
from trainer.parts.workings import velocity
from trainer.rig.rig import Line
from trainer.working.balances import comes_in, spread
from trainer.working.part_sheet import PartSheet
from trainer.working.sheet import Sheet

__all__ = ["drops_of", "oil_line", "pressure_of", "rod_line", "shaft_line"]

_LONGEST = 20  # parts on a way to the tank


def drops_of(at: Sheet, line: str, to_load: bool = True) -> tuple[list[tuple[str, str]], str]:
    """Return the parts and streams that a line's oil passes on its way, and the line where the way ends.

    It goes to an actuator that is fed where there is one, unless not ``to_load``, else with most of the oil.
    """
    steps: list[tuple[str, str]] = []
    seen = {line}
    while len(steps) < _LONGEST and line not in at.now.network.carrier:
        ways = [way for way in at.ways(line) if way[0] > at.moves and way[3] not in seen]
        if not ways or (steps and _fed(at, line)):
            break
        loaded = [way for way in ways if to_load and _fed(at, way[3])]
        _, id_, stream, line = (loaded or ways)[0]
        steps.append((id_, stream))
        seen.add(line)
    return steps, line


def _drop(at: Sheet, id_: str, stream: str, letter: str) -> Term:
    """Return the drop over a part as oil passes it, whichever way."""
    start, end = at.now.network.models[id_].streams[stream]
    if at.now["passes", id_, stream] < 0:
        start, end = end, start
    return at.drop(id_, start, end, letter, tr("over {called_of}").format(called_of=at.called_of(id_, stream)))


def _actuators(at: Sheet, line: str) -> list[tuple[str, str]]:
    """Return the ports of cylinders and motors on a line."""
    return [(id_, port) for id_, port, role in at.rig.at_ports(line, Actuator) if port in role.chambers]


def _fed(at: Sheet, line: str) -> bool:
    """Return whether oil goes into the actuators on a line."""
    return sum(at.now.flow(*pair) for pair in _actuators(at, line)) > at.moves


def _asked(at: Sheet, line: str) -> list[Working]:
    """Return what the actuators on a line ask of its pressure, the load first."""
    asked = (at.rig.parts[id_].part.asks(PartSheet(at, id_), port) for id_, port in _actuators(at, line))
    return [working for working in asked if working is not None]


def _loaded(at: Sheet, line: str) -> bool:
    """Return whether a line carries the load of a cylinder, rather than the oil that leaves it."""
    now = at.now
    for id_, port in _actuators(at, line):
        role = at.rig.role(id_, Actuator)
        other = next((end for end in role.chambers if end != port), "")
        if not other:
            return True
        if not role.linear:
            return now.pressure(line) >= now.pressure(at.line(id_, other))
        areas = dict(zip(role.chambers, role.areas, strict=True))
        push = {end: now.pressure(at.line(id_, end)) * now.value(id_, area) for end, area in areas.items()}
        if push[port] >= push[other]:
            return True
    return False


def _summed(at: Sheet, line: str) -> Iterator[Working]:
    """Yield a line's pressure as all drops until a load or the tank, then as the drop to the next line."""
    steps, end = drops_of(at, line)
    if not steps:
        return
    yield from _chain(at, line, steps, end)
    most, tank = drops_of(at, line, to_load=False)
    if (most, tank) != (steps, end):
        yield from _chain(at, line, most, tank)
    id_, stream = steps[0]
    ports = at.now.network.models[id_].streams[stream]
    following = next(name for name in (at.line(id_, port) for port in ports) if name != line)
    name = tr("Next line ({called}) and the drop to it").format(called=at.called(following))
    yield balance(line, name, at.pressure(line), (at.pressure(following, "pn"), _drop(at, id_, stream, "Δp")))


def _chain(at: Sheet, line: str, steps: list[tuple[str, str]], end: str) -> Iterator[Working]:
    """Yield the sum of the drops along a way; nothing for one drop to a tank, which the next line tells as well."""
    tank = end in at.now.network.carrier
    if tank and len(steps) == 1:
        return
    drops = [_drop(at, part, name, f"Δp{k}") for k, (part, name) in enumerate(steps, 1)]
    if not tank or abs(at.now.pressure(end)) > 1.0:
        asks = tr("what the load asks: ") if _actuators(at, end) else ""
        drops.append(at.pressure(end, "pL", f"{asks}{at.called(end)}"))
    yield balance(
        line,
        tr("All drops on the way to the tank") if tank else tr("All drops up to the load"),
        at.pressure(line),
        drops,
    )


def pressure_of(at: Sheet, line: str) -> list[Working]:
    """Return the pressure of a line as what it stands for."""
    summed = list(_summed(at, line))
    asked = _asked(at, line)
    return [*asked, *summed] if _loaded(at, line) else [*summed, *asked]


def oil_line(at: Sheet, line: Line) -> Iterator[Working]:
    """Yield the pressure of an oil line, where its oil goes, its velocity and its power."""
    name = line.name
    yield from pressure_of(at, name)
    comes, sources = comes_in(at, name)
    if (goes := spread(at, name)) is not None:
        yield goes
    if comes < at.moves:
        return
    swollen = at.specific(name)
    refers_to = tuple(("flow", ".".join(pair)) for pair in sources)
    flow = at.term("q", comes * swollen, "flow", tr("through it"), refers_to)
    if line.bore is not None:
        usual = tr("Usual: return 2 to 4 m/s (7 to 15 ft/s), pressure 3 to 6 (10 to 20).")
        yield velocity(at, name, flow, line.bore, usual)
    pressure = at.pressure(name)
    if pressure.value > 1e3:
        yield at.hydraulic(name, tr("Power of the oil"), pressure.value * flow.value, pressure, flow)


def shaft_line(at: Sheet, line: Line) -> Iterator[Working]:
    """Yield the torques on a shaft and its power."""
    name, now = line.name, at.now
    way = -1 if now.speed(name) < 0 else 1
    loads = {pair: way * now.load(*pair) for pair in line.joins}
    drives = {pair: -load for pair, load in loads.items() if load < 0}
    driven = sum(drives.values())
    if driven > 1e-6:
        source = tr("from {parts}").format(parts=tr(" and ").join(id_ for id_, _ in drives))
        terms = [
            at.term(f"T{k}", load, "torque", tr("to {called}").format(called=at.called(id_)))
            for k, ((id_, _), load) in enumerate(loads.items(), 1) if load > 0
        ]  # fmt: skip
        surplus = driven - sum(term.value for term in terms)
        if name not in now.network.carrier and abs(surplus) > 1e-9:
            speeds = tr("speeds the shaft up") if surplus > 0 else tr("given back by what slows down")
            terms.append(at.term("Ta", surplus, "torque", speeds))
        result = at.term("T", driven, "torque", source)
        if terms:
            yield balance(name, tr("Torque on the shaft"), result, terms)
        yield at.turning(name, tr("Power of the shaft"), driven * abs(now.speed(name)), result, at.speed(name))


def rod_line(at: Sheet, line: Line) -> Iterator[Working]:
    """Yield the force that the rod passes on: what the piston gives less what speeds it up or stops it."""
    name, now = line.name, at.now
    for id_, port, role in at.rig.at_ports(name, Actuator):
        if not role.linear:
            continue
        force = at.term("F", now.value(id_, role.push), "force", tr("of the piston, friction taken off"))
        passed = -now.load(id_, port)
        terms = [force]
        stop = passed - force.value
        if abs(stop) > 1.0:
            terms.append(at.term("Fe", stop, "force", tr("end of the stroke")))
        result = at.term("Fl", passed, "force", tr("on the load"))
        if abs(stop) > 1.0:
            yield balance(name, tr("Force on the load"), result, [replace(term) for term in terms])
