"""Force, speed, order and power of cylinders, against worked examples.

ESP is A. Esposito, Fluid Power with Applications, 6th ed. (2005); SUL is J. Sullivan, Fluid Power: Theory and
Applications, 4th ed. Both as given by the FOSSEE textbook companions, not seen on the page.
"""

from __future__ import annotations

import pytest

from .printed import check
from .rigs import (
    begin,
    drive,
    jack,
    mean,
    one_cylinder,
    parallel,
    power,
    press,
    show,
    si,
    speed,
    until,
    unyielding,
    work,
)

# 20 gpm at 1200 r/min; 25 in2 of piston less 7 in2 of rod; 12.57 in2 of piston
GPM_20 = "3.85 in3/rev"
REGENERATIVE = {"bore": "5.6418958355 in", "rod": "2.9854106607 in", "displacement": GPM_20}
BORE_12_57 = "4.0005848 in"


def test_c01_jack_force() -> None:
    """ESP Ex 3-4, p. 85: 100 lb on 2 in2 hold 1000 lb on 20 in2; here the large rod presses on a wall."""
    session = begin(jack("C01", effort="100 lbf", wall="1 mm"), 1.0)
    force = mean(session, lambda s: s.readings.value("2W3", "force"))
    check("C01", "jack, force [lbf]", show(force, "lbf"), 1000)


@pytest.mark.soak
def test_c01_jack_stroke_and_energy() -> None:
    """ESP Ex 3-4, p. 85: 1 in of stroke lifts 0.1 in; 100 in lb go in and come out.

    The load is 999 lb, so that it moves at all.
    """
    session = begin(jack("C01", effort="100 lbf", load="1000 lbf"), 0.5)
    session.set_parameter("2W2.force", si("999 lbf"))
    for cylinder in ("1A1", "2A1"):
        session.set_parameter(f"{cylinder}.viscous_friction", 20.0)
    until(session, lambda s: s.readings.place("rod2") > si("0.3 mm"), 1 / 60, 10)
    begun, went_in, came_out = session.readings, work(session, "1W2"), work(session, "2W2")
    until(session, lambda s: s.readings.place("rod1") < begun.place("rod1") - si("1 in"), 1 / 60, 10)
    inches = show(begun.place("rod1") - session.readings.place("rod1"), "in")
    lifted = show(session.readings.place("rod2") - begun.place("rod2"), "in")
    inch_pounds = si("1 in") * si("1 lbf")
    check("C01", "jack, stroke of the load for 1 in [in]", lifted / inches, 0.1)
    check("C01", "jack, energy in for 1 in [lbf in]", (work(session, "1W2") - went_in) / inch_pounds / inches, 100)
    check("C01", "jack, energy out for 1 in [lbf in]", (came_out - work(session, "2W2")) / inch_pounds / inches, 100)


def test_c05_force_is_pressure_times_area() -> None:
    """SUL Ex 1.1, p. 17: 1500 psi on 12.57 in2 are 18 855 lb."""
    rig = press("C05", bore=BORE_12_57, rod="2 in", displacement=GPM_20, setting="1500 psi", rated="20 gpm")
    session = drive(begin(unyielding(rig)))
    check("C05", "relief [psi]", show(session.readings.pressure("P1"), "psi"), 1500, 0.001)
    force = mean(session, lambda s: s.readings.value("1W3", "force"))
    check("C05", "force at 1500 psi [lbf]", show(force, "lbf"), 18855)


