"""What was done, call by call: enough to do it again bit for bit, and small enough to keep for hours."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

import numpy as np

from trainer.rows import Rising, Rows

__all__ = ["Call", "Record"]


@dataclass(frozen=True, slots=True)
class Call:
    """One call: its length [s], the controls [SI], and parameters changed just before it (name, SI)."""

    length: float
    controls: tuple[float, ...]
    changes: tuple[tuple[str, float], ...] = ()


class Record:
    """A sequence of calls; lengths, controls and changes are kept only where they change.

    ``numbers``: the machine's numbers [SI] at its start that are not those of the rig it was built from.
    """

    def __init__(self, numbers: Mapping[str, float] | None = None) -> None:
        self.numbers = dict(numbers or {})
        self._count = 0
        self._starts = Rising(newest=1)  # the calls at which length or controls are others than before
        self._rows = Rows(0, np.float64)  # length and controls from there on
        self._last: Call | None = None
        self._changes: dict[int, tuple[tuple[str, float], ...]] = {}

    def add(self, call: Call) -> None:
        """Append one call."""
        last = self._last
        if last is None or last.controls != call.controls or last.length != call.length:
            if last is None:
                self._rows = Rows(1 + len(call.controls), np.float64, newest=1)
            self._starts.push(self._count)
            self._rows.push((call.length, *call.controls))
            self._last = call
        if call.changes:
            self._changes[self._count] = call.changes
        self._count += 1

    def cut(self, count: int) -> None:
        """Forget the calls after the first ``count``."""
        self._count = min(count, self._count)
        kept = self._starts.until(count, before=True)
        self._starts.cut(kept)
        self._rows.cut(kept)
        self._last = self[self._count - 1] if kept else None
        self._changes = {index: changes for index, changes in self._changes.items() if index < count}

    def changes_until(self, count: int) -> Iterator[tuple[str, float]]:
        """Yield every changed parameter (name, SI) of the first ``count`` calls, in order."""
        for index, changes in self._changes.items():
            if index < count:
                yield from changes

    def __len__(self) -> int:
        return self._count

    def __getitem__(self, index: int) -> Call:
        index = range(self._count)[index]
        length, *controls = self._rows.row(self._starts.until(index) - 1).tolist()
        return Call(length, tuple(controls), self._changes.get(index, ()))

    def __iter__(self) -> Iterator[Call]:
        return (self[i] for i in range(len(self)))
