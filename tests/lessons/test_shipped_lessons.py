"""Every shipped lesson can be taught: its files, its runs, its numbers for every seat; and it opens at once."""

from __future__ import annotations

from pathlib import Path

import pytest
from bench_lessons import opener, shipped
from cases import first

from trainer.lessons import bank, file
from trainer.lessons.checking import faults_of
from trainer.lessons.lesson import Choice, Exercise, Lesson, Number, Order, Places
from trainer.lessons.marking import judge
from trainer.lessons.posing import RIGHT, Posed, problems
from trainer.lessons.worked import worked
from trainer.units import System

LESSONS = {name: file.load(path) for name, path in shipped().items()}
TASKS = [(name, id_) for name, lesson in LESSONS.items() for id_ in lesson.exercises]
SEATS = 20


def task(lesson: str, exercise: str) -> tuple[Lesson, Exercise]:
    return LESSONS[lesson], LESSONS[lesson].exercises[exercise]


@pytest.mark.parametrize("lesson", first(1, LESSONS))
def test_a_shipped_lesson_is_in_order(lesson: str) -> None:
    assert [str(fault) for fault in faults_of(LESSONS[lesson], opener())] == []


def in_seats(posed: Posed) -> None:
    """Hold one task of one seat against what all must have."""
    assert problems(posed) == []
    question = posed.exercise.question
    for system in System:
        assert "{" not in posed.situation(system) + posed.question(system)
    if isinstance(question, Choice):
        words = [*posed.option_words(System.METRIC).values()]
        assert len(set(words)) == len(words) >= 2
        right = [id_ for id_ in posed.answers if judge(posed, id_).right]
        assert right == [*posed.right]
        for id_ in posed.answers:
            assert judge(posed, id_).text
    elif isinstance(question, Number):
        scale = question.scale
        unit = System.METRIC
        assert judge(posed, f"{posed.answer:.9g} {SI[scale.quantity]}", system=unit).right
        for slip in posed.exercise.slips:
            if slip.formula is not None and 0 <= slip.formula.value(posed.taken.values) <= scale.end:
                said = f"{slip.formula.value(posed.taken.values):.9g} {SI[scale.quantity]}"
                found = judge(posed, said)
                assert (found.right, found.slip) == (False, slip.id)
    elif isinstance(question, Order):
        assert judge(posed, posed.right).right
        assert not judge(posed, posed.right[::-1]).right
    elif isinstance(question, Places):
        for name in question.places:
            assert judge(posed, name).right == (name in posed.right)


SI = {
    "pressure": "Pa", "flow": "m3/s", "speed": "m/s", "torque": "N m", "shaft speed": "rad/s", "time": "s",
    "power": "W", "temperature": "C", "ratio": "1", "force": "N", "length": "m", "energy": "J",
}  # fmt: skip


@pytest.mark.parametrize(("lesson", "exercise"), first(12, TASKS))
@pytest.mark.parametrize("seat", first(2, range(SEATS)))
def test_a_task_is_fair_in_every_seat(lesson: str, exercise: str, seat: int) -> None:
    whole, _ = task(lesson, exercise)
    in_seats(opener().open(whole, exercise, seat))


@pytest.mark.parametrize(("lesson", "exercise"), first(3, TASKS))
def test_what_a_task_shows_as_worked_is_there(lesson: str, exercise: str) -> None:
    whole, one = task(lesson, exercise)
    if not one.working:
        return
    posed = opener().open(whole, exercise, 1)
    steps = worked(posed, "worked", System.METRIC)
    assert steps
    assert all(step.whole for step in steps)
    half, alone = (worked(posed, how, System.US) for how in ("half-worked", "alone"))
    assert not all(step.whole for step in half)
    assert not any(step.formula for step in alone)
    assert all(step.solved(System.METRIC).whole for step in alone)


def test_every_belief_of_the_list_has_its_wrong_idea() -> None:
    """Misconceptions are numbered from 1 to 28."""
    shown = {belief for slip in bank.shipped().slips.values() for belief in slip.beliefs}
    assert shown <= set(range(1, 29))


def test_opening_again_runs_nothing() -> None:
    name, exercise = TASKS[0]
    opened = opener()
    opened.open(LESSONS[name], exercise, 3)
    before = opened.courses.made
    opened.open(LESSONS[name], exercise, 3)
    assert opened.courses.made == before


def test_lessons_stand_in_their_order() -> None:
    assert [*shipped()] == sorted(shipped())
    assert all(Path(path).is_file() for path in shipped().values())


def test_right_is_never_typed() -> None:
    """An answer is a formula of readings: no file has a number for one."""
    for lesson in LESSONS.values():
        for one in lesson.exercises.values():
            question = one.question
            if isinstance(question, (Choice, Number)) and question.answer is not None:
                assert question.answer.letters, f"{lesson.id}, {one.id}"
            assert RIGHT not in {slip.id for slip in one.slips}
