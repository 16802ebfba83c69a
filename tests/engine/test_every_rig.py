"""Every shipped rig, by hands that know nothing: the books close, no call fails, and what creeps has its leak."""

from __future__ import annotations

from collections import defaultdict

import numpy as np
import pytest
from cases import first, shipped
from ledgers import flow_ledger, open_by, power_ledger

from trainer import resources
from trainer.engine.session import Session
from trainer.parts.part import Kind, Loss
from trainer.parts.roles import Actuator
from trainer.rig.rig import Rig

RIGS = sorted(resources.rigs(), key=lambda name: (name not in ("three-throttles", "bank-series"), name))
STEERED = {  # rigs whose valves have spools that follow pressures, and when all has come to an even motion [s]
    "clamp-and-feed": 6.0,  # that long: it gets an even flow, and only the seals calm its load
    "constant-pressure": 3.0, "counterbalance-boom": 3.0, "flow-control": 3.0, "flow-sharing": 3.0,
    "gear-flow-divider": 3.0, "load-sensing": 3.0, "pilot-joystick": 3.0, "priority-steering": 3.0,
    "proportional-and-servo": 3.0, "synchronised-wings": 3.0,
}  # fmt: skip
CALL = 1 / 30  # s
ROUGH = 1e-4  # share of the calls that an emergency step may make
MINUTES = 10
NOTHING, WATT = 1e-10, 1e-2  # m3/s and W: what is less is that all stands
VACUUM = -0.98e5  # Pa: where oil is torn apart
CREEP = 0.01e-3 / 60  # m/s: what may move without a leak that moves it
BOOKED, TORN = 1e-9, 1e-7  # share by which a ledger may miss its total; where oil is torn the law is rounded


def levers(rig: Rig) -> list[str]:
    """Return the levers of a rig, and what sets its prime movers' speeds."""
    return [name for name in rig.controls() if name.endswith((".lever", ".speed_asked", ".setting"))]


def go_by_chance(name: str, seconds: float, seed: int = 7) -> Session:
    """Return a session after some time of random levers; all that must hold has been looked at on the way."""
    session, random = Session(shipped(name)), np.random.default_rng(seed)
    able = levers(session.rig)
    limits = session.rig.controls()
    begun = session.rough_calls
    oil = [line for line, of in session.rig.lines.items() if of.kind is Kind.OIL]
    calls, wait = round(seconds / CALL), dict.fromkeys(able, 0)
    for call in range(calls):
        for control in able:
            if wait[control] == 0:
                low, high = limits[control].low, limits[control].high
                lever = control.endswith(".lever")  # what drives the pump turns as it should, or stands
                places = (low, 0.4 * low, 0.0, 0.0, 0.3 * high, high) if lever else (0.0, 0.4 * high, 0.6 * high)
                session.set_control(control, float(random.choice(places)))
                wait[control] = int(random.integers(3, 90))
            wait[control] -= 1
        session.advance(CALL, CALL)
        if call % 15 == 14:
            assert np.isfinite(session.readings.values).all()
            residual, size = (float(value) for value in session.network.balance(session.x, session.pu))
            torn = any(session.readings.pressure(line) < VACUUM for line in oil)
            share = TORN if torn else BOOKED
            assert abs(residual) <= share * max(size, WATT)
            assert open_by(flow_ledger(session), NOTHING) <= BOOKED
            assert open_by(power_ledger(session), WATT) <= share
    assert session.rough_calls - begun <= ROUGH * calls
    return session


@pytest.mark.parametrize("name", first(2, RIGS))
def test_under_random_levers_the_books_close_and_no_call_is_rough(name: str) -> None:
    go_by_chance(name, 2.0)


@pytest.mark.soak
@pytest.mark.parametrize("name", RIGS)
def test_two_minutes_of_random_levers(name: str) -> None:
    go_by_chance(name, 120.0)


