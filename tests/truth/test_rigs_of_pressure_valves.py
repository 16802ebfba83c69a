"""Small rigs whose valves hold a load, sort movements or let a pump go, by hand formulas (see test_small_rigs)."""

from __future__ import annotations

import itertools
import math

import pytest

from trainer.engine.session import Session

from .printed import check
from .rigs import show, si
from .test_small_rigs import RIGS, altered, area, bar, run, weight


def test_a_counterbalance_valve_holds_a_boom_back() -> None:
    """The cap end carries the load and what the rod end is pumped to; pilot and load together lift the spring.

    px = (ps + r y + (1 + R) pv - pl) / (R + phi): setting ps, rise r to wide open, opening y of q = Cd A y sqrt(dp).
    """
    rig = RIGS["counterbalance-boom"]
    session = run(rig, 2.0, _1V1_lever=-1.0)
    ring, ratio = area("63 mm", "36 mm") / area("63 mm"), rig.value("1V2", "ratio")
    load, back, pilot = (1e5 * bar(session, line) for line in ("A1", "A0", "B1"))
    pressed = weight(3000.0) / area("63 mm")
    check(
        "small",
        "cap end [bar]: F/A and the rod end's share",
        load / 1e5,
        0.97 * (pressed + ring * pilot) / 1e5,
        share=0.03,
    )
    flow = session.readings.flow("1V2", "C")
    share = flow / (0.65 * si("12 mm2") * math.sqrt(2 * (load - back) / 865))
    by_hand = (si("150 bar") + share * si("80 bar") + (1 + ratio) * back - pressed) / (ratio + ring)
    check("small", "pilot [bar]: balance of the valve", pilot / 1e5, by_hand / 1e5, share=0.08)
    speed = -session.readings.flow("1V1", "B") / area("63 mm", "36 mm")
    check("small", "down no faster than oil is pumped in", -session.readings.speed("rod1"), speed, share=0.03)
    low = run(altered(rig, "1V2", fatigue=0.6), 1.0, _1V1_lever=-0.6)
    assert bar(low, "B1") < 0.6 * bar(run(rig, 1.0, _1V1_lever=-0.6), "B1"), "a tired spring lets the load run ahead"
    blocked = run(altered(rig, "1V2", plugging=1.0), 2.0, _1V1_lever=-1.0)
    assert bar(blocked, "B1") > 60.0, "without its pilot only pressure on the cap end opens it"
    assert show(blocked.readings.value("1V2", "beyond"), "bar") > 0.0


@pytest.mark.soak
def test_a_lock_holds_what_a_spool_lets_go() -> None:
    rig = RIGS["locked-leg"]
    held, leaks = Session(rig), Session(altered(rig, "1V2", leakage=3e-12))
    sunk = []
    for session in (held, leaks):
        session.advance(20.0, length=0.1)  # until what is behind the seat stands under pressure
        before = session.readings.place("rod1")
        session.advance(20.0, length=0.1)
        sunk.append(1e3 * (before - session.readings.place("rod1")))
    assert sunk[0] < 0.02
    both = 1 / (1 / 3e-12 + 1 / (0.3 * 3e-13))  # a section for 12 L/min has 0.3 of the lands of one for 40
    by_hand = 1e3 * both * weight(1500.0) / area("63 mm") * 20.0 / area("63 mm")
    check(
        "small", "leak of seat and spool, one behind the other [mm in 20 s]: k p t / A", sunk[1], by_hand, share=0.15
    )
    light = altered(rig, "1W1", mass=100.0)
    up = run(light, 1.5, _1V1_lever=-1.0)
    assert up.readings.speed("rod1") < -0.08
    stuck = run(altered(light, "1V2", sticking=0.99), 1.5, _1V1_lever=-1.0)
    assert abs(stuck.readings.speed("rod1")) < 2e-3
    assert bar(stuck, "B0") > 170.0, "the relief is reached, and the leg stays"


