"""What of a drawing is taken, and where there is room for an instrument: places tried in order of their cost."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterable, Iterator, Mapping, Sequence
from copy import copy
from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt

from trainer.drawing.functions import twins
from trainer.drawing.labels import label_lines, pressure_place
from trainer.drawing.nets import Net
from trainer.drawing.placed import Layout
from trainer.drawing.route import Box
from trainer.drawing.shapes import Point, Words
from trainer.drawing.symbols.symbol import bounds_of
from trainer.drawing.theme import THEMES
from trainer.parts.roles import Actuator
from trainer.rig.rig import Rig
from trainer.units import System

__all__ = ["FACE", "FreeGround", "Spot", "along", "around", "figures_ground"]

Numbers = npt.NDArray[np.float64]
FACE = 20.0  # radius of an instrument's circle [px]
_BODY, _FIGURE, _WORDS, _OUT = 1000.0, 600.0, 400.0, 60.0  # cost of meeting each; of a px outside the drawing
_PIPE, _OVER, _TOUCH = 260.0, 600.0, 90.0  # of words on a pipe; of the circle over a pipe, beside one
_LEADER = (600.0, 300.0, 50.0)  # cost of a leader's way over a body, words, a pipe
_CROWDED = 250.0  # cost of a place that lies on something
_SLACK, _DEEP = 2.0, 10.0  # around a circle; a pipe nearer to its centre lies under it [px]
_CLEAR = 9.0  # half the ground of a pipe [px]
_BATCH = 64  # places looked at together
_SAMPLE = 8.0  # between two looks along a leader [px]
_GROWS = 110.0  # by which instruments may make the drawing wider [px]


@dataclass(frozen=True, slots=True)
class Spot:
    """A place for an instrument: its centre, where its leader meets what it reads, its words' box, its own cost.

    Without a ``foot`` it stands on what it reads.
    """

    x: float
    y: float
    foot: Point | None
    words: Box
    cost: float

    @property
    def body(self) -> Box:
        """The box of its circle [px]."""
        slack = FACE + _SLACK
        return self.x - slack, self.y - slack, self.x + slack, self.y + slack

    def leader(self) -> list[Point]:
        """Return points along its leader, from the border of a pipe to that of its circle."""
        if self.foot is None:
            return []
        (x, y), length = self.foot, math.dist(self.foot, (self.x, self.y))
        count = max(int((length - FACE - _CLEAR) / _SAMPLE), 0)
        shares = [(_CLEAR + 3.0 + k * _SAMPLE) / max(length, 1.0) for k in range(count + 1)]
        return [(x + (self.x - x) * share, y + (self.y - y) * share) for share in shares]


def figures_ground(rig: Rig, layout: Layout) -> list[Box]:
    """Return where figures come and go: pressures of actuators, force and speed at rods and shafts [px]."""
    boxes: list[Box] = []
    theme, firsts = THEMES["light"], set(twins(rig))
    for part in layout.placed.values():
        x, y = part.x, part.y
        if part.symbol.manner.moves == "piston" and part.upright:
            top = y - 95 if part.upwards else y + 52
            before, behind = (150.0, 20.0) if part.fitted.id in firsts else (20.0, 150.0)
            boxes.append((x - before, top, x + behind, top + 50))
        elif isinstance(part.role, Actuator) and not part.role.linear:
            boxes.append((x, y - 98, x + 130, y - 58))
        elif part.symbol.manner.moves == "spool":
            boxes.append((x + 30, y + 60, x + 76, y + 200))
        elif part.fitted.id in layout.rods:  # its words go down with the rod
            boxes.append((part.box[2] + 6, y - 20, part.box[2] + 130, y + 110))
        if isinstance(part.role, Actuator) and label_lines(part, rig, part.fitted.value, System.METRIC):
            left, down, align = pressure_place(part, rig, theme, System.METRIC)
            for k in (0, 1):
                boxes.append(bounds_of((Words(left, down + 17.7 * k, "A  000 bar", 18.0, align=align),)))
    return boxes


class FreeGround:
    """Bodies, words, figures and pipes of a drawing; ``best`` chooses a place, ``take`` adds what was placed."""

    def __init__(
        self, bodies: Iterable[Box], words: Iterable[Box], figures: Iterable[Box], nets: Mapping[str, Net]
    ) -> None:
        self.bodies = list(bodies)
        self.words = [(b[0] - 0.1 * (b[2] - b[0]), b[1], b[2] + 0.1 * (b[2] - b[0]), b[3]) for b in words]
        self.figures = list(figures)
        self.pipes = [
            (name, _between(a, b, _CLEAR))
            for name, net in nets.items()
            for run in net.runs
            for a, b in itertools.pairwise(run.points)
        ]
        taken = [*self.bodies, *self.words, *self.figures, *(box for _, box in self.pipes)] or [
            (0.0, 0.0, 100.0, 100.0)
        ]
        lows = [max(min(box[k] for box in taken), 6.0) for k in (0, 1)]
        highs = [max(box[k] for box in taken) for k in (2, 3)]
        self.area = (lows[0], lows[1], highs[0] + _GROWS, highs[1] + 12.0)

    def take(self, spot: Spot) -> None:
        """Add a placed instrument to what is taken."""
        self.bodies.append(spot.body)
        self.figures.append(spot.words)

    def copy(self) -> FreeGround:
        """Return the same ground, to try places on."""
        other = copy(self)
        other.bodies, other.figures = [*self.bodies], [*self.figures]
        return other

    def all_of(self, wanted: Mapping[str, tuple[str, Sequence[Spot]]]) -> dict[str, Spot]:
        """Return a place for each of several instruments by name, and take them; given are (own line, places).

        Where one has to lie on something it is placed before the others, if that is cheaper for all.
        """
        names = list(wanted)
        found = self._in_turn(names, wanted)
        if any(spot.cost > _CROWDED for spot in found.values()):
            first = sorted(names, key=lambda name: -found[name].cost if name in found else 0.0)
            other = self._in_turn(first, wanted)
            if sum(s.cost for s in other.values()) < sum(s.cost for s in found.values()):
                found = other
        for spot in found.values():
            self.take(spot)
        return found

    def _in_turn(self, names: Iterable[str], wanted: Mapping[str, tuple[str, Sequence[Spot]]]) -> dict[str, Spot]:
        trial, found = self.copy(), {}
        for name in names:
            line, spots = wanted[name]
            spot = trial.best(spots, line)
            if spot is not None:
                found[name] = spot
                trial.take(spot)
        return found

    def best(self, spots: Iterable[Spot], own: str = "") -> Spot | None:
        """Return the cheapest place for an instrument on the line ``own``; None without any place.

        The spot that is returned tells its whole cost.
        """
        tried = sorted(spots, key=lambda spot: spot.cost)
        found: Spot | None = None
        least = math.inf
        for begin in range(0, len(tried), _BATCH):
            batch = tried[begin : begin + _BATCH]
            if batch[0].cost >= least:
                break
            costs = self._costs(batch, own)
            for k in np.argsort(costs, kind="stable"):
                if costs[k] >= least:
                    break
                cost = float(costs[k]) + self._leader(batch[k])
                if cost < least:
                    found, least = replace(batch[k], cost=cost), cost
        return found

    def _costs(self, spots: Sequence[Spot], own: str) -> Numbers:
        """Return what places cost, their leaders left out."""
        costs: Numbers = np.array([spot.cost for spot in spots], dtype=float)
        bodies, words = _array([spot.body for spot in spots]), _array([spot.words for spot in spots])
        low, high = np.array(self.area[:2]), np.array(self.area[2:])
        for boxes in (bodies, words):
            outside = np.maximum(low - boxes[:, :2], 0.0) + np.maximum(boxes[:, 2:] - high, 0.0)
            costs += _OUT * outside.sum(axis=1)
            for dear, others in ((_BODY, self.bodies), (_FIGURE, self.figures), (_WORDS, self.words)):
                costs += dear * _meetings(boxes, _array(others)).sum(axis=1)
        pipes = _array([pipe for _, pipe in self.pipes])
        foreign = np.array([line != own for line, _ in self.pipes], dtype=bool)
        costs += _PIPE * _meetings(words, pipes).sum(axis=1)
        counted = foreign[None, :] | np.array([spot.foot is not None for spot in spots])[:, None]
        inner = bodies + np.array([1.0, 1.0, -1.0, -1.0]) * (FACE + _SLACK - _DEEP)
        deep = _meetings(inner, pipes) & counted
        touched = _meetings(bodies, pipes) & counted & ~deep
        costs += _OVER * deep.sum(axis=1) + _TOUCH * touched.sum(axis=1)
        return costs

    def _leader(self, spot: Spot) -> float:
        """Return what the way of a leader costs."""
        if spot.foot is None:
            return 0.0
        way, (x, y) = spot.leader(), spot.foot
        bodies = [b for b in self.bodies if not (b[0] - 4 <= x <= b[2] + 4 and b[1] - 4 <= y <= b[3] + 4)]
        words, pipes = [*self.figures, *self.words, spot.words], [pipe for _, pipe in self.pipes]
        points = np.array(way)
        cost = 0.0
        for dear, boxes in zip(_LEADER, (bodies, words, pipes), strict=True):
            within = _meetings(np.hstack([points - 2.0, points + 2.0]), _array(boxes)).sum(axis=0)
            cost += dear * float((np.minimum(within, 1) + 0.5 * np.maximum(within - 3, 0)).sum())
        return cost


def _array(boxes: Sequence[Box]) -> Numbers:
    return np.array(boxes, dtype=float).reshape(-1, 4)


def _meetings(some: Numbers, others: Numbers) -> npt.NDArray[np.bool_]:
    """Return which of some boxes meet which of others, one row for each of some."""
    one, other = some[:, None, :], others[None, :, :]
    met: npt.NDArray[np.bool_] = (one[..., 0] < other[..., 2]) & (other[..., 0] < one[..., 2])
    return met & (one[..., 1] < other[..., 3]) & (other[..., 1] < one[..., 3])


def _between(a: Point, b: Point, slack: float) -> Box:
    return min(a[0], b[0]) - slack, min(a[1], b[1]) - slack, max(a[0], b[0]) + slack, max(a[1], b[1]) + slack


_LEVEL = ((0.0, -1.0, 0.0), (1.0, 0.0, 6.0), (-1.0, 0.0, 10.0), (0.0, 1.0, 14.0))  # way from the foot, cost
_SLANTED = tuple(
    (math.cos(math.radians(angle)), -math.sin(math.radians(angle)), 40.0)
    for angle in range(15, 360, 15)
    if angle % 90
)


def around(
    foot: Point, reaches: Iterable[float], words: Mapping[str, Box], cost: float = 0.0, slanted: bool = False
) -> Iterator[Spot]:
    """Yield places above, right of, left of and below a foot, also between where ``slanted``.

    ``reaches`` are distances of the centre [px]; ``words`` boxes about it, the best first.
    """
    for reach, (dx, dy, dear) in itertools.product(reaches, (*_LEVEL, *(_SLANTED if slanted else ()))):
        x, y = foot[0] + dx * reach, foot[1] + dy * reach
        for k, box in enumerate(words.values()):
            at = (x + box[0], y + box[1], x + box[2], y + box[3])
            yield Spot(x, y, foot, at, cost + dear + 0.25 * abs(reach - 60.0) + 2.0 * k)


def along(points: Iterable[Point], clear: float, step: float = 10.0) -> Iterator[tuple[Point, bool, float]]:
    """Yield points along a polyline, at least ``clear`` from its corners.

    Each comes with whether the pipe is level there, and a cost that grows away from the middle of its piece.
    """
    for (ax, ay), (bx, by) in itertools.pairwise(points):
        length = abs(bx - ax) + abs(by - ay)
        if length < 2 * clear:
            continue
        ux, uy = (bx - ax) / length, (by - ay) / length
        for k in range(int((length - 2 * clear) / step) + 1):
            far = clear + k * step
            yield (ax + ux * far, ay + uy * far), ay == by, 0.04 * abs(far - length / 2)
