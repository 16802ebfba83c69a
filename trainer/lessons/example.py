"""A worked example of a task: the few steps that lead to its answer, each with its formula, numbers and result.

They are taken from the workings of the run, those that give the answer's own number first; what an author has written
as a formula of readings is a step as well. A learner sees them with other numbers than his own.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass

from trainer import units
from trainer.engine.readings import Readings
from trainer.formula import Letter, Working, spoken
from trainer.language import mark, tr
from trainer.lessons.filling import about as figure
from trainer.lessons.formulas import Formula
from trainer.lessons.lesson import Choice, Exercise, Number, Scale
from trainer.lessons.marking import UnusableAnswer, plain_number, read_number
from trainer.lessons.posing import Posed
from trainer.lessons.readings import Reading, called
from trainer.lessons.worked import SHOWN, workings
from trainer.recording import lead
from trainer.units import System, Unit
from trainer.working import Subject, about

__all__ = ["EXAMPLES", "ExampleStep", "Given", "blanks", "example", "offered"]

EXAMPLES = 50  # from which on numbers of examples are counted: none of those that a seat is asked with
_MOST = 4  # steps
_SIMPLE = 3  # letters of a step that leads to another one
_OF_LOAD = 6  # of the one that leads from a load to its pressure
_ROUNDED = 0.02  # share by which a worked-out number may be rounded
_SAME = 5e-3  # share within which two numbers are the same thing
_RATE = 20.0  # instants a second that are looked at for the middle of a way
_ELSE = mark("The answer")
_LETTERS = {
    "pressure": "p", "speed": "v", "time": "t", "power": "P", "torque": "T", "force": "F", "flow": "q", "ratio": "r",
    "displacement": "V", "length": "d", "temperature": "T", "shaft speed": "n", "energy": "W",
}  # fmt: skip
_NAMES = {
    "pressure": mark("The pressure"), "speed": mark("The speed"), "time": mark("The time"),
    "power": mark("The power"), "torque": mark("The torque"), "force": mark("The force"), "flow": mark("The flow"),
    "ratio": mark("The share"), "displacement": mark("The displacement"), "length": mark("The length"),
    "temperature": mark("The temperature"), "shaft speed": mark("The speed"), "energy": mark("The energy"),
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Given:
    """A number that a step needs: its letter, how it is written, what it is of, and its value [SI].

    ``lines`` are those whose pressures it tells.
    """

    letter: str
    shown: str
    source: str
    value: float
    quantity: str
    lines: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class ExampleStep:
    """One step: what is worked out, the formula, it with its numbers, and the result: in words, and its value [SI].

    ``unit`` is the one in which the result is written.
    """

    name: str
    formula: str
    filled: str
    result: str
    value: float
    quantity: str
    unit: Unit
    given: tuple[Given, ...]

    def met(self, written: str, system: System) -> bool:
        """Return whether a written number is the result, in its unit or a written one. Raises UnusableAnswer."""
        text = written.strip()
        for own in filter(None, (self.unit.pretty, self.unit.symbol)):
            text = text.removesuffix(own).rstrip()
        if (number := plain_number(text)) is not None:
            value = self.unit.value(number)
        elif units.symbols_of(self.quantity):
            value, _ = read_number(text, Scale(self.quantity, max(abs(self.value), 1e-9)), system)
        else:
            raise UnusableAnswer(tr("Write it in {unit}.").format(unit=self.unit.pretty))
        return abs(value - self.value) <= _ROUNDED * abs(self.value)


def example(posed: Posed, system: System) -> list[ExampleStep]:
    """Return the steps to a task's answer, which the last one gives; nothing where nothing is worked out."""
    if not posed.exercise.working:
        return []
    question = posed.exercise.question
    formula = question.answer if isinstance(question, Choice | Number) else None
    reading = _alone(posed, formula)
    if reading is not None and reading.what == "time":
        return _leading(_of_time(posed, reading, system), _pool(posed, _on_the_way(posed, reading), system))
    now = posed.instants()[1]
    pool = _pool(posed, now, system)

    def asked_for(line: str) -> list[ExampleStep]:
        return [_step(one, system) for one in about(posed.rig, now, Subject("line", line))]

    last = _of_answer(posed, pool)
    if last is None and formula is not None and reading is None:
        last = _written(posed, formula, system)
    if last is not None:
        return _leading(last, pool, asked_for)
    return max((_leading(one, pool) for one in pool), key=len, default=[])


def offered(exercise: Exercise) -> bool:
    """Whether there is an example for a task: one that is reckoned, with other numbers, and not of the last depth."""
    reckoned = isinstance(exercise.question, Choice | Number) and bool(exercise.working)
    return reckoned and bool(exercise.vary) and SHOWN[exercise.depth] != "alone"


