"""Small rigs of hand pump, hoses, gear flow divider, electric valves and centres, by hand (see test_small_rigs).

The formulas are those of any textbook of fluid power and of control (from memory).
"""

from __future__ import annotations

import math

import pytest
from ledgers import flow_ledger, open_by

from trainer import resources
from trainer.engine.session import Session
from trainer.rig.defects import with_defects
from trainer.rig.file import loads

from .printed import check
from .rigs import show, si
from .test_small_rigs import RIGS, VISCOSITY, altered, area, bar, run, weight

DENSITY = 865.0  # kg/m3 of the oil at 45 C


def litres(session: Session, part: str, port: str) -> float:
    """Return the flow out of a port [L/min]."""
    return -show(session.readings.flow(part, port), "L/min")


def through(length: str, bore: str, flow: float) -> float:
    """Return the drop along a hose [bar] after Hagen and Poiseuille: 128 mu L q / (pi d^4)."""
    return show(128 * VISCOSITY * si(length) * flow / (math.pi * si(bore) ** 4), "bar")


def test_a_hand_gains_force_and_pays_in_strokes() -> None:
    """F = p A / i of the lever; what is lifted is the plunger's way as it presses, by area over area."""
    session = run(RIGS["hand-pump-cab"], 1.0)
    piston, plunger = area("40 mm"), area("25 mm")
    load = show(weight(800.0) / piston, "bar")
    check("small", "under the cab [bar]: F/A", bar(session, "P1"), load, share=0.01)
    stood, at = session.readings.place("rod1"), session.readings.state("0P1", "plunged")
    session.set_control("0P1.pace", si("30 r/min"))
    way, pushed = 0.0, []
    for _ in range(480):
        session.advance(1 / 60)
        going = session.readings.state("0P1", "plunged")
        pressed, at = max(going - at, 0.0), going
        way += pressed
        if pressed and abs(going - 0.02) < 0.01:  # at mid stroke the hand neither starts nor turns round
            pushed.append(session.readings.value("0P1", "hand"))
    lifted = session.readings.place("rod1") - stood
    check(
        "small",
        "lifted in eight seconds [mm]: the plunger's way",
        1e3 * lifted,
        1e3 * way * plunger / piston,
        share=0.02,
    )
    by_hand = weight(800.0) * plunger / piston / 16.0
    check("small", "force of the hand [N]: p A / i", sum(pushed) / len(pushed), 1.05 * by_hand, share=0.06)


@pytest.mark.soak
def test_a_cab_comes_down_as_its_throttle_lets_it_and_sinks_by_a_check_that_leaks() -> None:
    """q = 26.83 Cd A sqrt(dp / rho) over 0.6 mm2, with the shut-off valve open and next to no drop over it."""
    rig = RIGS["hand-pump-cab"]
    session = run(rig, 8.0, _0P1_pace=si("30 r/min"))
    session.set_control("0P1.pace", 0.0)
    session.advance(1.0)
    stood = session.readings.place("rod1")
    session.advance(10.0)
    assert session.readings.place("rod1") == pytest.approx(stood, abs=2e-4), "its checks hold it"
    session.set_control("0V2.opening", 1.0)
    session.advance(1.0)
    flow = 26.83 * 0.65 * 0.6 * math.sqrt(bar(session, "P1") / 870.0)
    speed = show(-session.readings.speed("rod1") * area("40 mm"), "L/min")
    check("small", "coming down [L/min]: over the throttle", speed, flow, share=0.05)
    lifted = []
    for line in ("0P1.leakage = healthy", "0P1.check_leakage = failed"):
        pumps = run(with_defects(rig, [line]), 6.0, _0P1_pace=si("30 r/min"))
        pumps.set_control("0P1.pace", 0.0)
        pumps.advance(3.0)
        lifted.append(pumps.readings.place("rod1") - 0.06)
    assert 0.0 < lifted[1] < 0.8 * lifted[0], "it sinks between strokes, as the lever springs back"


