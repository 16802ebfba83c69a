"""Paints any draw list with QPainter: on the screen, into a picture file, onto a page."""

from __future__ import annotations

import math
from collections.abc import Iterable
from functools import lru_cache

from PySide6.QtCore import QLineF, QPointF, QRectF, Qt
from PySide6.QtGui import QBrush, QColor, QPainter, QPainterPath, QPen, QPolygonF, QTransform

from trainer.drawing.shapes import Arc, Circle, DrawList, Marks, Path, Words
from trainer.drawing.theme import Theme
from trainer.window import fonts

__all__ = ["Inks", "paint", "text_boxes"]

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
            if len(self._pens) > 4000:
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
) -> None:
    """Paint shapes, given in board pixels, at ``scale`` from ``origin`` [painter pixels].

    No text becomes smaller than ``smallest`` painter pixels. The painter's transform is left as it was.
    """
    outer = painter.worldTransform()
    scaled = QTransform(outer).translate(*origin).scale(scale, scale)
    painter.setRenderHint(QPainter.RenderHint.Antialiasing, True)
    in_board = False
    thin = 1.0 / scale if scale > 0 else 1.0  # no line is thinner than one painter pixel
    for shape in shapes:
        kind = type(shape)
        if kind is Words:
            if in_board:
                painter.setWorldTransform(outer)
                in_board = False
            _words(painter, shape, inks, scale, origin, smallest)
            continue
        if not in_board:
            painter.setWorldTransform(scaled)
            in_board = True
        _PAINTERS[kind](painter, shape, inks, thin)
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


def _path(painter: QPainter, shape: Path, inks: Inks, thin: float) -> None:
    points = [QPointF(x, y) for x, y in shape.points]
    if shape.hatch is not None:
        if shape.fill is not None:
            painter.setPen(Qt.PenStyle.NoPen)
            painter.setBrush(inks.brush(shape.fill))
            painter.drawPolygon(points)
        _hatch(painter, shape.points, shape.hatch, inks, thin)
        _set_fill(painter, inks, None)
    else:
        _set_fill(painter, inks, shape.fill if shape.closed else None)
    _set_ink(painter, inks, shape.ink, shape.width, thin, shape.dash)
    if shape.closed:
        painter.drawPolygon(points)
    elif len(points) == 2:
        painter.drawLine(points[0], points[1])
    else:
        painter.drawPolyline(points)


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


def _marks(painter: QPainter, shape: Marks, inks: Inks, thin: float) -> None:
    if not shape.places:
        return
    half, side = shape.length / 2, shape.width / 2
    path = QPainterPath()
    for x, y, direction in shape.places:
        turned = math.radians(direction)
        c, s = math.cos(turned), -math.sin(turned)
        path.addPolygon(
            QPolygonF(
                (
                    QPointF(x + half * c, y + half * s),
                    QPointF(x - half * c - side * s, y - half * s + side * c),
                    QPointF(x - half * c + side * s, y - half * s - side * c),
                )
            )
        )
        path.closeSubpath()
    painter.fillPath(path, inks.brush(shape.ink))


def _hatch(painter: QPainter, ring: tuple[tuple[float, float], ...], role: str, inks: Inks, thin: float) -> None:
    dense = role in ("ink", "ink2")
    lines = _hatching(ring, 6.0 if dense else 9.0)
    if lines:
        painter.setPen(inks.pen(role, max(1.8 if dense else 2.0, thin)))
        painter.drawLines(lines)


@lru_cache(maxsize=512)
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


@lru_cache(maxsize=4096)
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


_PAINTERS = {Path: _path, Circle: _circle, Arc: _arc, Marks: _marks}


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
