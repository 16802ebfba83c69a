"""A lesson on the board: opened, led through, put away; what leads through it is loaded when first asked for."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

from trainer.engine.readings import Readings
from trainer.language import tr
from trainer.window.controls.over import Over
from trainer.window.controls.pane import Pane
from trainer.window.lesson.views import Page
from trainer.window.opening.presenter import OpeningPresenter
from trainer.window.rig.presenter import RigPresenter
from trainer.window.session.controller import SessionController
from trainer.window.session.presenter import Presenter
from trainer.window.session.stage import Stage
from trainer.window.working.presenter import WorkingPresenter

if TYPE_CHECKING:
    from trainer.window.lesson.guide import Guide

__all__ = ["LessonPresenter"]


class LessonPresenter(Presenter[Page]):
    """Has a ``guide`` once a lesson was opened; nothing is kept before ``begin``."""

    actions = {"lesson": "change", "commit": "commit", "hint": "hint", "next task": "next"}
    choose_lessons: Callable[[], object] | None = None  # shows all lessons
    folder: Path | None = None  # where it is kept how far one is

    def __init__(
        self,
        controller: SessionController,
        stage: Stage,
        opening: OpeningPresenter,
        rig: RigPresenter,
        working: WorkingPresenter,
    ) -> None:
        super().__init__(controller, stage)
        self.opening, self.rig, self.working = opening, rig, working
        self._guide: Guide | None = None
        controller.covers.lift_asked.connect(self._uncover)

    @property
    def guide(self) -> Guide:
        """What leads through lessons."""
        if self._guide is None:
            from trainer.window.lesson.guide import Guide

            self._guide = Guide(self)
        return self._guide

    @property
    def open(self) -> bool:
        """Whether a lesson is open."""
        return self._guide is not None and self._guide.task is not None

    def open_lesson(self, lesson_id: str, task_id: str | None = None, seat: int | None = None) -> bool:
        """Open a task of a lesson, its first one where none is named; return whether it is open."""
        if seat is not None:
            self.stage.remembered.seat = seat
        return self.guide.open_lesson(lesson_id, task_id)

    def open_exam(self, lesson_id: str, depth: int = 0, seat: int | None = None) -> bool:
        """Begin an exam of a lesson, or of one of its depths; return whether it is on."""
        if seat is not None:
            self.stage.remembered.seat = seat
        return self.guide.open_exam(lesson_id, depth)

    def begin(self, folder: Path) -> None:
        """Keep how far one is in a folder from now on."""
        self.folder = folder
        if self._guide is not None:
            self._guide.keep_in(folder)

    def resume(self) -> None:
        """Open the lesson again that was open when the program ended."""
        if self.folder is not None and not self.open and (self.folder / "lesson.json").exists():
            self.guide.resume()

    # -- what is handed on ---------------------------------------------------------------------------------------

    def take(self, page: Page) -> None:
        """Take a new page: of a task, or of something else, which puts the lesson away."""
        super().take(page)
        if self._guide is not None:
            self._guide.take(page)
        self.allow()

    def allow(self) -> None:
        """Say of the lesson's actions what cannot be done now."""
        actions, none = self.stage.actions, "" if self.open else tr("No lesson is open.")
        for name in ("lesson", "commit", "next task"):
            actions[name].allow(none)
        hint = self._guide is not None and self._guide.has_hint
        actions["hint"].allow(none or ("" if hint else tr("There is no hint now.")))

    def show_instant(self, live: Readings, seconds: float, passed: float) -> None:
        """Follow the run of a task."""
        if self._guide is not None and self._guide.task is not None:
            self._guide.show_instant(live)

    def show_figures(self, seconds: float) -> None:
        """Keep what is typed."""
        if self._guide is not None and self._guide.task is not None:
            self._guide.keep_typed()

    def new_look(self) -> None:
        """Show words and numbers in the present units."""
        if self._guide is not None:
            self._guide.new_look()

    def close(self) -> None:
        """Keep how far one is."""
        if self._guide is not None and self._guide.task is not None:
            self._guide.keep()

    def change(self) -> None:
        """Put the pane away, or bring it back."""
        if not self._under:
            self.guide.change()

    def commit(self) -> None:
        """Commit the answer; after it go on."""
        if self._seen():
            self.guide.commit()

    def hint(self) -> None:
        """Show the next hint."""
        if self._seen():
            self.guide.hint()

    def next(self) -> None:
        """Go on: the next step, then the next task."""
        if self._seen():
            self.guide.next()

    @property
    def _under(self) -> bool:
        """Whether the whole board lies under something else, such as the list of rigs."""
        ground = self.stage.ground
        over = ground.childAt(ground.rect().center())
        while over is not None and over.parentWidget() is not ground:
            over = over.parentWidget()
        return isinstance(over, Over) and not isinstance(over, Pane)

    def _seen(self) -> bool:
        """Whether the task is seen, so that its keys are meant; put away, it is said what brings it back."""
        if self._under:
            return False
        pane = self.guide.pane
        away = pane is None or pane.isHidden() or self.stage.open_in("side") is not None
        if away:
            self.stage.tell(tr("The lesson is put away; F10 brings it back."))
        return not away

    def _uncover(self) -> None:
        if self.open:
            self.guide.uncover()
