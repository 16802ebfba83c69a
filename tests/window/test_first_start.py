"""The first page: three doors, shown once; a home that is empty, cannot be written to, or holds rubbish."""

from __future__ import annotations

import os
import sys
from collections.abc import Callable, Iterator
from dataclasses import replace
from pathlib import Path

import pytest
from board_moves import MakeBoard, class_view_of, opening_of, pass_time, there
from cases import first
from lesson_moves import focused, predict_page, run_to_its_end
from PySide6.QtCore import QPoint, Qt
from PySide6.QtWidgets import QWidget
from pytestqt.qtbot import QtBot
from recovery_moves import leave

from trainer import resources
from trainer.engine.kept import Kept as KeptRigs
from trainer.lessons.attempts import Attempt
from trainer.rig.rig import Rig
from trainer.units import System
from trainer.window.class_view.view import ClassView
from trainer.window.first_start.presenter import DoorsPresenter
from trainer.window.first_start.screen import LOADER, DoorsScreen
from trainer.window.lesson.presenter import LessonPresenter
from trainer.window.lessons_list.desk import FIRST
from trainer.window.lessons_list.presenter import LessonsPresenter
from trainer.window.lessons_list.rows import LessonItem
from trainer.window.lessons_list.screen import LessonsScreen
from trainer.window.practice.ladder_screen import LadderScreen
from trainer.window.recovery.presenter import RecoveryPresenter
from trainer.window.session.remembered import Remembered
from trainer.window.shell import app, settings
from trainer.window.shell.afterwards import Afterwards
from trainer.window.shell.window import BoardWindow

LEFT = Qt.MouseButton.LeftButton
Start = Callable[..., BoardWindow]


@pytest.fixture
def home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """An empty home."""
    for name in ("CONFIG", "DATA", "STATE", "CACHE"):
        monkeypatch.setenv(f"XDG_{name}_HOME", str(tmp_path / name.lower()))
    monkeypatch.setattr(settings, "place", lambda: Path(os.environ["XDG_CONFIG_HOME"]) / "spoolroom" / "window.ini")
    monkeypatch.setattr(app, "recovery_folder", lambda: Path(os.environ["XDG_STATE_HOME"]) / "spoolroom")
    return tmp_path


@pytest.fixture
def start(qtbot: QtBot, bench: Rig, home: Path) -> Iterator[Start]:
    """Start the program in a home, as without a rig on the command line."""
    made: list[BoardWindow] = []

    def begin(rig: Rig = bench, named: bool = False) -> BoardWindow:
        known = KeptRigs(home / "kept")
        window = app.open_board(rig, running=False, compiler=False, known=known, named=named)
        qtbot.addWidget(window)
        made.append(window)
        with qtbot.waitExposed(window):
            window.show()
        window.activateWindow()
        return window

    yield begin
    for window in made:
        assert window.snapshot()["troubles"] == []
        window.close()


def doors(window: BoardWindow) -> DoorsScreen | None:
    shown = window.stage.screen
    return shown if isinstance(shown, DoorsScreen) else None


def notice(window: BoardWindow) -> str:
    return str(window.snapshot()["notice"])


def test_what_waits_for_the_first_picture_begins_below_an_offer_too(
    start: Start, make_board: MakeBoard, home: Path, qtbot: QtBot
) -> None:
    """What was not saved is offered over all of the board, which is not painted meanwhile; time runs below."""
    leave(make_board, home / "state" / "spoolroom", 30e5)
    window = start(named=True)
    pane = there(window.presenter(RecoveryPresenter).pane)
    qtbot.waitUntil(lambda: window._seen_page is window.board and not window.afterwards.left)
    assert pane.isVisible()


# -- shown once ----------------------------------------------------------------------------------------------


