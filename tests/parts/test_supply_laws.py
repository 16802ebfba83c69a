"""What supplies: pump, crank, drive, coupling, tank, by points that a mechanic can check with a pencil."""

from __future__ import annotations

import math
from typing import Any

import pytest
from battery import TRADE_OIL, evaluate

from trainer.parts.oil import Properties
from trainer.parts.part import Part
from trainer.parts.reservoir import Reservoir
from trainer.parts.supply import FixedPump, HandCrank, ShaftCoupling, SteadyDrive
from trainer.units import read

TURN = 2 * math.pi
IDEAL: dict[str, Any] = {"slip": 0.0, "viscous_drag": 0.0, "pressure_drag": 0.0, "breakaway": 0.0}


def rpm(number: float) -> float:
    """Return a speed [rad/s] from r/min."""
    return number * TURN / 60


def check_pump_ideal(part: type[Part]) -> None:
    """Course sheet on pumps (fluid-power exercise sheet 3): 12.5 cm3, 1450 r/min, 160 bar without losses."""
    found = evaluate(part, p={"P": 160e5}, speed={"shaft": rpm(1450)}, displacement="12.5 cm3/rev", **IDEAL)
    assert -found["into"]["P"] * 60e3 == pytest.approx(18.125, rel=1e-6)  # L/min at tank density
    assert found["into"]["S"] == -found["into"]["P"]
    assert found["into"]["shaft"] == pytest.approx(31.83, abs=0.005)  # N m
    assert found["value"]["power"] == pytest.approx(4833, abs=1)  # W


# Wilson (1946) with the data set of a gear pump, 12.6 cm3/rev at 35 mPa s: volumetric and mechanical efficiency
WILSON = [
    (600, 100, 0.932, 0.920), (600, 175, 0.881, 0.933), (1500, 100, 0.973, 0.898),
    (1500, 175, 0.952, 0.920), (2500, 100, 0.984, 0.875), (2500, 175, 0.971, 0.906),
]  # fmt: skip


def check_pump_efficiencies(part: type[Part]) -> None:
    """The table above; the drag film warms itself, which takes 9 % of the viscous drag at 35 mPa s."""
    for speed, bar, volumetric, mechanical in WILSON:
        d, w, drop = 12.6e-6 / TURN, rpm(speed), bar * 1e5
        found = evaluate(part, p={"P": drop}, speed={"shaft": w}, displacement="12.6 cm3/rev")
        assert -found["into"]["P"] / (d * w) == pytest.approx(volumetric, abs=6e-4)
        film = 8e4 * d * 0.035 * w * (1 - 1 / 1.1)
        assert d * drop / (found["into"]["shaft"] + film) == pytest.approx(mechanical, abs=6e-4)


def check_pump_compression(part: type[Part]) -> None:
    """Oil of a constant stiffness K pressed to p takes p^2 / 2K per volume (Merritt 1967): 36.7 W here."""
    stiff = Properties(870.0, 0.035, 1.5e9, 0.0, 1e-6, 45.0)
    found = evaluate(part, p={"P": 200e5}, speed={"shaft": rpm(1500)}, now=stiff, displacement="11 cm3/rev", **IDEAL)
    geometric = 11e-6 * 25
    assert found["heat"]["filling"] == pytest.approx(geometric * (200e5) ** 2 / (2 * 1.5e9), rel=0.02)


def test_pump_without_losses() -> None:
    check_pump_ideal(FixedPump)


def test_pump_efficiencies() -> None:
    check_pump_efficiencies(FixedPump)


def test_pump_compression() -> None:
    check_pump_compression(FixedPump)


def test_pump_torque_of_a_worked_example() -> None:
    """Esposito, Fluid Power with Applications, example 5.8: 5 in3 at 1000 psi take 795.8 lbf in in theory."""
    found = evaluate(FixedPump, p={"P": read("1000 psi", "pressure")}, displacement="5 in3/rev", **IDEAL)
    assert found["into"]["shaft"] / read("1 lbf in", "torque") == pytest.approx(795.8, abs=0.05)


@pytest.mark.parametrize(("kind", "left"), [("gear", 0.318), ("piston", 0.932)])
def test_a_gear_pump_cannot_be_cranked_by_hand(kind: str, left: float) -> None:
    """60 r/min against 100 bar: Wilson's slip leaves a gear pump a third of its oil, a piston pump nearly all."""
    found = evaluate(FixedPump, {"kind": kind}, p={"P": 100e5}, speed={"shaft": rpm(60)}, displacement="10 cm3/rev")
    assert -found["into"]["P"] * 60e6 / 600 == pytest.approx(left, abs=1e-3)


def test_pump_turns_the_other_way_and_leaks_at_rest() -> None:
    back = evaluate(FixedPump, speed={"shaft": -rpm(600)}, displacement="10 cm3/rev")
    assert back["into"]["P"] * 60e3 == pytest.approx(6.0, rel=1e-6)
    still = evaluate(FixedPump, p={"P": 100e5}, displacement="10 cm3/rev")
    assert still["into"]["P"] == pytest.approx(1.5e-8 * (10e-6 / TURN) * 100e5 / 0.035, rel=1e-3)


