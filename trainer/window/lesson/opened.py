"""A lesson that is open on the board: its task on a fresh session, covered, shown step by step, kept as it stands."""

from __future__ import annotations

import contextlib
from collections.abc import Callable, Iterator
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING, Protocol

from PySide6.QtCore import Qt
from PySide6.QtGui import QGuiApplication

from trainer import resources
from trainer.engine.session import Session
from trainer.errors import SpoolroomError
from trainer.language import tr
from trainer.lessons import file as lesson_file
from trainer.lessons.attempts import Attempt, AttemptFile, Attempts, usual_place
from trainer.lessons.exam import Exam
from trainer.lessons.flow import Step, Task
from trainer.lessons.lesson import Lesson
from trainer.lessons.posing import Opener
from trainer.lessons.running import Courses
from trainer.lessons.shelf import own_folder
from trainer.window.lesson.by_hand import Hands, HandsForm
from trainer.window.lesson.exam import Sitting
from trainer.window.lesson.forms import State
from trainer.window.lesson.kept import KeptTask, TaskFile, bring_back
from trainer.window.lesson.making import Made, page_of
from trainer.window.lesson.on_drawing import OnDrawing
from trainer.window.lesson.pages import Page as StepPage
from trainer.window.lesson.pages import PredictPage, SeenPage
from trainer.window.lesson.pane import LessonPane
from trainer.window.lesson.run import LiveRun, asked_levers, bring_to_begin, bring_to_end
from trainer.window.lesson.standing import show_standing, stands
from trainer.window.lesson.views import Page
from trainer.window.opening.presenter import OpeningPresenter
from trainer.window.rig.presenter import RigPresenter
from trainer.window.session.controller import SessionController
from trainer.window.session.stage import Stage
from trainer.window.working.presenter import WorkingPresenter

if TYPE_CHECKING:
    from trainer.window.lesson.forms import Form

__all__ = ["OpenLesson", "Owner", "busy"]


@contextlib.contextmanager
def busy() -> Iterator[None]:
    """Show that something takes a while."""
    QGuiApplication.setOverrideCursor(Qt.CursorShape.WaitCursor)
    try:
        yield
    finally:
        QGuiApplication.restoreOverrideCursor()


class Owner(Protocol):
    """Who has the guide, with the presenters that it works with; ``page`` is the one at the time."""

    controller: SessionController
    stage: Stage
    opening: OpeningPresenter
    rig: RigPresenter
    working: WorkingPresenter
    page: Page
    choose_lessons: Callable[[], object] | None
    folder: Path | None

    def allow(self) -> None:
        """Say of the lesson's actions what cannot be done now."""


