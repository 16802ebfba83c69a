"""The needles of a rig's instruments over time: one model of each, for dials, drawing, projector and strip."""

from __future__ import annotations

import math
from collections.abc import Callable

from trainer.measuring.instruments import Pointer, division, true_reading
from trainer.measuring.pulsation import Pulse, pulse
from trainer.rig.live import Live
from trainer.rig.rig import Instrument, Rig
from trainer.rig.tables import SCALES
from trainer.units import System

__all__ = ["STILL", "Needle", "Needles"]

STILL = 0.3  # s of model time for which a needle at rest has stood: our own number


class Needle:
    """One instrument's pointer, led from instant to instant; ``value`` is what a perfect one would read [SI]."""

    def __init__(self, instrument: Instrument) -> None:
        self.instrument = instrument
        self.pointer = Pointer(instrument)
        self.pulse = Pulse()
        self.value = 0.0
        self._time: float | None = None  # model time of the latest reading [s]
        self._bent: float | None = None  # model time at which it was overloaded [s]
        self._step = division(instrument.range_, SCALES[instrument.kind][0])
        self._stand(self.pointer.middle)

    def take(self, live: Live, pace: float = 1.0, rest: bool = False) -> None:
        """Follow to an instant; model time passes ``pace`` times as fast as the watcher's.

        The needle follows over the model time that passed; where time went back, or with ``rest``, it stands where it
        comes to rest. A spring that was bent is sound again before it was overloaded.
        """
        pointer = self.pointer
        self.value = true_reading(self.instrument, live)
        passed = 0.0 if self._time is None else live.time - self._time
        self._time = live.time
        if self._bent is not None and live.time < self._bent:
            pointer.state, self._bent = self.instrument.state, None
        if rest or passed < 0.0:
            self.settle()
        elif passed > 0.0:
            pointer.take(self.value, passed, self.pulse if self.instrument.kind == "gauge" else None, pace)
            if self._bent is None and pointer.state != self.instrument.state:
                self._bent = live.time
            self._swing(passed)

    def settle(self) -> None:
        """Put the needle where it comes to rest at the latest reading."""
        self.pointer.settle(self.value)
        self._stand(self.pointer.middle)

    def put(self, stands: float, before: float) -> None:
        """Put the needle where it stood at an instant that has been, and ``STILL`` before (nan: not known) [SI]."""
        self.pointer.put(stands)
        self._stand(self.pointer.middle)
        if math.isfinite(before):
            self._past = (before, before)

    @property
    def resting(self) -> bool:
        """Whether it has come to rest: for ``STILL`` it has stood within half a division, and lags no more.

        A needle that only creeps, as that of a thermometer in warming oil, counts as resting.
        """
        low, high = min(self._past[0], self._present[0]), max(self._past[1], self._present[1])
        return high - low <= self._step / 2 and self.pointer.lag <= self._step / 4

    def _stand(self, middle: float) -> None:
        """Begin to stand here: ``_past`` and ``_present`` are the ends of its way in the last stretches of STILL."""
        self._past = self._present = (middle, middle)
        self._passed = 0.0

    def _swing(self, seconds: float) -> None:
        middle, (low, high) = self.pointer.middle, self._present
        self._present = (min(low, middle), max(high, middle))
        self._passed += seconds
        if self._passed >= STILL:
            self._past, self._present, self._passed = self._present, (middle, middle), 0.0


class Needles:
    """All needles of a rig, by instrument."""

    def __init__(self, rig: Rig) -> None:
        self._needles: dict[str, Needle] = {}
        self._turn = 0
        self.take_rig(rig)

    def take_rig(self, rig: Rig) -> None:
        """Take the instruments of a rig; needles of the same instruments stay as they are."""
        self.rig = rig
        before = self._needles
        self._needles = {}
        for name, instrument in rig.instruments.items():
            kept = before.get(name)
            self._needles[name] = kept if kept is not None and kept.instrument == instrument else Needle(instrument)

    def __getitem__(self, name: str) -> Needle:
        """Return the needle of an instrument. Raises KeyError where there is none of this name."""
        return self._needles[name]

    def take(self, live: Live, pace: float = 1.0, rest: bool = False) -> None:
        """Lead every needle to an instant, as ``Needle.take``."""
        for needle in self._needles.values():
            needle.take(live, pace, rest)

    def put(self, stood: Callable[[str, float], float]) -> None:
        """Put the needles where they ``stood`` [SI] at an instant that has been; nan leaves one where it is.

        ``stood`` is asked by name, and for how long before that instant [s].
        """
        for name, needle in self._needles.items():
            if math.isfinite(stands := stood(name, 0.0)):
                needle.put(stands, stood(name, STILL))

    def feel(self, live: Live) -> None:
        """Look how the pressure beats at one of the gauges, by turns."""
        gauges = [needle for needle in self._needles.values() if needle.instrument.kind == "gauge"]
        if gauges:
            self._turn = (self._turn + 1) % len(gauges)
            gauges[self._turn].pulse = pulse(self.rig, live, gauges[self._turn].instrument.on)

    def stands(self, name: str) -> float:
        """Return the middle of what a needle swings about [SI], nan where there is none of this name."""
        needle = self._needles.get(name)
        return math.nan if needle is None else needle.pointer.middle

    def figure(self, name: str, system: System) -> float:
        """Return what is read off an instrument [SI]. Raises KeyError."""
        return self._needles[name].pointer.read_off(system)
