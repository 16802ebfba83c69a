"""A crash loses at most ten seconds: a real process is killed, and the next start offers what it had."""

from __future__ import annotations

import os
import subprocess
import sys
import time
from pathlib import Path

import numpy as np
import pytest
from board_moves import Clock, MakeBoard, pass_time
from cases import first
from PySide6.QtCore import QLockFile, Qt
from pytestqt.qtbot import QtBot
from recovery_moves import begin, leave, let_write
from rig_moves import BAR, CTRL, LEFT

from trainer.changing.recovery import SUFFIX, UnsavedRun, found, read
from trainer.errors import SolverError
from trainer.rig import file as rig_file
from trainer.rig.rig import Rig
from trainer.window.ledgers.presenter import LedgersPresenter
from trainer.window.recovery import presenter as recovery
from trainer.window.recovery.presenter import EVERY
from trainer.window.rig.presenter import RigPresenter
from trainer.window.shell.window import BoardWindow

RUNNER = """
import sys
from pathlib import Path
from PySide6.QtCore import QTimer
from trainer import resources
from trainer.rig import file as rig_file
from trainer.window.shell.app import application, open_board
from trainer.window.rig.presenter import RigPresenter

app = application()
window = open_board(rig_file.load(resources.path("rigs/one-spool-bench.toml")))

def change():
    window.presenter(RigPresenter).set("0V1.setting", 30e5)
    print("changed", flush=True)

QTimer.singleShot(1000, change)
QTimer.singleShot(60000, app.quit)
app.exec()
"""


def wait_for(seconds: float, what: object) -> bool:
    assert callable(what)
    end = time.monotonic() + seconds
    while time.monotonic() < end:
        if what():
            return True
        time.sleep(0.05)
    return False


@pytest.fixture
def clocked(make_board: MakeBoard) -> BoardWindow:
    """The bench on a board."""
    return make_board()


def has_setting(file: Path, pascal: float) -> bool:
    """Return whether a recovery file has the relief at a setting."""
    return read(file).changed.value("0V1", "setting") == pascal


# -- a real crash ---------------------------------------------------------------------------------------------------


@pytest.mark.skipif(not sys.platform.startswith("linux"), reason="elsewhere a test cannot choose the state folder")
def test_a_killed_program_offers_its_change_at_the_next_start(
    make_board: MakeBoard, tmp_path: Path, qtbot: QtBot
) -> None:
    state = tmp_path / "state"
    environment = os.environ | {
        "XDG_STATE_HOME": str(state),
        "XDG_CONFIG_HOME": str(tmp_path / "config"),
        "HOME": str(tmp_path),
        "QT_QPA_PLATFORM": "offscreen",
    }
    with subprocess.Popen(
        [sys.executable, "-c", RUNNER], env=environment, stdout=subprocess.PIPE, text=True
    ) as process:
        try:
            assert process.stdout is not None
            assert process.stdout.readline() == "changed\n"
            folder = state / "spoolroom" / "recovery"
            assert wait_for(60.0, lambda: any(has_setting(file, 30 * BAR) for file in found(folder)))
        finally:
            process.kill()
            process.wait()
    assert list(folder.glob("*.lock"))  # it had no time to take its lock away
    window = make_board()
    presenter = begin(window, folder)
    assert presenter.pane is not None
    assert presenter.pane.isVisible()
    told = [text for text, _, _ in presenter.pane.told()]
    assert told[:2] == ["One-spool bench", "From one-spool-bench.toml, a rig that came with Spoolroom."]
    assert "•  Relief valve 0V1: pressure at rated flow 50 → 30 bar" in told
    qtbot.mouseClick(presenter.pane.take, LEFT)
    assert window.session.readings.parameter("0V1", "setting") == 30 * BAR
    assert window.session.time > 0.0  # and at the instant where it was
    assert not window.session.running
    assert [path.name for path in found(folder)] == [presenter.file.name]  # its own; the other one is answered
    window.presenter(RigPresenter).changes.set("0V1.setting", 50 * BAR)
    window.close()
    assert list(folder.iterdir()) == []


# -- when it is written ---------------------------------------------------------------------------------------------


def test_nothing_is_written_where_nothing_happens(clocked: BoardWindow, tmp_path: Path) -> None:
    begin(clocked, tmp_path / "r")
    let_write(clocked, 20)
    assert found(tmp_path / "r") == []


