"""What oil passes: relief, section, check, orifice, throttle, hose, filter, by points to check by hand."""

from __future__ import annotations

import math
from typing import Any

import pytest
from battery import evaluate
from scipy.optimize import brentq

from trainer.parts.conduits import Hose, ReturnFilter
from trainer.parts.model import PartModel
from trainer.parts.oil import Properties
from trainer.parts.part import Part
from trainer.parts.relief import ReliefValve
from trainer.parts.restrictors import CheckValve, Orifice, Throttle
from trainer.parts.section import OpenCentreSection
from trainer.units import read

LITRE_MINUTE = 1e-3 / 60
K = 0.65 * math.sqrt(2 / 870)  # of an edge, discharge coefficient 0.65, oil of 870 kg/m3


def check_relief_points(part: type[Part]) -> None:
    """Shut below cracking, rated flow at the setting, and (p - p_c) sqrt(p) between (Simmons' closed form)."""

    def flow(bar: float, back: float = 0.0) -> float:
        found = evaluate(part, p={"P": (bar + back) * 1e5, "T": back * 1e5}, setting="175 bar", override="10 %")
        return found["stream"]["over_relief"] / (40 * LITRE_MINUTE)

    assert flow(157.0) == 0.0
    assert flow(-10.0) == 0.0
    assert flow(175.0) == pytest.approx(1.0, rel=1e-6)
    assert flow(166.25) == pytest.approx(0.5 * math.sqrt(0.95), rel=1e-6)
    assert flow(175.0, back=10.0) == pytest.approx(1.0, rel=1e-6)  # pressure at T adds to the setting


def test_relief_points() -> None:
    check_relief_points(ReliefValve)


def test_relief_of_the_closed_form() -> None:
    """University of Minnesota relief model: full flow at 8.3 MPa, 50 kPa above cracking; half way 0.49925 of it."""
    found = evaluate(ReliefValve, p={"P": 8.275e6}, setting=8.3e6, override=0.05 / 8.3, rated_flow=0.1)
    assert found["stream"]["over_relief"] == pytest.approx(0.049925, rel=1e-5)


def test_relief_from_its_spring() -> None:
    """Esposito, example 8.1: 0.75 in2, 2500 lbf/in, 0.20 in preload, 0.10 in lift: 667 psi, full at 1000 psi."""
    psi = read("1 psi", "pressure")
    own: dict[str, Any] = {
        "area": "0.75 in2", "spring": "2500 lbf/in", "preload": "0.20 in", "lift": "0.10 in",
    }  # fmt: skip
    found = evaluate(ReliefValve, {"given_by": "spring"}, p={"P": 1000 * psi}, **own)
    assert found["value"]["cracking"] / psi == pytest.approx(667, abs=0.5)
    assert found["value"]["full"] / psi == pytest.approx(1000, abs=0.5)
    assert found["value"]["opening"] == pytest.approx(1.0, rel=1e-4)


# Travel [mm], bypass and P-A area [mm2] of a section for 40 L/min: our own layout, worked out apart from the program
AREAS = [(0, 46.9, 0.0), (1, 30.3, 0.0), (2, 14.5, 1.78), (2.6, 10.8, 4.12), (3, 8.53, 6.01), (3.5, 5.87, 9.74),
         (4, 3.47, 14.2), (5, 0.02, 23.2), (7, 0.002, 41.2)]  # fmt: skip


def check_section_areas(part: type[Part]) -> None:
    """The printed table, both ways; the return edge opens 0.2 mm before the feed."""
    for millimetres, bypass, feed in AREAS:
        for way, to, other, back in ((1, "A", "B", "B"), (-1, "B", "A", "A")):
            value = evaluate(part, spool=way * millimetres / 7)["value"]
            assert value["bypass_area"] * 1e6 == pytest.approx(bypass, rel=4e-3, abs=0.06)  # rounding of the edges
            assert value[f"P_{to}_area"] * 1e6 == pytest.approx(feed, abs=0.06)
            assert value[f"P_{other}_area"] == 0.0
            assert value[f"{back}_T_area"] >= value[f"P_{to}_area"]
    assert evaluate(part, spool=1.15 / 7)["value"]["P_A_area"] == 0.0
    assert evaluate(part, spool=1.15 / 7)["value"]["B_T_area"] > 0.0


