"""The page of the board: every view of a rig, where it stands, and what it is told."""

from __future__ import annotations

import itertools
from collections.abc import Iterator

from PySide6.QtCore import QPoint, QRect, Signal
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QWidget

from trainer.engine.readings import Readings
from trainer.engine.session import Session
from trainer.window.arrangement import arrange
from trainer.window.canvas import Canvas
from trainer.window.clock_bar import ClockBar
from trainer.window.dials import DialsView
from trainer.window.drawing_view import DrawingView
from trainer.window.ledgers import LedgerView
from trainer.window.look import Look
from trainer.window.notice import HelpPage, NoticeView
from trainer.window.rack_view import RackView
from trainer.window.readout import Readout
from trainer.window.strip import StripView

__all__ = ["BoardPage"]


class BoardPage(QWidget):
    """Clock bar, drawing, rack and read-out column of one session; ``levers_moved`` tells of a hand on a lever."""

    levers_moved = Signal()

    def __init__(self, look: Look, session: Session, parent: QWidget) -> None:
        super().__init__(parent)
        self.look = look
        self.session = session
        self.setObjectName("board")
        rig, live = session.rig, session.readings
        self.bar = ClockBar(look, rig.title, self)
        self.drawing = DrawingView(look, rig, live, self)
        self.rack = RackView(look, rig, self.control, self)
        self.notice = NoticeView(look, self)
        self.readout = Readout(look, self)
        self.dials = DialsView(look, rig, self.drawing.scene.pressure_step, self.readout)
        by_hand = any(fitted.part.symbol == "hand_crank" for fitted in rig.parts.values())
        self.flow = LedgerView(look, session.flow_ledger(), by_hand, self.readout)
        self.power = LedgerView(look, session.power_ledger(), by_hand, self.readout)
        self.strip = StripView(look, rig, live, self.readout)
        self.help = HelpPage(look, self)
        self.help.hide()
        self.help.closed.connect(self.change_help)
        self.dials.changed.connect(self._covers)
        for name, lever in self.rack.levers.items():
            handle = self.drawing.add_handle(name, lever.motion, lever.name, lever.toolTip())
            handle.moved.connect(self.levers_moved)
        for view in self.rack.handles.values():
            view.moved.connect(self.levers_moved)
        self._order()
        for dial in self.dials.dials:
            dial.read(live, 0.0)
            dial.settle()

    def control(self, name: str) -> float:
        """Return the session's value of "part.control" [SI]."""
        part, _, control = name.partition(".")
        return self.session.readings.control(part, control)

    def _order(self) -> None:
        """Set the order of the focus: rack first, then spools, dials, clock."""
        chain: list[QWidget] = []
        for view in self.rack.handles.values():
            chain.append(view)
            hold = getattr(view, "hold", None)
            chain += [hold] if hold is not None else []
        chain += [*self.drawing.handles.values(), *self.dials.dials]
        bar = self.bar
        chain += [
            bar.run,
            bar.freeze,
            bar.step,
            bar.reset,
            *bar.speeds.values(),
            bar.marks,
            bar.theme,
            bar.projector,
            bar.help,
            *bar.systems.values(),
        ]
        for before, after in itertools.pairwise(chain):
            QWidget.setTabOrder(before, after)
        first = next(iter(self.rack.levers.values()), None)
        if first is not None:
            first.setFocus()

    def canvases(self) -> Iterator[Canvas]:
        """Yield the canvas of every view."""
        for widget in self.findChildren(QWidget):
            canvas = getattr(widget, "canvas", None)
            if isinstance(canvas, Canvas):
                yield canvas

    # -- what it is told ---------------------------------------------------------------------------------------

    def move_levers(self, seconds: float) -> None:
        """Let springs and keys act for some wall seconds, and give the session what changed."""
        for name, view in self.rack.handles.items():
            view.motion.advance(seconds)
            if view.motion.value != self.control(name):
                self.session.set_control(name, view.motion.value)
                view.update()
            view.show_value()

    def take_levers(self) -> None:
        """Put levers and speeds where the session has them, such as after a reset."""
        for name, view in self.rack.handles.items():
            view.motion.forget()
            view.motion.value = self.control(name)
            if hasattr(view.motion, "held"):
                view.motion.held = abs(view.motion.value) > 1e-9
            view.show_value()
            view.update()

    def show_figures(self, upper: bool = True, lower: bool = True) -> None:
        """Print what changes eight times a second: dials and flow ledger above, the rest below."""
        changed = False
        if upper:
            for dial in self.dials.dials:
                dial.say()
            changed = self.flow.show_ledger(self.session.flow_ledger())
        if lower:
            changed = self.power.show_ledger(self.session.power_ledger()) or changed
            self.strip.refresh(self.session.readings, self.drawing.state.covered)
            self.bar.show_state(self.session.running, self.session.speed, self.session.time)
        if changed:
            self.lay_out()

    def show_instant(self, live: Readings, seconds: float, passed: float, moved: bool) -> None:
        """Show one instant after some wall seconds, ``passed`` of simulated time; ``moved`` where it is a new one."""
        self.dials.read(live, seconds)
        if moved:
            self.drawing.show_instant(live, passed)

    def start_anew(self) -> None:
        """Forget what was recorded and shown."""
        self.strip.clear()
        for ledger in (self.flow, self.power):
            ledger.start_anew()
        self.drawing.state.steps.clear()

    def _covers(self) -> None:
        covered = {dial.instrument.name for dial in self.dials.dials if dial.covered}
        self.drawing.state.covered = covered
        kinds = {dial.instrument.kind for dial in self.dials.dials if dial.covered}
        self.flow.set_covered("flow meter" in kinds)
        self.power.set_covered("gauge" in kinds)
        self.strip.refresh(self.session.readings, covered)
        self.strip.draw_curves()
        self.drawing.update()

    def change_help(self) -> None:
        """Show or hide the page of keys."""
        self.help.setVisible(not self.help.isVisible())
        self.help.raise_()
        if self.help.isVisible():
            self.help.setFocus()

    # -- where it stands ---------------------------------------------------------------------------------------

    def resizeEvent(self, event: QResizeEvent) -> None:
        self.lay_out()

    def lay_out(self) -> None:
        """Place everything for the present size."""
        width, height = self.width(), self.height()
        self.look.scale = min(width / 1920.0, height / 1080.0)
        heights = (self.dials.height_board(), self.flow.height_board(), self.power.height_board())
        areas = arrange(width, height, *heights)
        self.bar.setGeometry(_rect(areas.bar))
        side = width - areas.drawing[2]
        self.readout.setGeometry(_rect((width - side, areas.bar[3], side, height - areas.bar[3])))
        for view, area in (
            (self.drawing, areas.drawing),
            (self.rack, areas.rack),
            (self.notice, areas.notice),
        ):
            view.setGeometry(_rect(area))
        corner = self.readout.pos()
        for view, area in (
            (self.dials, areas.dials),
            (self.flow, areas.flow),
            (self.power, areas.power),
            (self.strip, areas.strip),
        ):
            view.setGeometry(_rect(area).translated(-corner))
        self.help.setGeometry(QRect(QPoint(0, 0), self.size()))
        self.bar.lay_out(areas.drawing[2])
        self.dials.lay_out()
        self.drawing.lay_out()
        self.rack.lay_out(self.drawing.columns())
        self.strip.lay_out()
        self.bar.show_look()
        for canvas in self.canvases():
            canvas.forget()
            canvas.widget.update()


def _rect(area: tuple[float, float, float, float]) -> QRect:
    left, top, width, height = area
    x, y = round(left), round(top)
    return QRect(x, y, round(left + width) - x, round(top + height) - y)
