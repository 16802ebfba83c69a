"""A question over the class view: asked by clicks, voted, frozen until committed, run, seen, explained."""

from __future__ import annotations

import itertools
from collections.abc import Callable
from pathlib import Path

import pytest
from board_moves import MakeBoard, change_class, class_view_of, pass_time, there
from cases import courses, first
from lesson_moves import opened, task_of
from PySide6.QtCore import QPoint, Qt
from pytestqt.qtbot import QtBot
from test_class_view import boxes, shown

from trainer import resources
from trainer.engine.session import Session
from trainer.lessons import file as lesson_file
from trainer.lessons.flow import Task
from trainer.lessons.lesson import Choice, Number, Order, Places
from trainer.lessons.posing import Opener
from trainer.measuring.instruments import true_reading
from trainer.parts.part import Kind
from trainer.rig import file as rig_file
from trainer.rig.names import capital, the_line
from trainer.units import System
from trainer.window.class_view.asking import LETTERS, Question, find_asked, make
from trainer.window.class_view.from_task import question_of
from trainer.window.class_view.presenter import ClassPresenter
from trainer.window.class_view.question_view import QuestionView
from trainer.window.controls.buttons import WordButton
from trainer.window.session.covers import HELD, TELLING
from trainer.window.shell.window import BoardWindow
from trainer.window.time.presenter import TimePresenter

ALT, LEFT = Qt.KeyboardModifier.AltModifier, Qt.MouseButton.LeftButton
BENCH, LEGS = "1V1.lever", "1V1.lever"


def question(window: BoardWindow) -> QuestionView:
    return there(window.presenter(ClassPresenter).put)


