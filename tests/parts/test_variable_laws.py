"""Variable pumps, by points that a mechanic can check with a pencil: margin, cut-off, torque limit, slip, standby."""

from __future__ import annotations

import math
from typing import Any

import pytest
from battery import evaluate

from trainer.engine.session import Session
from trainer.parts.variable import LoadSensingPump, PressureCompensatedPump
from trainer.rig import file as rig_file
from trainer.units import read

TURN = 2 * math.pi
IDEAL: dict[str, Any] = {"slip": 0.0, "viscous_drag": 0.0, "pressure_drag": 0.0, "breakaway": 0.0}
BAR = 1e5


def rpm(number: float) -> float:
    """Return a speed [rad/s] from r/min."""
    return number * TURN / 60


@pytest.mark.parametrize("part", [PressureCompensatedPump, LoadSensingPump])
def test_part_stroke_is_part_of_flow_and_torque(part: Any) -> None:
    """28 cm3 at 1500 r/min and half stroke: 21 L/min; at 160 bar 28 * 16 / 2 pi / 2 = 35.65 N m (theory by hand)."""
    found = evaluate(
        part,
        p={"P": 160 * BAR, "LS": 150 * BAR},
        speed={"shaft": rpm(1500)},
        displacement="28 cm3/rev",
        stroke=0.5,
        **IDEAL,
    )
    assert -found["into"]["P"] * 60e3 == pytest.approx(21.0, rel=1e-6)
    assert found["into"]["shaft"] == pytest.approx(35.65, abs=0.01)


def test_slip_leaves_by_the_case() -> None:
    """Wilson's slip, Cs V dp / 2 pi mu, all of it at the case drain: 0.92 L/min at 200 bar, 35 mPa s."""
    found = evaluate(PressureCompensatedPump, p={"P": 200 * BAR}, displacement="28 cm3/rev", stroke=0.0)
    drained = -found["into"]["L"]
    assert drained == pytest.approx(6e-9 * 28e-6 / TURN * 200 * BAR / 0.035, rel=1e-6)
    assert drained * 60e3 == pytest.approx(0.917, abs=1e-3)
    assert found["into"]["S"] == pytest.approx(0.0, abs=2e-8)


def growing(part: Any, stroke: float, p: dict[str, float], **own: Any) -> float:
    """Return how fast the stroke grows [1/s]; pressures in bar."""
    found = evaluate(part, p={port: value * BAR for port, value in p.items()}, stroke=stroke, **own)
    return found["rate"]["stroke"]


def test_compensator_rests_at_its_setting_and_moves_by_its_error() -> None:
    """1 bar over the setting, band 10 bar, lag 20 ms: the stroke falls by 1 / 10 / 0.02 = 5 a second."""
    assert growing(PressureCompensatedPump, 0.4, {"P": 210}) == pytest.approx(0.0, abs=1e-9)
    assert growing(PressureCompensatedPump, 0.4, {"P": 211}) == pytest.approx(-5.0, rel=1e-9)
    assert growing(PressureCompensatedPump, 1.0, {"P": 100}) == pytest.approx(0.0, abs=1e-9)  # on its full stop
    assert growing(PressureCompensatedPump, 0.0, {"P": 400}) == pytest.approx(0.0, abs=1e-9)  # on its small stop
    assert growing(PressureCompensatedPump, 0.4, {"P": 211}, sticking=0.3) == pytest.approx(-1 / 3, rel=1e-9)


def test_load_sensing_keeps_its_margin_below_the_cut_off() -> None:
    """Outlet = told load + 21 bar, at most 210 bar; with nothing told it stands by at 21 bar."""
    for told, outlet in ((0, 21), (80, 101), (180, 201), (205, 210)):
        at_rest: dict[str, float] = {"LS": told, "P": outlet}
        assert growing(LoadSensingPump, 0.4, at_rest) == pytest.approx(0.0, abs=0.02), told
        assert growing(LoadSensingPump, 0.4, at_rest | {"P": outlet - 2}) > 6
        assert growing(LoadSensingPump, 0.4, at_rest | {"P": outlet + 2}) < -6


def test_torque_limit_takes_the_stroke_by_pressure() -> None:
    """60 N m and 28 cm3 allow 60 * 2 pi / 28 cm3 = 134.6 bar at full stroke, and two thirds of it at 202 bar."""
    share = 60 * TURN / 28e-6 / (202 * BAR)
    assert share == pytest.approx(2 / 3, abs=1e-3)
    told: dict[str, Any] = {"p": {"P": 202, "LS": 180.0}, "torque_limit": "60 N m", "displacement": "28 cm3/rev"}
    assert growing(LoadSensingPump, share * 1.002, **told) < 0
    assert growing(LoadSensingPump, share * 0.95, **told | {"p": {"P": 200, "LS": 180.0}}) > 0
    freely = told | {"p": {"P": 130, "LS": 120.0}}
    assert growing(LoadSensingPump, 0.99, **freely) > 0


