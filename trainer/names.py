"""What parts and lines are called, the same wherever one is told: a line by what it joins, never by its id.

A line's id is the author's short name for it in the file; beside a gauge's it would be taken for the gauge.
"""

from __future__ import annotations

import re
import textwrap
from collections import Counter
from collections.abc import Mapping

from trainer.parts.part import Kind
from trainer.rig import Instrument, Line, Rig

__all__ = ["capital", "line_words", "measured_at", "part_words", "port_words", "short_words", "the_line"]

_known: tuple[Rig | None, Mapping[str, str]] = (None, {})  # the names of the rig that was asked about last


def capital(words: str) -> str:
    """Return words as they begin a line: "Pump outlet"."""
    return words[:1].upper() + words[1:]


def part_words(rig: Rig, id_: str) -> str:
    """Return what a part is called in a sentence: "boom section", "relief valve 0V1", "left leg cylinder"."""
    fitted = rig.parts[id_]
    kind = {"section": "section", "reservoir": "tank", "pump_fixed": "pump"}.get(fitted.part.symbol, fitted.what)
    if not fitted.label:
        return f"{kind} {id_}"
    return fitted.label if kind.split()[-1] in fitted.label.lower() else f"{fitted.label} {kind.split()[-1]}"


def line_words(rig: Rig, name: str) -> str:
    """Return what a line is called: "pump outlet", "between the banks", "boom, cap end", "slew motor shaft".

    No two lines of a rig are called the same. A private node of a part, which is no line, is "inside" it.
    """
    global _known
    if _known[0] is not rig:
        found = {line.name: _called(rig, line) for line in rig.lines.values()}
        count = Counter(found.values())
        _known = rig, {name: words if count[words] == 1 else f"{words} ({name})" for name, words in found.items()}
    return _known[1].get(name) or f"inside {name.partition('.')[0]}"


def the_line(rig: Rig, name: str) -> str:
    """Return a line as it stands in a sentence: "the boom cap end", "the line between the banks"."""
    words = line_words(rig, name).replace(", ", " ")
    if words.startswith(("between", "ahead")):
        return f"the line {words}"
    return f"the line from {words}" if " to " in words and not words.startswith("line to") else f"the {words}"


def port_words(rig: Rig, id_: str, port: str) -> str:
    """Return what a port of a part is called: "boom cylinder, cap end", "pump 0P1, port P"."""
    return f"{part_words(rig, id_)}, {_port(rig, id_, port)}"


def measured_at(rig: Rig, instrument: Instrument) -> str:
    """Return where an instrument reads: "between the banks", "pump 0P1, port P", "tank 0Z1"."""
    if instrument.kind == "flow meter":
        return port_words(rig, *instrument.on.split(".", 1))
    return line_words(rig, instrument.on) if instrument.on in rig.lines else part_words(rig, instrument.on)


def short_words(words: str, longest: int = 18) -> str:
    """Return the name of a place in at most some letters: "boom cap end", "slew to boom", "filter to cooler"."""
    words = words.replace(", ", " ")
    for longer in (" cylinder", " section", " engine", r" \d+[A-Z]+\d+", "^return (?=filter)"):
        if len(words) <= longest and longer != " cylinder":
            break
        words = re.sub(longer, "", words)
    return textwrap.shorten(words, longest, placeholder="")


def _called(rig: Rig, line: Line) -> str:
    if line.kind is Kind.SHAFT:
        return f"{_mover(rig, line, 'AM')} shaft"
    if line.kind is Kind.ROD:
        return f"{_mover(rig, line, 'A')} rod".replace("cylinder rod", "rod")
    return _oil(rig, line)


def _mover(rig: Rig, line: Line, letters: str) -> str:
    """Return what moves on a shaft or rod: an actuator or a prime mover, else the first part there."""
    ids = [id_ for id_, _ in line.joins]
    first = next((id_ for letter in letters for id_ in ids if rig.parts[id_].part.letter == letter), ids[0])
    others = [id_ for id_, fitted in rig.parts.items() if fitted.part.letter == rig.parts[first].part.letter]
    alone = rig.parts[first].part.letter == "M" and len(others) == 1
    return part_words(rig, first).removesuffix(f" {first}") if alone else part_words(rig, first)


def _oil(rig: Rig, line: Line) -> str:
    joins, parts = line.joins, rig.parts
    ends = [(id_, port) for id_, port in joins if parts[id_].part.letter == "A" and port in ("A", "B")]
    if ends:
        return f"{_actuators(rig, line, [id_ for id_, _ in ends])}, {_port(rig, *ends[0])}"
    pumps = [id_ for id_, fitted in parts.items() if fitted.part.letter == "P"]
    for word, port in (("outlet", "P"), ("suction", "S")):
        found = [id_ for id_, end in joins if id_ in pumps and end == port]
        if found:
            return f"pump {word}" if len(pumps) == 1 else f"{' and '.join(f'pump {id_}' for id_ in found)}, {word}"
    if any(port in parts[id_].part.carries for id_, port in joins):
        return "line to the tank"
    passed = [id_ for id_, port in joins if port == "C1" and parts[id_].part.symbol == "section"]
    fed = [id_ for id_, port in joins if port in ("C", "P") and parts[id_].part.symbol == "section"]
    if passed and fed and any(parts[id_].part.symbol == "relief" and port == "P" for id_, port in joins):
        return "between the banks"  # a relief at its inlet makes the section there the first of a bank
    if passed and fed:
        return f"{part_words(rig, passed[0]).removesuffix(' section')} to {part_words(rig, fed[0])}"
    if fed:
        return f"ahead of the {part_words(rig, fed[0])}"
    if any(parts[id_].part.symbol == "section" and port in ("C1", "T") for id_, port in joins):
        return "return line"
    if len(joins) == 1:
        return f"{port_words(rig, *joins[0])}, plugged"
    first = list(dict.fromkeys(part_words(rig, id_) for id_, _ in joins))
    return " to ".join(first[:2])


def _port(rig: Rig, id_: str, port: str) -> str:
    return rig.parts[id_].part.port_names.get(port, f"port {port}")


def _actuators(rig: Rig, line: Line, ids: list[str]) -> str:
    """Return one actuator by its label, several by the label of the section that feeds them."""
    if len(ids) == 1:
        return rig.parts[ids[0]].label or part_words(rig, ids[0])
    sections = [rig.parts[id_].label for id_, _ in line.joins if rig.parts[id_].part.symbol == "section"]
    return next((label for label in sections if label), " and ".join(rig.parts[id_].label or id_ for id_ in ids))
