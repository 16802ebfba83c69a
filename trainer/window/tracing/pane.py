"""The path of the oil as a list beside the drawing: step by step, or told bit by bit while it is asked for."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QWidget

from trainer.drawing.meters import covered_figure
from trainer.drawing.shapes import Circle, DrawList, Path, Shape, Words
from trainer.drawing.theme import THEMES
from trainer.language import mark, tr
from trainer.window.controls.actions import Actions
from trainer.window.controls.buttons import WordButton
from trainer.window.controls.pane import Pane
from trainer.window.controls.tips import set_tip
from trainer.window.painting import fonts
from trainer.window.painting.look import Look

__all__ = ["StepRow", "TracePane"]

_TEXT = 15.4  # board px
_DISC = 12.0
_ROW, _PLAIN = 2.99, 1.82  # pitch of rows with and without their second line [sizes of type]
_CLOSE = 1.55  # least of the latter
_TOP, _BUTTONS = 62.0, 52.0
_LINE = 1.36  # of a sentence [sizes of type]
_EDGE, _NAMES = 24.0, 12.0  # left and right of all; before the names [board px]


@dataclass(frozen=True, slots=True)
class StepRow:
    """One step in the list: its number, its place in words, how the oil gets there, its flow as (figures, unit)."""

    number: int
    name: str
    way: str
    flow: tuple[str, str]
    lit: bool = True


class TracePane(Pane):
    """Lists the steps of a path; ``all_asked`` tells that the whole of it is wanted.

    ``heading`` stands above the list, ``words`` below it; ``asking`` changes what the buttons are for; ``hidden``:
    the flows are covered.
    """

    place = "side"
    title = mark("Path of the oil")
    all_asked = Signal()

    def __init__(self, look: Look, parent: QWidget, actions: Actions) -> None:
        super().__init__(look, parent)
        self.rows: tuple[StepRow, ...] = ()
        self.heading = ""
        self.words = ""
        self.hidden = False
        self.asking = False
        self.next = WordButton(look, tr("Next"), mark("Next step"), "", self, size=18.0)
        self.whole = WordButton(look, tr("All"), mark("All steps"), tr("Light the whole path"), self, size=18.0)
        self.ask = WordButton(look, tr("Ask"), mark("Ask for the path"), "", self, size=18.0)
        self.next.follow(actions["trace"], tr("Light one step more"))
        self.ask.follow(actions["ask path"], tr("Hide the names and ask for the path"))
        set_tip(self, tr("The steps of the path in order; Esc puts it out"))
        self.whole.clicked.connect(self.all_asked)

    def show_path(self, heading: str, rows: Sequence[StepRow], words: str, hidden: bool, asking: bool) -> None:
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
        names = (tr("Show"), tr("Again"), tr("End")) if self.asking else (tr("Next"), tr("All"), tr("Ask"))
        if self.next.text() == names[0]:
            return
        tips = (
            (tr("Show the next place"), tr("Ask for the path from its beginning"), tr("End the questions"))
            if self.asking
            else (tr("Light one step more"), tr("Light the whole path"), tr("Hide the names and ask for the path"))
        )
        for button, word, tip in zip((self.next, self.whole, self.ask), names, tips, strict=True):
            button.setText(word)
            button.setAccessibleName(tip)
            if button is self.whole:
                set_tip(button, tip)
            else:
                button.tell(tip)
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
        size = self.look.size(_TEXT)
        said, line = self._broken(self.words, 600), _LINE * size
        shapes: list[Shape] = []
        y = _TOP + size - _TEXT
        for words in self._broken(self.heading):
            shapes.append(Words(_EDGE, y, words, _TEXT, "ink2"))
            y += line
        foot = height - _BUTTONS - line * len(said) - 14.0
        y += 18.0
        room, count = foot - y, len(self.rows)
        pitch = next((p * size for p in (_ROW, _PLAIN, _CLOSE) if p * size * count <= room), _CLOSE * size)
        shown = self._shown(int(room / pitch))
        for row in shown:
            shapes += self._row(row, y, width, pitch == _ROW * size)
            y += pitch
        if len(shown) < count:
            told = tr("Steps {number} to {number2} of {count}").format(
                number=shown[0].number, number2=shown[-1].number, count=count
            )
            shapes.append(Words(_EDGE, y, told, _TEXT, "ink2"))
            y += pitch
        if said:
            top = min(y + 6.0, foot + 6.0)
            shapes.append(Path(((_EDGE, top - 18.0), (width - _EDGE, top - 18.0)), "hairline", 1.0))
            shapes += [
                Words(_EDGE, top + size - _TEXT + 4.0 + line * k, words, _TEXT, weight=600)
                for k, words in enumerate(said)
            ]
        return shapes

    def _shown(self, most: int) -> Sequence[StepRow]:
        """Return the rows that have room: where not all have, those around the last that is lit."""
        count = len(self.rows)
        if count > most:
            most = max(most - 1, 1)  # the last line tells which they are
        first = max(min(sum(row.lit for row in self.rows) + 1, count) - most, 0)
        return self.rows[first : first + most]

    def _row(self, row: StepRow, y: float, width: float, whole: bool) -> list[Shape]:
        ink = "ink" if row.lit else "ink2"
        size = self.look.size(_TEXT)
        disc = max(_DISC, 0.74 * size)
        names = _EDGE + 2.0 * disc + _NAMES
        figures, unit = row.flow
        flow = f"{figures} {unit}"
        room = width - _EDGE - names - 10.0
        shapes: list[Shape] = [
            Circle(_EDGE + disc, y - 0.34 * size, disc, "accent" if row.lit else "hairline", 1.5, "cell"),
            Words(_EDGE + disc, y, str(row.number), size, ink, 600, "centre"),
            Words(names, y, self._cut(row.name, room - self._wide(flow), 600), size, ink, 600),
        ]
        if self.hidden:
            shapes += covered_figure(width - _EDGE, y, unit, THEMES[self.look.theme], "right")
        else:
            shapes.append(Words(width - _EDGE, y, flow, size, ink, 400, "right"))
        if whole:
            shapes.append(Words(names, y + 1.17 * size, self._cut(row.way, room + 10.0), size, "ink2"))
        return shapes

    def _wide(self, text: str) -> float:
        return fonts.metrics(self.look.pixels(_TEXT)).horizontalAdvance(text) / self.look.scale

    def _cut(self, text: str, room: float, weight: int = 400) -> str:
        return fonts.wrapped(text, self.look.pixels(_TEXT), room * self.look.scale, 1, weight)[0] if text else ""

    def _broken(self, words: str, weight: int = 400) -> list[str]:
        room = self.width() - 2 * _EDGE * self.look.scale
        return fonts.wrapped(words, self.look.pixels(_TEXT), room, weight=weight)
