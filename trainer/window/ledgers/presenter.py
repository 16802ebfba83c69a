"""The ledgers at hand: their entries light parts of the drawing and the other way round; over time, by cycle."""

from __future__ import annotations

from typing import Protocol

from trainer.drawing.picking import Pick
from trainer.energy.books import FlowBook
from trainer.energy.ledger import Entry
from trainer.energy.ledger_history import LedgerHistory
from trainer.engine.readings import Readings
from trainer.window.board.drawing_view import DrawingView
from trainer.window.ledgers.pane import LedgerPane
from trainer.window.ledgers.stretch import Cursors, Stretch
from trainer.window.ledgers.view import LedgerView
from trainer.window.session.presenter import Presenter

__all__ = ["LedgersPresenter"]


_ALL = 1000  # pieces: more than there are


class Strip(Protocol):
    """The strip, for its cursors."""

    @property
    def picture(self) -> Picture:
        """What it shows."""


class Picture(Protocol):
    """The picture of a strip."""

    @property
    def cursors(self) -> Cursors:
        """Its cursors."""


class Page(Protocol):
    """The views that are asked of a page."""

    book: FlowBook
    drawing: DrawingView
    flow: LedgerView
    power: LedgerView

    @property
    def strip(self) -> Strip:
        """The strip."""


class LedgersPresenter(Presenter[Page]):
    """Sums up the run, shows it over time, and joins the ledgers' rows to the parts of the drawing."""

    actions = {"ledgers": "change_pane"}

    def take(self, page: Page) -> None:
        """Begin a ledger history of the new session; listen to the ledgers and the drawing of its page."""
        super().take(page)
        session = self.session
        self.ledger_history = LedgerHistory(session, page.book)
        self.ledger_history.take()
        self.stretch = Stretch(self.controller, page.strip.picture.cursors, self.ledger_history)
        self.pane = LedgerPane(
            self.stage.look, self.stage.ground, self.controller, page.drawing, self.stretch, page.power.small
        )
        self.pane.picked.connect(self._pick)
        self.views: tuple[LedgerView, ...] = (page.flow, page.power)
        self._pointed: Entry | None = None
        self._kept: Entry | None = None
        self._half = False
        for view in self.views:
            view.pointed.connect(self._point)
            view.picked.connect(self._pick)
        page.drawing.picked.connect(self._part_picked)

    def take_history(self, ledger_history: LedgerHistory) -> None:
        """Take the ledger history of a session that had run before its window was there."""
        self.ledger_history = self.stretch.ledger_history = self.pane.ledger_history = ledger_history

    # -- over time -------------------------------------------------------------------------------------------

    def change_pane(self) -> None:
        """Show the ledgers over time, or put them away."""
        if self.pane.isVisible():
            self.stage.close_pane(self.pane)
        else:
            self.show_pane()

    def show_pane(self) -> None:
        """Show the ledgers over time."""
        self.stage.open_pane(self.pane)
        self.pane.refresh()

    def show_instant(self, live: Readings, seconds: float, passed: float) -> None:
        """Sum up to this instant; paint a piece of the areas."""
        self.ledger_history.take()
        if self.pane.isVisible():
            self.pane.go_on(1)

    def show_figures(self, seconds: float) -> None:
        """Show one half of the pane, four times a second each."""
        if self.pane.isVisible():
            self._half = not self._half
            self.pane.show_half(self._half)
            if not self.session.running:
                self.pane.go_on(_ALL)

    def new_look(self) -> None:
        """Show the pane in another look."""
        if self.pane.isVisible():
            self.pane.refresh()

    # -- entries and parts -----------------------------------------------------------------------------------

    def _point(self, entry: Entry | None) -> None:
        self._pointed = entry
        self._light()

    def _pick(self, entry: Entry) -> None:
        """Keep an entry lit, or let it go where it was kept already."""
        kept = self._kept
        self._keep(None if kept is not None and kept.id == entry.id else entry)

    def _keep(self, entry: Entry | None) -> None:
        self._kept = entry
        for view in self.views:
            view.keep(entry)
        self._light()

    def _light(self) -> None:
        entry = self._pointed or self._kept
        parts = entry.parts if entry is not None else ()
        self.page.drawing.light([("part", id_) for id_ in parts], "ledger")
        self.pane.light(entry.id if entry is not None else "")

    def _part_picked(self, pick: Pick | None) -> None:
        """Mark the rows to which a part belongs that was picked on the drawing."""
        parts = {pick.name} if pick is not None and pick.kind == "part" else set()
        for view in self.views:
            view.mark(parts)