@pytest.mark.soak
def test_a_torn_lining_closes_a_hose_one_way() -> None:
    """Sound: 128 mu L q / (pi d^4). Torn: K rho v^2 / 2 more, K = 1.5 (1 / open - 1)^2, on the way up alone."""
    rig = RIGS["hoses"]
    drops = {}
    for torn in ("", "1Z1.flap = failed", "1Z2.flap = failed"):
        session = run(with_defects(rig, [torn]) if torn else rig, 2.5, _1V1_lever=1.0)
        flow = -session.readings.flow("1V1", "A")
        up = bar(session, "A0") - bar(session, "A1")
        session.set_control("1V1.lever", -1.0)
        session.advance(1.0)
        drops[torn] = up, bar(session, "B0") - bar(session, "B1"), bar(session, "A1") - bar(session, "A0")
    smooth = through("2 m", "10 mm", flow)
    check("small", "sound hose, up [bar]: Hagen and Poiseuille", drops[""][0], smooth, share=0.05)
    more = show(1.5 * (1 / 0.03 - 1) ** 2 * DENSITY / 2 * (flow / area("10 mm")) ** 2, "bar")
    check("small", "hose A torn, up [bar]", drops["1Z1.flap = failed"][0], smooth + more, share=0.05)
    assert drops["1Z1.flap = failed"][1:] == pytest.approx(drops[""][1:], abs=0.02), "down as ever"
    assert drops["1Z2.flap = failed"][0] == pytest.approx(drops[""][0], abs=0.02), "hose B: up as ever"
    assert drops["1Z2.flap = failed"][1] > 30.0


@pytest.mark.soak
def test_a_kinked_return_and_case_hose_show_where_their_gauges_stand() -> None:
    """The motor's case: gaps' law qc = Cs V (dpA + dpB) / 2 mu through 128 mu L q / (pi d^4), and K rho v^2 / 2."""
    rig = RIGS["hoses"]
    found = {}
    for kinked in ("", "2Z1.kink = failed", "0Z3.kink = failed"):
        session = run(with_defects(rig, [kinked]) if kinked else rig, 3.0, _2V1_lever=1.0)
        found[kinked] = bar(session, "L2"), bar(session, "R"), bar(session, "P1")
        if kinked != "0Z3.kink = failed":
            across = [session.readings.pressure(line) - session.readings.pressure("L2") for line in ("A2", "B2")]
            case = 3e-9 * si("160 cm3/rev") * sum(across) / (2 * VISCOSITY)
            torn = 1.5 * (1 / 0.03 - 1) ** 2 if kinked else 0.0
            speed = case / area("6 mm")
            by_hand = through("3 m", "6 mm", case) + show(torn * DENSITY / 2 * speed**2, "bar")
            check("small", f"case {kinked or 'sound'} [bar]", found[kinked][0], by_hand, share=0.03)
    assert found["2Z1.kink = failed"][2] == pytest.approx(found[""][2], rel=0.01), "nothing else shows it"
    rise = found["0Z3.kink = failed"][1] - found[""][1]
    assert rise > 10.0
    assert 0.7 * rise < found["0Z3.kink = failed"][2] - found[""][2] < 1.2 * rise, "the pump pays for the return"


@pytest.mark.soak
def test_hoses_that_leak_or_have_changed_places() -> None:
    """q = 26.83 Cd A sqrt(dp / rho) out of the hole; swapped, up is down."""
    rig = RIGS["hoses"]
    leaks = run(with_defects(rig, ["1Z1.burst = marginal"]), 2.5, _1V1_lever=1.0)
    lost = show(leaks.readings.value("1Z1", "spilt"), "L/min")
    by_hand = 26.83 * 0.65 * 0.3 * math.sqrt(bar(leaks, "A0") / DENSITY)
    check("small", "lost at a hole of 0.3 mm2 [L/min]", lost, by_hand, share=0.06)
    sound = run(rig, 2.5, _1V1_lever=1.0)
    less = show((sound.readings.speed("rod1") - leaks.readings.speed("rod1")) * area("63 mm"), "L/min")
    check("small", "what the lift lacks of it [L/min]", less, lost, share=0.06)
    swapped = run(with_defects(rig, ["1V1.A <> 1V1.B"]), 1.5, _1V1_lever=-1.0)
    assert swapped.readings.speed("rod1") > 0.05


