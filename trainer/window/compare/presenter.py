"""A run that is kept and laid over the next one: on the strip, and side by side."""

from __future__ import annotations

from typing import TYPE_CHECKING, Protocol

from trainer.language import tr
from trainer.window.compare.run import START, KeptRun, TwoRuns, keep
from trainer.window.session.controller import SessionController
from trainer.window.session.presenter import Presenter
from trainer.window.session.stage import Stage
from trainer.window.strip.picture import Before
from trainer.window.strip.view import StripView

if TYPE_CHECKING:
    from trainer.window.compare.pane import RunsPane

__all__ = ["ComparePresenter"]


class Page(Protocol):
    """The views that are asked of a page."""

    strip: StripView


class ComparePresenter(Presenter[Page]):
    """Keeps a run, and compares the next one with it."""

    actions = {"runs": "show_runs"}
    _pane: RunsPane | None = None

    def __init__(self, controller: SessionController, stage: Stage) -> None:
        super().__init__(controller, stage)
        self.runs = TwoRuns(controller.marks)

    @property
    def kept(self) -> KeptRun | None:
        """The run before."""
        return self.runs.kept

    def take(self, page: Page) -> None:
        """Listen to the strip of the new page; a kept run of the same rig stays."""
        super().take(page)
        self._pane = None
        if self.kept is not None and self.kept.title != self.session.rig.title:
            self.runs.kept = None
        page.strip.runs_asked.connect(self.show_runs)
        self._lay_over()

    def show_figures(self, seconds: float) -> None:
        """Bring the two runs up to date; a mark that they are laid on each other at may be new."""
        laid = self.page.strip.picture.before
        if laid is not None and laid.shift != self.runs.shift():
            self._lay_over()
        if self._pane is not None and self._pane.isVisible():
            self._pane.refresh()

    def new_look(self) -> None:
        """Print units and colours anew."""
        if self._pane is not None and self._pane.isVisible():
            self._pane.arrange()

    def show_runs(self) -> None:
        """Show the kept run beside the present one, or close that."""
        if self._pane is None:
            from trainer.window.compare.pane import RunsPane

            self._pane = RunsPane(self.stage.look, self.runs, self.session, self.page.strip, self.stage.ground)
            self._pane.keep_asked.connect(self.keep_run)
            self._pane.forget_asked.connect(self.forget_run)
            self._pane.align_asked.connect(self.next_alignment)
        if self._pane.isVisible():
            self.stage.close_pane(self._pane)
        else:
            self.stage.open_pane(self._pane)
            self._pane.refresh()

    def keep_run(self) -> None:
        """Keep the present run as the run before, in the place of an older one."""
        if len(self.page.strip.record.series) < 2:
            self.stage.tell(tr("Nothing has run yet. Run the machine first, then keep the run."))
            return
        self.runs.kept = keep(self.session, self.page.strip.record, self.controller.marks)
        self.runs.aligned = START
        self._lay_over()
        self.stage.tell(tr("The run is kept. Return to the start (Ctrl+Home), change something, and run again."))

    def forget_run(self) -> None:
        """Drop the run before."""
        self.runs.kept, self.runs.aligned = None, START
        self._lay_over()

    def next_alignment(self) -> None:
        """Lay the runs on each other at the next mark that both have, or at their start."""
        if len(self.runs.places()) == 1:
            self.stage.tell(
                tr("Only the start is common to both. Set a mark (Ctrl+K) of the same name in both runs.")
            )
        self.runs.align_next()
        self._lay_over()

    def _lay_over(self) -> None:
        kept = self.runs.kept
        self.page.strip.lay_over(None if kept is None else Before(kept.series, self.runs.shift()))
        if self._pane is not None and self._pane.isVisible():
            self._pane.arrange()
