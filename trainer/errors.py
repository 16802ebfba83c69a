"""What goes wrong on purpose: errors that say what, where, and what to write instead."""

from __future__ import annotations

import difflib
from collections.abc import Iterable
from dataclasses import dataclass

from trainer.language import tr

__all__ = ["Fault", "RigError", "SolverError", "SpoolroomError", "UnitError", "nearest", "nearest_key"]


class SpoolroomError(Exception):
    """Base of every error that the program raises on purpose and shows in one piece."""


class UnitError(SpoolroomError):
    """A number with a unit could not be read: what was read, and what to write instead."""

    def __init__(self, problem: str, remedy: str = "") -> None:
        self.problem = problem
        self.remedy = remedy
        super().__init__(f"{problem} {remedy}".rstrip())


class SolverError(SpoolroomError):
    """A stretch of time could not be integrated by any of the methods."""


@dataclass(frozen=True, slots=True)
class Fault:
    """One thing wrong in a file: where it stands, what was read, what to write instead."""

    kind: str  # short stable name, e.g. "unknown part", used by tests and by the fault list
    where: str  # e.g. "[parts] 0V1, key 'setting'"
    problem: str  # what was read and why it cannot be used
    remedy: str = ""  # what to write instead
    line: int = 0  # of the file, counted from 1; 0 where it is not known
    follows: str = ""  # the place of another fault that may be all there is to this one

    @property
    def place(self) -> str:
        """The line and where it stands."""
        return ", ".join(
            word for word in (tr("line {line}").format(line=self.line) if self.line else "", self.where) if word
        )

    @property
    def advice(self) -> str:
        """What to do about it."""
        after = (
            tr("It may only follow from the fault in {follows}: mend that first.").format(follows=self.follows)
            if self.follows
            else ""
        )
        return f"{self.remedy} {after}".strip()

    def __str__(self) -> str:
        text = f"{self.place}: {self.problem}" if self.place else self.problem
        return f"{text} {self.advice}".rstrip()


class RigError(SpoolroomError):
    """A rig cannot be used; carries every fault found, not only the first."""

    def __init__(self, faults: Iterable[Fault], source: str = "") -> None:
        self.faults = tuple(faults)
        self.source = source
        super().__init__(str(self))

    def __str__(self) -> str:
        name = self.source or "rig"
        if len(self.faults) == 1:
            return f"{name}: {self.faults[0]}"
        lines = "\n".join(f"  - {fault}" for fault in self.faults)
        return tr("{name}: {count} faults\n{lines}").format(name=name, count=len(self.faults), lines=lines)


def nearest(word: str, known: Iterable[str]) -> str:
    """Return a sentence with the nearest right word, or the choice, or nothing."""
    names = sorted(known)
    folded = {name.lower(): name for name in names}
    close = difflib.get_close_matches(word.lower(), folded, n=1, cutoff=0.6)
    if close:
        return tr("Did you mean '{folded}'?").format(folded=folded[close[0]])
    if 0 < len(names) <= 12:
        return tr("Known here: {names}.").format(names=", ".join(names))
    return ""


def nearest_key(name: str, known: Iterable[str]) -> str:
    """Return a sentence with the nearest "part.key", or all of that part; others only where there is no such part."""
    names = sorted(known)
    part, _, key = name.partition(".")
    own = {one.partition(".")[2].lower(): one for one in names if one.partition(".")[0].lower() == part.lower()}
    if not own:
        return nearest(name, names)
    close = difflib.get_close_matches(key.lower(), own, n=1, cutoff=0.6)
    if close:
        return tr("Did you mean '{folded}'?").format(folded=own[close[0]])
    return tr("Known here: {names}.").format(names=", ".join(own.values()))
