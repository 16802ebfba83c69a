"""The runs of a task: its rig with its numbers, led by its hands to the end, and what was read on the way.

What a run gives depends on nothing but what it is made of, so it is kept by that in a folder of this user; the same
numbers are read again on every opening, and on every computer.
"""

from __future__ import annotations

import contextlib
import hashlib
import itertools
import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path

import msgspec

from trainer import private
from trainer.changing.opening import running
from trainer.engine.kept import MADE_BY, Kept, versions
from trainer.engine.readings import Readings
from trainer.engine.session import Session
from trainer.lessons.lesson import Counts, Exercise, Run
from trainer.lessons.readings import MOVING, Known, Reading, known
from trainer.lessons.run_file import numbers_of
from trainer.parts.part import Parameter, Wear
from trainer.recording import lead
from trainer.rig.rig import OIL_TEMPERATURE, Rig, SpecReading

__all__ = ["Course", "Courses", "Taken", "rig_of", "rig_with", "set_then", "with_numbers", "with_ranges"]

RATE = 60.0  # instants a second: the calls of a live window
_INSTANTS = 600  # of a run that is longer than so many calls: what lasts a minute is followed ten times a second
_MADE_BY = (*MADE_BY, "recording", "measuring", "lessons")
_ENDING, _MOST = ".run", 600
_OIL = OIL_TEMPERATURE.name


def with_numbers(exercise: Exercise, run: Run, numbers: Mapping[str, float]) -> Run:
    """Return a run with a seat's numbers [SI] instead of the task's.

    What another run has otherwise than the task stays: it is what the two are compared for.
    """
    own = exercise.run
    told = {name for of in ("numbers", "start", "then") for name in _otherwise(getattr(run, of), getattr(own, of))}
    rig = exercise.rig_in(run)
    mine = {name: value for name, value in numbers.items() if name not in told}
    if run.rig is not None:
        known = numbers_of(rig, True).keys() | rig.starts().keys()
        mine = {name: value for name, value in mine.items() if name in known}
    states = rig.states()
    start = {name: mine[name] for name in mine if name in states or name in run.start}
    then = {name: mine[name] for name in mine if name in run.then}
    rest = {name: value for name, value in mine.items() if name not in start and name not in then}
    return replace(run, numbers={**run.numbers, **rest}, start={**run.start, **start}, then={**run.then, **then})


def _otherwise(values: Mapping[str, float], own: Mapping[str, float]) -> set[str]:
    return {name for name, value in values.items() if own.get(name) != value}


def rig_of(exercise: Exercise, run: Run, numbers: Mapping[str, float]) -> Rig:
    """Return the rig of a task as a run begins with it, with a seat's ``numbers`` [SI].

    Controls among them are where they stand at the start. Readings of the sheet that they make another are not there.

    Raises RigError for numbers that cannot be together.
    """
    run = with_numbers(exercise, run, numbers)
    rig = exercise.rig_in(run)
    made = rig_with(with_ranges(rig, exercise.ranges), run)
    return made if isinstance(exercise.question, Counts) else replace(made, healthy=_healthy(rig, run))


def _healthy(rig: Rig, run: Run) -> tuple[SpecReading, ...]:
    """Return the readings of a rig's sheet that hold for a run: those whose machine is set as in the rig's file.

    Wear does not change what the sheet asks for, it shows against it; loads are conditions of a reading or no matter.
    """
    loads = rig.loads()
    for name, value in {**run.numbers, **run.then}.items():
        fitted, own = rig.parts.get(name.partition(".")[0]), name.partition(".")[2]
        known = {} if fitted is None else fitted.part.declared(Parameter)
        if fitted is None or own not in known or name in loads or isinstance(known[own], Wear):
            continue
        if not math.isclose(fitted.value(own), value, rel_tol=1e-6):
            return ()
    for name, word in run.words.items():
        id_, _, own = name.partition(".")
        if rig.parts[id_].choice(own) != word:
            return ()
    return rig.healthy


def rig_with(rig: Rig, run: Run) -> Rig:
    """Return a rig as a run begins with it. Raises RigError for numbers that cannot be together."""
    values = run.numbers
    parts, controls = dict(rig.parts), rig.controls()
    for name, value in values.items():
        part, _, own = name.partition(".")
        if part in parts and name not in controls:
            parts[part] = replace(parts[part], values={**parts[part].values, own: value})
    for name, word in run.words.items():
        part, _, own = name.partition(".")
        parts[part] = replace(parts[part], choices={**parts[part].choices, own: word})
    oil = {name.removeprefix("oil."): value for name, value in values.items() if name.startswith("oil.")}
    made = replace(
        rig,
        parts=parts,
        oil=replace(
            rig.oil, temperature=oil.get("temperature", rig.oil.temperature), air=oil.get("air", rig.oil.air)
        ),
        start={**rig.start, **run.start, **{name: value for name, value in values.items() if name in controls}},
    )
    return made.checked()


