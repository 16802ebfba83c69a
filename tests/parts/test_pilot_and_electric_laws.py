"""Pilot levers, piloted sections, proportional and servo valves, by points that a pencil can check."""

from __future__ import annotations

import math
from typing import Any

import pytest
from battery import evaluate
from cases import first

from trainer.engine.session import Session
from trainer.parts.electric import ProportionalValve, ServoValve
from trainer.parts.piloted import PilotLever, PilotOperatedSection
from trainer.rig import file as rig_file

BAR, LITRE_MINUTE, TURN = 1e5, 1e-3 / 60, 2 * math.pi


def test_pilot_pressure_goes_straight_from_where_it_begins_to_its_end() -> None:
    """6 % of play, 5 to 22 bar: at 53 % of the lever half of the rest, 13.5 bar; within the play nothing."""
    for lever, asked in ((0.0, 0.0), (0.05, 0.0), (0.53, 13.5), (1.0, 22.0), (-0.53, 0.0)):
        found = evaluate(PilotLever, lever=lever, p={"P": 30 * BAR})["value"]
        assert found["asked_A"] / BAR == pytest.approx(asked, abs=0.05), lever
    assert evaluate(PilotLever, lever=-0.53)["value"]["asked_B"] / BAR == pytest.approx(13.5, abs=0.05)


def test_pilot_lever_feeds_below_that_pressure_and_lets_go_above() -> None:
    """A reducing and relieving valve: 2 bar below it feeds, 2 bar above it goes to T, at it neither."""
    for pressure, feeds, lets in ((11.5, True, False), (13.5, False, False), (15.5, False, True)):
        found = evaluate(PilotLever, lever=0.53, p={"P": 30 * BAR, "A": pressure * BAR})["stream"]
        assert (found["P_to_A"] > 1e-6, found["A_to_T"] > 1e-6) == (feeds, lets), pressure
    worn = evaluate(PilotLever, lever=1.0, weak="25 %")["value"]
    assert worn["asked_A"] / BAR == pytest.approx(0.75 * 22.0, abs=0.05)


def piloted(pilot: float, spool: float, **own: Any) -> float:
    """Return how fast the spool goes [1/s] at a pilot pressure [bar], to A above zero."""
    p = {"XA": max(pilot, 0.0) * BAR, "XB": max(-pilot, 0.0) * BAR}
    return evaluate(PilotOperatedSection, p=p, spool=spool, **own)["rate"]["spool"]


def test_piloted_spool_rests_where_springs_and_pilot_are_in_balance() -> None:
    """Springs from 6 to 20 bar: at rest below 6 bar, at half stroke with 13, at its end from 20 on, both ways."""
    for way in (1, -1):
        assert piloted(way * 13.0, way * 0.5) == pytest.approx(0.0, abs=0.01)
        assert way * piloted(way * 14.0, way * 0.5) > 0.5
        assert way * piloted(way * 12.0, way * 0.5) < -0.5
        assert way * piloted(way * 4.0, way * 0.05) < -0.5
        assert abs(piloted(way * 25.0, way * 1.0)) < 20
        assert way * piloted(way * 25.0, way * 1.02) < 0
    assert piloted(0.0, 0.0) == pytest.approx(0.0, abs=1e-9)


def test_piloted_spool_sweeps_the_oil_of_its_caps() -> None:
    """2 cm3 for the full stroke: what one cap takes the other gives."""
    rest, out = (evaluate(PilotOperatedSection, spool=x, caps="2 cm3")["volume"] for x in (0.0, 1.0))
    assert (out["XA"] - rest["XA"]) * 1e6 == pytest.approx(2.0)
    assert (out["XB"] - rest["XB"]) * 1e6 == pytest.approx(-2.0)


@pytest.mark.parametrize(("part", "drop"), [(ProportionalValve, 5.0), (ServoValve, 35.0)])
def test_whole_open_an_edge_passes_its_rated_flow_at_its_drop(part: Any, drop: float) -> None:
    """40 L/min at 5 bar an edge (proportional) or 35 bar (servo): ISO 10770's rating, from memory."""
    found = evaluate(part, p={"P": drop * BAR}, spool=1.0)["stream"]
    assert found["P_to_A"] / LITRE_MINUTE == pytest.approx(40.0, rel=5e-3)
    assert found["P_to_B"] == 0.0


