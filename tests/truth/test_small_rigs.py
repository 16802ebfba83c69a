"""The small shipped rigs, each for one idea: spec sheets, lever scripts, and what they teach, by hand formulas.

The formulas are those of any textbook of fluid power (from memory): p = F/A, v = Q/A, T = D·Δp/2π, n = Q/D, laminar
loss in a pipe (Hagen and Poiseuille), orifice flow. A hand formula leaves out seals, edges and leaks: each comparison
says how much that may be. The numbers of a spec sheet come from the engine.
"""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from cases import first, shipped

from trainer import resources
from trainer.engine.session import Session
from trainer.measuring.instruments import true_reading
from trainer.measuring.validity import conditions
from trainer.parts.part import Kind
from trainer.recording import lead
from trainer.rig import levers
from trainer.rig.rig import Rig, SpecReading
from trainer.units import GRAVITY

from .printed import check
from .rigs import show, si

BIG = ("one-spool-bench", "timber-trailer-loader")  # have files of their own
RIGS = {name: shipped(name) for name in resources.rigs() if name not in BIG}
SHEETS = [(name, reading) for name, rig in RIGS.items() for reading in rig.healthy]
WAIT = 3.0  # until what moves turns and flows evenly [s]
VISCOSITY = 0.0313  # [Pa s] of VG 46 at 45 C: 36.9 mm2/s between 46 at 40 C and 6.8 at 100 C (ASTM D341), 850 kg/m3


def area(*diameters: str) -> float:
    """Return the area of a piston [m2], of its ring where the rod's diameter is given, too."""
    bore, rod = (*(si(written) for written in diameters), 0.0)[:2]
    return math.pi / 4 * (bore**2 - rod**2)


def weight(mass: float) -> float:
    """Return the force of a mass [kg] that hangs on a rod [N]."""
    return mass * GRAVITY


def bar(session: Session, line: str) -> float:
    """Return the pressure of a line [bar]."""
    return show(session.readings.pressure(line), "bar")


def altered(rig: Rig, part: str, **values: float) -> Rig:
    """Return a rig with other numbers of one part [SI]."""
    fitted = rig.parts[part]
    return replace(rig, parts={**rig.parts, part: replace(fitted, values={**fitted.values, **values})}).checked()


def run(rig: Rig, seconds: float, **controls: float) -> Session:
    """Return a session of a rig after some seconds with controls set, written 1V1_lever for 1V1.lever."""
    session = Session(rig)
    for name, value in controls.items():
        session.set_control(name[1:].replace("_", ".", 1), value)
    session.advance(seconds)
    return session


# -- what every rig has ---------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", RIGS)
def test_it_says_what_it_is_for_and_has_what_a_lesson_needs(name: str) -> None:
    rig = RIGS[name]
    assert 60 < len(rig.notes) < 500
    assert rig.healthy
    assert not rig.remarks()
    assert name in resources.levers(), "a lever script shows its point"
    assert all(part in rig.drawing for part in rig.parts if not part[1:].startswith("W")), "every part has its place"
    assert {line.name for line in rig.lines_of_kind(Kind.OIL) if len(line.joins) > 1} <= set(rig.drawing["routes"])
    for item in rig.instruments.values():
        assert item.accuracy == 0.016, f"{item.name}: class 1.6"
    for reading in rig.healthy:
        item = rig.instruments[reading.reads]
        assert reading.tolerance >= item.accuracy * item.range_, f"{reading.name}: finer than its instrument reads"
        assert reading.value <= item.range_


@pytest.mark.parametrize(
    ("name", "reading"), first(6, SHEETS), ids=lambda value: value if isinstance(value, str) else value.name
)
def test_a_spec_sheet_is_that_of_the_rig(name: str, reading: SpecReading) -> None:
    """Controls as stated, then run until the places are as stated; the reading is within its tolerance there."""
    rig = RIGS[name]
    session = Session(rig)
    for condition, value in reading.conditions.items():
        if condition == "temperature":
            session.set_temperature(value)
        elif condition in rig.controls():
            session.set_control(condition, value)
    places = [name for name in reading.conditions if name in rig.states()]
    session.advance(0.2 if places else WAIT)
    while not all(condition.met for condition in conditions(rig, session.readings, reading)):
        assert session.time < 20.0, "it never stands as the sheet asks"
        session.advance(0.1)
    found = true_reading(rig.instruments[reading.reads], session.readings)
    session.advance(1.0)
    if all(condition.met for condition in conditions(rig, session.readings, reading)):  # it stands there
        found = true_reading(rig.instruments[reading.reads], session.readings)
    check("spec", f"{name}, {reading.name} [SI]", found, reading.value, within=reading.tolerance)


