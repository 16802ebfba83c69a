"""Instruments fitted on the real window: carried by the mouse, from the keyboard, eight dials."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from board_moves import MakeBoard, pass_time
from looks import SYSTEMS, sizes
from PySide6.QtCore import QEvent, QPoint, QPointF, Qt
from PySide6.QtGui import QMouseEvent
from PySide6.QtWidgets import QApplication, QWidget
from pytestqt.qtbot import QtBot
from room_measures import check

from trainer.measuring.instruments import RANGES, places
from trainer.rig.rig import Rig
from trainer.units import System
from trainer.window.dials.places import target_at
from trainer.window.dials.presenter import DialsPresenter, usual_range
from trainer.window.offers.presenter import OfferPresenter
from trainer.window.shell.window import BoardWindow

LEVER = "1V1.lever"
BAR = 1e5


def send(widget: QWidget, kind: QEvent.Type, at: QPoint, buttons: Qt.MouseButton = Qt.MouseButton.LeftButton) -> None:
    """Send a mouse event to a widget at a global point."""
    button = Qt.MouseButton.NoButton if kind is QEvent.Type.MouseMove else Qt.MouseButton.LeftButton
    down = Qt.MouseButton.NoButton if kind is QEvent.Type.MouseButtonRelease else buttons
    local = QPointF(widget.mapFromGlobal(at))
    event = QMouseEvent(kind, local, QPointF(at), button, down, Qt.KeyboardModifier.NoModifier)
    QApplication.sendEvent(widget, event)


def lift(widget: QWidget, *stations: QPoint) -> None:
    """Press in the middle of a widget and move along some global points without letting go."""
    send(widget, QEvent.Type.MouseButtonPress, widget.mapToGlobal(widget.rect().center()))
    for at in stations:
        send(widget, QEvent.Type.MouseMove, at)


def carry(widget: QWidget, to: QPoint) -> None:
    """Drag from the middle of a widget to a global point and let go."""
    lift(widget, to - QPoint(3, 3), to)
    send(widget, QEvent.Type.MouseButtonRelease, to)


def on_line(window: BoardWindow, line: str) -> QPoint:
    """Return the global place of the middle of a line's longest straight piece."""
    drawing = window.drawing
    pieces = [
        (abs(a[0] - b[0]) + abs(a[1] - b[1]), a, b)
        for run in drawing.scene.pipes.nets[line].runs
        for a, b in zip(run.points, run.points[1:], strict=False)
    ]
    _, a, b = max(pieces)
    return drawing.mapToGlobal(drawing.at((a[0] + b[0]) / 2, (a[1] + b[1]) / 2).toPoint())


def names(window: BoardWindow) -> list[str]:
    return [view.instrument.name for view in window.dials.dials]


# -- carried by the mouse ------------------------------------------------------------------------------------------


def test_a_click_covers_and_a_drag_does_not(board: BoardWindow, qtbot: QtBot) -> None:
    view = board.dials.dials[0]
    qtbot.mouseClick(view, Qt.MouseButton.LeftButton)
    assert view.covered
    qtbot.mouseClick(view, Qt.MouseButton.LeftButton)
    assert not view.covered
    carry(view, board.mapToGlobal(QPoint(5, 300)))
    assert not view.covered


def test_the_place_under_a_carried_gauge_is_lit_and_named(make_board: MakeBoard, loader: Rig) -> None:
    window = make_board(loader)
    presenter, item = window.presenter(DialsPresenter), window.dials.rail.items["gauge"]
    lift(item, on_line(window, "A3") - QPoint(40, 0), on_line(window, "A3"))
    assert presenter.carry.isVisible()
    assert presenter.carry.good
    assert presenter.carry.words == "boom, cap end: boom section A to boom cylinder cap end"
    assert window.drawing.state.lit == {("line", "A3")}
    nowhere = window.drawing.mapToGlobal(window.drawing.at(60, 300).toPoint())
    send(item, QEvent.Type.MouseMove, nowhere)
    assert presenter.carry.words == "a gauge goes onto an oil line"
    assert not presenter.carry.good
    assert window.drawing.state.lit == set()
    send(item, QEvent.Type.MouseButtonRelease, nowhere)
    assert not presenter.carry.isVisible()
    assert window.notice.words == "A gauge goes onto an oil line."
    assert names(window) == ["P1", "Q1", "n1"]


