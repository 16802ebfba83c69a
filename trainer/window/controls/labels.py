"""Words of a form in the look of the window; they wrap where they have no room."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtGui import QPalette
from PySide6.QtWidgets import QLabel, QWidget

from trainer.window.painting import fonts
from trainer.window.painting.look import Look

__all__ = ["Label"]


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
        self.setText(words)
        self.take_look()

    def take_look(self) -> None:
        """Take colour and type of the present look."""
        self.setFont(fonts.font(self.look.pixels(self.size_of_type), self.weight))
        palette = self.palette()
        palette.setColor(QPalette.ColorRole.WindowText, self.look.inks.colour(self.ink))
        self.setPalette(palette)

    def set_ink(self, ink: str) -> None:
        """Write it in another colour."""
        if ink != self.ink:
            self.ink = ink
            self.take_look()
