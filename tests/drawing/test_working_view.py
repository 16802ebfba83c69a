"""A working as it is set: in the width that it is given, nothing over anything else, covered values gone."""

from __future__ import annotations

import re
from collections.abc import Iterator

import pytest
from approved_lists import check
from cases import first
from working_scenes import RIGS, instants, rig_of

from trainer.drawing.shapes import Path, Shape, Words
from trainer.drawing.type_widths import text_width
from trainer.drawing.typeset import Setter, lettered, set_lines, worded
from trainer.drawing.working_view import WorkingStyle, broken_words, working_view
from trainer.formula import Term, Working, parse
from trainer.units import System
from trainer.working import workings

PANE = 448.0  # board px
STYLES = {
    "pane": (WorkingStyle(30.0), PANE),
    "small pane on a small screen": (WorkingStyle(18.5, 18.0), PANE),
    "projector": (WorkingStyle(76.0, 32.0), 1860.0),
}


def every() -> Iterator[Working]:
    """Yield every working of every rig at some instants of its run: neutral, lifting, lowering, at a relief."""
    for name in RIGS:
        for now in instants(name)[:: 4 if name == RIGS[1] else 3]:
            yield from workings(rig_of(name), now)


def boxes(shapes: list[Shape]) -> list[tuple[str, float, float, float, float]]:
    """Return (text, left, top, right, bottom) of all words: from a capital's top to the baseline."""
    found = []
    for shape in shapes:
        if isinstance(shape, Words):
            wide = text_width(shape.text, shape.size, shape.weight)
            left = shape.x - (wide if shape.align == "right" else 0.0)
            found.append((shape.text, left, shape.y - 0.6 * shape.size, left + wide, shape.y))
    return found


@pytest.mark.soak
@pytest.mark.parametrize("system", [System.US, pytest.param(System.METRIC, marks=pytest.mark.soak)])
@pytest.mark.parametrize("style", first(2, reversed(STYLES)))
def test_every_working_has_room(style: str, system: System) -> None:
    """No word leaves the width, none lies on another, none is smaller than the least."""
    look, width = STYLES[style]
    for working in every():
        shapes, height = working_view(working, system, width, look)
        words = boxes(shapes)
        what = f"{working.part}: {working.name}"
        assert min(left for _, left, *_ in words) >= -0.5, what
        assert max(right for *_, right, _ in words) <= width + 0.5, what
        assert max(bottom for *_, bottom in words) <= height, what
        assert min(shape.size for shape in shapes if isinstance(shape, Words)) >= look.least, what
        ordered = sorted(words, key=lambda box: box[2])
        for k, (text, left, top, right, bottom) in enumerate(ordered):
            for other, x0, y0, x1, y1 in ordered[k + 1 :]:
                if y0 >= bottom:
                    break
                apart = x0 >= right - 0.6 or x1 <= left + 0.6 or y0 >= bottom - 0.6 or y1 <= top + 0.6
                assert apart, f"{what}: '{text}' and '{other}'"


@pytest.mark.soak
@pytest.mark.parametrize("system", System)
def test_both_systems_stand_on_it(system: System) -> None:
    """The chosen system's result first and larger, the other one's below and smaller."""
    for working in every():
        shapes, _ = working_view(working, system, PANE)
        sizes = {}
        for which in System:
            figures, unit = working.found(which).figures(which)
            found = [s for s in shapes if isinstance(s, Words) and s.text.startswith(figures) and s.weight == 600]
            assert found, (working.name, figures, unit)
            sizes[which] = max((s.size, -s.y) for s in found)
        assert sizes[system] >= sizes[system.other], working.name


@pytest.mark.parametrize(("system", "head"), [(System.US, "metric"), (System.METRIC, "US")])
def test_the_other_system_is_called_by_its_name(system: System, head: str) -> None:
    """Its rows stand below a line and below what they are: the same in other units."""
    shapes = working_view(next(every()), system, PANE)[0]
    line = max(shape.points[0][1] for shape in shapes if isinstance(shape, Path) and shape.ink == "hairline")
    below = [shape for shape in shapes if isinstance(shape, Words) and shape.y > line]
    assert below[0].text == f"The same in {head} units"
    assert below[0].y == min(shape.y for shape in below)


@pytest.mark.soak
def test_terms_stand_in_columns() -> None:
    """Letter, value, source: every term of the formula once, in its order."""
    for working in every():
        shapes, _ = working_view(working, System.METRIC, 2000.0)
        sources = [s.text for s in shapes if isinstance(s, Words) and s.ink == "ink2"]
        wanted = [term.source for term in working.used(System.METRIC)]
        assert [text for text in sources if text in wanted][: len(wanted)] == wanted


