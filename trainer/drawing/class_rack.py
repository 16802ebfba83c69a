"""The levers before a class as draw lists: no names and ends, what is moved in one line above them."""

from __future__ import annotations

import math
from collections.abc import Mapping

from trainer.drawing.rack import SWING
from trainer.drawing.shapes import Arc, Circle, DrawList, Path, Shape, Words
from trainer.drawing.type_widths import text_width

__all__ = ["HEIGHT", "TOLD", "WIDTH", "lever_live", "lever_still", "lever_told", "share"]

HEIGHT, WIDTH, TOLD = 206.0, 150.0, 60.0  # of the rack, of a lever's widest column, of the line above it [board px]
_PIVOT, _ARC, _KNOB = 128.0, 100.0, 78.0  # height of the pivot below that line, radii
_SIZE, _LEAST = 44.0, 36.0
_FOOT = 24.0


def _at(value: float, radius: float, middle: float) -> tuple[float, float]:
    angle = math.radians(SWING * value)
    return middle + radius * math.sin(angle), _PIVOT - radius * math.cos(angle)


def _reach(width: float) -> float:
    return min(1.0, (width - 4.0) / WIDTH)


def share(x: float, width: float) -> float:
    """Return the share of travel for a sideways way of the knob [board px]."""
    return x / (_KNOB * _reach(width) * math.sin(math.radians(SWING)))


def lever_still(low: float, high: float, width: float) -> DrawList:
    """Return the ticked arc between two shares of travel, and the ground of the lever."""
    middle, arc = width / 2, _ARC * _reach(width)
    shapes: list[Shape] = [Arc(middle, _PIVOT, arc, 90 - SWING * high, SWING * (high - low), "ink", 2.5)]
    for k in range(round(4 * low), round(4 * high) + 1):
        long = k % 4 == 0
        ends = (_at(k / 4, arc, middle), _at(k / 4, arc + (12.0 if long else 7.0), middle))
        shapes.append(Path(ends, "ink", 3.0 if long else 2.0))
    shapes.append(Path(((middle - 44, _PIVOT + 6), (middle + 44, _PIVOT + 6)), "ink", 2.5))
    return shapes


def lever_live(value: float, width: float, asked: float | None = None) -> DrawList:
    """Return stem, knob and band of travel; ``asked`` is a place that it is to go to, hollow and dashed."""
    moved = abs(value) > 1e-3
    ink = "accent" if moved else "ink"
    middle, reach = width / 2, _reach(width)
    knob, arc = _KNOB * reach, _ARC * reach
    shapes: list[Shape] = []
    if moved:
        shapes.append(Path((_at(0, arc - 8, middle), (middle, _PIVOT - 8)), "hairline", 3.0))
        shapes.append(Arc(middle, _PIVOT, arc - 6, 90, -SWING * value, "accent", 9.0))
    if asked is not None:
        shapes.append(Arc(middle, _PIVOT, arc - 6, 90 - SWING * value, -SWING * (asked - value), "accent", 3.0))
        shapes.append(Path(((middle, _PIVOT), _at(asked, knob - 13.0, middle)), "accent", 4.0, dash=(8.0, 6.0)))
        shapes.append(Circle(*_at(asked, knob, middle), 12.0, "accent", 3.5))
    foot = ((middle - _FOOT, _PIVOT - 7), (middle + _FOOT, _PIVOT - 7), (middle + _FOOT, _PIVOT + 6),
            (middle - _FOOT, _PIVOT + 6))  # fmt: skip
    shapes += [
        Path(((middle, _PIVOT), _at(value, knob, middle)), ink, 10.0),
        Circle(*_at(value, knob, middle), 14.0, None, 0.0, ink),
        Path(foot, None, 0.0, "ink", closed=True),
    ]
    return shapes


def lever_told(told: Mapping[float, tuple[str, str]], left: float, right: float, y: float) -> DrawList:
    """Return what is moved, (percentage, word) by its column [board px], in one line; the words where they have room.

    ``left`` and ``right`` are the ends of the line, ``y`` its baseline.
    """
    shapes: list[Shape] = []
    for wordy in (True, False):
        shapes, edge = [], left
        for x, (value, word) in sorted(told.items()):
            words = f"{value} {word}".rstrip() if wordy else value
            wide = text_width(words, _SIZE, 600)
            begin = min(max(x - wide / 2, edge), right - wide)
            if wordy and begin < edge - 1:
                break
            shapes.append(Words(begin, y, words, _SIZE, "accent", 600))
            edge = begin + wide + 0.5 * _LEAST
            if wordy and abs(begin + wide / 2 - x) > WIDTH / 2:
                break
        else:
            break
    return shapes
