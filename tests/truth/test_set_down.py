"""A load set down and lifted, a log taken, carried and let go, a machine that tips: what the gauge and the books say.

Weights, friction and levers by hand (statics, Coulomb); the rest is compared with the machine itself.
"""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from stored import energy_in

from trainer import resources
from trainer.engine.session import FRAME, Session
from trainer.rig import file as rig_file
from trainer.rig.rig import Rig

from .printed import check
from .rigs import rig, si, unyielding

GRAVITY = 9.80665
GRAPPLE, LOG = 115.0, 200.0
HANGS = 'damping = "10 %", pin_friction = "2000 N m", tongs_drag = "1e5 N s/m"'
LOADER = rig_file.load(resources.path("rigs/timber-trailer-loader.toml"))
LEGS_DOWN = {"1W1.x1": si("500 mm"), "1W1.x2": si("500 mm")}


def yard(crane: str, start: str = '3W1.stick = "-80 deg"') -> Rig:
    """Return a crane held by shut-in cylinders, its tongs pushed by a force that is set."""
    return rig(
        "yard",
        f"""
[parts]
0Z1 = {{ $tank }}
3W1 = {{ is = "Crane", {HANGS}, {crane} }}
3A1 = {{ $cylinder, $damped, bore = "90 mm", rod = "50 mm", stroke = "532 mm" }}
4A1 = {{ $cylinder, $damped, bore = "80 mm", rod = "45 mm", stroke = "500 mm" }}
5W1 = {{ is = "ConstantForce", force = "0 N", mass = "5 kg" }}

[lines]
S = ["0Z1.S"]
T = ["0Z1.T", "3A1.B", "4A1.A"]
A3 = ["3A1.A"]
B4 = ["4A1.B"]
slew = ["3W1.slew"]
boom = ["3A1.rod", "3W1.boom"]
stick = ["4A1.rod", "3W1.stick"]
tongs = ["5W1.rod", "3W1.tongs"]

[start]
3W1.boom = "25 deg"
{start}
""",
    )


def over_a_log() -> Session:
    """Return a session of open tongs that stand over a log of 200 kg."""
    made = unyielding(yard('log1_mass = "200 kg", log1_ahead = "3.5 m"'))
    return Session(made, 1e-6, settle=False)


def value(session: Session, name: str) -> float:
    return session.readings.value("3W1", name)


def number(session: Session, name: str) -> float:
    return session.readings.state("3W1", name)


def close(session: Session, force: float) -> None:
    """Push the tongs' rod: positive closes them [N]."""
    session.set_parameter("5W1.force", -force)


# -- a log --------------------------------------------------------------------------------------------------------


def booked(session: Session) -> tuple[float, float]:
    """Return what switching has added and lost so far [J]."""
    network = session.network
    heats = len(network.heat_names)
    added = session.totals[heats + network.supply_names.index(("3W1", "switched"))]
    return float(added), float(session.totals[network.heat_names.index(("3W1", "grip_impact"))])


def test_a_resting_log_is_gripped_and_nothing_jumps_then_it_is_let_go_and_lies() -> None:
    """At 2 kN the tongs rest on it, at 3 kN it is theirs: stores equal to 1e-9, books as without a log.

    Rewound, each instant has the log where it was; repeated from the record, everything is the same to the bit.
    """
    session = over_a_log()
    close(session, 2e3)
    session.advance(15.0, 0.05)
    assert number(session, "log1") == 1.0
    assert value(session, "grip") == pytest.approx(2e3 + value(session, "pushed"), rel=1e-3)
    stored, before = energy_in(session), booked(session)
    force = 2e3
    while number(session, "log1") == 1.0:
        force += 10.0
        close(session, force)
        session.advance(FRAME)
    held = session.time
    network = session.network
    switch = [now - then for now, then in zip(booked(session), before, strict=True)]
    check("log", "added by the grip, of all that is stored", switch[0] / stored, 0.0, within=1e-9)
    check("log", "lost by the grip, of all that is stored", switch[1] / stored, 0.0, within=1e-9)
    session.advance(1.0)
    carried = value(session, "contact") + value(session, "tension")
    check("log", "ground and links carry [N]", carried, (GRAPPLE + LOG) * GRAVITY, 1e-3)
    assert value(session, "held") == LOG
    close(session, -4e3)
    while number(session, "log1") != 1.0:
        session.advance(FRAME)
    assert value(session, "held") == 0.0
    radius = math.sqrt(LOG / (math.pi * 800.0 * 2.5))
    check("log", "lies again where it was, its middle up [m]", value(session, "log1_at_up"), radius, within=5e-3)
    residual, size = (float(one) for one in network.balance(session.x, session.pu))
    assert abs(residual) <= 1e-9 * size
    last = session.x.copy(), session.pu.copy(), session.totals.copy()
    session.rewind(held + 0.5)
    assert number(session, "log1") == 2.0
    assert number(session, "log1_z") < 0, "off the middle of the tongs"
    session.rewind(0.5)
    assert number(session, "log1") == 1.0
    again = over_a_log()
    again.replay(session.history.record)
    for one, other in zip((again.x, again.pu, again.totals), last, strict=True):
        assert one.tobytes() == other.tobytes()


# -- the whole machine ----------------------------------------------------------------------------------------------


def loader(load: float, boom: str = "30 deg", **start: float) -> Session:
    """Return the loader on its legs with a load [kg] that hangs a little above the ground."""
    at = {**LOADER.start, **LEGS_DOWN, "3W1.boom": si(boom), "3W1.stick": si("-80 deg"), **start}
    session = Session(replace(LOADER, start=at))
    session.set_control("3W1.load", load)
    session.set_control("0M1.speed_asked", si("1800 r/min"))
    session.advance(2.0)
    return session


