"""Every misconception with the runs that contradict it, in two circuits, and the numbers of the engine.

The misconceptions are those of the trade's own teaching, numbered from 1 to 28. Numbers are those of our own engine
on our own rigs, kept so that nobody changes what is taught without seeing it; where they came from a list, that was
a hand model of our own, a second implementation and no outside source.
"""

from __future__ import annotations

import math

import pytest
from bench_lessons import opener, shipped
from cases import LARGER, first

from trainer.lessons.lesson import Choice, Exercise, Places
from trainer.lessons.posing import Posed

LESSONS = shipped()
OF = {exercise: name for name, lesson in LESSONS.items() for exercise in lesson.exercises}
BAR, LITRE = 1e5, 1e-3 / 60

BELIEFS = {
    1: "the pump makes pressure", 2: "a low gauge is a bad pump", 3: "more pressure is faster",
    4: "the relief is always working", 5: "a bigger cylinder is faster", 6: "a bigger cylinder takes more pressure",
    7: "out and home are the same", 8: "the heavier load moves last", 9: "parallel functions share equally",
    10: "in series it is as in parallel", 11: "oil takes only the easiest way", 12: "narrow it, and pressure rises",
    13: "a restrictor slows at once", 14: "flow is used up", 15: "one circuit, one pressure",
    16: "a gauge shows what is behind it", 17: "neutral takes nothing", 18: "half lever is half of it",
    19: "metering saves power", 20: "the pump's flow is the cylinder's", 21: "drift is the piston's seal",
    22: "no line is over the pump's", 23: "the own relief is reached", 24: "back-pressure matters at the tank only",
    25: "cavitation is an air leak", 26: "slow means turn up the relief", 27: "power is pressure",
    28: "check and main relief guard the cylinder",
}  # fmt: skip


def wrong_ideas(exercise: Exercise) -> set[int]:
    """Return the misconceptions that are offered in a task, as an option, a place or a reason."""
    question, slips = exercise.question, [slip for slip in exercise.slips if slip.offered]
    if isinstance(question, Choice):
        slips += [option.slip for option in question.options]
    if isinstance(question, Places):
        slips += [place.slip for place in question.places.values() if place.slip is not None]
    return {belief for slip in slips for belief in slip.beliefs}


MET: dict[int, dict[str, str]] = {belief: {} for belief in BELIEFS}  # belief -> tasks about it -> rigs
for _lesson in LESSONS.values():
    for _one in _lesson.exercises.values():
        for _belief in _one.beliefs:
            MET.setdefault(_belief, {})[_one.id] = _one.rig_name


@pytest.mark.parametrize("belief", BELIEFS)
def test_a_misconception_is_offered_and_contradicted_in_two_circuits(belief: int) -> None:
    """One drawing teaches the drawing; and a task about it must offer it."""
    assert len(set(MET[belief].values())) >= 2, f"{BELIEFS[belief]}: {MET[belief]}"
    for task in MET[belief]:
        assert belief in wrong_ideas(LESSONS[OF[task]].exercises[task]), task


def test_no_task_is_about_a_misconception_that_is_none() -> None:
    assert set(MET) == set(BELIEFS) == set(range(1, 29))


def posed(exercise: str, seat: int = 0) -> Posed:
    return opener().open(LESSONS[OF[exercise]], exercise, seat)


