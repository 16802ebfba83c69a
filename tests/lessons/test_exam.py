"""An exam below the window: three tries a task, marked, kept, and no explanation before its end."""

from __future__ import annotations

from datetime import UTC, datetime

import msgspec
import pytest
from bench_lessons import LIFT, opener, the_lesson

from trainer.lessons import answers
from trainer.lessons.attempts import attempt_of
from trainer.lessons.exam import NUMBERS, TRIES, Exam, Try
from trainer.lessons.flow import Step, Task
from trainer.lessons.posing import OWN, RIGHT
from trainer.lessons.shelf import Shelf

SECOND = LIFT.partition("[exercises.lift]")[2].replace("exercises.lift", "exercises.other")
LESSON = the_lesson(f"{LIFT}\n[exercises.other]\n{SECOND}")
RIGHT_ONE, WRONG_ONE = Try(True, RIGHT, RIGHT), Try(False, "S1", "S1")


@pytest.fixture
def exam() -> Exam:
    return Exam.begin("now", LESSON)


def test_a_task_is_done_when_it_is_right_or_has_no_try_left(exam: Exam) -> None:
    assert (exam.tasks, exam.left("lift"), exam.over) == (["lift", "other"], TRIES, False)
    exam = exam.after("lift", WRONG_ONE)
    assert (exam.marks("lift"), exam.left("lift")) == (("wrong", "open", "open"), 2)
    exam = exam.after("lift", RIGHT_ONE)
    assert (exam.marks("lift"), exam.done("lift")) == (("wrong", "right", "open"), True)
    assert exam.after("lift", WRONG_ONE) is exam
    assert exam.next("lift") == "other"
    for _ in range(TRIES):
        exam = exam.after("other", WRONG_ONE)
    assert (exam.over, exam.right, exam.next("other")) == (True, 1, "")


def test_it_is_kept_whole_and_has_numbers_that_nobody_has_practised_with(exam: Exam) -> None:
    exam = exam.after("lift", Try(None, {"1A1": "pump"}, OWN, "because")).at(61.25)
    assert exam.done("lift")  # a person judges it
    assert msgspec.json.decode(msgspec.json.encode(exam), type=Exam) == exam
    assert exam.numbers == NUMBERS
    assert Exam.begin("later", LESSON, before=["now", "now"]).numbers == NUMBERS + 1
    assert Exam.begin("deep", LESSON, depth=3).tasks == []


@pytest.mark.parametrize(
    ("answer", "reason", "words", "right"),
    [(RIGHT, RIGHT, "", True), (RIGHT, "S1", "", False), (RIGHT, OWN, "so", None), ("S1", OWN, "so", False)],
)
def test_a_try_is_right_with_the_right_reason_only(answer: str, reason: str, words: str, right: bool | None) -> None:
    task = Task(opener().open(LESSON, "lift", 0))
    task.begin()
    verdict = task.judged(answer, reason, words)
    assert Try.of(verdict, answer, reason, words).right is right
    assert task.step is Step.PREDICT  # nothing has been told
    assert task.cover.anything


def test_a_task_of_an_exam_is_explained_without_its_run_and_its_tries_are_in_the_table() -> None:
    task = Task(opener().open(LESSON, "lift", 0))
    task.commit(RIGHT, RIGHT)
    task.explain()
    assert task.verdict.whole
    kept = attempt_of(task, datetime(2024, 3, 1, tzinfo=UTC), "now", 2)
    assert not kept.whole  # not at the first try
    row = answers.rows([kept], Shelf((), frozenset(), {}))[0]
    assert (row["exam"], row["tries"], row["try"], row["right"]) == ("now", "2", "exam, 2 tries", "yes")
