"""The ledgers of a session's instant; its book is built once."""

from __future__ import annotations

from weakref import WeakKeyDictionary

from trainer.energy.books import FlowBook
from trainer.energy.ledger import Ledger
from trainer.engine.network import Network
from trainer.engine.session import Session

__all__ = ["book_of", "flow_ledger", "power_ledger"]

_BOOKS: WeakKeyDictionary[Network, FlowBook] = WeakKeyDictionary()


def book_of(session: Session) -> FlowBook:
    """Return the book of a session's network."""
    if session.network not in _BOOKS:
        _BOOKS[session.network] = FlowBook(session.network)
    return _BOOKS[session.network]


def flow_ledger(session: Session) -> Ledger:
    """Return where every litre goes now."""
    return book_of(session).ledger(session.readings)


def power_ledger(session: Session) -> Ledger:
    """Return where every watt goes now."""
    return book_of(session).power.ledger(session.readings)
