"""One door: a picture of what is behind it, what it is for, one sentence, and a button with its key."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import QPointF, QRect, QSize, Qt
from PySide6.QtGui import QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QSizePolicy, QVBoxLayout, QWidget

from trainer.drawing.shapes import DrawList
from trainer.window.controls.labels import Label
from trainer.window.controls.own_keys import PressButton
from trainer.window.controls.picture_view import PictureView
from trainer.window.controls.tips import set_tip
from trainer.window.painting import fonts
from trainer.window.painting.look import Look

__all__ = ["Door", "DoorButton"]

_HEAD, _TEXT, _BUTTON = 34.0, 22.0, 24.0  # types [board px]


class DoorButton(PressButton):
    """The words of a door in a box, its key at the right; the one with the keyboard has the accent's colour."""

    def __init__(self, look: Look, words: str, key: str, parent: QWidget) -> None:
        super().__init__(parent)
        self.look, self.key = look, key
        self.setText(words)
        self.setObjectName(f"door {key}")
        self.setAccessibleName(words)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setCursor(Qt.CursorShape.PointingHandCursor)
        self.setSizePolicy(QSizePolicy.Policy.Fixed, QSizePolicy.Policy.Fixed)

    def sizeHint(self) -> QSize:
        """Return room for the words and the key."""
        pixels = self.look.pixels(_BUTTON)
        words = fonts.metrics(pixels, 600).horizontalAdvance(self.text())
        return QSize(round(words + 5 * pixels), round(2.4 * pixels))

    def take_look(self) -> None:
        """Take the present look."""
        self.updateGeometry()
        self.update()

    def paintEvent(self, _: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        inks, pixels = self.look.inks, self.look.pixels(_BUTTON)
        focus = self.hasFocus()
        painter.fillRect(self.rect(), inks.colour("cell"))
        painter.setPen(QPen(inks.colour("accent" if focus or self.underMouse() else "ink"), 2.0 if focus else 1.5))
        painter.drawRect(self.rect().adjusted(1, 1, -2, -2))
        line = self.height() / 2 + 0.34 * pixels
        painter.setFont(fonts.font(pixels, 600))
        painter.setPen(inks.colour("accent" if focus else "ink"))
        painter.drawText(QPointF(1.0 * pixels, line), self.text())
        painter.setFont(fonts.font(pixels))
        painter.setPen(inks.colour("accent" if focus else "ink2"))
        wide = fonts.metrics(pixels).horizontalAdvance(self.key)
        painter.drawText(QPointF(self.width() - 1.0 * pixels - wide, line), self.key)
        painter.end()


class Door(QWidget):
    """All of one door; a click anywhere on it opens it, as its ``button`` does."""

    def __init__(
        self, look: Look, title: str, says: str, words: str, key: str, make: Callable[[], DrawList], parent: QWidget
    ) -> None:
        super().__init__(parent)
        self.look = look
        self.picture = PictureView(look, make, self)
        self.title = Label(look, title, self, size=_HEAD, weight=600)
        self.says = Label(look, says, self, size=_TEXT)
        self.button = DoorButton(look, words, key, self)
        self.button.setAccessibleDescription(says)
        set_tip(self.button, f"{says}  ({key})")
        self.column = QVBoxLayout(self)
        self.column.setContentsMargins(0, 0, 0, 0)
        self.column.addWidget(self.picture, 1)
        self.column.addWidget(self.title)
        self.column.addWidget(self.says)
        self.column.addWidget(self.button)
        self.setCursor(Qt.CursorShape.PointingHandCursor)

    def take_look(self) -> None:
        """Take the distances of the present look."""
        self.column.setSpacing(round(14 * self.look.scale))
        self.says.setMinimumHeight(round(3.0 * self.look.pixels(_TEXT)))
        self.says.setAlignment(Qt.AlignmentFlag.AlignTop)

    def mouseReleaseEvent(self, event: object) -> None:
        """Open it."""
        del event
        self.button.click()

    def area(self) -> QRect:
        """Return where it stands in its page [px]."""
        return self.geometry()
