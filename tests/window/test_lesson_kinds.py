"""Every kind of question on the board: answered by hand, seen in all sizes; no word is cut."""

from __future__ import annotations

import itertools
from collections.abc import Callable
from pathlib import Path

import pytest
from board_moves import MakeBoard, pass_time, there
from cases import first
from lesson_moves import lesson_of, opened, pane_of, predict_page, shown, task_of
from PySide6.QtCore import QPoint, QRect, QSize, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QAbstractButton, QLabel, QLineEdit
from room_measures import check

from trainer.lessons.flow import Step
from trainer.lessons.lesson import Names
from trainer.tracing.question import PathQuestion
from trainer.units import System
from trainer.window.board.arrangement import NARROW
from trainer.window.controls.buttons import WordButton
from trainer.window.lesson.by_hand import CountsForm, ReliefForm
from trainer.window.lesson.forms import ChoiceForm, NumberForm, WordsForm
from trainer.window.lesson.on_drawing import NumberedNames, PlaceForm, TraceForm
from trainer.window.lesson.ordering import OrderForm
from trainer.window.lesson.rows import RadioRow
from trainer.window.rig.presenter import RigPresenter
from trainer.window.shell.window import BoardWindow

LESSONS = {
    "number": ("03-the-load-makes-the-pressure", "reckon-the-gauge"),
    "choice": ("01-five-minutes-at-the-bench", "lever-over"),
    "words": ("11-readings-that-count", "cold-is-quicker"),
    "order": ("06-who-moves-first", "heavy-and-light"),
    "place": ("01-five-minutes-at-the-bench", "where-it-goes"),
    "nameless": ("02-symbols-and-paths", "which-limits"),
    "names": ("02-symbols-and-paths", "bench-symbols"),
    "trace": ("02-symbols-and-paths", "way-home"),
    "relief": ("09-setting-a-relief", "set-it"),
    "counts": ("11-readings-that-count", "as-the-sheet-asks"),
}
LOOKS = (
    ((1280, 720), "light", System.US),
    ((960, 540), "dark", System.METRIC),
    ((1366, 768), "dark", System.US),
    ((1920, 1080), "light", System.METRIC),
)


def key(window: BoardWindow, what: Qt.Key, modifier: Qt.KeyboardModifier = Qt.KeyboardModifier.NoModifier) -> None:
    """Press a key where the keyboard is."""
    QTest.keyClick(window.focusWidget() or window, what, modifier)


def _number(window: BoardWindow) -> None:
    form = predict_page(window).form
    assert isinstance(form, NumberForm)
    assert form.line.hasFocus()
    QTest.keyClicks(form.line, "25 psi")  # any unit


def _choice(window: BoardWindow) -> None:
    assert isinstance(predict_page(window).form, ChoiceForm)
    key(window, Qt.Key.Key_1)


def _words(window: BoardWindow) -> None:
    form = predict_page(window).form
    assert isinstance(form, WordsForm)
    QTest.keyClicks(form.sheet, "thin oil leaks back in the pump, q a w s")


def _order(window: BoardWindow) -> None:
    form = predict_page(window).form
    assert isinstance(form, OrderForm)
    for k in range(len(form.rows)):
        key(window, Qt.Key(Qt.Key.Key_1 + k))
    assert [row.number for row in form.rows.values()] == [1, 2]


def _place(window: BoardWindow) -> None:
    form = predict_page(window).form
    assert isinstance(form, PlaceForm)
    assert window.drawing.hasFocus()
    for _ in range(2):
        key(window, Qt.Key.Key_Tab)
    key(window, Qt.Key.Key_Return)
    assert form.chosen == form.places()[1][1]
    assert (form.chosen in form.told.text()) is False or not window.drawing.state.nameless


def _names(window: BoardWindow) -> None:
    form = predict_page(window).form
    assert isinstance(form, NumberedNames)
    assert window.drawing.state.nameless
    assert [step.number for step in window.drawing.state.steps_shown] == list(range(1, len(form.lines) + 1))
    question = form.posed.exercise.question
    assert isinstance(question, Names)
    for id_, line in form.lines.items():
        assert line.hasFocus()
        QTest.keyClicks(line, question.terms[id_][-1])
        key(window, Qt.Key.Key_Tab)


