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
from functools import lru_cache

from trainer.errors import UnitError, nearest
from trainer.language import tr

__all__ = [
    "FAVOURED", "GRAVITY", "PLAIN", "UNITS", "System", "Unit", "Units", "figures", "named", "pair", "pretty",
    "quantity_of", "quoted", "read", "shop_units", "shown_unit", "shown_with", "symbol_of", "symbols_of", "text",
    "text_in", "trade_step", "trade_value", "unit", "with_a_point",
]  # fmt: skip

GRAVITY = 9.80665  # standard gravity [m/s2]
_TURN = 2 * math.pi
_INCH = 0.0254
_FOOT = 12 * _INCH
_POUND = 0.45359237
_LBF = _POUND * GRAVITY
_PSI = _LBF / _INCH**2
_GALLON = 231 * _INCH**3
_HORSEPOWER = 550 * _FOOT * _LBF
_RANKINE = 5 / 9  # a degree Fahrenheit [K]
_BTU = 4186.8 * _POUND * _RANKINE  # of the International Table [J]


_OWN = {"fl oz": "fl oz", "cm3/min/bar": "cm³/(min·bar)", "in3/min/psi": "in³/(min·psi)"}


@lru_cache(maxsize=256)
def pretty(symbol: str) -> str:
    """Return a unit's symbol as it is printed: "cm³/rev" for "cm3/rev", "°C" for "C"."""
    if symbol in _OWN:
        return _OWN[symbol]
    symbol = re.sub(r"(?<=[mnts])([23])(?!\w)", lambda match: "²³"[int(match[1]) - 2], symbol)
    symbol = re.sub(r"\b([CF])\b", r"°\1", symbol)
    return re.sub(r"\bdeg\b", "°", re.sub(r"\bum\b", "µm", symbol)).replace(" ", "·")


@dataclass(frozen=True, slots=True)
class Unit:
    """A unit of the trade: value in SI = number * factor + offset."""

    symbol: str
    quantity: str
    factor: float
    offset: float = 0.0

    @property
    def pretty(self) -> str:
        """Its symbol as it is printed, "" for a plain number: "cm³/rev"."""
        return pretty(self.symbol)

    def number(self, value: float) -> float:
        """Return the number of a value [SI] in this unit."""
        return (value - self.offset) / self.factor

    def value(self, number: float) -> float:
        """Return the value [SI] of a number in this unit."""
        return number * self.factor + self.offset


def _table() -> dict[str, Unit]:
    rows: dict[str, dict[str, float]] = {
        "ratio": {"": 1.0, "1": 1.0, "%": 0.01},
        "pressure": {"Pa": 1.0, "kPa": 1e3, "MPa": 1e6, "GPa": 1e9, "bar": 1e5, "psi": _PSI},
        "vacuum": {"Pa vac": 1.0, "mbar": 100.0, "inHg": 3386.389},  # below the air's pressure; of mercury at 0 C
        "flow": {"m3/s": 1.0, "L/min": 1e-3 / 60, "cm3/min": 1e-6 / 60, "cm3/s": 1e-6, "gpm": _GALLON / 60},
        "displacement": {
            "m3/rad": 1.0,
            "cm3/rev": 1e-6 / _TURN,
            "in3/rev": _INCH**3 / _TURN,
            "L/rev": 1e-3 / _TURN,
        },
        "power": {"W": 1.0, "kW": 1e3, "hp": _HORSEPOWER},
        "torque": {"N m": 1.0, "lbf ft": _FOOT * _LBF, "lbf in": _INCH * _LBF},
        "force": {"N": 1.0, "kN": 1e3, "lbf": _LBF},
        "shaft speed": {"rad/s": 1.0, "r/min": _TURN / 60},
        "speed": {"m/s": 1.0, "mm/s": 1e-3, "in/s": _INCH, "ft/s": _FOOT, "ft/min": _FOOT / 60},
        "length": {"m": 1.0, "cm": 1e-2, "mm": 1e-3, "um": 1e-6, "in": _INCH, "ft": _FOOT},
        "area": {"m2": 1.0, "cm2": 1e-4, "mm2": 1e-6, "in2": _INCH**2},
        "volume": {"m3": 1.0, "L": 1e-3, "cm3": 1e-6, "gal": _GALLON, "in3": _INCH**3},
        "mass": {"kg": 1.0, "t": 1e3, "g": 1e-3, "lb": _POUND},
        "inertia": {"kg m2": 1.0, "lb ft2": _POUND * _FOOT**2},
        "angle": {"rad": 1.0, "deg": math.pi / 180, "rev": _TURN},
        "density": {"kg/m3": 1.0, "g/cm3": 1e3, "lb/ft3": _POUND / _FOOT**3},
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
        "frequency": {"Hz": 1.0},
    }
    table = {
        symbol: Unit(symbol, quantity, factor) for quantity, units in rows.items() for symbol, factor in units.items()
    }
    table["C"] = Unit("C", "temperature", 1.0)  # temperatures are degrees Celsius inside
    table["F"] = Unit("F", "temperature", _RANKINE, -32 * _RANKINE)
    return table


