"""Pumps: delivery, slip and the flow test of the workshop.

SUL as in test_cylinders. K rows are common practice, no source.
"""

from __future__ import annotations

import pytest

from trainer.engine.session import Session
from trainer.rig.rig import Rig

from .printed import check
from .rigs import begin, drive, restricted, show, si, supplied, unyielding

NU = "30 mm2/s"
WORN = 0.10  # TM 5-3825-226-24: a pump that loses more than this is not good enough


def on_the_tester(title: str, displacement: str) -> Rig:
    """Return a rig of a pump and a flow tester: a throttle by which it is loaded, read for flow and pressure."""
    tester = 'is = "Throttle", area = "1000 mm2", leakage = "0 m3/s/Pa"'
    return unyielding(restricted(title, tester, displacement=displacement, viscosity=NU))


def load_to(session: Session, pressure: float) -> float:
    """Close the tester until a pressure [Pa] is read; return the flow [m3/s] that it shows then."""
    shut, open_ = 0.0, 1.0
    for _ in range(34):
        middle = (shut + open_) / 2
        session.set_control("1V1.opening", middle)
        session.advance(0.05, 0.05)
        if session.readings.pressure("P1") < pressure:
            open_ = middle
        else:
            shut = middle
    assert session.readings.pressure("P1") == pytest.approx(pressure, rel=1e-4)
    return session.readings.flow("1V1", "1")


def calibrate(session: Session, pressure: float, flow: float) -> float:
    """Find the slip with which the tester shows a flow [m3/s] at a pressure [Pa]; return the flow without load."""
    without_load = session.readings.flow("1V1", "1")
    ideal = load_to(session, pressure)
    slip = 1e-8
    for _ in range(2):  # the law is a straight line: the second time changes nothing
        session.set_parameter("0P1.slip", slip)
        slip *= (ideal - flow) / (ideal - load_to(session, pressure))
    session.set_parameter("0P1.slip", slip)
    return without_load


def test_p11_volumetric_efficiency() -> None:
    """SUL Ex 7.2, p. 137: 52 gpm of 3.75 in3/rev at 3300 r/min are 97.067 %; the load is ours, 2000 psi."""
    session = drive(begin(on_the_tester("P11", "3.75 in3/rev")), "3300 r/min")
    ideal = calibrate(session, si("2000 psi"), si("52 gpm"))
    found = load_to(session, si("2000 psi")) / ideal
    check("P11", "volumetric efficiency [%]", 100 * found, 97.067, 0.0001)


def test_p21_flow_meter_test() -> None:
    """B. Casey, Hydraulics & Pneumatics, 26 June 2023: 100 cm3/rev at 1000 r/min, 90 L/min at 207 bar: 90 %.

    Predicted with the slip found there: half the pressure, half the slip; half the speed, the same slip.
    """
    session = drive(begin(on_the_tester("P21", "100 cm3/rev")), "1000 r/min")
    ideal = calibrate(session, si("207 bar"), si("90 L/min"))
    check("P21", "theoretical flow [L/min]", show(ideal, "L/min"), 100)
    check("P21", "volumetric efficiency [%]", 100 * load_to(session, si("207 bar")) / ideal, 90)
    assert show(load_to(session, si("103.5 bar")), "L/min") == pytest.approx(95, rel=0.005)
    session.set_control("0M1.setting", si("500 r/min"))
    session.advance(1.0)
    assert show(load_to(session, si("207 bar")), "L/min") == pytest.approx(40, rel=0.005)


