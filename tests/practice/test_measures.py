"""Measures against closed forms and published values; they do not depend on how often a motion was sampled."""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np
import pytest
from scipy import integrate

from trainer.practice import measures as m
from trainer.practice import smoothness
from trainer.practice.signals import STEP, Numbers, slowed
from trainer.units import GRAVITY

RATES = (30.0, 60.0, 144.0)  # frames a second


def minimum_jerk(times: Numbers, long: float = 1.0, way: float = 1.0) -> Numbers:
    """Speed of the motion from rest to rest with the least jerk (Flash and Hogan, J. Neurosci. 5 (1985) 1688)."""
    u = np.clip(times / long, 0, 1)
    return np.asarray(way / long * 30 * (u**2 - 2 * u**3 + u**4))


def test_published_values_of_a_bell() -> None:
    """The example that its authors print beside their code: exp(-5 t²) from -1 s to 1 s, 100 samples a second."""
    speed = np.exp(-5 * np.arange(-1, 1, 0.01) ** 2)
    assert smoothness.spectral_arc_length(speed, 0.01) == pytest.approx(-1.41403, abs=5e-6)
    assert smoothness.log_dimensionless_jerk(speed, 0.01) == pytest.approx(-5.81636, abs=5e-6)


def test_log_dimensionless_jerk_of_the_least_jerk() -> None:
    """The integral of the squared jerk is 720 D²/T⁵ and the largest speed 1.875 D/T: ln (720 / 1.875²) = 5.322."""
    speed = minimum_jerk(np.arange(0, 2, 1e-4), 2.0, 0.3)
    assert smoothness.log_dimensionless_jerk(speed, 1e-4) == pytest.approx(-math.log(720 / 1.875**2), abs=2e-3)
    assert smoothness.peak_jerk(speed, 1e-4) == pytest.approx(60 * 0.3 / 2**3, rel=2e-3)
    assert smoothness.rms_jerk(speed, 1e-4) == pytest.approx(math.sqrt(720) * 0.3 / 2**3, rel=2e-3)


def test_spectral_arc_length_of_the_least_jerk() -> None:
    """Against the arc of the spectrum in closed form, by quadrature."""
    highest = 3.0  # above it there is less than 5 %

    def part(wave: Callable[[float], float], f: float) -> float:
        found = integrate.quad(lambda t: minimum_jerk(np.array(t)) * wave(2 * math.pi * f * t), 0, 1, limit=200)
        return float(found[0])

    grid = np.linspace(0, highest, 121)
    heights = np.array([math.hypot(part(math.cos, f), part(math.sin, f)) for f in grid])
    last = np.flatnonzero(heights >= 0.05)[-1]
    grid, heights = grid[: last + 1], heights[: last + 1]
    arc = -np.hypot(np.diff(grid) / grid[-1], np.diff(heights)).sum()
    found = smoothness.spectral_arc_length(minimum_jerk(np.arange(0, 1, 1e-3)), 1e-3)
    assert found == pytest.approx(arc, rel=5e-3)


SMOOTH: dict[str, Callable[[Numbers], float]] = {
    "log jerk": lambda v: smoothness.log_dimensionless_jerk(v, STEP),
    "arc": lambda v: smoothness.spectral_arc_length(v, STEP),
    "peak jerk": lambda v: smoothness.peak_jerk(v, STEP),
    "rms jerk": lambda v: smoothness.rms_jerk(v, STEP),
    "peaks": lambda v: smoothness.speed_peaks(v),
}


def two_strokes(times: Numbers) -> Numbers:
    """A stroke of 2 s and a smaller one of 1.2 s that begins before the first has ended."""
    return minimum_jerk(times, 2.0, 0.2) + minimum_jerk(times - 1.6, 1.2, 0.05)


@pytest.mark.parametrize("name", SMOOTH)
def test_smoothness_does_not_depend_on_the_frame_rate(name: str) -> None:
    found = []
    for rate in RATES:
        times = np.arange(0, 3.4 + 1e-9, 1 / rate)
        found.append(SMOOTH[name](smoothness.moving(slowed(times, two_strokes(times)))))
    assert found == pytest.approx([found[-1]] * 3, rel=0.01)


@pytest.mark.parametrize("name", ["log jerk", "arc", "peaks"])
def test_a_slower_motion_of_the_same_shape_is_as_smooth(name: str) -> None:
    """Both are dimensionless by their definitions; jerk itself falls with the cube of the time."""
    found = []
    for long in (1.0, 2.0, 3.0):
        times = np.arange(0, 3.4 * long, STEP)
        found.append(SMOOTH[name](smoothness.moving(two_strokes(times / long))))
    assert found == pytest.approx([found[0]] * 3, rel=0.01)


