"""What was found against what is printed: one row a number, kept for the table at the end of a run."""

from __future__ import annotations

from dataclasses import dataclass

ROWS: list[Row] = []


@dataclass(frozen=True, slots=True)
class Row:
    """One comparison: the check value's id, what it is with its unit, found, printed, allowed difference."""

    id: str
    what: str
    found: float
    printed: float
    allowed: float

    def __str__(self) -> str:
        share = f"{(self.found - self.printed) / self.printed:+8.3%}" if self.printed else ""
        return (
            f"{self.id:5s} {self.what:52s} found {self.found:11.6g}  printed {self.printed:9.6g}  {share}"
            f"  (allowed {self.allowed:.2g})"
        )


def check(id_: str, what: str, found: float, printed: float, share: float = 0.005, *, within: float = 0.0) -> None:
    """Assert that a found number is the printed one, to a share of it, or within so much where that is given.

    The share of 0.5 % is that of the rows which say "exact"; others give the tolerance of their row.
    """
    row = Row(id_, what, found, printed, within or share * abs(printed))
    ROWS.append(row)
    assert abs(found - printed) <= row.allowed, str(row)
