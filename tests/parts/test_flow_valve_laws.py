"""Flow controls, dividers, priority valve, couplings and lines, by points that a mechanic can check by hand."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest
from battery import evaluate
from cases import first
from fluids.friction import friction_factor
from scipy.integrate import solve_ivp
from scipy.optimize import brentq

from trainer.parts import oil
from trainer.parts.conduits import ReturnFilter, SuctionStrainer
from trainer.parts.connections import QuickCoupling, ShutOffValve
from trainer.parts.dividers import FlowDivider, GearFlowDivider, PriorityValve
from trainer.parts.flow_valves import BypassFlowControlValve, FlowControlValve, OneWayThrottle
from trainer.parts.long_lines import LongLine, WarmedLine
from trainer.parts.model import PartModel
from trainer.parts.oil import Properties
from trainer.parts.part import Part, Wear

LITRE_MINUTE = 1e-3 / 60
BAR = 1e5
K = 0.65 * math.sqrt(2 / 870)  # of an edge, discharge coefficient 0.65, oil of 870 kg/m3


MODELS: dict[str, PartModel] = {}


def model_of(part: type[Part]) -> PartModel:
    """Return the model of a part, made once."""
    if part.__name__ not in MODELS:
        MODELS[part.__name__] = PartModel(part)
    return MODELS[part.__name__]


def place_of(part: type[Part], state: str, p: dict[str, float], **own: Any) -> float:
    """Return where a part's spool comes to rest at pressures [bar]."""
    model, at = model_of(part), {port: bar * BAR for port, bar in p.items()}
    low, high = own.pop("between", (0.0, 1.0))

    def moves(place: float) -> float:
        own[state] = place
        return evaluate(part, model=model, p=at, **own)["rate"][state]

    ends = [moves(low + 1e-9), moves(high - 1e-9)]
    return float(brentq(moves, low, high)) if ends[0] * ends[1] < 0 else (high if ends[0] > 0 else low)


def settled(part: type[Part], state: str, p: dict[str, float], **own: Any) -> dict[str, dict[str, float]]:
    """Return what a part answers at pressures [bar] once its spool has come to rest."""
    own[state] = place_of(part, state, p, **own)
    own.pop("between", None)
    return evaluate(part, model=model_of(part), p={port: bar * BAR for port, bar in p.items()}, **own)


def controlled(before: float, behind: float, **own: Any) -> float:
    """Return what a settled two-port flow control passes [L/min]."""
    found = settled(FlowControlValve, "compensator", {"1": before, "2": behind}, **own)
    return found["stream"]["through"] / LITRE_MINUTE


def test_a_flow_control_passes_the_same_whatever_the_load() -> None:
    """20 L/min are 13.8 mm2 at 6 bar: 20 / (26.83 · 0.65 · sqrt(6 / 870)); any drop above some 7 bar gives that."""
    edge = evaluate(FlowControlValve)["value"]["whole"]
    assert edge * 1e6 == pytest.approx(20 / (26.83 * 0.65 * math.sqrt(6 / 870)), rel=1e-3)
    for before, behind in ((160.0, 140.0), (160.0, 10.0), (20.0, 0.0)):
        assert controlled(before, behind) == pytest.approx(20.0, rel=2e-3)
        assert controlled(before, behind, opening=0.5) == pytest.approx(10.0, rel=2e-3)
    short = controlled(103.0, 100.0)  # compensator wide open, three times the edge: 0.9 of the drop is the edge's
    assert short == pytest.approx(20 * math.sqrt(0.9 * 3 / 6), rel=2e-3)
    plain = [evaluate(FlowControlValve, p={"1": b * BAR})["stream"]["through"] / LITRE_MINUTE for b in (6, 24)]
    assert plain[1] / plain[0] == pytest.approx(2.0, rel=1e-3), (
        "until its spool moves it is a plain throttle: the jump"
    )


