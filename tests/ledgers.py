"""The ledgers of a session's instant; its book is built once."""

from __future__ import annotations

from weakref import WeakKeyDictionary

from trainer.energy.books import FlowBook
from trainer.energy.ledger import Ledger
from trainer.engine.network import Network
from trainer.engine.session import Session

__all__ = ["book_of", "flow_ledger", "power_ledger"]

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
