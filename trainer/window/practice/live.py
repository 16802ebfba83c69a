"""An attempt on the live session: fed with every call, watched for late pictures, with what is to be kept of it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

from trainer.engine.readings import Readings
from trainer.engine.session import Session
from trainer.language import tr
from trainer.practice.attempt import SLOW_PICTURE, Attempt, State
from trainer.practice.kept import Done
from trainer.practice.task import Task
from trainer.practice.trace import Trace

__all__ = ["Live"]

_LEAST = 50.0  # pictures a second with which a hand can be judged
_OVER = 1.0  # s over which they are counted


@dataclass(slots=True)
class Live:
    """``number`` counts the learner's attempts at the task, ``before`` is the best one so far, ``ghost`` its traces.

    ``sessions`` are those of the laps, kept to be looked at again; ``test`` is which attempt of a retention test.
    """

    task: Task
    attempt: Attempt
    number: int
    aid: str
    before: Done | None = None
    best_number: int = 0
    ghost: Sequence[Trace] = ()
    test: int = 0
    sessions: list[Session] = field(default_factory=list)
    recorded: bool = False
    _seconds: float = 0.0
    _pictures: int = 0

    @property
    def session(self) -> Session:
        """The session of the lap that is run."""
        return self.sessions[-1]

    @property
    def over(self) -> bool:
        """Whether nothing more comes of it."""
        return self.attempt.state.over

    def feed(self, now: Readings) -> None:
        """Take one instant of the session."""
        self.attempt.look(self.session)
        self.attempt.take(now)

    def count_picture(self, seconds: float) -> None:
        """Take that a picture came so many wall seconds after the one before."""
        if self.attempt.state is not State.RUNNING:
            self._seconds, self._pictures = 0.0, 0
            return
        self._seconds += seconds
        self._pictures += 1
        if self._seconds >= _OVER:
            if self._pictures < _LEAST * self._seconds - 1.0:
                self.attempt.spoil(tr(SLOW_PICTURE))
            self._seconds, self._pictures = 0.0, 0
