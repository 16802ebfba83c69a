"""The list of lessons: a row each, with a shape and a word for each depth; the arrows go to a depth, too."""

from __future__ import annotations

from dataclasses import dataclass, field

from PySide6.QtCore import QRect, Qt, Signal
from PySide6.QtGui import QKeyEvent, QMouseEvent, QPainter, QPen
from PySide6.QtWidgets import QAbstractItemView, QWidget

from trainer.language import mark, tr
from trainer.lessons.lesson import DEPTHS
from trainer.window.controls.item_list import ItemList
from trainer.window.controls.items import Item, ItemDelegate, ItemStyle
from trainer.window.controls.own_keys import ENTER
from trainer.window.lessons_list.marks import state_mark
from trainer.window.lessons_list.words import DEPTH_WORDS, state_words
from trainer.window.painting import fonts
from trainer.window.painting.look import Look
from trainer.window.painting.painter import paint

__all__ = ["HEAD", "SIZE", "Columns", "LessonItem", "LessonList"]

SIZE, HEAD, SMALL = 20.0, 21.0, 18.0  # types [board px]
_STYLE = ItemStyle(SIZE, pitch=1.75, head=2.4, small=SMALL, head_size=HEAD, indent=16.0, inset=12.0, chosen="ring")
_LONGEST = mark("again tomorrow")


@dataclass(frozen=True, slots=True)
class LessonItem(Item):
    """A lesson: its minutes, the state of each depth that it has, a note, and whether it is due."""

    minutes: int = 0
    depths: dict[int, str] = field(default_factory=dict)
    note: str = ""
    due: bool = False

    @property
    def name(self) -> str:
        """All that stands in its row, for who hears it."""
        depths = (f"{tr(DEPTH_WORDS[depth])} {state_words(state)}" for depth, state in self.depths.items())
        minutes = tr("{minutes} min").format(minutes=self.minutes)
        return ", ".join(filter(None, (self.words, self.mark, minutes, *depths, self.note)))


class Columns:
    """Where the columns of the list stand for a width and a look [px]: what has words is as wide as they are."""

    def __init__(self, look: Look, width: int) -> None:
        self.pixels = look.pixels(SMALL)
        measure, gap = fonts.metrics(self.pixels), 0.9 * self.pixels
        self.radius = 0.5 * look.pixels(SIZE)
        heads = (measure.horizontalAdvance(tr(words)) for words in DEPTH_WORDS.values())
        states = (measure.horizontalAdvance(state_words(state)) for state in ("ready", "due", "begun", "new"))
        self.word = 2 * self.radius + 0.5 * self.pixels  # from a shape to its word
        self.depth = max(*heads, self.word + max(states)) + gap
        self.note_wide = measure.horizontalAdvance(tr(_LONGEST)) + gap
        right = width - look.scale * _STYLE.inset
        self.note = right - self.note_wide
        spare = max(0.0, 0.1 * (self.note - 3 * self.depth - 0.5 * width))
        self.depth += spare
        self.depths = {depth: self.note - spare - (len(DEPTHS) - k) * self.depth for k, depth in enumerate(DEPTHS)}
        self.minutes = self.depths[DEPTHS[0]] - 1.6 * gap  # its right end
        self.title_end = self.minutes - measure.horizontalAdvance("000") - gap

    def depth_at(self, x: float) -> int:
        """Return the depth whose column is at a place, 0 for none [px]."""
        for depth, left in self.depths.items():
            if left - 6 <= x < left + self.depth - 6:
                return depth
        return 0