def test_a_leg_taken_up_at_half_lever_hunts_within_bounds() -> None:
    """A load that runs ahead makes a piloted check ratchet (a dealer's guide to load holding); it stays bounded.

    What was dropped at v is caught by the oil below: at most v sqrt(k m) / A above what carries load and rod end,
    with k = A2 K / V. At full lever the section's return holds the load, and nothing hunts.
    """
    rig, cap, ring = RIGS["locked-leg"], area("63 mm"), area("63 mm", "36 mm")

    def taken_up(lever: float) -> tuple[list[float], list[float], float]:
        session = run(rig, 1.0, _1V1_lever=lever)
        speeds, pressures, behind = [], [], []
        for _ in range(100):
            session.advance(4e-3, 4e-3)
            speeds.append(-session.readings.speed("rod1"))
            pressures.append(bar(session, "A1"))
            behind.append(bar(session, "B1"))
        carries = show(weight(1500.0) / cap, "bar") + max(behind) * ring / cap
        stiff = cap**2 * 1.7e9 / (45e-6 + cap * session.readings.place("rod1"))
        return speeds, pressures, carries + show(max(speeds) * math.sqrt(stiff * 1505.0) / cap, "bar")

    speeds, pressures, most = taken_up(-0.5)
    assert min(speeds) < 0.5 * sum(speeds) / 100 < 0.5 * max(speeds), "it drops and is caught"
    assert 1.5 * show(weight(1500.0) / cap, "bar") < max(pressures) < most < 0.8 * 180.0, "no relief has to know"
    speeds, pressures, _ = taken_up(-1.0)
    assert max(speeds) - min(speeds) < 0.01 * max(speeds)
    assert max(pressures) - min(pressures) < 1.0


@pytest.mark.soak
def test_the_clamp_comes_first_and_is_held_lower() -> None:
    rig = RIGS["clamp-and-feed"]
    session = run(rig, 1.0, _1V1_lever=1.0)
    assert session.readings.speed("rod1") > 0.08
    assert abs(session.readings.speed("rod2")) < 1e-3, "what is below the sequence valve's setting moves first"
    assert bar(session, "A0") < 20.0
    session.advance(2.0)
    check("small", "clamped [bar]: the reducing valve", bar(session, "A1"), 50.0, share=0.02)
    check("small", "feeding [bar]: the sequence valve, part of its rise", bar(session, "A0"), 84.0, share=0.06)
    load = show(weight(800.0) / area("50 mm"), "bar")
    check("small", "feed [bar]: F/A and its rod end's share", bar(session, "A2"), 1.04 * load, share=0.08)
    turned = run(altered(rig, "2V1", setting=si("5 bar")), 0.6, _1V1_lever=1.0)
    assert bar(turned, "A0") < 60.0
    late = run(altered(rig, "2V1", setting=si("170 bar")), 4.0, _1V1_lever=1.0)
    assert abs(late.readings.speed("rod2")) < 1e-3, "above the relief it never opens"


@pytest.mark.soak
def test_two_pumps_are_fast_or_strong() -> None:
    rig = RIGS["two-pumps-hi-lo"]
    light = run(rig, 2.0, _1V1_lever=1.0)
    heavy = run(altered(rig, "1W1", mass=3500.0), 6.0, _1V1_lever=1.0)
    both, small = (show(si(f"{size} cm3/rev") * si("1500 r/min"), "L/min") for size in (20, 4))
    check("small", "light [L/min]: both pumps", show(-light.readings.flow("1V1", "A"), "L/min"), both, share=0.03)
    check("small", "heavy [L/min]: the small one", show(-heavy.readings.flow("1V1", "A"), "L/min"), small, share=0.2)
    assert bar(heavy, "P0") < 6.0, "the large one's oil goes home"
    shaft = -heavy.readings.flow("0P1", "P") * bar(heavy, "P0") * 1e5
    assert shaft < 0.1 * si("24 L/min") * bar(heavy, "P1") * 1e5, "at a tenth of the power that it would take"


def test_a_pump_rests_while_an_accumulator_gives() -> None:
    rig = RIGS["accumulator-unloading"]
    session = Session(rig)
    session.set_control("1V1.opening", 0.6)
    seen, idle = [], []
    for _ in range(480):
        session.advance(1 / 40)
        seen.append(bar(session, "P1"))
        idle.append(bar(session, "P0") < 5.0)
    check("small", "lets go at [bar]: its setting", max(seen[200:]), 140.0, share=0.02)
    check("small", "calls back at [bar]: 20 % lower", min(seen[200:]), 112.0, share=0.02)
    assert 0.1 < sum(idle) / len(idle) < 0.9
    assert 3 <= sum(a != b for a, b in itertools.pairwise(idle)) <= 14


@pytest.mark.soak
def test_a_motor_below_its_least_speed_sticks_and_slips() -> None:
    """Least speeds of slow motors are 10 to 50 r/min (common practice, no source): it turns evenly from there on."""
    found = {}
    for lever in (0.5, 0.55):
        session, turns = run(RIGS["case-flow-bench"], 4.0, _1V1_lever=lever), []
        for _ in range(150):
            session.advance(2e-3, 2e-3)
            turns.append(show(session.readings.speed("shaft1"), "r/min"))
        found[lever] = sum(turns) / len(turns), max(turns) - min(turns)
    (slow, jerks), (quick, even) = found[0.5], found[0.55]
    assert 10.0 < slow < 50.0 < quick
    assert jerks > slow, "it sticks and slips"
    assert even < 0.01 * quick
