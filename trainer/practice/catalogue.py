"""All measures by their ids: what each is called, in what it is told, whether less is better, of what it is found.

A measure is found where a task has the roles that it needs; all that can be found are, three of them are shown.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from trainer.language import mark, tr
from trainer.practice import measures as m
from trainer.practice import smoothness
from trainer.practice.signals import STEP, Numbers, slowed
from trainer.practice.task import Lap, Roles
from trainer.practice.trace import Trace
from trainer.units import GRAVITY

__all__ = ["MEASURES", "Measure", "Seen", "called", "found", "joined"]

Kind = Literal["error", "quality", "time"]
_HELD = 1.0  # s
_STAYS = 0.3  # s that a lever is in its centre where it has stopped something
_FREE = 10.0  # N of the ground below which something hangs
_OPEN = 3e-7  # flow from which a relief counts as open [m3/s]: 0.02 L/min


class Seen:
    """A lap with its trace, as the measures look at it."""

    def __init__(self, lap: Lap, trace: Trace) -> None:
        self.roles: Roles = lap.roles
        self.trace = trace
        self.times = trace.times
        self.levers: Sequence[Numbers] = [*trace.levers.values()]

    def values(self, letter: str) -> Numbers:
        """Return the samples of a reading."""
        return self.trace.values[letter]

    @cached_property
    def place(self) -> Numbers:
        """The samples of the place that the task is about."""
        return self.values(self.roles.place)

    @cached_property
    def speed(self) -> Numbers:
        """The samples of its speed."""
        return self.values(self.roles.speed)

    @cached_property
    def stroke(self) -> Numbers:
        """The motion itself: its speed at even steps, low-passed, from the first to the last that is no rest."""
        return smoothness.moving(slowed(self.times, self.speed))

    @cached_property
    def path(self) -> Numbers:
        """The points of the path, one a row."""
        return np.stack([self.values(letter) for letter in self.roles.path], axis=1)

    @cached_property
    def shaken(self) -> tuple[Numbers, Numbers]:
        """Even times [s], and the acceleration of what is carried at them [m/s2]."""
        return m.acceleration(self.times, [self.values(letter) for letter in self.roles.carried])

    @cached_property
    def swing(self) -> Numbers:
        """The amplitude with which the load swings [rad]."""
        assert self.roles.link is not None
        angles = [self.values(letter) for letter in self.roles.sway]
        return m.sway_amplitude(self.times, angles, self.roles.link[0], GRAVITY)

    @cached_property
    def centred(self) -> int:
        """The first sample at which the first lever of the task is centred again after it was moved.

        On the way to a target it counts from half of the way on: a tap at the start is no swing.
        """
        lever = np.abs(self.levers[0]).copy()
        if self.roles.place and self.roles.target is not None:
            begin = float(self.place[0])
            half = np.abs(self.place - begin) >= abs(self.roles.target[0] - begin) / 2
            lever[: int(half.argmax()) if half.any() else 0] = 0.0
        out = np.flatnonzero(lever > m.MOVED)
        back = np.flatnonzero(lever[out[0] :] <= m.MOVED) if len(out) else out
        return int(out[0] + back[0]) if len(back) else len(lever) - 1

    @cached_property
    def stops(self) -> list[int]:
        """The samples at which the first lever came back to its centre and stayed there for a while."""
        out = np.abs(self.levers[0]) > m.MOVED
        back = np.flatnonzero(out[:-1] & ~out[1:]) + 1
        rests = (out[k : np.searchsorted(self.times, self.times[k] + _STAYS)] for k in back)
        return [int(k) for k, rest in zip(back, rests, strict=True) if not rest.any()]

    @cached_property
    def hanging(self) -> NDArray[np.bool_]:
        """Whether what swings hangs free at each sample: what lies on the ground with slack links does not swing."""
        if not self.roles.contact:
            return np.ones(len(self.times), np.bool_)
        return np.asarray(np.abs(self.values(self.roles.contact)) < _FREE, np.bool_)

    @cached_property
    def second(self) -> float:
        """When the second lever first moved [s]; nan where it did not."""
        moved = np.flatnonzero(np.abs(self.trace.levers[self.roles.second]) > m.MOVED)
        return float(self.times[moved[0]]) if len(moved) else math.nan

    @cached_property
    def on_relief(self) -> Numbers:
        """1 where a relief is open, else 0."""
        flows = np.stack([np.abs(self.values(one)) for one in self.roles.relief])
        return np.asarray(flows.max(axis=0) > _OPEN, np.float64)

    def number(self, role: str) -> float:
        """Return one of the task's own numbers [SI]."""
        return self.roles.numbers()[role]


