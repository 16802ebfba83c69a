"""Samples of a motion made even and smooth, so that what is measured does not depend on how often it was sampled.

A run is sampled once for each call of the solver, in model time. Whatever is derived from it twice is first brought
to one fine grid and low-passed without a shift in time: hands steer up to about 1 Hz (Gerisch 2013), so that nothing
of theirs is above ``CUT``.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

__all__ = ["CUT", "STEP", "Numbers", "even", "rate", "slowed", "smooth"]

Numbers = NDArray[np.float64]
STEP = 1 / 240  # of the even grid [s]
CUT = 6.0  # -3 dB of the low pass [Hz]


def even(times: Numbers, values: Numbers, step: float = STEP) -> Numbers:
    """Return values at even steps [s] from the first time on, by cubic pieces through the samples (Catmull and Rom).

    Times rise; the last grid point is the last one not behind the last sample.
    """
    if len(times) < 2:
        return values.copy()
    grid = times[0] + step * np.arange(math.floor((times[-1] - times[0]) / step + 1e-9) + 1)
    slopes = np.gradient(values, times)
    k = np.clip(np.searchsorted(times, grid, side="right") - 1, 0, len(times) - 2)
    width = times[k + 1] - times[k]
    u = (grid - times[k]) / width
    found = (
        (1 + 2 * u) * (1 - u) ** 2 * values[k]
        + u * (1 - u) ** 2 * width * slopes[k]
        + u * u * (3 - 2 * u) * values[k + 1]
        + u * u * (u - 1) * width * slopes[k + 1]
    )
    return np.asarray(found, np.float64)


def smooth(values: Numbers, step: float = STEP, cut: float = CUT) -> Numbers:
    """Return even samples low-passed by a bell of Gauss, symmetric in time, 3 dB down at ``cut`` [Hz].

    Before the first and behind the last sample these hold.
    """
    width = math.sqrt(math.log(2)) / (2 * math.pi * cut) / step  # standard deviation [samples]
    reach = max(1, math.ceil(4 * width))
    bell = np.exp(-0.5 * (np.arange(-reach, reach + 1) / width) ** 2)
    padded = np.concatenate((np.full(reach, values[0]), values, np.full(reach, values[-1])))
    return np.convolve(padded, bell / bell.sum(), "valid")


def rate(values: Numbers, step: float = STEP) -> Numbers:
    """Return how fast even samples change, by central differences [1/s]."""
    return np.gradient(values, step) if len(values) > 1 else np.zeros_like(values)


def slowed(times: Numbers, values: Numbers) -> Numbers:
    """Return samples on the even grid, low-passed: what all derivatives are taken of."""
    return smooth(even(times, values))
