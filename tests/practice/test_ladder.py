"""The ladder: aids fade and come back by rule, what is due the next day, the week; attempts that are kept."""

from __future__ import annotations

import csv
import io
import math
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

import msgspec
import numpy as np
import pytest
from cases import rungs
from practice_hands import drive
from practice_scripts import CLUMSY, PRACTISED

from trainer.practice import sheet
from trainer.practice.attempt import Attempt
from trainer.practice.kept import Book, Done, best_of, conditions_of, done_of
from trainer.practice.ladder import Ladder, Place
from trainer.practice.score import Band, Score, band_of, spread
from trainer.practice.task import Task
from trainer.practice.trace import Trace
from trainer.units import System

TASKS = [task for task in rungs() if task.code in ("E1", "E2")]
CRACK, HOLD = TASKS
WED = date(2026, 11, 25)  # a Wednesday
FIRST = CRACK.shown[0]


def done(
    value: float, aid: str = "path", day: date = WED, task: Task = CRACK, retention: bool = False, hour: int = 9,
    counts: bool = True, seat: int = 0, conditions: str | None = None,
) -> Done:  # fmt: skip
    """Return an attempt with a value of the first measure."""
    when = datetime(day.year, day.month, day.day, hour, tzinfo=UTC)
    measure = task.shown[0]
    return Done(
        when, task.id, seat, "done" if counts else "stopped", aid, conditions or conditions_of(task), counts,
        {measure: value, task.shown[1]: 1.0, task.shown[2]: 8.0} if counts else {},
        band_of(measure, value, task.bands[measure]).value if counts else "", retention, 12.0,
    )  # fmt: skip


GOOD, SO_SO, BAD = 1e-3, 2e-3, 9e-3


def aid_after(*attempts: Done) -> str:
    return Ladder(TASKS, attempts, WED).standing(CRACK).aid


def test_two_of_the_last_three_in_the_first_band_and_the_aid_goes() -> None:
    assert aid_after() == "path"
    assert aid_after(done(GOOD)) == "path"
    assert aid_after(done(GOOD), done(BAD), done(GOOD)) == "target"
    assert aid_after(done(GOOD), done(BAD), done(SO_SO), done(GOOD)) == "path"
    standing = Ladder(TASKS, [done(GOOD), done(GOOD)], WED).standing(CRACK)
    assert (standing.passed, standing.moved) == (
        frozenset({"path"}),
        "Two of the last three were practised: from now on without the path.",
    )


def test_two_of_three_beyond_the_second_and_it_comes_back_with_a_word() -> None:
    up = [done(GOOD), done(GOOD)]
    assert aid_after(*up, done(BAD, "target")) == "target"
    standing = Ladder(TASKS, [*up, done(BAD, "target"), done(SO_SO, "target"), done(BAD, "target")], WED).standing(
        CRACK
    )
    assert (standing.aid, standing.passed) == ("path", frozenset())
    assert standing.moved == "Two of three were beyond what is usable: the path comes back."
    assert aid_after(done(BAD), done(BAD), done(BAD)) == "path"  # there is none before it


def test_an_aid_that_was_chosen_counts_for_itself() -> None:
    """Less help than offered is a step ahead; more help says nothing of what is offered."""
    assert aid_after(done(GOOD, "gauge"), done(GOOD, "gauge")) == "none"
    up = [done(GOOD), done(GOOD)]
    assert aid_after(*up, done(GOOD), done(GOOD)) == "target"


def test_what_was_stopped_and_what_was_done_on_another_machine_changes_nothing() -> None:
    assert aid_after(done(GOOD), done(BAD, counts=False), done(GOOD)) == "target"
    other = [done(GOOD, conditions="other"), done(GOOD, conditions="other")]
    assert aid_after(*other) == "path"
    ladder = Ladder(TASKS, [*other, done(SO_SO)], WED)
    best, older = ladder.best(CRACK), ladder.older_best(CRACK)
    assert best is not None
    assert older is not None
    assert (best.values[FIRST], older.values[FIRST]) == (SO_SO, GOOD)


def passed(day: date = WED) -> list[Done]:
    return [done(GOOD, aid, day) for aid in CRACK.aids for _ in range(2)]


def test_passed_with_no_aid_it_is_due_the_next_day() -> None:
    ladder = Ladder(TASKS, passed(), WED)
    assert ladder.standing(CRACK).passed == {*CRACK.aids}
    assert ladder.rows()[0].place is Place.TOMORROW
    assert ladder.due(WED) == []
    assert ladder.due(WED + timedelta(days=1)) == [CRACK]
    assert Ladder(TASKS, passed(), WED + timedelta(days=3)).rows()[0].place is Place.DUE


