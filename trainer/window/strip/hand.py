"""Hands on the strip: the pointer, two cursors, zoom and move, by mouse, wheel and keys."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QKeyEvent, QMouseEvent, QWheelEvent

if TYPE_CHECKING:
    from trainer.window.strip.view import StripView

__all__ = ["StripHand"]

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
