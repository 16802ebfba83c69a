"""The command: verbs, exit codes, one clear line for what goes wrong, and what happens without a screen."""

from __future__ import annotations

import csv
import importlib.util
import os
import re
import shlex
import subprocess
import sys
import threading
import types
from pathlib import Path
from xml.etree import ElementTree

import pytest
from cases import first

from trainer import __version__, bench, cli, resources, screen, verbs
from trainer.engine.network import Vector
from trainer.engine.solver import Solver
from trainer.pairing.sides import Otherwise
from trainer.rig.rig import Rig

ROOT = Path(__file__).parent.parent
PATHS = [*filter(None, [os.environ.get("PYTHONPATH")]), str(ROOT)]
ENVIRONMENT = {**os.environ, "PYTHONPATH": os.pathsep.join(PATHS)}
BENCH = resources.rigs()["one-spool-bench"]
HANDS = "time [s], 1V1.lever [%], 0M1.speed_asked [r/min]\n0, 0, 60\n0.5, 100,\n1, 100,\n"


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Return an empty current folder with one lever script in it."""
    monkeypatch.chdir(tmp_path)
    (tmp_path / "hands.csv").write_text(HANDS, "utf-8")
    return tmp_path


def command(*arguments: str, **environment: str) -> subprocess.CompletedProcess[str]:
    """Run the command as a user does, in the current folder."""
    return subprocess.run(
        [sys.executable, "-m", "trainer", *arguments],
        env={**ENVIRONMENT, **environment},
        capture_output=True,
        text=True,
        timeout=120,
        check=False,
    )


@pytest.mark.skipif(not Path("/proc/self/task").exists(), reason="what threads there are is told by Linux")
@pytest.mark.parametrize("wanted", ["", "2"])
def test_numpy_begins_no_threads_unless_the_user_wants_them(wanted: str) -> None:
    """Its own begins one for every further processor."""
    told = "import os, trainer, numpy; print(len(os.listdir('/proc/self/task')), os.environ['OPENBLAS_NUM_THREADS'])"
    environment = {key: value for key, value in ENVIRONMENT.items() if key != "OPENBLAS_NUM_THREADS"}
    environment |= {"OPENBLAS_NUM_THREADS": wanted} if wanted else {}
    done = subprocess.run([sys.executable, "-c", told], env=environment, capture_output=True, text=True, check=True)
    threads, number = done.stdout.split()
    assert number == (wanted or "1")
    assert threads == "1" or wanted


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="a device that is always full is of Linux")
@pytest.mark.parametrize("arguments", [["--help"], ["--version"], ["run", "--help"], ["check", str(BENCH)]])
@pytest.mark.parametrize("unbuffered", first(1, ["", "1"]))
def test_what_cannot_be_printed_is_told_and_is_1(arguments: list[str], unbuffered: str) -> None:
    with open("/dev/full", "w", encoding="utf-8") as full:
        said = subprocess.run(
            [sys.executable, "-m", "trainer", *arguments],
            env={**ENVIRONMENT, "PYTHONUNBUFFERED": unbuffered},
            stdout=full,
            stderr=subprocess.PIPE,
            text=True,
            timeout=120,
            check=False,
        )
    assert said.returncode == 1
    assert said.stderr == "spoolroom: standard output: No space left on device\n"


def table(path: Path) -> list[dict[str, str]]:
    """Return the rows of a record."""
    return list(csv.DictReader(path.read_text("utf-8").splitlines()))


def test_version_and_help(capsys: pytest.CaptureFixture[str]) -> None:
    for option in ("--version", "--help"):
        assert cli.main([option]) == 0
    said = capsys.readouterr().out
    assert f"spoolroom {__version__}" in said
    assert all(verb in said for verb in ("board", "run", "check", "picture", "bench"))


WRONG_USE = {
    "no such verb": (["sail"], "sail"),
    "a verb misspelt": (
        ["bord", "one-spool-bench"],
        "'bord' is no verb, no rig file and no shipped rig. Did you mean",
    ),
    "no such option": (["run", "one-spool-bench", "--fast"], "--fast"),
    "run what": (["run"], "RIG"),
    "check what": (["check"], "FILE"),
    "picture of what kind": (["picture", "one-spool-bench", "board.bmp"], ".svg, .png, .pdf"),
    "theme of nobody": (["picture", "one-spool-bench", "board.svg", "--theme", "neon"], "neon"),
    "units of nobody": (["picture", "one-spool-bench", "board.svg", "--units", "furlong"], "furlong"),
    "backwards": (["run", "one-spool-bench", "--until", "-1"], "'-1' is not a number of seconds"),
    "for ever": (["run", "one-spool-bench", "--until", "inf"], "'inf' is not a number of seconds"),
    "for no number": (["run", "one-spool-bench", "--until", "nan"], "'nan' is not a number of seconds"),
    "for how long": (["run", "one-spool-bench"], "--until SECONDS"),
    "how exactly": (["run", "one-spool-bench", "--until", "1", "--tolerance", "2"], "tolerance"),
    "how often": (["run", "one-spool-bench", "--until", "1", "--rate", "0"], "rate"),
    "bench of no rig": (["bench", "one-spool-bank"], "'one-spool-bench'"),
    "bench for no time": (["bench", "--minutes", "0"], "minutes"),
    "too many rows": (["run", "one-spool-bench", "--until", "86400"], "rows"),
}


@pytest.mark.parametrize("case", WRONG_USE)
def test_wrong_use_is_2_and_one_line(case: str, folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    arguments, words = WRONG_USE[case]
    assert cli.main(arguments) == 2
    said = capsys.readouterr()
    assert said.out == ""
    assert said.err.startswith("spoolroom: ")
    assert said.err.count("\n") == 1
    assert words in said.err
    assert [path.name for path in folder.iterdir()] == ["hands.csv"]


FAILURES = {
    "no such rig": (["run", "one-spol-bench", "--until", "1"], "'one-spool-bench'"),
    "no such file": (["run", "none.toml", "--until", "1"], "none.toml: there is no such file"),
    "no such file, without a verb": (["none.toml"], "none.toml: there is no such file"),
    "a folder, without a verb": (["."], "folder"),
    "a folder": (["board", "."], "folder"),
    "no such script": (["run", "one-spool-bench", "--levers", "none.csv"], "none.csv"),
    "no script": (["run", "one-spool-bench", "--levers", str(BENCH)], "no name with a unit"),
    "no such folder": (["run", "one-spool-bench", "--until", "0.1", "--record", "none/a.csv"], "none"),
    "picture in no folder": (["picture", "one-spool-bench", "none/a.svg"], "none"),
    "a bad rig": (["run", "bad.toml", "--until", "1"], "1 more: spoolroom check bad.toml"),
}


@pytest.mark.parametrize("case", FAILURES)
def test_failure_is_1_and_one_line(case: str, folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    text = BENCH.read_text("utf-8").replace('"50 bar"', '"50 bra"').replace('"12 L"', '"12 mm"')
    (folder / "bad.toml").write_text(text, "utf-8")
    arguments, words = FAILURES[case]
    assert cli.main(arguments) == 1
    said = capsys.readouterr()
    assert said.err.startswith("spoolroom: ")
    assert said.err.count("\n") == 1
    assert words in said.err


def test_run_records_a_table(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert cli.main(["run", "one-spool-bench", "--levers", "hands.csv", "--record", "out.csv", "--rate", "20"]) == 0
    assert capsys.readouterr().out == "out.csv: 21 rows, 1 s\n"
    rows = table(folder / "out.csv")
    assert len(rows) == 21
    assert float(rows[-1]["lift rod place [mm]"]) > 1


def test_a_run_says_where_it_could_only_be_rough(
    folder: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    def failing(solver: Solver, z: Vector, pu: Vector) -> tuple[Vector, Vector]:
        if pu[0] < 0.3:
            raise RuntimeError("CV_TOO_MUCH_WORK")
        return healthy(solver, z, pu)

    healthy = Solver._integrate
    monkeypatch.setattr(Solver, "_integrate", failing)
    assert cli.main(["run", str(BENCH), "--until", "1", "--rate", "4", "--record", "out.csv"]) == 0
    assert capsys.readouterr().err == (
        "spoolroom: 4 of 4 steps could only be worked out roughly; figures there may be off\n"
    )


def test_run_without_a_file_writes_to_standard_output(capsys: pytest.CaptureFixture[str]) -> None:
    assert cli.main(["run", str(BENCH), "--until", "0.1", "--units", "us", "--tolerance", "1e-4"]) == 0
    lines = capsys.readouterr().out.splitlines()
    assert len(lines) == 8
    assert "P1 [psi]" in lines[0]


def test_check_lists_every_fault_of_every_file(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    good = BENCH.read_text("utf-8")
    (folder / "one.toml").write_text(good.replace('"50 bar"', '"50 bra"').replace('"12 L"', '"12 mm"'), "utf-8")
    (folder / "two.toml").write_text(good.replace("1V1.C1", "1V1.C9"), "utf-8")
    assert cli.main(["check", "one.toml", "one-spool-bench", "two.toml"]) == 1
    said = capsys.readouterr().out
    assert "one.toml: 2 faults" in said
    assert "0V1, key 'setting'" in said
    assert "0Z1, key 'volume'" in said
    assert "one-spool-bench: in order" in said
    assert "'1V1.C9'" in said


def test_check_notes_a_healthy_reading_that_needs_an_instrument(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (folder / "mine.toml").write_text(BENCH.read_text("utf-8").replace('reads = "Q1"', 'reads = "Q2"'), "utf-8")
    assert cli.main(["check", "mine.toml"]) == 0
    assert capsys.readouterr().out.splitlines()[1] == (
        "  note: [healthy] delivery: its value needs a flow meter called Q2, and none is fitted. Known here: Q1."
    )


def test_a_console_of_few_characters_is_served(folder: Path) -> None:
    (folder / "bad.toml").write_text(BENCH.read_text("utf-8").replace('"50 bar"', '"5000 bar"'), "utf-8")
    done = command("check", "bad.toml", PYTHONIOENCODING="ascii")
    assert done.returncode == 1
    assert "1 bar ? 450 bar" in done.stdout
    assert done.stderr == ""


@pytest.mark.parametrize("name", first(3, resources.rigs()))
def test_shipped_rigs_are_in_order(name: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert cli.main(["check", name]) == 0
    assert f"{name}: in order" in capsys.readouterr().out


@pytest.mark.parametrize("theme", ["light", "dark", "projector", "print"])
def test_svg_picture(folder: Path, theme: str) -> None:
    arguments = ["picture", "one-spool-bench", "board.svg", "--at", "0.9", "--levers", "hands.csv"]
    assert cli.main([*arguments, "--theme", theme, "--units", "us"]) == 0
    text = (folder / "board.svg").read_text("utf-8")
    ElementTree.fromstring(text)  # it is XML
    assert "psi" in text
    assert "NaN" not in text.lower().replace("inan", "")


def test_svg_needs_no_qt(folder: Path) -> None:
    code = "import sys; from trainer import cli; cli.main(['picture', 'one-spool-bench', 'board.svg']);"
    code += "sys.exit(any(name.startswith('PySide6') for name in sys.modules))"
    done = subprocess.run([sys.executable, "-c", code], env=ENVIRONMENT, check=False)
    assert done.returncode == 0
    assert (folder / "board.svg").exists()


@pytest.mark.skipif(bool(screen.qt_trouble()), reason="Qt cannot start here: see the head of this report")
@pytest.mark.parametrize(("suffix", "head"), first(1, [(".png", b"\x89PNG"), (".pdf", b"%PDF")]))
def test_pictures_by_qt(folder: Path, suffix: str, head: bytes) -> None:
    done = command("picture", "one-spool-bench", f"board{suffix}", "--theme", "print")
    assert (done.returncode, done.stderr) == (0, "")
    assert (folder / f"board{suffix}").read_bytes().startswith(head)


def test_picture_says_when_qt_is_missing(
    folder: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(screen, "qt_trouble", lambda platform="": "the system library libEGL.so.1 is missing")
    assert cli.main(["picture", "one-spool-bench", "board.png"]) == 1
    assert "libEGL.so.1" in capsys.readouterr().err


@pytest.mark.parametrize(
    ("arguments", "title"),
    [
        ([], "Timber-trailer loader"),
        (["board"], "Timber-trailer loader"),
        (["board", str(BENCH)], "One-spool bench"),
        ([str(BENCH)], "One-spool bench"),
        (["one-spool-bench"], "One-spool bench"),
        (["--no-compiler"], "Timber-trailer loader"),
        (["one-spool-bench", "--no-compiler"], "One-spool bench"),
    ],
)
def test_with_a_screen_the_board_opens(arguments: list[str], title: str, monkeypatch: pytest.MonkeyPatch) -> None:
    opened = []

    def run(rig: Rig, compiler: bool, named: bool) -> int:
        opened.append((rig.title, compiler, named))
        return 0

    app = types.ModuleType("trainer.window.shell.app")
    vars(app)["run"] = run
    monkeypatch.setitem(sys.modules, "trainer.window.shell.app", app)
    monkeypatch.setattr("trainer.window.shell.app", app, raising=False)
    monkeypatch.setattr(screen, "trouble", lambda: "")
    assert cli.main(arguments) == 0
    named = any("bench" in argument for argument in arguments)  # else the one of the last time comes instead
    assert opened == [(title, "--no-compiler" not in arguments, named)]


@pytest.mark.parametrize(
    ("arguments", "code", "told"),
    [
        (["two-lifts"], 0, ("two-lifts", None, Otherwise())),
        (["two-lifts", "load-sensing", "--no-compiler"], 0, ("two-lifts", "load-sensing", Otherwise())),
        (
            ["two-lifts", "--set", "0V1.setting=120bar", "--fault", "0P1.slip = failed"],
            0,
            ("two-lifts", None, Otherwise({"0V1.setting": 120e5}, ("0P1.slip = failed",))),
        ),
        (["two-lifts", "--fault", "0P1.slop = failed"], 1, "nothing can be wrong at"),
        (["two-lifts", "two-lift"], 1, "no such rig. Did you mean 'two-lifts'?"),
        (["two-lifts", "--set", "0V1.seting=120bar"], 1, "no number of Two log lifts"),
        (["two-lifts", "load-sensing", "--set", "0V1.setting=120bar"], 2, "leave the other one out"),
    ],
    ids=lambda case: " ".join(case) if isinstance(case, list) else "",
)
def test_two_rigs_are_opened_beside_each_other(
    arguments: list[str], code: int, told: object, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    opened: list[object] = []

    def run(rig: Rig, compiler: bool, named: bool, beside: tuple[Path | None, Otherwise]) -> int:
        opened.append((Path(rig.source).stem, beside[0] and beside[0].stem, beside[1]))
        assert (named, compiler) == (True, "--no-compiler" not in arguments)
        return 0

    app = types.ModuleType("trainer.window.shell.app")
    vars(app)["run"] = run
    monkeypatch.setitem(sys.modules, "trainer.window.shell.app", app)
    monkeypatch.setattr("trainer.window.shell.app", app, raising=False)
    monkeypatch.setattr(screen, "trouble", lambda: "")
    assert cli.main(["beside", *arguments]) == code
    assert opened == ([told] if code == 0 else [])
    if code:
        assert str(told) in capsys.readouterr().err


def test_the_screen_is_asked_for_while_the_rig_is_read(monkeypatch: pytest.MonkeyPatch) -> None:
    """A child that tries Qt takes as long as to load all else; here it would wait for ever for its turn."""
    read, loads = threading.Event(), verbs._rig

    def rig(name: str) -> Rig:
        read.set()
        return loads(name)

    monkeypatch.setattr(verbs, "_rig", rig)
    monkeypatch.setattr(screen, "trouble", lambda: "asked meanwhile" if read.wait(60) else "asked before")
    assert verbs._rig_and_screen("one-spool-bench")[1] == "asked meanwhile"


@pytest.mark.soak
def test_without_a_screen_the_demonstration_is_left_in_the_folder(folder: Path) -> None:
    done = command(QT_QPA_PLATFORM="offscreen")
    assert (done.returncode, done.stderr) == (0, "")
    lines = done.stdout.splitlines()
    assert "QT_QPA_PLATFORM is set to offscreen" in lines[0]
    names = [line.split()[0] for line in lines[1:]]
    picture = "spoolroom-demonstration.svg" if screen.qt_trouble() else "spoolroom-demonstration.png"
    assert names == ["spoolroom-demonstration.csv", picture]
    assert (folder / picture).stat().st_size > 10_000
    rows = table(folder / names[0])
    assert float(rows[-1]["time [s]"]) == 20
    places = [float(row["boom rod place [mm]"]) for row in rows]
    assert places[-1] - min(places) > 100  # it went down to the logs, and came up again


def test_without_qt_the_demonstration_leaves_an_svg(
    folder: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(screen, "trouble", lambda: "there is no display")
    monkeypatch.setattr(screen, "qt_trouble", lambda platform="": "PySide6 is not installed")
    monkeypatch.setattr(verbs, "DEMONSTRATION_TIME", 0.5)
    assert cli.main([]) == 0
    said = capsys.readouterr().out
    assert said.splitlines()[0].startswith("No window can be opened (there is no display)")
    ElementTree.fromstring((folder / "spoolroom-demonstration.svg").read_text("utf-8"))


def test_the_demonstration_replaces_nothing(folder: Path) -> None:
    """Where one of its files is there, table and picture get the same number."""
    assert [str(name) for name in verbs._free(".csv", ".svg")] == [
        "spoolroom-demonstration.csv",
        "spoolroom-demonstration.svg",
    ]
    (folder / "spoolroom-demonstration.csv").write_text("my own")
    (folder / "spoolroom-demonstration-2.svg").write_text("my own")
    assert [str(name) for name in verbs._free(".csv", ".svg")] == [
        "spoolroom-demonstration-3.csv",
        "spoolroom-demonstration-3.svg",
    ]


@pytest.mark.parametrize(
    ("line", "told"),
    [
        ("fit open-centre 0P1 x.toml", "Known here: 0P1.P."),
        ("fit open-centre 0P1.S x.toml", "Put it in behind the pump."),
        ("fit open-centre 0P1.P noext", "let it end in .toml"),
        ("beside open-centre --set 0V1=20bar", "0V1.setting"),
        ("beside open-centre --set 0M1.setting=1000", "Known here: 0M1.lag"),
        ("beside open-centre --set 0V1.seting=20bar", "Did you mean '0V1.setting'?"),
        ("part pump", "LoadSensingPump"),
        ("part 0P1", "a place in a rig"),
        ("run open-centre --fault 0P1.slip=2bar --record x.toml", "such as 0.5 or"),
    ],
)
def test_what_is_told_instead_can_be_had(
    line: str, told: str, folder: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(screen, "trouble", lambda: "there is no display")
    assert cli.main(line.split()) != 0
    assert told in capsys.readouterr().err
    assert not [*folder.glob("*.toml"), *folder.glob("noext")]


def test_a_board_without_a_screen_names_the_way_out(folder: Path) -> None:
    done = command("board", QT_QPA_PLATFORM="offscreen")
    assert done.returncode == 1
    assert "spoolroom picture" in done.stderr
    assert done.stderr.count("\n") == 1


SAID = {
    "ImportError: libEGL.so.1: cannot open shared object file: No such": "library libEGL.so.1 is missing",
    "ModuleNotFoundError: No module named 'PySide6'": "PySide6 is not installed",
    "qt.qpa.xcb: could not connect to display :77\nxcb-cursor0 is needed": "display :77 cannot be reached",
    "From 6.5.0, xcb-cursor0 or libxcb-cursor0 is needed\nNo Qt platform plugin": "Qt has no working platform",
    'qt.qpa.plugin: Could not find the Qt platform plugin "foo" in ""': "no working platform foo",
    "Aborted": "Qt cannot start",
}


@pytest.mark.parametrize("said", SAID)
def test_what_qt_says_is_put_in_a_few_words(said: str, monkeypatch: pytest.MonkeyPatch) -> None:
    child = subprocess.CompletedProcess([], 1, b"", said.encode())
    monkeypatch.setattr(subprocess, "run", lambda *_, **__: child)
    assert SAID[said] in screen.qt_trouble("xcb")


@pytest.mark.parametrize(
    "said",
    [
        "qt.qpa.plugin: From 6.5.0, xcb-cursor0 or libxcb-cursor0 is needed",
        "ImportError: libxcb-icccm.so.4: cannot open shared object file: No such",
    ],
)
def test_the_library_that_is_missing_is_named(said: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """Qt names libxcb-cursor0 whichever library of the window is missing."""
    children = iter([(1, b"", said.encode()), (0, b"libxcb-icccm.so.4\nlibxcb-util.so.1\n", b"")])
    monkeypatch.setattr(subprocess, "run", lambda *_, **__: subprocess.CompletedProcess([], *next(children)))
    assert screen.qt_trouble("xcb") == (
        "the system libraries libxcb-icccm.so.4, libxcb-util.so.1 are missing; "
        "on Debian and Ubuntu: sudo apt-get install libxcb-icccm4 libxcb-util1"
    )


@pytest.mark.skipif(not sys.platform.startswith("linux"), reason="libraries of Linux")
def test_a_library_that_cannot_be_loaded_is_found(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(screen, "LIBRARIES", {"libc.so.6": "libc6", "libnowhere.so.9": "libnowhere9"})
    assert screen._missing() == ["libnowhere.so.9"]


EVERYWHERE = {"libc.so.6", "libm.so.6", "libgcc_s.so.1", "libstdc++.so.6", "libz.so.1", "libzstd.so.1"}  # of Debian


@pytest.mark.skipif(not sys.platform.startswith("linux"), reason="libraries of Linux")
def test_the_list_of_libraries_is_that_of_qt() -> None:
    """The names of shared libraries that stand in Qt's own files, those of the window's platform among them."""
    spec = importlib.util.find_spec("PySide6")
    assert spec is not None
    assert spec.submodule_search_locations
    qt = Path(spec.submodule_search_locations[0]) / "Qt"
    needed: set[str] = set()
    for file in (*(qt / "lib").glob("libQt6*.so.6"), qt / "plugins" / "platforms" / "libqxcb.so"):
        if file.name.startswith(
            ("libQt6Core.", "libQt6Gui.", "libQt6Widgets.", "libQt6DBus.", "libQt6Xcb", "libqxcb")
        ):
            needed |= {name.decode() for name in re.findall(rb"\0(lib[\w.+-]+\.so\.\d+)(?=\0)", file.read_bytes())}
    own = {name for name in needed if name.startswith(("libQt6", "libicu"))}
    assert needed - own - EVERYWHERE == set(screen.LIBRARIES)


def test_the_readme_names_the_packages_of_all_libraries() -> None:
    (line,) = [line for line in (ROOT / "README.md").read_text("utf-8").splitlines() if "apt-get install" in line]
    assert line.removeprefix("sudo apt-get install ").split() == [*dict.fromkeys(screen.LIBRARIES.values())]
    assert "sed -n 's/^sudo apt-get install //p' README.md" in (ROOT / ".ci" / "run").read_text("utf-8")


def test_a_dead_display_is_given_up_on(monkeypatch: pytest.MonkeyPatch) -> None:
    def silent(*_: object, **__: object) -> None:
        raise subprocess.TimeoutExpired("python", 30)

    monkeypatch.setattr(subprocess, "run", silent)
    monkeypatch.setenv("QT_QPA_PLATFORM", "xcb")
    assert screen.trouble() == "the display does not answer"


@pytest.mark.skipif(not sys.platform.startswith("linux"), reason="only Linux tells by its environment")
def test_no_display_is_seen_without_asking_qt(monkeypatch: pytest.MonkeyPatch) -> None:
    for name in ("DISPLAY", "WAYLAND_DISPLAY", "QT_QPA_PLATFORM"):
        monkeypatch.delenv(name, raising=False)
    assert screen.trouble() == "there is no display"


def test_bench_is_handed_on(monkeypatch: pytest.MonkeyPatch) -> None:
    asked = []

    def measured(names: list[str], minutes: float, sizes: bool) -> int:
        asked.append((names, minutes, sizes))
        return 0

    monkeypatch.setattr(bench, "main", measured)
    assert cli.main(["bench"]) == 0
    assert cli.main(["bench", "one-spool-bench", "--minutes", "3"]) == 0
    assert cli.main(["bench", "--sizes"]) == 0
    shipped = [*resources.rigs()]
    assert asked == [(shipped, 15.0, False), (["one-spool-bench"], 3.0, False), (shipped, 15.0, True)]


@pytest.mark.skipif(os.name != "posix", reason="pipes end otherwise on Windows")
def test_a_reader_that_has_seen_enough_ends_it_quietly() -> None:
    script = f'"{sys.executable}" -m trainer run one-spool-bench --until 5 | head -n 1'
    done = subprocess.run(script, shell=True, env=ENVIRONMENT, capture_output=True, text=True, check=False)
    assert done.stdout.startswith("time [s]")
    assert done.stderr == ""


def test_a_missing_piece_is_one_line(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
    monkeypatch.setitem(sys.modules, "trainer.bench", None)
    monkeypatch.delattr("trainer.bench")
    assert cli.main(["bench"]) == 1
    assert "install Spoolroom again" in capsys.readouterr().err


def test_a_stop_by_the_user_is_one_line(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
    def stopped(names: list[str], minutes: float, sizes: bool) -> int:
        raise KeyboardInterrupt

    monkeypatch.setattr(bench, "main", stopped)
    assert cli.main(["bench"]) == 130
    assert capsys.readouterr().err == "spoolroom: stopped\n"


SCRIPT_FAULTS = "time [s], 1V1.lever [%], 0M1.sped_asked [r/min]\n0, 0, 60\n1, '5, 60\n0.5, 0\n2, 300, 60\n"


def test_what_one_line_points_to_tells_all_of_a_lever_script(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """The pointer is followed as it stands there."""
    Path("bad hands.csv").write_text(SCRIPT_FAULTS, "utf-8")
    assert cli.main(["run", "one-spool-bench", "--levers", "bad hands.csv"]) == 1
    said = capsys.readouterr().err
    pointer = shlex.split(said.partition("more: ")[2].rpartition(")")[0])
    assert pointer[:2] == ["spoolroom", "check"]
    assert cli.main(pointer[1:]) == 1
    told = capsys.readouterr().out
    for words in (
        "bad hands.csv: 2 faults",
        "line 3, column 1V1.lever: ''5' is not",
        "line 4: 0.5 cannot follow here",
    ):
        assert words.replace("''5'", '"\'5"') in told


def test_check_reads_lever_scripts(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """For the rig before it, for the rig of its name beside it or shipped, else by itself."""
    good = HANDS.replace("1V1", "9V9")
    assert cli.main(["check", "one-spool-bench", "hands.csv"]) == 0
    assert "hands.csv: in order for One-spool bench (2 columns, 1 s)" in capsys.readouterr().out
    assert cli.main(["check", "hands.csv"]) == 0
    assert "in order by itself" in capsys.readouterr().out
    Path("one-spool-bench.csv").write_text(good, "utf-8")
    assert cli.main(["check", "one-spool-bench.csv"]) == 1
    assert "9V9.lever: this rig has no such control. Did you mean '1V1.lever'?" in capsys.readouterr().out
    Path("yard.csv").write_text(good, "utf-8")
    Path("yard.toml").write_text(BENCH.read_text("utf-8").replace("1V1", "9V9"), "utf-8")
    assert cli.main(["check", "yard.csv"]) == 0
    assert "yard.csv: in order for One-spool bench" in capsys.readouterr().out
    Path("yard.toml").write_text("stray", "utf-8")
    assert cli.main(["check", "yard.csv"]) == 1
    assert "yard.toml: line 1: this line is no entry: stray." in capsys.readouterr().out
    assert cli.main(["check", "yard.toml", "yard.csv"]) == 1
    assert "yard.csv: in order by itself" in capsys.readouterr().out
