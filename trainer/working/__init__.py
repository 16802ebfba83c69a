"""The working: a number opened into its formula, with this moment's values in it and in the units of the shop.

``about`` gives the workings of what was asked about, in the order in which a teacher would show them; ``workings``
all of a rig. Each formula is written for bar, L/min, kW and for psi, gpm, hp with the constants that a mechanic
knows; the tests hold its value, worked out from the shown terms, against the engine.

A part's workings stand in its class, beside its law; here are those of lines, shafts, rods, the ledgers, and of the
heat that all parts give to the oil.
"""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass

from trainer.energy.accounts import named
from trainer.energy.books import FlowBook
from trainer.engine.readings import Readings
from trainer.formula import Tell, Term, Working, hidden
from trainer.language import tr
from trainer.parts.part import Kind
from trainer.parts.roles import Tank
from trainer.rig.names import capital, line_words, part_title
from trainer.rig.rig import Rig
from trainer.working import ledgers, lines
from trainer.working.part_sheet import PartSheet
from trainer.working.sheet import Sheet
from trainer.working.tank import heats

__all__ = ["Subject", "Term", "Working", "about", "covered_by", "hidden", "title", "workings"]


@dataclass(frozen=True, slots=True)
class Subject:
    """What is asked about: ``kind`` "part", "line", "instrument" or "ledger", its name.

    A ledger and an entry of one have their id for a name.
    ``figure``: the quantity of the printed number that was asked about; its working comes first. ``port``: where on
    a part it was printed.
    """

    kind: str
    name: str
    figure: str = ""
    port: str = ""


def workings(rig: Rig, now: Readings) -> list[Working]:
    """Return every working that a rig has at one instant: part by part in its order, then line by line."""
    at = Sheet(rig, now)
    found: list[Working] = []
    for id_ in rig.parts:
        found += _of_part(at, id_)
    for name in rig.lines:
        found += _of_line(at, name)
    return found


def about(rig: Rig, now: Readings, subject: Subject, book: FlowBook | None = None) -> list[Working]:
    """Return the workings of what is asked about; empty where there is nothing to work out now.

    ``book`` of the network, where the asker keeps one, else one is made for a question about a ledger.
    """
    at = Sheet(rig, now)
    match subject.kind:
        case "part" if subject.name in rig.parts:
            found = _of_part(at, subject.name)
            for line in rig.lines.values():
                if line.kind is not Kind.OIL and any(id_ == subject.name for id_, _ in line.joins):
                    found += _of_line(at, line.name)
        case "line" if subject.name in rig.lines:
            found = _of_line(at, subject.name, deep=True)
        case "instrument" if subject.name in rig.instruments:
            return _of_instrument(at, subject)
        case "ledger":
            book = book or FlowBook(now.network)
            found = ledgers.entry(at, book, subject.name, lambda id_: _of_part(at, id_))
        case _:
            found = []
    return _first(_once(found), subject)


def _of_part(at: Sheet, id_: str) -> list[Working]:
    part = at.rig.parts[id_].part
    found = list(heats(at, id_)) if isinstance(part.role, Tank) else []
    found += part.workings(PartSheet(at, id_))
    model = at.now.network.models[id_]
    if (
        model.oil
        and not model.carried
        and (warm := at.warmed(id_, tr("Oil that leaves {part}").format(part=id_))) is not None
    ):
        found.append(warm)
    return found


def _of_line(at: Sheet, name: str, deep: bool = False) -> list[Working]:
    """Return a line's workings; ``deep`` with those of the parts that move it or that it moves."""
    line = at.rig.lines[name]
    if line.kind is Kind.OIL:
        found = list(lines.oil_line(at, line))
        steps = lines.drops_of(at, name)[0] if deep else []
        if steps:  # the largest of its drops is opened in its turn
            id_, stream = max(steps, key=lambda step: abs(at.now["heat", *step] / (at.now["passes", *step] or 1.0)))
            found += [working for working in _of_part(at, id_) if working.drop_of == stream]
        return found
    found = list((lines.shaft_line if line.kind is Kind.SHAFT else lines.rod_line)(at, line))
    if deep:
        for id_, _ in line.joins:
            found += _of_part(at, id_)
    return found


def _of_instrument(at: Sheet, subject: Subject) -> list[Working]:
    instrument = at.rig.instruments[subject.name]
    if instrument.kind == "differential gauge":
        return about(at.rig, at.now, Subject("part", instrument.on))
    if instrument.on_line:
        return about(at.rig, at.now, Subject("line", instrument.on, "pressure"))
    if instrument.kind == "tachometer":
        return about(at.rig, at.now, Subject("line", instrument.on, "shaft speed"))
    if instrument.kind == "thermometer":
        return about(at.rig, at.now, Subject("part", instrument.on, "temperature"))
    part, _, port = instrument.on.partition(".")
    return about(at.rig, at.now, Subject("part", part, "flow", port))


def _once(found: list[Working]) -> list[Working]:
    """Return workings without those that say the same of the same part again."""
    seen: dict[tuple[str, str], Working] = {}
    for working in found:
        seen.setdefault((working.part, working.name), working)
    return list(seen.values())


def _first(found: list[Working], subject: Subject) -> list[Working]:
    """Return workings with those of the printed number first."""
    if not subject.figure:
        return found

    def rank(working: Working) -> tuple[bool, bool]:
        told = ("flow", f"{subject.name}.{subject.port}")
        return working.result.quantity != subject.figure, bool(subject.port) and told not in working.result.refers_to

    return sorted(found, key=rank)


def title(rig: Rig, subject: Subject, book: FlowBook) -> str:
    """Return what a subject is called: "Boom cylinder 3A1", "Boom, cap end"; ``book`` has the ledgers."""
    if subject.kind == "ledger":
        accounts = (*book.accounts, *book.power.accounts)
        return next((one.name for one in accounts if one.id == subject.name), None) or named(subject.name)
    if subject.kind == "line" and subject.name in rig.lines:
        return capital(line_words(rig, subject.name))
    if subject.kind == "instrument" and subject.name in rig.instruments:
        kind_ = rig.instruments[subject.name].kind
        return f"{capital(tr(kind_))} {subject.name}"
    return part_title(rig, subject.name)


def covered_by(rig: Rig, instruments: Collection[str], hidden_lines: Collection[str]) -> frozenset[Tell]:
    """Return what covered instruments hide; ``hidden_lines`` are those whose pressure a drawing hides for them."""
    found: set[Tell] = {("pressure", line) for line in hidden_lines}
    for name in instruments:
        instrument = rig.instruments.get(name)
        if instrument is None:
            continue
        if instrument.on_line or instrument.between:
            found |= {("pressure", line) for line in instrument.between or (instrument.on,)} | {("ledger", "power")}
        elif instrument.kind == "tachometer":
            found.add(("speed", instrument.on))
        elif instrument.kind == "thermometer":
            found.add(("temperature", instrument.on))
        else:
            part, _, port = instrument.on.partition(".")
            found |= {("flow", ".".join(pair)) for pair in rig.line_of(part, port).joins} | {("ledger", "flow")}
    return frozenset(found)