def test_cold_film_warms_itself() -> None:
    """At 3.9 Pa s the film counts as 0.32 Pa s: a cold pump is stiff, not seized."""
    cold = Properties(900.0, 3.9, 1.5e9, 10.0, 1e-4, -20.0)
    found = evaluate(FixedPump, speed={"shaft": rpm(2500)}, now=cold, displacement="11 cm3/rev")
    drag = 8e4 * 11e-6 / TURN * (3.9 / (1 + 3.9 / 0.35)) * rpm(2500) + 0.4
    assert found["into"]["shaft"] == pytest.approx(drag, rel=1e-3)
    assert 11 < found["into"]["shaft"] < 13


def crank(speed: float, asked: float = 90, **own: Any) -> dict[str, dict[str, float]]:
    """Return a crank's answer half way between its dead centres [speeds r/min]."""
    own.setdefault("angle", math.pi / 4)
    return evaluate(HandCrank, speed={"shaft": rpm(speed)}, speed_asked=rpm(asked), **own)


def test_crank_follows_the_cranking_line() -> None:
    """T = T0 (1 - w / w0), the line of arm-crank tests (form: Martin, Wagner, Coyle 1997): 60 N m, 22 rad/s."""
    assert crank(0)["value"]["torque"] == pytest.approx(60.0, abs=0.15)
    assert crank(60)["value"]["torque"] == pytest.approx(60 * (1 - TURN / 22), abs=0.15)
    assert crank(0, angle=0.0)["value"]["torque"] == pytest.approx(78.0, abs=0.15)  # with the arm's pull
    assert crank(0, angle=math.pi / 2)["value"]["torque"] == pytest.approx(42.0, abs=0.15)  # at a dead centre


def test_crank_gives_no_more_than_is_asked() -> None:
    """A governor of 20 N m per rad/s; at the speed asked for, and asked for nothing, there is no torque at all."""
    assert crank(60, 60)["value"]["torque"] == 0.0
    assert crank(60, 50)["value"]["torque"] == 0.0
    assert crank(0, 0)["value"]["torque"] == 0.0
    slower, slow = (crank(speed, 62)["value"]["torque"] for speed in (58, 59))
    assert slower - slow == pytest.approx(20 * rpm(1), rel=1e-6)
    assert slow == pytest.approx(20 * rpm(3), abs=1.2)


def test_crank_tires_above_a_steady_power_and_rests_below_it() -> None:
    """A reserve W' spent above a steady power (critical-power model): 6 kJ above 40 W, back at half the rate."""
    working = crank(60)
    assert working["rate"]["spent"] == pytest.approx(working["value"]["power"] - 40.0, rel=1e-9)
    assert crank(60, 0, spent=3000.0)["rate"]["spent"] == pytest.approx(-20.0, rel=1e-9)
    assert crank(0, spent=5100.0)["value"]["torque"] == pytest.approx(60.0, abs=0.15)  # 85 % spent: still strong
    assert crank(0, spent=6000.0)["value"]["torque"] == pytest.approx(0.14 * 60.0, abs=0.15)
    assert crank(0, spent=0.0, asked=0)["rate"]["spent"] == 0.0


def test_drive_holds_its_speed_whatever_it_drives() -> None:
    at_speed: dict[str, Any] = {"setting": rpm(1500), "turning": rpm(1500)}
    found = evaluate(SteadyDrive, given={"shaft": -30.0}, inertia={"shaft": 0.1}, **at_speed)
    assert found["value"]["torque"] == pytest.approx(30.0)
    assert found["supply"]["drive"] == pytest.approx(30.0 * rpm(1500))
    slow = evaluate(SteadyDrive, inertia={"shaft": 0.1}, setting=10.0, turning=0.0)
    assert slow["rate"]["turning"] == pytest.approx(10.0 / 0.05)
    assert slow["value"]["torque"] == pytest.approx(0.1 * 200)


def test_coupling_winds_up_then_slips_at_its_grip() -> None:
    """A torsion spring of 200 N m per 3 degrees that holds to 85 % of its grip and never gives more than it."""
    wind = math.radians(3)
    wound = evaluate(ShaftCoupling, speed={"1": 1.0, "2": 1.0}, twist=0.5 * wind)
    assert wound["into"]["1"] == pytest.approx(100.0) == -wound["into"]["2"]
    assert wound["heat"]["coupling"] == 0.0
    holding = evaluate(ShaftCoupling, speed={"1": 10.0}, twist=0.85 * wind)
    assert holding["rate"]["twist"] == pytest.approx(10.0)
    slipping = evaluate(ShaftCoupling, speed={"1": 10.0}, twist=wind)
    assert slipping["rate"]["twist"] == pytest.approx(0.0, abs=1e-12)
    assert slipping["into"]["1"] == pytest.approx(200.0)
    assert slipping["heat"]["coupling"] == pytest.approx(2000.0)
    back = evaluate(ShaftCoupling, speed={"1": -10.0}, twist=wind)
    assert back["rate"]["twist"] == pytest.approx(-10.0)  # it comes off its stop at once


def test_tank_counts_its_oil_and_cools() -> None:
    """25 L of oil behind 0.55 m2 at 12 W/m2 K: 400 W stand 61 K above the air (heat balance by hand)."""
    found = evaluate(Reservoir, given={"S": -3e-4, "T": 2e-4}, volume="25 L", cooling="6.6 W/K", steel="20 kg",
                     ambient=TRADE_OIL.temperature - 400 / 6.6)  # fmt: skip
    assert found["rate"]["content"] == pytest.approx(-1e-4)
    assert found["value"]["heat_to_air"] == pytest.approx(400.0)
    assert found["value"]["heat_capacity"] == pytest.approx(0.025 * 870 * 1900 + 20 * 480)
