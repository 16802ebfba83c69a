"""Formulas are read, worked out and written from one string; their constants are those of the shop."""

from __future__ import annotations

import math

import pytest

from trainer.formula import SHOP, Term, Working, evaluate, hidden, letters_in, parse, spoken
from trainer.units import System

METRIC, US = System.METRIC, System.US


@pytest.mark.parametrize("printed", SHOP)
def test_a_constant_is_printed_as_its_value_rounds(printed: str) -> None:
    half = 0.5 * 10.0 ** -len(printed.partition(".")[2])
    assert abs(float(printed) - SHOP[printed]) <= half


@pytest.mark.parametrize(
    ("printed", "value", "source"),
    [
        ("1714", 33000 * 12 / 231, "formula sheets, P01: psi gpm in a hp"),
        ("5252", 33000 / (2 * math.pi), "P02: 63025 lbf in r/min in a hp, over 12"),
        ("9549", 60000 / (2 * math.pi), "kW = N m r/min / 9549; hand calculation 60 000 / 2 pi"),
        ("9.549", 60 / (2 * math.pi), "the same in W"),
        ("62.8", 2 * math.pi * 10, "bar cm3/rev in a N m: 1e5 Pa 1e-6 m3 / 2 pi, hand calculation"),
        ("75.4", 2 * math.pi * 12, "psi in3/rev / 24 pi is lbf ft, hand calculation"),
        ("6283", 2 * math.pi * 1000, "bar cm3/rev in a N m with a stroke in per cent, hand calculation"),
        ("7540", 2 * math.pi * 1200, "psi in3/rev in a lbf ft with a stroke in per cent, hand calculation"),
        ("0.7854", math.pi / 4, "area of a circle"),
        ("6.283", 2 * math.pi, "a turn"),
        ("9.807", 9.80665, "standard gravity"),
        ("32.17", 9.80665 / 0.3048, "standard gravity in ft/s2"),
        ("0.4085", 4 / math.pi * 231 / 720, "L01: 0.3208 ft/s in2/gpm, over pi/4"),
        ("21.22", 1e6 / 60000 * 4 / math.pi, "the same for L/min, mm and m/s"),
        ("42.41", 550 * 60 / 778.16926, "H01: 42.4 Btu/min in a hp"),
        ("317.2", 550 * 60 / 778.16926 * 1728 / 231, "the same, over the ft3 of a gallon"),
        ("9266", 2 * 32.174 * 144, "rho v2 / 2 in psi, for lb/ft3 and ft/s"),
        ("772.2", 24 * 9.80665 / 0.3048, "rho v2 / 2 in psi, ft over in"),
        ("26.83", 0.06 * math.sqrt(2e5), "orifice for mm2, bar, kg/m3, hand calculation"),
        ("37.98", 37.982, "O02: exact units give 37.982, the books 38.06 and 38.1"),
        ("3163", 7740 / 2.4471, "L02: Re 774.19 at 10 ft/s in 1 in of 100 mm2/s, 24.471 gpm"),
        ("21221", 4e9 / 60000 / math.pi, "the same for L/min, mm and mm2/s"),
    ],
)
def test_constants_of_the_shop(printed: str, value: float, source: str) -> None:
    """Row ids are those of tests/truth; the rest follows by hand from the definitions of the units."""
    assert SHOP[printed] == pytest.approx(value, rel=2e-4), source
    assert float(printed) == pytest.approx(value, rel=6e-4), source


def test_every_constant_has_its_source() -> None:
    marks = [mark for mark in test_constants_of_the_shop.pytestmark if mark.name == "parametrize"]  # type: ignore[attr-defined]  # pytest's
    assert {row[0] for row in marks[0].args[1]} == set(SHOP)


