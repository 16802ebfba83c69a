"""The list of lessons, readiness and the answers so far, on the real window, by keyboard and by mouse."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from board_moves import MakeBoard, pass_time, there
from cases import first
from PySide6.QtCore import QPoint, Qt, QUrl
from PySide6.QtGui import QDesktopServices
from PySide6.QtWidgets import QFileDialog, QWidget
from pytestqt.qtbot import QtBot

from trainer.lessons.attempts import Attempt, usual_place
from trainer.lessons.lesson import Lesson
from trainer.units import System
from trainer.window.controls.items import Item
from trainer.window.lessons_list.desk import FIRST, LessonsDesk
from trainer.window.lessons_list.presenter import LessonsPresenter
from trainer.window.lessons_list.readiness_page import OutcomeItem
from trainer.window.lessons_list.rows import Columns, LessonItem
from trainer.window.lessons_list.screen import LessonsScreen
from trainer.window.shell.window import BoardWindow

NOW = datetime(2024, 3, 1, 9, 0, tzinfo=UTC)
LEFT = Qt.MouseButton.LeftButton


class Opened:
    """What opens lessons in these tests: it remembers which."""

    def __init__(self) -> None:
        self.seen: list[tuple[str, str | None, int | None]] = []

    def open_lesson(self, lesson_id: str, task_id: str | None = None, seat: int | None = None) -> None:
        self.seen.append((lesson_id, task_id, seat))

    def open_exam(self, lesson_id: str, depth: int = 0, seat: int | None = None) -> None:
        self.seen.append((lesson_id, f"exam {depth}", seat))


@pytest.fixture
def home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A user's folder with nothing in it."""
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "data"))
    return tmp_path / "data" / "spoolroom"


@pytest.fixture
def lessons(home: Path, board: BoardWindow) -> LessonsDesk:
    """What shows the lessons at a day of the tests; what is started is only remembered."""
    assert not home.exists()
    found = board.presenter(LessonsPresenter).desk
    found.opens = Opened()
    found.now = lambda: NOW
    return found


def opened(lessons: LessonsDesk) -> list[tuple[str, str | None, int | None]]:
    assert isinstance(lessons.opens, Opened)
    return lessons.opens.seen


def answer(lessons: LessonsDesk, lesson: Lesson, days: float, right: bool = True, seat: int = 1,
           only: int = 99, slip: str = "") -> None:  # fmt: skip
    """Keep an attempt at each of the first tasks of a lesson, so many days ago."""
    for id_, one in [*lesson.exercises.items()][:only]:
        lessons.attempts.add(
            Attempt(
                NOW - timedelta(days=days),
                lesson.id,
                id_,
                seat,
                0,
                right=right,
                rig=one.rig_name,
                slip=slip,
                answer="about 25 bar",
                read="24.8 bar",
                outcomes=list(one.outcomes),
            )
        )


def screen_of(lessons: LessonsDesk) -> LessonsScreen:
    return there(lessons.screen)


def rows(lessons: LessonsDesk) -> dict[str, LessonItem]:
    items = screen_of(lessons).list.list.items.items
    return {item.key: item for item in items if isinstance(item, LessonItem)}


def test_one_key_shows_the_lessons_and_goes_back(board: BoardWindow, lessons: LessonsDesk, qtbot: QtBot) -> None:
    qtbot.keyClick(board, Qt.Key.Key_F12)
    screen = screen_of(lessons)
    assert board.stage.screen is screen
    assert not board.isFullScreen()
    assert screen.list.list.hasFocus()
    shown = [item.words for item in screen.list.list.items.items if not item.heading]
    assert sorted(shown) == sorted(lesson.title for lesson in lessons.shelf.lessons)
    for key in (Qt.Key.Key_F12, Qt.Key.Key_Escape):
        qtbot.keyClick(screen.list.list, key)
        assert board.stage.screen is None
        qtbot.keyClick(board, Qt.Key.Key_F12)
        assert board.stage.screen is screen
    pass_time(board, 0.2)


