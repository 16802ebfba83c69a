"""Leads through the tasks of a lesson: each is answered, then run and explained; an exam is explained at its end."""

from __future__ import annotations

from datetime import datetime

from trainer.engine.readings import Readings
from trainer.errors import SpoolroomError
from trainer.language import tr, trn
from trainer.lessons.attempts import attempt_of
from trainer.lessons.exam import Try
from trainer.lessons.example import EXAMPLES, example, offered
from trainer.lessons.flow import NoReason, Step, Task
from trainer.lessons.lesson import Lesson
from trainer.lessons.marking import UnusableAnswer
from trainer.lessons.posing import Posed
from trainer.lessons.worked import SHOWN
from trainer.window.lesson.by_hand import HandsForm
from trainer.window.lesson.exam import ResultPage, Sitting
from trainer.window.lesson.example_page import ExamplePage
from trainer.window.lesson.kept import explained
from trainer.window.lesson.opened import OpenLesson, Owner, busy
from trainer.window.lesson.pages import PredictPage
from trainer.window.lesson.pane import LessonPane
from trainer.window.lesson.run import LiveRun
from trainer.window.lesson.standing import show_result, stands, without_run
from trainer.working import Subject

__all__ = ["Guide"]

_DRAWS = 20  # of an example's numbers


