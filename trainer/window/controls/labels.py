"""Words of a form in the look of the window; they wrap where they have no room."""

from __future__ import annotations

from typing import Protocol, runtime_checkable

from PySide6.QtCore import QPointF, Qt
from PySide6.QtGui import QPainter, QPaintEvent, QPalette
from PySide6.QtWidgets import QLabel, QWidget

from trainer.language import tr
from trainer.window.painting import fonts
from trainer.window.painting.look import Look

__all__ = ["ChangedMark", "Label", "TakesLook"]


@runtime_checkable
class TakesLook(Protocol):
    """What has sizes or colours of its own."""

    def take_look(self) -> None:
        """Take those of the present look."""


def take_looks(root: QWidget) -> None:
    """Let everything in a widget take the present look; at another scale its hint is another, too."""
    for child in root.findChildren(QWidget):
        if isinstance(child, TakesLook):
            child.take_look()
        child.updateGeometry()


class Label(QLabel):
    """Plain words, whatever a rig's file calls its parts; ``size`` of their type [board px]."""

    def __init__(
        self, look: Look, words: str, parent: QWidget, *, size: float, ink: str = "ink", weight: int = 400,
        wraps: bool = True,
    ) -> None:  # fmt: skip
        super().__init__(parent)
        self.look, self.size_of_type, self.ink, self.weight = look, size, ink, weight
        self.setTextFormat(Qt.TextFormat.PlainText)
        self.setWordWrap(wraps)
        self.setAttribute(Qt.WidgetAttribute.WA_TransparentForMouseEvents)
        self.setForegroundRole(QPalette.ColorRole.WindowText)  # on a button too
        self.setText(words)
        self.take_look()

    def take_look(self) -> None:
        """Take colour and type of the present look."""
        self.setFont(fonts.font(self.look.pixels(self.size_of_type), self.weight))
        palette = self.palette()
        palette.setColor(QPalette.ColorRole.WindowText, self.look.inks.colour(self.ink))
        self.setPalette(palette)

    def set_weight(self, weight: int) -> None:
        """Write it in another weight."""
        if weight != self.weight:
            self.weight = weight
            self.take_look()

    def set_ink(self, ink: str) -> None:
        """Write it in another colour."""
        if ink != self.ink:
            self.ink = ink
            self.take_look()


class ChangedMark(Label):
    """A dot and the word "changed"."""

    def __init__(self, look: Look, parent: QWidget, *, size: float) -> None:
        super().__init__(look, tr("changed"), parent, size=size, weight=600, wraps=False)

    @property
    def _side(self) -> float:
        return 0.42 * self.look.pixels(self.size_of_type)

    def take_look(self) -> None:
        """Take colour and type of the present look; the dot stands left of the word."""
        super().take_look()
        self.setContentsMargins(round(1.7 * self._side), 0, 0, 0)

    def paintEvent(self, event: QPaintEvent) -> None:
        super().paintEvent(event)
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(self.look.inks.colour("accent"))
        half = self._side / 2
        painter.drawEllipse(QPointF(half + 0.5, self.height() / 2 + 0.5), half, half)
        painter.end()
