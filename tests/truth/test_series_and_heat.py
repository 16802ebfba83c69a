"""Series circuits, the open centre at part speed, heat, and Merritt's valve and cylinder.

ESP and SUL as in test_cylinders; FM 5-499 by attribution from memory.
"""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np
import pytest
from ledgers import power_ledger

from trainer import resources
from trainer.engine.session import Session
from trainer.parts.oil import HEAT_CAPACITY
from trainer.rig import file as rig_file
from trainer.rig.rig import Rig

from .printed import check
from .rigs import begin, drive, mean, restricted, sample, show, si, speed, supplied, unyielding

GPM_20 = "3.85 in3/rev"  # at 1200 r/min
BTU_PER_POUND_F = 4186.8  # J/(kg K): one Btu (international table) per pound and degree Fahrenheit


# -- series -----------------------------------------------------------------------------------------------


def series(title: str, first: str, second: str) -> Rig:
    """Return a rig of two cylinders of equal areas on both sides (2 in, no rod) in series, each with a load."""
    return supplied(
        title,
        f"""
1A1 = {{ $cylinder, viscous_friction = "40 N s/m", bore = "2 in", rod = "0 in", stroke = "2 m" }}
1W2 = {{ is = "ConstantForce", force = "{first}", mass = "5 kg" }}
2A1 = {{ $cylinder, viscous_friction = "40 N s/m", bore = "2 in", rod = "0 in", stroke = "2 m" }}
2W2 = {{ is = "ConstantForce", force = "{second}", mass = "5 kg" }}
""",
        """
P1 = ["0P1.P", "0V1.P", "1A1.A"]
P2 = ["1A1.B", "2A1.A"]
T = ["0V1.T", "0Z1.T", "2A1.B"]
rod1 = ["1A1.rod", "1W2.rod"]
rod2 = ["2A1.rod", "2W2.rod"]
""",
        'rod1.place = "0.5 m"\nrod2.place = "0.5 m"\n',
        displacement="0.1925 in3/rev",
        setting="750 psi",
        rated="1 gpm",
    )


@pytest.mark.soak
def test_s10_series_pressures_add() -> None:
    """Two 2 in double-rod cylinders in series, 1000 and 1200 lb, relief 750 psi: 382 psi between, 700.3 at the pump.

    Rule of FM 5-499 (attribution from memory), numbers computed. K06, common practice: the gauge between them
    sees only what is downstream.
    """
    session = begin(series("S10", "1000 lbf", "1200 lbf"))
    session.set_control("0M1.setting", si("1200 r/min"))
    session.advance(3.0)

    def psi(line: str) -> float:
        return show(mean(session, lambda s: s.readings.pressure(line)), "psi")

    check("S10", "gauge between the cylinders [psi]", psi("P2"), 382, 0.001)
    check("S10", "gauge at the pump [psi]", psi("P1"), 700.3, 0.001)
    places = [session.readings.place(rod) for rod in ("rod1", "rod2")]
    session.advance(2.0)
    moved = [session.readings.place(rod) - was for rod, was in zip(("rod1", "rod2"), places, strict=True)]
    assert moved[0] == pytest.approx(moved[1], rel=1e-3), "the same oil moves both"
    session.set_parameter("1W2.force", si("500 lbf"))
    session.advance(3.0)
    check("K06", "the gauge between them, half the load upstream [psi]", psi("P2"), 382, 0.001)
    check("K06", "the gauge at the pump then [psi]", psi("P1"), 541.1, 0.001)


def test_s10_series_stall() -> None:
    """The same cylinders stall when their loads sum to more than 2356 lb: where the speed comes to nothing."""
    session = begin(series("S10", "1000 lbf", "1343 lbf"))
    session.set_control("0M1.setting", si("1200 r/min"))
    session.advance(1.0)
    loads, speeds = [], []
    for second in (1343, 1350):
        session.set_parameter("2W2.force", si(f"{second} lbf"))
        session.advance(2.0)
        loads.append(1000.0 + second)
        speeds.append(speed(session, "rod1", 0.5))
    assert speeds[0] > speeds[1] > si("1 mm/s"), "below it they creep, the relief taking its share"
    stall = loads[0] + speeds[0] * (loads[1] - loads[0]) / (speeds[0] - speeds[1])
    check("S10", "sum of the loads at which they stall [lbf]", stall, 2356, 0.001)
    session.set_parameter("2W2.force", si("1370 lbf"))
    session.advance(1.0)
    assert speed(session, "rod1", 0.5) < 0, "above it the load comes back over the relief"


# -- open centre ------------------------------------------------------------------------------------------


