"""Settings with a few steps: a load in the grapple, a switch, a float detent."""

from __future__ import annotations

from PySide6.QtCore import Signal
from PySide6.QtGui import QPaintEvent
from PySide6.QtWidgets import QWidget

from trainer import units
from trainer.drawing.shapes import DrawList, Words
from trainer.language import tr
from trainer.operating.motions import StepMotion
from trainer.parts.part import Control
from trainer.units import System
from trainer.window.controls.buttons import WordButton
from trainer.window.controls.tips import set_tip
from trainer.window.painting import fonts
from trainer.window.painting.canvas import Canvas
from trainer.window.painting.look import Look

__all__ = ["StepsView", "Switch", "steps_of"]

_LOADS = {  # round in the units that are shown [kg], and within 5 % of each other: a spec sheet asks for one of them
    System.METRIC: (0.0, 150.0, 250.0, 500.0),
    System.US: tuple(pounds * units.UNITS["lb"].factor for pounds in (0.0, 330.0, 550.0, 1100.0)),
}
_TEXT = 15.4


def steps_of(control: Control, system: System) -> tuple[float, ...]:
    """Return the steps that are offered of a control [SI], round in the units of a system."""
    if control.quantity == "mass" and control.low <= 0.0 and control.high >= _LOADS[system][-1]:
        return _LOADS[system]
    return tuple(control.low + (control.high - control.low) * k / 3 for k in range(4))


class Switch(WordButton):
    """A word that is on or off, for a control of 0 or 1. ``moved`` tells of a click."""

    moved = Signal()

    def __init__(self, look: Look, motion: StepMotion, word: str, name: str, tip: str, parent: QWidget) -> None:
        super().__init__(look, word, name, tip, parent, checkable=True, size=_TEXT)
        self.motion = motion
        self.clicked.connect(self._clicked)
        self.show_value()

    def _clicked(self) -> None:
        self.motion.set_exactly(1.0 if self.isChecked() else 0.0)
        self.moved.emit()

    def show_value(self) -> None:
        """Bring the button in step with the motion."""
        self.setChecked(self.motion.value > 0.5)


class StepsView(QWidget):
    """A row of steps with the name of what they set."""

    moved = Signal()

    def __init__(
        self, look: Look, motion: StepMotion, name: str, control: Control, key: str, parent: QWidget
    ) -> None:
        super().__init__(parent)
        self.look = look
        self.motion = motion
        self.name = name
        self.control = control
        self.quantity = control.quantity
        self.canvas = Canvas(self, look, self._still)
        self.setObjectName(f"steps {key}")
        self.setAccessibleName(control.meaning)
        self.choices = [WordButton(look, "", "", "", self, checkable=True, size=_TEXT) for _ in self._steps()]
        for button in self.choices:
            button.clicked.connect(self._clicked)
        self._word()
        self.show_value()

    def _steps(self) -> tuple[float, ...]:
        return steps_of(self.control, self.look.system)

    @property
    def buttons(self) -> dict[float, WordButton]:
        """The buttons by the step [SI] that each sets."""
        return dict(zip(self._steps(), self.choices, strict=True))

    def _word(self) -> None:
        """Write what each button sets, in the present units."""
        for step, button in self.buttons.items():
            figures, unit = units.text(step, self.quantity, self.look.system, 0)
            said = f"{self.control.meaning}: {figures} {unit}"
            button.setText(figures)
            button.setAccessibleName(said)
            set_tip(button, tr("{said}  (L, the next one)").format(said=said))

    def _clicked(self) -> None:
        for step, button in self.buttons.items():
            if button is self.sender():
                self.motion.set_exactly(step)
        self.show_value()
        self.moved.emit()

    def next(self, way: int) -> None:
        """Go to the next step, or to the one before; after the last comes the first."""
        steps = list(self.buttons)
        at = min(range(len(steps)), key=lambda k: abs(steps[k] - self.motion.value))
        self.motion.set_exactly(steps[(at + way) % len(steps)])
        self.show_value()
        self.moved.emit()

    def show_value(self) -> None:
        """Mark the step that is asked for."""
        for step, button in self.buttons.items():
            chosen = abs(step - self.motion.value) < 1e-6
            if button.isChecked() != chosen:
                button.setChecked(chosen)

    @property
    def title(self) -> str:
        """The name and the unit."""
        return f"{self.name}, {units.shown_unit(self.quantity, self.look.system).pretty}"

    def lay_out(self) -> float:
        """Place the steps after the name; return the width that they need [px]."""
        self._word()
        self.show_value()
        pixels = self.look.pixels(_TEXT)
        left = fonts.metrics(pixels, 600).horizontalAdvance(self.title) + 4 * self.look.scale
        for button in self.choices:
            size = button.sizeHint()
            button.setGeometry(round(left), 0, size.width(), self.height())
            left += size.width()
        return left

    def _still(self) -> DrawList:
        baseline = self.height() / self.look.scale / 2 + 0.33 * max(_TEXT, self.look.least)
        return [Words(0.0, baseline, self.title, _TEXT, weight=600)]

    def paintEvent(self, event: QPaintEvent) -> None:
        self.canvas.paint()
