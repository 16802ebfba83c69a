"""Double pump, hand pump and the parts of a hydrostatic loop, by points that a mechanic can check with a pencil."""

from __future__ import annotations

import math
from typing import Any

import pytest
from battery import evaluate

from trainer.engine.session import Session
from trainer.parts.loop import FlushingValve, HydrostaticPump
from trainer.parts.pumps import DoublePump, HandPump
from trainer.rig import file as rig_file

BAR, LITRE_MINUTE, TURN = 1e5, 1e-3 / 60, 2 * math.pi
IDEAL: dict[str, Any] = {"viscous_drag": 0.0, "pressure_drag": 0.0, "breakaway": 0.0}
TURNING = {"shaft": 1500 * TURN / 60}


def test_halves_of_a_double_pump_add_their_flows_and_their_torques() -> None:
    """16 and 6 cm3 at 1500 r/min: 24 and 9 L/min; 100 and 50 bar: (160 + 30) / 62.8 * 10 = 30.2 N m (by hand)."""
    found = evaluate(
        DoublePump, p={"P1": 100 * BAR, "P2": 50 * BAR}, speed=TURNING, displacement="16 cm3/rev", second="6 cm3/rev",
        slip=0.0, second_slip=0.0, **IDEAL,
    )  # fmt: skip
    assert -found["into"]["P1"] / LITRE_MINUTE == pytest.approx(24.0, rel=1e-3)
    assert -found["into"]["P2"] / LITRE_MINUTE == pytest.approx(9.0, rel=1e-3)
    assert found["into"]["shaft"] == pytest.approx(1900 / 62.83, rel=1e-3)


def test_each_half_wears_by_itself() -> None:
    """Slip of 16 cm3 at 100 bar and 35 mPa s after Wilson: 1.5e-8 * 16e-6 / 2 pi * 1e7 / 0.035 = 0.65 L/min; x 4."""
    p = {"P1": 100 * BAR, "P2": 100 * BAR}
    new, worn = (evaluate(DoublePump, p=p, speed=TURNING, slip=slip)["stream"] for slip in (1.5e-8, 6e-8))
    assert new["slip_1"] / LITRE_MINUTE == pytest.approx(0.655, abs=2e-3)
    assert worn["slip_1"] == pytest.approx(4 * new["slip_1"])
    assert worn["slip_2"] == new["slip_2"]
    assert evaluate(DoublePump, p={"P1": 100 * BAR}, seal=1e-12)["stream"]["between"] == pytest.approx(1e-5)


def test_lever_of_a_hand_pump_makes_a_small_force_a_high_pressure() -> None:
    """300 N by 1 : 14 on a plunger of 22 mm: 4200 N / 380 mm2 = 110.5 bar (law of the lever, force over area)."""
    found = evaluate(HandPump, plunger="22 mm", lever_ratio=14.0, strength="300 N", plunged="20 mm", pace="40 r/min")
    assert found["value"]["pushes"] == pytest.approx(4200.0, rel=0.05)  # it pushes with nearly all from a standstill
    assert found["value"]["asked"] == pytest.approx(4200 / (math.pi / 4 * 22e-3**2), rel=1e-6)
    assert found["value"]["asked"] / BAR == pytest.approx(110.5, abs=0.1)
    assert HandPump.latch({"plunged": 0.0395, "stroke": 0.04, "way": 1.0}) == {"way": -1.0}
    assert HandPump.latch({"plunged": 0.0005, "stroke": 0.04, "way": -1.0}) == {"way": 1.0}
    assert HandPump.latch({"plunged": 0.02, "stroke": 0.04, "way": -1.0}) == {"way": -1.0}


HAND = """
format = 1
title = "A hand pump against a relief"
[oil]
warms = false
[parts]
0Z1 = {{ is = "Reservoir" }}
0P1 = {{ is = "HandPump"{more} }}
0V1 = {{ is = "ReliefValve", setting = "{setting}", rated_flow = "2 L/min" }}
[lines]
S = ["0Z1.S", "0P1.S"]
P = ["0P1.P", "0V1.P"]
T = ["0V1.T", "0Z1.T"]
"""


def pumped(setting: str, more: str = "", seconds: float = 6.0) -> Session:
    """Return a session after some seconds of pumping at 30 double strokes a minute."""
    session = Session(rig_file.loads(HAND.format(setting=setting, more=more), "rig"))
    session.set_control("0P1.pace", 30 * TURN / 60)
    for _ in range(round(60 * seconds)):
        session.advance(1 / 60)
    return session


