"""A kept picture that is brought up to date only where shapes came, went or changed.

What has changed is booked in square tiles of the picture; every shape that touches one is painted again, in order.
"""

from __future__ import annotations

import itertools
import math

from PySide6.QtCore import QRect
from PySide6.QtGui import QPainter, QPixmap, QRegion

from trainer.drawing.shapes import Arc, Circle, Marks, Moving, Path, Shape, Sliding, Words
from trainer.window.painting.inks import Inks
from trainer.window.painting.kept import Kept
from trainer.window.painting.lettering import text_boxes
from trainer.window.painting.painter import Strokes, paint
from trainer.window.painting.pictures import Pictures

__all__ = ["Layer", "extents"]

_TILE = 40  # side of a tile [painter px]
_PICTURES = 4  # the tiles are kept of as many shapes as so many of the pictures have

_SLIDING = 200  # things that slide of which it is kept what holds them

Placing = tuple[float, tuple[float, float]]
_Span = tuple[float, float, float, float]  # left, top, right, bottom


def _spans(shape: Path | Circle | Arc | Marks) -> list[_Span]:
    """Return boxes [board px] that hold a shape; a bent line has one for each of its stretches."""
    if isinstance(shape, Circle | Arc):
        slack = shape.radius + shape.width / 2
        return [(shape.x - slack, shape.y - slack, shape.x + slack, shape.y + slack)]
    if isinstance(shape, Marks):
        slack = (shape.length + shape.width) / 2
        return [(x - slack, y - slack, x + slack, y + slack) for x, y, _ in shape.places]
    if shape.closed:
        slack = shape.width if shape.ink else 0.0
        across, down = [x for x, _ in shape.points], [y for _, y in shape.points]
        return [(min(across) - slack, min(down) - slack, max(across) + slack, max(down) + slack)]
    slack = 0.75 * shape.width  # half the width and the tip of a mitred corner
    return [
        (min(a, c) - slack, min(b, d) - slack, max(a, c) + slack, max(b, d) + slack)
        for (a, b), (c, d) in itertools.pairwise(shape.points)
    ]


def _edges(span: _Span, scale: float, origin: tuple[float, float]) -> tuple[int, int, int, int]:
    """Return the first and the last pixel of a box across and down, with some to spare [painter px]."""
    (left, top, right, bottom), (x, y) = span, origin
    return (
        math.floor(x + left * scale) - 2,
        math.floor(y + top * scale) - 2,
        math.ceil(x + right * scale) + 2,
        math.ceil(y + bottom * scale) + 2,
    )


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
    found = []
    for span in _spans(shape):
        west, north, east, south = _edges(span, scale, origin)
        found.append(QRect(west, north, east - west + 1, south - north + 1))
    return found


