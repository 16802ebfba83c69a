"""Taking hold of a spool in the drawing."""

from __future__ import annotations

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QFocusEvent, QKeyEvent, QMouseEvent, QPainter, QPaintEvent, QPen, QWheelEvent
from PySide6.QtWidgets import QWidget

from trainer.window.handles import lever_key
from trainer.window.look import Look
from trainer.window.motion import LeverMotion

__all__ = ["SpoolHandle"]

_TRAVEL = 60.0  # of an envelope each way [board px]


class SpoolHandle(QWidget):
    """A clear handle over a section's envelope: dragging it along its travel moves the same lever."""

    moved = Signal()

    def __init__(self, look: Look, motion: LeverMotion, name: str, tip: str, parent: QWidget) -> None:
        super().__init__(parent)
        self.look = look
        self.motion = motion
        self.zoom = 1.0
        self._grip: tuple[float, float] | None = None
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setCursor(Qt.CursorShape.SizeVerCursor)
        self.setObjectName(f"spool {name}")
        self.setAccessibleName(f"{name} spool")
        self.setToolTip(tip)

    def mousePressEvent(self, event: QMouseEvent) -> None:
        if event.button() == Qt.MouseButton.LeftButton:
            self._grip = (event.position().y(), self.motion.value)
            self.motion.grab()

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        """Follow the pointer: the envelope slides down towards +."""
        if self._grip is not None:
            way = (event.position().y() - self._grip[0]) / (_TRAVEL * self.zoom)
            self.motion.drag_to(self._grip[1] + way)
            self.moved.emit()

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        if event.button() == Qt.MouseButton.LeftButton:
            self._grip = None
            self.motion.let_go()
            self.moved.emit()

    def wheelEvent(self, event: QWheelEvent) -> None:
        """Move by one percent a notch; with Ctrl the drawing takes it."""
        if event.modifiers() & Qt.KeyboardModifier.ControlModifier:
            event.ignore()
            return
        self.motion.nudge(0.01 * event.angleDelta().y() / 120)
        event.accept()
        self.moved.emit()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if not lever_key(self.motion, event, True):
            event.ignore()
        self.moved.emit()

    def keyReleaseEvent(self, event: QKeyEvent) -> None:
        if not lever_key(self.motion, event, False):
            event.ignore()
        self.moved.emit()

    def focusOutEvent(self, event: QFocusEvent) -> None:
        self._grip = None
        self.motion.forget()
        self.moved.emit()
        self.update()

    def focusInEvent(self, event: QFocusEvent) -> None:
        self.update()

    def paintEvent(self, event: QPaintEvent) -> None:
        """Show the focus ring; nothing else stands over the drawing."""
        if self.hasFocus():
            painter = QPainter(self)
            painter.setPen(QPen(self.look.inks.colour("ink"), 2.0, Qt.PenStyle.DotLine))
            painter.drawRect(self.rect().adjusted(1, 1, -2, -2))
            painter.end()
