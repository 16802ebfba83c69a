"""Engine, electric and hydraulic motor, gear, cooler; crane, grapple and trailer: points to check by hand."""

from __future__ import annotations

import ast
import math
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from battery import evaluate

from trainer.parts import CATALOGUE
from trainer.parts.arm import BOOM_CLOSED, STICK_CLOSED
from trainer.parts.conduits import Cooler
from trainer.parts.crane import Crane
from trainer.parts.drives import DieselEngine, HydraulicMotor, InductionMotor, ReductionGear
from trainer.parts.grapple import Grapple
from trainer.parts.ground import Trailer
from trainer.parts.model import PartModel
from trainer.parts.part import Control, Latched, Parameter, State
from trainer.units import GRAVITY

TURN = 2 * math.pi
LITRE_MINUTE = 1e-3 / 60


def rpm(number: float) -> float:
    """Return a speed [rad/s] from r/min."""
    return number * TURN / 60


def test_every_part_of_the_catalogue_has_a_test_of_its_characteristic() -> None:
    """What the family tests import beside the battery: the names of all parts stand there."""
    files = [
        file
        for file in Path(__file__).parent.glob("test_*.py")
        if file.stem not in ("test_battery", "test_mutations")
    ]
    nodes = [node for file in files for node in ast.walk(ast.parse(file.read_text("utf-8")))]
    tested = {alias.name for node in nodes if isinstance(node, ast.ImportFrom) for alias in node.names}
    assert set(CATALOGUE) <= tested


def engine(speed: float, asked: float, **own: Any) -> dict[str, dict[str, float]]:
    """Return an engine's answer, speeds in r/min."""
    return evaluate(DieselEngine, speed={"shaft": rpm(speed)}, speed_asked=rpm(asked), started=1.0, **own)


@pytest.mark.parametrize(("speed", "torque"), [(1700, 85.0), (2600, 67.9), (2200, 79.7)])
def test_torque_curve_of_the_diesel(speed: float, torque: float) -> None:
    """18.5 kW at 2600 r/min, 85 N m at 1700: a torque backup of 25 % (engine makers' definition: peak over rated)."""
    found = engine(speed, 2600)
    assert found["rate"]["torque"] * 0.12 == pytest.approx(torque, abs=0.15)
    if speed == 2600:
        assert torque * rpm(speed) == pytest.approx(18.5e3, rel=0.005)


def test_governor_of_the_diesel() -> None:
    """8 % droop: from 2600 r/min at full load to 2600 + 208 (and 10 for its spring) at none."""
    assert engine(2600 + 208 + 10, 2600)["rate"]["torque"] == 0.0
    half = engine(2600 + 104 + 5, 2600)["rate"]["torque"]
    assert 0.0 < half < engine(2600, 2600)["rate"]["torque"]
    dragged = engine(2600, 2600)["into"]["shaft"]  # motoring takes 12 to 18 % of the rated 67.9 N m (from memory)
    assert 0.12 * 67.9 < dragged < 0.18 * 67.9
    assert engine(2600, 2600, torque=30.0)["into"]["shaft"] == pytest.approx(dragged - 30, rel=1e-9)
    assert engine(1700, 0)["rate"]["torque"] == 0.0


def test_diesel_stalls_and_is_started_again() -> None:
    latch = DieselEngine.latch
    numbers = {"speed_asked": rpm(2000), "stall_speed": rpm(500), "stalled": 0.0, "started": 1.0}
    assert latch({**numbers, "shaft": rpm(450)}) == {"stalled": 0.0, "started": 1.0}
    assert latch({**numbers, "shaft": rpm(390)}) == {"stalled": 1.0, "started": 0.0}
    dead = evaluate(DieselEngine, speed={"shaft": rpm(390)}, speed_asked=rpm(2000), stalled=1.0)
    assert dead["rate"]["torque"] == 0.0
    assert dead["into"]["shaft"] > 0.0  # only its friction is left
    assert latch({**numbers, "stalled": 1.0, "speed_asked": 0.0, "shaft": 0.0}) == {"stalled": 0.0, "started": 0.0}
    begins = evaluate(DieselEngine, speed_asked=rpm(900))
    assert begins["into"]["shaft"] == pytest.approx(-70.0, abs=2.5)  # the starter


@pytest.mark.parametrize(("slip", "torque"), [(0.04, 26.53), (0.1917, 66.3), (1.0, 0.924 * 26.53), (0.0, 0.0)])
def test_induction_motor_after_kloss(slip: float, torque: float) -> None:
    """Kloss' formula: 4 kW, four poles, 1440 r/min: 26.5 N m, breakdown 2.5 times that at 19.2 % slip."""
    found = evaluate(InductionMotor, speed={"shaft": rpm(1500) * (1 - slip)}, rated_torque=26.53, friction=0.0)
    assert -found["into"]["shaft"] == pytest.approx(torque, rel=2e-3, abs=1e-9)
    assert evaluate(InductionMotor, switched=0.0, friction=0.0)["into"]["shaft"] == 0.0


