"""Bad rig files, each met with its own fault in under a second: what, where, what to write instead."""

from __future__ import annotations

import contextlib
import os
import random
import time
from pathlib import Path

import pytest

from trainer import resources
from trainer.errors import Fault, RigError
from trainer.rig import file as rig_file
from trainer.rig import text as rig_text

BENCH = resources.rigs()["one-spool-bench"].read_text("utf-8").partition("\n[drawing")[0]
SIZE = 250_000


def faults_of(text: str) -> tuple[Fault, ...]:
    """Return the faults of a text; it must have some, each naming the file and, soon enough, be found."""
    begin = time.process_time()
    with pytest.raises(RigError) as caught:
        rig_file.loads(text, "yard.toml")
    assert time.process_time() - begin < 1.0
    assert str(caught.value).startswith("yard.toml: ")
    return caught.value.faults


def edited(old: str, new: str) -> str:
    """Return the bench with one place changed."""
    assert BENCH.count(old) >= 1, old
    return BENCH.replace(old, new, 1)


# (what is written, what instead; kind of fault, words of its place, words of the problem or the remedy)
MISTAKES = {
    "no format": ("format = 1\n", "", "missing key", "the file", "format = 1"),
    "format of tomorrow": ("format = 1", "format = 2", "wrong format", "key 'format'", "newer Spoolroom"),
    "format of nobody": ("format = 1", "format = 0", "wrong format", "key 'format'", "Write format = 1"),
    "format as text": ("format = 1", 'format = "1"', "wrong type", "key 'format'", "format = 1"),
    "no title": ('title = "One-spool bench"\n', "", "missing key", "the file", "title"),
    "title too long": ('title = "One', f'title = "{"x" * 200}', "text too long", "key 'title'", "Shorten"),
    "title of two lines": ('title = "One', 'title = "a\\nb', "text too long", "key 'title'", "single line"),
    "unknown topic": ('teaches = "machines"', 'teaches = "mashines"', "unknown word", "key 'teaches'", "'machines'"),
    "hidden characters": ('title = "One', 'title = "\\u202eOne', "bad characters", "key 'title'", "plain text"),
    "control characters": ('title = "One', 'title = "\\u0007One', "bad characters", "key 'title'", "plain text"),
    "unknown table": ("[instruments]", "[instrument]", "unknown key", "key 'instrument'", "'instruments'"),
    "parts are no table": ("[oil]", "parts = 3\n[oil]", "duplicate key", "line", "own name"),
    "no lines": ("[lines]", "[drawing.routes]", "missing key", "the file", "lines"),
    "oil grade": ('"VG 46"', '"VG 47"', "unknown word", "[oil] grade", "'VG 46'"),
    "oil too hot": ('"45 C"', '"450 C"', "out of range", "[oil] temperature", "-20 C … 110 C"),
    "oil in the wrong unit": ('"45 C"', '"45 bar"', "bad number", "[oil] temperature", "C or F"),
    "part without a class": ('{ is = "HandCrank" }', "{ }", "missing key", "[parts] 0M1", "is ="),
    "part of no class": ('"FixedPump"', '"FixedPumps"', "unknown part", "0P1, key 'is'", "'FixedPump'"),
    "part of a numbered class": ('is = "FixedPump"', "is = 4", "wrong type", "0P1, key 'is'", "FixedPump"),
    "part is a text": ('0M1 = { is = "HandCrank" }', '0M1 = "HandCrank"', "wrong type", "[parts] 0M1", "table"),
    "id of small letters": ("0P1 = {", "0p1 = {", "bad id", "[parts]", "0P1"),
    "id without a number": ("0P1 = {", "pump = {", "bad id", "[parts]", "1V2"),
    "id with a dash": ("0P1 = {", "0-P-1 = {", "bad id", "[parts]", "0P1"),
    "id with the wrong letter": ("0P1 = {", "0V7 = {", "wrong letter", "[parts] 0V7", "Name it 0P7"),
    "misspelt key": ("setting = ", "seting = ", "unknown key", "0V1, key 'seting'", "'setting'"),
    "no unit": ('"50 bar"', "50", "bad number", "0V1, key 'setting'", "bar"),
    "unit of another quantity": ('"50 bar"', '"50 mm"', "bad number", "0V1, key 'setting'", "is a length"),
    "unknown unit": ('"50 bar"', '"50 bra"', "bad number", "0V1, key 'setting'", "or bar"),
    "comma for a point": ('"50 bar"', '"50,5 bar"', "bad number", "0V1, key 'setting'", "Write 50.5 bar, with a point."),
    "relief far too high": ('"50 bar"', '"5000 bar"', "out of range", "0V1, key 'setting'", "1 bar … 450 bar"),
    "rod as thick as the bore": ('"25 mm"', '"40 mm"', "impossible numbers", "[parts] 1A1", "annulus"),
    "negative": ('"50 bar"', '"-50 bar"', "out of range", "0V1, key 'setting'", "1 bar … 450 bar"),
    "a list for a number": ('"50 bar"', '["50 bar"]', "wrong type", "0V1, key 'setting'", "a list"),
    "a date for a number": ('"50 bar"', "1979-05-27", "wrong type", "0V1, key 'setting'", "date"),
    "yes for a number": ('"50 bar"', "true", "wrong type", "0V1, key 'setting'", "true"),
    "not a number": ('"50 bar"', "nan", "not finite", "0V1, key 'setting'", "finite"),
    "infinite": ('"50 bar"', "-inf", "not finite", "0V1, key 'setting'", "finite"),
    "infinite in a text": ('"50 bar"', '"inf bar"', "bad number", "0V1, key 'setting'", "bar"),
    "5,000 digits": ('"50 bar"', "5" * 5000, "number too long", "", "few digits"),
    "a huge hexadecimal": ('"50 bar"', "0x" + "f" * 9000, "number too long", "0V1", "few digits"),
    "unknown choice": ('"piston"', '"vane"', "unknown word", "0P1, key 'kind'", "gear, piston"),
    "wear of an unknown degree": ('kind = "piston"', 'slip = "worn"', "bad number", "0P1, key 'slip'", "marginal"),
    "port of no part": ('"0P1.P"', '"0P2.P"', "unknown port", "P1, entry 1", "no part 0P2"),
    "unknown port": ('"0P1.P"', '"0P1.Q"', "unknown port", "P1, entry 1", "S, P, shaft"),
    "port without a dot": ('"0P1.P"', '"0P1"', "unknown port", "P1, entry 1", "0P1.P"),
    "port is a number": ('"0P1.P"', "1", "wrong type", "P1, entry 1", "0P1.P"),
    "port joined twice": ('"0V1.P",', '"0V1.P", "0Z1.T",', "port joined twice", "[lines] T", "one line"),
    "port left out": ('"0V1.P",', "", "port on no line", "[parts] 0V1", "0V1_P"),
    "oil on a shaft": ('["0M1.shaft",', '["0M1.shaft", "0V1.P",', "mixed line", "[lines] crank", "one kind"),
    "two carriers": ('["0Z1.S",', '["0Z1.S", "0Z1.T",', "two carriers", "[lines] S", "Keep one"),
    "empty line": ("[lines]\n", "[lines]\nX = []\n", "empty line", "[lines] X", "take the line out"),
    "line is a text": ('"1V1.C1", "1V1.T", "0Z2.1"]\n', '"1V1.C1", "1V1.T", "0Z2.1"]\nX = "P1"\n', "wrong type", "[lines] X", "0P1.P"),
    "line called as a part": ("\nS = [", "\n0P1 = [", "name clash", "[lines] 0P1", "L0P1"),
    "bore of a shaft": ('crank = ["0M1.shaft", "0P1.shaft"]', 'crank = { joins = ["0M1.shaft", "0P1.shaft"], bore = "6 mm" }', "unknown key", "[lines] crank", "no oil"),
    "hose without a bore": ('hose = "1 m", bore = "6 mm"', 'hose = "1 m"', "missing key", "[lines] P1", "bore ="),
    "line with a bad name": ("\nS = [", '\n"S 1" = [', "bad name", "[lines]", "letters"),
    "gauge on nothing": ('on = "P1"', 'on = "P9"', "unknown place", "P1, key 'on'", "[lines]"),
    "gauge on a rod": ('on = "P1"', 'on = "rod1"', "wrong instrument", "P1, key 'on'", "rod"),
    "flow meter on a shaft": ('at = "0P1.P"', 'at = "0P1.shaft"', "wrong instrument", "Q1, key 'at'", "oil port"),
    "flow meter nowhere": ('at = "0P1.P"', 'at = "0P1"', "unknown port", "Q1, key 'at'", "0P1.P"),
    "instrument in two places": ('at = "0P1.P"', 'at = "0P1.P", on = "P1"', "unknown place", "Q1", "one place"),
    "instrument without a range": (', range = "60 bar"', "", "missing key", "[instruments] P1", "range"),
    "range of another quantity": ('"60 bar"', '"60 L/min"', "bad number", "P1, key 'range'", "bar"),
    "range of nothing": ('"60 bar"', '"0 bar"', "out of range", "P1, key 'range'", "2000 bar"),
    "start of nothing": ("0M1.speed_asked", "0M1.sped_asked", "unknown start", "0M1.sped_asked", "'0M1.speed_asked'"),
    "start too fast": ('speed_asked = "60 r/min"', 'speed_asked = "6000 r/min"', "out of range", "speed_asked", "90 r/min"),
    "start far outside": ("[start]\n", '[start]\n1W1.x = "50000 m"\n', "out of range", "1W1.x", "mm"),
    "start twice": ("[start]\n", '[start]\n"0M1.speed_asked" = "50 r/min"\n', "duplicate key", "start", "Keep one"),
    "reading of another quantity": ("[start]", '[healthy]\na = { reads = "P1", value = "1 mm", tolerance = "1 bar" }\n[start]', "bad number", "a, key 'value'", "bar"),
    "reading without limits": ("[start]", '[healthy]\na = { reads = "P1", value = "1 bar" }\n[start]', "missing key", "[healthy] a", "tolerance"),
    "limits of nothing": ("[start]", '[healthy]\na = { reads = "P1", value = "1 bar", tolerance = "0 %" }\n[start]', "out of range", "a, key 'tolerance'", "above zero"),
    "condition of nothing": ("[start]", '[healthy]\na = { reads = "P1", value = "1 bar", tolerance = "5 %", when = { x = "1" } }\n[start]', "unknown condition", "when x", "temperature"),
    "drawing of nothing": ("[start]", "[drawing]\n0P9 = { at = [1, 2] }\n[start]", "unknown id", "[drawing] 0P9", "'0P1'"),
    "drawn nowhere": ("[start]", "[drawing]\n0P1 = { at = [1] }\n[start]", "wrong type", "0P1, key 'at'", "two numbers"),
    "drawn out of sight": ("[start]", "[drawing]\n0P1 = { at = [1, 1e9] }\n[start]", "out of range", "0P1, key 'at'", "from -500 to 500"),
    "drawn at infinity": ("[start]", "[drawing]\n0P1 = { at = [1, inf] }\n[start]", "not finite", "0P1", "finite"),
    "turned askew": ("[start]", "[drawing]\n0P1 = { at = [1, 1], turn = 45 }\n[start]", "out of range", "0P1, key 'turn'", "90"),
    "route of no line": ("[start]", "[drawing.routes]\nZ9 = []\n[start]", "unknown id", "key 'Z9'", "no such line"),
    "route through no port": ("[start]", '[drawing.routes]\nP1 = [["0P1.X", [1, 2]]]\n[start]', "unknown port", "key 'P1', entry 1", "'0P1."),
    "route of letters": ("[start]", '[drawing.routes]\nP1 = "up"\n[start]', "wrong type", "key 'P1'", "0P1.P"),
    "route through half a point": ("[start]", "[drawing.routes]\nP1 = [[[1]]]\n[start]", "wrong type", "key 'P1'", "[x, y]"),
    "routes are a list": ("[start]", "[drawing]\nroutes = []\n[start]", "wrong type", "[drawing] routes", "table"),
    "colour step of nothing": ("[start]", '[drawing]\nstep = "0 bar"\n[start]', "out of range", "[drawing] step", "1 bar"),
    "quote left open": ('"HandCrank"', '"HandCrank', "syntax", "line", "Close every quote"),
    "bracket left open": ('"0P1.shaft"]', '"0P1.shaft"', "syntax", "line", "bracket"),
    "no equals sign": ("format = 1", "format 1", "syntax", "line 3", "name ="),
    "key given twice": ("format = 1", "format = 1\nformat = 1", "duplicate key", "", "Keep one"),
    "table given twice": ("[start]", "[oil]\n[start]", "duplicate key", "line", "Keep one"),
    "part given twice": ("0M1 = {", "0P1 = {", "duplicate key", "line", "Keep one"),
    "name of nothing": ("[start]", "[parts.'']\nis = \"Weight\"\n[start]", "bad id", "[parts]", "1V2"),
    "name too long": ("0M1 = {", "0M1" + "9" * 90 + " = {", "bad name", "[parts] 0M1999", "64"),
}  # fmt: skip

