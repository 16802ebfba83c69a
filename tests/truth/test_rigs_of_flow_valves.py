"""Small rigs whose valves share or hold a flow, and the inlet of a pump, by hand formulas (see test_small_rigs)."""

from __future__ import annotations

import itertools
import math
from dataclasses import replace

import pytest
from ledgers import flow_ledger

from trainer.engine.session import Session
from trainer.parts.loads import Weight
from trainer.rig.rig import Fitted

from .printed import check
from .rigs import show, si
from .test_small_rigs import RIGS, altered, area, bar, run, weight


def litres(session: Session, part: str, port: str) -> float:
    """Return the flow out of a port [L/min]."""
    return -show(session.readings.flow(part, port), "L/min")


@pytest.mark.soak
def test_a_flow_control_keeps_its_speed_and_a_throttle_does_not() -> None:
    """Throttled: q goes with the root of the pump's pressure less F/A; controlled: it stays."""
    rig = RIGS["flow-control"]
    found = {}
    for mass in (600.0, 1500.0, 2300.0):
        session = run(altered(altered(rig, "1W1", mass=mass), "1W2", mass=mass), 3.0, _1V1_lever=1.0)
        drop = bar(session, "A0") - bar(session, "A1")
        found[mass] = litres(session, "1V2", "2"), litres(session, "1V3", "2"), drop
        check("small", f"cap end at {mass:.0f} kg [bar]: F/A", bar(session, "A1"),
              1.04 * show(weight(mass) / area("50 mm"), "bar"), share=0.05)  # fmt: skip
        assert bar(session, "P1") > 0.9 * 160.0, "what neither takes goes over the relief"
    for mass, (throttled, controlled, drop) in found.items():
        check("small", f"controlled at {mass:.0f} kg [L/min]", controlled, 4.0, share=0.01)
        by_hand = found[1500.0][0] * math.sqrt(drop / found[1500.0][2])
        check("small", f"throttled at {mass:.0f} kg [L/min]: root of the drop", throttled, by_hand, share=0.02)
    assert found[600.0][0] > 1.25 * found[1500.0][0] > 1.6 * found[2300.0][0]
    short = run(altered(altered(rig, "1W2", mass=3100.0), "1W1", mass=3100.0), 3.0, _1V1_lever=1.0)
    assert litres(short, "1V3", "2") < 2.0, "without some bar to spare it cannot hold its flow"


def test_a_controlled_lift_rings_on_its_oil_and_its_compensator_calms_it() -> None:
    """A load is a mass on its oil: w = sqrt(k / m), k = A2 / C of piston, dead room, gallery and hose (Merritt 1967).

    Until its spool is there a flow control is a throttle, g = q / 2 dp. With t, its lag of 15 ms, and l = (w t)2 it
    gives way by g t / (1 + l) and takes g l / (1 + l) from the ring. That dies as exp(-s time), by these and the
    seals' c, 800 N s/m: s = g l / (1 + l) / 2 C + c / 2 m, lumped, by hand.
    """
    rig, piston, mass = RIGS["flow-control"], area("50 mm"), 1505.0
    session = Session(rig, 1e-6)  # the live solver's own damping takes a third more
    session.set_control("1V1.lever", 1.0)
    session.advance(0.6)
    length, wall, every = si("1 m"), si("400 MPa"), 2e-3
    held = bar(session, "A2") * 1e5
    oil = 1.5e9 * math.exp(0.025) + 10 * held  # at 45 C
    room = 45e-6 + piston * session.readings.place("rod2") + length * area("10 mm")
    soft = room / oil + length * area("10 mm") / wall + 0.005 * room * 1e5 / held**2
    q, drop = -session.readings.flow("1V3", "2"), bar(session, "A0") * 1e5 - held
    speeds = []
    for _ in range(160):
        session.advance(every, every)
        speeds.append(session.readings.speed("rod2"))
    turns = [k for k in range(1, 159) if (speeds[k] - speeds[k - 1]) * (speeds[k + 1] - speeds[k]) < 0]
    swings = [abs(speeds[b] - speeds[a]) for a, b in itertools.pairwise(turns)]
    took = (turns[-1] - turns[0]) * every / len(swings)  # half a period
    lag, throttles = 0.015, q / (2 * drop)
    late = (piston * lag) ** 2 / (mass * soft)
    soft += throttles * lag / (1 + late)
    ring = piston / math.sqrt(mass * soft)
    check("small", "controlled lift rings at [Hz]: sqrt(k / m)", 0.5 / took, ring / (2 * math.pi), share=0.02)
    dies = throttles * late / (1 + late) / (2 * soft) + 800 / (2 * mass)
    found = math.log(swings[0] / swings[-1]) / (took * (len(swings) - 1))
    check("small", "and dies at [1/s]: G / 2 C + c / 2 m", found, dies, share=0.15)
    session.advance(4 / dies)
    speed = session.readings.speed("rod2")
    session.advance(took)
    assert abs(session.readings.speed("rod2") - speed) < 0.01 * speed, "four of its times later it is even"


