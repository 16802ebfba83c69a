"""The verbs of the command ``spoolroom``: each gets the options of its line and returns the exit code.

Qt, the engine and what is slow to load are imported by the verbs that need them.
"""

from __future__ import annotations

import argparse
import codecs
import contextlib
import os
import shlex
import sys
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, BinaryIO

from trainer import files, resources, screen
from trainer.console import STOPPED, WrongUse, complain, stop
from trainer.errors import RigError, SpoolroomError, nearest
from trainer.rig import file as rig_file
from trainer.rig import levers
from trainer.rig.levers import LeverScript
from trainer.rig.rig import Rig
from trainer.units import System

if TYPE_CHECKING:
    from trainer import recording
    from trainer.engine.session import Session

__all__ = ["bench", "board", "check", "demonstration", "picture", "run", "screens"]

DEMONSTRATION = "timber-trailer-loader"
DEMONSTRATION_TIME = 20.0  # simulated seconds
_MOST_ROWS = 1_000_000
_PICTURES = (".svg", ".png", ".pdf")


def _rig(name: str) -> Rig:
    """Return the rig of a path or of a shipped name."""
    shipped = resources.rigs()
    if not Path(name).exists():
        if name in shipped:
            return rig_file.load(shipped[name])
        if not Path(name).suffix:
            raise SpoolroomError(f"{name}: there is no such file and no such rig. {nearest(name, shipped)}")
    return rig_file.load(name)


def _script(name: str | None, rig: Rig) -> LeverScript:
    """Return the lever script of a path or of a shipped name, fit for a rig; an empty one for None."""
    if name is None:
        return LeverScript()
    file = _script_file(name)
    try:
        return levers.load(file).checked(rig)
    except RigError as error:
        error.add_note(f"{shlex.quote(rig.source)} {shlex.quote(str(file))}")  # both are needed to check it
        raise


def _script_file(name: str) -> Path:
    shipped = resources.levers()
    return shipped[name] if name in shipped and not Path(name).exists() else Path(name)


def _require_output(out: Path, rig: Rig, options: argparse.Namespace) -> None:
    """Refuse to write over what this command reads, and over what is there. Raises SpoolroomError, OSError."""
    for read in (Path(rig.source), *([_script_file(options.levers)] if options.levers else [])):
        with contextlib.suppress(OSError):
            if out.samefile(read):
                raise SpoolroomError(f"{out} is read by this command and is not written over. Choose another name.")
    try:
        files.require_writable(out, options.overwrite)
    except FileExistsError:
        raise SpoolroomError(f"{out} exists. Choose another name, or replace it with --overwrite.") from None


def _system(options: argparse.Namespace) -> System:
    return System.US if options.units == "us" else System.METRIC


def demonstration(_options: argparse.Namespace) -> int:
    """Open the demonstration; without a screen run it and leave its record and its picture."""
    rig = _rig(DEMONSTRATION)
    trouble = screen.trouble()
    return _off_screen(rig, trouble) if trouble else _open(rig)


def board(options: argparse.Namespace) -> int:
    """Open a rig on the board."""
    name = options.rig or DEMONSTRATION
    rig = _rig(name)  # what is wrong with it is said before a window opens
    if trouble := screen.trouble():
        raise SpoolroomError(f"no window can be opened: {trouble}. Try: spoolroom picture {name} board.svg")
    return _open(rig)


def _open(rig: Rig) -> int:
    from trainer.window.shell import app

    return int(app.run(rig))


def _off_screen(rig: Rig, trouble: str) -> int:
    """Run the demonstration without a window and leave its record and its picture in the current folder."""
    from trainer import recording
    from trainer.changing.opening import opened

    print(f"No window can be opened ({trouble}); running the demonstration off-screen.")
    session = opened(rig)
    table = Path("spoolroom-demonstration.csv")
    with files.writing(table) as out:
        recording.record(session, _script(DEMONSTRATION, rig), DEMONSTRATION_TIME, _text(out))
    picture = Path("spoolroom-demonstration.svg" if screen.qt_trouble() else "spoolroom-demonstration.png")
    _draw(session, picture, "print", System.METRIC)
    print(f"{table.name}  what the operator did, and what every line and instrument showed")
    print(f"{picture.name}  the board at the end")
    return 0


def run(options: argparse.Namespace) -> int:
    """Run a rig without a window and record it as a table."""
    stop.words = "stopped before the first row; nothing was written"
    from trainer import recording
    from trainer.changing.opening import opened

    rig = _rig(options.rig)
    script = _script(options.levers, rig)
    until = script.end if options.until is None else options.until
    if not until > 0:
        raise WrongUse("say how long to run: --until SECONDS")
    if until * options.rate > _MOST_ROWS:
        raise WrongUse(f"that makes more than {_MOST_ROWS} rows: choose a shorter time or a lower --rate")
    if options.record is None and not options.open_output:
        raise SpoolroomError("standard output is closed. Name a file with --record OUT.csv.")
    with _output(options, rig) as out:
        session = opened(rig, options.tolerance)
        with stop.waited_for():
            rows = recording.record(session, script, until, out, options.rate, _system(options), lambda: stop.asked)
    if stop.asked:
        where = options.record or "standard output"
        reached = max(rows - 1, 0) * until / max(1, round(until * options.rate))
        return complain(f"stopped at {reached:.4g} s of {until:g} s; {where} has {rows} whole rows", STOPPED)
    if options.record is not None:
        print(f"{options.record}: {rows} rows, {until:g} s")
    if rough := session.rough_calls:
        calls = len(session.record)
        return complain(f"{rough} of {calls} steps could only be worked out roughly; figures there may be off", 0)
    return 0


