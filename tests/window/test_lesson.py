"""A lesson on the board: covered until committed, then run, seen, explained; by keyboard, by mouse, after a crash."""

from __future__ import annotations

from pathlib import Path

from board_moves import MakeBoard
from lesson_moves import FIRST, opened, pane_of, predict_page, run_to_its_end, shown, task_of
from PySide6.QtCore import Qt
from pytestqt.qtbot import QtBot

from trainer.lessons.flow import Step

CTRL, ALT = Qt.KeyboardModifier.ControlModifier, Qt.KeyboardModifier.AltModifier


def test_a_task_by_keyboard_only(make_board: MakeBoard, tmp_path: Path, qtbot: QtBot) -> None:
    """Read, predict, commit, seen, why, and on: no click; the run ends at its own end and the attempt is kept."""
    window = make_board()
    lesson = opened(window, tmp_path, FIRST, "lever-over")

    def press(key: Qt.Key, modifier: Qt.KeyboardModifier = Qt.KeyboardModifier.NoModifier) -> None:
        qtbot.keyClick(window.focusWidget() or window, key, modifier)

    press(Qt.Key.Key_Return)
    assert shown(window) is Step.PREDICT
    right = [*predict_page(window).form.posed.answers].index("right")
    press(Qt.Key(Qt.Key.Key_1 + right))
    press(Qt.Key.Key_Return, CTRL)  # no reason yet
    assert not task_of(window).committed
    page = predict_page(window)
    assert page.reasons is not None
    assert page.reasons.has_keyboard()
    at = [*page.reasons.rows].index("right")
    press(Qt.Key(Qt.Key.Key_1 + at))
    press(Qt.Key.Key_Return, CTRL)
    assert window.session.running
    run_to_its_end(window)
    assert shown(window) is Step.SEEN
    press(Qt.Key.Key_1)
    assert shown(window) is Step.WHY
    kept = [*lesson.attempts.all()]
    assert [(one.exercise, one.whole, one.seen) for one in kept] == [("lever-over", True, "up")]
    press(Qt.Key.Key_N, ALT)
    assert task_of(window).posed.exercise.id == "lever-back"
    assert not pane_of(window).isHidden()
    assert shown(window) is Step.READ
