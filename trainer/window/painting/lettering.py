"""Where the texts of a draw list stand, and how they are written."""

from __future__ import annotations

from collections.abc import Iterable
from functools import lru_cache

from PySide6.QtCore import QPointF, QRectF
from PySide6.QtGui import QPainter

from trainer.drawing.shapes import Words
from trainer.window.painting import fonts
from trainer.window.painting.inks import Inks

__all__ = ["placed", "text_boxes", "write"]

_CAP = 0.72  # of the height of a text's box above its baseline, for figures and capitals
_TAIL = 0.2  # below the baseline


@lru_cache(maxsize=1024)
def _advance(text: str, pixels: int, weight: int) -> float:
    return fonts.metrics(pixels, weight).horizontalAdvance(text)


def placed(
    shape: Words, scale: float, origin: tuple[float, float], smallest: float
) -> tuple[float, float, int, float]:
    """Return left edge, baseline, height and width of a text [painter pixels]."""
    pixels = round(max(shape.size * scale, smallest))
    x, y = origin[0] + shape.x * scale, origin[1] + shape.y * scale
    width = _advance(shape.text, pixels, shape.weight)
    if shape.align == "centre":
        x -= width / 2
    elif shape.align == "right":
        x -= width
    return x, y, pixels, width


def write(
    painter: QPainter, shape: Words, inks: Inks, scale: float, origin: tuple[float, float], smallest: float
) -> None:
    """Write a text."""
    if not shape.text:
        return
    x, y, pixels, _ = placed(shape, scale, origin, smallest)
    painter.setFont(fonts.font(pixels, shape.weight))
    painter.setPen(inks.colour(shape.ink))
    painter.drawText(QPointF(x, y), shape.text)


def text_boxes(
    shapes: Iterable[object],
    scale: float = 1.0,
    origin: tuple[float, float] = (0.0, 0.0),
    smallest: float = 0.0,
) -> list[tuple[str, QRectF, int]]:
    """Return (text, box of its letters [painter pixels], height of its type [px]) for every text."""
    boxes = []
    for shape in shapes:
        if isinstance(shape, Words) and shape.text:
            x, y, pixels, width = placed(shape, scale, origin, smallest)
            boxes.append((shape.text, QRectF(x, y - _CAP * pixels, width, (_CAP + _TAIL) * pixels), pixels))
    return boxes
