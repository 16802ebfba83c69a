"""The lever rack as draw lists: spool levers, and the ruled scale of the prime mover's speed."""

from __future__ import annotations

import math

from trainer import units
from trainer.drawing.instruments import scale_of
from trainer.drawing.shapes import Arc, Circle, DrawList, Path, Shape, Words
from trainer.units import System

__all__ = [
    "ARC",
    "HEIGHT",
    "LEVER_WIDTH",
    "PIVOT",
    "SPEED_WIDTH",
    "SWING",
    "lever_live",
    "lever_share",
    "lever_still",
    "percent",
    "speed_at",
    "speed_live",
    "speed_still",
    "speed_x",
]

HEIGHT, LEVER_WIDTH, SPEED_WIDTH = 244.0, 190.0, 250.0  # of the rack and of its columns [board px]
SWING = 34.0  # degrees either side
PIVOT = (LEVER_WIDTH / 2, 200.0)
ARC = 104.0  # radius of the ticked arc
_KNOB = 84.0
_NAME_Y, _VALUE_Y, _ENDS_Y, _WORDS_Y = 34.0, 74.0, 156.0, 177.0
_SIDE = 68.0  # of the words at the ends, from the middle
_SCALE_X, _SCALE_Y, _SCALE_WIDTH = 4.0, 142.0, 226.0


def percent(value: float) -> str:
    """Return a lever's place as text: "60 %", with a true minus sign."""
    whole = round(100 * value)
    return f"{'−' if whole < 0 else ''}{abs(whole)} %"


def _on_arc(value: float, radius: float) -> tuple[float, float]:
    angle = math.radians(SWING * value)
    return PIVOT[0] + radius * math.sin(angle), PIVOT[1] - radius * math.cos(angle)


def lever_share(x: float) -> float:
    """Return the share of travel for a sideways way of the knob [board px]."""
    return x / (_KNOB * math.sin(math.radians(SWING)))


def lever_still(name: str, low: float, high: float) -> DrawList:
    """Return the ticked arc, its end marks and the name of a lever between two shares of travel."""
    shapes: list[Shape] = [
        Words(PIVOT[0], _NAME_Y, name, 19.8, weight=600, align="centre"),
        Arc(PIVOT[0], PIVOT[1], ARC, 90 - SWING * high, SWING * (high - low), "ink", 1.5),
    ]
    for k in range(round(4 * low), round(4 * high) + 1):
        long = k % 4 == 0
        shapes.append(
            Path(
                (_on_arc(k / 4, ARC), _on_arc(k / 4, ARC + (12.0 if long else 7.0))),
                "ink",
                2.0 if long else 1.25,
            )
        )
    for end, words in ((low, "−100"), (high, "100 %")):
        if end:
            shapes.append(Words(PIVOT[0] + math.copysign(_SIDE, end), _ENDS_Y, words, 15.4, "ink2", align="centre"))
    shapes.append(Path(((PIVOT[0] - 34, PIVOT[1] + 4), (PIVOT[0] + 34, PIVOT[1] + 4)), "ink", 2.0))
    return shapes


def lever_live(value: float, ends: tuple[str, str]) -> DrawList:
    """Return the stem, knob, band of travel, value and direction words; moved is in the accent."""
    moved = abs(value) > 1e-3
    ink = "accent" if moved else "ink"
    x, y = PIVOT
    shapes: list[Shape] = [
        Words(x, _VALUE_Y, percent(value), 19.8, "accent" if moved else "ink2", 600 if moved else 400, "centre")
    ]
    for side, word in ((-1, ends[0]), (1, ends[1])):
        chosen = moved and value * side > 0
        shapes.append(
            Words(
                x + side * _SIDE,
                _WORDS_Y,
                word,
                15.4,
                "accent" if chosen else "ink2",
                600 if chosen else 400,
                "centre",
            )
        )
    if moved:
        shapes.append(Path((_on_arc(0, ARC - 8), (x, y - 8)), "hairline", 2.0))
        shapes.append(Arc(x, y, ARC - 5, 90, -SWING * value, "accent", 6.0))
    shapes.append(Path(((x, y), _on_arc(value, _KNOB)), ink, 7.0))
    shapes.append(Circle(*_on_arc(value, _KNOB), 11.0, None, 0.0, ink))
    shapes.append(
        Path(
            ((x - 15, y - 5), (x + 15, y - 5), (x + 15, y + 4), (x - 15, y + 4)),
            None,
            0.0,
            "ink",
            closed=True,
        )
    )
    return shapes


