"""A rig running: time and its speeds, freeze and step, reset and replay, what is refused, what is said."""

from __future__ import annotations

import contextlib
import math
from dataclasses import replace

import numpy as np
import pytest

from trainer.engine.session import FRAME, SPEEDS, Session
from trainer.errors import SolverError
from trainer.rig.rig import Rig


@pytest.fixture
def session(bench: Rig) -> Session:
    return Session(bench)


class Clock:
    """A clock that goes on by a set amount [s] every time it is looked at."""

    def __init__(self, step: float) -> None:
        self.step, self.now = step, 0.0

    def __call__(self) -> float:
        self.now += self.step
        return self.now


def refuse(*_: object) -> None:
    """Fail as a solver that finds no way."""
    raise SolverError("no way")


def play(session: Session) -> None:
    """Work the bench in a way that uses every kind of call and change."""
    random = np.random.default_rng(3)
    for _ in range(20):
        session.set_control("1V1.lever", float(random.choice([-1, 0, 0.4, 1])))
        session.set_control("0M1.speed_asked", float(random.uniform(4, 9)))
        session.advance(float(random.choice([0.25, 1 / 3, 0.017])))
    session.set_parameter("0V1.setting", 40e5)
    session.set_parameter("0P1.slip", 3e-9)
    session.advance(1.0)
    session.set_temperature(60.0)
    session.step()
    session.advance(0.5, length=0.01)


def test_it_begins_at_rest_at_zero(session: Session, bench: Rig) -> None:
    """Settled in the start's setting: turning at 60 r/min, rod in, time and record at zero."""
    assert session.time == 0.0
    assert len(session.record) == 0
    assert not session.running
    assert session.readings.speed("crank") * 30 / math.pi == pytest.approx(60, abs=1)
    assert session.readings.place("rod1") == pytest.approx(0.0, abs=1e-3)
    before = session.readings.pressure("P1")
    session.advance(1.0)
    assert session.readings.pressure("P1") == pytest.approx(before, abs=0.05e5)
    assert session.temperature == pytest.approx(bench.oil.temperature, abs=0.01)


def test_replay_repeats_bit_for_bit(session: Session, bench: Rig) -> None:
    play(session)
    x, pu, totals, temperature = session.x.copy(), session.pu.copy(), session.totals.copy(), session.temperature
    record = list(session.record)
    again = Session(bench)
    for other in (session, again, again):
        other.replay(record)
        assert np.array_equal(other.x, x)
        assert np.array_equal(other.pu, pu)
        assert np.array_equal(other.totals, totals)
        assert other.temperature == temperature
        assert list(other.record) == record


def test_reset_returns_to_the_settled_start_exactly(session: Session, bench: Rig) -> None:
    """Levers, speeds and oil go back; a relief and a worn pump stay, and the start is found again for them."""
    fresh = Session(bench)
    fresh.set_parameter("0V1.setting", 40e5)
    fresh.set_parameter("0P1.slip", 3e-9)
    fresh.reset()
    assert not np.array_equal(fresh.x, session.x)
    play(session)
    session.run()
    session.reset()
    assert not session.running
    assert np.array_equal(session.x, fresh.x)
    assert np.array_equal(session.pu, fresh.pu)
    assert session.temperature == fresh.temperature
    assert session.time == 0.0
    assert not session.totals.any()
    assert len(session.record) == 0
    play(session)
    play(fresh)
    assert np.array_equal(session.x, fresh.x)


@pytest.mark.soak
def test_a_record_from_another_start_is_repeated_from_there(session: Session, bench: Rig) -> None:
    session.set_parameter("0P1.slip", 3e-9)
    session.reset()
    play(session)
    assert session.record.numbers == {"0P1.slip": 3e-9}
    again = Session(bench)
    again.replay(session.record, session.record.numbers)
    assert np.array_equal(again.x, session.x)
    assert np.array_equal(again.totals, session.totals)
    assert again.machine.changed() == session.machine.changed()
    assert again.record.numbers == session.record.numbers


def test_a_start_that_cannot_be_found_changes_nothing(session: Session, monkeypatch: pytest.MonkeyPatch) -> None:
    session.advance(1.0)
    session.set_parameter("0P1.slip", 3e-9)
    session.advance(1.0)
    x, pu = session.x.copy(), session.pu.copy()
    with monkeypatch.context() as patch:
        patch.setattr(session.solver, "call", refuse)
        with pytest.raises(SolverError):
            session.reset()
    assert session.time == pytest.approx(2.0)
    assert len(session.record) == 120
    assert np.array_equal(session.x, x)
    assert np.array_equal(session.pu, pu)
    session.rewind(0.5)
    assert session.readings.parameter("0P1", "slip") != 3e-9


