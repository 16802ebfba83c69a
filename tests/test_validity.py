"""When a reading may be compared with the spec sheet; tolerances are common practice, without a source."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from trainer import resources, units
from trainer.engine.session import FRAME, Session
from trainer.measuring.validity import Condition, Verdict, conditions, verdict
from trainer.rig import file as rig_file
from trainer.rig.names import lever_words
from trainer.rig.rig import Rig, SpecReading
from trainer.units import System

BENCH = rig_file.load(resources.rigs()["one-spool-bench"])
LOADER = rig_file.load(resources.rigs()["timber-trailer-loader"])
RPM = 2 * math.pi / 60


def judged(session: Session, name: str = "P1") -> Verdict:
    """Return the verdict on an instrument now."""
    found = verdict(session.rig, session.readings, name)
    assert found is not None
    return found


def on_sheet(rig: Rig, name: str) -> SpecReading:
    """Return a reading of a rig's spec sheet."""
    return next(reading for reading in rig.healthy if reading.name == name)


def met(session: Session, reading: str) -> dict[str, bool]:
    """Return which conditions of a spec reading are met now, by name."""
    return {one.key: one.met for one in conditions(session.rig, session.readings, on_sheet(session.rig, reading))}


def test_at_its_start_the_loader_is_as_the_sheet_asks() -> None:
    found = judged(Session(LOADER))
    assert found.reading.name == "neutral"
    assert found.valid
    assert found.within
    assert found.told() == ["speed as asked", "oil as asked", "lever as asked", "load as asked"]
    assert found.comparison() == "sheet 5.3 ± 1.0 bar, read 5.3: within"
    assert found.comparison(System.US).startswith("sheet 77 ± 15 psi, read 7")


def test_cold_oil_makes_a_reading_invalid() -> None:
    session = Session(LOADER)
    for celsius, right in ((31.0, False), (39.9, False), (40.1, True), (49.9, True), (50.1, False)):
        session.state.put("oil.temperature", celsius)
        assert judged(session).valid is right, celsius
    session.state.put("oil.temperature", 31.0)
    assert judged(session).told() == [
        "speed as asked", "oil at 31, the sheet asks for 45 °C", "lever as asked", "load as asked",
    ]  # fmt: skip
    assert "oil at 88, the sheet asks for 113 °F" in judged(session).told(System.US)
    assert judged(session).comparison() == ""  # nothing is compared then


@pytest.mark.parametrize(("asked", "right"), [(1700, False), (1715, True), (1885, True), (1895, False)])
def test_speed_may_be_five_percent_off(asked: float, right: bool) -> None:
    """5 % of 1800 r/min is 90 r/min."""
    session = Session(LOADER)
    session.set_control("0M1.speed_asked", asked * RPM)
    session.advance(1.0)
    assert met(session, "neutral")["0M1.speed_asked"] is right


@pytest.mark.soak
def test_an_engine_that_does_not_turn_has_not_its_speed() -> None:
    """The throttle stands right, the shaft does not: what the tachometer shows counts."""
    session = Session(LOADER)
    session.set_control("0M1.speed_asked", 0.0)
    session.advance(8.0)
    session.set_control("0M1.speed_asked", 1800 * RPM)
    assert any("speed" in words for words in judged(session).told())
    assert any("asks for 1800 r/min" in words for words in judged(session).told())
    session.advance(6.0)
    assert judged(session).valid


def test_levers_and_loads_that_are_not_named_are_at_rest() -> None:
    session = Session(LOADER)
    session.set_control("2V1.lever", 0.019)
    session.set_control("3W1.load", 8.0)
    session.advance(FRAME)
    assert judged(session).valid  # 2 % of the travel, 1 % of the largest load
    session.set_control("2V1.lever", 0.30)
    session.set_control("3W1.load", 250.0)
    session.advance(FRAME)
    found = judged(session)
    assert found.told() == [
        "speed as asked", "oil as asked", "slew lever at 30, the sheet asks for 0 %",
        "load at 250, the sheet asks for 0 kg",
    ]  # fmt: skip


def test_of_several_readings_the_one_is_taken_whose_levers_stand_right() -> None:
    session = Session(LOADER)
    session.set_control("3W1.load", 250.0)
    session.set_control("3V1.lever", 0.6)
    session.advance(1.5)
    found = judged(session)
    assert found.reading.name == "boom_at_60_with_250_kg"
    assert found.valid
    assert found.within
    assert found.told()[-3:] == ["lever as asked", "load as asked", "posture as asked"]
    session.set_control("3V1.lever", 1.0)
    session.advance(FRAME)
    assert judged(session).reading.name == "boom_at_its_end"


