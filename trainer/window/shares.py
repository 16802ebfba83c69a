"""Printing in shares: what is printed a few times a second, one share in a frame, so that no frame is long."""

from __future__ import annotations

from collections.abc import Callable, Sequence

__all__ = ["Shares"]

_LATE = 1.6  # periods after which a share waits no longer


class Shares:
    """Calls each of ``prints`` once in a ``period`` [s of wall time] with the seconds since its last time."""

    def __init__(self, prints: Sequence[Callable[[float], None]], period: float) -> None:
        self.prints, self.period = prints, period
        self._since = [period * k / len(prints) for k in range(len(prints))]  # spread out

    def pass_time(self, seconds: float) -> None:
        """Let some seconds pass."""
        self._since = [since + seconds for since in self._since]

    @property
    def late(self) -> bool:
        """Whether a share has waited so long that it must be printed."""
        return max(self._since) > _LATE * self.period

    def print_one(self) -> bool:
        """Print the share that has waited longest, if its time has come; return whether it had."""
        share = max(range(len(self._since)), key=self._since.__getitem__)
        seconds = self._since[share]
        if seconds < self.period:
            return False
        self._since[share] = 0.0
        self.prints[share](seconds)
        return True

    def print_all(self) -> None:
        """Print everything now; when each comes next stays as it was."""
        for prints in self.prints:
            prints(0.0)
