"""Every screen of lever practice in two sizes, both themes, both unit systems: nothing cut, nothing over another."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from board_moves import MakeBoard, pass_time, there
from practice_moves import desk_of, id_of, live_of, until
from PySide6.QtCore import QPoint, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QLabel, QWidget
from room_measures import boxes, check
from test_practice import creep, made

from trainer.practice.attempt import State
from trainer.rig.rig import Rig
from trainer.units import System
from trainer.window.controls.buttons import WordButton
from trainer.window.practice.desk import PracticeDesk
from trainer.window.practice_show import PracticeShow
from trainer.window.shell.window import BoardWindow

LEAST = 12
LOOKS = [
    ("light", System.US, (1280, 720)),
    *(
        pytest.param(theme, system, size, marks=pytest.mark.soak)
        for theme, system, size in (
            ("dark", System.METRIC, (1280, 720)), ("light", System.METRIC, (1920, 1080)),
            ("dark", System.US, (1920, 1080)), ("light", System.METRIC, (1366, 768)),
            ("light", System.METRIC, (960, 540)),
        )
    ),
]  # fmt: skip


@pytest.fixture(autouse=True)
def home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A user's folder with nothing in it."""
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "data"))


def filled(desk: PracticeDesk) -> None:
    """Keep attempts of some days: a ladder that somebody stands on, with a test that is due."""
    for k, task in enumerate(task for task in desk.tasks if task.runs):
        for n, aid in enumerate(("path", "path", "target", "target", "gauge", "gauge", "none", "none")[: 8 - k]):
            if aid in task.aids:
                done = made(task, 1.0 + (n < 4) - n / 1000, 0.8 if k < 3 else 1.4, aid)
                desk.book.add(task, done, ())


def fits(page: QWidget) -> None:
    """Nothing on a page is cut, nothing lies on another; words of labels have room, no button is cut off."""
    QApplication.processEvents()
    check(page, LEAST, 4, [*boxes(page, bold=True)])
    for label in page.findChildren(QLabel):
        if label.isVisible() and not label.wordWrap():
            assert label.fontMetrics().horizontalAdvance(label.text()) <= label.width() + 1, label.text()
    for button in page.findChildren(WordButton):
        if button.isVisible():
            assert button.width() >= button.sizeHint().width(), button.text()
            parent = there(button.parentWidget())
            assert page.rect().contains(button.geometry().translated(parent.mapTo(page, QPoint())))


def measures_are_whole(window: BoardWindow) -> None:
    """Every measure that stands below on the card has room for its name."""
    rows = [row for row in there(desk_of(window).card_screen).rows if row.isVisible()]
    assert len(rows) > 5
    assert not [text for row in rows for text, *_ in row.canvas.texts() if "…" in text]


def shown(window: BoardWindow) -> QWidget:
    return there(window.stage.screen)


@pytest.mark.parametrize(("theme", "system", "size"), LOOKS)
def test_screens_of_the_bench(make_board: MakeBoard, theme: str, system: System, size: tuple[int, int]) -> None:
    window = make_board(theme=theme, system=system, size=size)
    desk = desk_of(window)
    filled(desk)
    desk.show_ladder()
    fits(shown(window))
    assert desk.start(id_of(desk, "E1"))
    fits(shown(window))
    live = live_of(window)
    until(window, lambda: live.attempt.seconds > 1.0, hand := creep(window))
    fits(shown(window))
    until(window, lambda: live.over, hand)
    assert live.attempt.state is State.DONE
    fits(shown(window))
    measures_are_whole(window)
    there(desk.card_screen).change_beside()
    fits(shown(window))
    desk.see_it_run()
    there(desk.replay).show_at(1.0)
    fits(shown(window))


def places(page: QWidget) -> dict[tuple[str, str, int], tuple[int, ...]]:
    """Return where everything that is seen of a page stands [px]; of like ones the first, the second and so on."""
    QApplication.processEvents()
    found: dict[tuple[str, str, int], tuple[int, ...]] = {}
    for child in page.findChildren(QWidget):
        if child.isVisible() and child.objectName() != "qt_scrollarea_viewport":
            name = type(child).__name__, child.objectName() or child.accessibleName()
            corner = child.mapTo(page, QPoint())
            same = sum(known[:2] == name for known in found)
            found[(*name, same)] = (corner.x(), corner.y(), child.width(), child.height())
    return found


