"""What is said of a prime mover: in its own words, and only when it cannot keep up."""

from __future__ import annotations

import math

import pytest

from trainer import resources
from trainer.engine.session import Session
from trainer.rig.file import loads
from trainer.rig.rig import Rig

RPM = math.pi / 30


@pytest.mark.soak
def test_a_diesel_at_full_load_keeps_up(loader: Rig) -> None:
    """A governor holds the speed that is set at full load, and its droop more without load: neither is a fault."""
    session = Session(loader)
    session.set_parameter("0V1.setting", 280e5)
    session.set_parameter("2V0.setting", 280e5)
    session.set_parameter("0P1.displacement", 19e-6 / (2 * math.pi))
    session.set_control("3V1.lever", 1.0)
    session.advance(9.0)
    full = session.readings
    assert full.value("0M1", "effort") > 0.85
    assert full.speed("engine") > 1800 * RPM
    assert session.notice == ""


@pytest.mark.soak
def test_a_diesel_says_that_it_is_pulled_down_and_that_it_has_stalled(loader: Rig) -> None:
    session = Session(loader)
    session.set_parameter("0V1.setting", 350e5)
    session.set_parameter("2V0.setting", 350e5)
    session.set_control("3V1.lever", 1.0)
    said = []
    for displacement in (17, 19, 21, 23, 25, 30, 40, 60):
        session.set_parameter("0P1.displacement", displacement * 1e-6 / (2 * math.pi))
        for _ in range(12):
            session.advance(0.25)
            if session.notice and session.notice not in said:
                said.append(session.notice)
    assert len(said) == 2
    assert "below the speed it is set to" in said[0]
    assert "has stalled" in said[1]
    assert not any("crank" in words for words in said)


@pytest.mark.soak
def test_nothing_is_said_of_a_diesel_that_speeds_up(loader: Rig) -> None:
    session = Session(loader)
    session.set_control("0M1.speed_asked", 900 * RPM)
    session.advance(3.0)
    session.set_control("0M1.speed_asked", 2500 * RPM)
    consumptions = []
    for _ in range(60):
        session.advance(1 / 30)
        consumptions.append(session.readings.value("0M1", "effort"))
        assert session.notice == ""
    assert max(consumptions) > 0.97


def test_an_induction_motor_says_that_it_has_stalled() -> None:
    """Its breakdown torque of 2.5 times 6 N m is less than the 24 N m of 10 cm3/rev at 150 bar."""
    text = resources.path("rigs/one-spool-bench.toml").read_text("utf-8")
    text = text.replace('0M1 = { is = "HandCrank" }', '0M1 = { is = "InductionMotor", rated_torque = "6 N m" }')
    text = text.replace('rated_flow = "1 L/min"', 'rated_flow = "40 L/min"').replace(
        'bore = "6 mm"', 'bore = "12 mm"'
    )
    text = text.replace('0M1.speed_asked = "60 r/min"', "0M1.switched = 1")
    text = text.replace('"0M1.speed_asked" = "60 r/min"', '"0M1.switched" = "1"')
    session = Session(loads(text, "an electric bench"))
    assert session.readings.speed("crank") > 1300 * RPM
    assert session.notice == ""
    session.set_control("1V1.lever", 1.0)
    session.advance(6.0)
    assert session.readings.speed("crank") < 750 * RPM
    assert session.readings.value("0M1", "effort") < 0.9
    assert session.notice.startswith("Induction motor 0M1: has stalled")
