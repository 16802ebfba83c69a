"""What an axis of a controller becomes: its travel with centre, ends, dead zone, direction, curve; how it is found.

Raw values are -1 … 1, as a driver gives them; shares are those of a lever's travel, -1 … 1.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Literal

import msgspec

__all__ = ["CURVES", "DEAD", "Calibrating", "Travel"]

CURVES = (0.0, 0.3, 0.6, 0.9)  # from a straight line to much finer about the centre
DEAD = (0.0, 0.04, 0.08, 0.12, 0.16, 0.2, 0.25, 0.3)  # dead zones to choose from
_LEAST_DEAD, _MOST_DEAD, _MARGIN = 0.04, 0.3, 1.5  # of one that is found; over what trembles at rest
_AT_REST = 0.1  # raw: what moves by more was not let go
_MOVED = 0.4  # raw: an end that is no farther from the centre was not gone to

Input = tuple[str, str]  # key of a controller, name of what it has


class Travel(msgspec.Struct, frozen=True):
    """The travel of one axis: raw values of its ends and of its ``centre``, and how it is felt.

    Within ``dead``, a share of the way from the centre, it counts as let go. ``curve`` 0 is a straight line, 1 the
    third power: little movement moves less. ``turned``: the other way round.
    """

    low: float = -1.0
    centre: float = 0.0
    high: float = 1.0
    dead: float = 0.08
    curve: float = 0.0
    turned: bool = False

    @property
    def usable(self) -> bool:
        """Whether its numbers are those of a travel; they may come from a file that somebody wrote in."""
        numbers = (self.low, self.centre, self.high, self.dead, self.curve)
        return (
            all(map(math.isfinite, numbers))
            and self.low < self.centre - 0.01
            and self.centre + 0.01 < self.high
            and 0.0 <= self.dead <= 0.9
            and 0.0 <= self.curve <= 1.0
        )

    @property
    def zone(self) -> tuple[float, float]:
        """The raw places between which it counts as let go."""
        return self.centre - self.dead * (self.centre - self.low), self.centre + self.dead * (self.high - self.centre)

    def share(self, raw: float) -> float:
        """Return the share of a lever's travel: 0 within the dead zone, 1 and -1 at the ends, without a step."""
        half = self.high - self.centre if raw >= self.centre else self.centre - self.low
        way = min(abs(raw - self.centre) / half, 1.0)
        felt = max(way - self.dead, 0.0) / (1.0 - self.dead)
        felt = (1.0 - self.curve) * felt + self.curve * felt**3
        return math.copysign(felt, (raw - self.centre) * (-1 if self.turned else 1)) if felt else 0.0


class Calibrating:
    """Finds travels while hands do what they are told: let go of all (``rest``), then go to all ends (``ends``).

    ``phase`` is "rest", "ends" or "done". ``take`` is told the raw values of every axis before each frame.
    """

    def __init__(self, before: Mapping[Input, Travel]) -> None:
        self.before = dict(before)
        self.phase: Literal["rest", "ends", "done"] = "rest"
        self._least: dict[Input, float] = {}
        self._most: dict[Input, float] = {}
        self._centre: dict[Input, tuple[float, float]] = {}  # the middle of what was seen at rest, half its breadth

    def take(self, raw: Mapping[Input, float]) -> None:
        """Take the raw values of one frame."""
        for name, value in raw.items():
            self._least[name] = min(value, self._least.get(name, value))
            self._most[name] = max(value, self._most.get(name, value))

    def at_rest(self) -> bool:
        """End the first phase; False where something moved, and all is looked at once more."""
        breadth = {name: (self._most[name] - self._least[name]) / 2 for name in self._least}
        still = bool(breadth) and all(half <= _AT_REST for half in breadth.values())
        if still:
            self._centre = {
                name: ((self._most[name] + self._least[name]) / 2, half) for name, half in breadth.items()
            }
            self.phase = "ends"
        self._least, self._most = {}, {}
        return still

    def moved(self) -> dict[Input, tuple[bool, bool]]:
        """Return which ends of each axis have been gone to so far, the lower and the upper one."""
        return {
            name: (centre - self._least.get(name, centre) > _MOVED, self._most.get(name, centre) - centre > _MOVED)
            for name, (centre, _) in self._centre.items()
        }

    def found(self) -> dict[Input, Travel]:
        """End it; return the travels of what went to both its ends: the others stay as they were."""
        self.phase = "done"
        result = {}
        for name, ends in self.moved().items():
            if all(ends):
                centre, trembles = self._centre[name]
                low, high = self._least[name], self._most[name]
                dead = _MARGIN * trembles / min(centre - low, high - centre)
                dead = min(max(round(dead, 2), _LEAST_DEAD), _MOST_DEAD)
                old = self.before.get(name, Travel())
                result[name] = Travel(low, centre, high, max(dead, old.dead), old.curve, old.turned)
        return result