def test_a_gear_flow_divider_gives_the_heavy_side_more_than_the_pump_has() -> None:
    """p1 V1 + p2 V2 = p (V1 + V2) without losses; with them some bar more before it. T = dp D / 2 pi at the drum."""
    rig = RIGS["gear-flow-divider"]
    ideal = altered(rig, "1V2", slip=0.0, viscous_drag=0.0, pressure_drag=0.0, breakaway=0.0)
    for name, fitted, share in (("without losses", ideal, 0.005), ("as it is", rig, 0.12)):
        session = run(fitted, 4.0, _1V1_lever=1.0)
        mean = (bar(session, "A1") + bar(session, "A2")) / 2
        check("small", f"before the divider, {name} [bar]: mean of both", bar(session, "A0"), mean, share=share)
        assert bar(session, "A1") > bar(session, "A0") + 15.0
        torque = 9.0 * session.readings.speed("shaft1")
        ideally = si("100 cm3/rev") * (session.readings.pressure("A1") - session.readings.pressure("B1"))
        assert 0.84 * ideally < torque < 0.92 * ideally, "the motor's drag keeps the rest"
    shares = litres(session, "1V2", "A"), litres(session, "1V2", "B")
    apart = session.readings.pressure("A1") - session.readings.pressure("A2")
    slips = show(2e-8 * si("12 cm3/rev") * apart / VISCOSITY, "L/min")  # one leaks back, the other forth
    pressed = shares[0] * apart / 1.57e9  # the heavy side's oil takes less room
    check("small", "light side has more [L/min]: slip of both", shares[1] - shares[0], slips + pressed, share=0.03)
    assert open_by(flow_ledger(session)) < 1e-9, "what its gears move is in the books"


@pytest.mark.soak
def test_an_outlet_relief_bounds_what_a_gear_flow_divider_raises() -> None:
    """A drum that stands: without its relief twice the pump's pressure could stand there; the other drum turns on."""
    session = run(altered(RIGS["gear-flow-divider"], "1W1", drag=2000.0), 4.0, _1V1_lever=1.0)
    check("small", "stalled side [bar]: its relief", bar(session, "A1"), 160.0, share=0.05)
    assert bar(session, "A0") < 120.0
    assert show(session.readings.speed("shaft2"), "r/min") > 100.0


def settles(frequency: float, damping: float, share: float) -> float:
    """Return when a second-order system has first made a share of a step [s], of its textbook response."""
    w, ring = 2 * math.pi * frequency, math.sqrt(1 - damping**2)
    time, step = 0.0, 1e-3 / frequency
    while True:
        sine = math.sin(ring * w * time)
        fades = math.exp(-damping * w * time)
        if 1 - fades * (math.cos(ring * w * time) + damping / ring * sine) >= share:
            return time
        time += step


@pytest.mark.soak
def test_a_servo_valve_answers_before_a_proportional_valve() -> None:
    """x'' = w^2 (asked - x) - 2 z w x': 100 Hz at once; 20 Hz behind a ramp of 100 ms for the whole command."""
    session = run(RIGS["proportional-and-servo"], 0.5)
    reached: dict[str, float] = {}
    for id_ in ("1V1", "2V1"):
        session.set_control(f"{id_}.lever", 0.5)
    begin = session.time
    while len(reached) < 2:
        session.advance(5e-4, 5e-4)
        for id_ in ("1V1", "2V1"):
            if session.readings.state(id_, "spool") >= 0.3:
                reached.setdefault(id_, session.time - begin)
    check(
        "small", "servo, six tenths of the way [ms]", 1e3 * reached["2V1"], 1e3 * settles(100.0, 0.8, 0.6), within=0.8
    )
    behind = 1e3 * 2 * 0.8 / (2 * math.pi * 20.0)  # a ramp is followed 2 z / w late
    check("small", "proportional [ms]: 30 of the ramp, and its lag", 1e3 * reached["1V1"], 30.0 + behind, within=1.5)


@pytest.mark.soak
def test_overlap_waits_where_a_servo_valve_already_moves() -> None:
    """q = qr s sqrt(dp / dpr) over the edge, s of the travel beyond the overlap; both are cut alike."""
    rig = RIGS["proportional-and-servo"]
    for lever in (0.4, 1.0):
        session = run(rig, 1.0, _1V1_lever=lever, _2V1_lever=lever)
        for id_, lap, rated, drop in (("1V1", 0.15, 2.8, 5.0), ("2V1", 0.0, 7.4, 35.0)):
            over = bar(session, "P1") - bar(session, f"A{id_[0]}")
            share = (lever - lap) / (1 - lap)
            flow = rated * share * math.sqrt(over / drop)
            check("small", f"{id_} at {lever:.0%} [L/min]", litres(session, id_, "A"), flow, share=0.02)
    small = run(rig, 1.0, _1V1_lever=0.1, _2V1_lever=0.1)
    assert abs(small.readings.speed("rod1")) < 1e-4, "within its overlap"
    assert small.readings.speed("rod2") > 0.015
    drifts = run(with_defects(rig, ["2V1.null_shift = failed"]), 1.0)
    tenth = litres(small, "2V1", "A")
    check(
        "small", "servo, null off by a tenth [L/min]: as told a tenth", litres(drifts, "2V1", "A"), tenth, share=0.01
    )
    assert abs(drifts.readings.speed("rod1")) < 1e-4
    worn = run(with_defects(rig, ["2V1.erosion = failed"]), 1.0)
    assert litres(worn, "0P1", "P") > 3.0 * litres(run(rig, 1.0), "0P1", "P"), "it takes oil with nothing moving"


