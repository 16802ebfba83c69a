"""Rows that are kept for hours come back bit for bit, whatever is done to them in between, in half the room."""

from __future__ import annotations

import itertools
from bisect import bisect_left, bisect_right
from collections.abc import Callable

import numpy as np
import pytest

from trainer import rows
from trainer.bench.hands import operator_like
from trainer.energy.books import FlowBook
from trainer.energy.ledger_history import LedgerHistory
from trainer.engine.session import FRAME, Session
from trainer.rig.rig import Rig
from trainer.rows import Rising, Rows
from trainer.window.strip.record import StripRecord

KINDS = [np.float32, np.float64]


def walk(count: int, columns: int, kind: type[np.floating], seed: int = 1) -> np.ndarray:
    """Return rows that change little from one to the next, with what is no number or has no end among them."""
    random = np.random.default_rng(seed)
    found = np.cumsum(random.normal(size=(count, columns)), axis=0).astype(kind)
    found[random.random(found.shape) < 0.01] = np.nan
    found[random.random(found.shape) < 0.01] = -np.inf
    found[random.random(found.shape) < 0.01] = -0.0
    return found


def filled(given: np.ndarray, block: int = 8, newest: int = 2) -> Rows:
    """Return these, kept."""
    made = Rows(given.shape[1], given.dtype.type, block, newest)
    for row in given:
        made.push(row)
    return made


def bits(found: np.ndarray) -> bytes:
    """Return what tells one row from another, zeros of either sign too."""
    return np.ascontiguousarray(found).tobytes()


@pytest.mark.parametrize("kind", KINDS)
def test_every_number_comes_back_bit_for_bit(kind: type[np.floating]) -> None:
    wanted = walk(203, 5, kind)
    kept = filled(wanted)
    for column in range(5):
        for first, last in ((0, 203), (3, 9), (7, 8), (100, 203), (200, 203), (50, 50)):
            assert bits(kept.part(first, last, column)) == bits(wanted[first:last, column])
    assert all(bits(kept.row(k)) == bits(wanted[k]) for k in (202, 0, 100, 17, 1))
    numbers = np.array([150, 3, 3, 202, 77])
    assert bits(kept.some(numbers)) == bits(wanted[numbers])
    assert bits(kept.tail(3)) == bits(wanted[-3:])


@pytest.mark.parametrize("kind", KINDS)
def test_what_is_cut_and_written_anew_is_what_was_written_last(kind: type[np.floating]) -> None:
    """Into old rows and young ones, at the edge of a block and in its middle, with a copy that keeps the old."""
    random = np.random.default_rng(2)
    wanted = walk(203, 4, kind)
    kept = filled(wanted)
    for seed, count in enumerate((180, 80, 79, 24, 3, 0)):
        before, copied = wanted, kept.copy()
        kept.part(0, kept.count, 0)  # all blocks have been read
        more = walk(int(random.integers(1, 60)), 4, kind, seed)
        wanted = np.concatenate((wanted[:count], more))
        kept.cut(count)
        for row in more:
            kept.push(row)
        for right, found in ((wanted, kept), (before, copied)):
            assert found.count == len(right)
            assert bits(found.some(np.arange(len(right)))) == bits(right)


def test_a_copy_and_what_it_was_made_of_go_on_apart() -> None:
    wanted = walk(45, 3, np.float32)
    one = filled(wanted)
    other = one.copy()
    apart = walk(30, 3, np.float32, 5), walk(30, 3, np.float32, 6)
    for kept, more in zip((one, other), apart, strict=True):
        kept.cut(42)
        for row in more:
            kept.push(row)
    for kept, more in zip((one, other), apart, strict=True):
        assert bits(kept.some(np.arange(72))) == bits(np.concatenate((wanted[:42], more)))


def test_chosen_columns_are_those_and_an_absent_one_is_no_number() -> None:
    wanted = walk(100, 3, np.float32)
    kept = filled(wanted)
    kept.forget(30)
    found = kept.chosen([2, -1, 0])
    for row in wanted[:20]:
        found.push(row)
    again = np.concatenate((wanted[:, [2, 1, 0]], wanted[:20]))
    again[:100, 1] = np.nan
    numbers = np.arange(32, 120)
    assert np.array_equal(found.some(numbers), again[numbers], equal_nan=True)


