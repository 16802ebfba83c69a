"""What leaves the program of an attempt: the card on paper or as a picture, its traces and all attempts as tables."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Mapping
from pathlib import Path

from trainer import files
from trainer.drawing.shapes import Path as Line
from trainer.drawing.shapes import Shape, Words
from trainer.errors import SpoolroomError
from trainer.language import mark, tr
from trainer.practice.sheet import score_rows, trace_rows
from trainer.units import System
from trainer.window.painting.picture import write_shapes
from trainer.window.practice.card import Card
from trainer.window.practice.card_shapes import EDGE, card_shapes
from trainer.window.practice.words import day_words

__all__ = ["KINDS", "table_of", "write_card", "write_table"]

KINDS: Mapping[str, str] = {".pdf": mark("For paper (*.pdf)"), ".png": mark("Picture (*.png)")}
_SIZE = (1920.0, 1080.0)
_FOOT = 60.0


def card_sheet(card: Card, seat: int, system: System) -> list[Shape]:
    """Return a card as a sheet: what it is of above, what it is not below."""
    shapes: list[Shape] = list(card_shapes(card, system, _SIZE, rows=True))
    task = card.task
    head = f"{task.code} · {tr(task.title)} · {tr('attempt {number}').format(number=card.number)}"
    when = tr("seat {seat} · {day} {year}").format(
        seat=seat, day=day_words(card.done.when.date()), year=card.done.when.year
    )
    right = _SIZE[0] - EDGE
    told = tr("One attempt at an exercise. It says nothing about being fit for a machine.")
    return [
        *shapes,
        Words(EDGE, 40.0, head, 21.0, weight=600),
        Words(right, 40.0, when, 21.0, "ink2", align="right"),
        Line(((EDGE, 57.0), (right, 57.0)), "ink2", 1.5),
        Words(EDGE, _SIZE[1] + 36.0, told, 18.4, "ink2"),
    ]


def write_card(card: Card, path: Path, seat: int, system: System) -> None:
    """Write a card into a file, in the look of print. Raises SpoolroomError where it cannot be written."""
    title = f"{card.task.code} {tr(card.task.title)}"
    write_shapes(card_sheet(card, seat, system), (_SIZE[0], _SIZE[1] + _FOOT), path, title)


def table_of(card: Card, system: System) -> list[list[str]]:
    """Return the traces of an attempt as rows, and below them its measures."""
    rows = [*trace_rows(card.attempt.traces, system)]
    rows += [[]]
    rows += [["#", *row] for row in score_rows(card.score, system)]
    return rows


def write_table(rows: Iterable[Iterable[str]], path: Path) -> None:
    """Write rows as CSV. Raises SpoolroomError where they cannot be written."""
    out = io.StringIO()
    csv.writer(out, lineterminator="\n").writerows(rows)
    try:
        files.write(path, out.getvalue().encode("utf-8"))
    except OSError as error:
        why = files.reason(error)
        raise SpoolroomError(
            tr("{name} could not be written ({why}). Choose another folder.").format(name=path.name, why=why)
        ) from error
