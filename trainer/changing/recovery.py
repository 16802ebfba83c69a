"""What a crash must not take: the changed rig, its controls, its marks, and the calls that led to the last instant.

A recovery file is one line of JSON with the rigs as rig files, then one line a call. It is read with the same care
as a stranger's file. Which file belongs to which running window, and when to write, is the window's affair.
"""

from __future__ import annotations

import contextlib
import os
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Annotated, Any

import msgspec

from trainer import files
from trainer.changing.adjustables import Adjustable, adjustables
from trainer.changing.changes import Changes, Step
from trainer.changing.differences import Difference, differences
from trainer.engine.history import History
from trainer.engine.record import Call
from trainer.engine.session import Session
from trainer.errors import RigError, SolverError, SpoolroomError
from trainer.language import tr
from trainer.rig import file as rig_file
from trainer.rig.rig import Rig

__all__ = [
    "LOCK",
    "MOST_CALLS",
    "PATIENCE",
    "SUFFIX",
    "CallLines",
    "UnsavedRun",
    "found",
    "orphans",
    "pack",
    "passed_over",
    "read",
    "set_aside",
    "take_up",
    "texts_kept",
]

SUFFIX, LOCK = ".rescue", ".lock"
MOST_CALLS = 6000  # that are kept: a hundred seconds of a live window
PATIENCE = 30.0  # wall seconds that repeating them may take: all of MOST_CALLS on a slow computer
_FORMAT = 1
_LARGEST = 8_000_000  # bytes
_INSTANT = 1e-6  # times of one run that differ by less are the same [s]
_PROBE = 60  # calls from which the length of all is foretold


class _Step(msgspec.Struct, array_like=True):
    """A step as it stands in a file."""

    name: str
    before: float | str
    after: float | str
    also: list[_Step]
    what: str


class _Call(msgspec.Struct, array_like=True):
    """A call as it stands in a line: its length [s], the controls where they are new, the numbers changed before."""

    length: Annotated[float, msgspec.Meta(gt=0, le=1)]
    controls: tuple[float, ...] | None
    changes: tuple[tuple[str, float], ...] | None


class _Head(msgspec.Struct):
    """The first line of a file."""

    format: int
    when: str
    source: str
    original: str
    built: str
    changed: str
    time: float
    controls: dict[str, float]
    marks: list[tuple[float, str]]
    numbers: dict[str, float] = {}
    done: list[Any] = []
    undone: list[Any] = []
    loose: list[str] = []


_ENCODER = msgspec.json.Encoder(enc_hook=float)  # numbers of numpy
_HEAD, _LINE = msgspec.json.Decoder(_Head), msgspec.json.Decoder(_Call)


@dataclass(frozen=True, slots=True)
class UnsavedRun:
    """What is kept of a window.

    ``original`` is the rig of its file, ``built`` as its session was built, ``changed`` as it is now. ``calls`` are
    the whole run, one line each, empty where they are too many; ``numbers`` [SI] those of the machine at its start
    that are not as built. ``time`` [s] is the instant that is shown, ``controls`` [SI, C] what is asked of levers,
    speeds, loads and oil there. ``marks``: time [s], name. ``done`` and ``undone`` are steps, ``loose`` the screws
    with a loose lock-nut. ``when`` is the time of day, in words; ``lost`` is how much before ``time`` could not be
    read [s].
    """

    when: str
    original: Rig
    built: Rig
    changed: Rig
    time: float = 0.0
    controls: Mapping[str, float] = field(default_factory=dict)
    marks: tuple[tuple[float, str], ...] = ()
    lines: tuple[str, ...] = ()
    lost: float = 0.0
    numbers: Mapping[str, float] = field(default_factory=dict)
    done: tuple[Step, ...] = ()
    undone: tuple[Step, ...] = ()
    loose: tuple[str, ...] = ()

    def differences(self) -> list[Difference]:
        """Return what was changed."""
        return differences(self.original, self.changed)

    def calls(self) -> list[Call]:
        """Return the calls that lead to the instant. Raises SpoolroomError for lines that are none."""
        found: list[Call] = []
        controls: tuple[float, ...] = ()
        width = len(self.built.controls())
        for line in self.lines:
            call = _call(line, controls, width)
            controls = call.controls
            found.append(call)
        return found


