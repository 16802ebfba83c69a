"""The strip as a draw list: frames, axes, traces, names and newest values, and the run before laid over it."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np

from trainer import units
from trainer.drawing.instruments import Dial, scale_of
from trainer.drawing.rack import percent
from trainer.drawing.shapes import Path, Shape, Words
from trainer.drawing.type_widths import text_width
from trainer.energy.series import TimeSeries
from trainer.language import tr
from trainer.measuring.instruments import read_off
from trainer.units import System
from trainer.window.strip.record import StripRecord
from trainer.window.strip.time_axis import Cursors, TimeWindow, span_text
from trainer.window.strip.traces import Trace

__all__ = [
    "LINE",
    "RIGHT",
    "SMALL",
    "WIDTH",
    "Before",
    "Line",
    "StripPicture",
    "cover",
    "difference",
    "figures",
    "fitted",
    "laid",
    "samples",
]

WIDTH = 448.0  # board px
SMALL, LINE = 15.4, 1.22  # size of its labels [board px]; of a line of figures, in labels
RIGHT, _PLOT = 10.0, 308.0


@dataclass(frozen=True, slots=True)
class Before:
    """A run that is laid over the present one, ``shift`` [s] later than it was."""

    series: TimeSeries
    shift: float = 0.0
    _reach: dict[str, float] = field(default_factory=dict)

    def reach(self, column: str) -> float:
        """Return the greatest size of a trace in it [SI]."""
        if column not in self._reach:
            values = np.zeros(0)
            if column in self.series.names and len(self.series):
                _, values = self.series.drawn(column, self.series.begin, self.series.end, 64)
            self._reach[column] = float(np.nanmax(np.abs(values), initial=0.0))
        return self._reach[column]


@dataclass(frozen=True, slots=True)
class Line:
    """A trace ready to be painted: points [board px] in rising x, its ink and its width [px].

    ``times`` [s] and ``values`` in the shown unit are what stands there.
    """

    x: np.ndarray
    y: np.ndarray
    times: np.ndarray
    values: np.ndarray
    ink: str
    width: float

    def pieces(self) -> list[tuple[np.ndarray, np.ndarray]]:
        """Return its (x, y) in pieces, parted where nothing was measured."""
        known = np.isfinite(self.y)
        if known.all():
            return [(self.x, self.y)] if len(self.x) else []
        edges = np.flatnonzero(np.diff(np.concatenate(((False,), known, (False,)))))
        return [(self.x[low:high], self.y[low:high]) for low, high in zip(edges[::2], edges[1::2], strict=True)]


def samples(
    series: TimeSeries, column: str, begin: float, end: float, wide: float = _PLOT
) -> tuple[np.ndarray, np.ndarray]:
    """Return (times, values [SI]) between two instants, cut off at both in a straight line; nan within gaps.

    They are no more than a plot so ``wide`` [board px] shows.
    """
    if column not in series.names or not len(series) or end <= begin:
        return np.zeros(0), np.zeros(0)
    times, values = series.drawn(column, begin, end, 2 * int(wide))
    if not len(times) or times[-1] < begin or times[0] > end:
        return np.zeros(0), np.zeros(0)
    low, high = max(begin, times[0]), min(end, times[-1])
    inner = (times > low) & (times < high)
    ends = np.interp((low, high), times, values)
    return (
        np.concatenate(((low,), times[inner], (high,))),
        np.concatenate((ends[:1], values[inner], ends[1:])),
    )


def laid(
    box: tuple[float, float, float, float], time: tuple[float, float], scale: tuple[float, float],
    times: np.ndarray, shown: np.ndarray, ink: str, width: float,
) -> Line:  # fmt: skip
    """Return values in their shown unit as a line in a plot.

    ``box``: its left, top, width and height [board px]; ``time``: where it begins, and how long it is [s]; ``scale``:
    the ends of its axis.
    """
    (x, y, wide, high), (begin, span), (low, top) = box, time, scale
    across = x + wide * (times - begin) / span
    down = y + high * (top - shown) / (top - low)
    return Line(across, np.clip(down, y - 1.5, y + high + 1.5), times, shown, ink, width)


def figures(value: float, trace: Trace, decimals: int, system: System) -> str:
    """Return a value of a trace without its unit."""
    if not math.isfinite(value):
        return "–"
    if trace.quantity == "ratio":
        return percent(value).removesuffix(" %")
    return units.text(value, trace.quantity, system, decimals)[0]


def difference(before: str, now: str) -> str:
    """Return by how much two figures differ, as they are printed: what is shown adds up."""
    if "–" in (before, now):
        return "–"
    one, other = (float(text.replace("−", "-")) for text in (before, now))
    text = f"{other - one + 0.0:.{len(now.partition('.')[2])}f}"
    return text.replace("-", "−") if float(text) else text.removeprefix("-")


class StripPicture:
    """What the strip shows, in board pixels of a strip ``WIDTH`` wide and ``height`` high.

    ``least`` is the smallest text [board px]. ``hidden`` are the places of traces whose values must not be told.
    """

    def __init__(self, record: StripRecord, system: System = System.METRIC) -> None:
        self.record = record
        self.time = TimeWindow()
        self.cursors = Cursors()
        self.system = system
        self.height = 300.0
        self.least = 0.0
        self.free = WIDTH  # right end of what the title's line has for words [board px]
        self.hidden: set[int] = set()
        self.before: Before | None = None
        self.pointer: float | None = None  # board px from the left
        self.latest: list[float] = []  # values of all traces that are printed [SI]

    @property
    def small(self) -> float:
        """Height of its labels [board px]."""
        return max(SMALL, self.least)

    @property
    def places(self) -> list[int]:
        """The places of the shown traces among all."""
        return self.record.traces.shown

    # -- where things stand [board px] ---------------------------------------------------------------------

    @property
    def top(self) -> float:
        """Where the plots begin, below the title's line and the words above cursors."""
        return 26.5 + 1.55 * self.small

    def table_height(self) -> float:
        """Return the room for the figures of two cursors."""
        return 0.0 if self.cursors.pair is None else (len(self.places) + 1.2) * LINE * self.small

    def box(self, k: int) -> tuple[float, float, float, float]:
        """Return left, top, width and height of a plot."""
        small = self.small
        bottom, gap = self.height - 12.0 - 0.3 * small, 1.3 * small
        if self.cursors.pair is not None:
            bottom, gap = self._above_table() - (0.0 if self.tight else 7.0 + 0.8 * small), 0.5 * small
        pitch = max((bottom - self.top) / max(len(self.places), 1), gap + 4.0)
        return 3.1 * small, self.top + k * pitch, _PLOT - 10.5 * (small - SMALL), pitch - gap

    def _above_table(self) -> float:
        return self.height - self.table_height()

    @property
    def tight(self) -> bool:
        """Whether the figures of two cursors leave no room for the times below the plots."""
        room = self._above_table() - 7.0 - 0.8 * self.small - self.top
        return self.cursors.pair is not None and room < len(self.places) * (0.5 * self.small + 12.0)

    @property
    def low_rows(self) -> bool:
        """Whether there is room for one line only beside each plot."""
        return self.box(1)[1] - self.box(0)[1] < 2.1 * self.small

    def plots(self) -> tuple[float, float, float, float]:
        """Return left, top, width and height of all plots together."""
        x, y, width, height = self.box(max(len(self.places) - 1, 0))
        return x, self.top, width, y + height - self.top

    def x_of(self, time: float) -> float:
        """Return where an instant stands."""
        x, _, width, _ = self.box(0)
        return x + width * (time - self.time.begin(self.record.now)) / self.time.span

    def time_of(self, x: float) -> float:
        """Return the instant that stands at a place."""
        left, _, width, _ = self.box(0)
        return self.time.begin(self.record.now) + self.time.span * (x - left) / width

    def scale(self, k: int) -> tuple[float, float, str, int]:
        """Return the ends of a trace's axis in its shown unit, the unit, and the decimals of its figures."""
        place = self.places[k]
        trace = self.record.traces.all[place]
        if trace.quantity == "ratio":
            return -100.0, 100.0, "%", 0
        least, greatest = self.record.reach(place) if trace.dial is None else (0.0, trace.high)
        if self.before is not None and trace.dial is None:
            greatest = max(greatest, self.before.reach(trace.column))
        scale = scale_of(greatest, trace.quantity, self.system)
        return (-scale.end if least < 0 else 0.0), scale.end, scale.symbol, scale.decimals

    # -- the traces ----------------------------------------------------------------------------------------

    def shown_values(self, k: int, values: np.ndarray) -> np.ndarray:
        """Return values [SI] of a trace in its shown unit."""
        trace = self.record.traces.all[self.places[k]]
        if trace.quantity == "ratio":
            return values * 100.0
        unit = units.shown_unit(trace.quantity, self.system)
        return (values - unit.offset) / unit.factor

    def lines(self, k: int) -> list[Line]:
        """Return what is drawn in a plot, what lies below first; nothing where it is hidden."""
        place, now = self.places[k], self.record.now
        if place in self.hidden:
            return []
        trace, series = self.record.traces.all[place], self.record.series
        begin, end = self.time.begin(now), self.time.end(now)
        found = []
        if self.before is not None:
            shift = self.before.shift
            times, values = samples(self.before.series, trace.column, begin - shift, end - shift)
            found.append(self._line(k, times + shift, values, "ink2", 1.0))
        if end > now:
            times, values = samples(series, trace.column, max(now, begin), end)
            found.append(self._line(k, times, values, "hairline", 2.0))
        times, values = samples(series, trace.column, begin, min(end, now))
        found.append(self._line(k, times, values, trace.ink, 2.0))
        return found

    def _line(self, k: int, times: np.ndarray, values: np.ndarray, ink: str, width: float) -> Line:
        time = self.time.begin(self.record.now), self.time.span
        return laid(self.box(k), time, self.scale(k)[:2], times, self.shown_values(k, values), ink, width)

    # -- what stands still ---------------------------------------------------------------------------------

    def still(self) -> list[Shape]:
        """Return frames, axes and numbers."""
        small, now = self.small, self.record.now
        shapes: list[Shape] = [
            Path(((0.0, 0.0), (WIDTH, 0.0)), "ink", 1.5),
            Words(0.0, 27.0, tr("Strip"), 19.8, weight=600),
            *self._state(),
        ]
        grid = [(self.x_of(time), words) for time, words in self.time.ticks(now)]
        for k in range(len(self.places)):
            x, y, width, height = self.box(k)
            low, high, _, _ = self.scale(k)
            for at in (*(at for at, _ in grid), x):
                if at == x or x + 0.5 < at <= x + width + 0.01:
                    shapes.append(Path(((at, y), (at, y + height)), "hairline", 1.0))
            shapes.append(Path(((x, y), (x + width, y)), "hairline", 1.0))
            zero = y + height * high / (high - low)
            shapes.append(Path(((x, zero), (x + width, zero)), "ink2", 1.0))
            if low < 0:
                shapes.append(Path(((x, y + height), (x + width, y + height)), "hairline", 1.0))
            inside = self.cursors.pair is not None  # no room between the plots
            ends = [(high, y + (0.68 * small if inside else 0.34 * small))]
            if height > (1.5 if inside else 0.9) * small:
                ends.append((low, y + height + (0.0 if inside else 0.34 * small)))
            if height > 3.2 * small and low < 0:
                ends.append((0.0, zero + 0.34 * small))
            for value, at in ends:
                text = f"{value:g}".replace("-", "−")
                shapes.append(Words(x - 7.0, at, text, SMALL, "ink2", align="right"))
        if self.tight:
            return shapes
        x, y, width, height = self.plots()
        base, free = y + height + 7.0 + 0.98 * small, -math.inf
        for at, words in grid:
            half = 0.5 * len(words) * 0.46 * small
            if at - half >= max(free, 0.0) and x - 1 <= at <= x + width + 1:
                shapes.append(Words(min(at, x + width + 8.0 - half), base, words, SMALL, "ink2", align="centre"))
                free = at + half + 0.4 * small
        if self.before is not None:
            shapes += self._legend(base)
        return shapes

    def _legend(self, base: float) -> list[Shape]:
        """Return what the thin line is: beside the times, in a low strip in the corner of the first plot."""
        x, y, width, height = self.box(0)
        at = x + width + RIGHT + 8.0
        if height + 1.3 * self.small < 2.6 * self.small - 7.0:
            at, base = x + 4.0, y + 0.8 * self.small
        level = base - 0.33 * self.small
        return [
            Path(((at, level), (at + 20.0, level)), "ink2", 1.0),
            Words(at + 25.0, base, tr("before"), SMALL, "ink2"),
        ]

    def _state(self) -> list[Shape]:
        """Return how much time is shown, beside the title; nothing without room."""
        left = 0.5 * 5 * 19.8 + 10.0
        span = span_text(self.time.span)
        words = span if self.time.frozen else tr("last {span}").format(span=span)
        room = left + 0.5 * len(words) * self.small <= self.free
        return [Words(left, 27.0, words, SMALL, "ink2")] if room else []

    # -- what changes --------------------------------------------------------------------------------------

    def value_text(self, k: int, time: float | None = None) -> str:
        """Return the newest value of a trace with its unit, or the one at an instant [s]."""
        place = self.places[k]
        trace = self.record.traces.all[place]
        newest = self.latest[place] if place < len(self.latest) else math.nan
        value = newest if time is None else self.value_at(place, time)
        if not math.isfinite(value):
            return "–"
        if trace.dial is not None:  # as below its dial
            dial = Dial(trace.dial, self.system)
            return f"{dial.figures(read_off(trace.dial, value, dial.end, self.system))} {dial.scale.symbol}"
        return f"{figures(value, trace, self.scale(k)[3], self.system)} {self.scale(k)[2]}"

    def read_at(self) -> float | None:
        """Return the instant whose values stand at the right: at the pointer, at a single cursor, else the newest."""
        if self.pointer is not None:
            return self.time_of(self.pointer)
        return self.cursors.times[0] if len(self.cursors.times) == 1 else None

    def live(self) -> list[Shape]:
        """Return names and values at the right."""
        small, time = self.small, self.read_at()
        shapes: list[Shape] = []
        pair = self.cursors.pair is not None  # the names stand with the figures of the cursors
        low, size = self.low_rows, max(17.0, self.least)
        pitch = self.box(1)[1] - self.box(0)[1]
        for k, place in enumerate(self.places):
            trace = self.record.traces.all[place]
            x, y, width, height = self.box(k)
            middle, at = y + height / 2 - 0.2 * small, x + width + RIGHT
            lead = max(min(7.0 + 0.9 * small, 0.45 * pitch), 0.95 * small)  # nearer to its name than to the next one
            base, room, value = middle - 3.0 + lead, WIDTH - at, self.value_text(k, time)
            if pair or low:
                base = middle + 0.55 * small
            if low and not pair:  # one line: the name has what the value leaves
                room -= 46.0 + 2 * 0.5 * small if place in self.hidden else text_width(value, size, 600)
                room -= 0.4 * small
            name = fitted(trace.name, room, small)
            while low and len(name) > 2 and text_width(name, small) > room:
                name = f"{name.rstrip('…')[:-1]}…"
            if not pair and (not low or text_width(name, small) <= room):
                shapes.append(Words(at, base if low else middle - 3.0, name, SMALL, "ink2"))
                at += text_width(name, small) + 0.4 * small if low else 0.0
            if place in self.hidden:
                unit = self.scale(k)[2]
                wide = min(40.0, WIDTH - at - 6.0 - 1.05 * text_width(unit, small))  # a long unit is not cut
                shapes.append(cover(at, base - 0.9 * small, wide, small))
                shapes.append(Words(at + wide + 6.0, base - 0.05 * small, unit, SMALL, "ink2"))
            else:
                shapes.append(Words(at, base, value, 17.0, trace.ink, 600))
        return shapes

    def value_at(self, place: int, time: float) -> float:
        """Return the value of a trace at an instant that has been shown [SI]; nan elsewhere."""
        return self.record.series.value(self.record.traces.all[place].column, min(time, self.record.now))


def cover(x: float, y: float, width: float, height: float) -> Path:
    """Return the cover over a figure."""
    box = ((x, y), (x + width, y), (x + width, y + height), (x, y + height))
    return Path(box, "ink2", 1.25, "cover", closed=True, hatch="cover-hatch")


def fitted(name: str, room: float, small: float) -> str:
    """Return a name that fits into a width: without its last word or that alone where it is longer, else cut off.

    What is measured stands last and has its unit beside it; whose it is stands nowhere else.
    """
    whose, _, what = name.rpartition(" ")
    words: Sequence[str] = (name, whose or name, what.capitalize())
    short = next((text for text in words if len(text) * 0.47 * small <= room), words[-1])
    most = max(int(room / (0.47 * small)), 2)
    return short if len(short) <= most else f"{short[: most - 1]}…"