@pytest.mark.parametrize(
    ("values", "place"),
    [
        ([1.1e-3], Place.KEPT),
        ([2.0e-3, 1.25e-3], Place.KEPT),  # the better of two, within a fifth of the limit of what is practised
        ([2.0e-3], Place.DUE),  # one more
        ([2.0e-3, 1.4e-3], Place.GOES_ON),
    ],
)
def test_a_day_later_it_is_kept_or_goes_back(values: list[float], place: Place) -> None:
    next_day = WED + timedelta(days=1)
    ladder = Ladder(TASKS, [*passed(), *(done(one, "none", next_day, retention=True) for one in values)], next_day)
    assert ladder.rows()[0].place is place
    if place is Place.GOES_ON:
        assert ladder.standing(CRACK).aid == "target"
        assert ladder.standing(CRACK).passed == {"path"}
        assert ladder.standing(CRACK).moved == "Not kept: the target comes back."


def test_a_test_that_went_wrong_was_one_and_one_that_was_stopped_was_none() -> None:
    next_day = WED + timedelta(days=1)

    def place(*states: str) -> Place:
        tests = [
            msgspec.structs.replace(done(BAD, "none", next_day, retention=True, counts=False), state=one)
            for one in states
        ]
        return Ladder(TASKS, [*passed(), *tests], next_day).rows()[0].place

    assert place("stopped", "stopped") is Place.DUE
    assert place("failed") is Place.DUE
    assert place("failed", "timed out") is Place.GOES_ON


def test_the_ladder_says_where_to_go_on() -> None:
    ladder = Ladder(TASKS, [], WED)
    assert ladder.go_on() is CRACK
    assert [(row.place, row.attempts, row.best) for row in ladder.rows()] == [(Place.UNTRIED, 0, None)] * 2
    ladder = Ladder(TASKS, [done(GOOD), done(0.7, task=HOLD)], WED)
    assert ladder.go_on() is HOLD
    row = ladder.rows()[1]
    assert (row.now, row.attempts, row.best, row.place) == (True, 1, 0.7, Place.GOES_ON)
    assert Ladder(TASKS, passed(), WED).go_on() is HOLD


def test_the_week_and_attempts_in_a_row() -> None:
    attempts = [done(GOOD, day=WED - timedelta(days=days)) for days in (9, 2, 2, 0)]
    ladder = Ladder(TASKS, [*attempts, done(BAD, counts=False)], WED)
    assert [(day.day, count, seconds) for day, count, seconds in ladder.week()] == [
        (23, 2, 24.0),
        (24, 0, 0.0),
        (25, 2, 24.0),
    ]
    assert ladder.in_a_row(CRACK) == 2
    assert not ladder.rest_is_better(CRACK)
    assert Ladder(TASKS, [done(GOOD)] * 10, WED).rest_is_better(CRACK)


def test_spread_and_best() -> None:
    assert spread([2.0, 4.0, 4.0, 4.0, 5.0, 5.0, 7.0, 9.0]) == pytest.approx((5.0, math.sqrt(32 / 7)))
    assert spread([3.0]) == (3.0, 0.0)
    assert all(map(math.isnan, spread([])))
    many = [done(value) for value in (9e-3, 1e-3, 2e-3, 3e-3, 4e-3, 5e-3)]
    ladder = Ladder(TASKS, many, WED)
    assert ladder.last(CRACK, FIRST)[0] == pytest.approx(3e-3)
    assert [value for _, value in ladder.course(CRACK, FIRST)] == [9e-3, 1e-3, 2e-3, 3e-3, 4e-3, 5e-3]
    more = [done(value, task=HOLD) for value in (0.5, 0.9, 0.7)]  # more of it is better
    assert best_of(HOLD, more, conditions_of(HOLD)) is more[1]
    assert band_of("in_band", 0.9, HOLD.bands["in_band"]) is Band.PRACTISED


def test_an_attempt_has_one_number_whatever_came_of_those_before_it() -> None:
    """By hand: the second of four was stopped, so that the curve has points 1, 3 and 4 of the ladder's four."""
    many = [done(GOOD, hour=9 + k, counts=k != 1) for k in range(4)]
    ladder = Ladder(TASKS, [*many[:2], done(0.7, task=HOLD), *many[2:]], WED)
    assert ladder.numbers(CRACK, FIRST) == [1, 3, 4]
    assert (ladder.number(CRACK, many[3]), ladder.number(CRACK, None)) == (4, 0)
    assert ladder.rows()[0].attempts == len(ladder.tried(CRACK)) == 4


