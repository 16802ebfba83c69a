"""Every instant that a session has been through: a record to repeat, and snapshots to repeat it from.

A snapshot every few calls and the record between them give back any instant exactly, at the cost of at most
``EVERY`` calls, and need some ten megabytes an hour.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass

import numpy as np

from trainer.engine.network import Vector
from trainer.engine.ramps import Ramps
from trainer.engine.record import Call, Record
from trainer.rows import Rising, Rows

__all__ = ["EVERY", "History", "Snapshot"]

EVERY = 15  # calls between snapshots
_BLOCK = 64  # snapshots that are pressed at a time


@dataclass(frozen=True, slots=True)
class Snapshot:
    """The state after some calls: states [SI], what is ``kept`` of it in ``pu``, tank [C], totals [J], skins [C]."""

    x: Vector
    kept: Vector
    temperature: float
    totals: Vector
    skin: Vector

    def row(self) -> Vector:
        """Return all its numbers in one row."""
        return np.concatenate((self.x, self.kept, self.totals, self.skin, [self.temperature]))

    def of_row(self, row: Vector) -> Snapshot:
        """Return another one of the same rig by its row."""
        ends = np.cumsum([len(one) for one in (self.x, self.kept, self.totals, self.skin)])
        x, kept, totals, skin, (temperature,) = np.split(row, ends)
        return Snapshot(x, kept, float(temperature), totals, skin)


class History:
    """The calls since the settled start, and snapshots on the way; ``times[k]`` [s] is when call k ended."""

    def __init__(self, start: Snapshot, numbers: Mapping[str, float] | None = None) -> None:
        self.record = Record(numbers)
        self.times = Rising(newest=1)
        self._start = start
        row = start.row()
        self._snapshots = Rows(len(row), np.float64, _BLOCK, newest=1)
        self._snapshots.push(row)
        self.ways: dict[int, Ramps] = {}  # by numbers of calls: what was on its way then
        self.cuts: list[int] = []  # numbers of calls that were left, each time that what came after was forgotten

    def __len__(self) -> int:
        return len(self.times)

    @property
    def end(self) -> float:
        """The latest instant [s]."""
        return self.times[-1] if self.times else 0.0

    @property
    def left(self) -> float:
        """The instant from which the latest going on gave up what came after it [s]."""
        return self.times[self.cuts[-1] - 1] if self.cuts and self.cuts[-1] else 0.0

    def add(self, call: Call, time: float, snapshot: Callable[[], Snapshot]) -> None:
        """Append a call that ended at a time [s]; where a snapshot is due, it is asked for."""
        self.record.add(call)
        self.times.push(time)
        if len(self.times) % EVERY == 0:
            self._snapshots.push(snapshot().row())

    def calls_until(self, time: float) -> int:
        """Return how many calls had ended by a time [s]."""
        return self.times.until(time + 1e-9)

    def before(self, count: int) -> tuple[Snapshot, int]:
        """Return the latest snapshot at or before a number of calls, and the number of calls it stands for."""
        place = min(count // EVERY, self._snapshots.count - 1)
        return self._start.of_row(self._snapshots.row(place).copy()), place * EVERY

    def calls(self, begin: int, end: int) -> Iterator[Call]:
        """Yield the calls from one number to another."""
        return (self.record[k] for k in range(begin, end))

    def cut(self, count: int) -> None:
        """Forget what came after a number of calls."""
        self.cuts.append(count)
        self.record.cut(count)
        self.ways = {calls: ramps for calls, ramps in self.ways.items() if calls <= count}
        self.times.cut(count)
        self._snapshots.cut(count // EVERY + 1)
