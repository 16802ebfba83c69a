"""The bank: named wrong ideas that any lesson may offer, right reasons, and the trade's words for symbols."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

from trainer import resources
from trainer.language import tr
from trainer.lessons.formulas import Formula
from trainer.lessons.lesson import Slip
from trainer.lessons.tables import BankTable, OutcomesTable, OutcomeTable, SlipTable
from trainer.rig.tables import read_table
from trainer.rig.text import Faults, Where, parse, quoted, read_text

__all__ = ["Bank", "Outcome", "accepted", "formula_of", "load", "outcomes", "plain", "read_slip", "shipped"]


@dataclass(frozen=True, slots=True)
class Bank:
    """Wrong ideas and right reasons by their ids; words of the trade by the class of the part that they name."""

    slips: Mapping[str, Slip]
    reasons: Mapping[str, str]
    terms: Mapping[str, tuple[str, ...]]


@dataclass(frozen=True, slots=True)
class Outcome:
    """What a learner can do, and the code that a college gives it, "" for none."""

    id: str
    words: str
    code: str = ""


def read_slip(raw: object, id_: str, where: Where, faults: Faults, known: Slip | None = None) -> Slip | None:
    """Return a wrong idea from its table; what the table does not say is as ``known`` has it. None with faults."""
    before = len(faults.found)
    if isinstance(raw, str):
        raw = {"value": raw}
    elif raw is True:
        raw = {}
    good = read_table(raw, SlipTable, where, faults)
    idea, why = (good.get(key, getattr(known, key, "")) for key in ("idea", "why"))
    for key, text in (("idea", idea), ("why", why)):
        if not text and len(faults.found) == before:
            faults.add(
                "missing key",
                [*where],
                tr("'{key}' is missing.").format(key=key),
                tr("Write idea = the reason in a learner's words, and why = what the number {{N}} is.").format(),
            )
    formula = formula_of(good["value"], [*where, "value"], faults) if "value" in good else None
    if len(faults.found) > before:
        return None
    return Slip(
        id_,
        idea,
        why,
        tuple(good.get("beliefs", known.beliefs if known else ())),
        formula if formula is not None else known.formula if known else None,
        tuple(good.get("order", ())),
        good.get("offered", True),
    )


def formula_of(words: str, where: Where, faults: Faults) -> Formula | None:
    """Return a written formula; None, with a fault noted, if it is none."""
    try:
        return Formula.of(words)
    except ValueError as error:
        faults.add(
            "bad formula",
            where,
            f"{error}.",
            tr("Write letters of the readings, numbers, + - * / ( ) ² √, such as 0.7854 * D² * p."),
        )
        return None


def load(path: Path) -> Bank:
    """Return the bank in a file. Raises RigError with every fault found."""
    text = read_text(path)
    document, faults = parse(text, str(path)), Faults(str(path), text)
    top = read_table(document, BankTable, [], faults)
    slips = {}
    for id_, raw in top.get("slips", {}).items():
        if (slip := read_slip(raw, id_, ["slips", id_], faults)) is not None:
            slips[id_] = slip
    reasons = _texts(top.get("reasons", {}), "reasons", faults)
    terms: dict[str, tuple[str, ...]] = {}
    for name, raw in top.get("terms", {}).items():
        if isinstance(raw, list) and raw and all(isinstance(word, str) for word in raw):
            terms[name] = tuple(raw)
        else:
            faults.add(
                "wrong type", ["terms", name], tr("this is no list of words."), tr('Write a list, such as ["pump"].')
            )
    faults.stop()
    return Bank(slips, reasons, terms)


def _texts(table: Mapping[str, Any], name: str, faults: Faults) -> dict[str, str]:
    for key, raw in table.items():
        if not isinstance(raw, str):
            faults.add(
                "wrong type", [name, key], tr("{raw} is no text.").format(raw=quoted(raw)), tr("Write a text.")
            )
    return {key: raw for key, raw in table.items() if isinstance(raw, str)}


@cache
def shipped() -> Bank:
    """Return the bank that is shipped."""
    return load(resources.path("lessons/bank.toml"))


def outcomes(own: Path | None = None) -> dict[str, Outcome]:
    """Return the outcomes by id, with the words and codes of an instructor's own list where he has one.

    His list may say only what is different. Raises RigError with every fault found.
    """
    found: dict[str, Outcome] = {}
    for path in (resources.path("outcomes.toml"), own):
        if path is None:
            continue
        text = read_text(path)
        document, faults = parse(text, str(path)), Faults(str(path), text)
        top = read_table(document, OutcomesTable, [], faults)
        for id_, raw in top.get("outcomes", {}).items():
            good = read_table(raw, OutcomeTable, ["outcomes", id_], faults)
            before = found.get(id_, Outcome(id_, ""))
            made = Outcome(id_, good.get("words", before.words), good.get("code", before.code))
            if not made.words:
                faults.add(
                    "missing key",
                    ["outcomes", id_],
                    tr("'words' is missing."),
                    tr("Say what the learner can do."),
                )
            found[id_] = made
        faults.stop()
    return found


_SAME = (("centre", "center"), ("metre", "meter"), ("colour", "color"), ("fibre", "fiber"))


def plain(words: str) -> str:
    """Return a written name as it is compared: small letters, no hyphens, articles or endings of the plural."""
    words = re.sub(r"[^\w\s]|_", " ", words.lower())
    for one, other in _SAME:
        words = words.replace(one, other)
    kept = [word for word in words.split() if word not in ("a", "an", "the")]
    return " ".join(word[:-1] if len(word) > 3 and word.endswith("s") and word[-2] != "s" else word for word in kept)


def accepted(written: str, terms: tuple[str, ...]) -> bool:
    """Return whether a written name is one of the trade's words for a thing."""
    return plain(written) in {plain(term) for term in terms}
