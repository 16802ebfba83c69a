"""Shows the lessons, starts them, and keeps, exports and deletes what was answered."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime
from pathlib import Path
from typing import Protocol

from PySide6.QtCore import Qt, QUrl
from PySide6.QtGui import QDesktopServices, QGuiApplication
from PySide6.QtWidgets import QFileDialog

from trainer import files
from trainer.errors import SpoolroomError
from trainer.language import tr, trn
from trainer.lessons import answers
from trainer.lessons.attempts import Attempt, AttemptFile, Attempts, usual_place
from trainer.lessons.readiness import Next, OutcomeState, next_task, progress, readiness
from trainer.lessons.shelf import Shelf, own_folder, shelf
from trainer.window.controls.plain_page import PlainPage
from trainer.window.lessons_list.readiness_page import OutcomeItem
from trainer.window.lessons_list.screen import LessonsScreen
from trainer.window.lessons_list.side import Bar, Wanted
from trainer.window.lessons_list.words import DEPTH_WORDS, minutes_words, state_words, why_next
from trainer.window.opening.file_faults import FaultReports
from trainer.window.painting.paper import table_pdf
from trainer.window.session.screen import Screen, come_back_to
from trainer.window.session.stage import Stage

__all__ = ["FIRST", "Lessons", "LessonsDesk"]

FIRST = "01-five-minutes-at-the-bench"  # for whoever has never seen a schematic


class Lessons(Protocol):
    """What opens a lesson."""

    def open_lesson(self, lesson_id: str, task_id: str | None = None, seat: int | None = None) -> object:
        """Open a lesson at a task, the first where none is said, with the numbers of a seat."""

    def open_exam(self, lesson_id: str, depth: int = 0, seat: int | None = None) -> object:
        """Begin an exam of a lesson, or of one of its depths, with numbers of a seat."""


class LessonsDesk:
    """Shows the ``screen`` of the lessons. ``opens`` is what opens one; ``now`` says what time it is."""

    screen: LessonsScreen | None = None

    def __init__(
        self, stage: Stage, opens: Lessons, show_words: Callable[[], object] | None = None,
        show_practice: Callable[[], object] | None = None,
    ) -> None:  # fmt: skip
        self.stage, self.opens, self.show_words, self.show_practice = stage, opens, show_words, show_practice
        self.now: Callable[[], datetime] = lambda: datetime.now().astimezone()
        self.attempts: Attempts = AttemptFile(usual_place())
        self.faults = FaultReports(stage.look, stage.frame)
        self._shelf: Shelf | None = None
        self._before: Screen | None = None  # from where the lessons were asked for
        self._for: object = None

    # -- what there is -------------------------------------------------------------------------------------------

    @property
    def shelf(self) -> Shelf:
        """All lessons; read again where a file of one's own is another now."""
        own = own_folder()
        state = _state(own)
        if self._shelf is None or self._for != state:
            QGuiApplication.setOverrideCursor(Qt.CursorShape.WaitCursor)
            try:
                self._shelf, self._for = shelf(own), state
            finally:
                QGuiApplication.restoreOverrideCursor()
        return self._shelf

    @property
    def seat(self) -> int:
        """The seat that is in use."""
        return self.stage.remembered.seat

    def tried(self) -> list[Attempt]:
        """Return all attempts there are."""
        return list(self.attempts.all())

    # -- the list ------------------------------------------------------------------------------------------------

    def change_screen(self) -> None:
        """Show the lessons, or go back to the board, or to two rigs beside each other."""
        if self.screen is not None and self.stage.screen is self.screen:
            self.stage.show_screen(come_back_to(self._before))
        else:
            self.show_list()

    def show_list(self) -> None:
        """Show the list of lessons."""
        screen = self._screen()
        self._fill_list(screen)
        screen.say(" ".join(self.attempts.notices))
        self._show(screen.list)

    def _show(self, page: PlainPage) -> None:
        screen = self._screen()
        if self.stage.screen is not screen:
            self._before = self.stage.screen
            self.stage.show_screen(screen)
        screen.show_page(page)
        screen.take_look()

    def _screen(self) -> LessonsScreen:
        if self.screen is None:
            self.screen = screen = LessonsScreen(self.stage.look, self.stage.room)
            screen.left.connect(self.change_screen)
            screen.list.started.connect(self._started)
            screen.list.fault_asked.connect(self._show_fault)
            screen.list.folder_asked.connect(self.open_folder)
            screen.list.side.readiness_asked.connect(self.show_readiness)
            screen.list.side.answers_asked.connect(self.show_answers)
            screen.list.side.seat.taken.connect(self.take_seat)
            screen.list.side.seat.said.connect(screen.say)
            screen.list.glossary.clicked.connect(lambda: self.show_words and self.show_words())
            screen.list.glossary.follow(self.stage.actions["glossary"], click=False)
            screen.list.practice.clicked.connect(lambda: self.show_practice and self.show_practice())
            screen.list.practice.follow(self.stage.actions["practice"], click=False)
            screen.readiness.started.connect(self._start_step)
            screen.readiness.print_asked.connect(self.print_readiness)
            screen.answers.print_asked.connect(self.print_answers)
            screen.answers.export_asked.connect(self.export)
            screen.answers.deleted.connect(self.delete)
        return self.screen

    def _fill_list(self, screen: LessonsScreen) -> None:
        found, tried, now = self.shelf, self.tried(), self.now()
        states = progress(found.lessons, tried, self.seat, now)
        first = self._next(found, tried, now)
        rest = [lesson for lesson in found.lessons if first is None or lesson.id != first.lesson]
        then = next_task(rest, tried, self.seat, now)
        side = screen.list.side
        wanted = self._wanted(found, first, tried, now)
        screen.list.fill(found, states, now, own_folder(), first.lesson if first is not None else "")
        side.show_next(wanted, self._wanted(found, then, tried, now))
        side.show_bars(self._bars(readiness(found.lessons, found.outcomes, tried, self.seat, now)))
        side.seat.show_seat(self.seat)

    def _next(self, found: Shelf, tried: list[Attempt], now: datetime) -> Next | None:
        return next_task(found.lessons, tried, self.seat, now)

    def _wanted(self, found: Shelf, one: Next | None, tried: list[Attempt], now: datetime) -> Wanted | None:
        lesson = found.lesson(one.lesson) if one is not None else None
        if one is None or lesson is None:
            return None
        depth = tr(DEPTH_WORDS[lesson.exercises[one.exercise].depth])
        state = progress([lesson], tried, self.seat, now)[0]
        told = " · ".join((depth, why_next(one, state), minutes_words(state.minutes)))
        return Wanted(lesson.id, one.exercise, lesson.title, told)

    @staticmethod
    def _bars(states: list[OutcomeState]) -> list[Bar]:
        bars = []
        for state in states:
            if state.tasks:
                code = f"{state.outcome.code}  " if state.outcome.code else ""
                bars.append(
                    Bar(state.outcome.id, f"{code}{state.outcome.words}", state.tasks, state.right, state.due)
                )
        return bars

    def take_seat(self, seat: int) -> None:
        """Go on with the numbers, and the answers, of another seat."""
        self.stage.remembered.seat = seat
        screen = self._screen()
        screen.say("")
        self._fill_list(screen)

    # -- starting ------------------------------------------------------------------------------------------------

    def _started(self, lesson: str, task: str, depth: int) -> None:
        exam = self._screen().list.exam
        if not exam.isChecked():
            self.start(lesson, task, depth)
            return
        exam.setChecked(False)
        self.stage.show_screen(None)
        self.opens.open_exam(lesson, depth, self.seat)

    def start(self, lesson: str, task: str = "", depth: int = 0) -> None:
        """Open a lesson at a task; without one at the next of the lesson, or of one of its depths."""
        found = self.shelf.lesson(lesson)
        if found is None:
            self.stage.tell(tr("There is no lesson {lesson} any more.").format(lesson=lesson))
            return
        if not task:
            wanted = next_task([found], self.tried(), self.seat, self.now(), depth)
            of_depth = (id_ for id_, one in found.exercises.items() if depth in (0, one.depth))
            task = wanted.exercise if wanted is not None else next(of_depth, "")
        self.stage.show_screen(None)
        self.opens.open_lesson(lesson, task or None, self.seat)

    def start_learning(self) -> None:
        """Open the first lesson for a seat that has tried nothing, else show the list."""
        if any(one.seat == self.seat for one in self.tried()) or self.shelf.lesson(FIRST) is None:
            self.show_list()
        else:
            self.start(FIRST)

    def _show_fault(self, path: str) -> None:
        for faulty in self.shelf.faulty:
            if str(faulty.path) == path:
                self.faults.show(faulty.path.name, faulty.error, lesson=True)

    def open_folder(self) -> None:
        """Show the folder of one's own lessons, made where there is none, to whatever shows folders here."""
        folder, screen = own_folder(), self._screen()
        try:
            files.own_folder(folder)
        except OSError as error:
            screen.say(tr("{folder} cannot be made ({reason}).").format(folder=folder, reason=files.reason(error)))
            return
        shown = QDesktopServices.openUrl(QUrl.fromLocalFile(str(folder)))
        screen.say("" if shown else tr("Nothing here shows folders. Lessons go into {folder}").format(folder=folder))

    # -- readiness -----------------------------------------------------------------------------------------------

    def show_readiness(self) -> None:
        """Show for each outcome how ready one is."""
        screen = self._screen()
        found, now = self.shelf, self.now()
        tried = self.tried()
        self._steps = {
            state.outcome.id: state for state in readiness(found.lessons, found.outcomes, tried, self.seat, now)
        }
        screen.readiness.fill([self._item(found, state) for state in self._steps.values() if state.tasks])
        screen.say("")
        self._show(screen.readiness)

    @staticmethod
    def _item(found: Shelf, state: OutcomeState) -> OutcomeItem:
        lesson = found.lesson(state.next.lesson) if state.next is not None else None
        step = why = ""
        if lesson is not None and state.next is not None:
            one = lesson.exercises[state.next.exercise]
            step = tr("{lesson}, {depth}").format(lesson=lesson.title, depth=tr(DEPTH_WORDS[one.depth]))
            why = f"{why_next(state.next)} · {minutes_words(one.minutes)}"
        counted = later = ""
        if state.tried:
            counted = tr("{first} of {tried} right at first").format(first=state.first, tried=state.tried)
            later = tr("{later} right a day later").format(later=state.later)
        code = f"{state.outcome.code}  " if state.outcome.code else ""
        told = tr("{state}, {tried} of {tasks} tasks tried").format(
            state=state_words(state.state), tried=state.tried, tasks=state.tasks
        )
        return OutcomeItem(
            state.outcome.id,
            f"{code}{state.outcome.words}",
            inert=not step,
            state=told,
            ready=state.state == "ready",
            answers=state.answers,
            counted=counted,
            later=later,
            idea=found.idea(state.slip),
            step=step,
            why=why,
        )

    def _start_step(self, outcome: str) -> None:
        step = self._steps[outcome].next
        if step is not None:
            self.start(step.lesson, step.exercise)

    # -- the answers ---------------------------------------------------------------------------------------------

    def own_attempts(self) -> list[Attempt]:
        """Return the attempts of the seat in use."""
        return [one for one in self.tried() if one.seat == self.seat]

    def show_answers(self) -> None:
        """Show the answers of the seat as a table."""
        screen = self._screen()
        self._fill_answers(screen)
        screen.say(" ".join(self.attempts.notices))
        self._show(screen.answers)

    def _fill_answers(self, screen: LessonsScreen) -> None:
        table = answers.rows(self.own_attempts(), self.shelf, self.stage.look.system)
        screen.answers.fill(answers.columns(), table, self.seat, str(usual_place()))

    def export(self) -> None:
        """Ask for a file and write the answers into it as a table."""
        told = tr("answers-seat-{seat}.csv").format(seat=self.seat)
        path = self._file(tr("Write the answers as a table"), told, tr("Table (*.csv)"))
        if path is not None:
            self._write(path, answers.csv_text(self.own_attempts(), self.shelf, self.stage.look.system))

    def print_answers(self) -> None:
        """Ask for a file and write the table into it as it is for paper."""
        self._print(tr("Answers so far"), self._screen().answers.sheet, tr("answers-seat-{seat}.pdf"))

    def print_readiness(self) -> None:
        """Ask for a file and write how ready one is into it as it is for paper."""
        page = self._screen().readiness
        self._print(tr("Am I ready?"), page.sheet, tr("ready-seat-{seat}.pdf"), page.means.text(), page.only.text())

    def _print(
        self, title: str, sheet: Callable[[], tuple[list[str], list[list[str]]]], name: str, *notes: str
    ) -> None:
        path = self._file(tr("Write the page for paper"), name.format(seat=self.seat), tr("Paper (*.pdf)"))
        if path is not None:
            when = tr("seat {seat}, {when}").format(seat=self.seat, when=f"{self.now():%Y-%m-%d %H:%M}")
            self._write(path, table_pdf(title, (when, *notes), *sheet()))

    def _file(self, title: str, name: str, kind: str) -> Path | None:
        """Ask for a file to be written; None where none is wanted."""
        folder = self.stage.places.folder("answers")
        found, _ = QFileDialog.getSaveFileName(self.stage.frame, title, str(folder / name), kind)
        if not found:
            return None
        path = Path(found)
        return path if path.suffix else path.with_suffix(Path(name).suffix)

    def _write(self, path: Path, content: str | bytes) -> None:
        screen = self._screen()
        try:
            files.write(path, content)
        except OSError as error:
            screen.say(
                tr("{name} could not be written ({why}). Choose another folder.").format(
                    name=path.name, why=files.reason(error)
                )
            )
            return
        self.stage.places.went("answers", path)
        screen.say(tr("Written to {path}").format(path=path))

    def delete(self) -> None:
        """Delete the answers of the seat for good; it has been asked."""
        screen = self._screen()
        try:
            gone = self.attempts.forget(self.seat)
        except (OSError, SpoolroomError) as error:
            why = files.reason(error) if isinstance(error, OSError) else str(error)
            screen.say(tr("They could not be deleted ({why}). All are there still.").format(why=why))
            return
        self._fill_answers(screen)
        self._fill_list(screen)
        screen.say(trn("{gone} answer is deleted.", "{gone} answers are deleted.", gone).format(gone=gone))

    # -- the look ------------------------------------------------------------------------------------------------

    def new_look(self) -> None:
        """Take other colours."""
        if self.screen is not None and self.stage.screen is self.screen:
            if self.screen.page is self.screen.answers:
                self._fill_answers(self.screen)
            self.screen.take_look()


def _state(folder: Path) -> object:
    """Return what a folder holds, such that it is another thing when a file is added, changed or taken out."""
    try:
        return [(path.name, path.stat().st_mtime_ns) for path in sorted(folder.glob("*.toml"))]
    except OSError:
        return []
