"""The key of lever practice. What shows and runs it is imported when it is asked for first."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import TYPE_CHECKING

from trainer.engine.readings import Readings
from trainer.operating.patterns import slot_words
from trainer.window.hands.presenter import HandsPresenter
from trainer.window.lesson.presenter import LessonPresenter
from trainer.window.opening.presenter import OpeningPresenter
from trainer.window.practice.views import Page
from trainer.window.session.controller import SessionController
from trainer.window.session.presenter import Presenter
from trainer.window.session.stage import Stage

if TYPE_CHECKING:
    from trainer.window.practice.desk import PracticeDesk

__all__ = ["PracticePresenter"]


class PracticePresenter(Presenter[Page]):
    """Has the ``desk``, which does all, once it was asked for; ``caption`` says what is heard."""

    actions = {"practice": "change_screen"}
    everywhere = ("practice",)
    caption: Callable[[], str] = str
    _desk: PracticeDesk | None = None

    def __init__(
        self, controller: SessionController, stage: Stage, opening: OpeningPresenter, lesson: LessonPresenter,
        hands: HandsPresenter,
    ) -> None:  # fmt: skip
        super().__init__(controller, stage)
        self.opening, self.lesson, self.hands = opening, lesson, hands
        controller.given.connect(self._given)

    @property
    def desk(self) -> PracticeDesk:
        """What shows the ladder and runs its tasks."""
        if self._desk is None:
            from trainer.window.practice.desk import PracticeDesk

            self._desk = PracticeDesk(self)
        return self._desk

    @property
    def under_way(self) -> bool:
        """Whether a rig of practice is open instead of another one."""
        return self._desk is not None and self._desk.before is not None

    def sticks(self) -> Mapping[str, str]:
        """Return which stick leads which lever now, in words."""
        levers, pattern = self.controller.operator.levers, self.hands.sticks.pattern
        return {
            name: slot_words(lead.slot) for name, lead in pattern.leads.items() if name in levers and levers[name].led
        }

    def says(self) -> str:
        """Return what is wrong with the sticks, or what else there is to say; what is heard stands elsewhere."""
        words = self.page.notice.words
        return self.hands.says or (words if words != self.stage.heard else "")

    def change_screen(self) -> None:
        """Show the ladder, or go back to the board."""
        self.desk.change_screen()

    def take(self, page: Page) -> None:
        """Take a new page: of a task, or of something else, which puts practice away."""
        super().take(page)
        if self._desk is not None:
            self._desk.take()

    def refit(self) -> None:
        """Show the gauge that there is now on the screen of the run."""
        run = self._desk.run if self._desk is not None else None
        if run is not None and run.session is self.session:
            run.take_instruments()

    def show_instant(self, live: Readings, seconds: float, passed: float) -> None:
        """Follow the attempt."""
        if self._desk is not None:
            self._desk.show_instant(live, seconds)

    def show_figures(self, seconds: float) -> None:
        """Print the figures of the run."""
        if self._desk is not None:
            self._desk.show_figures()

    def new_look(self) -> None:
        """Take other colours and units."""
        if self._desk is not None:
            self._desk.new_look()

    def close(self) -> None:
        """Keep what was changed of the rig that was open before."""
        if self._desk is not None:
            self._desk.close()

    def _given(self, given: list[str]) -> None:
        if self._desk is not None:
            self._desk.given(given)
