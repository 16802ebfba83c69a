"""The rungs as a list: what counts, attempts, best, a square for each aid it was passed with, how it stands."""

from __future__ import annotations

from dataclasses import dataclass

from PySide6.QtCore import QPointF, QRect, QRectF, QSize, Qt
from PySide6.QtGui import QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QAbstractItemView, QSizePolicy, QStyleOptionViewItem, QWidget

from trainer.language import mark, tr
from trainer.practice.catalogue import MEASURES
from trainer.practice.ladder import Ladder, Place, Row
from trainer.practice.task import AIDS
from trainer.practice.telling import filled, told
from trainer.units import System
from trainer.window.controls.item_list import ItemList
from trainer.window.controls.items import Index, Item, ItemDelegate, ItemStyle
from trainer.window.painting import fonts
from trainer.window.painting.look import Look
from trainer.window.practice.words import squares_words

__all__ = ["HeadRow", "LadderItem", "LadderList", "item_of"]

_SIZE, _SMALL = 21.0, 18.4
_TITLE, _COUNTS, _ATTEMPTS, _BEST, _SQUARES, _PLACE = 0.052, 0.328, 0.622, 0.728, 0.783, 0.908  # shares of the width
_STYLE = ItemStyle(_SIZE, pitch=2.1, small=_SMALL, inset=9.0, chosen="ring", ruled=True)


@dataclass(frozen=True, slots=True)
class LadderItem(Item):
    """A rung: what counts, how often it was tried, its best in words, with which of its aids it was passed."""

    counts: str = ""
    attempts: int = 0
    best: str = ""
    older: bool = False  # the best is of a machine that was another one
    aids: tuple[str, ...] = ()
    passed: frozenset[str] = frozenset()
    place: Place = Place.UNTRIED
    now: bool = False
    note: str = ""  # instead of squares

    @property
    def name(self) -> str:
        """All that stands in its row, for who hears it."""
        tried = tr("{count} attempts").format(count=self.attempts) if self.attempts else ""
        best = tr("best {figure}").format(figure=self.best) if self.best else ""
        place = tr("now") if self.now else tr(self.place.value)
        return ", ".join(
            filter(None, (self.before, self.words, self.counts, tried, best, self.told, self.note, place))
        )


def item_of(row: Row, ladder: Ladder, system: System) -> LadderItem:
    """Return what is shown of a rung."""
    task, best, older = row.task, row.best, False
    quantity = _quantity(row)
    if best is None and task.runs and (before := ladder.older_best(task)) is not None:
        best, older = before.values.get(task.shown[0]), True
    figure = told(task.shown[0], best, quantity, system) if best is not None and quantity else ""
    passed = squares_words(task, row.standing.passed) if row.attempts and task.runs else ""
    tip = (
        tr("The best is of a machine that has changed since; it is not raced.")
        if older
        else filled(task.goal, system)
    )
    return LadderItem(
        task.id, tr(task.title), task.code, tip=tip, counts=tr(task.counts), attempts=row.attempts, best=figure,
        older=older, aids=task.aids if task.runs else (), passed=row.standing.passed, place=row.place, now=row.now,
        note=row.words, told=passed,
    )  # fmt: skip


def _quantity(row: Row) -> str:
    """Return the quantity of the measure that counts first."""
    task = row.task
    if not task.runs:
        return ""
    measure = MEASURES[task.shown[0]]
    if task.shown[0] in task.bands:
        return task.bands[task.shown[0]].practised[1]
    return measure.quantity


