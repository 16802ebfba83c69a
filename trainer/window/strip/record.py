"""What a strip records, sample by sample for an hour, and the instant that is shown of it; of a rig every trace."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence

import numpy as np

from trainer.energy.series import TimeSeries
from trainer.engine.readings import Readings
from trainer.rig.rig import Rig
from trainer.window.strip.sources import find_traces

__all__ = ["RATE", "Record", "StripRecord"]

RATE = 60.0  # samples a second of model time
_LEAST = 0.9 / 6000  # s between samples of a slow clock: at 1/100 it gives every frame
_APART = 0.15  # s of model time: samples further apart have a gap between them; a frame of one has a tenth at most
_COUNT = 240_000  # samples that are kept: an hour at a little more than RATE


class Record:
    """Columns over time. ``now`` is the instant shown [s]; samples after it wait while time is rewound.

    ``highs`` and ``lows`` are the greatest and the least value of every column so far [SI].
    """

    def __init__(self, columns: Sequence[str], now: float) -> None:
        self.now = now
        self.series = TimeSeries(columns, _APART)
        self.highs = np.full(len(columns), -math.inf)
        self.lows = np.full(len(columns), math.inf)

    def show(self, time: float, latest: float) -> bool:
        """Show an instant; ``latest`` is the end of what has been [s]. Return whether it is new: a row is due.

        An instant that has been is only shown: what came later waits. Where time went on from there, what came later
        has been given up, and so it is here.
        """
        series = self.series
        if latest < series.end:
            series.cut(min(self.now, time, latest))
        self.now = time
        return not time - series.end < _LEAST

    def push(self, row: np.ndarray) -> None:
        """Add the row of the instant that is shown."""
        self.series.push(self.now, row)
        np.fmax(self.highs, row, out=self.highs)
        np.fmin(self.lows, row, out=self.lows)
        if len(self.series) > _COUNT:
            self.series.keep_newest(_COUNT)

    def clear(self) -> None:
        """Forget what was recorded."""
        self.series.clear()
        self.now = 0.0
        self.highs.fill(-math.inf)
        self.lows.fill(math.inf)


class StripRecord(Record):
    """What is recorded of one session; ``needle`` tells where the needle of an instrument stands [SI]."""

    def __init__(self, rig: Rig, live: Readings) -> None:
        self.needle: Callable[[str], float] = lambda _name: math.nan
        self._fit(rig, live)
        super().__init__([trace.column for trace in self.traces.all], live.time)

    def _fit(self, rig: Rig, live: Readings) -> None:
        """Find the traces of a rig and where each stands among the readings."""
        self.traces = find_traces(rig, live.network.read_index)
        read, pu = live.network.read_index, live.network.pu_index
        self._own: list[int] = []  # columns that are read from the values
        starts: list[int] = []
        places: list[int] = []
        self._given: list[tuple[int, int]] = []  # column, place among parameters and controls
        self._skin_temperatures: list[tuple[int, str]] = []
        self._dials: list[tuple[int, str]] = []
        for k, trace in enumerate(self.traces.all):
            kind, *names = trace.reads[0]
            if kind == "control":
                self._given.append((k, pu[".".join(names)]))
            elif kind == "tank":
                self._given.append((k, pu["oil.temperature"]))
            elif kind == "skin":
                self._skin_temperatures.append((k, names[0]))
            elif kind == "dial":
                self._dials.append((k, names[0]))
            else:
                self._own.append(k)
                starts.append(len(places))
                places += [read[key] for key in trace.reads]
        self._places, self._starts = np.array(places, int), np.array(starts, int)
        self._signs = np.array([self.traces.all[k].sign for k in self._own])
        self._row = np.full(len(self.traces.all), math.nan)

    def refit(self, rig: Rig, live: Readings) -> None:
        """Take the same rig with other instruments: names change, what is newly measured begins now."""
        before = {trace.column: k for k, trace in enumerate(self.traces.all)}
        chosen, wanted, highs, lows = self.traces.chosen, self.traces.wanted, self.highs, self.lows
        self._fit(rig, live)
        columns = [trace.column for trace in self.traces.all]
        self.traces.chosen = chosen
        self.traces.want(wanted)
        if tuple(columns) != self.series.names:
            self.series = self.series.wider(columns)
        self.highs = np.array([highs[before[c]] if c in before else -math.inf for c in columns])
        self.lows = np.array([lows[before[c]] if c in before else math.inf for c in columns])

    def row(self, live: Readings) -> np.ndarray:
        """Return the value of every trace at one instant [SI]; the same array every time."""
        row, values, pu = self._row, live.values, live.pu
        if len(self._own):
            row[self._own] = np.add.reduceat(values[self._places], self._starts) * self._signs
        for k, place in self._given:
            row[k] = pu[place]
        for k, part in self._skin_temperatures:
            row[k] = live.skin(part)
        for k, name in self._dials:
            row[k] = self.needle(name)
        return row

    def take(self, live: Readings, latest: float) -> None:
        """Take a new instant, or show one that has been; ``latest`` is the end of the session's history [s]."""
        if self.show(live.time, latest):
            self.push(self.row(live))

    def stood(self, instrument: str, time: float) -> float:
        """Return where the needle of an instrument stood at an instant [SI]; nan where that is not known."""
        column = f"dial {instrument}"
        return self.series.value(column, time) if self.traces.place(column) is not None else math.nan

    def reach(self, place: int) -> tuple[float, float]:
        """Return the least and the greatest that a trace's axis must hold [SI]: its scale, grown with its values."""
        trace, least, greatest = self.traces.all[place], float(self.lows[place]), float(self.highs[place])
        size = max(trace.high, *(abs(value) for value in (least, greatest) if math.isfinite(value)), 0.0)
        below = trace.both or (trace.quantity != "pressure" and math.isfinite(least) and least < -0.03 * size)
        return (-size if below else 0.0), size
