"""The class view: the machine large at the left, at the right what is read; all of it live, for a class at 8 m."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import partial
from itertools import pairwise

from PySide6.QtCore import QRect, QRectF, Qt, Signal
from PySide6.QtGui import QKeyEvent, QPaintEvent, QResizeEvent, QShowEvent
from PySide6.QtWidgets import QWidget

from trainer.drawing.class_rack import HEIGHT as RACK
from trainer.drawing.doings import doings
from trainer.drawing.legend import upright
from trainer.drawing.rack import percent
from trainer.drawing.route import Box
from trainer.drawing.scene import Scene
from trainer.drawing.shapes import DrawList, Path, Words
from trainer.drawing.symbols.symbol import bounds_of, flat
from trainer.drawing.theme import THEMES
from trainer.engine.readings import Readings
from trainer.engine.session import Session
from trainer.language import tr
from trainer.measuring.needles import Needles
from trainer.operating.operator import Operator
from trainer.rig.names import capital, lever_label
from trainer.rig.rig import Instrument, Rig
from trainer.units import System
from trainer.window.board.drawing_view import DrawingView
from trainer.window.class_view.asking import Asked
from trainer.window.class_view.bar import HEIGHT as BAR
from trainer.window.class_view.bar import ClassBar
from trainer.window.class_view.choice import Choice
from trainer.window.class_view.column import LiveColumn
from trainer.window.class_view.heads import HeadsView
from trainer.window.class_view.machine import ClassMachine, MachineFigures
from trainer.window.class_view.question_view import QuestionView
from trainer.window.class_view.rack import ClassRack
from trainer.window.class_view.when_view import WhenView
from trainer.window.controls.actions import Actions
from trainer.window.painting.canvas import Canvas
from trainer.window.painting.look import Look
from trainer.window.session.screen import Screen
from trainer.window.strip.record import StripRecord

__all__ = ["ClassView", "extent_of"]

_COLUMN = 620.0  # width of the right column [board px]
_LEGEND = (212.0, 396.0)  # width and height of the legend [board px]
_LEGEND_SIZE, _NAME = 36.0, 42.0
_HEAD = 16.0  # above the machine [board px]
_NAMES = 16.0  # left of the drawing, for the names of instruments [px of it]
Side = QuestionView | WhenView
_VIEWS = ("drawing", "both", "machine")


class LegendView(QWidget):
    """The ramp of pressure steps, upright."""

    def __init__(self, look: Look, drawing: DrawingView, parent: QWidget) -> None:
        super().__init__(parent)
        self.look, self.drawing = look, drawing
        self.covered = False
        self.canvas = Canvas(self, look, self._still)
        self.setAttribute(Qt.WidgetAttribute.WA_TransparentForMouseEvents)

    def _still(self) -> DrawList:
        step = self.drawing.scene.pressure_step
        return upright(THEMES[self.look.theme], self.look.system, step, _LEGEND_SIZE, self.covered)

    def paintEvent(self, event: QPaintEvent) -> None:
        self.canvas.paint()


class ClassView(Screen):
    """The screen before a class.

    ``asked`` tells that a question is to be made, ``picked`` (kind, name) of a click, ``gone`` that something else is
    shown, ``next_asked`` and ``back_asked`` of a presenter's remote.

    ``board_look`` is the board's: its units and whether marks stand are taken over; the theme is light or dark as
    there, or in black on white while ``printed``.
    """

    asked = Signal()
    picked = Signal(str, str)
    next_asked = Signal()
    back_asked = Signal()
    gone = Signal()

    def __init__(
        self, look: Look, session: Session, operator: Operator, needles: Needles, record: StripRecord,
        actions: Actions, parent: QWidget,
    ) -> None:  # fmt: skip
        super().__init__(parent)
        self.board_look, self.session = look, session
        self.look = Look("projector", look.system)
        self.printed = False
        self.shows = "drawing"
        rig = session.rig
        self.canvas = Canvas(self, self.look)
        self.bar = ClassBar(self.look, rig.title, actions, self)
        self.drawing = DrawingView(self.look, rig, session.readings, session.number, self)
        self.drawing.words_kept = self._says
        self.drawing.pickable = True
        self.machine = ClassMachine(self.look, rig, session.readings, self)
        self.measured = MachineFigures(self.look, self.machine, self)
        names = {name: capital(lever_label(rig, name)) for name in operator.levers}
        self.heads = HeadsView(self.look, names, self)
        self.rack = ClassRack(self.look, rig, operator, session.asked, self)
        self.rack.begin()
        self.column = LiveColumn(self.look, session, needles, record, self)
        self.legend = LegendView(self.look, self.drawing, self)
        self.when = WhenView(self.look, rig, self)
        self.when.hide()
        self.choice = Choice(rig)
        self.side: Side | None = None  # what stands in the right column instead of what is read
        for name, lever in self.rack.levers.items():
            handle = self.drawing.add_handle(name, lever.motion, lever.name, lever.tip)
            handle.moved.connect(self.rack.levers_moved)
            handle.written.connect(lever.ask_exactly)
        self.drawing.picked.connect(lambda thing: self.picked.emit(thing.kind, thing.name))
        self.drawing.escaped.connect(self.left)
        self.column.picked.connect(partial(self.picked.emit, "instrument"))
        self.column.ask_asked.connect(self.asked)
        self.column.dials_asked.connect(self.next_instruments)
        self.column.trace_asked.connect(self.next_trace)
        self.column.board_asked.connect(self.left)
        self.setAccessibleName(tr("Class view"))
        self.setFocusPolicy(Qt.FocusPolicy.ClickFocus)
        self._choose()

    # -- what is chosen ----------------------------------------------------------------------------------------

    def take_rig(self, rig: Rig) -> None:
        """Take the same rig with other instruments."""
        self.drawing.take_rig(rig)
        self.choice.take_rig(rig)
        self._choose()

    def next_instruments(self) -> None:
        """Show other instruments: each of them as the large dial, three figures, none."""
        self.choice.next()
        self._choose()

    def next_trace(self) -> None:
        """Show the trace of the next instrument that is shown, or none."""
        self.choice.next_trace()
        self._choose()

    def show_dial(self, name: str) -> None:
        """Show an instrument as the large dial."""
        self.choice.put_first(name)
        self._choose()

    def _choose(self) -> None:
        before = self.column_shown
        self.column.choose(self.choice.shown, self.choice.dialled, self.choice.traced)
        if before != self.column_shown or self.isVisible():
            self.lay_out()

    @property
    def column_shown(self) -> bool:
        """Whether there is a right column."""
        return self.side is not None or bool(self.column.shown)

    def change_view(self) -> None:
        """Show the drawing, then drawing and machine, then the machine."""
        if self.machine.exists:
            self.shows = _VIEWS[(_VIEWS.index(self.shows) + 1) % len(_VIEWS)]
            self.lay_out()

    def put_beside(self, side: Side | None) -> None:
        """Show something in the right column instead of what is read, or that again; the left does not move."""
        if self.side is not None and self.side is not side:
            self.side.hide()
        self.side = side
        self.lay_out()

    # -- a question --------------------------------------------------------------------------------------------

    def ask_when(self, may: Sequence[Asked]) -> None:
        """Let it be said what of a click is asked, and of which instant: after a lever has moved, or now."""
        self.when.begin(may)
        self.put_beside(self.when)
        self.let_pick(True)
        self.bar.say(tr("Now click a lever on the side it goes to"))

    def let_pick(self, on: bool) -> None:
        """Let clicks on levers and spools be told instead of moving them."""
        self.rack.let_pick(on)
        for handle in self.drawing.handles.values():
            handle.setEnabled(not on)

    def hold(self, on: bool) -> None:
        """Cover all that would tell and let no hand move anything, or uncover and give it all back."""
        self.cover(on)
        self.rack.setEnabled(not on)
        for handle in self.drawing.handles.values():
            handle.setEnabled(not on)

    def watch(self, instrument: Instrument | None) -> None:
        """Show in the right column what is asked about while it runs."""
        if instrument is not None:
            self.choice.put_first(instrument.name)
        elif not self.choice.shown:
            self.choice.turn = 0
        self.put_beside(None)
        self._choose()

    def leave(self) -> None:
        """Give up the question that lies here."""
        self.gone.emit()

    # -- what it shows -----------------------------------------------------------------------------------------

    def show_instant(self, live: Readings, seconds: float, passed: float) -> None:
        """Show one instant after some wall seconds, ``passed`` of simulated time."""
        if self.shows != "machine":
            self.drawing.show_instant(live, passed)
        if self.shows != "drawing":
            self.machine.show_instant(live)
        if self.side is None and self.column.shown:
            self.column.show_instant()

    def show_figures(self) -> None:
        """Print the figures of this instant."""
        if not self.isVisible():
            return
        self.drawing.take_figures()
        self.machine.take_figures()
        self.measured.take(self.session.readings)
        self.column.take_figures()
        hidden = self.drawing.state.unseen
        self.heads.show_doings({} if hidden else doings(self.session.rig, self.session.readings, self.look.system))
        self.bar.show_state(self.session.running, self.session.speed, self.session.time)
        if self.side is None and self.column.shown:
            self.column.update()

    def hand_gave(self, given: list[str]) -> None:
        """Take what hands have given another value: the trace has it as its cause."""
        if not self.isVisible():
            return
        self.rack.show_hands(given)
        for name in given:
            if name in self.rack.levers:
                word = tr("lever {percent}").format(percent=percent(self.rack.levers[name].motion.value))
                cause = self.column.cause
                near = cause is not None and abs(self.session.time - cause[0]) < 1.0
                self.column.cause = (cause[0] if near and cause is not None else self.session.time, word)

    def show_time(self, time: float, end: float, marks: tuple[tuple[float, str], ...]) -> None:
        """Show the instant on the rule."""
        self.bar.line.show_time(time, end, marks)

    def cover(self, covered: bool) -> None:
        """Cover all that would tell, or uncover it."""
        names = set(self.session.rig.instruments) if covered else set()
        self.drawing.state.covered, self.drawing.state.unseen = names, covered
        self.column.covered = frozenset(names)
        self.legend.covered = covered
        if covered:
            self.heads.show_doings({})
        self.legend.canvas.forget()
        self.legend.update()
        self.drawing.look_anew()
        self.measured.cover(covered)
        self.column.update()

    def new_look(self) -> None:
        """Take over units, marks and theme of the board."""
        self.look.system = self.board_look.system
        self.look.still_marks = self.board_look.still_marks
        dark = "projector dark" if self.board_look.theme == "dark" else "projector"
        theme = "projector print" if self.printed else dark
        if theme != self.look.theme:
            self.look.set_theme(theme)
        self.column.take_figures()
        self.lay_out()

    def change_print(self) -> None:
        """Show all in black on white, the pressures in grey, or in colours again."""
        self.printed = not self.printed
        self.new_look()

    def _says(self, shape: Words | Path, _still: bool) -> bool:
        """Whether the class needs words or a cover on the drawing: of instruments their names, nothing else."""
        named = isinstance(shape, Words) and shape.text in self.session.rig.instruments
        return named and shape.ink != "ink2"  # of a covered figure

    # -- where it stands ---------------------------------------------------------------------------------------

    def lay_out(self) -> None:
        """Place everything for the present size; while it is hidden nothing is placed."""
        if self.isHidden() or self.width() < 2 or self.height() < 2:
            return
        self.look.scale = scale = min(self.width() / 1920.0, self.height() / 1080.0)
        for view in (
            self, self.bar, self.heads, self.rack, self.column, self.legend, self.machine, self.measured,
            *self.rack.handles.values(),
        ):  # fmt: skip
            if (canvas := getattr(view, "canvas", None)) is not None:
                canvas.least = 35.6 * scale
        self.drawing.canvas.least = _NAME * scale
        width, height = self.width(), self.height()
        side = round(width - _COLUMN * scale) if self.column_shown else width
        bar = round(BAR * scale)
        rack = round(height - RACK * scale) if self.rack.handles else height
        self.bar.setGeometry(0, 0, width, bar)
        self.bar.lay_out()
        self.rack.setGeometry(0, rack, side, height - rack)
        self.rack.setVisible(bool(self.rack.handles))
        beside = self.side or self.column
        beside.setGeometry(side, bar, width - side, height - bar)
        self.column.setVisible(self.side is None and self.column_shown)
        if self.side is not None:
            self.side.show()
            self.side.lay_out()
        self.column.lay_out()
        self._lay_out_picture(QRect(0, bar, side, rack - bar))
        self.canvas.forget()
        self.update()

    def _lay_out_picture(self, area: QRect) -> None:
        """Place drawing and machine, the names over the columns, the legend and the levers below them."""
        scale = self.look.scale
        middle = area
        self.drawing.setVisible(self.shows != "machine")
        for view in (self.machine, self.measured):
            view.setVisible(self.shows != "drawing")
        if self.shows == "both":
            middle = QRect(area.x(), area.y(), round(0.64 * area.width()), area.height())
            self._lay_out_machine(area.adjusted(middle.width() + 1, 0, 0, self.rack.height()))  # no lever is there
        elif self.shows == "machine":
            self._lay_out_machine(area)
        self.drawing.extent = self.drawing.scene.once(extent_of)
        for left in (20.0, _LEGEND[0] + 36.0):  # beside the legend where it has no room on the drawing
            self.drawing.room = (left, 10.0, 20.0, 10.0)
            self.drawing.setGeometry(middle)
            columns = self._columns(middle.x())
            head = round(self.heads.height_board(columns, middle.width() / scale) * scale)
            self.drawing.setGeometry(middle.x(), middle.y() + head, middle.width(), middle.height() - head)
            columns = self._columns(middle.x())
            self.heads.setGeometry(area.x(), area.y(), middle.width(), head)
            self.heads.lay_out(columns)
            if self.shows != "drawing" or self._put_legend():
                break
        self.heads.setVisible(head > 0 and self.shows != "machine")
        self.legend.setVisible(self.shows == "drawing")
        self.legend.raise_()
        self.drawing.lay_out()
        self.drawing.look_anew()
        self.rack.lay_out({name: x * scale for name, x in columns.items()})

    def _lay_out_machine(self, area: QRect) -> None:
        """Place the machine, what is measured on it below."""
        self.measured.take(self.session.readings)
        high = round(self.measured.height_board(area.width() / self.look.scale) * self.look.scale)
        self.machine.setGeometry(area.adjusted(0, round(_HEAD * self.look.scale), 0, -high))
        self.measured.setGeometry(area.x(), area.bottom() + 1 - high, area.width(), high)
        self.measured.raise_()
        self.machine.canvas.forget()
        self.measured.canvas.forget()

    def _columns(self, left: int) -> Mapping[str, float]:
        """Return where the levers stand [board px]."""
        return {name: (left + x) / self.look.scale for name, x in self.drawing.columns().items()}

    def _put_legend(self) -> bool:
        """Place the legend at the left where drawing and names leave room; return whether they do."""
        scale, drawing = self.look.scale, self.drawing
        wide, high = round(_LEGEND[0] * scale), round(_LEGEND[1] * scale)
        zoom, (x, y) = drawing.placing()
        x, y = x + drawing.x(), y + drawing.y()
        taken = [
            QRectF(x + b[0] * zoom, y + b[1] * zoom, (b[2] - b[0]) * zoom, (b[3] - b[1]) * zoom).adjusted(
                -9, -9, 9, 9
            )
            for b in drawing.scene.once(_drawn)
        ]
        taken += [box.translated(self.heads.pos().toPointF()) for _, box, _ in self.heads.canvas.texts()]
        left, top, low = round(30 * scale), drawing.y() + 6 * scale, drawing.geometry().bottom() - high - 6 * scale
        for height in ((BAR + 40.0) * scale, top, low, (top + low) / 2):
            area = QRect(left, round(height), wide, high)
            beside = drawing.room[0] > 100.0 and height >= top
            if beside or not any(QRectF(area).intersects(other) for other in taken):
                self.legend.setGeometry(area)
                self.legend.canvas.forget()
                return True
        return False

    # -- keys --------------------------------------------------------------------------------------------------

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Take the keys of the class view, those of a presenter's remote, and the levers' letters."""
        key, ctrl = event.key(), event.modifiers() == Qt.KeyboardModifier.ControlModifier
        plain = event.modifiers() == Qt.KeyboardModifier.NoModifier
        if plain and key in (Qt.Key.Key_PageDown, Qt.Key.Key_PageUp):
            (self.next_asked if key == Qt.Key.Key_PageDown else self.back_asked).emit()
        elif plain and key == Qt.Key.Key_F3:
            self.next_instruments()
        elif plain and key == Qt.Key.Key_F2:
            self.next_trace()
        elif ctrl and key == Qt.Key.Key_B:
            self.change_view()
        elif not self.rack.key(event, True):
            super().keyPressEvent(event)

    def keyReleaseEvent(self, event: QKeyEvent) -> None:
        if not self.rack.key(event, False):
            super().keyReleaseEvent(event)

    def showEvent(self, event: QShowEvent) -> None:
        self.new_look()
        self.setFocus()

    def resizeEvent(self, event: QResizeEvent) -> None:
        self.lay_out()

    def paintEvent(self, event: QPaintEvent) -> None:
        self.canvas.paint()

    def snapshot(self) -> dict[str, object]:
        """Return what is shown."""
        return {
            "shows": self.shows,
            "instruments": [item.name for item in self.column.shown],
            "dial": self.column.dialled,
            "trace": self.column.traced,
            "system": self.look.system is System.METRIC,
            "theme": self.look.theme,
        }


def _drawn(scene: Scene) -> list[Box]:
    """Return where something is drawn but words, which the class is spared [px of the drawing]."""
    still = [shape for shape in flat(scene.still()) if not isinstance(shape, Words)]
    boxes: list[Box] = []
    for shape in still:
        if isinstance(shape, Path) and shape.fill is None:
            ends = [*shape.points, shape.points[0]] if shape.closed else [*shape.points]
            boxes += [bounds_of((Path(pair),)) for pair in pairwise(ends)]
        else:
            boxes.append(bounds_of((shape,)))
    for net in scene.pipes.nets.values():
        for run in net.runs:
            boxes += [bounds_of((Path(pair),)) for pair in pairwise(run.points)]
    boxes += [(b[0], b[1], b[0] + b[2], b[1] + b[3]) for b in scene.boxes.values()]
    return boxes


def extent_of(scene: Scene) -> Box:
    """Return the smallest box around all of it, with the names of instruments at its edges."""
    boxes = scene.once(_drawn)
    left, top = min(b[0] for b in boxes) - _NAMES, min(b[1] for b in boxes) - 12.0
    return left, top, max(b[2] for b in boxes) + 12.0, max(b[3] for b in boxes) + 12.0
