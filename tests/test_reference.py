"""Pages of parts, from their declarations: what stands there, in which units, and what their efficiencies are."""

from __future__ import annotations

import math
from pathlib import Path

import numpy as np
import pytest

from trainer import cli, resources, units
from trainer.errors import RigError
from trainer.parts import CATALOGUE
from trainer.parts.drives import HydraulicMotor
from trainer.parts.efficiency import HOT, PRESSURES
from trainer.parts.laws import RATED_VISCOSITY
from trainer.parts.loop import HydrostaticPump
from trainer.parts.model import OIL_NUMBERS, PartModel
from trainer.parts.part import Choice, Control, Parameter, Part, Wear
from trainer.parts.pumps import DoublePump
from trainer.parts.roles import GROUPS, Pump, Restrictor
from trainer.parts.supply import FixedPump
from trainer.parts.variable import PressureCompensatedPump
from trainer.rig import file as rig_file
from trainer.rig.reference import Reference, efficiencies, group_of, groups, named
from trainer.rig.reference_text import COMMAND, listed, page
from trainer.units import System

BAR = 1e5
TURN = 2 * math.pi / 60  # r/min in rad/s


def test_every_part_stands_in_one_group() -> None:
    found = groups()
    assert [part.__name__ for parts in found.values() for part in parts] == [
        *dict.fromkeys(part.__name__ for parts in found.values() for part in parts)
    ]
    assert {part for parts in found.values() for part in parts} == {*CATALOGUE.values()}
    assert [group for group in GROUPS if group in found] == [*found]
    assert group_of(CATALOGUE["SequenceValve"]) == "Pressure valves"  # whatever its role
    assert isinstance(CATALOGUE["SequenceValve"].role, Restrictor)


def test_every_part_is_listed_with_what_it_is_for() -> None:
    text = " ".join("\n".join(listed()).split())
    for name, part in CATALOGUE.items():
        assert f"{name} {part.plain.term}. {part.plain.does}" in text


def test_a_page_has_every_declaration_in_the_words_of_a_file() -> None:
    """Ranges read back are those declared: what stands there can be copied into a rig file."""
    for name, part in CATALOGUE.items():
        reference = Reference(part)
        keys = {row[0]: row for row in reference.keys.rows}
        worn = {row[0]: row for row in reference.wear.rows}
        assert worn.keys() == part.declared(Wear).keys(), name
        assert keys.keys() == (part.declared(Choice) | part.declared(Parameter)).keys() - worn.keys(), name
        assert [row[0] for row in reference.controls.rows] == [*part.declared(Control)]
        for key, one in part.declared(Parameter).items():
            if key in worn:
                for cell, value in zip(worn[key][1:5], (one.start, *one.severities.values()), strict=True):
                    assert units.read(cell, one.quantity) == pytest.approx(value, rel=1e-3), (name, key)
                assert one.notice in worn[key][-1]
            else:
                low, high = keys[key][2].split(" … ")
                low = low if " " in low else " ".join((low, *high.split(" ")[1:]))
                assert [units.read(text, one.quantity) for text in (low, high)] == [one.low, one.high], (name, key)
                assert units.read(keys[key][1], one.quantity) == one.start
        assert [row[0] for row in reference.ports.rows] == [*part.ports]
        assert reference.law == part.plain.law


def test_the_readings_of_a_page_are_those_of_the_law() -> None:
    assert [*Reference(FixedPump).readings.rows] == [*PartModel(FixedPump).reads.items()]


def test_the_entry_of_a_page_can_be_read() -> None:
    """It is an entry of a rig file as it stands there: nothing of it is a fault."""
    entries = {name: Reference(part).example for name, part in CATALOGUE.items()}
    text = "format = 1\ntitle = 'one of each'\n[parts]\n{}\n[lines]\n"
    for entry in entries.values():
        with pytest.raises(RigError) as told:
            rig_file.loads(text.format(entry))
        assert {fault.kind for fault in told.value.faults} == {"port on no line"}, entry


def test_units_of_a_page() -> None:
    relief = CATALOGUE["ReliefValve"]
    setting = {system: Reference(relief, system).keys for system in System}
    rows = {system: next(row for row in table.rows if row[0] == "setting") for system, table in setting.items()}
    start = relief.declared(Parameter)["setting"].start
    assert rows[System.METRIC][1] == f"{start / BAR:g} bar"
    assert rows[System.US][1] == f"{start / units.UNITS['psi'].factor:.0f} psi"
    assert rows[System.US][2].endswith("00 psi")  # limits are round


def test_a_part_is_found_by_any_of_its_names() -> None:
    pump = CATALOGUE["FixedPump"]
    assert named("FixedPump") is named("fixedpump") is named("Fixed-displacement pump") is pump
    assert named("nothing") is None
    for part in CATALOGUE.values():
        for old in part.replaces:
            assert named(old) is part