@pytest.mark.parametrize("name", first(2, RIGS))
def test_its_lever_script_runs_and_no_instrument_is_overloaded(name: str) -> None:
    """To its end, nothing rough; no gauge goes so far beyond its scale that it would stay bent."""
    rig = RIGS[name]
    session = Session(rig)
    script = levers.load(resources.levers()[name]).checked(rig)
    moved = dict.fromkeys(rig.instruments, 0.0)
    begin = {item: true_reading(rig.instruments[item], session.readings) for item in moved}
    for _ in lead(session, script, script.end, 30.0):
        for item in moved:
            reads = true_reading(rig.instruments[item], session.readings)
            assert reads <= 1.2 * rig.instruments[item].range_, item
            moved[item] = max(moved[item], abs(reads - begin[item]) / rig.instruments[item].range_)
    assert session.rough_calls == 0
    assert max(moved.values()) > 0.05, "it shows something"


# -- what each teaches ----------------------------------------------------------------------------------------


def test_single_acting_lift_load_over_area() -> None:
    session = run(RIGS["single-acting-lift"], 4.5, _1V1_lever=1.0)
    piston = area("63 mm")
    by_hand = show(weight(2000.0) / piston, "bar")
    check("small", "lift, cap end [bar]: F/A, and 5 % of seals", bar(session, "A1"), 1.025 * by_hand, share=0.025)
    flow = -session.readings.flow("1V1", "A")
    check("small", "lift, speed: Q/A", session.readings.speed("rod1"), flow / piston, share=0.02)
    assert bar(session, "P1") > bar(session, "A1")


def test_neutral_only_loss_in_a_hose_grows_with_its_length() -> None:
    """Hagen and Poiseuille: laminar, Re about 1100."""
    flow = si("23.9 L/min")
    found = {}
    for length in (4.0, 12.0):
        session = run(altered(RIGS["neutral-only"], "0Z3", length=length), 1.0)
        found[length] = bar(session, "R") - bar(session, "R2")
    assert found[12.0] == pytest.approx(3.0 * found[4.0], rel=0.02)
    by_hand = show(128 * 0.0325 * 4.0 * flow / (math.pi * si("12.7 mm") ** 4), "bar")  # VG 46 at 45 C: 37.5 mm2/s
    check("small", "return hose of 4 m [bar]", found[4.0], by_hand, share=0.06)
    rest = run(RIGS["neutral-only"], 1.0)
    oil = rest.readings.pressure("P1") * flow
    paid = rest.readings.speed("drive") * abs(rest.readings.load("0P1", "shaft"))
    assert 1.3 * oil < paid < 4.0 * oil, "the drive pays the oil's p·Q and the pump's own drag"


@pytest.mark.soak
def test_two_lifts_the_smaller_pressure_goes_first() -> None:
    rig = RIGS["two-lifts"]
    wide, narrow = weight(3600.0) / area("80 mm"), weight(2000.0) / area("50 mm")
    assert wide < narrow
    session = run(rig, 2.0, _1V1_lever=1.0)
    speeds = session.readings.speed("rod1"), session.readings.speed("rod2")
    flow = -session.readings.flow("1V1", "A")
    check("small", "wide one's speed: Q/A", speeds[0], flow / area("80 mm"), share=0.02)
    assert abs(speeds[1]) < 1e-3, "the other waits"
    behind = bar(session, "B1") * area("80 mm", "45 mm") / area("80 mm")
    check("small", "two lifts, line A [bar]: F/A and what stands behind", bar(session, "A1"),
          1.03 * (show(wide, "bar") + behind), share=0.03)  # fmt: skip
    session.advance(4.5)
    check("small", "narrow one's speed: Q/A", session.readings.speed("rod2"),
          -session.readings.flow("1V1", "A") / area("50 mm"), share=0.02)  # fmt: skip
    light = run(altered(altered(rig, "1W1", mass=4000.0), "1W2", mass=1500.0), 2.0, _1V1_lever=1.0)
    assert light.readings.speed("rod2") > 0.05 > 0.003 > abs(light.readings.speed("rod1")), "turned round"


