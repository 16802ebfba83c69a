"""A changed rig written into its author's own text: comments, order, spelling stay; only what differs is touched."""

from __future__ import annotations

from collections.abc import Mapping, MutableMapping
from typing import Any

import tomlkit
from tomlkit.exceptions import TOMLKitError
from tomlkit.items import AbstractTable, InlineTable, Item, Table

from trainer import units
from trainer.errors import UnitError
from trainer.rig.rig import Rig
from trainer.rig.writer import (
    DOTTED,
    document,
    dump,
    item_of,
    key_of,
    table_of,
    written_in,
)

__all__ = ["rewrite"]

# keys of no quantity
_WORDS = ("title", "teaches", "notes", "label", "grade", "is", "on", "at", "reads", "state", "class")
_DIFFERENCES = ("tolerance", "zero")


def rewrite(text: str, was: Rig, now: Rig) -> str:
    """Return the text of a rig file, which says ``was``, so changed that it says ``now``.

    Where the text is of a form that cannot be changed in place, it is written anew without its comments.
    """
    try:
        tables = tomlkit.parse(f"{text.rstrip()}\n".replace("\r\n", "\n"))
        _mend(tables, document(was), document(now), "")
        changed = tables.as_string()
    except (TOMLKitError, KeyError, TypeError, ValueError, AttributeError):
        return dump(now)
    return changed.replace("\n", "\r\n") if "\r\n" in text else changed


def _mend(table: MutableMapping[str, Any], was: Mapping[str, Any], now: Mapping[str, Any], name: str) -> None:
    """Bring a table from what it says to what it is to say."""
    for key in was:
        if key not in now:
            holder, own = _spot(table, key, name)
            del holder[own]
    for key, value in now.items():
        if key in was and was[key] == value:
            continue
        holder, own = _spot(table, key, name)
        held = holder.get(own)
        if held is None and key in was and isinstance(value, dict):  # left unsaid by the author: what is not so now
            value = {own: entry for own, entry in value.items() if was[key].get(own) != entry}
        if held is None:
            _add(holder, key if holder is table else own, value, name)
        elif isinstance(held, InlineTable) and isinstance(value, dict):
            holder[own] = item_of(_inline(held, was.get(key, {}), value))
        elif isinstance(held, MutableMapping) and isinstance(value, dict):
            _mend(held, was.get(key, {}), value, key)
        else:
            holder[own] = item_of(_in_its_unit(held, value, own))


def _in_its_unit(held: object, value: object, key: str) -> object:
    """Return a new value in the unit that its author used for that key; what is no number with a unit is as it is."""
    if key in _WORDS or not isinstance(held, str) or not isinstance(value, str):
        return value
    try:
        quantity = units.quantity_of(str(held))
        if quantity == "temperature" and key in _DIFFERENCES:  # written in C: F has an offset
            return value
        symbol = units.symbol_of(str(held))
        return written_in(units.read(value, quantity), quantity, symbol)
    except UnitError:
        return value


def _spot(table: MutableMapping[str, Any], key: str, name: str) -> tuple[MutableMapping[str, Any], str]:
    """Return the table that holds a key, and what it is called there."""
    part, dot, own = key.partition(".")
    inner = table.get(part) if dot and key not in table and name in DOTTED else None
    return (inner, own) if isinstance(inner, MutableMapping) else (table, key)


def _inline(held: InlineTable, was: Mapping[str, Any], now: Mapping[str, Any]) -> dict[str, object]:
    """Return an inline table in its author's order and words, what is new at its end."""
    entries = {key: held.item(key) for key in held if key not in was or key in now}
    changed = {key: value for key, value in now.items() if key not in was or was[key] != value}
    return entries | {key: _inner(held.get(key), was.get(key), value, key) for key, value in changed.items()}


def _inner(held: object, was: object, value: object, key: str) -> object:
    if isinstance(held, InlineTable) and isinstance(was, dict) and isinstance(value, dict):
        return _inline(held, was, value)
    return _in_its_unit(held, value, key)


def _add(table: MutableMapping[str, Any], key: str, value: Any, name: str) -> None:
    """Add an entry after the last one, before the comments that lead to what comes next."""
    last = _last(table)
    if not name and isinstance(value, dict):
        table[key] = table_of(value, key)
    elif last is None:
        table[key] = item_of(value)
    else:
        end = last.trivia.trail if last.trivia.trail.endswith("\n") else f"{last.trivia.trail}\n"
        last.trivia.trail = f"{end}{key_of(key, name).as_string()} = {item_of(value).as_string()}\n"


def _last(table: MutableMapping[str, Any]) -> Item | None:
    """Return the last entry that stands in a table itself, None where there is none."""
    if not isinstance(table, Table):
        return None
    for key, item in reversed(table.value.body):
        if key is None or (
            isinstance(item, AbstractTable) and not isinstance(item, InlineTable) and not key.is_dotted()
        ):
            continue
        return _last(item) if isinstance(item, Table) else item
    return None
