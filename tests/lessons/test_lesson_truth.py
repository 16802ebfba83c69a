"""What the lessons teach, against independent formulas, with the numbers of every seat.

Formulas are those of any textbook of fluid power (p = F/A, v = Q/A, P = p Q, T = p V / 2 pi, orifices after
Q ~ A sqrt(dp)), worked out here from the numbers of the rig, never by the formulas of the lesson.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable
from dataclasses import replace

import pytest
from bench_lessons import opener, shipped
from cases import LARGER, first
from scipy import constants

from trainer.lessons.lesson import OwnWords
from trainer.lessons.marking import UnusableAnswer, judge
from trainer.lessons.posing import Posed
from trainer.lessons.readings import Reading
from trainer.rig.rig import Rig
from trainer.units import System

LESSONS = shipped()
OF = {exercise: name for name, lesson in LESSONS.items() for exercise in lesson.exercises}
G = 9.80665  # standard gravity, CGPM 1901
BAR, LITRE = 1e5, 1e-3 / 60
SEATS = 20


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


def share(task: Posed, one: str, other: str) -> float:
    """What passes one of two holes side by side: as its opening."""
    openings = [task.rig.start[f"{id_}.opening"] for id_ in (one, other)]
    return openings[0] / sum(openings)


def turns(task: Posed) -> float:
    return task.taken.values["n"] / task.taken.values["n0"]


def in_series(task: Posed) -> float:
    """What the first asks alone, and what stands between on its ring only."""
    return task.taken.values["alone"] + (task.taken.values["between"] - 2.0 * BAR) * ring(task.rig) / cap(task.rig)


def opening(task: Posed, lever: float) -> float:
    """The opening of a closed-centre edge: beyond its dead band, to the power 1.5."""
    travel, band = (task.rig.value("1V1", name) for name in ("travel", "dead_band"))
    return float((lever * travel - band) ** 1.5)


def left(task: Posed, mass: float) -> float:
    """What a load leaves of the line's pressure, for the edges in and out."""
    return task.taken.values["p"] - mass * G / cap(task.rig)


def piloted(task: Posed) -> float:
    """How often the rod end's pressure counts to open a counterbalance valve: by its pilot, and on the ring."""
    return task.rig.value("1V2", "ratio") + ring(task.rig) / cap(task.rig)


def now(task: Posed, part: str, name: str) -> float:
    """A number of the rig as the run has it once it has settled."""
    set_then = task.exercise.run.then.get(f"{part}.{name}")
    return task.rig.value(part, name) if set_then is None else task.numbers.get(f"{part}.{name}", set_then)


def lifted_now(task: Posed, circuit: int = 1) -> float:
    """The load's part, of a load that may have been put on in the run."""
    return now(task, f"{circuit}W1", "mass") * G / cap(task.rig, f"{circuit}A1")


def moved(task: Posed, *pumps: str) -> float:
    """What pumps move in all, at 1500 r/min."""
    return sum(task.rig.value(pump, "displacement") for pump in pumps) * 1500 * math.pi / 30


def quick_gas(task: Posed) -> float:
    """What an accumulator gives when its gas neither warms nor cools by the shell: p V^1.4 stays, absolute."""
    taken, air = task.taken.values, 1.01325e5
    room = taken["f1"] * ((taken["p1"] + air) / (taken["p2"] + air)) ** (1 / 1.4)
    return float((room - taken["f1"]) * taken["S"])


