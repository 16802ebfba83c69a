"""In the right column while a question is made: of which instant it is asked."""

from __future__ import annotations

from PySide6.QtCore import Signal
from PySide6.QtGui import QPaintEvent
from PySide6.QtWidgets import QWidget

from trainer.drawing.shapes import DrawList, Path, Shape, Words
from trainer.drawing.type_widths import wrapped
from trainer.language import mark, tr
from trainer.window.controls.buttons import WordButton
from trainer.window.painting.canvas import Canvas
from trainer.window.painting.look import Look

__all__ = ["WhenView"]

_LEFT, _RIGHT = 40.0, 580.0


class WhenView(QWidget):
    """The question in words, and a button for "as it stands now"; a click on a lever is the other way.

    ``asked`` tells of the button.
    """

    asked = Signal()

    def __init__(self, look: Look, parent: QWidget) -> None:
        super().__init__(parent)
        self.look = look
        self.words = ""
        self.canvas = Canvas(self, look, self._still)
        tip = tr("Ask of the instant that is shown, without a run")
        self.now = WordButton(look, tr("As it stands now"), mark("Ask of this instant"), tip, self, size=46.0)
        self.now.clicked.connect(self.asked)
        self.setAccessibleName(tr("Of which instant"))

    def lay_out(self) -> None:
        """Place the button."""
        scale, size = self.look.scale, self.now.sizeHint()
        self.canvas.least = 35.6 * scale
        self.now.setGeometry(round((_LEFT - 8) * scale), round(430 * scale), size.width(), size.height())
        self.canvas.forget()
        self.update()

    def _still(self) -> DrawList:
        shapes: list[Shape] = [Path(((1.0, 0.0), (1.0, self.height() / self.look.scale)), "hairline", 2.0)]
        y = 90.0
        for words, size, weight in (
            (self.words, 46.0, 600),
            (tr("When the lever goes to one end: click the lever on that side. Or:"), 38.0, 400),
        ):
            for line in wrapped(words, _RIGHT - _LEFT, size, weight):
                shapes.append(Words(_LEFT, y, line, size, weight=weight))
                y += 1.2 * size
            y += 24.0
        return shapes

    def paintEvent(self, event: QPaintEvent) -> None:
        self.canvas.paint()
