"""What is taken of a run's course: when something moves off, a rod by its place and a motor by its turns."""

from __future__ import annotations

import math

import pytest

from trainer.lessons.lesson import Run
from trainer.lessons.readings import Reading
from trainer.lessons.running import Course, taken

TIMES = [0.1 * k for k in range(21)]


def course(place: list[float], speed: list[float]) -> Course:
    return Course(TIMES, {"place shaft1": place, "speed shaft1": speed})


def test_a_motor_moves_off_by_its_turns_where_no_part_keeps_its_place() -> None:
    """It stands for a second, then 8 t rad/s: 4 t² reaches 0.2 rad between 0.2 s (0.16) and 0.3 s (0.36)."""
    speed = [max(0.0, 8.0 * (time - 1.0)) for time in TIMES]
    reading = Reading.of("moves shaft1")
    assert reading.courses == ("place shaft1", "speed shaft1")
    still = [0.0] * len(TIMES)
    assert taken(reading, course(still, speed), Run(), "angle") == pytest.approx(1.3)  # the first instant beyond it
    assert math.isinf(taken(reading, course(still, still), Run(), "angle"))
    turned = [0.3 if time > 0.75 else 0.0 for time in TIMES]
    assert taken(reading, course(turned, speed), Run(), "angle") == pytest.approx(0.8)  # a place that is kept counts
