"""What is answered in, a form for each kind of question that is answered in the pane."""

from __future__ import annotations

from PySide6.QtCore import QEvent, Qt, Signal
from PySide6.QtGui import QFocusEvent, QKeyEvent, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QFrame, QHBoxLayout, QPlainTextEdit, QVBoxLayout, QWidget

from trainer.drawing.instruments import scale_of
from trainer.language import tr
from trainer.lessons.exam import Given
from trainer.lessons.lesson import Number, OwnWords
from trainer.lessons.marking import Answer, UnusableAnswer
from trainer.lessons.posing import Posed
from trainer.window.controls.labels import Label
from trainer.window.controls.own_keys import ENTER, Line, takes
from trainer.window.controls.qt_look import written_in
from trainer.window.lesson.rows import Rows
from trainer.window.painting import fonts
from trainer.window.painting.look import Look

__all__ = [
    "BIG",
    "TEXT",
    "ChoiceForm",
    "EntryLine",
    "Form",
    "NamesForm",
    "NumberForm",
    "State",
    "WordsForm",
    "in_line",
]

TEXT, BIG = 19.0, 30.0  # sizes of type [board px]
State = Given


def in_line(words: str) -> str:
    """Return words as they are read on one screen: a letter's first one large is left to the text."""
    return " ".join(words.split())


class EntryLine(Line):
    """A line to write in, framed; no letter of it moves a lever."""

    def __init__(self, look: Look, name: str, size: float, parent: QWidget) -> None:
        super().__init__(parent)
        self.look, self.size_of_type = look, size
        self.setFrame(False)
        self.setMaxLength(60)
        self.setAccessibleName(name)
        self.setObjectName(name)
        self.take_look()

    def take_look(self) -> None:
        """Take colours and type of the present look."""
        written_in(self, self.look)
        pixels = self.look.pixels(self.size_of_type)
        self.setFont(fonts.font(pixels, 600))
        self.setFixedHeight(round(1.75 * pixels))
        self.setTextMargins(6, 0, 6, 0)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() in (*ENTER, Qt.Key.Key_Escape) or event.key() in (Qt.Key.Key_Up, Qt.Key.Key_Down):
            super().keyPressEvent(event)
            event.ignore()
        else:
            super().keyPressEvent(event)
            event.accept()

    def paintEvent(self, event: QPaintEvent) -> None:
        super().paintEvent(event)
        painter = QPainter(self)
        wide = 3.0 if self.hasFocus() else 1.5
        painter.setPen(QPen(self.look.inks.colour("ink"), wide))
        painter.drawRect(self.rect().adjusted(1, 1, -2, -2))
        painter.end()


class Form(QWidget):
    """Base of all forms. ``changed`` tells of a hand, ``said`` a sentence."""

    changed = Signal()
    said = Signal(str)
    own_reasons = True  # whether reasons may be asked beside it

    def __init__(self, look: Look, posed: Posed, parent: QWidget) -> None:
        super().__init__(parent)
        self.look, self.posed = look, posed
        self.column = QVBoxLayout(self)
        self.column.setContentsMargins(0, 0, 0, 0)
        self.column.setSpacing(2)

    def answer(self) -> Answer:
        """Return what is answered. Raises UnusableAnswer with what to do."""
        assert isinstance(self.state, str)
        return self.state

    @property
    def state(self) -> State:
        """What is answered so far, to be kept."""
        return ""

    def restore(self, state: State) -> None:
        """Answer as it was kept."""

    def begin(self) -> None:
        """The question is asked now."""

    def end(self) -> None:
        """It is not asked any more; what it has put on the drawing goes."""

    def focus(self) -> None:
        """Give the keyboard to where the answer goes."""

    def digit(self, number: int) -> bool:
        """Take a digit that is pressed outside of a line; return whether it chose something."""
        return number < 0


class ChoiceForm(Form):
    """One of several options."""

    def __init__(self, look: Look, posed: Posed, parent: QWidget) -> None:
        super().__init__(look, posed, parent)
        words = posed.option_words(look.system)
        self.rows = Rows(look, tr("Answers"), [*words.items()], self)
        self.rows.chosen.connect(self.changed)
        self.column.addWidget(self.rows)

    def answer(self) -> str:
        """Return the id of the option."""
        if not self.rows.value:
            raise UnusableAnswer(tr("Choose an answer first: arrow keys, digits, or a click."))
        return self.rows.value

    @property
    def state(self) -> str:
        """The id of the option."""
        return self.rows.value

    def restore(self, state: State) -> None:
        """Choose as it was."""
        if isinstance(state, str):
            self.rows.choose(state)

    def focus(self) -> None:
        """Give the keyboard to the rows."""
        self.rows.focus()

    def digit(self, number: int) -> bool:
        """Choose the row at a place."""
        return self.rows.choose_place(number)


