"""Accounts: rounded entries sum to the rounded total, percentages to 100; each is called what it is of."""

from __future__ import annotations

import math

import pytest
from cases import shipped
from hypothesis import given
from hypothesis import strategies as st

from trainer.energy.books import PowerBook
from trainer.energy.ledger import percentages, rounded
from trainer.engine.network import Network

VALUES = st.lists(st.floats(-1e4, 1e4), min_size=1, max_size=12)
SHARES = st.lists(st.floats(0, 1e4), min_size=1, max_size=12)


@given(VALUES, st.sampled_from([0.001, 0.01, 0.1, 1.0]))
def test_rounded_entries_sum_to_the_rounded_total(values: list[float], step: float) -> None:
    total = math.fsum(values)
    whole, parts = rounded(total, values, step)
    assert sum(parts) == whole
    assert abs(whole * step - total) <= step * 0.5001
    assert all(abs(part * step - value) < step * 1.0001 for part, value in zip(parts, values, strict=True))


def test_largest_remainder_by_hand() -> None:
    # 26.0 L/min = 17.24 + 8.55 + 0.21: floors 172, 85, 2 leave one tenth; the largest remainder is 0.5
    assert rounded(26.0, [17.24, 8.55, 0.21], 0.1) == (260, [172, 86, 2])


@given(SHARES)
def test_percentages_sum_to_a_hundred(values: list[float]) -> None:
    shares = percentages(values)
    assert sum(shares) == (100 if sum(values) > 0 else 0)
    assert len(shares) == len(values)
    assert all(share >= 0 for share in shares)


@pytest.mark.parametrize(
    ("values", "shares"),
    [
        ([1, 1, 1], [34, 33, 33]),
        ([2.32, 1.30, 0.73, 0.23, 0.44], [46, 26, 14, 5, 9]),
        ([], []),
        ([0, 0], [0, 0]),
    ],
)
def test_percentages_by_hand(values: list[float], shares: list[int]) -> None:
    assert percentages(values) == shares


@pytest.mark.parametrize(
    ("rig", "called"),
    [
        ("timber-trailer-loader", "Spool metering"),
        ("pump-inlet", "Throttling"),  # it has no spool
        ("three-throttles", "Spools and throttles"),
    ],
)
def test_metering_is_called_what_it_is_of(rig: str, called: str) -> None:
    accounts = PowerBook(Network(shipped(rig))).accounts
    assert [account.name for account in accounts if account.id == "power.metering"] == [called]