def never_shut(task: Posed) -> float:
    """Flow to the side of a divider that it holds back: 4 % of its spool's edges are cut never to shut.

    Those are three times as wide as the fixed ones, which pass half of the rated flow at 8 bar: q ~ A sqrt(dp).
    """
    left_over = task.rig.value("0V1", "setting") - task.rig.value("1W1", "force") / cap(task.rig)
    both = 3 * 0.04 / math.hypot(1, 3 * 0.04)
    return task.rig.value("1V2", "rated_flow") / 2 * math.sqrt(left_over / (8 * BAR)) * both


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
    "two-holes": (lambda t: t.answer / t.taken.values["all"], lambda t: share(t, "0V3", "0V2"), 0.03),
    "a-threshold-reached": (  # what drives oil the second way is what is left above the check
        lambda t: t.answer / (t.taken.values["all"] - t.answer),
        lambda t: math.sqrt(1 - t.rig.value("0V4", "cracking") / t.taken.values["p"]),
        0.2,  # a check asks for more the further it is open
    ),
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
    "faster-engine": (lambda t: t.answer / t.taken.values["p0"], lambda t: turns(t) ** 2, 0.06),
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
    "faster-engine-lift": (lambda t: t.answer / t.taken.values["t0"], lambda t: 1 / turns(t), 0.03),
    "gauge-while-the-first": (lambda t: t.answer, lifted, 0.17),
    "at-its-end": (lambda t: t.answer, lambda t: t.rig.value("0V1", "setting"), 0.02),
    "lower-downstream": (lambda t: t.answer, lambda t: t.rig.value("1V0", "setting"), 0.02),
    "lower-upstream": (lambda t: t.answer, lambda t: t.rig.value("1V0", "setting"), 0.02),
    "raise-the-bank": (lambda t: t.answer, lambda t: t.rig.value("0V1", "setting"), 0.02),
    "which-relief-decides": (lambda t: t.answer, lambda t: t.rig.value("2V0", "setting"), 0.02),
    "relief-with-a-stiff-return": (lambda t: t.answer, lambda t: t.taken.values["r"] - t.taken.values["r0"], 0.02),
    "screw-half-in": (lambda t: t.answer, lambda t: t.taken.values["v0"], 0.03),
    "meters-before-and-after": (lambda t: t.answer, lambda t: t.taken.values["q1"], 0.01),
    "meter-behind-the-hose": (lambda t: t.answer, lambda t: t.taken.values["q"], 0.01),
    "slow-engine-and-relief": (lambda t: t.answer / t.taken.values["good"], lambda t: 1000 / 1500, 0.03),
    "a-screw-on-the-stand": (
        lambda t: t.answer, lambda t: t.rig.value("0P1", "displacement") * 1500 * 2 * math.pi / 60, 0.04,
    ),
    "time-for-the-lift": (lambda t: t.answer, lambda t: cap(t.rig) * 0.2 / t.taken.values["q"], 0.02),
    "out-and-home": (
        lambda t: t.answer, lambda t: (cap(t.rig) + ring(t.rig)) * 0.4 / t.taken.values["q"], 0.02,
    ),
    "home-once-more": (lambda t: t.answer / t.taken.values["t0"], lambda t: ring(t.rig) / cap(t.rig), 0.03),
    "work-of-a-radian": (
        lambda t: t.answer * 2 * math.pi,
        lambda t: (t.taken.values["p1"] - t.taken.values["p2"]) * t.rig.value("1A1", "displacement") * 2 * math.pi,
        1e-9,
    ),
    "power-into-the-load": (lambda t: t.answer, lambda t: weight(t.rig) * t.taken.values["v"], 1e-6),
    "what-the-lift-makes-of-it": (
        lambda t: t.answer * t.taken.values["P"], lambda t: weight(t.rig) * t.taken.values["v"], 1e-6,
    ),
    "price-of-an-hour": (lambda t: t.answer * 1000, lambda t: 0.3 * t.taken.values["P"] / 1000, 1e-9),
    "lift-settles": (lambda t: t.taken.values["a"], lambda t: weight(t.rig) / (cap(t.rig) - ring(t.rig)), 0.05),
    # variable pumps and load sensing: Q ~ A sqrt(dp), pump = told load + margin
    "limiter-and-variable-pump": (
        lambda t: t.answer / t.taken.values["v0"],
        lambda t: opening(t, t.taken.values["u"]) / opening(t, t.taken.values["u0"]),
        0.04,
    ),
    "lighter-on-a-constant-line": (
        lambda t: t.answer / t.taken.values["v0"],
        lambda t: math.sqrt(left(t, t.taken.values["m"]) / left(t, t.taken.values["m0"])),
        0.02,
    ),
    "standing-by": (lambda t: t.answer, lambda t: now(t, "0P1", "margin"), 0.02),
    "margin-above-the-load": (lambda t: t.answer, lambda t: lifted_now(t) + now(t, "0P1", "margin"), 0.12),
    "read-the-margin": (lambda t: t.answer, lambda t: now(t, "0P1", "margin"), 0.03),
    "three-times-the-load": (lambda t: t.answer / t.taken.values["v0"], lambda _: 1.0, 0.04),
    "half-lever-less-than-half": (
        lambda t: t.answer / t.taken.values["v100"], lambda t: opening(t, 0.5) / opening(t, 1.0), 0.10,
    ),
    "gauge-of-two-loads": (
        lambda t: t.answer,
        lambda t: lifted_now(t, 2) + now(t, "0P1", "margin"),
        0.08,
    ),
    "second-lever-joins": (lambda t: t.answer / t.taken.values["v0"], lambda _: 1.0, 0.04),
    "shared-alike": (  # both lose the same share, of what both took
        lambda t: t.answer / t.taken.values["narrow0"], lambda t: t.taken.values["q"] / t.taken.values["q0"], 0.10,
    ),
    "screw-up-the-margin": (lambda t: t.answer / t.taken.values["v0"], lambda _: 1.0, 0.01),
    # what holds a load: pilot and load together lift the spring, each by its area
    "no-faster-than-pumped": (lambda t: t.answer, lambda t: t.taken.values["q"] / ring(t.rig), 0.02),
    "cap-end-while-lowering": (
        lambda t: t.answer, lambda t: lifted(t) + t.taken.values["b"] * ring(t.rig) / cap(t.rig), 0.05,
    ),
    "what-opens-it": (
        lambda t: t.answer, lambda t: (t.rig.value("1V2", "setting") - lifted(t)) / piloted(t), 0.03,
    ),
    "lighter-needs-more": (  # what the load does not do, the pilot must
        lambda t: t.answer - t.taken.values["b0"],
        lambda t: (t.taken.values["m0"] - t.taken.values["m"]) * G / cap(t.rig) / piloted(t),
        0.15,
    ),
    "screw-the-holding-valve": (
        lambda t: t.taken.values["b0"] - t.taken.values["b"],
        lambda t: (t.taken.values["s0"] - t.taken.values["s"]) / piloted(t),
        0.08,
    ),
    "pilot-of-the-lock": (
        lambda t: t.answer,
        lambda t: (lifted(t) + t.rig.value("1V2", "cracking")) / t.rig.value("1V2", "ratio"),
        0.02,
    ),
    "outside-on-a-locked-leg": (lambda t: t.answer, lifted_now, 0.02),
    "carried-ends": (  # half a minute is not quite enough
        lambda t: t.answer, lambda t: weight(t.rig) / (cap(t.rig) - ring(t.rig)), 0.15,
    ),
    # valves that look at a pressure, two pumps, a store
    "before-the-sequence-valve": (lambda t: t.answer, lambda t: t.taken.values["s"], 0.05),
    "both-pumps": (lambda t: t.answer, lambda t: moved(t, "0P1", "0P2") / cap(t.rig), 0.03),
    "ram-meets-its-load": (lambda t: t.answer, lambda t: moved(t, "0P2") / cap(t.rig), 0.12),
    "oil-it-gives": (lambda t: t.answer, quick_gas, 0.08),
    # flow control: Q ~ A sqrt(dp), or ~ A where a compensator keeps dp
    "heavier-behind-a-throttle": (
        lambda t: t.answer / t.taken.values["t0"],
        lambda t: math.sqrt(left(t, t.taken.values["m0"]) / left(t, t.taken.values["m"])),
        0.08,
    ),
    "heavier-behind-a-flow-control": (lambda t: t.answer / t.taken.values["t0"], lambda _: 1.0, 0.03),
    "screw-of-a-flow-control": (
        lambda t: t.answer / t.taken.values["t0"], lambda t: t.taken.values["u0"] / t.taken.values["u"], 0.03,
    ),
    "rest-of-the-oil": (
        lambda t: t.answer, lambda t: t.taken.values["q"] - t.taken.values["q1"] - t.taken.values["q2"], 0.02,
    ),
    # the pump's inlet: a pump that is filled moves its oil by its turns
    "slower-is-enough": (lambda t: t.answer, lambda t: moved(t, "0P1") / 2, 0.06),
    "filter-behind-it": (lambda t: t.answer, lambda t: moved(t, "0P1"), 0.03),
    # shared by valves: equal edges at an equal drop pass the same; what is told, and a spring above it
    "unequal-and-alike": (lambda t: t.answer, lambda t: t.taken.values["q"] / 2 / cap(t.rig, "1A2"), 0.02),
    "behind-the-divider": (
        lambda t: t.taken.values["a1"] - t.answer,
        lambda t: (t.rig.value("1W1", "force") - t.rig.value("1W2", "force")) / cap(t.rig),
        0.03,
    ),
    "heat-of-sharing": (  # P = p Q of either half
        lambda t: t.taken.values["h"],
        lambda t: t.taken.values["q"] * (t.taken.values["a0"] - (t.taken.values["a1"] + t.taken.values["a2"]) / 2),
        0.02,
    ),
    "one-wing-at-its-end": (lambda t: t.answer * cap(t.rig), never_shut, 0.08),
    "steering-served-first": (lambda t: t.answer / t.taken.values["v0"], lambda _: 1.0, 0.01),
    "wheel-at-its-stop": (
        lambda t: t.answer, lambda t: t.rig.value("0V4", "setting") + t.rig.value("0V2", "spring"), 0.04,
    ),
    # pilot lever: a straight line from where it begins, behind its play
    "pilot-at-part-lever": (
        lambda t: t.answer,
        lambda t: t.rig.value("0V3", "begins")
        + (0.40 - 0.06) / (1 - 0.06) * (t.rig.value("0V3", "ends_at") - t.rig.value("0V3", "begins")),
        0.04,
    ),
    "heavier-at-the-pilot-lever": (lambda t: t.answer / t.taken.values["x0"], lambda _: 1.0, 0.01),
    # held, stopped, shut in
    "held-on-the-slope": (  # statics: nothing turns, so the brake bears all of the slope's torque
        lambda t: abs(t.taken.values["b"]), lambda t: now(t, "1W1", "slope"), 0.01,
    ),
    "let-go-at-once": (lambda t: t.answer, lambda t: t.rig.value("1V1", "port_setting"), 0.03),
    "twice-as-fast": (  # T phi = J w^2 / 2, at the same torque
        lambda t: t.answer / t.taken.values["w0"],
        lambda t: (t.taken.values["n"] / t.taken.values["n0"]) ** 2,
        0.05,
    ),
    "screw-of-the-brake": (  # by half as much as the brake's pressure: it takes half of the motor's oil for a turn
        lambda t: t.answer - t.taken.values["p0"],
        lambda t: (t.rig.value("1V2", "setting") - 100 * BAR)
        * t.rig.value("1P1", "displacement") / t.rig.value("1A1", "displacement"),
        0.2,  # the drag of both goes with their pressures
    ),
    "coupling-half-in": (lambda t: t.answer, lambda t: moved(t, "0P1") / cap(t.rig), 0.04),
    "shut-in-the-sun": (
        # mineral oil: 0.7 of a thousandth for each kelvin, 1.6 GPa with little air; usual figures, from memory
        lambda t: (t.answer - t.taken.values["p0"]) / (t.taken.values["t"] - t.taken.values["t0"]),
        lambda _: 0.7e-3 * 1.6e9,
        0.12,
    ),
    "blow-of-a-valve": (
        # Joukowsky (1898): density times wave speed times speed; 1300 m/s in oil in a steel pipe, from memory
        lambda t: t.answer,
        lambda t: 870 * 1300 * t.taken.values["q"] / (math.pi / 4 * t.rig.value("0Z3", "bore") ** 2),
        0.12,
    ),
}  # fmt: skip


