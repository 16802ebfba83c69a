"""Rows of the table of costs."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

__all__ = ["Row", "printed"]


@dataclass(frozen=True, slots=True)
class Row:
    """What was measured, what was found, and what it should be."""

    what: str
    found: str
    goal: str = ""


def printed(title: str, rows: Sequence[Row]) -> str:
    """Return rows below each other, under a title."""
    width = max(len(row.what) for row in rows)
    lines = [f"  {row.what:<{width}}  {row.found}" + (f"   (goal {row.goal})" if row.goal else "") for row in rows]
    return "\n".join([title, *lines])
