"""The class view, and the question that lies over it; the clock is kept frozen until the class commits."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING, Protocol

from trainer.engine.readings import Readings
from trainer.errors import SolverError
from trainer.language import tr
from trainer.lessons.cover import Cover
from trainer.measuring.needles import Needles
from trainer.window.board.drawing_view import DrawingView
from trainer.window.lesson.presenter import LessonPresenter
from trainer.window.session.controller import SessionController
from trainer.window.session.presenter import Presenter
from trainer.window.session.stage import Stage
from trainer.window.strip.record import StripRecord

if TYPE_CHECKING:
    from trainer.lessons.flow import Task
    from trainer.window.class_view.asking import Question
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
    """Shows the class ``view`` instead of the board, and lays a question over it; made when asked for."""

    actions = {
        "projector": "change_view",
        "ask": "change_asking",
        "uncover": "uncover",
        "class print": "change_print",
    }
    everywhere = ("projector", "ask", "uncover", "class print")
    put: QuestionView | None = None  # the question that lies over the class view
    wanted = False  # whether it is still to be said of which instant something is asked
    picking = False  # whether the next click says what is to be asked
    class_size = 30
    view: ClassView | None = None

    def __init__(self, controller: SessionController, stage: Stage, lesson: LessonPresenter) -> None:
        super().__init__(controller, stage)
        self.lesson = lesson
        controller.covers.changed.connect(self._cover)
        controller.renumbered.connect(self._renumber)
        controller.given.connect(self._given)
        controller.rewound.connect(self._stand_anew)

    def take(self, page: Page) -> None:
        """Show another session; the screens of the one before go with its page."""
        super().take(page)
        self.view = self.put = None
        self.wanted = self.picking = False

    # -- the class view ------------------------------------------------------------------------------------------

    def change_view(self) -> None:
        """Change between the board and the class view; from a question back to the board."""
        if self.stage.screen is not None and self.stage.screen is self.view:
            self.stage.show_screen(None)
            return
        self.stage.show_screen(self._view())
        self._cover()
        self.show_figures(0.0)

    def _view(self) -> ClassView:
        if self.view is None:
            from trainer.window.class_view.view import ClassView

            page, stage = self.page, self.stage
            self.view = view = ClassView(
                stage.look,
                self.session,
                self.controller.own,
                page.needles,
                page.strip.record,
                stage.actions,
                stage.room,
            )
            view.left.connect(self.change_view)
            view.asked.connect(self.change_asking)
            view.when.asked.connect(lambda: self._put(view.when.hands))
            view.when.changed.connect(lambda: view.rack.ask_for({}))
            view.rack.asked_of.connect(self._lever)
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
            self.picking, self.wanted = False, True
            self.view.ask_when(asked)
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
            self._cover()
            self.show_figures(0.0)
        if self.put is not None or self.picking or self.wanted:
            self._put_away()
            return
        if self._task is not None:
            self._put_task(self._task)
            return
        self.controller.run(False)
        self.picking = True
        view.bar.say(tr("Ask this: click a dial, a line or an actuator"))

    def _put_task(self, task: Task) -> None:
        """Put the question of a lesson's task to the class."""
        from trainer.window.class_view.from_task import question_of

        made = question_of(task, self.stage.look.system, self.session.time)
        if isinstance(made, str):
            self._view().bar.say(made)
        else:
            self._lay(made)

    def _lever(self, control: str, goal: float) -> None:
        """A lever is clicked while a question is made: it is the one that moves, or one of several."""
        if self.view is None or not self.wanted:
            return
        if self.view.when.wanted.several:
            self.view.when.add(control, goal)
            self.view.rack.ask_for(self.view.when.hands)
        else:
            self._put({control: goal})

    def _put(self, hands: Mapping[str, float]) -> None:
        """Put the question: cover all that tells, and wait for the class."""
        view = self.view
        if view is None or not self.wanted:
            return
        from trainer.window.class_view.asking import make

        try:
            made = make(self.session, view.when.wanted, hands, view.when.figures)
        except SolverError as error:
            made = str(error)
        if isinstance(made, str):
            view.bar.say(made)
            return
        self._lay(made)

    def _lay(self, made: Question) -> None:
        """Lay a question over the view."""
        view = self._view()
        from trainer.window.class_view.question_view import QuestionView

        self.wanted = False
        self.put = QuestionView(view.look, made, lambda: self.session.time, self.class_size, view)
        self.put.committed.connect(self._committed)
        self.put.ended.connect(self._put_away)
        self.put.again.connect(self._put_away)
        view.let_pick(False)
        view.rack.ask_for(made.hands)
        view.put_beside(self.put)
        frozen = tr("Frozen until the class commits")
        view.bar.say(frozen)
        if self._task is None:
            self.controller.covers.put(Cover.all_of(self.session.rig), frozen)
        self._cover()
        (self.put.values if made.figures else self.put.votes)[0].setFocus()

    def _committed(self) -> None:
        """Uncover, and let the question's run go."""
        view, put = self.view, self.put
        if view is None or put is None:
            return
        self.class_size = put.class_size or self.class_size
        view.rack.ask_for({})
        view.bar.say("")
        question = put.question
        view.watch(question.asked.instrument)
        view.setFocus()
        if self._task is not None:
            self.lesson.guide.uncover()  # the lesson's own run; its record says that there was no answer
            return
        self.controller.covers.lift()
        if not put.runs:
            view.put_beside(put)
            put.ran()
            return
        for control, goal in question.hands.items():
            self.controller.operator.levers[control].set_exactly(goal)
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

    def _cover(self) -> None:
        """Cover what may not be told now, and uncover it; nothing moves by hand meanwhile."""
        if self.view is not None:
            covers = self.controller.covers
            self.view.hold(covers.cover.anything or bool(covers.frozen))

    @property
    def _task(self) -> Task | None:
        """The task of a lesson that waits for its answer, if one is open."""
        task = self.lesson.guide.task if self.lesson.open else None
        return task if task is not None and not task.committed else None

    def uncover(self) -> None:
        """Uncover without an answer: the instructor may; the verdict says so."""
        if self.put is not None:
            self.put.override()
        else:
            self.controller.covers.lift_asked.emit()

    def _put_away(self) -> None:
        put, view = self.put, self.view
        if put is not None and put.waiting and self._task is None:
            self.controller.covers.lift()
        self.put = None
        self.wanted = self.picking = False
        if view is not None:
            view.let_pick(False)
            self._cover()
            view.rack.ask_for({})
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

    def _renumber(self) -> None:
        if self.view is not None:
            self.view.drawing.look_anew()

    def refit(self) -> None:
        """Other instruments are fitted."""
        if self.view is not None:
            self.view.take_rig(self.session.rig)

    def show_figures(self, seconds: float) -> None:
        """Show whether the clock runs."""
        if self.view is not None:
            self.view.show_figures()
            self.view.show_time(self.session.time, self.session.history.end, tuple(self.controller.marks))

    def new_look(self) -> None:
        """Show the question in the units of the board."""
        if self.view is not None:
            self.view.new_look()
