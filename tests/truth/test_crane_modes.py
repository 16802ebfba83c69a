"""How the crane rings on its oil: slewing, and the boom with a load, against closed forms.

sqrt(k/I) and sqrt(k/m) of the modelling sheet: k from area or displacement and the compliance of shut-in oil and
hoses, I from the bodies of section 8 at the pose; the ring is the engine's, found by its zero crossings.
"""

from __future__ import annotations

import math

import numpy as np
import pytest

from trainer.engine.session import Session

from .printed import check
from .rigs import Numbers, begin, rig, sample, si
from .test_crane import BOOM_MASS, BOOM_SPIN, FREE, GRAPPLE, STICK_MASS, STICK_SPIN, pose

IDEAL_MOTOR = (
    'is = "HydraulicMotor", leakage = 0, viscous_drag = 0, pressure_drag = "0 %", starting_drag = "0 %", '
    'breakaway = "0 N m"'
)

_FILLING = """
0Z1 = { $tank }
0M1 = { is = "SteadyDrive" }
0P1 = { $pump, displacement = "20 cm3/rev" }
0V1 = { is = "ReliefValve", setting = "80 bar", override = "5 %", rated_flow = "24 L/min" }
1V1 = { is = "CheckValve", leakage = "0 m3/s/Pa", gallery = "25 cm3" }
1V2 = { is = "CheckValve", leakage = "0 m3/s/Pa", gallery = "25 cm3" }
"""
_FILLING_LINES = """
shaft = ["0M1.shaft", "0P1.shaft"]
S = ["0Z1.S", "0P1.S"]
P1 = ["0P1.P", "0V1.P", "1V1.1", "1V2.1"]
"""


def filled(session: Session) -> Session:
    """Fill both ends over the check valves, stop the pump, let the line before the checks go empty."""
    session.set_control("0M1.setting", si("1200 r/min"))
    session.advance(3.0, 0.05)
    session.set_control("0M1.setting", 0.0)
    session.advance(0.5)
    session.set_parameter("0V1.setting", si("10 bar"))
    session.advance(6.0, 0.1)
    return session


