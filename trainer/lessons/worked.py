"""Worked answers, made from the working of the run: each step with its formula, its numbers and its result."""

from __future__ import annotations

from dataclasses import dataclass

from trainer.engine.readings import Readings
from trainer.formula import Working
from trainer.language import tr
from trainer.lessons.posing import Posed
from trainer.units import System
from trainer.working import Subject, about

__all__ = ["SHOWN", "WorkedStep", "worked", "workings"]

SHOWN = {1: "worked", 2: "half-worked", 3: "alone"}  # how much is shown of an example, by the depth of a task
_MOST = 8  # steps


@dataclass(frozen=True, slots=True)
class WorkedStep:
    """One step: what is worked out, the formula, the formula with its numbers, the result."""

    name: str
    formula: str
    filled: str
    result: str
    working: Working


def workings(posed: Posed, now: Readings) -> list[Working]:
    """Return the workings of what a task opens, at an instant of its run, each once."""
    found: dict[tuple[str, str], Working] = {}
    for kind, name in posed.exercise.working:
        for one in about(posed.rig, now, Subject(kind, name)):
            found.setdefault((one.part, one.name), one)
    return [*found.values()]


def worked(posed: Posed, system: System, now: Readings | None = None) -> list[WorkedStep]:
    """Return the steps of a task's answer. They tell it: not before an answer.

    ``now`` is the end of its run, where that is there already.
    """
    found = workings(posed, now or posed.instants()[1])
    return [WorkedStep(tr(one.name), *one.lines(system), one) for one in found[:_MOST]]
