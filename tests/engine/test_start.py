"""The start of a rig: t = 0 is what ``[start]`` writes, with oil that carries it, or as it is written."""

from __future__ import annotations

import math
from pathlib import Path

import casadi as ca
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from trainer import cli, resources
from trainer.engine.session import Session
from trainer.errors import RigError
from trainer.parts import oil
from trainer.rig import file as rig_file
from trainer.rig.rig import Rig

BENCH = resources.rigs()["one-spool-bench"].read_text("utf-8")
CAP, ANNULUS = math.pi / 4 * 0.040**2, math.pi / 4 * (0.040**2 - 0.025**2)  # of the bench's cylinder [m2]
WEIGHT = 255 * 9.80665  # N


def started(*entries: str) -> Rig:
    """Return the bench with entries in its start."""
    return rig_file.loads(BENCH.replace("[start]\n", "\n".join(["[start]", *entries, ""])), "yard.toml")


def carried(session: Session) -> float:
    """Return the force that the oil puts up against the weight [N]."""
    return session.readings.pressure("A1") * CAP - session.readings.pressure("B1") * ANNULUS


def test_a_rod_stands_where_the_start_puts_it_and_its_oil_carries_it() -> None:
    """Held through the silent run; weight = pressure times area, by hand, but for the cylinder's friction."""
    session = Session(started('1W1.x = "20 mm"'))
    assert session.time == 0.0
    assert session.readings.place("rod1") == 0.02
    assert carried(session) == pytest.approx(WEIGHT, rel=0.02)
    session.advance(1.0)
    assert session.readings.place("rod1") == pytest.approx(0.02, abs=1e-4)
    session.reset()
    assert session.readings.place("rod1") == 0.02


def test_what_moves_in_the_start_moves_through_the_place_it_is_put() -> None:
    """A lever at its end: the rod is at the place and on its way, with the pump against the weight."""
    session = Session(started('1W1.x = "50 mm"', '1V1.lever = "100 %"'))
    assert session.readings.place("rod1") == 0.05
    assert session.readings.pressure("P1") > 0.9 * WEIGHT / CAP
    session.advance(1.0)
    assert session.readings.place("rod1") > 0.053


def test_without_a_silent_run_it_is_as_written() -> None:
    session = Session(started('1W1.x = "20 mm"', 'A1 = "30 bar"', 'settle = "none"'))
    live = session.readings
    assert live.place("rod1") == 0.02
    assert live.pressure("A1") == pytest.approx(30e5, abs=1.0)
    for line in ("P1", "B1", "R"):
        assert live.pressure(line) == pytest.approx(0.0, abs=1.0)
    assert live.speed("rod1") == 0.0
    session.advance(0.5)  # 30 bar are more than the weight asks: it rises until its own pressure is left
    assert session.readings.place("rod1") > 0.0201
    assert carried(session) == pytest.approx(WEIGHT, rel=0.02)


def test_a_pressure_of_the_start_is_held_through_the_silent_run() -> None:
    session = Session(started('A1 = "35 bar"'))
    assert session.readings.pressure("A1") == pytest.approx(35e5, abs=1.0)


@given(
    st.floats(-0.9e5, 600e5), st.floats(1e-6, 1e-2), st.floats(0.0, 1e-12), st.floats(0.0, 0.1), st.floats(0.0, 20.0)
)
def test_content_is_the_oil_law_backwards(
    pressure: float, volume: float, compliance: float, air: float, stiffening: float
) -> None:
    """With its walls, to a millionth of a bar or of the pressure: conservation of the content."""
    now = oil.properties("VG 46", 45.0, air, stiffening=stiffening)
    content = oil.content(ca.DM(pressure), volume, compliance, now)
    _, again = oil.of_content(content, volume, compliance, now)
    assert float(again) == pytest.approx(pressure, rel=1e-6, abs=0.5)


def test_it_is_written_back() -> None:
    rig = started('1W1.x = "20 mm"', 'A1 = "50 bar"', 'settle = "none"')
    assert (rig.settle, rig.start["A1"]) == ("none", 50e5)
    assert rig_file.loads(rig_file.dump(rig), rig.source) == rig
    assert "settle" not in rig_file.dump(started('settle = "hold"'))


@pytest.mark.parametrize(
    ("entry", "words"),
    [
        ('settle = "no"', "[start] settle: 'no' is no way to reach a start. Write \"hold\""),
        ("settle = 3", "the number 3 is no way"),
        ('A1 = "700 bar"', "[start] A1: 700 bar is outside -0.9 bar … 600 bar"),
        ('A1 = "50 mm"', "'50 mm' is a length. Write a pressure in"),
        ('S = "1 bar"', "[start] S: this line has no pressure of its own"),
        ('crank = "1 bar"', "it holds no oil"),
        ('A9 = "1 bar"', "no part or line of this rig has this to start with. Write part and name"),
    ],
)
def test_mistakes_are_told(entry: str, words: str) -> None:
    with pytest.raises(RigError) as caught:
        started(entry)
    assert len(caught.value.faults) == 1
    assert words in str(caught.value)


def test_a_session_without_a_silent_run_counts_from_nothing() -> None:
    session = Session(started('settle = "none"'))
    assert (session.time, len(session.record), session.place) == (0.0, 0, 0)
    assert np.all(session.totals == 0.0)


@pytest.mark.parametrize(
    ("entries", "words"),
    [
        ([], "starts after a silent run of 20 s"),
        (['1W1.x = "20 mm"', 'A1 = "9 bar"'], "starts after a silent run of 20 s that holds 1W1.x, A1"),
        (['1W1.x = "20 mm"', 'settle = "none"'], "starts as written (1W1.x), without a silent run"),
    ],
)
def test_check_says_how_the_start_is_reached(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], entries: list[str], words: str
) -> None:
    file = tmp_path / "yard.toml"
    file.write_text(rig_file.dump(started(*entries)), "utf-8")
    assert cli.main(["check", str(file)]) == 0
    assert capsys.readouterr().out.rstrip().endswith(words)
