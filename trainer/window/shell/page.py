"""The page of the board: every view of a rig, where it stands, and what it is told."""

from __future__ import annotations

import itertools
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import replace
from functools import partial
from pathlib import Path

from PySide6.QtCore import QMetaObject, QObject, QPoint, QPointF, QRect, QSize, Qt, Signal
from PySide6.QtGui import QKeyEvent, QMouseEvent, QResizeEvent
from PySide6.QtWidgets import QWidget
from shiboken6 import isValid

from trainer.drawing.ledger_view import PITCH
from trainer.energy.books import FlowBook
from trainer.engine.readings import Readings
from trainer.engine.session import Session
from trainer.language import mark
from trainer.lessons.cover import Cover
from trainer.measuring.needles import Needles
from trainer.operating.operator import Operator
from trainer.parts.roles import PrimeMover
from trainer.rig.rig import Rig
from trainer.window.board.arrangement import (
    GAP,
    LEAST_STRIP,
    NARROW,
    READOUT,
    VIEWS,
    BoardAreas,
    Panes,
    arrange,
    with_below,
)
from trainer.window.board.drawing_view import DrawingView
from trainer.window.board.lever_view import LeverView
from trainer.window.board.machine_pane import MachinePane
from trainer.window.board.rack_view import RackView
from trainer.window.board.steps_view import StepsView
from trainer.window.controls.actions import Actions
from trainer.window.controls.borders import WIDE, Border
from trainer.window.controls.handles import Handle
from trainer.window.controls.pane import Pane
from trainer.window.dials.dials import DialsView
from trainer.window.ledgers.view import LedgerView
from trainer.window.opening.chooser import ChooserPage
from trainer.window.painting.canvas import Canvas
from trainer.window.painting.look import Look
from trainer.window.shell.keys_page import KeysPage
from trainer.window.shell.notice import NoticeView
from trainer.window.shell.readout import Readout
from trainer.window.strip.view import StripView
from trainer.window.time.clock_bar import ClockBar
from trainer.window.time.line import TimeLine

__all__ = ["BoardPage"]


class PaneStack:
    """Opens and closes the panes of a page; ``open`` holds them by place."""

    def __init__(self, page: BoardPage) -> None:
        self.page = page
        self.open: dict[str, Pane] = {}
        self._before: dict[str, QWidget | None] = {}  # what had the keyboard when a pane was opened
        self._links: dict[str, QMetaObject.Connection] = {}

    def show(self, pane: Pane, focus: bool = True) -> None:
        """Show a pane in its place, instead of the one that was there, and give it the keyboard where ``focus``."""
        before = self.open.get(pane.place)
        if before is not pane:
            if before is not None:
                self.close(before)
            self._links[pane.place] = pane.closed.connect(partial(self.close, pane))
        self.open[pane.place] = pane
        self._before[pane.place] = self.page.window().focusWidget()
        self._fold()
        pane.show()
        pane.raise_()
        if focus:
            pane.setFocus(Qt.FocusReason.TabFocusReason)

    def close(self, pane: Pane) -> None:
        """Hide a pane; where the keyboard was in it, it goes back to where it was before, or to the levers."""
        if self.open.get(pane.place) is not pane:
            return
        del self.open[pane.place]
        QObject.disconnect(self._links.pop(pane.place))
        focus = self.page.window().focusWidget()
        within = focus is not None and (focus is pane or pane.isAncestorOf(focus))
        pane.hide()
        self._fold()
        before = self._before.pop(pane.place)
        if within:
            self.page.give_back(before)

    def _fold(self) -> None:
        """Place everything; the ledgers are folded while a pane keeps them beside itself."""
        folded, below = any(pane.keeps_ledgers for pane in self.open.values()), "lesson" in self.open
        if (folded, below) != (self.page.folded, self.page.with_lesson):
            self.page.folded, self.page.with_lesson = folded, below
            self.page.lay_out()
        else:
            self.lay_out()

    def lay_out(self) -> None:
        """Put every open pane where it belongs."""
        page = self.page
        for place, pane in sorted(self.open.items(), key=lambda one: one[0] != "lesson"):  # others lie over it
            if place == "lesson":
                pane.setGeometry(page.lesson_area())
            elif place == "side":
                top = page.readout.y() + (page.strip if pane.keeps_ledgers else page.flow).y() - 6
                pane.setGeometry(page.readout.x(), top, page.readout.width(), page.height() - top)
            else:
                top = page.drawing.y() if page.drawing.isVisible() else page.machine.y()
                pane.setGeometry(QRect(0, top, page.readout.x(), page.notice.y() - top))
            pane.arrange()
            pane.raise_()


