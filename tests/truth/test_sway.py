"""The load that hangs from the crane: its period, and what a ramp of the swing leaves of its sway.

B27 of the modelling sheet: a pendulum of 1.35 m, 2.3308 s as a point mass; a pivot that is sped up to 0.8 m/s in
0.5 s leaves 0.20356 rad, in 1.0 s 0.15906, in a whole period nothing (computed, closed form). The crane's load is a
point mass on links that give: 365 kg stretch them by 0.7 mm, 0.03 % of the period.
"""

from __future__ import annotations

import math

import numpy as np
import pytest

from trainer.engine.session import Session
from trainer.rig.rig import Rig

from .printed import check
from .rigs import rig, unyielding

GRAVITY, LINK, MASS, STIFFNESS = 9.80665, 1.35, 115.0 + 250.0, 5e6
PERIOD = 2 * math.pi * math.sqrt(LINK / GRAVITY + MASS / STIFFNESS)
RATIO = 10.0
CRANE = (
    'is = "Crane", damping = "40 %", pin_friction = "0 N m", column_friction = "0 N m", column_drag = "0 N m s", '
    'slew_range = "360 deg", column_inertia = "5000 kg m2"'
)


def driven(boom: float, stick: float) -> Rig:
    """Return a crane held by shut-in cylinders, its column heavy and turned by a drive through stiff gears."""
    return rig(
        "sway",
        f"""
[parts]
0Z1 = {{ $tank }}
0M1 = {{ is = "SteadyDrive", lag = "5 ms" }}
2Z1 = {{ is = "ReductionGear", ratio = "{RATIO}", stiffness = "1e8 N m", damping = "1e5 N m s", mesh = "0 N m s" }}
3W1 = {{ {CRANE} }}
3A1 = {{ $cylinder, $damped, bore = "300 mm", rod = "0 mm", stroke = "532 mm" }}
4A1 = {{ $cylinder, $damped, bore = "300 mm", rod = "0 mm", stroke = "500 mm" }}

[lines]
S = ["0Z1.S"]
T = ["0Z1.T"]
A3 = ["3A1.A"]
B3 = ["3A1.B"]
A4 = ["4A1.A"]
B4 = ["4A1.B"]
drive = ["0M1.shaft", "2Z1.1"]
slew = ["2Z1.2", "3W1.slew"]
boom = ["3A1.rod", "3W1.boom"]
stick = ["4A1.rod", "3W1.stick"]

[start]
3W1.boom = "{boom} deg"
3W1.stick = "{stick} deg"
3W1.load = "250 kg"
""",
    )


@pytest.fixture(scope="module")
def settled() -> Session:
    """A session whose start is the crane at rest on the oil."""
    return Session(unyielding(driven(20.0, -20.0)), 1e-8)


def at_rest(settled: Session) -> Session:
    """Return the session at its start, its sway damped no more."""
    settled.reset()
    assert settled.readings.value("3W1", "sway") < 1e-5
    settled.set_parameter("3W1.damping", 0.0)
    return settled


def swing(session: Session, angle: str, seconds: float) -> tuple[list[float], list[float]]:
    """Return times and readings of a sway angle [rad] over the next stretch [s], 60 a second."""
    times, values = [], []
    for _ in range(round(seconds * 60)):
        session.advance(1 / 60, 1 / 60)
        times.append(session.time)
        values.append(session.readings.value("3W1", angle))
    return times, values


def speed_up(session: Session, end: float, seconds: float) -> None:
    """Lead the drive in a straight line to a slewing speed [rad/s], 60 steps a second."""
    calls = max(1, round(60 * seconds))
    begun = session.readings.control("0M1", "setting")
    for call in range(calls):
        session.set_control("0M1.setting", begun + (RATIO * end - begun) * (call + 1) / calls)
        session.advance(seconds / calls, seconds / calls)


def left(settled: Session, ramp: float, tip: float) -> float:
    """Return the swing to the left [rad] that is left after a ramp to a speed of the tip [m/s] in so many seconds."""
    session = at_rest(settled)
    speed_up(session, tip / session.readings.value("3W1", "reach"), ramp)
    session.advance(0.25)
    _, values = swing(session, "sway_left", PERIOD)
    return float(np.ptp(values)) / 2  # seen to 0.03 %, 60 a second


@pytest.mark.soak
@pytest.mark.parametrize(
    ("angle", "moved"), [("sway_out", "ahead"), pytest.param("sway_left", "left", marks=pytest.mark.soak)]
)
def test_b27_period_of_a_point_mass(settled: Session, angle: str, moved: str) -> None:
    """2.3308 s and what the stretch adds, by zero crossings of a small swing, outward or to the left."""
    session = at_rest(settled)
    session.x[session.network.state_index[f"3W1.hung_{moved}"]] += 0.02 * LINK
    times, values = swing(session, angle, 4.2 * PERIOD)
    x, t = np.array(values), np.array(times)
    up = np.flatnonzero((x[:-1] < 0) & (x[1:] >= 0))
    crossings = t[up] - x[up] * (t[up + 1] - t[up]) / (x[up + 1] - x[up])
    period = float((crossings[-1] - crossings[0]) / (len(crossings) - 1))
    check("B27", f"period of {angle} [s]", period, 2.3308 * (1 + MASS * GRAVITY / STIFFNESS / LINK / 2), 0.001)


@pytest.mark.soak
@pytest.mark.parametrize(("ramp", "printed"), [(0.5, 0.20356), pytest.param(1.0, 0.15906, marks=pytest.mark.soak)])
def test_b27_swing_left_by_a_ramp(settled: Session, ramp: float, printed: float) -> None:
    """Pivot to 0.8 m/s in 0.5 and 1.0 s: 0.20356 and 0.15906 rad; in a straight line, as a point mass.

    Here the pivot runs on a circle, on which a swing turns away with time; so a tenth of the speed, times ten.
    """
    check("B27", f"swing left by a ramp of {ramp} s [rad]", 10 * left(settled, ramp, 0.08), printed, 0.01)


@pytest.mark.soak
def test_b27_a_ramp_over_one_period_leaves_nothing(settled: Session) -> None:
    """A swing sped up over a whole period of the sway leaves at most 2 % of what half a period leaves.

    At a tenth of the speed, times ten, as above.
    """
    half, whole = 10 * left(settled, PERIOD / 2, 0.08), 10 * left(settled, PERIOD, 0.08)
    check("B27", "ramp over half a period leaves [rad]", half, 2 * 0.8 / (PERIOD / 2) / GRAVITY, 0.01)
    check("B27", "ramp over a whole period leaves, of that", whole / half, 0.0, within=0.02)
