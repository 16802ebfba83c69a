"""Pressure valves and valves that hold a load, by points that a mechanic can check by hand."""

from __future__ import annotations

import math
from typing import Any

import pytest
from battery import evaluate
from scipy.optimize import brentq

from trainer.parts.load_holding import (
    CounterbalanceValve,
    DoublePilotOperatedCheckValve,
    PilotOperatedCheckValve,
    ShuttleValve,
)
from trainer.parts.model import PartModel
from trainer.parts.part import Part, Wear
from trainer.parts.pressure_valves import (
    PilotOperatedReliefValve,
    ReducingRelievingValve,
    ReducingValve,
    SequenceValve,
    UnloadingValve,
)
from trainer.parts.relief import ReliefValve

LITRE_MINUTE = 1e-3 / 60
K = 0.65 * math.sqrt(2 / 870)  # of an edge, discharge coefficient 0.65, oil of 870 kg/m3


def over(bar: float, vent: float | None = None, **own: Any) -> tuple[float, float]:
    """Return what goes over a piloted relief [L/min] and the pressure behind its spool [bar], T at 0 bar.

    ``vent`` [bar] holds its vent; else the pressure there is where orifice and poppet pass the same.
    """
    model = PartModel(PilotOperatedReliefValve)

    def at(behind: float) -> dict[str, dict[str, float]]:
        return evaluate(PilotOperatedReliefValve, model=model, p={"P": bar * 1e5, "X": behind}, **own)

    behind = brentq(lambda x: at(x)["into"]["X"], 0.0, bar * 1e5) if vent is None else vent * 1e5
    return at(behind)["stream"]["over_relief"] / LITRE_MINUTE, behind / 1e5


def test_a_piloted_relief_has_hardly_any_override() -> None:
    """Rated flow at the setting, none 5 % lower (trade books: opens at 90 to 95 % of it, from memory)."""
    assert over(175.0, leakage=0.0)[0] == pytest.approx(40.0, rel=5e-3)  # 0.1 bar lift it all the way
    assert over(166.0)[0] == 0.0
    assert 0.0 < over(173.0)[0] < 30.0
    direct = evaluate(ReliefValve, p={"P": 166e5})["stream"]["over_relief"] / LITRE_MINUTE
    assert direct > 10.0, "a direct one passes a quarter of it there"


def test_a_vented_relief_holds_its_soft_spring_only() -> None:
    """Vent led home: some 20 lbf/in2, the figure of trade pages for the drop that lifts its main piston."""
    bar = brentq(lambda p: over(p, vent=0.0)[0] - 40.0, 0.1, 20.0)
    assert 1.4 < bar < 3.0
    assert over(1.3, vent=0.0)[0] == 0.0


def test_dirt_under_the_poppet_and_a_stuck_spool() -> None:
    """0.65 · 0.503 mm2 · sqrt(2 · 1.5 bar / rho) through the orifice leaks off at 12 bar behind it, at 5e-12 m3/s/Pa.

    Stuck by 35 bar, the poppet takes what the orifice passes at 36.5 bar: 3.6 times its flow and override.
    """
    assert PilotOperatedReliefValve.declared(Wear)["leakage"].severities["failed"] == pytest.approx(5e-12)
    assert over(13.0, leakage=5e-12)[0] < 0.5 < over(20.0, leakage=5e-12)[0]
    assert over(13.0, leakage=5e-12)[1] == pytest.approx(11.8, abs=0.4)
    assert over(205.0, seizing="20 %")[0] == 0.0 < over(230.0, seizing="20 %")[0]


def test_a_worn_relief() -> None:
    """Half the spring, half the pressure; dirt of 1 mm2 passes 0.65 A sqrt(2 p / rho); soft, it cracks early."""
    assert evaluate(ReliefValve, fatigue="50 %")["value"]["full"] == pytest.approx(87.5e5)
    assert evaluate(ReliefValve, seizing="30 %")["value"]["cracking"] == pytest.approx(1.3 * 157.5e5)
    assert evaluate(ReliefValve, override="30 %")["value"]["cracking"] == pytest.approx(0.7 * 175e5)
    dirt = evaluate(ReliefValve, p={"P": 100e5}, held_open="1 mm2")["stream"]
    assert dirt["past_dirt"] == pytest.approx(K * 1e-6 * math.sqrt(100e5), rel=1e-4)
    assert dirt["over_relief"] == 0.0
    assert evaluate(ReliefValve, p={"P": 100e5})["stream"]["past_dirt"] == 0.0


def opening(part: type[Part], p: dict[str, float], **own: Any) -> float:
    """Return how far a valve has opened, at pressures [bar]."""
    return evaluate(part, p={port: bar * 1e5 for port, bar in p.items()}, **own)["value"]["opening"]


