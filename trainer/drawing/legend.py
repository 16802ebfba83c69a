"""The legend of the drawing: the ramp of pressure steps, oil moving and oil standing."""

from __future__ import annotations

from trainer import units
from trainer.drawing.pipes import MARK, PITCH, Track, ticks
from trainer.drawing.shapes import Marks, Path, Row, Shape, Words
from trainer.drawing.theme import STEPS, Theme
from trainer.language import tr
from trainer.units import System

__all__ = ["LEGEND", "legend", "standing_size", "upright"]

LEGEND = (740.0, 64.0)  # width and height of the whole legend [px]
_STEP = 46.0  # length of one pressure step
_HIGH, _TOP = 1.06, 1.4  # of a step of the ramp that stands, and of what is above it [heights of its words]


def _pipe(x: float, y: float, length: float, step: int | None, theme: Theme) -> list[Shape]:
    whole = theme.pipe(step)
    role = "cover" if step is None else f"pressure{step}"
    ends = ((x, y), (x + length, y))
    across = ticks(ends, theme) if step is None else []
    return [Path(ends, "casing", whole), Path(ends, role, whole - 2 * theme.casing), *across]


def legend(theme: Theme, system: System, pressure_step: float, covered: bool = False) -> list[Shape]:
    """Return the legend's shapes from its upper left corner; pressure_step [Pa], made round, is the drawing's.

    With ``covered`` the grey of a covered line stands beside the standing oil.
    """
    size = theme.label
    title, line, numerals = size, size + 20.0, size + 34.0 + 0.7 * size
    unit = units.shown_unit("pressure", system)
    pressure_step = units.trade_step(pressure_step, "pressure", system)
    shapes: list[Shape] = [
        Words(0, title, tr("Pressure in the line, {symbol}").format(symbol=unit.symbol), size, "ink2")
    ]
    for step in range(STEPS):
        shapes += _pipe(_STEP * step, line, _STEP, step, theme)
    for step in range(STEPS):
        number = f"{pressure_step * step / unit.factor:.0f}"
        shapes.append(Words(_STEP * step, numerals, number, size, "ink2", 400, "centre" if step else "left"))
    end = tr("over {pressure_step:.0f}").format(pressure_step=pressure_step * (STEPS - 1) / unit.factor)
    shapes.append(Words(_STEP * STEPS + 10, line + 0.34 * size, end, size, "ink2"))
    x = _STEP * STEPS + 30 + 0.5 * size * len(end)
    for words, moving in ((tr("Oil moving"), True), (tr("Oil standing"), False)):
        shapes.append(Words(x, title, words, size, "ink2"))
        shapes += _pipe(x, line, 92.0, 0, theme)
        if moving:
            rows: list[Row] = []
            Track(((x, line), (x + 92, line))).marks(PITCH * 0.6, 1.0, rows)
            ink, inside = theme.mark(0)
            width = theme.pipe(0) - (2 * theme.casing + 1 if inside else 0)
            shapes.append(Marks(tuple(rows), MARK, width, ink, PITCH))
        x += 92 + 26
    if covered:
        shapes.append(Words(x, title, tr("Covered"), size, "ink2"))
        shapes += _pipe(x, line, 60.0, None, theme)
    return shapes


def standing_size(size: float) -> tuple[float, float]:
    """Return width and height of the ramp as a column with words of a size."""
    return 6.6 * size, (_TOP + _HIGH * STEPS + 0.5) * size


def upright(theme: Theme, system: System, pressure_step: float, size: float, covered: bool = False) -> list[Shape]:
    """Return the ramp of pressure steps as a column, the highest on top, with words of a size, from its upper left.

    With ``covered`` the grey of a covered line stands below it.
    """
    unit = units.shown_unit("pressure", system)
    pressure_step = units.trade_step(pressure_step, "pressure", system)
    step, wide, top = _HIGH * size, 0.75 * size, _TOP * size
    shapes: list[Shape] = [Words(0, 0.8 * size, tr("Pressure, {symbol}").format(symbol=unit.symbol), size, "ink2")]
    for k in range(STEPS):
        y = top + (STEPS - 1 - k) * step
        corners = ((0.0, y), (wide, y), (wide, y + step), (0.0, y + step))
        shapes.append(Path(corners, None, 0.0, f"pressure{k}", closed=True))
        bottom = y + step
        shapes.append(Path(((wide, bottom), (1.3 * wide, bottom)), "casing", 2.0))
        number = f"{pressure_step * k / unit.factor:.0f}"
        shapes.append(Words(1.6 * wide, bottom + 0.33 * size, number, size, "ink2"))
    bottom = top + STEPS * step
    shapes.append(Path(((0.0, top), (wide, top), (wide, bottom), (0.0, bottom)), "casing", 2.0, closed=True))
    if covered:
        y = bottom + 1.1 * size
        shapes += _pipe(0.0, y, 1.7 * wide, None, theme)
        shapes.append(Words(2.1 * wide, y + 0.33 * size, tr("covered"), size, "ink2"))
    return shapes
