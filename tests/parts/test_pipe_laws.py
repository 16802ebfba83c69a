"""Pipes: laminar, turbulent smooth and rough against ``fluids.friction``, and a monotone way between."""

from __future__ import annotations

import math
from typing import Any

import casadi as ca
import numpy as np
import pytest
from battery import evaluate
from fluids.friction import friction_factor, friction_laminar

from trainer.parts.conduits import Hose
from trainer.parts.oil import Properties
from trainer.parts.pipe_law import pipe_flow
from trainer.units import read

BORE, DENSITY, VISCOSITY = 12.7e-3, 870.0, 0.030
LITRE_MINUTE = 1e-3 / 60
Array = np.ndarray[Any, np.dtype[np.float64]]


def flows(drops: Array, length: float, rough: float, fittings: float) -> tuple[Array, Array]:
    """Return flows [m3/s] and their slopes over the drops [Pa] of a half-inch pipe; ``rough`` is eps/d."""
    drop = ca.SX.sym("drop")
    flow = pipe_flow(drop, length, BORE, DENSITY, VISCOSITY, rough * BORE, fittings)
    both: Any = ca.Function("flow", [drop], [flow, ca.jacobian(flow, drop)])
    found = both.map(len(drops))(drops[None, :])
    return found[0].full().ravel(), found[1].full().ravel()


def speed_and_number(flow: Array) -> tuple[Array, Array]:
    """Return velocity [m/s] and Reynolds number."""
    velocity = flow / (math.pi * BORE**2 / 4)
    return velocity, DENSITY * velocity * BORE / VISCOSITY


@pytest.mark.parametrize("fittings", [0.0, 2.5, 40.0])
@pytest.mark.parametrize("length", [0.05, 3.5, 100.0])
@pytest.mark.parametrize("rough", [0.0, 1e-4, 2e-3, 0.01, 0.05])
def test_drop_as_in_fluids(rough: float, length: float, fittings: float) -> None:
    """Darcy and Weisbach with the friction factor of ``fluids`` (64 / Re; Colebrook) and K-factors in series.

    Within 1 % up to Re 2100 and 3 % from Re 4000 on.
    """
    drops = np.logspace(1, 8, 800)
    velocity, number = speed_and_number(flows(drops, length, rough, fittings)[0])
    met = set()
    for drop, v, reynolds in zip(drops, velocity, number, strict=True):
        if reynolds <= 2100:
            factor, share = friction_laminar(reynolds), 0.01
        elif reynolds >= 4000:
            factor, share = friction_factor(Re=reynolds, eD=rough), 0.03
        else:
            continue
        met.add(share)
        wanted = (factor * length / BORE + fittings) * DENSITY * v * v / 2
        assert drop == pytest.approx(wanted, rel=share), f"at Re {reynolds:.0f}"
    assert met == {0.01, 0.03}


@pytest.mark.parametrize("fittings", [0.0, 2.5, 1000.0])
@pytest.mark.parametrize("rough", [0.0, 0.01, 0.05, 0.3])
def test_more_drop_is_more_flow_both_ways(rough: float, fittings: float) -> None:
    """Flow rises everywhere, through the transition too; at no drop it is nil, with Hagen–Poiseuille's slope."""
    drops = np.concatenate([[0.0], np.logspace(-6, 8.5, 3000)])
    there, slope = flows(drops, 2.0, rough, fittings)
    back, _ = flows(-drops, 2.0, rough, fittings)
    assert np.array_equal(there, -back)
    assert there[0] == 0.0
    assert (np.diff(there) > 0).all()
    assert (slope > 0).all()
    assert np.isfinite(slope).all()
    assert slope[0] == pytest.approx(math.pi * BORE**4 / (128 * VISCOSITY * 2.0), rel=2e-4)


def test_the_transition_is_no_step() -> None:
    """From Re 2300 to 4000 the drop rises at least as fast as when laminar, and never twice as fast as turbulent."""
    drops = np.linspace(0.5e5, 6e5, 4000)
    flow, slope = flows(drops, 3.5, 0.0, 0.0)
    _, number = speed_and_number(flow)
    between = (number > 2300) & (number < 4000)
    steepness = flow[between] / (slope[between] * drops[between])  # d ln(drop) / d ln(flow)
    assert between.sum() > 100
    assert steepness.min() > 1.0
    assert steepness.max() < 2 * 1.9
    assert np.abs(np.diff(steepness)).max() < 0.1


def hose(drop: float, viscosity: float = 26.1e-3, density: float = 870.0, **own: Any) -> float:
    """Return the flow [m3/s] of the part at a drop [Pa]."""
    now = Properties(density, viscosity, 1.5e9, 10.0, 1e-4, 45.0)
    return evaluate(Hose, p={"1": drop}, now=now, **own)["value"]["flow"]


def test_hose_laminar() -> None:
    """Esposito, example 4.3: 100 cSt, 10 ft/s, 1 in, 100 ft, specific gravity 0.9: Re 774, 60.2 psi."""
    found = hose(read("60.2 psi", "pressure"), 0.09, 900.0, bore="1 in", length="100 ft")
    assert found / (math.pi * 0.0254**2 / 4) == pytest.approx(read("10 ft/s", "speed"), rel=0.005)


@pytest.mark.parametrize(("litres", "bar"), [(37.0, 0.879), (27.0, 0.641), (80.0, 5.14)])
def test_the_hose_of_a_small_loader(litres: float, bar: float) -> None:
    """Half-inch hose, 3.5 m, 30 mm2/s: Re 2061 at 37 L/min is laminar, 64 / Re; Re 4456 at 80 is Blasius'."""
    velocity = litres * LITRE_MINUTE / (math.pi * BORE**2 / 4)
    number = velocity * BORE / 30e-6
    factor = 64 / number if number < 2300 else 0.3164 / number**0.25
    assert factor * 3.5 / BORE * 870 * velocity**2 / 2 / 1e5 == pytest.approx(bar, rel=0.005)
    assert hose(bar * 1e5, length="3.5 m") / LITRE_MINUTE == pytest.approx(litres, rel=0.01)


def test_a_hose_that_rises() -> None:
    """9.81 m/s2 times 870 kg/m3 times 3 m are 0.256 bar: as much at the foot holds the oil, more lifts it."""
    weight = 870.0 * 9.80665 * 3.0
    assert weight / 1e5 == pytest.approx(0.256, abs=5e-4)
    assert abs(hose(weight, height="3 m")) < 1e-4 * hose(weight)  # oil that is pressed weighs a little more
    assert hose(weight + 1e5, height="3 m") == pytest.approx(hose(1e5), rel=1e-3)
    assert hose(1e5, height="-3 m") == pytest.approx(hose(1e5 + weight), rel=1e-3)
    found = evaluate(Hose, p={"1": weight + 1e5}, height="3 m")
    lifting = weight * found["value"]["flow"]
    assert found["supply"]["height"] == pytest.approx(-lifting, rel=1e-9)
    assert found["heat"]["through"] == pytest.approx(1e5 * found["value"]["flow"], rel=2e-3)
