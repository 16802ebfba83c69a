"""The day, as it stands below pictures; without Qt, which not every picture needs."""

from __future__ import annotations

import datetime

__all__ = ["today"]


def today() -> str:
    """Return the date: "5 Nov 2026"."""
    day = datetime.date.today()
    return f"{day.day} {day:%b %Y}"
