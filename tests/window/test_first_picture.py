"""The start: what is loaded before the first picture and what after it, and what is kept for the next start."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from collections.abc import Callable
from functools import partial
from pathlib import Path
from typing import Any

import pytest
from board_moves import opening_of
from pytestqt.qtbot import QtBot

from trainer import first_frame
from trainer.engine.kept import Kept
from trainer.engine.session import Session
from trainer.rig.rig import Rig
from trainer.window.shell import afterwards, app
from trainer.window.shell.presenters import TOOLS
from trainer.window.shell.window import BoardWindow

_LATER = {*TOOLS, "tomlkit", "urllib.request", "http.client", "ssl", "email.message"}
_NEVER = {"scipy", "pyqtgraph", "pandas", "matplotlib", "trainer.bench", "trainer.window.gallery"}

_RUNNER = """
import json, sys
from pathlib import Path
from trainer import before_qt, resources
from trainer.engine.kept import Kept
from trainer.rig import file
from trainer.window.shell import app

made = app.application()
rig = file.load(resources.path("rigs/one-spool-bench.toml"))
window = app.open_board(rig, compiler=False, known=Kept(Path(sys.argv[1])))
start, first = window.session.x.tolist(), []
window.drawing.painted.connect(lambda: first.extend(sys.modules))
while not first or window.session.time == 0 or window._later.isActive() or window.afterwards.left:
    made.processEvents()
network = window.session.network
print(json.dumps({
    "first": first, "then": list(sys.modules), "start": start,
    "known": network.built is not None and network._columns is None,
}))
window.close()
"""


def _started(folder: Path) -> dict[str, Any]:
    environment = os.environ | {"XDG_STATE_HOME": str(folder), "XDG_CONFIG_HOME": str(folder), "HOME": str(folder)}
    command = [sys.executable, "-c", _RUNNER, str(folder / "kept")]
    done = subprocess.run(command, env=environment, capture_output=True, text=True, check=True)
    found: dict[str, Any] = json.loads(done.stdout)
    return found


def test_two_starts(tmp_path: Path) -> None:
    """The first leaves what the second takes; both show the same, and load the tools once they show something."""
    cold, warm = _started(tmp_path), _started(tmp_path)
    assert cold["start"] == warm["start"]
    assert (cold["known"], warm["known"]) == (False, True)
    for found in (cold, warm):
        assert not (_LATER | _NEVER) & {*found["first"]}
        assert set(TOOLS) <= {*found["then"]}
        assert not _NEVER & {*found["then"]}
    order = warm["first"]
    late = [name for name in order[order.index("PySide6") :] if name.startswith("trainer.")]
    assert not [name for name in late if name.split(".")[1] in ("rig", "parts", "engine", "energy")]


def test_pieces_are_done_one_by_one(monkeypatch: pytest.MonkeyPatch, qtbot: QtBot) -> None:
    """Between two of them the event loop has its turn; one that fails leaves the others theirs; then it rests."""
    monkeypatch.setattr(afterwards, "_PAUSE", 10**9)
    done: list[str] = []
    waiting = afterwards.Afterwards(app.application())
    waiting.begin([lambda: done.append("left"), lambda: done.append("undone")])
    waiting.begin([lambda: done.append("a"), lambda: done[7], lambda: done.append("b")])
    assert (done, waiting.left) == ([], True)
    with qtbot.captureExceptions() as failed:
        for wanted in (["a"], ["a"], ["a", "b"]):
            assert waiting.left
            waiting.turn.timeout.emit()
            assert done == wanted
    assert [kind for kind, _, _ in failed] == [IndexError]
    assert not waiting.left
    assert not waiting.turn.isActive()


def test_a_closed_window_keeps_what_it_found(bench: Rig, tmp_path: Path, qtbot: QtBot) -> None:
    """A lesson may be shorter than what waits for a pause."""
    known = Kept(tmp_path / "kept")
    window = BoardWindow(Session(bench, kept=known))
    qtbot.addWidget(window)
    window.controller.kept = known
    assert not known.folder.exists()
    window.close()
    assert Kept(known.folder).built(bench, window.session.solver.tolerance) is not None


@pytest.mark.soak
def test_another_rig_is_taken_from_what_is_kept(
    board: BoardWindow, loader: Rig, tmp_path: Path, qtbot: QtBot
) -> None:
    known = Kept(tmp_path / "kept")
    Session(loader, kept=known)
    known.write()
    board.controller.kept = known
    assert opening_of(board).open_rig(Path(loader.source))
    assert board.session.network.built is not None


def test_starts_are_measured_beside_a_reference(monkeypatch: pytest.MonkeyPatch) -> None:
    asked: list[tuple[str, ...]] = []

    def seconds(*command: str) -> float:
        asked.append(command)
        return 1.0 if command[0] == "-c" else 1.5 if command[-1].endswith("kept") else 3.0

    monkeypatch.setattr(first_frame, "_seconds", seconds)
    monkeypatch.setattr(first_frame, "_ROUNDS", 5)
    (warm, cold) = (found for _, found, _ in first_frame.rows("one-spool-bench"))
    assert warm == "1.50 s = 0.50 of without = 1.50 times a bare window with a plot"
    assert cold == "3.00 s = 3.00 times a bare window with a plot"
    folders = [command[-1] for command in asked if command[0] == "-m" and not command[-1].endswith("kept")]
    assert len(folders) == len(set(folders)) > 3  # nothing is kept in any of them


def test_a_start_that_fails_is_told(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(first_frame, "_BARE", "raise SystemExit('no window here')")
    monkeypatch.setattr(first_frame, "_seconds", partial(_without_ours, first_frame._seconds))
    assert list(first_frame.rows("one-spool-bench")) == [("start to first live frame", "no window here", "")]


def _without_ours(seconds: Callable[..., float], *command: str) -> float:
    return seconds(*command) if command[0] == "-c" else 1.0
