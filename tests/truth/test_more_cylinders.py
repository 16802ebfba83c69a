"""More worked examples of force, speed and power: jacks, presses, intensifiers (ESP and SUL as in test_cylinders)."""

from __future__ import annotations

import pytest

from trainer.rig.rig import Rig

from .printed import check
from .rigs import begin, drive, jack, mean, one_cylinder, power, press, show, si, speed, supplied, unyielding


@pytest.mark.parametrize(
    ("id_", "bores", "effort", "unit", "force", "share"),
    [
        ("C06", ("0.999102 in", "3.9989872 in"), "150 lbf", "lbf", 2403.06, 1e-3),  # SUL Ex 2.3, p. 25
        pytest.param(
            "C06", ("25.412424 mm", "101.600508 mm"), "667.2 N", "N", 10664.68, 1e-3, marks=pytest.mark.soak
        ),
        # ESP Ex 3-13, p. 112
        pytest.param("C02", ("56.418958 mm", "112.837917 mm"), "200 N", "N", 800, 0.005, marks=pytest.mark.soak),
        # OpenStax College Physics, Ex 11.6
        pytest.param("C04", ("2 cm", "10 cm"), "500 N", "N", 12500, 0.005, marks=pytest.mark.soak),
    ],
)
def test_jacks(id_: str, bores: tuple[str, str], effort: str, unit: str, force: float, share: float) -> None:
    """Two pistons on one oil: the forces are as their areas; here the large rod presses on a wall.

    C06 and C04 have pistons smaller than the program's: four times as wide, they are in the same ratio.
    """
    session = begin(jack(id_, effort=effort, wall="1 mm", bores=bores), 1.0)
    found = mean(session, lambda s: s.readings.value("2W3", "force"))
    check(id_, f"jack, force [{unit}]", show(found, unit), force, share)
    if id_ == "C04":
        check(id_, "pressure, 16 times as wide [MPa]", 16 * session.readings.pressure("A1") / 1e6, 25.5, 0.005)


@pytest.mark.soak
@pytest.mark.parametrize(
    ("id_", "bore", "psi", "force", "unit"),
    [
        # a maker's page on cylinders, pi = 3.14 there: 6 in bore at 2500 psi push 70 650 lb
        ("C09", "6 in", "2500 psi", 70650, "lbf"),
        ("C07", "7.979 in", "1600 psi", 80000, "lbf"),  # SUL Ex 8.1, p. 172
        ("C07", "20.266 cm", "110.3 bar", 355800, "N"),
    ],
)
def test_presses(id_: str, bore: str, psi: str, force: float, unit: str) -> None:
    rig = press(id_, bore=bore, rod="3 in", displacement="3.85 in3/rev", setting=psi, rated="20 gpm")
    session = drive(begin(unyielding(rig)))
    found = mean(session, lambda s: s.readings.value("1W3", "force"))
    check(id_, f"{bore} at {psi}, force [{unit}]", show(found, unit), force, 0.001)


@pytest.mark.soak
@pytest.mark.parametrize(
    ("way", "load", "place", "psi"),
    [("extend", "50000 lbf", "0.1 m", 1769.29), ("retract", "-50000 lbf", "1.9 m", 2359.6)],
)
def test_c09_pressure_for_a_force(way: str, load: str, place: str, psi: float) -> None:
    """A maker's page on cylinders, pi = 3.14 there: 50 000 lb on a 6 in bore with a 3 in rod."""
    rig = one_cylinder("C09", way=way, load=load, place=place, bore="6 in", rod="3 in", displacement="3.85 in3/rev")
    pressure = mean(drive(begin(unyielding(rig))), lambda s: s.readings.pressure("P1"))
    check("C09", f"{way}, pressure [psi]", show(pressure, "psi"), psi, 0.001)


AREA_8, AREA_8_1 = "3.19153824 in", "3.21142267 in"  # bores of so many square inches
PRESS_FLOW = "4.80125 in3/rev"  # 24.94 gpm at 1200 r/min: 10 ft in 10 s on 8 in2


@pytest.mark.soak
def test_c11_press_cylinder() -> None:
    """ESP Ex 3-8, p. 99: 8000 lb at 1000 psi, 10 ft in 10 s: 8 in2, 24.9 gpm, 14.5 hp."""
    rig = one_cylinder("C11", way="extend", load="8000 lbf", bore=AREA_8, rod="1 in", place="0.1 m", stroke="4 m",
                       displacement=PRESS_FLOW)  # fmt: skip
    session = drive(begin(unyielding(rig)))
    pressure = mean(session, lambda s: s.readings.pressure("P1"))
    check("C11", "pressure of 8000 lb on 8 in2 [psi]", show(pressure, "psi"), 1000, 0.001)
    check("C11", "flow for 1 ft/s [gpm]", show(-session.readings.flow("0P1", "P"), "gpm"), 24.9, 0.004)
    check("C11", "speed [ft/s]", show(speed(session, "rod1"), "ft/s"), 1.0, 0.004)
    check("C11", "power at the rod [hp]", show(power(session, "1W2"), "hp"), 14.5, 0.004)


