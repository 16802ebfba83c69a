"""The list of the numbers of the rig: parts found by what is typed, and what is not as in the file."""

from __future__ import annotations

import pytest
from PySide6.QtCore import Qt
from pytestqt.qtbot import QtBot
from rig_moves import BAR, LEFT, button, click, listed, row_of

from trainer.window.rig.presenter import RigPresenter
from trainer.window.shell.window import BoardWindow


@pytest.fixture
def presenter(board: BoardWindow, qtbot: QtBot) -> RigPresenter:
    """The numbers of the bench, opened by their key."""
    board.activateWindow()
    qtbot.keyClick(board, Qt.Key.Key_F7)
    return board.presenter(RigPresenter)


def test_one_key_shows_and_hides_the_parts(presenter: RigPresenter, board: BoardWindow, qtbot: QtBot) -> None:
    pane = presenter.pane
    assert pane.isVisible()
    assert listed(pane) == ["oil", *board.session.rig.parts]
    assert board.focusWidget() is pane.finder
    qtbot.keyClick(board, Qt.Key.Key_F7)
    assert not pane.isVisible()
    assert board.focusWidget() is not pane.finder


def test_what_is_typed_finds_by_id_title_and_meaning(presenter: RigPresenter, qtbot: QtBot) -> None:
    pane = presenter.pane
    for typed, wanted in (
        ("0v1", ["0V1"]),
        ("lift cyl", ["1A1"]),
        ("viscosity grade", ["oil", "0Z1"]),  # the tank can have been filled with a wrong one
        ("relief setting", ["0V1", "1V1"]),  # the section's port reliefs have one too
        ("no such thing", []),
    ):
        pane.finder.clear()
        qtbot.keyClicks(pane.finder, typed)
        assert listed(pane) == wanted, typed
    pane.finder.clear()
    qtbot.keyClicks(pane.finder, "override")
    assert pane.list.items.items[0].told == "rise from cracking to rated flow, of the setting"
    qtbot.keyClick(pane.finder, Qt.Key.Key_Return)
    assert pane.part == "0V1"
    assert row_of(pane, "0V1.override").hasFocus()


def test_the_list_opens_without_what_was_sought_the_last_time(
    presenter: RigPresenter, board: BoardWindow, qtbot: QtBot
) -> None:
    qtbot.keyClicks(presenter.pane.finder, "relief")
    assert len(listed(presenter.pane)) < len(board.session.rig.parts)
    qtbot.keyClick(board, Qt.Key.Key_F7)
    qtbot.keyClick(board, Qt.Key.Key_F7)
    assert presenter.pane.finder.text() == ""
    assert len(listed(presenter.pane)) == 1 + len(board.session.rig.parts)


def test_the_list_of_changes_brings_back(presenter: RigPresenter, board: BoardWindow, qtbot: QtBot) -> None:
    presenter.set_nut("0V1", loose=True)
    presenter.set("0V1.setting", 30 * BAR)
    presenter.set("0V1.override", 0.2)
    assert button(presenter.pane, "Changes").text() == "2 changes"
    qtbot.mouseClick(button(presenter.pane, "Changes"), LEFT)
    pane = presenter.pane
    assert [(item.words, item.told, item.right) for item in pane.list.items.items[1:]] == [
        ("Relief valve 0V1", "pressure at rated flow 50 → 30 bar", "Back"),
        ("Relief valve 0V1", "rise from cracking to rated flow, of the setting 10 → 20 %", "Back"),
    ]
    click(qtbot, pane, "0V1.setting")
    assert board.session.asked("0V1.setting") == 50 * BAR
    assert listed(pane) == ["As in the file", "0V1.override"]
    qtbot.keyClick(pane.list, Qt.Key.Key_End)
    qtbot.keyClick(pane.list, Qt.Key.Key_Return)
    assert presenter.changes.different() == []
    assert listed(pane) == []


def test_the_parts_by_keyboard(presenter: RigPresenter, board: BoardWindow, qtbot: QtBot) -> None:
    """The arrows go from what is sought into the list and back, letters seek, Enter shows a part's numbers."""
    pane = presenter.pane
    qtbot.keyClick(pane.finder, Qt.Key.Key_Down)
    assert (pane.list.hasFocus(), pane.list.key) == (True, "oil")
    qtbot.keyClick(pane.list, Qt.Key.Key_Up)
    assert pane.finder.hasFocus()
    qtbot.keyClick(pane.finder, Qt.Key.Key_Down)
    qtbot.keyClick(pane.list, "1")
    qtbot.keyClick(pane.finder, "a")
    assert pane.finder.text() == "1a"
    assert listed(pane) == ["1A1"]
    qtbot.keyClick(pane.finder, Qt.Key.Key_Down)
    qtbot.keyClick(pane.list, Qt.Key.Key_Return)
    assert pane.part == "1A1"
    assert pane.heading.text() == "Lift cylinder 1A1"
