"""What hangs from the crane, by hand: taut, slack, on the ground, dragged, on a bunk; logs taken and let go."""

from __future__ import annotations

import math
from typing import Any

import casadi as ca
import numpy as np
import pytest
from battery import Subject, evaluate

from trainer.errors import RigError
from trainer.parts import logs
from trainer.parts.arm import BELLY
from trainer.parts.crane import Crane
from trainer.parts.hanging import FOLDED, FRICTION, SOIL, rub
from trainer.parts.model import PartModel
from trainer.parts.part import Control, Latched, Parameter, State
from trainer.parts.yard import LOGS
from trainer.rig.file import loads
from trainer.units import GRAVITY

MODEL = PartModel(Crane)
POSE = {"boom": math.radians(25.0), "stick": math.radians(-80.0)}
GRAPPLE, SHEAR = 115.0, 4e5  # kg, N/m


def numbers(**own: float) -> dict[str, float]:
    """Return all own numbers of a crane at a pose, with those that follow."""
    declared = {name: one.start for kind in (State, Control, Parameter, Latched)
                for name, one in Crane.declared(kind).items()}  # fmt: skip
    values = {**declared, "heave": 0.0, "roll": 0.0, **POSE, **own}
    return values | {name: value for name, value in Crane.begin(values).items() if name not in own}


def answer(**own: float) -> dict[str, dict[str, float]]:
    """Return what a crane answers at a pose with what follows from it."""
    given: dict[str, Any] = {name: value for name, value in numbers(**own).items() if name not in ("heave", "roll")}
    return evaluate(Crane, model=MODEL, **given)


def lowered(mass: float = GRAPPLE, ground: float = 0.0, deep: float = 0.0) -> float:
    """Return how high the middle of open tongs is that stand on the ground with a mass [kg]."""
    return ground + BELLY[0] - mass * GRAVITY / SOIL[0] - deep


# -- the tie ------------------------------------------------------------------------------------------------------


def test_what_is_set_down_is_carried_by_the_ground_and_the_arm_carries_itself_alone() -> None:
    """25 deg, -80 deg: the tip 1.62 m up, the links 1.35 m long, the tongs 0.35 m high: 8 cm of slack."""
    for load in (0.0, 500.0):
        found = answer(load=load)
        assert found["value"]["tension"] == 0.0
        assert found["value"]["contact"] == pytest.approx((GRAPPLE + load) * GRAVITY, rel=1e-9)
        for axis in ("ahead", "left", "up"):
            assert found["rate"][f"hung_{axis}_rate"] == pytest.approx(0.0, abs=1e-9)
        arm = found["rate"]["boom_rate"], found["rate"]["stick_rate"], found["rate"]["slew_rate"]
        assert arm == pytest.approx((answer()["rate"]["boom_rate"], answer()["rate"]["stick_rate"], 0.0), abs=1e-9)


def test_a_chain_pulls_beyond_its_length_pushes_when_folded_and_does_nothing_between() -> None:
    tip = numbers()["hung_ahead"], 2.2 + 2.6 * math.sin(POSE["boom"]) + 2.05 * math.sin(POSE["boom"] + POSE["stick"])
    length = 1.35
    for far, pulls in ((length + 1e-3, 1), (length - 1e-3, 0), (0.9, 0), (length * FOLDED - 1e-3, -1)):
        found = answer(hung_ahead=tip[0] + far, hung_up=tip[1])
        assert found["value"]["tension"] == pytest.approx(5e6 * 1e-3 if pulls > 0 else 0.0, rel=1e-3)
        assert np.sign(-found["rate"]["hung_ahead_rate"]) == pulls


# -- the ground ---------------------------------------------------------------------------------------------------


def test_on_a_slope_the_grounds_shear_holds() -> None:
    """5 deg: the shear is m g sin / k_f = 0.246 mm with the grapple's 115 kg, and nothing moves."""
    slope = math.radians(5.0)
    weight = GRAPPLE * GRAVITY
    high = BELLY[0] - weight * math.cos(slope) / SOIL[0]
    felt = weight * math.cos(slope) / (weight * math.cos(slope) + 5.0)
    found = answer(slope=slope, hung_up=high, shear_ahead=weight * math.sin(slope) / SHEAR / felt)
    assert found["value"]["contact"] == pytest.approx(weight * math.cos(slope), rel=1e-9)
    assert found["rate"]["hung_ahead_rate"] == pytest.approx(0.0, abs=1e-9)
    assert found["rate"]["shear_ahead"] == pytest.approx(0.0, abs=1e-12)


