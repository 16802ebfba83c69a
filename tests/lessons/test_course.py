"""What is taken of a run's course: when something moves off, and how far a shaft turns whose angle no part keeps."""

from __future__ import annotations

import math

import pytest
from bench_lessons import LIFT, the_lesson
from cases import courses, shipped

from trainer.engine.session import Session
from trainer.lessons.lesson import Run
from trainer.lessons.readings import NoReading, Reading, known
from trainer.lessons.running import Course, taken

TIMES = [0.1 * k for k in range(21)]


@pytest.mark.parametrize("begin", [0.0, 3.0])
def test_a_motor_moves_off_by_its_turns(begin: float) -> None:
    """It stands for a second, then 8 t rad/s: 4 t² reaches 0.2 rad between 0.2 s (0.16) and 0.3 s (0.36)."""
    reading = Reading.of("moves shaft1")
    turned = [begin + 4.0 * max(0.0, time - 1.0) ** 2 for time in TIMES]
    found = taken(reading, Course(TIMES, {"place shaft1": turned}), Run(), "angle")
    assert found == pytest.approx(1.3)  # the first instant beyond it
    assert math.isinf(taken(reading, Course(TIMES, {"place shaft1": [begin] * len(TIMES)}), Run(), "angle"))


def test_how_far_a_shaft_has_turned_is_its_speed_over_time() -> None:
    """No part of the bench keeps the angle of its motor: at a steady speed it grows by speed times time."""
    lesson = the_lesson(
        LIFT.replace("one-spool-bench", "motor-and-brake")
        .partition("[exercises.lift.vary]")[0]
        .replace('"pressure P1 before"', '"place shaft1 at 3 s"\nturned = "place shaft1"\nn = "speed shaft1"')
        .replace('relief = "number 0V1.setting"', 'first = "place shaft1 before"')
        .replace("{1W1.mass}", "50 kg").replace('S1 = "relief"', "")
    )  # fmt: skip
    task = lesson.exercises["lift"]
    found = courses().take(task, {})
    values = found.values
    assert {found.quantities[letter] for letter in ("before", "turned", "first")} == {"angle"}
    assert values["first"] == 0.0
    assert values["n"] > 5.0
    assert values["turned"] - values["before"] == pytest.approx(values["n"] * 1.0, rel=1e-3)


def test_an_angle_that_nobody_keeps_is_no_reading_of_an_instant() -> None:
    """Lever practice reads instants: there it is refused, with what to read instead."""
    there = known(Session(shipped("motor-and-brake")).readings)
    with pytest.raises(
        NoReading, match=r'no part keeps the angle of shaft1\. Read how fast it turns: "speed shaft1"\.'
    ):
        there.probe("place shaft1")
    for line in ("shaft1", "drive"):
        assert there.summed(f"place {line}") == f"speed {line}"
    assert there.probe("speed shaft1")[0] == "shaft speed"
