"""The dials of the rig's instruments: damped needles, figures eight times a second, covers."""

from __future__ import annotations

import math
from collections.abc import Mapping

from PySide6.QtCore import QEvent, QRect, Qt, Signal
from PySide6.QtGui import QKeyEvent, QMouseEvent, QPaintEvent
from PySide6.QtWidgets import QWidget

from trainer import units
from trainer.drawing.instruments import Dial, dial_live, dial_still
from trainer.drawing.live import Live
from trainer.drawing.shapes import DrawList
from trainer.rig import Instrument, Rig
from trainer.window.canvas import Canvas
from trainer.window.look import Look

__all__ = ["DialView", "DialsView", "reading", "relief_of"]

DAMPING = 0.15  # time constant of a needle [s of the watcher's time]
WIPE = 0.3  # seconds to uncover


def reading(instrument: Instrument, live: Live) -> float:
    """Return what an instrument reads now [SI; C for a thermometer]; a flow leaving its port counts forward."""
    if instrument.kind == "gauge":
        return live.pressure(instrument.on)
    if instrument.kind == "flow meter":
        part, _, port = instrument.on.partition(".")
        return -live.flow(part, port)
    if instrument.kind == "tachometer":
        return live.speed(instrument.on)
    return live.temperature


def relief_of(rig: Rig, instrument: Instrument) -> str | None:
    """Return the relief valve whose inlet is on a gauge's line, or None."""
    if instrument.kind != "gauge":
        return None
    for part, port in rig.lines[instrument.on].joins:
        if rig.parts[part].part.symbol == "relief" and port == "P":
            return part
    return None


class DialView(QWidget):
    """One dial. Enter or a click covers it and uncovers it."""

    asked = Signal()

    def __init__(self, look: Look, rig: Rig, instrument: Instrument, place: int, parent: QWidget) -> None:
        super().__init__(parent)
        self.look = look
        self.instrument = instrument
        self.relief = relief_of(rig, instrument)
        self.canvas = Canvas(self, look, self._still, self._live)
        self.width_board, self.lines, self.step = 149.0, 1, 3e6
        self.needle = self.shown = self.value = 0.0
        self.setting: float | None = None
        self.covered = False
        self.cover = 0.0
        self.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        self.setObjectName(f"dial {instrument.name}")
        self.setAccessibleName(f"{instrument.kind} {instrument.name}, {instrument.label}".rstrip(", "))
        key = f"  (Alt+{place})" if place <= 9 else ""
        self.setToolTip(f"{instrument.name}: click to cover or uncover{key}")
        self._said = ""

    @property
    def dial(self) -> Dial:
        """The dial as data, at the present look."""
        return Dial(self.instrument, self.look.system, self.width_board, self.step, self.look.least, self.lines)

    def set_covered(self, covered: bool, at_once: bool = False) -> None:
        """Cover or uncover; uncovering wipes from left to right unless ``at_once``."""
        self.covered = covered
        if covered or at_once:
            self.cover = 1.0 if covered else 0.0
        if covered:
            self.needle = 0.0
        self.say()
        self.update()

    def read(self, live: Live, seconds: float) -> bool:
        """Take the present reading; the needle follows by its damping. Return whether there is something to paint."""
        before = (self.needle, self.cover, self.setting)
        self.value = reading(self.instrument, live)
        if self.relief is not None:
            self.setting = live.parameter(self.relief, "setting")
        if not self.covered and self.cover > 0.0:
            self.cover = max(self.cover - seconds / WIPE, 0.0)
        if math.isfinite(self.value):
            gap = (self.value - self.needle) * -math.expm1(-seconds / DAMPING)
            if abs(gap) > 2e-5 * self.instrument.range_ or seconds >= 1.0:
                self.needle += gap
        return before != (self.needle, self.cover, self.setting) and not (self.covered and self.cover == before[1])

    def settle(self) -> None:
        """Put the needle and the figure at the reading at once."""
        self.needle = self.shown = self.value
        self.say()

    def say(self) -> None:
        """Print the reading, and give it to assistive software."""
        self.shown = self.value
        dial = self.dial
        said = "covered" if self.covered else f"{dial.figures(self.shown)} {dial.scale.symbol}"
        if said != self._said:
            self._said = said
            self.update()
            self.setAccessibleDescription(said)

    def _still(self) -> DrawList:
        return dial_still(self.dial)

    def _live(self) -> DrawList:
        return dial_live(self.dial, self.needle, self.shown, self.cover, self.setting)

    def paintEvent(self, event: QPaintEvent) -> None:
        self.canvas.paint()

    def mousePressEvent(self, event: QMouseEvent) -> None:
        if event.button() == Qt.MouseButton.LeftButton:
            self.asked.emit()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter) and not event.isAutoRepeat():
            self.asked.emit()
        else:
            super().keyPressEvent(event)


