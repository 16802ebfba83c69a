"""The numbers of the rig on the real window: found, written, undone, saved, marked."""

from __future__ import annotations

import itertools
from pathlib import Path

import pytest
from board_moves import MakeBoard, opening_of, pass_time
from looks import SYSTEMS, sizes
from PySide6.QtCore import QPoint, QStandardPaths, Qt
from PySide6.QtWidgets import QFileDialog
from pytestqt.qtbot import QtBot
from rig_moves import BAR, CTRL, LEFT, button, click, listed, row_of, write
from scipy import constants

from trainer import resources
from trainer.drawing.picking import Pick
from trainer.errors import SolverError
from trainer.rig import file as rig_file
from trainer.rig.rig import Rig
from trainer.units import System
from trainer.window.controls.buttons import WordButton
from trainer.window.rig.number import NumberRow
from trainer.window.rig.presenter import RigPresenter
from trainer.window.rig.screw_view import ScrewView
from trainer.window.shell.window import BoardWindow


@pytest.fixture
def presenter(board: BoardWindow, qtbot: QtBot) -> RigPresenter:
    """The numbers of the bench, opened by their key."""
    board.activateWindow()
    qtbot.keyClick(board, Qt.Key.Key_F7)
    return board.presenter(RigPresenter)


# -- finding ---------------------------------------------------------------------------------------------------------


def test_a_part_picked_on_the_drawing_is_shown(presenter: RigPresenter, board: BoardWindow) -> None:
    board.drawing.picked.emit(Pick("part", "1A1"))
    assert presenter.pane.part == "1A1"
    board.drawing.picked.emit(Pick("line", "P1"))
    assert presenter.pane.part == "1A1"
    presenter.pane.closed.emit()
    board.drawing.picked.emit(Pick("part", "0V1"))
    assert not presenter.pane.isVisible()


@pytest.mark.soak
def test_every_part_of_the_loader_can_be_shown(make_board: MakeBoard, loader: Rig, qtbot: QtBot) -> None:
    window = make_board(loader)
    presenter = window.presenter(RigPresenter)
    presenter.change_pane()
    for id_ in ("oil", *loader.parts):
        presenter.show_part(id_)
        known = [about for about in presenter.changes.known.values() if about.part == id_]
        assert len([row for row in presenter.pane.rows if row.objectName().startswith(("number", "words"))]) == len(
            known
        )
        for row in presenter.pane.rows:
            assert row.accessibleName(), row.objectName()
            assert row.width() <= presenter.pane.area.viewport().width()
        bottoms = [row.geometry().bottom() for row in presenter.pane.rows]
        assert bottoms == sorted(bottoms)


# -- writing ---------------------------------------------------------------------------------------------------------


def test_a_number_is_written_while_the_rig_runs(presenter: RigPresenter, board: BoardWindow, qtbot: QtBot) -> None:
    presenter.set_nut("0V1", loose=True)
    presenter.show_part("0V1")
    row = row_of(presenter.pane, "0V1.setting")
    assert row.text() == "50 bar"
    assert "1 to 450 bar" in row.accessibleDescription()
    write(qtbot, row, "30")
    assert board.session.asked("0V1.setting") == 30 * BAR
    assert board.session.running
    assert row.text() == "30 bar"
    assert "changed" in row.accessibleDescription()
    assert board.snapshot()["notice"] == "Relief valve 0V1: pressure at rated flow 50 → 30 bar."
    assert button(row, "File's 0V1.setting").text() == "File's 50 bar"
    assert button(row, "Usual 0V1.setting").text() == "Usual 175 bar"
    button(row, "Usual 0V1.setting").click()
    assert board.session.asked("0V1.setting") == 175 * BAR
    qtbot.keyClick(row, Qt.Key.Key_Delete)
    assert board.session.asked("0V1.setting") == 50 * BAR
    assert "changed" not in row.accessibleDescription()


