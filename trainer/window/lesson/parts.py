"""A reading part by part: a bar, and below it what each piece of it is, in the look of the ledgers."""

from __future__ import annotations

from PySide6.QtGui import QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QGridLayout, QHBoxLayout, QVBoxLayout, QWidget

from trainer.language import tr
from trainer.window.controls.labels import Label
from trainer.window.lesson.forms import TEXT
from trainer.window.lesson.why import Piece
from trainer.window.painting.look import Look

__all__ = ["PartsView"]

_SMALL = 16.5
_INKS = ("accent", "ink", "cell", "ink2", "hairline")


class _Bar(QWidget):
    """The pieces one beside the other, as long as they are large."""

    def __init__(self, look: Look, pieces: list[Piece], parent: QWidget) -> None:
        super().__init__(parent)
        self.look, self.pieces = look, pieces
        self.take_look()

    def take_look(self) -> None:
        """Take the height of the present look."""
        self.setFixedHeight(round(max(20 * self.look.scale, 10)))

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        inks, whole = self.look.inks, sum(piece.size for piece in self.pieces)
        wide, x = self.width() - 2, 1.0
        painter.setPen(QPen(inks.colour("ink"), 1.5))
        for k, piece in enumerate(self.pieces):
            step = wide * piece.size / whole if whole else 0.0
            painter.setBrush(inks.brush(_INKS[k % len(_INKS)]))
            painter.drawRect(round(x), 1, round(x + step) - round(x), self.height() - 2)
            x += step
        painter.end()


class _Patch(QWidget):
    """The colour of a piece before its words."""

    def __init__(self, look: Look, ink: str, parent: QWidget) -> None:
        super().__init__(parent)
        self.look, self.ink = look, ink
        self.take_look()

    def take_look(self) -> None:
        """Take the size of the present look."""
        side = round(0.75 * self.look.pixels(_SMALL))
        self.setFixedSize(side + 6, side + 2)

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.setPen(QPen(self.look.inks.colour("ink"), 1.0))
        painter.setBrush(self.look.inks.brush(self.ink))
        painter.drawRect(0, 1, self.width() - 7, self.height() - 3)
        painter.end()


class PartsView(QWidget):
    """What a reading is made of; the pieces sum up to it."""

    def __init__(self, look: Look, name: str, value: str, pieces: list[Piece], parent: QWidget) -> None:
        super().__init__(parent)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(2)
        head = QHBoxLayout()
        title = tr("{name}, part by part").format(name=name)
        head.addWidget(Label(look, title, self, size=TEXT, weight=600), 1)
        head.addWidget(Label(look, value, self, size=TEXT, weight=600, wraps=False))
        column.addLayout(head)
        column.addWidget(_Bar(look, pieces, self))
        grid = QGridLayout()
        grid.setSpacing(0)
        grid.setColumnStretch(1, 1)
        for k, piece in enumerate(pieces):
            grid.addWidget(_Patch(look, _INKS[k % len(_INKS)], self), k, 0)
            grid.addWidget(Label(look, piece.name, self, size=_SMALL, weight=600 if k == 0 else 400), k, 1)
            figure = Label(look, piece.figure, self, size=_SMALL, weight=600 if k == 0 else 400, wraps=False)
            grid.addWidget(figure, k, 2)
        column.addLayout(grid)
        told = ", ".join(f"{piece.name} {piece.figure}" for piece in pieces)
        self.setAccessibleName(title)
        self.setAccessibleDescription(f"{value}: {told}")
