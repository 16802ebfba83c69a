"""Rig files that are in order: what is read, in SI, and what is written back."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from trainer import resources, units
from trainer.errors import RigError
from trainer.parts import CATALOGUE
from trainer.parts.part import Choice, Kind, Parameter, Part, Wear
from trainer.parts.restrictors import Orifice
from trainer.rig import file as rig_file
from trainer.rig.names import part_label
from trainer.rig.rig import Fitted, Instrument, Rig
from trainer.rig.tables import CLASSES, SCALES
from trainer.rig.writer import written

SHIPPED = resources.rigs()
BENCH = SHIPPED["one-spool-bench"]
SMALL = """
format = 1
title = "Two tanks and a leak"
[parts]
0Z1 = { is = "Reservoir" }
0Z2 = { is = "Reservoir", volume = "5 gal" }
[parts.0V1]
is = "Orifice"
diameter = "0.5 in"
label = "the leak"
[lines]
A = ["0Z1.S", "0V1.1"]
B = { joins = ["0Z2.T", "0V1.2"], bore = "12 mm" }
C = ["0Z1.T"]
D = ["0Z2.S"]
"""


def test_the_bench() -> None:
    rig = rig_file.load(BENCH)
    assert rig.title == "One-spool bench"
    assert rig.source == str(BENCH)
    assert rig.oil.grade == "VG 46"
    assert rig.oil.temperature == 45.0
    # ISO 1219-2: every part has a circuit number, the letter of its kind, a number
    assert list(rig.parts) == ["0Z1", "0M1", "0P1", "0V1", "1V1", "0Z2", "1A1", "1W1"]
    assert rig.parts["0P1"].value("displacement") == pytest.approx(1e-5 / (2 * math.pi))
    assert rig.parts["0P1"].choice("kind") == "piston"
    assert rig.parts["0V1"].value("setting") == pytest.approx(50e5)
    assert part_label(rig, "1A1") == "lift cylinder"
    assert rig.parts["1W1"].value("mass") == 255.0
    assert {line.name: line.kind for line in rig.lines.values()}["crank"] is Kind.SHAFT
    assert rig.lines["rod1"].kind is Kind.ROD
    assert rig.lines["P1"].hose == 1.0
    assert rig.lines["P1"].bore == pytest.approx(6e-3)
    assert {name: item.kind for name, item in rig.instruments.items()} == {
        "P1": "gauge", "Q1": "flow meter", "n1": "tachometer", "T1": "thermometer"}  # fmt: skip
    assert rig.start == {"0M1.speed_asked": pytest.approx(2 * math.pi)}


def test_blocks_inline_tables_and_both_line_forms_mean_the_same() -> None:
    rig = rig_file.loads(SMALL)
    assert rig.parts["0V1"].label == "the leak"
    assert rig.parts["0V1"].value("diameter") == pytest.approx(12.7e-3)
    assert rig.parts["0Z2"].value("volume") == pytest.approx(5 * 231 * 0.0254**3)  # NIST SP 811: 231 in3
    assert rig.lines["B"].bore == pytest.approx(0.012)
    assert rig.lines["A"].bore is None
    assert rig.line_of("0V1", "2").name == "B"


def test_start_may_be_quoted_or_dotted() -> None:
    dotted = BENCH.read_text("utf-8")
    quoted = dotted.replace("0M1.speed_asked =", '"0M1.speed_asked" =')
    assert quoted != dotted
    assert rig_file.loads(quoted).start == rig_file.loads(dotted).start


@pytest.mark.parametrize(("word", "times"), [("healthy", 1), ("mild", 2), ("Marginal", 4), ("failed", 10)])
@pytest.mark.parametrize("kind", ["gear", "piston"])
def test_wear_by_word_is_a_multiple_of_the_healthy_value(word: str, times: float, kind: str) -> None:
    text = BENCH.read_text("utf-8").replace('kind = "piston"', f'kind = "{kind}"')
    slip = rig_file.loads(text).parts["0P1"].value("slip")
    worn = rig_file.loads(text.replace(f'kind = "{kind}"', f'kind = "{kind}", slip = "{word}"'))
    assert worn.parts["0P1"].value("slip") == pytest.approx(times * slip)


def test_old_names_of_parts_are_still_read() -> None:
    class NarrowPassage(Orifice):
        """An orifice that had another name."""

        replaces = ("Orifice",)

    catalogue = {**CATALOGUE, "NarrowPassage": NarrowPassage}
    del catalogue["Orifice"]
    rig = rig_file.loads(SMALL, catalogue=catalogue)
    assert rig.parts["0V1"].part is NarrowPassage
    assert '0V1 = { is = "NarrowPassage"' in rig_file.dump(rig)


def test_any_catalogue_can_be_read() -> None:
    class Sponge(Part):
        """A part with one of everything the reader knows."""

        ports = {"1": Kind.OIL}
        letter = "Z"
        size = Parameter("2 L", low="1 L", high="9 L", meaning="size")
        rot = Wear("1 %", mild=2, marginal=3, failed=4, notice="smells")

    head = 'format = 1\ntitle = "Sponge"\n[lines]\nA = ["1Z1.1"]\n[parts]\n'
    rig = rig_file.loads(head + '1Z1 = { is = "Sponge", size = "3 L", rot = "mild" }', catalogue={"Sponge": Sponge})
    assert dict(rig.parts["1Z1"].values) == {"size": 3e-3, "rot": 0.02}


def test_spec_sheet() -> None:
    sheet = """
