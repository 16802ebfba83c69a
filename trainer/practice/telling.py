"""Measures as they are printed: figures and unit, in the unit system of the screen."""

from __future__ import annotations

from trainer.language import tr
from trainer.lessons.filling import Filler
from trainer.practice.catalogue import MEASURES
from trainer.units import PLAIN, System, Units, pair, shown_unit, text_in

__all__ = ["figures", "filled", "limit", "said", "told", "within"]

_FINE: dict[str, Units] = {
    "length": pair("mm", 0, "in", 2), "speed": pair("mm/s", 1, "in/s", 2), "angle": pair("deg", 1, "deg", 1),
    "shaft speed": pair("deg/s", 1, "deg/s", 1), "force": pair("kN", 2, "lbf", 0),
    "pressure": pair("bar", 1, "psi", 0),
    "time": pair("s", 1, "s", 1), "energy": pair("kJ", 2, "kJ", 2), "jerk": pair("m/s3", 2, "ft/s3", 2),
    "angular jerk": pair("deg/s3", 0, "deg/s3", 0), "ratio": pair("%", 0, "%", 0),
}  # fmt: skip
_FILLER = Filler({}, digits=2)  # of what a hand is asked for
_READ = {  # from which number on in what steps an instrument is read, where no decimal says it; our own numbers
    "in": ((10.0, 0.1), (1.0, 0.05)), "lbf": ((50.0, 5.0),),
}  # fmt: skip
_AT_ONCE = 0.05  # s
_DECIMALS = {"functions": 1, "effort": 1, "path": 2, "log_jerk": 1, "arc": 2, "peaks": 0, "reversals": 0}


def figures(measure: str, value: float, quantity: str, system: System) -> tuple[str, str]:
    """Return a measure as (figures, printed unit), "" where it has none: ("6.6", "°")."""
    if measure == "settling" and value < _AT_ONCE:
        return tr("at once"), ""
    return _figures(measure, value, quantity, system)


def _figures(measure: str, value: float, quantity: str, system: System) -> tuple[str, str]:
    if MEASURES[measure].count:
        part = abs(value - round(value)) > 1e-9  # the mean of several laps
        return text_in(value, PLAIN[0][0], max(_DECIMALS[measure], int(part)))
    return _in(value, quantity, system)


def _in(value: float, quantity: str, system: System) -> tuple[str, str]:
    metric, us = _FINE.get(quantity) or ((shown_unit(quantity, one), 1) for one in System)
    of, decimals = us if system is System.US else metric
    number = of.number(value)
    if of.symbol == "mm" and abs(number) < 10:
        decimals += 1
    if of.symbol == "in" and abs(number) >= 10:
        decimals -= 1
    step = next((step for least, step in _READ.get(of.symbol, ()) if abs(number) >= least), 0.0)
    return text_in(of.value(round(number / step) * step) if step else value, of, decimals)


def limit(measure: str, value: float, quantity: str, system: System) -> tuple[str, str]:
    """Return a limit as (figures, printed unit): as a measure, without noughts behind the point."""
    number, unit = _figures(measure, value, quantity, system)
    return number.rstrip("0").rstrip(".") if "." in number else number, unit


def told(measure: str, value: float, quantity: str, system: System) -> str:
    """Return a measure in one word with its unit: "21 mm", "6.6°"."""
    return _word(*figures(measure, value, quantity, system))


def said(value: float, quantity: str, system: System) -> str:
    """Return a number in one word with its unit; of quantity "count" it has none."""
    return f"{value:g}" if quantity == "count" else _word(*_in(value, quantity, system))


def within(value: float, quantity: str, system: System) -> str:
    """Return a tolerance in one word with its unit: "± 5 mm"."""
    number, unit = _in(value, quantity, system)
    return f"± {_word(number.rstrip('0').rstrip('.') if '.' in number else number, unit)}"


def filled(text: str, system: System) -> str:
    """Return a text of a task with the numbers in its brackets in the units of the screen: "at {40 mm/s}"."""
    return _FILLER.fill(tr(text), system)


def _word(number: str, symbol: str) -> str:
    return f"{number}{symbol}" if symbol == "°" else f"{number} {symbol}".rstrip()
