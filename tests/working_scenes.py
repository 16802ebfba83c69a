"""Instants at which workings are opened: two shipped rigs and one of all other parts, through a run of the hands."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import lru_cache

from trainer import resources
from trainer.engine.readings import Readings
from trainer.engine.session import Session
from trainer.rig import file as rig_file
from trainer.rig.rig import Rig

__all__ = ["REST", "RIGS", "instants", "rig_of"]

# every part of the catalogue that neither shipped rig has, and the valves that they have, given in other ways
REST = """
format = 1
title = "All the rest"

[oil]
grade = "VG 32"
temperature = "50 C"

[parts]
0Z1 = { is = "Reservoir", volume = "60 L" }
0M1 = { is = "InductionMotor", synchronous = "1500 r/min" }
0Z4 = { is = "ShaftCoupling" }
0P1 = { is = "FixedPump", displacement = "15.2 cm3/rev", rated_speed = "1500 r/min" }
0M2 = { is = "SteadyDrive" }
0P2 = { is = "FixedPump", displacement = "4 cm3/rev", rated_speed = "1500 r/min" }
0V1 = { is = "ReliefValve", given_by = "spring", preload = "15 mm" }
0V2 = { is = "CheckValve" }
0Z5 = { is = "Hose", length = "3 m", bore = "10 mm", roughness = "0.02 mm", fittings = "4", height = "1.5 m" }
1V1 = { is = "OpenCentreSection", port_reliefs = "both", port_setting = "90 bar" }
1V2 = { is = "Throttle", area = "30 mm2" }
1V3 = { is = "Orifice", diameter = "5 mm" }
0Z2 = { is = "ReturnFilter", clogging = "75 %" }
0Z3 = { is = "Cooler" }
1A1 = { is = "Cylinder", bore = "50 mm", rod = "28 mm", stroke = "300 mm" }
1W1 = { is = "ConstantForce", force = "6 kN" }
1W2 = { is = "Wall", gap = "200 mm" }

[lines]
m1 = ["0M1.shaft", "0Z4.1"]
m2 = ["0Z4.2", "0P1.shaft"]
m3 = ["0M2.shaft", "0P2.shaft"]
S = ["0Z1.S", "0P1.S", "0P2.S"]
P0 = ["0P1.P", "0P2.P", "0V1.P", "0V2.1"]
P1 = ["0V2.2", "0Z5.1"]
P2 = { joins = ["0Z5.2", "1V1.C", "1V1.P"], volume = "50 cm3", bore = "10 mm" }
A0 = ["1V1.A", "1V2.1"]
A1 = ["1V2.2", "1A1.A"]
B0 = ["1V1.B", "1V3.1"]
B1 = ["1V3.2", "1A1.B"]
R = ["1V1.C1", "1V1.T", "0Z2.1"]
RC = ["0Z2.2", "0Z3.1"]
T = ["0Z3.2", "0V1.T", "0Z1.T"]
rod = ["1A1.rod", "1W1.rod", "1W2.rod"]

[start]
0M2.setting = "1450 r/min"
"""

_LOADER, _BENCH = "timber-trailer-loader", "one-spool-bench"
RIGS = (_BENCH, _LOADER, "rest")
_Moves = Sequence[tuple[dict[str, float], Sequence[float]]]  # controls [SI], then seconds after which to look
_RUNS: dict[str, _Moves] = {
    _BENCH: (
        ({}, (0.0,)),  # neutral
        ({"1V1.lever": 0.5}, (0.7, 1.0)),  # lifting, part of the oil past the spool
        ({"1V1.lever": 1.0}, (0.2, 1.5)),
        ({"1V1.lever": -0.5}, (0.3, 0.4)),  # lowering
        ({"1V1.lever": 1.0, "0M1.speed_asked": 8.0}, (30.0,)),  # at the end: over the relief
    ),
    _LOADER: (
        ({}, (0.0,)),
        ({"3W1.load": 250.0, "3V1.lever": 0.6}, (0.4, 0.8)),
        ({"2V1.lever": 0.5}, (0.5, 0.5)),  # two levers: slew ahead of the boom
        ({"2V1.lever": 0.0, "3V1.lever": -0.5}, (0.2, 0.5)),
        ({"3V1.lever": 0.0, "4V1.lever": 0.7, "5V1.lever": 0.6}, (1.0,)),
        ({"4V1.lever": 0.0, "5V1.lever": 0.0, "1V1.lever": 1.0}, (2.0, 6.5)),  # legs down, then the relief
        ({"1V1.lever": -0.7, "3V1.lever": 1.0}, (0.3, 0.6)),
        ({"1V1.lever": 0.0}, (5.0,)),  # boom at its end: the other relief
        ({"3V1.lever": 0.0}, (1.0,)),  # parked
    ),
    "rest": (
        ({}, (0.0, 0.5)),
        ({"1V1.lever": 0.8, "1V2.opening": 0.3}, (0.4, 1.0)),
        ({"1V2.opening": 1.0, "1V1.lever": 1.0}, (1.0, 2.0)),  # against the wall
        ({"1V1.lever": -1.0}, (0.5, 2.5)),  # pulled in, then the port relief
        ({"0M1.switched": 0.0, "0M2.setting": 0.0, "1V1.lever": 0.0}, (0.02, 3.0)),  # switched off: the check holds
    ),
}  # fmt: skip


@lru_cache(maxsize=4)
def rig_of(name: str) -> Rig:
    """Return one of the three rigs."""
    return rig_file.loads(REST, "all the rest") if name == "rest" else rig_file.load(resources.rigs()[name])


@lru_cache(maxsize=4)
def instants(name: str) -> tuple[Readings, ...]:
    """Return readings through a run of one of the three rigs."""
    return tuple(_run(name))


def _run(name: str) -> Iterator[Readings]:
    session = Session(rig_of(name))
    for controls, times in _RUNS[name]:
        for control, value in controls.items():
            session.set_control(control, value)
        for seconds in times:
            if seconds:
                session.advance(seconds)
            yield session.readings
