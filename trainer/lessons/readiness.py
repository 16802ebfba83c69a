"""Am I ready? What is due again and when, and for each outcome what was tried, what was right, what comes next.

When a task is due follows from its attempts by the FSRS model of memory, which is asked anew each time: nothing is
kept besides the attempts. The first three reviews come after 1, 3 and 8 days.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta

from fsrs import Card, Rating, Scheduler

from trainer.language import mark
from trainer.lessons.attempts import Attempt
from trainer.lessons.bank import Outcome
from trainer.lessons.lesson import DEPTHS, Lesson

__all__ = ["STATES", "LessonState", "Next", "OutcomeState", "due", "next_task", "progress", "readiness"]

STATES = {"ready": mark("ready"), "due": mark("due again"), "begun": mark("begun"), "new": mark("not tried")}
# the first is what a wrong answer waits; each right one goes a step on
_STEPS = (timedelta(days=1), timedelta(days=1), timedelta(days=3), timedelta(days=8))
_LATER = timedelta(hours=20)  # "a day later", as a timetable has it
_EARLY = timedelta(hours=4)  # before it is due, from which on it counts as waited for
Ref = tuple[str, str]  # lesson and task


@dataclass(frozen=True, slots=True)
class Next:
    """The next task, and whether it is due again, unfinished or new."""

    lesson: str
    exercise: str
    state: str


@dataclass(frozen=True, slots=True)
class OutcomeState:
    """An outcome of one seat: its state in all and at each depth that has tasks, and how these went.

    ``first`` counts tasks that were right at first, ``later`` those right a day later or more, ``right`` those whose
    last answer was and that are not due again, ``due`` those that are due. ``answers`` are the
    last five first answers, True, False, None for what a person judges. ``slip`` is the wrong idea seen most often
    since it was last right. ``next`` is the one thing to do.
    """

    outcome: Outcome
    state: str
    depths: Mapping[int, str]
    tasks: int
    tried: int
    first: int
    later: int
    right: int
    due: int
    answers: tuple[bool | None, ...]
    slip: str
    next: Next | None


@dataclass(frozen=True, slots=True)
class LessonState:
    """A lesson of one seat: its state at each depth that has tasks, how many were tried, when the next is due.

    ``minutes`` is what ``next``, and the others of its depth that wait in the same way, take.
    """

    lesson: Lesson
    depths: Mapping[int, str]
    state: str
    tried: int
    due: datetime | None
    next: Next | None
    minutes: int


def due(attempts: Iterable[Attempt]) -> dict[Ref, datetime]:
    """Return when each task that was tried is due again. What only a person can judge is not due by itself."""
    scheduler = Scheduler(learning_steps=_STEPS, relearning_steps=(_STEPS[0],), enable_fuzzing=False)
    cards: dict[Ref, Card] = {}
    for one in sorted(attempts, key=lambda one: one.when):
        if one.to_judge:
            continue
        ref = (one.lesson, one.exercise)
        card = cards.get(ref)
        if card is None:
            card = Card(card_id=1, due=one.when.astimezone(UTC))
        elif one.when < card.due - _EARLY and _rating(one) is not Rating.Again:
            continue  # right again before it is due says nothing about memory
        cards[ref], _ = scheduler.review_card(card, _rating(one), one.when.astimezone(UTC))
    return {ref: card.due for ref, card in cards.items()}


def _rating(attempt: Attempt) -> Rating:
    if not attempt.whole:
        return Rating.Again
    return Rating.Hard if attempt.hints else Rating.Good


def readiness(
    lessons: Sequence[Lesson],
    outcomes: Mapping[str, Outcome],
    attempts: Iterable[Attempt],
    seat: int,
    now: datetime,
) -> list[OutcomeState]:
    """Return the state of each outcome for one seat, in the order of the list."""
    by_ref = _by_task(attempts, seat)
    return_at = due(one for found in by_ref.values() for one in found)
    return [_state(lessons, outcome, by_ref, return_at, now) for outcome in outcomes.values()]


def _state(
    lessons: Sequence[Lesson],
    outcome: Outcome,
    by_ref: Mapping[Ref, Sequence[Attempt]],
    return_at: Mapping[Ref, datetime],
    now: datetime,
) -> OutcomeState:
    tasks = {
        (lesson.id, one.id): one
        for lesson in lessons
        for one in lesson.exercises.values()
        if outcome.id in one.outcomes
    }
    tried = {ref: by_ref[ref] for ref in tasks if ref in by_ref}
    firsts = sorted((found[0] for found in tried.values()), key=lambda one: one.when)
    depths = {}
    for depth in DEPTHS:
        refs = [ref for ref, one in tasks.items() if one.depth == depth]
        if refs:
            depths[depth] = _of_tasks(refs, tried, return_at, now)
    waiting = {ref for ref in tried if ref in return_at and return_at[ref] <= now}
    return OutcomeState(
        outcome,
        _of_tasks([*tasks], tried, return_at, now),
        depths,
        len(tasks),
        len(tried),
        sum(one.whole and not one.hints for one in firsts),
        sum(_right_later(found) for found in tried.values()),
        sum(found[-1].whole and ref not in waiting for ref, found in tried.items()),
        len(waiting),
        tuple(None if one.to_judge else one.whole for one in firsts[-5:]),
        _slip(tried),
        _next([*tasks], tried, return_at, now),
    )


def _right_later(found: Sequence[Attempt]) -> bool:
    """Whether a task was right a day after it was first tried, or later."""
    return any(one.whole and one.when - found[0].when >= _LATER for one in found)


def _of_tasks(
    refs: Sequence[Ref], tried: Mapping[Ref, Sequence[Attempt]], return_at: Mapping[Ref, datetime], now: datetime
) -> str:
    """Return the state of some tasks: ready are they that were right at first on two rigs, one of them a day later.

    Where all of them are on one rig, that one is enough.
    """
    known = [ref for ref in refs if ref in tried]
    if not known:
        return "new"
    right = [ref for ref in known if tried[ref][-1].whole]
    if any(return_at.get(ref, now + _LATER) <= now for ref in known):
        return "due"
    rigs = {tried[ref][0].rig for ref in right}
    days = {tried[ref][-1].when for ref in right}
    apart = len(days) > 1 and max(days) - min(one.when for ref in right for one in tried[ref]) >= _LATER
    enough = len(rigs) >= 2 or (len(refs) == len(known) and len(right) == len(refs))
    later = apart or any(_right_later(tried[ref]) for ref in right)
    return "ready" if enough and later and len(right) == len(known) else "begun"


def _slip(tried: Mapping[Ref, Sequence[Attempt]]) -> str:
    """Return the wrong idea that was shown most often in tasks whose last answer is not right."""
    count = Counter(one.slip for found in tried.values() if not found[-1].whole for one in found if one.slip)
    return count.most_common(1)[0][0] if count else ""


def _next(
    refs: Sequence[Ref], tried: Mapping[Ref, Sequence[Attempt]], return_at: Mapping[Ref, datetime], now: datetime
) -> Next | None:
    """Return what is due the longest, else what is new, else what is not right yet."""
    waiting = sorted((return_at[ref], ref) for ref in refs if ref in return_at and return_at[ref] <= now)
    if waiting:
        return Next(*waiting[0][1], "due")
    for ref in refs:
        if ref not in tried:
            return Next(*ref, "new")
    for ref in refs:
        if tried[ref][-1].right is False:
            return Next(*ref, "begun")
    return None


def next_task(
    lessons: Sequence[Lesson], attempts: Iterable[Attempt], seat: int, now: datetime, depth: int = 0
) -> Next | None:
    """Return the one next thing for a seat over all lessons: what is due the longest, else the first that is new.

    Only of one depth, where it is said.
    """
    tried = _by_task(attempts, seat)
    refs = [
        (lesson.id, id_) for lesson in lessons for id_, one in lesson.exercises.items() if depth in (0, one.depth)
    ]
    return_at = due(one for found in tried.values() for one in found)
    return _next(refs, tried, return_at, now)


def _by_task(attempts: Iterable[Attempt], seat: int) -> dict[Ref, list[Attempt]]:
    tried: dict[Ref, list[Attempt]] = {}
    for one in sorted(attempts, key=lambda one: one.when):
        if one.seat == seat:
            tried.setdefault((one.lesson, one.exercise), []).append(one)
    return tried


def progress(lessons: Sequence[Lesson], attempts: Iterable[Attempt], seat: int, now: datetime) -> list[LessonState]:
    """Return how far a seat is in each lesson, in their order."""
    tried = _by_task(attempts, seat)
    return_at = due(one for found in tried.values() for one in found)
    return [_progress(lesson, tried, return_at, now) for lesson in lessons]


def _progress(
    lesson: Lesson, tried: Mapping[Ref, Sequence[Attempt]], return_at: Mapping[Ref, datetime], now: datetime
) -> LessonState:
    refs: list[Ref] = [(lesson.id, id_) for id_ in lesson.exercises]
    depths = {
        depth: _of_tasks(those, tried, return_at, now)
        for depth in DEPTHS
        if (those := [ref for ref in refs if lesson.exercises[ref[1]].depth == depth])
    }
    found = _next(refs, tried, return_at, now)
    minutes = 0
    if found is not None:
        depth = lesson.exercises[found.exercise].depth
        for ref in refs:
            one = lesson.exercises[ref[1]]
            waits = ref not in tried if found.state == "new" else return_at.get(ref, now) <= now
            minutes += one.minutes * (one.depth == depth and waits)
    return LessonState(
        lesson,
        depths,
        _of_tasks(refs, tried, return_at, now),
        sum(ref in tried for ref in refs),
        min((return_at[ref] for ref in refs if ref in return_at), default=None),
        found,
        minutes,
    )
