"""Marking: an answer and its reason against what the run gave, and the text that belongs to what was chosen."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import msgspec

from trainer import units
from trainer.drawing.instruments import scale_of
from trainer.errors import UnitError
from trainer.language import tr
from trainer.lessons.bank import accepted, plain
from trainer.lessons.filling import given
from trainer.lessons.lesson import (
    Choice,
    Counts,
    Names,
    Number,
    Order,
    OwnWords,
    Places,
    Question,
    Relief,
    Scale,
    Slip,
    Trace,
)
from trainer.lessons.posing import OWN, RIGHT, Posed
from trainer.measuring.validity import Verdict as SheetVerdict
from trainer.measuring.validity import verdict as sheet_verdict
from trainer.rig.live import Live
from trainer.rig.names import capital, line_words, part_words
from trainer.rig.rig import Rig
from trainer.tracing.question import PathQuestion
from trainer.units import System

__all__ = [
    "RECOGNISED", "Answer", "ReliefWork", "SheetReading", "UnusableAnswer", "Verdict", "as_written", "judge",
    "plain_number", "read_number", "slip_text", "written",
]  # fmt: skip

RECOGNISED = 0.03  # of a slip's number: what comes so near to it is that slip
_DECIMALS = re.compile(r"[.,](\d+)")
_MADE = 0.01  # of a size: what comes so near to it is it


@dataclass(frozen=True, slots=True)
class ReliefWork:
    """How a relief was set: what was read with all the oil over it [Pa], and what was done on the way.

    ``full_flow``: nothing else took oil at that reading. ``longest``: the longest that it blew at a stretch [s].
    """

    read: float
    full_flow: bool
    backed_off: bool
    locked: bool
    longest: float


@dataclass(frozen=True, slots=True)
class SheetReading:
    """A reading that was taken to be compared with the sheet, and how it stood against it at that instant."""

    found: SheetVerdict

    @classmethod
    def taken(cls, rig: Rig, live: Live, instrument: str, figure: float, resting: bool = True) -> SheetReading:
        """Return what was read off an instrument [SI] at an instant, its needle at rest or not."""
        found = sheet_verdict(rig, live, instrument, figure, resting)
        assert found is not None
        return cls(found)


Answer = str | Sequence[str] | Sequence[tuple[str, str]] | Mapping[str, str] | ReliefWork | SheetReading


def written(answer: ReliefWork | SheetReading) -> str:
    """Return what was done with the hands as a text that can be kept."""
    return msgspec.json.encode(answer).decode()


def as_written(question: Question, text: str) -> Answer:
    """Return the answer that a kept text is. Raises UnusableAnswer for one that cannot be read."""
    try:
        if isinstance(question, Relief):
            return msgspec.json.decode(text, type=ReliefWork)
        return msgspec.json.decode(text, type=SheetReading) if isinstance(question, Counts) else text
    except msgspec.DecodeError:
        raise UnusableAnswer(tr("Take the reading first.")) from None


class UnusableAnswer(ValueError):
    """An answer that cannot be taken yet, and what to write; the task stays as it was."""


@dataclass(frozen=True, slots=True)
class Verdict:
    """What came of an answer. ``right`` is None for what only a person can judge.

    ``slip``: the id of the wrong idea that it shows, also where only the reason shows it. ``text`` explains it.
    ``said``, ``read``, ``apart`` are what was answered, what was read and the difference, as they are shown.
    ``reasoned``: whether the reason was the right one, None where none was asked or a person has to judge it.
    ``share`` of what was asked that was right.
    """

    right: bool | None
    text: str
    said: str = ""
    read: str = ""
    apart: str = ""
    slip: str = ""
    reasoned: bool | None = None
    share: float = 0.0

    @property
    def whole(self) -> bool:
        """Whether answer and reason are both right."""
        return bool(self.right) and self.reasoned is not False


def judge(posed: Posed, answer: Answer, reason: str = "", system: System = System.METRIC) -> Verdict:
    """Return the verdict on an answer. Raises UnusableAnswer for one that cannot be taken, KeyError for no option."""
    question = posed.exercise.question
    match question:
        case Choice():
            found = _choice(posed, str(answer), system)
        case Number():
            found = _number(posed, question, str(answer), system)
        case Order():
            found = _order(posed, question, _names_of(answer), system)
        case Places():
            found = _place(posed, question, str(answer), system)
        case Names():
            found = _symbols(posed, answer, system)
        case Trace():
            found = _trace(posed, question, answer, system)
        case Relief():
            found = _relief(posed, question, answer, system)
        case Counts():
            found = _counts(posed, answer, system)
        case OwnWords():
            found = _own_words(posed, question, str(answer), system)
    return _with_reason(posed, found, reason)


def _with_reason(posed: Posed, found: Verdict, reason: str) -> Verdict:
    """Return a verdict with its reason, its text the answer's own; a wrong reason of a right answer is its slip.

    A reason of one's own is none that is known: a person has to judge it.
    """
    if not posed.reasons or reason in ("", OWN):
        return found
    chosen = {one.id: one for one in posed.reasons}[reason]
    slip = chosen.slip.id if chosen.slip is not None and found.right else found.slip
    return replace(found, slip=slip, reasoned=chosen.id == RIGHT)


def _why(posed: Posed, system: System) -> str:
    return posed.text(posed.exercise.why, system, posed.answer if posed.answer == posed.answer else None)


def slip_text(posed: Posed, slip: Slip, system: System, value: float | None = None) -> str:
    """Return what shows in a wrong idea: what its number is."""
    if value is None and slip.formula is not None:
        value = slip.formula.value(posed.taken.values)
    if value is None or posed.exercise.scale is None:
        if "{N}" in slip.why:
            return slip.idea
        return posed.text(slip.why, system)
    return capital(posed.text(slip.why, system, value))


# -- options and numbers -------------------------------------------------------------------------------------------


def _choice(posed: Posed, id_: str, system: System) -> Verdict:
    option, words = posed.option(id_), posed.option_words(system)
    right = id_ in posed.right
    read = posed.figure(posed.answer, system) if option.value is not None else words[posed.right[0]]
    if right or option.slip is None:
        return Verdict(True, _why(posed, system), words[id_], read, share=1.0)
    text = slip_text(posed, option.slip, system, option.value)
    if option.value is None:
        return Verdict(False, text, words[id_], read, slip=option.slip.id)
    said, read, apart = _alike(posed.option_figures(system)[id_], option.value, posed, system)
    return Verdict(False, text, tr("about {value}").format(value=said), read, apart, option.slip.id)


def _alike(offered: str, value: float, posed: Posed, system: System) -> tuple[str, str, str]:
    """Return a value [SI] that was offered, what was read and the difference of both, as shown with figures alike.

    They have the decimals of what was offered, or more where less than two figures of the reading would be left.
    """
    least = posed.figure(posed.answer, system, 2)
    decimals = max(_decimals(offered), _decimals(least))
    said, read = (posed.figure_to(one, system, decimals) for one in (value, posed.answer))
    return said, read, _between(said, read)


def read_number(written: str, scale: Scale, system: System, only: bool = False) -> tuple[float, str]:
    """Return a written number [SI], and in words what it is in the unit of a system where it has another.

    ``only``: no other unit will do. Raises UnusableAnswer with what to write: nothing there, no number, another
    quantity or unit, beyond the scale.
    """
    text = written.strip().replace("−", "-").replace("\u00a0", " ")
    unit = units.shown_unit(scale.quantity, system)
    if not text:
        raise UnusableAnswer(tr("Write a reading first, such as 20."))
    if (number := plain_number(text)) is not None:
        value, told = unit.value(number), ""
    else:
        try:
            value = units.read(_pointed(text), scale.quantity)
        except UnitError as error:
            if not any(c.isdigit() for c in text):
                raise UnusableAnswer(tr("That is not a number.")) from None
            raise UnusableAnswer(str(error)) from None
        same = units.symbol_of(_pointed(text)) in (unit.symbol, unit.pretty)
        if only and not same:
            raise UnusableAnswer(tr("Write it in {unit}.").format(unit=unit.pretty))
        told = "" if same else f"{text} = {' '.join(units.text(value, scale.quantity, system)).rstrip()}"
    dial = scale_of(scale.end, scale.quantity, system)  # as its numerals stand in these units
    if scale.instrument and not -0.02 * scale.end <= value <= 1.001 * unit.value(dial.end):
        end = f"{dial.end:g} {dial.symbol}"
        raise UnusableAnswer(
            tr("{told} The scale reads 0 to {end}.").format(told=f"{told}." if told else "", end=end).strip()
        )
    return value, told


def _pointed(text: str) -> str:
    """Return a written number with a point for its comma."""
    head, _, rest = text.partition(" ")
    return f"{head.replace(',', '.')} {rest}".strip() if head.count(",") == 1 and "." not in head else text


def plain_number(text: str) -> float | None:
    """Return a number that is written without a unit, None for what is none."""
    text = text.replace("−", "-")
    try:
        return float(_pointed(text)) if text[-1:].isdigit() or text[-1:] in (".", ",") else None
    except ValueError:
        return None


def _number(posed: Posed, question: Number, written: str, system: System) -> Verdict:
    value, told = read_number(written, question.scale, posed.asked_in(system), question.other)
    answer, most, scale = posed.answer, posed.most, question.scale
    within = max(
        question.tolerance, question.share * abs(answer), scale.error * scale.end if scale.instrument else 0.0
    )
    off = max(answer - value, value - most, 0.0)
    read, highest = posed.figure(answer, system), posed.figure(most, system)
    said = told or posed.figure_to(value, system, max(_decimals(read), _decimals(written)))
    apart = _between(said.rpartition(" = ")[2], highest if value > most else read) if off > 0 else ""
    if most > answer:
        read = tr("{least} to {most}").format(least=read, most=highest)
    if off <= within and question.sizes and not any(abs(value - one) <= _MADE * one for one in question.sizes):
        sizes = ", ".join(given(one, scale.quantity, system) for one in question.sizes if answer <= one <= most)
        text = tr("{said} would do, but nobody makes it: take {sizes}.").format(said=said, sizes=sizes)
        return Verdict(False, text, said, read, apart)
    if off <= within:
        return Verdict(True, _why(posed, system), said, read, apart, share=1.0)
    for slip in posed.exercise.slips:
        if slip.formula is None:
            continue
        other = slip.formula.value(posed.taken.values)
        if abs(value - other) <= RECOGNISED * abs(other):
            return Verdict(False, slip_text(posed, slip, system, other), said, read, apart, slip.id)
    return Verdict(False, _why(posed, system), said, read, apart)


def _decimals(shown: str) -> int:
    """Return how many decimals a figure has that is shown or was typed."""
    match = _DECIMALS.search(shown)
    return len(match[1]) if match is not None else 0


def _between(one: str, other: str) -> str:
    """Return the difference of two figures as they are shown, in the unit of both."""
    first, second = (float(shown.split()[0].replace("−", "-")) for shown in (one, other))
    unit = other.partition(" ")[2]
    return f"{abs(first - second):.{max(_decimals(one), _decimals(other))}f} {unit}".rstrip()


# -- order and places ----------------------------------------------------------------------------------------------


def _names_of(answer: Answer) -> tuple[str, ...]:
    if isinstance(answer, (ReliefWork, SheetReading, Mapping, str)):
        raise UnusableAnswer(tr("Choose one after the other."))
    return tuple(str(one) for one in answer)


def _order(posed: Posed, question: Order, names: tuple[str, ...], system: System) -> Verdict:
    if sorted(names) != sorted(question.items):
        raise UnusableAnswer(tr("Put all {count} in order, each once.").format(count=len(question.items)))

    def told(order: Sequence[str]) -> str:
        return tr(", then ").join(posed.text(question.items[name].words, system) for name in order)

    right = names == posed.right
    share = sum(one == other for one, other in zip(names, posed.right, strict=True)) / len(names)
    if right:
        return Verdict(True, _why(posed, system), told(names), told(posed.right), share=1.0)
    slip = next((slip for slip in posed.exercise.slips if slip.order == names), None)
    if slip is None:
        return Verdict(False, _why(posed, system), told(names), told(posed.right), share=share)
    return Verdict(False, slip_text(posed, slip, system), told(names), told(posed.right), "", slip.id, share=share)


def _place(posed: Posed, question: Places, name: str, system: System) -> Verdict:
    rig = posed.rig

    def told(one: str) -> str:
        return part_words(rig, one) if one in rig.parts else line_words(rig, one)

    if name not in rig.parts and name not in rig.lines:
        raise UnusableAnswer(tr("Click a part or a line of the drawing."))
    read = tr(" or ").join(told(one) for one in posed.right)
    if name in posed.right:
        return Verdict(True, _why(posed, system), told(name), read, share=1.0)
    place = question.places.get(name)
    if place is None or place.slip is None:
        return Verdict(False, _why(posed, system), told(name), read)
    return Verdict(False, slip_text(posed, place.slip, system), told(name), read, "", place.slip.id)


# -- names, paths, words -------------------------------------------------------------------------------------------


def _symbols(posed: Posed, answer: Answer, system: System) -> Verdict:
    question = posed.exercise.question
    assert isinstance(question, Names)
    if not isinstance(answer, Mapping):
        raise UnusableAnswer(tr("Write a name at each of the symbols."))
    wrong, good = [], 0
    for k, id_ in enumerate(posed.asked, 1):
        called = id_ if id_ in posed.rig.parts else tr("number {number}").format(number=k)  # a line has no sign
        terms = question.terms[id_]
        if accepted(answer.get(id_, ""), terms):
            good += 1
        else:
            said = answer.get(id_, "").strip()
            wrong.append(
                tr("{part}: {term}, not {said}").format(part=called, term=terms[0], said=said)
                if said
                else tr("{part}: {term}").format(part=called, term=terms[0])
            )
    count = len(posed.asked)
    told = tr("{good} of {count}. {wrong}").format(good=good, count=count, wrong="; ".join(wrong))
    text = told if wrong else _why(posed, system)
    told = tr("{good} of {count}").format(good=good, count=count)
    return Verdict(good >= min(question.enough, count), text, told, share=good / count if count else 0.0)


def _trace(posed: Posed, question: Trace, answer: Answer, system: System) -> Verdict:
    """Mark a path that was chosen place by place: right where each was so at the first try."""
    if isinstance(answer, (str, Mapping, ReliefWork, SheetReading)):
        raise UnusableAnswer(tr("Click the path, place by place."))
    asked = PathQuestion(posed.instants()[1])
    first_miss, good = "", 0
    for one in answer:
        kind, name = one if not isinstance(one, str) else ("part" if one in posed.rig.parts else "line", one)
        found = asked.choose(kind, name, system)
        good += found.step is not None
        if found.step is None and not first_miss:
            first_miss = found.words
    reached = {step.place[1] for step in asked.told}
    reached |= {way.part for step in asked.told for way in step.ways}
    there = asked.done if not question.to else question.to in reached
    right = there and not first_miss
    said = tr("{good} of {count} places").format(good=good, count=len(answer))
    text = _why(posed, system) if right else first_miss or tr("The path goes on from there.")
    return Verdict(right, text, said, share=good / len(answer) if answer else 0.0)


def _own_words(posed: Posed, question: OwnWords, written: str, system: System) -> Verdict:
    """Tell which ideas are in a text; whether it is right is for a person to say."""
    if not written.strip():
        raise UnusableAnswer(tr("Write a sentence first."))
    said = f" {plain(written)} "
    found = [name for name, words in question.ideas.items() if any(plain(word) in said for word in words)]
    missed = [name for name in question.ideas if name not in found]
    text = _why(posed, system)
    if missed:
        text = tr("Not in it yet: {missed}. {why}").format(missed=", ".join(missed), why=text)
    return Verdict(
        None, text, written.strip(),
        tr("{found} of {count} ideas").format(found=len(found), count=len(question.ideas)),
        share=len(found) / len(question.ideas),
    )  # fmt: skip


# -- what is done with the hands -----------------------------------------------------------------------------------


def _relief(posed: Posed, question: Relief, answer: Answer, system: System) -> Verdict:
    if not isinstance(answer, ReliefWork):
        raise UnusableAnswer(tr("Set the relief, then read the gauge."))
    missed = []
    if not answer.backed_off:
        missed.append(tr("back the screw off first, so that it comes up from below"))
    if not answer.full_flow:
        missed.append(tr("read it with all the oil over it: with less it reads lower"))
    if not answer.locked:
        missed.append(tr("tighten the lock-nut and read again, else it walks"))
    if answer.longest > question.longest:
        missed.append(
            tr("let it blow no longer than {longest:g} s at a time: all of it is heat").format(
                longest=question.longest
            )
        )
    read = " ".join(units.text(answer.read, "pressure", system))
    wanted = " ".join(units.text(question.target, "pressure", system))
    near = abs(answer.read - question.target) <= question.within
    if not near:
        missed.insert(0, tr("bring it to {wanted}").format(wanted=wanted))
    text = _why(posed, system) if not missed else f"{capital('; '.join(missed))}."
    return Verdict(not missed, text, read, wanted, share=1 - min(len(missed), 5) / 5)


def _counts(posed: Posed, answer: Answer, system: System) -> Verdict:
    if not isinstance(answer, SheetReading):
        raise UnusableAnswer(tr("Take the reading first."))
    found = answer.found
    said = " ".join(units.text(found.figure, found.quantity, system)).rstrip()
    read = " ".join(units.text(found.reading.value, found.quantity, system)).rstrip()
    if found.valid:
        return Verdict(True, f"{capital(found.comparison(system))}. {_why(posed, system)}", said, read, share=1.0)
    missed = [one for one in found.told(system) if type(one) is str]
    met = sum(one.met for one in found.conditions) / max(len(found.conditions), 1)
    return Verdict(False, f"{capital('; '.join(missed))}.", said, read, share=met)
