"""Runs written down: a session led by a lever script, one row of a CSV table per instant.

A row shows the instant reached and the controls that led there. Units stand in the header; the columns
"paid in", "heat" and "stored" close: what is paid in is what becomes heat and what is stored.
"""

from __future__ import annotations

import csv
from collections.abc import Callable, Iterator
from functools import partial
from typing import Any, NamedTuple, Protocol

from trainer import units
from trainer.engine.readings import Readings
from trainer.engine.session import Session
from trainer.measuring.instruments import true_reading
from trainer.parts.part import Kind
from trainer.rig.levers import LeverScript
from trainer.rig.names import line_words
from trainer.rig.rig import OIL_TEMPERATURE, Rig
from trainer.rig.tables import SCALES

__all__ = ["Column", "Out", "columns", "lead", "record"]


class Out(Protocol):
    """What a table is written to."""

    def write(self, text: str, /) -> object:
        """Take a piece of it."""


class Column(NamedTuple):
    """One column: its title with unit, and what it shows of the readings, in that unit."""

    title: str
    value: Callable[[Readings], float]


def columns(session: Session, system: units.System = units.System.METRIC) -> list[Column]:
    """Return the columns of a record besides its time: controls, loads, pressures, instruments, motion, powers."""
    return list(_columns(session.rig, session.readings, system))


def _columns(rig: Rig, readings: Readings, system: units.System) -> Iterator[Column]:
    def shown(name: str, quantity: str, value: Callable[[Readings], float]) -> Column:
        unit = units.shown_unit(quantity, system)
        return Column(f"{name} [{unit.symbol or '1'}]", lambda now: unit.number(value(now)))

    for key, control in rig.controls().items():
        yield shown(key, control.quantity, _of("control", *key.split(".", 1)))
    for key, load in rig.loads().items():
        yield shown(key, load.quantity, _of("parameter", *key.split(".", 1)))
    for line in rig.lines_of_kind(Kind.OIL):
        yield shown(line_words(rig, line.name).replace(", ", " "), "pressure", _of("pressure", line.name))
    for item in rig.instruments.values():
        yield shown(f"{item.kind} {item.name}", SCALES[item.kind][0], partial(true_reading, item))
    for line in rig.lines_of_kind(Kind.ROD):
        yield shown(f"{line_words(rig, line.name)} place", "length", _of("place", line.name))
        yield shown(f"{line_words(rig, line.name)} speed", "speed", _of("speed", line.name))
    for line in rig.lines_of_kind(Kind.SHAFT):
        yield shown(f"{line_words(rig, line.name)} speed", "shaft speed", _of("speed", line.name))
    yield shown("oil in the tank", "temperature", lambda now: now.temperature)
    for kind, title in (("supply", "paid in"), ("heat", "heat"), ("gain", "stored")):
        for names in readings.group(kind):
            yield Column(f"{title}: {names[0]} {_called(rig, *names)} [W]", _of("__getitem__", (kind, *names)))


def _called(rig: Rig, id_: str, name: str) -> str:
    """Return what a supply, heat or store of a part or a line is called."""
    return rig.parts[id_].part.word(name) if id_ in rig.parts else name


def _of(method: str, *names: Any) -> Callable[[Readings], float]:
    """Return what gives one of the readings by the name of a method of theirs."""
    return lambda now: float(getattr(now, method)(*names))


def lead(
    session: Session,
    script: LeverScript,
    until: float,
    rate: float = 60.0,
    stopped: Callable[[], bool] = lambda: False,
) -> Iterator[float]:
    """Move a session on to a time [s] as a script says, and yield each instant of 1/rate [s], 0 included.

    Where a lever jumps between two instants the stretch is parted there. ``stopped`` is asked after each call; the
    instant that it ends is given up. Raises SolverError.
    """
    count = max(1, round(until * rate))
    instants = [until * k / count for k in range(count + 1)]
    jumps = [time for time in script.times() if 0 < time < until]
    now, hands = 0.0, _Hands(session, script)
    hands.move(0.0)
    if stopped():
        return
    yield 0.0
    for instant in instants[1:]:
        while jumps and jumps[0] < instant - 1e-9:
            jump = jumps.pop(0)
            if jump > now + 1e-9:
                hands.advance(now, jump)
                now = jump
        if not stopped():
            hands.advance(now, instant)
        if stopped():
            return
        now = instant
        yield instant


class _Hands:
    """What a script's hands do to a session: a control is set when its value changes, not before."""

    def __init__(self, session: Session, script: LeverScript) -> None:
        self._session, self._script = session, script
        self._loads = session.rig.loads()
        self._last: dict[str, float] = {}

    def move(self, time: float) -> None:
        for name, value in self._script.at(time).items():
            if self._last.get(name) == value:
                continue
            self._last[name] = value
            if name == OIL_TEMPERATURE.name:
                self._session.set_temperature(value)
            elif name in self._loads:
                self._session.set_parameter(name, value)
            else:
                self._session.set_control(name, value)

    def advance(self, begin: float, end: float) -> None:
        self.move((begin + end) / 2)
        self._session.advance(end - begin, length=end - begin)


def record(
    session: Session,
    script: LeverScript,
    until: float,
    out: Out,
    rate: float = 60.0,
    system: units.System = units.System.METRIC,
    stopped: Callable[[], bool] = lambda: False,
) -> int:
    """Write a run to a CSV table and return its number of rows. Raises SolverError, OSError.

    ``stopped`` is asked before each row and after each call; once it says so no row is written any more.
    """
    shown = columns(session, system)
    csv.writer(out, lineterminator="\n").writerow(["time [s]", *(column.title for column in shown)])
    rows = 0
    for time in lead(session, script, until, rate, stopped):
        readings = session.readings
        figures = (f"{column.value(readings) + 0.0:.7g}" for column in shown)
        out.write(f"{time:.7g}," + ",".join(figures) + "\n")
        rows += 1
    return rows
