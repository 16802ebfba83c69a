"""Paints any draw list with QPainter: on the screen, into a picture file, onto a page."""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Any

from PySide6.QtCore import QLineF, QPointF, QRectF, Qt
from PySide6.QtGui import QBrush, QPainter, QPen, QTransform

from trainer.drawing.shapes import Arc, Circle, Marks, Moving, Path, Shape, Sliding, Words
from trainer.drawing.symbols.symbol import flat
from trainer.window.painting.inks import Inks
from trainer.window.painting.kept import Kept
from trainer.window.painting.lettering import write
from trainer.window.painting.pictures import Laid, Pictures, Where, row_of_marks

__all__ = ["Strokes", "paint"]

NO_PEN, NO_BRUSH = QPen(Qt.PenStyle.NoPen), QBrush(Qt.BrushStyle.NoBrush)
_SAID = 400  # words at most whose pictures are found by what they say and where, though they are written down anew
_FRAMES = 4  # as many shapes are kept ready as so many of the largest frames have
_THICK = 5.0  # width from which lines are filled, or drawn stretch by stretch [board px]


def paint(
    painter: QPainter,
    shapes: Moving,
    inks: Inks,
    scale: float = 1.0,
    origin: tuple[float, float] = (0.0, 0.0),
    smallest: float = 0.0,
    kept: Strokes | None = None,
) -> None:
    """Paint shapes, given in board pixels, at ``scale`` from ``origin`` [painter pixels].

    No text becomes smaller than ``smallest`` painter pixels. The painter's transform is left as it was. ``kept``
    spares the work for shapes that come again from frame to frame.
    """
    outer = painter.worldTransform()
    scaled = QTransform(outer).translate(*origin).scale(scale, scale)
    painter.setRenderHint(QPainter.RenderHint.Antialiasing, True)
    in_board = False
    thin = 1.0 / scale if scale > 0 else 1.0  # no line is thinner than one painter pixel
    where = (scale, origin, smallest)
    ready = kept.begin(len(shapes), inks, where, painter.device().devicePixelRatioF()) if kept is not None else {}
    pen: QPen | None = None  # what the painter has, where it is known
    brush: QBrush | None = None
    for shape in shapes if kept is not None else flat(shapes):
        one = ready.get(id(shape))
        if one is None or one.shape is not shape:
            one = kept.made(shape, inks, thin) if kept is not None else _ready(shape, inks, thin)
        if one is not None:
            if one.in_board is not in_board:
                in_board = one.in_board
                painter.setWorldTransform(scaled if in_board else outer)
            if one.pen is not pen and one.pen is not None:
                pen = one.pen
                painter.setPen(pen)
            if one.brush is not brush and one.brush is not None:
                brush = one.brush
                painter.setBrush(brush)
            one.draw(painter, *one.what)
            continue
        plain: Shape | Sliding | None = shape
        if kept is not None and isinstance(shape, Marks):
            if in_board:
                painter.setWorldTransform(outer)
                in_board = False
            plain = kept.pictures.march(painter, shape, inks)
        if plain is not None:
            pen = brush = None
            in_board = not isinstance(plain, Words)
            painter.setWorldTransform(scaled if in_board else outer)
            _shape(painter, plain, inks, thin, where)
    painter.setWorldTransform(outer)


@dataclass(slots=True)
class _Ready:
    """A shape made ready: what draws it, and pen and brush, None where it needs none; ``in_board``: in board pixels.

    ``shape`` keeps its place in memory.
    """

    shape: Shape | Sliding
    draw: Callable[..., object]
    what: tuple[Any, ...]
    pen: QPen | None = None
    brush: QBrush | None = None
    in_board: bool = True


class Strokes:
    """Shapes made ready that came in two frames running; those of one frame only are let go with it.

    With ``lasting`` each is kept that comes: it will come again, if not in the next frame.
    """

    def __init__(self, pictures: Pictures | None = None, lasting: bool = False) -> None:
        self._lasting = lasting
        self.pictures = pictures or Pictures(paint)
        self._ready: Kept[int, _Ready] = Kept(0)
        self._said: Kept[Words, Laid] = Kept(0)
        self._met: dict[int, Shape | Sliding] = {}
        self._before: dict[int, Shape | Sliding] = {}
        self._for: tuple[object, ...] = ()

    def begin(self, count: int, inks: Inks, where: Where, ratio: float) -> dict[int, _Ready]:
        """Return what is ready for these inks, at the beginning of a frame of so many shapes; ``made`` may find more.

        ``where``: scale, origin and smallest type; ``ratio``: device pixels to a painter pixel.
        """
        if self._for != (inks, where, ratio):
            self._ready, self._said = Kept(0), Kept(0)
            self._for = (inks, where, ratio)
        self._ready.most = max(self._ready.most, _FRAMES * count)
        self._said.most = min(self._ready.most, _SAID)
        self.pictures.begin(where, ratio)
        self._before, self._met = self._met, {}
        return self._ready.newer

    def made(self, shape: Shape | Sliding, inks: Inks, thin: float) -> _Ready | None:
        """Return a shape made ready, None where it cannot be.

        It is kept where it came in the frame before, too.
        """
        key, lasting = id(shape), self._lasting
        one = self._ready.find(key)
        if one is not None and one.shape is shape:
            return one
        if isinstance(shape, Words | Sliding):
            words = shape if isinstance(shape, Words) else None
            found = self._said.find(words) if words is not None else None
            if found is None:
                found = self.pictures.of(shape, inks)
                if found is not None and words is not None:
                    self._said.keep(words, found)
            one = _Ready(shape, QPainter.drawPixmap, found, in_board=False) if found is not None else None
            lasting = lasting or (self.pictures.lasting and words is not None)
        else:
            one = _ready(shape, inks, thin)
        if one is not None:
            if lasting or self._before.get(key) is shape:
                self._ready.keep(key, one)
            else:
                self._met[key] = shape
        return one


