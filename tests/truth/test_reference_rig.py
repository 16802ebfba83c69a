"""Pump, relief, orifice, cylinder, weight: the engine at 1e-8 against scipy's Radau at 1e-9 on retyped equations.

Laws: oil law with air and hose wall; slip after Wilson (1946); relief q ~ (p - p_c) sqrt(p); orifice after Merritt
(1967) with a laminar beginning; Stribeck friction. The right-hand side stands in ``reference_equations``.
"""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest

from . import reference_equations as reference
from .rigs import begin, rig

RIG = """
[parts]
0Z1 = { $tank }
0M1 = { is = "SteadyDrive", lag = "300 ms" }
0P1 = { is = "FixedPump", displacement = "11 cm3/rev" }
0V1 = { is = "ReliefValve", setting = "95 bar", override = "10 %", rated_flow = "16.5 L/min" }
1V1 = { is = "Orifice", diameter = "3 mm" }
1V2 = { is = "Orifice", diameter = "3 mm" }
1A1 = { is = "Cylinder", bore = "50 mm", rod = "28 mm", stroke = "400 mm", leakage = "1e-13 m3/s/Pa" }
1W1 = { is = "Weight", mass = "1500 kg" }

[lines]
shaft = ["0M1.shaft", "0P1.shaft"]
S = ["0Z1.S", "0P1.S"]
P1 = { joins = ["0P1.P", "0V1.P", "1V1.1"], hose = "1 m", bore = "10 mm" }
A1 = ["1V1.2", "1A1.A"]
B1 = ["1A1.B", "1V2.1"]
T = ["1V2.2", "0V1.T", "0Z1.T"]
rod1 = ["1A1.rod", "1W1.rod"]

[start]
0M1.setting = "1500 r/min"
0M1.turning = "1500 r/min"
1W1.x = "50 mm"
"""
FAST, SLOW = 1500 * math.pi / 30, 500 * math.pi / 30
FRAME, FIRST, ALL = 1 / 60, 60, 150


Table = np.ndarray[Any, np.dtype[np.float64]]


@pytest.fixture(scope="module")
def found() -> Table:
    """Pressures P1, A1, B1 [Pa] and place [m] at every frame: a start, then less from the pump."""
    session = begin(rig("reference rig", RIG, air="0.5 %", stiffening="10"))
    rows = []
    for frame in range(ALL):
        if frame == FIRST:
            session.set_control("0M1.setting", SLOW)
        session.advance(FRAME)
        r = session.readings
        rows.append((r.pressure("P1"), r.pressure("A1"), r.pressure("B1"), r.place("rod1")))
    assert session.rough_calls == 0
    return np.array(rows)


def wanted(width: float) -> Table:
    """Return the same by the second solver; ``width`` [Pa] rounds the relief's corner."""
    times: Table = np.linspace(0.0, ALL * FRAME, ALL + 1, dtype=np.float64)
    first = reference.run(reference.start(0.05, FAST), times[: FIRST + 1], FAST, width)
    second = reference.run(first[-1], times[FIRST:], SLOW, width)
    return np.array([(*reference.pressures(state), state[3]) for state in [*first[1:], *second[1:]]])


@pytest.mark.parametrize(
    ("width", "least"),
    [
        pytest.param(2e4, 0.1e5, id="relief rounded over 0.2 bar as declared"),
        pytest.param(0.0, 10e5, id="relief with a sharp corner"),
    ],
)
def test_engine_and_second_solver_agree(found: Table, width: float, least: float) -> None:
    """Pressures and place to 0.1 % of their own value; of pressures below ``least`` [Pa], of that."""
    table = wanted(width)
    assert table[:, 0].max() > reference.P_CRACK, "the relief is to take part"
    assert table[-1, 3] > 0.2, "the weight is to be lifted"
    off = np.abs(found - table) / np.maximum(np.abs(table), [least, least, least, 0.0])
    assert off.max() < 1e-3, dict(zip(("P1", "A1", "B1", "rod1"), off.max(axis=0).tolist(), strict=True))
