"""Traces as a draw list: curves under each other over one time, the best run dotted, the band asked for in white."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from trainer.drawing.shapes import Path, Shape, Words
from trainer.drawing.type_widths import text_width
from trainer.language import tr
from trainer.practice.signals import Numbers
from trainer.window.practice.plots import Plot, Plots

__all__ = ["columns_of", "curve_path", "round_steps", "traces_shapes"]

SMALL, _NAME = 18.4, 21.0
_LEFT, _RIGHT = 73.0, 152.0  # room for numerals, for names [board px]
_TOP, _FOOT, _GAP = 52.0, 36.0, 28.0
_LINES = 4  # of a plot, at the most


def round_steps(low: float, high: float, most: int = _LINES) -> list[float]:
    """Return round numbers from below ``low`` to above ``high``, at most so many intervals."""
    span = max(high - low, 1e-9)
    tens = 10.0 ** math.floor(math.log10(span / most))
    for step in (tens, 2 * tens, 2.5 * tens, 5 * tens, 10 * tens, 20 * tens):
        first, last = math.floor(low / step + 1e-9), math.ceil(high / step - 1e-9)
        if last - first <= most:
            break
    return [round(k * step, 9) for k in range(first, max(last, first + 1) + 1)]


def _numeral(value: float) -> str:
    return f"{value:g}".replace("-", "−")


def curve_path(times: Numbers, values: Numbers, x: Placing, y: Placing, ink: str, width: float,
               dash: tuple[float, ...] = ()) -> Path:  # fmt: skip
    """Return a curve as a line through its points."""
    points = tuple((x(time), y(value)) for time, value in zip(times.tolist(), values.tolist(), strict=True))
    return Path(points, ink, width, dash=dash)


class Placing:
    """From a number to a place [board px]."""

    def __init__(self, low: float, high: float, at_low: float, at_high: float) -> None:
        self.low, self.span = low, max(high - low, 1e-9)
        self.at_low, self.way = at_low, at_high - at_low

    def __call__(self, value: float) -> float:
        return self.at_low + self.way * (value - self.low) / self.span


def columns_of(width: float, apart: bool) -> list[tuple[float, float]]:
    """Return from where to where curves stand in a room so wide: those of one run, of two beside each other."""
    if not apart:
        return [(_LEFT, width - _RIGHT)]
    middle = (_LEFT + width - _RIGHT) / 2
    return [(_LEFT, middle - 14.0), (middle + 14.0, width - _RIGHT)]


def traces_shapes(
    plots: Plots, width: float, height: float, best_words: str = "", apart: bool = False,
    above: float = 0.0, at: float | None = None, least: float = 0.0,
) -> list[Shape]:  # fmt: skip
    """Return the curves of a lap in a room [board px].

    ``best_words`` name the best run; ``apart``: it stands beside the other instead of below it. ``above`` is room
    that is left over the curves, ``at`` an instant that is marked in them [s], ``least`` the smallest text.
    """
    count = max(len(plots.plots), 1)
    first = _TOP + above
    each = (height - first - _FOOT - _GAP * (count - 1)) / count
    shapes: list[Shape] = []
    columns = columns_of(width, apart)
    for k, plot in enumerate(plots.plots):
        top = first + k * (each + _GAP)
        bottom = top + each
        shapes += _plot(plot, columns, top, bottom, plots.until, apart, max(SMALL, least))
        shapes.append(Words(width - _RIGHT + 14.0, top + 22.0, plot.name, _NAME, weight=600))
        shapes.append(Words(width - _RIGHT + 14.0, top + 48.0, plot.unit, SMALL, "ink2"))
    bottom = first + count * (each + _GAP) - _GAP
    for column in columns:
        shapes += _times(column, bottom, plots.until, max(SMALL, least))
        if at is not None:
            x = Placing(0.0, plots.until, *column)(min(at, plots.until))
            shapes.append(Path(((x, first - 14.0), (x, bottom)), "ink", 2.0))
    shapes += _instants(plots, columns, (first, bottom), best_words, apart, max(SMALL, least))
    return shapes


def _plot(
    plot: Plot, columns: Sequence[tuple[float, float]], top: float, bottom: float, until: float, apart: bool,
    size: float,
) -> Iterator[Shape]:  # fmt: skip
    marks = round_steps(*plot.ends)
    y = Placing(marks[0], marks[-1], bottom, top)
    for left, right in columns:
        if plot.band is not None:
            low, high = (min(max(end, marks[0]), marks[-1]) for end in plot.band)
            box = ((left, y(high)), (right, y(high)), (right, y(low)), (left, y(low)))
            yield Path(box, "ink2", 1.0, "cell", closed=True)
        for value in marks:
            yield Path(((left, y(value)), (right, y(value))), "ink2" if value == 0.0 else "hairline", 1.2)
    free = math.inf  # numerals do not meet
    for value in marks:
        if free - y(value) >= 0.95 * size or free == math.inf:
            yield Words(_LEFT - 9.0, y(value) + 6.0, _numeral(value), SMALL, "ink2", align="right")
            free = y(value)
    x = Placing(0.0, until, *columns[0])
    other = Placing(0.0, until, *columns[-1])
    if plot.best is not None and plot.best_times is not None and len(plot.best) > 1:
        yield curve_path(plot.best_times, plot.best, other, y, "ink2", 2.0, () if apart else (3.0, 4.0))
    if len(plot.values) > 1:
        yield curve_path(plot.times, plot.values, x, y, "accent", 2.8)


def _times(column: tuple[float, float], bottom: float, until: float, size: float) -> Iterator[Shape]:
    left, right = column
    x = Placing(0.0, until, left, right)
    yield Path(((left, bottom), (right, bottom)), "ink2", 1.5)
    free = left - 20.0
    for value in round_steps(0.0, until, max(2, int((right - left) / 110.0))):
        if value > until * 1.0001:
            break
        words = tr("{time} s").format(time=_numeral(value)) if value else "0"
        wide = text_width(words, size)
        yield Path(((x(value), bottom), (x(value), bottom + 6.0)), "ink2", 1.2)
        if x(value) - wide / 2 > free and x(value) + wide / 2 < right + 40.0:
            yield Words(x(value), bottom + 28.0, words, SMALL, "ink2", align="centre")
            free = x(value) + wide / 2 + 10.0


def _instants(
    plots: Plots, columns: Sequence[tuple[float, float]], ends: tuple[float, float], best_words: str, apart: bool,
    size: float,
) -> Iterator[Shape]:  # fmt: skip
    """Yield when the lever came back to its centre, now and in the best run."""
    first, bottom = ends
    x, other = Placing(0.0, plots.until, *columns[0]), Placing(0.0, plots.until, *columns[-1])
    top, line = first - 14.0, first - 22.0
    own_x, best_x = x(plots.centred), other(plots.best_centred)
    own, best = tr("lever centred"), best_words or tr("best run")
    if apart:
        yield Words(columns[0][0], 27.0, tr("now"), _NAME, "accent", 600)
        yield Words(columns[-1][0], 27.0, best, _NAME, "ink2", 600)
    if not math.isnan(plots.centred):
        yield Path(((own_x, top), (own_x, bottom)), "accent", 2.0, dash=(5.0, 4.0))
        before = math.isnan(plots.best_centred) or apart or own_x <= best_x
        at, align = (own_x - 7.0, "right") if before else (own_x + 7.0, "left")
        if align == "right" and at - text_width(own, size) < columns[0][0] - 60.0:
            at, align = own_x + 7.0, "left"
            line -= 0.0
        if not apart:
            yield Words(at, line, own, SMALL, "accent", align=align)
    if not math.isnan(plots.best_centred):
        yield Path(((best_x, top), (best_x, bottom)), "ink2", 2.0, dash=(2.5, 4.0))
        if apart:
            return
        own_wide = text_width(own, size) + 20.0
        after = math.isnan(plots.centred) or own_x <= best_x
        at, align = (best_x + 7.0, "left") if after else (best_x - 7.0, "right")
        near = not math.isnan(plots.centred) and abs(at - own_x) < 0.5 * own_wide and own_x - own_wide < columns[0][0]
        yield Words(at, line - (24.0 if near else 0.0), best, SMALL, "ink2", align=align)
