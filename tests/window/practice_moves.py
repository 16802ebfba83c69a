"""How the tests practise: a window on the ladder, hands at the keyboard, and by script."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, datetime

from board_moves import FRAME, there
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QWidget

from trainer.practice.attempt import Attempt, session_of
from trainer.window.practice.desk import PracticeDesk
from trainer.window.practice.live import Live
from trainer.window.practice.presenter import PracticePresenter
from trainer.window.practice.run_screen import RunScreen
from trainer.window.shell.window import BoardWindow

__all__ = ["CONTROL", "NOW", "Keys", "again", "desk_of", "id_of", "live_of", "press", "run_of", "until"]

NOW = datetime(2024, 3, 7, 9, 0, tzinfo=UTC)  # a Thursday
CONTROL, SHIFT = Qt.KeyboardModifier.ControlModifier, Qt.KeyboardModifier.ShiftModifier


def desk_of(window: BoardWindow) -> PracticeDesk:
    """Return what runs practice in a window, at a day of the tests."""
    desk = window.presenter(PracticePresenter).desk
    desk.now = lambda: NOW
    return desk


def id_of(desk: PracticeDesk, code: str) -> str:
    """Return the id of a rung."""
    return next(task.id for task in desk.tasks if task.code == code)


def live_of(window: BoardWindow) -> Live:
    """Return the attempt that is under way, or was last."""
    return there(desk_of(window).live)


def run_of(window: BoardWindow) -> RunScreen:
    """Return the screen of the run."""
    return there(desk_of(window).run)


def press(window: BoardWindow, key: Qt.Key, modifier: Qt.KeyboardModifier = Qt.KeyboardModifier.NoModifier) -> None:
    """Press a key and let it go, as a person does: whatever has the keyboard takes it."""
    QTest.keyClick(focused(window), key, modifier)


def focused(window: BoardWindow) -> QWidget:
    """Return what has the keyboard."""
    return QApplication.focusWidget() or there(window.stage.screen)


class Keys:
    """A hand at the keyboard that keeps one key down while it is wanted."""

    def __init__(self, window: BoardWindow) -> None:
        self.window = window
        self.down: Qt.Key | None = None

    def hold(self, key: Qt.Key | None, fine: bool = False) -> None:
        """Keep a key down, or none."""
        modifier = SHIFT if fine else Qt.KeyboardModifier.NoModifier
        if key is not self.down:
            if self.down is not None:
                QTest.keyRelease(focused(self.window), self.down)
            if key is not None:
                QTest.keyPress(focused(self.window), key, modifier)
            self.down = key


def until(
    window: BoardWindow, over: Callable[[], bool], hand: Callable[[], object] = bool, most: float = 30.0
) -> None:
    """Let wall seconds pass, a hand acting before each frame, until something is so."""
    for _ in range(round(most / FRAME)):
        if over():
            return
        hand()
        window.tick(FRAME)
    raise AssertionError(f"nothing came of it in {most:g} s")


def again(live: Live) -> Attempt:
    """Return an attempt made of what the session has recorded, without the window."""
    attempt = Attempt(live.task, 0, live.number)
    session = session_of(live.task, attempt.lap)
    attempt.take(session.readings)
    session.replay(list(live.session.record), seen=lambda: attempt.take(session.readings))
    return attempt
