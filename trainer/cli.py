"""The command ``spoolroom``: its line read, its verb called, what went wrong told.

Exit codes: 0 done, 1 something was wrong with a file or a run, 2 wrong use. Every foreseeable error is one
clear line on stderr.
"""

from __future__ import annotations

import argparse
import math
import shlex
import sys
from collections.abc import Callable, Collection, Sequence
from io import TextIOWrapper
from pathlib import Path
from typing import TYPE_CHECKING, NoReturn

from trainer import __version__, files, listings, resources, verbs
from trainer.console import STOPPED, WrongUse, complain, open_streams, settle_output, stop
from trainer.errors import RigError, SpoolroomError, nearest
from trainer.language import tr

if TYPE_CHECKING:
    from _typeshed import SupportsWrite

__all__ = ["main"]

_THEMES = ("light", "dark", "projector", "print")


class _Parser(argparse.ArgumentParser):
    """A parser that says what is wrong in one line. ``verbs`` are those of the whole command."""

    verbs: Collection[str] = ()

    def error(self, message: str) -> NoReturn:
        """Raise WrongUse with argparse's words."""
        raise WrongUse(tr("{message} (see {prog} --help)").format(message=message, prog=self.prog))

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
        return complain(tr("standard output: {trouble}").format(trouble=trouble), 1) if trouble and not code else code


def _code(arguments: Sequence[str] | None, open_output: bool) -> int:
    """Run a command line and return its exit code; what goes wrong is told."""
    try:
        parser = _parser()
        options = parser.parse_args(_with_verb(sys.argv[1:] if arguments is None else arguments, parser.verbs))
        options.open_output = open_output
        stop.words = tr("stopped")
        verb: Callable[[argparse.Namespace], int] = options.verb
        code = verb(options)
        sys.stdout.flush()
    except SystemExit as error:  # help and version are printed
        return error.code if isinstance(error.code, int) else 0
    except WrongUse as error:
        return complain(str(error), 2)
    except RigError as error:
        return complain(_in_one_line(error), 1)
    except SpoolroomError as error:
        return complain(str(error), 1)
    except BrokenPipeError:  # the reader of our output has seen enough
        return 1
    except OSError as error:
        return complain(f"{error.filename or tr('standard output')}: {files.reason(error)}", 1)
    except ImportError as error:
        return complain(
            tr("a piece of the program is missing ({error}); install Spoolroom again").format(error=error), 1
        )
    except KeyboardInterrupt:
        return complain(tr("stopped"), STOPPED)
    return code


def _in_one_line(error: RigError) -> str:
    source = error.source or "rig"
    more = len(error.faults) - 1
    what = getattr(error, "__notes__", [shlex.quote(source)])[0]
    rest = tr(" ({more} more: spoolroom check {what})").format(more=more, what=what) if more else ""
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
    raise WrongUse(
        tr("'{first}' is no verb, no rig file and no shipped rig. {near} (see spoolroom --help)").format(
            first=first[:40], near=near
        )
    )


