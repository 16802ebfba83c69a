"""Marking: options with reasons, numbers in any unit and the slips behind them, order, places, names, paths, words.

Numbers are those of the bench: 255 kg on 40 mm of piston are 19.9 bar (F / A, textbook), read as 25.0 with friction,
lines and edges.
"""

from __future__ import annotations

import pytest
from bench_lessons import LIFT, a_lesson, opener, shipped, the_lesson

from trainer.lessons.lesson import Names, Scale
from trainer.lessons.marking import ReliefWork, SheetReading, UnusableAnswer, as_written, judge, read_number, written
from trainer.lessons.posing import RIGHT, Posed
from trainer.units import System

NUMBER = """kind = "number"
words = "What does the gauge show?"
answer = "p"
scale = "P1"
"""


def posed(question: str, rest: str = "", hands: str = "0, 0\\n0.3, 60", slips: str = "") -> Posed:
    return opener().open(a_lesson(question, rest, hands, slips), "task", 0)


@pytest.fixture(scope="module")
def lift() -> Posed:
    return opener().open(the_lesson(), "lift", 0)


@pytest.fixture(scope="module")
def number() -> Posed:
    slips = 'S37 = "14.5 * p"\nS1 = "2 * p"'
    return opener().open(a_lesson(NUMBER, slips=slips), "task", 0)


def test_a_choice_with_the_right_reason_is_right(lift: Posed) -> None:
    found = judge(lift, RIGHT, RIGHT)
    assert found.whole
    assert (found.slip, found.text) == ("", "25.0 bar lifts it.")


def test_a_wrong_option_gets_its_own_explanation(lift: Posed) -> None:
    found = judge(lift, "S1", "S1")
    assert not found.right
    assert found.slip == "S1"
    assert found.text.startswith("50.0 bar is the most the relief lets through")
    assert (found.said, found.read, found.apart) == ("about 50 bar", "25 bar", "25 bar")


def test_a_right_number_with_a_slips_reason_keeps_its_own_text(lift: Posed) -> None:
    """What is wrong about another idea is told after it, with the reason."""
    found = judge(lift, RIGHT, "S1")
    assert found.right
    assert not found.whole
    assert (found.slip, found.text) == ("S1", "25.0 bar lifts it.")


@pytest.mark.parametrize(
    ("written", "system", "said", "read", "apart"),
    [
        ("0.05", System.METRIC, "0.05 bar", "25.0 bar", "24.95 bar"),  # no needle tells it from nothing
        ("3", System.US, "3 psi", "363 psi", "360 psi"),
        ("40.26", System.METRIC, "40.26 bar", "25.0 bar", "15.26 bar"),
        ("580 psi", System.METRIC, "580 psi = 40.0 bar", "25.0 bar", "15.0 bar"),
    ],
)
def test_what_was_typed_is_shown_and_the_difference_is_that_of_the_figures_shown(
    number: Posed, written: str, system: System, said: str, read: str, apart: str
) -> None:
    found = judge(number, written, system=system)
    assert (found.said, found.read, found.apart) == (said, read, apart)


def test_options_are_shown_about_and_in_the_units_of_the_screen(lift: Posed) -> None:
    assert set(lift.option_words(System.METRIC).values()) == {"about 25 bar", "about 50 bar", "about 1.2 bar"}
    assert "about 725 psi" in lift.option_words(System.US).values()  # 50 bar


@pytest.mark.parametrize(
    ("written", "right", "slip", "said"),
    [
        ("25", True, "", "25.0 bar"),
        ("25,0", True, "", "25.0 bar"),
        ("25.9", True, "", "25.9 bar"),  # one error of the dial, 0.96 bar
        ("26.9", False, "", "26.9 bar"),
        ("362 psi", True, "", "362 psi = 25.0 bar"),
        ("2.5 MPa", True, "", "2.5 MPa = 25.0 bar"),
        ("50 bar", False, "S1", "50.0 bar"),
        ("49", False, "S1", "49.0 bar"),  # within 3 %
    ],
)
def test_a_number_is_taken_in_any_unit_and_its_slip_recognised(
    number: Posed, written: str, right: bool, slip: str, said: str
) -> None:
    found = judge(number, written)
    assert (found.right, found.slip, found.said) == (right, slip, said)


def test_a_number_of_psi_is_told_as_bar() -> None:
    """290 psi are 20.0 bar: 1 psi is 6894.76 Pa (NIST SP 811)."""
    value, told = read_number("290 psi", Scale("pressure", 60e5, 0.016, "P1"), System.METRIC)
    assert value == pytest.approx(290 * 6894.757, rel=1e-6)
    assert told == "290 psi = 20.0 bar"


