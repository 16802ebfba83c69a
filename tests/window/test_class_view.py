"""The class view: what thirty people see at 8 m, live, operated from where it stands."""

from __future__ import annotations

import itertools

import pytest
import room_measures
from board_moves import MakeBoard, class_view_of, pass_time
from cases import first
from PySide6.QtCore import QPoint, QRectF, Qt
from PySide6.QtWidgets import QWidget
from pytestqt.qtbot import QtBot

from trainer import resources
from trainer.rig import file as rig_file
from trainer.units import System
from trainer.window.class_view.presenter import ClassPresenter
from trainer.window.class_view.view import ClassView
from trainer.window.shell.window import BoardWindow
from trainer.window.time.presenter import TimePresenter

BENCH = "1V1.lever"
SIZES = ((1280, 720), (1920, 1080))
RIGS = sorted(resources.rigs(), key=lambda name: name != "timber-trailer-loader")


def shown(window: BoardWindow, size: tuple[int, int] = (1280, 720)) -> ClassView:
    """Show the class view in a size, for half a second."""
    window.presenter(ClassPresenter).change_view()
    window.setWindowState(Qt.WindowState.WindowNoState)
    window.resize(*size)
    pass_time(window, 0.5)
    return class_view_of(window)


def boxes(view: ClassView) -> list[tuple[str, QRectF, int, QWidget]]:
    """Every text of the view, buttons as wide as they ever are."""
    return room_measures.boxes(view, bold=True)


def check(view: ClassView) -> None:
    """Nothing is smaller than 36 px of 1080, nothing overlaps, nothing is cut."""
    room_measures.check(view, 35.5 * view.look.scale, 15, boxes(view))


def moved(window: BoardWindow) -> None:
    """Let every lever be moved, the first and the last in full."""
    window.run()
    for name, lever in window.rack.levers.items():
        lever.motion.set_exactly(lever.motion.high or lever.motion.low)
        assert name in window.rack.levers
    pass_time(window, 0.8)


LOOKS = [*itertools.product(System, SIZES)]
CASES = [  # the loader in every look, each small rig in two of them by turns
    (name, system, size)
    for k, name in enumerate(RIGS)
    for at, (system, size) in enumerate(LOOKS)
    if k == 0 or at in ((0, 3), (1, 2))[k % 2]
]


@pytest.mark.parametrize(("name", "system", "size"), first(1, CASES))
def test_nothing_overlaps_or_is_small(
    make_board: MakeBoard, name: str, system: System, size: tuple[int, int]
) -> None:
    window = make_board(rig_file.load(resources.rigs()[name]), system=system)
    moved(window)
    view = shown(window, size)
    check(view)
    for _ in range(len(view.choice.order) + 2):
        view.next_instruments()
        pass_time(window, 0.2)
        check(view)
    view.choice.traced = ""
    view._choose()
    pass_time(window, 0.1)
    check(view)


@pytest.mark.soak
def test_what_must_be_read_is_larger(make_board: MakeBoard) -> None:
    """Names of functions and the time have 46 px of 1080, the reading 64 or more: 24, 30 and 42 at 720 lines."""
    window = make_board(rig_file.load(resources.rigs()["timber-trailer-loader"]))
    window.run()
    window.rack.levers["3V1.lever"].motion.set_exactly(0.6)
    pass_time(window, 1.0)
    view = shown(window)
    sizes = {text: pixels for text, _, pixels, _ in boxes(view)}
    for text in ("Stabilisers", "Slew", "Boom", "Stick", "Grapple", "P1", view.bar.time_text):
        assert sizes[text] >= round(42 * 720 / 1080), text
    figure = units_of(view)
    assert sizes[figure] >= round(64 * 720 / 1080)
    assert "60 % lift" in sizes
    assert not [text for text in sizes if text.startswith("0 %")]  # of levers at rest nothing is said
    assert [text for text in sizes if text.endswith(" out")]  # what the boom does, under its name


def units_of(view: ClassView) -> str:
    """The figure on the large dial."""
    item = view.column.shown[0]
    figure = view.column.needles.figure(item.name, view.look.system)
    return f"{figure / 1e5:.0f}"


