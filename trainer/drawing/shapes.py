"""The draw list: immutable shapes in board pixels (x right, y down), painted by any back end.

Colours are roles of the theme ("ink", "casing", "accent", "pressure 3" …), never colour values, so that
one list serves the screen in every theme, the SVG writer and the printer.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import TYPE_CHECKING, TypeVar

if TYPE_CHECKING:
    from dataclasses import dataclass as unchanging
else:
    from dataclasses import dataclass

    def unchanging(**_: bool) -> object:
        """Return what makes a class whose objects are made in a fifth of the time; mypy sees that none is changed."""
        return dataclass(slots=True, unsafe_hash=True)


__all__ = [
    "AnyShape",
    "Arc",
    "Circle",
    "DrawList",
    "Figure",
    "Marks",
    "Moving",
    "Path",
    "Point",
    "Row",
    "Shape",
    "Sliding",
    "Words",
]

Point = tuple[float, float]
Row = tuple[float, float, float, int]


@unchanging(frozen=True, slots=True)
class Figure:
    """What a printed number is of ("part" or "instrument", its name), what it measures, at which port or ""."""

    kind: str
    name: str
    quantity: str
    port: str = ""


@unchanging(frozen=True, slots=True)
class Path:
    """A polyline through points; closed ones may be filled and hatched. Flat caps, mitred joins."""

    points: tuple[Point, ...]
    ink: str | None = "ink"  # outline role; None for no outline
    width: float = 2.0  # of the outline [px]
    fill: str | None = None
    closed: bool = False
    dash: tuple[float, ...] = ()  # lengths on, off … [px]
    hatch: str | None = None  # role of diagonal hatching over the fill
    about: Figure | None = None  # the number that it covers


@unchanging(frozen=True, slots=True)
class Circle:
    """A circle, filled or not."""

    x: float
    y: float
    radius: float
    ink: str | None = "ink"
    width: float = 2.0
    fill: str | None = None
    hatch: str | None = None


@unchanging(frozen=True, slots=True)
class Arc:
    """A circular arc; angles in degrees counter-clockwise from +x as seen on the screen."""

    x: float
    y: float
    radius: float
    start: float
    span: float
    ink: str = "ink"
    width: float = 2.0


@unchanging(frozen=True, slots=True)
class Words:
    """One line of text; y is the baseline. Weight 400 or 600; align left, centre or right.

    ``about`` is what its number is of, so that whoever points at it knows.
    """

    x: float
    y: float
    text: str
    size: float = 14.0
    ink: str = "ink"
    weight: int = 400
    align: str = "left"
    about: Figure | None = None


@unchanging(frozen=True, slots=True)
class Marks:
    """Solid flow triangles of one size in rows: (x, y, direction in degrees ccw, how many) from the rearmost on.

    Those of a row follow each other the way they point, ``pitch`` from centre to centre [px].
    """

    rows: tuple[Row, ...]
    length: float
    width: float
    ink: str
    pitch: float = 0.0

    @property
    def places(self) -> tuple[tuple[float, float, float], ...]:
        """The centre and the direction of each triangle."""
        found = []
        for x, y, direction, count in self.rows:
            ux, uy = math.cos(math.radians(direction)), -math.sin(math.radians(direction))
            found += [(x + k * self.pitch * ux, y + k * self.pitch * uy, direction) for k in range(count)]
        return tuple(found)


Shape = Path | Circle | Arc | Words | Marks


@unchanging(frozen=True, slots=True)
class Sliding:
    """Shapes without words that stay as they are among themselves, all of them moved down and across [px].

    What is painted again and again may keep them as a picture: they are the same ones, only elsewhere.
    """

    shapes: tuple[Shape, ...]
    down: float = 0.0
    across: float = 0.0


DrawList = Sequence[Shape]
Moving = Sequence[Shape | Sliding]
AnyShape = TypeVar("AnyShape", bound=Shape | Sliding)
