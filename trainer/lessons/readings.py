"""What a lesson reads off a run: "pressure P1", "speed rod1 before", "flow 0P1.P most", "moves rod1 in first".

A reading is a quantity of the rig by its name, when it is taken, and of which run:

- what: ``instrument P1``, ``pressure LINE``, ``flow PART.PORT`` (its size), ``stream PART.NAME``, ``place LINE``
  (of a shaft whose angle no part keeps: what it has turned since the run's start),
  ``speed LINE``, ``pace LINE`` (a speed's size), ``number PART.NAME`` (parameters and controls), ``state PART.NAME``,
  ``own PART.NAME`` (what a part tells of itself), ``load PART.PORT``, ``heat PART``, ``supply PART.NAME``,
  ``temperature oil``
- when: at the ``end`` of the run, which need not be said, ``before`` it, its ``most``, ``least``, ``mean``, its
  ``total`` (powers become energies, flows volumes), the ``total while LINE from 20 mm to 70 mm``, or ``at 2 s``
- ``moves LINE``: how long after its beginning a rod or a shaft has moved off [s]; ``time LINE from 20 mm to 70 mm``
- of which run: ``in NAME``, the task's own where nothing is said
"""

from __future__ import annotations

import re
from collections.abc import Callable, Collection, Iterator, Mapping
from dataclasses import dataclass

from trainer import units
from trainer.engine.readings import Readings
from trainer.errors import UnitError, nearest
from trainer.language import tr
from trainer.measuring.instruments import true_reading
from trainer.parts.part import Control, Kind, Parameter
from trainer.parts.roles import PrimeMover
from trainer.rig.names import line_words, part_label, the_line
from trainer.rig.rig import Rig
from trainer.rig.tables import SCALES

__all__ = ["MOVING", "Known", "Reading", "called", "known"]

MOVING = {"length": 5e-3, "angle": 0.2}  # a way that a load only springs is shorter [m, rad]; our own numbers
_WHEN = ("end", "before", "most", "least", "mean", "total")
_TOTALS = {"power": "energy", "flow": "volume"}
_WAY = re.compile(r"from (.+?) to (.+)")
_WHILE = re.compile(r"total while (\S+) from (.+?) to (.+)")
Probe = Callable[[Readings], float]


class NoReading(ValueError):
    """What is written is no reading of a rig: what is wrong, and what to write instead."""

    def __init__(self, problem: str, remedy: str = "") -> None:
        self.problem, self.remedy = problem, remedy
        super().__init__(f"{problem} {remedy}".rstrip())


@dataclass(frozen=True, slots=True)
class Reading:
    """A reading as it is written: what, of what, when (or a way from place to place [SI]), of which run."""

    words: str
    what: str
    name: str
    when: str = "end"
    at: float = 0.0  # s, where ``when`` is "at"
    way: tuple[float, float] = (0.0, 0.0)
    run: str = ""
    along: str = ""  # the line whose way it is

    @classmethod
    def of(cls, words: str) -> Reading:
        """Return the reading of some words. Raises NoReading."""
        rest, _, run = words.strip().partition(" in ")
        pieces = rest.split(None, 2)
        if len(pieces) < 2:
            raise NoReading(
                tr("{words} is no reading.").format(words=units.quoted(words[:40])),
                tr('Write what is read and where, such as "pressure P1" or "speed rod1 before".'),
            )
        what, name, when = pieces[0], pieces[1], pieces[2] if len(pieces) == 3 else "end"
        try:
            if what == "time":
                match = _WAY.fullmatch(when)
                if match is None:
                    raise NoReading(
                        tr("{words} says no way.").format(words=units.quoted(words[:40])),
                        tr('Write it as "time rod1 from 20 mm to 70 mm".'),
                    )
                way = (units.read(match[1], "length"), units.read(match[2], "length"))
                return cls(words, what, name, "way", way=way, run=run.strip())
            if (match := _WHILE.fullmatch(when)) is not None:
                way = (units.read(match[2], "length"), units.read(match[3], "length"))
                return cls(words, what, name, "while", way=way, run=run.strip(), along=match[1])
            if when.startswith("at "):
                return cls(words, what, name, "at", units.read(when[3:], "time"), run=run.strip())
        except UnitError as error:
            raise NoReading(error.problem, error.remedy) from None
        if when not in _WHEN or (what == "moves" and when != "end"):
            raise NoReading(
                tr("{when} is no time of a run.").format(when=units.quoted(when[:40])),
                nearest(when, _WHEN) or tr('Or an instant, such as "at 2 s".'),
            )
        return cls(words, what, name, when, run=run.strip())

    @property
    def course(self) -> str:
        """What is followed over the run for it: "speed rod1"."""
        what = "place" if self.what in ("moves", "time") else self.what
        return f"{what} {self.name}"

    @property
    def courses(self) -> tuple[str, ...]:
        """All that is followed over the run for it."""
        return (self.course, f"place {self.along}") if self.along else (self.course,)

    @property
    def rests(self) -> bool:
        """Whether it is taken at an instant at which the run is to have come to rest."""
        return self.when == "end" and self.what not in ("moves", "place", "state", "number", "temperature")

    def quantity(self, followed: str) -> str:
        """Return what it measures, from the quantity of its course."""
        if self.what in ("moves", "time"):
            return "time"
        return _TOTALS.get(followed, followed) if self.when in ("total", "while") else followed


