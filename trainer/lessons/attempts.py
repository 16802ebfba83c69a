"""Attempts at tasks, kept in a journal.

``Attempts`` is what keeps them; a class book may take the place of the file.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime
from pathlib import Path
from typing import Protocol

import msgspec
import platformdirs

from trainer.journal import Journal
from trainer.lessons.flow import Task

__all__ = ["Attempt", "AttemptFile", "Attempts", "attempt_of", "usual_place"]


class Attempt(msgspec.Struct, frozen=True, forbid_unknown_fields=False):
    """One attempt at a task: when, by which seat, with which numbers [SI], what was answered and what came of it.

    ``right`` is None for what a person has to judge; ``reasoned`` None where no reason was asked, or where it was
    written, in ``reason_words``. ``exam`` is the id of the exam it belongs to, and ``tries`` how many it took.
    ``slip`` is the wrong idea that it showed. ``seen`` is what was said to have been seen, ``did`` what the run did.
    """

    when: datetime
    lesson: str
    exercise: str
    seat: int
    attempt: int  # which of its numbers, from 0
    numbers: dict[str, float] = {}
    answer: str = ""
    read: str = ""
    reason: str = ""
    right: bool | None = None
    reasoned: bool | None = None
    slip: str = ""
    seconds: float = 0.0
    hints: int = 0
    seen: str = ""
    did: str = ""
    uncovered: bool = False
    outcomes: list[str] = []
    rig: str = ""
    depth: int = 1
    share: float = 0.0
    reason_words: str = ""
    exam: str = ""
    tries: int = 1

    @property
    def to_judge(self) -> bool:
        """Whether only a person can say if it was right, reason and all."""
        return self.right is None or (self.right and bool(self.reason_words))

    @property
    def whole(self) -> bool:
        """Whether answer and reason were right at the first try, and no instructor lifted the covers."""
        right = bool(self.right) and self.reasoned is not False and self.tries == 1
        return right and not self.to_judge and not self.uncovered


class Attempts(Protocol):
    """What keeps attempts."""

    @property
    def notices(self) -> list[str]:
        """What is to be told of what was kept, in sentences."""

    def add(self, attempt: Attempt) -> None:
        """Keep one more. Raises OSError; then it is not kept."""

    def all(self) -> Iterator[Attempt]:
        """Yield all of them, the oldest first."""

    def forget(self, seat: int) -> int:
        """Take out all of one seat for good, and return how many these were. Raises OSError; then all stay."""


def usual_place() -> Path:
    """Return where the attempts of this user are kept; nothing is made yet."""
    return platformdirs.user_data_path("spoolroom", appauthor=False) / "attempts.jsonl"


def attempt_of(task: Task, when: datetime, exam: str = "", tries: int = 1) -> Attempt:
    """Return the record of a task that has come to its end, at an instant with its time zone.

    ``exam`` is the id of the exam that it was asked in, ``tries`` how many its answer took there.
    """
    posed, verdict = task.posed, task.verdict
    return Attempt(
        when,
        posed.lesson,
        posed.exercise.id,
        posed.seed.seat,
        posed.seed.attempt,
        dict(posed.numbers),
        verdict.said,
        verdict.read,
        task.reason,
        verdict.right,
        verdict.reasoned,
        verdict.slip,
        round(task.seconds, 1),
        task.hints,
        task.seen.said,
        task.seen.did,
        task.uncovered,
        list(posed.exercise.outcomes),
        posed.exercise.rig_name,
        posed.exercise.depth,
        round(verdict.share, 3),
        task.reason_words,
        exam,
        tries,
    )


class AttemptFile(Journal[Attempt]):
    """Attempts in one file."""

    def __init__(self, path: Path) -> None:
        super().__init__(path, Attempt)

    def forget(self, seat: int) -> int:
        """Take out all of one seat for good, and return how many these were. Raises OSError; then all stay."""
        return self.take_out(lambda attempt: attempt.seat == seat)
