"""The questions of a lesson file, each kind with what it needs; faults as in all of the file."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import replace
from typing import Any

from trainer import units
from trainer.errors import UnitError, nearest
from trainer.language import tr
from trainer.lessons.bank import Bank, formula_of, read_slip
from trainer.lessons.formulas import Condition
from trainer.lessons.lesson import (
    Choice,
    Counts,
    Item,
    Names,
    Number,
    Order,
    OwnWords,
    Place,
    Places,
    Question,
    Relief,
    Scale,
    Slip,
    Trace,
    WordOption,
)
from trainer.lessons.tables import QUESTIONS, ItemTable, OptionTable, PlaceOptionTable
from trainer.measuring.instruments import error_of
from trainer.parts import roles
from trainer.rig.rig import Rig
from trainer.rig.tables import SCALES, difference, number, read_table
from trainer.rig.text import Faults, Where, quoted, what_is

__all__ = ["ROLES", "letters_of", "read_question", "texts_of"]

ROLES: Mapping[str, type[roles.Role]] = {
    "tank": roles.Tank,
    "pump": roles.Pump,
    "relief": roles.PressureLimiter,
    "valve": roles.DirectionalValve,
    "actuator": roles.Actuator,
    "prime mover": roles.PrimeMover,
}


def read_question(raw: object, where: Where, rig: Rig, bank: Bank, faults: Faults) -> Question | None:
    """Return a question; None, with faults noted, where it cannot be used."""
    before = len(faults.found)
    kind = raw.get("kind") if isinstance(raw, dict) else None
    if not isinstance(kind, str) or kind not in QUESTIONS:
        faults.add(
            "unknown kind",
            [*where, "kind"],
            tr("{kind} is no kind of question.").format(kind=what_is(kind) if kind is not None else tr("nothing")),
            nearest(str(kind), QUESTIONS) or tr("Write one of {kinds}.").format(kinds=", ".join(QUESTIONS)),
        )
        return None
    good = read_table(raw, QUESTIONS[kind], where, faults)
    if len(faults.found) > before:
        return None
    made = _Reader(where, rig, bank, faults).of[kind](good)
    return made if len(faults.found) == before else None


class _Reader:
    """Makes questions of tables that have the right keys."""

    def __init__(self, where: Where, rig: Rig, bank: Bank, faults: Faults) -> None:
        self.where, self.rig, self.bank, self.faults = where, rig, bank, faults
        self.of: Mapping[str, Callable[[Mapping[str, Any]], Question | None]] = {
            "choice": self._choice,
            "number": self._number,
            "order": self._order,
            "place": self._places,
            "names": self._names,
            "trace": self._trace,
            "relief": self._relief,
            "counts": self._counts,
            "words": self._own_words,
        }

    def _fault(self, kind: str, where: list[str], problem: str, remedy: str) -> None:
        self.faults.add(kind, [*self.where, *where], problem, remedy)

    def _choice(self, good: Mapping[str, Any]) -> Question | None:
        options = [self._option(one, k) for k, one in enumerate(good.get("options", ()))]
        if ("answer" in good) == bool(options):
            self._fault(
                "missing key",
                [],
                tr("a choice has either an answer or options in words."),
                tr('Write answer = "p" with scale = "P1", or options = [{{ words = "…", when = "…" }}].').format(),
            )
            return None
        if options:
            return Choice(good["words"], None, None, tuple(one for one in options if one is not None))
        answer = formula_of(good["answer"], [*self.where, "answer"], self.faults)
        return Choice(good["words"], answer, self._scale(good))

    def _option(self, raw: object, place: int) -> WordOption | None:
        where = [*self.where, "options", place]
        good = read_table(raw, OptionTable, where, self.faults)
        if not {"words", "when"} <= good.keys():
            return None
        slip = self._slip(good, f"option{place + 1}", where)
        try:
            when = Condition.of(good["when"])
        except ValueError as error:
            self.faults.add(
                "bad condition", where, f"{error}.", tr('Compare two formulas, such as "v > 0.5 * v0 and p < p0".')
            )
            return None
        return WordOption(good["words"], when, slip) if slip is not None else None

    def _slip(self, good: Mapping[str, Any], id_: str, where: Where) -> Slip | None:
        """Return what is wrong about an option: a wrong idea of the bank, or one that is told with it."""
        own = {key: good[key] for key in ("idea", "why", "beliefs") if key in good}
        name = good.get("slip", id_)
        known = self.bank.slips.get(name)
        if "slip" in good and known is None:
            self.faults.add(
                "unknown slip",
                where,
                tr("{written} is no wrong idea in the bank.").format(written=quoted(name)),
                nearest(name, self.bank.slips),
            )
            return None
        return read_slip(own, name, where, self.faults, known)

    def _scale(self, good: Mapping[str, Any]) -> Scale | None:
        written = good.get("scale")
        if written is None:
            self._fault(
                "missing key",
                [],
                tr("'scale' is missing."),
                tr('Name the instrument on which it is read, or write the end of a scale, such as "60 bar".'),
            )
            return None
        if (item := self.rig.instruments.get(written)) is not None:
            return Scale(SCALES[item.kind][0], item.range_, error_of(item), written)
        try:
            quantity = units.quantity_of(written)
            return Scale(quantity, units.read(written, quantity))
        except UnitError as error:
            self._fault(
                "bad scale",
                ["scale"],
                tr("{written} is no instrument of this rig and no end of a scale.").format(written=quoted(written)),
                nearest(written, self.rig.instruments) or error.remedy,
            )
            return None

    def _number(self, good: Mapping[str, Any]) -> Question | None:
        answer = formula_of(good["answer"], [*self.where, "answer"], self.faults)
        scale = self._scale(good)
        if answer is None or scale is None:
            return None
        most = formula_of(good["most"], [*self.where, "most"], self.faults) if "most" in good else None
        made = Number(
            good["words"],
            answer,
            scale,
            most=most,
            sizes=self._sizes(good, scale),
            other=good.get("other_unit", False),
        )
        written = good.get("tolerance")
        if written is None:
            return made
        where = [*self.where, "tolerance"]
        if str(written).strip().endswith("%"):
            share = number(written, "ratio", "0.1 %", "50 %", where, self.faults)
            return replace(made, tolerance=0.0, share=share or 0.0)
        within = difference(written, scale.quantity, where, self.faults)
        return replace(made, tolerance=within or 0.0, share=0.0)

    def _sizes(self, good: Mapping[str, Any], scale: Scale) -> tuple[float, ...]:
        end = f"{2 * scale.end:.9g} {units.symbols_of(scale.quantity)[0]}"
        start = f"0 {units.symbols_of(scale.quantity)[0]}"
        found = [
            number(one, scale.quantity, start, end, [*self.where, "sizes"], self.faults)
            for one in good.get("sizes", [])
        ]
        if found and "most" not in good:
            self._fault(
                "missing key", ["sizes"], tr("sizes say nothing without the largest that will do."), tr("Write most.")
            )
        return tuple(one for one in found if one is not None)

    def _order(self, good: Mapping[str, Any]) -> Question | None:
        items: dict[str, Item] = {}
        for name, raw in good["items"].items():
            one = read_table(raw, ItemTable, [*self.where, "items", name], self.faults)
            by = formula_of(one.get("by", "x"), [*self.where, "items", name, "by"], self.faults)
            if by is not None and {"words", "by"} <= one.keys():
                items[name] = Item(one["words"], by)
        if len(good["items"]) < 2:
            self._fault("missing key", ["items"], tr("one thing has no order."), tr("Name two things or more."))
        apart = difference(
            good.get("apart", "0.15 s"), _quantity(good.get("apart", "0.15 s")), [*self.where, "apart"], self.faults
        )
        return Order(good["words"], items, apart or 0.0)

    def _places(self, good: Mapping[str, Any]) -> Question | None:
        role = good.get("role", "")
        if role and role not in ROLES:
            self._fault(
                "unknown word",
                ["role"],
                tr("{written} is no role of a part.").format(written=quoted(role)),
                nearest(role, ROLES) or tr("Write one of {roles}.").format(roles=", ".join(ROLES)),
            )
        places: dict[str, Place] = {}
        for name, raw in good.get("places", {}).items():
            where = [*self.where, "places", name]
            one = read_table(raw, PlaceOptionTable, where, self.faults)
            if name not in self.rig.parts and name not in self.rig.lines:
                known = [*self.rig.parts, *self.rig.lines]
                self._fault(
                    "unknown place",
                    ["places", name],
                    tr("this rig has no part and no line {written}.").format(written=quoted(name)),
                    nearest(name, known),
                )
            by = formula_of(one["by"], [*where, "by"], self.faults) if "by" in one else None
            told = "slip" in one or "why" in one
            slip = self._slip({"idea": "—", **one} if "slip" not in one else one, name, where) if told else None
            places[name] = Place(name, by, slip)
        if not role and sum(place.by is not None for place in places.values()) < 2:
            self._fault(
                "missing key",
                ["places"],
                tr("nothing tells which place is right."),
                tr('Give two places a formula, by = "q", the larger of which is right; or write role = "pump".'),
            )
        return Places(good["words"], places, role)

    def _names(self, good: Mapping[str, Any]) -> Question | None:
        known = [id_ for id_, fitted in self.rig.parts.items() if fitted.part.__name__ in self.bank.terms]
        parts = good.get("parts", known)
        for id_ in parts:
            if id_ not in known:
                self._fault(
                    "unknown part",
                    ["parts"],
                    tr("there is no part {written} here whose trade words are known.").format(written=quoted(id_)),
                    nearest(id_, known),
                )
        terms = {id_: self.bank.terms[self.rig.parts[id_].part.__name__] for id_ in parts if id_ in known}
        for name, words in good.get("lines", {}).items():
            if name not in self.rig.lines:
                self._unknown("lines", name, [*self.rig.lines])
            elif isinstance(words, list) and words and all(isinstance(word, str) and word for word in words):
                terms[name] = tuple(words)
            else:
                problem = tr("{value} cannot be used.").format(value=what_is(words))
                remedy = tr('Write the words of the trade for it, such as ["suction line", "intake line"].')
                self._fault("wrong type", ["lines", name], problem, remedy)
        count = min(good.get("count", len(terms)), len(terms))
        return Names(
            good["words"],
            terms,
            count,
            min(good.get("enough", -(-count * 4 // 5)), count),
            good.get("tries", 3),
        )

    def _trace(self, good: Mapping[str, Any]) -> Question | None:
        to = good.get("to", "")
        if to and to not in self.rig.lines and to not in self.rig.parts:
            self._unknown("to", to, [*self.rig.lines, *self.rig.parts])
        return Trace(good["words"], to)

    def _unknown(self, key: str, written: str, known: list[str]) -> None:
        problem = tr("this rig has no {written}.").format(written=quoted(written))
        self._fault("unknown place", [key], problem, nearest(written, known))

    def _relief(self, good: Mapping[str, Any]) -> Question | None:
        part, name = good["part"], good["instrument"]
        fitted = self.rig.parts.get(part)
        if fitted is None or not fitted.part.screws(fitted.choice):
            screwed = [id_ for id_, one in self.rig.parts.items() if one.part.screws(one.choice)]
            self._unknown("part", part, screwed)
        if name not in self.rig.instruments:
            self._unknown("instrument", name, [*self.rig.instruments])
        target, within = (
            difference(good[key], "pressure", [*self.where, key], self.faults) for key in ("target", "within")
        )
        longest = number(good.get("longest", "10 s"), "time", "1 s", "600 s", [*self.where, "longest"], self.faults)
        return Relief(good["words"], part, name, target or 0.0, within or 0.0, longest or 10.0)

    def _counts(self, good: Mapping[str, Any]) -> Question | None:
        name = good["instrument"]
        if name not in self.rig.instruments:
            self._unknown("instrument", name, [*self.rig.instruments])
        elif not any(reading.reads == name for reading in self.rig.healthy):
            self._fault(
                "no sheet",
                ["instrument"],
                tr("the sheet of this rig has no reading of {name}.").format(name=name),
                tr("Name an instrument that stands under [healthy]."),
            )
        return Counts(good["words"], name)

    def _own_words(self, good: Mapping[str, Any]) -> Question | None:
        ideas: dict[str, tuple[str, ...]] = {}
        for name, raw in good["ideas"].items():
            if isinstance(raw, list) and raw and all(isinstance(word, str) and word.strip() for word in raw):
                ideas[name] = tuple(raw)
            else:
                self._fault(
                    "wrong type",
                    ["ideas", name],
                    tr("{value} cannot be used.").format(value=what_is(raw)),
                    tr('Write the words that tell this idea, such as ["slip", "leaks past"].'),
                )
        return OwnWords(good["words"], ideas, min(good.get("least", len(ideas)), len(ideas)))


def _quantity(written: str) -> str:
    try:
        return units.quantity_of(written)
    except UnitError:
        return "time"


def letters_of(question: Question) -> set[str]:
    """Return the letters of readings that a question names."""
    match question:
        case Choice():
            own = question.answer.letters if question.answer is not None else frozenset()
            return set(own).union(*(option.when.letters for option in question.options))
        case Number():
            return set(
                question.answer.letters | (question.most.letters if question.most is not None else frozenset())
            )
        case Order():
            return set().union(*(item.by.letters for item in question.items.values()))
        case Places():
            return set().union(*(place.by.letters for place in question.places.values() if place.by is not None))
    return set()


def texts_of(question: Question) -> Iterator[str]:
    """Yield the texts of a question that may have numbers in them."""
    yield question.words
    match question:
        case Choice():
            for option in question.options:
                yield option.words
                yield option.slip.why
        case Order():
            yield from (item.words for item in question.items.values())
        case Places():
            yield from (place.slip.why for place in question.places.values() if place.slip is not None)