class Known:
    """What can be read of a rig, by the words of its courses: its quantity, and how it is taken of an instant.

    ``turning`` are shafts whose angle no part keeps: at an instant it cannot be read, over a run it is summed up.
    """

    def __init__(
        self, rig: Rig, names: Mapping[tuple[str, ...], int], own: Mapping[tuple[str, str], str],
        turning: Collection[str] = (),
    ) -> None:  # fmt: skip
        self.rig, self.turning = rig, turning
        self._names = names
        self._own = own

    def probe(self, course: str) -> tuple[str, Probe]:
        """Return quantity and probe of a course. Raises NoReading with what is known there."""
        what, _, name = course.partition(" ")
        make = _KINDS.get(what)
        if make is None:
            raise NoReading(
                tr("{what} is nothing that can be read.").format(what=units.quoted(what[:40])),
                nearest(what, [*_KINDS, "moves", "time"])
                or tr("Known here: {known}.").format(known=", ".join(_KINDS)),
            )
        options = dict(make(self))
        if what == "place" and name in self.turning:
            raise NoReading(
                tr("no part keeps the angle of {line}.").format(line=name),
                tr('Read how fast it turns: "speed {line}".').format(line=name),
            )
        if name not in options:
            raise NoReading(
                tr("this rig has no {what} {name}.").format(what=what, name=units.quoted(name[:40])),
                nearest(name, options) or tr("It has {known}.").format(known=", ".join(sorted(options)[:12])),
            )
        return options[name]

    def summed(self, course: str) -> str:
        """Return the course of which another one is the sum over time, "" where it is read at each instant."""
        what, _, name = course.partition(" ")
        return f"speed {name}" if what == "place" and name in self.turning else ""

    # -- what there is of each kind, by name -----------------------------------------------------------------------

    def _instruments(self) -> Iterator[tuple[str, tuple[str, Probe]]]:
        for name, item in self.rig.instruments.items():
            yield name, (SCALES[item.kind][0], lambda now, item=item: true_reading(item, now))  # type: ignore[misc] # mypy has no type for a default that binds

    def _pressures(self) -> Iterator[tuple[str, tuple[str, Probe]]]:
        for line in self.rig.lines_of_kind(Kind.OIL):
            yield line.name, ("pressure", _bound("pressure", line.name))

    def _of_reads(self, kind: str, quantity: str, size: bool = False) -> Iterator[tuple[str, tuple[str, Probe]]]:
        for key in self._names:
            if key[0] == kind:
                probe = _bound(kind if kind in ("flow", "stream") else "__getitem__", *_key(kind, key))
                yield ".".join(key[1:]), (quantity, _sized(probe) if size else probe)

    def _flows(self) -> Iterator[tuple[str, tuple[str, Probe]]]:
        return self._of_reads("flow", "flow", size=True)

    def _streams(self) -> Iterator[tuple[str, tuple[str, Probe]]]:
        return self._of_reads("stream", "flow")

    def _supplies(self) -> Iterator[tuple[str, tuple[str, Probe]]]:
        return self._of_reads("supply", "power")

    def _places(self) -> Iterator[tuple[str, tuple[str, Probe]]]:
        for kind, quantity in ((Kind.ROD, "length"), (Kind.SHAFT, "angle")):
            for line in self.rig.lines_of_kind(kind):
                yield line.name, (quantity, _bound("place", line.name))

    def _speeds(self) -> Iterator[tuple[str, tuple[str, Probe]]]:
        for kind, quantity in ((Kind.ROD, "speed"), (Kind.SHAFT, "shaft speed")):
            for line in self.rig.lines_of_kind(kind):
                yield line.name, (quantity, _bound("speed", line.name))

    def _paces(self) -> Iterator[tuple[str, tuple[str, Probe]]]:
        for name, (quantity, probe) in self._speeds():
            yield name, (quantity, _sized(probe))

    def _loads(self) -> Iterator[tuple[str, tuple[str, Probe]]]:
        for key in self._names:
            if key[0] == "load":
                kind = self.rig.parts[key[1]].part.nodes()[key[2]]
                yield f"{key[1]}.{key[2]}", ("force" if kind is Kind.ROD else "torque", _bound("load", *key[1:]))

    def _numbers(self) -> Iterator[tuple[str, tuple[str, Probe]]]:
        for id_, fitted in self.rig.parts.items():
            for name, declared in {**fitted.part.declared(Parameter), **fitted.part.declared(Control)}.items():
                yield f"{id_}.{name}", (declared.quantity, _bound("parameter", id_, name))

    def _states(self) -> Iterator[tuple[str, tuple[str, Probe]]]:
        for name, state in self.rig.states().items():
            owner, _, own = name.partition(".")
            yield name, (state.quantity, _bound("state", owner, own))

    def _of_parts(self) -> Iterator[tuple[str, tuple[str, Probe]]]:
        for (id_, name), quantity in self._own.items():
            yield f"{id_}.{name}", (quantity, _bound("value", id_, name))

    def _heats(self) -> Iterator[tuple[str, tuple[str, Probe]]]:
        for id_ in {key[1]: None for key in self._names if key[0] == "heat" and key[1] in self.rig.parts}:
            yield id_, ("power", _bound("heat", id_))

    def _temperatures(self) -> Iterator[tuple[str, tuple[str, Probe]]]:
        yield "oil", ("temperature", lambda now: now.temperature)


