"""A screen: what is shown over the whole window instead of the board, until it is left."""

from __future__ import annotations

from typing import ClassVar

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QWidget

from trainer.engine.readings import Readings

__all__ = ["Screen"]


class Screen(QWidget):
    """Base of all screens; Esc, or whatever emits ``left``, asks to go back to the board.

    ``full``: it takes the whole of the display, not only that of the window. ``waits``: while it is shown it is said
    what was set and waits for the clock.
    """

    full: ClassVar[bool] = True
    waits: ClassVar[bool] = True
    left = Signal()

    def show_instant(self, live: Readings, seconds: float, passed: float) -> None:
        """Show an instant after some wall seconds, ``passed`` of model time; every frame while it is shown."""

    def leave(self) -> None:
        """Give up what is begun: the board is shown again, or another screen."""

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() == Qt.Key.Key_Escape:
            self.left.emit()
        else:
            super().keyPressEvent(event)
