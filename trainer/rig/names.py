"""What parts, levers and lines are called, the same wherever one is told: a line by what it joins, never by its id.

A line's id is the author's short name for it in the file; beside a gauge's it would be taken for the gauge.
"""

from __future__ import annotations

import re
import textwrap
from collections import Counter
from collections.abc import Mapping
from typing import NamedTuple

from trainer.language import tr
from trainer.parts.part import Kind, Part
from trainer.parts.roles import Actuator, DirectionalValve, PressureLimiter, PrimeMover, Pump, Role, Tank
from trainer.rig.rig import Instrument, Line, Rig

__all__ = [
    "capital", "kind_words", "lever_label", "lever_moves", "lever_words", "line_words", "measured_at", "part_label",
    "part_short", "part_title", "part_words", "port_name", "port_words", "short_words", "the_line",
]  # fmt: skip


def capital(words: str) -> str:
    """Return words as they begin a line: "Pump outlet"."""
    return words[:1].upper() + words[1:]


def kind_words(part: type[Part]) -> str:
    """Return what a kind of part is called: "section", "return filter" for a ReturnFilter."""
    return tr(part.called or re.sub(r"(?<=[a-z])(?=[A-Z])", " ", part.__name__).lower())


def part_words(rig: Rig, id_: str) -> str:
    """Return what a part is called in a sentence: "boom section", "relief valve 0V1", "left leg cylinder"."""
    fitted = rig.parts[id_]
    kind = kind_words(fitted.part)
    if not fitted.label:
        return tr("{kind} {part}").format(kind=kind, part=id_)
    if (last := _last(kind)) in fitted.label.lower():
        return fitted.label
    return tr("{label} {kind}").format(label=fitted.label, kind=last)


def _last(kind: str) -> str:
    """Return the word that says what a kind of part is: "valve" of "relief valve"."""
    return kind.split()[-1]


def _plain(rig: Rig, id_: str) -> str:
    """Return what a part is called without the word for its kind: "boom" for the "boom section"."""
    return part_words(rig, id_).removesuffix(f" {_last(kind_words(rig.parts[id_].part))}")


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
    return tr("{lever} lever").format(lever=lever_moves(rig, key))


def lever_moves(rig: Rig, key: str) -> str:
    """Return what a lever moves, without the word for its kind: "boom"."""
    return lever_label(rig, key).removesuffix(" cylinder").removesuffix(" motor")


def line_words(rig: Rig, name: str) -> str:
    """Return what a line is called: "pump outlet", "between the banks", "boom, cap end", "slew motor shaft".

    No two lines of a rig are called the same. A private node of a part, which is no line, is "inside" it.
    """
    found = rig.once(_line_names).get(name)
    return tr("inside {part}").format(part=name.partition(".")[0]) if found is None else found.words


class _Named(NamedTuple):
    """What a line is called: by itself, and in a sentence where that is more than "the" before it."""

    words: str
    sentence: str = ""

    def told_apart(self, name: str) -> _Named:
        """Return it with the id of the line behind it."""
        return _Named(f"{self.words} ({name})", self.sentence and f"{self.sentence} ({name})")


def _line_names(rig: Rig) -> Mapping[str, _Named]:
    found = {line.name: _called(rig, line) for line in rig.lines.values()}
    count = Counter(named.words for named in found.values())
    return {name: named if count[named.words] == 1 else named.told_apart(name) for name, named in found.items()}


def the_line(rig: Rig, name: str) -> str:
    """Return a line as it stands in a sentence: "the boom cap end", "the line between the banks"."""
    found = rig.once(_line_names).get(name)
    if found is not None and found.sentence:
        return found.sentence
    return tr("the {line}").format(line=line_words(rig, name).replace(", ", " "))


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
    cylinder, *kinds = (f" {tr(kind)}" for kind in ("cylinder", "section", "engine"))
    for longer in (cylinder, *kinds, r" \d+[A-Z]+\d+", "^return (?=filter)"):
        if len(words) <= longest and longer != cylinder:
            break
        words = re.sub(longer, "", words)
    return textwrap.shorten(words, longest, placeholder="")