[healthy.relief]
reads = "P1"
value = "50 bar"
tolerance = "4 %"
when = { 0M1.speed_asked = "60 r/min", temperature = "104 F" }
[healthy.oil]
reads = "T1"
value = "113 F"
tolerance = "9 F"
"""
    first, second = rig_file.loads(BENCH.read_text("utf-8").partition("\n[healthy]")[0] + sheet).healthy
    assert (first.name, first.reads) == ("relief", "P1")
    assert first.value == pytest.approx(50e5)
    assert first.tolerance == pytest.approx(2e5)
    assert dict(first.conditions) == {
        "0M1.speed_asked": pytest.approx(2 * math.pi), "temperature": pytest.approx(40.0)}  # fmt: skip
    assert second.value == pytest.approx(45.0)
    assert second.tolerance == pytest.approx(5.0)  # a difference of 9 F is one of 5 C


@pytest.mark.parametrize("name", SHIPPED)
def test_what_is_shipped_is_written_back_the_same(name: str) -> None:
    rig = rig_file.load(SHIPPED[name])
    text = rig_file.dump(rig)
    again = rig_file.loads(text, rig.source)
    assert again == rig
    assert rig_file.dump(again) == text


@pytest.mark.parametrize("name", SHIPPED)
def test_without_its_drawing_it_is_the_same_rig(name: str) -> None:
    rig = rig_file.load(SHIPPED[name])
    plain = rig_file.loads(rig_file.dump(replace(rig, drawing={})), rig.source)
    assert plain == replace(rig, drawing={})


OIL = """temperature = "40.5 C"
air = "2 %"
density = "860 kg/m3"
viscosity = "32 mm2/s"
stiffness = "1500 MPa"
stiffening = 9
warms = false"""
CLASSED = 'range = "60 bar", class = "1.6", calibrated = true'  # as the bench has it
BEHAVIOUR = 'class = "1.6", damping = "0.4 s", zero = "-2 bar", state = "plugged"'
MORE = """
[healthy.P1]
reads = "P1"
value = "1.2 bar"
tolerance = "0.3 bar"
when = { 1V1.lever = "0 %", temperature = "45 C" }
[drawing]
step = "10 bar"
0P1 = { at = [6, 40.5], turn = 90, mirror = true }
P1 = { at = [-1, 2] }
[drawing.routes]
P1 = [["0P1.P", [6, 20], "1V1.C"], [[12, 20], "0V1.P"]]
"""


def test_everything_a_file_may_say_is_written_back() -> None:
    text = BENCH.read_text("utf-8").partition("\n[drawing")[0] + MORE
    text = text.replace('temperature = "45 C"', OIL, 1)
    text = text.replace('hose = "1 m"', 'hose = "1 m", stiffness = "300 MPa", volume = "20 cm3"', 1)
    text = text.replace(CLASSED, f'range = "60 bar", {BEHAVIOUR}', 1)
    rig = rig_file.loads(text)
    assert rig.oil.stiffening == 9
    assert not rig.oil.warms
    assert rig.drawing["routes"]["P1"][1][0] == [12, 20]
    assert rig_file.loads(rig_file.dump(rig)) == rig


def test_a_start_is_written_in_its_order() -> None:
    """Also where keys of one part do not stand together, which a table of TOML would gather."""
    rig = rig_file.load(BENCH)
    start = {"0M1.speed_asked": 6.0, "1V1.lever": 0.1, "1W1.x": 0.1, "0M1.angle": 0.2, "P1": 1e5}
    text = rig_file.dump(replace(rig, start=start, settle="none"))
    keys = [line.partition(" =")[0] for line in text.partition("[start]\n")[2].partition("\n\n")[0].splitlines()]
    assert keys == ["settle", *start]
    assert rig_file.loads(text).start == start


QUANTITIES = sorted({unit.quantity for unit in units.UNITS.values()})


@given(st.sampled_from(QUANTITIES), st.floats(-1e12, 1e12))
def test_every_number_is_written_exactly(quantity: str, value: float) -> None:
    assert units.read(written(value, quantity), quantity) == value


@pytest.mark.parametrize(
    ("value", "quantity", "text"),
    [
        (175e5, "pressure", "175 bar"),
        (1.5e9, "pressure", "1500 MPa"),
        (0.08, "length", "80 mm"),
        (3.0, "length", "3 m"),
        (0.012, "volume", "12 L"),
        (10 * units.UNITS["cm3/rev"].factor, "displacement", "10 cm3/rev"),
        (-0.5, "ratio", "-50 %"),
        (60 * units.UNITS["r/min"].factor, "shaft speed", "60 r/min"),
        (45.0, "temperature", "45 C"),
        (0.0, "length", "0 mm"),
    ],
)
def test_numbers_are_written_as_a_workshop_would(value: float, quantity: str, text: str) -> None:
    assert written(value, quantity) == text


@given(st.text(st.characters(exclude_categories=("C", "Zl", "Zp")), max_size=40))
def test_any_title_and_label_is_written_back(title: str) -> None:
    rig = rig_file.loads(SMALL)
    orifice = replace(rig.parts["0V1"], label=title.strip())
    named = replace(rig, title=title.strip(), notes=f'"""{title}\\\n"', parts={**rig.parts, "0V1": orifice})
    again = rig_file.loads(rig_file.dump(named))
    assert (again.title, again.parts["0V1"].label) == (named.title, named.parts["0V1"].label)
    assert again.notes == named.notes.strip()


