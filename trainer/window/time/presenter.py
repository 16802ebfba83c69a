"""Time at hand: steps, speeds, back to an instant that has been, marks to come back to."""

from __future__ import annotations

from typing import Protocol

from trainer.engine.history import History
from trainer.engine.readings import Readings
from trainer.engine.session import FRAME
from trainer.language import tr
from trainer.window.session.presenter import Presenter
from trainer.window.time.clock_bar import SPEEDS
from trainer.window.time.line import SHORTEST, TimeLine, stretch_words

__all__ = ["TimePresenter"]

TENTH, BACK = 0.1, 1.0  # seconds of the larger step, and back


class Page(Protocol):
    """The views that are asked of a page."""

    time_line: TimeLine


class TimePresenter(Presenter[Page]):
    """Steps the clock, goes back in time, and keeps marks."""

    actions = {
        "step": "step",
        "tenth": "tenth",
        "slower": "slower",
        "faster": "faster",
        "back": "back",
        "mark": "mark",
        "earlier mark": "earlier_mark",
        "later mark": "later_mark",
    }

    _seen: tuple[History | None, int, float] = (None, 0, 0.0)  # a history, its cuts and end [s] when last looked at

    def take(self, page: Page) -> None:
        """Listen to the time line of the new page."""
        super().take(page)
        self._look()
        line = page.time_line
        line.asked.connect(self.controller.rewind)
        line.mark_asked.connect(self.mark)
        self._show()

    # -- forward -------------------------------------------------------------------------------------------------

    def step(self) -> None:
        """Freeze, and move on by a frame of the chosen speed."""
        self._step(min(self.controller.timed.speed, 1.0) * FRAME)

    def tenth(self) -> None:
        """Freeze, and move on by a tenth of a second."""
        self._step(TENTH)

    def _step(self, seconds: float) -> None:
        self.controller.step(seconds)

    def slower(self) -> None:
        """Choose the next slower speed."""
        now = self.controller.timed.speed
        self.controller.set_speed(max((s for s in SPEEDS if s < now), default=SPEEDS[0]))

    def faster(self) -> None:
        """Choose the next faster speed."""
        now = self.controller.timed.speed
        self.controller.set_speed(min((s for s in SPEEDS if s > now), default=SPEEDS[-1]))

    # -- back ----------------------------------------------------------------------------------------------------

    def back(self) -> None:
        """Go back by a second."""
        self.controller.rewind(max(self.controller.timed.time - BACK, 0.0))

    def mark(self, name: str = "") -> None:
        """Set a mark at this instant: A, B, C … where no name is given."""
        time, marks = self.controller.timed.time, self.controller.timed_marks
        taken = {name for _, name in marks}
        name = name or next(letters for letters in _letters() if letters not in taken)
        marks[:] = sorted([(t, n) for t, n in marks if abs(t - time) > 1e-6 and n != name] + [(time, name)])
        self.stage.tell(
            tr("Mark {name} at {time:.2f} s. Alt and an arrow key go to the marks.").format(name=name, time=time)
        )
        self._show()

    def earlier_mark(self) -> None:
        """Go to the mark before this instant, or to the start."""
        now, marks = self.controller.timed.time, self.controller.timed_marks
        self.controller.rewind(max((t for t, _ in marks if t < now - 1e-6), default=0.0))

    def later_mark(self) -> None:
        """Go to the mark after this instant, or to the latest instant."""
        now, marks = self.controller.timed.time, self.controller.timed_marks
        self.controller.rewind(min((t for t, _ in marks if t > now + 1e-6), default=self.controller.latest))

    # -- what is shown -------------------------------------------------------------------------------------------

    def _look(self) -> None:
        history = self.session.history
        self._seen = history, len(history.cuts), history.end

    def show_instant(self, live: Readings, seconds: float, passed: float) -> None:
        """Tell what going on from the past has given up, when it happens."""
        before, cuts, end = self._seen
        self._look()
        history = self.session.history
        if history is not before or len(history.cuts) == cuts:
            return
        begin = history.left
        if end - begin >= SHORTEST:
            first, last = stretch_words(begin, end)
            self.stage.tell(tr("From {first} on anew; the run to {last} is dropped.").format(first=first, last=last))

    def show_figures(self, seconds: float) -> None:
        """Show the instant and the marks on the time line; marks of a future that was given up are gone."""
        end, marks = self.controller.latest, self.controller.timed_marks
        if marks and marks[-1][0] > end + 1e-6:
            marks[:] = [(t, n) for t, n in marks if t <= end + 1e-6]
        self._show()

    def _show(self) -> None:
        session = self.session
        self.page.time_line.show_time(session.time, session.history.end, tuple(self.controller.marks))


def _letters() -> list[str]:
    alphabet = [chr(k) for k in range(ord("A"), ord("Z") + 1)]
    return alphabet + [f"{a}{n}" for n in range(2, 100) for a in alphabet]
