"""A number of the rig in a row: what it means, its value, its limits, the ways back; written over its value."""

from __future__ import annotations

from PySide6.QtCore import QEvent, QRect, Qt, Signal
from PySide6.QtGui import QEnterEvent, QFocusEvent, QKeyEvent, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QHBoxLayout, QSizePolicy, QVBoxLayout, QWidget

from trainer.changing.adjustables import Adjustable
from trainer.changing.changes import Changes
from trainer.changing.differences import start_of
from trainer.language import tr
from trainer.window.controls.buttons import WordButton
from trainer.window.controls.entry import NumberEntry
from trainer.window.controls.handles import begins_entry
from trainer.window.controls.labels import ChangedMark, Label
from trainer.window.controls.own_keys import ENTER, PressButton
from trainer.window.controls.tips import set_tip
from trainer.window.painting import fonts
from trainer.window.painting.look import Look
from trainer.window.rig.forms import INSET, NAME, SMALL

__all__ = ["NumberRow"]


class NumberRow(PressButton):
    """One number: what it means, its value, its limits, the usual one and the file's. Enter or a digit writes it.

    ``asked`` is told (name, value [SI]), ``said`` why a number is not taken.
    """

    asked = Signal(str, object)
    said = Signal(str)

    def __init__(self, look: Look, changes: Changes, about: Adjustable, parent: QWidget) -> None:
        super().__init__(parent)
        self.look, self.changes, self.about = look, changes, about
        self.entry: NumberEntry | None = None
        self.meaning = Label(look, about.meaning, self, size=NAME)
        self.figures = Label(look, "", self, size=NAME, weight=600, wraps=False)
        self.unit = Label(look, "", self, size=NAME, ink="ink2", wraps=False)
        self.limits = Label(look, "", self, size=SMALL, ink="ink2")
        self.mark = ChangedMark(look, self, size=SMALL)
        self.usual = WordButton(look, "", "", "", self, size=SMALL)
        self.file = WordButton(look, "", "", "", self, size=SMALL)
        self.usual.clicked.connect(self._usual)
        self.file.clicked.connect(self._file)
        self.clicked.connect(self._clicked)
        self._key: tuple[object, ...] = ()
        self._lay_out()
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Minimum)
        self.setCursor(Qt.CursorShape.PointingHandCursor)
        self.setObjectName(f"number {about.name}")
        self.setAccessibleName(about.meaning)
        self.take_look()
        self.refresh()

    def _lay_out(self) -> None:
        """Put the figures beside the meaning, the limits below it, the ways back at the foot."""
        self.column, self.top, value, back = QVBoxLayout(self), QHBoxLayout(), QHBoxLayout(), QHBoxLayout()
        self.column.setSpacing(0)
        value.setSpacing(round(0.25 * self.look.pixels(NAME)))
        value.addWidget(self.figures)
        value.addWidget(self.unit)
        self.top.addWidget(self.meaning, 1)
        self.top.addLayout(value)
        self.top.setAlignment(value, Qt.AlignmentFlag.AlignTop)
        back.setSpacing(0)
        back.addWidget(self.mark)
        back.addStretch(1)
        back.addWidget(self.usual)
        back.addWidget(self.file)
        self.column.addLayout(self.top)
        self.column.addWidget(self.limits)
        self.column.addLayout(back)

    @property
    def original(self) -> float:
        """The file's number [SI]."""
        return start_of(self.changes.original, self.about)

    def refresh(self) -> None:
        """Show the present value."""
        system, value = self.look.system, self.changes.value(self.about.name)
        key = (value, self.original, system)
        if key == self._key:
            return
        self._key = key
        about = self.about
        self.changed = value != self.original and not about.run  # a run changes no rig
        self.figures.setText(about.figures(value, system))
        self.unit.setText(about.unit(system))
        self.unit.setVisible(bool(about.unit(system)))
        self.setText(about.shown(value, system))
        self.limits.setText(f"{about.span(system)}{'  ·  ' + tr('at rest') if about.at_rest else ''}")
        limits = f"{about.span(system)}{tr(', changed at rest') if about.at_rest else ''}"
        self.setAccessibleDescription(f"{self.text()}{', ' + tr('changed') if self.changed else ''}; {limits}")
        self.mark.setVisible(self.changed)
        for button, name, number, text, words in (
            (
                self.usual,
                "Usual",
                about.offered(system),
                tr("Usual {told}"),
                tr("{meaning}: back to the usual {told}"),
            ),
            (self.file, "File's", self.original, tr("File's {told}"), tr("{meaning}: back to the file's {told}")),
        ):
            told = about.shown(number, system)
            button.setText(text.format(told=told))
            button.setAccessibleName(words.format(meaning=about.meaning, told=told))
            button.setObjectName(f"{name} {about.name}")
            set_tip(button, tr("Back to {told}").format(told=told))
            as_it_is = value in (number, about.usual) if button is self.usual else value == number
            button.setVisible(not as_it_is and (button is self.file or self.original not in (number, about.usual)))
            button.updateGeometry()

    def take_look(self) -> None:
        """Take the sizes of the present look."""
        name, inset = self.look.pixels(NAME), round(INSET * self.look.scale)
        self.column.setContentsMargins(inset, round(0.25 * name), inset // 2, round(0.25 * name))
        self.top.setContentsMargins(0, 0, inset - inset // 2, 0)
        self.top.setSpacing(inset)

    def _light(self) -> None:
        """Show the figures in another colour where the keyboard or the pointer is."""
        self.figures.set_ink("accent" if self.hasFocus() or self.underMouse() else "ink")

    def focusInEvent(self, event: QFocusEvent) -> None:
        super().focusInEvent(event)
        self._light()

    def focusOutEvent(self, event: QFocusEvent) -> None:
        super().focusOutEvent(event)
        self._light()

    def enterEvent(self, event: QEnterEvent) -> None:
        super().enterEvent(event)
        self._light()

    def leaveEvent(self, event: QEvent) -> None:
        super().leaveEvent(event)
        self._light()

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.fillRect(0, self.height() - 1, self.width(), 1, self.look.inks.colour("hairline"))
        if self.hasFocus():
            painter.setPen(QPen(self.look.inks.colour("ink"), 2.0))
            painter.drawRect(self.rect().adjusted(1, 1, -2, -2))
        painter.end()

    def _clicked(self) -> None:
        self.ask()

    def ask(self, first: str = "") -> None:
        """Open the entry for a number, with what was typed first or with the present one chosen."""
        height = self.look.pixels(NAME)
        room = round(fonts.metrics(height, 600).horizontalAdvance(self.text())) + 3 * height
        wide = max(round(170 * self.look.scale), room)
        area = QRect(self.width() - wide - 2, 2, wide, round(1.8 * height))
        present = self.figures.text()

        def read(written: str) -> float:
            if written.strip() == present:
                return float(self.changes.value(self.about.name))
            return float(self.about.read(written, self.look.system))

        symbol = self.about.unit(self.look.system)
        ends = (self.about.low, self.about.high)
        self.entry = NumberEntry(
            self.look, self.about.quantity, ends, self._take, self, read=read, symbol=symbol, size=NAME
        )
        self.entry.setAccessibleName(f"{self.about.meaning}, {self.about.span(self.look.system)}")
        self.entry.said.connect(self.said)
        self.entry.closed.connect(self._closed)
        self.entry.open_over(area, first)
        if not first:
            self.entry.setText(present)
            self.entry.selectAll()

    def _take(self, value: float) -> None:
        self.asked.emit(self.about.name, value)

    def _closed(self) -> None:
        self.entry = None

    def _usual(self) -> None:
        self.asked.emit(self.about.name, self.about.offered(self.look.system))

    def _file(self) -> None:
        self.asked.emit(self.about.name, self.original)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Begin an entry with a digit or a sign; Delete goes back to the file's number, arrows go to another one."""
        first = begins_entry(event)
        if first:
            self.ask(first)
        elif event.key() == Qt.Key.Key_Delete and self.changes.value(self.about.name) != self.original:
            self._file()
        elif event.key() in (Qt.Key.Key_Down, Qt.Key.Key_Up):
            self.focusNextPrevChild(event.key() == Qt.Key.Key_Down)
        elif event.key() in ENTER:
            super().keyPressEvent(event)
        else:
            event.ignore()