@pytest.mark.soak
def test_a_change_of_the_rig_is_written_at_once_and_running_every_five_seconds(
    clocked: BoardWindow, tmp_path: Path
) -> None:
    folder = tmp_path / "r"
    begin(clocked, folder)
    let_write(clocked, 1)
    clocked.presenter(RigPresenter).set("0V1.setting", 30 * BAR)
    let_write(clocked, 1.5)
    (file,) = found(folder)
    assert has_setting(file, 30 * BAR)
    assert read(file).time == 0.0
    clocked.run()
    let_write(clocked, EVERY + 1.5)
    running = read(file)
    assert 0 <= clocked.session.time - running.time < EVERY
    assert len(running.calls()) > 200
    clocked.marks.append((2.0, "A"))
    clocked.rack.levers["1V1.lever"].motion.set_exactly(0.6)
    let_write(clocked, EVERY + 1.5)
    later = read(file)
    assert later.controls["1V1.lever"] == 0.6
    assert later.marks == ((2.0, "A"),)
    assert 0 <= clocked.session.time - later.time < EVERY + 1.0
    assert not clocked.close()  # it says first what becomes of the change
    clocked.close()  # not saved: kept, and nobody's, so that the next start offers it
    assert list(folder.iterdir()) == [file]
    assert has_setting(file, 30 * BAR)


def test_closed_with_all_saved_or_undone_it_leaves_nothing(clocked: BoardWindow, tmp_path: Path) -> None:
    folder = tmp_path / "r"
    begin(clocked, folder)
    clocked.presenter(RigPresenter).set("0V1.setting", 30 * BAR)
    let_write(clocked, 1.5)
    assert found(folder)
    clocked.presenter(RigPresenter).undo()
    clocked.close()
    assert list(folder.iterdir()) == []


def test_two_windows_have_two_files_and_leave_each_other_alone(make_board: MakeBoard, tmp_path: Path) -> None:
    folder = tmp_path / "r"
    windows = [make_board(), make_board()]
    for window in windows:
        begin(window, folder)
    for k, window in enumerate(windows):
        window.presenter(RigPresenter).set("0V1.setting", (30 + k) * BAR)
        let_write(window, 1.5)
    assert len(found(folder)) == 2
    third = make_board()
    assert begin(third, folder).pane is None  # their owners live
    windows[0].presenter(RigPresenter).undo()
    windows[0].close()
    (left,) = found(folder)
    assert has_setting(left, 31 * BAR)


