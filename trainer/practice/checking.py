"""What is wrong with a task that only the engine can tell: readings that are not there, quantities, no start."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from trainer.engine.kept import Kept
from trainer.errors import Fault, RigError, SpoolroomError
from trainer.language import tr
from trainer.lessons.readings import NoReading
from trainer.practice import file
from trainer.practice.attempt import session_of
from trainer.practice.catalogue import MEASURES
from trainer.practice.task import Given, Lap, Task
from trainer.practice.trace import Sampler
from trainer.rig.text import read_text

__all__ = ["check", "faults_of"]

_OF = {  # numbers of a task -> whose quantity they have
    "target": "place", "within": "place", "moves": "speed", "band": "speed", "line": "path",
}  # fmt: skip

_ARE = {"link": "length", "limit": "acceleration"}  # a limit without anything carried is the task's own number


def check(path: Path, kept: Kept | None = None) -> Task:
    """Return a task that can be practised. Raises RigError with every fault of its file and of its laps."""
    task, faults = file.read(read_text(path), path)
    found = [*faults.found] or [*faults_of(task, kept)]
    if found:
        raise RigError(sorted(found, key=lambda fault: (fault.line == 0, fault.line)), str(path))
    return task


def faults_of(task: Task, kept: Kept | None = None) -> Iterator[Fault]:
    """Yield what is wrong with the laps of a task."""
    told = set()
    for lap in task.laps:
        for fault in _of_lap(task, lap, kept):
            if (key := (fault.kind, fault.problem)) not in told:
                told.add(key)
                yield fault


def _of_lap(task: Task, lap: Lap, kept: Kept | None) -> Iterator[Fault]:
    where = f"[laps] {lap.name}" if lap.name else tr("the file")
    try:
        session = session_of(task, lap, kept)
        sampler = Sampler.of(task, session.readings)
    except NoReading as error:
        yield Fault("bad reading", "[readings]", error.problem, error.remedy)
        return
    except SpoolroomError as error:
        yield Fault("no run", where, str(error), tr("Choose numbers and places that the rig can stand in."))
        return
    yield from _quantities(task, lap, sampler.quantities)
    values = sampler.take(session.readings) | lap.roles.numbers()
    for stop in task.stops:
        if stop.when.holds(values):
            yield Fault(
                "over at once",
                f"[stops] {stop.name}",
                tr("it holds at the start already."),
                tr("Change one of both."),
            )
    if task.done is not None and task.done.holds(values):
        yield Fault("done at once", "done", tr("it holds at the start already."), tr("Ask for something else."))


def _quantities(task: Task, lap: Lap, known: dict[str, str] | object) -> Iterator[Fault]:
    assert isinstance(known, dict)
    for role, of in _OF.items():
        letters = getattr(lap.roles, of)
        letter = letters[0] if isinstance(letters, tuple) and letters else letters
        for given in _given(getattr(lap.roles, role)):
            if letter and given[1] != known[letter]:
                yield _other(f"[roles] {role}", given[1], known[letter])
    for role, wanted in _ARE.items():
        for given in _given(getattr(lap.roles, role)):
            if given[1] != wanted and (role != "limit" or lap.roles.carried):
                yield _other(f"[roles] {role}", given[1], wanted)
    for id_, bands in task.bands.items():
        quantity = MEASURES[id_].quantity_in(lap.roles, known)
        for given in (bands.practised, bands.usable):
            if given[1] != quantity:
                yield _other(f"[bands] {id_}", given[1], quantity)


def _given(written: object) -> Iterator[Given]:
    """Yield the numbers of a role: one, several or none."""
    if isinstance(written, tuple) and written and isinstance(written[0], tuple):
        yield from written
    elif isinstance(written, tuple) and len(written) == 2:
        yield (float(written[0]), str(written[1]))


def _other(where: str, written: str, wanted: str) -> Fault:
    problem = tr("this is a {quantity}, and a {wanted} is meant.").format(quantity=tr(written), wanted=tr(wanted))
    return Fault("wrong quantity", where, problem, tr("Write it in the unit of what is read."))
