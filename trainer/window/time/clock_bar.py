"""The clock bar: run, freeze, step, reset, the speeds, the time; unit systems and looks at the right."""

from __future__ import annotations

import pathlib

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QPaintEvent
from PySide6.QtWidgets import QButtonGroup, QWidget

from trainer.drawing.shapes import DrawList, Path, Words
from trainer.language import mark, tr
from trainer.units import System
from trainer.window.controls.actions import Actions
from trainer.window.controls.buttons import WordButton
from trainer.window.painting import fonts
from trainer.window.painting.canvas import Canvas
from trainer.window.painting.look import Look

__all__ = ["SPEEDS", "ClockBar", "speed_words"]

_LEFT, _AFTER_TITLE, _GAP, _BEFORE_SPEEDS = 28.0, 18.0, 4.0, 16.0  # board px
_SPEED = mark("Speed")
_CHANGED = mark("• changed, not saved")  # below the title of a rig of no file
_MARK = 14.0  # size of its type [board px]
SPEEDS = (1 / 1000, 1 / 100, 1 / 10, 1.0, 2.0, 4.0)


def speed_words(speed: float) -> str:
    """Return a speed of the clock as it is written: "1/100", "1/1", "2"."""
    return f"1/{round(1 / speed)}" if speed <= 1 else f"{speed:g}"


