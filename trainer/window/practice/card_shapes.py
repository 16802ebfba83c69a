"""The score card as a draw list: the same on the screen and on paper."""

from __future__ import annotations

from trainer.drawing.shapes import Path, Shape, Words
from trainer.drawing.type_widths import text_width, wrapped
from trainer.language import tr
from trainer.practice.catalogue import called
from trainer.practice.telling import filled, told
from trainer.units import System
from trainer.window.painting.sizes import sized
from trainer.window.practice.bands_shapes import HEIGHT as MEASURE
from trainer.window.practice.bands_shapes import measure_shapes
from trainer.window.practice.beside_shapes import instant_of, machines_shapes
from trainer.window.practice.card import Card
from trainer.window.practice.curve_shapes import curve_shapes
from trainer.window.practice.plots import Plots, plots_of
from trainer.window.practice.traces_shapes import columns_of, traces_shapes
from trainer.window.practice.words import cut

__all__ = [
    "EDGE", "ROW", "ROWS", "TOP", "card_shapes", "laps_place", "left_wide", "lines_of", "middle", "plots_shown",
    "row_shapes", "traces_room",
]  # fmt: skip

EDGE, _LEFT = 36.0, 412.0  # of the page, least width of the measures [board px]
TOP = 57.0  # of what stands above it
_RULE, _MIDDLE, _CURVE = 22.0, 52.0, 426.0  # right of the measures the line and the traces; width of the curve
_HEAD, _SENTENCE, _NAME, SMALL = 28.0, 25.3, 21.0, 18.4
_MEASURES = 177.0
ROWS = _MEASURES + 3 * MEASURE + 92.0  # where the other measures begin
ROW = 26.7
_BEST = 84.0  # width of the column of the best attempt
_FOOT = 290.0  # height of what stands below the traces
_MACHINE, _UNDER_WORDS = 0.44, 34.0  # share of their height that two machines have; below the names of both runs


def lines_of(words: str, width: float, size: float, most: int) -> list[str]:
    """Return words in at most so many lines; what has no room ends in an ellipsis."""
    lines = wrapped(words, width, size)
    if len(lines) <= most:
        return lines
    return [*lines[: most - 1], f"{lines[most - 1].rstrip(' .,;')} …"]


def left_wide(least: float) -> float:
    """Return how wide the measures are [board px]: wider with type that must be larger, as in a small window."""
    return _LEFT * max(1.0, least / SMALL)


def middle(least: float) -> float:
    """Return where the traces begin [board px]."""
    return EDGE + left_wide(least) + _MIDDLE


def laps_place(width: float) -> tuple[float, float]:
    """Return right edge and baseline of what chooses among laps, in a page so wide [board px]."""
    return width - EDGE - _CURVE - 60.0, _MEASURES + 20.0


def card_shapes(
    card: Card, system: System, size: tuple[float, float], rows: bool = False, least: float = 0.0
) -> list[Shape]:
    """Return a card in a page [board px]; with ``rows``, as on paper, also what are buttons on the screen.

    No text is smaller than ``least``.
    """
    small = max(SMALL, least)
    width, height = size
    rule = EDGE + left_wide(least) + _RULE
    shapes: list[Shape] = [
        Words(EDGE, 103.0, cut(card.headline(system), width - 2 * EDGE, _HEAD, 600), _HEAD, weight=600),
        Words(EDGE, 143.0, cut(_under(card, system), width - 2 * EDGE, small), SMALL, "ink2"),
        Path(((rule, 177.0), (rule, height - 26.0)), "hairline", 2.0),
    ]
    for k, id_ in enumerate(card.shown):
        one = measure_shapes(card.score.one(id_), card.best(id_), system, left_wide(least), least)
        shapes += sized(one, 1.0, (EDGE, _MEASURES + k * MEASURE))
    shapes += _others_head(card, not rows, small, EDGE + left_wide(least))
    if rows:
        for k, id_ in enumerate(card.others[: int((height - 40.0 - ROWS) / ROW)]):
            shapes += sized(row_shapes(card, id_, system, least), 1.0, (EDGE, ROWS + k * ROW))
    for part in (_traces, _curve, _next):
        shapes += part(card, system, size, least)
    return shapes


def _under(card: Card, system: System) -> str:
    told_ = [filled(card.task.goal, system), card.conditions(system)]
    if card.is_best:
        told_.insert(0, tr("Your best so far"))
    if card.attempt.unscored:
        told_.insert(0, card.attempt.unscored)
    return " · ".join(filter(None, told_))


def _others_head(card: Card, swaps: bool, small: float, right: float) -> list[Shape]:
    top = _MEASURES + 3 * MEASURE + 8.0
    if not card.others:
        return []
    return [
        Path(((EDGE, top), (right, top)), "ink2", 1.5),
        Words(EDGE, top + 31.0, tr("Also measured"), _NAME, weight=600),
        Words(right, top + 31.0, tr("a click swaps one in") if swaps else "", SMALL, "ink2", align="right"),
        Words(right - _BEST * small / SMALL, top + 62.0, tr("now"), SMALL, "ink2", align="right"),
        Words(right, top + 62.0, tr("best"), SMALL, "ink2", align="right"),
    ]