def test_two_cylinders_in_series_push_back_on_a_ring() -> None:
    session = run(RIGS["two-cylinders-in-series"], 5.0, _1V1_lever=1.0)
    piston, ring = area("80 mm"), area("80 mm", "56 mm")
    between = weight(2600.0) / piston
    check("small", "between them [bar]: F/A", bar(session, "M1"), 1.02 * show(between, "bar"), share=0.03)
    by_hand = weight(3100.0) / piston + session.readings.pressure("M1") * ring / piston
    check("small", "first cap end [bar]", bar(session, "A1"), 1.025 * show(by_hand, "bar"), share=0.025)
    speeds = session.readings.speed("rod1"), session.readings.speed("rod2")
    check("small", "second's speed to the first's: ring to piston", speeds[1] / speeds[0], ring / piston, share=0.06)


@pytest.mark.soak
def test_two_motors_in_series_take_the_sum() -> None:
    rig = RIGS["two-motors-in-series"]
    session = run(rig, 3.0, _1V1_lever=1.0)
    drop = {id_: bar(session, a) - bar(session, b) for id_, a, b in (("1A1", "A1", "M1"), ("1A2", "M1", "B1"))}
    for id_, brake, setting in (("1A1", "1P1", 110.0), ("1A2", "1P2", 90.0)):
        needs = setting * 50 / 100  # T = D·p/2π at the brake, Δp = 2π·T/D at the motor
        check("small", f"{id_}: what its brake needs [bar], and drags", drop[id_], needs * 1.22, share=0.1)
        assert session.readings.flow(brake, "P") < 0
    assert bar(session, "A1") == pytest.approx(drop["1A1"] + drop["1A2"] + bar(session, "B1"), rel=1e-6)
    turns = -session.readings.flow("1V1", "A") / si("100 cm3/rev")
    check("small", "first motor: n = Q/D less its leak", session.readings.speed("shaft1"), turns, share=0.06)
    stalled = run(altered(rig, "1V3", setting=si("250 bar")), 3.0, _1V1_lever=1.0)
    assert bar(stalled, "P1") > 170.0
    assert show(abs(stalled.readings.speed("shaft1")), "r/min") < 15.0, "one oil: when one stands, both do"


BANKS = [("tandem", 62.0, 0.0), ("parallel", 0.0, 99.0), ("series", 61.0, 65.0)]  # lift, tilt [mm/s]
RELIEFS = [(150.0, 110.0, 110.0, 150.0), (110.0, 150.0, 110.0, 110.0)]  # of both banks; clamp and lift stand at [bar]


@pytest.mark.parametrize(("bank", "lift", "tilt"), BANKS)
def test_three_banks_sort_two_loads_three_ways(bank: str, lift: float, tilt: float) -> None:
    """78.7 bar for the lift, 40.0 for the tilt (F/A); speeds are Q/A, in series the tilt's of the ring's oil."""
    session = run(RIGS[f"bank-{bank}"], 3.5, _1V1_lever=1.0, _2V1_lever=1.0)
    speeds = [1e3 * session.readings.speed(rod) for rod in ("rod1", "rod2")]
    check("small", f"{bank}: lift [mm/s]", speeds[0], lift, within=1.5)
    check("small", f"{bank}: tilt [mm/s]", speeds[1], tilt, within=2.0)
    needs = [show(weight(mass) / area(bore), "bar") for mass, bore in ((2500.0, "63 mm"), (800.0, "50 mm"))]
    ring = area("63 mm", "36 mm") / area("63 mm")
    by_hand = {"tandem": needs[0], "parallel": needs[1], "series": needs[0] + ring * needs[1]}[bank]
    assert 1.02 * by_hand < bar(session, "P1") < 1.27 * by_hand, "the load, and what edges and lines take"
    if bank == "series":
        out = session.readings.flow("1V1", "T")
        assert out < 0 or session.readings.flow("2V1", "P") != 0
        check("small", "series: tilt's speed of the ring's oil [mm/s]", speeds[1],
              speeds[0] * area("63 mm", "36 mm") / area("50 mm"), share=0.03)  # fmt: skip


def test_three_throttles_slow_only_where_oil_goes_elsewhere() -> None:
    rig = RIGS["three-throttles"]
    open_ = run(rig, 3.0, _1V1_lever=1.0)
    narrow = run(rig, 3.0, _1V1_lever=1.0, _1V2_opening=0.3)
    assert narrow.readings.speed("rod1") == pytest.approx(open_.readings.speed("rod1"), rel=0.02)
    assert bar(narrow, "A1") == pytest.approx(bar(open_, "A1"), rel=0.02), "behind it stands the load"
    flow, hole = -narrow.readings.flow("1V2", "2"), 0.3 * si("10 mm2")
    by_hand = show(865 / 2 * (flow / (0.65 * hole)) ** 2, "bar")  # sharp edge, discharge 0.65: usual, from memory
    check("small", "drop over 3 mm2 [bar]", bar(narrow, "A0") - bar(narrow, "A1"), by_hand, share=0.15)
    shut = run(rig, 3.0, _1V1_lever=1.0, _1V2_opening=0.15)
    assert shut.readings.speed("rod1") < 0.75 * open_.readings.speed("rod1")
    assert bar(shut, "P1") > 140.0, "now the relief takes a share"
    bleed = run(rig, 4.0, _1V1_lever=1.0, _1V4_opening=0.1)
    assert bleed.readings.speed("rod1") < 0.65 * open_.readings.speed("rod1")
    assert bar(bleed, "P1") < bar(open_, "P1")