def with_ranges(rig: Rig, ranges: Mapping[str, float]) -> Rig:
    """Return a rig with other ends of scales [SI] at some instruments."""
    if not ranges:
        return rig
    fitted = {
        name: replace(item, range_=ranges[name]) if name in ranges else item for name, item in rig.instruments.items()
    }
    return replace(rig, instruments=fitted)


def set_then(session: Session, run: Run) -> None:
    """Set what a run has otherwise once it has settled."""
    for key, value in run.then.items():
        if key == _OIL:
            session.set_temperature(value)
        elif key in session.rig.controls():
            session.set_control(key, value)
        else:
            session.set_parameter(key, value)


class Course(msgspec.Struct, frozen=True):
    """What was read of a run: instants [s], and by the words of a course ("pressure P1") its values [SI] at them."""

    times: list[float]
    values: dict[str, list[float]]
    rough: int = 0

    def at(self, words: str, time: float) -> float:
        """Return a value at the instant nearest to a time [s]."""
        k = min(range(len(self.times)), key=lambda k: abs(self.times[k] - time))
        return self.values[words][k]

    def since(self, words: str, begin: float) -> list[tuple[float, float]]:
        """Return instants and values from a time [s] on."""
        return [(t, v) for t, v in zip(self.times, self.values[words], strict=True) if t >= begin - 1e-9]


def taken(reading: Reading, course: Course, run: Run, quantity: str) -> float:
    """Return the value of a reading [SI]; nan for what does not come about, inf for what never moves."""
    words = reading.course
    pairs = course.since(words, run.begin)
    values = [value for _, value in pairs]
    match reading.when:
        case "before":
            return values[0]
        case "most":
            return max(values)
        case "least":
            return min(values)
        case "mean":
            return _sum(pairs) / (pairs[-1][0] - pairs[0][0])
        case "total":
            return _sum(pairs)
        case "at":
            return course.at(words, reading.at)
        case "way":
            return abs(_met(pairs, reading.way[1]) - _met(pairs, reading.way[0]))
        case "while":
            way = course.since(f"place {reading.along}", run.begin)
            begin, end = sorted(_met(way, place) for place in reading.way)
            return _sum([pair for pair in pairs if begin <= pair[0] <= end]) if begin < end else math.nan
    if reading.what == "moves":
        least = MOVING[quantity]
        begin = pairs[0][1]
        return next((time - run.begin for time, value in pairs if abs(value - begin) > least), math.inf)
    return values[-1]


def _rate(run: Run) -> float:
    """Return how many instants a second of a run are read."""
    return min(RATE, max(_INSTANTS / run.until, RATE / 6))


def _sum(pairs: Sequence[tuple[float, float]]) -> float:
    return math.fsum(
        (later - time) * (value + following) / 2 for (time, value), (later, following) in itertools.pairwise(pairs)
    )


def _summed(times: Sequence[float], values: Sequence[float]) -> list[float]:
    """Return at each instant what has come together since the first one."""
    pairs = itertools.pairwise(zip(times, values, strict=True))
    steps = ((later - time) * (value + following) / 2 for (time, value), (later, following) in pairs)
    return [*itertools.accumulate(steps, initial=0.0)]


def _met(pairs: Sequence[tuple[float, float]], wanted: float) -> float:
    """Return when a place is met first, between two instants; nan where it is not."""
    for (time, value), (later, following) in itertools.pairwise(pairs):
        if min(value, following) <= wanted <= max(value, following):
            share = (wanted - value) / (following - value) if following != value else 0.0
            return time + share * (later - time)
    return math.nan


@dataclass(frozen=True, slots=True)
class Taken:
    """The readings of a task by their letters [SI], their quantities, and which had not come to rest.

    ``course`` is that of the task's own run.
    """

    values: Mapping[str, float]
    quantities: Mapping[str, str]
    course: Course
    moving: tuple[str, ...] = ()
    rough: int = 0