def small_rigs_first(tasks: Iterable[str]) -> list[str]:
    """In every run stand tasks that take no time."""
    return sorted(tasks, key=lambda task: LESSONS[OF[task]].exercises[task].rig_name in LARGER[1:])


def held(exercise: str, seat: int) -> None:
    task = posed(exercise, seat)
    read, formula, apart = FORMULAS[exercise]
    assert read(task) == pytest.approx(formula(task), rel=apart)


@pytest.mark.parametrize("exercise", first(8, small_rigs_first(FORMULAS)))
def test_right_is_what_a_formula_gives(exercise: str) -> None:
    held(exercise, 0)


@pytest.mark.soak
@pytest.mark.parametrize("exercise", FORMULAS)
def test_right_is_what_a_formula_gives_in_every_seat(exercise: str) -> None:
    for seat in range(1, SEATS):
        held(exercise, seat)


BY_PRESSURE = {"heavy-and-light": ("1A1", "1A2"), "lighter-this-time": ("1A1", "1A2")}


@pytest.mark.soak
@pytest.mark.parametrize("exercise", BY_PRESSURE)
def test_who_goes_first_is_who_has_less_load_on_its_piston(exercise: str) -> None:
    for seat in range(SEATS):
        task = posed(exercise, seat)
        asked = {
            name: weight(task.rig, load) / cap(task.rig, cylinder)
            for name, load, cylinder in (("wide", "1W1", "1A1"), ("narrow", "1W2", "1A2"))
        }
        assert task.right == tuple(sorted(asked, key=lambda name: asked[name]))


