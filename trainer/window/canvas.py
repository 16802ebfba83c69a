"""How a widget shows draw lists: what stands still cached as a picture, what moves painted on top."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import QRectF, Qt
from PySide6.QtGui import QPainter, QPen, QPixmap
from PySide6.QtWidgets import QWidget

from trainer.drawing.shapes import DrawList
from trainer.window.look import LEAST_TEXT, Look
from trainer.window.painter import paint, text_boxes

__all__ = ["Canvas"]

Placing = tuple[float, tuple[float, float]]  # scale and origin [widget px]


def _nothing() -> DrawList:
    return ()


class Canvas:
    """Paints one widget. A failing picture becomes a red cross once, and ``broke`` is told why.

    ``still`` and ``live`` return draw lists in board pixels; ``placing`` their scale and origin in the widget.
    """

    def __init__(
        self,
        widget: QWidget,
        look: Look,
        still: Callable[[], DrawList] = _nothing,
        live: Callable[[], DrawList] = _nothing,
        placing: Callable[[], Placing] | None = None,
    ) -> None:
        self.widget = widget
        self.look = look
        self.still = still
        self.live = live
        self.placing = placing or self._plain
        self.least = LEAST_TEXT  # no text is smaller [px]
        self.ring: bool | None = None  # None: the focus ring shows with the focus; else only while True
        self.failure = ""
        self.broke: Callable[[BaseException], None] | None = None
        self._kept: QPixmap | None = None
        self._kept_for: tuple[object, ...] = ()
        widget.setAttribute(Qt.WidgetAttribute.WA_OpaquePaintEvent)

    def _plain(self) -> Placing:
        return self.look.scale, (0.0, 0.0)

    def forget(self) -> None:
        """Throw the cached picture away; the next frame paints it anew."""
        self._kept = None

    def paint(self) -> None:
        """Paint the widget; to be called from its paintEvent."""
        painter = QPainter(self.widget)
        try:
            if not self.failure:
                self._draw(painter)
        except Exception as error:
            self.failure = f"{type(error).__name__}: {error}"
            if self.broke is not None:
                self.broke(error)
        finally:
            if self.failure:
                self._cross(painter)
            painter.end()

    def _draw(self, painter: QPainter) -> None:
        painter.drawPixmap(0, 0, self._still_picture())
        scale, origin = self.placing()
        paint(painter, self.live(), self.look.inks, scale, origin, self.least)
        if self.widget.hasFocus() and self.ring is not False:
            painter.setPen(QPen(self.look.inks.colour("ink2"), 2.0))
            painter.setBrush(Qt.BrushStyle.NoBrush)
            painter.drawRect(QRectF(self.widget.rect()).adjusted(2, 2, -2, -2))

    def _still_picture(self) -> QPixmap:
        ratio = self.widget.devicePixelRatioF()
        key = (self.widget.width(), self.widget.height(), ratio, self.least, *self.look.key, *self.placing())
        if self._kept is None or self._kept_for != key:
            kept = QPixmap(round(self.widget.width() * ratio), round(self.widget.height() * ratio))
            kept.setDevicePixelRatio(ratio)
            kept.fill(self.look.inks.colour("paper"))
            painter = QPainter(kept)
            try:
                scale, origin = self.placing()
                paint(painter, self.still(), self.look.inks, scale, origin, self.least)
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
        return text_boxes([*self.still(), *self.live()], scale, origin, self.least)
