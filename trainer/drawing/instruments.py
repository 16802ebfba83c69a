"""Dials of the instruments as draw lists: scale, ramp, needle, figure, and the cover over them."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property, lru_cache

from trainer import units
from trainer.drawing.shapes import Arc, Circle, DrawList, Path, Point, Shape, Words
from trainer.drawing.theme import STEPS
from trainer.rig.rig import Instrument
from trainer.units import System

__all__ = ["QUANTITIES", "Dial", "DialScale", "broken", "dial_live", "dial_still", "on_scale", "scale_of"]

QUANTITIES = {
    "gauge": "pressure",
    "vacuum gauge": "vacuum",
    "differential gauge": "pressure",
    "flow meter": "flow",
    "tachometer": "shaft speed",
    "thermometer": "temperature",
}

_START, _SPAN = 225.0, 270.0  # degrees counter-clockwise from +x; the scale runs clockwise
_LEANS = -25.0  # degrees: further on the mark of a setting would lie on the numeral of the end
_FIGURE, _LABEL, _NAME = 30.8, 15.4, 19.8
_SMALL_FIGURE, _SMALL_RADIUS, _SMALL_TOP = 24.0, 45.0, 36.0  # of a dial in two rows [board px]
_SEEN = math.radians(0.4)  # half a fan's angle from which it is drawn
_DIGIT, _POINT, _LETTER = 0.513, 0.275, 0.5  # widths of a semibold figure, a point, a letter, in heights
_STEPS = (1.0, 2.0, 2.5, 4.0, 5.0)
_SHORTEST = 1e-6  # of the shown unit: no scale is shorter, so that its figures have digits
_MINORS = {1.0: 5, 2.0: 4, 2.5: 5, 4.0: 4, 5.0: 5}


@dataclass(frozen=True, slots=True)
class DialScale:
    """A scale from 0 to ``end`` in the shown unit: numerals every ``major``, small ticks every ``minor``.

    ``decimals`` are those of the figure below the dial, ``symbol`` the unit as it is printed.
    """

    end: float
    major: float
    minor: float
    decimals: int
    symbol: str

    @property
    def majors(self) -> int:
        """Number of intervals between numerals."""
        return round(self.end / self.major)


@lru_cache(maxsize=256)
def scale_of(range_: float, quantity: str, system: System) -> DialScale:
    """Return the scale of an instrument that reaches at least ``range_`` [SI] in one unit system.

    Four to six round intervals with the least end, even numbers first; the figure shows three digits.
    """
    unit = units.shown_unit(quantity, system)
    wanted = max(unit.number(range_), _SHORTEST)
    power = math.floor(math.log10(wanted))
    found = []
    for tens in (10.0 ** (power - 1), 10.0**power):
        for step in _STEPS:
            count = max(math.ceil(wanted / (step * tens) - 1e-6), 4)
            if count <= 6:
                found.append((round(count * step * tens, 9), count % 2, count, step, tens))
    end, _, _, step, tens = min(found)
    major = round(step * tens, 9)
    decimals = min(max(2 - math.floor(math.log10(end * 0.999)), 0), 3)
    return DialScale(end, major, major / _MINORS[step], decimals, units.shown_unit(quantity, system).pretty)


def broken(words: str, room: float, size: float) -> list[str]:
    """Return words in one line, or in two of about equal length where one would be wider than ``room``."""
    if len(words) * _LETTER * size <= room or " " not in words:
        return [words]
    spaces = [i for i, letter in enumerate(words) if letter == " "]
    best = min(spaces, key=lambda i: abs(2 * i - len(words)))
    return [words[:best], words[best + 1 :]]


@dataclass(frozen=True)
class Dial:
    """What a dial shows: an instrument in a unit system, in a cell ``width`` wide [board px].

    ``step`` is the pressure of one colour step [Pa], ``least`` the smallest text [board px], ``lines`` the
    lines of words below the name; without any it is a small dial, its words beside the name where they fit.
    """

    instrument: Instrument
    system: System
    width: float = 149.0
    step: float = 3e6
    least: float = 0.0
    lines: int = 1

    @cached_property
    def quantity(self) -> str:
        """What it measures."""
        return QUANTITIES[self.instrument.kind]

    @cached_property
    def scale(self) -> DialScale:
        """Its scale in the shown unit."""
        return scale_of(self.instrument.range_, self.quantity, self.system)

    @cached_property
    def small(self) -> float:
        """Height of its labels [board px]."""
        return max(_LABEL, self.least)

    @cached_property
    def x(self) -> float:
        """The middle of the cell."""
        return self.width / 2

    @cached_property
    def radius(self) -> float:
        """Of the arc [board px]."""
        return min((self.width - 15.0) / 2, 67.0 if self.lines else _SMALL_RADIUS)

    @cached_property
    def y(self) -> float:
        """The hub."""
        if not self.lines:
            return _SMALL_TOP + self.radius
        return 40.0 + (self.small + 3.0) * self.lines + 18.0 + self.radius

    @cached_property
    def band(self) -> float:
        """Width of the ramp of a pressure dial, else 0."""
        return 0.0 if self.quantity != "pressure" else (8.0 if self.radius > 55 else 7.0)

    @cached_property
    def gap_y(self) -> float:
        """Baseline of the unit and of the end numerals, in the gap of the arc."""
        return self.y + 0.707 * self.radius + 0.95 * self.small

    @cached_property
    def figure_y(self) -> float:
        """Baseline of the figure."""
        if not self.lines:  # below the ends of the arc, its unit beside it
            return self.y + 0.707 * self.radius + 0.66 * self.figure_size + 7.0
        return self.gap_y + 0.66 * self.figure_size + 13.0

    @cached_property
    def figure_size(self) -> float:
        """Height of the figure [board px]."""
        return _FIGURE if self.lines else max(_SMALL_FIGURE, self.least)

    @cached_property
    def end(self) -> float:
        """The end of its scale [SI]."""
        return self.unit.value(self.scale.end)

    @cached_property
    def height(self) -> float:
        """Of the whole cell."""
        return self.figure_y + 8.0

    def at(self, share: float, radius: float) -> Point:
        """Return a point on a circle about the hub at a share of the scale."""
        angle = math.radians(_START - _SPAN * share)
        return self.x + radius * math.cos(angle), self.y - radius * math.sin(angle)

    @cached_property
    def unit(self) -> units.Unit:
        """What its scale is printed in."""
        return units.shown_unit(self.quantity, self.system)

    def share(self, value: float) -> float:
        """Return where a value [SI] stands on the scale, 0 to 1; outside, a needle rests on its stops."""
        return min(max(self.unit.number(value) / self.scale.end, -0.02), 1.03)

    def way(self, share: float) -> float:
        """Return how far a needle's tip is along its arc at a share of the scale [board px]."""
        return share * math.radians(_SPAN) * (self.radius - self.band - 6.0)

    def figures(self, value: float) -> str:
        """Return the figures of a value [SI]; beyond the ends of the scale it says so."""
        return on_scale(
            value,
            self.end,
            self.quantity,
            lambda value: units.text(value, self.quantity, self.system, self.scale.decimals)[0],
        )


