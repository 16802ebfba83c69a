"""Two rigs beside each other on the real window: one set of levers, one clock, and the board back as it was."""

from __future__ import annotations

from contextlib import nullcontext
from pathlib import Path
from types import SimpleNamespace

import pytest
from board_moves import FRAME, MakeBoard, change_class, class_view_of, pass_time, there
from cases import shipped
from menu_moves import choose, right_click
from PySide6.QtCore import QRectF, Qt
from pytestqt.qtbot import QtBot

from trainer import resources
from trainer.changing.rig_shelf import found, shelf
from trainer.lessons.cover import Cover
from trainer.pairing.sides import Otherwise
from trainer.rig.rig import Rig
from trainer.units import System
from trainer.window.beside.presenter import BesidePresenter
from trainer.window.beside.rack import BesideRack
from trainer.window.beside.screen import BesideScreen, arrange
from trainer.window.explaining.presenter import ExplainingPresenter
from trainer.window.opening.presenter import OpeningPresenter
from trainer.window.rig.presenter import RigPresenter
from trainer.window.shell import app
from trainer.window.shell.window import BoardWindow

SHIFT, CTRL = Qt.KeyboardModifier.ShiftModifier, Qt.KeyboardModifier.ControlModifier
BAR = 1e5


def beside(window: BoardWindow) -> BesidePresenter:
    return window.presenter(BesidePresenter)


def screen_of(window: BoardWindow) -> BesideScreen:
    screen = there(beside(window).screen)
    assert window.stage.screen is screen
    return screen


def texts(screen: BesideScreen) -> list[str]:
    canvases = [*(head.canvas for head in screen.heads), screen.band.canvas, screen.power.canvas, screen.rack.canvas]
    return [text for canvas in canvases for text, _, _ in canvas.texts()]


def test_by_keys_to_a_worn_twin_and_back_to_the_board_as_it_was(board: BoardWindow, qtbot: QtBot) -> None:
    board.activateWindow()
    session, operator, time = board.session, board.controller.operator, board.session.time
    kept = len(board.strip.record.series)
    qtbot.keyClick(board, Qt.Key.Key_F8, SHIFT)
    choice = there(beside(board).choice)
    assert board.stage.screen is choice
    qtbot.keyClick(choice.list, Qt.Key.Key_Return)  # "Worn …"
    qtbot.keyClicks(choice.line, "0p1.slip failed")
    qtbot.keyClick(choice.line, Qt.Key.Key_Return)
    screen = screen_of(board)
    pair = screen.pair
    assert pair.running
    assert len(screen.sides[1].differs(System.METRIC)) == 1
    screen.rack.levers["1V1.lever"].motion.set_exactly(0.5)
    screen.rack.speeds["0M1.speed_asked"].motion.set_exactly(6.0)
    pass_time(board, 0.2)
    assert [one.control("1V1.lever") for one in pair.both] == [0.5, 0.5]
    assert pair.first.time == pair.second.time > 0.15
    first, second = (figures.values["delivery"] for figures in screen.band.figures)
    assert 0.0 <= second < first  # it slips
    qtbot.keyClick(board, Qt.Key.Key_Space)
    assert not pair.running
    qtbot.keyClick(board, Qt.Key.Key_Period)
    qtbot.keyClick(board, Qt.Key.Key_PageDown, CTRL)
    assert (pair.speed, board.session.speed) == (0.1, 1.0)
    qtbot.keyClick(board, Qt.Key.Key_Home, CTRL)
    assert pair.time == 0.0
    assert [one.control("1V1.lever") for one in pair.both] == [0.0, 0.0]
    assert screen.rack.levers["1V1.lever"].motion.value == 0.0
    qtbot.keyClick(screen, Qt.Key.Key_Escape)
    assert board.stage.screen is None
    assert board.session is session
    assert board.controller.operator is operator
    assert (session.time, session.running, session.control("1V1.lever")) == (time, True, 0.0)
    assert len(board.strip.record.series) == kept
    pass_time(board, 0.1)
    assert session.time > time


