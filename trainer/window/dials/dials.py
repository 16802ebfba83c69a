"""The dials of the rig's instruments: needles as they behave, figures eight times a second, covers, the rail."""

from __future__ import annotations

import math
from collections.abc import Mapping

from PySide6.QtCore import QEvent, QPoint, QRect, Qt, Signal
from PySide6.QtGui import QFocusEvent, QKeyEvent, QPaintEvent
from PySide6.QtWidgets import QWidget

from trainer import units
from trainer.drawing.instruments import Dial, dial_live, dial_still
from trainer.drawing.shapes import DrawList
from trainer.language import tr
from trainer.measuring.instruments import Pointer
from trainer.measuring.needles import Needle, Needles
from trainer.parts.roles import PressureLimiter
from trainer.rig.live import Number
from trainer.rig.rig import Instrument, Rig
from trainer.window.controls.keys import key_of
from trainer.window.controls.tips import set_tip
from trainer.window.dials.carry import Grip
from trainer.window.dials.rail import RailView
from trainer.window.dials.stopwatch_view import StopwatchView
from trainer.window.dials.validity import ValidityView
from trainer.window.painting.canvas import Canvas
from trainer.window.painting.look import Look

__all__ = ["MOST", "WIPE", "DialView", "DialsView", "relief_of"]

WIPE = 0.3  # seconds to uncover
MOST = 8  # dials that have room
CHANGE = Qt.Key.Key_C  # asks for another range, class or damping
_ROOMY = 4  # up to here they stand in one row, larger


def relief_of(rig: Rig, instrument: Instrument) -> str | None:
    """Return the relief valve whose inlet is on a gauge's line, or None."""
    if instrument.kind != "gauge":
        return None
    found = rig.at_ports(instrument.on, PressureLimiter)
    return next((part for part, port, role in found if port == role.inlet), None)


class DialView(QWidget):
    """One dial. Enter or a click covers and uncovers it, Delete takes it off, C changes it, dragging carries it."""

    asked = Signal()
    removal_asked = Signal()
    change_asked = Signal()
    focused = Signal()

    def __init__(self, look: Look, rig: Rig, needle: Needle, number: Number, place: int, parent: QWidget) -> None:
        super().__init__(parent)
        self.look = look
        self.rig, self.number = rig, number
        self.model = needle
        self.instrument = instrument = needle.instrument
        self.relief = relief_of(rig, instrument)
        self.canvas = Canvas(self, look, self._still, self._live)
        self.width_board, self.lines, self.step = 149.0, 1, 3e6
        self.shown = 0.0
        self.resting = True  # whether the needle had come to rest when its figure was printed
        self.setting: float | None = None
        self.covered = False
        self.cover = 0.0
        self.grip = Grip(self)
        self.grip.clicked.connect(self.asked)
        self.place = 0
        self.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        self.setObjectName(f"dial {instrument.name}")
        self.setAccessibleName(f"{tr(instrument.kind)} {instrument.name}, {instrument.label}".rstrip(", "))
        self._said = self._note = ""
        self._seen: object = None  # where the needle and the setting were seen when it was looked at last
        self._dial_of: tuple[object, Dial] = (None, Dial(instrument, look.system))
        self.stand(place)

    def stand(self, place: int) -> None:
        """Stand at a place among the dials, from 1: that is its key."""
        if place != self.place:
            self.place = place
            self._tell()

    def _tell(self) -> None:
        key = tr("  (Alt+{place})").format(place=self.place) if self.place <= 9 else ""
        words = f"{self.instrument.name} {self.instrument.label}".rstrip()
        note = f"\n{self._note}" if self._note else ""
        set_tip(
            self,
            tr(
                "{words}: click to cover or uncover{key}; drag it to another place, onto the "
                "strip, or back to the rail to take it off  (Delete); another range, class or "
                "damping  ({key_of}){note}"
            ).format(words=words, key=key, key_of=key_of("change instrument"), note=note),
        )

    @property
    def dial(self) -> Dial:
        """The dial as data, at the present look."""
        wanted = (self.instrument, self.look.system, self.width_board, self.step, self.look.least, self.lines)
        if self._dial_of[0] != wanted:
            self._dial_of = (wanted, Dial(*wanted))
        return self._dial_of[1]

    @property
    def pointer(self) -> Pointer:
        """The pointer that it shows."""
        return self.model.pointer

    @property
    def needle(self) -> float:
        """What its needle stands at [SI]; nothing while it is covered."""
        return 0.0 if self.covered else self.pointer.needle

    def set_covered(self, covered: bool, at_once: bool = False) -> None:
        """Cover or uncover; uncovering wipes from left to right unless ``at_once``."""
        self.covered = covered
        if covered or at_once:
            self.cover = 1.0 if covered else 0.0
        self.say()
        self.update()

    def read(self, seconds: float) -> bool:
        """Look at the needle after some wall seconds; return whether there is something to paint."""
        pointer, cover = self.pointer, self.cover
        if self.relief is not None:
            self.setting = self.number(self.relief, "setting")
        if not self.covered and self.cover > 0.0:
            self.cover = max(self.cover - seconds / WIPE, 0.0)
        dial, fine = self.dial, 4 * self.look.scale * self.devicePixelRatioF()  # a quarter of a device pixel is seen
        ends = (pointer.needle - pointer.tremble, pointer.needle + pointer.tremble)
        before, self._seen = self._seen, (*(round(fine * dial.way(dial.share(end))) for end in ends), self.setting)
        return cover != self.cover or (self._seen != before and not self.covered)

    def settle(self) -> None:
        """Put the needle and the figure at the reading at once."""
        self.model.settle()
        self.say()

    def say(self) -> None:
        """Print the reading, and give it to assistive software."""
        dial = self.dial
        self.pointer.end = dial.end
        self.shown = self.pointer.read_off(self.look.system)
        self.resting = self.model.resting
        said = tr("covered") if self.covered else f"{dial.figures(self.shown)} {dial.scale.symbol}"
        note = "" if self.covered else self.pointer.note
        if said != self._said:
            self._said = said
            self.update()
        if note != self._note:
            self._note = note
            self._tell()
        told = f"{said}. {note}".rstrip(". ") if note else said
        if told != self.accessibleDescription():
            self.setAccessibleDescription(told)

    def _still(self) -> DrawList:
        return dial_still(self.dial)

    def _live(self) -> DrawList:
        pointer = self.pointer
        return dial_live(self.dial, pointer.needle, self.shown, self.cover, self.setting, pointer.tremble)

    def paintEvent(self, event: QPaintEvent) -> None:
        self.canvas.paint()

    def focusInEvent(self, event: QFocusEvent) -> None:
        super().focusInEvent(event)
        self.focused.emit()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter) and not event.isAutoRepeat():
            self.asked.emit()
        elif event.key() == Qt.Key.Key_Delete and not event.isAutoRepeat():
            self.removal_asked.emit()
        elif event.key() == CHANGE and not event.modifiers() and not event.isAutoRepeat():
            self.change_asked.emit()
        else:
            super().keyPressEvent(event)


