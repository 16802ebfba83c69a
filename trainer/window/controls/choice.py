"""One of several values in a row: its name, the value between two arrows; the arrow keys and the wheel change it."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import QEvent, QPointF, QSize, Qt, Signal
from PySide6.QtGui import QKeyEvent, QMouseEvent, QPainter, QPaintEvent, QPen, QPolygonF, QWheelEvent
from PySide6.QtWidgets import QSizePolicy, QWidget

from trainer.language import tr
from trainer.window.controls.own_keys import ENTER, takes
from trainer.window.controls.tips import set_tip
from trainer.window.painting import fonts
from trainer.window.painting.look import Look

__all__ = ["ValueChoice"]

_SIZE = 15.4  # of the type [board px]
_STEPS = {Qt.Key.Key_Left: -1, Qt.Key.Key_Down: -1, Qt.Key.Key_Right: 1, Qt.Key.Key_Up: 1}
_SPACE = 8.0  # between name, arrows and value [board px]


class ValueChoice(QWidget):
    """A named value; ``place`` is its place among the values.

    ``changed`` when another is chosen by hand, ``entered`` at Enter.
    """

    changed = Signal()
    entered = Signal()

    def __init__(self, look: Look, name: str, parent: QWidget) -> None:
        super().__init__(parent)
        self.look = look
        self.name = tr(name)
        self.values: list[str] = []
        self.place = 0
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setSizePolicy(QSizePolicy.Policy.Fixed, QSizePolicy.Policy.Fixed)
        self.setObjectName(name)
        self.setAccessibleName(self.name)
        self.setCursor(Qt.CursorShape.PointingHandCursor)
        set_tip(self, tr("{name}: arrow keys, wheel, or a click on an arrow").format(name=self.name))

    def fill(self, values: Sequence[str], place: int) -> None:
        """Take other values, one of them chosen by its place."""
        self.values = list(values)
        self._choose(place)

    @property
    def value(self) -> str:
        """The chosen value as it is written, "" without any."""
        return self.values[self.place] if self.values else ""

    def _choose(self, place: int) -> None:
        self.place = min(max(place, 0), max(len(self.values) - 1, 0))
        self.setAccessibleDescription(self.value)
        self.update()

    def step(self, by: int) -> None:
        """Choose the next value up or down."""
        before = self.place
        self._choose(self.place + by)
        if self.place != before:
            self.changed.emit()

    # -- how it looks --------------------------------------------------------------------------------------------

    @property
    def _pixels(self) -> int:
        return self.look.pixels(_SIZE)

    def _stations(self) -> tuple[float, float, float, float]:
        """Return where name, left arrow, value and right arrow begin [px]."""
        gap = _SPACE * self.look.scale
        plain, bold = fonts.metrics(self._pixels), fonts.metrics(self._pixels, 600)
        left = 3.0 + plain.horizontalAdvance(self.name) + 1.5 * gap
        value = left + 0.6 * self._pixels + gap
        room = max((bold.horizontalAdvance(text) for text in self.values), default=0.0)
        return 3.0, left, value, value + room + gap

    def sizeHint(self) -> QSize:
        """Return the size that its longest value needs."""
        return QSize(round(self._stations()[3] + self._pixels), round(1.9 * self._pixels))

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        inks, pixels = self.look.inks, self._pixels
        name, left, value, right = self._stations()
        base = self.height() / 2 + 0.34 * pixels
        painter.setFont(fonts.font(pixels))
        painter.setPen(inks.colour("ink2"))
        painter.drawText(QPointF(name, base), self.name)
        painter.setFont(fonts.font(pixels, 600))
        painter.setPen(inks.colour("ink"))
        painter.drawText(QPointF(value, base), self.value)
        painter.setPen(Qt.PenStyle.NoPen)
        half, wide, middle = 0.33 * pixels, 0.45 * pixels, self.height() / 2
        for x, way, there in ((left, -1, self.place > 0), (right, 1, self.place < len(self.values) - 1)):
            painter.setBrush(inks.brush("ink" if there else "hairline"))
            tip, root = (x, x + wide) if way < 0 else (x + wide, x)
            triangle = (QPointF(tip, middle), QPointF(root, middle - half), QPointF(root, middle + half))
            painter.drawPolygon(QPolygonF(triangle))
        if self.hasFocus():
            painter.setPen(QPen(inks.colour("ink"), 2.0))
            painter.setBrush(Qt.BrushStyle.NoBrush)
            painter.drawRect(self.rect().adjusted(1, 1, -2, -2))
        painter.end()

    # -- hands ---------------------------------------------------------------------------------------------------

    def mousePressEvent(self, event: QMouseEvent) -> None:
        if event.button() == Qt.MouseButton.LeftButton:
            _, _, value, right = self._stations()
            x = event.position().x()
            if x < value:
                self.step(-1)
            elif x > right - 0.5 * _SPACE * self.look.scale:
                self.step(1)

    def wheelEvent(self, event: QWheelEvent) -> None:
        if event.angleDelta().y():
            self.step(1 if event.angleDelta().y() > 0 else -1)
        event.accept()

    def event(self, event: QEvent) -> bool:
        """Keep its arrow keys and Enter while it has the focus."""
        return takes(event, (*_STEPS, *ENTER), plain=True) or super().event(event)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() in _STEPS:
            self.step(_STEPS[Qt.Key(event.key())])
        elif event.key() in (Qt.Key.Key_Home, Qt.Key.Key_End):
            self.step(-len(self.values) if event.key() == Qt.Key.Key_Home else len(self.values))
        elif event.key() in ENTER and not event.isAutoRepeat():
            self.entered.emit()
        else:
            super().keyPressEvent(event)