@pytest.mark.soak
def test_c12_the_same_with_friction_and_leak() -> None:
    """ESP Ex 3-9, p. 100: 100 lb of friction and 0.2 gpm past the piston: 8.1 in2, 25.4 gpm, 14.8 hp for 14.5."""
    leak = f"{si('0.2 gpm') / si('1000 psi'):.6e} m3/s/Pa"
    worn = (
        'is = "Cylinder", kinetic_friction = "100 lbf", pressure_friction = "0 %", '
        f'leakage = "{leak}", rod_mass = "1 kg"'
    )
    rig = one_cylinder("C12", way="extend", load="8000 lbf", bore=AREA_8_1, rod="1 in", place="0.1 m", stroke="4 m",
                       displacement="4.899 in3/rev", cylinder=worn)  # fmt: skip
    session = drive(begin(unyielding(rig)))
    pressure = mean(session, lambda s: s.readings.pressure("P1"))
    delivery = -session.readings.flow("0P1", "P")
    check("C12", "pressure [psi]", show(pressure, "psi"), 1000, 0.004)
    check("C12", "speed [ft/s]", show(speed(session, "rod1"), "ft/s"), 1.0, 0.004)
    check("C12", "flow of the pump [gpm]", show(delivery, "gpm"), 25.4, 0.004)
    paid, useful = show(pressure * delivery, "hp"), show(power(session, "1W2"), "hp")
    check("C12", "power of the pump [hp]", paid, 14.8, 0.004)
    check("C12", "power at the load [hp]", useful, 14.5, 0.004)
    check("C12", "efficiency of the cylinder", useful / paid, 0.98, 0.005)


@pytest.mark.soak
def test_c15_line_and_cylinder() -> None:
    """SUL Ex 8.2, p. 173: 25 gpm run at 15.048 ft/s in 0.533 in2, and a piston of 12.56 in2 at 38.316 ft/min."""
    rig = one_cylinder("C15", way="extend", load="1000 lbf", bore="3.998993 in", rod="1 in", place="0.1 m",
                       displacement="4.8125 in3/rev")  # fmt: skip
    session = drive(begin(unyielding(rig)))
    check("C15", "piston [ft/min]", 60 * show(speed(session, "rod1"), "ft/s"), 38.316, 0.001)
    velocity = session.readings.flow("1A1", "A") / (0.533 * si("1 in2"))
    check("C15", "oil in the line [ft/s]", show(velocity, "ft/s"), 15.048, 0.001)


def test_c16_areas() -> None:
    """A trade magazine's handbook, fig. 10-48: 2.5 in bore, 1.375 in rod: 4.91 and 3.43 in2."""
    rig = one_cylinder("C16", way="extend", load="0 lbf", bore="2.5 in", rod="1.375 in", displacement="1 in3/rev")
    readings = begin(rig).readings
    check("C16", "cap end [in2]", show(readings.value("1A1", "cap_area"), "in2"), 4.91, 0.002)
    check("C16", "rod end [in2]", show(readings.value("1A1", "rod_end_area"), "in2"), 3.43, 0.002)


def intensifier(title: str, large: str, small: str, parts: str, joins: str, more: str, **written: str) -> Rig:
    """Return a rig in which a large piston drives a small one, whose oil goes into a line Y of its own."""
    return supplied(
        title,
        f"""
1A1 = {{ $cylinder, $held, bore = "{large}", rod = "5 mm", stroke = "2 m" }}
2A1 = {{ $cylinder, $held, bore = "{small}", rod = "2 mm", stroke = "2 m" }}
1W1 = {{ $carriage }}
{parts}
""",
        f"""
P1 = ["0P1.P", "0V1.P", "1A1.A"]
Y = ["2A1.B", {joins}]
rod1 = ["1A1.rod", "2A1.rod", "1W1.rod"]
{more}
""",
        '1W1.x = "0.1 m"\n',
        **written,
    )


@pytest.mark.soak
def test_c17_intensifier() -> None:
    """ESP Ex 11-1, p. 409: 500 psi and 20 gpm on five times the area: 2500 psi and 4 gpm."""
    rig = intensifier(
        "C17", "100 mm", "44.766056 mm",  # its ring, less a rod of 2 mm, is a fifth
        '2V1 = { is = "ReliefValve", setting = "2500 psi", override = "1 %", rated_flow = "4 gpm" }',
        '"2V1.P"', 'T = ["0V1.T", "0Z1.T", "1A1.B", "2A1.A", "2V1.T"]', displacement="3.85 in3/rev",
    )  # fmt: skip
    session = drive(begin(unyielding(rig)))
    pressure = mean(session, lambda s: s.readings.pressure("P1"))
    check("C17", "pressure in [psi]", show(pressure, "psi"), 500, 0.005)
    check("C17", "pressure out [psi]", show(session.readings.pressure("Y"), "psi"), 2500, 0.002)
    check("C17", "flow out [gpm]", show(session.readings.flow("2V1", "P"), "gpm"), 4, 0.005)


@pytest.mark.soak
def test_c03_booster() -> None:
    """ESP Ex 3-6, p. 91: 100 psi on 20 in2 press with 1 in2 on oil, which presses with 25 in2: 50 000 lb.

    There air drives the booster; here oil at the same pressure does.
    """
    rig = intensifier(
        "C03", "5.0462650 in", "1.1311182 in",  # 20 in2, and 1 in2 beside a rod of 2 mm
        """
3A1 = { $cylinder, $held, bore = "5.6418958 in", rod = "2 in", stroke = "200 mm" }
3W1 = { $carriage }
3W2 = { is = "Wall", gap = "5 mm", rate = "1e9 N/m" }
""",
        '"3A1.A"', 'T = ["0V1.T", "0Z1.T", "1A1.B", "2A1.A", "3A1.B"]\nrod3 = ["3A1.rod", "3W1.rod", "3W2.rod"]',
        displacement="3.85 in3/rev", setting="100 psi", rated="20 gpm",
    )  # fmt: skip
    session = drive(begin(unyielding(rig)), seconds=4.0)
    force = mean(session, lambda s: s.readings.value("3W2", "force"))
    check("C03", "force of the booster [lbf]", show(force, "lbf"), 50000, 0.005)
