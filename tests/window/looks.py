"""Sizes and unit systems in which tests look at a window: one of them in every run, the others with the long tests.

In US units the words are longest, in a small window the room is least.
"""

from __future__ import annotations

from collections.abc import Iterable

import pytest

from trainer.units import System

__all__ = ["SYSTEMS", "sizes"]

SYSTEMS = (System.US, pytest.param(System.METRIC, marks=pytest.mark.soak))


def sizes(first: tuple[int, int], *others: tuple[int, int]) -> Iterable[object]:
    """Return sizes [px] to look at: the first in every run, the others with the long tests."""
    return first, *(pytest.param(size, marks=pytest.mark.soak) for size in others)
