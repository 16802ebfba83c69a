"""The class view, and the question that lies over it; the clock is kept frozen until the class commits."""

from __future__ import annotations

from typing import TYPE_CHECKING, Protocol

from trainer.engine.readings import Readings
from trainer.errors import SolverError
from trainer.language import tr
from trainer.measuring.needles import Needles
from trainer.window.board.drawing_view import DrawingView
from trainer.window.session.controller import SessionController
from trainer.window.session.presenter import Presenter
from trainer.window.session.stage import Stage
from trainer.window.strip.record import StripRecord

if TYPE_CHECKING:
    from trainer.window.class_view.asking import Asked
    from trainer.window.class_view.projector import ProjectorView
    from trainer.window.class_view.question_view import QuestionView
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

    actions = {
        "projector": "change_view",
        "ask": "change_asking",
        "ask number": "change",
        "uncover": "uncover",
        "class print": "change_print",
    }
    everywhere = ("projector", "ask", "ask number", "uncover", "class print")
    put: QuestionView | None = None  # the question that lies over the class view
    wanted: Asked | None = None  # what is to be asked, until it is said of which instant
    picking = False  # whether the next click says what is to be asked
    class_size = 30
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
        self.screen = self.view = self.put = self.wanted = None
        self.picking = False

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
            view.asked.connect(self.change_asking)
            view.when.asked.connect(lambda: self._put("", 0.0))
            view.rack.asked_of.connect(self._put)
            view.gone.connect(self._put_away)
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
        if self.view is None:
            return
        if self.picking:
            from trainer.window.class_view.asking import find_asked

            asked = find_asked(self.session.rig, kind, name)
            if isinstance(asked, str):
                self.view.bar.say(asked)
                return
            self.picking, self.wanted = False, asked
            self.view.ask_when(asked.words)
        elif kind == "instrument" and self.put is None:
            self.view.show_dial(name)

    def _next(self) -> None:
        """The remote's next: a step of the question, else run or freeze."""
        if self.put is None or self.put.step == "run":
            self.controller.change_running()
        else:
            self.put.next()

    def _back(self) -> None:
        if self.put is not None:
            self.put.back()
        else:
            self.controller.rewind(max(self.session.time - BACK, 0.0))

    # -- a question with options ---------------------------------------------------------------------------------

    def change_asking(self) -> None:
        """Make a question of what is clicked next, or put the one that lies there away."""
        view = self._view()
        if self.stage.screen is not view:
            self.stage.show_screen(view)
            self.show_figures(0.0)
        if self.put is not None or self.picking or self.wanted is not None:
            self._put_away()
            return
        self.controller.run(False)
        self.picking = True
        view.bar.say(tr("Ask this: click a dial, a line or an actuator"))

    def _put(self, control: str, goal: float) -> None:
        """Put the question: cover all that tells, and wait for the class."""
        view, asked = self.view, self.wanted
        if view is None or asked is None:
            return
        from trainer.window.class_view.asking import make
        from trainer.window.class_view.question_view import QuestionView

        try:
            made = make(self.session, asked, control, goal)
        except SolverError as error:
            made = str(error)
        if isinstance(made, str):
            view.bar.say(made)
            return
        self.wanted = None
        self.put = QuestionView(view.look, made, lambda: self.session.time, self.class_size, view)
        self.put.committed.connect(self._committed)
        self.put.ended.connect(self._put_away)
        self.put.again.connect(self._put_away)
        view.let_pick(False)
        view.rack.ask_for(control, goal)
        view.hold(True)
        view.put_beside(self.put)
        view.bar.say(tr("Frozen until the class commits"))
        self.put.votes[0].setFocus()

    def _committed(self) -> None:
        """Uncover, and let the question's run go."""
        view, put = self.view, self.put
        if view is None or put is None:
            return
        self.class_size = put.class_size or self.class_size
        view.hold(False)
        view.rack.ask_for("", None)
        view.bar.say("")
        question = put.question
        if not question.control:
            put.ran()
            return
        view.watch(question.asked.instrument)
        view.setFocus()
        self.controller.operator.levers[question.control].set_exactly(question.goal)
        self.controller.run()

    def show_instant(self, live: Readings, seconds: float, passed: float) -> None:
        """End the run of a question when its time has come."""
        put, view = self.put, self.view
        if put is None or view is None or put.step != "run":
            return
        if self.session.time >= put.question.end - 1e-6:
            self.controller.run(False)
            view.put_beside(put)
            put.ran()

    def uncover(self) -> None:
        """Uncover without an answer: the instructor may; the verdict says so."""
        if self.put is not None:
            self.put.override()
        elif self.stage.screen is None:
            self.controller.covers.lift_asked.emit()

    def _put_away(self) -> None:
        put, view = self.put, self.view
        self.put = self.wanted = None
        self.picking = False
        if view is not None:
            view.hold(False)
            view.let_pick(False)
            view.rack.ask_for("", None)
            view.bar.say("")
            view.put_beside(None)
            view.setFocus()
        if put is not None:
            put.hide()
            put.deleteLater()

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
        if self.put is not None and self.put.waiting:
            return True
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