class DialsView(QWidget):
    """All dials of a rig in rows of up to four. ``changed`` is told when one is covered or uncovered."""

    changed = Signal()

    def __init__(self, look: Look, rig: Rig, step: float, parent: QWidget) -> None:
        super().__init__(parent)
        self.look = look
        self.canvas = Canvas(self, look)
        self.dials: list[DialView] = []
        for place, instrument in enumerate(rig.instruments.values(), 1):
            view = DialView(look, rig, instrument, place, self)
            view.step = step
            view.asked.connect(self._asked)
            self.dials.append(view)
        self.setAccessibleName("Instruments")

    def _asked(self) -> None:
        view = self.sender()
        if isinstance(view, DialView):
            view.set_covered(not view.covered)
            self.changed.emit()

    def toggle(self, place: int) -> None:
        """Cover or uncover the dial at a place, from 1; nothing where there is none."""
        if 1 <= place <= len(self.dials):
            view = self.dials[place - 1]
            view.set_covered(not view.covered)
            self.changed.emit()

    def toggle_all(self) -> None:
        """Cover all, or uncover all where all are covered."""
        covered = not all(view.covered for view in self.dials)
        for view in self.dials:
            view.set_covered(covered)
        self.changed.emit()

    @property
    def per_row(self) -> int:
        """Dials in a row."""
        count = len(self.dials)
        return max(1, math.ceil(count / math.ceil(count / 4))) if count else 1

    def height_board(self) -> float:
        """The height that the dials need [board px]."""
        if not self.dials:
            return 0.0
        width, lines = self._shape()
        rows = math.ceil(len(self.dials) / self.per_row)
        dial = self.dials[0].instrument
        return rows * max(Dial(dial, self.look.system, width, 3e6, self.look.least, lines).height, 1.0)

    def _shape(self) -> tuple[float, int]:
        return 448.0 / max(self.per_row, 3), 2 if self.per_row > 3 else 1

    def lay_out(self) -> None:
        """Place the dials in the widget."""
        width, lines = self._shape()
        rows = math.ceil(len(self.dials) / self.per_row) if self.dials else 1
        for k, view in enumerate(self.dials):
            view.width_board, view.lines = width, lines
            row, column = divmod(k, self.per_row)
            left, right = (round((column + i) * width * self.look.scale) for i in (0, 1))
            top, bottom = (round((row + i) * self.height() / rows) for i in (0, 1))
            view.setGeometry(QRect(left, top, right - left, bottom - top))
            view.canvas.forget()

    def read(self, live: Live, seconds: float) -> None:
        """Take all readings."""
        for view in self.dials:
            if view.read(live, seconds):
                view.update()

    def snapshot(self) -> Mapping[str, object]:
        """Return (figures, unit) by instrument; None where covered."""
        return {
            view.instrument.name: None
            if view.covered
            else units.text(view.shown, view.dial.quantity, self.look.system, view.dial.scale.decimals)
            for view in self.dials
        }

    def paintEvent(self, event: QPaintEvent) -> None:
        self.canvas.paint()

    def changeEvent(self, event: QEvent) -> None:
        super().changeEvent(event)