@pytest.mark.parametrize(
    ("part", "state", "p", "own"),
    [
        (FlowControlValve, "compensator", {"1": 160.0}, {"opening": 0.5}),
        (FlowControlValve, "compensator", {"1": 160.0, "2": 80.0}, {"opening": 0.05}),
        (FlowControlValve, "compensator", {"1": 9.0}, {"opening": 1.0}),
        (FlowDivider, "spool", {"P": 120.0, "A": 10.0, "B": 100.0}, {"between": (-1.0, 1.0)}),
        (FlowDivider, "spool", {"P": 120.0, "A": 60.0, "B": 50.0}, {"between": (-1.0, 1.0)}),
        (FlowDivider, "spool", {"P": 2.0, "A": 60.0, "B": 20.0}, {"between": (-1.0, 1.0)}),
    ],
)
def test_a_spool_is_as_late_wherever_it_stands(
    part: type[Part], state: str, p: dict[str, float], own: dict[str, Any]
) -> None:
    """A lag of first order: what it is off its place, a little or half of it, it makes up at that over 15 ms."""
    place = place_of(part, state, p, **own)
    assert 0.0 < abs(place) < 1.0
    at = {port: bar * BAR for port, bar in p.items()}
    for off in (-0.5 * place, 0.02 * place):
        stands = {name: value for name, value in own.items() if name != "between"} | {state: place + off}
        found = evaluate(part, model=model_of(part), p=at, **stands)["rate"][state]
        assert found == pytest.approx(-off / 0.015, rel=1e-3)


def test_a_flow_control_with_dirt_or_a_stuck_spool() -> None:
    assert controlled(160.0, 20.0, clogging="50 %") == pytest.approx(10.0, rel=2e-3)
    slow = evaluate(
        FlowControlValve,
        p={"1": 100 * BAR},
        sticking=FlowControlValve.declared(Wear)["sticking"].severities["failed"],
    )
    assert abs(slow["rate"]["compensator"]) < 0.04, "its spool takes half a minute"
    assert controlled(20.0, 100.0) < -30.0, "backwards it holds nothing: 80 bar over edge and spool"


def test_a_bypass_flow_control_keeps_the_pump_at_the_load() -> None:
    """40 L/min come, 20 go to a load of 100 bar: the pump stands 6 bar and a little of the rise above it."""
    model = model_of(BypassFlowControlValve)

    def passes(bar: float, load: float = 100.0, **own: Any) -> dict[str, float]:
        found = evaluate(BypassFlowControlValve, model=model, p={"P": bar * BAR, "A": load * BAR}, **own)["stream"]
        return {name: flow / LITRE_MINUTE for name, flow in found.items()}

    for load in (5.0, 100.0):
        stands = brentq(lambda bar, load=load: sum(passes(bar, load).values()) - 40.0, load, load + 20.0)
        assert load + 6.0 < stands < load + 6.5
        assert passes(stands, load)["through"] == pytest.approx(20.0, rel=0.03)
    assert passes(105.9)["excess"] == 0.0
    assert passes(150.0, sticking="100 %")["excess"] == 0.0
    wide = passes(110.0)["excess"] * LITRE_MINUTE
    assert wide == pytest.approx(K * 60e-6 * math.sqrt(110 * BAR), rel=1e-3)


def test_a_one_way_throttle_is_slow_one_way() -> None:
    """10 mm2 the slow way, 40 mm2 more the other; its check trails by its time constant."""
    slow = evaluate(OneWayThrottle, p={"2": 40 * BAR}, lift=0.0)
    assert -slow["stream"]["throttled"] == pytest.approx(K * 10e-6 * math.sqrt(40 * BAR), rel=0.01)
    assert slow["stream"]["check"] == 0.0
    free = evaluate(OneWayThrottle, p={"1": 4 * BAR}, lift=1.0)
    assert free["stream"]["check"] == pytest.approx(K * 40e-6 * math.sqrt(4 * BAR), rel=2e-3)
    late = evaluate(OneWayThrottle, p={"2": 40 * BAR}, lift=1.0, lag="20 ms")
    assert late["stream"]["check"] < 0.0, "until it is home oil goes the slow way through it"
    assert late["rate"]["lift"] == pytest.approx(-1 / 0.02)
    dirt = evaluate(OneWayThrottle, p={"2": 40 * BAR}, held_open="10 mm2")["stream"]
    assert dirt["check"] / dirt["throttled"] == pytest.approx(1.0, rel=0.01)


def divided(a: float, b: float, **own: Any) -> tuple[float, float, dict[str, float]]:
    """Return what a settled spool divider gives to A and B [L/min] at 120 bar, at pressures there [bar]."""
    found = settled(FlowDivider, "spool", {"P": 120.0, "A": a, "B": b}, between=(-1.0, 1.0), **own)
    flows = found["stream"]
    return flows["to_A"] / LITRE_MINUTE, flows["to_B"] / LITRE_MINUTE, found["value"]


