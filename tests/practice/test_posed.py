"""How the machine stood is kept with a lap, and drawn again as it was; measures are printed as they are read."""

from __future__ import annotations

from dataclasses import asdict
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from trainer import resources
from trainer.drawing.machine import MachineView
from trainer.practice.kept import _packed, _unpacked
from trainer.practice.posed import pose_at, pose_probes
from trainer.practice.telling import filled, limit, told, within
from trainer.practice.trace import Sampler, Trace
from trainer.rig import file as rig_file
from trainer.rig.rig import Rig
from trainer.units import System


class Instant:
    """An instant of a machine: parameters are the rig's, all else goes evenly with time; logs lie."""

    def __init__(self, rig: Rig, time: float) -> None:
        self.network, self.time, self.rig = SimpleNamespace(rig=rig), time, rig

    def state(self, part: str, name: str) -> float:
        return 1.0 if name in ("log1", "log2", "log3") else 0.01 * len(name) + 0.2 * self.time

    def value(self, part: str, name: str) -> float:
        return 0.02 * len(name) + 0.1 * self.time

    def parameter(self, part: str, name: str) -> float:
        return self.rig.value(part, name)


def flat(one: object) -> list[float]:
    """Return all numbers of something."""
    if isinstance(one, dict):
        return [number for part in one.values() for number in flat(part)]
    if isinstance(one, list | tuple):
        return [number for part in one for number in flat(part)]
    return [float(one)] if isinstance(one, int | float) else []


def test_the_machine_is_drawn_again_as_it_stood() -> None:
    rig = rig_file.load(resources.rigs()["timber-trailer-loader"])
    instants: list[Any] = [Instant(rig, 0.1 * k) for k in range(6)]
    view, sampler = MachineView(rig), Sampler({}, {}, (), pose_probes(instants[0]))
    for one in instants:
        sampler.take(one)
    trace = sampler.trace("", 0.0)
    assert next(iter(trace.until(0.3).posed.values())).shape == (4,)
    (kept,) = _unpacked(_packed([trace]))  # single precision, as on the disk
    poses = [flat(asdict(view.pose(one))) for one in instants]
    for one, wanted in zip(instants, poses, strict=True):
        pose = pose_at(rig, kept, one.time, one)
        assert pose is not None
        assert flat(asdict(pose)) == pytest.approx(wanted, rel=1e-6, abs=1e-6)
    assert poses[0] != poses[-1]


def test_a_lap_without_it_has_no_machine() -> None:
    rig = rig_file.load(resources.rigs()["one-spool-bench"])
    now: Any = Instant(rig, 0.0)
    assert pose_probes(now) == {}
    assert pose_at(rig, Trace("", np.zeros(2), {}, {}, {}), 0.0, now) is None


@pytest.mark.parametrize(
    ("measure", "value", "quantity", "metric", "us"),
    [
        ("overshoot", 3e-3, "length", "3.0 mm", "0.12 in"), ("off_line", 0.06, "length", "60 mm", "2.35 in"),
        ("off_spot", 0.3, "length", "300 mm", "11.8 in"), ("contact", 600.0, "force", "0.60 kN", "135 lbf"),
        ("contact", 1500.0, "force", "1.50 kN", "335 lbf"), ("settling", 0.0, "time", "at once", "at once"),
        ("reversals", 3.0, "ratio", "3", "3"),
    ],
)  # fmt: skip
def test_measures_are_no_finer_than_they_are_read(
    measure: str, value: float, quantity: str, metric: str, us: str
) -> None:
    """By hand: 3 mm are 0.118 in, 60 mm 2.362 in, 300 mm 11.81 in; 600 N are 134.9 lbf, 1500 N 337.2 lbf."""
    assert told(measure, value, quantity, System.METRIC) == metric
    assert told(measure, value, quantity, System.US) == us


def test_limits_and_what_is_asked_have_no_noughts_behind_the_point() -> None:
    assert limit("overshoot", 3e-3, "length", System.METRIC) == ("3", "mm")
    assert limit("settling", 0.0, "time", System.METRIC) == ("0", "s")
    assert within(5e-3, "length", System.METRIC) == "± 5 mm"
    assert within(np.radians(4.0), "angle", System.US) == "± 4°"
    assert filled("at {40 mm/s}", System.METRIC) == "at 40 mm/s"
    assert filled("at {40 mm/s}", System.US) == "at 1.6 in/s"
