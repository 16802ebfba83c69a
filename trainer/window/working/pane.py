"""The working of what was asked about: formula, values, result and terms, and the list of what else can be opened."""

from __future__ import annotations

import re
from collections.abc import Collection, Mapping, Sequence

from PySide6.QtCore import QRect, Qt, Signal
from PySide6.QtGui import QHideEvent, QKeyEvent, QMouseEvent, QWheelEvent
from PySide6.QtWidgets import QWidget

from trainer.drawing.shapes import DrawList, Path, Shape, Words
from trainer.drawing.symbols.symbol import bounds_of
from trainer.drawing.type_widths import text_width
from trainer.drawing.typeset import shifted
from trainer.drawing.working_view import WorkingStyle, broken_words, working_view
from trainer.formula import Working
from trainer.language import mark, tr
from trainer.units import System
from trainer.window.controls.pane import Pane
from trainer.window.painting.layer import extents
from trainer.window.painting.look import Look

__all__ = ["WorkingPane"]

_EDGE, _TOP = 24.0, 46.0  # board px
_NAME, _TEXT = 18.0, 15.4
_SIZES = (30.0, 27.0, 24.0, 21.0, 18.5)  # of the formula; the largest that leaves room for the list
_ROWS = 3  # of the list that are always shown
_FIGURE = re.compile(r"−?\d+(?:\.\d+)?(?: \D.*)?|\(|\)")
_NOTHING = mark("Nothing to work out here now: no oil moves, nothing turns. Move a lever, or click something else.")


