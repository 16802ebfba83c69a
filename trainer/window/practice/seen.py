"""What of a run is to be seen: its layout, its target, what is covered; and where the load has been."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field

from trainer.drawing.machine import MachineView
from trainer.practice.task import Lap, Task
from trainer.practice.trace import PLACES, Trace

__all__ = ["Ghost", "Trail", "covers", "is_single", "place_line"]

_NAMES = ("ahead", "left", "up", "slew", "reach")  # of the places that a trace has of a crane
_STEP = 0.04  # m between points of a trail


def is_single(task: Task) -> bool:
    """Whether a task is one of holding a speed, or on a rig without a machine: then laps stand beside the gauge."""
    assert task.rig is not None
    return len(task.laps) > 1 or any(lap.roles.band for lap in task.laps) or not MachineView(task.rig).exists


@dataclass(frozen=True, slots=True)
class Covered:
    """What may not be seen: the machine, the speed while a lap lasts, which load it is."""

    machine: bool = False
    speed: bool = False
    load: bool = False


def covers(task: Task, aid: str) -> Covered:
    """Return what is covered with an aid."""
    alone = aid == "gauge" or task.covered == "machine"
    return Covered(alone, aid != "path", task.covered == "load")


def place_line(task: Task, lap: Lap) -> str:
    """Return what the place that a lap is about is of: "boom" of "place boom", "" where it is of nothing."""
    what, _, name = task.readings.get(lap.roles.place, "").partition(" ")
    if what == "place":
        return name
    return name.rpartition(".")[2] if what in ("state", "own") else ""


@dataclass(slots=True)
class Trail:
    """Where a load has been: places ahead and to the left [m], up [m], since the first lever moved."""

    points: list[tuple[float, float, float]] = field(default_factory=list)

    def take(self, place: tuple[float, float, float]) -> None:
        """Take one more place, if it is another."""
        if not self.points or math.dist(self.points[-1], place) > _STEP:
            self.points.append(place)

    def clear(self) -> None:
        """Forget all of them."""
        self.points.clear()


class Ghost:
    """The best run of one's own, followed from the first lever on."""

    def __init__(self, traces: Sequence[Trace], lap: Lap) -> None:
        self.trace = next((one for one in traces if one.lap == lap.name and len(one) > 1), None)
        self.path: list[tuple[float, float, float]] = []  # all places of its load, thinned out
        self.there = self.trace is not None and all(name in self.trace.values for name in PLACES)
        if self.trace is not None and self.there:
            columns = (self.trace.values[name][::6].tolist() for name in PLACES[:3])
            self.path = list(zip(*columns, strict=True))

    def at(self, seconds: float) -> dict[str, float] | None:
        """Return where it was after some seconds [SI]; None where there is none, or none any more."""
        if self.trace is None or not self.there or seconds > float(self.trace.times[-1]) + 1.0:
            return None
        return {name: self.trace.at(place, seconds) for name, place in zip(_NAMES, PLACES, strict=True)}
