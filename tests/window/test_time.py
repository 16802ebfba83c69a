"""Time at hand: steps, rewinding with everything that shows it, marks, the exact start."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from approved_lists import check
from board_moves import FRAME, MakeBoard, pass_time
from looks import sizes
from PySide6.QtCore import QPoint, QRectF, Qt
from pytestqt.qtbot import QtBot

from trainer.drawing.shapes import Words
from trainer.rig.rig import Rig
from trainer.window.shell.window import BoardWindow
from trainer.window.time.line import TimeLine
from trainer.window.time.presenter import TimePresenter

LEVER = "1V1.lever"


def lift(window: BoardWindow, share: float, seconds: float) -> None:
    """Hold the bench's lever and let time pass."""
    window.rack.levers[LEVER].motion.set_exactly(share)
    window.run()
    pass_time(window, seconds)


def seen(window: BoardWindow) -> dict[str, Any]:
    """Return all that the window shows of an instant, as words, numbers and draw lists."""
    snapshot = window.snapshot()
    live = window.session.readings
    return {
        "words": {name: snapshot[name] for name in ("time", "levers", "speeds", "instruments", "spools")},
        "ledgers": (snapshot["flow ledger"].total, snapshot["power ledger"].total),
        "strip": snapshot["strip"],
        "states": live.x.tolist(),
        "piston": live.place("rod1"),
        "drawing": window.drawing.readings.time,
        "clock": window.bar.time_text,
    }


