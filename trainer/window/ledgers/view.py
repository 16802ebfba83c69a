"""The flow ledger and the power ledger on the board."""

from __future__ import annotations

import math
from collections.abc import Collection, Mapping
from dataclasses import replace

from PySide6.QtCore import QEvent, QPointF, Qt, Signal
from PySide6.QtGui import QFocusEvent, QKeyEvent, QMouseEvent, QPaintEvent
from PySide6.QtWidgets import QWidget

from trainer import units
from trainer.drawing.ledger_view import (
    FOLDED,
    LedgerText,
    closing_lines,
    ledger_folded,
    ledger_height,
    ledger_live,
    ledger_row,
    ledger_share,
    ledger_text,
    ledger_unseen,
)
from trainer.drawing.shapes import DrawList
from trainer.energy.accounts import other
from trainer.energy.ledger import Entry, Ledger
from trainer.language import mark, tr
from trainer.window.controls.own_keys import ENTER, takes
from trainer.window.controls.tips import set_tip
from trainer.window.painting.canvas import Canvas
from trainer.window.painting.look import Look

__all__ = ["LedgerView"]

KEEP = 3.0  # seconds of the watcher's time that a row stays after it fell to nothing
_MEAN, _HOLD = 1.0, 1.6  # seconds of a row's mean; times that another must be larger to take its place
_MOST = 0.05  # of the total: while more than this is in "Other", it is opened at once
_NAMED = ("useful", "past")  # styles that are merged last
_TIP = mark("A click lights the parts of an entry; a double click opens its working  (F4)")
_COUNTED = mark(
    "Oil is counted here as much as it is at tank pressure, so that every litre adds up. A flow meter sees the oil "
    "as it is where it sits: under pressure it is a little less."
)


