"""A lesson on the board: covered until committed, then run, seen, explained; by keyboard, by mouse, after a crash."""

from __future__ import annotations

from pathlib import Path

import pytest
from board_moves import MakeBoard, pass_time, there
from cases import first
from lesson_moves import (
    FIRST,
    LEFT,
    focused,
    lesson_of,
    opened,
    pane_of,
    predict_page,
    run_to_its_end,
    shown,
    task_of,
)
from PySide6.QtCore import QPoint, QRect, Qt
from PySide6.QtGui import QAccessible
from PySide6.QtWidgets import QWidget
from pytestqt.qtbot import QtBot

from trainer import resources
from trainer.changing.recovery import found
from trainer.lessons.flow import Step
from trainer.lessons.lesson import Places
from trainer.lessons.running import Courses
from trainer.units import System
from trainer.window.lesson.by_hand import ReliefForm
from trainer.window.lesson.forms import ChoiceForm
from trainer.window.lesson.on_drawing import PlaceForm
from trainer.window.lesson.pages import SeenPage
from trainer.window.lesson.presenter import LessonPresenter
from trainer.window.opening.presenter import OpeningPresenter
from trainer.window.recovery.presenter import RecoveryPresenter
from trainer.window.rig.presenter import RigPresenter
from trainer.window.shell.window import BoardWindow

CTRL, ALT = Qt.KeyboardModifier.ControlModifier, Qt.KeyboardModifier.AltModifier
NONE = Qt.KeyboardModifier.NoModifier


def press(window: BoardWindow, qtbot: QtBot, key: Qt.Key, modifier: Qt.KeyboardModifier = NONE) -> None:
    """Press a key wherever the keyboard is."""
    qtbot.keyClick(window.focusWidget() or window, key, modifier)


def figure(place: int) -> Qt.Key:
    """Return the key of a figure, from 0 for "1"."""
    return Qt.Key(Qt.Key.Key_1 + place)


def click(window: BoardWindow, qtbot: QtBot, widget: QWidget) -> None:
    """Click on what is seen of the pane, scrolled to where it has to be."""
    body = pane_of(window).body
    if body.isAncestorOf(widget):
        body.ensureWidgetVisible(widget)
    assert widget.isVisible()
    qtbot.mouseClick(widget, LEFT)


def test_a_task_by_keyboard_only(make_board: MakeBoard, tmp_path: Path, qtbot: QtBot) -> None:
    """Read, predict, commit, seen, why, and on: no click; the run ends at its own end and the attempt is kept."""
    window = make_board()
    lesson = opened(window, tmp_path, FIRST, "lever-over")
    press(window, qtbot, Qt.Key.Key_Return)
    assert shown(window) is Step.PREDICT
    press(window, qtbot, figure([*predict_page(window).form.posed.answers].index("right")))
    press(window, qtbot, Qt.Key.Key_Return, CTRL)  # no reason yet
    assert not task_of(window).committed
    reasons = predict_page(window).reasons
    assert reasons is not None
    assert reasons.has_keyboard()
    body = pane_of(window).body
    assert there(body.widget()).mapTo(body, reasons.geometry().bottomLeft()).y() <= body.height()
    press(window, qtbot, figure([*reasons.rows].index("right")))
    press(window, qtbot, Qt.Key.Key_Return, CTRL)
    assert window.session.running
    run_to_its_end(window)
    assert shown(window) is Step.SEEN
    press(window, qtbot, Qt.Key.Key_1)
    assert shown(window) is Step.WHY
    kept = [*lesson.attempts.all()]
    assert [(one.exercise, one.whole, one.seen) for one in kept] == [("lever-over", True, "up")]
    press(window, qtbot, Qt.Key.Key_N, ALT)
    assert task_of(window).posed.exercise.id == "lever-back"
    assert not pane_of(window).isHidden()
    assert shown(window) is Step.READ


def answer_by_mouse(window: BoardWindow, qtbot: QtBot) -> None:
    """Answer what is asked, right or wrong, by clicks only."""
    page = predict_page(window)
    form = page.form
    if isinstance(form, ChoiceForm):
        click(window, qtbot, next(iter(form.rows.rows.values())))
    else:
        assert isinstance(form, PlaceForm)
        question = form.posed.exercise.question
        assert isinstance(question, Places)
        left, top, wide, high = window.drawing.scene.boxes[next(iter(question.places))]
        at = window.drawing.at(left + wide / 2, top + high / 2).toPoint()
        qtbot.mouseClick(window.drawing, LEFT, pos=at)
        assert form.chosen
    if page.reasons is not None:
        click(window, qtbot, next(iter(page.reasons.rows.values())))


