"""The line above every page of practice: what it is on, what can be done, which aid there is; attempt and time."""

from __future__ import annotations

from functools import partial

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QPaintEvent
from PySide6.QtWidgets import QWidget

from trainer.drawing.shapes import DrawList, Path, Shape, Words
from trainer.drawing.type_widths import text_width
from trainer.language import mark, tr
from trainer.practice.task import AIDS
from trainer.window.controls.buttons import WordButton
from trainer.window.controls.tips import set_tip
from trainer.window.painting import fonts
from trainer.window.painting.canvas import Canvas
from trainer.window.painting.look import Look
from trainer.window.practice.words import AIDS as AID_WORDS
from trainer.window.practice.words import aid_tip

__all__ = ["HEIGHT", "Head"]

HEIGHT = 57.0  # board px
_EDGE, _SIZE, _TIME, _LINE = 36.0, 21.0, 26.7, 36.0


class Head(QWidget):
    """``run_asked``, ``again_asked``, ``ladder_asked`` and ``aid_asked`` tell what is asked for.

    ``why_no_aid`` says why none can be chosen, "" where one can.
    """

    run_asked = Signal(bool)
    again_asked = Signal()
    ladder_asked = Signal()
    aid_asked = Signal(str)

    def __init__(self, look: Look, title: str, parent: QWidget) -> None:
        super().__init__(parent)
        self.look, self.title = look, title
        self.told, self.time_text, self.why_no_aid = "", "", ""
        self._aid_x, self._shown = 0.0, title
        self.canvas = Canvas(self, look, self._still, self._live)

        def add(text: str, name: str, tip: str, glyph: str = "", checkable: bool = False) -> WordButton:
            return WordButton(look, text, name, tip, self, glyph=glyph, checkable=checkable, size=_SIZE)

        self.run = add(
            tr("Run"), mark("Begin the attempt"), tr("Begin; so does the first lever  (Enter)"), "run", True
        )
        self.freeze = add(
            tr("Freeze"),
            mark("Freeze and end the attempt"),
            tr("Freeze and end the attempt  (Space)"),
            "freeze",
            True,
        )
        self.again = add(tr("Again"), mark("Begin again"), tr("Begin again  (Ctrl+Home)"))
        self.ladder = add(tr("Ladder"), mark("Back to the ladder"), tr("Back to the ladder  (Esc)"))
        self.aids = {aid: add(tr(AID_WORDS[aid]), aid, aid_tip(aid), checkable=True) for aid in AIDS}
        for aid, button in self.aids.items():
            button.setAccessibleName(tr("Aid: {aid}").format(aid=tr(AID_WORDS[aid])))
            button.setObjectName(f"aid {aid}")
            button.clicked.connect(partial(self._aid, aid))
        self._aid_shown = ""
        self.run.clicked.connect(self._run)
        self.freeze.clicked.connect(self._freeze)
        self.again.clicked.connect(self.again_asked)
        self.ladder.clicked.connect(self.ladder_asked)
        self.setAccessibleName(tr("Lever practice"))

    def _run(self) -> None:
        self.run_asked.emit(True)

    def _freeze(self) -> None:
        self.run_asked.emit(False)

    def _aid(self, aid: str) -> None:
        self.show_aid(self._aid_shown)  # until it is so
        self.aid_asked.emit(aid)

    def show_aids(self, aids: tuple[str, ...], shown: str, why_not: str = "") -> None:
        """Show which aids a task has, which one there is, and why none can be chosen."""
        self.why_no_aid = why_not
        for aid, button in self.aids.items():
            there = aid in aids
            button.setVisible(there)
            button.setEnabled(there and not why_not)
            set_tip(button, why_not or aid_tip(aid))
            button.setAccessibleDescription(why_not or aid_tip(aid))
        self.show_aid(shown)
        self.lay_out()

    def show_aid(self, shown: str) -> None:
        """Show which aid there is."""
        self._aid_shown = shown
        for aid, button in self.aids.items():
            button.setChecked(aid == shown)

    def show_state(self, running: bool, over: bool, begun: bool = False) -> None:
        """Show whether the clock runs, and whether anything can still be begun or ended."""
        self.run.setChecked(running)
        self.freeze.setChecked(begun and not running)
        self.run.setEnabled(not over)
        self.freeze.setEnabled(running)

    def show_time(self, told: str, seconds: float | None) -> None:
        """Show which attempt it is, and how long it has lasted [s]."""
        text = "" if seconds is None else tr("{time:.1f} s").format(time=seconds)
        if (told, text) != (self.told, self.time_text):
            self.told, self.time_text = told, text
            self.setAccessibleDescription(f"{told} {text}".strip())
            self.update()

    def lay_out(self) -> None:
        """Place title and buttons; a title that is too long ends in an ellipsis."""
        scale, high = self.look.scale, self.height() - 2
        right = self.width() - (_EDGE + 108.0 + text_width("E18 · attempt 100 · load 3 of 3", _SIZE)) * scale
        verbs = [self.run, self.freeze, self.again, self.ladder]
        aids = [button for button in self.aids.values() if not button.isHidden()]
        word = tr("Aids")
        wide = sum(button.sizeHint().width() + 4 * scale for button in (*verbs, *aids))
        wide += (text_width(word, _SIZE) + 54.0) * scale if aids else 0.0
        room = max(right - wide - _EDGE * scale, 60.0 * scale)
        metrics = fonts.metrics(self.look.pixels(_SIZE), 600)
        self._shown = metrics.elidedText(self.title, Qt.TextElideMode.ElideRight, room)
        x = _EDGE * scale + metrics.horizontalAdvance(self._shown) + 26 * scale
        for button in verbs:
            button.setGeometry(round(x), 0, button.sizeHint().width(), high)
            x += button.sizeHint().width() + 4 * scale
        if aids:
            self._aid_x = (x + 26 * scale) / scale
            x += (text_width(word, _SIZE) + 40.0) * scale
        for button in aids:
            button.setGeometry(round(x), 0, button.sizeHint().width(), high)
            x += button.sizeHint().width() + 4 * scale
        self.canvas.forget()
        self.update()

    def _still(self) -> DrawList:
        bottom, right = self.height() / self.look.scale - 1.0, self.width() / self.look.scale
        shapes: list[Shape] = [
            Words(_EDGE, _LINE, self._shown, _SIZE, weight=600),
            Path(((0.0, bottom), (right, bottom)), "hairline", 2.0),
        ]
        if any(not button.isHidden() for button in self.aids.values()):
            shapes.append(Words(self._aid_x, _LINE, tr("Aids"), _SIZE, "ink2"))
        return shapes

    def _live(self) -> DrawList:
        right = self.width() / self.look.scale - _EDGE
        shapes: list[Shape] = []
        edge = right
        if self.time_text:
            shapes.append(Words(right, _LINE + 1.0, self.time_text, _TIME, weight=600, align="right"))
            edge -= max(text_width(self.time_text, _TIME, 600), 76.0) + 22.0
        shapes.append(Words(edge, _LINE, self.told, _SIZE, "ink2", align="right"))
        return shapes

    def paintEvent(self, event: QPaintEvent) -> None:
        self.canvas.paint()

    def resizeEvent(self, event: object) -> None:
        self.lay_out()
