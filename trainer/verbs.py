"""The verbs of the command ``spoolroom``: each gets the options of its line and returns the exit code.

Qt, the engine and what is slow to load are imported by the verbs that need them.
"""

from __future__ import annotations

import argparse
import codecs
import contextlib
import itertools
import os
import shlex
import sys
import threading
from collections.abc import Callable, Iterator, Mapping, Sequence
from importlib import import_module
from pathlib import Path
from typing import TYPE_CHECKING, BinaryIO

from trainer import files, garbage, resources, screen
from trainer.console import STOPPED, WrongUse, complain, stop
from trainer.errors import RigError, SpoolroomError, nearest
from trainer.language import tr
from trainer.rig import file as rig_file
from trainer.rig import levers
from trainer.rig.defects import with_defects
from trainer.rig.levers import LeverScript
from trainer.rig.rig import Rig
from trainer.units import System

if TYPE_CHECKING:
    from trainer import recording
    from trainer.engine.session import Session
    from trainer.pairing.sides import Otherwise

__all__ = [
    "bench", "beside", "board", "check", "demonstration", "fit", "picture", "require_new", "run", "screens",
    "system_of",
]  # fmt: skip

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
            raise SpoolroomError(
                tr("{name}: there is no such file and no such rig. {nearest}").format(
                    name=name, nearest=nearest(name, shipped)
                )
            )
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
                raise SpoolroomError(
                    tr("{out} is read by this command and is not written over. Choose another name.").format(out=out)
                )
    require_new(out, options)


def require_new(out: Path, options: argparse.Namespace) -> None:
    """Refuse to write over what is there, if that is not asked for. Raises SpoolroomError, OSError."""
    try:
        files.require_writable(out, options.overwrite)
    except FileExistsError:
        raise SpoolroomError(
            tr("{out} exists. Choose another name, or replace it with --overwrite.").format(out=out)
        ) from None


def system_of(options: argparse.Namespace) -> System:
    """Return the unit system that was asked for."""
    return System.US if options.units == "us" else System.METRIC


def demonstration(options: argparse.Namespace) -> int:
    """Open the demonstration; without a screen run it and leave its record and its picture."""
    rig, trouble = _rig_and_screen(DEMONSTRATION)
    return _off_screen(rig, trouble) if trouble else _open(rig, options.compiler, named=False)


def board(options: argparse.Namespace) -> int:
    """Open a rig on the board."""
    name = options.rig or DEMONSTRATION
    rig, trouble = _rig_and_screen(name)  # what is wrong with it is said before a window opens
    if trouble:
        raise SpoolroomError(
            tr("no window can be opened: {trouble}. Try: spoolroom picture {name} board.svg").format(
                trouble=trouble, name=name
            )
        )
    return _open(rig, options.compiler, named=bool(options.rig))


def beside(options: argparse.Namespace) -> int:
    """Open two rigs beside each other."""
    from trainer.pairing import sides

    rig, trouble = _rig_and_screen(options.rig)
    if options.other and (options.set or options.fault):
        raise WrongUse(tr("--set and --fault are for the same rig; leave the other one out"))
    with_defects(rig, options.fault)  # what cannot be is said before a window opens
    changed = sides.Otherwise(dict(sides.set_number(rig, words) for words in options.set), tuple(options.fault))
    other = Path(_rig(options.other).source) if options.other else None
    if trouble:
        raise SpoolroomError(tr("no window can be opened: {trouble}.").format(trouble=trouble))
    return _open(rig, options.compiler, named=True, beside=(other, changed))


def _rig_and_screen(name: str) -> tuple[Rig, str]:
    """Return a rig, and in a few words why no window can be opened, or nothing.

    For that Qt is tried in a child process, which takes about as long as to load what the window needs besides Qt.
    """
    found: list[str] = []
    asking = threading.Thread(target=lambda: found.append(screen.trouble()), daemon=True)
    asking.start()
    rig = _rig(name)
    with garbage.unsought():
        import_module("trainer.before_qt")
    asking.join()
    return rig, found[0]


def _open(rig: Rig, compiler: bool, named: bool, beside: tuple[Path | None, Otherwise] | None = None) -> int:
    """Open a rig; ``beside``: another one's file that stands beside it, or None and what itself has otherwise."""
    with garbage.unsought():
        from trainer.window.shell import app

    return int(app.run(rig, compiler, named) if beside is None else app.run(rig, compiler, named, beside))


def _off_screen(rig: Rig, trouble: str) -> int:
    """Run the demonstration without a window and leave its record and its picture in the current folder."""
    from trainer import recording
    from trainer.changing.opening import opened

    print(tr("No window can be opened ({trouble}); running the demonstration off-screen.").format(trouble=trouble))
    session = opened(rig)
    table, picture = _free(".csv", ".svg" if screen.qt_trouble() else ".png")
    with files.writing(table, overwrite=False) as out:
        recording.record(session, _script(DEMONSTRATION, rig), DEMONSTRATION_TIME, _text(out))
    _draw(session, picture, "print", System.METRIC)
    print(tr("{name}  what the operator did, and what every line and instrument showed").format(name=table.name))
    print(tr("{name}  the board at the end").format(name=picture.name))
    return 0


