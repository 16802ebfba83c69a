"""A set screw to be turned: its head, its setting, its gauge; the lock-nut is loosened first and tightened after."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QKeyEvent, QMouseEvent, QPaintEvent, QWheelEvent
from PySide6.QtWidgets import QHBoxLayout, QVBoxLayout, QWidget

from trainer import units
from trainer.changing.screws import SAFETY, Screw
from trainer.drawing.screw import screw_head
from trainer.drawing.shapes import DrawList
from trainer.language import tr
from trainer.window.controls.buttons import WordButton
from trainer.window.controls.labels import Label
from trainer.window.controls.own_keys import ENTER
from trainer.window.painting.canvas import Canvas
from trainer.window.painting.look import Look
from trainer.window.rig.forms import NAME, SMALL, Buttons, Piece

__all__ = ["ScrewView", "TurnButton"]

_SIDE, _SIGN, _SETTING = 148.0, 14.0, 27.0  # of the head, of the sign beside it, size of the setting [board px]
_SHIFT = Qt.KeyboardModifier.ShiftModifier


class TurnButton(WordButton):
    """Turns by an eighth, with Shift by a quarter; held down it goes on. ``turned`` is told eighths."""

    turned = Signal(int)

    def __init__(self, look: Look, way: int, part: str, parent: QWidget) -> None:
        word, what = (tr("+ 1/8 turn"), tr("in, raise")) if way > 0 else (tr("− 1/8 turn"), tr("out, lower"))
        tip = tr("Turn the screw {what} the setting: an eighth of a turn, with Shift a quarter").format(what=what)
        super().__init__(
            look, word, tr("Turn the screw of {part} {what}").format(part=part, what=what), tip, parent, size=NAME
        )
        self.way = way
        self._quarter = False
        self.setAutoRepeat(True)
        self.setAutoRepeatDelay(400)
        self.setAutoRepeatInterval(150)
        self.clicked.connect(self._turn)

    def _turn(self) -> None:
        self.turned.emit(2 * self.way if self._quarter else self.way)

    def mousePressEvent(self, event: QMouseEvent) -> None:
        self._quarter = bool(event.modifiers() & _SHIFT)
        super().mousePressEvent(event)

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        self._quarter = bool(event.modifiers() & _SHIFT)
        super().mouseReleaseEvent(event)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        self._quarter = bool(event.modifiers() & _SHIFT)
        super().keyPressEvent(event)
        if event.key() in ENTER and not event.isAutoRepeat():
            self.setDown(True)

    def keyReleaseEvent(self, event: QKeyEvent) -> None:
        if event.key() in ENTER and not event.isAutoRepeat():
            self.setDown(False)
        super().keyReleaseEvent(event)


class ScrewHead(QWidget):
    """The head of a screw from above, with its nut."""

    def __init__(self, look: Look, screw: Screw, parent: QWidget) -> None:
        super().__init__(parent)
        self.look, self.screw = look, screw
        self.canvas = Canvas(self, look, live=self.shapes)
        self.canvas.ring = False
        self.take_look()

    def take_look(self) -> None:
        """Take the size of the present look."""
        self.setFixedSize(round((_SIDE + _SIGN) * self.look.scale), round(_SIDE * self.look.scale))

    def shapes(self) -> DrawList:
        """Return the picture [board px]."""
        middle = _SIDE / 2
        return screw_head(self.screw.turns, self.screw.loose, middle, middle, 54.0, self.look.least)

    def paintEvent(self, event: QPaintEvent) -> None:
        self.canvas.paint(event.rect())


class ScrewView(Piece):
    """One screw. ``turned`` is told eighths of a turn, ``nut`` whether the lock-nut is to be loose.

    ``gauge`` returns what a gauge on its line shows, in words.
    """

    turned = Signal(int)
    nut = Signal(bool)

    def __init__(self, look: Look, screw: Screw, gauge: Callable[[], str], parent: QWidget) -> None:
        super().__init__(look, parent)
        self.screw, self.gauge = screw, gauge
        part = screw.about.part
        own = screw.about.own
        known = {"port_setting": tr("Screws of the port reliefs"), "cut_off": tr("Screw of the cut-off")}
        known["margin"] = tr("Screw of the margin")
        where = known.get(own, tr("Set screw"))
        self.head = ScrewHead(look, screw, self)
        self.words = {
            "where": Label(look, where, self, size=SMALL, ink="ink2"),
            "setting": Label(look, "", self, size=_SETTING, weight=600),
            "nut": Label(look, "", self, size=SMALL),
            "gauge": Label(look, "", self, size=SMALL),
            "rule": Label(look, "", self, size=SMALL, ink="ink2"),
        }
        self.out, self.in_ = TurnButton(look, -1, part, self), TurnButton(look, 1, part, self)
        self.lock = WordButton(look, "", "", tr("The screw turns only while the lock-nut is loose"), self, size=NAME)
        self.lock.setObjectName(f"lock-nut {part}" if own != "margin" else f"lock-nut {screw.name}")
        for button in (self.out, self.in_):
            button.turned.connect(self.turned)
        self.lock.clicked.connect(self._lock)
        self._lay_out()
        self._key: tuple[object, ...] = ()
        self.setObjectName(f"screw {screw.name}")
        title = tr("Set screw of {title}").format(title=screw.title)
        self.setAccessibleName(f"{title}, {where}" if own in known else title)
        self.take_look()
        self.refresh()

    def _lay_out(self) -> None:
        """Put the words beside the head, the buttons and what safety asks below."""
        self.top, words, self.flow = QHBoxLayout(), QVBoxLayout(), Buttons()
        words.setSpacing(0)
        words.addStretch(1)
        for label in self.words.values():
            words.addWidget(label)
        words.addStretch(1)
        self.top.addWidget(self.head)
        self.top.addLayout(words, 1)
        for button in (self.out, self.in_, self.lock):
            self.flow.addWidget(button)
        self.column.addLayout(self.top)
        self.column.addLayout(self.flow)
        self.column.addWidget(Label(self.look, tr(SAFETY), self, size=SMALL, ink="ink2"))

    def take_look(self) -> None:
        """Take the sizes of the present look."""
        super().take_look()
        self.top.setSpacing(2)
        self.flow.take_look(self.look)

    def _lock(self) -> None:
        self.nut.emit(not self.screw.loose)

    @property
    def setting(self) -> str:
        """The pressure that it is set to, in the unit of the system."""
        figures, unit = units.text(self.screw.pressure, "pressure", self.look.system)
        return f"{figures} {unit}"

    def refresh(self) -> None:
        """Show the present setting, nut and gauge."""
        key = (self.screw.present, self.screw.pressure, self.screw.loose, self.gauge(), self.look.system)
        if key == self._key:
            return
        self._key = key
        loose = self.screw.loose
        self.lock.setText(tr("Tighten the lock-nut") if loose else tr("Loosen the lock-nut"))
        self.lock.setAccessibleName(
            tr("{figures} of {part}").format(figures=self.lock.text(), part=self.screw.about.part)
        )
        self.lock.updateGeometry()
        state = tr("lock-nut loose") if loose else tr("lock-nut tight")
        self.setAccessibleDescription(f"{self.setting}, {state}; {self.gauge()}")
        words = {"setting": self.setting, "nut": state, "gauge": self.gauge(),
                 "rule": self.screw.rule(self.look.system)}  # fmt: skip
        for name, text in words.items():
            self.words[name].setText(text)
        self.words["nut"].set_weight(600 if loose else 400)
        self.head.update()

    def wheelEvent(self, event: QWheelEvent) -> None:
        """Turn by an eighth a notch where the pointer is over a head whose nut is loose, up raising."""
        over = self.head.geometry().contains(event.position().toPoint())
        if not (over and self.screw.loose and event.angleDelta().y()):
            event.ignore()
            return
        self.turned.emit(1 if event.angleDelta().y() > 0 else -1)
        event.accept()
