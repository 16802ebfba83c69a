"""Numbers with names: trade units at the door, SI inside, two unit systems on the screen.

Factors are exact by definition of the unit (inch, pound, US gallon, horsepower of 550 ft lbf/s)
and checked against scipy.constants in the tests.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from enum import Enum
from fractions import Fraction

from trainer.errors import UnitError, nearest

__all__ = [
    "UNITS",
    "System",
    "Unit",
    "named",
    "quantity_of",
    "quoted",
    "read",
    "shown_unit",
    "symbol_of",
    "symbols_of",
    "text",
    "trade_step",
    "trade_value",
    "with_a_point",
]

_TURN = 2 * math.pi
_INCH = 0.0254
_POUND = 0.45359237
_GRAVITY = 9.80665
_LBF = _POUND * _GRAVITY
_PSI = _LBF / _INCH**2
_GALLON = 231 * _INCH**3


@dataclass(frozen=True, slots=True)
class Unit:
    """A unit of the trade: value in SI = number * factor + offset."""

    symbol: str
    quantity: str
    factor: float
    offset: float = 0.0


def _table() -> dict[str, Unit]:
    rows: dict[str, dict[str, float]] = {
        "ratio": {"": 1.0, "1": 1.0, "%": 0.01},
        "pressure": {"Pa": 1.0, "kPa": 1e3, "MPa": 1e6, "GPa": 1e9, "bar": 1e5, "psi": _PSI},
        "flow": {"m3/s": 1.0, "L/min": 1e-3 / 60, "cm3/min": 1e-6 / 60, "cm3/s": 1e-6, "gpm": _GALLON / 60},
        "displacement": {
            "m3/rad": 1.0,
            "cm3/rev": 1e-6 / _TURN,
            "in3/rev": _INCH**3 / _TURN,
            "L/rev": 1e-3 / _TURN,
        },
        "power": {"W": 1.0, "kW": 1e3, "hp": 550 * 12 * _INCH * _LBF},
        "torque": {"N m": 1.0, "lbf ft": 12 * _INCH * _LBF, "lbf in": _INCH * _LBF},
        "force": {"N": 1.0, "kN": 1e3, "lbf": _LBF},
        "shaft speed": {"rad/s": 1.0, "r/min": _TURN / 60},
        "speed": {"m/s": 1.0, "mm/s": 1e-3, "in/s": _INCH, "ft/s": 12 * _INCH, "ft/min": 12 * _INCH / 60},
        "length": {"m": 1.0, "cm": 1e-2, "mm": 1e-3, "um": 1e-6, "in": _INCH, "ft": 12 * _INCH},
        "area": {"m2": 1.0, "cm2": 1e-4, "mm2": 1e-6, "in2": _INCH**2},
        "volume": {"m3": 1.0, "L": 1e-3, "cm3": 1e-6, "gal": _GALLON, "in3": _INCH**3},
        "mass": {"kg": 1.0, "t": 1e3, "g": 1e-3, "lb": _POUND},
        "inertia": {"kg m2": 1.0},
        "angle": {"rad": 1.0, "deg": math.pi / 180, "rev": _TURN},
        "density": {"kg/m3": 1.0, "g/cm3": 1e3, "lb/ft3": _POUND / (12 * _INCH) ** 3},
        "viscosity": {"m2/s": 1.0, "mm2/s": 1e-6, "cSt": 1e-6},
        "dynamic viscosity": {"Pa s": 1.0, "mPa s": 1e-3, "cP": 1e-3},
        "energy": {"J": 1.0, "kJ": 1e3, "MJ": 1e6},
        "time": {"s": 1.0, "ms": 1e-3, "min": 60.0, "h": 3600.0},
        "spring rate": {"N/m": 1.0, "N/mm": 1e3, "kN/m": 1e3, "lbf/in": _LBF / _INCH},
        "damping": {"N s/m": 1.0},
        "rotary damping": {"N m s": 1.0},
        "leakage": {"m3/s/Pa": 1.0, "cm3/min/bar": 1e-6 / 60 / 1e5},
        "heat transfer": {"W/K": 1.0},
        "heat capacity": {"J/K": 1.0, "kJ/K": 1e3},
        "contact damping": {"s/m": 1.0},
        "acceleration": {"m/s2": 1.0},
    }
    table = {
        symbol: Unit(symbol, quantity, factor) for quantity, units in rows.items() for symbol, factor in units.items()
    }
    table["C"] = Unit("C", "temperature", 1.0)  # temperatures are degrees Celsius inside
    table["F"] = Unit("F", "temperature", 5 / 9, -160 / 9)
    return table


UNITS = _table()
_SPELLINGS = {
    "°C": "C",
    "°F": "F",
    "L/m": "L/min",
    "rpm": "r/min",
    "cc/rev": "cm3/rev",
    "N·m": "N m",
    "Nm": "N m",
    "µm": "um",
    "us gpm": "gpm",
    "l/min": "L/min",
    "l": "L",
    "lb in": "lbf in",
    "lb ft": "lbf ft",
    "cm³/rev": "cm3/rev",
    "cm³": "cm3",
    "cm²": "cm2",
    "mm²": "mm2",
    "kg m²": "kg m2",
    "rev/min": "r/min",
}
_FLOAT_DIGITS = 17  # a number with more of them is reckoned exactly: so every value can be written in every unit
_NUMBER = re.compile(r"\s*([+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d{1,3})?)\s*(.*?)\s*")


_COMMA = re.compile(r"\s*([+-]?)(\d*),(\d+)(?![\d.,])\s*(.*?)\s*")


def with_a_point(written: str) -> str:
    """Return how a number with one comma is to be written, "" for all else: "Write -15.2 cm3/rev, with a point."."""
    match = _COMMA.fullmatch(written)
    if match is None:
        return ""
    sign, whole, part, unit = match.groups()
    point = f"Write {sign}{whole or '0'}.{part} {unit}".rstrip() + ", with a point"
    if len(part) == 3 and whole.strip("0"):
        return f"{point}, or {sign}{whole}{part} {unit}".rstrip() + " if that is meant."
    return f"{point}."


def quoted(text: str) -> str:
    """Return a text in the quotes that it does not hold itself; an empty one is said to be so."""
    if not text:
        return "an empty text"
    return f"'{text}'" if "'" not in text else f'"{text}"' if '"' not in text else f"‹{text}›"


def named(symbol: str, quantity: str = "") -> Unit:
    """Return the unit of a symbol, in whichever spelling. Raises UnitError with those of a quantity."""
    unit = UNITS.get(_SPELLINGS.get(symbol, symbol))
    if unit is None:
        known = symbols_of(quantity) if quantity else UNITS
        raise UnitError(f"{quoted(symbol[:40])} is no unit known here.", nearest(symbol[:40], known))
    return unit


def quantity_of(written: str) -> str:
    """Return the quantity that a written number with unit measures, e.g. "pressure"."""
    return _split(written)[1].quantity


def symbol_of(written: str) -> str:
    """Return the unit of a written number as it is spelled there, "" for none. Raises UnitError."""
    _split(written)
    match = _NUMBER.fullmatch(written)
    assert match is not None
    return match[2]


def symbols_of(quantity: str) -> list[str]:
    """Return the unit symbols that measure a quantity, SI first."""
    return [unit.symbol for unit in UNITS.values() if unit.quantity == quantity and unit.symbol]


def _split(written: str, quantity: str = "") -> tuple[float, Unit]:
    if len(written) > 60:
        raise UnitError(f"'{written[:20]}…' is too long for a number with a unit.")
    if remedy := with_a_point(written):
        raise UnitError(f"{quoted(written)} is written with a comma.", remedy)
    match = _NUMBER.fullmatch(written)
    if match is None and any(mark in written for mark in "\"'“”„‘’`´"):
        raise UnitError(f"{quoted(written)} holds a quote mark.", "Take it out of the number.")
    if match is None:
        raise UnitError(f"{quoted(written)} is not a number with a unit.", 'Such a number is "80 mm".')
    number = float(match[1])
    if not math.isfinite(number):
        raise UnitError(f"{quoted(written)} is not a finite number.")
    return number, named(match[2], quantity)


def read(written: str | float, quantity: str) -> float:
    """Return a written number [SI unit of the quantity; degrees Celsius for temperatures].

    Accepts "80 mm"; a bare number only for ratios. Raises UnitError with what is expected.
    """
    expected = f"Write a {quantity} in {' or '.join(symbols_of(quantity)) or 'plain numbers'}."
    if isinstance(written, bool) or not isinstance(written, (str, int, float)):
        raise UnitError(f"{written!r:.40} is not a number.", expected)
    if not isinstance(written, str):
        if quantity != "ratio":
            raise UnitError(f"{written!r:.40} has no unit.", expected)
        try:
            number = float(written)
        except OverflowError:
            number = math.inf
        if not math.isfinite(number):
            raise UnitError(f"{written!r:.40} is not a finite number.", expected)
        return number
    try:
        number, unit = _split(written, quantity)
    except UnitError as error:
        remedy = error.remedy if with_a_point(written) else f"{error.remedy} {expected}".strip()
        raise UnitError(error.problem, remedy) from None
    if unit.quantity != quantity:
        what = f"a {unit.quantity}" if unit.symbol else "a number without a unit"
        raise UnitError(f"{quoted(written)} is {what}.", expected)
    figures = _NUMBER.fullmatch(written)
    if figures is not None and sum(map(str.isdigit, figures[1])) > _FLOAT_DIGITS:
        return float(Fraction(figures[1]) * Fraction(unit.factor) + Fraction(unit.offset))
    return number * unit.factor + unit.offset


class System(Enum):
    """The two unit systems of the screen."""

    METRIC = "bar · L/min"
    US = "psi · gpm"

    @property
    def other(self) -> System:
        """The system that is not this one."""
        return System.US if self is System.METRIC else System.METRIC


# quantity -> (unit, decimals) in each system; the symbol shown may differ from the one read
_SHOWN: dict[str, tuple[tuple[str, int], tuple[str, int]]] = {
    "pressure": (("bar", 1), ("psi", 0)),
    "flow": (("L/min", 2), ("gpm", 3)),
    "displacement": (("cm3/rev", 1), ("in3/rev", 3)),
    "power": (("kW", 3), ("hp", 3)),
    "torque": (("N m", 1), ("lbf ft", 1)),
    "force": (("kN", 2), ("lbf", 0)),
    "shaft speed": (("r/min", 0), ("r/min", 0)),
    "speed": (("mm/s", 1), ("in/s", 2)),
    "length": (("mm", 0), ("in", 2)),
    "area": (("cm2", 1), ("in2", 2)),
    "volume": (("L", 2), ("gal", 3)),
    "mass": (("kg", 0), ("lb", 0)),
    "temperature": (("C", 0), ("F", 0)),
    "ratio": (("%", 0), ("%", 0)),
    "energy": (("kJ", 2), ("kJ", 2)),
    "time": (("s", 1), ("s", 1)),
    "density": (("kg/m3", 0), ("lb/ft3", 1)),
    "viscosity": (("mm2/s", 0), ("mm2/s", 0)),
    "angle": (("deg", 0), ("deg", 0)),
}
_PRETTY = {
    "cm3/rev": "cm³/rev",
    "in3/rev": "in³/rev",
    "N m": "N·m",
    "lbf ft": "lbf·ft",
    "cm2": "cm²",
    "in2": "in²",
    "C": "°C",
    "F": "°F",
    "kg/m3": "kg/m³",
    "mm2/s": "mm²/s",
    "lb/ft3": "lb/ft³",
    "deg": "°",
}


def shown_unit(quantity: str, system: System) -> Unit:
    """Return the unit in which a quantity is shown in one system."""
    if quantity not in _SHOWN:
        return UNITS[symbols_of(quantity)[0]]
    return UNITS[_SHOWN[quantity][system is System.US][0]]


def trade_step(step: float, quantity: str, system: System) -> float:
    """Return the round step [SI] nearest to one given [SI]: 30 bar are 500 psi in US units.

    Round are 1, 1.5, 2, 2.5, 3, 5 with zeros behind; a step that is round to the file's author stays in metric.
    """
    if system is System.METRIC or step <= 0:
        return step
    unit = shown_unit(quantity, system)
    tens = 10.0 ** math.floor(math.log10(step / unit.factor))
    rounds = [digits * tens * unit.factor for digits in (1, 1.5, 2, 2.5, 3, 5, 10)]
    return min(rounds, key=lambda found: abs(math.log(found / step)))


def trade_value(value: float, quantity: str, system: System, inward: int = 0) -> float:
    """Return the round number [SI] that the trade would name for one that is round in metric: 180 bar are 2600 psi.

    For pressures and masses in US units, to two significant figures; all else stays. ``inward`` 1 rounds up and -1
    down, for limits that must not be passed.
    """
    if system is System.METRIC or quantity not in ("pressure", "mass") or value == 0:
        return value
    unit = shown_unit(quantity, system)
    number = value / unit.factor
    tens = 10.0 ** (math.floor(math.log10(abs(number))) - 1)
    whole = (round, math.ceil, math.floor)[inward](round(number / tens, 9))
    return whole * tens * unit.factor


def text(value: float, quantity: str, system: System, decimals: int | None = None) -> tuple[str, str]:
    """Return (figures, unit) as shown: ("96.0", "bar"); a minus sign is U+2212, never "-0"."""
    unit = shown_unit(quantity, system)
    if decimals is None:
        decimals = _SHOWN[quantity][system is System.US][1] if quantity in _SHOWN else 3
    number = round((value - unit.offset) / unit.factor, decimals)
    figures = f"{abs(number):.{decimals}f}"
    if number < 0:
        figures = "−" + figures
    return figures, _PRETTY.get(unit.symbol, unit.symbol)
