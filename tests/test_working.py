"""Each working, worked out from the terms it shows, gives what the engine has found: in both unit systems."""

from __future__ import annotations

import math
from collections.abc import Iterator
from functools import lru_cache

import pytest
from cases import first
from ledgers import book_of
from working_scenes import RIGS, instants, rig_of

from trainer import units
from trainer.energy.books import FlowBook
from trainer.engine.network import Network
from trainer.engine.readings import Readings
from trainer.formula import Working, evaluate, parse
from trainer.parts import CATALOGUE
from trainer.parts.part import Kind
from trainer.rig.rig import Rig
from trainer.units import System
from trainer.working import Subject, about, covered_by, hidden, title, workings

# What leaves out what nobody would see, or bends where a law is rounded; the rest agrees to the last digits.
_ROUNDED = {
    "Where its oil goes": 1e-3,  # terms below 1e-4 of it are left out
    "Oil that comes to": 1e-3,
    "Flow through": 2e-5,  # a leak below 1e-5 of it is left out
    "Drop through": 4e-5,
    "Heat that goes into the oil": 1e-6,  # parts below a microwatt are left out
    "Flow past the spool": 2e-5,
    "Drop past the spool": 4e-5,
    "Drop of the filter": 2e-4,  # its law is bent within 0.001 bar of zero
    "Drop of the cooler": 2e-4,
    "Drop of the strainer": 2e-3,  # bent as that of the filter, by 1e-3 bar, and here it is 0.03 bar
}


@lru_cache(maxsize=len(RIGS))
def opened(name: str) -> tuple[tuple[Rig, Readings, Working], ...]:
    """Return every working of parts, lines and ledgers at every instant of a run."""
    return tuple(_opened(name))


def _opened(name: str) -> Iterator[tuple[Rig, Readings, Working]]:
    rig = rig_of(name)
    for now in instants(name):
        for working in workings(rig, now):
            yield rig, now, working
        for entry in entries(now):
            for working in about(rig, now, Subject("ledger", entry), book_of(now.network)):
                yield rig, now, working


def entries(now: Readings) -> list[str]:
    """Return the ids of all entries of both ledgers, and of the ledgers."""
    book = book_of(now.network)
    ledgers = (book.ledger(now), book.power.ledger(now))
    return [ledger.id for ledger in ledgers] + [one.id for ledger in ledgers for one in ledger.entries]


def agrees(working: Working, system: System) -> bool:
    """Return whether a working's terms give its result, as closely as its formula is the model's law."""
    relative = next((r for start, r in _ROUNDED.items() if working.name.startswith(start)), 1e-9)
    if working.result.refers_to and working.result.refers_to[0][0] == "ledger":
        relative = 2e-4  # of what is summed: small entries are left out
    alike = (abs(t.value) for t in working.terms if t.quantity == working.result.quantity)
    allowed = relative * max([abs(working.result.value), *alike]) + 1e-12 * working.result.unit(system).factor
    return abs(working.value(system) - working.result.value) <= allowed


@pytest.mark.parametrize("system", [System.US, pytest.param(System.METRIC, marks=pytest.mark.soak)])
@pytest.mark.parametrize("name", first(2, (RIGS[0], RIGS[2], RIGS[1])))
def test_workings_agree_with_the_engine(name: str, system: System) -> None:
    """To 1e-9 where the formula is the model's law; where it leaves something out, within what is printed."""
    count = 0
    for _, now, working in opened(name):
        what = f"{working.part}: {working.name} at {now.time:.2f} s, {working.lines(system)}"
        assert agrees(working, system), what
        assert not working.differs(system), what
        count += 1
    assert count > 200


def on_paper(working: Working, system: System) -> tuple[float, float]:
    """Return a result worked out from the printed figures and constants, and what their rounding may make of it."""
    tree = working.tree(system)
    printed = {term.letter: term.figures(system)[0] for term in working.used(system)}
    numbers = {letter: float(text.replace("−", "-")) for letter, text in printed.items()}
    value = evaluate(tree, numbers, float)
    slack = abs(evaluate(tree, numbers) - value)  # shop constants are printed with four figures
    for letter, text in printed.items():
        half = 0.5 * 10.0 ** -len(text.partition(".")[2])
        moved = [evaluate(tree, {**numbers, letter: numbers[letter] + way}, float) for way in (half, -half)]
        slack += max(abs(other - value) for other in moved)
    return value, slack


