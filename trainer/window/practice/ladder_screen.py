"""The ladder as a screen: rungs at the left, beside them what is due, how the week went, what comes next."""

from __future__ import annotations

import itertools

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QPainter, QPaintEvent, QResizeEvent
from PySide6.QtWidgets import QHBoxLayout, QVBoxLayout, QWidget

from trainer.drawing.shapes import DrawList, Words
from trainer.language import mark, tr
from trainer.practice.ladder import Ladder
from trainer.practice.task import Task
from trainer.window.controls.buttons import WordButton
from trainer.window.controls.labels import Label, take_looks
from trainer.window.painting.canvas import Canvas
from trainer.window.painting.look import Look
from trainer.window.practice.ladder_list import HeadRow, LadderList, item_of
from trainer.window.practice.ladder_side import due_now, side_shapes
from trainer.window.session.screen import Screen

__all__ = ["LadderScreen"]

_EDGE, _SIDE, _GAP = 36.0, 478.0, 28.0  # board px
_TITLE, _TEXT, _SMALL, _BUTTON = 28.0, 20.0, 18.4, 21.0


class SideView(QWidget):
    """What is due, the week, the rest of the hour."""

    def __init__(self, look: Look, parent: QWidget) -> None:
        super().__init__(parent)
        self.look = look
        self.ladder: Ladder | None = None
        self.chosen: Task | None = None
        self.canvas = Canvas(self, look, self._still)
        self.setAccessibleName(tr("What is due, and this week"))

    def show_ladder(self, ladder: Ladder, chosen: Task | None) -> None:
        """Show where a learner stands."""
        self.ladder, self.chosen = ladder, chosen
        self.canvas.forget()
        self.setAccessibleDescription(". ".join(s.text for s in self._still() if isinstance(s, Words)))
        self.update()

    def take_look(self) -> None:
        """Take the present look."""
        self.canvas.forget()
        self.update()

    def _still(self) -> DrawList:
        if self.ladder is None:
            return ()
        scale = self.look.scale
        wide = max(self.width() / scale, 200.0)
        return side_shapes(self.ladder, self.look.system, self.chosen, wide, self.height() / scale, self.look.least)

    def paintEvent(self, event: QPaintEvent) -> None:
        self.canvas.paint()


