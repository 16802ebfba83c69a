"""When a wear shows: always, only in warm oil or in cold, or now and then; changed between calls of the solver.

Written behind the degree of the wear: "failed from 50 C to 65 C" begins to show at the first temperature of the oil
and is whole at the second; "failed for 8 s every 60 s, seed 3" shows once in every minute, for some eight seconds, at
moments that follow from the seed alone. Behind all that may stand ", else 2e-8": the number while it does not show,
where that is not a new part's.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from zlib import crc32

from trainer import units
from trainer.errors import UnitError
from trainer.language import tr
from trainer.rig.text import Faults, Where, quoted

__all__ = ["Showing", "read_showing"]

_WARM = re.compile(r"\bfrom\s+(\S+\s*\S*)\s+to\s+(\S+\s*\S*?)(?=\s+for\s|,|$)")
_NOW_AND_THEN = re.compile(r"\bfor\s+(\S+\s*\S*)\s+every\s+(\S+\s*\S*?)(?:,\s*seed\s+(\d{1,9}))?$")
_BEGINS = re.compile(r"\s+(from|for)\s+\S")
_EDGE = 0.2  # s in which it comes and goes
_CLOSEST, _FURTHEST = 1.0, 3600.0  # s between its beginnings
_LONGEST = 120  # characters


@dataclass(frozen=True, slots=True)
class Showing:
    """When a wear shows. ``warm``: oil [C] where it begins and where it is whole; None at any temperature.

    ``lasts`` [s], on an average, in every stretch of ``every`` [s]; 0 all the time. ``other``: the part's number [SI]
    while it does not show, None for that of a new part.
    """

    warm: tuple[float, float] | None = None
    lasts: float = 0.0
    every: float = 0.0
    seed: int = 0
    other: float | None = None

    def share(self, time: float, temperature: float) -> float:
        """Return how much of it shows, 0 … 1, at a time [s] since the start and a temperature of the oil [C]."""
        share = 1.0
        if self.warm is not None:
            begin, whole = self.warm
            share = min(max((temperature - begin) / (whole - begin), 0.0), 1.0)
        if self.every:
            stretch, within = divmod(time, self.every)
            lasts = min(self.lasts * (0.5 + self._chance(int(stretch), "lasts")), self.every)
            begin = self._chance(int(stretch), "begins") * (self.every - lasts)
            share *= min(max(min(within - begin, begin + lasts - within) / _EDGE, 0.0), 1.0)
        return share

    def _chance(self, stretch: int, what: str) -> float:
        """Return a number from 0 to 1 that looks like chance and is always the same."""
        return crc32(f"{self.seed} {stretch} {what}".encode()) / 2**32

    @property
    def text(self) -> str:
        """As it is written, without the other number."""
        words = []
        if self.warm is not None:
            words.append(f"from {self.warm[0]:.6g} C to {self.warm[1]:.6g} C")
        if self.every:
            words.append(f"for {self.lasts:.6g} s every {self.every:.6g} s, seed {self.seed}")
        return " ".join(words)


def read_showing(written: str, where: Where, faults: Faults) -> tuple[str, Showing | None]:
    """Return what stands before the words of when a wear shows, and these, None where none can be read."""
    begins = _BEGINS.search(written[:_LONGEST])
    if begins is None:
        return written, None
    if len(written) > _LONGEST:
        _refuse(written, where, faults)
        return written[: begins.start()], None
    much, words = written[: begins.start()], written[begins.start() :].strip()
    warm, clock = _WARM.search(words), _NOW_AND_THEN.search(words)
    told = " ".join(match[0] for match in (warm, clock) if match)
    if " ".join(words.split()) != " ".join(told.split()):
        _refuse(words, where, faults)
        return much, None
    try:
        degrees = tuple(round(units.read(warm[k], "temperature"), 6) for k in (1, 2)) if warm else None
        lasts, every = (units.read(clock[k], "time") for k in (1, 2)) if clock else (0.0, 0.0)
    except UnitError as error:
        faults.add("bad number", where, error.problem, error.remedy)
        return much, None
    if degrees and abs(degrees[1] - degrees[0]) < 1.0:
        faults.add(
            "out of range", where, tr("{words} is no stretch of temperature.").format(words=quoted(words)),
            tr("Leave at least 1 K between where it begins to show and where it is whole."),
        )  # fmt: skip
        return much, None
    if clock and not (_CLOSEST <= every <= _FURTHEST and 0 < lasts <= every):
        faults.add(
            "out of range", where, tr("{words} cannot be.").format(words=quoted(words)),
            tr("Let it last less than the time from one to the next, and that be 1 s to 1 h."),
        )  # fmt: skip
        return much, None
    warmth = (degrees[0], degrees[1]) if degrees else None
    return much, Showing(warmth, lasts, every, int(clock[3] or 0) if clock else 0)


def _refuse(words: str, where: Where, faults: Faults) -> None:
    faults.add(
        "bad number", where, tr("{words} does not say when it shows.").format(words=quoted(words)),
        tr('Write "failed from 50 C to 65 C", or "failed for 8 s every 60 s, seed 3".'),
    )  # fmt: skip