def check_section_direction(part: type[Part]) -> None:
    """Lever to + feeds A and drains B; neutral holds both ports but for their leak."""
    p = {"P": 100e5, "A": 50e5, "B": 20e5}
    lift = evaluate(part, p=p, spool=1.0, passages="0 bar")
    assert lift["stream"]["P_to_A"] == pytest.approx(K * 41.2e-6 * math.sqrt(50e5), rel=2e-3)
    assert lift["stream"]["B_to_T"] > 0.0
    assert lift["stream"]["P_to_B"] == lift["stream"]["A_to_T"] == 0.0
    lower = evaluate(part, p=p, spool=-1.0)
    assert lower["stream"]["P_to_B"] > 0.0
    assert lower["stream"]["A_to_T"] > 0.0
    assert lower["stream"]["P_to_A"] == lower["stream"]["B_to_T"] == 0.0
    neutral = evaluate(part, p=p, spool=0.0)
    assert neutral["into"]["P"] == pytest.approx(3e-14 * 100e5, rel=1e-9)
    assert neutral["into"]["A"] == pytest.approx(3e-14 * 50e5, rel=1e-9)
    assert evaluate(part, lever=1.0, lag="30 ms")["rate"]["spool"] == pytest.approx(1 / 0.03)


def test_section_areas() -> None:
    check_section_areas(OpenCentreSection)


def test_section_direction() -> None:
    check_section_direction(OpenCentreSection)


@pytest.mark.parametrize(("millimetres", "bar"), [(0, 2.1), (1, 5.0), (2, 21.9), (2.6, 39.1), (3, 62.9), (4, 381)])
def test_pressure_to_start_of_a_section(millimetres: float, bar: float) -> None:
    """Pressure before the bypass when all of 40 L/min goes past the spool, worked out apart from the program."""
    found = evaluate(OpenCentreSection, p={"C": bar * 1e5}, spool=millimetres / 7)
    assert found["stream"]["past_spool"] / LITRE_MINUTE == pytest.approx(40, rel=0.015)


@pytest.mark.parametrize(
    ("millimetres", "to_port"),
    [(3.0, (16.5, 3.9, 0)), (3.5, (25.0, 14.0, 5.2)), (4.0, (32.2, 24.3, 19.0)), (4.5, (37.2, 33.6, 31.3))],
)
def test_flow_falls_as_the_load_rises(millimetres: float, to_port: tuple[float, ...]) -> None:
    """40 L/min shared by bypass and work port at 0, 50 and 100 bar of load, the load check left out.

    An open-centre section meters less against more load.
    """
    model = PartModel(OpenCentreSection)
    for load, wanted in zip((0.0, 50e5, 100e5), to_port, strict=True):

        def left(pressure: float, load: float = load) -> float:
            found = evaluate(OpenCentreSection, model=model, p={"C": pressure, "P": pressure, "A": load},
                             spool=millimetres / 7, load_check=0.0, passages=0.0)["stream"]  # fmt: skip
            return found["past_spool"] + found["P_to_A"] - 40 * LITRE_MINUTE

        pressure = brentq(left, 0.0, 400e5)
        found = evaluate(OpenCentreSection, model=model, p={"C": pressure, "P": pressure, "A": load},
                         spool=millimetres / 7, load_check=0.0, passages=0.0)  # fmt: skip
        assert found["stream"]["P_to_A"] / LITRE_MINUTE == pytest.approx(wanted, abs=0.1)


def test_load_check_keeps_a_load_from_falling() -> None:
    found = evaluate(OpenCentreSection, p={"P": 20e5, "A": 80e5}, spool=1.0)
    assert found["stream"]["P_to_A"] == 0.0
    cracked = evaluate(OpenCentreSection, p={"P": 81.4e5, "A": 80e5}, spool=1.0)
    assert cracked["stream"]["P_to_A"] == 0.0  # the check opens at 1.5 bar
    assert evaluate(OpenCentreSection, p={"P": 82e5, "A": 80e5}, spool=1.0)["stream"]["P_to_A"] > 0.0


def test_section_scales_with_its_size_and_wider_dead_band() -> None:
    small = evaluate(OpenCentreSection, rated_flow="1 L/min", spool=0.5)["value"]
    large = evaluate(OpenCentreSection, spool=0.5)["value"]
    assert small["P_A_area"] == pytest.approx(large["P_A_area"] / 40, rel=1e-9)
    wide = evaluate(OpenCentreSection, dead_band="2 mm", spool=2.8 / 7)["value"]["P_A_area"]
    assert wide == pytest.approx(evaluate(OpenCentreSection, spool=2.0 / 7)["value"]["P_A_area"], rel=1e-9)


def test_float_position_joins_both_ports_to_tank() -> None:
    found = evaluate(OpenCentreSection, {"float_position": "yes"}, p={"A": 1e5, "B": 1e5}, floating=1.0,
                     passages=0.0)  # fmt: skip
    wanted = K * 30e-6 * math.sqrt(1e5)
    assert found["stream"]["A_to_T"] == pytest.approx(wanted, rel=2e-3)
    assert found["stream"]["B_to_T"] == pytest.approx(wanted, rel=2e-3)


