"""What to try next, on scripted mistakes: the cause that is earliest in time, with the own number and the best."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

import numpy as np
import pytest
from cases import rungs

from trainer.practice.advising import Advice, advice
from trainer.practice.attempt import Attempt, State
from trainer.practice.score import Score
from trainer.practice.signals import Numbers
from trainer.practice.task import Bands, Roles, Task
from trainer.practice.trace import Trace
from trainer.units import System

LEVER, SECOND = "3V1.lever", "4V1.lever"
TIMES = np.arange(0, 10, 1 / 60)
BASE = next(task for task in rungs() if task.code == "E4")
QUANTITIES = {
    "x": "length", "v": "speed", "q": "flow", "p": "pressure", "a": "angle", "b": "angle", "f": "force",
    "y": "length",
}  # fmt: skip


def points(*pairs: tuple[float, float]) -> Numbers:
    """Return samples between points in straight lines."""
    return np.asarray(np.interp(TIMES, [time for time, _ in pairs], [value for _, value in pairs]))


def told(
    roles: Roles, limits: Mapping[str, tuple[float, float, str]], lever: Numbers, second: Numbers | None = None,
    best: Numbers | None = None, **values: Numbers,
) -> Advice:  # fmt: skip
    """Return the advice for a trace: ``limits`` are of measures, practised and usable, with their quantity.

    ``best`` is the lever of the best run, the rest of which is alike.
    """
    task: Task = replace(
        BASE,
        laps=(replace(BASE.laps[0], roles=roles),),
        levers=(LEVER, SECOND),
        bands={id_: Bands((one, of), (two, of)) for id_, (one, two, of) in limits.items()},
        shown=(*limits,),
    )
    levers = {LEVER: lever, SECOND: second if second is not None else 0 * TIMES}
    attempt = Attempt(task)
    attempt.state = State.DONE
    attempt.traces = [Trace("", TIMES, values, levers, QUANTITIES)]
    attempt.reached = [9.0]
    score = Score.of(attempt)
    ghost = [Trace("", TIMES, values, levers | {LEVER: best}, QUANTITIES)] if best is not None else []
    return advice(attempt, score, ghost)


OUT = points((0, 0.1), (1, 0.6), (4, 0.6), (4.2, 0), (10, 0))  # let go in 0.2 s
SLOW = points((0, 0.1), (1, 0.6), (3, 0.6), (5.4, 0), (10, 0))  # in 2.4 s
PAST = points((0, 0.0), (4, 0.32), (5, 0.36), (10, 0.34))
MARK = Roles(place="x", speed="v", target=(0.34, "length"), moves=(1e-3, "speed"))
OVERSHOOT = {"overshoot": (3e-3, 1e-2, "length")}


def test_let_go_too_suddenly() -> None:
    found = told(MARK, OVERSHOOT, OUT, x=PAST, v=0 * TIMES)
    assert found.rule == "release"
    assert found.at == pytest.approx(4.0, abs=0.05)
    assert found.told(System.METRIC) == (
        "Let the boom lever back more slowly: take 0.6 s from 60 % to nothing.",
        "You took 0.2 s.",
    )
    beside = told(MARK, OVERSHOOT, OUT, best=SLOW, x=PAST, v=0 * TIMES)
    assert beside.told(System.METRIC)[1] == "You took 0.2 s. In the best run you took 2.1 s."


def test_with_a_load_that_hangs_a_whole_swing_is_taken() -> None:
    roles = Roles(sway=("a", "b"), link=(1.35, "length"))
    swing = 0.1 * np.sin(2.7 * TIMES)
    found = told(roles, {"sway": (0.05, 0.1, "angle")}, OUT, a=swing, b=0 * TIMES)
    assert found.told(System.METRIC)[0] == "Let the boom lever back more slowly: take 2.3 s from 60 % to nothing."


def test_let_go_slowly_and_too_late() -> None:
    found = told(MARK, OVERSHOOT, SLOW, x=PAST, v=0 * TIMES)
    assert found.rule == "late"
    assert found.told(System.METRIC) == (
        "Begin to let the boom lever back 111 mm before the mark.",
        "You began 91 mm before it and went 20 mm past it.",
    )


def test_riding_on_the_relief() -> None:
    blows = points((0, 0), (5, 0), (5.01, 1e-4), (7, 1e-4), (7.01, 0), (10, 0))
    found = told(Roles(relief=("q",)), {"relief": (0.2, 0.8, "time")}, SLOW, q=blows)
    assert (found.rule, found.told(System.METRIC)[1]) == ("relief", "It was open for 2.0 s.")


def test_hunting() -> None:
    lever = points((0, 0.1), *((k, 0.4 + 0.2 * (k % 2)) for k in range(1, 9)), (10, 0))
    found = told(Roles(), {"reversals": (1, 3, "ratio")}, lever)
    assert found.rule == "hunting"
    assert found.told(System.METRIC)[1] == "You turned it round 6 times more than needed."


def test_through_the_crack_point_at_full_speed() -> None:
    jumps = points((0, 0), (0.5, 0), (0.6, 0.05), (10, 0.02))
    found = told(MARK, {"jump": (5e-3, 1e-2, "speed")}, points((0, 0.1), (0.6, 1.0), (10, 1.0)), x=PAST, v=jumps)
    assert found.rule == "crack"
    assert "150 % of its travel a second" in found.told(System.METRIC)[1]


def test_emptied_behind_the_piston() -> None:
    falls = points((0, 10e5), (2, -0.5e5), (10, 5e5))
    found = told(Roles(behind="p"), {"behind": (1e5, 0.0, "pressure")}, -SLOW, p=falls)
    assert found.rule == "emptied"
    assert "fell to −0.5 bar" in found.told(System.METRIC)[1]


def test_set_down_too_hard() -> None:
    force = points((0, 0), (6, 0), (6.02, 7e3), (10, 3e3))
    found = told(Roles(sinking="v", contact="f"), {"contact": (2e3, 4e3, "force")}, SLOW, v=0.08 + 0 * TIMES, f=force)
    assert (found.rule, found.told(System.METRIC)[1]) == ("landed", "It touched at 80.0 mm/s.")


def test_one_lever_after_the_other() -> None:
    line = {"off_line": (0.02, 0.05, "length")}
    roles = Roles(path=("x", "y"), line=((0.0, "length"), (0.0, "length"), (1.0, "length"), (0.0, "length")))
    later = points((0, 0), (2, 0), (2.5, 0.5), (8, 0.5), (9, 0), (10, 0))
    off = points((0, 0), (3, 0.3), (10, 0))
    found = told(roles, line, SLOW, later, x=TIMES / 10, y=off)
    assert (found.rule, found.told(System.METRIC)[1]) == ("apart", "The second one came 2.1 s after the first.")
    found = told(roles, line, SLOW, SLOW, x=TIMES / 10, y=off)
    assert found.rule == "left_line"
    assert "after 3.0 s: 300 mm" in found.told(System.METRIC)[1]


def test_the_second_lever_came_in_like_a_blow() -> None:
    later = points((0, 0), (3, 0), (3.3, 0.6), (10, 0.6))
    dips = points((0, 0.04), (3, 0.04), (3.5, 0.02), (4, 0.04), (10, 0.04))
    found = told(Roles(speed="v", second=SECOND), {"fall": (0.1, 0.3, "ratio")}, SLOW, later, v=dips)
    assert found.rule == "came_in"
    assert found.told(System.METRIC) == (
        "Bring in the stick lever slowly, and give the boom lever a little more while it comes.",
        "The stick lever came in by 200 % of its travel a second.",
    )


@pytest.mark.parametrize(("speed", "rule"), [(0.05, "too_fast"), (0.03, "too_slow")])
def test_beside_the_band(speed: float, rule: str) -> None:
    band = Roles(speed="v", band=((0.036, "speed"), (0.044, "speed")))
    held = points((0, 0.0), (1, 0.04), (2, speed), (10, speed))
    found = told(band, {"in_band": (0.8, 0.6, "ratio")}, SLOW, v=held)
    assert found.rule == rule


def test_shaken() -> None:
    """Carried to and fro by a metre, once a second: (2 π)² / 2 = 19.7 m/s²; the low pass takes 1 % off at 1 Hz."""
    roles = Roles(carried=("x",), limit=(1.0, "acceleration"))
    found = told(roles, {"spilling": (0.2, 1.0, "time")}, SLOW, x=0.5 - 0.5 * np.cos(2 * np.pi * TIMES))
    assert found.rule == "shaken"
    assert found.numbers is not None
    assert found.numbers["value"][0] == pytest.approx(19.7, rel=0.03)


def test_too_slow_is_said_only_where_nothing_else_is_wrong() -> None:
    slow = {"time": (5.0, 8.0, "time")}
    found = told(Roles(), slow, 0.5 * SLOW)
    assert (found.rule, found.told(System.METRIC)[1]) == ("timid", "You moved it to 30 % at most.")
    assert told(MARK, slow | OVERSHOOT, 0.5 * OUT, x=PAST, v=0 * TIMES).rule == "release"


def test_the_cause_that_came_first_is_told() -> None:
    """Both riding on the relief and letting go suddenly make a peak of pressure; what was earlier is the advice."""
    both = {"over_load": (1e5, 2e5, "pressure")}
    for opens, rule in ((2.0, "relief"), (6.0, "release")):
        blows = points((0, 0), (opens, 0), (opens + 0.01, 1e-4), (opens + 1, 1e-4), (opens + 1.01, 0), (10, 0))
        roles = Roles(pressure="p", relief=("q",))
        assert told(roles, both, OUT, p=points((0, 5e6), (4, 9e6), (10, 5e6)), q=blows).rule == rule


def test_what_counts_first_is_explained_first() -> None:
    """Past the mark by letting go too late, and hunting before it: the mark is the first measure."""
    lever = SLOW + points((0, 0), (1, 0.2), (1.3, 0), (1.6, 0.2), (2, 0), (10, 0))
    two = {"reversals": (0, 1, "ratio")}
    assert told(MARK, two | OVERSHOOT, lever, x=PAST, v=0 * TIMES).rule == "hunting"
    assert told(MARK, OVERSHOOT | two, lever, x=PAST, v=0 * TIMES).rule == "late"


def test_of_an_attempt_that_was_not_done_what_counts_is_explained() -> None:
    attempt = Attempt(BASE)
    attempt.state, attempt.sentence = State.FAILED, "The boom came to its end."
    quantities = {letter: QUANTITIES.get(letter, "") for letter in BASE.readings}
    values = {letter: PAST if letter == "x" else 0 * TIMES for letter in BASE.readings}
    attempt.traces = [Trace("", TIMES, values, {LEVER: OUT}, quantities)]
    assert advice(attempt, Score.of(attempt)).rule == "release"
    attempt.traces = []
    assert advice(attempt, Score.of(attempt)).told(System.METRIC)[1] == "The boom came to its end."


def test_all_practised() -> None:
    found = told(MARK, OVERSHOOT, SLOW, x=np.minimum(PAST, 0.341), v=0 * TIMES)
    assert found.rule == "again"
    assert found.told(System.METRIC)[1] == "Past the mark: 1.0 mm."