def test_f01_flow_loss_test() -> None:
    """US Army TM 5-3825-226-24, pump efficiency check: 57.5 gpm at 100 psi, 52.0 at 1000 psi, 2000 r/min.

    Loss 5.5 gpm or 9.5 % (a truncated 9.565); over 10 % is not good enough. The manual prints no displacement:
    6.71179 in3 lets a slip in proportion to the pressure meet both readings. The slip is found at 1000 psi alone.
    Predicted with it: the base flow, a reading between, and the same pump at half the speed, where the same
    gallons are missing and the share is twice as large: a test counts only at the speed it is printed for.
    """
    session = drive(begin(on_the_tester("F01", "6.7117917 in3/rev")), "2000 r/min")
    calibrate(session, si("1000 psi"), si("52 gpm"))
    base, between, loaded = (show(load_to(session, si(at)), "gpm") for at in ("100 psi", "550 psi", "1000 psi"))
    check("F01", "base flow at 100 psi, predicted [gpm]", base, 57.5)
    check("F01", "loss [gpm]", base - loaded, 5.5)
    check("F01", "loss [%]", 100 * (base - loaded) / base, 9.5, within=0.1)
    assert (base - loaded) / base < WORN
    assert between == pytest.approx((57.5 + 52.0) / 2, rel=0.005)

    session.set_control("0M1.setting", si("1000 r/min"))
    session.advance(1.0)
    slow, slow_loaded = (show(load_to(session, si(at)), "gpm") for at in ("100 psi", "1000 psi"))
    assert slow - slow_loaded == pytest.approx(5.5, rel=0.005)
    assert (slow - slow_loaded) / slow > 1.9 * WORN


def blowing(title: str, setting: str, gpm: str, speed: str, pump: str) -> Session:
    """Return a session in which all of a pump's oil goes over its relief."""
    lines = 'P1 = ["0P1.P", "0V1.P"]\nT = ["0V1.T", "0Z1.T"]\n'
    rig = supplied(title, "", lines, displacement=gpm, setting=setting, override="5 %", rated="1 gpm", pump=pump)
    return drive(begin(unyielding(rig)), speed)


IDEAL = 'is = "FixedPump", slip = 0, viscous_drag = 0, pressure_drag = "0 %", breakaway = "0 N m"'
GEAR = 'is = "FixedPump"'
GPM_1 = "0.1283333 in3/rev"  # at 1800 r/min


def test_k02_a_gallon_at_1500_psi_is_about_a_horsepower() -> None:
    """Common practice, no source (Flowprod and Hydrotech print the rule): 0.875 hp in the oil, 1 hp at the shaft."""
    oil = blowing("K02", "1500 psi", GPM_1, "1800 r/min", IDEAL).readings.value("0M1", "power")
    check("K02", "1 gpm at 1500 psi, power of the oil [hp]", show(oil, "hp"), 0.875)
    shaft = blowing("K02", "1500 psi", GPM_1, "1800 r/min", GEAR).readings.value("0M1", "power")
    check("K02", "the same at the shaft of a gear pump, a rule [hp]", show(shaft, "hp"), 1.0, 0.1)


def test_k03_delivery_follows_speed() -> None:
    """Common practice, no source: a pump of 4 gpm at 1200 r/min gives 1 gpm at 300; slip makes it less."""
    session = drive(begin(on_the_tester("K03", "0.77 in3/rev")), "1200 r/min")
    check("K03", "delivery at 1200 r/min [gpm]", show(session.readings.flow("1V1", "1"), "gpm"), 4)
    session.set_control("0M1.setting", si("300 r/min"))
    session.advance(1.0)
    ideal = session.readings.flow("1V1", "1")
    check("K03", "delivery at 300 r/min [gpm]", show(ideal, "gpm"), 1)
    session.set_parameter("0P1.slip", 1.5e-8)
    assert load_to(session, si("1000 psi")) < 0.98 * ideal


def test_k04_power_over_a_relief_at_750_psi() -> None:
    """Common practice, no source: 1 gpm over a 750 psi relief is 0.4376 hp (constant 1714; exact 0.4375)."""
    session = blowing("K04", "750 psi", GPM_1, "1800 r/min", IDEAL)
    heat = session.readings["heat", "0V1", "over_relief"]
    check("K04", "1 gpm over 750 psi [hp]", show(heat, "hp"), 0.4376)
    shaft = show(blowing("K04", "750 psi", GPM_1, "1800 r/min", GEAR).readings.value("0M1", "power"), "hp")
    assert shaft > 0.503, "a real pump takes more than the 0.503 hp of an efficiency of 0.87"
