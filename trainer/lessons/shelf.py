"""All lessons there are: the shipped ones and an instructor's own, which lie in a folder beside the attempts.

A file with faults is told with all of them; it is never hidden, and no other lesson suffers from it.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from trainer import files, resources
from trainer.errors import Fault, RigError, SpoolroomError
from trainer.language import tr
from trainer.lessons import bank, file
from trainer.lessons.attempts import usual_place
from trainer.lessons.bank import Outcome
from trainer.lessons.lesson import Lesson, Slip

__all__ = ["Faulty", "Shelf", "own_folder", "shelf"]

_MOST = 500  # files of a folder that are looked at


@dataclass(frozen=True, slots=True)
class Faulty:
    """A file that is no lesson as it stands, and why."""

    path: Path
    error: RigError


@dataclass(frozen=True, slots=True)
class Shelf:
    """The lessons in their order, which of them are an instructor's own, the outcomes, and files with faults."""

    lessons: tuple[Lesson, ...]
    own: frozenset[str]
    outcomes: Mapping[str, Outcome]
    faulty: tuple[Faulty, ...] = ()

    def lesson(self, id_: str) -> Lesson | None:
        """Return a lesson by its id, None where there is none."""
        return next((one for one in self.lessons if one.id == id_), None)

    def title(self, lesson: str) -> str:
        """Return what a lesson is called; its id where it is not here any more."""
        found = self.lesson(lesson)
        return found.title if found is not None else lesson

    def idea(self, slip: str) -> str:
        """Return a wrong idea in a learner's words, "" where it is not known."""
        found: Slip | None = bank.shipped().slips.get(slip)
        if found is None:
            exercises = (one for lesson in self.lessons for one in lesson.exercises.values())
            found = next((own for one in exercises for own in one.slips if own.id == slip), None)
        return found.idea if found is not None else ""


def own_folder() -> Path:
    """Return the folder of an instructor's own lessons; nothing is made yet."""
    return usual_place().parent / "lessons"


def shelf(own: Path | None = None) -> Shelf:
    """Return all lessons there are, those of a folder ``own`` among them.

    An ``outcomes.toml`` in that folder gives the outcomes a college's codes, or words.
    """
    faulty: list[Faulty] = []
    paths = [*_shipped(faulty), *_of(own, faulty)]
    outcomes = _outcomes(own, faulty)
    lessons: list[Lesson] = []
    mine: set[str] = set()
    for path in paths:
        try:
            lesson = file.load(path)
            if any(other.id == lesson.id for other in lessons):
                raise _fault(
                    path,
                    "same name",
                    tr("there is another lesson in a file {name}.").format(name=path.name),
                    tr("Give this file another name: answers are kept by it."),
                )
        except SpoolroomError as error:
            faulty.append(Faulty(path, _told(path, error)))
            continue
        lessons.append(lesson)
        if own is not None and path.parent == own:
            mine.add(lesson.id)
    return Shelf(tuple(lessons), frozenset(mine), outcomes, tuple(faulty))


def _shipped(faulty: list[Faulty]) -> Sequence[Path]:
    try:
        return [*resources.lessons().values()]
    except SpoolroomError as error:
        faulty.append(Faulty(Path("lessons"), _told(Path("lessons"), error)))
        return []


def _of(own: Path | None, faulty: list[Faulty]) -> Sequence[Path]:
    """Return the lesson files of a folder, in the order of their names; rigs that lie beside them are none."""
    if own is None:
        return []
    found = []
    try:
        names = sorted(path for path in own.iterdir() if path.suffix.lower() == ".toml")
    except FileNotFoundError:
        return []
    except OSError as error:
        why = tr("the folder cannot be looked into: {reason}.").format(reason=files.reason(error))
        faulty.append(Faulty(own, _fault(own, "no folder", why, tr("See who may read it."))))
        return []
    for path in names[:_MOST]:
        if path.stem in ("outcomes", "bank"):
            continue
        try:
            text = files.read(path, 1 << 20).decode("utf-8", "replace")
        except OSError:
            text = "[exercises"  # what is wrong with it is told when it is loaded
        if file.is_lesson(text) or "[parts" not in text:
            found.append(path)
    return found


def _outcomes(own: Path | None, faulty: list[Faulty]) -> Mapping[str, Outcome]:
    if own is not None and (path := own / "outcomes.toml").exists():
        try:
            return bank.outcomes(path)
        except SpoolroomError as error:
            faulty.append(Faulty(path, _told(path, error)))
    try:
        return bank.outcomes()
    except SpoolroomError as error:
        faulty.append(Faulty(Path("outcomes.toml"), _told(Path("outcomes.toml"), error)))
        return {}


def _told(path: Path, error: SpoolroomError) -> RigError:
    return error if isinstance(error, RigError) else _fault(path, "unreadable", str(error), "")


def _fault(path: Path, kind: str, problem: str, remedy: str) -> RigError:
    return RigError([Fault(kind, path.name, problem, remedy)])
