"""A hand on the drawing of the board: where things stand, a click on one, the bench lifting."""

from __future__ import annotations

from board_moves import pass_time
from PySide6.QtCore import QPoint, Qt
from pytestqt.qtbot import QtBot

from trainer.drawing.picking import targets
from trainer.drawing.scene_state import Place
from trainer.window.shell.window import BoardWindow

__all__ = ["LEVER", "SWEEP", "click", "lift", "where"]

LEVER = "1V1.lever"
SWEEP = 2.5  # seconds: longer than any path of the two rigs takes to be lit


def where(window: BoardWindow, place: Place) -> QPoint:
    """Return the point of the drawing's widget where a thing stands."""
    return window.drawing.at(*targets(window.drawing.scene)[place]).toPoint()


def click(window: BoardWindow, qtbot: QtBot, place: Place) -> None:
    """Click on a thing."""
    qtbot.mouseClick(window.drawing, Qt.MouseButton.LeftButton, pos=where(window, place))


def lift(window: BoardWindow) -> None:
    """Let the bench lift for a second."""
    window.rack.levers[LEVER].motion.set_exactly(0.8)
    pass_time(window, 1.0)