def _free(*endings: str) -> list[Path]:
    """Return names for what the demonstration leaves, with a number where such files are there already."""
    for k in itertools.count(1):
        names = [Path(f"spoolroom-demonstration{f'-{k}' if k > 1 else ''}{ending}") for ending in endings]
        if not any(os.path.lexists(name) for name in names):
            break
    return names


def run(options: argparse.Namespace) -> int:
    """Run a rig without a window and record it as a table."""
    stop.words = tr("stopped before the first row; nothing was written")
    from trainer import recording
    from trainer.changing.opening import opened
    from trainer.engine.machine_code import Translator

    rig = with_defects(_rig(options.rig), options.fault)
    script = _script(options.levers, rig)
    until = script.end if options.until is None else options.until
    if not until > 0:
        raise WrongUse(tr("say how long to run: --until SECONDS"))
    if until * options.rate > _MOST_ROWS:
        raise WrongUse(
            tr("that makes more than {most_rows} rows: choose a shorter time or a lower --rate").format(
                most_rows=_MOST_ROWS
            )
        )
    if options.record is None and not options.open_output:
        raise SpoolroomError(tr("standard output is closed. Name a file with --record OUT.csv."))
    with _output(options, rig) as out:
        session = opened(rig, options.tolerance)
        translator = Translator.of_this_computer() if options.compiler else None
        if translator is not None:
            session.solver.translate(translator, session.x, session.pu)
        try:
            with stop.waited_for():
                rows = recording.record(
                    session, script, until, out, options.rate, system_of(options), lambda: stop.asked
                )
        finally:
            session.solver.give_up_translation()
    if stop.asked:
        where = options.record or tr("standard output")
        reached = max(rows - 1, 0) * until / max(1, round(until * options.rate))
        return complain(
            tr("stopped at {reached:.4g} s of {until:g} s; {where} has {rows} whole rows").format(
                reached=reached, until=until, where=where, rows=rows
            ),
            STOPPED,
        )
    if options.record is not None:
        print(tr("{record}: {rows} rows, {until:g} s").format(record=options.record, rows=rows, until=until))
    if rough := session.rough_calls:
        calls = len(session.record)
        return complain(
            tr("{rough} of {calls} steps could only be worked out roughly; figures there may be off").format(
                rough=rough, calls=calls
            ),
            0,
        )
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
    """List everything that is wrong in rig files, lever scripts, lessons and tasks of lever practice."""
    from trainer.changing.opening import opened

    wrong, tried = 0, False
    rig: Rig | None = None
    for name in options.files:
        try:
            if Path(name).suffix.lower() == ".csv":
                print(_check_script(name, rig, tried))
                continue
            if (lesson := _lesson_file(name)) is not None:
                print(_check_lesson(lesson))
                continue
            if (task := _task_file(name)) is not None:
                print(_check_task(task))
                continue
            rig, tried = None, True
            session = opened(_rig(name))
            rig = session.rig
        except SpoolroomError as error:
            wrong += 1
            print(error)
        else:
            print(
                tr("{name}: in order ({count} parts, {count2} lines); {start_of}").format(
                    name=name, count=len(rig.parts), count2=len(rig.lines), start_of=_start_of(rig)
                )
            )
            for remark in rig.remarks():
                print(tr("  note: {remark}").format(remark=remark))
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
    rows = tr("{count} columns, {end:g} s").format(count=len(script.tracks), end=script.end)
    if rig is None:
        return tr("{name}: in order by itself ({rows}); name its rig before it to have the controls checked").format(
            name=name, rows=rows
        )
    script.checked(rig)
    return tr("{name}: in order for {title} ({rows})").format(name=name, title=rig.title, rows=rows)


def _lesson_file(name: str) -> Path | None:
    """Return the file of a lesson, by its path or by the name of a shipped one; None for all that is none."""
    from trainer.lessons import file as lesson_file

    return _toml(name, resources.lessons(), lesson_file.is_lesson)


def _task_file(name: str) -> Path | None:
    """Return the file of a task of lever practice, by its path or by the name of a shipped one; else None."""
    from trainer.practice import file as task_file

    return _toml(name, resources.practice(), task_file.is_task)


def _toml(name: str, shipped: Mapping[str, Path], is_one: Callable[[str], bool]) -> Path | None:
    """Return a TOML file of a kind, by its path or by the name of a shipped one; None for all that is none."""
    from trainer.rig.text import read_text

    path = shipped[name] if name in shipped and not Path(name).exists() else Path(name)
    if path.suffix.lower() != ".toml" or not path.is_file():
        return None
    try:
        return path if is_one(read_text(path)) else None
    except RigError:  # it is told when the file is read
        return None


