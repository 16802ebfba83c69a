"""What is wrong with a lesson that only its runs can tell: readings that are not there, options too close, ties.

Each task is tried with the rig's own numbers and at the corners of what varies.
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from trainer.errors import Fault, RigError, SpoolroomError
from trainer.language import tr
from trainer.lessons import file
from trainer.lessons.filling import given
from trainer.lessons.lesson import Exercise, Lesson
from trainer.lessons.posing import Opener, problems
from trainer.lessons.run_file import declared
from trainer.lessons.seats import Seed
from trainer.rig.text import read_text
from trainer.units import System

__all__ = ["check", "fair_share", "faults_of"]


def check(path: Path, opener: Opener) -> Lesson:
    """Return a lesson that can be taught. Raises RigError with every fault of its file and of its runs."""
    lesson, faults = file.read(read_text(path), path, opener.bank)
    found = [*faults.found, *faults_of(lesson, opener)]
    if found:
        raise RigError(sorted(found, key=lambda fault: (fault.line == 0, fault.line)), str(path))
    return lesson


def faults_of(lesson: Lesson, opener: Opener) -> Iterator[Fault]:
    """Yield what is wrong with the runs of a lesson's tasks."""
    for exercise in lesson.exercises.values():
        told: set[tuple[str, str]] = set()
        tries = [*_tries(exercise)]
        refused = 0
        for k, numbers in enumerate(tries):
            before = len(told)
            for kind, problem, remedy in _of(exercise, numbers, lesson, opener):
                told.add((kind, problem))
                if k == 0:  # with its own numbers a task must be fair; others are drawn again where they are not
                    yield Fault(kind, f"[exercises] {exercise.id}", problem, remedy)
            refused += len(told) > before
        if told and len(tries) > 1 and refused == len(tries) - 1:
            yield Fault(
                "never fair",
                f"[exercises] {exercise.id}, vary",
                tr("none of the numbers it may have makes a fair task: {problem}").format(problem=sorted(told)[0][1]),
                tr("Choose other numbers."),
            )


def fair_share(exercise: Exercise, lesson: Lesson, opener: Opener) -> float:
    """Return the share of the tried numbers of a task that make it a fair one."""
    tries = [*_tries(exercise)]
    return sum(not [*_of(exercise, numbers, lesson, opener)] for numbers in tries) / len(tries)


def _tries(exercise: Exercise) -> Iterator[dict[str, float]]:
    """Yield the numbers with which a task is tried: its own, then the least and the most of each that varies."""
    yield {}
    for one in exercise.vary:
        yield {one.name: min(one.values)}
        yield {one.name: max(one.values)}


def _of(
    exercise: Exercise, numbers: dict[str, float], lesson: Lesson, opener: Opener
) -> Iterator[tuple[str, str, str]]:
    known = declared(exercise.rig)
    with_ = ", ".join(f"{name} = {given(value, known[name], System.METRIC)}" for name, value in numbers.items())
    prefix = tr("with {numbers} ").format(numbers=with_) if numbers else ""
    try:
        posed = opener.posed(exercise, Seed(lesson.id, exercise.id, 0), numbers)
    except SpoolroomError as error:
        yield "no run", f"{prefix}{error}", tr("Choose numbers and places that the rig can stand in.")
        return
    for one in problems(posed):
        yield one.kind, f"{prefix}{one.problem}", one.remedy
    if not numbers:
        reading = exercise.readings.get(exercise.seen)
        if reading is not None and reading.run:
            yield "other run", tr("what is seen is of another run."), tr("Watch a reading of the task's own run.")
