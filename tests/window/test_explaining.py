"""A page on each part, a key or a right click away, and the glossary, on the real window."""

from __future__ import annotations

import pytest
from board_moves import MakeBoard, pass_time, there
from drawing_hand import where
from menu_moves import choose, offered, right_click
from PySide6.QtCore import QPoint, Qt
from PySide6.QtWidgets import QWidget
from pytestqt.qtbot import QtBot

from trainer.lessons.cover import Cover
from trainer.rig.reference import Reference
from trainer.rig.rig import Rig
from trainer.units import System
from trainer.window.explaining.entry_view import EntryView
from trainer.window.explaining.pane import PartPane
from trainer.window.explaining.presenter import ExplainingPresenter
from trainer.window.explaining.reference_view import EfficiencyView
from trainer.window.explaining.screen import GlossaryScreen
from trainer.window.first_start.presenter import DoorsPresenter
from trainer.window.lessons_list.presenter import LessonsPresenter
from trainer.window.rig.presenter import RigPresenter
from trainer.window.shell.window import BoardWindow

CTRL, LEFT = Qt.KeyboardModifier.ControlModifier, Qt.MouseButton.LeftButton
BAR = 1e5


def explaining(window: BoardWindow) -> ExplainingPresenter:
    return window.presenter(ExplainingPresenter)


def pane_of(window: BoardWindow) -> PartPane:
    return there(explaining(window).pane)


def shown(window: BoardWindow) -> object:
    return window.stage.screen


def told(entry: EntryView) -> str:
    return " ".join(entry.texts)


def test_a_right_click_tells_what_a_part_is(board: BoardWindow) -> None:
    choose(right_click(board, board.drawing, where(board, ("part", "0V1"))), "What it is, and how it works")
    pane = pane_of(board)
    assert pane.isVisible()
    assert pane.title == "Relief valve 0V1"
    assert pane.entry.picture is not None
    assert pane.entry.picture.make()
    plain = board.session.rig.parts["0V1"].part.plain
    for text in (*plain.depths, "What it does", "How it works", "How it is set"):
        assert text in told(pane.entry)
    assert "Pressure at rated flow: 50 bar." in told(pane.entry)
    assert pane.entry.accessibleDescription() == told(pane.entry)


def test_a_key_tells_of_what_was_clicked_and_puts_it_away(board: BoardWindow, qtbot: QtBot) -> None:
    board.activateWindow()
    qtbot.mouseClick(board.drawing, LEFT, pos=where(board, ("part", "0P1")))
    qtbot.keyClick(board, Qt.Key.Key_I, CTRL)
    pane = pane_of(board)
    assert (pane.isVisible(), explaining(board).part) == (True, "0P1")
    qtbot.keyClick(board, Qt.Key.Key_I, CTRL)
    assert not pane.isVisible()
    qtbot.keyClick(board, Qt.Key.Key_I, CTRL)
    qtbot.mouseClick(pane.buttons["Its working"], LEFT)
    assert not pane.isVisible()  # the working stands in its place
    explaining(board).show_part("0P1")
    qtbot.mouseClick(pane.buttons["Change its numbers"], LEFT)
    assert board.presenter(RigPresenter).pane.part == "0P1"


def test_its_numbers_follow_the_rig_and_the_units(board: BoardWindow) -> None:
    explaining(board).show_part("0V1")
    board.presenter(RigPresenter).set("0V1.setting", 60 * BAR)
    pass_time(board, 0.2)
    assert "Pressure at rated flow: 60 bar." in told(pane_of(board).entry)
    board.set_system(System.US)
    assert "Pressure at rated flow: 870 psi." in told(pane_of(board).entry)