def test_the_doors_are_shown_once_and_brought_back_by_a_key(start: Start, qtbot: QtBot) -> None:
    window = start()
    screen = there(doors(window))
    assert window.focusWidget() is screen.doors[1].button
    assert not screen.says.isVisible()
    assert "whoever is licensed" in screen.safety.text()
    qtbot.keyClick(screen, Qt.Key.Key_Escape)
    assert window.stage.screen is None
    qtbot.keyClick(window, Qt.Key.Key_F1, Qt.KeyboardModifier.ShiftModifier)
    assert doors(window) is screen
    qtbot.keyClick(window, Qt.Key.Key_F1, Qt.KeyboardModifier.ShiftModifier)
    assert window.stage.screen is None
    window.close()
    assert doors(start()) is None


def test_what_waits_for_the_first_picture_is_done_once(start: Start, qtbot: QtBot) -> None:
    """Behind the doors, too, and not again when the board or the doors are painted once more."""
    with pytest.MonkeyPatch.context() as patch:
        begun: list[int] = []
        patch.setattr(Afterwards, "begin", lambda _, pieces: begun.append(len(pieces)))
        window = start()
        qtbot.waitUntil(lambda: bool(begun))
        for _ in range(3):
            there(doors(window)).grab()
            qtbot.wait(1)
        qtbot.keyClick(there(doors(window)), Qt.Key.Key_Escape)
        window.grab()
        qtbot.wait(20)
        assert len(begun) == 1


def test_a_rig_on_the_command_line_has_no_doors(start: Start) -> None:
    window = start(named=True)
    assert doors(window) is None
    assert notice(window) == ""


def test_a_killed_program_has_greeted_all_the_same(start: Start) -> None:
    assert doors(start()) is not None
    assert settings.recall().remembered.welcomed


# -- behind them ---------------------------------------------------------------------------------------------


@pytest.mark.soak
@pytest.mark.parametrize("how", first(1, ("picture", "key", "button")))
def test_the_class_view_of_the_loader_runs(start: Start, qtbot: QtBot, how: str) -> None:
    window = start()
    screen = there(doors(window))
    door = screen.doors[0]
    if how == "key":
        qtbot.keyClick(screen, Qt.Key.Key_1)
    else:
        qtbot.mouseClick(door.button if how == "button" else door, LEFT)
    assert window.session.rig.source == str(resources.rigs()[LOADER])
    assert isinstance(window.stage.screen, ClassView)
    assert class_view_of(window) is window.stage.screen
    assert window.session.running
    pass_time(window, 0.1)
    assert window.session.time > 0


def test_learning_begins_with_the_first_lesson_and_goes_on_with_the_list(start: Start, qtbot: QtBot) -> None:
    window = start()
    desk = window.presenter(LessonsPresenter).desk
    begun: list[str] = []

    class Opened:
        def open_lesson(self, lesson_id: str, task_id: str | None = None, seat: int | None = None) -> None:
            begun.append(lesson_id)
            assert (task_id, seat) == (next(iter(there(desk.shelf.lesson(FIRST)).exercises)), 1)

        def open_exam(self, lesson_id: str, depth: int = 0, seat: int | None = None) -> None:
            raise AssertionError(f"{lesson_id}, {depth}, {seat} is no exam")

    desk.opens = Opened()
    qtbot.keyClick(there(doors(window)), Qt.Key.Key_2)
    assert begun == [FIRST]
    desk.attempts.add(Attempt(desk.now(), FIRST, "lever-at-rest", 1, 0, right=True))
    window.presenter(DoorsPresenter).show()
    qtbot.keyClick(there(window.focusWidget()), Qt.Key.Key_Return)  # the middle one has the keyboard
    assert isinstance(window.stage.screen, LessonsScreen)
    assert begun == [FIRST]


