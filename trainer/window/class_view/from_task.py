"""A question for the class, taken from the task of a lesson that is open."""

from __future__ import annotations

import math

from trainer.language import mark, tr
from trainer.lessons.flow import Task
from trainer.lessons.lesson import Choice, Exercise, Number, Order, Places
from trainer.lessons.marking import judge
from trainer.lessons.posing import Posed
from trainer.lessons.seen import SEEN
from trainer.rig.names import capital, line_words, part_label, part_words
from trainer.units import System
from trainer.window.class_view.asking import LETTERS, Asked, Option, Question

__all__ = ["question_of"]

_ALONE = mark("This task is for one pair of hands. Put another one to the class, or ask of what is on the board.")


def question_of(task: Task, system: System, now: float) -> Question | str:
    """Return the question of a task that has no answer yet, asked ``now`` [s]; or why it is none for a class."""
    posed, exercise = task.posed, task.posed.exercise
    question = exercise.question
    if not isinstance(question, Choice | Number | Order | Places):
        return tr(_ALONE)
    if isinstance(question, Number) and (question.other or question.most is not None):
        return tr(_ALONE)  # a class calls out one number, in the unit of the screen
    scale = exercise.scale
    name = scale.instrument if scale is not None and scale.instrument else ""
    instrument = posed.rig.instruments.get(name)
    words = posed.question(system)
    if isinstance(question, Order):
        words = f"{words} {tr('Which comes first?')}"
    asked = Asked("task", "", name, words, scale, instrument)
    may = posed.seen_choices()
    return Question(
        asked,
        _hands(exercise),
        now,
        exercise.run.until,
        posed.situation(system),
        _options(posed, system),
        tuple(SEEN[id_] for id_ in may),
        may.index(posed.seen()) if may else 0,
        then=posed.answer,
        known=_known(posed, system),
        figures=isinstance(question, Number),
    )


def _hands(exercise: Exercise) -> dict[str, float]:
    """Return where a task's script moves the levers to."""
    run = exercise.run
    before, then = run.hands.at(run.begin), run.hands.at(run.until)
    return {name: value for name, value in then.items() if name.endswith(".lever") and before.get(name) != value}


def _options(posed: Posed, system: System) -> tuple[Option, ...]:
    """Return the answers of a task, the right one among them, up to a letter each."""
    question = posed.exercise.question
    if isinstance(question, Number):
        return (Option(posed.answer, "", "", right=True, words=posed.figure(posed.answer, system)),)
    right = posed.right[:1] if isinstance(question, Order) else posed.right
    figures, words_of = posed.option_figures(system), posed.option_words(system)
    found = []
    offered = [*posed.answers]
    if isinstance(question, Places) and not {*right} & {*offered}:  # whatever has a role is right
        offered = posed.seed.shuffled("places", [*offered, right[0]])
    for id_ in offered:
        if isinstance(question, Choice):
            option = posed.option(id_)
            words, value = figures.get(id_) or words_of[id_], math.nan if option.value is None else option.value
            why = judge(posed, id_, "", system).text
        elif isinstance(question, Order):
            words, value, why = question.items[id_].words, math.nan, posed.text(posed.exercise.why, system)
        else:
            words, value, why = _place_words(posed, id_), math.nan, judge(posed, id_, "", system).text
        found.append(Option(value, "", why, id_ in right, capital(words)))
    wrong = iter([option for option in found if not option.right][: len(LETTERS) - 1])
    kept = [*wrong, next(option for option in found if option.right)]
    return tuple(option for option in found if option in kept)


def _place_words(posed: Posed, name: str) -> str:
    """Return what a place is called: a part by its label, and by its kind where others have the same."""
    rig = posed.rig
    if name not in rig.parts:
        return line_words(rig, name)
    label = part_label(rig, name)
    alone = [part_label(rig, one) for one in rig.parts].count(label) == 1
    return label if alone else part_words(rig, name)


def _known(posed: Posed, system: System) -> tuple[Option, ...]:
    """Return the wrong ideas whose numbers are recognised."""
    found = []
    for slip in posed.exercise.slips:
        if slip.formula is not None:
            value = slip.formula.value(posed.taken.values)
            found.append(Option(value, slip.idea, posed.text(slip.why, system, value)))
    return tuple(found)
