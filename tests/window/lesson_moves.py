"""How the tests lead a lesson: a window with one, its rows and buttons, its run."""

from __future__ import annotations

from pathlib import Path

from board_moves import pass_time, there
from cases import courses
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QWidget

from trainer.lessons.attempts import AttemptFile
from trainer.lessons.flow import Step, Task
from trainer.lessons.posing import Opener
from trainer.window.lesson.guide import Guide
from trainer.window.lesson.pages import PredictPage
from trainer.window.lesson.pane import LessonPane
from trainer.window.lesson.presenter import LessonPresenter
from trainer.window.shell.window import BoardWindow

__all__ = [
    "ALT", "FIRST", "LEFT", "focused", "lesson_of", "opened", "pane_of", "predict_page", "run_to_its_end", "shown",
    "task_of",
]  # fmt: skip

FIRST = "01-five-minutes-at-the-bench"
ALT, LEFT = Qt.KeyboardModifier.AltModifier, Qt.MouseButton.LeftButton


def lesson_of(window: BoardWindow) -> Guide:
    """Return what leads through lessons in a window."""
    return window.presenter(LessonPresenter).guide


def opened(window: BoardWindow, folder: Path, lesson: str = FIRST, task: str | None = None, seat: int = 3) -> Guide:
    """Open a task; attempts are kept in a folder."""
    found = lesson_of(window)
    found.attempts = AttemptFile(folder / "attempts.jsonl")
    found.opener = Opener(courses())
    assert window.presenter(LessonPresenter).open_lesson(lesson, task, seat)
    return found


def task_of(window: BoardWindow) -> Task:
    """Return the task that is open."""
    return there(lesson_of(window).task)


def pane_of(window: BoardWindow) -> LessonPane:
    """Return its pane."""
    return there(lesson_of(window).pane)


def predict_page(window: BoardWindow) -> PredictPage:
    """Return the page that asks."""
    page = lesson_of(window).shown_page
    assert isinstance(page, PredictPage)
    return page


def run_to_its_end(window: BoardWindow) -> None:
    """Let the run of a task go until it is frozen."""
    end = task_of(window).posed.exercise.run.until
    pass_time(window, end - window.session.time + 0.1)
    assert not window.session.running


def focused(window: BoardWindow) -> QWidget:
    """Return what has the keyboard."""
    return there(window.focusWidget())


def shown(window: BoardWindow) -> Step:
    """Return the step that is looked at."""
    return lesson_of(window).shown