class _Tiles:
    """The tiles of a picture as the bits of a number, row by row."""

    def __init__(self, wide: float, high: float) -> None:
        self.columns = max(math.ceil(wide / _TILE), 1)
        self._rows = max(math.ceil(high / _TILE), 1)

    def of(self, west: int, north: int, east: int, south: int) -> int:
        """Return the tiles that a box touches, from its first to its last pixel [painter px]."""
        left, right = max(west // _TILE, 0), min(east // _TILE, self.columns - 1)
        if left > right:
            return 0
        found, columns = 0, self.columns
        row = ((1 << (right - left + 1)) - 1) << left
        for down in range(max(north // _TILE, 0), min(south // _TILE, self._rows - 1) + 1):
            found |= row << down * columns
        return found

    def rects(self, tiles: int) -> list[QRect]:
        """Return tiles as rectangles, neighbours in a row as one, and such rows below each other."""
        last: dict[tuple[int, int], int] = {}  # row to which a rectangle of these columns goes
        first: dict[tuple[int, int], int] = {}
        found: list[QRect] = []
        while tiles:
            begin = (tiles & -tiles).bit_length() - 1
            down, left = divmod(begin, self.columns)
            later = tiles >> begin
            count = min((later ^ (later + 1)).bit_length() - 1, self.columns - left)
            columns = (left, count)
            if last.get(columns) != down - 1:
                if columns in last:
                    found.append(_rect(columns, first[columns], last[columns]))
                first[columns] = down
            last[columns] = down
            tiles = later >> count << begin + count
        return [*found, *(_rect(columns, first[columns], down) for columns, down in last.items())]


def _rect(columns: tuple[int, int], first: int, last: int) -> QRect:
    left, count = columns
    return QRect(left * _TILE, first * _TILE, count * _TILE, (last - first + 1) * _TILE)


class Layer:
    """Shapes over a ground picture; what slides is laid down from ``pictures``."""

    def __init__(self, pictures: Pictures | None = None) -> None:
        self.kept: QPixmap | None = None
        self._key: tuple[object, ...] = ()
        self._shapes: dict[int, Shape | Sliding] = {}
        self._places: Kept[int, tuple[Shape | Sliding, int]] = Kept(0)  # the tiles of each shape
        self._boxes: Kept[int, tuple[tuple[Shape, ...], _Span]] = Kept(_SLIDING)  # of what slides, where it is made
        self._tiles = _Tiles(0.0, 0.0)
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
            size = ground.deviceIndependentSize()
            self._tiles = _Tiles(size.width(), size.height())
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
        tiles = 0
        for shape in changed:
            tiles |= self._tiles_of(shape, placing, least)
        found = self._places.newer.get
        touched = [
            shape
            for shape in shapes
            if tiles
            & (
                kept[1]
                if (kept := found(id(shape))) is not None and kept[0] is shape
                else self._tiles_of(shape, placing, least)
            )
        ]
        rects, region = self._tiles.rects(tiles), QRegion()
        for rect in rects:
            region += rect
        assert self.kept is not None
        painter = QPainter(self.kept)
        try:
            painter.setClipRegion(region)
            self._lay(painter, ground, rects)
            paint(painter, touched, inks, *placing, least, self._strokes)
        finally:
            painter.end()

    @staticmethod
    def _lay(painter: QPainter, ground: QPixmap, rects: list[QRect]) -> None:
        """Lay down some tiles of the ground, each by itself: together Qt copies them line by line, in threads."""
        ratio = ground.devicePixelRatio()
        side = round(_TILE * ratio)
        if side != _TILE * ratio:  # their edges lie within device pixels
            painter.drawPixmap(0, 0, ground)
            return
        for rect in rects:
            left, top = rect.left(), rect.top()
            across, down = left // _TILE * side, top // _TILE * side
            wide, high = rect.width() // _TILE * side, rect.height() // _TILE * side
            painter.drawPixmap(left, top, ground, across, down, wide, high)

    def _tiles_of(self, shape: Shape | Sliding, placing: Placing, least: float) -> int:
        kept = self._places.find(id(shape))
        if kept is not None and kept[0] is shape:
            return kept[1]
        (scale, (x, y)), found = placing, 0
        if isinstance(shape, Words):
            for rect in extents(shape, *placing, least):
                found |= self._tiles.of(rect.left(), rect.top(), rect.right(), rect.bottom())
        elif isinstance(shape, Sliding):
            span, moved = self._box_of(shape.shapes), (x + shape.across * scale, y + shape.down * scale)
            found = self._tiles.of(*_edges(span, scale, moved))
        else:
            for span in _spans(shape):
                found |= self._tiles.of(*_edges(span, scale, (x, y)))
        self._places.keep(id(shape), (shape, found))
        return found

    def _box_of(self, shapes: tuple[Shape, ...]) -> _Span:
        """Return what holds shapes that slide together, which have no words [board px]."""
        kept = self._boxes.find(id(shapes))
        if kept is None or kept[0] is not shapes:
            spans = [span for shape in shapes if not isinstance(shape, Words) for span in _spans(shape)]
            lows = [min((span[k] for span in spans), default=0.0) for k in (0, 1)]
            highs = [max((span[k] for span in spans), default=0.0) for k in (2, 3)]
            kept = shapes, (lows[0], lows[1], highs[0], highs[1])
            self._boxes.keep(id(shapes), kept)
        return kept[1]
