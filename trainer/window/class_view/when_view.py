"""In the right column while a question is made: what is asked, how it is answered, and of which instant."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from PySide6.QtCore import Signal
from PySide6.QtGui import QPaintEvent
from PySide6.QtWidgets import QWidget

from trainer.drawing.shapes import DrawList, Path, Shape, Words
from trainer.drawing.type_widths import wrapped
from trainer.language import mark, tr
from trainer.rig.rig import Rig
from trainer.window.class_view.asking import Asked, hands_words
from trainer.window.controls.buttons import WordButton
from trainer.window.painting.canvas import Canvas
from trainer.window.painting.look import Look

__all__ = ["WhenView"]

_LEFT, _RIGHT = 40.0, 580.0
_ROW = 76.0  # of a button [board px]
_FIGURES = mark("Figures called out")


class WhenView(QWidget):
    """What may be asked of a click, and when; a click on a lever puts the question, or adds the lever to several.

    ``asked`` tells that the question is put as it stands here, ``changed`` that something else is chosen.
    """

    asked = Signal()
    changed = Signal()

    def __init__(self, look: Look, rig: Rig, parent: QWidget) -> None:
        super().__init__(parent)
        self.look, self.rig = look, rig
        self.may: Sequence[Asked] = ()
        self.chosen = 0
        self.figures = False
        self.hands: Mapping[str, float] = {}  # of several levers
        self.canvas = Canvas(self, look, self._still)
        self.kinds = [
            WordButton(look, "", f"Question {k + 1}", "", self, size=38.0, checkable=True) for k in range(3)
        ]
        for k, kind in enumerate(self.kinds):
            kind.clicked.connect(lambda _=False, k=k: self.choose(k))
        tip = tr("The class says numbers; without options to choose from")
        self.called = WordButton(look, tr(_FIGURES), _FIGURES, tip, self, size=38.0, checkable=True)
        self.called.clicked.connect(self.change_figures)
        tip = tr("Ask of the instant that is shown, without a run")
        self.now = WordButton(look, tr("As it stands now"), mark("Ask of this instant"), tip, self, size=46.0)
        self.now.clicked.connect(self.asked)
        self.put = WordButton(
            look, tr("Put the question"), mark("Put the question"), tr("With the levers chosen here"), self, size=46.0
        )
        self.put.clicked.connect(self.asked)
        self.setAccessibleName(tr("What is asked, and of which instant"))

    @property
    def wanted(self) -> Asked:
        """What is asked."""
        return self.may[self.chosen]

    def begin(self, may: Sequence[Asked]) -> None:
        """Offer what may be asked of a click."""
        self.may, self.chosen, self.figures, self.hands = may, 0, False, {}
        self._told()

    def choose(self, k: int) -> None:
        """Ask something else of the same click."""
        self.chosen, self.hands = k, {}
        self.changed.emit()
        self._told()

    def change_figures(self) -> None:
        """Let numbers be called out, or options be chosen from."""
        self.figures = not self.figures
        self._told()

    def add(self, control: str, goal: float) -> None:
        """Take one of several levers, or take it out again."""
        hands = dict(self.hands)
        if hands.get(control) == goal:
            del hands[control]
        else:
            hands[control] = goal
        self.hands = hands
        self._told()

    def _told(self) -> None:
        for k, (button, one) in enumerate(zip(self.kinds, self.may, strict=False)):
            button.setText(one.title)
            button.setAccessibleName(one.title)
            button.setChecked(k == self.chosen)
        self.called.setChecked(self.figures)
        self.lay_out()

    def lay_out(self) -> None:
        """Place the buttons below the words."""
        if not self.may:
            return
        scale = self.look.scale
        self.canvas.least = 35.6 * scale
        y = self._words_end(self._question())
        several, one_kind = self.wanted.several, len(self.may) < 2
        for k, button in enumerate(self.kinds):
            shown = k < len(self.may) and not one_kind
            button.setVisible(shown)
            if shown:
                self._place(button, y)
                y += _ROW
        figures = self.wanted.kind in ("reading", "time")
        self.called.setVisible(figures)
        if figures:
            self._place(self.called, y)
            y += _ROW
        self._below = y + 30.0
        y = self._words_end(self._instant()) + 6.0
        self.now.setVisible(not several and self.wanted.kind != "time")
        self._place(self.now, y)
        self.put.setVisible(several and len(self.hands) > 1)
        self._place(self.put, y)
        self.canvas.forget()
        self.update()

    def _place(self, button: WordButton, y: float) -> None:
        size = button.sizeHint()
        scale = self.look.scale
        button.setGeometry(round((_LEFT - 8) * scale), round(y * scale), size.width(), size.height())

    _below = 430.0

    def _question(self) -> list[Words]:
        return self._lines(self.wanted.words, 90.0, 46.0, 600)

    def _instant(self) -> list[Words]:
        if self.wanted.several:
            words = hands_words(self.rig, self.hands) or tr("Click two levers or more, each on the side it goes to.")
        elif self.wanted.kind == "time":
            words = tr("Now click the lever on the side it goes to.")
        else:
            words = tr("When the lever goes to one end: click the lever on that side. Or:")
        return self._lines(words, self._below + 38.0, 38.0, 400)

    @staticmethod
    def _lines(words: str, y: float, size: float, weight: int) -> list[Words]:
        lines = wrapped(words, _RIGHT - _LEFT, size, weight)
        return [Words(_LEFT, y + 1.2 * size * k, line, size, weight=weight) for k, line in enumerate(lines)]

    @staticmethod
    def _words_end(lines: Sequence[Words]) -> float:
        return max(line.y + 0.6 * line.size for line in lines)

    def _still(self) -> DrawList:
        shapes: list[Shape] = [Path(((1.0, 0.0), (1.0, self.height() / self.look.scale)), "hairline", 2.0)]
        return [*shapes, *self._question(), *self._instant()] if self.may else shapes

    def paintEvent(self, event: QPaintEvent) -> None:
        self.canvas.paint()
