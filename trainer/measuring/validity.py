"""Whether a reading may be compared with the spec sheet: speed, oil, levers, load and posture as it asks for.

Tolerances: speed, load and stroke 5 %, oil 5 K, angles 5 degrees, levers 2 % of their travel: common practice, no
source.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from trainer import units
from trainer.language import mark, tr
from trainer.measuring.instruments import true_reading
from trainer.parts.part import Control, Kind, Parameter, State
from trainer.parts.roles import DirectionalValve
from trainer.rig.live import Live
from trainer.rig.names import lever_words, line_words, part_short
from trainer.rig.rig import Rig, SpecReading
from trainer.rig.tables import SCALES
from trainer.units import System

__all__ = ["MOVING", "Condition", "Met", "Verdict", "conditions", "verdict"]

MOVING = mark("the needle is still moving")
_SHARE = 0.05  # of speed, load and stroke
_OIL = 5.0  # K
_ANGLE = math.radians(5.0)
_LEVER = 0.02
_END = 0.01  # of the stroke: an end is met or not
_EMPTY = 0.01  # of the largest load: nothing hangs on it
_KEEPS_UP = 0.85  # of the speed asked for; a governor's droop is not held against it
_ORDER = ("speed", "oil", "lever", "load", "switch", "posture", "state")


class Met(str):
    """A condition that is met, in words: the first to go where there is no room."""

    __slots__ = ()


@dataclass(frozen=True, slots=True)
class Condition:
    """One condition of a spec reading: ``name`` one of "speed", "oil", "lever", "load", "posture"; numbers in SI.

    ``key`` is that of the sheet ("0M1.speed_asked", "temperature"), ``title`` what it is of ("boom lever").
    """

    name: str
    key: str
    title: str
    quantity: str
    wanted: float
    now: float
    met: bool

    def words(self, system: System = System.METRIC) -> str:
        """Return "speed as asked", or "oil at 31, the sheet asks for 45 °C"."""
        if self.met:
            return Met(tr("{title} as asked").format(title=self.title))
        now, _ = units.text(self.now, self.quantity, system)
        return tr("{title} at {now}, the sheet asks for {written}").format(
            title=self.title, now=now, written=_written(self.wanted, self.quantity, system)
        )


@dataclass(frozen=True, slots=True)
class Verdict:
    """An instrument against the sheet: the reading that comes nearest, its conditions, what is read off [SI].

    ``resting``: whether its needle has come to rest; while it moves nothing can be read off.
    """

    reading: SpecReading
    conditions: tuple[Condition, ...]
    quantity: str
    figure: float
    resting: bool = True

    @property
    def valid(self) -> bool:
        """Whether every condition is met and the needle rests."""
        return self.resting and all(condition.met for condition in self.conditions)

    @property
    def within(self) -> bool:
        """Whether what is read off is within the tolerance of the sheet."""
        return abs(self.figure - self.reading.value) <= self.reading.tolerance

    def told(self, system: System = System.METRIC) -> list[str]:
        """Return ["speed as asked", "oil at 31, the sheet asks for 45 °C", "load as asked"].

        A needle that has not come to rest is told first.
        """
        told = [] if self.resting else [tr(MOVING)]
        for name in _ORDER:
            group = [condition for condition in self.conditions if condition.name == name]
            missed = [condition.words(system) for condition in group if not condition.met]
            told += missed or ([Met(tr("{title} as asked").format(title=tr(name)))] if group else [])
        return told

    def comparison(self, system: System = System.METRIC) -> str:
        """Return "sheet 93.0 ± 9.3 bar, read 91.8: within" where the reading is valid, else nothing."""
        if not self.valid:
            return ""
        zero = units.shown_unit(self.quantity, system).offset
        tolerance, unit = units.text(self.reading.tolerance + zero, self.quantity, system)
        sheet, _ = units.text(self.reading.value, self.quantity, system)
        read, _ = units.text(self.figure, self.quantity, system)
        gap, _ = units.text(abs(self.figure - self.reading.value) + zero, self.quantity, system)
        found = (
            tr("within")
            if self.within
            else (tr("{gap} too high") if self.figure > self.reading.value else tr("{gap} too low")).format(gap=gap)
        )
        return tr("sheet {sheet} ± {tolerance} {unit}, read {read}: {found}").format(
            sheet=sheet, tolerance=tolerance, unit=unit, read=read, found=found
        )


def _written(value: float, quantity: str, system: System) -> str:
    figures, unit = units.text(value, quantity, system)
    return f"{figures}{unit}" if unit == "°" else f"{figures} {unit}".rstrip()


def conditions(rig: Rig, live: Live, reading: SpecReading) -> list[Condition]:
    """Return the conditions of one spec reading; levers and hooks that it does not name are to be at rest."""
    controls, states, loads = rig.controls(), rig.states(), rig.loads()
    wanted = dict(reading.conditions)
    for key, control in controls.items():
        if _is_lever(rig, key) or control.quantity == "mass":
            wanted.setdefault(key, 0.0)
    found = []
    for key, value in wanted.items():
        if key == "temperature":
            now = live.temperature
            found.append(Condition("oil", key, tr("oil"), key, value, now, abs(now - value) <= _OIL))
        elif key in controls:
            found.append(_of_control(rig, live, key, controls[key], value))
        elif key in loads:
            found.append(_of_load(rig, live, key, loads[key], value))
        else:
            found.append(_of_state(rig, live, key, states[key], value))
    return sorted(found, key=lambda condition: _ORDER.index(condition.name))


def _is_lever(rig: Rig, key: str) -> bool:
    return isinstance(rig.parts[key.partition(".")[0]].part.role, DirectionalValve)


def _of_control(rig: Rig, live: Live, key: str, control: Control, wanted: float) -> Condition:
    id_, _, name = key.partition(".")
    now = live.control(id_, name)
    if control.quantity == "shaft speed":
        kind, title, slack = "speed", tr("speed"), _SHARE * abs(wanted)
        turns = live.speed(rig.line_of(id_, "shaft").name) if "shaft" in rig.parts[id_].part.ports else now
        if abs(turns) < _KEEPS_UP * abs(now):
            now = turns
    elif control.quantity == "mass":
        kind, title, slack = "load", tr("load"), max(_SHARE * wanted, _EMPTY * control.high)
    elif _is_lever(rig, key):
        kind, title, slack = "lever", lever_words(rig, id_), _LEVER
    else:
        kind, title, slack = "switch", part_short(rig, id_), _LEVER * (control.high - control.low)
    return Condition(kind, key, title, control.quantity, wanted, now, abs(now - wanted) <= slack)


def _of_load(rig: Rig, live: Live, key: str, load: Parameter, wanted: float) -> Condition:
    id_, _, name = key.partition(".")
    now, slack = live.parameter(id_, name), _SHARE * abs(wanted)
    title = tr(load.meaning)
    if len(rig.loads()) > 1:
        title = tr("{what} of {part}").format(what=title, part=part_short(rig, id_))
    return Condition("load", key, title, load.quantity, wanted, now, abs(now - wanted) <= slack)


def _of_state(rig: Rig, live: Live, key: str, state: State, wanted: float) -> Condition:
    owner, _, name = key.partition(".")
    now = live.state(owner, name)
    away = abs(now - wanted)
    kind, slack = "state", _SHARE * max(abs(wanted), state.nominal)
    if state.quantity == "angle":
        kind, slack = "posture", _ANGLE
        away = abs(math.remainder(now - wanted, 2 * math.pi))
    elif state.quantity == "length":
        stroke = _stroke(rig, live, owner, state.nominal)
        at_end = min(abs(wanted), abs(wanted - stroke)) < _END * stroke
        kind, slack = "posture", (_END if at_end else _SHARE) * stroke
    title = (
        tr(name)
        if len(name) > 2 and name != "place"
        else part_short(rig, owner)
        if owner in rig.parts
        else line_words(rig, owner)
    )
    return Condition(kind, key, title, state.quantity, wanted, now, away <= slack)


def _stroke(rig: Rig, live: Live, owner: str, other: float) -> float:
    """Return the stroke [m] of the cylinder on a rod line, or on a rod of a load; ``other`` where there is none."""
    for line in rig.lines_of_kind(Kind.ROD):
        if line.name == owner or any(id_ == owner for id_, _ in line.joins):
            for id_, _ in line.joins:
                if "stroke" in rig.parts[id_].part.declared(Parameter):
                    return live.parameter(id_, "stroke")
    return other


def verdict(
    rig: Rig, live: Live, instrument_name: str, figure: float | None = None, resting: bool = True
) -> Verdict | None:
    """Return how an instrument stands against the sheet, None where the sheet has nothing for it.

    Of several spec readings the one whose levers stand right and that has the fewest conditions unmet; ``figure`` is
    what is read off [SI], the true reading where nothing is given; ``resting``: whether its needle has come to rest.
    """
    instrument = rig.instruments[instrument_name]
    found = [
        (reading, conditions(rig, live, reading))
        for reading in rig.healthy
        if (reading.reads, reading.kind) == (instrument_name, instrument.kind)
    ]
    if not found:
        return None

    def missed(pair: tuple[SpecReading, list[Condition]]) -> tuple[int, int]:
        unmet = [condition.name for condition in pair[1] if not condition.met]
        return unmet.count("lever"), len(unmet)

    reading, given = min(found, key=missed)
    read = true_reading(instrument, live) if figure is None else figure
    return Verdict(reading, tuple(given), SCALES[instrument.kind][0], read, resting)
