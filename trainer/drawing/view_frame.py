"""A window on the machine: metres to pixels."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from trainer.drawing.shapes import Point

__all__ = ["ViewFrame"]


@dataclass(frozen=True, slots=True)
class ViewFrame:
    """A window on the machine: metres to pixels, y up to y down; (x0, y0) [m] stands at (left, top) [px]."""

    left: float
    top: float
    scale: float  # px per metre
    x0: float
    y0: float

    def at(self, x: float, y: float) -> Point:
        """Return a point of the machine [m] in pixels."""
        return self.left + (x - self.x0) * self.scale, self.top + (self.y0 - y) * self.scale

    def outline(self, points: Sequence[Point], angle: float, origin: Point) -> tuple[Point, ...]:
        """Return points of a body turned by an angle [rad] about its origin [m], in pixels."""
        c, s = math.cos(angle) * self.scale, math.sin(angle) * self.scale
        x, y = self.at(*origin)
        return tuple((x + c * a - s * b, y - s * a - c * b) for a, b in points)
