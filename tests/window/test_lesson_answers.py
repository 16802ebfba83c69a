"""Answers in the pane and on the drawing: a reason of one's own, an order that is clicked, what hands have done."""

from __future__ import annotations

import csv
import io
from pathlib import Path

import pytest
from board_moves import MakeBoard, pass_time, there
from lesson_moves import FIRST, LEFT, lesson_of, opened, pane_of, predict_page, run_to_its_end, shown, task_of
from PySide6.QtCore import QPoint, QRect, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QLabel, QWidget
from pytestqt.qtbot import QtBot
from test_lesson_kinds import ANSWERS, LESSONS

from trainer.drawing.shapes import Marks
from trainer.lessons import answers
from trainer.lessons.flow import Step
from trainer.lessons.posing import OWN
from trainer.lessons.shelf import Shelf
from trainer.window.controls.labels import Label
from trainer.window.lesson.example_page import ExamplePage
from trainer.window.lesson.ordering import OrderForm
from trainer.window.lesson.presenter import LessonPresenter
from trainer.window.lesson.reasons import Reasons
from trainer.window.lesson.said import Said
from trainer.window.painting import fonts
from trainer.window.painting.look import Look
from trainer.window.shell.window import BoardWindow


def after_a_crash(window: BoardWindow, make_board: MakeBoard, folder: Path) -> BoardWindow:
    """Return another window that goes on where the first one, never closed, was."""
    other = make_board()
    presenter = other.presenter(LessonPresenter)
    presenter.begin(folder)
    again, lesson = lesson_of(other), lesson_of(window)
    again.attempts, again.opener = lesson.attempts, lesson.opener
    presenter.resume()
    return other


@pytest.mark.soak
def test_another_reason_is_written_and_kept_for_the_instructor(make_board: MakeBoard, tmp_path: Path) -> None:
    """The last row opens a line; empty it is not taken; letters of it move no lever; it stands in the table."""
    window = make_board()
    window.presenter(LessonPresenter).begin(tmp_path)
    lesson = opened(window, tmp_path, FIRST, "lever-over")
    lesson.go_on()
    page = predict_page(window)
    reasons = there(page.reasons)
    assert reasons.line.isHidden()
    page.digit(1)
    reasons.focus()
    page.digit(len(reasons.rows))
    assert (reasons.value, reasons.line.isVisible(), reasons.line.hasFocus()) == (OWN, True, True)
    QTest.qWait(1)
    view = pane_of(window).body.viewport()
    assert view.rect().contains(QRect(reasons.line.mapTo(view, QPoint(0, 0)), reasons.line.size()))
    lesson.commit()
    assert "Write your reason" in window.notice.words
    assert reasons.line.hasFocus()
    levers = [window.session.asked(name) for name in window.session.rig.controls()]
    QTest.keyClicks(reasons.line, "q w the weight 3 sits on it")
    assert [window.session.asked(name) for name in window.session.rig.controls()] == levers
    pass_time(window, 0.3)
    other = after_a_crash(window, make_board, tmp_path)
    assert there(predict_page(other).reasons).words == "q w the weight 3 sits on it"
    lesson.commit()
    assert task_of(window).committed
    run_to_its_end(window)
    lesson.saw("up")
    table = csv.DictReader(io.StringIO(answers.csv_text(lesson.attempts.all(), Shelf((), frozenset(), {}))))
    assert [row["reason"] for row in table] == ["q w the weight 3 sits on it"]
    assert isinstance(reasons, Reasons)


