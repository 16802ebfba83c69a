"""How levers and the speed scale are moved: keys, mouse, wheel, fingers, focus."""

from __future__ import annotations

import itertools
import math

import pytest
from board_moves import FRAME, MakeBoard, pass_time
from PySide6.QtCore import QEvent, QPoint, QPointF, QSignalBlocker, Qt
from PySide6.QtGui import QFocusEvent, QKeyEvent, QWheelEvent
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QWidget
from pytestqt.qtbot import QtBot

from trainer.drawing import rack
from trainer.drawing.shapes import Path, Sliding, Words
from trainer.drawing.type_widths import text_width
from trainer.operating.motions import LeverMotion, SpeedMotion
from trainer.rig.rig import Rig
from trainer.units import System
from trainer.window.board.lever_view import LeverView
from trainer.window.painting.lettering import text_boxes
from trainer.window.shell.window import BoardWindow

LEVER, CRANK = "1V1.lever", "0M1.speed_asked"
RPM = 2 * math.pi / 60


@pytest.fixture
def lever(board: BoardWindow) -> LeverView:
    return board.rack.levers[LEVER]


def press(widget: QWidget, key: Qt.Key, down: bool = True, repeat: bool = False,
          shift: bool = False) -> None:  # fmt: skip
    kind = QEvent.Type.KeyPress if down else QEvent.Type.KeyRelease
    modifiers = Qt.KeyboardModifier.ShiftModifier if shift else Qt.KeyboardModifier.NoModifier
    QApplication.sendEvent(widget, QKeyEvent(kind, key, modifiers, "", repeat))


def wheel(widget: QWidget, notches: int) -> None:
    where = QPointF(widget.width() / 2, widget.height() / 2)
    event = QWheelEvent(where, widget.mapToGlobal(where), QPoint(), QPoint(0, 120 * notches),
                        Qt.MouseButton.NoButton, Qt.KeyboardModifier.NoModifier,
                        Qt.ScrollPhase.NoScrollPhase, False)  # fmt: skip
    QApplication.sendEvent(widget, event)


def test_key_ramps_out_at_two_a_second_and_springs_back_at_five(board: BoardWindow, lever: LeverView) -> None:
    press(lever, Qt.Key.Key_Up)
    pass_time(board, 0.25)
    assert lever.motion.value == pytest.approx(0.5, abs=2.1 * FRAME)
    for _ in range(5):  # a held key repeats; that is no release
        press(lever, Qt.Key.Key_Up, down=False, repeat=True)
        press(lever, Qt.Key.Key_Up, repeat=True)
    pass_time(board, 0.3)
    assert lever.motion.value == 1.0
    assert board.session.readings.control("1V1", "lever") == 1.0
    press(lever, Qt.Key.Key_Up, down=False)
    pass_time(board, 0.1)
    assert lever.motion.value == pytest.approx(0.5, abs=5.1 * FRAME)
    pass_time(board, 0.2)
    assert lever.motion.value == 0.0


def test_shift_makes_it_five_times_finer(board: BoardWindow, lever: LeverView) -> None:
    press(lever, Qt.Key.Key_Down, shift=True)
    pass_time(board, 0.5)
    assert lever.motion.value == pytest.approx(-0.2, abs=0.5 * FRAME)


@pytest.mark.parametrize("frames", [2, 3, 7])
def test_repeats_told_as_releases_and_presses_never_notch_a_held_lever(frames: int) -> None:
    repeated, held = LeverMotion(-1.0, 1.0, 0.0), LeverMotion(-1.0, 1.0, 0.0)
    series = []
    for motion in (repeated, held):
        motion.press(1)
    for frame in range(60):
        if frame % frames == 0:
            repeated.release(1)  # and a frame may pass before the press comes
        for motion in (repeated, held):
            motion.advance(FRAME)
        if frame % frames == 0:
            repeated.press(1)
        series.append(repeated.value)
    assert series == sorted(series)
    assert repeated.value == held.value == 1.0
    repeated.release(1)
    for _ in range(2):  # a key that is really up lets go with the second frame
        repeated.advance(FRAME)
    assert repeated.value < 1.0


def test_a_slow_frame_between_release_and_press_is_no_release() -> None:
    motion = LeverMotion(-1.0, 1.0, 0.0)
    motion.press(-1)
    motion.advance(1.0)
    motion.release(-1)
    motion.advance(0.1)
    motion.press(-1)
    motion.advance(FRAME)
    assert motion.value == -1.0
    motion.release(-1)
    motion.press(1)  # the other way at once
    motion.advance(FRAME)
    assert motion.value == pytest.approx(-1.0 + 2.0 * FRAME)


