"""What a place of a path is called, and in a sentence why no oil of a pump gets to one now."""

from __future__ import annotations

from trainer import units
from trainer.engine.readings import Readings
from trainer.language import tr
from trainer.parts.part import Kind
from trainer.parts.roles import Actuator, DirectionalValve, PressureLimiter, Pump, Store
from trainer.rig.names import (
    capital,
    line_words,
    part_words,
    the_line,
)
from trainer.rig.rig import Rig
from trainer.tracing.path import OilPath, PathPlace
from trainer.units import System

__all__ = ["no_oil", "place_words"]

_SHUT = 0.006  # a passage smaller than this share of the bypass in neutral counts as shut
_NEUTRAL = 0.02  # of the travel


def place_words(rig: Rig, place: PathPlace) -> str:
    """Return what a place of a path is called: "boom, cap end", "between the banks", "tank 0Z1"."""
    return part_words(rig, place[1]) if place[0] == "part" else line_words(rig, place[1])


def no_oil(now: Readings, found: OilPath, place: PathPlace, system: System) -> str:
    """Return in one sentence why no oil of a pump gets to a line or into a part now."""
    rig = now.network.rig
    kind, name = place
    if kind == "part":
        return _not_into(now, found, name, system)
    if rig.lines[name].kind is not Kind.OIL:
        return tr("{line} is no oil line.").format(line=capital(the_line(rig, name)))
    drawing = [id_ for id_, port, role in rig.at_ports(name, Pump) if port in role.inlets]
    if drawing:
        return tr("The {part} draws its oil here; the path begins at its outlet.").format(
            part=part_words(rig, drawing[0])
        )
    return tr("No oil from the pump gets to {line} now; {reason}.").format(
        line=the_line(rig, name), reason=_reason(now, found, name, system, set())
    )


def _pressure(value: float, system: System) -> str:
    return " ".join(units.text(value, "pressure", system, 0))


def _not_into(now: Readings, found: OilPath, id_: str, system: System) -> str:
    rig = now.network.rig
    fitted = rig.parts[id_]
    words = part_words(rig, id_)
    oil = [port for port, kind in fitted.part.ports.items() if kind is Kind.OIL]
    if not oil:
        return tr("The {words} has no oil in it.").format(words=words)
    if id_ in found.pumps:
        return tr("The path begins at the {words}.").format(words=words)
    if not found.pumps:
        return tr("No oil from the pump gets into the {words} now; the pump stands.").format(words=words)
    lines = [rig.line_of(id_, port).name for port in oil]
    role = fitted.part.role
    if isinstance(role, PressureLimiter):
        return tr("No oil goes through the {words} now; {relief}.").format(
            words=words, relief=_relief(now, id_, role, system)
        )
    if any(found.step(("line", line)) for line in lines):
        if isinstance(role, Store):
            gives = now["swells", id_, role.port] < 0
            told = (
                tr("No oil goes into the {words} now; it gives oil back.")
                if gives
                else tr("No oil goes into the {words} now; it stands still.")
            )
            return told.format(words=words)
        if isinstance(role, Actuator):
            return tr("No oil goes into the {words} now; it stands still.").format(words=words)
        return tr("No oil goes through the {words} now; it is shut.").format(words=words)
    return tr("No oil from the pump gets into the {words} now; {reason}.").format(
        words=words, reason=_reason(now, found, lines[0], system, set())
    )


def _relief(now: Readings, id_: str, role: PressureLimiter, system: System) -> str:
    rig = now.network.rig
    drop = now.pressure(rig.line_of(id_, role.inlet).name) - now.pressure(rig.line_of(id_, role.outlet).name)
    opens = _pressure(now.value(id_, role.cracking), system)
    return tr("it opens at {opens}, and {pressure} stand before it").format(
        opens=opens, pressure=_pressure(max(drop, 0.0), system)
    )


def _reason(now: Readings, found: OilPath, line: str, system: System, seen: set[str]) -> str:
    """Return why a line is off the path, as the end of a sentence; follows the line's supply upstream."""
    if not found.pumps:
        return tr("the pump stands")
    seen.add(line)
    rig = now.network.rig
    joins = rig.lines[line].joins
    valves = rig.at_ports(line, DirectionalValve)
    for id_, port, valve in valves:
        if port in valve.work:
            return _work_port(now, found, id_, port, valve, system, seen)
    for id_, port, valve in valves:
        if port == valve.gallery[1]:
            before = rig.line_of(id_, valve.gallery[0]).name
            if found.step(("line", before)):
                return tr("the {part} has shut its bypass").format(part=part_words(rig, id_))
            if before not in seen:
                return _reason(now, found, before, system, seen)
    for id_, port in joins:
        fitted = rig.parts[id_]
        others = [rig.line_of(id_, p).name for p, k in fitted.part.ports.items() if k is Kind.OIL and p != port]
        fed = [other for other in others if found.step(("line", other))]
        role = fitted.part.role
        if isinstance(role, PressureLimiter) and port == role.outlet and fed:
            return tr("the {part} is shut: {relief}").format(
                part=part_words(rig, id_), relief=_relief(now, id_, role, system)
            )
        if fed:
            return tr("the {part} lets nothing through").format(part=part_words(rig, id_))
        for other in others:
            if other not in seen:
                return _reason(now, found, other, system, seen)
    return tr("nothing joins it to the pump")


def _work_port(
    now: Readings, found: OilPath, id_: str, port: str, valve: DirectionalValve, system: System, seen: set[str]
) -> str:
    """Return why a section sends no oil to one of its work ports."""
    rig = now.network.rig
    feed, line = rig.line_of(id_, valve.feed).name, rig.line_of(id_, port).name
    side = valve.work.index(port)
    spool = now.state(id_, valve.spool) if valve.spool else now.control(id_, valve.lever)
    shut = _SHUT * now.value(id_, valve.neutral)
    if now.value(id_, valve.opened[side]) <= shut:
        if abs(spool) < _NEUTRAL:
            return tr("its section is in neutral")
        way = (spool > 0) == (side == 0)
        return tr("its section is still in its dead band") if way else tr("its section feeds the other side")
    if not found.step(("line", feed)):
        upstream = _reason(now, found, feed, system, seen) if feed not in seen else tr("nothing comes to it")
        return tr("no oil gets as far as its section: {upstream}").format(upstream=upstream)
    before, behind = now.pressure(feed), now.pressure(line)
    if behind > before:
        return tr("the load check of its section is shut: {pressure} before it, {pressure2} behind").format(
            pressure=_pressure(before, system), pressure2=_pressure(behind, system)
        )
    actuators = [other for other, _, _ in rig.at_ports(line, Actuator)]
    if actuators:
        return tr("the {part} stands and takes no oil").format(part=part_words(rig, actuators[0]))
    return tr("less than a hundredth of the pump's oil goes there")
