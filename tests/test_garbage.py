"""Garbage is not looked for during a start, and found again afterwards."""

from __future__ import annotations

import gc
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
    looks = gc.isenabled()
    yield
    gc.unfreeze()
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
