"""One section, three banks: tandem, parallel and series are made by lines alone.

Sources: T01 and T02 of the handbooks (FM 5-499 chapter 2 from memory): in parallel the actuator that needs the least
pressure moves first; in tandem an upstream section cuts off those downstream; in series pressures add.
"""

from __future__ import annotations

import pytest
from cases import first

from trainer.engine.session import Session
from trainer.rig import file as rig_file

PARTS = """
format = 1
title = "Two sections"
[oil]
warms = false
[parts]
0Z1 = { is = "Reservoir" }
0M1 = { is = "SteadyDrive" }
0P1 = { is = "FixedPump", displacement = "16 cm3/rev" }
0V1 = { is = "ReliefValve", setting = "180 bar" }
1V1 = { is = "OpenCentreSection" }
2V1 = { is = "OpenCentreSection" }
1A1 = { is = "Cylinder", bore = "80 mm", rod = "45 mm", stroke = "500 mm" }
2A1 = { is = "Cylinder", bore = "80 mm", rod = "45 mm", stroke = "500 mm" }
1W1 = { is = "Weight", mass = "5 t" }
2W1 = { is = "Weight", mass = "2 t" }
[lines]
shaft = ["0M1.shaft", "0P1.shaft"]
S = ["0Z1.S", "0P1.S"]
A1 = ["1V1.A", "1A1.A"]
A2 = ["2V1.A", "2A1.A"]
rod1 = ["1A1.rod", "1W1.rod"]
rod2 = ["2A1.rod", "2W1.rod"]
"""
TANDEM = """
P = ["0P1.P", "0V1.P", "1V1.C", "1V1.P"]
G = ["1V1.C1", "2V1.C", "2V1.P"]
T = ["2V1.C1", "1V1.T", "2V1.T", "0V1.T", "0Z1.T"]
B1 = ["1V1.B", "1A1.B"]
B2 = ["2V1.B", "2A1.B"]
"""
PARALLEL = """
P = ["0P1.P", "0V1.P", "1V1.C", "1V1.P", "2V1.P"]
G = ["1V1.C1", "2V1.C"]
T = ["2V1.C1", "1V1.T", "2V1.T", "0V1.T", "0Z1.T"]
B1 = ["1V1.B", "1A1.B"]
B2 = ["2V1.B", "2A1.B"]
"""
SERIES = """
P = ["0P1.P", "0V1.P", "1V1.C", "1V1.P"]
G = ["1V1.C1", "1V1.T", "2V1.C", "2V1.P"]
T = ["2V1.C1", "2V1.T", "0V1.T", "0Z1.T"]
B1 = ["1V1.B", "1A1.B"]
B2 = ["2V1.B", "2A1.B"]
"""


def at_full_lever(lines: str, levers: tuple[float, float]) -> Session:
    session = Session(rig_file.loads(PARTS + lines))
    session.set_control("0M1.setting", 188.5)  # 1800 r/min
    session.advance(1.0)
    for section, value in zip(("1V1", "2V1"), levers, strict=True):
        session.set_control(f"{section}.lever", value)
    session.advance(1.5)
    return session


def speeds(session: Session) -> tuple[float, float]:
    return session.readings.speed("rod1"), session.readings.speed("rod2")


@pytest.mark.parametrize("lines", first(1, [SERIES, TANDEM, PARALLEL]))
def test_each_section_alone_lifts_its_load(lines: str) -> None:
    for levers in ((1.0, 0.0), (0.0, 1.0)):
        found = speeds(at_full_lever(lines, levers))
        moving, standing = (found[0], found[1]) if levers[0] else (found[1], found[0])
        assert moving == pytest.approx(0.09, rel=0.1)  # 28 L/min on 50 cm2
        assert abs(standing) < 1e-3


def test_parallel_the_lighter_moves_first_and_the_gauge_shows_its_load() -> None:
    session = at_full_lever(PARALLEL, (1.0, 1.0))
    heavy, light = speeds(session)
    assert light == pytest.approx(0.09, rel=0.1)
    assert abs(heavy) < 1e-3
    assert 39e5 < session.readings.pressure("P") < 60e5  # 2 t on 50 cm2 are 39 bar, 5 t would be 98
    session.advance(6.0)  # the light one has met its end
    assert speeds(session)[0] == pytest.approx(0.09, rel=0.1)
    assert session.readings.pressure("P") > 98e5


def test_tandem_the_upstream_section_cuts_off_the_other() -> None:
    session = at_full_lever(TANDEM, (1.0, 1.0))
    heavy, light = speeds(session)
    assert heavy == pytest.approx(0.09, rel=0.1)
    assert abs(light) < 1e-3
    assert session.readings.pressure("P") > 98e5


def test_series_both_move_and_pressures_add() -> None:
    """The rod end of the first feeds the second: 0.68 of the flow, and its pressure counts 0.68 times at the pump."""
    session = at_full_lever(SERIES, (1.0, 1.0))
    heavy, light = speeds(session)
    ratio = 1 - (45 / 80) ** 2
    assert heavy == pytest.approx(0.09, rel=0.1)
    assert light == pytest.approx(ratio * heavy, rel=0.05)
    between = session.readings.pressure("G")
    assert 39e5 < between < 55e5
    assert session.readings.pressure("P") > 98e5 + ratio * between