class Guide(OpenLesson):
    """Leads through the tasks of the lesson that is open."""

    def __init__(self, owner: Owner) -> None:
        super().__init__(owner)
        self.controller.hands = self._move_hands

    def connect(self, pane: LessonPane) -> None:
        """Let the buttons of a pane do what they say."""
        pane.step_asked.connect(lambda step: self.look_at(Step(step)))
        pane.task_asked.connect(self.go_to)
        pane.next_asked.connect(self.go_on)
        pane.escaped.connect(self.back)
        pane.others.clicked.connect(self.other_numbers)
        pane.example.clicked.connect(self.show_example)
        pane.again.clicked.connect(self.see_again)
        pane.ledgers.clicked.connect(self.change)
        pane.lessons.clicked.connect(self._choose_lessons)
        pane.working.clicked.connect(self._show_working)

    # -- what is done --------------------------------------------------------------------------------------------

    def change(self) -> None:
        """Put the pane away, or bring it back; what is covered stays so."""
        pane = self.pane
        if pane is None:
            return
        if pane.isVisible() and self.stage.open_in("side") is None:
            self.stage.close_pane(pane)
            self.page.bar.show_lesson(True, False)
            self.stage.tell(tr("The lesson is put away; F10 brings it back."))
        else:
            other = self.stage.open_in("side")
            if other is not None:
                self.stage.close_pane(other)
            self.stage.open_pane(pane)
            self.page.bar.show_lesson(True, True)
            self._focus()

    def look_at(self, step: Step) -> None:
        """Look at a step that is passed."""
        if self.task is not None and step <= self.task.step:
            self.show(step)

    def back(self) -> None:
        """Go back a step that is looked at; before the answer to reading, after it never before the run."""
        task = self.task
        if task is None or (self.sitting is not None and task.committed):
            return
        if isinstance(self.shown_page, ExamplePage):
            self.show(task.step)
            return
        first = Step.READ if not task.committed else Step.RUN
        if self.shown > first:
            self.show(Step(self.shown - 1))

    def go_on(self) -> None:
        """Do what the filled button says."""
        task = self.task
        if task is None:
            return
        if isinstance(self.shown_page, ExamplePage):
            self._go_on_with(self.shown_page)
        elif self.shown < task.step:
            self.show(Step(self.shown + 1))
        elif self.shown is Step.READ:
            task.begin()
            self.show(Step.PREDICT)
        elif self.shown is Step.PREDICT:
            self.commit()
        elif self.shown is Step.RUN and (self.run is None or self.run.by_hand or not self.session.running):
            self._end_run()
        elif self.shown is Step.WHY:
            self.next()

    def commit(self) -> None:
        """Take the answer that stands in the form, uncover, and let the run go."""
        task, page = self.task, self.shown_page
        if task is None:
            return
        if task.committed or not isinstance(page, PredictPage):
            self.go_on()
            return
        try:
            if self.sitting is not None and self._try(self.sitting, task, page):
                return
            seconds = task.seconds + max(self.controller.clock() - self._begun, 0.0)
            task.commit(page.form.answer(), page.reason, seconds, page.reason_words)
        except UnusableAnswer as error:
            self.stage.tell(str(error))
            if isinstance(error, NoReason) and page.reasons is not None:
                page.reasons.focus()
            else:
                page.form.focus()
            return
        if self.sitting is None:
            self._let_run()
        else:
            self._next_of(self.sitting, task)

    def uncover(self) -> None:
        """Uncover without an answer, as an instructor may; the record says so, and an exam is none any more."""
        if self.task is not None and not self.task.committed:
            if self.sitting is not None:
                self.sitting = None
                self.stage.tell(tr("Uncovered: this is no exam any more."))
            self.task.uncover()
            self._let_run()

    def hint(self) -> None:
        """Show the next hint; it is recorded."""
        task = self.task
        if task is None or task.committed or not task.posed.exercise.hints:
            return
        if not isinstance(self.shown_page, PredictPage):
            task.begin()
            self.show(Step.PREDICT)
        words = task.hint()
        if isinstance(self.shown_page, PredictPage) and self.pane is not None and self.lesson is not None:
            self.shown_page.show_hint(task.hints, words)
            self._show_lesson(self.pane, task, self.lesson)
            self.pane.body.ensureWidgetVisible(self.shown_page.hint)
        self.keep()

    # -- an example ----------------------------------------------------------------------------------------------

    def show_example(self) -> None:
        """Show the task worked out with other numbers, or half of it where it is one of the second depth."""
        task = self.task
        if task is not None and not task.committed and self.sitting is None and offered(task.posed.exercise):
            self._show_example(task, SHOWN[task.posed.exercise.depth] == "half-worked")

    def _show_example(self, task: Task, half: bool) -> None:
        lesson, pane, system = self.lesson, self.pane, self.stage.look.system
        assert lesson is not None
        assert pane is not None
        try:
            with busy():
                posed = self._with_other_numbers(lesson, task, EXAMPLES + half)
                steps = example(posed, system)
        except SpoolroomError as error:
            self.stage.tell(str(error))
            return
        if not steps:
            self.stage.tell(tr("There is nothing to work out here."))
            return
        self._leave_form()
        task.begin()
        page = ExamplePage(pane.look, posed, steps, half, pane)
        page.changed.connect(lambda: self._show_onward(page))
        self.shown, self.shown_page = Step.PREDICT, page
        pane.body.show_page(page)
        self._show_lesson(pane, task, lesson)
        pane.arrange()
        self._show_onward(page)

    def _with_other_numbers(self, lesson: Lesson, task: Task, attempt: int) -> Posed:
        """Return a task with numbers that are not its own: they would tell its answer. Raises SpoolroomError."""
        seed, own = task.posed.seed, dict(task.posed.numbers)
        for other in range(attempt, attempt + _DRAWS, 2):
            posed = self.opener.open(lesson, seed.exercise, seed.seat, other)
            if dict(posed.numbers) not in (own, {}):
                return posed
        raise SpoolroomError(tr("There are no other numbers for this task."))

    def _show_onward(self, page: ExamplePage) -> None:
        pane = self.pane
        if pane is not None:
            pane.go.setText(page.onward)
            pane.go.setAccessibleName(page.onward)
            self._focus()
            pane.body.keep_in_sight(page.latest())

    def _go_on_with(self, page: ExamplePage) -> None:
        """Go on with an example: its next step, then half of another one, then the task itself."""
        task = self.task
        if not page.over:
            page.go_on()
        elif task is not None and page.half:
            self.show(task.step)
        elif task is not None:
            self._show_example(task, True)

    # -- an exam -------------------------------------------------------------------------------------------------

    def _try(self, sitting: Sitting, task: Task, page: PredictPage) -> bool:
        """Take a try at a task of an exam; return whether there is another one. Raises UnusableAnswer."""
        verdict = task.judged(page.form.answer(), page.reason, page.reason_words)
        one = Try.of(verdict, page.form.state, page.reason, page.reason_words)
        left = sitting.take(task.posed.exercise.id, one)
        self.keep()
        if left:
            told = (
                trn(
                    "As read, but the reason does not hold. {left} try is left.",
                    "As read, but the reason does not hold. {left} tries are left.",
                    left,
                )
                if verdict.right
                else trn("Not as read. {left} try is left.", "Not as read. {left} tries are left.", left)
            )
            self.stage.tell(told.format(left=left))
            self.keep_typed()
            page.form.focus()
        return left > 0

    def _next_of(self, sitting: Sitting, task: Task) -> None:
        """Keep what came of a task of an exam and go on to the next one; after the last show the result."""
        task.explain()
        self._verdict()
        following = sitting.exam.next(task.posed.exercise.id)
        if following:
            self._open_of(sitting, following)
        else:
            self._show_result(sitting)

    def _open_of(self, sitting: Sitting, name: str) -> None:
        """Open a task of an exam: to be answered, or once the exam is over with its explanation."""
        exam, lesson = sitting.exam, self.lesson
        if lesson is None or (exam.done(name) and not exam.over):
            self.stage.tell(tr("This task is done. It is explained once the exam is over."))
            return
        kept = explained(exam, name, self.stage.remembered.seat) if exam.over else None
        self._open(lesson, name, exam.numbers, kept, sitting)

    def _show_result(self, sitting: Sitting) -> None:
        """Show what came of an exam."""
        pane, task, lesson = self.pane, self.task, self.lesson
        if pane is None or task is None or lesson is None:
            return
        self._leave_form()
        self._cover()
        page = ResultPage(pane.look, sitting.exam, pane)
        page.explain.clicked.connect(lambda: self.go_to(0))
        self.shown, self.shown_page = Step.WHY, page
        pane.body.show_page(page)
        self._show_lesson(pane, task, lesson)
        pane.wants_room = True
        self.page.lay_out()
        show_result(pane, sitting.exam)
        page.focus()
        self.keep()

    # -- the run -------------------------------------------------------------------------------------------------

    def _let_run(self) -> None:
        task = self.task
        assert task is not None
        self._leave_form()
        if without_run(task):
            self._cover()
            self._run_over()
            return
        self.run = LiveRun(self.session, self.controller.operator, task.posed.exercise, task.posed.exercise.own_hands)
        self._cover()
        self.controller.run()
        self.show(Step.RUN)

    def _move_hands(self, ahead: float) -> None:
        """Move what the script moves, before time passes."""
        if self.run is not None and self.session.running:
            self.run.move(ahead)

    def show_instant(self, live: Readings) -> None:
        """Follow what hands do; end the run when its time has come."""
        if isinstance(self.form, HandsForm):
            self.form.see(live)
        if self.run is not None and self.run.over:
            self._end_run()

    def _end_run(self) -> None:
        self.controller.run(False)
        self.run = None
        self._cover()
        if self.task is not None and self.task.step is Step.RUN:
            self._run_over()
        elif self.task is not None:
            self.show(self.task.step)

    def _run_over(self) -> None:
        task = self.task
        assert task is not None
        task.ran()
        self._verdict()
        self.show(task.step)

    def saw(self, what: str) -> None:
        """Take what was seen."""
        task = self.task
        if task is not None and task.step is Step.SEEN:
            task.saw(what)
            self._verdict()
            self.show(Step.WHY)

    def _verdict(self) -> None:
        """Keep the attempt, once, when the task has come to its end."""
        task = self.task
        if task is None or task.step is not Step.WHY:
            return
        exam, id_ = None if self.sitting is None else self.sitting.exam, task.posed.exercise.id
        tries = 1 if exam is None else len(exam.tries[id_])
        attempt = attempt_of(task, datetime.now().astimezone(), exam.id if exam is not None else "", tries)
        self._done[id_] = stands(attempt)
        if self._kept:
            return
        self._kept = True
        try:
            self.attempts.add(attempt)
        except OSError as error:
            if not self._told:
                self._told = True
                told = tr("Attempts cannot be kept ({reason}). The lesson goes on.")
                self.stage.tell(told.format(reason=error.strerror or error), True)

    def see_again(self) -> None:
        """Go back to before the run, and run again."""
        task = self.task
        if task is None or task.step is not Step.WHY or without_run(task):
            return
        begin = task.posed.exercise.run.begin
        self.run = None
        self.controller.rewind(begin)
        self.run = LiveRun(self.session, self.controller.operator, task.posed.exercise, False)
        self._cover()
        self.controller.run()
        self.show(Step.RUN)

    def _show_working(self) -> None:
        if self.task is not None and self.task.step is Step.WHY:
            self.owner.working.show(Subject(*self.task.posed.exercise.working[0]))

    # -- other tasks ---------------------------------------------------------------------------------------------

    def other_numbers(self) -> None:
        """Open the same task with other numbers."""
        if self.task is not None and self.lesson is not None:
            seed = self.task.posed.seed
            self._open(self.lesson, seed.exercise, seed.attempt + 1)

    def go_to(self, place: int) -> None:
        """Open the task at a place of the lesson, or of its exam, from 0; one that is answered where it ended."""
        if self.sitting is not None:
            self._open_of(self.sitting, self.sitting.exam.tasks[place])
        elif self.lesson is not None:
            name = [*self.lesson.exercises][place]
            kept = self._answered.get(name)
            if kept is not None and kept.seat != self.stage.remembered.seat:
                kept = None
            self._open(self.lesson, name, 0 if kept is None else kept.attempt, kept)

    def next(self) -> None:
        """Open the next task of the lesson; after the last one show all lessons."""
        if self.lesson is None or self.task is None:
            return
        if self.task.step is not Step.WHY:
            self.go_on()
            return
        exam = self.sitting
        names = [*self.lesson.exercises] if exam is None else exam.exam.tasks
        at = names.index(self.task.posed.exercise.id) + 1
        if isinstance(self.shown_page, ResultPage):
            self._choose_lessons()
        elif at < len(names):
            self.go_to(at)
        elif exam is not None:
            self._show_result(exam)
        else:
            self._choose_lessons()

    def _choose_lessons(self) -> None:
        if self.owner.choose_lessons is not None:
            self.owner.choose_lessons()
        else:
            self.stage.tell(tr("That was the last task of this lesson."))
