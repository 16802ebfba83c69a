"""How the rig beside another one comes about: another rig, or the same, worn, as in its file, with other numbers."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path

from trainer.changing.adjustables import Adjustable, Value, adjustables
from trainer.changing.changes import Changes
from trainer.changing.opening import running
from trainer.engine.kept import Kept
from trainer.engine.session import Session
from trainer.errors import SpoolroomError, nearest_key
from trainer.language import tr
from trainer.pairing.hands import alike
from trainer.parts.part import DEGREES
from trainer.rig import file as rig_file
from trainer.rig.defects import Defect, defects, with_defects
from trainer.rig.rig import Rig
from trainer.units import System

__all__ = [
    "Otherwise", "Side", "another", "as_in_file", "at_start", "changed", "degree_words", "numbers_of", "of_rig",
    "set_number", "wrongs",
]  # fmt: skip


def degree_words(degree: str) -> str:
    """Return what a severity is called."""
    return tr(DEGREES.get(degree, degree))


def wrongs(rig: Rig) -> dict[str, Defect]:
    """Return all that can be wrong with the parts of a rig, by what is written for it; instruments are not shown."""
    return {found.key: found for found in defects(rig) if found.key.partition(".")[0] not in rig.instruments}


@dataclass(frozen=True, slots=True)
class Otherwise:
    """What the same rig has otherwise: numbers [SI] or words by name, and what is ``wrong`` with it, line by line."""

    values: Mapping[str, Value] = field(default_factory=dict)
    wrong: tuple[str, ...] = ()

    def __bool__(self) -> bool:
        return bool(self.values or self.wrong)


@dataclass(frozen=True, slots=True)
class Side:
    """One of two rigs, at its start. ``original``: as its file has it; ``swapped``: what was put back wrong."""

    session: Session
    original: Rig
    swapped: tuple[str, ...] = ()

    @property
    def title(self) -> str:
        """What its rig is called."""
        return self.original.title

    def differs(self, system: System) -> tuple[str, ...]:
        """Return what of it is not as in its file, in words; what is worn by its degree."""
        known, told = wrongs(self.original), []
        for key in self.swapped:
            told.append(f"{key}: {known[key].words}" if key in known else key)
        for found in Changes(self.session, self.original).different():
            if found.about is None:
                continue
            worn = known.get(found.name)
            degree = next((name for name, value in worn.degrees.items() if value == found.now), "") if worn else ""
            if worn is not None and degree:
                title, _, meaning = worn.words.partition(": ")
                words = tr("{title}, {degree}: {meaning}")
                told.append(words.format(title=title, degree=degree_words(degree), meaning=meaning))
            else:
                told.append(found.words(system))
        return tuple(told)


def at_start(session: Session) -> Session:
    """Return another session of the same machine, at its start; this one is left alone. Raises SolverError."""
    made = session.ahead()
    made.reset()
    made.speed = 1.0
    return made


def another(path: Path, beside: Session, kept: Kept | None = None) -> Side:
    """Return the rig of a file, started as the one beside it. Raises SpoolroomError."""
    return of_rig(rig_file.load(path), beside, kept)


def of_rig(rig: Rig, beside: Session, kept: Kept | None = None) -> Side:
    """Return a rig, started as the one beside it: hands as there, oil as warm. Raises SpoolroomError."""
    started = alike(beside.rig, rig, beside.control, beside.temperature).checked()
    return Side(running(started, kept=kept), started)


def as_in_file(session: Session, original: Rig, kept: Kept | None = None) -> Side:
    """Return the same rig with the numbers of its file, started as this one. Raises SpoolroomError."""
    return of_rig(original, session, kept)


def changed(session: Session, original: Rig, other: Otherwise, build: Callable[[Rig], Session] = running) -> Side:
    """Return the same machine at its start with what it is to have otherwise.

    Raises SpoolroomError, and ValueError with a sentence for what cannot be set.
    """
    changes = Changes(at_start(session), original, build)
    worn, wrong = _told_apart(changes.session.rig, other.wrong)
    for name, value in {**other.values, **worn}.items():
        if name not in changes.known:
            near = nearest_key(name, numbers_of(original))
            words = tr("{name} is no number of {title}. {nearest}")
            raise SpoolroomError(words.format(name=name, title=original.title, nearest=near))
        changes.set(name, value)
    if wrong:
        made = build(with_defects(changes.changed_rig(), wrong))
        return Side(made, original, tuple(line for line in wrong if "=" not in line))
    changes.session.reset()
    return Side(changes.session, original)


def _told_apart(rig: Rig, lines: Sequence[str]) -> tuple[dict[str, float], list[str]]:
    """Return what of some lines is just another number of the machine, and all others: for these it is built anew."""
    known, numbers = wrongs(rig), numbers_of(rig)
    worn, rest = {}, []
    for line in lines:
        name, _, degree = (piece.strip() for piece in line.partition("="))
        value = known[name].degrees.get(degree) if name in known and name in numbers else None
        if isinstance(value, float):
            worn[name] = value
        else:
            rest.append(line)
    return worn, rest


def numbers_of(rig: Rig) -> dict[str, Adjustable]:
    """Return what can be changed of a machine by name, what belongs to the run left out."""
    return {name: about for name, about in adjustables(rig).items() if not about.run}


def set_number(rig: Rig, words: str) -> tuple[str, Value]:
    """Return a number or word of a rig as it is written, "0V1.setting=160 bar". Raises SpoolroomError."""
    name, _, value = (piece.strip() for piece in words.partition("="))
    known = numbers_of(rig)
    if name not in known:
        raise SpoolroomError(
            tr("{name} is no number of {title}. {nearest}").format(
                name=name[:40], title=rig.title, nearest=nearest_key(name, known)
            )
        )
    try:
        return name, known[name].read(value, System.METRIC)
    except ValueError as error:
        raise SpoolroomError(f"{name}: {error}") from error