UNITS = _table()
_PRINTED = {  # what no file is written in, but pages and workings are
    unit.symbol: unit
    for unit in (
        Unit("mL", "volume", 1e-6), Unit("fl oz", "volume", _GALLON / 128),
        Unit("L/h", "flow", 1e-3 / 3600), Unit("gal/h", "flow", _GALLON / 3600),
        Unit("in3/min", "flow", _INCH**3 / 60),
        Unit("in3/min/psi", "leakage", _INCH**3 / 60 / _PSI),
        Unit("Wh", "energy", 3600.0), Unit("kWh", "energy", 3.6e6),
        Unit("ft lbf", "energy", _FOOT * _LBF), Unit("Btu", "energy", _BTU),
        Unit("g/kWh", "fuel per work", 1e-3 / 3.6e6), Unit("lb/hp h", "fuel per work", _POUND / (_HORSEPOWER * 3600)),
        Unit("kN m", "torque", 1e3), Unit("deg/s", "shaft speed", math.pi / 180), Unit("kN/mm", "spring rate", 1e6),
        Unit("ft/s2", "acceleration", _FOOT),
        Unit("m/s3", "jerk", 1.0), Unit("ft/s3", "jerk", _FOOT), Unit("deg/s3", "angular jerk", math.pi / 180),
        Unit("W/C", "heat transfer", 1.0), Unit("Btu/h F", "heat transfer", _BTU / _RANKINE / 3600),
        Unit("kJ/C", "heat capacity", 1e3), Unit("Btu/F", "heat capacity", _BTU / _RANKINE),
        Unit("kJ/kg K", "heat", 1e3), Unit("Btu/lb F", "heat", 4186.8),
        Unit("C/min", "warming", 1 / 60), Unit("F/min", "warming", _RANKINE / 60),
    )
}  # fmt: skip
_SPELLINGS = {
    "L/m": "L/min",
    "rpm": "r/min",
    "cc/rev": "cm3/rev",
    "Nm": "N m",
    "us gpm": "gpm",
    "l/min": "L/min",
    "l": "L",
    "lb in": "lbf in",
    "lb ft": "lbf ft",
    "kg m²": "kg m2",
    "cm³/min/bar": "cm3/min/bar",
    "rev/min": "r/min",
    **{unit.pretty: symbol for symbol, unit in UNITS.items()},
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
    number = f"{sign}{whole or '0'}.{part} {unit}".rstrip()
    if len(part) == 3 and whole.strip("0"):
        whole = f"{sign}{whole}{part} {unit}".rstrip()
        return tr("Write {number}, with a point, or {whole} if that is meant.").format(number=number, whole=whole)
    return tr("Write {number}, with a point.").format(number=number)


def quoted(text: str) -> str:
    """Return a text in the quotes that it does not hold itself; an empty one is said to be so."""
    if not text:
        return tr("an empty text")
    return f"'{text}'" if "'" not in text else f'"{text}"' if '"' not in text else f"‹{text}›"


def named(symbol: str, quantity: str = "") -> Unit:
    """Return the unit of a symbol, in whichever spelling. Raises UnitError with those of a quantity."""
    unit = UNITS.get(_SPELLINGS.get(symbol, symbol))
    if unit is None:
        known = symbols_of(quantity) if quantity else UNITS
        raise UnitError(
            tr("{written} is no unit known here.").format(written=quoted(symbol[:40])), nearest(symbol[:40], known)
        )
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
        raise UnitError(tr("'{written}…' is too long for a number with a unit.").format(written=written[:20]))
    if remedy := with_a_point(written):
        raise UnitError(tr("{written} is written with a comma.").format(written=quoted(written)), remedy)
    match = _NUMBER.fullmatch(written)
    if match is None and any(mark in written for mark in "\"'“”„‘’`´"):
        raise UnitError(
            tr("{written} holds a quote mark.").format(written=quoted(written)), tr("Take it out of the number.")
        )
    if match is None:
        raise UnitError(
            tr("{written} is not a number with a unit.").format(written=quoted(written)),
            tr('Such a number is "80 mm".'),
        )
    number = float(match[1])
    if not math.isfinite(number):
        raise UnitError(tr("{written} is not a finite number.").format(written=quoted(written)))
    return number, named(match[2], quantity)


def _expected(quantity: str) -> str:
    """Return what is to be written for a quantity, in a sentence."""
    if quantity == "ratio":
        return tr('Write a share, such as 0.5 or "50 %".')
    symbols = tr(" or ").join(symbols_of(quantity)) or tr("plain numbers")
    return tr("Write a {quantity} in {units}.").format(quantity=tr(quantity), units=symbols)


def read(written: str | float, quantity: str) -> float:
    """Return a written number [SI unit of the quantity; degrees Celsius for temperatures].

    Accepts "80 mm"; a bare number only for ratios. Raises UnitError with what is expected.
    """
    if isinstance(written, bool) or not isinstance(written, (str, int, float)):
        raise UnitError(tr("{written!r:.40} is not a number.").format(written=written), _expected(quantity))
    if not isinstance(written, str):
        if quantity != "ratio":
            raise UnitError(tr("{written!r:.40} has no unit.").format(written=written), _expected(quantity))
        try:
            number = float(written)
        except OverflowError:
            number = math.inf
        if not math.isfinite(number):
            raise UnitError(
                tr("{written!r:.40} is not a finite number.").format(written=written), _expected(quantity)
            )
        return number
    try:
        number, unit = _split(written, quantity)
    except UnitError as error:
        remedy = error.remedy if with_a_point(written) else f"{error.remedy} {_expected(quantity)}".strip()
        raise UnitError(error.problem, remedy) from None
    if unit.quantity != quantity:
        if unit.symbol:
            problem = tr("{written} is a {quantity}.").format(written=quoted(written), quantity=tr(unit.quantity))
        else:
            problem = tr("{written} is a number without a unit.").format(written=quoted(written))
        raise UnitError(problem, _expected(quantity))
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
    "vacuum": (("mbar", 0), ("inHg", 1)),
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
    "frequency": (("Hz", 0), ("Hz", 0)),
}
_SIZES = ("length", "area")
_SHOP = {  # unit of a declaration -> units in which the shop writes it, metric and US
    "bar": ("bar", "psi"), "MPa": ("MPa", "psi"), "Pa": ("bar", "psi"),
    "L/min": ("L/min", "gpm"), "m3/s": ("L/min", "gpm"), "cm3/rev": ("cm3/rev", "in3/rev"),
    "W": ("W", "hp"), "kW": ("kW", "hp"), "N m": ("N m", "lbf ft"),
    "N": ("N", "lbf"), "kN": ("kN", "lbf"), "rad/s": ("r/min", "r/min"), "m/s": ("mm/s", "in/s"),
    "mm": ("mm", "in"), "m": ("m", "ft"), "cm": ("mm", "in"),
    "mm2": ("mm2", "in2"), "cm2": ("cm2", "in2"), "m2": ("cm2", "in2"),
    "L": ("L", "gal"), "cm3": ("cm3", "in3"), "m3": ("L", "gal"),
    "kg": ("kg", "lb"), "t": ("kg", "lb"), "C": ("C", "F"), "rad": ("deg", "deg"),
    "N/m": ("N/mm", "lbf/in"), "N/mm": ("N/mm", "lbf/in"), "kg m2": ("kg m2", "lb ft2"),
    "kg/m3": ("kg/m3", "lb/ft3"), "m3/s/Pa": ("cm3/min/bar", "cm3/min/bar"),
}  # fmt: skip
FAVOURED = {  # units in which a workshop writes a file, before those of the table
    "pressure": ("bar", "MPa"), "vacuum": ("mbar",), "flow": ("L/min",), "displacement": ("cm3/rev",),
    "power": ("kW", "W"), "mass": ("kg",),
    "force": ("kN", "N"), "shaft speed": ("r/min",), "speed": ("mm/s",), "length": ("mm", "m"),
    "area": ("mm2", "cm2"), "volume": ("L", "cm3"), "viscosity": ("mm2/s",), "angle": ("deg",),
    "dynamic viscosity": ("mPa s",), "spring rate": ("N/mm",), "leakage": ("cm3/min/bar",),
}  # fmt: skip
Units = tuple[tuple[Unit, int], tuple[Unit, int]]  # unit and decimals, metric and US


