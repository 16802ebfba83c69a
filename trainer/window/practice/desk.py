"""Runs lever practice: shows the ladder, opens a rung on a rig of its own, follows it, shows what came of it."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime

from PySide6.QtCore import Qt
from PySide6.QtGui import QGuiApplication

from trainer.engine.readings import Readings
from trainer.engine.session import Session
from trainer.errors import SpoolroomError
from trainer.files import reason
from trainer.language import tr
from trainer.lessons.readings import NoReading
from trainer.lessons.running import set_then
from trainer.practice import file
from trainer.practice.attempt import Attempt, State, session_of
from trainer.practice.kept import Book, Done, done_of, usual_folder
from trainer.practice.ladder import Ladder
from trainer.practice.score import Score
from trainer.practice.task import Task
from trainer.window.board.rack_view import RackView
from trainer.window.practice.before import Before
from trainer.window.practice.card import Card
from trainer.window.practice.card_screen import CardScreen
from trainer.window.practice.ladder_screen import LadderScreen
from trainer.window.practice.ladder_side import due_now
from trainer.window.practice.live import Live
from trainer.window.practice.replay import ReplayScreen
from trainer.window.practice.run_screen import RunScreen
from trainer.window.practice.sheets import Sheets
from trainer.window.practice.views import Owner
from trainer.window.session.screen import Screen, come_back_to
from trainer.window.session.stage import Stage

__all__ = ["PracticeDesk"]

_TESTS = 2  # attempts at each rung of a test


class PracticeDesk:
    """``live`` is the attempt that is under way, or was last, ``card`` what came of it; ``now`` tells the time."""

    def __init__(self, owner: Owner) -> None:
        self.owner = owner
        self.now: Callable[[], datetime] = lambda: datetime.now().astimezone()
        self.book = Book(usual_folder())
        self.sheets = Sheets(self)
        self.live: Live | None = None
        self.card: Card | None = None
        self.before: Before | None = None
        self.ladder_screen: LadderScreen | None = None
        self.run: RunScreen | None = None
        self.card_screen: CardScreen | None = None
        self.replay: ReplayScreen | None = None
        self._tasks: list[Task] = []
        self._expected: Session | None = None
        self._aside = False  # whether nothing of what is open is kept to be recovered
        self._came: Screen | None = None  # from where the ladder was asked for
        self._changing = False  # between two screens of practice: nothing is given up
        self._chosen = ""
        self._tests: dict[str, int] = {}  # attempts of today's test, by task
        self._testing = False
        self._told = False

    # -- what there is -----------------------------------------------------------------------------------------

    @property
    def seat(self) -> int:
        """The seat that is in use."""
        return self.owner.stage.remembered.seat

    @property
    def stage(self) -> Stage:
        """Where all of it is shown."""
        return self.owner.stage

    @property
    def tasks(self) -> list[Task]:
        """All rungs. Raises RigError for one with a fault."""
        if not self._tasks:
            QGuiApplication.setOverrideCursor(Qt.CursorShape.WaitCursor)
            try:
                self._tasks = file.ladder()
            finally:
                QGuiApplication.restoreOverrideCursor()
        return self._tasks

    def ladder(self) -> Ladder:
        """Return where the seat stands now."""
        return Ladder(self.tasks, self.book.all(self.seat), self.now().date())

    def task(self, id_: str) -> Task | None:
        """Return a rung by its id."""
        return next((task for task in self.tasks if task.id == id_), None)

    @property
    def screens(self) -> tuple[Screen | None, ...]:
        """All screens of practice that there are."""
        return self.ladder_screen, self.run, self.card_screen, self.replay

    # -- the ladder --------------------------------------------------------------------------------------------

    def change_screen(self) -> None:
        """Show the ladder, or go back to the board; from anywhere else in practice to the ladder."""
        stage = self.owner.stage
        if stage.screen is not None and stage.screen is self.ladder_screen:
            self.leave()
        else:
            self.show_ladder()

    def show_ladder(self, chosen: str = "", words: str = "") -> None:
        """Show the ladder, a rung marked; and at its foot some words."""
        stage = self.owner.stage
        try:
            ladder = self.ladder()
        except SpoolroomError as error:
            stage.tell(str(error))
            return
        self.end()
        if self.ladder_screen is None:
            self.ladder_screen = screen = LadderScreen(stage.look, stage.room)
            screen.left.connect(self.leave)
            screen.started.connect(self.start)
            screen.test_asked.connect(self.start_test)
            screen.table_asked.connect(self.sheets.export_all)
            screen.deleted.connect(self.delete)
        screen = self.ladder_screen
        screen.fill(ladder, self.seat, chosen or self._chosen)
        self._show(screen)
        screen.say(" ".join(filter(None, (words, *self.book.notices))))
        screen.take_look()
        screen.list.setFocus(Qt.FocusReason.TabFocusReason)

    def _show(self, screen: Screen) -> None:
        shown = self.owner.stage.screen
        if shown is not screen:
            if shown is None or shown.returns:
                self._came = shown
            self._changing = True
            try:
                self.owner.stage.show_screen(screen)
            finally:
                self._changing = False
        self.owner.controller.wake()

    def leave(self) -> None:
        """Go back to the board, with the rig that was open before practice."""
        self.end()
        owner, before = self.owner, self.before
        self.before = self.live = self.card = self._expected = None
        self._testing = False
        if before is None:
            owner.stage.show_screen(come_back_to(self._came))
            return
        QGuiApplication.setOverrideCursor(Qt.CursorShape.WaitCursor)
        try:
            before.bring_back(owner.controller, owner.opening, owner.lesson)
        except SpoolroomError as error:
            owner.stage.show_screen(None)
            owner.stage.tell(str(error))
        finally:
            QGuiApplication.restoreOverrideCursor()

    # -- starting ----------------------------------------------------------------------------------------------

    def start(self, id_: str, aid: str = "") -> bool:
        """Begin an attempt at a rung, with the aid that is offered where none is named; return whether it can be."""
        task = self.task(id_)
        if task is None:
            return False
        if task.retention:
            return self.start_test()
        if not task.runs:
            if self.ladder_screen is not None:
                self.ladder_screen.say(tr(task.waits))
            return False
        self._chosen = id_
        self._testing = False
        return self._open(task, aid or self.ladder().standing(task).aid)

    def start_test(self) -> bool:
        """Begin the test of what is due today, or go on with it; return whether there is any."""
        ladder = self.ladder()
        for task in due_now(ladder):
            if self._tests.get(task.id, 0) < _TESTS:
                self._testing = True
                self._chosen = task.id
                return self._open(task, task.aids[-1], self._tests.get(task.id, 0) + 1)
        self._testing = False
        self._tests.clear()
        return False

    def _open(self, task: Task, aid: str, test: int = 0) -> bool:
        """Stand at the beginning of a task."""
        self.end()
        ladder = self.ladder()
        number = len(ladder.tried(task)) + 1
        best = ladder.best(task)
        best_number = ladder.number(task, best)
        ghost = self.book.ghost(task, self.seat) if best is not None else []
        live = Live(task, Attempt(task, self.seat, number), number, aid, best, best_number, ghost, test)
        self.card = None
        return self._stand(live)

    def _stand(self, live: Live) -> bool:
        """Stand at the beginning of a lap, on the session that is shown where it fits, else on another one."""
        owner, task, lap = self.owner, live.task, live.attempt.lap
        QGuiApplication.setOverrideCursor(Qt.CursorShape.WaitCursor)
        try:
            if not live.sessions and self._fits(task, live):
                self.live = live
                live.sessions.append(owner.session)
                owner.controller.reset()
                set_then(owner.session, lap.run)
                owner.controller.operator.take(owner.session)
            else:
                session = session_of(task, lap, owner.controller.kept)
                self._take_session(session)
                self.live = live
                live.sessions.append(session)
            self._watch()
            live.attempt.take(owner.session.readings)
        except (SpoolroomError, NoReading) as error:
            self.tell(str(error))
            return False
        finally:
            QGuiApplication.restoreOverrideCursor()
        self._show_run()
        return True

    def _fits(self, task: Task, live: Live) -> bool:
        """Whether the session that is shown is of this task's only lap, unchanged."""
        before, session = self.live, self.owner.session
        return (
            before is not None and before.task is task and len(task.laps) == 1 and session is self._expected
            and session is before.sessions[-1] and not session.machine.changed() and live.attempt.lap is task.laps[0]
        )  # fmt: skip

    def _take_session(self, session: Session) -> None:
        """Show another session; what was open before is remembered, to come back."""
        owner = self.owner
        if self.before is None:
            self.before = Before.of(owner.controller, owner.opening, owner.lesson, owner.stage)
        self._expected, expected = session, self._expected
        self._changing = True
        try:
            owner.controller.replace(session)
        except SpoolroomError:
            self._expected = expected
            raise
        finally:
            self._changing = False
        owner.controller.marks.clear()
        owner.stage.forget_words()

    def take(self) -> None:
        """Take a new page: the screens that there were are gone; a session of somebody else puts practice away."""
        self.ladder_screen = self.run = self.card_screen = self.replay = None
        recovery = self.owner.opening.recovery
        ours = self._expected is not None and self.owner.session is self._expected
        if ours or self._aside:
            recovery.stand_aside(ours)  # what was open is kept in a file of its own
            self._aside = ours
        if not ours:
            self.live = self.card = self._expected = None
            self.before = None

    def _watch(self) -> None:
        """Have the attempt fed with the instants that a fast clock passes over, too."""
        session, before = self.owner.session, self.owner.session.watch
        if getattr(before, "practice", False):
            return

        def seen(live: Readings) -> None:
            if before is not None:
                before(live)
            self._feed(live)

        seen.practice = True  # type: ignore[attr-defined]  # so that it is not put round itself
        session.watch = seen

    def _board_rack(self) -> RackView:
        """Return the board's rack as it stands at the size that there is now, though the board is not seen."""
        self.owner.page.stand_at(self.owner.stage.room.size())
        return self.owner.page.rack

    def _show_run(self) -> None:
        owner, live, page, stage = self.owner, self.live, self.owner.page, self.owner.stage
        assert live is not None
        if self.run is not None:
            self.run.deleteLater()
        self.run = run = RunScreen(
            stage.look, live, owner.session, owner.controller.operator, page.needles,
            page.drawing.scene.pressure_step, self._board_rack, stage.actions, stage.room,
        )  # fmt: skip
        run.sticks = owner.sticks
        run.asked.connect(self._asked_of_run)
        run.left.connect(self._to_ladder)
        run.gone.connect(self._gone)
        run.head.aid_asked.connect(self.choose_aid)
        run.rack.levers_moved.connect(owner.controller.move_hands)
        self._show(run)
        self._put_replay_away()
        run.lay_out()
        run.setFocus(Qt.FocusReason.OtherFocusReason)

    def _put_replay_away(self) -> None:
        """Forget the replay of what was run before: its session may be run anew, and no look is to lead it back."""
        if self.replay is not None:
            self.replay.deleteLater()
            self.replay = None

    # -- the attempt -------------------------------------------------------------------------------------------

    def given(self, given: list[str]) -> None:
        """Take that hands have moved something: the first lever lets the clock run."""
        live, run = self.live, self.run
        if live is None or run is None or self.owner.stage.screen is not run:
            return
        run.show_hands(given)
        levers = self.owner.controller.operator.levers
        moved = any(name in levers and levers[name].in_hand and abs(levers[name].value) > 1e-3 for name in given)
        if moved and not live.over and not self.owner.session.running:
            self._let_run()

    def _let_run(self) -> None:
        live, run = self.live, self.run
        if live is None or run is None or live.over or live.attempt.state is State.LAP_DONE:
            return
        self.owner.controller.run(True)
        run.focus_lever()
        run.show_state()

    def _feed(self, now: Readings) -> None:
        live = self.live
        if live is not None and not live.over and self.owner.session is live.session:
            live.feed(now)

    def show_instant(self, now: Readings, seconds: float) -> None:
        """Follow the attempt; end it where it is over."""
        live, run = self.live, self.run
        if live is None or run is None or self.owner.stage.screen is not run or live.recorded:
            return
        before = live.attempt.state
        self._feed(now)
        live.count_picture(seconds)
        run.show_attempt(now, seconds)
        state = live.attempt.state
        if state is State.LAP_DONE:
            self._next_lap()
        elif state.over:
            self._finish()
        elif state is not before:
            run.show_aid()
            run.show_state()

    def _next_lap(self) -> None:
        live = self.live
        assert live is not None
        self.owner.controller.run(False)
        live.attempt.next_lap()
        self._stand(live)

    def stop(self) -> None:
        """End the attempt by hand; it does not count."""
        live = self.live
        if live is not None and not live.over and live.attempt.begun:
            live.attempt.stop()
            self._finish()

    def end(self) -> None:
        """Give up what is under way: recorded where it had begun; nothing is shown of it."""
        live = self.live
        if live is not None and not live.over:
            self.owner.controller.run(False)
            if live.attempt.begun:
                live.attempt.stop()
                self._record()
            else:
                self.live = None

    def _gone(self) -> None:
        """Something else is shown over the run: what is under way is given up, what has not begun waits."""
        live, run = self.live, self.run
        if self._changing or live is None or run is None:
            return
        if live.attempt.begun:
            self.end()
        self.owner.controller.run(False)
        run.show_aid()
        run.show_state()

    def _finish(self) -> None:
        """Freeze, keep what came of it, and show it."""
        live = self.live
        assert live is not None
        self.owner.controller.run(False)
        self.owner.controller.operator.let_go()
        done = self._record()
        if live.attempt.state is State.DONE and live.attempt.traces:
            self.card = Card(
                live.task, live.attempt, Score.of(live.attempt), done, live.number, self.ladder(), live.before,
                live.best_number, live.ghost, live.session,
            )  # fmt: skip
            self._show_card()
        elif self.run is not None:
            self.run.show_aid()
            self.run.show_state()

    def _record(self) -> Done:
        """Keep an attempt, once."""
        live = self.live
        assert live is not None
        score = Score.of(live.attempt)
        done = done_of(live.attempt, score, self.now(), self.seat, live.aid, bool(live.test))
        if live.recorded:
            return done
        live.recorded = True
        if live.test:
            self._tests[live.task.id] = live.test
        try:
            self.book.add(live.task, done, live.attempt.traces)
        except OSError as error:
            if not self._told:
                self._told = True
                self.tell(tr("Attempts cannot be kept ({reason}). Practice goes on.").format(reason=reason(error)))
        return done

    def choose_aid(self, aid: str) -> None:
        """Take another aid for the next attempt, or for this one while it has not begun."""
        live = self.live
        if live is None or live.test or aid not in live.task.aids:
            return
        if self.run is not None and self.owner.stage.screen is self.run and not live.attempt.begun:
            live.aid = aid
            self.run.show_aid()
            self.run.show_state()
        elif live.over:
            self._open(live.task, aid)

    # -- what is asked for -------------------------------------------------------------------------------------

    def _asked_of_run(self, name: str) -> None:
        live = self.live
        if live is None:
            return
        if name == "reset" or (name == "enter" and live.over):
            self.again()
        elif name == "run" and live.over:
            self.see_it_run()
        elif name == "stop" or (name == "run" and live.attempt.begun):
            self.stop()
        elif name in ("enter", "run"):
            self._let_run()

    def again(self) -> None:
        """Begin the same task again, with the aid that is offered now unless another one was chosen."""
        live = self.live
        if live is None:
            return
        if live.test:
            self.end()
            self._next_test()
            return
        before = self.card.done.aid if self.card is not None else live.aid
        standing = self.ladder().standing(live.task)
        moved = self.card is not None and bool(standing.moved)
        self._open(live.task, standing.aid if moved else before)

    def _next_test(self) -> None:
        live = self.live
        task = live.task if live is not None else None
        if task is not None and self.ladder().standing(task).due is None:
            self._tests[task.id] = _TESTS
        if not self.start_test():
            self.show_ladder(words=tr("The retention test is over."))

    def _to_ladder(self) -> None:
        live = self.live
        self.show_ladder(live.task.id if live is not None else "")

    # -- the card ----------------------------------------------------------------------------------------------

    def _show_card(self) -> None:
        owner, card, live = self.owner, self.card, self.live
        assert card is not None
        assert live is not None
        if self.card_screen is not None:
            self.card_screen.deleteLater()
        self.card_screen = screen = CardScreen(
            owner.stage.look, card, self._next_words(), owner.stage.actions, owner.stage.room
        )
        screen.asked.connect(self._asked_of_card)
        screen.left.connect(self._to_ladder)
        screen.head.aid_asked.connect(self.choose_aid)
        why = tr("A retention test is without any aid.") if live.test else ""
        standing = card.ladder.standing(card.task)
        screen.head.show_aids(card.task.aids, live.aid if live.test or not standing.moved else standing.aid, why)
        screen.head.show_state(False, True)
        told = tr("{code} · attempt {number}").format(code=card.task.code, number=card.number)
        screen.head.show_time(told, card.attempt.seconds)
        self._show(screen)
        screen.lay_out()
        screen.setFocus(Qt.FocusReason.OtherFocusReason)

    def _next_words(self) -> str:
        """Return what Enter does after a test, "" for the same once more."""
        live = self.live
        if live is None or not live.test:
            return ""
        ladder = self.ladder()
        if ladder.standing(live.task).due is not None and live.test < _TESTS:
            return tr("Second attempt")
        rest = [task for task in due_now(ladder) if self._tests.get(task.id, 0) < _TESTS and task.id != live.task.id]
        return tr("Next: {code}").format(code=rest[0].code) if rest else tr("To the ladder")

    def _asked_of_card(self, name: str) -> None:
        done = {
            "enter": self.again, "reset": self.again, "run": self.see_it_run, "picture": self.sheets.print_card,
            "export": self.sheets.export,
        }  # fmt: skip
        if name in done:
            done[name]()
        elif name == "runs" and self.card_screen is not None:
            self.card_screen.change_beside()

    def see_it_run(self) -> None:
        """Show any instant of the attempt again."""
        live, owner = self.live, self.owner
        if live is None or not live.over or not live.attempt.traces:
            return
        self._put_replay_away()
        stage = owner.stage
        self.replay = screen = ReplayScreen(
            stage.look, live, owner.page.drawing.scene.pressure_step, self._board_rack, stage.actions,
            stage.room, owner.controller.clock,
        )  # fmt: skip
        screen.left.connect(self._from_replay)
        screen.head.ladder_asked.disconnect()
        screen.head.ladder_asked.connect(self._to_ladder)
        screen.asked.connect(lambda name: self.again() if name == "reset" else None)
        self._show(screen)
        screen.lay_out()
        screen.setFocus(Qt.FocusReason.OtherFocusReason)

    def _from_replay(self) -> None:
        if self.card is not None:
            self._show_card()
        elif self.run is not None:
            self._show(self.run)
            self.run.setFocus(Qt.FocusReason.OtherFocusReason)
        else:
            self._to_ladder()

    # -- what is kept ------------------------------------------------------------------------------------------

    def delete(self) -> None:
        """Delete all attempts of this seat for good."""
        try:
            gone = self.book.forget(self.seat)
        except OSError as error:
            self.tell(tr("They cannot be deleted ({reason}).").format(reason=reason(error)))
            return
        self.show_ladder(words=tr("{count} attempts are deleted.").format(count=gone))

    def tell(self, words: str) -> None:
        """Say something on the screen that is shown."""
        shown = self.owner.stage.screen
        if isinstance(shown, LadderScreen | CardScreen):
            shown.say(words)
        else:
            self.owner.stage.tell(words)

    # -- the window --------------------------------------------------------------------------------------------

    def show_figures(self) -> None:
        """Print the figures of a run."""
        run, shown = self.run, self.owner.stage.screen
        if run is not None and shown is run:
            run.say(self.owner.says())
            run.take_figures(self.owner.caption())
        elif self.replay is not None and shown is self.replay:
            self.replay.take_figures("")

    def new_look(self) -> None:
        """Take other colours and units."""
        shown = self.owner.stage.screen
        if self.ladder_screen is not None and shown is self.ladder_screen:
            self.ladder_screen.fill(self.ladder(), self.seat, self.ladder_screen.list.key)
            self.ladder_screen.take_look()
        for screen in (self.run, self.card_screen, self.replay):
            if screen is not None:
                screen.new_look()

    def close(self) -> None:
        """Record what is under way."""
        self.end()
