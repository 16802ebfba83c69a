"""What a session went through before its window was there, shown to what sums up and to what records."""

from __future__ import annotations

from typing import Protocol

from trainer.energy.books import FlowBook
from trainer.energy.ledger_history import LedgerHistory
from trainer.engine.readings import Readings
from trainer.engine.session import Session
from trainer.measuring.needles import Needles
from trainer.window.ledgers.presenter import LedgersPresenter
from trainer.window.session.controller import SessionController
from trainer.window.strip.view import StripView

__all__ = ["Page", "Past"]


class Page(Protocol):
    """What records."""

    strip: StripView
    needles: Needles


class Past:
    """Every instant of a run that is repeated from its record, and its ledger history."""

    def __init__(self) -> None:
        self._instants: list[Readings] = []
        self._ledger_history: LedgerHistory | None = None

    def see(self, session: Session) -> None:
        """Look at a session's next instant; at its start all begins anew."""
        if session.place == 0:
            self._instants, self._ledger_history = [], LedgerHistory(session, FlowBook(session.network))
        assert self._ledger_history is not None
        self._ledger_history.take()
        self._instants.append(session.readings)

    def show(self, controller: SessionController, page: Page, ledgers: LedgersPresenter) -> None:
        """Let the strip record the run, needles and all, and the ledgers over time have it."""
        if self._ledger_history is None:
            return
        ledgers.take_history(self._ledger_history)
        page.strip.record.clear()
        for live in self._instants:
            page.needles.take(live)
            page.strip.push(live)
        controller.show_now()
