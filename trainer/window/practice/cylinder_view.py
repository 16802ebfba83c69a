"""The cylinder of a bench, large: its rod and weight where they are, the mark to stop at with its tolerance."""

from __future__ import annotations

from PySide6.QtGui import QPaintEvent
from PySide6.QtWidgets import QWidget

from trainer import units
from trainer.drawing.shapes import DrawList, Path, Shape, Words
from trainer.language import tr
from trainer.parts.roles import Actuator
from trainer.rig.rig import Rig
from trainer.window.painting.canvas import Canvas
from trainer.window.painting.look import Look
from trainer.window.practice.machine_run import MachineModel, cover_shapes

__all__ = ["CylinderRun"]

_SMALL = 18.4


def _first(rig: Rig) -> tuple[str, str, float] | None:
    """Return the first cylinder: id, line of its rod, stroke [m]."""
    for id_, role in rig.having(Actuator).items():
        if role.linear and role.stroke:
            return id_, rig.line_of(id_, role.output).name, rig.value(id_, role.stroke)
    return None


class CylinderRun(QWidget):
    """An upright cylinder with what it carries."""

    def __init__(self, look: Look, model: MachineModel, parent: QWidget) -> None:
        super().__init__(parent)
        self.look, self.model = look, model
        self.cylinder = _first(model.rig)
        self.canvas = Canvas(self, look, self._still, self._live)
        self.setAccessibleName(tr("The cylinder and what it carries"))

    def show_instant(self) -> None:
        """Show the model's instant."""
        self.update()

    def _size(self) -> tuple[float, float]:
        return self.width() / self.look.scale, self.height() / self.look.scale

    def _measures(self) -> tuple[float, float, float]:
        """Return the middle, the height of the foot, and how far the rod goes [board px]."""
        wide, high = self._size()
        return 0.42 * wide, high - 30.0, max((high - 166.0) / 2, 30.0)

    def _still(self) -> DrawList:
        wide, high = self._size()
        if self.model.covered:
            return cover_shapes(wide, high, tr("the weight is covered"))
        if self.cylinder is None:
            return ()
        x, foot, way = self._measures()
        top = foot - way - 44.0
        barrel = ((x - 34, foot), (x - 34, top), (x + 34, top), (x + 34, foot))
        shapes: list[Shape] = [
            Path(((x - 90, foot), (x + 90, foot)), "ink", 3.0),
            Path(barrel, "ink", 2.5, "cell", True),
        ]
        every = next(n for n in (1, 2, 4) if n == 4 or n * way / 4 > 0.95 * self.look.size(_SMALL))  # numerals
        for k in range(5):
            y = top - way * k / 4 - 22.0
            shapes.append(Path(((x + 108.0, y), (x + 122.0, y)), "ink2", 1.5))
            figure, unit = units.text(self.cylinder[2] * k / 4, "length", self.look.system)
            words = f"{figure} {unit}" if k == 4 else figure
            if k % every == 0:
                shapes.append(Words(x + 130.0, y + 6.0, words, _SMALL, "ink2"))
        shapes.append(Path(((x + 115.0, top - 22.0), (x + 115.0, top - way - 22.0)), "ink2", 1.5))
        return [*shapes, *self._target(x, top, way)]

    def _target(self, x: float, top: float, way: float) -> list[Shape]:
        """Return the band that is asked for: white, its middle dashed, ticks at its ends."""
        found = self.model.target()
        if found is None or not self.model.aims or self.cylinder is None:
            return []
        _, target, within = found
        stroke = self.cylinder[2]
        y, low, high = (top - 22.0 - way * place / stroke for place in (target, target - within, target + within))
        box = ((x - 120, low), (x + 115, low), (x + 115, high), (x - 120, high))
        return [
            Path(box, "ink", 1.5, "cell", True),
            Path(((x - 120, y), (x + 115, y)), "ink", 1.5, dash=(5.0, 4.0)),
            Words(x - 128.0, y + 6.0, tr("mark"), _SMALL, "ink2", align="right"),
        ]

    def _live(self) -> DrawList:
        if self.model.covered or self.cylinder is None:
            return ()
        _, line, stroke = self.cylinder
        x, foot, way = self._measures()
        share = min(max(self.model.live.place(line) / stroke, 0.0), 1.0)
        end = foot - way - 44.0
        piston, rod = foot - 16.0 - way * share, end - 22.0 - way * share
        block = ((x - 78, rod), (x - 78, rod - 62), (x + 78, rod - 62), (x + 78, rod))
        return [
            Path(((x - 31, piston), (x + 31, piston)), "ink", 12.0),
            Path(((x, piston), (x, rod)), "ink", 15.0),
            Path(block, "accent", 2.5, "accent-pale", True),
        ]

    def paintEvent(self, event: QPaintEvent) -> None:
        self.canvas.paint()