@dataclass(frozen=True, slots=True)
class Measure:
    """A measure. ``quantity`` "" is that of the role ``told``; ``join`` makes one of several laps."""

    id: str
    words: str
    kind: Kind
    find: Callable[[Seen], float]
    needs: tuple[str, ...] = ()
    quantity: str = "ratio"
    told: str = ""
    less: bool = True
    join: Literal["sum", "mean", "worst"] = "worst"
    count: bool = False  # a plain number, no share
    counted: bool = False  # times that something happened

    def can(self, roles: Roles) -> bool:
        """Return whether a task has what it is found of."""
        return all(bool(getattr(roles, name)) for name in self.needs)

    def quantity_in(self, roles: Roles, quantities: Mapping[str, str]) -> str:
        """Return its quantity in a task, from those of the readings."""
        if self.quantity == "jerk" and quantities[roles.speed] == "shaft speed":
            return "angular jerk"
        return quantities[getattr(roles, self.told)] if self.told else self.quantity

    def whole(self, laps: int) -> bool:
        """Return whether it is a whole number in a task of so many laps: what is counted, and no mean."""
        return self.counted and (self.join != "mean" or laps == 1)

    def better(self, one: float, other: float) -> bool:
        """Return whether a value is better than another one."""
        return one < other if self.less else one > other


def _settling(seen: Seen) -> float:
    return m.settling_time(seen.times, seen.place, seen.number("target"), seen.number("within"))


def _sway(seen: Seen) -> float:
    """At the stop on the target; in a task without one, such as a whole cycle, the most of all stops."""
    if seen.roles.target is not None or not seen.stops:
        return float(seen.swing[seen.centred])
    return max((float(seen.swing[k]) for k in seen.stops if seen.hanging[k]), default=math.nan)


def _line(seen: Seen) -> tuple[Numbers, Numbers]:
    ends = np.array([given[0] for given in seen.roles.line], np.float64)
    half = len(ends) // 2
    return ends[:half], ends[half:]


def _path(seen: Seen) -> float:
    return m.path_ratio(seen.path, float(np.linalg.norm(seen.path[-1] - seen.path[0])))


def _over_load(seen: Seen) -> float:
    pressure = seen.values(seen.roles.pressure)
    return float(pressure.max() - pressure[0])


def _fall(seen: Seen) -> float:
    return m.fall_of_speed(seen.times, seen.speed, seen.second) if not math.isnan(seen.second) else math.nan


def _in_band(seen: Seen) -> float:
    """Over the time since the speed was first in the band; a lap in which it never was has none."""
    low, high = seen.number("low"), seen.number("high")
    size = np.abs(seen.speed)
    inside = np.flatnonzero((size >= low) & (size <= high))
    if not len(inside):
        return 0.0
    return m.share_in_band(seen.times[inside[0] :], size[inside[0] :], low, high)


def _steady(seen: Seen) -> float:
    """Until the speed was in the band for a second; where it never was, all of the lap."""
    low, high = seen.number("low"), seen.number("high")
    since = m.held_since(seen.times, (np.abs(seen.speed) >= low) & (np.abs(seen.speed) <= high), _HELD)
    return float(seen.times[-1]) if math.isnan(since) else since


