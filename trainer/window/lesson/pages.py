"""The pages of a task's steps: what is read, predicted, run, seen, and why."""

from __future__ import annotations

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QPainter, QPaintEvent
from PySide6.QtWidgets import QGridLayout, QHBoxLayout, QVBoxLayout, QWidget

from trainer.language import tr
from trainer.lessons.flow import Step, Task
from trainer.lessons.marking import Verdict
from trainer.lessons.seen import SEEN
from trainer.window.controls.labels import Label
from trainer.window.lesson.forms import TEXT, Form
from trainer.window.lesson.reasons import Reasons
from trainer.window.lesson.rows import Rows
from trainer.window.lesson.said import Said, Tick
from trainer.window.lesson.why import Row, heading
from trainer.window.painting.look import Look

__all__ = ["Page", "PredictPage", "ReadPage", "RunPage", "SeenPage", "WhyPage"]

HEAD, SMALL = 21.0, 16.5


class Page(QWidget):
    """Base of all pages: words one below the other."""

    step = Step.READ

    def __init__(self, look: Look, parent: QWidget) -> None:
        super().__init__(parent)
        self.look = look
        self.column = QVBoxLayout(self)
        self.column.setSpacing(0)
        self.take_look()

    def take_look(self) -> None:
        """Take the distances of the present look."""
        gap = round(6 * self.look.scale)
        self.column.setContentsMargins(0, gap, gap, gap)
        self.column.setSpacing(gap)

    def say(self, words: str, size: float = TEXT, weight: int = 400, ink: str = "ink") -> Label:
        """Add words."""
        label = Label(self.look, words, self, size=size, ink=ink, weight=weight)
        label.setAlignment(Qt.AlignmentFlag.AlignTop | Qt.AlignmentFlag.AlignLeft)
        self.column.addWidget(label)
        return label

    def focus(self) -> bool:
        """Give the keyboard to what is asked; return whether there is anything."""
        return False

    def digit(self, number: int) -> None:
        """Take a figure that was pressed."""


class ReadPage(Page):
    """What it is about: the lesson's first words before its first task, then the situation."""

    def __init__(self, look: Look, task: Task, before: str, parent: QWidget) -> None:
        super().__init__(look, parent)
        if before:
            self.say(" ".join(before.split()))
        self.say(task.posed.situation(look.system), size=HEAD, weight=600)
        self.column.addStretch(1)


class PredictPage(Page):
    """The question, a form for the answer, and the reasons. ``changed`` tells of a hand."""

    step = Step.PREDICT
    changed = Signal()

    def __init__(self, look: Look, task: Task, form: Form, parent: QWidget) -> None:
        super().__init__(look, parent)
        posed = task.posed
        self.situation = self.say(posed.situation(look.system))
        self.question = self.say(posed.question(look.system), size=HEAD, weight=600)
        self.form = form
        form.setParent(self)
        self.setAccessibleDescription(self.situation.text())
        form.setAccessibleName(self.question.text())
        form.changed.connect(self.changed)
        self.column.addWidget(form)
        self.reasons: Reasons | None = None
        if posed.reasons:
            self.say(tr("Because"), size=TEXT, weight=600)
            told = [(one.id, posed.text(one.words, look.system)) for one in posed.reasons]
            self.reasons = Reasons(look, told, self)
            self.reasons.chosen.connect(self.changed)
            self.column.addWidget(self.reasons)
        self.hint = self.say("", size=TEXT, ink="ink")
        self.hint.hide()
        self.column.addStretch(1)

    @property
    def reason(self) -> str:
        """The id of the chosen reason, "" for none."""
        return self.reasons.value if self.reasons is not None else ""

    @property
    def reason_words(self) -> str:
        """A reason that is written, "" for none."""
        return self.reasons.words if self.reasons is not None else ""

    def choose_reason(self, id_: str, words: str) -> None:
        """Choose a reason as it was kept."""
        if self.reasons is not None:
            self.reasons.write(words)
            self.reasons.choose(id_)

    def show_hint(self, number: int, words: str) -> None:
        """Show a hint below."""
        self.hint.setText(tr("Hint {number}: {words}").format(number=number, words=words))
        self.hint.show()

    def answered(self) -> None:
        """Let nothing be changed any more."""
        self.form.setEnabled(False)
        if self.reasons is not None:
            self.reasons.setEnabled(False)

    def focus(self) -> bool:
        """Give the keyboard to the form."""
        if not self.form.isEnabled():
            return False
        self.form.focus()
        return True

    def digit(self, number: int) -> None:
        """Choose by a figure: a reason where these have the keyboard, else an answer."""
        if not self.form.isEnabled():
            return
        if (self.reasons is not None and self.reasons.has_keyboard()) or (
            not self.form.digit(number) and self.reasons is not None
        ):
            self.reasons.choose_place(number)


