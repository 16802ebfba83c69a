"""A task with a seat's numbers in it: what is offered, what is right, and why not the rest.

What is right is read off the task's own run, and never stands in a file. ``Opener`` draws numbers again where a run
does not settle, options come too close or two of them are right.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field

from trainer import units
from trainer.engine.readings import Readings
from trainer.errors import SpoolroomError
from trainer.language import tr
from trainer.lessons import bank
from trainer.lessons.bank import Bank
from trainer.lessons.filling import Filler, about
from trainer.lessons.lesson import Choice, Exercise, Lesson, Names, Number, Order, Places, Slip
from trainer.lessons.question_file import ROLES, letters_of
from trainer.lessons.readings import NoReading
from trainer.lessons.running import Courses, Taken, rig_of, with_numbers
from trainer.lessons.seats import Seed
from trainer.lessons.seen import offered, what_it_did
from trainer.measuring.instruments import USUAL_ERROR
from trainer.parts.part import Control, Parameter
from trainer.parts.roles import Actuator
from trainer.rig.rig import Rig
from trainer.units import System

__all__ = ["OWN", "RIGHT", "Opener", "Option", "Posed", "Problem", "Reason", "problems"]

RIGHT = "right"  # the id of the option and of the reason that are as read
OWN = "own"  # the id of a reason that is written
_DRAWS = 24
_SMALL = 5e-3 / 60  # pumps that move less make a small rig [m3/s]


@dataclass(frozen=True, slots=True)
class Option:
    """One of the options: its id, its value [SI] where it has one, its words, and what shows in who takes it."""

    id: str
    words: str  # with brackets for numbers
    value: float | None = None
    slip: Slip | None = None


@dataclass(frozen=True, slots=True)
class Reason:
    """One of the reasons offered; the wrong ones are wrong ideas by their ids."""

    id: str
    words: str
    slip: Slip | None = None


@dataclass(frozen=True, slots=True)
class Problem:
    """What is wrong with a task as its run turns out: a short name, what, and what to do about it."""

    kind: str
    problem: str
    remedy: str


@dataclass(frozen=True, slots=True)
class Posed:
    """A task ready to be asked. ``numbers`` [SI] are those that the seat has instead of the rig's.

    ``right`` is what is as read: ids of options, places, or items in their order.
    """

    lesson: str
    exercise: Exercise
    seed: Seed
    numbers: Mapping[str, float]
    rig: Rig
    taken: Taken
    reasons: tuple[Reason, ...]
    options: tuple[Option, ...] = ()
    right: tuple[str, ...] = ()
    answer: float = math.nan
    asked: tuple[str, ...] = ()  # of symbols: the parts and lines whose names are asked
    bank: Bank = field(default_factory=bank.shipped, repr=False)
    courses: Courses = field(default_factory=Courses, repr=False)

    @property
    def small(self) -> bool:
        """Whether it is a small rig, whose powers are told in W."""
        return 0 < self.rig.delivery < _SMALL

    @property
    def filler(self) -> Filler:
        """What fills its texts with numbers: readings by letter, numbers of the rig by "part.name"."""
        figures = {letter: (value, self.taken.quantities[letter]) for letter, value in self.taken.values.items()}
        return Filler(_Figures(figures, self.exercise, self.numbers), self.small)

    def text(self, words: str, system: System, value: float | None = None) -> str:
        """Return a text with its numbers; {N} is ``value`` [SI]."""
        scale = self.exercise.scale
        more = {}
        if scale is not None:
            more = {"unit": self.unit(system).pretty, "most": self.figure(self.most, system)}
        if value is not None and scale is not None:
            more["N"] = self.figure(value, system)
        return self.filler.fill(words, system, **more)

    def figure(self, value: float, system: System, digits: int = 3) -> str:
        """Return a value [SI] of what is asked with its unit."""
        scale = self.exercise.scale
        assert scale is not None
        if abs(value) < 0.1 * scale.error * scale.end:  # no needle tells it from nothing
            value = 0.0
        return about(value, scale.quantity, self.asked_in(system), self.small, digits)

    def figure_to(self, value: float, system: System, decimals: int) -> str:
        """Return a value [SI] of what is asked with its unit, to so many decimals."""
        scale = self.exercise.scale
        assert scale is not None
        unit, _ = units.shown_with(scale.quantity, self.asked_in(system), self.small)
        if round(unit.number(value), decimals) == 0:  # nothing has no decimals
            decimals = 0
        return " ".join(units.text_in(value, unit, decimals)).rstrip()

    def asked_in(self, system: System) -> System:
        """Return the unit system in which a number is asked for on a screen of one."""
        question = self.exercise.question
        return system.other if isinstance(question, Number) and question.other else system

    def unit(self, system: System) -> units.Unit:
        """Return the unit in which a number is asked for."""
        scale = self.exercise.scale
        assert scale is not None
        return units.shown_unit(scale.quantity, self.asked_in(system))

    @property
    def most(self) -> float:
        """The largest number that is right [SI]: of a design, else the answer."""
        question = self.exercise.question
        if isinstance(question, Number) and question.most is not None:
            return question.most.value(self.taken.values)
        return self.answer

    def situation(self, system: System) -> str:
        """Return the situation in words."""
        return self.text(self.exercise.situation, system)

    def question(self, system: System) -> str:
        """Return the question in words."""
        return self.text(self.exercise.question.words, system)

    def option_words(self, system: System) -> dict[str, str]:
        """Return what is offered, by ids, as they are offered."""
        figures = self.option_figures(system)
        return {
            option.id: tr("about {value}").format(value=figures[option.id])
            if option.id in figures
            else self.text(option.words, system)
            for option in self.options
        }

    def option_figures(self, system: System) -> dict[str, str]:
        """Return the values that are offered, by ids, to two figures if that parts them."""
        values = {option.id: option.value for option in self.options if option.value is not None}
        digits = 2
        if len({self.figure(value, system, 2) for value in values.values()}) < len(values):
            digits = 3
        return {id_: self.figure(value, system, digits) for id_, value in values.items()}

    def option(self, id_: str) -> Option:
        """Return one of the options. Raises KeyError."""
        return {option.id: option for option in self.options}[id_]

    @property
    def answers(self) -> tuple[str, ...]:
        """The ids that may be answered, in the order in which they are offered."""
        question = self.exercise.question
        if isinstance(question, Order):
            return tuple(self.seed.shuffled("items", [*question.items]))
        if isinstance(question, Places):
            return tuple(question.places)
        return tuple(option.id for option in self.options)

    def seen(self) -> str:
        """Return what the watched reading did over the run, one of ``SEEN``; "" where nothing is watched."""
        exercise = self.exercise
        if not exercise.seen:
            return ""
        reading = exercise.readings[exercise.seen]
        values = [value for _, value in self.taken.course.since(reading.course, exercise.run.begin)]
        scale = exercise.scale
        same_kind = scale is not None and scale.quantity == self.taken.quantities[exercise.seen]
        error = scale.error * scale.end if same_kind and scale is not None else USUAL_ERROR * max(map(abs, values))
        return what_it_did(values, error)

    def seen_choices(self) -> tuple[str, ...]:
        """Return what may be said to have been seen, three of ``SEEN``; nothing where nothing is watched."""
        did = self.seen()
        return offered(did, self.seed.number("seen")) if did else ()

    @property
    def asked_places(self) -> tuple[tuple[str, str], ...]:
        """Where what is to be named stands on the drawing: ("part", id) or ("line", name)."""
        return tuple(("part" if id_ in self.rig.parts else "line", id_) for id_ in self.asked)

    def item_places(self) -> dict[str, tuple[tuple[str, str], ...]]:
        """Return where things that are put in order stand on the drawing: a part, then its rod or shaft, by name.

        Nothing of those that have no place of their own.
        """
        question = self.exercise.question
        assert isinstance(question, Order)
        found: dict[str, tuple[tuple[str, str], ...]] = {}
        for name, item in question.items.items():
            read = [self.exercise.readings[letter] for letter in item.by.letters]
            names = {reading.name.partition(".")[0] for reading in read}
            found[name] = self._places(names.pop()) if len(names) == 1 else ()
        return {name: those for name, those in found.items() if those and [*found.values()].count(those) == 1}

    def _places(self, name: str) -> tuple[tuple[str, str], ...]:
        rig = self.rig
        if name in rig.parts:
            return (("part", name),)
        moved = [id_ for id_, role in rig.having(Actuator).items() if rig.line_of(id_, role.output).name == name]
        own = (("line", name),) if name in rig.lines else ()
        return (*(("part", id_) for id_ in moved[:1]), *own)

    def instants(self) -> tuple[Readings, Readings]:
        """Return all readings where it is asked and at the end of its run; they are worked out anew."""
        return self.courses.readings(self.exercise, self.numbers)


class _Figures(Mapping[str, tuple[float, str]]):
    """Readings by letter, and numbers by "part.name" or "part.name in run", looked up when they are asked for."""

    def __init__(
        self, figures: Mapping[str, tuple[float, str]], exercise: Exercise, numbers: Mapping[str, float]
    ) -> None:
        self._figures, self._exercise, self._numbers = figures, exercise, numbers

    def __getitem__(self, name: str) -> tuple[float, str]:
        if name in self._figures:
            return self._figures[name]
        name, _, of = name.partition(" in ")
        part, _, own = name.partition(".")
        run = with_numbers(self._exercise, dict(self._exercise.all_runs())[of], self._numbers)
        rig = rig_of(self._exercise, run, {})
        if part == "oil":
            warmth = run.then.get(name, rig.oil.temperature)
            return (warmth, "temperature") if own == "temperature" else (rig.oil.air, "ratio")
        fitted = rig.parts[part]
        known = {**fitted.part.declared(Parameter), **fitted.part.declared(Control)}[own]
        if name in run.then:
            return run.then[name], known.quantity
        if own in fitted.part.declared(Control):
            return rig.start.get(name, known.start), known.quantity
        return rig.value(part, own), known.quantity

    def __iter__(self) -> Iterator[str]:
        return iter(self._figures)

    def __len__(self) -> int:
        return len(self._figures)


@dataclass(slots=True)
class Opener:
    """Opens tasks with the numbers of a seat."""

    courses: Courses
    bank: Bank = field(default_factory=bank.shipped)

    def open(self, lesson: Lesson, exercise: str, seat: int, attempt: int = 0) -> Posed:
        """Return a task with a seat's numbers; those that make no fair task are drawn again.

        Where none of the draws does, it has the rig's own numbers. Raises SpoolroomError where these make none
        either, KeyError for a task that is not there.
        """
        one = lesson.exercises[exercise]
        for draw in range(_DRAWS):
            seed = Seed(lesson.id, exercise, seat, attempt, draw)
            numbers = seed.numbers(one.vary)
            try:
                posed = self.posed(one, seed, numbers)
            except SpoolroomError:
                continue
            if not problems(posed):
                return posed
            if not one.vary:
                break
        posed = self.posed(one, Seed(lesson.id, exercise, seat, attempt, _DRAWS), {})
        if found := problems(posed):
            raise SpoolroomError(f"{lesson.title}, {exercise}: {found[0].problem}")
        return posed

    def posed(self, exercise: Exercise, seed: Seed, numbers: Mapping[str, float]) -> Posed:
        """Return a task with some numbers, whatever comes of it. Raises SpoolroomError where it cannot run."""
        try:
            taken = self.courses.take(exercise, numbers)
        except NoReading as error:
            raise SpoolroomError(str(error)) from None
        options, right, answer = _offered(exercise, taken.values)
        shuffled = seed.shuffled("options", options)
        rig = rig_of(exercise, exercise.run, numbers)
        asked: tuple[str, ...] = ()
        if isinstance(exercise.question, Names):
            asked = tuple(seed.shuffled("names", [*exercise.question.terms])[: exercise.question.count])
        return Posed(
            seed.lesson, exercise, seed, numbers, rig, taken, self._reasons(exercise, seed, options),
            tuple(shuffled), right, answer, asked, self.bank, self.courses,
        )  # fmt: skip

    def _reasons(self, exercise: Exercise, seed: Seed, options: Sequence[Option]) -> tuple[Reason, ...]:
        """Return the right reason and the wrong ideas of a task, shuffled; none where there is nothing to choose."""
        if not exercise.reason:
            return ()
        slips = {slip.id: slip for slip in exercise.slips if slip.offered}
        slips |= {one.slip.id: one.slip for one in options if one.slip is not None}
        found = [Reason(RIGHT, self.bank.reasons[exercise.reason])]
        found += [Reason(slip.id, slip.idea, slip) for slip in slips.values() if slip.idea != "—"]
        return tuple(seed.shuffled("reasons", found)) if len(found) > 1 else ()


def _offered(exercise: Exercise, values: Mapping[str, float]) -> tuple[list[Option], tuple[str, ...], float]:
    """Return the options of a task, which of them are right, and the number that is as read."""
    question = exercise.question
    match question:
        case Choice() if question.answer is None:
            options = [
                Option(f"{k}", one.words, None, None if one.when.holds(values) else one.slip)
                for k, one in enumerate(question.options, 1)
            ]
            return options, tuple(option.id for option in options if option.slip is None), math.nan
        case Choice() if question.answer is not None:
            answer = question.answer.value(values)
            options = [Option(RIGHT, "", answer)]
            for slip in exercise.slips:
                if slip.formula is not None and slip.offered:
                    options.append(Option(slip.id, "", slip.formula.value(values), slip))
            return options, (RIGHT,), answer
        case Number():
            return [], (), question.answer.value(values)
        case Order():
            by = {name: item.by.value(values) for name, item in question.items.items()}
            return [], tuple(sorted(by, key=lambda name: by[name])), math.nan
        case Places():
            return [], _right_places(exercise, question, values), math.nan
    return [], (), math.nan


def _right_places(exercise: Exercise, question: Places, values: Mapping[str, float]) -> tuple[str, ...]:
    if question.role:
        return tuple(exercise.rig.having(ROLES[question.role]))
    sizes = {name: place.by.value(values) for name, place in question.places.items() if place.by is not None}
    return (max(sizes, key=lambda name: sizes[name]),)


# -- what makes a task that cannot be asked ------------------------------------------------------------------------


def problems(posed: Posed) -> list[Problem]:
    """Return what is wrong with a task as its run turned out; empty where it can be asked."""
    found = []
    question, taken = posed.exercise.question, posed.taken
    if taken.rough:
        problem = tr("its run could only be worked out roughly.")
        found.append(Problem("rough run", problem, tr("Choose milder numbers or slower hands.")))
    needed = _needed(posed)
    if moving := [letter for letter in taken.moving if letter in needed]:
        found.append(
            Problem(
                "unsettled",
                tr("{letters} still moves when the run ends.").format(letters=", ".join(moving)),
                tr("Let the run end later, or at rest."),
            )
        )
    lost = [letter for letter in sorted(needed) if math.isnan(taken.values[letter])]
    if lost:
        found.append(
            Problem(
                "no reading",
                tr("{letters} does not come about in the run.").format(letters=", ".join(lost)),
                tr("Let the run go on until it does."),
            )
        )
        return found
    match question:
        case Choice() if question.answer is None:
            found += _of_words(posed, question)
        case Choice() | Number():
            found += _of_values(posed)
        case Order():
            by = sorted(item.by.value(taken.values) for item in question.items.values())
            if any(later - one < question.apart for one, later in itertools.pairwise(by)):
                found.append(
                    Problem("tie", tr("two things come at the same time."), tr("Take numbers that part them."))
                )
        case Places() if not question.role:
            sizes = sorted(place.by.value(taken.values) for place in question.places.values() if place.by is not None)
            if not sizes[-1] - sizes[-2] > 0.05 * abs(sizes[-1]):
                found.append(
                    Problem("two right", tr("two places are right."), tr("Take a formula that tells them apart."))
                )
        case Places() if not posed.right:
            found.append(Problem("none right", tr("the rig has no such part."), tr("Ask for another role.")))
    return found


def _needed(posed: Posed) -> set[str]:
    """Return the letters on which right and wrong depend."""
    needed = letters_of(posed.exercise.question)
    for slip in posed.exercise.slips:
        needed |= slip.formula.letters if slip.formula is not None else frozenset()
    return needed


def _of_words(posed: Posed, question: Choice) -> list[Problem]:
    found = []
    values = posed.taken.values
    if len(posed.right) != 1:
        number = len(posed.right)
        problem = tr("no option is right.") if not number else tr("{number} options are right.").format(number=number)
        remedy = tr("Mend the conditions: exactly one may hold in every run.")
        found.append(Problem("two right" if number else "none right", problem, remedy))
    for k, option in enumerate(question.options, 1):
        if option.when.undecided(values):
            problem = tr("option {k}, '{words}', is neither true nor false enough.").format(
                k=k, words=option.when.words
            )
            found.append(Problem("undecided", problem, tr("Compare with a number that is further away.")))
    return found


def _of_design(posed: Posed, question: Number) -> Iterator[Problem]:
    """Yield what is wrong with a range of right numbers: nothing in it, or a wrong idea."""
    low, high = posed.answer, posed.most
    if not low < high or (question.sizes and not any(low <= size <= high for size in question.sizes)):
        yield Problem("none right", tr("no size will do."), tr("Ask for less, or leave more room."))
    for slip in posed.exercise.slips:
        if slip.formula is not None and low <= slip.formula.value(posed.taken.values) <= high:
            problem = tr("{name} gives a number that will do.").format(name=slip.id)
            yield Problem("two right", problem, tr("Take it out, or leave less room."))


def _of_values(posed: Posed) -> list[Problem]:
    scale = posed.exercise.scale
    assert scale is not None
    named = {RIGHT: posed.answer}
    for slip in posed.exercise.slips:
        if slip.formula is not None:
            named[slip.id] = slip.formula.value(posed.taken.values)
    found: list[Problem] = []
    question = posed.exercise.question
    if isinstance(question, Number) and question.most is not None:
        found += _of_design(posed, question)
        named["most"] = posed.most
    for name, value in named.items():
        if not math.isfinite(value):
            problem = tr("{name} gives no number.").format(name=name)
            found.append(Problem("no number", problem, tr("Mend its formula: it divides by nothing.")))
    ordered = sorted((value, name) for name, value in named.items() if math.isfinite(value))
    for (value, name), (other, following) in itertools.pairwise(ordered):
        if other - value < scale.apart:
            unit = units.shown_unit(scale.quantity, System.METRIC)
            gap, least = ((one / unit.factor) for one in (other - value, scale.apart))
            problem = tr(
                "{name} and {following} are {gap:.3g} {unit} apart, less than three errors, {least:.3g}."
            ).format(name=name, following=following, gap=gap, unit=unit.symbol, least=least)
            remedy = tr("Leave one out, fit a finer scale, or take numbers that part them.")
            found.append(Problem("too close", problem, remedy))
    return found