def test_the_verbs(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    assert cli.main(["parts"]) == 0
    assert capsys.readouterr().out.splitlines() == [*listed()]
    assert cli.main(["part", "counterbalance", "valve", "--units", "us"]) == 0
    assert capsys.readouterr().out.splitlines() == [*page(CATALOGUE["CounterbalanceValve"], System.US)]
    assert cli.main(["part", "FixdPump"]) == 2
    assert "Did you mean 'FixedPump'?" in capsys.readouterr().err
    out = tmp_path / "all.md"
    assert cli.main(["parts", "--out", str(out)]) == 0
    made, kept = out.read_text("utf-8"), resources.path("parts.md").read_text("utf-8")
    assert all(f"### {name}\n" in made for name in CATALOGUE)
    assert made == kept, f"resources/parts.md is not as the parts are now: {COMMAND}"
    assert cli.main(["parts", "--out", str(out)]) == 1
    capsys.readouterr()


# -- efficiencies ------------------------------------------------------------------------------------------------


def run(part: type[Part], drop: float, speed: float, viscosity: float) -> tuple[float, float]:
    """Return volumetric and hydromechanical efficiency of a part, at full stroke, from what its own law returns."""
    model = PartModel(part)
    numbers = {"density": 870.0, "viscosity": viscosity, "stiffness": 1e13, "stiffening": 0.0, "air": 1e-9,
               "temperature": 45.0}  # fmt: skip
    role = part.role
    pressed = [port for port in model.oil if port in ("P", "P1", "P2", "A")]
    pressure = [drop if port in pressed else 0.0 for port in model.oil]
    into, *_ = model.law(
        [1.0 if name == "stroke" else state.start for name, state in model.states.items()],
        [0.0] * len(model.controls),
        [450 * BAR if name == "cut_off" else one.start for name, one in model.numbers.items()],
        [numbers[name] for name in OIL_NUMBERS],
        pressure, pressure, [1.0] * len(model.oil),
        [speed] * len(model.moving), [0.0] * len(model.moving), [], [],
    )  # fmt: skip
    through = dict(zip(model.nodes, np.array(into).ravel(), strict=True))
    size = sum(one.start for name, one in part.declared(Parameter).items() if name in ("displacement", "second"))
    flow = sum(through[port] for port in pressed)
    if isinstance(role, Pump):
        return -flow / (size * speed), size * drop / through["shaft"]
    return size * speed / flow, -through["shaft"] / (size * drop)


@pytest.mark.parametrize(
    ("part", "viscosity"),
    [(FixedPump, HOT), (PressureCompensatedPump, RATED_VISCOSITY), (HydraulicMotor, HOT), (DoublePump, HOT),
     (HydrostaticPump, RATED_VISCOSITY)],
)  # fmt: skip
def test_the_curves_are_those_of_the_law(part: type[Part], viscosity: float) -> None:
    """In oil that nothing presses together; at pressures where a drop's rounding near nothing is out of sight."""
    found = efficiencies(part, viscosity)
    assert found is not None
    for k, drop in enumerate(PRESSURES):
        volumetric, mechanical = run(part, drop, found.speed, viscosity)
        assert found.volumetric[k] == pytest.approx(volumetric, rel=1e-4)
        assert found.mechanical[k] == pytest.approx(mechanical, rel=1e-3)
        assert found.overall[k] == pytest.approx(volumetric * mechanical, rel=2e-3)


def test_a_gear_pump_by_hand() -> None:
    """11 cm3/rev at 1500 r/min, 175 bar, 35 mPa s: 1.5e-8 · 175e5 / ( 0.035 · 157.1 ) = 4.8 % slips back.

    Its torque is 30.6 N m, and 8e4 · 1.751e-6 · 0.0318 · 157.1 + 5 % of 30.6 + 0.4 = 2.63 N m are rubbed away.
    """
    given = {"rated_speed": 1500 * TURN}
    found = efficiencies(FixedPump, drops=(175 * BAR,), given=given)
    assert found is not None
    assert found.volumetric[0] == pytest.approx(1 - 0.0477, abs=1e-4)
    assert found.mechanical[0] == pytest.approx(30.64 / (30.64 + 2.632), abs=1e-3)


def test_worn_and_hot_it_slips_more() -> None:
    """Slip goes with wear and with thin oil, and with nothing that the shaft feels."""
    new, hot = efficiencies(FixedPump), efficiencies(FixedPump, HOT)
    worn = efficiencies(FixedPump, given={"slip": 4 * 1.5e-8})
    assert new is not None
    assert hot is not None
    assert worn is not None
    lost = [1 - one for one in new.volumetric]
    assert [1 - one for one in worn.volumetric] == pytest.approx([4 * one for one in lost])
    assert [1 - one for one in hot.volumetric] == pytest.approx([3.5 * one for one in lost])
    assert worn.mechanical == new.mechanical


def test_no_number_of_a_page_stays_metric_where_us_units_are_asked_for() -> None:
    """Moments of inertia and densities, too; what a rig file would have stands as it would there."""
    for part in CATALOGUE.values():
        reference = Reference(part, System.US)
        rows = [row for table in reference.tables for row in table.rows]
        assert not [row for row in rows if any("kg" in cell for cell in row[:-1])], part.__name__
