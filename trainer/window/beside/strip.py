"""The strip of two rigs: what the hands do on it, and its buttons."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import QEvent, QPointF, Qt, Signal
from PySide6.QtGui import QKeyEvent, QMouseEvent, QPaintEvent, QWheelEvent
from PySide6.QtWidgets import QWidget

from trainer.drawing.shapes import DrawList
from trainer.drawing.symbols.symbol import moved
from trainer.language import mark, tr
from trainer.pairing.figures import Scales
from trainer.window.beside.record import PairRecord
from trainer.window.beside.strip_picture import HEAD, PairPicture, told
from trainer.window.controls.buttons import WordButton
from trainer.window.controls.tips import set_tip
from trainer.window.painting.canvas import Canvas
from trainer.window.painting.look import Look

__all__ = ["PairStripView"]

_EDGE = 28.0  # board px


class PairStripView(QWidget):
    """Pressure, delivery and input of both rigs over time. ``asked`` tells an instant to go back to [s].

    ``export_asked`` and ``copy_asked`` tell that it is to be written, or put on the clipboard.
    """

    asked = Signal(float)
    export_asked = Signal()
    copy_asked = Signal()

    def __init__(
        self, look: Look, record: PairRecord, scales: Scales, titles: Sequence[str], parent: QWidget
    ) -> None:
        super().__init__(parent)
        self.look = look
        self.picture = PairPicture(record, scales, titles)
        self.canvas = Canvas(self, look, self._still, self._live)
        self._held = False
        self._standing: object = None
        self.copy = WordButton(
            look,
            tr("Copy"),
            mark("Copy the strip"),
            tr("Copy the strip of both as a picture  (Ctrl+C)"),
            self,
            size=30.0,
        )
        self.export = WordButton(
            look, tr("Export"), mark("Export the strip"),
            tr("Write the shown stretch as a table or as a picture  (Ctrl+E)"), self, size=30.0,
        )  # fmt: skip
        self.copy.clicked.connect(self.copy_asked)
        self.export.clicked.connect(self.export_asked)
        self.setMouseTracking(True)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setObjectName("strip beside")
        self.setAccessibleName(tr("Strip of both rigs"))
        set_tip(self, tr("Point: the figures there. Click: both go back to that instant. + and −: less or more time"))

    def show_marks(self, marks: Sequence[tuple[float, str]]) -> None:
        """Show the newest samples and the marks (eight times a second)."""
        self.picture.marks = tuple(marks)
        self.setAccessibleDescription(told(self.picture))
        self.look_anew()

    def look_anew(self) -> None:
        """Paint what is recorded now, the axes too where they are other ones."""
        picture = self.picture
        picture.system = self.look.system
        scales = tuple(
            picture.scales.end_text(quantity, picture.system) for quantity in ("pressure", "flow", "power")
        )
        standing = scales, picture.begin, picture.span, picture.system
        if standing != self._standing:
            self._standing = standing
            self.canvas.forget()
        self.update()

    def lay_out(self) -> None:
        """Place everything for the present size."""
        scale = self.look.scale
        picture = self.picture
        picture.width, picture.height = self.width() / scale - 2 * _EDGE, self.height() / scale
        x = self.width() - round(_EDGE * scale)
        for button in (self.export, self.copy):
            size = button.sizeHint()
            x -= size.width()
            button.setGeometry(x, round(4 * scale), size.width(), round((HEAD - 6) * scale))
        picture.free = x / scale - _EDGE
        self.canvas.forget()
        self.look_anew()

    def _still(self) -> DrawList:
        return [moved(shape, _EDGE, 0.0) for shape in self.picture.still()]

    def _live(self) -> DrawList:
        return [moved(shape, _EDGE, 0.0) for shape in self.picture.live()]

    # -- hands -------------------------------------------------------------------------------------------------------

    def _time_at(self, place: QPointF) -> float | None:
        scale = self.look.scale
        return self.picture.time_at(place.x() / scale - _EDGE, place.y() / scale)

    def _go(self, place: QPointF) -> None:
        time = self._time_at(place)
        if time is not None:
            self.asked.emit(time)

    def zoom(self, steps: int) -> None:
        """Show less time (steps > 0) or more, about the instant that is shown."""
        if self.picture.time.zoom(steps, self.picture.record.now):
            self.look_anew()

    def pan(self, share: float) -> None:
        """Move the shown stretch by a share of itself."""
        series, time = self.picture.record.series, self.picture.time
        if len(series):
            time.move(share * self.picture.span, series.end, series.begin, series.end)
            self.look_anew()

    def mousePressEvent(self, event: QMouseEvent) -> None:
        if event.button() == Qt.MouseButton.LeftButton:
            self._held = True
            self._go(event.position())

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        self.picture.pointer = self._time_at(event.position())
        if self._held:
            self._go(event.position())
        self.update()

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        self._held = False

    def leaveEvent(self, event: QEvent) -> None:
        super().leaveEvent(event)
        self.picture.pointer = None
        self.update()

    def wheelEvent(self, event: QWheelEvent) -> None:
        steps = event.angleDelta().y() or event.angleDelta().x()
        if steps and event.modifiers() & Qt.KeyboardModifier.ControlModifier:
            self.zoom(1 if steps > 0 else -1)
        elif steps:
            self.pan(-0.25 if steps > 0 else 0.25)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Do what a key of the strip does; every other goes on."""
        match event.key():
            case Qt.Key.Key_Plus | Qt.Key.Key_Equal:
                self.zoom(1)
            case Qt.Key.Key_Minus | Qt.Key.Key_Underscore:
                self.zoom(-1)
            case Qt.Key.Key_PageUp | Qt.Key.Key_PageDown:
                self.pan(0.25 if event.key() == Qt.Key.Key_PageDown else -0.25)
            case Qt.Key.Key_Home:
                self.picture.time.home()
                self.look_anew()
            case _:
                super().keyPressEvent(event)

    def paintEvent(self, event: QPaintEvent) -> None:
        self.canvas.paint()
