"""What stands above the numbers of a part: loads to hook on and drop, the oil cold, warm or hot; a question."""

from __future__ import annotations

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QKeyEvent, QPainter, QPaintEvent, QResizeEvent
from PySide6.QtWidgets import QWidget

from trainer import units
from trainer.changing.changes import OILS, Changes
from trainer.window.controls.buttons import WordButton
from trainer.window.controls.rows import NAME, SMALL, flow
from trainer.window.controls.tips import set_tip
from trainer.window.painting import fonts
from trainer.window.painting.look import Look

__all__ = ["REBUILT", "AskBar", "LoadBlock", "OilBlock"]

REBUILT = ("Build it anew", "Put the rig together anew")


class _Block(QWidget):
    """A heading and a row of buttons below it."""

    asked = Signal(str, object)

    def __init__(self, look: Look, changes: Changes, heading: str, name: str, parent: QWidget) -> None:
        super().__init__(parent)
        self.look, self.changes, self.heading = look, changes, heading
        self.values: list[tuple[WordButton, float]] = []
        self.name = name
        self.setAccessibleName(heading)

    def add(self, word: str, tip: str, value: float) -> None:
        """Add a button that asks for a value."""
        button = WordButton(self.look, word, tip, tip, self, checkable=True, size=SMALL)
        button.clicked.connect(self._clicked)
        self.values.append((button, value))

    def _clicked(self) -> None:
        value = next(value for button, value in self.values if button is self.sender())
        self.asked.emit(self.name, value)
        self.refresh()

    def refresh(self) -> bool:
        """Mark what is asked for."""
        asked = self.changes.value(self.name)
        for button, value in self.values:
            button.setChecked(value == asked)
        return False

    def height_for(self, width: int) -> int:
        """Return the height [px] at a width [px]; the buttons are placed for it."""
        top = round(1.7 * self.look.pixels(NAME))
        buttons = [button for button, _ in self.values]
        return flow(buttons, 0, top, width, round(2.1 * self.look.pixels(SMALL))) + 6

    def resizeEvent(self, event: QResizeEvent) -> None:
        self.height_for(self.width())

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        name = self.look.pixels(NAME)
        painter.fillRect(0, self.height() - 1, self.width(), 1, self.look.inks.colour("hairline"))
        painter.setFont(fonts.font(name, 600))
        painter.setPen(self.look.inks.colour("ink"))
        painter.drawText(round(8 * self.look.scale), round(1.25 * name), self.heading)
        painter.end()


class OilBlock(_Block):
    """The oil cold, warm or hot."""

    def __init__(self, look: Look, changes: Changes, parent: QWidget) -> None:
        super().__init__(look, changes, "Bring the oil to", "oil.temperature", parent)
        about = changes.known[self.name]
        for word, celsius in OILS.items():
            told = about.shown(celsius, look.system)
            self.add(f"{word.capitalize()} {told}", f"Oil {word}, {told}", celsius)
        self.setObjectName("oil block")
        self.refresh()


class LoadBlock(_Block):
    """A load to be hooked on, in a few steps, and dropped."""

    def __init__(self, look: Look, changes: Changes, name: str, steps: tuple[float, ...], parent: QWidget) -> None:
        about = changes.known[name]
        unit = about.unit(look.system)
        super().__init__(look, changes, f"Hook on, {unit}", name, parent)
        self.add("Drop", f"Drop what hangs on {about.title}", about.low)
        for step in steps:
            if step > about.low:
                figures = units.text(step, "mass", look.system, 0)[0]
                self.add(figures, f"Hook {figures} {unit} on {about.title}", step)
        self.setObjectName(f"load block {name}")
        self.refresh()


class AskBar(QWidget):
    """A question at the foot of the pane with two answers; Esc is the second. ``answered`` is told whether yes."""

    answered = Signal(bool)

    def __init__(self, look: Look, parent: QWidget) -> None:
        super().__init__(parent)
        self.look = look
        self.question = ""
        self.yes = WordButton(look, *REBUILT, REBUILT[1], self)
        self.no = WordButton(look, "Leave it", "Leave it as it is", "Leave it as it is  (Esc)", self)
        self.yes.clicked.connect(self._yes)
        self.no.clicked.connect(self._no)
        self.setObjectName("question")
        self.hide()

    def _yes(self) -> None:
        self.answered.emit(True)

    def _no(self) -> None:
        self.answered.emit(False)

    def ask(self, question: str, yes: tuple[str, str] = REBUILT) -> None:
        """Show a question and take the keyboard; ``yes`` is the first answer in a word or two, and in words."""
        self.question = question
        self.yes.setText(yes[0])
        self.yes.setAccessibleName(yes[1])
        set_tip(self.yes, yes[1])
        self.setAccessibleName(question)
        self.show()
        self.raise_()
        self.yes.setFocus(Qt.FocusReason.TabFocusReason)
        self.update()

    def _lines(self, width: int) -> list[str]:
        return fonts.wrapped(self.question, self.look.pixels(NAME), width - 16 * self.look.scale, 8)

    def height_for(self, width: int) -> int:
        """Return the height [px] at a width [px]."""
        words = 1.25 * self.look.pixels(NAME) * (len(self._lines(width)) + 1)
        return round(words + 1.2 * self.yes.sizeHint().height())

    def resizeEvent(self, event: QResizeEvent) -> None:
        high = self.yes.sizeHint().height()
        flow([self.yes, self.no], 0, self.height() - high - 4, self.width(), high)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() == Qt.Key.Key_Escape:
            self.answered.emit(False)
        else:
            super().keyPressEvent(event)

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        inks, name = self.look.inks, self.look.pixels(NAME)
        painter.fillRect(self.rect(), inks.colour("paper"))
        painter.fillRect(0, 0, self.width(), 2, inks.colour("ink"))
        painter.setFont(fonts.font(name))
        painter.setPen(inks.colour("ink"))
        for k, text in enumerate(self._lines(self.width())):
            painter.drawText(round(8 * self.look.scale), round((1.5 + 1.25 * k) * name), text)
        painter.end()
