"""Each working, worked out from the terms it shows, gives what the engine has found: in both unit systems."""

from __future__ import annotations

import math

import pytest

from trainer import resources, rig_file
from trainer.engine.session import Session
from trainer.units import System, shown_unit
from trainer.working import Working, workings

SCENES = {  # rig, controls [SI], seconds: where the workings are opened
    "bench in neutral": ("one-spool-bench", {}, 1.0),
    "bench lifting": ("one-spool-bench", {"1V1.lever": 1.0}, 2.0),
    "bench lowering": ("one-spool-bench", {"1V1.lever": -0.4}, 0.5),
    "boom lifting 250 kg": ("timber-trailer-loader", {"3V1.lever": 0.7, "3W1.load": 250.0}, 1.2),
    "boom at its end": ("timber-trailer-loader", {"3V1.lever": 1.0}, 6.0),
    "slewing": ("timber-trailer-loader", {"2V1.lever": 0.6}, 1.5),
    "legs on the relief": ("timber-trailer-loader", {"1V1.lever": 1.0}, 9.0),
}


@pytest.fixture(scope="module", params=SCENES)
def opened(request: pytest.FixtureRequest) -> list[Working]:
    name, controls, seconds = SCENES[request.param]
    rig = rig_file.load(resources.rigs()[name])
    session = Session(rig, tolerance=1e-6)
    if request.param == "bench lowering":
        session.set_control("1V1.lever", 1.0)
        session.advance(4.0)
    for control, value in controls.items():
        session.set_control(control, value)
    session.advance(seconds)
    return workings(rig, session.readings)


@pytest.mark.parametrize("system", System)
def test_workings_agree_with_the_engine(opened: list[Working], system: System) -> None:
    """0.2 % for the square root of an edge and for the relief, whose corners are rounded; the rest exactly.

    The oil's warming leaves out that it is pressed when it goes in: 2 % of the rise.
    """
    assert len(opened) >= 6
    for working in opened:
        allowed = (2e-3 if working.name.startswith("Flow") else 1e-9) * max(abs(working.result.value), 1e-9)
        if working.name.startswith("Oil that leaves"):
            tank = next(term.value for term in working.terms if term.letter == "T")
            allowed = 0.02 * (working.result.value - tank)
        assert working.value(system) == pytest.approx(working.result.value, abs=allowed), working.name


def test_terms_and_formulas_belong_together(opened: list[Working]) -> None:
    for working in opened:
        for system in System:
            words, filled, result = working.lines(system)
            left, _, right = words.partition(" = ")
            assert left == working.result.letter
            assert {term.letter for term in working.terms} <= set(right.split(" "))
            assert all(term.source for term in working.terms)
            assert filled.startswith(f"{left} = ")
            unit = {"cm2": "cm²", "C": "°C", "F": "°F", "N m": "N·m", "lbf ft": "lbf·ft"}
            symbol = shown_unit(working.result.quantity, system).symbol
            assert result.endswith(unit.get(symbol, symbol))


def test_every_kind_of_working_is_met() -> None:
    rig = rig_file.load(resources.rigs()["timber-trailer-loader"])
    session = Session(rig)
    session.set_control("3V1.lever", 1.0)
    session.advance(5.0)
    met = {working.name for working in workings(rig, session.readings)}
    session.reset()
    session.set_control("3V1.lever", 0.8)
    session.advance(1.0)
    met |= {working.name for working in workings(rig, session.readings)}
    kinds = ("Force of", "Speed of", "Time for", "Delivery of", "Torque on", "Torque of", "Power of", "Power on",
             "Flow through", "Flow over the relief", "Heat at the relief", "Oil that leaves the relief")  # fmt: skip
    assert [kind for kind in kinds if not any(name.startswith(kind) for name in met)] == []


def test_shop_constants() -> None:
    """33000 * 12 / 231 psi gpm a hp (P01 of the handbooks), 9549 and 5252 for kW and hp of torque, 20 and 24 pi."""
    assert pytest.approx(33000 * 12 / 231, rel=2e-4) == 1714
    assert pytest.approx(30000 / math.pi, rel=1e-4) == 9549
    assert pytest.approx(16500 / math.pi, rel=1e-4) == 5252
    assert pytest.approx(20 * math.pi, abs=0.05) == 62.8
    assert pytest.approx(24 * math.pi, abs=0.05) == 75.4
