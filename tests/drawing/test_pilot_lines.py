"""Pilot lines are thin and dashed; a section's centre is drawn as what it joins."""

from __future__ import annotations

import pytest
from cases import first, shipped

from trainer.drawing.pipes import Pipes, pilot_runs
from trainer.drawing.scene import Scene
from trainer.drawing.shapes import Path
from trainer.drawing.theme import LIGHT
from trainer.engine.session import Session
from trainer.parts.closed_centre import FourWaySection
from trainer.rig import file as rig_file

ONE = """
format = 1
title = "One section"
[parts]
0Z1 = {{ is = "Reservoir" }}
0M1 = {{ is = "SteadyDrive" }}
0P1 = {{ is = "PressureCompensatedPump", cut_off = "60 bar" }}
1V1 = {{ is = "FourWaySection", centre = "{centre}" }}
[lines]
m = ["0M1.shaft", "0P1.shaft"]
S = ["0Z1.S", "0P1.S"]
P = ["0P1.P", "1V1.P"]
A = ["1V1.A"]
B = ["1V1.B"]
T = ["1V1.T", "0P1.L", "0Z1.T"]
[start]
0M1.setting = "1500 r/min"
"""


@pytest.mark.parametrize(
    ("name", "whole", "part", "none"),
    [
        ("load-sensing", ("LS",), (), ("P1", "A1", "T")),
        ("pilot-joystick", ("XA", "XB"), ("PX", "R"), ("P1", "A1", "T")),
        ("counterbalance-boom", (), (), ("P1", "R")),
    ],
)
def test_lines_that_only_tell_a_pressure_are_pilot_lines(
    name: str, whole: tuple[str, ...], part: tuple[str, ...], none: tuple[str, ...]
) -> None:
    """All of a line between ports that are told a pressure; of others the branch that leads to such a port."""
    scene = Scene(shipped(name))
    pilots = pilot_runs(scene.rig, scene.pipes.nets)
    for line, net in scene.pipes.nets.items():
        dashed = [run in pilots for run in net.runs]
        assert line not in whole or all(dashed), line
        assert line not in part or (any(dashed) and not all(dashed)), line
        assert line not in none or not any(dashed), line
    if name == "counterbalance-boom":
        assert any(("1V2", "X") in run.far for run in pilots), "the branch to its pilot"


def test_a_pilot_line_is_thinner_than_a_work_line_and_dashed() -> None:
    scene = Scene(shipped("load-sensing"))
    pipes = Pipes(scene.pipes.nets, LIGHT, pilot_runs(scene.rig, scene.pipes.nets))
    told, work = (pipes.painted(line, 2)[1][0] for line in ("LS", "P1"))
    assert isinstance(told, Path)
    assert isinstance(work, Path)
    assert told.dash
    assert not work.dash
    assert told.width < 0.6 * work.width


@pytest.mark.parametrize(
    ("centre", "joins"), first(1, [("tandem", "PT"), ("float", "AT BT"), ("regenerative", "PA PB")])
)
def test_a_centre_shows_the_ways_that_it_opens(centre: str, joins: str) -> None:
    """At rest the pipes of what it joins; moved, those of the outer square."""
    rig = rig_file.loads(ONE.format(centre=centre), "rig")
    assert rig.parts["1V1"].part is FourWaySection
    scene, session = Scene(rig), Session(rig)
    ways = {f"{one.start}{one.end}" for one in scene._sections["1V1"].picture(session.readings).passages if one.end}
    assert ways == set(joins.split())
    session.set_control("1V1.lever", 1.0)
    session.advance(0.5)
    ways = {f"{one.start}{one.end}" for one in scene._sections["1V1"].picture(session.readings).passages if one.end}
    assert ways == {"PA", "BT"}
