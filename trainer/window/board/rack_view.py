"""The lever rack: one lever under each section's column, the prime mover and other settings at the left."""

from __future__ import annotations

import itertools
from collections.abc import Callable, Mapping
from functools import partial

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QKeyEvent, QPaintEvent
from PySide6.QtWidgets import QWidget

from trainer.drawing import rack
from trainer.drawing.shapes import DrawList, Path
from trainer.language import tr
from trainer.operating.operator import Operator
from trainer.parts.part import Parameter
from trainer.rig.names import capital, lever_label, part_label
from trainer.rig.rig import Rig
from trainer.window.board.lever_view import LeverView
from trainer.window.board.setting_view import SettingView
from trainer.window.board.steps_view import StepsView, Switch
from trainer.window.controls.keys import PAIRS
from trainer.window.painting.canvas import Canvas
from trainer.window.painting.look import Look

__all__ = ["RackView"]

_LEFT, _STEPS = 36.0, 46.0  # left edge, height of a row of steps [board px]


class RackView(QWidget):
    """All that the operator moves, each lever under its column of the drawing.

    ``operator`` owns what its handles move; ``asked`` gives a parameter by "part.parameter" [SI]. ``levers_moved``
    tells of a hand.
    """

    levers_moved = Signal()
    lever_kind, setting_kind = LeverView, SettingView

    def __init__(
        self, look: Look, rig: Rig, operator: Operator, asked: Callable[[str], float], parent: QWidget
    ) -> None:
        super().__init__(parent)
        self.look, self.rig, self.operator = look, rig, operator
        self.canvas = Canvas(self, look, self._still)
        self.levers: dict[str, LeverView] = {}
        self.speeds: dict[str, SettingView] = {}
        self.steps: dict[str, StepsView] = {}
        self.switches: dict[str, Switch] = {}
        self.columns: dict[str, float] = {}
        controls = rig.controls()
        for name, lever in operator.levers.items():
            self.levers[name] = self.lever_kind(
                look, lever, capital(lever_label(rig, name)), controls[name], name, self
            )
        for name, steps in operator.steps.items():
            self.steps[name] = StepsView(look, steps, capital(part_label(rig, name)), controls[name], name, self)
        for name, motion in operator.speeds.items():
            part = name.partition(".")[0]
            governed = "droop" in rig.parts[part].part.declared(Parameter)
            droop = partial(asked, f"{part}.droop") if governed else None
            self.speeds[name] = self.setting_kind(
                look, motion, capital(part_label(rig, name)), controls[name], name, droop, self
            )
        for name, switch in operator.switches.items():
            of_lever = self.levers.get(f"{name.partition('.')[0]}.lever")
            if of_lever is None:
                title = tr("{part} on").format(part=capital(part_label(rig, name)))
                self.switches[name] = Switch(look, switch, title, title, controls[name].meaning, self)
            else:
                tip = tr("The float detent: both work ports open to the tank")
                self.switches[name] = Switch(
                    look, switch, "float", tr("{name} float").format(name=of_lever.name), tip, of_lever
                )
                of_lever.add_float(self.switches[name])
        for view in self.handles.values():
            view.moved.connect(self.levers_moved)
        self.setAccessibleName(tr("Lever rack"))

    @property
    def handles(self) -> Mapping[str, LeverView | SettingView | StepsView | Switch]:
        """Every handle by its control, speeds first."""
        return {**self.speeds, **self.steps, **self.switches, **self.levers}

    def pairs(self) -> Mapping[str, tuple[LeverView, int]]:
        """Return what a letter key moves: the lever and the direction, from the left."""
        found: dict[str, tuple[LeverView, int]] = {}
        for name, pair in zip(self.columns, PAIRS, strict=False):
            found[pair[0]] = (self.levers[name], 1)
            found[pair[1]] = (self.levers[name], -1)
        return found

    def knows(self, event: QKeyEvent) -> bool:
        """Return whether a key would move a lever, or go to the next load."""
        key = event.key()
        return key <= Qt.Key.Key_Z and (chr(key) in self.pairs() or (key == Qt.Key.Key_L and bool(self.steps)))

    def key(self, event: QKeyEvent, down: bool) -> bool:
        """Move a lever by its letters, or go to the next load; return whether it was such a key."""
        shift = bool(event.modifiers() & Qt.KeyboardModifier.ShiftModifier)
        others = event.modifiers() & ~(Qt.KeyboardModifier.ShiftModifier | Qt.KeyboardModifier.KeypadModifier)
        key = event.key()
        if not Qt.Key.Key_A <= key <= Qt.Key.Key_Z or (down and others != Qt.KeyboardModifier.NoModifier):
            return False
        if key == Qt.Key.Key_L and self.steps:
            if down and not event.isAutoRepeat():
                next(iter(self.steps.values())).next(-1 if shift else 1)
            return True
        found = self.pairs().get(chr(key))
        if found is None:
            return False
        if not event.isAutoRepeat():
            self.take_letter(*found, shift, down)
        return True

    def take_letter(self, lever: LeverView, direction: int, fine: bool, down: bool) -> None:
        """Move a lever by its letter, finely or not, or let go of it."""
        lever.motion.fine = fine
        (lever.motion.press if down else lever.motion.release)(direction, "letter")
        self.levers_moved.emit()

    def let_go(self) -> None:
        """Let go of every lever and key."""
        self.operator.let_go()

    def _still(self) -> DrawList:
        scale = self.look.scale
        rule = [Path(((0.0, 0.5), (self.width() / scale, 0.5)), "hairline", 1.0)]
        return rule + [Path(((x / scale, 0.0), (x / scale, 12.0)), "ink2", 1.5) for x in self.columns.values()]

    def lay_out(self, columns: Mapping[str, float]) -> None:
        """Place the levers at their columns [widget px] and the other settings at the left."""
        left = self._lay_out_settings()
        scale, height = self.look.scale, self.height()
        names = sorted(self.levers, key=lambda name: columns.get(name, 0.0))
        places = [columns.get(name, self.width() / 2) for name in names]
        full = rack.LEVER_WIDTH * scale
        places = _spread(places, min(full, _closest(places, full)), left, self.width())
        pitch = min(full, _closest(places, full))
        if names and pitch < max(self.levers[name].needs(height - 4) for name in names):
            pitch = min(full, (self.width() - left) / len(names))
            places = _evenly(places, pitch, left, self.width())
        self.columns = dict(zip(names, places, strict=True))
        for k, (name, x) in enumerate(self.columns.items()):
            view = self.levers[name]
            view.joined = k > 0 and x - places[k - 1] < 1.01 * pitch
            view.canvas.forget()
            view.setGeometry(round(x - pitch / 2), 4, round(pitch), height - 4)
            self.levers[name].tell_keys(PAIRS[k] if k < len(PAIRS) else "")
        self.canvas.forget()
        self.update()

    def _lay_out_settings(self) -> float:
        """Place scales side by side, steps and switches in rows below; return their right edge [px]."""
        scale, height = self.look.scale, self.height()
        rows = [*self.steps.values(), *(s for s in self.switches.values() if s.parentWidget() is self)]
        row = max(_STEPS * scale, 26.0)
        top = height - row * len(rows) - 2 if self.speeds else max((height - row * len(rows)) / 2, 4)
        left = _LEFT * scale
        right = left + (rack.SPEED_WIDTH * scale if rows else 0.0)
        for k, view in enumerate(rows):
            width = rack.SPEED_WIDTH * scale
            view.setGeometry(round(left), round(top + k * row), round(width), round(row))
            if isinstance(view, StepsView) and (need := view.lay_out()) > width:
                view.resize(round(need), view.height())
                right = max(right, left + need)
        for view in self.speeds.values():
            width = rack.SPEED_WIDTH * scale
            view.setGeometry(round(left), 4, round(width), round((top if rows else height) - 4))
            left += width + 8 * scale
            right = max(right, left - 8 * scale)
        return right

    def paintEvent(self, event: QPaintEvent) -> None:
        self.canvas.paint(event.rect())


def _evenly(places: list[float], pitch: float, left: float, right: float) -> list[float]:
    """Return as many places a pitch apart, about the middle of those that they are for and within both edges."""
    whole = pitch * len(places)
    begin = min(max((places[0] + places[-1] - whole) / 2, left), max(right - whole, left))
    return [begin + pitch * (k + 0.5) for k in range(len(places))]


def _closest(places: list[float], otherwise: float) -> float:
    """Return the smallest distance of neighbouring places."""
    return min([otherwise, *(b - a for a, b in itertools.pairwise(places))])


def _spread(places: list[float], width: float, left: float, right: float) -> list[float]:
    """Return places moved right, where they must, so that the first clears ``left``; the last stays inside."""
    if not places:
        return []
    shift = max(left + width / 2 - places[0], 0.0)
    moved = [
        max(place, left + width / 2 + k * min(width, (right - left) / len(places))) if shift else place
        for k, place in enumerate(places)
    ]
    over = max(moved[-1] + width / 2 - right, 0.0)
    return [place - over for place in moved]
