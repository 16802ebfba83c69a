"""The run as a screen: machine, levers, one gauge, the note; before it what to mind, after it what happened."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QWidget

from trainer.engine.readings import Readings
from trainer.engine.session import Session
from trainer.language import tr
from trainer.measuring.needles import Needles
from trainer.operating.operator import Operator
from trainer.practice.attempt import State
from trainer.practice.telling import filled
from trainer.rig.rig import Instrument, Rig
from trainer.window.board.rack_view import RackView
from trainer.window.controls.actions import Actions
from trainer.window.painting.look import Look
from trainer.window.practice.cylinder_view import CylinderRun
from trainer.window.practice.dial_view import DialView, NoteView
from trainer.window.practice.fixed import fixed_rows
from trainer.window.practice.head import HEIGHT as HEAD
from trainer.window.practice.laps_view import LapsView
from trainer.window.practice.live import Live
from trainer.window.practice.machine_run import PLAN, SIDE, AlongView, MachineModel, PlanRun, SideRun, load_place
from trainer.window.practice.page import PracticePage
from trainer.window.practice.run_rack import RunRack
from trainer.window.practice.seen import Ghost, covers, is_single
from trainer.window.practice.told_view import CautionsView, ToldView

__all__ = ["RunScreen", "gauge_of"]

_TOLD, _RIGHT, _EDGE = 118.0, 350.0, 36.0  # height of the sentences, width of the right column [board px]
_SMALL = 18.4  # type of what to mind [board px]
_NARROW = 400.0  # too narrow for what to mind [board px]
_LEFT = 500.0  # width of the left column beside laps [board px]


def gauge_of(rig: Rig, wanted: str) -> Instrument | None:
    """Return the gauge that a task names, else the first one that there is."""
    if wanted in rig.instruments:
        return rig.instruments[wanted]
    return next((item for item in rig.instruments.values() if item.kind == "gauge"), None)


class RunScreen(PracticePage):
    """One attempt while it is run. ``gone`` tells that something else is shown instead.

    ``board_rack`` is the rack of the board, whose places the levers have here; ``sticks`` says in words which stick
    moves which lever.
    """

    own = ("run", "reset", "step", "tenth", "back", "earlier mark", "later mark", "mark", "picture", "export", "runs",
           "then", "undo", "redo")  # fmt: skip
    gone = Signal()

    def __init__(
        self, look: Look, live: Live, session: Session, operator: Operator, needles: Needles, step: float,
        board_rack: Callable[[], RackView], actions: Actions, parent: QWidget,
    ) -> None:  # fmt: skip
        rig = session.rig
        super().__init__(look, rig.title, actions, parent)
        self.live, self.session, self.operator, self.needles = live, session, operator, needles
        self.board_rack = board_rack
        self.sticks: Callable[[], Mapping[str, str]] = dict
        self.notice = ""
        self.told = ToldView(look, self)
        self.cautions = CautionsView(look, self)
        self.rack = RunRack(look, rig, operator, session.asked, self)
        self.rack.begin()
        if not live.over:
            self.rack.tell_keys_of(live.task.levers)
        self.model = MachineModel(rig, session.readings)
        self.model.system = lambda: look.system
        self.single = is_single(live.task)
        self.machine = SideRun(look, self.model, self) if self.model.exists else None
        self.plan = PlanRun(look, self.model, self) if self.model.exists and not self.single else None
        self.along = AlongView(look, self.model, self) if self.model.exists and not self.single else None
        self.cylinder = CylinderRun(look, self.model, self) if not self.model.exists else None
        self._turn = False  # what moves is painted in two halves, by turns
        self.laps = LapsView(look, self) if self.single else None
        self.pressure_step = step
        self.dial: DialView | None = None
        self._make_dial()
        self.note = NoteView(look, rig, self)
        self.crane = self.model.crane
        self.head.run_asked.connect(lambda on: self.asked.emit("enter" if on else "stop"))
        self.cautions.raise_()
        self.begin_lap()
        self.setAccessibleName(tr("Lever practice"))

    # -- what it shows -----------------------------------------------------------------------------------------

    def begin_lap(self) -> None:
        """Show the lap that is run next, at its start."""
        live = self.live
        model = self.model
        model.task, model.lap = live.task, live.attempt.lap
        model.ghost = Ghost(live.ghost, live.attempt.lap)
        model.trail.clear()
        model.seconds = 0.0
        model.live = self.session.readings
        if self.laps is not None:
            self.laps.begin(live.task, live.attempt, live.ghost)
        self.note.clear()
        self.show_aid()
        self.show_state()
        self.take_figures("")

    def _make_dial(self) -> None:
        session = self.session
        gauge = gauge_of(session.rig, self.live.task.gauge)
        if gauge is not None:
            self.dial = DialView(
                self.look, session.rig, gauge, self.needles, session.number, self.pressure_step, self
            )  # fmt: skip

    def take_instruments(self) -> None:
        """Show the gauge that the session's rig has now; the needles have taken the rig already."""
        if self.dial is not None:
            self.dial.hide()
            self.dial.deleteLater()
            self.dial = None
        self._make_dial()
        if self.dial is not None:
            self.dial.show()
        self.lay_out()

    def show_aid(self) -> None:
        """Show the aid that there is, and cover what it covers."""
        live = self.live
        hidden = covers(live.task, live.aid)
        self.model.aid = live.aid
        self.model.covered = hidden.machine
        self.model.still_aids = self.look.still_marks
        if self.laps is not None:
            self.laps.covered = hidden.speed or self.look.still_marks
            self.laps.load_covered = hidden.load
            self.laps.ghost = live.ghost if live.aid == "path" else ()
            self.laps.canvas.forget()
        why = tr("A retention test is without any aid.") if live.test else ""
        if live.attempt.begun and not live.over:
            why = why or tr("The aid stays while an attempt is under way.")
        self.head.show_aids(live.task.aids, live.aid, why)
        self.lay_out()

    def show_state(self) -> None:
        """Say where the attempt is."""
        live, attempt = self.live, self.live.attempt
        running, goal = self.session.running, filled(live.task.goal, self.look.system)
        self.head.show_state(running and not live.over, live.over, attempt.begun)
        self.cautions.show_cautions(live.task.cautions if attempt.state is State.READY and not running else ())
        if not self.cautions.isHidden():
            self._lay_out_cautions()
        self.rack.hold(live.over)
        ink = "ink" if attempt.state is State.READY else "ink2"
        notice = attempt.waits_for or self.notice
        if attempt.state.over:
            under = attempt.unscored or goal
            if attempt.state is not State.DONE and self.laps is not None and not attempt.reached:
                under = " ".join((tr("Nothing is measured: what is asked for was not reached."), under))
            self.told.say(attempt.sentence or goal, under, notice, "ink", 600)
        else:
            if attempt.state is State.RUNNING and not running:
                notice = notice or tr("The clock is frozen; Enter or a lever goes on.")
            self.told.say(goal, self._under(), notice, ink)
        self._say_fixed()
        self._show_time()

    def _under(self) -> str:
        live = self.live
        if live.attempt.unscored:
            return live.attempt.unscored
        if live.aid == "gauge":
            return tr("Machine and speed are covered: gauge and note say what there is to know.")
        if live.aid == "path":
            if live.before is None:
                return tr("There is no best run yet to follow.")
            if self.look.still_marks:
                return tr("Trail and best run are drawn after the run.")
            return tr("Dotted: your best run, attempt {number}").format(number=live.best_number)
        return ""

    def _say_fixed(self) -> None:
        live = self.live
        hidden = covers(live.task, live.aid).load and not live.over
        rows = fixed_rows(self.session, live.task, live.attempt.lap, self.look.system, hidden)
        if live.over:
            hint = tr("Enter: again · Space: see it run · Esc: ladder")
        elif live.attempt.state is State.READY:
            hint = tr("The first lever begins, or Enter · Esc: ladder")
        else:
            hint = tr("Space freezes and ends the attempt · Ctrl+Home begins again")
        self.rack.say(rows, hint)

    def _show_time(self) -> None:
        live, attempt = self.live, self.live.attempt
        told = [live.task.code, tr("attempt {number}").format(number=live.number)]
        if live.test:
            told[1] = tr("retention test, {number} of 2").format(number=live.test)
        if len(attempt.laps) > 1:
            told.append(tr("{lap} of {laps}").format(lap=attempt.lap_number, laps=len(attempt.laps)))
        self.head.show_time(" · ".join(told), attempt.seconds)

    def show_attempt(self, live: Readings, seconds: float) -> None:
        """Show an instant that the attempt has taken, some wall seconds after the last one."""
        attempt, model = self.live.attempt, self.model
        model.live = live
        model.seconds = attempt.lap_seconds
        if self.crane and attempt.state is State.RUNNING:
            model.trail.take(load_place(live, self.crane))
        self._turn = not self._turn
        for view in (self.machine, self.cylinder, self.dial) if self._turn else (self.plan, self.along):
            if view is not None and view.isVisible():
                view.show_instant()
        self.note.show_instant(live, self._turn)
        if self.laps is not None:
            lever = self.operator.levers[self.live.task.levers[0]].value if self.live.task.levers else 0.0
            self.laps.take(lever, not self._turn)

    def take_figures(self, caption: str) -> None:
        """Print the figures of this instant; ``caption`` is what is heard."""
        if self.dial is not None:
            self.dial.take_figure()
        self.note.take_figure(self.model.live, caption)
        self.show_state()

    def show_hands(self, given: Sequence[str]) -> None:
        """Show where hands have the levers."""
        self.rack.show_hands(given, dict(self.sticks()))

    def say(self, notice: str) -> None:
        """Say what the window has to say, or nothing."""
        if notice != self.notice:
            self.notice = notice
            self.show_state()

    def new_look(self) -> None:
        """Show all in the present units and theme."""
        self.show_aid()
        self.show_state()

    def leave(self) -> None:
        """Something else is shown: what is begun is given up."""
        self.gone.emit()

    # -- hands -------------------------------------------------------------------------------------------------

    def focus_lever(self) -> None:
        """Give the keyboard to the task's first lever, unless another one has it."""
        levers = [self.rack.levers[name] for name in self.live.task.levers if name in self.rack.levers]
        if levers and self.window().focusWidget() not in self.rack.levers.values():
            levers[0].setFocus(Qt.FocusReason.OtherFocusReason)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Move a lever by its pair of letters, whatever has the keyboard."""
        if self.live.over or not self.rack.key(event, True):
            super().keyPressEvent(event)

    def keyReleaseEvent(self, event: QKeyEvent) -> None:
        if not self.rack.key(event, False):
            super().keyReleaseEvent(event)

    # -- where it stands ---------------------------------------------------------------------------------------

    def lay_out(self) -> None:
        """Place everything for the present size; the levers where the board has them."""
        if self.width() < 2 or not hasattr(self, "crane"):
            return
        super().lay_out()
        scale, wide, high = self.look.scale, self.width(), self.height()
        board = self.board_rack()
        rack_top = board.geometry().top()
        self.rack.setGeometry(0, rack_top, wide, high - rack_top)
        left = board.geometry().left()
        self.rack.lay_out({name: left + x for name, x in board.columns.items()})
        top = round(HEAD * scale)
        right = round(_RIGHT * scale)
        if self.single:
            self._lay_out_single(top, rack_top)
        else:
            told = round(_TOLD * scale)
            self.told.setGeometry(0, top, wide - right, told)
            edge = round(_EDGE * scale)
            room, high = wide - right - edge, rack_top - top - told
            side = round(room * SIDE[0] / (SIDE[0] + PLAN[0]))
            if self.machine is not None and self.plan is not None:
                self.machine.setGeometry(edge, top + told, side, high)
                self.plan.setGeometry(edge + side, top + told, room - side, high)
            column = (wide - right + round(10 * scale), right - edge - round(10 * scale))
            self._lay_out_right(top, rack_top, *column)
        self._lay_out_cautions()

    def _lay_out_right(self, top: int, bottom: int, x: int, wide: int) -> None:
        scale = self.look.scale
        y = top + round(8 * scale)
        if self.dial is not None:
            self.dial.setGeometry(x, y, wide, round(290 * scale))
            y += round(300 * scale)
        self.note.setGeometry(x, y, wide, round(112 * scale))
        y += round(118 * scale)
        if self.along is not None:
            self.along.setGeometry(x, y, wide, max(bottom - y, 1))

    def _lay_out_single(self, top: int, bottom: int) -> None:
        scale, wide = self.look.scale, self.width()
        told, edge, left = round(_TOLD * scale), round(_EDGE * scale), round(_LEFT * scale)
        self.told.setGeometry(0, top, wide, told)
        top += told
        inner = left - edge
        covered = self.model.covered
        picture = self.machine or self.cylinder
        if picture is not None:
            picture.setVisible(not covered)
        note = round(112 * scale)
        rest = bottom - top - note
        dial = rest - round(20 * scale) if covered or picture is None else round(0.42 * rest)
        y = top
        if picture is not None and not covered:
            picture.setGeometry(edge, y, inner, rest - dial)
            y += rest - dial
        if self.dial is not None:
            self.dial.setGeometry(edge, y, inner, dial)
        y += dial
        self.note.setGeometry(edge + round(20 * scale), bottom - note, inner - round(40 * scale), note)
        if self.laps is not None:
            x = left + round(40 * scale)
            self.laps.setGeometry(x, top, wide - x - edge, bottom - top - round(8 * scale))

    def _lay_out_cautions(self) -> None:
        """Place what to mind right of the levers; where that is narrow, over the machine."""
        scale = self.look.scale
        last = max((lever.geometry().right() for lever in self.rack.levers.values()), default=0) / scale
        right, bottom = self.width() / scale - _EDGE, self.height() / scale - 44.0
        x = max(last + 16.0, right - 640.0)
        wide = right - x
        high = self.cautions.height_board(wide)
        y = bottom - high
        if wide < _NARROW or y < self.rack.y() / scale:
            x, y, wide = _EDGE, HEAD + _TOLD + 2.0, 640.0 * max(1.0, self.look.least / _SMALL)
            high = self.cautions.height_board(wide)
        self.cautions.setGeometry(round(x * scale), round(y * scale), round(wide * scale), round(high * scale))
        self.cautions.raise_()