def ask(window: BoardWindow, qtbot: QtBot, instrument: str = "P1", control: str = BENCH) -> QuestionView:
    """Ask in three clicks: Ask, the dial, the right side of a lever."""
    view = class_view_of(window)
    qtbot.mouseClick(view.column.buttons[0], LEFT)
    qtbot.mouseClick(view.column, LEFT, pos=view.column.areas()[instrument].center())
    lever = view.rack.levers[control].geometry()
    qtbot.mouseClick(view.rack, LEFT, pos=lever.center() + QPoint(lever.width() // 4, 0))
    return question(window)


@pytest.fixture
def benched(make_board: MakeBoard) -> BoardWindow:
    """The bench in neutral, before the class: its gauge stands where all the oil passes."""
    window = make_board()
    window.run()
    pass_time(window, 1.0)
    shown(window)
    return window


@pytest.fixture
def loaded(make_board: MakeBoard) -> BoardWindow:
    """The loader in neutral, before the class."""
    window = make_board(rig_file.load(resources.rigs()["timber-trailer-loader"]))
    window.run()
    pass_time(window, 1.0)
    shown(window)
    return window


def words(window: BoardWindow) -> list[str]:
    return [text for text, *_ in boxes(class_view_of(window))]


def test_from_ask_this_to_the_explanation_with_votes(loaded: BoardWindow, qtbot: QtBot) -> None:
    """Stabilisers at 100 %: a gauge behind their section loses its pressure; in neutral it reads 5.3 bar."""
    put = ask(loaded, qtbot, control=LEGS)
    assert [option.right for option in put.question.options].count(True) == 1
    assert put.hasFocus() or put.votes[0].hasFocus()
    for k, hands in enumerate((14, 3, 8)):
        qtbot.keyClicks(put.votes[k], str(hands))
        qtbot.keyClick(put.votes[k], Qt.Key.Key_Return)
    assert put.buttons["Commit"].hasFocus()
    assert "25 of" in words(loaded)
    qtbot.keyClick(put.buttons["Commit"], Qt.Key.Key_Return)
    assert loaded.session.running
    pass_time(loaded, 2.5)
    assert not loaded.session.running  # frozen at the end of its own run
    assert loaded.session.time == pytest.approx(put.question.end, abs=0.02)
    instrument = loaded.session.rig.instruments["P1"]
    reading = true_reading(instrument, loaded.session.readings)
    assert put.question.then == pytest.approx(reading, abs=0.5e5)  # what was found ahead came about
    assert put.step == "seen"
    qtbot.keyClick(put, Qt.Key.Key_2)
    assert put.step == "why"
    told = words(loaded)
    assert "most said" in told
    assert "as read" in told
    assert f"Right: {put.question.options[put.question.right].belief}." in " ".join(told)
    most = put.wrong()[0]
    assert most.hands == max(one.hands for one in put.wrong())
    first = most.why.split()[0]
    assert any(text.startswith(first) for text in told)
    if len(put.wrong()) > 1:
        qtbot.mouseClick(put.buttons["Other answers"], LEFT)
        assert words(loaded) != told
    qtbot.keyClick(put, Qt.Key.Key_PageDown)
    assert loaded.presenter(ClassPresenter).put is None


def test_nothing_tells_before_the_class_commits(loaded: BoardWindow, qtbot: QtBot) -> None:
    put = ask(loaded, qtbot)
    view, session = class_view_of(loaded), loaded.session
    at = session.time
    loaded.change_running()
    loaded.presenter(TimePresenter).step()
    loaded.presenter(TimePresenter).back()
    loaded.reset()
    qtbot.keyClick(view, Qt.Key.Key_Q)
    qtbot.keyClick(view, Qt.Key.Key_PageUp)
    pass_time(loaded, 0.5)
    assert session.time == at
    assert session.control(LEGS) == 0.0
    assert put.snapshot()["read"] is None
    told = " ".join([*words(loaded), *(vote.accessibleDescription() for vote in put.votes)])
    assert "bar" in told
    for option in put.question.options:  # why one says so would tell which is right
        assert option.belief
        assert option.belief not in told
    hidden = view.drawing.scene.hidden(session.readings, view.drawing.state)
    for name, step in view.drawing.steps().items():
        assert (step is None) == (name in hidden)
    at_work = {session.rig.instruments["P1"].on, session.rig.line_of("3V1", "A").name}
    assert at_work <= hidden
    assert not view.column.isVisible()
    assert view.heads.told == {}
    said = set(words(loaded))
    for item in session.rig.instruments.values():
        figure = f"{true_reading(item, session.readings) / 1e5:.0f}"
        assert item.kind != "gauge" or figure not in said - {"0"}
    assert put.question.asked.shown(put.question.before, System.METRIC) not in said - {"0 bar"}


def test_nothing_else_of_the_program_tells_it_either(benched: BoardWindow, qtbot: QtBot) -> None:
    """Panes, exports, rewinding and what the board says of itself are kept back by the owner of all covers."""
    ask(benched, qtbot)
    covers = benched.controller.covers
    assert covers.cover.anything
    for action in (*TELLING, *HELD):
        assert benched.stage.actions[action].refusal == "Frozen until the class commits", action
    assert benched.dials.dial("P1") is not None
    for item in benched.session.rig.instruments.values():
        dial = there(benched.dials.dial(item.name))
        assert "covered" in dial.accessibleDescription(), item.name
    put = question(benched)
    put.votes[0].setText("30")
    put.commit()
    assert not covers.cover.anything
    assert benched.stage.actions["working"].refusal == ""


@pytest.fixture
def asked(loaded: BoardWindow) -> Callable[..., QuestionView | str]:
    """Return what asks about a click: the kind and name of it, which of its questions, the levers, figures or not."""

    def put(kind: str, name: str, which: int, hands: dict[str, float], figures: bool = False) -> QuestionView | str:
        view, presenter = class_view_of(loaded), loaded.presenter(ClassPresenter)
        presenter.change_asking()
        view.picked.emit(kind, name)
        view.when.choose(which)
        if figures:
            view.when.called.click()
        for control, goal in hands.items():
            view.rack.asked_of.emit(control, goal)
        if view.when.isVisible() and not view.when.put.isHidden():
            view.when.put.click()
        elif view.when.isVisible() and not hands:
            view.when.now.click()
        return presenter.put or view.bar.notice

    return put


@pytest.mark.soak
def test_how_long_a_way_takes(loaded: BoardWindow, asked: Callable[..., QuestionView]) -> None:
    """The time is that of the run: the rod stands at its end when the run ends, and did not a tenth before."""
    put = asked("part", "3A1", 1, {"3V1.lever": 1.0})
    right = put.question.options[put.question.right]
    put.votes[put.question.right].setText("30")
    put.commit()
    begin, line = loaded.session.time, loaded.session.rig.line_of("3A1", "rod").name
    pass_time(loaded, right.value - 0.1)
    assert loaded.session.time - begin == pytest.approx(right.value - 0.1, abs=0.02)
    before = loaded.session.readings.place(line)
    pass_time(loaded, 0.6)
    assert put.step == "seen"
    end = loaded.session.readings.place(line)
    assert abs(end - before) > 2e-3
    assert end == pytest.approx(loaded.session.rig.parts["3A1"].value("stroke"), abs=2e-3)
    assert {choice.text() for choice in put.choices} == {
        "evenly all the way", "slower and slower", "quicker and quicker",
    }  # fmt: skip
    put.see(put.question.way)
    told = words(loaded)
    assert f"{right.value:.1f} s" in told
    assert "as read" in told


@pytest.mark.soak
def test_which_of_several_moves_first(loaded: BoardWindow, asked: Callable[..., QuestionView]) -> None:
    """250 kg on the boom, the feet in the air, levers at once: oil goes first where the least pressure is needed."""
    next(iter(loaded.rack.steps.values())).motion.set_exactly(250.0)
    loaded.run()
    pass_time(loaded, 1.0)
    loaded.run(False)
    put = asked("part", "3A1", 2, {"3V1.lever": 1.0, LEGS: 1.0})
    question, session = put.question, loaded.session
    places = {id_: session.rig.line_of(id_, "rod").name for id_ in ("3A1", "1A1")}
    start = {id_: session.readings.place(line) for id_, line in places.items()}
    put.votes[0].setText("30")
    put.commit()
    first = ""
    while put.step == "run":
        pass_time(loaded, 1 / 60)
        gone = {id_: abs(session.readings.place(line) - start[id_]) for id_, line in places.items()}
        if not first and max(gone.values()) > 4e-3:
            first = max(gone, key=lambda id_: gone[id_])
    assert session.time == pytest.approx(question.end, abs=0.03)
    assert {"3A1": "Boom", "1A1": "Stabilisers"}[first] == question.options[question.right].words
    assert [choice.text() for choice in put.choices] == [option.words for option in question.options]


@pytest.mark.soak
def test_a_motor_moves_first_as_a_cylinder_does(loaded: BoardWindow, asked: Callable[..., QuestionView]) -> None:
    """The swing beside the boom: its shaft has no place that is kept, and it turns all the same."""
    put = asked("part", "3A1", 2, {"2V1.lever": 1.0, "3V1.lever": 1.0})
    began = {option.words: option.value for option in put.question.options}
    assert began["Slew"] < 1.0


@pytest.mark.soak
def test_where_the_highest_pressure_stands(loaded: BoardWindow, asked: Callable[..., QuestionView]) -> None:
    put = asked("line", loaded.session.rig.instruments["P1"].on, 1, {"3V1.lever": 1.0})
    put.votes[0].setText("30")
    put.commit()
    pass_time(loaded, 2.5)
    rig, question = loaded.session.rig, put.question
    live, oil = loaded.session.readings, rig.lines_of_kind(Kind.OIL)
    by_words = {capital(the_line(rig, line.name)): live.pressure(line.name) for line in oil}
    stood = [by_words[option.words] for option in question.options]
    assert stood.index(max(stood)) == question.right


@pytest.mark.soak
def test_numbers_are_called_out_and_each_is_explained(
    loaded: BoardWindow, asked: Callable[..., QuestionView]
) -> None:
    """A known wrong idea is recognised by its number; another number is told how far it is from the reading."""
    put = asked("instrument", "P1", 0, {"3V1.lever": 1.0}, figures=True)
    assert put.values[0].hasFocus()
    for written, said in (
        ("", "Write a reading first, such as 20."),
        ("abc", "That is not a number."),
        ("900", "The scale reads 0 to 250 bar."),
        ("5 kg", ""),
    ):
        put.values[0].setText(written)
        put.votes[0].setText("12")
        put.commit()
        assert put.waiting
        assert put.message == said or (not said and put.message)
    relief = 180.0
    slip = next(one for one in put.question.known if one.value == pytest.approx(relief * 1e5, rel=0.03))
    called = (("180", "12"), ("2000 psi", "3"), (f"{put.question.then / 1e5:.0f}", "10"))
    for k, (written, hands) in enumerate(called):
        put.values[k].setText(written)
        put.votes[k].setText(hands)
    put.commit()
    pass_time(loaded, 2.5)
    put.see(0)
    assert [(one.right, one.hands) for one in put.said] == [(False, 12), (False, 3), (True, 10)]
    assert put.said[0].why == slip.why
    gap = abs(2000 * 6894.757 - put.question.then) / 1e5
    assert put.said[1].why == f"{gap:.0f} bar too high."
    assert "138 bar" in words(loaded)  # 2000 psi


def test_votes_are_counted_and_bad_ones_are_told(benched: BoardWindow, qtbot: QtBot) -> None:
    put = ask(benched, qtbot)
    put.commit()
    assert put.message == "Type the raised hands first."
    put.votes[0].setText("many")
    put.commit()
    assert "whole numbers" in put.message
    put.votes[0].setText("31")
    put.commit()
    assert put.message == "31 of 30 hands: count again?"
    assert put.waiting
    put.commit()  # said again, it is kept
    assert not put.waiting


@pytest.mark.soak
def test_the_instructor_can_uncover_without_an_answer(benched: BoardWindow, qtbot: QtBot) -> None:
    put = ask(benched, qtbot)
    qtbot.keyClick(class_view_of(benched), Qt.Key.Key_U, ALT)
    pass_time(benched, 2.5)
    put.next()
    assert "Uncovered without an answer" in words(benched)


def test_the_verdict_belongs_to_its_run(benched: BoardWindow, qtbot: QtBot) -> None:
    put = ask(benched, qtbot)
    put.votes[0].setText("30")
    put.commit()
    pass_time(benched, 2.5)
    put.next()
    then = put.question.then
    assert "P1 reads" in words(benched)
    benched.run()
    pass_time(benched, 1.0)
    put.canvas.forget()
    assert "P1 read" in words(benched)  # it did, at the end of the question's run
    assert put.question.then == then


@pytest.mark.soak
def test_putting_it_away_or_leaving_gives_everything_back(benched: BoardWindow, qtbot: QtBot) -> None:
    ask(benched, qtbot)
    view = class_view_of(benched)
    qtbot.keyClick(view, Qt.Key.Key_Q, ALT)
    assert not view.drawing.state.unseen
    assert view.rack.isEnabled()
    benched.run()
    assert benched.session.running
    ask(benched, qtbot)
    qtbot.keyClick(view, Qt.Key.Key_F11)
    assert benched.stage.screen is None
    at = benched.session.time
    benched.run()
    pass_time(benched, 0.2)
    assert benched.session.time > at


@pytest.mark.parametrize(
    ("kind", "name"), first(1, [("part", "3A1"), ("line", "P1"), ("instrument", "Q1"), ("instrument", "n1")])
)
def test_any_reading_may_be_asked_or_it_is_said_why_not(loaded: BoardWindow, kind: str, name: str) -> None:
    view, presenter = class_view_of(loaded), loaded.presenter(ClassPresenter)
    presenter.change_asking()
    where = loaded.session.rig.instruments["P1"].on if kind == "line" else name
    view.picked.emit(kind, where)
    assert presenter.wanted
    view.rack.asked_of.emit("3V1.lever", 1.0)
    assert presenter.put is not None or "differ" in view.bar.notice


@pytest.mark.soak
def test_a_click_on_nothing_that_is_read_is_told(loaded: BoardWindow) -> None:
    presenter, view = loaded.presenter(ClassPresenter), class_view_of(loaded)
    presenter.change_asking()
    view.picked.emit("part", "0V1")
    assert "Click a dial" in view.bar.notice
    assert presenter.picking


@pytest.mark.soak
def test_options_are_three_errors_apart(loaded: BoardWindow, qtbot: QtBot) -> None:
    put = ask(loaded, qtbot)
    values = [option.value for option in put.question.options]
    least = there(put.question.asked.scale).apart
    assert all(abs(a - b) >= least for a, b in itertools.combinations(values, 2))


KINDS = [  # what is clicked, which of its questions, where levers go, whether numbers are called out
    ("instrument", "P1", 0, {BENCH: 1.0}, False),
    ("instrument", "P1", 0, {BENCH: 1.0}, True),
    ("part", "1A1", 0, {LEGS: 1.0}, False),
    ("part", "3A1", 1, {"3V1.lever": 1.0}, False),
    ("part", "3A1", 2, {"3V1.lever": 1.0, LEGS: 1.0, "4V1.lever": 1.0}, False),
    ("line", "P1", 1, {"3V1.lever": 1.0}, False),
]


@pytest.mark.parametrize("lines", [720, pytest.param(1080, marks=pytest.mark.soak)])
@pytest.mark.parametrize("which", [0, *(pytest.param(k, marks=pytest.mark.soak) for k in range(1, len(KINDS)))])
def test_every_step_can_be_read_from_the_back(
    loaded: BoardWindow, asked: Callable[..., QuestionView], lines: int, which: int
) -> None:
    loaded.resize(lines * 16 // 9, lines)
    pass_time(loaded, 0.1)
    kind, name, place, hands, figures = KINDS[which]
    view, presenter = class_view_of(loaded), loaded.presenter(ClassPresenter)

    def check() -> None:
        found = boxes(view)
        for text, box, pixels, widget in found:
            assert pixels >= 35.5 * view.look.scale, text
            if widget in (presenter.put, view.when) or isinstance(widget, WordButton):
                assert view.rect().toRectF().contains(box), text
        for (one, a, *_), (other, b, *_) in itertools.combinations(found, 2):
            shared = a.intersected(b)
            assert shared.width() < 1.5 or shared.height() < 1.5, f"'{one}' overlaps '{other}'"

    line = loaded.session.rig.instruments["P1"].on
    presenter.change_asking()
    view.picked.emit(kind, line if kind == "line" else name)
    view.when.choose(place)
    if view.when.wanted.several:
        view.when.add(*next(iter(hands.items())))
    check()
    presenter.change_asking()
    put = asked(kind, line if kind == "line" else name, place, hands, figures)
    if figures:
        put.values[0].setText("2000 psi")
        put.values[1].setText("20")
        put.votes[1].setText("3")
    put.votes[0].setText("12")
    check()
    put.commit()
    assert not put.waiting
    pass_time(loaded, put.question.end - loaded.session.time + 0.3)
    check()
    put.see(0)
    pass_time(loaded, 0.1)
    check()
    put.other()
    check()


WAYS = [(f"{k}V1.lever", f"{k}A1", goal) for k in (3, 5, 4) for goal in (1.0, -1.0)]


@pytest.mark.parametrize(("control", "part", "goal"), first(1, WAYS))
def test_a_reading_is_asked_of_an_instant_at_which_it_is_near_rest(control: str, part: str, goal: float) -> None:
    """Never in the middle of a hit on an end: what moves goes on as it went, or stands and the relief is told."""
    rig = rig_file.load(resources.rigs()["timber-trailer-loader"])
    session = Session(rig)
    session.advance(1.0)
    found = find_asked(rig, "instrument", "P1")
    assert not isinstance(found, str)
    (asked,) = found
    put = make(session, asked, {control: goal})
    assert isinstance(put, Question), put
    line = rig.line_of(part, "rod").name
    run = session.ahead()
    run.set_control(control, goal)
    run.advance(put.end - put.begin - 0.2)
    before, at = asked.read(run.readings), run.readings.place(line)
    run.advance(0.2)
    then, gone = asked.read(run.readings), (run.readings.place(line) - at) * goal
    assert abs(then - before) < 0.03 * there(asked.scale).end
    assert put.then == pytest.approx(then, abs=0.5e5)
    seconds = f"After {put.end - put.begin:.1f} s"
    right = put.options[put.right]
    if (control, goal) == ("5V1.lever", -1.0):  # it is open from the start
        assert abs(gone) < 1e-3
        assert put.situation.endswith(f"{seconds}, at its end:")
        assert right.belief == "nothing moves, so the relief lets the oil go"
        return
    assert gone > 5e-3
    assert put.situation.endswith(f"{seconds}, while it moves:")
    assert right.belief == "what load and passages ask"
    at = run.readings.place(line)
    run.advance(0.05)
    assert (run.readings.place(line) - at) * goal > 1e-3  # no end is hit


def test_what_is_found_ahead_leaves_the_session_alone(benched: BoardWindow) -> None:
    session = benched.session
    before = (session.time, session.x.tolist(), len(session.history), dict(session.waiting))
    ahead = session.ahead()
    ahead.set_control(LEGS, 1.0)
    ahead.advance(0.5)
    assert ahead.time > session.time
    assert ahead.x.tolist() != session.x.tolist()
    assert (session.time, session.x.tolist(), len(session.history), dict(session.waiting)) == before


def test_a_question_of_a_lesson_is_put_to_the_class(make_board: MakeBoard, qtbot: QtBot, tmp_path: Path) -> None:
    """The task that is open, with its options and its own run; who only watched has no attempt that counts."""
    window = make_board()
    guide = opened(window, tmp_path, task="lever-over")
    change_class(window)
    view = class_view_of(window)
    assert view.drawing.state.unseen  # covered before it is asked
    qtbot.keyClick(view, Qt.Key.Key_Q, ALT)
    put = question(window)
    posed = task_of(window).posed
    assert [one.value for one in put.question.options] == [one.value for one in posed.options]
    assert put.question.options[put.question.right].value == posed.answer
    put.votes[0].setText("20")
    put.commit()
    pass_time(window, put.question.end - window.session.time + 0.3)
    assert put.step == "seen"
    put.see(put.question.way)
    assert not view.drawing.state.unseen
    gauge = window.session.rig.instruments[put.question.asked.name]
    assert true_reading(gauge, window.session.readings) == pytest.approx(posed.answer, rel=1e-3)
    wrong = next(one for one in put.question.options if not one.right)
    assert wrong.why
    guide.saw("up")
    assert [one.uncovered for one in guide.attempts.all()] == [True]


@pytest.mark.soak
@pytest.mark.parametrize("lesson", [*resources.lessons()][::2])
def test_each_task_is_put_to_a_class_or_it_is_said_that_it_is_for_one(lesson: str) -> None:
    read = lesson_file.load(resources.lessons()[lesson])
    opener = Opener(courses())
    for id_, exercise in read.exercises.items():
        made = question_of(Task(opener.open(read, id_, seat=1)), System.US, 0.0)
        if isinstance(made, str):
            kind = exercise.question
            alone = isinstance(kind, Number) and (kind.other or kind.most is not None)  # another unit, or a range
            assert alone or not isinstance(kind, (Choice, Number, Order, Places)), id_
            assert "one pair of hands" in made
            continue
        assert [option.right for option in made.options].count(True) == 1, id_
        assert len(made.options) <= len(LETTERS)
        assert made.figures or len(made.options) > 1
        assert all(option.right or option.why for option in made.options), id_
        assert len({made.answer(k, System.US) for k in range(len(made.options))}) == len(made.options), id_
