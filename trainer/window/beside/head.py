"""Over each drawing: which rig it is, and what of it is not as in its file; the ramp of pressures of both."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import Qt
from PySide6.QtGui import QPaintEvent
from PySide6.QtWidgets import QWidget

from trainer.drawing.legend import upright
from trainer.drawing.shapes import DrawList, Shape, Words
from trainer.drawing.theme import THEMES
from trainer.window.beside import shapes
from trainer.window.painting.canvas import Canvas
from trainer.window.painting.look import Look

__all__ = ["HEIGHT", "LINE", "RAMP", "RampView", "SideHead"]

RAMP_SIZE = 27.0  # of its type [board px]
RAMP = (168.0, 256.0)  # width and height of the ramp [board px]

HEIGHT, LINE = 58.0, 46.0  # of one line, of what a second one needs more [board px]
_TITLE, _TOLD = 40.0, 36.0
_EDGE, _TEXT = 28.0, 86.0


class SideHead(QWidget):
    """The head of one side, 0 or 1, in one line, in two where something is not as in the rig's file."""

    def __init__(self, look: Look, side: int, title: str, parent: QWidget) -> None:
        super().__init__(parent)
        self.look, self.side, self.title = look, side, title
        self.differs: Sequence[str] = ()
        self.canvas = Canvas(self, look, self._still)
        self.setAccessibleName(f"{side + 1}: {title}")

    def show_differs(self, differs: Sequence[str]) -> None:
        """Say what of the rig is not as in its file."""
        if differs != self.differs:
            self.differs = differs
            self.setAccessibleDescription("; ".join(differs))
            self.canvas.forget()
            self.update()

    def _still(self) -> DrawList:
        room = self.width() / self.look.scale - _TEXT - _EDGE
        title = shapes.fitted(self.title, _TITLE, room, 600)
        found: list[Shape] = [*shapes.disc(_EDGE + 22.0, 30.0, self.side, 21.0)]
        found.append(Words(_TEXT, 44.0, title, _TITLE, weight=600))
        if self.differs:
            told = shapes.changed(self.differs, _TOLD, room)
            found.append(Words(_TEXT, 44.0 + LINE, told, _TOLD, "ink2"))
        return found

    def paintEvent(self, event: QPaintEvent) -> None:
        self.canvas.paint()


class RampView(QWidget):
    """The ramp of pressures of both drawings; ``pressure_step`` in Pa."""

    def __init__(self, look: Look, pressure_step: float, parent: QWidget) -> None:
        super().__init__(parent)
        self.look, self.pressure_step = look, pressure_step
        self.canvas = Canvas(self, look, self._still)
        self.setAttribute(Qt.WidgetAttribute.WA_TransparentForMouseEvents)

    def _still(self) -> DrawList:
        return upright(THEMES[self.look.theme], self.look.system, self.pressure_step, RAMP_SIZE)

    def paintEvent(self, event: QPaintEvent) -> None:
        self.canvas.paint()