def test_a_spool_divider_shares_whatever_the_loads() -> None:
    """With the forces of the oil left out both sides are alike; at 0.4 % of 90 bar they are 0.36 of 8 bar apart."""
    for a, b in ((100.0, 10.0), (10.0, 100.0), (60.0, 60.0)):
        one, other, _ = divided(a, b, flow_force=0.0)
        assert one == pytest.approx(other, rel=2e-3)
    one, other, value = divided(10.0, 100.0)
    apart = 0.004 * (value["taken_A"] - value["taken_B"])
    assert value["over_fixed_B"] - value["over_fixed_A"] == pytest.approx(apart, rel=1e-3)
    assert one / other == pytest.approx(math.sqrt(1 - apart / value["over_fixed_B"]), rel=1e-3)
    assert 0.95 < one / other < 1.0, "the lighter side has a little less"
    third, rest, _ = divided(100.0, 10.0, share="33.33 %", flow_force=0.0)
    assert rest / third == pytest.approx(2.0, rel=3e-3)


def test_a_spool_divider_joins_oil_that_comes_back() -> None:
    model = model_of(FlowDivider)
    p = {"P": 2 * BAR, "A": 60 * BAR, "B": 20 * BAR}
    shut = evaluate(FlowDivider, model=model, p=p, spool=0.0, flow_force=0.0)["rate"]["spool"]
    assert shut > 0.0, "A, which comes faster, is throttled"
    stalled = divided(120.0, 20.0)  # A stands at its end
    assert stalled[0] == 0.0
    assert stalled[1] == pytest.approx(0.04 * 3 / math.hypot(1, 0.12) * 10 * math.sqrt(100 / 8), rel=0.02), (
        "what never shuts"
    )


def test_a_gear_divider_raises_one_side_by_the_other() -> None:
    """p (D1 + D2) = p1 D1 + p2 D2: 50 bar in, none at A, 100 at B; at 30 r/s each half of 6 cm3 gives 10.8 L/min."""
    free: dict[str, Any] = {"viscous_drag": 0.0, "pressure_drag": 0.0, "breakaway": 0.0, "slip": 0.0}
    turns = evaluate(GearFlowDivider, p={"P": 50 * BAR, "B": 100 * BAR}, turning=30 * 2 * math.pi, **free)
    assert turns["value"]["torque"] == pytest.approx(0.0, abs=1e-6)
    assert turns["value"]["drives_A"] == pytest.approx(6e-6 / (2 * math.pi) * 50 * BAR)
    for port in "AB":
        assert turns["value"][f"delivery_{port}"] / LITRE_MINUTE == pytest.approx(10.8, rel=0.01)
    own = evaluate(GearFlowDivider, p={"P": 50 * BAR, "B": 100 * BAR}, turning=30 * 2 * math.pi)
    assert 0.2 < -own["value"]["torque"] < 2.0, "friction takes some of it [N m]"
    slipped = -own["value"]["slip_B"] / own["value"]["delivery_B"]
    assert 0.01 < slipped < 0.05, "and slip some percent"


def test_a_priority_valve_serves_the_priority_port_first() -> None:
    """CF 7 bar above what is told: below it all goes to CF, 2 bar above it all goes on; half way, to both."""

    def place(cf: float, told: float, **own: Any) -> float:
        p = {"P": 110.0, "CF": cf, "LS": told, "EF": 20.0}
        return settled(PriorityValve, "spool", p, **own)["value"]["place"]

    assert place(106.0, 100.0) == 0.0
    assert place(108.0, 100.0) == pytest.approx(0.5, abs=1e-3)
    assert place(8.0, 0.0) == pytest.approx(0.5, abs=1e-3)
    assert place(9.2, 0.0) == pytest.approx(1.0, abs=1e-3)
    assert place(50.0, 100.0, sticking="60 %") == pytest.approx(0.6)
    told = evaluate(PriorityValve, p={"CF": 10 * BAR, "LS": 3 * BAR})["stream"]["bleed"] / LITRE_MINUTE
    assert told == pytest.approx(26.83 * 0.65 * math.pi / 4 * 0.8**2 * math.sqrt(7 / 870), rel=2e-3)  # 0.79 L/min


