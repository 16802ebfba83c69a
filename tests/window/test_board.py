"""The board of the one-spool bench: lever, spool, rod, gauge, ledgers, clock, covers, units, themes."""

from __future__ import annotations

import math
import re

import pytest
from board_moves import FRAME, MakeBoard, change_class, class_view_of, pass_time, there
from PySide6.QtCore import Qt
from PySide6.QtGui import QColor
from PySide6.QtWidgets import QWidget
from pytestqt.qtbot import QtBot

from trainer.drawing.shapes import DrawList
from trainer.drawing.theme import THEMES
from trainer.rig.rig import Rig
from trainer.units import System
from trainer.window.board.arrangement import Panes
from trainer.window.ledgers.view import KEEP
from trainer.window.rig.presenter import RigPresenter
from trainer.window.rig.screw_view import TurnButton
from trainer.window.shell.window import BoardWindow
from trainer.window.time.clock_bar import SPEEDS

LEVER, CRANK = "1V1.lever", "0M1.speed_asked"


def number(text: str) -> float:
    """The number at the beginning of a printed figure with its unit."""
    found = re.match(r"−?[\d.]+", text)
    assert found is not None, text
    return float(found[0].replace("−", "-"))


def gauge(window: BoardWindow, name: str = "P1") -> float:
    shown = window.snapshot()["instruments"][name]
    assert shown is not None
    return number(shown[0])


def test_lever_moves_spool_rod_gauge_and_ledger(board: BoardWindow) -> None:
    neutral = gauge(board)
    start = board.session.readings.place("rod1")
    board.rack.levers[LEVER].motion.set_exactly(0.8)
    pass_time(board, 2.0)
    shown = board.snapshot()
    assert shown["levers"][LEVER] == 0.8
    assert shown["spools"]["1V1"] == pytest.approx(0.8, abs=0.01)
    assert board.session.readings.place("rod1") > start + 0.005
    # the weight alone takes m g / A = 255 kg x 9.80665 / (pi/4 (40 mm)^2) = 19.9 bar; the way there some more
    assert gauge(board) > max(neutral + 10, 255 * 9.80665 / (math.pi / 4 * 0.04**2) / 1e5)
    assert shown["needles"]["P1"] == pytest.approx(board.session.readings.pressure("P1"), rel=0.02)
    flow = shown["flow ledger"]
    useful = [row for row in flow.rows if row.style == "useful"]
    assert number(useful[0].figures) > 0.5 * number(flow.total) > 0.2
    assert number(shown["strip"]["P1"]) == pytest.approx(gauge(board), abs=0.2)


def test_figures_of_the_ledgers_sum_to_their_totals(board: BoardWindow) -> None:
    board.rack.levers[LEVER].motion.set_exactly(0.5)
    for _ in range(8):
        pass_time(board, 0.4)
        for text in (board.flow.text, board.power.text):
            assert sum(round(1000 * number(row.figures)) for row in text.rows) == round(1000 * number(text.total))
            assert sum(int(row.percent.split()[0]) for row in text.rows) == 100


def test_a_row_stays_for_three_seconds_after_it_fell_to_nothing(board: BoardWindow) -> None:
    board.board.set_panes(Panes(rows=14))

    def rows() -> list[str]:
        return [row.name for row in board.power.text.rows]

    board.rack.levers[LEVER].motion.set_exactly(0.8)
    pass_time(board, 1.0)
    before = [row.name for row in board.power.text.rows if row.share > 0]  # others have begun to go already
    assert "Lifts the load" in before
    board.rack.levers[LEVER].motion.set_exactly(0.0)
    board.run(False)
    board.session.set_control(CRANK, 0.0)
    board.session.reset()  # nothing is lifted at the start
    board.run()
    pass_time(board, KEEP - 0.5)
    assert [name for name in rows() if name in before] == before
    pass_time(board, 1.0)
    assert "Lifts the load" not in rows()


