"""What a score card tells of an attempt: its score, the best one before it, the ladder after it, what to try next."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field

from trainer.drawing.machine_pose import Pose
from trainer.engine.session import Session
from trainer.language import tr
from trainer.practice.advising import Advice, advice
from trainer.practice.attempt import Attempt
from trainer.practice.catalogue import MEASURES
from trainer.practice.kept import Done
from trainer.practice.ladder import LAST, Ladder
from trainer.practice.posed import pose_at
from trainer.practice.score import Band, Score
from trainer.practice.task import Task
from trainer.practice.telling import told
from trainer.practice.trace import Trace
from trainer.units import System
from trainer.window.practice.fixed import conditions_words, fixed_rows

__all__ = ["Card"]


@dataclass(slots=True)
class Card:
    """An attempt that is done. ``number`` counts the learner's attempts at the task from 1.

    ``before`` is the best attempt before this one, ``ghost`` its traces, ``best_number`` its number. ``shown`` are
    the measures that stand in front, ``lap`` is the one whose traces are shown, from 0; ``apart``: the best attempt
    stands beside it, where there is a machine with both of them at an instant.
    """

    task: Task
    attempt: Attempt
    score: Score
    done: Done
    number: int
    ladder: Ladder
    before: Done | None = None
    best_number: int = 0
    ghost: Sequence[Trace] = ()
    session: Session | None = None  # of its last lap
    shown: list[str] = field(default_factory=list)
    lap: int = 0
    apart: bool = False
    chosen: float | None = None  # s, the instant at which both machines are shown

    def __post_init__(self) -> None:
        if not self.shown:
            self.shown = [one.id for one in self.score.shown]
        self.lap = min(self.advice.lap, max(len(self.attempt.traces) - 1, 0))

    @property
    def advice(self) -> Advice:
        """What to try next."""
        values = self.before.values if self.before is not None else None
        return advice(self.attempt, self.score, self.ghost, values)

    def conditions(self, system: System) -> str:
        """Return in one line under which conditions it was done; what each lap has otherwise is left out."""
        if self.session is None:
            return ""
        rows = fixed_rows(self.session, self.task, self.attempt.lap, system, False)
        return conditions_words([row for row in rows if len(self.task.laps) == 1 or row[0] != tr("load")])

    @property
    def others(self) -> list[str]:
        """The measures that do not stand in front, those of the task first."""
        first = [id_ for id_ in self.task.shown if id_ in self.score.values]
        return [
            id_ for id_ in dict.fromkeys([*first, *MEASURES]) if id_ in self.score.values and id_ not in self.shown
        ]

    def swap_in(self, measure: str) -> None:
        """Put a measure in front, in the place of the one of its kind."""
        if measure not in self.score.values or measure in self.shown:
            return
        kind = MEASURES[measure].kind
        places = [k for k, id_ in enumerate(self.shown) if MEASURES[id_].kind == kind]
        place = places[-1] if places else len(self.shown) - 1
        self.shown[place] = measure

    def best(self, measure: str) -> float | None:
        """Return what a measure was in the best attempt before [SI]."""
        return None if self.before is None else self.before.values.get(measure)

    @property
    def trace(self) -> Trace:
        """The lap whose traces are shown."""
        return self.attempt.traces[self.lap]

    @property
    def best_trace(self) -> Trace | None:
        """The same lap of the best attempt."""
        name = self.attempt.laps[self.lap].name
        return next((one for one in self.ghost if one.lap == name), None)

    def pose(self, best: bool, seconds: float) -> Pose | None:
        """Return how the machine stood, here or in the best attempt; None where that is not known."""
        trace = self.best_trace if best else self.trace
        if trace is None or self.session is None:
            return None
        return pose_at(self.session.rig, trace, seconds, self.session.readings)

    @property
    def machines(self) -> bool:
        """Whether both machines stand beside each other."""
        return self.apart and all(self.pose(best, 0.0) is not None for best in (False, True))

    @property
    def until(self) -> float:
        """How long the longer one of the laps beside each other is [s]."""
        return max(float(one.times[-1]) for one in (self.trace, self.best_trace) if one is not None and len(one))

    @property
    def best_words(self) -> str:
        """What the best attempt is called, "" without one."""
        return tr("best run, attempt {number}").format(number=self.best_number) if self.before is not None else ""

    @property
    def is_best(self) -> bool:
        """Whether this attempt is better than all before it."""
        best = self.ladder.best(self.task)
        return self.before is not None and best is not None and best.when == self.done.when

    def headline(self, system: System) -> str:
        """Return what happened, in one sentence."""
        return self.score.headline(system)

    def spread(self, system: System) -> str:
        """Return in a sentence how near to each other the last attempts were, "" for one."""
        measure = self.task.shown[0]
        mean, deviation = self.ladder.last(self.task, measure)
        count = min(len(self.ladder.course(self.task, measure)), LAST)
        if count < 2 or math.isnan(mean):
            return ""
        quantity = self.score.quantities[measure]
        return tr("Last {count}: {mean} ± {deviation}.").format(
            count=count,
            mean=told(measure, mean, quantity, system),
            deviation=told(measure, deviation, quantity, system),
        )

    def next_words(self) -> str:
        """Return in a sentence what becomes of the aid."""
        standing = self.ladder.standing(self.task)
        if standing.moved:
            return standing.moved
        aids = self.task.aids
        if standing.aid in aids[:-1] and self.done.aid == standing.aid:
            return tr("Two of three attempts practised, and the next one is with less help.")
        return ""

    @property
    def band(self) -> Band | None:
        """The band of the measure that counts first."""
        first = self.task.shown[0]
        return self.score.one(first).band if first in self.score.values else None
