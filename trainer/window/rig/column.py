"""The rows of the numbers of the rig below each other."""

from __future__ import annotations

from PySide6.QtGui import QPainter, QPaintEvent
from PySide6.QtWidgets import QWidget

from trainer.window.controls.rows import ChangeRow, Row, WordsRow
from trainer.window.painting.look import Look
from trainer.window.rig.blocks import LoadBlock, OilBlock
from trainer.window.rig.screw_view import ScrewView

__all__ = ["AnyRow", "Column"]

AnyRow = Row | WordsRow | ChangeRow | OilBlock | LoadBlock | ScrewView


class Column(QWidget):
    """Rows below each other, as high as they need."""

    def __init__(self, look: Look, parent: QWidget) -> None:
        super().__init__(parent)
        self.look = look
        self.rows: list[AnyRow] = []

    def fill(self, rows: list[AnyRow]) -> None:
        """Take other rows instead of the present ones."""
        for row in self.rows:
            row.hide()
            row.setParent(None)
            row.deleteLater()
        self.rows = rows
        for row in rows:
            row.show()

    def stack(self, width: int) -> None:
        """Place the rows for a width [px]."""
        y = 0
        for row in self.rows:
            height = row.height_for(width)
            row.setGeometry(0, y, width, height)
            y += height
        self.resize(width, max(y, 1))
        self.update()

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.fillRect(event.rect(), self.look.inks.colour("paper"))
        painter.end()
