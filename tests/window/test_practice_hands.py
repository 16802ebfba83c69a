"""Hands at lever practice as apprentices have them: fingers, two sticks, one unplugged in the middle of a run."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from board_moves import FRAME, MakeBoard, pass_time, there
from practice_moves import CONTROL, desk_of, id_of, live_of, press, run_of
from PySide6.QtCore import QPoint, Qt
from PySide6.QtGui import QPointingDevice
from PySide6.QtTest import QTest
from pytestqt.qtbot import QtBot
from virtual_pads import plugged_in

from trainer.practice.attempt import State
from trainer.rig.rig import Rig
from trainer.window.hands.presenter import HandsPresenter
from trainer.window.shell.window import BoardWindow

BOOM, STICK = "3V1.lever", "4V1.lever"


@pytest.fixture
def plug_in() -> Iterator[Any]:
    with plugged_in() as plug:
        yield plug


@pytest.fixture
def window(
    make_board: MakeBoard, loader: Rig, qtbot: QtBot, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> BoardWindow:
    """The loader at the rung of two functions; controllers are read."""
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "data"))
    window = make_board(loader)
    window.activateWindow()
    qtbot.waitUntil(window.isActiveWindow)
    hands = window.presenter(HandsPresenter)
    assert hands.keep_in(tmp_path) == ""
    hands.begin()
    desk = desk_of(window)
    assert desk.start(id_of(desk, "E9"))
    pass_time(window, 0.1)
    return window


def shares(window: BoardWindow) -> dict[str, float]:
    """Where the levers are that are off their centre."""
    levers = window.controller.operator.levers
    return {name: round(lever.value, 2) for name, lever in levers.items() if lever.value}


@pytest.mark.soak
def test_two_fingers_and_one_that_leaves_the_window(window: BoardWindow, screen: QPointingDevice) -> None:
    """Outside it goes on as far as the lever goes, and lets go where it is lifted; the other one keeps its own."""
    run, levers = run_of(window), window.controller.operator.levers
    one, other = run.rack.levers[BOOM], run.rack.levers[STICK]
    at, beside, far = one.rect().center(), other.rect().center(), QPoint(3000, -3000)
    QTest.touchEvent(one, screen).press(0, at, one).commit()
    QTest.touchEvent(one, screen).stationary(0).press(1, beside, other).commit()
    QTest.touchEvent(one, screen).move(0, at + QPoint(9, 0), one).move(1, beside - QPoint(9, 0), other).commit()
    pass_time(window, 0.1)
    assert live_of(window).attempt.state is State.RUNNING
    held = shares(window)
    assert held == {BOOM: pytest.approx(0.3, abs=0.05), STICK: pytest.approx(-0.3, abs=0.05)}
    QTest.touchEvent(one, screen).move(0, at + far, one).stationary(1).commit()
    pass_time(window, 0.1)
    assert shares(window) == {BOOM: 1.0, STICK: held[STICK]}
    QTest.touchEvent(one, screen).release(0, at + far, one).stationary(1).commit()
    pass_time(window, 0.25)
    assert shares(window) == {STICK: held[STICK]}
    press(window, Qt.Key.Key_Home, CONTROL)  # begun again while the other one is still down
    pass_time(window, 0.1)
    assert (shares(window), levers[STICK].dragged, live_of(window).attempt.state) == ({}, False, State.READY)


def test_one_of_two_sticks_is_unplugged_in_the_middle_of_a_run(window: BoardWindow, plug_in: Any) -> None:
    """All levers spring back and the clock stands, though the other hand still pushes; it is let go first."""
    right, left = plug_in(both=False), plug_in(both=False)
    pass_time(window, 0.1)
    for pad in (right, left):
        pad.put("along", 0.5)
    pass_time(window, 0.2)
    assert {*shares(window)} == {BOOM, STICK}
    assert live_of(window).attempt.state is State.RUNNING
    right.pull_out()
    pass_time(window, 0.3)
    time = window.session.time
    assert (shares(window), window.session.running) == ({}, False)
    assert run_of(window).notice == "Controller lost: keys and mouse work."
    left.put("along", 0.0)
    pass_time(window, 0.1)
    left.put("along", -0.5)
    pass_time(window, 0.4)
    assert ({*shares(window)}, window.session.running) == ({STICK}, True)
    assert window.session.time > time
    assert live_of(window).attempt.state is State.RUNNING


@pytest.mark.parametrize("begun", [False, pytest.param(True, marks=pytest.mark.soak)])
def test_sticks_change_hands_on_their_page_and_the_run_is_there_again(
    window: BoardWindow, plug_in: Any, begun: bool
) -> None:
    """One that has not begun waits as it was; one that was under way is over, and says so."""
    pads = plug_in(both=False), plug_in(both=False)
    pass_time(window, 0.1)
    if begun:
        pads[0].put("along", 0.5)
        pass_time(window, 0.2)
        pads[0].put("along", 0.0)
    press(window, Qt.Key.Key_H, CONTROL)
    pass_time(window, 0.1)
    there(window.presenter(HandsPresenter).screen).swap.click()
    press(window, Qt.Key.Key_Escape)
    pass_time(window, 0.1)
    run = run_of(window)
    assert window.stage.screen is run
    assert live_of(window).attempt.state is (State.STOPPED if begun else State.READY)
    assert run.told.sentence.startswith("Stopped: this attempt does not count" if begun else "Bring the load in")
    if begun:
        press(window, Qt.Key.Key_Return)
        pass_time(window, FRAME)
    pads[0].put("along", 0.5)
    pass_time(window, 0.2)
    assert {*shares(window)} == {STICK}  # which was the boom's before
    assert live_of(window).attempt.state is State.RUNNING
    assert live_of(window).attempt.seconds > 0.1


@pytest.mark.soak
def test_a_run_whose_machine_was_moved_from_another_screen_is_not_scored(window: BoardWindow) -> None:
    press(window, Qt.Key.Key_H, CONTROL)
    window.run()
    pass_time(window, 0.3)
    press(window, Qt.Key.Key_Escape)
    pass_time(window, FRAME)
    assert "not as the task has it" in live_of(window).attempt.unscored
    press(window, Qt.Key.Key_Home, CONTROL)
    assert (live_of(window).attempt.unscored, window.session.time) == ("", 0.0)
