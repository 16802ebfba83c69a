"""A monkey at the real window, on both rigs: nothing fails, Qt never complains, the ledgers stay closed."""

from __future__ import annotations

from pathlib import Path
from typing import Any, Protocol

import pytest
from board_moves import MakeBoard
from monkey import Monkey
from PySide6.QtGui import QDesktopServices
from PySide6.QtWidgets import QFileDialog

from trainer.rig.rig import Rig
from trainer.window.recovery.presenter import RecoveryPresenter
from trainer.window.shell.window import BoardWindow


class _Log(Protocol):
    """What Qt has said, as the plugin of the tests keeps it."""

    records: list[Any]


def _let_loose(
    window: BoardWindow, seed: int, actions: int, folder: Path, qtlog: _Log, monkeypatch: pytest.MonkeyPatch
) -> Monkey:
    """Let a monkey act on a window that takes reports of failures as the real one does."""

    def warnings() -> list[str]:
        said = [record for record in qtlog.records if record.matches_level("WARNING") and not record.ignored]
        return [record.message for record in said]

    monkey = Monkey(window, seed, folder, warnings)
    monkeypatch.setattr(QFileDialog, "getOpenFileName", monkey.asked_to_open)
    monkeypatch.setattr(QFileDialog, "getSaveFileName", monkey.asked_to_save)
    monkeypatch.setattr(QDesktopServices, "openUrl", lambda url: True)  # another program's window
    window.troubles.install()
    window.presenter(RecoveryPresenter).begin(folder / "recovery")
    window.run()
    try:
        monkey.go(actions)
    finally:
        window.troubles.remove()
        monkey.leave()
    return monkey


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_a_monkey_at_the_bench(make_board: MakeBoard, tmp_path: Path, qtlog: _Log, seed: int,
                               monkeypatch: pytest.MonkeyPatch) -> None:  # fmt: skip
    monkey = _let_loose(make_board(), seed, 250, tmp_path, qtlog, monkeypatch)
    assert monkey.count == 250


@pytest.mark.parametrize("seed", [4])
def test_a_monkey_at_the_loader(make_board: MakeBoard, loader: Rig, tmp_path: Path, qtlog: _Log, seed: int,
                                monkeypatch: pytest.MonkeyPatch) -> None:  # fmt: skip
    monkey = _let_loose(make_board(loader, view="both"), seed, 250, tmp_path, qtlog, monkeypatch)
    assert monkey.count == 250


@pytest.mark.soak
@pytest.mark.parametrize("seed", range(100, 140))
def test_monkeys_for_hours(make_board: MakeBoard, bench: Rig, loader: Rig, tmp_path: Path, qtlog: _Log, seed: int,
                           monkeypatch: pytest.MonkeyPatch) -> None:  # fmt: skip
    rig = bench if seed % 8 else loader  # which takes three times as long
    monkey = _let_loose(make_board(rig, view="both"), seed, 500, tmp_path, qtlog, monkeypatch)
    assert monkey.count == 500
