"""The lines of a rig file, oil, shaft and rod, and the instruments that sit on them."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from typing import Any

from trainer import units
from trainer.errors import UnitError, nearest
from trainer.language import tr
from trainer.parts.part import Kind
from trainer.rig.instrument_faults import ERRORS, STATES, read_error
from trainer.rig.rig import Instrument, Line, between
from trainer.rig.tables import (
    CLASSES,
    SCALES,
    Classes,
    InstrumentTable,
    LineTable,
    named,
    number,
    numbers,
    read_table,
    words,
)
from trainer.rig.text import (
    Faults,
    quoted,
    shown,
    what_is,
)

__all__ = ["read_instruments", "read_lines"]

_MOST_LINES = 400
_PLACED = ("on", "at", "across")  # of which an instrument has one
_LIMITS = {
    "bore": ("length", "1 mm", "200 mm"),
    "hose": ("length", "0 m", "100 m"),
    "stiffness": ("pressure", "10 MPa", "100 GPa"),
    "volume": ("volume", "0 L", "100 L"),
}


def _port(written: Any, classes: Classes, where: list[str | int], faults: Faults) -> tuple[str, str] | None:
    """Return the part's id and the port's letter of "0P1.P"; None, with a fault noted, if there is none."""
    if not isinstance(written, str):
        faults.add(
            "wrong type",
            where,
            tr("{value} is no port.").format(value=what_is(written)),
            tr('Write a text, such as "0P1.P".'),
        )
        return None
    id_, _, letter = written.partition(".")
    part = classes.get(id_)
    if part is not None and letter in part.ports:
        return id_, letter
    if not letter:
        faults.add(
            "unknown port",
            where,
            tr("{written} is no port.").format(written=quoted(written)),
            tr('Write part and port with a dot between, such as "0P1.P".'),
        )
    elif id_ not in classes:
        faults.add(
            "unknown port",
            where,
            tr("{written}: there is no part {shown}.").format(written=quoted(written), shown=shown(id_)),
            nearest(shown(id_), classes) or tr("Name it under [parts] first."),
        )
    elif part is not None:
        faults.add(
            "unknown port",
            where,
            tr("{written}: a {name} has no port {shown}.").format(
                written=quoted(written), name=part.__name__, shown=shown(letter)
            ),
            tr("Its ports are {ports}.").format(ports=", ".join(part.ports)),
        )
    return None


def read_lines(table: Mapping[str, Any], classes: Classes, faults: Faults) -> dict[str, Line]:
    """Return the lines; every port that can be read is on one of them."""
    lines: dict[str, Line] = {}
    if len(table) > _MOST_LINES:
        faults.add(
            "too many lines",
            "[lines]",
            tr("{count} lines are too many.").format(count=len(table)),
            tr("A rig has at most {most_lines}.").format(most_lines=_MOST_LINES),
        )
        faults.stop()
    for name, raw in named(table, "lines", faults):
        where: list[str | int] = ["lines", name]
        if not isinstance(raw, (list, dict)):
            faults.add(
                "wrong type",
                where,
                tr("{value} stands here.").format(value=what_is(raw)),
                tr('Write a list, ["0P1.P", "1V1.P"].'),
            )
            continue
        good = read_table({"joins": raw} if isinstance(raw, list) else raw, LineTable, where, faults)
        if name in classes:
            faults.add(
                "name clash",
                where,
                tr("a part has this name."),
                tr("Call the line L{name} or the like.").format(name=name),
            )
        joins = [
            port
            for k, written in enumerate(good.get("joins", []))
            if (port := _port(written, classes, [*where, k], faults)) is not None
        ]
        if good.get("joins") == []:
            faults.add("empty line", where, tr("it joins nothing."), tr("Name its ports, or take the line out."))
        given = numbers(good, _LIMITS, ["lines", name], faults)
        if not joins:
            continue
        part = classes[joins[0][0]]
        assert part is not None  # _port gives ports of known parts only
        kind = part.ports[joins[0][1]]
        test_point = bool(good.get("test_point"))
        extra = [*given, *(["test_point"] if test_point else [])]
        if extra and kind is not Kind.OIL:
            faults.add(
                "unknown key",
                where,
                tr("a {value} line holds no oil.").format(value=tr(kind.value)),
                tr("Take {extra} out.").format(extra=tr(" and ").join(extra)),
            )
        elif given.get("hose") and "bore" not in good:
            faults.add("missing key", where, tr("a hose needs its bore."), tr('Add bore, such as bore = "12 mm".'))
        lines[name] = Line(name, kind, tuple(joins), test_point=test_point, **given)
    return lines


def read_instruments(
    table: Mapping[str, Any], classes: Classes, lines: Mapping[str, Line], unread: Collection[str], faults: Faults
) -> dict[str, Instrument]:
    """Return the instruments, each of the kind that follows from where it reads; not those on ``unread`` lines."""
    instruments: dict[str, Instrument] = {}
    for name, raw in named(table, "instruments", faults):
        where = ["instruments", name]
        good = read_table(raw, InstrumentTable, where, faults)
        if sum(key in good for key in _PLACED) != 1:
            if isinstance(raw, dict) and sum(key in raw for key in _PLACED) != 1:
                faults.add(
                    "unknown place",
                    where,
                    tr("it needs one place to read."),
                    tr(
                        'Write on = "a line or part", at = "part.port" for a flow meter, or across = "a part" for a '
                        "differential gauge."
                    ),
                )
            continue
        if good.get("on") in unread:
            continue
        kind, on = _reading_place(good, classes, lines, where, faults)
        if kind == "gauge" and _of_vacuum(good.get("range", "")):
            kind = "vacuum gauge"
        if kind and "range" in good:
            end = number(good["range"], *SCALES[kind], [*where, "range"], faults)
            label = words(good.get("label", ""), 60, [*where, "label"], faults)
            rest = _behaviour(good, kind, end, where, faults)
            if kind == "differential gauge":
                rest["between"] = between(classes[on], on, lines)
            if end is not None:
                instruments[name] = Instrument(name, kind, on, end, label, **rest)
    return instruments


def _of_vacuum(written: str) -> bool:
    """Return whether the end of a scale is one of a vacuum: its unit tells."""
    try:
        return units.quantity_of(written) == "vacuum"
    except UnitError:
        return False


def _behaviour(
    good: Mapping[str, Any], kind: str, end: float | None, where: list[str], faults: Faults
) -> dict[str, Any]:
    """Return how an instrument errs, as far as it is written and can be used."""
    given: dict[str, Any] = {"calibrated": True} if good.get("calibrated") else {}
    if "class" in good:
        written = str(good["class"]).strip()
        known = {f"{class_:g}": class_ / 100 for class_ in CLASSES}
        if written in known:
            given["accuracy"] = known[written]
        else:
            problem = tr("{written} is no class of accuracy.").format(written=quoted(written))
            faults.add(
                "unknown word",
                [*where, "class"],
                problem,
                tr("Write one of {known} (EN 837-1).").format(known=", ".join(known)),
            )
    if "damping" in good:
        damping = number(good["damping"], "time", "0 s", "60 s", [*where, "damping"], faults)
        given |= {} if damping is None else {"damping": damping}
    for key in ERRORS:
        if key in good and (error := read_error(key, good[key], kind, end, [*where, key], faults)) is not None:
            given[key] = error
    if "state" in good:
        states = [state for state, kinds in STATES.items() if kind in kinds]
        if good["state"] in states:
            given["state"] = good["state"]
        else:
            problem = tr("a {kind} is never {written}.").format(kind=tr(kind), written=quoted(good["state"]))
            faults.add("unknown word", [*where, "state"], problem, nearest(shown(good["state"]), states))
    return given


def _reading_place(
    good: Mapping[str, Any], classes: Classes, lines: Mapping[str, Line], where: list[str], faults: Faults
) -> tuple[str, str]:
    """Return the kind of an instrument and where it reads; empty texts, with a fault noted, if nowhere."""
    if "across" in good:
        on = good["across"]
        if on in classes and between(classes[on], on, lines):
            return "differential gauge", on
        if on in classes:
            problem = tr("{written} has not one way through it.").format(written=quoted(on))
            remedy = tr("Write across = a valve, a filter, a cylinder or a motor, with two lines on it.")
        else:
            problem = tr("there is no part {written}.").format(written=quoted(on))
            remedy = nearest(shown(on), [*classes]) or tr("Name a part of [parts].")
        faults.add("unknown place", [*where, "across"], problem, remedy)
        return "", ""
    if "at" in good:
        found = _port(good["at"], classes, [*where, "at"], faults)
        part = classes.get(found[0]) if found else None
        if found is None or part is None:
            return "", ""
        if part.ports[found[1]] is Kind.OIL:
            return "flow meter", good["at"]
        faults.add(
            "wrong instrument",
            [*where, "at"],
            tr("no oil flows at {written}.").format(written=quoted(good["at"])),
            tr("A flow meter sits at an oil port; write on = for a line."),
        )
        return "", ""
    on = good["on"]
    if on in lines:
        if lines[on].kind is Kind.ROD:
            faults.add(
                "wrong instrument",
                [*where, "on"],
                tr("{written} is a rod; nothing reads on a rod.").format(written=quoted(on)),
                tr("Read an oil line, a shaft or a part."),
            )
            return "", ""
        return ("gauge" if lines[on].kind is Kind.OIL else "tachometer"), on
    part = classes.get(on)
    if part is not None and Kind.OIL in part.ports.values():
        return "thermometer", on
    if part is not None:
        problem = tr("there is no oil in {written}.").format(written=quoted(on))
        faults.add(
            "wrong instrument", [*where, "on"], problem, tr("Put a thermometer on a part with oil, such as a tank.")
        )
    elif on not in classes:
        faults.add(
            "unknown place",
            [*where, "on"],
            tr("there is no line or part {written}.").format(written=quoted(on)),
            nearest(shown(on), [*lines, *classes]) or tr("Name a line of [lines] or a part of [parts]."),
        )
    return "", ""
