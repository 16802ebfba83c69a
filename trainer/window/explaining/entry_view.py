"""One word, or one part at three depths with its symbol large: what is told of it, and links to others."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import partial

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QGridLayout, QScrollArea, QVBoxLayout, QWidget

from trainer.drawing.efficiency_view import DROPS
from trainer.drawing.shapes import DrawList, Words
from trainer.drawing.symbols import SYMBOLS
from trainer.language import tr
from trainer.lessons.glossary import Word
from trainer.parts.part import Part
from trainer.rig.reference import Numbers, Reference
from trainer.window.controls.buttons import WordButton
from trainer.window.controls.flow_layout import FlowLayout
from trainer.window.controls.labels import Label, take_looks
from trainer.window.controls.picture_view import PictureView
from trainer.window.controls.qt_look import bar_style, coloured
from trainer.window.explaining.reference_view import EfficiencyView, ReferenceTables
from trainer.window.painting.look import Look

__all__ = ["EntryView", "symbol_of"]

_TERM, _HEAD, _TEXT, _SMALL = 30.0, 20.0, 20.0, 17.0  # types [board px]
_LARGE, _HIGH = 2.2, 170.0  # px for each of a symbol's; height of the room for it [board px]


def symbol_of(part: type[Part]) -> DrawList:
    """Return a part's symbol without letters."""
    return [shape for shape in SYMBOLS[part.symbol].drawn() if not isinstance(shape, Words)]


