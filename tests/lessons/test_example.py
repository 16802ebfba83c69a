"""Worked examples: few steps, each from the one before it, the last of them with the answer's own number."""

from __future__ import annotations

import pytest
from bench_lessons import opener, shipped
from cases import first
from test_shipped_lessons import FAMILIES

from trainer.lessons.example import ExampleStep, blanks, example, offered
from trainer.lessons.flow import Task
from trainer.lessons.lesson import Lesson
from trainer.lessons.marking import UnusableAnswer
from trainer.units import System
from trainer.window.lesson.why import rows

LESSONS = {id_: lesson for lesson in shipped().values() for id_ in lesson.exercises}
SOME = [id_ for worked, half, _ in FAMILIES.values() for id_ in (worked, half)]
OFFERED = [id_ for id_, lesson in LESSONS.items() if offered(lesson.exercises[id_])]


def steps(exercise: str, system: System = System.METRIC) -> list[ExampleStep]:
    lesson: Lesson = LESSONS[exercise]
    return example(opener().open(lesson, exercise, 1), system)


def test_each_family_has_an_example_worked_and_half_worked_and_then_none() -> None:
    for worked, half, alone in FAMILIES.values():
        assert {worked, half} <= {*OFFERED}
        assert alone not in OFFERED


def test_the_speed_is_the_area_first_then_the_oil_over_it() -> None:
    """v = Q / A (textbook): A of the piston, then the speed; the lesson's own answer."""
    area, speed = steps("reckon-the-speed")
    given = {one.letter: one for one in speed.given}
    assert area.quantity == "area"
    assert given["A"].value == pytest.approx(area.value)
    assert speed.value == pytest.approx(given["q"].value / area.value, rel=1e-3)
    posed = opener().open(LESSONS["reckon-the-speed"], "reckon-the-speed", 1)
    assert speed.value == pytest.approx(posed.answer, rel=1e-3)


@pytest.mark.soak
def test_a_pressure_behind_drops_is_led_back_to_the_load() -> None:
    """p = Δp + pL ends nowhere by itself: pL is what the load asks, p = F / A with the back pressure (textbook)."""
    load, gauge = steps("before-the-sequence-valve")[-2:]
    asked = next(one for one in gauge.given if one.letter == "pL")
    assert load.value == pytest.approx(asked.value)
    given = {one.letter: one.value for one in load.given}
    push = given["F"] + given["Fr"] + given["pB"] * given["a"]
    assert load.value == pytest.approx(push / given["A"], rel=2e-3)


@pytest.mark.soak
@pytest.mark.parametrize("exercise", ["cap-end-while-lowering", "carried-ends"])
def test_no_step_needs_what_it_leads_to(exercise: str) -> None:
    """Either pressure of a cylinder follows from the other one: only one of the two is a step."""
    found = steps(exercise)
    for k, one in enumerate(found):
        for later in found[k:]:
            needed = [given for given in one.given if given.quantity == later.quantity]
            assert all(given.value != pytest.approx(later.value, rel=5e-3) for given in needed)


def test_a_result_is_taken_rounded_in_its_unit_or_in_another() -> None:
    area = steps("reckon-the-speed")[0]
    unit = area.unit
    assert area.met(f"{unit.number(area.value):.3g}", System.METRIC)
    assert area.met(f"{area.value * 1e6:.4g} mm2", System.METRIC)
    assert not area.met(f"{1.05 * unit.number(area.value):.3g}", System.METRIC)
    with pytest.raises(UnusableAnswer):
        area.met("many", System.METRIC)


def test_the_later_half_is_left_to_the_learner() -> None:
    assert [blanks(count) for count in (1, 2, 3, 4)] == [(0,), (1,), (1, 2), (2, 3)]


@pytest.mark.parametrize("exercise", first(0, SOME))
def test_an_example_of_each_family_has_steps_that_lead_to_its_answer(exercise: str) -> None:
    """In both unit systems; where the answer is a number that a working gives, the last step has it."""
    for system in System:
        found = steps(exercise, system)
        assert 1 <= len(found) <= 4
        assert all(one.formula and one.filled and one.result and one.given for one in found)
        for one in found:
            assert one.met(f"{one.unit.number(one.value):.4g}", system)


@pytest.mark.parametrize(("system", "factor"), [(System.METRIC, True), (System.US, False)])
def test_a_pound_weighs_a_pound(system: System, factor: bool) -> None:
    """The working of a wrong idea has the factor from kilograms to newtons, and none where pounds press."""
    task = Task(opener().open(LESSONS["lever-over"], "lever-over", 3), system)
    task.commit("S4", "S4")
    task.explain()
    said = rows(task, task.posed.instants()[1], system)[0]
    assert ("9.807" in said.filled) is factor
