"""The solver's ways out: shorter calls, the emergency step, an honest end; and how good the emergency step is."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest
from stored import energy_in, oil_in

from trainer import resources
from trainer.engine.network import Vector
from trainer.engine.session import FRAME, Session
from trainer.engine.solver import Solver
from trainer.errors import SolverError
from trainer.rig import file as rig_file

Integrate = Callable[[Solver, Vector, Vector], tuple[Vector, Vector]]
HEALTHY: Integrate = Solver._integrate


@pytest.fixture
def session() -> Session:
    """The bench, lifting."""
    session = Session(rig_file.load(resources.path("rigs/one-spool-bench.toml")))
    session.set_control("1V1.lever", 1.0)
    session.advance(2.0)
    return session


class Failing:
    """An integrator that gives up on calls longer than ``most`` [s]; it counts the calls that it is asked for."""

    def __init__(self, most: float, how: str = "raise") -> None:
        self.most, self.how = most, how
        self.lengths: list[float] = []

    def __call__(self, solver: Solver, z: Vector, pu: Vector) -> tuple[Vector, Vector]:
        self.lengths.append(float(pu[0]))
        if pu[0] > self.most:
            if self.how == "raise":
                raise RuntimeError("CV_TOO_MUCH_WORK")
            return np.full_like(z, np.nan), np.zeros(
                len(solver.network.heat_names) + len(solver.network.supply_names)
            )
        return HEALTHY(solver, z, pu)


def fit(monkeypatch: pytest.MonkeyPatch, failing: Failing) -> Failing:
    """Put an integrator in the solver's place."""
    monkeypatch.setattr(Solver, "_integrate", lambda solver, z, pu: failing(solver, z, pu))
    return failing


@pytest.mark.parametrize("how", ["raise", "not a number"])
@pytest.mark.parametrize("pieces", [4, 16, 64])
def test_a_call_that_fails_is_repeated_in_shorter_ones(
    session: Session, monkeypatch: pytest.MonkeyPatch, pieces: int, how: str
) -> None:
    x, pu = session.x.copy(), session.pu.copy()
    pu[0] = FRAME
    wanted = session.solver.call(x, pu)
    failing = fit(monkeypatch, Failing(FRAME / pieces * 1.01, how))
    found = session.solver.call(x, pu)
    assert not found.rough
    assert failing.lengths[-pieces:] == [FRAME / pieces] * pieces
    assert len(failing.lengths) == {4: 1, 16: 2, 64: 3}[pieces] + pieces
    assert np.abs((found.x - wanted.x) / session.network.nominal).max() < 1e-2
    assert found.totals == pytest.approx(wanted.totals, abs=5e-3)  # J
    assert pu[0] == FRAME


def test_when_all_pieces_fail_one_rough_step_is_made(session: Session, monkeypatch: pytest.MonkeyPatch) -> None:
    failing = fit(monkeypatch, Failing(0.0))
    oil = oil_in(session)
    session.step()
    assert [round(FRAME / length) for length in failing.lengths] == [1, 4, 16, 64]
    assert session.rough_calls == 1
    assert session.notice == ""
    assert np.isfinite(session.x).all()
    assert oil_in(session) == pytest.approx(oil, abs=1e-9 * 12e-3)


def test_the_rough_step_is_sane(session: Session, monkeypatch: pytest.MonkeyPatch) -> None:
    """Two seconds of nothing but rough steps against CVODES: the rod within 0.5 mm, the pump within 1 bar."""
    exact = Session(session.rig, 1e-6)
    exact.replay(session.record)
    exact.advance(2.0)
    fit(monkeypatch, Failing(0.0))
    before = session.totals.copy()
    stored = energy_in(session)
    session.advance(2.0)
    assert session.rough_calls == 120
    assert session.readings.place("rod1") == pytest.approx(exact.readings.place("rod1"), abs=0.5e-3)
    assert session.readings.pressure("P1") == pytest.approx(exact.readings.pressure("P1"), abs=1e5)
    count = len(session.network.heat_names)
    gained = session.totals - before
    left = gained[count:].sum() - gained[:count].sum() - (energy_in(session) - stored)
    assert abs(left) < 0.05 * gained[count:].sum()  # booked as a trapezium, good to a few per cent