@pytest.mark.parametrize("system", System)
@pytest.mark.parametrize("name", first(2, (RIGS[0], RIGS[2], RIGS[1])))
def test_what_is_printed_can_be_checked_on_paper(name: str, system: System) -> None:
    """The figures that are shown, put into the formula that is shown, give the result that is shown."""
    checked = skipped = 0
    for _, now, working in opened(name):
        value, slack = on_paper(working, system)
        shown = working.found(system).figures(system)[0]
        if not math.isfinite(slack) or slack > 0.2 * abs(value):
            skipped += 1  # something so small that its figures are rounded away
            continue
        result = float(shown.replace("−", "-"))
        last = 10.0 ** -len(shown.partition(".")[2])
        allowed = 1.3 * slack + 0.51 * last
        what = f"{working.part}: {working.name} at {now.time:.2f} s, {working.lines(system)}"
        assert value == pytest.approx(result, abs=allowed), what
        checked += 1
    assert checked > 1.5 * skipped


@pytest.mark.parametrize("name", first(2, (RIGS[0], RIGS[2], RIGS[1])))
def test_terms_and_formulas_belong_together(name: str) -> None:
    for _, _, working in opened(name):
        letters = [term.letter for term in working.terms]
        assert len(letters) == len(set(letters)), (working.part, working.name)
        assert working.result.letter not in letters, (working.part, working.name)
        used: set[str] = set()
        for system in System:
            left, _ = parse(working.words(system))
            assert left == working.result.letter
            used |= {term.letter for term in working.used(system)}
            words, filled, result = working.lines(system)
            assert words.startswith(f"{left} = ")
            assert filled.startswith(f"{left} = ")
            assert result.startswith(f"{left} = ")
        assert used == set(letters), (working.part, working.name)
        assert all(term.source for term in (*working.terms, working.result)), (working.part, working.name)


@pytest.mark.parametrize("name", first(2, (RIGS[0], RIGS[2], RIGS[1])))
def test_names_are_told_apart(name: str) -> None:
    rig = rig_of(name)
    for now in instants(name):
        for subject in [Subject("part", id_) for id_ in rig.parts] + [Subject("line", line) for line in rig.lines]:
            keys = [(working.part, working.name) for working in about(rig, now, subject)]
            assert len(keys) == len(set(keys)), subject


@pytest.mark.soak
def test_every_part_of_the_three_rigs_is_opened() -> None:
    """That a part of the catalogue has workings at all is the battery's; these three rigs have nearly all of it."""
    fitted = {part.part.__name__ for name in RIGS for part in rig_of(name).parts.values()}
    met = {
        rig.parts[working.part].part.__name__
        for name in RIGS
        for rig, _, working in opened(name)
        if working.part in rig.parts
    }
    assert met == fitted
    assert len(met) >= 23
    assert met <= set(CATALOGUE)


@pytest.mark.parametrize("name", first(2, (RIGS[0], RIGS[2], RIGS[1])))
def test_every_part_line_and_instrument_can_be_opened_at_some_instant(name: str) -> None:
    rig = rig_of(name)
    silent = {
        (kind, one)
        for kind, group in (("part", rig.parts), ("line", rig.lines), ("instrument", rig.instruments))
        for one in group
        if not any(about(rig, now, Subject(kind, one)) for now in instants(name))
    }
    tanks = {line.name for line in rig.lines.values() if any(rig.parts[id_].part.symbol == "reservoir"
                                                             for id_, _ in line.joins)}  # fmt: skip
    assert silent <= {("line", line) for line in tanks}  # at zero there is nothing to work out


def test_unknown_subjects_have_no_workings() -> None:
    rig, now = rig_of(RIGS[0]), instants(RIGS[0])[0]
    for subject in (Subject("part", "9X9"), Subject("line", "?"), Subject("ledger", "nothing"), Subject("", "")):
        assert about(rig, now, subject) == []


# -- what a teacher shows first ---------------------------------------------------------------------------------


def lifting() -> tuple[Rig, Readings]:
    """Return the loader with 250 kg, its boom going up at 60 %."""
    return rig_of(RIGS[1]), instants(RIGS[1])[2]


@pytest.mark.parametrize(
    ("subject", "first"),
    [
        (Subject("part", "3A1"), "Force on the rod"),
        (Subject("part", "3A1", "speed"), "Speed out"),
        (Subject("part", "0P1"), "Delivery of the pump"),
        (Subject("part", "0P1", "flow", "P"), "Delivery of the pump"),
        (Subject("line", "A3"), "Asked for by 3A1 boom"),
        (Subject("line", "pump"), "All drops up to the load"),
        (Subject("line", "B3"), "All drops on the way to the tank"),
        (Subject("line", "engine", "shaft speed"), "Speed with its governor"),
        (Subject("instrument", "Q1"), "Delivery of the pump"),
        (Subject("instrument", "P1"), "All drops up to the load"),
        (Subject("part", "0Z2", "flow", "1"), "Oil that comes to 0Z2"),
        (Subject("part", "2A1", "torque"), "Torque of the motor"),
        (Subject("part", "3V1"), "Flow P to A"),
        (Subject("ledger", "power.into.1W1.height"), "What it is made of"),
        (Subject("ledger", "flow.to.3V1.3A1.A"), "Flow P to A"),
    ],
)
def test_first_working(subject: Subject, first: str) -> None:
    rig, now = lifting()
    found = about(rig, now, subject)
    assert found[0].name == first
    if subject.figure:
        assert found[0].result.quantity == subject.figure


