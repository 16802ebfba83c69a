"""A time series: what was measured over time, sample by sample for hours, and quickly drawn at every length.

Rows are float32, their times float64; old ones are pressed without loss (``rows``). Above them stands a pyramid: the
least and the greatest of every 8 samples, of every 64, and so on, so that a picture of an hour costs no more than one
of half a minute.
Where samples stand further apart than a series allows, nothing is known in between: a gap, never a straight line.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from trainer.rows import Rising, Rows

__all__ = ["TimeSeries"]

_BLOCK = 256  # rows of a block
_FEW = 8  # rows of one level that make one row of the next
_LEVELS = 7  # a bucket of the highest has 8**6 samples: more than an hour at 60 a second


class TimeSeries:
    """Values by name over time; each sample stands at its time [s], and times rise.

    Values are kept as float32 (seven digits) in the unit they are given in, times as float64. Samples further apart
    than ``longest`` [s] have a gap between them, where nothing was measured.
    """

    def __init__(self, names: Sequence[str], longest: float = math.inf) -> None:
        self.names = tuple(names)
        self.longest = longest
        self._columns = {name: k for k, name in enumerate(self.names)}
        if len(self._columns) != len(self.names):
            raise ValueError("every column of a time series needs a name of its own")
        self.clear()

    def clear(self) -> None:
        """Forget all samples."""
        width = len(self.names)
        self._times = Rising(_BLOCK)
        self._lows = [Rows(width, np.float32, _BLOCK) for _ in range(_LEVELS)]
        self._highs = [self._lows[0], *(Rows(width, np.float32, _BLOCK) for _ in range(_LEVELS - 1))]
        self._begins = [self._times.rows, *(Rows(1, np.float64, _BLOCK) for _ in range(_LEVELS - 1))]
        self._first = 0  # running number of the first sample kept
        self._end = math.nan
        self._sums: list[np.ndarray] = []  # time integrals of each whole block, to the next one's begin, by column
        self._gaps: list[tuple[float, float]] = []  # the samples before and after each [s]

    def __len__(self) -> int:
        return len(self._times) - self._first

    @property
    def begin(self) -> float:
        """Time of the first sample [s]; nan without one."""
        return self._times[self._first] if len(self) else math.nan

    @property
    def end(self) -> float:
        """Time of the newest sample [s]; nan without one."""
        return self._end

    # -- writing -------------------------------------------------------------------------------------------

    def push(self, time: float, row: Sequence[float] | np.ndarray) -> None:
        """Add a sample, one value per name; a time at or before the end first cuts what came later.

        ValueError where the row has another length or the time is no number.
        """
        if not math.isfinite(time):
            raise ValueError("a sample needs a time that is a number")
        if len(row) != len(self.names):
            raise ValueError(f"a sample has {len(self.names)} values, not {len(row)}")
        if time <= self._end:
            self._keep(self._number(time, before=True))
        if time - self._end > self.longest:
            self._gaps.append((self._end, time))
        with np.errstate(over="ignore"):
            self._lows[0].push(row)
        self._times.push(time)
        self._end = time
        if len(self._times) % _BLOCK == 1 and len(self._times) > 1:
            self._sum_up()
        level = 0
        while level + 1 < _LEVELS and self._lows[level].count % _FEW == 0:
            low, high = self._lows[level].tail(_FEW), self._highs[level].tail(_FEW)
            since = self._begins[level].tail(_FEW)[0]
            level += 1
            self._lows[level].push(np.fmin.reduce(low, axis=0))
            self._highs[level].push(np.fmax.reduce(high, axis=0))
            self._begins[level].push(since)

    def _sum_up(self) -> None:
        """Sum up the block that has just become whole, to the sample that was pushed last."""
        numbers = np.arange(len(self._times) - 1 - _BLOCK, len(self._times))
        values, times = self._lows[0].some(numbers).astype(np.float64), self._times.rows.some(numbers)
        with np.errstate(invalid="ignore"):  # of values without an end
            self._sums.append(np.sum(np.diff(times, axis=0) * (values[1:] + values[:-1]), axis=0) / 2)

    def cut(self, time: float) -> None:
        """Forget the samples after a time [s]."""
        if self._end > time:
            self._keep(self._number(time))

    def keep_newest(self, count: int) -> None:
        """Give back the room of samples older than the newest ``count``, by whole blocks of some seconds."""
        first = max(len(self._times) - count, 0) // _BLOCK * _BLOCK
        if first > self._first:
            self._first = first
            for level, rows in self._everything():
                rows.forget(first // _FEW**level)
            self._times.rows.forget(first)

    def _everything(self) -> list[tuple[int, Rows]]:
        """Return all rows but the times with their level; those of level 0 are there once."""
        above = [*enumerate(self._lows), *enumerate(self._highs), *enumerate(self._begins)]
        return [(0, self._lows[0]), *((level, rows) for level, rows in above if level)]

    def _keep(self, count: int) -> None:
        if count <= self._first:
            self.clear()
            return
        for level, rows in self._everything():
            rows.cut(count // _FEW**level)
        self._times.cut(count)
        del self._sums[(count - 1) // _BLOCK :]
        self._end = self._times[count - 1]
        self._gaps = [gap for gap in self._gaps if gap[1] <= self._end]

    def copy(self) -> TimeSeries:
        """Return a time series with the same samples; what happens to one leaves the other alone."""
        made = TimeSeries(self.names, self.longest)
        made._times = self._times.copy()
        made._lows = [rows.copy() for rows in self._lows]
        made._highs = [made._lows[0], *(rows.copy() for rows in self._highs[1:])]
        made._begins = [made._times.rows, *(rows.copy() for rows in self._begins[1:])]
        made._first, made._end = self._first, self._end
        made._gaps = list(self._gaps)
        made._sums = list(self._sums)
        return made

    def wider(self, names: Sequence[str]) -> TimeSeries:
        """Return a time series with these columns and the same samples; nan where a column was not measured."""
        made = TimeSeries(names, self.longest)
        places = [self._columns.get(name, -1) for name in names]
        made._times = self._times.copy()
        made._lows = [rows.chosen(places) for rows in self._lows]
        made._highs = [made._lows[0], *(rows.chosen(places) for rows in self._highs[1:])]
        made._begins = [made._times.rows, *(rows.copy() for rows in self._begins[1:])]
        made._first, made._end = self._first, self._end
        made._gaps = list(self._gaps)
        made._sums = [np.where(np.array(places) < 0, math.nan, sums[places]) for sums in self._sums]
        return made

    # -- reading -------------------------------------------------------------------------------------------

    def _number(self, time: float, before: bool = False) -> int:
        """Return how many samples, from the first ever, stand at or before a time (``before``: earlier than it)."""
        return max(self._times.until(time, before), self._first)

    def at(self, time: float) -> np.ndarray | None:
        """Return the values at or just before a time, in the order of the names; None before the first sample."""
        count = self._number(time)
        return self._lows[0].row(count - 1).astype(np.float64) if count > self._first else None

    def gaps(self, begin: float, end: float) -> list[tuple[float, float]]:
        """Return the gaps [s] that reach into a stretch, each from the sample before it to the one after."""
        return [gap for gap in self._gaps if gap[0] < end and gap[1] > begin]

    def value(self, name: str, time: float) -> float:
        """Return a value between its samples, in a straight line; nan where nothing was measured."""
        column = self._columns[name]
        if not len(self) or not self.begin <= time <= self._end or self.gaps(time, time):
            return math.nan
        count = self._number(time)
        first, last = count - 1, min(count, len(self._times) - 1)
        low, high = float(self._lows[0].row(first)[column]), float(self._lows[0].row(last)[column])
        since, until = self._times[first], self._times[last]
        return low if until == since else low + (high - low) * (time - since) / (until - since)

    def column(self, name: str, begin: float, end: float) -> tuple[np.ndarray, np.ndarray]:
        """Return (times, values) of every sample at begin <= t <= end."""
        return self._samples(self._number(begin, before=True), self._number(end), self._columns[name])

    def _samples(self, first: int, last: int, column: int) -> tuple[np.ndarray, np.ndarray]:
        values = self._lows[0].part(first, last, column)
        return self._times.part(first, last).copy(), values.astype(np.float64)

    def drawn(self, name: str, begin: float, end: float, most: int = 800) -> tuple[np.ndarray, np.ndarray]:
        """Return (times, values) of at most ``most`` points that look like every sample from begin to end.

        Up to ``most`` samples come as they are. Of more, every bucket of samples gives its least and its greatest
        value, so that no peak is lost; buckets stand on running numbers, so that peaks do not shimmer as time goes
        on. One sample before the beginning and one after the end come with them: the line enters and leaves.
        ``most`` is at least 16. Two points more, of nan, stand at the ends of every gap.
        """
        times, values = self._drawn(self._columns[name], begin, end, max(most, 16))
        for before, after in self.gaps(begin, end):
            edges = np.array((before, before, after, after))
            there = np.array((self.value(name, before), math.nan, math.nan, self.value(name, after)))
            low, high = np.searchsorted(times, before, "left"), np.searchsorted(times, after, "right")
            times = np.concatenate((times[:low], edges, times[high:]))
            values = np.concatenate((values[:low], there, values[high:]))
        return times, values

    def _drawn(self, column: int, begin: float, end: float, most: int) -> tuple[np.ndarray, np.ndarray]:
        first = max(self._number(begin, before=True) - 1, self._first)
        last = min(self._number(end) + 1, len(self._times))
        if last - first <= most:
            return self._samples(first, last, column)
        bucket, level = 1, 0
        while 2 * ((last - first) // bucket + 2) + 2 > most:
            bucket *= 2
        while level + 1 < _LEVELS and _FEW ** (level + 1) <= bucket:
            level += 1
        each = bucket // _FEW**level  # rows of the level in a bucket
        inner, outer = -(-first // bucket), last // bucket  # between them whole buckets
        low = self._lows[level].part(inner * each, outer * each, column).reshape(-1, each)
        high = self._highs[level].part(inner * each, outer * each, column).reshape(-1, each)
        ends = self._extremes(first, inner * bucket, column), self._extremes(outer * bucket, last, column)
        begin, end = self._times[first], self._times[last - 1]
        edges = (
            [begin] if inner * bucket > first else [],
            self._begins[level].part(inner * each, outer * each, 0)[::each],
            [self._times[outer * bucket]] if last > outer * bucket else [],
            [end],
        )
        return _woven(
            np.concatenate(edges),
            np.concatenate((ends[0][:1], np.fmin.reduce(low, axis=1), ends[1][:1])),
            np.concatenate((ends[0][1:], np.fmax.reduce(high, axis=1), ends[1][1:])),
            (float(self._lows[0].row(first)[column]), float(self._lows[0].row(last - 1)[column])),
        )

    def _extremes(self, first: int, last: int, column: int) -> list[float]:
        """Return the least and the greatest of samples first <= k < last, by the pyramid; nothing of none."""
        found: list[tuple[float, float]] = []
        while first < last:
            level = 0
            while level + 1 < _LEVELS and first % _FEW ** (level + 1) == 0 and first + _FEW ** (level + 1) <= last:
                level += 1
            own = _FEW**level
            found.append(
                (
                    float(self._lows[level].row(first // own)[column]),
                    float(self._highs[level].row(first // own)[column]),
                )
            )
            first += own
        if not found:
            return []
        return [float(np.fmin.reduce([low for low, _ in found])), float(np.fmax.reduce([high for _, high in found]))]

    def mean(self, name: str, begin: float, end: float) -> float:
        """Return the mean over time between two times, samples joined by straight lines; nan where nothing is.

        A stretch that reaches beyond what was measured counts as far as that reaches; gaps do not count.
        """
        column = self._columns[name]
        begin, end = (max(min(begin, end), self.begin), min(max(begin, end), self._end)) if len(self) else (1.0, 0.0)
        if begin > end:
            return math.nan
        if begin == end:
            return self.value(name, begin)
        gaps = self.gaps(begin, end)
        if gaps:
            edges = [begin, *(edge for gap in gaps for edge in gap), end]
            pieces = [(low, high) for low, high in zip(edges[::2], edges[1::2], strict=True) if low < high]
            known = sum(high - low for low, high in pieces)
            sums = (self.mean(name, low, high) * (high - low) for low, high in pieces)
            return sum(sums) / known if known else math.nan
        first, last = self._number(begin), self._number(end, before=True)  # samples strictly between
        if first >= last:
            return (self.value(name, begin) + self.value(name, end)) / 2
        opening = (self._times[first] - begin) * (self.value(name, begin) + float(self._lows[0].row(first)[column]))
        closing = (end - self._times[last - 1]) * (float(self._lows[0].row(last - 1)[column]) + self.value(name, end))
        return ((opening + closing) / 2 + self._integral(first, last - 1, column)) / (end - begin)

    def _integral(self, first: int, last: int, column: int) -> float:
        """Return the time integral from sample ``first`` to sample ``last``; of whole blocks it is known."""
        total = 0.0
        while first < last:
            block, place = divmod(first, _BLOCK)
            until = min((block + 1) * _BLOCK, last)
            if place == 0 and until - first == _BLOCK:
                total += float(self._sums[block][column])
            else:
                times, values = self._samples(first, until + 1, column)
                total += float(np.sum(np.diff(times) * (values[1:] + values[:-1])) / 2)
            first = until
        return total


def _woven(
    edges: np.ndarray, low: np.ndarray, high: np.ndarray, ends: tuple[float, float]
) -> tuple[np.ndarray, np.ndarray]:
    """Return a line through both values of every bucket in its middle, from its first sample to its last.

    Of a bucket that lies higher than the one before, the least comes first.
    """
    middles = low + high
    rising = np.concatenate(([True], middles[1:] >= middles[:-1]))
    pairs = np.where(rising[:, None], np.stack((low, high), 1), np.stack((high, low), 1)).ravel()
    times = np.repeat((edges[:-1] + edges[1:]) / 2, 2)
    return (
        np.concatenate((edges[:1], times, edges[-1:])),
        np.concatenate((ends[:1], pairs, ends[1:])).astype(np.float64),
    )