def _ready(shape: Shape | Sliding, inks: Inks, thin: float) -> _Ready | None:
    """Return a shape of lines without hatching made ready; None for others."""
    if isinstance(shape, Arc):
        box = QRectF(shape.x - shape.radius, shape.y - shape.radius, 2 * shape.radius, 2 * shape.radius)
        pen = inks.pen(shape.ink, max(shape.width, thin)) if shape.width > 0 else NO_PEN
        return _Ready(shape, QPainter.drawArc, (box, round(shape.start * 16), round(shape.span * 16)), pen)
    if not isinstance(shape, Path | Circle) or shape.hatch is not None:
        return None
    ink, width, fill = shape.ink, max(shape.width, thin), shape.fill
    brush = inks.brush(fill) if fill is not None else NO_BRUSH
    dash = shape.dash if isinstance(shape, Path) else ()
    pen = inks.pen(ink, width, dash) if ink is not None and shape.width > 0 else NO_PEN
    if isinstance(shape, Circle):
        place = (QPointF(shape.x, shape.y), shape.radius, shape.radius)
        return _Ready(shape, QPainter.drawEllipse, place, pen, brush)
    given = shape.points
    if shape.closed:
        upright = _upright(given) if pen is NO_PEN and fill is not None else None
        if upright is not None:
            return _Ready(shape, _fill, ([upright], brush))
        return _Ready(shape, QPainter.drawPolygon, ([QPointF(x, y) for x, y in given],), pen, brush)
    if shape.width >= _THICK and ink is not None and not dash:
        stretches = _stretches(given, width)
        if stretches:
            return _Ready(shape, _fill, (stretches, inks.brush(ink)))
        lines = _mitred(given, width)
        if lines:
            return _Ready(shape, QPainter.drawLines, (lines,), pen)
    points = [QPointF(x, y) for x, y in given]
    if len(points) == 2:
        return _Ready(shape, QPainter.drawLine, (QLineF(*points),), pen)
    return _Ready(shape, QPainter.drawPolyline, (points,), pen)


def _fill(painter: QPainter, boxes: list[QRectF], brush: QBrush) -> None:
    for box in boxes:
        painter.fillRect(box, brush)


def _shape(painter: QPainter, shape: Shape | Sliding, inks: Inks, thin: float, where: Where) -> None:
    """Paint one shape that was not made ready; words, as ``where`` says, are written unscaled."""
    if isinstance(shape, Words):
        write(painter, shape, inks, *where)
    elif isinstance(shape, Marks):
        _marks(painter, shape, inks)
    else:
        assert isinstance(shape, Path | Circle), "what slides is flat where nothing is kept"
        _hatched(painter, shape, inks, thin)


def _hatched(painter: QPainter, shape: Path | Circle, inks: Inks, thin: float) -> None:
    """Paint the ground of a shape, its hatching and its outline."""
    plain = replace(shape, hatch=None)
    _lines(painter, replace(plain, ink=None), inks, thin)
    _hatch(painter, _ring(shape), shape.hatch or "ink", inks, thin)
    _lines(painter, replace(plain, fill=None), inks, thin)


def _lines(painter: QPainter, shape: Path | Circle, inks: Inks, thin: float) -> None:
    one = _ready(shape, inks, thin)
    assert one is not None, "it has no hatching"
    painter.setPen(one.pen or NO_PEN)
    painter.setBrush(one.brush or NO_BRUSH)
    one.draw(painter, *one.what)


def _ring(shape: Path | Circle) -> tuple[tuple[float, float], ...]:
    """Return the corners of a closed path, or of a circle as many as are not seen."""
    if isinstance(shape, Path):
        return shape.points
    angles = (k * math.pi / 36 for k in range(72))
    return tuple((shape.x + shape.radius * math.cos(a), shape.y + shape.radius * math.sin(a)) for a in angles)


def _marks(painter: QPainter, shape: Marks, inks: Inks) -> None:
    """Fill row by row: many marks in one path take longer, and where two meet a hole is left."""
    brush, outer = inks.brush(shape.ink), painter.worldTransform()
    for x, y, direction, count in shape.rows:
        painter.setWorldTransform(QTransform(outer).translate(x, y).rotate(-direction))
        painter.fillPath(row_of_marks(count, shape.pitch, shape.length, shape.width), brush)
    painter.setWorldTransform(outer)