def test_shut_off_valve_and_coupling() -> None:
    """A bore of 13 mm is 133 mm2, half turned a quarter of it; 1 bar drives 109 L/min through it."""
    assert evaluate(ShutOffValve)["value"]["area"] * 1e6 == pytest.approx(132.7, rel=1e-3)
    assert evaluate(ShutOffValve, opening=0.5)["value"]["area"] * 1e6 == pytest.approx(33.2, rel=1e-3)
    assert evaluate(ShutOffValve, opening=0.0, p={"1": 100 * BAR})["stream"]["through"] == 0.0
    wide = evaluate(ShutOffValve, p={"1": 1 * BAR})["stream"]["through"] / LITRE_MINUTE
    assert wide == pytest.approx(26.83 * 0.9 * 132.7 * math.sqrt(1 / 870), rel=2e-3)
    joined = evaluate(QuickCoupling, p={"1": 2 * BAR})["stream"]["through"]
    assert joined == pytest.approx(K * math.pi / 4 * 0.008**2 * math.sqrt(2 * BAR), rel=1e-3)
    half = [evaluate(QuickCoupling, p={port: 2 * BAR}, half_in="85 %")["stream"]["through"] for port in ("2", "1")]
    assert -half[0] / joined == pytest.approx(0.15, rel=1e-3)
    assert half[1] / joined == pytest.approx(0.15 * (1 - 0.85 / 2), rel=1e-3), "the flow pushes the far poppet along"
    parted = evaluate(QuickCoupling, p={"1": 200 * BAR}, half_in="100 %")["stream"]["through"]
    assert abs(parted) < 1e-3 * joined


def test_a_strainer_by_viscosity_and_dirt() -> None:
    """0.03 bar at 40 L/min and 35 mPa s, four fifths of it with viscosity: 30 times as thick, 0.726 bar."""

    def flow(bar: float, viscosity: float = 0.035, **own: Any) -> float:
        now = Properties(870.0, viscosity, 1.5e9, 10.0, 1e-4, 45.0)
        found = evaluate(SuctionStrainer, p={"1": bar * BAR}, now=now, **own)["stream"]
        return sum(found.values()) / LITRE_MINUTE

    assert flow(0.03) == pytest.approx(40.0, rel=0.02)
    assert flow(0.726, 1.05, bypass="5 bar") == pytest.approx(40.0, rel=1e-3)
    assert flow(0.03 * (0.8 * 10 + 0.2 * 100), clogging="90 %", bypass="5 bar") == pytest.approx(40.0, rel=1e-3)
    assert flow(0.726, 1.05) > 50.0, "with a bypass at 0.3 bar it goes round"


def test_a_filter_shows_red_before_its_bypass_opens() -> None:
    """All red at 1.2 bar, by 70 % of what its bypass takes: half red at 0.6 bar; cold oil does that, too."""
    found = [evaluate(ReturnFilter, p={"1": bar * BAR})["value"]["indicator"] for bar in (0.6, 1.2, 3.0)]
    assert found == pytest.approx([0.5, 1.0, 1.0])
    degrees = ReturnFilter.declared(Wear)["clogging"].degrees(0.0)
    flows = [
        evaluate(ReturnFilter, p={"1": 1.2 * BAR}, clogging=worn)["stream"]["element"] / LITRE_MINUTE
        for worn in degrees.values()
    ]
    assert flows[0] > 65.0 > flows[1] > 32.0 > flows[2] > 15.0 > flows[3]


def test_friction_of_a_long_line_as_in_fluids() -> None:
    """Drop of Darcy and Weisbach, friction factor of Colebrook from ``fluids`` within 3 %, 64 / Re when laminar."""
    model, area = model_of(LongLine), math.pi / 4 * 0.0127**2
    for litres, share in ((5.0, 1e-3), (20.0, 1e-3), (120.0, 0.03), (300.0, 0.03)):
        speed = litres * LITRE_MINUTE / area
        number = 870 * speed * 0.0127 / 0.035
        factor = 64 / number if number < 2000 else friction_factor(Re=number, eD=0.0)
        wanted = factor * 10 / 0.0127 * 870 * speed**2 / 2

        def steady(drop: float, speed: float = speed) -> float:
            return 3 * evaluate(LongLine, model=model, p={"1": drop / 3}, flow=speed * area)["rate"]["flow"]

        assert brentq(steady, 0.1 * wanted, 10 * wanted) == pytest.approx(wanted, rel=share + 5e-3)


