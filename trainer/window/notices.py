"""What the line below the drawing says: the session's own notice first, then a message, then what stands, then that
time runs slow.
"""

from __future__ import annotations

from trainer.engine.session import Session
from trainer.window.clock_bar import speed_words

__all__ = ["Notices"]

_STAYS = 6.0  # seconds of a message
_SLOW = 1.0  # seconds of slow running before it is said


class Notices:
    """Remembers a message and how long time has run slow. ``standing`` is said where there is nothing else."""

    def __init__(self) -> None:
        self.standing = ""
        self._message, self._stays, self._slow_for = "", 0.0, 0.0
        self._warns = False
        self.warns = False  # whether what was said last can hurt or mislead

    def tell(self, words: str, warns: bool = False) -> None:
        """Say a sentence for six seconds; ``warns`` where it tells of what can hurt or mislead."""
        self._message, self._stays, self._warns = words, _STAYS, warns

    def words(self, session: Session, seconds: float) -> str:
        """Return what there is to say, some wall seconds after the last time."""
        slow = session.running and session.true_speed < 0.9 * session.speed
        self._slow_for = self._slow_for + seconds if slow else 0.0
        self._stays = max(self._stays - seconds, 0.0)
        self.warns = True
        if session.notice:
            return session.notice
        if self._stays > 0.0:
            self.warns = self._warns
            return self._message
        if self.standing:
            return self.standing
        if self._slow_for > _SLOW:
            return (
                f"The computer cannot keep up: time runs at {session.true_speed:.2g} of real time "
                f"instead of {speed_words(session.speed)}."
            )
        return ""
