"""A screen: what is shown over the whole window instead of the board, until it is left."""

from __future__ import annotations

from typing import ClassVar

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QWidget
from shiboken6 import isValid

from trainer.engine.readings import Readings

__all__ = ["Screen", "come_back_to"]


class Screen(QWidget):
    """Base of all screens; Esc, or whatever emits ``left``, asks to go back to the board.

    ``full``: it takes the whole of the display, not only that of the window. ``waits``: while it is shown it is said
    what was set and waits for the clock. ``returns``: who leaves the lessons or the ladder of practice comes back to
    it, where these were asked for from here.
    """

    full: ClassVar[bool] = True
    waits: ClassVar[bool] = True
    left = Signal()
    returns = False

    def show_instant(self, live: Readings, seconds: float, passed: float) -> None:
        """Show an instant after some wall seconds, ``passed`` of model time; every frame while it is shown."""

    def leave(self) -> None:
        """Give up what is begun: the board is shown again, or another screen."""

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() == Qt.Key.Key_Escape:
            self.left.emit()
        else:
            super().keyPressEvent(event)


def come_back_to(before: Screen | None) -> Screen | None:
    """Return the screen that was there before, if it is still one to come back to; else None, for the board."""
    return before if before is not None and isValid(before) and before.returns else None
