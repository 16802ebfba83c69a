"""A ledger as a draw list: one bar as long as the total, rows with the same fills, a closing part."""

from __future__ import annotations

import math
from collections.abc import Collection
from dataclasses import dataclass, replace

from trainer import units
from trainer.drawing.shapes import DrawList, Path, Shape, Words
from trainer.drawing.symbols.symbol import bounds_of
from trainer.drawing.type_widths import text_width
from trainer.energy.accounts import named
from trainer.energy.ledger import Ledger, percentages, rounded
from trainer.language import tr
from trainer.units import System

__all__ = [
    "FILLS",
    "FOLDED",
    "PITCH",
    "WIDTH",
    "LedgerRow",
    "LedgerText",
    "closing_lines",
    "ledger_folded",
    "ledger_height",
    "ledger_live",
    "ledger_row",
    "ledger_share",
    "ledger_text",
    "ledger_unseen",
]

WIDTH = 448.0
FILLS: dict[str, tuple[str, str | None]] = {  # style -> (fill, hatch), roles of the theme
    "useful": ("accent", None),
    "stored": ("accent-pale", None),
    "past": ("cell", "ink"),
    "metering": ("ink", None),
    "pump": ("heat1", None),
    "relief": ("heat1", "ink"),
    "leakage": ("heat2", None),
    "lines": ("heat2", "ink2"),
    "friction": ("cell", None),
}
PITCH = 21.0  # of the rows
_TITLE_Y, _BAR_Y, _BAR_HEIGHT, _FIRST = 27.0, 37.0, 22.0, 80.0
FOLDED = _BAR_Y + _BAR_HEIGHT + 7.0  # height of a ledger of which only the bar is shown
_TITLE, _TEXT = 19.8, 15.4
_FIGURES_X = 392.0  # right edge of the figures, where percents beside them need no more room
_LETTER, _DIGIT = 0.46, 0.5  # mean width of a letter, of a semibold figure, in heights


@dataclass(frozen=True, slots=True)
class LedgerRow:
    """One line of a ledger as it is printed: figures that sum to the total, whole percents."""

    name: str
    figures: str
    percent: str
    style: str
    share: float  # of the bar, 0 to 1


@dataclass(frozen=True, slots=True)
class LedgerText:
    """A ledger as it is printed in one unit system; ``empty`` is a sentence where nothing is booked.

    ``counted`` says beside the name how its oil is counted.
    """

    name: str
    total: str
    unit: str
    rows: tuple[LedgerRow, ...]
    closing: tuple[tuple[str, str], ...]
    empty: str
    counted: str = ""


def _figures(count: int, decimals: int) -> str:
    text = f"{abs(count) / 10**decimals:.{decimals}f}"
    return "−" + text if count < 0 else text


def ledger_text(ledger: Ledger, system: System, small: bool = False, rows: int = 8) -> LedgerText:
    """Return the printed ledger: rounded figures sum exactly, percents by largest remainder sum to 100.

    What is given back has no share of the bar, and no percentage. ``small`` prints powers in W instead of kW (a
    hand-cranked rig). Of more than ``rows`` entries the
    smallest are printed as one.
    """
    unit, decimals = units.shown_with(ledger.quantity, system, small)
    pretty = unit.pretty
    step = unit.factor / 10**decimals
    entries = [(entry.shown, entry.value, entry.style) for entry in ledger.entries]
    if len(entries) > rows:
        kept = set(sorted(range(len(entries)), key=lambda i: -abs(entries[i][1]))[: rows - 1])
        rest = sum(entry[1] for i, entry in enumerate(entries) if i not in kept)
        entries = [entry for i, entry in enumerate(entries) if i in kept] + [(named("other"), rest, "friction")]
    values = [value for _, value, _ in entries]
    if not all(map(math.isfinite, (ledger.total, *values))):
        return LedgerText(ledger.name, "?", pretty, (), (), tr("No readings at this instant."))
    total, counts = rounded(ledger.total, values, step)
    gains = [max(value, 0.0) for value in values]
    whole, booked = sum(gains), sum(gains) > step / 2
    shares = [value / whole for value in gains] if booked else [0.0] * len(values)
    lines = tuple(
        LedgerRow(name, f"{_figures(count, decimals)} {pretty}", f"{part} %" if count >= 0 else "–", style, share)
        for (name, _, style), count, part, share in zip(
            entries, counts, percentages(gains) if booked else [0] * len(values), shares, strict=True
        )
    )
    closing = tuple((words, f"{_figures(round(value / step), decimals)} {pretty}") for words, value in ledger.closing)
    empty = "" if booked else (tr("No oil moves.") if ledger.quantity == "flow" else tr("Nothing is spent."))
    counted = tr("at tank pressure") if ledger.quantity == "flow" else ""
    return LedgerText(ledger.name, _figures(total, decimals), pretty, lines, closing, empty, counted)


