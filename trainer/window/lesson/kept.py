"""Where a learner is in a lesson, in one small file: after a crash he goes on there, with what he had written."""

from __future__ import annotations

import contextlib
from pathlib import Path

import msgspec

from trainer import files
from trainer.lessons.exam import Exam, Given
from trainer.lessons.flow import Step, Task
from trainer.lessons.marking import Answer, UnusableAnswer, as_written

__all__ = ["KeptTask", "TaskFile", "bring_back", "explained"]

_NAME, _LARGEST = "lesson.json", 1 << 20


class KeptTask(msgspec.Struct, frozen=True):
    """A task on its way: which, with whose numbers, how far, and what is written or answered.

    ``answer`` and ``reason`` are the form's, ``reason_words`` those of a reason of one's own. ``kept`` tells that its
    attempt is kept already. ``exam`` is the one that it belongs to.
    """

    lesson: str
    exercise: str
    seat: int
    attempt: int = 0
    step: int = 0
    hints: int = 0
    answer: Given = ""
    reason: str = ""
    seen: str = ""
    uncovered: bool = False
    seconds: float = 0.0
    kept: bool = False
    reason_words: str = ""
    exam: Exam | None = None


def explained(exam: Exam, task: str, seat: int) -> KeptTask:
    """Return a task of an exam that is over, with the last of its answers, where it is explained."""
    last = exam.tries[task][-1]
    return KeptTask(
        exam.lesson, task, seat, exam.numbers, int(Step.WHY), 0, last.answer, last.reason,
        kept=True, reason_words=last.reason_words, exam=exam,
    )  # fmt: skip


class TaskFile:
    """The file; what cannot be written or read is as if there were none."""

    def __init__(self, folder: Path) -> None:
        self.path = folder / _NAME
        self._written: KeptTask | None = None

    def read(self) -> KeptTask | None:
        """Return what was kept, None for nothing that can be used."""
        with contextlib.suppress(OSError, msgspec.DecodeError):
            return msgspec.json.decode(files.read(self.path, _LARGEST), type=KeptTask)
        return None

    def write(self, task: KeptTask) -> None:
        """Keep a task, where it is another than before."""
        if task == self._written:
            return
        self._written = task
        with contextlib.suppress(OSError):
            files.own_folder(self.path.parent)
            files.write(self.path, msgspec.json.encode(task), private=True)

    def remove(self) -> None:
        """Keep nothing any more."""
        self._written = None
        with contextlib.suppress(OSError):
            self.path.unlink(missing_ok=True)


def bring_back(task: Task, kept: KeptTask) -> bool:
    """Bring a task to where it was, as far as its answer can be given again; return whether its attempt is kept."""
    task.hints, task.seconds = kept.hints, kept.seconds
    if kept.step >= Step.PREDICT:
        task.begin()
    try:
        if kept.uncovered:
            task.uncover()
        elif kept.step > Step.PREDICT:
            task.commit(_answer(task, kept), kept.reason, kept.seconds, kept.reason_words)
        if kept.step > Step.RUN:
            task.ran()
        if kept.step > Step.SEEN and kept.exam is not None:
            task.explain()
        elif kept.step > Step.SEEN and task.step is Step.SEEN:
            task.saw(kept.seen)
    except (UnusableAnswer, KeyError, IndexError):  # of another version, or by hand: it is asked again
        return False
    return kept.kept


def _answer(task: Task, kept: KeptTask) -> Answer:
    """Return an answer as it was kept: places of a path are pairs."""
    if isinstance(kept.answer, str):
        return as_written(task.posed.exercise.question, kept.answer)
    if not isinstance(kept.answer, list):
        return kept.answer
    pairs = [(one[0], one[1]) for one in kept.answer if len(one) == 2 and not isinstance(one, str)]
    return pairs or [one for one in kept.answer if isinstance(one, str)]
