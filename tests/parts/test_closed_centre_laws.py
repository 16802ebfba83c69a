"""Closed-centre sections, by points that a mechanic can check by hand: what an edge passes with and without load."""

from __future__ import annotations

import math
from typing import Any

import pytest
from battery import evaluate

from trainer.parts.closed_centre import ClosedCentreSection, FourWaySection, LoadSensingSection
from trainer.parts.section import OpenCentreSection

LITRE_MINUTE = 1e-3 / 60
BAR = 1e5
HALF = (1.2 + 0.5 ** (2 / 3) * (0.95 * 7 - 1.2)) / 7  # of the travel, where an edge of 7 mm is half open


def passed(part: Any, p: dict[str, float], spool: float = 1.0, words: Any = None, **own: Any) -> float:
    """Return the flow from P to A [L/min]; pressures in bar."""
    found = evaluate(part, words, p={port: value * BAR for port, value in p.items()}, spool=spool, **own)
    return found["stream"]["P_to_A"] / LITRE_MINUTE


def test_whole_edge_passes_its_rated_flow_at_its_drop() -> None:
    """40 L/min at 7 bar: 40 / (26.83 * 0.65 * sqrt(7 / 870)) = 25.6 mm2; twice the flow at four times that."""
    area = evaluate(ClosedCentreSection, spool=1.0)["value"]["P_A_area"]
    assert area == pytest.approx(40 * LITRE_MINUTE / (0.65 * math.sqrt(2 * 7e5 / 870)), rel=1e-6)
    assert area * 1e6 == pytest.approx(25.57, abs=0.01)
    assert passed(ClosedCentreSection, {"P": 107, "A": 100}) == pytest.approx(40.0, rel=5e-3)
    assert passed(ClosedCentreSection, {"P": 128, "A": 100}) == pytest.approx(80.0, rel=5e-3)
    assert passed(ClosedCentreSection, {"P": 107, "A": 100}, HALF) == pytest.approx(20.0, rel=5e-3)


def test_at_constant_pressure_a_light_load_goes_faster() -> None:
    """180 bar at P: sqrt(170 / 20) = 2.9 times the flow with 10 bar behind instead of 160."""
    light, heavy = (passed(ClosedCentreSection, {"P": 180, "A": load}) for load in (10, 160))
    assert light / heavy == pytest.approx(math.sqrt(170 / 20), rel=5e-3)


def test_ahead_of_the_edge_the_load_does_not_matter() -> None:
    """A compensator of 7 bar: 40 L/min with 10, 100 and 160 bar behind; with too little drop, what that gives."""
    for load in (10, 100, 160):
        assert passed(LoadSensingSection, {"P": 180, "A": load}) == pytest.approx(40.0, rel=5e-3)
    short = passed(LoadSensingSection, {"P": 104.5, "A": 100})  # 1.5 bar are the load check's
    assert short == pytest.approx(40 * math.sqrt(3 / 7), rel=5e-3)
    assert passed(LoadSensingSection, {"P": 100, "A": 101}) == 0.0
    assert passed(LoadSensingSection, {"P": 101, "A": 100}) == 0.0


def test_behind_the_edge_all_have_the_pump_less_the_told_load() -> None:
    """Outlet 110, told 100 bar: 40 sqrt(10 / 7), whatever is behind; with 4 bar left sqrt(4 / 10) of it."""
    words = {"compensator": "behind"}
    for load in (10, 60):
        full = passed(LoadSensingSection, {"P": 110, "LS": 100, "A": load}, words=words)
        assert full == pytest.approx(40 * math.sqrt(10 / 7), rel=5e-3)
        left = passed(LoadSensingSection, {"P": 104, "LS": 100, "A": load}, words=words)
        assert left / full == pytest.approx(math.sqrt(4 / 10), rel=5e-3)


def test_load_is_told_once_the_spool_moves_and_never_comes_back() -> None:
    """0.6 mm2 of the edge law to LS before the dead band ends; none in neutral, none from LS to the load."""
    area = 0.65 * 0.6e-6 * math.sqrt(2 * 10e5 / 870)
    told = evaluate(LoadSensingSection, p={"A": 60 * BAR, "LS": 50 * BAR}, spool=1.2 / 7)["stream"]
    assert told["A_to_LS"] == pytest.approx(area, rel=1e-3)
    assert told["P_to_A"] == 0.0
    for p, spool in (({"A": 60 * BAR}, 0.0), ({"LS": 60 * BAR}, 1.0)):
        quiet = evaluate(LoadSensingSection, p=p, spool=spool)["stream"]
        assert quiet["A_to_LS"] == quiet["B_to_LS"] == 0.0