def ledger_share(text: LedgerText, x: float) -> int:
    """Return the row whose share of the bar lies at a place across [board px], -1 for none."""
    end = 0.0
    for row, line in enumerate(text.rows):
        end += line.share * WIDTH
        if 0.0 <= x < end:
            return row
    return -1


def ledger_folded(text: LedgerText, covered: bool, least: float, row: int) -> DrawList:
    """Return title, total and bar alone; of a ``row`` pointed at, its name and figures instead of the title."""
    if 0 <= row < len(text.rows):
        figures, _, unit = text.rows[row].figures.partition(" ")
        text = replace(text, name=text.rows[row].name, total=figures, unit=unit, counted="")
    shapes = ledger_live(text, covered, 1, least, False, {row} if row >= 0 else set())
    return [shape for shape in shapes if bounds_of((shape,))[3] <= FOLDED]


def closing_lines(text: LedgerText, least: float = 0.0) -> tuple[str, ...]:
    """Return what closes a ledger: in one line where it has room at a least text size, else a line each."""
    if not text.closing:
        return ()
    told = [f"{words} {figures}" for words, figures in text.closing]
    told = [line[:1].upper() + line[1:] if k == 0 else line for k, line in enumerate(told)]
    unit = text.closing[0][1].partition(" ")[2]
    told = [line.removesuffix(f" {unit}") for line in told[:-1]] + told[-1:]
    line = ", ".join(told)
    if len(line) * _LETTER * max(_TEXT, least) <= WIDTH:
        return (line,)
    return tuple(f"{words[:1].upper()}{words[1:]} {figures}" for words, figures in text.closing)


def ledger_height(rows: int, closing: int) -> float:
    """Return the height [board px] of a ledger with so many rows and closing lines."""
    return _FIRST + PITCH * (rows + closing) - 8.0


def ledger_row(y: float) -> int:
    """Return the number of the row at a height of a ledger [board px]; below 0 above the rows."""
    return math.floor((y - _FIRST + 15.5) / PITCH)


def _figures_x(text: LedgerText, least: float) -> float:
    """Return the right edge of the figures: left of the widest percent at a least text size."""
    size = max(_TEXT, least)
    widest = max((text_width(row.percent, size) for row in text.rows), default=0.0)
    return min(_FIGURES_X, WIDTH - widest - 0.6 * size)


def _name(row: LedgerRow, least: float, right: float) -> str:
    """Return a row's name as far as it has room beside its figures: without what follows a comma, else cut."""
    size = max(_TEXT, least)
    room = int((right - 22.0 - _DIGIT * size * len(row.figures) - 6.0) / (_LETTER * size))
    if len(row.name) <= room:
        return row.name
    short = row.name.partition(",")[0]
    return short if len(short) <= room else f"{short[: max(room - 1, 1)].rstrip()}…"


def ledger_unseen(name: str, rows: int) -> DrawList:
    """Return a ledger of which nothing may be told: its name, and a cover over its bar and so many rows."""
    bottom = _BAR_Y + _BAR_HEIGHT if not rows else _FIRST + PITCH * (rows - 1)
    corners = ((0.0, _BAR_Y), (WIDTH, _BAR_Y), (WIDTH, bottom), (0.0, bottom))
    return [
        Path(((0.0, 0.0), (WIDTH, 0.0)), "ink", 1.5),
        Words(0.0, _TITLE_Y, name, _TITLE, weight=600),
        Words(WIDTH, _TITLE_Y, tr("covered"), _TEXT, "ink2", align="right"),
        Path(corners, "ink2", 1.25, "cover", closed=True, hatch="cover-hatch"),
    ]


