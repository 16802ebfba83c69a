"""What is read before a class as draw lists: a large dial, figures, one trace. All in board pixels of a column."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

from trainer import units
from trainer.drawing.instruments import Dial, broken, dial_live, dial_still, scale_of
from trainer.drawing.shapes import Arc, Circle, DrawList, Path, Point, Shape, Words
from trainer.drawing.type_widths import text_width
from trainer.rig.rig import Instrument
from trainer.units import System

__all__ = ["BIG", "SMALL", "WIDTH", "DialPlace", "Trace", "dial_shapes", "figure_shapes", "trace_shapes"]

WIDTH = 620.0
BIG, SMALL, READING = 46.0, 36.0, 64.0
_EDGE = 40.0
_MARKS = 4  # intervals that have room on a trace
_CELL = 149.0  # width of a dial's cell before it is enlarged


@dataclass(frozen=True, slots=True)
class DialPlace:
    """Where a large dial stands: how many times its size on the board, the middle and the top of its cell."""

    scale: float
    x: float
    top: float


def _large(shapes: DrawList, place: DialPlace, dial: Dial) -> list[Shape]:
    scale, x0, y0 = place.scale, place.x - place.scale * dial.x, place.top
    made: list[Shape] = []
    for shape in shapes:
        match shape:
            case Path():
                points: tuple[Point, ...] = tuple((scale * a + x0, scale * b + y0) for a, b in shape.points)
                made.append(replace(shape, points=points, width=scale * shape.width))
            case Circle() | Arc():
                made.append(
                    replace(
                        shape, x=scale * shape.x + x0, y=scale * shape.y + y0, radius=scale * shape.radius,
                        width=scale * shape.width,
                    )
                )  # fmt: skip
            case Words():
                made.append(replace(shape, x=scale * shape.x + x0, y=scale * shape.y + y0, size=scale * shape.size))
    return made


def dial_shapes(
    instrument: Instrument, system: System, step: float, place: DialPlace, needle: float | None = None,
    figure: float = 0.0, cover: float = 0.0, setting: float | None = None, tremble: float = 0.0,
) -> list[Shape]:  # fmt: skip
    """Return a large dial: with a ``needle`` [SI] what moves of it, else what stands."""
    small = max(SMALL / place.scale, 15.4)
    lines = len(broken(instrument.label, _CELL - 4.0, small))
    dial = Dial(instrument, system, _CELL, step, small, lines)
    if needle is None:
        return _large(dial_still(dial), place, dial)
    return _large(dial_live(dial, needle, figure, cover, setting, tremble), place, dial)


def _lines(words: str, room: float) -> list[str]:
    """Return words in at most two lines of a width; what has no room is left out."""
    lines: list[str] = []
    for word in words.split():
        longer = f"{lines[-1]} {word}" if lines else word
        if lines and text_width(longer, SMALL) <= room:
            lines[-1] = longer
        elif len(lines) == 2 or text_width(word, SMALL) > room:
            lines[-1:] = [f"{lines[-1]} …"] if lines else []
            break
        else:
            lines.append(word)
    return lines


def figure_shapes(
    instrument: Instrument, system: System, x: float, y: float, figure: float | None, covered: bool = False,
    size: float = READING, room: float = 200.0,
) -> list[Shape]:  # fmt: skip
    """Return a figure below its instrument's name and words, the unit below it; without a ``figure`` what stands."""
    dial = Dial(instrument, system)
    lines = _lines(instrument.label, room)
    top = y + 46.0 + 42.0 * len(lines) + 0.88 * size
    if figure is None:
        shapes: list[Shape] = [Words(x, y + 40.0, instrument.name, BIG, weight=600)]
        shapes += [Words(x, y + 82.0 + 42.0 * k, line, SMALL, "ink2") for k, line in enumerate(lines)]
        shapes.append(Words(x, top + 44.0, dial.scale.symbol, SMALL, "ink2"))
        return shapes
    if covered:
        box = ((x, top - 0.72 * size), (x + 140.0, top - 0.72 * size), (x + 140.0, top), (x, top))
        return [Path(box, "ink", 3.0, "cover", closed=True, hatch="cover-hatch")]
    return [Words(x, top, dial.figures(figure), size, weight=600)]