TEXTS = {
    "nothing at all": ("", "missing key"),
    "an essay": ("Dear yard,\nthe pump is weak.\n", "syntax"),
    "dotted without end": ("a." * (SIZE // 2) + "a = 1", "chain of dotted words"),
    "quoted and dotted without end": ('"a b" . ' * (SIZE // 8) + "a = 1", "chain of dotted words"),
    "literal and dotted without end": ("'a!'." * (SIZE // 5) + "a = 1", "chain of dotted words"),
    "header without end": ("[" + "a." * (SIZE // 2) + "a]", "chain of dotted words"),
    "inline key without end": ("x = { " + "a." * (SIZE // 2) + "a = 1 }", "chain of dotted words"),
    "brackets without end": ("a = " + "[" * SIZE, "nested too deeply"),
    "filled brackets without end": ("a = " + "[1," * (SIZE // 3), "nested too deeply"),
    "tables without end": ("a = " + "{a=" * (SIZE // 3), "nested too deeply"),
    "twenty levels": ("a = " + "[" * 20 + "]" * 20, "nested too deeply"),
    "digits without end": ("a = 1" + "0" * SIZE, "number too long"),
    "an endless exponent": ("a = 1e" + "9" * 400, "not finite"),
    "too long a text": ("# " + "x" * 300_000, "too large"),
    "201 parts": ("format = 1\ntitle = 'x'\n[lines]\n[parts]\n"
                  + "".join(f"1A{k} = {{ is = 'Cylinder' }}\n" for k in range(201)), "too many parts"),
    "500 lines": ("format = 1\ntitle = 'x'\n[parts]\n[lines]\n" + "".join(f"L{k} = []\n" for k in range(500)),
                  "too many lines"),
    "thousands of faults": ("format = 1\ntitle = 'x'\n[parts]\n[lines]\n[drawing]\n"
                            + "".join(f"k{k} = 1\n" for k in range(20_000)), "more faults"),
}  # fmt: skip


def test_the_bench_itself_is_in_order() -> None:
    assert rig_file.loads(BENCH).title == "One-spool bench"


@pytest.mark.parametrize("mistake", MISTAKES)
def test_mistake_is_found_placed_and_answered(mistake: str) -> None:
    old, new, kind, where, words = MISTAKES[mistake]
    found = [fault for fault in faults_of(edited(old, new)) if fault.kind == kind and where in fault.where]
    assert found, f"no fault '{kind}' at '{where}'"
    assert any(words in f"{fault.problem} {fault.remedy}" for fault in found)
    assert all(fault.problem.endswith(".") and "\n" not in str(fault) for fault in found)


def test_at_least_25_kinds() -> None:
    assert len({kind for _, _, kind, _, _ in MISTAKES.values()} | {kind for _, kind in TEXTS.values()}) >= 25


@pytest.mark.parametrize("text", TEXTS)
def test_text_is_refused_in_time(text: str) -> None:
    written, kind = TEXTS[text]
    assert kind in {fault.kind for fault in faults_of(written)}


@pytest.mark.parametrize(
    ("content", "kind", "words"),
    [
        (b"\xff\xfef\x00o\x00", "not UTF-8", "UTF-16"),
        ('title = "Größe"'.encode("latin-1"), "not UTF-8", "UTF-8"),
        (b"\x7fELF\x00\x00\x01", "binary", "text"),
        (b"x" * 300_000, "too large", "256 kB"),
    ],
)
def test_file_of_bytes_is_refused(tmp_path: Path, content: bytes, kind: str, words: str) -> None:
    path = tmp_path / "yard.toml"
    path.write_bytes(content)
    with pytest.raises(RigError, match=words) as caught:
        rig_file.load(path)
    assert [fault.kind for fault in caught.value.faults] == [kind]
    assert str(path) in str(caught.value)


def test_missing_file_folder_and_pipe(tmp_path: Path) -> None:
    kinds = {tmp_path / "none.toml": "missing file", tmp_path: "not a file"}
    if hasattr(os, "mkfifo"):
        os.mkfifo(tmp_path / "pipe.toml")
        kinds[tmp_path / "pipe.toml"] = "not a file"
    for path, kind in kinds.items():
        with pytest.raises(RigError) as caught:
            rig_file.load(path)
        assert [fault.kind for fault in caught.value.faults] == [kind]


def test_byte_order_mark_and_windows_line_ends_are_welcome(tmp_path: Path) -> None:
    path = tmp_path / "yard.toml"
    path.write_bytes(b"\xef\xbb\xbf" + BENCH.replace("\n", "\r\n").encode())
    assert rig_file.load(path).title == "One-spool bench"


def test_all_faults_are_found_at_once() -> None:
    text = edited('"50 bar"', '"50 bra"').replace('"0P1.P", "0V1.P"', '"0P1.Q", "0V1.P"').replace('"VG 46"', '"VG 1"')
    kinds = [fault.kind for fault in faults_of(text)]
    assert {"bad number", "unknown port", "unknown word", "port on no line"} <= set(kinds)


def test_a_misspelt_class_is_one_fault_not_ten() -> None:
    faults = faults_of(edited('"OpenCentreSection"', '"OpenCenterSection"'))
    assert [fault.kind for fault in faults] == ["unknown part"]
    assert "'OpenCentreSection'" in faults[0].remedy


def test_messages_show_nothing_that_moves_the_cursor() -> None:
    faults = faults_of(edited('"HandCrank"', '"Hand\\u001b[2JCrank"').replace("0M1 = {", '"0M\\u001b1" = {'))
    assert "\x1b" not in "".join(map(str, faults))


PIECES = ["a", "1V1", '"x y"', "'z'", " . ", ".", "[", "]", "{", "}", ",", "=", "\n", " ", "\t", '"', "'", "\\",
          '"""', "'''", "#", "1", "nan", "[parts]\n", "is = ", "0x", "é"]  # fmt: skip


@pytest.mark.parametrize("seed", range(12))
def test_junk_ends_in_a_fault_soon(seed: int) -> None:
    source = random.Random(seed)
    pieces = source.sample(PIECES, source.randint(2, len(PIECES)))
    assert faults_of("".join(source.choice(pieces) for _ in range(SIZE // 3))[: rig_text.LARGEST_FILE])


@pytest.mark.parametrize("seed", range(40))
def test_a_damaged_bench_is_read_or_refused_cleanly(seed: int) -> None:
    source = random.Random(seed)
    text = list(BENCH)
    for _ in range(source.randint(1, 4)):
        text[source.randrange(len(text))] = source.choice(PIECES)
    begin = time.process_time()
    with contextlib.suppress(RigError):
        assert rig_file.loads("".join(text)).parts
    assert time.process_time() - begin < 1.0
