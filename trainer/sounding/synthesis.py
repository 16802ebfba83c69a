"""The sound itself, block by block from what is heard: notes whose phases go on, noise from tables that go round."""

from __future__ import annotations

import math

import numpy as np
import numpy.typing as npt

from trainer.sounding.hearing import Heard

__all__ = ["RATE", "Block", "Synthesiser"]

RATE = 22050  # samples a second
Block = npt.NDArray[np.float32]
_Array = npt.NDArray[np.float64]

_ENGINE, _PUMP, _HISS, _GRAVEL = 0.22, 0.12, 0.09, 0.12  # loudest of each, as shares of what can be played
_BUZZ = 0.1  # the same
_ENGINE_TONES, _PUMP_TONES = 8, 4  # harmonics
_HIGHEST = 0.45 * RATE  # Hz: above it no harmonic is played
_HISS_BAND = (2500.0, 9000.0)  # Hz
_BEATS, _BUZZ_TONES = 170.0, 9  # of a poppet on its seat: how often a second (common practice, no source), harmonics
_STONES, _RING, _DIES = 55.0, 1300.0, 260.0  # of gravel: how many a second, what each rings at [Hz], how fast [1/s]


class Synthesiser:
    """Makes blocks of sound, each of which goes on where the last one ended: what changes does so along the block."""

    def __init__(self, rate: int = RATE, seed: int = 1) -> None:
        self.rate = rate
        chance = np.random.default_rng(seed)
        self._hiss, self._gravel = _hiss(chance, rate), _gravel(chance, rate)
        self._place = 0  # in both tables, of unlike lengths
        self._half = 0.0  # phase of half the firing frequency: what an engine's turns differ by
        self._teeth = 0.0
        self._poppet = 0.0
        self._before = Heard()

    def fade_in(self) -> None:
        """Begin from silence: what was played last has been interrupted."""
        self._before = Heard(engine=self._before.engine, pump=self._before.pump)

    @property
    def silent(self) -> bool:
        """Whether the last block ended in silence."""
        last = self._before
        return not (last.engine_loud or last.pump_loud or last.hiss or last.buzz or last.grind or last.rattle)

    def block(self, heard: Heard, count: int) -> Block:
        """Return the next samples, -1 … 1."""
        before, self._before = self._before, heard
        along = np.arange(1, count + 1) / count
        sound = _ENGINE * self._engine(before, heard, along) + _PUMP * self._pump(before, heard, along)
        places = self._place + np.arange(count)
        self._place += count
        if before.hiss or heard.hiss:
            sound += _HISS * _way(before.hiss, heard.hiss, along) * self._hiss[places % len(self._hiss)]
        if before.buzz or heard.buzz:
            sound += _BUZZ * _way(before.buzz, heard.buzz, along) * self._buzz(count)
        torn = max(before.grind, before.rattle), max(heard.grind, heard.rattle)
        if any(torn):
            sound += _GRAVEL * _way(*torn, along) * self._gravel[places % len(self._gravel)]
        return np.tanh(sound).astype(np.float32)

    def _engine(self, before: Heard, heard: Heard, along: _Array) -> _Array:
        if not (before.engine_loud or heard.engine_loud):
            return np.zeros(len(along))
        first = before.engine if before.engine_loud else heard.engine
        last = heard.engine if heard.engine_loud else before.engine
        half = self._half + np.cumsum(math.pi / self.rate * _way(first, last, along))
        self._half = float(half[-1] % (2 * math.pi))
        parts = zip(_engine_tones(first, before.load), _engine_tones(last, heard.load), strict=True)
        sound = 0.12 * np.sin(half)
        for k, (one, other) in enumerate(parts, 1):
            sound += _way(one, other, along) * np.sin(2 * k * half)
        return sound * _way(before.engine_loud, heard.engine_loud, along)

    def _buzz(self, count: int) -> _Array:
        beats = self._poppet + 2 * math.pi * _BEATS / self.rate * np.arange(1, count + 1)
        self._poppet = float(beats[-1] % (2 * math.pi))
        return np.asarray(sum(_tone(k, _BEATS, 0.6) * np.sin(k * beats) for k in range(1, _BUZZ_TONES + 1)))

    def _pump(self, before: Heard, heard: Heard, along: _Array) -> _Array:
        if not (before.pump_loud or heard.pump_loud):
            return np.zeros(len(along))
        first = before.pump if before.pump_loud else heard.pump
        last = heard.pump if heard.pump_loud else before.pump
        teeth = self._teeth + np.cumsum(2 * math.pi / self.rate * _way(first, last, along))
        self._teeth = float(teeth[-1] % (2 * math.pi))
        sound = np.zeros(len(along))
        for k in range(1, _PUMP_TONES + 1):
            sound += _way(_tone(k, first, 1.2), _tone(k, last, 1.2), along) * np.sin(k * teeth)
        return sound * _way(before.pump_loud, heard.pump_loud, along)


def _way(first: float, last: float, along: _Array) -> _Array:
    return first + (last - first) * along


def _tone(k: int, frequency: float, fall: float) -> float:
    """Return how loud a harmonic is: the k-th falls as k to some power; none is played that is too high."""
    return k**-fall if k * frequency < _HIGHEST else 0.0


def _engine_tones(frequency: float, load: float) -> list[float]:
    """Return how loud the harmonics of an engine are: the harder it works the more of the high ones."""
    return [_tone(k, frequency, 1.7 - 0.8 * load) for k in range(1, _ENGINE_TONES + 1)]


def _hiss(chance: np.random.Generator, rate: int) -> _Array:
    """Return noise in a band that goes round without a seam, of root mean square 1."""
    count = 1 << 15
    spectrum = np.fft.rfft(chance.standard_normal(count))
    frequency = np.fft.rfftfreq(count, 1 / rate)
    spectrum[(frequency < _HISS_BAND[0]) | (frequency > _HISS_BAND[1])] = 0.0
    return _even(np.fft.irfft(spectrum, count))


def _gravel(chance: np.random.Generator, rate: int) -> _Array:
    """Return stones that fall at random and ring for a moment, going round without a seam, of root mean square 1."""
    count = (1 << 16) - 1024
    falls = np.zeros(count)
    stones = round(_STONES * count / rate)
    falls[chance.integers(0, count, stones)] = chance.uniform(0.3, 1.0, stones) * chance.choice((-1.0, 1.0), stones)
    t = np.arange(count) / rate
    ring = np.exp(-_DIES * t) * np.sin(2 * math.pi * _RING * t)
    return _even(np.fft.irfft(np.fft.rfft(falls) * np.fft.rfft(ring), count))


def _even(sound: _Array) -> _Array:
    return np.asarray(sound / np.sqrt(np.mean(sound**2)))
