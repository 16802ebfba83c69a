"""The pane of a lesson: its title and tasks, the five steps of a task, the page of a step, and what can be done."""

from __future__ import annotations

import itertools
from collections.abc import Collection, Sequence

from PySide6.QtCore import QRect, Qt, Signal
from PySide6.QtGui import QKeyEvent, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QGridLayout, QHBoxLayout, QScrollArea, QSizePolicy, QVBoxLayout, QWidget

from trainer.drawing.shapes import DrawList, Path
from trainer.language import mark, tr
from trainer.lessons.flow import STEPS, Step
from trainer.window.controls.actions import Actions
from trainer.window.controls.buttons import WordButton
from trainer.window.controls.flow_layout import FlowLayout
from trainer.window.controls.labels import Label
from trainer.window.controls.own_keys import PressButton
from trainer.window.controls.pane import Pane
from trainer.window.controls.qt_look import bar_style, coloured
from trainer.window.controls.tips import set_tip
from trainer.window.lesson.exam import ExamLine
from trainer.window.painting import fonts
from trainer.window.painting.look import Look

__all__ = ["LessonPane", "TaskSquare"]

_EDGE, _TOP = 24.0, 10.0  # board px
_HEAD, _SMALL = 21.0, 16.5
_SQUARE = (18.0, 15.0)


