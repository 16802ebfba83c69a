"""Laps beside each other: a curve each, in white what is asked for; covered until the lap ends, then its numbers."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from PySide6.QtGui import QPaintEvent
from PySide6.QtWidgets import QWidget

from trainer import units
from trainer.drawing.rack import percent
from trainer.drawing.shapes import DrawList, Path, Shape, Words
from trainer.language import tr
from trainer.practice.attempt import Attempt, State
from trainer.practice.catalogue import MEASURES, called, found
from trainer.practice.task import Lap, Task
from trainer.practice.telling import filled, told
from trainer.practice.trace import Trace
from trainer.window.painting.canvas import Canvas
from trainer.window.painting.look import Look
from trainer.window.practice.traces_shapes import Placing, round_steps
from trainer.window.practice.words import cut

__all__ = ["LapsView"]

_SMALL, _NAME = 18.4, 23.0
_LEFT, _GAP = 58.0, 74.0
_TOP, _TABLE = 78.0, 150.0  # where a plot begins, height of the rows below it [board px]
_PITCH = 34.0
_LONGER = 5.0  # s by which the axis of time grows


@dataclass(frozen=True, slots=True)
class Asked:
    """What a lap is about: the letter that is plotted, its quantity, the band that is asked for [SI]."""

    letter: str
    quantity: str
    low: float
    high: float
    name: str


def asked_of(task: Task, lap: Lap, quantities: Mapping[str, str]) -> Asked | None:
    """Return what is plotted of a lap."""
    roles = lap.roles
    if roles.band is not None and roles.speed:
        return Asked(roles.speed, roles.band[0][1], roles.band[0][0], roles.band[1][0], tr("speed"))
    if roles.target is not None and roles.place:
        within = roles.within[0] if roles.within is not None else 0.0
        target, quantity = roles.target
        return Asked(roles.place, quantity, target - within, target + within, tr("place"))
    if roles.speed:
        first = task.bands.get(task.shown[0])
        quantity = quantities.get(roles.speed, "speed")
        high = first.practised[0] if first is not None and first.practised[1] == quantity else 0.0
        return Asked(roles.speed, quantity, 0.0, high, tr("speed"))
    return None


class LapsView(QWidget):
    """All laps of an attempt. ``covered`` hides the curve of the lap that is run, ``load_covered`` which it is."""

    def __init__(self, look: Look, parent: QWidget) -> None:
        super().__init__(parent)
        self.look = look
        self.task: Task | None = None
        self.attempt: Attempt | None = None
        self.covered = self.load_covered = False
        self.ghost: Sequence[Trace] = ()
        self.times: list[float] = []
        self.values: list[float] = []
        self.lever = 0.0  # of the task's first one
        self._axes: tuple[object, ...] = ()  # what the axes of the lap that is run show
        self.canvas = Canvas(self, look, self._still, self._live)
        self.setAccessibleName(tr("Laps"))

    def begin(self, task: Task, attempt: Attempt, ghost: Sequence[Trace]) -> None:
        """Show the laps of an attempt."""
        self.task, self.attempt, self.ghost = task, attempt, ghost
        self.begin_lap()

    def begin_lap(self) -> None:
        """Begin the curve of the next lap."""
        self.times, self.values = [], []
        self.canvas.forget()
        self.update()

    def take(self, lever: float, paint: bool = True) -> None:
        """Take the newest instant of the attempt; show it with ``paint``."""
        attempt, task = self.attempt, self.task
        self.lever = lever
        if attempt is None or task is None:
            return
        asked = asked_of(task, attempt.lap, {})
        if asked is not None and attempt.state is State.RUNNING and asked.letter in attempt.values:
            seconds = attempt.lap_seconds
            if not self.times or seconds > self.times[-1] + 0.015:
                self.times.append(seconds)
                self.values.append(attempt.values[asked.letter])
        if paint:
            if asked is not None:
                self._see_axes(asked)
            self.update()

    def _see_axes(self, asked: Asked) -> None:
        """Have the axes painted anew where a curve has outgrown them."""
        axes = self._until(), *self._scale(asked, self._size()[1])[1]
        if axes != self._axes:
            self._axes = axes
            self.canvas.forget()

    # -- where things stand ------------------------------------------------------------------------------------

    @property
    def _small(self) -> float:
        return self.look.size(_SMALL)

    def _size(self) -> tuple[float, float]:
        return self.width() / self.look.scale, self.height() / self.look.scale

    def _columns(self) -> list[tuple[float, float]]:
        wide, _ = self._size()
        count = len(self.attempt.laps) if self.attempt is not None else 1
        each = (wide - _LEFT - 2.0 - _GAP * (count - 1)) / count
        return [(_LEFT + k * (each + _GAP), _LEFT + k * (each + _GAP) + each) for k in range(count)]

    def _until(self) -> float:
        """Return how long a lap is shown [s]: longer in steps, so that the axis stands still between them."""
        attempt, task = self.attempt, self.task
        if attempt is None or task is None:
            return 10.0
        longest = [float(one.times[-1]) for one in attempt.traces if len(one)]
        longest += self.times[-1:]
        least = 10.0 if not task.after else task.after + 2.0
        return least + _LONGER * max(math.ceil((max([0.0, *longest]) - least) / _LONGER - 0.01), 0)

    def _scale(self, asked: Asked, high: float) -> tuple[Placing, list[float], units.Unit]:
        unit = units.shown_unit(asked.quantity, self.look.system)
        values = [asked.high, asked.low, *self.values]
        for trace in self.attempt.traces if self.attempt is not None else ():
            if asked.letter in trace.values and len(trace):
                values += [float(trace.values[asked.letter].max()), float(trace.values[asked.letter].min())]
        for lap in self.attempt.laps if self.attempt is not None else ():
            other = asked_of(self.task, lap, {}) if self.task is not None else None
            values += [other.high] if other is not None else []
        low, top = min(0.0, *map(unit.number, values)), 1.3 * max(*map(unit.number, values), 1e-9)
        marks = round_steps(0.0 if low > -0.05 * top else low, top)
        bottom = high - _TABLE - 62.0
        return Placing(marks[0], marks[-1], bottom, _TOP), marks, unit

    # -- what is painted ---------------------------------------------------------------------------------------

    def _still(self) -> DrawList:
        attempt, task = self.attempt, self.task
        if attempt is None or task is None:
            return ()
        _, high = self._size()
        shapes: list[Shape] = []
        done = len(attempt.traces)
        for k, (lap, (left, right)) in enumerate(zip(attempt.laps, self._columns(), strict=True)):
            asked = asked_of(task, lap, {})
            if asked is None:
                continue
            y, marks, unit = self._scale(asked, high)
            shapes += self._frame(k, lap, asked, (left, right), (y, marks, unit), high)
            if k < done:
                shapes += self._curve(k, asked, (left, right), y, unit)
        return shapes

    def _frame(
        self, k: int, lap: Lap, asked: Asked, column: tuple[float, float],
        scale: tuple[Placing, list[float], units.Unit], high: float,
    ) -> list[Shape]:  # fmt: skip
        assert self.task is not None
        assert self.attempt is not None
        left, right = column
        y, marks, unit = scale
        bottom = high - _TABLE - 62.0
        hidden = self.load_covered and k >= len(self.attempt.traces)
        words = tr("load covered") if hidden else filled(lap.words, self.look.system) or tr("This attempt")
        ink = "accent" if k == self.attempt.lap_number - 1 and not self.attempt.state.over else "ink"
        shapes: list[Shape] = [
            Words(left, 22.0, cut(words, right - left - 90.0, self.look.size(_NAME), 600), _NAME, ink, 600),
        ]
        low, top = unit.number(asked.low), unit.number(asked.high)
        caption = [f"{asked.name}, {unit.pretty}", *([tr("white: asked for")] if top > low else [])]
        shapes.append(Words(left, 54.0, cut(" · ".join(caption), right - left, self._small), _SMALL, "ink2"))
        if top > low:
            box = ((left, y(top)), (right, y(top)), (right, y(low)), (left, y(low)))
            shapes.append(Path(box, "ink", 1.3, "cell", True))
        for value in marks:
            shapes.append(Path(((left, y(value)), (right, y(value))), "ink2" if value == 0 else "hairline", 1.2))
            if k == 0:
                shapes.append(Words(left - 10.0, y(value) + 6.0, f"{value:g}".replace("-", "−"), _SMALL, "ink2",
                                    align="right"))  # fmt: skip
        until = self._until()
        x = Placing(0.0, until, left, right)
        free = left - 20.0
        for value in round_steps(0.0, until, max(2, int((right - left) / 100.0))):
            if value > until * 1.0001:
                break
            told_ = tr("{time} s").format(time=f"{value:g}") if value else "0"
            shapes.append(Path(((x(value), bottom), (x(value), bottom + 6.0)), "ink2", 1.2))
            grown = self._small / _SMALL
            if x(value) - 20.0 * grown > free:
                align = "right" if x(value) + 24.0 > right else "centre"
                shapes.append(Words(x(value), bottom + 27.0, told_, _SMALL, "ink2", align=align))
                free = x(value) + 24.0 * grown
        for line in range(len(self._names()) + 1):
            at = high - _TABLE + _PITCH * line + 8.0
            shapes.append(Path(((left, at), (right, at)), "hairline", 1.5))
        return shapes

    def _curve(self, k: int, asked: Asked, column: tuple[float, float], y: Placing, unit: units.Unit) -> list[Shape]:
        assert self.attempt is not None
        trace = self.attempt.traces[k]
        if len(trace) < 2:
            return []
        x = Placing(0.0, self._until(), *column)
        step = max(1, len(trace) // 400)
        shapes: list[Shape] = []
        best = next((one for one in self.ghost if one.lap == trace.lap and asked.letter in one.values), None)
        if best is not None and len(best) > 1:
            shapes.append(self._line(best.times[::step].tolist(), best.values[asked.letter][::step].tolist(), x, y,
                                     unit, "ink2", 1.6, (2.5, 4.0)))  # fmt: skip
        return [*shapes, self._line(trace.times[::step].tolist(), trace.values[asked.letter][::step].tolist(), x, y,
                                    unit, "accent", 2.8)]  # fmt: skip

    @staticmethod
    def _line(
        times: Sequence[float], values: Sequence[float], x: Placing, y: Placing, unit: units.Unit, ink: str,
        width: float, dash: tuple[float, ...] = (),
    ) -> Path:  # fmt: skip
        places = [(x(t), y(unit.number(v))) for t, v in zip(times, values, strict=True) if x(t) <= x.at_low + x.way]
        return Path(tuple(places), ink, width, dash=dash)

    def _live(self) -> DrawList:
        attempt, task = self.attempt, self.task
        if attempt is None or task is None:
            return ()
        shapes: list[Shape] = []
        _, high = self._size()
        for k, (lap, column) in enumerate(zip(attempt.laps, self._columns(), strict=True)):
            asked = asked_of(task, lap, {})
            if asked is None:
                continue
            y, _, unit = self._scale(asked, high)
            now = k == attempt.lap_number - 1 and not attempt.state.over
            if now:
                shapes += self._running(column, y, unit, high)
            shapes += self._rows(k, lap, column, now and k >= len(attempt.traces), high)
        return shapes

    def _running(self, column: tuple[float, float], y: Placing, unit: units.Unit, high: float) -> list[Shape]:
        assert self.attempt is not None
        left, right = column
        bottom = high - _TABLE - 62.0
        if not self.covered:
            if len(self.times) < 2:
                return []
            x = Placing(0.0, self._until(), left, right)
            return [self._line(self.times, self.values, x, y, unit, "accent", 2.8)]
        if self.attempt.state is State.LAP_DONE:
            return []
        box = ((left - 1, _TOP), (right + 1, _TOP), (right + 1, bottom), (left - 1, bottom))
        words = tr("shown when the lap ends")
        middle, half = (left + right) / 2, 0.26 * self._small * len(words)
        y_words = (_TOP + bottom) / 2
        ground = (
            (middle - half - 10, y_words - 18), (middle + half + 10, y_words - 18),
            (middle + half + 10, y_words + 18), (middle - half - 10, y_words + 18),
        )  # fmt: skip
        share = min(self.attempt.lap_seconds / self._until(), 1.0)
        shapes: list[Shape] = [
            Path(box, None, 0.0, "cover", True, hatch="cover-hatch"),
            Path(ground, None, 0.0, "cover", True),
            Words(middle, y_words + 6.0, words, _SMALL, align="centre"),
        ]
        if share > 0.0:
            shapes.append(Path(((left, bottom + 2.0), (left + share * (right - left), bottom + 2.0)), "accent", 5.0))
        return shapes

    def _names(self) -> list[str]:
        """Return the ids of the measures that stand below a lap."""
        return [] if self.task is None else [id_ for id_ in self.task.shown if id_ in MEASURES]

    def _rows(self, k: int, lap: Lap, column: tuple[float, float], running: bool, high: float) -> list[Shape]:
        assert self.attempt is not None
        assert self.task is not None
        left, right = column
        values: dict[str, float] = {}
        if k < len(self.attempt.traces) and k < len(self.attempt.reached):
            values = found(lap, self.attempt.traces[k], self.attempt.reached[k])
        quantities = self.attempt.traces[0].quantities if self.attempt.traces else {}
        shapes: list[Shape] = []
        for line, id_ in enumerate(self._names()):
            y = high - _TABLE + _PITCH * line
            name = called(id_, self.task.names)
            figure = ""
            if id_ in values:
                figure = told(id_, values[id_], MEASURES[id_].quantity_in(lap.roles, quantities), self.look.system)
            room = right - left - 96.0 * self._small / _SMALL
            shapes.append(Words(left, y, cut(name, room, self._small), _SMALL, "ink2"))
            if figure:
                shapes.append(Words(right, y, figure, _SMALL, weight=600, align="right"))
            elif k < len(self.attempt.traces) or self.attempt.state.over:
                shapes.append(Words(right, y, tr("none"), _SMALL, "ink2", align="right"))
            else:
                box = ((right - 74, y - 16), (right, y - 16), (right, y + 4), (right - 74, y + 4))
                shapes.append(Path(box, None, 0.0, "cover", True, hatch="cover-hatch"))
        y = high - _TABLE + _PITCH * len(self._names())
        if running:
            shapes.append(Words(left, y, tr("lever now"), _SMALL, "ink2"))
            shapes.append(Words(right, y, percent(self.lever), _SMALL, weight=600, align="right"))
        elif k < len(self.attempt.traces) and len(self.attempt.traces[k]):
            lever = next(iter(self.attempt.traces[k].levers.values()))
            shapes.append(Words(left, y, tr("lever at the end"), _SMALL, "ink2"))
            shapes.append(Words(right, y, percent(float(lever[-1])), _SMALL, weight=600, align="right"))
        return shapes

    def paintEvent(self, event: QPaintEvent) -> None:
        self.canvas.paint()
