"""Habits of a desktop: menus of what can be done, files dropped, the drawing copied, About, closing unsaved."""

from __future__ import annotations

import re
import tomllib
from importlib import metadata
from pathlib import Path

import pytest
from board_moves import MakeBoard, opening_of, pass_time, there
from drawing_hand import LEVER, where
from menu_moves import choose, offered, right_click
from PySide6.QtCore import QMimeData, QPoint, QPointF, Qt, QUrl
from PySide6.QtGui import QDragEnterEvent, QDropEvent, QGuiApplication
from PySide6.QtWidgets import QApplication, QFileDialog
from pytestqt.qtbot import QtBot

from trainer import __version__, resources
from trainer.changing.recovery import found, read
from trainer.drawing.picking import Pick
from trainer.drawing.shapes import Shape, Words
from trainer.rig.rig import Rig
from trainer.units import System
from trainer.window.board.presenter import BoardPresenter
from trainer.window.compare.presenter import ComparePresenter
from trainer.window.controls.keys import KEYS, keys_for
from trainer.window.dials.presenter import DialsPresenter
from trainer.window.ledgers.presenter import LedgersPresenter
from trainer.window.offers.presenter import OfferPresenter
from trainer.window.recovery.presenter import RecoveryPresenter
from trainer.window.rig.presenter import RigPresenter
from trainer.window.shell.about import EXTRAS, PACKAGES, AboutPresenter, about_words
from trainer.window.shell.window import BoardWindow
from trainer.window.tracing.presenter import TracingPresenter
from trainer.window.working.presenter import WorkingPresenter
from trainer.working import Subject

ROOT = Path(__file__).parents[2]


def drop(window: BoardWindow, *paths: Path) -> bool:
    """Carry files over the window and drop them; return whether they are taken."""
    data = QMimeData()
    data.setUrls([QUrl.fromLocalFile(str(path)) for path in paths])
    left, plain, copy = Qt.MouseButton.LeftButton, Qt.KeyboardModifier.NoModifier, Qt.DropAction.CopyAction
    over = QDragEnterEvent(QPoint(100, 100), copy, data, left, plain)
    over.ignore()
    QApplication.sendEvent(window, over)
    if not over.isAccepted():
        return False
    event = QDropEvent(QPointF(100, 100), copy, data, left, plain)
    event.ignore()
    QApplication.sendEvent(window, event)
    return event.isAccepted()


# -- what can be done with a thing -----------------------------------------------------------------------------------


def test_a_right_click_on_a_part_offers_its_working_its_numbers_and_the_strip(board: BoardWindow) -> None:
    menu = right_click(board, board.drawing, where(board, ("part", "0P1")))
    words = offered(menu)
    assert "0P1" in words[0]
    assert not menu.actions()[0].isEnabled()  # its name is no entry
    for entry in (
        "Show the working",
        "Change its numbers",
        "Follow the oil from here",
        "Show 0P1 delivery on the strip",
    ):
        assert entry in words, words
    assert any(entry.startswith("Fit a tachometer: ") for entry in words)
    choose(menu, "Change its numbers")
    assert board.presenter(RigPresenter).pane.part == "0P1"
    choose(right_click(board, board.drawing, where(board, ("part", "0P1"))), "Show the working")
    assert board.presenter(WorkingPresenter).subject == Subject("part", "0P1")
    choose(right_click(board, board.drawing, where(board, ("part", "0P1"))), "Show 0P1 delivery on the strip")
    assert "0P1 delivery" in [trace.name for trace in board.strip.traces]
    assert "Take 0P1 delivery off the strip" in offered(
        right_click(board, board.drawing, where(board, ("part", "0P1")))
    )


