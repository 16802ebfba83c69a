"""The ledgers and the strip of an attempt that is looked at again, as they stand beside the circuit on the board."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QPainter, QPaintEvent
from PySide6.QtWidgets import QWidget

from trainer.energy.books import FlowBook
from trainer.energy.ledger import Entry
from trainer.engine.readings import Readings
from trainer.engine.session import Session
from trainer.measuring.needles import Needles
from trainer.parts.roles import PrimeMover
from trainer.window.board.arrangement import GAP, LEAST_STRIP, MARGIN, READOUT, Panes
from trainer.window.ledgers.view import LedgerView
from trainer.window.painting.look import Look
from trainer.window.strip.time_axis import SPANS
from trainer.window.strip.view import StripView

__all__ = ["WIDTH", "ReplayBooks"]

WIDTH = READOUT  # of the column [board px]
_STEP = 1 / 30  # s between samples of the strip
_TOP = 14.0  # above the first ledger [board px]


class ReplayBooks(QWidget):
    """Both ledgers and the strip of one lap. ``pointed`` tells the parts of the entry that is pointed at, and why."""

    pointed = Signal(list, str)

    def __init__(self, look: Look, session: Session, needles: Needles, parent: QWidget) -> None:
        super().__init__(parent)
        self.beside = look
        self.look = own = look.beside()
        rig, live = session.rig, session.readings
        by_hand = any(role.by_hand for role in rig.having(PrimeMover).values())
        self.needles = needles
        self.book = FlowBook(session.network)
        self.flow = LedgerView(own, self.book.ledger(live), by_hand, self)
        self.power = LedgerView(own, self.book.power.ledger(live), by_hand, self)
        self.strip = StripView(own, rig, live, self)
        for view, rows in zip((self.flow, self.power), Panes().split(), strict=True):
            view.set_rows(rows)
            view.pointed.connect(self._point)
        for button in self.strip.buttons:  # what they do is the board's
            button.hide()
        self.strip.record.needle = needles.stands
        self.strip.latest = lambda: session.history.end
        self.setAttribute(Qt.WidgetAttribute.WA_OpaquePaintEvent)

    def take_lap(self, session: Session, begin: float, until: float, levers: Sequence[str]) -> None:
        """Go once through a lap [s] for the strip; the session stands at its end then."""
        for lever in levers[:1]:
            self.strip.follow(lever)
        steps = max(1, round(until / _STEP))
        for k in range(steps + 1):
            session.rewind(begin + until * k / steps)
            self.needles.take(session.readings, rest=True)
            self.strip.push(session.readings)
        self.strip.picture.time.span = next((span for span in SPANS if span >= until), SPANS[-1])
        self.strip.start()

    def show_instant(self, live: Readings, passed: float) -> None:
        """Show an instant, ``passed`` [s] after the one before; 0 for any other one."""
        if passed <= 0.0:
            for ledger in (self.flow, self.power):
                ledger.start_anew()
        self.flow.show_ledger(self.book.ledger(live), passed)
        self.power.show_ledger(self.book.power.ledger(live), passed)
        self.strip.push(live)
        self.strip.draw_curves()
        self.strip.refresh(live, ())

    def _point(self, entry: Entry | None) -> None:
        self.pointed.emit([("part", id_) for id_ in entry.parts] if entry is not None else [], "ledger")

    def lay_out(self) -> None:
        """Place ledgers and strip in the present size, as large as they have room."""
        self.look.scale = self.beside.scale
        blocks = self.flow.height_board() + self.power.height_board() + 2 * GAP + _TOP
        own = self.look.scale = min(self.width() / READOUT, self.height() / (blocks + LEAST_STRIP))
        wide = round((READOUT - 2 * MARGIN) * own)
        x, y = (self.width() - wide) // 2, _TOP * own
        for view in (self.flow, self.power):
            high = view.height_board() * own
            view.setGeometry(x, round(y), wide, round(high))
            view.canvas.forget()
            view.refresh()
            y += high + GAP * own
        self.strip.setGeometry(x, round(y), wide, max(round(self.height() - y - 4.0 * own), 1))
        self.strip.lay_out()
        self.update()

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.fillRect(event.rect(), self.look.inks.colour("paper"))
        painter.end()