def test_its_law_its_curves_and_its_keys_are_told(board: BoardWindow, qtbot: QtBot) -> None:
    """A worn pump's page shows what it has left; while anything is covered, what a new one has. Keys: if asked."""
    explaining(board).show_part("0P1")
    entry = pane_of(board).entry
    assert board.session.rig.parts["0P1"].part.plain.law in told(entry)
    assert "with its numbers here" in told(entry)
    curves = entry.findChildren(EfficiencyView)[-1].curves
    board.presenter(RigPresenter).set("0P1.slip", 4 * board.session.asked("0P1.slip"))
    pass_time(board, 0.2)
    worn = entry.findChildren(EfficiencyView)[-1].curves
    lost = [1 - one for one in curves[0].volumetric]
    assert [1 - one for one in worn[0].volumetric] == pytest.approx([4 * one for one in lost])
    board.controller.covers.put(Cover(flows=True), "Frozen until you commit")
    assert "with its usual numbers" in told(entry)
    board.controller.covers.lift()
    explaining(board).show_part("0V1")
    assert "Its efficiency" not in told(entry)
    tables = there(entry.tables)
    assert tables.texts == []
    tables.button.setFocus()
    qtbot.keyClick(tables.button, Qt.Key.Key_Return)
    reference = Reference(board.session.rig.parts["0V1"].part, System.METRIC)
    for table in reference.tables:
        assert table.title in tables.texts
        assert all(any(cell in text for text in tables.texts) for row in table.rows for cell in row if cell)
    board.set_system(System.US)
    tables = there(entry.tables)
    assert tables.button.isChecked()  # as it was left
    assert any("psi" in text for text in tables.texts)


def test_an_instrument_leads_to_its_word(board: BoardWindow, qtbot: QtBot) -> None:
    choose(right_click(board, board.dials.dials[0]), "What it is")
    pane = pane_of(board)
    assert pane.title == "Pressure gauge"
    assert not pane.buttons["Its working"].isVisible()
    qtbot.mouseClick(pane.entry.links["accuracy-class"], LEFT)
    assert pane.title == "Accuracy class"
    choose(right_click(board, board.drawing, where(board, ("line", "A1"))), "What it is")
    assert pane.title == "Line"


@pytest.mark.parametrize("which", ["bench", pytest.param("loader", marks=pytest.mark.soak)])
def test_every_part_of_a_rig_can_be_told(make_board: MakeBoard, bench: Rig, loader: Rig, which: str) -> None:
    window = make_board({"bench": bench, "loader": loader}[which])
    for id_ in window.session.rig.parts:
        explaining(window).show_part(id_)
        entry = pane_of(window).entry
        assert entry.picture is not None
        assert entry.picture.make(), id_
        pane_of(window).grab()


def test_the_glossary_is_searched_by_keyboard(board: BoardWindow, qtbot: QtBot) -> None:
    board.activateWindow()
    qtbot.keyClick(board, Qt.Key.Key_G, CTRL)
    screen = there(explaining(board).screen)
    assert board.stage.screen is screen
    assert not board.isFullScreen()
    assert board.focusWidget() is screen.line
    everything = screen.list.items.rowCount()
    qtbot.keyClicks(screen.line, "relief")
    assert screen.list.items.rowCount() < everything
    assert screen.entry.word is not None
    assert screen.entry.word.key == "part ReliefValve"
    qtbot.keyClick(screen.line, Qt.Key.Key_Down)
    assert screen.entry.word.key == "cross-port-relief"
    for _ in range(screen.list.items.rowCount()):
        if screen.entry.word.key != "port-relief":
            qtbot.keyClick(screen.line, Qt.Key.Key_Down)
    assert screen.entry.word.key == "port-relief"
    qtbot.mouseClick(screen.entry.links["part OpenCentreSection"], LEFT)
    assert screen.entry.word.key == "part OpenCentreSection"
    screen.line.clear()
    qtbot.keyClicks(screen.line, "xylophone")
    assert screen.none.isVisible()
    qtbot.keyClick(screen.line, Qt.Key.Key_Escape)
    assert screen.line.text() == ""
    qtbot.keyClick(screen.line, Qt.Key.Key_Escape)
    assert board.stage.screen is None


