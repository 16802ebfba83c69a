"""What the screens of practice have in common: the head above, keys of their own, the look at their size."""

from __future__ import annotations

from collections.abc import Collection
from typing import ClassVar

from PySide6.QtCore import QEvent, Qt, Signal
from PySide6.QtGui import QKeyEvent, QKeySequence, QPainter, QPaintEvent, QResizeEvent
from PySide6.QtWidgets import QWidget

from trainer.window.controls.actions import Actions
from trainer.window.controls.own_keys import ENTER
from trainer.window.painting.canvas import Canvas
from trainer.window.painting.look import Look
from trainer.window.practice.head import HEIGHT, Head
from trainer.window.session.screen import Screen

__all__ = ["PracticePage"]


class PracticePage(Screen):
    """Base of the run and the card. ``asked`` is told what is asked for by a key or a button.

    ``own`` are actions of the window whose keys mean something of this page here: told are their names; "enter" is
    Enter.
    """

    full = False
    waits = False  # the first lever lets the clock run; of what is over nothing is taken any more
    own: ClassVar[Collection[str]] = ()
    asked = Signal(str)

    def __init__(self, look: Look, title: str, actions: Actions, parent: QWidget) -> None:
        super().__init__(parent)
        self.look = look
        self.known = actions
        self.head = Head(look, title, self)
        self.head.again_asked.connect(lambda: self.asked.emit("reset"))
        self.head.ladder_asked.connect(self.left)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)

    def named(self, event: QKeyEvent) -> str:
        """Return which of its own actions a key means, "" for none."""
        if event.key() in ENTER:
            return "enter"
        pressed = QKeySequence(event.keyCombination())
        for name in self.own:
            if any(keys.matches(pressed) == QKeySequence.SequenceMatch.ExactMatch for keys in self.keys_of(name)):
                return name
        return ""

    def keys_of(self, name: str) -> list[QKeySequence]:
        """Return the keys of an action of the window."""
        return self.known[name].shortcuts() if name in self.known else []

    def event(self, event: QEvent) -> bool:
        """Take its own keys before the window's shortcuts."""
        if event.type() == QEvent.Type.ShortcutOverride and isinstance(event, QKeyEvent) and self.named(event):
            event.accept()
            return True
        return super().event(event)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        name = self.named(event)
        if name and not event.isAutoRepeat():
            self.asked.emit(name)
        elif not name:
            super().keyPressEvent(event)

    def lay_out(self) -> None:
        """Place what stands on it; to be extended."""
        if self.width() < 2:
            return
        self.look.scale = min(self.width() / 1920.0, self.height() / 1080.0)
        self.head.setGeometry(0, 0, self.width(), round(HEIGHT * self.look.scale))
        self.head.lay_out()
        for widget in self.findChildren(QWidget):
            if isinstance(canvas := getattr(widget, "canvas", None), Canvas):
                canvas.forget()
            widget.update()

    def resizeEvent(self, event: QResizeEvent) -> None:
        self.lay_out()

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.fillRect(event.rect(), self.look.inks.colour("paper"))
        painter.end()
