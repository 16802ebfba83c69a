"""Rewinding: any instant comes back exactly as it was, and going on from it gives up what came after."""

from __future__ import annotations

import itertools
import random
import tracemalloc

import numpy as np
import pytest

from trainer import resources
from trainer.bench.hands import violent
from trainer.engine.history import EVERY
from trainer.engine.record import Call, Record
from trainer.engine.session import FRAME, Session
from trainer.engine.skin_temperatures import LAG
from trainer.errors import SolverError
from trainer.parts.oil import HEAT_CAPACITY
from trainer.rig import file as rig_file
from trainer.rig.rig import Rig


@pytest.fixture(
    scope="module", params=["one-spool-bench", pytest.param("timber-trailer-loader", marks=pytest.mark.soak)]
)
def rig(request: pytest.FixtureRequest) -> Rig:
    return rig_file.load(resources.rigs()[request.param])


def _run(session: Session, frames: int, seed: int) -> list[tuple[float, np.ndarray, np.ndarray, np.ndarray, float]]:
    """Run with levers at random, a relief turned and the oil cooled on the way; return every instant."""
    found = []
    for frame, controls in enumerate(itertools.islice(violent(session.rig, seed), frames)):
        for name, value in controls.items():
            session.set_control(name, value)
        if frame == frames // 3:
            session.set_parameter("0V1.setting", 60e5)
        if frame == frames // 2:
            session.set_temperature(20.0)
        session.advance(FRAME)
        found.append((session.time, session.x.copy(), session.pu.copy(), session.totals.copy(), session.temperature))
    return found


def test_every_instant_comes_back_exactly(rig: Rig) -> None:
    session = Session(rig)
    instants = _run(session, 120, seed=7)
    for index in random.Random(11).sample(range(120), 25):
        time, x, pu, totals, temperature = instants[index]
        session.rewind(time)
        assert session.time == time
        assert np.array_equal(session.x, x)
        assert np.array_equal(session.pu[1:], pu[1:])  # the first is the length of the call to come
        assert np.array_equal(session.totals, totals)
        assert session.temperature == temperature
    assert len(session.history) == 120


@pytest.mark.soak
def test_going_on_from_the_past_is_as_if_nothing_had_followed(rig: Rig) -> None:
    session, other = Session(rig), Session(rig)
    _run(session, 60, seed=3)
    for call in list(session.record)[:37]:
        other._take(call)
        other._call(call.length)
    session.rewind(37 * FRAME)
    assert len(session.history) == 60
    for each in (session, other):
        each.set_control("1V1.lever", -0.4)
        each.advance(0.5)
    assert len(session.history) == 37 + 30
    assert np.array_equal(session.x, other.x)
    assert session.time == pytest.approx(37 * FRAME + 0.5)


@pytest.mark.soak
def test_going_on_takes_the_machine_of_now_and_the_run_of_then(rig: Rig) -> None:
    """As a run that was changed at that very call; and its record repeats it bit for bit."""
    session, other, again = Session(rig), Session(rig), Session(rig)
    _run(session, 60, seed=3)
    setting = session.readings.parameter("0V1", "setting")
    assert setting == 60e5
    for call in list(session.record)[:15]:
        other._take(call)
        other._call(call.length)
    session.rewind(15 * FRAME)
    assert session.readings.parameter("0V1", "setting") != setting
    assert session.then() == {"0V1.setting": (other.readings.parameter("0V1", "setting"), setting)}
    assert session.temperature == other.temperature
    other.set_parameter("0V1.setting", setting)
    for each in (session, other):
        each.advance(0.5)
    assert session.then() == {}
    again.replay(session.record)
    for each in (other, again):
        assert np.array_equal(session.x, each.x)
        assert np.array_equal(session.totals, each.totals)
    session.rewind(20 * FRAME)  # and the new past has the new number
    assert session.readings.parameter("0V1", "setting") == setting


def test_a_call_that_fails_cuts_no_future(rig: Rig, monkeypatch: pytest.MonkeyPatch) -> None:
    session = Session(rig)
    instants = _run(session, 60, seed=3)
    record = list(session.record)
    session.rewind(15 * FRAME)
    then = session.then()
    session.set_control("1V1.lever", 0.3)
    session.bring(*_load(session))
    kept = session.pu.copy()
    with monkeypatch.context() as patch:
        patch.setattr(session.solver, "call", _refuse)
        session.run()
        session.tick(FRAME)
        session.step()
    assert not session.running
    assert "no way" in session.notice
    assert list(session.record) == record
    assert session.time == pytest.approx(15 * FRAME)
    assert session.then() == then
    assert np.array_equal(session.pu, kept)
    assert session.control("1V1.lever") == 0.3
    session.rewind(instants[-1][0])
    assert np.array_equal(session.x, instants[-1][1])
    session.rewind(15 * FRAME)
    session.step()  # the first new instant stands
    assert len(session.history) == 16
    assert session.notice == ""