def test_old_rows_take_half_the_room() -> None:
    """Of what a machine does: slow swings with noise a hundred thousand times smaller. And little is held open."""
    random, times = np.random.default_rng(3), np.arange(40_000) / 60
    swings = np.sin(np.outer(times, random.uniform(0.5, 3.0, 20))) * 1e7
    wanted = (swings + random.normal(scale=100.0, size=swings.shape)).astype(np.float32)
    kept = filled(wanted, 256, 4)
    assert kept.size < 0.65 * wanted.nbytes
    kept.part(0, kept.count, 0)
    assert sum(opened.nbytes for _, opened in kept._opened.values()) <= 16 * 256 * 20 * 4


@pytest.mark.parametrize("before", [False, True])
def test_where_a_number_stands_among_those_that_rise(before: bool) -> None:
    """As Python's bisect has it of the whole: some are alike; blocks old and young, cut, copied."""
    random = np.random.default_rng(4)
    wanted = np.cumsum(random.integers(0, 3, 200)).astype(float).tolist()
    kept = Rising(8, 2)
    for number in wanted:
        kept.push(number)
    for count in (200, 200, 121, 120, 7, 0):
        kept.copy().push(1e9)
        kept.cut(count)
        del wanted[count:]
        assert [*kept] == wanted
        for number in np.arange(-1.0, 300.0, 0.5):
            assert kept.until(number, before) == (bisect_left if before else bisect_right)(wanted, number), number


def test_of_numbers_that_were_forgotten_all_are_below() -> None:
    kept = Rising(8, 2)
    for number in range(100):
        kept.push(number)
    kept.rows.forget(50)
    assert [kept.until(number) for number in (-5, 3, 47, 48, 60, 200)] == [0, 8, 48, 49, 61, 100]
    assert (kept[-1], len(kept)) == (99.0, 100)


def noted(name: str, work: Callable[..., object], done: list[str]) -> Callable[..., object]:
    """Return a function that does the work and notes that it was called."""

    def does(*given: object) -> object:
        done.append(name)
        return work(*given)

    return does


def test_nothing_is_pressed_or_opened_while_the_newest_are_looked_at(monkeypatch: pytest.MonkeyPatch) -> None:
    """What is shown live stands as it is; each block is pressed once."""
    done: list[str] = []
    for name in ("_pressed", "_opened"):
        monkeypatch.setattr(rows, name, noted(name, getattr(rows, name), done))
    kept = Rows(3, np.float32, 8, 4)
    for k, row in enumerate(walk(803, 3, np.float32)):
        kept.push(row)
        kept.part(max(0, k - 23), k + 1, 1)
    assert done == ["_pressed"] * (101 - 4)


@pytest.mark.soak
def test_an_hour_under_hands_that_never_rest_takes_little_room(loader: Rig) -> None:
    """All that is kept of a minute to be gone back to, counted in bytes as it is once it is old.

    Strip, ledgers, snapshots and record; the rest is numbers of 8 bytes: when rows of the ledgers were.
    """
    session = Session(loader)
    strip, sums = StripRecord(loader, session.readings), LedgerHistory(session, FlowBook(session.network))
    for controls in itertools.islice(operator_like(loader, 2), 3600):
        for name, value in controls.items():
            session.set_control(name, value)
        session.advance(FRAME)
        strip.take(session.readings, session.history.end)
        sums.take()
    size = 8.0 * len(sums._sums.times)
    for kept in (
        strip.series._times.rows,
        *(level for _, level in strip.series._everything()),
        sums._sums._rows,
        session.history._snapshots,
        session.history.times.rows,
        session.history.record._starts.rows,
        session.history.record._rows,
    ):
        whole = kept.count // kept.block * kept.block
        if whole:
            old = filled(kept.some(np.arange(whole)), kept.block, 1)
            old._press(len(old._blocks) - 1)
            size += old.size * kept.count / whole
        else:
            size += kept.count * kept.columns * np.dtype(kept.kind).itemsize
    assert size < 0.85e6
