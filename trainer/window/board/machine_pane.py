"""The machine beside its circuit, or instead of it: the same instant in its views and numbers."""

from __future__ import annotations

from PySide6.QtCore import Signal
from PySide6.QtGui import QPaintEvent
from PySide6.QtWidgets import QWidget

from trainer.drawing.machine import MachineView
from trainer.drawing.shapes import DrawList
from trainer.drawing.theme import THEMES
from trainer.language import tr
from trainer.rig.live import Live
from trainer.rig.rig import Rig
from trainer.window.painting.canvas import Canvas
from trainer.window.painting.figures import SteadyFigures
from trainer.window.painting.look import Look

__all__ = ["MachinePane"]

_MARGIN = 12.0  # board px
_LARGEST = 1.9  # zoom


class MachinePane(QWidget):
    """Fits the views of the machine into the widget, tall, wide or low, whichever shows them larger.

    ``painted`` tells of the first frame.
    """

    painted = Signal()

    def __init__(self, look: Look, rig: Rig, live: Live, parent: QWidget) -> None:
        super().__init__(parent)
        self.look = look
        self.rig = rig
        self.readings = live
        self._views: dict[tuple[str, str], MachineView] = {}
        self._steady = SteadyFigures()
        self._was_painted = False
        self.exists = MachineView(rig).exists
        self.canvas = Canvas(self, look, self._still, self._live, self.placing)
        self.setObjectName("machine")
        self.setAccessibleName(tr("Machine of {title}").format(title=rig.title))

    @property
    def view(self) -> MachineView:
        """The views in the present theme, in the arrangement that is larger here."""
        return max(map(self._made, ("tall", "wide", "low")), key=self._zoom)

    def _made(self, arranged: str) -> MachineView:
        key = (self.look.theme, arranged)
        if key not in self._views:
            self._views[key] = MachineView(self.rig, THEMES[self.look.theme], arranged)
        return self._views[key]

    def _zoom(self, view: MachineView) -> float:
        margin = 2 * _MARGIN * self.look.scale
        across, down = max(self.width() - margin, 1.0), max(self.height() - margin, 1.0)
        return min(across / view.size[0], down / view.size[1], _LARGEST * self.look.scale)

    def placing(self) -> tuple[float, tuple[float, float]]:
        """Return zoom and origin that fit the views into the widget."""
        view = self.view
        zoom = self._zoom(view)
        x, y = (self.width() - view.size[0] * zoom) / 2, (self.height() - view.size[1] * zoom) / 2
        return zoom, (round(x * 2) / 2, round(y * 2) / 2)

    def show_instant(self, live: Live) -> None:
        """Show one instant."""
        self.readings = live
        self.update()

    def take_figures(self) -> None:
        """Let the next frame print the figures of its instant."""
        self._steady.take()
        self.update()

    def _still(self) -> DrawList:
        return self.view.still()

    def _live(self) -> DrawList:
        return self._steady.of(self.view.live(self.readings, self.look.system))

    def paintEvent(self, event: QPaintEvent) -> None:
        self.canvas.paint()
        if not self._was_painted:
            self._was_painted = True
            self.painted.emit()
