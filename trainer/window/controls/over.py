"""What lies over the page until it is closed."""

from __future__ import annotations

from typing import ClassVar

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QKeyEvent, QMouseEvent, QPaintEvent
from PySide6.QtWidgets import QWidget

from trainer.drawing.shapes import DrawList
from trainer.window.controls.labels import take_looks
from trainer.window.painting.canvas import Canvas
from trainer.window.painting.look import Look

__all__ = ["Over"]


class Over(QWidget):
    """Base of panes and pages: Esc closes it, and so does a press beside what it shows where it ``gives_way``.

    Its own draw lists come from ``still_shapes`` and ``live_shapes`` [board px of it]. ``painted`` tells each time it
    was.
    """

    gives_way: ClassVar[bool] = False
    closed = Signal()
    painted = Signal()

    def __init__(self, look: Look, parent: QWidget) -> None:
        super().__init__(parent)
        self.look = look
        self.canvas = Canvas(self, look, self.still_shapes, self.live_shapes)
        self.canvas.ring = False
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.hide()

    def still_shapes(self) -> DrawList:
        """Return what stands still; to be extended."""
        return ()

    def live_shapes(self) -> DrawList:
        """Return what changes; to be extended."""
        return ()

    def take_looks(self) -> None:
        """Let everything in it take the present look."""
        take_looks(self)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Close on Esc."""
        if event.key() == Qt.Key.Key_Escape:
            self.closed.emit()
        else:
            super().keyPressEvent(event)

    def mousePressEvent(self, event: QMouseEvent) -> None:
        """Close where it gives way; nothing below it is meant."""
        event.accept()
        if self.gives_way:
            self.closed.emit()

    def paintEvent(self, event: QPaintEvent) -> None:
        self.canvas.paint(event.rect())
        self.painted.emit()
