"""What waits until the first picture is live, and is then done piece by piece, frames passing between."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from PySide6.QtCore import QObject, QTimer

__all__ = ["Afterwards"]

_PAUSE = 50  # ms: some frames of the picture


class Afterwards(QObject):
    """Does some pieces of work one after another, with a pause before each."""

    def __init__(self, parent: QObject) -> None:
        super().__init__(parent)
        self._left: list[Callable[[], object]] = []
        self._timer = QTimer(self)
        self._timer.setInterval(_PAUSE)
        self._timer.timeout.connect(self._do_next)

    def begin(self, pieces: Sequence[Callable[[], object]]) -> None:
        """Do these pieces, instead of what is left of others."""
        self._left = [*pieces]
        self._timer.start()

    def stop(self) -> None:
        """Leave what is left."""
        self._timer.stop()

    def _do_next(self) -> None:
        piece = self._left.pop(0)
        if not self._left:
            self.stop()
        piece()
