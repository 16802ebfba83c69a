"""Rig files: a circuit with its numbers and its drawing as TOML 1.0, read with every fault found at once.

``load`` and ``loads`` give a checked ``Rig`` (SI inside); ``dump`` writes one back. Faults carry the file,
the table, the key, what was read, what is expected and the nearest right word.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import replace
from itertools import count
from pathlib import Path
from typing import Any

from trainer.errors import Fault, nearest
from trainer.language import tr
from trainer.parts import CATALOGUE
from trainer.parts.oil import GRADES
from trainer.parts.part import Choice, Parameter, Part, Wear
from trainer.rig.lines import read_instruments, read_lines
from trainer.rig.notes import (
    read_drawing,
    read_healthy,
    read_settle,
    read_start,
)
from trainer.rig.rig import Fitted, OilSpec, Rig
from trainer.rig.showing import Showing, read_showing
from trainer.rig.tables import (
    FORMAT,
    Classes,
    Document,
    OilTable,
    number,
    numbers,
    part_table,
    put_right,
    read_table,
    words,
)
from trainer.rig.text import Faults, Where, parse, quoted, read_text, require_format, shown, what_is
from trainer.rig.topics import TOPICS

__all__ = ["MOST_PARTS", "dump", "is_id", "load", "loads", "read_wear"]

MOST_PARTS = 200
_ID = re.compile(r"(\d{1,2})([A-Z]{1,2})(\d{1,3})")
_LIKE_AN_ID = re.compile(r"(\d{1,2})[^0-9A-Za-z]*([A-Za-z]{1,2})[^0-9A-Za-z]*(\d{1,3})")
_OTHERWISE = re.compile(r",\s*else\s+(\S.{0,40})$")
_OIL = {  # key -> quantity, low, high
    "temperature": ("temperature", "-20 C", "110 C"),
    "air": ("ratio", "0.01 %", "20 %"),
    "density": ("density", "700 kg/m3", "1200 kg/m3"),
    "viscosity": ("viscosity", "1 mm2/s", "5000 mm2/s"),
    "stiffness": ("pressure", "100 MPa", "3 GPa"),
    "stiffening": ("ratio", "0", "30"),
    "air_index": ("ratio", "1", "1.4"),
}


def load(path: str | Path, catalogue: Mapping[str, type[Part]] = CATALOGUE) -> Rig:
    """Return the rig in a file. Raises RigError with every fault found."""
    return loads(read_text(Path(path)), str(path), catalogue)


def loads(text: str, source: str = "", catalogue: Mapping[str, type[Part]] = CATALOGUE) -> Rig:
    """Return the rig in a text; ``source`` names it in messages. Raises RigError with every fault found."""
    document = parse(text, source)
    faults = Faults(source, text)
    require_format(document, FORMAT, faults)
    top = read_table(put_right(document, faults), Document, [], faults)
    if not {"parts", "lines"} <= top.keys():  # without them everything else would be missed as well
        faults.stop()
    classes = _classes(top.get("parts", {}), catalogue, faults)
    lines = read_lines(top.get("lines", {}), classes, faults)
    rig = Rig(
        title=words(top.get("title", ""), 120, ["title"], faults),
        notes=top.get("notes", "").strip(),
        teaches=_teaches(top.get("teaches", ""), faults),
        parts=_parts(top.get("parts", {}), classes, faults),
        lines=lines,
        oil=_oil(top.get("oil", {}), faults),
        instruments=read_instruments(
            top.get("instruments", {}), classes, lines, _not_in(lines, top, "lines"), faults
        ),
        source=source,
    )
    unread = frozenset(id_ for id_, part in classes.items() if part is None)
    unread |= _not_in(lines, top, "lines") | _not_in(rig.instruments, top, "instruments")
    begin = top.get("start", {})
    rig = replace(rig, start=read_start(begin, rig, unread, faults), settle=read_settle(begin, faults))
    rig = replace(rig, healthy=read_healthy(top.get("healthy", {}), rig, unread, faults))
    rig = replace(rig, drawing=read_drawing(top.get("drawing", {}), rig, unread, faults))
    for fault in rig.faults():
        faults.add(fault.kind, fault.where, fault.problem, fault.remedy, _cause(fault, faults))
    faults.stop()
    return rig.checked()


def dump(rig: Rig) -> str:
    """Return a rig as the text of a rig file."""
    from trainer.rig import writer  # a rig is read long before one is written

    return writer.dump(rig)


def _not_in(read: Mapping[str, Any], top: Mapping[str, Any], table: str) -> frozenset[str]:
    """Return the entries of a table that could not be read: what names them is no other fault."""
    return frozenset(top.get(table, {})) - frozenset(read)


def _cause(fault: Fault, faults: Faults) -> str:
    """Return the place of an earlier fault that may be all there is to one; nothing where there is none."""
    if fault.kind == "port on no line":
        id_ = fault.where.rpartition(" ")[2]
        before = faults.within("[lines]")
        return next((f.place for f in before if id_ in f.problem), before[0].place if before else "")
    before = faults.within(fault.where)
    return before[0].place if before and fault.kind == "impossible numbers" else ""


def is_id(word: str) -> bool:
    """Return whether a word is one by which a part stands in a rig, such as 1V2."""
    return _ID.fullmatch(word) is not None


def _ids(table: Mapping[str, Any], classes: dict[str, type[Part] | None], faults: Faults) -> Iterator[str]:
    """Yield the keys that are ids; note the others, and take what they may stand for as not readable."""
    for key in table:
        if _ID.fullmatch(key):
            yield key
            continue
        if not isinstance(table[key], (dict, list)):
            problem = tr("{written} stands here by itself; only parts do.").format(written=quoted(key))
            faults.add(
                "bad id",
                ["parts", key],
                problem,
                tr("Write it within its part: 1V2 = {{ is = …, {shown} = … }}.").format(shown=shown(key)),
            )
            continue
        like = _LIKE_AN_ID.fullmatch(key)
        example = "".join(like.groups()).upper() if like else "1V2"
        if like and example not in table:
            classes[example] = None
        faults.add(
            "bad id",
            ["parts", key],
            tr("{written} is no id of a part.").format(written=quoted(key)),
            tr("Write circuit number, letter, number, such as {example} (ISO 1219-2).").format(example=example),
        )


def _classes(table: Mapping[str, Any], catalogue: Mapping[str, type[Part]], faults: Faults) -> Classes:
    """Return the class of every part that has an id and says what it is."""
    if len(table) > MOST_PARTS:
        faults.add(
            "too many parts",
            "[parts]",
            tr("{count} parts are too many.").format(count=len(table)),
            tr("A rig has at most {most_parts}.").format(most_parts=MOST_PARTS),
        )
        faults.stop()
    known = {old: part for part in catalogue.values() for old in part.replaces} | dict(catalogue)
    classes: dict[str, type[Part] | None] = {}
    for id_ in _ids(table, classes, faults):
        raw = table[id_]
        what = raw.get("is") if isinstance(raw, dict) else None
        part = classes[id_] = known.get(what) if isinstance(what, str) else None
        where = ["parts", id_, "is"]
        if part is None and not isinstance(raw, dict):
            faults.add(
                "wrong type",
                where[:2],
                tr("{value} stands here.").format(value=what_is(raw)),
                tr('Write a table, { is = "FixedPump" }.'),
            )
        elif part is None and what is None:
            faults.add(
                "missing key", where[:2], tr("'is' is missing."), tr('Say what it is, such as is = "FixedPump".')
            )
        elif part is None and isinstance(what, str):
            faults.add(
                "unknown part",
                where,
                tr("{written} is no part.").format(written=quoted(what)),
                nearest(shown(what), catalogue)
                or tr("Known here: {known} and {count} more; spoolroom parts lists them.").format(
                    known=", ".join(sorted(catalogue)[:12]), count=max(len(catalogue) - 12, 0)
                ),
            )
        elif part is None:
            faults.add(
                "wrong type",
                where,
                tr("{value} cannot be used.").format(value=what_is(what)),
                tr('Write the name of a part, such as "FixedPump".'),
            )
        elif (form := _ID.fullmatch(id_)) and form[2] != part.letter:
            free = next(name for k in count(int(form[3])) if (name := f"{form[1]}{part.letter}{k}") not in table)
            faults.add(
                "wrong letter",
                where[:2],
                tr("a {name} has the letter {letter}, not {form}.").format(
                    name=part.__name__, letter=part.letter, form=form[2]
                ),
                tr("Name it {name}, here and wherever it is joined.").format(name=free),
            )
    return classes


def _parts(table: Mapping[str, Any], classes: Classes, faults: Faults) -> dict[str, Fitted]:
    fitted: dict[str, Fitted] = {}
    for id_, part in classes.items():
        if part is None:
            continue
        good = read_table(table[id_], part_table(part), ["parts", id_], faults)
        values: dict[str, float] = {}
        choices: dict[str, str] = {}
        shows: dict[str, Showing] = {}
        for name, choice in part.declared(Choice).items():
            if name in good and good[name] in choice.options:
                choices[name] = good[name]
            elif name in good:
                faults.add(
                    "unknown word",
                    ["parts", id_, name],
                    tr("{written} is no choice here.").format(written=quoted(good[name])),
                    nearest(shown(good[name]), choice.options)
                    or tr("Write one of {options}.").format(options=", ".join(choice.options)),
                )
        new = Fitted(id_, part, {}, choices)
        for name, parameter in part.declared(Parameter).items():
            if name in good:
                where = ["parts", id_, name]
                if isinstance(parameter, Wear):
                    value, showing = read_wear(good[name], parameter, new.value(name), where, faults)
                    shows |= {name: showing} if showing is not None else {}
                else:
                    low, high = parameter.range_written
                    value = number(good[name], parameter.quantity, low, high, where, faults)
                if value is not None:
                    values[name] = value
        label = words(good.get("label", ""), 60, ["parts", id_, "label"], faults)
        ends = [words(word, 16, ["parts", id_, "ends"], faults) for word in good.get("ends", [])]
        fitted[id_] = Fitted(id_, part, values, choices, label, (ends[0], ends[1]) if ends else None, shows)
    return fitted


def _teaches(topic: str, faults: Faults) -> str:
    """Return the topic that a rig teaches, "" for none; note one that there is not."""
    if topic and topic not in TOPICS:
        faults.add(
            "unknown word",
            ["teaches"],
            tr("{written} is no topic.").format(written=quoted(topic)),
            nearest(shown(topic), TOPICS) or tr("Write one of {options}.").format(options=", ".join(TOPICS)),
        )
        return ""
    return topic


def read_wear(
    written: str | float, wear: Wear, healthy: float, where: Where, faults: Faults
) -> tuple[float | None, Showing | None]:
    """Return how worn a part is [SI] by a number or the word of a degree, and when that shows.

    ``healthy``: its number without wear [SI], of which some degrees are so many times.
    """
    low, high = wear.range_written
    showing, other = None, None
    if isinstance(written, str) and (otherwise := _OTHERWISE.search(written)):
        other = number(otherwise[1], wear.quantity, low, high, where, faults)
        written = written[: otherwise.start()]
    if isinstance(written, str):
        written, showing = read_showing(written, where, faults)
    if showing is not None and wear.stays:
        faults.add("bad number", where, tr("this wear does not come and go."), tr("Leave out when it shows."))
    elif showing is not None:
        showing = replace(showing, other=other)
    elif other is not None:
        problem = tr("it has another number, and nothing says when.")
        faults.add("bad number", where, problem, tr('Write "failed from 50 C to 65 C, else 2e-8".'))
    return number(written, wear.quantity, low, high, where, faults, wear.degrees(healthy)), showing


def _oil(table: Mapping[str, Any], faults: Faults) -> OilSpec:
    good = read_table(table, OilTable, ["oil"], faults)
    given = numbers(good, _OIL, ["oil"], faults)
    grade = good.get("grade", OilSpec().grade)
    if grade not in GRADES:
        faults.add(
            "unknown word",
            ["oil", "grade"],
            tr("{written} is no grade known here.").format(written=quoted(grade)),
            nearest(shown(grade), GRADES) or tr("Known here: {grades}.").format(grades=", ".join(GRADES)),
        )
    entries: dict[str, Any] = {"grade": grade, "warms": good.get("warms", True), **given}
    return OilSpec(**entries)