# -- the trace -------------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Trace:
    """A stretch of a trace: name, quantity, the ends of its scale [SI], its samples; the cause of what it shows.

    ``times`` run from ``-span`` to 0 [s]; ``cause`` is (when [s], words).
    """

    name: str
    quantity: str
    low: float
    high: float
    span: float
    times: Sequence[float]
    values: Sequence[float]
    cause: tuple[float, str] | None = None


def _ground(top: float, bottom: float, digits: float) -> tuple[float, float, float, float]:
    return _EDGE + digits, top + 76.0, WIDTH - 36.0, bottom - 54.0


def trace_shapes(trace: Trace, system: System, top: float, bottom: float, covered: bool = False) -> list[Shape]:
    """Return a trace between two heights: its name and unit, three or four lines with numerals, the curve."""
    unit = units.shown_unit(trace.quantity, system)
    scale = scale_of(max(trace.high, 1e-9), trace.quantity, system)
    end = scale.end
    low = -end if trace.low < 0 else 0.0
    strides = [n for n in range(1, scale.majors + 1) if scale.majors % n == 0]
    whole = scale.majors * (2 if low < 0 else 1)
    stride = next((n for n in strides if whole / n <= _MARKS), scale.majors)
    marks = [low + k * stride * scale.major for k in range(whole // stride + 1)]
    numerals = [f"{round(mark, 9):g}".replace("-", "−") for mark in marks]
    x0, y0, x1, y1 = _ground(top, bottom, max(text_width(n, SMALL) for n in numerals) + 14.0)

    def y(value: float) -> float:
        return y1 - (y1 - y0) * (min(max(value, low), end) - low) / (end - low)

    def x(time: float) -> float:
        return x1 + (x1 - x0) * time / trace.span

    last = f"{trace.span:g} s"
    shapes: list[Shape] = [
        Path(((_EDGE, top), (WIDTH - 36.0, top)), "ink", 3.0),
        Words(_EDGE, top + 50.0, f"{trace.name}, {unit.pretty}", SMALL, weight=600),
        Words(x0, y1 + 46.0, f"−{last}", SMALL, "ink2"),
        Words(x1, y1 + 46.0, "0 s", SMALL, "ink2", align="right"),
    ]
    for mark, numeral in zip(marks, numerals, strict=True):
        shapes.append(Path(((x0, y(mark)), (x1, y(mark))), "hairline", 2.0))
        shapes.append(Words(x0 - 12.0, y(mark) + 12.0, numeral, SMALL, "ink2", align="right"))
    if covered:
        corners = ((x0, y0), (x1, y0), (x1, y1), (x0, y1))
        return [*shapes, Path(corners, "ink", 2.0, "cover", closed=True, hatch="cover-hatch")]
    if trace.cause is not None and -trace.span < trace.cause[0] <= 0:
        at = x(trace.cause[0])
        shapes.append(Path(((at, y0 - 14.0), (at, y1)), "accent", 3.0))
        wide = text_width(trace.cause[1], SMALL)
        named = text_width(f"{trace.name}, {unit.pretty}", SMALL, 600) + _EDGE + 20.0
        left = min(at + 10.0, WIDTH - 36.0 - wide)
        if left > named:
            shapes.append(Words(left, top + 50.0, trace.cause[1], SMALL, "accent"))
    points = [(x(t), y(unit.number(v))) for t, v in zip(trace.times, trace.values, strict=True) if math.isfinite(v)]
    if len(points) > 1:
        shapes.append(Path(tuple(points), "ink", 4.0))
    return shapes
