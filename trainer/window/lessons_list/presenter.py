"""The key of the lessons. What shows them is imported when it is asked for first, and what reads them with it."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, Protocol

from trainer.window.session.controller import SessionController
from trainer.window.session.presenter import Presenter
from trainer.window.session.stage import Stage

if TYPE_CHECKING:
    from trainer.window.lessons_list.desk import Lessons, LessonsDesk

__all__ = ["LessonsPresenter"]


class Page(Protocol):
    """Nothing is asked of a page."""


class LessonsPresenter(Presenter[Page]):
    """Has the ``desk``, which does all; ``opens`` is what opens a lesson."""

    actions = {"lessons": "change_screen"}
    everywhere = ("lessons",)
    _desk: LessonsDesk | None = None
    show_words: Callable[[], object] | None = None  # shows the glossary
    show_practice: Callable[[], object] | None = None  # shows the ladder of lever practice

    def __init__(self, controller: SessionController, stage: Stage, opens: Lessons) -> None:
        super().__init__(controller, stage)
        self._opens = opens

    @property
    def desk(self) -> LessonsDesk:
        """What shows and starts lessons."""
        if self._desk is None:
            from trainer.window.lessons_list.desk import LessonsDesk

            self._desk = LessonsDesk(self.stage, self._opens, self.show_words, self.show_practice)
        return self._desk

    def change_screen(self) -> None:
        """Show the lessons, or go back to the board."""
        self.desk.change_screen()

    def new_look(self) -> None:
        """Take other colours."""
        if self._desk is not None:
            self._desk.new_look()