def test_a_notch_holds_a_lever_till_it_is_moved_out_of_it() -> None:
    """Let go short of the notch it springs back; from there on it stays, and one way back it is free again."""
    motion = LeverMotion(-1.0, 1.0, 0.0, notch=0.95)
    for value, stays in ((0.9, False), (0.96, True), (-1.0, True)):
        motion.grab()
        motion.drag_to(value)
        motion.let_go()
        motion.advance(1.0)
        assert motion.value == (value if stays else 0.0)
    assert not motion.held
    motion.press(1)
    motion.advance(0.1)  # out of it
    motion.release(1)
    for _ in range(20):
        motion.advance(FRAME)
    assert motion.value == 0.0
    motion.drag_to(1.0)
    motion.centre()
    motion.advance(1.0)
    assert motion.value == 0.0


def test_minus_forty_is_minus_forty(board: BoardWindow, lever: LeverView, qtbot: QtBot) -> None:
    lever.setFocus()
    qtbot.keyClicks(lever, "-")
    assert lever.entry is not None
    qtbot.keyClicks(lever.entry, "40")
    qtbot.keyClick(lever.entry, Qt.Key.Key_Return)
    pass_time(board, 0.2)
    assert board.session.control(LEVER) == -0.4
    handle = board.drawing.handles[LEVER]  # the spool of the same lever
    handle.setFocus()
    QApplication.sendEvent(handle, QKeyEvent(QEvent.Type.KeyPress, 0, Qt.KeyboardModifier.NoModifier, "−"))
    assert lever.entry is not None
    qtbot.keyClicks(lever.entry, "100")
    qtbot.keyClick(lever.entry, Qt.Key.Key_Return)
    pass_time(board, 0.2)
    assert board.session.control(LEVER) == -1.0


def test_a_scale_tells_that_it_has_no_minus(board: BoardWindow, qtbot: QtBot) -> None:
    scale = board.rack.speeds[CRANK]
    at = scale.motion.value
    scale.setFocus()
    qtbot.keyClicks(scale, "-")
    assert scale.entry is not None
    qtbot.keyClicks(scale.entry, "40")
    qtbot.keyClick(scale.entry, Qt.Key.Key_Return)
    pass_time(board, 0.2)
    assert "-40 r/min is out of reach" in board.snapshot()["notice"]
    assert scale.motion.value == at


def test_losing_the_focus_lets_the_lever_go(board: BoardWindow, lever: LeverView) -> None:
    press(lever, Qt.Key.Key_Up)
    pass_time(board, 0.5)
    QApplication.sendEvent(lever, QFocusEvent(QEvent.Type.FocusOut))
    pass_time(board, 0.5)
    assert lever.motion.value == 0.0
    assert not lever.motion.pressed


def test_end_mirror_and_home(board: BoardWindow, lever: LeverView) -> None:
    press(lever, Qt.Key.Key_End)
    press(lever, Qt.Key.Key_End, down=False)
    pass_time(board, 1.0)
    assert lever.motion.value == 1.0
    assert lever.hold.isChecked()
    press(lever, Qt.Key.Key_M)
    pass_time(board, 0.1)
    assert lever.motion.value == -1.0
    press(lever, Qt.Key.Key_Home)
    pass_time(board, 0.5)
    assert lever.motion.value == 0.0
    assert not lever.hold.isChecked()


