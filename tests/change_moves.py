"""How the tests let changes take effect: frame by frame, as the window does."""

from __future__ import annotations

from trainer.changing.changes import Changes
from trainer.engine.session import FRAME

__all__ = ["pass_frames"]


def pass_frames(changes: Changes, count: int) -> None:
    """Let frames of model time pass."""
    for _ in range(count):
        changes.session.advance(FRAME)
