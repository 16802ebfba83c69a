"""What is wrong with a rig, said in a line: what can be used, what is refused, what it does to the machine."""

from __future__ import annotations

from pathlib import Path

import pytest
from cases import shipped

from trainer import cli
from trainer.changing.pictured import pictured
from trainer.drawing.theme import THEMES
from trainer.engine.session import Session
from trainer.errors import RigError
from trainer.rig import file
from trainer.rig.defects import defects, with_defects
from trainer.rig.showing import Showing
from trainer.units import System

BENCH = "one-spool-bench"
LOADER = "timber-trailer-loader"


def test_wear_is_said_as_in_a_rig_file() -> None:
    text = file.dump(shipped(BENCH))
    for written in ("failed", "4e-8", "marginal from 50 C to 65 C", "mild for 2 s every 1 min, seed 5"):
        said = with_defects(shipped(BENCH), [f"0P1.slip = {written}"]).parts["0P1"]
        there = file.loads(text.replace('is = "FixedPump"', f'is = "FixedPump", slip = "{written}"')).parts["0P1"]
        assert said.value("slip") == there.value("slip"), written
        assert said.shows == there.shows, written


def test_the_last_word_on_a_wear_counts() -> None:
    rig = with_defects(shipped(BENCH), ["0P1.slip = failed from 50 C to 65 C", "0P1.slip = mild"])
    assert rig.shows == {}
    again = with_defects(rig, ["0P1.slip = failed for 1 s every 9 s"])
    assert again.shows == {"0P1.slip": Showing(None, 1.0, 9.0, 0, other=rig.value("0P1", "slip"))}


def test_degrees_are_of_what_the_rig_has() -> None:
    """A rig's own pump may slip less than any other: four times that is its marginal, and else it is as it was."""
    text = file.dump(shipped(BENCH)).replace('is = "FixedPump"', 'is = "FixedPump", slip = "1e-9"')
    rig = with_defects(file.loads(text), ["0P1.slip = mild", "0P1.slip = marginal from 50 C to 65 C"])
    assert rig.value("0P1", "slip") == 4e-9
    assert rig.parts["0P1"].healthy("slip") == 1e-9
    again = file.loads(file.dump(rig))
    assert again.parts["0P1"] == rig.parts["0P1"]
    session = Session(again, settle=False)
    assert session.readings.parameter("0P1", "slip") == pytest.approx(1e-9)
    with pytest.raises(RigError):
        file.loads(text.replace('"1e-9"', '"2e-9, else 1e-9"'))


def test_loads_and_instruments() -> None:
    rig = shipped(BENCH)
    (weight,) = [defect for defect in defects(rig) if defect.key == "1W1.mass"]
    heavy = with_defects(rig, ["1W1.mass = marginal", "P1.state = plugged", "P1.zero = mild"])
    assert heavy.value("1W1", "mass") == weight.degrees["marginal"] == 1.6 * rig.value("1W1", "mass")
    assert heavy.instruments["P1"].state == "plugged"
    assert heavy.instruments["P1"].zero == pytest.approx(0.03 * rig.instruments["P1"].range_)
    assert with_defects(rig, ["P1.zero = 2 bar"]).instruments["P1"].zero == 2e5


def test_an_instrument_is_wrong_by_a_degree_in_its_file_as_well() -> None:
    """By the same words and numbers; a tachometer has neither spring nor snubber."""
    text = file.dump(shipped(BENCH))
    at = text.index("range", text.index("[instruments]"))
    name = next(iter(shipped(BENCH).instruments))
    end = shipped(BENCH).instruments[name].range_
    for key, written, value in (
        ("zero", "mild", 0.03 * end), ("gain", "marginal", 0.1), ("gain", "-5 %", -0.05),
        ("snubber", "failed", 300.0),
    ):  # fmt: skip
        there = file.loads(f'{text[:at]}{key} = "{written}", {text[at:]}').instruments[name]
        said = with_defects(shipped(BENCH), [f"{name}.{key} = {written}"])
        assert getattr(there, key) == pytest.approx(value), key
        assert said.instruments[name] == there
        assert file.loads(file.dump(said)).instruments[name] == there
    (counter,) = [one for one in shipped(BENCH).instruments.values() if one.kind == "tachometer"]
    keys = {defect.key for defect in defects(shipped(BENCH))}
    assert {f"{name}.gain", f"{name}.snubber", f"{counter.name}.zero"} <= keys
    with pytest.raises(RigError) as found:
        with_defects(shipped(BENCH), [f"{counter.name}.gain = mild"])
    assert "gauge" in found.value.faults[0].remedy


