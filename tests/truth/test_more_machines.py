"""More worked examples of pumps, motors and tanks (ESP and SUL as in test_cylinders).

The examples give what a machine loses; here that is its slip and its drag by Wilson's law, and what is read is the
flow at its port and the torque at its shaft.
"""

from __future__ import annotations

import math

import pytest

from .printed import check
from .rigs import begin, drive, one_cylinder, show, si, speed, supplied, unyielding
from .test_motors_and_drives import IDEAL_MOTOR, LOSS_FREE_PUMP, PUMP, braked, turning

MU = 875 * 40e-6  # Pa s of the oil of the check rigs


def wilson(lost: str, displacement: str, pressure: str) -> float:
    """Return the coefficient of a slip [-] by which so much oil is lost at a pressure: Q = Cs D dp / mu."""
    return si(lost) * MU / (si(displacement) * si(pressure))


@pytest.mark.soak
@pytest.mark.parametrize(
    ("id_", "displacement", "flow", "lost", "pressure", "torque", "unit", "efficiency", "theory", "share"),
    [
        # ESP Ex 5-8, p. 190: 20 of 21.645 gpm, 900 lb in where 795.8 would do (793 there)
        ("P18", "5 in3/rev", "20 gpm", "1.645022 gpm", "1000 psi", 900, "lbf in", 81.6, 793, 0.004),
        # ESP Ex 5-9, p. 201: 90 of 100 L/min, 120 N m where 111.4 would do (112 there)
        ("P19", "100 cm3/rev", "90 L/min", "10 L/min", "70 bar", 120, "N m", 83.5, 112, 0.006),
    ],
)
def test_p18_p19_tested_pumps(
    id_: str, displacement: str, flow: str, lost: str, pressure: str, torque: float, unit: str, efficiency: float,
    theory: float, share: float,
) -> None:  # fmt: skip
    """A pump at 1000 r/min."""
    ideal = si(displacement) * si(pressure)
    drag = 100 * (torque * si(f"1 {unit}") / ideal - 1)
    slip = wilson(lost, displacement, pressure)
    machine = PUMP.replace("slip = 0", f"slip = {slip:.6e}")
    words = f'{machine}, pressure_drag = "{drag:.6f} %", displacement = "{displacement}"'
    session = turning(id_, words, pressure, "1000 r/min", at=flow)
    r = session.readings
    check(id_, "flow, as arranged [share]", -r.flow("1P1", "P") / si(flow), 1.0, 0.001)
    found = r.value("0M1", "torque") / si(f"1 {unit}")
    check(id_, f"torque, as arranged [{unit}]", found, torque, 0.001)
    check(id_, f"torque without drag [{unit}]", found / (1 + drag / 100), theory, share)
    whole = 100 * r["heat", "1V1", "over_relief"] / r.value("0M1", "power")
    check(id_, "overall efficiency [%]", whole, efficiency, share)


