"""The ladder: where a learner stands at each task, which aid is offered, what is due, how the week went.

All of it follows from the attempts that were kept and the day that is given. Aids fade one at a time: two of the last
three attempts with an aid in the first band, and the next one is offered; two of three beyond the second, and the one
before comes back. Passed with no aid, a task is asked again the next day: kept where the better of two attempts is
within a fifth of the best.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from enum import Enum

from trainer.language import mark, tr
from trainer.practice.attempt import State
from trainer.practice.catalogue import MEASURES
from trainer.practice.kept import Done, best_of, conditions_of
from trainer.practice.score import Band, spread
from trainer.practice.task import Task

__all__ = ["LAST", "Ladder", "Place", "Row", "Standing"]

LAST = 5  # attempts over which mean and spread are told
_OF, _NEEDED = 3, 2  # so many of the last so many
_FIFTH = 0.2
_TESTS = 2  # attempts of a test the next day
_IN_A_ROW = 10  # attempts at one task, after which a rest is better


class Place(Enum):
    """How a task stands in the ladder."""

    UNTRIED = ""
    GOES_ON = mark("goes on")
    TOMORROW = mark("tomorrow")
    DUE = mark("today")
    KEPT = mark("kept")
    WAITS = mark("waits")


@dataclass(frozen=True, slots=True)
class Standing:
    """What a task's attempts come to: the aid offered, aids it was passed with, the first day it is asked again.

    ``moved`` says in a sentence why the aid offered is another one than before the last attempt, "" where it is not.
    ``kept``: passed, and still there on a later day. ``tests`` were made on the day of the test.
    """

    aid: str
    passed: frozenset[str] = frozenset()
    due: date | None = None
    kept: bool = False
    moved: str = ""
    tests: int = 0


@dataclass(frozen=True, slots=True)
class Row:
    """One line of the ladder; ``best`` is the best value of the first measure [SI], None for none."""

    task: Task
    attempts: int
    best: float | None
    standing: Standing
    place: Place
    now: bool = False
    words: str = ""  # instead of squares: what is due, or what it waits for


class Ladder:
    """Where one seat stands on a day. ``done`` are its attempts, the oldest first."""

    def __init__(self, tasks: Sequence[Task], done: Sequence[Done], day: date) -> None:
        self.tasks = sorted(tasks, key=lambda task: task.order)
        self.done = done
        self.day = day
        self._conditions = {task.id: conditions_of(task) for task in self.tasks if task.runs}
        self._standing = {task.id: _standing(task, self._led(task)) for task in self.tasks}

    def of(self, task: Task) -> list[Done]:
        """Return the attempts at a task that are compared with each other: done, scored, on the machine of now."""
        own = self._conditions.get(task.id)
        return [one for one in self.done if one.task == task.id and one.counts and one.conditions == own]

    def tried(self, task: Task) -> list[Done]:
        """Return all attempts at a task, whatever came of them; their numbers are their places here, from 1."""
        return [one for one in self.done if one.task == task.id]

    def number(self, task: Task, attempt: Done | None) -> int:
        """Return the number of an attempt at a task, 0 for none."""
        times = [one.when for one in self.tried(task)]
        return times.index(attempt.when) + 1 if attempt is not None and attempt.when in times else 0

    def _led(self, task: Task) -> list[Done]:
        """Return those that lead to where a task stands: tests of the next day that went wrong are among them."""
        own, wrong = self._conditions.get(task.id), (State.FAILED.value, State.TIMED_OUT.value)
        mine = [one for one in self.done if one.task == task.id and one.conditions == own]
        return [one for one in mine if one.counts or (one.retention and one.state in wrong)]

    def standing(self, task: Task) -> Standing:
        """Return where a task stands."""
        return self._standing[task.id]

    def best(self, task: Task) -> Done | None:
        """Return the best attempt at a task on the machine of now."""
        return best_of(task, self.of(task), self._conditions.get(task.id, ""))

    def older_best(self, task: Task) -> Done | None:
        """Return the best attempt on a machine that has changed since; it is told, and not raced."""
        own = self._conditions.get(task.id)
        others = {one.conditions: None for one in self.done if one.task == task.id and one.counts}
        found = [best_of(task, self.done, name) for name in others if name != own]
        return next((one for one in reversed(found) if one is not None), None)

    def course(self, task: Task, measure: str) -> list[tuple[date, float]]:
        """Return the learning curve of a measure: the day and the value [SI] of each attempt that counts."""
        return [(one.when.date(), one.values[measure]) for one in self.of(task) if measure in one.values]

    def numbers(self, task: Task, measure: str) -> list[int]:
        """Return the numbers of the attempts in the learning curve of a measure."""
        return [self.number(task, one) for one in self.of(task) if measure in one.values]

    def last(self, task: Task, measure: str) -> tuple[float, float]:
        """Return mean and standard deviation of a measure over the last five attempts [SI]; nan for none."""
        return spread([value for _, value in self.course(task, measure)[-LAST:]])

    # -- what to do now --------------------------------------------------------------------------------------------

    def due(self, day: date) -> list[Task]:
        """Return the tasks that are asked again on a day, without any aid: those due then, and before."""
        found = []
        for task in self.tasks:
            when = self.standing(task).due
            if when is not None and when <= day:
                found.append(task)
        return found

    def go_on(self) -> Task | None:
        """Return the task to go on with: the latest one that is not passed, else the first one not passed."""
        open_ = [task for task in self.tasks if task.runs and self.standing(task).due is None]
        open_ = [task for task in open_ if not self.standing(task).kept]
        latest = next((one.task for one in reversed(self.done)), "")
        return next((task for task in open_ if task.id == latest), open_[0] if open_ else None)

    def in_a_row(self, task: Task) -> int:
        """Return how many attempts at a task stand at the end of today's, whatever came of them."""
        todays = [one.task for one in self.done if one.when.date() == self.day]
        return sum(1 for _ in itertools.takewhile(lambda id_: id_ == task.id, reversed(todays)))

    def rest_is_better(self, task: Task) -> bool:
        """Return whether there were ten attempts at a task in a row: a hand learns between sessions."""
        return self.in_a_row(task) >= _IN_A_ROW

    # -- what is shown ---------------------------------------------------------------------------------------------

    def rows(self) -> list[Row]:
        """Return the lines of the ladder."""
        now = self.go_on()
        return [self._row(task, task is now) for task in self.tasks]

    def _row(self, task: Task, now: bool) -> Row:
        standing = self.standing(task)
        best = self.best(task)
        value = best.values.get(task.shown[0]) if best is not None else None
        attempts = len(self.tried(task))
        words = ""
        if task.retention:
            today, tomorrow = (len(self.due(self.day + timedelta(days=days))) for days in (0, 1))
            words = _due_words(today, tomorrow - today)
        elif task.waits:
            words = tr(task.waits)
        return Row(task, attempts, value, standing, self._place(task, standing, attempts), now, words)

    def _place(self, task: Task, standing: Standing, attempts: int) -> Place:
        if task.waits:
            return Place.WAITS
        if standing.due is not None:
            return Place.DUE if standing.due <= self.day else Place.TOMORROW
        if standing.kept:
            return Place.KEPT
        return Place.GOES_ON if attempts and task.runs else Place.UNTRIED

    def week(self) -> list[tuple[date, int, float]]:
        """Return the days of this week up to today: day, attempts, time in them [s]."""
        monday = self.day - timedelta(days=self.day.weekday())
        return [*self._days(monday)]

    def _days(self, first: date) -> Iterator[tuple[date, int, float]]:
        for k in range((self.day - first).days + 1):
            day = first + timedelta(days=k)
            own = [one for one in self.done if one.when.date() == day]
            yield day, len(own), sum(one.seconds for one in own)


