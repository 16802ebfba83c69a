"""The figures of both rigs in pairs, and where the power of each goes."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtGui import QPaintEvent
from PySide6.QtWidgets import QWidget

from trainer.drawing.shapes import DrawList, Path, Shape
from trainer.drawing.symbols.symbol import moved
from trainer.language import tr
from trainer.pairing.figures import QUANTITIES, STYLES, Figures, Gauge, Scales, style_words
from trainer.window.beside import shapes
from trainer.window.controls.tips import set_tip
from trainer.window.painting.canvas import Canvas
from trainer.window.painting.look import Look

__all__ = ["BandView", "PowerView"]

_EDGE = 28.0  # board px


class BandView(QWidget):
    """Six figures in blocks, so many of them across; of each the first rig's bar stands over the second's."""

    def __init__(self, look: Look, scales: Scales, parent: QWidget) -> None:
        super().__init__(parent)
        self.look, self.scales = look, scales
        self.across = 6
        self.figures: Sequence[Figures] = ()
        self._ends: object = None
        self.canvas = Canvas(self, look, self._still, self._live)
        self.setAccessibleName(tr("Figures of both rigs"))
        set_tip(
            self,
            tr(
                "Pressure and delivery are those at the pump, input is what the drive pays. To the load and heat are "
                "what becomes of the power, as in the power ledger."
            ),
        )

    def height_board(self) -> float:
        """Return the height that it needs [board px]."""
        return shapes.BLOCK * -(-len(QUANTITIES) // self.across)

    def take(self, figures: Sequence[Figures]) -> None:
        """Show what is measured of both."""
        self.figures = figures
        system = self.look.system
        ends = tuple(self.scales.ends(quantity, system) for _, quantity in QUANTITIES.values())
        if ends != self._ends:
            self._ends = ends
            self.canvas.forget()
        told = []
        for name, (title, quantity) in QUANTITIES.items():
            unit = self.scales.unit(quantity, system).pretty
            both = " : ".join(one.texts[name] for one in figures)
            told.append(f"{tr(title)} {both} {unit}")
        self.setAccessibleDescription(", ".join(told))
        self.update()

    def _places(self) -> list[tuple[str, float, float, float]]:
        """Return name, left, top and width of each block [board px]."""
        left = _EDGE + shapes.INDENT
        wide = (self.width() / self.look.scale - left - _EDGE + 26.0) / self.across
        return [
            (name, left + k % self.across * wide, shapes.BLOCK * (k // self.across), wide)
            for k, name in enumerate(QUANTITIES)
        ]

    def _still(self) -> DrawList:
        found: list[Shape] = [Path(((0.0, 1.0), (self.width() / self.look.scale, 1.0)), "hairline", 2.0)]
        for row in range(-(-len(QUANTITIES) // self.across)):
            found += shapes.block_signs(_EDGE, shapes.BLOCK * row)
        for name, x, y, wide in self._places():
            found += shapes.block_still(name, self.scales, self.look.system, x, y, wide)
        return found

    def _live(self) -> DrawList:
        found: list[Shape] = []
        for name, x, y, wide in self._places():
            found += shapes.block_live(name, self.figures, self.scales, self.look.system, x, y, wide)
        return found

    def paintEvent(self, event: QPaintEvent) -> None:
        self.canvas.paint()


class PowerView(QWidget):
    """What is paid in of both rigs as bars on one scale, parted into what it goes into."""

    def __init__(self, look: Look, gauges: Sequence[Gauge], scales: Scales, parent: QWidget) -> None:
        super().__init__(parent)
        self.look, self.scales = look, scales
        self.styles = [style for style in STYLES if any(style in gauge.styles for gauge in gauges)]
        self.figures: Sequence[Figures] = ()
        self.canvas = Canvas(self, look, self._still, self._live)
        self.setAccessibleName(tr("Where the power goes, of both rigs"))
        set_tip(
            self,
            tr("What is paid in, by the drive and what comes down, and what it goes into, on one scale"),
        )

    def height_board(self, wide: float) -> float:
        """Return the height that it needs in a width [board px]."""
        return 2 * shapes.ROW + shapes.legend_height(self.styles, wide - 2 * _EDGE) + 8.0

    def take(self, figures: Sequence[Figures]) -> None:
        """Show where the power of both goes."""
        self.figures = figures
        told = []
        for one in figures:
            parts = (f"{style_words(style)} {text}" for style, text in one.share_texts.items() if one.shares[style])
            told.append(f"{one.total_text}: {', '.join(parts)}")
        self.setAccessibleDescription("; ".join(told))
        self.update()

    @property
    def _wide(self) -> float:
        return self.width() / self.look.scale - 2 * _EDGE

    def _still(self) -> DrawList:
        found: list[Shape] = [Path(((0.0, 1.0), (self._wide + 2 * _EDGE, 1.0)), "hairline", 2.0)]
        return [*found, *_moved(shapes.legend(self.styles, 2 * shapes.ROW + 2.0, self._wide))]

    def _live(self) -> DrawList:
        found: list[Shape] = []
        for side, one in enumerate(self.figures):
            y = 2.0 + side * shapes.ROW
            found += shapes.power_row(one, side, self.scales, self.look.system, y, self._wide)
        return _moved(found)

    def paintEvent(self, event: QPaintEvent) -> None:
        self.canvas.paint()


def _moved(found: DrawList) -> DrawList:
    """Return shapes as far right as the blocks above begin."""
    return [moved(shape, _EDGE, 0.0) for shape in found]
