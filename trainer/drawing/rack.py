"""The lever rack as draw lists: spool levers, and the ruled scale of the prime mover's speed."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache

from trainer import units
from trainer.drawing.instruments import broken, scale_of
from trainer.drawing.shapes import Arc, Circle, DrawList, Moving, Path, Shape, Sliding, Words
from trainer.drawing.type_widths import text_width
from trainer.language import mark, tr
from trainer.units import System

__all__ = [
    "ARC",
    "HEIGHT",
    "LEVER_WIDTH",
    "PIVOT",
    "SPEED_WIDTH",
    "SWING",
    "WAITS",
    "Ruled",
    "asked_words",
    "lever_live",
    "lever_needs",
    "lever_reach",
    "lever_share",
    "lever_still",
    "percent",
]

HEIGHT, LEVER_WIDTH, SPEED_WIDTH = 244.0, 190.0, 258.0  # of the rack and of its columns [board px]
SWING = 34.0  # degrees either side
PIVOT = (LEVER_WIDTH / 2, 200.0)
ARC = 104.0  # radius of the ticked arc
_KNOB = 84.0
_ROOM = 146.0  # width of the whole arc with its ticks
_FREE, _EDGE = 40.0, 5.0  # from the middle to the numerals of the ends, from them to the column's end
_NAME, _LABEL, _FIGURE, _LETTER = 19.8, 15.4, 30.8, 0.48
_NAME_Y, _VALUE_Y, _ENDS_Y, _WORDS_Y = 34.0, 72.0, 160.0, 180.0  # the ends clear of the knob at full travel
_WAITS_Y, _WAITS_SIZE = 52.0, 18.5  # between name and value, and the largest type that has room there
_KNOBS = {ink: (Circle(0.0, 0.0, 11.0, None, 0.0, ink),) for ink in ("ink", "accent")}
_FOOT = (Path(((-15.0, -5.0), (15.0, -5.0), (15.0, 4.0), (-15.0, 4.0)), None, 0.0, "ink", closed=True),)
WAITS = mark("taken when the clock runs")
_SIDE = 68.0  # of the words at the ends, from the middle
_CLEAR = 12.0  # from them to the next column
_NOTE_Y = 102.0  # of what is said below the figure of a ruled scale
_SCALE_X, _SCALE_Y, _SCALE_WIDTH = 4.0, 136.0, 226.0


def percent(value: float) -> str:
    """Return a lever's place as text: "60 %", with a true minus sign."""
    whole = round(100 * value)
    return f"{'−' if whole < 0 else ''}{abs(whole)} %"


def asked_words(value: float, asked: float) -> str:
    """Return from where to where a lever is to go: "0 → 100 %"."""
    return f"{percent(value).removesuffix(' %')} → {percent(asked)}"


def _on_arc(value: float, radius: float, x: float) -> tuple[float, float]:
    angle = math.radians(SWING * value)
    return x + radius * math.sin(angle), PIVOT[1] - radius * math.cos(angle)


def lever_reach(width: float) -> float:
    """Return the size of a lever's arc and stem in a column of a width [board px], 1 where there is room."""
    return min(1.0, (width - 6.0) / _ROOM)


def lever_needs(name: str, least: float = 0.0) -> float:
    """Return the width that a lever's column needs for its name at a least text size [board px]."""
    return text_width(name, max(_NAME, least), 600) + 8.0


def lever_share(x: float, width: float = LEVER_WIDTH) -> float:
    """Return the share of travel for a sideways way of the knob [board px]."""
    return x / (_KNOB * lever_reach(width) * math.sin(math.radians(SWING)))


def lever_still(
    name: str, low: float, high: float, width: float = LEVER_WIDTH, least: float = 0.0, joined: bool = False
) -> DrawList:
    """Return the ticked arc, its end marks and the name of a lever between two shares of travel.

    ``width`` is that of its column, ``least`` the smallest text [board px]; ``joined``: another column ends where it
    begins, so that a line parts the words of both.
    """
    middle, size = width / 2, lever_reach(width)
    arc, small = ARC * size, max(_LABEL, least)
    shapes: list[Shape] = [
        Words(middle, _NAME_Y, name, _NAME, weight=600, align="centre"),
        Arc(middle, PIVOT[1], arc, 90 - SWING * high, SWING * (high - low), "ink", 1.5),
    ]
    for k in range(round(4 * low), round(4 * high) + 1):
        long = k % 4 == 0
        shapes.append(
            Path(
                (_on_arc(k / 4, arc, middle), _on_arc(k / 4, arc + (12.0 if long else 7.0), middle)),
                "ink",
                2.0 if long else 1.25,
            )
        )
    room = width / 2 - _FREE - _EDGE
    upper = "100 %" if text_width("100 %", small) <= room else "100"  # the value above has the unit
    for end, words in ((low, "−100"), (high, upper)):
        if end and text_width("−100", small) <= room and small <= _WORDS_Y - _ENDS_Y:
            away = min(_SIDE, width / 2 - text_width(words, small) / 2 - _EDGE)
            at = middle + math.copysign(away, end)
            shapes.append(Words(at, _ENDS_Y, words, _LABEL, "ink2", align="centre"))
    if joined:
        shapes.append(Path(((0.5, _ENDS_Y - 0.8 * _LABEL), (0.5, _WORDS_Y + 0.3 * _LABEL)), "ink2", 1.0))
    shapes.append(Path(((middle - 34, PIVOT[1] + 4), (middle + 34, PIVOT[1] + 4)), "ink", 2.0))
    return shapes


