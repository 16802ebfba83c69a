"""What is said over a run: the task in one sentence, or what happened; below it what is dotted, or what to mind."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtGui import QPaintEvent
from PySide6.QtWidgets import QWidget

from trainer.drawing.shapes import DrawList, Path, Shape, Words
from trainer.drawing.type_widths import text_width, wrapped
from trainer.language import tr
from trainer.window.painting.canvas import Canvas
from trainer.window.painting.look import Look
from trainer.window.practice.words import cut

__all__ = ["CAUTIONS", "CautionsView", "ToldView"]

_SENTENCE, _SMALL, _EDGE = 28.0, 18.4, 36.0
CAUTIONS = 3  # that have room


class ToldView(QWidget):
    """A sentence, and lines below it; what ``warns`` is bold."""

    def __init__(self, look: Look, parent: QWidget) -> None:
        super().__init__(parent)
        self.look = look
        self.sentence, self.under, self.notice = "", "", ""
        self.ink, self.weight = "ink", 400
        self.canvas = Canvas(self, look, self._still)

    def say(self, sentence: str, under: str, notice: str = "", ink: str = "ink", weight: int = 400) -> None:
        """Show a sentence, a smaller one below it, and a notice that matters more than that."""
        new = (sentence, under, notice, ink, weight)
        if new != (self.sentence, self.under, self.notice, self.ink, self.weight):
            self.sentence, self.under, self.notice, self.ink, self.weight = new
            self.setAccessibleName(sentence)
            self.setAccessibleDescription(". ".join(filter(None, (notice, under))))
            self.canvas.forget()
            self.update()

    def _still(self) -> DrawList:
        wide = self.width() / self.look.scale - _EDGE
        size = _SENTENCE
        while size > self.look.size(20.0) and text_width(self.sentence, size, self.weight) > wide - _EDGE:
            size -= 1.0
        shapes: list[Shape] = [
            Words(_EDGE, 45.0, cut(self.sentence, wide - _EDGE, size, self.weight), size, self.ink, self.weight)
        ]
        y = 84.0
        for words, ink, weight in ((self.notice, "ink", 600), (self.under, "ink2", 400)):
            if words and y < self.height() / self.look.scale:
                size = self.look.size(_SMALL)
                shapes.append(Words(_EDGE, y, cut(words, wide - _EDGE, size, weight), _SMALL, ink, weight))
                y += 27.0
        return shapes

    def paintEvent(self, event: QPaintEvent) -> None:
        self.canvas.paint()


class CautionsView(QWidget):
    """What to mind at a machine before a task; it goes when the attempt begins."""

    def __init__(self, look: Look, parent: QWidget) -> None:
        super().__init__(parent)
        self.look = look
        self.cautions: tuple[str, ...] = ()
        self.canvas = Canvas(self, look, self._still)
        self.hide()

    def show_cautions(self, cautions: Sequence[str]) -> None:
        """Show some, or none."""
        if (*cautions[:CAUTIONS],) == (*self.cautions,):
            return
        self.cautions = (*cautions[:CAUTIONS],)
        self.setAccessibleName(tr("At a machine"))
        self.setAccessibleDescription(" ".join(self.cautions))
        self.setVisible(bool(self.cautions))
        self.canvas.forget()
        self.update()

    def height_board(self, wide: float) -> float:
        """Return the height that the words need in a width [board px]."""
        return 64.0 + self._pitch * len(self._lines(wide))

    @property
    def _pitch(self) -> float:
        return max(27.0, 1.25 * self.look.least)

    def _lines(self, wide: float) -> list[str]:
        size = self.look.size(_SMALL)
        return [line for words in self.cautions for line in wrapped(words, wide - 44.0, size)]

    def _still(self) -> DrawList:
        wide, high = self.width() / self.look.scale, self.height() / self.look.scale
        box = ((1.0, 1.0), (wide - 1, 1.0), (wide - 1, high - 1), (1.0, high - 1))
        x, y = 34.0, 32.0
        sign = ((x, y - 14), (x + 15, y + 11), (x - 15, y + 11))
        shapes: list[Shape] = [
            Path(box, "ink2", 1.5, "cell", True),
            Path(sign, "ink", 2.0, closed=True),
            Path(((x, y - 6), (x, y + 3)), "ink", 2.4),
            Path(((x, y + 5), (x, y + 8)), "ink", 2.4),
            Words(62.0, 38.0, tr("At a machine"), 21.0, weight=600),
        ]
        for k, line in enumerate(self._lines(wide)):
            shapes.append(Words(20.0, 70.0 + self._pitch * k, line, _SMALL))
        return shapes

    def paintEvent(self, event: QPaintEvent) -> None:
        self.canvas.paint()
