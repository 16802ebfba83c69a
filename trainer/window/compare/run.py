"""A run that was kept, and what is different about a later one."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from trainer import units
from trainer.energy.series import TimeSeries
from trainer.engine.session import Session
from trainer.language import tr
from trainer.parts.part import Choice, Control, Parameter
from trainer.rig.names import part_label
from trainer.units import System
from trainer.window.strip.record import StripRecord

__all__ = ["START", "Change", "KeptRun", "Number", "TwoRuns", "changes", "keep", "numbers_of"]

START = "the start"  # in the place of a mark's name


@dataclass(frozen=True, slots=True)
class Number:
    """What can be changed about a rig: what it is, its quantity, its value [SI; C]; a chosen word has no quantity."""

    words: str
    quantity: str
    value: float | str


@dataclass(frozen=True, slots=True)
class KeptRun:
    """A run from its start: what was recorded, marks by name [s], and the numbers at its end."""

    title: str
    series: TimeSeries
    marks: Mapping[str, float]
    numbers: Mapping[str, Number]


class TwoRuns:
    """The run that was kept, and where it is laid on the present one: at ``aligned``, their start or a mark's name.

    ``marks`` are those of the present run: time [s], name.
    """

    def __init__(self, marks: Sequence[tuple[float, str]]) -> None:
        self.kept: KeptRun | None = None
        self.aligned = START
        self._marks = marks

    def places(self) -> list[str]:
        """Return where both runs can be laid on each other: their start, and the marks that both have."""
        return [START, *(name for _, name in self._marks if self.kept is not None and name in self.kept.marks)]

    def align_next(self) -> None:
        """Lay the runs on each other at the next place."""
        places = self.places()
        at = places.index(self.aligned) if self.aligned in places else -1
        self.aligned = places[(at + 1) % len(places)]

    def shift(self) -> float:
        """Return how much later the run before is laid [s]."""
        own = {name: time for time, name in self._marks}
        if self.kept is None or self.aligned not in own or self.aligned not in self.kept.marks:
            return 0.0
        return own[self.aligned] - self.kept.marks[self.aligned]


@dataclass(frozen=True, slots=True)
class Change:
    """What differs between two runs: its words, its value before and now, with units."""

    words: str
    before: str
    now: str


def numbers_of(session: Session) -> dict[str, Number]:
    """Return every number of a rig that can be changed, by "part.name", as it is now."""
    readings, network = session.readings, session.network
    found = {"oil.temperature": Number(tr("oil in the tank"), "temperature", readings.temperature)}
    for id_, model in network.models.items():
        fitted = session.rig.parts[id_]
        title = part_label(session.rig, id_)
        numbers: dict[str, Parameter | Control] = {**model.parameters, **model.controls}
        for name, declared in numbers.items():
            words = f"{id_} {title}: {tr(name.replace('_', ' '))}"
            found[f"{id_}.{name}"] = Number(words, declared.quantity, readings.parameter(id_, name))
        for name in fitted.part.declared(Choice):
            words = f"{id_} {title}: {tr(name.replace('_', ' '))}"
            found[f"{id_}.{name}"] = Number(words, "", fitted.choice(name))
    return found


def keep(session: Session, record: StripRecord, marks: Iterable[tuple[float, str]]) -> KeptRun:
    """Return the present run up to the instant that is shown; ``marks`` are (time [s], name)."""
    series = record.series.copy()
    series.cut(record.now)
    until = {name: time for time, name in marks if time <= record.now}
    return KeptRun(session.rig.title, series, until, numbers_of(session))


def changes(before: Mapping[str, Number], now: Mapping[str, Number], system: System) -> list[Change]:
    """Return what differs, parameters, controls and chosen words of both, in the order of the parts."""
    found = []
    for name in dict.fromkeys([*before, *now]):
        old, new = before.get(name), now.get(name)
        number = new or old
        if number is None or (old is not None and new is not None and _same(old, new)):
            continue
        values = [None if one is None else one.value for one in (old, new)]
        told = _told(values, number.quantity, system)
        found.append(Change(number.words, *told))
    return found


def _same(old: Number, new: Number) -> bool:
    if isinstance(old.value, str) or isinstance(new.value, str):
        return old.value == new.value
    slack = 0.5 if old.quantity == "temperature" else 1e-6 * max(abs(old.value), abs(new.value))
    return abs(old.value - new.value) <= slack


def _told(values: Sequence[float | str | None], quantity: str, system: System) -> tuple[str, str]:
    """Return both values with their unit, with as many decimals as show three figures and the difference."""
    unit = units.shown_unit(quantity, system) if quantity else None
    known = [unit.number(value) for value in values if unit and isinstance(value, float)]
    sizes = [abs(number) for number in known if number]
    if len(known) == 2 and known[0] != known[1]:
        sizes.append(10 * abs(known[1] - known[0]))
    decimals = min(max(2 - math.floor(math.log10(min(sizes, default=100.0))), 0), 6)
    before, now = (_plain(value, quantity, system, decimals) for value in values)
    return before, now


def _plain(value: float | str | None, quantity: str, system: System, decimals: int) -> str:
    """Return a value with its unit, without zeros at the end of its figures."""
    if not isinstance(value, float):
        return value or "–"
    figures, symbol = units.text(value, quantity, system, decimals)
    if "." in figures:
        figures = figures.rstrip("0").rstrip(".")
    return f"{figures} {symbol}".rstrip()
