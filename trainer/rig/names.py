"""What parts, levers and lines are called, the same wherever one is told: a line by what it joins, never by its id.

A line's id is the author's short name for it in the file; beside a gauge's it would be taken for the gauge.
"""

from __future__ import annotations

import re
import textwrap
from collections import Counter
from collections.abc import Mapping

from trainer.parts.part import Kind, Part
from trainer.parts.roles import Actuator, DirectionalValve, PressureLimiter, PrimeMover, Pump, Role
from trainer.rig.rig import Instrument, Line, Rig

__all__ = [
    "capital", "kind_words", "lever_label", "lever_words", "line_words", "measured_at", "part_label", "part_short",
    "part_title", "part_words", "port_name", "port_words", "short_words", "the_line",
]  # fmt: skip


def capital(words: str) -> str:
    """Return words as they begin a line: "Pump outlet"."""
    return words[:1].upper() + words[1:]


def kind_words(part: type[Part]) -> str:
    """Return what a kind of part is called: "section", "return filter" for a ReturnFilter."""
    return part.called or re.sub(r"(?<=[a-z])(?=[A-Z])", " ", part.__name__).lower()


def part_words(rig: Rig, id_: str) -> str:
    """Return what a part is called in a sentence: "boom section", "relief valve 0V1", "left leg cylinder"."""
    fitted = rig.parts[id_]
    kind = kind_words(fitted.part)
    if not fitted.label:
        return f"{kind} {id_}"
    return fitted.label if kind.split()[-1] in fitted.label.lower() else f"{fitted.label} {kind.split()[-1]}"


def part_title(rig: Rig, id_: str) -> str:
    """Return what a part is called in a heading, with its id: "Relief valve 0V1", "Boom section 1V1"."""
    words = part_words(rig, id_)
    return capital(words if id_ in words else f"{words} {id_}")


def part_label(rig: Rig, key: str) -> str:
    """Return the name of a part, or of one of its controls, on the board: its label, else "diesel engine"."""
    fitted = rig.parts[key.partition(".")[0]]
    return fitted.label or kind_words(fitted.part)


def part_short(rig: Rig, id_: str) -> str:
    """Return a part's name where room is short: its label, else its id."""
    return rig.parts[id_].label or id_


def lever_label(rig: Rig, key: str) -> str:
    """Return what a valve, or its lever, moves: its label, else that of what is on its work ports, else its id."""
    id_ = key.partition(".")[0]
    fitted = rig.parts[id_]
    if fitted.label or not isinstance(fitted.part.role, DirectionalValve):
        return fitted.label or id_
    moved = (rig.parts[other].label for port in fitted.part.role.work for other, _ in rig.line_of(id_, port).joins)
    return next((label for label in moved if label), id_)


def lever_words(rig: Rig, key: str) -> str:
    """Return what the lever of a valve is called in a sentence: "boom lever"."""
    return f"{lever_label(rig, key).removesuffix(' cylinder').removesuffix(' motor')} lever"


def line_words(rig: Rig, name: str) -> str:
    """Return what a line is called: "pump outlet", "between the banks", "boom, cap end", "slew motor shaft".

    No two lines of a rig are called the same. A private node of a part, which is no line, is "inside" it.
    """
    return rig.once(_line_names).get(name) or f"inside {name.partition('.')[0]}"


def _line_names(rig: Rig) -> Mapping[str, str]:
    found = {line.name: _called(rig, line) for line in rig.lines.values()}
    count = Counter(found.values())
    return {name: words if count[words] == 1 else f"{words} ({name})" for name, words in found.items()}


def the_line(rig: Rig, name: str) -> str:
    """Return a line as it stands in a sentence: "the boom cap end", "the line between the banks"."""
    words = line_words(rig, name).replace(", ", " ")
    if words.startswith(("between", "ahead")):
        return f"the line {words}"
    return f"the line from {words}" if " to " in words and not words.startswith("line to") else f"the {words}"


def port_words(rig: Rig, id_: str, port: str) -> str:
    """Return what a port of a part is called: "boom cylinder, cap end", "pump 0P1, port P"."""
    return f"{part_words(rig, id_)}, {port_name(rig, id_, port)}"


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
        return f"{_mover(rig, line, Actuator, PrimeMover)} shaft"
    if line.kind is Kind.ROD:
        return f"{_mover(rig, line, Actuator)} rod".replace("cylinder rod", "rod")
    return _oil(rig, line)


def _mover(rig: Rig, line: Line, *roles: type[Role]) -> str:
    """Return what moves on a shaft or rod: an actuator or a prime mover, else the first part there."""
    found = [id_ for role in roles for id_, _, _ in rig.at_ports(line.name, role)]
    first = found[0] if found else line.joins[0][0]
    alone = [*rig.having(PrimeMover)] == [first]
    return part_words(rig, first).removesuffix(f" {first}") if alone else part_words(rig, first)


def _oil(rig: Rig, line: Line) -> str:
    joins = line.joins
    ends = [(id_, port) for id_, port, role in rig.at_ports(line.name, Actuator) if port in role.chambers]
    if ends:
        return f"{_actuators(rig, line, [id_ for id_, _ in ends])}, {port_name(rig, *ends[0])}"
    pumps, here = rig.having(Pump), rig.at_ports(line.name, Pump)
    outlets = [id_ for id_, port, role in here if port == role.outlet]
    for word, found in (("outlet", outlets), ("suction", [id_ for id_, port, role in here if port == role.inlet])):
        if found:
            return f"pump {word}" if len(pumps) == 1 else f"{' and '.join(f'pump {id_}' for id_ in found)}, {word}"
    if rig.at_tank(line.name):
        return "line to the tank"
    valves = rig.at_ports(line.name, DirectionalValve)
    passed = [id_ for id_, port, role in valves if port == role.gallery[1]]
    fed = [id_ for id_, port, role in valves if port in (role.gallery[0], role.feed)]
    limited = any(port == role.inlet for _, port, role in rig.at_ports(line.name, PressureLimiter))
    if passed and fed and limited:
        return "between the banks"  # a relief at its inlet makes the section there the first of a bank
    if passed and fed:
        return f"{part_words(rig, passed[0]).removesuffix(' section')} to {part_words(rig, fed[0])}"
    if fed:
        return f"ahead of the {part_words(rig, fed[0])}"
    if any(port in (role.gallery[1], role.tank) for _, port, role in valves):
        return "return line"
    if len(joins) == 1:
        return f"{port_words(rig, *joins[0])}, plugged"
    first = list(dict.fromkeys(part_words(rig, id_) for id_, _ in joins))
    return " to ".join(first[:2])


def port_name(rig: Rig, id_: str, port: str) -> str:
    """Return what a port is called beside its part: "cap end", "port P"."""
    return rig.parts[id_].part.port_names.get(port, f"port {port}")


def _actuators(rig: Rig, line: Line, ids: list[str]) -> str:
    """Return one actuator by its label, several by the label of the section that feeds them."""
    if len(ids) == 1:
        return rig.parts[ids[0]].label or part_words(rig, ids[0])
    sections = [rig.parts[id_].label for id_, _, _ in rig.at_ports(line.name, DirectionalValve)]
    return next((label for label in sections if label), " and ".join(part_short(rig, id_) for id_ in ids))
