"""The loader on the board: two levers at once, the load, the machine, the strip, exact numbers, zoom, panes."""

from __future__ import annotations

import pytest
from board_moves import FRAME, MakeBoard, pass_time
from PySide6.QtCore import QPoint, QPointF, Qt
from PySide6.QtGui import QWheelEvent
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from trainer.drawing.shapes import Path
from trainer.operating.motions import StepMotion
from trainer.rig.rig import Rig
from trainer.units import System
from trainer.window.board.arrangement import Panes
from trainer.window.board.presenter import BoardPresenter
from trainer.window.board.steps_view import StepsView
from trainer.window.controls.entry import read_number
from trainer.window.painting.zoom import Zoom
from trainer.window.rig.presenter import RigPresenter
from trainer.window.shell.window import BoardWindow

BOOM, STICK, SLEW = "3V1.lever", "4V1.lever", "2V1.lever"


@pytest.fixture
def loaded(make_board: MakeBoard, loader: Rig) -> BoardWindow:
    """The loader on a small board, its clock running, in neutral."""
    window = make_board(loader)
    window.run()
    pass_time(window, 0.2)
    return window


def test_two_levers_by_their_letters(loaded: BoardWindow, qtbot: QtBot) -> None:
    """Levers from the left: legs Q A, slew W S, boom E D, stick R F, grapple T G."""
    qtbot.keyPress(loaded.rack.levers[STICK], Qt.Key.Key_E)
    qtbot.keyPress(loaded.rack.levers[STICK], Qt.Key.Key_S)
    pass_time(loaded, 0.25)
    levers = loaded.snapshot()["levers"]
    assert levers[BOOM] == pytest.approx(0.5, abs=2.1 * FRAME)
    assert levers[SLEW] == pytest.approx(-0.5, abs=2.1 * FRAME)
    assert levers[STICK] == 0.0
    assert "or E and D" in loaded.rack.levers[BOOM].toolTip()
    qtbot.keyRelease(loaded.rack.levers[STICK], Qt.Key.Key_E)
    pass_time(loaded, 0.3)
    levers = loaded.snapshot()["levers"]
    assert levers[BOOM] == 0.0
    assert levers[SLEW] == -1.0
    loaded.rack.let_go()
    pass_time(loaded, 0.3)
    assert loaded.snapshot()["levers"][SLEW] == 0.0


