"""The command ``spoolroom`` and its verbs. Qt is imported only by the verb that needs it.

Exit codes: 0 done, 1 something was wrong with a file or a run, 2 wrong use. Every foreseeable error is one
clear line on stderr.
"""

from __future__ import annotations

import argparse
import codecs
import contextlib
import math
import os
import shlex
import sys
from collections.abc import Callable, Collection, Iterator, Sequence
from io import TextIOWrapper
from pathlib import Path
from typing import TYPE_CHECKING, BinaryIO, NoReturn

from trainer import (
    __version__,
    files,
    resources,
    screen,
)
from trainer.console import STOPPED, open_streams, settle_output, stop
from trainer.errors import RigError, SpoolroomError, nearest
from trainer.rig import file as rig_file
from trainer.rig import levers
from trainer.rig.levers import LeverScript
from trainer.rig.rig import Rig
from trainer.units import System

if TYPE_CHECKING:
    from _typeshed import SupportsWrite

    from trainer import recording
    from trainer.engine.session import Session

__all__ = ["main"]

DEMONSTRATION = "timber-trailer-loader"
DEMONSTRATION_TIME = 20.0  # simulated seconds
_MOST_ROWS = 1_000_000
_PICTURES = (".svg", ".png", ".pdf")
_THEMES = ("light", "dark", "projector", "print")


class WrongUse(SpoolroomError):
    """The command line asks for something that cannot be done."""


class _Parser(argparse.ArgumentParser):
    """A parser that says what is wrong in one line. ``verbs`` are those of the whole command."""

    verbs: Collection[str] = ()

    def error(self, message: str) -> NoReturn:
        """Raise WrongUse with argparse's words."""
        raise WrongUse(f"{message} (see {self.prog} --help)")

    def _print_message(self, message: str, file: SupportsWrite[str] | None = None) -> None:
        """Print help or the version; that it cannot be written is not passed over, as argparse would."""
        (file or sys.stderr).write(message)


def main(arguments: Sequence[str] | None = None) -> int:
    """Run one command line and return its exit code."""
    open_output = open_streams()
    for stream in (sys.stdout, sys.stderr):  # a console of few characters shows the others as ?
        if isinstance(stream, TextIOWrapper):
            stream.reconfigure(errors="replace")
    with stop.listening():
        code = _code(arguments, open_output)
        trouble = settle_output()
        return _complain(f"standard output: {trouble}", 1) if trouble and not code else code


def _code(arguments: Sequence[str] | None, open_output: bool) -> int:
    """Run a command line and return its exit code; what goes wrong is told."""
    try:
        parser = _parser()
        options = parser.parse_args(_with_verb(sys.argv[1:] if arguments is None else arguments, parser.verbs))
        options.open_output = open_output
        stop.words = "stopped"
        verb: Callable[[argparse.Namespace], int] = options.verb
        code = verb(options)
        sys.stdout.flush()
    except SystemExit as error:  # help and version are printed
        return error.code if isinstance(error.code, int) else 0
    except WrongUse as error:
        return _complain(str(error), 2)
    except RigError as error:
        return _complain(_in_one_line(error), 1)
    except SpoolroomError as error:
        return _complain(str(error), 1)
    except BrokenPipeError:  # the reader of our output has seen enough
        return 1
    except OSError as error:
        return _complain(f"{error.filename or 'standard output'}: {files.reason(error)}", 1)
    except ImportError as error:
        return _complain(f"a piece of the program is missing ({error}); install Spoolroom again", 1)
    except KeyboardInterrupt:
        return _complain("stopped", STOPPED)
    return code


def _complain(message: str, code: int) -> int:
    print("spoolroom:", " ".join(message.split()), file=sys.stderr)
    return code


def _in_one_line(error: RigError) -> str:
    source = error.source or "rig"
    more = len(error.faults) - 1
    what = getattr(error, "__notes__", [shlex.quote(source)])[0]
    rest = f" ({more} more: spoolroom check {what})" if more else ""
    return f"{source}: {error.faults[0]}{rest}"


def _with_verb(arguments: Sequence[str], verbs: Collection[str]) -> list[str]:
    """Return a command line with the verb that opens a rig before a first word that names one. Raises WrongUse."""
    first = arguments[0] if arguments else "-"
    if first.startswith("-") or first in verbs:
        return [*arguments]
    shipped = resources.rigs()
    if Path(first).suffix.lower() == ".toml" or first in shipped or Path(first).exists():
        return ["board", *arguments]
    near = nearest(first, [*verbs, *shipped])
    raise WrongUse(f"'{first[:40]}' is no verb, no rig file and no shipped rig. {near} (see spoolroom --help)")


