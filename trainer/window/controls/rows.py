"""Rows of the numbers of a rig: a part, a choice of words, a difference; each as high as its words need."""

from __future__ import annotations

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QKeyEvent, QPainter, QPaintEvent, QPen, QResizeEvent
from PySide6.QtWidgets import QWidget

from trainer.changing.adjustables import Adjustable
from trainer.changing.changes import Changes
from trainer.window.controls.buttons import WordButton
from trainer.window.controls.own_keys import ENTER, PressButton
from trainer.window.controls.tips import set_tip
from trainer.window.painting import fonts
from trainer.window.painting.look import Look

__all__ = ["NAME", "SMALL", "ChangeRow", "DeedRow", "PartRow", "Row", "WordsRow", "flow"]

NAME, SMALL = 16.5, 14.3  # sizes of type [board px]


def flow(buttons: list[WordButton], left: int, top: int, right: int, height: int) -> int:
    """Place buttons one after the other, in further lines where they do not fit; return where they end [px]."""
    x, y = left, top
    for button in buttons:
        width = button.sizeHint().width()
        if x > left and x + width > right:
            x, y = left, y + height
        button.setGeometry(x, y, width, height)
        x += width
    return y + height if buttons else top


class Row(PressButton):
    """Base of all rows: Enter presses, the arrows go to the next one. Height follows from the width."""

    def __init__(self, look: Look, parent: QWidget) -> None:
        super().__init__(parent)
        self.look = look
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setCursor(Qt.CursorShape.PointingHandCursor)

    def height_for(self, _width: int) -> int:
        """Return the height [px] at a width [px]; to be extended."""
        return 2 * self.look.pixels(NAME)

    def refresh(self) -> bool:
        """Show the present values; return whether the height may be another now. To be extended."""
        return False

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Press on Enter; the arrows go to the next row."""
        if event.key() in (Qt.Key.Key_Down, Qt.Key.Key_Up):
            self.focusNextPrevChild(event.key() == Qt.Key.Key_Down)
        elif event.key() in ENTER:
            super().keyPressEvent(event)
        else:
            event.ignore()

    def begin(self) -> QPainter:
        """Return a painter on the row, its rule and its ring painted."""
        painter = QPainter(self)
        painter.fillRect(0, self.height() - 1, self.width(), 1, self.look.inks.colour("hairline"))
        if self.hasFocus():
            painter.setPen(QPen(self.look.inks.colour("ink"), 2.0))
            painter.drawRect(self.rect().adjusted(1, 1, -2, -2))
        return painter

    def write(self, painter: QPainter, x: float, line: float, text: str, size: float, ink: str = "ink",
              weight: int = 400) -> float:  # fmt: skip
        """Write a text with its baseline on a line [px]; return where it ends."""
        height = self.look.pixels(size)
        painter.setFont(fonts.font(height, weight))
        painter.setPen(self.look.inks.colour(ink))
        painter.drawText(round(x), round(line), text)
        return x + fonts.metrics(height, weight).horizontalAdvance(text)

    def wide(self, text: str, size: float, weight: int = 400) -> float:
        """Return how wide a text is [px]."""
        return fonts.metrics(self.look.pixels(size), weight).horizontalAdvance(text)

    def changed_mark(self, painter: QPainter, x: float, line: float) -> float:
        """Write a dot and the word "changed"; return where they end [px]."""
        side = 0.42 * self.look.pixels(SMALL)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(self.look.inks.colour("accent"))
        painter.drawEllipse(round(x), round(line - 1.15 * side), round(side), round(side))
        return self.write(painter, x + 1.7 * side, line, "changed", SMALL, "ink", 600)

    @property
    def inset(self) -> int:
        """Left and right of the words [px]."""
        return round(8 * self.look.scale)


class PartRow(Row):
    """One part of the list: id, what it is called, and a number of it that was sought."""

    def __init__(self, look: Look, id_: str, title: str, sought: str, changed: bool, parent: QWidget) -> None:
        super().__init__(look, parent)
        self.id, self.title, self.sought, self.changed = id_, title, sought, changed
        self.setText(title)
        self.setObjectName(f"part {id_}")
        self.setAccessibleName(title)
        set_tip(self, f"{title}: its numbers")
        self.setAccessibleDescription("changed" if changed else "")

    def height_for(self, _width: int) -> int:
        """Return the height [px] at a width [px]."""
        return round(1.75 * self.look.pixels(NAME) + (1.35 * self.look.pixels(SMALL) if self.sought else 0))

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = self.begin()
        ink = "accent" if self.hasFocus() or self.underMouse() else "ink"
        line = 1.2 * self.look.pixels(NAME)
        right = self.width() - self.inset - (self.wide("changed", SMALL, 600) + 12 if self.changed else 0)
        id_ = self.id if self.id != "oil" else ""
        x = self.inset
        if id_:
            self.write(painter, x, line, id_, NAME, "ink2")
            x += round(max(self.wide("0V10", NAME) + 10, self.wide(id_, NAME) + 10))
        name = self.title.removesuffix(f" {self.id}")
        height = self.look.pixels(NAME)
        fitted = fonts.metrics(height, 600).elidedText(name, Qt.TextElideMode.ElideRight, right - x)
        self.write(painter, x, line, fitted, NAME, ink, 600)
        if self.changed:
            self.changed_mark(painter, right, line)
        if self.sought:
            told = fonts.wrapped(self.sought, self.look.pixels(SMALL), self.width() - x - self.inset, 1)
            self.write(painter, x, line + 1.35 * self.look.pixels(SMALL), told[0], SMALL, "ink2")
        painter.end()


class DeedRow(Row):
    """Something to be done to the whole machine, and what it would do."""

    def __init__(self, look: Look, title: str, told: str, parent: QWidget) -> None:
        super().__init__(look, parent)
        self.told = told
        self.setText(title)
        self.setObjectName(f"deed {title}")
        self.setAccessibleName(title)
        self.setAccessibleDescription(told)
        set_tip(self, told)

    def _lines(self, width: int) -> list[str]:
        return fonts.wrapped(self.told, self.look.pixels(SMALL), width - 2 * self.inset, 3)

    def height_for(self, width: int) -> int:
        """Return the height [px] at a width [px]."""
        return round(1.75 * self.look.pixels(NAME) + 1.35 * self.look.pixels(SMALL) * len(self._lines(width)))

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = self.begin()
        line = 1.2 * self.look.pixels(NAME)
        chosen = self.hasFocus() or self.underMouse()
        self.write(painter, self.inset, line, self.text(), NAME, "accent" if chosen else "ink", 600)
        for text in self._lines(self.width()):
            line += 1.35 * self.look.pixels(SMALL)
            self.write(painter, self.inset, line, text, SMALL, "ink2")
        painter.end()


class WordsRow(QWidget):
    """A choice of words. ``asked`` is told (name, word)."""

    asked = Signal(str, object)

    def __init__(self, look: Look, changes: Changes, about: Adjustable, parent: QWidget) -> None:
        super().__init__(parent)
        self.look, self.changes, self.about = look, changes, about
        self.buttons: dict[str, WordButton] = {}
        for word in about.options:
            tip = f"{about.meaning}: {word}; the rig is built anew for it"
            button = WordButton(look, word, f"{about.meaning}: {word}", tip, self, checkable=True, size=SMALL)
            button.clicked.connect(self._clicked)
            self.buttons[word] = button
        self.setObjectName(f"words {about.name}")
        self.setAccessibleName(about.meaning)
        self.refresh()

    def _clicked(self) -> None:
        word = next(word for word, button in self.buttons.items() if button is self.sender())
        self.refresh()
        if word != self.changes.value(self.about.name):
            self.asked.emit(self.about.name, word)

    def refresh(self) -> bool:
        """Mark the present word."""
        for word, button in self.buttons.items():
            button.setChecked(word == self.changes.value(self.about.name))
        return False

    def _lines(self, width: int) -> list[str]:
        name = self.look.pixels(NAME)
        rest = fonts.metrics(self.look.pixels(SMALL)).horizontalAdvance("at rest")
        return fonts.wrapped(self.about.meaning, name, width - rest - round(24 * self.look.scale))

    def height_for(self, width: int) -> int:
        """Return the height [px] at a width [px]."""
        top = round((0.45 + 1.25 * len(self._lines(width))) * self.look.pixels(NAME))
        return flow([*self.buttons.values()], 0, top, width, round(2.0 * self.look.pixels(SMALL))) + 4

    def resizeEvent(self, event: QResizeEvent) -> None:
        self.height_for(self.width())

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        inks, name, inset = self.look.inks, self.look.pixels(NAME), round(8 * self.look.scale)
        painter.fillRect(0, self.height() - 1, self.width(), 1, inks.colour("hairline"))
        painter.setFont(fonts.font(name))
        painter.setPen(inks.colour("ink"))
        for k, text in enumerate(self._lines(self.width())):
            painter.drawText(inset, round((1.2 + 1.25 * k) * name), text)
        painter.setFont(fonts.font(self.look.pixels(SMALL)))
        painter.setPen(inks.colour("ink2"))
        rest = fonts.metrics(self.look.pixels(SMALL)).horizontalAdvance("at rest")
        painter.drawText(round(self.width() - inset - rest), round(1.2 * name), "at rest")
        painter.end()


class ChangeRow(QWidget):
    """What is not as in the file, in words, with a button that brings it back. ``asked`` is told (name, value)."""

    asked = Signal(str, object)

    def __init__(self, look: Look, name: str, words: str, back: object, parent: QWidget) -> None:
        super().__init__(parent)
        self.look, self.name, self.words, self.back = look, name, words, back
        self.button = WordButton(look, "Back", f"Back: {words}", "Back to what the file has", self, size=SMALL)
        self.button.setVisible(back is not None)
        self.button.clicked.connect(self._back)
        self.setObjectName(f"change {name}")
        self.setAccessibleName(words)

    def _back(self) -> None:
        self.asked.emit(self.name, self.back)

    def refresh(self) -> bool:
        """Nothing changes while it is shown."""
        return False

    def _lines(self, width: int) -> list[str]:
        room = width - self.button.sizeHint().width() - round(16 * self.look.scale)
        return fonts.wrapped(self.words, self.look.pixels(NAME), room, 3)

    def height_for(self, width: int) -> int:
        """Return the height [px] at a width [px]."""
        return round((0.6 + 1.25 * len(self._lines(width))) * self.look.pixels(NAME))

    def resizeEvent(self, event: QResizeEvent) -> None:
        size, high = self.button.sizeHint(), round(1.8 * self.look.pixels(NAME))
        self.button.setGeometry(self.width() - size.width(), 0, size.width(), high)

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        inks, name = self.look.inks, self.look.pixels(NAME)
        painter.fillRect(0, self.height() - 1, self.width(), 1, inks.colour("hairline"))
        painter.setFont(fonts.font(name))
        painter.setPen(inks.colour("ink"))
        for k, text in enumerate(self._lines(self.width())):
            painter.drawText(round(8 * self.look.scale), round((1.2 + 1.25 * k) * name), text)
        painter.end()
