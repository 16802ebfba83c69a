"""Scripted hands: they see what a learner sees, move levers no faster than an arm, and are deterministic."""

from __future__ import annotations

import math
from collections import deque
from collections.abc import Callable, Mapping

from trainer.engine.session import FRAME, Session
from trainer.lessons.running import set_then
from trainer.practice.attempt import Attempt, State, rig_of
from trainer.practice.task import Lap, Task
from trainer.rig.rig import Rig

__all__ = ["Hand", "drive"]

Levers = dict[str, float]
Hand = Callable[[float, Mapping[str, float]], Levers]  # time of the lap, readings by letter -> levers wanted
_OUT, _BACK = 2.0, 5.0  # travels a second: an arm, and the lever's spring


_RIGS: dict[tuple[str, str], Rig] = {}  # what is built of one is kept as long as it is the very same


def _rig(task: Task, lap: Lap) -> Rig:
    return _RIGS.setdefault((task.rig_name, repr(lap.run)), rig_of(task, lap))


def drive(task: Task, hands: Callable[[Lap], Hand], number: int = 0, seat: int = 0) -> Attempt:
    """Let hands make an attempt to its end, in calls of a live window."""
    attempt = Attempt(task, seat, number)
    while not attempt.state.over:
        if attempt.state is State.LAP_DONE:
            attempt.next_lap()
        session = Session(_rig(task, attempt.lap))
        set_then(session, attempt.lap.run)
        hand = hands(attempt.lap)
        attempt.take(session.readings)
        begin = session.time
        while not attempt.state.over and attempt.state is not State.LAP_DONE:
            for name, wanted in hand(session.time - begin, attempt.values).items():
                now = session.control(name)
                fast = (_OUT if abs(wanted) > abs(now) else _BACK) * FRAME
                session.set_control(name, min(max(wanted, now - fast), now + fast))
            session.advance(FRAME, FRAME)
            attempt.take(session.readings)
    return attempt


class Careful:
    """A practised hand on one lever: it follows a wanted speed, starting just below where the load starts.

    ``crack`` are the levers at which it starts one way and the other, ``gain`` the lever for a speed [s/m or s/rad].
    It looks where the load goes, and corrects slowly; ``firm`` is how much of an error it corrects at once.
    """

    def __init__(
        self, speed: str, wanted: Callable[[float, Mapping[str, float]], float], crack: tuple[float, float],
        gain: float, pull: float = 1.2, most: float = 1.0, rise: float = 1.5, firm: float = 0.0,
    ) -> None:  # fmt: skip
        self.speed, self.wanted, self.crack, self.gain = speed, wanted, crack, gain
        self.pull, self.most, self.rise, self.firm = pull, most, rise, firm
        self.more, self.lever = 0.0, 0.0

    def __call__(self, time: float, values: Mapping[str, float]) -> float:
        """Return where the lever is wanted."""
        wanted = self.wanted(time, values)
        if wanted == 0.0:
            self.more = 0.0
            aim = 0.0
        else:
            ready = self.crack[0] if wanted > 0 else -self.crack[1]
            if abs(self.lever) >= 0.9 * abs(ready):
                self.more += self.pull * self.gain * (wanted - values[self.speed]) * FRAME
                self.more = min(max(self.more, -0.4), 0.4)
            aim = ready + self.gain * (wanted + self.firm * (wanted - values[self.speed])) + self.more
            aim = max(0.0, aim) if wanted > 0 else min(0.0, aim)
        step = self.rise * FRAME
        self.lever = min(max(aim, self.lever - step), self.lever + step)
        self.lever = min(max(self.lever, -self.most), self.most)
        return self.lever


class Delayed:
    """What a slow eye sees: values of some time ago."""

    def __init__(self, seconds: float) -> None:
        self._seen: deque[Mapping[str, float]] = deque(maxlen=max(1, round(seconds / FRAME)))

    def __call__(self, values: Mapping[str, float]) -> Mapping[str, float]:
        self._seen.append(values)
        return self._seen[0]


def towards(place: str, target: float, fastest: float, within: float, slope: float = 1.6) -> Callable[..., float]:
    """Return the speed of a practised stop: fast on the way, in proportion to what is left at the end."""

    def wanted(_: float, values: Mapping[str, float]) -> float:
        left = target - values[place]
        return 0.0 if abs(left) < within else math.copysign(min(fastest, slope * abs(left)), left)

    return wanted


def bang(
    place: str, target: float, within: float, lever: float, calmest: tuple[float, float], delay: float = 0.25
) -> Callable[..., float]:
    """Return a clumsy stop: all of the lever until it is seen to be past, then back the other way, again and again.

    Each time it takes less of it, down to the ``calmest`` that still moves up and down.
    """
    eye, way, turned = Delayed(delay), 0.0, 0

    def wanted(time: float, values: Mapping[str, float]) -> float:
        nonlocal way, turned
        left = target - eye(values)[place]
        if way * left < 0 or (way and abs(left) < within):
            way = 0.0
            turned += 1
        elif way == 0.0 and abs(left) > within:
            way = math.copysign(1.0, left)
        least = calmest[0] if way > 0 else calmest[1]
        return way * max(least, lever * 0.7**turned)

    return wanted


def hunting(
    speed: str, low: float, high: float, first: float, step: float = 0.16, delay: float = 0.3, calms: float = 1.0
) -> Callable[..., float]:
    """Return a clumsy hold: too far at once, then a large step each time it looks, always late; it may calm down."""
    eye, lever, looked = Delayed(delay), first, 0.4

    def wanted(time: float, values: Mapping[str, float]) -> float:
        nonlocal lever, looked, step
        seen = eye(values)[speed]
        if time >= looked:
            looked += delay
            step *= calms
            lever += step if seen < low else -step if seen > high else 0.0
        return min(max(lever, -1.0), 1.0)

    return wanted
