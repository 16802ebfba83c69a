"""Carrying an instrument with the mouse: telling a click from a drag, and what follows the pointer."""

from __future__ import annotations

from PySide6.QtCore import QEvent, QObject, QPoint, QPointF, QRect, QRectF, Qt, Signal
from PySide6.QtGui import QKeyEvent, QMouseEvent, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QApplication, QWidget

from trainer.drawing.instrument_symbols import symbol_of
from trainer.language import tr
from trainer.rig.names import capital
from trainer.window.painting import fonts
from trainer.window.painting.look import Look
from trainer.window.painting.painter import paint
from trainer.window.painting.sizes import sized

__all__ = ["NEAR", "CarryView", "Grip"]

NEAR = 10  # px: a press that has moved no further is a click


class Grip(QObject):
    """The left button on one widget: ``clicked`` where it is let go in place, else ``moved`` and ``dropped``.

    Places are global [px]. Esc while it is dragged gives it up: ``given_up``.
    """

    clicked = Signal()
    moved = Signal(QPoint)
    dropped = Signal(QPoint)
    given_up = Signal()

    def __init__(self, widget: QWidget) -> None:
        super().__init__(widget)
        self.widget = widget
        widget.installEventFilter(self)
        self.dragging = False
        self._from: QPoint | None = None

    def _press(self, event: QMouseEvent) -> None:
        if event.button() == Qt.MouseButton.LeftButton:
            self._from = event.globalPosition().toPoint()

    def _move(self, event: QMouseEvent) -> None:
        if self._from is None:
            return
        point = event.globalPosition().toPoint()
        if not self.dragging and (point - self._from).manhattanLength() > NEAR:
            self.dragging = True
            app = QApplication.instance()
            if app is not None:
                app.installEventFilter(self)
        if self.dragging:
            self.moved.emit(point)

    def _release(self, event: QMouseEvent) -> None:
        if event.button() != Qt.MouseButton.LeftButton or self._from is None:
            return
        dragged = self.dragging
        self._end()
        if dragged:
            self.dropped.emit(event.globalPosition().toPoint())
        elif self.widget.rect().contains(event.position().toPoint()):
            self.clicked.emit()

    def _end(self) -> None:
        app = QApplication.instance()
        if self.dragging and app is not None:
            app.removeEventFilter(self)
        self.dragging, self._from = False, None

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """Take the mouse on the widget; while it drags, give up on Esc, whoever has the keyboard."""
        if watched is self.widget and isinstance(event, QMouseEvent) and event.type() in _HANDS:
            _HANDS[event.type()](self, event)
            return True
        if not self.dragging:
            return False
        pressed = event.type() in (QEvent.Type.KeyPress, QEvent.Type.ShortcutOverride)
        if pressed and isinstance(event, QKeyEvent) and event.key() == Qt.Key.Key_Escape:
            self._end()
            self.given_up.emit()
            return True
        return False


_HANDS = {
    QEvent.Type.MouseButtonPress: Grip._press,
    QEvent.Type.MouseMove: Grip._move,
    QEvent.Type.MouseButtonRelease: Grip._release,
}


class CarryView(QWidget):
    """An instrument's symbol and name at the pointer, and a line of words beside it; it takes no clicks."""

    def __init__(self, look: Look, parent: QWidget) -> None:
        super().__init__(parent)
        self.look, self.ground = look, parent
        self.kind = self.name = self.words = ""
        self.good = False  # whether it can be let go here
        self.setAttribute(Qt.WidgetAttribute.WA_TransparentForMouseEvents)
        self.setObjectName("carried instrument")
        self.hide()

    @property
    def _pixels(self) -> int:
        return self.look.pixels(15.4)

    def show_at(self, point: QPoint, kind: str, name: str, words: str, good: bool) -> None:
        """Stand at a point of the parent [px] with words of where that is, or why not."""
        if (kind, name, words, good) != (self.kind, self.name, self.words, self.good):
            self.kind, self.name, self.words, self.good = kind, name, words, good
            self.setAccessibleName(f"{name or kind}: {words}")
            self.update()
        scale = max(self.look.scale, 0.6)
        wide = max(
            fonts.metrics(self._pixels, 600).horizontalAdvance(self.name or capital(tr(self.kind))),
            fonts.metrics(self._pixels).horizontalAdvance(self.words),
        )
        size = QRect(0, 0, round(52 * scale + wide + 12), round(max(48 * scale, 2.6 * self._pixels)))
        left = min(max(point.x() - round(22 * scale), 0), max(self.ground.width() - size.width(), 0))
        top = min(max(point.y() - round(22 * scale), 0), max(self.ground.height() - size.height(), 0))
        self.setGeometry(size.translated(left, top))
        if not self.isVisible():
            self.show()
            self.raise_()

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        inks, scale, pixels = self.look.inks, max(self.look.scale, 0.6), self._pixels
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        paint(painter, sized(symbol_of(self.kind), scale, (22 * scale, 22 * scale)), inks)
        left, top = 50 * scale, 4.0
        back = QRectF(left - 4, top - 2, self.width() - left + 2, 2.45 * pixels)
        painter.setPen(QPen(inks.colour("accent" if self.good else "ink2"), 1.0))
        painter.setBrush(inks.brush("paper"))
        painter.drawRect(back)
        painter.setPen(inks.colour("ink"))
        painter.setFont(fonts.font(pixels, 600))
        painter.drawText(QPointF(left + 2, top + pixels), self.name or capital(tr(self.kind)))
        painter.setFont(fonts.font(pixels))
        painter.setPen(inks.colour("ink" if self.good else "ink2"))
        painter.drawText(QPointF(left + 2, top + 2.1 * pixels), self.words)
        painter.end()