class OpenLesson:
    """A lesson that is open. ``task`` is the one of its tasks that is shown, None without a lesson.

    ``attempts`` keeps what came of each; ``owner`` is told what can be done.
    """

    def __init__(self, owner: Owner) -> None:
        self.owner, self.controller, self.stage = owner, owner.controller, owner.stage
        self.lesson: Lesson | None = None
        self.sitting: Sitting | None = None  # the exam that is on
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
        self._done: dict[str, str] = {}  # tasks of this lesson that have their verdict, and how they stand
        self._answered: dict[str, KeptTask] = {}  # those since the lesson was opened, to be looked at again
        self._expected: Session | None = None  # of the task that is being opened
        self._kept = False  # whether the attempt of this task is kept
        self._begun = 0.0  # when the question was shown [s of the clock]
        self._told = False  # that attempts cannot be kept
        self._restored: KeptTask | None = None

    @property
    def page(self) -> Page:
        """The page that is shown."""
        return self.owner.page

    @property
    def session(self) -> Session:
        """The session that is shown."""
        return self.controller.session

    @property
    def has_hint(self) -> bool:
        """Whether there is a hint to be had now."""
        task = self.task if self.sitting is None else None
        return task is not None and bool(task.posed.exercise.hints) and not task.committed

    # -- opening -------------------------------------------------------------------------------------------------

    def open_lesson(self, lesson_id: str, task_id: str | None = None) -> bool:
        """Open a task of a lesson, its first one where none is named; return whether it is open."""
        lesson = self._told_lesson(lesson_id)
        if lesson is None:
            return False
        if self.lesson is None or self.lesson.id != lesson.id:
            self._done, self._answered = {one.exercise: stands(one) for one in self._tried(lesson)}, {}
        return self._open(lesson, task_id or next(iter(lesson.exercises)), 0)

    def open_exam(self, lesson_id: str, depth: int = 0) -> bool:
        """Begin an exam of a lesson, or of one of its depths, with new numbers; return whether it is on."""
        lesson = self._told_lesson(lesson_id)
        if lesson is None:
            return False
        before = {one.exam for one in self._tried(lesson) if one.exam}
        exam = Exam.begin(f"{datetime.now().astimezone():%Y-%m-%d %H:%M:%S}", lesson, depth, before)
        return self._open(lesson, exam.tasks[0], exam.numbers, sitting=Sitting(exam, self.controller.clock))

    def _tried(self, lesson: Lesson) -> Iterator[Attempt]:
        seat = self.stage.remembered.seat
        return (one for one in self.attempts.all() if (one.lesson, one.seat) == (lesson.id, seat))

    def _told_lesson(self, lesson_id: str) -> Lesson | None:
        try:
            return self._lesson(lesson_id)
        except (SpoolroomError, OSError) as error:
            self.stage.tell(str(error))
            return None

    def _lesson(self, lesson_id: str) -> Lesson:
        """Return a lesson by its id, read again where its file is another. Raises SpoolroomError, OSError."""
        path = resources.lessons().get(lesson_id) or own_folder() / f"{lesson_id}.toml"
        written = path.stat().st_mtime_ns if path.exists() else 0
        known = self._lessons.get(path)
        if known is None or known[0] != written:
            known = self._lessons[path] = written, lesson_file.load(path)
        return known[1]

    def _open(
        self, lesson: Lesson, task_id: str, attempt: int, kept: KeptTask | None = None, sitting: Sitting | None = None
    ) -> bool:
        """Open a task with a seat's numbers on a fresh session, at rest where it is asked."""
        if task_id not in lesson.exercises:
            self.stage.tell(tr("The lesson {title} has no task {name}.").format(title=lesson.title, name=task_id))
            return False
        try:
            with busy():
                self._open_session(lesson, task_id, attempt, kept, sitting)
        except SpoolroomError as error:
            self.stage.tell(str(error))
            return False
        self._focus()
        return True

    def _open_session(
        self, lesson: Lesson, task_id: str, attempt: int, kept: KeptTask | None, sitting: Sitting | None
    ) -> None:
        posed = self.opener.open(lesson, task_id, self.stage.remembered.seat, attempt)
        session = self.opener.courses.session(posed.exercise, posed.numbers)
        bring = bring_to_end if kept is not None and kept.step > Step.RUN else bring_to_begin
        bring(session, posed.exercise)
        self._leave_form()
        self._keep_answered()
        before = self.lesson, self.task, self._expected, self.sitting
        task = Task(posed, self.stage.look.system)
        self.lesson, self.task, self._expected, self.sitting = lesson, task, session, sitting
        self.run, self._kept, self._restored, self.shown = None, False, kept, Step.READ
        try:
            self.owner.opening.show_session(session)
        except SpoolroomError:
            self.lesson, self.task, self._expected, self.sitting = before
            raise

    def _keep_answered(self) -> None:
        """Keep in mind a task that is explained and left, outside an exam."""
        if self.task is not None and self.task.step is Step.WHY and self.sitting is None:
            self._remember()
            if self._restored is not None:
                self._answered[self._restored.exercise] = self._restored

    def take(self, page: Page) -> None:
        """Build the pane on the page of a task's session; another session puts the lesson away."""
        self._leave_form()
        self.pane, self.shown_page = None, None
        remembered = self.stage.remembered
        remembered.lesson = remembered.task = ""
        actions = self.stage.actions
        if self.session is not self._expected or self.task is None:
            self.run = self.task = self.lesson = self.sitting = None
            self.controller.covers.lift()
            if self.file is not None and self._expected is not None:
                self.file.remove()
            self._expected = None
            self.owner.opening.recovery.stand_aside(False)
            page.bar.show_lesson(False)
            return
        self.owner.opening.recovery.stand_aside(True)  # where one is stands in a file of its own
        seed = self.task.posed.seed
        remembered.lesson, remembered.task = seed.lesson, seed.exercise
        self.pane = pane = LessonPane(page.beside, self.stage.ground, actions)
        pane.digit.connect(self._digit)
        self.connect(pane)
        if self._restored is not None:
            self._kept = bring_back(self.task, self._restored)
        self._cover()
        self.stage.open_pane(pane)
        page.bar.show_lesson(True, True)
        self.show(self.task.step)

    def connect(self, pane: LessonPane) -> None:
        """Let the buttons of a pane do what they say; to be extended."""

    def saw(self, what: str) -> None:
        """Take what was seen; to be extended."""

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
        exam, name = kept.exam, kept.exercise
        sitting = None if exam is None else Sitting(exam, self.controller.clock)
        if exam is not None and not exam.over and exam.done(name):  # it ended between one task and the next
            name, kept = exam.next(name), None
        attempt = kept.attempt if kept is not None else exam.numbers if exam is not None else 0
        if name in lesson.exercises and self._open(lesson, name, attempt, kept, sitting):
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
        typed = self._restored if step is Step.PREDICT else None
        pane.body.show_page(made.page)
        page = made.page
        if isinstance(page, PredictPage):
            page.form.said.connect(self.stage.tell)
            if isinstance(page.form, OnDrawing):
                page.form.walked.connect(pane.focus_page)
            page.changed.connect(self._show_reasons)
            if typed is not None:
                page.form.restore(typed.answer)
                page.choose_reason(typed.reason, typed.reason_words)
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
        wants = step in (Step.SEEN, Step.WHY), isinstance(self.form, HandsForm)
        if wants != (pane.wants_room, pane.works):
            pane.wants_room, pane.works = wants
            self.page.lay_out()
        pane.arrange()
        self._focus()
        self.keep()

    def _show_reasons(self) -> None:
        """Bring the reasons into sight once there is an answer, while there is no reason; or the line for one."""
        page, pane = self.shown_page, self.pane
        if not isinstance(page, PredictPage) or pane is None or page.reasons is None:
            return
        reasons, body = page.reasons, pane.body
        if not page.reason:
            body.ensureWidgetVisible(reasons, 0, 0)
        elif reasons.line.isVisible():
            body.keep_in_sight(reasons.line)

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
        show_standing(pane, task, lesson, self.shown, self._done, led, self.session.running, self.sitting)
        page = self.shown_page
        pane.go.setAccessibleDescription("" if page is None else page.accessibleDescription())  # read with the button

    def _hands(self) -> Hands:
        rig = self.owner.rig
        return Hands(lambda: self.session, self.page.dials.dial, lambda: rig.changes.loose, rig.show_part)

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
        answer: State = ""
        reason = words = ""
        if isinstance(page, PredictPage) and self.form is page.form:
            answer, reason, words = page.form.state, page.reason, page.reason_words
        elif self._restored is not None:
            answer, reason, words = self._restored.answer, self._restored.reason, self._restored.reason_words
        self._restored = KeptTask(
            seed.lesson, seed.exercise, seed.seat, seed.attempt, int(task.step), task.hints, answer, reason,
            task.seen.said, task.uncovered, task.seconds, self._kept, words,
            None if self.sitting is None else self.sitting.kept(),
        )  # fmt: skip

    def keep_typed(self) -> None:
        """Keep what is typed, where it is another than before; let a run that was frozen be gone on from."""
        pane, task, lesson, led = self.pane, self.task, self.lesson, self.run is not None and not self.run.by_hand
        if pane and task and lesson and led and pane.go.isEnabled() is self.session.running:
            self._show_lesson(pane, task, lesson)
        if pane and task and self.sitting is not None:
            pane.exam.show_sitting(self.sitting, task.posed.exercise.id)
        if isinstance(self.shown_page, PredictPage) and self.form is not None:
            self.keep()

    def keep(self) -> None:
        """Write where the task stands into the file."""
        self._remember()
        if self.file is not None and self._restored is not None:
            self.file.write(self._restored)

    # -- the window ----------------------------------------------------------------------------------------------

    def _digit(self, number: int) -> None:
        if self.shown_page is not None:
            self.shown_page.digit(number)

    def new_look(self) -> None:
        """Show words and numbers in the present units."""
        if self.task is not None and self.pane is not None:
            self.task.system = self.stage.look.system
            self.show(self.shown)
