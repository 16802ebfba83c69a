"""The flow ledger and the power ledger on the board."""

from __future__ import annotations

from dataclasses import replace

from PySide6.QtGui import QPaintEvent
from PySide6.QtWidgets import QWidget

from trainer.accounts import Entry, Ledger
from trainer.drawing.ledger_view import LedgerText, ledger_height, ledger_live, ledger_text
from trainer.drawing.shapes import DrawList
from trainer.window.canvas import Canvas
from trainer.window.look import Look

__all__ = ["LedgerView"]

_MOST = 7  # rows


class LedgerView(QWidget):
    """One ledger. A row that has once been shown keeps its place, so that nothing jumps."""

    def __init__(self, look: Look, first: Ledger, small: bool, parent: QWidget) -> None:
        super().__init__(parent)
        self.look = look
        self.small = small
        self.canvas = Canvas(self, look, live=self._live)
        self._known: list[tuple[str, str]] = []
        self.covered = False
        self.text = LedgerText(first.name, "", "", (), (), "")
        self._ledger = first
        self.setObjectName(first.name)
        self.setAccessibleName(first.name)
        self.show_ledger(first)

    def _steady(self, ledger: Ledger) -> Ledger:
        for at, entry in enumerate(ledger.entries):
            key = (entry.name, entry.style)
            if key not in self._known:
                before = {(e.name, e.style) for e in ledger.entries[:at]}
                place = max((i + 1 for i, known in enumerate(self._known) if known in before), default=0)
                self._known.insert(place, key)
        values = {(e.name, e.style): e for e in ledger.entries}
        entries = tuple(values.get(key, Entry(key[0], 0.0, key[1])) for key in self._known)
        return replace(ledger, entries=entries)

    def show_ledger(self, ledger: Ledger, again: bool = False) -> bool:
        """Print a ledger; return whether its height changed."""
        before = self.text
        self._ledger = self._steady(ledger)
        self.text = ledger_text(self._ledger, self.look.system, self.small, _MOST)
        if self.text == before and not again:
            return False
        said = (
            "covered"
            if self.covered
            else f"{self.text.total} {self.text.unit}: "
            + ", ".join(f"{row.name} {row.figures}, {row.percent}" for row in self.text.rows if row.share > 0)
        )
        if said != self.accessibleDescription():
            self.setAccessibleDescription(said)
        self.update()
        return len(self.text.rows) != len(before.rows)

    def set_covered(self, covered: bool) -> None:
        """Hide the figures, or show them; the bar and the percents stay."""
        self.covered = covered
        self.refresh()

    def refresh(self) -> None:
        """Print the same ledger again, in the present unit system."""
        self.show_ledger(self._ledger, again=True)

    def start_anew(self) -> None:
        """Forget the rows seen so far."""
        self._known.clear()

    def height_board(self) -> float:
        """The height that it needs [board px]."""
        return ledger_height(len(self.text.rows), len(self.text.closing))

    def _live(self) -> DrawList:
        return ledger_live(self.text, self.covered)

    def paintEvent(self, event: QPaintEvent) -> None:
        self.canvas.paint()
