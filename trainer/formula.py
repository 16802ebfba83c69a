"""A formula as it is written on a board, and a working: one with this moment's values in it.

The words are the formula: they are parsed, worked out and set from one string, so that what is shown is what was
computed. Shop constants stand in them as a mechanic knows them (1714, 9549) and count with their exact values.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Collection, Mapping
from dataclasses import dataclass
from functools import lru_cache

from trainer.units import GRAVITY, System, Unit, Units, shown_unit, text, text_in, unit

__all__ = [
    "SHOP", "WATER", "Fraction", "Group", "Letter", "Logarithm", "Node", "Number", "Power", "Product", "Root", "Sum",
    "Tell", "Term", "Working", "evaluate", "hidden", "letters_in", "parse", "spoken",
]  # fmt: skip

_INCH, _FOOT, _GPM, _PSI = (unit(symbol).factor for symbol in ("in", "ft", "gpm", "psi"))
_BTU = 60 * unit("hp").factor / unit("Btu").factor  # a minute in a horsepower
WATER = 62.4 * unit("lb/ft3").factor  # to which US books refer the specific gravity [kg/m3]

# What a constant counts with where it is printed shorter than it is. All follow from the definitions of inch, pound
# and gallon, or from pi; the tests hold each against a handbook or recompute it.
SHOP: Mapping[str, float] = {
    "1714": 33000 * 12 / 231,  # psi gpm in a horsepower
    "9549": 30000 / math.pi,  # N m r/min in a kilowatt
    "9.549": 30 / math.pi,  # in a watt
    "5252": 16500 / math.pi,  # lbf ft r/min in a horsepower
    "62.8": 20 * math.pi,  # bar cm3/rev in a N m
    "75.4": 24 * math.pi,  # psi in3/rev in a lbf ft
    "6283": 2000 * math.pi,  # the same, with a share in per cent
    "7540": 2400 * math.pi,
    "0.7854": math.pi / 4,
    "6.283": 2 * math.pi,
    "9.807": GRAVITY,
    "32.17": GRAVITY / _FOOT,
    "26.83": 0.06 * math.sqrt(2e5),  # L/min through a mm2 at 1 bar and 1 kg/m3
    "37.98": math.sqrt(2 * _PSI / WATER) * _INCH**2 / _GPM,  # gpm, in2, psi, specific gravity
    "21.22": 4 / 0.06 / math.pi,  # m/s for L/min and mm
    "0.4085": _GPM * 4 / math.pi / _INCH**2 / _FOOT,  # ft/s for gpm and in
    "21221": 4e9 / 60000 / math.pi,  # Reynolds number for L/min, mm and mm2/s
    "3163": 4 * _GPM / (math.pi * _INCH * 1e-6),  # for gpm, in and mm2/s
    "9266": 288 * GRAVITY / _FOOT,  # psi for lb/ft3 and (ft/s)2
    "772.2": 24 * GRAVITY / _FOOT,  # psi for lb/ft3, ft, in and (ft/s)2
    "317.2": _BTU / (231 / 1728),  # Btu/min of a hp, over the ft3 of a gallon
    "42.41": _BTU,  # Btu/min in a horsepower
}


# -- the tree ------------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Number:
    """A constant, as it is printed."""

    text: str


@dataclass(frozen=True, slots=True)
class Letter:
    """A letter with what follows it as its index: "pA", "Δp1"."""

    name: str


@dataclass(frozen=True, slots=True)
class Sum:
    """Parts with their signs, "+" or "−"."""

    parts: tuple[tuple[str, Node], ...]


@dataclass(frozen=True, slots=True)
class Product:
    """Factors."""

    factors: tuple[Node, ...]


@dataclass(frozen=True, slots=True)
class Fraction:
    """One over another."""

    over: Node
    under: Node


@dataclass(frozen=True, slots=True)
class Root:
    """A square root."""

    of: Node


@dataclass(frozen=True, slots=True)
class Logarithm:
    """A logarithm to the base of ten, of what stands in brackets behind "lg"."""

    of: Node


@dataclass(frozen=True, slots=True)
class Power:
    """A square, a cube or a fourth power; ``mark`` is "²", "³" or "⁴"."""

    of: Node
    mark: str


@dataclass(frozen=True, slots=True)
class Group:
    """What stands in brackets."""

    of: Node


Node = Number | Letter | Sum | Product | Fraction | Root | Logarithm | Power | Group

_TOKEN = re.compile(r"\s*(\d+(?:\.\d+)?|[^\W\d_](?:(?![²³⁴])\w)*|[=+−·/()²³⁴√])")
_POWERS = {"²": 2, "³": 3, "⁴": 4}


@lru_cache(maxsize=512)
def parse(words: str) -> tuple[str, Node]:
    """Return the letter and the tree of a formula "letter = …". Raises ValueError for what is none."""
    tokens, at = [], 0
    while at < len(words):
        match = _TOKEN.match(words, at)
        if match is None:
            raise ValueError(f"'{words}': cannot read on at '{words[at:]}'")
        tokens.append(match[1])
        at = match.end()
    if len(tokens) < 3 or tokens[1] != "=":
        raise ValueError(f"'{words}' is no formula: letter = …")
    node, rest = _sum(tokens[2:], words)
    if rest:
        raise ValueError(f"'{words}': '{rest[0]}' has no place")
    return tokens[0], node


def _sum(tokens: list[str], words: str) -> tuple[Node, list[str]]:
    sign = "+"
    if tokens and tokens[0] == "−":
        sign, tokens = "−", tokens[1:]
    node, tokens = _product(tokens, words)
    parts = [(sign, node)]
    while tokens and tokens[0] in "+−":
        sign = tokens[0]
        node, tokens = _product(tokens[1:], words)
        parts.append((sign, node))
    return (parts[0][1] if parts[0][0] == "+" and len(parts) == 1 else Sum(tuple(parts))), tokens


def _product(tokens: list[str], words: str) -> tuple[Node, list[str]]:
    node, tokens = _factor(tokens, words)
    factors = [node]
    while tokens and tokens[0] in "·/":
        sign = tokens[0]
        node, tokens = _factor(tokens[1:], words)
        if sign == "·":
            factors.append(node)
        else:
            over = factors[0] if len(factors) == 1 else Product(tuple(factors))
            factors = [Fraction(_bare(over), _bare(node))]
    return (factors[0] if len(factors) == 1 else Product(tuple(factors))), tokens


def _bare(node: Node) -> Node:
    return node.of if isinstance(node, Group) else node


def _factor(tokens: list[str], words: str) -> tuple[Node, list[str]]:
    if not tokens:
        raise ValueError(f"'{words}' ends too early")
    head, rest = tokens[0], tokens[1:]
    node: Node
    if head == "√":
        node, rest = _factor(rest, words)
        return Root(_bare(node)), rest
    if head == "lg" and rest[:1] == ["("]:
        node, rest = _factor(rest, words)
        return Logarithm(_bare(node)), rest
    if head == "(":
        inner, rest = _sum(rest, words)
        if not rest or rest[0] != ")":
            raise ValueError(f"'{words}': a bracket is not closed")
        node, rest = Group(inner), rest[1:]
    elif head[0].isdigit():
        node = Number(head)
    elif head[0].isalpha():
        node = Letter(head)
    else:
        raise ValueError(f"'{words}': '{head}' has no place")
    while rest and rest[0] in _POWERS:
        node, rest = Power(node, rest[0]), rest[1:]
    return node, rest


def letters_in(node: Node) -> frozenset[str]:
    """Return the letters of a tree."""
    match node:
        case Letter():
            return frozenset((node.name,))
        case Sum():
            return frozenset().union(*(letters_in(part) for _, part in node.parts))
        case Product():
            return frozenset().union(*(letters_in(factor) for factor in node.factors))
        case Fraction():
            return letters_in(node.over) | letters_in(node.under)
        case Root() | Logarithm() | Power() | Group():
            return letters_in(node.of)
    return frozenset()


def _exact(printed: str) -> float:
    return SHOP.get(printed, float(printed))


def evaluate(node: Node, numbers: Mapping[str, float], constant: Callable[[str], float] = _exact) -> float:
    """Return what a tree makes of numbers by letter; ``constant`` gives the value of a printed one.

    A root of less than nothing, a logarithm of nothing or less and a division by nothing give nan.
    """

    def of(other: Node) -> float:
        return evaluate(other, numbers, constant)

    match node:
        case Number():
            return constant(node.text)
        case Letter():
            return numbers[node.name]
        case Sum():
            return math.fsum(of(part) if sign == "+" else -of(part) for sign, part in node.parts)
        case Product():
            return math.prod(of(factor) for factor in node.factors)
        case Fraction():
            under = of(node.under)
            return of(node.over) / under if under else math.nan
        case Root():
            inner = of(node.of)
            return math.sqrt(inner) if inner >= 0 else math.nan
        case Logarithm():
            inner = of(node.of)
            return math.log10(inner) if inner > 0 else math.nan
        case Power():
            return of(node.of) ** _POWERS[node.mark]
        case Group():
            return of(node.of)


def spoken(node: Node, shown: Callable[[str], str]) -> str:
    """Return a tree as one line of text; ``shown`` gives what stands for a letter."""

    def of(other: Node, tight: bool = False) -> str:
        text = spoken(other, shown)
        return f"( {text} )" if tight and isinstance(other, (Sum, Product, Fraction)) else text

    match node:
        case Number():
            return node.text
        case Letter():
            text = shown(node.name)
            return f"( {text} )" if text.startswith("−") else text
        case Sum():
            words = " ".join(f"{sign} {of(part)}" for sign, part in node.parts)
            return words.removeprefix("+ ")
        case Product():
            return " · ".join(of(factor, isinstance(factor, Sum)) for factor in node.factors)
        case Fraction():
            return f"{of(node.over, isinstance(node.over, Sum))} / {of(node.under, True)}"
        case Root():
            return f"√( {of(node.of)} )"
        case Logarithm():
            return f"lg( {of(node.of)} )"
        case Power():
            text = of(node.of, not isinstance(node.of, Group))
            return f"( {text} ){node.mark}" if isinstance(node.of, Letter) and " " in text else f"{text}{node.mark}"
        case Group():
            return f"( {of(node.of)} )"


# -- terms and workings --------------------------------------------------------------------------------------------

Tell = tuple[str, str]  # ("pressure", line), ("flow", "part.port"), ("speed", shaft line), ("temperature", part)


@dataclass(frozen=True, slots=True)
class Term:
    """One letter of a formula: its value [SI], what it measures, and where it comes from.

    ``tells``: what an instrument would read that gives it away. ``units`` where the usual ones do not suit.
    """

    letter: str
    value: float
    quantity: str
    source: str
    refers_to: tuple[Tell, ...] = ()
    units: Units | None = None

    def unit(self, system: System) -> Unit:
        """Return the unit in which it is shown."""
        return shown_unit(self.quantity, system) if self.units is None else self.units[system is System.US][0]

    def number(self, system: System) -> float:
        """Return the number in the unit shown."""
        return self.unit(system).number(self.value)

    def figures(self, system: System) -> tuple[str, str]:
        """Return figures and unit as they are shown."""
        if self.units is None:
            return text(self.value, self.quantity, system)
        return text_in(self.value, *self.units[system is System.US])

    def shown(self, system: System) -> str:
        """Return number and unit as text."""
        return " ".join(self.figures(system)).rstrip()


@dataclass(frozen=True, slots=True)
class Working:
    """One result with its terms, and the formula in metric and in US units; ``result`` is what the engine found.

    ``part`` is the part, line or entry that it is about; ``note`` a sentence to it. ``stream`` is the one whose
    forward flow it works out, ``drop_of`` the one whose drop.
    """

    part: str
    name: str
    result: Term
    terms: tuple[Term, ...]
    formulas: tuple[str, str]
    note: str = ""
    stream: str = ""
    drop_of: str = ""

    def words(self, system: System) -> str:
        """Return the formula as it is written."""
        return self.formulas[system is System.US]

    def tree(self, system: System) -> Node:
        """Return the right-hand side of the formula."""
        return parse(self.words(system))[1]

    def used(self, system: System) -> tuple[Term, ...]:
        """Return the terms that stand in the formula of a system."""
        letters = letters_in(self.tree(system))
        return tuple(term for term in self.terms if term.letter in letters)

    def value(self, system: System) -> float:
        """Return the formula's result [SI], worked out in the units of a system from the terms."""
        shown = {term.letter: term.number(system) for term in self.terms}
        unit = self.result.unit(system)
        return unit.value(evaluate(self.tree(system), shown))

    def found(self, system: System) -> Term:
        """Return the result as the formula gives it."""
        one = self.result
        return Term(one.letter, self.value(system), one.quantity, one.source, one.refers_to, one.units)

    def differs(self, system: System) -> bool:
        """Return whether formula and engine differ by more than a thousandth and more than the last figure shown."""
        value, wanted = self.value(system), self.result.value
        unit = self.result.unit(system)
        figures = self.result.figures(system)[0]
        last = 10.0 ** -len(figures.partition(".")[2]) * unit.factor
        return not abs(value - wanted) <= max(1.001 * last, 1e-3 * abs(wanted))

    def lines(self, system: System) -> tuple[str, str, str]:
        """Return the formula, the formula with its numbers, and the result, as text."""
        shown = {term.letter: term.shown(system) for term in self.terms}
        filled = spoken(self.tree(system), lambda letter: shown[letter])
        left = self.result.letter
        return self.words(system), f"{left} = {filled}", f"{left} = {self.found(system).shown(system)}"


def hidden(working: Working, covered: Collection[Tell]) -> frozenset[str]:
    """Return the letters, the result's too, that must not be shown while instruments cover what they tell."""
    return frozenset(
        term.letter for term in (*working.terms, working.result) if any(tell in covered for tell in term.refers_to)
    )