@pytest.mark.soak
def test_a_gauge_dropped_on_a_test_point_is_fitted_while_the_rig_runs(make_board: MakeBoard, loader: Rig) -> None:
    window = make_board(replace(loader, lines={**loader.lines, "A3": replace(loader.lines["A3"], test_point=True)}))
    window.run()
    pass_time(window, 0.5)
    carry(window.dials.rail.items["gauge"], on_line(window, "A3"))
    assert names(window) == ["P1", "Q1", "n1", "P2"]
    made = window.session.rig.instruments["P2"]
    assert (made.kind, made.on, made.label) == ("gauge", "A3", "boom cap end")
    assert made.range_ == 250 * BAR  # 180 bar of relief stand within three quarters of it (EN 837-2, from memory)
    assert "P2 reads boom, cap end" in window.notice.words
    pass_time(window, 1.0)
    pressure = window.session.readings.pressure("A3")
    shown = window.dials.dials[3]
    assert shown.needle == pytest.approx(pressure, abs=0.016 * 250 * BAR)  # class 1.6
    assert abs(shown.shown - pressure) <= (0.016 * 250 + 2.5) * BAR  # and half of its division of 5 bar
    assert "P2" in window.drawing.scene.gauges


def test_esc_gives_a_drag_up(board: BoardWindow, qtbot: QtBot) -> None:
    item = board.dials.rail.items["thermometer"]
    there = board.drawing.mapToGlobal(board.drawing.at(560, 620).toPoint())  # the return filter
    lift(item, there)
    presenter = board.presenter(DialsPresenter)
    assert presenter.carry.good
    qtbot.keyClick(board, Qt.Key.Key_Escape)
    assert not presenter.carry.isVisible()
    send(item, QEvent.Type.MouseButtonRelease, there)
    assert len(names(board)) == 4


@pytest.mark.soak
def test_a_dial_is_dragged_to_another_line_and_back_to_the_rail(make_board: MakeBoard, loader: Rig) -> None:
    points = {line: replace(loader.lines[line], test_point=True) for line in ("A3", "banks")}
    window = make_board(replace(loader, lines={**loader.lines, **points}))
    view = window.dials.dials[0]
    carry(view, on_line(window, "A3"))
    assert window.session.rig.instruments["P1"].on == "A3"
    assert names(window)[0] == "P1"
    rail = window.dials.rail
    dropped: list[str] = []
    window.dials.dropped.connect(lambda name, point: dropped.append(name))
    carry(window.dials.dials[0], rail.mapToGlobal(rail.rect().center()))
    assert names(window) == ["Q1", "n1"]
    assert dropped == ["P1"]
    assert window.notice.words == "P1 is off."


# -- where they go -------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("kind", "at", "on"),
    [
        ("gauge", (450, 410), "P1"),
        ("gauge", (450, 330), "P1"),  # on the gauge P1: its line
        ("flow meter", (640, 520), "1V1.T"),
        ("tachometer", (140, 570), "crank"),
        ("tachometer", (230, 570), "crank"),  # on the pump: its shaft
        ("thermometer", (560, 620), "0Z2"),
        ("thermometer", (300, 690), "0Z1"),
        ("gauge", (60, 250), ""),
        ("thermometer", (60, 570), ""),  # a crank has no oil
    ],
)
def test_what_lies_under_an_instrument(board: BoardWindow, kind: str, at: tuple[int, int], on: str) -> None:
    found = target_at(board.drawing.scene, kind, *at)
    assert found.on == on
    assert found.words in {place.words for place in places(board.session.rig, kind)} or "goes " in found.words


def test_the_range_of_a_dropped_instrument(loader: Rig) -> None:
    """By hand: 180 bar of relief / 0.75 = 240 bar: 250; 27.4 L/min of delivery / 0.75 = 36: 40; the shaft's own."""
    assert usual_range(loader, "gauge", "A3", 0.0) == 250 * BAR
    assert usual_range(loader, "flow meter", "3A1.A", 0.0) == RANGES["flow meter"][5]
    assert usual_range(loader, "tachometer", "engine", 0.0) == loader.instruments["n1"].range_


# -- from the keyboard ---------------------------------------------------------------------------------------------