def test_a_right_click_on_a_line_follows_its_oil_and_fits_a_gauge(board: BoardWindow) -> None:
    spot = where(board, ("line", "A1"))
    choose(right_click(board, board.drawing, spot), "Follow the oil from here")
    assert (board.presenter(TracingPresenter).line, board.presenter(TracingPresenter).count is not None) == (
        "A1",
        True,
    )
    menu = right_click(board, board.drawing, spot)
    fit = next(entry for entry in offered(menu) if entry.startswith("Fit a gauge: "))
    choose(menu, "Light the oil's path no more")
    assert board.presenter(TracingPresenter).count is None
    choose(right_click(board, board.drawing, spot), fit)
    steps = board.presenter(DialsPresenter).steps  # no test point: what a mechanic does first
    assert steps.isVisible()
    assert "gauge, lift cylinder, cap end" in steps.title


def test_the_menu_key_offers_what_has_the_keyboard(board: BoardWindow, qtbot: QtBot) -> None:
    board.activateWindow()
    presenter = board.presenter(OfferPresenter)
    for key, modifier in ((Qt.Key.Key_Menu, Qt.KeyboardModifier.NoModifier),
                          (Qt.Key.Key_F10, Qt.KeyboardModifier.ShiftModifier)):  # fmt: skip
        board.drawing.picks.last = Pick("line", "A1")
        board.drawing.setFocus(Qt.FocusReason.TabFocusReason)
        qtbot.keyClick(board.drawing, key, modifier)
        assert presenter.menu is not None
        assert "Follow the oil from here" in offered(presenter.menu)
        presenter.menu.close()
    lever = board.rack.levers[LEVER]
    lever.setFocus()
    qtbot.keyClick(lever, Qt.Key.Key_F10, Qt.KeyboardModifier.ShiftModifier)
    assert presenter.menu is not None
    choose(presenter.menu, "Hold it where it is")
    assert lever.motion.held
    board.flow.setFocus(Qt.FocusReason.TabFocusReason)
    qtbot.keyClick(board.flow, Qt.Key.Key_F10, Qt.KeyboardModifier.ShiftModifier)
    assert offered(presenter.menu)[0] == board.flow.entries[0].name


def test_a_right_click_on_a_dial_covers_it_and_takes_it_off(board: BoardWindow) -> None:
    dial = board.dials.dials[0]
    choose(right_click(board, dial), "Cover it")
    assert dial.covered
    menu = right_click(board, dial)
    assert {"Uncover it", "Show the working", "Take it off"} <= set(offered(menu))
    choose(menu, "Take it off")
    steps = board.board.over.open.get("side")
    assert dial.instrument.name not in board.session.rig.instruments or steps is not None


def test_a_right_click_on_an_entry_lights_its_parts(board: BoardWindow) -> None:
    board.rack.levers[LEVER].motion.set_exactly(0.8)
    pass_time(board, 1.0)
    y = next(y for y in range(board.power.height()) if board.power.entry_at(QPointF(5, y)) is not None)
    entry = board.power.entry_at(QPointF(5, y))
    menu = right_click(board, board.power, QPoint(5, y))
    assert offered(menu)[0] == there(entry).name
    choose(menu, "Keep its parts lit")
    assert board.drawing.state.lit == {("part", id_) for id_ in there(entry).parts}
    choose(right_click(board, board.power, QPoint(5, y)), "Ledgers over time")
    assert board.presenter(LedgersPresenter).pane.isVisible()


def test_every_view_of_the_page_offers_something(make_board: MakeBoard, loader: Rig) -> None:
    window = make_board(loader, view="both", size=(1600, 900))
    window.run()
    pass_time(window, 0.3)
    page, seen = window.board, set()
    for view in [page.drawing, *page.drawing.handles.values(), page.machine, *page.rack.handles.values(),
                 page.time_line, *page.dials.dials, *page.dials.rail.items.values(), page.flow, page.power,
                 page.strip, page.bar, page.notice]:  # fmt: skip
        if not view.isVisible():
            continue
        menu = right_click(window, view)
        assert len(offered(menu)) >= 2, view
        seen.add(offered(menu)[0])
        menu.close()
    assert len(seen) > 12


def test_while_the_path_is_asked_for_nothing_tells_it(board: BoardWindow) -> None:
    board.rack.levers[LEVER].motion.set_exactly(0.8)
    pass_time(board, 1.0)
    board.presenter(TracingPresenter).change_asking()
    words = offered(right_click(board, board.drawing, where(board, ("line", "A1"))))
    assert words[:3] == ["The oil's path is asked for", "Show a step", "End the questions"]
    assert not [entry for entry in words if "A1" in entry]


