"""A changed rig as a file: whole or not at all, read back equal, refused with a sentence."""

from __future__ import annotations

import difflib
import os
import stat
import tomllib
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from cases import LARGER, first

from trainer import files, resources, units
from trainer.changing.changes import Changes
from trainer.changing.differences import differences
from trainer.changing.saving import save
from trainer.engine.session import Session
from trainer.errors import RigError, SpoolroomError
from trainer.measuring.validity import verdict
from trainer.rig import file as rig_file
from trainer.rig.rewriter import rewrite
from trainer.rig.rig import Rig
from trainer.rig.writer import item_of, written_in
from trainer.units import System

BAR = 1e5


@pytest.mark.soak
def test_a_changed_rig_is_saved_and_read_back(loader: Rig, tmp_path: Path) -> None:
    changes = Changes(Session(loader))
    changes.set("0V1.setting", 2321 * 6894.757293168361)  # 2321 psi, no round number of bar
    changes.set("3V1.port_reliefs", "A")
    changes.set("3W1.load@start", 500.0)
    changes.set("oil.temperature@start", 5.0)
    changes.hook("3W1.load", 250.0)
    rig = changes.changed_rig()
    file = tmp_path / "mine.toml"
    saved = save(rig, file)
    assert rig_file.load(file) == saved
    assert saved.start["3W1.load"] == 500.0  # and nothing of the run
    assert saved.oil.temperature == 5.0
    again = Session(saved)
    assert again.readings.parameter("0V1", "setting") == changes.value("0V1.setting")
    assert again.readings.control("3W1", "load") == 500.0
    changes.session.reset()  # to the start of the rig as it now stands
    assert np.array_equal(again.x, changes.session.x)
    assert np.array_equal(again.pu, changes.session.pu)
    assert differences(rig, saved) == []
    assert [path.name for path in tmp_path.iterdir()] == ["mine.toml"]


@pytest.mark.parametrize("name", resources.rigs())
def test_a_healthy_reading_stays_when_its_instrument_is_taken_off(name: str, tmp_path: Path) -> None:
    """The value goes into the file and back, is noted as one that needs its instrument, and counts again with it."""
    rig = rig_file.load(resources.rigs()[name])
    bare = replace(rig, instruments={})
    saved = save(bare, tmp_path / "bare.toml")
    assert saved.healthy == rig.healthy
    for reading, remark in zip(rig.healthy, saved.remarks(), strict=True):
        assert remark.startswith(f"[healthy] {reading.name}: its value needs a {reading.kind}")
    assert rig.remarks() == []
    back = rig_file.loads(rig_file.dump(replace(saved, instruments=rig.instruments)))
    assert back.remarks() == []
    assert back.healthy == rig.healthy


def test_a_healthy_reading_of_another_kind_of_instrument_needs_its_own(bench: Rig) -> None:
    tachometer = replace(bench.instruments["n1"], name="P1")
    rig = rig_file.loads(rig_file.dump(replace(bench, instruments={"P1": tachometer}, drawing={})))
    assert rig.healthy == bench.healthy
    assert "needs a gauge called P1" in rig.remarks()[0]
    assert verdict(rig, Session(rig).readings, "P1") is None


def test_the_kind_of_a_reading_is_one_that_there_is(bench: Rig) -> None:
    """It may be written, where no instrument of that name says it."""
    text = rig_file.dump(replace(bench, instruments={}))
    entry = next(line for line in text.splitlines() if 'reads = "P1"' in line)
    told = text.replace(entry, entry.replace('reads = "P1"', 'reads = "P1", kind = "differential gauge"'))
    assert rig_file.loads(told).remarks()[0].endswith("needs a differential gauge called P1, and none is fitted.")
    with pytest.raises(RigError) as caught:
        rig_file.loads(told.replace("differential", "differental"))
    fault, *others = caught.value.faults
    assert fault.problem == "differental gauge is no kind of instrument."
    assert "differential gauge" in fault.remedy
    assert not others