def test_from_the_command_line_what_waits_for_the_board_to_be_seen_is_loaded_too(
    bench: Rig, monkeypatch: pytest.MonkeyPatch
) -> None:
    told: list[object] = []
    presenter = SimpleNamespace(begin=lambda *asked: told.append(asked))
    window = SimpleNamespace(presenter=lambda _kind: presenter, first_painted=lambda: told.append("painted"))
    monkeypatch.setattr(app, "open_board", lambda *_, **__: window)
    monkeypatch.setattr(app, "application", lambda: SimpleNamespace(exec=lambda: 0))
    monkeypatch.setattr(app, "closed_by_signals", nullcontext)
    asked = None, Otherwise({"0V1.setting": 30 * BAR})
    assert app.run(bench, beside=asked) == 0
    assert told == [asked, "painted"]


def test_drawings_stand_where_the_smaller_one_is_larger() -> None:
    wide, high, head, band, power = 1920.0, 800.0, 58.0, (166.0, 498.0), (166.0, 250.0)
    below = arrange(wide, high, head, [(1400.0, 750.0), (1100.0, 760.0)], band, power)
    assert below.across == 6
    assert below.drawings[0][1] == below.drawings[1][1]
    above = arrange(wide, high, head, [(2000.0, 500.0), (2000.0, 400.0)], band, power)
    assert above.across == 2
    assert above.drawings[0][0] == above.drawings[1][0]
    for areas in (below, above):
        boxes = [*areas.heads, *areas.drawings, areas.ramp, areas.band, areas.power]
        for k, (x, y, w, h) in enumerate(boxes):
            assert min(x, y) >= 0
            assert x + w <= wide + 1e-6
            assert y + h <= high + 1e-6
            for left, top, across, down in boxes[k + 1 :]:
                apart = left >= x + w or x >= left + across or top >= y + h or y >= top + down
                assert apart, (k, areas)


@pytest.mark.soak
def test_another_rig_by_the_menu_and_what_is_shown_twice_agrees(
    make_board: MakeBoard, loader: Rig, qtbot: QtBot
) -> None:
    board = make_board(loader)
    choose(right_click(board, board.drawing, board.drawing.rect().bottomRight()), "Beside another rig")
    choice = there(beside(board).choice)
    twin = resources.rigs()["timber-trailer-loader-load-sensing"]
    items = [(item.key, item.words) for item in choice.list.items.items]
    places = {words: place for place, (_, words) in enumerate(items)}
    assert items[places["With the same levers"] + 1] == (str(twin), "Timber-trailer loader, load sensing")
    choice.list.entered.emit(str(twin))
    screen = screen_of(board)
    screen.rack.levers["3V1.lever"].motion.set_exactly(0.4)
    pass_time(board, 1.5)
    for one in screen.band.figures:
        assert one.texts["load"] == one.share_texts["useful"]
    for text in (*screen.band.figures[1].texts.values(), "Timber-trailer loader, load sensing", "Boom 40 % lift"):
        assert text in texts(screen)
    told = screen.rack.does
    assert "3V1.lever" in told[1]
    figures, unit, _ = told[1]["3V1.lever"].split(" ")
    assert (figures in texts(screen), unit) == (True, "mm/s")
    qtbot.keyClick(board, Qt.Key.Key_U, CTRL)
    assert any("psi" in text for text in texts(screen))
    assert screen.grab().toImage().width() == 1280
    board.activateWindow()
    board.presenter(ExplainingPresenter).change_screen()  # from any screen to the glossary and back
    assert not screen.pair.running
    assert board.controller.operator is not screen.operator
    board.presenter(ExplainingPresenter).change_screen()
    assert board.controller.operator is screen.operator
    board.presenter(OpeningPresenter).open_rig(resources.rigs()["one-spool-bench"])
    assert (beside(board).screen, board.stage.screen, board.controller.lends) == (None, None, False)


