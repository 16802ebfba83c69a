"""The same seat has the same numbers on every computer; what makes no fair task is drawn again."""

from __future__ import annotations

from bench_lessons import LIFT, opener, the_lesson

from trainer.lessons.lesson import Variation
from trainer.lessons.posing import problems
from trainer.lessons.seats import Seed
from trainer.units import System

MASSES = Variation("1W1.mass", (220.0, 240.0, 260.0, 280.0, 300.0))


def test_numbers_are_those_of_the_seat_wherever_they_are_drawn() -> None:
    """The number is the first 16 digits that ``sha256sum`` prints of the seed, line by line."""
    assert Seed("a-lift", "lift", 1).number("1W1.mass") == 0x540C35AC54A44F8E


def test_a_seats_numbers_come_before_the_tasks_but_not_before_what_another_run_has_otherwise() -> None:
    """Else the seats of a task that sets a number itself would all have that one."""
    run = 'then = { oil.temperature = "30 C" }\nnumbers = { 1W1.mass = "250 kg", 0V1.setting = "45 bar" }'
    text = LIFT.replace('until = "4 s"', f'until = "4 s"\n{run}')
    text = text.replace(
        'relief = "number', 'm = "number 1W1.mass"\nm0 = "number 1W1.mass in light"\nrelief = "number'
    )
    text = text.replace("{p} lifts it.", "{p} lifts {1W1.mass}, not {1W1.mass in light} or {10 kg}.")
    text += '\n[exercises.lift.runs.light]\nnumbers = { 1W1.mass = "100 kg" }\n'
    posed = opener().posed(the_lesson(text).exercises["lift"], Seed("a", "lift", 3), {"1W1.mass": 300.0})
    assert (posed.taken.values["m"], posed.taken.values["m0"]) == (300.0, 100.0)
    assert posed.taken.values["relief"] == 45e5
    assert posed.text("Oil at {oil.temperature}.", System.METRIC) == "Oil at 30.0 °C."
    assert posed.text(posed.exercise.why, System.METRIC).endswith("lifts 300 kg, not 100 kg or 10 kg.")
    assert posed.text(posed.exercise.why, System.US).endswith("lifts 661 lb, not 220 lb or 22.05 lb.")


def test_every_value_comes_about_as_often() -> None:
    drawn = [Seed("a-lift", "lift", seat).numbers([MASSES])["1W1.mass"] for seat in range(1, 1001)]
    for value in MASSES.values:
        assert 150 < drawn.count(value) < 250


def test_the_teachers_first_numbers_are_the_rigs() -> None:
    assert opener().open(the_lesson(), "lift", 0).numbers == {}
    assert opener().open(the_lesson(), "lift", 0, attempt=1).numbers != {}


def test_other_numbers_are_other_tries_without_end() -> None:
    tries = [Seed("a-lift", "lift", 5, attempt).numbers([MASSES])["1W1.mass"] for attempt in range(40)]
    assert set(tries) == set(MASSES.values)


def test_numbers_that_make_no_fair_task_are_drawn_again() -> None:
    """A relief of 26 bar cannot be told from the 25.0 of the lift on a dial of 60 bar."""
    text = LIFT.replace('1W1.mass = ["220 kg", "300 kg"]', '0V1.setting = ["26 bar", "27 bar", "50 bar"]')
    lesson = the_lesson(text)
    for seat in range(1, 6):
        posed = opener().open(lesson, "lift", seat)
        assert problems(posed) == []
        assert posed.numbers == {"0V1.setting": 50e5}


def test_a_seat_shuffles_options_in_its_own_way() -> None:
    orders = {tuple(opener().open(the_lesson(), "lift", seat).option_words(System.METRIC)) for seat in range(1, 8)}
    assert len(orders) > 1
