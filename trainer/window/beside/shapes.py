"""What stands in pairs beside two drawings, as draw lists: bars on one scale, where power goes, signs.

The first rig is the filled disc and the dark bar, the second the hollow disc and the bar with a border; the first
always stands above the second.
"""

from __future__ import annotations

from collections.abc import Sequence

from trainer.drawing.ledger_view import FILLS
from trainer.drawing.shapes import Circle, DrawList, Path, Shape, Words
from trainer.drawing.type_widths import text_width
from trainer.language import tr
from trainer.pairing.figures import QUANTITIES, Figures, Scales, style_words
from trainer.units import System

__all__ = [
    "BLOCK",
    "INDENT",
    "ROW",
    "block_live",
    "block_signs",
    "block_still",
    "changed",
    "disc",
    "fitted",
    "legend",
    "legend_height",
    "power_row",
]

BLOCK = 166.0  # height of a figure with both bars [board px]
ROW = 58.0  # of a bar of where the power goes
_NAME, _END, _FIGURE, _SHARE, _LEGEND, _PAID = 36.0, 28.0, 50.0, 36.0, 28.0, 44.0
_NAME_Y, _FIRST, _PITCH, _BAR = 34.0, 50.0, 57.0, 42.0
_DISC, _ROOM, _GAP = 17.0, 128.0, 26.0
INDENT = 44.0  # of what stands right of the signs
_TOTAL = 372.0  # room of what is paid in, right of its bar
_LEGEND_PITCH, _SWATCH = 42.0, 26.0
_WORD_GAP = 22.0


def disc(x: float, y: float, side: int, radius: float = _DISC) -> list[Shape]:
    """Return the sign of the first rig (0) or the second (1) about a middle."""
    fill, ink = ("ink", "paper") if side == 0 else ("paper", "ink")
    return [
        Circle(x, y, radius, "ink", 2.5, fill),
        Words(x, y + 0.58 * radius, f"{side + 1}", 1.65 * radius, ink, 600, "centre"),
    ]


def _bar(left: float, top: float, wide: float, high: float, side: int) -> Path:
    corners = ((left, top), (left + wide, top), (left + wide, top + high), (left, top + high))
    return Path(corners, None if side == 0 else "ink", 2.5, "ink" if side == 0 else "heat1", closed=True)


def fitted(words: str, size: float, room: float, weight: int = 400) -> str:
    """Return words as far as they have room, cut with an ellipsis."""
    if text_width(words, size, weight) <= room:
        return words
    while words and text_width(f"{words}…", size, weight) > room:
        words = words[:-1].rstrip()
    return f"{words}…"


def changed(differs: Sequence[str], size: float, room: float) -> str:
    """Return what is not as in a file as far as it has room: the numbers stay, what they are of is cut."""
    more = tr("; {count} more").format(count=len(differs) - 1) if len(differs) > 1 else ""
    words = differs[0] + more
    if text_width(words, size) <= room or "→" not in differs[0]:
        return fitted(words, size, room)
    first, _, after = differs[0].rpartition(" → ")
    name, _, before = first.rpartition(" ")
    tail = f" {before} → {after}{more}"
    return fitted(name, size, max(room - text_width(tail, size), 40.0)) + tail


def block_still(name: str, scales: Scales, system: System, x: float, y: float, wide: float) -> DrawList:
    """Return a figure's name, the upper end of its scale with the unit, and the grounds of both bars."""
    title, quantity = QUANTITIES[name]
    unit = scales.unit(quantity, system).pretty
    right = x + wide - _GAP
    end = f"{scales.end_text(quantity, system)} {unit}"
    shapes: list[Shape] = [
        Words(x, y + _NAME_Y, tr(title), _NAME),
        Words(right, y + _NAME_Y, end, _END, "ink2", align="right"),
    ]
    for side in (0, 1):
        top = y + _FIRST + side * _PITCH
        begin, last = x, right - _ROOM
        corners = ((begin, top), (last, top), (last, top + _BAR), (begin, top + _BAR))
        shapes.append(Path(corners, "hairline", 2.0, closed=True))
    return shapes


def block_signs(x: float, y: float) -> DrawList:
    """Return the signs of both rigs before the bars of a row of blocks."""
    return [shape for side in (0, 1) for shape in disc(x + _DISC + 2.0, y + _FIRST + side * _PITCH + _BAR / 2, side)]


def block_live(
    name: str, figures: Sequence[Figures], scales: Scales, system: System, x: float, y: float, wide: float
) -> DrawList:
    """Return both bars of a figure and what they say."""
    quantity = QUANTITIES[name][1]
    low, high = scales.ends(quantity, system)
    right = x + wide - _GAP
    whole = wide - _GAP - _ROOM
    shapes: list[Shape] = []
    for side, one in enumerate(figures):
        top = y + _FIRST + side * _PITCH
        share = min(max((one.values[name] - low) / (high - low), 0.0), 1.0)
        if share * whole >= 1.0:
            shapes.append(_bar(x, top, share * whole, _BAR, side))
        shapes.append(Words(right, top + _BAR - 4.0, one.texts[name], _FIGURE, weight=600, align="right"))
    return shapes


