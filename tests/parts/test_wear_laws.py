"""What a mechanic measures of a worn part: each degree shows more than the one before, some by a hand's sum."""

from __future__ import annotations

import functools
import math
from collections.abc import Callable
from itertools import pairwise
from typing import Any, NamedTuple

import pytest
from battery import TRADE_OIL, evaluate
from cases import first

from trainer.parts import CATALOGUE
from trainer.parts.accumulator import Accumulator
from trainer.parts.closed_centre import ClosedCentreSection, LoadSensingSection
from trainer.parts.conduits import Hose
from trainer.parts.cylinder import Cylinder
from trainer.parts.drives import DieselEngine, InductionMotor
from trainer.parts.electric import ProportionalValve, ServoValve
from trainer.parts.loads import Weight
from trainer.parts.loop import FlushingValve, HydrostaticPump
from trainer.parts.model import PartModel
from trainer.parts.oil import GRADES
from trainer.parts.part import Part, Wear
from trainer.parts.piloted import PilotLever, PilotOperatedSection
from trainer.parts.pressure_valves import PilotOperatedReliefValve
from trainer.parts.pumps import DoublePump, HandPump
from trainer.parts.relief import ReliefValve
from trainer.parts.reservoir import Reservoir
from trainer.parts.restrictors import CheckValve, Orifice, Throttle
from trainer.parts.section import OpenCentreSection
from trainer.parts.supply import FixedPump, HandCrank, ShaftCoupling, SteadyDrive
from trainer.parts.variable import LoadSensingPump, PressureCompensatedPump

BAR, RPM, LITRE_MINUTE = 1e5, 2 * math.pi / 60, 1e-3 / 60
Answers = dict[str, dict[str, float]]
BOTH = {"port_reliefs": "both"}


class Sign(NamedTuple):
    """What is measured of a part as a wear grows: it rises, or it falls. ``now``: where the part stands."""

    part: type[Part]
    wear: str
    measured: Callable[[Answers], float]
    rises: bool
    now: dict[str, Any]
    words: dict[str, str] | None = None


def _into(port: str) -> Callable[[Answers], float]:
    return lambda found: found["into"][port]


def _value(name: str) -> Callable[[Answers], float]:
    return lambda found: found["value"][name]


def _stream(name: str) -> Callable[[Answers], float]:
    return lambda found: found["stream"][name]


def _spool(found: Answers) -> float:
    return found["rate"]["spool"]


def _stroking(found: Answers) -> float:
    return found["rate"]["stroke"]


