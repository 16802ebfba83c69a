"""The right column of the class view, live: what the instructor chose to be read, and one trace."""

from __future__ import annotations

import math
from collections.abc import Mapping

from PySide6.QtCore import QRect, Qt, Signal
from PySide6.QtGui import QMouseEvent, QPaintEvent
from PySide6.QtWidgets import QWidget

from trainer.drawing.class_column import DialPlace, Trace, dial_shapes, figure_shapes, trace_shapes
from trainer.drawing.shapes import DrawList, Path, Shape
from trainer.engine.session import Session
from trainer.language import mark, tr
from trainer.measuring.needles import Needles
from trainer.rig.rig import Instrument
from trainer.window.controls.buttons import WordButton
from trainer.window.dials.dials import relief_of
from trainer.window.painting.canvas import Canvas
from trainer.window.painting.look import Look
from trainer.window.strip.record import StripRecord

__all__ = ["LiveColumn"]

SPAN = 5.0  # s that the trace shows
_FOOT, _RULE = 72.0, 640.0  # height of the row of buttons, where the trace begins [board px]
_BESIDE, _BELOW, _ALONE = DialPlace(2.36, 216.0, -22.0), DialPlace(2.6, 310.0, -22.0), DialPlace(3.4, 310.0, -6.0)


class TraceView(QWidget):
    """The trace below; it is painted a third as often as the needles, as a long curve costs most."""

    def __init__(self, column: LiveColumn) -> None:
        super().__init__(column)
        self.column = column
        self.canvas = Canvas(self, column.look, live=column.traced_shapes)
        self.setAttribute(Qt.WidgetAttribute.WA_TransparentForMouseEvents)

    def paintEvent(self, event: QPaintEvent) -> None:
        self.canvas.paint()


