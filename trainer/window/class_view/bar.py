"""The clock line before a class: title, run, freeze, step, speed, the rule to rewind by, the time."""

from __future__ import annotations

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QKeyEvent, QPaintEvent
from PySide6.QtWidgets import QWidget

from trainer.drawing.shapes import DrawList, Path, Shape, Words
from trainer.drawing.type_widths import text_width
from trainer.language import mark, tr
from trainer.window.controls.actions import Actions
from trainer.window.controls.buttons import WordButton
from trainer.window.painting import fonts
from trainer.window.painting.canvas import Canvas
from trainer.window.painting.look import Look
from trainer.window.time.clock_bar import SPEEDS, speed_words
from trainer.window.time.line import TimeLine

__all__ = ["HEIGHT", "ClassBar"]

HEIGHT = 76.0  # board px
_SIZE, _TIME, _EDGE, _RULE = 36.0, 46.0, 36.0, 24.0
_TITLE = 430.0  # the most that the title takes [board px]
_LEAST_LINE = 150.0


class ClassTime(TimeLine):
    """The rule to rewind by, without numerals; marks stand over it as pointers."""

    def _ends(self) -> tuple[float, float]:
        return 22.0, self.width() / self.look.scale - 22.0

    def _live(self) -> DrawList:
        left, right = self._ends()
        base = self.height() / self.look.scale / 2 + 2.0
        now, latest = self.place(self.time), self.place(self.end)
        shapes: list[Shape] = [
            Path(((left, base), (right, base)), "hairline", 5.0),
            Path(((left, base), (latest, base)), "ink2", 5.0),
            Path(((left, base), (now, base)), "ink", 6.0),
        ]
        if self.gives_up():
            shapes.append(Path(((now, base), (latest, base)), "accent", 6.0))
        for k in range(11):
            x = left + (right - left) * k / 10
            shapes.append(Path(((x, base + 12.0), (x, base + 20.0)), "ink2", 2.0))
        for time, _ in self.marks:
            x = self.place(time)
            shapes.append(
                Path(((x - 9, base - 26), (x + 9, base - 26), (x, base - 10)), None, 0.0, "ink", closed=True)
            )
        knob = (
            (now - 12, base - 13),
            (now + 12, base - 13),
            (now + 12, base + 6),
            (now, base + 18),
            (now - 12, base + 6),
        )
        shapes.append(Path(knob, None, 0.0, "accent" if self.gives_up() else "ink", closed=True))
        return shapes

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Leave the keys of a presenter's remote to the view."""
        if event.key() in (Qt.Key.Key_PageUp, Qt.Key.Key_PageDown):
            event.ignore()
        else:
            super().keyPressEvent(event)


