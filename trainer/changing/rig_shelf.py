"""The shipped rigs to choose from: by what they teach, the small ones first, each with its sentence."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from trainer import resources
from trainer.errors import SpoolroomError
from trainer.language import tr
from trainer.parts import CATALOGUE
from trainer.parts.roles import DirectionalValve
from trainer.rig.text import parse, read_text
from trainer.rig.topics import TOPICS, heading

__all__ = ["OnShelf", "by_topic", "first_sentence", "fits", "found", "found_by_topic", "shelf"]


@dataclass(frozen=True, slots=True)
class OnShelf:
    """A file of a rig: its title, the sentence that says what it is for, what it teaches, how many levers it has.

    ``moves``: what these move, as far as it is said at the valves, in small letters; ``kinds`` and ``labels``: of its
    parts. What cannot be read teaches nothing.
    """

    path: Path
    title: str
    about: str
    topic: str = ""
    levers: int = 0
    moves: frozenset[str] = frozenset()
    kinds: frozenset[str] = frozenset()
    labels: frozenset[str] = frozenset()

    @property
    def words(self) -> str:
        """All that it is found by, in the language in use: title, file, sentence, topic, and its parts' names."""
        terms = [CATALOGUE[kind].plain.term for kind in sorted(self.kinds)]
        named = (*terms, *sorted(self.kinds), *sorted(self.labels))
        return " ".join((self.told, *named))

    @property
    def told(self) -> str:
        """What is said of it as a whole, in the language in use: title, file, sentence, topic."""
        return " ".join((self.title, self.path.stem, self.about, heading(self.topic)))


def shelf() -> list[OnShelf]:
    """Return the shipped rigs in the order of a course: by topic, those of few levers first, then by title."""
    try:
        files = resources.rigs()
    except SpoolroomError:
        return []
    order = [*TOPICS, ""]
    found = [_read(name, path) for name, path in files.items()]
    return sorted(found, key=lambda one: (order.index(one.topic), one.levers, one.title))


def _read(name: str, path: Path) -> OnShelf:
    """Return what stands at the top of a file, which takes a third of the time of a whole rig."""
    try:
        top = parse(read_text(path), str(path))
    except SpoolroomError:
        return OnShelf(path, name, tr("This file cannot be read."))
    topic, parts = str(top.get("teaches", "")), top.get("parts")
    entries = [one for one in parts.values() if isinstance(one, dict)] if isinstance(parts, dict) else []
    named = [(str(one.get("is")), str(one.get("label", ""))) for one in entries]
    kinds = frozenset(kind for kind, _ in named if kind in CATALOGUE)
    valves = [label for kind, label in named if kind in kinds and isinstance(CATALOGUE[kind].role, DirectionalValve)]
    return OnShelf(
        path,
        str(top.get("title", name)),
        first_sentence(str(top.get("notes", ""))),
        topic if topic in TOPICS else "",
        len(valves),
        frozenset(label.casefold() for label in valves if label),
        kinds,
        frozenset(label for _, label in named if label),
    )


def by_topic(rigs: Sequence[OnShelf]) -> dict[str, list[OnShelf]]:
    """Return rigs below the headings of what they teach, in the order in which they come."""
    found: dict[str, list[OnShelf]] = {}
    for one in rigs:
        found.setdefault(heading(one.topic), []).append(one)
    return found


def fits(words: str, sought: str) -> bool:
    """Return whether all words that are sought occur in some words, in large letters or small."""
    return all(one in words.casefold() for one in sought.casefold().split())


def found(rigs: Sequence[OnShelf], sought: str) -> list[OnShelf]:
    """Return the rigs in which all that is sought occurs, in the order in which they come."""
    return [one for one in rigs if fits(one.words, sought)]


def found_by_topic(rigs: Sequence[OnShelf], sought: str) -> dict[str, list[OnShelf]]:
    """Return the rigs in which all that is sought occurs, by topic; those that only have such a part last."""
    left = found(rigs, sought)
    told = [one for one in left if fits(one.told, sought)]
    by_part = [one for one in left if one not in told]
    if not told or not by_part:
        return by_topic(left)
    return by_topic(told) | {tr("Among the parts"): by_part}


def first_sentence(notes: str) -> str:
    """Return the first sentence of some notes, on one line."""
    line = " ".join(notes.split())
    found = re.search(r"[.?!] ", line)
    return line[: found.start() + 1] if found else line