def test_peaks_and_jerk_of_a_stumble() -> None:
    times = np.arange(0, 3.5, STEP)
    assert smoothness.speed_peaks(minimum_jerk(times, 3.0)) == 1
    assert smoothness.speed_peaks(minimum_jerk(times, 1.4) + minimum_jerk(times - 1.6, 1.4)) == 2
    assert smoothness.speed_peaks(minimum_jerk(times, 3.0) * (1 + 0.02 * np.sin(60 * times))) == 1  # a ripple
    assert smoothness.speed_peaks(np.zeros(9)) == 0


# -- sway ----------------------------------------------------------------------------------------------------------


def pendulum(times: Numbers, speed: Callable[[float], float], link: float) -> Numbers:
    """Angle of a load under a trolley that goes with a speed, small angles: link θ'' + g θ = - a."""
    steps = 20
    angle, turning, found = 0.0, 0.0, []
    h = float(times[1] - times[0]) / steps
    for time in times.tolist():
        found.append(angle)
        for k in range(steps):
            t = time + k * h
            push = -(speed(t + h) - speed(t)) / h / link
            turning += h * (push - GRAVITY / link * angle)
            angle += h * turning
    return np.array(found)


@pytest.mark.parametrize(("periods", "left"), [(0.5, 2.0), (1.0, 0.0), (1.5, 2.0), (2.0, 0.0)])
def test_a_ramp_of_whole_swings_leaves_none(periods: float, left: float) -> None:
    """While a trolley speeds up by a, the load swings about a/g behind: (a/g) (1 - cos ω t).

    So a ramp of whole periods leaves nothing, one of a half more leaves 2 a/g (textbook result for the pendulum).
    """
    link, top = 1.35, 0.5
    long = periods * 2 * math.pi * math.sqrt(link / GRAVITY)
    times = np.arange(0, long + 2.0, 1 / 60)
    angle = pendulum(times, lambda t: top * min(t / long, 1.0), link)
    swing = m.sway_amplitude(times, [angle, np.zeros_like(angle)], link, GRAVITY)
    behind = top / long / GRAVITY
    assert swing[np.searchsorted(times, long + 0.5)] == pytest.approx(left * behind, abs=0.03 * behind)


@pytest.mark.parametrize("rate", RATES)
def test_the_point_of_the_swing_cannot_flatter(rate: float) -> None:
    link, times = 1.35, np.arange(0, 5, 1 / rate)
    turn = math.sqrt(GRAVITY / link) * times
    swing = m.sway_amplitude(times, [0.1 * np.sin(turn), np.zeros_like(times)], link, GRAVITY)
    inside = (times > 0.3) & (times < 4.7)
    assert swing[inside] == pytest.approx(np.full(inside.sum(), 0.1), rel=0.01)
    round_ = m.sway_amplitude(times, [0.1 * np.sin(turn), 0.1 * np.cos(turn)], link, GRAVITY)
    assert round_[inside] == pytest.approx(np.full(inside.sum(), 0.1 * math.sqrt(2)), rel=0.01)


# -- the others, by hand -------------------------------------------------------------------------------------------


@pytest.mark.parametrize("rate", RATES)
def test_a_second_order_step_as_in_the_handbooks(rate: float) -> None:
    """Damping ratio 0.5: overshoot exp(-π ζ / √(1 - ζ²)) = 16.3 % (Ogata; Nise)."""
    times = np.arange(0, 15 + 1e-9, 1 / rate)
    zeta = 0.5
    fast = math.sqrt(1 - zeta**2)
    values = 1 - np.exp(-zeta * times) * (np.cos(fast * times) + zeta / fast * np.sin(fast * times))
    assert m.overshoot(values, 1.0) == pytest.approx(math.exp(-math.pi * zeta / fast), rel=0.01)
    assert m.overshoot(-values, -1.0) == pytest.approx(math.exp(-math.pi * zeta / fast), rel=0.01)
    assert m.end_error(values, 1.0) < 1e-3
    last = m.settling_time(times, values, 1.0, 0.05) + times[np.flatnonzero(np.abs(values - 1) <= 0.05)[0]]
    assert last == pytest.approx(5.29, rel=0.01)  # by solving |1 - y| = 0.05