def test_space_is_the_clocks_over_a_menu_too(board: BoardWindow, qtbot: QtBot) -> None:
    menu = right_click(board, board.drawing, QPoint(3, 3))
    qtbot.keyClick(menu, Qt.Key.Key_Space)
    assert not board.session.running


# -- files -----------------------------------------------------------------------------------------------------------


def test_a_rig_file_dropped_on_the_window_opens(board: BoardWindow, qtbot: QtBot, tmp_path: Path) -> None:
    own = tmp_path / "own.toml"
    text = resources.path("rigs/one-spool-bench.toml").read_text("utf-8")
    own.write_text(text.replace('title = "One-spool bench"', 'title = "Our own bench"'), "utf-8")
    assert drop(board, own)
    qtbot.waitUntil(lambda: board.session.rig.title == "Our own bench")
    qtbot.waitUntil(lambda: bool(board.strip.curves))
    assert not drop(board, own, own)  # one at a time
    bad = tmp_path / "bad.toml"
    bad.write_text("[parts", "utf-8")
    assert drop(board, bad)
    qtbot.waitUntil(lambda: opening_of(board).faults.dialog is not None)
    there(opening_of(board).faults.dialog).reject()
    assert board.session.rig.title == "Our own bench"


@pytest.mark.parametrize("size", [(1280, 720), (1920, 1080)])
def test_the_file_dialog_is_one_click_away(
    make_board: MakeBoard, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch, size: tuple[int, int]
) -> None:
    window = make_board(size=size)
    asked: list[str] = []

    def ask(_: object, title: str, *_rest: object) -> tuple[str, str]:
        asked.append(title)
        return "", ""

    monkeypatch.setattr(QFileDialog, "getOpenFileName", ask)
    assert window.bar.open.isVisible()
    qtbot.mouseClick(window.bar.open, Qt.MouseButton.LeftButton)
    window.activateWindow()
    qtbot.keyClick(window, Qt.Key.Key_O, Qt.KeyboardModifier.ControlModifier)
    qtbot.keyClick(window.board.rigs.list, Qt.Key.Key_Return)
    assert asked == ["Open a rig"] * 2


def test_ctrl_c_copies_the_drawing(board: BoardWindow, qtbot: QtBot) -> None:
    board.activateWindow()
    board.change_theme()
    QGuiApplication.clipboard().clear()
    qtbot.keyClick(board, Qt.Key.Key_C, Qt.KeyboardModifier.ControlModifier)
    copied = QGuiApplication.clipboard().image()
    assert copied.width() > 600
    assert copied.pixelColor(2, 2).lightness() > 240  # paper, however dark the screen is
    inks = {copied.pixelColor(x, y).lightness() < 60 for x in range(0, copied.width(), 3) for y in range(0, 900, 7)}
    assert inks == {True, False}
    assert "clipboard" in board.snapshot()["notice"]


def test_a_copied_drawing_covers_what_is_covered(board: BoardWindow, monkeypatch: pytest.MonkeyPatch) -> None:
    drawn: list[Shape] = []
    monkeypatch.setattr("trainer.window.painting.picture.paint", lambda painter, shapes, *rest: drawn.extend(shapes))

    def words() -> set[str]:
        drawn.clear()
        board.presenter(BoardPresenter).copy_picture()
        return {shape.text for shape in drawn if isinstance(shape, Words)}

    open_ = words()
    board.presenter(BoardPresenter).cover_all()
    covered = words()
    assert any(text.endswith("r/min") for text in open_ - covered)
    assert any(text.endswith("bar") for text in open_ - covered)
    assert [text for text in covered if re.fullmatch(r"[\d.]+ (bar|r/min|L/min)", text)] == ["50 bar"]  # a screw


