"""In every size, view and unit system nothing overlaps, nothing is cut, and no figure vanishes in silence."""

from __future__ import annotations

import itertools

import pytest
from board_moves import MakeBoard, pass_time
from looks import SYSTEMS, sizes
from PySide6.QtCore import QPoint, QRect, QRectF, Qt
from PySide6.QtTest import QTest
from room_measures import crowded, crowded_controls, fit_eight, missing_figures, placed_words, told_missing

from trainer.energy.ledger import Entry
from trainer.rig.rig import Rig
from trainer.units import System
from trainer.window.board.arrangement import VIEWS, Panes
from trainer.window.controls.keys import KEYS
from trainer.window.painting import fonts
from trainer.window.shell.window import BoardWindow
from trainer.window.working.presenter import WorkingPresenter
from trainer.working import Subject

SIZES = ((960, 540), (1280, 720), (1366, 768), (1600, 900), (1920, 1080))


def lift(window: BoardWindow) -> None:
    """Move all that a rig has, each its own way."""
    window.run()
    for name, value in (("1V1", 0.8), ("2V1", -0.4), ("3V1", 0.6), ("4V1", -0.4), ("5V1", 0.3)):
        if f"{name}.lever" in window.rack.levers:
            window.rack.levers[f"{name}.lever"].motion.set_exactly(value)
    pass_time(window, 1.5)


def faults(window: BoardWindow, sizes: tuple[tuple[int, int], ...] = SIZES) -> list[str]:
    found = []
    for size, view in itertools.product(sizes, VIEWS):
        if view != "drawing" and not window.board.machine.exists:
            continue
        window.resize(*size)
        window.board.set_panes(Panes(view))
        pass_time(window, 0.2)
        here = crowded(window)
        if size[0] >= 1280 and view != "machine":
            words = placed_words(window.drawing)
            missing = missing_figures(window.drawing, words)
            told = told_missing(words) if view == "both" and size[0] < 1600 else 0  # the machine takes its room
            here += [f"{text} is missing" for text in missing[told:]]
        found += [f"{size[0]}x{size[1]} {view}: {fault}" for fault in here]
    return found


@pytest.mark.parametrize("system", SYSTEMS)
def test_room_of_the_loader(make_board: MakeBoard, loader: Rig, system: System) -> None:
    window = make_board(loader, system=system)
    lift(window)
    assert not faults(window)


@pytest.mark.parametrize("system", list(System))
def test_room_of_the_bench(make_board: MakeBoard, system: System) -> None:
    window = make_board(system=system)
    lift(window)
    assert not faults(window)


@pytest.mark.soak
@pytest.mark.parametrize("system", SYSTEMS)
def test_room_of_the_loader_with_eight_instruments(make_board: MakeBoard, loader: Rig, system: System) -> None:
    window = make_board(loader, system=system)
    fit_eight(window)
    assert len(window.session.rig.instruments) == 8
    lift(window)
    assert not faults(window)


def test_machine_goes_below_where_the_window_is_narrow(make_board: MakeBoard, loader: Rig) -> None:
    window = make_board(loader, view="both")
    for size, beside in (((1100, 720), False), ((1199, 768), False), ((1280, 720), True), ((1920, 1080), True)):
        window.resize(*size)
        drawing, machine = window.drawing.geometry(), window.board.machine.geometry()
        assert not drawing.intersects(machine)
        assert (machine.right() < drawing.left()) is beside
        assert (machine.top() > drawing.bottom()) is not beside


@pytest.mark.parametrize(
    ("size", "view"), [((1600, 900), "both"), ((1599, 900), "drawing"), ((1366, 768), "drawing")]
)
def test_first_start_shows_both_from_1600_on(
    make_board: MakeBoard, loader: Rig, size: tuple[int, int], view: str
) -> None:
    window = make_board(loader, size=size, view="")
    assert window.board.panes.view == view
    assert window.drawing.isVisible()
    assert window.board.machine.isVisible() is (view == "both")
    window.board.next_view()  # what the user chooses stays in every size
    chosen = window.board.panes.view
    window.resize(1920, 1080)
    assert window.board.panes.view == chosen


def test_first_start_of_a_rig_without_a_machine_shows_its_drawing(make_board: MakeBoard) -> None:
    assert make_board(size=(1920, 1080), view="").board.panes.view == "drawing"


