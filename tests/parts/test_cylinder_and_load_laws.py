"""The cylinder and what is on its rod, by points to check by hand."""

from __future__ import annotations

import itertools
import math
from typing import Any

import pytest
from battery import evaluate

from trainer.parts.cylinder import Cylinder
from trainer.parts.laws import pos, pos_energy
from trainer.parts.loads import ConstantForce, Wall, Weight
from trainer.parts.oil import Properties
from trainer.parts.part import Part
from trainer.units import read

FRICTIONLESS: dict[str, Any] = {f"{kind}_friction": 0.0 for kind in ("kinetic", "viscous", "pressure")}


def check_cylinder_areas(part: type[Part]) -> None:
    """80/45 mm: 50.27 and 34.36 cm2, as areas shown, as force per pressure, and as oil per travel."""
    middle = {"rod": 0.25}
    value = evaluate(part, place=middle)["value"]
    assert value["cap_area"] * 1e4 == pytest.approx(50.265, abs=5e-4)
    assert value["rod_end_area"] * 1e4 == pytest.approx(34.361, abs=5e-4)
    push = evaluate(part, p={"A": 100e5}, place=middle, **FRICTIONLESS)
    assert push["into"]["rod"] == pytest.approx(-50265, abs=1)
    pull = evaluate(part, p={"B": 100e5}, place=middle, **FRICTIONLESS)
    assert pull["into"]["rod"] == pytest.approx(34361, abs=1)
    near, far = (evaluate(part, place={"rod": x})["volume"] for x in (0.2, 0.3))
    assert (far["A"] - near["A"]) / 0.1 == pytest.approx(50.265e-4, abs=5e-8)
    assert (near["B"] - far["B"]) / 0.1 == pytest.approx(34.361e-4, abs=5e-8)


def test_cylinder_areas() -> None:
    check_cylinder_areas(Cylinder)


@pytest.mark.parametrize(("end", "psi", "feet"), [("A", 318, 2.04), ("B", 424, 2.72)])
def test_cylinder_of_a_worked_example(end: str, psi: float, feet: float) -> None:
    """Esposito, example 6.1: 2 in bore, 1 in rod, 1000 lbf, 20 gpm: 318 psi and 2.04 ft/s out, 424 and 2.72 in."""
    sizes: dict[str, Any] = {"bore": "2 in", "rod": "1 in", **FRICTIONLESS}
    found = evaluate(Cylinder, p={end: psi * read("1 psi", "pressure")}, place={"rod": 0.1}, **sizes)
    assert abs(found["into"]["rod"]) / read("1 lbf", "force") == pytest.approx(1000, rel=2e-3)
    area = found["value"]["cap_area" if end == "A" else "rod_end_area"]
    assert read("20 gpm", "flow") / area / read("1 ft/s", "speed") == pytest.approx(feet, abs=6e-3)


def test_regeneration_pushes_with_the_area_of_the_rod() -> None:
    """Esposito, example 9.1: 25 in2 and 7 in2 of rod, both ends at 1000 psi: 7000 lbf."""
    bore, rod = (math.sqrt(4 * square / math.pi) * 0.0254 for square in (25, 7))
    p = read("1000 psi", "pressure")
    found = evaluate(Cylinder, p={"A": p, "B": p}, place={"rod": 0.1}, bore=bore, rod=rod, **FRICTIONLESS)
    assert -found["into"]["rod"] / read("1 lbf", "force") == pytest.approx(7000, rel=1e-6)


def test_cylinder_friction() -> None:
    """Stribeck's curve: near the static value when it begins to move, kinetic and viscous when it runs."""
    middle = {"rod": 0.25}
    running = evaluate(Cylinder, place=middle, speed={"rod": 0.2})["into"]["rod"]
    assert running == pytest.approx(120 + 800 * 0.2 + seal(), rel=1e-3)
    begins = evaluate(Cylinder, place=middle, speed={"rod": 0.005}, stick_slip="67 %")["into"]["rod"]
    assert 180 < begins < 200 + seal() + 5
    back = evaluate(Cylinder, place=middle, speed={"rod": -0.2})["into"]["rod"]
    assert back == pytest.approx(-(120 + 800 * 0.2 + seal()), rel=1e-3)
    assert evaluate(Cylinder, place=middle)["into"]["rod"] == 0.0
    loaded = evaluate(Cylinder, p={"A": 100e5}, place=middle, speed={"rod": 0.2})["heat"]["rod_friction"]
    assert loaded / 0.2 == pytest.approx(280 + 0.015 * 50265, rel=2e-3)  # 1.5 % of the pressure force


