"""The ledgers of a session's instant; its book is built once."""

from __future__ import annotations

from weakref import WeakKeyDictionary

from trainer.energy.books import FlowBook
from trainer.energy.ledger import Ledger
from trainer.engine.network import Network
from trainer.engine.session import Session

__all__ = ["book_of", "flow_ledger", "open_by", "power_ledger"]

_BOOKS: WeakKeyDictionary[Network, FlowBook] = WeakKeyDictionary()


def book_of(network: Network) -> FlowBook:
    """Return the book of a network."""
    if network not in _BOOKS:
        _BOOKS[network] = FlowBook(network)
    return _BOOKS[network]


def flow_ledger(session: Session) -> Ledger:
    """Return where every litre goes now."""
    return book_of(session.network).ledger(session.readings)


def power_ledger(session: Session) -> Ledger:
    """Return where every watt goes now."""
    return book_of(session.network).power.ledger(session.readings)


def open_by(ledger: Ledger, least: float = 0.0) -> float:
    """Return by which share of its largest entry or total, ``least`` at least, the entries miss the total."""
    largest = max([abs(ledger.total), least, *(abs(entry.value) for entry in ledger.entries)])
    missing = abs(sum(entry.value for entry in ledger.entries) - ledger.total)
    return missing / largest if missing else 0.0
