"""An exam on the board: begun from the list, three tries, no hint and no why before the end, a clock, a crash."""

from __future__ import annotations

from pathlib import Path

import msgspec
import pytest
from board_moves import Clock, MakeBoard, pass_time, there
from lesson_moves import FIRST, LEFT, lesson_of, opened, pane_of, predict_page, shown, task_of
from pytestqt.qtbot import QtBot

from trainer.lessons.attempts import AttemptFile
from trainer.lessons.flow import Step
from trainer.window.lesson.exam import ResultPage, Sitting, lasted
from trainer.window.lesson.guide import Guide
from trainer.window.lesson.presenter import LessonPresenter
from trainer.window.lessons_list.presenter import LessonsPresenter
from trainer.window.shell.window import BoardWindow


def sitting(window: BoardWindow) -> Sitting:
    return there(lesson_of(window).sitting)


def answer(window: BoardWindow, right: bool) -> None:
    """Answer a choice or a place, and commit."""
    guide = lesson_of(window)
    if shown(window) is Step.READ:
        guide.go_on()
    page, posed = predict_page(window), task_of(window).posed
    page.form.restore(next(id_ for id_ in posed.answers if (id_ in posed.right) is right))
    page.choose_reason("right", "")
    guide.commit()


def wait(window: BoardWindow, seconds: float) -> None:
    """Let the clock of the wall go on [s]."""
    clock = window.controller.clock
    assert isinstance(clock, Clock)
    clock.now += seconds
    pass_time(window, 0.2)


def begin(window: BoardWindow, folder: Path) -> Guide:
    """Begin an exam of the first lesson."""
    guide = opened(window, folder)
    assert window.presenter(LessonPresenter).open_exam(FIRST, seat=3)
    return guide


@pytest.mark.soak
def test_from_the_list_to_the_result(make_board: MakeBoard, tmp_path: Path, qtbot: QtBot) -> None:
    """Five tasks, one of them with three tries; what came of each is kept, and only at the end explained."""
    window = make_board()
    desk = window.presenter(LessonsPresenter).desk
    guide = opened(window, tmp_path)
    desk.attempts = guide.attempts
    desk.show_list()
    page = there(desk.screen).list
    qtbot.mouseClick(page.exam, LEFT)
    page.started.emit(FIRST, "", 0)
    assert not page.exam.isChecked()
    exam = sitting(window).exam
    assert task_of(window).posed.seed.attempt == exam.numbers
    assert window.drawing.state.covered
    pane = pane_of(window)
    assert pane.exam.isVisible()
    assert (pane.hint.isVisible(), window.stage.actions["hint"].refusal) == (False, "There is no hint now.")
    wait(window, 65.0)
    assert pane.exam.timer.isActive()  # a frozen board has no frames
    assert pane.exam.clock.text() == "Exam 1:05"
    for left in (2, 1):
        answer(window, right=False)
        assert f"{left} tr" in window.notice.words
        assert shown(window) is Step.PREDICT
        assert window.drawing.state.covered
        assert not window.session.running
    assert pane.exam.marks.marks == ("wrong", "wrong", "open")
    answer(window, right=False)
    assert task_of(window).posed.exercise.id == exam.tasks[1]
    assert [*guide.attempts.all()][-1].tries == 3
    guide.go_to(0)
    assert "once the exam is over" in window.notice.words
    for _ in exam.tasks[1:]:
        assert window.drawing.state.covered or not task_of(window).cover.anything
        answer(window, right=True)
    result = guide.shown_page
    assert isinstance(result, ResultPage)
    assert sitting(window).exam.right == 4
    assert pane_of(window).go.text() == "All lessons"
    assert [one.tries for one in guide.attempts.all()] == [3, 1, 1, 1, 1]
    assert {one.exam for one in guide.attempts.all()} == {exam.id}
    qtbot.mouseClick(result.explain, LEFT)
    assert (task_of(window).posed.exercise.id, shown(window)) == (exam.tasks[0], Step.WHY)
    assert task_of(window).verdict.right is False
    for _ in exam.tasks:
        guide.go_on()
    assert isinstance(guide.shown_page, ResultPage)
    assert len([*guide.attempts.all()]) == 5


@pytest.mark.soak
def test_it_goes_on_after_a_crash(make_board: MakeBoard, tmp_path: Path) -> None:
    """With its time, its tries and what was chosen; a crash between two tasks leads to the next one."""
    window = make_board()
    window.presenter(LessonPresenter).begin(tmp_path)
    guide = begin(window, tmp_path)
    wait(window, 31.0)
    answer(window, right=False)
    pass_time(window, 0.3)
    other = make_board()
    presenter = other.presenter(LessonPresenter)
    presenter.begin(tmp_path)
    again = lesson_of(other)
    again.attempts, again.opener = guide.attempts, guide.opener
    presenter.resume()
    assert task_of(other).posed.seed == task_of(window).posed.seed
    assert sitting(other).exam.marks(sitting(other).exam.tasks[0]) == ("wrong", "open", "open")
    assert 25.0 <= sitting(other).seconds <= 32.0
    assert predict_page(other).form.state == predict_page(window).form.state
    assert other.drawing.state.covered
    answer(other, right=True)
    first, second = sitting(other).exam.tasks[:2]
    assert task_of(other).posed.exercise.id == second
    kept = there(there(again.file).read())
    between = msgspec.structs.replace(kept, exercise=first, step=int(Step.PREDICT), answer="right")
    there(again.file).write(between)  # done, and the next one was not there yet
    third = make_board()
    third.presenter(LessonPresenter).begin(tmp_path)
    lesson_of(third).opener = guide.opener
    third.presenter(LessonPresenter).resume()
    assert task_of(third).posed.exercise.id == second
    assert task_of(third).posed.seed.attempt == sitting(third).exam.numbers


@pytest.mark.soak
def test_uncovered_it_is_no_exam_any_more(make_board: MakeBoard, tmp_path: Path) -> None:
    """The instructor may; the attempt says so and belongs to no exam."""
    window = make_board()
    guide = begin(window, tmp_path)
    guide.uncover()
    assert guide.sitting is None
    assert "no exam any more" in window.notice.words
    assert pane_of(window).exam.isHidden()
    pass_time(window, 2.5)
    guide.saw("up")
    kept = [*AttemptFile(tmp_path / "attempts.jsonl").all()][-1]
    assert (kept.uncovered, kept.exam) == (True, "")


@pytest.mark.parametrize(("seconds", "told"), [(0.0, "0:00"), (65.9, "1:05"), (3725.0, "1:02:05")])
def test_how_long_it_lasts_is_told(seconds: float, told: str) -> None:
    assert lasted(seconds) == told


def test_a_right_reading_with_a_wrong_reason_is_told_so(make_board: MakeBoard, tmp_path: Path) -> None:
    """It is as read; what does not hold is the reason."""
    window = make_board()
    guide = begin(window, tmp_path)
    guide.go_on()
    page, posed = predict_page(window), task_of(window).posed
    page.form.restore(posed.right[0])
    page.choose_reason(next(one.id for one in posed.reasons if one.slip is not None), "")
    guide.commit()
    assert window.notice.words == "As read, but the reason does not hold. 2 tries are left."