def test_mouse_drags_in_proportion_and_the_lever_springs_back(
    board: BoardWindow, lever: LeverView, qtbot: QtBot
) -> None:
    middle = QPoint(lever.width() // 2, lever.height() // 2)
    scale = board.look.scale
    way = round(0.5 * 84 * math.sin(math.radians(rack.SWING)) * scale)
    qtbot.mousePress(lever, Qt.MouseButton.LeftButton, pos=middle)
    qtbot.mouseMove(lever, middle + QPoint(way, 0))
    QTest.qWait(1)
    pass_time(board, 0.3)
    assert lever.motion.value == pytest.approx(0.5, abs=0.03)
    qtbot.mouseRelease(lever, Qt.MouseButton.LeftButton, pos=middle + QPoint(way, 0))
    pass_time(board, 0.3)
    assert lever.motion.value == 0.0


def test_hold_keeps_it_and_wheel_moves_one_percent(board: BoardWindow, lever: LeverView, qtbot: QtBot) -> None:
    wheel(lever, 3)
    pass_time(board, 0.5)
    assert lever.motion.value == pytest.approx(0.03)
    wheel(lever, -1)
    pass_time(board, 0.5)
    assert lever.motion.value == pytest.approx(0.02)
    qtbot.mouseClick(lever.hold, Qt.MouseButton.LeftButton)
    pass_time(board, 0.2)
    assert lever.motion.value == 0.0
    press(lever, Qt.Key.Key_Up)
    pass_time(board, 0.2)
    press(lever, Qt.Key.Key_H)
    press(lever, Qt.Key.Key_Up, down=False)
    at = lever.motion.value
    pass_time(board, 0.5)
    assert lever.motion.value == at > 0.3


def test_the_spool_in_the_drawing_moves_the_same_lever(board: BoardWindow, qtbot: QtBot) -> None:
    handle = board.drawing.handles[LEVER]
    start = QPoint(handle.width() // 2, handle.height() // 2)
    qtbot.mousePress(handle, Qt.MouseButton.LeftButton, pos=start)
    qtbot.mouseMove(handle, start + QPoint(0, round(30 * handle.zoom)))
    pass_time(board, 0.3)
    assert board.snapshot()["levers"][LEVER] == pytest.approx(0.5, abs=0.03)
    assert board.snapshot()["spools"]["1V1"] == pytest.approx(0.5, abs=0.03)
    qtbot.mouseRelease(handle, Qt.MouseButton.LeftButton, pos=start)
    pass_time(board, 0.3)
    assert board.snapshot()["levers"][LEVER] == 0.0


def test_a_finger_moves_a_lever(board: BoardWindow, lever: LeverView) -> None:
    device = QTest.createTouchDevice()
    middle = QPoint(lever.width() // 2, lever.height() // 2)
    QTest.touchEvent(lever, device).press(0, middle, lever).commit()
    QTest.touchEvent(lever, device).move(0, middle + QPoint(40, 0), lever).commit()
    pass_time(board, 0.1)
    assert lever.motion.value > 0.5
    QTest.touchEvent(lever, device).release(0, middle + QPoint(40, 0), lever).commit()
    pass_time(board, 0.3)
    assert lever.motion.value == 0.0


def test_speed_scale_stays_where_it_is_put(board: BoardWindow) -> None:
    scale = board.rack.speeds[CRANK]
    assert scale.motion.value == pytest.approx(60 * RPM)
    press(scale, Qt.Key.Key_Down)
    pass_time(board, 0.5)
    press(scale, Qt.Key.Key_Down, down=False)
    at = scale.motion.value
    assert at == pytest.approx((60 - 22.5) * RPM, abs=2 * RPM)
    pass_time(board, 3.0)
    assert scale.motion.value == at
    assert board.session.readings.speed("crank") == pytest.approx(at, rel=0.05)
    press(scale, Qt.Key.Key_Home)
    pass_time(board, 0.1)
    assert board.snapshot()["speeds"][CRANK] == 0.0


@pytest.mark.parametrize("least", [0.0, 24.0])
@pytest.mark.parametrize("low", [0.0, -4000.0])
def test_the_first_numeral_of_a_scale_is_whole(low: float, least: float) -> None:
    scale = rack.Ruled("shaft speed", low * RPM, 4000 * RPM, System.METRIC)
    numerals = [s for s in scale.still("Drive", least) if isinstance(s, Words)][1:]
    first = min(numerals, key=lambda words: words.x)
    assert first.text == f"{low:g}".replace("-", "−")
    assert first.x - text_width(first.text, max(first.size, least)) / 2 >= 0.0
    halves = [text_width(words.text, max(words.size, least)) / 2 for words in numerals]
    for k in range(len(numerals) - 1):
        assert numerals[k + 1].x - numerals[k].x > halves[k] + halves[k + 1] + 2.0


def test_speed_scale_goes_to_where_it_is_pressed(board: BoardWindow, qtbot: QtBot) -> None:
    scale = board.rack.speeds[CRANK]
    x = round(rack.Ruled("shaft speed", 0.0, 90 * RPM, board.look.system).x(30 * RPM) * board.look.scale)
    qtbot.mouseClick(scale, Qt.MouseButton.LeftButton, pos=QPoint(x, scale.height() // 2))
    assert scale.motion.value == pytest.approx(30 * RPM, abs=1.0 * RPM)


def test_the_scale_of_an_engine_explains_its_governor(make_board: MakeBoard, loader: Rig, bench: Rig) -> None:
    """Set to 1800 r/min with a droop of 8 %: 144 r/min more without load at most, as the engine's law has it."""
    window = make_board(loader, size=(1366, 768))
    scale = window.rack.speeds["0M1.speed_asked"]
    told = (
        "Governor: unloaded it turns up to 144 r/min above what is asked, full load brings it down to what is asked"
    )
    assert told in scale.accessibleDescription()
    assert told in scale.toolTip()
    assert 1800 * RPM < window.session.readings.speed("engine") <= 1944 * RPM  # that is what the counter shows

    def notes() -> list[str]:
        return [text for text, *_ in scale.canvas.texts() if "1944" in text]

    window.rack.levers["3V1.lever"].setFocus()
    assert notes() == []
    scale.setFocus()
    (note,) = notes()
    assert note.startswith("unloaded up to 1944")
    window.session.set_parameter("0M1.droop", 0.05)
    scale.motion.set_exactly(2000 * RPM)
    scale.show_value()
    assert "up to 100 r/min above" in scale.toolTip()
    scale.motion.set_exactly(0.0)
    scale.show_value()
    assert "overnor" not in scale.toolTip()
    crank = make_board(bench).rack.speeds[CRANK]  # a hand has no governor
    assert "overnor" not in crank.toolTip() + crank.accessibleDescription()


def test_values_are_told_to_assistive_software(board: BoardWindow, lever: LeverView) -> None:
    lever.motion.set_exactly(0.6)
    pass_time(board, 0.1)
    assert (lever.value(), lever.accessibleDescription()) == (60, "60 %, lift, held")
    lever.setValue(-40)  # as a screen reader does
    pass_time(board, 0.1)
    assert lever.motion.value == -0.4
    assert "lower" in lever.accessibleDescription()
    assert board.rack.speeds[CRANK].accessibleDescription() == "60 r/min"


def test_what_is_shown_of_a_lever_comes_back_in_step_with_it(board: BoardWindow, lever: LeverView) -> None:
    pass_time(board, 0.05)
    with QSignalBlocker(lever), QSignalBlocker(lever.hold):  # as if another had changed what is shown, not the lever
        lever.setValue(70)
        lever.hold.setChecked(True)
    lever.show_value()
    assert (lever.value(), lever.hold.isChecked()) == (0, False)
    lever.motion.set_exactly(0.3)
    lever.show_value()
    assert (lever.value(), lever.hold.isChecked()) == (30, True)


def test_lever_stands_under_its_column(board: BoardWindow, lever: LeverView) -> None:
    x = board.drawing.columns()[LEVER]
    assert lever.x() + lever.width() / 2 == pytest.approx(x, abs=1.5)


def test_a_single_acting_lever_springs_to_its_end() -> None:
    motion = LeverMotion(0.0, 1.0, 0.0)
    motion.press(-1)
    assert not motion.advance(0.5)
    motion.press(1)
    motion.release(-1)
    assert motion.advance(0.25)
    assert motion.value == 0.5
    motion.forget()
    motion.advance(1.0)
    assert motion.value == 0.0


def test_both_directions_at_once_cancel() -> None:
    motion = SpeedMotion(0.0, 10.0, 5.0)
    motion.press(1)
    motion.press(-1)
    assert not motion.advance(1.0)


def test_a_line_parts_the_words_of_levers_that_touch(make_board: MakeBoard, loader: Rig) -> None:
    """Else the end of one and the beginning of the next read as one phrase: "left lower"."""
    rack = make_board(loader, size=(1366, 768)).rack
    views = sorted(rack.levers.values(), key=lambda view: view.x())
    pairs = list(itertools.pairwise(views))
    touching = [other for one, other in pairs if one.geometry().right() + 2 >= other.x()]
    assert touching
    assert [view for view in views if view.joined] == touching
    for view in views:
        rules = [s for s in view._still() if isinstance(s, Path) and s.points[0][0] == s.points[1][0] == 0.5]
        assert len(rules) == view.joined


@pytest.mark.parametrize("width", [rack.LEVER_WIDTH, 178.0, 168.0])
def test_knob_and_stem_at_full_travel_cover_no_figure(qapp: QApplication, width: float) -> None:
    """The knob is a disc of radius 11, the stem 7 wide from the pivot to it; any size of type with figures."""
    for value, least in itertools.product((-1.0, 1.0), (0.0, 18.0, 20.0)):
        still = rack.lever_still("Boom", -1.0, 1.0, width, least)
        live = rack.lever_live(value, ("lower", "lift"), width, least)
        knob = next(QPointF(one.across, one.down) for one in live if isinstance(one, Sliding) and one.down < 190.0)
        words = [one for one in (*still, *live) if isinstance(one, Words) and "100" in one.text]
        boxes = text_boxes(words, smallest=least)
        assert width < rack.LEVER_WIDTH or least > 18.0 or {"−100", "100 %"} <= {text for text, *_ in boxes}
        pivot = QPointF(width / 2, rack.PIVOT[1])
        way = knob - pivot
        across = QPointF(-way.y(), way.x()) * (3.5 / math.hypot(way.x(), way.y()))
        places = [knob + QPointF(11.0 * math.cos(k), 11.0 * math.sin(k)) for k in range(7)]
        places += [pivot + way * (k / 20) + across * side for k in range(20) for side in (-1.0, 0.0, 1.0)]
        assert not [text for text, box, _ in boxes if any(map(box.contains, places))], (value, least)