@st.composite
def fitted(draw: st.DrawFn) -> Fitted:
    """Draw a part of the catalogue with numbers anywhere in their ranges and any of its words."""
    part = CATALOGUE[draw(st.sampled_from(sorted(CATALOGUE)))]
    parameters: dict[str, Parameter] = part.declared(Parameter)
    values = {
        name: draw(st.floats(parameter.low, parameter.high))
        for name, parameter in parameters.items()
        if draw(st.booleans())
    }
    choices = {name: draw(st.sampled_from(choice.options)) for name, choice in part.declared(Choice).items()}
    label = draw(st.sampled_from(["", "boom", 'a "b" c\\d']))
    ends = draw(st.sampled_from([None, ("in", "out")])) if part is CATALOGUE["OpenCentreSection"] else None
    found = Fitted(f"1{part.letter}1", part, values, choices, label, ends)
    assume(not part.objections(found.value))  # such a part is refused; see the table of bad files
    return found


@pytest.mark.soak
@given(fitted())
def test_any_part_is_written_back(part: Fitted) -> None:
    lines = {}
    for port, kind in part.part.ports.items():
        line = rig_file.loads(SMALL).lines["A"]
        lines[f"L{port}"] = replace(line, name=f"L{port}", kind=kind, joins=((part.id, port),))
    rig = Rig("One part", {part.id: part}, lines)
    assert rig_file.loads(rig_file.dump(rig)) == rig


