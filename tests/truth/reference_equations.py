"""The reference rig's equations, written a second time from the books, in numpy and SI, for scipy's Radau.

Pump with slip (Wilson 1946), relief q ~ (p - p_c) sqrt(p) (poppet, spring, edge; its corner at p_c sharp or
rounded over a width), sharp-edged orifice with a laminar beginning q ~ x/(x2 + e2)^(1/4), cylinder with a Stribeck
curve, tanh at v = 0, and a share of the pressure forces, a weight, a drive that follows its setting with a lag.
Oil: pressure explicit from content, volume and the compliance of a hose, with stiffening and free air. Nothing of
the program is used here.
"""

from __future__ import annotations

from typing import Any

import numpy as np
from scipy.integrate import solve_ivp

Array = np.ndarray[Any, np.dtype[np.float64]]

# oil
RHO, NU, K0, STIFFENING, AIR = 875.0, 40e-6, 1.5e9, 10.0, 0.005
MU = RHO * NU
P0 = 101325.0 - 2000.0  # atmosphere less the oil's vapour pressure, 0.02 bar
B = (STIFFENING + 1) / K0
# pump, drive
DISPLACEMENT, SLIP, PUMP_OIL = 11e-6 / (2 * np.pi), 1.5e-8, 60e-6
LAG = 0.3
# relief: full pressure, cracking, flow at full pressure
P_FULL, P_CRACK, Q_FULL, RELIEF_OIL = 95e5, 0.9 * 95e5, 16.5e-3 / 60, 5e-6
# pressure line: 1 m of hose of 10 mm
HOSE_OIL = np.pi * 0.01**2 / 4 * 1.0
HOSE_GIVES = HOSE_OIL / 4e8
# orifices
CD, HOLE, TRANSITION, ORIFICE_OIL = 0.65, np.pi * 0.003**2 / 4, 5e3, 2e-6
# cylinder and weight
BORE, ROD, STROKE, DEAD = 0.050, 0.028, 0.400, 40e-6
CAP = np.pi * BORE**2 / 4
ANNULUS = CAP - np.pi * ROD**2 / 4
KINETIC, STATIC, VISCOUS, SHARE, LEAK = 120.0, 126.0, 800.0, 0.015, 1e-13
MASS, ROD_MASS, GRAVITY = 1500.0, 5.0, 9.80665


def pressure(content: float, volume: float, compliance: float) -> float:
    """Return the gauge pressure [Pa] of a content [m3 at tank density] in a volume [m3] with a soft wall."""
    a = content * (1 - AIR) / K0 + compliance
    b = content * (1 - AIR) * (1 + P0 / K0) - volume + compliance * P0
    y = (b + np.sqrt(b * b + 4 * a * content * AIR * P0)) / (2 * a) - P0
    return float(y + B * y * y / 2)


def root(drop: float) -> float:
    """Return sign times root of a drop, laminar at its beginning."""
    return float(drop / (drop * drop + TRANSITION * TRANSITION) ** 0.25)


def pressures(state: Array) -> tuple[float, float, float]:
    """Return the pressures [Pa] of pump line, cap end and rod end. State: see ``rates``."""
    x = state[3]
    return (
        pressure(state[0] * 1e-6, PUMP_OIL + RELIEF_OIL + ORIFICE_OIL + HOSE_OIL, HOSE_GIVES),
        pressure(state[1] * 1e-6, ORIFICE_OIL + DEAD + CAP * x, 0.0),
        pressure(state[2] * 1e-6, ORIFICE_OIL + DEAD + ANNULUS * (STROKE - x), 0.0),
    )


def start(place: float, turning: float) -> Array:
    """Return the state with every line full at zero gauge; place [m], turning [rad/s]."""
    volumes = (
        PUMP_OIL + RELIEF_OIL + ORIFICE_OIL + HOSE_OIL,
        ORIFICE_OIL + DEAD + CAP * place,
        ORIFICE_OIL + DEAD + ANNULUS * (STROKE - place),
    )
    return np.array([*(volume * 1e6 for volume in volumes), place, 0.0, turning])


def above(excess: float, width: float) -> float:
    """Return what is above zero, the corner rounded over -width … width by a parabola; sharp for width 0."""
    if width == 0 or abs(excess) >= width:
        return max(excess, 0.0)
    return (excess + width) ** 2 / (4 * width)


def rates(state: Array, setting: float, width: float) -> Array:
    """Return d(state)/dt of contents of three lines [cm3], place [m], speed [m/s], shaft speed [rad/s]."""
    p, a, b = pressures(state)
    v, turning = state[4], state[5]
    delivered = DISPLACEMENT * turning - SLIP * DISPLACEMENT * p / MU
    scale = (P_FULL**1.5 - P_CRACK * P_FULL**0.5) / Q_FULL
    over = above(p - P_CRACK, width) * np.sqrt(max(p, 0.0)) / scale
    edge = CD * HOLE * np.sqrt(2 / RHO)
    into, back = edge * root(p - a), edge * root(b)
    leak = LEAK * 0.035 / MU * (a - b)
    rubbing = (KINETIC + (STATIC - KINETIC) * np.exp(-((v / 0.015) ** 2))) * np.tanh(v / 0.002) + VISCOUS * v
    rubbing += SHARE * (abs(a) * CAP + abs(b) * ANNULUS) * np.tanh(v / 0.002)
    force = a * CAP - b * ANNULUS - rubbing - MASS * GRAVITY
    return np.array(
        [
            (delivered - over - into) * 1e6,
            (into - leak) * 1e6,
            (leak - back) * 1e6,
            v,
            force / (MASS + ROD_MASS),
            (setting - turning) / LAG,
        ]
    )


def run(state: Array, times: Array, setting: float, width: float) -> Array:
    """Return the states [len(times), 6] at times [s] from the first on, the drive set to ``setting`` [rad/s].

    ``width`` [Pa] is that of the relief's corner.
    """
    result = solve_ivp(
        lambda _, now: rates(now, setting, width),
        (times[0], times[-1]),
        state,
        method="Radau",
        t_eval=times,
        rtol=1e-9,
        atol=1e-11,
    )
    assert result.success, result.message
    states: Array = result.y.T
    return states
