"""Lever practice on the real window: a whole task by keys alone, what is kept and shown of it, what gives it up."""

from __future__ import annotations

import csv
import math
from collections.abc import Callable
from datetime import timedelta
from pathlib import Path

import msgspec
import pytest
from board_moves import FRAME, MakeBoard, pass_time, there
from cases import rungs
from practice_moves import CONTROL, NOW, Keys, again, desk_of, id_of, live_of, press, run_of, until
from PySide6.QtCore import QPointF, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QFileDialog
from pytestqt.qtbot import QtBot

from trainer.changing.recovery import read
from trainer.drawing.ledger_view import ledger_text
from trainer.drawing.shapes import Words
from trainer.practice.attempt import SLOW_PICTURE, Attempt, State
from trainer.practice.kept import Book, Done, conditions_of
from trainer.practice.score import Score
from trainer.practice.task import Task
from trainer.practice.telling import filled
from trainer.rig.rig import Rig
from trainer.units import System
from trainer.window.dials.presenter import DialsPresenter
from trainer.window.practice.card_screen import CardScreen
from trainer.window.practice.ladder_screen import LadderScreen
from trainer.window.practice.live import Live
from trainer.window.practice.replay import ReplayScreen
from trainer.window.practice.run_rack import RunLever
from trainer.window.practice.run_screen import RunScreen
from trainer.window.recovery.presenter import RecoveryPresenter
from trainer.window.rig.presenter import RigPresenter
from trainer.window.shell.window import BoardWindow

KEY, LEFT = Qt.Key, Qt.MouseButton.LeftButton


@pytest.fixture(autouse=True)
def home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A user's folder with nothing in it."""
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "data"))
    return tmp_path / "data"


def creep(window: BoardWindow) -> Callable[[], None]:
    """Return a hand at the keyboard that lets the weight creep: finely out, and held as soon as it moves."""
    keys = Keys(window)
    held = False

    def hand() -> None:
        nonlocal held
        attempt = live_of(window).attempt
        if held:
            return
        if attempt.values.get("v", 0.0) > 0.4e-3:
            press(window, KEY.Key_H)
            keys.hold(None)
            held = True
        else:
            keys.hold(KEY.Key_Q, fine=True)

    return hand


def made(task: Task, days: float, share: float, aid: str, seat: int = 1) -> Done:
    """Return an attempt of some days ago, at so many times the limit of a practised hand."""
    values = {id_: task.bands[id_].practised[0] * share for id_ in task.shown}
    band = "practised" if share <= 1 else "beyond"
    when = NOW - timedelta(days=days)
    return Done(when, task.id, seat, "done", aid, conditions_of(task), True, values, band, False, 20.0)