UNITS = {  # task -> a factor of scipy.constants by which the number of its metric unit becomes that of the other
    "bar-and-psi": constants.bar / constants.psi,
    "litres-and-gallons": constants.liter / constants.gallon,
    "newtons-and-pounds": 1000 / constants.lbf,  # its metric unit is the kilonewton
    "kilowatts-and-horsepower": 1000 / constants.hp,
}


@pytest.mark.parametrize("exercise", first(1, UNITS))
def test_a_number_in_the_other_unit_is_that_of_its_definition(exercise: str) -> None:
    """And a plain number is taken in that unit, the one of the screen is sent back."""
    task = posed(exercise, 3)
    metric = task.unit(System.US)
    number = metric.number(task.answer)
    assert judge(task, f"{number * UNITS[exercise]:.5g}").right
    assert judge(task, f"{number:.5g}", system=System.US).right
    assert not judge(task, f"{number / UNITS[exercise]:.5g}").right
    with pytest.raises(UnusableAnswer):
        judge(task, f"{number:.5g} {metric.symbol}")


@pytest.mark.soak
def test_degrees_of_the_other_scale() -> None:
    """113 °F are 45 °C: by definition, °F = 9/5 °C + 32."""
    task = posed("degrees")
    assert judge(task, "113").right
    assert judge(task, "81").slip == "no-32"
    assert judge(task, "45", system=System.US).right


