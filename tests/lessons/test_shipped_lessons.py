"""Every shipped lesson can be taught: its files, its runs, its numbers for every seat; and it opens at once."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from bench_lessons import opener, shipped
from cases import first

from trainer import resources
from trainer.lessons import bank
from trainer.lessons.checking import faults_of
from trainer.lessons.lesson import Choice, Exercise, Lesson, Number, Order, Places
from trainer.lessons.marking import judge
from trainer.lessons.posing import RIGHT, Posed, problems
from trainer.lessons.worked import SHOWN, worked
from trainer.units import System

LESSONS = shipped()
TASKS = [(name, id_) for name, lesson in LESSONS.items() for id_ in lesson.exercises]
SEATS = 20
SOME = [TASKS[k] for k in (1, 8, 12, 16, 20, 40)]  # of several kinds
FAMILIES = {  # what is reckoned -> a task of each depth: worked, half-worked, alone
    "pressure": ("tipping-lift", "reckon-the-gauge", "when-it-opens"),
    "area": ("bigger-piston", "round-and-too-heavy", "choose-the-bore"),
    "speed": ("reckon-the-speed", "narrow-against-wide", "choose-the-pump"),
    "time": ("home-again", "time-for-the-lift", "out-and-home"),
    "power": ("neutral-costs", "power-into-the-load", "price-of-the-relief"),
    "torque": ("work-of-a-radian", "torque-of-the-winch", "choose-the-motor"),
    "heat": ("stall-against-neutral", "a-minute-on-the-relief", "price-of-an-hour"),
    "margin": ("margin-above-the-load", "read-the-margin", "heat-of-the-easy-one"),
    "load held back": ("no-faster-than-pumped", "cap-end-while-lowering", "what-opens-it"),
    "efficiency": ("what-the-lift-makes-of-it", "volumetric-efficiency", "overall-efficiency"),
}
CONVERSIONS = ("bar-and-psi", "litres-and-gallons", "degrees", "newtons-and-pounds", "kilowatts-and-horsepower")


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
        symbol = posed.unit(unit).symbol if question.other else SI[scale.quantity]
        number = posed.unit(unit).number if question.other else float
        made = [size for size in question.sizes if posed.answer <= size <= posed.most] or [posed.answer]
        for size in made:
            assert judge(posed, f"{number(size):.9g} {symbol}", system=unit).right
        for slip in posed.exercise.slips:
            if slip.formula is not None and 0 <= slip.formula.value(posed.taken.values) <= scale.end:
                said = f"{number(slip.formula.value(posed.taken.values)):.9g} {symbol}"
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
    "displacement": "m3/rad", "volume": "m3",
}  # fmt: skip


@pytest.mark.parametrize(("lesson", "exercise"), SOME)
def test_a_task_is_fair_in_two_seats(lesson: str, exercise: str) -> None:
    for seat in (1, 2):
        in_seats(opener().open(LESSONS[lesson], exercise, seat))


@pytest.mark.soak
@pytest.mark.parametrize(("lesson", "exercise"), TASKS)
def test_a_task_is_fair_in_every_seat(lesson: str, exercise: str) -> None:
    for seat in range(SEATS):
        in_seats(opener().open(LESSONS[lesson], exercise, seat))


@pytest.mark.parametrize(("lesson", "exercise"), first(3, [*TASKS[:3], *TASKS[3::4]]))
def test_what_a_task_shows_as_worked_is_there(lesson: str, exercise: str) -> None:
    whole, one = task(lesson, exercise)
    if not one.working:
        return
    posed = opener().open(whole, exercise, 1)
    for system in System:
        steps = worked(posed, system)
        assert steps
        assert all(step.formula and step.filled and step.result for step in steps)


@pytest.mark.parametrize("family", FAMILIES)
def test_what_is_reckoned_is_worked_then_half_worked_then_done_alone(family: str) -> None:
    """How much of a worked answer is shown follows from the depth of its task."""
    tasks = {one.id: one for lesson in LESSONS.values() for one in lesson.exercises.values()}
    found = [tasks[id_] for id_ in FAMILIES[family]]
    assert [one.depth for one in found] == [*SHOWN]
    assert all(one.working for one in found)


def test_every_quantity_that_has_two_units_is_changed_into_the_other() -> None:
    tasks = {one.id: one.question for lesson in LESSONS.values() for one in lesson.exercises.values()}
    asked = [tasks[id_] for id_ in CONVERSIONS]
    assert all(isinstance(question, Number) and question.other for question in asked)


UNITS = re.compile(r"(?<![{\w.])\d+(?:\.\d+)? ?(?:bar|psi|mm|kg|°C|L/min|L|kJ|kW|m)\b(?!\})")


@pytest.mark.parametrize(("lesson", "exercise"), TASKS)
def test_no_text_has_a_unit_that_the_screen_may_not_have(lesson: str, exercise: str) -> None:
    """Numbers with units stand in brackets, {50 mm}: then a reader of inches gets inches. Constants may tell both."""
    one = LESSONS[lesson].exercises[exercise]
    texts = [one.situation, one.question.words, one.caution, *(slip.idea for slip in one.slips)]
    assert [text for text in texts if UNITS.search(text)] == []


def test_most_tasks_have_other_numbers_for_other_seats() -> None:
    """What has none asks for names, paths, words or a setting, or is tuned so that two ways cost about the same."""
    same = [one.id for lesson in LESSONS.values() for one in lesson.exercises.values() if not one.vary]
    assert len(same) <= 22, same


def test_there_are_ninety_tasks_at_three_depths_in_lessons_of_a_sitting() -> None:
    tasks = [one for lesson in LESSONS.values() for one in lesson.exercises.values()]
    assert len(LESSONS) >= 13
    assert max(lesson.minutes for lesson in LESSONS.values()) <= 50
    assert len(tasks) >= 90
    assert {one.depth for one in tasks} == {1, 2, 3}


def test_every_outcome_has_tasks() -> None:
    tasks = [one for lesson in LESSONS.values() for one in lesson.exercises.values()]
    assert {outcome for one in tasks for outcome in one.outcomes} == {f"O{k}" for k in range(1, 20)}


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
    assert [*LESSONS] == sorted(LESSONS)
    assert all(Path(path).is_file() for path in resources.lessons().values())


def test_right_is_never_typed() -> None:
    """An answer is a formula of readings: no file has a number for one."""
    for lesson in LESSONS.values():
        for one in lesson.exercises.values():
            question = one.question
            if isinstance(question, (Choice, Number)) and question.answer is not None:
                assert question.answer.letters, f"{lesson.id}, {one.id}"
            assert RIGHT not in {slip.id for slip in one.slips}
