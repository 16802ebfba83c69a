"""Minutes of random hands at lever practice: nothing fails, the books close, what is kept is what was done."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any, Protocol

import pytest
from board_moves import MakeBoard
from practice_monkey import PracticeMonkey
from PySide6.QtGui import QPointingDevice
from pytestqt.qtbot import QtBot
from virtual_pads import plugged_in

from trainer.engine.kept import Kept
from trainer.rig.rig import Rig
from trainer.window.hands.presenter import HandsPresenter
from trainer.window.recovery.presenter import RecoveryPresenter


class _Log(Protocol):
    """What Qt has said, as the plugin of the tests keeps it."""

    records: list[Any]


@pytest.fixture
def plug_in() -> Iterator[Any]:
    with plugged_in() as plug:
        yield plug


@pytest.mark.soak
@pytest.mark.parametrize(
    ("seed", "rungs"),
    [(1, {"E18": 70.0}), (2, {"E1": 8.0, "E2": 8.0, "E9": 8.0})],
)
def test_random_hands_practise(
    make_board: MakeBoard, loader: Rig, plug_in: Any, screen: QPointingDevice, qtbot: QtBot, qtlog: _Log,
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, seed: int, rungs: dict[str, float],
) -> None:  # fmt: skip
    def warnings() -> list[str]:
        said = [record for record in qtlog.records if record.matches_level("WARNING") and not record.ignored]
        return [record.message for record in said]

    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "data"))
    window = make_board(loader)
    window.controller.kept = Kept(tmp_path / "kept")  # as the real window has: each rig is built once
    window.activateWindow()
    qtbot.waitUntil(window.isActiveWindow)
    window.troubles.install()
    window.presenter(RecoveryPresenter).begin(tmp_path / "recovery")
    window.presenter(HandsPresenter).keep_in(tmp_path)
    window.presenter(HandsPresenter).begin()
    monkey = PracticeMonkey(window, seed, warnings, screen, plug_in)
    try:
        for code, seconds in rungs.items():
            monkey.go(code, seconds)
    finally:
        window.troubles.remove()
    assert monkey.seconds >= sum(rungs.values())
    assert monkey.ended.total() > 2
    assert monkey.carried > 0 or "E18" not in rungs