def _trace(window: BoardWindow) -> None:
    form = predict_page(window).form
    assert isinstance(form, TraceForm)
    asked = PathQuestion(form.posed.instants()[1])
    scene = window.drawing.scene
    for step in asked.path.steps[1:]:
        if step.place[0] == "part":
            left, top, wide, high = scene.boxes[step.place[1]]
            at = window.drawing.at(left + wide / 2, top + high / 2)
        else:
            run = max((run for run in scene.pipes.nets[step.place[1]].runs), key=lambda run: len(run.points))
            (ax, ay), (bx, by) = run.points[:2]
            at = window.drawing.at((ax + bx) / 2, (ay + by) / 2)
        QTest.mouseClick(window.drawing, Qt.MouseButton.LeftButton, pos=at.toPoint())
    before = len(form.path)
    QTest.mouseClick(form.undo, Qt.MouseButton.LeftButton)
    assert len(form.path) == before - 1


def _relief(window: BoardWindow) -> None:
    form, rig = predict_page(window).form, window.presenter(RigPresenter)
    assert isinstance(form, ReliefForm)
    QTest.mouseClick(form.screw, Qt.MouseButton.LeftButton)
    assert rig.pane.isVisible()
    rig.set_nut("0V1", True)
    for _ in range(6):
        rig.turn("0V1", -4)
    window.run()
    window.rack.levers["1V1.lever"].motion.set_exactly(1.0)
    pass_time(window, 2.5)
    dial = there(window.dials.dial("P1"))
    while dial.shown < 43.6e5:
        rig.turn("0V1", 1)
        pass_time(window, 0.5)
        assert window.session.time < 12.0
    rig.set_nut("0V1", False)
    pass_time(window, 0.3)
    rig.pane.closed.emit()
    assert pane_of(window).isVisible()
    QTest.mouseClick(form.take, Qt.MouseButton.LeftButton)
    window.rack.levers["1V1.lever"].motion.set_exactly(0.0)


def _counts(window: BoardWindow) -> None:
    form = predict_page(window).form
    assert isinstance(form, CountsForm)
    pass_time(window, 0.2)
    QTest.mouseClick(form.take, Qt.MouseButton.LeftButton)


ANSWERS: dict[str, Callable[[BoardWindow], None]] = {
    "number": _number, "choice": _choice, "words": _words, "order": _order, "place": _place, "nameless": _place,
    "names": _names, "trace": _trace, "relief": _relief, "counts": _counts,
}  # fmt: skip
RIGHT = {"names": True, "relief": True, "words": None, "number": False, "counts": False}


@pytest.mark.parametrize("kind", first(1, LESSONS))
def test_each_kind_is_answered_by_hand(kind: str, make_board: MakeBoard, tmp_path: Path) -> None:
    """With the keyboard where the form is in the pane; the verdict is the model's, the attempt is kept."""
    window = make_board()
    lesson = opened(window, tmp_path, *LESSONS[kind])
    lesson.go_on()
    levers = {name: window.session.asked(name) for name in window.session.rig.controls()}
    ANSWERS[kind](window)
    page = predict_page(window)
    if page.reasons is not None:
        page.reasons.choose_place(1)
    if kind != "relief":
        assert {name: window.session.asked(name) for name in window.session.rig.controls()} == levers
    lesson.commit()
    assert task_of(window).committed, window.notice.words
    run = task_of(window).posed.exercise.run
    if shown(window) is Step.RUN:
        pass_time(window, run.until - window.session.time + 0.1)
    if shown(window) is Step.SEEN:
        lesson.saw("same")
    assert shown(window) is Step.WHY
    kept = [*lesson.attempts.all()]
    assert len(kept) == 1
    if kind in RIGHT:
        assert kept[0].right is RIGHT[kind]
    assert not window.drawing.state.steps_shown
    assert window.drawing.asker is None


def cut(window: BoardWindow) -> list[str]:
    """What of the pane's words is cut, or lies on other words."""
    QTest.qWait(1)  # what was written since is laid out
    pane, found = pane_of(window), []
    boxes: list[tuple[str, QRect]] = []
    inside = pane.body.widget()
    widgets: list[QLabel | QAbstractButton | QLineEdit] = [
        *pane.findChildren(QLabel), *pane.findChildren(QAbstractButton), *pane.findChildren(QLineEdit)
    ]  # fmt: skip
    for widget in widgets:
        if not widget.isVisible() or (isinstance(widget, QLabel) and not widget.text()):
            continue
        need = QSize(0, 0)
        if isinstance(widget, QLabel):
            wide = widget.width()
            high = widget.heightForWidth(wide) if widget.wordWrap() else widget.sizeHint().height()
            longest = max((widget.fontMetrics().horizontalAdvance(word) for word in widget.text().split()), default=0)
            whole = widget.fontMetrics().horizontalAdvance(widget.text())
            need = QSize(longest if widget.wordWrap() else whole, high)
        elif isinstance(widget, WordButton):
            if widget is not pane.go:
                need = QSize(widget.sizeHint().width() - 3, widget.sizeHint().height() - 6)
        elif isinstance(widget, RadioRow):
            need = QSize(0, widget.heightForWidth(widget.width()))
        if need.width() > widget.width() + 1 or need.height() > widget.height() + 2:
            found.append(f"cut: {widget.text()[:50]!r} {need} in {widget.size()}")
        ground = inside if inside is not None and inside.isAncestorOf(widget) else pane
        corner = widget.mapTo(ground, QPoint(0, 0))
        box = QRect(corner, widget.size())
        if ground is pane and not pane.rect().contains(box):
            found.append(f"outside: {widget.text()[:50]!r}")
        if ground is not pane and (box.right() > ground.width() or box.bottom() > ground.height()):
            found.append(f"outside the page: {widget.text()[:50]!r}")
        boxes.append((f"{ground.objectName()}:{widget.text()}", box.adjusted(0, 2, 0, -2)))
    for (one, a), (other, b) in itertools.combinations(boxes, 2):
        both = a.intersected(b)
        if one.split(":")[0] == other.split(":")[0] and both.width() > 2 and both.height() > 3:
            found.append(f"{one[:40]!r} lies on {other[:40]!r}: {both}")
    return found


