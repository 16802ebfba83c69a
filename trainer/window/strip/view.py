"""The strip: traces one above the other on one time axis, with cursors, zoom, and a picture that can be frozen."""

from __future__ import annotations

from collections.abc import Callable, Collection

from PySide6.QtCore import QEvent, QPointF, QRectF, Qt, Signal
from PySide6.QtGui import QFocusEvent, QKeyEvent, QMouseEvent, QPainter, QPaintEvent, QWheelEvent
from PySide6.QtWidgets import QWidget

from trainer.drawing.shapes import Path, Shape, Words
from trainer.engine.readings import Readings
from trainer.language import mark, tr
from trainer.rig.rig import Rig
from trainer.window.controls.buttons import WordButton
from trainer.window.controls.tips import set_tip
from trainer.window.painting.canvas import Canvas
from trainer.window.painting.look import Look
from trainer.window.painting.painter import paint
from trainer.window.strip.curves import Curve, paint_curves
from trainer.window.strip.figures import at_cursors, at_pointer, table
from trainer.window.strip.picture import RIGHT, SMALL, Before, StripPicture
from trainer.window.strip.record import StripRecord
from trainer.window.strip.time_axis import SPAN
from trainer.window.strip.traces import Trace

__all__ = ["SPAN", "StripView"]

_BY_KEYBOARD = (
    Qt.FocusReason.TabFocusReason,
    Qt.FocusReason.BacktabFocusReason,
    Qt.FocusReason.ShortcutFocusReason,
)
_BUTTONS = (
    (mark("Traces"), mark("Traces of the strip"), mark("Choose what the strip shows  (F2)")),
    (mark("Pause"), mark("Pause the strip"), mark("Pause the strip while the machine goes on  (P on the strip)")),
    (mark("Runs"), mark("Two runs"), mark("Keep this run and compare a later one with it  (F8)")),
    (mark("Export"), mark("Export the strip"), mark("Write the shown stretch as a table or as a picture  (Ctrl+E)")),
)


_NEAR, _DRAG = 6.0, 4.0  # px: a cursor is taken hold of; a press becomes a drag
_FAR = 10  # times as far with Shift