@pytest.mark.parametrize(
    ("written", "tells"),
    [
        ("", "Write a reading first, such as 20."),
        ("about ten", "That is not a number."),
        ("9000", "The scale reads 0 to 60 bar."),
        ("900 psi", "900 psi = 62.1 bar. The scale reads 0 to 60 bar."),
        ("-5", "The scale reads 0 to 60 bar."),
        ("5 L/min", "is a flow"),
        ("nan", "That is not a number."),
        ("inf", "That is not a number."),
        ("5 furlongs", "furlongs"),
    ],
)
def test_what_is_no_answer_is_told(written: str, tells: str) -> None:
    with pytest.raises(UnusableAnswer) as caught:
        read_number(written, Scale("pressure", 60e5, 0.016, "P1"), System.METRIC)
    assert tells in str(caught.value)


def test_a_scale_ends_where_its_dial_does_in_these_units() -> None:
    """60 bar are 870 psi, and the numerals of the dial in psi end at 1000."""
    scale = Scale("pressure", 60e5, 0.016, "P1")
    assert read_number("950", scale, System.US)[0] == pytest.approx(950 * 6894.757, rel=1e-6)
    with pytest.raises(UnusableAnswer, match="The scale reads 0 to 1000 psi"):
        read_number("1010", scale, System.US)


def test_a_bare_number_is_in_the_unit_of_the_screen(number: Posed) -> None:
    assert judge(number, "363", system=System.US).right


ORDER = """kind = "order"
words = "In which order?"
apart = "1 bar"
[exercises.task.question.items]
pump = { words = "the pump's line", by = "p" }
rod = { words = "the rod", by = "1000000 * v" }
twice = { words = "twice the pump's line", by = "2 * p" }
"""


def test_what_is_put_in_order_stands_where_it_is_read_and_nowhere_if_two_do() -> None:
    """The rod is the cylinder that moves it; two things are told by the pump's line, so neither of them is."""
    places = posed(ORDER).item_places()
    assert places == {"rod": (("part", "1A1"), ("line", "rod1"))}


def test_an_order_is_that_of_its_readings() -> None:
    task = posed(
        ORDER, slips='own = { idea = "By name.", why = "That is by name.", order = ["pump", "rod", "twice"] }'
    )
    assert task.right == ("rod", "pump", "twice")
    assert judge(task, ["rod", "pump", "twice"]).right
    wrong = judge(task, ["pump", "rod", "twice"])
    assert (wrong.right, wrong.slip, wrong.text) == (False, "own", "That is by name.")
    assert wrong.share == pytest.approx(1 / 3)
    with pytest.raises(UnusableAnswer, match="each once"):
        judge(task, ["rod", "rod", "pump"])


PLACES = """kind = "place"
words = "Where?"
[exercises.task.question.places]
1V1 = { by = "1 * p" }
0V1 = { by = "0 * p", why = "It is shut." }
"""


def test_the_right_place_is_where_the_most_is_read() -> None:
    task = posed(PLACES)
    assert judge(task, "1V1").right
    wrong = judge(task, "0V1")
    assert (wrong.right, wrong.text, wrong.read) == (False, "It is shut.", "section 1V1")
    assert not judge(task, "0Z2").right
    with pytest.raises(UnusableAnswer, match="Click a part"):
        judge(task, "9V9")


@pytest.mark.parametrize(
    ("role", "id_"),
    [("tank", "0Z1"), ("pump", "0P1"), ("relief", "0V1"), ("actuator", "1A1"), ("prime mover", "0M1")],
)
def test_a_part_is_found_by_what_it_is_for(role: str, id_: str) -> None:
    task = posed(f'kind = "place"\nwords = "Which?"\nrole = "{role}"')
    assert judge(task, id_).right
    assert not judge(task, "0Z2").right


def test_symbols_are_named_in_the_trades_words() -> None:
    task = posed(
        'kind = "names"\nwords = "Name them."\ncount = 5\nparts = ["0Z1", "0P1", "0V1", "1A1", "0Z2"]\nenough = 4'
    )
    good = {
        "0Z1": "Tank", "0P1": "a pump", "0V1": "pressure-relief valve", "1A1": "Double acting cylinders", "0Z2": "?",
    }  # fmt: skip
    found = judge(task, good)
    assert found.right
    assert found.share == pytest.approx(4 / 5)
    assert found.text == "4 of 5. 0Z2: filter, not ?"
    assert not judge(task, {"0Z1": "cooler"}).right


