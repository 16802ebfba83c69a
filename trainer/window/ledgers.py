"""The flow ledger and the power ledger on the board."""

from __future__ import annotations

import math
from dataclasses import replace

from PySide6.QtGui import QPaintEvent
from PySide6.QtWidgets import QWidget

from trainer import units
from trainer.accounts import Entry, Ledger
from trainer.drawing.ledger_view import LedgerText, closing_lines, ledger_height, ledger_live, ledger_text
from trainer.drawing.shapes import DrawList
from trainer.window.canvas import Canvas
from trainer.window.look import Look

__all__ = ["LedgerView"]

KEEP = 3.0  # seconds of the watcher's time that a row stays after it fell to nothing
_MEAN, _HOLD = 1.0, 1.6  # seconds of a row's mean; times that another must be larger to take its place
_NAMED = ("useful", "past")  # styles that are merged last


class LedgerView(QWidget):
    """One ledger with room for a number of rows, so that nothing below it moves.

    A row stays while there is something in it and ``KEEP`` seconds longer, in the ledger's order; of more than have
    room the smallest are one row, "Other".
    """

    def __init__(self, look: Look, first: Ledger, small: bool, parent: QWidget) -> None:
        super().__init__(parent)
        self.look = look
        self.small = small
        self.rows = 5
        self.canvas = Canvas(self, look, live=self._live)
        self._order: list[tuple[str, str]] = []
        self._left: dict[tuple[str, str], float] = {}  # seconds that a row stays yet
        self._size: dict[tuple[str, str], float] = {}  # its value over the last second
        self._shown: set[tuple[str, str]] = set()
        self.covered = False
        self.text = LedgerText(first.name, "", "", (), (), "")
        self._ledger = first
        self._full = first
        self.setObjectName(first.name)
        self.setAccessibleName(first.name)
        self.show_ledger(first)

    def set_rows(self, rows: int) -> None:
        """Give it room for a number of rows."""
        if rows != self.rows:
            self.rows = rows
            self.refresh()

    def _least(self, ledger: Ledger) -> float:
        """Return the smallest value that is printed as more than nothing [SI]."""
        figures, symbol = units.text(0.0, ledger.quantity, self.look.system)
        factor = units.shown_unit(ledger.quantity, self.look.system).factor
        if self.small and symbol == "kW":
            return 0.05
        return 0.5 * factor * 10.0 ** -len(figures.partition(".")[2])

    def _steady(self, ledger: Ledger, seconds: float) -> Ledger:
        least = self._least(ledger)
        for at, entry in enumerate(ledger.entries):
            key = (entry.name, entry.style)
            if key not in self._order:
                before = {(e.name, e.style) for e in ledger.entries[:at]}
                place = max((i + 1 for i, known in enumerate(self._order) if known in before), default=0)
                self._order.insert(place, key)
        now = {(e.name, e.style): e for e in ledger.entries}
        for key in self._order:
            value = abs(now[key].value) if key in now else 0.0
            self._left[key] = KEEP if value >= least else self._left.get(key, 0.0) - seconds
            if self._left[key] <= 0.0:
                self._size.pop(key, None)
            else:
                self._size[key] = value + (self._size.get(key, value) - value) * math.exp(-seconds / _MEAN)
        shown = [key for key in self._order if self._left[key] > 0.0]
        out = [now[key].value for key in self._order if key not in shown and key in now]
        other = sum(out)
        crowd = abs(other) >= least
        if len(shown) + crowd > self.rows:
            ranked = sorted(shown, key=self._rank)
            merged = ranked[: len(shown) - self.rows + 1]
            shown = [key for key in shown if key not in merged]
            other += sum(now[key].value for key in merged if key in now)
            crowd = True
        self._shown = set(shown)
        entries = [now.get(key, Entry(key[0], 0.0, key[1])) for key in shown]
        if crowd:
            entries.append(Entry("Other", other, "friction"))
        return replace(ledger, entries=tuple(entries))

    def _rank(self, key: tuple[str, str]) -> tuple[bool, float]:
        """Return what is merged first: nothing useful, then by size; what is shown is not lightly given up."""
        size = self._size[key] * (_HOLD if key in self._shown else 1.0)
        return key[1] in _NAMED and size > 0.02 * abs(self._full.total), size

    def show_ledger(self, ledger: Ledger, seconds: float = 0.0, again: bool = False) -> None:
        """Print a ledger some wall seconds after the one before."""
        before = self.text
        self._full = ledger
        self._ledger = self._steady(ledger, seconds)
        self.text = ledger_text(self._ledger, self.look.system, self.small, 99)
        if self.text == before and not again:
            return
        said = (
            "covered"
            if self.covered
            else f"{self.text.total} {self.text.unit}: "
            + ", ".join(f"{row.name} {row.figures}, {row.percent}" for row in self.text.rows if row.share > 0)
        )
        if said != self.accessibleDescription():
            self.setAccessibleDescription(said)
        self.update()

    def set_covered(self, covered: bool) -> None:
        """Hide the figures, or show them; the bar and the percents stay."""
        self.covered = covered
        self.refresh()

    def refresh(self) -> None:
        """Print the same ledger again, in the present unit system."""
        self.show_ledger(self._full, again=True)

    def start_anew(self) -> None:
        """Forget the rows seen so far."""
        self._order.clear()
        self._left.clear()
        self._size.clear()
        self._shown.clear()

    def height_board(self) -> float:
        """The height that it needs [board px]."""
        return ledger_height(self.rows, len(closing_lines(self._longest(), self.look.least)))

    def _longest(self) -> LedgerText:
        """Return the text with figures as long as they come, so that the number of lines never changes."""
        unit = self.text.unit
        closing = tuple((words, f"000.00 {unit}") for words, _ in self._full.closing)
        return replace(self.text, closing=closing)

    def _live(self) -> DrawList:
        apart = len(closing_lines(self._longest(), self.look.least)) > 1
        return ledger_live(self.text, self.covered, self.rows, self.look.least, apart)

    def paintEvent(self, event: QPaintEvent) -> None:
        self.canvas.paint()
