"""Paints any draw list with QPainter: on the screen, into a picture file, onto a page."""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import lru_cache, partial
from typing import Any

from PySide6.QtCore import QLineF, QPointF, QRectF, Qt
from PySide6.QtGui import QBrush, QPainter, QPen, QTransform

from trainer.drawing.shapes import Arc, Circle, Marks, Moving, Path, Shape, Sliding, Words
from trainer.drawing.symbols.symbol import flat
from trainer.window.painting.inks import Inks
from trainer.window.painting.lettering import write
from trainer.window.painting.pictures import Pictures, row_of_marks

__all__ = ["Strokes", "paint"]

_MOST_READY = 1500  # paths kept ready


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
    ready = kept.begin(inks, thin, painter.device().devicePixelRatioF()) if kept is not None else {}
    made = partial(kept.met if kept is not None else _ready, inks=inks, thin=thin)
    pen: object = None  # what the painter has since the latest ready path
    brush: object = None
    for shape in shapes if kept is not None else flat(shapes):
        if isinstance(shape, Path) and shape.hatch is None:
            stroke = ready.get(id(shape))
            if stroke is None or stroke.shape is not shape:
                stroke = made(shape)
            if not in_board:
                painter.setWorldTransform(scaled)
                in_board = True
            if stroke.pen is not pen or pen is None:
                pen = stroke.pen
                painter.setPen(pen or Qt.PenStyle.NoPen)
            if stroke.brush is not brush or brush is None:
                brush = stroke.brush
                painter.setBrush(brush or Qt.BrushStyle.NoBrush)
            stroke.draw(painter, stroke.what)
            continue
        plain: Shape | Sliding | None = shape
        if kept is not None and isinstance(shape, Words | Sliding | Marks):
            if in_board:
                painter.setWorldTransform(outer)
                in_board = False
            plain = kept.pictures.lay(painter, shape, inks, scale, origin, smallest)
        if plain is not None:
            pen = brush = None
            in_board = not isinstance(plain, Words)
            painter.setWorldTransform(scaled if in_board else outer)
            _shape(painter, plain, inks, thin, (scale, origin, smallest))
    painter.setWorldTransform(outer)


def _set_ink(
    painter: QPainter, inks: Inks, ink: str | None, width: float, thin: float, dash: tuple[float, ...] = ()
) -> None:
    if ink is None or width <= 0:
        painter.setPen(Qt.PenStyle.NoPen)
    else:
        painter.setPen(inks.pen(ink, max(width, thin), dash))


def _set_fill(painter: QPainter, inks: Inks, fill: str | None) -> None:
    if fill is None:
        painter.setBrush(Qt.BrushStyle.NoBrush)
    else:
        painter.setBrush(inks.brush(fill))


@dataclass(slots=True)
class _Stroke:
    """A path made ready: pen and brush, and what draws it. ``shape`` keeps its place in memory its own."""

    shape: Path
    pen: QPen | None
    brush: QBrush | None
    draw: Callable[[QPainter, Any], object]
    what: Any


class Strokes:
    """Paths made ready that came in two frames running; those of one frame only are let go with it.

    With ``lasting`` each is kept that comes: it will come again, if not in the next frame.
    """

    def __init__(self, lasting: bool = False) -> None:
        self._lasting = lasting
        self.pictures = Pictures(paint)
        self._ready: dict[int, _Stroke] = {}
        self._met: dict[int, Path] = {}
        self._before: dict[int, Path] = {}
        self._for: tuple[object, ...] = ()

    def begin(self, inks: Inks, thin: float, ratio: float) -> dict[int, _Stroke]:
        """Return what is ready for these inks and lines no thinner than ``thin``, at the beginning of a frame.

        ``ratio``: device pixels to a painter pixel.
        """
        if self._for != (inks, thin):
            self._ready, self._for = {}, (inks, thin)
            self.pictures.forget()
        elif len(self._ready) > _MOST_READY:
            self._ready = {}
        self.pictures.begin(ratio)
        self._before, self._met = self._met, {}
        return self._ready

    def met(self, shape: Path, inks: Inks, thin: float) -> _Stroke:
        """Return a path made ready that was not, and keep it where it came in the frame before, too."""
        stroke, key = _ready(shape, inks, thin), id(shape)
        if self._lasting or self._before.get(key) is shape:
            self._ready[key] = stroke
        else:
            self._met[key] = shape
        return stroke