@pytest.mark.soak
def test_strokes_of_a_hand_pump_bring_area_times_stroke() -> None:
    """380 mm2, 40 mm twice, 30 a minute: 0.91 L/min, less what turning round takes; single-acting half of it."""
    swept = math.pi / 4 * 22e-3**2 * 0.04 * 2 * 30 / 60 * 6.0
    gained = {}
    for acting in ("double", "single"):
        session = Session(rig_file.loads(HAND.format(setting="50 bar", more=f', acting = "{acting}"'), "rig"))
        session.set_control("0P1.pace", 30 * TURN / 60)
        flow = 0.0
        for _ in range(360):
            session.advance(1 / 60)
            flow += session.readings.stream("0V1", "over_relief") / 60
        gained[acting] = flow / swept
    assert 0.75 < gained["double"] < 1.0
    assert 0.35 < gained["single"] < 0.55


def test_a_hand_stalls_where_its_strength_ends() -> None:
    """Against a relief of 200 bar it comes to some 110 bar, stands there pressing, and the checks hold it."""
    session = pumped("200 bar")
    assert session.readings.pressure("P") / BAR == pytest.approx(110.5, rel=0.05)
    assert abs(session.readings.state("0P1", "going")) < 1e-3


def hydrostatic(p: dict[str, float], **own: Any) -> dict[str, dict[str, float]]:
    """Return what the pump answers at 1500 r/min; pressures in bar."""
    return evaluate(HydrostaticPump, p={k: v * BAR for k, v in p.items()}, speed=TURNING, **own)


def test_over_centre_the_lever_says_how_much_and_which_way() -> None:
    """28 cm3 at half stroke and 1500 r/min: 21 L/min out of A, or out of B; 28 * 180 / 62.8 / 2 = 40.1 N m."""
    for stroke, outlet in ((0.5, "A"), (-0.5, "B")):
        found = hydrostatic({outlet: 200.0, "AB".replace(outlet, ""): 20.0}, stroke=stroke, slip=0.0, **IDEAL)
        assert -found["into"][outlet] / LITRE_MINUTE == pytest.approx(21.0, rel=0.02)  # 20 bar press the oil a little
        assert found["into"]["shaft"] == pytest.approx(40.1, abs=0.1)
    assert hydrostatic({"A": 20.0, "B": 20.0}, stroke=0.0, slip=0.0)["into"]["A"] == pytest.approx(0.0, abs=1e-7)
    overrun = hydrostatic({"A": 20.0, "B": 200.0}, stroke=0.5, slip=0.0, **IDEAL)["into"]["shaft"]
    assert overrun == pytest.approx(-40.1, abs=0.1)  # downhill it drives the engine


def test_over_centre_pump_strokes_back_at_its_cut_off() -> None:
    """Cut-off 350, band 20 bar: free up to 330 bar, half of its stroke at 340, none at 350, either way."""
    for drop, left in ((320.0, 1.0), (340.0, 0.5), (350.0, 0.0)):
        for way in (1, -1):
            p = {"A": 20.0 + drop, "B": 20.0} if way > 0 else {"B": 20.0 + drop, "A": 20.0}
            rate = hydrostatic(p, stroke=way * left, lever=float(way))["rate"]["stroke"]
            assert rate == pytest.approx(0.0, abs=1e-3), (drop, way)
    assert hydrostatic({"A": 20.0, "B": 20.0}, off_centre="5 %")["rate"]["stroke"] == pytest.approx(0.05 / 0.15)


def test_flushing_lets_the_lower_side_go_over_its_relief() -> None:
    """8 L/min at 16 bar from the lower side, once the other is 12 bar above it; none from the higher; none alike."""
    for low, high in (("A", "B"), ("B", "A")):
        found = evaluate(FlushingValve, p={low: 16 * BAR, high: 200 * BAR})["stream"]
        assert found[f"from_{low}"] / LITRE_MINUTE == pytest.approx(8.0, rel=1e-3)
        assert found[f"from_{high}"] == 0.0
    alike = evaluate(FlushingValve, p={"A": 20 * BAR, "B": 22 * BAR})["stream"]
    assert alike["from_A"] == alike["from_B"] == 0.0