def each_screen(window: BoardWindow, code: str) -> Iterator[str]:
    """Yield when a screen of a rung is shown, which it is."""
    desk = desk_of(window)
    desk.show_ladder()
    yield "ladder"
    assert desk.start(id_of(desk, code))
    yield "run"
    live = live_of(window)
    window.controller.operator.levers[live.task.levers[0]].set_exactly(0.5)
    window.run()
    pass_time(window, 0.3)
    desk.stop()
    yield "stopped"
    desk.see_it_run()
    if shown(window) is desk.replay:
        yield "replay"


@pytest.mark.soak
@pytest.mark.parametrize("code", ["E1", "E9"])
def test_another_size_of_the_window_is_as_if_it_had_been_opened_so(make_board: MakeBoard, code: str) -> None:
    """Larger and smaller again, on every screen; the next screen is opened at the size that there is then."""
    sizes = (1280, 720), (1920, 1080)
    asked = [make_board(size=size) for size in sizes]
    window = make_board(size=sizes[0])
    names = []
    for name, *same in zip(each_screen(window, code), *(each_screen(one, code) for one in asked), strict=True):
        assert same == [name, name]
        names.append(name)
        for size, one in (*zip(sizes, asked, strict=True), (sizes[0], asked[0]), (sizes[1], asked[1])):
            window.resize(*size)
            assert places(shown(window)) == places(shown(one)), (name, size)
    assert names[-1] == "replay"


def each_run(window: BoardWindow, codes: tuple[str, ...]) -> Iterator[tuple[str, str]]:
    """Yield (rung, aid) of what looks different on the loader."""
    for code in codes:
        task = next(task for task in desk_of(window).tasks if task.code == code)
        yield from ((code, aid) for aid in task.aids[:3:2])


@pytest.mark.soak
@pytest.mark.parametrize(
    ("theme", "system", "size", "codes"),
    [
        ("light", System.US, (1280, 720), ("E4", "E6", "E9", "E11", "E15")),
        ("dark", System.METRIC, (1920, 1080), ("E4", "E6", "E9", "E11", "E15")),
        ("light", System.US, (960, 540), ("E11",)),  # a display of 1920 × 1080 at 200 %
    ],
)
def test_runs_of_the_loader(
    make_board: MakeBoard, loader: Rig, theme: str, system: System, size: tuple[int, int], codes: tuple[str, ...]
) -> None:
    window = make_board(loader, theme=theme, system=system, size=size)
    desk = desk_of(window)
    for code, aid in each_run(window, codes):
        assert desk.start(id_of(desk, code), aid)
        fits(shown(window))
        window.controller.operator.levers[live_of(window).task.levers[0]].set_exactly(0.5)
        pass_time(window, 0.5)
        fits(shown(window))
        desk.stop()
        fits(shown(window))
    desk.leave()


@pytest.mark.soak
def test_two_runs_of_the_loader_stand_beside_each_other(make_board: MakeBoard, loader: Rig) -> None:
    """Both machines at one instant, which a click or the arrow keys choose; then the ledgers of the later one."""
    window = make_board(loader, size=(960, 540))
    PracticeShow(window).run("E4", 30.0)
    desk = desk_of(window)
    screen = there(desk.card_screen)
    assert not screen.card.machines
    measures_are_whole(window)
    screen.card.ghost = screen.card.attempt.traces  # the best one is as this one
    QTest.keyClick(screen, Qt.Key.Key_F8)
    assert screen.card.machines
    fits(shown(window))
    for key, seconds in ((Qt.Key.Key_Left, 0.0), (Qt.Key.Key_Right, 0.1)):
        screen.choose(0.05)
        QTest.keyClick(screen, key)
        assert screen.card.chosen == pytest.approx(max(seconds + 0.05 * (seconds > 0), 0.0))
        fits(shown(window))
    begin, end = (there(screen.card.pose(False, seconds)).boom for seconds in (0.0, screen.card.until))
    assert end > begin + 0.1  # it was lifted
    desk.see_it_run()
    replay = there(desk.replay)
    replay.show_view("books")
    replay.show_at(1.0)
    fits(shown(window))
    desk.leave()


@pytest.mark.parametrize("still", [True])
def test_nothing_follows_the_hand_where_motion_is_little(make_board: MakeBoard, still: bool) -> None:
    window = make_board()
    window.look.still_marks = still
    desk = desk_of(window)
    assert desk.start(id_of(desk, "E1"))
    run = there(desk.run)
    assert there(run.laps).covered
    assert run.model.still_aids