LOADED = {"p": {"A": 100 * BAR}}
TURNING = {"speed": {"shaft": 1500 * RPM}}
SIGNS = {
    1: [Sign(FixedPump, "slip", _value("delivery"), False,
             {"p": {"P": 150 * BAR}, "speed": {"shaft": 1500 * RPM}}),
        Sign(DoublePump, "slip", _value("delivery_1"), False, TURNING | {"p": {"P1": 150 * BAR}}),
        Sign(DoublePump, "second_slip", _value("delivery_2"), False, TURNING | {"p": {"P2": 150 * BAR}}),
        Sign(DoublePump, "seal", _stream("between"), True, {"p": {"P1": 150 * BAR}}),
        Sign(HandPump, "leakage", _stream("past"), True, {"p": {"down": 100 * BAR}})],
    2: [Sign(SteadyDrive, "speed_lost", lambda f: f["rate"]["turning"], False, {"setting": 150.0, "turning": 150.0}),
        Sign(DieselEngine, "speed_lost", _value("governed"), False, {"speed_asked": 1800 * RPM})],
    3: [Sign(DieselEngine, "torque_lost", _value("largest_torque"), False, {"speed": {"shaft": 1700 * RPM}}),
        Sign(InductionMotor, "torque_lost", _value("breakdown_torque"), False, {}),
        Sign(HandCrank, "weakness", _value("largest_torque"), False, {"speed": {"shaft": 60 * RPM}})],
    4: [Sign(ShaftCoupling, "slack", _value("grip"), False, {})],
    5: [Sign(ReliefValve, "fatigue", _value("full"), False, {}),
        Sign(PilotOperatedReliefValve, "fatigue", _value("full"), False, {})],
    6: [Sign(ReliefValve, "held_open", _stream("past_dirt"), True, {"p": {"P": 100 * BAR}}),
        Sign(PilotOperatedReliefValve, "plugging", _stream("orifice"), False, {"p": {"P": 100 * BAR}})],
    7: [Sign(ReliefValve, "seizing", _value("cracking"), True, {})],
    8: [Sign(ReliefValve, "override", _value("cracking"), False, {}),
        Sign(ReliefValve, "chatter", _value("full"), False, {"flutter": 0.5}),
        Sign(PilotOperatedReliefValve, "chatter", _value("full"), False, {"flutter": 0.5})],
    10: [Sign(OpenCentreSection, "port_fatigue", _stream("A_port_relief"), True, {"p": {"A": 198 * BAR}}, BOTH),
         Sign(ClosedCentreSection, "port_held_open", _stream("A_past_dirt"), True, LOADED, BOTH)],
    11: [Sign(OpenCentreSection, "filling_seizing", _stream("B_anti_cavitation"), False, {"p": {"T": BAR}}, BOTH)],
    15: [Sign(Cylinder, "leakage", _stream("past_piston"), True, LOADED)],
    16: [Sign(OpenCentreSection, "leakage", _stream("leak_at_A"), True, LOADED),
         Sign(LoadSensingSection, "leakage", _stream("leak_at_A"), True, LOADED),
         Sign(ServoValve, "erosion", _stream("leak_at_P"), True, {"p": {"P": 100 * BAR}})],
    17: [Sign(OpenCentreSection, "off_centre", _spool, True, {}),
         Sign(ClosedCentreSection, "off_centre", _spool, True, {}),
         Sign(PilotOperatedSection, "off_centre", _spool, True, {}),
         Sign(PilotOperatedSection, "hanging", _spool, False, {"p": {"XA": 20 * BAR}}),
         Sign(HydrostaticPump, "off_centre", _stroking, True, {}),
         Sign(ServoValve, "null_shift", _value("asked"), True, {})],
    18: [Sign(OpenCentreSection, "short_travel", _spool, False, {"lever": 1.0}),
         Sign(PilotOperatedSection, "short_travel", _spool, False, {"p": {"XA": 25 * BAR}, "spool": 1.0}),
         Sign(PilotLever, "weak", _value("asked_A"), False, {"lever": 1.0}),
         Sign(ProportionalValve, "dragging", _value("asked"), False, {"command": 1.0})],
    19: [Sign(OpenCentreSection, "check_held_open", _into("A"), True, LOADED | {"spool": 0.6}),
         Sign(LoadSensingSection, "check_held_open", _stream("P_to_A"), False, LOADED | {"spool": 0.6})],
    20: [Sign(OpenCentreSection, "check_seizing", _value("load_check"), True, {}),
         Sign(LoadSensingSection, "check_seizing", _value("load_check"), True, {})],
    22: [Sign(Hose, "kink", _into("1"), False, {"p": {"1": 2 * BAR}})],
    23: [Sign(Hose, "flap", _into("1"), False, {"p": {"1": 2 * BAR}})],
    27: [Sign(Cylinder, "bent", _value("friction"), True, {"place": {"rod": 0.25}, "speed": {"rod": 0.02}}),
         Sign(Cylinder, "stick_slip", _value("friction"), True, {"speed": {"rod": 0.004}})],
    28: [Sign(Weight, "leverage", _value("force"), True, {})],
    34: [Sign(CheckValve, "leakage", _into("2"), True, {"p": {"2": 100 * BAR}}),
         Sign(HandPump, "check_leakage", _stream("back_down"), True, {"p": {"P": 100 * BAR}})],
    35: [Sign(Orifice, "clogging", _into("1"), False, {"p": {"1": 50 * BAR}}),
         Sign(Throttle, "clogging", _into("1"), False, {"p": {"1": 50 * BAR}})],
    36: [Sign(OpenCentreSection, "neutral_blocked", _value("neutral_area"), False, {})],
    37: [Sign(Hose, "burst", _value("spilt"), True, {"p": {"1": 100 * BAR}}),
         Sign(Cylinder, "gland", _value("spilt"), True, {"p": {"B": 100 * BAR}})],
    38: [Sign(LoadSensingPump, "fatigue", _value("wanted"), False, {"p": {"P": 20 * BAR}}),
         Sign(LoadSensingPump, "plugging", _value("wanted"), False, {"p": {"P": 100 * BAR, "LS": 80 * BAR}}),
         Sign(LoadSensingPump, "bleed", _stream("bleed"), True, {"p": {"LS": 80 * BAR}}),
         Sign(LoadSensingPump, "hung_up", _stroking, True, {"p": {"P": 400 * BAR}, "stroke": 0.1}),
         Sign(PressureCompensatedPump, "held_back", _stroking, False, {"p": {"P": 10 * BAR}, "stroke": 0.9}),
         Sign(PressureCompensatedPump, "sticking", _stroking, True, {"p": {"P": 212 * BAR}, "stroke": 0.9})],
    39: [Sign(Accumulator, "gas_lost", _value("charge"), False, {})],
    40: [Sign(HydrostaticPump, "slip", _value("slip_A"), True, {"p": {"A": 200 * BAR}}),
         Sign(FlushingValve, "hanging", _stream("stuck"), True, {"p": {"A": 200 * BAR}})],
}  # fmt: skip