def test_overlap_shuts_a_proportional_valve_and_a_servo_valve_has_none() -> None:
    """15 % of overlap: nothing at 15 %; half of the edge at 57.5 %. A servo valve at 10 %: a tenth of its edge."""
    area = {x: evaluate(ProportionalValve, spool=x)["value"] for x in (0.14, 0.575, 1.0)}
    assert area[0.14]["P_A_area"] == 0.0
    assert area[0.575]["P_A_area"] == pytest.approx(0.5 * area[1.0]["P_A_area"], rel=5e-3)
    tenth = evaluate(ServoValve, spool=0.1)["value"]
    assert tenth["P_A_area"] == pytest.approx(0.1 * tenth["rated_area"], rel=5e-3)


def test_without_feedback_the_oil_pushes_the_spool_back() -> None:
    """5 % at 100 bar over its ports: asked for all, it goes 95 %; with feedback all the way."""
    p = {"P": 100 * BAR}
    for feedback, place in (("yes", 1.0), ("no", 0.95)):
        found = evaluate(ProportionalValve, {"feedback": feedback}, p=p, command=1.0)["value"]
        assert found["asked"] == pytest.approx(place, abs=1e-3), feedback


SPOOL = """
format = 1
title = "A servo valve by itself"
[oil]
warms = false
[parts]
0Z1 = {{ is = "Reservoir" }}
1V1 = {{ is = "ServoValve", frequency = "50 Hz", damping = "{damping}" }}
[lines]
P = ["1V1.P", "0Z1.S"]
A = ["1V1.A"]
B = ["1V1.B"]
T = ["1V1.T", "0Z1.T"]
"""


def test_step_of_a_spool_is_that_of_a_second_order_system() -> None:
    """Damping 0.4, 50 Hz: overshoot exp(-pi z / sqrt(1 - z2)) = 25.4 %, peak at pi / wd = 10.9 ms (any textbook)."""
    session = Session(rig_file.loads(SPOOL.format(damping=0.4), "rig"), tolerance=1e-7)
    session.set_control("1V1.lever", 0.5)
    places = []
    for _ in range(80):
        session.advance(2.5e-4)
        places.append(session.readings.state("1V1", "spool"))
    damped = math.sqrt(1 - 0.4**2)
    assert max(places) / 0.5 - 1 == pytest.approx(math.exp(-math.pi * 0.4 / damped), abs=3e-3)
    peak = (places.index(max(places)) + 1) * 2.5e-4
    assert peak == pytest.approx(0.5 / (50 * damped), abs=3e-4)


@pytest.mark.parametrize(("damping", "share"), first(1, [(0.7071, 1.0), (0.4, 1.0), (1.0, 0.5)]))
def test_bandwidth_of_a_spool_is_that_of_a_second_order_system(damping: float, share: float) -> None:
    """Amplitude 1 / sqrt((1 - r2)2 + (2 z r)2) at r times the natural frequency: -3 dB at it with damping 0.707."""
    session = Session(rig_file.loads(SPOOL.format(damping=damping), "rig"))
    steps, turns, frequency = 48, 4, 50.0 * share
    step, found = 1 / frequency / steps, []
    for k in range(steps * turns):
        session.set_control("1V1.lever", 0.2 * math.sin(TURN * (k + 0.5) / steps))
        session.advance(step)
        found.append(session.readings.state("1V1", "spool"))
    amplitude = (max(found[-steps:]) - min(found[-steps:])) / 0.4
    assert amplitude == pytest.approx(1 / math.hypot(1 - share**2, 2 * damping * share), rel=0.03)


def test_command_of_a_proportional_valve_goes_by_its_ramp() -> None:
    """100 ms for the whole command: 10 a second while it is far off, and it comes to rest there."""
    assert evaluate(ProportionalValve, lever=1.0)["rate"]["command"] == pytest.approx(10.0)
    assert evaluate(ProportionalValve, lever=-1.0, ramp_time="1 s")["rate"]["command"] == pytest.approx(-1.0)
    assert evaluate(ProportionalValve, lever=0.5, command=0.5)["rate"]["command"] == pytest.approx(0.0, abs=1e-12)