def test_the_first_lesson_is_next_and_enter_starts_it(board: BoardWindow, lessons: LessonsDesk, qtbot: QtBot) -> None:
    lessons.show_list()
    page = screen_of(lessons).list
    assert page.list.key == FIRST
    assert page.side.title.text() == lessons.shelf.lessons[0].title
    qtbot.keyClick(page.list, Qt.Key.Key_Return)
    first = next(iter(lessons.shelf.lessons[0].exercises))
    assert opened(lessons) == [(FIRST, first, 1)]
    assert board.stage.screen is None
    lessons.show_list()
    qtbot.mouseClick(page.side.start, LEFT)
    assert opened(lessons)[-1] == (FIRST, first, 1)
    lessons.show_list()
    qtbot.mouseClick(page.side.after, LEFT)
    assert opened(lessons)[-1][0] == lessons.shelf.lessons[1].id


def test_shapes_have_their_words_and_a_state_each(lessons: LessonsDesk, qtbot: QtBot) -> None:
    one, two, three, four, *_ = lessons.shelf.lessons
    answer(lessons, one, 10)
    answer(lessons, one, 8)
    answer(lessons, one, 4.9)  # due again in three days and more
    answer(lessons, two, 2)
    answer(lessons, three, 0.1, only=1)
    lessons.show_list()
    found = rows(lessons)
    assert set(found[one.id].depths.values()) == {"ready"}
    assert set(found[two.id].depths.values()) == {"due"}
    assert (found[two.id].note, found[two.id].due) == ("due today", True)
    assert "begun" in found[three.id].depths.values()
    assert found[three.id].note == f"1 of {len(three.exercises)} done"
    assert set(found[four.id].depths.values()) == {"new"}
    assert found[one.id].note.startswith("again ")
    assert "what it does ready" in found[one.id].name
    assert "due again" in found[two.id].name
    screen = screen_of(lessons)
    assert screen.list.side.wanted is not None
    assert screen.list.side.wanted.lesson == two.id
    assert screen.list.list.key == two.id
    told = {bar.bar.id: bar.bar.told for bar in screen.list.side.bars}
    assert told[one.outcomes[0]].startswith(f"{len(one.exercises)} of ")
    assert " due" in told[two.outcomes[0]]
    with qtbot.waitSignal(screen.list.list.viewport().destroyed, raising=False, timeout=1):
        screen.list.grab()  # every shape is painted


def test_a_depth_is_chosen_by_arrows_or_by_a_click(lessons: LessonsDesk, qtbot: QtBot) -> None:
    lesson = next(one for one in lessons.shelf.lessons if len({e.depth for e in one.exercises.values()}) == 3)
    lessons.show_list()
    page = screen_of(lessons).list
    third = next(id_ for id_, one in lesson.exercises.items() if one.depth == 3)
    assert page.list.choose(lesson.id)
    for _ in range(5):
        qtbot.keyClick(page.list, Qt.Key.Key_Right)
    assert "not tried" in page.list.accessibleDescription()
    qtbot.keyClick(page.list, Qt.Key.Key_Return)
    assert opened(lessons)[-1] == (lesson.id, third, 1)
    lessons.show_list()
    page.list.choose(lesson.id)
    page.list.scrollTo(page.list.currentIndex())
    area = page.list.visualRect(page.list.currentIndex())
    columns = Columns(page.list.look, page.list.viewport().width())
    second = next(id_ for id_, one in lesson.exercises.items() if one.depth == 2)
    spot = QPoint(round(columns.depths[2]) + 6, area.center().y())
    qtbot.mouseClick(page.list.viewport(), LEFT, pos=spot)
    assert opened(lessons)[-1] == (lesson.id, second, 1)


