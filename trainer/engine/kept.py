"""What was built of rigs and found of them before, kept in a folder of this user from run to run.

Functions are known by how parts are joined and by what they are, and serve whatever numbers the parts have; a settled
start by all numbers besides. Both are known by the versions of whatever has made them too, our own files among these:
what is taken from the folder is bit for bit what would be made without it. Where there is no such folder, or nothing
in it that is as it was left, everything is made, and only takes longer.
"""

from __future__ import annotations

import contextlib
import hashlib
import platform
import sys
from collections.abc import Callable, Iterable
from functools import cached_property
from pathlib import Path
from typing import TypeVar

import casadi as ca
import msgspec
import numpy as np

from trainer import private
from trainer.engine.built import Built
from trainer.parts.part import Choice
from trainer.rig.rig import Rig

__all__ = ["MADE_BY", "Beginning", "Kept", "Start", "versions"]

# rooms of ours
MADE_BY = ("language", "units", "errors", "files", "private", "rows", "formula", "parts", "rig", "engine")
_PACKAGE = Path(__file__).resolve().parents[1]
_BUILT, _START = ".built", ".start"
_MOST = 40  # of each
_Held = TypeVar("_Held", bound=msgspec.Struct)


class Beginning(msgspec.Struct, frozen=True):
    """What a settled start follows from besides the equations: states and ``pu`` [SI], the oil's temperature [C].

    ``states`` are held by their places, ``pressures`` [Pa] by those of the lines.
    """

    x: list[float]
    pu: list[float]
    temperature: float
    states: dict[int, float]
    pressures: dict[int, float]


class Start(msgspec.Struct, frozen=True):
    """A settled start: states and ``pu`` [SI], the oil's temperature [C], and how many of its calls were rough."""

    x: list[float]
    pu: list[float]
    temperature: float
    rough_calls: int


class Kept:
    """What is kept in one folder. What is to be kept waits for ``write``, which takes about a tenth of a second."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self._due: list[tuple[str, tuple[object, ...], Callable[[], msgspec.Struct]]] = []

    @classmethod
    def of_this_user(cls) -> Kept:
        """Return what is kept for this user."""
        return cls(private.cache("starts"))

    def built(self, rig: Rig, tolerance: float) -> Built | None:
        """Return what was built of rigs that are joined like this one."""
        return self._read(_BUILT, (_joined(rig), tolerance), Built)

    def keep_built(self, rig: Rig, tolerance: float, made: Callable[[], Built]) -> None:
        """Have what was built kept."""
        self._due.append((_BUILT, (_joined(rig), tolerance), made))

    def start(self, rig: Rig, tolerance: float, begin: Beginning) -> Start | None:
        """Return the settled start that follows from a beginning."""
        return self._read(_START, (_joined(rig), tolerance, begin), Start)

    def keep_start(self, rig: Rig, tolerance: float, begin: Beginning, start: Start) -> None:
        """Have a settled start kept."""
        self._due.append((_START, (_joined(rig), tolerance, begin), lambda: start))

    def write(self) -> None:
        """Write what waits; where that cannot be, it is forgotten."""
        due, self._due = self._due, []
        for ending, what, made in due:
            with contextlib.suppress(OSError, RuntimeError):  # RuntimeError: casadi cannot write it down
                path = self._path(ending, what)
                if path is not None:
                    private.keep(path, msgspec.msgpack.encode(made()), _MOST)

    def _read(self, ending: str, what: tuple[object, ...], kind: type[_Held]) -> _Held | None:
        path = self._path(ending, what)
        content = private.read(path) if path is not None else None
        try:
            return msgspec.msgpack.decode(content, type=kind) if content is not None else None
        except msgspec.DecodeError:
            return None

    def _path(self, ending: str, what: tuple[object, ...]) -> Path | None:
        """Return where something is kept by what it is of; None where that cannot be told for certain."""
        if self._versions is None or what[0] is None:
            return None
        name = hashlib.sha256(self._versions + msgspec.msgpack.encode(what)).hexdigest()
        return self.folder / f"{name}{ending}"

    @cached_property
    def _versions(self) -> bytes | None:
        return versions(MADE_BY)


def versions(rooms: Iterable[str]) -> bytes | None:
    """Return what whatever is kept is known by: files of ours, casadi, numpy, Python, and which computer it is.

    None where that cannot be told for certain.
    """
    told = (ca.__version__, np.__version__, sys.version, sys.platform, platform.machine(), platform.node())
    digest = hashlib.sha256("\n".join(told).encode())
    try:
        for room in rooms:
            for file in sorted((_PACKAGE / room).glob("*.py")) or [_PACKAGE / f"{room}.py"]:
                digest.update(hashlib.sha256(file.read_bytes()).digest())
    except OSError:
        return None
    return digest.digest()


def _joined(rig: Rig) -> object:
    """Return how a rig's parts are joined, and which they are; None where one of them is not ours.

    Everything else of a rig is numbers, but for the oil's ``air_index``, which stands in its law, and which wear does
    not always show.
    """
    parts = []
    for id_, fitted in rig.parts.items():
        if not fitted.part.__module__.startswith("trainer.parts."):
            return None
        words = {name: fitted.choice(name) for name in fitted.part.declared(Choice)}
        parts.append((id_, fitted.part.__module__, fitted.part.__qualname__, words))
    lines = [(line.name, line.kind.value, line.joins) for line in rig.lines.values()]
    return parts, lines, rig.oil.air_index, [*rig.shows]