@pytest.mark.soak
def test_what_moves_first_is_clicked_on_the_drawing(make_board: MakeBoard, tmp_path: Path) -> None:
    """Parts get numbered discs, by clicks, by Tab and Enter, by digits; the rows have the same numbers."""
    window = make_board()
    lesson = opened(window, tmp_path, *LESSONS["order"])
    lesson.go_on()
    form = predict_page(window).form
    assert isinstance(form, OrderForm)
    assert {name: places[0] for name, places in form.posed.item_places().items()} == {
        "wide": ("part", "1A1"), "narrow": ("part", "1A2"),
    }  # fmt: skip
    for id_ in ("1A2", "1A1"):
        left, top, wide, high = window.drawing.scene.boxes[id_]
        at = window.drawing.at(left + wide / 2, top + high / 2).toPoint()
        QTest.mouseClick(window.drawing, LEFT, pos=at)
    assert form.order == ["narrow", "wide"]
    assert {name: row.number for name, row in form.rows.items()} == {"narrow": 1, "wide": 2}
    steps = window.drawing.state.steps_shown
    assert [(step.number, step.place) for step in steps] == [(1, ("part", "1A2")), (2, ("part", "1A1"))]
    left, top, wide, high = window.drawing.scene.boxes["1V1"]
    QTest.mouseClick(window.drawing, LEFT, pos=window.drawing.at(left + wide / 2, top + high / 2).toPoint())
    assert form.order == ["narrow", "wide"]
    assert "none of them" in window.notice.words
    form.restore([])
    window.drawing.setFocus()
    QTest.keyClick(window.drawing, Qt.Key.Key_Tab)
    QTest.keyClick(window.drawing, Qt.Key.Key_Return)
    assert form.order == [form.at[form.places()[0]]]
    form.restore([])
    QTest.keyClick(window.drawing, Qt.Key.Key_2)
    assert form.order == [[*form.rows][1]]
    QTest.keyClick(window.drawing, Qt.Key.Key_1)
    predict_page(window).choose_reason("right", "")
    lesson.commit()
    assert task_of(window).committed
    assert not window.drawing.state.steps_shown
    assert window.drawing.asker is None


@pytest.mark.soak
@pytest.mark.parametrize("kind", ["counts", "relief"])
@pytest.mark.parametrize("at", [Step.PREDICT, Step.WHY])
def test_what_hands_have_done_comes_back_after_a_crash(
    kind: str, at: Step, make_board: MakeBoard, tmp_path: Path
) -> None:
    """A reading that was taken is there again, and so is its verdict; no attempt is kept twice."""
    window = make_board()
    window.presenter(LessonPresenter).begin(tmp_path)
    lesson = opened(window, tmp_path, *LESSONS[kind])
    lesson.go_on()
    ANSWERS[kind](window)
    page = predict_page(window)
    page.choose_reason(next(iter(page.reasons.rows)) if page.reasons is not None else "", "")
    state, told = page.form.state, page.form.told.text()  # type: ignore[attr-defined] # of hands both
    assert "Taken: P" in told
    pass_time(window, 0.3)
    if at is Step.WHY:
        lesson.commit()
        assert shown(window) is Step.WHY
    other = after_a_crash(window, make_board, tmp_path)
    assert shown(other) is at
    if at is Step.WHY:
        assert task_of(other).verdict == task_of(window).verdict
    else:
        assert predict_page(other).form.state == state
        assert predict_page(other).form.told.text() == told  # type: ignore[attr-defined] # of hands both
        lesson_of(other).commit()
        assert task_of(other).committed
    assert len([*lesson.attempts.all()]) == 1


@pytest.mark.soak
def test_worked_then_half_worked_then_alone(make_board: MakeBoard, tmp_path: Path) -> None:
    """Other numbers, step by step; then the later ones are written; then the task as it was, with what was typed."""
    window = make_board()
    lesson = opened(window, tmp_path, "04-speed-is-flow-over-area", "reckon-the-speed")
    lesson.go_on()
    predict_page(window).form.restore("80")
    own = task_of(window).posed.numbers
    QTest.mouseClick(pane_of(window).example, LEFT)
    page = lesson.shown_page
    assert isinstance(page, ExamplePage)
    assert window.drawing.state.covered or not task_of(window).cover.anything
    assert [view.isVisible() for view in page.steps] == [True, False]
    assert pane_of(window).go.text() == "Next step"
    lesson.go_on()
    assert page.over
    assert pane_of(window).go.text() == "Now half of it"
    lesson.go_on()
    half = lesson.shown_page
    assert isinstance(half, ExamplePage)
    assert (half.half, [view.done for view in half.steps]) == (True, [True, False])
    view = half.steps[1]
    assert view.line.hasFocus()
    assert not any(one.result in label.text() for one in [view.step] for label in view.findChildren(QLabel)
                   if label.isVisible())  # fmt: skip
    QTest.keyClicks(view.line, "1")
    QTest.keyClick(view.line, Qt.Key.Key_Return)
    assert "Not yet" in view.told.text()
    view.line.setText(f"{view.step.unit.number(view.step.value):.3g}")
    QTest.keyClick(view.line, Qt.Key.Key_Return)
    assert half.over
    assert view.tick.isVisible()
    lesson.go_on()
    assert predict_page(window).form.state == "80"
    assert task_of(window).posed.numbers == own
    lesson.show_example()
    lesson.back()
    assert predict_page(window).form.state == "80"


