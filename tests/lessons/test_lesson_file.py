"""Lesson files: what is read, and every fault at once, with what, where and what to write instead."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from bench_lessons import LIFT, a_lesson, opener, the_lesson

from trainer.errors import RigError
from trainer.lessons.checking import check
from trainer.lessons.lesson import Choice
from trainer.lessons.posing import problems
from trainer.lessons.running import rig_of
from trainer.lessons.seats import Seed

FAULTS = {  # what is written instead of what -> kind of the fault, and what it tells to write
    ('depth = 1', 'depth = 4'): ("wrong type", "1 what it does"),
    ('title = "A lift"', 'titel = "A lift"'): ("unknown key", "Did you mean 'title'?"),
    ('outcomes = ["O4"]', 'outcomes = ["O44"]'): ("unknown outcome", "'O4'"),
    ('rig = "one-spool-bench"', 'rig = "one-spool-bank"'): ("unknown rig", "one-spool-bench"),
    ('answer = "p"', 'answer = "q"'): ("unknown letter", "Known here"),
    ('answer = "p"', 'answer = "p +"'): ("bad formula", "such as 0.7854 * D² * p"),
    ('scale = "P1"', 'scale = "P9"'): ("bad scale", "Known here: P1"),
    ('kind = "choice"', 'kind = "choise"'): ("unknown kind", "'choice'"),
    ('S1 = "relief"', 'S99 = "relief"'): ("unknown slip", "S9"),
    ('reason = "K1"', 'reason = "K99"'): ("unknown reason", "K9"),
    ('seen = "p"', 'seen = "x"'): ("unknown letter", "Known here"),
    ('until = "4 s"', 'until = "4 bar"'): ("bad number", "Write a time"),
    ('until = "4 s"', 'until = "4 s"\nbegin = "5 s"'): ("time out of order", "until after begin"),
    ('1W1.mass = [', '1W1.mas = ['): ("unknown number", "1W1.mass"),
    ('"300 kg"', '"9e9 kg"'): ("out of range", "in this range"),
    ('p = "pressure P1"', 'p = "pressure"'): ("bad reading", "speed rod1 before"),
    ('pressure P1 before', 'pressure P1 beforehand'): ("bad reading", "'before'"),
    ('pressure P1 before', 'pressure P1 in other'): ("unknown run", "under runs"),
    ('{1W1.mass}', '{1W1.weight}'): ("unknown number", ""),
    ('1V1.lever [%]', '1V1.level [%]'): ("unknown control", "1V1.lever"),
    ('working = ["line P1"', 'working = ["line P7"'): ("unknown place", "P1"),
    ('why = "{p} lifts it."', ''): ("missing key", "Add why"),
}  # fmt: skip


@pytest.mark.parametrize("change", [*FAULTS], ids=lambda change: change[1][:30])
def test_a_fault_says_what_where_and_what_to_write(change: tuple[str, str]) -> None:
    assert change[0] in LIFT
    kind, advice = FAULTS[change]
    with pytest.raises(RigError) as caught:
        the_lesson(LIFT.replace(*change))
    found = [fault for fault in caught.value.faults if fault.kind == kind]
    assert found, caught.value
    assert found[0].line > 0
    assert advice in found[0].advice


def test_all_faults_are_told_at_once_in_the_order_of_the_file() -> None:
    text = LIFT.replace('reason = "K1"', 'reason = "K99"').replace('outcomes = ["O4"]', 'outcomes = ["O44"]')
    text = text.replace('S1 = "relief"', 'S99 = "relief"')
    with pytest.raises(RigError) as caught:
        the_lesson(text)
    assert [fault.kind for fault in caught.value.faults] == ["unknown outcome", "unknown reason", "unknown slip"]


def test_a_lesson_is_read() -> None:
    task = the_lesson().exercises["lift"]
    assert isinstance(task.question, Choice)
    assert task.question.scale is not None
    assert task.question.scale.apart == pytest.approx(3 * 0.016 * 60e5)  # a dial without a class: 1.6 %
    assert task.vary[0].values == pytest.approx((220.0, 240.0, 260.0, 280.0, 300.0))
    assert [slip.id for slip in task.slips] == ["S1", "S42"]


OTHER = """
[exercises.lift.runs.lines]
rig = "three-throttles"
until = "2 s"
"""


def test_a_run_may_be_one_of_another_rig_with_what_both_have() -> None:
    """The same hands, the load that both have; a relief of its own, and no crank there."""
    text = LIFT.replace(
        'until = "4 s"', 'until = "4 s"\nnumbers = { 1W1.mass = "250 kg", 0M1.speed_asked = "50 r/min" }'
    )
    task = the_lesson(text + OTHER).exercises["lift"]
    run = task.runs["lines"]
    assert (task.rig_in(task.run).title, task.rig_in(run).title) == (task.rig.title, "Log lift with three throttles")
    assert (run.hands, run.until, run.numbers) == (task.run.hands, 2.0, {"1W1.mass": 250.0})
    made = rig_of(task, run, {"1W1.mass": 300.0})
    assert (made.title, made.value("1W1", "mass")) == ("Log lift with three throttles", 300.0)


def test_hands_that_another_rig_does_not_have_are_told() -> None:
    with pytest.raises(RigError) as caught:
        the_lesson(LIFT + OTHER.replace("three-throttles", "pump-flow-test"))
    assert [fault.kind for fault in caught.value.faults] == ["unknown control"]
    own = OTHER.replace("three-throttles", "pump-flow-test") + 'hands = "time [s], 0V2.opening [%]\\n0, 50"\n'
    assert the_lesson(LIFT + own).exercises["lift"].runs["lines"].hands.tracks[0].control == "0V2.opening"


def test_options_that_come_too_close_are_refused(tmp_path: Path) -> None:
    """1.2 bar and nothing are one reading on a dial of 60 bar, whose three errors are 2.9 bar."""
    path = tmp_path / "close.toml"
    path.write_text(LIFT.replace('S42 = "before"', 'S42 = "before"\nS3 = "0 * p"'), "utf-8")
    with pytest.raises(RigError) as caught:
        check(path, opener())
    fault = caught.value.faults[0]
    assert fault.kind == "too close"
    assert re.search(r"S3 and S42 are 1\.19 bar apart, less than three errors, 2\.88", fault.problem)


def test_a_run_that_still_moves_is_refused(tmp_path: Path) -> None:
    path = tmp_path / "moving.toml"
    path.write_text(LIFT.replace('until = "4 s"', 'until = "0.4 s"').partition("[exercises.lift.vary]")[0], "utf-8")
    with pytest.raises(RigError) as caught:
        check(path, opener())
    assert "unsettled" in {fault.kind for fault in caught.value.faults}


@pytest.mark.parametrize(
    ("second", "kind"),
    [("v > 0.001", "two right"), ("v > 0.1", ""), ("v > 0.00486", "undecided")],
)
def test_a_choice_in_words_has_one_right_option(second: str, kind: str) -> None:
    """The bench lifts at 4.9 mm/s at 60 % (0.37 L/min over 12.6 cm2)."""
    lesson = a_lesson(
        f"""kind = "choice"
words = "What does it do?"
options = [
  {{ words = "It rises.", when = "v > 0.002", slip = "S46" }},
  {{ words = "It rises fast.", when = "{second}", idea = "All of it.", why = "Too fast." }},
]"""
    )
    opened = opener()
    posed = opened.posed(lesson.exercises["task"], Seed(lesson.id, "task", 0), {})
    assert kind in {problem.kind for problem in problems(posed)} | {""}
    assert bool(problems(posed)) == bool(kind)


def test_a_worn_part_is_said_by_a_degree_as_in_a_rig_file_or_by_how_many_times() -> None:
    """Marginal is four times what the bench's piston pump slips."""
    found = []
    for worn in ("marginal", "x4", "6e-9"):
        lesson = the_lesson(LIFT.replace('until = "4 s"', f'until = "4 s"\nnumbers = {{ 0P1.slip = "{worn}" }}'))
        found.append(lesson.exercises["lift"].run.numbers["0P1.slip"])
    assert found == pytest.approx([6e-9] * 3)
