"""One set of levers for two rigs: those of the first, then those that only the second has; who lacks one is told."""

from __future__ import annotations

import itertools
from collections.abc import Callable, Mapping, Sequence

from PySide6.QtWidgets import QWidget

from trainer.drawing.class_rack import HEIGHT
from trainer.drawing.rack import percent
from trainer.drawing.shapes import DrawList, Path, Shape, Words
from trainer.drawing.type_widths import text_width
from trainer.language import tr
from trainer.operating.motions import LeverMotion
from trainer.operating.operator import Operator
from trainer.pairing.hands import Shared
from trainer.parts.part import Control
from trainer.rig.names import capital, lever_moves
from trainer.rig.rig import Rig
from trainer.window.beside.shapes import disc, fitted
from trainer.window.class_view.rack import ClassRack
from trainer.window.painting.look import Look

__all__ = ["HEIGHT", "BesideRack", "extra_levers"]

_NAME, _Y = 38.0, 46.0  # board px
_FIGURE, _UNIT = 44.0, 28.0
_LEVER = 134.0  # width of a lever
_AWAY = _LEVER / 2 + 46.0  # how far from its middle it stands how fast its function goes
_NEEDS = 2 * _AWAY + 90.0  # between levers, where that is said
_SIGN = 15.0  # radius of the sign of the only rig that has a lever


def extra_levers(rows: Sequence[Shared], second: Rig) -> dict[str, Control]:
    """Return the levers that only the second rig has, by the names by which they are moved."""
    controls = second.controls()
    return {row.name: controls[row.second] for row in rows if not row.first and row.second.endswith(".lever")}


class BesideRack(ClassRack):
    """The levers of both rigs, evenly spread; over each stands its name, and where it is."""

    def __init__(
        self, look: Look, rigs: tuple[Rig, Rig], rows: Sequence[Shared], operator: Operator,
        asked: Callable[[str], float], parent: QWidget,
    ) -> None:  # fmt: skip
        super().__init__(look, rigs[0], operator, asked, parent)
        self.rows = {row.name: row for row in rows}
        self.does: tuple[Mapping[str, str], Mapping[str, str]] = ({}, {})
        self.names = {row.name: _called(row, rigs) for row in rows}
        for name, control in extra_levers(rows, rigs[1]).items():
            motion = LeverMotion(control.low, control.high, asked(name))
            operator.levers[name] = operator.motions[name] = motion
            self.levers[name] = extra = self.lever_kind(look, motion, self.names[name], control, name, self)
            extra.moved.connect(self.levers_moved)
        for name, speed in self.speeds.items():
            speed.name = self._only(name, speed.name)
        for name, lever in self.levers.items():
            side, words = _alone(self.rows[name]), tr("{name} lever").format(name=self.names[name])
            told = words if side is None else tr("{lever}, only {side}").format(lever=words, side=side + 1)
            lever.setAccessibleName(told)
        self.begin()

    def spread(self) -> None:
        """Place the levers evenly right of the settings."""
        left = self._lay_out_settings()
        share = (self.width() - left) / max(len(self.levers), 1)
        self.lay_out({name: left + share * (k + 0.5) for k, name in enumerate(self.levers)})
        wide = round(_LEVER * self.look.scale)
        for name, lever in self.levers.items():
            if lever.width() > wide:
                lever.setGeometry(round(self.columns[name] - wide / 2), lever.y(), wide, lever.height())

    def _only(self, name: str, words: str) -> str:
        """Return what something that is moved is called, and that only the first rig has it, where it is so."""
        alone = name in self.rows and not self.rows[name].second
        return tr("{lever}, only {side}").format(lever=words, side=1) if alone else words

    def _told_rows(self) -> list[tuple[str, str, str, str]]:
        told = super()._told_rows()
        return [(name, self._only(name, label), figures, unit) for name, label, figures, unit in told]

    def show_doings(self, first: Mapping[str, str], second: Mapping[str, str]) -> None:
        """Show what the function of each lever does in both rigs: by the rigs' own controls."""
        if self.does != (first, second):
            self.does = first, second
            self.update()

    def _doing(self, name: str, x: float, pitch: float) -> list[Shape]:
        """Return how fast the function of a lever goes in both rigs, left and right of it [board px]."""
        row = self.rows[name]
        told = [does.get(own, "") for does, own in zip(self.does, (row.first, row.second), strict=True)]
        if not any(told) or pitch < _NEEDS:
            return []
        shapes: list[Shape] = []
        for side, (own, does) in enumerate(zip((row.first, row.second), told, strict=True)):
            middle = x + (_AWAY if side else -_AWAY)
            figures, unit, way = [*does.split(" ", 2), "", ""][:3] if does else ("0", "", "")
            shapes += disc(middle, 80.0, side)
            if own:
                shapes.append(Words(middle, 138.0, figures, _FIGURE, weight=600, align="centre"))
                shapes += [Words(middle, 166.0 + 28.0 * k, word, _UNIT, "ink2", align="centre")
                           for k, word in enumerate((unit, way)) if word]  # fmt: skip
        return shapes

    def _still(self) -> DrawList:
        return [Path(((0.0, 1.0), (self.width() / self.look.scale, 1.0)), "hairline", 2.0)]

    def _told(self) -> DrawList:
        moved = {name: lever for name, lever in self.levers.items() if abs(lever.motion.value) > 1e-3}
        shapes: list[Shape] = [shape for shape in super()._told() if not self._of_a_lever(shape)]
        places = sorted(self.columns.values())
        pitch = min((b - a for a, b in itertools.pairwise(places)), default=2.0 * (self.width() / 4))
        room = pitch / self.look.scale - 12.0
        for name, x in self.columns.items():
            middle, sign = x / self.look.scale, 0.0
            shapes += self._doing(name, middle, pitch / self.look.scale)
            lever, words, ink = self.levers[name], self.names[name], "ink"
            if (side := _alone(self.rows[name])) is not None:
                sign = 2 * _SIGN + 10.0
            if name in moved:
                place, ink = percent(lever.motion.value), "accent"
                end = lever.control.ends[lever.motion.value > 0]
                tries = (f"{words} {place} {end}", f"{words} {place}", place)
                words = next((one for one in tries if text_width(one, _NAME, 600) <= room - sign), place)
            words = fitted(words, _NAME, room - sign, 600)
            wide = text_width(words, _NAME, 600)
            shapes.append(Words(middle + sign / 2, _Y, words, _NAME, ink, 600, "centre"))
            if side is not None:
                shapes += disc(middle + sign / 2 - wide / 2 - 10.0 - _SIGN, _Y - 13.0, side, _SIGN)
        return shapes

    @staticmethod
    def _of_a_lever(shape: Shape) -> bool:
        """Whether something is what the class is told of a lever: in the line above them, in the accent."""
        return isinstance(shape, Words) and shape.ink == "accent"


def _alone(row: Shared) -> int | None:
    """Return which rig alone has something, 0 or 1, None where both have it."""
    return None if row.first and row.second else int(not row.first)


def _called(row: Shared, rigs: tuple[Rig, Rig]) -> str:
    """Return what a lever is called: by both names where they are not the same."""
    names = [
        capital(lever_moves(rig, name))
        for rig, name in zip(rigs, (row.first, row.second), strict=True) if name
    ]  # fmt: skip
    return names[0] if names[0].casefold() == names[-1].casefold() else f"{names[0]} · {names[-1]}"
