"""What a mechanic puts into a line of the rig that is open, and takes out again: the flow tester, the cup."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import partial
from typing import Protocol

from PySide6.QtCore import Qt
from PySide6.QtGui import QGuiApplication

from trainer.changing.changes import Changes
from trainer.changing.opening import opened
from trainer.changing.put_in import runs_into, taken_out, with_cup, with_tester
from trainer.errors import Fault, RigError, SpoolroomError
from trainer.language import mark, tr
from trainer.measuring.fitting import Fitting, opened_at, put_in
from trainer.rig.names import capital, part_words, port_words
from trainer.rig.rig import Rig
from trainer.window.dials.dials import MOST
from trainer.window.dials.fitting_progress import FittingProgress
from trainer.window.dials.fitting_steps import FitStepsPane
from trainer.window.painting.look import Look
from trainer.window.rig.presenter import RigPresenter
from trainer.window.session.controller import SessionController
from trainer.window.session.presenter import Presenter
from trainer.window.session.stage import Stage

__all__ = ["PutInPresenter"]

_AFTER = "leaks"  # the step that comes once the rig is together again
_OUT = mark("Take the {part} out, and join the line again as it was.")
_STARTS = mark("The rig stands at its start, frozen. Clear it, start it slowly, and look for leaks with a card.")


@dataclass(frozen=True, slots=True)
class _PutIn:
    """One thing that is in: its part, its port, the rig with it, and the open and the filed rig from before."""

    id: str
    port: str
    made: Rig
    before: Rig
    original: Rig

    def there(self, rig: Rig) -> bool:
        """Return whether a rig still is the one that it was put into."""
        return rig.lines == self.made.lines and rig.title == self.made.title


class Page(Protocol):
    """The views that are asked of a page."""

    beside: Look


class PutInPresenter(Presenter[Page]):
    """Leads through the steps of putting something in, or out, and shows the rig that there is then at its start."""

    def __init__(self, controller: SessionController, stage: Stage, rig: RigPresenter) -> None:
        super().__init__(controller, stage)
        self.rig = rig
        self._in: list[_PutIn] = []  # the last one comes out first
        self.progress: FittingProgress | None = None
        self._do: Callable[[], None] | None = None  # what the steps lead to

    def take(self, page: Page) -> None:
        """Build the pane of a page; of another rig nothing is known that could come out."""
        super().take(page)
        self.steps = FitStepsPane(page.beside, self.stage.ground)
        self.steps.said.connect(self._say)
        self.steps.fit_asked.connect(self._carry_out)
        self.steps.back_asked.connect(lambda: self.stage.close_pane(self.steps))
        self.progress = None
        if self._in and not self._in[-1].there(self.session.rig):
            self._in.clear()

    def show_figures(self, seconds: float) -> None:
        """Show which steps are done."""
        if self.steps.isVisible():
            self.steps.show_state(self.session.readings)

    # -- in --------------------------------------------------------------------------------------------------------

    def put_tester(self, part: str, port: str) -> None:
        """Put a flow tester in at a port, as the oil flows there now; where it cannot be, it is said why."""
        if len(self.session.rig.instruments) + 3 > MOST:
            words = tr("A flow tester has three dials, and there is room for {most} in all. Take some off first.")
            self.stage.tell(words.format(most=MOST))
            return
        into = runs_into(self.session.rig, self.session.readings, part, port)
        self._ask(partial(with_tester, part=part, port=port, into=into), (part, port))

    def put_cup(self, part: str, port: str) -> None:
        """Let what runs out of a port run into a cup; where it cannot be, it is said why."""
        self._ask(partial(with_cup, part=part, port=port), (part, port), cup=True)

    def _ask(self, make: Callable[[Rig], Rig], at: tuple[str, str], cup: bool = False) -> None:
        if self.rig.refused("fit instrument") or self.rig.refused("numbers"):
            return
        try:
            before = self.rig.changes.changed_rig()
            made = replace(make(before), source="")
        except RigError as error:
            self.stage.tell(_told(error.faults[0]))
            return
        id_ = next(id_ for id_ in made.parts if id_ not in before.parts)
        title = f"{capital(part_words(made, id_))}: {port_words(before, *at)}"
        own = next(port for part, port in made.lines[made.line_of(*at).name].joins if part == id_)
        entry = _PutIn(id_, own, made, before, self.rig.changes.original)
        fitting = put_in(self.session.rig, self.session.readings.temperature, ".".join(at), cup)
        self._show(fitting, (title, tr("Put in")), partial(self._put, entry))

    def _put(self, entry: _PutIn) -> None:
        made, filed = entry.made, entry.original
        new = {name: item for name, item in made.instruments.items() if name not in entry.before.instruments}
        original = replace(
            made,
            parts={**made.parts, **filed.parts},
            instruments={**filed.instruments, **new},
            start=filed.start,
            oil=filed.oil,
        )
        self._in.append(entry)
        if not self._open(made, original, tr("The {part} is in.").format(part=part_words(made, entry.id))):
            self._in.pop()

    # -- out -------------------------------------------------------------------------------------------------------

    def can_take_out(self, id_: str) -> bool:
        """Return whether a part was put in here, so that it is known how the line was."""
        return any(entry.id == id_ for entry in self._in)

    def take_out(self, id_: str) -> None:
        """Take a part out again that was put in, the last one first."""
        rig, last = self.session.rig, self._in[-1]
        if self.rig.refused("fit instrument") or self.rig.refused("numbers"):
            return
        if last.id != id_:
            words = tr("Take the {part} out first: it was put in later.").format(part=part_words(rig, last.id))
            self.stage.tell(words)
            return
        part = part_words(rig, id_)
        words = tr(_OUT).format(part=part)
        fitting = opened_at(rig, self.session.readings.temperature, f"{id_}.{last.port}", words)
        self._show(fitting, (tr("Taking the {part} out").format(part=part), tr("Take out")), self._out)

    def _out(self) -> None:
        entry = self._in.pop()
        words = tr("The {part} is out.").format(part=part_words(self.session.rig, entry.id))
        try:
            rig = taken_out(self.rig.changes.changed_rig(), entry.before)
        except RigError as error:
            self.stage.tell(_told(error.faults[0]))
            self._in.append(entry)
            return
        if not self._open(rig, entry.original, words):
            self._in.append(entry)

    # -- the steps -------------------------------------------------------------------------------------------------

    def _show(self, fitting: Fitting, title: tuple[str, str], do: Callable[[], None]) -> None:
        """Show the steps that come before something is done at a port whose line is opened."""
        kept = tuple(step for step in fitting.steps if step.key != _AFTER)
        self.progress, self._do = FittingProgress(replace(fitting, steps=kept)), do
        self.steps.show_areas(self.progress, self.session.readings, *title)
        self.stage.open_pane(self.steps)

    def _say(self, key: str) -> None:
        if self.progress is not None:
            self.progress.say(key, self.session.readings)
            self.steps.show_state(self.session.readings)

    def _carry_out(self) -> None:
        """Do what the steps lead to, now that nothing is waited for."""
        if self.progress is None or self._do is None or self.progress.waits_for(self.session.readings) is not None:
            return
        do, self._do = self._do, None
        self.stage.close_pane(self.steps)
        do()

    def _open(self, rig: Rig, original: Rig, words: str) -> bool:
        """Show another rig at its start with what was changed of it; return whether it can be."""
        old = self.rig.changes
        QGuiApplication.setOverrideCursor(Qt.CursorShape.WaitCursor)
        try:
            changes = Changes(opened(rig, kept=self.controller.kept), original)
            known = changes.known.keys()
            changes.done = [step for step in old.done if known >= {one.name for one in step.all}]
            changes.undone = [step for step in old.undone if known >= {one.name for one in step.all}]
            changes.loose = {name for name in old.loose if name in known}
            self.rig.take_up(changes)
        except SpoolroomError as error:
            self.rig.changes = old
            self.stage.tell(str(error))
            return False
        finally:
            QGuiApplication.restoreOverrideCursor()
        self.controller.marks.clear()
        self.stage.forget_words()
        self.stage.tell(f"{words} {tr(_STARTS)}")
        return True


def _told(fault: Fault) -> str:
    """Return a fault as a sentence, without its place in a file."""
    return f"{capital(fault.problem)} {fault.remedy}".rstrip()
