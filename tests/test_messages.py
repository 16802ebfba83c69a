"""What a mechanic is told about a file: the line, the mistake in his words, what to write; in the file's order."""

from __future__ import annotations

from pathlib import Path

import pytest

from trainer import resources
from trainer.errors import Fault, RigError
from trainer.rig import file as rig_file
from trainer.rig import levers
from trainer.rig.places import places

BENCH = resources.rigs()["one-spool-bench"].read_text("utf-8")


def faults_of(*changes: tuple[str, str]) -> tuple[Fault, ...]:
    """Return the faults of the bench with some places changed."""
    text = BENCH
    for old, new in changes:
        assert old in text, old
        text = text.replace(old, new, 1)
    with pytest.raises(RigError) as caught:
        rig_file.loads(text, "yard.toml")
    return caught.value.faults


def line_of(words: str) -> int:
    """Return the line of the bench on which words stand first."""
    return BENCH[: BENCH.index(words)].count("\n") + 1


TOLD = {  # what is written of the bench, what instead, the words of the one fault
    "curly quotes": ('"50 bar"', "“50 bar”", ("a curly quote “ stands here", "straight quotes")),
    "curly quotes in a text": ('"50 bar"', '"“50 bar”"', ("'“50 bar”' holds a quote mark", "Take it out")),
    "a quote not closed": ('"HandCrank"', '"HandCrank', ("a quote is opened and not closed: 0M1 = {", "Close every")),
    "a bracket not closed": ('"0P1.shaft"]', '"0P1.shaft"', ("a bracket that line 28 opens", "Close every [")),
    "a stray line": ("[lines]\n", "[lines]\nThe pump is weak.\n", ("is no entry: The pump is weak.", "behind a #")),
    "no value": ('"50 bar"', "50 bar", ("a bracket that line 21 opens", "Close")),
    "three numbers for two": ("at = [8, 57]", "at = [8, 57, 3]", ("a list of 3, [8, 57, 3],", "two numbers")),
    "a list for a number": ('"50 bar"', "[1, 2]", ("a list of 2, [1, 2], cannot", "number with its unit")),
    "a quote in a number": ('"50 bar"', "\"'0 %\"", ("\"'0 %\" holds a quote mark", "Take it out")),
    "a decimal comma": ('"10 cm3/rev"', '"-15,2 cm3/rev"',
                        ("'-15,2 cm3/rev' is written with a comma.", "Write -15.2 cm3/rev, with a point.")),
    "a comma for thousands": ('"50 bar"', '"1,500 psi"',
                              ("with a comma", "Write 1.500 psi, with a point, or 1500 psi if that is meant.")),
    "a line among parts": ("[parts]\n", '[parts]\nX = ["0M1.a", "0P1.b"]\n', ("this is a line.", "under [lines]")),
    "a gauge among lines": ("[lines]\n", '[lines]\nX = { on = "A1", range = "9 bar" }\n',
                            ("an instrument", "[instr")),
    "a start among lines": ("[lines]\n", '[lines]\n0M1.angle = "6 deg"\n', ("entry of the start", "[start]")),
    "a reading among parts": ("[parts]\n", '[parts]\nx = { reads = "P1", value = "1 bar", tolerance = "1 bar" }\n',
                              ("this is a healthy reading.", "[healthy]")),
    "a place among parts": ("[parts]\n", "[parts]\nQ1 = { at = [1, 2] }\n", ("a place in the drawing", "[drawing]")),
    "a number among parts": ("[parts]\n", '[parts]\nsetting = "9 bar"\n', ("here by itself", "within its part")),
    "no header": ("\n[lines]\n", "\n", ("this and S, P1, A1 … are lines.", "under [lines]")),
    "drawn out of sight": ("at = [8, 57]", "at = [8, 5700]", ("too far out", "from -500 to 500")),
    "routed out of sight": ("[23, 47]", "[23, 4700]", ("too far out", "from -500 to 500")),
    "a route to a port of another line": ('[33, 47], "0V1.P"', '[33, 47], "0V1.T"',
                                          ("'0V1.T' is on line T, not on this one.", "Write one of 0P1.P, 0V1.P")),
    "a route of a shaft": ("[drawing.routes]\n", '[drawing.routes]\ncrank = [["0M1.shaft", [3, 4]]]\n',
                           ("this line is a shaft", "Take the route out")),
}  # fmt: skip


@pytest.mark.parametrize("mistake", TOLD)
def test_a_mistake_is_told_once_with_its_line(mistake: str) -> None:
    old, new, words = TOLD[mistake]
    faults = [fault for fault in faults_of((old, new)) if not fault.follows and fault.kind != "port joined twice"]
    assert faults
    told = str(faults[0])
    assert told.startswith("line ")
    for word in words:
        assert word in told
    if mistake != "a line among parts":  # its ports are none
        assert len(faults) == 1


