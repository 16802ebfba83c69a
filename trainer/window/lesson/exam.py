"""An exam in the pane: its clock and the marks of the present task in the header, and what came of it at the end."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from PySide6.QtCore import QPointF, Qt, QTimer
from PySide6.QtGui import QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QGridLayout, QHBoxLayout, QWidget

from trainer.language import mark, tr, trn
from trainer.lessons.exam import TRIES, Exam, Try
from trainer.lessons.flow import Step
from trainer.window.controls.buttons import WordButton
from trainer.window.controls.labels import Label
from trainer.window.lesson.forms import TEXT
from trainer.window.lesson.pages import HEAD, SMALL, Page
from trainer.window.painting.look import Look

__all__ = ["ExamLine", "MarksView", "ResultPage", "Sitting", "lasted"]

_KEPT = 5.0  # s of an exam that a crash may lose
_WORDS = {"right": mark("right"), "wrong": mark("not right"), "judge": mark("to be judged"), "open": mark("not used")}


def lasted(seconds: float) -> str:
    """Return how long something has lasted: "3:05", "1:02:45"."""
    minutes, rest = divmod(int(seconds), 60)
    hours, minutes = divmod(minutes, 60)
    return f"{hours}:{minutes:02d}:{rest:02d}" if hours else f"{minutes}:{rest:02d}"


class Sitting:
    """An exam that is on; ``clock`` [s] is given from outside."""

    def __init__(self, exam: Exam, clock: Callable[[], float]) -> None:
        self.exam, self.clock = exam, clock
        self._since = clock()

    @property
    def seconds(self) -> float:
        """How long it has lasted; it ends with its last answer."""
        return self.exam.seconds + (0.0 if self.exam.over else max(self.clock() - self._since, 0.0))

    def take(self, task: str, one: Try) -> int:
        """Take a try at a task and return how many are left."""
        self._count()
        self.exam = self.exam.after(task, one)
        return self.exam.left(task)

    def kept(self) -> Exam:
        """Return what is to be kept of it: its time only now and then."""
        if self.seconds - self.exam.seconds >= _KEPT:
            self._count()
        return self.exam

    def _count(self) -> None:
        self.exam, self._since = self.exam.at(self.seconds), self.clock()


class MarksView(QWidget):
    """Three boxes, one a try: a tick, a cross, a dash for what a person judges, nothing for one that is left."""

    def __init__(self, look: Look, parent: QWidget, size: float = SMALL) -> None:
        super().__init__(parent)
        self.look, self.size_of_type = look, size
        self.marks: tuple[str, ...] = ("open",) * TRIES
        self.take_look()

    def take_look(self) -> None:
        """Take the size of the present look."""
        side = self.look.pixels(self.size_of_type)
        self.setFixedSize(round(1.4 * side * TRIES), round(1.3 * side))

    def show_marks(self, marks: Sequence[str]) -> None:
        """Show how tries went."""
        self.marks = tuple(marks)
        self.setAccessibleName(", ".join(tr(_WORDS[one]) for one in self.marks))
        self.update()

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        side, inks = float(self.look.pixels(self.size_of_type)), self.look.inks
        for k, one in enumerate(self.marks):
            x, y = 1.4 * side * k + 1.0, 0.15 * side

            def at(across: float, down: float, x: float = x, y: float = y) -> QPointF:
                return QPointF(x + across * side, y + down * side)

            painter.setPen(QPen(inks.colour("ink2"), 1.0))
            painter.drawRect(round(x), round(y), round(side), round(side))
            painter.setPen(QPen(inks.colour("ink"), max(1.5, 0.11 * side)))
            if one == "right":
                painter.drawPolyline([at(0.2, 0.55), at(0.42, 0.78), at(0.82, 0.22)])
            elif one == "wrong":
                painter.drawLine(at(0.22, 0.22), at(0.78, 0.78))
                painter.drawLine(at(0.22, 0.78), at(0.78, 0.22))
            elif one == "judge":
                painter.drawLine(at(0.22, 0.5), at(0.78, 0.5))
        painter.end()


class ExamLine(QWidget):
    """That it is an exam, how long it has lasted, and the tries of the present task."""

    def __init__(self, look: Look, parent: QWidget) -> None:
        super().__init__(parent)
        self.clock = Label(look, "", self, size=SMALL, weight=600, wraps=False)
        self.tries = Label(look, tr("tries"), self, size=SMALL, ink="ink2", wraps=False)
        self.marks = MarksView(look, self)
        self.sitting: Sitting | None = None
        self.task = ""
        self.timer = QTimer(self)  # a board that is frozen paints no frames
        self.timer.setInterval(1000)
        self.timer.timeout.connect(self._tell)
        line = QHBoxLayout(self)
        line.setContentsMargins(0, 0, 0, 0)
        line.addWidget(self.clock, 1)
        line.addWidget(self.tries)
        line.addWidget(self.marks)
        self.hide()

    def show_sitting(self, sitting: Sitting | None, task: str) -> None:
        """Show an exam at one of its tasks, or nothing where there is none."""
        self.sitting, self.task = sitting, task
        self.setVisible(sitting is not None)
        goes = sitting is not None and not sitting.exam.over
        if goes is not self.timer.isActive():
            (self.timer.start if goes else self.timer.stop)()
        self._tell()

    def _tell(self) -> None:
        sitting, task = self.sitting, self.task
        if sitting is None:
            return
        told = tr("Exam, over after {time}") if sitting.exam.over else tr("Exam {time}")
        self.clock.setText(told.format(time=lasted(sitting.seconds)))
        marks = sitting.exam.marks(task)
        if marks != self.marks.marks:
            self.marks.show_marks(marks)
        left = sitting.exam.left(task)
        self.setAccessibleName(trn("Exam, {left} try left", "Exam, {left} tries left", left).format(left=left))


class ResultPage(Page):
    """What came of an exam, task by task; ``explain``, and the squares above, lead to the explanations."""

    step = Step.WHY

    def __init__(self, look: Look, exam: Exam, parent: QWidget) -> None:
        super().__init__(look, parent)
        told = tr("{right} of {count} right, in {time}")
        head = told.format(right=exam.right, count=len(exam.tasks), time=lasted(exam.seconds))
        self.say(head, size=HEAD, weight=600)
        self.setAccessibleDescription(head)
        grid = QGridLayout()
        grid.setColumnStretch(1, 1)
        for k, task in enumerate(exam.tasks):
            grid.addWidget(Label(look, str(k + 1), self, size=TEXT, ink="ink2", wraps=False), k, 0)
            grid.addWidget(Label(look, task.replace("-", " "), self, size=TEXT), k, 1)
            marks = MarksView(look, self, TEXT)
            marks.show_marks(exam.marks(task))
            grid.addWidget(marks, k, 2)
        self.column.addLayout(grid)
        self.explain = WordButton(
            look,
            tr("Explain the answers"),
            mark("Explain the answers"),
            tr("Each task with its answer, and why"),
            self,
        )
        self.column.addWidget(self.explain, 0, Qt.AlignmentFlag.AlignLeft)
        self.column.addStretch(1)

    def focus(self) -> bool:
        """Give the keyboard to the button that explains."""
        self.explain.setFocus(Qt.FocusReason.OtherFocusReason)
        return True