def test_from_the_door_through_a_task_to_the_list(start: Start, qtbot: QtBot) -> None:
    """By keyboard alone: what was answered stands in the list, and the task after it is next."""
    window = start()
    qtbot.keyClick(there(doors(window)), Qt.Key.Key_2)
    qtbot.keyClick(focused(window), Qt.Key.Key_Return)
    form, reasons = predict_page(window).form, there(predict_page(window).reasons)
    qtbot.keyClick(focused(window), str(1 + [*form.posed.answers].index("right")))
    qtbot.keyClick(focused(window), Qt.Key.Key_Return, Qt.KeyboardModifier.ControlModifier)
    qtbot.keyClick(focused(window), str(1 + [*reasons.rows].index("right")))
    qtbot.keyClick(focused(window), Qt.Key.Key_Return, Qt.KeyboardModifier.ControlModifier)
    run_to_its_end(window)
    qtbot.keyClick(focused(window), Qt.Key.Key_1)
    qtbot.keyClick(focused(window), Qt.Key.Key_F12)
    screen = there(window.presenter(LessonsPresenter).desk.screen)
    assert window.stage.screen is screen
    row = next(item for item in screen.list.list.items.items if item.key == FIRST)
    assert isinstance(row, LessonItem)
    assert row.note == "1 of 5 done"
    assert row.depths[1] == "begun"
    assert screen.list.side.wanted is not None
    assert (screen.list.side.wanted.lesson, screen.list.side.wanted.task) == (FIRST, "lever-over")
    qtbot.keyClick(screen.list.list, Qt.Key.Key_Return)
    assert window.stage.remembered.task == "lever-over"


def test_practice_is_the_ladder_and_leads_back_to_what_was_open(start: Start, loader: Rig, qtbot: QtBot) -> None:
    window = start(loader)
    screen = there(doors(window))
    qtbot.keyClick(screen, Qt.Key.Key_Right)
    assert window.focusWidget() is screen.doors[2].button
    qtbot.keyClick(screen.doors[2].button, Qt.Key.Key_Return)
    assert isinstance(window.stage.screen, LadderScreen)
    qtbot.keyClick(there(window.focusWidget()), Qt.Key.Key_Escape)
    assert window.stage.screen is None
    assert window.session.rig.source == loader.source


def test_units_and_marks_are_chosen_there(start: Start, qtbot: QtBot) -> None:
    window = start()
    screen = there(doors(window))
    qtbot.mouseClick(screen.systems[System.US], LEFT)
    qtbot.mouseClick(screen.stand, LEFT)
    assert (window.look.system, window.look.still_marks) == (System.US, True)
    assert [button.isChecked() for button in (*screen.systems.values(), screen.moves, screen.stand)] == [
        False, True, False, True
    ]  # fmt: skip


# -- the next start ------------------------------------------------------------------------------------------


def test_the_last_rig_and_the_seat_come_back(start: Start) -> None:
    window = start()
    assert opening_of(window).open_rig(resources.rigs()["two-lifts"])
    window.stage.remembered.seat = 14
    window.stage.remembered.welcomed = True
    window.close()
    again = start()
    assert again.session.rig.source == str(resources.rigs()["two-lifts"])
    assert again.stage.remembered.seat == 14
    assert start(named=True).session.rig.title == "One-spool bench"


@pytest.mark.soak
def test_the_lesson_that_was_open_comes_back(start: Start, qtbot: QtBot) -> None:
    window = start()
    qtbot.keyClick(there(doors(window)), Qt.Key.Key_2)
    assert window.presenter(LessonPresenter).open
    remembered = window.stage.remembered
    assert (remembered.lesson, remembered.task) == (FIRST, "lever-at-rest")
    window.close()
    assert settings.recall().remembered == replace(remembered, welcomed=True)
    again = start()
    assert doors(again) is None
    qtbot.waitUntil(lambda: again.presenter(LessonPresenter).open)
    assert again.stage.remembered.task == "lever-at-rest"
    again.close()
    named = start(named=True)
    qtbot.waitUntil(lambda: named.presenter(LessonPresenter).folder is not None and not named.afterwards.left)
    assert not named.presenter(LessonPresenter).open


def test_a_last_rig_that_is_gone_or_faulty_gives_way(start: Start, home: Path) -> None:
    file = home / "mine.toml"
    kept = settings.Kept(rig=str(file), remembered=Remembered(welcomed=True))
    for content in (None, b"", b"\x00\xff", b"format = 1\n[parts]\n"):
        if content is not None:
            file.write_bytes(content)
        assert settings.keep(kept, settings.place()) == ""
        window = start()
        assert window.session.rig.title == "One-spool bench"
        assert notice(window) == f"{file}, which was open the last time, cannot be opened any more."
        window.close()