def seal() -> float:
    """Return the seal's friction without pressure [N]: the rounding of |p| over 0.1 bar."""
    return 0.015 * 1e4 * (50.265e-4 + 34.361e-4)


def test_cylinder_leak_grows_as_oil_thins() -> None:
    """1e-13 m3/s Pa at 35 mPa s under 52.5 kN on 63.6 cm2 (82.5 bar): 7.78 mm a minute, twice that at half of it."""
    for viscosity, minute in ((0.035, 7.78), (0.0175, 15.56)):
        now = Properties(870.0, viscosity, 1.5e9, 10.0, 1e-4, 45.0)
        leak = evaluate(Cylinder, p={"A": 52.5e3 / 63.617e-4}, now=now, leakage=1e-13)["stream"]["past_piston"]
        assert leak / 63.617e-4 * 60e3 == pytest.approx(minute, abs=0.01)


@pytest.mark.soak
def test_good_seals_rub_more_the_faster_they_go() -> None:
    """What falls with speed feeds a swing; healthy seals never do, worn ones do below 15 mm/s."""

    def rubs(speed: float, **own: Any) -> float:
        return evaluate(Cylinder, place={"rod": 0.25}, speed={"rod": speed}, **own)["into"]["rod"]

    speeds = [k * 1e-3 for k in range(1, 60)]
    healthy, worn = ([rubs(v, **own) for v in speeds] for own in ({}, {"stick_slip": "100 %"}))
    assert all(later > earlier for earlier, later in itertools.pairwise(healthy))
    assert worn[speeds.index(0.005)] > worn[speeds.index(0.02)] + 50


@pytest.mark.parametrize("width", [1e-4, 0.02, 3.0])
def test_a_rounded_corner_is_exact_beside_its_rounding(width: float) -> None:
    """max(x, 0) joined by (x + w)^2 / (4 w): nothing below, the straight line above; its energy is its integral."""
    for share in (-1e6, -3.0, -1.0):
        assert pos(share * width, width) == 0.0
        assert pos_energy(share * width, width) == 0.0
    for share in (-0.6, 0.0, 0.9, 1.0):
        assert pos(share * width, width) == pytest.approx((1 + share) ** 2 * width / 4, rel=1e-12)
    for share in (1.0, 7.0, 1e6):
        assert pos(share * width, width) == pytest.approx(share * width, rel=1e-12)
    step = 1e-4 * width
    for share in (-0.9, 0.2, 1.5, 40.0):
        x = share * width
        slope = (pos_energy(x + step, width) - pos_energy(x - step, width)) / (2 * step)
        assert slope == pytest.approx(pos(x, width), rel=1e-5)


def test_end_stops_push_back_and_only_there() -> None:
    """250 bar on 80 mm are 125.7 kN, for which a stop gives its 0.2 mm and a 25th of that more."""
    rate = 125.66e3 / 0.2e-3
    for place in (0.001, 0.25, 0.499):
        assert evaluate(Cylinder, place={"rod": place}, **FRICTIONLESS)["into"]["rod"] == 0.0
    out = evaluate(Cylinder, place={"rod": 0.5002}, **FRICTIONLESS)
    assert out["into"]["rod"] == pytest.approx(1.04 * 125.66e3, rel=1e-3)  # against further extending
    assert out["stored"]["end_stop"] == pytest.approx(
        rate * (1.02 * 0.2e-3**2 / 2 + 1e-4**2 / 6), rel=1e-3
    )  # with its rounding over 0.1 mm
    assert evaluate(Cylinder, place={"rod": -0.0002}, **FRICTIONLESS)["into"]["rod"] == pytest.approx(
        -out["into"]["rod"]
    )
    hit = evaluate(Cylinder, place={"rod": 0.5002}, speed={"rod": 0.1}, **FRICTIONLESS)
    assert hit["into"]["rod"] == pytest.approx(out["into"]["rod"] + 2e4 * 0.1)
    assert hit["heat"]["end_stop"] == pytest.approx(2e4 * 0.1**2)
    deep = evaluate(Cylinder, place={"rod": 0.502}, **FRICTIONLESS)["into"]["rod"]
    assert deep == pytest.approx(rate * 2e-3 * 5, rel=1e-4)  # it hardens


