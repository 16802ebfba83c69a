"""What a mechanic puts into a line: the portable flow tester with its instruments, the cup for what drips.

A rig is made anew with it, and once more without it: it goes in while the rig stands still and is without pressure.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import replace
from typing import Any

from trainer.errors import Fault, RigError, nearest_key
from trainer.language import tr
from trainer.measuring.instruments import fitting_range, new_instrument
from trainer.parts.part import Kind, Parameter, Part
from trainer.parts.roles import Actuator, Pump, Tank
from trainer.parts.testers import FlowTester, MeasuringCup
from trainer.rig.live import Live
from trainer.rig.names import port_words
from trainer.rig.rig import Fitted, Line, Rig

__all__ = ["cup_ports", "runs_into", "taken_out", "takes_tester", "with_cup", "with_tester"]

_WARM = 100.0  # end of a tester's thermometer [C]
_STILL = 1e-7  # flow that tells no direction [m3/s]


def takes_tester(rig: Rig, part: str, port: str) -> bool:
    """Return whether a flow tester can be put in at a port: it has a line, and the tester's valve does no harm."""
    return _has_hose(rig, part, port) and not any(_harm(rig, part, port))


def cup_ports(rig: Rig, part: str) -> list[str]:
    """Return the ports of a part whose oil can be caught: a drain, and what passes the seal of a cylinder."""
    role = rig.parts[part].part.role
    if not isinstance(role, Actuator):
        return []
    ports = [*(role.chambers if role.linear else ()), role.drain]
    return [port for port in ports if port in rig.parts[part].part.ports]


def runs_into(rig: Rig, live: Live, part: str, port: str) -> bool:
    """Return whether oil comes to a part at a port: as it flows now, at rest as it is driven to flow."""
    flow = live.flow(part, port)
    if abs(flow) > _STILL:
        return flow > 0
    role = rig.parts[part].part.role
    return isinstance(role, Actuator) and port in role.chambers


def with_tester(rig: Rig, part: str, port: str, into: bool = False) -> Rig:
    """Return a rig with a flow tester between a port and its line, its three instruments fitted.

    Oil that leaves the part there passes it the right way, with ``into`` oil that comes to the part. Raises RigError
    for a port that has no line to be opened, and for one where a tester does harm.
    """
    line = _line(rig, part, port, takes_tester)
    _require_loadable(rig, part, port)
    tester, name = _free_id(rig), _free_line(rig, "tester")
    near, far = ("2", "1") if into else ("1", "2")
    rest = tuple(join for join in line.joins if join != (part, port))
    lines = {
        **rig.lines,
        line.name: replace(line, joins=(*rest, (tester, far))),
        name: Line(name, Kind.OIL, ((part, port), (tester, near)), test_point=True),
    }
    words = tr("{title}, with a flow tester").format(title=rig.title)
    made = _made(rig, tester, FlowTester, lines, [line.name], words)
    limits = [fitted for fitted in rig.parts.values() if "setting" in fitted.part.declared(Parameter)]
    highest = max((fitted.value("setting") for fitted in limits), default=250e5)
    before = line.name if into else name
    for kind, on, end, label in (
        ("gauge", before, fitting_range("gauge", highest), tr("tester, pressure")),
        ("flow meter", f"{tester}.1", fitting_range("flow meter", rig.delivery), tr("tester, flow")),
        ("thermometer", tester, _WARM, tr("tester, oil")),
    ):
        fitted_one = new_instrument(made, kind, on, end, label=label)
        made = replace(made, instruments={**made.instruments, fitted_one.name: fitted_one})
    return made.checked()


def with_cup(rig: Rig, part: str, port: str) -> Rig:
    """Return a rig whose port lets its oil run into a measuring cup over the tank, its line being shut where it was.

    Raises RigError for a port that has no line to be opened.
    """
    line = _line(rig, part, port, _has_hose)
    cup, name = _free_id(rig), _free_line(rig, "cup")
    home = rig.line_of(rig.tank, rig.role(rig.tank, Tank).back)
    rest = tuple(join for join in line.joins if join != (part, port))
    lines = {**rig.lines, line.name: replace(line, joins=rest)}
    lines[home.name] = replace(lines[home.name], joins=(*lines[home.name].joins, (cup, "2")))
    lines[name] = Line(name, Kind.OIL, ((part, port), (cup, "1")))
    words = tr("{title}, with a measuring cup").format(title=rig.title)
    return _made(rig, cup, MeasuringCup, lines, [line.name], words).checked()


