"""Reads game controllers through the optional extra: no window, no thread, no clock; whoever wants to know asks."""

from __future__ import annotations

import ctypes
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from trainer.language import tr
from trainer.operating.sdl import ExtraMissing, load
from trainer.operating.sticks import Pad

__all__ = ["Pads"]

_FULL = 32767


@dataclass(slots=True)
class _Open:
    """A controller that is open: what it was opened as, and what reads each of its places."""

    joystick: Any
    controller: Any  # None where only its axes are known by their numbers
    key: str
    name: str
    reads: dict[str, Callable[[], float]]


class Pads:
    """All controllers that are plugged in now. Raises ExtraMissing where the extra is not there or does not work."""

    def __init__(self) -> None:
        self._sdl = sdl = load("pad")
        self._kinds = sdl.SDL_INIT_JOYSTICK | sdl.SDL_INIT_GAMECONTROLLER
        if sdl.SDL_InitSubSystem(self._kinds):
            why = bytes(sdl.SDL_GetError()).decode("utf-8", "replace")
            raise ExtraMissing(tr("Controllers cannot be read here: {why}.").format(why=why.rstrip(".")))
        self._open: dict[int, _Open] = {}

    def close(self) -> None:
        """Give all controllers back."""
        for number in [*self._open]:
            self._shut(number)
        self._sdl.SDL_QuitSubSystem(self._kinds)

    def read(self) -> tuple[Pad, ...]:
        """Return all controllers as they stand now; what has been plugged in or pulled out since is seen."""
        sdl = self._sdl
        sdl.SDL_JoystickUpdate()
        sdl.SDL_FlushEvents(sdl.SDL_FIRSTEVENT, sdl.SDL_LASTEVENT)  # nobody waits for them
        there = {int(sdl.SDL_JoystickGetDeviceInstanceID(k)): k for k in range(sdl.SDL_NumJoysticks())}
        for number in [*self._open]:
            if number not in there or not sdl.SDL_JoystickGetAttached(self._open[number].joystick):
                self._shut(number)
        for number, index in there.items():
            if number not in self._open:
                self._take(number, index)
        return tuple(
            Pad(
                number,
                one.key,
                one.name,
                one.controller is not None,
                {name: get() for name, get in one.reads.items()},
            )
            for number, one in self._open.items()
        )

    def _shut(self, number: int) -> None:
        one = self._open.pop(number)
        if one.controller is not None:
            self._sdl.SDL_GameControllerClose(one.controller)
        else:
            self._sdl.SDL_JoystickClose(one.joystick)

    def _take(self, number: int, index: int) -> None:
        """Open one more; one that cannot be opened is passed over."""
        sdl = self._sdl
        controller = sdl.SDL_GameControllerOpen(index) if sdl.SDL_IsGameController(index) else None
        joystick = sdl.SDL_GameControllerGetJoystick(controller) if controller else sdl.SDL_JoystickOpen(index)
        if not joystick:
            return
        reads = self._of_two_sticks(controller) if controller else self._of_one_stick(joystick)
        called = sdl.SDL_GameControllerName(controller) if controller else sdl.SDL_JoystickName(joystick)
        name = bytes(called or b"").decode("utf-8", "replace") or tr("controller")
        self._open[number] = _Open(joystick, controller or None, self._key(joystick), name, reads)

    def _key(self, joystick: Any) -> str:
        """Return what stays the same of a controller from start to start; two alike are told apart by their order."""
        sdl, text = self._sdl, ctypes.create_string_buffer(40)
        sdl.SDL_JoystickGetGUIDString(sdl.SDL_JoystickGetGUID(joystick), text, len(text))
        guid, taken = text.value.decode("ascii"), {one.key for one in self._open.values()}
        return next(key for key in (guid, *(f"{guid} {k}" for k in range(2, 99))) if key not in taken)

    def _of_two_sticks(self, controller: Any) -> dict[str, Callable[[], float]]:
        sdl = self._sdl
        axis, button = sdl.SDL_GameControllerGetAxis, sdl.SDL_GameControllerGetButton

        def along(one: int, sign: int = 1) -> Callable[[], float]:
            return lambda: _share(sign * axis(controller, one))

        def between(less: int, more: int) -> Callable[[], float]:
            return lambda: float(button(controller, more) - button(controller, less))

        left, right = sdl.SDL_CONTROLLER_AXIS_TRIGGERLEFT, sdl.SDL_CONTROLLER_AXIS_TRIGGERRIGHT
        return {
            "left across": along(sdl.SDL_CONTROLLER_AXIS_LEFTX),
            "left along": along(sdl.SDL_CONTROLLER_AXIS_LEFTY, -1),
            "right across": along(sdl.SDL_CONTROLLER_AXIS_RIGHTX),
            "right along": along(sdl.SDL_CONTROLLER_AXIS_RIGHTY, -1),
            "triggers": lambda: _share(axis(controller, right) - axis(controller, left)),
            "shoulders": between(sdl.SDL_CONTROLLER_BUTTON_LEFTSHOULDER, sdl.SDL_CONTROLLER_BUTTON_RIGHTSHOULDER),
            "cross across": between(sdl.SDL_CONTROLLER_BUTTON_DPAD_LEFT, sdl.SDL_CONTROLLER_BUTTON_DPAD_RIGHT),
            "cross along": between(sdl.SDL_CONTROLLER_BUTTON_DPAD_DOWN, sdl.SDL_CONTROLLER_BUTTON_DPAD_UP),
        }

    def _of_one_stick(self, joystick: Any) -> dict[str, Callable[[], float]]:
        sdl = self._sdl
        names = {0: ("across", 1), 1: ("along", -1), 2: ("twist", 1)}
        reads: dict[str, Callable[[], float]] = {}
        for k in range(max(sdl.SDL_JoystickNumAxes(joystick), 0)):
            name, sign = names.get(k, (f"axis {k + 1}", 1))
            reads[name] = lambda k=k, sign=sign: _share(sign * sdl.SDL_JoystickGetAxis(joystick, k))  # type: ignore[misc]  # of this k
        if sdl.SDL_JoystickNumHats(joystick) > 0:

            def hat(less: int, more: int) -> Callable[[], float]:
                def place() -> float:
                    seen = sdl.SDL_JoystickGetHat(joystick, 0)
                    return float(bool(seen & more) - bool(seen & less))

                return place

            reads["cross across"] = hat(sdl.SDL_HAT_LEFT, sdl.SDL_HAT_RIGHT)
            reads["cross along"] = hat(sdl.SDL_HAT_DOWN, sdl.SDL_HAT_UP)
        if sdl.SDL_JoystickNumButtons(joystick) > 1:
            button = sdl.SDL_JoystickGetButton
            reads["buttons"] = lambda: float(button(joystick, 1) - button(joystick, 0))
        return reads


def _share(raw: int) -> float:
    return min(max(raw / _FULL, -1.0), 1.0)
