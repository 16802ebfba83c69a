"""The stopwatch at hand: pressed, let wait for its conditions, shown below the rail."""

from __future__ import annotations

from contextlib import suppress
from typing import Protocol

from trainer.engine.readings import Readings
from trainer.measuring.stopwatch import Stopwatch, Trigger
from trainer.window.dials.dials import DialsView
from trainer.window.dials.stopwatch_view import StopwatchPane
from trainer.window.painting.look import Look
from trainer.window.session.presenter import Presenter

__all__ = ["StopwatchPresenter"]


class Page(Protocol):
    """The views that are asked of a page."""

    beside: Look
    dials: DialsView

    def lay_out(self) -> None:
        """Place everything."""


class StopwatchPresenter(Presenter[Page]):
    """Runs one stopwatch of model time."""

    actions = {"stopwatch": "press", "stopwatch condition": "open"}

    def take(self, page: Page) -> None:
        """Make a watch for the session, with the conditions of the one before where they are still there."""
        super().take(page)
        board, rig = page, self.session.rig
        before: Stopwatch | None = getattr(self, "watch", None)
        self.watch = Stopwatch(rig)
        if before is not None:
            with suppress(KeyError):
                self.watch.set_triggers(before.start_on, before.stop_on)
                board.dials.watch.used = before.start_on.kind != "hand" or before.stop_on.kind != "hand"
        self.pane = StopwatchPane(board.beside, rig, self.stage.ground)
        board.dials.watch.opened.connect(self.open)
        board.dials.rail.items["stopwatch"].opened.connect(self.press)
        self.pane.set_asked.connect(self.set_triggers)
        self.pane.pressed.connect(self.press)
        self.pane.forgotten.connect(self.forget)
        board.dials.watch.show_watch(self.watch)

    def show_instant(self, live: Readings, seconds: float, passed: float) -> None:
        """Feed the watch."""
        if self.watch.feed(live):
            self._show()

    def show_figures(self, seconds: float) -> None:
        """Print the time that runs."""
        if self.watch.state == "running":
            self._show()

    def press(self) -> None:
        """Start the watch, let it wait for its condition, or stop it."""
        self.watch.press(self.session.readings)
        self._show()

    def open(self) -> None:
        """Open what starts and stops the watch, or close it."""
        if self.pane.isVisible():
            self.stage.close_pane(self.pane)
            return
        self.pane.show_watch(self.watch)
        self.stage.open_pane(self.pane)
        self.pane.starts.setFocus()

    def set_triggers(self, start: Trigger, stop: Trigger) -> None:
        """Choose what starts and stops the watch; it waits at once for a start that is not by hand."""
        self.watch.set_triggers(start, stop)
        if start.kind != "hand":
            self.watch.press(self.session.readings)
        self.page.dials.watch.used = True
        self._show()

    def forget(self) -> None:
        """Forget all runs."""
        self.watch.reset()
        self._show()

    def _show(self) -> None:
        board = self.page
        if board.dials.watch.show_watch(self.watch):
            board.lay_out()
        if self.pane.isVisible():
            self.pane.show_state(self.watch)
