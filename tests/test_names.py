"""What lines are called: by what they join, the same in the tracer, the fit list, the working and the tables."""

from __future__ import annotations

from dataclasses import replace

import pytest

from trainer import resources
from trainer.parts.part import Kind
from trainer.rig import file as rig_file
from trainer.rig.names import (
    capital,
    line_words,
    measured_at,
    part_words,
    the_line,
)
from trainer.rig.rig import Instrument, Line, Rig

BENCH, LOADER = (rig_file.load(resources.rigs()[name]) for name in ("one-spool-bench", "timber-trailer-loader"))
RIGS = pytest.mark.parametrize("rig", [BENCH, LOADER], ids=["bench", "loader"])


def test_a_line_is_called_by_what_it_joins() -> None:
    told = {name: line_words(LOADER, name) for name in LOADER.lines}
    assert told["pump"] == "pump outlet"
    assert told["banks"] == "between the banks"
    assert told["A3"] == "boom, cap end"
    assert told["B1"] == "stabilisers, rod end"
    assert told["G3"] == "slew to boom section"
    assert told["R"] == "return line"
    assert told["motor"] == "slew motor shaft"
    assert told["engine"] == "diesel engine shaft"
    assert told["tongs"] == "grapple rod"
    assert line_words(BENCH, "A1") == "lift cylinder, cap end"
    assert line_words(BENCH, "P1") == "pump outlet"


def test_a_line_stands_in_a_sentence() -> None:
    names = ("pump", "banks", "G4", "A3", "T", "S0")
    assert [the_line(LOADER, name) for name in names] == [
        "the pump outlet", "the line between the banks", "the line from boom to stick section", "the boom cap end",
        "the line to the tank", "the line from the tank",
    ]  # fmt: skip


@RIGS
def test_no_name_is_an_id_of_the_file(rig: Rig) -> None:
    ids = {name for name in (*rig.lines, *rig.instruments) if not name.islower() or name[-1].isdigit()}
    for name in rig.lines:
        assert not {word.strip(",()") for word in line_words(rig, name).split()} & ids


def test_no_two_lines_are_called_the_same() -> None:
    twice = Line("P9", Kind.OIL, (("0Z3", "2"), ("0V1", "T"), ("0Z1", "T")))
    rig = replace(LOADER, lines={**LOADER.lines, "P9": twice})
    assert line_words(rig, "P9") == "line to the tank (P9)"
    assert line_words(rig, "T") == "line to the tank (T)"
    assert line_words(LOADER, "T") == "line to the tank"  # the rig asked about before is not remembered wrongly


@RIGS
def test_no_instrument_of_a_shipped_rig_has_the_name_of_a_line_elsewhere(rig: Rig) -> None:
    assert rig.remarks() == []


def test_an_instrument_named_like_a_line_elsewhere_is_remarked_on() -> None:
    confused = replace(BENCH, instruments={"A1": Instrument("A1", "gauge", "P1", 6e6)})
    assert "[instruments] A1: line A1 is another one than it reads. Give the line another name." in confused.remarks()


def test_where_an_instrument_reads() -> None:
    assert measured_at(LOADER, LOADER.instruments["P1"]) == "between the banks"
    assert measured_at(LOADER, LOADER.instruments["Q1"]) == "pump 0P1, port P"
    assert measured_at(LOADER, LOADER.instruments["n1"]) == "diesel engine shaft"
    assert measured_at(BENCH, BENCH.instruments["T1"]) == "tank 0Z1"


def test_parts_are_called_by_label_and_kind() -> None:
    assert part_words(LOADER, "3V1") == "boom section"
    assert part_words(LOADER, "0V1") == "relief valve 0V1"
    assert capital(part_words(BENCH, "1A1")) == "Lift cylinder"
