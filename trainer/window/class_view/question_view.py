"""The question in the right column: asked and voted, then run, seen, and why."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

from PySide6.QtCore import QRect, Qt, Signal
from PySide6.QtGui import QKeyEvent, QPaintEvent
from PySide6.QtWidgets import QWidget

from trainer import units
from trainer.drawing.shapes import DrawList, Path, Shape, Words
from trainer.drawing.type_widths import text_width, wrapped
from trainer.language import mark, tr
from trainer.lessons.marking import RECOGNISED, UnusableAnswer, read_number
from trainer.units import System
from trainer.window.class_view.asking import LETTERS, Question
from trainer.window.controls.buttons import WordButton
from trainer.window.controls.own_keys import Line
from trainer.window.controls.qt_look import written_in
from trainer.window.painting import fonts
from trainer.window.painting.canvas import Canvas
from trainer.window.painting.look import Look

__all__ = ["QuestionView"]

_LEFT, _RIGHT = 40.0, 580.0
_BIG, _SMALL = 46.0, 36.0
_ROWS, _PITCH = 296.0, 116.0  # where the options begin, and how far apart they are where there is room [board px]
_LINE, _LEAST = 42.0, 84.0  # of small words, of a row without more than a line
_BOX = (462.0, 118.0, 74.0)  # left, width, height of a count
_BY_LETTER, _BY_FIGURE = mark("Write your letter, then hands up."), mark("Write your number, then hands up.")
_FIGURE = 300.0  # width of a number that is called out
_HEADS = {  # over the answer while it stands so, and once it has
    "reading": (mark("{name} reads"), mark("{name} read")),
    "time": (mark("{name} took"), mark("{name} took")),
    "first": (mark("First"), mark("First")),
    "highest": (mark("Highest"), mark("Highest")),
    "task": (mark("{name} reads"), mark("{name} read")),
}


@dataclass(frozen=True, slots=True)
class Said:
    """An answer and the hands for it: in words, its value [SI] or none, and whether it is as read."""

    words: str
    value: float
    hands: int
    right: bool
    why: str
    letter: str
    belief: str = ""


class _Unreadable(Exception):
    """A figure that is none, and the line in which it stands."""

    def __init__(self, words: str, line: Line) -> None:
        super().__init__(words)
        self.line = line


class QuestionView(QWidget):
    """One question and the answers to it. ``step`` is "asked", "run", "seen" or "why".

    ``committed`` tells that the class has answered, ``ended`` that the question is put away, ``again`` that another
    one is wanted.
    """

    committed = Signal()
    ended = Signal()
    again = Signal()

    def __init__(self, look: Look, question: Question, now: Callable[[], float], size: int, parent: QWidget) -> None:
        super().__init__(parent)
        self.look, self.question, self.now = look, question, now
        self.step = "asked"
        self.message = ""
        self.overridden = False  # uncovered without an answer
        self.said: list[Said] = []  # once committed
        self.size_said = size
        self.chosen = 0  # of the wrong answers, from the most said, which is explained
        self.seen: int | None = None
        self.canvas = Canvas(self, look, self._still)
        self.canvas.ring = False
        self.votes = [self._line(tr("Hands for {letter}").format(letter=letter)) for letter in LETTERS]
        self.values = [self._line(tr("Figure {letter}").format(letter=letter), 16) for letter in LETTERS]
        for k, vote in enumerate(self.votes if not question.figures else ()):
            vote.setAccessibleDescription(self.told(k) if k < len(question.options) else "")
        self.total = self._line(tr("Size of the class"))
        self.total.setText(str(size))
        self.buttons = {
            name: WordButton(look, tr(name), name, tip, self, size=46.0 if filled else 36.0, filled=filled)
            for name, tip, filled in (
                (mark("Commit"), tr("Take the answers, then uncover and run  (Ctrl+Enter)"), True),
                (mark("Put away"), tr("Give the question up  (Alt+Q)"), False),
                (mark("Other answers"), tr("The next wrong answer, explained"), False),
                (mark("Next"), tr("On  (Page Down)"), True),
            )
        }
        self.buttons["Commit"].clicked.connect(self.commit)
        self.buttons["Put away"].clicked.connect(self.ended)
        self.buttons["Other answers"].clicked.connect(self.other)
        self.buttons["Next"].clicked.connect(self.next)
        self.choices = [
            WordButton(look, tr(words), words, "", self, size=46.0, checkable=True) for words in question.seen
        ]
        for k, choice in enumerate(self.choices):
            choice.clicked.connect(lambda _=False, k=k: self.see(k))
        self.setAccessibleName(tr("Question for the class"))

    def _line(self, name: str, most: int = 4) -> Line:
        line = Line(self)
        line.setFrame(False)
        line.setMaxLength(most)
        line.setAlignment(Qt.AlignmentFlag.AlignRight)
        line.setAccessibleName(name)
        line.setObjectName(name)
        line.returnPressed.connect(self._entered)
        line.textChanged.connect(self._typed)
        return line

    # -- the answers -------------------------------------------------------------------------------------------

    @property
    def waiting(self) -> bool:
        """Whether the class has not committed."""
        return self.step == "asked"

    def told(self, k: int) -> str:
        """Return an option in words: "A, 30 bar"; why one thinks so would tell which is right."""
        return f"{LETTERS[k]}, {self.question.answer(k, self.look.system)}"

    @property
    def runs(self) -> bool:
        """Whether the question has a run."""
        return self.question.end > self.question.begin + 1e-6

    @property
    def rows(self) -> int:
        """How many answers there may be."""
        return len(LETTERS) if self.question.figures else len(self.question.options)

    def hands(self) -> list[int]:
        """Return the hands that are typed, by row; an empty row is none. Raises ValueError for no number."""
        return [int(vote.text() or 0) for vote in self.votes[: self.rows]]

    def _answers(self, hands: list[int]) -> list[Said]:
        """Return what was said with how many hands. Raises _Unreadable for a figure that is none."""
        question, system = self.question, self.look.system
        if not question.figures:
            return [
                Said(question.answer(k, system), one.value, hands[k], one.right, one.why, LETTERS[k], one.belief)
                for k, one in enumerate(question.options)
            ]
        scale = question.asked.scale
        assert scale is not None
        within = max(scale.error * scale.end, RECOGNISED * abs(question.then))
        found = []
        for k, (line, count) in enumerate(zip(self.values, hands, strict=True)):
            if not (count or line.text().strip()):
                continue
            try:
                value, _ = read_number(line.text(), scale, system)
            except UnusableAnswer as error:
                raise _Unreadable(str(error), line) from None
            gap = question.asked.shown(abs(value - question.then), system)
            if value > question.then:
                why = tr("{gap} too high.").format(gap=gap)
            else:
                why = tr("{gap} too low.").format(gap=gap)
            near = (one.why for one in question.known if abs(value - one.value) <= RECOGNISED * abs(one.value))
            slip = next(near, "")
            right = abs(value - question.then) <= within
            found.append(Said(question.asked.shown(value, system), value, count, right, slip or why, LETTERS[k]))
        return found

    def _count(self) -> int | None:
        try:
            return sum(self.hands())
        except ValueError:
            return None

    @property
    def class_size(self) -> int:
        """How many the class are, 0 where that is not said."""
        text = self.total.text().strip()
        return int(text) if text.isascii() and text.isdigit() else 0

    def _typed(self) -> None:
        self.message = ""
        self.canvas.forget()
        self.update()

    def _entered(self) -> None:
        """Go from a row to the next one, after the last to Commit."""
        votes = self.votes[: self.rows]
        if self.question.figures:
            votes = [line for pair in zip(self.values, votes, strict=True) for line in pair]
        rows = [*votes, self.buttons["Commit"]]
        sender = self.sender()
        at = next((k for k, row in enumerate(rows) if row is sender), len(rows) - 2)
        rows[at + 1].setFocus()

    def commit(self) -> None:
        """Take the answers, once hands have been typed; more than the class has are asked about once."""
        if not self.waiting:
            return
        try:
            hands = self.hands()
            if min(hands) < 0:
                raise ValueError
        except ValueError:
            self._refuse(tr("Hands are whole numbers, such as 12."))
            return
        total, size = sum(hands), self.class_size
        if not total:
            self._refuse(tr("Type the raised hands first."))
            return
        try:
            said = self._answers(hands)
        except _Unreadable as error:
            self._refuse(str(error), error.line)
            return
        doubt = tr("{total} of {size} hands: count again?").format(total=total, size=size)
        if total > size and self.message != doubt:
            self._refuse(doubt)
            return
        self.said = said
        self._go("run")

    def override(self) -> None:
        """Uncover without an answer; the verdict says so."""
        if self.waiting:
            self.overridden = True
            self.said = [] if self.question.figures else self._answers([0] * self.rows)
            self._go("run")

    def _refuse(self, words: str, line: Line | None = None) -> None:
        self.message = words
        line = line or self.votes[0]
        line.setFocus()
        line.selectAll()
        self.canvas.forget()
        self.update()

    def _go(self, step: str) -> None:
        self.step = step
        if step == "run":
            self.committed.emit()
        self.lay_out()

    def ran(self) -> None:
        """The run is over: ask what was seen, where there was a run."""
        if self.step == "run":
            self._go("seen" if self.runs and self.question.seen else "why")
            self.setFocus()

    def see(self, k: int) -> None:
        """Take what was seen."""
        self.seen = k
        self._go("why")

    def next(self) -> None:
        """Do the next thing: commit, go on to why, put the question away."""
        if self.step == "asked":
            self.commit()
        elif self.step == "seen":
            self._go("why")
        elif self.step == "why":
            self.again.emit()

    def back(self) -> None:
        """Go back a step, never past the commitment."""
        if self.step == "why" and self.runs and self.question.seen:
            self._go("seen")

    def wrong(self) -> list[Said]:
        """Return the wrong answers, the most said first."""
        return sorted((one for one in self.said if not one.right), key=lambda one: -one.hands)

    def other(self) -> None:
        """Explain the next wrong answer."""
        self.chosen = (self.chosen + 1) % max(len(self.wrong()), 1)
        self.canvas.forget()
        self.update()

    # -- what it shows -----------------------------------------------------------------------------------------

    def lay_out(self) -> None:
        """Place what this step has."""
        if self.width() < 2:
            return
        scale, height = self.look.scale, self.height() / self.look.scale
        self.canvas.least = 35.6 * scale

        def place(widget: QWidget, x: float, y: float, wide: float, high: float, shown: bool) -> None:
            widget.setGeometry(QRect(round(x * scale), round(y * scale), round(wide * scale), round(high * scale)))
            widget.setVisible(shown)

        asked, count = self.waiting, self.rows
        left, wide, high = _BOX
        tops = self._rows_at()
        for k, vote in enumerate(self.votes):
            top, row = tops[k] if k < count else (0.0, high + 8.0)
            middle = top + (row - high) / 2
            place(vote, left + 8, middle + 4, wide - 16, high - 8, asked and k < count)
            figure = asked and self.question.figures
            place(self.values[k], _LEFT + 66, middle + 4, _FIGURE - 16, high - 8, figure)
        place(self.total, left + 8, self._foot() + 4, wide - 16, 58, asked)
        for line in (*self.votes, *self.values, self.total):
            line.setFont(fonts.font(round(_BIG * scale), 600))
            written_in(line, self.look)
        place(self.buttons["Commit"], _LEFT, height - 160.0, _RIGHT - _LEFT, 78.0, asked)
        place(self.buttons["Put away"], _LEFT - 8, height - 76.0, 180.0, 70.0, self.step != "run")
        why = self.step == "why"
        place(self.buttons["Other answers"], 216.0, height - 76.0, 250.0, 70.0, why and len(self.wrong()) > 1)
        place(self.buttons["Next"], 456.0, height - 76.0, _RIGHT - 456.0, 70.0, self.step in ("seen", "why"))
        for k, choice in enumerate(self.choices):
            choice.setChecked(self.seen == k)
            place(choice, _LEFT - 8, _ROWS + 100.0 * k, _RIGHT - _LEFT, 84.0, self.step == "seen")
        for button in (*self.buttons.values(), *self.choices):
            button.update()
        self.canvas.forget()
        self.update()

    def _told(self) -> list[Words]:
        """Return the situation and the question."""
        question = self.question
        lines = wrapped(question.situation, _RIGHT - _LEFT, 38.0)
        size = 38.0 if len(lines) <= 2 else _SMALL
        shapes = self._lines(question.situation, 50.0, size)
        y = shapes[-1].y + 0.24 * size + 1.05 * _BIG
        short = len(wrapped(question.asked.words, _RIGHT - _LEFT, _BIG, 600)) + len(lines) <= 4
        return [*shapes, *self._lines(question.asked.words, y, _BIG if short else 38.0, 600)]

    def _rows_at(self) -> list[tuple[float, float]]:
        """Return (top, height) of the row of each answer: as wide apart as there is room."""
        heights = [max(_LEAST, _LINE * len(self._row(k)) + 16.0) for k in range(self.rows)]
        end = self._told()[-1].y + 74.0
        top = max(_ROWS, end)
        if sum(heights) > self._foot() - top:
            top = end
        room = self._foot() - 8.0 - top
        more = min(max((room - sum(heights)) / len(heights), 0.0), _PITCH - _LEAST)
        rows = []
        for height in heights:
            rows.append((top, height + more))
            top += height + more
        return rows

    def _row(self, k: int) -> list[Words]:
        """Return the words of an answer, the first of them on the line at 0."""
        question, room = self.question, _BOX[0] - _LEFT - 66.0
        if question.figures:
            return []
        answer = question.answer(k, self.look.system)
        if len(wrapped(answer, room, _BIG, 600)) > 1:
            lines = wrapped(answer, room, 38.0, 600)
            size = 38.0 if len(lines) < 3 else _SMALL
            lines = wrapped(answer, room, size, 600)
            return [Words(_LEFT + 58.0, _LINE * row, line, size, weight=600) for row, line in enumerate(lines)]
        return [Words(_LEFT + 58.0, 0.0, answer, _BIG, weight=600)]

    def _foot(self) -> float:
        """Where the row with all hands begins."""
        return self.height() / self.look.scale - 240.0

    def _still(self) -> DrawList:
        height = self.height() / self.look.scale
        shapes: list[Shape] = [Path(((1.0, 0.0), (1.0, height)), "hairline", 2.0)]
        if self.step == "asked":
            return [*shapes, *self._asked()]
        if self.step == "run":
            words = tr("Watch {name}.").format(name=self.question.asked.name)
            return [*shapes, *self._lines(words, 90.0, _BIG, 600)]
        if self.step == "seen":
            return [*shapes, *self._lines(tr("What did you see?"), 90.0, _BIG, 600)]
        return [*shapes, *self._why(height)]

    @staticmethod
    def _lines(
        words: str, y: float, size: float, weight: int = 400, ink: str = "ink", most: int = 9, pitch: float = 1.16
    ) -> list[Words]:
        lines = wrapped(words, _RIGHT - _LEFT, size, weight)[:most]
        return [Words(_LEFT, y + pitch * size * k, line, size, ink, weight) for k, line in enumerate(lines)]

    def _asked(self) -> list[Shape]:
        question, rows = self.question, self._rows_at()
        shapes: list[Shape] = [*self._told()]
        hint = self.message or tr(_BY_FIGURE if question.figures else _BY_LETTER)
        y = rows[0][0] - 24.0
        shapes += self._lines(hint, y, _SMALL, 600 if self.message else 400, "ink" if self.message else "ink2", 1)
        left, wide, high = _BOX
        for k, (top, height) in enumerate(rows):
            shapes.append(Path(((_LEFT, top), (_RIGHT, top)), "hairline", 2.0))
            shapes.append(self._box(left, top + (height - high) / 2, wide, high))
            if question.figures:
                shapes.append(Words(_LEFT, top + height / 2 + 16.0, LETTERS[k], _BIG, weight=600))
                shapes.append(self._box(_LEFT + 58.0, top + (height - high) / 2, _FIGURE, high))
                continue
            words = self._row(k)
            base = top + (height - _LINE * (len(words) - 1)) / 2 + 14.0
            shapes.append(Words(_LEFT, base, LETTERS[k], words[0].size, weight=600))
            shapes += [replace(one, y=base + one.y) for one in words]
        y = self._foot()
        shapes.append(Path(((_LEFT, y - 8.0), (_RIGHT, y - 8.0)), "hairline", 2.0))
        count = self._count()
        shapes.append(Words(_LEFT, y + 48.0, tr("Hands"), _SMALL, "ink2"))
        shown = tr("{count} of").format(count="?" if count is None else count)
        shapes.append(Words(left - 16.0, y + 50.0, shown, _BIG, weight=600, align="right"))
        shapes.append(self._box(left, y, wide, 66.0))
        return shapes

    @staticmethod
    def _box(left: float, top: float, wide: float, high: float) -> Path:
        corners = ((left, top), (left + wide, top), (left + wide, top + high), (left, top + high))
        return Path(corners, "ink", 2.5, closed=True)

    def _why(self, height: float) -> list[Shape]:
        question, system = self.question, self.look.system
        now, past = _HEADS[question.asked.kind]
        words = tr(past if abs(self.now() - question.end) > 0.05 else now).format(name=question.asked.name)
        if question.asked.kind == "task" and not question.asked.name:
            words = tr("It was")
        value = question.answer(question.right, system)
        shapes: list[Shape] = []
        room, y = _RIGHT - _LEFT, 132.0
        size = next((size for size in (76.0, 60.0) if text_width(value, size, 600) < room), 40.0)
        if text_width(words, 40.0) + text_width(value, size, 600) + 20.0 < room:
            shapes.append(Words(_LEFT, 76.0, words, 40.0))
            shapes.append(Words(_LEFT + text_width(words, 40.0) + 18.0, 78.0, value, size, weight=600))
        elif size > 40.0:
            shapes.append(Words(_LEFT, 78.0, value, size, weight=600))
        else:
            shapes += self._lines(value, 52.0, size, 600, most=2)
        most, wrong = max([1, *(one.hands for one in self.said)]), self.wrong()
        for one in self.said:
            first = bool(wrong) and one is wrong[0]
            heavy = 600 if one.right or first else 400
            shapes.append(Words(_LEFT, y, one.letter, _SMALL, weight=heavy))
            if one.value == one.value and text_width(one.words, _SMALL, 600) < 150.0:
                shapes.append(Words(_LEFT + 44.0, y, one.words, _SMALL, weight=heavy))
            x0, x1 = 240.0, 356.0
            shapes.append(Path(((x0, y - 12.0), (x1, y - 12.0)), "hairline", 16.0))
            if one.hands:
                shapes.append(Path(((x0, y - 12.0), (x0 + (x1 - x0) * one.hands / most, y - 12.0)), "ink", 16.0))
            shapes.append(Words(414.0, y, str(one.hands), _SMALL, weight=heavy, align="right"))
            if one.right:
                tick = ((426.0, y - 13.0), (434.0, y - 4.0), (450.0, y - 24.0))
                shapes.append(Path(tick, "ink", 4.0))
                shapes.append(Words(458.0, y, tr("as read"), _SMALL))
            elif first and one.hands:
                shapes.append(Words(426.0, y, tr("most said"), _SMALL, "ink2"))
            y += 48.0
        y += 4.0
        shapes.append(Path(((_LEFT, y - 28.0), (_RIGHT, y - 28.0)), "hairline", 2.0))
        if self.overridden:
            shapes += self._lines(tr("Uncovered without an answer"), y + 14.0, _SMALL, 600, most=1)
            y += 52.0
        elif self.seen is not None:
            seen = tr("Seen") + "  "
            shapes.append(Words(_LEFT, y + 14.0, seen, _SMALL, "ink2"))
            told, did = (tr(question.seen[k]) for k in (self.seen, question.way))
            shapes.append(Words(_LEFT + text_width(seen, _SMALL) + 8.0, y + 14.0, told, _SMALL, "ink", 600))
            if self.seen != question.way:
                shapes += self._lines(tr("In this run: {seen}.").format(seen=did), y + 56.0, _SMALL, most=1)
                y += 42.0
            y += 52.0
        right = self._lines(self._reason(), y + 14.0, _SMALL)
        shapes += right
        y += 24.0 + 1.16 * _SMALL * len(right) if right else 0.0
        foot = height - 92.0
        rows = self._working(foot, system)
        table = foot - 46.0 * (1 + len(question.working)) - 20.0 if rows else foot
        if wrong:
            shapes += self._explained(wrong[self.chosen % len(wrong)], y, table)
        return [*shapes, *rows]

    def _reason(self) -> str:
        """Return why it is as read, in a sentence; "" where the question has no reason of its own."""
        reason = self.question.options[self.question.right].belief
        return tr("Right: {reason}.").format(reason=reason) if reason else ""

    def _explained(self, one: Said, y: float, end: float) -> list[Words]:
        """Return what a wrong answer is in truth, and what was thought where there is room for it before ``end``."""
        title = tr("If you said {letter}, {value}").format(letter=one.letter, value=one.words)
        heading = self._lines(title, y + 18.0, 40.0, 600, most=3)
        y = heading[-1].y + 46.0
        room = max(int((end - y + 4.0) / (1.16 * _SMALL)), 1)
        thought = self._lines(tr("Thought: {belief}.").format(belief=one.belief), y, _SMALL, ink="ink2")
        why = self._lines(one.why, y, _SMALL)
        if one.belief and len(thought) + len(why) <= room:
            return [*heading, *thought, *self._lines(one.why, thought[-1].y + 1.16 * _SMALL, _SMALL)]
        return [*heading, *why[:room]]

    def _working(self, foot: float, system: System) -> list[Shape]:
        """Return what was asked and what stands beside it, before and then, in columns above the buttons."""
        question = self.question
        scale = question.asked.scale
        if not (question.hands and question.working) or scale is None:
            return []
        unit = units.shown_unit(scale.quantity, system).pretty
        top = foot - 46.0 * (1 + len(question.working)) - 4.0
        shapes: list[Shape] = [
            Path(((_LEFT, top - 8.0), (_RIGHT, top - 8.0)), "hairline", 2.0),
            Words(_LEFT, top + 34.0, unit, _SMALL, "ink2"),
            Words(440.0, top + 34.0, tr("before"), _SMALL, "ink2", align="right"),
            Words(_RIGHT, top + 34.0, tr("then"), _SMALL, "ink2", align="right"),
        ]
        for k, (name, before, then) in enumerate(question.working):
            y = top + 34.0 + 46.0 * (k + 1)
            figures = [units.text(value, scale.quantity, system)[0] for value in (before, then)]
            told = next((n for n in (name, name.partition(",")[0]) if text_width(n, _SMALL, 600) < 280.0), "")
            shapes.append(Words(_LEFT, y, told or tr("there"), _SMALL, weight=600))
            shapes.append(Words(440.0, y, figures[0], _SMALL, align="right"))
            shapes.append(Words(_RIGHT, y, figures[1], _SMALL, weight=600, align="right"))
        return shapes

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Commit with Ctrl and Enter; digits choose what was seen."""
        if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            if event.modifiers() & Qt.KeyboardModifier.ControlModifier and self.waiting:
                self.commit()
            elif self.step in ("seen", "why"):
                self.next()
            return
        if self.step == "seen" and event.text() in {str(k + 1) for k in range(len(self.choices))}:
            self.see(int(event.text()) - 1)
            return
        super().keyPressEvent(event)

    def paintEvent(self, event: QPaintEvent) -> None:
        self.canvas.paint()

    def snapshot(self) -> dict[str, object]:
        """Return the question's state; the reading only once the class has committed."""
        return {
            "step": self.step,
            "waiting": self.waiting,
            "hands": [one.hands for one in self.said],
            "options": [self.told(k) for k in range(len(self.question.options))],
            "read": None if self.waiting else self.question.answer(self.question.right, self.look.system),
            "seen": self.seen,
            "message": self.message,
            "overridden": self.overridden,
        }