@pytest.mark.parametrize("size", sizes(*SIZES))
def test_bar_keeps_all_its_buttons(make_board: MakeBoard, loader: Rig, size: tuple[int, int]) -> None:
    window = make_board(loader, size=size)
    assert window.bar.lesson.isHidden()
    assert crowded_controls(window.bar) == []
    window.bar.show_lesson(True, True)
    for button in window.bar.looks:
        assert button.isVisible(), button.text()
    assert crowded_controls(window.bar) == []


@pytest.mark.parametrize("size", sizes(*SIZES))
def test_the_working_leaves_the_ledgers_and_marks_its_part(
    make_board: MakeBoard, loader: Rig, size: tuple[int, int]
) -> None:
    window = make_board(loader, size=size)
    lift(window)
    board, presenter = window.board, window.presenter(WorkingPresenter)
    whole = board.flow.height()
    presenter.show(Subject("part", "3A1"))
    for ledger in (board.flow, board.power):
        corner = ledger.mapTo(board, QPoint(0, 0))
        assert not QRect(corner, ledger.size()).intersects(presenter.pane.geometry())
        assert ("part", "3A1") in window.drawing.state.lit
    picked: list[Entry] = []
    board.flow.picked.connect(picked.append)
    QTest.mouseClick(board.flow, Qt.MouseButton.LeftButton, pos=QPoint(8, round(48 * board.beside.scale)))
    assert [entry.name for entry in picked] == [board.flow.entries[0].name]
    inside = QRectF(presenter.pane.rect()).adjusted(-1, -1, 1, 1)
    texts = presenter.pane.canvas.texts()
    assert all(inside.contains(box) for _, box, _ in texts)
    assert not [(one, other) for (one, a, _), (other, b, _) in itertools.combinations(texts, 2)
                if a.intersected(b).width() > 1.5 and a.intersected(b).height() > 1.5]  # fmt: skip
    window.close_pane(presenter.pane)
    assert ("part", "3A1") not in window.drawing.state.lit
    assert board.flow.height() == whole


@pytest.mark.parametrize("size", sizes(*SIZES))
def test_the_page_of_keys_shows_every_row_or_scrolls_to_it(
    make_board: MakeBoard, loader: Rig, size: tuple[int, int]
) -> None:
    window = make_board(loader, size=size)
    window.board.change_help()
    page, seen_words = window.board.help, set()
    texts = page.canvas.texts()
    assert all(QRectF(page.rect()).contains(box) for _, box, _ in texts)
    assert not any(a.intersects(b) for (_, a, _), (_, b, _) in itertools.combinations(texts, 2))
    for rows in (rows for rows in page.lists if rows.isVisible()):
        measure = fonts.metrics(rows.delegate.pixels)
        for _ in rows.items.items:
            for row, item in enumerate(rows.items.items):
                place = rows.visualRect(rows.items.index(row))
                if rows.viewport().rect().contains(place):
                    room = place.width() - rows.delegate.words_from(item)
                    assert item.heading or measure.horizontalAdvance(item.words) <= room, item.words
                    seen_words.add(item.words)
            QTest.keyClick(rows, Qt.Key.Key_Down)
    assert {key.words for key in page.keys} == {key.words for key in KEYS}  # the loader has everything
    assert {key.words for key in KEYS} <= seen_words


@pytest.mark.parametrize("size", sizes(*SIZES))
def test_the_strip_with_two_cursors(make_board: MakeBoard, loader: Rig, size: tuple[int, int]) -> None:
    window = make_board(loader, size=size)
    lift(window)
    cursors = window.strip.picture.cursors
    cursors.press(0.4 * window.session.time, 0.0)
    cursors.drag(0.9 * window.session.time)
    window.strip.tell_cursors()
    pass_time(window, 0.2)
    texts = window.strip.canvas.texts()
    assert any(text.startswith("Δ ") for text, *_ in texts)
    for text, box, _ in texts:
        assert QRectF(window.strip.rect()).adjusted(-1, -1, 1, 1).contains(box), text
    for (one, a, _), (other, b, _) in itertools.combinations(texts, 2):
        shared = a.intersected(b)
        assert shared.width() <= 1.5 or shared.height() <= 1.5, (one, other)