def test_frozen_time_stands(session: Session) -> None:
    x = session.x.copy()
    session.tick(0.016)
    assert session.time == 0.0
    session.run()
    session.tick(0.016)
    session.freeze()
    time = session.time
    session.tick(0.5)
    assert session.time == time > 0.0
    assert not np.array_equal(session.x, x)


def test_step_works_frozen(session: Session) -> None:
    session.freeze()
    session.step()
    assert session.time == pytest.approx(FRAME)
    session.step(1 / 60000)
    assert session.time == pytest.approx(FRAME + 1 / 60000)
    session.step(5.0)
    assert session.time == pytest.approx(FRAME + 1 / 60000 + 0.1)  # never more than a tenth of a second
    session.run()
    session.step()
    assert not session.running


@pytest.mark.parametrize("speed", SPEEDS)
def test_every_speed(session: Session, speed: float) -> None:
    """From a thousandth to fourfold: thirty frames of a 60 Hz window take that much model time."""
    session.set_control("1V1.lever", 1.0)
    session.speed = speed
    session.run()
    for _ in range(30):
        session.tick(1 / 60, Clock(0.0))
    assert session.time == pytest.approx(0.5 * speed, rel=1e-9)
    assert session.true_speed == pytest.approx(speed, rel=1e-9)
    assert max(call.length for call in session.record) <= FRAME * (1 + 1e-9)
    assert np.isfinite(session.x).all()


def test_a_slow_machine_drops_time_and_says_so(session: Session) -> None:
    """At fourfold speed 240 calls a second of 13 ms would be needed: 77 are made, in ticks of 90 ms and one call."""
    session.speed = 4.0
    session.run()
    wall = 0.0
    for _ in range(40):
        made = session.tick(7 * 0.013, Clock(0.013))
        assert made == 7
        wall += made * 0.013
    assert session.time == pytest.approx(wall / 0.013 / 60)
    assert session.true_speed == pytest.approx(1 / (60 * 0.013), abs=0.01)
    session.speed, before = 1.0, session.time
    for _ in range(150):
        session.tick(1 / 60, Clock(0.0))
    assert session.time == pytest.approx(before + 2.5, abs=6 / 60)  # what was lost is not made up
    assert session.true_speed == pytest.approx(1.0, abs=0.01)


def test_the_rest_of_a_frame_is_kept_for_the_next_tick(session: Session) -> None:
    """A timer of 16 ms and one of 40 ms: calls are whole frames all the same, and none is lost."""
    session.run()
    for timer, ticks in ((0.016, 625), (0.040, 250)):
        before = session.time
        for _ in range(ticks):
            session.tick(timer, Clock(0.0))
        assert session.time - before == pytest.approx(10.0, abs=FRAME)
    assert {call.length for call in session.record} == {FRAME}


def test_a_window_that_slept_is_not_caught_up_with(session: Session) -> None:
    session.run()
    session.tick(30.0, Clock(0.0))
    assert session.time == pytest.approx(0.1)
    assert session.true_speed < 0.1


def test_controls_are_held_in_their_range(session: Session) -> None:
    session.set_control("1V1.lever", 7.0)
    assert session.control("1V1.lever") == 1.0
    session.set_control("0M1.speed_asked", -5.0)
    assert session.control("0M1.speed_asked") == 0.0
    with pytest.raises(KeyError):
        session.set_control("1V1.nothing", 0.0)


def test_a_control_is_taken_when_time_goes_on(session: Session) -> None:
    """Until then lever and spool are those of one instant; going back lets go of what was not taken."""
    session.advance(0.5)
    before = session.readings
    session.set_control("1V1.lever", 0.4)
    assert (session.control("1V1.lever"), session.asked("1V1.lever"), session.taken("1V1.lever")) == (0.4, 0.4, 0.0)
    assert session.readings is before
    session.advance(1.0)
    assert session.readings.control("1V1", "lever") == session.taken("1V1.lever") == 0.4
    assert session.readings.state("1V1", "spool") == pytest.approx(0.4, abs=0.01)
    session.set_control("1V1.lever", -1.0)
    session.rewind(session.time)
    assert session.control("1V1.lever") == 0.4
    session.set_control("1V1.lever", -1.0)
    session.reset()
    assert session.control("1V1.lever") == 0.0


