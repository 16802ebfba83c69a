"""How far one is, as shapes that differ without colour: a tick, a clock, a half disc, a ring; answers likewise."""

from __future__ import annotations

import math

from trainer.drawing.shapes import Arc, Circle, DrawList, Path, Shape

__all__ = ["answer_mark", "state_mark"]

_HALF = 24  # pieces of a half disc's edge


def state_mark(state: str, x: float, y: float, radius: float) -> DrawList:
    """Return the shape of a state about a point: "ready", "due", "begun" or "new"."""
    line = max(0.18 * radius, 1.2)
    if state == "ready":
        return [Circle(x, y, radius, None, fill="ink"), _tick(x, y, radius, "paper")]
    ring: list[Shape] = [Circle(x, y, radius - line / 2, "ink" if state != "new" else "ink2", line)]
    if state == "due":
        hand = ((x, y - 0.62 * radius), (x, y), (x + 0.42 * radius, y + 0.3 * radius))
        ring.append(Path(hand, "ink", line))
    elif state == "begun":
        angles = (math.radians(90 + 180 * k / _HALF) for k in range(_HALF + 1))
        half = tuple((x + radius * math.cos(a), y - radius * math.sin(a)) for a in angles)
        ring.append(Path(half, None, fill="ink", closed=True))
    return ring


def answer_mark(right: bool | None, x: float, y: float, radius: float) -> DrawList:
    """Return the shape of a first answer: right, not right, or None for what a person judges."""
    line = max(0.18 * radius, 1.2)
    if right:
        return [Circle(x, y, radius, None, fill="ink"), _tick(x, y, radius, "paper")]
    ring: list[Shape] = [Circle(x, y, radius - line / 2, "ink", line)]
    reach = 0.38 * radius
    if right is None:
        return [*ring, Arc(x, y, 0.3 * radius, 0, 360, "ink", line)]
    for slope in (1, -1):
        ring.append(Path(((x - reach, y - slope * reach), (x + reach, y + slope * reach)), "ink", line))
    return ring


def _tick(x: float, y: float, radius: float, ink: str) -> Path:
    places = ((-0.45, 0.02), (-0.12, 0.34), (0.45, -0.34))
    return Path(tuple((x + across * radius, y + down * radius) for across, down in places), ink, 0.24 * radius)
