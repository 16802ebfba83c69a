"""Ctrl-C in the terminal closes the window as its close button does."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest
from cases import first
from PySide6.QtCore import QEventLoop, QTimer
from PySide6.QtWidgets import QWidget
from pytestqt.qtbot import QtBot

from trainer.changing.recovery import found, read
from trainer.window.shell.interrupt import closed_by_signals

pytestmark = pytest.mark.skipif(not sys.platform.startswith("linux"), reason="signals and folders of Linux")

RUNNER = """
import signal
signal.signal(signal.SIGINT, signal.default_int_handler)
from PySide6.QtCore import QTimer
from trainer import resources
from trainer.rig import file as rig_file
from trainer.window.shell import app
from trainer.window.rig.presenter import RigPresenter

opened = app.open_board

def open_and_change(rig, **options):
    window = opened(rig, **options)
    presenter = window.presenter(RigPresenter)
    QTimer.singleShot(0, lambda: (presenter.set("0V1.setting", 30e5), print("changed", flush=True)))
    return window

app.open_board = open_and_change
raise SystemExit(app.run(rig_file.load(resources.path("rigs/one-spool-bench.toml"))))
"""


@pytest.mark.parametrize("number", first(1, [signal.SIGINT, signal.SIGTERM]))
def test_a_signal_closes_the_window_with_all_that_belongs_to_it(tmp_path: Path, number: int) -> None:
    """Settings and what was not saved are kept, and no lock is left."""
    environment = os.environ | {
        "XDG_STATE_HOME": str(tmp_path / "state"),
        "XDG_CONFIG_HOME": str(tmp_path / "config"),
        "HOME": str(tmp_path),
        "QT_QPA_PLATFORM": "offscreen",
    }
    with subprocess.Popen(
        [sys.executable, "-c", RUNNER], env=environment, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True
    ) as process:
        try:
            assert process.stdout is not None
            assert process.stdout.readline() == "changed\n"
            process.send_signal(number)
            _, said = process.communicate(timeout=120)
        finally:
            process.kill()
    assert process.returncode == 0
    assert "choose “Take them up again”" in said
    assert said.count("\n") == 1
    folder = tmp_path / "state" / "spoolroom" / "recovery"
    (file,) = found(folder)
    assert [*folder.iterdir()] == [file]
    assert read(file).changed.value("0V1", "setting") == 30e5
    settings = tmp_path / "config" / "spoolroom" / "window.ini"
    assert "theme=light" in settings.read_text("utf-8")
    for private in (file, settings):
        assert private.stat().st_mode & 0o777 == 0o600
        assert private.parent.stat().st_mode & 0o777 == 0o700


def test_qt_is_woken_where_no_python_runs(qtbot: QtBot) -> None:
    """Nothing ticks: only the signal itself can wake the event loop."""
    loop = QEventLoop()

    class Window(QWidget):
        closed = False

        def end(self) -> None:
            self.close()

        def closeEvent(self, event: object) -> None:
            self.closed = True
            loop.quit()

    window: Any = Window()
    qtbot.addWidget(window)
    window.show()
    before = signal.getsignal(signal.SIGINT)
    signal.signal(signal.SIGINT, signal.default_int_handler)
    try:
        with closed_by_signals(window), subprocess.Popen(["sh", "-c", f"sleep 0.3; kill -INT {os.getpid()}"]):
            QTimer.singleShot(60_000, loop.quit)
            loop.exec()
        assert window.closed
        assert signal.getsignal(signal.SIGINT) is signal.default_int_handler
    finally:
        signal.signal(signal.SIGINT, before)
