"""Figures on the strip: values at the pointer and at cursors, what lies between two, and the whole as a picture."""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np

from trainer.drawing.shapes import Circle, Path, Shape, Words
from trainer.drawing.type_widths import text_width
from trainer.language import mark, tr
from trainer.window.strip.picture import (
    LINE,
    SMALL,
    WIDTH,
    StripPicture,
    cover,
    difference,
    figures,
    fitted,
)
from trainer.window.strip.time_axis import time_text

__all__ = ["Between", "at_cursors", "at_pointer", "between", "table", "whole"]

_EDGES = (0.48, 0.655, 0.83, 1.0)  # right edges of the columns of figures, as shares of the width
_HEADS = ("A", "B", "Δ", mark("mean"))
_GLYPH = 0.5  # width of a letter in heights


class Between(NamedTuple):
    """A trace's values [SI] at both cursors, and the mean over the time between them."""

    first: float
    second: float
    mean: float


def between(picture: StripPicture, place: int, one: float, other: float) -> Between:
    """Return what two instants [s] say about a trace; nan where nothing was recorded yet."""
    record = picture.record
    first, second = (picture.value_at(place, time) for time in (one, other))
    begin, end = min(one, other), min(max(one, other), record.now)
    mean = record.series.mean(record.traces.all[place].column, begin, end) if begin <= end else math.nan
    return Between(first, second, mean)


def table(picture: StripPicture) -> list[Shape]:
    """Return time and values at both cursors, their differences and means, below the plots."""
    pair = picture.cursors.pair
    if pair is None:
        return []
    one, other = pair
    small, pitch = picture.small, LINE * picture.small
    edges = [share * WIDTH for share in _EDGES]
    base = picture.height - picture.table_height() + 0.9 * small
    gap = min(abs(other - one) or picture.time.span, picture.time.span)
    heads = [f"{head} {time_text(t, gap)}" for head, t in zip(_HEADS, (one, other, other - one), strict=False)]
    apart: list[Shape] = []
    if max(text_width(head, small) for head in heads) > edges[1] - edges[0] - 0.4 * small:
        apart = [Words(0.0, base, heads[2], SMALL, "ink2")]  # the time between both stands before the columns
        heads = [*_HEADS[:3]]
    shapes: list[Shape] = apart + [
        Words(edge, base, words, SMALL, "ink2", align="right")
        for edge, words in zip(edges, (*heads, tr(_HEADS[-1])), strict=True)
    ]
    shapes.append(Path(((0.0, base + 0.3 * small), (WIDTH, base + 0.3 * small)), "hairline", 1.0))
    rows: list[tuple[str, list[str]]] = []
    for k, place in enumerate(picture.places):
        trace = picture.record.traces.all[place]
        _, _, symbol, decimals = picture.scale(k)
        room = edges[0] - 3.2 * small - (len(symbol) + 2) * 0.47 * small
        title = f"{fitted(trace.name, room, small)}, {symbol}"
        if place in picture.hidden:
            rows.append((title, []))
            continue
        first, second, mean = (
            figures(value, trace, decimals, picture.system) for value in between(picture, place, one, other)
        )
        cells = [first, second, difference(first, second), mean]
        rows.append((title, cells))
    for number, (title, cells) in enumerate(rows, 1):
        line = base + number * pitch + 0.08 * small
        shapes.append(Words(0.0, line, title, SMALL, "ink"))
        if not cells:
            shapes.append(cover(edges[0] - 50.0, line - 0.8 * small, WIDTH - edges[0] + 50.0, small))
        for edge, words in zip(edges, cells, strict=False):
            shapes.append(Words(edge, line, words, SMALL, "ink", align="right"))
    return shapes


def at_cursors(picture: StripPicture) -> list[Shape]:
    """Return the cursors' lines; of a single one also the dots on the traces."""
    shapes: list[Shape] = []
    left, _, width, _ = picture.plots()
    alone = picture.cursors.pair is None
    for letter, time in zip(_HEADS, picture.cursors.times, strict=False):
        at = picture.x_of(time)
        if left - 0.5 <= at <= left + width + 0.5:
            shapes += _upright(picture, at, time_text(time, picture.time.span) if alone else letter, "ink")
            if alone:
                shapes += _dots(picture, at, time)
    return shapes


def at_pointer(picture: StripPicture, at: float) -> list[Shape]:
    """Return the line of the pointer, ``at`` [board px] from the left, the instant there and the dots."""
    time = picture.time_of(at)
    return [*_upright(picture, at, time_text(time, picture.time.span), "ink2"), *_dots(picture, at, time)]


def _upright(picture: StripPicture, at: float, words: str, ink: str) -> list[Shape]:
    """Return an upright line through all plots, and what it is, on paper above them."""
    _, top, _, height = picture.plots()
    small = picture.small
    half = 0.5 * len(words) * _GLYPH * small + 4.0
    return [
        Path(((at, top - 3.0), (at, top + height + 5.0)), ink, 1.25),
        _paper(at - half, top - 3.0 - 0.9 * small, 2 * half, 0.95 * small),
        Words(at, top - 5.0, words, SMALL, "ink", 600, "centre"),
    ]


def _dots(picture: StripPicture, at: float, time: float) -> list[Shape]:
    """Return a dot on every trace, and one beside each of the values, which are of that instant then."""
    shapes: list[Shape] = []
    low_rows = picture.low_rows
    for k, place in enumerate(picture.places):
        value = math.nan if place in picture.hidden else picture.value_at(place, time)
        if not math.isfinite(value):
            continue
        x, y, width, height = picture.box(k)
        low, high, _, _ = picture.scale(k)
        shown = float(picture.shown_values(k, np.array([value]))[0])
        dot = min(max(y + height * (high - shown) / (high - low), y), y + height)
        ink = picture.record.traces.all[place].ink
        beside = y + height / 2 + (0.0 if low_rows else 4.0 + 0.35 * picture.small)
        for across, down in ((at, dot), (x + width + 5.5, beside)):
            shapes.append(Circle(across, down, 3.2, ink, 1.5, "paper"))
    return shapes


def _paper(x: float, y: float, width: float, height: float) -> Path:
    box = ((x, y), (x + width, y), (x + width, y + height), (x, y + height))
    return Path(box, None, 0.0, "paper", closed=True)


def whole(picture: StripPicture) -> list[Shape]:
    """Return everything as one draw list, traces included, as it is written into a file."""
    found = picture.still()
    for k in range(len(picture.places)):
        for line in picture.lines(k):
            for x, y in line.pieces():
                if len(x) > 1:
                    found.append(Path(tuple(zip(x.tolist(), y.tolist(), strict=True)), line.ink, line.width))
    return [*found, *at_cursors(picture), *picture.live(), *table(picture)]