class ClassBar(QWidget):
    """Title, verbs and time. ``run_asked`` and ``speed_asked`` tell what is asked for; the rule is ``line``."""

    run_asked = Signal(bool)
    speed_asked = Signal(float)

    def __init__(self, look: Look, title: str, actions: Actions, parent: QWidget) -> None:
        super().__init__(parent)
        self.look, self.title = look, title
        self.canvas = Canvas(self, look, self._still, self._live)
        self.time_text, self.notice, self.speed = "0.0 s", "", 1.0

        def add(text: str, name: str, tip: str, action: str, *, glyph: str = "", click: bool = True) -> WordButton:
            button = WordButton(look, text, name, tip, self, glyph=glyph, checkable=click is False, size=_SIZE)
            button.follow(actions[action], tip, click)
            return button

        self.run = add(tr("Run"), mark("Run the clock"), tr("Let time pass"), "run", glyph="run", click=False)
        self.freeze = add(tr("Freeze"), mark("Freeze the clock"), tr("Stop time"), "run", glyph="freeze", click=False)
        self.step = add(tr("Step"), mark("Step the clock"), tr("Move on by one small step"), "step", glyph="step")
        speeds = tr("The next speed; {slower} slower, {faster} faster").format(
            slower=actions["slower"].key, faster=actions["faster"].key
        )
        self.speed_button = WordButton(look, "", mark("Speed of the clock"), speeds, self, checkable=True, size=_SIZE)
        self.line = ClassTime(look, self)
        self.run.clicked.connect(self._run)
        self.freeze.clicked.connect(self._freeze)
        self.speed_button.clicked.connect(self._next_speed)
        self.setAccessibleName(tr("Clock"))

    def _run(self) -> None:
        self.run_asked.emit(True)

    def _freeze(self) -> None:
        self.run_asked.emit(False)

    def _next_speed(self) -> None:
        at = min(range(len(SPEEDS)), key=lambda k: abs(SPEEDS[k] - self.speed))
        self.speed_asked.emit(SPEEDS[(at + 1) % len(SPEEDS)])

    def show_state(self, running: bool, speed: float, time: float) -> None:
        """Show whether the clock runs, its speed and the time [s]."""
        self.run.setChecked(running)
        self.freeze.setChecked(not running)
        self.speed_button.setChecked(True)
        if speed != self.speed or not self.speed_button.text():
            self.speed = speed
            self.speed_button.setText(speed_words(speed))
            self.lay_out()
        text = f"{time:.{3 if speed < 0.1 else 2 if speed < 1 else 1}f} s"
        if text != self.time_text:
            self.time_text = text
            self.update()

    def say(self, words: str) -> None:
        """Show a sentence in the place of the rule, or the rule again."""
        if words != self.notice:
            self.notice = words
            self.line.setVisible(not words)
            self.update()

    def lay_out(self) -> None:
        """Place title, verbs, speed, rule and time; where it is short the words beside the signs go."""
        scale, height = self.look.scale, self.height() - 2
        verbs = {self.run: tr("Run"), self.freeze: tr("Freeze"), self.step: tr("Step")}
        for button, word in verbs.items():
            button.setText(word)
        self._time_left = (
            self.width() / scale - _EDGE - text_width("00:00.000 s"[-len(self.time_text) - 1 :], _TIME, 600)
        )
        self._word = tr("Speed")
        needs = sum(button.sizeHint().width() for button in (*verbs, self.speed_button)) / scale + 90.0
        metrics = fonts.metrics(round(_SIZE * scale), 600)
        wide = metrics.horizontalAdvance(self.title) / scale
        room = self._time_left - needs - text_width(self._word, _SIZE) - _LEAST_LINE - _EDGE
        if room < min(wide, _TITLE):
            self._word = ""
            room += text_width(tr("Speed"), _SIZE)
        room = min(max(room, 160.0), max(_TITLE, room - 200.0))
        self._shown = metrics.elidedText(self.title, Qt.TextElideMode.ElideRight, round(room * scale))
        x = _EDGE * scale + metrics.horizontalAdvance(self._shown) + 28 * scale
        for button in verbs:
            button.setGeometry(round(x), 0, button.sizeHint().width(), height)
            x += button.sizeHint().width() + 6 * scale
        self._word_x = (x + 14 * scale) / scale
        if self._word:
            x += 20 * scale + text_width(self._word, _SIZE) * scale
        self.speed_button.setGeometry(round(x), 0, self.speed_button.sizeHint().width(), height)
        x += self.speed_button.sizeHint().width() + 8 * scale
        self._line_x = x / scale
        right = (self._time_left - 16) * scale
        self.line.setGeometry(round(x), 0, max(round(right - x), 10), height)
        self.canvas.forget()
        self.update()

    _word_x = _line_x = _time_left = 0.0
    _word = _shown = ""

    def _still(self) -> DrawList:
        bottom = self.height() / self.look.scale - 1.0
        return [
            Words(_EDGE, 50.0, self._shown, _SIZE, weight=600),
            Words(self._word_x, 50.0, self._word, _SIZE, "ink2"),
            Path(((0.0, bottom), (self.width() / self.look.scale, bottom)), "hairline", 2.0),
        ]

    def _live(self) -> DrawList:
        right = self.width() / self.look.scale - _EDGE
        shapes: list[Shape] = [Words(right, 53.0, self.time_text, _TIME, weight=600, align="right")]
        if self.notice:
            room = self._time_left - self._line_x - 24.0
            metrics = fonts.metrics(self.look.pixels(_SIZE), 600)
            told = metrics.elidedText(self.notice, Qt.TextElideMode.ElideRight, round(room * self.look.scale))
            shapes.append(Words(self._line_x + 12.0, 50.0, told, _SIZE, weight=600))
        return shapes

    def paintEvent(self, event: QPaintEvent) -> None:
        self.canvas.paint()
