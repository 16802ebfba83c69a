"""Small pictures of what is painted again and again, each made once."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace
from functools import lru_cache, partial

from PySide6.QtCore import QPointF, Qt
from PySide6.QtGui import QPainter, QPainterPath, QPixmap

from trainer.drawing.shapes import Marks, Shape, Sliding, Words
from trainer.drawing.symbols.symbol import bounds_of
from trainer.window.painting import fonts
from trainer.window.painting.inks import Inks
from trainer.window.painting.lettering import placed

__all__ = ["Pictures", "row_of_marks", "sliding_grid"]

_MOST_TEXTS, _MOST_SLID, _MOST_ROWS = 400, 600, 2000  # kept of texts, of what slides, of rows of marks of one looks


class Pictures:
    """Small pictures of what comes again: texts that came in two frames running, what slides, rows of marks.

    ``paint`` is what paints shapes. ``lasting``: a text that is new will come again, too.
    """

    def __init__(self, paint: Callable[..., None]) -> None:
        self._paint = paint
        self.lasting = False
        self._ratio = 1.0
        self._texts: dict[tuple[object, ...], QPixmap] = {}
        self._known: dict[int, tuple[Words, object, int, int, QPixmap]] = {}  # texts that came, with their places
        self._met: set[tuple[object, ...]] = set()
        self._before: set[tuple[object, ...]] = set()
        self._slid: dict[tuple[object, ...], tuple[tuple[Shape, ...], QPixmap, int, int]] = {}
        self._rows: dict[tuple[object, ...], dict[tuple[float, int, int, int], tuple[QPixmap, int, int]]] = {}

    def forget(self) -> None:
        """Throw all pictures away."""
        self._texts, self._known, self._slid, self._rows = {}, {}, {}, {}

    def begin(self, ratio: float) -> None:
        """Take note that another frame begins, with so many device pixels to a painter pixel."""
        if ratio != self._ratio:
            self._ratio = ratio
            self.forget()
        self._before, self._met = self._met, set()

    def lay(
        self,
        painter: QPainter,
        shape: Words | Sliding | Marks,
        inks: Inks,
        scale: float,
        origin: tuple[float, float],
        smallest: float,
    ) -> Words | Marks | None:
        """Lay a shape down from its pictures, and return what of it has none yet."""
        if isinstance(shape, Sliding):
            self._slide(painter, shape, inks, scale, origin)
            return None
        if isinstance(shape, Marks):
            return self._march(painter, shape, inks, scale, origin)
        return None if self._write(painter, shape, inks, scale, origin, smallest) else shape

    def _write(
        self, painter: QPainter, shape: Words, inks: Inks, scale: float, origin: tuple[float, float], smallest: float
    ) -> bool:
        if not shape.text:
            return True
        known = self._known.get(id(shape))
        if known is not None and known[0] is shape and known[1] == (scale, origin, smallest):
            self._blit(painter, known[2], known[3], known[4])
            return True
        x, y, pixels, width = placed(shape, scale, origin, smallest)
        ratio = self._ratio
        base = math.floor(y * ratio + 0.5)  # as letters are placed by Qt itself
        above = math.ceil(1.1 * pixels * ratio) + 2
        left = math.floor(x * ratio) - 2
        key = (shape.text, shape.ink, shape.weight, pixels, round(64 * (x * ratio - left)))
        found = self._texts.get(key)
        if found is None:
            if not self.lasting and key not in self._before:
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
        if self.lasting:
            if len(self._known) > _MOST_TEXTS:
                self._known.clear()
            self._known[id(shape)] = (shape, (scale, origin, smallest), left, base - above, found)
        self._blit(painter, left, base - above, found)
        return True

    def _slide(
        self, painter: QPainter, shape: Sliding, inks: Inks, scale: float, origin: tuple[float, float]
    ) -> None:
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
                self._paint(own, shape.shapes, inks, scale, moved_by)
            finally:
                own.end()
            found = self._slid[key] = (shape.shapes, picture, x, y)
        _, picture, x, y = found
        self._blit(painter, x + (right >> 2), y + (down >> 2), picture)

    def _march(
        self, painter: QPainter, shape: Marks, inks: Inks, scale: float, origin: tuple[float, float]
    ) -> Marks | None:
        """Lay level and upright rows of marks down from their pictures, and return those that lie aslant.

        A row is placed to a quarter of a device pixel.
        """
        kept = self._rows.setdefault((shape.ink, shape.pitch, shape.length, shape.width, scale), {})
        if len(kept) > _MOST_ROWS:
            kept.clear()
        aslant, fine = [], 4 * scale * self._ratio
        east, south = 4 * origin[0] * self._ratio, 4 * origin[1] * self._ratio
        blit = painter.drawPixmap if self._ratio == 1.0 else partial(self._blit, painter)
        for row in shape.rows:
            x, y, direction, count = row
            if direction % 90.0:
                aslant.append(row)
                continue
            right, down = round(east + x * fine), round(south + y * fine)
            key = (direction, count, right & 3, down & 3)
            found = kept.get(key)
            if found is None:
                found = kept[key] = self._row(shape, direction, count, right & 3, down & 3, inks, scale)
            picture, left, top = found
            blit((right >> 2) - left, (down >> 2) - top, picture)
        return replace(shape, rows=tuple(aslant)) if aslant else None

    def _row(
        self, shape: Marks, direction: float, count: int, right: int, down: int, inks: Inks, scale: float
    ) -> tuple[QPixmap, int, int]:
        """Return the picture of a row, and where in it its rearmost mark lies [device px]."""
        path = row_of_marks(direction, count, shape.pitch, shape.length, shape.width)
        box, size = path.boundingRect(), scale * self._ratio
        left, top = math.ceil(-box.left() * size) + 2, math.ceil(-box.top() * size) + 2
        wide, high = math.ceil(box.right() * size) + left + 3, math.ceil(box.bottom() * size) + top + 3
        picture = _clear(wide, high, 1.0)
        own = QPainter(picture)
        try:
            own.setRenderHint(QPainter.RenderHint.Antialiasing, True)
            own.translate(left + right / 4, top + down / 4)
            own.scale(size, size)
            own.fillPath(path, inks.brush(shape.ink))
        finally:
            own.end()
        picture.setDevicePixelRatio(self._ratio)
        return picture, left, top

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
def row_of_marks(direction: float, count: int, pitch: float, length: float, width: float) -> QPainterPath:
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
