"""A set screw to be turned: its head, its setting, its gauge; the lock-nut is loosened first and tightened after."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QKeyEvent, QMouseEvent, QPaintEvent, QResizeEvent, QWheelEvent
from PySide6.QtWidgets import QWidget

from trainer import units
from trainer.changing.screws import SAFETY, Screw
from trainer.drawing.screw import screw_head
from trainer.drawing.shapes import DrawList, Path, Shape, Words
from trainer.language import tr
from trainer.window.controls.buttons import WordButton
from trainer.window.controls.own_keys import ENTER
from trainer.window.controls.rows import NAME, SMALL, flow
from trainer.window.painting import fonts
from trainer.window.painting.canvas import Canvas
from trainer.window.painting.look import Look

__all__ = ["ScrewView", "TurnButton"]

_SIDE, _SETTING = 148.0, 27.0  # of the picture, size of the setting [board px]
_SHIFT = Qt.KeyboardModifier.ShiftModifier


class TurnButton(WordButton):
    """Turns by an eighth, with Shift by a quarter; held down it goes on. ``turned`` is told eighths."""

    turned = Signal(int)

    def __init__(self, look: Look, way: int, part: str, parent: QWidget) -> None:
        word, what = ("+ 1/8 turn", "in, raise") if way > 0 else ("− 1/8 turn", "out, lower")
        tip = f"Turn the screw {what} the setting: an eighth of a turn, with Shift a quarter"
        super().__init__(look, word, f"Turn the screw of {part} {what}", tip, parent, size=NAME)
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


class ScrewView(QWidget):
    """One screw. ``turned`` is told eighths of a turn, ``nut`` whether the lock-nut is to be loose.

    ``gauge`` returns what a gauge on its line shows, in words.
    """

    turned = Signal(int)
    nut = Signal(bool)

    def __init__(self, look: Look, screw: Screw, gauge: Callable[[], str], parent: QWidget) -> None:
        super().__init__(parent)
        self.look, self.screw, self.gauge = look, screw, gauge
        self.canvas = Canvas(self, look, live=self.shapes)
        self.canvas.ring = False
        part = screw.about.part
        self.out, self.in_ = TurnButton(look, -1, part, self), TurnButton(look, 1, part, self)
        self.lock = WordButton(look, "", "", "The screw turns only while the lock-nut is loose", self, size=NAME)
        self.lock.setObjectName(f"lock-nut {part}")
        for button in (self.out, self.in_):
            button.turned.connect(self.turned)
        self.lock.clicked.connect(self._lock)
        self._key: tuple[object, ...] = ()
        self._high = 0
        self.setObjectName(f"screw {screw.name}")
        self.setAccessibleName(f"Set screw of {screw.title}")
        self.refresh()

    def _lock(self) -> None:
        self.nut.emit(not self.screw.loose)

    @property
    def setting(self) -> str:
        """The pressure that it is set to, in the unit of the system."""
        figures, unit = units.text(self.screw.pressure, "pressure", self.look.system)
        return f"{figures} {unit}"

    def refresh(self) -> bool:
        """Show the present setting, nut and gauge."""
        key = (self.screw.present, self.screw.pressure, self.screw.loose, self.gauge(), self.look.system)
        if key != self._key:
            self._key = key
            self.lock.setText("Tighten the lock-nut" if self.screw.loose else "Loosen the lock-nut")
            self.lock.setAccessibleName(f"{self.lock.text()} of {self.screw.about.part}")
            state = "lock-nut loose" if self.screw.loose else "lock-nut tight"
            self.setAccessibleDescription(f"{self.setting}, {state}; {self.gauge()}")
            self.update()
            high = self.height_for(self.width())
            self._high, before = high, self._high
            return high != before
        return False

    # -- where things are ------------------------------------------------------------------------------------

    def _safety(self, width: int) -> list[str]:
        return fonts.wrapped(tr(SAFETY), self.look.pixels(SMALL), width - 16 * self.look.scale, 8)

    def _told(self, width: int) -> list[tuple[str, str, int]]:
        """Return the lines beside the head, below the setting, each with its ink and weight."""
        small, room = self.look.pixels(SMALL), width - (_SIDE + 24.0) * self.look.scale
        told = [("lock-nut loose", "ink", 600) if self.screw.loose else ("lock-nut tight", "ink", 400)]
        told += [(line, "ink", 400) for line in fonts.wrapped(self.gauge(), small, room, 2)]
        return told + [(line, "ink2", 400) for line in fonts.wrapped(self.screw.rule(self.look.system), small, room)]

    @property
    def _pitch(self) -> float:
        return 1.4 * self.look.size(SMALL)

    @property
    def _setting_at(self) -> float:
        return 14.0 + 0.6 * self._pitch + 1.15 * self.look.size(_SETTING)

    def _buttons_end(self, width: int) -> int:
        words = self._setting_at + (len(self._told(width)) + 0.4) * self._pitch
        top = round(max(_SIDE, words) * self.look.scale)
        high = round(2.1 * self.look.pixels(NAME))
        return flow([self.out, self.in_, self.lock], 0, top, width, high)

    def height_for(self, width: int) -> int:
        """Return the height [px] at a width [px]."""
        small = self.look.pixels(SMALL)
        return round(self._buttons_end(width) + (len(self._safety(width)) + 0.9) * 1.3 * small)

    def resizeEvent(self, event: QResizeEvent) -> None:
        self._buttons_end(self.width())
        self.canvas.forget()

    def shapes(self) -> DrawList:
        """Return the picture [board px]."""
        scale, screw = self.look.scale, self.screw
        middle = _SIDE / 2
        found: list[Shape] = [*screw_head(screw.turns, screw.loose, middle, middle, 54.0, self.look.least)]
        x, pitch, y = _SIDE + 16.0, self._pitch, self._setting_at
        where = "Set screw" if screw.about.own != "port_setting" else "Screws of the port reliefs"
        found.append(Words(x, 14.0 + 0.6 * pitch, where, SMALL, "ink2"))
        found.append(Words(x, y, self.setting, _SETTING, weight=600))
        for text, ink, weight in self._told(self.width()):
            y += pitch
            found.append(Words(x, y, text, SMALL, ink, weight))
        y = self._buttons_end(self.width()) / scale + 0.4 * pitch
        for text in self._safety(self.width()):
            y += 1.3 * max(SMALL, self.look.least)
            found.append(Words(8.0, y - 0.3 * SMALL, text, SMALL, "ink2"))
        bottom = self.height() / scale - 0.5
        found.append(Path(((0.0, bottom), (self.width() / scale, bottom)), "hairline", 1.0))
        return found

    def wheelEvent(self, event: QWheelEvent) -> None:
        """Turn by an eighth a notch where the pointer is over a head whose nut is loose, up raising."""
        over = event.position().x() < _SIDE * self.look.scale > event.position().y()
        if not (over and self.screw.loose and event.angleDelta().y()):
            event.ignore()
            return
        self.turned.emit(1 if event.angleDelta().y() > 0 else -1)
        event.accept()

    def paintEvent(self, event: QPaintEvent) -> None:
        self.canvas.paint(event.rect())
