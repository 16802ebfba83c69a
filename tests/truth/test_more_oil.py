"""More worked examples of lines, orifices, trapped oil, gas and units (ESP and SUL as in test_cylinders)."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from trainer.parts.oil import HEAT_CAPACITY, properties
from trainer.units import GRAVITY

from .printed import check
from .rigs import begin, closed_in, drive, restricted, show, si, unyielding
from .test_oil_and_lines import fitted, piped

# -- orifices -----------------------------------------------------------------------------------------------


def orifice(
    id_: str, area: float, discharge: float, displacement: str, density: str, speed: str = "1200 r/min"
) -> tuple[float, float]:
    """Return the drop [psi] and the flow [gpm] of an orifice of an area [in2] that a pump feeds."""
    diameter = math.sqrt(area * 4 / math.pi)
    words = f'is = "Orifice", diameter = "{diameter:.7f} in", discharge = {discharge}, transition = "1e-4 bar"'
    rig = restricted(id_, words, displacement=displacement, density=density, viscosity="1 mm2/s")
    readings = drive(begin(unyielding(rig)), speed).readings
    return show(readings.pressure("P1"), "psi"), show(readings.flow("1V1", "1"), "gpm")


CV = 1 / 37.982  # in2 of an opening with a coefficient of 1 that passes 1 gpm of water at 1 psi


@pytest.mark.soak
@pytest.mark.parametrize(
    ("id_", "cv", "displacement", "gravity", "gpm", "psi", "share"),
    [
        ("O04", 1.597, "5.775 in3/rev", 0.85, 30, 300, 0.003),  # SUL Ex 10.1, p. 225
        ("O04", 5.41, "5.775 in3/rev", 0.85, 30, 26.138, 0.003),
        ("O05", 2.37, "4.8125 in3/rev", 0.9, 25, 100, 0.004),  # ESP Ex 8-5, p. 304
    ],
)
def test_o04_o05_valves_by_their_flow_coefficient(
    id_: str, cv: float, displacement: str, gravity: float, gpm: float, psi: float, share: float
) -> None:
    drop, flow = orifice(id_, cv * CV, 1.0, displacement, f"{62.4 * gravity} lb/ft3")
    check(id_, "flow, as arranged [gpm]", flow, gpm, 0.001)
    check(id_, f"drop with Cv {cv} [psi]", drop, psi, share)
    check(id_, "flow coefficient", flow / math.sqrt(drop / gravity), cv, 0.002)


@pytest.mark.soak
def test_o02_o03_discharge_coefficient() -> None:
    """SUL Ex 5.4, p. 90: 3.14 in2 pass 1000 gpm of SG 0.85 at 120 psi: 0.7; its constant is 38.06. A tenth here."""
    drop, flow = orifice("O03", 0.314, 0.7, "5.775 in3/rev", "53.04 lb/ft3", "4000 r/min")
    constant = flow / (0.7 * 0.314 * math.sqrt(drop / 0.85))
    check("O02", "gpm = k Cd in2 sqrt(psi / SG), k", constant, 38.06, 0.0035)
    check("O03", "coefficient of 1000 gpm at 120 psi", flow / (38.06 * 0.314 * math.sqrt(drop / 0.85)), 0.7, 0.01)
    check("O03", "drop of 100 gpm in 0.314 in2 [psi]", drop, 120, 0.02)


# -- lines --------------------------------------------------------------------------------------------------


@pytest.mark.soak
def test_l07_gate_valve() -> None:
    """ESP Ex 4-7, p. 142: K 0.19 at 0.02 m3/s in 50 mm: 1.01 m."""
    words, oil = 'length = "0.5 m", bore = "50 mm"', {"viscosity": "100 cSt", "density": "897.35 kg/m3"}
    plain, drop, flow = fitted("L07", words, "fittings = 0.19", "249.9 cm3/rev", "4000 r/min", **oil)
    head = (drop - plain) / (897.35 * GRAVITY) * (0.02 / flow) ** 2  # as far as the pump's flow is from the printed
    check("L07", "loss of a gate valve [m]", head, 1.01, 0.01)


@pytest.mark.soak
@pytest.mark.parametrize(
    ("id_", "height", "printed", "unit", "share"),
    [("L10", "50 ft", 265, "psi", 0.005), ("L11", "15.24 m", 1826, "kPa", 0.003)],
)
def test_l10_l11_lift_line_with_a_loss(id_: str, height: str, printed: float, unit: str, share: float) -> None:
    """ESP Ex 3-10, p. 104 and Ex 3-17, p. 114: 5 hp, 30 gpm, 20 ft up, 30 ft of loss, from a still tank.

    The loss is given, so it stands as more height; the pipe is short and wide.
    """
    words = f'bore = "1 in", length = "0.05 m", fittings = 1, height = "{height}"'
    drop, flow = piped(id_, words, "5.775 in3/rev", "1200 r/min", viscosity="1 cSt", density="56.16 lb/ft3")
    check(id_, f"pressure at the motor [{unit}]", show(si("5 hp") / flow - drop, unit), printed, share)


@pytest.mark.soak
def test_l16_l21_turbulent_loss_by_a_given_factor() -> None:
    """SUL Ex 5.1, p. 82: 200 gpm, 2 in, f 0.05, 800 ft, SG 0.91: 611.99 psi; SUL Ex 5.6: K 2.5 at 0.045 is 4.63 ft.

    f L / D is a K-factor of 240: a tenth of the line as a fitting of 24.
    """
    words, oil = 'bore = "1.9994929 in", length = "0.1 m"', {"viscosity": "10 cSt", "density": "56.784 lb/ft3"}
    plain, drop, flow = fitted("L16", words, "fittings = 24", "11.55 in3/rev", "4000 r/min", **oil)
    check("L16", "flow, as arranged [gpm]", show(flow, "gpm"), 200, 0.002)
    check("L16", "loss of 800 ft [psi]", 10 * show(drop - plain, "psi"), 611.99, 0.005)


@pytest.mark.soak
def test_l18_l24_pipe_as_a_viscometer() -> None:
    """SUL Ex 4.4, p. 75: 100 gpm, 1 in, 0.05 in2/s: Re 9799; Sarkar, Ex 6.12, p. 127: 20 kPa tell 0.0625 Pa s."""
    _, flow = piped("L18", 'bore = "1 in", length = "1 m"', "5.775 in3/rev", "4000 r/min", viscosity="32.258 cSt")
    velocity = flow / si("0.7853981634 in2")
    check("L18", "Reynolds number", velocity * si("1 in") / 32.258e-6, 9799.12, 0.002)
    words = 'bore = "40 mm", length = "8 m"'
    drop, flow = piped(
        "L24", words, "62.83185 cm3/rev", "2400 r/min", viscosity="71.428571 mm2/s", density="875 kg/m3"
    )
    speed = flow / (math.pi / 4 * 0.04**2)
    check("L24", "velocity, as arranged [m/s]", speed, 2, 0.001)
    check("L24", "viscosity [Pa s]", drop * 0.04**2 / (32 * 8 * speed), 0.0625)


@pytest.mark.soak
def test_l19_t12_flow_is_laminar_to_2000_and_turbulent_from_4000() -> None:
    """SUL Ex 4.5, p. 76: 27 cP and 0.85 g/cm3 in 1 in: 250 cm/s are Re 2000, 500 are 4000.

    Below, the loss doubles with the flow; above, it grows by more than three times.
    """
    oil = {"viscosity": f"{27 / 0.85} cSt", "density": "850 kg/m3"}
    area, losses = si("0.7853981634 in2"), []
    for velocity in (1.2506, 2.5012, 5.0023, 10.0046):
        size = velocity * area / si("4000 r/min") * 2 * math.pi
        drop, flow = piped("L19", 'bore = "1 in", length = "5 m"', f"{size * 1e6:.6f} cm3/rev", "4000 r/min", **oil)
        losses.append(drop)
        if velocity == 2.5012:
            check("L19", "Reynolds number at 250.12 cm/s", flow / area * si("1 in") / (27e-3 / 850), 2000, 0.002)
    check("T12", "loss, laminar: twice the flow", losses[1] / losses[0], 2.0, 0.01)
    assert losses[3] / losses[2] > 3.0


# -- trapped oil ----------------------------------------------------------------------------------------------


@pytest.mark.soak
@pytest.mark.parametrize(
    ("id_", "stiffness", "low", "high", "printed", "share"),
    [
        ("B02", "1.718 GPa", "6.87 bar", "137.4 bar", 0.0076, 0.01),  # ESP Ex 2-17, p. 67
        ("B03", "2.4131651 GPa", "1000 psi", "2000 psi", 0.0029, 0.02),  # SUL Ex 6.2, p. 115
        ("B04", "2.2 GPa", "40 bar", "50 bar", 0.00045, 0.02),  # Khan, Ex 1.2, p. 12: water
        ("B05", "5 GPa", "40 bar", "200 bar", 0.0032, 0.005),  # a page of worked problems: a press
        ("B06", "1.7236893 GPa", "500 psi", "1500 psi", 0.004, 0.005),  # a maker's sheet: 0.4 % per 1000 psi
    ],
)
def test_compression(id_: str, stiffness: str, low: str, high: str, printed: float, share: float) -> None:
    """The share by which shut-in oil gives way between two pressures: a force on a piston of 1 in2 is raised.

    The least air that the program has is pressed small first.
    """
    rig = closed_in(id_, force="400 lbf", bore="1.1283792 in", dead="900 cm3", stroke="200 mm", place="100 mm")
    rig = replace(rig, oil=replace(rig.oil, stiffness=si(stiffness)))
    session, area, room = begin(rig, 1.0), si("1 in2"), []
    for pressure in (si(low), si(high)):
        session.set_parameter("1W2.force", pressure * area)
        session.advance(1.0, 0.1)
        assert session.readings.pressure("A1") == pytest.approx(pressure, rel=0.01)
        room.append(si("900 cm3") + area * session.readings.place("rod1"))
    check(id_, f"gives way, {low} to {high}", (room[0] - room[1]) / room[0], printed, share)


# -- oil ------------------------------------------------------------------------------------------------------


def test_v10_dynamic_viscosity() -> None:
    """ESP Ex 2-13, p. 62: 25 mm2/s at 0.89 g/cm3 are 22.3 mPa s."""
    oil = properties("VG 46", 40.0, 1e-4, density=890.0, viscosity=25e-6)
    check("V10", "dynamic viscosity [mPa s]", oil.viscosity * 1e3, 22.3, 0.003)


def test_h10_a_watt_hour_warms_a_gallon() -> None:
    """A maker's rule: 1 W warms 1 gal of oil (7.42 lb) by 1 F in an hour, so c is 0.46 Btu/lb F."""
    rise = 3600 / (7.42 * 0.45359237 * HEAT_CAPACITY) * 1.8
    check("H10", "rise by a watt-hour [F]", rise, 1.0, 0.03)


# -- units ----------------------------------------------------------------------------------------------------

UNITS_TABLE = [  # published conversion tables: id, what, in which unit, printed, share
    ("U01", "1 gal", "in3", 231, 1e-4), ("U02", "1 gal", "L", 3.785411784, 1e-4),
    ("U03", "1 psi", "kPa", 6.894757293, 1e-4), ("U04", "1 bar", "psi", 14.5, 5e-4),
    ("U05", "1 lbf", "N", 4.448221615, 1e-4), ("U06", "1 kW", "hp", 1.34102209, 1e-4),
    ("U07", "1 hp", "W", 745.7, 1e-4), ("U08", "60 gpm", "L/min", 227.124, 1e-4),
    ("U10", "1 in3/rev", "cm3/rev", 16.39, 2e-4), ("U12", "14.695949 psi", "bar", 1.01325, 1e-4),
]  # fmt: skip


@pytest.mark.parametrize(("id_", "written", "unit", "printed", "share"), UNITS_TABLE)
def test_conversions(id_: str, written: str, unit: str, printed: float, share: float) -> None:
    check(id_, f"{written} [{unit}]", show(si(written), unit), printed, share)
