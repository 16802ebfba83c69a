"""Two rigs beside each other, live: both drawings, the figures in pairs, where the power goes, one set of levers."""

from __future__ import annotations

import itertools
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from PySide6.QtCore import QRect, Qt, Signal
from PySide6.QtGui import QHideEvent, QKeyEvent, QPaintEvent, QResizeEvent, QShowEvent
from PySide6.QtWidgets import QWidget

from trainer import units
from trainer.drawing.doings import doings
from trainer.drawing.route import Box
from trainer.drawing.shapes import DrawList, Path, Words
from trainer.language import tr
from trainer.operating.operator import Operator
from trainer.pairing.figures import Gauge, PassingScales, Scales
from trainer.pairing.hands import SharedHands, shared
from trainer.pairing.pair import Pair
from trainer.pairing.sides import Side
from trainer.parts.roles import PrimeMover
from trainer.rig.names import part_label
from trainer.rig.rig import Rig
from trainer.window.beside.bands import BandView, PowerView
from trainer.window.beside.head import HEIGHT as HEAD
from trainer.window.beside.head import LINE, RAMP, RampView, SideHead
from trainer.window.beside.rack import HEIGHT as RACK
from trainer.window.beside.rack import BesideRack
from trainer.window.beside.record import PairRecord
from trainer.window.beside.strip import PairStripView
from trainer.window.board.drawing_view import DrawingView
from trainer.window.class_view.bar import HEIGHT as BAR
from trainer.window.class_view.bar import ClassBar
from trainer.window.class_view.view import extent_of
from trainer.window.controls.actions import Actions
from trainer.window.controls.buttons import WordButton
from trainer.window.painting.canvas import Canvas
from trainer.window.painting.look import Look
from trainer.window.session.controller import Lent, SessionController
from trainer.window.session.screen import Screen
from trainer.window.time.clock_bar import speed_words

__all__ = ["Areas", "BesideScreen", "arrange"]

_COLUMN = 660.0  # width of the figures where the drawings stand above each other [board px]
_EDGE = 28.0
_LEAST, _NAMES = 24.0, 34.0  # least type; of names on the drawings
_SLOW_FOR = 1.0  # wall seconds that time lags before it is said


@dataclass(frozen=True, slots=True)
class Areas:
    """Where things stand [board px]: (left, top, width, height). ``across`` are the figures beside each other."""

    heads: tuple[Box, Box]
    drawings: tuple[Box, Box]
    ramp: Box
    band: Box
    power: Box
    across: int

    @property
    def strip(self) -> Box:
        """Where the strip stands: in the place of all figures."""
        (x, y, wide, high), (_, top, _, below) = self.band, self.power
        return x, y, wide, max(high, top - y) + below


def arrange(
    wide: float, high: float, head: float, extents: Sequence[tuple[float, float]], band: Sequence[float],
    power: Sequence[float],
) -> Areas:  # fmt: skip
    """Return where heads, drawings and figures stand in what is left between bar and levers.

    The drawings, ``extents`` wide and high, stand beside each other over the figures, or above each other beside
    them: whichever shows the smaller one larger. ``head``: how high a head is; ``band`` and ``power``: how high these
    are below, and beside.
    """
    below, half = high - head - band[0] - power[0], (wide - RAMP[0]) / 2
    each, left = high / 2 - head, wide - _COLUMN - RAMP[0] - _EDGE

    def zoom(across: float, down: float) -> float:
        return min(min(across / extent[0], down / extent[1]) for extent in extents)

    if zoom(half, below) >= zoom(left, each):
        top, right = high - band[0] - power[0], half + RAMP[0]
        return Areas(
            ((0.0, 0.0, wide / 2, head), (wide / 2, 0.0, wide / 2, head)),
            ((0.0, head, half, below), (right, head, half, below)),
            (half, head + max((below - RAMP[1]) / 2, 0.0), *RAMP),
            (0.0, top, wide, band[0]),
            (0.0, top + band[0], wide, power[0]),
            6,
        )
    middle, column = high / 2, wide - _COLUMN
    return Areas(
        ((0.0, 0.0, column, head), (0.0, middle, column, head)),
        ((column - left, head, left, each), (column - left, middle + head, left, each)),
        (_EDGE, head + max((each - RAMP[1]) / 2, 0.0), *RAMP),
        (column, 0.0, _COLUMN, band[1]),
        (column, band[1], _COLUMN, power[1]),
        2,
    )