def test_oil_is_left_at_the_stops() -> None:
    """160 mm, 1 cm3 given: 0.6 mm of piston, 12.1 cm3, are left; 0.2 mm, 4.0 cm3, where the rod is far beyond."""
    area = math.pi * 0.16**2 / 4
    for place, end in ((0.0, "A"), (0.5, "B")):
        found = evaluate(Cylinder, place={"rod": place}, bore="160 mm", rod="0 mm", dead_volume="1 cm3")
        assert found["volume"][end] == pytest.approx(0.6e-3 * area)
        assert 0.6e-3 * area * 1e6 == pytest.approx(12.06, abs=0.01)
    for place, end in ((-0.1, "A"), (0.6, "B")):
        sizes = {"bore": "160 mm", "rod": "0 mm", "dead_volume": "1 cm3"}
        beyond: dict[str, Any] = {"place": {"rod": place}, "p": {end: 100e5}, **sizes}
        found = evaluate(Cylinder, **beyond, **FRICTIONLESS)
        assert found["volume"][end] == pytest.approx(0.2e-3 * area)
        without = evaluate(Cylinder, **(beyond | {"p": {}}), **FRICTIONLESS)
        assert found["into"]["rod"] == without["into"]["rod"]  # what moves no oil aside feels no pressure
    kept = evaluate(Cylinder, place={"rod": 0.0}, bore="80 mm", dead_volume="40 cm3")
    assert kept["volume"]["A"] == pytest.approx(40e-6, rel=1e-12)


def test_weight() -> None:
    """500 kg weigh 4903.3 N; Newton's second law for it and the rod that moves with it."""
    assert evaluate(Weight, mass="500 kg")["value"]["force"] == pytest.approx(4903.3, abs=0.1)
    found = evaluate(Weight, given={"rod": 6000.0}, inertia={"rod": 5.0}, mass="500 kg")
    assert found["rate"]["v"] == pytest.approx((6000 - 4903.325) / 505)
    assert evaluate(Weight, mass="500 kg", along=-1.0)["rate"]["v"] == pytest.approx(9.80665)
    stored = evaluate(Weight, mass="500 kg", x=2.0, v=3.0)["stored"]
    assert stored == pytest.approx({"motion": 2250.0, "height": 9806.65})


def check_wall_never_pulls(part: type[Part]) -> None:
    """It pushes 20 kN at 1 mm, nothing before it is touched, and never pulls, however fast the rod leaves."""
    assert evaluate(part, place={"rod": 0.101})["into"]["rod"] == pytest.approx(20e3)
    assert evaluate(part, place={"rod": 0.099}, speed={"rod": 1.0})["into"]["rod"] == 0.0
    assert evaluate(part, place={"rod": 0.101}, speed={"rod": 0.1})["into"]["rod"] == pytest.approx(24e3)
    for damping in (2.0, 50.0):
        for speed in (-0.1, -1.0, -3.0):
            found = evaluate(part, place={"rod": 0.101}, speed={"rod": speed}, damping=damping)
            assert found["into"]["rod"] >= 0.0, f"pulls at {speed} m/s with {damping} s/m"


def test_wall() -> None:
    check_wall_never_pulls(Wall)


def test_constant_force() -> None:
    found = evaluate(ConstantForce, speed={"rod": 0.5}, force="10 kN")
    assert found["into"]["rod"] == 10e3
    assert found["supply"]["load"] == -5e3  # its work leaves the rig