def test_neutral_pressure_is_the_sum_of_the_drops() -> None:
    """All spools centred: the gauge between the banks sees four bypasses, filter and cooler, and nothing else."""
    rig, now = rig_of(RIGS[1]), instants(RIGS[1])[0]
    (working, *_) = about(rig, now, Subject("line", "banks"))
    assert [term.source.split(": ")[0] for term in working.terms] == [
        "over 2V1 slew", "over 3V1 boom", "over 4V1 stick", "over 5V1 grapple", "over 0Z2", "over 0Z3",
    ]  # fmt: skip
    assert sum(term.value for term in working.terms) == pytest.approx(now.pressure("banks"), rel=1e-9)


@pytest.mark.soak
def test_titles() -> None:
    loader, bench = rig_of(RIGS[1]), rig_of(RIGS[0])
    told = [
        (loader, Subject("part", "3A1"), "Boom cylinder 3A1"),
        (loader, Subject("part", "3V1"), "Boom section 3V1"),
        (loader, Subject("part", "0V1"), "Relief valve 0V1"),
        (loader, Subject("part", "2A1"), "Slew motor 2A1"),
        (bench, Subject("part", "1A1"), "Lift cylinder 1A1"),
        (loader, Subject("line", "A3"), "Boom, cap end"),
        (loader, Subject("line", "engine"), "Diesel engine shaft"),
        (loader, Subject("line", "boom"), "Boom rod"),
        (loader, Subject("instrument", "P1"), "Gauge P1"),
        (loader, Subject("ledger", "power.pump"), "Pump losses"),
    ]
    assert [title(rig, subject, FlowBook(Network(rig))) for rig, subject, _ in told] == [
        words for _, _, words in told
    ]


# -- covers -----------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", RIGS[:2])
def test_a_covered_gauge_hides_exactly_its_pressure(name: str) -> None:
    """No term or result with the pressure of a hidden line stays open; nothing that tells no such pressure goes."""
    rig = rig_of(name)
    lines = [line.name for line in rig.lines_of_kind(Kind.OIL)]
    for now in instants(name):
        for line in lines[:6]:
            covered = covered_by(rig, [], {line})
            for working in workings(rig, now):
                gone = hidden(working, covered)
                for term in (*working.terms, working.result):
                    refers_to = any(tell == ("pressure", line) for tell in term.refers_to)
                    assert (term.letter in gone) == refers_to
                    if term.quantity == "pressure" and abs(term.value) > 1e3:
                        same = math.isclose(term.value, now.pressure(line), rel_tol=1e-12)
                        assert not same or refers_to or _equal_elsewhere(rig, now, line), (working.name, term)


def _equal_elsewhere(rig: Rig, now: Readings, line: str) -> bool:
    """Return whether another line happens to have the very same pressure."""
    return sum(math.isclose(now.pressure(other.name), now.pressure(line), rel_tol=1e-12)
               for other in rig.lines_of_kind(Kind.OIL)) > 1  # fmt: skip


def test_covers_of_every_kind_of_instrument() -> None:
    rig, now = lifting()
    (force, *_) = about(rig, now, Subject("part", "3A1"))
    assert hidden(force, covered_by(rig, ["P1"], {"pump", "banks", "G3", "A3"})) == {"pA"}
    (delivery, *_) = about(rig, now, Subject("part", "0P1"))
    assert hidden(delivery, covered_by(rig, ["Q1"], ())) == {"q"}
    assert hidden(delivery, covered_by(rig, ["n1"], ())) == {"n"}
    bench = rig_of(RIGS[0])
    walls = next(w for w in workings(bench, instants(RIGS[0])[0]) if w.name == "Heat that the tank gives to the air")
    assert hidden(walls, covered_by(bench, ["T1"], ())) == {"θ"}
    sums = about(rig, now, Subject("ledger", "power.pump"))
    assert hidden(sums[0], covered_by(rig, ["P1"], ())) == {term.letter for term in (*sums[0].terms, sums[0].result)}
    assert hidden(sums[0], covered_by(rig, ["Q1"], ())) == frozenset()


# -- handbooks --------------------------------------------------------------------------------------------------