def marks_of(window: BoardWindow) -> list[Marks]:
    drawing = window.drawing
    return [one for one in drawing.scene.moving(drawing.readings, drawing.state) if isinstance(one, Marks)]


def test_where_oil_goes_is_not_told_and_a_wrong_answer_can_be_looked_at_again(
    make_board: MakeBoard, tmp_path: Path
) -> None:
    """Marks of flow come with the answer; the square of a task leads back to the why."""
    window = make_board()
    guide = opened(window, tmp_path, FIRST, "where-it-goes")
    place = [*there(guide.lesson).exercises].index("where-it-goes")
    assert window.drawing.state.unmarked
    assert not marks_of(window)
    guide.go_on()
    page, posed = predict_page(window), task_of(window).posed
    page.form.restore(next(id_ for id_ in posed.answers if id_ not in posed.right))
    guide.commit()
    assert not window.drawing.state.unmarked
    assert marks_of(window)
    run_to_its_end(window)
    if shown(window) is Step.SEEN:
        guide.saw("same")
    guide.go_to(place - 1)
    assert pane_of(window).squares[place].state == "answered"
    guide.go_to(place)
    assert shown(window) is Step.WHY
    assert task_of(window).verdict.right is False
    assert len([*guide.attempts.all()]) == 1
    pane_of(window).others.click()
    assert shown(window) is Step.READ


@pytest.mark.soak
def test_a_wrong_reason_is_answered_beside_the_right_one(make_board: MakeBoard, tmp_path: Path) -> None:
    window = make_board()
    guide = opened(window, tmp_path, FIRST, "lever-over")
    guide.go_on()
    page, posed = predict_page(window), task_of(window).posed
    page.form.restore(posed.right[0])
    wrong = next(one for one in posed.reasons if one.slip is not None)
    page.choose_reason(wrong.id, "")
    guide.commit()
    run_to_its_end(window)
    guide.saw("same")
    said = [label.text() for label in there(guide.shown_page).findChildren(Label)]
    told = next(words for words in said if words.startswith(f"As your reason you said: {wrong.words}"))
    assert said.index(told) + 1 == said.index(f"The reason: {task_of(window).right_reason}")
    pane_of(window).go.click()
    place = [*there(guide.lesson).exercises].index("lever-over")
    assert pane_of(window).squares[place].state == "answered"


@pytest.mark.parametrize(
    ("told", "width", "beside"),
    [
        (("about 14 L/min", "0 L/min", "14 L/min too high"), 600, True),
        (("about 14 L/min", "0 L/min", "14 L/min too high"), 400, False),
        (("about 72 mm/s", "48 mm/s", "24 mm/s too high"), 360, False),
        (("3 psi", "1668 psi", "1665 psi too low"), 380, True),
    ],
)
def test_what_was_said_and_read_never_runs_together(
    qtbot: QtBot, told: tuple[str, ...], width: int, beside: bool
) -> None:
    """Beside one another where there is room for all, else one below the other; each whole."""
    fonts.load()
    outer = QWidget()
    qtbot.addWidget(outer)
    said = Said(Look(), [*zip(("you said", "it was", "apart"), told, strict=True)], (False,) * 3, outer)
    said.resize(width, 120)
    outer.resize(width, 120)
    with qtbot.waitExposed(outer):
        outer.show()
    said.grid.activate()
    assert said.beside is beside
    boxes = [label.geometry() for label in (*said.names, *said.values)]
    assert all(box.right() <= width for box in boxes)
    assert not any(one.intersects(two) for k, one in enumerate(boxes) for two in boxes[:k])
    for label in said.values:
        assert label.fontMetrics().horizontalAdvance(label.text()) <= label.width()
