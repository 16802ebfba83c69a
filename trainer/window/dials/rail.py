"""The rail below the dials: the instruments that can be fitted, and the stopwatch, to be dragged or pressed."""

from __future__ import annotations

from PySide6.QtCore import QPoint, Qt, Signal
from PySide6.QtGui import QKeyEvent, QPaintEvent
from PySide6.QtWidgets import QWidget

from trainer.drawing.instrument_symbols import symbol_of
from trainer.drawing.shapes import DrawList, Path, Words
from trainer.language import mark, tr
from trainer.rig.names import capital
from trainer.window.controls.keys import tooltip
from trainer.window.controls.tips import set_tip
from trainer.window.dials.carry import Grip
from trainer.window.painting import fonts
from trainer.window.painting.canvas import Canvas
from trainer.window.painting.look import Look
from trainer.window.painting.sizes import sized

__all__ = ["KINDS", "RailItem", "RailView"]

KINDS = ("gauge", "flow meter", "tachometer", "thermometer", "stopwatch")
_SHORT = {
    "gauge": mark("Gauge"),
    "flow meter": mark("Flow"),
    "tachometer": mark("Speed"),
    "thermometer": mark("Temp."),
    "stopwatch": mark("Time"),
}
_GAP = 3.0  # between two words, at the least [px]
_WORDS = 15.4  # size of the words [board px]
_SYMBOL, _SYMBOL_ROOM = 0.55, 28.0  # size of the symbols; height for them [board px]


class RailItem(QWidget):
    """One kind of instrument. Dragging carries it, a click or Enter opens what it needs: ``opened``."""

    opened = Signal(str)
    carried = Signal(str, QPoint)
    dropped = Signal(str, QPoint)
    put_down = Signal()

    def __init__(self, look: Look, kind: str, parent: QWidget) -> None:
        super().__init__(parent)
        self.look = look
        self.kind = kind
        self.short = False  # where its whole name has no room
        self.canvas = Canvas(self, look, self._still)
        self.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        self.setCursor(Qt.CursorShape.OpenHandCursor)
        self.setObjectName(f"rail {kind}")
        self.grip = Grip(self)
        self.grip.clicked.connect(lambda: self.opened.emit(kind))
        if kind == "stopwatch":
            self.setAccessibleName(tr("Stopwatch"))
            set_tip(
                self,
                tooltip(tr("Start or stop the stopwatch"), "stopwatch")
                + tooltip(tr("; on a lever or a rod"), "stopwatch condition"),
            )
            self.setCursor(Qt.CursorShape.PointingHandCursor)
        else:
            self.setAccessibleName(tr("Fit a {kind}").format(kind=tr(kind)))
            set_tip(
                self,
                tooltip(
                    tr("Drag a {kind} onto the drawing, or click to choose its place").format(kind=tr(kind)),
                    "fit instrument",
                ),
            )
            self.grip.moved.connect(lambda point: self.carried.emit(kind, point))
            self.grip.dropped.connect(self._dropped)
            self.grip.given_up.connect(self.put_down)

    def _dropped(self, point: QPoint) -> None:
        self.put_down.emit()
        self.dropped.emit(self.kind, point)

    @property
    def words_size(self) -> float:
        """Height of its words [board px]."""
        return self.look.size(_WORDS)

    @property
    def words(self) -> str:
        """What is written below its symbol."""
        return tr(_SHORT[self.kind]) if self.short else capital(tr(self.kind))

    def wide(self) -> float:
        """Return the width that its words need [px]."""
        return fonts.metrics(round(self.words_size * self.look.scale)).horizontalAdvance(self.words)

    def _still(self) -> DrawList:
        x, size = self.width() / self.look.scale / 2, self.words_size
        words = Words(x, _SYMBOL_ROOM + 0.72 * size, self.words, size, "ink2", align="centre")
        return [*sized(symbol_of(self.kind), _SYMBOL, (x, 15.0)), words]

    def paintEvent(self, event: QPaintEvent) -> None:
        self.canvas.paint()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter) and not event.isAutoRepeat():
            self.opened.emit(self.kind)
        else:
            super().keyPressEvent(event)


class RailView(QWidget):
    """All kinds beside one another under a hairline."""

    def __init__(self, look: Look, parent: QWidget) -> None:
        super().__init__(parent)
        self.look = look
        self.canvas = Canvas(self, look, self._still)
        self.items = {kind: RailItem(look, kind, self) for kind in KINDS}
        self.setObjectName("rail")
        self.setAccessibleName(tr("Instruments to fit"))

    def height_board(self) -> float:
        """The height that it needs [board px]."""
        return _SYMBOL_ROOM + 0.96 * self.look.size(_WORDS) + 1.0 / self.look.scale

    def lay_out(self) -> None:
        """Place the kinds, each as wide as its words, what is left between them."""
        for item in self.items.values():
            item.short = False
        short = sum(item.wide() + _GAP for item in self.items.values()) > self.width()
        for item in self.items.values():
            item.short = short
        wide = [item.wide() for item in self.items.values()]
        gap = max((self.width() - sum(wide)) / len(wide), 2.0)
        x, top = 0.0, 1  # below the hairline
        for item, own in zip(self.items.values(), wide, strict=True):
            item.setGeometry(round(x), top, round(x + own + gap) - round(x), self.height() - top)
            item.canvas.forget()
            x += own + gap

    def _still(self) -> DrawList:
        return [Path(((0.0, 0.5), (self.width() / self.look.scale, 0.5)), "hairline", 1.0)]

    def paintEvent(self, event: QPaintEvent) -> None:
        self.canvas.paint()
