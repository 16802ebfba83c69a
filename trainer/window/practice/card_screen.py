"""The score card as a screen: three measures, the traces, the curve, what to try next, what can be done."""

from __future__ import annotations

import itertools

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QKeyEvent, QMouseEvent, QPaintEvent
from PySide6.QtWidgets import QWidget

from trainer.drawing.shapes import DrawList, Path, Words
from trainer.drawing.type_widths import text_width
from trainer.language import mark, tr
from trainer.practice.catalogue import called
from trainer.practice.telling import filled, told
from trainer.window.controls.actions import Actions
from trainer.window.controls.buttons import WordButton
from trainer.window.controls.labels import Label
from trainer.window.controls.own_keys import PressButton
from trainer.window.controls.tips import set_tip
from trainer.window.painting.canvas import Canvas
from trainer.window.painting.look import Look
from trainer.window.practice.beside_shapes import instant_of
from trainer.window.practice.card import Card
from trainer.window.practice.card_shapes import (
    EDGE,
    ROW,
    ROWS,
    card_shapes,
    laps_place,
    left_wide,
    middle,
    plots_shown,
    row_shapes,
    traces_room,
)
from trainer.window.practice.head import HEIGHT as HEAD
from trainer.window.practice.page import PracticePage
from trainer.window.practice.traces_shapes import columns_of
from trainer.window.practice.words import BANDS

__all__ = ["CardScreen"]

_ACTION, _KEY = 21.0, 18.4
_STEP, _FAR = 0.1, 10  # s that an arrow key goes along; times as far with Shift
_ACTIONS = (  # what is asked for, words, key, what it does
    ("enter", mark("Again"), "Enter", mark("The same task once more")),
    ("run", mark("See it run"), "Space", mark("Look at any instant of this attempt, from any side")),
    (
        "runs",
        mark("Beside the best"),
        "F8",
        mark("This attempt and your best one beside each other, with both machines, or over each other"),
    ),
    ("picture", mark("Print the card"), "Ctrl+P", mark("Write the card into a file for paper")),
    ("export", mark("Table"), "Ctrl+E", mark("Write the traces into a table (CSV)")),
    ("left", mark("Ladder"), "Esc", mark("Back to the ladder")),
)


class MeasureRow(PressButton):
    """One of the measures that stand below: pressed, it comes to the front."""

    def __init__(self, look: Look, card: Card, measure: str, parent: QWidget) -> None:
        super().__init__(parent)
        self.look, self.card, self.measure = look, card, measure
        self.canvas = Canvas(self, look, self._still, self._live)
        self.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        self.setCursor(Qt.CursorShape.PointingHandCursor)
        one = card.score.one(measure)
        name, now = called(measure, card.task.names), told(measure, one.value, one.quantity, look.system)
        self.setObjectName(f"measure {measure}")
        self.setAccessibleName(f"{name}: {now}")
        self.setAccessibleDescription(tr("Enter brings it to the front"))
        set_tip(self, tr("{name}: a click brings it to the front").format(name=name))

    def _still(self) -> DrawList:
        return row_shapes(self.card, self.measure, self.look.system, self.look.least)

    def _live(self) -> DrawList:
        if not self.underMouse():
            return ()
        bottom = self.height() / self.look.scale - 1.0
        return [Path(((0.0, bottom), (left_wide(self.look.least), bottom)), "ink2", 1.0)]

    def paintEvent(self, event: QPaintEvent) -> None:
        self.canvas.paint()


