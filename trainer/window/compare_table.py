"""Figures of two runs: at the cursor and over the whole run, before, now, the difference."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from trainer.course import Course
from trainer.drawing.shapes import Path, Shape, Words
from trainer.window.strip_picture import SMALL, StripPicture, cover, figures, fitted

__all__ = ["Row", "rows_of", "table_shapes"]

_SHARES = (0.165, 0.265, 0.365, 0.475, 0.575, 0.675)  # right edges of six columns, as shares of the width
_TITLES = 0.115  # width of the names
_CHANGES = 0.705  # left edge of what was changed


@dataclass(frozen=True, slots=True)
class Row:
    """One trace: its name with the unit, figures at the cursor, means over the runs; each before, now, difference.

    Nothing where it is covered.
    """

    title: str
    unit: str
    at_cursor: tuple[str, ...]
    means: tuple[str, ...]


def rows_of(picture: StripPicture, before: Course, origins: tuple[float, float], cursor: float | None) -> list[Row]:
    """Return a row for every shown trace; ``cursor`` [s] after the instants at which the runs are laid together."""
    record, rows = picture.record, []
    for k, place in enumerate(picture.places):
        trace = record.traces.all[place]
        _, _, symbol, decimals = picture.scale(k)
        if place in picture.hidden:
            rows.append(Row(trace.name, symbol, (), ()))
            continue
        both = ((before, origins[0], before.end), (record.course, origins[1], record.now))
        values, means = [math.nan, math.nan], [math.nan, math.nan]
        for number, (course, origin, last) in enumerate(both):
            if trace.column in course.names and len(course):
                means[number] = course.mean(trace.column, course.begin, last)
                if cursor + origin <= last + 1e-9:
                    values[number] = course.value(trace.column, min(cursor + origin, last))
        told = [
            tuple(
                figures(value, trace, decimals + 1, picture.system, difference=place_ == 2)
                for place_, value in enumerate((one, other, other - one))
            )
            for one, other in (values, means)
        ]
        rows.append(Row(trace.name, symbol, told[0], told[1]))
    return rows


def table_shapes(
    rows: Sequence[Row], changes: Sequence[str], when: str, ends: tuple[float, float], top: float, small: float
) -> list[Shape]:
    """Return the table and the list of changes between two edges [board px], from ``top`` on."""
    left, width, pitch = ends[0], ends[1] - ends[0], 1.4 * small
    edges = [left + share * width for share in _SHARES]
    base = top + small
    shapes: list[Shape] = [
        Words(edges[2], base, f"at {when}", SMALL, "ink", 600, "right"),
        Words(edges[5], base, "mean of the whole run", SMALL, "ink", 600, "right"),
        Words(left + _CHANGES * width, base, "Changed between the runs", SMALL, "ink", 600),
    ]
    base += pitch
    for edge, words in zip(edges, ("before", "now", "difference") * 2, strict=True):
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
    lines, most = list(changes) or ["Nothing."], len(rows) + 1
    if len(lines) > most:
        lines = [*lines[: most - 1], f"and {len(lines) - most + 1} more"]
    for number, words in enumerate(lines):
        letters = max(int(room / (0.46 * small)), 4)
        told = words if len(words) <= letters else f"{words[: letters - 1]}…"
        shapes.append(Words(at, base + number * pitch, told, SMALL, "ink2" if not changes else "ink"))
    return shapes
