"""What the ledgers' accounts are: their ids, which no language changes, and beside each what a person reads."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from trainer.energy.ledger import Entry
from trainer.language import mark, tr

__all__ = ["Account", "Term", "named", "other"]

Term = tuple[tuple[str, ...], float]  # the key of a reading, and its sign

_WORDS: Mapping[str, str] = {  # by kind: what stands before the part in an account's id
    "flow": mark("Flow ledger"),
    "flow.to": mark("{moved}, {port}"),
    "flow.past": mark("Past the spools, to tank"),
    "flow.past_one": mark("Past the {moved} spool, to tank"),
    "flow.past_valve": mark("Past {moved}, to tank"),
    "flow.past_valves": mark("Past the valves, to tank"),
    "flow.relief": mark("Over the relief {part}"),
    "flow.through": mark("Through {part}"),
    "flow.leakage": mark("Leakage, {part}"),
    "flow.spilt": mark("Lost, {part}"),
    "flow.taken_up": mark("Taken up by oil and hoses"),
    "flow.back": mark("Back at the tank"),
    "flow.kept": mark("kept by the cylinders"),
    "flow.kept_lines": mark("kept in the motors' lines"),
    "power": mark("Power ledger"),
    "power.past": mark("Past the spools, heat"),
    "power.past_valves": mark("Past the valves, heat"),
    "power.relief": mark("Over the relief, heat"),
    "power.pump": mark("Pump losses"),
    "power.metering": mark("Spool metering"),
    "power.throttling": mark("Throttling"),
    "power.metering_and_throttling": mark("Spools and throttles"),
    "power.lines": mark("Lines, filter, friction"),
    "power.ended": mark("{part} at its end stop"),
    "power.given_back": mark("Motion and pressed oil"),
    "power.stored": mark("Into motion and pressed oil"),
    "power.brought": mark("From outside, by a change"),
    "power.taken_off": mark("What was taken off"),
    "power.hooked_on": mark("Into what was hooked on or changed"),
    "power.taken_out": mark("To outside, by a change"),
    "paid": mark("Paid in"),
    "used": mark("Went into"),
    "oil": mark("Oil"),
    "other": mark("Other"),
    "stop": mark("at its end stop"),
    "end": mark("{part} at its end"),
    "ends": mark("{count} at their ends"),
}


def named(kind: str, **words: object) -> str:
    """Return what a kind of account, ledger or note is called, ``words`` put into it."""
    return tr(_WORDS[kind]).format(**words)


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
