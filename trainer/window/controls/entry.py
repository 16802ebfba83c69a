"""Writing an exact number: a small entry over a lever or a scale, with its unit; a bad one is told and stays open."""

from __future__ import annotations

import re
from collections.abc import Callable

from PySide6.QtCore import QRect, Qt, Signal
from PySide6.QtGui import QFocusEvent, QKeyEvent, QPainter, QPaintEvent
from PySide6.QtWidgets import QWidget

from trainer import units
from trainer.language import tr
from trainer.units import System
from trainer.window.controls.own_keys import Line
from trainer.window.controls.qt_look import written_in
from trainer.window.controls.tips import set_tip
from trainer.window.painting import fonts
from trainer.window.painting.look import Look

__all__ = ["NumberEntry", "read_number"]

_NUMBER = re.compile(r"\s*([+\-−]?\d{0,7}(?:[.,]\d{0,6})?)\s*(\S.*)?")


def read_number(written: str, quantity: str, system: System, low: float, high: float) -> float:
    """Return what was written [SI]. Raises ValueError with a sentence that says what to write."""
    unit = units.shown_unit(quantity, system)
    symbol = units.shown_unit(quantity, system).pretty
    ends = [units.text(value, quantity, system, 0)[0] for value in (low, high)]
    span = tr("{low} to {high}").format(low=ends[0], high=f"{ends[1]} {symbol}".rstrip())
    match = _NUMBER.fullmatch(written.strip())
    if match is None or not any(c.isdigit() for c in match[1]):
        raise ValueError(tr("That is not a number. Write one from {span}.").format(span=span))
    if match[2] and match[2].strip().lower() not in (unit.symbol.lower(), symbol.lower()):
        raise ValueError(tr("Write the number in {symbol}, from {span}.").format(symbol=symbol, span=span))
    value = float(match[1].replace(",", ".").replace("−", "-")) * unit.factor + unit.offset
    slack = 1e-9 * max(abs(low), abs(high))
    if not low - slack <= value <= high + slack:
        raise ValueError(
            tr("{match} {symbol} is out of reach. Write a number from {span}.").format(
                match=match[1], symbol=symbol, span=span
            )
        )
    return min(max(value, low), high)


class NumberEntry(Line):
    """One line with a unit at its right. Enter takes the number, Esc and a click elsewhere give it up.

    ``said`` is told why a number is not taken. ``read`` makes a number [SI] of what is written, raising ValueError
    with a sentence, where the quantity's usual unit does not suit; ``symbol`` is the unit shown then.
    """

    said = Signal(str)
    closed = Signal()

    def __init__(
        self,
        look: Look,
        quantity: str,
        ends: tuple[float, float],
        take: Callable[[float], None],
        parent: QWidget,
        *,
        read: Callable[[str], float] | None = None,
        symbol: str | None = None,
        size: float = 19.8,
    ) -> None:
        super().__init__(parent)
        self.look = look
        self.quantity = quantity
        self.ends = ends
        self.take = take
        self.read = read or self._read
        self.pixels = look.pixels(size)
        self.symbol = units.shown_unit(quantity, look.system).pretty if symbol is None else symbol
        self.setMaxLength(24)
        self.setFrame(False)
        self.setFont(fonts.font(self.pixels, 600))
        self.setObjectName("number")
        self.setAccessibleName(
            tr("Exact value in {symbol}").format(symbol=self.symbol) if self.symbol else tr("Exact value")
        )
        self._unit_room = round(fonts.metrics(self.pixels).horizontalAdvance(self.symbol) + 0.5 * self.pixels)
        self.setTextMargins(3, 0, self._unit_room, 0)
        written_in(self, look)
        self.returnPressed.connect(self._taken)

    def open_over(self, area: QRect, first: str) -> None:
        """Show the entry in an area of the parent, with a first letter that was typed."""
        self.setGeometry(area)
        self.setText(first)
        self.show()
        self.raise_()
        self.setFocus(Qt.FocusReason.PopupFocusReason)
        if first:
            self.end(False)

    def _read(self, written: str) -> float:
        return read_number(written, self.quantity, self.look.system, *self.ends)

    def _taken(self) -> None:
        try:
            value = self.read(self.text())
        except ValueError as error:
            self.said.emit(str(error))
            set_tip(self, str(error))
            self.selectAll()
            return
        self.take(value)
        self.give_up()

    def give_up(self) -> None:
        """Close it; what is written and not taken is lost."""
        if self.isVisible():
            parent = self.parentWidget()
            if parent is not None and self.hasFocus():  # before it hides, else the next widget gets the keyboard
                parent.setFocus(Qt.FocusReason.PopupFocusReason)
            self.hide()
            self.closed.emit()
            self.deleteLater()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() == Qt.Key.Key_Escape:
            self.give_up()
        else:
            super().keyPressEvent(event)
            event.accept()  # no letter of an entry moves a lever

    def focusOutEvent(self, event: QFocusEvent) -> None:
        super().focusOutEvent(event)
        if event.reason() not in (Qt.FocusReason.PopupFocusReason, Qt.FocusReason.ActiveWindowFocusReason):
            self.give_up()

    def paintEvent(self, event: QPaintEvent) -> None:
        """Paint the unit beside the number, and the frame."""
        super().paintEvent(event)
        painter = QPainter(self)
        painter.setPen(self.look.inks.colour("ink2"))
        painter.setFont(fonts.font(self.pixels))
        painter.drawText(
            self.rect().adjusted(0, 0, -round(0.25 * self.pixels), 0),
            Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter,
            self.symbol,
        )
        painter.setPen(self.look.inks.colour("accent"))
        painter.drawRect(self.rect().adjusted(0, 0, -1, -1))
        painter.end()