def worked(words: str, **numbers: float) -> float:
    """Return what a formula makes of numbers, with the constants as they are counted."""
    return evaluate(parse(words)[1], numbers)


def test_formulas_give_printed_answers() -> None:
    """Worked examples of two textbooks through the words that stand in the workings; numbers as in tests/truth.

    ESP: A. Esposito, Fluid Power with Applications, 6th ed.; SUL: J. Sullivan, Fluid Power, 4th ed.
    """
    assert worked("P = p · q / 1714", p=2000.0, q=5.0) == pytest.approx(5.83, rel=1e-3)  # SUL Ex 2.7
    assert worked("P = p · q / 600", p=150.0, q=26.7) / 0.85 == pytest.approx(7.85, rel=1e-3)  # a pump guide, P05
    assert worked("T = Δp · V / 62.8", Δp=70.0, V=82.0) == pytest.approx(91.4, rel=1e-3)  # ESP Ex 7-5
    assert 12 * worked("T = Δp · V / 75.4", Δp=1000.0, V=5.0) == pytest.approx(795.0, rel=1.5e-3)  # ESP Ex 7-2
    assert worked("P = T · n / 9549", T=65.9, n=1450.0) == pytest.approx(10.0, rel=1e-3)  # ESP Ex 3-16
    assert worked("P = T · n / 5252", T=61.27, n=500.0) == pytest.approx(5.83, rel=1e-3)  # SUL Ex 2.8
    assert worked("n = q · 231 / V", q=7.5, V=2.0) == pytest.approx(866.25, rel=1e-6)  # SUL Ex 9.2
    assert worked("η = q · 231 · 100 / ( V · n )", q=52.0, V=3.75, n=3300.0) == pytest.approx(97.067, rel=1e-4)  # SUL
    assert worked("F = p · A", p=1500.0, A=12.57) == pytest.approx(18855.0, rel=1e-6)  # SUL Ex 1.1
    speed = worked("v = q · 231 / ( 60 · A )", q=20.0, A=math.pi)  # ESP Ex 6-1, C10: 2.05 ft/s from a 2 in bore
    assert speed / 12 == pytest.approx(2.05, rel=5e-3)
    assert worked("v = 0.4085 · q / d²", q=30.0, d=0.7828) == pytest.approx(20.0, rel=1e-3)  # ESP Ex 10-1
    assert worked("v = 21.22 · q / d²", q=60.0, d=30.0) == pytest.approx(1.41, rel=4e-3)  # ESP Ex 3-14
    flow = worked("q = 37.98 · Cd · A · √( Δp / SG )", Cd=0.8, A=math.pi / 4, Δp=100.0, SG=0.9)
    assert flow == pytest.approx(252.0, rel=5e-3)  # ESP Ex 8-4
    assert worked("q = 26.83 · Cd · A · √( Δp / ρ )", Cd=0.8, A=506.7, Δp=6.895, ρ=899.6) * 0.26417 == pytest.approx(
        252.0, rel=5e-3
    )  # the same in metric units
    assert worked("Re = 3163 · q / ( d · ν )", q=10 * math.pi * 0.25 / 0.32083, d=1.0, ν=100.0) == pytest.approx(
        774.0, rel=5e-4
    )  # ESP Ex 4-1: 10 ft/s in a 1 in bore
    cracking = worked("pc = c · y / A", c=2500.0, y=0.2, A=0.75)  # ESP Ex 8-1
    full = worked("pf = c · ( y + h ) / A", c=2500.0, y=0.2, h=0.1, A=0.75)
    assert (cracking, full) == pytest.approx((667.0, 1000.0), rel=1e-3)
    power = 1000.0 * 10.0 / 1714
    warm = worked("θ = θ0 + P · 317.2 / ( ρ · q · c )", θ0=120.0, P=power, ρ=7.42 * 7.4805, q=10.0, c=0.42)
    assert warm == pytest.approx(127.9, abs=0.1)  # ESP Ex 11-2
    drop = worked("Δp = λ · L · ρ · v² / ( 772.2 · d )", λ=0.0230, L=100.0, ρ=0.815 * 62.4, v=11.47, d=2.067)
    assert drop == pytest.approx(9.65, rel=5e-3)  # Crane TP-410, problem 7-13: 2 gal/s in 2 in schedule 40


def test_units_of_the_terms_are_those_of_the_table() -> None:
    met = set()
    for name in RIGS:
        for _, _, working in opened(name):
            for term in (*working.terms, working.result):
                for system in System:
                    unit = term.unit(system)
                    assert unit is units.unit(unit.symbol)
                    met.add(unit.pretty)
    assert met >= {"mm²", "bar", "psi", "gpm", "L/min", "kN", "lbf", "cP", "kW", "hp", "r/min"}
