"""What was sampled of one lap: readings and levers, once for each call of the solver, from the first lever on."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from types import MappingProxyType

import numpy as np

from trainer.engine.readings import Readings
from trainer.lessons.readings import known
from trainer.practice.signals import Numbers
from trainer.practice.task import Task

__all__ = ["PLACES", "Sampler", "Trace"]

PLACES = ("load ahead", "load left", "load up", "slew of the boom", "reach of the boom")  # of a crane


@dataclass(frozen=True, slots=True)
class Trace:
    """One lap: times since the first lever moved [s], readings by their letters and levers by their names [SI].

    ``quantities`` are those of the readings. The sample at or just before time 0 is the first. ``posed`` is what the
    picture of the machine needs, where the rig has one.
    """

    lap: str
    times: Numbers
    values: Mapping[str, Numbers]
    levers: Mapping[str, Numbers]
    quantities: Mapping[str, str]
    posed: Mapping[str, Numbers] = field(default_factory=dict)

    def __len__(self) -> int:
        return len(self.times)

    def at(self, letter: str, time: float) -> float:
        """Return a reading at a time [s], between samples in a straight line."""
        return float(np.interp(time, self.times, self.values[letter]))

    def stood(self, name: str, time: float) -> float:
        """Return what the picture of the machine needs at a time [s]. Raises KeyError for what was not kept."""
        return float(np.interp(time, self.times, self.posed[name]))

    def until(self, time: float) -> Trace:
        """Return the trace up to a time [s]."""
        k = int(np.searchsorted(self.times, time + 1e-9, side="right"))
        return Trace(
            self.lap,
            self.times[:k],
            {name: one[:k] for name, one in self.values.items()},
            {name: one[:k] for name, one in self.levers.items()},
            self.quantities,
            {name: one[:k] for name, one in self.posed.items()},
        )


def _places(now: Readings) -> dict[str, str]:
    """Return where a crane has its load, as courses by letters that no task has: the ghost is drawn there."""
    rig = now.network.rig
    crane = next((name.partition(".")[0] for name in rig.states() if name.endswith(".hung_ahead")), "")
    courses = ("state {}.hung_ahead", "state {}.hung_left", "state {}.hung_up", "state {}.slew", "own {}.reach")
    return {letter: course.format(crane) for letter, course in zip(PLACES, courses, strict=True)} if crane else {}


@dataclass(slots=True)
class Sampler:
    """Takes the readings of a lap as they come."""

    probes: Mapping[str, Callable[[Readings], float]]
    quantities: Mapping[str, str]
    levers: tuple[str, ...]
    posed: Mapping[str, Callable[[Readings], float]] = field(default_factory=dict)
    times: list[float] = field(default_factory=list)
    rows: list[list[float]] = field(default_factory=list)
    moved: list[list[float]] = field(default_factory=list)
    stood: list[list[float]] = field(default_factory=list)

    @classmethod
    def of(
        cls, task: Task, now: Readings, posed: Mapping[str, Callable[[Readings], float]] = MappingProxyType({})
    ) -> Sampler:
        """Return one for a task on a rig of which there is an instant. Raises NoReading for what it does not have.

        ``posed`` is what the picture of the machine needs.
        """
        there = known(now)
        found = {letter: there.probe(course) for letter, course in {**task.readings, **_places(now)}.items()}
        return cls(
            {letter: probe for letter, (_, probe) in found.items()},
            {letter: quantity for letter, (quantity, _) in found.items()},
            task.levers,
            posed,
        )

    def take(self, now: Readings) -> dict[str, float]:
        """Keep one instant, and return its readings by their letters [SI]."""
        values = {letter: probe(now) for letter, probe in self.probes.items()}
        self.times.append(now.time)
        self.rows.append([*values.values()])
        self.moved.append([now.control(*name.split(".", 1)) for name in self.levers])
        self.stood.append([probe(now) for probe in self.posed.values()])
        return values

    def keep_newest(self) -> None:
        """Forget all but the newest instant."""
        del self.times[:-1], self.rows[:-1], self.moved[:-1], self.stood[:-1]

    def trace(self, lap: str, begin: float) -> Trace:
        """Return what was taken; ``begin`` is the instant at which the first lever moved [s]."""
        rows, moved, stood = (np.array(one, np.float64) for one in (self.rows, self.moved, self.stood))
        return Trace(
            lap,
            np.array(self.times, np.float64) - begin,
            {letter: rows[:, k].copy() for k, letter in enumerate(self.probes)},
            {name: moved[:, k].copy() for k, name in enumerate(self.levers)},
            dict(self.quantities),
            {name: stood[:, k].copy() for k, name in enumerate(self.posed)},
        )
