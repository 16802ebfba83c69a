"""What was made once and is kept for a while, in bounded room."""

from __future__ import annotations

from collections.abc import Callable
from typing import Generic, TypeVar

__all__ = ["Kept"]

_Key = TypeVar("_Key")
_Value = TypeVar("_Value")


class Kept(Generic[_Key, _Value]):
    """Things by their keys, of ``most`` size in all; those that nobody asked for the longest go first.

    They are in two halves: a newer one that is full becomes the older one, which is let go. What is found in the
    older one moves on to the newer one. ``size`` tells the size of a thing; without it each counts one.
    """

    def __init__(self, most: int, size: Callable[[_Value], int] | None = None) -> None:
        self.most = most
        self.newer: dict[_Key, _Value] = {}
        self._older: dict[_Key, _Value] = {}
        self._size = size
        self._filled = 0  # size of the newer half

    def find(self, key: _Key) -> _Value | None:
        """Return what is kept under a key."""
        found = self.newer.get(key)
        if found is None:
            found = self._older.pop(key, None)
            if found is not None:
                self.keep(key, found)
        return found

    def keep(self, key: _Key, value: _Value) -> None:
        """Keep a thing under a key."""
        size = self._size(value) if self._size is not None else 1
        if self._filled + size > self.most // 2:
            self._older, self.newer, self._filled = self.newer, {}, 0
        self.newer[key] = value
        self._filled += size

    @property
    def values(self) -> list[_Value]:
        """All that is kept."""
        return [*self._older.values(), *self.newer.values()]