def test_port_valves_of_a_section() -> None:
    over = evaluate(OpenCentreSection, {"port_reliefs": "A"}, p={"A": 200e5})["stream"]
    assert over["A_port_relief"] == pytest.approx(40 * LITRE_MINUTE, rel=1e-6)
    assert evaluate(OpenCentreSection, {"port_reliefs": "A"}, p={"A": 179e5})["stream"]["A_port_relief"] == 0.0
    drawn = evaluate(OpenCentreSection, {"port_reliefs": "both"}, p={"B": -0.8e5, "T": 1e5})["stream"]
    assert drawn["B_anti_cavitation"] == pytest.approx(20e-6 * K * math.sqrt(1.8e5), rel=1e-3)
    assert drawn["B_port_relief"] == 0.0


def test_dirt_in_a_port_relief() -> None:
    """3 mm2 at 100 bar: 0.65 A sqrt(2 p / rho), one way only; healthy, nothing."""
    for words, port in (("A", "A"), ("B", "B"), ("both", "A")):
        found = evaluate(
            OpenCentreSection, {"port_reliefs": words}, p={"A": 100e5, "B": 100e5}, port_held_open="3 mm2"
        )
        dirt = {name: flow for name, flow in found["stream"].items() if "dirt" in name}
        assert dirt == {f"{port}_past_dirt": pytest.approx(K * 3e-6 * math.sqrt(100e5), rel=1e-4)}
    assert evaluate(OpenCentreSection, {"port_reliefs": "A"}, p={"A": 100e5})["stream"]["A_past_dirt"] == 0.0


def test_check_passes_one_way() -> None:
    """Shut below 0.5 bar, full area 1 bar later, and 1e-14 m3/s per Pa the other way."""
    k = 0.7 * 40e-6 * math.sqrt(2 / 870)
    assert evaluate(CheckValve, p={"1": 1.5e5})["stream"]["through"] == pytest.approx(k * math.sqrt(1.5e5), rel=1e-3)
    assert evaluate(CheckValve, p={"1": 1e5})["stream"]["through"] == pytest.approx(k * math.sqrt(1e5) / 2, rel=1e-3)
    assert evaluate(CheckValve, p={"1": 0.49e5})["stream"]["through"] == pytest.approx(0.49e-9, rel=1e-9)
    assert evaluate(CheckValve, p={"2": 100e5})["stream"]["through"] == pytest.approx(-1e-7, rel=1e-9)


def test_orifice_of_a_worked_example() -> None:
    """Esposito, example 8.4: 1 in, C = 0.8, 100 psi, specific gravity 0.9: 251.5 gpm (exact constants)."""
    now = Properties(900.0, 0.035, 1.5e9, 10.0, 1e-4, 45.0)
    found = evaluate(Orifice, p={"1": read("100 psi", "pressure")}, now=now, diameter="1 in", discharge=0.8)
    assert found["value"]["flow"] / read("1 gpm", "flow") == pytest.approx(251.5, abs=0.05)


@pytest.mark.parametrize(
    ("pascal", "litres"), [(1e2, 0.026), (1e3, 0.262), (1e4, 1.768), (1e5, 5.909), (1e6, 18.70), (1e7, 59.13)]
)
def test_throttle_from_laminar_to_turbulent(pascal: float, litres: float) -> None:
    """10 mm2 at 0.65: q = Cd A sqrt(2 dp / rho), Merritt (1967), of thin oil laminar below 0.05 bar."""
    thin = Properties(870.0, 1e-4, 1.5e9, 10.0, 0.005, 45.0)
    found = evaluate(Throttle, p={"1": pascal}, leakage=0.0, now=thin)["value"]["flow"] / LITRE_MINUTE
    assert found == pytest.approx(litres, rel=6e-4, abs=6e-4)
    half = evaluate(Throttle, p={"2": pascal}, leakage=0.0, opening=0.5, now=thin)["value"]["flow"] / LITRE_MINUTE
    assert half == pytest.approx(-found / 2, rel=1e-5)


def oil_of(viscosity: float) -> Properties:
    """Return oil of 870 kg/m3 and a dynamic viscosity [Pa s]."""
    return Properties(870.0, viscosity, 1.5e9, 10.0, 0.005, 45.0)


