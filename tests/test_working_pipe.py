"""The working of a pipe gives what the engine has found, in each law, both ways, with roughness, fittings, height."""

from __future__ import annotations

import pytest
from cases import first

from trainer.engine.session import Session
from trainer.rig import file as rig_file
from trainer.units import System
from trainer.working import Subject, about

PIPED = """
format = 1
title = "A pipe"
[oil]
viscosity = "{viscosity}"
[parts]
0Z1 = {{ is = "Reservoir" }}
0M1 = {{ is = "SteadyDrive" }}
0P1 = {{ is = "FixedPump", displacement = "40 cm3/rev" }}
1Z1 = {{ is = "Hose", length = "6 m", bore = "16 mm", {more} }}
[lines]
m = ["0M1.shaft", "0P1.shaft"]
S = ["0Z1.S", "0P1.S"]
P = ["0P1.P", "1Z1.{inlet}"]
T = ["1Z1.{outlet}", "0Z1.T"]
[start]
0M1.setting = "1500 r/min"
"""


@pytest.mark.parametrize("way", first(1, ["12", "21"]))
@pytest.mark.parametrize(
    "more",
    ['roughness = "0 mm"', 'roughness = "0.3 mm"', 'fittings = "12"',
     'roughness = "0.1 mm", fittings = "2.5", height = "3 m"', 'height = "-3 m"'],
)  # fmt: skip
@pytest.mark.parametrize(
    ("viscosity", "law"), [("60 mm2/s", "laminar"), ("26 mm2/s", "between"), ("6 mm2/s", "turb")]
)
def test_a_pipe_is_opened_to_its_last_number(viscosity: str, law: str, more: str, way: str) -> None:
    """Drop, friction factor and height of each law give the engine's to 1e-9, both ways and in both systems."""
    rig = rig_file.loads(PIPED.format(viscosity=viscosity, more=more, inlet=way[0], outlet=way[1]), "pipe")
    session = Session(rig)
    session.advance(1.0)
    found = {working.name: working for working in about(rig, session.readings, Subject("part", "1Z1"))}
    for working in found.values():
        for system in System:
            wanted = working.result.value
            assert working.value(system) == pytest.approx(wanted, rel=1e-9, abs=1e-9 * 1e5), working.lines(system)
    (factor,) = (term for term in found["Drop of the hose"].terms if term.letter == "λ")
    assert factor.source.startswith(law)
    assert ("Friction factor" in found) == (law != "between")
    assert ("Pressure of the height" in found) == ("height" in more)
    letters = {term.letter for term in found["Drop of the hose"].terms}
    assert ("ζ" in letters) == ("fittings" in more)
    if law == "turb":
        assert ("k" in {term.letter for term in found["Friction factor"].terms}) == (
            "roughness" in more and '"0 mm"' not in more
        )