@contextlib.contextmanager
def _output(options: argparse.Namespace, rig: Rig) -> Iterator[recording.Out]:
    """Give what a record goes to: a file that is there once the record is, or standard output."""
    if options.record is None:
        yield sys.stdout
        return
    _require_output(Path(options.record), rig, options)
    with files.writing(Path(options.record), overwrite=options.overwrite) as out:
        yield _text(out)


def _text(out: BinaryIO) -> recording.Out:
    return codecs.getwriter("utf-8")(out)


def check(options: argparse.Namespace) -> int:
    """List everything that is wrong in rig files and lever scripts."""
    from trainer.changing.opening import opened

    wrong, tried = 0, False
    rig: Rig | None = None
    for name in options.files:
        try:
            if Path(name).suffix.lower() == ".csv":
                print(_check_script(name, rig, tried))
                continue
            rig, tried = None, True
            session = opened(_rig(name))
            rig = session.rig
        except SpoolroomError as error:
            wrong += 1
            print(error)
        else:
            print(f"{name}: in order ({len(rig.parts)} parts, {len(rig.lines)} lines); {_start_of(rig)}")
            for remark in rig.remarks():
                print(f"  note: {remark}")
    return 1 if wrong else 0


def _check_script(name: str, rig: Rig | None, tried: bool) -> str:
    """Return in words that a lever script is in order for a rig. Raises RigError with every fault.

    Without a rig it is checked for the one of its name, beside it or shipped; ``tried`` says that one was named
    which cannot be used.
    """
    path = Path(name)
    script = levers.load(path)
    beside = path.with_suffix(".toml")
    if rig is None and not tried and (beside.exists() or path.stem in resources.rigs()):
        rig = _rig(str(beside) if beside.exists() else path.stem)
    rows = f"{len(script.tracks)} columns, {script.end:g} s"
    if rig is None:
        return f"{name}: in order by itself ({rows}); name its rig before it to have the controls checked"
    script.checked(rig)
    return f"{name}: in order for {rig.title} ({rows})"


def _start_of(rig: Rig) -> str:
    """Return in words how a rig's start is reached."""
    from trainer.engine.session import SILENT

    given = ", ".join(name for name in rig.start if name not in rig.controls())
    if rig.settle == "none":
        return f"starts as written{f' ({given})' if given else ''}, without a silent run"
    return f"starts after a silent run of {SILENT:g} s{f' that holds {given}' if given else ''}"


def picture(options: argparse.Namespace) -> int:
    """Draw the board of a rig at an instant."""
    from trainer import recording
    from trainer.changing.opening import opened

    out = Path(options.out)
    if out.suffix.lower() not in _PICTURES:
        raise WrongUse(f"'{out.name}' ends in none of {', '.join(_PICTURES)}")
    rig = _rig(options.rig)
    script = _script(options.levers, rig)
    _require_output(out, rig, options)
    stop.words = f"stopped; {out} was not written"
    session = opened(rig)
    if options.at > 0:
        for _ in recording.lead(session, script, options.at):
            pass
    _draw(session, out, options.theme, _system(options))
    print(out)
    return 0


def _draw(session: Session, out: Path, theme: str, system: System) -> None:
    """Write the board of a session at its present instant to a file."""
    if out.suffix.lower() == ".svg":
        files.write(out, _svg(session, theme, system))
        return
    if trouble := screen.qt_trouble():
        raise SpoolroomError(f"{out.name}: Qt is needed for this, and {trouble}. An SVG can be made without.")
    os.environ["QT_QPA_PLATFORM"] = "offscreen"
    from trainer.window.painting import picture

    picture.write(session, out, theme, system, words=_caption(session, system))


def _caption(session: Session, system: System) -> str:
    """Return what stands below a picture of a rig as it is in its file."""
    from trainer.changing.caption import caption
    from trainer.window.painting.day import today

    return caption(session, today(), (), system)


def _svg(session: Session, theme: str, system: System) -> str:
    """Return the drawing of a session's rig at its present instant as SVG, made without Qt."""
    from trainer.changing.pictured import pictured
    from trainer.drawing.svg import svg
    from trainer.drawing.theme import THEMES

    shapes, size = pictured(session, THEMES[theme], system, _caption(session, system))
    return svg(shapes, size, THEMES[theme], session.rig.title, f"after {session.time:.1f} s")


def screens(options: argparse.Namespace) -> int:
    """Make pictures of all screens."""
    names = _shipped(options.rig)
    if trouble := screen.qt_trouble():
        raise SpoolroomError(f"Qt is needed for pictures of the screens, and {trouble}.")
    os.environ["QT_QPA_PLATFORM"] = "offscreen"
    from trainer.window import gallery

    stop.words = f"stopped; the pictures in {options.folder} are whole"
    folder = Path(options.folder)
    print(f"{gallery.make(folder, names, options.screen, options.overwrite)} pictures in {folder}")
    return 0


def _shipped(names: Sequence[str]) -> list[str]:
    """Return the names of shipped rigs, all where none is given. Raises WrongUse for one that is none."""
    known = resources.rigs()
    for name in names:
        if name not in known:
            raise WrongUse(f"no shipped rig is called '{name}'. {nearest(name, known)}".rstrip())
    return list(names) or list(known)


def bench(options: argparse.Namespace) -> int:
    """Measure how fast the rigs run here."""
    from trainer import bench

    return bench.main(_shipped(options.rigs), options.minutes)