def frequency(times: Numbers, values: Numbers, about: float) -> float:
    """Return the frequency [Hz] of a ring by its upward zero crossings.

    The sway of the load is slower; a running mean over about one period [s] of the ring finds it, and goes.
    """
    count = 2 * round(about / (times[1] - times[0]) / 2) + 1
    slow = np.convolve(values, np.full(count, 1 / count), "valid")
    inside = slice(count // 2, len(values) - count // 2)
    times, values = times[inside], values[inside] - slow
    up = np.flatnonzero((values[:-1] < 0) & (values[1:] >= 0))
    assert len(up) >= 4, "it is to ring"
    crossings = times[up] - values[up] * (times[up + 1] - times[up]) / (values[up + 1] - values[up])
    return float((len(crossings) - 1) / (crossings[-1] - crossings[0]))


def compliance(session: Session, line: str, hose: float) -> float:
    """Return a shut-in line's compliance [m3/Pa]: its oil by the stiffness, its hose [m3] by that of the wall.

    The oil's volume is added up from the parts' numbers by the caller's rig: bores, dead volumes, galleries, hose.
    """
    names = [found.name for found in session.network.content_lines]
    volume = session.network.volumes(session.x, session.pu)[names.index(line)]
    return float(volume) / 1.5e9 + hose / 4e8


def lengths(boom: float, stick: float) -> dict[str, tuple[float, float]]:
    """Return places (x, up) [m] of the boom's and the stick's middle and of the tip at angles [rad]."""
    fold = boom + stick
    tip = (2.6 * math.cos(boom) + 2.05 * math.cos(fold), 2.6 * math.sin(boom) + 2.05 * math.sin(fold))
    return {
        "boom": (1.15 * math.cos(boom) - 0.06 * math.sin(boom), 1.15 * math.sin(boom) + 0.06 * math.cos(boom)),
        "stick": (
            2.6 * math.cos(boom) + 0.80 * math.cos(fold) - 0.03 * math.sin(fold),
            2.6 * math.sin(boom) + 0.80 * math.sin(fold) + 0.03 * math.cos(fold),
        ),
        "tip": tip,
    }


@pytest.mark.soak
def test_slew_mode() -> None:
    """Slewing rings on the oil of two shut-in lines, their 3 m hoses and the gears: sqrt(k/I) of the sheet, to 3 %.

    The load hangs free and the mode is far above its sway, so it hardly takes part; 10 kg of grapple make it small.
    """
    text = f"""
[parts]
{_FILLING}
2A1 = {{ $motor, displacement = "315 cm3/rev" }}
2Z1 = {{ is = "ReductionGear", ratio = "11.5", mesh = "0 N m s", damping = "50 N m s" }}
3W1 = {{ is = "Crane", {FREE}, grapple_mass = "10 kg" }}
3A1 = {{ $cylinder, $damped, bore = "300 mm", rod = "0 mm", stroke = "532 mm" }}
4A1 = {{ $cylinder, $damped, bore = "300 mm", rod = "0 mm", stroke = "500 mm" }}

[lines]
{_FILLING_LINES}
A2 = {{ joins = ["1V1.2", "2A1.A"], hose = "3 m", bore = "10 mm" }}
B2 = {{ joins = ["1V2.2", "2A1.B"], hose = "3 m", bore = "10 mm" }}
T = ["0V1.T", "0Z1.T", "2A1.L"]
A3 = ["3A1.A"]
B3 = ["3A1.B"]
A4 = ["4A1.A"]
B4 = ["4A1.B"]
motor = ["2A1.shaft", "2Z1.1"]
slew = ["2Z1.2", "3W1.slew"]
boom = ["3A1.rod", "3W1.boom"]
stick = ["4A1.rod", "3W1.stick"]

[start]
{pose(20, -60, 0)}
3W1.slew = "60 deg"
"""
    session = filled(begin(rig("slew mode", text, motor=IDEAL_MOTOR)))
    assert session.readings.pressure("A2") > si("40 bar")
    session.set_parameter("3W1.slope", math.radians(1.0))
    times, speeds = sample(session, lambda s: s.readings.speed("slew"), 8.0, 0.01)

    hose = 3.0 * math.pi / 4 * 0.010**2
    displacement = 315e-6 / (2 * math.pi) * 11.5
    oil = displacement**2 * sum(1 / compliance(session, line, hose) for line in ("A2", "B2"))
    k = 1 / (1 / oil + 1 / 2e5)
    r = session.readings
    boom, stick = r.state("3W1", "boom"), r.state("3W1", "stick")
    at = lengths(boom, stick)
    own = 60.0 + 0.5 + 11.5**2 * (1e-3 + 0.005)
    own += BOOM_SPIN * math.cos(boom) ** 2 + BOOM_MASS * at["boom"][0] ** 2
    own += STICK_SPIN * math.cos(boom + stick) ** 2 + STICK_MASS * at["stick"][0] ** 2
    printed = math.sqrt(k / own) / (2 * math.pi)
    check("crane", "slew mode [Hz], load free", frequency(times, speeds, 1 / printed), printed, 0.03)


@pytest.mark.soak
def test_boom_mode() -> None:
    """The boom with 250 kg rings on the oil of both chambers and their 3 m hoses: sqrt(k/m) of the sheet, to 3 %.

    The stick is held by a cylinder too thick to yield. m is inertia over moment arm squared, with the load counted
    where it moves up and down: sideways it hangs free.
    """
    text = f"""
[parts]
{_FILLING}
3W1 = {{ is = "Crane", {FREE} }}
3A1 = {{ $cylinder, $damped, bore = "90 mm", rod = "50 mm", stroke = "532 mm" }}
4A1 = {{ $cylinder, $damped, bore = "300 mm", rod = "0 mm", stroke = "500 mm" }}
3W2 = {{ is = "ConstantForce", force = "0 N", mass = "0.1 kg" }}

[lines]
{_FILLING_LINES}
T = ["0V1.T", "0Z1.T"]
A3 = {{ joins = ["1V1.2", "3A1.A"], hose = "3 m", bore = "12.7 mm" }}
B3 = {{ joins = ["1V2.2", "3A1.B"], hose = "3 m", bore = "12.7 mm" }}
A4 = ["4A1.A"]
B4 = ["4A1.B"]
slew = ["3W1.slew"]
boom = ["3A1.rod", "3W2.rod", "3W1.boom"]
stick = ["4A1.rod", "3W1.stick"]

[start]
{pose(22, -60)}
"""
    session = filled(begin(rig("boom mode", text)))
    r = session.readings
    assert r.pressure("B3") > si("40 bar")
    session.set_parameter("3A1.viscous_friction", 0.0)
    session.set_parameter("3W2.force", 2000.0)
    times, speeds = sample(session, lambda s: s.readings.speed("boom"), 2.5, 0.005)

    hose = 3.0 * math.pi / 4 * 0.0127**2
    cap, annulus = math.pi / 4 * 0.090**2, math.pi / 4 * (0.090**2 - 0.050**2)
    k = cap**2 / compliance(session, "A3", hose) + annulus**2 / compliance(session, "B3", hose)
    boom, stick = r.state("3W1", "boom"), r.state("3W1", "stick")
    at = lengths(boom, stick)
    inertia = BOOM_SPIN + BOOM_MASS * math.hypot(*at["boom"]) ** 2
    inertia += STICK_SPIN + STICK_MASS * math.hypot(*at["stick"]) ** 2 + (GRAPPLE + 250) * at["tip"][0] ** 2
    mass = inertia / r.value("3W1", "boom_arm") ** 2
    printed = math.sqrt(k / mass) / (2 * math.pi)
    check("crane", "boom mode [Hz], 250 kg", frequency(times, speeds, 1 / printed), printed, 0.03)
