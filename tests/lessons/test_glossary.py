"""The glossary: every word leads somewhere, every part is in it, what is sought is found."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from pseudo_language import in_pseudo_language, plain

from trainer.errors import RigError
from trainer.lessons import glossary
from trainer.lessons.glossary import Word
from trainer.parts import CATALOGUE
from trainer.rig.tables import SCALES


def words() -> dict[str, Word]:
    return {**glossary.shipped(), **{word.key: word for word in glossary.parts()}}


def test_every_word_is_told_and_leads_on() -> None:
    known = words()
    assert len(glossary.shipped()) >= 70
    for word in glossary.shipped().values():
        assert word.words.endswith("."), word.key
        assert 20 <= len(word.words) <= 330, (word.key, len(word.words))
        assert word.see, word.key
        assert set(word.see) <= known.keys() - {word.key}, word.key
        assert not re.search(r"\b(TODO|etc)\b", word.words)
    terms = [term.lower() for word in glossary.shipped().values() for term in (word.term, *word.also)]
    assert len(set(terms)) == len(terms)


def test_every_part_is_there_and_words_lead_back_to_it() -> None:
    known = words()
    assert {f"part {name}" for name in CATALOGUE} <= known.keys()
    relief = known["part ReliefValve"]
    assert relief.term == "Pressure-relief valve"
    assert "setting" in relief.see
    assert "relief" in relief.also


def test_every_kind_of_instrument_has_its_word() -> None:
    assert {kind.replace(" ", "-") for kind in SCALES} <= glossary.shipped().keys()


@pytest.mark.parametrize(
    ("sought", "first"),
    [
        ("relief", "part ReliefValve"),  # one of its terms begins with it
        ("crack", "cracking-pressure"),
        ("annulus", "rod-end"),  # by another term
        ("heavier", None),
        ("eight times", "leakage"),  # by what is told
        ("CHECK valve", "part CheckValve"),
    ],
)
def test_what_is_sought_is_found(sought: str, first: str | None) -> None:
    assert next((word.key for word in glossary.found(sought, words())), None) == first


def test_faults_of_a_file_are_all_told(tmp_path: Path) -> None:
    file = tmp_path / "glossary.toml"
    file.write_text(
        'format = 1\n[words.one]\nterm = "One"\nwords = "It is."\nsee = ["two", "one", "part Nothing"]\n'
        "[words.other]\nterm = 3\n",
        "utf-8",
    )
    with pytest.raises(RigError) as raised:
        glossary.load(file)
    assert sorted(fault.kind for fault in raised.value.faults) == [
        "missing key", "unknown word", "unknown word", "unknown word", "wrong type"
    ]  # fmt: skip


def test_parts_are_told_in_the_language_in_use() -> None:
    with in_pseudo_language():
        word = glossary.of_part(CATALOGUE["Throttle"])
    assert not plain(" ".join((word.term, word.words, word.works, word.set)))
