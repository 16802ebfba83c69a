"""Rows to choose from: radio buttons with a letter, a frame around the chosen one; arrows and digits choose."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import QEvent, QPoint, QRect, QRectF, QSize, Qt, Signal
from PySide6.QtGui import QKeyEvent, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QButtonGroup, QRadioButton, QSizePolicy, QVBoxLayout, QWidget

from trainer.window.controls.own_keys import ENTER, takes
from trainer.window.controls.tips import set_tip
from trainer.window.painting import fonts
from trainer.window.painting.look import Look

__all__ = ["LETTERS", "RadioRow", "Rows"]

LETTERS = "ABCDEFGHIJKLMNOPQRSTUVWXYZ"
_SIZE = 19.0  # of the type [board px]
_DOT, _LETTER, _WORDS, _EDGE = 9.0, 32.0, 58.0, 7.0  # radius; where letter and words begin; above and below


class RadioRow(QRadioButton):
    """One row: a ring, a letter, words that wrap. Enter chooses it; Space stays the clock's."""

    def __init__(self, look: Look, letter: str, words: str, parent: QWidget) -> None:
        super().__init__(words, parent)
        self.look, self.letter = look, letter
        self.setAccessibleName(f"{letter}, {words}")
        self.setObjectName(f"row {letter}")
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setCursor(Qt.CursorShape.PointingHandCursor)
        self.setAttribute(Qt.WidgetAttribute.WA_Hover)
        policy = QSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Minimum)
        policy.setHeightForWidth(True)
        self.setSizePolicy(policy)
        set_tip(self, words)
        self.toggled.connect(self.take_look)  # what is chosen is bold: it may need another line

    def take_look(self) -> None:
        """Take the sizes of the present look."""
        self.updateGeometry()
        self.update()

    def _words(self, width: int) -> QRect:
        scale, pixels = self.look.scale, self.look.pixels(_SIZE)
        left = round(max(_WORDS * scale, 3.2 * pixels))
        metrics = fonts.metrics(pixels, 600 if self.isChecked() else 400)
        room = QRect(left, 0, max(width - left - round(4 * scale), 10), 10_000)
        box = metrics.boundingRect(QRectF(room), self._flags(), self.text())
        return QRect(left, 0, room.width(), round(box.height()))

    @staticmethod
    def _flags() -> int:
        return int(Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignTop) | int(Qt.TextFlag.TextWordWrap)

    def heightForWidth(self, width: int) -> int:
        """Return the height that its words need."""
        edge = max(_EDGE * self.look.scale, 3.0)
        return round(self._words(width).height() + 2 * edge)

    def hasHeightForWidth(self) -> bool:
        """Words wrap."""
        return True

    def sizeHint(self) -> QSize:
        """Return a size with room for two lines."""
        return QSize(100, self.heightForWidth(max(self.width(), 100)))

    def minimumSizeHint(self) -> QSize:
        """Return the least size."""
        return QSize(60, self.heightForWidth(max(self.width(), 100)))

    def hitButton(self, pos: QPoint) -> bool:
        """Take a click anywhere on the row."""
        return self.rect().contains(pos)

    def event(self, event: QEvent) -> bool:
        """Take Enter before any shortcut."""
        return takes(event, ENTER, plain=True) or super().event(event)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() in ENTER and not event.modifiers() & ~Qt.KeyboardModifier.KeypadModifier:
            if not event.isAutoRepeat():
                self.click()
        elif event.key() == Qt.Key.Key_Space:
            event.ignore()
        else:
            super().keyPressEvent(event)

    def keyReleaseEvent(self, event: QKeyEvent) -> None:
        if event.key() == Qt.Key.Key_Space:
            event.ignore()
        else:
            super().keyReleaseEvent(event)

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        inks, scale, pixels = self.look.inks, self.look.scale, self.look.pixels(_SIZE)
        chosen, live = self.isChecked(), self.isEnabled()
        ink = inks.colour("ink" if live or chosen else "ink2")
        edge = round(max(_EDGE * scale, 3.0))
        box = self._words(self.width()).translated(0, edge)
        radius = min(_DOT * scale, 0.62 * pixels)
        middle = edge + fonts.metrics(pixels).height() / 2
        across = radius + 4 * scale
        painter.setPen(QPen(inks.colour("accent" if chosen else "ink"), max(1.5, 2 * scale)))
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.drawEllipse(round(across - radius), round(middle - radius), round(2 * radius), round(2 * radius))
        if chosen:
            painter.setPen(Qt.PenStyle.NoPen)
            painter.setBrush(inks.colour("accent"))
            small = 0.55 * radius
            painter.drawEllipse(round(across - small), round(middle - small), round(2 * small), round(2 * small))
        painter.setPen(ink)
        painter.setFont(fonts.font(pixels, 600))
        left = round(max(_LETTER * scale, 1.8 * pixels))
        painter.drawText(QRect(left, edge, box.left() - left, box.height()), self._flags(), self.letter)
        painter.setFont(fonts.font(pixels, 600 if chosen else 400))
        painter.drawText(box, self._flags(), self.text())
        if self.hasFocus() or (chosen and live):
            painter.setBrush(Qt.BrushStyle.NoBrush)
            painter.setPen(QPen(inks.colour("ink" if self.hasFocus() else "accent"), 2.0 if self.hasFocus() else 1.5))
            painter.drawRect(self.rect().adjusted(1, 1, -2, -2))
        painter.end()


class Rows(QWidget):
    """One choice of several. ``chosen`` is told the id of what was chosen by a hand."""

    chosen = Signal(str)

    def __init__(self, look: Look, name: str, items: Sequence[tuple[str, str]], parent: QWidget) -> None:
        super().__init__(parent)
        self.group = QButtonGroup(self)
        self.rows: dict[str, RadioRow] = {}
        self.column = column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(0)
        for k, (id_, words) in enumerate(items):
            row = RadioRow(look, LETTERS[k % len(LETTERS)], words, self)
            row.clicked.connect(lambda _=False, id_=id_: self.chosen.emit(id_))
            self.rows[id_] = row
            self.group.addButton(row)
            column.addWidget(row)
        self.setAccessibleName(name)

    @property
    def value(self) -> str:
        """The id of what is chosen, "" without."""
        return next((id_ for id_, row in self.rows.items() if row.isChecked()), "")

    def choose(self, id_: str) -> None:
        """Choose one; nothing where there is none of that id."""
        if id_ in self.rows:
            self.rows[id_].setChecked(True)

    def choose_place(self, place: int) -> bool:
        """Choose by hand the row at a place, from 1; return whether there is one."""
        rows = [*self.rows.values()]
        if not 1 <= place <= len(rows) or not rows[place - 1].isEnabled():
            return False
        rows[place - 1].setFocus(Qt.FocusReason.OtherFocusReason)
        rows[place - 1].click()
        return True

    def has_keyboard(self) -> bool:
        """Whether one of its rows has the keyboard."""
        return any(row.hasFocus() for row in self.rows.values())

    def focus(self) -> None:
        """Give the keyboard to what is chosen, else to the first row."""
        row = self.rows.get(self.value) or next(iter(self.rows.values()), None)
        if row is not None:
            row.setFocus(Qt.FocusReason.OtherFocusReason)
