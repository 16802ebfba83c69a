"""The stopwatch on the real window: by hand, on a lever and a rod's end, three runs and their mean, in model time."""

from __future__ import annotations

import pytest
from board_moves import FRAME, pass_time
from PySide6.QtCore import Qt
from pytestqt.qtbot import QtBot
from room_measures import check

from trainer.measuring.stopwatch import Trigger
from trainer.window.dials.stopwatch import StopwatchPresenter
from trainer.window.shell.window import BoardWindow

LEVER = "1V1.lever"


def test_by_hand_it_takes_model_time(board: BoardWindow, qtbot: QtBot) -> None:
    """By hand: 1.5 s on the wall at a tenth of the speed are 0.15 s."""
    presenter, shown = board.presenter(StopwatchPresenter), board.dials.watch
    assert not shown.isVisible()
    board.set_speed(1 / 10)
    qtbot.keyClick(board, Qt.Key.Key_F9)
    begun = board.session.time
    pass_time(board, 1.5)
    assert shown.isVisible()
    assert shown.state == "running"
    qtbot.keyClick(board, Qt.Key.Key_F9)
    assert presenter.watch.runs == [pytest.approx(board.session.time - begun, abs=1e-9)]
    assert presenter.watch.runs[0] == pytest.approx(0.15, abs=0.1 * FRAME)
    assert shown.state == "still"
    assert "run 1: 0.15 s" in shown.accessibleDescription()


@pytest.mark.soak
def test_from_the_lever_to_the_end_of_the_rod_three_times(board: BoardWindow) -> None:
    """Hands free: the run is the time from the lever leaving neutral until the rod is out, found within a frame."""
    presenter = board.presenter(StopwatchPresenter)
    line = board.session.rig.line_of("1A1", "rod").name
    stroke = board.session.readings.parameter("1A1", "stroke")
    board.session.set_parameter("1W1.mass", 30.0)
    board.set_speed(4)
    presenter.open()
    presenter.set_triggers(Trigger("lever", LEVER), Trigger("arrives", "1A1", "out"))
    assert presenter.watch.state == "waiting"
    assert "boom" not in board.dials.watch.words
    assert board.dials.watch.words.startswith("waits: ")
    by_eye = []
    for _ in range(3):
        board.rack.levers[LEVER].motion.set_exactly(1.0)
        begun = board.session.time
        while board.session.readings.place(line) < (1 - 5e-4) * stroke:
            board.tick(FRAME)
        by_eye.append(board.session.time - begun)
        board.rack.levers[LEVER].motion.set_exactly(0.0)
        pass_time(board, 0.2)
        board.session.rewind(0.0)  # the watch keeps its runs; the weight is down again
        board.controller.show_now()
        board.run()
        pass_time(board, 0.2)
    assert len(presenter.watch.runs) == 3
    assert presenter.watch.state == "still"
    for run, eye in zip(presenter.watch.runs, by_eye, strict=True):
        assert run == pytest.approx(eye, abs=(4 + 1) * FRAME)  # the eye sees ticks of four, the watch each frame
    shown = board.dials.watch
    assert shown.mean == pytest.approx(sum(presenter.watch.runs) / 3)
    assert f"mean {shown.mean:.2f} s" in shown.accessibleDescription()
    check(board.dials, 12)


def test_the_pane_of_conditions(board: BoardWindow, qtbot: QtBot) -> None:
    presenter = board.presenter(StopwatchPresenter)
    qtbot.keyClick(board, Qt.Key.Key_F9, Qt.KeyboardModifier.ShiftModifier)
    pane = presenter.pane
    assert pane.isVisible()
    assert pane.starts.key == "hand  "
    qtbot.keyClick(pane.starts, Qt.Key.Key_Down)
    assert presenter.watch.start_on == Trigger("lever", LEVER)
    assert presenter.watch.state == "waiting"
    assert pane.button.text() == "Do not wait"
    pane.stops.choose("arrives 1A1 out")
    assert presenter.watch.stop_on == Trigger("arrives", "1A1", "out")
    qtbot.mouseClick(pane.button, Qt.MouseButton.LeftButton)
    assert presenter.watch.state == "still"
    assert pane.button.text() == "Wait for it"
    qtbot.keyClick(pane.starts, Qt.Key.Key_Escape)
    assert not pane.isVisible()


def test_runs_can_be_forgotten(board: BoardWindow, qtbot: QtBot) -> None:
    presenter = board.presenter(StopwatchPresenter)
    for _ in range(2):
        presenter.press()
        pass_time(board, 0.2)
    assert len(presenter.watch.runs) == 1
    qtbot.mouseClick(board.dials.watch, Qt.MouseButton.LeftButton)
    assert presenter.pane.isVisible()
    qtbot.mouseClick(presenter.pane.reset, Qt.MouseButton.LeftButton)
    assert presenter.watch.runs == []
    assert board.dials.watch.runs == ()


def test_going_back_drops_the_run_and_says_so(board: BoardWindow) -> None:
    presenter = board.presenter(StopwatchPresenter)
    pass_time(board, 0.5)
    presenter.press()
    pass_time(board, 0.5)
    board.rewind(0.1)
    assert presenter.watch.state == "still"
    assert "the run under way is dropped" in board.dials.watch.words


def test_the_rail_starts_it(board: BoardWindow, qtbot: QtBot) -> None:
    item = board.dials.rail.items["stopwatch"]
    item.setFocus()
    qtbot.keyClick(item, Qt.Key.Key_Return)
    assert board.presenter(StopwatchPresenter).watch.state == "running"