class CardBody(QWidget):
    """All of the card that is no button. ``chosen`` tells an instant that is clicked in the traces [s]."""

    chosen = Signal(float)

    def __init__(self, look: Look, card: Card, keys: DrawKeys, parent: QWidget) -> None:
        super().__init__(parent)
        self.look, self.card, self.keys = look, card, keys
        self.canvas = Canvas(self, look, self._still, placing=self._placing)

    def _placing(self) -> tuple[float, tuple[float, float]]:
        return self.look.scale, (0.0, -float(self.y()))

    def _still(self) -> DrawList:
        return [*card_shapes(self.card, self.look.system, self._size(), least=self.look.least), *self.keys.shapes()]

    def _size(self) -> tuple[float, float]:
        return self.width() / self.look.scale, (self.height() + self.y()) / self.look.scale

    def mousePressEvent(self, event: QMouseEvent) -> None:
        """Choose the instant of both machines."""
        self._choose(event)

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        self._choose(event)

    def _choose(self, event: QMouseEvent) -> None:
        left, top, wide, high = traces_room(self._size(), self.look.least)
        x = event.position().x() / self.look.scale - left
        y = (event.position().y() + self.y()) / self.look.scale - top
        if not self.card.machines or not 0.0 <= y <= high or not event.buttons() & Qt.MouseButton.LeftButton:
            return
        for begin, end in columns_of(wide, True):
            if begin <= x <= end:
                self.chosen.emit((x - begin) / (end - begin) * plots_shown(self.card, self.look.system).until)

    def paintEvent(self, event: QPaintEvent) -> None:
        self.canvas.paint()


class DrawKeys:
    """The keys that stand behind the words of buttons."""

    def __init__(self) -> None:
        self.places: list[tuple[float, float, str]] = []

    def shapes(self) -> DrawList:
        """Return them as words."""
        return [Words(x, y, key, _KEY, "ink2") for x, y, key in self.places]


