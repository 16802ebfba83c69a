"""Settings: whole or as they were, private, never waited for, and no window larger than the screens."""

from __future__ import annotations

import os
import stat
from pathlib import Path

import pytest
from board_moves import MakeBoard
from pytestqt.qtbot import QtBot

from trainer.rig.rig import Rig
from trainer.window.shell import app, settings
from trainer.window.shell.settings import (
    Kept,
    keep,
    passed_over,
    recall,
    within_screens,
)


def test_a_full_disk_at_closing_leaves_the_settings(
    make_board: MakeBoard, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    def full(*_: object) -> None:
        raise OSError(28, "No space left on device")

    file = tmp_path / "window.ini"
    assert keep(Kept("dark"), file) == ""
    before = file.read_bytes()
    window = make_board()
    with monkeypatch.context() as patch:
        patch.setattr(os, "fsync", full)
        window.close()
    assert file.read_bytes() == before
    assert recall(file).theme == "dark"
    assert capsys.readouterr().err == "spoolroom: the settings were not kept (No space left on device)\n"
    assert [path.name for path in tmp_path.iterdir()] == ["window.ini"]


@pytest.mark.skipif(os.name != "posix", reason="modes and pipes of POSIX")
def test_settings_are_private_and_what_is_no_file_is_passed_over(tmp_path: Path) -> None:
    file = tmp_path / "own" / "window.ini"
    assert keep(Kept("dark"), file) == ""
    assert stat.S_IMODE(file.stat().st_mode) == 0o600
    assert stat.S_IMODE(file.parent.stat().st_mode) == 0o700
    assert passed_over(file) == ""
    assert passed_over(tmp_path / "none.ini") == ""
    pipe, folder = tmp_path / "pipe.ini", tmp_path / "folder.ini"
    os.mkfifo(pipe)
    folder.mkdir()
    for place, what in ((pipe, "no ordinary file"), (folder, "a folder")):
        assert recall(place) == Kept()
        assert passed_over(place) == f"The settings in {place} are passed over: it is {what}."
        assert keep(Kept("dark"), place)
    assert stat.S_ISFIFO(pipe.stat().st_mode)


def test_settings_of_earlier_versions_are_read(tmp_path: Path) -> None:
    """As they were written by Qt."""
    file = tmp_path / "window.ini"
    file.write_text(
        "[look]\nstill_marks=true\ntheme=dark\nunits=US\n\n[panes]\ncolumn=1.1000\nrows=7\nview=both\n\n"
        "[window]\nheight=800\nwidth=1400\n",
        "utf-8",
    )
    kept = recall(file)
    assert (kept.theme, kept.system.name, kept.still_marks, kept.size) == ("dark", "US", True, (1400, 800))
    assert (kept.panes.view, kept.panes.column, kept.panes.rows) == ("both", 1.1, 7)


@pytest.mark.parametrize(
    ("size", "screens", "opened"),
    [
        ((16384, 16384), [(1366, 740)], (1366, 740)),
        ((1440, 810), [(1366, 740), (1920, 1040)], (1440, 810)),
        ((3000, 600), [(1366, 740), (1920, 1040)], (1920, 600)),
        ((1440, 810), [], (1440, 810)),
    ],
)
def test_a_window_fits_a_screen(
    size: tuple[int, int], screens: list[tuple[int, int]], opened: tuple[int, int]
) -> None:
    assert within_screens(Kept(size=size), screens).size == opened


def test_the_board_opens_within_the_screen(
    qtbot: QtBot, bench: Rig, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    file = tmp_path / "window.ini"
    assert keep(Kept(size=(16000, 16000)), file) == ""
    monkeypatch.setattr(settings, "place", lambda: file)
    monkeypatch.setattr(app, "recovery_folder", lambda: tmp_path / "recovery")
    window = app.open_board(bench, running=False)
    qtbot.addWidget(window)
    free = window.screen().availableGeometry()
    assert window.width() <= max(free.width(), window.minimumWidth())
    assert window.height() <= max(free.height(), window.minimumHeight())
    window.close()


@pytest.mark.skipif(os.name != "posix", reason="pipes of POSIX")
def test_the_board_says_that_settings_were_passed_over(
    qtbot: QtBot, bench: Rig, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    os.mkfifo(tmp_path / "window.ini")
    monkeypatch.setattr(settings, "place", lambda: tmp_path / "window.ini")
    monkeypatch.setattr(app, "recovery_folder", lambda: tmp_path / "recovery")
    window = app.open_board(bench, running=False)
    qtbot.addWidget(window)
    assert "are passed over: it is no ordinary file." in str(window.snapshot()["notice"])
    window.close()
