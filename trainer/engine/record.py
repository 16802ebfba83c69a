"""What was done, call by call: enough to do it again bit for bit, and small enough to keep for hours."""

from __future__ import annotations

from array import array
from bisect import bisect_left, bisect_right
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

import numpy as np

from trainer.rows import Rows

__all__ = ["Call", "Record"]

_Controls = tuple[float, ...]


@dataclass(frozen=True, slots=True)
class Call:
    """One call: its length [s], the controls [SI], and parameters changed just before it (name, SI)."""

    length: float
    controls: _Controls
    changes: tuple[tuple[str, float], ...] = ()


class Record:
    """A sequence of calls; lengths in one array, controls and changes only where they change.

    ``numbers``: the machine's numbers [SI] at its start that are not those of the rig it was built from.
    """

    def __init__(self, numbers: Mapping[str, float] | None = None) -> None:
        self.numbers = dict(numbers or {})
        self._lengths = array("d")
        self._control_starts = array("q")
        self._controls = Rows(0, np.float64)
        self._last: _Controls | None = None
        self._changes: dict[int, tuple[tuple[str, float], ...]] = {}

    def add(self, call: Call) -> None:
        """Append one call."""
        if self._last != call.controls:
            if self._last is None:
                self._controls = Rows(len(call.controls), np.float64, newest=1)
            self._control_starts.append(len(self._lengths))
            self._controls.push(call.controls)
            self._last = call.controls
        if call.changes:
            self._changes[len(self._lengths)] = call.changes
        self._lengths.append(call.length)

    def cut(self, count: int) -> None:
        """Forget the calls after the first ``count``."""
        del self._lengths[count:]
        kept = bisect_left(self._control_starts, count)
        del self._control_starts[kept:]
        self._controls.cut(kept)
        self._last = self._row(kept - 1) if kept else None
        self._changes = {index: changes for index, changes in self._changes.items() if index < count}

    def changes_until(self, count: int) -> Iterator[tuple[str, float]]:
        """Yield every changed parameter (name, SI) of the first ``count`` calls, in order."""
        for index, changes in self._changes.items():
            if index < count:
                yield from changes

    def __len__(self) -> int:
        return len(self._lengths)

    def __getitem__(self, index: int) -> Call:
        controls = self._row(bisect_right(self._control_starts, range(len(self))[index]) - 1)
        return Call(self._lengths[index], controls, self._changes.get(index, ()))

    def _row(self, row: int) -> _Controls:
        return tuple(self._controls.row(row).tolist())

    def __iter__(self) -> Iterator[Call]:
        return (self[i] for i in range(len(self)))