# -- where the power goes ---------------------------------------------------------------------------------------


def power_row(one: Figures, side: int, scales: Scales, system: System, y: float, wide: float) -> DrawList:
    """Return where the power of one rig goes: one bar as long as what is paid in, its shares with their figures."""
    high = scales.ends("power", system)[1]
    unit = scales.unit("power", system).pretty
    left, top, bottom = INDENT, y + 5.0, y + ROW - 7.0
    whole = wide - left - _TOTAL
    shapes: list[Shape] = disc(_DISC + 2.0, y + ROW / 2 - 1.0, side)
    x = left
    narrow: list[str] = []  # whose figures have no room in the bar
    for style, watts in one.shares.items():
        end = min(x + max(watts, 0.0) / high * whole, left + whole)
        if end - x >= 1.0:
            fill, hatch = FILLS[style]
            corners = ((x, top), (end, top), (end, bottom), (x, bottom))
            shapes.append(Path(corners, "ink", 2.0, fill, closed=True, hatch=hatch))
            text = one.share_texts[style]
            room = text_width(text, _SHARE, 600) + 16.0
            if end - x >= room + 6.0:
                shapes += _on(text, (x + end) / 2, bottom, room, fill, hatch)
            elif any(digit in "123456789" for digit in text):
                narrow.append(style)
        x = end
    if x - left < 1.0:
        shapes.append(Path(((left, top), (left, bottom)), "ink", 2.0))
    total = f"{one.total_text} {unit}"
    shapes.append(Words(wide, bottom - 7.0, total, _PAID, weight=600, align="right"))
    right = wide - text_width(total, _PAID, 600) - 18.0
    if one.given_text:
        told = tr("{given} given back").format(given=one.given_text)
        shapes.append(Words(right, bottom - 9.0, told, _END, "ink2", align="right"))
        right -= text_width(told, _END) + 18.0
    return [*shapes, *_beside(one, narrow, x + 22.0, right, bottom)]


def _beside(one: Figures, narrow: Sequence[str], x: float, right: float, bottom: float) -> list[Shape]:
    """Return the figures of stretches that are too narrow for them, right of the bar; the largest ones have room."""
    shapes: list[Shape] = []
    needs = {style: _SWATCH + 8.0 + text_width(one.share_texts[style], _SHARE, 600) + _WORD_GAP for style in narrow}
    shown: list[str] = []
    room = right - x
    for style in sorted(narrow, key=one.shares.__getitem__, reverse=True):
        if needs[style] <= room:
            shown.append(style)
            room -= needs[style]
    for style in sorted(shown, key=narrow.index):
        fill, hatch = FILLS[style]
        low, top = bottom - 10.0, bottom - 10.0 - _SWATCH
        corners = ((x, top), (x + _SWATCH, top), (x + _SWATCH, low), (x, low))
        shapes.append(Path(corners, "ink", 1.5, fill, closed=True, hatch=hatch))
        shapes.append(Words(x + _SWATCH + 8.0, bottom - 10.0, one.share_texts[style], _SHARE, weight=600))
        x += needs[style]
    return shapes


def _on(text: str, x: float, bottom: float, room: float, fill: str, hatch: str | None) -> list[Shape]:
    """Return a share's figure in its stretch of the bar, on a ground of its own where that is hatched."""
    shapes: list[Shape] = []
    ink = "paper" if fill in ("accent", "ink") and hatch is None else "ink"
    if hatch is not None:
        low, top = bottom - 6.0, bottom - 6.0 - 1.05 * _SHARE
        corners = ((x - room / 2, top), (x + room / 2, top), (x + room / 2, low), (x - room / 2, low))
        shapes.append(Path(corners, None, 0.0, fill, closed=True))
    return [*shapes, Words(x, bottom - 12.0, text, _SHARE, ink, 600, "centre")]


def _laid(styles: Sequence[str], wide: float) -> list[tuple[float, int, str]]:
    """Return where each kind of entry stands in the legend: x, line, style."""
    found, x, line = [], INDENT, 0
    for style in styles:
        need = _SWATCH + 10.0 + text_width(style_words(style), _LEGEND)
        if x + need > wide and x > INDENT:
            x, line = INDENT, line + 1
        found.append((x, line, style))
        x += need + _WORD_GAP
    return found


def legend_height(styles: Sequence[str], wide: float) -> float:
    """Return the height of the legend in a width [board px]."""
    return _LEGEND_PITCH * (1 + max((line for _, line, _ in _laid(styles, wide)), default=0))


def legend(styles: Sequence[str], y: float, wide: float) -> DrawList:
    """Return what each fill of the bars stands for."""
    shapes: list[Shape] = []
    for x, line, style in _laid(styles, wide):
        fill, hatch = FILLS[style]
        base = y + _LEGEND_PITCH * line + 30.0
        top = base - _SWATCH + 3.0
        corners = ((x, top), (x + _SWATCH, top), (x + _SWATCH, base + 3.0), (x, base + 3.0))
        shapes.append(Path(corners, "ink", 1.5, fill, closed=True, hatch=hatch))
        shapes.append(Words(x + _SWATCH + 10.0, base, style_words(style), _LEGEND))
    return shapes
