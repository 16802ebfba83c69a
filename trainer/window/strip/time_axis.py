"""Time on the strip: the stretch that is shown, its zoom and its numbers, and two cursors on it."""

from __future__ import annotations

import math
from dataclasses import dataclass, field

from trainer.language import tr

__all__ = ["SPAN", "SPANS", "Cursors", "TimeWindow", "span_text", "time_text"]

SPAN = 30.0  # seconds shown at first
SPANS = (0.05, 0.1, 0.2, 0.5, 1.0, 2.0, 5.0, 10.0, 30.0, 60.0, 120.0, 300.0, 600.0, 1200.0, 1800.0, 3600.0)
_STEPS = (
    0.02, 0.05, 0.1, 0.2, 0.5, 1.0, 2.0, 5.0, 10.0, 20.0, 30.0, 60.0, 120.0, 300.0, 600.0, 900.0, 1200.0
)  # fmt: skip


def time_text(seconds: float, span: float, decimals: int | None = None) -> str:
    """Return an instant as it is printed where a stretch of ``span`` [s] is shown: "12.30 s"."""
    if decimals is None:
        decimals = 4 if span <= 0.2 else 3 if span <= 5.0 else 2 if span <= 120.0 else 1
    figures = f"{abs(seconds):.{decimals}f}"
    return f"{'−' if seconds < 0 and float(figures) else ''}{figures} s"


def span_text(span: float) -> str:
    """Return the length of a stretch: "30 s", "10 min"."""
    return f"{span:g} s" if span < 120.0 else tr("{span:g} min").format(span=span / 60)


@dataclass(slots=True)
class TimeWindow:
    """The stretch of time on the strip, ``span`` [s] long.

    It ends at the instant that is shown, or stands at ``held`` [s] where it was frozen or moved.
    """

    span: float = SPAN
    held: float | None = None

    @property
    def frozen(self) -> bool:
        """Whether it stands while time goes on."""
        return self.held is not None

    def end(self, now: float) -> float:
        """Return where it ends [s]."""
        return now if self.held is None else self.held

    def begin(self, now: float) -> float:
        """Return where it begins [s]."""
        return self.end(now) - self.span

    def freeze(self, on: bool, now: float) -> None:
        """Let the picture stand, or follow time again."""
        self.held = self.end(now) if on else None

    def zoom(self, steps: int, about: float | None = None) -> bool:
        """Show less (steps > 0) or more time; the instant ``about`` keeps its place. Return whether that changed it.

        While it follows time its end stays.
        """
        place = min(range(len(SPANS)), key=lambda k: abs(math.log(SPANS[k] / self.span)))
        span = SPANS[min(max(place - steps, 0), len(SPANS) - 1)]
        if span == self.span:
            return False
        if self.held is not None and about is not None:
            share = (self.held - about) / self.span
            self.held = about + share * span
        self.span = span
        return True

    def move(self, seconds: float, now: float, first: float, last: float) -> None:
        """Move it by a time; it stays between the first and the last sample [s] where it can.

        Moved to the end it follows time again.
        """
        low = min(first + self.span, last)
        self.held = min(max(self.end(now) + seconds, low), last)
        if self.held >= last - 1e-9 and now >= last - 1e-9:
            self.held = None

    def home(self) -> None:
        """Show the last half minute, and follow time."""
        self.span, self.held = SPAN, None

    def ticks(self, now: float) -> list[tuple[float, str]]:
        """Return (instant [s], words) of the numbers on the axis, and of the hairlines above them.

        Relative to its end while it follows time, else of the session.
        """
        step = next((step for step in _STEPS if self.span / step <= 4.0 + 1e-9), _STEPS[-1])
        long = self.span > 60.0
        if self.held is None:
            count = math.floor(self.span / step + 1e-9)
            return [(now - k * step, _number(-k * step, step, long)) for k in range(count, -1, -1)]
        first = max(math.ceil(self.begin(now) / step - 1e-9), 0)
        last = math.floor(self.held / step + 1e-9)
        return [(k * step, _number(k * step, step, long)) for k in range(first, last + 1)]


def _number(seconds: float, step: float, minutes: bool) -> str:
    unit = 60.0 if minutes else 1.0
    decimals = next((k for k in range(3) if abs(round(step / unit, k) - step / unit) < 1e-9), 2)
    figures = f"{abs(seconds) / unit:.{decimals}f}"
    return f"{'−' if seconds < 0 and float(figures) else ''}{figures} {'min' if minutes else 's'}"


@dataclass(slots=True)
class Cursors:
    """Up to two instants [s] that stand on the strip; ``active`` is the place of the one that the keys move."""

    times: list[float] = field(default_factory=list)
    active: int = 0
    _moving: bool = False

    @property
    def pair(self) -> tuple[float, float] | None:
        """Both instants, A and B, or None."""
        return (self.times[0], self.times[1]) if len(self.times) == 2 else None

    def press(self, time: float, slack: float) -> None:
        """Take hold of a cursor that stands within ``slack`` [s] of a time, or set the first one there."""
        near = [k for k, own in enumerate(self.times) if abs(own - time) <= slack]
        self._moving = bool(near)
        if near:
            self.active = min(near, key=lambda k: abs(self.times[k] - time))
        else:
            self.times, self.active = [time], 0

    def drag(self, time: float) -> None:
        """Move the cursor that is held; a drag from a new first one sets the second."""
        if not self._moving:
            self._moving = True
            self.times.append(time)
            self.active = 1
        self.times[self.active] = time

    def move(self, seconds: float, first: float, last: float, end: float) -> None:
        """Move the active cursor by a time between two instants; without one, set the first at ``end``."""
        if not self.times:
            self.times, self.active = [end], 0
        else:
            self.times[self.active] = self.times[self.active] + seconds
        self.times[self.active] = min(max(self.times[self.active], first), last)

    def second(self, end: float) -> None:
        """Set the other cursor where the active one stands, and go on with it; with two, change between them."""
        if not self.times:
            self.times = [end]
        elif len(self.times) == 1:
            self.times.append(self.times[0])
            self.active = 1
        else:
            self.active = 1 - self.active

    def remove(self) -> None:
        """Take the active cursor away; the other one stays and becomes the first."""
        if self.times:
            del self.times[self.active]
            self.active = 0