def test_a_mouse_and_a_key_move_two_levers(loaded: BoardWindow, qtbot: QtBot) -> None:
    lever = loaded.rack.levers[BOOM]
    middle = QPoint(lever.width() // 2, lever.height() // 2)
    qtbot.mousePress(lever, Qt.MouseButton.LeftButton, pos=middle)
    qtbot.mouseMove(lever, middle + QPoint(20, 0))
    qtbot.keyPress(lever, Qt.Key.Key_R)
    pass_time(loaded, 0.4)
    levers = loaded.snapshot()["levers"]
    assert levers[BOOM] > 0.3
    assert levers[STICK] == pytest.approx(0.8, abs=0.05)


def test_a_letter_held_while_the_help_opens_lets_go(loaded: BoardWindow, qtbot: QtBot) -> None:
    qtbot.keyPress(loaded.rack.levers[BOOM], Qt.Key.Key_E)
    pass_time(loaded, 0.2)
    loaded.change_help()
    pass_time(loaded, 0.4)
    assert loaded.snapshot()["levers"][BOOM] == 0.0


def test_an_exact_percentage_is_written_and_held(loaded: BoardWindow, qtbot: QtBot) -> None:
    lever = loaded.rack.levers[BOOM]
    lever.setFocus()
    qtbot.keyClick(lever, Qt.Key.Key_3)
    assert lever.entry is not None
    qtbot.keyClicks(lever.entry, "7.5")
    assert lever.entry.text() == "37.5"
    qtbot.keyClick(lever.entry, Qt.Key.Key_Return)
    pass_time(loaded, 0.5)
    assert loaded.snapshot()["levers"][BOOM] == pytest.approx(0.375)
    assert lever.motion.held
    assert lever.entry is None


def test_a_bad_number_is_told_and_the_entry_stays(loaded: BoardWindow, qtbot: QtBot) -> None:
    lever = loaded.rack.levers[BOOM]
    qtbot.mouseDClick(lever, Qt.MouseButton.LeftButton)
    qtbot.keyClicks(lever.entry, "160")
    qtbot.keyClick(lever.entry, Qt.Key.Key_Return)
    assert loaded.snapshot()["notice"] == "160 % is out of reach. Write a number from −100 to 100 %."
    assert lever.entry is not None
    qtbot.keyClick(lever.entry, Qt.Key.Key_Escape)
    pass_time(loaded, 0.1)
    assert lever.entry is None
    assert loaded.snapshot()["levers"][BOOM] == 0.0


def test_no_letter_of_an_entry_moves_a_lever(loaded: BoardWindow, qtbot: QtBot) -> None:
    lever = loaded.rack.levers[BOOM]
    lever.ask_exactly()
    qtbot.keyPress(lever.entry, Qt.Key.Key_E)
    pass_time(loaded, 0.3)
    assert set(loaded.snapshot()["levers"].values()) == {0.0}


def test_engine_speed_is_written(loaded: BoardWindow, qtbot: QtBot) -> None:
    scale = loaded.rack.speeds["0M1.speed_asked"]
    scale.setFocus()
    for key in (Qt.Key.Key_1, Qt.Key.Key_2):
        qtbot.keyClick(scale.entry or scale, key)
    qtbot.keyClicks(scale.entry, "00 r/min")
    qtbot.keyClick(scale.entry, Qt.Key.Key_Return)
    pass_time(loaded, 0.1)
    assert scale.accessibleDescription().startswith("1200 r/min. Governor: ")


@pytest.mark.parametrize(("written", "told"), [
    ("", "not a number"), ("fast", "not a number"), ("1e3", "in r/min"), ("2700", "out of reach"),
    ("-1", "out of reach"), ("1800 bar", "in r/min"), ("9" * 30, "in r/min"), ("²", "not a number"),
])  # fmt: skip
def test_bad_numbers(written: str, told: str) -> None:
    with pytest.raises(ValueError, match=told):
        read_number(written, "shaft speed", System.METRIC, 0.0, 272.27)


def test_load_goes_to_its_step_in_three_tenths_of_a_second(loaded: BoardWindow, qtbot: QtBot) -> None:
    steps = loaded.rack.steps["3W1.load"]
    buttons = list(steps.buttons.values())
    assert [button.text() for button in buttons] == ["0", "150", "250", "500"]
    qtbot.mouseClick(buttons[3], Qt.MouseButton.LeftButton)
    pass_time(loaded, 0.15)
    assert loaded.session.readings.control("3W1", "load") == pytest.approx(250, rel=0.15)
    pass_time(loaded, 0.25)
    assert loaded.session.readings.control("3W1", "load") == 500
    qtbot.keyClick(loaded.rack.levers[BOOM], Qt.Key.Key_L)  # after the last comes the first
    pass_time(loaded, 0.4)
    assert loaded.session.readings.control("3W1", "load") == 0
    assert buttons[0].isChecked()
    loaded.set_system(System.US)
    assert [button.text() for button in buttons] == ["0", "330", "550", "1100"]  # round pounds
    loaded.reset()
    assert steps.motion.value == 0.0


@pytest.mark.soak
def test_at_a_hundredth_of_the_speed_a_load_takes_as_long(loaded: BoardWindow, qtbot: QtBot) -> None:
    """0.3 s of model time are half a minute of a clock at 1/100; from the rack and from the numbers alike."""
    buttons = list(loaded.rack.steps["3W1.load"].buttons.values())
    loaded.set_speed(1 / 100)
    for ask in (
        lambda: qtbot.mouseClick(buttons[3], Qt.MouseButton.LeftButton),
        lambda: loaded.presenter(RigPresenter).set("3W1.load", 500.0),
    ):
        loaded.session.set_control("3W1.load", 0.0)
        pass_time(loaded, 1 / 60)
        ask()
        pass_time(loaded, 3.0)
        assert buttons[3].isChecked()
        assert loaded.session.readings.control("3W1", "load") == pytest.approx(50.0, rel=1e-6)
    loaded.set_speed(1.0)
    pass_time(loaded, 0.4)
    assert loaded.session.readings.control("3W1", "load") == 500


def test_loads_alone_are_no_change_of_the_rig(loaded: BoardWindow, qtbot: QtBot) -> None:
    qtbot.mouseClick([*loaded.rack.steps["3W1.load"].buttons.values()][2], Qt.MouseButton.LeftButton)
    pass_time(loaded, 0.5)
    assert loaded.session.readings.control("3W1", "load") == 250
    assert not loaded.isWindowModified()
    assert loaded.presenter(RigPresenter).changes.different() == []


def test_steps_stay_within_their_range() -> None:
    motion = StepMotion(0.0, 10.0, 2.0)
    motion.set_exactly(99.0)
    assert motion.wanted == motion.value == 10.0
    motion.take(3.0)
    assert motion.wanted is None


def test_strip_follows_the_lever_moved_last(loaded: BoardWindow) -> None:
    loaded.rack.levers[SLEW].motion.set_exactly(0.6)
    pass_time(loaded, 1.0)
    assert list(loaded.snapshot()["strip"]) == ["Slew lever", "P1", "Slew motor"]
    assert loaded.snapshot()["strip"]["Slew motor"].endswith("r/min")
    loaded.rack.levers[SLEW].motion.centre()
    loaded.rack.levers[BOOM].motion.set_exactly(0.8)
    pass_time(loaded, 1.0)
    shown = loaded.snapshot()["strip"]
    assert list(shown) == ["Boom lever", "P1", "Boom speed"]
    assert shown["Boom lever"] == "80 %"
    assert float(shown["Boom speed"].split()[0]) > 10
    history = loaded.strip.curves[0].yData  # the boom's lever, from before it was chosen, too
    assert history.min() == 0.0
    assert history.max() == pytest.approx(80.0)


def test_machine_is_shown_beside_and_instead(loaded: BoardWindow, qtbot: QtBot) -> None:
    page = loaded.board
    assert not page.machine.isVisible()
    qtbot.mouseClick(loaded.bar.machine, Qt.MouseButton.LeftButton)
    assert loaded.snapshot()["view"] == "both"
    assert page.machine.isVisible()
    assert page.drawing.isVisible()
    assert page.machine.geometry().intersected(page.drawing.geometry()).width() <= 1
    for name, x in page.drawing.columns().items():
        lever = loaded.rack.levers[name]
        assert lever.x() + lever.width() / 2 == pytest.approx(page.drawing.x() + x, abs=2)
    loaded.activateWindow()
    qtbot.keyClick(loaded, Qt.Key.Key_B, Qt.KeyboardModifier.ControlModifier)
    assert loaded.snapshot()["view"] == "machine"
    assert not page.drawing.isVisible()
    loaded.rack.levers[BOOM].motion.set_exactly(1.0)
    before = page.machine.view.pose(page.machine.readings).boom
    pass_time(loaded, 1.0)
    assert page.machine.view.pose(page.machine.readings).boom > before + 0.02
    loaded.presenter(BoardPresenter).change_view()
    assert page.drawing.readings is loaded.session.readings


def test_a_window_that_begins_with_the_machine_records_too(make_board: MakeBoard, loader: Rig) -> None:
    window = make_board(loader, view="machine")
    window.run()
    pass_time(window, 0.5)
    assert len(window.strip.curves) == 3
    assert len(window.strip.curves[1].xData) > 5
    window.presenter(BoardPresenter).change_view()  # the drawing is painted for the first time
    pass_time(window, 0.1)
    assert len(window.strip.plots) == 3


def test_a_rig_without_a_machine_says_so(board: BoardWindow, qtbot: QtBot) -> None:
    assert not board.bar.machine.isVisible()
    qtbot.keyClick(board, Qt.Key.Key_B, Qt.KeyboardModifier.ControlModifier)
    assert board.snapshot()["view"] == "drawing"
    assert "no machine" in board.snapshot()["notice"]


def test_wheel_zooms_about_the_pointer_and_levers_stay(loaded: BoardWindow) -> None:
    drawing = loaded.drawing
    fitted, levers = drawing.placing(), [view.geometry() for view in loaded.rack.levers.values()]
    where = QPointF(300, 200)
    under = [(where.x() - fitted[1][0]) / fitted[0], (where.y() - fitted[1][1]) / fitted[0]]
    event = QWheelEvent(where, drawing.mapToGlobal(where), QPoint(), QPoint(0, 240), Qt.MouseButton.NoButton,
                        Qt.KeyboardModifier.ControlModifier, Qt.ScrollPhase.NoScrollPhase, False)  # fmt: skip
    QApplication.sendEvent(drawing, event)
    zoom, (x, y) = drawing.placing()
    assert zoom == pytest.approx(1.25**2 * fitted[0])
    assert (x + under[0] * zoom, y + under[1] * zoom) == pytest.approx((300, 200), abs=1)
    box = drawing.scene.boxes["3V1"]
    assert drawing.handles[BOOM].width() == pytest.approx(box[2] * zoom, abs=1)
    pass_time(loaded, 0.1)
    assert [view.geometry() for view in loaded.rack.levers.values()] == levers
    loaded.presenter(BoardPresenter).pan(-1, 0)
    assert drawing.placing()[1][0] < x
    loaded.presenter(BoardPresenter).fit()
    assert drawing.placing() == fitted


def test_ports_have_letters_when_large(loaded: BoardWindow) -> None:
    def letters() -> set[str]:
        return {text for text, _, _ in loaded.drawing.canvas.texts()} & {"P", "T", "A", "B"}

    assert not letters()
    loaded.drawing.magnify(3.0)
    pass_time(loaded, 0.1)
    assert letters() == {"P", "T", "A", "B"}


def test_a_picture_never_leaves_its_widget() -> None:
    zoom = Zoom()
    zoom.by(3.0, (10.0, 10.0), (400.0, 300.0))
    for way in ((1e4, 1e4), (-1e4, -1e4), (50.0, -1e4)):
        zoom.move(way, (400.0, 300.0))
        times, (x, y) = zoom.applied(1.0, (0.0, 0.0))
        assert x <= 0 <= x + 400 * times - 399
        assert y <= 0 <= y + 300 * times - 299
    zoom.by(0.01, (10.0, 10.0), (400.0, 300.0))
    assert zoom.applied(1.0, (5.0, 6.0)) == (1.0, (5.0, 6.0))


def test_borders_move_and_come_back(loaded: BoardWindow, qtbot: QtBot) -> None:
    page = loaded.board
    wide, strip = page.readout.width(), page.strip.height()
    qtbot.keyClick(page.side_border, Qt.Key.Key_Left)
    qtbot.keyClick(page.side_border, Qt.Key.Key_Left)
    assert page.readout.width() > wide
    assert page.beside.scale > page.look.scale
    for _ in range(20):
        qtbot.keyClick(page.strip_border, Qt.Key.Key_Up)
    assert page.strip.height() > strip
    assert page.flow.rows + page.power.rows == 6
    assert len(page.flow.text.rows) <= page.flow.rows
    loaded.presenter(BoardPresenter).first_panes()
    assert (page.readout.width(), page.strip.height()) == (wide, strip)


def test_dragging_the_borders(loaded: BoardWindow, qtbot: QtBot) -> None:
    page = loaded.board
    border = page.side_border
    wide, at = page.readout.width(), border.rect().center()
    qtbot.mousePress(border, Qt.MouseButton.LeftButton, pos=at)
    qtbot.mouseMove(border, at - QPoint(60, 0))
    assert page.readout.width() == pytest.approx(wide + 60, abs=6)
    page.set_panes(Panes())
    rows, at = page.panes.rows, page.strip_border.rect().center()
    qtbot.mousePress(page.strip_border, Qt.MouseButton.LeftButton, pos=at)
    qtbot.mouseMove(page.strip_border, at - QPoint(0, round(2 * 21 * page.beside.scale)))
    assert page.panes.rows == rows - 2


def test_figures_of_a_frozen_board_are_those_of_its_instant(loaded: BoardWindow) -> None:
    loaded.rack.levers[BOOM].motion.set_exactly(0.8)
    pass_time(loaded, 0.513)
    loaded.run(False)
    pass_time(loaded, 0.2)
    drawing = loaded.drawing
    fresh = [s.text for s in drawing.scene.moving(loaded.session.readings, drawing.state) if hasattr(s, "text")]
    shown = [s.text for s in drawing._live() if hasattr(s, "text")]
    assert set(shown) <= set(fresh)
    assert f"{loaded.session.readings.pressure('banks') / 1e5:.0f} bar" in shown or len(shown) > 5


def test_loads_are_round_numbers_in_both_units(make_board: MakeBoard, loader: Rig) -> None:
    window = make_board(loader)
    steps = next(iter(window.rack.findChildren(StepsView)))
    assert [button.text() for button in steps.choices] == ["0", "150", "250", "500"]
    window.set_system(System.US)
    assert [button.text() for button in steps.choices] == ["0", "330", "550", "1100"]
    assert list(steps.buttons)[1] == pytest.approx(330 * 0.45359237)
    asked = {spec.conditions["3W1.load"] for spec in loader.healthy if spec.conditions.get("3W1.load")}
    assert asked
    assert all(min(abs(load - step) for step in steps.buttons) < 0.05 * load for load in asked)


def test_a_warning_sign_stands_before_what_can_mislead_only(make_board: MakeBoard, loader: Rig) -> None:
    window = make_board(loader)
    window.tell("Mark A at 0.00 s.")
    assert not any(isinstance(shape, Path) for shape in window.notice._live())
    window.session.trouble = "The oil is lost."
    window.tell("Mark B at 0.00 s.")
    assert any(isinstance(shape, Path) for shape in window.notice._live())


@pytest.mark.parametrize("key", ["F1", "Ctrl+O"])
def test_what_lies_over_the_page_gives_the_keyboard_back(make_board: MakeBoard, loader: Rig, key: str) -> None:
    """Digits after it go to the lever that was in hand before, and to no other."""
    board = make_board(loader)
    lever = board.rack.levers["3V1.lever"]
    lever.setFocus()
    for _ in range(2):
        QTest.keySequence(board, key)
        over = board.focusWidget()
        assert over is not None
        assert over is not lever
        QTest.keyClick(over, Qt.Key.Key_Escape)
        assert board.focusWidget() is lever


def test_a_covered_flow_meter_hides_on_the_strip_what_it_hides_on_the_drawing(
    make_board: MakeBoard, loader: Rig
) -> None:
    """The speed of a rod tells the flow: it stands neither beside the load nor on the strip."""
    board = make_board(loader)
    hidden = [trace for trace in board.strip.record.traces.all if trace.quantity == "speed"]
    assert hidden
    board.dials.toggle_all()
    pass_time(board, 0.5)
    strip = board.strip
    for trace in hidden:
        assert strip.record.traces.place(trace.column) in strip.picture.hidden, trace.column
    board.dials.toggle_all()
    pass_time(board, 0.5)
    assert not strip.picture.hidden