@pytest.mark.soak
@pytest.mark.parametrize(("name", "seconds"), STEERED.items())
def test_no_valve_hunts(name: str, seconds: float) -> None:
    """Some seconds after its first lever stands at half, what moves moves evenly and no pressure swings.

    A locked leg hunts by right, a motor below its least speed sticks and slips, an accumulator fills and empties.
    """
    session = Session(shipped(name))
    rig = session.rig
    session.set_control(next(control for control in levers(rig) if control.endswith(".lever")), 0.5)
    session.advance(seconds)
    pressures = [line for line, of in rig.lines.items() if of.kind is Kind.OIL and not rig.at_tank(line)]
    moving = [line for line, of in rig.lines.items() if of.kind in (Kind.ROD, Kind.SHAFT)]
    seen = []
    for _ in range(60):
        session.advance(CALL / 2, CALL / 2)
        live = session.readings
        seen.append([*(live.pressure(line) for line in pressures), *(live.speed(line) for line in moving)])
    swings, means = np.ptp(seen, axis=0), np.abs(np.mean(seen, axis=0))
    most = 0.05 * means + np.array([0.5e5] * len(pressures) + [1e-3] * len(moving))  # 0.5 bar, 1 mm/s
    names = [*pressures, *moving]
    assert [names[k] for k in np.flatnonzero(swings > most)] == []
    assert max(mean for line, mean in zip(names, means, strict=True) if line in moving and line != "drive") > 2e-3


def joined(session: Session, line: str) -> set[str]:
    """Return the oil lines that oil goes to and from ``line`` by another way than a leak, ``line`` with them."""
    network, live, found = session.network, session.readings, {line}
    open_ways = [
        (network.line_of[id_, start], network.line_of[id_, end])
        for id_, model in network.models.items()
        for name, (start, end) in model.streams.items()
        if model.heats[name].loss is not Loss.LEAKAGE and abs(live.stream(id_, name)) > 1e-13
    ]
    while more := {b for way in open_ways for a, b in (way, way[::-1]) if a in found and b not in found}:
        found |= more
    return found


def leaks_into(session: Session, lines: set[str]) -> float:
    """Return what leaks into some oil lines through all seats and clearances on them [m3/s]; out is less than 0."""
    network, live = session.network, session.readings
    return sum(
        live.stream(id_, name) * ((network.line_of[id_, end] in lines) - (network.line_of[id_, start] in lines))
        for id_, model in network.models.items()
        for name, (start, end) in model.streams.items()
        if model.heats[name].loss is Loss.LEAKAGE
    )


@pytest.mark.soak
@pytest.mark.parametrize("name", RIGS)
def test_ten_minutes_of_neutral(name: str) -> None:
    """What creeps with all levers at rest goes at the pace of the named leaks of its chambers; nothing else creeps.

    What leaks in and is not swept by the piston presses the oil there, and the other way round.
    """
    session = Session(shipped(name))
    session.advance(60.0 * MINUTES - 1.0, 1.0)
    before = session.readings
    session.advance(1.0, 1.0)
    rig, live = session.rig, session.readings
    assert session.rough_calls == 0
    tanks = {line for line in rig.lines if rig.lines[line].kind is Kind.OIL and rig.at_tank(line)}
    swept, creeping = defaultdict[str, float](float), set[str]()  # by oil line [m3/s], and those that creep
    for id_, role in rig.having(Actuator).items():
        speed = live.speed(rig.line_of(id_, role.output).name) if role.linear else 0.0
        areas = [live.value(id_, area) for area in role.areas]
        for port, area in zip(role.chambers, (*areas[:1], *(-area for area in areas[1:])), strict=False):
            line = rig.line_of(id_, port).name
            swept[line] += area * speed
            if abs(speed) > CREEP:
                creeping.add(line)
    for line in creeping:
        lines = joined(session, line)
        if lines & tanks:
            continue
        wanted, rise = sum(swept[one] for one in lines), live.pressure(line) - before.pressure(line)
        kept = leaks_into(session, lines) - wanted
        assert abs(kept) <= 0.1 * abs(wanted) or kept * rise > 0, (
            f"{line}: {wanted:.1e}, {kept:.1e} m3/s, {rise} Pa/s"
        )
