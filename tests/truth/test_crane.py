"""The crane: geometry, statics, energy, its slewing inertia, and left against right.

Numbers of our own small log loader, from section 8 of the modelling sheet (a second program found them: planar
dynamics written by hand). The engine finds them here from a rig.
"""

from __future__ import annotations

import math

import pytest
from stored import energy_in

from trainer import resources
from trainer.engine.readings import Readings
from trainer.engine.session import Session
from trainer.parts.arm import BOOM_CLOSED, STICK_CLOSED
from trainer.rig import file as rig_file
from trainer.rig.rig import Rig

from .printed import check
from .rigs import begin, rig, unyielding, work

FREE = (
    'damping = "0 %", pin_friction = "0 N m", column_friction = "0 N m", column_drag = "0 N m s", '
    'slew_range = "360 deg"'
)
DAMPED = 'damping = "40 %", pin_friction = "2000 N m"'  # comes to rest soon, and holds nothing then
GRAVITY = 9.80665
BOOM_MASS, STICK_MASS, GRAPPLE, LINK = 165.0, 95.0, 115.0, 1.35
BOOM_SPIN, STICK_SPIN = 105.0, 38.0
# angles [deg] -> reach [m], boom [kN], its cap end [bar], stick [kN], its rod end [bar], slewing inertia [kg m2]
STATICS = {
    (20, -20): (4.49, 57.7, 91, 47.0, 137, 8700),
    (20, -60): (4.01, 52.5, 83, 22.0, 64, 7100),
    (45, -60): (3.82, 54.3, 85, 27.7, 81, 6180),
    (60, -120): (2.33, 39.2, 62, 21.4, 62, 2360),
}


def pose(boom: float, stick: float, load: float = 250.0) -> str:
    """Return a start at angles [deg] with a load [kg]."""
    return f'3W1.boom = "{boom} deg"\n3W1.stick = "{stick} deg"\n3W1.load = "{load} kg"\n'


def still(boom: float, stick: float, slewing: float = 0.0) -> Rig:
    """Return a crane whose lines are empty, at angles [deg], slewing [rad/s]."""
    parts = f'[parts]\n3W1 = {{ is = "Crane", {FREE}, pivot = "20 m" }}\n'
    return rig("free crane", f'{parts}{EMPTY}[start]\n{pose(boom, stick)}3W1.slew_rate = "{slewing} rad/s"\n')


EMPTY = '[lines]\nslew = ["3W1.slew"]\nboom = ["3W1.boom"]\nstick = ["3W1.stick"]\n'


# -- geometry ---------------------------------------------------------------------------------------------

BOOM_TABLE = {
    -21: (0.8251, 0.2766),
    -10: (0.8830, 0.3238),
    0: (0.9420, 0.3497),
    10: (1.0043, 0.3613),
    20: (1.0674, 0.3609),
    30: (1.1297, 0.3505),
    45: (1.2178, 0.3198),
    60: (1.2959, 0.2751),
    74: (1.3570, 0.2237),
}
STICK_TABLE = {
    -8: (1.0278, -0.1082),
    -20: (1.0573, -0.1720),
    -40: (1.1318, -0.2479),
    -60: (1.2255, -0.2819),
    -80: (1.3243, -0.2784),
    -100: (1.4164, -0.2453),
    -120: (1.4930, -0.1904),
    -130: (1.5234, -0.1570),
}


@pytest.mark.parametrize(("which", "table"), [("boom", BOOM_TABLE), ("stick", STICK_TABLE)])
def test_cylinder_lengths_and_moment_arms(which: str, table: dict[int, tuple[float, float]]) -> None:
    """Length of the cylinder between its pins and its arm about the joint, to the printed digits."""
    closed = {"boom": BOOM_CLOSED, "stick": STICK_CLOSED}[which]
    session = begin(still(20, -60))
    network = session.network
    for degrees, (length, arm) in table.items():
        x = session.x.copy()
        x[network.state_index[f"3W1.{which}"]] = math.radians(degrees)
        x[network.state_index[f"3W1.{which}_rate"]] = 1.0
        r = Readings.of(network, 0.0, x, session.pu, session.state.skin)
        check("crane", f"{which} at {degrees} deg, length [m]", closed + r.place(which), length, within=5.1e-5)
        check(
            "crane", f"{which} at {degrees} deg, moment arm [m]", r.value("3W1", f"{which}_arm"), arm, within=5.1e-5
        )
        check("crane", f"{which} at {degrees} deg, speed per rate [m]", r.speed(which), arm, within=5.1e-5)