def test_every_instrument_has_a_scale_in_a_known_quantity() -> None:
    assert {scale[0] for scale in SCALES.values()} <= set(QUANTITIES)


# -- instruments and test points ----------------------------------------------------------------------------


def test_how_an_instrument_errs_is_read() -> None:
    text = BENCH.read_text("utf-8").replace(CLASSED, f'range = "60 bar", {BEHAVIOUR}', 1)
    gauge = rig_file.loads(text).instruments["P1"]
    assert gauge.accuracy == 0.016  # EN 837-1: class 1.6 is 1.6 % of the range
    assert gauge.damping == 0.4
    assert gauge.zero == pytest.approx(-2e5)
    assert gauge.state == "plugged"
    assert not gauge.calibrated
    plain = rig_file.load(BENCH).instruments["P1"]
    assert (plain.accuracy, plain.damping, plain.zero, plain.state) == (0.016, 0.15, 0.0, "sound")
    assert plain.calibrated
    bare = rig_file.loads(BENCH.read_text("utf-8").replace(CLASSED, 'range = "60 bar"', 1)).instruments["P1"]
    assert (bare.accuracy, bare.calibrated) == (0.0, False)
    assert "damping" not in rig_file.dump(rig_file.load(BENCH))  # what is usual is not written


def test_a_thermometer_may_sit_on_any_part_with_oil_and_err_by_a_difference() -> None:
    text = BENCH.read_text("utf-8").replace(
        'on = "0Z1", range = "100 C"', 'on = "0V1", range = "212 F", zero = "9 F"'
    )
    item = rig_file.loads(text).instruments["T1"]
    assert (item.kind, item.on) == ("thermometer", "0V1")
    assert item.range_ == pytest.approx(100.0)
    assert item.zero == pytest.approx(5.0)  # a difference of 9 F is one of 5 C


def test_the_unit_of_its_scale_makes_a_vacuum_gauge_and_across_a_differential_one() -> None:
    """30 inHg are 1016 mbar; both are written back as they were read."""
    text = BENCH.read_text("utf-8").replace(
        "[instruments]",
        '[instruments]\nV1 = { on = "S", range = "30 inHg" }\nD1 = { across = "0Z2", range = "4 bar" }',
        1,
    )
    rig = rig_file.loads(text)
    vacuum, over = rig.instruments["V1"], rig.instruments["D1"]
    assert (vacuum.kind, vacuum.on) == ("vacuum gauge", "S")
    assert vacuum.range_ == pytest.approx(1.016e5, rel=1e-3)
    assert (over.kind, over.on, len(over.between)) == ("differential gauge", "0Z2", 2)
    assert rig_file.loads(rig_file.dump(rig)).instruments == rig.instruments
    with pytest.raises(RigError, match="one way through"):
        rig_file.loads(text.replace('across = "0Z2"', 'across = "1V1"'))


@pytest.mark.soak
@given(
    st.sampled_from([("gauge", "P1"), ("flow meter", "0P1.P"), ("tachometer", "crank"), ("thermometer", "0V1")]),
    st.floats(1, 60), st.sampled_from(CLASSES), st.floats(0, 60), st.floats(-1, 1),
    st.sampled_from(["sound", "seized"]),
)  # fmt: skip
def test_any_instrument_is_written_back(
    what: tuple[str, str], end: float, class_: float, damping: float, zero: float, state: str
) -> None:
    item = Instrument(
        "X1", *what, end * units.UNITS[{"gauge": "bar", "flow meter": "L/min"}.get(what[0], "C")].factor
    )
    item = replace(item, accuracy=class_ / 100, damping=damping, zero=zero * item.range_, state=state)
    rig = replace(rig_file.load(BENCH), instruments={"X1": item}, healthy=(), drawing={})
    assert rig_file.loads(rig_file.dump(rig)).instruments == {"X1": item}