@pytest.mark.parametrize(("line", "says"), [
    ("0P1.slop = failed", "slip"), ("0P1.slip = rotten", "marginal"), ("0P1.displacement = 5 cm3/rev", "0P1.slip"),
    ("9P9.slip = failed", "Known here"), ("it is slow", "0P1.slip = failed"), ("P1.state = bend", "bent"),
    ("P1.range = mild", "P1.state"), ("0P1 <> 0V1", "two valves"), ("1V1.A <> 1V1.Q", "1V1.T"),
    ("1V1 <> 1V1", "kind"),
    ("1V1.A <> 0M1.shaft", "Known"), ("0P1.slip = failed from 9 C", "every 60 s"), ("x" * 500, "0P1.slip = failed"),
])  # fmt: skip
def test_what_cannot_be_wrong_is_refused(line: str, says: str) -> None:
    with pytest.raises(RigError) as found:
        with_defects(shipped(BENCH), ["0P1.slip = mild", line])
    (fault,) = found.value.faults
    assert "2" in fault.where
    assert says in fault.remedy


def test_all_that_cannot_be_used_is_told_at_once() -> None:
    with pytest.raises(RigError) as found:
        with_defects(shipped(BENCH), ["0P1.slop = failed", "0P1.slip = mild", "nothing"])
    assert [fault.where for fault in found.value.faults] == ["fault 1", "fault 3"]


def test_swapped_hoses_turn_a_lever_round() -> None:
    healthy, wrong = (Session(rig) for rig in (shipped(BENCH), with_defects(shipped(BENCH), ["1V1.A <> 1V1.B"])))
    ways = []
    for session in (healthy, wrong):
        before = session.readings.place("rod1")
        session.set_control("1V1.lever", 1.0)
        session.advance(0.6)
        ways.append(session.readings.place("rod1") - before)
    assert ways[0] > 2e-3
    assert ways[1] < 1e-4, "it is pressed home instead of going out"
    assert pictured(wrong, THEMES["light"], System.METRIC, "")[0], "it can be drawn"
    assert file.loads(file.dump(wrong.rig)).lines == wrong.rig.lines


def test_swapped_cartridges_change_their_settings() -> None:
    rig = shipped(LOADER)
    swapped = with_defects(rig, ["0V1 <> 2V0", "2V1 <> 3V1"])
    for one, other, name in (("0V1", "2V0", "setting"), ("2V1", "3V1", "port_setting")):
        assert swapped.value(one, name) == rig.value(other, name) != rig.value(one, name)
        assert swapped.value(other, name) == rig.value(one, name)
    assert with_defects(swapped, ["0V1 <> 2V0", "2V1 <> 3V1"]).value("0V1", "setting") == rig.value("0V1", "setting")


def test_a_run_with_faults(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    out, bad = tmp_path / "out.csv", ["--until", "0.1", "--rate", "10", "--no-compiler"]
    assert cli.main(["run", BENCH, *bad, "--record", str(out), "--fault", "0V1.fatigue = marginal"]) == 0
    assert len(out.read_text("utf-8").splitlines()) >= 3
    assert cli.main(["run", BENCH, *bad, "--fault", "0V1.fatige = marginal"]) == 1
    assert "fatigue" in capsys.readouterr().err
