"""How the pressure of a line beats with the pump: its uneven delivery, smoothed by the oil and hoses on the way."""

from __future__ import annotations

import math
from dataclasses import dataclass

from trainer.parts import oil
from trainer.parts.part import Kind
from trainer.parts.roles import Actuator, Pump, Store
from trainer.rig.live import Live
from trainer.rig.rig import Rig

__all__ = ["PISTONS", "TEETH", "Pulse", "pulse", "ripple", "uneven_pistons", "uneven_teeth"]

PISTONS = 3  # of the low-speed piston pump: an odd number
TEETH = 12  # of each wheel of the gear pump
_FLANK = math.radians(20.0)  # pressure angle of involute teeth


@dataclass(frozen=True, slots=True)
class Pulse:
    """How a pressure beats: ``share`` is its swing, greatest less least, over its mean; ``frequency`` in Hz."""

    share: float = 0.0
    frequency: float = 0.0


_STEADY = Pulse()


def ripple(kind: str, speed: float) -> Pulse:
    """Return how unevenly a pump of a family ("piston", "gear") delivers at a speed [rad/s]: swing over mean.

    Odd number z of pistons: pi/(2z) tan(pi/(4z)), 2 z times a turn (textbooks on hydrostatic pumps, from memory).
    Spur gears with involute teeth: the flow is b w (ra2 - r2 - s2), s running over half a base pitch to either
    side of the pitch point (textbooks, from memory); from that (pi cos a)2/4 / (z + 1 - (pi cos a)2/12), z a turn.
    """
    turns = abs(speed) / (2 * math.pi)
    if kind == "piston":
        return Pulse(uneven_pistons(PISTONS), 2 * PISTONS * turns)
    return Pulse(uneven_teeth(TEETH), TEETH * turns)


def uneven_pistons(z: int) -> float:
    """Return the swing of the flow of an odd number of pistons over its mean."""
    return math.pi / (2 * z) * math.tan(math.pi / (4 * z))


def uneven_teeth(z: int) -> float:
    """Return the swing of the flow of two equal gear wheels with z involute teeth over its mean."""
    pitch = (math.pi * math.cos(_FLANK)) ** 2
    return pitch / 4 / (z + 1 - pitch / 12)


def pulse(rig: Rig, live: Live, line: str) -> Pulse:
    """Return how the pressure of an oil line beats because a pump's flow does; none where no pump's oil comes now.

    Upstream to the pump: on each line the beat is mixed with the oil that comes steadily, and smoothed by what
    the line takes up (oil with its air, hose walls, an accumulator) against its resistance, pressure over flow.
    Waves in the lines are left out.
    """
    return _beat(rig, live, line, {})


def _beat(rig: Rig, live: Live, line: str, known: dict[str, Pulse]) -> Pulse:
    """Return the pulse of a line from what comes into it; ``known`` are those of lines that were met before."""
    if line not in known:
        known[line] = _STEADY  # where oil goes round it adds nothing
        known[line] = _mixed(rig, live, line, known)
    return known[line]


def _mixed(rig: Rig, live: Live, line: str, known: dict[str, Pulse]) -> Pulse:
    joins = rig.lines[line].joins
    if rig.at_tank(line):
        return _STEADY
    inflow, strongest, beating = 0.0, _STEADY, 0.0
    for id_, port in joins:
        flow = -live.flow(id_, port)
        if flow <= 0:
            continue
        inflow += flow
        source = _source(rig, live, id_, port, known)
        if source.share * flow > beating:
            beating, strongest = source.share * flow, source
    if beating <= 0 or live.pressure(line) <= 0:
        return _STEADY
    smoothing = 2 * math.pi * strongest.frequency * _capacity(rig, live, line) * live.pressure(line) / inflow
    return Pulse(beating / inflow / math.hypot(1.0, smoothing), strongest.frequency)


def _source(rig: Rig, live: Live, id_: str, port: str, known: dict[str, Pulse]) -> Pulse:
    """Return how what a part sends out of a port beats."""
    fitted = rig.parts[id_]
    role = fitted.part.role
    if isinstance(role, Pump):
        if not role.shaft:  # strokes of a hand are seen as they are
            return _STEADY
        return ripple(role.kind(fitted.choice), live.speed(rig.line_of(id_, role.shaft).name))
    if isinstance(role, (Actuator, Store)):  # what it pushes out has not come from the pump
        return _STEADY
    entries = []
    for other, kind in fitted.part.ports.items():
        if kind is not Kind.OIL or other == port or (flow := live.flow(id_, other)) <= 0:
            continue
        entries.append((flow, _beat(rig, live, rig.line_of(id_, other).name, known)))
    total = sum(flow for flow, _ in entries)
    if total <= 0:
        return _STEADY
    flow, strongest = max(entries, key=lambda entry: entry[0] * entry[1].share)
    return Pulse(flow * strongest.share / total, strongest.frequency)


def _capacity(rig: Rig, live: Live, line: str) -> float:
    """Return how much oil a line takes up per unit of pressure [m3/Pa]."""
    pressure = max(live.pressure(line), 0.0)
    air = live.parameter("oil", "air")
    stiff = live.parameter("oil", "stiffness") + live.parameter("oil", "stiffening") * pressure
    gas = air * oil.FLOOR / (pressure + oil.FLOOR) ** 2
    kept = sum(live.value(id_, role.softness) for id_, _, role in rig.at_ports(line, Store))
    own = live.parameter(line, "start content") * ((1 - air) / stiff + gas)
    return own + live.parameter(line, "compliance") + kept
