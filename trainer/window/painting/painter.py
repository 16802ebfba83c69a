"""Paints any draw list with QPainter: on the screen, into a picture file, onto a page."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterable
from dataclasses import dataclass, replace
from functools import lru_cache
from operator import methodcaller

from PySide6.QtCore import QLineF, QPointF, QRectF, Qt
from PySide6.QtGui import QBrush, QColor, QPainter, QPainterPath, QPen, QPolygonF, QTransform

from trainer.drawing.shapes import Arc, Circle, DrawList, Marks, Path, Words
from trainer.drawing.theme import Theme
from trainer.window.painting import fonts

__all__ = ["Inks", "Strokes", "paint", "text_boxes"]

_CAP = 0.72  # of the height of a text's box above its baseline, for figures and capitals
_TAIL = 0.2  # below the baseline


class Inks:
    """The colours, pens and brushes of one theme, each made once."""

    def __init__(self, theme: Theme) -> None:
        self.theme = theme
        self._colours: dict[str, QColor] = {}
        self._brushes: dict[str, QBrush] = {}
        self._pens: dict[tuple[str, float, tuple[float, ...]], QPen] = {}

    def colour(self, role: str) -> QColor:
        """Return the colour of a role of the theme."""
        found = self._colours.get(role)
        if found is None:
            found = self._colours[role] = QColor(self.theme.colour(role))
        return found

    def brush(self, role: str) -> QBrush:
        """Return the solid brush of a role."""
        found = self._brushes.get(role)
        if found is None:
            found = self._brushes[role] = QBrush(self.colour(role))
        return found

    def pen(self, role: str, width: float, dash: tuple[float, ...] = ()) -> QPen:
        """Return the pen of a role: flat caps, mitred joins; dash lengths in pixels, not in widths."""
        key = (role, width, dash)
        found = self._pens.get(key)
        if found is None:
            found = QPen(
                self.colour(role),
                width,
                Qt.PenStyle.SolidLine,
                Qt.PenCapStyle.FlatCap,
                Qt.PenJoinStyle.MiterJoin,
            )
            if dash:
                found.setDashPattern([length / max(width, 0.1) for length in dash])
            if len(self._pens) > 1000:
                self._pens.clear()
            self._pens[key] = found
        return found


def paint(
    painter: QPainter,
    shapes: DrawList,
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
    ready = kept.begin(inks, thin) if kept is not None else {}
    pen: object = None  # what the painter has since the latest ready path
    brush: object = None
    for shape in shapes:
        if isinstance(shape, Path) and shape.hatch is None:
            stroke = ready.get(id(shape))
            if stroke is None or stroke.shape is not shape:
                stroke = _ready(shape, inks, thin)
                if kept is not None:
                    kept.met(shape, stroke)
            if not in_board:
                painter.setWorldTransform(scaled)
                in_board = True
            if stroke.pen is not pen or pen is None:
                pen = stroke.pen
                painter.setPen(pen or Qt.PenStyle.NoPen)
            if stroke.brush is not brush or brush is None:
                brush = stroke.brush
                painter.setBrush(brush or Qt.BrushStyle.NoBrush)
            stroke.draw(painter)
            continue
        pen = brush = None
        if isinstance(shape, Words):
            if in_board:
                painter.setWorldTransform(outer)
                in_board = False
            _words(painter, shape, inks, scale, origin, smallest)
            continue
        if not in_board:
            painter.setWorldTransform(scaled)
            in_board = True
        _shape(painter, shape, inks, thin)
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
    draw: methodcaller


class Strokes:
    """Paths made ready that came in two frames running; those of one frame only are let go with it."""

    def __init__(self) -> None:
        self._ready: dict[int, _Stroke] = {}
        self._met: dict[int, Path] = {}
        self._before: dict[int, Path] = {}
        self._for: tuple[object, ...] = ()

    def begin(self, inks: Inks, thin: float) -> dict[int, _Stroke]:
        """Return what is ready for these inks and lines no thinner than ``thin``, at the beginning of a frame."""
        if self._for != (inks, thin) or len(self._ready) > 1500:
            self._ready = {}
            self._for = (inks, thin)
        self._before, self._met = self._met, {}
        return self._ready

    def met(self, shape: Path, stroke: _Stroke) -> None:
        """Take note of a path that was not ready."""
        key = id(shape)
        if self._before.get(key) is shape:
            self._ready[key] = stroke
        else:
            self._met[key] = shape


def _ready(shape: Path, inks: Inks, thin: float) -> _Stroke:
    width = max(shape.width, thin)
    inked = shape.ink is not None and shape.width > 0
    pen = inks.pen(shape.ink, width, shape.dash) if inked and shape.ink is not None else None
    brush = inks.brush(shape.fill) if shape.closed and shape.fill is not None else None
    if not shape.closed and width >= 5.0 and not shape.dash and shape.ink is not None:
        stretches = _stretches(shape.points, width)
        if stretches:
            return _Stroke(shape, None, inks.brush(shape.ink), methodcaller("drawRects", stretches))
    points = [QPointF(x, y) for x, y in shape.points]
    if shape.closed:
        return _Stroke(shape, pen, brush, methodcaller("drawPolygon", QPolygonF(points)))
    if len(points) == 2:
        return _Stroke(shape, pen, None, methodcaller("drawLine", QLineF(*points)))
    return _Stroke(shape, pen, None, methodcaller("drawPolyline", QPolygonF(points)))


def _shape(painter: QPainter, shape: Path | Circle | Arc | Marks, inks: Inks, thin: float) -> None:
    if isinstance(shape, Path):
        _path(painter, shape, inks, thin)
    elif isinstance(shape, Circle):
        _circle(painter, shape, inks, thin)
    elif isinstance(shape, Arc):
        _arc(painter, shape, inks, thin)
    else:
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
    stroke.draw(painter)


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


@lru_cache(maxsize=128)
def _corners(direction: float, length: float, width: float) -> tuple[float, ...]:
    turned, half, side = math.radians(direction), length / 2, width / 2
    c, s = math.cos(turned), -math.sin(turned)
    return (
        half * c,
        half * s,
        -half * c - side * s,
        -half * s + side * c,
        -half * c + side * s,
        -half * s - side * c,
    )


def _marks(painter: QPainter, shape: Marks, inks: Inks) -> None:
    if not shape.places:
        return
    path = QPainterPath()
    move, line, close = path.moveTo, path.lineTo, path.closeSubpath
    for x, y, direction in shape.places:
        a, b, c, d, e, f = _corners(direction, shape.length, shape.width)
        move(x + a, y + b)
        line(x + c, y + d)
        line(x + e, y + f)
        close()
    painter.fillPath(path, inks.brush(shape.ink))


@lru_cache(maxsize=1024)
def _stretches(points: tuple[tuple[float, float], ...], width: float) -> list[QRectF] | None:
    """Return a thick line of level and upright stretches as rectangles that meet at its corners; None for others."""
    half, last, found = width / 2, len(points) - 2, []
    for k, ((x0, y0), (x1, y1)) in enumerate(itertools.pairwise(points)):
        before, after = half * (k > 0), half * (k < last)
        if x0 != x1 and y0 != y1:
            return None
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


@lru_cache(maxsize=1024)
def _advance(text: str, pixels: int, weight: int) -> float:
    return fonts.metrics(pixels, weight).horizontalAdvance(text)


def _placed(
    shape: Words, scale: float, origin: tuple[float, float], smallest: float
) -> tuple[float, float, int, float]:
    """Return left edge, baseline, height and width of a text [painter pixels]."""
    pixels = round(max(shape.size * scale, smallest))
    x, y = origin[0] + shape.x * scale, origin[1] + shape.y * scale
    width = _advance(shape.text, pixels, shape.weight)
    if shape.align == "centre":
        x -= width / 2
    elif shape.align == "right":
        x -= width
    return x, y, pixels, width


def _words(
    painter: QPainter, shape: Words, inks: Inks, scale: float, origin: tuple[float, float], smallest: float
) -> None:
    if not shape.text:
        return
    x, y, pixels, _ = _placed(shape, scale, origin, smallest)
    painter.setFont(fonts.font(pixels, shape.weight))
    painter.setPen(inks.colour(shape.ink))
    painter.drawText(QPointF(x, y), shape.text)


def text_boxes(
    shapes: Iterable[object],
    scale: float = 1.0,
    origin: tuple[float, float] = (0.0, 0.0),
    smallest: float = 0.0,
) -> list[tuple[str, QRectF, int]]:
    """Return (text, box of its letters [painter pixels], height of its type [px]) for every text."""
    boxes = []
    for shape in shapes:
        if isinstance(shape, Words) and shape.text:
            x, y, pixels, width = _placed(shape, scale, origin, smallest)
            boxes.append((shape.text, QRectF(x, y - _CAP * pixels, width, (_CAP + _TAIL) * pixels), pixels))
    return boxes
