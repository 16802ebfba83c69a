"""Am I ready? A row for each outcome: its last first answers, the idea that was in the way, one next step."""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import dataclass, replace

from PySide6.QtCore import QPointF, QRect, QSize, Qt, Signal
from PySide6.QtGui import QPainter, QPen
from PySide6.QtWidgets import QAbstractItemView, QHBoxLayout, QStyleOptionViewItem, QWidget

from trainer.drawing.shapes import Shape
from trainer.language import mark, tr, trn
from trainer.window.controls.buttons import WordButton
from trainer.window.controls.item_list import ItemList
from trainer.window.controls.items import Index, Item, ItemDelegate, ItemStyle
from trainer.window.controls.labels import Label
from trainer.window.controls.plain_page import PlainPage
from trainer.window.lessons_list.marks import answer_mark
from trainer.window.painting import fonts
from trainer.window.painting.look import Look
from trainer.window.painting.painter import paint

__all__ = ["OutcomeItem", "ReadinessPage"]

_SIZE, _SMALL = 22.0, 18.0  # types [board px]
_STYLE = ItemStyle(_SIZE, pitch=4.6, small=_SMALL, ruled=True, chosen="ring")
_ANSWERS = 5
_PLACES = (0.0, 0.33, 0.49, 0.70)  # where the columns begin, in widths of the list
_HEADS = (mark("outcome"), mark("last five first answers"), mark("the idea in the way"), mark("next step"))


_ANSWER_WORDS = {True: mark("right"), False: mark("not right"), None: mark("to be judged")}


@dataclass(frozen=True, slots=True)
class OutcomeItem(Item):
    """An outcome: its state in words, the last first answers, what is told of them, the idea, the next step."""

    state: str = ""
    ready: bool = False
    answers: tuple[bool | None, ...] = ()
    counted: str = ""
    later: str = ""
    idea: str = ""
    step: str = ""
    why: str = ""

    @property
    def answered(self) -> str:
        """Its last first answers in words."""
        return ", ".join(tr(_ANSWER_WORDS[answer]) for answer in self.answers)

    @property
    def cells(self) -> list[str]:
        """What stands in its columns, line below line."""
        columns = (
            (self.words, self.state), (self.answered, self.counted, self.later), (self.idea,), (self.step, self.why),
        )  # fmt: skip
        return ["\n".join(filter(None, lines)) for lines in columns]

    @property
    def name(self) -> str:
        """All that stands in its row, for who hears it."""
        told = (self.words, self.state, self.answered, self.counted, self.later, self.idea, self.step, self.why)
        return ". ".join(filter(None, told))


class OutcomeDelegate(ItemDelegate):
    """Paints an outcome's row."""

    def sizeHint(self, _option: QStyleOptionViewItem, _index: Index) -> QSize:
        return QSize(10, round(self.style.pitch * self.pixels))

    def _paint(self, painter: QPainter, item: Item, area: QRect, focus: bool, over: bool, _: bool) -> None:
        assert isinstance(item, OutcomeItem)
        pixels, small, inks = self.pixels, self.small, self.look.inks
        painter.fillRect(area.x(), area.bottom(), area.width(), 1, inks.colour("hairline"))
        places = [area.x() + share * area.width() for share in _PLACES] + [float(area.right())]
        rooms = [right - left - pixels for left, right in itertools.pairwise(places)]
        top = area.y() + 1.45 * pixels
        line = self._block(painter, places[0], top, item.words, rooms[0], 600, pixels)
        self._write(painter, places[0], line, item.state, "ink" if item.ready else "ink2", 600 * item.ready or 400,
                    small)  # fmt: skip
        radius = 0.5 * pixels
        shapes: list[Shape] = []
        for k, answer in enumerate(item.answers):
            shapes += answer_mark(answer, places[1] + radius + 2.7 * k * radius, top - 0.33 * pixels, radius)
        paint(painter, shapes, inks)
        painter.setPen(QPen(inks.colour("ink2"), 1.5))
        for k in range(len(item.answers), _ANSWERS):
            x, y = places[1] + 2.7 * k * radius, top - 0.33 * pixels
            painter.drawLine(QPointF(x + 0.4 * radius, y), QPointF(x + 1.6 * radius, y))
        for k, told in enumerate((item.counted, item.later)):
            fitted = fonts.metrics(small).elidedText(told, Qt.TextElideMode.ElideRight, rooms[1])
            self._write(painter, places[1], top + (k + 1) * 1.3 * small, fitted, "ink2", height=small)
        self._block(painter, places[2], top, item.idea, rooms[2], 400, small, 3)
        if item.step:
            ink = "accent" if focus or over else "ink"
            line = self._block(painter, places[3], top, item.step, rooms[3], 600 if focus else 400, pixels, 2, ink)
            self._write(painter, places[3], line, item.why, "ink2", height=small)
        if focus:
            painter.setPen(QPen(inks.colour("accent"), 2.0))
            painter.setBrush(Qt.BrushStyle.NoBrush)
            left = round(places[3] - 0.6 * pixels) if item.step else area.x() + 1
            painter.drawRect(QRect(left, area.y() + 3, area.right() - left - 1, area.height() - 7))

    def _block(self, painter: QPainter, x: float, line: float, text: str, room: float, weight: int, height: int,
               most: int = 2, ink: str = "ink") -> float:  # fmt: skip
        """Write a text in a few lines and return where the next one stands."""
        for told in fonts.wrapped(text, height, room, most, weight):
            self._write(painter, x, line, told, ink, weight, height)
            line += 1.25 * height
        return line


