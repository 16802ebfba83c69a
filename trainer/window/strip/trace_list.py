"""The list of all that the strip records: a tick for each trace on it, by part."""

from __future__ import annotations

from PySide6.QtCore import QEvent, QModelIndex, QPersistentModelIndex, QPointF, QRect, QSize, Qt
from PySide6.QtGui import QKeyEvent, QMouseEvent, QPainter, QPalette, QPen
from PySide6.QtWidgets import QListWidget, QListWidgetItem, QStyle, QStyledItemDelegate, QStyleOptionViewItem, QWidget

from trainer import units
from trainer.drawing.shapes import DrawList, Words
from trainer.window.controls.buttons import WordButton
from trainer.window.controls.item_list import whole_rows
from trainer.window.controls.own_keys import ENTER, takes
from trainer.window.controls.pane import Pane
from trainer.window.controls.tips import set_tip
from trainer.window.painting import fonts
from trainer.window.painting.look import LEAST_TEXT, Look
from trainer.window.strip.picture import SMALL
from trainer.window.strip.view import StripView

__all__ = ["TracesPane"]

_COLUMN, _UNIT = Qt.ItemDataRole.UserRole, Qt.ItemDataRole.UserRole + 1
_HINT = "One to four. Enter or a click ticks; a dial dragged onto the strip joins them."


class _Rows(QStyledItemDelegate):
    """Paints headings, names with their unit, and ticks."""

    def __init__(self, look: Look, parent: QWidget) -> None:
        super().__init__(parent)
        self.look = look

    @property
    def pixels(self) -> int:
        return self.look.pixels(SMALL)

    def sizeHint(self, option: QStyleOptionViewItem, index: QModelIndex | QPersistentModelIndex) -> QSize:
        heading = index.data(_COLUMN) is None
        return QSize(10, round((2.1 if heading else 1.6) * self.pixels))

    def paint(
        self, painter: QPainter, option: QStyleOptionViewItem, index: QModelIndex | QPersistentModelIndex
    ) -> None:
        inks, area, pixels = self.look.inks, option.rect, self.pixels
        base = area.bottom() - 0.45 * pixels
        painter.save()
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        if index.data(_COLUMN) is None:
            painter.setFont(fonts.font(pixels, 600))
            painter.setPen(inks.colour("ink"))
            painter.drawText(QPointF(area.x(), base), index.data())
            painter.fillRect(area.x(), area.bottom(), area.width(), 1, inks.colour("hairline"))
            painter.restore()
            return
        chosen = Qt.CheckState(index.data(Qt.ItemDataRole.CheckStateRole)) == Qt.CheckState.Checked
        if chosen:
            x, y = area.x() + 0.2 * pixels, base
            painter.setPen(QPen(inks.colour("accent"), 2.0))
            painter.drawPolyline(
                [
                    QPointF(x, y - 0.35 * pixels),
                    QPointF(x + 0.28 * pixels, y),
                    QPointF(x + 0.8 * pixels, y - 0.7 * pixels),
                ]
            )
        painter.setFont(fonts.font(pixels, 600 if chosen else 400))
        painter.setPen(inks.colour("ink"))
        painter.drawText(QPointF(area.x() + 1.5 * pixels, base), index.data())
        painter.setFont(fonts.font(pixels))
        painter.setPen(inks.colour("ink2"))
        unit = index.data(_UNIT)
        painter.drawText(
            QPointF(area.right() - 0.6 * pixels - fonts.metrics(pixels).horizontalAdvance(unit), base), unit
        )
        if option.state & QStyle.StateFlag.State_HasFocus:
            painter.setPen(QPen(inks.colour("ink"), 2.0))
            painter.drawRect(area.adjusted(1, 1, -2, -2))
        painter.restore()


class _List(QListWidget):
    """The rows; Enter and a click tick."""

    def __init__(self, pane: TracesPane) -> None:
        super().__init__(pane)
        self.pane = pane
        self.setFrameShape(QListWidget.Shape.NoFrame)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setVerticalScrollMode(QListWidget.ScrollMode.ScrollPerPixel)
        self.setObjectName("traces")
        self.setAccessibleName("Traces of the strip")
        self.setAccessibleDescription(_HINT)
        set_tip(self, "Enter or a click ticks a trace")

    def keyPressEvent(self, event: QKeyEvent) -> None:
        item = self.currentItem()
        if event.key() in ENTER:
            if item is not None and not event.isAutoRepeat():
                self.pane.tick(item)
        elif event.key() == Qt.Key.Key_Escape:
            event.ignore()
        else:
            super().keyPressEvent(event)
            event.accept()  # letters seek a name here; no lever moves

    def event(self, event: QEvent) -> bool:
        """Take Enter, and what a name may hold, for itself; elsewhere they step the clock."""
        return takes(event, (*ENTER, Qt.Key.Key_Period, Qt.Key.Key_Comma)) or super().event(event)

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        super().mouseReleaseEvent(event)
        item = self.itemAt(event.position().toPoint())
        if event.button() == Qt.MouseButton.LeftButton and item is not None:
            self.pane.tick(item)


