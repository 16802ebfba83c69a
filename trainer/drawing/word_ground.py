"""What words of a drawing keep clear of: pipes, parts all the way that they move, walls, thin lines, other words."""

from __future__ import annotations

import itertools
from collections.abc import Iterable, Iterator, Sequence

import numpy as np
import numpy.typing as npt

from trainer.drawing.placed import reach
from trainer.drawing.route import Box
from trainer.drawing.scene import Scene
from trainer.drawing.shapes import Path, Point

__all__ = ["Numbers", "Standing", "WordGround", "array", "depths", "shared"]

Numbers = npt.NDArray[np.float64]
_GROUND, _SHRINK = 5.0, 2.0  # half the ground of a pipe; what of a part's box counts as its border [px]
_BARREL, _ROD, _ARROW = 46.0, 9.0, 25.0  # half a barrel, half a rod, the arrow at its tip [px]
_SQUARE, _SPRING = 32.0, 8.0  # half a square of a spool; what of a spool's spring may come under words [px]


def array(boxes: Iterable[Box]) -> Numbers:
    """Return boxes as rows of left, top, right and bottom, also where there are none."""
    return np.array([*boxes], dtype=float).reshape(-1, 4)


def shared(some: Numbers, others: Numbers) -> Numbers:
    """Return the area that each of some boxes shares with each of others, one row for each of some."""
    wide = np.minimum(some[:, 2:3], others[:, 2]) - np.maximum(some[:, 0:1], others[:, 0])
    high = np.minimum(some[:, 3:4], others[:, 3]) - np.maximum(some[:, 1:2], others[:, 1])
    found: Numbers = np.maximum(wide, 0.0) * np.maximum(high, 0.0)
    return found


def depths(boxes: Numbers, others: Numbers) -> Numbers:
    """Return by how much boxes lie in each of others, the smaller of both ways [px], one row for each box."""
    one, other = boxes[:, None, :], others[None, :, :]
    wide = np.minimum(one[..., 2], other[..., 2]) - np.maximum(one[..., 0], other[..., 0])
    high = np.minimum(one[..., 3], other[..., 3]) - np.maximum(one[..., 1], other[..., 1])
    found: Numbers = np.minimum(wide, high)
    return found


class Standing:
    """The boxes of words that have their places. What is ``asked`` about them are boxes grown by ``apart`` [px]."""

    def __init__(self, boxes: Sequence[Box], asked: Sequence[Box] = (), apart: float = 0.0) -> None:
        self._first = first = array(boxes)
        self._added: list[Box] = []
        grown = array(asked) + np.array([-apart, -apart, apart, apart])
        met = (first[:, 0] < grown[:, 2:3]) & (first[:, 2] > grown[:, 0:1])
        met &= (first[:, 1] < grown[:, 3:4]) & (first[:, 3] > grown[:, 1:2])
        self._asked = [*zip(grown.tolist(), met.any(axis=1).tolist(), strict=True)]

    @property
    def boxes(self) -> Numbers:
        """All of them, one in a row."""
        return np.vstack([self._first, array(self._added)])

    def add(self, boxes: Iterable[Box]) -> None:
        """Let more boxes stand."""
        self._added += boxes

    def meet(self, k: int) -> bool:
        """Return whether one of the boxes that are asked about, by its number, comes too close to one of them."""
        (left, top, right, bottom), met = self._asked[k]
        return met or any(b[0] < right and b[2] > left and b[1] < bottom and b[3] > top for b in self._added)


class WordGround:
    """What stands on a scene, as boxes in rows [px]: ``bodies``, ``pipes``, ``walls`` and thin ``lines``."""

    def __init__(self, scene: Scene) -> None:
        bodies = [_within(box) for box in _solid(scene)]
        self.bodies = array(bodies)
        self.pipes = array(
            _around(a, b, _GROUND)
            for net in scene.pipes.nets.values()
            for run in net.runs
            for a, b in itertools.pairwise(run.points)
        )
        lines = [*_lines(scene, bodies)]
        self.lines = array(box for box, heavy in lines if not heavy)
        self.walls = array(box for box, heavy in lines if heavy)


def _around(a: Point, b: Point, slack: float) -> Box:
    return min(a[0], b[0]) - slack, min(a[1], b[1]) - slack, max(a[0], b[0]) + slack, max(a[1], b[1]) + slack


def _within(box: Box) -> Box:
    return box[0] + _SHRINK, box[1] + _SHRINK, box[2] - _SHRINK, box[3] - _SHRINK


def _solid(scene: Scene) -> Iterator[Box]:
    """Yield what parts and instruments fill all the way that they move [px]; of a cylinder barrel and rod."""
    for name, (x, y, wide, high) in scene.boxes.items():
        part = scene.layout.placed.get(name)
        if part is None:
            yield x, y, x + wide, y + high
        elif part.vessel is not None or not scene.layout.seen(name):
            continue
        elif part.symbol.manner.moves == "piston" and part.upright:
            left, top, right, bottom = reach(part)
            inner, outer = part.y - _BARREL, part.y + _BARREL
            yield left, inner, right, outer
            if part.upwards:
                yield part.x - _ROD, top - _ARROW, part.x + _ROD, inner
            else:
                yield part.x - _ROD, outer, part.x + _ROD, bottom + _ARROW
        elif part.symbol.manner.moves == "spool":
            yield part.x - _SQUARE, y + _SPRING, part.x + _SQUARE, y + high
        else:
            yield x, y, x + wide, y + high


def _lines(scene: Scene, bodies: Sequence[Box]) -> Iterator[tuple[Box, bool]]:
    """Yield the stretches of lines outside the parts, such as walls and enclosures, and whether they are heavy."""
    shapes = [*scene.still(), *(shape for meter in scene.meters.values() for shape in meter.shapes)]
    grown = [(left - 8, top - 8, right + 8, bottom + 8) for left, top, right, bottom in bodies]
    for shape in shapes:
        if not isinstance(shape, Path) or shape.ink in (None, "hairline"):
            continue
        points = (*shape.points, shape.points[0]) if shape.closed else shape.points
        for a, b in itertools.pairwise(points):
            box = _around(a, b, shape.width / 2)
            if not any(o[0] < box[0] and o[1] < box[1] and box[2] < o[2] and box[3] < o[3] for o in grown):
                yield box, shape.width >= scene.theme.outline and not shape.dash
