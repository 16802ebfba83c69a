"""The efficiencies of a pump or a motor over pressure, as a draw list: volumetric, hydromechanical, overall."""

from __future__ import annotations

from trainer import units
from trainer.drawing.shapes import DrawList, Path, Point, Shape, Words
from trainer.drawing.type_widths import text_width
from trainer.language import tr
from trainer.parts.efficiency import Curve
from trainer.units import System

__all__ = ["DROPS", "efficiency_shapes"]

DROPS = tuple(bar * 1e5 for bar in range(4, 301, 4))  # [Pa] at which it is drawn
_LEAST = 0.4  # the foot of the axis
_TICKS = {System.METRIC: (100, 200, 300), System.US: (1500, 3000, 4500)}  # [bar], [psi]


def efficiency_shapes(
    usual: Curve, hot: Curve, system: System, width: float, height: float, size: float
) -> DrawList:  # fmt: skip
    """Return the curves in a room [board px], with type of a ``size``: full lines, and the overall one of hot oil."""
    names = ("ηv", "ηhm", "η", tr("η, hot oil"))
    left, right = text_width("100 %", size) + 8.0, width - max(text_width(name, size, 600) for name in names) - 12.0
    top, bottom = 0.8 * size, height - 1.7 * size
    unit = units.shown_unit("pressure", system)
    most = max(_TICKS[system][-1] * unit.factor, usual.drops[-1])

    def at(drop: float, share: float) -> Point:
        return left + drop / most * (right - left), bottom - (share - _LEAST) / (1 - _LEAST) * (bottom - top)

    shapes: list[Shape] = []
    for share in (0.4, 0.6, 0.8, 1.0):
        y = at(0.0, share)[1]
        shapes.append(Path(((left, y), (right, y)), "hairline", 1.0))
        shapes.append(Words(left - 8.0, y + 0.34 * size, f"{100 * share:.0f} %", size, "ink2", align="right"))
    free = right + size  # of the axis, for words
    for number in reversed((0, *_TICKS[system])):
        x = at(number * unit.factor, _LEAST)[0]
        last = number == _TICKS[system][-1]
        shapes.append(Path(((x, bottom), (x, bottom + 5.0)), "ink", 1.0))
        words = f"{number} {unit.pretty}" if last else f"{number}"
        wide = text_width(words, size)
        if x + (0 if last else wide / 2) <= free - 0.5 * size:
            shapes.append(Words(x, bottom + 1.35 * size, words, size, "ink2", align="right" if last else "centre"))
            free = x - (wide if last else wide / 2)
    shapes.append(Path(((left, bottom), (right, bottom)), "ink", 1.5))
    curves = (
        (usual.volumetric, "ink", 2.0, ()), (usual.mechanical, "ink", 2.0, (7.0, 4.0)),
        (usual.overall, "accent", 3.5, ()), (hot.overall, "accent", 2.0, (3.0, 3.0)),
    )  # fmt: skip
    ends = []
    for name, (shares, ink, wide, dash) in zip(names, curves, strict=True):
        drops = hot.drops if shares is hot.overall else usual.drops
        line = [at(drop, share) for drop, share in zip(drops, shares, strict=True) if share >= _LEAST]
        if len(line) > 1:
            shapes.append(Path(tuple(line), ink, wide, dash=dash))
            ends.append((line[-1][1], name, ink))
    return [*shapes, *_names(ends, right + 8.0, size, bottom)]


def _names(ends: list[tuple[float, str, str]], x: float, size: float, bottom: float) -> list[Shape]:
    """Return the curves' names beside their ends, each below the one before it."""
    places: list[float] = []
    for y, _, _ in sorted(ends):
        places.append(max(y, places[-1] + 1.1 * size) if places else y)
    beyond = max(places[-1] - bottom, 0.0) if places else 0.0
    return [
        Words(x, place - beyond + 0.34 * size, name, size, ink, 600)
        for place, (_, name, ink) in zip(places, sorted(ends), strict=True)
    ]