@pytest.mark.soak
def test_it_goes_back_to_where_it_came_from(board: BoardWindow, qtbot: QtBot) -> None:
    desk, doors = board.presenter(LessonsPresenter).desk, board.presenter(DoorsPresenter)
    desk.show_list()
    listed = there(desk.screen)
    qtbot.mouseClick(listed.list.glossary, LEFT)
    glossary = board.stage.screen
    assert isinstance(glossary, GlossaryScreen)
    qtbot.keyClick(glossary.line, Qt.Key.Key_Escape)
    assert shown(board) is listed
    first = doors.show()
    qtbot.mouseClick(first.words, LEFT)
    assert shown(board) is glossary
    qtbot.keyClick(board, Qt.Key.Key_G, CTRL)
    assert shown(board) is first


def test_names_that_are_asked_are_not_told(board: BoardWindow) -> None:
    """While a task asks for the names of parts, neither the page nor the glossary has them."""
    board.controller.covers.put(Cover(names=True), "Frozen until you commit")
    for name in ("part page", "glossary"):
        assert board.stage.actions[name].refusal == "Frozen until you commit"
    desk = board.presenter(LessonsPresenter).desk
    desk.show_list()
    explaining(board).show_all()
    assert board.stage.screen is desk.screen
    assert not there(desk.screen).list.glossary.isEnabled()
    assert not there(board.presenter(DoorsPresenter).show()).words.isEnabled()
    board.stage.show_screen(None)
    board.controller.covers.lift()
    for name in ("part page", "glossary"):
        assert board.stage.actions[name].refusal == ""


def test_what_is_covered_is_not_told_by_the_numbers_of_a_part(board: BoardWindow) -> None:
    """A task may ask what is wrong with a pump: its wear stands among its numbers."""
    explaining(board).show_part("0P1")
    assert "In this rig" in told(pane_of(board).entry)
    board.controller.covers.put(Cover(flows=True), "Frozen until you commit")
    assert "In this rig" not in told(pane_of(board).entry)
    assert "cm³" not in told(pane_of(board).entry)
    buttons = pane_of(board).buttons
    assert [button.isEnabled() for button in buttons.values()] == [False, False, True]
    assert "Frozen until you commit" in buttons["Its working"].toolTip()
    board.controller.covers.lift()
    assert "In this rig" in told(pane_of(board).entry)
    board.controller.covers.put(Cover(names=True), "Frozen until you commit")
    assert not pane_of(board).isVisible()
    explaining(board).show_part("0P1")
    explaining(board).show_word("gauge")
    assert not pane_of(board).isVisible()
    board.controller.covers.lift()


def test_the_general_menu_and_the_keys_lead_everywhere(board: BoardWindow) -> None:
    words = offered(right_click(board, board.bar))
    for entry in ("Lessons", "Parts and words", "First page", "All keys", "About Spoolroom", "Numbers of the rig"):
        assert entry in words
    listed = {item.key for rows in board.board.help.lists for item in rows.all}
    board.change_help()
    listed |= {item.key for rows in board.board.help.lists for item in rows.all}
    assert {"lessons", "glossary", "first page", "part page", "rigs", "projector", "lesson"} <= listed


@pytest.mark.parametrize("size", [(960, 540), pytest.param((1920, 1080), marks=pytest.mark.soak)])
def test_nothing_is_cut(make_board: MakeBoard, size: tuple[int, int], qtbot: QtBot) -> None:
    window = make_board(size=size, theme="dark")
    explaining(window).show_part("1V1")
    qtbot.wait(1)
    pane = pane_of(window)
    explaining(window).show_all()
    qtbot.wait(1)
    screen = there(explaining(window).screen)
    for page, views in ((pane, pane.buttons.values()), (screen, (screen.line, screen.list, screen.entry))):
        for view in views:
            assert isinstance(view, QWidget)
            area = view.rect().translated(view.mapTo(page, QPoint(0, 0)))
            assert page.rect().contains(area), (view.objectName(), area, page.rect())