def move(session: Session, lever: str, share: float, seconds: float) -> None:
    session.set_control(lever, share)
    session.advance(seconds)
    session.set_control(lever, 0.0)


@pytest.mark.soak
def test_set_down_the_boom_holds_itself_alone_and_the_gauge_rises_when_the_links_are_taut() -> None:
    """250 kg: the ground carries m g, the cap side falls to what it is with nothing on the tip; slack lifts nothing.

    The load stays where it stands while the tip moves over it, to 0.1 mm.
    """
    session = loader(250.0)
    hanging = session.readings.pressure("A3")
    move(session, "3V1.lever", -0.55, 1.6)
    session.advance(1.5)
    weight = (GRAPPLE + 250.0) * GRAVITY
    check("set down", "the ground carries [N]", value(session, "contact"), weight, 1e-3)
    assert value(session, "tension") == 0.0
    alone = session.readings.pressure("A3")
    session.set_control("3W1.load", 0.0)
    session.advance(1.0)
    check(
        "set down",
        "cap side, with the load off as well [bar]",
        session.readings.pressure("A3") / 1e5,
        alone / 1e5,
        0.01,
    )
    assert alone < 0.55 * hanging
    session.set_control("3W1.load", 250.0)
    session.advance(1.0)
    place = number(session, "hung_ahead"), number(session, "hung_left")
    session.set_control("3V1.lever", 0.6)
    slack, taut, lifted = 0.0, 0.0, False
    for _ in range(240):
        session.advance(FRAME)
        bar = session.readings.pressure("banks") / 1e5
        lifted = lifted or value(session, "tension") > 0
        if not lifted:
            slack = max(slack, bar)
            moved = number(session, "hung_ahead") - place[0], number(session, "hung_left") - place[1]
            assert max(map(abs, moved)) < 1e-4
        elif value(session, "contact") == 0.0:
            taut = max(taut, bar)
    assert 0.0 < slack < 0.6 * taut
    assert session.rough_calls == 0


@pytest.mark.soak
def test_what_rests_stays_where_it_is() -> None:
    """Two minutes on 5 deg with closed tongs: less than a micrometre, the shear that of the slope."""
    made = unyielding(yard('slope = "5 deg"', '3W1.stick = "-95 deg"'))
    session = Session(made, 1e-6, settle=False)
    close(session, 2e3)
    session.advance(20.0, 0.05)
    assert value(session, "tension") == 0.0
    place = number(session, "hung_ahead")
    session.advance(120.0, 0.1)
    assert abs(number(session, "hung_ahead") - place) < 1e-6
    weight = GRAPPLE * GRAVITY
    shear = weight * math.sin(math.radians(5.0)) / 4e5
    check("rest", "shear of the ground [mm]", 1e3 * number(session, "shear_ahead"), 1e3 * shear, 0.01)


@pytest.mark.soak
@pytest.mark.parametrize(("share", "tips"), [(0.9, False), pytest.param(1.1, True, marks=pytest.mark.soak)])
def test_the_machine_tips_where_the_levers_say(share: float, tips: bool) -> None:
    """Slewed square to the left without legs, on tyres that hardly give: W t = M by hand, within 10 %.

    The trailer's 1325 kg stand 0.8 m inside the wheel that it turns about; boom, stick and what hangs are outside.
    """
    boom, fold = math.radians(25.0), math.radians(25.0 - 45.0)
    arm = 165.0 * (1.15 * math.cos(boom) - 0.06 * math.sin(boom) - 0.8)
    arm += 95.0 * (2.6 * math.cos(boom) + 0.8 * math.cos(fold) - 0.03 * math.sin(fold) - 0.8)
    reach = 2.6 * math.cos(boom) + 2.05 * math.cos(fold) - 0.8
    least = ((1325.0 + 30.0) * 0.8 - arm) / reach - GRAPPLE
    written = 'is = "Trailer", '
    made = rig_file.loads(
        rig_file.dump(LOADER).replace(written, written + 'tyre = "1e7 N/m", tyre_damping = "1e5 N s/m", ')
    )
    at = {"3W1.slew": math.pi / 2, "3W1.boom": boom, "3W1.stick": fold - boom, "1W1.heave": -8e-4}
    session = Session(replace(made, start={**made.start, **at}), settle=False)
    for k in range(40):
        session.set_control("3W1.load", share * least * (k + 1) / 40)
        session.advance(0.1)
    session.advance(4.0)
    print(f"tips from {least:.0f} kg; roll {math.degrees(session.readings.value('1W1', 'roll')):.1f} deg")
    tyres = [session.readings.value("1W1", f"tyre_{k}") for k in (1, 2)]
    assert (tyres[1] == 0.0) is tips


@pytest.mark.soak
def test_random_hands_in_contact_never_fail_the_solver() -> None:
    """Half a minute of hands that lower, press, drag, swing and grip: no call fails or is rough, energy to 0.5 %.

    Full levers at random sink an arm for good; every fourth stretch the boom lifts by itself.
    """
    from .hands_on_the_ground import work

    session = loader(0.0)
    seen = work(session, 30.0, seed=3)
    assert session.rough_calls == 0
    assert seen.identity < 1e-9
    assert seen.window < 5e-3
    assert 0.2 < seen.on_ground < 0.9
    assert seen.gripped >= 1
