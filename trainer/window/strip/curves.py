"""The strip's traces as Qt paints them fast: polygons from bytes, and no wide pens."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field

import numpy as np
from PySide6.QtCore import QByteArray, QDataStream
from PySide6.QtGui import QPainter, QPen, QPolygonF, QTransform

from trainer.window.painting.inks import Inks
from trainer.window.strip.picture import Line

__all__ = ["Curve", "paint_curves", "polygon_of"]

_NONE = np.zeros(0)


@dataclass(slots=True)
class Curve:
    """One trace as it is drawn now: seconds before the end of the strip, values in the shown unit, all its lines."""

    xData: np.ndarray = field(default_factory=lambda: _NONE)
    yData: np.ndarray = field(default_factory=lambda: _NONE)
    lines: list[tuple[QPolygonF, str, float]] = field(default_factory=list)  # what lies below first

    def take(self, lines: Sequence[Line], end: float) -> None:
        """Take the lines of one plot of a strip that ends at a time [s]; nothing of a hidden one."""
        newest = lines[-1] if lines else None
        self.xData = newest.times - end if newest is not None else _NONE
        self.yData = newest.values if newest is not None else _NONE
        self.lines = [(polygon_of(*piece), line.ink, line.width) for line in lines for piece in line.pieces()]


def paint_curves(painter: QPainter, curves: Iterable[Curve], inks: Inks, scale: float) -> None:
    """Paint every line without Qt's slow stroker: thin, and a thick one three times, moved by a pixel."""
    base, outer = QTransform.fromScale(scale, scale), painter.worldTransform()
    for curve in curves:
        for polygon, ink, width in curve.lines:
            pen = QPen(inks.colour(ink), 1.0)
            pen.setCosmetic(True)
            painter.setPen(pen)
            for dx, dy in ((0, 0), (1, 0), (0, 1)) if width > 1.0 else ((0, 0),):
                painter.setWorldTransform(base * QTransform.fromTranslate(dx, dy))
                painter.drawPolyline(polygon)
    painter.setWorldTransform(outer)


def polygon_of(x: np.ndarray, y: np.ndarray) -> QPolygonF:
    """Return points [board px] as Qt has them, in one piece from their bytes."""
    points = np.empty((len(x), 2), ">f8")
    points[:, 0], points[:, 1] = x, y
    polygon = QPolygonF()
    stream = QDataStream(QByteArray(len(x).to_bytes(4, "big") + points.tobytes()))
    stream >> polygon
    return polygon