def test_hydraulic_motor_of_a_worked_example() -> None:
    """Esposito, example 7.6: 164 cm3, 70 bar, 2000 r/min: in theory 182.7 N m and 5.47 L/s."""
    losses = ("leakage", "viscous_drag", "pressure_drag", "starting_drag", "breakaway")
    ideal: dict[str, Any] = dict.fromkeys(losses, 0.0)
    found = evaluate(HydraulicMotor, p={"A": 70e5}, speed={"shaft": rpm(2000)}, displacement="164 cm3/rev", **ideal)
    assert -found["into"]["shaft"] == pytest.approx(182.7, abs=0.1)
    assert -found["into"]["B"] == pytest.approx(5.47e-3, rel=6e-3)
    back = evaluate(HydraulicMotor, p={"B": 70e5}, displacement="164 cm3/rev", **ideal)
    assert back["into"]["shaft"] == pytest.approx(182.7, abs=0.1)


def test_hydraulic_motor_starts_weaker_than_it_runs() -> None:
    """Starting torque 80 % of theory (orbital motors, 75 to 80 %), 90 % when it runs."""
    shares = []
    for speed in (0.5, 20.0):
        found = evaluate(HydraulicMotor, p={"A": 100e5}, speed={"shaft": speed}, viscous_drag=0.0, breakaway=0.0)
        shares.append(-found["into"]["shaft"] / (315e-6 / TURN * 100e5))
    assert shares[0] == pytest.approx(0.80, abs=0.03)
    assert shares[1] == pytest.approx(0.90, abs=0.002)
    leak = evaluate(HydraulicMotor, p={"A": 100e5})["stream"]
    assert leak["A_to_case"] == leak["across"] == pytest.approx(1.5e-9 * 315e-6 / TURN * 100e5 / 0.035)


@pytest.mark.parametrize(
    ("kind", "turns", "bar", "volumetric", "mechanical"),
    [("low-speed", 200, 140, 0.946, 0.894), ("gear", 1500, 175, 0.952, 0.92)],
)
def test_efficiencies_of_good_motors(
    kind: str, turns: float, bar: float, volumetric: float, mechanical: float
) -> None:
    """At rated speed and pressure, 35 mPa s; what good ones have, from memory of makers' catalogues.

    Orbit motors 0.92 … 0.96 and 0.85 … 0.90, gear motors 0.93 … 0.96 and 0.88 … 0.93; ESP Ex 7-3 and 7-6 reckon with
    0.91 and 0.93 … 0.94 for motors at 2000 r/min.
    """
    size = {"low-speed": 315e-6, "gear": 16e-6}[kind] / TURN
    w = turns * TURN / 60
    found = evaluate(HydraulicMotor, {"kind": kind}, p={"A": bar * 1e5}, speed={"shaft": w})
    leak = found["stream"]["across"] + found["stream"]["A_to_case"]
    assert size * w / (size * w + leak) == pytest.approx(volumetric, abs=5e-3)
    assert -found["into"]["shaft"] / (size * bar * 1e5) == pytest.approx(mechanical, abs=1e-2)
    assert found["value"]["case_flow"] < 0.03 * size * w


def test_a_slewing_motor_keeps_its_oil() -> None:
    """At 33 r/min and 70 bar, as a small loader slews, less than a tenth goes to the case."""
    found = evaluate(HydraulicMotor, p={"A": 70e5}, speed={"shaft": 33 * TURN / 60})
    assert found["value"]["case_flow"] < 0.1 * 315e-6 * 33 / 60


def test_gear_multiplies_torque() -> None:
    found = evaluate(ReductionGear, speed={"1": 12.0, "2": 1.0}, wound=1e-3, mesh=0.0)
    assert found["into"]["2"] == pytest.approx(-200.0)
    assert found["into"]["1"] == pytest.approx(200.0 / 12)
    assert found["rate"]["wound"] == pytest.approx(0.0)
    assert evaluate(ReductionGear, speed={"2": 2.0}, damping=0.01)["heat"]["mesh"] == pytest.approx(20.0, rel=0.01)


def test_cooler() -> None:
    """60 W/K at rated flow: oil 25 K above the air gives off 1.5 kW; 0.4 bar of drop, next to nothing at rest."""
    found = evaluate(Cooler, p={"1": 0.4e5})["value"]
    assert found["flow"] / LITRE_MINUTE == pytest.approx(40, rel=1e-3)
    assert found["heat_to_air"] == pytest.approx(1500, rel=1e-3)
    assert evaluate(Cooler)["value"]["heat_to_air"] < 15


