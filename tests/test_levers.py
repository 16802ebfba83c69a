"""Lever scripts: what is held, what is led, and what is refused."""

from __future__ import annotations

import math
from pathlib import Path

import pytest

from trainer import resources
from trainer.engine.session import Session
from trainer.errors import RigError
from trainer.recording import lead
from trainer.rig import file as rig_file
from trainer.rig import levers
from trainer.rig.rig import OIL_TEMPERATURE

BENCH = rig_file.load(resources.rigs()["one-spool-bench"])
TABLE = """# a remark
time [s], 1V1.lever [%], 0M1.speed_asked [r/min] ramp
0, 0, 0
2, 50,
4, , 60

5, -100, 60
"""


def test_a_value_holds_until_the_next() -> None:
    script = levers.loads(TABLE)
    assert [script.at(t)["1V1.lever"] for t in (0, 1.999, 2, 4.5, 5, 99)] == [0, 0, 0.5, 0.5, -1, -1]


def test_a_ramp_is_a_straight_line_over_empty_cells() -> None:
    script = levers.loads(TABLE)
    turns = [script.at(t)["0M1.speed_asked"] / (2 * math.pi) for t in (0, 1, 2, 4, 6)]
    assert turns == pytest.approx([0, 0.25, 0.5, 1, 1])


def test_times_and_end() -> None:
    script = levers.loads(TABLE)
    assert script.times() == (0, 2, 4, 5)
    assert script.end == 5
    assert levers.LeverScript().end == 0
    assert levers.LeverScript().at(3) == {}


def test_before_its_first_value_a_control_is_left_alone() -> None:
    script = levers.loads("time [s], 1V1.lever [%], 0M1.speed_asked [r/min]\n0, 10,\n3, 20, 30\n")
    assert script.at(2.9) == {"1V1.lever": 0.1}
    assert set(script.at(3)) == {"1V1.lever", "0M1.speed_asked"}


def test_semicolons_with_decimal_commas() -> None:
    script = levers.loads("time [s];1V1.lever [%]\n0;0\n2,5;12,5\n")
    assert script.at(2.5) == {"1V1.lever": pytest.approx(0.125)}


def test_minutes_and_plain_ratios() -> None:
    script = levers.loads("time [min], 1V1.lever []\n0, 0\n0.5, -0.25\n")
    assert script.at(30) == {"1V1.lever": -0.25}


@pytest.mark.parametrize("name", resources.levers())
def test_shipped_scripts_fit_their_rig(name: str) -> None:
    # a script is named after its rig, and what it shows after that
    own = max((rig for rig in resources.rigs() if name == rig or name.startswith(f"{rig}-")), key=len)
    rig = rig_file.load(resources.rigs()[own])
    script = levers.load(resources.levers()[name]).checked(rig)
    assert script.times()[0] == 0
    assert {track.control for track in script.tracks} <= {*rig.controls(), *rig.loads(), OIL_TEMPERATURE.name}


def test_the_demonstration_lifts_holds_and_feathers_down() -> None:
    script = levers.load(resources.levers()["one-spool-bench"])
    lever = [script.at(t)["1V1.lever"] for t in range(21)]
    assert script.end == 20
    assert lever[0] == lever[12] == lever[20] == 0
    assert lever[4] == pytest.approx(0.5)
    assert max(lever) == 1
    assert -0.6 < min(lever) < -0.2


def test_in_the_demonstration_the_weight_moves_steadily() -> None:
    """Full lever: the speed of the rod is the pump's flow over the piston, and it ripples by less than 2 %."""
    script = levers.load(resources.levers()["one-spool-bench"])
    session = Session(BENCH)
    speeds, flows = [], []
    for frame in range(11 * 60):
        for control, value in script.at(frame / 60).items():
            session.set_control(control, value)
        session.advance(1 / 60)
        if session.time > 7.0:
            speeds.append(session.readings.speed("rod1"))
            flows.append(session.readings.flow("0P1", "P"))
    mean = sum(speeds) / len(speeds)
    assert max(speeds) - min(speeds) < 0.02 * mean
    area = math.pi * 0.040**2 / 4
    assert mean * area == pytest.approx(-sum(flows) / len(flows), rel=0.01)
    assert mean == pytest.approx(7.4e-3, rel=0.02)  # 0.56 L/min on 12.6 cm2


def test_a_load_is_set_as_a_control_is() -> None:
    """A weight's mass and a constant force: numbers of the run, in their units, held within their ranges."""
    script = levers.loads("time [s], 1W1.mass [kg]\n0, 255\n2, 400\n2.1, 255\n").checked(BENCH)
    assert [script.at(t)["1W1.mass"] for t in (0, 2.05, 3)] == [255, 400, 255]
    pressed = rig_file.loads(
        resources.rigs()["one-spool-bench"].read_text("utf-8")
        .replace('"1W1.rod"]', '"1W1.rod", "1W2.rod"]')
        .replace("[lines]", '1W2 = { is = "ConstantForce", force = "0 N" }\n\n[lines]')
        .replace("[start]\n", '[start]\n1W1.x = "100 mm"\n')
    )  # fmt: skip
    shock = levers.loads("time [s], 1W2.force [kN]\n0, 0\n1, 2.5\n1.1, 0\n").checked(pressed)
    session = Session(pressed)
    resting, most = session.readings.pressure("A1"), 0.0
    for time in lead(session, shock, 2.0):
        if time > 1.0:
            most = max(most, session.readings.pressure("A1"))
    piston = math.pi * 0.040**2 / 4
    assert session.readings.parameter("1W2", "force") == 0
    assert 1.2 * 2500 / piston < most - resting < 2.0 * 2500 / piston  # what comes at once swings, to twice at most
    assert session.readings.pressure("A1") == pytest.approx(resting, rel=0.05)


