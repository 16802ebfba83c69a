"""Buttons one after the other, in further lines where they do not fit."""

from __future__ import annotations

from PySide6.QtCore import QPoint, QRect, QSize, Qt
from PySide6.QtWidgets import QLayout, QLayoutItem

__all__ = ["FlowLayout"]


class FlowLayout(QLayout):
    """Widgets in lines, each as wide as its hint; ``outdent``: how far left of its room the first stands [px].

    The words of a button stand somewhat inside of it: outdented they are in line with the words of a form.
    """

    def __init__(self, *, gap: int = 0) -> None:
        super().__init__()
        self.outdent = 0
        self._items: list[QLayoutItem] = []
        self.setContentsMargins(0, 0, 0, 0)
        self.setSpacing(gap)

    def addItem(self, item: QLayoutItem) -> None:
        self._items.append(item)

    def count(self) -> int:
        """Return how many items there are."""
        return len(self._items)

    def itemAt(self, index: int) -> QLayoutItem | None:
        return self._items[index] if 0 <= index < len(self._items) else None

    def takeAt(self, index: int) -> QLayoutItem | None:
        return self._items.pop(index) if 0 <= index < len(self._items) else None

    def expandingDirections(self) -> Qt.Orientation:
        return Qt.Orientation(0)

    def hasHeightForWidth(self) -> bool:
        return True

    def heightForWidth(self, width: int) -> int:
        return self._place(QRect(0, 0, width, 0), place=False)

    def sizeHint(self) -> QSize:
        return self.minimumSize()

    def minimumSize(self) -> QSize:
        """Return the size of the largest."""
        size = QSize(0, 0)
        for item in self._items:
            if not item.isEmpty():
                size = size.expandedTo(item.sizeHint())
        return QSize(max(size.width() - self.outdent, 0), size.height())

    def setGeometry(self, room: QRect) -> None:
        super().setGeometry(room)
        self._place(room, place=True)

    def _place(self, room: QRect, place: bool) -> int:
        """Return how high the lines are in a room, and place the items there if asked to [px]."""
        left = room.x() - self.outdent
        x, y, high = left, room.y(), 0
        for item in self._items:
            if item.isEmpty():
                continue
            size = item.sizeHint()
            if x > left and x + size.width() > room.right() + 1 + self.outdent:
                x, y, high = left, y + high, 0
            if place:
                item.setGeometry(QRect(QPoint(x, y), size))
            x += size.width() + self.spacing()
            high = max(high, size.height())
        return y + high - room.y()