class StripHand:
    """What mouse, wheel and keys do to a strip."""

    def __init__(self, view: StripView) -> None:
        self.view = view
        self._pressed: QPointF | None = None
        self._dragged = False
        self._panned: float | None = None

    # -- where things stand [px of the view] ---------------------------------------------------------------

    def _plots(self) -> QRectF:
        return QRectF(*(edge * self.view.look.scale for edge in self.view.picture.plots()))

    def pixel(self) -> float:
        """Return the time of one pixel [s]."""
        return self.view.picture.time.span / max(self._plots().width(), 1.0)

    def _on_plots(self, point: QPointF) -> bool:
        return self._plots().adjusted(0.0, -6.0, 0.0, 4.0).contains(point)

    def _on_times(self, point: QPointF) -> bool:
        plots = self._plots()
        below = 1.6 * self.view.picture.small * self.view.look.scale + 8.0
        return QRectF(plots.left() - 20, plots.bottom() + 4.0, plots.width() + 40, below).contains(point)

    def _time_at(self, point: QPointF) -> float:
        return self.view.picture.time_of(point.x() / self.view.look.scale)

    def _recorded_at(self, point: QPointF) -> float:
        """Return the recorded instant that stands nearest to a place [s]."""
        record, time = self.view.record, self._time_at(point)
        return min(max(time, record.series.begin), record.now) if len(record.series) else time

    # -- mouse ---------------------------------------------------------------------------------------------

    def press(self, event: QMouseEvent) -> None:
        """Set a cursor, take hold of one, or take hold of the time axis."""
        point, left = event.position(), event.button() == Qt.MouseButton.LeftButton
        if left and self._on_plots(point):
            self._pressed, self._dragged = point, False
            self.view.picture.cursors.press(self._recorded_at(point), _NEAR * self.pixel())
            self.view.point(None)
            self.view.tell_cursors()
        elif event.button() == Qt.MouseButton.MiddleButton or (left and self._on_times(point)):
            self._panned = point.x()
            self.view.point(None)

    def move(self, point: QPointF) -> None:
        """Drag what is held; with nothing in hand the values at the pointer are shown."""
        if self._panned is not None:
            self.view.pan((self._panned - point.x()) * self.pixel())
            self._panned = point.x()
        elif self._pressed is not None:
            self._dragged = self._dragged or abs(point.x() - self._pressed.x()) >= _DRAG
            if self._dragged:
                plots = self._plots()
                held = QPointF(min(max(point.x(), plots.left()), plots.right()), point.y())
                self.view.picture.cursors.drag(self._recorded_at(held))
                self.view.tell_cursors()
        else:
            self.view.point(point.x() / self.view.look.scale if self._on_plots(point) else None)
            over = self._on_times(point)
            self.view.setCursor(Qt.CursorShape.SizeHorCursor if over else Qt.CursorShape.ArrowCursor)

    def let_go(self) -> None:
        """Let go."""
        self._pressed = self._panned = None

    def wheel(self, event: QWheelEvent) -> None:
        """Zoom with Ctrl, move with Shift; without them the wheel is not the strip's."""
        turn = event.angleDelta().y() or event.angleDelta().x()
        view, modifiers = self.view, event.modifiers()
        if modifiers & Qt.KeyboardModifier.ControlModifier and turn:
            view.zoom(1 if turn > 0 else -1, self._time_at(event.position()))
        elif modifiers & Qt.KeyboardModifier.ShiftModifier and turn:
            view.pan(-0.1 * view.picture.time.span * (1 if turn > 0 else -1))
        else:
            event.ignore()

    # -- keys ----------------------------------------------------------------------------------------------

    def key(self, event: QKeyEvent) -> bool:
        """Do what a key does on the strip; return whether it is one of its keys."""
        others = event.modifiers() & ~(Qt.KeyboardModifier.ShiftModifier | Qt.KeyboardModifier.KeypadModifier)
        if others != Qt.KeyboardModifier.NoModifier:
            return False
        view, key, cursors = self.view, event.key(), self.view.picture.cursors
        far = _FAR if event.modifiers() & Qt.KeyboardModifier.ShiftModifier else 1
        about = cursors.times[cursors.active] if cursors.times else None
        match key:
            case Qt.Key.Key_Left | Qt.Key.Key_Right:
                self._move_cursor(far if key == Qt.Key.Key_Right else -far)
            case Qt.Key.Key_Return | Qt.Key.Key_Enter:
                cursors.second(self._edge())
                view.tell_cursors()
            case Qt.Key.Key_Delete:
                cursors.remove()
                view.tell_cursors()
            case Qt.Key.Key_Plus | Qt.Key.Key_Equal:
                view.zoom(1, about)
            case Qt.Key.Key_Minus | Qt.Key.Key_Underscore:
                view.zoom(-1, about)
            case Qt.Key.Key_PageUp | Qt.Key.Key_PageDown:
                view.pan((0.25 if key == Qt.Key.Key_PageDown else -0.25) * view.picture.time.span)
            case Qt.Key.Key_P:
                view.freeze(not view.picture.time.frozen)
            case Qt.Key.Key_Home:
                view.home()
            case _:
                return False
        return True

    def _edge(self) -> float:
        """Return the newest instant on the strip [s]."""
        now = self.view.record.now
        return min(self.view.picture.time.end(now), now)

    def _move_cursor(self, pixels: int) -> None:
        record = self.view.record
        if len(record.series):
            edge = self._edge()
            self.view.picture.cursors.move(pixels * self.pixel(), record.series.begin, record.now, edge)
            self.view.tell_cursors()


