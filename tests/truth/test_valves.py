"""Orifice, meter-in, relief: valves in their circuits against worked examples (ESP as in test_cylinders)."""

from __future__ import annotations

import pytest

from trainer.engine.session import Session
from trainer.parts.part import Parameter
from trainer.parts.pressure_valves import PilotOperatedReliefValve
from trainer.rig.rig import Rig

from .printed import check
from .rigs import begin, drive, mean, metered, restricted, show, si, speed, supplied, unyielding

SG_0_9 = "56.16 lb/ft3"  # 0.9 of water's 62.4 lb/ft3
GPM_20 = "3.85 in3/rev"  # at 1200 r/min
# ESP's Cv = 1: 1 gpm of water at 1 psi, so A = 1/37.982 in2 (row O02) for a coefficient of 1
CV_1 = 'is = "Orifice", diameter = "0.183090 in", discharge = 1, transition = "1e-4 bar"'


def set_flow(session: Session, wanted: float) -> None:
    """Turn the throttle 1V1 until a wanted flow [m3/s] goes through it."""
    shut, open_ = 0.0, 1.0
    for _ in range(24):
        middle = (shut + open_) / 2
        session.set_control("1V1.opening", middle)
        session.advance(0.1)
        if session.readings.flow("1V1", "1") > wanted:
            open_ = middle
        else:
            shut = middle


def test_o01_sharp_edged_orifice() -> None:
    """ESP Ex 8-4, p. 302: 1 in, coefficient 0.80, 100 psi, specific gravity 0.9: 252 gpm.

    The relief keeps 100 psi before it and takes what is left of the pump's 264 gpm.
    """
    rig = restricted(
        "O01",
        'is = "Orifice", diameter = "1 in", discharge = 0.8, transition = "1e-4 bar"',
        density=SG_0_9,
        displacement="250 cm3/rev",
        setting="100 psi",
        override="5 %",
        rated="12.65 gpm",
    )
    session = drive(begin(unyielding(rig)), "4000 r/min")
    check("O01", "pressure ahead [psi]", show(session.readings.pressure("P1"), "psi"), 100, 0.001)
    check("O01", "orifice flow [gpm]", show(session.readings.flow("1V1", "1"), "gpm"), 252)


def test_s01_meter_in_speed() -> None:
    """ESP Ex 9-4, p. 347: Cv 1.0, relief 1400 psi, 4000 lb on 3.14 in2, specific gravity 0.9: 14.5 in/s."""
    rig = metered(
        "S01",
        CV_1,
        density=SG_0_9,
        load="4000 lbf",
        bore="1.9994930 in",
        displacement=GPM_20,
        setting="1400 psi",
        rated="8.16 gpm",
    )
    session = drive(begin(unyielding(rig)))
    pressure = mean(session, lambda s: s.readings.pressure("P1"))
    check("S01", "pump pressure [psi]", show(pressure, "psi"), 1400, 0.001)
    check("S01", "metered speed [in/s]", show(speed(session, "rod1"), "in/s"), 14.5, 0.003)


def throttled(title: str, **written: str) -> Rig:
    """Return a rig with a throttle that meters the oil into a 2 in cylinder."""
    return metered(title, 'is = "Throttle", area = "12 mm2", leakage = "0 m3/s/Pa"', bore="2 in", **written)


@pytest.mark.soak
def test_s03_meter_in_balance() -> None:
    """'Operation hydraulic meter-in' note (tneutron.net): of 5 gpm 3 are metered, 2 go over the relief."""
    rig = throttled("S03", load="1000 lbf", displacement="0.9625 in3/rev", setting="1000 psi", rated="5 gpm")
    session = drive(begin(unyielding(rig)))
    set_flow(session, si("3 gpm"))
    check("S03", "metered [gpm]", show(session.readings.flow("1V1", "1"), "gpm"), 3, 0.001)
    check("S03", "over the relief [gpm]", show(session.readings.flow("0V1", "P"), "gpm"), 2)


