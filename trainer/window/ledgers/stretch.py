"""Which stretch of a run the ledgers over time show: all of it, the last minute, from mark to mark, a cycle."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Protocol

from trainer.energy.ledger_history import LedgerHistory
from trainer.language import mark, tr
from trainer.rig.names import capital, lever_label
from trainer.rig.rig import Rig
from trainer.window.session.controller import SessionController

__all__ = ["KINDS", "Cursors", "Span", "Stretch"]

KINDS = {
    "run": mark("Whole run"),
    "minute": mark("Last minute"),
    "marks": mark("Between marks"),
    "cursors": mark("Between cursors"),
    "cycle": mark("Since a lever left neutral"),
}
_MINUTE = 60.0


@dataclass(frozen=True, slots=True)
class Span:
    """A stretch of a run [s] and what it is called; ``hint`` says what to do where there is none.

    ``whole``: it is the whole run.
    """

    begin: float
    end: float
    words: str
    hint: str = ""
    whole: bool = False


class Cursors(Protocol):
    """The two cursors of the strip."""

    @property
    def pair(self) -> tuple[float, float] | None:
        """Their instants [s], None where there are not two."""


class Stretch:
    """The choice of a stretch for one session.

    ``places`` are the two ends between marks: numbers of ``points``; ``cycle`` is the number of a cycle, None for the
    latest; ``lever`` is the one whose cycles count, "" for the one that left neutral last.
    """

    def __init__(self, controller: SessionController, cursors: Cursors, ledger_history: LedgerHistory) -> None:
        self.controller, self._cursors = controller, cursors
        self.ledger_history = ledger_history
        self.kind = "run"
        self.places: tuple[int, int] | None = None
        self.cycle: int | None = None
        self._lever = ""

    # -- levers and their cycles -----------------------------------------------------------------------------

    @property
    def lever(self) -> str:
        """The control of the lever whose cycles count, or nothing while none has left neutral."""
        known = [name for name, _ in self.ledger_history.left()]
        return self._lever if self._lever in known else (known[-1] if known else "")

    def next_lever(self) -> None:
        """Count the cycles of the next lever that has left neutral."""
        known = [name for name in self.ledger_history.levers if name in dict(self.ledger_history.left())]
        if known:
            self._lever = known[(known.index(self.lever) + 1) % len(known)]
            self.cycle = None

    def cycles(self) -> list[tuple[float, float]]:
        """Return (begin, end) of the lever's cycles [s]; the last one goes on until now."""
        lever = self.lever
        return self.ledger_history.cycles(lever, dict(self.ledger_history.left())[lever]) if lever else []

    def lever_words(self) -> str:
        """Return what the cycles are those of: "Cycles of the boom lever, from lift"."""
        lever = self.lever
        if not lever:
            return tr("Cycles of a lever")
        rig = self.controller.session.rig
        return tr("Cycles of the {lever} lever, from {way}").format(
            lever=capital(lever_label(rig, lever)).lower(), way=self._way(rig, lever)
        )

    def _way(self, rig: Rig, lever: str) -> str:
        way = dict(self.ledger_history.left())[lever]
        ends = rig.parts[lever.partition(".")[0]].ends or rig.controls()[lever].ends
        named = ends[way > 0] if ends else ""
        return named or ("+" if way > 0 else "−")

    # -- marks and cursors -----------------------------------------------------------------------------------

    def points(self) -> list[tuple[float, str]]:
        """Return what a stretch between marks may begin and end with: the start, the marks, this instant."""
        end = self.ledger_history.end
        marks = [(time, name) for time, name in self.controller.marks if time <= end + 1e-6]
        return [(self.ledger_history.begin, "start"), *marks, (end, "now")]

    def ends(self) -> tuple[int, int]:
        """Return the numbers of both points between marks: as chosen, else the last two marks."""
        count = len(self.points())
        if self.places is not None and max(self.places) < count:
            return self.places
        return (count - 3, count - 2) if count > 3 else (count - 2, count - 1)

    def move(self, which: int) -> None:
        """Let one of both ends go on to the next point; they never are the same."""
        ends, count = list(self.ends()), len(self.points())
        if count < 3:
            return
        ends[which] = (ends[which] + 1) % count
        if ends[0] == ends[1]:
            ends[which] = (ends[which] + 1) % count
        self.places = (ends[0], ends[1])

    def cursors(self) -> tuple[float, float] | None:
        """Return the instants of the strip's two cursors [s], or None."""
        pair = self._cursors.pair
        return None if pair is None else (min(pair), max(pair))

    # -- the stretch -----------------------------------------------------------------------------------------

    def span(self) -> Span:
        """Return the chosen stretch."""
        ledger_history = self.ledger_history
        begin, end = ledger_history.begin, ledger_history.end
        if self.kind == "minute":
            return Span(max(begin, end - _MINUTE), end, tr("last minute"))
        if self.kind == "marks":
            points = self.points()
            (first, one), (last, other) = sorted(points[k] for k in self.ends())
            if len(points) < 3:
                return Span(begin, end, tr("whole run"), tr("Ctrl+K sets a mark at this instant."), True)
            return Span(first, last, tr("{one} to {other}").format(one=one, other=other))
        if self.kind == "cursors":
            pair = self.cursors()
            if pair is None:
                return Span(
                    begin, end, tr("whole run"), tr("Set two cursors on the strip: click there and drag."), True
                )
            return Span(max(pair[0], begin), min(pair[1], end), tr("between the cursors"))
        if self.kind == "cycle":
            cycles = self.cycles()
            if not cycles:
                return Span(
                    begin, end, tr("whole run"), tr("A cycle begins when a lever leaves neutral. Move one."), True
                )
            number = len(cycles) - 1 if self.cycle is None else min(self.cycle, len(cycles) - 1)
            return Span(*cycles[number], tr("cycle {number}").format(number=number + 1))
        return Span(begin, end, tr("whole run"), whole=True)
