"""The 41 faults of the trade: what declares each, in parts, instruments, loads and bad repairs; nothing is left out.

A fault is the wear of a part, written ``Class.wear`` by the class that declares it, so that all parts that share it
have it; or what a line of ``trainer.rig.defects`` sets: an error and the "state" of an instrument, a "load", two
parts or ports "swapped", or what "shows" only at times. What waits for a part fails once a part of that symbol is
there.
"""

from __future__ import annotations

from dataclasses import dataclass, field

import pytest
from cases import first, shipped

from trainer import resources
from trainer.parts import CATALOGUE
from trainer.parts.part import DEGREES, Part, Wear
from trainer.rig.defects import defects, with_defects
from trainer.rig.instrument_faults import ERRORS

ELSEWHERE = {*ERRORS, "state", "load", "swapped", "shows"}


@dataclass(frozen=True)
class Fault:
    """What it is called in the trade, what declares it, and what it waits for: reasons by the symbols of parts."""

    name: str
    ways: tuple[str, ...] = ()
    waits: dict[str, str] = field(default_factory=dict)


FAULTS = {
    1: Fault(
        "worn pump",
        ("FixedPump.slip", "_Variable.slip", "DoublePump.slip", "DoublePump.second_slip", "HydrostaticPump.slip",
         "HandPump.leakage", "HandPump.check_leakage"),
    ),
    2: Fault("low speed of the prime mover", ("DieselEngine.speed_lost", "SteadyDrive.speed_lost")),
    3: Fault("engine lugs", ("DieselEngine.torque_lost", "InductionMotor.torque_lost", "HandCrank.weakness")),
    4: Fault("coupling slips", ("ShaftCoupling.slack",)),
    5: Fault("main relief low", ("ReliefValve.fatigue", "PilotOperatedReliefValve.fatigue")),
    6: Fault(
        "relief stuck open, pilot orifice plugged",
        ("ReliefValve.held_open", "PilotOperatedReliefValve.leakage", "PilotOperatedReliefValve.plugging",
         "UnloadingValve.leakage"),
    ),
    7: Fault("relief stuck shut", ("ReliefValve.seizing", "PilotOperatedReliefValve.seizing")),
    8: Fault(
        "relief chatters, soft override",
        ("ReliefValve.override", "PilotOperatedReliefValve.override", "ReliefValve.chatter",
         "PilotOperatedReliefValve.chatter"),
    ),
    9: Fault("section relief lower, wrong order", ("ReliefValve.fatigue", "swapped")),
    10: Fault("port relief low or leaking", ("Spool.port_fatigue", "Spool.port_held_open")),
    11: Fault("anti-cavitation check stuck", ("Spool.filling_seizing", "Spool.port_held_open")),
    12: Fault("suction restricted", ("SuctionStrainer.clogging", "Hose.kink", "Hose.flap")),
    13: Fault("aeration", ("Reservoir.froth",)),
    14: Fault("low oil level", ("Reservoir.missing",)),
    15: Fault("piston seal passes", ("Cylinder.leakage", "SingleActingCylinder.leakage", "RotaryActuator.leakage",
         "DoubleActingTelescopicCylinder.leakage")),
    16: Fault("spool leaks", ("Spool.leakage", "ServoValve.erosion")),
    17: Fault(
        "spool not centring", ("Spool.off_centre", "HydrostaticPump.off_centre", "ServoValve.null_shift")
    ),
    18: Fault(
        "short travel of spool or linkage",
        ("Spool.short_travel", "PilotLever.weak", "PilotOperatedSection.hanging", "ProportionalValve.dragging"),
    ),
    19: Fault("load check stuck open", ("Spool.check_held_open", "CheckValve.leakage")),
    20: Fault("load check stuck shut", ("Spool.check_seizing",)),
    21: Fault("return filter blocked", ("ReturnFilter.clogging",)),
    22: Fault("return hose kinked, breather blocked", ("Hose.kink", "Reservoir.breather")),
    23: Fault("hose collapsed inside", ("Hose.flap",)),
    24: Fault("oil too thick", ("Reservoir.thickened",)),
    25: Fault("oil too thin, wrong grade", ("Reservoir.thinned",)),
    26: Fault("gauge plugged, bent, out of range", ("state", *ERRORS)),
    27: Fault(
        "bent rod, tight pin", ("Cylinder.bent", "Cylinder.stick_slip", "Guided.bent", "Guided.stick_slip")
    ),
    28: Fault("overload, changed geometry", ("load", "Weight.leverage")),
    29: Fault("motor worn", ("HydraulicMotor.leakage",)),
    30: Fault("case drain blocked", ("Hose.kink",)),
    31: Fault("cross-port relief low", ("ReliefValve.fatigue", "ReliefValve.held_open")),
    32: Fault("swing brake drags or does not hold", ("SwingBrake.dragging", "SwingBrake.worn")),
    33: Fault(
        "counterbalance too low, too high, pilot blocked",
        ("CounterbalanceValve.fatigue", "CounterbalanceValve.seizing", "CounterbalanceValve.plugging",
         "CounterbalanceValve.leakage"),
    ),
    34: Fault(
        "pilot check does not hold, does not open",
        ("PilotOperatedCheckValve.leakage", "PilotOperatedCheckValve.sticking",
         "DoublePilotOperatedCheckValve.leakage", "DoublePilotOperatedCheckValve.sticking"),
    ),
    35: Fault(
        "coupler half in, orifice plugged, dirt in a flow valve",
        ("QuickCoupling.half_in", "Orifice.clogging", "Throttle.clogging", "OneWayThrottle.clogging",
         "OneWayThrottle.held_open", "FlowControlValve.clogging", "FlowControlValve.sticking",
         "BypassFlowControlValve.clogging", "BypassFlowControlValve.sticking", "FlowDivider.sticking",
         "PriorityValve.sticking"),
    ),
    36: Fault("neutral passage partly blocked", ("OpenCentre.neutral_blocked",)),
    37: Fault("external leak, burst hose", ("Hose.burst", "Cylinder.gland", "DoubleActingTelescopicCylinder.gland")),
    38: Fault(
        "load sensing: margin low, line plugged or bled, compensator stuck",
        ("LoadSensingPump.fatigue", "LoadSensingPump.plugging", "LoadSensingPump.bleed", "_Variable.hung_up",
         "_Variable.held_back", "_Variable.sticking"),
    ),
    39: Fault("pre-charge lost", ("Accumulator.gas_lost",)),
    40: Fault(
        "charge of a hydrostatic loop low",
        ("ReliefValve.fatigue", "ReliefValve.held_open", "FixedPump.slip", "HydrostaticPump.slip"),
    ),
    41: Fault("intermittent, two at once, made by a repair", ("shows", "swapped", "Reservoir.left_in")),
}  # fmt: skip
BESIDES = {  # wear of valves that are none of the 41
    "ShuttleValve.leakage", "SequenceValve.leakage", "ReducingValve.leakage", "ReducingRelievingValve.leakage",
    "ShutOffValve.leakage", "FlowDivider.leakage", "GearFlowDivider.slip", "CushionedCylinder.bypass",
    "DoublePump.seal", "FlushingValve.hanging",
}  # fmt: skip


