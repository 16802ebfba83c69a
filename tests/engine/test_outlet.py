"""The oil that leaves a part, and a pump turned the wrong way: what moves aside for a piston is counted."""

from __future__ import annotations

import math

import pytest

from trainer import resources
from trainer.engine.session import Session
from trainer.parts.oil import HEAT_CAPACITY
from trainer.rig.file import loads
from trainer.rig.rig import Rig


@pytest.mark.soak
def test_a_piston_carries_the_heat_of_its_seals_away(loader: Rig) -> None:
    """By hand: the friction of its seals into the oil that the piston takes in and gives, the mean of both."""
    session = Session(loader)
    session.set_control("3V1.lever", 0.9)
    session.advance(1.2)
    now = session.readings
    speed = now.speed("boom")
    assert speed > 0.03
    cap, annulus = (math.pi / 4 * (0.090**2 - rod**2) for rod in (0.0, 0.050))
    carried = now.parameter("oil", "density") * HEAT_CAPACITY * speed * (cap + annulus) / 2
    rise = now.outlet_temperature("3A1") - now.temperature
    assert rise == pytest.approx(now.heat("3A1") / carried, rel=0.05)
    assert rise < 10.0
    session.advance(1.0)
    assert session.readings.skin("3A1") < session.temperature + 10.0


def test_a_pump_turned_backwards_has_no_filling_beyond_the_whole() -> None:
    text = resources.path("rigs/one-spool-bench.toml").read_text("utf-8")
    text = text.replace('0M1 = { is = "HandCrank" }', '0M1 = { is = "SteadyDrive" }')
    text = text.replace("speed_asked", "setting")
    session = Session(loads(text, "a bench with a drive"))
    for speed in (60.0, -60.0, -20.0):
        session.set_control("0M1.setting", speed * math.pi / 30)
        for _ in range(8):
            session.advance(0.5)
            assert 0.0 < session.readings.value("0P1", "filling") < 1.001