@pytest.mark.soak
def test_back_pressure_acts_on_the_other_area() -> None:
    rig = RIGS["back-pressure"]
    ratio = area("63 mm", "36 mm") / area("63 mm")
    soft = altered(rig, "0V3", cracking=si("0.5 bar"))
    for lever, share in ((1.0, ratio), (-1.0, 1.0 / ratio)):
        found = []
        for one in (soft, rig):
            session = Session(replace(one, start={**one.start, "1W1.x": 0.25}).checked())
            session.set_control("1V1.lever", lever)
            session.advance(1.5)
            found.append((bar(session, "P1"), bar(session, "R")))
        (p0, r0), (p1, r1) = found
        check("small", f"lever {lever:+.0f}: rise of P1 to rise of R", (p1 - p0) / (r1 - r0), share, share=0.05)


def test_regenerative_the_rod_is_the_piston() -> None:
    rig = RIGS["regenerative"]
    home = run(rig, 2.2, _1V1_lever=1.0)
    round_ = run(rig, 2.2, _1V1_lever=1.0, _1V2_opening=1.0, _1V3_opening=0.0)
    rod = math.pi / 4 * si("36 mm") ** 2
    flow = -round_.readings.flow("1V1", "A")
    check("small", "sent round: Q/rod area", round_.readings.speed("rod1"), flow / rod, share=0.04)
    check("small", "sent home: Q/piston", home.readings.speed("rod1"),
          -home.readings.flow("1V1", "A") / area("63 mm"), share=0.02)  # fmt: skip
    least = show(weight(500.0) / rod, "bar")
    assert least < bar(round_, "A1") < 1.2 * least
    stands = run(altered(rig, "1W1", mass=2800.0), 4.0, _1V1_lever=1.0, _1V2_opening=1.0, _1V3_opening=0.0)
    assert abs(stands.readings.speed("rod1")) < 2e-3, "270 bar it would take; the relief opens at 160"
    lifts = run(altered(rig, "1W1", mass=2800.0), 4.0, _1V1_lever=1.0)
    assert lifts.readings.speed("rod1") > 0.05


def test_float_joins_both_ends_to_tank() -> None:
    rig = RIGS["float"]
    held = run(rig, 2.0)
    assert abs(held.readings.speed("rod1")) < 1e-4
    check("small", "held [bar]: F/A", bar(held, "A1"), show(weight(400.0) / area("63 mm"), "bar"), share=0.06)
    sinks = run(rig, 1.0, _1V1_floating=1.0)
    assert 0.06 < -sinks.readings.speed("rod1") < 0.12
    down = run(rig, 6.0, _1V1_floating=1.0)
    assert bar(down, "A1") < 1.0
    assert bar(down, "B1") < 1.0


def test_motor_and_brake_torque_and_speed() -> None:
    session = run(RIGS["motor-and-brake"], 3.0, _1V1_lever=1.0)
    readings, per_turn = session.readings, si("160 cm3/rev")
    drop = readings.pressure("A1") - readings.pressure("B1")
    torque = abs(readings.value("1A1", "torque"))
    ideal = per_turn * drop  # a displacement is kept per radian: T = D·Δp/2π
    assert 0.84 * ideal < torque < 0.92 * ideal, "its drag keeps the rest"
    turns = -readings.flow("1V1", "A") / per_turn
    assert 0.94 * turns < abs(readings.speed("shaft1")) < turns, "its leak keeps the rest"
    brake = si("80 cm3/rev") * readings.pressure("K1")
    assert brake < torque < 1.15 * brake


