"""When Python looks for garbage: not while a program starts, which makes only what is kept."""

from __future__ import annotations

import contextlib
import gc
from collections.abc import Iterator

__all__ = ["seek_everywhere", "tidy", "unsought"]


@contextlib.contextmanager
def unsought() -> Iterator[None]:
    """Do not look for garbage meanwhile, nor later through what has been made."""
    looks = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        gc.freeze()
        if looks:
            gc.enable()


def tidy() -> None:
    """Take away what was left since it was looked through last, and look no more through the rest."""
    gc.collect()
    gc.freeze()


def seek_everywhere() -> None:
    """Look through all that there is again: of what stood long, such as a page, much has gone."""
    gc.unfreeze()