def test_settings_are_offered_in_round_numbers_of_the_shown_units(
    presenter: RigPresenter, board: BoardWindow
) -> None:
    presenter.set_nut("0V1", loose=True)
    presenter.show_part("0V1")
    board.set_system(System.US)
    row = row_of(presenter.pane, "0V1.setting")
    assert "15 to 6500 psi" in row.accessibleDescription()
    usual = button(row, "Usual 0V1.setting")
    assert usual.text() == "Usual 2500 psi"  # 175 bar are 2538 psi
    usual.click()
    assert row.text() == "2500 psi"
    assert usual.isHidden()
    assert board.session.asked("0V1.setting") == pytest.approx(2500 * constants.psi)


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ("much", "That is not a number. Write one from 1 to 450 bar."),
        ("700", "700 is out of reach. Write a number from 1 to 450 bar."),
        ("30 mm", "Write the number in bar, from 1 to 450 bar."),
    ],
)
def test_bad_input_is_told_and_stays_open(
    presenter: RigPresenter, board: BoardWindow, qtbot: QtBot, typed: str, said: str
) -> None:
    presenter.show_part("0V1")
    row = row_of(presenter.pane, "0V1.setting")
    write(qtbot, row, typed)
    assert board.snapshot()["notice"] == said
    assert row.entry is not None
    qtbot.keyClick(row.entry, Qt.Key.Key_Escape)
    assert row.entry is None
    assert presenter.changes.different() == []


def test_an_entry_that_is_left_as_it_is_changes_nothing(
    presenter: RigPresenter, board: BoardWindow, qtbot: QtBot
) -> None:
    board.change_system()
    presenter.show_part("0V1")
    row = row_of(presenter.pane, "0V1.setting")
    assert row.text() == "725 psi"  # 50 bar is 725.19 psi: what is shown is rounded
    row.setFocus()
    qtbot.keyClick(row, Qt.Key.Key_Return)
    assert row.entry is not None
    qtbot.keyClick(row.entry, Qt.Key.Key_Return)
    assert presenter.changes.different() == []


def test_a_tight_lock_nut_holds_the_number_as_it_holds_the_screw(
    presenter: RigPresenter, board: BoardWindow, qtbot: QtBot
) -> None:
    """Typed, it is asked about: loosened, set and tightened are one step to undo. Other numbers know no nut."""
    presenter.show_part("0V1")
    row, question = row_of(presenter.pane, "0V1.setting"), presenter.pane.question
    with pytest.raises(ValueError, match="Loosen the lock-nut of 0V1 first"):
        presenter.screw("0V1").turn(1)
    for answer in (question.no, question.yes):
        write(qtbot, row, "30")
        assert presenter.changes.different() == []
        assert question.question == (
            "The lock-nut of 0V1 is tight. Loosen it, set 50 → 30 bar with the screw, and tighten it again?"
        )
        assert question.yes.text() == "Loosen, set, tighten"
        qtbot.mouseClick(answer, LEFT)
        assert not question.isVisible()
    assert board.session.asked("0V1.setting") == 30 * BAR
    assert not presenter.screw("0V1").loose
    assert len(presenter.changes.done) == 1
    for name in ("Usual", "File's"):
        button(row_of(presenter.pane, "0V1.setting"), f"{name} 0V1.setting").click()
        assert question.isVisible()
        assert board.session.asked("0V1.setting") == 30 * BAR
        qtbot.mouseClick(question.no, LEFT)
    presenter.undo()
    assert board.session.asked("0V1.setting") == 50 * BAR
    write(qtbot, row_of(presenter.pane, "0V1.override"), "20")
    assert not question.isVisible()
    presenter.ask("0P1.kind", next(one for one in presenter.changes.known["0P1.kind"].options if one != "piston"))
    assert question.yes.text() == "Build it anew"


def test_units_change_at_once(presenter: RigPresenter, board: BoardWindow, qtbot: QtBot) -> None:
    presenter.set_nut("0V1", loose=True)
    presenter.show_part("0V1")
    qtbot.keyClick(board, Qt.Key.Key_U, CTRL)
    row = row_of(presenter.pane, "0V1.setting")
    assert row.text() == "725 psi"
    write(qtbot, row, "500")
    assert board.session.asked("0V1.setting") == pytest.approx(500 * 6894.757)
    qtbot.keyClick(board, Qt.Key.Key_U, CTRL)
    assert row_of(presenter.pane, "0V1.setting").text() == "34.47 bar"


