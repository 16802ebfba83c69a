"""The head of a set screw in its lock-nut, seen from in front: how far it is turned, and whether the nut is loose."""

from __future__ import annotations

import math

from trainer.drawing.shapes import Arc, Circle, DrawList, Path, Point, Shape, Words

__all__ = ["screw_head"]

_LOOSE = 12.0  # degrees by which a loosened nut stands turned


def _at(x: float, y: float, radius: float, degrees: float) -> Point:
    """Return a point by its angle clockwise from the top, as a screw is read."""
    angle = math.radians(degrees)
    return x + radius * math.sin(angle), y - radius * math.cos(angle)


def screw_head(
    turns: float, loose: bool, x: float = 0.0, y: float = 0.0, radius: float = 60.0, least: float = 12.0
) -> DrawList:
    """Return the screw about a centre [px]: eighths of a turn as ticks, the slot with a dot at its pointing end.

    ``turns`` are counted in, clockwise; a loose nut stands turned and has a gap about the screw. ``least`` is the
    smallest text [px].
    """
    shapes: list[Shape] = []
    for k in range(8):
        inner = 0.90 if k % 2 == 0 else 0.94
        shapes.append(Path((_at(x, y, inner * radius, 45 * k), _at(x, y, radius, 45 * k)), "ink2", 1.5))
    skew = -_LOOSE if loose else 0.0
    corners = tuple(_at(x, y, 0.82 * radius, 60 * k + 30 + skew) for k in range(6))
    shapes.append(Path(corners, "ink", 2.5, fill="cell", closed=True))
    shapes.append(Circle(x, y, 0.68 * radius, "hairline", 1.0))
    if loose:
        shapes.append(Circle(x, y, 0.50 * radius, "ink2", 1.5, fill="paper"))
    shapes.append(Circle(x, y, 0.44 * radius, "ink", 2.5, fill="paper"))
    way = 360.0 * (turns % 1.0)
    ends = _at(x, y, 0.42 * radius, way), _at(x, y, 0.42 * radius, way + 180)
    shapes.append(Path(ends, "ink", 0.11 * radius))
    shapes.append(Circle(*_at(x, y, 0.58 * radius, way), 0.055 * radius, "ink", 1.0, fill="ink"))
    shapes.append(Path((_at(x, y, 1.02 * radius, way), _at(x, y, 1.10 * radius, way)), "accent", 3.0))
    tip = _at(x, y, 1.16 * radius, 62)  # the way that raises
    shapes.append(Arc(x, y, 1.16 * radius, 28, 40, "ink2", 1.5))
    a, b = _at(x, y, 1.10 * radius, 54), _at(x, y, 1.22 * radius, 54)
    shapes.append(Path((a, tip, b), "ink2", 1.5))
    shapes.append(Words(x + 1.22 * radius, y - 0.55 * radius - 8.0, "+", max(18.0, least), "ink2", align="left"))
    return shapes
