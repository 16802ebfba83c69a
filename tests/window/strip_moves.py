"""How the tests work with a strip: hands on it, and what it says."""

from __future__ import annotations

import numpy as np
from board_moves import pass_time
from PySide6.QtCore import QPoint, QPointF, Qt
from PySide6.QtGui import QWheelEvent
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from trainer.drawing.shapes import Words
from trainer.window.shell.window import BoardWindow
from trainer.window.strip.figures import table
from trainer.window.strip.view import StripView

__all__ = ["A1", "LEVER", "P1", "drag", "number", "place", "recorded", "texts", "turn_wheel", "work"]

LEVER = "1V1.lever"
P1, A1 = "dial P1", "pressure A1"


def number(words: str) -> float:
    """The number at the beginning of a printed figure with its unit."""
    return float(words.split()[0].replace("−", "-"))


def work(window: BoardWindow, seconds: float = 2.0, lever: float = 0.8) -> None:
    """Move the lever and let time pass."""
    window.rack.levers[LEVER].motion.set_exactly(lever)
    pass_time(window, seconds)


def texts(strip: StripView) -> list[str]:
    """Everything that is written beside and below the plots."""
    return [shape.text for shape in (*strip.picture.live(), *table(strip.picture)) if isinstance(shape, Words)]


def place(strip: StripView, share: float) -> QPoint:
    """A place on the plots, by its share of their width from the left [px]."""
    left, top, width, height = (edge * strip.look.scale for edge in strip.picture.plots())
    return QPoint(round(left + share * width), round(top + height / 3))


def drag(qtbot: QtBot, strip: StripView, begin: QPoint, end: QPoint) -> None:
    qtbot.mousePress(strip, Qt.MouseButton.LeftButton, pos=begin)
    qtbot.mouseMove(strip, end)
    qtbot.mouseRelease(strip, Qt.MouseButton.LeftButton, pos=end)


def turn_wheel(strip: StripView, at: QPoint, steps: int, modifier: Qt.KeyboardModifier) -> None:
    event = QWheelEvent(QPointF(at), QPointF(strip.mapToGlobal(at)), QPoint(), QPoint(0, 120 * steps),
                        Qt.MouseButton.NoButton, modifier, Qt.ScrollPhase.NoScrollPhase, False)  # fmt: skip
    QApplication.sendEvent(strip, event)


def recorded(strip: StripView, column: str) -> tuple[np.ndarray, np.ndarray]:
    series = strip.record.series
    return series.column(column, series.begin, series.end)
