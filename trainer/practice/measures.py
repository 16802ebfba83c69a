"""What is measured of a run, each by its definition: pure functions of samples at rising times, all in SI.

Step-response measures as in every handbook of control; the others with their sources. How smooth a motion is stands
in ``smoothness``.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from trainer.practice.signals import STEP, Numbers, rate, slowed

__all__ = [
    "MOVED", "acceleration", "blow", "crack_jump", "end_error", "energy", "fall_of_speed", "fine_share",
    "first_moved", "furthest_from_line", "held_since", "lever_effort", "mean_functions", "off_spot", "overshoot",
    "path_length", "path_ratio", "reversals", "rms_from_line", "settling_time", "share_in_band", "sway_amplitude",
    "time_above", "turns",
]  # fmt: skip

MOVED = 0.05  # of a lever's travel: less is a resting hand
_BACK = 0.05  # of a lever's travel: less is no turn


# -- time and place ------------------------------------------------------------------------------------------------


def held_since(times: Numbers, holds: Sequence[bool] | NDArray[np.bool_], long: float) -> float:
    """Return the first time from which something holds without a break for so long [s]; nan where it never does."""
    since = math.nan
    for time, true in zip(times.tolist(), holds, strict=True):
        if not true:
            since = math.nan
            continue
        if math.isnan(since):
            since = time
        if time - since >= long - 1e-9:
            return since
    return math.nan


def overshoot(values: Numbers, target: float) -> float:
    """Return how far a motion from its first value went past a target; 0 where it did not."""
    way = math.copysign(1.0, target - float(values[0]))
    return max(0.0, float(((values - target) * way).max()))


def end_error(values: Numbers, target: float) -> float:
    """Return how far from a target a motion ended."""
    return abs(float(values[-1]) - target)


def off_spot(axes: Sequence[Numbers], spot: Sequence[float]) -> float:
    """Return how far from a spot something lay at the end, along some axes [m]."""
    return math.hypot(*(float(one[-1]) - there for one, there in zip(axes, spot, strict=True)))


def settling_time(times: Numbers, values: Numbers, target: float, within: float) -> float:
    """Return the time from the first entry into target ± within to the last one [s]; nan where it ends outside."""
    inside = np.abs(values - target) <= within
    if not inside[-1]:
        return math.nan
    outside = np.flatnonzero(~inside)
    last = times[outside[-1] + 1] if len(outside) else times[0]
    return float(last - times[np.flatnonzero(inside)[0]])


def path_length(points: Numbers) -> float:
    """Return the length of a way through points, one a row [m].

    Polowy and Rutkowski, Forests 15 (2024) 1277, count so what a crane's tip goes for a task.
    """
    return float(np.linalg.norm(np.diff(points, axis=0), axis=1).sum())


def path_ratio(points: Numbers, shortest: float) -> float:
    """Return the length of a way over the shortest one [m]; 1 is the best there is."""
    return path_length(points) / shortest if shortest > 0 else math.nan


def _from_line(points: Numbers, begin: Numbers, end: Numbers) -> Numbers:
    along = (end - begin) / np.linalg.norm(end - begin)
    off = points - begin
    return np.asarray(np.linalg.norm(off - np.outer(off @ along, along), axis=1), np.float64)


def rms_from_line(times: Numbers, points: Numbers, begin: Numbers, end: Numbers) -> float:
    """Return the root of the mean square, over time, of the distances of points from the line through two [m]."""
    return math.sqrt(_mean(times, _from_line(points, begin, end) ** 2))


def furthest_from_line(points: Numbers, begin: Numbers, end: Numbers) -> float:
    """Return the largest distance of points from the line through two [m]."""
    return float(_from_line(points, begin, end).max())


# -- levers --------------------------------------------------------------------------------------------------------


def mean_functions(times: Numbers, levers: Sequence[Numbers]) -> float:
    """Return how many levers are moved at once, on average over the time in which any is.

    Sekizuka et al., Front. Robot. AI 6 (2019) 142; Polowy and Rutkowski 2024.
    """
    grid = _fine(times, times)[0]
    count = np.zeros_like(grid)
    for lever in levers:
        count += np.abs(_fine(times, lever)[1]) > MOVED
    busy = _integral(grid, (count > 0).astype(np.float64))
    return _integral(grid, count) / busy if busy > 0 else 0.0


def lever_effort(levers: Sequence[Numbers]) -> float:
    """Return the way that levers were moved, in full travels from the centre: the sum of |Δu|.

    Control effort of Filla, Int. J. Vehicle Syst. Model. Test. 7 (2012).
    """
    return float(sum(np.abs(np.diff(lever)).sum() for lever in levers))


def turns(lever: Numbers) -> list[int]:
    """Return the samples at which a lever began to go the other way by more than 5 % of its travel."""
    found: list[int] = []
    way, turn, at = 0, float(lever[0]), 0
    for k, value in enumerate(lever.tolist()):
        if way == 0:
            if abs(value - turn) > _BACK:
                way, turn, at = (1 if value > turn else -1), value, k
        elif (value - turn) * way > 0:
            turn, at = value, k
        elif (turn - value) * way > _BACK:
            found.append(at)
            way, turn, at = -way, value, k
    return found


def reversals(levers: Sequence[Numbers]) -> int:
    """Return how often levers were turned round beyond once each: out and back is none (after Filla 2012)."""
    return sum(max(0, len(turns(lever)) - 1) for lever in levers)


def fine_share(times: Numbers, levers: Sequence[Numbers], low: float, high: float) -> float:
    """Return the share of the time in which levers are moved that they stand in the fine zone, from low to high.

    Of several levers the times are added up.
    """
    sizes = [np.abs(lever) for lever in levers]
    busy = sum(time_above(times, size, MOVED) for size in sizes)
    fine = sum(time_above(times, size, low) - time_above(times, size, high) for size in sizes)
    return fine / busy if busy > 0 else math.nan


# -- speed ---------------------------------------------------------------------------------------------------------


def first_moved(speed: Numbers, least: float) -> int:
    """Return the first sample at which something is faster than ``least``; -1 for none."""
    fast = np.flatnonzero(np.abs(speed) > least)
    return int(fast[0]) if len(fast) else -1


def crack_jump(times: Numbers, speed: Numbers, least: float, after: float = 0.5) -> float:
    """Return the largest speed within ``after`` [s] of the first motion faster than ``least``; nan for no motion."""
    k, size = first_moved(speed, least), np.abs(speed)
    if k < 0:
        return math.nan
    share = (size[k] - least) / (size[k] - size[k - 1]) if k and size[k] > size[k - 1] else 0.0
    end = float(times[k] - share * (times[k] - times[k - 1]) if k else times[k]) + after
    return max(float(size[k : np.searchsorted(times, end)].max(initial=0.0)), float(np.interp(end, times, size)))


def share_in_band(times: Numbers, values: Numbers, low: float, high: float) -> float:
    """Return the share of the time in which a value is from low to high."""
    grid, fine = _fine(times, values)
    return _mean(grid, ((fine >= low) & (fine <= high)).astype(np.float64))


def fall_of_speed(times: Numbers, speed: Numbers, at: float, before: float = 0.5) -> float:
    """Return by what share a speed fell after an instant [s], from its mean in the time before it to its least."""
    was = speed[(times >= at - before) & (times < at)]
    then = speed[times >= at]
    mean = float(np.abs(was).mean()) if len(was) else 0.0
    return max(0.0, 1 - float(np.abs(then).min()) / mean) if mean > 0 and len(then) else math.nan


def acceleration(times: Numbers, axes: Sequence[Numbers]) -> tuple[Numbers, Numbers]:
    """Return even times [s] and the size of the acceleration at them [m/s2] of a place with some axes, low-passed.

    What is carried full spills, and what lies loose slides, by it.
    """
    twice = [rate(rate(slowed(times, one))) for one in axes]
    return times[0] + STEP * np.arange(len(twice[0])), np.sqrt(np.sum(np.square(twice), axis=0, dtype=np.float64))


def sway_amplitude(times: Numbers, angles: Sequence[Numbers], link: float, gravity: float) -> Numbers:
    """Return the amplitude [rad] with which a load on a link [m] swings at each time: √(θ² + (θ̇/ω)²), ω² = g / link.

    Of two directions the root of both squares; so it does not matter at which point of its swing the load is.
    Residual swing as in the studies of crane hands by Khalid and Singhose (2004, 2006). Rates are those of the
    low-passed angles.
    """
    grid = times[0] + STEP * np.arange(len(slowed(times, angles[0])))
    squares = np.zeros_like(times)
    for angle in angles:
        turning = np.interp(times, grid, rate(slowed(times, angle)))
        squares = squares + angle**2 + turning**2 * link / gravity
    return np.sqrt(squares)


# -- oil and load --------------------------------------------------------------------------------------------------


def blow(force: Numbers) -> float:
    """Return how much harder something pressed at most than at the end, when it lies still [N]."""
    return float(force.max() - force[-1])


def time_above(times: Numbers, values: Numbers, limit: float) -> float:
    """Return for how long a value is above a limit [s]: on relief by its flow, spilling by its acceleration."""
    grid, fine = _fine(times, values)
    return _integral(grid, (fine > limit).astype(np.float64))


def energy(times: Numbers, power: Numbers) -> float:
    """Return the work of a power [J] (Tervo et al., IEEE T-ASE 7 (2010): resources used for a task)."""
    return _integral(times, power)


def _fine(times: Numbers, values: Numbers) -> tuple[Numbers, Numbers]:
    """Return a grid fine enough to count by, and the values on it, between samples in straight lines."""
    count = max(2, math.ceil(float(times[-1] - times[0]) / STEP) + 1)
    grid = np.linspace(times[0], times[-1], count)
    return grid, np.interp(grid, times, values)


def _integral(times: Numbers, values: Numbers) -> float:
    return float(np.sum((values[1:] + values[:-1]) / 2 * np.diff(times)))


def _mean(times: Numbers, values: Numbers) -> float:
    return _integral(times, values) / float(times[-1] - times[0]) if times[-1] > times[0] else float(values.mean())
