"""The real window on the real bench, moved by the tests' own seconds."""

from __future__ import annotations

import functools
from collections.abc import Iterator
from functools import partial
from pathlib import Path
from types import SimpleNamespace

import pytest
from board_moves import Clock, MakeBoard, pass_time
from PySide6.QtGui import QPointingDevice
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QProxyStyle, QStyle, QStyleHintReturn, QStyleOption, QWidget
from pytestqt.qtbot import QtBot

from trainer import garbage
from trainer.engine.session import Session
from trainer.lessons import shelf
from trainer.rig.rig import Rig
from trainer.units import System
from trainer.window.board.arrangement import Panes
from trainer.window.painting import fonts
from trainer.window.shell import settings
from trainer.window.shell.window import BoardWindow


@pytest.fixture(scope="module")
def screen(qapp: QApplication) -> QPointingDevice:
    """A touch screen."""
    return QTest.createTouchDevice()


class _NoTips(QProxyStyle):
    """A style whose tool tips come after a day: in a test, when one comes is a matter of the machine's load."""

    def styleHint(
        self,
        hint: QStyle.StyleHint,
        option: QStyleOption | None = None,
        widget: QWidget | None = None,
        data: QStyleHintReturn | None = None,
    ) -> int:
        if hint == QStyle.StyleHint.SH_ToolTip_WakeUpDelay:
            return 86_400_000
        return super().styleHint(hint, option, widget, data)


@pytest.fixture(scope="session")
def qapp(qapp: QApplication) -> QApplication:
    """The application of all tests."""
    qapp.setStyle(_NoTips(qapp.style().name()))
    return qapp


@pytest.fixture(scope="session", autouse=True)
def no_collecting() -> Iterator[None]:
    """Leave out what a window collects once it is painted: between tests pytest and Python do so."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(
            garbage,
            "gc",
            SimpleNamespace(
                freeze=int, unfreeze=int, collect=int, isenabled=bool, disable=int, set_threshold=lambda *_: None
            ),
        )
        yield


@pytest.fixture(scope="session", autouse=True)
def lessons_are_read_once() -> Iterator[None]:
    """Read the shipped lessons once for all tests of a process, where there are no others."""
    known = functools.cache(partial(shelf.shelf, None))

    def quick(own: Path | None = None) -> shelf.Shelf:
        return known() if own is None or not own.exists() else shelf.shelf(own)

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr("trainer.window.lessons_list.desk.shelf", quick)
        yield


@pytest.fixture
def make_board(qtbot: QtBot, bench: Rig, tmp_path: Path) -> Iterator[MakeBoard]:
    """Open a board of a rig in a look and a size; it is closed at the end, and must have had no trouble."""
    made: list[BoardWindow] = []

    def make(rig: Rig = bench, theme: str = "light", system: System = System.METRIC,
             size: tuple[int, int] = (1280, 720), view: str = "drawing") -> BoardWindow:  # fmt: skip
        fonts.load()
        kept = settings.Kept(theme, system, False, size, Panes(view))
        window = BoardWindow(Session(rig), kept, tmp_path / "window.ini", Clock())
        qtbot.addWidget(window)
        made.append(window)
        with qtbot.waitExposed(window):
            window.show()
        qtbot.waitUntil(lambda: bool(window.strip.curves))
        return window

    yield make
    for window in made:
        assert window.snapshot()["troubles"] == []
        window.close()


@pytest.fixture(name="board")
def running_board(make_board: MakeBoard) -> BoardWindow:
    """The bench on a small board, its clock running, in neutral."""
    window = make_board()
    window.run()
    pass_time(window, 0.5)
    return window