def test_fitted_and_taken_off_from_the_keyboard(board: BoardWindow, qtbot: QtBot) -> None:
    presenter = board.presenter(DialsPresenter)
    qtbot.keyClick(board, Qt.Key.Key_F3)
    assert presenter.pane.isVisible()
    presenter.pane.choose_kind("thermometer")
    qtbot.keyClicks(presenter.pane.filter, "filter")
    assert presenter.pane.on == "0Z2"
    qtbot.keyClick(presenter.pane.filter, Qt.Key.Key_Return)
    assert names(board) == ["P1", "Q1", "n1", "T1", "T2"]
    assert not presenter.pane.isVisible()
    pass_time(board, 0.2)
    view = board.dials.dial("T2")
    assert view is not None
    view.setFocus()
    qtbot.keyClick(view, Qt.Key.Key_Delete)
    assert names(board) == ["P1", "Q1", "n1", "T1"]
    assert board.notice.words == "T2 is off."


def test_letters_in_the_filter_move_no_lever(board: BoardWindow, qtbot: QtBot) -> None:
    qtbot.keyClick(board, Qt.Key.Key_F3)
    pane = board.presenter(DialsPresenter).pane
    qtbot.keyClicks(pane.filter, "qa")
    pass_time(board, 0.2)
    assert board.rack.levers[LEVER].motion.value == 0.0
    assert pane.filter.text() == "qa"
    assert pane.on == ""
    qtbot.keyClick(pane.filter, Qt.Key.Key_Return)
    assert "No place has these words" in board.notice.words
    qtbot.keyClick(pane.filter, Qt.Key.Key_Escape)  # clears the line first
    assert pane.isVisible()
    assert pane.on
    qtbot.keyClick(pane.filter, Qt.Key.Key_Escape)
    assert not pane.isVisible()


def test_the_rail_is_reached_by_the_keyboard(board: BoardWindow, qtbot: QtBot) -> None:
    item = board.dials.rail.items["flow meter"]
    item.setFocus()
    assert item.accessibleName() == "Fit a flow meter"
    qtbot.keyClick(item, Qt.Key.Key_Return)
    pane = board.presenter(DialsPresenter).pane
    assert pane.isVisible()
    assert pane.kind == "flow meter"


# -- many ----------------------------------------------------------------------------------------------------------


@pytest.mark.soak
@pytest.mark.parametrize("system", SYSTEMS)
@pytest.mark.parametrize("size", sizes((1280, 720), (1920, 1080)))
def test_eight_dials_have_room_and_a_ninth_is_told_why_not(
    make_board: MakeBoard, loader: Rig, size: tuple[int, int], system: System
) -> None:
    window = make_board(loader, size=size, system=system)
    window.run()
    more = (
        ("gauge", "A3"),
        ("gauge", "A4"),
        ("flow meter", "3A1.A"),
        ("thermometer", "0Z1"),
        ("tachometer", "motor"),
    )
    presenter = window.presenter(DialsPresenter)
    for kind, on in more:
        made = presenter.usual(kind, on)
        window.refit({**window.session.rig.instruments, made.name: made})
    window.rack.levers["3V1.lever"].motion.set_exactly(0.6)
    pass_time(window, 1.0)
    assert names(window) == ["P1", "Q1", "n1", "P2", "P3", "Q2", "T1", "n2"]
    assert window.dials.rows == 2
    check(window.dials, 12)
    window.dials.rail.items["gauge"].opened.emit("gauge")
    assert "room for 8 dials" in window.notice.words
    assert not presenter.pane.isVisible()


# -- changed where it is -------------------------------------------------------------------------------------------


