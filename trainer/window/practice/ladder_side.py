"""What stands beside the rungs, as a draw list: what is due, how the week went, what the rest of the hour is for."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import timedelta

from trainer.drawing.shapes import Path, Shape, Words
from trainer.drawing.type_widths import text_width, wrapped
from trainer.language import tr, trn
from trainer.practice.catalogue import MEASURES
from trainer.practice.ladder import Ladder
from trainer.practice.task import Task
from trainer.practice.telling import limit, told
from trainer.units import System
from trainer.window.practice.words import DAYS, day_words

__all__ = ["TESTED", "due_now", "side_shapes"]

TESTED = 3  # rungs of one test
_EACH = 60.0  # s that an attempt of a test takes, more or less
_HEAD, _NAME, _SMALL = 25.3, 21.0, 18.4
_WEEK = 5  # days that are shown at least


def due_now(ladder: Ladder) -> list[Task]:
    """Return the rungs of today's test."""
    return ladder.due(ladder.day)[:TESTED]


class _Column:
    """Shapes from the top down in a width; no text is smaller than ``least``."""

    def __init__(self, width: float, least: float) -> None:
        self.width, self.y, self.least = width, 0.0, least
        self.shapes: list[Shape] = []

    def head(self, words: str, right: str = "") -> None:
        self.y += 30.0
        self.shapes.append(Words(0.0, self.y, words, _HEAD, weight=600))
        if right:
            self.shapes.append(Words(self.width, self.y, right, _SMALL, "ink2", align="right"))
        self.y += 12.0

    def text(self, words: str, size: float = _SMALL, ink: str = "ink2") -> None:
        size = max(size, self.least)
        for line in wrapped(words, self.width, size):
            self.y += 1.32 * size
            self.shapes.append(Words(0.0, self.y, line, size, ink))
        self.y += 8.0

    def row(self, code: str, words: str, right: str) -> None:
        self.y += 30.0
        size = max(_NAME, self.least)
        begin = max(56.0, text_width(code, size, 600) + 12.0)
        room = self.width - begin - 6.0 - text_width(right, size, 600)
        while words and text_width(words, size) > room:
            words = words[:-2].rstrip(" …") + "…"
        self.shapes += [
            Words(0.0, self.y, code, _NAME, weight=600),
            Words(begin, self.y, words, _NAME),
            Words(self.width, self.y, right, _NAME, weight=600, align="right"),
            Path(((0.0, self.y + 11.0), (self.width, self.y + 11.0)), "hairline", 1.5),
        ]
        self.y += 11.0


def side_shapes(
    ladder: Ladder, system: System, chosen: Task | None, width: float, height: float, least: float = 0.0
) -> list[Shape]:
    """Return all of it in a room [board px]; ``chosen`` is the rung to go on with, ``least`` the smallest text."""
    column = _Column(width, least)
    _due(column, ladder, system)
    column.y += 26.0
    _week(column, ladder)
    column.y += 24.0
    _hour(column, ladder, system, chosen)
    return [shape for shape in column.shapes if not isinstance(shape, Words) or shape.y < height]


def _due(column: _Column, ladder: Ladder, system: System) -> None:
    today, tomorrow = ladder.due(ladder.day), ladder.due(ladder.day + timedelta(days=1))
    tasks = (today or tomorrow)[:TESTED]
    if not tasks:
        column.head(tr("Nothing is due"))
        column.text(
            tr("A rung that is passed with no aid is asked again the next day: what a night leaves was learnt.")
        )
        return
    day = ladder.day if today else ladder.day + timedelta(days=1)
    when = tr("Today, {day}") if today else tr("Tomorrow, {day}")
    column.head(when.format(day=day_words(day)))
    minutes = max(1, round(2 * _EACH * len(tasks) / 60))
    column.text(
        tr("Retention test: no aid, nothing to warm up with, two attempts at each rung. About {minutes} min.").format(
            minutes=minutes
        )
    )
    for task in tasks:
        column.row(task.code, tr(task.title), _best(ladder, task, system))
    more = len(today or tomorrow) - len(tasks)
    column.y += 4.0
    told_ = tr(
        "Kept where the better of both comes within a fifth of your best; otherwise it goes back to the target."
    )
    if more > 0:
        rest = trn("One more is due after these.", "{count} more are due after these.", more).format(count=more)
        told_ = f"{told_} {rest}"
    column.text(told_)


