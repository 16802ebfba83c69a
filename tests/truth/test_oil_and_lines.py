"""Oil and what it flows through: viscosity, stiffness, pipes and fittings (ESP, SUL as in test_cylinders)."""

from __future__ import annotations

import math

import numpy as np
import pytest
from chemicals.viscosity import viscosity_index

from trainer.parts.oil import GRADES, kinematic_viscosity, properties, walther

from .printed import check
from .rigs import begin, closed_in, drive, restricted, show, si, unyielding

# ISO 3448 as tabulated by Lubesolut and Aims Industrial: least, middle, most [cSt at 40 C]
ISO_3448 = {
    "VG 15": (13.5, 15.0, 16.5),
    "VG 22": (19.8, 22.0, 24.2),
    "VG 32": (28.8, 32.0, 35.2),
    "VG 46": (41.4, 46.0, 50.6),
    "VG 68": (61.2, 68.0, 74.8),
    "VG 100": (90.0, 100.0, 110.0),
}
# computed reference curve, no printed source: ASTM D341 through 40 C and the viscosity at 100 C of index 100
CURVE = {
    "VG 32": {0: 341.4, 20: 86.8, 40: 32.0, 60: 15.1, 80: 8.5, 100: 5.4},
    "VG 46": {0: 584.9, 20: 134.5, 40: 46.0, 60: 20.6, 80: 11.1, 100: 6.8},
    "VG 68": {0: 1024.9, 20: 214.1, 40: 68.0, 60: 28.7, 80: 14.8, 100: 8.7},
}


def test_v01_every_grade_is_in_the_table() -> None:
    """Only grades that can be checked are offered."""
    assert GRADES.keys() == ISO_3448.keys()


@pytest.mark.parametrize("grade", ISO_3448)
def test_v01_grades_at_40_degrees(grade: str) -> None:
    """ISO 3448 (ASTM D2422): the middle at 40 C, and well within its limits."""
    least, middle, most = ISO_3448[grade]
    found = properties(grade, 40.0, 0.005).viscosity / properties(grade, 40.0, 0.005).density * 1e6
    check("V01", f"{grade} at 40 C [mm2/s]", found, middle)
    assert least < found < most


@pytest.mark.parametrize("grade", ISO_3448)
def test_viscosity_index_of_every_grade(grade: str) -> None:
    """ASTM D2270, as coded in ``chemicals``: the grades are oils of viscosity index 100."""
    at_40, at_100 = (kinematic_viscosity(grade, celsius) for celsius in (40.0, 100.0))
    if grade in ("VG 15", "VG 22"):  # below 5 mm2/s the program holds the viscosity, so look at the grade itself
        at_100 = GRADES[grade][1] * 1e-6
    index = viscosity_index(at_40, at_100, rounding=False)
    check("D2270", f"{grade}, viscosity index", index, 100, within=2.0)


def test_v04_walther_line() -> None:
    """'Viscosity vs temperature calculator' sheet (ASTM D341, scribd 361017004): A 9.5259, B 3.7449, 8.5 cSt."""
    a, b = walther((32.0, 313.0), (5.4, 373.0))  # the sheet adds 273
    check("V04", "Walther A", a, 9.5259, 0.001)
    check("V04", "Walther B", b, 3.7449, 0.001)
    check("V04", "VG 32 at 80 C [mm2/s]", kinematic_viscosity("VG 32", 80.0) * 1e6, 8.5, within=0.05)


@pytest.mark.parametrize("grade", CURVE)
def test_viscosity_curve(grade: str) -> None:
    """Computed curve, no printed source: to 0.5 %, or half of the last figure."""
    for celsius, printed in CURVE[grade].items():
        found = kinematic_viscosity(grade, celsius) * 1e6
        check("curve", f"{grade} at {celsius} C [mm2/s]", found, printed, within=max(0.005 * printed, 0.05))


def piped(id_: str, words: str, displacement: str, speed: str, **oil: str) -> tuple[float, float]:
    """Return the drop [Pa] and the flow [m3/s] of a hose that a pump feeds and that ends in the tank."""
    hose = f'is = "Hose", stiffness = "200 GPa", {words}'
    session = drive(begin(unyielding(restricted(id_, hose, displacement=displacement, **oil))), speed)
    return session.readings.pressure("P1"), session.readings.flow("1Z1", "1")


