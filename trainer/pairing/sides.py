"""How the rig beside another one comes about: another rig, or the same, worn, as in its file, with other numbers."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from pathlib import Path

from trainer.changing.adjustables import Adjustable, Value, adjustables
from trainer.changing.changes import Changes
from trainer.changing.opening import running
from trainer.engine.kept import Kept
from trainer.engine.session import Session
from trainer.errors import SpoolroomError, nearest
from trainer.language import mark, tr
from trainer.pairing.hands import alike
from trainer.parts.part import Wear
from trainer.rig import file as rig_file
from trainer.rig.names import part_title
from trainer.rig.rig import Rig
from trainer.units import System

__all__ = [
    "Side", "WornPart", "another", "as_in_file", "at_start", "changed", "degree_words", "numbers_of", "of_rig",
    "worn_parts", "written",
]  # fmt: skip


_DEGREES = {"mild": mark("mild"), "marginal": mark("marginal"), "failed": mark("failed")}


def degree_words(degree: str) -> str:
    """Return what a severity is called."""
    return tr(_DEGREES.get(degree, degree))


@dataclass(frozen=True, slots=True)
class Side:
    """One of two rigs, at its start. ``original`` is its rig as its file has it."""

    session: Session
    original: Rig

    @property
    def title(self) -> str:
        """What its rig is called."""
        return self.original.title

    def differs(self, system: System) -> tuple[str, ...]:
        """Return what of it is not as in its file, in words."""
        worn = {part.name: part for part in worn_parts(self.original)}
        told = []
        for found in Changes(self.session, self.original).different():
            part = worn.get(found.name)
            degree = next((name for name, value in part.degrees.items() if value == found.now), "") if part else ""
            if part is not None and degree:
                words = tr("{title}, {degree}: {meaning}")
                told.append(words.format(title=part.title, degree=degree_words(degree), meaning=part.meaning))
            elif found.about is not None:
                told.append(found.words(system))
        return tuple(told)


@dataclass(frozen=True, slots=True)
class WornPart:
    """A way in which a part can be worn: "part.wear", and its severities [SI].

    ``title`` is its part's, ``meaning`` what it is of the part, ``notice`` what the operator notices of it.
    """

    name: str
    title: str
    meaning: str
    notice: str
    degrees: Mapping[str, float]


def worn_parts(rig: Rig) -> tuple[WornPart, ...]:
    """Return all that can be worn of a rig, part by part as declared."""
    found = []
    for id_, fitted in rig.parts.items():
        for own, wear in fitted.part.declared(Wear).items():
            degrees = {name: value for name, value in wear.degrees(rig.value(id_, own)).items() if name != "healthy"}
            found.append(WornPart(f"{id_}.{own}", part_title(rig, id_), wear.meaning, wear.notice, degrees))
    return tuple(found)


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


def changed(
    session: Session, original: Rig, values: Mapping[str, Value], build: Callable[[Rig], Session] = running
) -> Side:
    """Return the same machine at its start with some other numbers [SI] or words.

    Raises SpoolroomError, and ValueError with a sentence for what cannot be set.
    """
    changes = Changes(at_start(session), original, build)
    for name, value in values.items():
        if name not in changes.known:
            raise SpoolroomError(tr("{name} is no number of {title}.").format(name=name, title=original.title))
        changes.set(name, value)
    changes.session.reset()
    return Side(changes.session, original)


def numbers_of(rig: Rig) -> dict[str, Adjustable]:
    """Return what can be changed of a machine by name, what belongs to the run left out."""
    return {name: about for name, about in adjustables(rig).items() if not about.run}


def written(rig: Rig, words: str) -> tuple[str, Value]:
    """Return a number or word of a rig as it is written: "0V1.setting=160 bar"; of what wears also "0P1.slip=failed".

    Raises SpoolroomError.
    """
    name, _, value = (piece.strip() for piece in words.partition("="))
    known = numbers_of(rig)
    if name not in known:
        raise SpoolroomError(
            tr("{name} is no number of {title}. {nearest}").format(
                name=name[:40], title=rig.title, nearest=nearest(name, known)
            )
        )
    worn = {part.name: part.degrees for part in worn_parts(rig)}.get(name, {})
    try:
        return name, worn[value] if value in worn else known[name].read(value, System.METRIC)
    except ValueError as error:
        raise SpoolroomError(f"{name}: {error}") from error
