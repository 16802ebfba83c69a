"""What the lessons teach, against independent formulas, and every misconception with the run that contradicts it.

Formulas are those of any textbook of fluid power (p = F/A, v = Q/A, P = p Q, T = p V / 2 pi, orifices after
Q ~ A sqrt(dp)), worked out here from the numbers of the rig, never by the formulas of the lesson. The numbers of the
misconceptions are those of our own engine: they are kept so that nobody changes what is taught without seeing it.
"""

from __future__ import annotations

import math
from collections.abc import Callable

import pytest
from bench_lessons import opener, shipped
from cases import first

from trainer.lessons import file
from trainer.lessons.posing import Posed
from trainer.rig.rig import Rig

LESSONS = {name: file.load(path) for name, path in shipped().items()}
OF = {exercise: name for name, lesson in LESSONS.items() for exercise in lesson.exercises}
G = 9.80665  # standard gravity, CGPM 1901
BAR, LITRE = 1e5, 1e-3 / 60


def posed(exercise: str, seat: int = 0) -> Posed:
    return opener().open(LESSONS[OF[exercise]], exercise, seat)


def cap(rig: Rig, cylinder: str = "1A1") -> float:
    return math.pi / 4 * rig.value(cylinder, "bore") ** 2


def ring(rig: Rig, cylinder: str = "1A1") -> float:
    return cap(rig, cylinder) - math.pi / 4 * rig.value(cylinder, "rod") ** 2


def weight(rig: Rig, load: str = "1W1") -> float:
    return rig.value(load, "mass") * G


def lifted(task: Posed) -> float:
    """The load's part of the reading; friction, lines and edges are the rest, at most a quarter on these rigs."""
    return weight(task.rig) / cap(task.rig)


def in_series(task: Posed) -> float:
    """What the first asks alone, and what stands between on its ring only."""
    return task.taken.values["alone"] + (task.taken.values["between"] - 2.0 * BAR) * ring(task.rig) / cap(task.rig)


