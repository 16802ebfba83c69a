"""What is written at rods and shafts: which way they go in the words of the lever, how fast in units of the trade."""

from __future__ import annotations

import math

import pytest
from cases import shipped

from trainer import resources
from trainer.drawing.ends import RodEnd, ShaftEnd, rod_ends, shaft_ends
from trainer.drawing.layout import lay_out
from trainer.drawing.scene import Scene, SceneState
from trainer.drawing.shapes import Words
from trainer.engine.session import FRAME, Session

OPPOSITES = {"up": "down", "left": "right", "in": "out"}
OPPOSITES |= {other: one for one, other in OPPOSITES.items()}
SAME = {"lift": "up", "lower": "down"}


def ways(end: RodEnd | ShaftEnd) -> tuple[str, str] | None:
    """Return what is written while it goes one way, and the other."""
    upright = isinstance(end, RodEnd) and end.loads and end.cylinder.upright
    return ("up", "down") if upright else end.ways


@pytest.mark.parametrize("name", resources.rigs())
def test_what_goes_furthest_does_not_go_the_opposite_of_what_its_lever_says(name: str) -> None:
    rig = shipped(name)
    layout = lay_out(rig)
    ends: dict[str, RodEnd | ShaftEnd] = {**rod_ends(rig, layout), **shaft_ends(rig, layout)}
    for lever, control in rig.controls().items():
        for word, value in zip(control.ends, (control.low, control.high), strict=True):
            opposite = OPPOSITES.get(SAME.get(word, word), "")
            if not opposite or not ends or not lever.endswith(".lever"):
                continue
            session = Session(rig)
            session.set_control(lever, value)
            gone = dict.fromkeys(ends, 0.0)
            for _ in range(20):
                session.advance(0.05, length=0.05)
                for id_, end in ends.items():
                    gone[id_] += session.readings.speed(end.line)
            furthest = max(ends, key=lambda id_: abs(gone[id_]))
            told = ways(ends[furthest])
            if told is not None and abs(gone[furthest]) > 1e-2:
                assert told[gone[furthest] < 0] != opposite, (lever, word, furthest)


def words_at(name: str, lever: str, motor: str) -> tuple[Session, list[str]]:
    """Return a session with a lever held for three seconds, and what stands above a motor."""
    rig = shipped(name)
    session = Session(rig)
    session.set_control(lever, 0.5)
    session.advance(3.0, FRAME)
    told = [one for one in Scene(rig).live(session.readings, SceneState()) if isinstance(one, Words)]
    return session, [one.text for one in told if one.about is not None and one.about.name == motor]


def test_a_shaft_is_told_as_by_a_tachometer_and_a_slew_as_it_is_seen() -> None:
    """Of a motor before its gears its own shaft counts; by hand: a turn is 360 degrees, a minute 60 s."""
    session, told = words_at("hydrostatic-loop", "0P1.lever", "1A1")
    turns = abs(session.readings.speed("shaft1")) * 60 / (2 * math.pi)
    assert turns > 100
    assert f"{turns:.0f} r/min" in told
    session, told = words_at("timber-trailer-loader", "2V1.lever", "2A1")
    rate = math.degrees(session.readings.speed("slew"))
    assert rate > 2
    assert f"{rate:.0f} °/s left" in told