def test_a_gauge_gets_another_range_class_and_damping_in_its_place(board: BoardWindow, qtbot: QtBot) -> None:
    presenter, view = board.presenter(DialsPresenter), board.dials.dials[0]
    old = view.instrument
    column = "dial P1"
    if column not in {trace.column for trace in board.strip.traces}:
        board.strip.change(column)
    view.set_covered(True)
    time, before = board.session.time, len(board.strip.record.series)
    view.setFocus()
    qtbot.keyClick(view, Qt.Key.Key_C)
    pane = presenter.pane
    assert pane.isVisible()
    assert pane.title == "Change P1"
    assert pane.button.text() == "Change"
    assert [item.key for item in pane.rows.all] == [old.on]
    assert pane.instrument() == old  # what it has now is what is chosen at first
    assert board.focusWidget() is pane.range_
    qtbot.keyClick(pane.range_, Qt.Key.Key_Up)
    pane.class_.step(-1)
    pane.damping.step(2)
    pass_time(board, 0.2)
    assert board.session.running
    qtbot.keyClick(pane.range_, Qt.Key.Key_Return)
    assert not pane.isVisible()
    new = board.session.rig.instruments["P1"]
    ends = RANGES["gauge"]
    assert new.range_ == ends[ends.index(old.range_) + 1]
    assert (old.accuracy, new.accuracy) == (0.016, 0.01)  # of 0.6, 1, 1.6
    assert (old.calibrated, new.calibrated) == (True, False)  # another one is another one
    assert new.damping > old.damping
    assert (new.name, new.on, new.label) == (old.name, old.on, old.label)
    assert names(board)[0] == "P1"
    assert board.dials.dials[0].instrument == new
    assert board.dials.dials[0].covered
    assert "P1" in board.drawing.state.covered
    assert f"P1 goes to {new.range_ / BAR:g} bar now." in board.notice.words
    pass_time(board, 0.3)
    record = board.strip.record
    assert column in {trace.column for trace in board.strip.traces}
    assert len(record.series) > before  # and what was recorded of it is still there
    assert np.isfinite(record.stood("P1", time))
    assert np.isfinite(record.stood("P1", board.session.time))
    board.dials.toggle(1)
    pass_time(board, 1.0)
    pressure = board.session.readings.pressure(new.on)
    assert board.dials.dials[0].needle == pytest.approx(pressure, abs=new.accuracy * new.range_)


def test_what_an_instrument_has_is_offered_even_where_no_shop_has_it(make_board: MakeBoard, bench: Rig) -> None:
    odd = replace(bench.instruments["P1"], range_=123 * BAR, accuracy=0.0, damping=0.07)
    window = make_board(replace(bench, instruments={**bench.instruments, "P1": odd}))
    presenter = window.presenter(DialsPresenter)
    presenter.open_change("P1")
    assert presenter.pane.instrument() == odd
    presenter.pane.asked.emit()
    assert window.session.rig.instruments["P1"] == odd
    presenter.open_fit()  # closes it
    presenter.open_fit()
    assert presenter.pane.title == "Fit an instrument"
    assert presenter.pane.subject is None
    assert len(presenter.pane.rows.all) > 1


def test_where_a_joint_is_opened_another_range_asks_for_the_steps_of_fitting(
    make_board: MakeBoard, bench: Rig
) -> None:
    """A flow meter sits in its line: for another one the machine stands still and the line is dead."""
    window = make_board(bench)
    presenter = window.presenter(DialsPresenter)
    old = window.session.rig.instruments["Q1"]
    presenter.open_change("Q1")
    presenter.pane.range_.step(1)
    presenter.pane.asked.emit()
    assert window.session.rig.instruments["Q1"] == old
    assert presenter.steps.isVisible()
    assert presenter.steps.title.startswith("Q1: flow meter, ")
    keys = [row.state.step.key for row in presenter.steps.rows]
    assert "stop" in {key.removeprefix("off ") for key in keys}
    assert keys.count("fit") == 1
    presenter.steps.back_asked.emit()
    assert presenter.pane.isVisible()
    assert presenter.pane.title == "Change Q1"
    assert presenter.pane.range_.place == RANGES["flow meter"].index(old.range_) + 1


def test_a_right_click_offers_to_change_an_instrument(board: BoardWindow) -> None:
    offers = board.presenter(OfferPresenter).offers.instrument("P1")
    (offer,) = [offer for offer in offers if offer.words.startswith("Change its range")]
    assert offer.key == "C"
    assert offer.do is not None
    offer.do()
    assert board.presenter(DialsPresenter).pane.title == "Change P1"


def test_a_cover_goes_with_its_instrument_to_another_place(board: BoardWindow) -> None:
    """Nothing of a covered gauge is given away because it is moved: dial, drawing and strip keep its cover."""
    board.dials.dials[0].set_covered(True, at_once=True)
    board.dials.changed.emit()
    instruments = dict(board.session.rig.instruments)
    for line in ("A1", "B1", instruments["P1"].on):
        instruments["P1"] = replace(instruments["P1"], on=line)
        board.refit(instruments)
        assert board.dials.dials[0].instrument.on == line
        assert [view.instrument.name for view in board.dials.dials if view.covered] == ["P1"]
        assert board.drawing.state.covered == {"P1"}
        assert board.dials.snapshot()["P1"] is None
        hidden = {board.strip.record.traces.all[place].column for place in board.strip.picture.hidden}
        assert "dial P1" in hidden