def test_a_number_is_taken_when_time_goes_on(session: Session) -> None:
    """One instant is one, before it is gone on from and after it is come back to; the machine has the number."""
    session.set_control("1V1.lever", 1.0)
    session.advance(2.0)
    before, flow = session.readings, session.readings.flow("0V1", "P")
    session.set_parameter("0V1.setting", 10e5)
    session.set_temperature(60.0)
    session.bring("1W1.mass", 300.0)
    assert session.readings is before
    waiting = {"0V1.setting": 10e5, "oil.temperature": 60.0, "1W1.mass": 300.0}
    assert session.waiting == waiting == {name: session.asked(name) for name in waiting}
    at = session.time
    session.advance(0.5)
    assert session.readings.parameter("0V1", "setting") == 10e5
    assert session.readings.temperature == pytest.approx(60.0, abs=0.1)
    assert session.readings.parameter("1W1", "mass") == 300.0
    assert session.waiting == {}
    session.rewind(at)
    assert session.readings.flow("0V1", "P") == pytest.approx(flow, rel=1e-12)
    session.rewind(at + 0.5)
    session.set_parameter("0V1.setting", 20e5)
    session.rewind(session.time)  # the newest instant, which had another number
    assert session.waiting == {"0V1.setting": 20e5}
    assert session.readings.parameter("0V1", "setting") == 10e5
    session.advance(0.1)
    assert session.readings.parameter("0V1", "setting") == 20e5


@pytest.mark.parametrize("number", [math.nan, math.inf, -math.inf])
def test_no_control_takes_what_is_no_number(session: Session, number: float) -> None:
    with contextlib.suppress(ValueError):  # refused, or held in its range
        session.set_control("1V1.lever", number)
    assert -1.0 <= session.control("1V1.lever") <= 1.0


@pytest.mark.parametrize("number", [5e4, 1e9, math.nan, -1.0])
def test_a_parameter_out_of_range_is_refused(session: Session, number: float) -> None:
    before = session.readings.parameter("0V1", "setting")
    with pytest.raises(ValueError, match=r"0V1\.setting.*1 bar … 450 bar"):
        session.set_parameter("0V1.setting", number)
    assert session.readings.parameter("0V1", "setting") == before
    for unknown in ("0V1.nothing", "9V9.setting", "setting"):
        with pytest.raises(KeyError):
            session.set_parameter(unknown, 1.0)


def test_a_relief_turned_down_while_running(session: Session) -> None:
    """Full lift against the end stop: the gauge follows the relief's setting, down to a few per cent."""
    session.set_control("1V1.lever", 1.0)
    session.advance(32.0)
    assert session.readings.pressure("P1") == pytest.approx(50e5, rel=0.06)
    session.set_parameter("0V1.setting", 30e5)
    session.advance(2.0)
    assert session.readings.pressure("P1") == pytest.approx(30e5, rel=0.06)


@pytest.mark.soak
def test_the_crank_says_when_it_cannot_keep_up(session: Session) -> None:
    """At a relief of 175 bar and 90 r/min asked for, two arms are not enough."""
    session.set_control("1V1.lever", 1.0)
    session.advance(1.0)
    assert session.notice == ""
    session.set_parameter("0V1.setting", 175e5)
    session.set_parameter("0P1.displacement", 40e-6 / (2 * math.pi))
    session.set_control("0M1.speed_asked", 90 * math.pi / 30)
    said = set()
    for _ in range(60):
        session.advance(0.25)
        said.add(session.notice)
    assert any("cannot keep up" in notice for notice in said)
    assert session.readings.speed("crank") < 60 * math.pi / 30


def test_oil_warms_by_the_heat_that_goes_into_it(bench: Rig) -> None:
    """Balance of the tank over a minute at the relief: wet heats less what the air takes, over the capacity."""
    session = Session(bench)
    session.set_control("1V1.lever", 1.0)
    session.advance(32.0, length=0.05)
    count = len(session.network.heat_names)
    wet = np.array([not session.network.heats[name].dry for name in session.network.heat_names])
    before, begin = session.totals[:count][wet].sum(), session.temperature
    capacity = session.readings.value("0Z1", "heat_capacity")
    away = 0.0
    for _ in range(60):
        away += session.readings.value("0Z1", "heat_to_air") * 1.0
        session.advance(1.0, length=0.05)
    heat = session.totals[:count][wet].sum() - before
    assert heat > 1000.0
    rise = session.temperature - begin
    assert rise == pytest.approx((heat - away) / capacity, rel=1e-3)
    assert session.readings.temperature == session.temperature


def test_temperature_is_held_where_the_rig_says_so(bench: Rig) -> None:
    session = Session(replace(bench, oil=replace(bench.oil, warms=False)))
    session.set_control("1V1.lever", 1.0)
    session.advance(10.0)
    assert session.temperature == bench.oil.temperature == session.readings.temperature
    session.set_temperature(20.0)
    session.advance(0.1)
    assert session.readings.temperature == 20.0


def test_a_cold_rig_is_stiffer_to_turn(bench: Rig) -> None:
    cold, warm = (Session(replace(bench, oil=replace(bench.oil, temperature=t))) for t in (0.0, 45.0))
    assert cold.readings.pressure("P1") > warm.readings.pressure("P1")
