"""While a kept run is repeated: how far it is, a window that is painted, and hands that do nothing meanwhile."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QEvent, QObject, Qt
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QApplication, QWidget

from trainer.engine.session import Session
from trainer.window.session.controller import SessionController

if TYPE_CHECKING:
    from trainer.window.recovery.pane import RecoveryPane

__all__ = ["GivenUp", "Progress"]

_EVERY = 20  # calls between two looks at the window: a third of a second of the run
_HANDS = frozenset({
    QEvent.Type.KeyPress, QEvent.Type.KeyRelease, QEvent.Type.ShortcutOverride, QEvent.Type.Shortcut,
    QEvent.Type.MouseButtonPress, QEvent.Type.MouseButtonRelease, QEvent.Type.MouseButtonDblClick,
    QEvent.Type.Wheel, QEvent.Type.ContextMenu, QEvent.Type.DragEnter, QEvent.Type.Drop,
    QEvent.Type.TouchBegin, QEvent.Type.TouchUpdate, QEvent.Type.TouchEnd,
})  # fmt: skip


class GivenUp(Exception):
    """The user gives the repetition up; what was kept stays as it is."""


class Progress(QObject):
    """Shows on a pane how far a run is repeated; used as a context, it swallows what hands do meanwhile.

    Esc gives up, and so does closing the window, which then closes.
    """

    def __init__(self, controller: SessionController, frame: QWidget, pane: RecoveryPane, whole: float) -> None:
        super().__init__()
        self.controller, self.frame, self.pane, self.whole = controller, frame, pane, whole
        self.given_up = self.closes = False
        self.dropped = 0  # keys and clicks
        self._calls = 0
        application = QApplication.instance()
        assert application is not None, "there is a pane, so there is an application"
        self._application = application

    def __enter__(self) -> Progress:
        self.controller.pause_frames(True)
        self._application.installEventFilter(self)
        self.pane.show_progress(0.0, self.whole)
        QApplication.processEvents()
        return self

    def __exit__(self, *_: object) -> None:
        QApplication.processEvents()  # what hands did until now is dropped, not done afterwards
        self._application.removeEventFilter(self)
        self.controller.pause_frames(False)

    def see(self, session: Session) -> None:
        """Take the next instant of the repetition. Raises GivenUp."""
        self._calls += 1
        if self._calls % _EVERY == 0:
            self.pane.show_progress(min(session.time, self.whole), self.whole)
            QApplication.processEvents()
        if self.given_up:
            raise GivenUp

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """Drop what hands do; note Esc and the closing of the window."""
        kind = event.type()
        if kind == QEvent.Type.Close and watched is self.frame:
            self.given_up = self.closes = True
            event.ignore()
            return True
        if kind not in _HANDS:
            return False
        if isinstance(event, QKeyEvent) and event.key() == Qt.Key.Key_Escape:
            self.given_up = True
        elif kind in (QEvent.Type.KeyPress, QEvent.Type.MouseButtonPress):
            self.dropped += 1
        event.accept()
        return True
