"""Controllers that are not there: those of the library itself, moved by a test; what they do goes its whole way."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

import pytest

pytest.importorskip("sdl2", reason="the extra is not installed", exc_type=ImportError)

from trainer.operating.sdl import load

__all__ = ["VirtualPad", "plugged_in"]

GAMEPAD_AXES = {
    "left across": 0,
    "left along": 1,
    "right across": 2,
    "right along": 3,
    "left trigger": 4,
    "trigger": 5,
}
_BUTTONS = {"left shoulder": 9, "right shoulder": 10, "up": 11, "down": 12, "left": 13, "right": 14}


class VirtualPad:
    """A controller of two sticks, or a single stick with a twist, a hat and four buttons."""

    def __init__(self, both: bool = True) -> None:
        self.sdl: Any = load("pad")
        self.both = both
        kind = self.sdl.SDL_JOYSTICK_TYPE_GAMECONTROLLER if both else self.sdl.SDL_JOYSTICK_TYPE_FLIGHT_STICK
        index = self.sdl.SDL_JoystickAttachVirtual(kind, 6 if both else 3, 15 if both else 4, 0 if both else 1)
        assert index >= 0
        self.number = self.sdl.SDL_JoystickGetDeviceInstanceID(index)
        self.joystick = self.sdl.SDL_JoystickOpen(index)
        if both:
            self._set(4, -1.0)
            self._set(5, -1.0)

    def _set(self, axis: int, share: float) -> None:
        assert self.sdl.SDL_JoystickSetVirtualAxis(self.joystick, axis, round(share * 32767)) == 0

    def put(self, name: str, share: float) -> None:
        """Move an axis; "along" is away for +."""
        axis = GAMEPAD_AXES[name] if self.both else {"across": 0, "along": 1, "twist": 2}[name]
        self._set(axis, -share if name.endswith("along") else share)

    def press(self, name: str, down: bool = True) -> None:
        """Press a button of a controller, or let it come up."""
        assert self.sdl.SDL_JoystickSetVirtualButton(self.joystick, _BUTTONS[name], int(down)) == 0

    def hat(self, value: int) -> None:
        """Push the hat of a single stick."""
        assert self.sdl.SDL_JoystickSetVirtualHat(self.joystick, 0, value) == 0

    def pull_out(self) -> None:
        """Take the controller away."""
        for index in range(self.sdl.SDL_NumJoysticks()):
            if self.sdl.SDL_JoystickGetDeviceInstanceID(index) == self.number:
                self.sdl.SDL_JoystickClose(self.joystick)
                assert self.sdl.SDL_JoystickDetachVirtual(index) == 0
                return


@contextmanager
def plugged_in() -> Iterator[Any]:
    """Have the library's controllers, none of them plugged in at first and at the end."""
    sdl = load("pad")
    assert sdl.SDL_InitSubSystem(sdl.SDL_INIT_JOYSTICK | sdl.SDL_INIT_GAMECONTROLLER) == 0
    made: list[VirtualPad] = []

    def plug_in(both: bool = True) -> VirtualPad:
        made.append(VirtualPad(both))
        return made[-1]

    try:
        yield plug_in
    finally:
        for pad in made:
            pad.pull_out()
        sdl.SDL_JoystickUpdate()
        sdl.SDL_QuitSubSystem(sdl.SDL_INIT_JOYSTICK | sdl.SDL_INIT_GAMECONTROLLER)
