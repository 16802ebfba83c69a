"""Answers that are given with the hands on the machine: a relief that is set, a reading that counts."""

from __future__ import annotations

import contextlib
from collections.abc import Callable, Collection
from dataclasses import dataclass

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QWidget

from trainer import units
from trainer.drawing.instruments import QUANTITIES
from trainer.engine.session import Session
from trainer.language import tr
from trainer.lessons.lesson import Counts, Relief
from trainer.lessons.marking import Answer, ReliefWork, SheetReading, UnusableAnswer, as_written, written
from trainer.lessons.posing import Posed
from trainer.parts.roles import PressureLimiter, Pump
from trainer.rig.live import Live
from trainer.rig.rig import Rig
from trainer.window.controls.buttons import WordButton
from trainer.window.controls.labels import Label
from trainer.window.dials.dials import DialView
from trainer.window.lesson.forms import TEXT, Form, State
from trainer.window.painting.look import Look

__all__ = ["CountsForm", "Hands", "HandsForm", "ReliefForm", "ReliefWatch"]

_BLOWS, _FULL = 0.05, 0.9  # shares of the pumps' oil from which a relief blows, and takes all of it


@dataclass(frozen=True, slots=True)
class Hands:
    """What hands are on: the session, dials by name, names of screws whose nuts are loose, the screw of a part."""

    session: Callable[[], Session]
    dial: Callable[[str], DialView | None]
    loose: Callable[[], Collection[str]]
    show_part: Callable[[str], None]


def share_over(rig: Rig, part: str, live: Live) -> float:
    """Return which share of the pumps' oil goes into a relief."""
    role = rig.role(part, PressureLimiter)
    pumped = sum(abs(live.flow(id_, end)) for id_, pump in rig.having(Pump).items() for end in pump.outlets)
    return abs(live.flow(part, role.inlet)) / pumped if pumped > 0 else 0.0


class ReliefWatch:
    """Follows how a relief is set: how low its screw was, whether it came up last, how long it blew at a stretch."""

    def __init__(self, part: str) -> None:
        self.part = part
        self.lowest: float | None = None
        self.setting: float | None = None
        self.rising = False
        self.longest = self._since = 0.0
        self._time: float | None = None

    def see(self, rig: Rig, live: Live) -> None:
        """Take another instant."""
        setting = live.parameter(self.part, "setting")
        if self.setting is not None and setting != self.setting:
            self.rising = setting > self.setting
        self.lowest = setting if self.lowest is None else min(self.lowest, setting)
        self.setting = setting
        passed = live.time - self._time if self._time is not None else 0.0
        self._time = live.time
        if share_over(rig, self.part, live) > _BLOWS:
            self._since += max(passed, 0.0)
            self.longest = max(self.longest, self._since)
        else:
            self._since = 0.0

    @property
    def backed_off(self) -> bool:
        """Whether the screw was backed off and brought up from below."""
        return self.rising and self.lowest is not None and self.setting is not None and self.lowest < self.setting


class HandsForm(Form):
    """Base: what to do in words, a button that takes the reading, and what was taken."""

    instrument = ""

    def __init__(self, look: Look, posed: Posed, hands: Hands, parent: QWidget) -> None:
        super().__init__(look, posed, parent)
        self.hands = hands
        self.told = Label(look, tr("Read the dial, then take the reading here."), self, size=TEXT)
        self.take = WordButton(
            look, tr("Take the reading"), tr("Take the reading"), tr("What the dial shows at this instant"), self
        )
        self.take.clicked.connect(self._take)
        self.column.addWidget(self.told)
        self.column.addWidget(self.take, 0, Qt.AlignmentFlag.AlignLeft)

    def see(self, live: Live) -> None:
        """Follow the machine."""

    def _take(self) -> None:
        dial = self.hands.dial(self.instrument)
        if dial is None:
            self.said.emit(tr("{name} is not fitted. Fit it again first.").format(name=self.instrument))
            return
        self._keep(dial)
        self._tell(dial.shown)
        self.changed.emit()

    def _tell(self, figure: float) -> None:
        kind = self.posed.rig.instruments[self.instrument].kind
        shown = " ".join(units.text(figure, QUANTITIES[kind], self.look.system))
        self.told.setText(tr("Taken: {name} {shown}.").format(name=self.instrument, shown=shown))

    def _keep(self, dial: DialView) -> None:
        raise NotImplementedError

    @property
    def state(self) -> str:
        """What was taken."""
        with contextlib.suppress(UnusableAnswer):
            return written(self.answer())
        return ""

    def restore(self, state: State) -> None:
        """Take what was taken as it was kept."""
        with contextlib.suppress(UnusableAnswer):
            self._take_up(as_written(self.posed.exercise.question, str(state)))

    def answer(self) -> ReliefWork | SheetReading:
        """Return what was taken. Raises UnusableAnswer before."""
        raise NotImplementedError

    def _take_up(self, answer: Answer) -> None:
        raise NotImplementedError

    def focus(self) -> None:
        """Give the keyboard to the button."""
        self.take.setFocus(Qt.FocusReason.OtherFocusReason)


class ReliefForm(HandsForm):
    """A relief set with its screw; the reading is taken with all the oil over it."""

    def __init__(self, look: Look, posed: Posed, hands: Hands, parent: QWidget) -> None:
        super().__init__(look, posed, hands, parent)
        question = posed.exercise.question
        assert isinstance(question, Relief)
        self.question, self.instrument = question, question.instrument
        self.watch = ReliefWatch(question.part)
        self.work: ReliefWork | None = None
        self.screw = WordButton(
            look, tr("Its screw"), tr("Its screw"), tr("Screw and lock-nut of the relief; Esc comes back"), self
        )
        self.screw.clicked.connect(lambda: self.hands.show_part(question.part))
        self.column.addWidget(self.screw, 0, Qt.AlignmentFlag.AlignLeft)

    def see(self, live: Live) -> None:
        """Follow screw and relief."""
        self.watch.see(self.hands.session().rig, live)

    def _keep(self, dial: DialView) -> None:
        session, part = self.hands.session(), self.question.part
        full = share_over(session.rig, part, session.readings) >= _FULL
        locked = f"{part}.setting" not in self.hands.loose()
        self.work = ReliefWork(dial.shown, full, self.watch.backed_off, locked, self.watch.longest)

    def answer(self) -> ReliefWork:
        """Return how it was set when the reading was taken."""
        if self.work is None:
            raise UnusableAnswer(tr("Set the relief, then read the gauge."))
        return self.work

    def _take_up(self, answer: Answer) -> None:
        if isinstance(answer, ReliefWork):
            self.work = answer
            self._tell(answer.read)


class CountsForm(HandsForm):
    """A reading that is taken so that it may be compared with the sheet."""

    def __init__(self, look: Look, posed: Posed, hands: Hands, parent: QWidget) -> None:
        super().__init__(look, posed, hands, parent)
        question = posed.exercise.question
        assert isinstance(question, Counts)
        self.instrument = question.instrument
        self.reading: SheetReading | None = None

    def _keep(self, dial: DialView) -> None:
        session = self.hands.session()
        self.reading = SheetReading.taken(session.rig, session.readings, self.instrument, dial.shown, dial.resting)

    def _take_up(self, answer: Answer) -> None:
        if isinstance(answer, SheetReading):
            self.reading = answer
            self._tell(answer.found.figure)

    def answer(self) -> SheetReading:
        """Return the reading that was taken."""
        if self.reading is None:
            raise UnusableAnswer(tr("Take the reading first."))
        return self.reading