def crane(boom: float, stick: float, **own: Any) -> dict[str, dict[str, float]]:
    """Return the crane's answer at angles [deg]; forces by ``boom_force`` and ``stick_force`` [N]."""
    given = {"boom": own.pop("boom_force", 0.0), "stick": own.pop("stick_force", 0.0)}
    inertia = {"boom": own.pop("held", 0.0), "stick": own.pop("held_too", 0.0)}
    own |= {"boom": math.radians(boom), "stick": math.radians(stick)}
    own |= hanging(own)
    return evaluate(Crane, given=given, inertia=inertia, **own)


def hanging(own: dict[str, Any]) -> dict[str, float]:
    """Return the states of a crane that follow from its angles: what hangs, at rest under the tip."""
    declared = {
        **Crane.declared(State),
        **Crane.declared(Control),
        **Crane.declared(Parameter),
        **Crane.declared(Latched),
    }
    values = {name: one.start for name, one in declared.items()} | {"heave": 0.0, "roll": 0.0} | own
    return {name: value for name, value in Crane.begin(values).items() if name not in own}


@pytest.mark.parametrize(
    ("angle", "length", "arm"),
    [(-10, 0.8830, 0.3238), (0, 0.9420, 0.3497), (20, 1.0674, 0.3609), (45, 1.2178, 0.3198), (74, 1.3570, 0.2237)],
)
def test_boom_cylinder_geometry(angle: float, length: float, arm: float) -> None:
    """Pin distance and moment arm by the law of cosines from the pins (base 0.18/-1.08, boom 0.33/-0.15 m)."""
    th = math.radians(angle)
    x, y = 0.33 * math.cos(th) + 0.15 * math.sin(th) - 0.18, 0.33 * math.sin(th) - 0.15 * math.cos(th) + 1.08
    found = crane(angle, -60.0)
    assert place_of(found, "boom", angle, -60.0) + BOOM_CLOSED == pytest.approx(math.hypot(x, y), abs=1e-9)
    assert math.hypot(x, y) == pytest.approx(length, abs=6e-5)
    assert found["value"]["boom_arm"] == pytest.approx(arm, abs=6e-5)


@pytest.mark.parametrize(
    ("angle", "length", "arm"), [(-20.0, 1.0573, -0.1720), (-60.0, 1.2255, -0.2819), (-120.0, 1.4930, -0.1904)]
)
def test_stick_cylinder_geometry(angle: float, length: float, arm: float) -> None:
    found = crane(20.0, angle)
    assert place_of(found, "stick", 20.0, angle) + STICK_CLOSED == pytest.approx(length, abs=6e-5)
    assert found["value"]["stick_arm"] == pytest.approx(arm, abs=6e-5)


def place_of(found: dict[str, dict[str, float]], port: str, boom: float, stick: float) -> float:
    """Return the place of one of the crane's rods [m]."""
    model = PartModel(Crane)
    states = [
        {"boom": math.radians(boom), "stick": math.radians(stick)}.get(name, state.start)
        for name, state in model.states.items()
    ]
    carries: Callable[..., tuple[object, object]] = model.across
    places, _ = carries(states, [number.start for number in model.numbers.values()])
    assert found["value"]["reach"] > 0
    return float(np.asarray(places).ravel()[model.carried.index(port)])


@pytest.mark.parametrize(
    ("boom", "stick", "boom_force", "stick_force", "reach"),
    [
        (20, -20, 57.7, 46.9, 4.49),
        (20, -60, 52.5, 22.0, 4.01),
        (45, -60, 54.3, 27.7, 3.82),
        (60, -120, 39.2, 21.3, 2.33),
    ],
)
def test_forces_that_hold_the_crane(
    boom: float, stick: float, boom_force: float, stick_force: float, reach: float
) -> None:
    """Statics of boom and stick with 250 kg at the tip [kN, m]: moments about the two pins, worked out apart."""

    def falling(*forces: float) -> np.ndarray:
        found = crane(boom, stick, boom_force=forces[0], stick_force=forces[1], load=250.0, held=0.0)["rate"]
        return np.array([found["boom_rate"], found["stick_rate"]])

    free = falling(0.0, 0.0)
    slopes = np.column_stack([falling(1e3, 0.0) - free, falling(0.0, 1e3) - free])
    holding = np.linalg.solve(slopes, -free)  # accelerations are linear in the forces
    assert holding[0] == pytest.approx(boom_force, abs=0.15)
    assert holding[1] == pytest.approx(-stick_force, abs=0.15)  # the stick hangs on the rod side
    assert crane(boom, stick)["value"]["reach"] == pytest.approx(reach, abs=6e-3)


