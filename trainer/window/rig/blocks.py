"""What stands above the numbers of a part: loads to hook on and drop, the oil cold, warm or hot; a question."""

from __future__ import annotations

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QHideEvent, QKeyEvent, QPainter, QPaintEvent, QShowEvent
from PySide6.QtWidgets import QVBoxLayout, QWidget

from trainer import units
from trainer.changing.changes import OILS, Changes
from trainer.language import mark, tr
from trainer.rig.names import capital
from trainer.window.controls.buttons import WordButton
from trainer.window.controls.labels import Label
from trainer.window.controls.tips import set_tip
from trainer.window.painting.look import Look
from trainer.window.rig.forms import INSET, NAME, Block, Buttons

__all__ = ["REBUILT", "AskBar", "LoadBlock", "OilBlock"]

REBUILT = (mark("Build it anew"), mark("Put the rig together anew"))


class OilBlock(Block):
    """The oil cold, warm or hot."""

    def __init__(self, look: Look, changes: Changes, parent: QWidget) -> None:
        super().__init__(look, changes, tr("Bring the oil to"), "oil.temperature", parent)
        about = changes.known[self.name]
        for word, celsius in OILS.items():
            told = about.shown(celsius, look.system)
            words = tr(word)
            self.add(f"{capital(words)} {told}", tr("Oil {word}, {told}").format(word=words, told=told), celsius)
        self.setObjectName("oil block")
        self.refresh()


class LoadBlock(Block):
    """A load to be hooked on, in a few steps, and dropped."""

    def __init__(self, look: Look, changes: Changes, name: str, steps: tuple[float, ...], parent: QWidget) -> None:
        about = changes.known[name]
        unit = about.unit(look.system)
        super().__init__(look, changes, tr("Hook on, {unit}").format(unit=unit), name, parent)
        self.add(tr("Drop"), tr("Drop what hangs on {title}").format(title=about.title), about.low)
        for step in steps:
            if step > about.low:
                figures = units.text(step, "mass", look.system, 0)[0]
                self.add(
                    figures,
                    tr("Hook {figures} {unit} on {title}").format(figures=figures, unit=unit, title=about.title),
                    step,
                )
        self.setObjectName(f"load block {name}")
        self.refresh()


class AskBar(QWidget):
    """A question at the foot of the pane with two answers; Esc is the second. ``answered`` is told whether yes.

    ``asking`` tells that it is shown, or no longer.
    """

    answered = Signal(bool)
    asking = Signal(bool)

    def __init__(self, look: Look, parent: QWidget) -> None:
        super().__init__(parent)
        self.look = look
        self.words = Label(look, "", self, size=NAME)
        self.yes = WordButton(look, tr(REBUILT[0]), REBUILT[1], tr(REBUILT[1]), self)
        self.no = WordButton(look, tr("Leave it"), mark("Leave it as it is"), tr("Leave it as it is  (Esc)"), self)
        self.flow = Buttons()
        self.flow.addWidget(self.yes)
        self.flow.addWidget(self.no)
        self.column = QVBoxLayout(self)
        self.column.setSpacing(0)
        self.column.addWidget(self.words)
        self.column.addLayout(self.flow)
        self.yes.clicked.connect(self._yes)
        self.no.clicked.connect(self._no)
        self.setObjectName("question")
        self.take_look()
        self.hide()

    @property
    def question(self) -> str:
        """What is asked."""
        return self.words.text()

    def take_look(self) -> None:
        """Take the sizes of the present look."""
        inset = round(INSET * self.look.scale)
        self.column.setContentsMargins(inset, inset, inset, 0)
        self.flow.take_look(self.look)

    def _yes(self) -> None:
        self.answered.emit(True)

    def _no(self) -> None:
        self.answered.emit(False)

    def ask(self, question: str, yes: tuple[str, str] = REBUILT) -> None:
        """Show a question and take the keyboard; ``yes`` is the first answer in a word or two, and in words."""
        self.words.setText(question)
        self.yes.setText(tr(yes[0]))
        self.yes.updateGeometry()
        self.yes.setAccessibleName(tr(yes[1]))
        set_tip(self.yes, tr(yes[1]))
        self.setAccessibleName(question)
        self.show()
        self.yes.setFocus(Qt.FocusReason.TabFocusReason)

    def showEvent(self, event: QShowEvent) -> None:
        self.asking.emit(True)

    def hideEvent(self, event: QHideEvent) -> None:
        self.asking.emit(not self.isHidden())

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() == Qt.Key.Key_Escape:
            self.answered.emit(False)
        else:
            super().keyPressEvent(event)

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.fillRect(0, 0, self.width(), 2, self.look.inks.colour("ink"))
        painter.end()
