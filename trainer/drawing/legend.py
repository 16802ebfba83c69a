"""The legend of the drawing: the ramp of pressure steps, oil moving and oil standing."""

from __future__ import annotations

from trainer import units
from trainer.drawing.pipes import MARK, PITCH, Track
from trainer.drawing.shapes import Marks, Path, Row, Shape, Words
from trainer.drawing.theme import STEPS, Theme
from trainer.language import tr
from trainer.units import System

__all__ = ["LEGEND", "legend"]

LEGEND = (740.0, 64.0)  # width and height of the whole legend [px]
_STEP = 46.0  # length of one pressure step


def _pipe(x: float, y: float, length: float, step: int | None, theme: Theme) -> list[Shape]:
    whole = theme.pipe(step)
    role = "cover" if step is None else f"pressure{step}"
    ends = ((x, y), (x + length, y))
    return [Path(ends, "casing", whole), Path(ends, role, whole - 2 * theme.casing)]


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