@pytest.mark.soak
def test_s04_surplus_over_the_relief() -> None:
    """Page 'Open-center hydraulic circuit' (valvehydraulic.info): 20 gpm at 2500 psi, load takes 9 at 1300 psi.

    11 gpm are dumped (printed there); the powers are computed from its flows and pressures. The load is 1300 psi
    on a 2 in bore.
    """
    rig = throttled("S04", load="4084.07045 lbf", displacement=GPM_20, setting="2500 psi", rated="11 gpm")
    session = drive(begin(unyielding(rig)))
    set_flow(session, si("9 gpm"))
    r = session.readings
    useful = r.pressure("A1") * -r.flow("1V1", "2")
    paid = r.value("0M1", "power")
    check("S04", "dumped over the relief [gpm]", show(r.flow("0V1", "P"), "gpm"), 11, 0.001)
    check("S04", "power paid in [hp]", show(paid, "hp"), 29.17, 0.001)
    check("S04", "useful power [hp]", show(useful, "hp"), 6.83, 0.001)
    lost = r["heat", "0V1", "over_relief"] + r["heat", "1V1", "through"]
    check("S04", "power lost as heat in relief and throttle [hp]", show(lost, "hp"), 22.34, 0.001)


def over_the_relief(title: str, words: str) -> Rig:
    """Return a rig whose pump of 20 gpm at 1200 r/min has no other way than over the relief 1V1."""
    return supplied(
        title,
        f'1V1 = {{ is = "ReliefValve", given_by = "spring", {words}, rated_flow = "20 gpm" }}',
        'P1 = ["0P1.P", "0V1.P", "1V1.P"]\nT = ["0V1.T", "0Z1.T", "1V1.T"]\n',
        displacement=GPM_20,
    )


@pytest.mark.parametrize(
    ("id_", "words", "cracks", "full", "share"),
    [
        ("R01", 'area = "0.75 in2", spring = "2500 lbf/in", preload = "0.20 in", lift = "0.10 in"', 667, 1000, 0.001),
        (
            "R02",
            'area = "0.75 in2", spring = "3400 lbf/in", preload = "0.275 in", lift = "0.10 in"',
            1245.2,
            1698,
            0.002,
        ),
    ],
)
def test_r01_r02_relief_from_cracking_to_full_flow(
    id_: str, words: str, cracks: float, full: float, share: float
) -> None:
    """ESP Ex 8-1, p. 293 and ESP Ex 9-3, p. 335 (its spring found, here put in).

    Read at full flow, and at one and two hundredths of it: a line through these two shows where flow begins.
    """
    read = []
    for part in (0.01, 0.02, 1.0):
        session = drive(begin(unyielding(over_the_relief(id_, words))), f"{1200 * part} r/min", 2.0)
        read.append(show(session.readings.pressure("P1"), "psi"))
    check(id_, "relief cracks [psi]", 2 * read[0] - read[1], cracks, share)
    check(id_, "relief at full flow [psi]", read[2], full, share)
    if id_ == "R01":
        check("R04", "override: from cracking to full flow [psi]", read[2] - (2 * read[0] - read[1]), 333, 0.003)


def test_r03_drop_that_lifts_a_main_piston() -> None:
    """A page on compound reliefs: about 1.5 kgf/cm2, printed as 21 psi, over its orifice lift the main piston."""
    declared = PilotOperatedReliefValve.declared(Parameter)["spring"]
    check("R03", "drop that lifts the main piston [psi]", show(declared.start, "psi"), 21, 0.04)


def test_h07_power_over_a_relief() -> None:
    """ESP Ex 8-2, p. 299: 20 gpm over a relief at 1000 psi are 11.7 hp of heat."""
    lines = 'P1 = ["0P1.P", "0V1.P"]\nT = ["0V1.T", "0Z1.T"]\n'
    rig = supplied("H07", "", lines, displacement=GPM_20, setting="1000 psi", rated="20 gpm")
    session = drive(begin(unyielding(rig)))
    heat = session.readings["heat", "0V1", "over_relief"]
    check("H07", "heat over the relief [hp]", show(heat, "hp"), 11.7, 0.006)
