"""An action stands once: its key, its button and its rows agree on whether it can be done, and say why not."""

from __future__ import annotations

import itertools

from board_moves import change_class, pass_time
from PySide6.QtCore import QPoint, Qt
from PySide6.QtGui import QKeySequence
from pytestqt.qtbot import QtBot
from rig_moves import BAR, CTRL, LEFT

from trainer.window.controls.keys import KEYS
from trainer.window.offers.offers import Offer
from trainer.window.offers.presenter import OfferMenu
from trainer.window.rig.presenter import RigPresenter
from trainer.window.shell.window import BoardWindow


def notice(window: BoardWindow) -> str:
    return str(window.snapshot()["notice"])


def test_no_key_has_two_actions_and_every_key_of_the_window_has_one(board: BoardWindow) -> None:
    actions = [board.stage.actions[name] for name in board.stage.actions]
    for one, other in itertools.combinations(actions, 2):
        assert not set(one.shortcuts()) & set(other.shortcuts()), (one.objectName(), other.objectName())
    keys = {sequence for action in actions for sequence in action.shortcuts()}
    for row in KEYS:
        if row.keys[:1] == "F" or row.keys.startswith(("Ctrl+", "Alt+", "Shift+F")):
            wanted = "Ctrl+Left" if row.action == "pan" else row.keys
            assert QKeySequence(wanted) in keys, row.keys
    assert QKeySequence("Space") in keys


def test_what_cannot_be_done_is_dull_in_every_place_and_says_why(board: BoardWindow, qtbot: QtBot) -> None:
    presenter, undo = board.presenter(RigPresenter), board.stage.actions["undo"]
    presenter.change_pane()
    button = presenter.pane.undo
    nothing = "There is no change to take back."
    assert not undo.isEnabled()
    assert not button.isEnabled()
    assert button.toolTip() == f"{nothing}  (Ctrl+Z)"
    for place in (board, presenter.pane.list, board.rack.levers["1V1.lever"]):
        board.tell("something else")
        qtbot.keyClick(place, Qt.Key.Key_Z, CTRL)
        assert notice(board) == nothing
    presenter.set("0V1.setting", 30 * BAR)
    assert undo.isEnabled()
    assert button.isEnabled()
    assert button.toolTip() == "Relief valve 0V1: pressure at rated flow 50 → 30 bar  (Ctrl+Z)"
    qtbot.mouseClick(button, LEFT)
    assert board.session.asked("0V1.setting") == 50 * BAR
    assert not undo.isEnabled()
    assert board.stage.actions["redo"].isEnabled()


def test_a_menu_has_a_refused_action_as_an_entry_that_cannot_be_chosen(board: BoardWindow) -> None:
    done: list[str] = []
    offers = [Offer("Can be", lambda: done.append("can")), Offer("Cannot be", lambda: done.append("not"), "", "No.")]
    menu = OfferMenu(board.look, "<b>Thing</b> & more", offers, board.change_running, board)
    menu.popup(QPoint(0, 0))
    head, _, one, other = menu.actions()
    assert (head.isEnabled(), one.isEnabled(), other.isEnabled()) == (False, True, False)
    for action in (one, other):
        action.trigger()
    assert done == ["can"]
    menu.close()


def test_before_the_class_only_what_is_shown_there_can_be_done(board: BoardWindow, qtbot: QtBot) -> None:
    change_class(board)
    presenter = board.presenter(RigPresenter)
    qtbot.keyClick(board, Qt.Key.Key_F7)
    assert not presenter.pane.isVisibleTo(board.board)
    theme = board.look.theme
    qtbot.keyClick(board, Qt.Key.Key_D, CTRL)
    assert board.look.theme != theme
    qtbot.keyClick(board, Qt.Key.Key_F11)
    qtbot.keyClick(board, Qt.Key.Key_F7)
    assert presenter.pane.isVisible()


def test_the_page_of_keys_by_keyboard(board: BoardWindow, qtbot: QtBot) -> None:
    """The arrows go from the end of one list to the other; Enter does a row, or nothing where a row only tells."""
    board.activateWindow()
    page = board.board.help
    first, second = page.lists
    qtbot.keyClick(board, Qt.Key.Key_F1)
    assert first.hasFocus()
    qtbot.keyClick(first, Qt.Key.Key_End)
    last = first.key
    qtbot.keyClick(first, Qt.Key.Key_Down)
    assert second.hasFocus()
    assert second.key == next(item.key for item in second.all if not item.heading)
    qtbot.keyClick(second, Qt.Key.Key_Up)
    assert (first.hasFocus(), first.key) == (True, last)
    lever = board.rack.levers["1V1.lever"]
    qtbot.keyPress(first, "q")
    pass_time(board, 0.2)
    assert lever.motion.value == 0.0  # letters seek a row here
    second.setFocus()
    assert second.choose("mirror")
    qtbot.keyClick(second, Qt.Key.Key_Return)
    assert page.isVisible()
    rows = next(rows for rows in page.lists if rows.choose("undo"))
    qtbot.keyClick(rows, Qt.Key.Key_Return)
    assert not page.isVisible()
    assert notice(board) == "There is no change to take back."
