"""A lever pattern as a picture to hold against a machine: two sticks from above, and what each way of them does."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence

from trainer.drawing.shapes import Circle, DrawList, Path, Shape, Words
from trainer.drawing.working_view import broken_words

__all__ = ["pattern_view", "travel_view"]

_GATE, _KNOB, _THROW = 92.0, 27.0, 62.0  # radii of gate and knob, way of the knob
_CENTRES = ((216.0, 200.0), (652.0, 200.0))
_SIDE, _WIDE = 10.0, 112.0  # from the gate to the words beside it, and their room
_NAME, _WORD, _LINE, _HEAD = 21.0, 21.0, 25.0, 21.0
_MOVED = 0.02
_WIDTH = 868.0

Ways = Mapping[str, tuple[str, str, str]]  # slot -> what the lever is called, what its - way and its + way do


def pattern_view(
    ways: Ways, places: Mapping[str, float], titles: tuple[str, str], others: Sequence[tuple[str, str]], free: str
) -> DrawList:
    """Return the picture; ``places`` are where the sticks stand now, by slot.

    ``titles`` stand below the sticks, ``others`` are slots that are no stick's with their words, below both; what
    leads nothing says ``free``.
    """
    shapes: list[Shape] = []
    for hand, title, centre in zip(("left", "right"), titles, _CENTRES, strict=True):
        shapes += _stick(hand, ways, places, title, centre, free)
    y = _CENTRES[0][1] + _GATE + 146.0
    for slot, words in others:
        moved = abs(places.get(slot, 0.0)) > _MOVED
        for line in broken_words(words, _WIDTH - 40.0, _WORD):
            shapes.append(Words(_WIDTH / 2, y, line, _WORD, *_style(moved), "centre"))
            y += _LINE
    shapes.append(Path(((0.0, y - _LINE + 8.0), (_WIDTH, y - _LINE + 8.0)), None, 0.0))  # as wide whatever it says
    return shapes


def _style(moved: bool) -> tuple[str, int]:
    return ("accent", 600) if moved else ("ink", 400)


def _stick(
    hand: str, ways: Ways, places: Mapping[str, float], title: str, centre: tuple[float, float], free: str
) -> list[Shape]:
    x, y = centre
    across, along = (places.get(f"{hand} {way}", 0.0) for way in ("across", "along"))
    shapes: list[Shape] = [Circle(x, y, _GATE, "ink", 2.0, "cell")]
    for way, ends in (("across", ((-1, 0), (1, 0))), ("along", ((0, -1), (0, 1)))):
        led, place = f"{hand} {way}" in ways, across if way == "across" else along
        for right, up in ends:
            ink = "ink" if led else "hairline"
            inner, outer = (x + 30 * right, y - 30 * up), (x + (_GATE - 8) * right, y - (_GATE - 8) * up)
            shapes.append(Path((inner, outer), ink, 2.0))
            if led:
                shapes.append(_tip(outer, right, up))
            name, less, more = ways.get(f"{hand} {way}", ("", "", ""))
            word = more if right + up > 0 else less
            moved = led and place * (right + up) > _MOVED
            shapes += _told(x, y, right, up, name, word, moved) if led else _free(x, y, right, up, free)
    length = math.hypot(across, along)
    reach = _THROW * (min(1.0, 1.0 / length) if length else 1.0)  # a gate is round
    kx, ky = x + reach * across, y - reach * along
    moved = length > _MOVED
    shapes.append(Path(((x, y), (kx, ky)), "accent" if moved else "ink", 7.0))
    shapes.append(Circle(kx, ky, _KNOB, "accent" if moved else "ink", 3.0, "accent" if moved else "paper"))
    shapes.append(Words(x, y + _GATE + 96.0, title, _HEAD, "ink2", align="centre"))
    return shapes


def _tip(at: tuple[float, float], right: int, up: int) -> Path:
    """Return an arrow's head at a place, pointing right or left, up or down."""
    x, y = at
    root = (x - 11 * right, y + 11 * up)
    across = (6 * up, 6 * right)
    points = ((x, y), (root[0] + across[0], root[1] + across[1]), (root[0] - across[0], root[1] - across[1]))
    return Path(points, None, 0.0, "ink", closed=True)


def _told(x: float, y: float, right: int, up: int, name: str, word: str, moved: bool) -> list[Shape]:
    """Return what one way of a stick does: the lever's name, and the rack's word below it."""
    names = [(line, 600) for line in broken_words(name, _WIDE, _NAME, 600)]
    lines = [*names, *((line, 600 if moved else 400) for line in broken_words(word, _WIDE, _WORD, 600))]
    ink = "accent" if moved else "ink"
    if right:
        at, align = x + right * (_GATE + _SIDE), "left" if right > 0 else "right"
        top = y + 6.0 - _LINE * (len(lines) - 1) / 2
    else:
        at, align = x, "centre"
        top = y - _GATE - 14.0 - _LINE * (len(lines) - 1) if up > 0 else y + _GATE + 26.0
    return [
        Words(at, top + _LINE * k, line, _NAME if weight == 600 else _WORD, ink, weight, align)
        for k, (line, weight) in enumerate(lines)
    ]


def _free(x: float, y: float, right: int, up: int, words: str) -> list[Shape]:
    """Return a dash where a way of a stick does nothing."""
    if right:
        return [
            Words(x + right * (_GATE + _SIDE), y + 6.0, words, _WORD, "ink2", 400, "left" if right > 0 else "right")
        ]
    return [Words(x, y - _GATE - 14.0 if up > 0 else y + _GATE + 26.0, words, _WORD, "ink2", 400, "centre")]


_PLOT, _LEFT = 230.0, 64.0  # side of the square, room left of it


def travel_view(
    share: Callable[[float], float], raw: float, centre: float, dead: tuple[float, float], words: tuple[str, str, str]
) -> DrawList:
    """Return how an axis is felt: its raw place along, the lever's share of travel up, and where both are now.

    ``centre`` and the ends of the ``dead`` zone are raw places; ``words`` name what is along, up, and the zone.
    """

    def at(along: float, up: float) -> tuple[float, float]:
        return _LEFT + (along + 1) / 2 * _PLOT, (1 - up) / 2 * _PLOT

    low, high = (min(max(end, -1.0), 1.0) for end in dead)
    zone = (at(low, -1.0), at(high, -1.0), at(high, 1.0), at(low, 1.0))
    now = (min(max(raw, -1.0), 1.0), share(raw))
    moved = abs(now[1]) > _MOVED
    line = tuple(at(x / 60, share(x / 60)) for x in range(-60, 61))
    return [
        Path((at(-1, -1), at(1, -1), at(1, 1), at(-1, 1)), "hairline", 1.5, "cell", closed=True),
        Path(zone, None, 0.0, "paper", closed=True, hatch="cover-hatch"),
        Path((at(-1, 0), at(1, 0)), "hairline", 1.5),
        Path((at(centre, -1), at(centre, 1)), "hairline", 1.5),
        Path(line, "ink", 3.0),
        Path((at(now[0], -1), at(*now)), "accent" if moved else "ink2", 1.5, dash=(4.0, 4.0)),
        Circle(*at(*now), 8.0, "accent" if moved else "ink", 2.5, "accent" if moved else "paper"),
        Words(at(0, 0)[0], _PLOT + 28.0, words[0], 19.0, "ink2", align="centre"),
        Words(_LEFT - 12.0, at(0, 0)[1] + 6.0, words[1], 19.0, "ink2", align="right"),
        Words(at(0, 0)[0], _PLOT + 54.0, words[2], 19.0, "ink2", align="centre"),
    ]