def taken_out(rig: Rig, before: Rig) -> Rig:
    """Return a rig as it was before something was put in, with the numbers that it has now.

    An instrument that sits on what is taken out goes with it. Raises RigError where the rig cannot be without.
    """
    gone = {*rig.parts, *rig.lines} - {*before.parts, *before.lines}
    kept = {
        name: item
        for name, item in rig.instruments.items()
        if item.on.partition(".")[0] not in gone and not gone.intersection(item.between)
    }
    start = {name: value for name, value in rig.start.items() if name.partition(".")[0] not in gone}
    parts = {id_: rig.parts[id_] for id_ in before.parts}
    return replace(before, parts=parts, instruments=kept, start=start, oil=rig.oil).checked()


def _harm(rig: Rig, part: str, port: str) -> tuple[str, str]:
    """Return in words what a loading valve does at a suction or at a drain, and where to go; empty where no harm."""
    role = rig.parts[part].part.role
    if isinstance(role, Pump) and port in role.inlets:
        problem = tr("a flow tester never goes before a pump, at {port}: its valve would starve it.")
        return problem, tr("Put it in behind the pump.")
    if isinstance(role, Actuator) and port == role.drain:
        problem = tr("a flow tester never goes into a drain, at {port}: its valve would burst the shaft seal.")
        return problem, tr("Catch what runs out there in a cup.")
    return "", ""


def _require_loadable(rig: Rig, part: str, port: str) -> None:
    """Raise RigError where a tester does harm."""
    problem, remedy = _harm(rig, part, port)
    if problem:
        problem = problem.format(port=port_words(rig, part, port))
        raise RigError([Fault("harmful place", f"{part}.{port}", problem, remedy)], rig.source)


def _has_hose(rig: Rig, part: str, port: str) -> bool:
    """Return whether a port of oil has a hose that could be taken off."""
    fitted = rig.parts[part].part
    oil = fitted.ports.get(port) is Kind.OIL and not isinstance(fitted.role, Tank)
    return oil and len(rig.line_of(part, port).joins) > 1


def _line(rig: Rig, part: str, port: str, may: Callable[[Rig, str, str], bool]) -> Line:
    """Return the line of an oil port that others are on, too; ``may``: what is named instead of one that is none."""
    where = f"{part}.{port}"
    fitted = rig.parts.get(part)
    if fitted is None or fitted.part.ports.get(port) is not Kind.OIL:
        joins = [join for line in rig.lines_of_kind(Kind.OIL) for join in line.joins if may(rig, *join)]
        known = [f"{id_}.{letter}" for id_, letter in joins]
        remedy = nearest_key(where, known) or tr("Name an oil port, such as {port}.").format(port=known[0])
        raise RigError([Fault("unknown port", where, tr("there is no such oil port here."), remedy)], rig.source)
    if not _has_hose(rig, part, port):
        problem = tr("{port} has no hose that could be taken off.").format(port=port_words(rig, part, port))
        remedy = tr("Take a port of a pump, a valve, a cylinder or a motor.")
        raise RigError([Fault("unknown port", where, problem, remedy)], rig.source)
    return rig.line_of(part, port)


def _made(rig: Rig, id_: str, part: type[Part], lines: Mapping[str, Line], moved: list[str], title: str) -> Rig:
    """Return a rig with one part more; the lines that were ``moved`` find their own way on the drawing."""
    drawing: dict[str, Any] = dict(rig.drawing)
    routes = drawing.get("routes", {})
    drawing["routes"] = {name: route for name, route in routes.items() if name not in moved}
    return replace(
        rig,
        title=title,
        parts={**rig.parts, id_: Fitted(id_, part, {}, {})},
        lines=lines,
        drawing=drawing,
    )


def _free_id(rig: Rig) -> str:
    return next(id_ for id_ in _counted("0Z") if id_ not in rig.parts)


def _free_line(rig: Rig, word: str) -> str:
    taken = {*rig.lines, *rig.parts, *rig.instruments}
    return next(name for name in _counted(word) if name not in taken)


def _counted(word: str) -> Iterator[str]:
    """Yield a word with 1, 2, 3 … behind it."""
    k = 0
    while True:
        k += 1
        yield f"{word}{k}"
