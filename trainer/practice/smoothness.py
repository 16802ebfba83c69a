"""How smooth a motion is, from its speed at even steps: jerk, log dimensionless jerk, spectral arc length, peaks.

Nearer to nothing is smoother in all of them; the two logarithmic and spectral ones are negative, as published.
"""

from __future__ import annotations

import math

import numpy as np

from trainer.practice.signals import Numbers, rate

__all__ = [
    "dimensionless_jerk", "log_dimensionless_jerk", "moving", "peak_jerk", "rms_jerk", "spectral_arc_length",
    "speed_peaks",
]  # fmt: skip

_STILL = 0.05  # of the largest speed: slower is before and after the motion
_PADDING, _HIGHEST, _FAINTEST = 4, 10.0, 0.05  # powers of two, Hz, share of the largest amplitude: as published


def moving(speed: Numbers, still: float = _STILL) -> Numbers:
    """Return the samples from the first to the last that is faster than a share of the largest speed."""
    size = np.abs(speed)
    fast = np.flatnonzero(size > still * size.max()) if len(size) else size
    return speed[fast[0] : fast[-1] + 1] if len(fast) else speed[:0]


def peak_jerk(speed: Numbers, step: float) -> float:
    """Return the largest size of the jerk, the second derivative of the speed [1/s2 times its unit]."""
    return float(np.abs(rate(rate(speed, step), step)).max()) if len(speed) > 2 else 0.0


def rms_jerk(speed: Numbers, step: float) -> float:
    """Return the root of the mean square of the jerk [1/s2 times the unit of the speed]."""
    return math.sqrt(float(np.mean(rate(rate(speed, step), step) ** 2))) if len(speed) > 2 else 0.0


def dimensionless_jerk(speed: Numbers, step: float) -> float:
    """Return T³ / v_peak² times the integral of the squared jerk over the duration T of the motion.

    Balasubramanian, Melendez-Calderon, Burdet, "A robust and sensitive metric for quantifying movement smoothness",
    IEEE Trans. Biomed. Eng. 59 (2012) 2126, after Hogan and Sternad, J. Mot. Behav. 41 (2009) 529; second differences
    and T as number of samples times step, as its authors compute it.
    """
    top = float(np.abs(speed).max()) if len(speed) > 2 else 0.0
    if top == 0.0:
        return 0.0
    jerk = np.diff(speed, 2) / step**2
    return (len(speed) * step) ** 3 / top**2 * float(np.sum(jerk**2)) * step


def log_dimensionless_jerk(speed: Numbers, step: float) -> float:
    """Return minus the natural logarithm of the dimensionless jerk (LDLJ); -5.32 for a minimum-jerk motion.

    To be compared only between motions that last alike (Gulde and Hermsdörfer, Front. Neurol. 9 (2018) 615).
    """
    found = dimensionless_jerk(speed, step)
    return -math.log(found) if found > 0 else math.nan


def spectral_arc_length(speed: Numbers, step: float) -> float:
    """Return the spectral arc length (SPARC) of a discrete motion; about -1.4 for a minimum-jerk one.

    Balasubramanian, Melendez-Calderon, Roby-Brami, Burdet, "On the analysis of movement smoothness", J. NeuroEng.
    Rehabil. 12 (2015) 112: minus the length of the curve of the amplitude spectrum, its height as a share of that at
    rest, its frequencies as a share of the band up to the last one below 10 Hz that has 5 % of it; the samples are
    padded with nothing to the next power of two, times sixteen.
    """
    if len(speed) < 3 or not np.any(speed):
        return math.nan
    count = 1 << (math.ceil(math.log2(len(speed))) + _PADDING)
    height = np.abs(np.fft.rfft(speed, count))
    height /= height.max()
    frequency = np.arange(len(height)) / (count * step)
    height = height[frequency <= _HIGHEST]
    loud = np.flatnonzero(height >= _FAINTEST)
    height = height[loud[0] : loud[-1] + 1]
    if len(height) < 2:
        return math.nan
    return -float(np.sum(np.hypot(1 / (len(height) - 1), np.diff(height))))


def speed_peaks(speed: Numbers, fall: float = 0.1) -> int:
    """Return how often the size of a speed came up and went down again by a share of its largest value.

    One for a motion in one stroke; number of peaks after Fetters and Todd 1987, Rohrer et al., J. Neurosci. 22 (2002)
    8297, with a threshold so that a ripple is no peak.
    """
    size = np.abs(speed)
    least = fall * float(size.max()) if len(size) else 0.0
    if least == 0.0:
        return 0
    count, rising, turn = 0, True, 0.0
    for value in size.tolist():
        if rising:
            turn = max(turn, value)
            if value < turn - least:
                count, rising, turn = count + 1, False, value
        else:
            turn = min(turn, value)
            if value > turn + least:
                rising, turn = True, value
    return count + (rising and turn >= least)
