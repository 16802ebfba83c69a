"""The page that greets who has not been here: three doors, how it is to look, and what it is not."""

from __future__ import annotations

from functools import partial

from PySide6.QtCore import QRect, Qt, Signal
from PySide6.QtGui import QKeyEvent, QPainter, QPaintEvent, QResizeEvent
from PySide6.QtWidgets import QHBoxLayout, QVBoxLayout, QWidget

from trainer.language import mark, tr
from trainer.units import System
from trainer.window.controls.buttons import WordButton
from trainer.window.controls.labels import Label, take_looks
from trainer.window.first_start.door import Door
from trainer.window.first_start.pictures import drawn, lever
from trainer.window.painting.look import Look
from trainer.window.session.screen import Screen

__all__ = ["BENCH", "LOADER", "DoorsScreen"]

LOADER, BENCH = "timber-trailer-loader", "one-spool-bench"
_EDGE = 106.0  # board px
_SMALL, _TEXT = 20.0, 22.0


class DoorsScreen(Screen):
    """``opened`` is told the number of a door, ``units_asked`` a unit system, ``marks_asked`` whether marks stand.

    ``painted`` tells once that it is seen; ``words_asked`` asks for the page of parts and words.
    """

    full = False
    opened = Signal(int)
    units_asked = Signal(object)
    marks_asked = Signal(bool)
    words_asked = Signal()
    painted = Signal()

    def __init__(self, look: Look, parent: QWidget) -> None:
        super().__init__(parent)
        self.look = look.beside()
        self._seen = False
        self.title = Label(self.look, tr("Start here"), self, size=54.0, weight=600)
        self.subtitle = Label(
            self.look, tr("Three ways in. You can change over at any time."), self, size=_TEXT, ink="ink2"
        )
        theme = self.look.theme
        self.doors = [
            Door(
                self.look,
                tr("I teach a class"),
                tr("The drawing large on the wall, your hand on the levers, answers before anything moves."),
                tr("Open the class view"),
                "1",
                partial(drawn, LOADER, theme),
                self,
            ),
            Door(
                self.look,
                tr("I learn for the practical"),
                tr("Short lessons beside a running rig: say what will happen, run it, find out why it was so."),
                tr("Open the lessons"),
                "2",
                partial(drawn, BENCH, theme),
                self,
            ),
            Door(
                self.look,
                tr("I practise the levers"),
                tr("A weight, one lever, a gauge: move it off gently, hold it slow, set it down softly."),
                tr("Open the ladder"),
                "3",
                lever,
                self,
            ),
        ]
        for k, door in enumerate(self.doors, 1):
            door.button.clicked.connect(partial(self.opened.emit, k))
        self.board = WordButton(
            self.look, tr("Straight to the board  (Esc)"), mark("Straight to the board"),
            tr("Leave this page; Shift+F1 brings it back"), self, size=_TEXT,
        )  # fmt: skip
        self.board.always_bold = True
        self.board.clicked.connect(self.left)
        self.systems = {
            system: WordButton(
                self.look, words, words, tr("Show everything in {units}").format(units=words), self, checkable=True,
                size=_TEXT,
            )
            for system, words in ((System.METRIC, "bar · L/min"), (System.US, "psi · gpm"))
        }  # fmt: skip
        for system, button in self.systems.items():
            button.clicked.connect(partial(self._units, system))
        self.moves = WordButton(
            self.look, tr("move"), mark("Flow marks move"), tr("The marks of the flow move"), self, checkable=True,
            size=_TEXT,
        )  # fmt: skip
        self.stand = WordButton(
            self.look, tr("stand"), mark("Flow marks stand"), tr("Nothing moves but what the oil moves"), self,
            checkable=True, size=_TEXT,
        )  # fmt: skip
        self.moves.clicked.connect(partial(self._marks, False))
        self.stand.clicked.connect(partial(self._marks, True))
        self.words = WordButton(
            self.look, tr("Parts and words"), mark("Parts and words"), tr("What each part does, and what words mean"),
            self, size=_TEXT,
        )  # fmt: skip
        self.words.clicked.connect(self.words_asked)
        self.again = Label(
            self.look, tr("Shift+F1 brings this page back."), self, size=_SMALL, ink="ink2", wraps=False
        )
        self.safety = Label(
            self.look,
            tr(
                "Spoolroom prepares for practical work and never replaces it. At a real machine the maker's manual "
                "and whoever is licensed for the work come first."
            ),
            self,
            size=_SMALL,
            ink="ink2",
        )
        self.own = Label(
            self.look, tr("No account, no network. What you do stays on this machine."), self, size=_SMALL, ink="ink2"
        )
        self.says = Label(self.look, "", self, size=_SMALL, weight=600)
        self.says.hide()
        self._lay_out()
        self.setAccessibleName(tr("Start here"))
        self.setAccessibleDescription(tr("Three ways in: keys 1, 2 and 3; Esc goes to the board"))
        self.setFocusPolicy(Qt.FocusPolicy.ClickFocus)
        self.setFocusProxy(self.doors[1].button)

    def _lay_out(self) -> None:
        self.column = QVBoxLayout(self)
        self.column.addWidget(self.title)
        self.column.addWidget(self.subtitle)
        self.line = QHBoxLayout()
        for door in self.doors:
            self.line.addWidget(door, 1)
        self.column.addLayout(self.line, 1)
        self.foot = QHBoxLayout()
        self.units_words = Label(self.look, tr("Units"), self, size=_TEXT, ink="ink2", wraps=False)
        self.marks_words = Label(self.look, tr("Flow marks"), self, size=_TEXT, ink="ink2", wraps=False)
        self.foot.addWidget(self.board)
        self.foot.addStretch(1)
        self.foot.addWidget(self.units_words)
        for button in self.systems.values():
            self.foot.addWidget(button)
        self.foot.addStretch(1)
        self.foot.addWidget(self.marks_words)
        self.foot.addWidget(self.moves)
        self.foot.addWidget(self.stand)
        self.foot.addStretch(1)
        self.foot.addWidget(self.words)
        self.foot.addStretch(1)
        self.foot.addWidget(self.again)
        self.column.addLayout(self.foot)
        for label in (self.safety, self.own, self.says):
            self.column.addWidget(label)

    def say(self, words: str) -> None:
        """Say at the foot what cannot be kept, or nothing."""
        self.says.setText(words)
        self.says.setVisible(bool(words))

    def _units(self, system: System) -> None:
        self.units_asked.emit(system)
        self.show_choices()

    def _marks(self, stand: bool) -> None:
        self.marks_asked.emit(stand)
        self.show_choices()

    def show_choices(self) -> None:
        """Mark the units, and whether flow marks move."""
        for system, button in self.systems.items():
            button.setChecked(system is self.look.system)
        self.moves.setChecked(not self.look.still_marks)
        self.stand.setChecked(self.look.still_marks)

    def take_look(self) -> None:
        """Take the look of the window, at the scale of this size."""
        scale = self.look.scale = min(self.width() / 1920.0, self.height() / 1080.0)
        edge = round(_EDGE * scale)
        self.column.setContentsMargins(edge, round(74 * scale), edge, round(44 * scale))
        self.column.setSpacing(round(10 * scale))
        self.line.setSpacing(round(72 * scale))
        self.line.setContentsMargins(0, round(30 * scale), 0, round(70 * scale))
        self.foot.setSpacing(round(8 * scale))
        take_looks(self)
        for door, name in zip(self.doors, (LOADER, BENCH), strict=False):
            door.picture.make = partial(drawn, name, self.look.theme)
        self.show_choices()
        self.update()

    def resizeEvent(self, event: QResizeEvent) -> None:
        self.take_look()

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        inks = self.look.inks
        painter.fillRect(event.rect(), inks.colour("paper"))
        hairline, scale = inks.colour("hairline"), self.look.scale
        for one, other in zip(self.doors, self.doors[1:], strict=False):
            area, beside = one.area(), other.area()
            x = (area.right() + beside.left()) // 2
            painter.fillRect(QRect(x, area.top(), 1, area.height()), hairline)
        y = self.foot.geometry().top() - round(22 * scale)
        painter.fillRect(round(_EDGE * scale), y, self.width() - 2 * round(_EDGE * scale), 1, hairline)
        painter.end()
        if not self._seen:
            self._seen = True
            self.painted.emit()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Open a door by its number; the arrows go from door to door."""
        buttons = [door.button for door in self.doors]
        if event.text() in ("1", "2", "3") and not event.isAutoRepeat():
            buttons[int(event.text()) - 1].click()
        elif event.key() in (Qt.Key.Key_Left, Qt.Key.Key_Right):
            at = next((k for k, button in enumerate(buttons) if button is self.window().focusWidget()), 1)
            step = 1 if event.key() == Qt.Key.Key_Right else -1
            buttons[min(max(at + step, 0), len(buttons) - 1)].setFocus(Qt.FocusReason.TabFocusReason)
        else:
            super().keyPressEvent(event)