class LedgerView(QWidget):
    """One ledger with room for a number of rows, so that nothing below it moves.

    A row stays while there is something in it and ``KEEP`` seconds longer, in the ledger's order; of more than have
    room the smallest are one row, "Other". Rows change slowly, by what they were over the last second; but where
    "Other" is more than a twentieth, what is larger now than a row above it takes that row at once. ``pointed`` tells
    which entry is under the pointer or chosen with the arrow keys (None: none any more), ``picked`` which was clicked
    or entered, ``opened`` which was clicked twice; all are an ``Entry``.
    """

    pointed = Signal(object)
    picked = Signal(object)
    opened = Signal(object)

    def __init__(self, look: Look, first: Ledger, small: bool, parent: QWidget) -> None:
        super().__init__(parent)
        self.look = look
        self.small = small
        self.rows = 5
        self.folded = False  # only the bar is shown, its pieces are pointed at instead of rows
        self.canvas = Canvas(self, look, live=self._live)
        self._order: list[str] = []  # of ids
        self._seen: dict[str, Entry] = {}  # as it was last
        self._left: dict[str, float] = {}  # seconds that a row stays yet
        self._size: dict[str, float] = {}  # its value over the last second
        self._shown: set[str] = set()
        self._rested = 0.0  # seconds since rows were exchanged
        self.covered = False
        self.unseen = False  # nothing of it is told, not even its rows
        self.text = LedgerText(first.name, "", "", (), (), "")
        self._ledger = first
        self._full = first
        self.current = -1  # row that the pointer or the keyboard is on
        self.kept: str | None = None  # id of the entry that was picked
        self.marked: frozenset[str] = frozenset()  # parts picked elsewhere, whose rows are marked
        self.setMouseTracking(True)
        self.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        self.canvas.ring = None
        self.setObjectName(f"{first.id} ledger")
        self.setAccessibleName(first.name)
        set_tip(self, f"{tr(_TIP)}\n{tr(_COUNTED)}" if first.quantity == "flow" else tr(_TIP))
        self.show_ledger(first)

    def set_rows(self, rows: int) -> None:
        """Give it room for a number of rows."""
        if rows != self.rows:
            self.rows = rows
            self.refresh()

    def _least(self, ledger: Ledger) -> float:
        """Return the smallest value that is printed as more than nothing [SI]."""
        unit, decimals = units.shown_with(ledger.quantity, self.look.system, self.small)
        return 0.5 * unit.factor * 10.0**-decimals

    def _steady(self, ledger: Ledger, seconds: float) -> Ledger:
        least = self._least(ledger)
        for at, entry in enumerate(ledger.entries):
            key = entry.id
            if key not in self._order:
                before = {e.id for e in ledger.entries[:at]}
                place = max((i + 1 for i, known in enumerate(self._order) if known in before), default=0)
                self._order.insert(place, key)
        now = {e.id: e for e in ledger.entries}
        self._seen |= now
        for key in self._order:
            value = abs(now[key].value) if key in now else 0.0
            self._left[key] = KEEP if value >= least else self._left.get(key, 0.0) - seconds
            if self._left[key] <= 0.0:
                self._size.pop(key, None)
            else:
                self._size[key] = value + (self._size.get(key, value) - value) * math.exp(-seconds / _MEAN)
        shown = [key for key in self._order if self._left[key] > 0.0]

        def rest() -> list[str]:
            return [key for key in self._order if key not in shown and key in now]

        def crowd() -> bool:
            return abs(sum(now[key].value for key in rest())) >= least

        crowded = len(shown) + crowd() > self.rows
        if crowded:
            shown = self._chosen(shown, now, _MOST * abs(ledger.total), seconds)
        self._shown = set(shown)
        entries = [
            now[key] if key in now else replace(self._seen[key], value=0.0, parts=(), note="")
            for key in self._order
            if key in self._shown
        ]
        if crowded or crowd():
            parts = dict.fromkeys(part for key in rest() for part in now[key].parts)
            entries.append(other(sum(now[key].value for key in rest()), parts))
        return replace(ledger, entries=tuple(entries))

    def _chosen(self, some: list[str], now: Mapping[str, Entry], most: float, seconds: float) -> list[str]:
        """Return which of some keys have a row of their own: those shown before, and what takes their places.

        What has fallen to nothing gives its row up first, but keeps its share of the crowd: rows do not flicker.
        """

        def size(key: str) -> float:
            return abs(now[key].value) if key in now else 0.0

        room = max(self.rows - 1, 0)
        shown = [key for key in some if key in self._shown and self._left[key] >= KEEP]
        shown = sorted(shown, key=self._rank)[max(len(shown) - room, 0) :]
        rest = sorted((key for key in some if key not in shown), key=size)
        while rest and len(shown) < room and self._left[rest[-1]] >= KEEP:
            shown.append(rest.pop())

        def exchange(out: str, into: str) -> None:
            shown[shown.index(out)], rest[rest.index(into)] = into, out

        self._rested += seconds
        if shown and rest and self._rested >= _MEAN:
            out, into = min(shown, key=self._rank), max(rest, key=self._rank)
            held, wanted = self._rank(out), self._rank(into)
            if size(into) > size(out) and (held[0], _HOLD * held[1]) < wanted:
                exchange(out, into)
                self._rested = 0.0
        while shown and rest and sum(map(size, rest)) > most:
            out, into = min(shown, key=size), max(rest, key=size)
            if size(into) <= _HOLD * size(out):
                break
            exchange(out, into)
            self._rested = 0.0
        return shown

    def _rank(self, key: str) -> tuple[bool, float]:
        """Return what is merged first: nothing useful, then by size over the last second."""
        return self._seen[key].style in _NAMED and self._size[key] > 0.02 * abs(self._full.total), self._size[key]

    def show_ledger(self, ledger: Ledger, seconds: float = 0.0, again: bool = False) -> None:
        """Print a ledger some wall seconds after the one before."""
        before = self.text
        self._full = ledger
        old, self._ledger = self._ledger, self._steady(ledger, seconds)
        self._rows_moved(old)
        self.text = ledger_text(self._ledger, self.look.system, self.small, 99)
        if self.text == before and not again:
            return
        said = (
            tr("covered")
            if self.covered or self.unseen
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

    def set_unseen(self, unseen: bool) -> None:
        """Tell nothing of it, or all again."""
        self.unseen = unseen
        self.setEnabled(not unseen)
        if unseen:
            self.current = -1
        self.refresh()

    def refresh(self) -> None:
        """Print the same ledger again, in the present unit system."""
        self.show_ledger(self._full, again=True)

    def start_anew(self) -> None:
        """Forget the rows seen so far."""
        self._order.clear()
        self._seen.clear()
        self._left.clear()
        self._size.clear()
        self._shown.clear()

    def height_board(self) -> float:
        """The height that it needs [board px]."""
        if self.folded:
            return FOLDED
        return ledger_height(self.rows, len(closing_lines(self._longest(), self.look.least)))

    def _longest(self) -> LedgerText:
        """Return the text with figures as long as they come, so that the number of lines never changes."""
        unit = self.text.unit
        closing = tuple((words, f"000.00 {unit}") for words, _ in self._full.closing)
        return replace(self.text, closing=closing)

    def _live(self) -> DrawList:
        if self.unseen:
            return ledger_unseen(self.text.name, 0 if self.folded else self.rows)
        if self.folded:
            return ledger_folded(self.text, self.covered, self.look.least, self.current)
        apart = len(closing_lines(self._longest(), self.look.least)) > 1
        return ledger_live(self.text, self.covered, self.rows, self.look.least, apart, self.lit_rows())

    def paintEvent(self, event: QPaintEvent) -> None:
        self.canvas.paint()

    # -- what is pointed at ----------------------------------------------------------------------------------

    @property
    def entries(self) -> tuple[Entry, ...]:
        """The entries as they are printed, a row each."""
        return self._ledger.entries

    def lit_rows(self) -> set[int]:
        """Return the rows that are pointed at, picked, or that a marked part belongs to."""
        found = {self.current} if self.current >= 0 else set()
        for k, entry in enumerate(self.entries):
            if entry.id == self.kept or not self.marked.isdisjoint(entry.parts):
                found.add(k)
        return found

    def mark(self, parts: Collection[str]) -> None:
        """Mark the rows to which some parts belong."""
        if self.marked != frozenset(parts):
            self.marked = frozenset(parts)
            self.update()

    def keep(self, entry: Entry | None) -> None:
        """Keep an entry marked, or none."""
        kept = None if entry is None else entry.id
        if kept != self.kept:
            self.kept = kept
            self.update()

    def _point(self, row: int) -> None:
        row = row if 0 <= row < len(self.entries) else -1
        if row == self.current:
            return
        self.current = row
        self.update()
        entry = self.entries[row] if row >= 0 else None
        if entry is not None and self.hasFocus():
            printed = self.text.rows[row]
            self.setAccessibleDescription(f"{printed.name} {printed.figures}, {printed.percent}")
        self.pointed.emit(entry)

    def _rows_moved(self, old: Ledger) -> None:
        """Tell of another entry that has come to stand in the row pointed at."""
        row, now = self.current, self._ledger.entries
        if row >= len(now):
            self._point(-1)
        elif row >= 0 and old.entries[row].id != now[row].id:
            self.pointed.emit(now[row])

    def _row_at(self, event: QMouseEvent) -> int:
        scale = self.look.scale
        if self.folded:
            return ledger_share(self.text, event.position().x() / scale)
        return ledger_row(event.position().y() / scale)

    def entry_at(self, point: QPointF) -> Entry | None:
        """Return the entry in the row at a place [px], or None."""
        row = -1 if self.unseen else ledger_row(point.y() / self.look.scale)
        return self.entries[row] if 0 <= row < len(self.entries) else None

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        self._point(self._row_at(event))
        on = self.current >= 0
        self.setCursor(Qt.CursorShape.PointingHandCursor if on else Qt.CursorShape.ArrowCursor)

    def mousePressEvent(self, event: QMouseEvent) -> None:
        """Pick the entry in the row that is clicked."""
        self._point(self._row_at(event))
        if event.button() == Qt.MouseButton.LeftButton and self.current >= 0:
            self.picked.emit(self.entries[self.current])

    def mouseDoubleClickEvent(self, event: QMouseEvent) -> None:
        """Open the entry in the row that is clicked twice."""
        self._point(self._row_at(event))
        if event.button() == Qt.MouseButton.LeftButton and self.current >= 0:
            self.opened.emit(self.entries[self.current])

    def leaveEvent(self, event: QEvent) -> None:
        if not self.hasFocus():
            self._point(-1)

    def focusInEvent(self, event: QFocusEvent) -> None:
        super().focusInEvent(event)
        if self.current < 0 and event.reason() in (Qt.FocusReason.TabFocusReason, Qt.FocusReason.BacktabFocusReason):
            self._point(0)

    def focusOutEvent(self, event: QFocusEvent) -> None:
        super().focusOutEvent(event)
        self._point(-1)

    def event(self, event: QEvent) -> bool:
        """Take Enter for itself while it has the focus."""
        return takes(event, ENTER, plain=True) or super().event(event)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Choose a row with the arrow keys, pick it with Enter."""
        step = {Qt.Key.Key_Up: -1, Qt.Key.Key_Down: 1}.get(Qt.Key(event.key()))
        if step is not None and self.entries:
            self._point(min(max(self.current + step, 0), len(self.entries) - 1))
        elif event.key() in (Qt.Key.Key_Home, Qt.Key.Key_End):
            self._point(0 if event.key() == Qt.Key.Key_Home else len(self.entries) - 1)
        elif event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter) and self.current >= 0:
            self.picked.emit(self.entries[self.current])
        else:
            super().keyPressEvent(event)
