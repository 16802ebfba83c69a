"""A lesson on the bench for tests, and what opens tasks quickly."""

from __future__ import annotations

import functools
from pathlib import Path

from cases import courses

from trainer import resources
from trainer.lessons import file
from trainer.lessons.lesson import Lesson
from trainer.lessons.posing import Opener

__all__ = ["LIFT", "a_lesson", "opener", "shipped", "the_lesson"]

LIFT = """
format = 1
title = "A lift"
minutes = 3
depth = 1
outcomes = ["O4"]

[exercises.lift]
rig = "one-spool-bench"
situation = "A weight of {1W1.mass} stands on the piston; the lever goes to 60 %."
hands = "time [s], 1V1.lever [%] ramp\\n0, 0\\n0.3, 60"
until = "4 s"
reason = "K1"
seen = "p"
why = "{p} lifts it."
hints = ["Look at the weight.", "p = F / A"]
working = ["line P1", "part 1A1"]
[exercises.lift.question]
kind = "choice"
words = "What does the gauge show?"
answer = "p"
scale = "P1"
[exercises.lift.readings]
p = "pressure P1"
before = "pressure P1 before"
relief = "number 0V1.setting"
[exercises.lift.slips]
S1 = "relief"
S42 = "before"
[exercises.lift.vary]
1W1.mass = ["220 kg", "300 kg"]
"""


def the_lesson(text: str = LIFT) -> Lesson:
    """Return a lesson of a text. Raises RigError."""
    return file.loads(text, Path("a-lift.toml"))


def a_lesson(question: str, rest: str = "", hands: str = "0, 0\\n0.3, 60", slips: str = "") -> Lesson:
    """Return a lesson of one task, "task", with a question, readings "p" and "v", and what else is given."""
    text = f"""
format = 1
title = "A task"
minutes = 3
depth = 1
outcomes = ["O4"]
[exercises.task]
rig = "one-spool-bench"
situation = "The lever goes over."
hands = "time [s], 1V1.lever [%] ramp\\n{hands}"
until = "4 s"
why = "So it is."
{rest}
[exercises.task.question]
{question}
[exercises.task.readings]
p = "pressure P1"
v = "speed rod1"
[exercises.task.slips]
{slips}
"""
    return file.loads(text, Path("a-task.toml"))


@functools.cache
def opener() -> Opener:
    """Return what opens tasks; what it has found is kept for all processes of the tests."""
    return Opener(courses())


@functools.cache
def shipped() -> dict[str, Lesson]:
    """Return the shipped lessons, read once for all tests of a process."""
    return {name: file.load(path) for name, path in resources.lessons().items()}
