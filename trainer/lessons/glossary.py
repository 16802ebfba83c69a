"""The glossary: words of the trade and of this program from one file, and the parts from their declarations."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from trainer import resources
from trainer.errors import nearest
from trainer.language import tr
from trainer.lessons import bank
from trainer.lessons.tables import GlossaryTable, WordTable
from trainer.parts import CATALOGUE
from trainer.parts.part import Part
from trainer.rig.tables import read_table
from trainer.rig.text import Faults, parse, quoted, read_text

__all__ = ["PART", "Word", "found", "load", "of_part", "parts", "shipped"]

PART = "part "  # before the class of a part, where a word is one


@dataclass(frozen=True, slots=True)
class Word:
    """A word: its key, term and other terms, what it means, the keys of those to see as well.

    Of a part ``words`` is what it does, ``works`` and ``set`` are the two other depths, and ``part`` its class.
    """

    key: str
    term: str
    words: str
    also: tuple[str, ...] = ()
    see: tuple[str, ...] = ()
    works: str = ""
    set: str = ""
    part: type[Part] | None = None


def load(path: Path) -> dict[str, Word]:
    """Return the words in a file by their keys. Raises RigError with every fault found."""
    text = read_text(path)
    document, faults = parse(text, str(path)), Faults(str(path), text)
    top = read_table(document, GlossaryTable, [], faults)
    words = {}
    for key, raw in top.get("words", {}).items():
        good = read_table(raw, WordTable, ["words", key], faults)
        words[key] = Word(
            key,
            good.get("term", key),
            good.get("words", "").strip(),
            tuple(good.get("also", ())),
            tuple(good.get("see", ())),
        )
    known = words.keys() | {f"{PART}{name}" for name in CATALOGUE}
    for word in words.values():
        for other in word.see:
            if other not in known or other == word.key:
                faults.add(
                    "unknown word",
                    ["words", word.key, "see"],
                    tr("there is no word {written} here.").format(written=quoted(other)),
                    nearest(other, known),
                )
    faults.stop()
    return words


def of_part(part: type[Part]) -> Word:
    """Return a part as a word, in the language in use; the trade's other terms for it are those of the bank."""
    does, works, set_ = part.plain.depths
    term = part.plain.term
    also = tuple(name for name in bank.shipped().terms.get(part.__name__, ()) if bank.plain(name) != bank.plain(term))
    key = f"{PART}{part.__name__}"
    see = tuple(word.key for word in shipped().values() if key in word.see)
    return Word(key, term, does, also, see, works, set_, part)


def parts() -> list[Word]:
    """Return all parts of the catalogue as words."""
    return [of_part(part) for part in CATALOGUE.values()]


@cache
def shipped() -> Mapping[str, Word]:
    """Return the words of the shipped file."""
    return load(resources.path("glossary.toml"))


def found(sought: str, words: Mapping[str, Word]) -> Iterator[Word]:
    """Yield the words in which all that is sought occurs: first where terms begin with it, then terms, then texts."""
    wanted = sought.lower().split()

    def rank(word: Word) -> int | None:
        terms = " ".join((word.term, *word.also)).lower()
        if wanted and any(one.lower().startswith(" ".join(wanted)) for one in (word.term, *word.also)):
            return 0
        if all(one in terms for one in wanted):
            return 1
        text = f"{terms} {word.words} {word.works} {word.set}".lower()
        return 2 if all(one in text for one in wanted) else None

    ranked = [(at, word.term.lower(), word) for word in words.values() if (at := rank(word)) is not None]
    for _, _, word in sorted(ranked, key=lambda one: one[:2]):
        yield word
