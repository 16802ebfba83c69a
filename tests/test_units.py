"""Units: factors against the CODATA and NIST values in scipy.constants, reading, showing."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import constants

from trainer import units
from trainer.errors import UnitError
from trainer.units import System

# NIST SP 811 (2008), appendix B: factors of the units of the trade; scipy.constants carries the same numbers
FACTORS = {
    "bar": constants.bar,
    "psi": constants.psi,
    "in": constants.inch,
    "ft": constants.foot,
    "lb": constants.lb,
    "lbf": constants.lbf,
    "gal": constants.gallon,
    "gpm": constants.gallon / constants.minute,
    "L": constants.liter,
    "L/min": constants.liter / constants.minute,
    "hp": constants.hp,
    "rev": 2 * constants.pi,
    "r/min": 2 * constants.pi / constants.minute,
    "deg": constants.degree,
    "in3/rev": constants.inch**3 / (2 * constants.pi),
    "cm3/rev": constants.centi**3 / (2 * constants.pi),
    "lbf ft": constants.lbf * constants.foot,
    "lbf/in": constants.lbf / constants.inch,
    "lb/ft3": constants.lb / constants.foot**3,
    "cSt": 1e-6,  # ISO 3104: 1 cSt is 1 mm2/s
    "cP": 1e-3,
    "t": constants.metric_ton,
    "h": constants.hour,
    "fl oz": constants.fluid_ounce_US,
    "gal/h": constants.gallon / constants.hour,
    "in3/min": constants.inch**3 / constants.minute,
    "in3/min/psi": constants.inch**3 / constants.minute / constants.psi,
    "kWh": constants.kilo * constants.hour,
    "ft lbf": constants.foot * constants.lbf,
    "Btu": constants.Btu_IT,
    "lb/hp h": constants.lb / (constants.hp * constants.hour),
    "g/kWh": constants.gram / (constants.kilo * constants.hour),
    "deg/s": constants.degree,
    "ft/s2": constants.foot,
    "Btu/h F": constants.Btu_IT / constants.hour / constants.degree_Fahrenheit,
    "Btu/F": constants.Btu_IT / constants.degree_Fahrenheit,
    "Btu/lb F": constants.Btu_IT / constants.lb / constants.degree_Fahrenheit,
    "F/min": constants.degree_Fahrenheit / constants.minute,
}


@pytest.mark.parametrize("symbol", FACTORS)
def test_factor_is_the_published_one(symbol: str) -> None:
    assert units.unit(symbol).factor == pytest.approx(FACTORS[symbol], rel=1e-12)


@pytest.mark.parametrize(("fahrenheit", "celsius"), [(32, 0), (212, 100), (-40, -40), (104, 40)])
def test_fahrenheit(fahrenheit: float, celsius: float) -> None:
    assert constants.convert_temperature(fahrenheit, "F", "C") == pytest.approx(celsius)
    assert units.read(f"{fahrenheit} F", "temperature") == pytest.approx(celsius, abs=1e-9)


@pytest.mark.parametrize(
    ("written", "quantity", "value"),
    [
        ("80 mm", "length", 0.08),
        ("80mm", "length", 0.08),
        (" 1.5e1 bar ", "pressure", 15e5),
        ("-3 %", "ratio", -0.03),
        (".5", "ratio", 0.5),
        (2, "ratio", 2.0),
        ("46 cSt", "viscosity", 46e-6),
        ("1500 rpm", "shaft speed", 50 * math.pi),
        ("10 cc/rev", "displacement", 1e-5 / (2 * math.pi)),
        ("45 °C", "temperature", 45.0),
    ],
)
def test_read(written: str | float, quantity: str, value: float) -> None:
    assert units.read(written, quantity) == pytest.approx(value, rel=1e-12)


@pytest.mark.parametrize(
    ("written", "quantity", "said"),
    [
        ("80", "length", "mm"),
        (80, "length", "no unit"),
        ("80 bra", "pressure", "bar"),
        ("80 mm", "pressure", "length"),
        ("eighty", "length", "not a number"),
        ("1e999 bar", "pressure", "bar"),
        ("nan bar", "pressure", "bar"),
        (math.inf, "ratio", "finite"),
        (True, "ratio", "number"),
        (10**400, "ratio", "finite"),
        ("1" * 70, "ratio", "too long"),
        ("", "pressure", "bar"),
    ],
)
def test_what_cannot_be_read_is_said(written: str | float, quantity: str, said: str) -> None:
    with pytest.raises(UnitError, match=said):
        units.read(written, quantity)


@given(st.sampled_from(sorted(units.UNITS)), st.floats(-1e6, 1e6))
def test_every_unit_reads_back(symbol: str, number: float) -> None:
    unit = units.UNITS[symbol]
    value = units.read(f"{number!r} {symbol}", unit.quantity)
    assert (value - unit.offset) / unit.factor == pytest.approx(number, rel=1e-9, abs=1e-9)


@pytest.mark.parametrize(
    ("value", "quantity", "metric", "us"),
    [
        (96e5, "pressure", ("96.0", "bar"), ("1392", "psi")),
        (0.6e-3 / 60, "flow", ("0.60", "L/min"), ("0.159", "gpm")),
        (-0.057, "speed", ("−57.0", "mm/s"), ("−2.24", "in/s")),
        (-1e-9, "length", ("0", "mm"), ("0.00", "in")),
        (45.0, "temperature", ("45", "°C"), ("113", "°F")),
        (0.5, "ratio", ("50", "%"), ("50", "%")),
    ],
)
def test_text(value: float, quantity: str, metric: tuple[str, str], us: tuple[str, str]) -> None:
    assert units.text(value, quantity, System.METRIC) == metric
    assert units.text(value, quantity, System.US) == us


@pytest.mark.parametrize(
    ("symbol", "printed"),
    [("cm3/rev", "cm³/rev"), ("lbf ft", "lbf·ft"), ("F", "°F"), ("cSt", "cSt"), ("um", "µm"), ("deg/s", "°/s"),
     ("m/s2", "m/s²"), ("Btu/h F", "Btu/h·°F"), ("cm3/min/bar", "cm³/(min·bar)"), ("fl oz", "fl oz")],
)  # fmt: skip
def test_a_symbol_as_it_is_printed(symbol: str, printed: str) -> None:
    assert units.unit(symbol).pretty == printed


def test_what_a_small_rig_shows() -> None:
    assert units.shown_with("power", System.METRIC, small=True) == (units.unit("W"), 1)
    assert units.shown_with("power", System.US, small=True) == (units.unit("hp"), 3)


def test_the_other_system() -> None:
    assert System.METRIC.other is System.US
    assert System.US.other is System.METRIC


def test_steps_are_round_in_the_units_that_are_shown() -> None:
    """By hand: 30 bar are 435 psi and 500 is the nearest round number; 10 bar are 145 psi: 150."""
    psi = units.UNITS["psi"].factor
    assert units.trade_step(30e5, "pressure", System.METRIC) == 30e5
    assert units.trade_step(30e5, "pressure", System.US) == pytest.approx(500 * psi)
    assert units.trade_step(10e5, "pressure", System.US) == pytest.approx(150 * psi)


def test_what_is_round_in_bar_has_a_round_number_in_psi() -> None:
    psi, pound = constants.psi, constants.lb
    assert units.trade_value(175e5, "pressure", System.METRIC) == 175e5
    assert units.trade_value(175e5, "pressure", System.US) == pytest.approx(2500 * psi)
    assert units.trade_value(450e5, "pressure", System.US, -1) == pytest.approx(6500 * psi)
    assert units.trade_value(5e5, "pressure", System.US, 1) == pytest.approx(73 * psi)
    assert units.trade_value(150.0, "mass", System.US) == pytest.approx(330 * pound)
    assert units.trade_value(0.08, "length", System.US) == 0.08  # a bore is what it is
    assert units.trade_value(2500 * psi, "pressure", System.US, -1) == pytest.approx(2500 * psi)


def test_a_number_left_empty_is_told_in_words() -> None:
    with pytest.raises(UnitError, match=r"^an empty text is not a number with a unit\."):
        units.read("", "length")


@pytest.mark.parametrize(
    ("value", "symbol", "printed"),
    [  # by hand: 1 bar = 14.50377 psi, 1 lb = 0.45359237 kg, 1 lbf = 4.448222 N, 1 in = 25.4 mm
        (255.0, "lb", "562"),
        (45.0, "lb", "99.21"),
        (180e5, "psi", "2611"),
        (5e5, "psi", "72.52"),
        (180.25e5, "bar", "180.2"),
        (1000.0, "lbf", "225"),
        (0.1016, "mm", "101.6"),
        (4.0, "in", "157.5"),
        (0.30375, "L", "303.8"),
        (-0.02, "mm", "−20"),
        (3e-14, "m3/s/Pa", "3e-14"),
        (0.0, "bar", "0"),
    ],
)
def test_chosen_numbers_tell_what_all_else_tells(value: float, symbol: str, printed: str) -> None:
    unit = units.unit(symbol)
    assert units.figures(value, unit) == printed
    shown = [system for system in System if units.shown_unit(unit.quantity, system) is unit]
    if abs(unit.number(value)) >= 100.0 and unit.quantity not in ("length", "volume"):
        assert all(units.text(value, unit.quantity, system)[0] == printed for system in shown)
