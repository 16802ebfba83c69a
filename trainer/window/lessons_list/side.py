"""Beside the list: the one next thing with its button, how ready one is for each outcome, and the seat."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from PySide6.QtCore import QRect, QSize, Qt, Signal
from PySide6.QtGui import QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QFrame, QHBoxLayout, QScrollArea, QSizePolicy, QVBoxLayout, QWidget

from trainer.language import mark, tr
from trainer.window.controls.buttons import WordButton
from trainer.window.controls.labels import Label
from trainer.window.controls.own_keys import Line
from trainer.window.controls.qt_look import bar_style, coloured, written_in
from trainer.window.controls.tips import set_tip
from trainer.window.painting import fonts
from trainer.window.painting.look import Look
from trainer.window.session.remembered import MOST_SEATS

__all__ = ["Bar", "SeatEntry", "Side", "Wanted"]

_TEXT, _TITLE, _SMALL = 20.0, 30.0, 18.0


@dataclass(frozen=True, slots=True)
class Wanted:
    """A thing to start: a lesson's id and task, its title, and what is told of it."""

    lesson: str
    task: str
    title: str
    told: str


@dataclass(frozen=True, slots=True)
class Bar:
    """An outcome: what it is, how many tasks it has, are right, and are due again."""

    id: str
    words: str
    tasks: int
    right: int
    due: int

    @property
    def told(self) -> str:
        """How many of how many."""
        told = tr("{right} of {tasks}").format(right=self.right, tasks=self.tasks)
        return tr("{told}, {due} due").format(told=told, due=self.due) if self.due else told


class BarView(QWidget):
    """One outcome in its words, in as many lines as they need, with a bar of as many pieces as it has tasks below."""

    def __init__(self, look: Look, bar: Bar, parent: QWidget) -> None:
        super().__init__(parent)
        self.look, self.bar = look, bar
        told = tr("{words}: {told} tasks, in all lessons").format(words=bar.words, told=bar.told)
        self.setAccessibleName(told)
        set_tip(self, told)
        policy = QSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        policy.setHeightForWidth(True)
        self.setSizePolicy(policy)

    def _lines(self, wide: int) -> list[str]:
        pixels = self.look.pixels(_SMALL)
        told = fonts.metrics(pixels).horizontalAdvance(self.bar.told)
        return fonts.wrapped(self.bar.words, pixels, max(wide - told - pixels, 60))

    def sizeHint(self) -> QSize:
        """Return room for a line and a bar."""
        return QSize(100, self.heightForWidth(self.width()))

    def heightForWidth(self, wide: int) -> int:
        """Return room for its words and a bar."""
        return round((1.25 + 1.25 * len(self._lines(wide))) * self.look.pixels(_SMALL))

    def take_look(self) -> None:
        """Take the present look."""
        self.update()

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        inks, pixels = self.look.inks, self.look.pixels(_SMALL)
        painter.fillRect(self.rect(), inks.colour("paper"))
        measure = fonts.metrics(pixels)
        told = measure.horizontalAdvance(self.bar.told)
        painter.setFont(fonts.font(pixels))
        painter.setPen(inks.colour("ink2"))
        painter.drawText(round(self.width() - told - 2), pixels, self.bar.told)
        painter.setPen(inks.colour("ink"))
        lines = self._lines(self.width())
        for k, line in enumerate(lines):
            painter.drawText(0, round((1 + 1.25 * k) * pixels), line)
        self._pieces(painter, round((0.2 + 1.25 * len(lines)) * pixels), max(round(0.55 * pixels), 6))
        painter.end()

    def _pieces(self, painter: QPainter, top: int, high: int) -> None:
        """Paint a piece for each task: full ones are right, hatched ones are due again."""
        bar, inks = self.bar, self.look.inks
        count = max(bar.tasks, 1)
        gap = 3 if count < 30 else 1
        for k in range(bar.tasks):
            left = round(k * (self.width() - 1 + gap) / count)
            right = round((k + 1) * (self.width() - 1 + gap) / count) - gap
            box = QRect(left, top, max(right - left, 2), high)
            painter.setPen(QPen(inks.colour("ink2"), 1.0))
            painter.setBrush(Qt.BrushStyle.NoBrush)
            if k < bar.right:
                painter.fillRect(box.adjusted(0, 0, 1, 1), inks.colour("ink"))
            elif k < bar.right + bar.due:
                painter.setBrush(Qt.BrushStyle.BDiagPattern)
                painter.setPen(QPen(inks.colour("ink"), 1.0))
                painter.drawRect(box)
            else:
                painter.drawRect(box)


class SeatEntry(Line):
    """The number of the seat: 0 is the teacher's. ``taken`` is told another one, ``said`` why one is not taken."""

    taken = Signal(int)
    said = Signal(str)

    def __init__(self, look: Look, parent: QWidget) -> None:
        super().__init__(parent)
        self.look = look
        self.setMaxLength(3)
        self.setFrame(False)
        self.setObjectName("seat")
        self.setAccessibleName(tr("Number of your seat"))
        set_tip(
            self, tr("Your seat's number, 0 to {most}: it says which numbers the tasks have").format(most=MOST_SEATS)
        )
        self.editingFinished.connect(self._take)
        self._seat = 1
        self.take_look()

    def show_seat(self, seat: int) -> None:
        """Show a number."""
        self._seat = seat
        self.setText(str(seat))

    def _take(self) -> None:
        words = self.text().strip()
        if not (words.isascii() and words.isdigit()):
            self.said.emit(tr("Write the number of your seat, 0 to {most}.").format(most=MOST_SEATS))
            self.setText(str(self._seat))
        elif int(words) != self._seat:
            self._seat = int(words)
            self.taken.emit(self._seat)

    def take_look(self) -> None:
        """Take colours and type of the present look."""
        written_in(self, self.look)
        pixels = self.look.pixels(_SMALL)
        self.setFont(fonts.font(pixels, 600))
        self.setFixedWidth(round(3.2 * pixels))
        self.setAlignment(Qt.AlignmentFlag.AlignRight)


