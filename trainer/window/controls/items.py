"""Items of a list: what is told of each, the model that a view shows, and how they are painted in the look."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from PySide6.QtCore import QAbstractListModel, QModelIndex, QObject, QPersistentModelIndex, QPointF, QRect, QSize, Qt
from PySide6.QtGui import QPainter, QPen
from PySide6.QtWidgets import QAbstractItemView, QStyle, QStyledItemDelegate, QStyleOptionViewItem

from trainer.window.controls.tips import plain
from trainer.window.painting import fonts
from trainer.window.painting.look import Look

__all__ = ["Item", "ItemDelegate", "ItemStyle", "Items"]

Index = QModelIndex | QPersistentModelIndex
_ITEM = Qt.ItemDataRole.UserRole
_LINE = 1.35  # of what is told below, in heights of its type
_MOST = 3  # lines of it


@dataclass(frozen=True, slots=True)
class Item:
    """One item: ``before`` its words an id or a key, ``right`` of them a unit, ``told`` in lines below.

    ``mark`` is a word with a dot at the right; ``ticked`` is None for what is not ticked; a ``heading`` is no choice;
    what is ``inert`` only tells, and does nothing.
    """

    key: str
    words: str
    before: str = ""
    right: str = ""
    told: str = ""
    mark: str = ""
    tip: str = ""
    ticked: bool | None = None
    heading: bool = False
    inert: bool = False

    @property
    def name(self) -> str:
        """All that stands in its line, for who hears it."""
        return ", ".join(filter(None, (self.before, self.words, self.right, self.mark)))


@dataclass(frozen=True, slots=True)
class ItemStyle:
    """How a list is painted: sizes of type [board px], heights and widths in heights of its type.

    ``before``: the least width of what stands before the words; ``indent``: how far right of headings items stand
    [board px]. ``chosen`` says how the chosen item is marked: by a
    "ground", a "ring", or a "bar" at its left.
    """

    size: float = 15.4
    pitch: float = 1.5
    head: float = 2.1
    small: float = 14.3
    head_size: float = 0.0  # of the type of headings, where it is another
    before: float = 0.0
    indent: float = 0.0
    inset: float = 0.0
    lines: int = 1  # of what is told below
    bold: bool = False
    bold_before: bool = False
    ruled: bool = False
    chosen: str = "ground"


class Items(QAbstractListModel):
    """The items of a list, shown by a view."""

    def __init__(self, parent: QObject) -> None:
        super().__init__(parent)
        self.items: list[Item] = []

    def fill(self, items: Sequence[Item]) -> None:
        """Take other items; where the same ones only tell something else, what is chosen stays."""
        same = [(item.key, item.heading) for item in items] == [(item.key, item.heading) for item in self.items]
        if same:
            changed = [k for k, (new, old) in enumerate(zip(items, self.items, strict=True)) if new != old]
            self.items = list(items)
            for k in changed:
                self.dataChanged.emit(self.index(k), self.index(k))
            return
        self.beginResetModel()
        self.items = list(items)
        self.endResetModel()

    def rowCount(self, parent: Index = QModelIndex()) -> int:  # noqa: B008 - Qt's own way to say "the root"
        return 0 if parent.isValid() else len(self.items)

    def flags(self, index: Index) -> Qt.ItemFlag:
        """A heading cannot be chosen."""
        if not index.isValid() or self.items[index.row()].heading:
            return Qt.ItemFlag.NoItemFlags
        return Qt.ItemFlag.ItemIsEnabled | Qt.ItemFlag.ItemIsSelectable | Qt.ItemFlag.ItemNeverHasChildren

    def data(self, index: Index, role: int = Qt.ItemDataRole.DisplayRole) -> Any:
        """Return what is told of an item in a role; the item itself in the user's role."""
        if not index.isValid():
            return None
        item = self.items[index.row()]
        if role == Qt.ItemDataRole.CheckStateRole and item.ticked is not None:
            return Qt.CheckState.Checked if item.ticked else Qt.CheckState.Unchecked
        told = {
            Qt.ItemDataRole.DisplayRole: item.words,
            Qt.ItemDataRole.ToolTipRole: plain(item.tip or item.words),
            Qt.ItemDataRole.AccessibleTextRole: item.name,
            Qt.ItemDataRole.AccessibleDescriptionRole: item.told,
            _ITEM: item,
        }
        return told.get(role)  # type: ignore[call-overload]  # Qt gives a plain int


