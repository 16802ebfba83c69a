"""Accounts whose entries sum to their total: what the flow ledger and the power ledger say."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

__all__ = ["Entry", "Ledger", "percentages", "rounded"]


@dataclass(frozen=True, slots=True)
class Entry:
    """One line of a ledger.

    ``id`` is its account's, the same in every language; ``name`` is what is read. ``style`` says how it is filled:
    "useful", "past", "metering", "pump", "relief", "leakage", "lines", "friction", "stored". ``parts`` are the ids of
    the parts behind it. ``note`` tells what it is just now.
    """

    id: str
    name: str
    value: float
    style: str
    parts: tuple[str, ...] = ()
    note: str = ""

    @property
    def shown(self) -> str:
        """What it is called now: its name, what follows a comma in it replaced by the note where there is one."""
        return f"{self.name.partition(',')[0]}, {self.note}" if self.note else self.name


@dataclass(frozen=True, slots=True)
class Ledger:
    """A total [SI unit of ``quantity``] and the entries that sum to it, with a closing sentence's numbers.

    ``id``: "flow" and "power" of an instant; "paid", "used" and "oil" of a stretch.

    ``closing`` is a list of (words, value) pairs, such as ("Back at the tank", 3.4e-4).
    """

    id: str
    name: str
    quantity: str
    total: float
    entries: tuple[Entry, ...]
    closing: tuple[tuple[str, float], ...] = ()


def rounded(total: float, values: Sequence[float], step: float) -> tuple[int, list[int]]:
    """Return total and values as whole multiples of ``step`` whose sum is exact (largest remainder).

    The values must sum to the total within a step; what is left over goes to the largest remainders.
    """
    whole = round(total / step)
    parts = [math.floor(value / step) for value in values]
    order = sorted(range(len(values)), key=lambda i: parts[i] - values[i] / step)
    missing = whole - sum(parts)
    for k in range(abs(missing) if values else 0):
        parts[order[k % len(order)] if missing > 0 else order[-1 - k % len(order)]] += 1 if missing > 0 else -1
    return whole, parts


def percentages(values: Sequence[float]) -> list[int]:
    """Return whole percentages of the sum of values >= 0 that add up to 100, or zeros for nothing."""
    total = sum(values)
    if total <= 0:
        return [0] * len(values)
    return rounded(100.0, [100.0 * value / total for value in values], 1.0)[1]
