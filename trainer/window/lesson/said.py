"""What was said, what was read and how far apart: beside one another where they have room, else in rows."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import QSize, Qt
from PySide6.QtGui import QPainter, QPaintEvent, QPen, QResizeEvent
from PySide6.QtWidgets import QGridLayout, QWidget

from trainer.language import tr
from trainer.window.controls.labels import Label
from trainer.window.lesson.forms import TEXT
from trainer.window.painting import fonts
from trainer.window.painting.look import Look

__all__ = ["Said", "Tick"]

_NAME, _LARGE = 16.5, 24.0
_LONG = 22  # letters that one of three has room for


class Tick(QWidget):
    """A tick in ink: as read."""

    def __init__(self, look: Look, parent: QWidget) -> None:
        super().__init__(parent)
        self.look = look
        self.setAccessibleName(tr("as read"))
        self.take_look()

    def take_look(self) -> None:
        """Take the size of the present look."""
        side = round(1.3 * self.look.pixels(TEXT))
        self.setFixedSize(side, side)

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        side = self.width()
        painter.setPen(QPen(self.look.inks.colour("ink"), max(2.0, 0.11 * side)))
        painter.drawLine(round(0.18 * side), round(0.55 * side), round(0.4 * side), round(0.78 * side))
        painter.drawLine(round(0.4 * side), round(0.78 * side), round(0.85 * side), round(0.2 * side))
        painter.end()


class Said(QWidget):
    """Names with their values, ``ticked`` those that are as read."""

    def __init__(self, look: Look, told: Sequence[tuple[str, str]], ticked: Sequence[bool], parent: QWidget) -> None:
        super().__init__(parent)
        self.look = look
        self.names = [Label(look, name, self, size=_NAME, ink="ink2", wraps=False) for name, _ in told]
        self.values = [Label(look, words, self, size=_LARGE, weight=600) for _, words in told]
        self.ticks = [Tick(look, self) if one else None for one in ticked]
        self.long = any(len(words) > _LONG for _, words in told)
        self.beside: bool | None = None
        self.grid = QGridLayout(self)
        self.grid.setContentsMargins(0, 0, 0, 0)
        self._arrange(parent.width())

    def _fit(self, width: int) -> bool:
        """Whether all stand beside one another within a width [px]."""
        gap = 2 * self._gap
        wide: float = -gap
        for name, value, tick in zip(self.names, self.values, self.ticks, strict=True):
            words = fonts.metrics(self.look.pixels(_LARGE), 600).horizontalAdvance(value.text())
            words += 0 if tick is None else tick.width() + gap
            named = fonts.metrics(self.look.pixels(_NAME), 400).horizontalAdvance(name.text())
            wide += max(words, named) + 2 + gap  # of letters that lean out of their boxes
        return not self.long and wide <= width

    @property
    def _gap(self) -> int:
        return round(8 * self.look.scale)

    def _arrange(self, width: int) -> None:
        beside = self._fit(width)
        if beside == self.beside:
            return
        self.beside = beside
        grid = self.grid
        while grid.count():
            grid.takeAt(0)
        grid.setHorizontalSpacing(self._gap * (2 if beside else 1))
        grid.setVerticalSpacing(self._gap // 2)
        across = 0
        for k, (name, value, tick) in enumerate(zip(self.names, self.values, self.ticks, strict=True)):
            value.size_of_type = _LARGE if beside else TEXT
            value.setWordWrap(not beside)
            value.take_look()
            # beside, and where one is long, the name stands over its value; else both in a row, then a tick
            row, column = (0, across) if beside else (2 * k if self.long else k, 0)
            at = (row + 1, column) if beside or self.long else (row, 1)
            grid.addWidget(name, row, column, Qt.AlignmentFlag.AlignTop)
            grid.addWidget(value, *at)
            across += 1 if tick is None else 2
            if tick is not None:
                grid.addWidget(tick, at[0], at[1] + 1, Qt.AlignmentFlag.AlignLeft)
        for column in range(grid.columnCount()):
            grid.setColumnStretch(column, 0)
        grid.setColumnStretch(across if beside else 0 if self.long else 1, 1)
        self.updateGeometry()

    def take_look(self) -> None:
        """Take the room of the present look."""
        self.beside = None
        self._arrange(self.width())

    def minimumSizeHint(self) -> QSize:
        """Return its height, and no width: where a bar comes beside the page, it is to become narrower, too."""
        return QSize(0, super().minimumSizeHint().height())

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._arrange(event.size().width())
