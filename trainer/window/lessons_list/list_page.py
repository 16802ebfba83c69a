"""The list of lessons: by outcome, with what is next and how ready one is beside it."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from pathlib import Path

from PySide6.QtCore import QSize, Qt, Signal
from PySide6.QtGui import QPainter, QPaintEvent
from PySide6.QtWidgets import QHBoxLayout, QSizePolicy, QVBoxLayout, QWidget

from trainer.language import mark, tr, trn
from trainer.lessons.readiness import LessonState
from trainer.lessons.shelf import Shelf
from trainer.window.controls.buttons import WordButton
from trainer.window.controls.items import Item
from trainer.window.controls.labels import Label
from trainer.window.controls.plain_page import PlainPage
from trainer.window.lessons_list.rows import Columns, LessonItem, LessonList
from trainer.window.lessons_list.side import Side
from trainer.window.lessons_list.words import DEPTH_WORDS, note
from trainer.window.painting import fonts
from trainer.window.painting.look import Look

__all__ = ["ListPage"]

_SMALL, _SIDE = 18.0, 444.0  # type; width of what stands beside [board px]
_FAULTY, _OTHER = "faulty", "other"


class HeadRow(QWidget):
    """What stands in the columns of the list."""

    def __init__(self, look: Look, rows: LessonList, parent: QWidget) -> None:
        super().__init__(parent)
        self.look, self.rows = look, rows
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)

    def sizeHint(self) -> QSize:
        """Return room for a line."""
        return QSize(100, round(1.6 * self.look.pixels(_SMALL)))

    def take_look(self) -> None:
        """Take the present look."""
        self.update()

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.fillRect(self.rect(), self.look.inks.colour("paper"))
        columns = Columns(self.look, self.rows.viewport().width())
        painter.setFont(fonts.font(columns.pixels))
        painter.setPen(self.look.inks.colour("ink2"))
        line = round(1.1 * columns.pixels)
        minutes = tr("min")
        wide = fonts.metrics(columns.pixels).horizontalAdvance(minutes)
        painter.drawText(round(columns.minutes - wide), line, minutes)
        for depth, left in columns.depths.items():
            painter.drawText(round(left), line, tr(DEPTH_WORDS[depth]))
        painter.end()


class ListPage(PlainPage):
    """``started`` is told (lesson, task or "", depth or 0); ``fault_asked`` the file of a faulty lesson.

    ``folder_asked`` asks to see the folder of one's own lessons.
    """

    started = Signal(str, str, int)
    fault_asked = Signal(str)
    folder_asked = Signal()

    def __init__(self, look: Look, parent: QWidget) -> None:
        keys = tr("Enter or a click starts a lesson. F12 or Esc: back to the board")
        super().__init__(look, tr("Lessons"), keys, parent)
        self.list = LessonList(look, self)
        self.headings = HeadRow(look, self.list, self)
        self.side = Side(look, self)
        self.free = Label(look, tr("Any lesson may be opened at any time."), self, size=_SMALL, ink="ink2")
        self.glossary = WordButton(
            look, tr("Parts and words"), mark("Parts and words"), tr("What each part does, and what words mean"),
            self, size=20.0,
        )  # fmt: skip
        self.practice = WordButton(
            look, tr("Lever practice"), mark("Lever practice"),
            tr("The ladder: tasks for the hands, and how they went"), self, size=20.0,
        )  # fmt: skip
        self.own = Label(look, "", self, size=_SMALL, ink="ink2")
        self.own.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
        self.own.setAttribute(Qt.WidgetAttribute.WA_TransparentForMouseEvents, False)
        self.exam = WordButton(
            look, tr("As an exam"), mark("As an exam"),
            tr("The next one that is started: new numbers, three tries a task, no hint, no why before the end"), self,
            checkable=True, size=20.0,
        )  # fmt: skip
        self.folder = WordButton(
            look,
            tr("Open the folder"),
            mark("Open the folder"),
            tr("The folder of your own lessons"),
            self,
            size=20.0,
        )
        self.folder.clicked.connect(self.folder_asked)
        self.list.started.connect(lambda lesson, depth: self.started.emit(lesson, "", depth))
        self.list.entered.connect(self._entered)
        self.side.started.connect(lambda lesson, task: self.started.emit(lesson, task, 0))
        self.halves = QHBoxLayout()
        left = self.left_half = QVBoxLayout()
        left.addWidget(self.headings)
        left.addWidget(self.list, 1)
        foot = QHBoxLayout()
        foot.addWidget(self.free, 1)
        foot.addWidget(self.exam)
        foot.addWidget(self.practice)
        foot.addWidget(self.glossary)
        left.addLayout(foot)
        below = QHBoxLayout()
        below.addWidget(self.own, 1)
        below.addWidget(self.folder)
        left.addLayout(below)
        self.halves.addLayout(left, 1)
        self.halves.addWidget(self.side)
        self.body.addLayout(self.halves)
        self.setFocusProxy(self.list)
        for before, after in (
            (self.list, self.side.start),
            (self.side.start, self.side.after),
            (self.side.after, self.side.readiness),
            (self.side.readiness, self.side.answers),
            (self.side.answers, self.side.seat),
            (self.side.seat, self.exam),
            (self.exam, self.practice),
            (self.practice, self.glossary),
            (self.glossary, self.folder),
        ):
            QWidget.setTabOrder(before, after)

    def fill(self, shelf: Shelf, states: Sequence[LessonState], now: datetime, own: Path, chosen: str = "") -> None:
        """Show the lessons of a shelf and how far one is in each, files with faults at the end."""
        items: list[Item] = []
        groups: dict[str, list[LessonState]] = {id_: [] for id_ in shelf.outcomes}
        for state in states:
            first = next((id_ for id_ in state.lesson.outcomes if id_ in groups), _OTHER)
            groups.setdefault(first, []).append(state)
        for outcome, found in groups.items():
            if found:
                known = shelf.outcomes.get(outcome)
                words = known.words if known is not None else tr("Other lessons")
                code = f"{known.code}  " if known is not None and known.code else ""
                items.append(Item(f"outcome {outcome}", f"{code}{words}", heading=True))
                items += [self._item(shelf, state, now) for state in found]
        if shelf.faulty:
            items.append(Item(_FAULTY, tr("Files with faults"), heading=True))
            for faulty in shelf.faulty:
                count = len(faulty.error.faults)
                told = trn("{count} thing to put right", "{count} things to put right", count).format(count=count)
                items.append(
                    Item(f"file {faulty.path}", faulty.path.name, right=told, tip=tr("Show what is wrong with it"))
                )
        self.list.fill(items, chosen or self.list.key)
        self.own.setText(tr("Lessons of your own: {folder}").format(folder=own))
        self.list.viewport().update()

    @staticmethod
    def _item(shelf: Shelf, state: LessonState, now: datetime) -> LessonItem:
        lesson = state.lesson
        return LessonItem(
            lesson.id,
            lesson.title,
            mark=tr("yours") if lesson.id in shelf.own else "",
            tip=lesson.before.replace("\n", " ") or lesson.title,
            minutes=lesson.minutes,
            depths=dict(state.depths),
            note=note(state, now),
            due=state.state == "due",
        )

    def _entered(self, key: str) -> None:
        if key.startswith("file "):
            self.fault_asked.emit(key.removeprefix("file "))

    def lay_out(self) -> None:
        """Place the two halves."""
        scale = self.look.scale
        self.halves.setSpacing(round(46 * scale))
        self.left_half.setSpacing(round(8 * scale))
        self.side.setFixedWidth(max(round(_SIDE * scale), 250))
        self.fit_head()