class LiveColumn(QWidget):
    """Dial, figures and trace. ``picked`` tells the instrument of a click; the buttons below are told by signals.

    ``shown`` are the instruments, the first one as the dial where ``dialled``; ``traced`` is one of them or nothing.
    """

    picked = Signal(str)
    ask_asked = Signal()
    dials_asked = Signal()
    trace_asked = Signal()
    board_asked = Signal()

    def __init__(self, look: Look, session: Session, needles: Needles, record: StripRecord, parent: QWidget) -> None:
        super().__init__(parent)
        self.look, self.session, self.needles, self.record = look, session, needles, record
        self.shown: list[Instrument] = []
        self.dialled = True
        self.traced = ""
        self.step = 3e6
        self.covered: frozenset[str] = frozenset()
        self.cover = 1.0  # how much of a cover is left while it is wiped away
        self.cause: tuple[float, str] | None = None  # when a hand last moved a lever [s of model time], and what
        self.figures: dict[str, float] = {}
        self._frames = 0
        self.canvas = Canvas(self, look, self._still, self._live)
        self.canvas.keep_texts()
        self.trace = TraceView(self)
        self._seen: object = None
        buttons = (
            (
                tr("Ask"),
                mark("Ask the class"),
                tr("Ask the class about what is clicked next  (Alt+Q)"),
                self.ask_asked,
            ),
            (tr("Dials"), mark("Other instruments"), tr("Other instruments, or none  (F3)"), self.dials_asked),
            (tr("Trace"), mark("The trace below"), tr("Another trace, or none  (F2)"), self.trace_asked),
            (tr("Board"), mark("Back to the board"), tr("Back to the board  (F11 or Esc)"), self.board_asked),
        )
        self.buttons = []
        for text, name, tip, told in buttons:
            button = WordButton(look, text, name, tip, self, size=36.0)
            button.clicked.connect(told)
            self.buttons.append(button)
        self.setAccessibleName(tr("Instruments"))

    # -- where things stand [board px] -------------------------------------------------------------------------

    @property
    def bottom(self) -> float:
        """Where the row of buttons begins."""
        return self.height() / self.look.scale - _FOOT

    def _dial_place(self) -> DialPlace:
        if self.traced:
            return _BESIDE
        return _BELOW if len(self.shown) > 1 else _ALONE

    def _figure_places(self) -> list[tuple[Instrument, float, float, float, float]]:
        """Return (instrument, left, top, size, room for words) of the figures."""
        rest = self.shown[1:] if self.dialled else self.shown
        if not self.dialled:
            bottom = _RULE if self.traced else self.bottom
            pitch = (bottom - 16.0) / max(len(rest), 1)
            size = 64.0 if pitch < 240 else 96.0
            return [(item, 60.0, 12.0 + pitch * k, size, 540.0) for k, item in enumerate(rest)]
        if self._dial_place() is _BESIDE:
            return [(item, 424.0, 24.0 + 306.0 * k, 64.0, 190.0) for k, item in enumerate(rest)]
        return [(item, 60.0 + 290.0 * k, 660.0, 64.0, 260.0) for k, item in enumerate(rest)]

    def lay_out(self) -> None:
        """Place the buttons."""
        scale, x = self.look.scale, 28.0 * self.look.scale
        top = round((self.bottom + 2.0) * scale)
        for button in self.buttons:
            wide = button.sizeHint().width()
            button.setGeometry(round(x), top, wide, self.height() - top)
            x += wide + 14 * scale
        last = self.buttons[-1]
        last.move(self.width() - last.width() - round(24 * scale), top)
        rule = round(_RULE * scale) - 2
        self.trace.setGeometry(3, rule, self.width() - 3, max(top - rule, 1))
        self.trace.setVisible(bool(self.traced))
        self.trace.canvas.least = self.canvas.least
        self.trace.canvas.forget()
        self.canvas.forget()
        self.update()

    # -- what it shows -----------------------------------------------------------------------------------------

    def choose(self, shown: list[Instrument], dialled: bool, traced: str) -> None:
        """Show instruments, the first as a dial or all as figures, and the trace of one of them."""
        self.shown, self.dialled, self.traced = shown, dialled and bool(shown), traced
        self.take_figures()
        self.canvas.forget()
        self.update()

    def take_figures(self) -> None:
        """Print what is read off now."""
        self.figures = {item.name: self.needles.figure(item.name, self.look.system) for item in self.shown}

    def show_instant(self) -> None:
        """Show the needle's instant where it is seen to move; the trace a third as often."""
        self._frames += 1
        if self.dialled:
            item = self.shown[0]
            pointer = self.needles[item.name].pointer
            seen = round(2000 * pointer.needle / item.range_), round(2000 * pointer.tremble / item.range_)
            if seen != self._seen and self._frames % 2:
                self._seen = seen
                self.update(self.areas()[item.name])
        if self.traced and self._frames % 3 == 0 and self.session.running:
            self.trace.update()

    def _still(self) -> DrawList:
        height = self.height() / self.look.scale
        shapes: list[Shape] = [Path(((1.0, 0.0), (1.0, height)), "hairline", 2.0)]
        if self.dialled:
            shapes += dial_shapes(self.shown[0], self.look.system, self.step, self._dial_place())
        for item, x, y, size, room in self._figure_places():
            shapes += figure_shapes(item, self.look.system, x, y, None, size=size, room=room)
        return shapes

    def _live(self) -> DrawList:
        shapes: list[Shape] = []
        system = self.look.system
        if self.dialled:
            item = self.shown[0]
            pointer, relief = self.needles[item.name].pointer, relief_of(self.session.rig, item)
            setting = self.session.readings.parameter(relief, "setting") if relief else None
            cover = self.cover if item.name in self.covered else 0.0
            figure = self.figures.get(item.name, 0.0)
            shapes += dial_shapes(
                item, system, self.step, self._dial_place(), pointer.needle, figure, cover, setting, pointer.tremble
            )
        for item, x, y, size, room in self._figure_places():
            figure = self.figures.get(item.name, 0.0)
            shapes += figure_shapes(item, system, x, y, figure, item.name in self.covered, size, room)
        return shapes

    def traced_shapes(self) -> DrawList:
        """Return the trace, from its own upper edge."""
        trace = self._trace() if self.traced else None
        height = self.bottom - _RULE
        return (
            [] if trace is None else trace_shapes(trace, self.look.system, 2.0, height, self.traced in self.covered)
        )

    def _trace(self) -> Trace | None:
        found = self.record.traces.of_instrument(self.traced)
        place = None if found is None else self.record.traces.place(found.column)
        if found is None or place is None:
            return None
        now = self.session.time
        times, values = self.record.series.drawn(found.column, now - SPAN, now, 240)
        low, high = self.record.reach(place)
        highest = float(self.record.highs[place])
        if math.isfinite(highest):  # as high as it has been, not as the instrument reaches: a curve is to be seen
            high = min(max(1.15 * highest, 0.1 * high), max(high, highest))
        cause = None if self.cause is None else (self.cause[0] - now, self.cause[1])
        return Trace(
            self.traced, found.quantity, low, high, SPAN, [float(t) - now for t in times],
            [float(v) for v in values], cause,
        )  # fmt: skip

    # -- hands -------------------------------------------------------------------------------------------------

    def areas(self) -> Mapping[str, QRect]:
        """Return where each instrument stands [widget px]."""
        scale, found = self.look.scale, {}
        if self.dialled:
            place = self._dial_place()
            half, high = 75.0 * place.scale, 250.0 * place.scale
            found[self.shown[0].name] = QRect(
                round((place.x - half) * scale), 0, round(2 * half * scale), round((place.top + high) * scale)
            )
        for item, x, y, size, room in self._figure_places():
            found[item.name] = QRect(
                round(x * scale), round(y * scale), round(room * scale), round((150.0 + 1.4 * size) * scale)
            )
        return found

    def mousePressEvent(self, event: QMouseEvent) -> None:
        if event.button() == Qt.MouseButton.LeftButton:
            point = event.position().toPoint()
            for name, area in self.areas().items():
                if area.contains(point):
                    self.picked.emit(name)
                    return

    def paintEvent(self, event: QPaintEvent) -> None:
        self.canvas.paint(event.rect())