# misconception -> tasks, each with the number of the engine in bar, mbar, L/min, mm/s, r/min, s, kW, % or mm
CONTRADICTED: dict[int, list[tuple[str, float]]] = {
    1: [
        ("lever-over", 25.0),
        ("tipping-lift", 67.9),
        ("standing-by", 21.0),
        ("before-the-pump", 227.0),
        ("no-less-than-nothing", 989.0),
        ("heavier-at-the-pilot-lever", 16.8),
        ("screw-of-the-brake", 91.5),
        ("shut-in-the-sun", 106.1),
    ],
    2: [("worn-pump-flow", 20.1), ("worn-pump-gauge", 158.6)],
    3: [("higher-relief", 25.0), ("turn-up-the-relief", 48.6), ("screw-up-the-margin", 38.8)],
    4: [("share-over-the-relief", 0.0), ("rest-of-the-oil", 3.39)],
    5: [("bigger-piston-slower", 14.7), ("narrow-against-wide", 97.0)],
    6: [("bigger-piston", 18.6)],
    7: [("home-again", 4.24), ("legs-up", 128.9), ("home-once-more", 3.47)],
    9: [
        ("gauge-while-the-first", 80.3),
        ("gauge-of-two-loads", 128.4),
        ("second-lever-joins", 39.7),
        ("shared-alike", 48.1),
        ("steering-served-first", 36.0),
    ],
    10: [("two-motors-in-line", 129.5), ("two-cylinders-in-line", 92.8), ("before-the-sequence-valve", 82.3)],
    11: [
        ("two-holes", 7.77),
        ("a-threshold", 0.0),
        ("a-threshold-reached", 5.81),
        ("unequal-and-alike", 48.4),
        ("one-wing-at-its-end", 16.9),
    ],
    12: [("behind-the-throttle", 73.3), ("throttle-behind", 1.86), ("behind-the-hose", 0.474)],
    13: [
        ("screw-half-in", 61.1),
        ("pulling-load", 289.8),
        ("a-screw-on-the-stand", 23.6),
        ("limiter-and-variable-pump", 28.5),
        ("heavier-behind-a-throttle", 3.64),
        ("coupling-half-in", 62.1),
    ],
    14: [("meters-before-and-after", 11.43), ("meter-behind-the-hose", 23.9)],
    15: [("behind-the-divider", 36.6), ("gauge-at-the-pump", 0.0)],
    16: [("crank-stops", 0.0), ("second-in-tandem", 0.1), ("behind-the-valve", 0.0), ("held-on-the-slope", 0.3)],
    17: [
        ("neutral-costs", 0.631),
        ("neutral-takes-power", 0.348),
        ("what-rest-costs", 0.68),
        ("engine-off-oil-on", 116.7),
    ],
    18: [
        ("lever-at-forty", 0.0),
        ("heavy-boom-half-lever", 0.0),
        ("three-times-the-load", 15.2),
        ("lighter-on-a-constant-line", 34.2),
        ("heavier-behind-a-flow-control", 2.36),
        ("pilot-at-part-lever", 11.5),
    ],
    20: [
        ("what-gets-in", 0.140),
        ("slower-engine-lifts", 6.96),
        ("what-it-gives-at-rest", 0.01),
        ("ram-meets-its-load", 19.2),
        ("twin-in-neutral", 0.01),
    ],
    19: [("slower-is-dearer", 14.0), ("slow-lift-price", 1.39), ("power-of-a-set-speed", 30.3)],
    21: [("it-settles", 15.6), ("lift-settles", 41.5), ("lock-and-leaking-spool", 0.0), ("carried-ends", 265.0)],
    22: [
        ("ring-shut", 233.5),
        ("pushed-from-outside", 287.4),
        ("outside-on-a-locked-leg", 219.9),
        ("blow-of-a-valve", 58.0),
    ],
    23: [
        ("lower-downstream", 110.1),
        ("raise-the-bank", 179.6),
        ("which-relief-decides", 100.1),
        ("sequence-above-the-relief", 138.0),
        ("wheel-at-its-stop", 106.7),
    ],
    24: [("stiff-return", 12.5), ("stiff-return-home", 31.5), ("longer-return-hose", 4.90)],
    25: [("starving", 10.9), ("cold-at-the-inlet", 14.3), ("slower-is-enough", 11.6)],
    26: [("turn-up-the-relief", 48.6), ("the-exception", 49.3), ("loader-relief", 44.3)],
    27: [
        ("boom-at-its-end", 0.0),
        ("lift-at-its-end", 0.0),
        ("power-of-the-large-pump", 0.378),
        ("twin-at-its-end", 0.815),
    ],
    28: [("pushed-from-outside", 287.4), ("no-faster-than-pumped", 93.7), ("let-go-at-once", 88.6)],
}
IN_WORDS = {  # misconceptions whose tasks ask no number -> tasks, and the option or place that is as read
    4: [("lifting-then-end", "1")],
    6: [("round-and-too-heavy", "1")],
    8: [("heavier-waits", "1"), ("small-piston-waits", "1")],
    2: [
        ("told-too-little", "1"),
        ("speed-follows-the-load", "1"),
        ("where-it-is-held-up", "0Z3"),
        ("lever-or-spool", "1"),
    ],
    9: [("both-levers-at-once", "1"), ("oil-runs-short", "1")],
    15: [("how-many-pressures", "1"), ("which-lines-move", "1")],
    19: [("heat-of-sharing", "1V2")],
    21: [("it-runs-out", "1"), ("spool-leaks", "1"), ("where-the-boom-leaks", "1V2"), ("seat-lets-go", "1V2")],
    25: [("air-in-the-oil", "1"), ("starved-or-foamed", "1")],
    28: [("port-relief-low", "1")],
}
IN_ORDER = {
    "heavy-and-light": ("wide", "narrow"), "lighter-this-time": ("narrow", "wide"),
    "cheapest-way": ("bled", "lever", "throttled"), "who-minds-the-load": ("told", "line", "open"),
    "ways-to-shut": ("slow", "half", "tenth", "short"),
}  # fmt: skip
SHOWN = {
    "pressure": BAR, "flow": LITRE, "speed": 1e-3, "shaft speed": math.pi / 30, "time": 1.0, "power": 1e3,
    "ratio": 0.01, "length": 1e-3, "energy": 1e3, "vacuum": 100.0,
}  # fmt: skip
NUMBERED = sorted(  # in every run stand tasks on small rigs that other tests run, too
    ((belief, *one) for belief, found in CONTRADICTED.items() for one in found),
    key=lambda case: OF[case[1]] > "14" or LESSONS[OF[case[1]]].exercises[case[1]].rig_name in LARGER[1:],
)


@pytest.mark.parametrize(("belief", "exercise", "number"), first(8, NUMBERED))
def test_a_misconception_is_contradicted_by_its_run(belief: int, exercise: str, number: float) -> None:
    task = posed(exercise)
    assert belief in task.exercise.beliefs
    scale = task.exercise.scale
    assert scale is not None
    unit = SHOWN[scale.quantity]
    assert task.answer / unit == pytest.approx(number, rel=0.02, abs=0.02 * scale.apart / unit)


@pytest.mark.parametrize(("exercise", "right"), first(2, [one for found in IN_WORDS.values() for one in found]))
def test_a_misconception_in_words_is_contradicted_by_its_run(exercise: str, right: str) -> None:
    assert posed(exercise).right == (right,)


@pytest.mark.parametrize(("exercise", "right"), first(3, IN_ORDER.items()))
def test_an_order_is_that_of_the_engine(exercise: str, right: tuple[str, ...]) -> None:
    assert posed(exercise).right == right


@pytest.mark.parametrize("belief", BELIEFS)
def test_a_misconception_has_a_test_with_its_number_or_its_right_option(belief: int) -> None:
    tested = {task for task, _ in [*CONTRADICTED.get(belief, []), *IN_WORDS.get(belief, [])]} | {*IN_ORDER}
    assert tested & MET[belief].keys()