def _speed_scale(high: float, system: System) -> tuple[float, int, int]:
    """Return (end [shown unit], intervals between numerals, small ticks in each) of a speed's ruled scale."""
    wanted = high / units.shown_unit("shaft speed", system).factor
    power = 10.0 ** math.floor(math.log10(wanted))
    for count in (3, 4, 5, 6):
        part = wanted / count
        for step, ticks in ((1.0, 5), (2.0, 4), (2.5, 5), (3.0, 3), (5.0, 5), (6.0, 3)):
            if any(math.isclose(part, step * tens, rel_tol=1e-6) for tens in (power / 10, power)):
                return wanted, count, ticks
    scale = scale_of(high, "shaft speed", system)
    return scale.end, scale.majors, round(scale.major / scale.minor)


def speed_x(value: float, high: float, system: System) -> float:
    """Return where a speed [rad/s] stands along the ruled scale [board px]."""
    unit = units.shown_unit("shaft speed", system)
    return _SCALE_X + _SCALE_WIDTH * value / unit.factor / _speed_scale(high, system)[0]


def speed_at(x: float, high: float, system: System) -> float:
    """Return the speed [rad/s] at a place along the ruled scale [board px]; the opposite of ``speed_x``."""
    unit = units.shown_unit("shaft speed", system)
    return (x - _SCALE_X) / _SCALE_WIDTH * _speed_scale(high, system)[0] * unit.factor


def speed_still(name: str, high: float, system: System) -> DrawList:
    """Return the ruled scale of a prime mover from standstill to its highest speed [rad/s], and its name."""
    end, majors, ticks = _speed_scale(high, system)
    shapes: list[Shape] = [Words(0.0, _NAME_Y, name, 19.8, weight=600)]
    right = _SCALE_X + _SCALE_WIDTH
    shapes.append(Path(((_SCALE_X, _SCALE_Y), (right, _SCALE_Y)), "ink", 1.5))
    for k in range(majors * ticks + 1):
        x, large = _SCALE_X + _SCALE_WIDTH * k / (majors * ticks), k % ticks == 0
        length, weight = (11.0, 2.0) if large else (6.0, 1.25)
        shapes.append(Path(((x, _SCALE_Y), (x, _SCALE_Y + length)), "ink", weight))
        if large:
            text = f"{end * k / (majors * ticks):g}"
            shapes.append(Words(x, _SCALE_Y + 31.0, text, 15.4, "ink2", align="centre"))
    return shapes


def speed_live(value: float, high: float, system: System) -> DrawList:
    """Return the pointer, the travelled part and the figure of a prime mover's speed [rad/s]."""
    x = speed_x(value, high, system)
    figures, unit = units.text(value, "shaft speed", system)
    room = len(str(round(high / units.shown_unit("shaft speed", system).factor))) * 0.513 * 30.8
    y = _SCALE_Y
    pointer = ((x, y - 4), (x - 11, y - 13), (x - 11, y - 27), (x + 11, y - 27), (x + 11, y - 13))
    return [
        Words(room, 82.0, figures, 30.8, weight=600, align="right"),
        Words(room + 7.0, 82.0, unit, 15.4, "ink2"),
        Path(((_SCALE_X, y), (max(x, _SCALE_X), y)), "ink", 6.0),
        Path(pointer, None, 0.0, "ink", closed=True),
    ]
