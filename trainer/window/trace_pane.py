"""The path of the oil as a list beside the drawing: step by step, or told bit by bit while it is asked for."""

from __future__ import annotations

import textwrap
from collections.abc import Sequence
from dataclasses import dataclass

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QWidget

from trainer.drawing.meters import covered_figure
from trainer.drawing.shapes import Circle, DrawList, Path, Shape, Words
from trainer.drawing.theme import THEMES
from trainer.window.buttons import WordButton
from trainer.window.keys import tooltip
from trainer.window.look import Look
from trainer.window.pane import Pane
from trainer.window.tips import set_tip

__all__ = ["Row", "TracePane"]

_TEXT = 15.4  # board px
_DISC = 12.0
_ROW, _PLAIN = 46.0, 28.0  # pitch of rows with and without their second line
_TOP, _BUTTONS = 62.0, 52.0
_LINE = 21.0
_WIDE = 58  # letters in a line of a sentence


@dataclass(frozen=True, slots=True)
class Row:
    """One step in the list: its number, its place in words, how the oil gets there, its flow as (figures, unit)."""

    number: int
    name: str
    way: str
    flow: tuple[str, str]
    lit: bool = True


class TracePane(Pane):
    """Lists the steps of a path. ``next_asked``, ``all_asked`` and ``ask_asked`` tell of its buttons.

    ``heading`` stands above the list, ``words`` below it; ``asking`` changes what the buttons are for; ``hidden``:
    the flows are covered.
    """

    place = "side"
    title = "Path of the oil"
    next_asked = Signal()
    all_asked = Signal()
    ask_asked = Signal()

    def __init__(self, look: Look, parent: QWidget) -> None:
        super().__init__(look, parent)
        self.rows: tuple[Row, ...] = ()
        self.heading = ""
        self.words = ""
        self.hidden = False
        self.asking = False
        self.next = WordButton(look, "Next", "Next step", tooltip("Light one step more", "trace"), self, size=18.0)
        self.whole = WordButton(look, "All", "All steps", "Light the whole path", self, size=18.0)
        self.ask = WordButton(
            look,
            "Ask",
            "Ask for the path",
            tooltip("Hide the names and ask for the path", "ask path"),
            self,
            size=18.0,
        )
        set_tip(self, "The steps of the path in order; Esc puts it out")
        self.next.clicked.connect(self.next_asked)
        self.whole.clicked.connect(self.all_asked)
        self.ask.clicked.connect(self.ask_asked)

    def show_path(self, heading: str, rows: Sequence[Row], words: str, hidden: bool, asking: bool) -> None:
        """Show a list with a heading above it and a sentence below it."""
        shown = (heading, tuple(rows), words, hidden, asking)
        if shown == (self.heading, self.rows, self.words, self.hidden, self.asking):
            return
        self.heading, self.rows, self.words, self.hidden, self.asking = shown
        told = "; ".join(f"{row.number}: {row.name}" for row in self.rows if row.lit)
        self.setAccessibleDescription(f"{heading} {told} {words}".strip())
        self._name_buttons()
        self.update()

    def _name_buttons(self) -> None:
        names = ("Show", "Again", "End") if self.asking else ("Next", "All", "Ask")
        if self.next.text() == names[0]:
            return
        tips = (
            ("Show the next place", "Ask for the path from its beginning", "End the questions")
            if self.asking
            else ("Light one step more", "Light the whole path", "Hide the names and ask for the path")
        )
        actions = ("trace", "", "ask path")
        for button, word, tip, action in zip((self.next, self.whole, self.ask), names, tips, actions, strict=True):
            button.setText(word)
            button.setAccessibleName(tip)
            set_tip(button, tooltip(tip, action) if action else tip)
        self.lay_out()

    def lay_out(self) -> None:
        """Place the buttons at the foot."""
        scale = self.look.scale
        left = round(16 * scale)
        top = self.height() - round(_BUTTONS * scale)
        for button in (self.next, self.whole, self.ask):
            size = button.sizeHint()
            button.setGeometry(left, top, size.width(), round(40 * scale))
            left += size.width() + round(10 * scale)

    def live_shapes(self) -> DrawList:
        """Return heading, rows and sentence [board px]."""
        width, height = self.width() / self.look.scale, self.height() / self.look.scale
        said = _broken(self.words)
        shapes: list[Shape] = []
        y = _TOP
        for line in _broken(self.heading):
            shapes.append(Words(24.0, y, line, _TEXT, "ink2"))
            y += _LINE
        foot = height - _BUTTONS - _LINE * len(said) - 14.0
        room = foot - y - 8.0
        pitch = _ROW if _ROW * len(self.rows) <= room else _PLAIN
        y += 18.0
        for row in self.rows:
            if y > foot:
                break
            shapes += self._row(row, y, width, pitch == _ROW)
            y += pitch
        if said:
            top = min(y + 6.0, foot + 6.0)
            shapes.append(Path(((24.0, top - 18.0), (width - 24.0, top - 18.0)), "hairline", 1.0))
            shapes += [Words(24.0, top + 4.0 + _LINE * k, line, _TEXT, weight=600) for k, line in enumerate(said)]
        return shapes

    def _row(self, row: Row, y: float, width: float, whole: bool) -> list[Shape]:
        ink = "ink" if row.lit else "ink2"
        size = max(_TEXT, self.look.least)
        disc = max(_DISC, 0.74 * size)
        shapes: list[Shape] = [
            Circle(24.0 + disc, y - 0.34 * size, disc, "accent" if row.lit else "hairline", 1.5, "cell"),
            Words(24.0 + disc, y, str(row.number), size, ink, 600, "centre"),
            Words(60.0, y, row.name, size, ink, 600),
        ]
        figures, unit = row.flow
        if self.hidden:
            shapes += covered_figure(width - 24.0, y, unit, THEMES[self.look.theme], "right")
        else:
            shapes.append(Words(width - 24.0, y, f"{figures} {unit}", size, ink, 400, "right"))
        if whole:
            shapes.append(Words(60.0, y + 18.0, row.way, size, "ink2"))
        return shapes


def _broken(words: str) -> list[str]:
    return textwrap.wrap(words, _WIDE)