# -- statics ----------------------------------------------------------------------------------------------


def held(boom: float, stick: float) -> Rig:
    """Return a crane held by the shut-in cap end of its boom cylinder and rod end of its stick cylinder."""
    return rig(
        "held crane",
        f"""
[parts]
0Z1 = {{ $tank }}
3W1 = {{ is = "Crane", {DAMPED} }}
3A1 = {{ $cylinder, $damped, bore = "90 mm", rod = "50 mm", stroke = "532 mm" }}
4A1 = {{ $cylinder, $damped, bore = "80 mm", rod = "45 mm", stroke = "500 mm" }}

[lines]
S = ["0Z1.S"]
T = ["0Z1.T", "3A1.B", "4A1.A"]
A3 = ["3A1.A"]
B4 = ["4A1.B"]
slew = ["3W1.slew"]
boom = ["3A1.rod", "3W1.boom"]
stick = ["4A1.rod", "3W1.stick"]

[start]
{pose(boom, stick)}
""",
    )


@pytest.mark.parametrize(("angles", "printed"), STATICS.items())
def test_statics_with_250_kg(angles: tuple[int, int], printed: tuple[float, ...]) -> None:
    """Cylinder forces and pressures that hold the pose, to 1 %; forces from pressures and areas."""
    reach, boom, cap, stick, rod_end, _ = printed
    session = begin(unyielding(held(*angles)))
    session.advance(20.0, 0.5)
    r = session.readings
    assert abs(r.speed("boom")) + abs(r.speed("stick")) < 1e-4, "at rest"
    assert math.degrees(r.state("3W1", "boom")) == pytest.approx(angles[0], abs=0.05), "the pose is held"
    at = f"at {angles[0]}, {angles[1]} deg"
    boom_area, stick_area = math.pi / 4 * 0.090**2, math.pi / 4 * (0.080**2 - 0.045**2)
    check("crane", f"{at}, reach [m]", r.value("3W1", "reach"), reach, within=5.1e-3)
    check("crane", f"{at}, boom cylinder pushes [kN]", r.pressure("A3") * boom_area / 1e3, boom, 0.01)
    check("crane", f"{at}, boom cap pressure [bar]", r.pressure("A3") / 1e5, cap, 0.01)
    check("crane", f"{at}, stick cylinder pulls [kN]", r.pressure("B4") * stick_area / 1e3, stick, 0.01)
    check("crane", f"{at}, stick rod-end pressure [bar]", r.pressure("B4") / 1e5, rod_end, 0.01)


# -- energy -----------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("start", "slewing", "tolerance", "seconds", "least"),
    [
        pytest.param((-70, -20), 0.02, 1e-9, 60, 500.0, id="swings for a minute at 1e-9"),
        pytest.param(
            (20, -60), 0.0, 1e-10, 20, 10e3, id="falls and tumbles for 20 s at 1e-10", marks=pytest.mark.soak
        ),
    ],
)
def test_energy_of_the_free_crane(
    start: tuple[int, int], slewing: float, tolerance: float, seconds: int, least: float
) -> None:
    """No friction, nothing on any line, calls of 0.5 s: the energy holds to 1e-6 of the most that is motion.

    What the links take when they jerk taut is counted. What drifts is the integrator's share: it falls with the
    tolerance. The tumbling crane asks for the finer one.
    """
    session = begin(still(*start, slewing), tolerance=tolerance)
    begun = energy_in(session)
    motion, drift = 0.0, 0.0
    for _ in range(2 * seconds):
        session.advance(0.5, 0.5)
        drift = max(drift, abs(energy_in(session) + float(session.totals.sum()) - begun))
        motion = max(motion, kinetic(session))
    assert session.rough_calls == 0
    assert motion > least, "it moves"
    what = f"free crane from {start[0]}, {start[1]} deg, {seconds} s at {tolerance:g}, energy drift"
    check("crane", what, drift / motion, 0.0, within=1e-6)


