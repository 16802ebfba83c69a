"""What comes before an instrument: rules of workshops (common practice, no source), done on the engine."""

from __future__ import annotations

from dataclasses import replace

import pytest

from trainer import resources
from trainer.engine.session import Session
from trainer.measuring.fitting import Fitting, FittingStep, plan, running_allowed
from trainer.measuring.instruments import RANGES, places
from trainer.rig import file as rig_file

BENCH = rig_file.load(resources.rigs()["one-spool-bench"])
LOADER = rig_file.load(resources.rigs()["timber-trailer-loader"])


@pytest.fixture(scope="module")
def loader() -> Session:
    """The loader at its start: engine running, boom and stick held up. Nothing in here moves it."""
    return Session(LOADER)


def keys(fitting: Fitting) -> list[str]:
    return [step.key for step in fitting.steps]


def step(fitting: Fitting, key: str) -> FittingStep:
    return next(step for step in fitting.steps if step.key == key)


def shown(fitting: Fitting, session: Session) -> dict[str, bool]:
    """Return what the rig shows to be done."""
    return {step.key: step.done(session.readings) for step in fitting.steps if step.done is not None}


def test_a_test_point_takes_a_gauge_under_pressure(loader: Session) -> None:
    for line in ("pump", "banks", "R", "A3"):
        fitting = plan(LOADER, loader.readings, "gauge", line)
        assert fitting.steps == ()
        assert "rated for the pressure" in fitting.hazard
        assert "maker's manual" in fitting.hazard


def test_where_the_rig_has_a_gauge_there_is_a_coupling() -> None:
    lines = {name: replace(line, test_point=False) for name, line in BENCH.lines.items()}
    plain = replace(BENCH, lines=lines)
    assert running_allowed(plain, "gauge", "P1")
    assert not running_allowed(plain, "gauge", "A1")
    assert not running_allowed(replace(plain, instruments={}), "gauge", "P1")
    assert not running_allowed(BENCH, "flow meter", "0P1.P")  # a flow meter always opens the line


def test_shafts_and_skins_are_measured_while_it_runs(loader: Session) -> None:
    turning = plan(LOADER, loader.readings, "tachometer", "engine")
    assert turning.steps == ()
    assert "turning shaft" in turning.hazard
    warm = plan(LOADER, loader.readings, "thermometer", "0V1")
    assert warm.steps == ()
    assert "burn" not in warm.hazard
    hot = Session(LOADER)
    hot.state.put("oil.temperature", 75.0)
    assert "burn" in plan(LOADER, hot.readings, "thermometer", "0Z1").hazard
    assert "burn" in plan(LOADER, hot.readings, "gauge", "A4").hazard


def test_a_line_under_load_is_lowered_stopped_released_and_opened_in_this_order(loader: Session) -> None:
    fitting = plan(LOADER, loader.readings, "gauge", "A4")
    assert keys(fitting) == ["lower", "stop", "release", "open", "fit", "leaks"]
    assert step(fitting, "lower").by_hand
    assert "stick cylinder" in step(fitting, "lower").words
    assert "engine" in step(fitting, "stop").words
    assert "stick lever" in step(fitting, "release").words
    assert "the stick cap end and the stick rod end are without pressure" in step(fitting, "release").words
    assert [step(fitting, key).done for key in ("open", "fit", "leaks")] == [None] * 3
    for hazard in ("7 bar", "stopped engine", "under a load"):
        assert hazard in fitting.hazard


def test_a_supply_line_has_nothing_to_lower(loader: Session) -> None:
    fitting = plan(LOADER, loader.readings, "flow meter", "0P1.P")
    assert keys(fitting) == ["stop", "release", "open", "fit", "leaks"]
    assert "under a load" not in fitting.hazard
    tank = plan(LOADER, loader.readings, "flow meter", "0P1.S")
    assert "tank" in step(tank, "open").words  # its oil runs out by its own weight, through the strainer, too
    assert "tank" not in step(plan(LOADER, loader.readings, "flow meter", "0Z2.1"), "open").words
    assert step(plan(LOADER, loader.readings, "gauge", "G4"), "release").words.startswith("Move the stick lever")


