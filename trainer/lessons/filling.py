"""Texts of lessons with numbers in them: "{p} is the load over {D}, {50 mm} of way" in the units of the screen."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from trainer import units
from trainer.errors import UnitError
from trainer.units import System

__all__ = ["Figures", "Filler", "about", "asked", "given", "quantity"]

_PLACE = re.compile(r"\{([^{}]+)\}")
Figures = Mapping[str, tuple[float, str]]  # by letter or "part.parameter": value [SI] and quantity
_GIVEN = re.compile(r"\d\w*\.\w+")


def asked(text: str) -> Iterator[str]:
    """Yield the names that stand in the brackets of a text."""
    return (match[1] for match in _PLACE.finditer(text))


def quantity(name: str) -> tuple[float, str] | None:
    """Return the value [SI] and the quantity of a number that stands in brackets with its unit, None for a name."""
    try:
        kind = units.quantity_of(name)
        return units.read(name, kind), kind
    except UnitError:
        return None


@dataclass(frozen=True, slots=True)
class Filler:
    """Fills texts with figures in a unit system; ``small`` rigs show powers in W.

    A number that is written in the text is told as it is chosen, or to so many ``digits``.
    """

    figures: Figures
    small: bool = False
    digits: int = 0

    def fill(self, text: str, system: System, **more: str) -> str:
        """Return a text with its numbers in place. Raises KeyError for a name that has none."""

        def one(match: re.Match[str]) -> str:
            name = match[1]
            if name in more:
                return more[name]
            if (written := quantity(name)) is not None:
                return about(*written, system, self.small, self.digits) if self.digits else given(*written, system)
            value, kind = self.figures[name]
            return given(value, kind, system) if _GIVEN.match(name) else about(value, kind, system, self.small)

        return _PLACE.sub(one, text)


def given(value: float, quantity: str, system: System) -> str:
    """Return a number that is chosen, as "255 kg"."""
    unit = units.shown_unit(quantity, system)
    return f"{units.figures(value, unit)} {unit.pretty}".rstrip()


def about(value: float, quantity: str, system: System, small: bool = False, digits: int = 3) -> str:
    """Return a reading with its unit, to so many figures and no finer than an instrument tells: "24.8 bar"."""
    unit, decimals = units.shown_with(quantity, system, small)
    number = unit.number(value)
    if quantity in ("flow", "speed", "power", "energy", "time", "temperature", "length", "ratio"):
        decimals = max(decimals, 1)
    size = abs(number)
    if size > 0:
        decimals = min(decimals, max(0, digits - 1 - math.floor(math.log10(size))))
    if round(number, decimals) == 0:  # nothing has no decimals
        decimals = 0
    figures, symbol = units.text_in(value, unit, decimals)
    return f"{figures} {symbol}".rstrip()