def _best(ladder: Ladder, task: Task, system: System) -> str:
    best = ladder.best(task)
    measure = task.shown[0]
    if best is None or measure not in best.values or measure not in task.bands:
        return ""
    return told(measure, best.values[measure], task.bands[measure].practised[1], system)


def _week(column: _Column, ladder: Ladder) -> None:
    days = ladder.week()
    count, seconds = sum(day[1] for day in days), sum(day[2] for day in days)
    minutes = round(seconds / 60)
    attempts = trn("{count} attempt", "{count} attempts", count).format(count=count)
    column.head(tr("This week"), tr("{attempts} · {minutes} min").format(attempts=attempts, minutes=minutes))
    high, top = 102.0, column.y + 26.0
    bottom, most = top + high, max([day[1] for day in days] or [1]) or 1
    pitch = column.width / max(len(days), _WEEK)
    column.shapes.append(Path(((0.0, bottom), (column.width, bottom)), "ink2", 1.5))
    for k, (day, number, _) in enumerate(days):
        middle, today = (k + 0.5) * pitch, day == ladder.day
        half = min(25.0, 0.3 * pitch)
        if number:
            up = bottom - high * number / most
            box = ((middle - half, up), (middle + half, up), (middle + half, bottom), (middle - half, bottom))
            shape = Path(box, "accent", 1.5, "accent", True) if today else Path(box, "ink", 1.5, "heat2", True)
            column.shapes += [shape, Words(middle, up - 8.0, str(number), _SMALL, weight=600, align="centre")]
        name = tr(DAYS[day.weekday()])
        column.shapes.append(
            Words(middle, bottom + 25.0, name, _SMALL, "ink" if today else "ink2", 600 if today else 400, "centre")
        )
    column.y = bottom + 28.0


def _hour(column: _Column, ladder: Ladder, system: System, chosen: Task | None) -> None:
    column.head(tr("Rest of the hour"))
    for words in _advice(ladder, system, chosen):
        column.text(words, _NAME, "ink")
    if chosen is not None and ladder.rest_is_better(chosen):
        column.text(tr("Ten in a row already. Do something else now: the hand goes on learning while it rests."))
    else:
        column.text(tr("After ten in a row take another rung: a hand learns in the pauses, too."))


def _advice(ladder: Ladder, system: System, chosen: Task | None) -> Sequence[str]:
    if chosen is None or not chosen.runs:
        return [tr("Choose a rung; any may be tried.")]
    standing, measure = ladder.standing(chosen), chosen.shown[0]
    if standing.due is not None:
        return [tr("{code} is passed. It is asked again without any aid.").format(code=chosen.code)]
    if standing.kept:
        return [tr("{code} is kept. Once a week is enough.").format(code=chosen.code)]
    if measure not in chosen.bands:
        return []
    number, unit = limit(measure, *chosen.bands[measure].practised, system)
    least = f"{number}{unit}" if unit == "°" else f"{number} {unit}".rstrip()
    words = (
        tr("{code}: two of three attempts with {limit} or less, then there is less help.")
        if MEASURES[measure].less
        else tr("{code}: two of three attempts with {limit} or more, then there is less help.")
    )
    if standing.aid == chosen.aids[-1]:
        words = (
            tr("{code}: two of three attempts with {limit} or less and no aid, then it is passed.")
            if MEASURES[measure].less
            else tr("{code}: two of three attempts with {limit} or more and no aid, then it is passed.")
        )
    return [words.format(code=chosen.code, limit=least)]
