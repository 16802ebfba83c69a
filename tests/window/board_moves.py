"""How the tests move a window: by their own seconds, with a clock of their own."""

from __future__ import annotations

from collections.abc import Callable
from typing import TypeVar

from PySide6.QtCore import Qt

from trainer.window.class_view.presenter import ClassPresenter
from trainer.window.class_view.view import ClassView
from trainer.window.opening.presenter import OpeningPresenter
from trainer.window.shell.window import BoardWindow

__all__ = [
    "FRAME", "Clock", "MakeBoard", "change_class", "class_view_of", "opening_of", "pass_time",
    "there",
]  # fmt: skip

FRAME = 1 / 60
MakeBoard = Callable[..., BoardWindow]
_Kind = TypeVar("_Kind")


class Clock:
    """The clock of a window under test: it stands unless the test moves it: no load of the machine is seen."""

    def __init__(self) -> None:
        self.now = 0.0

    def __call__(self) -> float:
        return self.now


def pass_time(window: BoardWindow, seconds: float) -> None:
    """Move a window by wall seconds, frame by frame."""
    for _ in range(round(seconds / FRAME)):
        window.tick(FRAME)


def change_class(window: BoardWindow) -> None:
    """Change between the board and the class view, in the window's size."""
    size = window.size()
    window.presenter(ClassPresenter).change_view()
    window.setWindowState(Qt.WindowState.WindowNoState)
    window.resize(size)


def class_view_of(window: BoardWindow) -> ClassView:
    """Return the class view, which has been shown."""
    return there(window.presenter(ClassPresenter).view)


def opening_of(window: BoardWindow) -> OpeningPresenter:
    """Return what opens rigs in a window."""
    return window.presenter(OpeningPresenter)


def there(found: _Kind | None) -> _Kind:
    """Return what is there."""
    assert found is not None
    return found