@pytest.mark.soak
def test_b20_open_centre_at_part_speed() -> None:
    """20 gpm at a relief of 2500 psi, the load takes 9 at 1300: 29.17 hp in, 6.83 useful, 23.4 % (B20 of the sheet).

    An open-centre section far enough over to close its bypass; its lever is led until the load takes 9 gpm.
    """
    rig = supplied(
        "B20",
        """
1V1 = { is = "OpenCentreSection", rated_flow = "10 L/min", leakage = "0 m3/s/Pa" }
1A1 = { $cylinder, $held, bore = "2 in", rod = "1 in", stroke = "4 m" }
1W1 = { $carriage }
1W2 = { is = "ConstantForce", force = "4084.07045 lbf", mass = "1 kg" }
""",
        """
P1 = ["0P1.P", "0V1.P", "1V1.C", "1V1.P"]
A1 = ["1V1.A", "1A1.A"]
B1 = ["1V1.B"]
T = ["0V1.T", "0Z1.T", "1V1.T", "1V1.C1", "1A1.B"]
rod1 = ["1A1.rod", "1W1.rod", "1W2.rod"]
""",
        '1W1.x = "0.2 m"\n1V1.lever = 0.8\n',
        displacement=GPM_20,
        setting="2500 psi",
        rated="11 gpm",
    )
    session = drive(begin(unyielding(rig)))
    low, high = 0.72, 1.0
    for _ in range(20):
        middle = (low + high) / 2
        session.set_control("1V1.lever", middle)
        session.advance(0.2)
        low, high = (middle, high) if session.readings.stream("1V1", "P_to_A") < si("9 gpm") else (low, middle)
    r = session.readings
    assert r.stream("1V1", "past_spool") == 0.0, "the bypass is shut"
    check("B20", "the load takes, as arranged [gpm]", show(r.stream("1V1", "P_to_A"), "gpm"), 9, 0.001)
    paid, useful = r.value("0M1", "power"), -r["supply", "1W2", "load"]
    check("B20", "power in [hp]", show(paid, "hp"), 29.17, 0.001)
    check("B20", "useful power at the rod [hp]", show(useful, "hp"), 6.83, 0.001)
    check("B20", "efficiency [%]", 100 * useful / paid, 23.4, 0.002)
    ledger = power_ledger(session)
    booked = {style: sum(e.value for e in ledger.entries if e.style == style) for style in ("useful", "relief")}
    check("B20", "the ledger's useful power [hp]", show(booked["useful"], "hp"), 6.83, 0.001)
    check("B20", "the ledger's heat over the relief [hp]", show(booked["relief"], "hp"), 11 * 2500 / 1714.286, 0.001)


@pytest.mark.soak
def test_k05_neutral_pressure_is_the_sum_of_the_drops() -> None:
    """Common practice, no source: with all spools centred little remains; T03: series resistances add.

    The loader's pump in neutral against the drops of five bypasses (coefficient 0.65), filter (0.5 bar at the pump's
    flow, half laminar, at 35 mPa s) and cooler (0.4 bar likewise), each by its own law at the oil that enters it.
    """
    rig = rig_file.load(resources.path("rigs/timber-trailer-loader.toml"))
    session = Session(rig, 1e-6)
    session.advance(5.0)
    r = session.readings
    rated = si("15.2 cm3/rev") * si("1800 r/min")
    density, viscosity = (float(session.pu[session.network.pu_index[f"oil.{n}"]]) for n in ("density", "viscosity"))
    drops = []
    for section in ("1V1", "2V1", "3V1", "4V1", "5V1"):
        area = r.value(section, "bypass_area")
        assert area == pytest.approx(si("47 mm2"), rel=0.01), "declared in neutral"
        drops.append(density / 2 * (r["enters", section, "C"] / (0.65 * area)) ** 2)
    for part, clean in (("0Z2", "0.5 bar"), ("0Z3", "0.4 bar")):
        share = r["enters", part, "1"] / rated
        drops.append(si(clean) * (viscosity / 0.035 * share + share * share) / 2)
    check("K05", "loader in neutral, pump [bar]", show(r.pressure("pump"), "bar"), show(sum(drops), "bar"), 0.01)
    lines = ("pump", "banks", "G3", "G4", "G5", "R", "RC", "T")
    for (before, after), drop in zip(pairwise(lines), drops, strict=True):
        found = r.pressure(before) - r.pressure(after)
        check("K05", f"drop from {before} to {after} [bar]", show(found, "bar"), show(drop, "bar"), 0.01)
    assert show(r.pressure("pump"), "bar") < 10, "T03: 8 to 10 bar are easily reached"


# -- heat -------------------------------------------------------------------------------------------------


