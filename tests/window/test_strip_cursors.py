"""Hands on the strip: the pointer, two cursors, zoom, moving and freezing the shown stretch of time."""

from __future__ import annotations

import numpy as np
import pytest
from board_moves import FRAME, pass_time, there
from PySide6.QtCore import QPoint, Qt
from pytestqt.qtbot import QtBot
from strip_moves import LEVER, P1, drag, number, place, recorded, texts, turn_wheel, work

from trainer.drawing.shapes import Words
from trainer.units import System
from trainer.window.shell.window import BoardWindow
from trainer.window.strip.time_axis import (
    SPANS,
    Cursors,
    TimeWindow,
    time_text,
)

# -- the pointer and the cursors ---------------------------------------------------------------------------------


@pytest.mark.parametrize("system", list(System))
def test_values_at_the_pointer(board: BoardWindow, qtbot: QtBot, system: System) -> None:
    work(board)
    work(board, 1.0, -0.5)
    board.run(False)
    board.set_system(system)
    strip = board.strip
    newest = texts(strip)
    at = place(strip, 0.96)
    qtbot.mouseMove(strip, at)
    time = strip.picture.time_of(at.x() / strip.look.scale)
    times, values = recorded(strip, P1)
    unit, factor = ("bar", 1e5) if system is System.METRIC else ("psi", 6894.757)  # NIST SP 811
    told = next(words for words in texts(strip) if words.endswith(unit))
    assert number(told) == pytest.approx(np.interp(time, times, values) / factor, abs=0.06 if unit == "bar" else 0.6)
    assert [shape.text for shape in strip._pointer_shapes if isinstance(shape, Words)] == [time_text(time, 30.0)]
    assert texts(strip) != newest
    qtbot.mouseMove(strip, QPoint(2, 2))
    assert texts(strip) == newest


def test_two_cursors_by_click_and_drag(board: BoardWindow, qtbot: QtBot) -> None:
    work(board, 2.0)
    work(board, 2.0, 0.0)
    board.run(False)
    strip = board.strip
    drag(qtbot, strip, place(strip, 0.90), place(strip, 0.97))
    one, other = there(strip.picture.cursors.pair)
    assert one == pytest.approx(strip.picture.time_of(place(strip, 0.90).x() / strip.look.scale), abs=1e-9)
    written = texts(strip)
    assert f"A {time_text(one, 5.0)}" in written
    assert f"Δ {time_text(other - one, 5.0)}" in written
    times, values = recorded(strip, P1)
    inner = (times > one) & (times < other)
    stamps = np.concatenate(([one], times[inner], [other]))
    line = np.interp(stamps, times, values)
    mean = np.sum(np.diff(stamps) * (line[1:] + line[:-1])) / 2 / (other - one)  # by time, the trapezium rule
    first = written.index("P1, bar")
    cells = [number(words) for words in written[first + 1 : first + 5]]
    assert cells.pop(2) == pytest.approx(cells[1] - cells[0], abs=1e-9)  # what is shown adds up
    wanted = [line[0] / 1e5, line[-1] / 1e5, mean / 1e5]
    assert cells == pytest.approx(wanted, abs=0.06)
    board.set_system(System.US)
    written = texts(strip)
    cells = [number(words) for words in written[written.index("P1, psi") + 1 :][:4]]
    assert cells.pop(2) == pytest.approx(cells[1] - cells[0], abs=1e-9)
    assert cells == pytest.approx([value * 14.5038 for value in wanted], abs=0.6)  # NIST SP 811
    assert strip.accessibleDescription().count("A ") == 1


def test_a_cursor_is_taken_hold_of_and_moved(board: BoardWindow, qtbot: QtBot) -> None:
    work(board, 4.0)
    board.run(False)
    strip, cursors = board.strip, board.strip.picture.cursors
    drag(qtbot, strip, place(strip, 0.90), place(strip, 0.96))
    _, other = there(cursors.pair)
    drag(qtbot, strip, place(strip, 0.90), place(strip, 0.93))
    assert there(cursors.pair)[1] == other
    assert there(cursors.pair)[0] == pytest.approx(strip.picture.time_of(place(strip, 0.93).x() / strip.look.scale))
    qtbot.mouseClick(strip, Qt.MouseButton.LeftButton, pos=place(strip, 0.6))
    assert len(cursors.times) == 1  # a click elsewhere begins anew
    assert cursors.times[0] == strip.record.series.begin  # nothing was recorded there


def test_cursors_by_keyboard(board: BoardWindow, qtbot: QtBot) -> None:
    work(board, 4.0)
    board.run(False)
    strip, cursors = board.strip, board.strip.picture.cursors
    strip.setFocus(Qt.FocusReason.TabFocusReason)
    lever = board.snapshot()["levers"][LEVER]
    qtbot.keyClick(strip, Qt.Key.Key_Left)
    assert cursors.times == [strip.record.now]
    pixel = strip.hand.pixel()
    qtbot.keyClick(strip, Qt.Key.Key_Left)
    assert cursors.times[0] == pytest.approx(strip.record.now - pixel)
    qtbot.keyClick(strip, Qt.Key.Key_Left, Qt.KeyboardModifier.ShiftModifier)
    assert cursors.times[0] == pytest.approx(strip.record.now - 11 * pixel)
    qtbot.keyClick(strip, Qt.Key.Key_Return)
    qtbot.keyClick(strip, Qt.Key.Key_Right)
    assert there(cursors.pair)[1] - there(cursors.pair)[0] == pytest.approx(pixel)
    qtbot.keyClick(strip, Qt.Key.Key_Return)  # the other one
    qtbot.keyClick(strip, Qt.Key.Key_Left)
    assert there(cursors.pair)[1] - there(cursors.pair)[0] == pytest.approx(2 * pixel)
    qtbot.keyClick(strip, Qt.Key.Key_Delete)
    qtbot.keyClick(strip, Qt.Key.Key_Delete)
    qtbot.keyClick(strip, Qt.Key.Key_Delete)
    assert cursors.times == []
    assert board.snapshot()["levers"][LEVER] == lever


