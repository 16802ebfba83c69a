"""Worked answers, made from the working of the run: every step shown, half of them, or none.

A step is a working of the numbers that a task opens, at the end of its run: formula, numbers, result.
"""

from __future__ import annotations

from dataclasses import dataclass

from trainer.engine.readings import Readings
from trainer.formula import Working
from trainer.language import tr
from trainer.lessons.posing import Posed
from trainer.units import System
from trainer.working import Subject, about

__all__ = ["SHOWN", "WorkedStep", "worked"]

SHOWN = {1: "worked", 2: "half-worked", 3: "alone"}  # how much of it, by the depth of a lesson
_MOST = 8  # steps


@dataclass(frozen=True, slots=True)
class WorkedStep:
    """One step: what is worked out, the formula, the formula with its numbers, the result. What is "" is left to do.

    ``working`` has all of it.
    """

    name: str
    formula: str
    filled: str
    result: str
    working: Working

    @property
    def whole(self) -> bool:
        """Whether nothing of it is left to do."""
        return bool(self.formula and self.filled and self.result)

    def solved(self, system: System) -> WorkedStep:
        """Return it with all that was left out."""
        return _step(self.working, system, 3)


def worked(posed: Posed, how: str, system: System, now: Readings | None = None) -> list[WorkedStep]:
    """Return the steps of a task's answer: "worked", "half-worked" or "alone". They tell it: not before an answer.

    ``now`` is the end of its run, where that is there already.
    """
    now = now or posed.instants()[1]
    found: dict[tuple[str, str], Working] = {}
    for kind, name in posed.exercise.working:
        for one in about(posed.rig, now, Subject(kind, name)):
            found.setdefault((one.part, one.name), one)
    steps = [*found.values()][:_MOST]
    half = -(-len(steps) // 2)
    made = []
    for k, one in enumerate(steps):
        if how == "worked" or (how == "half-worked" and k < half - 1):
            made.append(_step(one, system, 3))
        elif how == "half-worked":
            made.append(_step(one, system, 2 if k < half else 1))
        else:
            made.append(_step(one, system, 0))
    return made


def _step(one: Working, system: System, lines: int) -> WorkedStep:
    told = [*one.lines(system)[:lines], "", "", ""]
    return WorkedStep(tr(one.name), told[0], told[1], told[2], one)