@pytest.mark.soak
@pytest.mark.parametrize(
    ("id_", "size", "flow", "lost", "pressure", "torque", "unit", "printed", "share"),
    [
        # ESP Ex 7-3, p. 262: 10 in3, 1000 psi, 2000 r/min, 95 gpm, 1500 lb in
        ("M03", "10 in3/rev", 95.0, 8.419913, "1000 psi", 1500, "lbf in", (91.1, 94.25, 85.8, 47.6), 0.0015),
        # ESP Ex 7-6, p. 267: 164 cm3, 70 bar, 2000 r/min, 0.006 m3/s, 170 N m
        ("M06", "164 cm3/rev", 95.101939, 8.450000, "70 bar", 170, "N m", (91.2, 93.0, 84.8, 35.6), 0.004),
    ],
)
def test_m03_m06_efficiencies_of_motors(
    id_: str, size: str, flow: float, lost: float, pressure: str, torque: float, unit: str,
    printed: tuple[float, float, float, float], share: float,
) -> None:  # fmt: skip
    """A motor at 2000 r/min, braked by a pump that blows over a relief; flows in gpm."""
    ideal = si(size) * si(pressure)
    worn = IDEAL_MOTOR.replace("leakage = 0", f"leakage = {wilson(f'{lost} gpm', size, pressure):.6e}").replace(
        'pressure_drag = "0 %"', f'pressure_drag = "{100 * (1 - torque * si(f"1 {unit}") / ideal):.6f} %"'
    )
    back = torque * si(f"1 {unit}") / si(size)
    pump = f"{flow * 231 / 4000} in3/rev"
    rig = braked(id_, size, size, f"{back / 1e5:.6f} bar", f"{flow - lost} gpm", worn, displacement=pump,
                 speed="4000 r/min")  # fmt: skip
    session = drive(begin(unyielding(rig)), "4000 r/min", 4.0)
    r = session.readings
    turns, given = r.speed("turned"), r.load("1P1", "shaft")
    inflow, drop = r.flow("1A1", "A"), r.pressure("P1")
    check(id_, "speed, as arranged [r/min]", show(turns, "r/min"), 2000, 0.005)
    check(id_, "pressure, as arranged [share]", drop / si(pressure), 1.0, 0.005)
    check(id_, "volumetric efficiency [%]", 100 * si(size) * turns / inflow, printed[0], share)
    check(id_, "hydraulic-mechanical efficiency [%]", 100 * given / (si(size) * drop), printed[1], share)
    check(id_, "overall efficiency [%]", 100 * given * turns / (inflow * drop), printed[2], share)
    power = show(given * turns, "hp") if id_ == "M03" else given * turns / 1e3
    check(id_, "power given [hp or kW]", power, printed[3], share + 0.002)


@pytest.mark.soak
def test_m11_volumetric_efficiency_of_a_motor() -> None:
    """SUL Ex 9.5, p. 196: 0.6 in3 at 2400 r/min take 6.5 gpm: 95.9 %. The pressure is ours, 1000 psi."""
    leak = wilson("0.266234 gpm", "0.6 in3/rev", "1000 psi")
    worn = IDEAL_MOTOR.replace("leakage = 0", f"leakage = {leak:.6e}")
    rig = braked("M11", "0.6 in3/rev", "0.6 in3/rev", "1000 psi", "6.2338 gpm",
                 displacement=f"{6.5 * 231 / 1200} in3/rev", machine=worn)  # fmt: skip
    r = drive(begin(unyielding(rig)), seconds=4.0).readings
    check("M11", "speed [r/min]", show(r.speed("turned"), "r/min"), 2400, 0.002)
    found = 100 * si("0.6 in3/rev") * r.speed("turned") / r.flow("1A1", "A")
    check("M11", "volumetric efficiency [%]", found, 95.9, 0.002)


def test_p01_p02_p23_constants_of_the_trade() -> None:
    """A maker's formula sheet: hp = psi gpm / 1714 = lb in r/min / 63 025, T = 36.77 psi gpm / r/min.

    The rule of a horsepower for a gallon at 1500 psi is 0.875 hp in the oil.
    """
    session = turning("P01", f'{LOSS_FREE_PUMP}, displacement = "1.54 in3/rev"', "1500 psi", "750 r/min", at="5 gpm")
    r = session.readings
    psi, gpm = show(r.pressure("P1"), "psi"), show(-r.flow("1P1", "P"), "gpm")
    hp, inch = show(r["heat", "1V1", "over_relief"], "hp"), show(r.value("0M1", "torque"), "lbf in")
    check("P01", "psi gpm in a horsepower", psi * gpm / hp, 1714, 0.001)
    check("P02", "lb in r/min in a horsepower", inch * 750 / hp, 63025, 0.001)
    check("P02", "T n / p Q", inch * 750 / (psi * gpm), 36.77, 0.001)
    check("P23", "1 gpm at 1500 psi [hp]", hp / gpm, 0.875, 0.001)


