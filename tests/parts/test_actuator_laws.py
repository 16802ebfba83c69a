"""Cylinders beside the usual one, rotary actuators, motors that change, brakes, testers: points to check by hand.

Areas, volumes and torques are those of any textbook of fluid power: F = p A, q = A v, T = dp D.
"""

from __future__ import annotations

import math
from typing import Any

import pytest
from battery import evaluate

from trainer.parts.cushion import CushionedCylinder
from trainer.parts.cylinder import DoubleRodCylinder
from trainer.parts.loads import Turntable
from trainer.parts.motors import TwoSpeedMotor, VariableMotor
from trainer.parts.part import Part
from trainer.parts.rams import PlungerCylinder, SingleActingCylinder, SpringReturnCylinder, TelescopicCylinder
from trainer.parts.rotary import RotaryActuator, SwingBrake
from trainer.parts.telescopes import DoubleActingTelescopicCylinder
from trainer.parts.testers import FlowTester, MeasuringCup

FRICTIONLESS: dict[str, Any] = {f"{kind}_friction": 0.0 for kind in ("kinetic", "viscous", "pressure")}
TURN = 2 * math.pi


def push(part: type[Part], bar: float, place: float = 0.1, **own: Any) -> float:
    """Return the force [N] with which oil at A pushes a rod out, without friction."""
    return -evaluate(part, p={"A": bar * 1e5}, place={"rod": place}, **FRICTIONLESS, **own)["into"]["rod"]


def test_a_cushion_is_an_orifice_that_closes() -> None:
    """2 and 0.2 mm2 at the end: 0.7 A sqrt(2 dp/rho) at 100 bar and 870 kg/m3 is 14.0 L/min; 117.2 mm2 before it."""
    left = {"end": 0.0, "half": 0.015, "before": 0.1}
    found = {
        where: evaluate(CushionedCylinder, p={"ring": 100e5}, place={"rod": 0.5 - away})
        for where, away in left.items()
    }
    area = {where: answer["value"]["ring_open"] * 1e6 for where, answer in found.items()}
    assert area["end"] == pytest.approx(2.2, abs=0.1)
    assert area["half"] == pytest.approx(2.2 + 7.5, abs=0.1)
    assert area["before"] == pytest.approx(117.2, abs=0.1)
    by_hand = 0.7 * area["end"] * 1e-6 * math.sqrt(2 * 100e5 / 870)
    assert -found["end"]["stream"]["cushion_ring"] == pytest.approx(by_hand, rel=1e-3)
    assert by_hand * 60e3 == pytest.approx(14.0, abs=0.7)
    assert found["end"]["stream"]["check_ring"] == 0.0


def test_a_cushion_lets_oil_in_behind_the_piston() -> None:
    """At a start from the end, 10 bar more outside open the check: 20 mm2 beside the screw's 2.2."""
    found = evaluate(CushionedCylinder, p={"A": 10e5}, place={"rod": 0.0})["stream"]
    by_hand = 0.7 * 20e-6 * math.sqrt(2 * 10e5 / 870)
    assert found["check_cap"] == pytest.approx(by_hand, rel=1e-3)
    assert found["check_cap"] > 8 * found["cushion_cap"]


def test_a_rod_through_both_ends_pushes_alike() -> None:
    """80/45 mm: 34.36 cm2 both ways; what goes in comes out."""
    value = evaluate(DoubleRodCylinder, place={"rod": 0.25})["value"]
    assert value["cap_area"] == value["rod_end_area"] == pytest.approx(34.361e-4, abs=5e-8)
    near, far = (evaluate(DoubleRodCylinder, place={"rod": x})["volume"] for x in (0.2, 0.3))
    assert far["A"] - near["A"] == pytest.approx(near["B"] - far["B"], rel=1e-12)


def test_cylinders_that_oil_drives_one_way() -> None:
    """100 bar on 80 mm: 50.27 kN, on a plunger of 60 mm: 28.27 kN; a spring of 400 N and 2 N/mm takes 600 N."""
    assert push(SingleActingCylinder, 100) == pytest.approx(50265, abs=1)
    assert push(PlungerCylinder, 100) == pytest.approx(28274, abs=1)
    assert push(SingleActingCylinder, 100) - push(SpringReturnCylinder, 100) == pytest.approx(600.0, abs=1e-6)
    home = evaluate(SpringReturnCylinder, place={"rod": 0.1}, **FRICTIONLESS)
    assert home["into"]["rod"] == pytest.approx(600.0)
    assert home["stored"]["spring"] == pytest.approx((400 + 600) / 2 * 0.1)
    drip = evaluate(SingleActingCylinder, p={"A": 100e5}, leakage=1e-13)["stream"]["past_piston"]
    assert drip * 60e6 == pytest.approx(60.0, abs=0.01)  # cm3/min


