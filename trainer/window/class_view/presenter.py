"""The class view, and the question that lies over it; the clock is kept frozen until the class commits."""

from __future__ import annotations

from typing import TYPE_CHECKING, Protocol

from trainer.measuring.needles import Needles
from trainer.window.board.drawing_view import DrawingView
from trainer.window.session.controller import SessionController
from trainer.window.session.presenter import Presenter
from trainer.window.session.stage import Stage
from trainer.window.strip.record import StripRecord

if TYPE_CHECKING:
    from trainer.window.class_view.projector import ProjectorView
    from trainer.window.class_view.view import ClassView

__all__ = ["ClassPresenter"]

BACK = 1.0  # s that a presenter's remote goes back without a question


class Strip(Protocol):
    """The strip, for what it records."""

    record: StripRecord


class Page(Protocol):
    """The views that are asked of a page."""

    drawing: DrawingView
    needles: Needles

    @property
    def strip(self) -> Strip:
        """The strip."""


class ClassPresenter(Presenter[Page]):
    """Shows the class ``view``, and the ``screen`` with a question, instead of the board; made when asked for."""

    actions = {"projector": "change_view", "ask": "change", "class print": "change_print"}
    everywhere = ("projector", "ask", "class print")
    screen: ProjectorView | None = None
    view: ClassView | None = None

    def __init__(self, controller: SessionController, stage: Stage) -> None:
        super().__init__(controller, stage)
        controller.holds = self._holds
        controller.renumbered.connect(self._renumber)
        controller.given.connect(self._given)
        controller.rewound.connect(self._stand_anew)

    def take(self, page: Page) -> None:
        """Show another session; the screens of the one before go with its page."""
        super().take(page)
        self.screen = self.view = None

    # -- the class view ------------------------------------------------------------------------------------------

    def change_view(self) -> None:
        """Change between the board and the class view; from a question back to the board."""
        if self.stage.screen is not None and self.stage.screen in (self.view, self.screen):
            self.stage.show_screen(None)
            return
        self.stage.show_screen(self._view())
        self.show_figures(0.0)

    def _view(self) -> ClassView:
        if self.view is None:
            from trainer.window.class_view.view import ClassView

            page, stage = self.page, self.stage
            self.view = view = ClassView(
                stage.look,
                self.session,
                self.controller.operator,
                page.needles,
                page.strip.record,
                stage.actions,
                stage.room,
            )
            view.left.connect(self.change_view)
            view.asked.connect(self.change)
            view.picked.connect(self._picked)
            view.next_asked.connect(self._next)
            view.back_asked.connect(self._back)
            view.bar.run_asked.connect(self.controller.run)
            view.bar.speed_asked.connect(self.controller.set_speed)
            view.bar.line.asked.connect(self.controller.rewind)
            view.rack.levers_moved.connect(self.controller.move_hands)
        return self.view

    def change_print(self) -> None:
        """Show the class view in black on white, or in colours again."""
        if self.view is not None and self.stage.screen is self.view:
            self.view.change_print()

    def _picked(self, kind: str, name: str) -> None:
        if self.view is not None and kind == "instrument":
            self.view.show_dial(name)

    def _next(self) -> None:
        self.controller.change_running()

    def _back(self) -> None:
        self.controller.rewind(max(self.session.time - BACK, 0.0))

    def _given(self, given: list[str]) -> None:
        if self.view is not None:
            self.view.hand_gave(given)

    def _stand_anew(self) -> None:
        if self.view is not None:
            self.view.rack.show_hands([*self.view.rack.handles])
            self.view.drawing.state.steps.clear()

    # -- the question --------------------------------------------------------------------------------------------

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
        for shown in (self.screen, self.view):
            if shown is not None:
                shown.drawing.look_anew()

    def refit(self) -> None:
        """Other instruments are fitted."""
        for shown in (self.screen, self.view):
            if shown is not None:
                shown.take_rig(self.session.rig)

    def show_figures(self, seconds: float) -> None:
        """Show whether the clock runs."""
        if self.screen is not None:
            self.screen.show_state(self.session.running)
        if self.view is not None:
            self.view.show_figures()
            self.view.show_time(self.session.time, self.session.history.end, tuple(self.controller.marks))

    def new_look(self) -> None:
        """Show the question in the units of the board."""
        if self.screen is not None:
            self.screen.refresh()
        if self.view is not None:
            self.view.new_look()
