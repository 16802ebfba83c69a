"""Tracing the oil on the real window: lit by a click, step by step, asked for with names hidden; picking by hand."""

from __future__ import annotations

from typing import Any

import pytest
from board_moves import FRAME, MakeBoard, pass_time
from cases import first
from drawing_hand import LEVER, SWEEP, click, lift
from PySide6.QtCore import QPoint, Qt
from PySide6.QtGui import QColor, QImage
from pytestqt.qtbot import QtBot

from trainer.drawing.picking import targets
from trainer.drawing.theme import THEMES
from trainer.rig.rig import Rig
from trainer.units import System
from trainer.window.shell.window import BoardWindow
from trainer.window.tracing.presenter import TracingPresenter

BOOM = "3V1.lever"


def lines(window: BoardWindow) -> set[str]:
    return {name for kind, name in window.drawing.state.lit if kind == "line"}


def numbers(window: BoardWindow) -> list[tuple[int, str]]:
    return [(step.number, step.place[1]) for step in window.drawing.state.steps_shown]


def tracing(window: BoardWindow) -> TracingPresenter:
    return window.presenter(TracingPresenter)


# -- lit by a click ------------------------------------------------------------------------------------------


def test_a_click_on_a_line_lights_the_path_in_order_and_another_puts_it_out(board: BoardWindow, qtbot: QtBot) -> None:
    lift(board)
    click(board, qtbot, ("line", "A1"))
    assert numbers(board) == [(1, "P1")]
    grown: list[Any] = []
    for _ in range(int(SWEEP / FRAME)):
        board.tick(FRAME)
        if not grown or grown[-1] != len(numbers(board)):
            grown.append(len(numbers(board)))
    assert grown == sorted(grown)  # one step more at a time
    assert numbers(board) == [(1, "P1"), (2, "A1"), (3, "B1"), (4, "R"), (5, "T"), (6, "0Z1")]
    assert lines(board) == {"P1", "A1", "B1", "R", "T"}
    assert {("part", "0P1"), ("part", "1V1"), ("part", "1A1"), ("part", "0Z2")} <= board.drawing.state.lit
    assert ("part", "0V1") not in board.drawing.state.lit
    click(board, qtbot, ("line", "A1"))
    assert board.drawing.state.lit == set()
    assert numbers(board) == []


def test_the_path_is_lit_at_once_where_motion_is_reduced(board: BoardWindow, qtbot: QtBot) -> None:
    lift(board)
    board.change_marks()
    click(board, qtbot, ("line", "P1"))
    assert len(numbers(board)) == 6


def test_the_path_follows_the_lever_while_it_runs(board: BoardWindow, qtbot: QtBot) -> None:
    click(board, qtbot, ("line", "R"))
    pass_time(board, SWEEP)
    assert lines(board) == {"P1", "R", "T"}  # in neutral past the spool
    lift(board)
    assert lines(board) == {"P1", "A1", "B1", "R", "T"}  # the bypass is shut; R gets what the piston pushes out


def test_a_line_without_oil_of_the_pump_is_told_why(board: BoardWindow, qtbot: QtBot) -> None:
    click(board, qtbot, ("line", "A1"))
    assert (
        board.snapshot()["notice"]
        == "No oil from the pump gets to the lift cylinder cap end now; its section is in neutral."
    )
    assert board.drawing.state.lit == {("line", "A1")}
    assert numbers(board) == []
    click(board, qtbot, ("line", "S"))
    assert board.snapshot()["notice"].startswith("The pump 0P1 draws its oil here")


def test_the_ground_and_esc_put_it_out(board: BoardWindow, qtbot: QtBot) -> None:
    for way in ("ground", "esc"):
        click(board, qtbot, ("line", "P1"))
        assert board.drawing.state.lit
        if way == "ground":
            qtbot.mouseClick(board.drawing, Qt.MouseButton.LeftButton, pos=QPoint(5, board.drawing.height() - 5))
        else:
            board.drawing.setFocus()
            qtbot.keyClick(board.drawing, Qt.Key.Key_Escape)
        assert not board.drawing.state.lit