class NumberForm(Form):
    """A number in a line, its unit beside it."""

    def __init__(self, look: Look, posed: Posed, parent: QWidget) -> None:
        super().__init__(look, posed, parent)
        question = posed.exercise.question
        assert isinstance(question, Number)
        scale = question.scale
        unit = posed.unit(look.system)
        self.line = EntryLine(look, tr("Your reading in {unit}").format(unit=unit.pretty or unit.symbol), BIG, self)
        self.line.setAlignment(Qt.AlignmentFlag.AlignRight)
        self.line.textEdited.connect(self.changed)
        row = QHBoxLayout()
        row.setSpacing(round(8 * look.scale))
        row.addWidget(self.line, 1)
        row.addWidget(Label(look, unit.pretty, self, size=TEXT, ink="ink2", wraps=False))
        if scale.instrument and not question.other:
            end = scale_of(scale.end, scale.quantity, look.system).end
            told = tr("on its scale, 0 to {end}").format(end=f"{end:g}")
            row.addWidget(Label(look, told, self, size=15.4, ink="ink2"), 1, Qt.AlignmentFlag.AlignRight)
        else:
            row.addStretch(1)
        self.column.addLayout(row)

    @property
    def state(self) -> str:
        """What is written."""
        return self.line.text()

    def restore(self, state: State) -> None:
        """Write as it was."""
        if isinstance(state, str):
            self.line.setText(state)

    def focus(self) -> None:
        """Give the keyboard to the line."""
        self.line.setFocus(Qt.FocusReason.OtherFocusReason)
        self.line.selectAll()


class NamesForm(Form):
    """Names of symbols: a line for each, whose number stands on the drawing."""

    def __init__(self, look: Look, posed: Posed, parent: QWidget) -> None:
        super().__init__(look, posed, parent)
        self.lines: dict[str, EntryLine] = {}
        for k, id_ in enumerate(posed.asked, 1):
            line = EntryLine(look, tr("Name of symbol {number}").format(number=k), TEXT, self)
            line.textEdited.connect(self.changed)
            self.lines[id_] = line
            row = QHBoxLayout()
            row.addWidget(Label(look, str(k), self, size=TEXT, weight=600, wraps=False))
            row.addWidget(line, 1)
            self.column.addLayout(row)

    def answer(self) -> dict[str, str]:
        """Return the names by the ids of the parts."""
        if not any(line.text().strip() for line in self.lines.values()):
            raise UnusableAnswer(tr("Write a name at each of the symbols."))
        return self.state

    @property
    def state(self) -> dict[str, str]:
        """The names that are written."""
        return {id_: line.text() for id_, line in self.lines.items()}

    def restore(self, state: State) -> None:
        """Write as it was."""
        if isinstance(state, dict):
            for id_, words in state.items():
                if id_ in self.lines:
                    self.lines[id_].setText(words)

    def focus(self) -> None:
        """Give the keyboard to the first line that is empty."""
        lines = [*self.lines.values()]
        if lines:
            next((line for line in lines if not line.text()), lines[0]).setFocus(Qt.FocusReason.OtherFocusReason)


class Sheet(QPlainTextEdit):
    """Some lines of text; Tab goes on, Ctrl+Enter is left to the pane."""

    def __init__(self, look: Look, name: str, parent: QWidget) -> None:
        super().__init__(parent)
        self.look = look
        self.setTabChangesFocus(True)
        self.setFrameShape(QFrame.Shape.Box)
        self.setVerticalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAsNeeded)
        self.setAccessibleName(name)
        self.setObjectName(name)
        self.take_look()

    def take_look(self) -> None:
        """Take colours and type of the present look."""
        written_in(self, self.look)
        pixels = self.look.pixels(TEXT)
        self.setFont(fonts.font(pixels))
        self.setFixedHeight(round(6.5 * pixels))

    def event(self, event: QEvent) -> bool:
        """Keep letters and Space, and Enter, for the text."""
        if event.type() == QEvent.Type.ShortcutOverride and isinstance(event, QKeyEvent):
            if not event.modifiers() & ~Qt.KeyboardModifier.ShiftModifier:
                event.accept()
                return True
            return takes(event, ())
        return super().event(event)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() == Qt.Key.Key_Escape or (
            event.modifiers() & (Qt.KeyboardModifier.AltModifier | Qt.KeyboardModifier.ControlModifier)
            and event.key() in ENTER
        ):
            event.ignore()
            return
        super().keyPressEvent(event)
        event.accept()

    def focusInEvent(self, event: QFocusEvent) -> None:
        super().focusInEvent(event)
        self.viewport().update()


class WordsForm(Form):
    """A sentence of one's own."""

    def __init__(self, look: Look, posed: Posed, parent: QWidget) -> None:
        super().__init__(look, posed, parent)
        assert isinstance(posed.exercise.question, OwnWords)
        self.sheet = Sheet(look, tr("Your own words"), self)
        self.sheet.textChanged.connect(self.changed)
        self.column.addWidget(self.sheet)

    @property
    def state(self) -> str:
        """The text."""
        return self.sheet.toPlainText()

    def restore(self, state: State) -> None:
        """Write as it was."""
        if isinstance(state, str):
            self.sheet.setPlainText(state)

    def focus(self) -> None:
        """Give the keyboard to the text."""
        self.sheet.setFocus(Qt.FocusReason.OtherFocusReason)