class ClockBar(QWidget):
    """Buttons and the time. It tells what is asked for; the window does it."""

    run_asked = Signal(bool)
    speed_asked = Signal(float)
    system_asked = Signal(object)
    open_asked = Signal()

    def __init__(self, look: Look, title: str, machine: bool, actions: Actions, parent: QWidget) -> None:
        super().__init__(parent)
        self.look = look
        self.title = title
        self.time_text = "0.0 s"
        self.canvas = Canvas(self, look, self._still, self._live)

        def add(text: str, name: str, tip: str, action: str = "", *, glyph: str = "", checkable: bool = False,
                click: bool = True) -> WordButton:  # fmt: skip
            button = WordButton(look, text, name, tip, self, glyph=glyph, checkable=checkable)
            if action:
                button.follow(actions[action], tip, click)
            return button

        self.rigs = add(title, mark("Choose a rig"), tr("Open another rig"), "rigs", glyph="rigs")
        self.rigs.always_bold = True
        self.open = add(
            tr("Open"),
            mark("Open a rig file"),
            tr("Open a rig file of your own; it can be dropped on the window too"),
        )
        self.machine = add(
            tr("Machine"),
            mark("Show the machine"),
            tr("Drawing, drawing and machine, machine"),
            "view",
            checkable=True,
        )
        self.machine.setVisible(machine)
        self.run = add(
            tr("Run"), mark("Run the clock"), tr("Let time pass"), "run", glyph="run", checkable=True, click=False
        )
        self.freeze = add(
            tr("Freeze"),
            mark("Freeze the clock"),
            tr("Stop time; everything stays as it is"),
            "run",
            glyph="freeze",
            checkable=True,
            click=False,
        )
        self.step = add(
            tr("Step"), mark("Step the clock"), tr("Freeze, and move on by one small step"), "step", glyph="step"
        )
        self.reset = add(
            tr("Reset"),
            mark("Reset to the start"),
            tr("Back to the start; numbers and screws stay"),
            "reset",
            glyph="reset",
        )
        speeds = f"{actions['slower'].tip(tr('Slower'))}, {actions['faster'].tip(tr('faster'))}"
        self.speeds = {
            speed: add(
                speed_words(speed),
                tr("Speed {speed_words} of real time").format(speed_words=speed_words(speed)),
                speeds,
                checkable=True,
            )
            for speed in SPEEDS
        }
        self.lesson = add(
            tr("Lesson"), mark("The lesson"), tr("The lesson that is open, or ledgers and strip"), "lesson",
            checkable=True,
        )  # fmt: skip
        self.lesson.hide()
        self.marks = add(
            tr("Still"),
            mark("Still flow marks"),
            tr("Flow marks stand, the flow is written"),
            "marks",
            checkable=True,
        )
        self.theme = add(tr("Dark"), mark("Dark theme"), tr("Light or dark"), "theme", checkable=True)
        self.projector = add(
            tr("Class"), mark("Class view"), tr("The class view, full screen, with its questions"), "projector"
        )
        self.help = add(tr("Keys"), mark("Show the keys"), tr("All keys on one page"), "help")
        self.systems = {
            system: add(
                system.value,
                tr("Units {value}").format(value=system.value),
                tr("Units at once"),
                "units",
                checkable=True,
                click=False,
            )
            for system in System
        }
        for group in ((self.run, self.freeze), self.speeds.values(), self.systems.values()):
            together = QButtonGroup(self)
            for button in group:
                together.addButton(button)
        self.run.clicked.connect(self._run)
        self.freeze.clicked.connect(self._freeze)
        self.open.clicked.connect(self.open_asked)
        self._verbs = {button: button.text() for button in (self.run, self.freeze, self.step, self.reset)}
        self.looks = (self.machine, self.lesson, self.marks, self.theme, self.projector, self.help)
        for button in self.speeds.values():
            button.clicked.connect(self._speed)
        for button in self.systems.values():
            button.clicked.connect(self._system)
        self.setAccessibleName(tr("Clock"))

    def _run(self) -> None:
        self.run_asked.emit(True)

    def _freeze(self) -> None:
        self.run_asked.emit(False)

    def _speed(self) -> None:
        for speed, button in self.speeds.items():
            if button.isChecked():
                self.speed_asked.emit(speed)

    def _system(self) -> None:
        for system, button in self.systems.items():
            if button.isChecked():
                self.system_asked.emit(system)

    def show_state(self, running: bool, speed: float, time: float) -> None:
        """Show whether the clock runs, at which speed, and the time [s]."""
        self.run.setChecked(running)
        self.freeze.setChecked(not running)
        if speed in self.speeds:
            self.speeds[speed].setChecked(True)
        text = f"{time:.{4 if speed < 0.01 else 3 if speed < 0.1 else 2 if speed < 1 else 1}f} s"
        if text != self.time_text:
            self.time_text = text
            left = round(self._side)
            self.update(left, 0, min(button.x() for button in self.systems.values()) - left, self.height())

    def show_file(self, file: pathlib.Path | None, changed: bool) -> None:
        """Show which file is open, and whether the rig differs from it."""
        if (file, changed) != (self._file, self._changed):
            self._file, self._changed = file, changed
            self.lay_out(self._side)
            told = [] if file is None else [str(file)]
            self.rigs.tell_more(", ".join([*told, tr("changed, not saved")] if changed else told))
            self.canvas.forget()
            self.update()

    def _file_words(self) -> str:
        """Return what stands below the title; a name that has no room there is shortened in its middle."""
        if self._file is None:
            return tr(_CHANGED) if self._changed else ""
        before, after = ("• ", tr(", not saved")) if self._changed else ("", "")
        metrics = fonts.metrics(self._pixels(_MARK))
        room = self.open.x() + self.open.width() - self.rigs.x() - 32.0 * self.look.scale
        room -= metrics.horizontalAdvance(before + after) + 2
        return before + metrics.elidedText(self._file.name, Qt.TextElideMode.ElideMiddle, room) + after

    def show_look(self) -> None:
        """Show the chosen units and looks."""
        self.systems[self.look.system].setChecked(True)
        self.theme.setChecked(self.look.theme == "dark")
        self.marks.setChecked(self.look.still_marks)
        self.canvas.forget()
        self.update()

    def show_lesson(self, there: bool, shown: bool = False) -> None:
        """Show whether a lesson is open, and whether it is seen."""
        self.lesson.setChecked(shown)
        if there == self.lesson.isHidden():
            self.lesson.setVisible(there)
            if self._side:
                self.lay_out(self._side)

    def show_view(self, view: str) -> None:
        """Show whether the machine stands beside the drawing, or alone."""
        self.machine.setChecked(view != "drawing")
        self.machine.setAccessibleDescription(tr("shown now: {view}").format(view=tr(view)))

    def lay_out(self, side: float) -> None:
        """Place the buttons; ``side`` is where the read-out column begins [px].

        Where the bar is short the word "Speed" goes, then the words beside the signs, last the end of the title.
        """
        scale, height = self.look.scale, self.height() - 1
        room = side - 12 * scale
        self._brief(0)
        for brief in range(1, 3):
            if self._needs() > room:
                self._brief(brief)
        over = self._needs() - room
        if over > 0:
            metrics = fonts.metrics(self.rigs.pixels, 600)
            left = max(metrics.horizontalAdvance(self.title) - over - 1, 0.0)
            self.rigs.setText(metrics.elidedText(self.title, Qt.TextElideMode.ElideRight, left))

        def place(button: QWidget, left: float) -> float:
            width = button.sizeHint().width()
            button.setGeometry(round(left), 0, width, height)
            return left + width

        x = place(self.open, place(self.rigs, _LEFT * scale)) + _AFTER_TITLE * scale
        if self._changed or self._file is not None:  # title and "Open" move up from the words below them
            lifted = self._mark_base - 0.75 * self._pixels(_MARK) - 0.53 * self.rigs.pixels
            for button in (self.rigs, self.open):
                button.resize(button.width(), min(round(2 * lifted), height))
        for button in self._verbs:
            x = place(button, x) + _GAP * scale
        self._speed_x = x + _BEFORE_SPEEDS * scale
        x = self._speed_x + self._word_width(self._speed_word)
        for button in self.speeds.values():
            x = place(button, x)
        shown = [button for button in self.looks if not button.isHidden()]
        right = max(room - sum(button.sizeHint().width() + 2 * scale for button in shown), x)
        for button in shown:
            right = place(button, right) + 2 * scale
        right = self.width() - 16 * scale
        for button in reversed(self.systems.values()):
            right -= button.sizeHint().width()
            place(button, right)
        self._side = side
        self.canvas.forget()

    @property
    def _mark_base(self) -> float:
        """Baseline of the words below the title [px]."""
        return self.height() - 2 - 0.22 * self._pixels(_MARK)

    def _brief(self, level: int) -> None:
        """Write all words, or fewer: from 1 no "Speed", from 2 no words beside signs."""
        self.rigs.setText(self.title)
        self._speed_word = "" if level else tr(_SPEED)
        for button, word in self._verbs.items():
            button.setText("" if level > 1 else word)

    def _needs(self) -> float:
        """Return the width that title, "Open", verbs, speeds and looks need [px]."""
        scale = self.look.scale
        looks = [button for button in self.looks if not button.isHidden()]
        buttons = [self.rigs, self.open, *self._verbs, *self.speeds.values(), *looks]
        gaps = _LEFT + _AFTER_TITLE + _GAP * len(self._verbs) + _BEFORE_SPEEDS + 2 * len(looks)
        return gaps * scale + self._word_width(self._speed_word) + sum(b.sizeHint().width() for b in buttons)

    _changed = False
    _file: pathlib.Path | None = None
    _side = 0.0
    _speed_x = 0.0
    _speed_word = ""

    def _pixels(self, size: float) -> int:
        return self.look.pixels(size)

    def _word_width(self, word: str) -> float:
        if not word:
            return 0.0
        return fonts.metrics(self._pixels(19.8), 400).horizontalAdvance(word) + 6 * self.look.scale

    def _still(self) -> DrawList:
        scale = self.look.scale
        bottom = self.height() / scale - 0.5
        words = self._file_words()
        mark = Words(self.rigs.x() / scale + 32.0, self._mark_base / scale, words, _MARK, "ink")
        return [
            *([mark] if words else []),
            Words(self._speed_x / scale, 35.0, self._speed_word, 19.8, "ink2"),
            Path(((0.0, bottom), (self.width() / scale, bottom)), "hairline", 1.0),
        ]

    def _live(self) -> DrawList:
        x = self._side / self.look.scale + 24.0
        return [Words(x, 38.0, f"t = {self.time_text}", 28.0, weight=600)]

    def paintEvent(self, event: QPaintEvent) -> None:
        self.canvas.paint(event.rect())