def _side(end: float, words: str, width: float, small: float) -> float:
    """Return the middle of some words at one end of a lever, so that they stay in its column."""
    half = len(words) * _LETTER * small / 2
    return width / 2 + math.copysign(min(_SIDE, width / 2 - half - _CLEAR), end)


def lever_live(
    value: float,
    ends: tuple[str, str],
    width: float = LEVER_WIDTH,
    least: float = 0.0,
    stands: float | None = None,
    asked: float | None = None,
) -> Moving:
    """Return the stem, knob, band of travel, value and direction words; moved is in the accent.

    ``stands``: where the lever stands at the instant that is shown, where a hand has set it otherwise since.
    ``asked`` is a place that it is to go to, hollow and dashed.
    """
    moved = abs(value) > 1e-3
    ink = "accent" if moved else "ink"
    x, y, size, small = width / 2, PIVOT[1], lever_reach(width), max(_LABEL, least)
    arc, knob = ARC * size, _KNOB * size
    shapes: list[Shape | Sliding] = [
        Words(
            x,
            _VALUE_Y,
            percent(value) if asked is None else asked_words(value, asked),
            _NAME,
            "accent" if moved or asked is not None else "ink2",
            600 if moved or asked is not None else 400,
            "centre",
        ),
        *_end_words(ends, (1 if value > 0 else -1) if moved else 0, width, small),
    ]
    hair, foot = _centred(width)
    if moved:
        shapes.append(hair)
        shapes.append(Arc(x, y, arc - 5, 90, -SWING * value, "accent", 6.0))
    if asked is not None:
        shapes.append(Arc(x, y, arc - 5, 90 - SWING * value, -SWING * (asked - value), "accent", 2.5))
        shapes.append(Path(((x, y), _on_arc(asked, knob - 11.0, x)), "accent", 3.0, dash=(6.0, 5.0)))
        shapes.append(Circle(*_on_arc(asked, knob, x), 10.0, "accent", 2.5))
    if stands is not None:
        shapes.append(Path(((x, y), _on_arc(stands, knob - 11.0, x)), "ink2", 2.0, dash=(5.0, 4.0)))
        shapes.append(Circle(*_on_arc(stands, knob, x), 10.0, "ink2", 2.0))
        told = (tr(WAITS), tr(WAITS).partition(" ")[2], tr("waits")) if small <= _WAITS_SIZE else ()
        words = next((words for words in told if text_width(words, small) <= width - 6.0), "")
        shapes.append(Words(x, _WAITS_Y, words, _LABEL, "ink2", align="centre"))
    shapes.append(Path(((x, y), _on_arc(value, knob, x)), ink, 7.0))
    across, down = _on_arc(value, knob, x)
    shapes += [Sliding(_KNOBS[ink], down, across), foot]
    return shapes


@lru_cache(maxsize=64)
def _centred(width: float) -> tuple[Path, Sliding]:
    """Return the line at which a lever is centred, and its foot."""
    x, y = width / 2, PIVOT[1]
    return Path((_on_arc(0, ARC * lever_reach(width) - 8, x), (x, y - 8)), "hairline", 2.0), Sliding(_FOOT, y, x)


@lru_cache(maxsize=64)
def _end_words(ends: tuple[str, str], chosen: int, width: float, small: float) -> tuple[Words, ...]:
    """Return the words of both ends of a lever; ``chosen`` is the end to which it is moved, -1 or 1, 0 for none."""
    found = []
    for side, word in ((-1, ends[0]), (1, ends[1])):
        ink, weight = ("accent", 600) if side == chosen else ("ink2", 400)
        for k, line in enumerate(broken(word, width / 2 - 20.0, small)):
            at = _side(side, line, width, small), _WORDS_Y + 0.98 * small * k
            found.append(Words(*at, line, _LABEL, ink, weight, "centre"))
    return tuple(found)


