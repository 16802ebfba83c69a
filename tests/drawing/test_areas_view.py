"""Ledgers over time as draw lists: stacked areas, their names, the sheets of totals and the table of cycles."""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np
import pytest
from approved_lists import check
from hypothesis import given
from hypothesis import strategies as st

from trainer.drawing.areas_view import (
    NOTHING,
    Band,
    Ground,
    Stack,
    areas_still,
    cursor_live,
    hatching,
    time_ticks,
)
from trainer.drawing.cycle_view import (
    Line,
    Sheet,
    amounts,
    fewer,
    number,
    row_at,
    rows_in,
    scaled,
    sheet_live,
    table_live,
)
from trainer.drawing.ledger_view import FILLS, ledger_live, ledger_row, ledger_text
from trainer.drawing.shapes import DrawList, Path, Words
from trainer.energy.ledger import Entry, Ledger
from trainer.units import System

METRIC, US = System.METRIC, System.US


def power(end: float = 20.0, count: int = 40) -> Stack:
    """Return a lift and a lowering, W: 1 kW lifted at the most, what is lost growing with it."""
    edges = np.linspace(0.0, end, count + 1)
    middle = (edges[:-1] + edges[1:]) / 2
    lift = np.clip(np.sin(middle * 2 * math.pi / 20.0), 0.0, None) * 1000.0
    lower = np.clip(-np.sin(middle * 2 * math.pi / 20.0), 0.0, None) * 600.0
    bands = (
        Band("power.into.1W1.height", "Lifts the load", "useful", lift),
        Band("power.past", "Past the spools, heat", "past", 300.0 - 0.2 * lift),
        Band("power.relief", "Over the relief, heat", "relief", 0 * lift),
        Band("power.pump", "Pump losses", "pump", 250.0 + 0.1 * lift),
        Band("power.metering", "Spool metering", "metering", lower),
        Band("power.lines", "Lines, filter, friction", "lines", 100.0 + 0.0 * lift),
    )
    return Stack("Power", "power", edges, bands, sum((b.values for b in bands), 0 * lift), "All that is paid in")


def ground(stack: Stack, system: System = METRIC, least: float = 0.0, small: bool = False) -> Ground:
    return Ground(1376.0, 260.0, 0.0, float(stack.edges[-1]), stack.high, stack.quantity, system, small, least)


def words(shapes: DrawList) -> list[str]:
    return [shape.text for shape in shapes if isinstance(shape, Words)]


def test_the_approved_picture() -> None:
    """Areas, axes, names, a mark and the cursor, then sheets and table below; looked at in both themes."""
    stack = power()
    axes = ground(stack)
    sheet = Sheet(
        "Went into",
        "12.34 kJ",
        ("kW", "", ""),
        (
            Line("Lifts the load", "useful", ("1.000", "8.10", "66 %"), True),
            Line("Past the spools, heat", "past", ("0.300", "4.24", "34 %"), False, True),
        ),
    )
    table = table_live(
        [("Cycle", ""), ("time", "s"), ("paid in", "kJ"), ("fuel", "mL")],
        [["1", "8.5", "19.66", "2.7"], ["2 …", "7.0", "17.09", "2.3"], ["Mean", "8.5", "19.66", "2.7"]],
        360.0,
        0,
        True,
    )
    shapes = [
        *areas_still(stack, axes, [(4.0, "A")], lit="power.pump"),
        *cursor_live(stack, axes, 12.0),
        *sheet_live(sheet, 0.0, 340.0, (6.0, 5.2, 4.4)),
        *table,
    ]
    check("ledger_course", shapes)


def test_the_axis_has_room_for_what_a_store_gives_besides_the_pump() -> None:
    """10 L/min from the pump and 4 from an accumulator go into a cylinder: its area ends within the axis."""
    litre = 1e-3 / 60
    into, store = np.array([0.0, 14.0]) * litre, np.array([10.0, -4.0]) * litre
    bands = (Band("a", "Lift", "useful", into), Band("b", "Into the accumulator", "stored", store))
    stack = Stack("Oil", "flow", np.array([0.0, 1.0, 2.0]), bands, into + store, "All from the pump")
    assert stack.high == pytest.approx(14.0 * litre)
    axes = ground(stack)
    areas = [s for s in areas_still(stack, axes) if isinstance(s, Path) and s.closed]
    assert min(y for area in areas for _, y in area.points) == pytest.approx(
        axes.bottom - (axes.bottom - axes.top) * 14.0 * litre / axes.marks()[-1]
    )


