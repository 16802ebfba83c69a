"""How the machine of a rig stood during a lap: what its picture needs of an instant, sampled, and given back."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from trainer.drawing.machine import MachineView
from trainer.drawing.machine_pose import Pose, Posed
from trainer.engine.readings import Readings
from trainer.practice.trace import Trace
from trainer.rig.rig import Rig

__all__ = ["pose_at", "pose_probes"]


class _Asked:
    """An instant that keeps in mind what is asked of it."""

    def __init__(self, now: Readings) -> None:
        self.live = now
        self.probes: dict[str, Callable[[Readings], float]] = {}

    def state(self, part: str, name: str) -> float:
        self.probes[f"state {part}.{name}"] = lambda now: float(now.state(part, name))
        return self.live.state(part, name)

    def value(self, part: str, name: str) -> float:
        self.probes[f"own {part}.{name}"] = lambda now: float(now.value(part, name))
        return self.live.value(part, name)

    def parameter(self, part: str, name: str) -> float:
        return self.live.parameter(part, name)


class _Traced:
    """An instant of a trace; parameters are those of the machine as it is."""

    def __init__(self, trace: Trace, seconds: float, machine: Posed) -> None:
        self.trace, self.seconds, self.machine = trace, seconds, machine

    def state(self, part: str, name: str) -> float:
        return self.trace.stood(f"state {part}.{name}", self.seconds)

    def value(self, part: str, name: str) -> float:
        return self.trace.stood(f"own {part}.{name}", self.seconds)

    def parameter(self, part: str, name: str) -> float:
        return self.machine.parameter(part, name)


def pose_probes(now: Readings) -> Mapping[str, Callable[[Readings], float]]:
    """Return what is to be sampled so that the machine can be drawn again; nothing of a rig without one."""
    view, asked = MachineView(now.network.rig), _Asked(now)
    if view.exists:
        view.pose(asked)
    return asked.probes


def pose_at(rig: Rig, trace: Trace, seconds: float, machine: Posed) -> Pose | None:
    """Return how the machine stood some seconds after the first lever, None where that was not kept.

    ``machine`` has its parameters. Before and after the lap it stood as at its beginning and its end.
    """
    view = MachineView(rig)
    if not view.exists or not trace.posed:
        return None
    try:
        return view.pose(_Traced(trace, seconds, machine))
    except KeyError:  # kept by a program that drew less
        return None