def test_the_keyboard_stays_where_it_is(presenter: RigPresenter, board: BoardWindow, qtbot: QtBot) -> None:
    presenter.show_part("0V1")
    row_of(presenter.pane, "0V1.override").setFocus()
    board.change_system()
    assert row_of(presenter.pane, "0V1.override").hasFocus()
    lever = board.rack.levers["1V1.lever"]
    lever.setFocus()
    board.change_system()
    presenter.set("0V1.setting", 30 * BAR)
    presenter.pane.show_changes(focus=False)
    presenter.undo()
    assert lever.hasFocus()


def test_tab_goes_down_the_page(presenter: RigPresenter, board: BoardWindow, qtbot: QtBot) -> None:
    pane = presenter.pane
    presenter.show_part("1V1")
    pane.back.setFocus()
    seen = []
    for _ in range(60):
        qtbot.keyClick(board.focusWidget(), Qt.Key.Key_Tab)
        seen.append(board.focusWidget())
        if seen[-1] is pane.save:
            break
    rows = [row for row in pane.rows if isinstance(row, NumberRow)]
    assert [one for one in seen if one in rows] == rows
    assert seen.index(button(pane, "a fourth position that joins A and B to T: yes")) < seen.index(rows[0])
    assert seen[-1] is pane.save


def test_letters_of_an_entry_move_no_lever(presenter: RigPresenter, board: BoardWindow, qtbot: QtBot) -> None:
    qtbot.keyClicks(presenter.pane.finder, "qa")
    pass_time(board, 0.2)
    assert board.rack.levers["1V1.lever"].motion.value == 0.0


# -- what is built in ------------------------------------------------------------------------------------------------


def test_what_is_built_in_is_asked_before(presenter: RigPresenter, board: BoardWindow, qtbot: QtBot) -> None:
    presenter.show_part("1A1")
    old = board.session
    row = row_of(presenter.pane, "1A1.bore")
    assert "changed at rest" in row.accessibleDescription()
    write(qtbot, row, "50")
    question = presenter.pane.question
    assert question.isVisible()
    assert question.question.startswith(
        "Lift cylinder 1A1: inside diameter 40 → 50 mm. This cannot be changed while it runs"
    )
    assert question.yes.hasFocus()
    qtbot.keyClick(question.yes, Qt.Key.Key_Escape)
    assert presenter.pane.isVisible()
    assert board.session is old
    write(qtbot, row_of(presenter.pane, "1A1.bore"), "50")
    qtbot.keyClick(presenter.pane.question.yes, Qt.Key.Key_Return)
    assert board.session is not old
    assert board.session.time == 0.0
    assert not board.session.running
    assert presenter.pane.isVisible()  # on the new page, with the same part
    assert presenter.pane.part == "1A1"
    assert row_of(presenter.pane, "1A1.bore").text() == "50 mm"
    board.run()
    pass_time(board, 0.3)
    assert board.isWindowModified()


def test_undo_of_what_is_built_in_asks_too(presenter: RigPresenter, board: BoardWindow, qtbot: QtBot) -> None:
    presenter.set("0V1.given_by", "spring")
    built = board.session
    presenter.pane.closed.emit()
    qtbot.keyClick(board, Qt.Key.Key_Z, CTRL)
    assert presenter.pane.question.question.startswith(
        "Taken back: Relief valve 0V1: which numbers describe it spring → setting."
    )
    qtbot.mouseClick(presenter.pane.question.no, LEFT)
    assert board.session is built
    presenter.undo()
    qtbot.mouseClick(presenter.pane.question.yes, LEFT)
    assert board.session is not built
    assert presenter.changes.different() == []


def test_words_are_chosen(presenter: RigPresenter, board: BoardWindow, qtbot: QtBot) -> None:
    presenter.show_part("1V1")
    word = button(presenter.pane, "ports with a relief and an anti-cavitation check: both")
    qtbot.mouseClick(word, LEFT)
    assert not word.isChecked()  # not before the answer
    qtbot.mouseClick(presenter.pane.question.yes, LEFT)
    assert board.session.rig.parts["1V1"].choice("port_reliefs") == "both"
    assert button(presenter.pane, "ports with a relief and an anti-cavitation check: both").isChecked()
    assert presenter.pane.findChild(ScrewView) is not None