class HeadRow(QWidget):
    """What stands in the columns."""

    def __init__(self, look: Look, rows: ItemList, parent: QWidget) -> None:
        super().__init__(parent)
        self.look, self.rows = look, rows
        self.take_look()

    def take_look(self) -> None:
        """Take the present look."""
        self.setFixedHeight(round(1.7 * self.look.pixels(_SMALL)))
        self.update()

    def paintEvent(self, _: object) -> None:
        painter = QPainter(self)
        painter.fillRect(self.rect(), self.look.inks.colour("paper"))
        pixels = self.look.pixels(_SMALL)
        painter.setFont(fonts.font(pixels))
        painter.setPen(self.look.inks.colour("ink2"))
        for share, words in zip(_PLACES, _HEADS, strict=True):
            painter.drawText(round(share * self.rows.viewport().width()), round(1.1 * pixels), tr(words))
        painter.fillRect(0, self.height() - 1, self.width(), 1, self.look.inks.colour("hairline"))
        painter.end()


class ReadinessPage(PlainPage):
    """``started`` is told the key of an outcome whose next step is to begin; ``print_asked`` asks for it on paper."""

    started = Signal(str)
    print_asked = Signal()

    def __init__(self, look: Look, parent: QWidget) -> None:
        super().__init__(
            look, tr("Am I ready?"), tr("Enter or a click starts the next step. Esc: back to the lessons"), parent
        )
        self.list = ItemList(look, mark("Outcomes"), self, _STYLE, one_click=True)
        self.list.delegate = OutcomeDelegate(look, _STYLE, self.list)
        self.list.setItemDelegate(self.list.delegate)
        self.list.setVerticalScrollMode(QAbstractItemView.ScrollMode.ScrollPerPixel)
        self.list.entered.connect(self.started)
        self.headings = HeadRow(look, self.list, self)
        self.means = Label(
            look,
            tr(
                "Ready means: all that was tried is right, reason and all, on two different rigs or in every task, "
                "and some of it on a later day. What falls due has to be right again."
            ),
            self,
            size=20.0,
        )
        self.only = Label(
            look, tr("It speaks for this program only. The practical is on the machine."), self, size=_SMALL,
            ink="ink2",
        )  # fmt: skip
        self.body.addWidget(self.headings)
        self.body.addWidget(self.list, 1)
        self.body.addWidget(self.means)
        foot = QHBoxLayout()
        foot.addWidget(self.only, 1)
        self.print = WordButton(
            look, tr("Print …"), mark("Print"), tr("Write this page as PDF, for paper"), self, size=20.0
        )
        self.print.clicked.connect(self.print_asked)
        foot.addWidget(self.print)
        self.body.addLayout(foot)
        self.setFocusProxy(self.list)

    def sheet(self) -> tuple[list[str], list[list[str]]]:
        """Return what stands on paper: the heads, and a row for each outcome."""
        items = [item for item in self.list.all if isinstance(item, OutcomeItem)]
        return [tr(words) for words in _HEADS], [item.cells for item in items]

    def fill(self, items: Sequence[OutcomeItem]) -> None:
        """Show the outcomes."""
        ready = sum(item.ready for item in items)
        self.beside.setText(
            trn("{ready} of {all} outcome ready", "{ready} of {all} outcomes ready", len(items)).format(
                ready=ready, all=len(items)
            )
        )
        self.list.fill(items, self.list.key)
        self.lay_out()

    def lay_out(self) -> None:
        """Leave as much room for a row as its words need."""
        self.body.setSpacing(round(6 * self.look.scale))
        pitch = 4.6 if self.width() >= 1500 else 5.2
        self.list.delegate.style = replace(_STYLE, pitch=pitch)
        self.list.doItemsLayout()
        self.fit_head()