@pytest.mark.soak
def test_another_rig_opened_over_unsaved_changes_keeps_them(board: BoardWindow, tmp_path: Path) -> None:
    board.presenter(RecoveryPresenter).begin(tmp_path)
    assert opening_of(board).open_rig(resources.path("rigs/one-spool-bench.toml"))
    assert found(tmp_path) == []  # nothing was changed
    board.presenter(RigPresenter).set("0V1.setting", 60e5)
    pass_time(board, 0.3)
    assert not opening_of(board).open_rig(tmp_path / "none.toml")
    there(opening_of(board).faults.dialog).reject()
    assert opening_of(board).open_rig(resources.path("rigs/timber-trailer-loader.toml"))
    assert board.snapshot()["notice"] == (
        "What was changed in One-spool bench and not saved is kept, and offered at the next start."
    )
    board.end()
    (kept,) = found(tmp_path)
    (change,) = read(kept).differences()
    assert change.words(System.METRIC).endswith("50 → 60 bar")


# -- about -----------------------------------------------------------------------------------------------------------


def test_about_names_every_dependency_with_version_and_licence(board: BoardWindow, qtbot: QtBot) -> None:
    wanted = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))["project"]["dependencies"]
    names = {re.split(r"[<>=!; ]", line)[0].lower() for line in wanted}
    assert names <= {package.lower() for package in PACKAGES}
    extras = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))["project"]["optional-dependencies"]
    named = {re.split(r"[<>=!; ]", line)[0] for name in ("pad", "sound") for line in extras[name]}
    assert named == {package.lower() for package in EXTRAS}
    board.activateWindow()
    qtbot.keyClick(board, Qt.Key.Key_F1, Qt.KeyboardModifier.ControlModifier)
    pane = board.presenter(AboutPresenter).pane
    assert pane.isVisible()
    pane.copy_all()
    told = QGuiApplication.clipboard().text()
    assert told == about_words(
        "Equations run in CasADi's virtual machine: there is no C compiler here, or none is to be used."
    )
    for package in (*PACKAGES, *EXTRAS):
        line = next(line for line in told.splitlines() if line.startswith(f"{package} · "))
        assert metadata.version(package) in line
        assert len(line.split(" · ")[2]) >= 3
    assert f"Spoolroom · {__version__} · MIT" in told
    assert "Qt · 6" in told
    assert "Python · 3" in told
    qtbot.keyClick(pane.text, Qt.Key.Key_Escape)
    assert not pane.isVisible()


# -- closing ---------------------------------------------------------------------------------------------------------


def test_closing_unsaved_says_what_becomes_of_it(board: BoardWindow, qtbot: QtBot, tmp_path: Path) -> None:
    board.presenter(RecoveryPresenter).begin(tmp_path)
    board.presenter(RigPresenter).set("0V1.setting", 60e5)
    pass_time(board, 0.3)
    assert not board.close()
    dialog = board.closing.dialog
    assert dialog is not None
    assert dialog.text() == "One number is changed in One-spool bench and not saved as a rig."
    assert "kept" in dialog.informativeText()
    assert "Take them up again" in dialog.informativeText()
    qtbot.mouseClick(board.closing.stay, Qt.MouseButton.LeftButton)
    assert board.isVisible()
    pass_time(board, 0.2)
    assert not board.close()
    qtbot.mouseClick(board.closing.close, Qt.MouseButton.LeftButton)
    assert not board.isVisible()
    (kept,) = found(tmp_path)
    assert "60 bar" in kept.read_text("utf-8")