def test_a_stray_last_line_has_its_number() -> None:
    with pytest.raises(
        RigError, match=rf"yard.toml: line {BENCH.count(chr(10)) + 1}: this line is no entry: stray\."
    ):
        rig_file.loads(BENCH + "stray", "yard.toml")


def test_faults_come_in_the_order_of_the_file_with_their_lines() -> None:
    faults = faults_of(
        ("[23, 47]", "[23, 4700]"), ('on = "P1"', 'on = "P12"'), ('"VG 46"', '"VG 47"'), ('"50 bar"', '"50 bra"'),
        ('"1V1.A", "1A1.A"', '"1V1.A", "1A1.A", "1A1.B"'), ('speed_asked = "60', 'speed_asked = "6000'),
    )  # fmt: skip
    lines = [line_of(words) for words in ("grade =", "0V1 = { is", "B1 = {", 'P1 = { on = "P1"', "0M1.speed_asked")]
    assert [fault.line for fault in faults] == [*lines, line_of('P1 = [["0P1.P", [23')]


def test_what_only_follows_says_so_or_is_not_told() -> None:
    """A misspelt port leaves the right one on no line; what hangs on a line that cannot be read is passed over."""
    first, second = faults_of(('"0P1.P", "0V1.P"', '"0P1.Q", "0V1.P"'))
    assert first.problem == "port P is on no line."
    assert f"It may only follow from the fault in line {line_of('P1 = { joins')}, [lines] P1, entry 1" in str(first)
    assert "has no port Q" in second.problem
    assert second.follows == ""
    unread = faults_of(("A1 = { joins", "A1 = { join"), ("[start]\n", '[start]\nA1 = "5 bar"\n'),
                       ("[instruments]\n", '[instruments]\nX1 = { on = "A1", range = "9 bar" }\n'))  # fmt: skip
    assert [fault.problem for fault in unread if not fault.follows] == ["there is no such key here."]
    (misspelt,) = faults_of(('range = "60 bar"', 'rnge = "60 bar"'))  # and no word of a missing range
    assert "Did you mean 'range'?" in misspelt.remedy


@pytest.mark.parametrize(
    ("content", "words"),
    [
        (BENCH.encode("utf-16-le"), "it is saved as UTF-16. Save it again as UTF-8."),
        (BENCH.encode("utf-16-be"), "it is saved as UTF-16. Save it again as UTF-8."),
        (bytes(range(256)) * 4, "it holds binary data"),
    ],
)
def test_other_codings_are_named(tmp_path: Path, content: bytes, words: str) -> None:
    file = tmp_path / "yard.toml"
    file.write_bytes(content)
    with pytest.raises(RigError, match=words):
        rig_file.load(file)


def test_lines_that_end_in_a_carriage_return_are_welcome(tmp_path: Path) -> None:
    rig, script = tmp_path / "yard.toml", tmp_path / "hands.csv"
    rig.write_bytes(BENCH.replace("\n", "\r").encode())
    script.write_bytes(b"time [s], 1V1.lever [%]\r0, 5\r1, 10\r")
    assert rig_file.load(rig).title == "One-spool bench"
    assert levers.load(script).checked(rig_file.load(rig)).end == 1.0
    rig.write_bytes(BENCH.replace('"50 bar"', '"50 bra"').replace("\n", "\r").encode())
    with pytest.raises(RigError, match=f"line {line_of('0V1 = { is')}, "):
        rig_file.load(rig)


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("time [s], 1V1.lever [%]\n0, '5\n", 'line 2, column 1V1.lever: "\'5" is not a number. Write a plain number'),
        ("time [s], 1V1.lever [%],\n0, 5\n", "column 3: it has no name. Write it as 1V1.lever [%]"),
        ("time [s], 1V1.lever [bra]\n0, 5\n", "column 2: 'bra' is no unit known here. Did you mean 'rad'?"),
        ("time [s], 1V1.lever [%]\n0, 5, 6\n", "line 2: it has 3 cells for 2 columns. Write one cell for each"),
    ],
)
def test_a_lever_script_says_line_column_and_remedy(text: str, words: str) -> None:
    with pytest.raises(RigError) as caught:
        levers.loads(text, "hands.csv")
    assert words in str(caught.value)


def test_places_of_keys() -> None:
    text = '# remark [x]\na = 1 # = 2\n[t."u v"] # [w]\nb.c = """\n[no]\n"""\nd = [\n  1,\n  { e = "]" },\n]\n'
    text += "f = '\"'\n"
    assert places(text) == {
        ("a",): 2, ("t",): 3, ("t", "u v"): 3, ("t", "u v", "b"): 4, ("t", "u v", "b", "c"): 4, ("t", "u v", "d"): 7,
        ("t", "u v", "f"): 11,
    }  # fmt: skip
