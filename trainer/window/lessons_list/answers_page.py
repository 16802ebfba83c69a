"""The answers so far: a plain table to read, to write down as a file, and to delete."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from PySide6.QtCore import QAbstractTableModel, QModelIndex, QObject, QPersistentModelIndex, Qt, Signal
from PySide6.QtWidgets import QAbstractItemView, QFrame, QHBoxLayout, QHeaderView, QTableView, QWidget

from trainer.language import mark, tr, trn
from trainer.lessons.answers import Column
from trainer.window.controls.buttons import WordButton
from trainer.window.controls.labels import Label
from trainer.window.controls.plain_page import PlainPage
from trainer.window.controls.qt_look import bar_style, coloured
from trainer.window.controls.tips import plain
from trainer.window.painting import fonts
from trainer.window.painting.look import Look

__all__ = ["AnswersPage"]

Index = QModelIndex | QPersistentModelIndex
_SIZE = 18.0


class AnswerTable(QAbstractTableModel):
    """The rows of the table."""

    def __init__(self, parent: QObject) -> None:
        super().__init__(parent)
        self.columns: list[Column] = []
        self.rows: list[Mapping[str, str]] = []

    def fill(self, columns: Sequence[Column], rows: Sequence[Mapping[str, str]]) -> None:
        """Take other rows."""
        self.beginResetModel()
        self.columns, self.rows = [column for column in columns if column.shown], [*rows]
        self.endResetModel()

    def rowCount(self, parent: Index = QModelIndex()) -> int:  # noqa: B008 - Qt's own way to say "the root"
        return 0 if parent.isValid() else len(self.rows)

    def columnCount(self, parent: Index = QModelIndex()) -> int:  # noqa: B008 - Qt's own way to say "the root"
        return 0 if parent.isValid() else len(self.columns)

    def data(self, index: Index, role: int = Qt.ItemDataRole.DisplayRole) -> Any:
        """Return a cell's text, also as its tip: a long one is cut off."""
        text = self.rows[index.row()][self.columns[index.column()].id] if index.isValid() else ""
        if role == Qt.ItemDataRole.ToolTipRole:
            return plain(text)
        return text if role in (Qt.ItemDataRole.DisplayRole, Qt.ItemDataRole.AccessibleTextRole) else None

    def headerData(self, section: int, orientation: Qt.Orientation, role: int = Qt.ItemDataRole.DisplayRole) -> Any:
        """Return the title of a column, the number of a row."""
        if role != Qt.ItemDataRole.DisplayRole:
            return None
        return self.columns[section].title if orientation is Qt.Orientation.Horizontal else section + 1


