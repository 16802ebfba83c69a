"""How the tests keep a run, and leave one as a crash does."""

from __future__ import annotations

from pathlib import Path

from board_moves import Clock, MakeBoard, pass_time

from trainer.window.recovery.presenter import EVERY, RecoveryDesk
from trainer.window.rig.presenter import RigDesk
from trainer.window.shell.window import BoardWindow

__all__ = ["begin", "leave", "let_write"]


def begin(window: BoardWindow, folder: Path) -> RecoveryDesk:
    desk = window.desk(RecoveryDesk)
    desk.begin(folder)
    return desk


def let_write(window: BoardWindow, seconds: float) -> None:
    """Let wall time pass, and the writing beside it end."""
    desk = window.desk(RecoveryDesk)
    assert isinstance(window.clock, Clock)
    for _ in range(round(seconds * 8)):
        window.clock.now += 1 / 8
        pass_time(window, 1 / 8)
        if desk._writing is not None:
            desk._writing.join()


def leave(make_board: MakeBoard, folder: Path, setting: float) -> BoardWindow:
    """Leave a file as a crash does: written, and its lock gone with its owner. Return the window as it was."""
    window = make_board()
    desk = begin(window, folder)
    window.run()
    window.rack.levers["1V1.lever"].motion.set_exactly(0.7)
    let_write(window, 1.5)
    window.desk(RigDesk).set("0V1.setting", setting)
    window.marks.append((1.0, "A"))
    let_write(window, 1.0)
    window.run(False)
    let_write(window, EVERY + 1.0)
    for lock in (desk.lock, *desk._held.values()):
        lock.unlock()
    desk.folder = None
    return window
