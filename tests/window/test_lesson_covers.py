"""Nothing tells before a commitment: every view, tool, tip, accessible word, export and way back is walked."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from board_moves import MakeBoard, pass_time, there
from lesson_moves import FIRST, lesson_of, opened, pane_of, predict_page, task_of
from PySide6.QtCore import Qt
from PySide6.QtGui import QGuiApplication
from PySide6.QtWidgets import QWidget
from pytestqt.qtbot import QtBot

from trainer.changing.pictured import pictured
from trainer.drawing.picking import Pick
from trainer.drawing.shapes import Words
from trainer.drawing.theme import THEMES
from trainer.units import System
from trainer.window.board.presenter import BoardPresenter
from trainer.window.class_view.presenter import ClassPresenter
from trainer.window.compare.presenter import ComparePresenter
from trainer.window.ledgers.presenter import LedgersPresenter
from trainer.window.offers.presenter import OfferPresenter
from trainer.window.rig.presenter import RigPresenter
from trainer.window.session.covers import HELD, TELLING
from trainer.window.shell.window import BoardWindow
from trainer.window.strip.presenter import StripPresenter
from trainer.window.time.presenter import TimePresenter
from trainer.window.tracing.presenter import TracingPresenter
from trainer.window.working.presenter import WorkingPresenter

BACK = "lever-back"  # asked in the middle of a run, while the load rises: readings are far from nothing


@pytest.fixture(name="window")
def window_that_asks(make_board: MakeBoard, tmp_path: Path) -> BoardWindow:
    """A task that covers all, asked while the machine moves."""
    window = make_board()
    opened(window, tmp_path, FIRST, BACK)
    lesson_of(window).go_on()
    pass_time(window, 0.5)
    return window


def figures(window: BoardWindow) -> list[str]:
    """Return what the readings of this instant would be written as: figures with their decimals."""
    live, rig = window.session.readings, window.session.rig
    pressures = {live.pressure(line) / 1e5 for line in rig.lines if line in ("P1", "A1")}
    flow = -live.flow("0P1", "P") * 6e4
    speed = live.speed(next(line.name for line in rig.lines.values() if line.name.startswith("rod"))) * 1e3
    told = [f"{value:.1f}" for value in pressures if value > 2] + [f"{flow:.2f}", f"{flow:.3f}"]
    return [*told, f"{speed:.1f} mm/s", f"{speed:.0f} mm/s"]


def told_words(widget: QWidget) -> Iterator[str]:
    """Yield what a widget and all in it tell: tips, accessible words, texts."""
    for one in (widget, *widget.findChildren(QWidget)):
        yield from (one.toolTip(), one.accessibleName(), one.accessibleDescription())
        text = getattr(one, "text", None)
        if callable(text):
            yield str(text())


def painted(window: BoardWindow) -> Iterator[str]:
    """Yield the words of all draw lists of the page."""
    for canvas in window.board.canvases():
        for make in (canvas.still, canvas.live):
            if make is not None and canvas.widget is not pane_of(window):
                yield from (shape.text for shape in make() if isinstance(shape, Words))


def test_no_view_tells(window: BoardWindow) -> None:
    """Drawing, dials, ledgers, strip: neither written, nor as a tip, nor to a screen reader."""
    window.print_figures()
    secret = figures(window)
    assert len(secret) >= 5
    told = [*told_words(window.board), *painted(window)]
    assert not [(words, one) for words in told for one in secret if one in words]
    state = window.drawing.state
    assert state.covered == {"P1", "Q1", "n1", "T1"}
    assert all(step is None for line, step in window.drawing.steps().items() if line in ("P1", "A1", "B1"))
    assert window.flow.accessibleDescription() == "covered"
    assert window.power.accessibleDescription() == "covered"
    assert all(value is None for value in window.dials.snapshot().values())
    window.controller.covers.lift()  # and these very words are there without covers
    window.print_figures()
    told = [*told_words(window.board), *painted(window)]
    assert all(any(one in words for words in told) for one in secret[:2]), secret


@pytest.mark.soak
def test_the_ledgers_tell_not_even_their_shares(window: BoardWindow) -> None:
    """With the ledgers in the place of the lesson: no percents, no rows, no bar."""
    lesson_of(window).change()
    assert pane_of(window).isHidden()
    for ledger in (window.flow, window.power):
        words = [shape.text for shape in ledger._live() if isinstance(shape, Words)]
        assert words == [ledger.text.name, "covered"]
        assert ledger.entry_at(ledger.rect().center().toPointF()) is None
    strip = window.strip
    shown = {strip.record.traces.all[place].quantity for place in strip.picture.places} - {"ratio"}
    hidden = {strip.record.traces.all[place].quantity for place in strip.picture.hidden}
    assert shown <= hidden


@pytest.mark.soak
def test_covers_stay_whoever_asks(window: BoardWindow, qtbot: QtBot) -> None:
    """A click on a dial, its key, all at once, the menu."""
    board = window.presenter(BoardPresenter)
    for place in (1, 2, 3, 4):
        board.cover(place)
    board.cover_all()
    qtbot.mouseClick(window.dials.dials[0], Qt.MouseButton.LeftButton)
    assert all(dial.covered for dial in window.dials.dials)
    assert "Frozen until you commit" in window.notice.words
    offers = window.presenter(OfferPresenter)
    for offer in offers.offers.instrument("P1"):
        if "ncover" in offer.words and offer.do is not None:
            offer.do()
    assert all(dial.covered for dial in window.dials.dials)


@pytest.mark.soak
def test_no_tool_tells(window: BoardWindow) -> None:
    """Working, tracer, ledgers over time, compare, numbers, class view: by key, by menu, by a double click."""
    actions = window.stage.actions
    for name in (*HELD, *TELLING):
        assert actions[name].refusal == "Frozen until you commit", name
        assert not actions[name].isEnabled()
    working, tracing = window.presenter(WorkingPresenter), window.presenter(TracingPresenter)
    rig = window.presenter(RigPresenter)
    for thing in (Pick("line", "P1"), Pick("part", "1A1"), Pick("instrument", "P1")):
        window.drawing.picked.emit(thing)
        window.drawing.opened.emit(thing)
    tracing.follow("P1")
    rig.show_part("0V1")
    offers = window.presenter(OfferPresenter).offers
    for offer in (*offers.line("P1"), *offers.part("0V1")):
        if offer.do is not None and not offer.refusal:
            offer.do()
    assert working.pane.isHidden()
    assert tracing.pane.isHidden()
    assert rig.pane.isHidden()
    assert tracing.count is None
    assert window.presenter(LedgersPresenter).pane.isHidden()
    assert window.presenter(ComparePresenter)._pane is None
    window.presenter(ClassPresenter).change_view()
    view = there(window.presenter(ClassPresenter).view)
    assert view.drawing.state.covered == window.drawing.state.covered
    assert view.drawing.state.unseen
    window.presenter(ClassPresenter).change_view()


def test_nothing_moves_and_nothing_goes_back(window: BoardWindow, qtbot: QtBot) -> None:
    """Run, steps, rewinding, reset, levers by letters, by their own keys and by the drawing."""
    session = window.session
    at, levers = session.time, {name: session.asked(name) for name in session.rig.controls()}
    window.run()
    time = window.presenter(TimePresenter)
    time.step()
    time.back()
    window.reset()
    window.rewind(0.0)
    board = window.board
    qtbot.keyPress(board, Qt.Key.Key_Q)
    assert "Frozen until you commit" in window.notice.words
    pass_time(window, 0.5)
    qtbot.keyRelease(board, Qt.Key.Key_Q)
    for view in (*board.rack.handles.values(), *window.drawing.handles.values()):
        assert not view.isEnabled()
        qtbot.mouseClick(view, Qt.MouseButton.LeftButton)
    for motion in window.controller.operator.levers.values():
        motion.set_exactly(-1.0)  # whatever has found another way to it
    pass_time(window, 0.5)
    assert session.time == at
    assert not session.running
    assert {name: session.asked(name) for name in session.rig.controls()} == levers


@pytest.mark.soak
def test_exports_tell_no_more_than_the_screen(window: BoardWindow, tmp_path: Path) -> None:
    """The picture of the drawing, the copied one, the table of the strip."""
    secret = figures(window)
    shapes, _ = pictured(window.session, THEMES["print"], System.METRIC, "", window.drawing.state)
    words = [shape.text for shape in shapes if isinstance(shape, Words)]
    assert not [(word, one) for word in words for one in secret if one in word]
    fills = {getattr(shape, "fill", "") for shape in shapes}
    assert "cover" in fills
    window.presenter(BoardPresenter).copy_picture()
    assert not QGuiApplication.clipboard().image().isNull()
    path = tmp_path / "strip.csv"
    window.presenter(StripPresenter).write(path)
    covered = path.read_text("utf-8").splitlines()
    window.controller.covers.lift()
    window.presenter(StripPresenter).write(path)
    plain = path.read_text("utf-8").splitlines()
    assert any("[bar]" in line for line in plain)
    assert not any("[bar]" in line or "[mm/s]" in line for line in covered)
    shapes, _ = pictured(window.session, THEMES["print"], System.METRIC, "", window.drawing.state)
    words = [shape.text for shape in shapes if isinstance(shape, Words)]
    assert any(one in word for word in words for one in secret)


@pytest.mark.soak
def test_all_is_back_once_it_is_committed(window: BoardWindow) -> None:
    """After the commitment nothing is refused, and covers of one's own are as they were."""
    page = predict_page(window)
    page.digit(1)
    assert page.reasons is not None
    page.reasons.choose_place(1)
    lesson_of(window).commit()
    assert task_of(window).committed
    pass_time(window, task_of(window).posed.exercise.run.until - window.session.time + 0.1)
    window.print_figures()
    told = [*told_words(window.board), *painted(window)]
    assert any("bar" in words and any(c.isdigit() for c in words) for words in told)
    assert not window.drawing.state.covered
    assert not window.stage.actions["working"].refusal
    assert not any(dial.covered for dial in window.dials.dials)
    window.presenter(WorkingPresenter).show_first()
    assert not window.presenter(WorkingPresenter).pane.isHidden()