def test_a_telescope_comes_out_tube_by_tube() -> None:
    """100, 80, 60 mm are 78.5, 50.3, 28.3 cm2: 20 kN need 25.5, 39.8, 70.7 bar; all three hold 7.85 L over 1.5 m."""
    for place, bar in ((0.25, 25.46), (0.75, 39.79), (1.25, 70.74)):
        assert push(TelescopicCylinder, bar, place) == pytest.approx(20e3, rel=1e-3)
    empty, full = (evaluate(TelescopicCylinder, place={"rod": x})["volume"]["A"] for x in (0.0, 1.5))
    assert (full - empty) * 1e3 == pytest.approx((78.54 + 50.265 + 28.274) * 0.05, abs=2e-3)
    two = evaluate(TelescopicCylinder, {"tubes": "two"}, place={"rod": 0.7})["value"]
    assert two["tube"] == pytest.approx(0.1)


def test_a_telescope_that_oil_brings_home_pulls_with_its_rings() -> None:
    """100, 80, 60 mm and rings of a fifth: 15.7, 10.1, 5.65 cm2; 100 bar pull 15.7, 10.1, 5.65 kN and hold 1.57 L."""
    part = DoubleActingTelescopicCylinder
    for place, bar, ring in ((0.25, 25.46, 15.708), (0.75, 39.79, 10.053), (1.25, 70.74, 5.6549)):
        assert push(part, bar, place) == pytest.approx(20e3, rel=1e-3)
        home = evaluate(part, p={"B": 100e5}, place={"rod": place}, **FRICTIONLESS)
        assert home["into"]["rod"] == pytest.approx(ring * 1e3, rel=1e-4)
        assert home["value"]["rod_end_area"] == pytest.approx(ring * 1e-4, rel=1e-4)
    empty, full = (evaluate(part, place={"rod": x})["volume"] for x in (0.0, 1.5))
    assert (full["A"] - empty["A"]) * 1e3 == pytest.approx((78.54 + 50.265 + 28.274) * 0.05, abs=2e-3)
    assert (empty["B"] - full["B"]) * 1e3 == pytest.approx((78.54 + 50.265 + 28.274) * 0.05 / 5, abs=4e-4)


def test_a_shut_cap_end_multiplies_what_comes_in_at_the_rings() -> None:
    """No force at 100 bar in rings of a fifth is 20 bar at the cap end, and 20 at the rings 4: area ratio five."""
    for rings, cap in ((100e5, 20e5), (20e5, 4e5)):
        held = evaluate(DoubleActingTelescopicCylinder, p={"A": cap, "B": rings}, place={"rod": 0.7}, **FRICTIONLESS)
        assert held["into"]["rod"] == pytest.approx(0.0, abs=1e-6)


def test_a_rotary_actuator_is_a_motor_between_stops() -> None:
    """1500 cm3/rev and 100 bar: 2387 N m; half a turn takes 0.75 L."""
    own: dict[str, Any] = {"pressure_drag": 0.0, "breakaway": 0.0, "viscous_drag": 0.0}
    found = evaluate(RotaryActuator, p={"A": 100e5}, turned=1.0, **own)
    assert -found["into"]["shaft"] == pytest.approx(2387.3, abs=0.1)
    first, last = (evaluate(RotaryActuator, turned=x)["volume"]["A"] for x in (0.0, math.pi))
    assert (last - first) * 1e3 == pytest.approx(0.75, abs=1e-6)
    stands = evaluate(RotaryActuator, p={"A": 100e5}, turned=math.pi + 0.8e-4, **own)
    assert stands["value"]["end"] == pytest.approx(2387.3, rel=0.05)  # 2/5 of what 250 bar press in


