"""One measure as a draw list: its figure, its bar of three bands, where the best stands.

Full is practised, empty usable, hatched beyond: shades alone would say the opposite on a dark ground.
"""

from __future__ import annotations

from trainer.drawing.shapes import Path, Shape, Words
from trainer.drawing.type_widths import text_width
from trainer.language import tr
from trainer.practice.catalogue import MEASURES
from trainer.practice.score import Band, Shown
from trainer.practice.telling import figures, limit, told
from trainer.units import System
from trainer.window.practice.words import BANDS

__all__ = ["HEIGHT", "measure_shapes"]

HEIGHT = 157.0  # of one measure [board px]
_NAME, _FIGURE, _SMALL = 21.0, 39.4, 18.4
_BAR_Y, _BAR = 92.0, 17.0
_MARK = 9.5  # half the width of a pointer
_BEYOND = 2.0  # the bar reaches so many times the limit of what can be used


def measure_shapes(shown: Shown, best: float | None, system: System, width: float, least: float = 0.0) -> list[Shape]:
    """Return a measure in a width [board px], the best one of the learner's own beside it.

    ``least`` is the smallest text.
    """
    number, unit = figures(shown.id, shown.value, shown.quantity, system)
    shapes: list[Shape] = [
        Words(0.0, 20.0, shown.words, _NAME, weight=600),
        Words(0.0, 63.0, number, _FIGURE, weight=600),
        Words(text_width(number, _FIGURE, 600) + 9.0, 63.0, unit, _NAME, "ink2"),
    ]
    said = [tr(BANDS[shown.band])] if shown.band is not None else []
    if best is not None:
        said.append(tr("best {figure}").format(figure=told(shown.id, best, shown.quantity, system)))
    shapes.append(Words(width, 63.0, " · ".join(said), _SMALL, "ink2", align="right"))
    if shown.bands is not None:
        shapes += _bar(shown, best, system, width, max(_SMALL, least))
    return shapes


def _bar(shown: Shown, best: float | None, system: System, width: float, size: float) -> list[Shape]:
    assert shown.bands is not None
    practised, usable = shown.bands.practised[0], shown.bands.usable[0]
    less = MEASURES[shown.id].less
    end = _BEYOND * usable if less else (1.0 if shown.quantity == "ratio" else _BEYOND * practised)
    end = max(end, 1e-9)

    def at(value: float) -> float:
        return width * min(max(value / end, 0.0), 1.0)

    edges = (0.0, practised, usable, end) if less else (end, practised, usable, 0.0)
    shapes: list[Shape] = []
    top, bottom = _BAR_Y, _BAR_Y + _BAR
    for one, other, band in zip(edges, edges[1:], Band, strict=False):
        left, right = sorted((at(one), at(other)))
        box = ((left, top), (right, top), (right, bottom), (left, bottom))
        fill = {Band.PRACTISED: "heat1", Band.USABLE: "paper", Band.BEYOND: "paper"}[band]
        shapes.append(Path(box, "ink", 1.5, fill, True, hatch="ink2" if band is Band.BEYOND else None))
    taken: list[tuple[float, float]] = []  # numerals do not meet, limits come first
    pointer_x = 0.0 if best is None else min(max(at(best), _MARK), width - _MARK)
    for value in (practised, usable, 0.0):
        number, _ = limit(shown.id, value, shown.quantity, system)
        wide = text_width(number, size)
        x = max(at(value) - wide / 2, 0.0)
        if best is not None and abs(x + wide / 2 - pointer_x) < wide / 2 + _MARK + 2.0:  # beside the pointer
            x = pointer_x + _MARK + 4.0
        if all(x >= right + 6.0 or x + wide + 6.0 <= left for left, right in taken) and x + wide <= width:
            shapes.append(Words(x, bottom + max(21.0, 0.95 * size), number, _SMALL, "ink2"))
            taken.append((x, x + wide))
    if best is not None:
        x = pointer_x
        pointer = ((x, bottom + 1.0), (x + _MARK, bottom + 15.0), (x - _MARK, bottom + 15.0))
        shapes.append(Path(pointer, "ink", 1.5, "paper", closed=True))
    x = min(max(at(shown.value), _MARK), width - _MARK)
    pointer = ((x, top - 1.0), (x + _MARK, top - 16.0), (x - _MARK, top - 16.0))
    shapes.append(Path(pointer, None, 0.0, "accent", closed=True))
    return shapes
