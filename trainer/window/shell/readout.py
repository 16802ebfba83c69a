"""The read-out column: paper behind dials, ledgers and strip, parted from the drawing by a hairline."""

from __future__ import annotations

from PySide6.QtGui import QPaintEvent
from PySide6.QtWidgets import QWidget

from trainer.drawing.shapes import DrawList, Path
from trainer.language import tr
from trainer.window.painting.canvas import Canvas
from trainer.window.painting.look import Look

__all__ = ["Readout"]


class Readout(QWidget):
    """The column's ground; its views are its children."""

    def __init__(self, look: Look, parent: QWidget) -> None:
        super().__init__(parent)
        self.look = look
        self.canvas = Canvas(self, look, self._still)
        self.setAccessibleName(tr("Readings"))

    def _still(self) -> DrawList:
        return [Path(((0.5, 0.0), (0.5, self.height() / self.look.scale)), "hairline", 1.0)]

    def paintEvent(self, event: QPaintEvent) -> None:
        self.canvas.paint()
