"""The whole ladder driven by scripts: at each task a practised hand beats a clumsy one on all that is shown."""

from __future__ import annotations

import math
from collections.abc import Mapping

import pytest
from cases import rungs
from practice_hands import Hand, drive
from practice_scripts import CLUMSY, PRACTISED

from trainer.practice.advising import advice
from trainer.practice.attempt import State
from trainer.practice.catalogue import MEASURES
from trainer.practice.score import Band, Score
from trainer.practice.task import Lap, Task
from trainer.units import System

TASKS = [task for task in rungs() if task.runs]
CODES = [task.code for task in TASKS]


def test_every_task_has_both_hands() -> None:
    assert {*CODES} == PRACTISED.keys() == CLUMSY.keys()


def test_what_is_hooked_on_hangs_in_closed_tongs_and_who_lifts_it_has_set_the_legs() -> None:
    lifts = {f"E{number}" for number in (4, 5, 6, 7, 9, 10, 11, 12, 13, 14, 15, 16)}
    loaded = set()
    for task in TASKS:
        assert task.rig is not None
        for lap in task.laps:
            if "3W1.load" in lap.run.numbers:
                loaded.add(task.code)
                # the tongs are a little short of where they meet it, so that they do meet it
                assert 0.58 * 0.3 < lap.run.start["3W1.tongs"] < 0.6 * 0.3 - 2e-3
                legs = [lap.run.start.get(f"1W1.x{leg}", 0.0) for leg in (1, 2)]
                assert legs == pytest.approx([0.5 if task.code in lifts else 0.0] * 2)
    assert loaded == lifts | {"E2", "E3"}


@pytest.mark.parametrize(
    ("code", "there"),
    [
        ("E11", {"z": 1.05, "s": 0.0}),
        ("E12", {"z": 1.05, "x": 0.45, "s": 0.0}),
        ("E18", {"l": 3.2, "m": 0.0, "z": 0.0}),
    ],
)
def test_nothing_is_done_while_the_column_can_be_seen_to_turn(code: str, there: dict[str, float]) -> None:
    (task,) = [task for task in TASKS if task.code == code]
    assert task.done is not None
    rest = {**there, **task.laps[0].roles.numbers()}
    assert task.done.holds({**rest, "n": math.radians(0.3)})
    assert not task.done.holds({**rest, "n": math.radians(1.0)})


@pytest.mark.soak
def test_a_stop_with_a_bang_is_not_practised_in_all_that_is_shown() -> None:
    """All of the lever, let go just before the mark: on it at once, but the load bounces."""
    (task,) = [task for task in TASKS if task.code == "E4"]

    def banged(lap: Lap) -> Hand:
        target, lever = lap.roles.numbers()["target"], 1.0

        def move(_: float, values: Mapping[str, float]) -> dict[str, float]:
            nonlocal lever
            lever = 0.0 if values["x"] > target - 0.012 else lever
            return {"3V1.lever": lever}

        return move

    attempt = drive(task, banged)
    assert attempt.state is State.DONE
    assert [shown.band for shown in Score.of(attempt).shown] == [Band.PRACTISED, Band.BEYOND, Band.PRACTISED]


@pytest.mark.soak
@pytest.mark.parametrize("task", TASKS, ids=CODES)
def test_a_practised_hand_beats_a_clumsy_one_on_all_that_is_shown(task: Task) -> None:
    good, bad = (drive(task, hands[task.code]) for hands in (PRACTISED, CLUMSY))
    assert (good.state, bad.state) == (State.DONE, State.DONE), bad.sentence
    one, other = Score.of(good), Score.of(bad)
    for id_ in task.shown:
        better = MEASURES[id_].better(one.values[id_], other.values[id_])
        assert better, f"{id_}: {one.values[id_]:g}, clumsy {other.values[id_]:g}"
    assert [shown.band for shown in one.shown] == [Band.PRACTISED] * 3
    assert other.shown[0].band is not Band.PRACTISED
    assert "{" not in one.headline(System.METRIC) + one.headline(System.US)
    next_ = advice(bad, other, good.traces, one.values)
    for system in System:
        words, own = next_.told(system)
        assert words.endswith(".")
        assert "{" not in words + own