class DialsView(QWidget):
    """All dials of a rig in rows of up to four, below them the rail, the stopwatch and the line of validity.

    ``changed`` is told when a dial is covered or uncovered, ``refused`` why one cannot be, ``chosen`` the name of the
    one that was read last;
    ``carried`` (name, global place) while one is dragged, ``dropped`` where it is let go, ``put_down`` after either.
    """

    changed = Signal()
    refused = Signal(str)
    chosen = Signal(str)
    carried = Signal(str, QPoint)
    dropped = Signal(str, QPoint)
    put_down = Signal()
    removal_asked = Signal(str)
    change_asked = Signal(str)

    def __init__(self, look: Look, rig: Rig, needles: Needles, number: Number, step: float, parent: QWidget) -> None:
        super().__init__(parent)
        self.look = look
        self.rig, self.number = rig, number
        self.needles = needles
        self.step = step
        self.canvas = Canvas(self, look)
        self.dials: list[DialView] = []
        self.held: frozenset[str] = frozenset()  # names of those that nobody may uncover
        self.why = ""  # nobody may
        self._kept: set[str] = set()  # of these, those that were covered before
        self.rail = RailView(look, self)
        self.watch = StopwatchView(look, self)
        self.validity = ValidityView(look, self)
        self._odd = False
        self._stale: set[DialView] = set()  # whose needles have moved since they were painted
        self.setAccessibleName(tr("Instruments"))
        self.take_rig(rig)

    def take_rig(self, rig: Rig) -> None:
        """Show the instruments of a rig; dials of the same instruments stay, and covers of the same names.

        An instrument that was changed takes the keyboard over from what it was.
        """
        self.rig = rig
        self.needles.take_rig(rig)
        kept = {view.instrument: view for view in self.dials}
        before = {view.instrument.name: view for view in self.dials}
        self.dials = []
        for place, instrument in enumerate(rig.instruments.values(), 1):
            view = kept.pop(instrument, None) or self._made(instrument, place)
            old = before.get(instrument.name, view)
            if old is not view:
                view.set_covered(old.covered, at_once=True)
                if old.hasFocus():
                    view.setFocus()
            view.rig, view.relief = rig, relief_of(rig, instrument)
            view.stand(place)
            self.dials.append(view)
        for view in kept.values():
            view.hide()
            view.deleteLater()
        self.validity.there = bool(rig.healthy)

    def _made(self, instrument: Instrument, place: int) -> DialView:
        view = DialView(self.look, self.rig, self.needles[instrument.name], self.number, place, self)
        view.step, name = self.step, instrument.name
        view.asked.connect(lambda: self._asked(name))
        view.focused.connect(lambda: self.chosen.emit(name))
        view.removal_asked.connect(lambda: self.removal_asked.emit(name))
        view.change_asked.connect(lambda: self.change_asked.emit(name))
        view.grip.moved.connect(lambda point: self.carried.emit(name, point))
        view.grip.dropped.connect(lambda point: self._dropped(name, point))
        view.grip.given_up.connect(self.put_down)
        view.show()
        return view

    def _asked(self, name: str) -> None:
        view = self.dial(name)
        if view is None:
            return
        if name in self.held:
            self.refused.emit(self.why)
        else:
            view.set_covered(not view.covered)
            self.changed.emit()
        self.chosen.emit(name)

    def hold(self, names: frozenset[str], why: str) -> None:
        """Keep some covered, whoever asks, for a reason; what is held no more is as it was before."""
        before, self.held, self.why = self.held, names, why
        for view in self.dials:
            name = view.instrument.name
            if name in names and name not in before:
                if view.covered:
                    self._kept.add(name)
                view.set_covered(True)
            elif name in before and name not in names:
                view.set_covered(name in self._kept)
                self._kept.discard(name)
        self.changed.emit()

    def _dropped(self, name: str, point: QPoint) -> None:
        self.put_down.emit()
        self.dropped.emit(name, point)

    def dial(self, name: str) -> DialView | None:
        """Return the dial of an instrument, None where there is none of this name."""
        return next((view for view in self.dials if view.instrument.name == name), None)

    def toggle(self, place: int) -> None:
        """Cover or uncover the dial at a place, from 1; nothing where there is none."""
        if 1 <= place <= len(self.dials):
            self._asked(self.dials[place - 1].instrument.name)

    def toggle_all(self) -> None:
        """Cover all, or uncover all where one is covered."""
        free = [view for view in self.dials if view.instrument.name not in self.held]
        covered = not any(view.covered for view in free)
        for view in free:
            view.set_covered(covered)
        if not free and self.dials:
            self.refused.emit(self.why)
        self.changed.emit()

    # -- where they stand --------------------------------------------------------------------------------------

    @property
    def rows(self) -> int:
        """Rows of dials."""
        return math.ceil(len(self.dials) / _ROOMY)

    @property
    def per_row(self) -> int:
        """Dials in a row."""
        return max(1, math.ceil(len(self.dials) / self.rows)) if self.dials else 1

    def dials_board(self) -> float:
        """The height of the dials alone [board px]."""
        if not self.dials:
            return 0.0
        width, lines = self._shape()
        first = self.dials[0].instrument
        return self.rows * Dial(first, self.look.system, width, 3e6, self.look.least, lines).height

    def height_board(self) -> float:
        """The height that dials, rail, stopwatch and validity need [board px]."""
        return self.dials_board() + sum(part.height_board() for part in (self.rail, self.watch, self.validity))

    def _shape(self) -> tuple[float, int]:
        lines = 0 if self.rows > 1 else (2 if self.per_row > 3 else 1)
        return 448.0 / max(self.per_row, 3), lines

    def lay_out(self) -> None:
        """Place everything in the widget."""
        scale = self.look.scale
        width, lines = self._shape()
        high = self.dials_board() / max(self.rows, 1)
        for k, view in enumerate(self.dials):
            view.width_board, view.lines = width, lines
            row, column = divmod(k, self.per_row)
            left, right = (round((column + i) * width * scale) for i in (0, 1))
            top, bottom = (round((row + i) * high * scale) for i in (0, 1))
            view.setGeometry(QRect(left, top, right - left, bottom - top))
            view.canvas.forget()
        y = self.dials_board()
        for part in (self.rail, self.watch, self.validity):
            height = part.height_board()
            top, bottom = round(y * scale), round((y + height) * scale)
            part.setGeometry(0, top, self.width(), bottom - top)
            part.setVisible(height > 0.0)
            part.canvas.forget()
            y += height
        self.rail.lay_out()

    # -- what they read ----------------------------------------------------------------------------------------

    def read(self, seconds: float) -> None:
        """Look at all needles after some wall seconds."""
        self._odd = not self._odd
        for k, view in enumerate(self.dials):
            if view.read(seconds):
                self._stale.add(view)
            if view in self._stale and (k % 2 == self._odd or seconds >= 1.0):  # half of them in a frame
                self._stale.discard(view)
                view.update()

    def snapshot(self) -> Mapping[str, object]:
        """Return (figures, unit) by instrument; None where covered."""
        return {
            view.instrument.name: None
            if view.covered
            else units.text(view.shown, view.dial.quantity, self.look.system, view.dial.scale.decimals)
            for view in self.dials
        }

    def paintEvent(self, event: QPaintEvent) -> None:
        self.canvas.paint()

    def changeEvent(self, event: QEvent) -> None:
        super().changeEvent(event)