def test_the_load_swings_as_a_pendulum() -> None:
    """Point mass on 1.35 m, which 365 kg stretch by 0.7 mm at 5e6 N/m: 2.331 s, boom and stick held."""
    link, stretch, sway = 1.35, 365.0 * GRAVITY / 5e6, 1e-4
    hung = hanging({"boom": math.radians(45.0), "stick": math.radians(-60.0), "load": 250.0})
    tip = hung["hung_ahead"], hung["hung_up"] + link + stretch
    swung = {
        "hung_ahead": tip[0] + (link + stretch) * math.sin(sway),
        "hung_up": tip[1] - (link + stretch) * math.cos(sway),
    }
    found = crane(45.0, -60.0, load=250.0, damping=0.0, held=1e13, held_too=1e13, **swung)
    assert found["value"]["sway_out"] == pytest.approx(sway, rel=1e-6)
    assert found["value"]["tension"] == pytest.approx(365.0 * GRAVITY, rel=1e-5)
    omega2 = -found["rate"]["hung_ahead_rate"] / (link + stretch) / sway
    assert omega2 == pytest.approx(GRAVITY / (link + stretch), rel=1e-4)
    assert TURN / math.sqrt(omega2) == pytest.approx(2.331, abs=1e-3)


def test_slew_holds_on_its_bristle_and_ends_at_its_stop() -> None:
    found = crane(20.0, -60.0, bend=1.5e-4)
    assert found["rate"]["bend"] == 0.0
    assert found["rate"]["slew_rate"] < 0.0
    assert crane(20.0, -60.0, slew=math.radians(106))["rate"]["slew_rate"] < -0.1
    assert crane(20.0, -60.0)["rate"]["slew_rate"] == pytest.approx(0.0, abs=1e-12)


def test_grapple_closes_freely_until_it_meets_the_log() -> None:
    """60 % of 300 mm: nothing before 180 mm, 20 kN one millimetre later; 40 kg under a force before."""
    assert evaluate(Grapple, x=0.179)["value"]["force"] == 0.0
    assert evaluate(Grapple, x=0.181)["value"]["force"] == pytest.approx(20e3)
    assert evaluate(Grapple, given={"rod": 400.0}, x=0.1)["rate"]["v"] == pytest.approx(10.0)
    assert evaluate(Grapple, given={"rod": 20e3}, x=0.181)["rate"]["v"] == pytest.approx(0.0, abs=1e-6)


@pytest.mark.parametrize("damping", [2.0, 50.0])
def test_opening_tongs_are_not_held_by_the_log(damping: float) -> None:
    """Leaving the log at 3 m/s, 40 kg are slowed by the pins' 600 N s/m alone at most."""
    found = evaluate(Grapple, x=0.181, v=-3.0, damping=damping)
    assert found["rate"]["v"] <= 600 * 3.0 / 40 + 1e-9


def test_trailer_falls_stands_on_its_tyres_and_is_lifted_by_its_legs() -> None:
    """1700 kg and two feet of 15 kg: free fall; 28.3 mm of two tyres of 3e5 N/m; 2.12 mm under two feet."""
    assert evaluate(Trailer, heave=0.5)["rate"]["heave_rate"] == pytest.approx(-GRAVITY, rel=1e-6)
    weight = 1730 * GRAVITY
    hanging = {"leg1": -15 * GRAVITY, "leg2": -15 * GRAVITY}  # the legs hold their feet up
    standing = evaluate(Trailer, given=hanging, heave=-weight / 6e5)
    assert standing["rate"]["heave_rate"] == pytest.approx(0.0, abs=1e-9)
    assert standing["rate"]["roll_rate"] == pytest.approx(0.0, abs=1e-9)
    assert standing["value"]["load_1"] == 0.0
    deep = 1700 * GRAVITY / 2 / 4e6
    feet: dict[str, Any] = {f"x{i}": 0.1 + 0.25 + deep + 15 * GRAVITY / 4e6 for i in (1, 2)}
    legs = {"leg1": 1700 * GRAVITY / 2, "leg2": 1700 * GRAVITY / 2}
    lifted = evaluate(Trailer, given=legs, heave=0.1, **feet)
    assert lifted["rate"]["heave_rate"] == pytest.approx(0.0, abs=1e-6)
    assert lifted["rate"]["v1"] == pytest.approx(0.0, abs=1e-6)
    assert lifted["value"]["load_1"] + lifted["value"]["load_2"] == pytest.approx(weight, rel=1e-9)


@pytest.mark.parametrize("settling", [2.0, 20.0])
def test_a_foot_never_sticks_to_the_ground(settling: float) -> None:
    for speed in (0.01, 0.3, 2.0):
        found = evaluate(Trailer, heave=0.1, x1=0.351, x2=0.351, heave_rate=speed, settling=settling)["value"]
        assert found["load_1"] >= 0.0, f"pulls at {speed} m/s"
