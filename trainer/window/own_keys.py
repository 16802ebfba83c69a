"""Keys that a widget takes for itself while it has the keyboard, before the window's shortcuts get them."""

from __future__ import annotations

from collections.abc import Container

from PySide6.QtCore import QEvent, Qt
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QAbstractButton

__all__ = ["ENTER", "PRESS", "entered", "takes"]

ENTER = (Qt.Key.Key_Return, Qt.Key.Key_Enter)
PRESS = (Qt.Key.Key_Space, *ENTER)


def takes(event: QEvent, keys: Container[int], plain: bool = False) -> bool:
    """Answer for a widget's ``event``: whether it asks for one of the keys, which is then the widget's own.

    ``plain``: only without Shift, Ctrl and the like.
    """
    if event.type() != QEvent.Type.ShortcutOverride or not isinstance(event, QKeyEvent):
        return False
    if event.key() not in keys or (plain and event.modifiers()):
        return False
    event.accept()
    return True


def entered(button: QAbstractButton, event: QKeyEvent) -> bool:
    """Press a button on Enter as on Space; return whether it was Enter, once."""
    if event.key() not in ENTER or event.isAutoRepeat():
        return False
    button.click()
    return True