def click(window: BoardWindow, qtbot: QtBot, time: float) -> None:
    """Press the time line where an instant stands."""
    line = window.board.time_line
    x = round(line.place(time) * line.look.scale)
    qtbot.mouseClick(line, Qt.MouseButton.LeftButton, pos=QPoint(x, line.height() // 2))


def test_steps_of_a_frame_and_of_a_tenth(board: BoardWindow, qtbot: QtBot) -> None:
    at = board.session.time
    qtbot.keyClick(board, Qt.Key.Key_Period)
    assert not board.session.running
    assert board.session.time == pytest.approx(at + 1 / 60)
    qtbot.keyClick(board, Qt.Key.Key_Comma)
    assert board.session.time == pytest.approx(at + 1 / 60 + 0.1)
    board.set_speed(1 / 100)
    qtbot.keyClick(board, Qt.Key.Key_Period)
    assert board.session.time == pytest.approx(at + 1 / 60 + 0.1 + 1 / 6000)
    assert board.bar.time_text.endswith(" s")


def test_rewinding_shows_that_instant_everywhere(board: BoardWindow, qtbot: QtBot) -> None:
    lift(board, 0.6, 2.0)
    board.run(False)
    pass_time(board, 3 * FRAME)
    board.controller.show_anew(1.0)
    then = seen(board)
    lift(board, -0.8, 3.0)
    board.controller.show_anew(1.0)
    assert seen(board)["words"] != then["words"]
    board.rewind(then["words"]["time"])
    assert not board.session.running
    found = seen(board)
    for name, value in then.items():
        assert found[name] == value, name
    pass_time(board, 0.5)  # frozen, the lever stays where it was held
    assert seen(board)["words"]["levers"] == then["words"]["levers"]
    qtbot.keyClick(board.board.time_line, Qt.Key.Key_End)
    assert board.session.time == board.session.history.end


def test_going_on_with_another_lever_gives_up_what_came_after(board: BoardWindow, qtbot: QtBot) -> None:
    lift(board, 0.6, 3.0)
    end, place = board.session.history.end, board.session.readings.place("rod1")
    click(board, qtbot, 1.5)
    assert board.session.time == pytest.approx(1.5, abs=0.05)
    here = board.session.time
    assert board.session.history.end == end
    board.rack.levers[LEVER].motion.set_exactly(0.0)
    board.run()
    pass_time(board, 1.0)
    assert board.session.history.end == pytest.approx(here + 1.0, abs=0.05)
    assert board.session.readings.place("rod1") < place
    series = board.strip.record.series
    times, _ = series.column(series.names[0], 0.0, 10.0)
    assert (np.diff(times) > 0).all()


def test_backspace_and_the_arrow_keys_go_back(board: BoardWindow, qtbot: QtBot) -> None:
    lift(board, 0.4, 4.0)
    at = board.session.time
    qtbot.keyClick(board, Qt.Key.Key_Backspace)
    assert board.session.time == pytest.approx(at - 1.0, abs=FRAME)
    line = board.board.time_line
    qtbot.keyClick(line, Qt.Key.Key_Left)
    qtbot.keyClick(line, Qt.Key.Key_Right)
    assert board.session.time == pytest.approx(at - 1.0, abs=3 * FRAME)
    assert line.behind == pytest.approx(1.0, abs=3 * FRAME)
    qtbot.keyClick(line, Qt.Key.Key_Home)
    assert board.session.time == 0.0


def test_marks_are_set_gone_to_and_lost_with_their_future(board: BoardWindow, qtbot: QtBot) -> None:
    lift(board, 0.5, 1.0)
    qtbot.keyClick(board, Qt.Key.Key_K, Qt.KeyboardModifier.ControlModifier)
    first = board.session.time
    lift(board, 0.5, 1.5)
    qtbot.keyClick(board, Qt.Key.Key_K, Qt.KeyboardModifier.ControlModifier)
    second = board.session.time
    assert board.marks == [(first, "A"), (second, "B")]
    lift(board, 0.5, 0.5)
    qtbot.keyClick(board, Qt.Key.Key_Left, Qt.KeyboardModifier.AltModifier)
    assert board.session.time == second
    qtbot.keyClick(board, Qt.Key.Key_Left, Qt.KeyboardModifier.AltModifier)
    assert board.session.time == first
    qtbot.keyClick(board, Qt.Key.Key_Right, Qt.KeyboardModifier.AltModifier)
    assert board.session.time == second
    click(board, qtbot, first + 0.004)  # a press on a mark goes to it exactly
    assert board.session.time == first
    assert "A" in [words for words, _, _ in board.board.time_line.canvas.texts()]
    board.run()
    pass_time(board, 0.3)
    assert board.marks == [(first, "A")]
    board.reset()
    assert board.marks == []


@pytest.mark.soak
def test_reset_returns_to_the_exact_start(make_board: MakeBoard, loader: Rig, qtbot: QtBot) -> None:
    window = make_board(loader)
    start = window.session.readings.x.copy()
    window.rack.levers["3V1.lever"].motion.set_exactly(0.7)
    window.run()
    pass_time(window, 1.0)
    qtbot.keyClick(window, Qt.Key.Key_Home, Qt.KeyboardModifier.ControlModifier)
    assert window.session.time == 0.0
    assert np.array_equal(window.session.readings.x, start)
    assert window.rack.levers["3V1.lever"].motion.value == 0.0


@pytest.mark.soak
@pytest.mark.parametrize("minutes", [1, pytest.param(10, marks=pytest.mark.soak)])
def test_minutes_can_be_gone_back_through(board: BoardWindow, minutes: int) -> None:
    session = board.session
    session.set_control(LEVER, 0.3)
    session.advance(4.0)
    kept = (session.time, session.readings.x.copy())
    session.set_control(LEVER, 0.0)
    session.advance(60.0 * minutes)
    board.rewind(kept[0])
    assert session.time == kept[0]
    assert np.array_equal(session.readings.x, kept[1])


@pytest.mark.soak
@pytest.mark.parametrize("size", sizes((1280, 720), (1920, 1080)))
def test_the_time_line_is_readable(make_board: MakeBoard, size: tuple[int, int]) -> None:
    window = make_board(size=size)
    lift(window, 0.4, 2.0)
    window.presenter(TimePresenter).mark()
    window.session.advance(200.0)
    window.rewind(50.0)
    line = window.board.time_line
    boxes = line.canvas.texts()
    assert {"A", "3:00"} <= {words for words, _, _ in boxes}  # 1:00 gives way to what going on drops
    assert any("drops 0:50.0 … 3:22" in words for words, _, _ in boxes)
    assert any(words.endswith("s back") for words, _, _ in boxes)
    for k, (words, box, pixels) in enumerate(boxes):
        assert pixels >= 12
        assert 0 <= box.left() < box.right() <= line.width(), words
        assert box.top() >= -2, words
        assert not any(box.intersects(other) for _, other, _ in boxes[:k]), words


def test_the_time_line_says_times_in_words() -> None:
    from trainer.window.time.line import clock_words

    assert [clock_words(t) for t in (0.0, 42.0, 60.0, 185.0, 3600.0)] == ["0 s", "42 s", "1:00", "3:05", "60:00"]
    assert clock_words(0.5, 0.5) == "0.5 s"
    assert TimeLine.__doc__


def test_the_time_line_is_the_approved_one(make_board: MakeBoard) -> None:
    window = make_board(size=(1920, 1080))
    line = window.board.time_line
    line.show_time(42.0, 61.5, ((12.0, "A"), (30.5, "lift")))
    check("time_line", line._live())


def test_the_time_line_says_before_what_going_on_drops_and_the_notice_says_it_when_it_does(
    board: BoardWindow, qtbot: QtBot
) -> None:
    lift(board, 0.4, 8.0)
    end = board.session.history.end
    line = board.board.time_line
    assert line.gives_up() == ""
    board.rewind(3.0)
    board.print_figures()
    loud = [(words, size) for words, size in _loud(line) if words.startswith("going on drops")]
    assert loud == [(f"going on drops {board.session.time:.1f} s … {end:.1f} s", 21.0)]
    assert line.gives_up() in line.accessibleDescription()
    here = board.session.time
    board.run()
    pass_time(board, 2 * FRAME)
    board.print_figures()
    assert board.notice.words == f"From {here:.1f} s on anew; the run to {end:.1f} s is dropped."
    assert line.gives_up() == ""
    qtbot.keyClick(line, Qt.Key.Key_End)
    board.tell("")
    board.run()
    pass_time(board, 1.0)  # from the latest instant nothing is dropped, and nothing said
    assert "dropped" not in board.notice.words


def test_what_going_on_drops_stands_over_no_mark_and_says_less_where_there_is_less_room(board: BoardWindow) -> None:
    line = board.board.time_line
    marks = ((21.0, "A"), (60.0, "B"))
    for time in (1.0, 20.0, 59.0, 118.0):
        line.show_time(time, 120.0, marks)
        boxes = line.canvas.texts()
        assert any("drops" in words for words, _, _ in boxes), time
        assert {"A", "B"} <= {words for words, _, _ in boxes}
        assert not _overlapping(boxes), time


def _loud(line: TimeLine) -> list[tuple[str, float]]:
    return [(shape.text, shape.size) for shape in line._live() if isinstance(shape, Words)]


def _overlapping(boxes: list[tuple[str, QRectF, int]]) -> list[tuple[str, str]]:
    return [(a, b) for k, (a, one, _) in enumerate(boxes) for b, other, _ in boxes[:k] if one.intersects(other)]