def test_a_sequence_valve_opens_by_what_stands_before_it() -> None:
    """60 bar and 8 more; what stands behind it does not matter, what stands in its drain adds."""
    assert opening(SequenceValve, {"P": 59.9}) == 0.0
    assert opening(SequenceValve, {"P": 64.0}) == pytest.approx(0.5)
    assert opening(SequenceValve, {"P": 64.0, "A": 63.0}) == pytest.approx(0.5)
    assert opening(SequenceValve, {"P": 64.0, "L": 10.0}) == 0.0
    wide = evaluate(SequenceValve, p={"P": 70e5, "A": 66e5})["stream"]["through"]
    assert wide == pytest.approx(K * 40e-6 * math.sqrt(4e5), rel=1e-3)


def test_a_reducing_valve_shuts_by_what_stands_behind_it() -> None:
    """Open up to 46 bar, half at 48, shut at 50; the relieving one lets off from 51 on and is wide open at 55."""
    for part in (ReducingValve, ReducingRelievingValve):
        found = [opening(part, {"P": 160.0, "A": bar}) for bar in (20.0, 46.0, 48.0, 50.1, 60.0)]
        assert found == pytest.approx([1.0, 1.0, 0.5, 0.0, 0.0], abs=0.003)
    off = [
        evaluate(ReducingRelievingValve, p={"A": bar * 1e5})["stream"]["let_off"] for bar in (50.9, 53.0, 60.0)
    ]  # fmt: skip
    wide = K * 30e-6 * math.sqrt(60e5)
    assert off == pytest.approx([0.0, wide / 2 * math.sqrt(53 / 60), wide], rel=1e-3)
    trapped = evaluate(ReducingValve, p={"A": 100e5, "P": 20e5})["into"]["A"]
    assert 0 < trapped / LITRE_MINUTE < 0.3, "out of the plain one only drain and leak go"


def test_an_unloading_valve_opens_by_its_pilot_and_holds_on() -> None:
    """100 bar at X, whatever stands at P; with 15 % it stays open down to 85."""
    assert opening(UnloadingValve, {"P": 150.0, "X": 99.9}) == 0.0
    assert opening(UnloadingValve, {"P": 1.0, "X": 102.0}) == pytest.approx(0.5)
    own = {"setting": 100e5, "differential": 0.15}
    seen, unloaded = [], 0.0
    for bar in (90.0, 99.0, 101.0, 99.0, 86.0, 84.0, 90.0):
        unloaded = UnloadingValve.latch({**own, "pilot": bar * 1e5, "unloaded": unloaded})["unloaded"]
        seen.append(unloaded)
    assert seen == [0.0, 0.0, 1.0, 1.0, 1.0, 0.0, 0.0]
    assert opening(UnloadingValve, {"X": 85.5}, differential="15 %", unloaded=1.0) == pytest.approx(1.0)
    assert opening(UnloadingValve, {"X": 85.5}, differential="15 %", unloaded=0.0) == 0.0


@pytest.mark.parametrize(("ratio", "pilot", "load"), [(3.0, 40.6, 128.1), (4.0, 32.0, 122.1), (8.0, 17.3, 111.9)])
def test_a_counterbalance_valve_by_its_balance(ratio: float, pilot: float, load: float) -> None:
    """Cap end on the valve, 100 bar of load, set to 250, areas 0.691: px = (ps - pl) / (R + phi), pc = pl + phi px.

    Closed form of the balance, worked out apart from the program.
    """
    own: dict[str, Any] = {"setting": "250 bar", "ratio": ratio}
    at = {"C": load * 1e5, "X": pilot * 1e5}
    beyond = evaluate(CounterbalanceValve, p=at, **own)["value"]["beyond"]
    assert beyond == pytest.approx(0.0, abs=0.5e5)  # three figures of the pilot, times R
    back = evaluate(CounterbalanceValve, p={**at, "V": 5e5}, **own)["value"]["beyond"]
    assert beyond - back == pytest.approx((1 + ratio) * 5e5), "back pressure counts with the ratio and one more"
    asked = evaluate(CounterbalanceValve, p={"C": 250e5 + 40e5}, damping="25 ms", **own)["rate"]["lift"]
    assert asked == pytest.approx(0.51 / 0.025, rel=1e-6), "half open 40 bar beyond, unpiloted: a relief"


