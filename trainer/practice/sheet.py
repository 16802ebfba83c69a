"""Rows for a spreadsheet: the measures of attempts, and the traces of one."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from trainer import units
from trainer.practice.catalogue import MEASURES, called
from trainer.practice.kept import Done
from trainer.practice.score import Score
from trainer.practice.task import Task
from trainer.practice.trace import Trace
from trainer.units import System

__all__ = ["attempt_rows", "score_rows", "trace_rows"]

Row = list[str]


def attempt_rows(tasks: Sequence[Task], done: Sequence[Done]) -> Iterator[Row]:
    """Yield all attempts, the names of the columns first; measures in SI, empty where there is none."""
    codes = {task.id: task.code for task in tasks}
    yield ["when", "task", "ended", "counts", "aid", "next day", "seconds", *MEASURES, "why it does not count"]
    for one in done:
        values = [f"{one.values[id_]:.6g}" if id_ in one.values else "" for id_ in MEASURES]
        told = [one.when.isoformat(timespec="seconds"), codes.get(one.task, one.task), one.state]
        told += ["yes" if one.counts else "no", one.aid, "yes" if one.retention else "no", f"{one.seconds:g}"]
        yield [*told, *values, "" if one.counts else one.why_not]


def score_rows(score: Score, system: System) -> Iterator[Row]:
    """Yield the measures of one attempt as they are shown: words, figures with unit, band."""
    for one in (*score.shown, *score.others):
        yield [called(one.id, score.task.names), one.told(system), one.band.value if one.band is not None else ""]


def trace_rows(traces: Sequence[Trace], system: System) -> Iterator[Row]:
    """Yield the samples of the laps of an attempt, the names of the columns with their units first."""
    if not traces:
        return
    first = traces[0]
    shown = {letter: units.shown_unit(quantity, system) for letter, quantity in first.quantities.items()}
    titles = [f"{letter} [{unit.symbol or '1'}]" for letter, unit in shown.items()]
    yield ["lap", "time [s]", *(f"{name} [%]" for name in first.levers), *titles]
    for trace in traces:
        levers = [(100 * one).tolist() for one in trace.levers.values()]
        columns = [[shown[letter].number(value) for value in trace.values[letter].tolist()] for letter in shown]
        for k, time in enumerate(trace.times.tolist()):
            figures = (f"{one[k] + 0.0:.6g}" for one in (*levers, *columns))
            yield [trace.lap, f"{time:.4f}", *figures]
