"""What pages of plain words have in common: a title, what the keys do, and room below."""

from __future__ import annotations

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QKeyEvent, QPainter, QPaintEvent, QResizeEvent
from PySide6.QtWidgets import QHBoxLayout, QVBoxLayout, QWidget

from trainer.language import tr
from trainer.window.controls.labels import Label, take_looks
from trainer.window.painting.look import Look

__all__ = ["PlainPage"]

_EDGE, _TOP = 90.0, 62.0  # board px
_TITLE, _BESIDE = 36.0, 20.0


class PlainPage(QWidget):
    """Base of pages of plain words: ``title``, what stands ``beside`` it, what the keys do; ``body`` is below.

    Esc, or whatever emits ``left``, asks to go back.
    """

    left = Signal()

    def __init__(self, look: Look, title: str, keys: str, parent: QWidget) -> None:
        super().__init__(parent)
        self.look = look
        self.title = Label(look, title, self, size=_TITLE, weight=600, wraps=False)
        self.beside = Label(look, "", self, size=_BESIDE, ink="ink2", wraps=False)
        self.keys = Label(look, keys, self, size=_BESIDE, ink="ink2", wraps=False)
        self.keys.setAlignment(Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter)
        self.head = QHBoxLayout()
        self.head.addWidget(self.title)
        self.head.addWidget(self.beside)
        self.head.addStretch(1)
        self.head.addWidget(self.keys)
        for label in (self.beside, self.keys):
            label.setMinimumWidth(1)
        self.body = QVBoxLayout()
        self.column = QVBoxLayout(self)
        self.column.addLayout(self.head)
        self.column.addLayout(self.body, 1)
        self.setObjectName(title)
        self.setAccessibleName(title)
        self.setAccessibleDescription(keys)

    def take_looks(self) -> None:
        """Let everything take the present look, and its place."""
        scale = self.look.scale
        take_looks(self)
        edge = round(_EDGE * scale)
        self.column.setContentsMargins(edge, round(_TOP * scale), edge, round(30 * scale))
        self.column.setSpacing(round(22 * scale))
        self.head.setSpacing(round(24 * scale))
        self.lay_out()
        self.update()

    def lay_out(self) -> None:
        """Place what no layout places; to be extended."""

    def resizeEvent(self, event: QResizeEvent) -> None:
        self.take_looks()

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.fillRect(event.rect(), self.look.inks.colour("paper"))
        painter.end()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Go back on Esc."""
        if event.key() == Qt.Key.Key_Escape:
            self.left.emit()
        else:
            super().keyPressEvent(event)

    def fit_head(self) -> None:
        """Leave out what the keys do where the title has no room beside it."""
        room = self.width() - 2 * round(_EDGE * self.look.scale) - 3 * self.head.spacing()
        needed = sum(label.sizeHint().width() for label in (self.title, self.beside, self.keys))
        self.beside.setVisible(bool(self.beside.text()) and needed <= room)

    @staticmethod
    def words_for_keys(enter: str, back: str) -> str:
        """Return what the keys do: Enter, and Esc."""
        return tr("Enter: {enter}. Esc: {back}").format(enter=enter, back=back)
