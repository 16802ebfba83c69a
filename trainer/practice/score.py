"""What came of an attempt: all measures, the three that are shown with their bands, what happened in a sentence."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from enum import Enum

from trainer.language import mark, tr
from trainer.lessons.filling import asked
from trainer.practice.attempt import Attempt, State
from trainer.practice.catalogue import MEASURES, called, found, joined
from trainer.practice.task import Bands, Task
from trainer.practice.telling import told
from trainer.units import System

__all__ = ["Band", "Score", "Shown", "band_of", "spread"]


class Band(Enum):
    """How far a measure is from that of a practised hand."""

    PRACTISED = mark("practised")
    USABLE = mark("usable")
    BEYOND = mark("beyond")


@dataclass(frozen=True, slots=True)
class Shown:
    """One of the measures of a score [SI] with its words, its quantity, its limits and the band that it is in."""

    id: str
    words: str
    value: float
    quantity: str
    bands: Bands | None
    band: Band | None

    def told(self, system: System) -> str:
        """Return it with its unit."""
        return told(self.id, self.value, self.quantity, system)


def band_of(measure: str, value: float, bands: Bands) -> Band:
    """Return the band that a value [SI] is in; a limit belongs to the better one."""
    sign = 1 if MEASURES[measure].less else -1
    if sign * value <= sign * bands.practised[0]:
        return Band.PRACTISED
    return Band.USABLE if sign * value <= sign * bands.usable[0] else Band.BEYOND


@dataclass(frozen=True, slots=True)
class Score:
    """The measures of an attempt that is done, by their ids [SI]: of all of it, and of each lap."""

    task: Task
    values: Mapping[str, float]
    laps: Sequence[Mapping[str, float]]
    quantities: Mapping[str, str]

    @classmethod
    def of(cls, attempt: Attempt) -> Score:
        """Return the score of an attempt; of laps that were not done nothing is measured."""
        done = zip(attempt.laps, attempt.traces, attempt.reached, strict=False)
        laps = [found(lap, trace, reached) for lap, trace, reached in done]
        quantities = attempt.traces[0].quantities if attempt.traces else {}
        roles = attempt.task.laps[0].roles
        can = [one for one in MEASURES.values() if quantities and one.can(roles)]
        values = joined(laps) if attempt.state is State.DONE else {}
        return cls(attempt.task, values, laps, {one.id: one.quantity_in(roles, quantities) for one in can})

    def one(self, id_: str) -> Shown:
        """Return one measure. Raises KeyError for one that was not found."""
        bands = self.task.bands.get(id_)
        value = self.values[id_]
        band = band_of(id_, value, bands) if bands is not None else None
        return Shown(id_, called(id_, self.task.names), value, self.quantities[id_], bands, band)

    @property
    def shown(self) -> list[Shown]:
        """The measures that are shown: of error, of quality, of time."""
        return [self.one(id_) for id_ in self.task.shown if id_ in self.values]

    @property
    def others(self) -> list[Shown]:
        """All other measures, in the order of the catalogue."""
        return [self.one(id_) for id_ in MEASURES if id_ in self.values and id_ not in self.task.shown]

    def headline(self, system: System) -> str:
        """Return what happened, in one sentence."""
        words = tr(self.task.headline)
        for id_ in set(asked(words)):
            words = words.replace(f"{{{id_}}}", self.one(id_).told(system) if id_ in self.values else "–")
        return words


def spread(values: Sequence[float]) -> tuple[float, float]:
    """Return mean and standard deviation of a sample (n - 1; 0 for a single value, nan for none)."""
    if not values:
        return math.nan, math.nan
    mean = math.fsum(values) / len(values)
    squares = math.fsum((value - mean) ** 2 for value in values)
    return mean, math.sqrt(squares / (len(values) - 1)) if len(values) > 1 else 0.0