class StripView(QWidget):
    """One to four stacked traces: at first the lever moved last, the first gauge, the speed that the lever commands.

    ``latest`` tells the end of the session's history [s], ``hidden_lines`` whose pressures must not be told.
    ``changed`` is told when other traces or another stretch are shown, ``said`` sentences for the operator.
    """

    traces_asked = Signal()
    runs_asked = Signal()
    export_asked = Signal()
    changed = Signal()
    said = Signal(str)

    def __init__(self, look: Look, rig: Rig, live: Readings, parent: QWidget) -> None:
        super().__init__(parent)
        self.look = look
        self.record = StripRecord(rig, live)
        self.picture = StripPicture(self.record, look.system)
        self.canvas = Canvas(self, look, self._still, self._live)
        self.canvas.ring = False  # the ring of the focus stands around the plots
        self._ring = False
        self.curves: list[Curve] = []
        self.latest: Callable[[], float] = lambda: float("inf")
        self.hidden_lines: Callable[[], Collection[str]] = tuple
        self.covered: set[str] = set()
        self.unseen = False  # only what hands do is told
        self._kinds = {name: instrument.kind for name, instrument in rig.instruments.items()}
        self._plots_alone = False  # nothing else is painted now
        self._pointer_shapes: list[Shape] = []
        self._drawn_for: object = None
        self._still_for: object = None
        self.buttons = [WordButton(look, tr(text), name, tr(tip), self, size=SMALL) for text, name, tip in _BUTTONS]
        traces, self.freeze_button, runs, export = self.buttons
        self.freeze_button.setCheckable(True)
        traces.clicked.connect(self.traces_asked)
        self.freeze_button.clicked.connect(self.freeze)
        runs.clicked.connect(self.runs_asked)
        export.clicked.connect(self.export_asked)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setMouseTracking(True)
        self.setObjectName("strip")
        set_tip(self, tr("Click and drag: two cursors. Ctrl and the wheel: more or less time. F1 lists the keys"))
        self.picture.latest = self.record.row(live).tolist()
        self.hand = StripHand(self)
        self._name()

    # -- what is shown -------------------------------------------------------------------------------------

    @property
    def traces(self) -> list[Trace]:
        """What is shown, from top to bottom."""
        return [self.record.traces.all[place] for place in self.record.traces.shown]

    @property
    def followed(self) -> str:
        """The control of the lever that is shown, or would be in the first choice."""
        return self.record.traces.pairs[self.record.traces.chosen][0]

    @property
    def plots(self) -> list[QRectF]:
        """Where the plots stand [px]; none before the first paint."""
        scale = self.look.scale
        boxes = (self.picture.box(k) for k in range(len(self.curves)))
        return [QRectF(*(edge * scale for edge in box)) for box in boxes]

    def _name(self) -> None:
        self.setAccessibleName(tr("Strip: {traces}").format(traces=", ".join(trace.name for trace in self.traces)))

    def follow(self, control: str) -> None:
        """Show the lever of a control, and what it moves, unless the user has chosen the traces."""
        if self.record.traces.choose(control):
            self._show_others()

    def want(self, columns: list[str] | None) -> None:
        """Show these traces from now on; None for the first choice again."""
        self.record.traces.want(columns)
        self._show_others()

    def change(self, column: str) -> None:
        """Add a trace, or take it away; where that cannot be it is said why."""
        objection = self.record.traces.change(column)
        if objection:
            self.said.emit(objection)
        else:
            self._show_others()

    def _show_others(self) -> None:
        self._name()
        if self.curves:
            self.curves = [Curve() for _ in self.traces]
        self.lay_out()
        self.changed.emit()

    def lay_over(self, before: Before | None) -> None:
        """Lay a run over the present one, or none."""
        self.picture.before = before
        self.lay_out()

    def refit(self, rig: Rig, live: Readings) -> None:
        """Take the same rig with other instruments."""
        self.record.refit(rig, live)
        self._kinds = {name: instrument.kind for name, instrument in rig.instruments.items()}
        self.picture.latest = self.record.row(live).tolist()
        self._show_others()

    def _still(self) -> list[Shape]:
        return self.picture.still()

    def _live(self) -> list[Shape]:
        return [] if self._plots_alone else [*self.picture.live(), *table(self.picture)]

    def value_text(self, k: int) -> str:
        """Return the newest value of a trace as it is printed."""
        return self.picture.value_text(k)

    def trace_at(self, point: QPointF) -> Trace | None:
        """Return the trace in whose band, from its plot's top to the next one's, a place [px] lies."""
        y, found = point.y() / self.look.scale, None
        for trace, k in zip(self.traces, range(len(self.curves)), strict=False):
            if y >= self.picture.box(k)[1]:
                found = trace
        return found

    # -- what it is told -----------------------------------------------------------------------------------

    def push(self, live: Readings) -> None:
        """Take a new instant; one that has been is only shown, and going on from it cuts what came later."""
        self.record.take(live, self.latest())

    def clear(self) -> None:
        """Forget what was recorded; the picture follows time again."""
        self.record.clear()
        self.picture.cursors.times.clear()
        self.picture.time.freeze(False, 0.0)
        self._show_window()

    def refresh(self, live: Readings, covered: Collection[str]) -> None:
        """Print the newest values (eight times a second)."""
        picture = self.picture
        picture.latest = self.record.row(live).tolist()
        self.covered = set(covered)
        kinds = {self._kinds.get(name, "") for name in covered}
        lines = self.hidden_lines() if covered else ()
        picture.hidden = self.record.traces.hidden(self.covered, lines, kinds, self.unseen)
        self._print_pointer()
        if self._standing() != self._still_for:
            self.lay_out()
        else:
            self._update_values()
            if picture.cursors.pair is not None:
                top = round((picture.height - picture.table_height()) * self.look.scale)
                self.update(0, top, self.width(), self.height() - top)

    def _standing(self) -> object:
        """Return what the frames, axes and plots depend on besides the look."""
        picture = self.picture
        scales = tuple(picture.scale(k) for k in range(len(picture.places)))
        return scales, tuple(picture.places), frozenset(picture.hidden), picture.cursors.pair is None

    def start(self) -> None:
        """Show the traces, once; before the first paint there is no time for them."""
        if not self.curves:
            self.curves = [Curve() for _ in self.traces]
            self.lay_out()

    def lay_out(self) -> None:
        """Place everything for the present size, theme and units."""
        picture, scale = self.picture, self.look.scale
        picture.system, picture.least, picture.height = self.look.system, self.look.least, self.height() / scale
        self.freeze_button.setText(tr("Paused") if picture.time.frozen else tr("Pause"))
        right = self.width() + round(8 * scale)
        for button in reversed(self.buttons):
            size = button.sizeHint()
            right -= size.width()
            height = round(1.75 * button.pixels)
            button.setGeometry(right, round(21.5 * scale - height / 2), size.width(), height)
        picture.free = right / scale
        self._still_for = self._standing()
        self.canvas.forget()
        self._drawn_for = None
        self._print_pointer()
        self.draw_curves()
        self.update()

    def draw_curves(self) -> None:
        """Give the curves the newest samples (thirty times a second); nothing where they are as they were."""
        if not self.curves:
            return
        record, time, picture = self.record, self.picture.time, self.picture
        now = record.now if time.held is None else min(record.now, time.held)
        key = (now, min(record.series.end, time.end(record.now)), time.span, time.held, len(record.series) > 0)
        if key == self._drawn_for:
            return
        self._drawn_for = key
        for k, curve in enumerate(self.curves):
            curve.take(picture.lines(k), time.end(record.now))
        self._update_plots()

    def _update_plots(self) -> None:
        x, y, width, height = (edge * self.look.scale for edge in self.picture.plots())
        spare, above = 46 * self.look.scale, self.picture.small * self.look.scale + 5
        if not self._pointer_shapes and not self.picture.cursors.times:
            spare, above = 3.0, 4.0
        area = QRectF(x - spare, y - above, width + 2 * spare, height + above + 8).toAlignedRect()
        self.update(area.intersected(self.rect()))

    def _show_window(self) -> None:
        """Show another stretch of time."""
        time = self.picture.time
        self.freeze_button.setChecked(time.frozen)
        self.lay_out()
        self.changed.emit()

    # -- what the user does --------------------------------------------------------------------------------

    def freeze(self, on: bool) -> None:
        """Let the picture stand while the run goes on, or follow it again."""
        self.picture.time.freeze(on, self.record.now)
        self._show_window()

    def zoom(self, steps: int, about: float | None = None) -> None:
        """Show less time (steps > 0) or more, about an instant [s]."""
        if self.picture.time.zoom(steps, about):
            self._show_window()

    def pan(self, seconds: float) -> None:
        """Move the shown stretch by a time."""
        series = self.record.series
        if len(series):
            self.picture.time.move(seconds, self.record.now, series.begin, series.end)
            self._show_window()

    def home(self) -> None:
        """Show the last half minute, and follow time."""
        self.picture.time.home()
        self._show_window()

    def tell_cursors(self) -> None:
        """Show where the cursors stand now, and let other views and assistive software know the figures."""
        words = [shape.text for shape in table(self.picture) if isinstance(shape, Words)]
        self.setAccessibleDescription(" ".join(words))
        if self._standing() != self._still_for:
            self.lay_out()
        self.update()
        self.changed.emit()

    def point(self, at: float | None) -> None:
        """Show the values where the pointer is, ``at`` [board px], or no more."""
        self.picture.pointer = at
        self._print_pointer()

    def _print_pointer(self) -> None:
        at = self.picture.pointer
        shapes = [] if at is None else at_pointer(self.picture, at)
        if shapes or self._pointer_shapes:
            self._pointer_shapes = shapes
            self._update_plots()
            self._update_values()

    def _update_values(self) -> None:
        x, _, width, _ = self.picture.plots()
        left = round((x + width + 2.0) * self.look.scale)  # the values; not what the plots stand on
        self.update(left, 0, self.width() - left, self.height())

    def mousePressEvent(self, event: QMouseEvent) -> None:
        self.hand.press(event)

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        self.hand.move(event.position())

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        self.hand.let_go()

    def leaveEvent(self, event: QEvent) -> None:
        super().leaveEvent(event)
        self.point(None)

    def wheelEvent(self, event: QWheelEvent) -> None:
        self.hand.wheel(event)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Do what a key of the strip does; every other goes on to the board."""
        if not self.hand.key(event):
            super().keyPressEvent(event)

    def focusInEvent(self, event: QFocusEvent) -> None:
        """Show the focus ring where the keyboard brought the focus."""
        super().focusInEvent(event)
        self._ring = event.reason() in _BY_KEYBOARD
        self.update()

    def focusOutEvent(self, event: QFocusEvent) -> None:
        super().focusOutEvent(event)
        self._ring = False
        self.update()

    def paintEvent(self, event: QPaintEvent) -> None:
        x, _, width, _ = self.picture.plots()
        right = (x + width + 0.5 * RIGHT) * self.look.scale
        self._plots_alone = event.rect().right() < right and self.picture.cursors.pair is None
        try:
            self.canvas.paint(event.rect())
        finally:
            self._plots_alone = False
        if self.canvas.failure:
            return
        painter = QPainter(self)
        try:
            painter.setClipRect(event.rect())
            paint_curves(painter, self.curves, self.look.inks, self.look.scale)
            over: list[Shape] = [*at_cursors(self.picture), *self._pointer_shapes]
            if self._ring:
                over.append(self._focus_ring())
            if over:
                paint(painter, over, self.look.inks, self.look.scale, (0.0, 0.0), self.canvas.least)
        finally:
            painter.end()

    def _focus_ring(self) -> Path:
        x, y, width, height = self.picture.plots()
        left, top, right, bottom = x - 4.0, y - 4.0, x + width + 4.0, y + height + 4.0
        return Path(((left, top), (right, top), (right, bottom), (left, bottom)), "ink", 2.0, closed=True)