def test_areas_stand_on_each_other_in_the_ledgers_order_with_its_fills() -> None:
    """The lowest is what is useful; every ring begins where the one below ends; the line on top is the total."""
    stack = power()
    axes = ground(stack)
    shapes = areas_still(stack, axes)
    filled = [s for s in shapes if isinstance(s, Path) and s.closed and len(s.points) > 8]
    shown = [band for band in stack.bands if band.values.max() > 0.0]
    assert [s.fill for s in filled] == [FILLS[band.style][0] for band in shown]
    hatches = {s.ink for s in shapes if isinstance(s, Path) and len(s.points) == 2 and s.width == 1.8}
    assert hatches == {FILLS[band.style][1] for band in shown} - {None}
    (total,) = (s for s in shapes if isinstance(s, Path) and s.ink == "ink" and s.width == 2.0)
    scale = (axes.bottom - axes.top) / axes.marks()[-1]
    for time in (1.0, 5.0, 13.0, 19.0):
        x = axes.x(time)
        (y,) = (np.interp(x, *np.array(total.points).T),)
        step = stack.at(time)
        assert axes.bottom - y == pytest.approx(scale * float(stack.total[step]), abs=0.05 * (axes.bottom - axes.top))
    tops = [np.interp(axes.x(5.0), *np.array(s.points[: len(s.points) // 2]).T) for s in filled]
    assert tops == sorted(tops, reverse=True)


@pytest.mark.parametrize(
    ("system", "small", "unit", "top"),
    [(METRIC, False, "kW", "1.6"), (US, False, "hp", "2.4"), (METRIC, True, "W", "1600")],
)
def test_the_value_axis_has_its_unit(system: System, small: bool, unit: str, top: str) -> None:
    stack = power()
    told = words(areas_still(stack, ground(stack, system, small=small)))
    assert unit in told
    assert top in told
    assert "0" in told


def test_covered_areas_tell_no_size() -> None:
    """Shares stay, as on the bar of a covered ledger; figures of the value axis and at the cursor are gone."""
    stack = power()
    axes = ground(stack)
    told = words(areas_still(stack, axes, covered=True))
    assert not any(text.replace(".", "").isdigit() for text in told)
    assert "Spool metering" in told
    assert words(cursor_live(stack, axes, 5.0, covered=True)) == ["at 5.00 s"]
    assert words(cursor_live(stack, axes, 5.1)) == [f"at 5.10 s  {stack.total[10] / 1000:.2f} kW"]


@pytest.mark.parametrize("least", [0.0, 18.0])
def test_names_at_the_right_end_do_not_meet(least: float) -> None:
    stack = power()
    axes = ground(stack, least=least)
    named = [s for s in areas_still(stack, axes) if isinstance(s, Words) and s.align == "left" and s.size < 17.0]
    assert "All that is paid in" in {s.text for s in named}
    assert {"Past the spools, heat", "Pump losses"} & {s.text for s in named}
    heights = sorted(s.y for s in named)
    assert all(b - a >= axes.size for a, b in pairwise(heights))
    assert all(s.x > axes.right for s in named)
    inside = [s for s in areas_still(stack, axes) if isinstance(s, Words) and s.text == "Lifts the load"]
    assert [(s.ink, s.align) for s in inside] == [("paper", "centre")]
    assert axes.left < inside[0].x < axes.right


@given(
    st.lists(st.tuples(st.floats(0, 100), st.floats(0, 100)), min_size=2, max_size=30),
    st.floats(1.0, 40.0),
)
def test_hatching_stays_within_its_area(rows: list[tuple[float, float]], pitch: float) -> None:
    """Both ends of every line lie on the edge of the area, on x + y = k · 6 · √2 (the rule of the ledger's bar)."""
    x = np.arange(len(rows), dtype=np.float64) * np.float64(pitch)
    low = np.array([max(a, b) for a, b in rows])
    high = np.array([min(a, b) for a, b in rows])
    for (ax, ay), (bx, by) in hatching(x, high, low):
        assert ax + ay == pytest.approx(bx + by, abs=1e-6)
        assert ((ax + ay) / (6.0 * math.sqrt(2))) == pytest.approx(round((ax + ay) / (6.0 * math.sqrt(2))), abs=1e-6)
        middle = (ax + bx) / 2
        upper, lower = np.interp(middle, x, high), np.interp(middle, x, low)
        assert upper - 1e-6 <= (ay + by) / 2 <= lower + 1e-6


@pytest.mark.parametrize(
    ("begin", "end", "first", "last"),
    [
        (0.0, 16.0, "0 s", "16 s"),
        (3.0, 6.5, "3.0 s", "6.5 s"),
        (0.0, 600.0, "0 min", "10 min"),
        (9.5, 16.4, "10 s", "16 s"),
    ],
)
def test_time_ticks_are_round_and_have_units(begin: float, end: float, first: str, last: str) -> None:
    ticks = time_ticks(begin, end)
    assert (ticks[0][1], ticks[-1][1]) == (first, last)
    assert 2 <= len(ticks) <= 10
    assert all(begin - 1e-6 <= time <= end + 1e-6 for time, _ in ticks)


@given(st.lists(st.floats(0, 1e6), min_size=1, max_size=12), st.sampled_from(["energy", "volume"]))
def test_printed_amounts_sum_exactly(values: list[float], quantity: str) -> None:
    ledger = Ledger(
        "used", "Went into", quantity, math.fsum(values), tuple(Entry(str(v), str(v), v, "lines") for v in values)
    )
    (total, _), *rows = amounts(ledger, METRIC)
    decimals = len(total.partition(".")[2])
    whole = round(sum(float(figures) for figures, _ in rows), decimals)
    assert f"{whole:.{decimals}f}" == total
    assert sum(int(percent.removesuffix(" %")) for _, percent in rows) in (0, 100)


def test_the_unit_of_a_sum_follows_its_size() -> None:
    assert scaled(157.0, "energy", METRIC) == (1.0, "J", 0)
    assert scaled(47_000.0, "energy", US) == (1e3, "kJ", 2)
    assert scaled(3e6, "energy", US) == (1e6, "MJ", 3)
    assert scaled(1e-4, "volume", METRIC)[1] == "mL"
    assert scaled(8e-3, "volume", METRIC) == (1e-3, "L", 2)
    assert scaled(1e-4, "volume", US)[1] == "in³"
    assert scaled(8e-3, "volume", US)[1] == "gal"
    assert scaled(0.0, "power", METRIC, small=True) == (1.0, "W", 1)
    assert number(-0.0004, 3) == "0.000"
    assert number(-1.5, 1) == "−1.5"


def test_what_has_no_room_becomes_one_row() -> None:
    """What prints as nothing goes first, then the smallest are one; the sum stays."""
    entries = tuple(
        Entry(f"e{k}", f"e{k}", float(value), "lines", (f"p{k}",)) for k, value in enumerate((5, 0.001, 9, 1, 2, 3))
    )
    ledger = Ledger("oil", "Oil", "volume", sum(e.value for e in entries), entries)
    assert [e.name for e in fewer(ledger, 5, 0.1).entries] == ["e0", "e2", "e3", "e4", "e5"]
    short = fewer(ledger, 3, 0.1)
    assert [e.name for e in short.entries] == ["e0", "e2", "Other"]
    assert short.entries[-1].value == pytest.approx(6.0)
    assert short.entries[-1].parts == ("p3", "p4", "p5")


def test_rows_are_found_where_they_are_drawn() -> None:
    lines = tuple(Line(f"row {k}", "lines", ("1.0",)) for k in range(4))
    for least in (0.0, 18.0):
        shapes = sheet_live(Sheet("Oil", "4 L", ("",), lines), 10.0, 300.0, (6.0,), least)
        for k in range(4):
            (row,) = (s for s in shapes if isinstance(s, Words) and s.text == f"row {k}")
            assert row_at(row.y - 4.0, least) == k
        assert row_at(10.0, least) < 0
        assert rows_in(200.0, least) >= 7
        table = table_live([("Cycle", ""), ("time", "s")], [["1", "2.0"], ["2", "3.0"]], 200.0, least=least)
        (row,) = (s for s in table if isinstance(s, Words) and s.text == "3.0")
        assert row_at(row.y - 4.0, least) - 1 == 1


def test_names_that_would_read_alike_keep_their_ends() -> None:
    lines = tuple(
        Line(name, "useful", ("", "3.2", "37 %")) for name in ("Lift cylinder, cap end", "Lift cylinder, rod end")
    )
    shapes = sheet_live(Sheet("Oil", "9 L", ("", "", ""), lines), 0.0, 190.0, (6.0, 5.2, 4.4), 18.0)
    names = [text for text in words(shapes) if "end" in text]
    assert len(set(names)) == 2
    assert [name.rpartition(", ")[2] for name in names] == ["cap end", "rod end"]


def test_covered_totals_hide_figures_and_keep_shares() -> None:
    sheet = Sheet("Oil", "9.99 L", ("", "", ""), (Line("Boom", "useful", ("", "3.21", "37 %")),))
    told = words(sheet_live(sheet, 0.0, 300.0, (6.0, 5.2, 4.4), covered=True))
    assert told == ["Oil", "Boom", "37 %"]
    table = words(
        table_live([("Cycle", ""), ("time", "s"), ("heat", "kJ")], [["1", "2.0", "8.88"]], 300.0, covered=True)
    )
    assert "8.88" not in table
    assert "2.0" in table


def test_a_ledgers_row_is_lit_and_found() -> None:
    """The lit row has a rim and a ground, so that it is not told by colour alone; its place is found again."""
    entries = tuple(Entry(name, name, 1.0, "lines") for name in ("one", "two", "three"))
    text = ledger_text(Ledger("power", "Power ledger", "power", 3.0, entries), METRIC)
    plain, lit = ledger_live(text), ledger_live(text, lit={1})
    (band,) = (s for s in lit if isinstance(s, Path) and s.fill == "accent-pale")
    assert len(lit) == len(plain) + 1
    assert band.ink == "accent"
    (row,) = (s for s in lit if isinstance(s, Words) and s.text == "two")
    top, bottom = min(y for _, y in band.points), max(y for _, y in band.points)
    assert top < row.y < bottom
    assert {ledger_row(y) for y in (top + 1.0, row.y, bottom - 1.0)} == {1}
    assert ledger_row(40.0) < 0


@pytest.mark.parametrize("system", System)
@pytest.mark.parametrize(("quantity", "small"), [("power", False), ("power", True), ("flow", False)])
@pytest.mark.parametrize("high", [0.0, *(3.7 * 10.0**k for k in range(-16, 1))])
def test_an_axis_of_next_to_nothing_has_figures_that_can_be_read(
    system: System, quantity: str, small: bool, high: float
) -> None:
    """At rest nothing flows: the axis still is as long as what is printed, and nothing divides by it."""
    one = np.array([high])
    stack = Stack("Rest", quantity, np.array([0.0, 1e-3]), (Band("all", "All", "useful", one),), one, "All of it")
    at_rest = Ground(900.0, 300.0, 0.0, 10.0, high, quantity, system, small)
    marks = at_rest.marks()
    assert marks[-1] >= max(high, at_rest.least_high) * (1 - 1e-9)
    assert 4 <= len(marks) - 1 <= 6
    told = words(areas_still(stack, at_rest))
    assert not any("e-" in text for text in told)
    figure = next(text for text in words(cursor_live(stack, at_rest, 0.0)) if text.startswith("at 0.00 s"))
    assert "e-" not in figure


@pytest.mark.parametrize("times", [False, True])
def test_where_no_time_has_passed_there_is_no_axis_of_values(times: bool) -> None:
    one = np.array([0.0])
    stack = Stack("Power", "power", np.array([0.0, 0.0]), (Band("all", "All", "useful", one),), one, "All of it")
    told = words(areas_still(stack, Ground(900.0, 300.0, 0.0, 10.0, 0.0, "power", METRIC, times=times)))
    assert [text for text in told if not text.endswith(" s")] == ["Power", "kW", NOTHING]
    assert ("0 s" in told) is times