def test_a_line_that_is_to_be_named_goes_by_its_number_on_the_drawing() -> None:
    """Its id stands nowhere on the drawing; that of a part does."""
    task = posed('kind = "names"\nwords = "Name them."\nlines = { P1 = ["pump line"] }\nparts = ["0P1"]')
    number = task.asked.index("P1") + 1
    assert f"number {number}: pump line, not hose" in judge(task, {"P1": "hose", "0P1": "pump"}).text


def test_a_path_is_traced_to_where_it_is_to_go() -> None:
    task = posed('kind = "trace"\nwords = "Trace."\nto = "A1"', hands="0, 0\\n0.3, 100")
    assert judge(task, ["A1"]).right
    missed = judge(task, ["S", "A1"])
    assert not missed.right
    assert "draws its oil here" in missed.text


def test_own_words_are_kept_for_a_person() -> None:
    task = posed(
        'kind = "words"\nwords = "Why?"\nleast = 1\nideas = { load = ["weight", "load"], area = ["area", "piston"] }'
    )
    found = judge(task, "The weights push on it")
    assert found.right is None
    assert found.share == pytest.approx(0.5)
    assert "area" in found.text
    with pytest.raises(UnusableAnswer):
        judge(task, "  ")


RELIEF = """kind = "relief"
words = "Set it to 45 bar."
part = "0V1"
instrument = "P1"
target = "45 bar"
within = "1 bar"
"""


@pytest.mark.parametrize(
    ("work", "right", "tells"),
    [
        (ReliefWork(44.5e5, True, True, True, 8.0), True, "So it is."),
        (ReliefWork(49e5, True, True, True, 8.0), False, "Bring it to 45.0 bar"),
        (ReliefWork(45e5, False, True, True, 8.0), False, "with all the oil over it"),
        (ReliefWork(45e5, True, False, True, 8.0), False, "Back the screw off first"),
        (ReliefWork(45e5, True, True, False, 8.0), False, "lock-nut"),
        (ReliefWork(45e5, True, True, True, 30.0), False, "no longer than 10 s"),
    ],
)
def test_a_relief_is_set_step_by_step(work: ReliefWork, right: bool, tells: str) -> None:
    found = judge(posed(RELIEF), work)
    assert found.right is right
    assert tells in found.text


def test_a_reading_counts_where_speed_oil_and_lever_are_as_the_sheet_asks() -> None:
    task = posed('kind = "counts"\nwords = "Read neutral."\ninstrument = "P1"')
    before, after = task.instants()
    read = before.pressure("P1")
    taken = SheetReading.taken(task.rig, before, "P1", read)
    assert judge(task, taken).right
    assert judge(task, as_written(task.exercise.question, written(taken))) == judge(task, taken)  # after a crash
    still = judge(task, SheetReading.taken(task.rig, before, "P1", read, resting=False))
    assert not still.right
    assert "still moving" in still.text
    wrong = judge(task, SheetReading.taken(task.rig, after, "P1", after.pressure("P1")))  # the lever stands at 60 %
    assert not wrong.right
    assert "lever" in wrong.text


def test_the_situation_has_its_numbers_in_the_units_of_the_screen() -> None:
    task = opener().open(the_lesson(LIFT), "lift", 0)
    assert "255 kg" in task.situation(System.METRIC)
    assert "562 lb" in task.situation(System.US)


def test_twenty_of_the_symbols_of_a_whole_drawing_are_asked_parts_and_lines() -> None:
    """Which ones hangs on the seat; each may be named in two ways at least, with other letters and hyphens."""
    lesson = shipped()["02-symbols-and-paths"]
    seats = [opener().open(lesson, "name-the-symbols", seat) for seat in (1, 2)]
    question = seats[0].exercise.question
    assert isinstance(question, Names)
    assert len(question.terms) == 27  # 20 parts and 7 lines of the loader
    assert all(len(terms) >= 2 for terms in question.terms.values())
    assert [len(set(one.asked)) for one in seats] == [20, 20]
    assert set(seats[0].asked) != set(seats[1].asked)
    assert {kind for kind, _ in seats[0].asked_places} == {"part", "line"}
    said = {id_: f"The {question.terms[id_][1].upper()}" for id_ in seats[0].asked}
    assert judge(seats[0], said).said == "20 of 20"
    assert judge(seats[0], said).text == seats[0].exercise.why  # what is right is explained, not counted twice
    wrong = {**said, **dict.fromkeys(seats[0].asked[:4], "thing")}
    assert judge(seats[0], wrong).right
    assert not judge(seats[0], {**wrong, seats[0].asked[4]: ""}).right
