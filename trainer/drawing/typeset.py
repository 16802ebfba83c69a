"""Formulas set like on a board: fractions with a bar, roots, indices, lines that break where one would breathe."""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from trainer.drawing.shapes import Path, Shape, Words
from trainer.drawing.type_widths import text_width
from trainer.formula import Fraction, Group, Letter, Logarithm, Node, Number, Power, Product, Root, Sum

__all__ = ["Box", "Setter", "covered", "lettered", "set_lines", "shifted", "worded"]

_CAP, _TAIL = 0.66, 0.2  # of the height of the type: above and below the baseline
_AXIS = 0.25  # where a fraction's bar stands above the baseline
_WHOLE = {"Re", "SG"}  # letters that have no index
_INDEX = re.compile(r"(Δ?.)(.*)")


@dataclass(frozen=True, slots=True)
class Box:
    """A set piece: its width, how far it reaches up and down [px], and its parts.

    A part is (x, y, shape): where the shape stands, from the box's left end on its baseline.
    """

    width: float
    up: float
    down: float
    parts: tuple[tuple[float, float, Shape], ...] = ()

    def shapes(self, x: float, y: float) -> list[Shape]:
        """Return its shapes, its left end on its baseline at a place [px]."""
        return [_moved(shape, x + across, y + down) for across, down, shape in self.parts]


def shifted(shapes: Sequence[Shape], x: float, y: float) -> list[Shape]:
    """Return words and paths moved."""
    return [_moved(shape, x, y) for shape in shapes]


def _moved(shape: Shape, x: float, y: float) -> Shape:
    if isinstance(shape, Words):
        return Words(shape.x + x, shape.y + y, shape.text, shape.size, shape.ink, shape.weight, shape.align)
    assert isinstance(shape, Path)
    points = tuple((a + x, b + y) for a, b in shape.points)
    return Path(points, shape.ink, shape.width, shape.fill, shape.closed, shape.dash, shape.hatch)


def worded(text: str, size: float, ink: str = "ink", weight: int = 400) -> Box:
    """Return one line of text."""
    parts = ((0.0, 0.0, Words(0.0, 0.0, text, size, ink, weight)),) if text else ()
    return Box(text_width(text, size, weight), _CAP * size, _TAIL * size, parts)


def lettered(name: str, size: float, ink: str = "ink", least: float = 0.0) -> Box:
    """Return a letter with its index below the line."""
    match = _INDEX.fullmatch(name)
    if name in _WHOLE or match is None or not match[2]:
        return worded(name, size, ink, 600)
    small = max(0.68 * size, least)
    return _row(
        [(worded(match[1], size, ink, 600), 0.0), (worded(match[2], small, ink, 600), 0.2 * size)], 0.02 * size
    )


def covered(width: float, size: float, unit: str) -> Box:
    """Return a hatched field in the place of figures ``width`` wide; their unit stays."""
    up, down = 0.72 * size, 0.1 * size
    field = ((0.0, -up), (width, -up), (width, down), (0.0, down))
    path = Path(field, "ink2", 1.0, "cover", closed=True, hatch="cover-hatch")
    hatched = Box(width, up, down, ((0.0, 0.0, path),))
    return _row([(hatched, 0.0), (worded(unit, size, "ink2"), 0.0)], 0.25 * size) if unit else hatched


def _row(boxes: Sequence[tuple[Box, float]], gap: float = 0.0) -> Box:
    """Return boxes side by side, each lowered by its second number [px]."""
    x, parts = 0.0, []
    for k, (box, low) in enumerate(boxes):
        x += gap if k else 0.0
        parts += _placed(box, x, low)
        x += box.width
    up = max(box.up - low for box, low in boxes)
    down = max(box.down + low for box, low in boxes)
    return Box(x, up, down, tuple(parts))


def _placed(box: Box, x: float, y: float) -> list[tuple[float, float, Shape]]:
    return [(x + across, y + down, shape) for across, down, shape in box.parts]


