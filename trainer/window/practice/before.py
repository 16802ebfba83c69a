"""What was open before practice, so that it comes back as it was."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from trainer.changing.changes import Changes
from trainer.language import tr
from trainer.window.lesson.presenter import LessonPresenter
from trainer.window.opening.presenter import OpeningPresenter
from trainer.window.session.controller import SessionController
from trainer.window.session.stage import Stage

__all__ = ["Before"]


@dataclass(slots=True)
class Before:
    """The rig that was open with its changes, its marks and speed; the task of a lesson, where one was open.

    What was not saved of it lies in ``laid`` while it is away, to be offered if it does not come back.
    """

    changes: Changes
    marks: list[tuple[float, str]]
    lesson: tuple[str, str] | None
    laid: Path | None

    @classmethod
    def of(
        cls, controller: SessionController, opening: OpeningPresenter, lesson: LessonPresenter, stage: Stage
    ) -> Before:
        """Take what is open now; say what becomes of what is not saved."""
        remembered = stage.remembered
        task = (remembered.lesson, remembered.task) if lesson.open else None
        recovery = opening.recovery
        unsaved = recovery.unsaved() if task is None else ""
        laid = recovery.lay_by(unsaved) if unsaved else None
        if unsaved:
            stage.tell(
                tr("What was changed in {title} and not saved comes back with it after practice.").format(
                    title=controller.session.rig.title
                )
            )
        return cls(opening.rig.changes, list(controller.marks), task, laid)

    def bring_back(self, controller: SessionController, opening: OpeningPresenter, lesson: LessonPresenter) -> None:
        """Show it again as it was, frozen. Raises SpoolroomError."""
        self.changes.session.freeze()
        opening.rig.take_up(self.changes)
        controller.marks[:] = self.marks
        if self.laid is not None:
            self.laid.unlink(missing_ok=True)
        if self.lesson is not None:
            lesson.open_lesson(*self.lesson)