def test_levers_work_from_here_by_letter_and_by_mouse(board: BoardWindow, qtbot: QtBot) -> None:
    board.run()
    view = shown(board)
    lever = view.rack.levers[BENCH]
    qtbot.keyPress(view, Qt.Key.Key_Q)
    pass_time(board, 0.3)
    assert lever.motion.value > 0.4
    assert board.session.control(BENCH) == lever.motion.value
    qtbot.keyRelease(view, Qt.Key.Key_Q)
    pass_time(board, 0.6)
    assert lever.motion.value == 0.0
    qtbot.mousePress(lever, Qt.MouseButton.LeftButton, pos=lever.rect().center())
    qtbot.mouseMove(lever, lever.rect().center() + QPoint(20, 0))
    pass_time(board, 0.1)
    assert lever.motion.value > 0.2
    qtbot.mouseRelease(lever, Qt.MouseButton.LeftButton, pos=lever.rect().center() + QPoint(20, 0))
    speed = view.rack.speeds["0M1.speed_asked"]
    before = speed.motion.value
    speed.setFocus()
    qtbot.keyClick(speed, Qt.Key.Key_Up)
    qtbot.keyPress(speed, Qt.Key.Key_Down)
    pass_time(board, 0.3)
    qtbot.keyRelease(speed, Qt.Key.Key_Down)
    assert speed.motion.value < before


def test_a_presenters_remote_runs_freezes_and_goes_back(board: BoardWindow, qtbot: QtBot) -> None:
    view = shown(board)
    for focus in (view, view.rack.levers[BENCH], view.rack.speeds["0M1.speed_asked"], view.bar.line):
        focus.setFocus()
        running = board.session.running
        qtbot.keyClick(focus, Qt.Key.Key_PageDown)
        assert board.session.running is not running
    board.run()
    pass_time(board, 1.5)
    at = board.session.time
    qtbot.keyClick(view, Qt.Key.Key_PageUp)
    assert board.session.time == pytest.approx(at - 1.0, abs=0.02)