_ALL = (
    Measure("overshoot", mark("Past the mark"), "error",
            lambda s: m.overshoot(s.place, s.number("target")), ("place", "target"), told="place"),
    Measure("end_error", mark("Off the mark at the end"), "error",
            lambda s: m.end_error(s.place, s.number("target")), ("place", "target"), told="place"),
    Measure("settling", mark("Settling within the ticks"), "time",
            _settling, ("place", "target", "within"), "time", join="sum"),
    Measure("steady", mark("Until it held the speed"), "time", _steady, ("speed", "band"), "time", join="sum"),
    Measure("jump", mark("Jump at the first motion"), "error",
            lambda s: m.crack_jump(s.times, s.speed, s.number("moves")), ("speed", "moves"), told="speed"),
    Measure("in_band", mark("Share of time in the band"), "error",
            _in_band, ("speed", "band"), less=False, join="mean"),
    Measure("fall", mark("Fall of speed when the other came"), "error", _fall, ("speed", "second")),
    Measure("off_line", mark("Off the line, on average"), "error",
            lambda s: m.rms_from_line(s.times, s.path, *_line(s)), ("path", "line"), "length"),
    Measure("furthest", mark("Off the line at most"), "error",
            lambda s: m.furthest_from_line(s.path, *_line(s)), ("path", "line"), "length"),
    Measure("sway", mark("Sway when the swing stopped"), "error", _sway, ("sway", "link"), "angle"),
    Measure("greatest_sway", mark("Greatest sway"), "quality",
            lambda s: float(s.swing[s.hanging].max(initial=0.0)), ("sway", "link"), "angle"),
    Measure("contact", mark("Force at contact"), "error",
            lambda s: m.blow(s.values(s.roles.contact)), ("contact",), "force"),
    Measure("over_load", mark("Peak over the load's pressure"), "quality", _over_load, ("pressure",), "pressure"),
    Measure("behind", mark("Least pressure behind it"), "error",
            lambda s: float(s.values(s.roles.behind).min()), ("behind",), "pressure", less=False),
    Measure("spilling", mark("Time over the limit"), "error",
            lambda s: m.time_above(*s.shaken, s.number("limit")), ("carried", "limit"), "time", join="sum"),
    Measure("off_spot", mark("Laid down off the middle"), "error",
            lambda s: m.off_spot([s.values(letter) for letter in s.roles.carried], [one for one, _ in s.roles.spot]),
            ("carried", "spot"), "length"),
    Measure("relief", mark("Time on relief"), "error",
            lambda s: m.time_above(s.times, s.on_relief, 0.5), ("relief",), "time", join="sum"),
    Measure("peaks", mark("Peaks of speed"), "quality",
            lambda s: float(smoothness.speed_peaks(s.stroke)), ("speed",), join="mean", count=True, counted=True),
    Measure("reversals", mark("Lever reversed"), "quality",
            lambda s: float(m.reversals(s.levers)), join="sum", count=True, counted=True),
    Measure("effort", mark("Way of the lever, in travels"), "quality",
            lambda s: m.lever_effort(s.levers), join="sum", count=True),
    Measure("fine", mark("Lever in its fine zone"), "quality",
            lambda s: m.fine_share(s.times, s.levers, *s.roles.fine), less=False, join="mean"),
    Measure("functions", mark("Functions at once"), "quality",
            lambda s: m.mean_functions(s.times, s.levers), less=False, join="mean", count=True),
    Measure("path", mark("Path, times the shortest"), "quality", _path, ("path",), count=True),
    Measure("peak_jerk", mark("Largest jerk"), "quality",
            lambda s: smoothness.peak_jerk(slowed(s.times, s.speed), STEP), ("speed",), "jerk"),
    Measure("rms_jerk", mark("Jerk, root of the mean square"), "quality",
            lambda s: smoothness.rms_jerk(slowed(s.times, s.speed), STEP), ("speed",), "jerk"),
    Measure("log_jerk", mark("Log dimensionless jerk"), "quality",
            lambda s: smoothness.log_dimensionless_jerk(s.stroke, STEP), ("speed",), less=False, count=True),
    Measure("arc", mark("Spectral arc length"), "quality",
            lambda s: smoothness.spectral_arc_length(s.stroke, STEP), ("speed",), less=False, count=True),
    Measure("work", mark("Work of the pump"), "quality",
            lambda s: m.energy(s.times, s.values(s.roles.power)), ("power",), "energy", join="sum"),
    Measure("time", mark("Time"), "time", lambda s: float(s.times[-1]), (), "time", join="sum"),
)  # fmt: skip
MEASURES: Mapping[str, Measure] = {measure.id: measure for measure in _ALL}


def found(lap: Lap, trace: Trace, done: float) -> dict[str, float]:
    """Return what is measured of a lap by the ids [SI]; ``done`` is when what is asked was reached [s]."""
    seen = Seen(lap, trace)
    values = {one.id: one.find(seen) for one in _ALL if one.can(lap.roles)}
    values["time"] = done
    return {id_: float(value) for id_, value in values.items() if math.isfinite(value)}


def joined(laps: Sequence[Mapping[str, float]]) -> dict[str, float]:
    """Return the measures of an attempt from those of its laps; what one lap has not, the attempt has not."""
    return dict(_joined(laps))


def _joined(laps: Sequence[Mapping[str, float]]) -> Iterator[tuple[str, float]]:
    for id_, one in MEASURES.items():
        if laps and all(id_ in lap for lap in laps):
            values = [lap[id_] for lap in laps]
            if one.join == "worst":
                yield id_, max(values) if one.less else min(values)
            else:
                yield id_, math.fsum(values) / (len(values) if one.join == "mean" else 1)


def called(id_: str, names: Mapping[str, str]) -> str:
    """Return what a measure is called in a task."""
    return tr(names.get(id_, MEASURES[id_].words))
