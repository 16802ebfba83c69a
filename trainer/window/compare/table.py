"""Figures of two runs: at the cursor and over the stretch that both have, before, now, the difference."""

from __future__ import annotations

import math
import textwrap
from collections.abc import Sequence
from dataclasses import dataclass

from trainer.drawing.shapes import Path, Shape, Words
from trainer.energy.series import TimeSeries
from trainer.language import tr
from trainer.window.strip.picture import (
    SMALL,
    StripPicture,
    cover,
    difference,
    figures,
    fitted,
)

__all__ = ["FigureRow", "common_stretch", "rows_of", "stretch_words", "table_shapes"]

_SHARES = (0.165, 0.265, 0.365, 0.475, 0.575, 0.675)  # right edges of six columns, as shares of the width
_TITLES = 0.115  # width of the names
_CHANGES = 0.705  # left edge of what was changed


@dataclass(frozen=True, slots=True)
class FigureRow:
    """One trace: its name with the unit, figures at the cursor, means over a stretch; each before, now, difference.

    Nothing where it is covered.
    """

    title: str
    unit: str
    at_cursor: tuple[str, ...]
    means: tuple[str, ...]


def common_stretch(
    picture: StripPicture, before: TimeSeries, origins: tuple[float, float]
) -> tuple[float, float] | None:
    """Return the stretch that both runs have [s after the instants at which they are laid together], or None.

    Means over different stretches say nothing about the runs: one of them may hold a lift, the other one not.
    """
    record = picture.record
    if not len(before) or not len(record.series):
        return None
    begin = max(before.begin - origins[0], record.series.begin - origins[1])
    end = min(before.end - origins[0], record.now - origins[1])
    return (begin, end) if begin < end else None


def stretch_words(stretch: tuple[float, float] | None) -> str:
    """Return what the means are of: "mean, 0.0 s to 5.1 s of both"."""
    if stretch is None:
        return tr("mean: no time in common")
    begin, end = (f"{time:.1f} s".replace("-", "−") for time in stretch)
    return tr("mean, {begin} to {end} of both").format(begin=begin, end=end)


def rows_of(
    picture: StripPicture, before: TimeSeries, origins: tuple[float, float], cursor: float
) -> list[FigureRow]:
    """Return a row for every shown trace; ``cursor`` [s] after the instants at which the runs are laid together."""
    record, rows = picture.record, []
    stretch = common_stretch(picture, before, origins)
    for k, place in enumerate(picture.places):
        trace = record.traces.all[place]
        _, _, symbol, decimals = picture.scale(k)
        if place in picture.hidden:
            rows.append(FigureRow(trace.name, symbol, (), ()))
            continue
        both = ((before, origins[0], before.end), (record.series, origins[1], record.now))
        values, means = [math.nan, math.nan], [math.nan, math.nan]
        for number, (series, origin, last) in enumerate(both):
            if trace.column in series.names and len(series):
                if stretch is not None:
                    means[number] = series.mean(trace.column, stretch[0] + origin, stretch[1] + origin)
                if cursor + origin <= last + 1e-9:
                    values[number] = series.value(trace.column, min(cursor + origin, last))
        told = []
        for pair in (values, means):
            first, second = (figures(value, trace, decimals + 1, picture.system) for value in pair)
            told.append((first, second, difference(first, second)))
        rows.append(FigureRow(trace.name, symbol, told[0], told[1]))
    return rows


def table_shapes(
    rows: Sequence[FigureRow],
    changes: Sequence[str],
    heads: tuple[str, str],
    ends: tuple[float, float],
    top: float,
    small: float,
) -> list[Shape]:
    """Return the table and the list of changes between two edges [board px], from ``top`` on.

    ``heads`` say at which instant the values and over which stretch the means are.
    """
    left, width, pitch = ends[0], ends[1] - ends[0], 1.4 * small
    edges = [left + share * width for share in _SHARES]
    base = top + small
    shapes: list[Shape] = [
        Words(edges[2], base, heads[0], SMALL, "ink", 600, "right"),
        Words(edges[5], base, heads[1], SMALL, "ink", 600, "right"),
        Words(left + _CHANGES * width, base, tr("Changed between the runs"), SMALL, "ink", 600),
    ]
    base += pitch
    for edge, words in zip(edges, (tr("before"), tr("now"), tr("difference")) * 2, strict=True):
        shapes.append(Words(edge, base, words, SMALL, "ink2", align="right"))
    rule = base + 0.35 * small
    shapes.append(Path(((left, rule), (edges[-1], rule)), "hairline", 1.0))
    for number, row in enumerate(rows, 1):
        line = base + number * pitch + 0.1 * small
        title = f"{fitted(row.title, _TITLES * width - (len(row.unit) + 2) * 0.47 * small, small)}, {row.unit}"
        shapes.append(Words(left, line, title, SMALL))
        cells = (*row.at_cursor, *row.means)
        if not cells:
            shapes.append(cover(edges[0] - 60.0, line - 0.8 * small, edges[-1] - edges[0] + 60.0, small))
        for edge, words in zip(edges, cells, strict=False):
            shapes.append(Words(edge, line, words, SMALL, "ink", align="right"))
    room, at = (1 - _CHANGES) * width, left + _CHANGES * width
    letters, most = max(int(room / (0.46 * small)), 4), len(rows) + 1
    lines: list[str] = []
    for number, words in enumerate(changes or [tr("Nothing.")]):
        more, left_over = textwrap.wrap(words, letters), len(changes) - number
        if len(lines) + len(more) + (left_over > 1) > most:
            lines.append(
                tr("and {left_over} more").format(left_over=left_over) if lines else f"{words[: letters - 1]}…"
            )
            break
        lines += more
    for number, words in enumerate(lines):
        shapes.append(Words(at, base + number * pitch, words, SMALL, "ink2" if not changes else "ink"))
    return shapes
