"""Leads through the tasks of a lesson: each is opened fresh, covered until committed, then run and explained."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING, Protocol

from PySide6.QtCore import Qt
from PySide6.QtGui import QGuiApplication

from trainer import resources
from trainer.engine.readings import Readings
from trainer.engine.session import Session
from trainer.errors import SpoolroomError
from trainer.language import tr
from trainer.lessons import file as lesson_file
from trainer.lessons.attempts import AttemptFile, Attempts, attempt_of, usual_place
from trainer.lessons.flow import NoReason, Step, Task
from trainer.lessons.lesson import Lesson
from trainer.lessons.marking import UnusableAnswer
from trainer.lessons.posing import Opener
from trainer.lessons.running import Courses
from trainer.lessons.shelf import own_folder
from trainer.window.lesson.by_hand import Hands, HandsForm
from trainer.window.lesson.forms import State
from trainer.window.lesson.kept import KeptTask, TaskFile, bring_back
from trainer.window.lesson.making import Made, page_of
from trainer.window.lesson.pages import Page as StepPage
from trainer.window.lesson.pages import PredictPage, SeenPage
from trainer.window.lesson.pane import LessonPane
from trainer.window.lesson.run import LiveRun, asked_levers, bring_to_begin, bring_to_end
from trainer.window.lesson.standing import show_standing, without_run
from trainer.window.lesson.views import Page
from trainer.window.opening.presenter import OpeningPresenter
from trainer.window.rig.presenter import RigPresenter
from trainer.window.session.controller import SessionController
from trainer.window.session.stage import Stage
from trainer.window.working.presenter import WorkingPresenter
from trainer.working import Subject

if TYPE_CHECKING:
    from trainer.window.lesson.forms import Form

__all__ = ["Guide"]


class Owner(Protocol):
    """Who has the guide."""

    choose_lessons: Callable[[], object] | None
    folder: Path | None

    def allow(self) -> None:
        """Say of the lesson's actions what cannot be done now."""


