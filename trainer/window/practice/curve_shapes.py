"""The learning curve as a draw list: one measure over the attempts, days apart, bands behind, the best marked."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from trainer.drawing.shapes import Circle, Path, Shape, Words
from trainer.drawing.type_widths import text_width
from trainer.language import tr
from trainer.practice.catalogue import MEASURES
from trainer.practice.task import Bands
from trainer.practice.telling import limit, told
from trainer.units import System
from trainer.window.practice.traces_shapes import Placing
from trainer.window.practice.words import day_words

__all__ = ["curve_shapes"]

_MOST = 12  # attempts that have room
_SMALL = 18.4
_LEFT, _FOOT = 96.0, 56.0


def curve_shapes(
    course: Sequence[tuple[date, float]], measure: str, quantity: str, bands: Bands | None, system: System,
    width: float, height: float, numbers: Sequence[int], least: float = 0.0,
) -> list[Shape]:  # fmt: skip
    """Return the last attempts' values [SI] in a room [board px]; the newest is full, the others are hollow.

    ``numbers`` are those of the attempts, ``least`` is the smallest text.
    """
    size = max(_SMALL, least)
    first = max(len(course) - _MOST, 0)
    shown = course[first:]
    if not shown:
        return []
    values = [value for _, value in shown]
    limits = [bands.practised[0], bands.usable[0]] if bands is not None else []
    low, high = min(0.0, *values), max(*values, *limits, 1e-9)
    top, bottom = 44.0, height - _FOOT
    y = Placing(low, 1.08 * high, bottom, top)
    pitch = (width - _LEFT - 34.0) / max(len(shown) - 1, 5)
    x = [_LEFT + 22.0 + pitch * k for k in range(len(shown))]
    shapes: list[Shape] = []
    if bands is not None:
        shapes += _bands(bands, measure, quantity, system, y, width, (top, bottom), size)
    shapes.append(Path(((_LEFT, bottom), (width, bottom)), "ink2", 1.2))
    shapes += _days(shown, x, bottom, width, size)
    if len(x) > 1:
        shapes.append(Path(tuple(zip(x, map(y, values), strict=True)), "ink", 1.2))
    better = min if MEASURES[measure].less else max
    best = values.index(better(values))
    for k, (place, value) in enumerate(zip(x, values, strict=True)):
        last = k == len(values) - 1
        shapes.append(
            Circle(place, y(value), 8.0, None, 0.0, "accent")
            if last
            else Circle(place, y(value), 6.0, "ink", 2.2, "paper")
        )
        number = str(numbers[first + k])
        if pitch > text_width(number, size) + 5.0 or (len(values) - 1 - k) % 2 == 0:
            shapes.append(
                Words(place, bottom + 26.0, number, _SMALL, "ink" if last else "ink2",
                      600 if last else 400, "centre")
            )  # fmt: skip
    if len(values) > 1:
        words = tr("best")
        wide = text_width(words, size)
        if best == len(values) - 1:
            right = x[best] + wide + 16.0 < width
            at, align = (x[best] + 14.0, "left") if right else (x[best] - 14.0, "right")
            shapes.append(Words(at, y(values[best]) - (0.0 if right else 6.0), words, _SMALL, align=align))
        else:
            below = y(values[best]) + 30.0
            place = below if below < bottom - 6.0 else y(values[best]) - 16.0
            middle = min(max(x[best], _LEFT + wide / 2), width - wide / 2)
            shapes.append(Words(middle, place, words, _SMALL, align="centre"))
    else:
        figure = told(measure, values[0], quantity, system)
        shapes.append(Words(x[0] + 18.0, y(values[0]) + 6.0, figure, _SMALL, weight=600))
    return shapes


def _bands(
    bands: Bands, measure: str, quantity: str, system: System, y: Placing, width: float, ends: tuple[float, float],
    size: float,
) -> list[Shape]:  # fmt: skip
    top, bottom = ends
    less = MEASURES[measure].less
    shapes: list[Shape] = []
    practised, usable = bands.practised[0], bands.usable[0]
    edge = bottom if less else top
    box = ((_LEFT, y(practised)), (width, y(practised)), (width, edge), (_LEFT, edge))
    shapes.append(Path(box, None, 0.0, "heat2", closed=True))
    room = abs(y(practised) - y(usable))
    for value, words in ((usable, tr("usable")), (practised, tr("practised"))):
        number, _ = limit(measure, value, quantity, system)
        shapes.append(Path(((_LEFT, y(value)), (width, y(value))), "ink2", 1.2))
        if value == practised or room > 22.0 * size / _SMALL:
            shapes.append(Words(_LEFT - 8.0, y(value) + 6.0, number, _SMALL, "ink2", align="right"))
        if room > 44.0 * size / _SMALL or value == practised:
            shapes.append(Words(_LEFT - 8.0, y(value) + 27.0 * size / _SMALL, words, _SMALL, "ink2", align="right"))
    return shapes


def _days(
    shown: Sequence[tuple[date, float]], x: Sequence[float], bottom: float, width: float, size: float
) -> list[Shape]:
    """Return a line where another day begins, and its name where there is room."""
    shapes: list[Shape] = []
    free = 0.0
    for k, (day, _) in enumerate(shown):
        if k and day == shown[k - 1][0]:
            continue
        left = x[k] - (x[k] - x[k - 1]) / 2 if k else _LEFT
        if k:
            shapes.append(Path(((left, 30.0), (left, bottom)), "hairline", 1.5, dash=(4.0, 4.0)))
        words = day_words(day)
        short = words.rpartition(" ")[0] or words
        for told_ in (words, short, words.partition(" ")[0]):
            wide = text_width(told_, size)
            start = min(max(left + (6.0 if k else 0.0), free), width - wide)
            if start >= free and start <= left + 12.0:
                shapes.append(Words(start, 22.0, told_, _SMALL, "ink2"))
                free = start + wide + 12.0
                break
    return shapes
