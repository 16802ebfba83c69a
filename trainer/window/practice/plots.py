"""What the traces of a lap are: the cause on top, then speed, then what it led to; the best run's beside them."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from trainer import units
from trainer.language import mark, tr
from trainer.practice.catalogue import Seen
from trainer.practice.measures import MOVED
from trainer.practice.signals import Numbers
from trainer.practice.task import Lap, Task
from trainer.practice.trace import Trace
from trainer.rig.names import capital, lever_label
from trainer.units import System, Units, pair

__all__ = ["Plot", "Plots", "plots_of"]

_MOST = 900  # points of a curve: no paper is finer
_UNITS: dict[str, Units] = {
    "angle": pair("deg", 0, "deg", 0), "shaft speed": pair("deg/s", 0, "deg/s", 0), "force": pair("kN", 1, "lbf", 0),
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Plot:
    """One curve over time in the units of the screen, the best run's beside it, and the band that is asked for."""

    name: str
    unit: str
    times: Numbers
    values: Numbers
    best_times: Numbers | None = None
    best: Numbers | None = None
    band: tuple[float, float] | None = None

    @property
    def ends(self) -> tuple[float, float]:
        """The least and the largest number that is to be seen; 0 is always."""
        found = [0.0, *(self.band or ())]
        for values in (self.values, self.best):
            if values is not None and len(values):
                found += [float(values.min()), float(values.max())]
        low, high = min(found), max(found)
        return (0.0 if low > -0.03 * high else low), high


@dataclass(frozen=True, slots=True)
class Plots:
    """The curves of a lap; ``centred`` is when the first lever came back [s], ``best_centred`` in the best run."""

    plots: Sequence[Plot]
    until: float
    centred: float
    best_centred: float


def plots_of(task: Task, lap: Lap, trace: Trace, best: Trace | None, system: System) -> Plots:
    """Return the curves of a lap in the units of a screen."""
    seen = Seen(lap, trace)
    other = Seen(lap, best) if best is not None and len(best) > 1 else None
    until = float(trace.times[-1]) if len(trace) else 0.0
    if best is not None and len(best):
        until = max(until, float(best.times[-1]))
    return Plots(
        [*_levers(task, seen, other), *_rest(task, lap, seen, other, system)],
        max(until, 1.0),
        _centred(seen),
        _centred(other) if other is not None else math.nan,
    )


def _centred(seen: Seen) -> float:
    """Return when the first lever was centred after it had moved [s]; nan where it never was."""
    if not seen.levers or len(seen.times) < 2:
        return math.nan
    k = seen.centred
    return float(seen.times[k]) if abs(float(seen.levers[0][k])) <= MOVED else math.nan


def _thin(times: Numbers, values: Numbers) -> tuple[Numbers, Numbers]:
    step = max(1, math.ceil(len(times) / _MOST))
    return times[::step], values[::step]


def _plot(
    name: str, unit: str, own: tuple[Numbers, Numbers], best: tuple[Numbers, Numbers] | None,
    band: tuple[float, float] | None = None,
) -> Plot:  # fmt: skip
    times, values = _thin(*own)
    if best is None:
        return Plot(name, unit, times, values, band=band)
    best_times, best_values = _thin(*best)
    return Plot(name, unit, times, values, best_times, best_values, band)


def _levers(task: Task, seen: Seen, other: Seen | None) -> Iterator[Plot]:
    """Yield the levers that a hand moved, two at the most, in the order of the task."""
    assert task.rig is not None
    moved = [name for name, one in seen.trace.levers.items() if np.abs(one).max(initial=0.0) > MOVED]
    for name in (moved or [*seen.trace.levers])[:2]:
        best = (other.times, 100 * other.trace.levers[name]) if other and name in other.trace.levers else None
        words = tr("{lever} lever").format(lever=capital(lever_label(task.rig, name)))
        yield _plot(words, "%", (seen.times, 100 * seen.trace.levers[name]), best)


def _rest(task: Task, lap: Lap, seen: Seen, other: Seen | None, system: System) -> Iterator[Plot]:
    roles = lap.roles
    if roles.speed:
        band = (roles.band[0][0], roles.band[1][0]) if roles.band is not None else None
        yield _of(mark("Speed"), roles.speed, seen, other, system, band)
    if roles.sway and roles.link is not None:
        limit = task.bands["sway"].practised[0] if "sway" in task.bands else None
        swing = (other.times, np.degrees(other.swing)) if other is not None and _has(other, roles.sway) else None
        band = (0.0, math.degrees(limit)) if limit is not None else None
        yield _plot(tr("Sway"), "°", (seen.times, np.degrees(seen.swing)), swing, band)
        return
    if roles.path and roles.line:
        yield _off_line(task, seen, other if other is not None and _has(other, roles.path) else None, system)
        return
    third = (
        (mark("Force at contact"), roles.contact), (mark("Pressure behind it"), roles.behind),
        (mark("Place"), roles.place if roles.target else ""), (mark("Pressure"), roles.pressure),
        (mark("Place"), roles.place),
    )  # fmt: skip
    for words, letter in third:
        if letter:
            band = None
            if letter == roles.place and roles.target is not None and roles.within is not None:
                band = (roles.target[0] - roles.within[0], roles.target[0] + roles.within[0])
            yield _of(words, letter, seen, other, system, band)
            return


def _off_line(task: Task, seen: Seen, other: Seen | None, system: System) -> Plot:
    """Return how far off the line that is asked for something was."""
    unit = units.shown_unit("length", system)

    def off(one: Seen) -> tuple[Numbers, Numbers]:
        ends = np.array([given[0] for given in one.roles.line], np.float64)
        begin, end = ends[: len(ends) // 2], ends[len(ends) // 2 :]
        along = (end - begin) / np.linalg.norm(end - begin)
        away = one.path - begin
        away = away - np.outer(away @ along, along)
        return one.times, np.asarray(np.linalg.norm(away, axis=1) / unit.factor, np.float64)

    limit = task.bands["off_line"].practised[0] if "off_line" in task.bands else None
    band = (0.0, unit.number(limit)) if limit is not None else None
    return _plot(tr("Off the line"), unit.pretty, off(seen), off(other) if other is not None else None, band)


def _has(seen: Seen, letters: Sequence[str]) -> bool:
    return all(letter in seen.trace.values for letter in letters)


def _of(
    words: str, letter: str, seen: Seen, other: Seen | None, system: System, band: tuple[float, float] | None
) -> Plot:
    quantity = seen.trace.quantities[letter]
    pair_of = _UNITS.get(quantity)
    unit = pair_of[system is System.US][0] if pair_of is not None else units.shown_unit(quantity, system)

    def shown(values: Numbers) -> Numbers:
        return np.asarray((values - unit.offset) / unit.factor, np.float64)

    best = (other.times, shown(other.values(letter))) if other is not None and _has(other, (letter,)) else None
    ends = (unit.number(band[0]), unit.number(band[1])) if band is not None else None
    return _plot(tr(words), unit.pretty, (seen.times, shown(seen.values(letter))), best, ends)
