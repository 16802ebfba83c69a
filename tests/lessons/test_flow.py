"""The way of a task: nothing that tells the answer before it is committed to, each step once, hints recorded."""

from __future__ import annotations

from datetime import UTC, datetime

import pytest
from bench_lessons import LIFT, a_lesson, opener, shipped, the_lesson

from trainer.engine.session import FRAME, Session
from trainer.lessons.attempts import attempt_of
from trainer.lessons.flow import NoReason, NotYet, Step, Task, cover_of
from trainer.lessons.marking import UnusableAnswer
from trainer.lessons.posing import OWN, RIGHT
from trainer.lessons.running import rig_of
from trainer.lessons.seen import SEEN, offered, what_it_did
from trainer.operating.operator import Operator
from trainer.rig.rig import Rig
from trainer.window.lesson.run import LiveRun, asked_levers


@pytest.fixture
def task() -> Task:
    return Task(opener().open(the_lesson(), "lift", 0))


def test_a_task_goes_from_reading_to_why(task: Task) -> None:
    task.begin()
    task.commit(RIGHT, RIGHT, 12.5)
    assert (task.step, task.seconds) == (Step.RUN, 12.5)
    task.ran()
    assert [task.step, task.saw("up"), task.step] == [Step.SEEN, True, Step.WHY]
    assert task.verdict.whole
    assert task.explained()[0][1] == "25.0 bar lifts it."
    assert task.right_reason.startswith("The load")


def test_nothing_tells_before_the_answer(task: Task) -> None:
    task.begin()
    assert task.cover.instruments == {"P1", "Q1", "n1", "T1"}
    assert task.cover.pressures
    assert task.cover.flows
    assert task.cover.rest
    assert not task.may_run
    assert task.frozen_words == "Frozen until you commit"
    for told in ("verdict", "right_reason"):
        with pytest.raises(NotYet):
            getattr(task, told)
    with pytest.raises(NotYet):
        task.explained()
    with pytest.raises(NotYet):
        task.ran()
    with pytest.raises(NotYet):
        task.saw("up")


def test_the_explanation_waits_for_the_run_and_what_was_seen(task: Task) -> None:
    task.commit("S1", "S1")
    assert not task.cover.anything
    for _ in range(2):
        with pytest.raises(NotYet):
            _ = task.verdict
        task.step = Step.SEEN
    task.saw("same")
    assert task.seen.right is False
    assert task.verdict.slip == "S1"


def test_an_answer_stays(task: Task) -> None:
    task.commit("S1", RIGHT)
    with pytest.raises(NotYet):
        task.commit(RIGHT, RIGHT)
    assert task.answer == "S1"


@pytest.mark.parametrize(("answer", "reason"), [(RIGHT, ""), ("none", RIGHT), (RIGHT, "none")])
def test_what_cannot_be_taken_leaves_the_task_as_it_was(task: Task, answer: str, reason: str) -> None:
    with pytest.raises((UnusableAnswer, KeyError)):
        task.commit(answer, reason)
    assert not task.committed
    assert task.cover.anything


def test_hints_are_recorded_and_end_with_the_answer(task: Task) -> None:
    assert [task.hint(), task.hint(), task.hint()] == ["Look at the weight.", "p = F / A", "p = F / A"]
    assert task.hints == 2
    task.commit(RIGHT, RIGHT)
    with pytest.raises(NotYet):
        task.hint()


def test_the_instructor_may_go_on_without_an_answer(task: Task) -> None:
    task.uncover()
    assert task.uncovered
    assert not task.cover.anything
    task.ran()
    task.saw("up")
    assert task.verdict.right is None
    assert "25.0 bar" in task.verdict.text


@pytest.mark.parametrize(
    ("covered", "instruments", "names", "rest"),
    [
        ("all", {"P1", "Q1", "n1", "T1"}, False, True),
        ("pressures", {"P1"}, False, True),
        ("flows", {"Q1"}, False, True),
        ("names", set(), True, False),
        ("nothing", set(), False, False),
    ],
)
def test_what_is_covered(covered: str, instruments: set[str], names: bool, rest: bool) -> None:
    posed = opener().open(
        the_lesson(LIFT.replace('until = "4 s"', f'until = "4 s"\ncovered = "{covered}"')), "lift", 0
    )
    cover = cover_of(posed.exercise, posed.rig)
    assert set(cover.instruments) == instruments
    assert (cover.names, cover.rest) == (names, rest)


