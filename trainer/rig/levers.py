"""Lever scripts: what the operator's hands do, as a table of times and values that a run can repeat.

A CSV file (UTF-8, ``#`` starts a remark). The first row names the columns: the time, then one column per
control with its unit, ``1V1.lever [%]``; besides controls the oil's temperature and loads can be set,
``1W1.mass [kg]``, so that one is hooked on at an instant, or gives a shock by being there for a tenth of a second.
A value holds until the next one in its column; with ``ramp`` after the unit it is led to the next one in a straight
line. An empty cell says nothing. Where the columns
are parted by ``;`` numbers may have a decimal comma, as some spreadsheets write them.
"""

from __future__ import annotations

import csv
import re
from bisect import bisect_right
from dataclasses import dataclass
from pathlib import Path

from trainer import units
from trainer.errors import UnitError, nearest
from trainer.language import tr
from trainer.parts.part import Control, Parameter
from trainer.rig.rig import OIL_TEMPERATURE, Rig
from trainer.rig.text import (
    LARGEST_FILE,
    Faults,
    quoted,
    read_text,
    shown,
)

__all__ = ["LeverScript", "Track", "load", "loads"]

_MOST_ROWS = 20_000
_LONGEST = 24 * 3600.0  # of a script [s]
_COLUMN = re.compile(r"([^\[\]]{1,80})\[([^\[\]]{0,20})\]\s*(hold|ramp)?")


@dataclass(frozen=True, slots=True)
class Track:
    """One control or load over time: values [SI] at rising times [s], held between them or led to the next."""

    control: str
    quantity: str
    ramp: bool
    times: tuple[float, ...]
    values: tuple[float, ...]

    def at(self, time: float) -> float | None:
        """Return the value at a time [s], None before the first."""
        after = bisect_right(self.times, time)
        if after == 0:
            return None
        value = self.values[after - 1]
        if self.ramp and after < len(self.times):
            share = (time - self.times[after - 1]) / (self.times[after] - self.times[after - 1])
            value += share * (self.values[after] - value)
        return value


@dataclass(frozen=True, slots=True)
class LeverScript:
    """What the hands do during a run."""

    tracks: tuple[Track, ...] = ()
    source: str = ""

    def at(self, time: float) -> dict[str, float]:
        """Return the controls and loads that the script has set by a time [s], as "part.control" -> SI."""
        values = {track.control: track.at(time) for track in self.tracks}
        return {control: value for control, value in values.items() if value is not None}

    def times(self) -> tuple[float, ...]:
        """Return the times [s] at which a value jumps or a ramp begins or ends, rising."""
        return tuple(sorted({time for track in self.tracks for time in track.times}))

    @property
    def end(self) -> float:
        """The last time it names [s]."""
        return max((track.times[-1] for track in self.tracks), default=0.0)

    def checked(self, rig: Rig) -> LeverScript:
        """Return the script itself if it fits a rig. Raises RigError with every control that does not."""
        faults = Faults(self.source)
        known: dict[str, Control | Parameter] = {
            **rig.controls(), **rig.loads(), OIL_TEMPERATURE.name: OIL_TEMPERATURE
        }  # fmt: skip
        for track in self.tracks:
            where = tr("column {shown}").format(shown=shown(track.control))
            control = known.get(track.control)
            if control is None:
                faults.add(
                    "unknown control",
                    where,
                    tr("this rig has no such control."),
                    nearest(track.control, known)
                    or tr("It has {known}.").format(known=", ".join(sorted(known)[:12])),
                )
            elif control.quantity != track.quantity:
                symbols = tr(" or ").join(units.symbols_of(control.quantity))
                faults.add(
                    "bad column",
                    where,
                    tr("it is a {quantity}.").format(quantity=tr(control.quantity)),
                    tr("Write it in {symbols}.").format(symbols=symbols),
                )
            else:
                slack = 1e-9 * max(abs(control.low), abs(control.high))
                for time, value in zip(track.times, track.values, strict=True):
                    if not control.low - slack <= value <= control.high + slack:
                        ends = " … ".join(
                            " ".join(units.text(end, control.quantity, units.System.METRIC))
                            for end in (control.low, control.high)
                        )
                        problem = tr("the value at {time:g} s is out of range.").format(time=time)
                        faults.add("out of range", where, problem, tr("It runs from {ends}.").format(ends=ends))
                        break
        faults.stop()
        return self


def load(path: str | Path) -> LeverScript:
    """Return the lever script in a file. Raises RigError with every fault found."""
    return loads(read_text(Path(path)), str(path))


