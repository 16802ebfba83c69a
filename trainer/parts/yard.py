"""The ground round a crane: the bed of its trailer, a pile and a bunk on it, logs that lie there, a mark for one.

Places are measured from the foot of the column, ahead and to the left; heights from level ground.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping, Sequence
from typing import Any

import casadi as ca

from trainer.language import mark, tr
from trainer.parts.laws import pos
from trainer.parts.part import Expr, Parameter

__all__ = [
    "EDGE",
    "LOGS",
    "SIZES",
    "STANDS",
    "Yard",
    "bare_height",
    "log_radius",
    "log_top",
    "nearest",
    "yard_faults",
]

EDGE = 0.15  # over which the side of something rises [m]
STANDS = ("bed", "pile", "bunk")  # what stands on the ground
SIZES = ("ahead", "left", "long", "wide", "height")
LOGS = ("log1", "log2", "log3")
_CALLED = {"bed": mark("bed"), "pile": mark("pile"), "bunk": mark("bunk")}
_APART = 0.3  # m at least from one stand to another
_NOWHERE = 1e3  # below the ground: where a log that does not lie has its top [m]


def _from(default: str, meaning: str) -> Parameter:
    return Parameter(default, low="-20 m", high="20 m", meaning=meaning, at_rest=True)


def _size(default: str, meaning: str) -> Parameter:
    return Parameter(default, low="0.3 m", high="12 m", meaning=meaning, at_rest=True)


def _high(meaning: str) -> Parameter:
    return Parameter("0 m", low="0 m", high="3 m", meaning=meaning, at_rest=True)


def _log(meaning: str) -> Parameter:
    return Parameter("0 kg", low="0 kg", high="2000 kg", meaning=meaning, at_rest=True)


class Yard:
    """What a crane has round it; a stand without height and a log without mass are not there."""

    bed_ahead = _from("-1.75 m", "middle of the trailer's bed, ahead")
    bed_left = _from("0 m", "middle of the trailer's bed, to the left")
    bed_long = _size("2.7 m", "length of the trailer's bed")
    bed_wide = _size("1.4 m", "width of the trailer's bed")
    bed_height = _high("height of the trailer's bed, nothing for none")
    pile_ahead = _from("1.8 m", "middle of the pile, ahead")
    pile_left = _from("3.2 m", "middle of the pile, to the left")
    pile_long = _size("1.2 m", "length of the pile, ahead")
    pile_wide = _size("1.2 m", "width of the pile, sideways")
    pile_height = _high("height of the pile, nothing for none")
    bunk_ahead = _from("3.6 m", "middle of the bunk, ahead")
    bunk_left = _from("0 m", "middle of the bunk, to the left")
    bunk_long = _size("1 m", "length of the bunk, ahead")
    bunk_wide = _size("1 m", "width of the bunk, sideways")
    bunk_height = _high("height of the bunk, nothing for none")
    log1_mass = _log("mass of the first log, nothing for none")
    log1_ahead = _from("3.67 m", "where the first log lies, ahead")
    log1_left = _from("0 m", "where the first log lies, to the left")
    log2_mass = _log("mass of the second log, nothing for none")
    log2_ahead = _from("2.73 m", "where the second log lies, ahead")
    log2_left = _from("-2.46 m", "where the second log lies, to the left")
    log3_mass = _log("mass of the third log, nothing for none")
    log3_ahead = _from("0.45 m", "where the third log lies, ahead")
    log3_left = _from("-3.65 m", "where the third log lies, to the left")
    log_length = Parameter("2.5 m", low="0.5 m", high="6 m", meaning="length of the logs", at_rest=True)
    log_density = Parameter(
        "800 kg/m3", low="300 kg/m3", high="1300 kg/m3", meaning="density of the logs, which gives their thickness",
        at_rest=True,
    )  # fmt: skip
    mark_ahead = _from("0 m", "middle of the mark on the ground, ahead")
    mark_left = _from("0 m", "middle of the mark on the ground, to the left")
    mark_size = Parameter("0 m", low="0 m", high="5 m", meaning="width of the mark, nothing for none", at_rest=True)


def log_radius(at: Any, mass: Expr) -> Expr:
    """Return the radius [m] of a log by its mass [kg], with the length and density that all have."""
    return ca.sqrt(ca.fmax(mass, 0) / (ca.pi * at.log_density * at.log_length) + 1e-6)


def _rise(place: Expr, middle: Expr, width: Expr) -> tuple[Expr, Expr]:
    """Return 0 outside and 1 inside a width [m], and the slope [1/m]; the sides stand inside it."""
    a = (place - middle + width / 2) / EDGE
    b = (middle + width / 2 - place) / EDGE
    a, b = (ca.fmin(ca.fmax(t, 0), 1) for t in (a, b))
    up, down = a * a * (3 - 2 * a), b * b * (3 - 2 * b)
    return up * down, 6 * (a * (1 - a) * down - b * (1 - b) * up) / EDGE


def bare_height(at: Any, ahead: Expr, left: Expr) -> tuple[Expr, Expr, Expr]:
    """Return height [m] and slopes [-] of the ground at a place near the stand that is ``under`` what hangs."""
    one, slope = _rise(ahead, at.under_ahead, at.under_long)
    other, aside = _rise(left, at.under_left, at.under_wide)
    return at.under_height * one * other, at.under_height * slope * other, at.under_height * one * aside


def nearest(values: Mapping[str, float], ahead: float, left: float) -> dict[str, float]:
    """Return the numbers of the stand that is nearest to a place, as ``under_…``, level ground without one."""
    found = dict.fromkeys((f"under_{what}" for what in SIZES), 0.0) | {"under_long": 1.0, "under_wide": 1.0}
    least = math.inf
    for name in STANDS:
        one = {what: values[f"{name}_{what}"] for what in SIZES}
        if one["height"] > 0:
            x, y = abs(ahead - one["ahead"]) - one["long"] / 2, abs(left - one["left"]) - one["wide"] / 2
            away = math.hypot(max(x, 0.0), max(y, 0.0)) + min(max(x, y), 0.0)
            if away < least:
                least, found = away, {f"under_{what}": value for what, value in one.items()}
    return found


def log_top(
    at: Any, ground: tuple[Expr, Expr, Expr], ahead: Expr, left: Expr, radius: Expr, lying: Sequence[tuple[Expr, ...]]
) -> tuple[Expr, Expr, Expr]:
    """Return the ground's height and slopes with the logs on it, for another one that comes down there by its belly.

    ``lying``: of each (1 if it lies, ahead, left, up, radius). All lie across the way from the column to them; what
    lies beside one may stand two radii off, what lies on it sqrt(4 r2 - a2) - r above its middle, here by two powers.
    """
    height, along, across = ground
    for lies, x, y, z, own in lying:
        away = ca.sqrt(x * x + y * y + 1e-6)
        a = ((ahead - x) * x + (left - y) * y) / away
        b = ((left - y) * x - (ahead - x) * y) / away
        both = ca.fmax((own + radius) / 2, 1e-3)
        ratio = a * a / (both * both)
        past = pos(b - at.log_length, 0.05) + pos(-b - at.log_length, 0.05)
        top = z + own - both * ratio * (4 + ratio) / 16 - 3 * past - (1 - lies) * _NOWHERE
        down_a = -a / both * (2 + ratio) / 4
        end = 3 * (_step(b - at.log_length) - _step(-b - at.log_length))
        over = top - height
        share = _step(over)
        height = height + pos(over, 0.05)
        along = along + share * ((down_a * x + end * y) / away - along)
        across = across + share * ((down_a * y - end * x) / away - across)
    return height, along, across


def _step(x: Expr) -> Expr:
    """Return the slope of ``pos`` with a width of 0.05."""
    return ca.fmin(ca.fmax((x + 0.05) / 0.1, 0), 1)


def yard_faults(value: Callable[[str], float]) -> Iterator[str]:
    """Yield what cannot be together, in words: stands in each other or on the column, logs thicker than the tongs."""
    there = [name for name in STANDS if value(f"{name}_height") > 0]
    box = {name: [value(f"{name}_{what}") for what in SIZES] for name in there}
    for k, one in enumerate(there):
        for other in there[k + 1 :]:
            (x, y, long, wide, _), (x2, y2, long2, wide2, _) = box[one], box[other]
            if abs(x - x2) < (long + long2) / 2 + _APART and abs(y - y2) < (wide + wide2) / 2 + _APART:
                yield tr("the {one} and the {other} are less than {apart} m apart").format(
                    one=tr(_CALLED[one]), other=tr(_CALLED[other]), apart=_APART
                )
        x, y, long, wide, _ = box[one]
        if one != "bed" and abs(x) < long / 2 and abs(y) < wide / 2:
            yield tr("the {one} stands where the column is").format(one=tr(_CALLED[one]))
    for log in LOGS:
        thick = 2 * math.sqrt(value(f"{log}_mass") / value("log_density") / value("log_length") / math.pi)
        if thick > 0.9 * value("mouth"):
            yield tr("{log} is {thick:.2f} m thick, and the tongs open {mouth:.2f} m").format(
                log=log, thick=thick, mouth=value("mouth")
            )