def test_dragged_it_is_held_back_by_friction_times_its_weight_and_that_is_its_heat() -> None:
    """Sliding at 0.2 m/s, once the shear stands still: mu m g within 2 %, and as much heat."""
    load, speed = 3000.0, ca.DM([0.2, 0.0])
    symbol = ca.SX.sym("s", 2)
    law = rub(symbol, speed, load)
    rate = ca.Function("rate", [symbol], [law.rate, law.force, law.heat])
    shear = ca.DM([0.0, 0.0])
    for _ in range(4000):
        shear = shear + rate(shear)[0] * 1e-4
    _, force, heat = rate(shear)
    assert float(rate(shear)[0][0]) == pytest.approx(0.0, abs=1e-4)
    assert -float(force[0]) == pytest.approx(FRICTION * load, rel=0.02)
    assert float(heat) == pytest.approx(-float(force[0]) * 0.2, rel=1e-3)


def test_in_the_air_the_shear_is_not_felt_and_dies() -> None:
    law = rub(ca.DM([1e-3, 0.0]), ca.DM([0.3, 0.0]), 0.0)
    assert float(law.force[0]) == 0.0
    assert float(law.rate[0]) == pytest.approx(-1e-3 / 0.01, rel=0.01)


def test_a_bunk_carries_at_its_height_and_its_side_pushes_aside() -> None:
    """0.4 m high: what stands on it is 0.4 m higher; half-way up its side it is pushed off."""
    bunk = {"bunk_height": 0.4, "bunk_ahead": numbers()["hung_ahead"]}
    found = answer(**bunk, hung_up=lowered(ground=0.4))
    assert found["value"]["contact"] == pytest.approx(GRAPPLE * GRAVITY, rel=1e-9)
    assert found["value"]["load_height"] == pytest.approx(-GRAPPLE * GRAVITY / SOIL[0], abs=1e-9)
    edge = bunk["bunk_ahead"] + 0.5 - 0.075
    found = answer(**bunk, hung_ahead=edge, hung_up=lowered(ground=0.2, deep=0.01))
    assert found["rate"]["hung_ahead_rate"] > 0


def test_the_sticks_end_stands_on_the_ground() -> None:
    """The tip 5 mm deeper than its 6 cm: 1e4 N at 2e6 N/m, which turn the stick up."""
    pose = {"boom": math.radians(-21.0), "stick": 0.0}
    pivot = 0.055 - (2.6 + 2.05) * math.sin(pose["boom"])
    above = answer(**pose, pivot=pivot + 0.1)
    found = answer(**pose, pivot=pivot)
    assert above["value"]["tip_contact"] == 0.0
    assert found["value"]["tip_contact"] == pytest.approx(2e6 * 0.005, rel=1e-6)
    assert found["rate"]["stick_rate"] > above["rate"]["stick_rate"] + 100.0


def test_power_is_kept_where_things_just_touch() -> None:
    """At the ground, at the links' length, on the sides of a bunk, logs held and lying: to 1e-9 of the throughput."""
    subject, random = Subject(Crane), np.random.default_rng(5)
    z = subject.samples(random, 300)
    row = {name: subject.row["x", name] for name in MODEL.states}
    q = {name: subject.row["q", name] for name in MODEL.numbers}
    for k in range(z.shape[1]):
        own = {name: float(random.uniform(-1, 1)) for name in ("boom", "stick", "slew")}
        values = numbers(**own, link=1.35, pivot=2.2, bunk_height=0.8, bunk_ahead=3.0, log1_mass=200.0,
                         log2_mass=100.0)  # fmt: skip
        values |= {"log1": float(random.choice([1, 2])), "log1_x": 0.1, "log1_y": 0.0, "log1_z": -0.12}
        for name, at in (row | q).items():
            if not name.endswith("_rate") and name in values:
                z[at, k] = values[name]
        for name in ("hung_ahead", "hung_left"):
            z[row[name], k] += random.choice([0, 1]) * random.normal()
        z[row["hung_up"], k] = random.choice([values["hung_up"], 0.35, 1.15, 0.8]) + 1e-3 * random.normal()
        for node in ("heave", "roll"):
            z[subject.row["speed", node], k] = 0.1 * random.normal()
            z[subject.row["place", node], k] = 0.01 * random.normal()
        for name in MODEL.states:
            if name.endswith("_rate"):
                z[row[name], k] = 0.3 * random.normal()
    work, swept, supply, heat, gain = subject.columns(subject.power, z)
    throughput = sum(np.abs(term).sum(0) for term in (work, swept, supply, heat, gain))
    residual = work.sum(0) + swept.sum(0) + supply.sum(0) - heat.sum(0) - gain.sum(0)
    assert (np.abs(residual) / throughput).max() < 1e-9
    assert (heat / throughput).min() > -1e-9