def _check_lesson(path: Path) -> str:
    """Return in words that a lesson is in order. Raises RigError with every fault, those of its runs too."""
    from trainer.lessons.checking import check as checked
    from trainer.lessons.posing import Opener
    from trainer.lessons.running import Courses

    lesson = checked(path, Opener(Courses.of_this_user()))
    return tr("{name}: in order ({title}, {count} tasks, {minutes} minutes)").format(
        name=path, title=lesson.title, count=len(lesson.exercises), minutes=lesson.minutes
    )


def _check_task(path: Path) -> str:
    """Return in words that a task of lever practice is in order. Raises RigError with every fault."""
    from trainer.engine.kept import Kept
    from trainer.practice.checking import check as checked

    task = checked(path, Kept.of_this_user())
    laps = tr("{count} laps").format(count=len(task.laps)) if task.runs else tr("no run of its own")
    return tr("{name}: in order ({code}, {title}, {laps})").format(
        name=path, code=task.code, title=task.title, laps=laps
    )


def _start_of(rig: Rig) -> str:
    """Return in words how a rig's start is reached."""
    from trainer.engine.session import SILENT

    given = ", ".join(name for name in rig.start if name not in rig.controls())
    if rig.settle == "none":
        return tr("starts as written{word}, without a silent run").format(word=f" ({given})" if given else "")
    return tr("starts after a silent run of {silent:g} s{word}").format(
        silent=SILENT, word=tr(" that holds {given}").format(given=given) if given else ""
    )


def picture(options: argparse.Namespace) -> int:
    """Draw the board of a rig at an instant."""
    from trainer import recording
    from trainer.changing.opening import opened

    out = Path(options.out)
    if out.suffix.lower() not in _PICTURES:
        raise WrongUse(tr("'{name}' ends in none of {pictures}").format(name=out.name, pictures=", ".join(_PICTURES)))
    rig = _rig(options.rig)
    script = _script(options.levers, rig)
    _require_output(out, rig, options)
    stop.words = tr("stopped; {out} was not written").format(out=out)
    session = opened(rig)
    if options.at > 0:
        for _ in recording.lead(session, script, options.at):
            pass
    _draw(session, out, options.theme, system_of(options))
    print(out)
    return 0


def fit(options: argparse.Namespace) -> int:
    """Write a rig with a flow tester or a measuring cup at one of its ports, and tell how it goes in safely."""
    from trainer.changing.put_in import with_cup, with_tester
    from trainer.changing.saving import text_of
    from trainer.measuring.fitting import put_in

    out = Path(options.out)
    if out.suffix.lower() != ".toml":
        raise WrongUse(tr("'{name}' is no name for a rig: let it end in .toml").format(name=out.name))
    rig = _rig(options.rig)
    part, _, port = options.port.partition(".")
    made = with_cup(rig, part, port) if options.cup else with_tester(rig, part, port, options.into)
    _require_output(out, rig, options)
    files.write(out, text_of(made, out)[0])
    print(out, flush=True)
    fitting = put_in(rig, rig.oil.temperature, options.port, options.cup)
    steps = (f"{k}. {step.words}" for k, step in enumerate(fitting.steps, 1))
    print(tr("At a real machine: {hazard}").format(hazard=fitting.hazard), *steps, sep="\n", file=sys.stderr)
    return 0


def _draw(session: Session, out: Path, theme: str, system: System) -> None:
    """Write the board of a session at its present instant to a file."""
    if out.suffix.lower() == ".svg":
        files.write(out, _svg(session, theme, system))
        return
    if trouble := screen.qt_trouble():
        raise SpoolroomError(
            tr("{name}: Qt is needed for this, and {trouble}. An SVG can be made without.").format(
                name=out.name, trouble=trouble
            )
        )
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
    return svg(shapes, size, THEMES[theme], session.rig.title, tr("after {time:.1f} s").format(time=session.time))


def screens(options: argparse.Namespace) -> int:
    """Make pictures of all screens."""
    names = _shipped(options.rig)
    if trouble := screen.qt_trouble():
        raise SpoolroomError(tr("Qt is needed for pictures of the screens, and {trouble}.").format(trouble=trouble))
    os.environ["QT_QPA_PLATFORM"] = "offscreen"
    from trainer.window import gallery

    stop.words = tr("stopped; the pictures in {folder} are whole").format(folder=options.folder)
    folder = Path(options.folder)
    print(
        tr("{make} pictures in {folder}").format(
            make=gallery.make(folder, names, options.screen, options.overwrite), folder=folder
        )
    )
    return 0


def _shipped(names: Sequence[str]) -> list[str]:
    """Return the names of shipped rigs, all where none is given. Raises WrongUse for one that is none."""
    known = resources.rigs()
    for name in names:
        if name not in known:
            raise WrongUse(
                tr("no shipped rig is called '{name}'. {nearest}")
                .format(name=name, nearest=nearest(name, known))
                .rstrip()
            )
    return list(names) or list(known)


def bench(options: argparse.Namespace) -> int:
    """Measure how fast the rigs run here."""
    from trainer import bench

    return bench.main(_shipped(options.rigs), options.minutes, options.sizes)