@pytest.mark.soak
def test_pump_flow_test_tells_wear_from_speed() -> None:
    rig = RIGS["pump-flow-test"]
    geometric = si("16 cm3/rev") * si("1500 r/min")
    flow = [-run(rig, 3.0, _0V2_opening=at).readings.flow("0P1", "P") / geometric for at in (1.0, 0.16, 0.0)]
    assert flow[0] > 0.99
    check("small", "volumetric efficiency at 68 bar", flow[1], 0.97, within=0.01)
    worn = altered(rig, "0P1", slip=10 * rig.value("0P1", "slip"))
    loss = []
    for one in (rig, worn):
        light, heavy = (run(one, 3.0, _0V2_opening=at) for at in (1.0, 0.16))
        less = heavy.readings.flow("0P1", "P") - light.readings.flow("0P1", "P")
        loss.append(less / (bar(heavy, "P1") - bar(light, "P1")))
    check("small", "ten times the slip: loss per bar", loss[1] / loss[0], 10.0, share=0.2)
    slow = run(rig, 3.0, _0M1_setting=si("1000 r/min"), _0V2_opening=1.0)
    check("small", "1000 r/min: flow with the turns", -slow.readings.flow("0P1", "P") / geometric, 2 / 3, share=0.01)


def test_two_paths_share_by_area_and_wait_by_threshold() -> None:
    rig = RIGS["two-paths"]
    soft = run(altered(rig, "0V4", cracking=si("0.1 bar")), 3.0, _0V2_opening=0.3, _0V3_opening=0.15)
    shares = [-soft.readings.flow(id_, "2") for id_ in ("0V2", "0V3")]
    check("small", "areas 2 to 1: flows", shares[0] / shares[1], 2.0, share=0.08)
    wide = run(rig, 3.0, _0V2_opening=1.0, _0V3_opening=1.0)
    assert show(-wide.readings.flow("0V3", "2"), "L/min") < 0.1, "2 bar do not open 10"
    both = run(rig, 3.0, _0V2_opening=0.3, _0V3_opening=0.3)
    assert show(-both.readings.flow("0V3", "2"), "L/min") > 5.0


def test_suction_line_fills_the_pump_warm_and_not_cold() -> None:
    rig = RIGS["suction-line"]
    geometric = show(si("16 cm3/rev") * si("1500 r/min"), "L/min")
    check("small", "warm [L/min]", show(-run(rig, 2.0).readings.flow("0P1", "P"), "L/min"), geometric, share=0.01)
    cold = Session(replace(rig, oil=replace(rig.oil, temperature=10.0)).checked())
    cold.advance(5.0)
    assert show(-cold.readings.flow("0P1", "P"), "L/min") < 0.55 * geometric
    assert bar(cold, "S1") < -0.9, "nearly no pressure is left at the inlet"


@pytest.mark.soak
def test_outside_force_meets_only_a_port_relief() -> None:
    rig = RIGS["outside-force"]
    plain = replace(rig.parts["1V1"], choices={**rig.parts["1V1"].choices, "port_reliefs": "none"})
    blocked = run(replace(rig, parts={**rig.parts, "1V1": plain}).checked(), 2.0, _2V1_lever=-1.0)
    readings = blocked.readings
    pull = readings.pressure("B2") * area("80 mm", "40 mm") - readings.pressure("A2") * area("80 mm")
    by_hand = (pull + weight(500.0)) / area("50 mm")
    check("small", "shut-in oil [bar]: the ram's pull and the beam, over the piston", bar(blocked, "A1"),
          0.97 * show(by_hand, "bar"), share=0.04)  # fmt: skip
    assert bar(blocked, "A1") > 1.9 * bar(blocked, "P1"), "above the pump's own relief"
    assert abs(readings.speed("rod1")) < 2e-3
    gives = run(rig, 2.0, _2V1_lever=-1.0)
    assert bar(gives, "A1") < 185.0
    assert gives.readings.speed("rod1") < -0.03


@pytest.mark.parametrize(("one", "two", "clamp", "lift"), first(1, RELIEFS))
def test_two_banks_the_lowest_in_the_open_path_decides(one: float, two: float, clamp: float, lift: float) -> None:
    rig = altered(altered(RIGS["two-banks"], "1V0", setting=one * 1e5), "2V0", setting=two * 1e5)
    closed = run(rig, 3.0, _2V1_lever=1.0)
    check("small", f"reliefs {one:.0f} and {two:.0f}: clamp at its end [bar]", bar(closed, "P2"), clamp, share=0.03)
    lifted = run(rig, 3.0, _1V1_lever=1.0)
    check("small", f"reliefs {one:.0f} and {two:.0f}: lift at its end [bar]", bar(lifted, "P1"), lift, share=0.03)