class BoardPage(QWidget):
    """Clock bar, drawing, machine, rack and read-out column of one session.

    ``levers_moved`` tells of a hand on a lever.
    """

    levers_moved = Signal()
    said = Signal(str)

    def __init__(
        self, look: Look, session: Session, operator: Operator, actions: Actions, parent: QWidget,
        panes: Panes | None = None,
    ) -> None:  # fmt: skip
        super().__init__(parent)
        self._had_keyboard: QWidget | None = None  # before what lies over the whole page now
        self.look = look
        self.beside = beside = look.beside()  # for the read-out column
        self.panes = self.wanted = panes or Panes()  # as shown, as the user wants it
        self.folded = False  # the ledgers, to their bars
        self.with_lesson = False
        self._below: tuple[float, float, float, float] = (0.0, 0.0, 0.0, 0.0)  # what stands below the drawing
        self._turn = False
        self._moved: list[str] = []  # controls that hands have moved since the curves were drawn
        self._placed = QSize()  # for which everything was placed last
        self.session, self.operator = session, operator
        self.setObjectName("board")
        rig, live = session.rig, session.readings
        self.drawing = DrawingView(look, rig, live, session.number, self)
        self.machine = MachinePane(look, rig, live, self)
        self.bar = ClockBar(look, rig.title, self.machine.exists, actions, self)
        self.time_line = TimeLine(look, self)
        self.rack = RackView(look, rig, operator, session.asked, self)
        self.notice = NoticeView(look, self)
        self.readout = Readout(beside, self)
        self.needles = Needles(rig)
        step = self.drawing.scene.pressure_step
        self.dials = DialsView(beside, rig, self.needles, session.number, step, self.readout)
        by_hand = any(role.by_hand for role in rig.having(PrimeMover).values())
        self.covers = Cover()  # what may not be told now
        self.frozen = self.held = ""  # why nothing moves, why no hand moves a lever
        self.book = FlowBook(session.network)
        self.flow = LedgerView(beside, self.book.ledger(live), by_hand, self.readout)
        self.power = LedgerView(beside, self.book.power.ledger(live), by_hand, self.readout)
        self.strip = StripView(beside, rig, live, self.readout)
        self.side_border = Border(look, True, mark("Border of the read-outs"), self)
        self.strip_border = Border(look, False, mark("Border above the strip"), self)
        self.side_border.dragged.connect(self._drag_side)
        self.side_border.nudged.connect(self._nudge_side)
        self.side_border.home_asked.connect(self._home_side)
        self.strip_border.dragged.connect(self._drag_strip)
        self.strip_border.nudged.connect(self._nudge_strip)
        self.strip_border.home_asked.connect(self._home_strip)
        self.help = KeysPage(look, actions, self)
        self.help.closed.connect(self.change_help)
        self.rigs = ChooserPage(look, self)
        self.over = PaneStack(self)
        self.dials.changed.connect(self._covers)
        self.dials.refused.connect(self.said)
        for name, lever in self.rack.levers.items():
            handle = self.drawing.add_handle(name, lever.motion, lever.name, lever.tip)
            handle.moved.connect(self.levers_moved)
            handle.written.connect(lever.ask_exactly)
        self.rack.levers_moved.connect(self.levers_moved)
        for view in self.rack.handles.values():
            if isinstance(view, Handle):
                view.said.connect(self.said)
        self._order()
        self.focus_levers()
        self.needles.take(live, rest=True)
        self.dials.read(0.0)
        for dial in self.dials.dials:
            dial.settle()

    def _order(self) -> None:
        """Set the order of the focus: rack first, then spools, dials, clock."""
        chain: list[QWidget] = []
        for view in self.rack.handles.values():
            if isinstance(view, StepsView):
                chain += view.buttons.values()
                continue
            chain.append(view)
            if isinstance(view, LeverView):
                chain.append(view.hold)
        chain += [*self.drawing.handles.values(), self.drawing, *self.dials.dials, self.flow, self.power]
        bar = self.bar
        chain += [
            bar.run,
            bar.freeze,
            bar.step,
            bar.reset,
            *bar.speeds.values(),
            *bar.looks,
            *bar.systems.values(),
            self.time_line,
            *self.strip.buttons,
            self.strip,
            self.side_border,
            self.strip_border,
        ]
        for before, after in itertools.pairwise(chain):
            QWidget.setTabOrder(before, after)

    def focus_levers(self) -> None:
        """Give the keyboard to the first lever, of a rig without one to the first control."""
        first = next(iter((*self.rack.levers.values(), *self.rack.handles.values())), None)
        if first is not None:
            first.setFocus()

    def give_back(self, before: QWidget | None) -> None:
        """Give the keyboard back to what had it before, while that is seen, else to the first lever."""
        if before is not None and isValid(before) and before.isVisible():
            before.setFocus(Qt.FocusReason.OtherFocusReason)
        else:
            self.focus_levers()

    def canvases(self) -> Iterator[Canvas]:
        """Yield the canvas of every view."""
        for widget in self.findChildren(QWidget):
            canvas = getattr(widget, "canvas", None)
            if isinstance(canvas, Canvas):
                yield canvas

    # -- what it is told ---------------------------------------------------------------------------------------

    def show_hands(self, given: Sequence[str]) -> None:
        """Show where hands have everything, after some controls were given another value.

        While the clock is frozen the instant stays whole: a handle shows where it is set, and that it waits.
        """
        for name, view in self.rack.handles.items():
            if name in given and not isinstance(view, Handle):
                view.update()
            if isinstance(view, Handle):
                if name in given:
                    view.show_moved()
                waits = not self.session.running and name in self.session.waiting
                view.show_waiting(self.session.taken(name) if waits else None)
            view.show_value()
        self._moved = [name for name in given if self.operator.in_hand(name)] or self._moved

    def draw_curves(self) -> None:
        """Draw the strip's curves up to now, of the lever that hands have moved last."""
        moved, self._moved = self._moved, []
        if moved and self.strip.followed not in moved:
            self.strip.follow(moved[-1])
        self.strip.draw_curves()

    def show_hands_anew(self) -> None:
        """Show levers and settings where the session has them, such as after a reset."""
        for view in self.rack.handles.values():
            if isinstance(view, Handle):
                view.show_waiting(None)
            view.show_value()
            view.update()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Move a lever by its pair of letters, whatever has the focus; choose the next load."""
        if self.held and self.rack.knows(event):
            self.said.emit(f"{self.held}.")
        elif not self.rack.key(event, True):
            super().keyPressEvent(event)

    def keyReleaseEvent(self, event: QKeyEvent) -> None:
        if not self.rack.key(event, False):
            super().keyReleaseEvent(event)

    def mousePressEvent(self, event: QMouseEvent) -> None:
        """Say why a lever that was clicked does not move."""
        if self.held and self.rack.geometry().contains(event.position().toPoint()):
            self.said.emit(f"{self.held}.")
        super().mousePressEvent(event)

    def prints(self) -> tuple[Callable[[float], None], ...]:
        """Return what prints figures, each told the wall seconds since it did so last; the window spreads them."""
        return self._print_picture, self._print_flow, self._print_power, self._print_time

    def _print_picture(self, seconds: float) -> None:
        for dial in self.dials.dials:  # dials, drawing and strip print the same instant
            dial.say()
        self.drawing.state.told.update({dial.instrument.name: dial.shown for dial in self.dials.dials})
        self.take_figures(places=False)  # with the time, which is little
        self.strip.refresh(self.session.readings, self.drawing.state.covered)

    def _print_flow(self, seconds: float) -> None:
        self.flow.show_ledger(self.book.ledger(self.session.readings), seconds)

    def _print_power(self, seconds: float) -> None:
        self.power.show_ledger(self.book.power.ledger(self.session.readings), seconds)

    def _print_time(self, seconds: float) -> None:
        self.bar.show_state(self.session.running, self.session.speed, self.session.time)
        self.drawing.words.choose_anew()

    def show_instant(self, live: Readings, seconds: float, passed: float, moved: bool) -> None:
        """Show one instant after some wall seconds, ``passed`` of simulated time; ``moved`` where it is a new one."""
        self.dials.read(seconds)
        if not moved:
            return
        view, self._turn = self.panes.view, not self._turn
        if view == "machine":
            self.drawing.readings = live
        else:  # beside each other they are painted in turn
            self.drawing.show_instant(live, passed, paint=view == "drawing" or self._turn or passed == 0.0)
        if view == "machine" or (view == "both" and (not self._turn or passed == 0.0)):
            self.machine.show_instant(live)

    def start_anew(self) -> None:
        """Forget what was recorded and shown."""
        self.strip.clear()
        for ledger in (self.flow, self.power):
            ledger.start_anew()
        self.drawing.state.steps.clear()
        self.take_figures()

    def take_figures(self, places: bool = True) -> None:
        """Print all figures at the next frame, with their ``places`` in the drawing found anew or left for later."""
        self.drawing.take_figures(places)
        self.machine.take_figures()

    def _covers(self) -> None:
        covered = {dial.instrument.name for dial in self.dials.dials if dial.covered}
        self.drawing.state.covered = covered
        kinds = {dial.instrument.kind for dial in self.dials.dials if dial.covered}
        hidden = self.covers
        state = self.drawing.state
        state.unseen, state.unseen_flows, state.unseen_heat = hidden.pressures, hidden.flows, hidden.rest
        state.unmarked = hidden.marks
        for ledger in (self.flow, self.power):
            ledger.set_unseen(hidden.rest)
        self.strip.unseen = hidden.rest
        self.flow.set_covered("flow meter" in kinds)
        self.power.set_covered("gauge" in kinds)
        self.strip.refresh(self.session.readings, covered)
        self.strip.draw_curves()
        self.take_figures()
        self.drawing.update()

    def cover(self, cover: Cover, frozen: str, led: str = "") -> None:
        """Tell nothing of these; let no hand move anything while it is ``frozen`` or ``led``, for that reason."""
        if cover.names != self.covers.names:
            self.drawing.set_nameless(cover.names)
        self.covers, self.frozen, self.held = cover, frozen, frozen or led
        if frozen:
            self.rack.let_go()
        for view in (*self.rack.handles.values(), *self.drawing.handles.values()):
            view.setEnabled(not self.held)
        self.dials.hold(cover.instruments, f"{frozen}.")
        self.lay_out()

    def change_help(self) -> None:
        """Show or hide the page of keys."""
        if self._lay_over(self.help):
            self.help.setFocus()

    def _lay_over(self, over: QWidget) -> bool:
        """Show or hide what lies over the whole page, and return whether it is shown now.

        Hidden again, what had the keyboard has it back: digits are meant for the lever that was in hand.
        """
        shown = not over.isVisible()
        if shown:
            self._had_keyboard = self.window().focusWidget()
            self.rack.let_go()
        over.setVisible(shown)
        over.raise_()
        if not shown:
            self.give_back(self._had_keyboard)
        return shown

    # -- what the user chooses ---------------------------------------------------------------------------------

    def set_panes(self, panes: Panes) -> None:
        """Take another arrangement; the machine is only shown where there is one."""
        self.wanted = panes.within()
        self.lay_out()

    def next_view(self) -> None:
        """Show the drawing, then drawing and machine, then the machine."""
        at = VIEWS.index(self.panes.view)
        self.set_panes(replace(self.wanted, view=VIEWS[(at + 1) % len(VIEWS)]))
        self.machine.readings = self.session.readings
        self.drawing.show_instant(self.session.readings, 0.0)

    def _drag_side(self, point: QPointF) -> None:
        self.set_panes(replace(self.wanted, column=(self.width() - point.x()) / (READOUT * self.look.scale)))

    def _nudge_side(self, way: int) -> None:
        self.set_panes(replace(self.wanted, column=self.panes.column - 0.05 * way))

    def _home_side(self) -> None:
        self.set_panes(replace(self.wanted, column=Panes().column))

    def _drag_strip(self, point: QPointF) -> None:
        way = point.y() - self.strip_border.geometry().center().y()
        self._nudge_strip(round(way / (PITCH * self.beside.scale)))

    def _nudge_strip(self, way: int) -> None:
        if way:
            self.set_panes(replace(self.wanted, rows=min(self.panes.rows + way, self._most_rows())))

    def _home_strip(self) -> None:
        self.set_panes(replace(self.wanted, rows=Panes().rows))

    def _most_rows(self) -> int:
        """Rows of both ledgers that leave the strip its least height."""
        spare = self.strip.height() / self.beside.scale - LEAST_STRIP
        return self.panes.rows + max(int(spare / PITCH), 0)

    def change_chooser(self, file: Path | None, title: str) -> None:
        """Show or hide the list of rigs; the file that is open, and its rig's title, are marked there."""
        if self._lay_over(self.rigs):
            self.rigs.fill(file, title)

    @property
    def covered(self) -> bool:
        """Whether a list or the keys lie over all of it."""
        return self.help.isVisible() or self.rigs.isVisible()

    def take_rig(self, rig: Rig) -> None:
        """Show the same session with other instruments."""
        self.drawing.take_rig(rig)
        self.dials.take_rig(rig)
        self._order()
        self._covers()
        self.lay_out()

    # -- where it stands ---------------------------------------------------------------------------------------

    def resizeEvent(self, event: QResizeEvent) -> None:
        self.lay_out()

    def stand_at(self, size: QSize) -> None:
        """Take a size and place everything for it, seen or not: what is not seen is told of no size by Qt."""
        self.resize(size)
        if self._placed != size:
            self.lay_out()

    def lay_out(self) -> None:
        """Place everything for the present size."""
        width, height = self.width(), self.height()
        self._placed = self.size()
        self.panes = self.wanted.shown(width, self.machine.exists)
        self.look.scale = self.beside.scale = min(width / 1920.0, height / 1080.0)
        areas = self._areas()
        self.beside.scale = areas.column_scale
        areas = self._areas()
        self.beside.scale = areas.column_scale
        if self.with_lesson and width < NARROW:
            pane = self.over.open.get("lesson")
            folded = bool(self.frozen) or (pane is not None and pane.wants_room)
            areas, self._below = with_below(areas, folded, pane is not None and pane.works)
        corner = QPoint(round(areas.column[0]), round(areas.column[1]))
        for view, area in (
            (self.bar, areas.bar),
            (self.time_line, areas.time),
            (self.readout, areas.column),
            (self.drawing, areas.drawing),
            (self.machine, areas.machine),
            (self.rack, areas.rack),
            (self.notice, areas.notice),
        ):
            view.setGeometry(_rect(area))
        for beside, area in (
            (self.dials, areas.dials),
            (self.flow, areas.flow),
            (self.power, areas.power),
            (self.strip, areas.strip),
        ):
            beside.setGeometry(_rect(area).translated(-corner))
        self.drawing.setVisible(self.panes.view != "machine")
        self.machine.setVisible(self.panes.view != "drawing" and areas.machine[2] > 0.0)
        self.rack.setVisible(areas.rack[3] > 0.0)
        replaced = self.with_lesson and width >= NARROW and not self.folded
        for below in (self.flow, self.power, self.strip, self.strip_border):
            below.setVisible(not replaced)
        self.side_border.setGeometry(corner.x() - WIDE // 2, corner.y(), WIDE, round(areas.column[3]))
        middle = round(areas.strip[1] - GAP * self.beside.scale / 2)
        self.strip_border.setGeometry(round(areas.strip[0]), middle - WIDE // 2, round(areas.strip[2]), WIDE)
        for border in (self.side_border, self.strip_border):
            border.raise_()
        self.over.lay_out()
        for over in (self.help, self.rigs):
            over.setGeometry(QRect(QPoint(0, 0), self.size()))
            over.raise_()
            over.lay_out()
        self.bar.lay_out(areas.column[0])
        self.dials.lay_out()
        self.drawing.lay_out()
        self.rack.lay_out(self._columns())
        self.strip.lay_out()
        self.bar.show_look()
        self.bar.show_view(self.panes.view)
        for canvas in self.canvases():
            canvas.forget()
            canvas.widget.update()

    def lesson_area(self) -> QRect:
        """Return where a lesson stands: over ledgers and strip, or below the drawing of a narrow window."""
        if self.width() < NARROW:
            return _rect(self._below)
        top = self.readout.y() + self.flow.y() - 6
        return QRect(self.readout.x(), top, self.readout.width(), self.height() - top)

    def _areas(self) -> BoardAreas:
        self.flow.folded = self.power.folded = self.folded
        flow, power = self.panes.split()
        self.flow.set_rows(flow)
        self.power.set_rows(power)
        heights = (self.dials.height_board(), self.flow.height_board(), self.power.height_board())
        return arrange(self.width(), self.height(), *heights, self.panes)

    def _columns(self) -> Mapping[str, float]:
        """Return where the levers stand [px]; beside the machine alone they spread over the whole rack."""
        left = self.drawing.x()
        columns = {name: left + x for name, x in self.drawing.columns().items()}
        if self.panes.view != "machine" or not columns:
            return columns
        share = self.rack.width() / (len(columns) + 1.6)
        return {name: share * (k + 2.1) for k, name in enumerate(sorted(columns, key=columns.__getitem__))}


def _rect(area: tuple[float, float, float, float]) -> QRect:
    left, top, width, height = area
    x, y = round(left), round(top)
    return QRect(x, y, round(left + width) - x, round(top + height) - y)
