"""Workings of pumps, pilots and valves that the rigs of ``test_working`` do not have, held against the engine."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import pytest
from cases import first, shipped
from ledgers import book_of
from test_working import agrees, entries

from trainer.engine.session import Session
from trainer.rig import file as rig_file
from trainer.units import System
from trainer.working import Subject, about, workings

VALVES = """
format = 1
title = "Valves that no shipped rig has"
[parts]
0Z1 = { is = "Reservoir" }
0M1 = { is = "SteadyDrive" }
0P1 = { is = "PressureCompensatedPump", rated_speed = "1500 r/min", cut_off = "120 bar" }
0P2 = { is = "HandPump" }
0V1 = { is = "ReliefValve", setting = "60 bar", rated_flow = "2 L/min" }
1V1 = { is = "ProportionalValve", feedback = "no" }
2V1 = { is = "ServoValve", null_shift = "5 %" }
3V1 = { is = "FourWaySection", centre = "regenerative" }
4V1 = { is = "FourWaySection", centre = "tandem" }
1V2 = { is = "Orifice", diameter = "2 mm" }
2V2 = { is = "Orifice", diameter = "2 mm" }
3V2 = { is = "Orifice", diameter = "2 mm" }
4V2 = { is = "Orifice", diameter = "2 mm" }
[lines]
m = ["0M1.shaft", "0P1.shaft"]
S = ["0Z1.S", "0P1.S", "0P2.S"]
H = ["0P2.P", "0V1.P"]
P = ["0P1.P", "1V1.P", "2V1.P", "3V1.P", "4V2.1"]
P4 = ["4V2.2", "4V1.P"]
A1 = ["1V1.A", "1V2.1"]
B1 = ["1V1.B", "1V2.2"]
A2 = ["2V1.A", "2V2.1"]
B2 = ["2V1.B", "2V2.2"]
A3 = ["3V1.A", "3V2.1"]
B3 = ["3V1.B", "3V2.2"]
A4 = ["4V1.A"]
B4 = ["4V1.B"]
T = ["1V1.T", "2V1.T", "3V1.T", "4V1.T", "0P1.L", "0V1.T", "0Z1.T"]
[start]
0M1.setting = "1500 r/min"
"""
RUNS: dict[str, Sequence[tuple[Mapping[str, float], float]]] = {
    "hydrostatic-loop": (({"0P1.lever": 0.5}, 0.3), ({}, 1.5), ({"0P1.lever": -1.0}, 1.5)),
    "pilot-joystick": (({"0V3.lever": 0.53}, 0.1), ({}, 0.8), ({"0V3.lever": -1.0}, 0.8)),
    "load-sensing": (({"1V1.lever": 0.5}, 0.5), ({"1V1.lever": 0.0}, 0.05)),
    "": (
        ({"1V1.lever": 0.5, "2V1.lever": -0.3, "0P2.pace": 4.0}, 0.3),
        ({"3V1.lever": 1.0, "4V1.lever": 0.6, "1V1.lever": -0.8}, 0.6),
    ),
}


@pytest.mark.parametrize("name", first(1, RUNS))
def test_workings_agree_with_the_engine(name: str) -> None:
    """Those of parts and lines, and those of every entry of the ledgers, in both unit systems."""
    rig = shipped(name) if name else rig_file.loads(VALVES, "rig")
    session, count = Session(rig), 0
    for controls, seconds in ({}, 0.01), *RUNS[name]:
        for control, value in controls.items():
            session.set_control(control, value)
        session.advance(seconds)
        now = session.readings
        found = workings(rig, now)
        for entry in entries(now):
            found += about(rig, now, Subject("ledger", entry), book_of(now.network))
        for working in found:
            for system in System:
                assert agrees(working, system), f"{working.part}: {working.name}, {working.lines(system)}"
            count += 1
    assert count > 100