class BesideScreen(Screen):
    """Two ``sides`` at the same instant. While it is shown the controller's time and hands are lent to them.

    ``another_asked`` tells that another rig is to be chosen, ``export_asked`` and ``copy_asked`` that the strip is
    to be written or copied. It stands in the place of the figures while it is asked for, and records all the time.
    """

    full = False
    waits = False
    another_asked = Signal()
    export_asked = Signal()
    copy_asked = Signal()

    def __init__(
        self, look: Look, sides: tuple[Side, Side], controller: SessionController, actions: Actions, parent: QWidget
    ) -> None:
        super().__init__(parent)
        self.board_look, self.sides, self.controller = look, sides, controller
        self.look = Look("projector", look.system)
        first, second = (side.session for side in sides)
        rigs = first.rig, second.rig
        self.pair = Pair(first, second)
        rows = shared(*rigs)
        self.hands = SharedHands(rows, first, second)
        self.operator = Operator(rigs[0], self.hands.control)
        small = all(role.by_hand for rig in rigs for role in rig.having(PrimeMover).values())
        self.gauges = tuple(Gauge(session.network, small) for session in self.pair.both)
        self.scales = Scales(small)
        self.canvas = Canvas(self, self.look, self._still)
        self.canvas.ring = False  # the levers' letters go wherever the keyboard is
        self.bar = ClassBar(self.look, tr("Beside each other"), actions, self)
        steps = [units.read(rig.drawing.get("step", "30 bar"), "pressure") for rig in rigs]
        self.heads = tuple(SideHead(self.look, k, side.title, self) for k, side in enumerate(sides))
        self.drawings = tuple(
            self._drawing(side, rigs[max(range(2), key=steps.__getitem__)].drawing.get("step", "30 bar"))
            for side in sides
        )
        self.ramp = RampView(self.look, max(steps), self)
        self.passing = PassingScales(small)  # of the figures of an instant
        self.band = BandView(self.look, self.passing, self)
        self.power = PowerView(self.look, self.gauges, self.passing, self)
        self.marks: list[tuple[float, str]] = []
        self.record = PairRecord(self.pair, self.gauges, self.scales)
        self.pair.watch = self.record.take
        self.strip = PairStripView(self.look, self.record, self.scales, [side.title for side in sides], self)
        self.strip.hide()
        self.rack = BesideRack(self.look, (rigs[0], rigs[1]), rows, self.operator, self._asked, self)
        self.another = WordButton(
            self.look, tr("Another"), tr("Another rig"), tr("Choose what stands beside it"), self, size=36.0
        )
        self.back = WordButton(
            self.look, tr("Board"), tr("To the board"), tr("Back to the board  (Esc)"), self, size=36.0
        )
        self.over_time = WordButton(
            self.look, tr("Strip"), tr("Strip of both rigs"),
            tr("Pressure, delivery and input of both over time, or the figures  (F2)"), self, checkable=True,
            size=36.0,
        )  # fmt: skip
        self.over_time.clicked.connect(self.show_strip)
        self.strip.asked.connect(controller.rewind)
        self.strip.export_asked.connect(self.export_asked)
        self.strip.copy_asked.connect(self.copy_asked)
        self.bar.line.mark_asked.connect(actions["mark"].trigger)
        self.another.clicked.connect(self.another_asked)
        self.back.clicked.connect(self.left)
        self.bar.run_asked.connect(controller.run)
        self.bar.speed_asked.connect(controller.set_speed)
        self.bar.line.asked.connect(controller.rewind)
        self.rack.levers_moved.connect(controller.move_hands)
        for name, lever in self.rack.levers.items():
            row = self.hands.rows[name]
            for drawing, own in zip(self.drawings, (row.first, "" if row.turned else row.second), strict=True):
                if own:
                    handle = drawing.add_handle(own, lever.motion, lever.name, lever.tip)
                    handle.moved.connect(self.rack.levers_moved)
                    handle.written.connect(lever.ask_exactly)
        self.returns = True  # as long as the board's rig is the same one
        self._turn = False
        self._slow_for = 0.0
        self.setAccessibleName(tr("Two rigs beside each other"))
        self.setFocusPolicy(Qt.FocusPolicy.ClickFocus)

    def _drawing(self, side: Side, step: str) -> DrawingView:
        """Return the drawing of a side, in the steps of pressure that both have."""
        session = side.session
        rig = replace(session.rig, drawing={**session.rig.drawing, "step": step})
        view = DrawingView(self.look, rig, session.readings, session.number, self)
        view.words_kept = lambda shape, _still: _says(rig, shape)
        view.pickable = False
        view.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        return view

    def _asked(self, name: str) -> float:
        """Return what something that is moved is set to, or another number of the first rig [SI]."""
        return self.hands.asked(name) if name in self.hands.rows else self.pair.first.asked(name)

    # -- what it shows -----------------------------------------------------------------------------------------

    def show_pair(self, seconds: float, passed: float) -> None:
        """Show the instant of both after some wall seconds, ``passed`` of model time; the drawings by turns."""
        self._turn = not self._turn
        for k, (view, session) in enumerate(zip(self.drawings, self.pair.both, strict=True)):
            view.show_instant(session.readings, passed, paint=passed == 0.0 or self._turn == bool(k))
        slow = self.pair.running and self.pair.true_speed < 0.9 * self.pair.speed
        self._slow_for = self._slow_for + seconds if slow else 0.0

    def hands_gave(self, given: list[str]) -> None:
        """Show where hands have put what they moved."""
        self.rack.show_hands(given)

    def take_figures(self) -> None:
        """Print the figures of this instant."""
        system = self.look.system
        figures = [
            gauge.figures(session.readings, system)
            for gauge, session in zip(self.gauges, self.pair.both, strict=True)
        ]
        self.scales.take(figures)
        self.passing.pass_on(figures, self.pair.time)
        self.band.take(figures)
        self.power.take(figures)
        for view in self.drawings:
            view.take_figures()
        self.rack.show_doings(*(doings(session.rig, session.readings, system) for session in self.pair.both))
        self.bar.show_state(self.pair.running, self.pair.speed, self.pair.time)
        self.bar.line.show_time(self.pair.time, self.pair.end, tuple(self.marks))
        self.strip.show_marks(self.marks)

    def says(self) -> str:
        """Return what there is to say of the run, "" for nothing."""
        for side, words in enumerate(self.pair.notices):
            if words:
                return f"{side + 1}: {words}"
        if self._slow_for > _SLOW_FOR:
            return tr(
                "The computer cannot keep up: time runs at {true_speed:.2g} of real time instead of {speed_words}."
            ).format(true_speed=self.pair.true_speed, speed_words=speed_words(self.pair.speed))
        return ""

    def left_out(self) -> str:
        """Return what of the second rig no hand moves here, in a sentence, "" for nothing."""
        rig = self.pair.second.rig
        motions = Operator(rig, self.pair.second.control).motions
        alone = [row.second for row in self.hands.rows.values() if not row.first]
        moved = [name for name in alone if name in motions and not name.endswith(".lever")]
        names = dict.fromkeys(part_label(rig, name) for name in moved)
        if not names:
            return ""
        return tr("Only in 2: {names}").format(names=", ".join(names))

    def new_look(self) -> None:
        """Take over units, marks and theme of the board."""
        self.look.system = self.board_look.system
        self.look.still_marks = self.board_look.still_marks
        self.look.set_theme("projector dark" if self.board_look.theme == "dark" else "projector")
        for head, side in zip(self.heads, self.sides, strict=True):
            head.show_differs(side.differs(self.look.system))
        self.take_figures()
        self.lay_out()

    # -- time and hands ----------------------------------------------------------------------------------------

    def showEvent(self, event: QShowEvent) -> None:
        if event.spontaneous():
            return
        pair = self.pair
        self.controller.lend(
            Lent(pair, self.operator, self.hands, self.show_pair, self.hands_gave, lambda: pair.end, self.marks)
        )
        self.new_look()
        self.setFocus()

    def hideEvent(self, event: QHideEvent) -> None:
        if not event.spontaneous():
            self.controller.take_back()

    def show_strip(self, on: bool) -> None:
        """Show the strip in the place of the figures, or these again."""
        self.over_time.setChecked(on)
        self.strip.setVisible(on)
        self.band.setVisible(not on)
        self.power.setVisible(not on)
        self.lay_out()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Move a lever by its pair of letters, whatever has the keyboard; show, write or copy the strip."""
        control = event.modifiers() == Qt.KeyboardModifier.ControlModifier
        if event.key() == Qt.Key.Key_F2 and not event.isAutoRepeat():
            self.show_strip(self.strip.isHidden())
        elif control and event.key() == Qt.Key.Key_E:
            self.export_asked.emit()
        elif control and event.key() == Qt.Key.Key_C:
            self.copy_asked.emit()
        elif not self.rack.key(event, True):
            super().keyPressEvent(event)

    def keyReleaseEvent(self, event: QKeyEvent) -> None:
        if not self.rack.key(event, False):
            super().keyReleaseEvent(event)

    # -- where it stands ---------------------------------------------------------------------------------------

    def lay_out(self) -> None:
        """Place everything for the present size; while it is hidden nothing is placed."""
        if self.isHidden() or self.width() < 2 or self.height() < 2:
            return
        self.look.scale = scale = min(self.width() / 1920.0, self.height() / 1080.0)
        wide, high = self.width(), self.height()
        for view in (
            self, self.bar, *self.heads, self.ramp, self.band, self.power, self.strip, self.rack,
            *self.rack.handles.values(),
        ):  # fmt: skip
            if (canvas := getattr(view, "canvas", None)) is not None:
                canvas.least = max(_LEAST * scale, 12.0)
                canvas.forget()
        bar, rack = round(BAR * scale), round(high - RACK * scale)
        x = wide - round(20 * scale)
        for button in (self.back, self.another, self.over_time):
            size = button.sizeHint()
            x -= size.width()
            button.setGeometry(x, 0, size.width(), bar - 2)
        self.bar.setGeometry(0, 0, x, bar)
        self.bar.lay_out()
        self.rack.setGeometry(0, rack, wide, high - rack)
        self.rack.spread()
        self._lay_out_pairs(bar, rack)
        self.update()

    def _lay_out_pairs(self, top: int, bottom: int) -> None:
        scale = self.look.scale
        wide, high = self.width() / scale, (bottom - top) / scale
        boxes = [view.scene.once(extent_of) for view in self.drawings]
        heights: Mapping[int, list[float]] = {6: [], 2: []}
        for across, room in ((6, wide), (2, _COLUMN)):
            self.band.across = across
            heights[across].extend((self.band.height_board(), self.power.height_board(room)))
        bands, powers = zip(*heights.values(), strict=True)
        head = HEAD + LINE * any(view.differs for view in self.heads)
        areas = arrange(wide, high, head, [(b[2] - b[0], b[3] - b[1]) for b in boxes], bands, powers)
        self.band.across = areas.across
        for view, area in itertools.chain(
            zip(self.heads, areas.heads, strict=True), zip(self.drawings, areas.drawings, strict=True),
            ((self.ramp, areas.ramp), (self.band, areas.band), (self.power, areas.power), (self.strip, areas.strip)),
        ):  # fmt: skip
            x, y, w, h = (length * scale for length in area)
            view.setGeometry(QRect(round(x), round(top + y), round(w), round(h)))
        self.strip.lay_out()
        for view, box in zip(self.drawings, boxes, strict=True):
            view.canvas.least = max(_NAMES * scale, 12.0)
            view.extent = box
            view.room = (_EDGE, 2.0, _EDGE, 10.0)
            view.lay_out()
            view.look_anew()

    def _still(self) -> DrawList:
        return [Path(((0.0, BAR - 1.0), (self.width() / self.look.scale, BAR - 1.0)), "hairline", 2.0)]

    def resizeEvent(self, event: QResizeEvent) -> None:
        self.lay_out()

    def paintEvent(self, event: QPaintEvent) -> None:
        self.canvas.paint()


def _says(rig: Rig, shape: Words | Path) -> bool:
    """Whether words or a cover of a drawing are shown: of instruments their names, nothing else."""
    return isinstance(shape, Words) and shape.text in rig.instruments and shape.ink != "ink2"
