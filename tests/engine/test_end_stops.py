"""A cylinder driven into both stops by pump and load, with its numbers at the corners of their ranges."""

from __future__ import annotations

import numpy as np
import pytest
from cases import first
from ledgers import book_of, flow_ledger, power_ledger

from trainer.drawing.ledger_view import ledger_text
from trainer.energy.ledger import Ledger
from trainer.engine.session import FRAME, Session
from trainer.parts.cylinder import Cylinder
from trainer.parts.part import Parameter
from trainer.rig import file as rig_file
from trainer.rig.rig import Rig
from trainer.units import UNITS, System
from trainer.working import Subject, about

RIG = """
format = 1
title = "Into the stops"
[oil]
temperature = "{oil} C"
[parts]
0Z1 = {{ is = "Reservoir", volume = "1000 L" }}
0M1 = {{ is = "SteadyDrive" }}
0P1 = {{ is = "FixedPump", displacement = "{pump} cm3/rev" }}
0V1 = {{ is = "ReliefValve", setting = "{setting} bar" }}
1V1 = {{ is = "OpenCentreSection", rated_flow = "{flow} L/min" }}
1A1 = {{ is = "Cylinder", {own} }}
1W1 = {{ is = "Weight", mass = "{mass} kg", along = {along} }}
[lines]
m = ["0M1.shaft", "0P1.shaft"]
S = ["0Z1.S", "0P1.S"]
P = ["0P1.P", "0V1.P", "1V1.C", "1V1.P"]
A = ["1V1.A", "1A1.A"]
B = ["1V1.B", "1A1.B"]
T = ["1V1.C1", "1V1.T", "0V1.T", "0Z1.T"]
rod = ["1A1.rod", "1W1.rod"]
[start]
0M1.setting = "1500 r/min"
1W1.x = "{place} m"
"""
MOST = 9e-3  # m beyond a stop: 100 t on the softest stop of the smallest bore


def begun(own: dict[str, float], place: float, **numbers: float) -> Session:
    """Return a session of the rig with a cylinder's numbers [SI] and its rod at a place [m]."""
    written = []
    for name, number in own.items():
        quantity = Cylinder.declared(Parameter)[name].quantity
        unit = next(symbol for symbol, unit in UNITS.items() if unit.quantity == quantity and unit.factor == 1.0)
        written.append(f'{name} = "{number!r} {unit}"' if unit else f"{name} = {number!r}")
    flow = numbers["pump"] * 1.5
    rig = rig_file.loads(RIG.format(own=", ".join(written), place=place, flow=max(flow, 0.2), **numbers), "corner")
    return Session(rig)


def pressed(session: Session, lever: float) -> float:
    """Hold a lever for two seconds and return the least volume of oil in the cylinder [m3]; nothing may fail."""
    session.set_control("1V1.lever", lever)
    least = np.inf
    for _ in range(120):
        session.advance(FRAME)
        volumes = session.network.volumes(session.x, session.pu)
        least = min(least, volumes.min())
    assert session.rough_calls == 0
    assert np.isfinite(session.readings.values).all()
    return float(least)


def beyond(session: Session) -> float:
    """Return how far the rod is past one of its stops [m]."""
    place = session.readings.place("rod")
    return max(-place, place - session.rig.value("1A1", "stroke"))


def test_the_default_stop_of_a_large_bore_holds() -> None:
    """160 mm at 250 bar, 503 kN: the stop gives 0.2 mm, and the rod end keeps its oil."""
    own = {"bore": 0.160, "rod": 0.090, "stroke": 0.3}
    session = begun(own, 0.29, pump=60.0, setting=250.0, mass=500.0, along=0.0, oil=45.0)
    least = pressed(session, 1.0)
    assert session.readings.pressure("A") == pytest.approx(250e5, rel=0.06)
    assert beyond(session) == pytest.approx(0.2e-3, rel=0.1)
    assert least > 40e-6
    assert pressed(session, -1.0) > 40e-6


def corner(random: np.random.Generator) -> tuple[dict[str, float], dict[str, float]]:
    """Return a cylinder's numbers and the rig's, each at an end of its range, a third of them at the default."""
    own: dict[str, float] = {}
    for name, parameter in Cylinder.declared(Parameter).items():
        own[name] = float(random.choice([parameter.low, parameter.start, parameter.high]))
    own["rod"] = min(own["rod"], 0.95 * own["bore"])
    ends = {
        "pump": (2.0, 250.0),
        "setting": (5.0, 450.0),
        "mass": (0.5, 1e5),
        "along": (-1.0, 1.0),
        "oil": (-15.0, 90.0),
    }
    return own, {name: float(random.choice(both)) for name, both in ends.items()}