def test_every_number_survives_the_file(loader: Rig) -> None:
    changes = Changes(Session(loader))
    for name, about in changes.known.items():
        if not about.options and not about.at_rest and not about.control and about.part != "oil":
            now = changes.value(name)
            assert isinstance(now, float)
            changes.bring({name: now + (about.high - now) / 3})
    rig = changes.changed_rig()
    assert rig_file.loads(rig_file.dump(rig), rig.source) == rig
    session = Session(rig, settle=False)
    for name in changes.known:
        if name.partition(".")[0] in rig.parts and not changes.known[name].options:
            part, _, own = name.partition(".")
            if not changes.known[name].run and not changes.known[name].started:
                assert session.readings.parameter(part, own) == changes.value(name), name


@pytest.mark.parametrize("name", first(1, sorted(resources.rigs(), key=lambda name: name not in LARGER)))
def test_what_is_saved_is_what_runs(name: str) -> None:
    """A number changed alone while it runs, saved and opened again: every other number is as it ran."""
    changes = Changes(Session(rig_file.load(resources.rigs()[name])))
    known = changes.known.values()
    live = [about for about in known if not (about.options or about.at_rest or about.run or about.started)]
    numbers = [about for about in live if about.part != "oil"]
    pumps = [about for about in numbers if about.part == "0P1"]
    for about in {about.name: about for about in (*pumps, *numbers[::7])}.values():
        before = changes.value(about.name)
        assert isinstance(before, float)
        changes.session.set_parameter(about.name, before + (about.high - before) / 1000)
        opened = rig_file.loads(rig_file.dump(changes.changed_rig()))
        for other in numbers:
            assert opened.value(other.part, other.own) == changes.value(other.name), (about.name, other.name)
        changes.session.set_parameter(about.name, before)
    assert changes.changed_rig() == changes.original


def test_a_pump_doubled_leaves_relief_and_filter_as_they_run(bench: Rig) -> None:
    """Relief and filter of the bench follow its pump of 10 cm3/rev; doubled live, they stay, and that is told."""
    changes = Changes(Session(bench))
    flows = {name: changes.value(f"{name}.rated_flow") for name in ("0V1", "0Z2")}
    changes.set("0P1.displacement", 2 * bench.value("0P1", "displacement"))
    told = [difference.words(System.METRIC) for difference in changes.different()]
    assert len(told) == 3
    assert all("stays" in words and "where it would follow the pump to" in words for words in told[1:])
    again = rig_file.loads(rig_file.dump(changes.changed_rig()))
    assert {name: again.value(name, "rated_flow") for name in flows} == flows
    changes.undo()
    assert changes.different() == []
    assert changes.changed_rig() == bench


def test_what_follows_the_pump_is_kept_through_a_change_at_rest(bench: Rig) -> None:
    changes = Changes(Session(bench))
    before = changes.value("0V1.rated_flow")
    changes.set("0P1.displacement", 2 * bench.value("0P1", "displacement"))
    changes.set("1A1.bore", 0.050)  # the rig is put together anew
    assert changes.value("0V1.rated_flow") == before


def lines_that_differ(before: str, after: str) -> list[str]:
    """Return what a comparison of two texts line by line shows: "-" taken away, "+" added."""
    lines = difflib.unified_diff(before.splitlines(), after.splitlines(), lineterm="", n=0)
    return [line for line in lines if line[0] in "-+" and line[:3] not in ("---", "+++")]


def test_an_authors_comments_order_and_words_stay(loader: Rig, tmp_path: Path) -> None:
    """Only the lines of what was changed differ, and a new start stands with the others."""
    changes = Changes(Session(loader))
    changes.set("2V0.setting", 170 * BAR)
    changes.set("3V1.port_setting", 150 * BAR)
    changes.set("3W1.load@start", 500.0)
    save(changes.changed_rig(), tmp_path / "mine.toml")
    before = resources.path("rigs/timber-trailer-loader.toml").read_text("utf-8")
    (boom,) = (line.removesuffix(" }") for line in before.splitlines() if line.startswith("3V1 = { is"))
    assert lines_that_differ(before, (tmp_path / "mine.toml").read_text("utf-8")) == [
        '-2V0 = { is = "ReliefValve", setting = "160 bar" }',
        '+2V0 = { is = "ReliefValve", setting = "170 bar" }',
        f"-{boom} }}",
        f'+{boom}, port_setting = "150 bar" }}',
        '+3W1.load = "500 kg"',
    ]


