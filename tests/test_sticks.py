"""What sticks become: travels and how they are found, patterns, who leads a lever, what must be let go first."""

from __future__ import annotations

import itertools
import os
from pathlib import Path

import pytest
from cases import shipped
from hypothesis import given
from hypothesis import strategies as st

from trainer import resources
from trainer.operating.axes import Calibrating, Travel
from trainer.operating.hands_kept import HandsKept, PadKept, RigHands, keep_hands, kept_hands
from trainer.operating.motions import LeverMotion
from trainer.operating.patterns import SLOTS, Lead, Pattern, first_pattern, slot_words, stick_ways, way_words
from trainer.operating.sticks import Pad, Sticks
from trainer.parts.part import Control
from trainer.rig.rig import Rig

FRAME = 1 / 60


def levers_of(rig: Rig) -> dict[str, Control]:
    return {name: control for name, control in rig.controls().items() if name.endswith(".lever")}


# -- travels -----------------------------------------------------------------------------------------------------


def test_a_travel_by_hand() -> None:
    """Centre 0.1, dead zone 10 %: half of the way up is (0.5 - 0.1)/0.9 of the travel; cubed where the curve is 1."""
    straight = Travel(-0.8, 0.1, 0.9, dead=0.1)
    assert straight.share(0.1) == straight.share(0.17) == straight.share(0.02) == 0.0
    assert straight.share(0.5) == pytest.approx(4 / 9)
    assert straight.share(-0.35) == pytest.approx(-4 / 9)
    assert (straight.share(0.9), straight.share(-0.8), straight.share(1.0)) == (1.0, -1.0, 1.0)
    fine = Travel(-0.8, 0.1, 0.9, dead=0.1, curve=1.0, turned=True)
    assert fine.share(0.5) == pytest.approx(-((4 / 9) ** 3))
    assert fine.share(0.9) == -1.0


@given(
    st.floats(-1.0, -0.2), st.floats(-0.1, 0.1), st.floats(0.2, 1.0), st.floats(0.0, 0.5), st.floats(0.0, 1.0),
    st.booleans(),
)  # fmt: skip
def test_a_travel_is_even_and_has_no_step(
    low: float, centre: float, high: float, dead: float, curve: float, turned: bool
) -> None:
    travel = Travel(low, centre, high, dead, curve, turned)
    assert travel.usable
    raw = [low + (high - low) * k / 400 for k in range(401)]
    shares = [travel.share(value) * (-1 if turned else 1) for value in raw]
    assert shares == sorted(shares)
    assert (shares[0], shares[-1]) == pytest.approx((-1.0, 1.0))
    steepest = (1 + 2 * curve) / (1 - dead) / min(high - centre, centre - low)  # of the two straight parts' slopes
    assert all(b - a <= steepest * (high - low) / 400 + 1e-9 for a, b in itertools.pairwise(shares))


@pytest.mark.parametrize(
    "travel",
    [Travel(0.2, 0.0, 1.0), Travel(-1.0, 0.0, 0.0), Travel(dead=1.0), Travel(curve=2.0), Travel(high=float("nan"))],
)
def test_no_travel_of_a_file_is_used_that_is_none(travel: Travel) -> None:
    assert not travel.usable


def test_calibrating_finds_centre_ends_and_what_trembles() -> None:
    axis, other = ("a", "along"), ("a", "across")
    found = Calibrating({axis: Travel(dead=0.0, curve=0.6, turned=True)})
    found.take({axis: 0.9, other: 0.0})
    found.take({axis: 0.2, other: 0.0})
    assert not found.at_rest()  # it was moved: once more
    for raw in (0.10, 0.14, 0.12):
        found.take({axis: raw, other: 0.0})
    assert found.at_rest()
    for raw in (0.12, 0.92, -0.68):
        found.take({axis: raw, other: 0.0})
    assert found.moved() == {axis: (True, True), other: (False, False)}
    travels = found.found()
    assert set(travels) == {axis}  # what was not moved stays as it was
    travel = travels[axis]
    assert (travel.low, travel.high, travel.curve, travel.turned) == (-0.68, 0.92, 0.6, True)
    assert travel.centre == pytest.approx(0.12)
    assert travel.dead == pytest.approx(0.04)  # 1.5 times 0.02 of 0.8 is less than the least
    assert travel.share(0.14) == 0.0


