"""A working as a draw list: the formula, the same with this moment's values, the result, its terms in columns."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from functools import lru_cache

from trainer.drawing.shapes import Path, Shape, Words
from trainer.drawing.type_widths import text_width
from trainer.drawing.typeset import Box, Setter, covered, lettered, set_lines, worded
from trainer.formula import Term, Working, parse
from trainer.language import mark, tr
from trainer.units import System

__all__ = ["WorkingStyle", "broken_words", "working_view"]

_DIGIT, _POINT = "0", "."
_SYSTEMS = {System.METRIC: mark("The same in metric units"), System.US: mark("The same in US units")}


@dataclass(frozen=True, slots=True)
class WorkingStyle:
    """Sizes of a working [px]: the formula, what is filled in, the table; none of them below ``least``."""

    size: float = 28.0
    least: float = 0.0

    @property
    def formula(self) -> float:
        """Height of the formula's type."""
        return max(self.size, self.least)

    @property
    def filled(self) -> float:
        """Height of the type of the formula with its values."""
        return max(0.7 * self.size, self.least)

    @property
    def result(self) -> float:
        """Height of the result's type."""
        return max(0.95 * self.size, self.least)

    @property
    def table(self) -> float:
        """Height of the type of terms, and of all that is said in words."""
        return max(0.55 * self.size, self.least)

    @property
    def other(self) -> float:
        """Height of the type of the other unit system."""
        return max(0.58 * self.size, self.least)


def working_view(
    working: Working,
    system: System,
    width: float,
    style: WorkingStyle | None = None,
    hidden: Collection[str] = (),
    rooms: Mapping[tuple[str, System], int] | None = None,
) -> tuple[list[Shape], float]:
    """Return a working from (0, 0) on, ``width`` wide, and its height [px]; below it the other unit system, smaller.

    Figures of ``hidden`` letters are hatched. ``rooms`` keeps room for so many figures of a letter, so that nothing
    moves while a value runs.
    """
    style = style or WorkingStyle()
    page = _Page(working, width, style, frozenset(hidden), rooms or {})
    shapes, y = page.formula(system, style.formula, 0.0)
    more, y = page.filled(system, style.filled, y + 0.35 * style.formula, "ink")
    shapes += more
    more, y = page.result(system, style.result, y + 0.35 * style.formula)
    shapes += more
    more, y = page.table(system, y + 0.5 * style.formula)
    shapes += more
    if working.differs(system) and working.result.letter not in hidden:
        said = tr("The model has found {shown}: something else acts too.").format(shown=working.result.shown(system))
        more, y = page.said(said, y + 0.3 * style.table, "ink")
        shapes += more
    if working.note:
        more, y = page.said(working.note, y + 0.3 * style.table, "ink2")
        shapes += more
    y += 1.15 * style.table
    other = tr(_SYSTEMS[system.other])
    level, left = y - 0.35 * style.table, text_width(other, style.table) + 0.6 * style.table
    shapes.append(Path(((min(left, width), level), (width, level)), "hairline", 1.0))
    shapes.append(Words(0.0, y, other, style.table, "ink2"))
    y += 0.35 * style.table
    if working.words(system) != working.words(system.other):
        more, y = page.formula(system.other, style.other, y, "ink2")
        shapes += more
        y += 0.3 * style.other
    more, y = page.filled(system.other, style.other, y, "ink2")
    shapes += more
    more, y = page.result(system.other, style.other, y + 0.3 * style.other, "ink2")
    return [*shapes, *more], y