def test_weak_margin_plugged_line_and_stuck_compensator_are_what_the_gauges_say() -> None:
    """Half a spring: standby at half of 21 bar. Plugged by 30 %: 80 bar told are 56. Stuck: no less, no more."""
    assert growing(LoadSensingPump, 0.4, {"LS": 0, "P": 10.5}, fatigue="50 %") == pytest.approx(0.0, abs=0.02)
    assert growing(LoadSensingPump, 0.4, {"LS": 80, "P": 77}, plugging="30 %") == pytest.approx(0.0, abs=0.02)
    for part in (PressureCompensatedPump, LoadSensingPump):
        assert growing(part, 0.5, {"P": 400}, hung_up="50 %") == pytest.approx(0.0, abs=1e-9)
        assert growing(part, 0.4, {"P": 10, "LS": 100}, held_back="60 %") == pytest.approx(0.0, abs=1e-9)


def test_what_takes_the_stroke_back_is_oil_of_the_outlet() -> None:
    """28 cm3, a piston of 20 % of that: 5.6 cm3 a stroke; at 5 strokes a second 28 cm3/s go from outlet to case."""
    found = evaluate(PressureCompensatedPump, p={"P": 211 * BAR}, stroke=0.4)["stream"]
    assert found["stroking"] * 1e6 == pytest.approx(28.0, rel=5e-3)
    assert evaluate(PressureCompensatedPump, p={"P": 209 * BAR}, stroke=0.4)["stream"]["stroking"] == 0.0


SECTION = """
format = 1
title = "A load-sensing pump and one section"
[oil]
warms = false
[parts]
0Z1 = {{ is = "Reservoir" }}
0M1 = {{ is = "SteadyDrive" }}
0P1 = {{ is = "LoadSensingPump", piston = "{piston}" }}
1V1 = {{ is = "LoadSensingSection" }}
1V2 = {{ is = "Orifice", diameter = "1.5 mm" }}
[lines]
m = ["0M1.shaft", "0P1.shaft"]
S = ["0Z1.S", "0P1.S"]
P = {{ joins = ["0P1.P", "1V1.P"], hose = "4 m", bore = "12.7 mm" }}
LS = {{ joins = ["0P1.LS", "1V1.LS"], hose = "4 m", bore = "4 mm" }}
A = ["1V1.A", "1V2.1"]
B = ["1V1.B"]
T = ["1V2.2", "1V1.T", "0P1.L", "0Z1.T"]
[start]
0M1.setting = "1500 r/min"
"""


@pytest.mark.soak
def test_outlet_comes_to_rest_against_a_compensator_and_does_not_swing_on() -> None:
    """A compensator takes one flow whatever the pressure is, and so damps nothing; the stroking piston's oil does."""
    swings = {}
    for piston in ("20 %", "1 %"):
        session = Session(rig_file.loads(SECTION.format(piston=piston), "rig"))
        session.set_control("1V1.lever", 0.4)
        session.advance(1.0)
        found = []
        for _ in range(60):
            session.advance(3e-3)
            found.append(session.readings.pressure("P"))
        swings[piston] = (max(found) - min(found)) / BAR
    assert swings["20 %"] < 0.3, swings
    assert swings["1 %"] > 3 * swings["20 %"], swings


def test_bleed_is_an_orifice_to_the_case() -> None:
    """0.06 mm2 at 100 bar: 0.7 * 0.06e-6 * sqrt(2e7 / 870) = 0.382 L/min (orifice law, any textbook)."""
    found = evaluate(LoadSensingPump, p={"LS": 100 * BAR})
    assert found["stream"]["bleed"] * 60e3 == pytest.approx(0.382, abs=1e-3)


RIG = """
format = 1
title = "A variable pump against a throttle"
[oil]
warms = false
[parts]
0Z1 = {{ is = "Reservoir" }}
0M1 = {{ is = "SteadyDrive" }}
0P1 = {{ is = "{pump}"{more} }}
0V2 = {{ is = "Throttle", area = "20 mm2" }}
0V3 = {{ is = "Orifice", diameter = "1 mm" }}
[lines]
m = ["0M1.shaft", "0P1.shaft"]
S = ["0Z1.S", "0P1.S"]
P = ["0P1.P", "0V2.1"]
A = ["0V2.2", "0V3.1"{told}]
T = ["0V3.2", "0P1.L", "0Z1.T"]
[start]
0M1.setting = "1500 r/min"
"""


def test_dead_headed_it_holds_its_setting_with_no_more_than_its_slip() -> None:
    """Everything shut: the setting, and 0.96 L/min of slip at 210 bar of a 42 L/min pump."""
    session = Session(rig_file.loads(RIG.format(pump="PressureCompensatedPump", more="", told=""), "rig"))
    session.set_control("0V2.opening", 0.0)
    session.advance(3.0)
    assert session.readings.pressure("P") == pytest.approx(210 * BAR, rel=2e-3)
    assert session.readings.value("0P1", "delivery") < read("0.1 L/min", "flow")
    assert session.readings.value("0P1", "share") < 0.04


def test_across_a_throttle_it_keeps_its_margin_whatever_the_load() -> None:
    """The load is what an orifice makes of the flow: it differs, the drop over the throttle does not."""
    more, told = ', margin = "20 bar"', ', "0P1.LS"'
    session = Session(rig_file.loads(RIG.format(pump="LoadSensingPump", more=more, told=told), "rig"))
    for opening in (0.02, 0.05):
        session.set_control("0V2.opening", opening)
        session.advance(3.0)
        drop = session.readings.pressure("P") - session.readings.pressure("A")
        assert drop == pytest.approx(20 * BAR, rel=5e-3), opening
        assert 0.01 < session.readings.value("0P1", "share") < 0.9
