"""What a machine sounds like: notes where teeth and firing put them, noises by their causes, no click anywhere."""

from __future__ import annotations

import itertools
from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from cases import shipped

from trainer.engine.readings import Readings
from trainer.engine.session import Session
from trainer.rig.rig import Rig
from trainer.sounding.hearing import Captions, Ears, Heard, captions
from trainer.sounding.synthesis import RATE, Block, Synthesiser

BLOCK = 441  # a fiftieth of a second


def played(heard: Heard, blocks: int = 100, made: Synthesiser | None = None) -> Block:
    made = made or Synthesiser()
    return np.concatenate([made.block(heard, BLOCK) for _ in range(blocks)])


def peak(sound: Block) -> float:
    """The loudest frequency [Hz]."""
    spectrum = np.abs(np.fft.rfft(sound * np.hanning(len(sound))))
    return float(np.fft.rfftfreq(len(sound), 1 / RATE)[np.argmax(spectrum)])


def energy(sound: Block) -> float:
    return float(np.mean(np.square(sound, dtype=np.float64)))


def test_the_loader_at_1800_r_min_by_hand(loader: Rig) -> None:
    """Three cylinders, four strokes: 1.5 firings a turn; 12 teeth a turn: 45 Hz and 360 Hz for 30 turns a second."""
    session = Session(loader)
    session.advance(0.2)
    live = session.readings
    turns = live.speed("engine") / (2 * np.pi)
    heard = Ears(session.network).hear(live)
    assert turns == pytest.approx(30.0, rel=0.1)
    assert heard.engine == pytest.approx(1.5 * turns)
    assert heard.pump == pytest.approx(12 * turns)
    assert captions(session) == ""
    assert peak(played(replace(heard, pump_loud=0.0))) == pytest.approx(heard.engine, abs=1.0)
    assert peak(played(replace(heard, engine_loud=0.0))) == pytest.approx(heard.pump, abs=1.0)


def test_at_the_end_of_the_stroke_the_relief_hisses_and_it_can_be_read_to_its_end() -> None:
    session = Session(shipped("drift"))
    session.set_control("1V1.lever", 1.0)
    line = Captions(session.network)
    before = Ears(session.network).hear(session.readings)
    session.advance(2.0, 0.1)
    heard = Ears(session.network).hear(session.readings)
    assert heard.relief_flow > 10e-3 / 60
    assert heard.hiss > 0.5 > before.hiss == 0.0
    assert "relief hisses" in captions(session)
    assert "relief hisses" in line.line(session.readings, 0.1)
    session.reset()
    assert "relief hisses" in line.line(session.readings, 0.5)
    assert line.line(session.readings, 0.6) == ""


def test_a_choked_suction_grinds() -> None:
    session = Session(shipped("suction-line"))
    session.advance(1.0)
    heard = Ears(session.network).hear(session.readings)
    inlet = session.readings.pressure(session.rig.line_of("0P1", "S").name)
    assert (heard.grind > 0.0) == (inlet < -0.2e5)
    ground = replace(heard, grind=0.8)
    assert "pump grinds" in " ".join(ground.words)
    assert energy(played(ground)) > 1.1 * energy(played(replace(heard, grind=0.0)))


def test_what_stands_is_silent(bench: Rig) -> None:
    session = Session(bench)
    session.set_control("0M1.speed_asked", 0.0)
    session.advance(3.0)
    heard = Ears(session.network).hear(session.readings)
    assert (heard.engine_loud, heard.pump_loud, heard.words) == (0.0, 0.0, [])
    assert not played(heard).any()
    made = Synthesiser()
    played(Heard(45.0, 1.0, 0.5, 360.0, 1.0, 0.5, 0.5), 3, made)
    made.block(Heard(), BLOCK)  # dies away along one block
    assert made.silent
    assert not made.block(Heard(), BLOCK).any()


def test_hiss_rises_with_the_flow_and_lies_high() -> None:
    quiet, loud = (played(Heard(hiss=share)) for share in (0.3, 0.9))
    assert energy(loud) == pytest.approx(9 * energy(quiet), rel=0.05)
    spectrum = np.abs(np.fft.rfft(loud)) ** 2
    frequency = np.fft.rfftfreq(len(loud), 1 / RATE)
    assert spectrum[frequency > 2400].sum() > 0.95 * spectrum.sum()


def test_a_relief_that_chatters_buzzes_low() -> None:
    """Its poppet beats 170 times a second; the more oil goes over it, and the wider it swings, the louder."""
    buzz = played(Heard(buzz=0.8))
    assert peak(buzz) == pytest.approx(170.0, abs=1.0)
    assert energy(buzz) == pytest.approx(4 * energy(played(Heard(buzz=0.4))), rel=0.05)
    assert Heard(buzz=0.8).words == ["relief buzzes"]
    assert not Heard(buzz=0.01).words


def test_no_click_between_blocks_whatever_changes() -> None:
    """The step between two blocks is no larger than those within them, and nothing is louder than can be played."""
    states = [
        Heard(),
        Heard(30.0, 0.5, 0.1, 240.0, 0.3),
        Heard(45.0, 1.0, 1.0, 360.0, 1.0, 1.0, 1.0, 1.0, buzz=1.0),
        Heard(buzz=0.5),
        Heard(40.0, 0.9, 0.7, 320.0, 0.8, 0.0, 0.3),
        Heard(),
        Heard(45.0, 1.0, 0.2, 360.0, 0.5),
    ]
    made, sound = Synthesiser(), []
    for heard in states:
        sound += [made.block(heard, BLOCK), made.block(heard, BLOCK + 7)]
    for one, other in itertools.pairwise(sound):
        inner = max(np.abs(np.diff(one)).max(), np.abs(np.diff(other)).max())
        assert abs(other[0] - one[-1]) <= 1.05 * inner + 1e-6
    whole = np.concatenate(sound)
    assert np.isfinite(whole).all()
    assert np.abs(whole).max() < 1.0
    made.fade_in()
    assert abs(made.block(states[2], BLOCK)[0]) < 0.01


def test_the_length_of_blocks_does_not_change_the_sound() -> None:
    heard = Heard(45.0, 1.0, 0.5, 360.0, 0.6, 0.4, 0.2)
    one, other = Synthesiser(), Synthesiser()
    for made in (one, other):
        made.block(heard, BLOCK)
    pieces = np.concatenate([other.block(heard, count) for count in (1, 100, 781)])
    assert np.allclose(one.block(heard, 882), pieces, atol=1e-5)


class _Torn:
    """Readings of an instant with the oil behind one actuator's port as it is said to be."""

    def __init__(self, readings: Readings, line: str, pressure: float, part: tuple[str, str]) -> None:
        self._readings, self._line, self._pressure, self._part = readings, line, pressure, part

    def __getattr__(self, name: str) -> Any:
        return getattr(self._readings, name)

    def pressure(self, line: str) -> float:
        return self._pressure if line == self._line else self._readings.pressure(line)

    def flow(self, part: str, port: str) -> float:
        return 5e-3 / 60 if (part, port) == self._part else self._readings.flow(part, port)


@pytest.mark.parametrize(("pressure", "told"), [(-0.3e5, []), (-0.7e5, ["oil tears behind the boom"])])
def test_oil_tears_behind_the_boom_near_vacuum_only(loader: Rig, pressure: float, told: list[str]) -> None:
    session = Session(loader)
    session.advance(0.1)
    line = loader.line_of("3A1", "B").name
    live: Any = _Torn(session.readings, line, pressure, ("3A1", "B"))
    assert Ears(session.network).hear(live).words == told
