"""Random levers and speeds: energy, oil and the books, at the tolerance of the screen and of records."""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np
import pytest
from cases import shipped
from hypothesis import HealthCheck, given, note, settings
from hypothesis import strategies as st
from ledgers import flow_ledger, open_by, power_ledger
from stored import energy_in, oil_in

from trainer import resources
from trainer.engine.session import FRAME, Session
from trainer.parts.part import Kind
from trainer.rig import file as rig_file
from trainer.rig.rig import Rig

BENCH = rig_file.load(resources.path("rigs/one-spool-bench.toml"))
SECOND = 60  # calls
WORK = 500.0  # J that a run must supply to prove anything


class Run:
    """Some time of random levers and crank speeds, with what was seen at every call."""

    def __init__(self, rig: Rig, seed: int, tolerance: float, seconds: int = 60) -> None:
        session = self.session = Session(rig, tolerance)
        random = np.random.default_rng(seed)
        count = len(session.network.heat_names)
        self.tank = 12e-3
        self.identity, self.oil, self.books = 0.0, [oil_in(session)], []
        energies, supplied, heated, places = [energy_in(session)], [0.0], [0.0], []
        wait = 0
        for call in range(seconds * SECOND):
            if wait == 0:
                session.set_control("1V1.lever", float(random.choice([-1, -0.5, 0, 0.3, 0.6, 1, 1])))
                session.set_control("0M1.speed_asked", float(random.uniform(3, 9.4)))
                wait = int(random.integers(5, 150))
            wait -= 1
            session.advance(FRAME)
            residual, size = (float(value) for value in session.network.balance(session.x, session.pu))
            self.identity = max(self.identity, abs(residual) / size)
            assert np.isfinite(session.x).all()
            self.oil.append(oil_in(session))
            energies.append(energy_in(session))
            heated.append(float(session.totals[:count].sum()))
            supplied.append(float(session.totals[count:].sum()))
            places.append(session.readings.place("rod1"))
            if call % SECOND == SECOND - 1:
                assert np.isfinite(session.readings.values).all()
                self.books += [flow_ledger(session), power_ledger(session)]
        self.energies, self.supplied, self.heated = np.array(energies), np.array(supplied), np.array(heated)
        self.places = np.array(places)

    def worst_window(self) -> float:
        """Return the largest share by which the quadratures miss the stored energy over any second."""
        gain, supply, heat = (a[SECOND:] - a[:-SECOND] for a in (self.energies, self.supplied, self.heated))
        fair = np.maximum.reduce([np.abs(supply), heat, np.abs(gain), np.full_like(gain, 100.0)])
        return float((np.abs(supply - heat - gain) / fair).max())

    def check(self, window: float) -> None:
        """Assert what must hold in any run."""
        assert self.supplied[-1] > WORK
        assert (np.diff(self.heated) >= -1e-9).all()
        assert self.identity <= 1e-9
        assert self.worst_window() <= window
        assert np.abs(np.array(self.oil) - self.oil[0]).max() <= 1e-9 * self.tank
        assert self.places.min() >= -2e-3
        assert self.places.max() <= 0.2 + 2e-3
        assert np.ptp(self.places) > 0.02
        assert self.session.rough_calls == 0
        for ledger in self.books:
            assert open_by(ledger) <= 1e-9, ledger.name


def test_half_a_minute_at_the_tolerance_of_the_screen() -> None:
    Run(BENCH, 7, 1e-4, 30).check(window=5e-3)


@pytest.mark.soak
def test_half_a_minute_at_the_tolerance_of_records() -> None:
    Run(BENCH, 5, 1e-6, 30).check(window=1e-3)


@pytest.mark.soak
@settings(max_examples=5, deadline=None, derandomize=True, database=None, suppress_health_check=[*HealthCheck])
@given(seed=st.integers(0, 2**31))
def test_a_minute_at_the_tolerance_of_the_screen(seed: int) -> None:
    note(f"seed {seed}")
    Run(BENCH, seed, 1e-4).check(window=5e-3)