@dataclass(frozen=True, slots=True)
class _Page:
    """Sets the parts of one working from a height on; each returns its shapes and its lower edge."""

    working: Working
    width: float
    style: WorkingStyle
    hidden: frozenset[str]
    rooms: Mapping[tuple[str, System], int]

    def _figure(self, term: Term, system: System, size: float, ink: str = "ink", weight: int = 400) -> Box:
        """Return figures with their unit, hatched where they are hidden."""
        figures, unit = term.figures(system)
        room = self.rooms.get((term.letter, system), 0) - len(figures)
        wide = text_width(figures + _DIGIT * max(room, 0), size, weight)
        if term.letter in self.hidden:
            return covered(max(wide, 1.6 * size), size, unit)
        number = worded(figures, size, ink, weight)
        small = max(0.82 * size, self.style.least)
        gap = 0.22 * size if unit and unit != "%" else (0.12 * size if unit else 0.0)
        parts = [(wide - number.width, 0.0, shape) for _, _, shape in number.parts]
        if unit:
            parts.append((wide + gap, 0.0, Words(0.0, 0.0, unit, small, "ink2")))
        width = wide + gap + (text_width(unit, small) if unit else 0.0)
        if not figures.startswith("−"):
            return Box(width, number.up, number.down, tuple(parts))
        bracket = text_width("(", size)
        inner = [(bracket + x, y, shape) for x, y, shape in parts]
        ends = [(0.0, 0.0, Words(0.0, 0.0, "(", size, ink)), (bracket + width, 0.0, Words(0.0, 0.0, ")", size, ink))]
        return Box(width + 2 * bracket, number.up, number.down, (ends[0], *inner, ends[1]))

    def formula(self, system: System, size: float, y: float, ink: str = "ink") -> tuple[list[Shape], float]:
        """Set the formula as it is written."""
        return set_lines(_written(self.working.words(system), self.width, size, ink, self.style.least), y, size)

    def filled(self, system: System, size: float, y: float, ink: str) -> tuple[list[Shape], float]:
        """Set the formula with its values and units."""
        terms = {term.letter: term for term in self.working.terms}

        def letter(name: str, height: float) -> Box:
            return self._figure(terms[name], system, height, ink)

        setter = Setter(size, letter, ink, self.style.least, filled=True)
        left = lettered(self.working.result.letter, size, ink, self.style.least)
        return set_lines(setter.lines(left, self.working.tree(system), self.width), y, size)

    def result(self, system: System, size: float, y: float, ink: str = "ink") -> tuple[list[Shape], float]:
        """Set the result."""
        found = self.working.found(system)
        setter = Setter(size, worded, ink, self.style.least)
        left = lettered(found.letter, size, ink, self.style.least)
        box = self._figure(found, system, size, ink, 600)
        if found.letter not in self.hidden and found.figures(system)[0].startswith("−"):
            figures, unit = found.figures(system)
            box = worded(f"{figures} {unit}".rstrip(), size, ink, 600)
        return set_lines([setter.equation(left, box)], y, size)

    def table(self, system: System, y: float) -> tuple[list[Shape], float]:
        """Set the terms in columns: letter, value, where it comes from."""
        size = self.style.table
        terms = self.working.used(system)
        shown = [term.figures(system) for term in terms]
        digits = [max(len(figures), self.rooms.get((term.letter, system), 0)) for term, (figures, _) in
                  zip(terms, shown, strict=True)]  # fmt: skip
        first = max(text_width(term.letter, size, 600) for term in terms) + 0.9 * size
        wide = max(text_width(_DIGIT * (count - 1) + _POINT, size) for count in digits)
        unit_x = first + wide + 0.3 * size
        source_x = unit_x + max(text_width(unit, size) for _, unit in shown) + 1.0 * size
        shapes: list[Shape] = []
        for term, (figures, unit) in zip(terms, shown, strict=True):
            lines = broken_words(term.source, self.width - source_x, size)
            y += 1.0 * size
            shapes += lettered(term.letter, size, "ink", self.style.least).shapes(0.0, y)
            if term.letter in self.hidden:
                shapes += covered(wide, size, "").shapes(unit_x - 0.3 * size - wide, y)
            else:
                shapes.append(Words(unit_x - 0.3 * size, y, figures, size, align="right"))
            shapes.append(Words(unit_x, y, unit, size, "ink2"))
            shapes += [Words(source_x, y + 1.15 * size * k, line, size, "ink2") for k, line in enumerate(lines)]
            y += 1.15 * size * (len(lines) - 1) + 0.4 * size
        return shapes, y

    def said(self, words: str, y: float, ink: str) -> tuple[list[Shape], float]:
        """Set a sentence."""
        size = self.style.table
        shapes: list[Shape] = []
        for line in broken_words(words, self.width, size):
            y += 1.2 * size
            shapes.append(Words(0.0, y, line, size, ink))
        return shapes, y + 0.2 * size


@lru_cache(maxsize=64)
def _written(words: str, width: float, size: float, ink: str, least: float) -> list[Box]:
    """Return a formula as it is written, in lines."""

    def letter(name: str, height: float) -> Box:
        return lettered(name, height, ink, least)

    left, tree = parse(words)
    return Setter(size, letter, ink, least).lines(letter(left, size), tree, width)


def broken_words(words: str, width: float, size: float, weight: int = 400) -> list[str]:
    """Return words in lines no wider than ``width`` [px], where that can be."""
    lines: list[str] = []
    for word in words.split():
        if lines and text_width(f"{lines[-1]} {word}", size, weight) <= width:
            lines[-1] += f" {word}"
        else:
            lines.append(word)
    return lines or [""]