def test_half_the_displacement_twice_the_speed_half_the_torque() -> None:
    """Esposito, example 7.6, in its fast step: 82 of 164 cm3 and 70 bar are 91.4 N m."""
    losses = ("leakage", "viscous_drag", "pressure_drag", "starting_drag", "breakaway")
    ideal: dict[str, Any] = {**dict.fromkeys(losses, 0.0), "displacement": "164 cm3/rev"}
    for share, torque in ((1.0, 182.7), (0.0, 91.35)):
        found = evaluate(TwoSpeedMotor, p={"A": 70e5}, speed={"shaft": 100.0}, share=share, **ideal)
        assert -found["into"]["shaft"] == pytest.approx(torque, abs=0.1)
        assert found["into"]["A"] == pytest.approx(100.0 * torque / 70e5, rel=0.01)
    assert evaluate(TwoSpeedMotor, share=1.0, shift=1.0)["rate"]["share"] == pytest.approx(-1 / 0.15)


def test_a_variable_motor_takes_more_as_the_pressure_rises() -> None:
    """Asked for the small one: at 200 bar it begins to grow, at 240 it wants all."""
    wants = {
        bar: evaluate(VariableMotor, p={"A": bar * 1e5}, asked=0.0, share=0.0)["rate"]["share"] * 0.15
        for bar in (150, 220, 260)
    }
    assert wants[150] == pytest.approx(0.0, abs=1e-3)
    assert wants[220] == pytest.approx(0.5, abs=0.01)
    assert wants[260] == 1.0


def test_a_brake_holds_by_its_springs_and_lets_go_by_pressure() -> None:
    """300 N m without oil, half of it half-way from 10 to 20 bar, 1 % when it is open; worn by half, half of it."""
    limits = [evaluate(SwingBrake, p={"X": bar * 1e5})["value"]["limit"] for bar in (0, 15, 30)]
    assert limits == pytest.approx([300.0, 151.5, 3.0], abs=0.1)
    assert evaluate(SwingBrake, worn="50 %")["value"]["limit"] == pytest.approx(150.0)
    held = evaluate(SwingBrake, wound="0.04 deg")
    assert held["value"]["torque"] == pytest.approx(240.0)
    assert held["rate"]["wound"] == 0.0
    drags = [
        evaluate(SwingBrake, p={"X": 30e5}, dragging=k)["value"]["limit"] for k in ("1 %", "5 %", "15 %", "40 %")
    ]
    assert drags == sorted(drags)
    assert drags[-1] == pytest.approx(120.0)


def test_a_turntable_gains_speed_by_torque_over_inertia() -> None:
    """200 kg m2 and 100 N m: 0.5 rad/s2; on a slope of 60 N m, a quarter turn on, 0.2."""
    level = evaluate(Turntable, given={"shaft": 100.0}, drag=0.0)
    assert level["rate"]["turning"] == pytest.approx(0.5)
    across = evaluate(Turntable, given={"shaft": 100.0}, drag=0.0, slope=60.0, turned=math.pi / 2)
    assert across["rate"]["turning"] == pytest.approx(0.2)
    assert across["stored"]["height"] == pytest.approx(60.0)


def test_a_tester_loads_as_an_orifice_and_saves_itself() -> None:
    """60 mm2 at a tenth: 6 mm2 and 0.65 pass 35.5 L/min at 100 bar; its disc passes nothing below 300 bar."""
    loaded = evaluate(FlowTester, p={"1": 100e5}, opening=0.1)
    by_hand = 0.65 * 6e-6 * math.sqrt(2 * 100e5 / 870)
    assert loaded["value"]["flow"] == pytest.approx(by_hand, rel=0.02)
    assert loaded["value"]["burst"] == 0.0
    assert evaluate(FlowTester, p={"1": 330e5}, opening=0.0)["value"]["burst"] * 60e3 == pytest.approx(
        100.0, rel=0.02
    )


def test_a_cup_keeps_what_comes_in_until_its_cock_opens() -> None:
    """580 cm3/min for a minute are 580 cm3; an open cock lets go half of what stands in it a second, at first."""
    fills = evaluate(MeasuringCup, given={"1": 580e-6 / 60})
    assert fills["rate"]["content"] * 60e6 == pytest.approx(580.0)
    assert fills["into"]["2"] == 0.0
    emptied = evaluate(MeasuringCup, content=400e-6, cock=1.0)
    assert -emptied["rate"]["content"] * 1e6 == pytest.approx(200.0)
    assert emptied["into"]["2"] == pytest.approx(emptied["rate"]["content"])
    assert evaluate(MeasuringCup, content=1.2e-3)["rate"]["content"] < 0.0  # runs over