def test_a_line_may_have_a_test_point() -> None:
    rig = rig_file.load(SHIPPED["timber-trailer-loader"])
    assert [line.name for line in rig.lines.values() if line.test_point] == ["S", "pump", "banks", "A3", "R"]
    short = 'A1 = { joins = ["1V1.A", "1A1.A"], test_point = true }'
    old = 'A1 = { joins = ["1V1.A", "1A1.A"], hose = "1 m", bore = "6 mm" }'
    text = BENCH.read_text("utf-8").replace(old, short)
    assert rig_file.loads(text).lines["A1"].test_point
    assert short in rig_file.dump(rig_file.loads(text))


def test_a_condition_may_be_a_posture() -> None:
    """States beside controls: the angle is kept in rad, the place of a weight in m."""
    loader = {reading.name: reading for reading in rig_file.load(SHIPPED["timber-trailer-loader"]).healthy}
    assert loader["boom_at_60_with_250_kg"].conditions["3W1.boom"] == pytest.approx(math.radians(55))
    bench = {reading.name: reading for reading in rig_file.load(BENCH).healthy}
    assert bench["lifting_at_mid_stroke"].conditions["1W1.x"] == pytest.approx(0.1)


MISTAKES = {  # what is written of the bench, what instead, words of the fault
    "no class": (CLASSED, 'range = "60 bar", class = "1.5"', "'1.5' is no class", "1, 1.6, 2.5, 4 (EN 837-1)"),
    "class of a list": ('class = "1.6"', 'class = ["1.6"]', "a list of 1, ['1.6'], cannot be used", '"1.6"'),
    "misspelt class": ('"60 bar"', '"60 bar", clas = "1.6"', "no such key", "'class'"),
    "damping of no time": ('"60 bar"', '"60 bar", damping = "2 bar"', "is a pressure", "or ms"),
    "damping too long": ('"60 bar"', '"60 bar", damping = "5 min"', "outside 0 s … 60 s", "time"),
    "zero of another quantity": ('"60 bar"', '"60 bar", zero = "2 mm"', "is a length", "bar"),
    "zero beyond the range": ('"60 bar"', '"60 bar", zero = "70 bar"', "more than its range", "off at zero"),
    "unknown state": ('"60 bar"', '"60 bar", state = "pluged"', "never 'pluged'", "'plugged'"),
    "plugged tachometer": ('"120 r/min"', '"120 r/min", state = "plugged"', "a tachometer is never", "seized, sound"),
    "thermometer without oil": ('on = "0Z1"', 'on = "0M1"', "no oil in '0M1'", "tank"),
    "test point on a shaft": (
        'crank = ["0M1.shaft", "0P1.shaft"]', 'crank = { joins = ["0M1.shaft", "0P1.shaft"], test_point = true }',
        "holds no oil", "test_point out",
    ),
    "test point of a word": ("test_point = true", 'test_point = "yes"', "cannot be used", "true or false"),
    "misspelt posture": ('"1W1.x" = "100 mm"', '"1W1.y" = "100 mm"', "stand at", "1W1."),
    "posture of another quantity": ('"1W1.x" = "100 mm"', '"1W1.x" = "100 bar"', "is a pressure", "mm"),
}  # fmt: skip


@pytest.mark.parametrize("mistake", MISTAKES)
def test_mistakes_in_instruments_and_sheets_are_told(mistake: str) -> None:
    old, new, problem, remedy = MISTAKES[mistake]
    text = BENCH.read_text("utf-8")
    assert old in text
    with pytest.raises(RigError) as caught:
        rig_file.loads(text.replace(old, new, 1), "yard.toml")
    (fault,) = caught.value.faults
    assert problem in str(fault)
    assert remedy in str(fault)