def _ready(shape: Path, inks: Inks, thin: float) -> _Stroke:
    ink, width, given = shape.ink, shape.width, shape.points
    pen = inks.pen(ink, width if width > thin else thin, shape.dash) if ink is not None and width > 0 else None
    points = [QPointF(x, y) for x, y in given]
    if shape.closed:
        brush = inks.brush(shape.fill) if shape.fill is not None else None
        return _Stroke(shape, pen, brush, QPainter.drawPolygon, points)
    if width >= 5.0 and ink is not None and not shape.dash:
        stretches = _stretches(given, max(width, thin))
        if stretches:
            return _Stroke(shape, None, inks.brush(ink), QPainter.drawRects, stretches)
    if len(points) == 2:
        return _Stroke(shape, pen, None, QPainter.drawLine, QLineF(*points))
    return _Stroke(shape, pen, None, QPainter.drawPolyline, points)


def _shape(
    painter: QPainter,
    shape: Shape | Sliding,
    inks: Inks,
    thin: float,
    lettering: tuple[float, tuple[float, float], float],
) -> None:
    """Paint one shape; ``lettering``: scale, origin and smallest type of texts, which are written unscaled."""
    if isinstance(shape, Path):
        _path(painter, shape, inks, thin)
    elif isinstance(shape, Words):
        write(painter, shape, inks, *lettering)
    elif isinstance(shape, Circle):
        _circle(painter, shape, inks, thin)
    elif isinstance(shape, Arc):
        _arc(painter, shape, inks, thin)
    else:
        assert isinstance(shape, Marks), "what slides is flat where nothing is kept"
        _marks(painter, shape, inks)


def _path(painter: QPainter, shape: Path, inks: Inks, thin: float) -> None:
    if shape.hatch is not None:
        if shape.fill is not None:
            painter.setPen(Qt.PenStyle.NoPen)
            painter.setBrush(inks.brush(shape.fill))
            painter.drawPolygon([QPointF(x, y) for x, y in shape.points])
        _hatch(painter, shape.points, shape.hatch, inks, thin)
        shape = replace(shape, hatch=None, fill=None)
    stroke = _ready(shape, inks, thin)
    painter.setPen(stroke.pen or Qt.PenStyle.NoPen)
    painter.setBrush(stroke.brush or Qt.BrushStyle.NoBrush)
    stroke.draw(painter, stroke.what)


def _circle(painter: QPainter, shape: Circle, inks: Inks, thin: float) -> None:
    centre = QPointF(shape.x, shape.y)
    if shape.hatch is not None:
        if shape.fill is not None:
            painter.setPen(Qt.PenStyle.NoPen)
            painter.setBrush(inks.brush(shape.fill))
            painter.drawEllipse(centre, shape.radius, shape.radius)
        ring = tuple(
            (
                shape.x + shape.radius * math.cos(k * math.pi / 36),
                shape.y + shape.radius * math.sin(k * math.pi / 36),
            )
            for k in range(72)
        )
        _hatch(painter, ring, shape.hatch, inks, thin)
        _set_fill(painter, inks, None)
    else:
        _set_fill(painter, inks, shape.fill)
    _set_ink(painter, inks, shape.ink, shape.width, thin)
    painter.drawEllipse(centre, shape.radius, shape.radius)


def _arc(painter: QPainter, shape: Arc, inks: Inks, thin: float) -> None:
    _set_ink(painter, inks, shape.ink, shape.width, thin)
    _set_fill(painter, inks, None)
    box = QRectF(shape.x - shape.radius, shape.y - shape.radius, 2 * shape.radius, 2 * shape.radius)
    painter.drawArc(box, round(shape.start * 16), round(shape.span * 16))


def _marks(painter: QPainter, shape: Marks, inks: Inks) -> None:
    """Fill row by row: many marks in one path take longer, and where two meet a hole is left."""
    brush, fill, go = inks.brush(shape.ink), painter.fillPath, painter.translate
    at_x = at_y = 0.0
    for x, y, direction, count in shape.rows:
        go(x - at_x, y - at_y)
        at_x, at_y = x, y
        fill(row_of_marks(direction, count, shape.pitch, shape.length, shape.width), brush)
    go(-at_x, -at_y)


def _stretches(points: tuple[tuple[float, float], ...], width: float) -> list[QRectF] | None:
    """Return a thick line of level and upright stretches as rectangles that meet at its corners; None for others."""
    half, last, found = width / 2, len(points) - 2, []
    if any(x0 != x1 and y0 != y1 for (x0, y0), (x1, y1) in itertools.pairwise(points)):
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
