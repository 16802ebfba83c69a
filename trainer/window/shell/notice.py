"""The line below the drawing that says what the operator should know."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtGui import QPaintEvent
from PySide6.QtWidgets import QWidget

from trainer.drawing.shapes import DrawList, Path, Words
from trainer.language import tr
from trainer.window.controls.tips import set_tip
from trainer.window.painting import fonts
from trainer.window.painting.canvas import Canvas
from trainer.window.painting.look import Look

__all__ = ["NoticeView"]


_LEFT, _BESIDE = 34.0, 72.0  # where a sentence begins: alone, beside the sign [board px]


class NoticeView(QWidget):
    """One sentence or nothing; with a warning sign where it tells of what can hurt or mislead."""

    def __init__(self, look: Look, parent: QWidget) -> None:
        super().__init__(parent)
        self.look = look
        self.words = ""
        self.warns = False
        self.canvas = Canvas(self, look, live=self._live)
        self.setObjectName("notice")
        self.setAccessibleName(tr("Notice"))

    def say(self, words: str, warns: bool = False) -> None:
        """Show a sentence, "" for none; one that is too long for the line ends in an ellipsis."""
        if (words, warns) != (self.words, self.warns):
            self.words, self.warns = words, warns
            self.setAccessibleDescription(words)
            set_tip(self, words)
            self.update()

    def fitted(self) -> str:
        """Return the sentence as far as it has room."""
        pixels = self.look.pixels(18.0)
        room = self.width() - 90.0 * self.look.scale
        line = " ".join(self.words.split())
        return fonts.metrics(pixels, 600).elidedText(line, Qt.TextElideMode.ElideRight, room)

    def _live(self) -> DrawList:
        if not self.words:
            return ()
        if not self.warns:
            return [Words(_LEFT, 24.0, self.fitted(), 18.0, weight=600)]
        x, y = 48.0, 17.0
        triangle = ((x, y - 13), (x + 14, y + 11), (x - 14, y + 11))
        return [
            Path(triangle, "ink", 2.0, closed=True),
            Path(((x, y - 5), (x, y + 4)), "ink", 2.5),
            Path(((x, y + 6), (x, y + 8.5)), "ink", 2.5),
            Words(_BESIDE, 24.0, self.fitted(), 18.0, weight=600),
        ]

    def paintEvent(self, event: QPaintEvent) -> None:
        self.canvas.paint()