class Guide:
    """Leads through the tasks of a lesson. ``task`` is the one that is open, None without a lesson.

    ``attempts`` keeps what came of each; ``owner`` is told what can be done.
    """

    def __init__(
        self,
        controller: SessionController,
        stage: Stage,
        opening: OpeningPresenter,
        rig: RigPresenter,
        working: WorkingPresenter,
        page: Page,
        owner: Owner,
    ) -> None:
        self.controller, self.stage, self.opening, self.rig, self.page = controller, stage, opening, rig, page
        self.working, self.owner = working, owner
        self.lesson: Lesson | None = None
        self.task: Task | None = None
        self.run: LiveRun | None = None
        self.pane: LessonPane | None = None
        self.attempts: Attempts = AttemptFile(usual_place())
        self.opener = Opener(Courses.of_this_user())
        self.file = None if owner.folder is None else TaskFile(owner.folder)
        self.form: Form | None = None
        self.shown = Step.READ  # the step that is looked at
        self.shown_page: StepPage | None = None
        self._lessons: dict[Path, tuple[int, Lesson]] = {}  # as read, and when their files were written
        self._done: set[str] = set()  # tasks of this lesson that have their verdict
        self._expected: Session | None = None  # of the task that is being opened
        self._kept = False  # whether the attempt of this task is kept
        self._begun = 0.0  # when the question was shown [s of the clock]
        self._told = False  # that attempts cannot be kept
        self._restored: KeptTask | None = None
        controller.hands = self._move_hands

    @property
    def session(self) -> Session:
        """The session that is shown."""
        return self.controller.session

    @property
    def has_hint(self) -> bool:
        """Whether there is a hint to be had now."""
        return self.task is not None and bool(self.task.posed.exercise.hints) and not self.task.committed

    # -- opening -------------------------------------------------------------------------------------------------

    def open_lesson(self, lesson_id: str, task_id: str | None = None) -> bool:
        """Open a task of a lesson, its first one where none is named; return whether it is open."""
        try:
            lesson = self._lesson(lesson_id)
        except (SpoolroomError, OSError) as error:
            self.stage.tell(str(error))
            return False
        if self.lesson is None or self.lesson.id != lesson.id:
            seat = self.stage.remembered.seat
            tried = (one for one in self.attempts.all() if (one.lesson, one.seat) == (lesson.id, seat))
            self._done = {one.exercise for one in tried}
        return self._open(lesson, task_id or next(iter(lesson.exercises)), 0)

    def _lesson(self, lesson_id: str) -> Lesson:
        """Return a lesson by its id, read again where its file is another. Raises SpoolroomError, OSError."""
        path = resources.lessons().get(lesson_id) or own_folder() / f"{lesson_id}.toml"
        written = path.stat().st_mtime_ns if path.exists() else 0
        known = self._lessons.get(path)
        if known is None or known[0] != written:
            known = self._lessons[path] = written, lesson_file.load(path)
        return known[1]

    def _open(self, lesson: Lesson, task_id: str, attempt: int, kept: KeptTask | None = None) -> bool:
        """Open a task with a seat's numbers on a fresh session, at rest where it is asked."""
        if task_id not in lesson.exercises:
            self.stage.tell(tr("The lesson {title} has no task {name}.").format(title=lesson.title, name=task_id))
            return False
        QGuiApplication.setOverrideCursor(Qt.CursorShape.WaitCursor)
        try:
            posed = self.opener.open(lesson, task_id, self.stage.remembered.seat, attempt)
            session = self.opener.courses.session(posed.exercise, posed.numbers)
            bring = bring_to_end if kept is not None and kept.step > Step.RUN else bring_to_begin
            bring(session, posed.exercise)
            self._leave_form()
            before = self.lesson, self.task, self._expected
            self.lesson, self.task, self._expected = lesson, Task(posed, self.stage.look.system), session
            self.run, self._kept, self._restored, self.shown = None, False, kept, Step.READ
            try:
                self.opening.show_session(session)
            except SpoolroomError:
                self.lesson, self.task, self._expected = before
                raise
        except SpoolroomError as error:
            self.stage.tell(str(error))
            return False
        finally:
            QGuiApplication.restoreOverrideCursor()
        self._focus()
        return True

    def take(self, page: Page) -> None:
        """Build the pane on the page of a task's session; another session puts the lesson away."""
        self.page = page
        self._leave_form()
        self.pane, self.shown_page = None, None
        remembered = self.stage.remembered
        remembered.lesson = remembered.task = ""
        actions = self.stage.actions
        if self.session is not self._expected or self.task is None:
            self.run = self.task = self.lesson = None
            self.controller.covers.lift()
            if self.file is not None and self._expected is not None:
                self.file.remove()
            self._expected = None
            self.opening.recovery.stand_aside(False)
            page.bar.show_lesson(False)
            return
        self.opening.recovery.stand_aside(True)  # where one is stands in a file of its own
        seed = self.task.posed.seed
        remembered.lesson, remembered.task = seed.lesson, seed.exercise
        self.pane = pane = LessonPane(page.beside, self.stage.ground, actions)
        pane.step_asked.connect(lambda step: self.look_at(Step(step)))
        pane.task_asked.connect(self.go_to)
        pane.next_asked.connect(self.go_on)
        pane.escaped.connect(self.back)
        pane.digit.connect(self._digit)
        pane.others.clicked.connect(self.other_numbers)
        pane.again.clicked.connect(self.see_again)
        pane.ledgers.clicked.connect(self.change)
        pane.lessons.clicked.connect(self._choose_lessons)
        pane.working.clicked.connect(self._show_working)
        if self._restored is not None:
            self._kept = bring_back(self.task, self._restored)
        self._cover()
        self.stage.open_pane(pane)
        page.bar.show_lesson(True, True)
        self.show(self._at())

    def _at(self) -> Step:
        assert self.task is not None
        return self.task.step

    def keep_in(self, folder: Path) -> None:
        """Keep how far one is in a folder from now on."""
        self.file = TaskFile(folder)

    def resume(self) -> None:
        """Open again what was open when the program ended."""
        if self.file is None:
            return
        kept = self.file.read()
        if kept is None or self.task is not None:
            return
        self.stage.remembered.seat = kept.seat
        try:
            lesson = self._lesson(kept.lesson)
        except (SpoolroomError, OSError):
            self.file.remove()
            return
        if kept.exercise in lesson.exercises and self._open(lesson, kept.exercise, kept.attempt, kept):
            self.stage.tell(tr("The lesson goes on where it was."))

    # -- where it stands -----------------------------------------------------------------------------------------

    def _cover(self) -> None:
        """Hide what may not be told now, and say why nothing moves."""
        if self.task is not None:
            self._show_asked()
            led = tr("The lesson moves the levers now") if self.run is not None and not self.run.by_hand else ""
            self.controller.covers.put(self.task.cover, self.task.frozen_words, led)

    def _show_asked(self) -> None:
        """Show at the levers where they are to go, before they have gone."""
        task = self.task
        asked = {} if task is None or task.committed else asked_levers(self.session, task.posed.exercise)
        for name, lever in self.page.rack.levers.items():
            lever.ask_for(asked.get(name))

    def show(self, step: Step) -> None:
        """Show the page of a step that is reached."""
        task, pane, lesson = self.task, self.pane, self.lesson
        if task is None or pane is None or lesson is None:
            return
        self._leave_form()
        self.shown = step
        made: Made = page_of(step, task, lesson, self.session, self.page.drawing, self._hands(), pane)
        self.shown_page, self.form = made.page, made.form
        typed = self._typed() if step is Step.PREDICT else None
        pane.body.show_page(made.page)
        page = made.page
        if isinstance(page, PredictPage):
            page.form.said.connect(self.stage.tell)
            page.changed.connect(self._show_reasons)
            if typed is not None:
                page.form.restore(typed[0])
                if page.reasons is not None:
                    page.reasons.choose(typed[1])
            if task.committed:
                page.answered()
            else:
                page.form.begin()
                self._begun = self.controller.clock()
            if task.hints:
                page.show_hint(task.hints, task.posed.text(task.posed.exercise.hints[task.hints - 1], task.system))
        elif isinstance(page, SeenPage):
            page.chosen.connect(self.saw)
        self._show_lesson(pane, task, lesson)
        self.owner.allow()
        wants = step in (Step.SEEN, Step.WHY)
        if wants != pane.wants_room:
            pane.wants_room = wants
            self.page.lay_out()
        pane.arrange()
        self._focus()
        self.keep()

    def _show_reasons(self) -> None:
        """Bring the reasons into sight once there is an answer, while there is no reason."""
        page, pane = self.shown_page, self.pane
        if isinstance(page, PredictPage) and pane is not None and page.reasons is not None and not page.reason:
            pane.body.ensureWidgetVisible(page.reasons, 0, 0)

    def _focus(self) -> None:
        """Give the keyboard to what is asked, else to the button that goes on."""
        pane, page = self.pane, self.shown_page
        if pane is None or page is None or not pane.isVisible() or self.stage.open_in("side") is not None:
            return
        if self.run is not None and self.run.by_hand:
            self.page.focus_levers()
        elif not page.focus():
            (pane.go if pane.go.isEnabled() else pane).setFocus(Qt.FocusReason.OtherFocusReason)

    def _show_lesson(self, pane: LessonPane, task: Task, lesson: Lesson) -> None:
        led = self.run is not None and not self.run.by_hand
        show_standing(pane, task, lesson, self.shown, self._done, led, self.session.running)
        page = self.shown_page
        pane.go.setAccessibleDescription("" if page is None else page.accessibleDescription())  # read with the button

    def _hands(self) -> Hands:
        return Hands(lambda: self.session, self.page.dials.dial, lambda: self.rig.changes.loose, self.rig.show_part)

    def _typed(self) -> tuple[State, str] | None:
        """Return what stands in the form of this task, answer and reason, where it was shown before."""
        if self._restored is not None:
            return self._restored.answer, self._restored.reason
        return None

    def _leave_form(self) -> None:
        """Remember what is typed, and take what the form has put on the drawing away."""
        if self.form is None:
            return
        self._remember()
        self.form.end()
        self.form = None

    def _remember(self) -> None:
        """Keep in mind where the task stands, with what is typed."""
        task, page = self.task, self.shown_page
        if task is None:
            return
        seed = task.posed.seed
        answer, reason = ("", "") if self._restored is None else (self._restored.answer, self._restored.reason)
        if isinstance(page, PredictPage) and self.form is page.form:
            answer, reason = page.form.state, page.reason
        self._restored = KeptTask(
            seed.lesson, seed.exercise, seed.seat, seed.attempt, int(task.step), task.hints, answer, reason,
            task.seen.said, task.uncovered, task.seconds, self._kept,
        )  # fmt: skip

    def keep_typed(self) -> None:
        """Keep what is typed, where it is another than before; let a run that was frozen be gone on from."""
        pane, task, lesson, led = self.pane, self.task, self.lesson, self.run is not None and not self.run.by_hand
        if pane and task and lesson and led and pane.go.isEnabled() is self.session.running:
            self._show_lesson(pane, task, lesson)
        if isinstance(self.shown_page, PredictPage) and self.form is not None:
            self.keep()

    def keep(self) -> None:
        """Write where the task stands into the file."""
        self._remember()
        if self.file is not None and self._restored is not None:
            self.file.write(self._restored)

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
        if task is None:
            return
        first = Step.READ if not task.committed else Step.RUN
        if self.shown > first:
            self.show(Step(self.shown - 1))

    def go_on(self) -> None:
        """Do what the filled button says."""
        task = self.task
        if task is None:
            return
        if self.shown < task.step:
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
            seconds = task.seconds + max(self.controller.clock() - self._begun, 0.0)
            task.commit(page.form.answer(), page.reason, seconds)
        except UnusableAnswer as error:
            self.stage.tell(str(error))
            if isinstance(error, NoReason) and page.reasons is not None:
                page.reasons.focus()
            else:
                page.form.focus()
            return
        self._let_run()

    def uncover(self) -> None:
        """Uncover without an answer, as an instructor may; the record says so."""
        if self.task is not None and not self.task.committed:
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
        self._done.add(task.posed.exercise.id)
        if self._kept:
            return
        self._kept = True
        try:
            self.attempts.add(attempt_of(task, datetime.now().astimezone()))
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
            self.working.show(Subject(*self.task.posed.exercise.working[0]))

    # -- other tasks ---------------------------------------------------------------------------------------------

    def other_numbers(self) -> None:
        """Open the same task with other numbers."""
        if self.task is not None and self.lesson is not None:
            seed = self.task.posed.seed
            self._open(self.lesson, seed.exercise, seed.attempt + 1)

    def go_to(self, place: int) -> None:
        """Open the task at a place of the lesson, from 0."""
        if self.lesson is not None:
            names: Sequence[str] = [*self.lesson.exercises]
            self._open(self.lesson, names[place], 0)

    def next(self) -> None:
        """Open the next task of the lesson; after the last one show all lessons."""
        if self.lesson is None or self.task is None:
            return
        if self.task.step is not Step.WHY:
            self.go_on()
            return
        names = [*self.lesson.exercises]
        at = names.index(self.task.posed.exercise.id) + 1
        if at < len(names):
            self.go_to(at)
        else:
            self._choose_lessons()

    def _choose_lessons(self) -> None:
        if self.owner.choose_lessons is not None:
            self.owner.choose_lessons()
        else:
            self.stage.tell(tr("That was the last task of this lesson."))

    # -- the window ----------------------------------------------------------------------------------------------

    def _digit(self, number: int) -> None:
        if self.shown_page is not None:
            self.shown_page.digit(number)

    def new_look(self) -> None:
        """Show words and numbers in the present units."""
        if self.task is not None and self.pane is not None:
            self.task.system = self.stage.look.system
            self.show(self.shown)
