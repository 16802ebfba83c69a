"""Hands on the levers of a rig, frame after frame, always the same: for measuring what a rig costs."""

from __future__ import annotations

import itertools
import math
import random
from collections.abc import Iterator

from trainer.engine.session import FRAME
from trainer.rig.rig import Rig

__all__ = ["neutral", "operator_like", "swinging", "violent"]


def _hands(rig: Rig) -> tuple[list[str], list[str]]:
    """Return the levers and the drives of a rig."""
    controls = rig.controls()
    levers = [name for name, one in controls.items() if one.low < 0 < one.high and one.quantity == "ratio"]
    return levers, [name for name, one in controls.items() if one.quantity == "shaft speed"]


def violent(rig: Rig, seed: int) -> Iterator[dict[str, float]]:
    """Yield the controls [SI] of frame after frame: all levers and drives step at random every 0.35 s."""
    rng, controls, (levers, drives) = random.Random(seed), rig.controls(), _hands(rig)
    now: dict[str, float] = {}
    for frame in itertools.count():
        if frame % 21 == 0:
            now = {name: rng.choice((-1.0, 0.0, 1.0)) for name in levers}
            now |= {name: rng.uniform(0.3, 1.0) * controls[name].high for name in drives}
        yield dict(now)


def operator_like(rig: Rig, seed: int) -> Iterator[dict[str, float]]:
    """Yield the controls [SI] of frame after frame as two hands move them.

    Every 0.7 s two levers at most are led to new places, all others let go; a lever takes 0.2 s for its travel. The
    drives are set anew every 7 s.
    """
    rng, controls, (levers, drives) = random.Random(seed), rig.controls(), _hands(rig)
    now, asked = dict.fromkeys(levers, 0.0), dict.fromkeys(levers, 0.0)
    speeds: dict[str, float] = {}
    for frame in itertools.count():
        if frame % 42 == 0:
            asked = dict.fromkeys(levers, 0.0)
            asked |= {name: rng.choice((-1.0, -0.5, 0.5, 1.0)) for name in rng.sample(levers, min(2, len(levers)))}
        if frame % 420 == 0:
            speeds = {name: rng.uniform(0.5, 1.0) * controls[name].high for name in drives}
        for name in levers:
            now[name] += max(-FRAME / 0.2, min(FRAME / 0.2, asked[name] - now[name]))
        yield now | speeds


def neutral(rig: Rig) -> Iterator[dict[str, float]]:
    """Yield the controls [SI] of frame after frame with every lever let go."""
    levers, _ = _hands(rig)
    while True:
        yield dict.fromkeys(levers, 0.0)


def swinging(rig: Rig) -> Iterator[dict[str, float]]:
    """Yield the controls [SI] of frame after frame: the first and the last lever swing, all others are let go."""
    levers, _ = _hands(rig)
    for frame in itertools.count():
        now = dict.fromkeys(levers, 0.0)
        for lever, period in zip(dict.fromkeys((levers[0], levers[-1])), (2.5, 1.9), strict=False):
            now[lever] = 0.9 * math.sin(2 * math.pi * frame * FRAME / period)
        yield now