def rise(id_: str, part: str, words: str, pressure: str, flow: str, density: str) -> float:
    """Return by how much [K] the oil leaves a part hotter, all of the flow going through it at a pressure."""
    if part == "0V1":
        lines = 'P1 = ["0P1.P", "0V1.P"]\nT = ["0V1.T", "0Z1.T"]\n'
        found = supplied(id_, "", lines, setting=pressure, rated=flow, density=density, displacement=words)
        session = drive(begin(unyielding(found)))
    else:
        session = drive(begin(unyielding(restricted(id_, words, displacement="1.925 in3/rev", density=density))))
        low, high = 0.0, 1.0
        for _ in range(30):
            middle = (low + high) / 2
            session.set_control("1V1.opening", middle)
            session.advance(0.05, 0.05)
            low, high = (middle, high) if session.readings.pressure("P1") > si(pressure) else (low, middle)
    assert session.readings.pressure("P1") == pytest.approx(si(pressure), rel=1e-3)
    return session.readings.outlet_temperature(part) - session.readings.temperature


def test_h02_outlet_temperature_of_a_relief() -> None:
    """ESP Ex 11-2, p. 424: 120 F, 1000 psi, 10 gpm, 0.42 Btu/lb F, 7.42 lb/gal: 127.9 F.

    The program's oil holds 1900 J/kg K, the book's 1758: what is compared is the rise times the heat it takes.
    """
    density = f"{7.42 * 1728 / 231:.6f} lb/ft3"
    kelvin = rise("H02", "0V1", "1.925 in3/rev", "1000 psi", "10 gpm", density)
    found = 120 + kelvin * 9 / 5 * HEAT_CAPACITY / (0.42 * BTU_PER_POUND_F)
    check("H02", "outlet of the relief, with the book's heat capacity [F]", found, 127.9, within=0.1)


def test_h03_outlet_temperature_of_a_relief_si() -> None:
    """ESP Ex 11-3, p. 424: 50 C, 70 bar, 0.000632 m3/s, 895 kg/m3, 1.8 kJ/kg K: 54.3 C (see H02)."""
    kelvin = rise("H03", "0V1", "31.6 cm3/rev", "70 bar", "37.92 L/min", "895 kg/m3")
    check("H03", "outlet with the book's heat capacity [C]", 50 + kelvin * HEAT_CAPACITY / 1800, 54.3, within=0.1)


def test_h06_rise_across_a_valve() -> None:
    """SUL Ex 12.2, p. 292: 1000 psi, specific gravity 0.85, 0.42 Btu/lb F: 8.31 F (see H02)."""
    words = 'is = "Throttle", area = "20 mm2", leakage = "0 m3/s/Pa"'
    kelvin = rise("H06", "1V1", words, "1000 psi", "10 gpm", f"{0.85 * 62.4} lb/ft3")
    found = kelvin * 9 / 5 * HEAT_CAPACITY / (0.42 * BTU_PER_POUND_F)
    check("H06", "rise across a throttle, the book's heat capacity [F]", found, 8.31, 0.001)


def test_h07_power_through_an_unloading_valve() -> None:
    """ESP Ex 8-3, p. 299: 20 gpm unloaded at 25 psi are 0.29 hp; the relief of Ex 8-2 is in test_valves."""
    words = 'is = "Throttle", area = "200 mm2", leakage = "0 m3/s/Pa"'
    session = drive(begin(unyielding(restricted("H07", words, displacement=GPM_20))))
    low, high = 0.0, 1.0
    for _ in range(30):
        middle = (low + high) / 2
        session.set_control("1V1.opening", middle)
        session.advance(0.05, 0.05)
        low, high = (middle, high) if session.readings.pressure("P1") > si("25 psi") else (low, middle)
    check("H07", "unloaded, as arranged [psi]", show(session.readings.pressure("P1"), "psi"), 25, 0.001)
    check("H07", "power of the unloaded pump [hp]", show(session.readings.value("0M1", "power"), "hp"), 0.29, 0.006)


def test_l01_velocity_constant() -> None:
    """Formula sheets (Flodraulic, Flowprod): 1 gpm through 1 in2 are 0.3208 ft/s; the hose's own flow meter read."""
    bore = math.sqrt(4 / math.pi)
    words = f'is = "Hose", length = "1 m", bore = "{bore} in"'
    session = drive(begin(unyielding(restricted("L01", words, displacement="0.1925 in3/rev"))))
    velocity = session.readings.value("1Z1", "flow") / si("1 in2")
    check("L01", "1 gpm in 1 in2 [ft/s]", show(velocity, "ft/s"), 0.3208, 0.0005)


