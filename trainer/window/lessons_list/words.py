"""What is said of lessons and days: "due today", "again Thursday", "3 of 6 done"."""

from __future__ import annotations

from datetime import date, datetime

from trainer.language import mark, tr, trn
from trainer.lessons.lesson import DEPTHS
from trainer.lessons.readiness import STATES, LessonState, Next

__all__ = ["DEPTH_WORDS", "again", "minutes_words", "note", "state_words", "why_next"]

DEPTH_WORDS = dict(zip(DEPTHS, (mark("what it does"), mark("how it works"), mark("how it is set")), strict=True))
_DAYS = (
    mark("Monday"),
    mark("Tuesday"),
    mark("Wednesday"),
    mark("Thursday"),
    mark("Friday"),
    mark("Saturday"),
    mark("Sunday"),
)
_WEEK = 7


def state_words(state: str) -> str:
    """Return a state in words."""
    return tr(STATES[state])


def again(due: datetime, now: datetime) -> str:
    """Return when something is due again, seen from today."""
    there, here = _day(due), _day(now)
    days = (there - here).days
    if due <= now or days <= 0:
        return tr("due today")
    if days == 1:
        return tr("again tomorrow")
    if days < _WEEK:
        return tr("again {day}").format(day=tr(_DAYS[there.weekday()]))
    if days < 2 * _WEEK:
        return tr("again in {days} days").format(days=days)
    return tr("again in {weeks} weeks").format(weeks=round(days / _WEEK))


def _day(instant: datetime) -> date:
    return instant.astimezone().date()


def note(state: LessonState, now: datetime) -> str:
    """Return what stands at the end of a lesson's row: what is due, how much is done, when it comes again."""
    count = len(state.lesson.exercises)
    if state.state == "due":
        return tr("due today")
    if 0 < state.tried < count:
        return _done(state)
    if state.tried and state.due is not None:
        return again(state.due, now)
    return ""


def _done(state: LessonState) -> str:
    return tr("{done} of {all} done").format(done=state.tried, all=len(state.lesson.exercises))


def why_next(found: Next, state: LessonState | None = None) -> str:
    """Return why a task is the next one; of a lesson that is begun how much of it is done."""
    if found.state == "new" and state is not None and state.tried:
        return _done(state)
    return {"due": tr("due today"), "new": tr("not tried"), "begun": tr("not right yet")}[found.state]


def minutes_words(minutes: int) -> str:
    """Return how long something takes."""
    return trn("about {count} min", "about {count} min", minutes).format(count=minutes)
