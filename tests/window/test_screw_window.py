"""Screws, loads and oil on the real window."""

from __future__ import annotations

import approved_lists
import pytest
from board_moves import MakeBoard, pass_time
from PySide6.QtCore import Qt
from pytestqt.qtbot import QtBot
from rig_moves import BAR, LEFT, button

from trainer.drawing.screw import screw_head
from trainer.rig.rig import Rig
from trainer.window.rig.presenter import RigPresenter
from trainer.window.rig.screw_view import ScrewView
from trainer.window.shell.window import BoardWindow


@pytest.fixture
def presenter(board: BoardWindow, qtbot: QtBot) -> RigPresenter:
    """The numbers of the bench, opened by their key."""
    board.activateWindow()
    qtbot.keyClick(board, Qt.Key.Key_F7)
    return board.presenter(RigPresenter)


# -- screws, loads, oil ----------------------------------------------------------------------------------------------


def test_a_screw_is_turned_by_mouse_and_key(presenter: RigPresenter, board: BoardWindow, qtbot: QtBot) -> None:
    presenter.show_part("0V1")
    view = presenter.pane.findChild(ScrewView)
    assert view is not None
    qtbot.mouseClick(view.out, LEFT)
    assert board.snapshot()["notice"] == "Loosen the lock-nut of 0V1 first."
    qtbot.mouseClick(view.lock, LEFT)
    assert view.lock.text() == "Tighten the lock-nut"
    assert board.snapshot()["notice"] == "The lock-nut of 0V1 is loose: its setting can creep. Tighten it."
    qtbot.mouseClick(view.out, LEFT)  # an eighth of 20 bar a turn
    assert board.session.asked("0V1.setting") == 47.5 * BAR
    qtbot.mouseClick(view.out, LEFT, Qt.KeyboardModifier.ShiftModifier)
    assert board.session.asked("0V1.setting") == 42.5 * BAR
    qtbot.keyClick(view.in_, Qt.Key.Key_Return)
    assert board.session.asked("0V1.setting") == 45 * BAR
    qtbot.keyClick(view.in_, Qt.Key.Key_Return, Qt.KeyboardModifier.ShiftModifier)
    assert board.session.asked("0V1.setting") == 50 * BAR
    qtbot.mouseClick(view.out, LEFT)
    assert view.setting == "47.5 bar"
    assert len(presenter.changes.done) == 1  # one screw, one after the other: one step
    qtbot.mouseClick(view.lock, LEFT)
    assert board.snapshot()["notice"] == "The lock-nut of 0V1 is tight. The setting stays 47.5 bar."
    assert board.session.asked("0V1.setting") == 47.5 * BAR
    presenter.undo()
    assert view.setting == "50.0 bar"


def test_a_setting_beyond_the_spring_says_that_another_is_put_in(
    presenter: RigPresenter, board: BoardWindow, qtbot: QtBot
) -> None:
    """Before it is done where the nut is tight, after it where it is loose, and at the screw from then on."""
    told = "The spring of 0V1 reaches 100 bar: one up to 200 bar is put in."
    presenter.show_part("0V1")
    presenter.ask("0V1.setting", 150 * BAR)
    assert told in presenter.pane.question.question
    qtbot.mouseClick(presenter.pane.question.no, LEFT)
    presenter.set_nut("0V1", True)
    presenter.ask("0V1.setting", 150 * BAR)
    assert board.snapshot()["notice"] == f"Relief valve 0V1: pressure at rated flow 50 → 150 bar. {told}"
    view = presenter.pane.findChild(ScrewView)
    assert view is not None
    words = " ".join(label.text() for label in view.words.values())
    assert "the spring, not the file's, reaches 200 bar" in words


def test_a_loose_nut_is_told_when_it_is_left(presenter: RigPresenter, board: BoardWindow) -> None:
    presenter.show_part("0V1")
    presenter.set_nut("0V1", True)
    board.tell("something else")
    presenter.pane.closed.emit()
    assert board.snapshot()["notice"] == "The lock-nut of 0V1 is loose: its setting can creep. Tighten it."


def test_the_gauge_at_the_screw(presenter: RigPresenter, board: BoardWindow) -> None:
    presenter.show_part("0V1")
    view = presenter.pane.findChild(ScrewView)
    assert view is not None
    pass_time(board, 0.5)
    figures, unit = board.snapshot()["instruments"]["P1"]
    assert view.gauge() == f"gauge P1: {figures} {unit}"
    board.dials.toggle(1)
    assert view.gauge() == "gauge P1: covered"


def test_a_section_without_a_gauge_says_so(make_board: MakeBoard, loader: Rig) -> None:
    window = make_board(loader)
    presenter = window.presenter(RigPresenter)
    presenter.show_part("3V1")
    view = presenter.pane.findChild(ScrewView)
    assert view is not None
    assert view.gauge() == "no gauge on A3 or B3: fit one"


def test_the_picture_of_a_screw() -> None:
    """Turned in by an eighth more than four turns with its nut loose, beside one at slack with its nut tight."""
    approved_lists.check(
        "screw", [*screw_head(4.125, True, 100.0, 100.0, 60.0), *screw_head(0.0, False, 300.0, 100.0, 60.0)]
    )


@pytest.mark.soak
def test_a_load_is_hooked_on_through_the_rack(make_board: MakeBoard, loader: Rig, qtbot: QtBot) -> None:
    window = make_board(loader)
    presenter = window.presenter(RigPresenter)
    presenter.show_part("3W1")
    qtbot.mouseClick(button(presenter.pane, "Hook 250 kg on Load crane 3W1"), LEFT)
    pass_time(window, 1 / 60)
    assert window.rack.handles["3W1.load"].motion.value == 250.0
    window.run()
    pass_time(window, 0.5)
    assert window.session.readings.control("3W1", "load") == 250.0
    assert button(presenter.pane, "Hook 250 kg on Load crane 3W1").isChecked()
    qtbot.mouseClick(button(presenter.pane, "Drop what hangs on Load crane 3W1"), LEFT)
    pass_time(window, 0.5)
    assert window.session.readings.control("3W1", "load") == 0.0
    presenter.undo()
    pass_time(window, 0.5)
    assert window.session.readings.control("3W1", "load") == 250.0


def test_a_weight_goes_on_in_three_tenths(presenter: RigPresenter, board: BoardWindow, qtbot: QtBot) -> None:
    presenter.show_part("1W1")
    qtbot.mouseClick(button(presenter.pane, "Drop what hangs on Weight 1W1"), LEFT)
    pass_time(board, 0.15)
    assert 100 < board.session.taken("1W1.mass") < 150
    pass_time(board, 0.2)
    assert board.session.taken("1W1.mass") == 0.5


def test_oil_cold_warm_hot_by_buttons(presenter: RigPresenter, board: BoardWindow, qtbot: QtBot) -> None:
    presenter.show_part("oil")
    for name, celsius in (("Oil cold, 5 °C", 5.0), ("Oil hot, 80 °C", 80.0), ("Oil warm, 45 °C", 45.0)):
        qtbot.mouseClick(button(presenter.pane, name), LEFT)
        pass_time(board, 0.4)
        assert board.session.temperature == pytest.approx(celsius, abs=0.1)
        assert button(presenter.pane, name).isChecked()
    assert presenter.changes.different() == []
