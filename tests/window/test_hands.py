"""Controllers before the window: from the stick to the picture, lost ones, what leads nothing, the page of hands."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from board_moves import FRAME, MakeBoard, pass_time
from cases import shipped
from pytestqt.qtbot import QtBot
from virtual_pads import VirtualPad, plugged_in

from trainer.operating.sdl import ExtraMissing
from trainer.window.hands.presenter import HandsPresenter
from trainer.window.shell.window import BoardWindow

LEFT, RIGHT = "1V1.lever", "2V1.lever"


@pytest.fixture
def plug_in() -> Iterator[Any]:
    with plugged_in() as plug:
        yield plug


@pytest.fixture
def lifts(make_board: MakeBoard, qtbot: QtBot, tmp_path: Path) -> BoardWindow:
    """The small rig with two levers; controllers are read."""
    window = make_board(shipped("bank-parallel"))
    window.activateWindow()
    qtbot.waitUntil(window.isActiveWindow)
    hands = window.presenter(HandsPresenter)
    assert hands.keep_in(tmp_path) == ""
    hands.begin()
    window.run()
    pass_time(window, 0.1)
    return window


def notice(window: BoardWindow) -> str:
    return str(window.snapshot()["notice"])


def test_from_the_stick_to_the_picture_it_takes_three_frames_at_most(lifts: BoardWindow, plug_in: Any) -> None:
    """Wherever in a frame it is moved, and whether time passes or not: 50 ms are three frames of 1/60 s.

    A picture is the lever painted where the stick is, with an instant that was solved with it.
    """
    pad: VirtualPad = plug_in()
    pass_time(lifts, 0.1)
    lever, frames = lifts.rack.levers[LEFT], []
    shown: list[float] = []
    lifts.controller.instant.connect(lambda live, *_: shown.append(live.control("1V1", "lever")))
    for k in range(100):
        share = (k % 7 - 3.5) / 4
        pad.put("left along", share)
        wanted = pytest.approx((abs(share) - 0.08) / 0.92, abs=2e-3)
        shown.clear()
        count = 0
        while count < 9 and (not shown or abs(shown[-1]) != wanted):
            lifts.tick(FRAME)
            count += 1
        frames.append(count)
        assert abs(lever.motion.value) == wanted
    assert sorted(frames)[98] <= 3
    lifts.run(False)
    pad.put("left along", 1.0)
    lifts.tick(FRAME)
    assert abs(lever.value()) == 100  # set, though the clock stands
    assert lever.stands is not None


def test_with_few_pictures_a_stick_still_comes_at_once(lifts: BoardWindow, plug_in: Any) -> None:
    """A slow computer that shows ten a second: the one in which a hand begins to move does not wait."""
    pad: VirtualPad = plug_in()
    pass_time(lifts, 0.1)
    shown: list[float] = []
    lifts.controller.instant.connect(lambda live, *_: shown.append(live.control("1V1", "lever")))
    lifts.controller.pace._at = 4
    pass_time(lifts, 0.5)
    shown.clear()
    pad.put("left along", -0.5)
    pass_time(lifts, 3 * FRAME)
    assert shown
    assert shown[0] != 0.0


def test_a_lost_controller_freezes_the_clock_and_lets_the_levers_spring_back(
    lifts: BoardWindow, plug_in: Any
) -> None:
    pad: VirtualPad = plug_in()
    pass_time(lifts, 0.1)
    assert "moves the levers. Ctrl+H shows how." in notice(lifts)
    pad.put("left along", 1.0)
    pass_time(lifts, 0.2)
    assert abs(lifts.session.control(LEFT)) == 1.0
    assert lifts.controller.operator.levers[LEFT].mover == "stick"
    pad.pull_out()
    pass_time(lifts, 0.3)
    assert not lifts.session.running
    assert "Controller lost: keys and mouse work. The clock is frozen." in notice(lifts)
    assert lifts.rack.levers[LEFT].motion.value == 0.0
    lifts.run()
    lifts.rack.levers[LEFT].motion.press(1)
    pass_time(lifts, 0.2)
    assert lifts.session.control(LEFT) > 0.3  # keys work
    lifts.rack.levers[LEFT].motion.release(1)
    plug_in()
    pass_time(lifts, 0.3)
    assert lifts.session.running


def test_a_stick_off_its_centre_is_to_be_let_go_first(lifts: BoardWindow, plug_in: Any) -> None:
    pad: VirtualPad = plug_in()
    pad.put("left along", 0.7)
    pass_time(lifts, 0.2)
    assert notice(lifts) == "Let go of the sticks."
    assert lifts.session.control(LEFT) == 0.0
    pad.put("left along", 0.0)
    pass_time(lifts, 0.1)
    pad.put("left along", 0.7)
    pass_time(lifts, 0.1)
    assert abs(lifts.session.control(LEFT)) > 0.6


def test_sticks_lead_nothing_behind_another_window_and_while_nothing_may_move(
    lifts: BoardWindow, plug_in: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    pad: VirtualPad = plug_in()
    pass_time(lifts, 0.1)
    pad.put("left along", 1.0)
    with monkeypatch.context() as patch:
        patch.setattr(lifts, "isActiveWindow", lambda: False)
        pass_time(lifts, 0.1)
        assert lifts.session.control(LEFT) == 0.0
    pass_time(lifts, 0.1)
    assert lifts.session.control(LEFT) == 0.0  # it was not let go yet
    pad.put("left along", 0.0)
    pass_time(lifts, 0.1)
    lifts.controller.covers.put(lifts.controller.covers.cover, led="The lesson moves the levers")
    pad.put("left along", 1.0)
    pass_time(lifts, 0.1)
    assert lifts.session.control(LEFT) == 0.0
    lifts.controller.covers.lift()


def test_a_stick_wakes_a_board_that_rests(lifts: BoardWindow, plug_in: Any) -> None:
    pad: VirtualPad = plug_in()
    hands = lifts.presenter(HandsPresenter)
    pass_time(lifts, 0.1)
    lifts.run(False)
    lifts.controller._sleep()
    hands._look()
    hands._look()
    assert lifts.controller.asleep
    pad.put("left along", 0.5)
    hands._look()
    assert not lifts.controller.asleep
    lifts.controller.stop()
    lifts.controller._sleep()
    hands._look()
    pad.pull_out()
    hands._look()
    assert not lifts.controller.asleep
    lifts.controller.stop()


def test_without_the_extra_the_board_is_as_ever(lifts: BoardWindow) -> None:
    hands = lifts.presenter(HandsPresenter)
    hands.close()

    def missing() -> Any:
        raise ExtraMissing("This needs one more package.")

    hands.begin(missing)
    assert hands.why_none == "This needs one more package."
    pass_time(lifts, 0.1)
