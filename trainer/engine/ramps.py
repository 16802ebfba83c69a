"""What goes to a new value gently: loads, moving masses and the oil's temperature, in model time.

A jump would cost a long frame, and no load arrives in no time. How fast the clock runs makes no difference.
"""

from __future__ import annotations

from collections.abc import Callable, Container, Iterator
from dataclasses import dataclass

__all__ = ["RAMP", "RAMPED", "Ramps"]

RAMP = 0.3  # s of model time from one value to another
RAMPED = ("mass", "inertia", "force", "temperature")  # quantities that take it


@dataclass(frozen=True, slots=True)
class _Way:
    target: float
    rate: float  # per second of model time


class Ramps:
    """Values that are on their way, by name [SI]."""

    def __init__(self) -> None:
        self._ways: dict[str, _Way] = {}

    def __bool__(self) -> bool:
        return bool(self._ways)

    def __contains__(self, name: str) -> bool:
        return name in self._ways

    def begin(self, name: str, now: float, target: float) -> None:
        """Send a value on its way; nothing is left of an older way."""
        self.end(name)
        if now != target:
            self._ways[name] = _Way(target, abs(target - now) / RAMP)

    def end(self, name: str) -> None:
        """Let a value stay where it is."""
        self._ways.pop(name, None)

    @property
    def targets(self) -> dict[str, float]:
        """Where each value goes."""
        return {name: way.target for name, way in self._ways.items()}

    def target(self, name: str) -> float:
        """Return where a value goes. Raises KeyError for one that is not on its way."""
        return self._ways[name].target

    def steps(self, seconds: float, now: Callable[[str], float]) -> Iterator[tuple[str, float]]:
        """Yield (name, value) after a stretch of model time [s]; what has arrived is on its way no more."""
        for name, way in [*self._ways.items()]:
            gap, most = way.target - now(name), way.rate * seconds
            there = abs(gap) <= most * (1 + 1e-9)
            if there:
                del self._ways[name]
            yield name, way.target if there else now(name) + (most if gap > 0 else -most)

    def copy(self, without: Container[str] = ()) -> Ramps:
        """Return the same to come back to, without some names."""
        other = Ramps()
        other._ways = {name: way for name, way in self._ways.items() if name not in without}
        return other
