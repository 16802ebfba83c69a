"""The question for the class: asked, left, and the clock kept frozen until the class commits."""

from __future__ import annotations

from typing import TYPE_CHECKING, Protocol

from trainer.measuring.needles import Needles
from trainer.window.board.drawing_view import DrawingView
from trainer.window.session.controller import SessionController
from trainer.window.session.presenter import Presenter
from trainer.window.session.stage import Stage

if TYPE_CHECKING:
    from trainer.window.class_view.projector import ProjectorView

__all__ = ["ClassPresenter"]


class Page(Protocol):
    """The views that are asked of a page."""

    drawing: DrawingView
    needles: Needles


class ClassPresenter(Presenter[Page]):
    """Shows the ``screen`` with the question instead of the board; it is made when it is asked for first."""

    actions = {"projector": "change"}
    everywhere = ("projector",)
    screen: ProjectorView | None = None

    def __init__(self, controller: SessionController, stage: Stage) -> None:
        super().__init__(controller, stage)
        controller.holds = self._holds
        controller.renumbered.connect(self._renumber)

    def take(self, page: Page) -> None:
        """Ask of another session; the screen of the one before goes with its page."""
        super().take(page)
        self.screen = None

    def change(self) -> None:
        """Change between the board and the question for the class; the clock freezes for a new question."""
        if self.screen is not None and self.stage.screen is self.screen:
            self.stage.show_screen(None)
            return
        self.session.freeze()
        if self.screen is None:
            from trainer.window.class_view.projector import ProjectorView

            self.screen = ProjectorView(self.stage.look, self.session, self.page.needles, self.stage.room)
            self.screen.run_asked.connect(self.controller.run)
            self.screen.left.connect(self.change)
        self.screen.ask(self.page.drawing.state)
        self.stage.show_screen(self.screen)

    def _holds(self) -> bool:
        """Keep the clock frozen while the class has not committed, and say so."""
        waiting = self.screen is not None and self.screen.waiting
        if waiting and self.screen is not None:
            self.screen.remind()
        return waiting

    def _renumber(self) -> None:
        if self.screen is not None:
            self.screen.drawing.look_anew()

    def refit(self) -> None:
        """Other instruments are fitted."""
        if self.screen is not None:
            self.screen.take_rig(self.session.rig)

    def show_figures(self, seconds: float) -> None:
        """Show whether the clock runs."""
        if self.screen is not None:
            self.screen.show_state(self.session.running)

    def new_look(self) -> None:
        """Show the question in the units of the board."""
        if self.screen is not None:
            self.screen.refresh()
