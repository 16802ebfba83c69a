"""How often the picture is shown, so that it gives way before time does.

A frame of the window lets time pass and then shows it. Where both together take more than there is, the picture is
shown less often; time goes on in whole calls. No clock stands here: who has one tells what took how long.
"""

from __future__ import annotations

__all__ = ["RATES", "Pace"]

RATES = (60, 30, 20, 15, 10)  # pictures a second
_EARLY = 6e-3  # s: a picture that is due before the next frame of the timer is shown with this one
_HEAVY, _HEAVY_FOR = 0.9, 0.3  # share of the time that is taken, and for how long, until there are fewer pictures
_LIGHT, _LIGHT_FOR = 0.75, 2.0  # and until there are more again, if these would take no more
_LONGEST_WAIT = 32.0  # s: after a rise that was taken back at once the next is waited for longer and longer
_MEMORY = 0.5  # s over which what calls cost is averaged
_PICTURES = 8.0  # and pictures over which theirs is


class Pace:
    """Says when the next picture is due. Seconds are of the wall.

    ``rate`` is how many pictures a second there are.
    """

    def __init__(self) -> None:
        self._at = 0  # of RATES
        self._call, self._picture = 0.0, 0.0  # what a call and a picture take, on the average
        self._shown, self._due = 0.0, 1.0  # what the picture that was shown last has taken so far; since it
        self._pulled = 1.0  # since the last picture that came early for a hand
        self._heavy_for = self._light_for = 0.0
        self._wait, self._since_rise = _LIGHT_FOR, _LONGEST_WAIT

    @property
    def rate(self) -> int:
        """How many pictures a second are shown."""
        return RATES[self._at]

    def solved(self, calls: int, seconds: float) -> None:
        """Take that so many calls of the solver, with what is recorded of them, took so long."""
        for _ in range(calls):
            self._call += (seconds / calls - self._call) * min(1.0, 1 / (60 * _MEMORY))

    def shown(self, seconds: float) -> None:
        """Take that showing the picture took so long; what is painted of it comes later (``painted``)."""
        self._picture += (self._shown - self._picture) / _PICTURES
        self._shown = seconds

    def painted(self, seconds: float) -> None:
        """Take that painting took so long."""
        self._shown += seconds

    def load(self, rate: int, calls: float) -> float:
        """Return the share of the time that so many calls and pictures a second take."""
        return calls * self._call + rate * self._picture

    def pass_time(self, seconds: float, taken: float, calls: float, hand: bool) -> bool:
        """Return whether a picture is due in a frame that comes some seconds after the last one.

        ``taken``: seconds of this frame that have gone into the solver; ``calls``: how many it has to make a second.
        ``hand``: something was moved by a hand; its picture comes now, unless another came early for it just before.
        """
        self._choose(min(seconds, 0.1), calls)
        self._due += seconds
        self._pulled += seconds
        period = 1 / self.rate
        early = hand and self._pulled >= period
        if not early and self._due + taken < period - _EARLY:
            return False
        if early:
            self._pulled = 0.0
        self._due = -taken if early else min(max(self._due - period, -taken), period)
        return True

    def _choose(self, seconds: float, calls: float) -> None:
        self._since_rise += seconds
        heavy = self._at + 1 < len(RATES) and self.load(self.rate, calls) > _HEAVY
        light = self._at > 0 and self.load(RATES[self._at - 1], calls) < _LIGHT
        self._heavy_for = self._heavy_for + seconds if heavy else 0.0
        self._light_for = self._light_for + seconds if light else 0.0
        if self._heavy_for > _HEAVY_FOR:
            if self._since_rise < self._wait:  # it was raised in vain
                self._wait = min(2 * self._wait, _LONGEST_WAIT)
            self._at, self._heavy_for, self._light_for = self._at + 1, 0.0, 0.0
        elif self._light_for > self._wait:
            self._at, self._heavy_for, self._light_for, self._since_rise = self._at - 1, 0.0, 0.0, 0.0
        elif self._at == 0 and self._since_rise > _LONGEST_WAIT:
            self._wait = _LIGHT_FOR