@functools.cache
def _model(part: str, both: bool) -> PartModel:
    return PartModel(CATALOGUE[part], BOTH if both else None)


@pytest.mark.parametrize("number", first(5, SIGNS))
def test_every_degree_shows_more_than_the_one_before(number: int) -> None:
    for sign in SIGNS[number]:
        model, wear = _model(sign.part.__name__, sign.words == BOTH), sign.part.declared(Wear)[sign.wear]
        found = [
            sign.measured(evaluate(sign.part, sign.words, model=model, **sign.now, **{sign.wear: worn}))
            for worn in wear.degrees(wear.start).values()
        ]
        steps = [(after - before) * (1 if sign.rises else -1) for before, after in pairwise(found)]
        assert min(steps) > 0, (sign.part.__name__, sign.wear, found)


def test_a_new_part_is_as_it_was_before_it_could_wear() -> None:
    """What may be nothing is nothing: no leak, no lag, no friction comes of a wear that is not there."""
    free = {
        (name, wear.name)
        for name, part in CATALOGUE.items()
        for wear in part.declared(Wear).values()
        if wear.start == 0.0
    }
    assert {("OpenCentreSection", "check_held_open"), ("Hose", "kink"), ("Reservoir", "froth")} <= free
    shut = evaluate(OpenCentreSection, BOTH, p={"A": 100 * BAR}, spool=0.6)["stream"]
    assert shut["P_to_A"] == shut["A_past_dirt"] == 0.0
    assert evaluate(ReliefValve, p={"P": 100 * BAR})["stream"]["past_dirt"] == 0.0


def test_one_way_only() -> None:
    """A torn lining lets oil back as freely as ever; a port's worn relief leaves the other port alone."""
    whole, torn = (
        [evaluate(Hose, p={port: 2 * BAR}, flap=worn)["into"]["1"] for port in ("1", "2")] for worn in (0.0, 0.88)
    )
    assert torn[1] == pytest.approx(whole[1])
    assert torn[0] < 0.6 * whole[0]
    weak = evaluate(OpenCentreSection, BOTH, p={"A": 150 * BAR, "B": 150 * BAR}, port_fatigue=0.35)["stream"]
    assert weak["A_port_relief"] > 0.0 == weak["B_port_relief"]


