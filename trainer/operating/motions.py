"""How a hand moves a lever and a speed setting: springs and holding, without a widget or a clock."""

from __future__ import annotations

import math

__all__ = ["LeverMotion", "SpeedMotion", "StepMotion"]

OUT, BACK, FINE = 2.0, 5.0, 0.2  # full travels per second out and back; the fine factor
LETTING, SLOW = 0.03, 0.02  # seconds until a key is up; what a slow frame counts of them, so that it is never one
AGAIN = 0.05  # share of its travel by which a stick is moved before it has a lever again that other hands took over


class _Motion:
    """What both share: a value between two ends and the directions that a key or finger holds down."""

    def __init__(self, low: float, high: float, value: float) -> None:
        self.low, self.high = low, high
        self.value = self._clipped(value)
        self.pressed: set[int] = set()  # +1 and -1 while a key of theirs is down
        self._by: dict[int, set[object]] = {1: set(), -1: set()}  # which
        self._letting: dict[int, float] = {}  # of keys that seem to have come up, seconds since then
        self._owed = 0.0  # seconds that a key was down while it seemed to be up
        self.fine = False
        self.dragged = False
        self.mover = ""  # what moved it last: "key", "mouse", "finger", "stick", "" for none

    def _clipped(self, value: float) -> float:
        return min(max(value, self.low), self.high)

    @property
    def direction(self) -> int:
        """The direction asked for by keys: +1, -1, or 0 for none or both."""
        return sum(self.pressed)

    def press(self, direction: int, by: object = None) -> None:
        """A direction key went down; soon after its release it was never up. ``by`` says which of several.

        Some systems, and screens that are shared, repeat a held key as releases and presses.
        """
        way = 1 if direction > 0 else -1
        self._by[way].add(by)
        self._owed += self._letting.pop(way, 0.0)
        if self._letting.pop(-way, None) is not None:
            self.pressed.discard(-way)
        self.pressed.add(way)
        self.mover = "key"

    def release(self, direction: int, by: object = None) -> None:
        """A direction key came up; another one that is still down for that direction keeps it."""
        way = 1 if direction > 0 else -1
        self._by[way].discard(by)
        if self._by[way]:
            return
        if -way in self.pressed:
            self.pressed.discard(way)
        elif way in self.pressed:
            self._letting[way] = 0.0

    def _moving(self, seconds: float) -> float:
        """Return for how much of some seconds keys move it; while one may be coming up it stands."""
        for way in [*self._letting]:
            self._letting[way] += min(seconds, SLOW)
            if self._letting[way] > LETTING:
                del self._letting[way]
                self.pressed.discard(way)
        if self._letting:
            return 0.0
        owed, self._owed = self._owed, 0.0
        return seconds + owed

    def grab(self, mover: str = "mouse") -> None:
        """A mouse button or a finger took hold."""
        self.dragged = True
        self.mover = mover

    def drag_to(self, value: float) -> None:
        """Move to a value while grabbed."""
        self.value = self._clipped(value)

    def let_go(self) -> None:
        """The mouse button or finger came up."""
        self.dragged = False

    def take(self, value: float) -> None:
        """Be where the session has it, let go."""
        self.forget()
        self.value = self._clipped(value)

    def forget(self) -> None:
        """The focus went elsewhere: no key is down any more, nothing is grabbed."""
        self.forget_keys()
        self.dragged = False

    def forget_keys(self) -> None:
        """The keyboard went elsewhere: no key is down any more; what a finger has hold of stays in it."""
        self._up()
        self.fine = False

    def _up(self) -> None:
        self.pressed.clear()
        for keys in self._by.values():
            keys.clear()
        self._letting.clear()
        self._owed = 0.0