def test_posture_may_be_five_degrees_off() -> None:
    session = Session(LOADER)
    degree = math.pi / 180
    for boom, right in ((49.8, False), (50.2, True), (59.8, True), (60.2, False)):
        session.x[session.network.state_index["3W1.boom"]] = boom * degree
        session.state._readings = None
        assert met(session, "boom_at_60_with_250_kg")["3W1.boom"] is right
    reading = on_sheet(LOADER, "boom_at_60_with_250_kg")
    line = Verdict(reading, tuple(conditions(LOADER, session.readings, reading)), "pressure", 0.0).told()
    assert "boom at 60, the sheet asks for 55°" in line
    assert "load at 0, the sheet asks for 250 kg" in line
    assert "boom lever at 0, the sheet asks for 60 %" in line


def test_posture_along_a_rod_is_a_share_of_the_stroke() -> None:
    """5 % of 200 mm is 10 mm; at an end it is 1 %, for an end is met or not."""
    session = Session(BENCH)
    for millimetres, middle, end in ((89, False, False), (91, True, False), (109, True, False), (199, False, True)):
        session.x[session.network.state_index["1W1.x"]] = millimetres * 1e-3
        session.state._readings = None
        assert met(session, "lifting_at_mid_stroke")["1W1.x"] is middle
        assert met(session, "lifted_to_its_end")["1W1.x"] is end


def test_another_weight_is_not_the_load_that_the_sheet_asks_for() -> None:
    """255 kg, and 5 % to either side: 242.3 to 267.7 kg."""
    session = Session(BENCH)
    for mass, right in ((255.0, True), (243.0, True), (241.0, False), (267.0, True), (269.0, False)):
        session.set_parameter("1W1.mass", mass)
        session.advance(FRAME)
        assert met(session, "lifting_at_mid_stroke")["1W1.mass"] is right, mass
        assert "1W1.mass" not in met(session, "neutral")
    reading = on_sheet(BENCH, "lifting_at_mid_stroke")
    told = Verdict(reading, tuple(conditions(BENCH, session.readings, reading)), "pressure", 0.0)
    assert "mass at 269, the sheet asks for 255 kg" in told.told()
    assert "mass at 593, the sheet asks for 562 lb" in told.told(System.US)


def test_a_load_that_is_a_condition_is_read_and_written() -> None:
    again = rig_file.loads(rig_file.dump(BENCH))
    assert on_sheet(again, "lifting_at_mid_stroke").conditions["1W1.mass"] == 255.0


def test_a_reading_far_off_is_told_by_how_much() -> None:
    found = verdict(LOADER, Session(LOADER).readings, "P1", figure=9.1e5)
    assert found is not None
    assert found.valid
    assert not found.within
    assert found.comparison() == "sheet 5.3 ± 1.0 bar, read 9.1: 3.8 too high"
    assert replace(found, figure=1e5).comparison().endswith("4.3 too low")


def test_temperatures_are_compared_as_differences() -> None:
    reading = SpecReading("warm", "T1", 45.0, 5.0, {"temperature": 45.0})
    found = Verdict(
        reading, (Condition("oil", "temperature", "oil", "temperature", 45.0, 45.0, True),), "temperature", 55.0
    )
    assert found.comparison() == "sheet 45 ± 5 °C, read 55: 10 too high"
    assert found.comparison(System.US) == "sheet 113 ± 9 °F, read 131: 18 too high"


def test_without_a_sheet_there_is_no_verdict() -> None:
    assert verdict(BENCH, Session(BENCH).readings, "T1") is None
    assert verdict(replace(BENCH, healthy=()), Session(BENCH).readings, "P1") is None


@pytest.mark.parametrize("name", [reading.name for reading in BENCH.healthy])
def test_the_sheet_of_the_bench_is_that_of_the_machine(name: str) -> None:
    """Each reading of the healthy bench where its conditions are met, within its tolerance."""
    session = Session(BENCH)
    reading = on_sheet(BENCH, name)
    if "1V1.lever" in reading.conditions:
        session.set_control("1V1.lever", reading.conditions["1V1.lever"])
        session.advance(15.0 if reading.conditions["1W1.x"] < 0.15 else 32.0)
    else:
        session.advance(1.0)
    assert all(met(session, name).values())
    found = judged(session, reading.reads)
    assert found.reading == reading
    assert found.within, units.text(found.figure, found.quantity, System.METRIC)


@pytest.mark.parametrize(
    ("rig", "section", "words"),
    [(LOADER, "3V1", "boom lever"), (BENCH, "1V1", "lift lever")],
    ids=["loader", "bench"],
)
def test_levers_have_the_names_of_what_they_move(rig: Rig, section: str, words: str) -> None:
    assert lever_words(rig, section) == words