def test_places_and_lines() -> None:
    times = np.linspace(0, 1, 201)
    there = np.stack([times, np.zeros_like(times)], axis=1)
    wave = np.stack([times, 0.1 * np.sin(2 * math.pi * times)], axis=1)
    begin, end = np.array([0.0, 0.0]), np.array([2.0, 0.0])
    assert m.path_ratio(there, 1.0) == pytest.approx(1.0)
    arc = integrate.quad(lambda t: math.hypot(1, 0.2 * math.pi * math.cos(2 * math.pi * t)), 0, 1)[0]
    assert m.path_length(wave) == pytest.approx(arc, rel=1e-3)
    assert m.rms_from_line(times, wave, begin, end) == pytest.approx(0.1 / math.sqrt(2), rel=1e-3)
    assert m.off_spot([times, 0 * times], [0.7, 0.4]) == pytest.approx(0.5)
    assert m.furthest_from_line(wave, begin, end) == pytest.approx(0.1, rel=1e-3)


@pytest.mark.parametrize("rate", RATES)
def test_levers(rate: float) -> None:
    times = np.arange(0, 6 + 1e-9, 1 / rate)
    once = np.interp(times, [0, 1, 3, 4], [0, 0.6, 0.6, 0])
    twice = np.interp(times, [0, 1, 2, 2.5, 3, 4], [0, 0.6, 0, -0.4, -0.4, 0])
    assert m.reversals([once]) == 0
    assert m.reversals([twice]) == 1
    assert m.reversals([once + 0.02 * np.sin(40 * times)]) == 0  # a hand that trembles
    assert m.lever_effort([once]) == pytest.approx(1.2, rel=0.01)
    assert m.lever_effort([once, twice]) == pytest.approx(1.2 + 2.0, rel=0.01)
    late = np.interp(times, [0, 2, 3, 5, 6], [0, 0, 0.6, 0.6, 0])
    assert m.mean_functions(times, [once, once]) == pytest.approx(2.0, rel=0.01)
    shared = m.mean_functions(times, [once, late])
    each = 4 - 2 * 0.05 / 0.6  # s, each beyond 5 % of its travel
    assert shared == pytest.approx(2 * each / (6 - 2 * 0.05 / 0.6), rel=0.01)
    assert m.fine_share(times, [once], 0.15, 0.5) == pytest.approx(2 * 0.35 / 0.6 / each, rel=0.01)


@pytest.mark.parametrize("rate", RATES)
def test_shares_times_and_work(rate: float) -> None:
    times = np.arange(0, 10 + 1e-9, 1 / rate)
    speed = np.interp(times, [0, 2, 8, 10], [0, 0.04, 0.04, 0.06])
    assert m.share_in_band(times, speed, 0.036, 0.044) == pytest.approx((0.2 + 6 + 0.4) / 10, rel=0.01)
    assert m.time_above(times, speed, 0.05) == pytest.approx(1.0, rel=0.01)
    assert m.energy(times, speed) == pytest.approx(0.04 + 0.24 + 0.1, rel=0.01)
    assert m.crack_jump(times, speed, 0.001) == pytest.approx(0.011, rel=0.01)
    assert m.held_since(times, speed >= 0.0399, 1.0) == pytest.approx(2.0, abs=1 / 30)
    assert math.isnan(m.held_since(times, speed > 0.059, 1.0))
    dip = np.interp(times, [0, 5, 5.5, 6, 10], [0.04, 0.04, 0.03, 0.04, 0.04])
    assert m.fall_of_speed(times, dip, 5.0) == pytest.approx(0.25, abs=0.01)
    assert math.isnan(m.crack_jump(times, np.zeros_like(times), 0.001))
    assert m.blow(np.interp(times, [0, 3, 3.1, 4, 10], [0, 0, 5e3, 3e3, 3e3])) == pytest.approx(2e3, rel=0.01)


@pytest.mark.parametrize("rate", RATES)
def test_a_place_that_goes_round_is_shaken_by_its_speed_squared_over_its_radius(rate: float) -> None:
    times = np.arange(0, 6 + 1e-9, 1 / rate)
    turn = 1.5 * times
    grid, found = m.acceleration(times, [3.0 * np.cos(turn), 3.0 * np.sin(turn), 0 * times])
    inside = (grid > 0.5) & (grid < 5.5)
    assert found[inside] == pytest.approx(np.full(inside.sum(), 3.0 * 1.5**2), rel=0.03)
