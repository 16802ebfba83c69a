"""The tables of a rig file: which keys each may hold, of which types; read so that every fault is found."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from functools import lru_cache
from typing import Annotated, Any

import msgspec
from msgspec import UNSET, Meta, Struct, UnsetType, field

from trainer import units
from trainer.errors import UnitError, nearest
from trainer.language import mark, tr
from trainer.parts.part import Choice, Control, Parameter, Part
from trainer.rig.text import (
    Faults,
    Where,
    quoted,
    shown,
    what_is,
)

__all__ = [
    "CLASSES",
    "FORMAT",
    "SCALES",
    "Classes",
    "Document",
    "HealthyTable",
    "InstrumentTable",
    "LineTable",
    "OilTable",
    "PlaceTable",
    "difference",
    "flat",
    "kind_asked",
    "named",
    "number",
    "numbers",
    "part_table",
    "put_right",
    "read_table",
    "words",
]

FORMAT = 1
_NAME = re.compile(r"[A-Za-z0-9][A-Za-z0-9_-]{0,31}")

Classes = Mapping[str, type[Part] | None]  # the parts of a file by id; None where the class is not known
SCALES = {  # instrument -> quantity, lowest and highest end of its scale
    "gauge": ("pressure", "0.1 bar", "2000 bar"),
    "vacuum gauge": ("vacuum", "10 mbar", "1100 mbar"),
    "differential gauge": ("pressure", "0.05 bar", "400 bar"),
    "flow meter": ("flow", "0.01 L/min", "5000 L/min"),
    "tachometer": ("shaft speed", "1 r/min", "20000 r/min"),
    "thermometer": ("temperature", "1 C", "300 C"),
}
CLASSES = (0.1, 0.25, 0.6, 1.0, 1.6, 2.5, 4.0)  # of accuracy after EN 837-1 [% of the range]

Text = Annotated[str, Meta(description=mark('a text, such as "boom"'))]
Written = Annotated[str | int | float, Meta(description=mark('a number with its unit, such as "80 mm"'))]
Table = Annotated[dict[str, Any], Meta(description=mark("a table, name = value"))]
Ports = Annotated[list[Any], Meta(description=mark('a list of ports, such as ["0P1.P", "1V1.P"]'))]
YesNo = Annotated[bool, Meta(description=mark("true or false"))]
Place = Annotated[
    list[int | float], Meta(description=mark("two numbers, such as [6, 40]"), min_length=2, max_length=2)
]
Width = Annotated[float, Meta(description=mark("a number from 1 to 400"), ge=1, le=400)]
Turn = Annotated[int, Meta(description=mark("0, 90, 180 or 270"))]


class Document(Struct):
    """The top level of a rig file."""

    format: Annotated[int, Meta(description=f"format = {FORMAT}")]
    title: Text
    parts: Table
    lines: Table
    teaches: Text = ""
    notes: Text = ""
    oil: Table | UnsetType = UNSET
    instruments: Table | UnsetType = UNSET
    start: Table | UnsetType = UNSET
    healthy: Table | UnsetType = UNSET
    drawing: Table | UnsetType = UNSET


class OilTable(Struct):
    """``[oil]``."""

    grade: Text | UnsetType = UNSET
    temperature: Written | UnsetType = UNSET
    air: Written | UnsetType = UNSET
    density: Written | UnsetType = UNSET
    viscosity: Written | UnsetType = UNSET
    stiffness: Written | UnsetType = UNSET
    stiffening: Written | UnsetType = UNSET
    air_index: Written | UnsetType = UNSET
    warms: YesNo | UnsetType = UNSET


class LineTable(Struct):
    """The long form of a line."""

    joins: Ports
    bore: Written | UnsetType = UNSET
    hose: Written | UnsetType = UNSET
    stiffness: Written | UnsetType = UNSET
    volume: Written | UnsetType = UNSET
    test_point: YesNo = False


class InstrumentTable(Struct):
    """An instrument: ``on`` a line or a part, ``at`` a port, or ``across`` a part."""

    range: Annotated[str, Meta(description=mark('the end of its scale, such as "250 bar"'))]
    on: Text | UnsetType = UNSET
    at: Text | UnsetType = UNSET
    across: Text | UnsetType = UNSET
    label: Text = ""
    class_: Annotated[str | int | float, Meta(description=mark('its class, such as "1.6"'))] | UnsetType = field(
        name="class", default=UNSET
    )
    calibrated: YesNo = False
    damping: (
        Annotated[str, Meta(description=mark('the time constant of its needle, such as "0.15 s"'))] | UnsetType
    ) = UNSET
    zero: Annotated[str, Meta(description=mark('what it shows with nothing on it, such as "2 bar"'))] | UnsetType = (
        UNSET
    )
    gain: (
        Annotated[str | int | float, Meta(description=mark('the share by which it shows too much, such as "4 %"'))]
        | UnsetType
    ) = UNSET
    snubber: Annotated[str, Meta(description=mark('a time constant of a snubber, such as "30 s"'))] | UnsetType = (
        UNSET
    )
    state: Text | UnsetType = UNSET


class HealthyTable(Struct):
    """A reading of the spec sheet."""

    reads: Annotated[str, Meta(description=mark("the name of an instrument"))]
    value: Annotated[str, Meta(description=mark('what it reads, such as "175 bar"'))]
    tolerance: Annotated[str, Meta(description=mark('how far it may be off, such as "3 bar" or "5 %"'))]
    when: Table | UnsetType = UNSET
    kind: Annotated[str, Meta(description=mark('a kind of instrument, such as "gauge"'))] | UnsetType = UNSET


class PlaceTable(Struct):
    """Where a part or an instrument is drawn [M]; how wide a tank is."""

    at: Place | UnsetType = UNSET
    width: Width | UnsetType = UNSET
    turn: Turn = 0
    mirror: YesNo = False


_ENDS = mark('the words at the lever\'s ends, minus first, such as ["lower", "lift"]')


def part_table(part: type[Part]) -> type[Struct]:
    """Return the table of a part class: what it is, its label, its numbers and its words."""
    entries: list[tuple[str, Any, Any]] = [("is_", Text, field(name="is")), ("label", Text, "")]
    if any(control.ends != ("", "") for control in part.declared(Control).values()):
        entries.append(("ends", Annotated[list[Text], Meta(min_length=2, max_length=2, description=_ENDS)], []))
    for name in part.declared(Parameter):
        entries.append((name, Written | UnsetType, UNSET))
    for name in part.declared(Choice):
        entries.append((name, Text | UnsetType, UNSET))
    return msgspec.defstruct(part.__name__ + "Table", entries)


@lru_cache(maxsize=256)
def _entries(shape: type[Struct]) -> Mapping[str, msgspec.structs.FieldInfo]:
    """Return the entries of a shape by name; to find them takes longer than to read a table."""
    return {entry.encode_name: entry for entry in msgspec.structs.fields(shape)}


def read_table(raw: object, shape: type[Struct], where: Where, faults: Faults) -> dict[str, Any]:
    """Return the entries of a table that fit its shape; note those that are unknown, missing or of no use."""
    if not isinstance(raw, dict):
        faults.add(
            "wrong type",
            where,
            tr("{value} stands here.").format(value=what_is(raw)),
            tr("Write a table, { name = value }."),
        )
        return {}
    entries = _entries(shape)
    good: dict[str, Any] = {}
    meant: set[str] = set()  # keys that misspelt ones stand for
    for key, value in raw.items():
        entry = entries.get(key)
        if entry is None:
            what = tr("there is no such table or key here.") if not where else tr("there is no such key here.")
            meant |= {name for name in entries if f"'{name}'" in nearest(shown(key), entries)}
            faults.add(
                "unknown key",
                [*where, key],
                what,
                nearest(shown(key), entries) or tr("Known here: {known}.").format(known=", ".join(sorted(entries))),
            )
            continue
        try:
            good[key] = msgspec.convert(value, entry.type)
        except msgspec.ValidationError:
            faults.add(
                "wrong type",
                [*where, key],
                tr("{value} cannot be used.").format(value=what_is(value)),
                tr("Write {wanted}.").format(wanted=_description(entry.type)),
            )
    for key, entry in entries.items():
        if entry.required and key not in raw and key not in meant:
            faults.add(
                "missing key",
                where or tr("the file"),
                tr("'{key}' is missing.").format(key=key),
                tr("Add {key}: {wanted}.").format(key=key, wanted=_description(entry.type)),
            )
    return good


def _description(annotation: Any) -> str:
    """Return what a type expects, in words; of a choice of types, what the first expects."""
    for meta in getattr(annotation, "__metadata__", ()):
        return tr(str(meta.description))
    return _description(annotation.__args__[0])


def number(
    written: str | float,
    quantity: str,
    low: str,
    high: str,
    where: Where,
    faults: Faults,
    degrees: Mapping[str, float] | None = None,
) -> float | None:
    """Return a written number [SI] between two written limits; None, with a fault noted, if it is not.

    ``degrees`` are words that may stand for a number [SI], such as the severities of a wear.
    """
    if degrees and isinstance(written, str) and written.strip().lower() in degrees:
        return degrees[written.strip().lower()]
    try:
        value = units.read(written, quantity)
    except UnitError as error:
        others = tr(" Or one of {degrees}.").format(degrees=", ".join(degrees)) if degrees else ""
        faults.add("bad number", where, error.problem, f"{error.remedy}{others}")
        return None
    lowest, highest = units.read(low, quantity), units.read(high, quantity)
    slack = 1e-12 * max(abs(lowest), abs(highest))
    if not lowest - slack <= value <= highest + slack:
        faults.add(
            "out of range",
            where,
            tr("{shown} is outside {low} … {high}.").format(shown=shown(written), low=low.strip(), high=high.strip()),
            tr("Write a {quantity} in this range.").format(quantity=tr(quantity)),
        )
        return None
    return value


def difference(written: str | float, quantity: str, where: Where, faults: Faults) -> float | None:
    """Return a written difference [SI], of temperatures without offset; None, with a fault noted, if it is none."""
    try:
        value = units.read(written, quantity)
    except UnitError as error:
        faults.add("bad number", where, error.problem, error.remedy)
        return None
    if quantity == "temperature":
        value -= units.UNITS[str(written).strip()[-1]].offset
    return value


def kind_asked(written: str, fitted: str) -> str:
    """Return the kind of instrument that a written reading needs: the ``fitted`` one, else what its unit asks."""
    known = [fitted] if fitted else []
    for kind in [*known, *SCALES]:
        try:
            units.read(written, SCALES[kind][0])
        except UnitError:
            continue
        return kind
    return fitted or "gauge"


def words(text: str, longest: int, where: Where, faults: Faults) -> str:
    """Return a text of one line of the rig; note it if it is too long or more than one line."""
    if len(text) > longest or "\n" in text or "\t" in text:
        faults.add(
            "text too long",
            where,
            tr("{written} is no single line of at most {longest} characters.").format(
                written=quoted(text), longest=longest
            ),
            tr("Shorten it."),
        )
        return ""
    return text.strip()


def numbers(
    good: Mapping[str, Any], limits: Mapping[str, tuple[str, str, str]], where: list[str], faults: Faults
) -> dict[str, float]:
    """Return the numbers [SI] of a table that are given and within their limits."""
    found = {key: number(good[key], *limit, [*where, key], faults) for key, limit in limits.items() if key in good}
    return {key: value for key, value in found.items() if value is not None}


def flat(table: Mapping[str, Any]) -> Iterator[tuple[str, Any]]:
    """Yield entries by "part.name", whether they are written as one quoted key or as a table of their part."""
    for key, value in table.items():
        if isinstance(value, dict):
            yield from ((f"{key}.{own}", written) for own, written in value.items())
        else:
            yield key, value


_PORT = re.compile(r"\d{1,2}[A-Z]{1,2}\d{1,3}\.\w{1,16}")
_OF_A_PART = re.compile(r"\d{1,2}[A-Z]{1,2}\d{1,3}")
_LOOKS = {
    "parts": (mark("a part"), mark("parts")),
    "lines": (mark("a line"), mark("lines")),
    "instruments": (mark("an instrument"), mark("instruments")),
    "start": (mark("an entry of the start"), mark("entries of the start")),
    "healthy": (mark("a healthy reading"), mark("healthy readings")),
    "drawing": (mark("a place in the drawing"), mark("places in the drawing")),
    "drawing.routes": (mark("a route"), mark("routes")),
}


def _looks_like(key: str, value: object) -> str:
    """Return the table into which an entry belongs by its looks; nothing where they do not tell."""
    if isinstance(value, list) and value:
        if all(isinstance(item, str) and _PORT.fullmatch(item) for item in value):
            return "lines"
        return "drawing.routes" if all(isinstance(item, list) for item in value) else ""
    if not isinstance(value, dict):
        return ""
    for name, right in (("is", "parts"), ("joins", "lines"), ("reads", "healthy")):
        if name in value:
            return right
    if isinstance(value.get("at"), list):
        return "drawing"
    if "range" in value and ("on" in value or "at" in value):
        return "instruments"
    plain = value and all(isinstance(item, str) and item[:1].isdigit() for item in value.values())
    return "start" if plain and _OF_A_PART.fullmatch(key) else ""


def put_right(document: Mapping[str, Any], faults: Faults) -> dict[str, Any]:
    """Return a document whose entries stand in the tables where they belong; note those that do not.

    So an entry in the wrong table is one fault, and what names it is none.
    """
    found = {name: dict(entry) if isinstance(entry, dict) else entry for name, entry in document.items()}
    if isinstance(routes := document.get("drawing", {}), dict) and isinstance(routes.get("routes"), dict):
        found["drawing"]["routes"] = dict(routes["routes"])
    top = {entry.encode_name for entry in msgspec.structs.fields(Document)}
    tables: list[tuple[str, Mapping[str, Any]]] = [("", {k: v for k, v in document.items() if k not in top})]
    tables += [(name, entry) for name, entry in document.items() if name in top and isinstance(entry, dict)]
    moved: dict[tuple[str, str], list[str]] = {}
    for name, table in tables:
        for key, value in table.items():
            right = _looks_like(key, value)
            if right in ("", name) or (name, key) == ("drawing", "routes") or {name, right} == {"parts", "start"}:
                continue
            home = found.setdefault(right.partition(".")[0], {})
            home = home.setdefault("routes", {}) if right == "drawing.routes" and isinstance(home, dict) else home
            if right == "start" and isinstance(home, dict) and isinstance(home.get(key), dict):
                value = {**home.pop(key), **value}
            if not isinstance(home, dict) or (key in home and home is not found.get(name)):
                continue
            del (found[name] if name else found)[key]
            home[key] = value
            moved.setdefault((name, right), []).append(key)
    for (name, right), keys in moved.items():
        one, many = map(tr, _LOOKS[right])
        what = (
            tr("this is {one}").format(one=one)
            if len(keys) == 1
            else tr("this and {others} … are {many}").format(others=", ".join(map(shown, keys[1:4])), many=many)
        )
        faults.add(
            "wrong table",
            [name, keys[0]] if name else [keys[0]],
            f"{what}.",
            tr("Put it under [{right}].").format(right=right),
        )
    return found


def named(table: Mapping[str, Any], name: str, faults: Faults) -> Iterator[tuple[str, Any]]:
    """Yield the entries of a table whose names can be used; note the others."""
    for key, value in table.items():
        if _NAME.fullmatch(key):
            yield key, value
        else:
            problem = tr("{written} cannot be a name here.").format(written=quoted(key))
            faults.add("bad name", f"[{name}]", problem, tr("Use letters, digits, - and _, at most 32, such as P1."))
