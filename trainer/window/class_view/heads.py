"""Over the drawing before a class: each function's name above its column, and what it does now."""

from __future__ import annotations

from collections.abc import Mapping

from PySide6.QtGui import QPaintEvent
from PySide6.QtWidgets import QWidget

from trainer.drawing.shapes import DrawList, Shape, Words
from trainer.drawing.type_widths import text_width
from trainer.window.painting.canvas import Canvas
from trainer.window.painting.look import Look

__all__ = ["HeadsView"]

_NAME, _DOES, _GAP = 46.0, 36.0, 18.0
_TOP, _ROW, _LAST = 14.0, 46.0, 46.0
_EDGE = 16.0


def _rows(items: Mapping[float, str], size: float, weight: int, width: float) -> list[tuple[int, float, str]]:
    """Return (row, left edge, words) of words about the middles of columns: in the first row where they have room."""
    ends: list[float] = []
    placed = []
    for x, words in sorted(items.items()):
        wide = text_width(words, size, weight)
        left = min(max(x - wide / 2, _EDGE), max(width - _EDGE - wide, _EDGE))
        row = next((k for k, end in enumerate(ends) if left >= end + _GAP), len(ends))
        if row == len(ends):
            ends.append(0.0)
        ends[row] = left + wide
        placed.append((row, left, words))
    return placed


class HeadsView(QWidget):
    """Names of functions, by columns [widget px]; ``told`` is what each does now, by its control."""

    def __init__(self, look: Look, names: Mapping[str, str], parent: QWidget) -> None:
        super().__init__(parent)
        self.look, self.names = look, names
        self.columns: Mapping[str, float] = {}
        self.told: Mapping[str, str] = {}
        self.canvas = Canvas(self, look, self._still, self._live)

    def height_board(self, columns: Mapping[str, float], width: float) -> float:
        """Return the height that names over some columns need [board px], nothing without names."""
        rows = self._named(columns, width)
        if not rows:
            return 0.0
        return _TOP + _ROW * (1 + max(row for row, _, _ in rows)) + _LAST

    def _named(self, columns: Mapping[str, float], width: float) -> list[tuple[int, float, str]]:
        named = {columns[name]: words for name, words in self.names.items() if name in columns and words}
        return _rows(named, _NAME, 600, width)

    def lay_out(self, columns: Mapping[str, float]) -> None:
        """Take where the columns stand [board px]."""
        self.columns = columns
        self.canvas.forget()
        self.update()

    def show_doings(self, told: Mapping[str, str]) -> None:
        """Show what the functions do."""
        if told != self.told:
            self.told = told
            self.update()

    @property
    def _width(self) -> float:
        return self.width() / self.look.scale

    def _still(self) -> DrawList:
        rows = self._named(self.columns, self._width)
        return [Words(left, _TOP + _ROW * (row + 0.85), words, _NAME, weight=600) for row, left, words in rows]

    def _live(self) -> DrawList:
        base = self.height() / self.look.scale - 12.0
        told = {self.columns[name]: words for name, words in self.told.items() if name in self.columns}
        shapes: list[Shape] = []
        for row, left, words in _rows(told, _DOES, 600, self._width):
            if row == 0:  # of more than have room, the first ones
                shapes.append(Words(left, base, words, _DOES, "accent", 600))
        return shapes

    def paintEvent(self, event: QPaintEvent) -> None:
        self.canvas.paint()