def owner(part: type[Part], wear: str) -> str:
    """Return a wear by the class in which it stands."""
    return f"{next(one for one in part.__mro__ if wear in vars(one)).__name__}.{wear}"


DECLARED = {owner(part, wear) for part in CATALOGUE.values() for wear in part.declared(Wear)}


def test_every_fault_is_declared_or_waits_for_a_part() -> None:
    assert [*FAULTS] == [*range(1, 42)]
    symbols = {part.symbol: name for name, part in CATALOGUE.items()}
    for number, fault in FAULTS.items():
        assert fault.ways or fault.waits, number
        assert set(fault.ways) - ELSEWHERE <= DECLARED, (number, set(fault.ways) - ELSEWHERE - DECLARED)
        for symbol in fault.waits:
            there = symbols.get(symbol)
            assert there is None, f"{number} waits for {there} no longer: let it declare its wear, and put it here"


def test_every_wear_is_one_of_the_faults() -> None:
    told = {way for fault in FAULTS.values() for way in fault.ways} | BESIDES
    assert told >= DECLARED, f"put into FAULTS or BESIDES: {sorted(DECLARED - told)}"
    assert BESIDES <= DECLARED


def test_each_degree_of_an_instrument_is_more_than_the_one_before() -> None:
    """They are called as those of parts are, and said by one who does not know gauges."""
    for key, error in ERRORS.items():
        assert [*error.shares] == [*DEGREES], key
        mild, marginal, failed = error.degrees(1.0).values()
        assert 0 < mild < marginal < failed, key
        assert 10 <= len(error.notice) <= 110, key
        assert error.notice[:1].islower(), key
        assert error.meaning, key


def test_a_complaint_is_said_by_one_who_does_not_know_the_part() -> None:
    """A line of plain words that names no part that only a mechanic would look at."""
    for part in CATALOGUE.values():
        for name, wear in part.declared(Wear).items():
            words = wear.notice
            assert 10 <= len(words) <= 110, (part.__name__, name)
            assert words[:1].islower() or words.startswith("LS"), (part.__name__, name)
            assert not words.endswith("."), (part.__name__, name)
            for told in ("spool", "poppet", "orifice", "load check", "compensator", "bypass", "slip coefficient"):
                assert told not in words, (part.__name__, name, told)


@pytest.mark.parametrize("name", first(2, resources.rigs()))
def test_all_that_can_be_wrong_with_a_rig_can_be_set(name: str) -> None:
    """Alone in each of its degrees, and all of it at once, with one swap."""
    rig = shipped(name)
    lines: list[str] = []
    for defect in defects(rig):
        assert defect.notice, defect.key
        for word in defect.degrees or ("",):
            line = f"{defect.key} = {word}".removesuffix(" = ")
            assert with_defects(rig, [line]) != rig, line
        if defect.degrees or not any("<>" in other for other in lines):
            lines.append(line)
    assert with_defects(rig, lines) != rig
    wears = {f"{id_}.{wear}" for id_, fitted in rig.parts.items() for wear in fitted.part.declared(Wear)}
    assert wears <= {defect.key for defect in defects(rig)}