@pytest.mark.parametrize("way", first(2, ["asked", "listed", "ring", "next"]))
def test_a_path_that_is_closed_leaves_no_outline(board: BoardWindow, qtbot: QtBot, way: str) -> None:
    board.run(False)
    board.change_marks()
    board.rack.levers[LEVER].setFocus()
    before = board.drawing.grab().toImage()
    drawing, presenter = board.drawing, tracing(board)
    if way == "asked":
        qtbot.keyClick(board, Qt.Key.Key_F6, Qt.KeyboardModifier.ShiftModifier)
        assert drawing.state.chosen is not None
        qtbot.keyClick(drawing, Qt.Key.Key_Return)
        qtbot.keyClick(board, Qt.Key.Key_F6, Qt.KeyboardModifier.ShiftModifier)
    elif way == "listed":
        qtbot.keyClick(board, Qt.Key.Key_F6)
        qtbot.keyClick(presenter.pane, Qt.Key.Key_Escape)
    elif way == "ring":
        drawing.setFocus()
        assert drawing.state.chosen is not None
        qtbot.keyClick(board, Qt.Key.Key_F6)
        qtbot.keyClick(presenter.pane, Qt.Key.Key_Escape)
    else:
        drawing.setFocus()
        while (drawing.state.chosen or ("", ""))[0] != "line":
            qtbot.keyClick(drawing, Qt.Key.Key_Right)
        chosen = drawing.state.chosen
        qtbot.keyClick(drawing, Qt.Key.Key_Return)
        assert drawing.state.lit
        qtbot.keyClick(drawing, Qt.Key.Key_Escape)
        assert drawing.state.chosen is None
        qtbot.keyClick(drawing, Qt.Key.Key_Right)  # an arrow brings it back where it was
        assert drawing.state.chosen == chosen
        drawing.clearFocus()
    assert presenter.count is None
    assert presenter.question is None
    assert drawing.state.lit == set()
    assert drawing.state.chosen is None
    assert not drawing.state.nameless
    drawing.clearFocus()
    assert drawing.grab().toImage() == before


def test_what_is_lit_is_seen(board: BoardWindow, qtbot: QtBot) -> None:
    board.run(False)
    board.change_marks()
    before = board.drawing.grab().toImage()
    click(board, qtbot, ("line", "R"))
    after = board.drawing.grab().toImage()
    accent = QColor(THEMES["light"].colour("accent")).rgb()

    def accents(image: QImage) -> int:
        return sum(image.pixel(x, y) == accent for x in range(image.width()) for y in range(image.height()))

    assert accents(after) > accents(before) + 50
    click(board, qtbot, ("line", "R"))
    assert board.drawing.grab().toImage() == before


def test_several_owners_light_side_by_side(board: BoardWindow, qtbot: QtBot) -> None:
    drawing = board.drawing
    drawing.light([("part", "0V1")], "ledger")
    click(board, qtbot, ("line", "P1"))
    assert ("part", "0V1") in drawing.state.lit
    assert ("line", "P1") in drawing.state.lit
    click(board, qtbot, ("line", "P1"))
    assert drawing.state.lit == {("part", "0V1")}
    drawing.light((), "ledger")
    drawing.light((), "nobody")
    assert drawing.state.lit == set()


# -- step by step --------------------------------------------------------------------------------------------


