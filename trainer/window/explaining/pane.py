"""A page on one part, beside the drawing."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QVBoxLayout, QWidget

from trainer.language import mark, tr
from trainer.lessons.glossary import Word
from trainer.rig.reference import Numbers
from trainer.window.controls.buttons import WordButton
from trainer.window.controls.flow_layout import FlowLayout
from trainer.window.controls.pane import Pane
from trainer.window.explaining.entry_view import EntryView
from trainer.window.painting.look import Look

__all__ = ["PartPane"]


class PartPane(Pane):
    """What a part does, how it works, how it is set, and its numbers.

    ``working_asked``, ``numbers_asked`` and ``all_asked`` ask for its working, its numbers, and the glossary:
    the three ``buttons``, in this order.
    """

    place = "side"
    title = mark("What it is")
    all_asked = Signal()
    working_asked = Signal()
    numbers_asked = Signal()

    def __init__(self, look: Look, parent: QWidget) -> None:
        super().__init__(look, parent)
        self.setObjectName("part page")
        self.entry = EntryView(look, self)
        self.buttons = {
            name: WordButton(look, tr(name), name, "", self)
            for name in (mark("Its working"), mark("Change its numbers"), mark("All parts and words"))
        }
        self.buttons["Its working"].clicked.connect(self.working_asked)
        self.buttons["Change its numbers"].clicked.connect(self.numbers_asked)
        self.buttons["All parts and words"].clicked.connect(self.all_asked)
        self.foot = FlowLayout()
        for button in self.buttons.values():
            self.foot.addWidget(button)
        column = QVBoxLayout(self)
        column.addWidget(self.entry, 1)
        column.addLayout(self.foot)
        self.setFocusProxy(self.entry)

    def show_part(
        self, title: str, word: Word, known: Mapping[str, Word], numbers: Sequence[tuple[str, str]], of_rig: bool,
        here: Numbers | None = None,
    ) -> None:  # fmt: skip
        """Tell a part by its name in the rig, or a word; only what is ``of_rig`` has a working and numbers here."""
        self.name(title)
        for name in ("Its working", "Change its numbers"):
            self.buttons[name].setVisible(of_rig)
        self.entry.show_word(word, known, numbers, title != word.term, here)

    def lay_out(self) -> None:
        """Place the buttons for the present look."""
        self.foot.outdent = round(8 * self.look.scale)
