"""What of a drawing stands at a place: a part, a line or an instrument."""

from __future__ import annotations

import math
from dataclasses import dataclass

from trainer.drawing.scene import Scene
from trainer.drawing.shapes import Point

__all__ = ["Pick", "pick"]


@dataclass(frozen=True, slots=True)
class Pick:
    """What was picked: ``kind`` "part", "line" or "instrument", its name, and on a line the port nearest to the place."""

    kind: str
    name: str
    port: tuple[str, str] | None = None


def pick(scene: Scene, x: float, y: float, slack: float = 8.0) -> Pick | None:
    """Return what stands at a place [px of the drawing]: an instrument first, then a line, then a part."""
    inside = [name for name, (left, top, wide, high) in scene.boxes.items()
              if left <= x <= left + wide and top <= y <= top + high]  # fmt: skip
    for name in inside:
        if name in scene.rig.instruments:
            return Pick("instrument", name)
    found = [
        (away, name)
        for name, net in scene.pipes.nets.items()
        for run in net.runs
        for a, b in zip(run.points, run.points[1:], strict=False)
        if (away := distance((x, y), a, b)) <= slack
    ]
    if found and (not inside or min(found)[0] <= slack / 2):
        line = min(found)[1]
        return Pick("line", line, _port(scene, line, (x, y)))
    if inside:
        area = {name: scene.boxes[name][2] * scene.boxes[name][3] for name in inside}
        return Pick("part", min(area, key=area.__getitem__))
    return None


def distance(place: Point, a: Point, b: Point) -> float:
    """Return how far a place is from the straight piece between two points [px]."""
    (x, y), (ax, ay), (bx, by) = place, a, b
    length = (bx - ax) ** 2 + (by - ay) ** 2
    share = 0.0 if length == 0 else min(max(((x - ax) * (bx - ax) + (y - ay) * (by - ay)) / length, 0.0), 1.0)
    return math.hypot(x - ax - share * (bx - ax), y - ay - share * (by - ay))


def _port(scene: Scene, line: str, place: Point) -> tuple[str, str] | None:
    """Return the port of a line that stands nearest to a place."""
    ports = []
    for owner, port in scene.rig.lines[line].joins:
        anchor = scene.layout.placed[owner].symbol.anchors.get(port) if owner in scene.layout.placed else None
        if anchor is not None:
            ports.append((math.hypot(anchor.x - place[0], anchor.y - place[1]), owner, port))
    return min(ports)[1:] if ports else None