def _called(rig: Rig, line: Line) -> _Named:
    if line.kind is Kind.SHAFT:
        return _Named(tr("{part} shaft").format(part=_mover(rig, line, Actuator, PrimeMover)))
    if line.kind is Kind.ROD:
        moved = rig.at_ports(line.name, Actuator)
        part = _plain(rig, moved[0][0]) if moved and moved[0][2].linear else _mover(rig, line, Actuator)
        return _Named(tr("{part} rod").format(part=part))
    return _oil(rig, line)


def _mover(rig: Rig, line: Line, *roles: type[Role]) -> str:
    """Return what moves on a shaft or rod: an actuator or a prime mover, else the first part there."""
    found = [id_ for role in roles for id_, _, _ in rig.at_ports(line.name, role)]
    first = found[0] if found else line.joins[0][0]
    alone = [*rig.having(PrimeMover)] == [first]
    return part_words(rig, first).removesuffix(f" {first}") if alone else part_words(rig, first)


def _oil(rig: Rig, line: Line) -> _Named:
    joins = line.joins
    ends = [(id_, port) for id_, port, role in rig.at_ports(line.name, Actuator) if port in role.chambers]
    if ends:
        return _Named(f"{_actuators(rig, line, [id_ for id_, _ in ends])}, {port_name(rig, *ends[0])}")
    here = rig.at_ports(line.name, Pump)
    for outlet in (True, False):
        if found := [id_ for id_, port, role in here if port in (role.outlets if outlet else role.inlets)]:
            return _Named(_at_pumps(rig, found, outlet))
    if rig.at_tank(line.name):
        back = any(port == role.back for _, port, role in rig.at_ports(line.name, Tank))
        return _Named(tr("line to the tank") if back else tr("line from the tank"))
    valves = rig.at_ports(line.name, DirectionalValve)
    passed = [id_ for id_, port, role in valves if port == role.gallery[1]]
    fed = [id_ for id_, port, role in valves if port in (role.gallery[0], role.feed)]
    limited = any(port == role.inlet for _, port, role in rig.at_ports(line.name, PressureLimiter))
    if passed and fed and limited:  # a relief at its inlet makes the section there the first of a bank
        return _Named(tr("between the banks"), tr("the line between the banks"))
    if passed and fed:
        return _from_to(_plain(rig, passed[0]), part_words(rig, fed[0]))
    if fed:
        part = part_words(rig, fed[0])
        return _Named(
            tr("ahead of the {part}").format(part=part), tr("the line ahead of the {part}").format(part=part)
        )
    if any(port in (role.gallery[1], role.tank) for _, port, role in valves):
        return _Named(tr("return line"))
    if len(joins) == 1:
        return _Named(tr("{port}, plugged").format(port=port_words(rig, *joins[0])))
    first = list(dict.fromkeys(part_words(rig, id_) for id_, _ in joins))
    return _from_to(*first[:2]) if len(first) > 1 else _Named(first[0])


def _from_to(one: str, other: str) -> _Named:
    words = {"one": one, "other": other}
    return _Named(tr("{one} to {other}").format(**words), tr("the line from {one} to {other}").format(**words))


def _at_pumps(rig: Rig, pumps: list[str], outlet: bool) -> str:
    """Return what the line at the outlets, or at the suctions, of some pumps is called."""
    if len(rig.having(Pump)) == 1:
        return tr("pump outlet") if outlet else tr("pump suction")
    several = tr(" and ").join(tr("pump {part}").format(part=id_) for id_ in pumps)
    words = tr("{pumps}, outlet") if outlet else tr("{pumps}, suction")
    return words.format(pumps=several)


def port_name(rig: Rig, id_: str, port: str) -> str:
    """Return what a port is called beside its part: "cap end", "port P"."""
    name = rig.parts[id_].part.port_names.get(port)
    return tr("port {port}").format(port=port) if name is None else tr(name)


def _actuators(rig: Rig, line: Line, ids: list[str]) -> str:
    """Return one actuator by its label, several by the label of the section that feeds them."""
    if len(ids) == 1:
        return rig.parts[ids[0]].label or part_words(rig, ids[0])
    sections = [rig.parts[id_].label for id_, _, _ in rig.at_ports(line.name, DirectionalValve)]
    return next((label for label in sections if label), tr(" and ").join(part_short(rig, id_) for id_ in ids))