def test_f6_lists_the_path_and_lights_one_step_more_each_time(board: BoardWindow, qtbot: QtBot) -> None:
    lift(board)
    board.activateWindow()
    pane = tracing(board).pane
    for count in range(1, 7):
        qtbot.keyClick(board, Qt.Key.Key_F6)
        assert [number for number, _ in numbers(board)] == list(range(1, count + 1))
    assert pane.isVisible()
    assert [row.name for row in pane.rows] == [
        "pump outlet", "lift cylinder, cap end", "lift cylinder, rod end", "return line", "line to the tank",
        "tank 0Z1",
    ]  # fmt: skip
    written = {text for text, _, _ in pane.canvas.texts()}
    assert {"lift cylinder, cap end", "section 1V1, P to A", "other oil, pushed out by the lift cylinder"} <= written
    flows = {row.name: float(row.flow[0]) for row in pane.rows}
    assert flows["pump outlet"] == pytest.approx(6e4 * -board.session.readings["enters", "0P1", "P"], abs=0.01)
    assert flows["lift cylinder, rod end"] == pytest.approx(
        0.61 * flows["lift cylinder, cap end"], abs=0.03
    )  # annulus over piston: 1 - (25 / 40)^2
    qtbot.keyClick(board, Qt.Key.Key_F6)
    assert [number for number, _ in numbers(board)] == [1]  # begins anew
    qtbot.mouseClick(pane.whole, Qt.MouseButton.LeftButton)
    pass_time(board, SWEEP)
    assert len(numbers(board)) == 6
    qtbot.keyClick(pane, Qt.Key.Key_Escape)
    assert not pane.isVisible()
    assert board.drawing.state.lit == set()


def test_the_list_has_the_units_of_the_window_and_hides_covered_flows(board: BoardWindow) -> None:
    presenter = tracing(board)
    presenter.next_step()
    board.set_system(System.US)
    assert {row.flow[1] for row in presenter.pane.rows} == {"gpm"}
    assert any(text.endswith(" gpm") for text, _, _ in presenter.pane.canvas.texts())
    board.dials.toggle_all()
    pass_time(board, 0.3)
    board.tick(FRAME)
    assert presenter.pane.hidden
    assert not any(text.endswith(" gpm") for text, _, _ in presenter.pane.canvas.texts())


@pytest.mark.soak
def test_the_list_fits_its_pane(make_board: MakeBoard, loader: Rig) -> None:
    for size in ((1280, 720), (1920, 1080)):
        window = make_board(loader, size=size)
        window.run()
        window.rack.levers[BOOM].motion.set_exactly(0.6)
        pass_time(window, 1.0)
        tracing(window).next_step()
        pane = tracing(window).pane
        assert len(pane.rows) == 11
        boxes = [(text, box) for text, box, _ in pane.canvas.texts()]
        assert all(pane.rect().contains(box.toRect()) for _, box in boxes)
        for k, (text, box) in enumerate(boxes):
            for other, second in boxes[:k]:
                shared = box.intersected(second)
                assert shared.width() < 1 or shared.height() < 3, (text, other)
        assert min(height for _, _, height in pane.canvas.texts()) >= 12


@pytest.mark.soak
def test_the_loader_is_traced_through_both_branches(make_board: MakeBoard, loader: Rig, qtbot: QtBot) -> None:
    window = make_board(loader)
    window.run()
    window.rack.levers[BOOM].motion.set_exactly(0.6)
    pass_time(window, 1.2)
    window.run(False)  # before the boom is at its end
    click(window, qtbot, ("line", "banks"))
    pass_time(window, SWEEP)
    assert lines(window) == {"pump", "banks", "G3", "A3", "G4", "B3", "G5", "R", "RC", "T"}
    click(window, qtbot, ("line", "A3"))
    pass_time(window, SWEEP)
    assert lines(window) == {"pump", "banks", "G3", "A3", "B3", "R", "RC", "T"}
    window.drawing.repaint()
    drawn = {text for text, _, height in window.drawing.canvas.texts() if text.isdigit() and height >= 12}
    assert {str(number) for number, _ in numbers(window)} <= drawn


# -- asked for -----------------------------------------------------------------------------------------------


