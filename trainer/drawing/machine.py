"""The machine itself, beside its circuit: side, plan and rear view of a crane on a trailer, from the same state.

Everything is drawn to scale from the parts' geometry; nothing here knows the circuit.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

from trainer.drawing.live import Live
from trainer.drawing.shapes import Arc, Circle, Path, Point, Shape, Words
from trainer.parts import crane as geometry
from trainer.rig import Rig
from trainer.units import System, text

__all__ = ["MachineView"]

_COLUMN = 1.5  # height of the boom's pivot above the ground [m]
_SIZE = (520.0, 640.0)


@dataclass(frozen=True, slots=True)
class _Pane:
    """A window on the machine: metres to pixels, y up to y down."""

    left: float
    top: float
    scale: float  # px per metre
    x0: float  # metres at the left edge
    y0: float  # metres at the top edge

    def at(self, x: float, y: float) -> Point:
        return self.left + (x - self.x0) * self.scale, self.top + (self.y0 - y) * self.scale


def _beam(start: Point, end: Point, thick_start: float, thick_end: float) -> tuple[Point, ...]:
    length = math.dist(start, end) or 1.0
    nx, ny = -(end[1] - start[1]) / length / 2, (end[0] - start[0]) / length / 2
    return (
        (start[0] + nx * thick_start, start[1] + ny * thick_start),
        (end[0] + nx * thick_end, end[1] + ny * thick_end),
        (end[0] - nx * thick_end, end[1] - ny * thick_end),
        (start[0] - nx * thick_start, start[1] - ny * thick_start),
    )


class MachineView:
    """Side, plan and rear view of the rig's crane; ``exists`` tells whether the rig has one."""

    size = _SIZE

    def __init__(self, rig: Rig) -> None:
        def first(symbol: str) -> str:
            return next((id_ for id_, fitted in rig.parts.items() if fitted.part.symbol == symbol), "")

        self.crane, self.trailer, self.grapple = first("crane"), first("trailer"), first("grapple")
        self._side = _Pane(20.0, 40.0, 68.0, -1.75, 4.6)
        self._plan = _Pane(20.0, 470.0, 28.0, -5.0, 5.2)
        self._rear = _Pane(330.0, 520.0, 60.0, -1.55, 1.6)

    @property
    def exists(self) -> bool:
        """Whether there is a machine to show."""
        return bool(self.crane)

    def shapes(self, live: Live, system: System) -> list[Shape]:
        """Return the three views at one instant, in pixels of ``size``."""
        if not self.exists:
            return []
        found = self._side_view(live, system) + self._plan_view(live, system)
        return found + (self._rear_view(live, system) if self.trailer else [])

    def _side_view(self, live: Live, system: System) -> list[Shape]:
        pane = self._side
        at = pane.at
        boom, stick, sway = (live.state(self.crane, name) for name in ("boom", "stick", "sway"))
        fold = boom + stick
        heel = (0.0, _COLUMN)
        knee = (2.60 * math.cos(boom), _COLUMN + 2.60 * math.sin(boom))
        tip = (knee[0] + 2.05 * math.cos(fold), knee[1] + 2.05 * math.sin(fold))
        link = live.parameter(self.crane, "link")
        load = (tip[0] + link * math.sin(sway), tip[1] - link * math.cos(sway))

        def turned(point: tuple[float, float], angle: float, origin: tuple[float, float]) -> tuple[float, float]:
            c, s = math.cos(angle), math.sin(angle)
            return origin[0] + c * point[0] - s * point[1], origin[1] + s * point[0] + c * point[1]

        boom_rod = turned(geometry.BOOM_PINS[0], boom, heel)
        boom_base = (geometry.BOOM_PINS[1][0], _COLUMN + geometry.BOOM_PINS[1][1])
        stick_rod = turned(geometry.STICK_PINS[0], fold, knee)
        stick_base = turned(geometry.STICK_PINS[1], boom, knee)
        shapes: list[Shape] = [
            Words(pane.left, pane.top - 14, "Side view, as far as it reaches", 14.0, "ink2"),
            Path((at(-1.75, 0), at(5.3, 0)), "ink", 2.0),
            Path(
                (at(-1.6, 0.62), at(0.5, 0.62), at(0.5, 0.42), at(-1.6, 0.42)),
                "ink",
                2.0,
                "cell",
                closed=True,
            ),
            Circle(*at(-1.0, 0.36), 0.36 * pane.scale, "ink", 2.0, "cell"),
            Path(
                (at(-0.17, 0.62), at(-0.14, 1.55), at(0.14, 1.62), at(0.26, 0.62)),
                "ink",
                2.0,
                "cell",
                closed=True,
            ),
        ]
        for base, rod in ((boom_base, boom_rod), (stick_base, stick_rod)):
            part = 0.62 if base == boom_base else 0.6
            middle = (base[0] + (rod[0] - base[0]) * part, base[1] + (rod[1] - base[1]) * part)
            shapes.append(Path((at(*middle), at(*rod)), "ink", 4.0))
            shapes.append(Path(_beam(at(*base), at(*middle), 11.0, 11.0), "ink", 2.0, "cell", closed=True))
        shapes += [
            Path(_beam(at(*heel), at(*knee), 22.0, 15.0), "ink", 2.0, "cell", closed=True),
            Path(_beam(at(*knee), at(*tip), 15.0, 9.0), "ink", 2.0, "cell", closed=True),
            Circle(*at(*heel), 4.5, "ink", 2.0, "paper"),
            Circle(*at(*knee), 4.5, "ink", 2.0, "paper"),
            Path((at(*tip), at(*load)), "ink", 3.0),
            *self._tongs(live, at, load),
        ]
        carried = live.control(self.crane, "load")
        if carried > 0:
            shapes.append(Circle(*at(load[0], load[1] - 0.12), 0.15 * pane.scale, "accent", 2.5, "accent-pale"))
        reach, tall = live.value(self.crane, "reach"), live.value(self.crane, "tip height") + _COLUMN
        words = [("reach", "m", f"{reach:.2f}"), ("tip above ground", "m", f"{tall:.2f}")]
        if system is System.US:
            words = [
                ("reach", "ft", f"{reach / 0.3048:.1f}"),
                ("tip above ground", "ft", f"{tall / 0.3048:.1f}"),
            ]
        mass, mass_unit = text(carried, "mass", system)
        words.append(("load", mass_unit, mass))
        for row, (name, unit, figure) in enumerate(words):
            y = pane.top + 14 + 22 * row
            shapes.append(Words(_SIZE[0] - 96, y, name, 14.0, "ink2", align="right"))
            shapes.append(Words(_SIZE[0] - 44, y, figure, 16.0, "ink", 600, "right"))
            shapes.append(Words(_SIZE[0] - 38, y, unit, 14.0, "ink2"))
        return shapes

    def _tongs(self, live: Live, at: Callable[[float, float], Point], load: tuple[float, float]) -> list[Shape]:
        shut = 0.0
        if self.grapple:
            shut = min(max(live.state(self.grapple, "x") / live.parameter(self.grapple, "reach"), 0.0), 1.0)
        wide = 0.42 - 0.34 * shut
        return [
            Path(
                (
                    at(load[0], load[1] + 0.12),
                    at(load[0] + side * (0.08 + wide / 2), load[1]),
                    at(load[0] + side * wide, load[1] - 0.34),
                ),
                "ink",
                3.0,
            )
            for side in (-1, 1)
        ]

    def _plan_view(self, live: Live, system: System) -> list[Shape]:
        pane = self._plan
        at = pane.at
        slew, reach = live.state(self.crane, "slew"), live.value(self.crane, "reach")
        aside, link = live.state(self.crane, "sideways"), live.parameter(self.crane, "link")
        radial = reach + link * math.sin(live.state(self.crane, "sway"))
        limit = math.degrees(live.parameter(self.crane, "slew_range"))

        def polar(radius: float, side: float) -> Point:  # straight ahead is up the page, slew positive to the left
            c, s = math.cos(slew), math.sin(slew)
            return at(-radius * s - side * c, radius * c - side * s)

        x0, y0 = at(0, 0)
        figure, unit = text(slew, "angle", system)
        spread = live.parameter(self.trailer, "spread") if self.trailer else 0.0
        shapes: list[Shape] = [
            Words(pane.left, pane.top - 14, "From above", 14.0, "ink2"),
            Arc(x0, y0, 4.6 * pane.scale, 90 - limit, 2 * limit, "hairline", 1.5),
            Path(
                (at(-0.7, -0.3), at(0.7, -0.3), at(0.7, -2.6), at(-0.7, -2.6)),
                "ink",
                2.0,
                "cell",
                closed=True,
            ),
            Path(_beam((x0, y0), polar(reach, 0), 13.0, 6.0), "ink", 2.0, "cell", closed=True),
            Circle(x0, y0, 9.0, "ink", 2.0, "cell"),
            Path((polar(reach, 0), polar(radial, link * math.sin(aside))), "ink", 2.0),
            Circle(
                *polar(radial, link * math.sin(aside)),
                6.0,
                "ink",
                2.0,
                "accent" if live.control(self.crane, "load") > 0 else "cell",
            ),
            Words(x0 + 20, at(0, -3.1)[1], f"slew {figure}{unit}", 14.0, "ink", 600),
        ]
        for name, side in (("foot 1", 1), ("foot 2", -1)) if self.trailer else ():
            down = live.value(self.trailer, f"load {name[-1]}") > 1.0
            x, y = at(-side * spread, -0.6)
            shapes.append(
                Path(
                    ((x - 6, y - 6), (x + 6, y - 6), (x + 6, y + 6), (x - 6, y + 6)),
                    "ink",
                    2.0,
                    "ink" if down else "cell",
                    closed=True,
                )
            )
        return shapes

    def _rear_view(self, live: Live, system: System) -> list[Shape]:
        pane, trailer = self._rear, self.trailer
        at = pane.at

        def number(name: str) -> float:
            return live.parameter(trailer, name)

        heave, roll = live.value(trailer, "heave"), live.value(trailer, "roll")
        spread, track = number("spread"), number("track")
        lean = math.sin(roll)
        left_ground, right_ground = number("ground1"), number("ground2")
        shapes: list[Shape] = [
            Words(pane.left, pane.top - 14, "From behind", 14.0, "ink2"),
            Path(
                (
                    at(-1.5, left_ground),
                    at(-0.97, left_ground),
                    at(-0.97, 0),
                    at(0.97, 0),
                    at(0.97, right_ground),
                    at(1.5, right_ground),
                ),
                "ink",
                2.0,
            ),
        ]
        for side in (1, -1):
            x = -side * track
            shapes.append(
                Path(
                    (
                        at(x - 0.13, heave + side * track * lean),
                        at(x + 0.13, heave + side * track * lean),
                        at(x + 0.13, 0.7 + heave + side * track * lean),
                        at(x - 0.13, 0.7 + heave + side * track * lean),
                    ),
                    "ink",
                    2.0,
                    "cell",
                    closed=True,
                )
            )
        deck = [at(-spread, 0.75 + heave + spread * lean), at(spread, 0.75 + heave - spread * lean)]
        shapes.append(Path(_beam(deck[0], deck[1], 12.0, 12.0), "ink", 2.0, "cell", closed=True))
        for side, tag in ((1, "1"), (-1, "2")):
            x, top = -side * spread, 0.75 + heave + side * spread * lean
            foot, load = live.value(trailer, f"foot {tag}"), live.value(trailer, f"load {tag}")
            shapes += [
                Path(
                    (
                        at(x - 0.07, top + 0.2),
                        at(x + 0.07, top + 0.2),
                        at(x + 0.07, top - 0.42),
                        at(x - 0.07, top - 0.42),
                    ),
                    "ink",
                    2.0,
                    "cell",
                    closed=True,
                ),
                Path((at(x, top - 0.42), at(x, foot)), "ink", 4.0),
                Path((at(x - 0.16, foot), at(x + 0.16, foot)), "ink", 5.0),
            ]
            figure, unit = text(max(load, 0.0), "force", system, 1 if system is System.METRIC else 0)
            shapes.append(
                Words(
                    at(x, 0)[0],
                    at(0, -0.32)[1],
                    f"{figure} {unit}",
                    14.0,
                    "ink" if load > 1 else "ink2",
                    600 if load > 1 else 400,
                    "centre",
                )
            )
        return shapes
