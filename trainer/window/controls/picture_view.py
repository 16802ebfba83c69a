"""A draw list as a picture in a form, as large as it has room."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import QSize, Qt
from PySide6.QtGui import QPainter, QPaintEvent
from PySide6.QtWidgets import QSizePolicy, QWidget

from trainer.drawing.shapes import DrawList, Shape
from trainer.drawing.symbols.symbol import bounds_of
from trainer.window.painting.look import Look
from trainer.window.painting.painter import paint

__all__ = ["PictureView"]

_LARGEST = 1.6  # px for each of the draw list, where nothing else is said


class PictureView(QWidget):
    """A draw list in the middle of its room, at most ``largest`` px for one of its own; made when it is painted."""

    def __init__(self, look: Look, make: Callable[[], DrawList], parent: QWidget, largest: float = _LARGEST) -> None:
        super().__init__(parent)
        self.look, self.make, self.largest = look, make, largest
        self._shapes: DrawList | None = None
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)
        self.setAttribute(Qt.WidgetAttribute.WA_TransparentForMouseEvents)

    def sizeHint(self) -> QSize:
        """Return what it takes at least."""
        return QSize(60, 40)

    def forget(self) -> None:
        """Make the picture anew when it is painted next."""
        self._shapes = None
        self.update()

    def take_look(self) -> None:
        """Take the present look."""
        self.update()

    def paintEvent(self, _: QPaintEvent) -> None:
        if self._shapes is None:
            self._shapes = self.make()
        painter = QPainter(self)
        painter.fillRect(self.rect(), self.look.inks.colour("paper"))
        shapes: tuple[Shape, ...] = tuple(self._shapes)
        if shapes:
            left, top, right, bottom = bounds_of(shapes)
            scale = min(self.width() / (right - left + 8), self.height() / (bottom - top + 8), self.largest)
            x = (self.width() - scale * (right - left)) / 2 - scale * left
            y = (self.height() - scale * (bottom - top)) / 2 - scale * top
            paint(painter, shapes, self.look.inks, scale, (x, y))
        painter.end()