class AnswersPage(PlainPage):
    """``export_asked`` asks for a file, ``print_asked`` for one for paper.

    ``deleted`` tells that all that is shown is to go, after it was asked.
    """

    export_asked = Signal()
    print_asked = Signal()
    deleted = Signal()

    def __init__(self, look: Look, parent: QWidget) -> None:
        super().__init__(look, tr("Answers so far"), tr("Esc: back to the lessons"), parent)
        self.model = AnswerTable(self)
        self.table = QTableView(self)
        self.table.setModel(self.model)
        self.table.setFrameShape(QFrame.Shape.NoFrame)
        self.table.setShowGrid(False)
        self.table.setWordWrap(False)
        self.table.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.table.setTabKeyNavigation(False)
        self.table.setSelectionBehavior(QAbstractItemView.SelectionBehavior.SelectRows)
        self.table.setEditTriggers(QAbstractItemView.EditTrigger.NoEditTriggers)
        self.table.verticalHeader().hide()
        self.table.horizontalHeader().setStretchLastSection(True)
        self.table.horizontalHeader().setDefaultAlignment(Qt.AlignmentFlag.AlignLeft)
        self.table.setAccessibleName(tr("Answers so far"))
        self.table.setObjectName("answers")
        self.none = Label(look, tr("There are none yet."), self, size=20.0)
        self.export = WordButton(
            look, tr("Export …"), mark("Export"), tr("Write all of it as a table (CSV), units in its head"), self,
            size=20.0,
        )  # fmt: skip
        self.print = WordButton(
            look, tr("Print …"), mark("Print"), tr("Write this table as PDF, for paper"), self, size=20.0
        )
        self.delete = WordButton(
            look, tr("Delete …"), mark("Delete"), tr("Take these answers off this machine"), self, size=20.0
        )
        self.place = Label(look, "", self, size=_SIZE, ink="ink2")
        self.question = Label(look, "", self, size=20.0, weight=600)
        self.sure = WordButton(
            look, tr("Delete them"), mark("Delete them"), tr("Delete them for good"), self, size=20.0
        )
        self.not_sure = WordButton(
            look, tr("Keep them"), mark("Keep them"), tr("Leave everything as it is"), self, size=20.0
        )
        self.export.clicked.connect(self.export_asked)
        self.print.clicked.connect(self.print_asked)
        self.delete.clicked.connect(self._ask)
        self.sure.clicked.connect(self._delete)
        self.not_sure.clicked.connect(self._keep)
        foot = QHBoxLayout()
        for widget in (self.export, self.print, self.delete, self.question, self.sure, self.not_sure):
            foot.addWidget(widget)
        foot.addStretch(1)
        self.body.addWidget(self.none)
        self.body.addWidget(self.table, 1)
        self.body.addLayout(foot)
        self.body.addWidget(self.place)
        self.setFocusProxy(self.table)
        self._seat = 0
        self._show_question(False)

    def sheet(self) -> tuple[list[str], list[list[str]]]:
        """Return what stands on paper: the heads, and the rows."""
        columns, rows = self.model.columns, self.model.rows
        return [column.title for column in columns], [[row[column.id] for column in columns] for row in rows]

    def fill(self, columns: Sequence[Column], rows: Sequence[Mapping[str, str]], seat: int, place: str) -> None:
        """Show the rows of one seat, and where they are kept."""
        self._seat = seat
        self.model.fill(columns, rows)
        self.none.setVisible(not rows)
        self.table.setVisible(bool(rows))
        count = len(rows)
        self.beside.setText(
            trn("seat {seat}, {count} answer", "seat {seat}, {count} answers", count).format(seat=seat, count=count)
        )
        self.place.setText(tr("Kept in {place}").format(place=place))
        self._show_question(False)
        self._widths()

    def _show_question(self, asked: bool) -> None:
        for widget in (self.question, self.sure, self.not_sure):
            widget.setVisible(asked)
        some = bool(self.model.rows)
        for button in (self.export, self.print, self.delete):
            button.setVisible(not asked)
            button.setEnabled(some)

    def _ask(self) -> None:
        count = len(self.model.rows)
        self.question.setText(
            trn(
                "Delete the answer of seat {seat}? It cannot be brought back.",
                "Delete all {count} answers of seat {seat}? They cannot be brought back.",
                count,
            ).format(count=count, seat=self._seat)
        )
        self._show_question(True)
        self.not_sure.setFocus(Qt.FocusReason.TabFocusReason)

    def _keep(self) -> None:
        self._show_question(False)
        self.table.setFocus(Qt.FocusReason.TabFocusReason)

    def _delete(self) -> None:
        self._show_question(False)
        self.deleted.emit()

    def _widths(self) -> None:
        """Give the columns shares of the room, more to those with sentences."""
        shares = {"when": 3.0, "lesson": 5.0, "task": 4.0, "answer": 3.0, "read": 3.0, "idea": 5.0}
        columns = self.model.columns
        total = sum(shares.get(column.id, 2.0) for column in columns) or 1.0
        room = max(self.width() - 2 * self.column.contentsMargins().left() - 20, 100)
        for k, column in enumerate(columns[:-1]):
            self.table.setColumnWidth(k, int(room * shares.get(column.id, 2.0) / total))

    def lay_out(self) -> None:
        """Colour and size the table."""
        pixels = self.look.pixels(_SIZE)
        coloured(self.table, self.look)
        self.table.verticalScrollBar().setStyleSheet(bar_style(self.look))
        self.table.setFont(fonts.font(pixels))
        head = self.table.horizontalHeader()
        head.setFont(fonts.font(pixels, 600))
        paper, ink = (self.look.inks.colour(name).name() for name in ("paper", "ink"))
        head.setStyleSheet(
            f"QHeaderView::section {{ background: {paper}; color: {ink}; border: none; padding: 4px; }}"
        )
        head.setSectionResizeMode(QHeaderView.ResizeMode.Interactive)
        self.table.verticalHeader().setDefaultSectionSize(round(1.7 * pixels))
        self._widths()
        self.fit_head()
