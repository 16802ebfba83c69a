"""Totals of a stretch of a run in a pane: sheets of energy and oil, and the table of repeated cycles."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from PySide6.QtCore import QPointF, Qt, Signal
from PySide6.QtGui import QKeyEvent, QMouseEvent, QPaintEvent
from PySide6.QtWidgets import QWidget

from trainer.drawing.cycle_view import (
    Line,
    Sheet,
    amounts,
    fewer,
    number,
    row_at,
    rows_in,
    scaled,
    sheet_live,
    table_live,
)
from trainer.drawing.shapes import DrawList, Path, Shape, Words
from trainer.energy.ledger import Ledger
from trainer.energy.ledger_history import Cycle
from trainer.language import tr
from trainer.units import System
from trainer.window.controls.tips import set_tip
from trainer.window.painting.canvas import Canvas
from trainer.window.painting.look import Look

__all__ = ["CycleTable", "TotalsView", "cycle_rows"]

_WIDTHS = ((8.5,), (6.0, 5.2, 4.4), (6.0, 5.2, 4.4))  # columns of the three sheets [characters]
_SHARES = (0.275, 0.37, 0.355)
_GAP = 26.0


class TotalsView(QWidget):
    """What was paid in, where it went, and where the oil went; ``picked`` tells the id of an entry clicked."""

    picked = Signal(str)

    def __init__(self, look: Look, small: bool, parent: QWidget) -> None:
        super().__init__(parent)
        self.look = look
        self.small = small
        self.cycle: Cycle | None = None
        self.here: Mapping[str, float] = {}  # values at the cursor [SI], by id of the entry
        self.at = ""  # the cursor's time as it is printed
        self.lit = ""
        self.covered = False
        self.canvas = Canvas(self, look, live=self._live)
        self.setMouseTracking(True)
        self.setObjectName("totals")
        self.setAccessibleName(tr("Totals of the stretch"))

    def show_cycle(self, cycle: Cycle, covered: bool) -> None:
        """Show the totals of a stretch."""
        self.cycle, self.covered = cycle, covered
        said = tr("covered") if covered else "; ".join(self._said())
        if said != self.accessibleDescription():
            self.setAccessibleDescription(said)
            self.update()

    def show_cursor(self, at: str, here: Mapping[str, float]) -> None:
        """Show the values at the cursor, or none."""
        if at != self.at or here != self.here:
            self.at, self.here = at, here
            self.update()

    def light(self, name: str) -> None:
        """Point at an entry."""
        if name != self.lit:
            self.lit = name
            self.update()

    def _said(self) -> list[str]:
        return [
            f"{sheet.title} {sheet.total}: "
            + ", ".join(f"{line.name} {' '.join(filter(None, line.cells))}" for line in sheet.lines)
            for sheet in self.sheets()
        ]

    # -- what is written -------------------------------------------------------------------------------------

    def sheets(self) -> list[Sheet]:
        """Return the three sheets."""
        cycle = self.cycle
        if cycle is None:
            return []
        system = self.look.system
        unit = scaled(cycle.paid.total, "energy", system)
        return [
            self._paid(cycle, unit, system),
            self._spent(cycle.used, unit, "power", system),
            self._spent(cycle.oil, scaled(cycle.oil.total, "volume", system), "flow", system),
        ]

    def _paid(self, cycle: Cycle, unit: tuple[float, str, int], system: System) -> Sheet:
        (total, _), *rows = amounts(cycle.paid, system, unit)
        lines = [
            Line(entry.name, "", (figures,)) for entry, (figures, _) in zip(cycle.paid.entries, rows, strict=True)
        ]
        for use in cycle.uses:
            lines += [Line(words, "", (figures,), k == 0) for k, (words, figures) in enumerate(use.told(system))]
        factor, symbol, decimals = unit
        lines.append(Line(tr("Heat into the oil"), "", (f"{number(cycle.warmed / factor, decimals)} {symbol}",)))
        return Sheet(tr("All paid in"), f"{total} {symbol}", ("",), tuple(lines))

    def _spent(self, ledger: Ledger, unit: tuple[float, str, int], rate: str, system: System) -> Sheet:
        ledger = fewer(ledger, rows_in(self.height() / self.look.scale, self.look.least), unit[0] / 10 ** unit[2])
        (total, _), *rows = amounts(ledger, system, unit)
        factor, symbol, decimals = scaled(0.0, rate, system, self.small)
        cells = {id_: number(value / factor, decimals) for id_, value in self.here.items()} if self.at else {}
        lines = tuple(
            Line(
                entry.name,
                entry.style,
                (cells.get(entry.id, ""), figures, share),
                entry.style == "useful",
                entry.id == self.lit,
                entry.id,
            )
            for entry, (figures, share) in zip(ledger.entries, rows, strict=True)
        )
        return Sheet(ledger.name, f"{total} {unit[1]}", (symbol if self.at else "", "", ""), lines)

    def _columns(self) -> list[tuple[float, float]]:
        whole = self.width() / self.look.scale - 2 * _GAP
        left, found = 0.0, []
        for share in _SHARES:
            found.append((left, share * whole))
            left += share * whole + _GAP
        return found

    def _live(self) -> DrawList:
        shapes: list[Shape] = []
        for sheet, (left, width), widths in zip(self.sheets(), self._columns(), _WIDTHS, strict=False):
            shapes += sheet_live(sheet, left, width, widths, self.look.least, self.covered)
        return shapes

    def paintEvent(self, event: QPaintEvent) -> None:
        self.canvas.paint()

    # -- pointing --------------------------------------------------------------------------------------------

    def entry_at(self, point: QPointF) -> str:
        """Return the id of the entry in the row at a place [px], or nothing."""
        x, y = point.x() / self.look.scale, point.y() / self.look.scale
        row = row_at(y, self.look.least)
        for sheet, (left, width) in zip(self.sheets(), self._columns(), strict=False):
            if left <= x <= left + width and 0 <= row < len(sheet.lines) and sheet.lines[row].style:
                return sheet.lines[row].id
        return ""

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        found = self.entry_at(event.position())
        self.setCursor(Qt.CursorShape.PointingHandCursor if found else Qt.CursorShape.ArrowCursor)

    def mousePressEvent(self, event: QMouseEvent) -> None:
        """Pick the entry in the row that is clicked."""
        id_ = self.entry_at(event.position())
        if event.button() == Qt.MouseButton.LeftButton and id_:
            self.picked.emit(id_)


def cycle_rows(
    cycles: Sequence[Cycle], system: System, whole: Cycle | None = None, count: int = 1, first: int = 0
) -> tuple[list[tuple[str, str]], list[list[str]]]:
    """Return (heads with units, rows) of a table of cycles: seconds, energies, and what the first prime mover used.

    The first one is numbered ``first`` + 1. ``whole`` is the stretch of all ``count`` cycles that have ended; their
    mean stands last.
    """
    size = max((cycle.supplied for cycle in cycles), default=0.0)
    factor, symbol, decimals = scaled(size, "energy", system)

    def row(name: str, cycle: Cycle, count: int = 1) -> list[str]:
        energies = (cycle.supplied, cycle.useful, cycle.heat)
        cells = [number(value / factor / count, decimals) for value in energies]
        used = [cycle.uses[0].short(system, count)[0]] if cycle.uses else []
        return [name, f"{cycle.seconds / count:.1f}", *cells, *used]

    heads = [
        (tr("Cycle"), ""),
        (tr("time"), "s"),
        (tr("paid in"), symbol),
        (tr("lifted"), symbol),
        (tr("heat"), symbol),
    ]
    if cycles and cycles[0].uses:
        heads.append((cycles[0].uses[0].word, cycles[0].uses[0].short(system)[1]))
    rows = [
        row(f"{first + k + 1}{' …' if first + k == count else ''}", cycle) for k, cycle in enumerate(cycles)
    ]  # the one that still goes on with dots
    if whole is not None:
        rows.append(row(tr("Mean"), whole, count))
    return heads, rows


class CycleTable(QWidget):
    """The cycles of a lever, one a row, and their mean. ``picked`` tells the number of a row that was chosen."""

    picked = Signal(int)

    def __init__(self, look: Look, parent: QWidget) -> None:
        super().__init__(parent)
        self.look = look
        self.heads: list[tuple[str, str]] = []
        self.rows: list[list[str]] = []
        self.first = 0  # number of the first row shown
        self.chosen = -1
        self.mean = False
        self.covered = False
        self.canvas = Canvas(self, look, live=self._live)
        self.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        self.setObjectName("cycles")
        self.setAccessibleName(tr("Cycles"))
        set_tip(self, tr("Cycles of the lever: a click or Enter shows one over time"))

    def show_rows(
        self, table: tuple[list[tuple[str, str]], list[list[str]]], first: int, chosen: int, mean: bool, covered: bool
    ) -> None:
        """Show rows from the cycle numbered ``first`` on; the one numbered ``chosen`` is pointed at."""
        heads, rows = table
        new = (heads, rows, first, chosen, mean, covered)
        if new != (self.heads, self.rows, self.first, self.chosen, self.mean, self.covered):
            self.heads, self.rows, self.first, self.chosen, self.mean, self.covered = new
            names = [f"{name} {unit}".strip() for name, unit in heads]
            told = "; ".join(", ".join(f"{a} {b}" for a, b in zip(names, row, strict=True)) for row in rows)
            self.setAccessibleDescription(tr("covered") if covered else told)
            self.update()

    @property
    def room(self) -> int:
        """Rows that have room, the mean among them."""
        return max(rows_in(self.height() / self.look.scale, self.look.least) - 1, 1)

    def _live(self) -> DrawList:
        width = self.width() / self.look.scale
        if not self.rows:
            size = max(15.4, self.look.least)
            rule = Path(((0.0, 0.0), (width, 0.0)), "ink", 1.0)
            told = (tr("A cycle begins each time"), tr("the same lever leaves neutral."))
            return [rule, *(Words(0.0, 1.4 * size * (k + 1), words, 15.4, "ink2") for k, words in enumerate(told))]
        place = self.chosen - self.first
        return table_live(self.heads, self.rows, width, place, self.mean, self.look.least, self.covered)

    def paintEvent(self, event: QPaintEvent) -> None:
        self.canvas.paint()

    def mousePressEvent(self, event: QMouseEvent) -> None:
        """Choose the cycle in the row that is clicked."""
        row = row_at(event.position().y() / self.look.scale, self.look.least) - 1
        if 0 <= row < len(self.rows) - self.mean:
            self.picked.emit(self.first + row)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Choose a cycle with the arrow keys."""
        step = {Qt.Key.Key_Up: -1, Qt.Key.Key_Down: 1}.get(Qt.Key(event.key()))
        if step is not None and self.rows:
            self.picked.emit(max(self.chosen + step, 0) if self.chosen >= 0 else self.first)
        else:
            super().keyPressEvent(event)