@pytest.mark.soak
def test_before_and_after_and_other_numbers(board: BoardWindow, qtbot: QtBot) -> None:
    board.presenter(RigPresenter).set("0V1.setting", 30 * BAR)
    beside(board).show_choice()
    choice = there(beside(board).choice)
    keys = [item.key for item in choice.list.items.items]
    choice.list.entered.emit(next(key for key in keys if key == "as in file"))
    screen = screen_of(board)
    assert [one.machine["0V1.setting"] for one in screen.pair.both] == [30 * BAR, 50 * BAR]
    assert [bool(side.differs(System.METRIC)) for side in screen.sides] == [True, False]
    assert any("50 → 30 bar" in text for text in texts(screen))
    screen.another_asked.emit()
    choice.list.entered.emit("numbers")
    choice.list.entered.emit("0V1.setting")
    choice.value.setText("3000")
    qtbot.keyClick(choice.value, Qt.Key.Key_Return)
    assert "out of reach" in choice.told.text()
    choice.value.setText("40 bar")
    qtbot.keyClick(choice.value, Qt.Key.Key_Return)
    assert [one.machine["0V1.setting"] for one in screen_of(board).pair.both] == [30 * BAR, 40 * BAR]
    screen_of(board).another_asked.emit()
    assert any(item.key == "none" for item in choice.list.items.items)
    qtbot.keyClick(choice, Qt.Key.Key_Escape)
    qtbot.keyClick(screen_of(board), Qt.Key.Key_Escape)
    assert board.stage.screen is None
    assert board.session.control("0V1.setting") == 30 * BAR


@pytest.mark.soak
def test_a_lever_of_one_rig_alone_is_told_and_a_file_with_faults_changes_nothing(
    make_board: MakeBoard, bench: Rig, tmp_path: Path
) -> None:
    board = make_board(bench)
    beside(board).show_rig(resources.rigs()["bank-parallel"])
    rack: BesideRack = screen_of(board).rack
    assert rack.levers["second:2V1.lever"].accessibleName() == "Tilt lever, only 2"
    rack.levers["second:2V1.lever"].motion.set_exactly(0.3)
    pass_time(board, 2 * FRAME)
    assert screen_of(board).pair.second.control("2V1.lever") == 0.3
    before = screen_of(board)
    (tmp_path / "bad.toml").write_text("format = 1\n")
    assert not beside(board).show_rig(tmp_path / "bad.toml")
    assert screen_of(board) is before
    there(board.presenter(OpeningPresenter).faults.dialog).close()
    before.left.emit()
    board.controller.covers.put(Cover.all_of(bench), "Frozen until the class commits")
    beside(board).change_screen()
    assert board.stage.screen is None


def test_from_both_rigs_to_the_class_view_the_levers_are_the_boards(make_board: MakeBoard, bench: Rig) -> None:
    """The hands that both rigs share have levers which the rig of the board has not."""
    board = make_board(bench)
    beside(board).show_rig(resources.rigs()["bank-parallel"])
    assert "second:2V1.lever" in board.controller.operator.levers
    change_class(board)
    rack = class_view_of(board).rack
    assert [*rack.levers] == ["1V1.lever"]
    board.run()
    rack.levers["1V1.lever"].motion.set_exactly(0.4)
    pass_time(board, 0.2)
    assert board.session.control("1V1.lever") == 0.4


