"""A cylinder driven into both stops by pump and load, with its numbers at the corners of their ranges."""

from __future__ import annotations

import numpy as np
import pytest

from trainer import rig_file
from trainer.engine.session import FRAME, Session
from trainer.parts.cylinder import Cylinder
from trainer.parts.part import Parameter
from trainer.units import UNITS

RIG = """
format = 1
title = "Into the stops"
[oil]
temperature = "{oil} C"
[parts]
0Z1 = {{ is = "Reservoir", volume = "1000 L" }}
0M1 = {{ is = "SteadyDrive" }}
0P1 = {{ is = "FixedPump", displacement = "{pump} cm3/rev" }}
0V1 = {{ is = "ReliefValve", setting = "{setting} bar" }}
1V1 = {{ is = "OpenCentreSection", rated_flow = "{flow} L/min" }}
1A1 = {{ is = "Cylinder", {own} }}
1W1 = {{ is = "Weight", mass = "{mass} kg", along = {along} }}
[lines]
m = ["0M1.shaft", "0P1.shaft"]
S = ["0Z1.S", "0P1.S"]
P = ["0P1.P", "0V1.P", "1V1.C", "1V1.P"]
A = ["1V1.A", "1A1.A"]
B = ["1V1.B", "1A1.B"]
T = ["1V1.C1", "1V1.T", "0V1.T", "0Z1.T"]
rod = ["1A1.rod", "1W1.rod"]
[start]
0M1.setting = "1500 r/min"
1W1.x = "{place} m"
"""
MOST = 9e-3  # m beyond a stop: 100 t on the softest stop of the smallest bore


def begun(own: dict[str, float], place: float, **numbers: float) -> Session:
    """Return a session of the rig with a cylinder's numbers [SI] and its rod at a place [m]."""
    written = []
    for name, number in own.items():
        quantity = Cylinder.declared(Parameter)[name].quantity
        unit = next(symbol for symbol, unit in UNITS.items() if unit.quantity == quantity and unit.factor == 1.0)
        written.append(f'{name} = "{number!r} {unit}"' if unit else f"{name} = {number!r}")
    flow = numbers["pump"] * 1.5
    rig = rig_file.loads(RIG.format(own=", ".join(written), place=place, flow=max(flow, 0.2), **numbers), "corner")
    return Session(rig)


def pressed(session: Session, lever: float) -> float:
    """Hold a lever for two seconds and return the least volume of oil in the cylinder [m3]; nothing may fail."""
    session.set_control("1V1.lever", lever)
    least = np.inf
    for _ in range(120):
        session.advance(FRAME)
        volumes = session.network.volumes(session.x, session.pu).full().ravel()
        least = min(least, volumes.min())
    assert session.rough_calls == 0
    assert np.isfinite(session.readings.values).all()
    return float(least)


def beyond(session: Session) -> float:
    """Return how far the rod is past one of its stops [m]."""
    place = session.readings.place("rod")
    return max(-place, place - session.rig.value("1A1", "stroke"))


def test_the_default_stop_of_a_large_bore_holds() -> None:
    """160 mm at 250 bar, 503 kN: the stop gives 0.2 mm, and the rod end keeps its oil."""
    own = {"bore": 0.160, "rod": 0.090, "stroke": 0.3}
    session = begun(own, 0.29, pump=60.0, setting=250.0, mass=500.0, along=0.0, oil=45.0)
    least = pressed(session, 1.0)
    assert session.readings.pressure("A") == pytest.approx(250e5, rel=0.06)
    assert beyond(session) == pytest.approx(0.2e-3, rel=0.1)
    assert least > 40e-6
    assert pressed(session, -1.0) > 40e-6


def corner(random: np.random.Generator) -> tuple[dict[str, float], dict[str, float]]:
    """Return a cylinder's numbers and the rig's, each at an end of its range, a third of them at the default."""
    own: dict[str, float] = {}
    for name, parameter in Cylinder.declared(Parameter).items():
        own[name] = float(random.choice([parameter.low, parameter.start, parameter.high]))
    own["rod"] = min(own["rod"], 0.95 * own["bore"])
    ends = {
        "pump": (2.0, 250.0),
        "setting": (5.0, 450.0),
        "mass": (0.5, 1e5),
        "along": (-1.0, 1.0),
        "oil": (-15.0, 90.0),
    }
    return own, {name: float(random.choice(both)) for name, both in ends.items()}


@pytest.mark.parametrize("seed", [*range(8), *(pytest.param(k, marks=pytest.mark.soak) for k in range(8, 40))])
def test_corners_of_the_ranges_on_a_network(seed: int) -> None:
    """Both stops, each from 2 mm before it, with full levers: no call fails, no volume is lost, the stop holds."""
    own, numbers = corner(np.random.default_rng(seed))
    for place, levers in ((0.002, (-1.0, 1.0)), (own["stroke"] - 0.002, (1.0, -1.0))):
        session = begun(own, place, **numbers)
        for lever in levers:
            assert pressed(session, lever) > 0.0
            assert beyond(session) < MOST
