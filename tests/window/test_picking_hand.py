"""Picking things of the drawing on the real window: click, double click, keyboard; what stays with other gauges."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest
from board_moves import pass_time, there
from drawing_hand import LEVER, SWEEP, click, lift, where
from PySide6.QtCore import QPoint, QPointF, Qt
from PySide6.QtGui import QMouseEvent
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from trainer.drawing.picking import Pick
from trainer.rig.rig import Instrument
from trainer.window.shell.window import BoardWindow


def test_a_click_picks_and_a_drag_does_not(board: BoardWindow, qtbot: QtBot) -> None:
    drawing = board.drawing
    found: list[Any] = []
    drawing.picked.connect(found.append)
    click(board, qtbot, ("part", "0P1"))
    assert found == [Pick("part", "0P1")]
    assert drawing.picks.last == found[0]
    drawing.magnify(2.0)
    at = where(board, ("line", "P1"))
    before = drawing.placing()[1]
    qtbot.mousePress(drawing, Qt.MouseButton.LeftButton, pos=at)
    for step in (QPoint(8, 0), QPoint(30, 0)):
        _move(board, at + step, Qt.MouseButton.LeftButton)
    qtbot.mouseRelease(drawing, Qt.MouseButton.LeftButton, pos=at + QPoint(30, 0))
    assert len(found) == 1
    assert drawing.placing()[1] != before  # the ground was dragged


def _move(window: BoardWindow, at: QPoint, held: Qt.MouseButton) -> None:
    where_ = QPointF(at)
    event = QMouseEvent(
        QMouseEvent.Type.MouseMove, where_, window.drawing.mapToGlobal(where_), Qt.MouseButton.NoButton, held,
        Qt.KeyboardModifier.NoModifier,
    )  # fmt: skip
    QApplication.sendEvent(window.drawing, event)


def test_a_double_click_opens_a_thing_and_fits_on_the_ground(board: BoardWindow, qtbot: QtBot) -> None:
    drawing = board.drawing
    found: list[Any] = []
    drawing.opened.connect(found.append)
    drawing.magnify(1.5)
    qtbot.mouseDClick(drawing, Qt.MouseButton.LeftButton, pos=where(board, ("line", "P1")))
    assert [thing.place for thing in found] == [("line", "P1")]
    assert not drawing.zoom.fitted
    qtbot.mouseDClick(drawing, Qt.MouseButton.LeftButton, pos=drawing.at(40, 40).toPoint())
    assert len(found) == 1
    assert drawing.zoom.fitted


def test_the_pointer_shows_what_can_be_picked(board: BoardWindow) -> None:
    drawing = board.drawing
    _move(board, where(board, ("line", "P1")), Qt.MouseButton.NoButton)
    assert drawing.cursor().shape() == Qt.CursorShape.PointingHandCursor
    _move(board, drawing.at(40, 40).toPoint(), Qt.MouseButton.NoButton)
    assert drawing.cursor().shape() == Qt.CursorShape.ArrowCursor
    assert drawing.picks.words(Pick("line", "A1")) == "Lift cylinder, cap end"
    assert drawing.picks.words(Pick("part", "0V1")) == "relief valve 0V1"
    assert drawing.picks.words(Pick("instrument", "P1")) == "P1, pump pressure"


def test_a_click_on_a_spool_picks_its_section_and_leaves_the_lever(board: BoardWindow, qtbot: QtBot) -> None:
    found: list[Any] = []
    opened: list[Any] = []
    board.drawing.picked.connect(found.append)
    board.drawing.opened.connect(opened.append)
    handle = board.drawing.handles[LEVER]
    board.rack.levers[LEVER].motion.set_exactly(0.4)
    pass_time(board, 0.2)
    middle = QPoint(handle.width() // 2, handle.height() // 2)
    qtbot.mousePress(handle, Qt.MouseButton.LeftButton, pos=middle)
    qtbot.mouseMove(handle, middle + QPoint(1, 2))
    qtbot.mouseRelease(handle, Qt.MouseButton.LeftButton, pos=middle + QPoint(1, 2))
    pass_time(board, 0.3)
    assert [thing.place for thing in found] == [("part", "1V1")]
    assert board.snapshot()["levers"][LEVER] == pytest.approx(0.4)
    qtbot.mouseDClick(handle, Qt.MouseButton.LeftButton, pos=middle)
    assert [thing.place for thing in opened] == [("part", "1V1")]


def test_the_keyboard_goes_from_thing_to_thing_and_picks(board: BoardWindow, qtbot: QtBot) -> None:
    drawing = board.drawing
    found: list[Any] = []
    drawing.picked.connect(found.append)
    drawing.setFocus(Qt.FocusReason.TabFocusReason)
    first = drawing.state.chosen
    assert first is not None
    visited = {first}
    for key in (Qt.Key.Key_Right, Qt.Key.Key_Right, Qt.Key.Key_Down, Qt.Key.Key_Left, Qt.Key.Key_Right):
        qtbot.keyClick(drawing, key)
        visited.add(there(drawing.state.chosen))
    assert len(visited) >= 4
    assert drawing.state.chosen is not None
    assert board.snapshot()["notice"] == f"{drawing.picks.words(Pick(*drawing.state.chosen))}."
    qtbot.keyClick(drawing, Qt.Key.Key_Return)
    assert [thing.place for thing in found] == [drawing.state.chosen]
    board.board.focus_levers()
    assert drawing.state.chosen is None


def test_other_instruments_leave_zoom_marks_and_light(board: BoardWindow, qtbot: QtBot) -> None:
    lift(board)
    drawing = board.drawing
    click(board, qtbot, ("line", "P1"))
    pass_time(board, SWEEP)
    drawing.magnify(1.5)
    zoom, lit, phases = drawing.zoom.times, set(drawing.state.lit), dict(drawing.state.phases)
    drawing.state.covered = {"P1", "Q1"}
    fitted = dict(board.session.rig.instruments)
    del fitted["Q1"]
    fitted["P9"] = Instrument("P9", "gauge", "A1", 100e5)
    drawing.take_rig(replace(board.session.rig, instruments=fitted))
    assert drawing.zoom.times == zoom
    assert drawing.state.lit == lit
    assert drawing.state.phases == phases
    assert drawing.state.covered == {"P1"}
    drawing.repaint()
    assert "P9" in {text for text, _, _ in drawing.canvas.texts()}
    assert "P9" in drawing.scene.gauges