def test_a_reason_of_ones_own_is_kept_and_judged_by_nobody_here(task: Task) -> None:
    """It is none that is known: no wrong idea, neither right nor wrong, and no task that is done for good."""
    with pytest.raises(NoReason, match="Write your reason"):
        task.commit(RIGHT, OWN, words="  ")
    task.commit(RIGHT, OWN, words=" the oil has \n nowhere to go ")
    task.ran()
    task.saw("up")
    assert (task.verdict.right, task.verdict.reasoned, task.verdict.slip) == (True, None, "")
    kept = attempt_of(task, datetime(2024, 3, 1, tzinfo=UTC))
    assert kept.reason_words == "the oil has nowhere to go"
    assert (kept.to_judge, kept.whole) == (True, False)


def test_three_things_may_have_been_seen_and_what_was_is_one_of_them(task: Task) -> None:
    assert len(task.seen_choices) == 3
    assert task.posed.seen() in task.seen_choices
    for did in SEEN:
        found = [offered(did, draw) for draw in range(6)]
        assert all(did in those and len(set(those)) == 3 for those in found)
        assert len(set(found)) == 3  # which one is left out is drawn


@pytest.mark.parametrize(
    ("values", "did"),
    [
        ((1.0, 3.0, 5.0), "up"), ((1.0, 9.0, 2.0), "up-down"), ((1.0, 3.0, 1.0), "up-down"),
        ((5.0, 3.0, 1.0), "down"), ((5.0, 5.4, 4.8), "same"),
    ],
)  # fmt: skip
def test_what_a_reading_did(values: tuple[float, ...], did: str) -> None:
    assert what_it_did(values, 0.5) == did


@pytest.mark.parametrize("other", [False, True])
def test_units_stay_where_a_number_is_asked_in_the_other_one(other: bool) -> None:
    kind = f'kind = "number"\nwords = "In the other unit?"\nanswer = "p"\nother_unit = {str(other).lower()}\n'
    posed = opener().open(a_lesson(f'{kind}scale = "100 bar"', 'covered = "nothing"'), "task", 0)
    cover = cover_of(posed.exercise, posed.rig)
    assert (cover.units, cover.anything) == (other, False)


@pytest.mark.parametrize(
    ("lesson", "exercise", "marks"),
    [
        ("01-five-minutes-at-the-bench", "where-it-goes", True),
        ("01-five-minutes-at-the-bench", "lever-over", False),
        ("02-symbols-and-paths", "which-limits", False),
    ],
)
def test_marks_of_flow_are_covered_where_they_would_tell_the_place(lesson: str, exercise: str, marks: bool) -> None:
    """They run through the part that is asked for; no sign of the drawing tells by them what it is called."""
    one = shipped()[lesson].exercises[exercise]
    assert cover_of(one, one.rig).marks is marks


def test_a_wrong_reason_is_answered_too(task: Task) -> None:
    wrong = next(one for one in task.posed.reasons if one.slip is not None)
    task.commit(RIGHT, wrong.id)
    task.ran()
    task.saw("up")
    assert task.wrong_reason[0] == wrong.words
    assert task.wrong_reason[1]
    assert task.wrong_reason[1] not in task.verdict.text  # which is the answer's own


@pytest.mark.parametrize(
    ("numbers", "judged"),
    [
        ({}, True),
        ({"0V1.setting": 50e5}, True),
        ({"0V1.setting": 55e5}, False),
        ({"1W1.mass": 300.0}, True),  # a condition of the reading
        ({"1A1.leakage": 1e-13}, True),
    ],
)
def test_nothing_is_judged_against_the_sheet_of_another_setting(numbers: dict[str, float], judged: bool) -> None:
    one = shipped()["01-five-minutes-at-the-bench"].exercises["where-it-goes"]
    rig = rig_of(one, one.run, numbers)
    assert (rig.healthy == one.rig.healthy) is judged
    assert bool(rig.healthy) is judged


def test_what_a_script_has_otherwise_from_its_first_instant_on_is_moved(bench: Rig) -> None:
    """A lever that is over at 0 s was at rest before that: the run moves it, and it is shown as one that will go."""
    question = 'kind = "number"\nwords = "How fast?"\nanswer = "v"\nscale = "10 mm/s"'
    task = a_lesson(question, hands="0, 60").exercises["task"]
    session = Session(bench)
    operator = Operator(bench, session.control)
    assert asked_levers(session, task) == {"1V1.lever": 0.6}
    LiveRun(session, operator, task, False).move(FRAME)
    assert operator.motions["1V1.lever"].value == pytest.approx(0.6)