def on_scale(value: float, end: float, quantity: str, written: Callable[[float], str]) -> str:
    """Return a value [SI] as it is ``written``, and where a needle would rest on a stop of its scale, that it does.

    A needle just below nothing lies on its stop and reads nothing; a thermometer's scale goes on below.
    """
    if value > 1.02 * end:
        return f"> {written(end)}"
    if quantity == "temperature":
        return written(value)
    return "< 0" if value < -0.0199 * end else written(max(value, 0.0))


def _titles(dial: Dial) -> list[Shape]:
    """Return name and words of a dial."""
    x, small, name, label = dial.x, dial.small, dial.instrument.name, dial.instrument.label
    if dial.lines:
        shapes: list[Shape] = [Words(x, 34.0, name, _NAME, weight=600, align="centre")]
        lines = broken(label, dial.width - 4.0, small) if dial.lines > 1 else [label]
        for k, line in enumerate(lines):
            shapes.append(Words(x, 36.0 + (small + 2.0) * (k + 1), line, small, "ink2", align="centre"))
        return shapes
    size = max(_NAME - 2.0, dial.least)
    head, tail = 0.56 * size * len(name), _LETTER * small * len(label) + 8.0
    if not label or head + tail > dial.width - 6.0:
        return [Words(x, 18.0, name, size, weight=600, align="centre")]
    left = x - (head + tail) / 2
    return [Words(left, 18.0, name, size, weight=600), Words(left + head + 8.0, 18.0, label, small, "ink2")]


def _width(text: str, size: float) -> float:
    return sum(_POINT if c == "." else _DIGIT for c in text) * size