def _due_words(today: int, tomorrow: int) -> str:
    if today:
        return tr("{count} due today").format(count=today)
    return tr("{count} due tomorrow").format(count=tomorrow) if tomorrow else tr("nothing due")


# -- the rules -----------------------------------------------------------------------------------------------------


def _standing(task: Task, done: Sequence[Done]) -> Standing:
    """Return where attempts at a task lead, one after the other."""
    if not task.aids:
        return Standing("")
    standing = Standing(task.aids[0])
    recent: list[str] = []  # bands of the attempts with the aid offered
    tests: list[Done] = []
    for k, one in enumerate(done):
        if one.retention and (standing.due is not None or tests):
            tests.append(one)
            standing = _tested(task, standing, tests, done[:k])
            if standing.due is None:
                tests, recent = [], []
            continue
        if one.aid != standing.aid:
            harder = one.aid in task.aids and task.aids.index(one.aid) > task.aids.index(standing.aid)
            if not harder:
                standing = Standing(standing.aid, standing.passed, standing.due, standing.kept)
                continue
            standing, recent = Standing(one.aid, standing.passed, standing.due, standing.kept), []
        recent = [*recent, one.band][-_OF:]
        before = standing.aid
        standing = _faded(task, standing, recent, one)
        if standing.aid != before:
            recent = []
    return standing