class EntryView(QScrollArea):
    """Tells one word; ``asked`` is told the key of another one that was clicked."""

    asked = Signal(str)

    def __init__(self, look: Look, parent: QWidget) -> None:
        super().__init__(parent)
        self.look = look
        self.word: Word | None = None
        self.texts: list[str] = []
        self.links: dict[str, WordButton] = {}
        self.picture: PictureView | None = None
        self.tables: ReferenceTables | None = None
        self.wants_tables = False
        self.setFrameShape(QScrollArea.Shape.NoFrame)
        self.setWidgetResizable(True)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setObjectName("entry")

    def show_word(
        self, word: Word, known: Mapping[str, Word], numbers: Sequence[tuple[str, str]] = (), term: bool = True,
        here: Numbers | None = None,
    ) -> None:  # fmt: skip
        """Tell a word, ``known`` being those it may lead to, and the numbers of a part in this rig.

        Without ``term`` its heading is left out: it stands above already. ``here`` are the numbers for its curves.
        """
        self.word = word
        inner = QWidget()
        column = QVBoxLayout(inner)
        column.setContentsMargins(0, 0, round(12 * self.look.scale), 0)
        column.setSpacing(round(8 * self.look.scale))
        self.texts, self.picture, self.tables = [], None, None
        if word.part is not None:
            self.picture = PictureView(self.look, partial(symbol_of, word.part), inner, _LARGE * self.look.scale)
            self.picture.setFixedHeight(round(_HIGH * self.look.scale))
            column.addWidget(self.picture)
        if term:
            self._add(column, inner, word.term, _TERM, weight=600)
        heads = (tr("What it does"), tr("How it works"), tr("How it is set")) if word.part is not None else ("",)
        for head, text in zip(heads, (word.words, word.works, word.set), strict=False):
            if head:
                column.addSpacing(round(8 * self.look.scale))
                self._add(column, inner, head, _HEAD, weight=600)
            self._add(column, inner, text, _TEXT)
        if word.part is not None:
            self._add_law(column, inner, word.part, here)
        if word.also:
            self._add(column, inner, tr("also: {names}").format(names=", ".join(word.also)), _SMALL, ink="ink2")
        if numbers:
            column.addSpacing(round(8 * self.look.scale))
            self._add(column, inner, tr("In this rig"), _HEAD, weight=600)
            column.addLayout(self._table(inner, numbers))
        self._add_links(column, inner, known)
        if word.part is not None:
            self._add_tables(column, inner, word.part)
        column.addStretch(1)
        self.setWidget(inner)
        self.verticalScrollBar().setValue(0)
        self.setAccessibleName(word.term)
        self.setAccessibleDescription(" ".join(self.texts))
        self.take_look()

    def _add(
        self, column: QVBoxLayout, inner: QWidget, text: str, size: float, weight: int = 400, ink: str = "ink"
    ) -> None:
        label = Label(self.look, text, inner, size=size, weight=weight, ink=ink)
        column.addWidget(label)
        self.texts.append(text)

    def _add_law(self, column: QVBoxLayout, inner: QWidget, part: type[Part], here: Numbers | None) -> None:
        reference = Reference(part, self.look.system, here)
        column.addSpacing(round(8 * self.look.scale))
        self._add(column, inner, tr("Its law"), _HEAD, weight=600)
        self._add(column, inner, reference.law, _TEXT)
        shares, curves = reference.efficiency, reference.curves(DROPS)
        if shares is not None and curves is not None:
            column.addSpacing(round(8 * self.look.scale))
            self._add(column, inner, tr("Its efficiency"), _HEAD, weight=600)
            column.addWidget(EfficiencyView(self.look, curves, inner))
            with_what = tr("with its numbers here") if here is not None else tr("with its usual numbers")
            self._add(column, inner, f"{shares.title}, {with_what}", _SMALL, ink="ink2")
            self.texts += [
                f"{head} {cell}" for row in shares.rows for head, cell in zip(shares.heads, row, strict=True)
            ]
            self._add(column, inner, reference.efficiency_words, _TEXT)

    def _add_tables(self, column: QVBoxLayout, inner: QWidget, part: type[Part]) -> None:
        column.addSpacing(round(8 * self.look.scale))
        self.tables = ReferenceTables(self.look, part, inner)
        self.tables.button.setChecked(self.wants_tables)
        self.tables.button.toggled.connect(self._keep_tables)
        column.addWidget(self.tables)

    def _keep_tables(self, shown: bool) -> None:
        """Show the next part's tables as well, or not."""
        self.wants_tables = shown

    def _table(self, inner: QWidget, numbers: Sequence[tuple[str, str]]) -> QGridLayout:
        grid = QGridLayout()
        grid.setHorizontalSpacing(round(16 * self.look.scale))
        grid.setVerticalSpacing(round(3 * self.look.scale))
        grid.setColumnStretch(0, 1)
        for row, (meaning, value) in enumerate(numbers):
            told = Label(self.look, meaning, inner, size=_SMALL, ink="ink2")
            number = Label(self.look, value, inner, size=_SMALL, wraps=False)
            number.setAlignment(Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignTop)
            grid.addWidget(told, row, 0)
            grid.addWidget(number, row, 1)
            self.texts.append(f"{meaning}: {value}.")
        return grid

    def _add_links(self, column: QVBoxLayout, inner: QWidget, known: Mapping[str, Word]) -> None:
        self.links = {}
        assert self.word is not None
        others = [known[key] for key in self.word.see if key in known]
        if not others:
            return
        column.addSpacing(round(8 * self.look.scale))
        self._add(column, inner, tr("See as well"), _HEAD, weight=600)
        flow = FlowLayout()
        flow.outdent = round(8 * self.look.scale)
        for other in others:
            tip = tr("What is told of it")
            button = WordButton(self.look, other.term, other.term, tip, inner, size=_TEXT)
            button.clicked.connect(partial(self.asked.emit, other.key))
            flow.addWidget(button)
            self.links[other.key] = button
        column.addLayout(flow)

    def take_look(self) -> None:
        """Take colours and sizes of the present look."""
        coloured(self, self.look)
        self.verticalScrollBar().setStyleSheet(bar_style(self.look))
        inner = self.widget()
        if inner is None:
            return
        coloured(inner, self.look)
        if self.picture is not None:
            self.picture.largest = _LARGE * self.look.scale
            self.picture.setFixedHeight(round(_HIGH * self.look.scale))
        take_looks(inner)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Leave Esc and letters to whoever holds it."""
        if event.key() == Qt.Key.Key_Escape or event.text().strip():
            event.ignore()
        else:
            super().keyPressEvent(event)
