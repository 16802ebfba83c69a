"""The line in which a rig is sought, above the list of them."""

from __future__ import annotations

from PySide6.QtCore import QEvent, Qt
from PySide6.QtGui import QFocusEvent, QKeyEvent, QKeySequence
from PySide6.QtWidgets import QWidget

from trainer.language import tr
from trainer.window.controls.item_list import SearchLine
from trainer.window.controls.own_keys import ENTER
from trainer.window.opening.rig_list import RigList
from trainer.window.painting.look import Look

__all__ = ["FindLine"]


class FindLine(SearchLine):
    """A line that narrows the list of rigs; Down goes into the list, Enter takes what is framed there."""

    def __init__(self, look: Look, rows: RigList, parent: QWidget) -> None:
        tip = tr("Words of a rig's title, sentence, file or parts; the arrow keys go through the list, Enter opens")
        super().__init__(look, rows, tr("Find a rig, or a part in one"), tip, parent)
        self.list = rows
        self.setObjectName("find rig")
        self.setTextMargins(6, 0, 6, 0)

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
