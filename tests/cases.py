"""Cases of a test that stand in every run, and those that only the long tests go through."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

import pytest

__all__ = ["LARGER", "first"]

LARGER = ("one-spool-bench", "timber-trailer-loader")  # shipped rigs with more kinds of parts than the small ones


def first(count: int, cases: Iterable[Any]) -> list[Any]:
    """Return cases for ``parametrize``: the first ``count`` in every run, the others with the long tests."""
    marked = []
    for k, case in enumerate(cases):
        values = case if isinstance(case, tuple) else (case,)
        marked.append(case if k < count else pytest.param(*values, marks=pytest.mark.soak))
    return marked