@pytest.mark.soak
@pytest.mark.parametrize(
    ("way", "load", "place", "psi", "feet", "horsepower"),
    [("extend", "1000 lbf", "0.1 m", 318, 2.05, 3.72), ("retract", "-1000 lbf", "1.9 m", 425, 2.73, 4.96)],
)
def test_c10_both_strokes(way: str, load: str, place: str, psi: float, feet: float, horsepower: float) -> None:
    """ESP Ex 6-1, p. 219: 20 gpm, bore 2 in, rod 1 in, 1000 lb each way."""
    rig = one_cylinder("C10", way=way, load=load, place=place, bore="2 in", rod="1 in", displacement=GPM_20)
    session = drive(begin(unyielding(rig)))
    pressure = mean(session, lambda s: s.readings.pressure("P1"))
    check("C10", f"{way}, pressure [psi]", show(pressure, "psi"), psi)
    check("C10", f"{way}, speed [ft/s]", abs(show(speed(session, "rod1"), "ft/s")), feet)
    check("C10", f"{way}, power [hp]", show(power(session, "1W2"), "hp"), horsepower)


def test_c13_regenerative_force() -> None:
    """ESP Ex 9-1, p. 331: A and B both on the pump line, relief 1000 psi: 7000 lb extending."""
    rig = press("C13", regenerates=True, setting="1000 psi", rated="20 gpm", **REGENERATIVE)
    session = drive(begin(unyielding(rig)))
    force = mean(session, lambda s: s.readings.value("1W3", "force"))
    check("C13", "regenerative, force extending [lbf]", show(force, "lbf"), 7000, 0.003)


@pytest.mark.soak
@pytest.mark.parametrize(
    ("way", "load", "place", "inches", "horsepower"),
    [("regenerate", "7000 lbf", "0.1 m", 11, 11.7), ("retract", "-18000 lbf", "1.5 m", 4.28, 11.7)],
)
def test_c13_regenerative_speed(way: str, load: str, place: str, inches: float, horsepower: float) -> None:
    """ESP Ex 9-1, p. 331: 11 in/s out with 7000 lb, 4.28 in/s in with 18 000 lb, 11.7 hp each way at 1000 psi.

    The relief stands at 1020 psi, so that all the oil goes to the cylinder at 1000.
    """
    rig = one_cylinder("C13", way=way, load=load, place=place, setting="1020 psi", rated="20 gpm", **REGENERATIVE)
    session = drive(begin(unyielding(rig)))
    pressure = mean(session, lambda s: s.readings.pressure("P1"))
    check("C13", f"{way}, pressure with the load [psi]", show(pressure, "psi"), 1000, 0.003)
    check("C13", f"{way}, speed [in/s]", abs(show(speed(session, "rod1"), "in/s")), inches, 0.003)
    check("C13", f"{way}, power [hp]", show(power(session, "1W2"), "hp"), horsepower, 0.003)


@pytest.mark.soak
def test_s09_parallel_cylinders_least_load_first() -> None:
    """Two 2 in cylinders on one line, 1000 and 2000 lb, relief 750 psi.

    Rule of FM 5-499 (attribution from memory): the least load moves first. The numbers are computed, not printed.
    K07 says the same as common practice, without a source.
    """
    session = begin(parallel("S09", displacement="0.1925 in3/rev", setting="750 psi", rated="1 gpm"), 0.5)
    session.set_control("0M1.setting", si("1200 r/min"))
    end = si("4 in")

    def gauge() -> float:
        return show(mean(session, lambda s: s.readings.pressure("P1")), "psi")

    until(session, lambda s: s.readings.place("rod1") > end / 2, 1 / 60, 10)
    check("S09", "gauge while the light one moves [psi]", gauge(), 318.3, 0.001)
    assert session.readings.place("rod2") < si("0.1 mm"), "the heavy one waits"
    until(session, lambda s: s.readings.place("rod2") > end / 2, 1 / 60, 10)
    check("S09", "gauge while the heavy one moves [psi]", gauge(), 636.6, 0.001)
    assert session.readings.place("rod1") > 0.999 * end, "the light one is at its end"
    until(session, lambda s: s.readings.place("rod2") > 0.999 * end, 1 / 60, 10)
    session.advance(0.5)
    check("S09", "gauge when both stand [psi]", gauge(), 750, 0.001)
