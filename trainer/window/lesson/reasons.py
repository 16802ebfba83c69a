"""The reasons of an answer: those that are offered, and a line for another one."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QWidget

from trainer.language import tr
from trainer.lessons.posing import OWN
from trainer.window.lesson.forms import TEXT, EntryLine
from trainer.window.lesson.rows import Rows
from trainer.window.painting.look import Look

__all__ = ["Reasons"]

_MOST = 200  # letters


class Reasons(Rows):
    """One reason of several, the last of them written into a line that stands below it while it is chosen."""

    def __init__(self, look: Look, items: Sequence[tuple[str, str]], parent: QWidget) -> None:
        super().__init__(look, tr("Because"), [*items, (OWN, tr("Another reason: write it"))], parent)
        self.line = EntryLine(look, tr("Your own reason"), TEXT, self)
        self.line.setMaxLength(_MOST)
        self.line.hide()
        self.column.addWidget(self.line)
        self.group.buttonToggled.connect(self._show_line)
        self.rows[OWN].clicked.connect(self._write)

    @property
    def words(self) -> str:
        """What is written, "" where another reason is chosen."""
        return self.line.text().strip() if self.value == OWN else ""

    def write(self, words: str) -> None:
        """Write a reason, as it was kept."""
        self.line.setText(words)

    def _show_line(self) -> None:
        self.line.setVisible(self.value == OWN)

    def _write(self) -> None:
        self.line.setFocus(Qt.FocusReason.OtherFocusReason)

    def has_keyboard(self) -> bool:
        """Whether a row or the line has the keyboard."""
        return super().has_keyboard() or self.line.hasFocus()

    def focus(self) -> None:
        """Give the keyboard to what is missing: the line where a reason is to be written, else the rows."""
        if self.value == OWN:
            self._write()
        else:
            super().focus()