@pytest.mark.soak
def test_a_centre_decides_what_rest_costs_and_whether_a_load_stays() -> None:
    """Shut: P = p Q over the relief, the load held. Joined: next to nothing, and it comes down over its edge."""
    session = run(RIGS["centres"], 3.0, _1V1_lever=1.0, _2V1_lever=1.0)
    check("small", "lifting, both alike", bar(session, "P1"), bar(session, "P2"), share=0.005)
    for id_ in ("1V1", "2V1"):
        session.set_control(f"{id_}.lever", 0.0)
    session.advance(1.5)
    slip = 1.5e-8 * si("8 cm3/rev") * session.readings.pressure("P1") / VISCOSITY
    flow = show(si("8 cm3/rev") * si("1500 r/min") - slip, "L/min")
    check("small", "closed, at rest [bar]: its relief", bar(session, "P1"), 120.0, share=0.02)
    check(
        "small", "closed, at rest [kW]: p Q", show(session.readings.heat("0V1"), "kW"), 120.0 * flow / 600, share=0.02
    )
    assert show(session.readings.heat("0V2"), "kW") < 0.01
    assert bar(session, "P2") < 2.0
    assert abs(session.readings.speed("rod1")) < 1e-4
    falls = -show(session.readings.speed("rod2") * area("63 mm"), "L/min")
    over = bar(session, "A2") - bar(session, "R")
    check("small", "open, coming down [L/min]: over 3 mm2", falls,
          26.83 * 0.65 * 3.0 * math.sqrt(over / DENSITY), share=0.04)  # fmt: skip


@pytest.mark.soak
def test_a_tandem_centre_spares_the_pump_and_holds_the_load() -> None:
    """What the rig's notes ask for: P joined to T alone."""
    written = resources.rigs()["centres"].read_text("utf-8").replace(', neutral_return = "3 mm2"', "")
    session = run(loads(written.replace('centre = "open"', 'centre = "tandem"'), "tandem"), 3.0, _2V1_lever=1.0)
    session.set_control("2V1.lever", 0.0)
    session.advance(2.0)
    assert bar(session, "P2") < 2.0
    assert abs(session.readings.speed("rod2")) < 1e-4
    assert bar(session, "A2") > 40.0


@pytest.mark.soak
def test_a_motor_centre_lets_a_drum_run_on() -> None:
    """Joined to tank: w' = - (d w + drag) / J. Shut: T = dp D / 2 pi of its relief, and drags, stop it in J w / T."""
    session = run(RIGS["motor-centre"], 5.0, _1V1_lever=0.6, _2V1_lever=0.6)
    w = session.readings.speed("shaft1")
    assert session.readings.speed("shaft2") == pytest.approx(w, rel=0.001)
    for id_ in ("1V1", "2V1"):
        session.set_control(f"{id_}.lever", 0.0)
    begin = session.time
    while session.readings.speed("shaft1") > 0.1 * w:
        session.advance(0.02)
    torque = si("200 cm3/rev") * 76e5 * 1.1 + 10.0 * 0.55 * w  # of 80 bar, less the override; both drags help
    by_hand = 0.05 + 0.9 * 40.0 * w / torque  # and until its spool has shut
    check("small", "closed, time to stop [s]: J w / T", session.time - begin, by_hand, share=0.08)
    session.advance(0.5)
    before = session.readings.speed("shaft2")
    session.advance(1.0)
    after, drag = session.readings.speed("shaft2"), session.readings.value("2A1", "drag")
    mean = (before + after) / 2
    check("small", "motor, lost in a second [rad/s]", before - after, (10 * mean + abs(drag)) / 40, share=0.06)
    assert after > 0.5 * w
