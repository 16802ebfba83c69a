"""An attempt from ready to its end, by what the session shows alone."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from cases import rungs
from practice_hands import drive
from practice_scripts import CLUMSY, PRACTISED

from trainer.engine.session import FRAME, Session
from trainer.practice.attempt import Attempt, State, session_of
from trainer.practice.score import Band, Score
from trainer.practice.task import Lap, Task

CRACK = next(task for task in rungs() if task.code == "E1")
LEVER = "1V1.lever"


def go(session: Session, attempt: Attempt, seconds: float, lever: float | None = None) -> State:
    """Go on for some time with the lever at a place."""
    if lever is not None:
        session.set_control(LEVER, lever)
    for _ in range(round(seconds / FRAME)):
        session.advance(FRAME, FRAME)
        attempt.look(session)
        attempt.take(session.readings)
    return attempt.state


def begun(task: Task = CRACK) -> tuple[Session, Attempt]:
    session, attempt = session_of(task, task.laps[0]), Attempt(task)
    attempt.take(session.readings)
    return session, attempt


def test_the_clock_starts_with_the_first_lever_past_five_percent() -> None:
    session, attempt = begun()
    assert go(session, attempt, 0.5, 0.04) is State.READY
    assert (attempt.seconds, attempt.begun, attempt.waits_for) == (0.0, False, "")
    assert go(session, attempt, FRAME, 0.06) is State.RUNNING
    assert attempt.seconds == 0.0
    go(session, attempt, 0.5)
    assert attempt.seconds == pytest.approx(0.5)


def test_a_lever_that_is_held_at_the_start_is_to_be_let_go() -> None:
    session, attempt = session_of(CRACK, CRACK.laps[0]), Attempt(CRACK)
    assert go(session, attempt, 0.3, 0.3) is State.READY
    assert attempt.waits_for.startswith("Let go of the levers")
    assert go(session, attempt, 0.2, 0.0) is State.READY
    assert attempt.waits_for == ""
    assert go(session, attempt, 0.1, 0.3) is State.RUNNING


def test_stopped_by_hand_it_does_not_count() -> None:
    session, attempt = begun()
    go(session, attempt, 0.5, 0.2)
    attempt.stop()
    assert (attempt.state, attempt.counts) == (State.STOPPED, False)
    assert "does not count" in attempt.sentence
    assert len(attempt.traces) == 1
    assert go(session, attempt, 0.2) is State.STOPPED
    assert len(attempt.traces[0]) == 30 + 1
    assert Score.of(attempt).values == {}


def test_time_that_is_led_back_ends_it_or_lets_it_begin_anew() -> None:
    """What comes after is another run than what was sampled."""
    session, attempt = begun()
    go(session, attempt, 0.5, 0.0)
    session.reset()
    assert go(session, attempt, 0.2, 0.0) is State.READY
    assert go(session, attempt, 0.3, 0.2) is State.RUNNING
    session.rewind(0.3)
    assert go(session, attempt, FRAME) is State.STOPPED
    assert attempt.sentence == "Its time was led back: this attempt does not count."
    assert np.all(np.diff(attempt.traces[0].times) > 0)
    assert attempt.seconds == pytest.approx(0.3 - FRAME)


def test_past_the_end_it_is_over_at_that_instant_with_its_sentence() -> None:
    task = replace(CRACK, laps=(replace(CRACK.laps[0], run=replace(CRACK.laps[0].run, start={"1W1.x": 0.19})),))
    session, attempt = begun(task)
    assert go(session, attempt, 3.0, 1.0) is State.FAILED
    assert attempt.sentence == "The piston came to its end."
    assert attempt.traces[0].values["x"][-1] == pytest.approx(0.195, abs=2e-4)


def test_time_is_up() -> None:
    session, attempt = begun(replace(CRACK, time=1.0))
    assert go(session, attempt, 1.1, 0.1) is State.TIMED_OUT
    assert attempt.sentence == "Time is up: 1 s."
    assert attempt.seconds == pytest.approx(1.0)


def test_another_lever_ends_it() -> None:
    session, attempt = begun(replace(CRACK, levers=()))
    assert go(session, attempt, FRAME, 0.5) is State.FAILED
    assert attempt.sentence == "The lift lever does not belong to this task."


def test_at_another_speed_and_on_another_machine_it_is_practised_and_not_scored() -> None:
    session, attempt = begun()
    session.speed = 0.5
    go(session, attempt, 0.2, 0.3)
    assert "not scored" in attempt.unscored
    session, attempt = begun()
    session.set_parameter("0V1.setting", 30e5)
    go(session, attempt, 0.2, 0.3)
    assert "not as the task has it" in attempt.unscored
    session, attempt = begun()
    session.set_control("0M1.speed_asked", 1.1 * session.control("0M1.speed_asked"))
    go(session, attempt, 0.2, 0.3)
    assert "not as the task has it" in attempt.unscored
    session, attempt = begun()
    go(session, attempt, 0.2, 0.3)
    assert attempt.unscored == ""


def test_what_a_lap_sets_by_itself_is_no_change() -> None:
    first = CRACK.laps[0]
    then = {"0M1.speed_asked": 5.5, "0V1.setting": 45e5}
    session, attempt = begun(replace(CRACK, laps=(replace(first, run=replace(first.run, then=then)),)))
    go(session, attempt, 0.3, 0.0)
    go(session, attempt, 0.2, 0.3)
    assert attempt.unscored == ""
    session.set_control("0M1.speed_asked", 6.0)
    go(session, attempt, 0.1)
    assert "not as the task has it" in attempt.unscored


def test_what_comes_of_it_follows_from_the_readings_alone() -> None:
    """The same hand twice gives the same bits; an instant that is given twice says nothing."""
    one, other = (drive(CRACK, PRACTISED["E1"]) for _ in range(2))
    assert one.state is State.DONE
    assert Score.of(one).values == Score.of(other).values
    assert np.array_equal(one.traces[0].values["v"], other.traces[0].values["v"])
    trace = one.traces[0]
    assert trace.times[:2] == pytest.approx([-FRAME, 0.0])
    assert [*(trace.levers[LEVER][:2] > 0.05)] == [False, True]
    assert trace.times[-1] == pytest.approx(one.reached[0] + CRACK.hold)


def test_a_practised_hand_and_a_clumsy_one_at_the_first_rung() -> None:
    good, bad = (Score.of(drive(CRACK, hands["E1"])) for hands in (PRACTISED, CLUMSY))
    assert [one.band for one in good.shown] == [Band.PRACTISED] * 3
    assert next(one.band for one in bad.shown) is Band.BEYOND


def test_laps_follow_each_other_and_a_seat_draws_their_order() -> None:
    first = CRACK.laps[0]
    laps = tuple(Lap(f"lap{k}", f"lap {k}", first.run, first.roles) for k in range(4))
    task = replace(CRACK, laps=laps, hold=0.5)
    assert [lap.name for lap in Attempt(task).laps] == [f"lap{k}" for k in range(4)]
    drawn = {tuple(lap.name for lap in Attempt(replace(task, shuffled=True), number=k).laps) for k in range(6)}
    assert len(drawn) > 2
    assert all(len(set(names)) == 4 for names in drawn)
    attempt = drive(replace(task, laps=laps[:2]), PRACTISED["E1"])
    assert [trace.lap for trace in attempt.traces] == ["lap0", "lap1"]
    assert attempt.state is State.DONE
    assert attempt.seconds == pytest.approx(sum(trace.times[-1] for trace in attempt.traces))
    score = Score.of(attempt)
    assert score.values["time"] == pytest.approx(2 * score.laps[0]["time"])
    assert score.values["jump"] == max(lap["jump"] for lap in score.laps)
