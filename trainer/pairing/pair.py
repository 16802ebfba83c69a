"""Two sessions whose time is one: every call of the solver is made in both, with the same length."""

from __future__ import annotations

import math
from collections.abc import Callable

from trainer.engine.session import FRAME, LONGEST_TICK, Session

__all__ = ["Pair"]

_BUDGET = 0.09  # wall seconds that the calls of one tick may take, of both together


class Pair:
    """Two sessions in step; what a clock asks of a session can be asked of them.

    ``first`` and ``second`` stand at the same time whenever a tick has been answered, but for a call that one of them
    had no time to end: the other one waits for it.
    """

    def __init__(self, first: Session, second: Session) -> None:
        self.first, self.second = first, second
        self.watch: Callable[[], object] = bool  # is told when both stand at another instant
        self.running = False
        self.true_speed = 1.0
        self._speed = 1.0
        self._bank = 0.0  # frames of wall time that have no call yet
        self._length = 0.0  # of the call that is being made in both [s]
        self._left: list[Session] = []  # those that have not made it
        self.freeze()

    @property
    def both(self) -> tuple[Session, Session]:
        """The first and the second."""
        return self.first, self.second

    @property
    def speed(self) -> float:
        """Of the clock, 1 in real time."""
        return self._speed

    @speed.setter
    def speed(self, speed: float) -> None:
        self._speed = speed

    @property
    def time(self) -> float:
        """Model time since the start [s]: of the one that is behind, where one is."""
        return min(session.time for session in self.both)

    @property
    def end(self) -> float:
        """The latest instant that both have been at [s]."""
        return min(session.history.end for session in self.both)

    @property
    def calls_a_frame(self) -> int:
        """How many calls of the solver each makes in a frame of 1/60 s of wall time at the chosen speed."""
        return max(1, math.ceil(self._speed - 1e-9))

    @property
    def notices(self) -> tuple[str, str]:
        """What each has to say to the operator, "" for nothing."""
        return self.first.notice, self.second.notice

    # -- what moves time ------------------------------------------------------------------------------------

    def run(self) -> None:
        """Let time pass."""
        self.running = True
        self._bank = 0.5  # the nearest frame, not the one before
        self.true_speed = self._speed

    def freeze(self) -> None:
        """Stop time; everything stays as it is."""
        self.running = False
        for session in self.both:
            session.freeze()

    def tick(self, wall_seconds: float, clock: Callable[[], float] | None = None) -> int:
        """Answer for wall seconds of a live window, and return how many calls each has made.

        Whole frames pass, what is left of one is kept for the next tick, what there was no time for is dropped. A
        call that fails in one of them freezes both, and its session's ``trouble`` says why.
        """
        if not self.running or wall_seconds <= 0:
            return 0
        most = LONGEST_TICK / FRAME
        self._bank = min(self._bank + min(wall_seconds / FRAME, most), most)
        each = self.calls_a_frame
        count, length = int(self._bank + 1e-6) * each, self._speed / each * FRAME
        begin, reached, done = (clock() if clock else 0.0), self.time, 0
        for _ in range(count):
            if not self._call(length, clock):
                self._bank = done / each  # the time that is lost with it
                break
            done += 1
            if clock and clock() - begin > _BUDGET:
                break
        self._bank -= done / each
        if done:
            self.watch()
        reached = (self.time - reached) / wall_seconds
        self.true_speed += (reached - self.true_speed) * min(1.0, wall_seconds / 0.5)
        return done

    def _call(self, length: float, clock: Callable[[], float] | None = None) -> bool:
        """Let both make one call, or end the one that one of them has not made; return whether both have."""
        if not self._left:
            self._left, self._length = [*self.both], length
        while self._left:
            session = self._left[0]
            if not session.try_call(self._length, clock):
                if session.trouble:
                    self.running = False
                return False
            del self._left[0]
        return True

    def step(self, seconds: float = FRAME) -> None:
        """Freeze, and move both on by one stretch [s] of at most a tenth of a second."""
        self.freeze()
        if self._call(min(seconds, 0.1)):
            self.watch()

    def rewind(self, time: float) -> None:
        """Freeze, and show the instant of both at or just before a time [s] that has been; later ones are kept."""
        self.freeze()
        self._left = []
        for session in self.both:
            session.rewind(time)
        self.watch()

    def reset(self) -> None:
        """Return both to their settled starts; raises SolverError where one of them has none."""
        self.freeze()
        self._left = []
        for session in self.both:
            session.reset()
        self.watch()
