"""Attempts that were made, in the user's own folder: what came of each, and the traces of the best as its ghost."""

from __future__ import annotations

import contextlib
import hashlib
from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime
from pathlib import Path

import msgspec
import numpy as np

from trainer import private
from trainer.journal import Journal
from trainer.language import mark, tr
from trainer.lessons.attempts import usual_place
from trainer.practice.attempt import Attempt, rig_of
from trainer.practice.catalogue import MEASURES
from trainer.practice.score import Score
from trainer.practice.signals import Numbers
from trainer.practice.task import Task
from trainer.practice.trace import Trace

__all__ = ["Book", "Done", "best_of", "conditions_of", "done_of", "usual_folder"]

_NOT_FOUND = mark("What counts could not be measured in this attempt.")
_NAME, _TRACE, _MOST = "practice.jsonl", ".trace", 400


class Done(msgspec.Struct, frozen=True, forbid_unknown_fields=False):
    """One attempt: when, at which task, by which seat, how it ended, with which aid, and its measures [SI] by id.

    ``counts``: done and scored; only these have measures. ``conditions`` are load, speed, oil and machine in one
    word: only attempts that share it are compared. ``band`` is that of the first measure. ``retention``: it was the
    test of the next day. ``seconds`` is how long it took.
    """

    when: datetime
    task: str
    seat: int
    state: str
    aid: str
    conditions: str
    counts: bool = False
    values: dict[str, float] = {}
    band: str = ""
    retention: bool = False
    seconds: float = 0.0
    why_not: str = ""


class _Ghost(msgspec.Struct, frozen=True):
    """A lap's trace as it is kept: single precision is finer than any pen."""

    lap: str
    times: bytes
    values: dict[str, bytes]
    levers: dict[str, bytes]
    quantities: dict[str, str]
    posed: dict[str, bytes] = {}


def usual_folder() -> Path:
    """Return where attempts at lever practice are kept for this user; nothing is made yet."""
    return usual_place().parent


def conditions_of(task: Task) -> str:
    """Return in one word under which conditions a task is done: machine, load, speed and oil of all laps."""
    rigs = [
        replace(rig_of(task, lap), title="", notes="", source="", drawing={}, healthy=(), instruments={})
        for lap in task.laps
    ]
    told = repr((rigs, [sorted(lap.run.then.items()) for lap in task.laps], [lap.roles for lap in task.laps]))
    return hashlib.sha256(told.encode()).hexdigest()[:16]


def done_of(attempt: Attempt, score: Score, when: datetime, seat: int, aid: str, retention: bool = False) -> Done:
    """Return the record of an attempt that is over, at an instant with its time zone."""
    task = attempt.task
    counts = attempt.counts
    first = score.one(task.shown[0]) if counts and task.shown[0] in score.values else None
    return Done(
        when,
        task.id,
        seat,
        attempt.state.value,
        aid,
        conditions_of(task),
        counts and first is not None,
        dict(score.values) if counts else {},
        first.band.value if first is not None and first.band is not None else "",
        retention,
        round(attempt.seconds, 2),
        attempt.unscored or attempt.sentence or ("" if first is not None else tr(_NOT_FOUND)),
    )


def best_of(task: Task, done: Sequence[Done], conditions: str) -> Done | None:
    """Return the best of attempts at a task under some conditions: by its first measure, then the others shown.

    Of attempts that are equal by all of them the first one stays the best.
    """
    own = [one for one in done if one.task == task.id and one.counts and one.conditions == conditions]

    def key(one: Done) -> tuple[float, ...]:
        return tuple((1 if MEASURES[id_].less else -1) * one.values.get(id_, float("inf")) for id_ in task.shown)

    return min(own, key=key) if own else None


class Book:
    """The attempts of this computer's users, and the ghosts of their best ones."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.journal: Journal[Done] = Journal(folder / _NAME, Done)

    @property
    def notices(self) -> list[str]:
        """What is to be told of what was kept, in sentences."""
        return self.journal.notices

    def all(self, seat: int) -> list[Done]:
        """Return the attempts of a seat, the oldest first."""
        return [one for one in self.journal.all() if one.seat == seat]

    def add(self, task: Task, done: Done, traces: Sequence[Trace]) -> bool:
        """Keep one more; where it is the best one, its traces too. Return whether it is. Raises OSError."""
        before = best_of(task, self.all(done.seat), done.conditions)
        self.journal.add(done)
        if not done.counts or best_of(task, [*([before] if before else []), done], done.conditions) is not done:
            return False
        with contextlib.suppress(OSError):  # then there is no ghost
            private.keep(self._ghost(done.task, done.seat, done.conditions), _packed(traces), _MOST)
        return True

    def ghost(self, task: Task, seat: int) -> list[Trace]:
        """Return the traces of the best attempt at a task as it is now; none where there is none."""
        content = private.read(self._ghost(task.id, seat, conditions_of(task)))
        with contextlib.suppress(msgspec.DecodeError):
            return _unpacked(content) if content is not None else []
        return []

    def forget(self, seat: int, task: str = "") -> int:
        """Take out for good the attempts of a seat, at one task or at all; return how many. Raises OSError."""
        gone = self.journal.take_out(lambda one: one.seat == seat and task in ("", one.task))
        for path in self._ghosts().glob(f"{seat}-*{_TRACE}"):
            if not task or path.stem.split("-", 1)[1].rpartition("-")[0] == task:
                private.remove(path)
        return gone

    def _ghosts(self) -> Path:
        return self.folder / "practice"

    def _ghost(self, task: str, seat: int, conditions: str) -> Path:
        return self._ghosts() / f"{seat}-{task}-{conditions}{_TRACE}"


def _packed(traces: Sequence[Trace]) -> bytes:
    def all_of(columns: dict[str, Numbers]) -> dict[str, bytes]:
        return {name: one.astype("<f4").tobytes() for name, one in columns.items()}

    return msgspec.msgpack.encode(
        [
            _Ghost(
                one.lap,
                one.times.astype("<f8").tobytes(),
                all_of(dict(one.values)),
                all_of(dict(one.levers)),
                dict(one.quantities),
                all_of(dict(one.posed)),
            )
            for one in traces
        ]
    )


def _unpacked(content: bytes) -> list[Trace]:
    def all_of(columns: dict[str, bytes]) -> dict[str, Numbers]:
        return {name: np.frombuffer(one, "<f4").astype(np.float64) for name, one in columns.items()}

    return [
        Trace(
            one.lap,
            np.frombuffer(one.times, "<f8").astype(np.float64),
            all_of(one.values),
            all_of(one.levers),
            one.quantities,
            all_of(one.posed),
        )
        for one in msgspec.msgpack.decode(content, type=list[_Ghost])
    ]