def stopped(speed: float, **own: Any) -> tuple[float, float, float]:
    """Return the first blow [bar], the time to it and half the period [s] of oil in motion, shut at 2, open at 1."""
    model = model_of(LongLine)
    area, now = math.pi / 4 * 0.0127**2, Properties(870.0, 1e-6, 1.5e9, 0.0, 1e-6, 45.0)  # without friction and air
    rooms = {
        node: room for node, room in evaluate(LongLine, model=model, now=now, **own)["volume"].items() if node != "1"
    }
    wall, flows = float(own.get("stiffness", 26e9)), [*model.states]

    def pressed(node: str, more: Any) -> Any:
        return oil.of_content(rooms[node] + more, rooms[node], rooms[node] / wall, now)[1]

    def rates(_: float, z: Any) -> list[float]:
        p = {"1": 0.0, **{node: float(pressed(node, more)) for node, more in zip(rooms, z[3:], strict=True)}}
        found = evaluate(LongLine, model=model, now=now, p=p, **dict(zip(flows, z.tolist(), strict=False)), **own)
        return [*(found["rate"][flow] for flow in flows), *(-found["into"][node] for node in rooms)]

    lasts = 60 / math.sqrt(1 / (1 / 1.5e9 + 1 / wall) / 870)  # one and a half periods
    start = [speed * area] * 3 + [0.0] * 3
    found = solve_ivp(rates, (0.0, lasts), start, rtol=1e-4, atol=1e-6 * speed * area, dense_output=True)
    times = np.linspace(0.0, lasts, 600)
    blows = np.array([float(pressed("2", c)) for c in found.sol(times)[3 + [*rooms].index("2")]])
    turns = times[np.flatnonzero(blows[1:-1] * blows[2:] < 0) + 1]
    k = int(blows.argmax())
    return blows[k] / BAR, float(times[k]), float(np.diff(turns).mean()) if len(turns) > 1 else math.nan


@pytest.mark.parametrize(
    ("stiffness", "wave", "blow"), first(1, [(26e9, 1277.0, 55.5), (1e12, 1312.0, 57.1), (400e6, 602.0, 26.2)])
)
def test_a_sudden_stop_makes_the_blow_of_joukowsky(stiffness: float, wave: float, blow: float) -> None:
    """rho c v with c = sqrt(K' / rho), oil of 1.5 GPa at 5 m/s: stiff walls 57.1 bar, 12 x 1.5 steel 55.5, hose 26.2.

    1 / K' = 1 / K + 1 / Kw; Joukowsky 1898, formula of any encyclopaedia, worked out by hand. It swings in 4 L / c: a
    wave goes there and back twice (Wylie & Streeter, Fluid Transients 1978, from memory).
    """
    together = 1 / (1 / 1.5e9 + 1 / stiffness)
    assert math.sqrt(together / 870) == pytest.approx(wave, rel=2e-3)
    assert 870 * wave * 5 / BAR == pytest.approx(blow, rel=2e-3)
    found, when, _ = stopped(5.0, stiffness=stiffness)
    assert found == pytest.approx(blow, rel=0.02)
    assert when < 2 * 10 / wave, "before a blow has run to the open end and back"
    half = stopped(0.05, stiffness=stiffness)[2]  # so slow that the oil is not torn
    assert 2 * half == pytest.approx(4 * 10 / wave, rel=0.05)


def test_oil_that_is_shut_in_and_warms() -> None:
    """MIL-H-5606 heated by 50 F: 300 000 psi · 4.6e-4 / F · 50 F = 6900 psi (a maker's page on bulk modulus).

    Mineral oil: 0.0007 / K · 1500 MPa = 10.5 bar for each kelvin in rigid walls, less in a hose.
    """
    model = model_of(WarmedLine)

    def risen(now: Properties, kelvin: float, **own: Any) -> float:
        cold, warm = (
            evaluate(WarmedLine, model=model, now=now, warmth=t, **own)["volume"]["1"] for t in (20.0, 20.0 + kelvin)
        )
        return float(oil.of_content(cold, warm, cold / float(own["stiffness"]), now)[1])

    psi = 6894.757
    book = Properties(870.0, 0.014, 300e3 * psi, 0.0, 1e-8, 20.0)
    found = risen(book, 50 / 1.8, stiffness=1e12, swelling=4.6e-4 * 1.8) / psi
    assert found == pytest.approx(6900, rel=0.03)
    plain = Properties(870.0, 0.035, 1.5e9, 10.0, 1e-8, 20.0)
    assert 10.0 < risen(plain, 1.0, stiffness=1e12) / BAR < 11.0
    assert risen(plain, 1.0, stiffness=400e6) / BAR == pytest.approx(7e-4 / (1 / 15e3 + 1 / 4e3), rel=0.02)
    follows = evaluate(WarmedLine, model=model, surroundings=50.0, warmth=20.0, lag="10 min")["rate"]["warmth"]
    assert follows == pytest.approx(30 / 600, rel=1e-3)
    washed = evaluate(WarmedLine, model=model, p={"1": 2 * BAR}, surroundings=80.0, warmth=80.0)["rate"]["warmth"]
    assert washed < -1.0, "oil that flows brings the tank's warmth"
