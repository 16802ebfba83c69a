"""A symbol: immutable shapes about its centre, and where its ports leave it."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace

from trainer.drawing.shapes import Arc, Circle, Marks, Path, Point, Shape, Sliding, Words
from trainer.drawing.symbols.manner import PLAIN, Manner

__all__ = ["Anchor", "M", "Symbol", "bounds_of", "flat", "moved", "turned"]

M = 10.0  # one module in board pixels at zoom 1


@dataclass(frozen=True, slots=True)
class Anchor:
    """Where a line meets a symbol [px from its centre, y down].

    ``direction``: degrees ccw in which the line leaves; ``inner``: where a pipe drawn through the port's
    stub ends on the outline.
    """

    x: float
    y: float
    direction: int
    inner: Point


@dataclass(frozen=True, slots=True)
class Symbol:
    """A picture with ports. ``upright`` shapes move with the symbol but never turn or mirror with it.

    Each upright shape comes with the point that carries it. ``box`` is (left, top, right, bottom) of the
    body without its port stubs [px]; ``through`` says that pipes run through the body, under its line work;
    ``manner`` is how it behaves on a board.
    """

    name: str
    title: str
    shapes: tuple[Shape, ...]
    upright: tuple[tuple[Point, Shape], ...]
    anchors: Mapping[str, Anchor]
    box: tuple[float, float, float, float]
    through: bool = False
    manner: Manner = PLAIN

    def placed(self, x: float = 0.0, y: float = 0.0, turn: int = 0, mirror: bool = False) -> Symbol:
        """Return the symbol mirrored left to right, then turned ccw by a multiple of 90, then moved [px]."""

        def to(point: Point) -> Point:
            across, down = turned((-point[0] if mirror else point[0], point[1]), turn)
            return across + x, down + y

        anchors = {
            letter: Anchor(
                *to((a.x, a.y)),
                (turn + (180 - a.direction if mirror else a.direction)) % 360,
                to(a.inner),
            )
            for letter, a in self.anchors.items()
        }
        upright = []
        for pivot, shape in self.upright:
            across, down = to(pivot)
            upright.append(((across, down), moved(shape, across - pivot[0], down - pivot[1])))
        corners = [to(self.box[:2]), to(self.box[2:])]
        box = (
            min(p[0] for p in corners),
            min(p[1] for p in corners),
            max(p[0] for p in corners),
            max(p[1] for p in corners),
        )
        shapes = tuple(_placed(shape, to, turn, mirror) for shape in self.shapes)
        return replace(self, shapes=shapes, upright=tuple(upright), anchors=anchors, box=box)

    def drawn(self) -> tuple[Shape, ...]:
        """Return every shape in painting order."""
        return (*self.shapes, *(shape for _, shape in self.upright))


def turned(point: Point, turn: int) -> Point:
    """Return a point turned ccw as seen on the screen by a multiple of 90 degrees."""
    x, y = point
    return ((x, y), (y, -x), (-x, -y), (-y, x))[turn // 90 % 4]


def _placed(shape: Shape, to: object, turn: int, mirror: bool) -> Shape:
    assert callable(to)
    match shape:
        case Path():
            return replace(shape, points=tuple(to(p) for p in shape.points))
        case Circle() | Words():
            x, y = to((shape.x, shape.y))
            return replace(shape, x=x, y=y)
        case Arc():
            x, y = to((shape.x, shape.y))
            start = 180 - shape.start - shape.span if mirror else shape.start
            return replace(shape, x=x, y=y, start=(start + turn) % 360)
        case Marks():
            rows = tuple((*to((x, y)), (turn + (180 - a if mirror else a)) % 360, n) for x, y, a, n in shape.rows)
            return replace(shape, rows=rows)


def moved(shape: Shape, dx: float, dy: float) -> Shape:
    """Return a shape moved by dx, dy [px]."""
    match shape:
        case Path():
            return replace(shape, points=tuple((x + dx, y + dy) for x, y in shape.points))
        case Marks():
            return replace(shape, rows=tuple((x + dx, y + dy, a, n) for x, y, a, n in shape.rows))
    return replace(shape, x=shape.x + dx, y=shape.y + dy)


def flat(shapes: Iterable[Shape | Sliding]) -> list[Shape]:
    """Return shapes with those that slide each in its place."""
    found: list[Shape] = []
    for shape in shapes:
        if isinstance(shape, Sliding):
            at_home = shape.across == shape.down == 0.0
            found += shape.shapes if at_home else [moved(one, shape.across, shape.down) for one in shape.shapes]
        else:
            found.append(shape)
    return found


def bounds_of(shapes: tuple[Shape, ...]) -> tuple[float, float, float, float]:
    """Return (left, top, right, bottom) of shapes [px], text by an estimate; zeros for none."""
    xs: list[float] = []
    ys: list[float] = []
    for shape in shapes:
        match shape:
            case Path():
                xs += [p[0] for p in shape.points]
                ys += [p[1] for p in shape.points]
            case Circle():
                xs += [shape.x - shape.radius, shape.x + shape.radius]
                ys += [shape.y - shape.radius, shape.y + shape.radius]
            case Arc():
                for k in range(9):
                    angle = math.radians(shape.start + shape.span * k / 8)
                    xs.append(shape.x + shape.radius * math.cos(angle))
                    ys.append(shape.y - shape.radius * math.sin(angle))
            case Words():
                wide = 0.5 * shape.size * len(shape.text)
                left = {"left": 0.0, "centre": 0.5, "right": 1.0}[shape.align] * wide
                xs += [shape.x - left, shape.x - left + wide]
                ys += [shape.y - 0.75 * shape.size, shape.y + 0.25 * shape.size]
            case Marks():
                xs += [p[0] for p in shape.places]
                ys += [p[1] for p in shape.places]
    return (min(xs), min(ys), max(xs), max(ys)) if xs else (0.0, 0.0, 0.0, 0.0)