def dial_still(dial: Dial, titled: bool = True) -> DrawList:
    """Return what does not move: name and place where ``titled``, scale with its unit, the ramp of a pressure."""
    scale, x, y, radius, small = dial.scale, dial.x, dial.y, dial.radius, dial.small
    shapes = _titles(dial) if titled else []
    inner = radius - dial.band
    if dial.band:
        unit = units.shown_unit("pressure", dial.system)
        step = units.trade_step(dial.step, "pressure", dial.system) / unit.factor / scale.end  # share of the scale
        for k in range(STEPS):
            start, end = min(k * step, 1.0), min((k + 1) * step, 1.0) if k < STEPS - 1 else 1.0
            if end > start:
                place = radius - dial.band / 2
                shapes.append(
                    Arc(x, y, place, _START - _SPAN * start, -_SPAN * (end - start), f"pressure{k}", dial.band)
                )
        shapes.append(Arc(x, y, inner, _START, -_SPAN, "casing", 1.25))
        shapes += [Path((dial.at(s, inner), dial.at(s, radius)), "casing", 1.25) for s in (0.0, 1.0)]
    shapes.append(Arc(x, y, radius, _START, -_SPAN, "casing", 1.5))
    ticks = round(scale.end / scale.minor)
    per_major = round(scale.major / scale.minor)
    for k in range(ticks + 1):
        length, weight = (8.0, 2.0) if k % per_major == 0 else (4.5, 1.0)
        shapes.append(Path((dial.at(k / ticks, inner), dial.at(k / ticks, inner - length)), "ink", weight))
    if not dial.lines:
        unit_x = dial.x + _room(dial) / 2 + 5.0 - _unit_room(dial) / 2
        shapes.append(Words(unit_x, dial.figure_y, scale.symbol, small, "ink2"))
        return shapes
    shapes.append(Words(x, dial.gap_y, scale.symbol, small, "ink2", align="centre"))
    texts = ["0", f"{scale.end:g}"]
    clear = len(scale.symbol) * 0.47 * small / 2 + 4.0
    for side, text in ((-1, texts[0]), (1, texts[-1])):
        half = _width(text, small) / 2
        middle = x + side * max(0.76 * radius, clear + half)
        if not half <= middle <= dial.width - half:
            continue  # no room beside the unit: the numerals inside say enough
        shapes.append(Words(middle, dial.gap_y, text, small, "ink2", align="centre"))
    return shapes


def _texts(dial: Dial) -> list[str]:
    scale = dial.scale
    decimals = next(d for d in range(4) if d == 3 or math.isclose(scale.major, round(scale.major, d)))
    return [f"{k * scale.major:.{decimals}f}" if k else "0" for k in range(scale.majors + 1)]


@lru_cache(maxsize=64)
def _numerals(dial: Dial) -> list[tuple[Words, float]]:
    """Return (numeral, half its width) inside the arc between its ends, as many as have room."""
    texts, small = _texts(dial), dial.small
    widest = max(_width(text, small) for text in texts[:-1])
    radius = dial.radius - dial.band - 11.0 - max(0.36 * small, 0.42 * widest)
    majors = len(texts) - 1

    def clear(stride: int) -> bool:
        half = math.radians(min(_SPAN * stride / majors, 180.0)) / 2
        return 2 * radius * math.sin(half) >= 0.9 * widest + 5.0

    stride = next((s for s in range(1, majors) if majors % s == 0 and clear(s)), majors)
    placed = []
    for k in range(stride, majors, stride):
        x, y = dial.at(k / majors, radius)
        numeral = Words(x, y + 0.34 * small, texts[k], small, "ink2", align="centre")
        placed.append((numeral, _width(texts[k], small) / 2))
    return placed


def _crossed(dial: Dial, numeral: Words, half: float, share: float) -> bool:
    """Whether a needle at a share of the scale would run through a numeral."""
    angle = math.radians(_START - _SPAN * share)
    along, across = (math.cos(angle), -math.sin(angle)), (math.sin(angle), math.cos(angle))
    x, y = numeral.x - dial.x, numeral.y - 0.34 * numeral.size - dial.y
    reach = half * abs(across[0]) + 0.36 * numeral.size * abs(across[1]) + 2.0
    return x * along[0] + y * along[1] > 0 and abs(x * across[0] + y * across[1]) < reach


def dial_live(
    dial: Dial,
    needle: float,
    shown: float,
    cover: float = 0.0,
    relief: float | None = None,
    tremble: float = 0.0,
) -> DrawList:
    """Return what moves on a dial.

    ``needle`` and ``shown`` are what the needle stands at and what is printed [SI]; ``cover`` is 1 when hidden, 0
    when open, in between while it is wiped off; ``relief`` the setting of the relief valve on the same line [Pa];
    ``tremble`` by how much the needle trembles to either side [SI]: a fan. A numeral that the needle would run
    through is left out.
    """
    shapes: list[Shape] = []
    share = dial.share(needle)
    if relief is not None and dial.share(relief) <= 1.0:
        shapes.append(_triangle(dial, dial.share(relief)))
    if cover < 1.0:
        shapes += [numeral for numeral, half in _numerals(dial) if not _crossed(dial, numeral, half, share)]
        shapes += _fan(dial, dial.share(needle - tremble), dial.share(needle + tremble))
        shapes += _needle(dial, share)
        right = dial.x + _room(dial) / 2 - (0.0 if dial.lines else _unit_room(dial) / 2)
        size = dial.figure_size
        shapes.append(Words(right, dial.figure_y, dial.figures(shown), size, weight=600, align="right"))
    if cover > 0.0:
        shapes += _covers(dial, cover)
    return shapes


