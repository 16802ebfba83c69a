"""What may be the cause of a measure: one number of a lap each, and when it came about.

Each is None where a lap has nothing of it.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from trainer.practice.catalogue import Seen
from trainer.practice.measures import MOVED, first_moved, turns
from trainer.units import GRAVITY

__all__ = [
    "Number", "apart", "before_mark", "came_in", "emptied", "landed", "largest", "left_line", "let_back", "off_band",
    "on_relief", "period", "shaken", "through_dead_band", "turned",
]  # fmt: skip

_SUDDEN = 0.6  # s: a lever that comes back faster leaves the load no time
_TOUCHES = 100.0  # N


@dataclass(frozen=True, slots=True)
class Number:
    """What a rule found of a lap: when it came about [s], how much [SI], and other numbers for its words."""

    at: float
    value: float
    more: Mapping[str, tuple[float, str]]


def _release(seen: Seen) -> tuple[int, int] | None:
    """Return where the first lever began to go back for good before it was centred, and where it was."""
    lever = np.abs(seen.levers[0])
    end = seen.centred
    out = np.flatnonzero(lever[: end + 1] > MOVED)
    if not len(out) or end == 0:
        return None
    top = float(lever[: end + 1].max())
    high = np.flatnonzero(lever[: end + 1] >= 0.95 * top)
    return int(high[-1]), end


def let_back(seen: Seen) -> Number | None:
    """Return how long the first lever took to come back before it was centred [s]."""
    found = _release(seen)
    if found is None:
        return None
    begin, end = found
    took = float(seen.times[end] - seen.times[begin])
    top = float(np.abs(seen.levers[0][: end + 1]).max())
    return Number(float(seen.times[begin]), took, {"top": (top, "ratio"), "wanted": (period(seen), "time")})


def period(seen: Seen) -> float:
    """Return how long a lever may take to come back: a whole swing of a load that hangs [s]."""
    link = seen.roles.link
    return _SUDDEN if link is None else 2 * math.pi * math.sqrt(link[0] / GRAVITY)


def before_mark(seen: Seen) -> Number | None:
    """Return how far before the mark it began to come back."""
    found = _release(seen)
    if found is None or not seen.roles.place or seen.roles.target is None:
        return None
    target, quantity = seen.roles.target
    way = math.copysign(1.0, target - float(seen.place[0]))
    left = (target - float(seen.place[found[0]])) * way
    past = max(0.0, float(((seen.place - target) * way).max()))
    more = {"past": (past, quantity), "wanted": (max(left, 0.0) + past, quantity)}
    return Number(float(seen.times[found[0]]) + 1e-3, left, more)


def on_relief(seen: Seen) -> Number | None:
    """Return for how long a relief was open [s]."""
    if not seen.roles.relief or not seen.on_relief.any():
        return None
    open_ = float(np.sum(seen.on_relief[1:] * np.diff(seen.times)))
    return Number(float(seen.times[np.flatnonzero(seen.on_relief)[0]]), open_, {})


def turned(seen: Seen) -> Number | None:
    """Return how often levers were turned round beyond once each."""
    found = sorted(k for lever in seen.levers for k in turns(lever)[1:])
    return Number(float(seen.times[found[0]]), float(len(found)), {}) if found else None


def through_dead_band(seen: Seen) -> Number | None:
    """Return the lever's speed when the load started [travels/s], over the tenth of a second before."""
    if not seen.roles.speed or seen.roles.moves is None:
        return None
    k = first_moved(seen.speed, seen.number("moves"))
    if k < 1:
        return None
    before = int(np.searchsorted(seen.times, seen.times[k] - 0.1))
    lever = np.abs(seen.levers[0])
    passed = float(seen.times[k] - seen.times[before])
    pace = float(lever[k] - lever[before]) / passed if passed > 0 else math.inf
    return Number(float(seen.times[k]), pace, {})


def largest(seen: Seen) -> Number | None:
    """Return how far the first lever was moved."""
    lever = np.abs(seen.levers[0])
    k = int(lever.argmax())
    return Number(float(seen.times[k]), float(lever[k]), {})


