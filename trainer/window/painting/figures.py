"""Figures that stay readable: printed a few times a second, though what carries them moves at every frame."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Any

from trainer.drawing.shapes import AnyShape, Words

__all__ = ["SteadyFigures"]


class SteadyFigures:
    """Keeps the texts of a draw list until ``take`` lets the next list print its own; places always follow."""

    def __init__(self) -> None:
        self._texts: list[str] = []

    def take(self) -> None:
        """Let the next list print what it says."""
        self._texts = []

    def of(self, shapes: Sequence[AnyShape]) -> Sequence[AnyShape]:
        """Return shapes with the texts printed last; as they are where their number is another."""
        found = [(k, shape) for k, shape in enumerate(shapes) if isinstance(shape, Words)]
        if len(found) != len(self._texts):
            self._texts = [shape.text for _, shape in found]
            return shapes
        made: list[Any] = list(shapes)
        for (k, now), text in zip(found, self._texts, strict=True):
            if now.text != text:
                made[k] = replace(now, text=text)
        return made