@pytest.mark.soak
@pytest.mark.parametrize(("size", "theme", "system"), LOOKS)
def test_no_word_is_cut(
    size: tuple[int, int], theme: str, system: System, make_board: MakeBoard, tmp_path: Path
) -> None:
    """All kinds, all pages: what is read, asked, run, and why."""
    window = make_board(theme=theme, system=system, size=size)
    found: dict[str, list[str]] = {}
    for kind, (name, task) in LESSONS.items():
        lesson = opened(window, tmp_path, name, task)
        pages = [("read", cut(window))]
        lesson.go_on()
        lesson.hint()
        pages.append(("predict", cut(window)))
        if size[0] >= NARROW:  # in a smaller window the page of a form scrolls
            check(window.board, 12)
        lesson.uncover()
        pages.append(("run", cut(window)))
        if shown(window) is Step.RUN:
            lesson.go_on()  # the run is not waited for
        if shown(window) is Step.SEEN:
            pages.append(("seen", cut(window)))
            lesson.saw("up")
        pages.append(("why", cut(window)))
        found |= {f"{kind} {page}": faults for page, faults in pages if faults}
    assert not found, "\n".join(f"{name}: {fault}" for name, faults in found.items() for fault in faults)


@pytest.mark.soak
def test_a_unit_of_ones_own_is_taken(make_board: MakeBoard, tmp_path: Path) -> None:
    """290 psi is 20 bar; empty, letters and what is off the scale are told, and nothing is lost."""
    window = make_board()
    lesson = opened(window, tmp_path, *LESSONS["number"])
    lesson.go_on()
    page = predict_page(window)
    form = page.form
    assert isinstance(form, NumberForm)
    for written, told in (
        ("", "Write a reading first"), ("many", "That is not a number"), ("400", "The scale reads 0 to 60 bar"),
    ):  # fmt: skip
        form.line.setText(written)
        lesson_of(window).commit()
        assert told in window.notice.words
        assert form.line.text() == written
        assert form.line.hasFocus()
        assert not task_of(window).committed
    form.line.setText("290 psi")
    there(page.reasons).choose_place(1)
    lesson.commit()
    assert task_of(window).committed
    pass_time(window, task_of(window).posed.exercise.run.until + 0.1)
    lesson.saw("up")
    assert task_of(window).verdict.said == "290 psi = 20.0 bar"


@pytest.mark.soak
@pytest.mark.parametrize("system", System)
def test_beside_a_lesson_levers_and_ledgers_keep_their_words(
    system: System, make_board: MakeBoard, tmp_path: Path
) -> None:
    """960 x 540 is what a screen of 1920 x 1080 has at 200 %: no lever's name is cut, no figure lies on a percent."""
    window = make_board(system=system, size=(960, 540))
    lesson = opened(window, tmp_path, "05-where-the-gauge-stands", "between-the-banks")
    lesson.uncover()
    pass_time(window, 1.0)
    levers = [*window.rack.levers.values()]
    assert len(levers) == 5
    for lever in levers:
        assert lever.width() >= lever.needs(lever.height())
        assert window.rack.rect().contains(lever.geometry())
    for one, other in itertools.pairwise(sorted(levers, key=lambda lever: lever.x())):
        assert one.geometry().right() <= other.x() + 1
    for ledger in (window.flow, window.power):
        found = ledger.canvas.texts()
        for (text, box, _), (near, there_, _) in itertools.combinations(found, 2):
            both = box.intersected(there_)
            assert both.width() < 1 or both.height() < 3, (text, near)
