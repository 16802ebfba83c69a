"""How the tests move a window: by their own seconds, with a clock of their own."""

from __future__ import annotations

from collections.abc import Callable

from trainer.window.shell.window import BoardWindow

__all__ = ["FRAME", "Clock", "MakeBoard", "pass_time"]

FRAME = 1 / 60
MakeBoard = Callable[..., BoardWindow]


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