def test_closing_can_save_the_rig(
    board: BoardWindow, qtbot: QtBot, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    board.presenter(RecoveryPresenter).begin(tmp_path)
    board.presenter(RigPresenter).set("0V1.setting", 60e5)
    pass_time(board, 0.3)
    own = tmp_path / "own.toml"
    monkeypatch.setattr(QFileDialog, "getSaveFileName", lambda *_: ("", ""))
    board.close()
    qtbot.mouseClick(board.closing.save, Qt.MouseButton.LeftButton)
    assert board.isVisible()  # no file was chosen
    monkeypatch.setattr(QFileDialog, "getSaveFileName", lambda *_: (str(own), ""))
    board.close()
    qtbot.mouseClick(board.closing.save, Qt.MouseButton.LeftButton)
    assert "60 bar" in own.read_text("utf-8")
    assert not board.isVisible()


def test_a_program_that_is_ended_asks_nothing_and_says_it_in_the_terminal(
    board: BoardWindow, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    board.presenter(RecoveryPresenter).begin(tmp_path)
    board.presenter(RigPresenter).set("0V1.setting", 60e5)
    pass_time(board, 0.3)
    board.end()
    assert not board.isVisible()
    assert "choose “Take them up again”" in capsys.readouterr().err
    assert found(tmp_path)


def test_closing_with_all_saved_and_closing_twice_ask_nothing(
    make_board: MakeBoard, qtbot: QtBot, tmp_path: Path
) -> None:
    one, other = make_board(), make_board()
    one.presenter(RecoveryPresenter).begin(tmp_path)
    assert one.close()
    other.presenter(RecoveryPresenter).begin(tmp_path)
    other.presenter(RigPresenter).set("0V1.setting", 60e5)
    assert not other.close()
    assert other.close()


# -- the page of keys ----------------------------------------------------------------------------------------------


def test_the_page_of_keys_lists_only_what_the_rig_has(make_board: MakeBoard, bench: Rig, loader: Rig) -> None:
    """The bench has one lever and nothing to hook on; the loader five levers, and loads."""

    def rows(rig: Rig) -> dict[str, tuple[str, str]]:
        window = make_board(rig, size=(1920, 1080))
        window.board.change_help()
        page = window.board.help
        items = [item for rows in page.lists for item in rows.all if not item.heading]
        shown = {item.key: (item.before, item.words) for item in items}
        told = page.accessibleDescription()
        assert all(f"{keys}: {words}" in told for keys, words in shown.values())
        assert ("load" in shown) == ("The next load" in told)
        window.board.change_help()
        return shown

    small, large = rows(bench), rows(loader)
    assert small["pairs"] == ("Q A", "The lever, out and in while held")
    assert "load" not in small
    assert {"out", "mirror", "speed"} <= set(small)
    assert large["pairs"][0] == "Q A  W S  E D  R F  T G"
    assert "load" in large


def test_keys_of_a_rig_without_levers_or_scales() -> None:
    actions = {key.action for key in keys_for(0, loads=False, scales=False)}
    assert actions.isdisjoint({"pairs", "out", "in", "exact", "mirror", "hold", "centre", "fine", "load", "speed"})
    assert {"run", "help", "traces"} <= actions


def test_the_strip_is_paused_in_every_word_and_only_the_clock_freezes(board: BoardWindow) -> None:
    (button,) = [b for b in board.strip.buttons if b.text() == "Pause"]
    (key,) = [key for key in keys_for(1, loads=True, scales=True) if key.action == "strip freeze"]
    (offer,) = [offer for offer in board.presenter(OfferPresenter).offers.trace(None) if offer.key == key.keys]
    for words in (key.words, offer.words, button.toolTip(), button.accessibleName()):
        assert words.startswith("Pause")
        assert "reeze" not in words


def test_a_row_of_the_keys_does_what_its_key_does_and_says_so(board: BoardWindow, qtbot: QtBot) -> None:
    """F8 shows two runs side by side, pressed or clicked in the list; a run is kept only by the button there."""
    pass_time(board, 0.5)
    presenter = board.presenter(ComparePresenter)
    page = board.board.help

    def click_row() -> None:
        board.change_help()
        rows = next(rows for rows in page.lists if rows.choose("runs"))
        rows.scrollTo(rows.currentIndex())
        middle = rows.visualRect(rows.currentIndex()).center()
        qtbot.mouseClick(rows.viewport(), Qt.MouseButton.LeftButton, pos=middle)

    assert next(key.words for key in KEYS if key.action == "runs").startswith("Two runs side by side")
    for do in (lambda: qtbot.keyClick(board, Qt.Key.Key_F8), click_row):
        do()
        assert presenter._pane is not None
        assert presenter._pane.isVisible()
        assert not page.isVisible()
        assert presenter.kept is None
        board.close_pane(presenter._pane)