def test_a_rung_from_the_first_attempt_to_the_next_day(tmp_path: Path) -> None:
    """A practised hand goes up through all aids and keeps it overnight; a clumsy one stays where it is."""
    book, day = Book(tmp_path), WED
    for hands, seat in ((PRACTISED, 1), (CLUMSY, 2)):
        attempt = drive(CRACK, hands["E1"])
        score = Score.of(attempt)
        for k in range(8):
            aid = Ladder(TASKS, book.all(seat), day).standing(CRACK).aid
            when = datetime(day.year, day.month, day.day, 9, k, tzinfo=UTC)
            assert book.add(CRACK, done_of(attempt, score, when, seat, aid), attempt.traces) is (k == 0)
    assert [one.aid for one in book.all(1)] == [aid for aid in CRACK.aids for _ in range(2)]
    assert {one.aid for one in book.all(2)} == {"path"}
    assert Ladder(TASKS, book.all(1), day).rows()[0].place is Place.TOMORROW
    day += timedelta(days=1)
    assert Ladder(TASKS, book.all(1), day).due(day) == [CRACK]
    attempt = drive(CRACK, PRACTISED["E1"])
    when = datetime(day.year, day.month, day.day, 9, tzinfo=UTC)
    book.add(CRACK, done_of(attempt, Score.of(attempt), when, 1, "none", retention=True), attempt.traces)
    ladder = Ladder(TASKS, book.all(1), day)
    assert ladder.rows()[0].place is Place.KEPT
    assert ladder.go_on() is HOLD
    assert ladder.best(CRACK) == book.all(1)[0]
    stopped = Attempt(CRACK)
    stopped.stop()
    assert not done_of(stopped, Score.of(stopped), when, 1, "path").counts


# -- kept ----------------------------------------------------------------------------------------------------------


def traced() -> Trace:
    times = np.arange(0, 1, 1 / 60)
    return Trace("", times, {"x": 0.1 + times, "v": np.ones(60)}, {"1V1.lever": times}, {"x": "length", "v": "speed"})


def test_attempts_and_the_ghost_of_the_best_are_kept(tmp_path: Path) -> None:
    book = Book(tmp_path / "own")
    assert book.all(0) == []
    assert book.ghost(CRACK, 0) == []
    assert book.add(CRACK, done(SO_SO), [traced()])
    assert not book.add(CRACK, done(BAD), [])
    assert not book.add(CRACK, done(GOOD, counts=False), [])
    assert not book.add(CRACK, done(SO_SO), [])  # as good: the first stays
    again = Book(tmp_path / "own")
    assert [one.values.get(FIRST) for one in again.all(0)] == [SO_SO, BAD, None, SO_SO]
    (ghost,) = again.ghost(CRACK, 0)
    assert ghost.values["x"] == pytest.approx(traced().values["x"], rel=1e-6)
    assert np.array_equal(ghost.times, traced().times)
    assert again.ghost(HOLD, 0) == []
    assert again.ghost(CRACK, 3) == []


def test_one_seat_or_one_task_is_forgotten_for_good(tmp_path: Path) -> None:
    book = Book(tmp_path)
    for seat in (1, 2):
        book.add(CRACK, done(GOOD, seat=seat), [traced()])
        book.add(HOLD, done(0.8, task=HOLD, seat=seat), [traced()])
    assert book.forget(1, CRACK.id) == 1
    assert [one.task for one in book.all(1)] == [HOLD.id]
    assert (book.ghost(CRACK, 1), len(book.ghost(HOLD, 1))) == ([], 1)
    assert book.forget(1) == 1
    assert book.all(1) == []
    assert len(book.all(2)) == 2
    assert len(book.ghost(CRACK, 2)) == 1
    assert not [*tmp_path.rglob("1-*")]


def test_a_line_that_a_crash_left_is_put_aside(tmp_path: Path) -> None:
    book = Book(tmp_path)
    book.add(CRACK, done(GOOD), [])
    path = tmp_path / "practice.jsonl"
    path.write_bytes(path.read_bytes() + b'{"when": "2026')
    again = Book(tmp_path)
    assert len(again.all(0)) == 1
    assert "not written to its end" in again.notices[0]


def test_rows_for_a_spreadsheet() -> None:
    rows = [*sheet.attempt_rows(TASKS, [done(GOOD), done(BAD, counts=False)])]
    assert len({len(row) for row in rows}) == 1
    told = dict(zip(rows[0], rows[1], strict=True))
    assert (told["task"], told["jump"], told["counts"], told["arc"]) == ("E1", "0.001", "yes", "")
    rows = [*sheet.trace_rows([traced()], System.METRIC)]
    assert rows[0] == ["lap", "time [s]", "1V1.lever [%]", "x [mm]", "v [mm/s]"]
    assert rows[31] == ["", "0.5000", "50", "600", "1000"]
    out = io.StringIO()
    csv.writer(out).writerows(rows)
    assert len(out.getvalue().splitlines()) == 61
