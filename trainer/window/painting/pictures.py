"""Small pictures of what is painted again and again, each made once."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace
from functools import lru_cache

from PySide6.QtCore import QPointF, Qt
from PySide6.QtGui import QPainter, QPainterPath, QPixmap, QTransform

from trainer.drawing.shapes import Marks, Sliding, Words
from trainer.drawing.symbols.symbol import bounds_of
from trainer.window.painting import fonts
from trainer.window.painting.inks import Inks, Small
from trainer.window.painting.lettering import placed

__all__ = ["Laid", "Pictures", "Where", "row_of_marks", "sliding_grid"]

Where = tuple[float, tuple[float, float], float]  # scale, origin [painter px] and smallest type [painter px]
Laid = tuple[int, int, QPixmap] | tuple[QPointF, QPixmap]  # where a picture lies [painter px], and the picture


class Pictures:
    """Small pictures of what comes again: texts that came in two frames running, what slides, rows of marks.

    The inks keep them. ``paint`` is what paints shapes. ``lasting``: a text that is new will come again, too.
    """

    def __init__(self, paint: Callable[..., None]) -> None:
        self._paint = paint
        self.lasting = False
        self._where: Where = (1.0, (0.0, 0.0), 0.0)
        self._ratio = 1.0
        self._met: set[tuple[object, ...]] = set()
        self._before: set[tuple[object, ...]] = set()

    def begin(self, where: Where, ratio: float) -> None:
        """Take note that another frame begins, where it lies, and how many device pixels a painter pixel has."""
        self._where, self._ratio = where, ratio
        self._before, self._met = self._met, set()

    def of(self, shape: Words | Sliding, inks: Inks) -> Laid | None:
        """Return the picture of a shape and where it lies; None where it has none yet."""
        return self._written(shape, inks) if isinstance(shape, Words) else self._slid_to(shape, inks)

    def _written(self, shape: Words, inks: Inks) -> Laid | None:
        if not shape.text:
            return None
        x, y, pixels, width = placed(shape, *self._where)
        ratio = self._ratio
        base = math.floor(y * ratio + 0.5)  # as letters are placed by Qt itself
        above = math.ceil(1.1 * pixels * ratio) + 2
        left = math.floor(x * ratio) - 2
        key = (shape.text, shape.ink, shape.weight, pixels, round(64 * (x * ratio - left)), ratio)
        found = inks.texts.find(key)
        if found is None:
            if not self.lasting and key not in self._before:
                self._met.add(key)
                return None

            def letter(own: QPainter) -> None:
                own.setFont(fonts.font(pixels, shape.weight))
                own.setPen(inks.colour(shape.ink))
                own.drawText(QPointF(x - left / ratio, above / ratio), shape.text)

            wide, high = math.ceil(width * ratio) + 6, above + math.ceil(0.4 * pixels * ratio) + 3
            found = Small(_made(wide, high, ratio, letter), 0, above)
            inks.texts.keep(key, found)
        return self._laid(left, base - found.down, found.picture)

    def _slid_to(self, shape: Sliding, inks: Inks) -> Laid:
        """Return what slides from its picture, to a quarter of a device pixel in its place."""
        (scale, origin, _), ratio = self._where, self._ratio
        grid = sliding_grid(scale, ratio)
        right, down = round(shape.across / grid), round(shape.down / grid)
        key = (id(shape.shapes), right & 3, down & 3, scale, origin, ratio)
        found = inks.pictures.find(key)
        if found is None or found.of is not shape.shapes:
            left, top, end, bottom = bounds_of(shape.shapes)
            edge = 4.0
            x = math.floor((origin[0] + left * scale - edge) * ratio)
            y = math.floor((origin[1] + top * scale - edge) * ratio)
            wide = math.ceil(((end - left) * scale + 2 * edge) * ratio) + 2
            high = math.ceil(((bottom - top) * scale + 2 * edge) * ratio) + 2
            moved_by = (origin[0] + ((right & 3) / 4 - x) / ratio, origin[1] + ((down & 3) / 4 - y) / ratio)
            picture = _made(wide, high, ratio, lambda own: self._paint(own, shape.shapes, inks, scale, moved_by))
            found = Small(picture, -x, -y, shape.shapes)
            inks.pictures.keep(key, found)
        return self._laid((right >> 2) - found.right, (down >> 2) - found.down, found.picture)

    def march(self, painter: QPainter, shape: Marks, inks: Inks) -> Marks | None:
        """Lay level and upright rows of marks down from their pictures, and return those that lie aslant.

        A row is placed to a quarter of a device pixel.
        """
        (scale, origin, _), ratio = self._where, self._ratio
        looks = (shape.ink, shape.pitch, shape.length, shape.width, scale, ratio)
        aslant, fine = [], 4 * scale * ratio
        east, south, lay = 4 * origin[0] * ratio, 4 * origin[1] * ratio, QPainter.drawPixmap
        for row in shape.rows:
            x, y, direction, count = row
            if direction % 90.0:
                aslant.append(row)
                continue
            right, down = round(east + x * fine), round(south + y * fine)
            key = (looks, direction, count, right & 3, down & 3)
            found = inks.pictures.find(key)
            if found is None:
                found = self._row(shape, direction, count, right & 3, down & 3, inks, scale)
                inks.pictures.keep(key, found)
            lay(painter, *self._laid((right >> 2) - found.right, (down >> 2) - found.down, found.picture))
        return replace(shape, rows=tuple(aslant)) if aslant else None

    def _row(
        self, shape: Marks, direction: float, count: int, right: int, down: int, inks: Inks, scale: float
    ) -> Small:
        """Return the picture of a row from its rearmost mark on."""
        path = row_of_marks(count, shape.pitch, shape.length, shape.width)
        turned, size = QTransform().rotate(-direction), scale * self._ratio
        box = turned.mapRect(path.boundingRect())
        left, top = math.ceil(-box.left() * size) + 2, math.ceil(-box.top() * size) + 2
        wide, high = math.ceil(box.right() * size) + left + 3, math.ceil(box.bottom() * size) + top + 3

        def fill(own: QPainter) -> None:
            own.translate(left + right / 4, top + down / 4)
            own.scale(size, size)
            own.fillPath(turned.map(path), inks.brush(shape.ink))

        picture = _made(wide, high, 1.0, fill)
        picture.setDevicePixelRatio(self._ratio)
        return Small(picture, left, top)

    def _laid(self, x: int, y: int, picture: QPixmap) -> Laid:
        """Return a picture laid at a device pixel; at whole painter pixels it is laid down faster."""
        ratio = self._ratio
        return (x, y, picture) if ratio == 1.0 else (QPointF(x / ratio, y / ratio), picture)


def sliding_grid(scale: float, ratio: float) -> float:
    """Return how finely what slides is placed [board px]: to a quarter of a device pixel."""
    return 1 / (4 * scale * ratio)


def _made(wide: int, high: int, ratio: float, draw: Callable[[QPainter], None]) -> QPixmap:
    """Return a picture of so many device pixels on which ``draw`` has painted.

    It is a copy: a picture that has been painted on keeps Qt's engine for it, some 3 kB.
    """
    made = QPixmap(wide, high)
    made.setDevicePixelRatio(ratio)
    made.fill(Qt.GlobalColor.transparent)
    own = QPainter(made)
    try:
        own.setRenderHint(QPainter.RenderHint.Antialiasing, True)
        draw(own)
    finally:
        own.end()
    return made.copy()


@lru_cache(maxsize=128)
def row_of_marks(count: int, pitch: float, length: float, width: float) -> QPainterPath:
    """Return a row of flow marks that point to the right, from its rearmost one, which lies at 0, 0."""
    path = QPainterPath()
    for k in range(count):
        x = k * pitch
        path.moveTo(x + length / 2, 0.0)
        path.lineTo(x - length / 2, width / 2)
        path.lineTo(x - length / 2, -width / 2)
        path.closeSubpath()
    return path