@dataclass(frozen=True, slots=True)
class Setter:
    """Sets trees at a height of type; ``letter`` gives what stands for a letter, ``least`` is the smallest type [px].

    ``ink`` colours signs and constants; ``filled``: values stand for the letters, so that a power needs brackets.
    """

    size: float
    letter: Callable[[str, float], Box]
    ink: str = "ink"
    least: float = 0.0
    filled: bool = False

    def _words(self, text: str, size: float) -> Box:
        return worded(text, size, self.ink)

    def _smaller(self, size: float) -> float:
        return max(0.9 * size, min(self.least, size))

    def box(self, node: Node, size: float) -> Box:
        """Return a tree set in one piece."""
        match node:
            case Number():
                return self._words(node.text, size)
            case Letter():
                return self.letter(node.name, size)
            case Sum():
                return self._joined([self.box(part, size) for _, part in node.parts], self._signs(node), size)
            case Product():
                signs = ["", *["·"] * (len(node.factors) - 1)]
                return self._joined([self.box(factor, size) for factor in node.factors], signs, size)
            case Fraction():
                return self._fraction(node, size)
            case Root():
                return self._root(self.box(node.of, size), size)
            case Logarithm():
                return _row([(self._words("lg", size), 0.0), (self._bracketed(self.box(node.of, size), size), 0.0)])
            case Power():
                inner = self.box(node.of, size)
                if self.filled and isinstance(node.of, Letter):
                    inner = self._bracketed(inner, size)
                return self._raised(inner, node.mark, size)
            case Group():
                return self._bracketed(self.box(node.of, size), size)

    @staticmethod
    def _signs(node: Sum) -> list[str]:
        return ["" if k == 0 and sign == "+" else sign for k, (sign, _) in enumerate(node.parts)]

    def _joined(self, boxes: Sequence[Box], signs: Sequence[str], size: float) -> Box:
        row = [
            (self._signed(box, sign, size, inner=k > 0), 0.0)
            for k, (box, sign) in enumerate(zip(boxes, signs, strict=True))
        ]
        return _row(row)

    def _signed(self, box: Box, sign: str, size: float, inner: bool = True) -> Box:
        """Return a box with a sign before it; ``inner`` with room on the sign's left."""
        if not sign:
            return box
        room = 0.26 * size if sign != "·" else 0.2 * size
        mark = self._words(sign, size)
        before = [(Box(room, 0.0, 0.0), 0.0)] if inner else []
        return _row([*before, (mark, 0.0), (Box(room, 0.0, 0.0), 0.0), (box, 0.0)])

    def _fraction(self, node: Fraction, size: float) -> Box:
        small = self._smaller(size)
        over, under = self.box(node.over, small), self.box(node.under, small)
        edge, gap, bar = 0.12 * size, 0.19 * size, _AXIS * size
        width = max(over.width, under.width) + 2 * edge
        top, low = -bar - gap - over.down, -bar + gap + under.up + 0.08 * small  # strokes above capitals
        side = 0.06 * size
        parts = (
            *_placed(over, side + (width - over.width) / 2, top),
            (side, -bar, Path(((0.0, 0.0), (width, 0.0)), self.ink, max(0.06 * size, 1.2))),
            *_placed(under, side + (width - under.width) / 2, low),
        )
        return Box(width + 2 * side, over.up - top, low + under.down, parts)

    def _root(self, inner: Box, size: float) -> Box:
        up, down = inner.up + 0.16 * size, inner.down
        head, weight = 0.5 * size, max(0.06 * size, 1.2)
        x = head + 0.08 * size
        width = x + inner.width + 0.08 * size
        middle = min(0.28 * size, up / 2)
        hook = ((0.0, -middle), (0.12 * size, -middle - 0.06 * size), (0.28 * size, down), (head, -up), (width, -up))
        parts = ((0.0, 0.0, Path(hook, self.ink, weight)), *_placed(inner, x, 0.0))
        return Box(width + 0.04 * size, up + weight, down, parts)

    def _raised(self, inner: Box, mark: str, size: float) -> Box:
        raised = worded(mark, size, self.ink)
        return _row([(inner, 0.0), (raised, -max(inner.up - 0.7 * size, 0.0))])

    def _bracketed(self, inner: Box, size: float) -> Box:
        if inner.up <= 0.8 * size and inner.down <= 0.35 * size:
            return _row([(self._words("(", size), 0.0), (inner, 0.0), (self._words(")", size), 0.0)], 0.05 * size)
        up, down = inner.up + 0.04 * size, inner.down + 0.04 * size
        wide, weight = 0.2 * size, max(0.06 * size, 1.2)
        bow = (1.0, 0.45, 0.12, 0.0, 0.0, 0.12, 0.45, 1.0)
        rows = (0.0, 0.05, 0.15, 0.32, 0.68, 0.85, 0.95, 1.0)
        left = tuple((wide * b, -up + (up + down) * r) for b, r in zip(bow, rows, strict=True))
        right = tuple((wide - x, y) for x, y in left)
        gap = 0.08 * size
        x = wide + gap
        end = x + inner.width + gap
        ends = ((0.0, 0.0, Path(left, self.ink, weight)), (end, 0.0, Path(right, self.ink, weight)))
        return Box(end + wide, up, down, (*ends, *_placed(inner, x, 0.0)))

    # -- pieces between which a line may break -----------------------------------------------------------------------

    def pieces(self, node: Node, size: float, width: float) -> list[Box]:
        """Return a tree in as few pieces as there must be for none to be wider than ``width`` [px]."""
        whole = self.box(node, size)
        if whole.width <= width:
            return [whole]
        match node:
            case Sum():
                return self._pieces([part for _, part in node.parts], self._signs(node), size, width)
            case Product():
                signs = ["", *["·"] * (len(node.factors) - 1)]
                return self._pieces(list(node.factors), signs, size, width)
            case Fraction():
                over = node.over if not isinstance(node.over, Sum) else Group(node.over)
                under = node.under if isinstance(node.under, (Number, Letter)) else Group(node.under)
                return self._pieces([over, under], ["", "/"], size, width)
            case Group() | Power() | Root() | Logarithm():
                inner = self.pieces(node.of, size, width - 1.2 * size)
                before, after = {Group: ("(", ")"), Root: ("√(", ")"), Logarithm: ("lg(", ")")}.get(
                    type(node), ("", getattr(node, "mark", ""))
                )
                inner[0] = _row([(self._words(before, size), 0.0), (inner[0], 0.0)]) if before else inner[0]
                inner[-1] = _row([(inner[-1], 0.0), (self._words(after, size), 0.0)])
                return inner
        return [whole]

    def _pieces(self, nodes: list[Node], signs: list[str], size: float, width: float) -> list[Box]:
        found: list[Box] = []
        for k, (node, sign) in enumerate(zip(nodes, signs, strict=True)):
            room = width - (0.9 * size if sign else 0.0)
            first, *rest = self.pieces(node, size, room)
            found += [self._signed(first, sign, size, inner=k > 0), *rest]
        return found

    def equation(self, left: Box, right: Box) -> Box:
        """Return two boxes with an equals sign between them."""
        blank = (Box(0.28 * self.size, 0.0, 0.0), 0.0)
        return _row([(left, 0.0), blank, (self._words("=", self.size), 0.0), blank, (right, 0.0)])

    def lines(self, left: Box, node: Node, width: float) -> list[Box]:
        """Return "left = tree" in lines no wider than ``width``; those after the first stand under the right side."""
        indent = self.equation(left, Box(0.0, 0.0, 0.0)).width
        room = width - indent
        lines: list[list[Box]] = [[]]
        for piece in self.pieces(node, self.size, room):
            if lines[-1] and sum(box.width for box in lines[-1]) + piece.width > room:
                lines.append([])
            lines[-1].append(piece)
        set_ = [_row([(box, 0.0) for box in line]) for line in lines]
        return [
            self.equation(left, set_[0]),
            *(_row([(Box(indent, 0.0, 0.0), 0.0), (line, 0.0)]) for line in set_[1:]),
        ]


def set_lines(lines: Sequence[Box], y: float, size: float) -> tuple[list[Shape], float]:
    """Return lines one below the other from a top edge ``y`` on, and the lower edge [px]."""
    shapes: list[Shape] = []
    for k, line in enumerate(lines):
        y += (0.3 * size if k else 0.0) + max(line.up, _CAP * size)
        shapes += line.shapes(0.0, y)
        y += max(line.down, _TAIL * size)
    return shapes, y