OWN = """# mine, in my order
title = "Mine" # ours
format = 1

# start first
[start]
"0M1.speed_asked" = "55 r/min" # slowly

# the parts as a workshop writes them
[parts]
0Z1 = { is = "Reservoir", volume = "3 gal" }
0M1 = { is = "HandCrank" }
0P1 = { is = "FixedPump", kind = "piston", displacement = "0.6 in3/rev" } # new
[parts.0V1] # the relief
# set on the bench
setting = "700 psi"
is = "ReliefValve"

# lines
[lines]
crank = ["0M1.shaft", "0P1.shaft"]
S = ["0Z1.S", "0P1.S"]
P = [
    "0P1.P", # pump
    "0V1.P",
]
T = ["0V1.T", "0Z1.T"]
"""


@pytest.mark.parametrize("ending", ["\n", "\r\n"])
def test_any_form_of_a_file_keeps_it(tmp_path: Path, ending: str) -> None:
    file = tmp_path / "own.toml"
    file.write_bytes(OWN.strip().replace("\n", ending).encode())
    changes = Changes(Session(rig_file.load(file)))
    changes.set("0V1.setting", units.read("600 psi", "pressure"))
    changes.set("0V1.override", 0.25)
    changes.set("0P1.viscous_drag", 9e4)
    changes.set("oil.temperature@start", 20.0)
    save(changes.changed_rig(), file)
    after = file.read_bytes().decode()
    assert after.count("\n") == after.count(ending)
    assert lines_that_differ(OWN, after) == [
        '-0P1 = { is = "FixedPump", kind = "piston", displacement = "0.6 in3/rev" } # new',
        '+0P1 = { is = "FixedPump", kind = "piston", displacement = "0.6 in3/rev", viscous_drag = "90000" } # new',
        '-setting = "700 psi"',
        '+setting = "600 psi"',
        '+override = "25 %"',
        "+",
        "+[oil]",
        '+temperature = "20 C"',
    ]


@pytest.mark.parametrize(
    ("name", "value", "unit"),
    [
        ("0V1.setting", 40 * BAR, "psi"),  # no round number of psi
        ("0P1.displacement", 12e-6 / (2 * np.pi), "in3/rev"),
        ("0Z1.volume", 15e-3, "gal"),
        ("0M1.speed_asked@start", 6.5, "rpm"),
    ],
)
def test_a_changed_value_keeps_the_unit_that_its_author_used(
    tmp_path: Path, name: str, value: float, unit: str
) -> None:
    file = tmp_path / "own.toml"
    file.write_text(OWN.replace("55 r/min", "55 rpm"), "utf-8")
    before = rig_file.load(file)
    part, own = name.removesuffix("@start").split(".")
    if name.endswith("@start"):
        now = replace(before, start={**before.start, f"{part}.{own}": value})
    else:
        fitted = before.parts[part]
        now = replace(before, parts={**before.parts, part: replace(fitted, values={**fitted.values, own: value})})
    now = now.checked()
    assert save(now, file) == now  # the very same number
    (line,) = [line for line in lines_that_differ(OWN, file.read_text("utf-8")) if line[0] == "+" and own in line]
    assert f' {unit}"' in line
    assert "bar" not in line


@pytest.mark.parametrize("unit", [unit for unit in units.UNITS.values() if unit.symbol], ids=lambda unit: unit.symbol)
def test_every_value_can_be_written_in_every_unit_of_its_quantity(unit: units.Unit) -> None:
    chance = np.random.default_rng(8)
    for size in (1e-9, 1e-3, 1.0, 1e6):
        for value in (size * float(chance.random()) for _ in range(20)):
            assert units.read(written_in(value, unit.quantity, unit.symbol), unit.quantity) == value
    assert written_in(25 * unit.factor + unit.offset, unit.quantity, unit.symbol) == f"25 {unit.symbol}"