@pytest.mark.soak
def test_m01_rotary_actuator() -> None:
    """ESP Ex 7-1, p. 248: a vane from 0.5 to 1.5 in, 1 in long, needs 1000 psi for 1000 lb in: 1 in3 a radian."""
    vane = (
        'is = "RotaryActuator", displacement = "6.283185 in3/rev", leakage = "0 m3/s/Pa", breakaway = "0 N m", '
        'pressure_drag = "0 %", viscous_drag = "0 N m s", angle = "350 deg"'
    )
    rig = supplied(
        "M01",
        f"""
1A1 = {{ {vane} }}
1P1 = {{ $pump, displacement = "6.283185 in3/rev" }}
1V1 = {{ is = "ReliefValve", setting = "1000 psi", override = "1 %", rated_flow = "1 gpm", gallery = "1 cm3" }}
""",
        """
P1 = ["0P1.P", "0V1.P", "1A1.A"]
P2 = ["1P1.P", "1V1.P"]
T = ["0V1.T", "0Z1.T", "1A1.B", "1P1.S", "1V1.T"]
turned = ["1A1.shaft", "1P1.shaft"]
""",
        displacement="0.1925 in3/rev", rated="1 gpm", setting="3000 psi",
    )  # fmt: skip
    r = drive(begin(unyielding(rig)), seconds=1.0).readings
    check("M01", "load of the brake, as arranged [lbf in]", show(r.load("1P1", "shaft"), "lbf in"), 1000, 0.01)
    share = show(r.pressure("P1"), "psi") / show(r.load("1P1", "shaft"), "lbf in")
    check("M01", "pressure for 1000 lb in [psi]", 1000 * share, 1000, 0.005)


@pytest.mark.soak
def test_h01_h05_heat_over_hours() -> None:
    """SUL Ex 12.1, p. 290: 8 hp in and 5 hp out are 30 528 Btu in 4 h; here three go over a relief."""
    lines = 'P1 = ["0P1.P", "0V1.P"]\nT = ["0V1.T", "0Z1.T"]\n'
    rig = supplied("H05", "", lines, displacement="0.98984 in3/rev", setting="1000 psi", rated="5.142 gpm")
    session = drive(begin(unyielding(rig)))
    heat = session.readings["heat", "0V1", "over_relief"]
    check("H05", "power over the relief, as arranged [hp]", show(heat, "hp"), 3.0, 0.002)
    btu = si("1 hp") * 3600 / 1055.05585262 / si("1 hp")  # a watt-hour, from CODATA's Btu (IT)
    check("H05", "heat of 4 h [Btu]", 4 * heat * btu, 30528, 0.002)
    check("H01", "1 hp [Btu/h]", si("1 hp") * btu, 2545, 0.0005)


@pytest.mark.soak
def test_l12_l13_l14_l15_velocities() -> None:
    """Continuity: ESP Ex 3-14, p. 113; ESP Ex 3-7, p. 95; ESP Ex 10-1, p. 367; SUL Ex 3.4, p. 46.

    A cylinder as wide as the pipe: its rod goes as the oil in the pipe does.
    """
    for id_, flow, bore, unit, printed, share in (
        ("L12", "60 L/min", "30 mm", "m/s", 1.41, 0.004),
        ("L13", "156.7 gpm", "4 in", "ft/s", 4.0, 0.002),  # 0.349 ft3/s
        ("L14", "30 gpm", "0.783 in", "ft/s", 20.0, 0.002),
        ("L15", "40 gpm", "2 in", "ft/s", 4.08, 0.003),
    ):
        size = si(flow) / si("4000 r/min")
        pump = f"{size * 2 * math.pi * 1e6:.6f} cm3/rev"
        rig = one_cylinder(id_, way="extend", load="100 lbf", bore=bore, rod="12 mm", place="10 mm",
                           displacement=pump, speed="4000 r/min", lag="10 ms")  # fmt: skip
        session = drive(begin(unyielding(rig)), "4000 r/min", 0.15)
        check(id_, f"{flow} in {bore} [{unit}]", show(speed(session, "rod1"), unit), printed, share)