# -- patterns ----------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", sorted(resources.rigs()))
def test_the_first_pattern_of_every_rig_leads_all_its_levers_by_one_slot_each(name: str) -> None:
    levers = levers_of(shipped(name))
    pattern = first_pattern(levers)
    assert set(pattern.leads) == set(levers)
    slots = [lead.slot for lead in pattern.leads.values()]
    assert len(set(slots)) == len(slots)
    assert set(slots) <= set(SLOTS)


def test_the_first_pattern_of_the_loader_goes_the_way_its_words_say(loader: Rig) -> None:
    levers = levers_of(loader)
    told = stick_ways(first_pattern(levers), levers, {name: name for name in levers}, SLOTS)
    assert told["left across"] == ("2V1.lever", "left", "right")
    assert told["right along"][1:] == ("lift", "lower")  # pulled back it lifts
    assert all(slot_words(slot) and all(way_words(slot)) for slot in (*SLOTS, "left axis 5"))


def test_a_slot_leads_one_lever() -> None:
    pattern = Pattern("own").led("a", Lead("left along")).led("b", Lead("left along", True))
    assert pattern.leads == {"b": Lead("left along", True)}
    assert pattern.led("b", None).leads == {}
    assert pattern.by_slot() == {"left along": ("b", True)}


def test_what_is_kept_comes_back_and_a_bad_file_is_passed_over(tmp_path: Path) -> None:
    file = tmp_path / "own" / "hands.json"
    assert kept_hands(file) == (HandsKept(), "")
    kept = HandsKept(
        {"guid": PadKept("Pad", "left", {"along": Travel(dead=0.2, curve=0.3)})},
        {"Loader": RigHands([Pattern("mine", {"1V1.lever": Lead("left along", True)}), Pattern("other")], 1)},
    )
    assert keep_hands(kept, file) == ""
    assert kept_hands(file) == (kept, "")
    file.write_text('{"pads": {"g": {"hand": "third", "travels": {"x": {"low": 3}}}}, "rigs": {"r": {"chosen": 7}}}')
    mended, trouble = kept_hands(file)
    assert (mended.pads["g"].hand, mended.pads["g"].travels, mended.rigs["r"].chosen, trouble) == ("", {}, 0, "")
    for bad in ("no json", '{"pads": 3}', "\udcff"):
        file.write_bytes(bad.encode("utf-8", "surrogateescape"))
        assert kept_hands(file) == (
            HandsKept(), f"Stick settings in {file} are passed over: they cannot be read."
        )  # fmt: skip
    if os.name == "posix":
        file.unlink()
        os.mkfifo(file)
        assert "are passed over" in kept_hands(file)[1]
        assert keep_hands(kept, tmp_path / "own" / "hands.json" / "below")


# -- who leads a lever -------------------------------------------------------------------------------------------


def pad(number: int = 1, key: str = "guid", both: bool = True, **raw: float) -> Pad:
    return Pad(number, key, "Pad", both, {name.replace("_", " "): value for name, value in raw.items()})


@pytest.fixture
def levers() -> dict[str, LeverMotion]:
    return {"a": LeverMotion(), "b": LeverMotion()}


@pytest.fixture
def sticks() -> Sticks:
    made = Sticks(HandsKept())
    made.pattern = Pattern("", {"a": Lead("left along"), "b": Lead("right along", True)})
    return made


def frame(sticks: Sticks, levers: dict[str, LeverMotion], *pads: Pad) -> None:
    sticks.take(pads)
    sticks.lead(levers)
    for lever in levers.values():
        lever.advance(FRAME)


def test_two_sticks_lead_two_levers_each_its_way(sticks: Sticks, levers: dict[str, LeverMotion]) -> None:
    frame(sticks, levers, pad(left_along=0.0, right_along=0.0))
    frame(sticks, levers, pad(left_along=1.0, right_along=0.54))
    assert levers["a"].value == 1.0
    assert levers["b"].value == pytest.approx(-0.5)  # (0.54 - 0.08)/0.92, turned
    frame(sticks, levers, pad(left_along=0.05, right_along=0.54))  # in the dead zone
    assert levers["a"].value == 0.0
    assert levers["b"].value == pytest.approx(-0.5)