def test_two_loads_let_down_through_a_divider_come_down_evenly() -> None:
    """Its spool's lag calms them: both come down alike, neither swings."""
    rig = RIGS["synchronised-wings"]
    loads = {id_: Fitted(id_, Weight, {"mass": mass}) for id_, mass in (("1W1", 1500.0), ("1W2", 700.0))}
    hung = replace(rig, parts={**rig.parts, **loads}, healthy=(), start={**rig.start, "1W1.x": 0.38, "1W2.x": 0.38})
    session = run(hung.checked(), 2.5, _1V1_lever=-1.0)
    speeds: dict[str, list[float]] = {"rod1": [], "rod2": []}
    for _ in range(50):
        session.advance(0.01)
        for rod, found in speeds.items():
            found.append(session.readings.speed(rod))
    for found in speeds.values():
        assert max(found) - min(found) < 0.02 * abs(found[-1])
    check("small", "both come down alike [m/s]", speeds["rod1"][-1], speeds["rod2"][-1], share=0.02)


def test_a_flow_divider_keeps_two_cylinders_in_step() -> None:
    """Each gets half; before the divider stands the heavier side's pressure and the drop of its edges."""
    rig = RIGS["synchronised-wings"]
    session = run(rig, 2.0, _1V1_lever=1.0)
    one, other = (1e3 * session.readings.place(f"rod{k}") for k in "12")
    assert abs(one - other) < 0.04 * one
    half = -session.readings.flow("1V1", "A") / 2
    for rod in ("rod1", "rod2"):
        check("small", f"{rod}: half of Q/A", session.readings.speed(rod), half / area("50 mm"), share=0.02)
    fixed = 8.0 * (show(half, "L/min") / 6.0) ** 2  # 8 bar at 12 L/min
    check("small", "before the divider [bar]", bar(session, "A0"), bar(session, "A1") + 1.11 * fixed, share=0.02)
    lost = (bar(session, "A0") - bar(session, "A2")) * litres(session, "1V2", "B") / 600
    assert 0.5 < lost < 0.9, "what the light side does not need is heat: 0.7 kW of 69 bar and 5.7 L/min"


@pytest.mark.soak
def test_a_late_wing_gets_home_by_what_the_divider_never_shuts() -> None:
    """With the left one at its end the spool shuts the right one off, but for its levelling share."""
    rig = RIGS["synchronised-wings"]
    uneven = run(altered(rig, "1V2", levelling=0.0, flow_force=0.03), 11.0, _1V1_lever=1.0)
    even = run(altered(rig, "1V2", flow_force=0.03), 11.0, _1V1_lever=1.0)
    left = [400.0 - 1e3 * min(s.readings.place("rod1"), s.readings.place("rod2")) for s in (uneven, even)]
    assert left[0] > 5.0 > 1.0 > left[1]
    stuck = run(altered(rig, "1V2", sticking=30.0), 2.0, _1V1_lever=1.0)
    assert stuck.readings.place("rod2") > 1.3 * stuck.readings.place("rod1"), "the lighter one runs ahead"


@pytest.mark.soak
def test_steering_is_served_first() -> None:
    """8 L/min to the steering whatever the lift does; the rest to the lift. At its stop 100 bar and the spring."""
    rig = RIGS["priority-steering"]
    pumped = 16.4
    both = run(rig, 2.0, _1V1_lever=1.0, _2V1_lever=1.0)
    check("small", "steering [L/min]", litres(both, "0V2", "CF"), 8.0, share=0.02)
    check("small", "lift has the rest [L/min]", litres(both, "0V2", "EF"), pumped - 8.0, share=0.1)
    rubs = show((5000.0 + 15000.0 * both.readings.speed("rod1")) / area("50 mm"), "bar")  # for the tyres
    check(
        "small",
        "told load [bar]: F/A and its rod end",
        bar(both, "LS"),
        1.05 * (rubs + 0.686 * bar(both, "B1")),
        share=0.06,
    )
    assert bar(both, "CF") == pytest.approx(bar(both, "LS") + 11.0, abs=1.5), "its spring above what is told"
    rest = run(rig, 1.0)
    assert bar(rest, "P1") < 12.5, "at rest the pump idles at the spring"
    stuck = run(altered(rig, "0V2", sticking=0.98), 2.0, _1V1_lever=1.0, _2V1_lever=0.0)
    assert litres(stuck, "0V2", "CF") < 0.7 * 8.0