class LadderScreen(Screen):
    """``started`` is told the id of a rung, ``test_asked`` asks for the test of what is due.

    ``table_asked`` asks for all attempts as a table, ``deleted`` to delete them.
    """

    full = False
    started = Signal(str)
    test_asked = Signal()
    table_asked = Signal()
    deleted = Signal()

    def __init__(self, look: Look, parent: QWidget) -> None:
        super().__init__(parent)
        self.look = look.beside()
        self.ladder: Ladder | None = None
        self.title = Label(self.look, tr("The ladder"), self, size=_TITLE, weight=600, wraps=False)
        self.says = Label(
            self.look, tr("From one function to the whole cycle. Try any rung: the order is only advice."), self,
            size=_TEXT, ink="ink2", wraps=False,
        )  # fmt: skip
        self.seat = Label(self.look, "", self, size=_TEXT, ink="ink2", wraps=False)
        self.list = LadderList(self.look, self)
        self.heads = HeadRow(self.look, self.list, self)
        self.side = SideView(self.look, self)
        self.foot = Label(
            self.look,
            tr("Squares: passed with path and best run, with the target alone, with the gauge alone, with no aid."),
            self, size=_SMALL, ink="ink2",
        )  # fmt: skip
        self.safety = Label(
            self.look, tr("What is passed here says nothing about being fit for a machine."), self, size=_SMALL,
            ink="ink2",
        )  # fmt: skip
        self.told = Label(self.look, "", self, size=_SMALL, weight=600)
        self.told.hide()

        def button(text: str, name: str, tip: str, size: float = _BUTTON, checkable: bool = False) -> WordButton:
            return WordButton(self.look, text, name, tip, self, size=size, checkable=checkable)

        self.go = button(tr("Go on"), mark("Go on"), tr("Go on with the marked rung  (Enter)"), checkable=True)
        self.test = button(tr("Retention test"), mark("Retention test"), tr("Begin the test of what is due"))
        self.board = button(tr("Board"), mark("Back to the board"), tr("Back to the board  (Esc)"))
        self.table = button(
            tr("Table"), mark("All attempts as a table"), tr("Write all attempts into a table (CSV)"), _SMALL
        )
        self.delete = button(
            tr("Delete attempts"), mark("Delete attempts"), tr("Delete all attempts of this seat for good"), _SMALL
        )
        self.sure = button(tr("Delete for good"), mark("Delete for good"), tr("They cannot be got back"), _SMALL)
        self.sure.hide()
        self.keys = Label(self.look, tr("Enter"), self, size=_SMALL, ink="ink2", wraps=False)
        self.escape = Label(self.look, tr("Esc"), self, size=_SMALL, ink="ink2", wraps=False)
        self.go.clicked.connect(self._go)
        self.test.clicked.connect(self.test_asked)
        self.board.clicked.connect(self.left)
        self.table.clicked.connect(self.table_asked)
        self.delete.clicked.connect(self._ask)
        self.sure.clicked.connect(self._delete)
        self.list.entered.connect(self.started)
        self.list.chosen.connect(lambda _: self._choose())
        self._lay_out()
        self.setAccessibleName(tr("Lever practice"))
        self.setAccessibleDescription(
            tr("The arrow keys choose a rung, Enter goes on with it, Esc: back to the board")
        )
        self.setFocusPolicy(Qt.FocusPolicy.ClickFocus)
        self.setFocusProxy(self.list)

    def _lay_out(self) -> None:
        head = self.head = QHBoxLayout()
        head.addWidget(self.title)
        head.addWidget(self.says)
        head.addStretch(1)
        head.addWidget(self.seat)
        left = self.left_half = QVBoxLayout()
        left.addLayout(head)
        left.addWidget(self.heads)
        left.addWidget(self.list, 1)
        left.addWidget(self.told)
        foot = QHBoxLayout()
        words = QVBoxLayout()
        words.addWidget(self.foot)
        words.addWidget(self.safety)
        foot.addLayout(words, 1)
        for button in (self.table, self.delete, self.sure):
            foot.addWidget(button)
        left.addLayout(foot)
        right = self.right_half = QVBoxLayout()
        right.addWidget(self.side, 1)
        right.addWidget(self.test, 0, Qt.AlignmentFlag.AlignLeft)
        buttons = self.buttons = QHBoxLayout()
        buttons.addWidget(self.go)
        buttons.addWidget(self.keys)
        buttons.addStretch(1)
        buttons.addWidget(self.board)
        buttons.addWidget(self.escape)
        right.addLayout(buttons)
        self.halves = QHBoxLayout(self)
        self.halves.addLayout(left, 1)
        self.halves.addLayout(right)
        chain = [self.list, self.go, self.test, self.board, self.table, self.delete, self.sure]
        for one, other in itertools.pairwise(chain):
            QWidget.setTabOrder(one, other)

    # -- what is shown -----------------------------------------------------------------------------------------

    def fill(self, ladder: Ladder, seat: int, chosen: str = "") -> None:
        """Show where a seat stands, the rung to go on with marked."""
        self.ladder = ladder
        now = ladder.go_on()
        rows = ladder.rows()
        key = chosen or (now.id if now is not None else "")
        self.list.fill([item_of(row, ladder, self.look.system) for row in rows], key)
        self.seat.setText(tr("seat {seat}").format(seat=seat))
        self.sure.hide()
        self.delete.setEnabled(bool(ladder.done))
        self.table.setEnabled(bool(ladder.done))
        due = due_now(ladder)
        self.test.setVisible(bool(due))
        self.test.setText(tr("Begin the retention test"))
        self._choose()

    def say(self, words: str) -> None:
        """Say something at the foot, or nothing."""
        self.told.setText(words)
        self.told.setVisible(bool(words))

    @property
    def task(self) -> Task | None:
        """The marked rung."""
        if self.ladder is None:
            return None
        return next((task for task in self.ladder.tasks if task.id == self.list.key), None)

    def _choose(self) -> None:
        if self.ladder is None:
            return
        task = self.task
        may = task is not None and (task.runs or (task.retention and bool(due_now(self.ladder))))
        self.go.setEnabled(may)
        self.go.setChecked(may)
        code = task.code if task is not None else ""
        self.go.setText(tr("Go on with {code}").format(code=code) if may else tr("{code} waits").format(code=code))
        self.go.updateGeometry()
        self.side.show_ladder(self.ladder, task)

    def _go(self) -> None:
        self._choose()
        self.started.emit(self.list.key)

    def _ask(self) -> None:
        self.sure.setVisible(self.sure.isHidden())

    def _delete(self) -> None:
        self.sure.hide()
        self.deleted.emit()

    # -- how it looks ------------------------------------------------------------------------------------------

    def take_look(self) -> None:
        """Take the look of the window, at the scale of this size."""
        scale = self.look.scale = min(self.width() / 1920.0, self.height() / 1080.0)
        edge = round(_EDGE * scale)
        self.halves.setContentsMargins(edge, round(30 * scale), edge, round(22 * scale))
        self.halves.setSpacing(round(2 * _GAP * scale))
        for layout, gap in ((self.left_half, 6), (self.right_half, 12), (self.head, 22), (self.buttons, 4)):
            layout.setSpacing(round(gap * scale))
        self.side.setFixedWidth(round(_SIDE * scale))
        take_looks(self)
        self.halves.activate()
        self.list.lay_out()
        self.update()

    def resizeEvent(self, event: QResizeEvent) -> None:
        self.take_look()

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        inks = self.look.inks
        painter.fillRect(event.rect(), inks.colour("paper"))
        x = self.side.x() - round(_GAP * self.look.scale)
        painter.fillRect(x, round(24 * self.look.scale), 2, self.height(), inks.colour("hairline"))
        painter.end()
