"""The strip of two rigs as a draw list: pressure, delivery and input over time, both rigs in each plot.

The first rig is a thin dark line, the second a grey band with a border, as its bar is: where both are alike the line
lies within the band, and both are seen.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from trainer import units
from trainer.drawing.shapes import Path, Shape, Words
from trainer.drawing.type_widths import text_width
from trainer.language import tr
from trainer.pairing.figures import OVER_TIME, QUANTITIES, Scales, figures_of
from trainer.units import System
from trainer.window.beside.record import PairRecord, column_of
from trainer.window.beside.shapes import disc, fitted
from trainer.window.painting.sizes import sized
from trainer.window.strip.export import Column, Sheet
from trainer.window.strip.picture import laid, samples
from trainer.window.strip.time_axis import SPANS, TimeWindow, time_text

__all__ = ["HEAD", "WIDE", "PairPicture", "told"]

HEAD = 54.0  # of the line above the plots [board px]
WIDE = 1864.0, 400.0  # width and height of a picture in a file [board px]
_TITLE, _UNIT, _FIGURE, _AXIS, _LEGEND, _LETTER = 36.0, 28.0, 44.0, 26.0, 30.0, 26.0
_OVER, _BELOW, _GAP = 74.0, 38.0, 34.0  # room over and below a plot, between two beside each other
_SLOT, _SIGN, _SAMPLE = 166.0, 15.0, 66.0  # of a figure with its sign; the sign's radius; a line in the legend
_LINES: tuple[tuple[tuple[str, float], ...], ...] = ((("ink", 3.5),), (("ink", 8.0), ("heat1", 4.5)))  # what below
_FIRST = 10.0  # s that are shown at least, unless less is asked for
_THREE = 1000.0  # width from which the plots stand beside each other

Box = tuple[float, float, float, float]


class PairPicture:
    """What the strip shows in ``width`` and ``height`` [board px]; ``titles`` are what both rigs are called.

    The stretch of ``time`` ends at the latest instant. ``pointer`` is the instant whose figures are asked for [s],
    None for the one that is shown.
    """

    def __init__(self, record: PairRecord, scales: Scales, titles: Sequence[str]) -> None:
        self.record, self.scales, self.titles = record, scales, titles
        self.time = TimeWindow()
        self.system = System.METRIC
        self.width, self.height = WIDE
        self.free = self.width  # right end of what the first line has for words
        self.marks: Sequence[tuple[float, str]] = ()
        self.pointer: float | None = None

    # -- where things stand ----------------------------------------------------------------------------------------

    @property
    def latest(self) -> float:
        """The end of what is recorded [s]."""
        return self.record.series.end if len(self.record.series) else 0.0

    @property
    def span(self) -> float:
        """How long the stretch is [s]: as is chosen, less while little was recorded."""
        enough = next((span for span in SPANS if span >= max(self.latest, _FIRST)), SPANS[-1])
        return min(self.time.span, enough)

    @property
    def end(self) -> float:
        """Where the stretch ends [s]; while little was recorded it begins at the start."""
        return max(self.time.end(self.latest), self.span)

    @property
    def begin(self) -> float:
        """Where the stretch begins [s]."""
        return self.end - self.span

    def box(self, k: int) -> Box:
        """Return left, top, width and height of a plot."""
        across = len(OVER_TIME) if self.width >= _THREE else 1
        column, row = k % across, k // across
        wide = (self.width + _GAP) / across
        high = (self.height - HEAD) / (len(OVER_TIME) // across)
        left = max(text_width(self._ends(name)[1], _AXIS) for name in OVER_TIME) + 12.0
        x, y = column * wide + left, HEAD + row * high + _OVER
        return x, y, wide - _GAP - left, max(high - _OVER - _BELOW, 10.0)

    def _ends(self, name: str) -> tuple[str, str]:
        return "0", self.scales.end_text(QUANTITIES[name][1], self.system)

    def x_of(self, box: Box, time: float) -> float:
        """Return where an instant stands in a plot."""
        return box[0] + box[2] * (time - self.begin) / self.span

    def time_at(self, x: float, y: float) -> float | None:
        """Return the instant at a place on one of the plots, as far as anything is recorded; None beside them."""
        for k in range(len(OVER_TIME)):
            left, top, wide, high = self.box(k)
            if left <= x <= left + wide and top - _OVER / 2 <= y <= top + high + _BELOW:
                time = self.begin + self.span * (x - left) / wide
                return min(max(time, 0.0), self.latest)
        return None

    # -- what stands still -----------------------------------------------------------------------------------------

    def still(self) -> list[Shape]:
        """Return the legend, titles with units, axes and their numbers."""
        found: list[Shape] = [Path(((0.0, 1.0), (self.width, 1.0)), "hairline", 2.0), *self._legend()]
        times = TimeWindow(self.span, self.end).ticks(self.end)
        for k, name in enumerate(OVER_TIME):
            x, y, wide, high = box = self.box(k)
            title, quantity = QUANTITIES[name]
            base, words = y - 34.0, tr(title)
            found.append(Words(x, base, words, _TITLE))
            unit = self.scales.unit(quantity, self.system).pretty
            found.append(Words(x + text_width(words, _TITLE) + 12.0, base, unit, _UNIT, "ink2"))
            for text, at in zip(self._ends(name), (y + high, y), strict=True):
                found.append(Words(x - 9.0, at + 0.34 * _AXIS, text, _AXIS, "ink2", align="right"))
            free = -math.inf
            for time, text in times:
                at, half = self.x_of(box, time), text_width(text, _AXIS) / 2
                found.append(Path(((at, y), (at, y + high)), "hairline", 1.5))
                at = min(at, x + wide + 14.0 - half)
                if at - half > free:
                    found.append(Words(at, y + high + 30.0, text, _AXIS, "ink2", align="centre"))
                    free = at + half + 8.0
            found.append(Path(((x, y), (x + wide, y)), "hairline", 1.5))
            found.append(Path(((x, y), (x, y + high), (x + wide, y + high)), "ink2", 2.0))
        return found

    def _legend(self) -> list[Shape]:
        """Return which line is which rig's."""
        found: list[Shape] = []
        x, room = 0.0, self.free / 2 - 2 * _SIGN - _SAMPLE - 50.0
        for side, title in enumerate(self.titles):
            found += disc(x + _SIGN + 2.0, 30.0, side, _SIGN)
            x += 2 * _SIGN + 14.0
            found += [Path(((x, 30.0), (x + _SAMPLE, 30.0)), ink, width) for ink, width in _LINES[side]]
            x += _SAMPLE + 12.0
            if room > 3 * _LEGEND:
                words = fitted(title, _LEGEND, room)
                found.append(Words(x, 40.0, words, _LEGEND, "ink2"))
                x += text_width(words, _LEGEND)
            x += 34.0
        return found

    # -- what changes ----------------------------------------------------------------------------------------------

    @property
    def asked(self) -> float:
        """The instant whose figures stand over the plots [s]."""
        return self.record.now if self.pointer is None else self.pointer

    def figures(self, name: str) -> list[str]:
        """Return a figure of both rigs at the instant that is asked for, without a unit."""
        unit = figures_of(QUANTITIES[name][1], self.system, self.scales.small)
        values = (self.record.value(side, name, self.asked) for side in (0, 1))
        return [units.text_in(value, *unit)[0] if math.isfinite(value) else "–" for value in values]

    def live(self) -> list[Shape]:
        """Return the lines, marks, the instant that is shown and the figures."""
        found: list[Shape] = []
        for k, name in enumerate(OVER_TIME):
            x, y, wide, high = box = self.box(k)
            found += self._lines(name, box)
            for time, letter in self.marks:
                if self.begin <= time <= self.end:
                    found += self._upright(box, time, "ink2", letter)
            if self.record.now < self.latest - 1e-9 or self.pointer is not None:
                found += self._upright(box, self.record.now, "ink")
            if self.pointer is not None:
                found += self._upright(box, self.pointer, "accent")
                words = time_text(self.pointer, self.span)
                half = text_width(words, _AXIS, 600) / 2 + 8.0
                at = min(max(self.x_of(box, self.pointer), x + half - 8.0), x + wide - half + 8.0)
                found.append(_ground(at - half, y + high + 5.0, 2 * half, 1.2 * _AXIS))
                found.append(Words(at, y + high + 30.0, words, _AXIS, "ink", 600, "centre"))
            for side, text in enumerate(self.figures(name)):
                right = x + wide - (1 - side) * _SLOT
                found += disc(right - text_width(text, _FIGURE, 600) - _SIGN - 10.0, y - 48.0, side, _SIGN)
                found.append(Words(right, y - 33.0, text, _FIGURE, weight=600, align="right"))
        return found

    def _upright(self, box: Box, time: float, ink: str, letter: str = "") -> list[Shape]:
        """Return an upright line at an instant, with a letter at its head."""
        at, (_, y, _, high) = self.x_of(box, time), box
        found: list[Shape] = [Path(((at, y), (at, y + high)), ink, 2.5)]
        if letter:
            found.append(Words(at, y - 4.0, letter, _LETTER, "ink", 600, "centre"))
        return found

    def _lines(self, name: str, box: Box) -> list[Shape]:
        """Return the lines of both rigs, the second's band below; what waits beyond the instant shown is thin."""
        record, quantity = self.record, QUANTITIES[name][1]
        unit, scale = self.scales.unit(quantity, self.system), self.scales.ends(quantity, self.system)
        ends = unit.number(scale[0]), unit.number(scale[1])
        found: list[Shape] = []
        for side in (1, 0):
            stretches = [(self.begin, min(self.end, record.now), _LINES[side])]
            if record.now < min(self.end, self.latest):
                stretches.append((max(record.now, self.begin), self.end, (("ink2", 1.5 + 2.0 * side),)))
            for begin, end, styles in stretches:
                times, values = samples(record.series, column_of(side, name), begin, end, box[2] / 2)
                shown = (values - unit.offset) / unit.factor
                line = laid(box, (self.begin, self.span), ends, times, shown, "ink", 1.0)
                for x, y in line.pieces():
                    points = tuple(zip(x.tolist(), np.clip(y, box[1], box[1] + box[3]).tolist(), strict=True))
                    if len(points) > 1:
                        found += [Path(points, ink, width) for ink, width in styles]
        return found

    # -- in a file -------------------------------------------------------------------------------------------------

    def sheet(self, scale: float = 0.5) -> Sheet:
        """Return what is shown as it is written into a file, in a width and height of its own.

        What waits beyond the instant that is shown is in the table, too.
        """
        made = PairPicture(self.record, self.scales, self.titles)
        made.time, made.system, made.marks = self.time, self.system, self.marks
        shapes = sized([*made.still(), *made.live()], scale, (0.0, 0.0))
        about = tr("{names}; {begin:.2f} s to {end:.2f} s").format(
            names=", ".join(tr(QUANTITIES[name][0]) for name in OVER_TIME), begin=self.begin, end=self.end
        )
        columns = [
            Column(column_of(side, name), f"{side + 1} {tr(title)}", self.scales.unit(quantity, self.system))
            for name in OVER_TIME for side in (0, 1) for title, quantity in (QUANTITIES[name],)
        ]  # fmt: skip
        size = scale * WIDE[0], scale * WIDE[1]
        return Sheet(shapes, size, about, self.record.series, columns, (self.begin, self.end))


def _ground(x: float, y: float, wide: float, high: float) -> Path:
    """Return paper below words."""
    return Path(((x, y), (x + wide, y), (x + wide, y + high), (x, y + high)), None, 0.0, "paper", closed=True)


def told(picture: PairPicture) -> str:
    """Return the figures that stand over the plots in words."""
    words = []
    for name in OVER_TIME:
        title, quantity = QUANTITIES[name]
        both = " : ".join(picture.figures(name))
        words.append(f"{tr(title)} {both} {picture.scales.unit(quantity, picture.system).pretty}")
    return ", ".join(words)
