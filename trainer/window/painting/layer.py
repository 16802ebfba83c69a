"""A kept picture that is brought up to date only where shapes came, went or changed.

What has changed is booked in square tiles of the picture; every shape that touches one is painted again, in order.
"""

from __future__ import annotations

import itertools
import math

from PySide6.QtCore import QRect
from PySide6.QtGui import QPainter, QPixmap, QRegion

from trainer.drawing.shapes import Arc, Circle, Marks, Moving, Shape, Sliding, Words
from trainer.window.painting.inks import Inks
from trainer.window.painting.kept import Kept
from trainer.window.painting.lettering import text_boxes
from trainer.window.painting.painter import Strokes, paint
from trainer.window.painting.pictures import Pictures

__all__ = ["Layer", "extents"]

_TILE = 40  # side of a tile [painter px]
_ROW = 4096  # tiles in a row, at the most
_PICTURES = 4  # the tiles are kept of as many shapes as so many of the pictures have

Placing = tuple[float, tuple[float, float]]


def extents(shape: Shape | Sliding, scale: float, origin: tuple[float, float], least: float) -> list[QRect]:
    """Return rectangles [painter px] that hold a shape; a bent line has one for each of its stretches."""
    if isinstance(shape, Sliding):
        x, y = origin[0] + shape.across * scale, origin[1] + shape.down * scale
        return [box for one in shape.shapes for box in extents(one, scale, (x, y), least)]
    if isinstance(shape, Words):
        return [
            QRect(
                math.floor(box.left()) - 2,
                math.floor(box.bottom() - 1.25 * pixels) - 1,
                math.ceil(box.width()) + 5,
                math.ceil(1.45 * pixels) + 3,
            )
            for _, box, pixels in text_boxes((shape,), scale, origin, least)
        ]
    if isinstance(shape, Circle | Arc):
        slack = shape.radius + shape.width / 2
        spans = [(shape.x - slack, shape.y - slack, shape.x + slack, shape.y + slack)]
    elif isinstance(shape, Marks):
        slack = (shape.length + shape.width) / 2
        spans = [(x - slack, y - slack, x + slack, y + slack) for x, y, _ in shape.places]
    elif shape.closed:
        slack = shape.width if shape.ink else 0.0
        across, down = [x for x, _ in shape.points], [y for _, y in shape.points]
        spans = [(min(across) - slack, min(down) - slack, max(across) + slack, max(down) + slack)]
    else:
        slack = 0.75 * shape.width  # half the width and the tip of a mitred corner
        spans = [
            (min(a, c) - slack, min(b, d) - slack, max(a, c) + slack, max(b, d) + slack)
            for (a, b), (c, d) in itertools.pairwise(shape.points)
        ]
    x, y = origin
    found = []
    for left, top, right, bottom in spans:
        west, north = math.floor(x + left * scale) - 2, math.floor(y + top * scale) - 2
        found.append(QRect(west, north, math.ceil(x + right * scale) + 3 - west,
                           math.ceil(y + bottom * scale) + 3 - north))  # fmt: skip
    return found


def _tiles(rects: list[QRect]) -> frozenset[int]:
    found: set[int] = set()
    for rect in rects:
        left, top = rect.left() // _TILE, rect.top() // _TILE
        right, bottom = rect.right() // _TILE, rect.bottom() // _TILE
        for row in range(max(top, 0), bottom + 1):
            found.update(range(row * _ROW + max(left, 0), row * _ROW + right + 1))
    return frozenset(found)


def _rects(tiles: set[int]) -> list[QRect]:
    """Return the tiles as rectangles, neighbours in a row as one."""
    found: list[QRect] = []
    begin = end = -2
    for tile in [*sorted(tiles), -2]:
        if tile != end + 1:
            if end >= 0:
                row, column = divmod(begin, _ROW)
                found.append(QRect(column * _TILE, row * _TILE, (end - begin + 1) * _TILE, _TILE))
            begin = tile
        end = tile
    return found


class Layer:
    """Shapes over a ground picture; what slides is laid down from ``pictures``."""

    def __init__(self, pictures: Pictures | None = None) -> None:
        self.kept: QPixmap | None = None
        self._key: tuple[object, ...] = ()
        self._shapes: dict[int, Shape | Sliding] = {}
        self._places: Kept[int, tuple[Shape | Sliding, frozenset[int]]] = Kept(0)
        self._strokes = Strokes(pictures, lasting=True)

    def forget(self) -> None:
        """Throw the picture away."""
        self.kept = None
        self._places = Kept(0)

    def picture(
        self, ground: QPixmap, key: tuple[object, ...], shapes: Moving, inks: Inks, placing: Placing, least: float
    ) -> QPixmap:
        """Return the ground with the shapes painted on it, in order; ``key`` tells whether the ground is the same."""
        changed = self._changed(shapes)
        if self.kept is None or self._key != key:
            self.forget()
            self.kept, self._key = ground.copy(), key
            painter = QPainter(self.kept)
            try:
                paint(painter, shapes, inks, *placing, least, self._strokes)
            finally:
                painter.end()
        elif changed:
            self._repair(ground, shapes, changed, inks, placing, least)
        self._shapes = {id(shape): shape for shape in shapes}
        return self.kept

    def _changed(self, shapes: Moving) -> list[Shape | Sliding]:
        """Return the shapes that came or went since last time; equal ones are the same."""
        gone = dict(self._shapes)
        fresh = [shape for shape in shapes if gone.pop(id(shape), None) is None]
        return list(set(fresh) ^ set(gone.values()))

    def _repair(
        self,
        ground: QPixmap,
        shapes: Moving,
        changed: list[Shape | Sliding],
        inks: Inks,
        placing: Placing,
        least: float,
    ) -> None:
        self._places.most = _PICTURES * len(shapes)
        tiles: set[int] = set()
        for shape in changed:
            tiles |= self._tiles_of(shape, placing, least)
        clear = tiles.isdisjoint
        found = self._places.newer.get
        touched = [
            shape
            for shape in shapes
            if not clear(
                kept[1]
                if (kept := found(id(shape))) is not None and kept[0] is shape
                else self._tiles_of(shape, placing, least)
            )
        ]
        region = QRegion()
        for rect in _rects(tiles):
            region += rect
        assert self.kept is not None
        painter = QPainter(self.kept)
        try:
            painter.setClipRegion(region)
            painter.drawPixmap(0, 0, ground)
            paint(painter, touched, inks, *placing, least, self._strokes)
        finally:
            painter.end()

    def _tiles_of(self, shape: Shape | Sliding, placing: Placing, least: float) -> frozenset[int]:
        found = self._places.find(id(shape))
        if found is None or found[0] is not shape:
            found = shape, _tiles(extents(shape, *placing, least))
            self._places.keep(id(shape), found)
        return found[1]