def _faded(task: Task, standing: Standing, recent: Sequence[str], one: Done) -> Standing:
    """Return what an attempt with the aid offered leads to."""
    k = task.aids.index(standing.aid)
    if recent.count(Band.PRACTISED.value) >= _NEEDED:
        passed = standing.passed | {*task.aids[: k + 1]}
        if k + 1 < len(task.aids):
            words = _taken_away(standing.aid)
            return Standing(task.aids[k + 1], passed, standing.due, standing.kept, words)
        if standing.due is None and not standing.kept:
            day = one.when.date() + timedelta(days=1)
            words = tr("Passed with no aid. Tomorrow it is asked again.")
            return Standing(standing.aid, passed, day, False, words)
        return Standing(standing.aid, passed, standing.due, standing.kept)
    if recent.count(Band.BEYOND.value) >= _NEEDED and k > 0:
        back = task.aids[k - 1]
        words = tr("Two of three were beyond what is usable: {aid} comes back.").format(aid=_aid_words(back))
        return Standing(back, standing.passed - {*task.aids[k - 1 :]}, None, False, words)
    return Standing(standing.aid, standing.passed, standing.due, standing.kept)


def _tested(task: Task, standing: Standing, tests: Sequence[Done], before: Sequence[Done]) -> Standing:
    """Return where a test of the next day leads: kept, or back to the target."""
    measure = MEASURES[task.shown[0]]
    pick = min if measure.less else max
    best = pick(one.values[measure.id] for one in before if one.counts and one not in tests)
    slack = _FIFTH * max(abs(best), abs(task.bands[measure.id].practised[0]))
    found = [one.values[measure.id] for one in tests if one.counts]
    if found and (pick(found) - best) * (1 if measure.less else -1) <= slack:
        words = tr("Kept: within a fifth of your best, a day later and without help.")
        return Standing(standing.aid, standing.passed, None, True, words)
    if len(tests) < _TESTS:
        return Standing(standing.aid, standing.passed, standing.due, False, tr("One more attempt."), len(tests))
    back = "target" if "target" in task.aids else task.aids[0]
    words = tr("Not kept: {aid} comes back.").format(aid=_aid_words(back))
    return Standing(back, standing.passed & {*task.aids[: task.aids.index(back)]}, None, False, words)


_AIDS = {
    "path": mark("the path"),
    "target": mark("the target"),
    "gauge": mark("the gauge alone"),
    "none": mark("no aid"),
}


def _aid_words(aid: str) -> str:
    return tr(_AIDS[aid])


def _taken_away(aid: str) -> str:
    return tr("Two of the last three were practised: from now on without {aid}.").format(aid=_aid_words(aid))
