"""The curves of efficiency: each ends at its name, and no word stands on another, however little room there is."""

from __future__ import annotations

import itertools

import pytest

from trainer.drawing.efficiency_view import DROPS, efficiency_shapes
from trainer.drawing.shapes import Path, Words
from trainer.drawing.type_widths import text_width
from trainer.parts.drives import HydraulicMotor
from trainer.parts.part import Part
from trainer.parts.supply import FixedPump
from trainer.rig.reference import Reference
from trainer.units import System

Box = tuple[float, float, float, float]


def box(words: Words) -> Box:
    """Return where a word stands: left, top, right, bottom."""
    wide = text_width(words.text, words.size, words.weight)
    left = words.x - {"left": 0.0, "centre": wide / 2, "right": wide}[words.align]
    return left, words.y - 0.7 * words.size, left + wide, words.y


@pytest.mark.parametrize("part", [FixedPump, HydraulicMotor])
def test_no_word_stands_on_another(part: type[Part]) -> None:
    curves = Reference(part).curves(DROPS)
    assert curves is not None
    for (width, height, size), system in itertools.product(((430.0, 312.0, 24.0), (900.0, 220.0, 17.0)), System):
        shapes = efficiency_shapes(*curves, system, width, height, size)
        words = [shape for shape in shapes if isinstance(shape, Words)]
        boxes = [box(one) for one in words]
        for (left, top, right, bottom), one in zip(boxes, words, strict=True):
            assert 0 <= left < right <= width, one.text
            assert 0 <= top < bottom <= height + 1, one.text
        for a, b in itertools.combinations(boxes, 2):
            assert min(a[2], b[2]) <= max(a[0], b[0]) or min(a[3], b[3]) <= max(a[1], b[1]), (a, b)
        assert [one.text for one in words if one.weight == 600] != []
        lines = [shape for shape in shapes if isinstance(shape, Path) and len(shape.points) > 10]
        assert len(lines) == 4


def test_the_best_is_where_slip_and_drag_are_in_balance() -> None:
    """Overall efficiency is highest between little pressure, where drag is most of it, and much, where slip is."""
    curves = Reference(FixedPump).curves(DROPS)
    assert curves is not None
    for one in curves:
        best = one.overall.index(max(one.overall))
        assert 0 < best < len(one.drops) - 1
    usual, hot = curves
    assert usual.drops[usual.overall.index(max(usual.overall))] > hot.drops[hot.overall.index(max(hot.overall))]