@pytest.mark.soak
def test_a_lift_moves_while_the_steering_stands_at_its_stop() -> None:
    rig = RIGS["priority-steering"]
    session = run(rig, 6.0, _1V1_lever=1.0)
    session.set_control("2V1.lever", 1.0)
    session.advance(1.5)
    check("small", "steering at its stop [bar]: its relief and the spring", bar(session, "CF"), 110.0, share=0.04)
    assert litres(session, "0V2", "EF") > 14.0
    assert session.readings.speed("rod2") > 0.07


def test_an_inlet_starves_cold_and_a_filter_only_raises_pressure() -> None:
    """Hose of 25 mm, Hagen and Poiseuille; the mesh goes with viscosity; only air pushes oil into a pump."""
    rig = RIGS["pump-inlet"]
    warm = run(rig, 1.0)
    flow = si("16 cm3/rev") * si("1500 r/min")
    velocity = flow / area("25 mm")
    hose = 128 * 0.0325 * 0.8 * flow / (math.pi * si("25 mm") ** 4) + 1.5 * 865 * velocity**2 / 2
    check("small", "suction hose, warm [mbar]", 1e3 * (bar(warm, "S2") - bar(warm, "S3")), hose / 100, share=0.08)
    assert -0.17 < bar(warm, "S3") < -0.04, "within 5 inHg, the limit of US Army TM 5-3820-256-24-2"
    cold = Session(rig)
    cold.set_temperature(-15.0)
    cold.advance(2.0)
    assert bar(cold, "S3") < -0.95
    assert litres(cold, "0P1", "P") < 0.5 * litres(warm, "0P1", "P")
    dirty = run(altered(rig, "0Z2", clogging=0.95), 1.0)
    assert litres(dirty, "0P1", "P") == pytest.approx(litres(warm, "0P1", "P"), rel=0.01), "it bypasses"
    assert bar(dirty, "P1") - bar(warm, "P1") == pytest.approx(bar(dirty, "R") - bar(warm, "R"), rel=0.1)
    assert dirty.readings.value("0Z2", "indicator") == 1.0 > warm.readings.value("0Z2", "indicator")
    clogged = run(altered(rig, "0Z3", clogging=0.97), 1.0)
    assert litres(clogged, "0P1", "P") < 0.4 * litres(warm, "0P1", "P"), "this starves it"


def test_the_ledger_tells_both_wings_by_their_names() -> None:
    """Oil that a divider sends to two cylinders stands under each of them, half and half."""
    rig = RIGS["synchronised-wings"]
    entries = {entry.name: show(entry.value, "L/min") for entry in flow_ledger(run(rig, 1.0, _1V1_lever=1.0)).entries}
    assert entries["Left, cap end"] == pytest.approx(entries["Right, cap end"], rel=0.03)
    assert 5.5 < entries["Left, cap end"] < 6.0


@pytest.mark.soak
def test_a_valve_that_shuts_quickly_makes_a_blow() -> None:
    """rho c v above what stood there (Joukowsky 1898), and what the drop of the pipe adds as the oil comes to rest.

    Shut in a second, twenty times as long as the blow runs there and back, it is hardly seen.
    """
    rig = RIGS["sudden-stop"]
    blows = {}
    for seconds in (0.01, 1.0):
        session = Session(rig)
        speed = session.readings.flow("0Z3", "1") / area("12 mm")
        stood, fed = bar(session, "P2"), bar(session, "P1")
        steps, seen = round(1000 * seconds), []
        for k in range(steps + 80):
            session.set_control("0V2.opening", max(0.0, 1.0 - (k + 1) / steps))
            session.advance(1e-3)
            seen.append(bar(session, "P2"))
        blows[seconds] = max(seen)
        assert session.rough_calls == 0
    stiff = 1 / (1 / (1.5e9 * math.exp(0.025)) + 1 / 26e9)  # oil at 45 C, 12 x 1.5 steel
    blow = show(870 * math.sqrt(stiff / 870) * speed, "bar")
    assert stood + blow < blows[0.01] < 1.03 * (stood + blow + (fed - stood))
    assert blows[1.0] < fed + 0.1 * blow