@pytest.mark.soak
def test_a_whole_lesson_by_mouse_only(make_board: MakeBoard, tmp_path: Path, qtbot: QtBot) -> None:
    """All five tasks of the first lesson by clicks; each leaves one attempt."""
    window = make_board(size=(1366, 768))
    lesson = opened(window, tmp_path)
    pane = pane_of(window)
    count = len(pane.squares)
    for k in range(count):
        pane = pane_of(window)
        click(window, qtbot, pane.go)
        answer_by_mouse(window, qtbot)
        click(window, qtbot, pane.go)
        assert task_of(window).committed
        if shown(window) is Step.RUN:
            run_to_its_end(window)
        page = lesson.shown_page
        if isinstance(page, SeenPage):
            click(window, qtbot, next(iter(page.rows.rows.values())))
        assert shown(window) is Step.WHY
        assert [square.state for square in pane.squares].count("now") == 1
        if k + 1 < count:
            click(window, qtbot, pane.go)
    kept = [*lesson.attempts.all()]
    assert len(kept) == count
    assert len({one.exercise for one in kept}) == count


@pytest.mark.soak
def test_a_whole_lesson_by_keyboard_only(make_board: MakeBoard, tmp_path: Path, qtbot: QtBot) -> None:
    """All five tasks by figures, Tab, Enter, Ctrl+Enter and Alt+N."""
    window = make_board()
    lesson = opened(window, tmp_path)
    count = len(pane_of(window).squares)
    for k in range(count):
        press(window, qtbot, Qt.Key.Key_N, ALT)
        page = predict_page(window)
        if isinstance(page.form, PlaceForm):
            press(window, qtbot, Qt.Key.Key_Tab)
            press(window, qtbot, Qt.Key.Key_Return)
            assert page.form.chosen
        else:
            press(window, qtbot, Qt.Key.Key_2)
        press(window, qtbot, Qt.Key.Key_Return, CTRL)
        press(window, qtbot, Qt.Key.Key_1)
        press(window, qtbot, Qt.Key.Key_Return, CTRL)
        assert task_of(window).committed
        if shown(window) is Step.RUN:
            run_to_its_end(window)
        if shown(window) is Step.SEEN:
            press(window, qtbot, Qt.Key.Key_Down)
            press(window, qtbot, Qt.Key.Key_Return)
        assert shown(window) is Step.WHY
        if k + 1 < count:
            press(window, qtbot, Qt.Key.Key_N, ALT)
    assert len([*lesson.attempts.all()]) == count


@pytest.mark.soak
def test_wrong_hint_other_numbers_and_looking_back(make_board: MakeBoard, tmp_path: Path, qtbot: QtBot) -> None:
    """A wrong answer gets its own text and working; two hints are recorded; other numbers are another task."""
    window = make_board()
    lesson = opened(window, tmp_path, FIRST, "lever-over")
    press(window, qtbot, Qt.Key.Key_H, ALT)
    assert shown(window) is Step.PREDICT
    press(window, qtbot, Qt.Key.Key_H, ALT)
    press(window, qtbot, Qt.Key.Key_H, ALT)
    assert task_of(window).hints == 2
    assert "p = F / A" in predict_page(window).hint.text()
    form = predict_page(window).form
    assert isinstance(form, ChoiceForm)
    form.rows.choose("S4")
    reasons = predict_page(window).reasons
    assert reasons is not None
    reasons.choose("S4")
    lesson.commit()
    press(window, qtbot, Qt.Key.Key_Escape)  # never past the commitment
    assert shown(window) is Step.RUN
    run_to_its_end(window)
    lesson.saw("up")
    verdict = task_of(window).verdict
    assert (verdict.right, verdict.slip) == (False, "S4")
    assert "ring" in verdict.text
    kept = [*lesson.attempts.all()][-1]
    assert (kept.hints, kept.slip, kept.right) == (2, "S4", False)
    lesson.look_at(Step.PREDICT)  # answers stay, and cannot be changed
    looked = predict_page(window).form
    assert isinstance(looked, ChoiceForm)
    assert looked.rows.value == "S4"
    assert not looked.isEnabled()
    lesson.look_at(Step.WHY)
    mass = task_of(window).posed.numbers["1W1.mass"]
    lesson.other_numbers()
    assert task_of(window).posed.seed.attempt == 1
    assert task_of(window).step is Step.READ
    assert task_of(window).posed.numbers.keys() == {"1W1.mass"}
    assert mass > 0
    assert window.drawing.state.covered