def _load(session: Session) -> tuple[str, float]:
    """Return what can carry a load, and another one [kg]."""
    return ("3W1.load", 250.0) if "3W1.load" in session.rig.controls() else ("1W1.mass", 300.0)


def _refuse(*_: object) -> None:
    """Fail as a solver that finds no way."""
    raise SolverError("no way")


def test_rewound_to_the_start_and_between_instants(rig: Rig) -> None:
    session = Session(rig)
    start = session.x.copy()
    session.rewind(3.0)
    assert session.time == 0.0
    instants = _run(session, 40, seed=1)
    session.rewind(-1.0)
    assert session.time == 0.0
    assert np.array_equal(session.x, start)
    session.rewind(instants[20][0] + 0.4 * FRAME)
    assert session.time == instants[20][0]
    session.rewind(1e9)
    assert session.time == instants[-1][0] == session.history.end
    assert not session.running


def test_a_rewound_session_shows_the_readings_of_then(rig: Rig) -> None:
    session = Session(rig)
    session.advance(0.5)
    outlet = rig.line_of("0P1", "P").name
    neutral = session.readings.pressure(outlet)
    session.set_control("1V1.lever", 1.0)
    session.advance(1.0)
    assert abs(session.readings.pressure(outlet) - neutral) > 1e5
    session.rewind(0.5)
    assert session.readings.pressure(outlet) == neutral
    assert session.readings.control("1V1", "lever") == 0.0


def test_snapshots_are_few() -> None:
    session = Session(rig_file.load(resources.rigs()["one-spool-bench"]))
    session.advance(4 * EVERY * FRAME)
    assert [session.history.before(count)[1] for count in (0, EVERY - 1, EVERY, 4 * EVERY)] == [
        0,
        0,
        EVERY,
        4 * EVERY,
    ]


def test_a_record_is_cut_where_asked() -> None:
    record = Record()
    for index in range(10):
        record.add(Call(0.1, (float(index // 4),), (("0V1.setting", 1e6 + index),) if index % 3 == 0 else ()))
    whole = list(record)
    record.cut(6)
    assert list(record) == whole[:6]
    assert list(record.changes_until(4)) == [("0V1.setting", 1e6), ("0V1.setting", 1e6 + 3)]
    record.add(whole[9])
    assert list(record) == [*whole[:6], whole[9]]


def test_an_hour_of_hands_that_never_rest_is_small() -> None:
    """A call of six levers is its length, where it stands and six numbers: 64 bytes, and some room to grow."""
    record, calls = Record(), 10_000
    tracemalloc.start()
    for index in range(calls):
        record.add(Call(1 / 60, tuple(index + lever / 7 for lever in range(6))))
    size, _ = tracemalloc.get_traced_memory()
    tracemalloc.stop()
    assert size < 100 * calls  # 280 as numbers of Python
    assert record[calls - 1].controls == tuple(calls - 1 + lever / 7 for lever in range(6))


@pytest.mark.soak
def test_a_part_grows_as_warm_as_the_oil_that_leaves_it_and_rewinding_cools_it_again() -> None:
    """Over a relief the oil is warmed by dp / (rho c), by hand 0.061 K/bar; its body trails it."""
    session = Session(rig_file.load(resources.rigs()["one-spool-bench"]))
    session.set_control("1V1.lever", 1.0)
    session.advance(12.0)  # to the end of the stroke: all over the relief
    started, cool = session.time, session.readings.skin("0V1")
    session.set_control("0M1.speed_asked", 3.1)  # what the person keeps up
    session.advance(7 * LAG)
    before = session.temperature
    session.advance(LAG)
    now = session.readings
    drop = now.pressure(session.rig.line_of("0V1", "P").name)
    warmer = now.outlet_temperature("0V1") - now.temperature
    assert warmer == pytest.approx(drop / (now.parameter("oil", "density") * HEAT_CAPACITY), rel=0.02)
    rise = now.skin("0V1") - now.temperature
    assert rise == pytest.approx(warmer + before - now.temperature, rel=0.01)  # a ramp is trailed by its rate x LAG
    assert now.skin("0Z1") == pytest.approx(before, abs=0.1)
    session.rewind(started)
    assert session.readings.skin("0V1") == cool < session.temperature + 0.7 * rise
