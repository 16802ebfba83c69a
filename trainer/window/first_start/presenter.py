"""Shows the first page, and goes through its doors: to the class view, to the lessons, to the ladder."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Protocol

from trainer import resources
from trainer.units import System
from trainer.window.class_view.presenter import ClassPresenter
from trainer.window.explaining.presenter import ExplainingPresenter
from trainer.window.lessons_list.presenter import LessonsPresenter
from trainer.window.opening.presenter import OpeningPresenter
from trainer.window.practice.presenter import PracticePresenter
from trainer.window.session.controller import SessionController
from trainer.window.session.presenter import Presenter
from trainer.window.session.stage import Stage

if TYPE_CHECKING:
    from trainer.window.first_start.screen import DoorsScreen

__all__ = ["DoorsPresenter"]


class Page(Protocol):
    """Nothing is asked of a page."""


class DoorsPresenter(Presenter[Page]):
    """Shows the ``screen`` with the doors, made when it is asked for first."""

    actions = {"first page": "change_screen"}
    everywhere = ("first page",)
    screen: DoorsScreen | None = None

    def __init__(
        self,
        controller: SessionController,
        stage: Stage,
        opening: OpeningPresenter,
        lessons: LessonsPresenter,
        before_class: ClassPresenter,
        explaining: ExplainingPresenter,
        practice: PracticePresenter,
    ) -> None:
        super().__init__(controller, stage)
        self.practice = practice
        self.opening, self.lessons, self.before_class, self.explaining = opening, lessons, before_class, explaining

    def change_screen(self) -> None:
        """Show the first page, or go back to the board."""
        if self.screen is not None and self.stage.screen is self.screen:
            self._leave()
        else:
            self.show()

    def show(self, words: str = "") -> DoorsScreen:
        """Show the first page, and at its foot what cannot be kept, or nothing."""
        if self.screen is None:
            from trainer.window.first_start.screen import DoorsScreen

            self.screen = DoorsScreen(self.stage.look, self.stage.room)
            self.screen.left.connect(self._leave)
            self.screen.opened.connect(self.open)
            self.screen.units_asked.connect(self._set_units)
            self.screen.marks_asked.connect(self._set_marks)
            self.screen.words_asked.connect(self.explaining.show_all)
            self.screen.words.follow(self.stage.actions["glossary"], click=False)
        screen = self.screen
        screen.say(words)
        self.stage.show_screen(screen)
        screen.take_look()
        screen.setFocus()
        return screen

    def _leave(self) -> None:
        self.stage.remembered.welcomed = True
        self.stage.show_screen(None)

    def open(self, door: int) -> None:
        """Go through a door, 1 to 3."""
        from trainer.window.first_start.screen import LOADER

        self._leave()
        if door == 2:
            self.lessons.desk.start_learning()
        elif door == 3:
            self.practice.desk.show_ladder()
        elif self._stands(LOADER):
            self.controller.run(True)
            self.before_class.change_view()

    def _stands(self, name: str) -> bool:
        """Open a shipped rig unless it is open, and return whether it is."""
        path = resources.rigs()[name]
        return _same(self.opening.rig.file, path) or self.opening.open_rig(path)

    def _set_units(self, system: System) -> None:
        if self.stage.look.system is not system:
            self.stage.actions["units"].trigger()

    def _set_marks(self, stand: bool) -> None:
        if self.stage.look.still_marks is not stand:
            self.stage.actions["marks"].trigger()

    def new_look(self) -> None:
        """Take other colours, pictures too."""
        if self.screen is not None:
            self.screen.take_look()
            for door in self.screen.doors:
                door.picture.forget()


def _same(one: Path | None, other: Path) -> bool:
    return one is not None and one.resolve() == other.resolve()
