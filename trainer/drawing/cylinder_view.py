"""Cylinders as they move on the drawing: piston, rod, what else goes with them, and the chambers' colours."""

from __future__ import annotations

from collections.abc import Hashable
from dataclasses import dataclass, field
from functools import cached_property

from trainer.drawing.moving import arrow, on_grid
from trainer.drawing.placed import Placed
from trainer.drawing.shapes import Path, Point, Shape, Sliding
from trainer.drawing.symbols.notation import zigzag
from trainer.drawing.symbols.symbol import turned
from trainer.drawing.theme import Theme
from trainer.parts.part import Parameter
from trainer.rig.live import Live

__all__ = ["CylinderView", "stroke_of"]

_IN = -35.0  # of the piston's cap side, from the middle of its cylinder, when the rod is in [px]
_END = 45.0  # of the barrel, from its middle [px]
_TRAVEL = 50.0  # of a piston [px]
_TUBES = (10.0, 5.0)  # half the widths of what comes out of a telescopic one, the first first [px]


@dataclass
class CylinderView:
    """A cylinder with its piston, rod and chambers where the rod line is; its symbol's manner says what body."""

    placed: Placed
    theme: Theme
    half: float = 18.0
    grid: float = 0.0  # the rod stands at whole numbers of it [px]; 0 for where it is
    _kept: tuple[object, list[Shape | Sliding]] | None = field(default=None, init=False)

    def _to(self, x: float, y: float) -> Point:
        across, down = turned((-x if self.placed.mirror else x, y), self.placed.turn)
        return across + self.placed.x, down + self.placed.y

    def _rect(self, x0: float, y0: float, x1: float, y1: float) -> tuple[Point, ...]:
        return self._to(x0, y0), self._to(x1, y0), self._to(x1, y1), self._to(x0, y1)

    def _drawn(self, x0: float, half: float, x1: float, fill: str = "cell") -> Path:
        """Return a box along the rod's line."""
        return Path(self._rect(x0, -half, x1, half), width=self.theme.outline, fill=fill, closed=True)

    def _coloured(self, x0: float, x1: float, colour: str) -> Path:
        return Path(self._rect(x0, -self.half, x1, self.half), None, 0.0, colour, closed=True)

    def tip(self, place: float, stroke: float) -> Point:
        """Return where the rod ends [px]."""
        return self._to(90 + _IN + self._out(place, stroke), 0)

    def _out(self, place: float, stroke: float) -> float:
        """Return how far the rod is out [px]."""
        return on_grid(_TRAVEL * max(-0.05, min(1.05, place / stroke)), self.grid)

    def look(self, place: float, stroke: float) -> Hashable:
        """Return what differs where the rod stands elsewhere, by a tenth of a pixel at least."""
        return self._out(place, stroke) if self.grid else round(10 * _TRAVEL * place / stroke)

    def picture(self, place: float, stroke: float, cap: str, annulus: str) -> list[Shape | Sliding]:
        """Return the cylinder at a place of its rod [m]; ``cap`` and ``annulus`` colour its chambers."""
        out = self._out(place, stroke)
        key = (out, cap, annulus)
        if self._kept is None or self._kept[0] != key:
            shapes: list[Shape | Sliding]
            match self.placed.symbol.manner.body:
                case "plunger":
                    shapes = [self._coloured(-_END, _END, cap), self._slid(self._plunger, out), self._barrel]
                case "stages":
                    shapes = self._stages(out, cap)
                case "pistoned stages":
                    shapes = self._stages(out, cap, annulus)
                case body:
                    shapes = self._with_piston(out, cap, annulus, body)
            self._kept = (key, shapes)
        return self._kept[1]

    def _slid(self, shapes: tuple[Shape, ...], out: float) -> Sliding:
        across, down = turned((-out if self.placed.mirror else out, 0.0), self.placed.turn)
        return Sliding(shapes, down, across)

    def _with_piston(self, out: float, cap: str, annulus: str, body: str) -> list[Shape | Sliding]:
        piston = _IN + out
        shapes: list[Shape | Sliding] = [self._coloured(-_END, piston, cap), self._coloured(piston, _END, annulus)]
        if body == "spring":
            points = zigzag(self._to(piston + 9, 0), self._to(_END, 0), 0.72 * self.half, 8)
            shapes.append(Path(tuple(points), width=self.theme.outline))
        shapes += [self._slid(self._rod, out), self._barrel, self._slid(self._piston, out)]
        if body == "cushions":
            shapes.append(self._slid(self._spears, out))
        return shapes

    def _stages(self, out: float, cap: str, annulus: str = "") -> list[Shape | Sliding]:
        """Return a telescopic cylinder: the wide tube comes out first, the narrow one goes with it and then on.

        With an ``annulus`` it goes home by oil as well: the wide tube has a piston, and oil before it.
        """
        wide, narrow = _TUBES
        first = min(out, _TRAVEL / 2)
        before: list[Shape | Sliding] = [self._coloured(-_END, _END - 10, cap)]
        piston: list[Shape | Sliding] = []
        if annulus:
            before.append(self._coloured(_IN + first, _END - 10, annulus))
            piston.append(self._slid(self._ring, first))
        return [
            *before,
            self._slid((self._drawn(_IN + 10, narrow, _IN + 90),), out),
            self._slid((self._drawn(_IN, wide, _IN + 80),), first),
            self._slid((self._drawn(_IN + 80, narrow, _IN + 90),), out),
            *piston,
            Path(self._rect(-_END, -self.half, _END - 10, self.half), width=self.theme.main, closed=True),
        ]

    @cached_property
    def _barrel(self) -> Path:
        return Path(self._rect(-_END, -self.half, _END, self.half), width=self.theme.main, closed=True)

    @cached_property
    def _rod(self) -> tuple[Path, ...]:
        through = self.placed.symbol.manner.body == "through"
        return (self._drawn(_IN - 75 if through else _IN + 9, 5.5, _IN + 90),)

    @cached_property
    def _plunger(self) -> tuple[Path, ...]:
        return (self._drawn(_IN, 10.0, _IN + 90),)

    @cached_property
    def _piston(self) -> tuple[Path, ...]:
        return (Path(self._rect(_IN, -self.half, _IN + 9, self.half), None, 0.0, "ink", closed=True),)

    @cached_property
    def _ring(self) -> tuple[Path, ...]:
        return (Path(self._rect(_IN - 1, -self.half, _IN + 6, self.half), None, 0.0, "ink", closed=True),)

    @cached_property
    def _spears(self) -> tuple[Shape, ...]:
        """The spears on both sides of the piston, and the arrow of the screws that can be set."""
        sides = (self._drawn(_IN - 8, 9.0, _IN), self._drawn(_IN + 9, 9.0, _IN + 17))
        return (*sides, *arrow(self._to(_IN - 11, 15.0), self._to(_IN + 20, -16.0), self.theme.outline))


def stroke_of(placed: Placed, live: Live) -> float:
    """Return a cylinder's stroke [m]."""
    name = "stroke"
    known = placed.fitted.part.declared(Parameter)
    return live.parameter(placed.fitted.id, name) if name in known else 1.0
