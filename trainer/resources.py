"""Where shipped rigs, lever scripts, lessons and tasks of practice are, in a checkout and in an installed copy."""

from __future__ import annotations

from pathlib import Path

from trainer.errors import SpoolroomError
from trainer.language import tr

__all__ = ["is_shipped", "lessons", "levers", "path", "practice", "rigs"]


def _root() -> Path:
    package = Path(__file__).resolve().parent
    for folder in (package / "_resources", package.parent / "resources"):
        if (folder / "rigs").is_dir():
            return folder
    raise SpoolroomError(tr("The folder with the shipped rigs is missing. Install Spoolroom again."))


def path(name: str) -> Path:
    """Return the path of a shipped file, such as "levers/one-spool-bench.csv". Raises SpoolroomError."""
    found = _root() / name
    if not found.exists():
        raise SpoolroomError(tr("The shipped file {name} is missing. Install Spoolroom again.").format(name=name))
    return found


def rigs() -> dict[str, Path]:
    """Return the shipped rigs by name, sorted."""
    return {file.stem: file for file in sorted((_root() / "rigs").glob("*.toml"))}


def levers() -> dict[str, Path]:
    """Return the shipped lever scripts by name, sorted."""
    return {file.stem: file for file in sorted((_root() / "levers").glob("*.csv"))}


def lessons() -> dict[str, Path]:
    """Return the shipped lessons by name, sorted; their bank is none of them."""
    return {file.stem: file for file in sorted((_root() / "lessons").glob("*.toml")) if file.stem != "bank"}


def practice() -> dict[str, Path]:
    """Return the shipped tasks of lever practice by name, sorted."""
    return {file.stem: file for file in sorted((_root() / "practice").glob("*.toml"))}


def is_shipped(path: Path) -> bool:
    """Return whether a file is one of the shipped rigs or lies beside them: these stay as they are."""
    try:
        folder = next(iter(rigs().values())).parent
    except (SpoolroomError, StopIteration):
        return False
    place = path.resolve()
    return place.parent == folder.resolve()
