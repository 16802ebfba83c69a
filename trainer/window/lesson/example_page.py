"""A task worked out with other numbers: step by step, then with the later steps left to the learner."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QHBoxLayout, QVBoxLayout, QWidget

from trainer.language import tr
from trainer.lessons.example import ExampleStep, blanks
from trainer.lessons.flow import Step
from trainer.lessons.marking import UnusableAnswer
from trainer.lessons.posing import Posed
from trainer.window.controls.labels import Label
from trainer.window.lesson.forms import TEXT, EntryLine
from trainer.window.lesson.pages import HEAD, SMALL, Page, Rule
from trainer.window.lesson.said import Tick
from trainer.window.painting.look import Look

__all__ = ["ExamplePage"]

_TRIES = 2  # wrong numbers after which a step is shown


class StepView(QWidget):
    """One step: its name, the formula and what its letters are; numbers and result, or a line for the result."""

    def __init__(self, look: Look, step: ExampleStep, blank: bool, known: set[str], parent: QWidget) -> None:
        super().__init__(parent)
        self.look, self.step, self.done, self.misses = look, step, not blank, 0
        self.column = QVBoxLayout(self)
        self.column.setContentsMargins(0, 0, 0, 0)
        self.column.setSpacing(1)
        self.column.addWidget(Rule(look, self))
        self.column.addWidget(Label(look, step.name, self, size=TEXT, weight=600))
        self.column.addWidget(Label(look, step.formula, self, size=TEXT))
        given = "; ".join(
            f"{one.letter}: {one.source}"
            if blank and one.shown in known
            else f"{one.letter} = {one.shown}, {one.source}"
            for one in step.given
        )
        self.column.addWidget(Label(look, given, self, size=SMALL, ink="ink2"))
        self.filled = Label(look, step.filled, self, size=SMALL)
        self.result = Label(look, step.result, self, size=TEXT, weight=600)
        self.column.addWidget(self.filled)
        self.column.addWidget(self.result)
        self.line = EntryLine(look, tr("{name}, in {unit}").format(name=step.name, unit=step.unit.pretty), TEXT, self)
        self.tick = Tick(look, self)
        row = QHBoxLayout()
        row.addWidget(self.line, 1)
        row.addWidget(Label(look, step.unit.pretty, self, size=TEXT, ink="ink2", wraps=False))
        row.addStretch(1)
        self.entry = QWidget(self)
        self.entry.setLayout(row)
        row.setContentsMargins(0, 0, 0, 0)
        self.column.addWidget(self.entry)
        self.column.addWidget(self.tick)
        self.told = Label(look, "", self, size=SMALL)
        self.column.addWidget(self.told)
        self._show()

    def _show(self) -> None:
        self.filled.setVisible(self.done)
        self.result.setVisible(self.done)
        self.entry.setVisible(not self.done)
        self.tick.setVisible(self.done and self.line.text() != "" and self.misses < _TRIES)
        self.told.setVisible(bool(self.told.text()))

    def check(self) -> bool:
        """Take the number that is written; return whether the step is done: right, or shown after some others."""
        if self.done:
            return True
        try:
            met = self.step.met(self.line.text(), self.look.system)
        except UnusableAnswer as error:
            self.told.setText(str(error))
            self._show()
            return False
        self.misses += not met
        self.done = met or self.misses >= _TRIES
        again = tr("Not yet: put the numbers into {formula}.").format(formula=self.step.formula)
        self.told.setText("" if self.done else again)
        self._show()
        return self.done


class ExamplePage(Page):
    """An example. ``half``: its later steps are to be filled in, otherwise one after the other is shown.

    ``changed`` tells that something else comes next.
    """

    step = Step.PREDICT
    changed = Signal()

    def __init__(self, look: Look, posed: Posed, steps: Sequence[ExampleStep], half: bool, parent: QWidget) -> None:
        super().__init__(look, parent)
        self.half = half
        self.say(tr("An example with other numbers"), size=HEAD, weight=600)
        self.say(posed.situation(look.system))
        self.say(posed.question(look.system), weight=600)
        left = blanks(len(steps)) if half else ()
        known = {one.result.partition("=")[2].strip() for one in steps}
        self.steps = [StepView(look, one, k in left, known, self) for k, one in enumerate(steps)]
        for k, view in enumerate(self.steps):
            self.column.addWidget(view)
            view.setVisible(half or k == 0)
            view.line.returnPressed.connect(self.go_on)
        self.column.addStretch(1)
        self.setAccessibleDescription(posed.situation(look.system))

    @property
    def over(self) -> bool:
        """Whether all of it is shown, and filled in."""
        return all(view.done and not view.isHidden() for view in self.steps)

    @property
    def onward(self) -> str:
        """What comes next, for the button."""
        if not self.over:
            return tr("Check") if self.half else tr("Next step")
        return tr("Now alone") if self.half else tr("Now half of it")

    def go_on(self) -> None:
        """Show the next step, or check the number that is written."""
        hidden = [view for view in self.steps if view.isHidden()]
        if hidden:
            hidden[0].show()
        else:
            next((view for view in self.steps if not view.done), self.steps[-1]).check()
        self.focus()
        self.changed.emit()

    def latest(self) -> QWidget:
        """Return the step that is to be seen."""
        return next((view for view in self.steps if not view.done), [v for v in self.steps if not v.isHidden()][-1])

    def focus(self) -> bool:
        """Give the keyboard to the first line that is to be filled."""
        wanted = next((view for view in self.steps if not view.done), None)
        if wanted is None:
            return False
        wanted.line.setFocus(Qt.FocusReason.OtherFocusReason)
        return True