def emptied(seen: Seen) -> Number | None:
    """Return how far it was moved when the pressure behind the piston was least."""
    if not seen.roles.behind:
        return None
    pressure = seen.values(seen.roles.behind)
    k = int(pressure.argmin())
    lever = float(np.abs(seen.levers[0][k]))
    return Number(float(seen.times[k]), lever, {"least": (float(pressure[k]), "pressure")})


def apart(seen: Seen) -> Number | None:
    """Return how long after the first lever another one came [s]."""
    firsts = [np.flatnonzero(np.abs(lever) > MOVED) for lever in seen.levers]
    if len(firsts) < 2 or not all(len(first) for first in firsts):
        return None
    begins = sorted(float(seen.times[first[0]]) for first in firsts)
    return Number(begins[-1], begins[-1] - begins[0], {})


def left_line(seen: Seen) -> Number | None:
    """Return how far off the line it was at most."""
    if not seen.roles.path or not seen.roles.line:
        return None
    ends = np.array([given[0] for given in seen.roles.line])
    half = len(ends) // 2
    along = (ends[half:] - ends[:half]) / np.linalg.norm(ends[half:] - ends[:half])
    off = seen.path - ends[:half]
    size = np.linalg.norm(off - np.outer(off @ along, along), axis=1)
    k = int(size.argmax())
    return Number(float(seen.times[k]), float(size[k]), {"when": (float(seen.times[k]), "time")})


def came_in(seen: Seen) -> Number | None:
    """Return the largest speed of the second lever in the half second from its first motion on [travels/s]."""
    if not seen.roles.second or math.isnan(seen.second):
        return None
    within = (seen.times >= seen.second - 0.1) & (seen.times <= seen.second + 0.5)
    lever, times = np.abs(seen.trace.levers[seen.roles.second][within]), seen.times[within]
    pace = float((np.diff(lever) / np.diff(times)).max()) if len(times) > 1 else 0.0
    return Number(seen.second, pace, {})


def landed(seen: Seen) -> Number | None:
    """Return the speed just before something touched [m/s]."""
    if not seen.roles.contact or not seen.roles.sinking:
        return None
    touching = np.flatnonzero(seen.values(seen.roles.contact) > _TOUCHES)
    if not len(touching):
        return None
    k = int(np.searchsorted(seen.times, seen.times[touching[0]] - 0.05))
    return Number(float(seen.times[k]), float(abs(seen.values(seen.roles.sinking)[k])), {})


def off_band(seen: Seen) -> Number | None:
    """Return how much too fast a load was on average, or too slow (negative), once it had been in the band."""
    if not seen.roles.speed or seen.roles.band is None:
        return None
    low, high = seen.number("low"), seen.number("high")
    size = np.abs(seen.speed)
    inside = np.flatnonzero((size >= low) & (size <= high))
    begin = int(inside[0]) if len(inside) else 0
    outside = np.flatnonzero((size[begin:] < low) | (size[begin:] > high))
    mean = float(size[begin:].mean())
    at = float(seen.times[begin + outside[0]]) if len(outside) else float(seen.times[begin])
    quantity = seen.trace.quantities[seen.roles.speed]
    above, below = (float(np.sum(side)) for side in (size[begin:] > high, size[begin:] < low))
    more = {
        "mean": (mean, quantity),
        "low": (low, quantity),
        "high": (high, quantity),
        "above": (above / max(above + below, 1.0), "ratio"),  # of the time in which it was not in the band
    }
    return Number(at, mean - (low + high) / 2, more)


def shaken(seen: Seen) -> Number | None:
    """Return how much what is carried was shaken at most, from when it was too much on [m/s2]."""
    if not seen.roles.carried or seen.roles.limit is None:
        return None
    times, size = seen.shaken
    over = np.flatnonzero(size > seen.number("limit"))
    return Number(float(times[over[0]]), float(size.max()), {}) if len(over) else None
