"""The two borders that can be moved: beside the read-out column, and between its ledgers and its strip."""

from __future__ import annotations

from PySide6.QtCore import QEvent, QPointF, Qt, Signal
from PySide6.QtGui import QFocusEvent, QKeyEvent, QMouseEvent, QPainter, QPaintEvent
from PySide6.QtWidgets import QWidget

from trainer.language import tr
from trainer.window.controls.tips import set_tip
from trainer.window.painting.look import Look

__all__ = ["Border"]

WIDE = 9  # of the strip that can be grabbed [px]
_LESS = (Qt.Key.Key_Left, Qt.Key.Key_Up)
_MORE = (Qt.Key.Key_Right, Qt.Key.Key_Down)


class Border(QWidget):
    """A clear grip over a border.

    ``dragged`` tells where the pointer is in the parent, ``nudged`` of a key, -1 or 1; a double click or Home asks
    for the first place.
    """

    dragged = Signal(QPointF)
    nudged = Signal(int)
    home_asked = Signal()

    def __init__(self, look: Look, upright: bool, name: str, parent: QWidget) -> None:
        super().__init__(parent)
        self.look = look
        self.upright = upright
        self.setCursor(Qt.CursorShape.SplitHCursor if upright else Qt.CursorShape.SplitVCursor)
        self.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        self.setObjectName(name)
        self.setAccessibleName(tr(name))
        set_tip(self, tr("{name}: drag it; a double click brings it back to its first place").format(name=tr(name)))
        self._held = False

    def mousePressEvent(self, event: QMouseEvent) -> None:
        self._held = event.button() == Qt.MouseButton.LeftButton

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        if self._held:
            self.dragged.emit(QPointF(self.mapToParent(event.position().toPoint())))

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        self._held = False

    def mouseDoubleClickEvent(self, event: QMouseEvent) -> None:
        self._held = False
        self.home_asked.emit()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Move by the arrow keys; Home goes back."""
        if event.key() in _LESS or event.key() in _MORE:
            self.nudged.emit(-1 if event.key() in _LESS else 1)
        elif event.key() == Qt.Key.Key_Home:
            self.home_asked.emit()
        else:
            super().keyPressEvent(event)

    def enterEvent(self, event: QEvent) -> None:
        self.update()

    def leaveEvent(self, event: QEvent) -> None:
        self.update()

    def focusInEvent(self, event: QFocusEvent) -> None:
        self.update()

    def focusOutEvent(self, event: QFocusEvent) -> None:
        self.update()

    def paintEvent(self, event: QPaintEvent) -> None:
        """Show a rule where the pointer or the keyboard is on it; nothing else."""
        if not self.underMouse() and not self.hasFocus():
            return
        painter = QPainter(self)
        middle = (self.width() if self.upright else self.height()) // 2 - 1
        if self.upright:
            painter.fillRect(middle, 0, 3, self.height(), self.look.inks.colour("ink2"))
        else:
            painter.fillRect(0, middle, self.width(), 3, self.look.inks.colour("ink2"))
        painter.end()