def test_drift_ends_where_the_rod_has_no_room() -> None:
    """Past the piston oil only changes ends: both stand at F over the rod's area, and it stops."""
    rig = RIGS["drift"]
    session = Session(rig)
    session.set_parameter("1A1.leakage", 1e-12)
    session.advance(60.0, length=0.1)
    by_hand = show(weight(1500.0) / (math.pi / 4 * si("36 mm") ** 2), "bar")
    for line in ("A1", "B1"):
        check("small", f"{line} at the end of the drift [bar]: F/rod", bar(session, line), by_hand, share=0.03)
    sunk = 0.3 - session.readings.place("rod1")
    assert 0.015 < sunk < 0.028
    session.advance(10.0, length=0.1)
    assert 0.3 - session.readings.place("rod1") == pytest.approx(sunk, abs=5e-4), "it stops"


@pytest.mark.soak
def test_case_oil_is_caught_and_timed() -> None:
    """The gaps' law, qc = Cs V (pA + pB) / 2 mu: what the cup has after ten seconds, and of a motor worn fourfold."""
    caught = {}
    for leakage in (3e-9, 12e-9):
        session = run(altered(RIGS["case-flow-bench"], "1A1", leakage=leakage), 3.0, _1V1_lever=1.0)
        before = session.readings.value("1Z2", "caught")
        session.advance(10.0)
        caught[leakage] = session.readings.value("1Z2", "caught") - before
        pressures = session.readings.pressure("A1") + session.readings.pressure("B1")
        gaps = leakage * si("160 cm3/rev") * pressures / (2 * VISCOSITY)
        by_hand = show(10.0 * gaps, "cm3")
        check("small", "case oil in 10 s [cm3]", show(caught[leakage], "cm3"), by_hand, share=0.02)
    assert caught[12e-9] > 3.5 * caught[3e-9]


@pytest.mark.soak
def test_what_passes_a_piston_is_caught_at_the_end_of_its_stroke() -> None:
    """k dp 35/mu: 9 cm3/min of a good seal, twenty times that of a worn one, with the way back shut."""
    rig = RIGS["cylinder-bypass-bench"]
    for times in (1.0, 20.0):
        session = run(altered(rig, "1A1", leakage=times * 1e-14), 7.0, _1V1_lever=1.0)
        session.set_control("1V2.opening", 0.0)
        session.set_control("1V3.opening", 1.0)
        session.advance(4.0)
        runs = session.readings.value("1Z1", "runs")
        leak = times * 1e-14 * 0.035 / VISCOSITY * session.readings.pressure("A1")
        check("small", f"past the piston, {times:.0f} times [cm3/min]", runs * 60e6, leak * 60e6, share=0.03)


@pytest.mark.soak
def test_a_tester_in_line_tells_the_pump_from_what_is_behind_it() -> None:
    """A worn pump loses at the tester already, a relief that opens behind it does not; oil pressed takes 1 % less."""
    rig = RIGS["flow-tester-in-line"]
    good = run(rig, 3.0, _0Z3_opening=0.06)
    worn = run(altered(rig, "0P1", slip=6e-8), 3.0, _0Z3_opening=0.06)
    low = run(altered(rig, "0V1", setting=60e5), 3.0, _0Z3_opening=0.06)
    flows = [show(session.readings.flow("0Z3", "1"), "L/min") for session in (good, worn, low)]
    assert flows[1] < flows[0] - 1.5
    assert flows[2] == pytest.approx(flows[0], abs=0.05)
    slip = 1.5e-8 * si("16 cm3/rev") * good.readings.pressure("P1") / VISCOSITY
    geometric = si("16 cm3/rev") * si("1500 r/min")
    check("small", "tester, loaded [L/min]: V n less slip", flows[0], show(geometric - slip, "L/min"), share=0.02)


@pytest.mark.soak
def test_a_swing_is_stopped_by_its_port_reliefs_and_held_by_its_brake() -> None:
    """T = dp D/2pi: relief over drag stops 120 kg m2 in J w / T; then the brake holds it on a slope of 400 N m."""
    session = run(RIGS["swing-and-brake"], 4.0, _1V1_lever=1.0)
    w = session.readings.speed("shaft1")
    session.set_control("1V1.lever", 0.0)
    begin = session.time
    while session.readings.speed("shaft1") > 0.1 * w:
        session.advance(0.02)
    torque = si("400 cm3/rev") * 85e5 * 1.1  # of 90 bar, less the override; friction helps to stop it
    check("small", "swing, time to stop [s]: J w / T", session.time - begin, 0.1 + 0.9 * 120 * w / torque, share=0.2)
    session.advance(3.0)
    session.set_parameter("1W1.slope", 400.0 / max(abs(math.sin(session.readings.place("shaft1"))), 0.2))
    session.advance(2.0)
    stood = session.readings.place("shaft1")
    session.advance(60.0, length=0.1)
    assert session.readings.place("shaft1") == pytest.approx(stood, abs=1e-6)


