"""Taking hold of a spool in the drawing."""

from __future__ import annotations

from PySide6.QtCore import QPointF, Qt, Signal
from PySide6.QtGui import QFocusEvent, QKeyEvent, QMouseEvent, QPainter, QPaintEvent, QPen, QWheelEvent
from PySide6.QtWidgets import QWidget

from trainer.language import tr
from trainer.operating.motions import LeverMotion
from trainer.window.controls.handles import LeverKeys
from trainer.window.controls.tips import set_tip
from trainer.window.painting.look import Look

__all__ = ["SpoolHandle"]

_TRAVEL = 60.0  # of an envelope each way [board px]
_NEAR = 4.0  # px that the pointer may move in a click


class SpoolHandle(QWidget):
    """A clear handle over a section's envelope: dragging it along its travel moves the same lever.

    ``clicked`` and ``opened`` tell where in the parent it was clicked or double-clicked without being dragged,
    ``written`` the first sign of an exact percentage. While it has no focus there is nothing
    of it to be painted, and Qt does not ask for it whenever the drawing below is.
    """

    moved = Signal()
    written = Signal(str)
    clicked = Signal(QPointF)
    opened = Signal(QPointF)

    def __init__(self, look: Look, motion: LeverMotion, name: str, tip: str, parent: QWidget) -> None:
        super().__init__(parent)
        self.look = look
        self.motion = motion
        self.keys = LeverKeys(motion, self.written.emit)
        self.zoom = 1.0
        self._grip: tuple[float, float] | None = None
        self._press: QPointF | None = None  # of what may become a click
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setCursor(Qt.CursorShape.SizeVerCursor)
        self.setObjectName(f"spool {name}")
        self.setAccessibleName(tr("{name} spool").format(name=name))
        set_tip(self, tip)
        self.setUpdatesEnabled(False)

    def mousePressEvent(self, event: QMouseEvent) -> None:
        if event.button() == Qt.MouseButton.LeftButton:
            self._press = event.position()
            self._grip = (event.position().y(), self.motion.value)
            self.motion.grab()

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        """Follow the pointer: the envelope slides down towards +."""
        if self._press is not None and (event.position() - self._press).manhattanLength() > _NEAR:
            self._press = None
        if self._grip is not None and self._press is None and self.motion.dragged:
            way = (event.position().y() - self._grip[0]) / (_TRAVEL * self.zoom)
            self.motion.drag_to(self._grip[1] + way)
            self.moved.emit()

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        if event.button() != Qt.MouseButton.LeftButton:
            return
        press, self._press, self._grip = self._press, None, None
        self.motion.let_go()
        self.moved.emit()
        if press is not None:
            self.clicked.emit(self.mapToParent(press))

    def mouseDoubleClickEvent(self, event: QMouseEvent) -> None:
        if event.button() == Qt.MouseButton.LeftButton:
            self.opened.emit(self.mapToParent(event.position()))

    def wheelEvent(self, event: QWheelEvent) -> None:
        """Move by one percent a notch; with Ctrl the drawing takes it."""
        if event.modifiers() & Qt.KeyboardModifier.ControlModifier:
            event.ignore()
            return
        self.motion.nudge(0.01 * event.angleDelta().y() / 120)
        event.accept()
        self.moved.emit()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        self.keys.take(event, True)
        self.moved.emit()

    def keyReleaseEvent(self, event: QKeyEvent) -> None:
        self.keys.take(event, False)
        self.moved.emit()

    def focusOutEvent(self, event: QFocusEvent) -> None:
        self._grip = self._press = None
        self.motion.forget()
        self.moved.emit()
        self._show_ring(False)

    def focusInEvent(self, event: QFocusEvent) -> None:
        self._show_ring(True)

    def _show_ring(self, on: bool) -> None:
        self.setUpdatesEnabled(on)
        below = self.parentWidget()
        if below is not None:
            below.update(self.geometry())

    def paintEvent(self, event: QPaintEvent) -> None:
        """Show the focus ring; nothing else stands over the drawing."""
        painter = QPainter(self)
        painter.setPen(QPen(self.look.inks.colour("ink"), 2.0, Qt.PenStyle.DotLine))
        painter.drawRect(self.rect().adjusted(1, 1, -2, -2))
        painter.end()
