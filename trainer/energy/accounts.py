"""What the ledgers' accounts are: their ids, which no language changes, and beside each what a person reads."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from trainer.energy.ledger import Entry

__all__ = ["Account", "Term", "named", "other"]

Term = tuple[tuple[str, ...], float]  # the key of a reading, and its sign

_WORDS: Mapping[str, str] = {  # by kind: what stands before the part in an account's id
    "flow": "Flow ledger",
    "flow.to": "{moved}, {port}",
    "flow.past": "Past the spools, to tank",
    "flow.past_one": "Past the {moved} spool, to tank",
    "flow.relief": "Over the relief {part}",
    "flow.through": "Through {part}",
    "flow.leakage": "Leakage, {part}",
    "flow.taken_up": "Taken up by oil and hoses",
    "flow.back": "Back at the tank",
    "flow.kept": "kept by the cylinders",
    "power": "Power ledger",
    "power.past": "Past the spools, heat",
    "power.relief": "Over the relief, heat",
    "power.pump": "Pump losses",
    "power.metering": "Spool metering",
    "power.lines": "Lines, filter, friction",
    "power.ended": "{part} at its end stop",
    "power.given_back": "Motion and pressed oil",
    "power.stored": "Into motion and pressed oil",
    "power.brought": "From outside, by a change",
    "power.taken_off": "What was taken off",
    "power.hooked_on": "Into what was hooked on or changed",
    "power.taken_out": "To outside, by a change",
    "paid": "Paid in",
    "used": "Went into",
    "oil": "Oil",
    "other": "Other",
    "stop": "at its end stop",
    "end": "{part} at its end",
    "ends": "{count} at their ends",
}


def named(kind: str, **words: object) -> str:
    """Return what a kind of account, ledger or note is called, ``words`` put into it."""
    return _WORDS[kind].format(**words)


def other(value: float, parts: Iterable[str]) -> Entry:
    """Return what several small entries are together."""
    return Entry("other", named("other"), value, "friction", tuple(parts))


@dataclass(frozen=True, slots=True)
class Account:
    """What one entry of a ledger is: its id, what it is called, style and parts.

    ``terms`` are the readings whose signed sum is its value. An id is a kind, "power.pump", or a kind and the part
    that it was first found at, "power.into.1W1".
    """

    id: str
    name: str
    style: str
    parts: tuple[str, ...] = ()
    terms: tuple[Term, ...] = ()

    @classmethod
    def of(cls, kind: str, style: str, parts: tuple[str, ...] = ()) -> Account:
        """Return the account that there is one of its kind of."""
        return cls(kind, named(kind), style, parts)

    def entry(self, value: float) -> Entry:
        """Return the entry with a value."""
        return Entry(self.id, self.name, value, self.style, self.parts)