def test_the_clock_line_works(board: BoardWindow, qtbot: QtBot) -> None:
    view = shown(board)
    qtbot.mouseClick(view.bar.run, Qt.MouseButton.LeftButton)
    assert board.session.running
    pass_time(board, 1.0)
    qtbot.mouseClick(view.bar.freeze, Qt.MouseButton.LeftButton)
    assert not board.session.running
    at = board.session.time
    qtbot.mouseClick(view.bar.step, Qt.MouseButton.LeftButton)
    assert board.session.time > at
    qtbot.mouseClick(view.bar.speed_button, Qt.MouseButton.LeftButton)
    assert board.session.speed == 2.0
    board.presenter(TimePresenter).mark()
    pass_time(board, 0.1)
    line = view.bar.line
    assert len(line.marks) == 1
    qtbot.mouseClick(
        line, Qt.MouseButton.LeftButton, pos=QPoint(round(line.place(0.5) * view.look.scale), line.height() // 2)
    )
    assert board.session.time == pytest.approx(0.5, abs=0.05)


def test_the_instructor_chooses_what_is_read(board: BoardWindow, qtbot: QtBot) -> None:
    view = shown(board)
    names = [item.name for item in view.choice.order]
    assert [item.name for item in view.column.shown] == names[:3]
    qtbot.keyClick(view, Qt.Key.Key_F3)
    assert view.column.shown[0].name == names[1]
    place = view.column.areas()[names[0]].center()
    qtbot.mouseClick(view.column, Qt.MouseButton.LeftButton, pos=place)
    assert view.column.shown[0].name == names[0]
    for _ in names:
        qtbot.keyClick(view, Qt.Key.Key_F3)
    assert not view.column.dialled
    wide = view.drawing.width()
    qtbot.keyClick(view, Qt.Key.Key_F3)
    assert view.column.isHidden()
    assert view.drawing.width() > wide  # the column closes, the drawing grows
    qtbot.keyClick(view, Qt.Key.Key_F3)
    assert view.column.traced == names[0]
    for _ in names[:2]:
        qtbot.keyClick(view, Qt.Key.Key_F2)
    assert view.column.traced == names[2]
    qtbot.keyClick(view, Qt.Key.Key_F2)
    assert view.column.traced == ""


def test_light_dark_and_black_on_white(board: BoardWindow, qtbot: QtBot) -> None:
    view = shown(board)
    assert view.look.theme == "projector"
    qtbot.keyClick(view, Qt.Key.Key_D, Qt.KeyboardModifier.ControlModifier)
    assert view.look.theme == "projector dark"
    qtbot.keyClick(view, Qt.Key.Key_P, Qt.KeyboardModifier.AltModifier)
    assert view.look.theme == "projector print"
    assert all(view.look.inks.colour(f"pressure{k}").saturation() == 0 for k in range(7))
    assert view.drawing.scene.theme.name == "projector print"


@pytest.mark.soak
@pytest.mark.parametrize("system", System)
@pytest.mark.parametrize("size", SIZES)
def test_the_machine_is_named_and_measured_for_the_last_row(
    make_board: MakeBoard, qtbot: QtBot, size: tuple[int, int], system: System
) -> None:
    """Its views have names and its figures stand below, none of it smaller than the rest; a question covers them."""
    window = make_board(rig_file.load(resources.rigs()["timber-trailer-loader"]), system=system)
    view = shown(window, size)
    for _ in range(2):
        qtbot.keyClick(view, Qt.Key.Key_B, Qt.KeyboardModifier.ControlModifier)
        pass_time(window, 0.3)
        check(view)
        words = [text for text, *_ in boxes(view)]
        assert {"From above", "From behind", "reach", "load"} <= {*words}
        assert any(text.startswith("0 ") and text.endswith(("kg", "lb")) for text in words)
    told = view.measured.accessibleDescription()
    view.hold(True)
    pass_time(window, 0.3)
    covered = [text for text, *_ in room_measures.boxes(view.measured)]
    assert not [text for text in covered if any(letter.isdigit() for letter in text)]
    assert any(letter.isdigit() for letter in told)
    assert not any(letter.isdigit() for letter in view.measured.accessibleDescription())
    assert view.machine.isVisible()


def test_the_machine_beside_and_instead(make_board: MakeBoard, qtbot: QtBot) -> None:
    """Beside each other both are whole, apart, and large enough for their smallest text; then the one, the other."""
    window = make_board(rig_file.load(resources.rigs()["timber-trailer-loader"]), system=System.US)
    view = shown(window)
    seen = []
    for _ in range(3):
        qtbot.keyClick(view, Qt.Key.Key_B, Qt.KeyboardModifier.ControlModifier)
        seen.append((view.drawing.isVisible(), view.machine.isVisible()))
        for size in SIZES if all(seen[-1]) else ():
            window.resize(*size)
            pass_time(window, 0.2)
            assert view.size().toTuple() == size
            check(view)
            drawing, machine = (QRectF(one.geometry()) for one in (view.drawing, view.machine))
            for one in (drawing, machine):
                assert QRectF(view.rect()).contains(one)
                assert one.width() > 0.2 * size[0]
                assert one.height() > 0.3 * size[1]
            for other in (view.machine, view.rack, view.bar, view.column):
                assert other.isHidden() or not drawing.intersects(QRectF(other.geometry())), other
                assert other is view.machine or not machine.intersects(QRectF(other.geometry())), other
    assert seen == [(True, True), (False, True), (True, False)]


def test_leaving_gives_the_board_back_as_it_was(board: BoardWindow, qtbot: QtBot) -> None:
    board.run()
    view = shown(board)
    at = board.session.time
    qtbot.keyClick(view, Qt.Key.Key_Escape)
    assert board.stage.screen is None
    pass_time(board, 0.2)
    assert board.session.time > at  # the clock was never stopped
    qtbot.keyClick(board, Qt.Key.Key_F11)
    assert board.stage.screen is view
    qtbot.keyClick(view, Qt.Key.Key_F11)
    assert board.stage.screen is None