@pytest.mark.soak
def test_own_lessons_and_faulty_files_are_listed(lessons: LessonsDesk, home: Path, qtbot: QtBot) -> None:
    lessons.show_list()
    before = len(rows(lessons))
    own = home / "lessons"
    own.mkdir(parents=True)
    text = Path(lessons.shelf.lessons[0].source).read_text("utf-8")
    (own / "of-our-yard.toml").write_text(
        text.replace("Five minutes at the bench", "Ten minutes in our yard"), "utf-8"
    )
    (own / "torn.toml").write_text("[exercises.a]\nrig = 3\n", "utf-8")
    lessons.show_list()
    found = rows(lessons)
    assert len(found) == before + 1
    assert (found["of-our-yard"].words, found["of-our-yard"].mark) == ("Ten minutes in our yard", "yours")
    page = screen_of(lessons).list
    assert str(own) in page.own.text()
    faulty: Item = page.list.items.items[-1]
    assert faulty.words == "torn.toml"
    page.list.choose(faulty.key)
    qtbot.keyClick(page.list, Qt.Key.Key_Return)
    dialog = there(lessons.faults.dialog)
    assert dialog.windowTitle() == "This lesson cannot be used"
    assert "title" in dialog.list.toPlainText()
    dialog.reject()
    assert opened(lessons) == []