class LeverMotion(_Motion):
    """A lever that springs back to the centre unless it is held.

    Values are shares of full travel, -1 … 1. ``held`` keeps the lever where it is when it is let go; ``led``: it
    stands where a stick of a controller does. From ``notch`` on a detent holds it till it is moved out of there.
    """

    def __init__(self, low: float = -1.0, high: float = 1.0, value: float = 0.0, notch: float = math.inf) -> None:
        super().__init__(low, high, value)
        self.notch = notch
        self.held = self.led = False
        self._stood: float | None = None  # where the stick stood when another hand took the lever from it

    @property
    def centre_value(self) -> float:
        """Where the springs bring it: zero, or the nearest end."""
        return self._clipped(0.0)

    def take(self, value: float) -> None:
        """Be where the session has it; away from the centre it is held."""
        super().take(value)
        self.held = abs(self.value) > 1e-9

    @property
    def in_hand(self) -> bool:
        """Whether somebody has it: where it moves otherwise its spring brings it back."""
        return bool(self.pressed or self.dragged or self.led or self.held)

    def set_exactly(self, value: float) -> None:
        """Put the lever at a value and hold it there; a stick has it again once it is moved."""
        if self.led:
            self._stood, self.led = self.value, False
        self.mover = "key"
        self.value = self._clipped(value)
        self.held = abs(self.value - self.centre_value) > 1e-9

    def nudge(self, step: float) -> None:
        """Move by a small step and hold."""
        self.set_exactly(round((self.value + step) / 0.001) * 0.001)
        self.mover = "mouse"

    def turn_over(self) -> None:
        """Go to the same opening on the other side and hold."""
        self.set_exactly(-self.value)

    def centre(self) -> None:
        """Let the springs have it, out of its notch."""
        self.held = False
        if abs(self.value) >= self.notch:
            self.value = math.copysign(0.99 * self.notch, self.value)
        self._up()

    def lead(self, share: float) -> None:
        """A stick stands at a share of its travel, told before each frame; 0 is its centre, where nobody moves it.

        Whoever moved the lever last has it: a key or the mouse takes it over until the stick is moved again.
        """
        if self.pressed or self.dragged:
            self._stood, self.led = share, False
        elif self._stood is not None and share and abs(share - self._stood) < AGAIN:
            self.led = False
        elif share:
            self._stood, self.led, self.held, self.mover = None, True, False, "stick"
            self.value = self._clipped(share)
        else:
            self._stood = None
            if self.led:  # the stick's own spring has brought it
                self.led, self.value = False, self.centre_value

    def forget(self) -> None:
        """No key, no pointer and no stick has it any more; it stays where it is ``held``."""
        super().forget()
        self.led = False

    def advance(self, seconds: float) -> bool:
        """Move for some seconds; return whether the value changed."""
        before, moving = self.value, self._moving(seconds)
        if self.direction and not self.dragged:
            rate = OUT * (FINE if self.fine else 1.0)
            self.value = self._clipped(self.value + self.direction * rate * moving)
        elif not self.held and not self.dragged and not self.led and abs(self.value) < self.notch:
            gap = self.centre_value - self.value
            step = BACK * seconds
            self.value = self.centre_value if abs(gap) <= step else self.value + (step if gap > 0 else -step)
        return self.value != before


class SpeedMotion(_Motion):
    """A setting that stays where it is put, such as the speed of the prime mover [SI]."""

    def set_exactly(self, value: float) -> None:
        """Put it at a value."""
        self.value = self._clipped(value)

    def nudge(self, step: float) -> None:
        """Move by a step."""
        self.value = self._clipped(self.value + step)

    def advance(self, seconds: float) -> bool:
        """Move for some seconds while a key is down; the whole range in two seconds."""
        before, moving = self.value, self._moving(seconds)
        if self.direction and not self.dragged:
            rate = (self.high - self.low) / 2 * (FINE if self.fine else 1.0)
            self.value = self._clipped(self.value + self.direction * rate * moving)
        return self.value != before


class StepMotion(_Motion):
    """A setting with a few steps, such as a switch or the load in a grapple [SI].

    ``wanted`` is what was asked for and not yet given to the session, which brings it there as gently as it needs.
    """

    def __init__(self, low: float, high: float, value: float) -> None:
        super().__init__(low, high, value)
        self.wanted: float | None = None

    def set_exactly(self, value: float) -> None:
        """Ask for a value."""
        self.value = self.wanted = self._clipped(value)

    def take(self, value: float) -> None:
        """Be where the session has it; nothing is asked for any more."""
        super().take(value)
        self.wanted = None

    def advance(self, seconds: float) -> bool:
        """Stay: no hand holds it."""
        return False
