"""How the tests move a window: by their own seconds, without a clock."""

from __future__ import annotations

from collections.abc import Callable

from trainer.window.board import BoardWindow

__all__ = ["FRAME", "MakeBoard", "pass_time"]

FRAME = 1 / 60
MakeBoard = Callable[..., BoardWindow]


def pass_time(window: BoardWindow, seconds: float) -> None:
    """Move a window by wall seconds, frame by frame."""
    for _ in range(round(seconds / FRAME)):
        window.tick(FRAME)
