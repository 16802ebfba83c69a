"""The list of all that the strip records: a tick for each trace on it, by part."""

from __future__ import annotations

from PySide6.QtWidgets import QListView, QVBoxLayout, QWidget

from trainer import units
from trainer.language import mark, tr
from trainer.window.controls.buttons import WordButton
from trainer.window.controls.flow_layout import FlowLayout
from trainer.window.controls.item_list import ItemList
from trainer.window.controls.items import Item, ItemStyle
from trainer.window.controls.labels import Label
from trainer.window.controls.pane import Pane
from trainer.window.controls.tips import set_tip
from trainer.window.painting.look import Look
from trainer.window.strip.picture import SMALL
from trainer.window.strip.view import StripView

__all__ = ["TracesPane"]

_HINT = mark("One to four. Enter or a click ticks; a dial dragged onto the strip joins them.")


class TracesPane(Pane):
    """Every trace by name, under the part that it belongs to, with a tick where it is on the strip."""

    title = mark("Traces of the strip")

    def __init__(self, look: Look, strip: StripView, parent: QWidget) -> None:
        super().__init__(look, parent)
        self.strip = strip
        self.list = ItemList(
            look, mark("Traces of the strip"), self, ItemStyle(SMALL, pitch=1.6, chosen="ring"), one_click=True
        )
        self.list.setVerticalScrollMode(QListView.ScrollMode.ScrollPerPixel)
        self.list.setAccessibleDescription(tr(_HINT))
        set_tip(self.list, tr("Enter or a click ticks a trace"))
        self.list.entered.connect(strip.change)
        self.first = WordButton(
            look,
            tr("First choice"),
            mark("First choice of traces"),
            tr("Follow the lever moved last again, with the first gauge and the speed"),
            self,
            size=SMALL,
            checkable=True,
        )
        self.first.clicked.connect(self._first)
        self.hint = Label(look, tr(_HINT).replace("; ", ";\n"), self, ink="ink2", size=SMALL)
        self.foot = FlowLayout()
        self.foot.addWidget(self.first)
        column = QVBoxLayout(self)
        column.addWidget(self.list, 1)
        column.addWidget(self.hint)
        column.addLayout(self.foot)
        self.setFocusProxy(self.list)
        strip.changed.connect(self.fill)
        self.fill()

    def fill(self) -> None:
        """List what is recorded now by part, ticked where it is on the strip, with the present units."""
        traces = self.strip.record.traces
        shown = {trace.column for trace in self.strip.traces}
        items: list[Item] = []
        groups = dict.fromkeys(trace.group for trace in traces.all)
        for group in groups:
            items.append(Item(group, group, heading=True))
            for trace in traces.all:
                if trace.group == group:
                    unit = units.shown_unit(trace.quantity, self.look.system).pretty
                    items.append(Item(trace.column, trace.name, right=unit, ticked=trace.column in shown))
        ticked = next((item.key for item in items if item.ticked), "")
        self.list.fill(items, self.list.key or ticked)
        self.first.setChecked(traces.wanted is None)

    def _first(self) -> None:
        self.strip.want(None)
        self.fill()

    def lay_out(self) -> None:
        """Size what the layout places for the present look."""
        self.foot.outdent = round(8 * self.look.scale)
        self.fill()
        self.list.scrollTo(self.list.currentIndex(), QListView.ScrollHint.PositionAtCenter)
