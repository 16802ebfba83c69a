"""What a form of numbers is made of: pieces ruled off below, a heading over buttons, a choice of words."""

from __future__ import annotations

from PySide6.QtCore import Signal
from PySide6.QtGui import QPainter, QPaintEvent
from PySide6.QtWidgets import QHBoxLayout, QVBoxLayout, QWidget

from trainer.changing.adjustables import Adjustable
from trainer.changing.changes import Changes
from trainer.language import tr
from trainer.window.controls.buttons import WordButton
from trainer.window.controls.flow_layout import FlowLayout
from trainer.window.controls.labels import Label
from trainer.window.painting.look import Look

__all__ = ["INSET", "NAME", "SMALL", "Block", "Buttons", "Piece", "WordsRow"]

NAME, SMALL = 16.5, 14.3  # sizes of type [board px]
INSET = 8.0  # left and right of the words, as of a button's [board px]


class Piece(QWidget):
    """Base of what stands in the form: a column with a rule below it."""

    def __init__(self, look: Look, parent: QWidget) -> None:
        super().__init__(parent)
        self.look = look
        self.column = QVBoxLayout(self)
        self.column.setSpacing(0)

    def take_look(self) -> None:
        """Take the sizes of the present look."""
        inset = round(INSET * self.look.scale)
        self.column.setContentsMargins(inset, round(0.3 * self.look.pixels(NAME)), inset, 3)

    def refresh(self) -> None:
        """Show present values; to be extended."""

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.fillRect(0, self.height() - 1, self.width(), 1, self.look.inks.colour("hairline"))
        painter.end()


class Buttons(FlowLayout):
    """Buttons in lines whose words are in line with those above them."""

    def take_look(self, look: Look) -> None:
        """Take the sizes of the present look."""
        self.outdent = round(INSET * look.scale)


class WordsRow(Piece):
    """A choice of words. ``asked`` is told (name, word)."""

    asked = Signal(str, object)

    def __init__(self, look: Look, changes: Changes, about: Adjustable, parent: QWidget) -> None:
        super().__init__(look, parent)
        self.changes, self.about = changes, about
        self.buttons: dict[str, WordButton] = {}
        self.flow = Buttons()
        for word in about.options:
            said = tr(word)
            tip = tr("{meaning}: {word}; the rig is built anew for it").format(meaning=about.meaning, word=said)
            button = WordButton(look, said, f"{about.meaning}: {said}", tip, self, checkable=True, size=SMALL)
            button.clicked.connect(self._clicked)
            self.buttons[word] = button
            self.flow.addWidget(button)
        line = QHBoxLayout()
        line.addWidget(Label(look, about.meaning, self, size=NAME), 1)
        line.addWidget(Label(look, tr("at rest"), self, size=SMALL, ink="ink2", wraps=False))
        self.column.addLayout(line)
        self.column.addLayout(self.flow)
        self.setObjectName(f"words {about.name}")
        self.setAccessibleName(about.meaning)
        self.take_look()
        self.refresh()

    def take_look(self) -> None:
        """Take the sizes of the present look."""
        super().take_look()
        self.flow.take_look(self.look)

    def _clicked(self) -> None:
        word = next(word for word, button in self.buttons.items() if button is self.sender())
        self.refresh()
        if word != self.changes.value(self.about.name):
            self.asked.emit(self.about.name, word)

    def refresh(self) -> None:
        """Mark the present word."""
        for word, button in self.buttons.items():
            button.setChecked(word == self.changes.value(self.about.name))


class Block(Piece):
    """A heading and a row of buttons below it, each for a value. ``asked`` is told (name, value)."""

    asked = Signal(str, object)

    def __init__(self, look: Look, changes: Changes, heading: str, name: str, parent: QWidget) -> None:
        super().__init__(look, parent)
        self.changes, self.heading, self.name = changes, heading, name
        self.values: list[tuple[WordButton, float]] = []
        self.flow = Buttons()
        self.column.addWidget(Label(look, heading, self, size=NAME, weight=600))
        self.column.addLayout(self.flow)
        self.setAccessibleName(heading)
        self.take_look()

    def take_look(self) -> None:
        """Take the sizes of the present look."""
        super().take_look()
        self.flow.take_look(self.look)

    def add(self, word: str, tip: str, value: float) -> None:
        """Add a button that asks for a value."""
        button = WordButton(self.look, word, tip, tip, self, checkable=True, size=SMALL)
        button.clicked.connect(self._clicked)
        self.values.append((button, value))
        self.flow.addWidget(button)

    def _clicked(self) -> None:
        value = next(value for button, value in self.values if button is self.sender())
        self.asked.emit(self.name, value)
        self.refresh()

    def refresh(self) -> None:
        """Mark what is asked for."""
        asked = self.changes.value(self.name)
        for button, value in self.values:
            button.setChecked(value == asked)