@pytest.mark.parametrize("part", [ClosedCentreSection, LoadSensingSection])
def test_neutral_holds_and_a_motor_spool_lets_go(part: Any) -> None:
    """Shut lands leak 3e-14 m3/s/Pa: 18 cm3/min at 100 bar; 6 mm2 to the tank pass 35 L/min there (orifice law)."""
    held = evaluate(part, p={"A": 100 * BAR})["stream"]
    assert held["A_to_T"] == 0.0
    assert held["leak_at_A"] * 60e6 == pytest.approx(18.0, rel=1e-6)
    free = evaluate(part, p={"A": 100 * BAR}, neutral_return="6 mm2")["stream"]
    assert free["A_to_T"] / LITRE_MINUTE == pytest.approx(35.3, rel=0.01)


@pytest.mark.parametrize("part", [ClosedCentreSection, LoadSensingSection])
def test_stroke_limiters_hold_the_spool(part: Any) -> None:
    """Limited to 60 % towards A and 80 % towards B, the spool goes no further, whatever the lever asks for."""
    for lever, spool in ((1.0, 0.6), (-1.0, -0.8), (0.5, 0.5)):
        found = evaluate(part, lever=lever, spool=spool, most_A="60 %", most_B="80 %")
        assert found["rate"]["spool"] == pytest.approx(0.0, abs=1e-9)


CENTRES = {  # which ports a centre joins (ISO 1219-1's squares, any textbook)
    "closed": "", "tandem": "PT", "open": "PT AT BT", "float": "AT BT", "motor": "AT BT", "regenerative": "PA PB BA",
}  # fmt: skip


@pytest.mark.parametrize("centre", CENTRES)
def test_centre_joins_what_its_square_shows(centre: str) -> None:
    """Each port in turn at 100 bar, the others at none: oil flows only along the ways of the square."""
    for start in "PAB":
        found = evaluate(FourWaySection, {"centre": centre}, p={start: 100 * BAR})["stream"]
        for end in "PABT":
            joined = f"{start}{end}" in CENTRES[centre].split()
            assert (found.get(f"{start}_to_{end}", 0.0) > 1e-5) == joined, (start, end)


def test_moved_every_centre_is_as_a_closed_one() -> None:
    """At full travel only P to A and B to T are open."""
    closed = evaluate(ClosedCentreSection, p={"P": 50 * BAR, "A": 30 * BAR, "B": 10 * BAR}, spool=1.0)["stream"]
    for centre in CENTRES:
        p = {"P": 50 * BAR, "A": 30 * BAR, "B": 10 * BAR}
        moved = evaluate(FourWaySection, {"centre": centre}, p=p, spool=1.0)["stream"]
        assert {way: flow for way, flow in moved.items() if flow} == {
            way: flow for way, flow in closed.items() if flow
        }


def test_tandem_centre_lets_the_pump_run_free() -> None:
    """40 L/min over 30 mm2: 5.1 bar (orifice law); valves in a row add that."""
    found = evaluate(FourWaySection, {"centre": "tandem"}, p={"P": 5.09 * BAR})["stream"]
    assert found["P_to_T"] / LITRE_MINUTE == pytest.approx(40.0, rel=0.01)


def test_motor_spool_of_open_centre_lets_go_and_its_limiters_hold() -> None:
    """4 mm2 at 40 L/min size from A to T in neutral: 23.5 L/min at 100 bar (orifice law); none moved towards A."""
    free = evaluate(OpenCentreSection, p={"A": 100 * BAR}, neutral_return="4 mm2")["stream"]
    assert free["A_to_T"] / LITRE_MINUTE == pytest.approx(0.65 * 4e-6 * math.sqrt(2e7 / 870) / LITRE_MINUTE, rel=0.06)
    assert evaluate(OpenCentreSection, p={"A": 100 * BAR}, neutral_return="4 mm2", spool=0.5)["stream"]["A_to_T"] == 0
    held = evaluate(OpenCentreSection, lever=1.0, spool=0.6, most_A="60 %")
    assert held["rate"]["spool"] == pytest.approx(0.0, abs=1e-9)