def test_a_kink_counts_as_a_valve_that_is_part_open() -> None:
    """K-factors of gate valves, half and a quarter open: 2.1 and 17 (handbooks, from memory), to a third."""
    for open_, factor in ((0.5, 2.1), (0.25, 17.0)):
        found = evaluate(Hose, p={"1": BAR}, kink=1 - open_)["value"]["fittings"]
        assert found == pytest.approx(factor, rel=1 / 3)


def test_other_grades_are_poured_in() -> None:
    """One, two, three grades from VG 46: 32, 22, 15 thinner, 68, 100, 150 thicker (ISO 3448), to 7 %."""
    wear = Reservoir.declared(Wear)
    nothing = dict.fromkeys(("thinned", "thickened", "air"), 0.0)
    assert Reservoir.oil(nothing) == (1.0, 0.0)
    for name, grades in (("thinned", (32, 22, 15)), ("thickened", (68, 100, 150))):
        for grade, worn in zip(grades, wear[name].severities.values(), strict=True):
            times, air = Reservoir.oil(nothing | {name: worn})
            assert times == pytest.approx(grade / 46, rel=0.07)
            assert air == 0.0
    assert GRADES["VG 32"][0] == 32.0


def _air(minutes: float, before: float = 0.0, **now: float) -> float:
    """Return the air in the oil after a time, the pump running."""
    values = dict.fromkeys(("missing", "froth", "left_in", "content", "rounds", "breather"), 0.0)
    values |= {"volume": 40e-3, "drawn": 25 * LITRE_MINUTE, "call.length": 0.5, "air": before, **now}
    for _ in range(round(minutes * 120)):
        values |= Reservoir.latch(values)
    return values["air"]


def test_air_comes_with_a_leak_in_the_suction_line_with_a_low_level_and_after_work() -> None:
    """It is there in a minute, rises out in some minutes where none follows, and goes round no more after work."""
    assert _air(1.0) == 0.0
    leaks = [_air(1.0, froth=froth) for froth in Reservoir.declared(Wear)["froth"].severities.values()]
    assert leaks == pytest.approx([0.02, 0.05, 0.12], rel=1e-3)
    assert _air(3.0, before=0.1) == pytest.approx(0.1 * math.exp(-3), rel=1e-6)
    assert _air(1.0, froth=0.05, drawn=0.0) == 0.0, "a pump that stands takes nothing in"
    half_full = {"missing": 0.45}
    assert _air(1.0, **half_full) == 0.0, "rods in: the intake is covered"
    assert _air(1.0, **half_full, content=-14e-3) > 0.05, "rods out: 8 of 40 litres are left"
    assert _air(1.0, content=-34e-3) > 0.1, "what a burst hose has taken is missing, too"
    left = [_air(minutes, left_in=0.12) for minutes in (0.5, 3.0, 10.0)]
    assert left[0] > 0.08 > left[1] > left[2]
    assert left[2] < 0.003


def _over(breather: float, litres: float, then: float = 0.0) -> float:
    """Return the pressure over 40 L of oil [Pa] after some litres have left in four seconds, and after a time [s]."""
    values = {"volume": 40e-3, "missing": 0.0, "breather": breather, "over": 0.0, "content": 0.0}
    values |= {"froth": 0.0, "left_in": 0.0, "air": 0.0, "rounds": 0.0, "call.length": 1 / 60}
    for k in range(round(60 * (4 + then))):
        values["flow"] = -litres * 1e-3 / 4 if k < 240 else 0.0
        values["content"] += values["flow"] / 60
        values |= Reservoir.latch(values)
    return values["over"]


def test_a_tank_that_does_not_breathe_has_the_pressure_of_its_air() -> None:
    """8 L of air (a fifth of 40 L) grow to 12 L: 8/12 of 1.013 bar are -0.338 bar (Boyle), less what seeps in."""
    degrees = [*Reservoir.declared(Wear)["breather"].severities.values()]
    mild, marginal, failed = (_over(worn, 4.0) for worn in degrees)
    assert failed == pytest.approx(101325 * (8 / 12 - 1), rel=0.03)
    assert failed < 1.15 * marginal < 1.5 * mild < -0.05 * BAR
    assert _over(0.0, 4.0) == 0.0
    assert _over(degrees[0], 4.0, then=10.0) == pytest.approx(0.0, abs=0.01 * BAR), "it comes in by and by"
    assert _over(1.0, -4.0) == 0.5 * BAR, "beyond that the lid lets air out"


