"""The line below the drawing that says what the operator should know, and the page of keys."""

from __future__ import annotations

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QKeyEvent, QMouseEvent, QPaintEvent
from PySide6.QtWidgets import QWidget

from trainer.drawing.shapes import DrawList, Path, Shape, Words
from trainer.window import fonts
from trainer.window.canvas import Canvas
from trainer.window.keys import KEYS, Key
from trainer.window.look import LEAST_TEXT, Look

__all__ = ["HelpPage", "NoticeView"]


class NoticeView(QWidget):
    """One sentence with a warning sign, or nothing."""

    def __init__(self, look: Look, parent: QWidget) -> None:
        super().__init__(parent)
        self.look = look
        self.words = ""
        self.canvas = Canvas(self, look, live=self._live)
        self.setObjectName("notice")
        self.setAccessibleName("Notice")

    def say(self, words: str) -> None:
        """Show a sentence, "" for none; one that is too long for the line ends in an ellipsis."""
        if words != self.words:
            self.words = words
            self.setAccessibleDescription(words)
            self.setToolTip(words)
            self.update()

    def fitted(self) -> str:
        """Return the sentence as far as it has room."""
        pixels = round(max(18.0 * self.look.scale, LEAST_TEXT))
        room = self.width() - 90.0 * self.look.scale
        line = " ".join(self.words.split())
        return fonts.metrics(pixels, 600).elidedText(line, Qt.TextElideMode.ElideRight, room)

    def _live(self) -> DrawList:
        if not self.words:
            return ()
        x, y = 48.0, 17.0
        triangle = ((x, y - 13), (x + 14, y + 11), (x - 14, y + 11))
        return [
            Path(triangle, "ink", 2.0, closed=True),
            Path(((x, y - 5), (x, y + 4)), "ink", 2.5),
            Path(((x, y + 6), (x, y + 8.5)), "ink", 2.5),
            Words(72.0, 24.0, self.fitted(), 18.0, weight=600),
        ]

    def paintEvent(self, event: QPaintEvent) -> None:
        self.canvas.paint()


class HelpPage(QWidget):
    """All keys on one page, over the board."""

    closed = Signal()

    def __init__(self, look: Look, parent: QWidget) -> None:
        super().__init__(parent)
        self.look = look
        self.canvas = Canvas(self, look, self._still)
        self.canvas.ring = False
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setObjectName("keys")
        self.setAccessibleName("Keys")
        self.setAccessibleDescription("; ".join(f"{key.keys}: {key.words} {key.where}" for key in KEYS))

    def _still(self) -> DrawList:
        shapes: list[Shape] = [
            Words(120.0, 110.0, "Keys", 30.8, weight=600),
            Words(1800.0, 110.0, "F1 or Esc: back to the board", 18.0, "ink2", align="right"),
        ]
        first = KEYS[0].where
        for left, keys in (
            (120.0, [key for key in KEYS if key.where == first]),
            (1000.0, [key for key in KEYS if key.where != first]),
        ):
            shapes += _table(keys, left, left + 800.0, max(36.0, 1.5 * self.look.least))
        return shapes

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() == Qt.Key.Key_Escape:
            self.closed.emit()
        else:
            super().keyPressEvent(event)

    def mousePressEvent(self, event: QMouseEvent) -> None:
        self.closed.emit()

    def paintEvent(self, event: QPaintEvent) -> None:
        self.canvas.paint()


def _table(keys: list[Key], left: float, right: float, pitch: float) -> list[Shape]:
    shapes: list[Shape] = []
    y, where = 140.0, ""
    for key in keys:
        if key.where != where:
            where = key.where
            y += 1.4 * pitch
            shapes.append(Words(left, y, where[:1].upper() + where[1:], 19.8, weight=600))
            shapes.append(Path(((left, y + 10.0), (right, y + 10.0)), "hairline", 1.0))
            y += 8.0
        y += pitch
        shapes.append(Words(left + 20.0, y, key.keys, 18.0, weight=600))
        shapes.append(Words(left + 236.0, y, key.words, 18.0))
    return shapes
