"""The command in a terminal: streams that are closed, Ctrl-C, outputs that are whole or not there."""

from __future__ import annotations

import csv
import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest
from cases import first

from trainer import cli, resources, screen

ROOT = Path(__file__).parent.parent
PATHS = [*filter(None, [os.environ.get("PYTHONPATH")]), str(ROOT)]
ENVIRONMENT = {**os.environ, "PYTHONPATH": os.pathsep.join(PATHS), "QT_QPA_PLATFORM": "offscreen"}
BENCH = resources.rigs()["one-spool-bench"]
LOADER = resources.levers()["timber-trailer-loader"]
# as a terminal starts it, whoever runs the tests: a job in the background has Ctrl-C ignored
COMMAND = (
    "import signal; signal.signal(signal.SIGINT, signal.default_int_handler); from trainer.__main__ import start; "
)
NEEDS_QT = pytest.mark.skipif(bool(screen.qt_trouble()), reason="Qt cannot start here: see the head of this report")

pytestmark = pytest.mark.skipif(os.name != "posix", reason="streams and signals of POSIX")


@pytest.fixture(autouse=True)
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Return the empty current folder."""
    monkeypatch.chdir(tmp_path)
    return tmp_path


def shell(line: str) -> subprocess.CompletedProcess[str]:
    """Run a line of the shell in which ``spoolroom`` is the command."""
    line = line.replace("spoolroom", f'"{sys.executable}" -m trainer')
    return subprocess.run(["sh", "-c", line], env=ENVIRONMENT, capture_output=True, text=True, check=False)


# -- streams ---------------------------------------------------------------------------------------------------------

CLOSED = {  # command -> code, what is said
    "check one-spool-bench 1>&-": (0, ""),
    "check none.toml 1>&-": (1, ""),
    "check one-spool-bench 2>&- 1>&-": (0, ""),
    "check one-spool-bench <&-": (0, ""),
    "--help 1>&-": (0, ""),
    "--version 1>&-": (0, ""),
    "bench --minutes 0 1>&-": (2, "minutes"),
    "picture one-spool-bench a.svg 1>&-": (0, ""),
    "run one-spool-bench --until 0.1 --record a.csv 1>&-": (0, ""),
    "run one-spool-bench --until 0.1 1>&-": (1, "standard output is closed. Name a file with --record OUT.csv."),
}


@pytest.mark.parametrize("line", first(3, CLOSED))
def test_a_closed_stream_is_no_traceback(line: str) -> None:
    done = shell(f"spoolroom {line}")
    code, said = CLOSED[line]
    assert done.returncode == code
    assert said in done.stderr
    assert done.stderr.count("\n") <= 1


@pytest.mark.soak
def test_a_closed_output_does_not_land_in_the_record(folder: Path) -> None:
    assert shell("spoolroom run one-spool-bench --until 0.1 --record a.csv").returncode == 0
    assert shell("spoolroom run one-spool-bench --until 0.1 --record b.csv 0<&- 1>&- 2>&-").returncode == 0
    assert (folder / "a.csv").read_text("utf-8") == (folder / "b.csv").read_text("utf-8")


@pytest.mark.soak
@pytest.mark.skipif(not Path("/dev/full").exists(), reason="no /dev/full here")
@pytest.mark.parametrize("line", ["check one-spool-bench", "run one-spool-bench --until 1"])
def test_an_output_that_takes_nothing_is_one_line(line: str) -> None:
    done = shell(f"spoolroom {line} >/dev/full")
    assert (done.returncode, done.stderr) == (1, "spoolroom: standard output: No space left on device\n")


@pytest.mark.soak
def test_a_reader_that_went_away_is_no_traceback() -> None:
    done = shell("{ sleep 0.1; spoolroom check one-spool-bench; echo $? >code; } | true; cat code")
    assert done.stderr == ""
    assert done.stdout in ("0\n", "1\n")


# -- outputs ---------------------------------------------------------------------------------------------------------


def test_a_run_never_writes_over_its_inputs(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (folder / "mine.toml").write_bytes(BENCH.read_bytes())
    (folder / "hands.csv").write_bytes(resources.levers()["one-spool-bench"].read_bytes())
    (folder / "link.csv").symlink_to(folder / "hands.csv")
    os.link(folder / "hands.csv", folder / "same.csv")
    before = {path.name: path.read_bytes() for path in folder.iterdir()}
    for out in ("mine.toml", "hands.csv", "./hands.csv", "link.csv", "same.csv"):
        for extra in ([], ["--overwrite"]):
            command = ["run", "mine.toml", "--levers", "hands.csv", "--until", "0.1", "--record", out, *extra]
            assert cli.main(command) == 1
            said = capsys.readouterr().err
            assert said.endswith("is read by this command and is not written over. Choose another name.\n")
    assert {path.name: path.read_bytes() for path in folder.iterdir()} == before


OUTPUTS = {
    "run": ["run", "one-spool-bench", "--until", "0.1", "--record", "a.csv"],
    "svg": ["picture", "one-spool-bench", "a.svg"],
    "png": ["picture", "one-spool-bench", "a.png"],
    "pdf": ["picture", "one-spool-bench", "a.pdf"],
}


@pytest.mark.parametrize(
    "kind", [pytest.param(kind, marks=[NEEDS_QT] * (kind in ("png", "pdf"))) for kind in OUTPUTS]
)
def test_what_is_there_is_replaced_only_when_asked(
    folder: Path, kind: str, capsys: pytest.CaptureFixture[str]
) -> None:
    out = folder / OUTPUTS[kind][-1]
    out.write_text("mine")
    assert cli.main(OUTPUTS[kind]) == 1
    said = capsys.readouterr().err
    assert said == f"spoolroom: {out.name} exists. Choose another name, or replace it with --overwrite.\n"
    assert out.read_text() == "mine"
    assert cli.main([*OUTPUTS[kind], "--overwrite"]) == 0
    assert out.stat().st_size > 500


LIMITED = (
    "import resource, sys; sys.dont_write_bytecode = True; "  # it would be cut off, and kept
    "resource.setrlimit(resource.RLIMIT_FSIZE, (300, 300)); "
    "from trainer.__main__ import start; sys.exit(start())"
)


@pytest.mark.parametrize(
    "kind",
    [
        pytest.param(
            kind,
            marks=[NEEDS_QT, pytest.mark.soak]
            if kind in ("png", "pdf")
            else [pytest.mark.soak]
            if kind in ("svg", "demonstration")
            else [],
        )
        for kind in (*OUTPUTS, "demonstration")
    ],
)
def test_a_disk_that_is_full_half_way_is_one_line_and_no_file(folder: Path, kind: str) -> None:
    """The system itself refuses what goes beyond 300 bytes of a file: "File too large", as a full disk does."""
    arguments = OUTPUTS.get(kind, [])
    name = arguments[-1] if arguments else "spoolroom-demonstration.csv"
    for before in ("", "as it was"):
        if before:
            (folder / name).write_text(before)
            arguments = [*arguments, *(["--overwrite"] if arguments else [])]
        command = [sys.executable, "-c", LIMITED, *arguments]
        done = subprocess.run(command, env=ENVIRONMENT, capture_output=True, text=True, check=False)
        assert done.returncode == 1
        told = name if arguments or not before else "spoolroom-demonstration-2.csv"  # it takes no name of another's
        assert done.stderr.startswith(f"spoolroom: {told}: ")
        assert "File too large" in done.stderr
        assert done.stderr.count("\n") == 1
        assert {path.name: path.read_text() for path in folder.iterdir()} == ({name: before} if before else {})


@pytest.mark.parametrize(
    "kind", [pytest.param(kind, marks=[NEEDS_QT] * (kind in ("png", "pdf"))) for kind in OUTPUTS]
)
@pytest.mark.parametrize(("place", "said"), [("none/", "folder"), ("pipe", "ordinary file"), ("folder", "folder")])
def test_a_place_that_takes_no_file_is_one_line(
    folder: Path, kind: str, place: str, said: str, capsys: pytest.CaptureFixture[str]
) -> None:
    name = OUTPUTS[kind][-1]
    out = folder / (place + name if place == "none/" else name)
    if place == "pipe":
        os.mkfifo(out)
    elif place == "folder":
        out.mkdir()
    before = sorted(folder.iterdir())
    assert cli.main([*OUTPUTS[kind][:-1], str(out), "--overwrite"]) == 1
    told = capsys.readouterr().err
    assert told.count("\n") == 1
    assert name in told
    assert said in told
    assert sorted(folder.iterdir()) == before


# -- Ctrl-C ----------------------------------------------------------------------------------------------------------


def interrupted(arguments: list[str], seconds: float) -> tuple[int, float, str]:
    """Interrupt a command after a while; return its code, how long it took to stop [s], and what it said."""
    command = [sys.executable, "-c", f"print('begun', flush=True); {COMMAND} raise SystemExit(start())", *arguments]
    with subprocess.Popen(
        command, env=ENVIRONMENT, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True
    ) as process:
        assert process.stdout is not None
        assert process.stderr is not None
        try:
            assert process.stdout.readline() == "begun\n"
            time.sleep(seconds)
            process.send_signal(signal.SIGINT)
            begun = time.monotonic()
            said = process.stderr.read()
            code = process.wait(60)
            return code, time.monotonic() - begun, said
        finally:
            process.kill()


def interrupt_a_run(folder: Path, seconds: float) -> float:
    """Interrupt a run that would take minutes; it says where, and leaves whole rows or nothing. Return the time."""
    command = ["run", "timber-trailer-loader", "--levers", str(LOADER), "--until", "600", "--record", "out.csv"]
    code, took, said = interrupted(command, seconds)
    assert code == 130
    assert said.count("\n") == 1
    if said.startswith("spoolroom: stopped before ") and said.endswith("; nothing was written\n"):
        assert [*folder.iterdir()] == []
        return took
    rows = [*csv.reader((folder / "out.csv").read_text("utf-8").splitlines())]
    assert len({len(row) for row in rows}) == 1
    if len(rows) == 1:  # on a busy computer it had not come to its first row
        assert said == "spoolroom: stopped at 0 s of 600 s; out.csv has 0 whole rows\n"
        (folder / "out.csv").unlink()
        return took
    last = float(rows[-1][0])
    assert said == f"spoolroom: stopped at {last:.4g} s of 600 s; out.csv has {len(rows) - 1} whole rows\n"
    assert [path.name for path in folder.iterdir()] == ["out.csv"]
    assert last == pytest.approx((len(rows) - 2) / 60, rel=1e-6)
    (folder / "out.csv").unlink()
    return took


@pytest.mark.parametrize("seconds", [1.0, pytest.param(6.0, marks=pytest.mark.soak)])
def test_ctrl_c_stops_a_run_at_a_whole_row(folder: Path, seconds: float) -> None:
    interrupt_a_run(folder, seconds)


@pytest.mark.soak
@pytest.mark.parametrize("seconds", [0.7 + 0.74 * k for k in range(10)])
def test_ctrl_c_stops_a_run_ten_times(folder: Path, seconds: float) -> None:
    interrupt_a_run(folder, seconds)


def test_a_stopped_run_has_the_rows_of_one_that_was_not(
    folder: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
    request: pytest.FixtureRequest,
) -> None:
    """What was recorded until then differs in nothing from the whole record."""
    whole = ["run", "one-spool-bench", "--levers", "one-spool-bench", "--until", "2"]
    assert cli.main([*whole, "--record", "whole.csv"]) == 0
    before = signal.signal(signal.SIGINT, signal.default_int_handler)  # tests in the background are not to be stopped
    request.addfinalizer(lambda: signal.signal(signal.SIGINT, before))
    from trainer.engine.session import Session

    advance, count = Session.advance, [0]

    def interrupting(self: Session, *arguments: float, **more: float) -> None:
        count[0] += 1
        if count[0] == 40:
            os.kill(os.getpid(), signal.SIGINT)
        advance(self, *arguments, **more)

    monkeypatch.setattr(Session, "advance", interrupting)
    assert cli.main([*whole, "--record", "part.csv"]) == 130
    assert capsys.readouterr().err == "spoolroom: stopped at 0.65 s of 2 s; part.csv has 40 whole rows\n"
    part = (folder / "part.csv").read_text("utf-8")
    assert part == "".join((folder / "whole.csv").read_text("utf-8").splitlines(keepends=True)[:41])


@pytest.mark.parametrize("line", first(1, ["picture timber-trailer-loader a.svg --at 600", "bench --minutes 30"]))
def test_ctrl_c_ends_every_verb_with_one_line(folder: Path, line: str) -> None:
    code, _, said = interrupted(line.split(), 3.0)
    assert code == 130
    assert said.startswith("spoolroom: stopped")
    assert said.count("\n") == 1
    assert [*folder.iterdir()] == []


def test_ctrl_c_during_work_of_a_shell_comes_after_it(folder: Path) -> None:
    """While a C library's ``system`` waits for its shell, a Ctrl-C to this process alone is ignored."""
    program = (
        "import os, signal; from trainer.console import stop\n"
        "signal.signal(signal.SIGINT, signal.default_int_handler)\n"  # tests may run in the background
        "with stop.listening():\n"
        "    with stop.held_back(): os.system(f'kill -INT {os.getpid()}')\n"
        "    print('not stopped')\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", program], env=ENVIRONMENT, capture_output=True, text=True, check=False
    )
    assert (done.returncode, done.stdout) == (130, "")
    assert done.stderr == "spoolroom: stopped before it began; nothing was written\n"
