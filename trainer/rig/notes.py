"""What a rig file says besides the circuit: its start, the healthy readings, its drawing."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping
from typing import Any

from trainer import units
from trainer.errors import UnitError, nearest
from trainer.language import tr
from trainer.parts.part import Control, Kind, State
from trainer.rig.rig import SETTLES, Rig, SpecReading
from trainer.rig.tables import (
    SCALES,
    HealthyTable,
    PlaceTable,
    difference,
    flat,
    kind_asked,
    named,
    number,
    read_table,
)
from trainer.rig.text import (
    Faults,
    quoted,
    shown,
    what_is,
)

__all__ = ["read_drawing", "read_healthy", "read_settle", "read_start"]

_FARTHEST = 500.0  # of a place from the origin [squares of the grid]
_FAR_FROM_NOMINAL = 1e4  # a start may be this many times its nominal


def _once(table: Mapping[str, Any], where: str, faults: Faults) -> Iterator[tuple[str, Any]]:
    """Yield "part.name" and value, whether written as one quoted key or as a dotted one."""
    seen: set[str] = set()
    for name, item in flat(table):
        if name in seen:
            faults.add(
                "duplicate key",
                where,
                tr("{written} is given twice.").format(written=quoted(name)),
                tr("Keep one of the two."),
            )
        else:
            seen.add(name)
            yield name, item


def _unread(key: str, unread: Collection[str]) -> bool:
    return key.partition(".")[0] in unread


def read_start(table: Mapping[str, Any], rig: Rig, unread: Collection[str], faults: Faults) -> dict[str, float]:
    """Return states and controls at the start by "part.name", pressures by line [SI].

    Parts in ``unread`` are passed over, and how the start is reached.
    """
    known = rig.starts()
    start: dict[str, float] = {}
    for key, written in _once(table, "[start]", faults):
        if key == "settle" or (key not in known and _unread(key, unread)):
            continue
        declared = known.get(key)
        if declared is None and key in rig.lines:
            faults.add(
                "unknown start",
                f"[start] {shown(key)}",
                tr("this line has no pressure of its own: it holds no oil, or a tank gives it."),
                tr("Give a pressure to an oil line without a tank, or take the entry out."),
            )
        elif declared is None and (follows := _follows(key, rig)):
            faults.add(
                "unknown start",
                f"[start] {shown(key)}",
                tr("it follows from {others} now.").format(others=follows),
                tr("Take the entry out."),
            )
        elif declared is None:
            faults.add(
                "unknown start",
                f"[start] {shown(key)}",
                tr("no part or line of this rig has this to start with."),
                nearest(shown(key), known)
                or tr(
                    'Write part and name, such as "0M1.speed" = "60 r/min", or an oil line, such as P1 = "50 bar".'
                ),
            )
        elif (value := _number(written, declared, f"[start] {shown(key)}", faults)) is not None:
            start[key] = value
    return start


def _follows(key: str, rig: Rig) -> str:
    """Return from what a start follows that files once gave, "" where it was never one."""
    id_, _, name = key.partition(".")
    fitted = rig.parts.get(id_)
    return tr(fitted.part.followed.get(name, "")) if fitted and name in fitted.part.followed else ""


def read_settle(table: Mapping[str, Any], faults: Faults) -> str:
    """Return how the start is reached, the usual way where nothing is said."""
    written = table.get("settle", SETTLES[0])
    if written not in SETTLES:
        what = f"{quoted(written)}" if isinstance(written, str) else what_is(written)
        faults.add(
            "unknown word",
            ["start", "settle"],
            tr("{what} is no way to reach a start.").format(what=what),
            tr('Write "hold", a silent run that holds what stands here, or "none", the start as it is written.'),
        )
        return SETTLES[0]
    return str(written)


def _number(written: Any, declared: State | Control, where: str, faults: Faults) -> float | None:
    """Return what is written for a state or control [SI], or None with a fault noted."""
    try:
        value = units.read(written, declared.quantity)
    except UnitError as error:
        faults.add("bad number", where, error.problem, error.remedy)
        return None
    low, high = (
        (-_FAR_FROM_NOMINAL * declared.nominal, _FAR_FROM_NOMINAL * declared.nominal)
        if isinstance(declared, State)
        else (declared.low, declared.high)
    )
    if not low <= value <= high:
        unit = units.shown_unit(declared.quantity, units.System.METRIC)
        ends = [f"{unit.number(end):.6g} {unit.symbol}".strip() for end in (low, high)]
        faults.add(
            "out of range",
            where,
            tr("{shown} is outside {ends} … {ends2}.").format(shown=shown(written), ends=ends[0], ends2=ends[1]),
            tr("Write a value in this range."),
        )
        return None
    return value


def read_healthy(
    table: Mapping[str, Any], rig: Rig, unread: Collection[str], faults: Faults
) -> tuple[SpecReading, ...]:
    """Return the readings of the healthy machine with the conditions under which they hold."""
    readings: list[SpecReading] = []
    for name, raw in named(table, "healthy", faults):
        where = ["healthy", name]
        good = read_table(raw, HealthyTable, where, faults)
        conditions = _conditions(good.get("when", {}), rig, unread, f"[healthy] {name}, when", faults)
        reads = good.get("reads")
        if reads is None or "value" not in good or "tolerance" not in good:
            continue
        kind = _kind(good, rig, [*where, "kind"], faults)
        quantity = SCALES[kind][0]
        value = _plain(good["value"], quantity, [*where, "value"], faults)
        tolerance = _tolerance(good["tolerance"], quantity, value, [*where, "tolerance"], faults)
        if value is not None and tolerance is not None:
            readings.append(SpecReading(name, reads, value, tolerance, conditions, kind))
    return tuple(readings)


def _kind(good: Mapping[str, Any], rig: Rig, where: list[str], faults: Faults) -> str:
    """Return the kind of instrument that a reading needs: of the one it names, or as written, or as its unit asks."""
    fitted = rig.instruments.get(good["reads"])
    asked = kind_asked(good["value"], fitted.kind if fitted is not None else "")
    written = good.get("kind", asked)
    if written in SCALES:
        return str(written)
    faults.add(
        "unknown word",
        where,
        tr("{shown} is no kind of instrument.").format(shown=shown(written)),
        nearest(shown(written), SCALES) or tr("Write one of {states}.").format(states=", ".join(SCALES)),
    )
    return asked


def _plain(written: str | float, quantity: str, where: list[str], faults: Faults) -> float | None:
    try:
        return units.read(written, quantity)
    except UnitError as error:
        faults.add("bad number", where, error.problem, error.remedy)
        return None


def _tolerance(
    written: str | float, quantity: str, value: float | None, where: list[str], faults: Faults
) -> float | None:
    """Return a tolerance [SI], written with a unit or as a percentage of the value."""
    if value is not None and isinstance(written, str) and written.rstrip().endswith("%"):
        share = _plain(written, "ratio", where, faults)
        tolerance = None if share is None else share * abs(value)
    else:
        tolerance = difference(written, quantity, where, faults)
    if tolerance is not None and tolerance <= 0:
        faults.add(
            "out of range",
            where,
            tr("{shown} is no tolerance.").format(shown=shown(written)),
            tr("Write one above zero."),
        )
        return None
    return tolerance


def _conditions(
    table: Mapping[str, Any], rig: Rig, unread: Collection[str], where: str, faults: Faults
) -> dict[str, float]:
    known: dict[str, State | Control] = {**rig.states(), **rig.controls()}
    loads = rig.loads()
    conditions: dict[str, float] = {}
    for key, written in _once(table, where, faults):
        spot = f"{where} {shown(key)}"
        if key == "temperature":
            found = number(written, "temperature", "-20 C", "110 C", spot, faults)
            if found is not None:
                conditions[key] = found
        elif key in known:
            found = _number(written, known[key], spot, faults)
            if found is not None:
                conditions[key] = found
        elif key in loads:
            found = number(written, loads[key].quantity, *loads[key].range_written, spot, faults)
            if found is not None:
                conditions[key] = found
        elif not _unread(key, unread):
            faults.add(
                "unknown condition",
                spot,
                tr("nothing that this rig can be set to or stand at has this name."),
                nearest(shown(key), [*known, *loads, "temperature"])
                or tr('Write "0M1.speed_asked", "3W1.boom" or temperature.'),
            )
    return conditions


def read_drawing(table: Mapping[str, Any], rig: Rig, unread: Collection[str], faults: Faults) -> dict[str, Any]:
    """Return the drawing as written once its names are known and its numbers can be drawn."""
    drawing: dict[str, Any] = {}
    known = {"step", "routes", *rig.parts, *rig.instruments}
    for key, value in table.items():
        where: list[str | int] = ["drawing", key]
        if key == "step":
            number(value, "pressure", "1 bar", "200 bar", where, faults)
        elif key == "routes":
            _routes(value, rig, unread, faults)
        elif key in rig.parts or key in rig.instruments:
            _place(read_table(value, PlaceTable, where, faults), where, faults)
        elif key not in unread:
            near = nearest(shown(key), known) or tr(
                "Name a part or an instrument of this rig, or take the entry out."
            )
            faults.add("unknown id", where, tr("nothing of this rig has this name."), near)
        drawing[key] = value
    return drawing


def _place(good: Mapping[str, Any], where: list[str | int], faults: Faults) -> None:
    if any(abs(number) > _FARTHEST for number in good.get("at", [])):
        faults.add(
            "out of range",
            [*where, "at"],
            tr("it is drawn too far out."),
            tr("Write numbers from -{farthest:.0f} to {farthest:.0f}, squares of the grid from the top left.").format(
                farthest=_FARTHEST
            ),
        )
    if good.get("turn", 0) not in (0, 90, 180, 270):
        faults.add(
            "out of range",
            [*where, "turn"],
            tr("{shown} is no turn.").format(shown=shown(good["turn"])),
            tr("Write 0, 90, 180 or 270."),
        )


def _routes(table: Any, rig: Rig, unread: Collection[str], faults: Faults) -> None:
    """Note routes of lines that do not exist, and points that are neither a port nor two numbers."""
    if not isinstance(table, dict):
        faults.add(
            "wrong type",
            ["drawing", "routes"],
            tr("{value} stands here.").format(value=what_is(table)),
            tr('Write a table, P1 = [["0P1.P", [6, 20], "1V2.C"]].'),
        )
        return
    for name, branches in table.items():
        where: list[str | int] = ["drawing", "routes", name]
        if name not in rig.lines and name in unread:
            continue
        if name not in rig.lines:
            near = nearest(shown(name), rig.lines) or tr("Name a line of [lines], or take the route out.")
            faults.add("unknown id", where, tr("there is no such line."), near)
        elif rig.lines[name].kind is not Kind.OIL:
            problem = tr("this line is a {value}; only lines of oil are drawn as pipes.").format(
                value=tr(rig.lines[name].kind.value)
            )
            faults.add("wrong line", where, problem, tr("Take the route out."))
        elif not isinstance(branches, list) or not all(isinstance(branch, list) for branch in branches):
            faults.add(
                "wrong type",
                where,
                tr("a route is a list of branches, and a branch a list of points."),
                tr('Write [["0P1.P", [6, 20], "1V2.C"]].'),
            )
        else:
            for k, branch in enumerate(branches):
                for point in branch:
                    _point(point, name, rig, unread, [*where, k], faults)


def _point(point: Any, line: str, rig: Rig, unread: Collection[str], where: list[str | int], faults: Faults) -> None:
    if isinstance(point, str):
        id_, _, letter = point.partition(".")
        own = [".".join(port) for port in rig.lines[line].joins]
        if point in own or id_ in unread:
            return
        if id_ not in rig.parts or letter not in rig.parts[id_].part.ports:
            ports = [f"{name}.{port}" for name, fitted in rig.parts.items() for port in fitted.part.ports]
            faults.add(
                "unknown port",
                where,
                tr("{written} is no port of this rig.").format(written=quoted(point)),
                nearest(shown(point), ports) or tr('Write part and port, such as "0P1.P".'),
            )
        elif not faults.within(f"[lines] {line}"):  # a faulty line may lack just this port
            on = next((other.name for other in rig.lines.values() if (id_, letter) in other.joins), "")
            problem = tr("{written} is on {word}, not on this one.").format(
                written=quoted(point), word=tr("line {on}").format(on=on) if on else tr("no line")
            )
            faults.add("wrong line", where, problem, tr("Write one of {own} or [x, y].").format(own=", ".join(own)))
    elif not (
        isinstance(point, list)
        and len(point) == 2
        and all(isinstance(x, (int, float)) and not isinstance(x, bool) for x in point)
    ):
        faults.add(
            "wrong type",
            where,
            tr("{value} is no point.").format(value=what_is(point)),
            tr('Write a port "0P1.P" or [x, y].'),
        )
    elif any(abs(x) > _FARTHEST for x in point):
        faults.add(
            "out of range",
            where,
            tr("a point is drawn too far out."),
            tr("Write numbers from -{farthest:.0f} to {farthest:.0f}.").format(farthest=_FARTHEST),
        )