@pytest.mark.soak
def test_see_it_again_runs_the_same_once_more(make_board: MakeBoard, tmp_path: Path) -> None:
    """Back to before the run, and to the same reading at its end; the attempt is kept once."""
    window = make_board()
    lesson = opened(window, tmp_path, FIRST, "lever-over")
    lesson.go_on()
    page = predict_page(window)
    page.digit(1)
    assert page.reasons is not None
    page.reasons.choose_place(1)
    lesson.commit()
    run_to_its_end(window)
    lesson.saw("up")
    end, read = window.session.time, window.session.readings.pressure("P1")
    assert read == pytest.approx(task_of(window).posed.answer, rel=0.02)  # what was found ahead came about
    lesson.see_again()
    assert window.session.time < end
    assert window.session.running
    pass_time(window, 4.5)
    assert window.session.time == pytest.approx(end, abs=0.02)
    assert window.session.readings.pressure("P1") == pytest.approx(read, rel=1e-3)
    assert shown(window) is Step.WHY
    assert len([*lesson.attempts.all()]) == 1


@pytest.mark.soak
def test_put_away_and_back(make_board: MakeBoard, tmp_path: Path, qtbot: QtBot) -> None:
    """F10 and the button in the bar: what is chosen stays, and so do the covers; another rig ends the lesson."""
    window = make_board(size=(1366, 768))
    lesson = opened(window, tmp_path, FIRST, "lever-over")
    lesson.go_on()
    predict_page(window).digit(2)
    chosen = predict_page(window).form.state
    press(window, qtbot, Qt.Key.Key_F10)
    assert pane_of(window).isHidden()
    assert window.drawing.state.covered
    qtbot.mouseClick(window.bar.lesson, LEFT)
    assert not pane_of(window).isHidden()
    assert predict_page(window).form.state == chosen
    assert window.presenter(OpeningPresenter).open_rig(resources.rigs()["one-spool-bench"])
    assert lesson.task is None
    assert not window.drawing.state.covered
    assert window.bar.lesson.isHidden()
    assert window.stage.actions["lesson"].refusal == "No lesson is open."
    window.run()
    assert window.session.running


@pytest.mark.parametrize("at", first(1, [Step.WHY, Step.PREDICT]))
def test_after_a_crash_it_goes_on(at: Step, make_board: MakeBoard, tmp_path: Path) -> None:
    """Lesson, task, step and what was typed come back from the file; an attempt is not kept twice."""
    window = make_board()
    window.presenter(LessonPresenter).begin(tmp_path)
    lesson = opened(window, tmp_path, "03-the-load-makes-the-pressure", "reckon-the-gauge", seat=7)
    lesson.go_on()
    page = predict_page(window)
    page.form.restore("31.5")
    assert page.reasons is not None
    page.reasons.choose_place(2)
    reason = page.reason
    pass_time(window, 0.5)
    if at is Step.WHY:
        lesson.commit()
        run_to_its_end(window)
        lesson.saw("up")
        assert len([*lesson.attempts.all()]) == 1

    other = make_board()  # the first one has never been closed
    presenter = other.presenter(LessonPresenter)
    presenter.begin(tmp_path)
    again = lesson_of(other)
    again.attempts, again.opener = lesson.attempts, lesson.opener
    presenter.resume()
    assert task_of(other).posed.seed == task_of(window).posed.seed
    assert shown(other) is at
    if at is Step.PREDICT:
        assert predict_page(other).form.state == "31.5"
        assert predict_page(other).reason == reason
        assert other.drawing.state.covered
    else:
        assert task_of(other).verdict == task_of(window).verdict
        assert other.session.time == pytest.approx(task_of(other).posed.exercise.run.until)
        assert len([*again.attempts.all()]) == 1