def unit(symbol: str) -> Unit:
    """Return a unit by the symbol of this module, also one that is only printed. Raises KeyError."""
    return UNITS.get(symbol) or _PRINTED[symbol]


def pair(metric: str, decimals: int, us: str, us_decimals: int) -> Units:
    """Return units and decimals of both systems from the symbols of this module. Raises KeyError."""
    return (unit(metric), decimals), (unit(us), us_decimals)


PLAIN = pair("", 3, "", 3)


def shop_units(symbol: str) -> tuple[str, str]:
    """Return the units, metric and US, in which the shop writes what a declaration gives in a unit."""
    return _SHOP.get(symbol, (symbol, symbol))


def shown_unit(quantity: str, system: System) -> Unit:
    """Return the unit in which a quantity is shown in one system."""
    if quantity not in _SHOWN:
        return UNITS[symbols_of(quantity)[0]]
    return UNITS[_SHOWN[quantity][system is System.US][0]]


def shown_with(quantity: str, system: System, small: bool = False) -> tuple[Unit, int]:
    """Return unit and decimals in which a quantity is shown; ``small`` rigs show powers in W."""
    unit = shown_unit(quantity, system)
    if small and unit.symbol == "kW":
        return UNITS["W"], 1
    return unit, _SHOWN[quantity][system is System.US][1] if quantity in _SHOWN else 3


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
    unit, usual = shown_with(quantity, system)
    return text_in(value, unit, usual if decimals is None else decimals)


