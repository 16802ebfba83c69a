"""Rows of numbers that are kept for hours: the newest as they are, older ones pressed without loss.

What a machine does changes little from row to row, and the change little, too. Of each number is kept by how much the
step of its bits from the number before differs from the step before that, small ones of either sign as small numbers,
byte by byte of the same place together; the deflate method halves that. What is read again is the same, bit for bit.
"""

from __future__ import annotations

import zlib
from array import array
from bisect import bisect_left, bisect_right
from collections.abc import Iterator, Sequence
from typing import Any

import numpy as np

__all__ = ["Rising", "Rows"]

_LEVEL = 6  # of deflate: 9 takes seven times as long for a hundredth, 1 half as long for three more
_OPENED = 16  # pressed blocks that are held open for who reads them again


class Rows:
    """Rows by their running number, in blocks; copies share full blocks until one of them is cut.

    ``block`` rows are pressed at a time, once ``newest`` blocks follow, the one being filled among these.
    """

    def __init__(self, columns: int, kind: type[np.floating[Any]], block: int = 256, newest: int = 16) -> None:
        self.columns = columns
        self.kind = kind
        self.block, self.newest = block, newest
        self.count = 0
        self._blocks: list[np.ndarray | bytes | None] = []
        self._shared = 0  # blocks before this one belong to a copy, too
        self._opened: dict[int, tuple[bytes, np.ndarray]] = {}  # the one that was asked for last stands last

    @property
    def size(self) -> int:
        """The bytes that the blocks take."""
        there = [block for block in self._blocks if block is not None]
        return sum(len(block) if isinstance(block, bytes) else block.nbytes for block in there)

    def push(self, row: np.ndarray | Sequence[float] | float) -> None:
        """Add one row."""
        number, place = divmod(self.count, self.block)
        if number == len(self._blocks):
            self._blocks.append(np.empty((self.block, self.columns), self.kind))
            self._press(number - self.newest)
        self._own(number)[place] = row
        self.count += 1

    def _press(self, number: int) -> None:
        found = self._blocks[number] if number >= 0 else None
        if isinstance(found, np.ndarray):
            self._blocks[number] = _pressed(found)

    def _own(self, number: int) -> np.ndarray:
        """Return a block to write into."""
        found = self._blocks[number]
        if isinstance(found, np.ndarray) and number >= self._shared:
            return found
        self._blocks[number] = own = np.array(self._read(number), order="C")
        self._shared = min(self._shared, number)
        return own

    def _read(self, number: int) -> np.ndarray:
        """Return a block to read from."""
        found = self._blocks[number]
        assert found is not None
        if isinstance(found, np.ndarray):
            return found
        known = self._opened.pop(number, None)
        if known is None or known[0] is not found:
            known = found, _opened(found, self.columns, self.kind)
            while len(self._opened) >= _OPENED:
                del self._opened[next(iter(self._opened))]
        self._opened[number] = known
        return known[1]

    def cut(self, count: int) -> None:
        """Keep the first ``count`` rows."""
        if count < self.count:
            self.count = count
            del self._blocks[-(-count // self.block) :]
            self._shared = min(self._shared, len(self._blocks))
            self._opened.clear()

    def forget(self, first: int) -> None:
        """Give back the room of whole blocks before a row."""
        for number in range(min(first // self.block, len(self._blocks))):
            self._blocks[number] = None
            self._opened.pop(number, None)

    def forgotten(self, row: int) -> bool:
        """Whether a row's room was given back."""
        return row < self.count and self._blocks[row // self.block] is None

    def part(self, first: int, last: int, column: int) -> np.ndarray:
        """Return rows first <= k < last of a column."""
        pieces = []
        while first < last:
            number, place = divmod(first, self.block)
            end = min(self.block, place + last - first)
            pieces.append(self._read(number)[place:end, column])
            first += end - place
        if len(pieces) == 1:
            return pieces[0]
        return np.concatenate(pieces) if pieces else np.zeros(0, self.kind)

    def tail(self, count: int) -> np.ndarray:
        """Return the newest rows, all columns; they stand in one block."""
        number, place = divmod(self.count - count, self.block)
        return self._read(number)[place : place + count]

    def row(self, k: int) -> np.ndarray:
        """Return one row."""
        row: np.ndarray = self._read(k // self.block)[k % self.block]
        return row

    def some(self, numbers: np.ndarray[Any, np.dtype[np.intp]]) -> np.ndarray:
        """Return rows by their numbers, each row a line."""
        found = np.empty((len(numbers), self.columns), self.kind)
        for number in {*(numbers // self.block).tolist()}:
            where = numbers // self.block == number
            found[where] = self._read(number)[numbers[where] % self.block]
        return found

    def chosen(self, places: Sequence[int]) -> Rows:
        """Return a copy with columns of these places; a place below zero gives nan."""
        made = Rows(len(places), self.kind, self.block, self.newest)
        absent = [place < 0 for place in places]
        for number, block in enumerate(self._blocks):
            if block is None:
                made._blocks.append(None)
                continue
            own = np.array(self._read(number)[:, list(places)], order="C")
            own[:, absent] = np.nan
            made._blocks.append(own)
            made._press(number - self.newest)
        made.count = self.count
        return made

    def copy(self) -> Rows:
        """Return a copy: full blocks shared, the last one its own."""
        made = Rows(self.columns, self.kind, self.block, self.newest)
        made._blocks, made.count = list(self._blocks), self.count
        full = self.count // self.block
        if full < len(made._blocks) and isinstance(last := made._blocks[full], np.ndarray):
            made._blocks[full] = last.copy()
        self._shared = max(self._shared, full)
        made._shared = full
        return made


class Rising:
    """Numbers that never fall, kept as rows of one; where another one stands among them is found in one block."""

    def __init__(self, block: int = 256, newest: int = 16) -> None:
        self.rows = Rows(1, np.float64, block, newest)
        self._firsts = array("d")  # of each block

    def __len__(self) -> int:
        return self.rows.count

    def __getitem__(self, k: int) -> float:
        return float(self.rows.row(range(self.rows.count)[k])[0])

    def __iter__(self) -> Iterator[float]:
        return (self[k] for k in range(len(self)))

    def push(self, number: float) -> None:
        """Add one at the end."""
        if self.rows.count % self.rows.block == 0:
            self._firsts.append(number)
        self.rows.push(number)

    def cut(self, count: int) -> None:
        """Keep the first ``count``."""
        self.rows.cut(count)
        del self._firsts[-(-count // self.rows.block) :]

    def part(self, first: int, last: int) -> np.ndarray:
        """Return those of first <= k < last."""
        return self.rows.part(first, last, 0)

    def until(self, number: float, before: bool = False) -> int:
        """Return how many are at most a number (``before``: less than it), all that were forgotten among them."""
        block = (bisect_left(self._firsts, number) if before else bisect_right(self._firsts, number)) - 1
        first, last = max(block, 0) * self.rows.block, min((block + 1) * self.rows.block, len(self))
        if self.rows.forgotten(first):
            return last
        return first + int(np.searchsorted(self.part(first, last), number, "left" if before else "right"))

    def copy(self) -> Rising:
        """Return a copy, as ``Rows`` are copied."""
        made = Rising()
        made.rows, made._firsts = self.rows.copy(), self._firsts[:]
        return made


def _pressed(rows: np.ndarray) -> bytes:
    bits = np.ascontiguousarray(rows.T).view(f"u{rows.itemsize}")
    none = bits.dtype.type(0)
    turns = np.diff(np.diff(bits, axis=1, prepend=none), axis=1, prepend=none).view(f"i{rows.itemsize}")
    places = ((turns << 1) ^ (turns >> (8 * rows.itemsize - 1))).view(np.uint8).reshape(-1, rows.itemsize).T
    return zlib.compress(places.tobytes(), _LEVEL)


def _opened(content: bytes, columns: int, kind: type[np.floating[Any]]) -> np.ndarray:
    size = np.dtype(kind).itemsize
    places = np.frombuffer(zlib.decompress(content), np.uint8).reshape(size, -1)
    folded = np.ascontiguousarray(places.T).view(f"u{size}").reshape(columns, -1)
    turns = (folded >> 1) ^ -(folded & 1)
    return np.cumsum(np.cumsum(turns, axis=1, dtype=turns.dtype), axis=1, dtype=turns.dtype).view(kind).T