@dataclass(frozen=True, slots=True)
class Ruled:
    """A ruled scale for a setting that stays where it is put: a prime mover's speed, an opening.

    ``low`` and ``high`` are the ends of the setting [SI]; a scale that goes both ways has its zero in the middle.
    """

    quantity: str
    low: float
    high: float
    system: System

    @property
    def unit(self) -> str:
        """The unit as it is printed."""
        return units.shown_unit(self.quantity, self.system).pretty

    def _factor(self) -> float:
        return units.shown_unit(self.quantity, self.system).factor

    def _ends(self) -> tuple[float, int, int]:
        """Return (end [shown unit], intervals between numerals, small ticks in each) of one way of the scale."""
        wanted = max(self.high, -self.low) / self._factor()
        power = 10.0 ** math.floor(math.log10(wanted))
        for count in (3, 4, 5, 6):
            part = wanted / count
            for step, ticks in ((1.0, 5), (2.0, 4), (2.5, 5), (3.0, 3), (5.0, 5), (6.0, 3)):
                if any(math.isclose(part, step * tens, rel_tol=1e-6) for tens in (power / 10, power)):
                    return wanted, count, ticks
        scale = scale_of(max(self.high, -self.low), self.quantity, self.system)
        return scale.end, scale.majors, round(scale.major / scale.minor)

    @property
    def _both(self) -> bool:
        return self.low < 0

    def x(self, value: float) -> float:
        """Return where a value [SI] stands along the scale [board px]."""
        share = value / self._factor() / self._ends()[0]
        return _SCALE_X + _SCALE_WIDTH * ((share + 1) / 2 if self._both else share)

    def at(self, x: float) -> float:
        """Return the value [SI] at a place along the scale [board px]; the opposite of ``x``."""
        share = (x - _SCALE_X) / _SCALE_WIDTH
        return (2 * share - 1 if self._both else share) * self._ends()[0] * self._factor()

    def still(self, name: str, least: float = 0.0) -> DrawList:
        """Return the scale with its name; numerals as many as have room at a least text size [board px]."""
        end, majors, ticks = self._ends()
        low = -majors * ticks if self._both else 0
        shapes: list[Shape] = [Words(0.0, _NAME_Y, name, _NAME, weight=600)]
        right = _SCALE_X + _SCALE_WIDTH
        shapes.append(Path(((_SCALE_X, _SCALE_Y), (right, _SCALE_Y)), "ink", 1.5))
        small = max(_LABEL, least)
        whole = majors * (2 if self._both else 1)
        room = _SCALE_WIDTH / whole
        first = text_width(f"−{end:g}" if self._both else "0", small) / 2  # it stands within the rack
        wide = (len(f"{end:g}") + self._both) * 0.53 * small + 6.0 + max(first - _SCALE_X, 0.0)
        stride = next((n for n in range(1, majors) if majors % n == 0 and n * room >= wide), majors)
        for k in range(low, majors * ticks + 1):
            x, large = self.x(end * k / (majors * ticks) * self._factor()), k % ticks == 0
            length, weight = (11.0, 2.0) if large else (6.0, 1.25)
            shapes.append(Path(((x, _SCALE_Y), (x, _SCALE_Y + length)), "ink", weight))
            if large and k // ticks % stride == 0:
                text = f"{end * k / (majors * ticks):g}".replace("-", "−")
                shapes.append(
                    Words(max(x, first), _SCALE_Y + 13.0 + 0.9 * small, text, _LABEL, "ink2", align="centre")
                )
        return shapes

    def live(self, value: float, note: str = "", least: float = 0.0) -> DrawList:
        """Return the pointer, the travelled part and the figure of a value [SI].

        A ``note`` stands below the figure, of its words as many first ones as have room at a least text size.
        """
        x, zero = self.x(value), self.x(0.0)
        figures, unit = units.text(value, self.quantity, self.system)
        longest = max((units.text(v, self.quantity, self.system, 0)[0] for v in (self.low, self.high)), key=len)
        room = len(longest) * 0.513 * _FIGURE
        y = _SCALE_Y
        words, size = note.split(), max(_LABEL, least)
        while words and text_width(" ".join(words), size) > SPEED_WIDTH:
            words.pop()
        told = [Words(0.0, _NOTE_Y, " ".join(words), _LABEL, "ink2")] if words else []
        pointer = ((x, y - 4), (x - 11, y - 13), (x - 11, y - 27), (x + 11, y - 27), (x + 11, y - 13))
        return [
            Words(room, 82.0, figures, _FIGURE, weight=600, align="right"),
            Words(room + 7.0, 82.0, unit, _LABEL, "ink2"),
            Path(((zero, y), (x, y)), "ink", 6.0),
            Path(pointer, None, 0.0, "ink", closed=True),
            *told,
        ]
