"""A ledger over time in a pane: areas that are painted anew a few times a second, with a cursor on them."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from PySide6.QtCore import QEvent, QPointF, Qt, Signal
from PySide6.QtGui import QFocusEvent, QKeyEvent, QMouseEvent, QPainter, QPaintEvent, QPixmap
from PySide6.QtWidgets import QWidget

from trainer.drawing.areas_view import (
    Ground,
    Stack,
    areas_still,
    cursor_live,
)
from trainer.drawing.shapes import DrawList, Path, Shape
from trainer.language import tr
from trainer.window.controls.tips import set_tip
from trainer.window.painting.canvas import Canvas
from trainer.window.painting.look import Look
from trainer.window.painting.painter import paint

__all__ = ["AreasView", "PatientCanvas"]

_PIECE = 300  # points that are painted in one frame, about two milliseconds of work
_WORDS = 8  # points that a text costs as much as


class PatientCanvas(Canvas):
    """A canvas whose still picture can be painted anew piece by piece, over some frames, and is shown when done."""

    _unpainted: list[Shape] | None = None
    _next: QPixmap | None = None
    _next_for: tuple[object, ...] = ()

    def begin(self) -> None:
        """Paint the still picture anew from now on; what has been begun and not ended is given up."""
        if self._kept is not None:
            self._next, self._unpainted = None, []
        else:
            self.widget.update()

    def _open(self) -> None:
        """Make the next picture and the list of what is to be painted; the first piece of the work."""
        if self._kept is None:
            self._unpainted = None
            return
        self._next_for = self._key()
        self._next = QPixmap(self._kept.size())
        self._next.setDevicePixelRatio(self._kept.devicePixelRatio())
        self._next.fill(self.look.inks.colour("paper"))
        self._unpainted = list(self.still())

    @property
    def busy(self) -> bool:
        """Whether a picture has been begun and not ended."""
        return self._unpainted is not None

    def go_on(self, pieces: int = 1) -> None:
        """Paint some pieces more; the last one lets the new picture be seen."""
        try:
            self._go_on(pieces)
        except Exception as error:
            self.forget()
            self.fail(error)
            self.widget.update()

    def _go_on(self, pieces: int) -> None:
        if self._unpainted is None:
            return
        if self._next is None:
            self._open()
            pieces -= 1
        if self._next is None or self._unpainted is None:
            return
        painter = QPainter(self._next)
        try:
            scale, origin = self.placing()
            while pieces > 0 and self._unpainted:
                count = cost = 0
                while count < len(self._unpainted) and cost < _PIECE:
                    shape = self._unpainted[count]
                    cost += len(shape.points) if isinstance(shape, Path) else _WORDS
                    count += 1
                paint(painter, self._unpainted[:count], self.look.inks, scale, origin, self.least)
                del self._unpainted[:count]
                pieces -= 1
        finally:
            painter.end()
        if not self._unpainted:
            self._kept, self._kept_for = self._next, self._next_for
            self._unpainted = self._next = None
            self.widget.update()

    def forget(self) -> None:
        """Throw the picture away, and one that has been begun; the next frame paints it anew, whole."""
        super().forget()
        self._unpainted = self._next = None

    def _key(self) -> tuple[object, ...]:
        ratio = self.widget.devicePixelRatioF()
        return (self.widget.width(), self.widget.height(), ratio, self.least, *self.look.key, *self.placing())


class AreasView(QWidget):
    """One stack of areas. ``moved`` tells where the cursor is [s] (None: nowhere), ``picked`` the id of a band."""

    moved = Signal(object)
    picked = Signal(str)

    def __init__(self, look: Look, name: str, small: bool, times: bool, parent: QWidget) -> None:
        super().__init__(parent)
        self.look = look
        self.small = small
        self.times = times
        self.stack: Stack | None = None
        self.axis = (0.0, 1.0)
        self.marks: Sequence[tuple[float, str]] = ()
        self.covered = False
        self.lit = ""
        self.cursor_time: float | None = None
        self.canvas = PatientCanvas(self, look, self._still, self._live)
        self.setMouseTracking(True)
        self.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        self.setObjectName(name)
        self.setAccessibleName(tr(name))
        set_tip(self, tr("{name}: the pointer or the arrow keys tell the values at an instant").format(name=tr(name)))

    def show_stack(
        self, stack: Stack, axis: tuple[float, float], marks: Sequence[tuple[float, str]], covered: bool
    ) -> None:
        """Show areas over a time axis [s]; the picture is only painted anew where something of it has changed."""
        old = self.stack
        same = (
            old is not None
            and (self.axis, self.marks, self.covered) == (axis, tuple(marks), covered)
            and len(old.edges) == len(stack.edges)
            and bool((old.edges == stack.edges).all())
            and [band.id for band in old.bands] == [band.id for band in stack.bands]
            and all(np.array_equal(a.values, b.values) for a, b in zip(old.bands, stack.bands, strict=True))
        )
        self.stack, self.axis, self.marks, self.covered = stack, axis, tuple(marks), covered
        if not same and not self.canvas.busy:
            self.canvas.begin()

    def repaint_areas(self) -> None:
        """Paint the areas anew."""
        self.canvas.forget()
        self.update()

    def light(self, name: str) -> None:
        """Point at a band."""
        if name != self.lit:
            self.lit = name
            self.repaint_areas()

    def set_cursor(self, time: float | None) -> None:
        """Put the cursor at a time, or take it away."""
        if time != self.cursor_time:
            self.cursor_time = time
            self.update()

    def ground(self) -> Ground | None:
        """Return where the areas stand, or None while there are none."""
        if self.stack is None:
            return None
        scale = self.look.scale
        return Ground(
            self.width() / scale, self.height() / scale, *self.axis, self.stack.high, self.stack.quantity,
            self.look.system, self.small, self.look.least, self.times,
        )  # fmt: skip

    def _still(self) -> DrawList:
        ground = self.ground()
        if ground is None or self.stack is None:
            return ()
        return areas_still(self.stack, ground, self.marks, self.covered, self.lit)

    def _live(self) -> DrawList:
        ground = self.ground()
        if ground is None or self.stack is None or self.cursor_time is None:
            return ()
        return cursor_live(self.stack, ground, self.cursor_time, self.covered)

    def paintEvent(self, event: QPaintEvent) -> None:
        self.canvas.paint()

    # -- pointing --------------------------------------------------------------------------------------------

    def _time_at(self, point: QPointF) -> float | None:
        ground = self.ground()
        if ground is None:
            return None
        x = point.x() / self.look.scale
        return self._within(ground.time(x)) if ground.left - 8.0 <= x <= ground.right + 8.0 else None

    def _within(self, time: float) -> float:
        assert self.stack is not None
        return min(max(time, float(self.stack.edges[0])), float(self.stack.edges[-1]))

    def band_at(self, point: QPointF) -> str:
        """Return the id of the band at a place [px], or nothing."""
        ground, time = self.ground(), self._time_at(point)
        if ground is None or time is None or self.stack is None or not len(self.stack.total):
            return ""
        step, top = self.stack.at(time), ground.marks()[-1]
        value = (ground.bottom - point.y() / self.look.scale) / (ground.bottom - ground.top) * top
        reached = 0.0
        for band in self.stack.bands:
            below, reached = reached, reached + max(float(band.values[step]), 0.0)
            if below <= value < reached:
                return band.id
        return ""

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        self.moved.emit(self._time_at(event.position()))

    def mousePressEvent(self, event: QMouseEvent) -> None:
        """Pick the area that is clicked."""
        id_ = self.band_at(event.position())
        if event.button() == Qt.MouseButton.LeftButton and id_:
            self.picked.emit(id_)

    def leaveEvent(self, event: QEvent) -> None:
        if not self.hasFocus():
            self.moved.emit(None)

    def focusOutEvent(self, event: QFocusEvent) -> None:
        super().focusOutEvent(event)
        self.moved.emit(None)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Move the cursor with the arrow keys, by a hundredth of the axis, with Shift by a tenth."""
        ground = self.ground()
        step = {Qt.Key.Key_Left: -1, Qt.Key.Key_Right: 1}.get(Qt.Key(event.key()))
        if ground is None or self.stack is None:
            super().keyPressEvent(event)
        elif step is not None:
            share = 0.1 if event.modifiers() & Qt.KeyboardModifier.ShiftModifier else 0.01
            start = float(self.stack.edges[-1]) if self.cursor_time is None else self.cursor_time
            self.moved.emit(self._within(start + step * share * (ground.end - ground.begin)))
        elif event.key() in (Qt.Key.Key_Home, Qt.Key.Key_End):
            self.moved.emit(float(self.stack.edges[0 if event.key() == Qt.Key.Key_Home else -1]))
        else:
            super().keyPressEvent(event)