@pytest.mark.soak
def test_ledgers_keep_their_height(board: BoardWindow) -> None:
    places = set()
    for lever in (0.0, 1.0, -1.0, 0.4):
        board.rack.levers[LEVER].motion.set_exactly(lever)
        for _ in range(6):
            pass_time(board, 0.2)
            places.add((board.flow.geometry().getRect(), board.strip.geometry().getRect()))
            for ledger in (board.flow, board.power):
                assert len(ledger.text.rows) <= ledger.rows
    assert len(places) == 1


def test_units_change_everywhere_at_once(board: BoardWindow, qtbot: QtBot) -> None:
    board.rack.levers[LEVER].motion.set_exactly(0.8)
    pass_time(board, 1.0)
    board.run(False)
    metric = gauge(board)
    qtbot.mouseClick(board.bar.systems[System.US], Qt.MouseButton.LeftButton)
    shown = board.snapshot()
    assert shown["system"] is System.US
    assert gauge(board) == pytest.approx(metric * 14.5038, abs=1.0)  # NIST SP 811: 1 psi = 6.894757 kPa
    assert shown["instruments"]["Q1"][1] == "gpm"
    assert {shown["flow ledger"].unit, shown["power ledger"].unit} == {"gpm", "hp"}
    written = " ".join(
        text for canvas in board.board.canvases() if canvas.widget.isVisible() for text, _, _ in canvas.texts()
    )
    assert "psi" in written
    assert "gpm" in written
    assert "L/min" not in written
    assert " bar" not in written