def blanks(count: int) -> tuple[int, ...]:
    """Return which of so many steps are left to the learner in a half-worked example: the later half."""
    return tuple(range(count // 2, count))


def _pool(posed: Posed, now: Readings, system: System) -> list[ExampleStep]:
    return [_step(one, system) for one in workings(posed, now)]


def _step(one: Working, system: System) -> ExampleStep:
    given = tuple(
        Given(
            term.letter, term.shown(system), term.source, term.value, term.quantity,
            tuple(name for kind, name in term.refers_to if kind == "pressure"),
        )
        for term in one.used(system)
    )  # fmt: skip
    formula, filled, result = one.lines(system)
    unit = one.result.unit(system)
    return ExampleStep(tr(one.name), formula, filled, result, one.result.value, one.result.quantity, unit, given)


def _alone(posed: Posed, formula: Formula | None) -> Reading | None:
    """Return the reading that is the answer as it is."""
    if formula is None or not isinstance(formula.node, Letter):
        return None
    return posed.exercise.readings[formula.node.name]


def _of_answer(posed: Posed, pool: Sequence[ExampleStep]) -> ExampleStep | None:
    """Return the working that gives the answer's own number."""
    scale = posed.exercise.scale
    if scale is None or not math.isfinite(posed.answer):
        return None
    within = max(_SAME * abs(posed.answer), 0.1 * scale.error * scale.end)
    return next(
        (one for one in pool if one.quantity == scale.quantity and abs(one.value - posed.answer) <= within), None
    )


def _written(posed: Posed, formula: Formula, system: System) -> ExampleStep:
    """Return the formula of readings that an author has written as a step."""
    taken, small = posed.taken, posed.small
    scale = posed.exercise.scale
    assert scale is not None
    given = tuple(
        Given(letter, figure(taken.values[letter], taken.quantities[letter], system, small),
              called(posed.rig, posed.exercise.readings[letter]), taken.values[letter], taken.quantities[letter])
        for letter in sorted(formula.letters, key=formula.words.index)
    )  # fmt: skip
    shown = {one.letter: one.shown for one in given}
    return _made(
        posed, scale.quantity, spoken(formula.node, str), spoken(formula.node, shown.__getitem__), given, system
    )


def _of_time(posed: Posed, reading: Reading, system: System) -> ExampleStep:
    """Return the step from a way and its mean speed to the time that it takes."""
    way = abs(reading.way[1] - reading.way[0])
    speed = way / posed.answer
    given = (
        Given("s", figure(way, "length", system, posed.small), tr("the way"), way, "length"),
        Given("v", figure(speed, "speed", system, posed.small), tr("the mean speed on it"), speed, "speed"),
    )
    return _made(posed, "time", "s / v", f"{given[0].shown} / {given[1].shown}", given, system)


def _made(
    posed: Posed, quantity: str, formula: str, filled: str, given: tuple[Given, ...], system: System
) -> ExampleStep:
    taken = {one.letter for one in given}
    letter = next(one for one in (_LETTERS.get(quantity, "x"), "x", "y", "z") if one not in taken)
    result = f"{letter} = {posed.figure(posed.answer, system)}"
    name = tr(_NAMES.get(quantity, _ELSE))
    words = f"{letter} = {formula}", f"{letter} = {filled}", result
    return ExampleStep(name, *words, posed.answer, quantity, posed.unit(system), given)


def _on_the_way(posed: Posed, reading: Reading) -> Readings:
    """Return the readings in the middle of a way."""
    exercise, middle = posed.exercise, sum(reading.way) / 2
    run = dict(exercise.all_runs())[reading.run]
    session = posed.courses.session(exercise, posed.numbers, reading.run)
    before = session.readings.place(reading.name)
    for time in lead(session, run.hands, run.until, _RATE):
        place = session.readings.place(reading.name)
        if time > run.begin and (place - middle) * (before - middle) <= 0:
            break
        before = place
    return session.readings


def _leading(
    last: ExampleStep, pool: Sequence[ExampleStep],
    asked_for: Callable[[str], Sequence[ExampleStep]] = lambda _: (),
) -> list[ExampleStep]:  # fmt: skip
    """Return the steps whose results the last one needs, each before it is needed, then itself.

    ``asked_for`` gives the steps of a line: a pressure that is itself that of a line, such as the one that a load
    asks for behind the drops, is led back to its load and area, once.
    """
    found, wanted, led = [last], [*last.given], False
    while wanted and len(found) < _MOST:
        need = wanted.pop(0)
        one = _giving(need, pool, found, _SIMPLE)
        if one is None and not led and need.quantity == "pressure" and len(need.lines) == 1:
            one = _giving(need, asked_for(need.lines[0]), found, _OF_LOAD)
            led = one is not None
        if one is not None:
            found.insert(0, one)
            wanted += one.given
    return found


def _giving(
    need: Given, pool: Iterable[ExampleStep], found: Sequence[ExampleStep], letters: int
) -> ExampleStep | None:
    """Return the first step, of at most so many letters, that gives a number and is not there yet.

    None that needs what it is to lead to: the two pressures of a cylinder follow from one another.
    """
    for one in pool:
        if one in found or not need.value or not _gives(one, need) or len(one.given) > letters:
            continue
        if not any(_gives(later, other) for later in found for other in one.given):
            return one
    return None


def _gives(one: ExampleStep, need: Given) -> bool:
    return one.quantity == need.quantity and math.isclose(one.value, need.value, rel_tol=_SAME)
