"""Motion and pressure over time where there is a closed form: ring, filling, draining, drift.

Ids B1, B24 … are those of the modelling sheet's benchmarks. Analytic results, computed; B1 is printed on a page
on hydraulic natural frequency (77.033 Hz).
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest

from trainer.engine.session import Session
from trainer.rig.rig import Rig

from .printed import check
from .rigs import Numbers, begin, closed_in, oil_springs, sample, show, si, supplied, unyielding


def scaled(rig: Rig, times: float) -> Rig:
    """Return a rig with an oil of so many times 1.2 GPa; its line must hold as many litres.

    The closed forms know only the ratio of volume and stiffness, that of 1 L and 1.2 GPa, have no air and count
    oil at the pressure it has. The program counts it at tank density, which a stiffer oil makes the same; the
    0.01 % of air that it keeps grows with the volume. Between the two stands what is chosen.
    """
    return replace(rig, oil=replace(rig.oil, stiffness=times * 1.2e9))


def when(times: Numbers, values: Numbers, level: float) -> float:
    """Return the time at which a value that only rises or only falls passes a level."""
    sign = 1.0 if values[-1] > values[0] else -1.0
    return float(np.interp(sign * level, sign * values, times))


def test_b1_natural_frequency_of_a_mass_between_two_oil_columns() -> None:
    """Bore 4 in, rod 2.5 in, stroke 12 in, middle, 1000 lb, 180 000 psi: 77.030 Hz, by zero crossings of the speed.

    Two check valves let the pump fill both ends; the rod, begun a little off, ends in the middle. Then 2 kN strike.
    """
    rig = oil_springs(
        "B1",
        mass=f"{si('1000 lb') - 2:.6f} kg",
        place="149.35 mm",
        stiffness=f"{si('180000 psi') / 1e9:.9f} GPa",
        displacement="10 cm3/rev",
        setting="150 bar",
        rated="12 L/min",
    )
    session = begin(rig)
    session.set_control("0M1.setting", si("1200 r/min"))
    session.advance(2.0, 0.02)
    session.set_control("0M1.setting", 0.0)
    session.advance(0.5)
    session.set_parameter("0V1.setting", si("50 bar"))
    session.advance(0.5)
    assert session.readings.place("rod1") == pytest.approx(si("6 in"), abs=2e-4)
    assert session.readings.pressure("P1") < si("60 bar"), "the check valves are to stay shut"
    session.set_parameter("1A1.viscous_friction", 0.0)
    session.set_parameter("1W2.force", 2000.0)
    times, speeds = sample(session, lambda s: s.readings.speed("rod1"), 0.5, 5e-4)
    up = np.flatnonzero((speeds[:-1] < 0) & (speeds[1:] >= 0))
    crossings = times[up] - speeds[up] * (times[up + 1] - times[up]) / (speeds[up + 1] - speeds[up])
    frequency = (len(crossings) - 1) / (crossings[-1] - crossings[0])
    assert len(crossings) > 30
    check("B1", "natural frequency [Hz]", float(frequency), 77.030)


def test_b24_pump_into_a_volume_with_a_relief() -> None:
    """1 L, 1.2 GPa, 40 L/min, relief from 17 MPa on at 4.4444e-10 m3/s/Pa: cracks at 21.250 ms, ends at 18.5 MPa.

    After a further 1.875 ms 17.9482 MPa. The closed form has a straight relief; ours bends with the root of the
    pressure, 2 % over this rise, and meets it at both ends. It has no air; so the clock goes by the gauge at
    5 MPa, 6.25 ms after the start.
    """
    rig = supplied(
        "B24",
        "",
        'P1 = { joins = ["0P1.P", "0V1.P"], volume = "9994 cm3" }\nT = ["0V1.T", "0Z1.T"]\n',
        displacement="40 cm3/rev",
        turning="1000 r/min",
        pump_gallery="5 cm3",
        setting="185 bar",
        override="8.108108 %",
        rated="40 L/min",
    )
    times, pressures = sample(begin(scaled(rig, 10)), lambda s: show(s.readings.pressure("P1"), "MPa"), 0.06, 1e-4)
    start = when(times, pressures, 5.0) - 6.25e-3
    check("B24", "relief cracks at [ms]", 1e3 * (when(times, pressures, 17.0) - start), 21.250)
    check("B24", "pressure 1.875 ms later [MPa]", float(np.interp(start + 23.125e-3, times, pressures)), 17.9482)
    check("B24", "pressure at the end [MPa]", float(pressures[-1]), 18.5)


def test_b25_volume_drains_through_an_orifice() -> None:
    """1 L, 1.2 GPa, 10 MPa, orifice 1 mm2 of 0.65, 870 kg/m3: root of p falls straight, empty at 0.169114 s.

    At half that time 2.5 MPa. The clock goes from the moment the gauge passes 10 MPa; the end is where the
    straight line through the roots from 10 to 3 MPa meets zero, for air and laminar flow round the very end.
    """
    rig = supplied(
        "B25",
        '1V1 = { is = "Orifice", diameter = "1.128379167 mm", transition = "1e-4 bar", gallery = "1 cm3" }',
        'P1 = { joins = ["0P1.P", "0V1.P", "1V1.1"], volume = "2993 cm3" }\nT = ["0V1.T", "0Z1.T", "1V1.2"]\n',
        displacement="10 cm3/rev",
        density="870 kg/m3",
        lag="1 ms",
        pump_gallery="5 cm3",
        setting="106 bar",
        rated="10 L/min",
    )
    session = begin(scaled(rig, 3))
    session.set_control("0M1.setting", si("2000 r/min"))
    session.advance(1.0)
    session.set_control("0M1.setting", 0.0)
    times, pressures = sample(session, lambda s: show(s.readings.pressure("P1"), "MPa"), 0.17, 1e-3)
    assert pressures[0] > 10
    start = when(times, pressures, 10.0)
    roots = (pressures < 10) & (pressures > 3)
    slope, offset = np.polyfit(times[roots], np.sqrt(pressures[roots]), 1)
    check("B25", "empty after [ms]", 1e3 * float(-offset / slope - start), 169.114)
    check("B25", "2.5 MPa after [ms]", 1e3 * (when(times, pressures, 2.5) - start), 84.557)


def sinks(session: Session, leak: Callable[[], None]) -> float:
    """Return by how much the rod 1 sinks in a minute [mm] once a leak is opened."""
    leak()
    session.advance(1.0, 0.5)
    before = session.readings.place("rod1")
    session.advance(60.0, 0.5)
    return 1e3 * (before - session.readings.place("rod1"))


DRIFT = {"force": "52.5 kN", "bore": "90 mm", "dead": "40 cm3", "stroke": "500 mm", "place": "300 mm"}


def test_b26_drift_past_the_piston() -> None:
    """52.5 kN on 63.617 cm2, leak 1e-13 m3/s/Pa past the piston: 7.78 mm a minute (analytic)."""
    session = begin(unyielding(closed_in("B26", rod="45 mm", **DRIFT)), 2.0)
    found = sinks(session, lambda: session.set_parameter("1A1.leakage", 1e-13))
    check("B26", "drift by the piston's leak [mm/min]", found, 7.78)


def test_b26_drift_through_the_spool() -> None:
    """The same load over a spool that leaks 5 cm3 a minute: 0.79 mm a minute (analytic, two figures).

    The rod end is open to the tank, so that nothing but the leak holds the rod.
    """
    rig = supplied(
        "B26",
        """
1V1 = { is = "OpenCentreSection", leakage = "0 m3/s/Pa", rated_flow = "40 L/min" }
1A1 = { $cylinder, viscous_friction = "1e4 N s/m", bore = "90 mm", rod = "45 mm", stroke = "500 mm" }
1W1 = { $carriage }
1W2 = { is = "ConstantForce", force = "52.5 kN", mass = "1 kg" }
""",
        """
P1 = ["0P1.P", "0V1.P", "1V1.C", "1V1.P"]
A1 = ["1V1.A", "1A1.A"]
T = ["0V1.T", "0Z1.T", "1V1.T", "1V1.C1", "1V1.B", "1A1.B"]
rod1 = ["1A1.rod", "1W1.rod", "1W2.rod"]
""",
        '1W1.x = "300 mm"\n',
        displacement="10 cm3/rev",
    )
    session = begin(unyielding(rig), 2.0)
    per_pascal = si("5 cm3/min") / session.readings.pressure("A1")
    found = sinks(session, lambda: session.set_parameter("1V1.leakage", per_pascal))
    check("B26", "drift by the spool's leak [mm/min]", found, 0.79, within=0.005)