class TracesPane(Pane):
    """Every trace by name, under the part that it belongs to, with a tick where it is on the strip."""

    title = "Traces of the strip"

    def __init__(self, look: Look, strip: StripView, parent: QWidget) -> None:
        super().__init__(look, parent)
        self.strip = strip
        self.list = _List(self)
        self.delegate = _Rows(look, self.list)
        self.list.setItemDelegate(self.delegate)
        self.first = WordButton(
            look,
            "First choice",
            "First choice of traces",
            "Follow the lever moved last again, with the first gauge and the speed",
            self,
            size=SMALL,
            checkable=True,
        )
        self.first.clicked.connect(self._first)
        self.setFocusProxy(self.list)
        strip.changed.connect(self.show_ticks)
        self.fill()

    def fill(self) -> None:
        """List what is recorded now."""
        at = self.list.currentRow()
        self.list.clear()
        groups: dict[str, list[int]] = {}
        for place, trace in enumerate(self.strip.record.traces.all):
            groups.setdefault(trace.group, []).append(place)
        for group, places in groups.items():
            heading = QListWidgetItem(group, self.list)
            heading.setFlags(Qt.ItemFlag.NoItemFlags)
            for place in places:
                trace = self.strip.record.traces.all[place]
                item = QListWidgetItem(trace.name, self.list)
                item.setData(_COLUMN, trace.column)
                item.setFlags(Qt.ItemFlag.ItemIsEnabled | Qt.ItemFlag.ItemIsSelectable)
        self.show_ticks()
        ticked = (row for row in range(self.list.count()) if self._ticked(self.list.item(row)))
        self.list.setCurrentRow(at if 0 < at < self.list.count() else next(ticked, 0))

    @staticmethod
    def _ticked(item: QListWidgetItem) -> bool:
        return item.data(_COLUMN) is not None and item.checkState() == Qt.CheckState.Checked

    def show_ticks(self) -> None:
        """Tick what is on the strip now, and print the units."""
        known = {trace.column for trace in self.strip.record.traces.all}
        if {column for row in range(self.list.count()) if (column := self.list.item(row).data(_COLUMN))} != known:
            self.fill()  # other instruments are fitted now
            return
        shown = {trace.column for trace in self.strip.traces}
        quantities = {trace.column: trace.quantity for trace in self.strip.record.traces.all}
        for row in range(self.list.count()):
            item = self.list.item(row)
            column = item.data(_COLUMN)
            if column is not None:
                item.setCheckState(Qt.CheckState.Checked if column in shown else Qt.CheckState.Unchecked)
                item.setData(_UNIT, units.shown_unit(quantities[column], self.look.system).pretty)
        self.first.setChecked(self.strip.record.traces.wanted is None)

    def tick(self, item: QListWidgetItem) -> None:
        """Put a trace on the strip, or take it away."""
        column = item.data(_COLUMN)
        if column is not None:
            self.strip.change(column)

    def _first(self) -> None:
        self.strip.want(None)
        self.show_ticks()

    def lay_out(self) -> None:
        """Place the list and the button below it."""
        inner, scale, inks = self.inner(), self.look.scale, self.look.inks
        size, hint = self.first.sizeHint(), round(1.5 * max(SMALL * scale, LEAST_TEXT))
        foot = size.height() + 2 * hint
        room = max(inner.height() - foot, 1)
        self.list.setGeometry(QRect(inner.x(), inner.y(), inner.width(), whole_rows(self.list, room)))
        self.first.setGeometry(
            inner.x() - round(8 * scale), inner.bottom() - size.height(), size.width(), size.height()
        )
        palette = self.list.palette()
        for role, colour in (
            (QPalette.ColorRole.Base, "paper"),
            (QPalette.ColorRole.Text, "ink"),
            (QPalette.ColorRole.Highlight, "accent-pale"),
        ):
            palette.setColor(role, inks.colour(colour))
        self.list.setPalette(palette)
        self.list.setStyleSheet(
            f"QScrollBar:vertical {{ width: 6px; background: {inks.theme.colour('paper')}; }}"
            f"QScrollBar::handle:vertical {{ background: {inks.theme.colour('ink2')}; min-height: 24px; }}"
            "QScrollBar::add-line, QScrollBar::sub-line { height: 0; }"
        )
        self.list.doItemsLayout()
        self.show_ticks()
        self.list.scrollToItem(self.list.currentItem(), QListWidget.ScrollHint.PositionAtCenter)

    def still_shapes(self) -> DrawList:
        """Return the hint above the button."""
        scale = self.look.scale
        small = max(SMALL, self.look.least)
        inner, size = self.inner(), self.first.sizeHint()
        base = (inner.bottom() - size.height()) / scale - 0.5 * small
        words = _HINT.split("; ")
        return [
            Words(inner.x() / scale, base - 1.3 * small, f"{words[0]};", SMALL, "ink2"),
            Words(inner.x() / scale, base, words[1], SMALL, "ink2"),
        ]
