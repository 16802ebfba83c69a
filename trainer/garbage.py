"""When Python looks for garbage: not while a program starts, which makes only what is kept, and then seldom."""

from __future__ import annotations

import contextlib
import gc
import linecache
from collections.abc import Iterator

__all__ = ["seek_everywhere", "tidy", "unsought"]

_MORE = 10_000  # things more than at the last look after which Python looks again; a large picture makes a thousand


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
    """Take away what was left since it was looked through last, and look no more through the rest.

    From then on Python looks seldom: pictures leave next to nothing that is found by looking only, and with Python's
    own 700 it looked in the midst of those that are the hardest to make. Sources go as well; Qt's import has read
    those of every module: three megabytes.
    """
    linecache.clearcache()
    gc.collect()
    gc.freeze()
    gc.set_threshold(_MORE)


def seek_everywhere() -> None:
    """Look through all that there is again: of what stood long, such as a page, much has gone."""
    gc.unfreeze()