FORMULAS: dict[str, tuple[Callable[[Posed], float], Callable[[Posed], float], float]] = {
    # task -> what it has, what a formula gives, and how far they may be apart as a share
    "lever-over": (lambda t: t.taken.values["load"], lifted, 0.13),  # its seal's friction on top
    "tipping-lift": (lambda t: t.taken.values["load"], lifted, 0.05),
    "reckon-the-speed": (lambda t: t.answer, lambda t: t.taken.values["q"] / cap(t.rig), 0.003),
    "bigger-piston-slower": (lambda t: t.answer / t.taken.values["t0"], lambda t: (50 / 40) ** 2, 0.10),
    "narrow-against-wide": (
        lambda t: t.answer / t.taken.values["wide"], lambda t: cap(t.rig) / cap(t.rig, "1A2"), 0.02,
    ),
    "home-again": (lambda t: t.answer / t.taken.values["t0"], lambda t: ring(t.rig) / cap(t.rig), 0.02),
    "legs-up": (lambda t: t.answer / t.taken.values["down"], lambda t: cap(t.rig) / ring(t.rig), 0.02),
    "round-is-faster": (
        lambda t: t.answer / t.taken.values["v0"], lambda t: cap(t.rig) / (cap(t.rig) - ring(t.rig)), 0.03,
    ),
    "what-gets-in": (lambda t: t.answer, lambda t: t.taken.values["all"] - t.taken.values["past"], 0.01),
    "torque-of-the-winch": (
        lambda t: t.answer,
        lambda t: (t.taken.values["p1"] - t.taken.values["p2"]) * t.rig.value("1A1", "displacement"),
        0.15,  # its drag
    ),
    "speed-of-the-winch": (
        lambda t: t.answer,
        lambda t: (t.taken.values["q"] - t.taken.values["case"]) / t.rig.value("1A1", "displacement"),
        0.03,
    ),
    "behind-the-throttle": (lambda t: t.answer, lambda t: lifted(t), 0.07),
    "two-motors-in-line": (
        lambda t: t.answer, lambda t: t.taken.values["alone1"] + t.taken.values["alone2"], 0.15,  # lines passed once
    ),
    "two-cylinders-in-line": (lambda t: t.answer, in_series, 0.03),
    "two-holes": (lambda t: t.answer / t.taken.values["all"], lambda t: 15 / (15 + 30), 0.03),
    "what-the-second-gets": (
        lambda t: t.answer, lambda t: t.taken.values["v1"] * ring(t.rig) / cap(t.rig, "2A1"), 0.02,
    ),
    "price-of-the-relief": (lambda t: t.answer, lambda t: t.taken.values["p"] * t.taken.values["q"], 0.01),
    "a-minute-on-the-relief": (
        lambda t: t.answer - 45.0,
        # 0.87 kg a litre and 1.9 kJ/kg K: usual figures for mineral oil; 10 kJ/K of steel; all from memory
        lambda t: t.taken.values["P"] * 60 / (0.87e3 * 1.9e3 * t.rig.value("0Z1", "volume") + 10e3),
        0.06,
    ),
    "faster-engine": (lambda t: t.answer / t.taken.values["p0"], lambda t: (2400 / 1800) ** 2, 0.05),
    "volumetric-efficiency": (
        lambda t: t.answer,
        lambda t: t.taken.values["q"] / (t.rig.value("0P1", "displacement") * 1500 * 2 * math.pi / 60),
        0.005,
    ),
    "ring-shut": (lambda t: t.answer / t.taken.values["p"], lambda t: cap(t.rig) / ring(t.rig), 0.02),
    "pulling-and-shut": (
        lambda t: t.answer,
        lambda t: (t.taken.values["a"] * cap(t.rig) + weight(t.rig)) / ring(t.rig),
        0.03,
    ),
    "stiff-return": (
        lambda t: (t.answer - t.taken.values["p0"]) / (t.taken.values["r"] - t.taken.values["r0"]),
        lambda t: ring(t.rig) / cap(t.rig),
        0.05,
    ),
    "stiff-return-home": (
        lambda t: (t.answer - t.taken.values["p0"]) / (t.taken.values["r"] - t.taken.values["r0"]),
        lambda t: cap(t.rig) / ring(t.rig),
        0.05,
    ),
    "it-settles": (
        lambda t: t.taken.values["a"], lambda t: weight(t.rig) / (cap(t.rig) - ring(t.rig)), 0.05,
    ),
    "pushed-from-outside": (
        # 139 bar on the ram's ring, and 500 kg besides
        lambda t: t.answer,
        lambda t: (t.taken.values["p"] * ring(t.rig, "2A1") + weight(t.rig)) / cap(t.rig),
        0.05,
    ),
    "faster-engine-lift": (lambda t: t.answer / t.taken.values["t0"], lambda t: 1800 / 2400, 0.03),
}  # fmt: skip


@pytest.mark.parametrize("exercise", first(9, FORMULAS))
@pytest.mark.parametrize("seat", first(1, (0, 5)))
def test_right_is_what_a_formula_gives(exercise: str, seat: int) -> None:
    task = posed(exercise, 0 if exercise in ("faster-engine",) else seat)
    read, formula, apart = FORMULAS[exercise]
    assert read(task) == pytest.approx(formula(task), rel=apart)


