"""How a widget shows draw lists: what stands still cached as a picture, what moves painted on top."""

from __future__ import annotations

from collections.abc import Callable, Hashable

from PySide6.QtCore import QRect, QRectF, Qt
from PySide6.QtGui import QPainter, QPen, QPixmap
from PySide6.QtWidgets import QWidget

from trainer.drawing.shapes import DrawList, Moving
from trainer.drawing.symbols.symbol import flat
from trainer.window.painting.layer import Layer, extents
from trainer.window.painting.lettering import text_boxes
from trainer.window.painting.look import LEAST_TEXT, Look
from trainer.window.painting.painter import Strokes, paint

__all__ = ["Between", "Canvas"]

_FEW = 24  # shapes that are painted rather than looked at, whether they are in a part that is painted

Between = tuple[Hashable, Callable[[], Moving]]
Placing = tuple[float, tuple[float, float]]  # scale and origin [widget px]


def _nothing() -> DrawList:
    return ()


class Canvas:
    """Paints one widget. A picture that fails is a red cross until it can be painted again.

    The window is told of it once (``report``), however often it fails in the same way.

    ``still`` and ``live`` return draw lists in board pixels; ``placing`` their scale and origin in the widget.
    ``between`` returns a key and what lies over the still ones and changes with that key only.
    """

    def __init__(
        self,
        widget: QWidget,
        look: Look,
        still: Callable[[], DrawList] = _nothing,
        live: Callable[[], Moving] = _nothing,
        placing: Callable[[], Placing] | None = None,
        between: Callable[[], Between] | None = None,
    ) -> None:
        self.widget = widget
        self.look = look
        self.still = still
        self.live = live
        self.placing = placing or self._plain
        self.least = LEAST_TEXT  # no text is smaller [px]
        self.ring: bool | None = None  # None: the focus ring shows with the focus; else only while True
        self.failure = ""
        self._kept: QPixmap | None = None
        self._kept_for: tuple[object, ...] = ()
        self.between = between
        self._strokes = Strokes()
        self._layer = Layer(self._strokes.pictures)
        self._layer_for: Hashable = None
        widget.setAttribute(Qt.WidgetAttribute.WA_OpaquePaintEvent)

    def _plain(self) -> Placing:
        return self.look.scale, (0.0, 0.0)

    def keep_texts(self) -> None:
        """Make a picture of a text as soon as it comes: each will be painted for several frames."""
        self._strokes.pictures.lasting = True

    def forget(self) -> None:
        """Throw the cached picture away; the next frame paints it anew."""
        self._kept = None
        self._layer.forget()
        self._layer_for = None

    def paint(self, part: QRect | None = None) -> None:
        """Paint the widget, or a part of it; to be called from its paintEvent."""
        painter = QPainter(self.widget)
        try:
            self._draw(painter, part)
            if self.failure:
                self.failure = ""
                self.widget.update()  # the cross may reach beyond this part
        except Exception as error:
            self.fail(error)
            self._cross(painter)
        finally:
            painter.end()

    def fail(self, error: Exception) -> None:
        """Take a failure to make the picture: the window is told unless it knows; the next paint tries again."""
        before, self.failure = self.failure, f"{type(error).__name__}: {error}"
        report = getattr(self.widget.window(), "report", None)
        if report is not None and self.failure != before:
            report(error)

    def _draw(self, painter: QPainter, part: QRect | None) -> None:
        placing = self.placing()
        ground, shapes = self._still_picture(placing), self.live()
        if self.between is not None:
            ground = self._with_between(ground, placing)
        painter.drawPixmap(0, 0, ground)  # Qt clips it to the part
        if part is not None and part != self.widget.rect() and len(shapes) > _FEW:
            shapes = [s for s in flat(shapes) if any(part.intersects(r) for r in extents(s, *placing, self.least))]
        paint(painter, shapes, self.look.inks, *placing, self.least, self._strokes)
        if self.widget.hasFocus() and self.ring is not False:
            painter.setPen(QPen(self.look.inks.colour("ink2"), 2.0))
            painter.setBrush(Qt.BrushStyle.NoBrush)
            painter.drawRect(QRectF(self.widget.rect()).adjusted(2, 2, -2, -2))

    def _with_between(self, ground: QPixmap, placing: Placing) -> QPixmap:
        assert self.between is not None
        key, make = self.between()
        found = self._layer.kept if self._layer_for == (key, self._kept_for) else None
        if found is None:
            found = self._layer.picture(ground, self._kept_for, make(), self.look.inks, placing, self.least)
            self._layer_for = (key, self._kept_for)
        return found

    def _still_picture(self, placing: Placing) -> QPixmap:
        ratio = self.widget.devicePixelRatioF()
        key = (self.widget.width(), self.widget.height(), ratio, self.least, *self.look.key, *placing)
        if self._kept is None or self._kept_for != key:
            kept = QPixmap(round(self.widget.width() * ratio), round(self.widget.height() * ratio))
            kept.setDevicePixelRatio(ratio)
            kept.fill(self.look.inks.colour("paper"))
            painter = QPainter(kept)
            try:
                paint(painter, self.still(), self.look.inks, *placing, self.least)
            finally:
                painter.end()
            self._kept, self._kept_for = kept, key
        return self._kept

    def _cross(self, painter: QPainter) -> None:
        box = self.widget.rect()
        painter.resetTransform()
        painter.fillRect(box, self.look.inks.colour("paper"))
        painter.setPen(QPen(Qt.GlobalColor.red, 3.0))
        painter.drawLine(box.topLeft(), box.bottomRight())
        painter.drawLine(box.bottomLeft(), box.topRight())

    def texts(self) -> list[tuple[str, QRectF, int]]:
        """Return (text, box [widget px], height [px]) of everything written on the widget now."""
        scale, origin = self.placing()
        between = self.between()[1]() if self.between is not None else ()
        return text_boxes([*self.still(), *between, *self.live()], scale, origin, self.least)