def loads(text: str, source: str = "") -> LeverScript:
    """Return the lever script in a text; ``source`` names it in messages. Raises RigError."""
    faults = Faults(source)
    rows = _rows(text, faults)
    columns = _columns(rows[0][1], faults)
    faults.stop()
    points: list[list[tuple[float, float]]] = [[] for _ in columns]
    latest = -1.0
    for line, cells in rows[1:]:
        where = tr("line {line}").format(line=line)
        if len(cells) > len(columns) and any(cell.strip() for cell in cells[len(columns) :]):
            problem = tr("it has {count} cells for {count2} columns.").format(count=len(cells), count2=len(columns))
            remedy = tr("Write one cell for each column of the first row, or leave it empty; numbers with a point.")
            faults.add("bad row", where, problem, remedy)
            continue
        numbers = [
            _number(cell, unit, tr("{where}, column {shown}").format(where=where, shown=shown(name)), faults)
            if cell.strip()
            else None
            for cell, (name, unit, _) in zip(cells, columns, strict=False)
        ]
        time = numbers[0] if numbers else None
        if time is None:
            if not cells[0].strip():
                faults.add("bad row", where, tr("it has no time."), tr("Begin every row with its time."))
            continue
        if not latest < time <= _LONGEST or time < 0:
            faults.add(
                "time out of order",
                where,
                tr("{shown} cannot follow here.").format(shown=shown(cells[0].strip())),
                tr("Write times from 0 on, rising, of at most a day."),
            )
            continue
        latest = time
        for k, value in enumerate(numbers[1:], start=1):
            if value is not None:
                points[k].append((time, value))
    for (name, _, _), found in zip(columns[1:], points[1:], strict=True):
        if not found and not faults.found:
            faults.add(
                "empty column",
                tr("column {shown}").format(shown=shown(name)),
                tr("it has no value."),
                tr("Give it one, or take it out."),
            )
    faults.stop()
    return LeverScript(
        tuple(
            Track(name, unit.quantity, ramp, *(tuple(column) for column in zip(*found, strict=True)))
            for (name, unit, ramp), found in zip(columns[1:], points[1:], strict=True)
        ),
        source,
    )


def _rows(text: str, faults: Faults) -> list[tuple[int, list[str]]]:
    """Return line numbers and cells of the rows that are neither empty nor remarks; at least the header."""
    if len(text) > LARGEST_FILE:
        faults.add(
            "too large",
            "",
            tr("the text is longer than {largest_file} kB.").format(largest_file=LARGEST_FILE // 1000),
            tr("Shorten it."),
        )
        faults.stop()
    lines = [
        (k, line)
        for k, line in enumerate(text.splitlines(), start=1)
        if line.strip() and not line.lstrip().startswith("#")
    ]
    if len(lines) > _MOST_ROWS:
        faults.add(
            "too many rows",
            "",
            tr("it has more than {most_rows} rows.").format(most_rows=_MOST_ROWS),
            tr("Shorten it."),
        )
    if len(lines) < 2:
        faults.add(
            "no rows",
            "",
            tr("a lever script needs a row of names and a row of values."),
            tr("Begin with: time [s], 1V1.lever [%]"),
        )
    faults.stop()
    semicolons = ";" in lines[0][1]
    rows = []
    for number, line in lines:
        cells = next(csv.reader([line], delimiter=";" if semicolons else ","))
        rows.append((number, [cell.replace(",", ".") for cell in cells] if semicolons else cells))
    return rows


def _columns(names: list[str], faults: Faults) -> list[tuple[str, units.Unit, bool]]:
    """Return name, unit and whether it is led in ramps, per column; the first is the time."""
    columns: list[tuple[str, units.Unit, bool]] = []
    for k, written in enumerate(names):
        where = tr("column {number}").format(number=k + 1)
        match = _COLUMN.fullmatch(written.strip())
        if match is None:
            what = (
                tr("{written} is no name with a unit").format(written=quoted(written.strip()))
                if written.strip()
                else tr("it has no name")
            )
            control = tr("Write it as 1V1.lever [%], with the word ramp behind it if it is led.")
            faults.add("bad column", where, f"{what}.", control if k else tr("Write the time first, as time [s]."))
            continue
        name, symbol = match[1].strip(), match[2].strip() or "1"
        try:
            unit = units.named(symbol)
        except UnitError as error:
            faults.add(
                "bad column", where, error.problem, error.remedy or tr("Write a unit that is known, such as [%].")
            )
            continue
        if k == 0 and (unit.quantity != "time" or name.lower() != "time"):
            faults.add(
                "bad column",
                where,
                tr("{written} is not the time.").format(written=quoted(written.strip())),
                tr("Begin with time [s]."),
            )
        if name in [known for known, _, _ in columns]:
            faults.add(
                "duplicate column",
                where,
                tr("{written} stands there twice.").format(written=quoted(name)),
                tr("Keep one."),
            )
        columns.append((name, unit, match[3] == "ramp"))
    return columns


def _number(cell: str, unit: units.Unit, where: str, faults: Faults) -> float | None:
    try:
        return unit.value(units.read(cell.strip(), "ratio"))
    except UnitError:
        faults.add(
            "bad number",
            where,
            tr("{written} is not a number.").format(written=quoted(cell.strip())),
            units.with_a_point(cell.strip())
            or tr("Write a plain number; the column is in {symbol}.").format(symbol=unit.symbol),
        )
        return None