@pytest.mark.soak
def test_oil_shut_in_warms_by_ten_bar_a_degree_until_its_relief_opens() -> None:
    """0.0007 / K · K' of 1.66 GPa at 30 C and 26 GPa of steel: 10.9 bar for each kelvin, with the pump stopped."""
    session = Session(RIGS["line-in-the-sun"])
    for name, value in (("0V2.opening", 0.0), ("0M1.setting", 0.0)):
        session.set_control(name, value)
    session.advance(5.0)
    before = bar(session, "L2"), session.readings.state("0Z3", "warmth")
    session.advance(60.0, length=0.1)
    risen, warmer = bar(session, "L2") - before[0], session.readings.state("0Z3", "warmth") - before[1]
    softness = 1 / (1.5e9 * math.exp(0.1) + 10 * 90e5) + 1 / 26e9
    check(
        "small",
        "rise for each kelvin [bar]: swelling over softness",
        risen / warmer,
        7e-4 / softness / 1e5,
        share=0.03,
    )
    assert bar(session, "P1") < 0.5
    session.set_parameter("0Z3.surroundings", 90.0)
    session.advance(120.0, length=0.1)
    assert 155.0 < bar(session, "L2") < 185.0, "its thermal relief"
    leaky = altered(RIGS["line-in-the-sun"], "0V3", leakage=1e-12)
    drips = Session(leaky)
    drips.set_control("0V2.opening", 0.0)
    drips.advance(60.0, length=0.1)
    assert bar(drips, "L2") < 40.0, "a drip of some cm3 a minute takes it all"


@pytest.mark.soak
def test_a_coupling_half_in_shows_between_two_gauges() -> None:
    """Behind it the load, before it an orifice's drop more: 26.83 Cd A sqrt(dp / rho), A of 0.15 · (1 - 0.85 / 2)."""
    rig = RIGS["quick-couplings"]
    sound = run(rig, 3.0, _1V1_lever=1.0)
    half = run(altered(rig, "1Z1", half_in=0.85), 3.0, _1V1_lever=1.0)
    load = show(weight(1500.0) / area("63 mm"), "bar")
    for session in (sound, half):
        check("small", "behind the coupling [bar]: F/A", bar(session, "A1"), 1.06 * load, share=0.05)
    left = 0.15 * (1 - 0.85 / 2) * area("8 mm") * 1e6
    drop = 865 * (litres(half, "1V1", "A") / (26.83 * 0.65 * left)) ** 2
    check("small", "before it less behind it [bar]", bar(half, "A0") - bar(half, "A1"), drop, share=0.05)
    assert bar(sound, "A0") - bar(sound, "A1") < 1.0
    parted = run(altered(rig, "1Z1", half_in=1.0), 3.0, _1V1_lever=1.0)
    assert bar(parted, "P1") > 150.0
    assert abs(parted.readings.speed("rod1")) < 1e-3
    assert bar(parted, "A1") < 1.0, "all pressure before it, none behind"


@pytest.mark.soak
def test_a_one_way_throttle_slows_the_load_coming_down() -> None:
    """Up its check is free; down all oil of the cap end passes the set edge, 26.83 Cd A sqrt(dp / rho)."""
    rig = RIGS["quick-couplings"]
    session = run(rig, 3.0, _1V1_lever=1.0)
    assert bar(session, "A1") - bar(session, "A2") < 2.0
    session.set_control("1V1.lever", -1.0)
    session.advance(1.0)
    flow = -60e3 * session.readings.speed("rod1") * area("63 mm")
    by_hand = 865 * (flow / (26.83 * 0.65 * 4.0)) ** 2
    check("small", "over the throttle [bar]", bar(session, "A2") - bar(session, "A1"), by_hand, share=0.12)
    dirty = Session(altered(rig, "1V2", held_open=si("10 mm2")))
    dirty.set_control("1V1.lever", 1.0)
    dirty.advance(3.0)
    dirty.set_control("1V1.lever", -1.0)
    dirty.advance(1.0)
    assert dirty.readings.speed("rod1") < 1.5 * session.readings.speed("rod1"), "its check held open lets it run"


@pytest.mark.soak
def test_a_flow_control_that_sends_the_rest_on_keeps_the_pump_at_the_load() -> None:
    """6 bar and a little of its rise above the load, whatever that is; the speed stays."""
    rig = RIGS["three-port-flow-control"]
    for mass in (600.0, 2300.0):
        session = run(altered(rig, "1W1", mass=mass), 2.5, _1V1_lever=1.0)
        check("small", f"for the lift at {mass:.0f} kg [L/min]", litres(session, "0V2", "A"), 6.0, share=0.02)
        assert bar(session, "P1") == pytest.approx(bar(session, "P2") + 6.1, abs=0.2)
        load = show(weight(mass) / area("50 mm"), "bar")
        check(
            "small",
            f"behind it at {mass:.0f} kg [bar]: F/A, rod end, seals and edge",
            bar(session, "P2"),
            1.03 * load + 0.686 * bar(session, "B1") + 3.0,
            share=0.05,
        )
        assert litres(session, "0V1", "T") < 1e-3, "nothing goes over the relief"
    stuck = run(altered(rig, "0V2", sticking=1.0), 2.5, _1V1_lever=1.0)
    assert litres(stuck, "0V2", "A") > 9.0, "a stuck spool sends all of it to the lift"
