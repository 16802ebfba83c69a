"""Wear that shows in warm oil only, or now and then: the same again in a replay, a rewind and a branch."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from cases import shipped

from trainer.energy.books import FlowBook
from trainer.engine.kept import Beginning, Kept, Start
from trainer.engine.session import FRAME, Session
from trainer.errors import RigError
from trainer.rig import file
from trainer.rig.defects import with_defects
from trainer.rig.rig import Rig
from trainer.rig.showing import Showing
from trainer.sounding.hearing import captions

PLAIN = """
format = 1
title = "a pump, a relief, a throttle"
[oil]
temperature = "45 C"
[parts]
0Z1 = { is = "Reservoir" }
0P1 = { is = "FixedPump" }
0M1 = { is = "SteadyDrive" }
0V1 = { is = "ReliefValve", setting = "100 bar" }
0V2 = { is = "Throttle", area = "2 mm2" }
[lines]
S = ["0Z1.S", "0P1.S"]
P = ["0P1.P", "0V1.P", "0V2.1"]
T = ["0Z1.T", "0V1.T", "0V2.2"]
n = ["0M1.shaft", "0P1.shaft"]
[start]
0M1.setting = "1500 r/min"
0V2.opening = "40 %"
"""
DIRT = 'setting = "100 bar", held_open = "failed for 0.4 s every 1 s, seed 3"'


def rig_of(worn: str) -> Rig:
    return file.loads(PLAIN.replace('setting = "100 bar"', worn))


@pytest.fixture(scope="module")
def dirty() -> Session:
    return Session(rig_of(DIRT))


def test_how_much_shows() -> None:
    """Half at half the way between two temperatures, cold or warm; now and then for about its time, by its seed."""
    assert Showing().share(5.0, 20.0) == 1.0
    assert [Showing((50.0, 60.0)).share(0.0, warm) for warm in (40, 55, 60, 80)] == [0.0, 0.5, 1.0, 1.0]
    assert [Showing((30.0, 20.0)).share(0.0, warm) for warm in (45, 25, 0)] == [0.0, 0.5, 1.0]
    times = np.arange(0.0, 6000.0, 0.5)
    shares = [np.array([Showing(None, 8.0, 60.0, seed).share(time, 45.0) for time in times]) for seed in (1, 2)]
    for share in shares:
        assert share.mean() == pytest.approx(8 / 60, rel=0.15)
        assert (share.reshape(100, 120).max(axis=1) == 1.0).all(), "in every minute it shows once"
        begins = np.flatnonzero((share[1:] > 0) & (share[:-1] == 0)) % 120
        assert np.ptp(begins) > 60, "at other moments each time"
    assert not np.array_equal(shares[0], shares[1])


def test_it_is_written_and_read_as_it_is() -> None:
    for words in (
        "failed for 0.4 s every 1 s, seed 3", "marginal from 50 C to 65 C", "mild from 20 C to 5 C",
        "2 mm2 from 122 F to 149 F for 10 s every 1 min",
    ):  # fmt: skip
        rig = rig_of(f'setting = "100 bar", held_open = "{words}"')
        assert file.loads(file.dump(rig)).parts["0V1"] == rig.parts["0V1"]
        assert rig.shows.keys() == {"0V1.held_open"}
    assert rig.shows["0V1.held_open"] == Showing((50.0, 65.0), 10.0, 60.0)
    new = replace(rig.parts["0V1"], values={})
    assert replace(rig, parts={**rig.parts, "0V1": new}).shows == {}


@pytest.mark.parametrize("words", [
    "failed from 50 C", "failed from 50 C to 50 C", "failed for 2 s", "failed for 9 s every 2 s",
    "failed from 5 to 9", "failed from warm to hot", "failed for 1 s every 2 h", f"failed from {'9' * 200} C to 5 C",
])  # fmt: skip
def test_what_does_not_say_when_is_refused(words: str) -> None:
    with pytest.raises(RigError) as found:
        rig_of(f'setting = "100 bar", held_open = "{words}"')
    assert "0V1" in found.value.faults[0].where
    assert found.value.faults[0].remedy


def test_gas_that_has_leaked_away_does_not_come_back() -> None:
    """The gas is stored energy: it would have to be brought from somewhere."""
    with pytest.raises(RigError) as found:
        with_defects(shipped("accumulator-unloading"), ["0Z3.gas_lost = mild for 1 s every 9 s"])
    assert "come and go" in found.value.faults[0].problem


def test_now_and_then_the_gauge_falls(dirty: Session) -> None:
    """Full relief; then 16.5 L/min through 0.8 and 6 mm2 at Cd 0.65 take 870 / 2 (q / (Cd A))^2 = 16.8 bar."""
    dirty.reset()
    found = []
    for _ in range(180):
        dirty.advance(FRAME)
        found.append((dirty.readings.parameter("0V1", "held_open"), dirty.readings.pressure("P")))
    worn, pressure = np.array(found).T
    assert set(worn[(worn == 0) | (worn == 6e-6)]) == {0.0, 6e-6}
    assert pressure[worn == 0].max() > 90e5
    assert pressure[worn == 6e-6] == pytest.approx(16.8e5, rel=0.03)
    assert 0.15 < (worn > 0).mean() < 0.7
    assert dirty.rough_calls == 0
    assert dirty.asked("0V1.held_open") == 6e-6, "what is set stays as it is set"


def test_it_is_the_same_again(dirty: Session) -> None:
    dirty.reset()
    instants = []
    for frame in range(150):
        if frame == 50:
            dirty.set_control("0V2.opening", 0.6)
        dirty.advance(FRAME)
        instants.append((dirty.x.copy(), dirty.pu.copy()))
    record = list(dirty.record)
    for frame in (140, 31, 77):
        dirty.rewind((frame + 1) * FRAME)
        assert np.array_equal(dirty.x, instants[frame][0])
        assert np.array_equal(dirty.pu[1:], instants[frame][1][1:])
        assert dirty.then() == {}, "no hand has changed the machine"
    dirty.rewind(100 * FRAME)
    dirty.advance(50 * FRAME)
    assert np.array_equal(dirty.x, instants[-1][0]), "gone on from the past"
    dirty.replay(record)
    assert np.array_equal(dirty.x, instants[-1][0])


def test_mended_it_does_not_come_back(dirty: Session) -> None:
    dirty.reset()
    dirty.set_parameter("0V1.held_open", 0.0)
    for _ in range(90):
        dirty.advance(FRAME)
        assert dirty.readings.parameter("0V1", "held_open") == 0.0
        assert dirty.readings.pressure("P") > 60e5
    dirty.set_parameter("0V1.held_open", 6e-6)


@pytest.fixture(scope="module")
def beating() -> Session:
    return Session(rig_of('setting = "100 bar", chatter = "marginal"'))


def test_a_relief_that_chatters_makes_the_gauge_flutter(beating: Session) -> None:
    """Down to a tenth below what it held, several times a second, with more or less oil over it; it can be heard."""
    beating.reset()
    pressures, flows = [], []
    for _ in range(120):
        beating.advance(FRAME)
        pressures.append(beating.readings.pressure("P"))
        flows.append(beating.readings.stream("0V1", "over_relief"))
    pressure = np.array(pressures)
    assert pressure.max() == pytest.approx(95.85e5, rel=1e-3), "as one does that is sound"
    assert pressure.min() == pytest.approx(0.9 * pressure.max(), rel=0.01)
    middle = pressure > pressure.mean()
    assert 10 <= np.count_nonzero(middle[1:] & ~middle[:-1]) <= 24, "in two seconds, at 7.3 and 11.9 Hz"
    assert max(flows) > 3 * min(flows)
    assert "relief buzzes" in captions(beating)
    assert beating.rough_calls == 0


def test_it_chatters_the_same_again_until_it_is_mended(beating: Session) -> None:
    beating.reset()
    instants = []
    for _ in range(100):
        beating.advance(FRAME)
        instants.append((beating.x.copy(), beating.pu.copy()))
    record = list(beating.record)
    beating.rewind(41 * FRAME)
    assert np.array_equal(beating.x, instants[40][0])
    assert np.array_equal(beating.pu[1:], instants[40][1][1:])
    beating.advance(59 * FRAME)
    assert np.array_equal(beating.x, instants[-1][0]), "gone on from the past"
    beating.replay(record)
    assert np.array_equal(beating.x, instants[-1][0])
    beating.set_parameter("0V1.chatter", 0.0)
    beating.advance(2 * FRAME)
    held = beating.readings.pressure("P")
    beating.advance(10 * FRAME)
    assert beating.readings.pressure("P") == pytest.approx(held, rel=1e-4)
    assert "relief buzzes" not in captions(beating)
    beating.set_parameter("0V1.chatter", 0.1)


def test_it_shows_as_the_oil_warms() -> None:
    """Of the numbers: a slip of ten times, half of it shown at 55 C, in the flow that its working has."""
    session = Session(rig_of('setting = "100 bar"'), settle=False)
    healthy = session.readings.parameter("0P1", "slip")
    worn = file.loads(PLAIN.replace('"FixedPump"', '"FixedPump", slip = "failed from 50 C to 60 C"'))
    session = Session(worn, settle=False)
    assert session.readings.parameter("0P1", "slip") == healthy
    for warm, times in ((55.0, 5.5), (70.0, 10.0), (45.0, 1.0)):
        session.set_temperature(warm)
        session.advance(FRAME)
        assert session.readings.parameter("0P1", "slip") == pytest.approx(times * healthy, rel=1e-3)


def test_what_is_wrong_with_the_oil_comes_and_goes_as_well() -> None:
    """It shows in warm oil only: thinner by what it lacks, air within seconds; before that the oil is as it was."""
    sound = Session(rig_of('setting = "100 bar"'), settle=False)
    wrong = 'thinned = "50 % from 50 C to 60 C", froth = "5 % from 50 C to 60 C"'
    worn = PLAIN.replace('"Reservoir"', f'"Reservoir", {wrong}')
    session = Session(file.loads(worn), settle=False)
    viscosity, air = (session.network.pu_index[name] for name in ("oil.viscosity", "0Z1.air"))
    for warm, share in ((45.0, 0.0), (55.0, 0.5), (70.0, 1.0), (45.0, 0.0)):
        for one in (sound, session):
            one.set_temperature(warm)
            one.advance(FRAME)
        assert session.readings.parameter("0Z1", "thinned") == pytest.approx(0.5 * share, abs=1e-3)
        assert session.pu[viscosity] == pytest.approx((1 - 0.5 * share) * sound.pu[viscosity], rel=2e-3)
        before = session.pu[air]
        session.advance(30.0, 0.1)
        sound.advance(30.0, 0.1)
        assert (session.pu[air] > before) == (share > 0)
        if share:  # the oil warms meanwhile, and more of it shows
            assert session.pu[air] == pytest.approx(session.readings.parameter("0Z1", "froth"), rel=0.05)


def test_the_books_close_while_it_comes_and_goes(dirty: Session) -> None:
    dirty.reset()
    book = FlowBook(dirty.network)
    for _ in range(40):
        dirty.advance(FRAME)
        ledger = book.ledger(dirty.readings)
        assert sum(entry.value for entry in ledger.entries) == pytest.approx(ledger.total, rel=1e-6)


def test_what_is_kept_of_a_rig_knows_of_it(tmp_path: Path) -> None:
    """A rig in which the same wear always shows has other equations, and another settled start."""
    dirty, always = rig_of(DIRT), rig_of('setting = "100 bar", held_open = "failed"')
    begin, start = Beginning([], [], 45.0, {}, {}), Start([], [], 45.0, 0)
    kept = Kept(tmp_path)
    kept.keep_start(dirty, 1e-4, begin, start)
    kept.write()
    assert kept.start(dirty, 1e-4, begin) == start
    assert kept.start(always, 1e-4, begin) is None
