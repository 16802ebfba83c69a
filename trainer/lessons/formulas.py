"""Formulas and conditions of lesson files, over readings by letter; all numbers in SI units.

They are those of ``trainer.formula``, which knows the shop constants (0.7854, 9.807 …) with their exact values. An
author may write ``*``, ``-`` and ``^2`` where no keyboard has ``·``, ``−`` and ``²``.
"""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from dataclasses import dataclass

from trainer.formula import Node, evaluate, letters_in, parse
from trainer.language import tr

__all__ = ["Condition", "Formula"]

_TYPED = (("*", "·"), ("-", "−"), ("–", "−"), ("^2", "²"), ("^3", "³"))
_SIGN = re.compile(r"\s*([<>])\s*")
_UNDECIDED = 0.02  # of the larger side: nearer than this the sides of a condition count as equal


def _node(words: str) -> Node:
    for typed, meant in _TYPED:
        words = words.replace(typed, meant)
    return parse(f"N = {words}")[1]


@dataclass(frozen=True, slots=True)
class Formula:
    """A formula without its left-hand side: "p1 + 0.69 · p2"."""

    words: str
    node: Node

    @classmethod
    def of(cls, words: str) -> Formula:
        """Return the formula of some words. Raises ValueError with what is wrong about them."""
        try:
            return cls(words, _node(words))
        except ValueError as error:
            raise ValueError(str(error).replace("N = ", "")) from None

    @property
    def letters(self) -> frozenset[str]:
        """The letters that stand in it."""
        return letters_in(self.node)

    def value(self, numbers: Mapping[str, float]) -> float:
        """Return what it makes of numbers by letter [SI]; nan where it divides by nothing. Raises KeyError."""
        return evaluate(self.node, numbers)


@dataclass(frozen=True, slots=True)
class Condition:
    """Inequalities that all hold: "v > 0.5 · v0 and p < p0"."""

    words: str
    sides: tuple[tuple[Formula, str, Formula], ...]

    @classmethod
    def of(cls, words: str) -> Condition:
        """Return the condition of some words. Raises ValueError with what is wrong about them."""
        sides = []
        for one in words.split(" and "):
            pieces = _SIGN.split(one)
            if len(pieces) != 3:
                raise ValueError(tr("'{words}' compares nothing: write two formulas with < or >").format(words=one))
            sides.append((Formula.of(pieces[0]), pieces[1], Formula.of(pieces[2])))
        return cls(words, tuple(sides))

    @property
    def letters(self) -> frozenset[str]:
        """The letters that stand in it."""
        return frozenset().union(*(one.letters | other.letters for one, _, other in self.sides))

    def holds(self, numbers: Mapping[str, float]) -> bool:
        """Return whether all of it is true of numbers by letter [SI]."""
        return all(
            one.value(numbers) < other.value(numbers) if sign == "<" else one.value(numbers) > other.value(numbers)
            for one, sign, other in self.sides
        )

    def undecided(self, numbers: Mapping[str, float]) -> bool:
        """Return whether two sides of it come so near to one another that another computer may decide otherwise."""
        pairs = [(one.value(numbers), other.value(numbers)) for one, _, other in self.sides]
        return any(
            not math.isfinite(a) or not math.isfinite(b) or abs(a - b) < _UNDECIDED * max(abs(a), abs(b))
            for a, b in pairs
        )
