"""The ledgers over time: areas of power and flow, the totals of a chosen stretch, and repeated cycles."""

from __future__ import annotations

from functools import partial
from typing import ClassVar

from PySide6.QtCore import QRect, Signal
from PySide6.QtWidgets import QWidget

from trainer.drawing.areas_view import Band, Stack, time_ticks
from trainer.drawing.shapes import DrawList, Words
from trainer.energy.ledger import Entry
from trainer.energy.ledger_history import Cycle, LedgerAreas
from trainer.language import mark, tr
from trainer.window.board.drawing_view import DrawingView
from trainer.window.controls.buttons import WordButton
from trainer.window.controls.pane import Pane
from trainer.window.ledgers.areas import AreasView
from trainer.window.ledgers.stretch import KINDS, Span, Stretch
from trainer.window.ledgers.totals import CycleTable, TotalsView, cycle_rows
from trainer.window.painting.look import Look
from trainer.window.session.controller import SessionController

__all__ = ["LedgerPane"]

_BUTTONS = 40.0  # height of the row of buttons [board px]
_POWER = 0.57  # share of the areas' height that the power has
_TABLE = 0.27  # share of the width that the table of cycles has
_MOST = 240  # steps of the areas


class LedgerPane(Pane):
    """Both ledgers over time. ``picked`` tells the entry of an area or a row that was clicked."""

    place: ClassVar[str] = "wide"
    title = mark("Ledgers over time")
    picked = Signal(object)

    def __init__(
        self,
        look: Look,
        parent: QWidget,
        controller: SessionController,
        drawing: DrawingView,
        stretch: Stretch,
        small: bool,
    ) -> None:
        super().__init__(look, parent)
        self.controller, self.drawing = controller, drawing
        self.stretch = stretch
        self.ledger_history = stretch.ledger_history
        self.kinds: dict[str, WordButton] = {}
        for kind, words in KINDS.items():
            button = WordButton(
                look,
                tr(words),
                words,
                tr("Show and total: {words}").format(words=tr(words).lower()),
                self,
                checkable=True,
                size=17.0,
            )
            button.setAutoExclusive(True)
            button.clicked.connect(partial(self.choose, kind))
            self.kinds[kind] = button
        self.ends = tuple(
            WordButton(look, "", name, tr("{name}: the next mark").format(name=name), self, size=17.0)
            for name in (tr("From mark"), tr("To mark"))
        )
        for which, button in enumerate(self.ends):
            button.clicked.connect(partial(self._move_end, which))
        self.power = AreasView(look, mark("Power over time"), small, False, self)
        self.flow = AreasView(look, mark("Oil flow over time"), False, True, self)
        self.totals = TotalsView(look, small, self)
        self.lever = WordButton(
            look, tr("Cycles"), mark("Lever of the cycles"), tr("Count the next lever's cycles"), self, size=17.0
        )
        self.lever.clicked.connect(self._next_lever)
        self.table = CycleTable(look, self)
        self.table.picked.connect(self.choose_cycle)
        self._known: dict[tuple[float, float], Cycle] = {}  # whole cycles already totalled
        self._edition = -1
        self._span = self._totalled_span = Span(0.0, 0.0, "")
        self._areas: LedgerAreas | None = None
        self.lit = ""
        for view in (self.power, self.flow):
            view.moved.connect(self.set_cursor)
            view.picked.connect(self._pick)
        self.totals.picked.connect(self._pick)
        self.kinds["run"].setChecked(True)

    # -- what is asked ---------------------------------------------------------------------------------------

    def choose(self, kind: str, *_: object) -> None:
        """Show and total a kind of stretch."""
        self.stretch.kind = kind
        if kind == "cycle":
            self.stretch.cycle = None
        self.kinds[kind].setChecked(True)
        self.refresh()

    def choose_cycle(self, number: int) -> None:
        """Show and total one cycle of the table."""
        count = len(self.stretch.cycles())
        if count:
            self.stretch.kind, self.stretch.cycle = "cycle", min(number, count - 1)
            self.kinds["cycle"].setChecked(True)
            self.refresh()

    def _move_end(self, which: int, *_: object) -> None:
        self.stretch.move(which)
        self.refresh()

    def _next_lever(self, *_: object) -> None:
        self.stretch.next_lever()
        self.refresh()

    def _pick(self, id_: str) -> None:
        accounts = (*self.ledger_history.accounts, *self.ledger_history.book.accounts)
        account = next((account for account in accounts if account.id == id_), None)
        if account is not None:
            self.picked.emit(self.entry(id_) or account.entry(0.0))

    def entry(self, id_: str) -> Entry | None:
        """Return the entry of the shown totals with an id."""
        cycle = self.totals.cycle
        entries = (*cycle.used.entries, *cycle.oil.entries) if cycle is not None else ()
        return next((entry for entry in entries if entry.id == id_), None)

    def light(self, id_: str) -> None:
        """Point at an entry, in the areas and in the totals."""
        self.lit = id_
        for view in (self.power, self.flow, self.totals):
            view.light(id_)

    # -- what is shown ---------------------------------------------------------------------------------------

    def refresh(self) -> None:
        """Show everything anew."""
        for half in (True, False):
            self.show_half(half)
        for view in (self.power, self.flow):
            view.repaint_areas()
        self.canvas.forget()
        self.update()

    def go_on(self, pieces: int) -> None:
        """Paint more of the areas that are painted anew, in one of the views."""
        view = next((view for view in (self.power, self.flow) if view.canvas.busy), None)
        if view is not None:
            view.canvas.go_on(pieces)

    def show_half(self, upper: bool) -> None:
        """Show the power's areas, or the flow's and the totals; each half in a frame of its own."""
        if self.ledger_history.edition != self._edition:
            self._edition = self.ledger_history.edition
            self._known.clear()
        covered = self.drawing.state.covered
        kinds = {self.controller.session.rig.instruments[name].kind for name in covered
                 if name in self.controller.session.rig.instruments}  # fmt: skip
        hidden = bool(kinds & {"gauge", "flow meter"})
        if upper:
            self._span = span = self.stretch.span()
            self._areas = self.ledger_history.areas(span.begin, span.end, _MOST)
            self._show_buttons()
        if self._areas is None:
            return
        areas, axis = self._areas, self._axis()
        marks = [(time, name) for time, name in self.controller.marks if time <= self.ledger_history.end + 1e-6]
        if upper:
            self.power.show_stack(self._power(areas), axis, marks, hidden)
            return
        self.flow.show_stack(self._flow(areas), axis, marks, hidden)
        cursor = self.flow.cursor_time
        if cursor is not None and not axis[0] <= cursor <= axis[1]:
            self.set_cursor(None)
        self.totals.show_cycle(self.ledger_history.between(self._span.begin, self._span.end), hidden)
        if self._totalled_span != self._span:
            self._totalled_span = self._span
            self.update(0, 0, self.width(), self.inner().y())
        self._show_cursor()
        self._show_table(hidden)

    def _axis(self) -> tuple[float, float]:
        """Return the ends of the time axis [s]; the whole run's is a round one that stands while time goes on."""
        begin, end = self._span.begin, max(self._span.end, self._span.begin + 0.1)
        if self._span.whole:
            ticks = time_ticks(begin, end)
            step = ticks[1][0] - ticks[0][0] if len(ticks) > 1 else end - begin
            end = max(begin + 10.0, -(-(end - 1e-6) // step) * step)
        return begin, end

    def _power(self, areas: LedgerAreas) -> Stack:
        bands = tuple(
            Band(account.id, account.name, account.style, areas.power[:, k])
            for k, account in enumerate(self.ledger_history.accounts)
        )
        return Stack(tr("Power"), "power", areas.edges, bands, areas.paid, tr("All that is paid in"))

    def _flow(self, areas: LedgerAreas) -> Stack:
        accounts = self.ledger_history.book.accounts
        bands = tuple(
            Band(account.id, account.name, account.style, areas.oil[:, k]) for k, account in enumerate(accounts)
        )
        return Stack(tr("Oil"), "flow", areas.edges, bands, areas.oil.sum(axis=1), tr("All from the pump"))

    def _show_buttons(self) -> None:
        points, (first, last) = self.stretch.points(), self.stretch.ends()
        wanted = self.stretch.kind == "marks" and len(points) > 2
        texts = (tr("from {mark}").format(mark=points[first][1]), tr("to {mark}").format(mark=points[last][1]))
        changed = self.lever.text() != self.stretch.lever_words()
        for button, text in zip(self.ends, texts, strict=True):
            changed |= button.text() != text or button.isVisibleTo(self) != wanted
            button.setText(text)
            button.setVisible(wanted)
        self.lever.setText(self.stretch.lever_words())
        if changed:
            self._lay_out_buttons()

    def _show_table(self, hidden: bool) -> None:
        cycles = self.stretch.cycles()
        chosen = -1
        if self.stretch.kind == "cycle" and cycles:
            chosen = len(cycles) - 1 if self.stretch.cycle is None else min(self.stretch.cycle, len(cycles) - 1)
        mean = len(cycles) > 1
        room = max(self.table.room - mean, 1)
        last = max(len(cycles), 1)
        if chosen >= 0:
            last = min(max(chosen + 1, room), last)
        first = max(last - room, 0)
        shown = [self._totalled(begin, end, k < len(cycles) - 1) for k, (begin, end) in enumerate(cycles)][first:last]
        whole = self.ledger_history.between(cycles[0][0], cycles[-1][0]) if mean else None
        table = cycle_rows(shown, self.look.system, whole, len(cycles) - 1, first) if shown else ([], [])
        self.table.show_rows(table, first, chosen, mean, hidden)

    def _totalled(self, begin: float, end: float, whole: bool) -> Cycle:
        if not whole:
            return self.ledger_history.between(begin, end)
        if (begin, end) not in self._known:
            self._known[begin, end] = self.ledger_history.between(begin, end)
        return self._known[begin, end]

    def set_cursor(self, time: float | None) -> None:
        """Put the cursor of both areas at a time, or take it away."""
        for view in (self.power, self.flow):
            view.set_cursor(time)
        self._show_cursor()

    def _show_cursor(self) -> None:
        time = self.power.cursor_time
        here: dict[str, float] = {}
        for view in (self.power, self.flow):
            stack = view.stack
            if time is not None and stack is not None and len(stack.total):
                step = stack.at(time)
                here |= {band.id: float(band.values[step]) for band in stack.bands}
        self.totals.show_cursor("" if time is None else f"{time:.2f} s", here)

    # -- where it stands -------------------------------------------------------------------------------------

    def live_shapes(self) -> DrawList:
        """Return what the stretch is that the totals are of, beside the title."""
        span = self._totalled_span
        words = span.hint or f"{span.words}, {span.end - span.begin:.1f} s"
        return [Words(230.0, 29.0, words, 17.0, "ink2")]

    def lay_out(self) -> None:
        """Place buttons, areas, totals and table."""
        box, scale = self.inner(), self.look.scale
        self._lay_out_buttons()
        least = self.look.least
        text, pitch = max(15.4, least), max(21.0, 1.3 * max(15.4, least))
        sheets = round((1.5 * text + 8.05 * pitch) * scale)
        top = box.y() + round((_BUTTONS + 8.0) * scale)
        areas = max(box.bottom() - sheets - top - round(10 * scale), 60)
        upper = round(_POWER * areas)
        self.power.setGeometry(box.x(), top, box.width(), upper)
        self.flow.setGeometry(box.x(), top + upper, box.width(), areas - upper)
        below = box.bottom() - sheets
        table = round(_TABLE * box.width())
        gap = round(30 * scale)
        self.totals.setGeometry(box.x(), below, box.width() - table - gap, sheets)
        left, head, over = box.right() - table, round(1.75 * text * scale), round(5 * scale)
        self.lever.setGeometry(left - round(8 * scale), below - over, self.lever.sizeHint().width(), head + over)
        self.table.setGeometry(QRect(left, below + head, table, sheets - head))
        if self.isVisible():
            self.refresh()

    def _lay_out_buttons(self) -> None:
        box, scale = self.inner(), self.look.scale
        x, middle = box.x() - round(8 * scale), box.y() + round(_BUTTONS * scale / 2)
        for button in (*self.kinds.values(), *self.ends):
            size = button.sizeHint()
            button.setGeometry(x, middle - size.height() // 2, size.width(), size.height())
            x += size.width() + round(10 * scale) if button.isVisibleTo(self) else 0
        size = self.lever.sizeHint()
        self.lever.resize(size)
