"""Rigs written as TOML in a stable order, so that two files can be compared; what is read back is equal."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from decimal import Decimal, localcontext
from fractions import Fraction
from typing import Any

import tomlkit
from tomlkit.items import Item, Key, Table

from trainer import units
from trainer.parts.part import Choice, Control, Parameter, State
from trainer.rig.rig import (
    SETTLES,
    Fitted,
    Instrument,
    Line,
    OilSpec,
    Rig,
)
from trainer.rig.tables import FORMAT, SCALES, kind_asked

__all__ = ["DOTTED", "document", "drawn", "dump", "item_of", "key_of", "table_of", "written", "written_in"]

DOTTED = ("start", "when")  # tables whose keys are "part.name"
_OWN_TABLES = ("routes",)  # in a table, written as one of their own

_MOST_DIGITS = 40  # of a number; far more than any needs
_OIL_QUANTITIES = {
    "temperature": "temperature", "air": "ratio", "density": "density", "viscosity": "viscosity",
    "stiffness": "pressure", "stiffening": "ratio", "air_index": "ratio",
}  # fmt: skip
_LINE_QUANTITIES = {"bore": "length", "hose": "length", "stiffness": "pressure", "volume": "volume"}


def written(value: float, quantity: str) -> str:
    """Return a number [SI] with a trade unit, such that ``units.read`` gives back the very same number."""
    if quantity == "ratio":
        symbols: tuple[str, ...] = ("%", "") if abs(value) <= 1 else ("",)
    else:
        symbols = (*units.FAVOURED.get(quantity, ()), *units.symbols_of(quantity))
    favoured = len(units.FAVOURED.get(quantity, symbols))
    for digits in (4, 7, 10, 13, 16):
        exact = []
        for place, symbol in enumerate(symbols):
            unit = units.UNITS[symbol]
            number = unit.number(value)
            figures = f"{number:.{digits}g}"
            if units.read(f"{figures} {symbol}", quantity) == value:
                text = f"{_plain(figures)} {symbol}".strip()
                unhandy = 0 if value == 0 or 0.1 <= abs(number) < 1000 else len(text)
                exact.append((place >= favoured, unhandy, place, text))
        if exact:
            return min(exact)[-1]
    plain = next(symbol for symbol in (*units.symbols_of(quantity), "") if not symbol or _is_si(symbol))
    return f"{value!r} {plain}".strip()


def written_in(value: float, quantity: str, symbol: str) -> str:
    """Return a number [SI] in a unit, as short as ``units.read`` gives back the very same number."""
    unit = units.named(symbol, quantity)
    number = (Fraction(value) - Fraction(unit.offset)) / Fraction(unit.factor)
    digits = 1
    while True:
        with localcontext(prec=digits):
            figures = f"{Decimal(number.numerator) / Decimal(number.denominator):f}"
        if units.read(text := f"{figures} {symbol}".strip(), quantity) == value or digits > _MOST_DIGITS:
            return text
        digits += 1


def _difference(value: float, quantity: str) -> str:
    """Return a difference [SI] as ``written``; one of temperatures always in kelvins, written C: F has an offset."""
    return f"{_plain(repr(float(value)))} C" if quantity == "temperature" else written(value, quantity)


def _is_si(symbol: str) -> bool:
    return units.UNITS[symbol].factor == 1.0 and units.UNITS[symbol].offset == 0.0


def _plain(number: str) -> str:
    """Return a number without an exponent where it is short enough."""
    if "e" not in number:
        return number
    longer = f"{float(number):.15g}"
    return longer if len(longer) <= 12 and "e" not in longer else number


def key_of(name: str, table: str = "") -> Key:
    """Return a name as a key of TOML; in a table of "part.name", dotted."""
    return tomlkit.key(name.split(".", 1) if table in DOTTED else name)


def item_of(value: Any) -> Item:
    """Return any TOML value as it stands in rig files: in one line, but for texts of several; tables inline."""
    if isinstance(value, Item):
        return value
    if isinstance(value, Mapping):
        return _inline(value)
    if isinstance(value, str):
        return _text(value)
    made: Item = tomlkit.item([*value] if isinstance(value, tuple) else value)
    return made


def _inline(entries: Mapping[str, Any]) -> Item:
    items = [item_of(entry) for entry in entries.values()]
    for item in items:
        item.trivia.indent = item.trivia.trail = ""
    if items:
        items[0].trivia.indent = items[-1].trivia.trail = " "
    made = tomlkit.inline_table()
    for name, item in zip(entries, items, strict=True):
        made.append(key_of(name), item)
    return made


def _text(text: str) -> Item:
    if "\n" not in text or "\r" in text:
        return tomlkit.string(text)
    found = tomlkit.string(text, multiline=True)
    return found if text.startswith("\n") else tomlkit.value(f'"""\n{found.as_string()[3:]}')


def table_of(entries: Mapping[str, Any], name: str) -> Table:
    """Return the table of that name, each of its entries in a line; routes are a table of their own, the last."""
    made = tomlkit.table()
    for own in sorted(entries, key=_OWN_TABLES.__contains__):
        entry = entries[own]
        made.append(key_of(own, name), table_of(entry, own) if own in _OWN_TABLES else item_of(entry))
    return made