class WorkingPane(Pane):
    """Shows one of several workings. ``stepped`` tells that another one was chosen, ``gone`` that the pane is hidden.

    ``workings`` are those of the subject, ``shown`` the one that is open, ``covered`` says which letters each hides.
    """

    place = "side"
    keeps_ledgers = True
    title = mark("The working")
    stepped = Signal()
    gone = Signal()

    def __init__(self, look: Look, parent: QWidget) -> None:
        super().__init__(look, parent)
        self.workings: tuple[Working, ...] = ()
        self.called: Mapping[str, str] = {}  # what lines are called, by their ids
        self.hidden: tuple[frozenset[str], ...] = ()
        self._wanted: tuple[str, str] | None = None
        self._rooms: dict[tuple[str, System], int] = {}
        self._shapes: list[Shape] = []
        self._runs: set[int] = set()  # places of the shapes that change while a value runs
        self._rows: list[tuple[float, float, int]] = []  # top, bottom [board px], place in the list
        self._size = 0

    def hideEvent(self, event: QHideEvent) -> None:
        super().hideEvent(event)
        self.gone.emit()

    # -- what it shows -------------------------------------------------------------------------------------------

    @property
    def at(self) -> int:
        """The place of the shown working among them, 0 where what was chosen is not there now."""
        keys = [(working.part, working.name) for working in self.workings]
        return keys.index(self._wanted) if self._wanted in keys else 0

    @property
    def shown(self) -> Working | None:
        """The working that is open, None where there is none."""
        return self.workings[self.at] if self.workings else None

    def open(self, title: str) -> None:
        """Begin with another subject: its first working is shown."""
        self.name(title)
        self._wanted = None
        self._start_anew()

    def _start_anew(self) -> None:
        self._rooms = {}
        self._size = 0

    def show_workings(self, workings: Sequence[Working], hidden: Sequence[Collection[str]]) -> None:
        """Show these workings; ``hidden`` has the covered letters of each."""
        before = self.shown
        self.workings, self.hidden = tuple(workings), tuple(frozenset(letters) for letters in hidden)
        shown = self.shown
        if shown is not None and self._wanted is None:
            self._wanted = (shown.part, shown.name)
        if before is None or shown is None or (before.name, before.formulas) != (shown.name, shown.formulas):
            self._start_anew()
        self._set()

    def choose(self, place: int) -> None:
        """Show the working at a place of the list."""
        if self.workings:
            chosen = self.workings[min(max(place, 0), len(self.workings) - 1)]
            self._wanted = (chosen.part, chosen.name)
            self._start_anew()
            self._set()
            self.stepped.emit()

    def _set(self) -> None:
        """Make the draw list, and say what it shows to assistive software."""
        before, self._shapes = self._shapes, self._laid_out() if self.width() > 60 else []
        self._repaint(before)
        self.setAccessibleDescription(self._spoken())

    def _repaint(self, before: list[Shape]) -> None:
        """Paint what is not as it was before: the figures that run, or all where something else has changed."""
        moved = {k for k, pair in enumerate(zip(before, self._shapes, strict=False)) if pair[0] != pair[1]}
        if len(before) != len(self._shapes) or not moved <= self._runs:
            self._runs = {k for k, shape in enumerate(self._shapes) if _runs(shape)}
            self.canvas.forget()
            self.update()
            return
        scale, area = self.look.scale, QRect()
        for k in moved:
            for shape in (before[k], self._shapes[k]):
                for box in extents(shape, scale, (0.0, 0.0), self.canvas.least):
                    area = area.united(box)
        if not area.isEmpty():
            self.update(area.adjusted(-1, -1, 1, 1))

    def _spoken(self) -> str:
        shown = self.shown
        if shown is None:
            return tr(_NOTHING)
        system = self.look.system
        formula, filled, result = shown.lines(system)
        if self.hidden[self.at]:
            filled = result = ""
            return tr("{name}. {formula}. Some of it is covered.").format(name=shown.name, formula=formula)
        return f"{shown.name}. {formula}. {filled}. {result}. {self._count()}."

    def _count(self) -> str:
        return tr("{number} of {count}").format(number=self.at + 1, count=len(self.workings))

    # -- where it stands -----------------------------------------------------------------------------------------

    def lay_out(self) -> None:
        """Set everything anew for another size or look."""
        self._start_anew()
        if self.isVisible():
            self._set()

    def still_shapes(self) -> DrawList:
        """Return the working and the list, without the figures that run [board px]."""
        return [shape for k, shape in enumerate(self._shapes) if k not in self._runs]

    def live_shapes(self) -> DrawList:
        """Return the figures that run."""
        return [self._shapes[k] for k in sorted(self._runs)]

    def _laid_out(self) -> list[Shape]:
        scale = self.look.scale
        width, height = self.width() / scale - 2 * _EDGE, self.height() / scale - 14.0
        shown = self.shown
        self._rows = []
        text = self.look.size(_TEXT)
        if shown is None:
            lines = broken_words(tr(_NOTHING), width, text)
            return [Words(_EDGE, _TOP + 30.0 + 1.35 * text * k, line, text, "ink2") for k, line in enumerate(lines)]
        name = self.look.size(_NAME)
        count = self._count() if len(self.workings) > 1 else ""
        room = width - text_width(count, text) - 12.0
        titles = broken_words(shown.name, room, name, 600)
        shapes: list[Shape] = [
            Words(_EDGE, _TOP + 1.1 * name + 1.2 * name * k, line, name, weight=600) for k, line in enumerate(titles)
        ]
        if count:
            shapes.append(Words(_EDGE + width, _TOP + 1.1 * name, count, text, "ink2", align="right"))
        top = _TOP + 1.1 * name + 1.2 * name * (len(titles) - 1) + 0.9 * name
        pitch = 1.36 * text
        listed = min(len(self.workings), _ROWS) * pitch + 0.9 * text if len(self.workings) > 1 else 0.0
        self._keep_room(shown)
        made: list[Shape] = []
        low = 0.0
        for size in range(self._size, len(_SIZES)):
            self._size = size  # never larger again while the same working is shown
            style = WorkingStyle(_SIZES[size], self.look.least)
            made, low = working_view(shown, self.look.system, width, style, self.hidden[self.at], self._rooms)
            if top + low + listed <= height:
                break
        shapes += [shape for shape in shifted(made, _EDGE, top) if bounds_of((shape,))[3] <= height + 8.0]
        if len(self.workings) > 1 and top + low + 0.9 * text + pitch <= height + 1.0:  # else "1 of 10" and the arrows
            shapes += self._list(top + low + 0.9 * text, height, width, text, pitch)
        return shapes

    def _keep_room(self, shown: Working) -> None:
        """Keep as much room for the figures of each letter as they have taken so far."""
        for system in System:
            for term in (*shown.used(system), shown.found(system)):
                long = len(term.figures(system)[0])
                self._rooms[term.letter, system] = max(self._rooms.get((term.letter, system), 0), long)

    def _list(self, top: float, bottom: float, width: float, text: float, pitch: float) -> list[Shape]:
        """Return the names of all workings around the shown one, at the foot of the pane."""
        fits = max(int((bottom - top) / pitch), 1)
        count = min(fits, len(self.workings))
        first = min(max(self.at - count // 2, 0), len(self.workings) - count)
        y = bottom - count * pitch
        shapes: list[Shape] = [Path(((_EDGE, y - 0.35 * text), (_EDGE + width, y - 0.35 * text)), "ink", 1.5)]
        parts = {working.part for working in self.workings}
        for place in range(first, first + count):
            working, on = self.workings[place], place == self.at
            base = y + 0.98 * text
            if on:
                shapes.append(
                    Path(((_EDGE, base - 0.62 * text), (_EDGE + 0.5 * text, base - 0.31 * text), (_EDGE, base)),
                         None, 0.0, "ink", closed=True)
                )  # fmt: skip
            own = ""
            if len(parts) > 1 and working.part not in working.name:
                own = f"{self.called.get(working.part, working.part)}  "
            title = _cut(f"{own}{working.name}", width - 1.1 * text, text, 600 if on else 400)
            shapes.append(Words(_EDGE + 0.9 * text, base, title, text, "ink" if on else "ink2", 600 if on else 400))
            self._rows.append((y, y + pitch, place))
            y += pitch
        return shapes

    # -- hands ---------------------------------------------------------------------------------------------------

    def row_at(self, y: float) -> int | None:
        """Return the place in the list at a height in the pane [px], or None."""
        board = y / self.look.scale
        return next((place for top, bottom, place in self._rows if top <= board < bottom), None)

    def mousePressEvent(self, event: QMouseEvent) -> None:
        """Choose a row of the list."""
        super().mousePressEvent(event)
        place = self.row_at(event.position().y())
        if place is not None and event.button() == Qt.MouseButton.LeftButton:
            self.choose(place)

    def wheelEvent(self, event: QWheelEvent) -> None:
        """Step through the list."""
        if event.angleDelta().y():
            self.choose(self.at + (-1 if event.angleDelta().y() > 0 else 1))
        event.accept()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Step with Up and Down, Home and End."""
        steps = {Qt.Key.Key_Up: self.at - 1, Qt.Key.Key_Down: self.at + 1, Qt.Key.Key_Home: 0,
                 Qt.Key.Key_End: len(self.workings) - 1}  # fmt: skip
        place = steps.get(Qt.Key(event.key()))
        if place is None or event.modifiers() & ~Qt.KeyboardModifier.KeypadModifier:
            super().keyPressEvent(event)
        else:
            self.choose(place)


def _runs(shape: Shape) -> bool:
    """Return whether a shape is a figure, which may change from one instant to the next."""
    return isinstance(shape, Words) and _FIGURE.fullmatch(shape.text) is not None


def _cut(text: str, width: float, size: float, weight: int) -> str:
    """Return a text as far as it has room [px]."""
    if text_width(text, size, weight) <= width:
        return text
    while text and text_width(f"{text}…", size, weight) > width:
        text = text[:-1].rstrip()
    return f"{text}…"