class CallLines:
    """The calls of a session as lines, followed while it runs; what was given up by going on from the past is cut."""

    def __init__(self) -> None:
        self._history: History | None = None
        self._cuts = 0  # of the history, followed so far
        self._lines: list[str] = []

    def follow(self, session: Session) -> None:
        """Take what is new in a session; to be called after each instant that is shown."""
        history, record = session.history, session.record
        if history is not self._history:
            self._history, self._cuts = history, len(history.cuts)
            self._lines.clear()
        for count in history.cuts[self._cuts :]:
            del self._lines[count:]
        self._cuts = len(history.cuts)
        for k in range(len(self._lines), min(len(record), MOST_CALLS)):
            call = record[k]
            same = k > 0 and record[k - 1].controls == call.controls
            row = _Call(call.length, None if same else call.controls, call.changes or None)
            self._lines.append(_ENCODER.encode(row).decode())

    def lines(self) -> tuple[str, ...]:
        """Return the lines of all calls, none where they are too many."""
        history = self._history
        return tuple(self._lines) if history is not None and len(self._lines) == len(history) else ()


def pack(unsaved: UnsavedRun, texts: Callable[[Rig], str] = rig_file.dump) -> str:
    """Return the text of a recovery file; ``texts`` may remember the text of a rig."""
    head = _Head(
        _FORMAT,
        unsaved.when,
        unsaved.original.source,
        texts(unsaved.original),
        texts(unsaved.built),
        texts(unsaved.changed),
        unsaved.time,
        dict(unsaved.controls),
        [*unsaved.marks],
        dict(unsaved.numbers),
        [_packed(step) for step in unsaved.done],
        [_packed(step) for step in unsaved.undone],
        [*unsaved.loose],
    )
    return "\n".join((_ENCODER.encode(head).decode(), *unsaved.lines)) + "\n"


def _packed(step: Step) -> _Step:
    return _Step(step.name, step.before, step.after, [_packed(one) for one in step.also], step.what)


def read(path: Path) -> UnsavedRun:
    """Return what a recovery file holds. Raises SpoolroomError with a sentence where it holds nothing of use."""
    try:
        first, *lines = files.read(path, _LARGEST).decode("utf-8", "replace").split("\n")
        unsaved = _unsaved(_HEAD.decode(first), lines)
    except (OSError, ValueError, KeyError, RecursionError, msgspec.MsgspecError, SpoolroomError) as error:
        reason = error.faults[0] if isinstance(error, RigError) else (str(error) or type(error).__name__)
        reason = files.reason(error) if isinstance(error, OSError) else reason
        raise SpoolroomError(
            tr("the recovery file {name} cannot be used ({reason})").format(name=path.name, reason=str(reason)[:120])
        ) from error
    return unsaved


def _unsaved(head: _Head, lines: Sequence[str]) -> UnsavedRun:
    if head.format != _FORMAT:
        raise ValueError(tr("its format is not known here"))
    texts = [head.original, head.built, head.changed]
    rigs = {text: rig_file.loads(text, head.source) for text in dict.fromkeys(texts)}  # often two of them are one
    original, built, changed = (rigs[text] for text in texts)
    known = adjustables(changed)
    run = {*built.controls(), *(name for name, about in known.items() if about.run)}
    controls = {name: value for name, value in head.controls.items() if name in run}
    marks = tuple((time, name[:60]) for time, name in head.marks)[:1000]
    whole, reached = _whole(lines, len(built.controls()))
    time = head.time
    lost = time - reached if any(lines) and time - reached > _INSTANT else 0.0
    if lost:
        time, marks = reached, tuple(mark for mark in marks if mark[0] <= reached)
    return UnsavedRun(
        head.when[:60],
        original,
        built,
        changed,
        time,
        controls,
        marks,
        whole,
        lost,
        head.numbers,
        _steps(head.done, known),
        _steps(head.undone, known),
        tuple(name for name in head.loose if name in known),
    )


def _whole(lines: Sequence[str], width: int) -> tuple[tuple[str, ...], float]:
    """Return the lines before the first that is damaged, and the time to which they lead [s]."""
    whole: list[str] = []
    controls: tuple[float, ...] = ()
    reached = 0.0
    for line in lines:
        try:
            call = _call(line, controls, width)
        except SpoolroomError:
            break
        controls, reached = call.controls, reached + call.length
        whole.append(line)
    return tuple(whole), reached


def _steps(rows: Sequence[Any], known: Mapping[str, Adjustable]) -> tuple[Step, ...]:
    """Return the steps of a recovery file; from one that is none, none that are older."""
    found: list[Step] = []
    with contextlib.suppress(ValueError, KeyError, RecursionError, msgspec.MsgspecError):
        for row in reversed(rows):
            found.insert(0, _step(msgspec.convert(row, _Step), known))
    return tuple(found)


