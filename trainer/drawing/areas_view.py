"""A ledger over time as a draw list: its entries as areas on each other, on one time axis, named at the right end."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from trainer import units
from trainer.drawing.instruments import scale_of
from trainer.drawing.ledger_view import FILLS
from trainer.drawing.shapes import DrawList, Path, Point, Shape, Words
from trainer.language import mark, tr
from trainer.units import System

__all__ = ["LEGEND", "NOTHING", "Band", "Ground", "Stack", "areas_still", "cursor_live", "time_ticks"]

LEGEND = 250.0  # room at the right for the names [board px]
_TITLE, _TEXT = 17.0, 15.4
_LETTER = 0.47  # mean width of a letter, in heights
_DENSE, _HATCH = 6.0, 1.8  # pitch and width of hatching [px], as on the ledger's bar
_THIN = 1.2  # a band that is nowhere thicker is left out [board px]
_STEPS = (0.1, 0.2, 0.5, 1.0, 2.0, 5.0, 10.0, 20.0, 30.0, 60.0, 120.0, 300.0, 600.0, 1200.0, 1800.0, 3600.0)  # s
_STRAIGHT = 0.12  # px that a point may lie off the line between its neighbours to be left out, thrice
_LEAST_STEPS = 10.0  # of the last printed decimal that the shortest value axis shows
_TRIES = 40  # places tried for a name inside an area
_MINUTES = 180.0  # from this length on the axis counts minutes [s]
NOTHING = mark("Nothing has run yet")
_Vector = np.ndarray[Any, np.dtype[np.float64]]


@dataclass(frozen=True, slots=True)
class Band:
    """One entry over time: its id and name, its style as in the ledger, its means between the edges [SI] (n)."""

    id: str
    name: str
    style: str
    values: _Vector


@dataclass(frozen=True, slots=True)
class Stack:
    """A ledger over time: ``edges`` [s] (n + 1), bands from the bottom up, and the total [SI] (n) with its name."""

    title: str
    quantity: str
    edges: _Vector
    bands: tuple[Band, ...]
    total: _Vector
    total_name: str

    @property
    def high(self) -> float:
        """The greatest of its totals and of its bands on each other [SI]: a store gives more than the pump does."""
        piled = sum((np.maximum(band.values, 0.0) for band in self.bands), np.zeros_like(self.total))
        return float(np.maximum(piled, self.total).max(initial=0.0))

    def at(self, time: float) -> int:
        """Return the number of the step in which a time lies."""
        return min(max(int(np.searchsorted(self.edges, time, "right")) - 1, 0), max(len(self.total) - 1, 0))


@dataclass(frozen=True, slots=True)
class Ground:
    """Where a stack stands: the view's size [board px], the ends of its time axis [s], the greatest value [SI].

    ``small`` writes powers in W instead of kW; ``least`` is the smallest text [board px]; ``times`` writes the time
    axis below.
    """

    width: float
    height: float
    begin: float
    end: float
    high: float
    quantity: str
    system: System
    small: bool = False
    least: float = 0.0
    times: bool = True

    @property
    def size(self) -> float:
        """Height of its labels [board px]."""
        return max(_TEXT, self.least)

    @property
    def left(self) -> float:
        """Left edge of the areas [board px]."""
        return 3.4 * self.size

    @property
    def right(self) -> float:
        """Right edge of the areas [board px]."""
        return max(self.width - LEGEND, self.left + 40.0)

    @property
    def top(self) -> float:
        """Upper edge of the areas [board px]."""
        return 1.75 * self.size

    @property
    def bottom(self) -> float:
        """Lower edge of the areas [board px]."""
        return max(self.height - (1.7 if self.times else 0.6) * self.size, self.top + 10.0)

    @property
    def unit(self) -> tuple[float, str]:
        """The shown unit: its factor and how it is printed."""
        unit, _ = units.shown_with(self.quantity, self.system, self.small)
        return unit.factor, unit.pretty

    @property
    def least_high(self) -> float:
        """The greatest value [SI] that the shortest axis shows."""
        unit, decimals = units.shown_with(self.quantity, self.system, self.small)
        return _LEAST_STEPS * unit.factor * 10.0**-decimals

    def marks(self) -> list[float]:
        """Return the marks of the value axis [SI], 0 first, the last one at or above the greatest value.

        The axis reaches to ``_LEAST_STEPS`` of what is printed as least, also where there is nothing.
        """
        scale = scale_of(max(self.high, self.least_high), self.quantity, self.system)
        factor = units.shown_unit(self.quantity, self.system).factor
        return [k * scale.major * factor for k in range(scale.majors + 1)]

    def x(self, time: float) -> float:
        """Return where a time stands [board px]."""
        return self.left + (time - self.begin) / max(self.end - self.begin, 1e-9) * (self.right - self.left)

    def time(self, x: float) -> float:
        """Return the time at a place [s], within the axis."""
        share = (x - self.left) / (self.right - self.left)
        return self.begin + min(max(share, 0.0), 1.0) * (self.end - self.begin)


def time_ticks(begin: float, end: float, most: int = 9) -> list[tuple[float, str]]:
    """Return (time [s], words) of the round times on an axis, at most so many."""
    step = next((s for s in _STEPS if (end - begin) / s <= most), _STEPS[-1] * 2)
    first = math.ceil(begin / step - 1e-6)
    times = [k * step for k in range(first, math.floor(end / step + 1e-6) + 1)]
    if end - begin >= _MINUTES:
        return [(time, tr("{time:g} min").format(time=time / 60)) for time in times]
    return [(time, f"{time:.1f} s" if step < 1.0 else f"{time:.0f} s") for time in times]


def areas_still(
    stack: Stack, ground: Ground, marks: Sequence[tuple[float, str]] = (), covered: bool = False, lit: str = ""
) -> DrawList:
    """Return the areas of a stack with both axes, the total line and the names at the right end.

    Where no time has passed there is no area, and no axis of values: that is said instead.
    ``marks`` are instants with names; ``covered`` leaves out what tells a size; ``lit`` is the id of the band that is
    pointed at.
    """
    title = Words(ground.right + 22.0, 1.02 * ground.size, stack.title, _TITLE, weight=600)
    nothing = not len(stack.total) or float(stack.edges[-1] - stack.edges[0]) <= 0.0
    shapes = [title, *_axes(ground, covered or nothing, not nothing)]
    if nothing:
        middle = (ground.left + ground.right) / 2, (ground.top + ground.bottom) / 2 + 0.34 * ground.size
        shapes.append(Words(*middle, tr(NOTHING), _TEXT, "ink2", align="centre"))
    else:
        places, heights = _lighter(_places(stack, ground), _heights(stack, ground))
        shapes += _bands(stack, places, heights, lit)
        named = _named(stack, ground, heights)
        shapes += _names(stack, ground, named, lit)
        shapes += _within(stack, ground, places, heights, {id_ for _, _, id_, _ in named})
    for time, name in marks:
        if ground.begin <= time <= ground.end:
            x = ground.x(time)
            shapes.append(Path(((x, ground.top - 4.0), (x, ground.bottom)), "ink2", 1.0, dash=(4.0, 4.0)))
            shapes.append(Words(x, ground.top - 8.0, name, _TEXT, "ink2", align="centre"))
    shapes.append(Path(((ground.left, ground.bottom), (ground.right, ground.bottom)), "ink", 1.5))
    return shapes


def _axes(ground: Ground, covered: bool, lines: bool = True) -> list[Shape]:
    factor, unit = ground.unit
    size, left, right, bottom = ground.size, ground.left, ground.right, ground.bottom
    shapes: list[Shape] = [Words(left - 7.0, 0.95 * size, unit, _TEXT, "ink2", align="right")]
    marks = ground.marks()
    room = (bottom - ground.top) / max(len(marks) - 1, 1)
    every = max(math.ceil(1.25 * size / max(room, 1.0)), 1)
    for k, value in enumerate(marks):
        y = bottom - k * room
        if k and lines:
            shapes.append(Path(((left, y), (right, y)), "hairline", 1.0))
        if k % every == 0 and not covered:
            shapes.append(Words(left - 7.0, y + 0.34 * size, f"{value / factor:.6g}", _TEXT, "ink2", align="right"))
    room = (right - left) / (5.2 * size)
    for time, words in time_ticks(ground.begin, ground.end, max(int(room), 1)):
        x = ground.x(time)
        if lines:
            shapes.append(Path(((x, ground.top), (x, bottom)), "hairline", 1.0))
        if ground.times:
            shapes.append(Path(((x, bottom), (x, bottom + 5.0)), "ink", 1.0))
            shapes.append(Words(x, bottom + 6.0 + 0.9 * size, words, _TEXT, "ink2", align="centre"))
    return shapes


def _places(stack: Stack, ground: Ground) -> _Vector:
    """Return where the steps stand: both ends of the areas, and the middle of every step (n + 2)."""
    edges = ground.left + (stack.edges - ground.begin) * (
        (ground.right - ground.left) / max(ground.end - ground.begin, 1e-9)
    )
    found: _Vector = np.concatenate((edges[:1], (edges[:-1] + edges[1:]) / 2, edges[-1:]))
    return found


def _heights(stack: Stack, ground: Ground) -> _Vector:
    """Return the y of the ground, of the upper edge of every band, and of the total (bands + 2, n + 2)."""
    scale = (ground.bottom - ground.top) / max(ground.marks()[-1], 1e-12)
    values = np.array([np.maximum(band.values, 0.0) for band in stack.bands]).reshape(len(stack.bands), -1)
    tops = np.concatenate((np.zeros((1, values.shape[1])), np.cumsum(values, axis=0), stack.total[None, :]))
    y = np.clip(ground.bottom - scale * tops, ground.top, ground.bottom)
    found: _Vector = np.concatenate((y[:, :1], y, y[:, -1:]), axis=1)
    return found


def _lighter(x: _Vector, y: _Vector) -> tuple[_Vector, _Vector]:
    """Return the places and heights without points that lie on straight lines anyway, to a third of a pixel."""
    for _ in range(3):
        if len(x) < 8:
            break
        inner = np.arange(1, len(x) - 1, 2)
        before, after = inner - 1, inner + 1
        share = (x[inner] - x[before]) / np.maximum(x[after] - x[before], 1e-9)
        straight = y[:, before] + share * (y[:, after] - y[:, before])
        kept = np.ones(len(x), dtype=bool)
        kept[inner] = np.abs(y[:, inner] - straight).max(axis=0) > _STRAIGHT
        x, y = x[kept], y[:, kept]
    return x, y


def _bands(stack: Stack, x: _Vector, y: _Vector, lit: str) -> list[Shape]:
    shapes: list[Shape] = []
    lines: list[Shape] = []
    across = x.tolist()
    for k, band in enumerate(stack.bands):
        lower, upper = y[k], y[k + 1]
        if float((lower - upper).max()) < _THIN:
            continue
        fill, hatch = FILLS.get(band.style, ("cell", None))
        top = tuple(zip(across, upper.tolist(), strict=True))
        ring = (*top, *reversed(tuple(zip(across, lower.tolist(), strict=True))))
        shapes.append(Path(ring, None, 0.0, fill, closed=True))
        if hatch is not None:
            shapes += [Path(line, hatch, _HATCH) for line in hatching(x, upper, lower)]
        lines.append(Path(top, "ink", 1.0))
        if band.id == lit:
            lines.append(Path(ring, "accent", 3.0, closed=True))
    lines.append(Path(tuple(zip(across, y[-1].tolist(), strict=True)), "ink", 2.0))
    return [*shapes, *lines]


def hatching(x: _Vector, upper: _Vector, lower: _Vector) -> list[tuple[Point, Point]]:
    """Return the diagonal lines x + y = k · pitch · √2 between two lines that go from left to right [px]."""
    ring_x, ring_y = np.concatenate((x, x[::-1])), np.concatenate((upper, lower[::-1]))
    step = _DENSE * math.sqrt(2)
    sums = ring_x + ring_y
    levels = np.arange(math.ceil(float(sums.min()) / step), math.floor(float(sums.max()) / step) + 1) * step
    before, after = np.roll(sums, 1)[None, :] - levels[:, None], sums[None, :] - levels[:, None]
    level, edge = np.nonzero((before < 0) != (after < 0))
    if not len(level):
        return []
    part = before[level, edge] / (before[level, edge] - after[level, edge])
    start = np.roll(ring_x, 1)[edge]
    cut = start + part * (ring_x[edge] - start)
    order = np.lexsort((cut, level))
    cut, level = cut[order], level[order]
    down = levels[level] - cut
    points = list(zip(cut.tolist(), down.tolist(), strict=True))
    return [
        (points[k], points[k + 1]) for k in range(0, len(points) - 1, 2) if points[k + 1][0] - points[k][0] > 0.05
    ]


def _named(stack: Stack, ground: Ground, y: _Vector) -> list[tuple[float, float, str, str]]:
    """Return (height of the name, height of the area [px], id, name) of the areas named at the right end.

    The total comes first, with no id, then the thickest area, as many as have room.
    """
    pitch = 1.18 * ground.size
    top = float(y[-1, -1])
    placed = [(max(top - 0.45 * ground.size, ground.top + 0.5 * ground.size), top, "", stack.total_name)]
    wanted = [
        (float(y[k, -1] - y[k + 1, -1]), float(y[k, -1] + y[k + 1, -1]) / 2, band)
        for k, band in enumerate(stack.bands)
    ]
    for thick, middle, band in sorted(wanted, key=lambda item: -item[0]):
        if thick < 2.5:
            break
        for shift in (0.0, 0.5 * pitch, -0.5 * pitch, 0.9 * pitch, -0.9 * pitch):
            at = middle + shift
            if at <= ground.bottom and all(abs(at - other) >= pitch for other, *_ in placed):
                placed.append((at, middle, band.id, band.name))
                break
    return placed


def _names(stack: Stack, ground: Ground, named: Sequence[tuple[float, float, str, str]], lit: str) -> list[Shape]:
    size, x = ground.size, ground.x(float(stack.edges[-1]))
    letters = int((ground.width - x - 22.0) / (_LETTER * size))
    shapes: list[Shape] = []
    for at, middle, id_, name in named:
        bold = id_ in (lit, "")
        shapes.append(Path(((x + 2.0, middle), (x + 10.0, middle), (x + 18.0, at)), "ink2", 1.0))
        words = short(name, letters)
        shapes.append(Words(x + 22.0, at + 0.34 * size, words, _TEXT, weight=600 if bold else 400))
    return shapes


def _within(stack: Stack, ground: Ground, x: _Vector, y: _Vector, named: set[str]) -> list[Shape]:
    """Return the names of areas that have none at the right end, inside, where they are widest and thick enough."""
    size = ground.size
    shapes: list[Shape] = []
    for k, band in enumerate(stack.bands):
        upper, lower = y[k + 1], y[k]
        if band.id in named or float((lower - upper).max()) < 1.5 * size:
            continue
        name = short(band.name, 99)
        wide = _LETTER * size * len(name) + 8.0
        best: tuple[float, float, float] | None = None
        starts = np.linspace(ground.left, ground.right - wide, _TRIES)
        ends = np.searchsorted(x, starts), np.searchsorted(x, starts + wide)
        for begin, first, last in zip(starts.tolist(), *(end.tolist() for end in ends), strict=True):
            if first == last or last >= len(x) or first == 0:
                continue
            high, low = float(upper[first - 1 : last + 1].max()), float(lower[first - 1 : last + 1].min())
            if low - high >= 1.35 * size and (best is None or low - high > best[0] + 1.0):
                best = (low - high, begin + wide / 2, (low + high) / 2)
        if best is None:
            continue
        _, middle, level = best
        fill, hatch = FILLS.get(band.style, ("cell", None))
        if hatch is not None:
            left, right, top, bottom = middle - wide / 2, middle + wide / 2, level - 0.6 * size, level + 0.6 * size
            box = ((left, top), (right, top), (right, bottom), (left, bottom))
            shapes.append(Path(box, None, 0.0, fill, closed=True))
        ink = "paper" if fill in ("accent", "ink") else "ink"
        shapes.append(Words(middle, level + 0.34 * size, name, _TEXT, ink, align="centre"))
    return shapes


def short(name: str, letters: int) -> str:
    """Return a name as far as it has room: without what follows a comma, else cut."""
    if len(name) <= letters:
        return name
    brief = name.partition(",")[0]
    return brief if len(brief) <= letters else f"{brief[: max(letters - 1, 1)].rstrip()}…"


def cursor_live(stack: Stack, ground: Ground, time: float, covered: bool = False) -> DrawList:
    """Return the cursor at a time: a line through the areas, its time and the total there."""
    if not len(stack.total):
        return ()
    x, (factor, unit) = ground.x(time), ground.unit
    total = float(stack.total[stack.at(time)])
    decimals = scale_of(max(ground.high, ground.least_high), ground.quantity, ground.system).decimals
    decimals = max(decimals - 3, 0) if unit == "W" else decimals
    at = tr("at {time:.2f} s").format(time=time)
    words = at if covered else f"{at}  {total / factor:.{decimals}f} {unit}"
    right = ground.right + 22.0 + 0.54 * _TITLE * (len(stack.title) + 1)
    line = ((x, ground.top - 4.0), (x, ground.bottom))
    return (
        Path(line, "paper", 4.5),  # so that it stands out from dark areas
        Path(line, "ink", 1.5),
        Words(right, 1.02 * ground.size, words, _TEXT, weight=600),
    )
