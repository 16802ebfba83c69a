"""The library behind controllers and sound, which is an extra: found, told how to behave, or said how to get."""

from __future__ import annotations

import ctypes.util
import importlib.util
import warnings
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

from trainer.language import tr

__all__ = ["ExtraMissing", "load"]

_HINTS = {
    b"SDL_NO_SIGNAL_HANDLERS": b"1",  # Ctrl+C is the window's
    b"SDL_JOYSTICK_ALLOW_BACKGROUND_EVENTS": b"1",  # it has no window of its own that could be in front
    b"SDL_JOYSTICK_THREAD": b"1",  # nor one that Windows could tell of controllers
}


class ExtraMissing(Exception):
    """The extra is not installed, or does not work here; says what to do in one line."""


def load(extra: str) -> Any:
    """Return the library's module, of an extra of this program. Raises ExtraMissing."""
    try:
        with warnings.catch_warnings(), _as_it_came():
            warnings.simplefilter("ignore")  # it says which binaries it uses
            import sdl2
    except (ImportError, OSError, RuntimeError):  # not there, or not for this computer
        raise ExtraMissing(
            tr('This needs one more package: python -m pip install "spoolroom[{extra}]", then start anew.').format(
                extra=extra
            )
        ) from None
    for hint, value in _HINTS.items():
        sdl2.SDL_SetHint(hint, value)
    return sdl2


@contextmanager
def _as_it_came() -> Iterator[None]:
    """Take the binary that came with it: the system is asked by six child processes, while a picture waits."""
    known = ctypes.util.find_library
    if importlib.util.find_spec("sdl2dll") is not None:
        ctypes.util.find_library = lambda name: None  # noqa: ARG005 - called so
    try:
        yield
    finally:
        ctypes.util.find_library = known