class Side(QWidget):
    """``started`` is told what is to be started; ``readiness_asked`` and ``answers_asked`` of the other pages."""

    started = Signal(str, str)
    readiness_asked = Signal()
    answers_asked = Signal()

    def __init__(self, look: Look, parent: QWidget) -> None:
        super().__init__(parent)
        self.look = look
        self.wanted: Wanted | None = None
        self.then: Wanted | None = None
        self.head = Label(look, tr("Next for you"), self, size=_TEXT, ink="ink2")
        self.title = Label(look, "", self, size=_TITLE, weight=600)
        self.told = Label(look, "", self, size=_TEXT)
        self.start = WordButton(
            look, tr("Start"), mark("Start"), tr("Start the next task"), self, size=25.0, filled=True
        )
        self.start.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self.start.clicked.connect(self._start)
        self.after = WordButton(look, "", mark("Then"), "", self, size=_TEXT)
        self.after.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Fixed)
        self.after.clicked.connect(self._start_then)
        self.rule = QFrame(self)
        self.rule.setFrameShape(QFrame.Shape.HLine)
        self.ready = Label(look, tr("Readiness"), self, size=22.0, weight=600, wraps=False)
        self.of = Label(look, tr("tasks right, in all lessons"), self, size=_SMALL, ink="ink2", wraps=False)
        self.of.setAlignment(Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter)
        self.of.setMinimumWidth(1)
        self.area = QScrollArea(self)
        self.area.setFrameShape(QFrame.Shape.NoFrame)
        self.area.setWidgetResizable(True)
        self.area.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.area.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self.bars: list[BarView] = []
        self.readiness = WordButton(
            look, tr("Am I ready?"), mark("Am I ready?"), tr("Each outcome: what was right, what comes next"), self,
            size=_TEXT,
        )  # fmt: skip
        self.readiness.clicked.connect(self.readiness_asked)
        self.answers = WordButton(
            look, tr("Answers so far"), mark("Answers so far"), tr("A table to read, to export, to delete"), self,
            size=_TEXT,
        )  # fmt: skip
        self.answers.clicked.connect(self.answers_asked)
        self.seat_words = Label(look, tr("seat"), self, size=_SMALL, ink="ink2", wraps=False)
        self.seat = SeatEntry(look, self)
        self.kept = Label(look, tr("Kept on this machine only, yours to delete."), self, size=_SMALL, ink="ink2")
        self._lay_out()

    def _lay_out(self) -> None:
        column = self.column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        for widget in (self.head, self.title, self.told, self.start, self.after, self.rule):
            column.addWidget(widget)
        line = QHBoxLayout()
        line.addWidget(self.ready)
        line.addWidget(self.of, 1)
        column.addLayout(line)
        column.addWidget(self.area, 1)
        self.foot = QHBoxLayout()
        self.foot.addWidget(self.readiness)
        self.foot.addWidget(self.answers)
        self.foot.addStretch(1)
        self.foot.addWidget(self.seat_words)
        self.foot.addWidget(self.seat)
        column.addLayout(self.foot)
        column.addWidget(self.kept)

    def show_next(self, wanted: Wanted | None, then: Wanted | None) -> None:
        """Show the one next thing, and what comes then."""
        self.wanted, self.then = wanted, then
        self.title.setText(wanted.title if wanted is not None else tr("Nothing is due"))
        self.told.setText(
            wanted.told if wanted is not None else tr("Every task was right. Any lesson may be opened again.")
        )
        self.start.setVisible(wanted is not None)
        if wanted is not None:
            told = tr("Start {title}: {told}").format(title=wanted.title, told=wanted.told)
            self.start.setAccessibleDescription(told)
            set_tip(self.start, told)
        self.after.setVisible(then is not None)
        if then is not None:
            self.after.setText(tr("Then: {title}").format(title=then.title))
            self.after.setAccessibleDescription(then.told)
            set_tip(self.after, then.told)

    def show_bars(self, bars: Sequence[Bar]) -> None:
        """Show how ready one is for each outcome."""
        inner = QWidget()
        column = QVBoxLayout(inner)
        column.setContentsMargins(0, 0, round(6 * self.look.scale), 0)
        column.setSpacing(round(6 * self.look.scale))
        self.bars = [BarView(self.look, bar, inner) for bar in bars]
        for view in self.bars:
            column.addWidget(view)
        column.addStretch(1)
        coloured(inner, self.look)
        self.area.setWidget(inner)

    def take_look(self) -> None:
        """Take colours and distances of the present look."""
        coloured(self.area, self.look)
        if (inner := self.area.widget()) is not None:
            coloured(inner, self.look)
        coloured(self.rule, self.look)
        palette = self.rule.palette()
        palette.setColor(palette.ColorRole.WindowText, self.look.inks.colour("hairline"))
        self.rule.setPalette(palette)
        self.area.verticalScrollBar().setStyleSheet(bar_style(self.look))
        self.column.setSpacing(round(10 * self.look.scale))
        self.start.setMinimumHeight(round(54 * self.look.scale))

    def _start(self) -> None:
        if self.wanted is not None:
            self.started.emit(self.wanted.lesson, self.wanted.task)

    def _start_then(self) -> None:
        if self.then is not None:
            self.started.emit(self.then.lesson, self.then.task)
