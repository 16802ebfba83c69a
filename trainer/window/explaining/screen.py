"""The glossary: every part and every word in a list that can be searched, with what is told of each beside it."""

from __future__ import annotations

from collections.abc import Mapping

from PySide6.QtCore import Qt
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QHBoxLayout, QVBoxLayout, QWidget

from trainer.language import mark, tr, trn
from trainer.lessons.glossary import Word, found
from trainer.window.controls.item_list import ItemList, SearchLine
from trainer.window.controls.items import Item, ItemStyle
from trainer.window.controls.labels import Label
from trainer.window.controls.plain_page import PlainPage
from trainer.window.explaining.entry_view import EntryView
from trainer.window.painting.look import Look
from trainer.window.session.screen import Screen

__all__ = ["GlossaryScreen"]

_STYLE = ItemStyle(20.0, pitch=1.7, inset=12.0, chosen="ground")


class FindLine(SearchLine):
    """A line in which a word is sought, with room above and below."""

    def __init__(self, look: Look, rows: ItemList, parent: QWidget) -> None:
        tip = tr("Write a word, or what it is about; the arrow keys go through the list")
        super().__init__(look, rows, tr("Find a part or a word"), tip, parent)
        self.setObjectName("find")
        self.setTextMargins(6, 0, 6, 0)

    def take_look(self) -> None:
        """Take colours and type of the present look."""
        super().take_look()
        self.setFixedHeight(round(1.9 * self.look.pixels(_STYLE.size)))


class GlossaryScreen(Screen):
    """A page with the list at the left and what is told at the right."""

    full = False

    def __init__(self, look: Look, words: Mapping[str, Word], parent: QWidget) -> None:
        super().__init__(parent)
        self.look, self.words = look.beside(), words
        self.page = PlainPage(self.look, tr("Parts and words"), tr("Esc: back"), self)
        self.list = ItemList(self.look, mark("Words"), self.page, _STYLE, seeks=False)
        self.line = FindLine(self.look, self.list, self.page)
        self.entry = EntryView(self.look, self.page)
        self.none = Label(self.look, tr("No word has that in it."), self.page, size=20.0, ink="ink2")
        self.none.hide()
        self.halves = QHBoxLayout()
        left = QVBoxLayout()
        left.addWidget(self.line)
        left.addWidget(self.none)
        left.addWidget(self.list, 1)
        self.halves.addLayout(left, 2)
        self.halves.addWidget(self.entry, 3)
        self.page.body.addLayout(self.halves)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.addWidget(self.page)
        self.page.left.connect(self.left)
        self.line.textChanged.connect(self.seek)
        self.list.chosen.connect(self._chosen)
        self.entry.asked.connect(self.show_word)
        self.setAccessibleName(tr("Parts and words"))
        self.setFocusPolicy(Qt.FocusPolicy.ClickFocus)
        self.setFocusProxy(self.line)
        self.seek("")

    def seek(self, sought: str) -> None:
        """List the words in which all that is sought occurs."""
        those = (
            [*found(sought, self.words)]
            if sought.strip()
            else sorted(self.words.values(), key=lambda word: word.term.lower())
        )
        kind = tr("part")
        self.list.fill([Item(word.key, word.term, right=kind if word.part else "") for word in those],
                       self.list.key if not sought.strip() else "")  # fmt: skip
        self.none.setVisible(not those)
        count = len(those)
        self.page.beside.setText(trn("{count} word", "{count} words", count).format(count=count))

    def _chosen(self, key: str) -> None:
        if key in self.words:
            self.entry.show_word(self.words[key], self.words)

    def show_word(self, key: str) -> None:
        """Show a word by its key; what was sought is forgotten where it is not in that."""
        if not self.list.choose(key):
            self.line.clear()
            self.list.choose(key)

    def take_look(self) -> None:
        """Take the look of the window, at the scale of this size."""
        self.look.scale = min(self.width() / 1920.0, self.height() / 1080.0)
        self.page.take_looks()
        self.halves.setSpacing(round(60 * self.look.scale))
        self.entry.take_look()
        if self.entry.word is not None:
            self.entry.show_word(self.entry.word, self.words)

    def resizeEvent(self, event: QResizeEvent) -> None:
        self.take_look()
