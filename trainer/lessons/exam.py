"""An exam: tasks of a lesson with three tries each, no hint, and no explanation before the end.

What is given in each try is kept: an exam goes on after a crash, and every answer is explained once it is over.
"""

from __future__ import annotations

from collections.abc import Collection

import msgspec

from trainer.lessons.lesson import Lesson
from trainer.lessons.marking import Verdict

__all__ = ["NUMBERS", "TRIES", "Exam", "Given", "Try"]

TRIES = 3
NUMBERS = 100  # from which on its numbers are counted: none of those that were practised with
Given = str | list[str | list[str]] | dict[str, str]  # an answer, as a form keeps it


class Try(msgspec.Struct, frozen=True):
    """What was given in one try. ``right`` is None for what a person has to judge."""

    right: bool | None
    answer: Given = ""
    reason: str = ""
    reason_words: str = ""

    @classmethod
    def of(cls, verdict: Verdict, answer: Given, reason: str = "", words: str = "") -> Try:
        """Return a try by its verdict: right with the right reason only; one's own reason a person has to judge."""
        right = None if verdict.right is None or (verdict.right and words) else verdict.whole
        return cls(right, answer, reason, words)


class Exam(msgspec.Struct, frozen=True):
    """An exam as it stands. ``id`` tells it from others, ``seconds`` is how long it has lasted, as it was told."""

    id: str
    lesson: str
    tasks: list[str]
    numbers: int = NUMBERS  # which of a seat's numbers all of its tasks have
    tries: dict[str, list[Try]] = {}
    seconds: float = 0.0

    @classmethod
    def begin(cls, id_: str, lesson: Lesson, depth: int = 0, before: Collection[str] = ()) -> Exam:
        """Return a new exam of a lesson, or of one of its depths; ``before`` are the ids of a seat's earlier ones."""
        tasks = [name for name, one in lesson.exercises.items() if depth in (0, one.depth)]
        return cls(id_, lesson.id, tasks, NUMBERS + len({*before}))

    def after(self, task: str, one: Try) -> Exam:
        """Return it after one more try at a task; one that is done takes no more."""
        if self.done(task):
            return self
        return msgspec.structs.replace(self, tries={**self.tries, task: [*self.tries.get(task, ()), one]})

    def at(self, seconds: float) -> Exam:
        """Return it after it has lasted so long [s]."""
        return msgspec.structs.replace(self, seconds=round(seconds, 1))

    def left(self, task: str) -> int:
        """Return how many tries a task has left, 0 once it is done."""
        those = self.tries.get(task, [])
        answered = any(one.right is not False for one in those)
        return 0 if answered else TRIES - len(those)

    def done(self, task: str) -> bool:
        """Whether a task is answered, or has no try left."""
        return self.left(task) == 0

    def marks(self, task: str) -> tuple[str, ...]:
        """Return the three marks of a task: "right", "wrong", "judge" for what a person judges, "open"."""
        names = {True: "right", False: "wrong", None: "judge"}
        told = [names[one.right] for one in self.tries.get(task, [])]
        return (*told, *["open"] * (TRIES - len(told)))

    @property
    def over(self) -> bool:
        """Whether all tasks are done."""
        return all(self.done(task) for task in self.tasks)

    def next(self, task: str) -> str:
        """Return the task that comes after one, the first that is not done; "" where all are."""
        at = self.tasks.index(task) + 1
        return next((name for name in (*self.tasks[at:], *self.tasks[:at]) if not self.done(name)), "")

    @property
    def right(self) -> int:
        """How many tasks were right in the end."""
        return sum(those[-1].right is True for those in self.tries.values())