def test_a_stick_off_its_centre_at_the_start_leads_nothing_until_it_was_let_go(
    sticks: Sticks, levers: dict[str, LeverMotion]
) -> None:
    frame(sticks, levers, pad(left_along=0.8, right_along=0.0, left_across=1.0))
    assert sticks.waiting
    assert levers["a"].value == 0.0
    frame(sticks, levers, pad(left_along=0.8, right_along=-0.54, left_across=1.0))
    assert levers["b"].value == pytest.approx(0.5)  # the other one may
    frame(sticks, levers, pad(left_along=0.0, right_along=-0.54, left_across=1.0))
    assert not sticks.waiting  # what leads nothing need not be let go
    frame(sticks, levers, pad(left_along=1.0, right_along=-0.54))
    assert levers["a"].value == 1.0
    sticks.stand_off()
    sticks.let_go(levers)
    for _ in range(20):
        frame(sticks, levers, pad(left_along=1.0, right_along=-0.54))
    assert (levers["a"].value, levers["b"].value, sticks.waiting) == (0.0, 0.0, True)


def test_two_single_sticks_have_a_hand_each_and_change_them(sticks: Sticks, levers: dict[str, LeverMotion]) -> None:
    def one(along: float) -> Pad:
        return pad(1, "guid1", False, along=along)

    def two(along: float) -> Pad:
        return pad(2, "guid2", False, along=along)

    frame(sticks, levers, one(0.0))
    frame(sticks, levers, one(0.0), two(0.0))
    assert [sticks.hand(found) for found in sticks.pads] == ["right", "left"]
    frame(sticks, levers, one(0.0), two(1.0))
    assert (levers["a"].value, levers["b"].value) == (1.0, 0.0)
    frame(sticks, levers, one(0.0), two(0.0))
    sticks.swap()
    frame(sticks, levers, one(0.0), two(0.0))
    frame(sticks, levers, one(1.0), two(0.0))
    assert (levers["a"].value, levers["b"].value) == (1.0, 0.0)
    again = Sticks(sticks.kept)  # at the next start
    again.take([two(0.0), one(0.0)])
    assert {found.key: again.hand(found) for found in again.pads} == {"guid1": "left", "guid2": "right"}


def test_a_lost_controller_lets_its_levers_go_and_others_keep_theirs(
    sticks: Sticks, levers: dict[str, LeverMotion]
) -> None:
    left, right = pad(1, "x", False, along=0.0), pad(2, "y", False, along=0.0)
    sticks.kept.pads["x"] = PadKept(hand="left")
    frame(sticks, levers, left, right)
    frame(sticks, levers, pad(1, "x", False, along=1.0), pad(2, "y", False, along=0.0))
    assert levers["a"].value == 1.0
    come, lost = sticks.take([pad(2, "y", False, along=0.0)])
    assert [found.number for found in lost] == [1]
    assert come == []
    sticks.let_go(levers)
    frame(sticks, levers, pad(2, "y", False, along=0.0))
    assert levers["a"].value == pytest.approx(1.0 - 5 * FRAME)  # its spring has it
    _, lost = sticks.take([])
    assert [found.number for found in lost] == [2]
    sticks.take([pad(3, "z", True, left_twist=0.0)])
    assert sticks.take([]) == ([], [])  # it led nothing


def test_buttons_ramp_as_keys_do_and_never_stick(levers: dict[str, LeverMotion]) -> None:
    sticks = Sticks(HandsKept())
    sticks.pattern = Pattern("", {"a": Lead("shoulders")})
    frame(sticks, levers, pad(shoulders=0.0))
    series = []
    for _ in range(12):
        frame(sticks, levers, pad(shoulders=1.0))
        series.append(levers["a"].value)
    assert [b - a for a, b in itertools.pairwise(series)] == [pytest.approx(2 * FRAME)] * 11
    levers["a"].forget()  # the window went to the back while it was down
    for _ in range(20):
        frame(sticks, levers, pad(shoulders=1.0))
    assert levers["a"].value == 0.0
    frame(sticks, levers, pad(shoulders=0.0))
    frame(sticks, levers, pad(shoulders=-1.0))
    assert levers["a"].value < 0.0
    sticks.take([])
    sticks.let_go(levers)
    for _ in range(20):
        levers["a"].advance(FRAME)
    assert levers["a"].value == 0.0


def test_of_two_controllers_with_the_same_slot_the_farther_one_leads(
    sticks: Sticks, levers: dict[str, LeverMotion]
) -> None:
    frame(sticks, levers, pad(1, left_along=0.0), pad(2, "guid 2", left_along=0.0))
    frame(sticks, levers, pad(1, left_along=-1.0), pad(2, "guid 2", left_along=0.3))
    assert levers["a"].value == -1.0
    assert sticks.moved_most() == ("left along", -1.0)