def test_the_folder_is_made_and_shown(
    lessons: LessonsDesk, home: Path, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    asked: list[str] = []

    def opened_url(url: QUrl) -> bool:
        asked.append(url.toLocalFile())
        return len(asked) == 1

    monkeypatch.setattr(QDesktopServices, "openUrl", opened_url)
    lessons.show_list()
    screen = screen_of(lessons)
    qtbot.mouseClick(screen.list.folder, LEFT)
    assert (home / "lessons").is_dir()
    assert asked == [str(home / "lessons")]
    assert not screen.says.isVisible()
    qtbot.mouseClick(screen.list.folder, LEFT)
    assert str(home / "lessons") in screen.says.text()
    (home / "lessons").rmdir()
    (home / "lessons").write_text("", "utf-8")
    qtbot.mouseClick(screen.list.folder, LEFT)
    assert "cannot be made" in screen.says.text()


def test_another_seat_has_its_own_answers(lessons: LessonsDesk, board: BoardWindow, qtbot: QtBot) -> None:
    answer(lessons, lessons.shelf.lessons[0], 0.1, seat=14)
    lessons.show_list()
    side = screen_of(lessons).list.side
    assert rows(lessons)[FIRST].depths == {1: "new"}
    side.seat.setFocus()
    side.seat.selectAll()
    qtbot.keyClicks(side.seat, "14")
    qtbot.keyClick(side.seat, Qt.Key.Key_Return)
    assert board.stage.remembered.seat == 14
    assert rows(lessons)[FIRST].depths == {1: "begun"}
    side.seat.selectAll()
    qtbot.keyClicks(side.seat, "x")
    qtbot.keyClick(side.seat, Qt.Key.Key_Return)
    assert (side.seat.text(), board.stage.remembered.seat) == ("14", 14)
    assert screen_of(lessons).says.text() == "Write the number of your seat, 0 to 999."
    lessons.start(FIRST)
    assert opened(lessons)[-1][2] == 14


def test_readiness_says_what_was_right_and_one_next_step(
    lessons: LessonsDesk, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    one = lessons.shelf.lessons[0]
    two = there(lessons.shelf.lesson("03-the-load-makes-the-pressure"))
    answer(lessons, one, 3)
    answer(lessons, one, 1.5)
    answer(lessons, two, 0.1, right=False, slip="S1")
    lessons.show_list()
    screen = screen_of(lessons)
    qtbot.mouseClick(screen.list.side.readiness, LEFT)
    page = screen.readiness
    assert page.isVisible()
    items = {item.key: item for item in page.list.items.items if isinstance(item, OutcomeItem)}
    first = items[one.outcomes[0]]
    assert first.answers == (True,) * 5
    assert first.counted == f"{len(one.exercises)} of {len(one.exercises)} right at first"
    assert first.later == f"{len(one.exercises)} right a day later"
    second = items[two.outcomes[0]]
    assert False in second.answers
    assert second.idea == lessons.shelf.idea("S1")
    assert second.idea in second.name
    assert "Ready means" in page.means.text()
    assert page.list.hasFocus()
    page.list.choose(two.outcomes[0])
    qtbot.keyClick(page.list, Qt.Key.Key_Return)
    assert len(opened(lessons)) == 1
    lessons.show_readiness()
    heads, sheet = page.sheet()
    assert len(heads) == 4
    assert any("right, right" in row[1] for row in sheet)
    monkeypatch.setattr(QFileDialog, "getSaveFileName", lambda *_: (str(tmp_path / "ready"), ""))
    qtbot.mouseClick(page.print, LEFT)
    assert (tmp_path / "ready.pdf").read_bytes().startswith(b"%PDF")
    qtbot.keyClick(page.list, Qt.Key.Key_Escape)
    assert screen.list.isVisible()


def test_answers_are_shown_written_and_deleted_once_it_was_asked(
    lessons: LessonsDesk, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    one = lessons.shelf.lessons[0]
    answer(lessons, one, 1)
    answer(lessons, one, 1, seat=2)
    lessons.show_list()
    screen = screen_of(lessons)
    qtbot.mouseClick(screen.list.side.answers, LEFT)
    page = screen.answers
    count = len(one.exercises)
    assert page.model.rowCount() == count
    assert "time [s]" in [
        page.model.headerData(k, Qt.Orientation.Horizontal) for k in range(page.model.columnCount())
    ]
    assert str(usual_place()) in page.place.text()
    file = tmp_path / "answers.csv"
    monkeypatch.setattr(QFileDialog, "getSaveFileName", lambda *_: (str(file), ""))
    qtbot.mouseClick(page.export, LEFT)
    assert len(file.read_text("utf-8").splitlines()) == count + 1
    assert str(file) in screen.says.text()
    heads, sheet = page.sheet()
    assert (heads[0], len(sheet), len(sheet[0])) == ("when", count, len(heads))
    monkeypatch.setattr(QFileDialog, "getSaveFileName", lambda *_: (str(tmp_path / "answers"), ""))
    qtbot.mouseClick(page.print, LEFT)
    assert (tmp_path / "answers.pdf").read_bytes().startswith(b"%PDF")
    monkeypatch.setattr(QFileDialog, "getSaveFileName", lambda *_: (str(tmp_path / "no" / "a.csv"), ""))
    qtbot.mouseClick(page.export, LEFT)
    assert "could not be written" in screen.says.text()
    qtbot.mouseClick(page.delete, LEFT)
    assert "cannot be brought back" in page.question.text()
    qtbot.mouseClick(page.not_sure, LEFT)
    assert page.model.rowCount() == count
    qtbot.mouseClick(page.delete, LEFT)
    qtbot.mouseClick(page.sure, LEFT)
    assert page.model.rowCount() == 0
    assert page.none.isVisible()
    assert {one.seat for one in lessons.attempts.all()} == {2}
    assert rows(lessons)[FIRST].depths == {1: "new"}


@pytest.mark.parametrize(("wide", "high"), first(1, ((960, 540), (1280, 720), (1920, 1080))))
def test_nothing_is_cut_at_any_size(make_board: MakeBoard, home: Path, wide: int, high: int, qtbot: QtBot) -> None:
    """960 x 540 is what a screen of 1920 x 1080 has at 200 %; the list then scrolls, buttons have all their words."""
    assert not home.exists()
    window = make_board(size=(wide, high), system=System.US, theme="dark")
    lessons = window.presenter(LessonsPresenter).desk
    for show in (lessons.show_list, lessons.show_readiness, lessons.show_answers):
        show()
        qtbot.wait(1)
        screen = screen_of(lessons)
        assert (screen.width(), screen.height()) == (wide, high)
        page = screen.page
        for child in page.findChildren(QWidget):
            if child.isVisible() and child.metaObject().className() in ("WordButton", "SeatEntry", "LessonList"):
                area = child.rect().translated(child.mapTo(page, QPoint(0, 0)))
                assert page.rect().contains(area), (child.objectName(), area)
        columns = Columns(screen.look, screen.list.list.viewport().width())
        assert columns.title_end > 0.25 * screen.list.list.viewport().width()