# -- designs: what is taken must do on the engine what was asked, and what is refused must not ----------------------


def built(
    exercise: str, name: str, size: float, letters: dict[str, str], until: float = 0.0, **masses: float
) -> dict[str, float]:
    """Return readings of a task's rig with another size in it, and with other loads: ``W1`` is that of 1W1."""
    one = LESSONS[OF[exercise]].exercises[exercise]
    readings = {letter: Reading.of(words) for letter, words in letters.items()}
    loads = {f"1{load}.mass": mass for load, mass in masses.items()}
    numbers, then = {**one.run.numbers, name: size}, {**one.run.then, **loads}
    run = replace(one.run, numbers=numbers, then=then, until=until or one.run.until)
    task = replace(one, run=run, readings=readings, vary=(), question=OwnWords("", {"": ("",)}, 0))
    return dict(opener().courses.take(task, {}).values)


@pytest.mark.soak
@pytest.mark.parametrize(
    ("millimetres", "opens", "late"), [(50, True, False), (63, False, False), (100, False, True)]
)
def test_a_bore_that_is_right_lifts_in_time_with_the_relief_shut(millimetres: int, opens: bool, late: bool) -> None:
    letters = {"over": "stream 0V1.over_relief at 4 s", "t": "time rod1 from 20 mm to 220 mm"}
    found = built("choose-the-bore", "1A1.bore", millimetres / 1000, letters, 13.0 if millimetres > 63 else 6.0)
    assert (found["over"] > 0.02 * LITRE) == opens
    if not opens:
        assert (2 * found["t"] > 12) == late  # 400 mm take twice as long
    assert judge(posed("choose-the-bore"), f"{millimetres} mm").right == (not opens and not late)


