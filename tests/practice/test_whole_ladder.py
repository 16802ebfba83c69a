"""The whole ladder driven by scripts: at each task a practised hand beats a clumsy one on all that is shown."""

from __future__ import annotations

import pytest
from practice_hands import drive
from practice_scripts import CLUMSY, PRACTISED

from trainer.practice import file
from trainer.practice.advising import advice
from trainer.practice.attempt import State
from trainer.practice.catalogue import MEASURES
from trainer.practice.score import Band, Score
from trainer.practice.task import Task
from trainer.units import System

TASKS = [task for task in file.ladder() if task.runs]
CODES = [task.code for task in TASKS]


def test_every_task_has_both_hands() -> None:
    assert {*CODES} == PRACTISED.keys() == CLUMSY.keys()


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
