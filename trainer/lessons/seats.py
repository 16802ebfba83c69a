"""Numbers by seat: the same lesson, task, seat and try give the same numbers on every computer.

They follow from SHA-256 of the four, never from a generator that another version may replace. Seat 0 is the
teacher's: its first try has the rig's own numbers.
"""

from __future__ import annotations

import hashlib
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TypeVar

from trainer.lessons.lesson import Variation

__all__ = ["TEACHER", "Seed"]

TEACHER = 0
_One = TypeVar("_One")


@dataclass(frozen=True, slots=True)
class Seed:
    """What numbers follow from. ``draw`` counts those that were refused for this try."""

    lesson: str
    exercise: str
    seat: int
    attempt: int = 0
    draw: int = 0

    def number(self, of: str) -> int:
        """Return a whole number that depends on the seed and a word, evenly spread below 2^64."""
        told = f"{self.lesson}\n{self.exercise}\n{self.seat}\n{self.attempt}\n{self.draw}\n{of}"
        return int.from_bytes(hashlib.sha256(told.encode()).digest()[:8], "big")

    def numbers(self, vary: Sequence[Variation]) -> dict[str, float]:
        """Return the varied numbers [SI]; none for the teacher's first try, which has the rig's own."""
        if self.seat == TEACHER and self.attempt == 0 and self.draw == 0:
            return {}
        return {one.name: one.values[self.number(one.name) % len(one.values)] for one in vary}

    def shuffled(self, what: str, items: Sequence[_One]) -> list[_One]:
        """Return things in an order that depends on the seed; what is refused keeps the order of others in place."""
        keyed = [(self.number(f"{what} {k}"), k) for k in range(len(items))]
        return [items[k] for _, k in sorted(keyed)]