def _parser() -> _Parser:
    parser = _Parser(
        prog="spoolroom",
        description=tr(
            "A circuit trainer for mobile hydraulics. Without a verb it opens the rig that "
            "is named, else the one that was open last; at first the demonstration."
        ),
    )
    parser.add_argument("--version", action="version", version=f"spoolroom {__version__}")
    parser.set_defaults(verb=verbs.demonstration)
    _add_compiler(parser, True)
    known = parser.add_subparsers(title="verbs", metavar="VERB", parser_class=_Parser)
    parser.verbs = known.choices
    rig_words = tr("a rig file, or the name of a shipped rig: {rigs}").format(rigs=", ".join(resources.rigs()))

    board = known.add_parser("board", help=tr("open a rig on the board"))
    board.add_argument("rig", nargs="?", metavar="RIG", help=rig_words)
    _add_compiler(board, argparse.SUPPRESS)
    board.set_defaults(verb=verbs.board)

    rigs = known.add_parser("rigs", help=tr("list the shipped rigs by what they teach"))
    rigs.set_defaults(verb=listings.rigs)

    beside = known.add_parser("beside", help=tr("open two rigs beside each other, with the same levers and clock"))
    beside.add_argument("rig", metavar="RIG", help=rig_words)
    beside.add_argument("other", nargs="?", metavar="OTHER", help=tr("another rig; without one the window asks"))
    set_words = tr("the same rig with another number beside it, such as 0V1.setting=160bar; as often as you like")
    beside.add_argument("--set", action="append", default=[], metavar="NAME=VALUE", help=set_words)
    beside_words = tr('what is wrong with the same rig beside it, such as "0P1.slip = failed"; as often as you like')
    beside.add_argument("--fault", action="append", default=[], metavar="TEXT", help=beside_words)
    _add_compiler(beside, argparse.SUPPRESS)
    beside.set_defaults(verb=verbs.beside)

    run = known.add_parser("run", help=tr("run a rig without a window and record it as a CSV table"))
    run.add_argument("rig", metavar="RIG", help=rig_words)
    run.add_argument("--levers", metavar="FILE", help=tr("a lever script (CSV) to follow"))
    run.add_argument("--until", metavar="SECONDS", type=_seconds, help=tr("how long (as long as the script)"))
    fault_words = tr('what is wrong with it, such as "0P1.slip = failed"; may be given several times')
    run.add_argument("--fault", action="append", default=[], metavar="TEXT", help=fault_words)
    run.add_argument("--record", metavar="OUT.csv", help=tr("where to write (standard output)"))
    _add_overwrite(run)
    run.add_argument("--tolerance", type=_tolerance, default=1e-6, help=tr("of the solver (1e-6)"))
    run.add_argument("--rate", type=_rate, default=60.0, help=tr("rows a second (60)"))
    _add_units(run)
    _add_compiler(run, argparse.SUPPRESS)
    run.set_defaults(verb=verbs.run)

    check = known.add_parser(
        "check", help=tr("list everything that is wrong in rig files, lever scripts, lessons and tasks of practice")
    )
    script_words = tr("or a lever script (.csv), for the rig named before it, else for the rig of its own name")
    lesson_words = tr("or a lesson (.toml), or the name of a shipped one")
    check.add_argument("files", nargs="+", metavar="FILE", help=f"{rig_words}; {script_words}; {lesson_words}")
    check.set_defaults(verb=verbs.check)

    picture = known.add_parser("picture", help=tr("draw the board of a rig as SVG, PNG or PDF"))
    picture.add_argument("rig", metavar="RIG", help=rig_words)
    picture.add_argument("out", metavar="OUT", help=tr("a file ending in .svg, .png or .pdf"))
    picture.add_argument("--at", metavar="SECONDS", type=_seconds, default=0.0, help=tr("instant (0)"))
    picture.add_argument("--levers", metavar="FILE", help=tr("a lever script (CSV) to follow until then"))
    picture.add_argument("--theme", choices=_THEMES, default="print")
    _add_overwrite(picture)
    _add_units(picture)
    picture.set_defaults(verb=verbs.picture)

    fit = known.add_parser("fit", help=tr("write a rig with a flow tester or a measuring cup at one of its ports"))
    fit.add_argument("rig", metavar="RIG", help=rig_words)
    fit.add_argument("port", metavar="PART.PORT", help=tr("where, such as 0P1.P; oil that leaves there is measured"))
    fit.add_argument("out", metavar="OUT.toml", help=tr("the rig file that is written"))
    fit.add_argument("--cup", action="store_true", help=tr("a cup that catches what runs out there"))
    fit.add_argument("--into", action="store_true", help=tr("a tester for oil that comes to the part there"))
    _add_overwrite(fit)
    fit.set_defaults(verb=verbs.fit, levers=None)

    parts = known.add_parser("parts", help=tr("list the parts that a rig file can have, by what they are"))
    parts.add_argument("--out", metavar="OUT.md", help=tr("write the pages of all parts to a file instead"))
    _add_overwrite(parts)
    parts.set_defaults(verb=listings.parts)

    part = known.add_parser("part", help=tr("print the page of a part: ports, keys with ranges, wear, law, readings"))
    part.add_argument("name", nargs="+", metavar="NAME", help=tr("as files have it, or the trade's term for it"))
    _add_units(part)
    part.set_defaults(verb=listings.part)

    screens = known.add_parser("screens", help=tr("make a picture of every screen in all looks and sizes"))
    screens.add_argument("folder", metavar="FOLDER", help=tr("where the pictures are written"))
    screens.add_argument("--rig", action="append", default=[], metavar="RIG", help=tr("a shipped rig (all of them)"))
    screens.add_argument("--screen", action="append", default=[], metavar="NAME", help=tr("one screen (all of them)"))
    _add_overwrite(screens)
    screens.set_defaults(verb=verbs.screens)

    bench = known.add_parser("bench", help=tr("measure how fast the rigs run on this machine"))
    bench.add_argument("rigs", metavar="RIG", nargs="*", help=tr("shipped rigs (all of them)"))
    bench.add_argument("--minutes", type=_minutes, default=15.0, help=tr("model time for the growth of memory (15)"))
    bench.add_argument(
        "--sizes", action="store_true", help=tr("measure how costs grow with the sections in line, 1 to 32 of them")
    )
    bench.set_defaults(verb=verbs.bench)
    return parser


def _add_overwrite(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--overwrite", action="store_true", help=tr("replace what is there already"))


def _add_compiler(parser: argparse.ArgumentParser, default: object) -> None:
    words = tr("do without machine code, also where this computer has a C compiler")
    parser.add_argument("--no-compiler", dest="compiler", action="store_false", default=default, help=words)


def _add_units(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--units", choices=("metric", "us"), default="metric")


def _number(text: str, low: float, high: float, what: str) -> float:
    try:
        number = float(text)
    except ValueError:
        number = math.nan
    if not low <= number <= high:
        raise argparse.ArgumentTypeError(tr("'{text}' is not {what}").format(text=text[:40], what=what))
    return number


def _minutes(text: str) -> float:
    return _number(text, 0.5, 600.0, tr("a number of minutes from 0.5 to 600"))


def _seconds(text: str) -> float:
    return _number(text, 0.0, 24 * 3600.0, tr("a number of seconds from 0 to 86400"))


def _tolerance(text: str) -> float:
    return _number(text, 1e-10, 1e-2, tr("a tolerance from 1e-10 to 1e-2"))


def _rate(text: str) -> float:
    return _number(text, 0.1, 1000.0, tr("a rate from 0.1 to 1000 rows a second"))