def test_a_motor_is_blocked_and_its_case_line_is_no_load(loader: Session) -> None:
    assert "slew motor turns" in step(plan(LOADER, loader.readings, "gauge", "A2"), "lower").words
    assert "lower" not in keys(plan(LOADER, loader.readings, "gauge", "T"))


def test_it_comes_off_as_it_went_on(loader: Session) -> None:
    on, off = (plan(LOADER, loader.readings, "gauge", "A4", off=off) for off in (False, True))
    assert keys(on) == keys(off)
    assert step(off, "fit").words.startswith("Take the gauge out of the stick cap end")
    assert plan(LOADER, loader.readings, "gauge", "banks", off=True).steps == ()


@pytest.mark.parametrize("kind", RANGES)
def test_there_is_a_plan_for_every_place(kind: str, loader: Session) -> None:
    for place in places(LOADER, kind):
        fitting = plan(LOADER, loader.readings, kind, place.on)
        assert fitting.hazard.endswith("The maker's manual comes before what is said here.")
        assert len(set(keys(fitting))) == len(fitting.steps)
        assert all(step.words.endswith(".") for step in fitting.steps)
        shown(fitting, loader)  # each can be asked at any time


@pytest.mark.parametrize(
    ("kind", "on"),
    [("gauge", "Z9"), ("gauge", "engine"), ("flow meter", "0P1.Q"), ("tachometer", "P1"), ("thermometer", "0M1")],
)
def test_a_place_that_is_none_is_refused(kind: str, on: str, loader: Session) -> None:
    with pytest.raises(KeyError):
        plan(LOADER, loader.readings, kind, on)


@pytest.mark.soak
def test_the_boom_can_be_lowered_the_engine_stopped_and_the_line_released() -> None:
    """On the engine: every step that the rig can show becomes done, one after the other, by levers alone."""
    session = Session(LOADER)
    fitting = plan(LOADER, session.readings, "flow meter", "3V1.A")
    assert shown(fitting, session) == {"lower": False, "stop": False, "release": False}
    session.set_control("3V1.lever", -0.6)
    session.advance(6.0)
    session.set_control("3V1.lever", 0.0)
    session.advance(0.5)
    assert session.readings.value("3W1", "contact") > 1e3  # what hangs stands on the ground, pressed down
    assert shown(fitting, session) == {"lower": True, "stop": False, "release": False}
    session.set_control("0M1.speed_asked", 0.0)
    session.advance(12.0)
    # both sides closed: the rod end still holds more than 100 bar although nothing turns
    assert session.readings.pressure("B3") > 100e5
    assert shown(fitting, session) == {"lower": True, "stop": True, "release": False}
    for lever in (1.0, -1.0, 0.0):
        session.set_control("3V1.lever", lever)
        session.advance(1.0)
    assert shown(fitting, session) == {"lower": True, "stop": True, "release": True}
    session.set_control("0M1.speed_asked", 1800.0 * 0.10472)
    session.advance(3.0)
    assert not shown(fitting, session)["stop"]


@pytest.mark.soak
def test_a_load_that_hangs_is_not_lowered_by_stopping() -> None:
    session = Session(LOADER)
    fitting = plan(LOADER, session.readings, "gauge", "B3")
    session.set_control("0M1.speed_asked", 0.0)
    session.advance(12.0)
    assert shown(fitting, session) == {"lower": False, "stop": True, "release": False}


def test_the_bench_is_stopped_by_taking_the_hands_off() -> None:
    session = Session(BENCH)
    fitting = plan(BENCH, session.readings, "flow meter", "0P1.P")
    assert "hand crank" in step(fitting, "stop").words
    session.set_control("0M1.speed_asked", 0.0)
    session.advance(5.0)
    assert shown(fitting, session) == {"stop": True, "release": True}