@pytest.mark.parametrize("each", first(1, [16, 1]))
def test_covered_values_are_not_on_it(each: int) -> None:
    """What is hidden leaves no figure behind, in neither system; its unit and its letter stay."""
    for working in [*workings(rig_of(RIGS[1]), instants(RIGS[1])[3])][::each]:  # two levers
        for term in (*working.used(System.METRIC), working.result):
            shapes, _ = working_view(working, System.METRIC, PANE, None, {term.letter})
            others = [t for t in (*working.terms, working.result) if t.letter != term.letter]
            shown = {t.figures(system)[0] for t in others for system in System}
            shown |= {working.found(system).figures(system)[0] for system in System if term is not working.result}
            for system in System:
                figures, unit = term.figures(system)
                if term not in (*working.used(system), working.result):
                    continue
                if figures in shown or any(figures in words for words in working.formulas):
                    continue
                told = [s.text for s in shapes if isinstance(s, Words)]
                assert figures not in told, (working.name, term.letter)
                assert not unit or unit in told
            assert any(isinstance(s, Path) and s.hatch == "cover-hatch" for s in shapes)


def test_running_values_move_nothing() -> None:
    """With room kept for the longest figures, a shorter one leaves everything else where it is."""

    def force(pressure: float) -> Working:
        terms = (Term("p", pressure, "pressure", "line A3"), Term("A", 50e-4, "area", "piston"))
        words = ("F = p · A / 100", "F = p · A")
        return Working("3A1", "Force", Term("F", pressure * 50e-4, "force", "rod"), terms, words)

    rooms = {("p", system): 5 for system in System} | {("F", system): 6 for system in System}
    far, near = (working_view(force(p), System.METRIC, PANE, None, (), rooms)[0] for p in (123.4e5, 7.8e5))
    places = [[(s.x, s.y) for s in shapes if isinstance(s, Words) and not re.match(r"\d", s.text)]
              for shapes in (far, near)]  # fmt: skip
    assert places[0] == places[1]


def test_what_a_formula_leaves_out_is_said() -> None:
    terms = (Term("p", 80e5, "pressure", "line A3"), Term("A", 50e-4, "area", "piston"))
    words = ("F = p · A / 100", "F = p · A")
    for found, said in ((40e3, False), (42e3, True)):
        working = Working("3A1", "Force", Term("F", found, "force", "rod"), terms, words)
        told = " ".join(s.text for s in working_view(working, System.METRIC, PANE)[0] if isinstance(s, Words))
        assert ("The model has found 42.00 kN" in told) == said


def test_long_lines_break_before_a_sign() -> None:
    """A sum too long for one line goes on under its right-hand side, and begins with its sign."""
    _, tree = parse("p = " + " + ".join(f"Δp{k}" for k in range(1, 15)))
    setter = Setter(28.0, lettered)
    lines = setter.lines(lettered("p", 28.0), tree, PANE)
    assert len(lines) > 1
    assert all(line.width <= PANE for line in lines)
    shapes, _ = set_lines(lines, 0.0, 28.0)
    second = [s for s in shapes if isinstance(s, Words) and s.y > lines[0].down + 28.0]
    assert min(second, key=lambda s: s.x).text == "+"
    equals = next(s for s in shapes if isinstance(s, Words) and s.text == "=")
    assert min(s.x for s in second) > equals.x


def test_a_fraction_too_wide_is_written_in_a_line() -> None:
    _, tree = parse("x = aaa · bbb · ccc · ddd / ( eee · fff · ggg · hhh )")
    setter = Setter(28.0, lambda name, size: worded(name, size))
    whole = setter.box(tree, 28.0)
    assert sum(isinstance(s, Path) for *_, s in whole.parts) == 1  # its bar
    lines = setter.lines(worded("x", 28.0), tree, 0.7 * whole.width)
    assert all(line.width <= 0.7 * whole.width + 1e-6 for line in lines)
    texts = [s.text for line in lines for *_, s in line.parts if isinstance(s, Words)]
    assert "/" in texts
    assert texts[texts.index("/") + 1] == "("


def test_words_break_between_words() -> None:
    lines = broken_words("over 1V1 stabilisers: past the spool", 120.0, 15.4)
    assert " ".join(lines) == "over 1V1 stabilisers: past the spool"
    assert len(lines) > 1
    assert all(text_width(line, 15.4) <= 120.0 for line in lines)
    assert broken_words("", 100.0, 15.4) == [""]


def test_the_approved_working() -> None:
    """The force of the loader's boom cylinder as it lifts 250 kg, its rod end covered, in US units."""
    rig, now = rig_of(RIGS[1]), instants(RIGS[1])[2]
    working = next(w for w in workings(rig, now) if w.part == "3A1")
    steady = [
        Term(t.letter, float(f"{t.value:.2g}"), t.quantity, t.source, t.refers_to, t.units) for t in working.terms
    ]
    shown = Working(working.part, working.name, working.result, tuple(steady), working.formulas)
    found = Term("F", shown.value(System.METRIC), "force", "rod")
    shown = Working(shown.part, shown.name, found, shown.terms, shown.formulas, "A sentence below it.")
    check("working", working_view(shown, System.US, PANE, WorkingStyle(28.0), {"pB"})[0])