def test_a_counterbalance_valve_holds_and_lifts() -> None:
    p = {"C": 150e5}
    held = evaluate(CounterbalanceValve, p=p)["stream"]
    assert held["lowering"] == held["lifting"] == 0.0
    assert held["seat_leak"] * 60e6 == pytest.approx(0.9, rel=1e-6)  # cm3/min at 150 bar, 1e-15 m3/s/Pa
    lifts = evaluate(CounterbalanceValve, p={"V": 154e5, **p})["stream"]["lifting"]
    assert lifts == pytest.approx(K * 60e-6 * math.sqrt(4e5), rel=1e-3)
    half = evaluate(CounterbalanceValve, p=p, lift=0.51)["stream"]["lowering"]
    assert half == pytest.approx(K * 15e-6 * math.sqrt(150e5), rel=1e-3)


def test_a_counterbalance_valve_that_is_worn() -> None:
    """Blocked, 100 bar of pilot do nothing; tired by 30 % it opens at 140 bar, stuck by half at 300."""
    p = {"C": 100e5, "X": 100e5}
    assert evaluate(CounterbalanceValve, p=p)["value"]["beyond"] == pytest.approx(300e5)
    assert evaluate(CounterbalanceValve, p=p, plugging="100 %")["value"]["beyond"] == pytest.approx(-100e5)
    assert evaluate(CounterbalanceValve, fatigue="30 %")["value"]["spring"] == pytest.approx(140e5)
    assert evaluate(CounterbalanceValve, seizing="50 %")["value"]["spring"] == pytest.approx(300e5)


def test_a_piloted_check_opens_at_the_load_over_its_ratio() -> None:
    """px > p1 + (p2 - p1 + pk) / R: 141 / 3.5 = 40.3 bar for 140 bar; back pressure of 10 takes 47.4."""

    def pushes(pilot: float, before: float = 0.0, **own: Any) -> float:
        p = {"X": pilot * 1e5, "1": before * 1e5, "2": 140e5}
        return evaluate(PilotOperatedCheckValve, p=p, **own)["rate"]["push"]

    assert pushes(40.2) == 0.0
    assert pushes(40.7) == pytest.approx(1 / 0.015, rel=1e-3)
    assert pushes(47.3, before=10.0) == 0.0 < pushes(47.8, before=10.0)
    assert pushes(130.0, sticking="70 %") == 0.0 < pushes(136.0, sticking="70 %")
    assert pushes(30.0, push=1.0) == pytest.approx(-1 / 0.015), "it goes home as late"
    wide = -evaluate(PilotOperatedCheckValve, p={"2": 140e5}, push=1.0)["stream"]["through"]
    assert wide == pytest.approx(0.7 * 40e-6 * math.sqrt(2 * 140e5 / 870), rel=1e-3)
    assert evaluate(PilotOperatedCheckValve, p={"2": 140e5})["stream"]["through"] == 0.0
    sinks = evaluate(PilotOperatedCheckValve, p={"2": 140e5}, leakage=3e-12)["into"]["2"]
    assert sinks * 60e6 == pytest.approx(2520.0, rel=1e-6)  # cm3/min


def test_a_lock_opens_the_far_end_with_what_feeds_the_near_one() -> None:
    model = PartModel(DoublePilotOperatedCheckValve)

    def answers(push: float = 0.0, **bar: float) -> dict[str, dict[str, float]]:
        p = {port: value * 1e5 for port, value in bar.items()}
        return evaluate(DoublePilotOperatedCheckValve, model=model, p=p, push_1=push)

    rest = answers(C1=140.0, C2=60.0)
    assert rest["stream"]["through_1"] == rest["stream"]["through_2"] == 0.0
    assert rest["rate"] == {"push_1": 0.0, "push_2": 0.0}
    fed = answers(V2=45.0, C1=140.0, C2=40.0)  # 141 / 3.5 = 40.3 bar open the first
    assert fed["rate"]["push_1"] > 0.0 == fed["rate"]["push_2"]
    assert fed["stream"]["through_2"] > 0.0 > answers(push=1.0, V2=45.0, C1=140.0, C2=40.0)["stream"]["through_1"]
    low = answers(V2=39.0, C1=140.0, C2=30.0)
    assert low["rate"]["push_1"] == 0.0 < low["stream"]["through_2"]


def test_a_shuttle_passes_the_higher_pressure() -> None:
    found = evaluate(ShuttleValve, p={"1": 90e5, "2": 40e5, "A": 89e5})["stream"]
    assert found["from_1"] == pytest.approx(K * 5e-6 * math.sqrt(1e5), rel=2e-3)
    assert found["from_2"] == 0.0
    other = evaluate(ShuttleValve, p={"1": 10e5, "2": 40e5, "A": 41e5})["stream"]
    assert other["from_2"] < 0.0 == other["from_1"], "the open seat lets oil go back, too"