def test_when_nothing_helps_time_stands_and_a_state_is_named(
    session: Session, monkeypatch: pytest.MonkeyPatch
) -> None:
    fit(monkeypatch, Failing(0.0))
    monkeypatch.setattr(Solver, "_backward_euler", lambda *_: None)
    x, time, calls = session.x.copy(), session.time, len(session.record)
    with pytest.raises(SolverError):
        session.advance(FRAME)
    session.run()
    session.tick(0.05)
    assert not session.running
    assert any(name in session.notice for name in session.network.state_index)
    assert session.time == time
    assert np.array_equal(session.x, x)
    assert len(session.record) == calls
    assert np.isfinite(session.readings.values).all()


def test_it_goes_on_when_the_trouble_is_over(session: Session, monkeypatch: pytest.MonkeyPatch) -> None:
    with monkeypatch.context() as broken:
        fit(broken, Failing(0.0))
        broken.setattr(Solver, "_backward_euler", lambda *_: None)
        session.step()
        assert session.notice
    time = session.time
    session.step()
    assert session.notice == ""
    assert session.time == pytest.approx(time + FRAME)


def test_a_state_that_is_no_number_is_named(session: Session) -> None:
    session.x[session.network.state_index["1W1.v"]] = np.nan
    session.step()
    assert not session.running
    assert any(name in session.notice for name in session.network.state_index)


def test_parked_for_a_minute_after_moving_every_lever() -> None:
    """A decayed spool leaves numbers so small that their squares vanish; the solver must not stumble over them."""
    session = Session(rig_file.load(resources.path("rigs/one-spool-bench.toml")))
    for lever in (1.0, -1.0, 0.0):
        session.set_control("1V1.lever", lever)
        session.advance(1.0)
    session.advance(60.0, length=0.1)
    assert session.rough_calls == 0
    assert session.x[session.network.state_index["1V1.spool"]] == 0.0


class Clock:
    """A clock that moves by so much a piece of a call, and for nothing else."""

    def __init__(self, failing: Failing, a_piece: float) -> None:
        self.failing, self.a_piece = failing, a_piece

    def __call__(self) -> float:
        return len(self.failing.lengths) * self.a_piece


def test_the_retries_of_a_failing_call_leave_time_for_the_window(
    session: Session, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Pieces of 5 ms in ticks of 12 ms: three a tick, until 64 of them have made the call, as without a clock."""
    whole = Session(session.rig)
    whole.replay(session.record)
    failing = fit(monkeypatch, Failing(FRAME / 64 * 1.01))
    whole.advance(FRAME)
    failing.lengths.clear()
    session.run()
    time, ticks = session.time, 0
    while session.time == time:
        before = len(failing.lengths)
        session.tick(FRAME, Clock(failing, 0.005))
        ticks += 1
        assert len(failing.lengths) - before <= 3
        assert session.running
        assert session.notice == ""
        assert ticks < 40
    assert len(failing.lengths) == 3 + 64  # nothing was done twice
    assert ticks == 23
    assert np.array_equal(session.x, whole.x)
    assert np.array_equal(session.totals, whole.totals)
    assert session.true_speed < 0.8


def test_a_lever_moved_meanwhile_begins_the_call_anew(session: Session, monkeypatch: pytest.MonkeyPatch) -> None:
    whole = Session(session.rig)
    whole.replay(session.record)
    failing = fit(monkeypatch, Failing(FRAME / 4 * 1.01))
    session.run()
    time = session.time
    session.tick(FRAME, Clock(failing, 0.02))
    assert session.time == time
    session.set_control("1V1.lever", 0.5)
    session.tick(FRAME, Clock(failing, 0.001))
    assert session.time == pytest.approx(time + FRAME)
    assert len(failing.lengths) == 1 + 1 + 4
    whole.set_control("1V1.lever", 0.5)
    whole.advance(FRAME)
    assert np.array_equal(whole.x, session.x)