def test_a_disk_that_cannot_be_written_is_told_once(
    clocked: BoardWindow, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(*_: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    begin(clocked, tmp_path / "r")
    clocked.presenter(RigPresenter).set("0V1.setting", 30 * BAR)
    let_write(clocked, 2)
    assert clocked.snapshot()["notice"] == (
        "The recovery file cannot be written (No space left on device). Save the rig yourself (Ctrl+S)."
    )


def test_without_a_folder_the_window_works(clocked: BoardWindow, tmp_path: Path) -> None:
    (tmp_path / "file").write_text("")
    begin(clocked, tmp_path / "file" / "r")
    assert "cannot be written" in str(clocked.snapshot()["notice"])
    clocked.presenter(RigPresenter).set("0V1.setting", 30 * BAR)
    let_write(clocked, 1)


# -- what is offered ------------------------------------------------------------------------------------------------


@pytest.mark.soak
def test_taken_up_bit_for_bit_with_marks(make_board: MakeBoard, tmp_path: Path, qtbot: QtBot) -> None:
    before = leave(make_board, tmp_path, 35 * BAR)
    window = make_board()
    presenter = begin(window, tmp_path)
    assert presenter.pane is not None
    told = " ".join(text for text, _, _ in presenter.pane.told())
    assert "One-spool bench" in told
    assert f"{before.session.time:.1f} s into its run" in told
    qtbot.keyClick(presenter.pane.take, Qt.Key.Key_Return)
    assert presenter.pane is None
    one, other = before.session, window.session
    assert other.time == one.time
    assert np.array_equal(one.x, other.x)
    assert np.array_equal(one.pu, other.pu)
    assert window.marks == [(1.0, "A")]
    assert window.rack.levers["1V1.lever"].motion.value == pytest.approx(0.7)
    assert window.isWindowModified()
    assert window.presenter(RigPresenter).changes.done == before.presenter(RigPresenter).changes.done
    window.rewind(1.0)
    assert window.session.readings.parameter("0V1", "setting") == 50 * BAR
    assert str(window.snapshot()["notice"]).startswith("Taken up again")
    pass_time(window, 7.0)
    assert str(window.snapshot()["notice"]).startswith("0V1 was 50 bar then; it is 35 bar now.")
    qtbot.keyClick(window, Qt.Key.Key_Z, CTRL)
    assert window.presenter(RigPresenter).changes.different() == []


@pytest.mark.soak
def test_the_strip_and_the_ledgers_over_time_are_there_again(
    make_board: MakeBoard, tmp_path: Path, qtbot: QtBot
) -> None:
    """Every sample that the window before had recorded, needles too, and every account."""
    before = leave(make_board, tmp_path, 35 * BAR)
    window = make_board()
    presenter = begin(window, tmp_path)
    presenter.take_up()
    end = before.session.time
    for column in before.strip.record.series.names:
        times, values = before.strip.record.series.column(column, 0.0, end)
        again, found = window.strip.record.series.column(column, 0.0, end)
        known = np.isin(again, times)
        assert known.sum() == len(times) > 60
        if column.startswith("dial"):  # where a needle rests at first is of its window
            assert np.ptp(values) > 0.0, column
            assert np.allclose(found[known][30:], values[30:], atol=0.01 * np.ptp(values)), column
        else:
            assert np.array_equal(found[known], values), column
    tallies = [one.presenter(LedgersPresenter).ledger_history for one in (before, window)]
    assert tallies[0].end == tallies[1].end == pytest.approx(end, abs=0.1)  # ten rows a second
    used = [ledger_history.between(0.0, end).used.total for ledger_history in tallies]
    assert used[1] == pytest.approx(used[0], rel=1e-6)


@pytest.mark.soak
def test_a_second_back_and_on_after_a_recovery(make_board: MakeBoard, tmp_path: Path, qtbot: QtBot) -> None:
    leave(make_board, tmp_path, 35 * BAR)
    window = make_board()
    begin(window, tmp_path).take_up()
    end = window.session.time
    qtbot.keyClick(window, Qt.Key.Key_Backspace)
    assert window.session.time == pytest.approx(end - 1.0, abs=1 / 60)
    window.run()
    pass_time(window, 0.5)
    assert window.session.history.end == pytest.approx(end - 0.5, abs=2 / 60)
    ledger_history = window.presenter(LedgersPresenter).ledger_history
    assert ledger_history.begin == 0.0
    assert ledger_history.end == pytest.approx(window.session.time, abs=0.1)
    cycle = ledger_history.between(0.0, ledger_history.end)
    assert abs(cycle.missed) <= 1e-4 * cycle.paid.total


@pytest.mark.soak
def test_discarded_is_gone_and_later_stays(make_board: MakeBoard, tmp_path: Path, qtbot: QtBot) -> None:
    leave(make_board, tmp_path, 35 * BAR)
    leave(make_board, tmp_path, 36 * BAR)
    window = make_board()
    presenter = begin(window, tmp_path)
    assert presenter.pane is not None
    assert "1 more will be asked about after this." in [text for text, _, _ in presenter.pane.told()]
    qtbot.mouseClick(presenter.pane.discard, LEFT)  # the newest is asked about first
    (left,) = found(tmp_path)
    assert has_setting(left, 35 * BAR)
    assert presenter.pane is not None
    qtbot.mouseClick(presenter.pane.later, LEFT)
    assert not presenter.pane.isVisible()
    window.close()
    assert found(tmp_path) == [left]  # nothing is deleted without being asked about
    again = make_board()
    assert [path for path, _ in begin(again, tmp_path).offers] == [left]


def test_a_broken_file_is_told_and_set_aside(make_board: MakeBoard, tmp_path: Path) -> None:
    (tmp_path / f"bad{SUFFIX}").write_text("{")
    window = make_board()
    assert begin(window, tmp_path).pane is None
    assert str(window.snapshot()["notice"]).startswith("The recovery file bad.rescue cannot be used (")
    assert str(window.snapshot()["notice"]).endswith("it was set aside as bad.rescue.broken.")
    assert (tmp_path / "bad.rescue.broken").exists()


def test_what_cannot_be_taken_up_is_set_aside(
    make_board: MakeBoard, tmp_path: Path, bench: Rig, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refuse(*_: object) -> None:
        raise SolverError("no start was found")

    leave(make_board, tmp_path, 35 * BAR)
    (file,) = found(tmp_path)
    window = make_board()
    presenter = begin(window, tmp_path)
    monkeypatch.setattr(recovery, "take_up", refuse)
    presenter.take_up()
    assert str(window.snapshot()["notice"]) == (
        f"What was kept cannot be taken up (no start was found). It was set aside as {file.name}.broken."
    )
    assert window.session.rig == bench
    assert file.with_name(f"{file.name}.broken").exists()


@pytest.mark.parametrize("name", ["P1", "Q1", "n1"])
def test_a_gauge_of_the_sheet_taken_off_is_saved_recovered_and_closed(
    make_board: MakeBoard, tmp_path: Path, bench: Rig, name: str
) -> None:
    window = make_board()
    window.controller.clock = Clock()
    presenter = begin(window, tmp_path / "r")
    window.refit({other: item for other, item in window.session.rig.instruments.items() if other != name})
    window.presenter(RigPresenter).set("0V1.setting", 35 * BAR)
    let_write(window, 2.0)
    assert name not in read(presenter.file).changed.instruments
    assert window.presenter(RigPresenter).write(tmp_path / "mine.toml")
    assert rig_file.load(tmp_path / "mine.toml").healthy == bench.healthy
    window.close()
    assert found(tmp_path / "r") == []


# -- a folder full of what others left -------------------------------------------------------------------------------


@pytest.mark.soak
def test_of_many_files_the_newest_few_are_read(
    make_board: MakeBoard, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Of 300 no more than five are read, and none is lost; the pane tells of the others."""
    leave(make_board, tmp_path, 35 * BAR)
    (first,) = found(tmp_path)
    text = first.read_bytes()
    for k in range(299):
        file = tmp_path / f"{k:03}{SUFFIX}"
        file.write_bytes(text)
        os.utime(file, (0, k))
    seen: list[str] = []

    def reading(path: Path) -> UnsavedRun:
        seen.append(path.name)
        return read(path)

    monkeypatch.setattr(recovery, "read", reading)
    window = make_board()
    presenter = begin(window, tmp_path)
    assert seen == [first.name, *(f"{k}{SUFFIX}" for k in (298, 297, 296, 295))]
    assert presenter.pane is not None
    assert "295 older ones are kept, and asked about at a later start." in [
        text for text, _, _ in presenter.pane.told()
    ]
    for _ in range(5):
        presenter.discard()
    window.close()
    assert len(found(tmp_path)) == 295
    assert not list(tmp_path.glob("*.lock"))


def test_many_broken_files_are_not_all_looked_at(make_board: MakeBoard, tmp_path: Path) -> None:
    for k in range(50):
        (tmp_path / f"{k}{SUFFIX}").write_text("{")
    begin(make_board(), tmp_path)
    assert len(list(tmp_path.glob("*.broken"))) == 5
    assert len(found(tmp_path)) == 45


def test_orphaned_locks_and_half_written_files_are_removed(make_board: MakeBoard, tmp_path: Path) -> None:
    """Those of programs that are gone; the lock of another window that has not written yet stays."""
    other = make_board()
    presenter = begin(other, tmp_path)
    gone = QLockFile(str(tmp_path / "gone.lock"))
    assert gone.tryLock(0)
    written = (tmp_path / "gone.lock").read_text()
    gone.unlock()
    lines = written.splitlines()
    (tmp_path / "gone.lock").write_text("\n".join(["999999999", *lines[1:]]) + "\n")
    (tmp_path / "empty.lock").write_text("")
    os.utime(tmp_path / "empty.lock", (0, 0))
    own = presenter.file.stem
    (tmp_path / f".{own}.res.1-1.part").write_text("being written")
    (tmp_path / ".00000000-0000-0000-0000-000000000000.res.1-1.part").write_text("half")
    begin(make_board(), tmp_path)
    names = {path.name for path in tmp_path.iterdir()}
    assert {"gone.lock", "empty.lock", ".00000000-0000-0000-0000-000000000000.res.1-1.part"}.isdisjoint(names)
    assert {f"{own}.lock", f".{own}.res.1-1.part"} <= names


@pytest.mark.skipif(os.name != "posix", reason="pipes of POSIX")
def test_pipes_and_folders_are_passed_over_with_a_sentence(make_board: MakeBoard, tmp_path: Path) -> None:
    os.mkfifo(tmp_path / f"a{SUFFIX}")
    (tmp_path / f"b{SUFFIX}").mkdir()
    (tmp_path / f"c{SUFFIX}").write_text("{")
    os.mkfifo(tmp_path / "c.lock")
    os.mkfifo(tmp_path / "d.lock")
    window = make_board()
    presenter = begin(window, tmp_path)
    assert presenter.pane is None
    assert str(window.snapshot()["notice"]) == (
        f"a{SUFFIX} in {tmp_path} is no file, and was passed over. "
        f"b{SUFFIX} in {tmp_path} is no file, and was passed over."
    )
    window.presenter(RigPresenter).changes.set("0V1.setting", 35 * BAR)
    window.close()
    assert {path.name for path in tmp_path.iterdir()} >= {"a.rescue", "b.rescue", "c.rescue", "c.lock", "d.lock"}


@pytest.mark.skipif(os.name != "posix", reason="pipes of POSIX")
def test_a_pipe_for_a_folder_is_told(make_board: MakeBoard, tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "recovery")
    window = make_board()
    begin(window, tmp_path / "recovery")
    assert "cannot be written" in str(window.snapshot()["notice"])


@pytest.mark.soak
def test_a_damaged_end_is_told_and_the_rest_given_back(make_board: MakeBoard, tmp_path: Path) -> None:
    leave(make_board, tmp_path, 35 * BAR)
    (file,) = found(tmp_path)
    file.write_bytes(file.read_bytes()[:-90])
    window = make_board()
    presenter = begin(window, tmp_path)
    assert presenter.pane is not None
    lost = read(file).lost
    assert lost > 0
    assert f"The end of its file is damaged: the last {lost:.1f} s are lost." in [
        t for t, _, _ in presenter.pane.told()
    ]
    presenter.take_up()
    assert window.session.readings.parameter("0V1", "setting") == 35 * BAR
    assert f"the last {lost:.1f} s of its run are lost" in str(window.snapshot()["notice"])


# -- killed while it recovers and while it writes --------------------------------------------------------------------

RECOVERER = """
import os
import sys
from trainer import resources
from trainer.rig import file as rig_file
from trainer.window.recovery.presenter import RecoveryPresenter
from trainer.window.shell.app import application, open_board

app = application()
steps = 0

def told(call):  # each step of what is done with files, the one that is asked for waiting for its end
    def telling(*arguments, **more):
        global steps
        steps += 1
        print(steps, flush=True)
        if steps == int(sys.argv[1]):
            sys.stdin.readline()
        return call(*arguments, **more)
    return telling
os.replace, os.fsync, os.unlink = told(os.replace), told(os.fsync), told(os.unlink)
window = open_board(rig_file.load(resources.path("rigs/one-spool-bench.toml")))
presenter = window.presenter(RecoveryPresenter)
presenter.take_up()
print("taken up", flush=True)
sys.stdin.readline()
"""


def kill_while_recovering(make_board: MakeBoard, tmp_path: Path, step: int) -> bool:
    """Kill a program before its n-th step with a file; what it took up is still offered. Return whether it ended."""
    folder = tmp_path / "state" / "spoolroom" / "recovery"
    leave(make_board, folder, (31 + step % 9) * BAR)
    environment = os.environ | {
        "XDG_STATE_HOME": str(tmp_path / "state"),
        "XDG_CONFIG_HOME": str(tmp_path / "config"),
        "QT_QPA_PLATFORM": "offscreen",
    }
    with subprocess.Popen(
        [sys.executable, "-c", RECOVERER, str(step)],
        env=environment,
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        text=True,
    ) as process:
        assert process.stdout is not None
        line = ""
        while line != f"{step}\n" and not line.startswith("taken"):
            line = process.stdout.readline()
            assert line, "it ended by itself"
        process.kill()
    kept = [read(file).changed.value("0V1", "setting") for file in found(folder)]
    assert kept
    assert set(kept) == {(31 + step % 9) * BAR}
    return line.startswith("taken")


@pytest.mark.skipif(not sys.platform.startswith("linux"), reason="elsewhere a test cannot choose the state folder")
@pytest.mark.parametrize("step", first(1, [1, 2]))
def test_killed_while_recovering_nothing_is_lost(make_board: MakeBoard, tmp_path: Path, step: int) -> None:
    kill_while_recovering(make_board, tmp_path, step)


@pytest.mark.soak
@pytest.mark.skipif(not sys.platform.startswith("linux"), reason="elsewhere a test cannot choose the state folder")
@pytest.mark.parametrize("step", range(1, 21))
def test_killed_twenty_times_while_recovering(make_board: MakeBoard, tmp_path: Path, step: int) -> None:
    kill_while_recovering(make_board, tmp_path, 1 + step % 5)
