"""Words for people can be reached by a translation: below the window, in a language that is English with accents.

Whatever a person reads is taken from the rigs at work, from the faults of bad files and from all that can be fitted,
timed and changed; a word without an accent that comes neither from a file nor from a unit stands in the code alone.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import replace
from gettext import NullTranslations
from pathlib import Path

import pytest
import test_hostile_files
import test_messages
from cases import first
from pseudo_language import accented, in_pseudo_language, of_file, plain
from working_scenes import RIGS, instants, rig_of

from trainer import cli, language, resources
from trainer.changing.adjustables import adjustables
from trainer.energy.books import FlowBook
from trainer.energy.ledger_history import LedgerHistory
from trainer.engine.network import Network
from trainer.engine.readings import Readings
from trainer.engine.session import Session
from trainer.errors import RigError
from trainer.language import tr, trn
from trainer.measuring.fitting import plan
from trainer.measuring.instruments import RANGES, places
from trainer.measuring.stopwatch import triggers
from trainer.measuring.validity import verdict
from trainer.parts import CATALOGUE
from trainer.parts.model import PartModel
from trainer.parts.part import Choice, Control, Parameter, Part, State, Wear
from trainer.rig import file as rig_file
from trainer.rig import tables
from trainer.rig.names import capital, kind_words, line_words, part_title, part_words, port_words, the_line
from trainer.rig.rig import Rig
from trainer.tracing.path import trace
from trainer.tracing.words import no_oil
from trainer.units import System
from trainer.working import Subject, about, title, workings

SYSTEMS = (System.METRIC, System.US)


# -- the language ------------------------------------------------------------------------------------------------


def test_without_a_catalogue_a_text_is_as_it_is_written() -> None:
    assert tr("Lifts the {part}").format(part="boom") == "Lifts the boom"
    assert [trn("{count} row", "{count} rows", k).format(count=k) for k in (1, 2)] == ["1 row", "2 rows"]
    assert tr("") == ""  # a catalogue keeps its own heading there


def test_a_catalogue_is_used_until_another_is() -> None:
    with in_pseudo_language():
        assert tr("Lifts the {part}").format(part="boom") == "Ĺíḟţś ţĥé boom"
        assert trn("{count} row", "{count} rows", 2).format(count=2) == "2 ŕóŵś"
    assert tr("Lifts the {part}") == "Lifts the {part}"


def test_use_returns_what_was_used() -> None:
    first, second = NullTranslations(), NullTranslations()
    before = language.use(first)
    assert language.use(second) is first
    assert language.use(before) is second


def test_what_is_not_looked_up_is_found() -> None:
    assert plain(f"{accented('Flow')} of 3V1, 5 bar") == ["of"]
    assert plain("5 L/min, 3V1", ()) == []


# -- rigs at work ------------------------------------------------------------------------------------------------


def texts(rig: Rig, now: Readings) -> Iterator[str]:
    """Yield what is told of a rig at one instant: ledgers, workings, oil paths, fitting, spec sheet."""
    book = FlowBook(now.network)
    found = workings(rig, now)
    for ledger in (book.ledger(now), book.power.ledger(now)):
        yield from (ledger.name, *(words for words, _ in ledger.closing))
        found += about(rig, now, Subject("ledger", ledger.id), book)
        for entry in ledger.entries:
            yield entry.shown
            yield title(rig, Subject("ledger", entry.id), book)
            found += about(rig, now, Subject("ledger", entry.id), book)
    for working in found:
        yield from (working.name, working.note, *(term.source for term in (*working.terms, working.result)))
    path = trace(now)
    for system in SYSTEMS:
        yield from (no_oil(now, path, ("part", id_), system) for id_ in rig.parts if path.step(("part", id_)) is None)
        yield from (no_oil(now, path, ("line", id_), system) for id_ in rig.lines if path.step(("line", id_)) is None)
    for kind in RANGES:
        for place in places(rig, kind):
            for off in (False, True):
                fitting = plan(rig, now, kind, place.on, off)
                yield from (place.words, fitting.hazard, *(step.words for step in fitting.steps))
    for name in rig.instruments:
        for system in SYSTEMS:
            found_ = verdict(rig, now, name, 0.0, False)
            if found_ is not None:
                yield from (*found_.told(system), found_.comparison(system))


def names(rig: Rig) -> Iterator[str]:
    """Yield what parts, lines, ports, numbers and triggers of a rig are called."""
    for id_, fitted in rig.parts.items():
        yield from (part_title(rig, id_), part_words(rig, id_))
        yield from (port_words(rig, id_, port) for port in fitted.part.ports)
    for name in rig.lines:
        yield from (line_words(rig, name), the_line(rig, name), capital(line_words(rig, name)))
    for one in adjustables(rig).values():
        yield from (one.title, one.meaning)
    for stop in (False, True):
        yield from (trigger.words(rig) for trigger in triggers(rig, stop))


@pytest.mark.parametrize("name", first(1, RIGS))
def test_what_a_rig_tells(name: str) -> None:
    seen = instants(name)
    bare: dict[str, list[str]] = {}
    with in_pseudo_language():
        network = Network(replace(rig_of(name)))  # a rig makes its names once
        rig, allowed = network.rig, of_file(network.rig)
        for now in seen:
            here = Readings.of(network, now.time, now.x, now.pu, now.skin_temperatures)
            bare |= {text: left for text in texts(rig, here) if (left := plain(text, allowed))}
        bare |= {text: left for text in names(rig) if (left := plain(text, allowed))}
    assert bare == {}


def test_what_a_stretch_of_a_run_tells() -> None:
    for name in RIGS[:2]:
        with in_pseudo_language():
            session = Session(replace(rig_of(name)))
            history = LedgerHistory(session, FlowBook(session.network))
            history.take()
            session.advance(0.5)
            history.take()
            cycle = history.between(0.0, 0.5)
            told = [cycle.paid.name, cycle.used.name, cycle.oil.name]
            told += [account.name for account in (*history.payers, *history.accounts)]
            for use in cycle.uses:
                told += [use.word, *(words for system in SYSTEMS for words, _ in use.told(system))]
        assert [text for text in told if plain(text, of_file(session.rig))] == []


# -- parts -------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("part", CATALOGUE.values(), ids=lambda part: part.__name__)
def test_what_a_part_declares_is_looked_up(part: type[Part]) -> None:
    with in_pseudo_language():
        told = [kind_words(part), *(part.word(name) for name in part.words)]
        told += [one.meaning for kind in (Parameter, Control, Choice) for one in part.declared(kind).values()]
        told += [one.notice for one in part.declared(Wear).values()]
        told += [end for one in part.declared(Control).values() for end in one.ends]
    assert [text for text in told if plain(text)] == []


# -- faults ------------------------------------------------------------------------------------------------------

KEYS = {  # that a rig file may hold, and what it may say for some
    word.lower()
    for part in CATALOGUE.values()
    for names in (
        [part.__name__, *part.ports],
        *(part.declared(kind) for kind in (Parameter, Control, State, Choice)),
        *(choice.options for choice in part.declared(Choice).values()),
        *(wear.severities for wear in part.declared(Wear).values()),
        *(struct.__struct_encode_fields__ for struct in (tables.Document, tables.OilTable, tables.LineTable)),
        *(struct.__struct_encode_fields__ for struct in (tables.InstrumentTable, tables.PlaceTable)),
        tables.HealthyTable.__struct_encode_fields__,
        ("healthy", "settle", "step", "routes", "yard.toml", "inf"),
    )
    for name in names
    for word in re.findall(r"[A-Za-z]{2,}", name)
}
FAULTY = {
    **{name: test_hostile_files.edited(old, new) for name, (old, new, *_) in test_hostile_files.MISTAKES.items()},
    **{name: text for name, (text, _) in test_hostile_files.TEXTS.items()},
    **{name: test_messages.BENCH.replace(old, new, 1) for name, (old, new, _) in test_messages.TOLD.items()},
}


@pytest.mark.parametrize("name", FAULTY)
def test_what_is_told_of_a_faulty_file(name: str) -> None:
    text = FAULTY[name]
    with in_pseudo_language():
        with pytest.raises(RigError) as caught:
            rig_file.loads(text, "yard.toml")
        told = str(caught.value)
    allowed = KEYS | {word.lower() for word in re.findall(r"[A-Za-z]{2,}", text)}
    lines = [re.sub(r"'[^']*'", "", line) for line in told.splitlines()]  # in quotes stands the file's
    assert [line for line in lines if plain(line, allowed)] == []


# -- the command line --------------------------------------------------------------------------------------------

_LIBRARY = """usage options positional arguments show this help message and exit program version number error
required the following are verbs argument invalid choice"""  # words of argparse, which has a catalogue of its own
VERBS = {
    *_LIBRARY.split(),
    "svg",
    "png",
    "pdf",
    "csv",
    "board",
    "beside",
    "check",
    "run",
    "picture",
    "screens",
    "bench",
    "parts",
    "part",
    "md",
    "rigs",
    "fit",
}
TOLD = {"is", "hm"} | {  # a key, a letter of a formula, names of readings
    word.lower()
    for name in ("CounterbalanceValve", "FixedPump")
    for read in PartModel(CATALOGUE[name]).reads
    for word in re.findall(r"[A-Za-z]{2,}", read)
}
SAID = (
    ["check", "one-spool-bench", "timber-trailer-loader"],
    ["check", "bad.toml"],
    ["check", "nowhere.toml"],
    ["run", "one-spool-bench"],
    ["picture", "one-spool-bench", "board.bmp"],
    ["picture", "bad.toml", "board.svg"],
    ["one-spol-bench"],
    *([verb, "--help"] for verb in ("board", "beside", "check", "run", "picture", "screens", "parts", "part")),
    ["parts"],
    ["rigs"],
    ["part", "CounterbalanceValve"],
    ["part", "FixedPump", "--units", "us"],
    ["part", "fixdpump"],
    ["--help"],
)


@pytest.mark.parametrize("arguments", SAID, ids=" ".join)
def test_what_a_verb_says(
    arguments: list[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(tmp_path)
    (tmp_path / "bad.toml").write_text(FAULTY["oil too hot"], "utf-8")
    two = {name: resources.rigs()[name] for name in RIGS[:2]}
    monkeypatch.setattr(resources, "rigs", lambda: two)  # those whose words are known here
    with in_pseudo_language():
        cli.main(arguments)
    out, err = capsys.readouterr()
    known = KEYS | TOLD | of_file(rig_of(RIGS[0])) | of_file(rig_of(RIGS[1])) | VERBS
    said = " ".join(["spoolroom --help -h", *arguments, *resources.rigs()])  # rigs are called as their files are
    known |= {word.lower() for word in re.findall(r"[A-Za-z]{2,}", said)}
    bare = re.sub(
        r"--?[a-z-]+|\b[A-Z]{2,}\b|\{[a-z,]+\}|\[[a-z]+\]|\b[\w-]+\.(?:toml|csv|svg|png|pdf)\b", "", f"{out}\n{err}"
    )
    assert (out + err).strip()
    assert plain(bare, known) == []