# misconception -> tasks, each with the number of the engine in bar, L/min, mm/s, r/min, s, kW, % or mm
CONTRADICTED: dict[int, list[tuple[str, float]]] = {
    1: [("lever-over", 25.0), ("tipping-lift", 67.9)],
    2: [("worn-pump-flow", 20.1), ("worn-pump-gauge", 158.6)],
    3: [("higher-relief", 25.0), ("turn-up-the-relief", 48.6)],
    4: [("share-over-the-relief", 0.0)],
    5: [("bigger-piston-slower", 14.7), ("narrow-against-wide", 97.0)],
    6: [("bigger-piston", 18.6)],
    7: [("home-again", 4.24), ("legs-up", 128.9)],
    9: [("gauge-while-the-first", 80.3)],
    10: [("two-motors-in-line", 129.5), ("two-cylinders-in-line", 92.8)],
    11: [("two-holes", 7.77), ("a-threshold", 0.0)],
    12: [("behind-the-throttle", 73.3), ("throttle-behind", 1.86), ("behind-the-hose", 0.474)],
    13: [("screw-half-in", 61.1), ("pulling-load", 289.8), ("a-screw-on-the-stand", 23.6)],
    14: [("meters-before-and-after", 11.43)],
    16: [("crank-stops", 0.0), ("second-in-tandem", 0.1)],
    17: [("neutral-costs", 0.631), ("longer-return-hose", 4.90)],
    18: [("lever-at-forty", 0.0), ("heavy-boom-half-lever", 0.0)],
    20: [("what-gets-in", 0.140), ("slower-engine-lifts", 6.96)],
    21: [("it-settles", 15.6)],
    22: [("ring-shut", 233.5), ("pushed-from-outside", 287.4)],
    23: [("lower-downstream", 110.1), ("raise-the-bank", 179.6)],
    24: [("stiff-return", 12.5), ("stiff-return-home", 31.5)],
    25: [("starving", 10.9)],
    26: [("turn-up-the-relief", 48.6), ("the-exception", 49.3), ("loader-relief", 44.3)],
    27: [("boom-at-its-end", 0.0), ("lift-at-its-end", 0.0)],
    28: [("pushed-from-outside", 287.4)],
}
IN_WORDS = {  # misconceptions whose tasks ask no number -> tasks, and the option that is as read
    6: [("round-and-too-heavy", "1")],
    8: [("heavier-waits", "1"), ("small-piston-waits", "1")],
    15: [("how-many-pressures", "1"), ("which-lines-move", "1")],
    21: [("it-runs-out", "1"), ("spool-leaks", "1")],
    25: [("air-in-the-oil", "1")],
    28: [("port-relief-low", "1")],
}
IN_ORDER = {8: ("heavy-and-light", ("wide", "narrow")), 19: ("cheapest-way", ("bled", "lever", "throttled"))}
SHOWN = {
    "pressure": BAR, "flow": LITRE, "speed": 1e-3, "shaft speed": math.pi / 30, "time": 1.0, "power": 1e3,
    "ratio": 0.01, "length": 1e-3,
}  # fmt: skip
NUMBERED = [(belief, *one) for belief, found in CONTRADICTED.items() for one in found]


@pytest.mark.parametrize(("belief", "exercise", "number"), first(12, NUMBERED))
def test_a_misconception_is_contradicted_by_its_run(belief: int, exercise: str, number: float) -> None:
    task = posed(exercise)
    assert belief in task.exercise.beliefs
    scale = task.exercise.scale
    assert scale is not None
    unit = SHOWN[scale.quantity]
    assert task.answer / unit == pytest.approx(number, rel=0.02, abs=0.02 * scale.apart / unit)
    shown = {belief for slip in task.exercise.slips for belief in slip.beliefs}
    assert shown, "none of its wrong options is a named misconception"


@pytest.mark.parametrize(("exercise", "right"), first(3, [one for found in IN_WORDS.values() for one in found]))
def test_a_misconception_in_words_is_contradicted_by_its_run(exercise: str, right: str) -> None:
    assert posed(exercise).right == (right,)


@pytest.mark.parametrize(("exercise", "right"), IN_ORDER.values())
def test_an_order_is_that_of_the_engine(exercise: str, right: tuple[str, ...]) -> None:
    assert posed(exercise).right == right


ON_ONE_RIG = {21}  # a second machine needs a counterbalance, which is still to come


def test_all_misconceptions_are_met_in_two_circuits() -> None:
    """Each of the 28 is contradicted on two rigs, where the parts for two are there."""
    rigs: dict[int, set[str]] = {}
    for lesson in LESSONS.values():
        for one in lesson.exercises.values():
            for belief in one.beliefs:
                rigs.setdefault(belief, set()).add(one.rig_name)
    assert set(rigs) == set(range(1, 29))
    assert {belief for belief, found in rigs.items() if len(found) < 2} == ON_ONE_RIG


def test_there_are_ninety_tasks_in_thirteen_lessons_at_three_depths() -> None:
    tasks = [one for lesson in LESSONS.values() for one in lesson.exercises.values()]
    assert len(LESSONS) == 13
    assert len(tasks) >= 90
    assert {one.depth for one in tasks} == {1, 2, 3}


def test_every_outcome_has_tasks() -> None:
    tasks = [one for lesson in LESSONS.values() for one in lesson.exercises.values()]
    assert {outcome for one in tasks for outcome in one.outcomes} == {f"O{k}" for k in range(1, 16)}
