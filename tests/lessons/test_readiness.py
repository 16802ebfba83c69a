"""What is due again, and whether a learner is ready: right at first on two rigs, one of them a day later."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest
from bench_lessons import LIFT, the_lesson

from trainer.lessons.attempts import Attempt
from trainer.lessons.bank import Outcome
from trainer.lessons.readiness import OutcomeState, due, next_task, readiness

BEGIN = datetime(2024, 3, 1, 9, 0, tzinfo=UTC)
DAY = timedelta(days=1)
OUTCOMES = {"O4": Outcome("O4", "Finds a pressure"), "O5": Outcome("O5", "Finds a speed")}
SECOND = LIFT.partition("[exercises.lift]")[2].replace("exercises.lift", "exercises.other")
LESSON = the_lesson(f"{LIFT}\n[exercises.other]\n{SECOND}")


def tried(days: float, exercise: str = "lift", right: bool = True, rig: str = "one", **more: object) -> Attempt:
    return Attempt(BEGIN + days * DAY, "a-lift", exercise, 3, 0, right=right, rig=rig, **more)  # type: ignore[arg-type] # what is given by name


def state(*attempts: Attempt, days: float = 0.5) -> OutcomeState:
    return readiness([LESSON], OUTCOMES, attempts, 3, BEGIN + days * DAY)[0]


def test_a_task_is_due_after_one_three_and_eight_days() -> None:
    after, attempts = 0.0, []
    for wait in (1, 3, 8):
        attempts.append(tried(after))
        assert due(attempts)["a-lift", "lift"] == BEGIN + (after + wait) * DAY
        after += wait
    attempts.append(tried(after))
    assert due(attempts)["a-lift", "lift"] > BEGIN + (after + 8) * DAY  # then the model of memory takes over


def test_a_wrong_answer_is_due_the_next_day() -> None:
    attempts = [tried(0), tried(1), tried(4), tried(12, right=False)]
    assert due(attempts)["a-lift", "lift"] == BEGIN + 13 * DAY


def test_right_again_at_once_does_not_put_it_off() -> None:
    assert due([tried(0), tried(0.01)]) == due([tried(0)])


def test_untried_begun_due_ready() -> None:
    assert state().state == "new"
    assert state(tried(0)).state == "begun"
    assert state(tried(0), days=1.5).state == "due"
    both = (tried(0), tried(0.1, "other", rig="two"), tried(1.1, "other", rig="two"), tried(1.2))
    assert state(*both, days=1.5).state == "ready"
    assert state(*both, tried(1.3, right=False), days=1.5).state == "begun"


def test_two_rigs_on_one_day_are_not_enough() -> None:
    assert state(tried(0), tried(0.1, "other", rig="two")).state == "begun"


def test_what_was_tried_is_counted() -> None:
    found = state(
        tried(0, right=False, slip="S1"), tried(0.1, right=True), tried(1.2), tried(1.3, "other", hints=1), days=1.4
    )
    assert (found.tasks, found.tried, found.first, found.later) == (2, 2, 0, 1)
    assert found.answers == (False, True)
    assert found.depths.keys() == {1}


def test_the_slip_of_what_is_not_right_is_named() -> None:
    assert state(tried(0, right=False, slip="S1"), tried(0.1, right=False, slip="S1")).slip == "S1"
    assert state(tried(0, right=False, slip="S1"), tried(0.1)).slip == ""


@pytest.mark.parametrize(
    ("attempts", "days", "wanted"),
    [
        ([], 0, ("lift", "new")),
        ([tried(0)], 0.5, ("other", "new")),
        ([tried(0)], 1.5, ("lift", "due")),
        ([tried(0, right=False), tried(0.1, "other")], 0.5, ("lift", "begun")),
        ([tried(0), tried(0.1, "other")], 0.5, None),
    ],
)
def test_the_one_next_thing(attempts: list[Attempt], days: float, wanted: tuple[str, str] | None) -> None:
    found = next_task([LESSON], attempts, 3, BEGIN + days * DAY)
    assert (found and (found.exercise, found.state)) == wanted


def test_another_seats_attempts_do_not_count() -> None:
    assert readiness([LESSON], OUTCOMES, [tried(0)], 4, BEGIN)[0].state == "new"


def test_an_outcome_without_tasks_is_not_tried() -> None:
    assert readiness([LESSON], OUTCOMES, [], 3, BEGIN)[1].state == "new"