class TaskSquare(PressButton):
    """A task of the lesson: done, answered but not right, the present one, or one to come. A click goes there."""

    def __init__(self, look: Look, parent: QWidget) -> None:
        super().__init__(parent)
        self.look = look
        self.state = "to come"
        self.most = 1000  # px that it may be wide
        self.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        self.setCursor(Qt.CursorShape.PointingHandCursor)
        self.take_look()

    def take_look(self) -> None:
        """Take the size of the present look."""
        wide, high = (round(side * self.look.scale) for side in _SQUARE)
        self.setFixedSize(min(max(wide, 11) + 6, self.most), max(high, 10) + 8)

    def show_task(self, number: int, count: int, state: str) -> None:
        """Show which task it is, and how it stands: "done", "answered", "now" or "to come"."""
        self.state = state
        told = {"done": tr("done"), "answered": tr("answered"), "now": tr("now"), "to come": tr("to come")}[state]
        words = tr("Task {number} of {count}, {state}").format(number=number, count=count, state=told)
        self.setAccessibleName(words)
        self.setObjectName(f"task {number}")
        set_tip(self, words)
        self.update()

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        inks = self.look.inks
        box = self.rect().adjusted(3, 4, -4, -5)
        painter.setPen(QPen(inks.colour("ink" if self.state != "now" else "accent"), 1.5))
        fill = {"done": "ink", "now": "accent"}.get(self.state)
        painter.setBrush(inks.brush(fill) if fill else Qt.BrushStyle.NoBrush)
        painter.drawRect(box)
        if self.state == "answered":
            painter.fillRect(box.adjusted(0, box.height() // 2, 0, 0), inks.colour("ink"))
        if self.hasFocus():
            painter.setBrush(Qt.BrushStyle.NoBrush)
            painter.setPen(QPen(inks.colour("ink"), 2.0))
            painter.drawRect(self.rect().adjusted(1, 1, -2, -2))
        painter.end()


class _Body(QScrollArea):
    """The page of a step; what has the keyboard is brought into sight."""

    def __init__(self, look: Look, parent: QWidget) -> None:
        super().__init__(parent)
        self.look = look
        self.setFrameShape(QScrollArea.Shape.NoFrame)
        self.setWidgetResizable(True)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self._sought: QWidget | None = None
        self.verticalScrollBar().rangeChanged.connect(self._bring)
        self.take_look()

    def keep_in_sight(self, widget: QWidget) -> None:
        """Bring something of the page into sight, and again when the page has become longer or shorter."""
        self._sought = widget
        self._bring()

    def _bring(self) -> None:
        if self._sought is not None:
            self.ensureWidgetVisible(self._sought, 0, 12)  # of a line Qt minds the cursor alone: its frame is around

    def take_look(self) -> None:
        """Take colours of the present look."""
        coloured(self, self.look)
        style = bar_style(self.look)
        if self.verticalScrollBar().styleSheet() != style:
            self.verticalScrollBar().setStyleSheet(style)

    def show_page(self, page: QWidget) -> None:
        """Show a page instead of the one that was there, which may be the one that has asked for it."""
        self._sought = None
        old = self.takeWidget()
        self.setWidget(page)
        if old is not None:
            old.hide()
            old.deleteLater()
        coloured(page, self.look)
        page.setAutoFillBackground(True)


class LessonPane(Pane):
    """What is shown of a lesson. It tells what is asked for; its presenter does it.

    ``step_asked`` is told a step to be looked at, ``task_asked`` the place of a task from 0, ``next_asked`` that what
    stands in the filled button is to be done, ``escaped`` of Esc, ``digit`` of a figure.
    """

    place = "lesson"
    title = mark("Lesson")
    step_asked = Signal(int)
    task_asked = Signal(int)
    next_asked = Signal()
    escaped = Signal()
    digit = Signal(int)

    def __init__(self, look: Look, parent: QWidget, actions: Actions) -> None:
        super().__init__(look, parent)
        self.setObjectName("lesson")
        self.close_button.hide()
        self.called = Label(look, "", self, size=_HEAD, weight=600)
        self.count = Label(look, "", self, size=_SMALL, ink="ink2", wraps=False)
        self.squares: list[TaskSquare] = []
        self.steps: dict[Step, WordButton] = {}
        for step, words in STEPS.items():
            button = WordButton(look, tr(words), words, tr(words), self, checkable=True, size=19.0)
            button.setObjectName(f"step {words}")
            button.clicked.connect(lambda _=False, step=step: self._step(step))
            self.steps[step] = button
        self.body = _Body(look, self)
        self.go = WordButton(look, "", "", "", self, size=22.0, filled=True)
        self.go.setObjectName("go")
        self.go.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self.go.clicked.connect(self.next_asked)
        self.hint = WordButton(look, "", mark("Hint"), "", self, size=_SMALL)
        self.hint.follow(actions["hint"])
        self.example = WordButton(
            look, "", mark("Worked example"), tr("The same task with other numbers, worked out"), self, size=_SMALL
        )
        self.others = WordButton(
            look,
            tr("Other numbers"),
            mark("Other numbers"),
            tr("The same task with other numbers"),
            self,
            size=_SMALL,
        )
        self.working = WordButton(
            look, tr("The working"), mark("The working"), tr("All numbers of the run, opened into formulas"), self,
            size=_SMALL,
        )  # fmt: skip
        self.again = WordButton(
            look, tr("See it again"), mark("See it again"), tr("Back to before the run, and run again"), self,
            size=_SMALL,
        )  # fmt: skip
        self.ledgers = WordButton(
            look, tr("Ledgers"), mark("Ledgers instead"), tr("Ledgers and strip in its place; the answer stays"),
            self, size=_SMALL,
        )  # fmt: skip
        self.lessons = WordButton(look, tr("Lessons"), mark("All lessons"), tr("All lessons"), self, size=_SMALL)
        self.exam = ExamLine(look, self)
        self.seat = Label(look, "", self, size=_SMALL, ink="ink2", wraps=False)
        self._at = Step.READ
        self._lay_out()

    def _lay_out(self) -> None:
        column = QVBoxLayout(self)
        column.setSpacing(2)
        self.head = head = QGridLayout()
        head.setSpacing(0)
        head.setColumnStretch(0, 1)
        self.tasks = QHBoxLayout()
        self.tasks.setSpacing(0)
        self.tasks.addWidget(self.count)
        head.addWidget(self.called, 0, 0)
        head.addLayout(self.tasks, 0, 1)
        column.addLayout(head)
        column.addWidget(self.exam)
        steps = QHBoxLayout()
        steps.setSpacing(0)
        for k, button in enumerate(self.steps.values()):
            if k:
                steps.addStretch(1)
            steps.addWidget(button)
        column.addLayout(steps)
        column.addWidget(self.body, 1)
        column.addWidget(self.go)
        self.foot = FlowLayout()
        for button in (self.hint, self.example, self.others, self.again, self.working, self.ledgers, self.lessons):
            self.foot.addWidget(button)
        column.addLayout(self.foot)
        column.addWidget(self.seat)

    def _step(self, step: Step) -> None:
        self._mark()
        self.step_asked.emit(int(step))

    # -- what it shows -------------------------------------------------------------------------------------------

    def inner(self) -> QRect:
        """Return the room inside its edges [px]."""
        edge, top = round(_EDGE * self.look.scale), round(_TOP * self.look.scale)
        return QRect(edge, top, max(self.width() - 2 * edge, 1), max(self.height() - top - edge // 3, 1))

    def lay_out(self) -> None:
        """Let the words of its buttons stand in line with its words, the tasks below a title that needs the room."""
        left = self.inner().width() - self.count.sizeHint().width() - 4
        for square in self.squares:  # of many tasks each is narrower
            square.most = max(left // len(self.squares), 8)
            square.take_look()
        room = self.inner().width() - self.tasks.sizeHint().width()
        below = fonts.metrics(self.look.pixels(_HEAD), 600).horizontalAdvance(self.called.text()) + 6 > room
        if below != (self.head.itemAtPosition(1, 0) is not None):
            self.head.removeItem(self.tasks)
            self.head.addLayout(self.tasks, *((1, 0, Qt.AlignmentFlag.AlignLeft) if below else (0, 1)))
        self.foot.outdent = round(8 * self.look.scale)
        self.close_button.hide()

    def _still(self) -> DrawList:
        width, height = self.width() / self.look.scale, self.height() / self.look.scale
        return [
            Path(((_EDGE, 1.0), (width - _EDGE, 1.0)), "ink", 1.5),
            Path(((0.5, 0.0), (0.5, height)), "hairline", 1.0),
        ]

    def show_lesson(self, title: str, states: Sequence[str], at: int) -> None:
        """Show title and tasks: how each stands, and which is the present one."""
        self.name(tr("Lesson: {title}").format(title=title))
        self.called.setText(title)
        while len(self.squares) < len(states):
            square = TaskSquare(self.look, self)
            place = len(self.squares)
            square.clicked.connect(lambda _=False, place=place: self.task_asked.emit(place))
            self.squares.append(square)
            self.tasks.insertWidget(place, square)
            square.show()
        while len(self.squares) > len(states):
            square = self.squares.pop()
            square.hide()
            square.deleteLater()
        for k, (square, state) in enumerate(zip(self.squares, states, strict=True)):
            square.show_task(k + 1, len(states), "now" if k == at else state)
        self.count.setText(tr("{number} of {count}").format(number=at + 1, count=len(states)))
        self._order()

    def _order(self) -> None:
        """Let Tab go down the pane: the tasks, the steps, what stands on the page, the filled button, the foot."""
        foot = (self.hint, self.example, self.others, self.again, self.working, self.ledgers, self.lessons)
        chain = (*self.squares, *self.steps.values(), *self._on_page(), self.go, *foot)
        for before, after in itertools.pairwise(chain):
            QWidget.setTabOrder(before, after)

    def _on_page(self) -> list[QWidget]:
        """Return what Tab goes to on the page, in its order."""
        page = self.body.widget()  # children in the order they were made; asking Qt's chain brought it down
        found = [] if page is None else page.findChildren(QWidget)
        return [one for one in found if one.focusPolicy() & Qt.FocusPolicy.TabFocus]

    def focus_page(self) -> None:
        """Give the keyboard to the first thing on the page, else to the filled button."""
        first = next((one for one in self._on_page() if one.isVisible() and one.isEnabled()), self.go)
        first.setFocus(Qt.FocusReason.TabFocusReason)

    def show_step(self, shown: Step, reached: Step, left_out: Collection[Step] = ()) -> None:
        """Show which step is looked at; those that are passed, and not left out, can be looked at."""
        self._at = shown
        for step, button in self.steps.items():
            button.setEnabled(step <= reached and step not in left_out)
        self._mark()

    def _mark(self) -> None:
        for step, button in self.steps.items():
            button.setChecked(step is self._at)

    # -- hands ---------------------------------------------------------------------------------------------------

    def keyPressEvent(self, event: QKeyEvent) -> None:
        plain = not event.modifiers() & ~Qt.KeyboardModifier.KeypadModifier
        if event.key() == Qt.Key.Key_Escape:
            self.escaped.emit()
        elif plain and Qt.Key.Key_1 <= event.key() <= Qt.Key.Key_9:
            self.digit.emit(event.key() - Qt.Key.Key_0)
        elif plain and event.key() in (Qt.Key.Key_Down, Qt.Key.Key_Up):
            self.focusNextPrevChild(event.key() == Qt.Key.Key_Down)
        else:
            super().keyPressEvent(event)