def test_numbers_that_cannot_be_together_are_told(presenter: RigPresenter, board: BoardWindow, qtbot: QtBot) -> None:
    presenter.ask("1A1.bore", 0.025)
    qtbot.mouseClick(presenter.pane.question.yes, LEFT)
    assert board.snapshot()["notice"].startswith("Lift cylinder 1A1: the rod is as thick as the bore")
    assert presenter.changes.different() == []


# -- undo ------------------------------------------------------------------------------------------------------------


def test_undo_and_redo_by_key(presenter: RigPresenter, board: BoardWindow, qtbot: QtBot) -> None:
    presenter.set("0V1.setting", 30 * BAR)
    presenter.pane.closed.emit()
    qtbot.keyClick(board, Qt.Key.Key_Z, CTRL)
    assert board.session.asked("0V1.setting") == 50 * BAR
    assert board.snapshot()["notice"] == "Taken back: Relief valve 0V1: pressure at rated flow 30 → 50 bar."
    qtbot.keyClick(board, Qt.Key.Key_Y, CTRL)
    assert board.session.asked("0V1.setting") == 30 * BAR
    qtbot.keyClick(board, Qt.Key.Key_Y, CTRL)
    assert board.snapshot()["notice"] == "There is no change to make again."


def test_a_click_on_the_time_line_changes_nothing_of_the_rig(
    presenter: RigPresenter, board: BoardWindow, qtbot: QtBot, tmp_path: Path
) -> None:
    """Panel, lock-nut, undo and save hold what is now; the instant shows what was then, and says so."""
    presenter.show_part("0V1")
    presenter.set_nut("0V1", True)
    presenter.set("0V1.setting", 30 * BAR)
    pass_time(board, 0.5)
    for time in (0.1, 0.0, 0.3):
        board.rewind(time)
        pass_time(board, 7.0)
        assert board.session.readings.parameter("0V1", "setting") == 50 * BAR
        assert "50 bar" in written(board)
        assert row_of(presenter.pane, "0V1.setting").text() == "30 bar"
        view = presenter.pane.findChild(ScrewView)
        assert view is not None
        assert view.setting == "30.0 bar"
        assert view.lock.text() == "Tighten the lock-nut"
        assert button(presenter.pane, "Undo").isEnabled()
        assert board.isWindowModified()
        assert board.snapshot()["notice"] == (
            "0V1 was 50 bar then; it is 30 bar now. Going on takes what is now; Ctrl+T: as it was then."
        )
    assert presenter.write(tmp_path / "mine.toml")
    assert rig_file.load(tmp_path / "mine.toml").value("0V1", "setting") == 30 * BAR
    board.run()
    pass_time(board, 0.2)
    assert board.session.asked("0V1.setting") == 30 * BAR
    assert "30 bar" in written(board)
    assert "then" not in str(board.snapshot()["notice"])


def test_one_key_lets_the_machine_be_as_it_was_then(
    presenter: RigPresenter, board: BoardWindow, qtbot: QtBot
) -> None:
    presenter.set("0V1.setting", 30 * BAR)
    pass_time(board, 0.5)
    board.rewind(0.1)
    assert listed(presenter.pane)[:2] == ["As in the file", "As it was then"]
    qtbot.keyClick(board, Qt.Key.Key_T, CTRL)
    assert board.snapshot()["notice"] == "Relief valve 0V1: pressure at rated flow 30 → 50 bar."
    assert presenter.changes.different() == []
    board.run()
    pass_time(board, 0.2)
    assert board.session.asked("0V1.setting") == 50 * BAR
    presenter.undo()
    assert board.session.asked("0V1.setting") == 30 * BAR
    qtbot.keyClick(board, Qt.Key.Key_T, CTRL)
    assert board.snapshot()["notice"] == "The machine was then as it is now."