@pytest.mark.parametrize(
    ("words", "numbers", "value"),
    [
        ("x = a + b − c", {"a": 1.0, "b": 2.0, "c": 5.0}, -2.0),
        ("x = a · b / c / d", {"a": 2.0, "b": 9.0, "c": 3.0, "d": 2.0}, 3.0),  # from the left
        ("x = a / ( b · c )", {"a": 12.0, "b": 2.0, "c": 3.0}, 2.0),
        ("x = ( a − b )²", {"a": 2.0, "b": 5.0}, 9.0),
        ("x = √( a / b )", {"a": 8.0, "b": 2.0}, 2.0),
        ("x = − a + pA", {"a": 1.0, "pA": 3.5}, 2.5),
        ("x = d² + dr³ + q⁴", {"d": 3.0, "dr": 2.0, "q": 1.0}, 18.0),
        ("x = 100 · Δp1 / 0.5", {"Δp1": 2.0}, 400.0),
        ("x = 1 / ( 2 · lg( a / ( 3.7 · d ) + 2.51 / K ) )²", {"a": 0.37, "d": 10.0, "K": 1e20}, 1 / 16),
        ("x = a · 1714", {"a": 1.0}, 33000 * 12 / 231),
    ],
)  # fmt: skip
def test_formulas_are_worked_out(words: str, numbers: dict[str, float], value: float) -> None:
    left, tree = parse(words)
    assert left == "x"
    assert letters_in(tree) == set(numbers)
    assert evaluate(tree, numbers) == pytest.approx(value, rel=1e-12)
    again = parse(f"x = {spoken(tree, lambda letter: letter)}")[1]
    assert evaluate(again, numbers) == pytest.approx(value, rel=1e-12)


def test_what_cannot_be_worked_out_is_no_number() -> None:
    assert math.isnan(evaluate(parse("x = √( a )")[1], {"a": -1.0}))
    assert math.isnan(evaluate(parse("x = 1 / a")[1], {"a": 0.0}))
    assert math.isnan(evaluate(parse("x = lg( a )")[1], {"a": 0.0}))


@pytest.mark.parametrize(
    "words", ["", "a", "a = ", "a + b", "x = a +", "x = ( a", "x = a )", "x = a b", "x = · a", "x = a ^ 2", "x = √"]
)
def test_what_is_no_formula_is_refused(words: str) -> None:
    with pytest.raises(ValueError, match="'"):
        parse(words)


def test_numbers_stand_in_the_formula() -> None:
    _, tree = parse("F = pA · A / 100 − Fr")
    shown = {"pA": "89.0 bar", "A": "50.27 cm²", "Fr": "−0.50 kN"}
    assert spoken(tree, shown.__getitem__) == "89.0 bar · 50.27 cm² / 100 − ( −0.50 kN )"
    _, tree = parse("P = ( q + 2 ) · a / ( b · √( c ) )²")
    assert spoken(tree, lambda letter: letter) == "( q + 2 ) · a / ( b · √( c ) )²"


def working(force: float = 40e3) -> Working:
    """Return F = p A for a piston of 50 cm2."""
    terms = (
        Term("p", 80e5, "pressure", "line A3", (("pressure", "A3"),)),
        Term("A", 50e-4, "area", "piston"),
    )
    result = Term("F", force, "force", "rod")
    return Working("3A1", "Force", result, terms, ("F = p · A / 100", "F = p · A"))


def test_a_working_in_both_systems() -> None:
    """80 bar on 50 cm2 are 40 kN; 1160 psi on 7.75 in2 are 8992 lbf."""
    one = working()
    assert one.value(METRIC) == one.value(US) == pytest.approx(40e3, rel=1e-12)
    assert one.lines(METRIC) == ("F = p · A / 100", "F = 80.0 bar · 50.0 cm² / 100", "F = 40.00 kN")
    assert one.lines(US) == ("F = p · A", "F = 1160 psi · 7.75 in²", "F = 8992 lbf")
    assert [term.letter for term in one.used(US)] == ["p", "A"]


def test_a_working_that_leaves_something_out_says_so() -> None:
    assert not working().differs(METRIC)
    assert not working(40e3 + 5.0).differs(METRIC)  # within the last figure
    assert working(41e3).differs(METRIC)
    assert working(math.nan).differs(METRIC)


def test_only_what_is_covered_is_hidden() -> None:
    one = working()
    assert hidden(one, {("pressure", "A3")}) == {"p"}
    assert hidden(one, {("pressure", "B3"), ("flow", "A3")}) == frozenset()