def row_shapes(card: Card, measure: str, system: System, least: float = 0.0) -> list[Shape]:
    """Return the row of a measure: its name, now, in the best attempt."""
    small = max(SMALL, least)
    one = card.score.one(measure)
    best = card.best(measure)
    now = told(measure, one.value, one.quantity, system)
    then = told(measure, best, one.quantity, system) if best is not None else ""
    wide = left_wide(least)
    right = wide - max(_BEST * small / SMALL, text_width(then, small) + 14.0)
    room = right - 8.0 - text_width(now, small, 600)
    return [
        Words(0.0, 19.0, cut(called(measure, card.task.names), room, small), SMALL),
        Words(right, 19.0, now, SMALL, weight=600, align="right"),
        Words(wide, 19.0, then, SMALL, "ink2", align="right"),
    ]


def traces_room(size: tuple[float, float], least: float) -> tuple[float, float, float, float]:
    """Return left, top, width and height of what the traces have in a page [board px]."""
    (width, height), left = size, middle(least)
    return left, _MEASURES + 24.0, width - EDGE - _CURVE - 60.0 - left, height - _FOOT - _MEASURES - 24.0


def plots_shown(card: Card, system: System) -> Plots:
    """Return the curves of the lap that is shown."""
    return plots_of(card.task, card.attempt.laps[card.lap], card.trace, card.best_trace, system)


def _traces(card: Card, system: System, size: tuple[float, float], least: float) -> list[Shape]:
    left, top, wide, high = traces_room(size, least)
    plots = plots_shown(card, system)
    apart = card.apart and card.best_trace is not None
    above, at = (_MACHINE * high, instant_of(card, plots)) if card.machines else (0.0, None)
    title = tr("What your hand did and what it led to")
    shapes: list[Shape] = [Words(left, _MEASURES + 20.0, title, _NAME, weight=600)]
    words = ""
    if at is not None:
        words = tr("both machines at {time:.1f} s · a click or the arrow keys: another instant").format(time=at)
    elif card.best_trace is not None and not card.apart and len(card.attempt.laps) == 1:
        words = tr("full line: now · dotted: {best}").format(best=card.best_words)
    right = wide - 152.0 * (at is None)
    if words and text_width(title, _NAME, 600) + text_width(words, max(SMALL, least)) + 40.0 < right:
        shapes.append(Words(left + right, _MEASURES + 20.0, words, SMALL, "ink2", align="right"))
    found = traces_shapes(plots, wide, high, tr("best run"), apart, above, at, least)
    if at is not None:
        found += machines_shapes(card, at, columns_of(wide, True), _UNDER_WORDS, above - 4.0)
    return [*shapes, *sized(found, 1.0, (left, top))]


def _curve(card: Card, system: System, size: tuple[float, float], least: float) -> list[Shape]:
    width, height = size
    measure = card.shown[0]
    course = card.ladder.course(card.task, measure)
    left, right = width - EDGE - _CURVE, width - EDGE
    one = card.score.one(measure)
    title = tr("{count} attempts").format(count=len(course)) if len(course) != 1 else tr("First attempt")
    if len(course) != card.number:
        title = tr("Scored: {count} of {all}").format(count=len(course), all=card.number)
    shapes: list[Shape] = [Words(left, _MEASURES + 20.0, title, _NAME, weight=600)]
    name = called(measure, card.task.names)
    room = _CURVE - text_width(title, _NAME, 600) - 20.0
    shapes.append(Words(right, _MEASURES + 20.0, cut(name, room, max(SMALL, least)), SMALL, "ink2", align="right"))
    high = height - _FOOT - _MEASURES - 40.0
    numbers = card.ladder.numbers(card.task, measure)
    found = curve_shapes(course, measure, one.quantity, one.bands, system, _CURVE, high, numbers, least)
    return [*shapes, *sized(found, 1.0, (left, _MEASURES + 32.0))]


def _next(card: Card, system: System, size: tuple[float, float], least: float) -> list[Shape]:
    width, height = size
    left, right = middle(least), width - EDGE
    top = height - _FOOT + 17.0
    words, own = card.advice.told(system)
    shapes: list[Shape] = [
        Path(((left, top), (right, top)), "ink2", 1.5),
        Words(left, top + 36.0, tr("Try next"), _NAME, weight=600),
    ]
    y = top + 76.0
    for line in lines_of(words, right - left, max(_SENTENCE, least), 2):
        shapes.append(Words(left, y, line, _SENTENCE))
        y += 30.0
    shapes.append(Words(left, y + 6.0, cut(own, right - left, max(SMALL, least)), SMALL, "ink2"))
    rule = top + 151.0
    last = " ".join(filter(None, (card.spread(system), card.next_words())))
    return [
        *shapes,
        Path(((left, rule), (right, rule)), "ink2", 1.5),
        Words(left, rule + 34.0, cut(last, right - left, max(SMALL, least)), SMALL, "ink2"),
    ]