def test_the_path_is_asked_for_with_names_hidden(board: BoardWindow, qtbot: QtBot) -> None:
    lift(board)
    board.activateWindow()
    qtbot.keyClick(board, Qt.Key.Key_F6, Qt.KeyboardModifier.ShiftModifier)
    presenter, pane = tracing(board), tracing(board).pane
    assert not board.session.running
    assert lines(board) == {"P1"}  # nothing more before an answer
    written = {text for text, _, _ in board.drawing.canvas.texts()}
    assert not any(part in text for text in written for part in ("1A1", "0V1", "0Z2", "Ø"))
    click(board, qtbot, ("line", "B1"))
    assert pane.words == "The lift cylinder rod end: later, not next; the oil comes there through the lift cylinder."
    assert lines(board) == {"P1"}
    click(board, qtbot, ("part", "0V1"))
    assert pane.words.startswith("No oil goes through the relief valve 0V1 now; it opens at 45 bar, and 2")
    click(board, qtbot, ("instrument", "P1"))
    assert pane.words.startswith("A gauge or meter takes no oil.")
    click(board, qtbot, ("line", "A1"))
    assert pane.words == "Right: lift cylinder, cap end, through the section 1V1."
    assert lines(board) == {"P1", "A1"}
    assert "lift cap end" in {text for text, _, _ in board.drawing.canvas.texts()}
    click(board, qtbot, ("line", "B1"))
    click(board, qtbot, ("line", "R"))
    assert presenter.question is not None
    assert presenter.question.first == 2
    qtbot.mouseClick(pane.next, Qt.MouseButton.LeftButton)  # "Show"
    assert lines(board) == {"P1", "A1", "B1", "R", "T"}
    click(board, qtbot, ("part", "0Z1"))
    assert pane.words == "Right: the oil ends in the tank 0Z1. Right at first try: 3 of 5."
    qtbot.mouseClick(pane.ask, Qt.MouseButton.LeftButton)  # "End"
    assert not pane.isVisible()
    assert not board.drawing.state.nameless
    assert "1A1" in {text for text, _, _ in board.drawing.canvas.texts()}


def test_the_path_can_be_answered_with_the_keyboard(board: BoardWindow, qtbot: QtBot) -> None:
    lift(board)
    tracing(board).change_asking()
    drawing = board.drawing
    assert drawing.hasFocus()
    assert drawing.state.chosen == ("line", "P1")
    for _ in range(12):
        if drawing.state.chosen == ("line", "A1"):
            break
        here, there = (targets(drawing.scene)[place] for place in (drawing.state.chosen, ("line", "A1")))
        across, down = there[0] - here[0], there[1] - here[1]
        right, below = Qt.Key.Key_Right, Qt.Key.Key_Down
        key = right if abs(across) > abs(down) else below
        if (across if key == right else down) < 0:
            key = Qt.Key.Key_Left if key == right else Qt.Key.Key_Up
        qtbot.keyClick(drawing, key)
    assert drawing.state.chosen == ("line", "A1")
    qtbot.keyClick(drawing, Qt.Key.Key_Return)
    assert lines(board) == {"P1", "A1"}
    qtbot.keyClick(drawing, Qt.Key.Key_Escape)
    assert tracing(board).question is None
    assert not drawing.state.lit


def test_asking_ends_when_time_goes_on(board: BoardWindow) -> None:
    tracing(board).change_asking()
    board.run()
    pass_time(board, 0.3)
    assert tracing(board).question is None
    assert not board.drawing.state.nameless
    assert "questions about the path are over" in board.snapshot()["notice"]


@pytest.mark.soak
def test_a_standing_pump_leaves_nothing_to_ask(board: BoardWindow) -> None:
    board.rack.speeds["0M1.speed_asked"].motion.set_exactly(0.0)
    pass_time(board, 8.0)
    tracing(board).change_asking()
    assert tracing(board).question is None
    assert board.snapshot()["notice"] == "No oil from the pump gets to the pump outlet now; the pump stands."


def test_the_questions_end_when_something_else_takes_the_place_of_the_list(board: BoardWindow) -> None:
    presenter = tracing(board)
    presenter.change_asking()
    board.close_pane(presenter.pane)
    pass_time(board, 0.3)
    assert presenter.question is None
    assert not board.drawing.state.nameless
    assert board.drawing.asker is None


def test_a_lever_moved_while_frozen_changes_nothing_of_the_path(board: BoardWindow, qtbot: QtBot) -> None:
    lift(board)
    board.run(False)
    click(board, qtbot, ("line", "P1"))
    pass_time(board, SWEEP)
    lit = set(board.drawing.state.lit)
    board.rack.levers[LEVER].motion.set_exactly(-1.0)
    pass_time(board, 0.3)
    board.drawing.repaint()
    assert board.drawing.state.lit == lit