def test_what_is_left_of_a_spring_a_grip_and_a_charge() -> None:
    """A third less, a third lower; a coupling of 200 N m that lost 75 % slips at 50; half the gas, half the gauge."""
    assert evaluate(ReliefValve, fatigue="30 %")["value"]["full"] == pytest.approx(0.7 * 175 * BAR)
    slipping = evaluate(ShaftCoupling, slack="75 %", speed={"1": 100.0}, twist="3 deg", damping="0.001 N m s")
    assert slipping["into"]["1"] == pytest.approx(50.0, rel=1e-3)
    assert evaluate(Accumulator, gas_lost="50 %")["value"]["charge"] == pytest.approx(45 * BAR)


def test_oil_that_is_lost_comes_from_the_tank() -> None:
    """0.3 mm2 at 100 bar: 0.65 A sqrt(2 p / rho) = 1.77 L/min, all of it heat on the ground; nothing comes in."""
    hole = evaluate(Hose, p={"1": 100 * BAR, "2": 100 * BAR}, burst="0.3 mm2")
    assert hole["value"]["spilt"] == pytest.approx(1.77 * LITRE_MINUTE, rel=0.01)
    assert hole["into"]["1"] + hole["into"]["2"] == pytest.approx(hole["value"]["spilt"], rel=1e-9)
    assert hole["heat"]["spilt"] == pytest.approx(100 * BAR * hole["value"]["spilt"], rel=0.01)
    assert evaluate(Hose, p={"1": -0.5 * BAR}, burst="20 mm2")["value"]["spilt"] == 0.0


def test_a_bent_rod_binds_at_one_place() -> None:
    """15 bar on 50.3 cm2 of piston are 7540 N at half the stroke, and nothing at its ends."""

    def friction(place: float, bent: str) -> float:
        return evaluate(Cylinder, place={"rod": place}, speed={"rod": 0.05}, bent=bent)["value"]["friction"]

    assert friction(0.25, "15 bar") - friction(0.25, "0 bar") == pytest.approx(15 * BAR * math.pi * 0.08**2 / 4)
    assert friction(0.05, "15 bar") == friction(0.05, "0 bar")


def test_a_pin_in_another_hole_makes_the_same_weight_heavier() -> None:
    """500 kg on a lever 1.4 times as long: 6865 N at the rod, and 980 kg to be moved; lifted 0.1 m, 686.5 J."""
    found = evaluate(Weight, leverage="40 %", x="100 mm", given={"rod": 6864.65 + 980.0}, inertia={"rod": 0.0})
    assert found["value"]["force"] == pytest.approx(1.4 * 500 * 9.80665)
    assert found["rate"]["v"] == pytest.approx(1.0, rel=1e-4)
    assert found["stored"]["height"] == pytest.approx(686.47, abs=0.01)


def test_leaks_grow_as_oil_gets_thin() -> None:
    """Twice as thin, twice the leak (laminar gaps): a spool's and a piston's, not a hole's."""
    thin = type(TRADE_OIL)(870.0, 0.0175, 1.5e9, 10.0, 1e-4, 70.0)
    for part, stream in ((OpenCentreSection, "leak_at_A"), (Cylinder, "past_piston")):
        one, other = (
            evaluate(part, now=oil, p={"A": 100 * BAR}, leakage=1e-12)["stream"] for oil in (TRADE_OIL, thin)
        )
        assert other[stream] == pytest.approx(2 * one[stream])
    dirt = [evaluate(ReliefValve, now=oil, p={"P": 100 * BAR}, held_open="1 mm2")["stream"]["past_dirt"]
            for oil in (TRADE_OIL, thin)]  # fmt: skip
    assert dirt[0] == pytest.approx(dirt[1])
