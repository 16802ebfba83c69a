"""What a piece of work costs, counted so that every machine finds the same."""

from __future__ import annotations

import sys
from collections.abc import Callable

__all__ = ["lines_of_python"]


def lines_of_python(work: Callable[[], object]) -> int:
    """Return how many lines of Python run."""
    lines = 0

    def count(frame: object, event: str, argument: object) -> object:
        nonlocal lines
        lines += event == "line"
        return count

    old = sys.gettrace()
    sys.settrace(count)  # type: ignore[arg-type]  # it returns itself, which has no type
    try:
        work()
    finally:
        sys.settrace(old)
    return lines
