"""The rack of a run: the board's levers in the board's places; left of them what the task fixes."""

from __future__ import annotations

from collections.abc import Collection, Sequence

from PySide6.QtCore import QEvent, QObject, QRect, Qt
from PySide6.QtGui import QKeyEvent

from trainer.drawing.shapes import DrawList, Moving, Words
from trainer.language import tr
from trainer.window.board.lever_view import LeverView
from trainer.window.board.rack_view import RackView
from trainer.window.controls.handles import Handle
from trainer.window.controls.own_keys import ENTER
from trainer.window.painting import fonts

__all__ = ["RunLever", "RunRack"]

_EDGE, _HEAD, _SMALL, _PITCH = 36.0, 21.0, 18.4, 26.7
_FIXED = 300.0  # width of what is fixed [board px]
_FOOT = 232.0


class RunLever(LeverView):
    """A lever that springs back; where the board's has a button to hold it stands what moves it."""

    mover = ""
    pair = ""
    of_task = False  # whether its keys are told before anything has moved it

    def tell_keys(self, pair: str) -> None:
        """Know which keys move it."""
        super().tell_keys(pair)
        self.pair = pair
        self.update()

    def resizeEvent(self, event: object) -> None:
        self.hold.hide()
        if self.float_switch is not None:
            self.float_switch.hide()

    def moving_area(self) -> QRect:
        """Return all of it."""
        return self.rect()

    def see_mover(self, stick: str = "") -> None:
        """See what moves it now; what moved it last stays told."""
        found = self.mover
        if self.motion.dragged:
            found = tr("mouse")
        elif self.motion.pressed:
            found = self._keys()
        elif stick and abs(self.motion.value) > 1e-3:
            found = stick
        if found != self.mover:
            self.mover = found
            self.update()

    def _keys(self) -> str:
        """Return its letters in the order in which its ends stand: in, out."""
        return tr("keys {pair}").format(pair=" ".join(reversed(self.pair))) if self.pair else tr("keys")

    def ask_exactly(self, first: str = "") -> None:
        """Open the entry; a letter of a lever gives it up and moves that lever."""
        super().ask_exactly(first)
        if self.entry is not None:
            self.entry.installEventFilter(self)

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """Take a lever's letter away from the entry: a hand at the keys looks at the machine."""
        rack, entry = self.parentWidget(), self.entry
        if entry is None or watched is not entry or not isinstance(rack, RunRack) or not isinstance(event, QKeyEvent):
            return super().eventFilter(watched, event)
        plain = event.modifiers() & ~Qt.KeyboardModifier.ShiftModifier == Qt.KeyboardModifier.NoModifier
        if event.type() != QEvent.Type.KeyPress or not plain or not rack.knows(event):
            return super().eventFilter(watched, event)
        entry.give_up()
        return rack.key(event, True)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Leave Enter to the run, which begins or goes on with it; digits write exactly."""
        if event.key() in ENTER:
            event.ignore()
        else:
            super().keyPressEvent(event)

    def _live(self) -> Moving:
        told = self.mover or (self._keys() if self.of_task and self.pair else "")
        if not told:
            return super()._live()
        return [
            *super()._live(),
            Words(self.board_width / 2, _FOOT, told, _SMALL, "ink2", align="centre"),
        ]


class RunRack(RackView):
    """Levers alone; ``fixed`` are rows of what the task sets, ``hint`` stands at the foot."""

    lever_kind = RunLever

    def begin(self) -> None:
        """Leave out what a task fixes: speeds, loads, switches."""
        self.fixed: Sequence[tuple[str, str]] = ()
        self.hint = ""
        for view in (*self.speeds.values(), *self.steps.values(), *self.switches.values()):
            view.hide()
            view.setParent(None)
            view.deleteLater()
        for known in (self.speeds, self.steps, self.switches):
            known.clear()
        self.canvas.live = self._told

    def tell_keys_of(self, names: Collection[str]) -> None:
        """Tell at the levers of a task which keys move them."""
        for name, view in self.levers.items():
            if isinstance(view, RunLever):
                view.of_task = name in names

    def show_hands(self, given: Sequence[str], sticks: dict[str, str]) -> None:
        """Show where hands have the levers, and what moves them."""
        for name, view in self.levers.items():
            if name in given:
                view.show_moved()
            view.show_value()
            if isinstance(view, RunLever):
                view.see_mover(sticks.get(name, ""))

    def say(self, fixed: Sequence[tuple[str, str]], hint: str) -> None:
        """Show what the task fixes, and what the keys do now."""
        if (fixed, hint) != (self.fixed, self.hint):
            self.fixed, self.hint = fixed, hint
            self.setAccessibleDescription(". ".join([*(f"{name} {value}" for name, value in fixed), hint]))
            self.canvas.forget()
            self.update()

    def _lay_out_settings(self) -> float:
        return _FIXED * self.look.scale

    def hold(self, held: bool) -> None:
        """Let no hand move a lever, or let them again."""
        for view in self.levers.values():
            view.setEnabled(not held)

    def _told(self) -> DrawList:
        return ()

    def _still(self) -> DrawList:
        scale = self.look.scale
        shapes = [*super()._still(), Words(_EDGE, 35.0, tr("Set for this task"), _HEAD, weight=600)]
        name_wide = max((self._wide(name) for name, _ in self.fixed), default=0.0) + 20.0
        for k, (name, value) in enumerate(self.fixed):
            y = 70.0 + _PITCH * k
            shapes.append(Words(_EDGE, y, name, _SMALL, "ink2"))
            shapes.append(Words(_EDGE + max(name_wide, 88.0), y, value, _SMALL))
        right, bottom = self.width() / scale - _EDGE, self.height() / scale - 12.0
        last = max(
            (lever.geometry().right() for lever in self.levers.values() if isinstance(lever, Handle)), default=0
        )
        for k, line in enumerate(reversed(self._lines(right - last / scale - 20.0))):
            shapes.append(Words(right, bottom - 24.0 * k, line, _SMALL, "ink2", align="right"))
        return shapes

    def _wide(self, words: str) -> float:
        return fonts.metrics(self.look.pixels(_SMALL)).horizontalAdvance(words) / self.look.scale

    def _lines(self, room: float) -> list[str]:
        """Return the hint in lines that have room right of the levers."""
        if self._wide(self.hint) <= room:
            return [self.hint]
        return fonts.wrapped(self.hint, self.look.pixels(_SMALL), max(room, 160.0) * self.look.scale)