def _room(dial: Dial) -> float:
    """The width of the figures at the end of the scale; their right edge never moves with the value."""
    return _width(f"{dial.scale.end:.{dial.scale.decimals}f}", dial.figure_size)


def _unit_room(dial: Dial) -> float:
    """The width of the unit beside the figure of a small dial."""
    return 0.47 * dial.small * len(dial.scale.symbol) + 5.0


def _triangle(dial: Dial, share: float) -> Shape:
    """Return the mark of a setting, outside the arc; near the end it leans up, off the numeral below it.

    Where the cell ends close to the arc it is flatter, not cut.
    """
    angle = _START - _SPAN * share  # degrees
    lean = math.radians(angle if angle > _LEANS else _LEANS + 2.5 * (_LEANS - angle))
    tip, along = dial.at(share, dial.radius + 2.0), (math.cos(lean), -math.sin(lean))
    room = dial.width / 2 - 1.0 - abs(tip[0] - dial.x) - 6.0 * abs(along[1])
    high = min(10.0, max(room / abs(along[0]), 4.0)) if abs(along[0]) > 0.1 else 10.0
    root, side = (tip[0] + high * along[0], tip[1] + high * along[1]), (-6.0 * along[1], 6.0 * along[0])
    corners = (tip, (root[0] + side[0], root[1] + side[1]), (root[0] - side[0], root[1] - side[1]))
    return Path(corners, None, 0.0, "ink", closed=True)


def _fan(dial: Dial, low: float, high: float) -> list[Shape]:
    """Return the pale fan that a trembling needle sweeps between two shares of the scale, where it is seen."""
    start, end = (math.radians(_START - _SPAN * share) for share in (low, high))
    if start - end < 2 * _SEEN:
        return []
    reach = dial.radius - dial.band - 6.0
    steps = max(int((start - end) / 0.05), 2)
    angles = [start + (end - start) * k / steps for k in range(steps + 1)]
    rim = tuple((dial.x + reach * math.cos(a), dial.y - reach * math.sin(a)) for a in angles)
    return [Path(((dial.x, dial.y), *rim), None, 0.0, "hairline", closed=True)]


def _needle(dial: Dial, share: float) -> list[Shape]:
    angle = math.radians(_START - _SPAN * share)
    c, s = math.cos(angle), -math.sin(angle)
    reach, tail, root, tip = dial.radius - dial.band - 6.0, 0.24 * dial.radius, 3.4, 0.8
    points = tuple(
        (dial.x + a * c - b * s, dial.y + a * s + b * c)
        for a, b in ((reach, tip), (-tail, root), (-tail, -root), (reach, -tip))
    )
    return [Path(points, None, 0.0, "ink", closed=True), Circle(dial.x, dial.y, 6.0, None, 0.0, "ink")]


def _covers(dial: Dial, cover: float) -> list[Shape]:
    """Return the hatched disc over the dial and the hatched bar over the figures, wiped from the left."""
    radius = dial.radius - dial.band - 12.0
    if cover >= 1.0:
        shapes: list[Shape] = [Circle(dial.x, dial.y, radius, "ink", 1.5, "cover", "cover-hatch")]
    else:
        half = math.acos(min(max(1.0 - 2.0 * cover, -1.0), 1.0))
        angles = (half * (k / 12 - 1.0) for k in range(25))
        ring = tuple((dial.x + radius * math.cos(a), dial.y + radius * math.sin(a)) for a in angles)
        shapes = [Path(ring, "ink", 1.5, "cover", closed=True, hatch="cover-hatch")]
    room = max(_room(dial), 44.0)
    middle = dial.x - (0.0 if dial.lines else _unit_room(dial) / 2)
    left, right = middle - room / 2 + room * (1.0 - cover), middle + room / 2
    top, bottom = dial.figure_y - 0.68 * dial.figure_size, dial.figure_y + 1.0
    corners = ((left, top), (right, top), (right, bottom), (left, bottom))
    shapes.append(Path(corners, "ink2", 1.25, "cover", closed=True, hatch="cover-hatch"))
    return shapes
