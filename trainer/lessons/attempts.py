"""Attempts, kept one a line in a file that only grows; what a crash has left of a line is put aside and told.

``Attempts`` is what keeps them; a class book may take the place of the file.
"""

from __future__ import annotations

import contextlib
import errno
import os
from collections.abc import Iterator
from datetime import datetime
from pathlib import Path
from typing import Protocol

import msgspec
import platformdirs

from trainer import files
from trainer.language import tr
from trainer.lessons.flow import Task

__all__ = ["Attempt", "AttemptFile", "Attempts", "attempt_of", "usual_place"]

_LARGEST = 1 << 27  # bytes of a file that is still read
_ASIDE = ".damaged"
_FLAGS = os.O_WRONLY | os.O_APPEND | os.O_CREAT | getattr(os, "O_CLOEXEC", 0) | getattr(os, "O_BINARY", 0)


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


class AttemptFile:
    """Attempts in one file, JSON a line. Each is written in one stroke at its end, and is on the disk then."""

    def __init__(self, path: Path) -> None:
        self.path = path
        self.notices: list[str] = []
        self._mended = False

    def add(self, attempt: Attempt) -> None:
        """Keep one more. Raises OSError; then it is not kept."""
        self._mend()
        line = msgspec.json.encode(attempt) + b"\n"
        files.own_folder(self.path.parent)
        opened = os.open(self.path, _FLAGS, 0o600)
        try:
            before = os.fstat(opened).st_size
            written = os.write(opened, line)
            if written != len(line):
                os.ftruncate(opened, before)
                raise OSError(errno.ENOSPC, tr("not all of it could be written"), str(self.path))
            os.fsync(opened)
        finally:
            os.close(opened)

    def all(self) -> Iterator[Attempt]:
        """Yield all of them, the oldest first; lines that cannot be read are passed over and told."""
        self._mend()
        lost = 0
        for line in self._content().splitlines():
            if not line.strip():
                continue
            try:
                yield msgspec.json.decode(line, type=Attempt)
            except msgspec.DecodeError:
                lost += 1
        if lost:
            self._tell(
                tr("{name}: {lost} lines cannot be read and are passed over.").format(name=self.path.name, lost=lost)
            )

    def forget(self, seat: int) -> int:
        """Take out all of one seat for good, and return how many these were. Raises OSError; then all stay."""
        self._mend()
        kept, gone = [], 0
        for line in files.read(self.path, _LARGEST).splitlines() if self.path.exists() else []:
            try:
                theirs = msgspec.json.decode(line, type=Attempt).seat == seat
            except msgspec.DecodeError:
                theirs = False  # what cannot be read is nobody's, and stays
            gone += theirs
            if line.strip() and not theirs:
                kept.append(line + b"\n")
        if gone:
            files.write(self.path, b"".join(kept), private=True)
        return gone

    def _content(self) -> bytes:
        try:
            return files.read(self.path, _LARGEST)
        except FileNotFoundError:
            return b""
        except OSError as error:
            self._tell(tr("{path} cannot be read: {reason}.").format(path=self.path, reason=files.reason(error)))
            return b""

    def _mend(self) -> None:
        """Put aside what stands behind the last whole line, as a crash or a full disk leaves it."""
        if self._mended:
            return
        self._mended = True
        content = self._content()
        if not content or content.endswith(b"\n"):
            return
        kept, _, rest = content.rpartition(b"\n")
        end = len(kept) + 1 if kept else 0
        with contextlib.suppress(msgspec.DecodeError):  # only its end of line is missing
            msgspec.json.decode(rest, type=Attempt)
            with contextlib.suppress(OSError):
                files.append(self.path, b"\n")
            return
        aside = self.path.with_name(f"{self.path.name}{_ASIDE}")
        try:
            files.append(aside, rest + b"\n")
            files.cut(self.path, end)
        except OSError as error:
            self._tell(
                tr("{path} ends in a damaged line, which cannot be put aside: {reason}.").format(
                    path=self.path, reason=files.reason(error)
                )
            )
            return
        self._tell(
            tr("The last attempt was not written to its end; what there is of it is in {aside}.").format(aside=aside)
        )

    def _tell(self, words: str) -> None:
        if words not in self.notices:
            self.notices.append(words)