class CardScreen(PracticePage):
    """A card, with its buttons. ``lap_asked`` tells which lap's traces are wanted, ``swapped`` a measure."""

    own = ("run", "runs", "picture", "export", "reset")
    lap_asked = Signal(int)
    swapped = Signal(str)

    def __init__(self, look: Look, card: Card, next_words: str, actions: Actions, parent: QWidget) -> None:
        assert card.task.rig is not None
        super().__init__(look, card.task.rig.title, actions, parent)
        self.card = card
        self.keys = DrawKeys()
        self.body = CardBody(look, card, self.keys, self)
        self.body.chosen.connect(self.choose)
        self.buttons: dict[str, WordButton] = {}
        for name, words, key, tip in _ACTIONS:
            text = next_words if name == "enter" and next_words else tr(words)
            tip = f"{tr(tip)}  ({key})"
            button = WordButton(look, text, words, tip, self, size=_ACTION, checkable=name == "enter")
            button.setAccessibleName(text)
            button.clicked.connect(lambda _=False, name=name: self._press(name))
            self.buttons[name] = button
        self.buttons["enter"].setChecked(True)  # the one that Enter does
        self.rows: list[MeasureRow] = []
        self.laps: list[WordButton] = []
        if len(card.attempt.traces) > 1:
            for k, lap in enumerate(card.attempt.laps[: len(card.attempt.traces)]):
                words = filled(lap.words, look.system)
                button = WordButton(
                    look, words, f"lap {k + 1}", tr("The traces of {lap}").format(lap=words), self,
                    size=_KEY, checkable=True,
                )  # fmt: skip
                button.setAccessibleName(tr("Traces of {lap}").format(lap=words))
                button.clicked.connect(lambda _=False, k=k: self.show_lap(k))
                self.laps.append(button)
        self.buttons["runs"].setEnabled(card.best_trace is not None)
        self.says = Label(look, "", self, size=_KEY, weight=600, wraps=False)
        self.says.hide()
        self.setAccessibleName(tr("Score card"))
        self._make_rows()
        self._order()

    def _press(self, name: str) -> None:
        self.buttons["enter"].setChecked(True)
        if name == "left":
            self.left.emit()
        else:
            self.asked.emit(name)

    def _make_rows(self) -> None:
        for row in self.rows:
            row.hide()
            row.deleteLater()
        self.rows = []
        for measure in self.card.others:
            row = MeasureRow(self.look, self.card, measure, self)
            row.clicked.connect(lambda _=False, measure=measure: self.swap(measure))
            self.rows.append(row)
        told_ = [self.card.headline(self.look.system).rstrip(".")]
        for id_ in self.card.shown:
            one = self.card.score.one(id_)
            band = tr(BANDS[one.band]) if one.band is not None else ""
            told_.append(f"{one.words}: {one.told(self.look.system)}, {band}".rstrip(", "))
        told_ += [words.rstrip(".") for words in self.card.advice.told(self.look.system)]
        self.setAccessibleDescription(". ".join(told_))

    def _order(self) -> None:
        chain = [*self.buttons.values(), *self.laps, *self.rows, self.head.again, self.head.ladder]
        for one, other in itertools.pairwise(chain):
            QWidget.setTabOrder(one, other)

    def swap(self, measure: str) -> None:
        """Bring a measure to the front."""
        at = [row.measure for row in self.rows].index(measure)
        had = self.rows[at].hasFocus()
        self.card.swap_in(measure)
        self._make_rows()
        self._order()
        self.lay_out()
        if had and self.rows:
            self.rows[min(at, len(self.rows) - 1)].setFocus(Qt.FocusReason.TabFocusReason)
        self.swapped.emit(measure)

    def show_lap(self, lap: int) -> None:
        """Show the traces of another lap."""
        self.card.lap = lap
        self.card.chosen = None
        self.lay_out()
        self.lap_asked.emit(lap)

    def change_beside(self) -> None:
        """Show the best run beside this one, or below it again."""
        if self.card.best_trace is not None:
            self.card.apart = not self.card.apart
            self.lay_out()

    def choose(self, seconds: float) -> None:
        """Show both machines at an instant [s]."""
        if self.card.machines:
            self.card.chosen = min(max(seconds, 0.0), self.card.until)
            self.body.canvas.forget()
            self.body.update()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Go along by a tenth of a second, or by a second with Shift, where both machines are shown."""
        step = {Qt.Key.Key_Left: -_STEP, Qt.Key.Key_Right: _STEP}.get(Qt.Key(event.key()))
        if step is None or not self.card.machines:
            super().keyPressEvent(event)
            return
        far = _FAR if event.modifiers() & Qt.KeyboardModifier.ShiftModifier else 1
        now = instant_of(self.card, plots_shown(self.card, self.look.system))
        self.choose(now + far * step)

    def say(self, words: str) -> None:
        """Say something, or nothing."""
        self.says.setText(words)
        self.says.setVisible(bool(words))
        self.lay_out()

    def new_look(self) -> None:
        """Show all in the present units and theme."""
        self._make_rows()
        self._order()
        self.lay_out()

    def lay_out(self) -> None:
        """Place everything for the present size."""
        scale = min(self.width() / 1920.0, self.height() / 1080.0)
        self.look.scale = scale
        top = round(HEAD * scale)
        self.body.setGeometry(0, top, self.width(), self.height() - top)
        wide, high = self.width() / scale, self.height() / scale
        room, left = int((high - 34.0 - ROWS) / ROW), round(left_wide(self.look.least) * scale)
        for k, row in enumerate(self.rows):
            y = ROWS + k * ROW
            row.setGeometry(round(EDGE * scale), round(y * scale), left, round(ROW * scale))
            row.setVisible(k < room)
            row.raise_()
        x, y = laps_place(wide)
        for k, button in reversed([*enumerate(self.laps)]):
            size = button.sizeHint()
            x -= size.width() / scale + 6.0
            button.setGeometry(
                round(x * scale), round((y - 8.0) * scale - size.height() / 2), size.width(), size.height()
            )
            button.setChecked(k == self.card.lap)
            button.raise_()
        self._lay_out_actions(high)
        super().lay_out()

    def _lay_out_actions(self, high: float) -> None:
        scale = self.look.scale
        x, y = middle(self.look.least) - 8.0, high - 42.0
        self.keys.places = []
        for (name, _, key, _), button in zip(_ACTIONS, self.buttons.values(), strict=True):
            size = button.sizeHint()
            assert self.buttons[name] is button
            button.setGeometry(
                round(x * scale), round((y - 7.0) * scale - size.height() / 2), size.width(), size.height()
            )
            button.raise_()
            x += size.width() / scale + 4.0
            self.keys.places.append((x, y, key))
            x += text_width(key, self.look.size(_KEY)) + 34.0
        self.says.take_look()
        size = self.says.sizeHint()
        top = round((y - 7.0) * scale - size.height() / 2)
        self.says.setGeometry(round(x * scale), top, round(self.width() - (x + EDGE) * scale), size.height())
        self.says.raise_()