@pytest.mark.soak
@settings(max_examples=2, deadline=None, derandomize=True, database=None, suppress_health_check=[*HealthCheck])
@given(seed=st.integers(0, 2**31))
def test_a_minute_at_the_tolerance_of_records(seed: int) -> None:
    note(f"seed {seed}")
    Run(BENCH, seed, 1e-6).check(window=1e-3)


@pytest.mark.soak
def test_what_changes_while_it_runs_makes_no_oil() -> None:
    """Settings, wear, the weight and the oil's temperature jump every third of a second, levers as well."""
    session, random = Session(BENCH), np.random.default_rng(11)
    begin = oil_in(session)
    low_high = {name: session.network.parameter(name) for name in (
        "0V1.setting", "0V1.override", "0P1.slip", "0P1.pressure_drag", "0Z2.clogging", "1A1.leakage", "1W1.along",
        "1V1.dead_band", "1V1.load_check", "0M1.strength")}  # fmt: skip
    for _ in range(120):
        name = str(random.choice([*low_high]))
        session.set_parameter(name, float(random.uniform(low_high[name].low, low_high[name].high)))
        session.set_control("1V1.lever", float(random.choice([-1, 0, 1])))
        if random.random() < 0.3:
            session.set_temperature(float(random.uniform(-10, 80)))
        session.advance(1 / 3)
        assert np.isfinite(session.readings.values).all()
        assert abs(oil_in(session) - begin) <= 1e-9 * 12e-3
        assert -2e-3 <= session.readings.place("rod1") <= 0.202
    assert session.rough_calls == 0


@pytest.mark.soak
def test_the_screen_agrees_with_a_run_a_thousand_times_finer() -> None:
    """The same lever moves at 1e-4 and 1e-8: the rod within 1 mm, pressures within 1 bar at the end of each move."""
    found = []
    for tolerance in (1e-4, 1e-8):
        session, rows = Session(BENCH, tolerance), []
        for lever in (0.5, 1.0, 0.0, -0.5, 0.0):
            session.set_control("1V1.lever", lever)
            session.advance(2.0)
            now = session.readings
            rows.append([now.place("rod1"), now.pressure("P1"), now.pressure("A1")])
        found.append(np.array(rows))
    off = np.abs(found[0] - found[1]).max(axis=0)
    assert off[0] <= 1e-3
    assert off[1:].max() <= 1e5


def test_a_result_does_not_depend_on_the_length_of_calls() -> None:
    """Calls of 1/6000, 1/60 and 1/15 s: the same rod place after a fifth of a second."""
    places = []
    for length in (1 / 6000, 1 / 60, 1 / 15):
        session = Session(BENCH, 1e-6)
        session.set_control("1V1.lever", 1.0)
        session.advance(0.2, length=length)
        places.append(session.readings.place("rod1"))
    assert all(abs(one - other) < 1e-5 for one, other in pairwise(places))


@pytest.mark.parametrize("name", resources.rigs())
def test_what_flows_together_at_a_tank_sums_to_nothing(name: str) -> None:
    """What a piston pushes straight home is given to the tank as well as what passes valves."""
    rig = shipped(name)
    session = Session(rig)
    for lever, control in rig.controls().items():
        if lever.endswith(".lever"):
            session.set_control(lever, 0.7 * control.high)
    session.advance(0.6)
    flow = session.readings.flow
    for line in session.network.carrier:
        if rig.lines[line].kind is Kind.OIL:
            flows = [flow(*pair) for pair in rig.lines[line].joins]
            assert abs(sum(flows)) <= 1e-9 * max(map(abs, flows)) + 1e-15, line


def test_a_piston_pushes_its_ring_side_home() -> None:
    """By hand: ring area times speed, and what comes through the filter."""
    session = Session(shipped("single-acting-lift"))
    session.set_control("1V1.lever", 1.0)
    session.advance(1.5)
    now = session.readings
    ring = math.pi / 4 * (0.063**2 - 0.040**2)
    pushed = ring * now.speed("rod1")
    assert pushed > 5e-5
    assert -now.flow("1A1", "B") == pytest.approx(pushed, rel=1e-3)
    back, kept = (value for _, value in flow_ledger(session).closing)
    assert back == pytest.approx(pushed - now.flow("0Z2", "2"), rel=2e-3)
    assert back + kept == pytest.approx(now.flow("1A1", "A"), rel=0.05)
