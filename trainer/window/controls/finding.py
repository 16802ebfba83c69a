"""A list in which what is typed is sought: letters go to a line, which narrows the list, and headings stay."""

from __future__ import annotations

from PySide6.QtCore import QEvent, QRect, Qt, Signal
from PySide6.QtGui import QFocusEvent, QKeyEvent, QKeySequence, QPainter
from PySide6.QtWidgets import QWidget

from trainer.window.controls.item_list import ItemList, SearchLine
from trainer.window.controls.items import Item, ItemDelegate, ItemStyle
from trainer.window.controls.own_keys import ENTER
from trainer.window.painting.look import Look

__all__ = ["FindLine", "SoughtList"]


class SoughtList(ItemList):
    """Items to choose from, one click takes one, that are narrowed by a line.

    ``typed`` is told a letter that is sought with those before it, "" for the line in which they stand; ``erased``
    takes the last one back. While the list is ``led`` from that line the chosen item is framed.
    """

    typed = Signal(str)
    erased = Signal()

    def __init__(self, look: Look, name: str, parent: QWidget, style: ItemStyle) -> None:
        self.led = False
        super().__init__(look, name, parent, style, one_click=True)
        self.delegate = _LedDelegate(look, style, self)
        self.setItemDelegate(self.delegate)

    def _mine(self, event: QKeyEvent) -> bool:
        plain = not event.modifiers() & ~Qt.KeyboardModifier.KeypadModifier
        erases = plain and event.key() == Qt.Key.Key_Backspace
        return super()._mine(event) or erases or event.matches(QKeySequence.StandardKey.Find)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Give what is typed to the line in which things are sought."""
        letter = event.text() if event.text().strip() and event.text().isprintable() else ""
        if event.matches(QKeySequence.StandardKey.Find):
            self.typed.emit("")
        elif event.key() == Qt.Key.Key_Backspace:
            self.erased.emit()
        elif letter and self._mine(event):
            self.typed.emit(letter)
        else:
            super().keyPressEvent(event)


class _LedDelegate(ItemDelegate):
    """Paints items; the chosen one is framed while the list is led from its line."""

    def __init__(self, look: Look, style: ItemStyle, view: SoughtList) -> None:
        super().__init__(look, style, view)
        self.rows = view

    def _paint(self, painter: QPainter, item: Item, area: QRect, focus: bool, over: bool, chosen: bool) -> None:
        super()._paint(painter, item, area, focus or (chosen and self.rows.led), over, chosen)


class FindLine(SearchLine):
    """A line that narrows a list; Down goes into the list, Enter takes what is framed there."""

    def __init__(self, look: Look, rows: SoughtList, hint: str, tip: str, parent: QWidget) -> None:
        super().__init__(look, rows, hint, tip, parent)
        self.list = rows
        self.setTextMargins(6, 0, 6, 0)
        rows.typed.connect(self.take)
        rows.erased.connect(self.erase)

    def take(self, letter: str) -> None:
        """Take the keyboard, and a letter that was typed in the list; without one all that stands here is marked."""
        self._begin()
        if letter:
            self.insert(letter)
        else:
            self.selectAll()

    def erase(self) -> None:
        """Take the keyboard, and the last letter back."""
        self._begin()
        self.backspace()

    def _begin(self) -> None:
        self.setFocus(Qt.FocusReason.ShortcutFocusReason)
        self.end(False)

    def event(self, event: QEvent) -> bool:
        """Keep the key that finds; on the board it does something else."""
        if isinstance(event, QKeyEvent) and event.matches(QKeySequence.StandardKey.Find):
            event.accept()
            if event.type() == QEvent.Type.KeyPress:
                self.selectAll()
            return True
        return super().event(event)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() in ENTER:
            if not event.isAutoRepeat():
                self.list.take_chosen()
        elif event.key() == Qt.Key.Key_Down and self.list.key:
            self.list.setFocus(Qt.FocusReason.TabFocusReason)
        elif event.key() != Qt.Key.Key_Up:
            super().keyPressEvent(event)

    def focusInEvent(self, event: QFocusEvent) -> None:
        super().focusInEvent(event)
        self._lead(True)

    def focusOutEvent(self, event: QFocusEvent) -> None:
        super().focusOutEvent(event)
        self._lead(False)

    def _lead(self, leads: bool) -> None:
        self.list.led = leads
        self.list.viewport().update()