def _parser() -> _Parser:
    parser = _Parser(
        prog="spoolroom",
        description="A circuit trainer for mobile hydraulics. Without a verb it opens the rig that is named, "
        "else the demonstration.",
    )
    parser.add_argument("--version", action="version", version=f"spoolroom {__version__}")
    parser.set_defaults(verb=_demonstration)
    verbs = parser.add_subparsers(title="verbs", metavar="VERB", parser_class=_Parser)
    parser.verbs = verbs.choices
    rig_words = f"a rig file, or the name of a shipped rig: {', '.join(resources.rigs())}"

    board = verbs.add_parser("board", help="open a rig on the board")
    board.add_argument("rig", nargs="?", metavar="RIG", help=rig_words)
    board.set_defaults(verb=_board)

    run = verbs.add_parser("run", help="run a rig without a window and record it as a CSV table")
    run.add_argument("rig", metavar="RIG", help=rig_words)
    run.add_argument("--levers", metavar="FILE", help="a lever script (CSV) to follow")
    run.add_argument("--until", metavar="SECONDS", type=_seconds, help="how long (as long as the script)")
    run.add_argument("--record", metavar="OUT.csv", help="where to write (standard output)")
    _add_overwrite(run)
    run.add_argument("--tolerance", type=_tolerance, default=1e-6, help="of the solver (1e-6)")
    run.add_argument("--rate", type=_rate, default=60.0, help="rows a second (60)")
    _add_units(run)
    run.set_defaults(verb=_run)

    check = verbs.add_parser("check", help="list everything that is wrong in rig files and lever scripts")
    script_words = "or a lever script (.csv), for the rig named before it, else for the rig of its own name"
    check.add_argument("files", nargs="+", metavar="FILE", help=f"{rig_words}; {script_words}")
    check.set_defaults(verb=_check)

    picture = verbs.add_parser("picture", help="draw the board of a rig as SVG, PNG or PDF")
    picture.add_argument("rig", metavar="RIG", help=rig_words)
    picture.add_argument("out", metavar="OUT", help="a file ending in .svg, .png or .pdf")
    picture.add_argument("--at", metavar="SECONDS", type=_seconds, default=0.0, help="instant (0)")
    picture.add_argument("--levers", metavar="FILE", help="a lever script (CSV) to follow until then")
    picture.add_argument("--theme", choices=_THEMES, default="print")
    _add_overwrite(picture)
    _add_units(picture)
    picture.set_defaults(verb=_picture)

    screens = verbs.add_parser("screens", help="make a picture of every screen in all looks and sizes")
    screens.add_argument("folder", metavar="FOLDER", help="where the pictures are written")
    screens.add_argument("--rig", action="append", default=[], metavar="RIG", help="a shipped rig (all of them)")
    screens.add_argument("--screen", action="append", default=[], metavar="NAME", help="one screen (all of them)")
    _add_overwrite(screens)
    screens.set_defaults(verb=_screens)

    bench = verbs.add_parser("bench", help="measure how fast the rigs run on this machine")
    bench.add_argument("rigs", metavar="RIG", nargs="*", help="shipped rigs (all of them)")
    bench.add_argument("--minutes", type=_minutes, default=10.0, help="model time for the growth of memory (10)")
    bench.set_defaults(verb=_bench)
    return parser


def _add_overwrite(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--overwrite", action="store_true", help="replace what is there already")


def _add_units(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--units", choices=("metric", "us"), default="metric")


def _number(text: str, low: float, high: float, what: str) -> float:
    try:
        number = float(text)
    except ValueError:
        number = math.nan
    if not low <= number <= high:
        raise argparse.ArgumentTypeError(f"'{text[:40]}' is not {what}")
    return number


def _minutes(text: str) -> float:
    return _number(text, 0.5, 600.0, "a number of minutes from 0.5 to 600")


def _seconds(text: str) -> float:
    return _number(text, 0.0, 24 * 3600.0, "a number of seconds from 0 to 86400")


def _tolerance(text: str) -> float:
    return _number(text, 1e-10, 1e-2, "a tolerance from 1e-10 to 1e-2")


def _rate(text: str) -> float:
    return _number(text, 0.1, 1000.0, "a rate from 0.1 to 1000 rows a second")


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


def _demonstration(_options: argparse.Namespace) -> int:
    rig = _rig(DEMONSTRATION)
    trouble = screen.trouble()
    return _off_screen(rig, trouble) if trouble else _open(rig)


def _board(options: argparse.Namespace) -> int:
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


def _run(options: argparse.Namespace) -> int:
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
        return _complain(f"stopped at {reached:.4g} s of {until:g} s; {where} has {rows} whole rows", STOPPED)
    if options.record is not None:
        print(f"{options.record}: {rows} rows, {until:g} s")
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


def _check(options: argparse.Namespace) -> int:
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


def _picture(options: argparse.Namespace) -> int:
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


def _screens(options: argparse.Namespace) -> int:
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


def _bench(options: argparse.Namespace) -> int:
    from trainer import bench

    return bench.main(_shipped(options.rigs), options.minutes)
