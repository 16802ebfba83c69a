"""The list of rigs: below headings of what they teach, in columns, each with a small picture of its drawing."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import NamedTuple

from PySide6.QtCore import QMargins, QRect, QSize, Qt, QTimer
from PySide6.QtGui import QKeyEvent, QPainter, QPixmap
from PySide6.QtWidgets import QListView, QStyleOptionViewItem, QWidget

from trainer.drawing.shapes import DrawList
from trainer.drawing.symbols.symbol import bounds_of
from trainer.language import mark
from trainer.window.controls.finding import SoughtList
from trainer.window.controls.items import Index, Item, ItemDelegate, ItemStyle
from trainer.window.painting import fonts
from trainer.window.painting.look import Look
from trainer.window.painting.painter import paint

__all__ = ["RigList"]

_STYLE = ItemStyle(22.0, pitch=1.7, head=2.6, small=18.0, head_size=20.0, inset=6.0, bold=True, chosen="ring")
_WIDE, _HIGH = 208.0, 128.0  # of a picture [board px]
_EDGE = 7.0  # left free within it [board px]
_GAP = 12.0  # around it, and between columns [board px]
_LEAST = 18.0  # width that the words of an item need, in heights of their type
_LINES = 4  # of what is told


class _Picture(NamedTuple):
    """A picture as it was made, and what it was made for."""

    picture: QPixmap
    made_for: tuple[str, int, int, float]


class RigList(SoughtList):
    """Rigs to choose from; ``makers`` have the picture of an item by its key.

    Pictures are made one at a time while nothing else is to be done, those that are seen, and kept; in another look
    or size an older one stands in until the new one is made.
    """

    def __init__(self, look: Look, parent: QWidget) -> None:
        self.makers: Mapping[str, Callable[[], DrawList]] = {}
        self.pictures: dict[str, _Picture] = {}
        super().__init__(look, mark("Rigs"), parent, _STYLE)
        self._idle = QTimer(self)
        self._idle.setSingleShot(True)
        self._idle.timeout.connect(self._make_one)
        self.delegate = _RigDelegate(look, self)
        self.setItemDelegate(self.delegate)
        self.setFlow(QListView.Flow.LeftToRight)
        self.setWrapping(True)
        self.setVerticalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOn)  # else its width is left free beside it

    @property
    def picture_size(self) -> QSize:
        """How large pictures are [px]."""
        scale = self.look.scale
        return QSize(round(_WIDE * scale), round(_HIGH * scale))

    @property
    def column(self) -> int:
        """How wide one item is [px]."""
        room = self.viewport().width() - 1
        least = self.picture_size.width() + 3 * _GAP * self.look.scale + _LEAST * self.delegate.pixels
        return room // max(int(room / least), 1)

    def _wanted(self) -> tuple[str, int, int, float]:
        size = self.picture_size
        return self.look.theme, size.width(), size.height(), self.devicePixelRatioF()

    def picture(self, key: str) -> QPixmap | None:
        """Return the picture of an item as far as there is one; what is missing is made next."""
        found = self.pictures.get(key)
        if key in self.makers and (found is None or found.made_for != self._wanted()):
            self._idle.start()
        return found.picture if found is not None else None

    def _make_one(self) -> None:
        """Make one picture of those that are seen."""
        view, wanted = self.viewport().rect(), self._wanted()
        for row, item in enumerate(self.items.items):
            had = self.pictures.get(item.key)
            if item.key not in self.makers or (had is not None and had.made_for == wanted):
                continue
            place = self.visualRect(self.items.index(row))
            if view.intersects(place):
                self.pictures[item.key] = _Picture(self._made(self.makers[item.key]()), wanted)
                self.viewport().update(place)
                self._idle.start()
                return

    def _made(self, shapes: DrawList) -> QPixmap:
        size, ratio, edge = self.picture_size, self.devicePixelRatioF(), round(_EDGE * self.look.scale)
        picture = QPixmap(size * ratio)
        picture.setDevicePixelRatio(ratio)
        picture.fill(self.look.inks.colour("paper"))
        if shapes:
            left, top, right, bottom = bounds_of(tuple(shapes))
            room = size.grownBy(QMargins(-edge, -edge, -edge, -edge))
            scale = min(room.width() / (right - left), room.height() / (bottom - top))
            x = (size.width() - scale * (right - left)) / 2 - scale * left
            y = (size.height() - scale * (bottom - top)) / 2 - scale * top
            painter = QPainter(picture)
            paint(painter, shapes, self.look.inks, scale, (x, y))
            painter.end()
        return picture

    def _mine(self, event: QKeyEvent) -> bool:
        across = event.key() in (Qt.Key.Key_Left, Qt.Key.Key_Right)
        return super()._mine(event) or (across and not event.modifiers() & ~Qt.KeyboardModifier.KeypadModifier)


class _RigDelegate(ItemDelegate):
    """Paints rigs: a picture, right of it the title and the sentence below that."""

    def __init__(self, look: Look, view: RigList) -> None:
        super().__init__(look, _STYLE, view)
        self.rigs = view

    def told(self, item: Item) -> list[str]:
        """Return what is told below a title, in lines that have room."""
        if not item.told:
            return []
        if item.key not in self.rigs.makers:
            return super().told(item)
        room = self.rigs.column - self._words_left - round(2 * _GAP * self.look.scale)
        return fonts.wrapped(item.told, self.small, room, _LINES)

    @property
    def _words_left(self) -> int:
        return self.rigs.picture_size.width() + round(2 * _GAP * self.look.scale)

    def sizeHint(self, option: QStyleOptionViewItem, index: Index) -> QSize:
        item: Item = self.rigs.items.items[index.row()]
        if item.key not in self.rigs.makers:
            return QSize(self.rigs.viewport().width() - 1, super().sizeHint(option, index).height())
        gap = round(_GAP * self.look.scale)
        written = 1.5 * self.pixels + _LINES * 1.35 * self.small
        return QSize(self.rigs.column, round(max(self.rigs.picture_size.height(), written)) + gap)

    def _paint(self, painter: QPainter, item: Item, area: QRect, focus: bool, over: bool, chosen: bool) -> None:
        focus = focus or (chosen and self.rigs.led)
        if item.key not in self.rigs.makers:
            super()._paint(painter, item, area, focus, over, chosen)
            return
        inks, gap = self.look.inks, round(_GAP * self.look.scale)
        place = QRect(area.x() + gap // 2, area.y() + gap // 2, 0, 0)
        place.setSize(self.rigs.picture_size)
        picture = self.rigs.picture(item.key)
        if picture is not None:
            painter.drawPixmap(place, picture)
        painter.setPen(inks.colour("hairline"))
        painter.drawRect(place)
        x, right = area.x() + self._words_left, area.right() - gap
        line = area.y() + gap // 2 + 0.95 * self.pixels
        if item.mark:
            right -= self._mark(painter, right, line, item.mark)
        ink = "accent" if focus or over else "ink"
        title = fonts.metrics(self.pixels, 600).elidedText(item.words, Qt.TextElideMode.ElideRight, right - x)
        self._write(painter, x, line, title, ink, 600)
        line += 0.15 * self.pixels
        for text in self.told(item):
            line += 1.35 * self.small
            self._write(painter, x, line, text, "ink2", height=self.small)
        if focus:
            painter.setBrush(Qt.BrushStyle.NoBrush)  # the mark of what is open has left one
            painter.setPen(inks.colour("ink"))
            painter.drawRect(area.adjusted(1, 1, -2, -2))
            painter.drawRect(area.adjusted(2, 2, -3, -3))
