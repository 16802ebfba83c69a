"""Paints any draw list with QPainter: on the screen, into a picture file, onto a page."""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Any

from PySide6.QtCore import QLineF, QPointF, QRectF, Qt
from PySide6.QtGui import QBrush, QColor, QPainter, QPainterPath, QPen, QPixmap, QTransform

from trainer.drawing.shapes import Arc, Circle, Marks, Moving, Path, Shape, Sliding, Words
from trainer.drawing.symbols.symbol import bounds_of, flat
from trainer.drawing.theme import Theme
from trainer.window.painting import fonts

__all__ = ["Inks", "Strokes", "paint", "sliding_grid", "text_boxes"]

_CAP = 0.72  # of the height of a text's box above its baseline, for figures and capitals
_TAIL = 0.2  # below the baseline
_MOST_TEXTS, _MOST_SLID = 400, 400  # pictures kept of texts, of what slides


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
    pen: object = None  # what the painter has since the latest ready path
    brush: object = None
    for shape in shapes if kept is not None else flat(shapes):
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
            stroke.draw(painter, stroke.what)
            continue
        pen = brush = None
        if isinstance(shape, Words | Sliding):
            if in_board:
                painter.setWorldTransform(outer)
                in_board = False
            if isinstance(shape, Sliding):
                assert kept is not None
                kept.pictures.slide(painter, shape, inks, scale, origin)
            elif kept is None or not kept.pictures.write(painter, shape, inks, scale, origin, smallest):
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
    draw: Callable[[QPainter, Any], object]
    what: Any


class Strokes:
    """Paths made ready that came in two frames running; those of one frame only are let go with it."""

    def __init__(self) -> None:
        self.pictures = Pictures()
        self._ready: dict[int, _Stroke] = {}
        self._met: dict[int, Path] = {}
        self._before: dict[int, Path] = {}
        self._for: tuple[object, ...] = ()

    def begin(self, inks: Inks, thin: float, ratio: float) -> dict[int, _Stroke]:
        """Return what is ready for these inks and lines no thinner than ``thin``, at the beginning of a frame.

        ``ratio``: device pixels to a painter pixel.
        """
        if self._for != (inks, thin) or len(self._ready) > 1500:
            self._ready = {}
            self._for = (inks, thin)
            self.pictures.forget()
        self.pictures.begin(ratio)
        self._before, self._met = self._met, {}
        return self._ready

    def met(self, shape: Path, stroke: _Stroke) -> None:
        """Take note of a path that was not ready."""
        key = id(shape)
        if self._before.get(key) is shape:
            self._ready[key] = stroke
        else:
            self._met[key] = shape