def _stretches(points: tuple[tuple[float, float], ...], width: float) -> list[QRectF] | None:
    """Return a thick line of level and upright stretches as rectangles that meet at its corners; None for others."""
    half, last, found = width / 2, len(points) - 2, []
    for (x0, y0), (x1, y1) in itertools.pairwise(points):
        if x0 != x1 and y0 != y1:
            return None
    for k, ((x0, y0), (x1, y1)) in enumerate(itertools.pairwise(points)):
        before, after = half * (k > 0), half * (k < last)
        if (x1, y1) < (x0, y0):
            x0, y0, x1, y1, before, after = x1, y1, x0, y0, after, before
        if y0 == y1:
            found.append(QRectF(x0 - before, y0 - half, x1 - x0 + before + after, width))
        else:
            found.append(QRectF(x0 - half, y0 - before, width, y1 - y0 + before + after))
    return found


def _mitred(points: tuple[tuple[float, float], ...], width: float) -> list[QLineF] | None:
    """Return a thick bent line as stretches, each as much longer that together they make its mitred corners.

    None where a corner is sharp, or a stretch so short that the end of the next one would be seen beside it.
    """
    ways, widest = _bends(points)
    if width > widest:
        return None
    half = width / 2
    return [
        QLineF(x0 - ux * (half * a), y0 - uy * (half * a), x1 + ux * (half * b), y1 + uy * (half * b))
        for x0, y0, x1, y1, ux, uy, a, b in ways
    ]


_Way = tuple[float, float, float, float, float, float, float, float]


@lru_cache(maxsize=256)
def _bends(points: tuple[tuple[float, float], ...]) -> tuple[list[_Way], float]:
    """Return the stretches of a line, and how wide it may be for them to make its mitred corners.

    Of each stretch: both its ends, its direction, and by how many halves of the width it is longer at each end. They
    are the same for a pipe's casing and its core. Where a stretch has no length or a bend is sharp, no width will do.
    """
    ways: list[_Way] = []
    widest, before, lap = math.inf, 0.0, 0.0
    ux = uy = 0.0
    for (x0, y0), (x1, y1) in itertools.pairwise(points):
        across, down = x1 - x0, y1 - y0
        length = math.hypot(across, down)
        if length == 0.0:
            return [], 0.0
        vx, vy = across / length, down / length
        if ways:
            straight = ux * vx + uy * vy  # the cosine of the bend
            if straight < 0.1:
                return [], 0.0
            lap = math.sqrt(max(1.0 - straight, 0.0) / (1.0 + straight))
            room = lap * straight + math.sqrt(max(1.0 - straight**2, 0.0))
            if room > 0.0:
                widest = min(widest, 2.0 * min(before, length) / room)
            ways[-1] = (*ways[-1][:7], lap)
        ways.append((x0, y0, x1, y1, vx, vy, lap, 0.0))
        ux, uy, before = vx, vy, length
    return ways, widest


def _upright(ring: tuple[tuple[float, float], ...]) -> QRectF | None:
    """Return a ring that is an upright rectangle as one, None for others."""
    if len(ring) != 4:
        return None
    (x0, y0), (x1, y1), (x2, y2), (x3, y3) = ring
    if not ((y0 == y1 and x1 == x2 and y2 == y3 and x3 == x0) or (x0 == x1 and y1 == y2 and x2 == x3 and y3 == y0)):
        return None
    return QRectF(min(x0, x2), min(y0, y2), abs(x2 - x0), abs(y2 - y0))


def _hatch(painter: QPainter, ring: tuple[tuple[float, float], ...], role: str, inks: Inks, thin: float) -> None:
    dense = role in ("ink", "ink2")
    lines = _hatching(ring, 6.0 if dense else 9.0)
    if lines:
        painter.setPen(inks.pen(role, max(1.8 if dense else 2.0, thin)))
        painter.drawLines(lines)


@lru_cache(maxsize=128)
def _hatching(ring: tuple[tuple[float, float], ...], pitch: float) -> list[QLineF]:
    """Return the lines x + y = k * pitch * sqrt(2) inside a closed polygon."""
    step = pitch * math.sqrt(2)
    sums = [x + y for x, y in ring]
    lines = []
    for k in range(math.ceil(min(sums) / step), math.floor(max(sums) / step) + 1):
        level = k * step
        cuts = []
        for i in range(len(ring)):
            before, after = sums[i - 1] - level, sums[i] - level
            if (before < 0) != (after < 0):
                part = before / (before - after)
                (x0, y0), (x1, y1) = ring[i - 1], ring[i]
                cuts.append((x0 + part * (x1 - x0), y0 + part * (y1 - y0)))
        cuts.sort()
        lines += [QLineF(*cuts[i], *cuts[i + 1]) for i in range(0, len(cuts) - 1, 2)]
    return lines