@pytest.mark.soak
def test_uncovered_without_an_answer_is_noted(window: BoardWindow, qtbot: QtBot) -> None:
    """Alt+U is the instructor's; the record says so, and the attempt counts for nothing."""
    qtbot.keyClick(window, Qt.Key.Key_U, Qt.KeyboardModifier.AltModifier)
    assert task_of(window).uncovered
    assert window.session.running
    pass_time(window, task_of(window).posed.exercise.run.until - window.session.time + 0.1)
    lesson_of(window).saw("down")
    kept = [*lesson_of(window).attempts.all()]
    assert [(one.uncovered, one.answer, one.whole) for one in kept] == [(True, "", False)]


@pytest.mark.soak
def test_other_units_do_not_tell_a_number_that_is_asked_in_them(make_board: MakeBoard, tmp_path: Path) -> None:
    """A dial in bar is to be told in psi: by key and by button the units stay, until there is an answer."""
    window = make_board()
    lesson = opened(window, tmp_path, "03-the-load-makes-the-pressure", "bar-and-psi")
    lesson.go_on()
    for action in ("units", "working"):
        assert window.stage.actions[action].refusal == "Frozen until you commit"
    window.presenter(WorkingPresenter).show_first()
    assert not window.presenter(WorkingPresenter).pane.isVisible()
    window.change_system()
    window.bar.system_asked.emit(System.US)
    shown = [window.look.system]
    assert window.bar.systems[System.METRIC].isChecked()
    lesson.uncover()
    window.change_system()
    assert [*shown, window.look.system] == [System.METRIC, System.US]


@pytest.mark.soak
def test_the_oils_temperature_is_told_by_no_tank_either(make_board: MakeBoard, tmp_path: Path) -> None:
    """A bank without a thermometer has it in a corner of the drawing; covered it is in no word of it."""
    window = make_board()
    lesson = opened(window, tmp_path, "06-who-moves-first", "heavier-waits")
    assert not any(item.kind == "thermometer" for item in window.session.rig.instruments.values())

    def told() -> list[str]:
        window.print_figures()
        return [words for words in painted(window) if words.startswith("Oil ") and "°C" in words]

    assert told() == []
    lesson.uncover()
    assert len(told()) == 1
