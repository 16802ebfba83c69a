"""A number of the rig in a row: what it means, its value, its limits, the ways back; written over its value."""

from __future__ import annotations

from PySide6.QtCore import QRect, Qt, Signal
from PySide6.QtGui import QKeyEvent, QPaintEvent, QResizeEvent
from PySide6.QtWidgets import QWidget

from trainer.changing.adjustables import Adjustable
from trainer.changing.changes import Changes
from trainer.changing.differences import start_of
from trainer.window.controls.buttons import WordButton
from trainer.window.controls.entry import NumberEntry
from trainer.window.controls.handles import begins_entry
from trainer.window.controls.rows import NAME, SMALL, Row
from trainer.window.controls.tips import set_tip
from trainer.window.painting import fonts
from trainer.window.painting.look import Look

__all__ = ["NumberRow"]


class NumberRow(Row):
    """One number: what it means, its value, its limits, the usual one and the file's. Enter or a digit writes it.

    ``asked`` is told (name, value [SI]), ``said`` why a number is not taken.
    """

    asked = Signal(str, object)
    said = Signal(str)

    def __init__(self, look: Look, changes: Changes, about: Adjustable, parent: QWidget) -> None:
        super().__init__(look, parent)
        self.changes, self.about = changes, about
        self.entry: NumberEntry | None = None
        self.usual = WordButton(look, "", "", "", self, size=SMALL)
        self.file = WordButton(look, "", "", "", self, size=SMALL)
        self.usual.clicked.connect(self._usual)
        self.file.clicked.connect(self._file)
        self.clicked.connect(self._clicked)
        self._key: tuple[object, ...] = ()
        self.setObjectName(f"number {about.name}")
        self.setAccessibleName(about.meaning)
        self.refresh()

    @property
    def original(self) -> float:
        """The file's number [SI]."""
        return start_of(self.changes.original, self.about)

    def refresh(self) -> bool:
        """Show the present value; return whether the height may be another now."""
        system, value = self.look.system, self.changes.value(self.about.name)
        key = (value, self.original, system)
        if key == self._key:
            return False
        self._key = key
        about, before = self.about, (self.usual.isHidden(), self.file.isHidden())
        self.value_text = about.figures(value, system)
        self.changed = value != self.original and not about.run  # a run changes no rig
        self.setText(about.shown(value, system))
        limits = f"{about.span(system)}{', changed at rest' if about.at_rest else ''}"
        self.setAccessibleDescription(f"{self.text()}{', changed' if self.changed else ''}; {limits}")
        for button, word, number in (
            (self.usual, "Usual", about.offered(system)),
            (self.file, "File's", self.original),
        ):
            told = about.shown(number, system)
            button.setText(f"{word} {told}")
            button.setAccessibleName(f"{about.meaning}: back to the {word.lower()} {told}")
            button.setObjectName(f"{word} {about.name}")
            set_tip(button, f"Back to {told}")
            as_it_is = value in (number, about.usual) if button is self.usual else value == number
            button.setVisible(not as_it_is and (button is self.file or self.original not in (number, about.usual)))
        self._place()
        self.update()
        return before != (self.usual.isHidden(), self.file.isHidden())

    def _lines(self, width: int) -> list[str]:
        room = width - 3 * self.inset - self.wide(self.text(), NAME, 600)
        return fonts.wrapped(self.about.meaning, self.look.pixels(NAME), room)

    def _back(self) -> list[WordButton]:
        return [button for button in (self.usual, self.file) if not button.isHidden()]

    def height_for(self, width: int) -> int:
        """Return the height [px] at a width [px]."""
        small = self.look.pixels(SMALL)
        words = 1.25 * self.look.pixels(NAME) * len(self._lines(width))
        return round(0.45 * self.look.pixels(NAME) + words + 1.55 * small + (1.9 * small if self._back() else 0))

    def resizeEvent(self, event: QResizeEvent) -> None:
        self._place()

    def _place(self) -> None:
        small = self.look.pixels(SMALL)
        right, top = self.width() - self.inset // 2, self.height() - round(1.95 * small)
        for button in reversed(self._back()):
            width = button.sizeHint().width()
            right -= width
            button.setGeometry(right, top, width, round(1.8 * small))

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = self.begin()
        name, small = self.look.pixels(NAME), self.look.pixels(SMALL)
        line, lines = 1.2 * name, self._lines(self.width())
        unit = self.about.unit(self.look.system)
        chosen = self.hasFocus() or self.underMouse()
        right = float(self.width() - self.inset)
        if unit:
            right -= self.wide(f" {unit}", NAME)
            self.write(painter, right, line, f" {unit}", NAME, "ink2")
        figures = right - self.wide(self.value_text, NAME, 600)
        self.write(painter, figures, line, self.value_text, NAME, "accent" if chosen else "ink", 600)
        for k, text in enumerate(lines):
            self.write(painter, self.inset, line + 1.25 * name * k, text, NAME)
        line += 1.25 * name * (len(lines) - 1) + 1.4 * small
        end = self.write(painter, self.inset, line, self.about.span(self.look.system), SMALL, "ink2")
        if self.about.at_rest:
            self.write(painter, end, line, "  ·  at rest", SMALL, "ink2")
        if self.changed:
            self.changed_mark(painter, self.inset, line + 1.9 * small if self._back() else line)
        painter.end()

    def _clicked(self) -> None:
        self.ask()

    def ask(self, first: str = "") -> None:
        """Open the entry for a number, with what was typed first or with the present one chosen."""
        height = self.look.pixels(NAME)
        wide = max(round(170 * self.look.scale), round(self.wide(self.text(), NAME, 600)) + 3 * height)
        area = QRect(self.width() - wide - 2, 2, wide, round(1.8 * height))
        present = self.value_text

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
        """Begin an entry with a digit or a sign; Delete goes back to the file's number."""
        first = begins_entry(event)
        if first:
            self.ask(first)
        elif event.key() == Qt.Key.Key_Delete and self.changes.value(self.about.name) != self.original:
            self._file()
        else:
            super().keyPressEvent(event)