def _step(row: _Step, known: Mapping[str, Adjustable]) -> Step:
    before, after = (known[row.name].checked(value) for value in (row.before, row.after))
    return Step(row.name, before, after, tuple(_step(one, known) for one in row.also), row.what[:60])


def _call(line: str, before: tuple[float, ...], width: int) -> Call:
    try:
        row = _LINE.decode(line)
    except (msgspec.MsgspecError, RecursionError) as error:
        raise SpoolroomError(tr("a call cannot be read")) from error
    own = before if row.controls is None else row.controls
    if len(own) != width:
        raise SpoolroomError(tr("a call does not fit the rig"))
    return Call(row.length, own, row.changes or ())


def found(folder: Path) -> list[Path]:
    """Return the recovery files of a folder, the newest first; none where there is no folder."""
    return _ordinary(folder, SUFFIX)[0]


def passed_over(folder: Path) -> list[str]:
    """Return the names of what stands in the place of recovery files and is none: folders, pipes."""
    return _ordinary(folder, SUFFIX)[1]


def orphans(folder: Path) -> list[Path]:
    """Return the locks whose recovery file is gone, and what was half written when its program was killed."""
    return [
        *(lock for lock in _ordinary(folder, LOCK)[0] if not lock.with_suffix(SUFFIX).exists()),
        *_ordinary(folder, ".part")[0],
    ]


def _ordinary(folder: Path, suffix: str) -> tuple[list[Path], list[str]]:
    """Return the ordinary files of a folder with an ending, the newest first, and the names of all else."""
    dated: list[tuple[float, str]] = []
    other: list[str] = []
    with contextlib.suppress(OSError), os.scandir(folder) as entries:
        for entry in entries:
            if entry.name.endswith(suffix):
                with contextlib.suppress(OSError):
                    if entry.is_file():
                        dated.append((entry.stat().st_mtime, entry.name))
                    else:
                        other.append(entry.name)
    return [folder / name for _, name in sorted(dated, reverse=True)], sorted(other)


def set_aside(path: Path) -> Path:
    """Give a broken file a name under which it is not offered again, and return that; nothing is deleted."""
    return files.set_aside(path, ".broken")


def take_up(
    unsaved: UnsavedRun, clock: Callable[[], float], seen: Callable[[Session], object] = lambda _: None
) -> tuple[Changes, bool]:
    """Return the changes of a new session that goes on from what was kept, and whether at the very instant.

    The calls are repeated, bit for bit, where that takes no longer than PATIENCE by the clock [s], and ``seen`` is
    shown the session at its start and after each; else the session stands at the start of the changed rig, with its
    settings and loads, levers at rest. Raises RigError, SolverError.
    """
    calls = unsaved.calls()
    session = Session(unsaved.built)
    exact = False
    if calls or unsaved.time == 0.0:
        try:
            exact = _repeat(session, unsaved, calls, clock, seen)
        except (SolverError, KeyError, ValueError, ArithmeticError):
            exact = False
    if not exact:
        session = Session(unsaved.changed)
    changes = Changes(session, unsaved.original)
    for difference in differences(changes.changed_rig(), unsaved.changed):  # made after the last call
        if difference.about is not None and not difference.about.at_rest:
            changes.bring({difference.name: difference.now})
    for name, value in unsaved.controls.items():
        control = session.rig.controls().get(name)
        lever = control is not None and control.quantity == "ratio" and control.low < 0
        if session.asked(name) != value and (exact or not lever):
            session.bring(name, value)
    changes.done, changes.undone, changes.loose = [*unsaved.done], [*unsaved.undone], {*unsaved.loose}
    return changes, exact


def _repeat(
    session: Session,
    unsaved: UnsavedRun,
    calls: Sequence[Call],
    clock: Callable[[], float],
    seen: Callable[[Session], object],
) -> bool:
    begin = clock()
    session.replay(calls[:_PROBE], unsaved.numbers)
    probed = clock() - begin
    if calls and probed / min(len(calls), _PROBE) * len(calls) > PATIENCE:
        return False
    session.replay(calls, unsaved.numbers, lambda: seen(session))
    if unsaved.time < session.time:
        session.rewind(unsaved.time)
    return True


def texts_kept() -> Callable[[Rig], str]:
    """Return a ``dump`` that remembers the texts of the last few rigs."""
    kept: list[tuple[Rig, str]] = []

    def text(rig: Rig) -> str:
        for other, known in kept:
            if other is rig:
                return known
        written = rig_file.dump(rig)
        kept.append((rig, written))
        del kept[:-6]
        return written

    return text
