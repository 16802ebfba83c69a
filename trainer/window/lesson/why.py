"""Why: what was said and read, what the answer's number is, both workings, and the reading part by part."""

from __future__ import annotations

import contextlib
import re
from dataclasses import dataclass

from trainer.engine.readings import Readings
from trainer.formula import Letter, Sum, Working, spoken
from trainer.language import tr
from trainer.lessons.filling import about
from trainer.lessons.flow import Task
from trainer.lessons.formulas import Formula
from trainer.lessons.lesson import Choice, Number, Slip
from trainer.lessons.marking import Verdict
from trainer.lessons.worked import worked
from trainer.rig.names import capital
from trainer.units import System

__all__ = ["Piece", "Row", "heading", "pieces", "rows", "way"]

_SENTENCE = re.compile(r"(.+?[.!?])(?:\s|$)(.*)", re.S)
_SHORT = 60  # letters that a heading has room for


@dataclass(frozen=True, slots=True)
class Piece:
    """A piece of a reading: what it is, its figure, and how large it is beside the others."""

    name: str
    figure: str
    size: float


@dataclass(frozen=True, slots=True)
class Row:
    """One line of working: what it is of, the formula with numbers, what it comes to; ``right`` as the run has it."""

    name: str
    filled: str
    result: str
    right: bool


def way(task: Task, system: System) -> str:
    """Return "too high" or "too low" for a number that was answered, "" for what is none."""
    posed, answer = task.posed, task.answer
    question = posed.exercise.question
    value: float | None = None
    if isinstance(question, Choice) and isinstance(answer, str):
        with contextlib.suppress(KeyError):
            value = posed.option(answer).value
    elif isinstance(question, Number) and isinstance(answer, str):
        from trainer.lessons.marking import read_number

        value = read_number(answer, question.scale, posed.asked_in(system))[0]
    if value is None or posed.answer <= value <= posed.most:
        return ""
    return tr("too high") if value > posed.answer else tr("too low")


def heading(verdict: Verdict) -> tuple[str, str]:
    """Return the explanation parted: its first sentence, where that is short, and the rest."""
    match = _SENTENCE.fullmatch(verdict.text)
    if match is None or len(match[1]) > _SHORT or not match[2]:
        return "", verdict.text
    return match[1].rstrip("."), match[2]


def pieces(task: Task, now: Readings, system: System) -> list[Piece]:
    """Return what the reading that was asked is made of, the largest first; nothing where it is no plain sum."""
    scale = task.posed.exercise.scale
    if scale is None:
        return []
    for step in worked(task.posed, system, now):
        one = step.working
        near = abs(one.result.value - task.posed.answer) <= scale.error * scale.end
        if one.result.quantity == scale.quantity and near and (found := _summed(one, system)):
            return found
    return []


def _summed(one: Working, system: System) -> list[Piece]:
    """Return the terms of a sum whose terms are all of one sign."""
    tree = one.tree(system)
    if not isinstance(tree, Sum) or not all(sign == "+" and isinstance(part, Letter) for sign, part in tree.parts):
        return []
    if any(term.value < 0 for term in one.used(system)):
        return []
    found = [Piece(capital(term.source), term.shown(system), term.value) for term in one.used(system)]
    return sorted(found, key=lambda piece: -piece.size)


def rows(task: Task, now: Readings, system: System) -> list[Row]:
    """Return the working of the wrong idea that the answer shows, then that of the run as it is at its end."""
    if task.posed.exercise.scale is None:
        return []
    found = []
    slip = _slip(task)
    if slip is not None and slip.formula is not None and task.posed.exercise.scale is not None:
        formula = slip.formula
        value = formula.value(task.posed.taken.values)
        found.append(Row(tr("so said"), _filled(task, formula, system), task.posed.figure(value, system), False))
    steps = worked(task.posed, system, now)
    found += [Row(capital(one.name), f"{one.formula} = {one.filled.partition('=')[2].strip()}", one.result, True)
              for one in steps]  # fmt: skip
    return found


def _slip(task: Task) -> Slip | None:
    """Return the wrong idea that the answer itself shows."""
    verdict = task.verdict
    if verdict.right is not False or not verdict.slip:
        return None
    return next((slip for slip in task.posed.exercise.slips if slip.id == verdict.slip), None)


def _filled(task: Task, formula: Formula, system: System) -> str:
    taken, small = task.posed.taken, task.posed.small

    def figure(letter: str) -> str:
        return about(taken.values[letter], taken.quantities[letter], system, small)

    words = spoken(formula.node, figure)
    return words.replace(" · 9.807", "") if system is System.US else words  # a pound weighs a pound of force