@dataclass(slots=True)
class Courses:
    """Runs tasks, and keeps what they gave: the newest ``most`` runs; ``folder`` None keeps nothing."""

    folder: Path | None = None
    kept: Kept | None = None
    most: int = _MOST
    made: int = field(default=0)  # runs that were made, not read
    _made_by: bytes | None = None

    @classmethod
    def of_this_user(cls) -> Courses:
        """Return one that keeps what it finds for this user."""
        return cls(private.cache("lessons"), Kept.of_this_user())

    def session(self, exercise: Exercise, numbers: Mapping[str, float], name: str = "") -> Session:
        """Return a session at the beginning of a run, with what is set once it has settled. Raises SpoolroomError."""
        run = dict(exercise.all_runs())[name]
        session = running(rig_of(exercise, run, numbers), kept=self.kept)
        set_then(session, with_numbers(exercise, run, numbers))
        return session

    def readings(self, exercise: Exercise, numbers: Mapping[str, float], name: str = "") -> tuple[Readings, Readings]:
        """Return all that can be read where a run is asked about, and at its end. Raises SpoolroomError."""
        run = dict(exercise.all_runs())[name]
        session = self.session(exercise, numbers, name)
        before = session.readings
        for time in lead(session, run.hands, run.until, _rate(run)):
            if time <= run.begin + 1e-9:
                before = session.readings
        return before, session.readings

    def take(self, exercise: Exercise, numbers: Mapping[str, float]) -> Taken:
        """Return the readings of a task with a seat's numbers.

        Raises SpoolroomError where a run cannot be made, NoReading for one that the rig does not have.
        """
        values: dict[str, float] = {}
        quantities: dict[str, str] = {}
        moving: list[str] = []
        rough = 0
        own: Course | None = None
        scale = exercise.scale
        for name, run in exercise.all_runs():
            letters = {letter: one for letter, one in exercise.readings.items() if one.run == name}
            words = sorted({course for one in letters.values() for course in one.courses})
            course, told = self._course(exercise, run, name, numbers, words)
            own, rough = own or course, rough + course.rough
            for letter, one in letters.items():
                quantity = told[one.course]
                values[letter] = taken(one, course, run, quantity)
                quantities[letter] = one.quantity(quantity)
                error = scale.error * scale.end if scale is not None and scale.quantity == quantity else 0.0
                if one.rests and not self._rests(one, course, run, exercise.settles, error):
                    moving.append(letter)
        assert own is not None
        return Taken(values, quantities, own, tuple(moving), rough)

    def _rests(self, reading: Reading, course: Course, run: Run, since: float, error: float) -> bool:
        """Whether a reading has come to rest by the end.

        It moves by no more than its error [SI], or than a fiftieth of the most that it was.
        """
        last = [value for _, value in course.since(reading.course, run.until - since)]
        whole = [value for _, value in course.since(reading.course, 0.0)]
        return max(last) - min(last) <= max(0.02 * max(map(abs, whole)), error)

    def _course(
        self, exercise: Exercise, run: Run, name: str, numbers: Mapping[str, float], words: list[str]
    ) -> tuple[Course, Mapping[str, str]]:
        path = self._path(exercise, run, numbers, words)
        content = private.read(path) if path is not None else None
        with contextlib.suppress(msgspec.DecodeError):
            if content is not None:
                return msgspec.msgpack.decode(content, type=tuple[Course, dict[str, str]])
        found = self._run(exercise, run, name, numbers, words)
        self.made += 1
        if path is not None:
            with contextlib.suppress(OSError):
                private.keep(path, msgspec.msgpack.encode(found), self.most)
        if self.kept is not None:
            self.kept.write()
        return found

    def _run(
        self, exercise: Exercise, run: Run, name: str, numbers: Mapping[str, float], words: list[str]
    ) -> tuple[Course, dict[str, str]]:
        session = self.session(exercise, numbers, name)
        there: Known = known(session.readings)
        sums = {one: of for one in words if (of := there.summed(one))}
        probes = {one: there.probe(sums.get(one, one)) for one in words}
        times: list[float] = []
        values: dict[str, list[float]] = {one: [] for one in words}
        for time in lead(session, run.hands, run.until, _rate(run)):
            now = session.readings
            times.append(time)
            for one, (_, probe) in probes.items():
                values[one].append(probe(now))
        for one in sums:
            values[one] = _summed(times, values[one])
        told = {one: "angle" if one in sums else quantity for one, (quantity, _) in probes.items()}
        return Course(times, values, session.rough_calls), told

    def _path(self, exercise: Exercise, run: Run, numbers: Mapping[str, float], words: Iterable[str]) -> Path | None:
        """Return where a course is kept: by all that it follows from, the versions of what makes it among that."""
        if self.folder is None:
            return None
        if self._made_by is None:
            self._made_by = versions(_MADE_BY) or b""
        if not self._made_by:
            return None
        rig = replace(rig_of(exercise, run, numbers), title="", notes="", source="", drawing={}, healthy=())
        told = repr((rig, with_numbers(exercise, run, numbers), sorted(words), _rate(run)))
        return self.folder / f"{hashlib.sha256(self._made_by + told.encode()).hexdigest()}{_ENDING}"