class RunPage(Page):
    """What runs, and what to watch."""

    step = Step.RUN

    def __init__(self, look: Look, watched: str, by_hand: bool, parent: QWidget) -> None:
        super().__init__(look, parent)
        if watched:
            self.say(tr("Watch {name}.").format(name=watched), size=HEAD, weight=600)
        if by_hand:
            self.say(tr("Now your hands: move the lever yourself. Next goes on when you have seen it."))
        else:
            self.say(tr("The levers move by themselves, as it was told."))
        self.column.addStretch(1)


class SeenPage(Page):
    """What was seen: three choices. ``chosen`` is told what."""

    step = Step.SEEN
    chosen = Signal(str)

    def __init__(self, look: Look, task: Task, watched: str, parent: QWidget) -> None:
        super().__init__(look, parent)
        self.say(tr("What did you see? {name}").format(name=watched), size=HEAD, weight=600)
        self.rows = Rows(look, tr("What did you see?"), [*task.seen_choices.items()], self)
        self.rows.chosen.connect(self.chosen)
        self.column.addWidget(self.rows)
        if task.seen.said:
            self.rows.choose(task.seen.said)
            self.rows.setEnabled(False)
        self.column.addStretch(1)

    def focus(self) -> bool:
        """Give the keyboard to the rows."""
        self.rows.focus()
        return True

    def digit(self, number: int) -> None:
        """Choose by a figure."""
        self.rows.choose_place(number)


class Rule(QWidget):
    """A line across."""

    def __init__(self, look: Look, parent: QWidget) -> None:
        super().__init__(parent)
        self.look = look
        self.setFixedHeight(3)

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.fillRect(0, 1, self.width(), 2, self.look.inks.colour("ink2"))
        painter.end()


class WhyPage(Page):
    """Why: said, read, apart; what was seen; what the answer's number is; the workings."""

    step = Step.WHY

    def __init__(
        self,
        look: Look,
        task: Task,
        verdict: Verdict,
        way: str,
        rows: list[Row],
        watched: str,
        parts: QWidget | None,
        parent: QWidget,
    ) -> None:
        super().__init__(look, parent)
        self.verdict = verdict
        self.setAccessibleDescription(". ".join(filter(None, (verdict.said, verdict.read, verdict.text))))
        if task.uncovered:
            self.say(tr("Uncovered without an answer"), weight=600)
        self._said(verdict, way, watched)
        if task.seen.did:
            self._seen(task)
        self.column.addWidget(Rule(look, self))
        head, rest = heading(verdict)
        if head:
            self.say(head, size=HEAD, weight=600)
        self.say(rest)
        if task.reason_words:
            self.say(tr("Your own reason is kept for your instructor: {words}").format(words=task.reason_words))
            self.say(tr("The reason: {words}").format(words=task.right_reason), weight=600)
        if verdict.reasoned is False and task.right_reason:
            said, shows = task.wrong_reason
            if said:
                told = tr("As your reason you said: {words}").format(words=said)
                self.say(f"{told} {shows or tr('That does not decide it here.')}")
            self.say(tr("The reason: {words}").format(words=task.right_reason), weight=600 if verdict.right else 400)
        if task.posed.exercise.caution:
            self.say(task.posed.exercise.caution, size=SMALL, ink="ink2")
        self._rows(rows)
        if parts is not None:
            self.column.addWidget(Rule(look, self))
            self.column.addWidget(parts)
        self.column.addStretch(1)

    def _said(self, verdict: Verdict, way: str, watched: str) -> None:
        told = [(tr("you said"), verdict.said, verdict.right is True)]
        if verdict.read and verdict.right is not None and not (verdict.right and verdict.read == verdict.said):
            told.append((tr("{name} read").format(name=watched) if watched else tr("it was"), verdict.read, False))
        if verdict.apart and not verdict.right:
            told.append((tr("apart"), f"{verdict.apart} {way}".rstrip(), False))
        kept = [one for one in told if one[1]]
        self.said = Said(self.look, [(name, words) for name, words, _ in kept], [tick for *_, tick in kept], self)
        self.column.addWidget(self.said)

    def _seen(self, task: Task) -> None:
        line = QHBoxLayout()
        said, did = tr(SEEN[task.seen.said]), tr(SEEN[task.seen.did])
        words = (
            tr("You saw: it {said}. So it did.").format(said=said)
            if task.seen.right
            else tr("You saw: it {said}. In this run it {did}.").format(said=said, did=did)
        )
        line.addWidget(Label(self.look, words, self, size=TEXT), 1)
        if task.seen.right:
            line.addWidget(Tick(self.look, self))
        self.column.addLayout(line)

    def _rows(self, rows: list[Row]) -> None:
        for row in rows:
            weight = 600 if row.right else 400
            grid = QGridLayout()
            grid.setSpacing(0)
            grid.setColumnStretch(0, 1)
            grid.addWidget(Label(self.look, row.name, self, size=SMALL, ink="ink2"), 0, 0)
            result = Label(self.look, row.result, self, size=TEXT, weight=weight, wraps=False)
            grid.addWidget(result, 0, 1, Qt.AlignmentFlag.AlignRight)
            grid.addWidget(Label(self.look, row.filled, self, size=SMALL, weight=weight), 1, 0, 1, 2)
            self.column.addLayout(grid)