# -- logs between calls -------------------------------------------------------------------------------------------


def yard(**own: float) -> dict[str, float]:
    """Return a crane whose open tongs stand over the first log, 200 kg, with what a call reads."""
    values = numbers(**{"log1_mass": 200.0, **own})
    values |= {"log1_x": values["hung_ahead"] + 0.05, "log1_y": values["hung_left"], "hung_up": lowered()}
    reads = {"grip": 0.0, "pulled_out": 0.0, "log_contact": 0.0, "call.length": 1 / 60}
    return values | {name: value for name, value in reads.items() if name not in own} | own


def after(values: dict[str, float], **own: float) -> dict[str, float]:
    """Return the numbers after what switches."""
    values = values | own
    return values | logs.latch(values)


RADIUS = math.sqrt(200.0 / (math.pi * 800.0 * 2.5))


def test_tongs_meet_a_log_that_lies_between_them_and_hold_it_where_it_is() -> None:
    """They meet it where they are as wide as it is thick; 3 kN of grip hold it, and momentum is shared."""
    armed = after(yard())
    assert armed["meets"] == pytest.approx(1 - 2 * RADIUS / 0.75, abs=1e-4)
    assert after(yard(), tongs=0.25)["meets"] == 1.0, "closed tongs do not meet it"
    loose = after(armed, grip=2900.0)
    assert loose["log1"] == 1.0
    held = after(armed, grip=3100.0, hung_left_rate=0.4)
    assert held["log1"] == 2.0
    assert held["log1_x"] == pytest.approx(0.05)
    assert held["log1_z"] == pytest.approx(armed["log1_z"] - armed["hung_up"])
    assert held["hung_left_rate"] == pytest.approx(0.4 * GRAPPLE / (GRAPPLE + 200.0))


def test_a_log_is_let_go_without_grip_and_when_it_is_pulled_out() -> None:
    held = after(after(yard()), grip=3100.0)
    assert after(held, grip=60.0)["log1"] == 2.0
    dropped = after(held, grip=40.0, hung_up=2.0, hung_left_rate=0.3)
    assert dropped["log1"] == 3.0
    assert dropped["loose_z"] == pytest.approx(2.0 + held["log1_z"])
    assert dropped["loose_y_rate"] == 0.3
    pulled = held | {"grip": 3000.0, "pulled_out": FRICTION * 3000.0 + 1.0, "log_contact": 0.0}
    calls = 0
    while pulled["log1"] == 2.0:
        pulled = after(pulled)
        calls += 1
    assert calls == 7  # a tenth of a second, and not at once
    carried = after(held, grip=3000.0, pulled_out=2000.0, log_contact=1000.0)
    assert carried["slipping"] == 0.0, "what the ground carries is not pulled out"


def test_a_loose_log_falls_as_bodies_fall_and_comes_to_lie() -> None:
    """1 m: 0.45 s (2 s / g), then it lies where it fell with its weight on the ground."""
    held = after(after(yard()), grip=3100.0)
    loose = after(held, grip=0.0, hung_up=1.0 + RADIUS - held["log1_z"])
    assert loose["loose_z"] == pytest.approx(1.0 + RADIUS, abs=1e-9)
    time = 0.0
    while loose["loose_z"] > RADIUS:
        loose = after(loose)
        time += 1 / 60
    assert time == pytest.approx(math.sqrt(2 / GRAVITY), abs=1.5 / 60)
    for _ in range(60):
        loose = after(loose)
    assert loose["log1"] == 1.0
    assert loose["log1_z"] == pytest.approx(RADIUS - 200 * GRAVITY / SOIL[0], abs=5e-4)