def test_a_whole_task_by_keys(
    board: BoardWindow, qtbot: QtBot, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """From the board to the ladder, through a task, to its card, its files, any instant of it, and back."""
    title, session = board.session.rig.title, board.session
    desk = desk_of(board)
    QTest.keyClick(board, KEY.Key_L, CONTROL)
    ladder = board.stage.screen
    assert isinstance(ladder, LadderScreen)
    assert ladder.list.key == id_of(desk, "E1")
    press(board, KEY.Key_Return)

    run, live = run_of(board), live_of(board)
    assert board.stage.screen is run
    assert not run.cautions.isHidden()
    assert not board.session.running
    until(board, lambda: live.attempt.state is State.RUNNING, creep(board))
    assert run.cautions.isHidden()
    hand = creep(board)
    until(board, lambda: live.over, hand)
    assert live.attempt.state is State.DONE

    # what is shown is what practice itself makes of the same run
    card = board.stage.screen
    assert isinstance(card, CardScreen)
    score, by_itself = Score.of(live.attempt), Score.of(again(live))
    assert score.values == pytest.approx(by_itself.values, rel=1e-9)
    shapes = [*card.body.canvas.still(), *(shape for row in card.rows for shape in row.canvas.still())]
    texts = {shape.text for shape in shapes if isinstance(shape, Words)}
    for id_ in score.task.shown:
        figure, _, unit = score.one(id_).told(System.METRIC).partition(" ")
        assert {figure, unit} - {""} <= texts, id_
    for one in score.others[: len(card.rows)]:
        assert one.told(System.METRIC) in texts, one.id
    assert card.card.headline(System.METRIC) in texts
    assert [done.task for done in desk.book.all(desk.seat)] == [live.task.id]

    # a row is swapped in by the keyboard
    first = card.rows[0]
    first.setFocus(Qt.FocusReason.TabFocusReason)
    press(board, KEY.Key_Return)
    assert first.measure in card.card.shown
    assert live.task.shown[0] in [*card.card.shown, *card.card.others]
    card.setFocus()

    # onto paper, into a table
    for key, name in ((KEY.Key_P, "card.pdf"), (KEY.Key_E, "traces.csv")):
        path = tmp_path / name
        monkeypatch.setattr(QFileDialog, "getSaveFileName", lambda *_, path=path: (str(path), ""))
        press(board, key, CONTROL)
        assert path.read_bytes()[:4] == b"%PDF" if name.endswith("pdf") else path.exists()
    with (tmp_path / "traces.csv").open() as opened:
        rows = list(csv.reader(opened))
    assert rows[0][:2] == ["lap", "time [s]"]
    assert float(rows[len(live.attempt.traces[0])][1]) == pytest.approx(live.attempt.seconds, abs=1e-3)

    # any instant of it
    press(board, KEY.Key_Space)
    replay = board.stage.screen
    assert isinstance(replay, ReplayScreen)
    press(board, KEY.Key_End)
    assert replay.seconds == pytest.approx(replay.until)
    lever = live.attempt.traces[0].levers["1V1.lever"]
    for seconds in (0.5, replay.until):
        replay.show_at(seconds)
        k = int((live.attempt.traces[0].times <= replay.seconds + 1e-6).sum()) - 1
        assert replay.operator.levers["1V1.lever"].value == pytest.approx(float(lever[k]), abs=0.02)
    replay.show_view("books")
    books = there(replay.books)
    assert replay.drawing.isVisible()
    assert books.strip.record.series.end == pytest.approx(replay.begin + replay.until)
    replay.show_at(0.5)
    assert books.strip.record.now == replay.session.time
    power = ledger_text(books.book.power.ledger(replay.session.readings), System.METRIC, small=True)
    assert books.power.text.total == power.total
    for view, drawn in (("circuit", True), ("machine", False), ("books", True)):
        replay.view_buttons[view].click()
        assert (replay.drawing.isVisible(), books.isVisible()) == (drawn, view == "books")
    press(board, KEY.Key_Escape)
    assert isinstance(board.stage.screen, CardScreen)

    # once more, given up; and back to what was open before
    press(board, KEY.Key_Return)
    assert live_of(board).number == 2
    assert board.session is live.session
    assert board.session.time == 0.0
    press(board, KEY.Key_Escape)
    ladder = board.stage.screen
    assert isinstance(ladder, LadderScreen)
    assert there(ladder.list.item).attempts == 1
    press(board, KEY.Key_Escape)
    assert board.stage.screen is None
    assert board.session is session
    assert board.session.rig.title == title


def test_what_was_open_comes_back_as_it_was(board: BoardWindow) -> None:
    session, desk = board.session, desk_of(board)
    board.session.set_parameter("0V1.setting", 44e5)
    pass_time(board, 0.2)
    board.marks.append((0.3, "A"))
    time = board.session.time
    assert desk.start(id_of(desk, "E1"))
    assert board.session is not session
    assert board.session.asked("0V1.setting") != 44e5
    desk.leave()
    assert board.session is session
    assert board.session.time == time
    assert board.marks == [(0.3, "A")]
    assert board.session.asked("0V1.setting") == 44e5
    assert board.stage.screen is None


def test_stopped_by_hand_it_does_not_count(board: BoardWindow) -> None:
    desk = desk_of(board)
    desk.start(id_of(desk, "E1"))
    live = live_of(board)
    press(board, KEY.Key_Return)  # it begins without a lever, and its clock with the first one
    assert board.session.running
    pass_time(board, 0.2)
    assert not live.attempt.begun
    QTest.keyPress(run_of(board), KEY.Key_Q)
    until(board, lambda: live.attempt.state is State.RUNNING)
    QTest.keyRelease(run_of(board), KEY.Key_Q)
    press(board, KEY.Key_Space)
    run = run_of(board)
    assert board.stage.screen is run
    assert live.attempt.state is State.STOPPED
    assert not board.session.running
    assert "does not count" in run.told.sentence
    assert run.told.under.startswith("Nothing is measured")
    assert [text for text, *_ in there(run.laps).canvas.texts()].count("none") == 3
    (kept,) = desk.book.all(desk.seat)
    assert not kept.counts
    assert not kept.values
    press(board, KEY.Key_Return)
    assert live_of(board).number == 2
    assert live_of(board).attempt.state is State.READY


def test_a_gauge_taken_off_during_a_run_is_no_longer_shown(board: BoardWindow) -> None:
    """By whatever way: the run goes on without it, and shows it once it is fitted again."""
    desk, dials = desk_of(board), board.presenter(DialsPresenter)
    desk.start(id_of(desk, "E1"))
    run = run_of(board)
    gauge = there(run.dial).instrument
    while run.dial is not None:
        dials.take_off(run.dial.instrument.name)
    board.print_figures()
    pass_time(board, 0.1)
    dials.want(gauge)
    board.print_figures()
    assert there(run.dial).instrument == gauge
    assert there(run.dial).isVisible()


def test_the_axes_of_a_run_follow_its_curve(board: BoardWindow) -> None:
    """What is painted is what would be painted anew, past the ends of the first axes."""
    desk = desk_of(board)
    desk.start(id_of(desk, "E1"))
    attempt, laps = live_of(board).attempt, there(run_of(board).laps)
    attempt.state, attempt._begin = State.RUNNING, 0.0
    for seconds, speed, last in ((1.0, 1e-3, "10 s"), (9.0, 7e-3, "10 s"), (16.0, 1e-3, "20 s")):
        attempt._now = seconds
        attempt.values = {"v": speed}
        laps.take(0.0)
        painted = laps.grab().toImage()
        assert last in {text for text, *_ in laps.canvas.texts()}
        laps.canvas.forget()
        assert painted == laps.grab().toImage(), seconds


def test_a_letter_moves_its_lever_though_a_number_is_being_written(board: BoardWindow) -> None:
    """Enter goes on with the run; a number that is begun is given up at the first letter of a lever."""
    desk = desk_of(board)
    desk.start(id_of(desk, "E1"))
    lever = run_of(board).rack.levers["1V1.lever"]
    press(board, KEY.Key_Return)
    assert board.session.running
    assert QApplication.focusWidget() is lever
    press(board, KEY.Key_Return)
    assert lever.entry is None
    press(board, KEY.Key_4)
    entry = there(QApplication.focusWidget())
    assert entry.objectName() == "number"
    QTest.keyPress(entry, KEY.Key_Q)
    assert lever.entry is None
    pass_time(board, 0.1)
    assert lever.motion.value > 0.0
    QTest.keyRelease(there(QApplication.focusWidget()), KEY.Key_Q)
    pass_time(board, 0.3)
    assert lever.motion.value == 0.0
    press(board, KEY.Key_4)
    press(board, KEY.Key_Return)
    assert lever.motion.value == pytest.approx(0.04)


def test_other_units_during_a_run_after_a_replay_leave_its_time(board: BoardWindow) -> None:
    """The replay stands on the session that is run again: whatever shows it anew must not lead that back."""
    desk = desk_of(board)
    desk.start(id_of(desk, "E1"))
    QTest.keyPress(run_of(board), KEY.Key_Q)
    pass_time(board, 0.3)
    QTest.keyRelease(run_of(board), KEY.Key_Q)
    desk.stop()
    desk.see_it_run()
    there(desk.replay).show_at(0.1)
    press(board, KEY.Key_Home, CONTROL)
    QTest.keyPress(run_of(board), KEY.Key_Q)
    pass_time(board, 0.3)
    time, running = board.session.time, board.session.running
    board.stage.actions["units"].trigger()
    assert (board.session.time, board.session.running) == (time, running)
    assert time == pytest.approx(0.3, abs=0.05)
    assert running
    QTest.keyRelease(run_of(board), KEY.Key_Q)


@pytest.mark.soak
def test_another_speed_of_the_clock_is_practised_and_not_scored(board: BoardWindow) -> None:
    desk = desk_of(board)
    desk.start(id_of(desk, "E1"))
    live = live_of(board)
    board.set_speed(0.5)
    QTest.keyPress(run_of(board), KEY.Key_Q)
    until(board, lambda: live.attempt.state is State.RUNNING)
    pass_time(board, 0.1)
    QTest.keyRelease(run_of(board), KEY.Key_Q)
    assert "not scored" in run_of(board).told.under
    assert "not scored" in live.attempt.unscored


def test_late_pictures_do_not_count() -> None:
    task = rungs()[0]
    for rate, spoilt in ((60.0, False), (51.0, False), (40.0, True)):
        live = Live(task, Attempt(task), 1, "path")
        live.attempt.state = State.RUNNING
        for _ in range(100):
            live.count_picture(1 / rate)
        assert (live.attempt.unscored == SLOW_PICTURE) is spoilt, rate


@pytest.mark.soak
def test_the_test_of_the_next_day_is_without_aids(board: BoardWindow) -> None:
    desk = desk_of(board)
    for task in desk.tasks:
        for k, aid in enumerate(("path", "path", "target", "target", "gauge", "gauge", "none", "none")):
            if task.code in ("E1", "E8"):
                desk.book.add(task, made(task, 1.0 - k / 1000, 0.8, aid), ())
    desk.show_ladder()
    ladder = there(desk.ladder_screen)
    assert not ladder.test.isHidden()
    ladder.test.click()
    live, run = live_of(board), run_of(board)
    assert (live.task.code, live.aid, live.test) == ("E1", "none", 1)
    assert not any(button.isEnabled() for button in run.head.aids.values())
    desk.choose_aid("path")
    assert live.aid == "none"
    until(board, lambda: live.over, creep(board))
    (*_, last) = desk.book.all(desk.seat)
    assert last.retention
    assert last.aid == "none"
    assert desk.ladder().standing(live.task).kept
    assert there(desk.card_screen).buttons["enter"].text() == "Next: E8"
    press(board, KEY.Key_Return)
    assert (live_of(board).task.code, live_of(board).aid, live_of(board).test) == ("E8", "none", 1)


def test_an_aid_stays_while_an_attempt_is_under_way(board: BoardWindow) -> None:
    desk = desk_of(board)
    desk.start(id_of(desk, "E1"))
    live, run = live_of(board), run_of(board)
    QTest.mouseClick(run.head.aids["gauge"], Qt.MouseButton.LeftButton)
    assert live.aid == "gauge"
    assert there(run.laps).covered
    assert there(run.cylinder).isHidden()
    QTest.keyPress(run, KEY.Key_Q)
    until(board, lambda: live.attempt.state is State.RUNNING)
    assert not any(button.isEnabled() for button in run.head.aids.values())
    QTest.keyRelease(run, KEY.Key_Q)


@pytest.mark.soak
def test_attempts_that_cannot_be_kept_are_told(board: BoardWindow, tmp_path: Path) -> None:
    desk = desk_of(board)
    (tmp_path / "file").write_text("")
    desk.book = Book(tmp_path / "file" / "none")
    desk.start(id_of(desk, "E1"))
    QTest.keyPress(run_of(board), KEY.Key_Q)
    until(board, lambda: live_of(board).attempt.state is State.RUNNING)
    QTest.keyRelease(run_of(board), KEY.Key_Q)
    press(board, KEY.Key_Space)
    assert live_of(board).attempt.state is State.STOPPED
    assert "cannot be kept" in board.notice.words


@pytest.mark.soak
def test_a_swing_with_the_machine_and_three_laps_beside_the_gauge(make_board: MakeBoard, loader: Rig) -> None:
    window = make_board(loader)
    desk = desk_of(window)
    for code in ("E11", "E2"):
        assert desk.start(id_of(desk, code))
        live, run = live_of(window), run_of(window)
        assert (run.along is None) is run.single
        name = live.task.levers[0]
        window.controller.operator.levers[name].set_exactly(0.6)
        until(window, lambda: live_of(window).attempt.state is State.RUNNING)
        pass_time(window, 1.0)
        assert run.model.seconds == pytest.approx(live.attempt.lap_seconds)
        desk.stop()
        assert isinstance(window.stage.screen, RunScreen)
    desk.leave()


def test_a_run_says_what_it_is_about_and_nothing_of_the_board(make_board: MakeBoard, loader: Rig) -> None:
    """Its log and the keys of its levers from the start; nothing of instants to go back to, nothing of what waits."""
    window = make_board(loader)
    desk = desk_of(window)
    assert desk.start(id_of(desk, "E18"))
    run = run_of(window)
    assert ("log", "250 kg") in run.rack.fixed
    assert "load" not in dict(run.rack.fixed)
    told = {
        name: [shape.text for shape in lever._live() if isinstance(shape, Words) and shape.text.startswith("keys ")]
        for name, lever in run.rack.levers.items()
    }
    pairs = {name: there(lever).pair for name, lever in run.rack.levers.items() if isinstance(lever, RunLever)}
    assert told == {
        name: [f"keys {' '.join(reversed(pairs[name]))}"] if name in live_of(window).task.levers else []
        for name in told
    }
    along, pose = there(run.along), run.model.pose
    out = pose.log_length / 2 + pose.link * math.sin(math.radians(25.0))  # a log, swung out as far as can be used
    for x in (-out, out):
        assert 0.0 <= along._frame().at(x, 0.0)[0] * window.look.scale <= along.width()
    window.controller.operator.levers["2V1.lever"].set_exactly(-0.38)
    window.run()
    pass_time(window, 0.4)
    press(window, KEY.Key_T, CONTROL)
    press(window, KEY.Key_Z, CONTROL)
    pass_time(window, 0.2)
    assert run.notice == ""
    desk.stop()
    desk.see_it_run()
    window.controller.operator.levers["2V1.lever"].set_exactly(-0.2)  # as an instant just before a hand has it
    press(window, KEY.Key_T, CONTROL)
    pass_time(window, 0.2)
    assert window.session.waiting
    assert window.snapshot()["notice"] == ""
    press(window, KEY.Key_Escape)
    pass_time(window, 0.2)
    assert window.stage.screen is run
    assert run.notice == ""


@pytest.mark.soak
def test_laps_follow_each_other_on_sessions_of_their_own(make_board: MakeBoard, loader: Rig) -> None:
    window = make_board(loader)
    desk = desk_of(window)
    assert desk.start(id_of(desk, "E2"))
    live = live_of(window)

    def hand() -> None:
        band = there(live.attempt.lap.roles.band)
        middle, speed = (band[0][0] + band[1][0]) / 2, live.attempt.values.get("v", 0.0)
        motion = window.controller.operator.levers["3V1.lever"]
        step = min(max(3.0 * (middle - speed), -0.4 * FRAME), 0.6 * FRAME)
        motion.set_exactly(min(max(motion.value + step, 0.0), 0.9))

    until(window, lambda: live.over, hand, 90.0)
    assert live.attempt.state is State.DONE
    assert len({id(session) for session in live.sessions}) == len(live.attempt.traces) == 3
    card = window.stage.screen
    assert isinstance(card, CardScreen)
    assert [button.text() for button in card.laps] == [filled(lap.words, System.METRIC) for lap in live.attempt.laps]
    QTest.mouseClick(card.laps[2], Qt.MouseButton.LeftButton)
    assert card.card.lap == 2
    desk.see_it_run()
    replay = there(desk.replay)
    for lap, trace in enumerate(live.attempt.traces):
        replay.show_lap(lap)
        replay.show_at(replay.until)
        last = float(trace.levers["3V1.lever"][-1])
        assert replay.operator.levers["3V1.lever"].value == pytest.approx(last, abs=0.02)
    desk.leave()


def test_a_frozen_attempt_goes_on_with_a_lever(board: BoardWindow) -> None:
    """As after a controller was lost: the clock is frozen by somebody else, the levers have sprung back."""
    desk = desk_of(board)
    desk.start(id_of(desk, "E1"))
    live, run = live_of(board), run_of(board)
    QTest.keyPress(run, KEY.Key_Q)
    until(board, lambda: live.attempt.state is State.RUNNING)
    QTest.keyRelease(run, KEY.Key_Q)
    board.controller.run(False)
    board.tell("Controller lost: keys and mouse work.", warns=True, frozen=True)
    pass_time(board, 1.0)
    seconds = live.attempt.seconds
    assert run.told.notice.startswith("Controller lost: keys and mouse work.")
    pass_time(board, 0.5)
    assert live.attempt.seconds == seconds
    QTest.keyPress(run, KEY.Key_Q)
    until(board, lambda: live.attempt.seconds > seconds)
    QTest.keyRelease(run, KEY.Key_Q)
    assert not live.over


@pytest.mark.soak
def test_a_whole_task_by_the_mouse(board: BoardWindow) -> None:
    """A double click begins it, a lever is dragged, a button of the card leads back."""
    desk = desk_of(board)
    desk.show_ladder()
    ladder = there(desk.ladder_screen)
    QApplication.processEvents()
    place = ladder.list.visualRect(ladder.list.currentIndex()).center()
    QTest.mouseClick(ladder.list.viewport(), LEFT, pos=place)  # a double click is a click first
    QTest.mouseDClick(ladder.list.viewport(), LEFT, pos=place)
    live, run = live_of(board), run_of(board)
    QTest.mouseClick(run.head.run, LEFT)
    assert board.session.running
    lever = run.rack.levers["1V1.lever"]
    middle = lever.rect().center()
    QTest.mousePress(lever, LEFT, pos=middle)
    way = 0.0
    while not live.over:
        if live.attempt.values.get("v", 0.0) < 0.4e-3 and way < 0.5:
            way += 0.2 * FRAME if way > 0.25 else FRAME
            lever.drag_at(QPointF(middle) + QPointF(way / lever.travel(QPointF(1.0, 0.0)), 0.0))
        board.tick(FRAME)
    assert live.attempt.state is State.DONE
    assert isinstance(lever, RunLever)
    assert lever.mover == "mouse"
    card = there(desk.card_screen)
    QTest.mouseClick(card.rows[1], LEFT)
    QTest.mouseClick(card.buttons["left"], LEFT)
    assert isinstance(board.stage.screen, LadderScreen)
    QTest.mouseClick(there(desk.ladder_screen).board, LEFT)
    assert board.stage.screen is None


def test_what_is_not_saved_is_kept_while_it_is_away(board: BoardWindow, tmp_path: Path) -> None:
    recovery, desk = board.presenter(RecoveryPresenter), desk_of(board)
    recovery.begin(tmp_path / "recovery")
    board.presenter(RigPresenter).set("0V1.setting", 44e5)
    pass_time(board, 0.2)
    assert desk.start(id_of(desk, "E1"))
    laid = there(there(desk.before).laid)
    assert read(laid).changed.value("0V1", "setting") == pytest.approx(44e5)
    desk.leave()
    assert not laid.exists()
    assert board.presenter(RigPresenter).changes.different()
    assert board.presenter(RecoveryPresenter).unsaved()


@pytest.mark.soak
def test_an_older_machine_keeps_its_best_and_is_not_raced(board: BoardWindow) -> None:
    desk = desk_of(board)
    task = next(task for task in desk.tasks if task.code == "E1")
    desk.book.add(task, replace(made(task, 2.0, 0.5, "path"), "another machine"), ())
    desk.show_ladder()
    item = there(there(desk.ladder_screen).list.item)
    assert item.older
    assert item.best
    assert desk.start(task.id)
    assert live_of(board).before is None


def replace(done: Done, conditions: str) -> Done:
    """Return an attempt under other conditions."""
    return msgspec.structs.replace(done, conditions=conditions)