# -- loads by script ------------------------------------------------------------------------------------------


def test_a_load_is_hooked_on_and_a_shock_is_given_by_a_script() -> None:
    """On the held boom 500 kg more make the cap end F/A more; twice the load for 0.1 s swings beyond."""
    rig = RIGS["drift"]
    hook = levers.loads("time [s], 1W1.mass [kg]\n0, 1500\n1, 2000\n").checked(rig)
    session = Session(rig)
    before = bar(session, "A1")
    for _ in lead(session, hook, 3.0):
        pass
    more = show(weight(500.0) / area("63 mm"), "bar")
    check("small", "hooked on [bar]: F/A", bar(session, "A1") - before, more, share=0.06)
    shock = levers.loads("time [s], 1W1.mass [kg]\n0, 1500\n1, 3000\n1.1, 1500\n").checked(rig)
    session, most = Session(rig), 0.0
    for time in lead(session, shock, 3.0):
        most = max(most, bar(session, "A1")) if time > 1.0 else most
    assert most > before + show(weight(1500.0) / area("63 mm"), "bar"), "a load that falls in swings beyond its own"
    check("small", "after the shock [bar]: as before", bar(session, "A1"), before, share=0.03)
    assert session.rough_calls == 0


def lifts(name: str, speed: str = "1500 r/min", wide: float = 3600.0, **levers: float) -> Session:
    """Return a session of a rig of two lifts on a variable pump, 2.5 s after its levers went over."""
    rig = altered(RIGS[name], "1W1", mass=wide)
    session = run(rig, 1.0, _0M1_setting=si(speed))
    for lever, value in levers.items():
        session.set_control(lever[1:].replace("_", ".", 1), value)
    session.advance(2.5)
    return session


def litres(session: Session, rod: str, bore: str) -> float:
    """Return what a cylinder takes while its rod goes out [L/min]: speed times piston."""
    return show(session.readings.speed(rod) * area(bore), "L/min")


@pytest.mark.soak
def test_load_sensing_one_speed_for_every_load_and_a_margin_above_it() -> None:
    """A compensated edge cut for 12 L/min: v = Q/A with half of the weight as with all of it; P = told + 21 bar."""
    for mass in (1800.0, 3600.0):
        session = lifts("load-sensing", wide=mass, _1V1_lever=1.0)
        check("small", "load sensing, wide lift [L/min]", litres(session, "rod1", "80 mm"), 12.0, share=0.04)
        margin = bar(session, "P1") - bar(session, "LS")
        check("small", "load sensing, margin [bar]", margin, 21.0, within=3.0)
        by_hand = show(weight(mass) / area("80 mm"), "bar")
        assert by_hand < bar(session, "LS") < by_hand + 12.0, "the load, seals, and what its rod side takes home"


def test_load_sensing_short_of_oil_stops_the_heavier_pressure() -> None:
    """750 r/min give 13.5 L/min, two levers ask for 24: 12 go to the wide lift at 70 bar, the rest to the other."""
    session = lifts("load-sensing", "750 r/min", _1V1_lever=1.0, _2V1_lever=1.0)
    check("small", "short of oil, wide lift [L/min]", litres(session, "rod1", "80 mm"), 12.0, share=0.04)
    assert litres(session, "rod2", "50 mm") < 0.15 * 12.0


@pytest.mark.soak
def test_flow_sharing_slows_both_down() -> None:
    """The same shortage with compensators behind the edges: each has about half, of 12.8 L/min less slip."""
    session = lifts("flow-sharing", "750 r/min", _1V1_lever=1.0, _2V1_lever=1.0)
    shares = [litres(session, "rod1", "80 mm"), litres(session, "rod2", "50 mm")]
    check("small", "flow sharing, sum [L/min]", sum(shares), 12.8, share=0.03)
    check("small", "flow sharing, share of the wide lift", shares[0] / sum(shares), 0.5, within=0.07)


