"""Controllers read through the extra's library, by controllers of its own that tests move."""

from __future__ import annotations

import builtins
import sys
from collections.abc import Iterator
from typing import Any

import pytest
from virtual_pads import VirtualPad, plugged_in

from trainer.operating.hands_kept import HandsKept
from trainer.operating.motions import LeverMotion
from trainer.operating.pads import Pads
from trainer.operating.patterns import Lead, Pattern
from trainer.operating.sdl import ExtraMissing
from trainer.operating.sticks import Sticks


@pytest.fixture
def plug_in() -> Iterator[Any]:
    with plugged_in() as plug:
        yield plug


@pytest.fixture
def pads() -> Iterator[Pads]:
    found = Pads()
    yield found
    found.close()


def test_a_controller_of_two_sticks_is_read_by_the_names_of_its_ways(plug_in: Any, pads: Pads) -> None:
    made: VirtualPad = plug_in()
    (pad,) = pads.read()
    assert pad.both
    assert pad.name
    assert set(pad.raw.values()) == {0.0}
    made.put("left along", 1.0)
    made.put("right across", -0.5)
    made.put("trigger", 1.0)
    made.press("left shoulder")
    made.press("up")
    (pad,) = pads.read()
    assert pad.raw["left along"] == 1.0
    assert pad.raw["right across"] == pytest.approx(-0.5, abs=1e-3)
    assert pad.raw["triggers"] == pytest.approx(1.0, abs=1e-3)
    assert (pad.raw["shoulders"], pad.raw["cross along"], pad.raw["left across"]) == (-1.0, 1.0, 0.0)


def test_several_at_once_two_alike_told_apart_plugged_in_and_pulled_out_at_any_time(plug_in: Any, pads: Pads) -> None:
    assert pads.read() == ()
    first, stick = plug_in(), plug_in(both=False)
    second: VirtualPad = plug_in()
    found = pads.read()
    assert [pad.both for pad in found] == [True, False, True]
    assert len({pad.key for pad in found}) == len({pad.number for pad in found}) == 3
    stick.put("along", -1.0)
    stick.put("twist", 0.25)
    stick.hat(8)
    raw = pads.read()[1].raw
    assert (raw["along"], raw["cross across"], raw["buttons"]) == (-1.0, -1.0, 0.0)
    assert raw["twist"] == pytest.approx(0.25, abs=1e-3)
    second.put("left across", 1.0)
    first.pull_out()
    left = pads.read()
    assert [pad.number for pad in left] == [found[1].number, found[2].number]
    assert left[1].raw["left across"] == 1.0
    plug_in()
    assert len(pads.read()) == 3


def test_a_pull_out_in_the_middle_of_a_lift(plug_in: Any, pads: Pads) -> None:
    """From the library to the lever."""
    sticks, lever = Sticks(HandsKept()), LeverMotion()
    sticks.pattern = Pattern("", {"a": Lead("right along", True)})
    made: VirtualPad = plug_in()
    sticks.take(pads.read())
    sticks.lead({"a": lever})
    made.put("right along", -1.0)
    sticks.take(pads.read())
    sticks.lead({"a": lever})
    assert lever.value == 1.0
    made.pull_out()
    _, lost = sticks.take(pads.read())
    assert [pad.number for pad in lost] == [made.number]
    sticks.let_go({"a": lever})
    lever.advance(1.0)
    assert lever.value == 0.0


def test_without_the_extra_it_is_said_how_to_get_it(monkeypatch: pytest.MonkeyPatch) -> None:
    real = builtins.__import__

    def missing(name: str, *rest: Any, **more: Any) -> Any:
        if name == "sdl2":
            raise ImportError(name)
        return real(name, *rest, **more)

    monkeypatch.delitem(sys.modules, "sdl2")
    monkeypatch.setattr(builtins, "__import__", missing)
    with pytest.raises(ExtraMissing, match=r'python -m pip install "spoolroom\[pad\]"') as found:
        Pads()
    assert "\n" not in str(found.value)


def test_a_library_that_does_not_start_is_said_in_one_line(monkeypatch: pytest.MonkeyPatch) -> None:
    import sdl2

    monkeypatch.setattr(sdl2, "SDL_InitSubSystem", lambda kinds: -1)
    with pytest.raises(ExtraMissing, match="Controllers cannot be read here"):
        Pads()