@pytest.mark.soak
@pytest.mark.parametrize(
    ("one", "other", "system"),
    [
        ("timber-trailer-loader", "bank-parallel", System.US),
        ("open-centre", "constant-pressure", System.METRIC),
        ("one-spool-bench", "", System.US),
    ],
)
def test_nothing_overlaps_is_cut_or_is_small(make_board: MakeBoard, one: str, other: str, system: System) -> None:
    board = make_board(shipped(one), "dark", system)
    if other:
        beside(board).show_rig(resources.rigs()[other])
    else:
        less = 0.9 * board.session.machine["0P1.displacement"]
        beside(board).show_changed(Otherwise({"0P1.displacement": less}))
    screen = screen_of(board)
    for lever in screen.rack.levers.values():
        lever.motion.set_exactly(0.6)
    pass_time(board, 0.8)
    for size in ((1280, 720), (960, 540), (1366, 768), (1920, 1080)):
        board.resize(*size)
        pass_time(board, 0.2)
        assert screen.size().toTuple() == size
        canvases = [*(head.canvas for head in screen.heads), screen.ramp.canvas, screen.band.canvas]
        for canvas in (*canvases, screen.power.canvas, screen.rack.canvas):
            found = canvas.texts()
            for k, (text, box, height) in enumerate(found):
                assert height >= 12, text
                assert QRectF(canvas.widget.rect()).adjusted(-1, -3, 1, 3).contains(box), (text, box, size)
                others = (word for word, place, _ in found[k + 1 :] if place.adjusted(1, 2, -1, -2).intersects(box))
                assert next(others, None) is None, (text, size)
        levers = [lever.geometry() for lever in screen.rack.levers.values()]
        for text, box, _ in screen.rack.canvas.texts():
            assert not any(QRectF(lever).intersects(box.adjusted(1, 2, -1, -2)) for lever in levers), (text, size)


def test_typing_seeks_headings_stay_and_nothing_found_is_said(make_board: MakeBoard, qtbot: QtBot) -> None:
    board = make_board(shipped("two-pumps-hi-lo"))
    qtbot.keyClick(board, Qt.Key.Key_F8, SHIFT)
    choice = there(beside(board).choice)
    qtbot.keyClicks(choice.list, "l")  # what is typed in the list goes to the line
    qtbot.keyClicks(choice.line, "oad-sens")
    shown = {item.key for item in choice.list.items.items if not item.heading}
    assert shown == {str(one.path) for one in found(shelf(), "load-sens")}  # as the list of rigs has it
    assert shown
    qtbot.keyClicks(choice.line, " xyz")
    qtbot.keyClick(choice.line, Qt.Key.Key_Return)
    assert board.stage.screen is choice
    assert choice.none.isVisible()
    assert choice.none.text().startswith("No rig has “load-sens xyz”")
    assert choice.line.accessibleDescription() == choice.none.text()
    qtbot.keyClick(choice.line, Qt.Key.Key_Escape)
    assert choice.list.key == "worn"
    qtbot.keyClick(choice.line, Qt.Key.Key_Return)
    qtbot.keyClicks(choice.list, "s")
    qtbot.keyClicks(choice.line, "lip failed")
    slips = [k for k, item in enumerate(choice.list.items.items) if item.words.startswith("Slip")]
    above = [choice.list.items.items[k - 1] for k in slips]
    assert len(slips) == 2
    assert all(item.heading for item in above)
    assert above[0].words != above[1].words
    qtbot.keyClicks(choice.line, " xyz")
    assert choice.none.text() == "Nothing here has “slip failed xyz” in its name."


@pytest.mark.parametrize("asked", ["lessons", "practice"])
def test_from_lessons_or_practice_one_comes_back_to_both_rigs(board: BoardWindow, asked: str, qtbot: QtBot) -> None:
    beside(board).show_changed(Otherwise({"0V1.setting": 150 * BAR}))
    screen = screen_of(board)
    pass_time(board, 0.1)
    time = screen.pair.time
    board.stage.actions[asked].trigger()
    assert there(board.stage.screen) is not screen
    qtbot.keyClick(there(board.stage.screen), Qt.Key.Key_Escape)
    assert board.stage.screen is screen
    assert (screen.pair.time, screen.pair.running) == (time, False)
    qtbot.keyClick(board, Qt.Key.Key_Space)
    pass_time(board, 0.1)
    assert screen.pair.time > time  # both have the clock again
    qtbot.keyClick(screen, Qt.Key.Key_Escape)
    board.stage.actions[asked].trigger()
    qtbot.keyClick(there(board.stage.screen), Qt.Key.Key_Escape)
    assert board.stage.screen is None