@pytest.mark.soak
def test_attempts_that_cannot_be_kept_are_told_once(make_board: MakeBoard, tmp_path: Path) -> None:
    """A file in the place of the folder: told at the first verdict, and the lesson goes on."""
    window = make_board()
    (tmp_path / "no-folder").write_text("a file")
    lesson = opened(window, tmp_path / "no-folder", FIRST, "lever-at-rest")
    told = []
    for _ in range(2):
        lesson.uncover()
        run_to_its_end(window)
        lesson.saw("same")
        assert shown(window) is Step.WHY
        told.append("Attempts cannot be kept" in window.notice.words)
        window.stage.forget_words()
        lesson.other_numbers()
    assert told == [True, False]


@pytest.mark.soak
def test_rows_are_radio_buttons(make_board: MakeBoard, tmp_path: Path) -> None:
    """A screen reader is told the role, letter and words of each, and which is chosen."""
    window = make_board()
    opened(window, tmp_path, FIRST, "lever-over").go_on()
    form = predict_page(window).form
    assert isinstance(form, ChoiceForm)
    rows = [*form.rows.rows.values()]
    for letter, row in zip("ABCD", rows, strict=True):
        told = QAccessible.queryAccessibleInterface(row)
        assert told.role() == QAccessible.Role.RadioButton
        assert told.text(QAccessible.Text.Name).startswith(f"{letter}, about ")
    assert form.accessibleName() == task_of(window).posed.question(System.METRIC)
    rows[1].click()
    assert [row.isChecked() for row in rows] == [False, True, False, False]


@pytest.mark.soak
def test_in_a_narrow_window_it_stands_below(make_board: MakeBoard, tmp_path: Path) -> None:
    """Under 1100 px: over the rack while nothing may move, above it while the levers do."""
    window = make_board(size=(1024, 600))
    lesson = opened(window, tmp_path, FIRST, "lever-over")
    pane, page = pane_of(window), window.board
    assert pane.y() >= page.drawing.y() + page.drawing.height()
    assert pane.x() == 0
    assert page.rack.isHidden()
    assert page.drawing.height() > 100
    lesson.uncover()
    assert not page.rack.isHidden()
    assert pane.geometry().bottom() <= page.rack.y() + 1
    assert not page.rect().intersected(pane.geometry()).intersects(page.rack.geometry())
    lesson.change()
    assert page.drawing.mapTo(page, QPoint(0, page.drawing.height())).y() <= page.notice.y() + 1


@pytest.mark.soak
def test_in_a_narrow_window_hands_have_their_button_and_the_levers(make_board: MakeBoard, tmp_path: Path) -> None:
    """What is set and read by hand is asked with room for it, at 960 x 540 as well, and the rack stays."""
    window = make_board(size=(960, 540))
    lesson = opened(window, tmp_path, "09-setting-a-relief", "set-it")
    lesson.go_on()
    pane, form = pane_of(window), predict_page(window).form
    assert isinstance(form, ReliefForm)
    assert not window.board.rack.isHidden()
    seen = QRect(form.take.mapTo(pane.body.viewport(), QPoint(0, 0)), form.take.size())
    assert pane.body.viewport().rect().contains(seen)
    lesson.uncover()
    assert window.board.drawing.height() > 100


@pytest.mark.soak
def test_a_lesson_is_no_unsaved_rig(make_board: MakeBoard, tmp_path: Path) -> None:
    """What was changed before it is kept; what it changes itself leaves no file to be offered, and no question."""
    window = make_board()
    recovery = window.presenter(RecoveryPresenter)
    recovery.begin(tmp_path / "recovery")
    window.presenter(RigPresenter).set("1A1.bore", 0.05)
    opened(window, tmp_path, "09-setting-a-relief", "set-it")
    assert len(found(tmp_path / "recovery")) == 1
    window.presenter(RigPresenter).screw("0V1").loosen()
    window.presenter(RigPresenter).turn("0V1", -4)
    pass_time(window, 1.0)
    assert window.presenter(RigPresenter).changes.different()
    assert window.closing.words() == ("", "")
    window.presenter(OpeningPresenter).open_rig(resources.rigs()["one-spool-bench"])
    assert len(found(tmp_path / "recovery")) == 1