@pytest.mark.parametrize(
    ("id_", "words", "displacement", "turns", "oil", "number"),
    [
        (
            "L02",
            'bore = "1 in", length = "1 m"',
            "4.712388980 in3/rev",
            "1200 r/min",
            ("100 cSt", "56.16 lb/ft3"),
            774,
        ),
        (
            "L03",
            'bore = "50 mm", length = "1 m"',
            "147.26215563 cm3/rev",
            "4000 r/min",
            ("1000 cSt", "875 kg/m3"),
            250,
        ),
    ],
)
def test_l02_l03_reynolds_number(
    id_: str, words: str, displacement: str, turns: str, oil: tuple[str, str], number: float
) -> None:
    """ESP Ex 4-1 and 4-2, p. 132, from the drop that a laminar hose shows: Re = 64 / (its friction factor)."""
    viscosity, density = oil
    hose = f'is = "Hose", stiffness = "200 GPa", {words}'
    rig = restricted(id_, hose, displacement=displacement, viscosity=viscosity, density=density)
    session = drive(begin(unyielding(rig)), turns)
    r = session.readings
    bore = session.rig.value("1Z1", "bore")
    velocity = r.flow("1Z1", "1") / (math.pi / 4 * bore**2)
    factor = r.pressure("P1") * bore / session.rig.value("1Z1", "length") * 2 / (si(density) * velocity**2)
    check(id_, "Reynolds number by the drop", 64 / factor, number, 0.004)


# -- Merritt's valve and cylinder -------------------------------------------------------------------------


def test_b3_merritt_frequency_and_damping() -> None:
    """Merritt (1967), formula from memory: A 2e-3 m2, V 1e-3 m3, 500 kg, 1 GPa, Kce 5e-12: 178.885 rad/s, 0.055902.

    A cylinder of equal areas with a leak past its piston as Kce; both ends filled over check valves, then left
    alone; a force strikes, and the poles are found in what the speed does. The rig file's most leak is 2e-12 at
    35 mPa s; 1e-12 at 7 mPa s is what is asked for.
    """
    bore = 1e3 * math.sqrt(4 * 2e-3 / math.pi)
    rig = supplied(
        "B3",
        f"""
1V1 = {{ is = "CheckValve", leakage = "0 m3/s/Pa", gallery = "1 cm3" }}
1V2 = {{ is = "CheckValve", leakage = "0 m3/s/Pa", gallery = "1 cm3" }}
1A1 = {{ $cylinder, $damped, bore = "{bore} mm", rod = "0 mm", stroke = "400 mm", dead_volume = "99 cm3" }}
1W1 = {{ is = "Weight", mass = "498 kg", along = 0 }}
1W2 = {{ is = "ConstantForce", force = "0 N", mass = "1 kg" }}
""",
        """
P1 = ["0P1.P", "0V1.P", "1V1.1", "1V2.1"]
A1 = ["1V1.2", "1A1.A"]
B1 = ["1V2.2", "1A1.B"]
T = ["0V1.T", "0Z1.T"]
rod1 = ["1A1.rod", "1W1.rod", "1W2.rod"]
""",
        '1W1.x = "200 mm"\n',
        stiffness="1 GPa",
        viscosity="8 mm2/s",
        displacement="10 cm3/rev",
        setting="25 bar",
        rated="12 L/min",
    )
    session = begin(rig)
    session.set_control("0M1.setting", si("1200 r/min"))
    session.advance(1.0, 0.02)
    session.set_control("0M1.setting", 0.0)
    session.advance(0.5)
    session.set_parameter("0V1.setting", si("10 bar"))
    session.advance(0.5)
    assert session.readings.pressure("A1") > si("20 bar"), "pressed enough for its air not to count"
    session.set_parameter("1A1.leakage", 1e-12)
    session.set_parameter("1A1.viscous_friction", 0.0)
    session.set_parameter("1W2.force", -1000.0)
    length = 2e-3
    _, v = sample(session, lambda s: s.readings.speed("rod1"), 0.25, length)
    # two poles and a drift: v[n+2] = a v[n+1] + b v[n] + c
    (a, b, _), *_ = np.linalg.lstsq(np.column_stack([v[1:-1], v[:-2], np.ones(len(v) - 2)]), v[2:], rcond=None)
    pole = np.log(np.roots([1.0, -a, -b]).astype(complex)[0]) / length
    check("B3", "natural frequency [rad/s]", float(abs(pole)), 178.885)
    check("B3", "damping ratio", float(-pole.real / abs(pole)), 0.055902)
    check("B3", "real part of the poles [1/s]", float(pole.real), -10.0)
    check("B3", "damped frequency [rad/s]", float(abs(pole.imag)), 178.606)