class LadderDelegate(ItemDelegate):
    """Paints a rung's row. ``high`` is how high a row is [px]."""

    high = 30

    def sizeHint(self, _option: QStyleOptionViewItem, _index: Index) -> QSize:
        return QSize(10, self.high)

    def _paint(self, painter: QPainter, item: Item, area: QRect, focus: bool, over: bool, chosen: bool) -> None:
        if not isinstance(item, LadderItem):
            super()._paint(painter, item, area, focus, over, chosen)
            return
        inks, pixels, small, wide = self.look.inks, self.pixels, self.small, area.width()
        if chosen:
            painter.fillRect(area, inks.colour("accent-pale"))
            painter.fillRect(
                area.x(), area.y(), max(round(5 * self.look.scale), 3), area.height(), inks.colour("accent")
            )
        painter.fillRect(area.x(), area.bottom(), wide, 1, inks.colour("hairline"))
        line = area.y() + area.height() / 2 + 0.34 * pixels
        live = item.attempts > 0 or item.now or bool(item.note and item.place is not Place.WAITS)
        weight = 600 if item.now or chosen else 400
        left = area.x() + round(9 * self.look.scale)

        def write(share: float, words: str, ink: str, weight: int = 400, size: int = 0, right: bool = False,
                  end: float = 1.0) -> None:  # fmt: skip
            size = size or pixels
            room = (end - share) * wide - 10 if not right else wide
            measure = fonts.metrics(size, weight)
            fitted = measure.elidedText(words, Qt.TextElideMode.ElideRight, room)
            x = area.x() + share * wide - (measure.horizontalAdvance(fitted) if right else 0.0)
            self._write(painter, x, line, fitted, ink, weight, size)

        self._write(painter, left, line, item.before, "ink" if live else "ink2", 600)
        end = _SQUARES if item.note and not item.aids else _ATTEMPTS - 0.06
        write(_TITLE, item.words, "accent" if over and not chosen else "ink" if live else "ink2", weight, end=_COUNTS)
        write(_COUNTS, item.counts, "ink2", size=small, end=end)
        if item.attempts:
            write(_ATTEMPTS, str(item.attempts), "ink", right=True)
        if item.best:
            write(_BEST, item.best, "ink2" if item.older else "ink", 400 if item.older else 600, right=True)
        if item.note and not item.aids:
            waits = item.place is Place.WAITS
            share = _ATTEMPTS - 0.05 if waits else _SQUARES
            write(share, item.note, "ink2" if waits else "ink", 400 if waits else 600, small)
        elif item.attempts or item.now:
            self._squares(painter, item, area)
            self._place(painter, item, area, line)
        if focus:
            painter.setBrush(Qt.BrushStyle.NoBrush)
            painter.setPen(QPen(inks.colour("accent"), 2.0))
            painter.drawRect(area.adjusted(1, 1, -2, -2))

    def _squares(self, painter: QPainter, item: LadderItem, area: QRect) -> None:
        """Paint a square for each of the four aids: full where it was passed with it, none where it has it not."""
        inks, scale = self.look.inks, self.look.scale
        side, high, pitch = 26.0 * scale, 17.0 * scale, 36.6 * scale
        x, top = area.x() + _SQUARES * area.width(), area.y() + (area.height() - high) / 2
        for k, aid in enumerate(AIDS):
            if aid not in item.aids:
                continue
            box = QRectF(x + k * pitch, top, side, high)
            full = aid in item.passed
            painter.setPen(QPen(inks.colour("ink" if full else "ink2"), 1.4))
            painter.setBrush(inks.colour("ink") if full else Qt.BrushStyle.NoBrush)
            painter.drawRect(box)

    def _place(self, painter: QPainter, item: LadderItem, area: QRect, line: float) -> None:
        x, small = area.x() + _PLACE * area.width(), self.small
        if item.place is Place.KEPT:
            painter.setPen(QPen(self.look.inks.colour("ink"), 2.4 * self.look.scale))
            side = 0.55 * small
            ways = ((0.0, -0.35), (0.35, 0.0), (1.0, -0.8))
            painter.drawPolyline([QPointF(x + a * side, line + b * side) for a, b in ways])
            x += 1.5 * side
        if item.now and item.place in (Place.GOES_ON, Place.UNTRIED):
            self._write(painter, x, line, tr("now"), "accent", 600, self.pixels)
        else:
            bold = item.place in (Place.TOMORROW, Place.DUE)
            ink = "ink2" if item.place is Place.GOES_ON else "ink"
            self._write(painter, x, line, tr(item.place.value), ink, 600 if bold else 400, small)


class LadderList(ItemList):
    """All rungs; a double click or Enter goes on with one."""

    def __init__(self, look: Look, parent: QWidget) -> None:
        super().__init__(look, mark("Rungs of the ladder"), parent, _STYLE, seeks=False)
        self.delegate = self.rows = LadderDelegate(look, _STYLE, self)
        self.setItemDelegate(self.rows)
        self.setVerticalScrollMode(QAbstractItemView.ScrollMode.ScrollPerPixel)

    @property
    def item(self) -> LadderItem | None:
        """The chosen one."""
        found = next((item for item in self.items.items if item.key == self.key), None)
        return found if isinstance(found, LadderItem) else None

    def lay_out(self) -> None:
        """Give each row its share of the height, so that all are seen where that can be."""
        count = max(len(self.items.items), 1)
        least, most = round(1.3 * self.rows.pixels), round(2.15 * self.rows.pixels)
        self.rows.high = min(max(self.height() // count, least), most)
        self.take_look()
        self.doItemsLayout()


class HeadRow(QWidget):
    """What stands in the columns."""

    def __init__(self, look: Look, rows: LadderList, parent: QWidget) -> None:
        super().__init__(parent)
        self.look, self.rows = look, rows
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)

    def sizeHint(self) -> QSize:
        """Return room for a line."""
        return QSize(100, round(1.9 * self.look.pixels(_SMALL)))

    def take_look(self) -> None:
        """Take the present look."""
        self.update()

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        inks, pixels, wide = self.look.inks, self.look.pixels(_SMALL), self.rows.viewport().width()
        painter.fillRect(self.rect(), inks.colour("paper"))
        painter.setFont(fonts.font(pixels))
        painter.setPen(inks.colour("ink2"))
        line = round(1.2 * pixels)
        for share, words, right in (
            (_TITLE, tr("rung"), False), (_COUNTS, tr("what counts"), False), (_ATTEMPTS, tr("attempts"), True),
            (_BEST, tr("best"), True), (_SQUARES, tr("passed with"), False),
        ):  # fmt: skip
            x = share * wide - (fonts.metrics(pixels).horizontalAdvance(words) if right else 0.0)
            painter.drawText(QPointF(x, line), words)
        painter.fillRect(0, self.height() - 2, wide, 2, inks.colour("ink2"))
        painter.end()