def test_l02_l04_laminar_pipe() -> None:
    """ESP Ex 4-1 and 4-3, p. 132, 134: 100 cSt, 10 ft/s, 100 ft of 1 in, specific gravity 0.9: Re 774, 60 psi."""
    drop, flow = piped(
        "L04",
        'length = "100 ft", bore = "1 in"',
        "4.712388980 in3/rev",
        "1200 r/min",
        viscosity="100 cSt",
        density="56.16 lb/ft3",
    )
    velocity = flow / (math.pi / 4 * si("1 in2"))
    check("L04", "velocity, as arranged [ft/s]", show(velocity, "ft/s"), 10, 0.0005)
    check("L02", "Reynolds number", velocity * si("1 in") / si("100 cSt"), 774, 0.0005)
    check("L04", "drop over 100 ft of 1 in [psi]", show(drop, "psi"), 60, 0.01)


def test_l05_laminar_pipe_si() -> None:
    """ESP Ex 4-4, p. 134: 0.001 m2/s, 5 m/s in 50 m of 50 mm, 8800 N/m3: 28.7 bar."""
    drop, flow = piped(
        "L05",
        'length = "50 m", bore = "50 mm"',
        "147.26215563 cm3/rev",
        "4000 r/min",
        viscosity="1000 mm2/s",
        density="897.3503 kg/m3",
    )
    check("L05", "velocity, as arranged [m/s]", flow / si("19.63495408 cm2"), 5, 0.0005)
    check("L05", "drop over 50 m of 50 mm [bar]", show(drop, "bar"), 28.7, 0.002)


def test_l23_laminar_pipe_of_a_viscous_oil() -> None:
    """Munson, Young & Okiishi, Fundamentals of Fluid Mechanics, Ex 8.2, p. 412: 20.4 kPa."""
    drop, _ = piped(
        "L23",
        'length = "10 m", bore = "20 mm"',
        "1 cm3/rev",
        "1200 r/min",
        viscosity="444.44444 mm2/s",
        density="900 kg/m3",
    )
    check("L23", "drop over 10 m of 20 mm [kPa]", show(drop, "kPa"), 20.4, 0.002)


def fitted(id_: str, words: str, more: str, displacement: str, speed: str, **oil: str) -> tuple[float, float, float]:
    """Return the drops [Pa] of a hose without and with more words to it, and its flow [m3/s]; one pump, one speed."""
    (plain, _), (drop, flow) = (piped(id_, one, displacement, speed, **oil) for one in (words, f"{words}, {more}"))
    return plain, drop, flow


def test_l06_globe_valve() -> None:
    """ESP Ex 4-6, p. 142: K 10 in a 1 in line at 30 gpm, specific gravity 0.9: 23.1 ft, with a velocity cut short."""
    plain, drop, flow = fitted(
        "L06", 'bore = "1 in", length = "0.5 m"', "fittings = 10", "5.775 in3/rev", "1200 r/min",
        viscosity="100 cSt", density="56.16 lb/ft3",
    )  # fmt: skip
    check("L06", "flow, as arranged [gpm]", show(flow, "gpm"), 30, 0.001)
    head = (drop - plain) / (si("56.16 lb/ft3") * 9.80665)
    check("L06", "loss of a globe valve [ft]", show(head, "ft"), 23.1, 0.012)


def test_l08_equivalent_length_of_a_globe_valve() -> None:
    """ESP Ex 4-8, p. 143: K 10 at 30 gpm and 100 cSt is as much as 12.3 ft of 1 in pipe, laminar."""
    oil = {"viscosity": "100 cSt", "density": "56.16 lb/ft3"}
    plain, drop, _ = fitted(
        "L08", 'bore = "1 in", length = "10 ft"', "fittings = 10", "5.775 in3/rev", "1200 r/min", **oil
    )
    check("L08", "globe valve as so much pipe [ft]", 10 * (drop - plain) / plain, 12.3, 0.005)


