"""What waits until the first picture is live, and is then done piece by piece, frames passing between."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from PySide6.QtCore import QObject, QTimer

__all__ = ["Afterwards"]

_PAUSE = 50  # ms: some frames of the picture


class Afterwards(QObject):
    """Does some pieces of work one after another, with a pause before each; at its ``turn`` the next is due."""

    def __init__(self, parent: QObject) -> None:
        super().__init__(parent)
        self._left: list[Callable[[], object]] = []
        self.turn = QTimer(self)
        self.turn.setInterval(_PAUSE)
        self.turn.timeout.connect(self._do_next)

    def begin(self, pieces: Sequence[Callable[[], object]]) -> None:
        """Do these pieces, instead of what is left of others."""
        self._left = [*pieces]
        self.turn.start()

    @property
    def left(self) -> bool:
        """Whether something waits."""
        return bool(self._left)

    def stop(self) -> None:
        """Leave what is left."""
        self.turn.stop()

    def _do_next(self) -> None:
        piece = self._left.pop(0)
        if not self._left:
            self.stop()
        piece()