def test_a_label_that_looks_like_a_number_is_left_alone() -> None:
    text = OWN.replace('is = "HandCrank"', 'is = "HandCrank", label = "12 L"')
    before = rig_file.loads(text)
    now = replace(before, parts={**before.parts, "0M1": replace(before.parts["0M1"], label="3 gal")})
    assert 'label = "3 gal"' in rewrite(text, before, now)


def test_what_the_author_wrote_since_it_was_opened_stays(bench: Rig, tmp_path: Path) -> None:
    file = tmp_path / "mine.toml"
    changes = Changes(Session(save(bench, file)))
    changes.set("0V1.setting", 30 * BAR)
    file.write_text(f"# written beside it\n{file.read_text('utf-8')}", "utf-8")
    save(changes.changed_rig(), file)
    assert file.read_text("utf-8").startswith("# written beside it\n")


@pytest.mark.parametrize("name", resources.rigs())
def test_nothing_changed_is_the_same_text(name: str, tmp_path: Path) -> None:
    file = resources.rigs()[name]
    save(rig_file.load(file), tmp_path / "same.toml")
    assert (tmp_path / "same.toml").read_bytes() == file.read_bytes()


def test_a_rig_without_its_file_is_written_all_the_same(bench: Rig, tmp_path: Path) -> None:
    save(replace(bench, source=str(tmp_path / "gone.toml")), tmp_path / "mine.toml")
    assert (tmp_path / "mine.toml").read_text("utf-8") == rig_file.dump(bench)


def test_saving_over_a_file_is_whole_or_not_at_all(
    bench: Rig, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    file = tmp_path / "mine.toml"
    save(bench, file)
    before = file.read_text("utf-8")

    def full(*_: object) -> None:
        raise OSError(28, "No space left on device")

    changes = Changes(Session(bench))
    changes.set("0V1.setting", 30 * BAR)
    for broken in ("fsync", "replace"):
        rig = changes.changed_rig()
        with monkeypatch.context() as patch:
            patch.setattr(os, broken, full)
            with pytest.raises(SpoolroomError, match="No space left on device"):
                save(rig, file)
        assert file.read_text("utf-8") == before
        assert [path.name for path in tmp_path.iterdir()] == ["mine.toml"]
    save(changes.changed_rig(), file)
    assert 'setting = "30 bar"' in file.read_text("utf-8")


def test_names_that_cannot_be_written_get_a_sentence(bench: Rig, tmp_path: Path) -> None:
    shipped = resources.path("rigs/one-spool-bench.toml")
    before = shipped.read_bytes()
    (tmp_path / "folder.toml").mkdir()
    for path, said in (
        (shipped, r"came with Spoolroom and stays as it is\. Choose another name"),
        (tmp_path / "mine.txt", r"Let it end in \.toml"),
        (tmp_path / "folder.toml", "is a folder"),
        (tmp_path / "none" / "mine.toml", r"could not be written \(.*\)\. Choose another folder"),
    ):
        with pytest.raises(SpoolroomError, match=said):
            save(bench, path)
    assert shipped.read_bytes() == before


@pytest.mark.skipif(os.name == "nt" or os.geteuid() == 0, reason="folders of root are always writable")
def test_a_folder_that_may_not_be_written(bench: Rig, tmp_path: Path) -> None:
    folder = tmp_path / "locked"
    folder.mkdir()
    folder.chmod(stat.S_IRUSR | stat.S_IXUSR)
    with pytest.raises(SpoolroomError, match="Choose another folder"):
        save(bench, folder / "mine.toml")


def test_a_link_stays_a_link(tmp_path: Path) -> None:
    real, link = tmp_path / "real.txt", tmp_path / "link.txt"
    real.write_text("old")
    link.symlink_to(real)
    files.write(link, "new")
    assert link.is_symlink()
    assert real.read_text() == "new"


@pytest.mark.parametrize(
    "text",
    ['with "quotes"', "back\\slash", "a\x07bell", "two\nlines", 'end "\n"', '\nx """y"""\n', "a\r\nb", "a\\\nb"],
)
def test_any_text_is_written_as_toml(text: str) -> None:
    """Also what a keyboard cannot give: signs of control, quotes beside line breaks."""
    assert tomllib.loads(f"a = {item_of(text).as_string()}") == {"a": text}