def known(now: Readings) -> Known:
    """Return what can be read of a rig, from its readings at any instant."""
    network = now.network
    own = {(id_, name): quantity for id_, model in network.models.items() for name, quantity in model.reads.items()}
    drives = network.rig.having(PrimeMover)  # what they carry turns without an angle
    turning = {
        line.name
        for line in network.rig.lines_of_kind(Kind.SHAFT)
        if line.name not in network.still_lines and network.carrier.get(line.name, ("",))[0] in ("", *drives)
    }
    return Known(network.rig, network.read_index, own, turning)


def _key(kind: str, key: tuple[str, ...]) -> tuple[object, ...]:
    return key[1:] if kind in ("flow", "stream") else (key,)


def _bound(method: str, *names: object) -> Probe:
    return lambda now: float(getattr(now, method)(*names))


def _sized(probe: Probe) -> Probe:
    return lambda now: abs(probe(now))


_KINDS: Mapping[str, Callable[[Known], Iterator[tuple[str, tuple[str, Probe]]]]] = {
    "instrument": Known._instruments,
    "pressure": Known._pressures,
    "flow": Known._flows,
    "stream": Known._streams,
    "place": Known._places,
    "speed": Known._speeds,
    "pace": Known._paces,
    "number": Known._numbers,
    "state": Known._states,
    "own": Known._of_parts,
    "load": Known._loads,
    "heat": Known._heats,
    "supply": Known._supplies,
    "temperature": Known._temperatures,
}


def called(rig: Rig, reading: Reading) -> str:
    """Return what a reading is called by a mechanic: the instrument on it, else the line or part in words."""
    name, own = reading.name, reading.name.partition(".")[0]
    if reading.what == "instrument":
        return name
    if reading.what == "number" and own in rig.parts:
        part, parameter = rig.parts[own].part, name.partition(".")[2]
        found = part.declared(Parameter).get(parameter) or part.declared(Control)[parameter]
        return str(found.meaning)
    if reading.what in ("pressure", "flow", "speed"):
        kinds = {"pressure": "gauge", "flow": "flow meter", "speed": "tachometer"}
        for item in rig.instruments.values():
            if item.on == name and item.kind == kinds[reading.what]:
                return item.name
    if name in rig.lines:
        told = {
            "pressure": tr("the pressure in {line}").format(line=the_line(rig, name)),
            "speed": tr("the speed of {line}").format(line=the_line(rig, name)),
        }
        return told.get(reading.what, line_words(rig, name))
    return part_label(rig, own) if own in rig.parts else name