class ItemDelegate(QStyledItemDelegate):
    """Paints items in the look: words, what stands before, right of and below them, a tick, a mark."""

    def __init__(self, look: Look, style: ItemStyle, view: QAbstractItemView) -> None:
        super().__init__(view)
        self.look, self.style, self.view = look, style, view

    @property
    def pixels(self) -> int:
        """Height of the type of its words [px]."""
        return self.look.pixels(self.style.size)

    @property
    def small(self) -> int:
        """Height of the type of what is told below [px]."""
        return self.look.pixels(self.style.small)

    @property
    def _inset(self) -> int:
        return round(self.style.inset * self.look.scale)

    @property
    def _left(self) -> int:
        """Where what stands in a line begins [px]."""
        return round((self.style.inset + self.style.indent) * self.look.scale)

    def told(self, item: Item) -> list[str]:
        """Return what is told below an item, in lines that have room."""
        if not item.told:
            return []
        room = self.view.viewport().width() - self._inset - self.words_from(item)
        return fonts.wrapped(item.told, self.small, room, self.style.lines)

    def sizeHint(self, option: QStyleOptionViewItem, index: Index) -> QSize:
        item: Item = index.data(_ITEM)
        high = self.style.head if item.heading else self.style.pitch
        return QSize(10, round(high * self.pixels + _LINE * self.small * len(self.told(item))))

    def words_from(self, item: Item) -> int:
        """Return where the words begin, from the left edge [px]."""
        x = float(self._left)
        if item.ticked is not None:
            x += 1.5 * self.pixels
        if item.before:
            wide = fonts.metrics(self.pixels, 600 if self.style.bold_before else 400).horizontalAdvance(item.before)
            x += max(self.style.before * self.pixels, wide + 0.65 * self.pixels)
        return round(x)

    def paint(self, painter: QPainter, option: QStyleOptionViewItem, index: Index) -> None:
        """Paint one item; one that is half scrolled away is left out."""
        item: Item = index.data(_ITEM)
        area: QRect = option.rect
        room = self.view.viewport().height()
        if (area.y() < 0 or area.bottom() >= room) and area.height() < room:
            return
        state: QStyle.StateFlag = option.state
        painter.save()
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        if item.heading:
            size = self.look.pixels(self.style.head_size or self.style.size)
            line = area.bottom() - min(0.45 * self.pixels, (area.height() - 0.7 * size) / 2)
            self._write(painter, area.x() + self._inset, line, item.words, "ink", 600, size)
            painter.fillRect(area.x(), area.bottom(), area.width(), 1, self.look.inks.colour("hairline"))
        else:
            focus = bool(state & QStyle.StateFlag.State_HasFocus) and self.view.hasFocus()
            over = bool(state & QStyle.StateFlag.State_MouseOver) and not item.inert
            self._paint(painter, item, area, focus, over, bool(state & QStyle.StateFlag.State_Selected))
        painter.restore()

    def _paint(self, painter: QPainter, item: Item, area: QRect, focus: bool, over: bool, chosen: bool) -> None:
        style, inks, pixels = self.style, self.look.inks, self.pixels
        marked = focus or over
        if style.chosen == "ground" and chosen:
            painter.fillRect(area, inks.colour("accent-pale" if self.view.hasFocus() else "hairline"))
            marked = False
        if style.chosen == "bar" and marked:
            painter.fillRect(area.x() + round(4 * self.look.scale), area.y(), 4, area.height(), inks.colour("accent"))
        if style.ruled:
            painter.fillRect(area.x(), area.bottom(), area.width(), 1, inks.colour("hairline"))
        line = area.y() + (style.pitch + 0.7) / 2 * pixels
        left = area.x() + self._left
        if item.ticked:
            self._tick(painter, left + 0.2 * pixels, line)
        if item.ticked is not None:
            left += round(1.5 * pixels)
        ink = "accent" if marked and style.chosen != "ground" and item.ticked is None and not item.inert else "ink"
        if item.before:
            self._write(painter, left, line, item.before, ink if style.bold_before else "ink2",
                        600 if style.bold_before else 400)  # fmt: skip
        x = area.x() + self.words_from(item)
        right = area.right() - self._inset
        if item.right:
            right -= round(0.6 * pixels)
            wide = fonts.metrics(pixels).horizontalAdvance(item.right)
            self._write(painter, right - wide, line, item.right, ink if ink == "accent" else "ink2")
            right -= round(wide + 0.4 * pixels)
        if item.mark:
            right -= self._mark(painter, right, line, item.mark)
        weight = 600 if item.ticked or style.bold else 400
        fitted = fonts.metrics(pixels, weight).elidedText(item.words, Qt.TextElideMode.ElideRight, right - x)
        self._write(painter, x, line, fitted, ink, weight)
        for text in self.told(item):
            line += _LINE * self.small
            self._write(painter, x, line, text, "ink2", height=self.small)
        if style.chosen == "ring" and focus:
            painter.setPen(QPen(inks.colour("ink"), 2.0))
            painter.drawRect(area.adjusted(1, 1, -2, -2))

    def _write(self, painter: QPainter, x: float, line: float, text: str, ink: str, weight: int = 400,
               height: int = 0) -> None:  # fmt: skip
        painter.setFont(fonts.font(height or self.pixels, weight))
        painter.setPen(self.look.inks.colour(ink))
        painter.drawText(QPointF(x, round(line)), text)

    def _tick(self, painter: QPainter, x: float, line: float) -> None:
        pixels = self.pixels
        painter.setPen(QPen(self.look.inks.colour("accent"), 2.0))
        places = ((0.0, 0.35), (0.28, 0.0), (0.8, 0.7))
        painter.drawPolyline([QPointF(x + right * pixels, line - up * pixels) for right, up in places])

    def _mark(self, painter: QPainter, right: float, line: float, word: str) -> int:
        """Write a dot and a word that end at the right; return how wide they are with a gap before them [px]."""
        side = 0.42 * self.small
        wide = fonts.metrics(self.small, 600).horizontalAdvance(word) + 1.7 * side
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(self.look.inks.colour("accent"))
        painter.drawEllipse(QPointF(right - wide + side / 2, line - 0.65 * side), side / 2, side / 2)
        self._write(painter, right - wide + 1.7 * side, line, word, "ink", 600, self.small)
        return round(wide + 12)
