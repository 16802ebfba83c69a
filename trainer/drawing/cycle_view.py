"""Totals of a stretch of a run as draw lists: what was paid in, where it went, and a table of repeated cycles."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from trainer import units
from trainer.drawing.areas_view import short
from trainer.drawing.ledger_view import FILLS
from trainer.drawing.shapes import DrawList, Path, Shape, Words
from trainer.drawing.type_widths import text_width
from trainer.energy.accounts import other
from trainer.energy.ledger import Ledger, percentages, rounded
from trainer.units import System

__all__ = ["Line", "Sheet", "amounts", "fewer", "number", "row_at", "rows_in", "scaled", "sheet_live", "table_live"]

_TEXT = 15.4
_LETTER, _DIGIT = 0.47, 0.52  # mean widths of a letter and of a figure, in heights
_BETWEEN = 0.4  # least gap between two columns, in heights


@dataclass(frozen=True, slots=True)
class Line:
    """One row of a sheet: its name, its fill (a style, or "" for none), its cells from left to right.

    ``id`` is that of its entry, "" where it is of none.
    """

    name: str
    style: str
    cells: tuple[str, ...]
    bold: bool = False
    lit: bool = False
    id: str = ""


@dataclass(frozen=True, slots=True)
class Sheet:
    """Rows below a title with a total, and a heading over each column; "" heads none."""

    title: str
    total: str
    heads: tuple[str, ...]
    lines: tuple[Line, ...]


def scaled(total: float, quantity: str, system: System, small: bool = False) -> tuple[float, str, int]:
    """Return the unit in which sums of about a size [SI] are printed: its factor, its symbol, decimals.

    Four digits or so, so that a row of a hundredth of the total still shows.
    """
    size = abs(total)
    if quantity == "energy":
        if size < 1e3:
            found = units.unit("J"), 1 if size < 100.0 else 0
        elif size < 1e6:
            found = units.unit("kJ"), 2 if size < 1e5 else 1
        else:
            found = units.unit("MJ"), 3 if size < 1e8 else 1
    elif quantity == "volume" and system is System.METRIC:
        found = (units.unit("mL"), 0) if size < 0.2e-3 else (units.unit("L"), 2 if size < 0.1 else 1)
    elif quantity == "volume":
        gallon = units.unit("gal")
        few = size < 0.05 * gallon.factor
        found = (units.unit("in3"), 1) if few else (gallon, 3 if size < 10 * gallon.factor else 2)
    else:
        found = units.shown_with(quantity, system, small)
    return found[0].factor, found[0].pretty, found[1]


def number(value: float, decimals: int) -> str:
    """Return a number as it is printed: a minus sign of its own, and never one before nothing."""
    return figures(round(value * 10**decimals), decimals)


def figures(count: int, decimals: int) -> str:
    """Return a whole number of steps as it is printed."""
    text = f"{abs(count) / 10**decimals:.{decimals}f}"
    return "−" + text if count < 0 else text


def amounts(ledger: Ledger, system: System, unit: tuple[float, str, int] | None = None) -> list[tuple[str, str]]:
    """Return (figures, percent) of every entry, the total first; figures sum exactly, percents to 100."""
    factor, _, decimals = unit or scaled(ledger.total, ledger.quantity, system)
    values = [entry.value for entry in ledger.entries]
    total, counts = rounded(ledger.total, values, factor / 10**decimals)
    gains = [max(value, 0.0) for value in values]
    booked = sum(gains) > 0.5 * factor / 10**decimals
    shares = percentages(gains) if booked else [0] * len(values)
    rows = [(figures(count, decimals), f"{share} %") for count, share in zip(counts, shares, strict=True)]
    return [(figures(total, decimals), "100 %" if booked else ""), *rows]


def fewer(ledger: Ledger, rows: int, step: float) -> Ledger:
    """Return a ledger of at most so many entries.

    What prints as nothing, in steps of ``step`` [SI], goes first; of the others the smallest become one, "Other".
    """
    entries = ledger.entries
    if len(entries) > rows:
        entries = tuple(entry for entry in entries if abs(entry.value) >= step / 2)
    if len(entries) > rows:
        kept = sorted(range(len(entries)), key=lambda k: -abs(entries[k].value))[: max(rows - 1, 1)]
        out = [entry for k, entry in enumerate(entries) if k not in kept]
        parts = dict.fromkeys(part for entry in out for part in entry.parts)
        rest = other(sum(entry.value for entry in out), parts)
        entries = (*(entry for k, entry in enumerate(entries) if k in kept), rest)
    return replace(ledger, entries=entries)


def _pitch(least: float) -> float:
    return max(21.0, 1.3 * max(_TEXT, least))


def row_at(y: float, least: float) -> int:
    """Return the number of a sheet's row at a height [board px]; below 0 in its heading. A table's is one less."""
    return int((y - 1.45 * max(_TEXT, least)) // _pitch(least))


def rows_in(height: float, least: float) -> int:
    """Return how many rows have room below the heading [board px]."""
    return max(int((height - 1.5 * max(_TEXT, least)) / _pitch(least)), 1)


def apart(names: Sequence[str], rooms: Sequence[int]) -> list[str]:
    """Return names as far as they have room [characters]; of two that would read alike the ends stay."""
    cut = [short(name, room) for name, room in zip(names, rooms, strict=True)]
    made = list(cut)
    for k, (name, room) in enumerate(zip(names, rooms, strict=True)):
        head, comma, tail = name.partition(", ")
        if comma and cut.count(cut[k]) > 1 and cut[k] != name:
            made[k] = f"{head[: max(room - len(tail) - 3, 1)].rstrip()}…, {tail}"
    return made


def sheet_live(
    sheet: Sheet, left: float, width: float, widths: Sequence[float], least: float = 0.0, covered: bool = False
) -> DrawList:
    """Return a sheet, its rule at y = 0; ``widths`` are those of its columns [characters], right to right.

    ``covered`` hatches the total and all cells but percents.
    """
    size, pitch = max(_TEXT, least), _pitch(least)
    right = left + width
    edges: list[float] = []
    used = [any(line.cells[k : k + 1] != ("",) for line in sheet.lines) for k in range(len(widths))]
    for count, needed in zip(reversed(widths), reversed(used), strict=True):
        edges.insert(0, right)
        right -= (count * _DIGIT * size + 8.0) * needed  # an empty column leaves its room to the names
    names = left + (20.0 if any(line.style for line in sheet.lines) else 0.0)
    rooms = []
    for line in sheet.lines:
        edge, words = next(
            ((x, cell) for x, cell in zip(edges, line.cells, strict=False) if cell), (left + width, "")
        )
        rooms.append(max(int((edge - _DIGIT * size * len(words) - 8.0 - names) / (_LETTER * size)), 4))
    called = apart([line.name for line in sheet.lines], rooms)
    shapes: list[Shape] = [Path(((left, 0.0), (left + width, 0.0)), "ink", 1.0)]
    y = 1.2 * size
    shapes.append(Words(left, y, sheet.title if covered else f"{sheet.title} {sheet.total}", _TEXT, weight=600))
    if covered:
        shapes.append(_hatched(left + (0.52 * len(sheet.title) + 4.0) * size, y, "0.00 kJ", size))
    shapes += [
        Words(x, y, head, _TEXT, "ink2", align="right") for x, head in zip(edges, sheet.heads, strict=False) if head
    ]
    for k, line in enumerate(sheet.lines):
        y = 1.45 * size + pitch * (k + 0.76)
        if line.lit:
            top, bottom = y - 0.76 * pitch + 1.0, y + 0.24 * pitch
            box = ((left - 4.0, top), (left + width + 4.0, top), (left + width + 4.0, bottom), (left - 4.0, bottom))
            shapes.append(Path(box, "accent", 1.0, "accent-pale", closed=True))
        if line.style:
            fill, hatch = FILLS.get(line.style, ("cell", None))
            square = ((left + 1.0, y - 11.0), (left + 12.0, y - 11.0), (left + 12.0, y), (left + 1.0, y))
            shapes.append(Path(square, "ink", 1.0, fill, closed=True, hatch=hatch))
        weight = 600 if line.bold else 400
        shapes.append(Words(names, y, called[k], _TEXT, weight=weight))
        for x, words in zip(edges, line.cells, strict=False):
            if not words:
                continue
            if covered and not words.endswith("%"):
                shapes.append(_hatched(x, y, words, size))
            else:
                ink = "ink2" if words.endswith("%") else "ink"
                shapes.append(Words(x, y, words, _TEXT, ink, weight, "right"))
    return shapes


def table_live(
    heads: Sequence[tuple[str, str]],
    rows: Sequence[Sequence[str]],
    width: float,
    chosen: int = -1,
    last: bool = False,
    least: float = 0.0,
    covered: bool = False,
) -> DrawList:
    """Return a table of figures, its rule at y = 0, columns at even distances; the first one is at the left.

    Where one is too narrow for its words so, it is the gaps between them that are even.

    ``heads`` are (name, unit) of the columns, one above the other; ``chosen`` is the row that is pointed at; ``last``
    sets the last row apart. ``covered`` hatches what follows the second column.
    """
    size, pitch = max(_TEXT, least), _pitch(least)
    first = 0.14 * width
    across = (width - first) / max(len(heads) - 1, 1)
    places = [0.0, *(first + across * k for k in range(1, len(heads)))]
    columns = ([*head, *(row[k] for row in rows)] for k, head in enumerate(heads))
    wide = [max(text_width(text, size, 600) for text in column) for column in columns]
    if wide[0] > first or max(wide[1:], default=0.0) > across - _BETWEEN * size:
        gap = (width - sum(wide)) / max(len(heads) - 1, 1)
        places[1:] = [sum(wide[: k + 1]) + gap * k for k in range(1, len(heads))]

    def line(y: float, words: Sequence[str], ink: str, weight: int) -> list[Shape]:
        cells = zip(places[1:], words[1:], strict=True)
        right = (Words(x, y, text, _TEXT, ink, weight, "right") for x, text in cells)
        return [Words(0.0, y, words[0], _TEXT, ink, weight), *right]

    shapes: list[Shape] = [Path(((0.0, 0.0), (width, 0.0)), "ink", 1.0)]
    shapes += line(1.2 * size, [name for name, _ in heads], "ink2", 400)
    shapes += line(1.2 * size + pitch, [unit for _, unit in heads], "ink2", 400)
    for k, row in enumerate(rows):
        y = 1.45 * size + pitch * (k + 1.76)
        top, bottom = y - 0.76 * pitch, y + 0.24 * pitch
        if k == chosen:
            box = ((0.5, top), (width - 0.5, top), (width - 0.5, bottom), (0.5, bottom))
            shapes.append(Path(box, "accent", 1.0, "accent-pale", closed=True))
        ends = last and k == len(rows) - 1
        if ends:
            shapes.append(Path(((0.0, top), (width, top)), "hairline", 1.0))
        weight = 600 if ends else 400
        shapes += line(y, row if not covered else [*row[:2], *([""] * (len(row) - 2))], "ink", weight)
        if covered:
            shapes += [_hatched(x, y, text, size) for x, text in zip(places[2:], row[2:], strict=True) if text]
    return shapes


def _hatched(right: float, y: float, words: str, size: float) -> Path:
    left, top = right - _DIGIT * size * len(words), y - 0.68 * size
    box = ((left, top), (right, top), (right, y), (left, y))
    return Path(box, "ink2", 1.0, "cover", closed=True, hatch="cover-hatch")