@pytest.mark.soak
def test_a_run_that_is_frozen_can_be_left_or_gone_on_with(make_board: MakeBoard, tmp_path: Path) -> None:
    """Ctrl+Enter does not cut a run short; frozen by a hand it runs on, or is left where it stands."""
    window = make_board()
    lesson = opened(window, tmp_path, FIRST, "lever-over")
    lesson.uncover()
    pass_time(window, 1.0)
    pane = pane_of(window)
    assert (pane.go.text(), pane.go.isEnabled()) == ("Running", False)
    lesson.commit()
    assert shown(window) is Step.RUN
    window.run(False)
    pass_time(window, 0.3)
    assert (pane.go.text(), pane.go.isEnabled()) == ("On", True)
    window.run()
    pass_time(window, 0.3)
    assert (pane.go.text(), pane.go.isEnabled()) == ("Running", False)
    window.run(False)
    lesson.commit()
    assert shown(window) is Step.SEEN
    assert task_of(window).posed.exercise.run.until > window.session.time


@pytest.mark.soak
def test_what_was_opened_before_is_not_run_again(make_board: MakeBoard, tmp_path: Path) -> None:
    """The second opening makes no run and reads no file, and shows the same numbers."""
    window = make_board()
    lesson = opened(window, tmp_path, FIRST, "lever-over")
    courses = lesson.opener.courses = Courses(tmp_path / "courses")
    assert window.presenter(LessonPresenter).open_lesson(FIRST, "lever-over", 3)
    made, first, told = courses.made, lesson.lesson, task_of(window).posed.situation(System.METRIC)
    assert made == 1
    assert window.presenter(LessonPresenter).open_lesson(FIRST, "lever-over", 3)
    assert courses.made == made
    assert lesson.lesson is first
    assert task_of(window).posed.situation(System.METRIC) == told
    assert [square.state for square in pane_of(window).squares][1] == "now"


def test_tab_goes_from_the_last_answer_to_commit_and_keys_of_a_hidden_task_do_nothing(
    make_board: MakeBoard, tmp_path: Path, qtbot: QtBot
) -> None:
    """Ctrl+Enter commits on any button as well; under the list of rigs no hint is used up, nothing is committed."""
    window = make_board()
    lesson = opened(window, tmp_path, FIRST, "lever-over")
    lesson.go_on()
    page, pane = predict_page(window), pane_of(window)
    reasons = there(page.reasons)
    page.digit(1 + [*page.form.posed.answers].index("right"))
    press(window, qtbot, Qt.Key.Key_Tab)
    assert reasons.has_keyboard()
    press(window, qtbot, figure([*reasons.rows].index("right")))
    press(window, qtbot, Qt.Key.Key_Tab)
    assert pane.go.hasFocus()
    window.presenter(OpeningPresenter).change_chooser()
    for key, modifier in ((Qt.Key.Key_H, ALT), (Qt.Key.Key_Return, CTRL), (Qt.Key.Key_F10, NONE)):
        press(window, qtbot, key, modifier)
    assert (task_of(window).hints, task_of(window).committed, pane.isHidden()) == (0, False, False)
    window.presenter(OpeningPresenter).change_chooser()
    press(window, qtbot, Qt.Key.Key_F10)
    press(window, qtbot, Qt.Key.Key_H, ALT)
    assert task_of(window).hints == 0
    assert "F10" in window.notice.words
    press(window, qtbot, Qt.Key.Key_F10)
    pane.lessons.setFocus()
    press(window, qtbot, Qt.Key.Key_Return, CTRL)
    assert task_of(window).committed
    assert window.stage.screen is None


def test_what_is_framed_on_the_drawing_is_what_is_named(make_board: MakeBoard, tmp_path: Path, qtbot: QtBot) -> None:
    """Before a key nothing is framed or named; Tab names each place; beyond the last it goes to the reasons."""
    window = make_board()
    lesson = opened(window, tmp_path, FIRST, "where-it-goes")
    said: list[str] = []
    window.drawing.said.connect(said.append)
    lesson.go_on()
    page, drawing = predict_page(window), window.drawing
    assert isinstance(page.form, PlaceForm)
    assert (drawing.hasFocus(), drawing.state.chosen, drawing.accessibleDescription(), said) == (True, None, "", [])
    for place in page.form.places():
        press(window, qtbot, Qt.Key.Key_Tab)
        assert drawing.state.chosen == place
        named = drawing.picks.words(there(drawing.picks.chosen()))
        assert (drawing.accessibleDescription(), said[-1]) == (named, f"{named}.")
    press(window, qtbot, Qt.Key.Key_Tab)
    assert not drawing.hasFocus()
    assert pane_of(window).isAncestorOf(focused(window))
