"""A flow tester and a cup go into any rig: what is measured there is what the rig has without them."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from cases import first, shipped

from trainer import cli, resources
from trainer.changing.put_in import cup_ports, runs_into, taken_out, with_cup, with_tester
from trainer.engine.session import Session
from trainer.errors import RigError
from trainer.measuring.fitting import put_in
from trainer.measuring.instruments import new_instrument, true_reading
from trainer.parts.roles import Pump
from trainer.rig import file as rig_file

BENCH = "motor-and-brake"
LITRE_MINUTE = 1e-3 / 60


def test_a_tester_behind_the_pump_reads_its_delivery_and_loads_it() -> None:
    """Open it passes what the pump brings; at 5 mm2 q = Cd A sqrt(2 dp/rho), the pressure of the hand formula."""
    rig = with_tester(shipped("pump-flow-test"), "0P1", "P")
    tester = next(id_ for id_, fitted in rig.parts.items() if fitted.part.__name__ == "FlowTester")
    added = [item for item in rig.instruments.values() if tester in item.on or item.on.startswith("tester")]
    assert sorted(item.kind for item in added) == ["flow meter", "gauge", "thermometer"]
    session = Session(rig)
    session.advance(1.0)
    free = {item.kind: true_reading(item, session.readings) for item in added}
    assert free["flow meter"] == pytest.approx(-session.readings.flow("0P1", "P"), rel=1e-3)
    session.set_control(f"{tester}.opening", 5.0 / 60.0)
    session.advance(2.0)
    loaded = {item.kind: true_reading(item, session.readings) for item in added}
    drop = 850.0 / 2 * (loaded["flow meter"] / (0.65 * 5e-6)) ** 2
    behind = session.readings.pressure("P1")
    assert loaded["gauge"] - behind == pytest.approx(drop, rel=0.04)
    assert loaded["flow meter"] < free["flow meter"]


@pytest.mark.soak
def test_a_cup_takes_the_oil_of_the_port_that_it_is_joined_to() -> None:
    rig = with_cup(shipped(BENCH), "1A1", "L")
    cup = next(id_ for id_, fitted in rig.parts.items() if fitted.part.__name__ == "MeasuringCup")
    session = Session(rig)
    session.set_control("1V1.lever", 1.0)
    session.advance(3.0)
    before, runs = (session.readings.value(cup, name) for name in ("caught", "runs"))
    session.advance(2.0)
    assert runs == pytest.approx(session.readings.value("1A1", "case_flow"), rel=0.02)
    assert session.readings.value(cup, "caught") - before == pytest.approx(2.0 * runs, rel=0.02)


@pytest.mark.parametrize("name", first(1, sorted(resources.rigs(), key=lambda name: name != BENCH)))
def test_every_pump_of_every_rig_takes_a_tester(name: str) -> None:
    """The rig is in order with it, and written and read again it is the same."""
    rig = shipped(name)
    for id_, role in rig.having(Pump).items():
        made = with_tester(rig, id_, role.outlet)
        assert len(made.parts) == len(rig.parts) + 1
        assert rig_file.loads(rig_file.dump(made)).lines == made.lines


def test_what_is_taken_out_leaves_the_rig_as_it_was_with_the_numbers_of_now() -> None:
    """Lines, drawing and title are those from before; a setting and a gauge on another line stay as they are now."""
    before = shipped(BENCH)
    rig = with_cup(with_tester(before, "0P1", "P"), "1A1", "L")
    gauge = new_instrument(rig, "gauge", "A1", 250e5)
    parts = {**rig.parts, "0V1": replace(rig.parts["0V1"], values={**rig.parts["0V1"].values, "setting": 99e5})}
    changed = replace(rig, parts=parts, instruments={**rig.instruments, gauge.name: gauge}).checked()
    out = taken_out(changed, before)
    assert (out.lines, out.drawing, out.title) == (before.lines, before.drawing, before.title)
    assert out.instruments == {**before.instruments, gauge.name: gauge}
    assert out.value("0V1", "setting") == 99e5
    assert out.parts.keys() == before.parts.keys()


def test_a_tester_stands_as_the_oil_flows_and_a_cup_where_a_part_leaks() -> None:
    session = Session(shipped(BENCH))
    assert [runs_into(session.rig, session.readings, *at) for at in (("0P1", "P"), ("0V1", "P"))] == [False, False]
    assert runs_into(session.rig, session.readings, "1V1", "C"), "an open centre takes what the pump brings"
    assert cup_ports(session.rig, "1A1") == ["L"]
    assert cup_ports(session.rig, "0P1") == []
    assert cup_ports(shipped("one-spool-bench"), "1A1") == ["A", "B"]


@pytest.mark.parametrize(
    ("part", "port"), [("0P1", "Q"), ("9P1", "P"), ("0Z1", "T"), ("0M1", "shaft"), ("0P1", "S"), ("1A1", "L")]
)
def test_where_nothing_can_be_put_in_is_said(part: str, port: str) -> None:
    with pytest.raises(RigError):
        with_tester(shipped(BENCH), part, port)


def test_a_rig_with_a_tester_is_written_as_a_file(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    out = tmp_path / "tested.toml"
    assert cli.main(["fit", BENCH, "0P1.P", str(out)]) == 0
    assert str(out) in capsys.readouterr().out
    assert rig_file.load(out).title.endswith("with a flow tester")
    assert cli.main(["fit", BENCH, "1A1.L", str(tmp_path / "cup.toml"), "--cup"]) == 0
    assert "MeasuringCup" in (tmp_path / "cup.toml").read_text("utf-8")
    assert cli.main(["fit", BENCH, "1A1.X", str(tmp_path / "no.toml")]) != 0


def test_a_cup_under_a_boom_is_told_of_as_on_the_board(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Lower, stop, release, open, and what hangs on oil: the words of the steps that the window asks for."""
    assert cli.main(["fit", "drift", "1A1.A", str(tmp_path / "cup.toml"), "--cup"]) == 0
    told = capsys.readouterr().err
    rig = shipped("drift")
    fitting = put_in(rig, rig.oil.temperature, "1A1.A", cup=True)
    assert [step.key for step in fitting.steps] == ["lower", "stop", "release", "open", "fit", "leaks"]
    assert "Nobody stands under a load" in fitting.hazard
    assert all(words in told for words in (fitting.hazard, *(step.words for step in fitting.steps)))


@pytest.mark.parametrize("name", first(1, sorted(resources.rigs(), key=lambda name: name != "timber-trailer-loader")))
def test_a_rig_with_a_tester_keeps_its_author_s_words(name: str, tmp_path: Path) -> None:
    """All but the title, the opened line with its way on the drawing, and what is new stands as it stood."""
    rig = shipped(name)
    pump = next(iter(rig.having(Pump)))
    out = tmp_path / "tested.toml"
    assert cli.main(["fit", name, f"{pump}.{rig.role(pump, Pump).outlet}", str(out)]) == 0
    before, after = (path.read_text("utf-8").splitlines() for path in (resources.rigs()[name], out))
    lost = [line for line in before if line not in after]
    assert lost[0].startswith("title")
    line = rig.line_of(pump, rig.role(pump, Pump).outlet).name
    begins = [k for k, one in enumerate(before) if one == f"{line} = ["]  # its way on several lines of the file
    way = [one for k in begins for one in before[k : before.index("]", k) + 1]]
    assert {piece.partition("=")[0].strip() for piece in lost[1:] if piece not in way} <= {line}
    assert "cm3/min" not in "".join(one for one in after if one not in before)