MISTAKES = {
    "nothing": ("", "no rows", "", "time [s]"),
    "only a header": ("time [s], 1V1.lever [%]\n", "no rows", "", "row of values"),
    "no time": ("1V1.lever [%]\n1\n", "bad column", "column 1", "time [s]"),
    "time in bar": ("time [bar]\n1\n", "bad column", "column 1", "time [s]"),
    "a time without its unit": ("time, 1V1.lever [%]\n0, 1\n", "bad column", "column 1",
                                "Write the time first, as time [s]."),
    "a decimal comma": ('time [s], 1V1.lever [%]\n0,"12,5"\n', "bad number", "line 2", "Write 12.5, with a point."),
    "no unit": ("time [s], 1V1.lever\n0, 1\n", "bad column", "column 2", "[%]"),
    "unknown unit": ("time [s], 1V1.lever [percent]\n0, 1\n", "bad column", "column 2", "no unit"),
    "column twice": (
        "time [s], 1V1.lever [%], 1V1.lever [%]\n0, 1, 2\n",
        "duplicate column",
        "column 3",
        "Keep one",
    ),
    "word for a number": ("time [s], 1V1.lever [%]\n0, full\n", "bad number", "line 2", "'full'"),
    "infinite": ("time [s], 1V1.lever [%]\n0, inf\n", "bad number", "line 2", "plain number"),
    "not a number": ("time [s], 1V1.lever [%]\n0, nan\n", "bad number", "line 2", "plain number"),
    "backwards": ("time [s], 1V1.lever [%]\n1, 0\n1, 1\n", "time out of order", "line 3", "rising"),
    "before the start": ("time [s], 1V1.lever [%]\n-1, 0\n", "time out of order", "line 2", "from 0"),
    "after a day": ("time [s], 1V1.lever [%]\n0, 0\n1e5, 0\n", "time out of order", "line 3", "a day"),
    "no time in a row": ("time [s], 1V1.lever [%]\n0, 0\n, 1\n", "bad row", "line 3", "Begin every row"),
    "too many cells": ("time [s], 1V1.lever [%]\n0, 0, 7\n", "bad row", "line 2", "3 cells"),
    "no value": ("time [s], 1V1.lever [%]\n0,\n", "empty column", "1V1.lever", "Give it one"),
    "no such control": ("time [s], 1V1.leaver [%]\n0, 1\n", "unknown control", "1V1.leaver", "'1V1.lever'"),
    "wrong quantity": ("time [s], 1V1.lever [mm]\n0, 1\n", "bad column", "1V1.lever", "%"),
    "too far": ("time [s], 1V1.lever [%]\n0, 0\n3, 101\n", "out of range", "1V1.lever", "3 s"),
    "a number of the machine": ("time [s], 1A1.bore [mm]\n0, 40\n", "unknown control", "1A1.bore", "1W1.mass"),
    "a load in the wrong unit": ("time [s], 1W1.mass [kN]\n0, 1\n", "bad column", "1W1.mass", "Write it in kg"),
    "a load that no rod carries": ("time [s], 1W1.mass [kg]\n0, 255\n3, 200000\n", "out of range", "1W1.mass", "3 s"),
    "too long": ("time [s]\n" + "0\n" * 30_000, "too many rows", "", "20000"),
    "too large": ("#" * 300_000, "too large", "", "256 kB"),
}  # fmt: skip


@pytest.mark.parametrize("mistake", MISTAKES)
def test_mistake_is_found_placed_and_answered(mistake: str) -> None:
    text, kind, where, words = MISTAKES[mistake]
    with pytest.raises(RigError) as caught:
        levers.loads(text, "hands.csv").checked(BENCH)
    assert str(caught.value).startswith("hands.csv: ")
    found = [fault for fault in caught.value.faults if fault.kind == kind]
    assert found
    assert where in found[0].where
    assert words in f"{found[0].problem} {found[0].remedy}"


def test_files_are_read_with_the_same_care(tmp_path: Path) -> None:
    path = tmp_path / "hands.csv"
    path.write_bytes("\ufefftime [s], 1V1.lever [%]\r\n0, 1\r\n".encode())
    assert levers.load(path).at(0) == {"1V1.lever": 0.01}
    path.write_bytes(b"\xff\xfet\0")
    with pytest.raises(RigError, match="UTF-8"):
        levers.load(path)