def test_a_small_opening_feels_viscosity() -> None:
    """Laminar: q = 2 Cd^2 A D dp / (R rho nu) for four notches of diameter D, R = 100; turbulent where it is wide.

    2 Cd^2 A D / (R mu) = 2 x 0.4225 x 0.1e-6 x 0.178e-3 / (100 x 1 Pa s) for 0.1 mm2 and oil as thick as at -5 C.
    """
    thick, warm = oil_of(1.0), oil_of(0.030)

    def flow(opening: float, drop: float, now: Properties) -> float:
        own: dict[str, Any] = {"opening": opening, "leakage": 0.0, "now": now}
        return evaluate(Throttle, p={"1": drop}, **own)["value"]["flow"]

    assert flow(0.01, 1e5, thick) == pytest.approx(2 * 0.65**2 * 0.1e-6 * 0.1784e-3 / 100 * 1e5, rel=2e-3)
    assert flow(0.01, 2e5, thick) == pytest.approx(2 * flow(0.01, 1e5, thick), rel=1e-3)
    assert flow(0.01, 50e5, thick) < 0.35 * flow(0.01, 50e5, warm)
    assert flow(1.0, 50e5, thick) == pytest.approx(flow(1.0, 50e5, warm), rel=0.35)
    assert flow(1.0, 50e5, warm) == pytest.approx(K * 10e-6 * math.sqrt(50e5), rel=1e-3)


def test_passages_of_a_section_are_laminar() -> None:
    """1 bar at 40 L/min and 35 mPa s, growing with viscosity and flow, besides the drop of the edge."""
    for viscosity in (0.035, 0.35):
        r = 1e5 / (40 * LITRE_MINUTE) * viscosity / 0.035
        found = evaluate(OpenCentreSection, p={"A": 20e5}, spool=-1.0, now=oil_of(viscosity))
        area = found["value"]["A_T_area"]
        q = found["stream"]["A_to_T"]
        width = 5e3 + math.pi / 2 * (100 * viscosity / 0.65) ** 2 / 870 / area
        edge = q * q / (K * area) ** 2 * math.sqrt(1 + (width / 20e5) ** 2)
        assert r * q + edge == pytest.approx(20e5, rel=0.02)


def test_shut_lands_leak() -> None:
    """Every gallery that is shut in loses its pressure: P, A and B to T, C to C1 with the spool all the way over."""
    p = {"C": 100e5, "P": 100e5, "A": 100e5, "B": 100e5}
    shut = evaluate(OpenCentreSection, p=p, spool=0.0)["stream"]
    for port in "PAB":
        assert shut[f"leak_at_{port}"] == pytest.approx(3e-14 * 100e5)
    over = evaluate(OpenCentreSection, p=p, spool=1.2)
    assert over["value"]["bypass_area"] == 0.0
    assert over["stream"]["past_spool"] == pytest.approx(3e-14 * 100e5)
    assert shut["leak_at_A"] * 60e6 == pytest.approx(18.0)  # cm3/min at 100 bar; mobile spools 2 … 20, from memory


def test_hose_holds_its_volume() -> None:
    """A half-inch hose holds 127 cm3 a metre."""
    assert sum(evaluate(Hose, length="1 m")["volume"].values()) == pytest.approx(1.27e-4, rel=0.003)


def test_filter_clean_clogged_and_bypassed() -> None:
    """0.5 bar at rated flow and 35 mPa s, half of it viscous; bypass above 1.7 bar.

    Half blocked, the same flow goes twice as fast through what is open: Darcy's half doubles, the other is fourfold.
    """
    rated = 40 * LITRE_MINUTE

    def element(bar: float, viscosity: float = 0.035, **own: Any) -> float:
        now = Properties(870.0, viscosity, 1.5e9, 10.0, 1e-4, 45.0)
        return evaluate(ReturnFilter, p={"1": bar * 1e5}, now=now, **own)["stream"]["element"] / rated

    assert element(0.5) == pytest.approx(1.0, rel=1e-4)
    assert element(0.75, viscosity=0.070) == pytest.approx(1.0, rel=1e-4)
    assert element(1.5, clogging="50 %") == pytest.approx(1.0, rel=1e-4)
    assert element(2.0, viscosity=0.070, clogging="50 %") == pytest.approx(1.0, rel=1e-4)
    assert element(10.0, viscosity=1.4, clogging="90 %") == pytest.approx(0.0976, rel=1e-3)  # 100 q + 25 q^2 = 10
    assert element(-0.5) == pytest.approx(-1.0, rel=1e-4)
    assert evaluate(ReturnFilter, p={"1": 1.69e5})["stream"]["bypass"] == 0.0
    assert evaluate(ReturnFilter, p={"1": 2.7e5}, clogging="97 %")["stream"]["bypass"] == pytest.approx(
        rated, rel=1e-3
    )