@pytest.mark.parametrize("seed", first(1, range(40)))
def test_corners_of_the_ranges_on_a_network(seed: int) -> None:
    """Both stops, each from 2 mm before it, with full levers: no call fails, no volume is lost, the stop holds."""
    own, numbers = corner(np.random.default_rng(seed))
    for place, levers in ((0.002, (-1.0, 1.0)), (own["stroke"] - 0.002, (1.0, -1.0))):
        session = begun(own, place, **numbers)
        for lever in levers:
            assert pressed(session, lever) > 0.0
            assert beyond(session) < MOST


# -- what the ledgers say of it ------------------------------------------------------------------------------------


def sums(ledger: Ledger) -> None:
    """Assert that a ledger's entries sum to its total."""
    assert abs(sum(entry.value for entry in ledger.entries) - ledger.total) <= 1e-9 * abs(ledger.total)


@pytest.mark.soak
def test_a_slew_at_its_end_stop_says_so(loader: Rig) -> None:
    session = Session(loader)
    session.set_control("2V1.lever", 1.0)
    session.advance(1.0)
    entries = (*power_ledger(session).entries, *flow_ledger(session).entries)
    assert not [entry for entry in entries if "end stop" in entry.shown or "at its end" in entry.shown]
    session.advance(12.0)
    now, power, flow = session.readings, power_ledger(session), flow_ledger(session)
    assert now.place("slew") > np.radians(105.0)
    sums(power)
    sums(flow)
    (ended,) = [entry for entry in power.entries if entry.name == "Slew motor at its end stop"]
    keys = [key for key in session.network.heats if key[0] == "2A1"]
    assert ended.value == pytest.approx(sum(now["heat", *key] for key in keys))
    assert ended.parts == ("2A1",)
    (lines,) = [entry for entry in power.entries if entry.name == "Lines, filter, friction"]
    assert lines.value < 0.05 * power.total  # 79 % of the power stood here
    assert "2A1" not in lines.parts
    (relief,) = [entry for entry in power.entries if entry.style == "relief"]
    assert relief.shown == "Over the relief, slew motor at its end"
    assert relief.value + ended.value > 0.7 * power.total
    (drawn,) = [entry for entry in flow.entries if entry.name == "Slew, port A"]
    assert drawn.shown == "Slew, at its end stop"
    assert drawn.name in {account.name for account in book_of(session.network).accounts}  # what it is called lasts
    printed = [row.name for row in ledger_text(power, System.METRIC).rows]
    assert {"Slew motor at its end stop", relief.shown} <= set(printed)
    for entry in (ended, lines):
        working, *_ = about(loader, now, Subject("ledger", entry.id))
        assert working.result.value == pytest.approx(entry.value)
        assert sum(term.value for term in working.terms) == pytest.approx(entry.value, rel=1e-4)


@pytest.mark.soak
def test_the_relief_at_the_end_of_a_stroke_is_called_so(loader: Rig) -> None:
    session = Session(loader)
    session.set_control("3V1.lever", 1.0)
    session.advance(12.0)
    power, flow = power_ledger(session), flow_ledger(session)
    sums(power)
    sums(flow)
    assert [e.shown for e in power.entries if e.style == "relief"] == ["Over the relief, boom at its end"]
    assert [e.shown for e in flow.entries if e.style == "relief" and e.value > 0.5 * flow.total] == [
        "Over the relief 2V0, boom at its end"
    ]
    assert [e.shown for e in flow.entries if e.name == "Over the relief 0V1"] == ["Over the relief 0V1"]
    session.set_control("3V1.lever", 0.0)
    session.advance(1.0)
    assert not [entry for entry in power_ledger(session).entries if entry.note and entry.style == "relief"]


def test_a_relief_that_a_load_opens_is_not_called_the_end_of_a_stroke(bench: Rig) -> None:
    """Its rod half way, the relief set below what the weight needs: nothing stands at an end."""
    session = Session(bench)
    session.set_control("1V1.lever", 1.0)
    session.advance(4.0)
    session.set_parameter("0V1.setting", 10e5)
    session.advance(1.0)
    relief = [entry for entry in power_ledger(session).entries if entry.style == "relief"]
    stroke = session.readings.parameter("1A1", "stroke")
    rod = session.network.line_of["1A1", "rod"]
    assert 0.02 * stroke < session.readings.place(rod) < 0.98 * stroke
    assert relief[0].value > 0
    assert relief[0].shown == relief[0].name
