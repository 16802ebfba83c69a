"""The attempts as a table: what was answered to what, what came of it; for the screen, and as CSV with its units."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from trainer import units
from trainer.language import tr, trn
from trainer.lessons.attempts import Attempt
from trainer.lessons.run_file import declared
from trainer.lessons.shelf import Shelf
from trainer.units import System

__all__ = ["Column", "columns", "csv_text", "rows"]


@dataclass(frozen=True, slots=True)
class Column:
    """One column: its id, its title with the unit, and whether it is shown on the screen or only written."""

    id: str
    title: str
    shown: bool = True


def columns() -> list[Column]:
    """Return the columns in their order."""
    return [
        Column("when", tr("when")),
        Column("seat", tr("seat"), False),
        Column("lesson", tr("lesson")),
        Column("task", tr("task")),
        Column("depth", tr("depth"), False),
        Column("try", tr("try")),
        Column("exam", tr("exam"), False),
        Column("tries", tr("tries in it"), False),
        Column("numbers", tr("numbers"), False),
        Column("answer", tr("answer")),
        Column("read", tr("as read")),
        Column("right", tr("right")),
        Column("reason", tr("reason"), False),
        Column("reasoned", tr("reason right"), False),
        Column("idea", tr("idea")),
        Column("seconds", tr("time [s]")),
        Column("hints", tr("hints")),
        Column("seen", tr("seen"), False),
        Column("did", tr("what it did"), False),
        Column("uncovered", tr("uncovered"), False),
        Column("outcomes", tr("outcomes"), False),
        Column("rig", tr("rig"), False),
    ]


def rows(attempts: Iterable[Attempt], shelf: Shelf, system: System = System.METRIC) -> list[dict[str, str]]:
    """Return what stands in the columns, by their ids, of each attempt; the newest first."""
    return [_row(one, shelf, system) for one in sorted(attempts, key=lambda one: one.when, reverse=True)]


def _row(one: Attempt, shelf: Shelf, system: System) -> dict[str, str]:
    return {
        "when": one.when.astimezone().strftime("%Y-%m-%d %H:%M"),
        "seat": str(one.seat),
        "lesson": shelf.title(one.lesson),
        "task": one.exercise.replace("-", " "),
        "depth": str(one.depth),
        "try": _tries(one),
        "exam": one.exam,
        "tries": str(one.tries) if one.exam else "",
        "numbers": _numbers(one, shelf, system),
        "answer": one.answer,
        "read": one.read,
        "right": _yes(one.right),
        "reason": _reason(one, shelf),
        "reasoned": _yes(one.reasoned) if one.reason else "",
        "idea": shelf.idea(one.slip) or _own_words(one),
        "seconds": f"{one.seconds:.0f}",
        "hints": str(one.hints),
        "seen": one.seen,
        "did": one.did,
        "uncovered": _yes(one.uncovered) if one.uncovered else "",
        "outcomes": " ".join(_code(outcome, shelf) for outcome in one.outcomes),
        "rig": one.rig,
    }


def _tries(one: Attempt) -> str:
    """Return with which of its numbers a task was answered, of an exam how many tries it took."""
    if not one.exam:
        return str(one.attempt + 1)
    return trn("exam, {count} try", "exam, {count} tries", one.tries).format(count=one.tries)


def _yes(right: bool | None) -> str:
    return tr("to be judged") if right is None else tr("yes") if right else tr("no")


def _code(outcome: str, shelf: Shelf) -> str:
    found = shelf.outcomes.get(outcome)
    return (found.code or outcome) if found is not None else outcome


def _own_words(one: Attempt) -> str:
    return tr("own words: {words}").format(words=one.reason_words) if one.reason_words else ""


def _reason(one: Attempt, shelf: Shelf) -> str:
    return one.reason_words or shelf.idea(one.reason) or one.reason


def _numbers(one: Attempt, shelf: Shelf, system: System) -> str:
    """Return the numbers that the seat had, with their units; in SI where the task is not here any more."""
    lesson = shelf.lesson(one.lesson)
    exercise = lesson.exercises.get(one.exercise) if lesson is not None else None
    known = declared(exercise.rig) if exercise is not None else {}
    told = []
    for name, value in one.numbers.items():
        if name in known:
            told.append(f"{name} = {' '.join(units.text(value, known[name], system)).strip()}")
        else:
            told.append(tr("{name} = {value} (SI)").format(name=name, value=f"{value:.6g}"))
    return "; ".join(told)


def csv_text(attempts: Iterable[Attempt], shelf: Shelf, system: System = System.METRIC) -> str:
    """Return the table as CSV, every column of it."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    heads: Sequence[Column] = columns()
    writer.writerow([head.title for head in heads])
    for row in rows(attempts, shelf, system):
        writer.writerow([_cell(row[head.id]) for head in heads])
    return out.getvalue()


def _cell(text: str) -> str:
    """Return a text that no spreadsheet takes for a formula."""
    return f"'{text}" if text[:1] in ("=", "+", "-", "@", "\t", "\r") else text