def dump(rig: Rig) -> str:
    """Return a rig as the text of a rig file."""
    whole = tomlkit.document()
    for name, entry in document(rig).items():
        whole.append(name, table_of(entry, name) if isinstance(entry, dict) else item_of(entry))
    return whole.as_string()


def document(rig: Rig) -> dict[str, Any]:
    """Return a rig as the tables of a rig file; a line that has nothing but its ports is a list."""
    declared = rig.starts()
    settle = {"settle": rig.settle} if rig.settle != SETTLES[0] else {}
    found = {
        "format": FORMAT,
        "title": rig.title,
        "teaches": rig.teaches,
        "notes": rig.notes,
        "oil": dict(_oil(rig.oil)),
        "parts": {id_: dict(_part(fitted)) for id_, fitted in rig.parts.items()},
        "lines": {name: _line(line) for name, line in rig.lines.items()},
        "instruments": {name: _instrument(item) for name, item in rig.instruments.items()},
        "start": settle | {key: written(value, declared[key].quantity) for key, value in rig.start.items()},
        "healthy": dict(_healthy(rig)),
        "drawing": drawn(rig),
    }
    unsaid: tuple[object, ...] = ({}, "")
    return {name: entry for name, entry in found.items() if entry not in unsaid or name == "title"}


def drawn(rig: Rig) -> dict[str, Any]:
    """Return the drawing of a rig as it is written: without the places of instruments that are no longer fitted."""
    known = {"step", "routes", *rig.parts, *rig.instruments}
    return {key: value for key, value in rig.drawing.items() if key in known}


def _oil(oil: OilSpec) -> Iterator[tuple[str, Any]]:
    yield "grade", oil.grade
    for key, quantity in _OIL_QUANTITIES.items():
        value = getattr(oil, key)
        if value is not None and (key != "air_index" or value != 1.0):
            yield key, written(value, quantity)
    if not oil.warms:
        yield "warms", False


def _part(fitted: Fitted) -> Iterator[tuple[str, Any]]:
    yield "is", fitted.part.__name__
    if fitted.label:
        yield "label", fitted.label
    if fitted.ends:
        yield "ends", [*fitted.ends]
    for name in fitted.part.declared(Choice):
        if name in fitted.choices:
            yield name, fitted.choices[name]
    for name, parameter in fitted.part.declared(Parameter).items():
        if name in fitted.values:
            yield name, written(fitted.values[name], parameter.quantity) + _showing(fitted, name, parameter.quantity)


def _showing(fitted: Fitted, name: str, quantity: str) -> str:
    """Return the words of when a wear shows, "" where it always does."""
    if name not in fitted.shows:
        return ""
    one = fitted.shows[name]
    return f" {one.text}" + ("" if one.other is None else f", else {written(one.other, quantity)}")


def _line(line: Line) -> dict[str, Any] | list[str]:
    joins = [f"{part}.{port}" for part, port in line.joins]
    default = Line(line.name, line.kind, line.joins)
    extra = {
        key: written(getattr(line, key), quantity)
        for key, quantity in _LINE_QUANTITIES.items()
        if getattr(line, key) != getattr(default, key)
    }
    point = {"test_point": True} if line.test_point else {}
    return {"joins": joins, **extra, **point} if extra or point else joins


def _instrument(instrument: Instrument) -> dict[str, Any]:
    place = {"flow meter": "at", "differential gauge": "across"}.get(instrument.kind, "on")
    quantity = SCALES[instrument.kind][0]
    entry = {place: instrument.on, "range": written(instrument.range_, quantity)}
    default = Instrument(instrument.name, instrument.kind, instrument.on, instrument.range_)
    others = (
        ("label", "label", instrument.label),
        ("class", "accuracy", f"{100 * instrument.accuracy:.6g}"),
        ("calibrated", "calibrated", instrument.calibrated),
        ("damping", "damping", written(instrument.damping, "time")),
        ("zero", "zero", _difference(instrument.zero, quantity)),
        ("gain", "gain", written(instrument.gain, "ratio")),
        ("snubber", "snubber", written(instrument.snubber, "time")),
        ("state", "state", instrument.state),
    )
    return entry | {key: text for key, name, text in others if getattr(instrument, name) != getattr(default, name)}


def _healthy(rig: Rig) -> Iterator[tuple[str, dict[str, Any]]]:
    declared: dict[str, State | Control | Parameter] = {**rig.states(), **rig.controls(), **rig.loads()}
    for reading in rig.healthy:
        quantity = SCALES[reading.kind][0]
        entry: dict[str, Any] = {
            "reads": reading.reads,
            "value": written(reading.value, quantity),
            "tolerance": _difference(reading.tolerance, quantity),
        }
        when = {
            key: written(value, "temperature" if key == "temperature" else declared[key].quantity)
            for key, value in reading.conditions.items()
        }
        fitted = rig.instruments.get(reading.reads)
        asked = kind_asked(entry["value"], fitted.kind if fitted is not None else "")
        kind = {"kind": reading.kind} if asked != reading.kind else {}  # the unit alone does not say it
        yield reading.name, entry | kind | ({"when": when} if when else {})