def test_logs_lie_on_logs_and_fall_when_what_carried_them_is_taken() -> None:
    """The second, as thick as the first, lies two radii higher; taken away, the first lets it fall."""
    one = {"log1_mass": 200.0, "log1_ahead": 3.0, "log1_left": 0.0}
    two = {"log2_mass": 200.0, "log2_ahead": 3.0, "log2_left": 0.0}
    values = yard(**one, **two)
    low, high = (numbers(**one, **two)[f"{log}_z"] for log in LOGS[:2])
    assert high - low == pytest.approx(2 * RADIUS, rel=0.02)
    values |= {"log1_x": 3.0, "log1_z": low, "log2_x": 3.0, "log2_z": high}
    away = {"hung_ahead": 3.0, "hung_up": 0.3, "meets": after(values | {"hung_ahead": 3.0, "hung_up": 0.3})["meets"]}
    taken = after(values | away, grip=5000.0)
    assert sorted(taken[log] for log in LOGS[:2]) == [2.0, 3.0]


def test_closed_tongs_come_down_on_a_log_and_open_ones_go_round_it() -> None:
    """Its top carries what is closed, and what is hooked on; open tongs stand on the ground on both its sides."""
    for own, carries in (({"tongs": 0.3}, 1.0), ({"load": 250.0}, 1.0), ({}, 0.0)):
        above = yard(**own)
        above |= {"hung_up": 1.0, "log1_x": above["hung_ahead"]}
        found = after(above)
        assert found["top"] == carries
        deep = 115.0 * GRAVITY / SOIL[0] if not own.get("load") else 365.0 * GRAVITY / SOIL[0]
        belly = BELLY[0] - BELLY[1] * own.get("tongs", 0.0) / 0.3
        high = found["log1_z"] + RADIUS + belly - deep
        there = {name: one for name, one in found.items() if name in {**MODEL.numbers, **MODEL.controls}}
        there |= {"tongs": own.get("tongs", 0.0), "hung_ahead": above["hung_ahead"], "hung_left": 0.0}
        stands = answer(**there, hung_up=high)
        carried = (GRAPPLE + own.get("load", 0.0)) * GRAVITY if carries else 0.0
        assert stands["value"]["contact"] == pytest.approx(carried, rel=5e-3)
    inside = yard(tongs=0.3)
    assert after(inside)["top"] == 0.0, "what is inside already is not thrown out"


@pytest.mark.parametrize(
    ("more", "words"),
    [
        (
            'bunk_height = "50 cm", pile_height = "50 cm", bunk_ahead = "2 m", bunk_left = "3 m"',
            "less than 0.3 m apart",
        ),
        ('pile_height = "50 cm", pile_ahead = "0 m", pile_left = "0.2 m"', "the pile stands where the column is"),
        ('log2_mass = "1500 kg"', "log2 is 0.98 m thick, and the tongs open 0.75 m"),
    ],
)
def test_what_cannot_be_in_a_yard_is_told(more: str, words: str) -> None:
    text = f'format = 1\ntitle = "yard"\n[parts]\n3W1 = {{ is = "Crane", {more} }}\n[lines]\n'
    text += 'slew = ["3W1.slew"]\nboom = ["3W1.boom"]\nstick = ["3W1.stick"]\n'
    with pytest.raises(RigError, match=words):
        loads(text)


def test_a_start_from_before_says_from_what_the_load_follows_now() -> None:
    text = 'format = 1\ntitle = "yard"\n[parts]\n3W1 = { is = "Crane" }\n[lines]\nslew = ["3W1.slew"]\n'
    text += 'boom = ["3W1.boom"]\nstick = ["3W1.stick"]\n[start]\n3W1.sway = "5 deg"\n'
    with pytest.raises(RigError, match="it follows from slew, boom and stick: the load hangs under the tip now"):
        loads(text)
