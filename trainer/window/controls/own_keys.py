"""Keys of a widget that has the keyboard: Enter presses, Space stays the clock's except while text is written."""

from __future__ import annotations

from collections.abc import Container

from PySide6.QtCore import QEvent, Qt
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QAbstractButton, QLineEdit

__all__ = ["ENTER", "Line", "PressButton", "takes"]

ENTER = (Qt.Key.Key_Return, Qt.Key.Key_Enter)
_SHIFTED = Qt.KeyboardModifier.KeypadModifier | Qt.KeyboardModifier.ShiftModifier


def takes(event: QEvent, keys: Container[int], plain: bool = False) -> bool:
    """Answer for a widget's ``event``: whether it asks for one of the keys, which is then the widget's own.

    ``plain``: only without Shift, Ctrl and the like.
    """
    if event.type() != QEvent.Type.ShortcutOverride or not isinstance(event, QKeyEvent):
        return False
    if event.key() not in keys or (plain and event.modifiers() & ~Qt.KeyboardModifier.KeypadModifier):
        return False
    event.accept()
    return True


def _presses(event: QKeyEvent) -> bool:
    """Whether a key is Enter, alone or with Shift."""
    return event.key() in ENTER and not event.modifiers() & ~_SHIFTED


class PressButton(QAbstractButton):
    """Base of all buttons and rows: Enter presses, Space never does, as it runs and freezes the clock.

    With Shift a button may do more. Enter with Ctrl is left to the window, where it commits an answer.
    """

    def event(self, event: QEvent) -> bool:
        """Take Enter before any shortcut."""
        meant = isinstance(event, QKeyEvent) and _presses(event)
        return (meant and takes(event, ENTER)) or super().event(event)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if _presses(event) and not event.isAutoRepeat():
            self.click()
        elif event.key() in (Qt.Key.Key_Space, *ENTER):
            event.ignore()
        else:
            super().keyPressEvent(event)

    def keyReleaseEvent(self, event: QKeyEvent) -> None:
        if event.key() == Qt.Key.Key_Space:  # while a mouse holds it down, Qt would press it
            event.ignore()
        else:
            super().keyReleaseEvent(event)


class Line(QLineEdit):
    """Base of all lines to write in: Space is text once something is written, before that it is the clock's."""

    def event(self, event: QEvent) -> bool:
        """Leave Space to the shortcuts while there is no text."""
        if (
            event.type() == QEvent.Type.ShortcutOverride
            and isinstance(event, QKeyEvent)
            and event.key() == Qt.Key.Key_Space
            and not self.text()
        ):
            event.ignore()
            return False
        return super().event(event)
