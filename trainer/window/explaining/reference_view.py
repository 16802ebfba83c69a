"""What a part's declarations say, below what is told of it: its efficiencies, and its keys when asked for."""

from __future__ import annotations

from collections.abc import Iterator

from PySide6.QtCore import Qt
from PySide6.QtGui import QPainter, QPaintEvent
from PySide6.QtWidgets import QGridLayout, QSizePolicy, QVBoxLayout, QWidget

from trainer.drawing.efficiency_view import efficiency_shapes
from trainer.language import mark, tr
from trainer.parts.efficiency import Curve
from trainer.parts.part import Part
from trainer.rig.reference import Reference, Table
from trainer.window.controls.buttons import WordButton
from trainer.window.controls.labels import Label
from trainer.window.painting.look import Look
from trainer.window.painting.painter import paint

__all__ = ["EfficiencyView", "ReferenceTables"]

_HEAD, _TEXT, _SMALL = 20.0, 20.0, 17.0  # types [board px]
_HIGH = 13.0  # of the curves, in heights of their type


class EfficiencyView(QWidget):
    """A part's efficiencies over pressure: with the oil that its numbers are for, and with hot oil."""

    def __init__(self, look: Look, curves: tuple[Curve, Curve], parent: QWidget) -> None:
        super().__init__(parent)
        self.look, self.curves = look, curves
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self.setAttribute(Qt.WidgetAttribute.WA_TransparentForMouseEvents)
        self.setAccessibleName(tr("Efficiencies over pressure"))
        self.take_look()

    def take_look(self) -> None:
        """Take the height of the present look."""
        self.setFixedHeight(round(_HIGH * self.look.pixels(_SMALL)))
        self.update()

    def paintEvent(self, _: QPaintEvent) -> None:
        scale = self.look.scale
        room = self.width() / scale, self.height() / scale
        shapes = efficiency_shapes(*self.curves, self.look.system, *room, self.look.pixels(_SMALL) / scale)
        painter = QPainter(self)
        painter.fillRect(self.rect(), self.look.inks.colour("paper"))
        paint(painter, shapes, self.look.inks, scale, (0.0, 0.0))
        painter.end()


class ReferenceTables(QWidget):
    """The tables of a part's reference page; made when its ``button`` is pressed first."""

    def __init__(self, look: Look, part: type[Part], parent: QWidget) -> None:
        super().__init__(parent)
        self.look, self.part = look, part
        self.texts: list[str] = []
        self.button = WordButton(
            look, tr("Keys, ranges, wear, readings"), mark("Keys, ranges, wear, readings"),
            tr("What can be written of it in a rig file"), self, checkable=True, size=_TEXT,
        )  # fmt: skip
        self.column = QVBoxLayout(self)
        self.column.setContentsMargins(0, 0, 0, 0)
        self.column.addWidget(self.button)
        self.room: QWidget | None = None
        self.button.toggled.connect(self._show)

    def _show(self, shown: bool) -> None:
        if self.room is None and shown:
            self.room = QWidget(self)
            self._fill(self.room)
            self.column.addWidget(self.room)
        if self.room is not None:
            self.room.setVisible(shown)

    def _fill(self, room: QWidget) -> None:
        reference = Reference(self.part, self.look.system)
        column = QVBoxLayout(room)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(round(8 * self.look.scale))
        self._add(column, reference.group, _SMALL, "ink2")
        self._add(column, reference.example, _SMALL)
        shares = reference.efficiency
        for table in (*reference.tables, *([shares] if shares is not None else [])):
            column.addSpacing(round(6 * self.look.scale))
            self._add(column, table.title, _HEAD, weight=600)
            column.addLayout(self._table(room, table))

    def _add(self, column: QVBoxLayout, text: str, size: float, ink: str = "ink", weight: int = 400) -> None:
        column.addWidget(Label(self.look, text, self, size=size, ink=ink, weight=weight))
        self.texts.append(text)

    def _table(self, room: QWidget, table: Table) -> QGridLayout:
        """Return a table in two columns: what a row is, with its name, and its values, a line for each."""
        grid = QGridLayout()
        grid.setHorizontalSpacing(round(16 * self.look.scale))
        grid.setVerticalSpacing(round(5 * self.look.scale))
        grid.setColumnStretch(0, 1)
        for row, cells in enumerate(table.rows):
            told, values = _in_two(table, cells)
            self.texts += (*told, *values)
            name = Label(self.look, "\n".join(told), room, size=_SMALL, ink="ink2")
            value = Label(
                self.look, "\n".join(values), room, size=_SMALL, wraps=max(map(len, values), default=0) > 28
            )
            value.setAlignment(Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignTop)
            name.setAlignment(Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignTop)
            grid.addWidget(name, row, 0)
            grid.addWidget(value, row, 1)
        return grid

    def take_look(self) -> None:
        """Take the distances of the present look."""
        self.column.setSpacing(round(8 * self.look.scale))


def _in_two(table: Table, cells: tuple[str, ...]) -> tuple[list[str], list[str]]:
    """Return what a row is, and its values with what they are where there are more than two."""
    if len(cells) < 3:
        return [cells[0]], [*cells[1:]]
    if 0 not in table.names:  # of efficiencies all cells are values
        return [cells[0]], [*_with_heads(table.heads[1:], cells[1:])]
    middle = [*zip(table.heads[1:-1], cells[1:-1], strict=True)]
    values = [cell for _, cell in middle] if len(middle) < 3 else [*_with_heads(*zip(*middle, strict=True))]
    return [one for one in (cells[0], cells[-1]) if one], values


def _with_heads(heads: tuple[str, ...], cells: tuple[str, ...]) -> Iterator[str]:
    return (f"{head}: {cell}" for head, cell in zip(heads, cells, strict=True))