class LessonDelegate(ItemDelegate):
    """Paints a lesson's row; headings and files are painted as in every list."""

    depth = 0  # the one with the keyboard

    def _paint(self, painter: QPainter, item: Item, area: QRect, focus: bool, over: bool, chosen: bool) -> None:
        if not isinstance(item, LessonItem):
            super()._paint(painter, item, area, focus, over, chosen)
            return
        columns, pixels, inks = Columns(self.look, area.width()), self.pixels, self.look.inks
        line = area.y() + area.height() / 2 + 0.34 * pixels
        if focus:
            painter.fillRect(area, inks.colour("cell"))
        x, ink = float(area.x() + self.words_from(item)), "accent" if over else "ink"
        weight = 600 if focus or item.due else 400
        room = columns.title_end - x
        small = columns.pixels
        if item.mark:
            room -= fonts.metrics(small).horizontalAdvance(item.mark) + 0.8 * small
        measure = fonts.metrics(pixels, weight)
        title = measure.elidedText(item.words, Qt.TextElideMode.ElideRight, room)
        self._write(painter, x, line, title, ink, weight)
        if item.mark:
            x += measure.horizontalAdvance(title) + 0.8 * small
            self._write(painter, x, line, item.mark, "ink2", height=small)
        told = str(item.minutes)
        wide = fonts.metrics(small).horizontalAdvance(told)
        self._write(painter, columns.minutes - wide, line, told, "ink2", height=small)
        middle = area.y() + area.height() / 2
        for depth, state in item.depths.items():
            left = columns.depths[depth]
            paint(painter, state_mark(state, left + columns.radius, middle, columns.radius), inks)
            shade = "ink" if state in ("ready", "due") else "ink2"
            self._write(painter, left + columns.word, line, state_words(state), shade, height=small)
        self._write(
            painter, columns.note, line, item.note, "ink" if item.due else "ink2", 600 if item.due else 400, small
        )
        if focus:
            painter.setBrush(Qt.BrushStyle.NoBrush)
            painter.setPen(QPen(inks.colour("accent"), 2.0))
            if self.depth in item.depths:
                left = round(columns.depths[self.depth]) - 7
                painter.drawRect(QRect(left, area.y() + 1, round(columns.depth) - 6, area.height() - 2))
            else:
                painter.drawRect(area.adjusted(1, 1, -2, -2))


class LessonList(ItemList):
    """Lessons by outcome. ``started`` is told (lesson, depth or 0) at a click or Enter, ``entered`` other items."""

    started = Signal(str, int)

    def __init__(self, look: Look, parent: QWidget) -> None:
        super().__init__(look, mark("Lessons"), parent, _STYLE, one_click=True)
        self.delegate = self.rows = LessonDelegate(look, _STYLE, self)
        self.setItemDelegate(self.rows)
        self.setVerticalScrollMode(QAbstractItemView.ScrollMode.ScrollPerPixel)
        self.entered.connect(self._start)
        self.chosen.connect(self._leave_depth)
        self._clicked = 0

    @property
    def item(self) -> Item | None:
        """The chosen one."""
        return next((item for item in self.items.items if item.key == self.key and not item.heading), None)

    def _leave_depth(self) -> None:
        self.rows.depth = 0

    def _start(self, key: str) -> None:
        if isinstance(self.item, LessonItem):
            self.started.emit(key, self._clicked or self.rows.depth)

    def mousePressEvent(self, event: QMouseEvent) -> None:
        """Remember on which depth it was."""
        at = event.position().toPoint()
        index = self.indexAt(at)
        item = self.items.items[index.row()] if index.isValid() else None
        depth = Columns(self.look, self.viewport().width()).depth_at(at.x())
        self._clicked = depth if isinstance(item, LessonItem) and depth in item.depths else 0
        super().mousePressEvent(event)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Go along the depths of a lesson; Up and Down go from row to row."""
        self._clicked = 0
        item = self.item
        if event.key() in (Qt.Key.Key_Left, Qt.Key.Key_Right) and isinstance(item, LessonItem):
            places = [0, *item.depths]
            at = places.index(self.rows.depth) + (1 if event.key() == Qt.Key.Key_Right else -1)
            self.rows.depth = places[min(max(at, 0), len(places) - 1)]
            self.setAccessibleDescription(
                f"{tr(DEPTH_WORDS[self.rows.depth])}: {state_words(item.depths[self.rows.depth])}"
                if self.rows.depth
                else ""
            )
            self.viewport().update()
        elif event.key() in ENTER and not event.isAutoRepeat():
            self._take(self.currentIndex())
        else:
            super().keyPressEvent(event)
