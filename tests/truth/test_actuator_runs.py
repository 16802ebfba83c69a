"""A mass that runs into the end of a cylinder, with and without a cushion, by the formulas of textbooks.

A stop of rate k takes its energy up within v sqrt(m / k), a little less where it hardens. A cushion that lets the oil
of a ring a out by a hole of area A stands at p = rho/2 (v a / Cd A)^2, so that the speed falls as exp(-x / l), with
l = 2 m (Cd A)^2 / (rho a^3).
"""

from __future__ import annotations

import math

import numpy as np
import pytest

from .printed import check
from .rigs import begin, rig, sample, si

TEXT = """
[parts]
0Z1 = { $tank }
1A1 = { is = "$kind", kinetic_friction = "0 N", viscous_friction = "0 N s/m", pressure_friction = "0 %",
        leakage = "0 m3/s/Pa", rod_mass = "1 kg", end_damping = "0 N s/m"$more }
1W1 = { is = "Weight", mass = "999 kg", along = 0 }

[lines]
A = ["0Z1.S", "1A1.A"]
B = ["1A1.B", "0Z1.T"]
rod = ["1A1.rod", "1W1.rod"]

[start]
1W1.x = "400 mm"
1W1.v = "0.3 m/s"
""".replace(",\n        ", ", ")
MASS, SPEED, OPEN = 1000.0, 0.3, 25e-6
CAP, RING = math.pi / 4 * si("80 mm") ** 2, math.pi / 4 * (si("80 mm") ** 2 - si("45 mm") ** 2)


@pytest.mark.soak
def test_a_mass_bangs_into_a_stop_or_is_slowed_by_a_cushion() -> None:
    """1 t at 0.3 m/s goes 0.37 mm into the metal; a hole of 25 mm2 slows it by e over 17.6 mm, with 15 bar."""
    bangs = begin(rig("bang", TEXT, kind="Cylinder", more=""))
    _, places = sample(bangs, lambda session: session.readings.place("rod"), 0.4, 5e-4)
    energy = MASS * SPEED**2 / (250e5 * CAP / 0.2e-3 * 1e-3**2)  # in that of the stop at 1 mm, where it has hardened
    by_hand = math.sqrt(math.sqrt(1 + 2 * energy) - 1)  # [mm]; 0.38 without the hardening, sqrt(energy)
    check("cushion", "into the metal [mm]", 1e3 * (places.max() - 0.5), by_hand, share=0.05)

    more = ', taper = "0 mm2", screw_area = "25 mm2", bypass = "0 mm2", passage = "500 mm2"'
    slowed = begin(rig("cushion", TEXT, kind="CushionedCylinder", more=more))
    _, rows = sample(slowed, lambda session: np.array([  # type: ignore[arg-type, return-value] # three numbers a call
        session.readings.place("rod"), session.readings.speed("rod"), session.readings.value("1A1", "ring_pressure"),
    ]), 0.7, 2e-3)  # fmt: skip
    places, speeds, pressures = rows.T
    at = np.interp([0.480, 0.490], places[: places.argmax()], speeds[: places.argmax()])
    length = 2 * MASS * (0.7 * OPEN) ** 2 / (875.0 * RING**3)
    check(
        "cushion",
        "speed 10 mm before the end over that at 20 mm",
        at[1] / at[0],
        math.exp(-0.010 / length),
        share=0.03,
    )
    bound = 875.0 / 2 * (SPEED * RING / (0.7 * OPEN)) ** 2
    assert 0.6 * bound < pressures.max() < 1.02 * bound  # its edge has taken some of the speed before
    assert at[1] < 0.5 * SPEED