def ledger_live(
    text: LedgerText,
    covered: bool = False,
    rows: int = 0,
    least: float = 0.0,
    apart: bool = False,
    lit: Collection[int] = (),
) -> DrawList:
    """Return a ledger, ``WIDTH`` wide, its rule at y = 0.

    ``covered`` hatches its figures; ``rows`` keeps room for so many above what closes it; ``least`` is the smallest
    text [board px]; ``apart`` gives each part of what closes it a line of its own. Rows whose numbers are ``lit``
    are pointed at.
    """

    def figures(x: float, y: float, words: str, size: float, ink: str = "ink", weight: int = 400) -> Shape:
        if not covered:
            return Words(x, y, words, size, ink, weight, "right")
        left, top = x - 3.6 * size, y - 0.7 * size
        corners = ((left, top), (x, top), (x, y), (left, y))
        return Path(corners, "ink2", 1.0, "cover", closed=True, hatch="cover-hatch")

    shapes: list[Shape] = [
        Path(((0.0, 0.0), (WIDTH, 0.0)), "ink", 1.5),
        Words(0.0, _TITLE_Y, text.name, _TITLE, weight=600),
        figures(WIDTH, _TITLE_Y, f"{text.total} {text.unit}", _TITLE, weight=600),
    ]
    size, right = max(_TEXT, least), text_width(f"{text.total} {text.unit}", max(_TITLE, least), 600)
    left = text_width(text.name, max(_TITLE, least), 600) + 0.7 * size
    if text.counted and left + text_width(text.counted, size) + 0.7 * size <= WIDTH - right:
        shapes.append(Words(left, _TITLE_Y, text.counted, _TEXT, "ink2"))
    x, bottom = 0.0, _BAR_Y + _BAR_HEIGHT
    for row in text.rows:
        end = min(x + row.share * WIDTH, WIDTH)
        if row.share > 0:
            fill, hatch = FILLS.get(row.style, ("cell", None))
            shapes.append(
                Path(
                    ((x, _BAR_Y), (end, _BAR_Y), (end, bottom), (x, bottom)),
                    None,
                    0.0,
                    fill,
                    closed=True,
                    hatch=hatch,
                )
            )
            if x > 0:
                shapes.append(Path(((x, _BAR_Y), (x, bottom)), "ink", 1.25))
        x = end
    shapes.append(Path(((0.0, _BAR_Y), (WIDTH, _BAR_Y), (WIDTH, bottom), (0.0, bottom)), "ink", 1.5, closed=True))
    y, right = _FIRST, _figures_x(text, least)
    for k, row in enumerate(text.rows):
        if k in lit:
            top, low = y - 15.5, y + PITCH - 15.5
            box = ((0.5, top), (WIDTH - 0.5, top), (WIDTH - 0.5, low), (0.5, low))
            shapes.append(Path(box, "accent", 1.0, "accent-pale", closed=True))
        fill, hatch = FILLS.get(row.style, ("cell", None))
        weight = 600 if row.style == "useful" else 400
        shapes += [
            Path(
                ((1.0, y - 11), (12.0, y - 11), (12.0, y), (1.0, y)),
                "ink",
                1.0,
                fill,
                closed=True,
                hatch=hatch,
            ),
            Words(22.0, y, _name(row, least, right), _TEXT, weight=weight),
            figures(right, y, row.figures, _TEXT, weight=weight),
            Words(WIDTH, y, row.percent, _TEXT, "ink2", align="right"),
        ]
        y += PITCH
    y = max(y, _FIRST + PITCH * rows) + 2.0
    if text.empty:
        shapes.append(Words(WIDTH / 2, _BAR_Y + 16.0, text.empty, _TEXT, "ink2", align="centre"))
    for line in closing_lines(text, 1e3 if apart else least):
        if covered:
            words, _, amount = line.partition(next((c for c in line if c.isdigit() or c == "−"), ""))
            shapes.append(Words(0.0, y, words.rstrip(), _TEXT, "ink2"))
            if amount:
                shapes.append(figures(WIDTH, y, amount, _TEXT))
        else:
            shapes.append(Words(0.0, y, line, _TEXT, "ink2"))
        y += PITCH
    return shapes
