"""Sums that grow over time, row by row for hours, in double precision: what a difference of two rows is exact of."""

from __future__ import annotations

from array import array
from bisect import bisect_right
from collections.abc import Sequence
from typing import Any

import numpy as np

from trainer.rows import Rows

__all__ = ["RunningSums"]

_Vector = np.ndarray[Any, np.dtype[np.float64]]
_SLACK = 1e-9  # s
_KNOWN = 4096  # rows that were asked for and are held: a picture of a long stretch asks for the same again and again


class RunningSums:
    """Rows of cumulative sums over time, in blocks; read between its rows in straight lines."""

    def __init__(self, columns: int) -> None:
        self.columns = columns
        self.times = array("d")
        self._rows = Rows(columns, np.float64, newest=2)
        self._known: dict[int, _Vector] = {}

    def push(self, time: float, row: _Vector) -> None:
        """Add a row after the others."""
        self._rows.push(row)
        self.times.append(time)

    def cut(self, time: float) -> None:
        """Forget the rows after a time."""
        del self.times[bisect_right(self.times, time + _SLACK) :]
        self._rows.cut(len(self.times))
        self._known.clear()

    def rows(self, numbers: np.ndarray[Any, np.dtype[np.intp]]) -> _Vector:
        """Return rows by their numbers, each row a line."""
        wanted = dict.fromkeys(numbers.tolist())
        if new := [number for number in wanted if number not in self._known]:
            if len(self._known) + len(new) > _KNOWN:
                self._known, new = {}, [*wanted]
            self._known.update(zip(new, self._rows.some(np.array(new)), strict=True))
        return np.array([self._known[number] for number in numbers.tolist()]).reshape(-1, self.columns)

    def at(self, times: Sequence[float] | _Vector) -> _Vector:
        """Return the sums at some times, held at the first and the last row beyond them (times, columns)."""
        if not self.times:
            return np.zeros((len(times), self.columns))
        known, wanted = np.frombuffer(self.times), np.clip(times, self.times[0], self.times[-1])
        upper = np.clip(np.searchsorted(known, wanted), min(1, len(known) - 1), len(known) - 1)
        lower = np.maximum(upper - 1, 0)
        span = known[upper] - known[lower]
        share = np.where(span > 0, (wanted - known[lower]) / np.where(span > 0, span, 1.0), 1.0)
        low = self.rows(lower)
        found: _Vector = low + share[:, None] * (self.rows(upper) - low)
        return found
