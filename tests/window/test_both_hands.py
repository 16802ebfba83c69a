"""Two levers at once, by fingers and by keys, and what lets go of them: nothing stays out that nobody holds."""

from __future__ import annotations

import itertools

import pytest
from board_moves import FRAME, MakeBoard, pass_time
from PySide6.QtCore import QEvent, QPoint, QPointF, Qt
from PySide6.QtGui import QKeyEvent, QPointingDevice, QTouchEvent
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from trainer.operating.motions import LeverMotion
from trainer.rig.rig import Rig
from trainer.window.board.lever_view import LeverView
from trainer.window.shell.window import BoardWindow


@pytest.fixture
def lifts(make_board: MakeBoard, lifts_rig: Rig) -> BoardWindow:
    """The small rig with two levers, its clock running."""
    window = make_board(lifts_rig)
    window.run()
    pass_time(window, 0.1)
    return window


@pytest.fixture(scope="module")
def lifts_rig() -> Rig:
    from cases import shipped

    return shipped("bank-parallel")


def levers(window: BoardWindow) -> tuple[LeverView, LeverView]:
    first, second = (window.rack.levers[name] for name in window.rack.columns)
    return first, second


def middle(lever: LeverView) -> QPoint:
    return QPoint(lever.width() // 2, lever.height() // 2)


def way(lever: LeverView, share: float) -> QPoint:
    """A finger's way from the middle for a share of a lever's travel."""
    at = QPointF(middle(lever))
    right = next(x for x in range(400) if lever.travel(at + QPointF(x, 0)) - lever.travel(at) >= abs(share) - 0.01)
    return QPoint(right if share > 0 else -right, 0)


def key(window: BoardWindow, code: Qt.Key, down: bool = True) -> None:
    kind = QEvent.Type.KeyPress if down else QEvent.Type.KeyRelease
    to = window.focusWidget() or window.board
    QApplication.sendEvent(to, QKeyEvent(kind, code, Qt.KeyboardModifier.NoModifier, ""))


def test_two_fingers_move_two_levers_and_each_lets_go_of_its_own(lifts: BoardWindow, screen: QPointingDevice) -> None:
    one, other = levers(lifts)
    at, beside = middle(one), middle(other)
    QTest.touchEvent(one, screen).press(0, at, one).commit()
    QTest.touchEvent(one, screen).stationary(0).press(1, beside, other).commit()
    QTest.touchEvent(one, screen).move(0, at + way(one, 0.5), one).move(1, beside - way(other, 0.4), other).commit()
    pass_time(lifts, 0.2)
    assert lifts.session.control(one.control_name) == pytest.approx(0.5, abs=0.08)
    assert lifts.session.control(other.control_name) == pytest.approx(-0.4, abs=0.08)
    assert one.motion.mover == other.motion.mover == "finger"
    QTest.touchEvent(one, screen).release(0, at + way(one, 0.5), one).move(1, beside, other).commit()
    pass_time(lifts, 0.3)
    assert one.motion.value == 0.0
    assert other.motion.value == pytest.approx(0.0, abs=0.02)
    assert other.motion.dragged
    QTest.touchEvent(one, screen).move(1, beside + way(other, 0.3), other).commit()
    pass_time(lifts, 0.1)
    assert other.motion.value == pytest.approx(0.3, abs=0.08)
    QTest.touchEvent(one, screen).release(1, beside, other).commit()
    pass_time(lifts, 0.3)
    assert other.motion.value == 0.0


def test_a_second_finger_on_a_lever_neither_moves_nor_keeps_it(lifts: BoardWindow, screen: QPointingDevice) -> None:
    lever, at = levers(lifts)[0], middle(levers(lifts)[0])
    QTest.touchEvent(lever, screen).press(0, at, lever).commit()
    QTest.touchEvent(lever, screen).move(0, at + way(lever, 0.5), lever).commit()
    QTest.touchEvent(lever, screen).stationary(0).press(1, at - way(lever, 0.9), lever).commit()
    pass_time(lifts, 0.1)
    before = lever.motion.value
    assert before == pytest.approx(0.5, abs=0.08)
    QTest.touchEvent(lever, screen).stationary(0).move(1, at, lever).commit()
    pass_time(lifts, 0.1)
    assert lever.motion.value == before
    QTest.touchEvent(lever, screen).release(0, at, lever).stationary(1).commit()
    QTest.touchEvent(lever, screen).move(1, at + way(lever, 0.9), lever).commit()
    pass_time(lifts, 0.3)
    assert lever.motion.value == 0.0
    QTest.touchEvent(lever, screen).release(1, at, lever).commit()


def test_a_finger_on_hold_presses_it_and_leaves_the_lever(lifts: BoardWindow, screen: QPointingDevice) -> None:
    lever = levers(lifts)[0]
    at = lever.hold.geometry().center()
    QTest.touchEvent(lever, screen).press(0, at, lever).commit()
    assert not lever.motion.dragged
    QTest.touchEvent(lever, screen).release(0, at, lever).commit()
    assert lever.motion.held
    QTest.touchEvent(lever, screen).press(0, at, lever).commit()
    QTest.touchEvent(lever, screen).move(0, at - QPoint(0, 80), lever).commit()
    QTest.touchEvent(lever, screen).release(0, at - QPoint(0, 80), lever).commit()  # thought better of
    assert lever.motion.held
    assert lever.motion.value == 0.0


def test_a_touch_that_is_taken_away_lets_go(lifts: BoardWindow, screen: QPointingDevice) -> None:
    """As a system does where its own gesture begins; such an event has no points."""
    lever, at = levers(lifts)[0], middle(levers(lifts)[0])
    QTest.touchEvent(lever, screen).press(0, at, lever).commit()
    QTest.touchEvent(lever, screen).move(0, at + way(lever, 0.6), lever).commit()
    pass_time(lifts, 0.1)
    assert lever.motion.value > 0.5
    QApplication.sendEvent(lever, QTouchEvent(QEvent.Type.TouchCancel, screen, Qt.KeyboardModifier.NoModifier, []))
    pass_time(lifts, 0.3)
    assert lever.motion.value == 0.0
    QTest.touchEvent(lever, screen).release(0, at, lever).commit()


def test_two_keys_at_once_ramp_two_levers(lifts: BoardWindow) -> None:
    one, other = levers(lifts)
    key(lifts, Qt.Key.Key_Q)
    key(lifts, Qt.Key.Key_S)
    ways = []
    for _ in range(12):
        pass_time(lifts, FRAME)
        ways.append((one.motion.value, other.motion.value))
    steps = [(b[0] - a[0], b[1] - a[1]) for a, b in itertools.pairwise(ways)]
    for step in steps:
        assert step == pytest.approx((2 * FRAME, -2 * FRAME))  # one even ramp, no notch
    key(lifts, Qt.Key.Key_Q, down=False)
    pass_time(lifts, 0.3)
    assert one.motion.value == 0.0
    assert other.motion.value < -0.8
    assert other.motion.mover == "key"
    key(lifts, Qt.Key.Key_S, down=False)


def test_two_keys_of_the_same_way_on_one_lever_are_one_even_ramp(lifts: BoardWindow) -> None:
    """An arrow and the letter: the one that comes up first lets go of nothing."""
    lever = levers(lifts)[0]
    lever.setFocus()
    key(lifts, Qt.Key.Key_Q)
    pass_time(lifts, 3 * FRAME)
    key(lifts, Qt.Key.Key_Up)
    pass_time(lifts, 3 * FRAME)
    key(lifts, Qt.Key.Key_Q, down=False)
    pass_time(lifts, 6 * FRAME)
    assert lever.motion.value == pytest.approx(12 * 2 * FRAME)
    key(lifts, Qt.Key.Key_Up, down=False)
    pass_time(lifts, 0.4)
    assert lever.motion.value == 0.0
    key(lifts, Qt.Key.Key_Q)
    lever.motion.forget()  # its release went elsewhere
    key(lifts, Qt.Key.Key_Up)
    pass_time(lifts, 3 * FRAME)
    key(lifts, Qt.Key.Key_Up, down=False)
    pass_time(lifts, 0.4)
    assert lever.motion.value == 0.0


@pytest.mark.parametrize("what", ["another window", "a menu", "a screen", "the keys", "another rig"])
def test_a_key_whose_release_goes_elsewhere_leaves_no_lever_out(
    lifts: BoardWindow, bench: Rig, qtbot: QtBot, what: str
) -> None:
    from trainer.engine.session import Session
    from trainer.window.explaining.presenter import ExplainingPresenter
    from trainer.window.offers.presenter import OfferPresenter

    one = levers(lifts)[0]
    key(lifts, Qt.Key.Key_Q)
    pass_time(lifts, 0.3)
    assert one.motion.value > 0.5
    offers = lifts.presenter(OfferPresenter)
    if what == "another window":
        from PySide6.QtWidgets import QWidget

        other = QWidget()
        qtbot.addWidget(other)
        other.show()
        other.activateWindow()
        qtbot.waitUntil(lambda: not lifts.isActiveWindow())
    elif what == "a menu":
        offers.offer()
    elif what == "a screen":
        lifts.presenter(ExplainingPresenter).show_all()
    elif what == "the keys":
        lifts.change_help()
    else:
        lifts.replace_session(Session(bench))
    lifts.tick(0.0)
    pass_time(lifts, 0.3)
    assert not any(lever.value or lever.pressed for lever in lifts.controller.operator.levers.values())
    if offers.menu is not None:
        offers.menu.close()


def test_a_pointer_whose_window_went_to_the_back_takes_hold_anew(lifts: BoardWindow, qtbot: QtBot) -> None:
    lever, at = levers(lifts)[0], middle(levers(lifts)[0])
    qtbot.mousePress(lever, Qt.MouseButton.LeftButton, pos=at)
    qtbot.mouseMove(lever, at + way(lever, 0.5))
    pass_time(lifts, 0.1)
    assert lever.motion.value > 0.4
    lifts.rack.let_go()  # as when another program comes before the window
    for frame in range(15):
        qtbot.mouseMove(lever, at + way(lever, 0.9 if frame % 2 else 0.8))
        pass_time(lifts, FRAME)
    assert lever.motion.value == 0.0
    qtbot.mouseRelease(lever, Qt.MouseButton.LeftButton, pos=at)


def test_a_stick_has_a_lever_until_another_hand_takes_it_over() -> None:
    lever = LeverMotion()
    lever.lead(0.6)
    lever.advance(FRAME)
    assert (lever.value, lever.mover) == (0.6, "stick")
    lever.lead(-0.2)
    lever.advance(FRAME)
    assert lever.value == -0.2  # where the stick is, without a ramp: the hand has its own
    lever.press(1)
    lever.lead(-0.2)
    lever.advance(FRAME)
    assert lever.value == pytest.approx(-0.2 + 2 * FRAME)
    assert lever.mover == "key"
    lever.release(1)
    for _ in range(30):
        lever.lead(-0.21)  # a hand that rests on the stick moves nothing
        lever.advance(FRAME)
    assert lever.value == 0.0
    lever.lead(-0.4)
    assert lever.value == -0.4
    lever.lead(0.0)
    assert (lever.value, lever.led) == (0.0, False)


def test_a_written_place_is_kept_from_a_stick_that_is_not_moved() -> None:
    lever = LeverMotion()
    lever.lead(0.8)
    lever.set_exactly(-0.4)
    for _ in range(10):
        lever.lead(0.79)
        lever.advance(FRAME)
    assert (lever.value, lever.held, lever.mover) == (-0.4, True, "key")
    lever.lead(0.6)
    assert (lever.value, lever.held) == (0.6, False)


def test_hold_is_ended_by_a_stick_and_kept_from_one_at_rest() -> None:
    lever = LeverMotion()
    lever.set_exactly(0.5)
    for _ in range(10):
        lever.lead(0.0)
        lever.advance(FRAME)
    assert lever.value == 0.5
    lever.lead(0.3)
    lever.lead(0.0)
    lever.advance(FRAME)
    assert (lever.value, lever.held) == (0.0, False)


def test_a_lost_stick_lets_its_lever_spring_back_and_is_no_jump() -> None:
    lever = LeverMotion()
    lever.lead(1.0)
    lever.forget()
    lever.advance(FRAME)
    assert lever.value == pytest.approx(1.0 - 5 * FRAME)
