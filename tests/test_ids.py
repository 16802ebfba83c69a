"""What is told apart is told apart by ids, which no language changes; words for people stand beside them."""

from __future__ import annotations

import re

import pytest
from ledgers import book_of
from working_scenes import RIGS, rig_of

from trainer.energy.accounts import Account
from trainer.energy.ledger_history import LedgerHistory
from trainer.engine.network import Network
from trainer.engine.session import Session

ID = re.compile(r"[A-Za-z0-9_.]+")


@pytest.fixture(scope="module", params=RIGS)
def network(request: pytest.FixtureRequest) -> Network:
    return Network(rig_of(request.param))


def test_what_a_network_is_read_by_are_ids(network: Network) -> None:
    keys = [*network.heats, *network.supply_names, *network.stored_names, *network.read_index]
    assert [key for key in keys for name in key if not ID.fullmatch(name)] == []


def accounts(network: Network) -> list[Account]:
    """Return all accounts of both ledgers, of an instant and of a stretch of time."""
    ledger_history = LedgerHistory(Session(network.rig), book_of(network))
    return [*book_of(network).accounts, *ledger_history.payers, *ledger_history.accounts]


def test_accounts_have_ids_that_are_not_shown(network: Network) -> None:
    found = accounts(network)
    assert len({account.id for account in found}) == len(found)
    assert [account.id for account in found if not ID.fullmatch(account.id) or account.id == account.name] == []
    assert all(account.name for account in found)


def test_what_is_called_alike_is_one_entry(network: Network) -> None:
    """A reader cannot tell two rows of the same words apart."""
    book = book_of(network)
    for accounts in (book.accounts, book.power.accounts, book.power.payers):
        assert len({(account.name, account.style) for account in accounts}) == len(accounts)
