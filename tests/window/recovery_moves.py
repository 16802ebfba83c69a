"""How the tests keep a run, and leave one as a crash does."""

from __future__ import annotations

from pathlib import Path

from board_moves import Clock, MakeBoard, pass_time

from trainer.window.recovery.presenter import EVERY, RecoveryPresenter
from trainer.window.rig.presenter import RigPresenter
from trainer.window.shell.window import BoardWindow

__all__ = ["begin", "leave", "let_write"]


def begin(window: BoardWindow, folder: Path) -> RecoveryPresenter:
    presenter = window.presenter(RecoveryPresenter)
    presenter.begin(folder)
    return presenter


def let_write(window: BoardWindow, seconds: float) -> None:
    """Let wall time pass, and the writing beside it end."""
    presenter = window.presenter(RecoveryPresenter)
    assert isinstance(window.clock, Clock)
    for _ in range(round(seconds * 8)):
        window.clock.now += 1 / 8
        pass_time(window, 1 / 8)
        if presenter._writing is not None:
            presenter._writing.join()


def leave(make_board: MakeBoard, folder: Path, setting: float) -> BoardWindow:
    """Leave a file as a crash does: written, and its lock gone with its owner. Return the window as it was."""
    window = make_board()
    presenter = begin(window, folder)
    window.run()
    window.rack.levers["1V1.lever"].motion.set_exactly(0.7)
    let_write(window, 1.5)
    window.presenter(RigPresenter).set("0V1.setting", setting)
    window.marks.append((1.0, "A"))
    let_write(window, 1.0)
    window.run(False)
    let_write(window, EVERY + 1.0)
    for lock in (presenter.lock, *presenter._held.values()):
        lock.unlock()
    presenter.folder = None
    return window