@pytest.mark.soak
def test_constant_pressure_light_loads_go_faster_and_rest_costs_slip() -> None:
    """The line stays at 180 bar: flow by the root of what is left for the edge; at rest the drive pays for slip."""
    light, heavy = (lifts("constant-pressure", wide=mass, _1V1_lever=0.6) for mass in (900.0, 3600.0))
    for session in (light, heavy):
        check("small", "constant pressure [bar]", bar(session, "P1"), 180.0, share=0.01)
    drops = [bar(session, "P1") - bar(session, "A1") for session in (light, heavy)]
    ratio = light.readings.speed("rod1") / heavy.readings.speed("rod1")
    check("small", "constant pressure, speeds", ratio, math.sqrt(drops[0] / drops[1]), share=0.02)
    assert ratio > 1.15
    at_rest = lifts("constant-pressure")
    watts = at_rest.readings.value("0P1", "power")
    over_the_relief = si("180 bar") * si("18 cm3/rev") * si("1500 r/min")
    assert watts < 0.12 * over_the_relief, "a fixed pump would turn all of it into heat"


def test_pilot_pressure_says_how_far_the_big_spool_goes() -> None:
    """Half of what lies beyond the play: 5 + 17 / 2 = 13.5 bar; springs 6 … 20 bar: (13.5 - 6) / 14 of the stroke."""
    session = run(RIGS["pilot-joystick"], 1.5, _0V3_lever=0.53)
    pilot = bar(session, "XA") - bar(session, "XB")
    check("small", "pilot pressure at half lever [bar]", bar(session, "XA") - bar(session, "R"), 13.5, within=0.2)
    spool = session.readings.state("1V1", "spool")
    check("small", "spool: its springs' straight line", spool, (pilot - 6.0) / 14.0, within=0.02)
    worn = run(altered(RIGS["pilot-joystick"], "0V3", weak=0.7), 1.5, _0V3_lever=0.53)
    assert worn.readings.state("1V1", "spool") < 0.05, "the gauge tells that it is the lever's valve"


def test_hydrostatic_drive_speed_torque_and_its_low_side() -> None:
    """n = V1 s n1 / V2 less slip; T = drag of the wheel through the gear; the low side is the flushing relief's."""
    rig = RIGS["hydrostatic-loop"]
    for lever, high, low in ((1.0, "A1", "B1"), (-0.5, "B1", "A1")):
        session = run(rig, 3.0, _0P1_lever=lever)
        turns = show(session.readings.speed("shaft1"), "r/min")
        check("small", "hydrostatic: speed [r/min]", turns, 28.0 * lever * 1500 / 160.0, share=0.05)
        torque = 2500.0 * abs(session.readings.speed("wheel")) / 20.0
        drop = show(torque * 2 * math.pi / si("160 cm3"), "bar")
        found = bar(session, high) - bar(session, low)
        check("small", "hydrostatic: drop [bar], and 15 % of the motor", found, drop * 1.15, share=0.12)
        assert 14.0 < bar(session, low) < 19.0
    rest = run(rig, 1.0)
    assert bar(rest, "A1") == pytest.approx(bar(rest, "B1"), abs=0.1)
    assert bar(rest, "C1") == pytest.approx(19.9, abs=0.3), "the charge relief's"


@pytest.mark.soak
def test_without_charge_a_hydrostatic_drive_loses_its_low_side() -> None:
    """A charge relief whose spring is gone: charge falls, then the low side; the pressing side looks as ever."""
    sides = {}
    for tired in (0.0, 0.9):
        session = run(altered(RIGS["hydrostatic-loop"], "0V1", fatigue=tired), 2.5, _0P1_lever=1.0)
        sides[tired] = [bar(session, line) for line in ("C1", "B1", "A1")]
    (charge, low, high), (charge2, low2, high2) = sides.values()
    assert charge > 15.0 > 4.0 > charge2
    assert low > 14.0 > 3.0 > low2
    assert high2 - low2 == pytest.approx(high - low, rel=0.05)


@pytest.mark.soak
def test_open_centre_all_of_the_fixed_pumps_oil_goes_somewhere() -> None:
    """Q = V n less slip: with the lever over all of it lifts, v = Q/A; at the end all of it is heat over the relief.

    P = p Q, textbook: 27 L/min at 180 bar are 8.1 kW.
    """
    session = lifts("open-centre", _1V1_lever=1.0)
    turned = show(si("18 cm3/rev") * si("1500 r/min"), "L/min")
    check("small", "open centre, wide lift [L/min]: V n", litres(session, "rod1", "80 mm"), turned, share=0.05)
    by_hand = show(weight(3600.0) / area("80 mm"), "bar")
    assert by_hand < bar(session, "A1") < bar(session, "P1") < by_hand + 12.0
    session.advance(2.0)
    check("small", "open centre, at the end [bar]: the relief", bar(session, "P1"), 180.0, share=0.02)
    watts = session.readings.heat("0V1")
    check("small", "open centre, over the relief [kW]: p V n", show(watts, "kW"), 8.1, share=0.12)