class Pictures:
    """Small pictures of what comes again and again: texts that came in two frames running, and what slides."""

    def __init__(self) -> None:
        self._ratio = 1.0
        self._texts: dict[tuple[object, ...], QPixmap] = {}
        self._met: set[tuple[object, ...]] = set()
        self._before: set[tuple[object, ...]] = set()
        self._slid: dict[tuple[object, ...], tuple[tuple[Shape, ...], QPixmap, int, int]] = {}

    def forget(self) -> None:
        """Throw all pictures away."""
        self._texts, self._slid = {}, {}

    def begin(self, ratio: float) -> None:
        """Take note that another frame begins, with so many device pixels to a painter pixel."""
        if ratio != self._ratio:
            self._ratio = ratio
            self.forget()
        self._before, self._met = self._met, set()

    def write(
        self, painter: QPainter, shape: Words, inks: Inks, scale: float, origin: tuple[float, float], smallest: float
    ) -> bool:
        """Write a text from its picture, and return whether there is one."""
        if not shape.text:
            return True
        x, y, pixels, width = _placed(shape, scale, origin, smallest)
        ratio = self._ratio
        base = math.floor(y * ratio + 0.5)  # as letters are placed by Qt itself
        above = math.ceil(1.1 * pixels * ratio) + 2
        left = math.floor(x * ratio) - 2
        key = (shape.text, shape.ink, shape.weight, pixels, round(64 * (x * ratio - left)))
        found = self._texts.get(key)
        if found is None:
            if key not in self._before:
                self._met.add(key)
                return False
            if len(self._texts) > _MOST_TEXTS:
                self._texts.clear()
            found = _clear(math.ceil(width * ratio) + 6, above + math.ceil(0.4 * pixels * ratio) + 3, ratio)
            own = QPainter(found)
            try:
                own.setRenderHint(QPainter.RenderHint.Antialiasing, True)
                own.setFont(fonts.font(pixels, shape.weight))
                own.setPen(inks.colour(shape.ink))
                own.drawText(QPointF(x - left / ratio, above / ratio), shape.text)
            finally:
                own.end()
            self._texts[key] = found
        self._blit(painter, left, base - above, found)
        return True

    def slide(self, painter: QPainter, shape: Sliding, inks: Inks, scale: float, origin: tuple[float, float]) -> None:
        """Paint what slides from its picture, to a quarter of a device pixel in its place."""
        ratio = self._ratio
        grid = sliding_grid(scale, ratio)
        right, down = round(shape.across / grid), round(shape.down / grid)
        key = (id(shape.shapes), right & 3, down & 3, scale, origin)
        found = self._slid.get(key)
        if found is None or found[0] is not shape.shapes:
            if len(self._slid) > _MOST_SLID:
                self._slid.clear()
            left, top, end, bottom = bounds_of(shape.shapes)
            edge = 4.0
            x = math.floor((origin[0] + left * scale - edge) * ratio)
            y = math.floor((origin[1] + top * scale - edge) * ratio)
            wide = math.ceil(((end - left) * scale + 2 * edge) * ratio) + 2
            high = math.ceil(((bottom - top) * scale + 2 * edge) * ratio) + 2
            picture = _clear(wide, high, ratio)
            own = QPainter(picture)
            try:
                moved_by = (origin[0] + ((right & 3) / 4 - x) / ratio, origin[1] + ((down & 3) / 4 - y) / ratio)
                paint(own, shape.shapes, inks, scale, moved_by)
            finally:
                own.end()
            found = self._slid[key] = (shape.shapes, picture, x, y)
        _, picture, x, y = found
        self._blit(painter, x + (right >> 2), y + (down >> 2), picture)

    def _blit(self, painter: QPainter, x: int, y: int, picture: QPixmap) -> None:
        """Lay a picture down with its corner at a device pixel."""
        if self._ratio == 1.0:
            painter.drawPixmap(x, y, picture)
        else:
            painter.drawPixmap(QPointF(x / self._ratio, y / self._ratio), picture)


def sliding_grid(scale: float, ratio: float) -> float:
    """Return how finely what slides is placed [board px]: to a quarter of a device pixel."""
    return 1 / (4 * scale * ratio)


def _clear(wide: int, high: int, ratio: float) -> QPixmap:
    """Return a picture of so many device pixels with nothing on it."""
    made = QPixmap(wide, high)
    made.setDevicePixelRatio(ratio)
    made.fill(Qt.GlobalColor.transparent)
    return made


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


@lru_cache(maxsize=512)
def _row(direction: float, count: int, pitch: float, length: float, width: float) -> QPainterPath:
    """Return a row of flow marks from its rearmost one, which lies at 0, 0."""
    path = QPainterPath()
    a, b, c, d, e, f = _corners(direction, length, width)
    ux, uy = math.cos(math.radians(direction)), -math.sin(math.radians(direction))
    for k in range(count):
        x, y = k * pitch * ux, k * pitch * uy
        path.moveTo(x + a, y + b)
        path.lineTo(x + c, y + d)
        path.lineTo(x + e, y + f)
        path.closeSubpath()
    return path


def _marks(painter: QPainter, shape: Marks, inks: Inks) -> None:
    """Fill row by row: many marks in one path take longer, and where two meet a hole is left."""
    brush, fill, go = inks.brush(shape.ink), painter.fillPath, painter.translate
    at_x = at_y = 0.0
    for x, y, direction, count in shape.rows:
        go(x - at_x, y - at_y)
        at_x, at_y = x, y
        fill(_row(direction, count, shape.pitch, shape.length, shape.width), brush)
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
