"""Things that are put in order: in rows of the pane, and on the drawing where their places have numbers."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import Qt
from PySide6.QtGui import QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QWidget

from trainer.drawing.picking import Pick
from trainer.drawing.scene_state import Place, StepShown
from trainer.language import tr
from trainer.lessons.lesson import Order
from trainer.lessons.posing import Posed
from trainer.window.board.drawing_view import DrawingView
from trainer.window.controls.own_keys import PressButton
from trainer.window.lesson.forms import TEXT, State
from trainer.window.lesson.on_drawing import OWNER, OnDrawing
from trainer.window.painting import fonts
from trainer.window.painting.look import Look

__all__ = ["OrderForm", "OrderRow"]


class OrderRow(PressButton):
    """A thing with the number that it was given, or an empty ring."""

    def __init__(self, look: Look, words: str, parent: QWidget) -> None:
        super().__init__(parent)
        self.look, self.number = look, 0
        self.setText(words)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setCursor(Qt.CursorShape.PointingHandCursor)
        self.setObjectName(f"order {words}")
        self.show_number(0)

    def take_look(self) -> None:
        """Take the sizes of the present look."""
        metrics = fonts.metrics(self.look.pixels(TEXT), 600)
        self.setMinimumHeight(round(1.75 * metrics.height()))
        self.update()

    def show_number(self, number: int) -> None:
        """Show which it is, 0 for none yet."""
        self.number = number
        told = tr("number {number}").format(number=number) if number else tr("not chosen yet")
        self.setAccessibleName(f"{self.text()}, {told}")
        self.take_look()

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        inks, pixels = self.look.inks, self.look.pixels(TEXT)
        radius = round(0.8 * pixels)
        middle, left = self.height() // 2, 4
        painter.setPen(QPen(inks.colour("ink"), 1.5))
        painter.setBrush(inks.brush("ink") if self.number else Qt.BrushStyle.NoBrush)
        painter.drawEllipse(left, middle - radius, 2 * radius, 2 * radius)
        painter.setFont(fonts.font(pixels, 600))
        if self.number:
            painter.setPen(inks.colour("paper"))
            box = self.rect()
            box.setRect(left, middle - radius, 2 * radius, 2 * radius)
            painter.drawText(box, Qt.AlignmentFlag.AlignCenter, str(self.number))
        painter.setPen(inks.colour("ink"))
        painter.setFont(fonts.font(pixels, 600 if self.number else 400))
        room = self.rect().adjusted(left + 2 * radius + 8, 0, -4, 0)
        flags = Qt.AlignmentFlag.AlignVCenter | Qt.AlignmentFlag.AlignLeft
        painter.drawText(room, int(flags) | int(Qt.TextFlag.TextWordWrap), self.text())
        if self.hasFocus():
            painter.setBrush(Qt.BrushStyle.NoBrush)
            painter.setPen(QPen(inks.colour("ink"), 2.0))
            painter.drawRect(self.rect().adjusted(1, 1, -2, -2))
        painter.end()


class OrderForm(OnDrawing):
    """Things to be put in order: each click or digit gives the next number; a second one takes it back.

    What stands at a place of its own on the drawing is clicked there as well, and has its number on a disc.
    """

    def __init__(self, look: Look, posed: Posed, drawing: DrawingView, parent: QWidget) -> None:
        super().__init__(look, posed, drawing, parent)
        question = posed.exercise.question
        assert isinstance(question, Order)
        self.order: list[str] = []
        self.rows: dict[str, OrderRow] = {}
        self.at: dict[Place, str] = {place: name for name, places in posed.item_places().items() for place in places}
        self.told.hide()
        for name in posed.answers:
            row = OrderRow(look, posed.text(question.items[name].words, look.system), self)
            row.clicked.connect(lambda _=False, name=name: self.take(name))
            self.rows[name] = row
            self.column.addWidget(row)

    def places(self) -> Sequence[Place]:
        """Return where its things stand, from left to right."""
        return self.in_sight({place for place in self.at if place[0] == "part"} or {*self.at})

    def begin(self) -> None:
        """Ask on the drawing, too, where things have places there."""
        if self.at:
            super().begin()
            self.told.setText(tr("Here or on the drawing: click one after the other."))
            self.told.show()

    def _asked(self, thing: Pick) -> None:
        name = self.at.get(thing.place)
        if name is None:
            self.said.emit(tr("That is none of them. Click one of those that are named here."))
        else:
            self.take(name)

    def take(self, name: str) -> None:
        """Give one the next number, or take its number back."""
        if name in self.order:
            self.order.remove(name)
        else:
            self.order.append(name)
        self._show()
        self.changed.emit()

    def _show(self) -> None:
        for name, row in self.rows.items():
            row.show_number(self.order.index(name) + 1 if name in self.order else 0)
        discs = {name: place for place, name in reversed(self.at.items())}
        numbered = [(k, discs[name]) for k, name in enumerate(self.order, 1) if name in discs]
        self.drawing.light([place for _, place in numbered], OWNER)
        self.drawing.number(StepShown(k, place) for k, place in numbered)

    def answer(self) -> Sequence[str]:
        """Return the things in their order."""
        return tuple(self.order)

    @property
    def state(self) -> list[str | list[str]]:
        """The order so far."""
        return [*self.order]

    def restore(self, state: State) -> None:
        """Order as it was."""
        self.order = [name for name in state if isinstance(name, str) and name in self.rows]
        self._show()

    def focus(self) -> None:
        """Give the keyboard to the first thing."""
        next(iter(self.rows.values())).setFocus(Qt.FocusReason.OtherFocusReason)

    def digit(self, number: int) -> bool:
        """Give the thing at a place of the list the next number."""
        names = [*self.rows]
        if 1 <= number <= len(names):
            self.take(names[number - 1])
            return True
        return False