def test_theme_changes_the_paper(board: BoardWindow, qtbot: QtBot) -> None:
    for theme in ("dark", "light"):
        qtbot.mouseClick(board.bar.theme, Qt.MouseButton.LeftButton)
        picture = board.grab().toImage()
        for spot in ((4, board.height() - 4), (board.width() - 4, board.height() // 2), (4, board.height() // 2)):
            assert picture.pixelColor(*spot) == QColor(THEMES[theme].colour("paper"))


@pytest.mark.parametrize("key", [Qt.Key.Key_1, Qt.Key.Key_0])
def test_covering_hides_gauge_figure_ledger_and_strip(board: BoardWindow, qtbot: QtBot, key: Qt.Key) -> None:
    board.rack.levers[LEVER].motion.set_exactly(0.8)
    pass_time(board, 1.0)
    reading = board.snapshot()["instruments"]["P1"][0]
    board.activateWindow()
    qtbot.keyClick(board, key, Qt.KeyboardModifier.AltModifier)
    shown = board.snapshot()
    assert shown["instruments"]["P1"] is None
    assert "P1" in shown["covered"]
    assert not [t for canvas in board.board.canvases() for t, _, _ in canvas.texts() if t.startswith(reading)]
    assert board.dials.dials[0].accessibleDescription() == "covered"
    assert board.drawing.scene.hidden(board.session.readings, board.drawing.state) >= {"P1", "A1"}
    assert not len(board.strip.curves[1].xData)
    qtbot.keyClick(board, key, Qt.KeyboardModifier.AltModifier)
    assert board.dials.dials[0].cover == 1.0  # the hatch wipes off in 0.3 s
    pass_time(board, 0.4)
    assert board.dials.dials[0].cover == 0.0
    assert board.snapshot()["instruments"]["P1"] is not None


def test_clock_runs_freezes_steps_and_resets(board: BoardWindow, qtbot: QtBot) -> None:
    running = board.session.time
    qtbot.mouseClick(board.bar.freeze, Qt.MouseButton.LeftButton)
    pass_time(board, 0.5)
    assert board.session.time == running
    qtbot.mouseClick(board.bar.step, Qt.MouseButton.LeftButton)
    assert board.session.time == pytest.approx(running + FRAME)
    assert not board.session.running
    board.rack.levers[LEVER].motion.set_exactly(0.6)
    qtbot.mouseClick(board.bar.run, Qt.MouseButton.LeftButton)
    pass_time(board, 0.5)
    assert board.session.time == pytest.approx(running + FRAME + 0.5, abs=2 * FRAME)
    qtbot.mouseClick(board.bar.reset, Qt.MouseButton.LeftButton)
    shown = board.snapshot()
    assert (shown["time"], shown["running"], shown["levers"][LEVER]) == (0.0, False, 0.0)
    assert board.rack.levers[LEVER].motion.held is False
    assert len(board.strip.record.series) <= 1


def test_keys_of_the_clock(board: BoardWindow, qtbot: QtBot) -> None:
    board.activateWindow()
    qtbot.keyClick(board, Qt.Key.Key_Space)
    assert not board.session.running
    at = board.session.time
    qtbot.keyClick(board, Qt.Key.Key_Period)
    assert board.session.time == pytest.approx(at + FRAME)
    for speed in reversed([s for s in SPEEDS if s < 1]):
        qtbot.keyClick(board, Qt.Key.Key_PageDown, Qt.KeyboardModifier.ControlModifier)
        assert board.session.speed == speed
        assert board.bar.speeds[speed].isChecked()
    qtbot.keyClick(board, Qt.Key.Key_Space)
    at = board.session.time
    pass_time(board, 1.0)
    assert board.session.time == pytest.approx(at + 1e-3, rel=0.01)
    qtbot.keyClick(board, Qt.Key.Key_Home, Qt.KeyboardModifier.ControlModifier)
    assert board.session.time == 0.0


def test_space_is_the_clocks_whatever_has_the_keyboard_and_enter_presses(board: BoardWindow, qtbot: QtBot) -> None:
    board.presenter(RigPresenter).show_part("0V1")
    board.presenter(RigPresenter).set_nut("0V1", True)
    pass_time(board, 0.3)
    pane = board.presenter(RigPresenter).pane
    (turn,) = pane.findChildren(TurnButton, "Turn the screw of 0V1 in, raise")
    setting = board.session.readings.parameter("0V1", "setting")
    able = [w for w in board.findChildren(QWidget) if w.focusPolicy() and w.isVisible() and w.isEnabled()]
    assert turn in able
    assert len(able) > 40
    for widget in able:
        widget.setFocus()
        for running in (False, True):
            qtbot.keyClick(widget, Qt.Key.Key_Space)
            assert board.session.running is running, widget
    assert board.look.system is System.METRIC
    turn.setFocus()
    qtbot.keyClick(turn, Qt.Key.Key_Return)
    assert board.session.asked("0V1.setting") != setting


def test_space_is_text_where_text_is_written(board: BoardWindow, qtbot: QtBot) -> None:
    lever = board.rack.levers[LEVER]
    lever.ask_exactly()
    assert lever.entry is not None
    qtbot.keyClick(lever.entry, Qt.Key.Key_Space)  # nothing is written yet
    assert not board.session.running
    qtbot.keyClicks(lever.entry, "40 ")
    assert (lever.entry.text(), board.session.running) == ("40 ", False)


def test_a_mouse_on_a_button_and_space_do_not_meet(board: BoardWindow, qtbot: QtBot) -> None:
    button, shown = board.bar.systems[System.US], [board.look.system]
    qtbot.mousePress(button, Qt.MouseButton.LeftButton)
    qtbot.keyClick(button, Qt.Key.Key_Space)
    shown.append(board.look.system)
    qtbot.mouseRelease(button, Qt.MouseButton.LeftButton)
    assert [*shown, board.look.system] == [System.METRIC, System.METRIC, System.US]


def test_notice_says_that_the_person_cannot_keep_up(board: BoardWindow) -> None:
    assert board.snapshot()["notice"] == ""
    board.rack.speeds[CRANK].motion.set_exactly(90 * 2 * math.pi / 60)
    board.rack.levers[LEVER].motion.set_exactly(1.0)
    board.session.set_parameter("1W1.mass", 700.0)  # more than the relief lets it lift
    board.session.set_parameter("0M1.strength", 12.0)
    pass_time(board, 2.0)
    assert "cannot keep up" in board.snapshot()["notice"]
    assert board.notice.accessibleDescription() == board.notice.words
    assert "cannot keep up" in board.notice.fitted()


def test_notice_tells_the_true_speed_of_a_slow_computer(board: BoardWindow) -> None:
    board.session.true_speed = 0.4
    vars(board.session)["tick"] = lambda *_: 0  # a machine that never gets to it
    pass_time(board, 1.5)
    assert "0.4 of real time" in board.snapshot()["notice"]


def test_every_view_and_button_has_a_name(board: BoardWindow) -> None:
    for widget in board.board.findChildren(QWidget):
        if widget.focusPolicy() != Qt.FocusPolicy.NoFocus:
            assert widget.accessibleName(), widget
            assert widget.toolTip() or widget in (board.board.help, board.board.rigs), widget


def test_tab_goes_through_levers_first(board: BoardWindow) -> None:
    widget: QWidget = board.rack.speeds[CRANK]
    names = []
    for _ in range(40):
        if widget.focusPolicy() & Qt.FocusPolicy.TabFocus and not widget.isHidden():
            names.append(widget.accessibleName())
        widget = there(widget.nextInFocusChain())
    assert names[:4] == ["Hand crank speed", "Lift cylinder lever", "Lift cylinder lever hold", "Lift cylinder spool"]
    assert names.index("Run the clock") < names.index("Units psi · gpm")


def test_marks_can_stand_and_the_flow_is_written(board: BoardWindow, qtbot: QtBot) -> None:
    board.rack.levers[LEVER].motion.set_exactly(0.8)
    pass_time(board, 1.0)
    board.change_marks()
    phases = dict(board.drawing.state.phases)
    pass_time(board, 0.5)
    assert dict(board.drawing.state.phases) == phases
    assert [text for text, _, _ in board.drawing.canvas.texts() if re.fullmatch(r"A  [\d.]+ L/min", text)]


def test_a_failing_view_becomes_a_cross_and_the_window_lives(make_board: MakeBoard, qtbot: QtBot) -> None:
    window = make_board()
    window.run()

    def fail() -> DrawList:
        raise ValueError("no picture")

    whole = window.drawing.canvas.live
    window.drawing.canvas.live = fail
    window.drawing.repaint()
    window.drawing.repaint()
    assert len(window.troubles.seen) == 1
    assert "no picture" in window.troubles.seen[0]
    assert not window.session.running
    qtbot.waitUntil(lambda: window.troubles.dialog is not None)
    there(window.troubles.dialog).reject()
    picture = window.drawing.grab().toImage()
    assert picture.pixelColor(picture.width() // 2, picture.height() // 2) == QColor(Qt.GlobalColor.red)
    pass_time(window, 0.2)
    window.drawing.canvas.live = whole  # it can be painted again
    window.drawing.repaint(0, 0, 10, 10)
    window.drawing.repaint()
    picture = window.drawing.grab().toImage()
    assert not window.drawing.canvas.failure
    red = QColor(Qt.GlobalColor.red)
    assert all(picture.pixelColor(x, x * picture.height() // picture.width()) != red for x in range(picture.width()))
    window.drawing.canvas.live = fail
    window.drawing.repaint()
    assert len(window.troubles.seen) == 2  # a new failure is told anew
    window.drawing.canvas.live = whole
    window.troubles.seen.clear()


def test_rig_without_cylinder_or_gauge_opens(make_board: MakeBoard, bench: Rig) -> None:
    from dataclasses import replace

    window = make_board(replace(bench, instruments={}))
    window.run()
    pass_time(window, 0.3)
    assert window.snapshot()["instruments"] == {}
    change_class(window)
    pass_time(window, 0.3)
    assert not class_view_of(window).column_shown
