"""The machine before a class: its views with their names, and what is measured on it, to be read at 8 m."""

from __future__ import annotations

from PySide6.QtGui import QPaintEvent
from PySide6.QtWidgets import QWidget

from trainer.drawing.shapes import DrawList, Path, Shape, Words
from trainer.rig.live import Live
from trainer.window.board.machine_pane import MachinePane
from trainer.window.painting.canvas import Canvas
from trainer.window.painting.look import Look

__all__ = ["ClassMachine", "MachineFigures"]

_NAME, _FIGURE = 36.0, 46.0  # sizes of type [board px]
_EDGE, _CELL, _ROW = 16.0, 212.0, 112.0  # left edge; width and height of a figure with its name [board px]
_COVER = (120.0, 40.0)


class ClassMachine(MachinePane):
    """The machine with the names of its views; figures, which would be too small here, are ``MachineFigures``."""

    def _live(self) -> DrawList:
        return [shape for shape in super()._live() if not isinstance(shape, Words)]


class MachineFigures(QWidget):
    """What is measured on the machine, each figure below its name. ``covered``: names and units only."""

    def __init__(self, look: Look, machine: ClassMachine, parent: QWidget) -> None:
        super().__init__(parent)
        self.look, self.machine = look, machine
        self.covered = False
        self._rows: list[tuple[str, str, str]] = []
        self.canvas = Canvas(self, look, live=self._shapes)
        self.setObjectName("machine figures")

    def take(self, live: Live) -> None:
        """Take the figures of an instant."""
        view = self.machine.view
        rows = view.rows(view.pose(live), self.look.system) if view.exists else []
        if rows != self._rows:
            self._rows = rows
            self._tell()
            self.update()

    def cover(self, covered: bool) -> None:
        """Cover the figures, or show them again."""
        if covered != self.covered:
            self.covered = covered
            self._tell()
            self.update()

    def _tell(self) -> None:
        told = (name if self.covered else f"{name} {figure} {unit}" for name, figure, unit in self._rows)
        self.setAccessibleDescription(", ".join(told))

    def _across(self, width: float) -> int:
        return max(int((width - _EDGE) / _CELL), 1)

    def height_board(self, width: float) -> float:
        """Return the height that they need in a width [board px]."""
        across = self._across(width)
        return _ROW * -(-len(self._rows) // across) if self._rows else 0.0

    def _shapes(self) -> list[Shape]:
        across = self._across(self.width() / self.look.scale)
        shapes: list[Shape] = []
        for k, (name, figure, unit) in enumerate(self._rows):
            row, column = divmod(k, across)
            x, y = _EDGE + column * _CELL, row * _ROW
            shapes.append(Words(x, y + 36.0, name, _NAME, "ink2"))
            base = y + 84.0
            if self.covered:
                wide, high = _COVER
                box = ((x, base - high), (x + wide, base - high), (x + wide, base + 4.0), (x, base + 4.0))
                shapes.append(Path(box, "ink", 2.5, "cover", closed=True, hatch="cover-hatch"))
                continue
            shapes.append(Words(x, base, f"{figure} {unit}".rstrip(), _FIGURE, weight=600))
        return shapes

    def paintEvent(self, event: QPaintEvent) -> None:
        self.canvas.paint()
