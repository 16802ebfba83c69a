"""Work in shares: what is done some times a second, one share in a frame, so that no frame is long."""

from __future__ import annotations

from collections.abc import Callable, Sequence

__all__ = ["LATEST", "Shares"]

LATEST = 0.2  # seconds after which nothing waits, however long the frames are
_LATE = 1.6  # periods after which a share waits no longer for a quiet frame


class Shares:
    """Calls each of some functions once in its period [s of wall time] with the seconds since its last time.

    A quiet frame has room for one of them, a hard one only for what is late. What would not be done within
    ``LATEST`` by the next frame, if that takes as long as this one, is done now: none of them starves another.
    ``periods`` may be changed.
    """

    def __init__(self, shares: Sequence[tuple[Callable[[float], None], float]]) -> None:
        self.calls = [call for call, _ in shares]
        self.periods = [period for _, period in shares]
        self._since = [period * k / len(shares) for k, (_, period) in enumerate(shares)]  # spread out

    def pass_time(self, seconds: float, hard: bool = False) -> None:
        """Let a frame of some seconds pass, and do what has its time; ``hard`` where little of the frame is left."""
        self._since = [since + seconds for since in self._since]
        due = [k for k, since in enumerate(self._since) if since + seconds > max(LATEST, self.periods[k])]
        late = [since / period >= _LATE for since, period in zip(self._since, self.periods, strict=True)]
        if due:
            due = [k for k, one in enumerate(late) if one or k in due]
        else:
            waited, k = max((since / self.periods[k], k) for k, since in enumerate(self._since))
            due = [k] if waited >= (_LATE if hard else 1.0) else []
        for k in due:
            seconds, self._since[k] = self._since[k], 0.0
            self.calls[k](seconds)
