"""What of a drawing stands at a place, what lies next to it, and which things can be reached at all."""

from __future__ import annotations

import itertools
import math
from collections.abc import Mapping
from dataclasses import dataclass

from trainer.drawing.labels import label_lines, line_gap
from trainer.drawing.nets import Port
from trainer.drawing.route import Box
from trainer.drawing.scene import Scene
from trainer.drawing.scene_state import Place
from trainer.drawing.shapes import Figure, Moving, Path, Point, Words
from trainer.drawing.symbols.symbol import bounds_of
from trainer.drawing.type_widths import text_width

__all__ = ["Pick", "beside", "figure_at", "pick", "targets"]

_SLACK = 3.0  # px around a printed number
_SMALL = 44.0  # px; a smaller part is grown to this, so that it can be hit
_WORDS_OF_LOAD = 130.0  # px to the right of a load, where its force and speed are written


@dataclass(frozen=True, slots=True)
class Pick:
    """What was picked: ``kind`` "part", "line" or "instrument", and its name.

    ``port`` is the (part, port) of a line that is nearest to the place, or that a figure at a part is of; else None.
    """

    kind: str
    name: str
    port: Port | None = None

    @property
    def place(self) -> Place:
        """Kind and name, as what is lit is told."""
        return self.kind, self.name


@dataclass(frozen=True, slots=True)
class _Zones:
    """Where things stand: boxes (left, top, right, bottom) [px] of instruments, figures, parts and labels."""

    instruments: tuple[tuple[Box, Pick], ...]
    figures: tuple[tuple[Box, Pick], ...]
    parts: tuple[tuple[Box, Pick], ...]
    labels: tuple[tuple[Box, Pick], ...]


def pick(scene: Scene, x: float, y: float, slack: float = 8.0) -> Pick | None:
    """Return what stands at a place [px of the drawing], or nothing on the ground.

    First instruments and figures, then a line where the place is on it, then the smallest part around it, its label,
    and a line within ``slack``. What is shown in the machine only cannot be picked here.
    """
    zones = scene.once(_zones)
    for found in (zones.instruments, zones.figures):
        for box, thing in found:
            if _inside(x, y, box):
                return thing
    away, line = min(
        ((distance((x, y), a, b), name) for name, net in scene.pipes.nets.items() for run in net.runs
         for a, b in itertools.pairwise(run.points)),
        default=(math.inf, ""),
    )  # fmt: skip
    parts = [(_area(box), thing) for box, thing in zones.parts if _inside(x, y, box)]
    if line and away <= (0.5 * slack if parts else slack):
        return Pick("line", line, _port(scene, line, (x, y)))
    if parts:
        return min(parts, key=lambda found: found[0])[1]
    return next((thing for box, thing in zones.labels if _inside(x, y, box)), None)


def _zones(scene: Scene) -> _Zones:
    instruments, parts = [], []
    for name, (left, top, wide, high) in scene.boxes.items():
        across, down = max(0.5 * (_SMALL - wide), 0.0), max(0.5 * (_SMALL - high), 0.0)
        box = (left - across, top - down, left + wide + across, top + high + down)
        meter = scene.meters.get(name)
        if name in scene.layout.placed:
            if scene.layout.seen(name):
                parts.append((box, Pick("part", name)))
        elif meter is None or meter.shapes:  # else its figure alone stands there
            instruments.append((box, Pick("instrument", name)))
    for name in scene.layout.rods:
        if scene.layout.seen(name):
            left, top, wide, high = scene.boxes[name]
            parts.append(((left + wide, top, left + wide + _WORDS_OF_LOAD, top + high), Pick("part", name)))
    figures = [
        (box, Pick(kind, name, (name, port) if port else None)) for box, kind, name, port in scene.figures.places()
    ]
    return _Zones(tuple(instruments), tuple(figures), tuple(parts), tuple(_labels(scene)))


