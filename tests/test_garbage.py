"""Garbage is not looked for during a start, and found again afterwards."""

from __future__ import annotations

import gc
import linecache
import weakref
from collections.abc import Iterator

import pytest

from trainer import garbage


class Ring:
    """What only a look for garbage takes away."""

    def __init__(self) -> None:
        self.self = self


@pytest.fixture(autouse=True)
def as_before(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    """Look for garbage indeed, which tests of the window leave out, and leave Python looking for it as it did."""
    monkeypatch.setattr(garbage, "gc", gc)
    looks, before = gc.isenabled(), gc.get_threshold()
    yield
    gc.unfreeze()
    gc.set_threshold(*before)
    (gc.enable if looks else gc.disable)()


@pytest.mark.parametrize("looks", [False, True])
def test_it_is_not_looked_for_meanwhile_and_as_before_then(looks: bool) -> None:
    (gc.enable if looks else gc.disable)()
    with pytest.raises(ZeroDivisionError), garbage.unsought():
        gc.collect(1 // 0)
    with garbage.unsought():
        assert not gc.isenabled()
    assert gc.isenabled() == looks


def test_what_a_start_made_is_not_looked_through_until_it_is_asked_for() -> None:
    gc.disable()
    with garbage.unsought():
        early = weakref.ref(Ring())
    late = weakref.ref(Ring())
    garbage.tidy()
    assert early() is not None
    assert late() is None
    garbage.seek_everywhere()
    garbage.tidy()
    assert early() is None


def test_sources_that_were_read_are_let_go() -> None:
    assert linecache.getline(__file__, 1)
    assert __file__ in linecache.cache
    garbage.tidy()
    assert __file__ not in linecache.cache


def test_a_large_picture_is_made_without_looking_and_yet_it_is_looked_some_day() -> None:
    gc.enable()
    garbage.tidy()
    looked: list[str] = []
    gc.callbacks.append(lambda phase, _: looked.append(phase))
    try:
        picture = [[k] for k in range(3_000)]
        assert not looked
        gone = weakref.ref(Ring())
        rings = [Ring() for _ in range(20_000)]
        assert looked
        assert gone() is None
    finally:
        gc.callbacks.pop()
    assert len(picture) + len(rings) == 23_000