# -- homes ---------------------------------------------------------------------------------------------------


@pytest.mark.skipif(sys.platform != "linux", reason="a place where nobody can write, not even root")
def test_a_home_that_cannot_be_written_to(start: Start, monkeypatch: pytest.MonkeyPatch, qtbot: QtBot) -> None:
    """It is said once what cannot be kept; all else works."""
    for name in ("CONFIG", "DATA", "STATE", "CACHE"):
        monkeypatch.setenv(f"XDG_{name}_HOME", f"/proc/{name.lower()}")
    window = start()
    screen = there(doors(window))
    assert screen.says.isVisible()
    for words in ("Settings cannot be kept in /proc/config", "Answers cannot be kept in /proc/data"):
        assert words in screen.says.text()
    assert screen.says.text().count("cannot be kept") == 2
    desk = window.presenter(LessonsPresenter).desk
    desk.show_list()
    desk.show_answers()
    desk.delete()
    desk.take_seat(2)
    window.presenter(DoorsPresenter).show()
    assert not screen.says.isVisible()  # once
    qtbot.keyClick(screen, Qt.Key.Key_3)
    assert isinstance(window.stage.screen, LadderScreen)
    qtbot.keyClick(there(window.focusWidget()), Qt.Key.Key_Escape)
    window.run()
    pass_time(window, 0.2)
    assert window.session.time > 0


RUBBISH = b"\x00\xff[[[\nlook=\n[start]\nseat=many\nrig=\x07\n"


def test_a_home_full_of_rubbish(start: Start, home: Path, qtbot: QtBot) -> None:
    for folder in ("config", "data", "state", "cache"):
        (home / folder / "spoolroom").mkdir(parents=True)
    (home / "config/spoolroom/window.ini").write_bytes(RUBBISH)
    (home / "data/spoolroom/attempts.jsonl").write_bytes(RUBBISH)
    (home / "data/spoolroom/lessons").write_bytes(RUBBISH)
    (home / "kept").write_bytes(RUBBISH)
    window = start()
    screen = there(doors(window))
    assert "passed over" in screen.says.text()
    qtbot.keyClick(screen, Qt.Key.Key_Escape)
    desk = window.presenter(LessonsPresenter).desk
    desk.show_list()
    shown = there(desk.screen)
    assert "attempts.jsonl" in shown.says.text()
    assert [item.words for item in shown.list.list.items.items if item.key.startswith("file ")] == ["lessons"]
    window.close()


@pytest.mark.parametrize(
    "content",
    ["seat=-3", "seat=nan", "seat=1e99", "welcomed=perhaps", "rig=\nlesson=", "task=%(home)s", "seat=2\nseat=3"],
)
def test_bad_entries_are_as_at_first(tmp_path: Path, content: str) -> None:
    file = tmp_path / "window.ini"
    file.write_text(f"[start]\n{content}\n", "utf-8")
    kept = settings.recall(file)
    assert 0 <= kept.remembered.seat <= 999
    assert not kept.remembered.welcomed
    assert kept.rig == ""


# -- how it looks --------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("wide", "high"), first(1, ((960, 540), (1280, 720), (1920, 1080))))
def test_all_of_the_page_is_seen(make_board: MakeBoard, wide: int, high: int, qtbot: QtBot) -> None:
    window = make_board(size=(wide, high))
    screen = window.presenter(DoorsPresenter).show()
    qtbot.wait(1)
    shown = [child for child in screen.findChildren(QWidget) if child.isVisible()]
    for child in shown:
        area = child.rect().translated(child.mapTo(screen, QPoint(0, 0)))
        assert screen.rect().contains(area), (type(child).__name__, child.objectName(), area)
    for door in screen.doors:
        assert door.picture.height() > 0.2 * screen.height()
        assert door.says.height() >= door.says.heightForWidth(door.says.width())