def test_l09_lift_line_and_elbow() -> None:
    """ESP Ex 4-9, p. 144: 5 hp at 30 gpm, 1 in, 21 ft and an elbow of 0.9, 20 ft up, SG 0.9, 100 cSt: 260 psi.

    The book takes the oil from a still tank, so its velocity head counts as one more K-factor of 1.
    """
    drop, flow = piped(
        "L09", 'bore = "1 in", length = "21 ft", fittings = 1.9, height = "20 ft"', "5.775 in3/rev", "1200 r/min",
        viscosity="100 cSt", density="56.16 lb/ft3",
    )  # fmt: skip
    at_pump = si("5 hp") / flow
    check("L09", "pressure at the motor [psi]", show(at_pump - drop, "psi"), 260, 0.005)
    check("L09", "of the lift, as by hand [psi]", show(si("56.16 lb/ft3") * 9.80665 * si("20 ft"), "psi"), 7.8)


def test_l17_laminar_loss() -> None:
    """SUL Ex 5.2, p. 84: 15 gpm, 1 in, 0.08 in2/s, 400 ft, specific gravity 0.85: 71.68 psi; twice 200 ft here."""
    viscosity = f"{0.08 * 645.16} mm2/s"
    drop, flow = piped(
        "L17", 'bore = "1 in", length = "200 ft"', "2.8875 in3/rev", "1200 r/min",
        viscosity=viscosity, density="53.04 lb/ft3",
    )  # fmt: skip
    check("L17", "flow, as arranged [gpm]", show(flow, "gpm"), 15, 0.001)
    check("L17", "laminar loss of 400 ft [psi]", 2 * show(drop, "psi"), 71.68, 0.005)


def test_l20_sum_of_minor_losses() -> None:
    """SUL Ex 5.5, p. 94: 50 gpm, 1 in, K-factors of 16.505 in all, specific gravity 0.91: 42.09 psi."""
    plain, drop, flow = fitted(
        "L20", 'bore = "1 in", length = "0.2 m"', "fittings = 16.505", "9.625 in3/rev", "1200 r/min",
        viscosity="32 cSt", density="56.784 lb/ft3",
    )  # fmt: skip
    check("L20", "flow, as arranged [gpm]", show(flow, "gpm"), 50, 0.001)
    check("L20", "sum of the fittings [psi]", show(drop - plain, "psi"), 42.09, 0.005)


def test_l25_turbulent_line() -> None:
    """Crane TP-410, problem 7-13 (in the documentation of ``fluids``): 66 500 Pa with its chart's f of 0.0230.

    SG 0.815, 2.7 mm2/s, 100 ft of 2 in schedule 40 (2.067 in), 2 gal/s, commercial steel of 0.0018 in; Colebrook's
    law makes f 0.0227, 1.3 % less.
    """
    words = 'bore = "2.067 in", length = "100 ft", roughness = "0.0018 in"'
    drop, flow = piped("L25", words, "9.24 in3/rev", "3000 r/min", viscosity="2.7 mm2/s", density="50.856 lb/ft3")
    check("L25", "flow, as arranged [gpm]", show(flow, "gpm"), 120, 0.002)
    check("L25", "turbulent loss of 100 ft [Pa]", drop, 66500, 0.02)


def test_b01_b07_trapped_oil() -> None:
    """ESP Ex 2-11, p. 57, 10 in3 and 250 000 psi: 100 to 2000 psi take 0.076 in3; 0.076 in3 give 1900 psi.

    A force on a 1 in piston is raised step by step over oil that is shut in.
    """
    rig = closed_in(
        "B07",
        force="78.53981634 lbf",
        bore="1 in",
        dead="9 in3",
        stroke="200 mm",
        place="1.27894 in",
        stiffness=f"{si('250000 psi') / 1e9:.9f} GPa",
    )
    session = begin(rig, 1.0)
    piston, pressure, volume = si("0.7853981634 in2"), [], []
    for force in (78.53981634, 1000.0, 1400.0, 1500.0, 1550.0, 1600.0):
        session.set_parameter("1W2.force", si(f"{force} lbf"))
        session.advance(1.0, 0.1)
        pressure.append(show(session.readings.pressure("A1"), "psi"))
        volume.append(show(si("9 in3") + piston * session.readings.place("rod1"), "in3"))
    check("B07", "oil at 100 psi, as arranged [in3]", volume[0], 10, 0.0005)
    yielded = [volume[0] - now for now in volume]
    check("B01", "oil gives way, 100 to 2000 psi [in3]", float(np.interp(2000, pressure, yielded)), 0.076)
    rise = float(np.interp(0.076, yielded, pressure)) - pressure[0]
    check("B07", "rise for 0.076 in3 [psi]", rise, 1900)