def test_cursors_keep_to_what_was_recorded() -> None:
    cursors = Cursors()
    cursors.move(-1.0, 0.0, 5.0, 5.0)
    cursors.move(-9.0, 0.0, 5.0, 5.0)
    assert cursors.times == [0.0]
    cursors.second(5.0)
    cursors.move(99.0, 0.0, 5.0, 5.0)
    assert cursors.pair == (0.0, 5.0)


# -- the stretch of time ------------------------------------------------------------------------------------------


def test_zoom_by_keys_and_wheel(board: BoardWindow, qtbot: QtBot) -> None:
    work(board)
    strip, time = board.strip, board.strip.picture.time
    qtbot.keyClick(strip, Qt.Key.Key_Plus)
    assert time.span == 10.0
    assert strip.curves[0].xData.min() == pytest.approx(-strip.record.now + strip.record.series.begin, abs=2 * FRAME)
    for _ in range(20):
        qtbot.keyClick(strip, Qt.Key.Key_Plus)
    assert time.span == SPANS[0] == 0.05
    assert strip.curves[0].xData[0] == pytest.approx(-0.05, abs=1e-9)
    for _ in range(20):
        qtbot.keyClick(strip, Qt.Key.Key_Minus)
    assert time.span == SPANS[-1] == 3600.0
    assert "last 60 min" in [shape.text for shape in strip.picture.still() if isinstance(shape, Words)]
    turn_wheel(strip, place(strip, 0.5), 1, Qt.KeyboardModifier.ControlModifier)
    assert time.span == 1800.0
    turn_wheel(strip, place(strip, 0.5), 1, Qt.KeyboardModifier.NoModifier)
    assert time.span == 1800.0
    qtbot.keyClick(strip, Qt.Key.Key_Home)
    assert time.span == 30.0


def test_numbers_on_the_axis_at_every_zoom() -> None:
    for span in SPANS:
        for held in (None, 1234.56):
            ticks = TimeWindow(span, held).ticks(2000.0)
            assert 2 <= len(ticks) <= 6, span
            end = 2000.0 if held is None else held
            for time, words in ticks:
                assert end - span - 1e-6 <= time <= end + 1e-6
                shown = number(words) * (60.0 if words.endswith("min") else 1.0)
                assert shown == pytest.approx(time - (2000.0 if held is None else 0.0), abs=1e-6)


def test_move_by_wheel_and_by_dragging_the_times(board: BoardWindow, qtbot: QtBot) -> None:
    work(board, 4.0)
    board.run(False)
    strip, time = board.strip, board.strip.picture.time
    strip.zoom(3)  # 2 s
    turn_wheel(strip, place(strip, 0.5), 1, Qt.KeyboardModifier.ShiftModifier)
    assert time.end(strip.record.now) == pytest.approx(strip.record.now - 0.2)
    assert strip.freeze_button.isChecked()
    left, top, width, height = (edge * strip.look.scale for edge in strip.picture.plots())
    axis = QPoint(round(left + width / 2), round(top + height + 10))
    drag(qtbot, strip, axis, axis + QPoint(20, 0))
    assert time.held == pytest.approx(strip.record.now - 0.2 - 20 * strip.hand.pixel(), abs=1e-6)
    strip.pan(-99.0)
    assert time.begin(strip.record.now) == pytest.approx(strip.record.series.begin)  # not before what is recorded
    strip.pan(99.0)
    assert time.held is None  # at its end it follows time again
    assert not strip.freeze_button.isChecked()


def test_zoom_about_the_pointer_where_it_stands() -> None:
    window = TimeWindow(10.0, 100.0)
    window.zoom(1, 92.5)
    assert (window.span, window.begin(200.0), window.held) == (5.0, 91.25, 96.25)  # 92.5 s a quarter from the left


def test_a_frozen_strip_stands_while_time_goes_on(board: BoardWindow, qtbot: QtBot) -> None:
    work(board)
    strip = board.strip
    qtbot.keyClick(strip, Qt.Key.Key_P)
    assert strip.freeze_button.isChecked()
    assert strip.freeze_button.text() == "Paused"
    before, at = strip.curves[1].yData.copy(), board.session.time
    work(board, 1.0, -0.5)
    assert board.session.time > at + 0.9
    assert np.array_equal(strip.curves[1].yData, before)
    qtbot.mouseClick(strip.freeze_button, Qt.MouseButton.LeftButton)
    pass_time(board, 0.1)
    assert strip.freeze_button.text() == "Pause"
    assert len(strip.curves[1].yData) > len(before)