@pytest.mark.soak
@pytest.mark.parametrize(("turn", "late", "weak"), [(6.5, True, False), (8.0, False, False), (14.0, False, True)])
def test_a_pump_that_is_right_is_quick_enough_and_not_too_much_for_its_drive(
    turn: float, late: bool, weak: bool
) -> None:
    letters = {"v": "speed rod1", "P": "own 0P1.power"}
    found = built("choose-the-pump", "0P1.displacement", turn * 1e-6 / (2 * math.pi), letters)
    assert (0.4 / found["v"] > 7) == late
    assert (found["P"] > 2600) == weak
    assert judge(posed("choose-the-pump"), f"{turn} cm3/rev").right == (not late and not weak)


@pytest.mark.soak
@pytest.mark.parametrize(("turn", "weak", "slow"), [(100, True, False), (160, False, False), (250, False, True)])
def test_a_motor_that_is_right_gives_its_torque_and_turns_fast_enough(turn: int, weak: bool, slow: bool) -> None:
    letters = {"a": "pressure A1", "b": "pressure B1", "n": "speed shaft1"}
    found = built("choose-the-motor", "1A1.displacement", turn * 1e-6 / (2 * math.pi), letters)
    assert (found["a"] - found["b"] > 85 * BAR) == weak
    assert (found["n"] < 110 * math.pi / 30) == slow
    assert judge(posed("choose-the-motor"), f"{turn} cm3/rev").right == (not weak and not slow)


@pytest.mark.soak
@pytest.mark.parametrize(
    ("bar", "mass", "slow", "weak"), [(15, 600, True, False), (30, 1150, False, False), (45, 1950, False, True)]
)
def test_an_unloading_valve_that_is_right_lets_go_late_enough_and_early_enough(
    bar: int, mass: int, slow: bool, weak: bool
) -> None:
    """With the load just below its setting, where both pumps still push."""
    letters = {"v": "speed rod1", "P1": "own 0P1.power", "P2": "own 0P2.power", "p": "pressure P1"}
    found = built("where-to-let-it-go", "0V1.setting", bar * BAR, letters, W1=mass)
    both = moved(posed("where-to-let-it-go"), "0P1", "0P2") / cap(posed("where-to-let-it-go").rig)
    assert (found["v"] < 0.9 * both) == slow
    assert (found["P1"] + found["P2"] > 2000) == weak
    assert slow or 0.9 * bar < found["p"] / BAR < bar
    assert judge(posed("where-to-let-it-go"), f"{bar} bar").right == (not slow and not weak)


@pytest.mark.soak
@pytest.mark.parametrize(("millimetres", "takes_too_much"), [(16, True), (19, False), (25, False)])
def test_a_suction_hose_that_is_right_takes_no_more_than_it_may(millimetres: int, takes_too_much: bool) -> None:
    found = built("bore-of-a-suction-hose", "0Z3.bore", millimetres / 1000, {"l": "own 0Z3.drop"})
    assert (found["l"] > 0.1 * BAR) == takes_too_much
    assert judge(posed("bore-of-a-suction-hose"), f"{millimetres} mm").right == (not takes_too_much)


def test_what_would_do_and_is_not_made_is_told() -> None:
    found = judge(posed("choose-the-bore"), "70 mm")
    assert (found.right, found.text) == (False, "70.0 mm would do, but nobody makes it: take 63 mm, 80 mm.")
    assert found.read == "55.5 mm to 86.1 mm"