def _labels(scene: Scene) -> list[tuple[Box, Pick]]:
    """Return the boxes of the parts' labels; they were written part by part, line by line."""
    words = [shape for shape in scene.labels if isinstance(shape, Words)]
    found, at = [], 0
    for id_, part in scene.layout.placed.items():
        if part.vessel is not None or part.elsewhere:
            continue
        count = len(label_lines(part, scene.rig, part.fitted.value, scene.options.system))
        for label in words[at : at + count]:
            left, _, right, _ = bounds_of((label,))
            high = line_gap(scene.theme, label.weight == 600)
            found.append(((left, label.y - 0.8 * high, right, label.y + 0.25 * high), Pick("part", id_)))
        at += count
    return found


def figure_at(shapes: Moving, x: float, y: float, least: float = 0.0) -> Figure | None:
    """Return what the number at a place is of [px of the shapes], or None; no type is smaller than ``least`` [px]."""
    for shape in reversed(shapes):
        if isinstance(shape, (Words, Path)) and shape.about is not None and _inside(x, y, _extent(shape, least)):
            return shape.about
    return None


def _extent(shape: Words | Path, least: float) -> Box:
    if isinstance(shape, Path):
        return bounds_of((shape,))
    size = max(shape.size, least)
    wide = text_width(shape.text, size, shape.weight)
    left = shape.x - {"left": 0.0, "centre": wide / 2, "right": wide}[shape.align]
    return left - _SLACK, shape.y - 0.72 * size - _SLACK, left + wide + _SLACK, shape.y + 0.2 * size + _SLACK


def distance(place: Point, a: Point, b: Point) -> float:
    """Return how far a place is from the straight piece between two points [px]."""
    (x, y), (ax, ay), (bx, by) = place, a, b
    length = (bx - ax) ** 2 + (by - ay) ** 2
    share = 0.0 if length == 0 else min(max(((x - ax) * (bx - ax) + (y - ay) * (by - ay)) / length, 0.0), 1.0)
    return math.hypot(x - ax - share * (bx - ax), y - ay - share * (by - ay))


def _port(scene: Scene, line: str, place: Point) -> Port | None:
    """Return the port of a line that stands nearest to a place."""
    ports = []
    for owner, port in scene.rig.lines[line].joins:
        part = scene.layout.placed.get(owner)
        anchor = part.symbol.anchors.get(port) if part is not None and part.vessel is None else None
        if anchor is not None:
            ports.append((math.hypot(anchor.x - place[0], anchor.y - place[1]), owner, port))
    return min(ports)[1:] if ports else None


def _inside(x: float, y: float, box: Box) -> bool:
    return box[0] <= x <= box[2] and box[1] <= y <= box[3]


def _area(box: Box) -> float:
    return (box[2] - box[0]) * (box[3] - box[1])


# -- from one to the next -------------------------------------------------------------------------------------------


def targets(scene: Scene) -> Mapping[Place, Point]:
    """Return everything that can be picked and where it stands [px]: lines in the middle of their longest piece."""
    found: dict[Place, Point] = {}
    zones = scene.once(_zones)
    for box, thing in (*zones.parts, *zones.instruments, *zones.figures):
        found.setdefault(thing.place, (0.5 * (box[0] + box[2]), 0.5 * (box[1] + box[3])))
    for name, net in scene.pipes.nets.items():
        pieces = [pair for run in net.runs for pair in itertools.pairwise(run.points)]
        if pieces:
            (ax, ay), (bx, by) = max(pieces, key=lambda pair: math.dist(*pair))
            found["line", name] = ((ax + bx) / 2, (ay + by) / 2)
    return found


def beside(scene: Scene, place: Place | None, across: int, down: int) -> Place | None:
    """Return what comes next from a place in a direction (-1, 0 or 1 each way); the first thing at all from nothing.

    The nearest one counts, what lies off the direction twice as far; the place itself where nothing lies there.
    """
    known = targets(scene)
    if place not in known:
        return min(known, key=lambda p: known[p][0] + known[p][1], default=None)
    assert place is not None
    x, y = known[place]
    best: tuple[float, Place] | None = None
    for other, (ox, oy) in known.items():
        ahead = (ox - x) * across + (oy - y) * down
        aside = abs((ox - x) * down) + abs((oy - y) * across)
        if ahead > 1.0 and aside <= 2.0 * ahead and (best is None or ahead + 2.0 * aside < best[0]):
            best = (ahead + 2.0 * aside, other)
    return best[1] if best is not None else place