def text_in(value: float, unit: Unit, decimals: int) -> tuple[str, str]:
    """Return (figures, unit) of a value [SI] as it is printed in one unit."""
    number = round(unit.number(value), decimals)
    return f"{'−' if number < 0 else ''}{abs(number):.{decimals}f}", unit.pretty


def figures(value: float, unit: Unit) -> str:
    """Return a number that is chosen, not measured [SI] as it is printed in one unit: to four significant figures.

    From 100 on it has no more decimals than its quantity is shown with, so that a row, the drawing and a screw tell
    the same: 562 lb. Sizes are written out: who works out an area needs 101.6 mm.
    """
    number = unit.number(value)
    size = abs(number)
    if not math.isfinite(number) or size == 0:
        return "0" if size == 0 else str(number)
    if 1e-3 <= size < 1e7:
        decimals = max(0, 3 - math.floor(math.log10(size)))
        if size >= 100.0 and unit.quantity not in _SIZES:
            decimals = min(
                [decimals, *(most for symbol, most in _SHOWN.get(unit.quantity, ()) if symbol == unit.symbol)]
            )
        printed = f"{size:.{decimals}f}"
        printed = printed.rstrip("0").rstrip(".") if "." in printed else printed
    else:
        mantissa, _, power = f"{size:.3e}".partition("e")
        printed = f"{mantissa.rstrip('0').rstrip('.')}e{int(power)}"
    return f"−{printed}" if number < 0 else printed