def test_the_start_again_keeps_numbers_and_screws(presenter: RigPresenter, board: BoardWindow, qtbot: QtBot) -> None:
    board.rack.levers["1V1.lever"].motion.set_exactly(0.5)
    presenter.set("0V1.setting", 170 * BAR)
    pass_time(board, 0.5)
    qtbot.keyClick(board, Qt.Key.Key_Home, CTRL)
    assert board.session.time == 0.0
    assert board.session.asked("0V1.setting") == 170 * BAR
    assert listed(presenter.pane)[0] == "As in the file"
    assert board.rack.levers["1V1.lever"].motion.value == 0.0
    presenter.undo()
    assert board.session.asked("0V1.setting") == 50 * BAR


def test_a_start_that_cannot_be_found_is_told_and_nothing_is_lost(
    presenter: RigPresenter, board: BoardWindow, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refuse(*_: object) -> None:
        raise SolverError("No way.")

    presenter.set("0V1.setting", 170 * BAR)
    time = board.session.time
    with monkeypatch.context() as patch:
        patch.setattr(board.session.solver, "call", refuse)
        board.reset()
    assert board.session.time == time > 0.0
    assert str(board.snapshot()["notice"]).startswith("No start can be found with these numbers: No way.")


def test_as_in_the_file_is_a_row_and_one_step(presenter: RigPresenter, board: BoardWindow, qtbot: QtBot) -> None:
    presenter.set("0V1.setting", 30 * BAR)
    presenter.set("0V1.override", 0.2)
    click(qtbot, presenter.pane, "As in the file")
    assert board.snapshot()["notice"] == "As in the file: 2 numbers."
    assert presenter.changes.different() == []
    assert not board.isWindowModified()
    assert listed(presenter.pane)[0] == "oil"
    qtbot.keyClick(board, Qt.Key.Key_Z, CTRL)
    assert board.snapshot()["notice"] == "Taken back: as in the file, 2 numbers."
    assert len(presenter.changes.different()) == 2
    presenter.set("1V1.port_reliefs", "both")
    presenter.as_in_file()
    assert presenter.pane.question.question.startswith("As in the file: 3 of its numbers.")
    qtbot.mouseClick(presenter.pane.question.yes, LEFT)
    assert presenter.changes.changed_rig() == presenter.changes.original
    presenter.as_in_file()
    assert board.snapshot()["notice"] == "The machine is as in its file."


def written(board: BoardWindow) -> list[str]:
    """Return what the drawing writes of what stands still."""
    board.drawing.grab()
    return [words.text for words in board.drawing.words.shown]


@pytest.mark.parametrize("running", [True, False])
def test_setting_and_screw_agree_at_every_turn(
    presenter: RigPresenter, board: BoardWindow, qtbot: QtBot, running: bool
) -> None:
    """What the drawing writes at the relief and what its screw says, painted after the same click."""
    board.run(running)
    presenter.show_part("0V1")
    presenter.set_nut("0V1", True)
    for _ in range(5):
        presenter.turn("0V1", -1)
        view = presenter.pane.findChild(ScrewView)
        assert view is not None
        bar = float(view.setting.split()[0])
        assert f"{bar:g} bar" in written(board)
        assert view.screw.present == board.session.asked("0V1.setting")


# -- saving ----------------------------------------------------------------------------------------------------------


def test_a_change_marks_window_and_board_until_it_is_saved(
    presenter: RigPresenter, board: BoardWindow, qtbot: QtBot, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """By rig and file, in the desktop's manner: Qt shows [*] as its mark where the window is modified."""
    below = [words for words, _, _ in board.bar.canvas.texts()]
    assert board.windowTitle() == "One-spool bench — one-spool-bench.toml[*] · Spoolroom"
    assert "one-spool-bench.toml" in below
    presenter.set("0V1.setting", 30 * BAR)
    assert board.isWindowModified()
    (beside,) = [words for words, _, _ in board.bar.canvas.texts() if words.endswith(", not saved")]
    assert beside.startswith("• one-")
    file = tmp_path / "mine.toml"
    monkeypatch.setattr(QFileDialog, "getSaveFileName", lambda *_: (str(file), ""))
    qtbot.keyClick(board, Qt.Key.Key_S, CTRL)
    assert board.snapshot()["notice"] == "The rig is in mine.toml."
    assert rig_file.load(file).value("0V1", "setting") == 30 * BAR
    assert board.windowTitle() == "One-spool bench — mine.toml[*] · Spoolroom"
    assert not board.isWindowModified()
    assert "mine.toml" in [words for words, _, _ in board.bar.canvas.texts()]
    assert str(file) in board.bar.rigs.accessibleDescription()
    presenter.undo()
    assert board.isWindowModified()


def test_dialogs_begin_beside_the_opened_file_under_its_name(
    presenter: RigPresenter, board: BoardWindow, qtbot: QtBot, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A shipped rig is saved into the documents; one's own over itself. Where a kind went last, the next begins."""
    proposed: list[Path] = []
    answers = [tmp_path / "yard" / "own.toml", Path(), tmp_path / "tables" / "a.csv", Path(), Path(), Path()]

    def answer(window: object, title: str, place: str, *_: object) -> tuple[str, str]:
        proposed.append(Path(place))
        chosen = answers.pop(0)
        return (str(chosen) if chosen.name else "", "")

    for folder in ("documents", "yard", "tables"):
        (tmp_path / folder).mkdir()
    monkeypatch.setattr(QStandardPaths, "writableLocation", lambda _: str(tmp_path / "documents"))
    monkeypatch.setattr(QFileDialog, "getSaveFileName", answer)
    for key in (Qt.Key.Key_S, Qt.Key.Key_S, Qt.Key.Key_E, Qt.Key.Key_E, Qt.Key.Key_P):
        qtbot.keyClick(board, key, CTRL)
    qtbot.keyClick(board, Qt.Key.Key_S, CTRL)
    assert [str(place.relative_to(tmp_path)) for place in proposed] == [
        "documents/one-spool-bench-changed.toml",
        "yard/own.toml",
        "yard/own strip.csv",
        "tables/own strip.csv",
        "yard/own.png",
        "yard/own.toml",
    ]


def test_saving_over_a_shipped_rig_is_refused(presenter: RigPresenter, board: BoardWindow) -> None:
    assert not presenter.write(resources.path("rigs/one-spool-bench.toml"))
    assert "Choose another name." in board.snapshot()["notice"]


def test_a_name_without_an_ending_gets_one(presenter: RigPresenter, board: BoardWindow, tmp_path: Path) -> None:
    assert presenter.write(tmp_path / "mine")
    assert (tmp_path / "mine.toml").exists()
    assert not presenter.write(tmp_path / "mine")
    assert board.snapshot()["notice"] == "mine.toml is there already. Write its full name to replace it."


@pytest.mark.soak
def test_another_rig_begins_without_changes(presenter: RigPresenter, board: BoardWindow) -> None:
    presenter.set("0V1.setting", 30 * BAR)
    assert opening_of(board).open_rig(resources.path("rigs/timber-trailer-loader.toml"))
    assert presenter.changes.session is board.session
    assert presenter.changes.different() == []
    assert not presenter.pane.isVisible()
    presenter.undo()
    assert board.snapshot()["notice"] == "There is no change to take back."


# -- how it looks ----------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("size", sizes((1280, 720), (1920, 1080)))
@pytest.mark.parametrize("system", SYSTEMS)
def test_nothing_lies_over_anything(
    make_board: MakeBoard, loader: Rig, size: tuple[int, int], system: System
) -> None:
    window = make_board(loader, system=system, size=size)
    presenter = window.presenter(RigPresenter)
    for part in ("0V1", "3V1", "3W1", "oil"):
        presenter.show_part(part)
        pane = presenter.pane
        for row in pane.rows:
            inside = [child for child in row.findChildren(WordButton) if not child.isHidden()]
            for child in inside:
                assert row.rect().contains(child.geometry()), (row.objectName(), child.text())
            for k, one in enumerate(inside):
                assert not any(one.geometry().intersects(other.geometry()) for other in inside[k + 1 :])
        feet = [pane.undo, pane.redo, pane.save, pane.differ]
        for one, other in itertools.pairwise(feet):
            assert one.geometry().right() < other.geometry().left()
        assert pane.rect().contains(pane.differ.geometry().topLeft() + QPoint(pane.differ.width() - 1, 0))