def kinetic(session: Session) -> float:
    """Return the energy of motion of the crane [J]: what is stored, less what it is at rest in the same place."""
    x = session.x.copy()
    for name in ("slew", "boom", "stick", "hung_ahead", "hung_left", "hung_up"):
        x[session.network.state_index[f"3W1.{name}_rate"]] = 0.0
    return energy_in(session) - float(session.network.energy(x, session.pu).sum())


# -- inertia ----------------------------------------------------------------------------------------------


def swung(boom: float, stick: float) -> Rig:
    """Return a crane, held by shut-in cylinders, whose column a drive turns through stiff gears."""
    return rig(
        "swung crane",
        f"""
[parts]
0Z1 = {{ $tank }}
0M1 = {{ is = "SteadyDrive" }}
2Z1 = {{ is = "ReductionGear", ratio = "10", stiffness = "1e7 N m", damping = "1e4 N m s", mesh = "0 N m s" }}
3W1 = {{ is = "Crane", {FREE}, column_inertia = "20 kg m2" }}
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
{pose(boom, stick)}
""",
    )


@pytest.mark.soak
@pytest.mark.parametrize(
    ("angles", "printed"),
    [case if k == 0 else pytest.param(*case, marks=pytest.mark.soak) for k, case in enumerate(STATICS.items())],
)
def test_slewing_inertia_with_250_kg(angles: tuple[int, int], printed: tuple[float, ...]) -> None:
    """The table's inertia counts the load as rigid; here it swings, so the column is sped up over a sway period.

    Then the load hangs still again and moves with the tip, and the drive's work is half of inertia times speed
    squared. The column's own 20 kg m2 are not printed; they fit the four rows.
    """
    session = begin(unyielding(swung(*angles)), 3.0)
    period = 2 * math.pi * math.sqrt(LINK / GRAVITY)
    end, calls = 0.05, 140  # rad/s at the column
    for call in range(calls):
        session.set_control("0M1.setting", 10 * end * (call + 1) / calls)
        session.advance(period / calls, period / calls)
    session.advance(0.5)
    turned = session.readings.speed("slew")
    assert turned == pytest.approx(end, rel=1e-3)
    inertia = 2 * work(session, "0M1") / turned**2 - 0.5 - 100 * 1e-3  # the gear's own
    check("crane", f"at {angles[0]}, {angles[1]} deg, slewing inertia [kg m2]", inertia, printed[5], 0.01)


# -- left and right ---------------------------------------------------------------------------------------


def swings(side: float) -> tuple[dict[str, float], dict[str, float]]:
    """Return states that turn with the side, and those that do not, after the shipped loader slewed to one side."""
    session = Session(rig_file.load(resources.path("rigs/timber-trailer-loader.toml")), 1e-7)
    session.set_control("3W1.load", 250.0)
    for lever in (0.6, 1.0, 0.0, -0.3):
        session.set_control("2V1.lever", side * lever)
        session.advance(0.75)
    r = session.readings
    turning = {name: r.state("3W1", name) for name in ("slew", "slew_rate", "hung_left", "hung_left_rate")}
    turning["sway_left"] = r.value("3W1", "sway_left")
    plane = {name: r.state("3W1", name) for name in ("boom", "stick", "hung_ahead", "hung_up")}
    plane["sway_out"] = r.value("3W1", "sway_out")
    plane["between the banks [bar]"] = r.pressure("banks") / 1e5
    turning["drop over the motor [bar]"] = (r.pressure("A2") - r.pressure("B2")) / 1e5
    return turning, plane


@pytest.mark.soak
def test_left_is_as_right() -> None:
    """The shipped loader slewed left and right: places and speeds mirrored, the rest the same (computed)."""
    (left, plane), (right, same) = swings(1.0), swings(-1.0)
    assert left["slew"] > 0.2
    for name, value in left.items():
        assert value == pytest.approx(-right[name], abs=1e-4, rel=1e-4), name
    for name, value in plane.items():
        assert value == pytest.approx(same[name], abs=1e-4, rel=1e-4), name
