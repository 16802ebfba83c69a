"""Aids on the machine's views as draw lists: the place asked for, how near, own trail, the best run dotted."""

from __future__ import annotations

import math
from collections.abc import Sequence

from trainer.drawing.machine_pose import Place, Pose
from trainer.drawing.shapes import Circle, Path, Shape
from trainer.drawing.view_frame import ViewFrame
from trainer.parts.arm import BOOM, BOOM_CLOSED, BOOM_PINS, STICK, STICK_CLOSED, STICK_PINS

__all__ = [
    "boom_angle",
    "ghost_above",
    "ghost_along",
    "ghost_aside",
    "plan_spot",
    "plan_target",
    "side_line",
    "side_target",
    "trail_above",
    "wedge",
]

_DOTS = (2.5, 4.0)
_RADIUS = 4.75  # of the arc in the plan [m]


def _pins(angle: float, moving: tuple[float, float], fixed: tuple[float, float]) -> float:
    c, s = math.cos(angle), math.sin(angle)
    return math.hypot(c * moving[0] - s * moving[1] - fixed[0], s * moving[0] + c * moving[1] - fixed[1])


def boom_angle(line: str, stroke: float) -> float:
    """Return the angle [rad] at which the cylinder of boom or stick is out by a stroke [m]."""
    pins, closed = (BOOM_PINS, BOOM_CLOSED) if line == "boom" else (STICK_PINS, STICK_CLOSED)
    low, high = (-1.2, 1.5) if line == "boom" else (-2.6, 0.2)
    rising = _pins(high, *pins) > _pins(low, *pins)
    for _ in range(60):
        middle = (low + high) / 2
        if (_pins(middle, *pins) - closed < stroke) is rising:
            low = middle
        else:
            high = middle
    return (low + high) / 2


def _tip(boom: float, stick: float) -> tuple[float, float]:
    fold = boom + stick
    return BOOM * math.cos(boom) + STICK * math.cos(fold), BOOM * math.sin(boom) + STICK * math.sin(fold)


def side_target(pose: Pose, pane: ViewFrame, line: str, target: float, within: float) -> list[Shape]:
    """Return where the load is to be, dashed, and ticks at the tolerance on the way of the tip."""
    if line not in ("boom", "stick"):
        return []

    def tip(stroke: float) -> tuple[float, float]:
        angle = boom_angle(line, stroke)
        return _tip(angle, pose.stick) if line == "boom" else _tip(pose.boom, angle)

    out, up = tip(target)
    up += pose.pivot + pose.heave
    at = pane.at(out, up - pose.link - pose.belly + pose.radius)
    radius = (pose.radius + 0.03) * pane.scale
    shapes: list[Shape] = [
        Circle(*at, radius, None, 0.0, "cell"),
        Path(_ring(at, radius), "ink", 2.0, closed=True, dash=(5.0, 4.0)),
    ]
    for edge in (target - within, target + within):
        one, other = tip(edge), tip(edge + 1e-3)
        along = math.hypot(other[0] - one[0], other[1] - one[1]) or 1.0
        nx, ny = -(other[1] - one[1]) / along, (other[0] - one[0]) / along
        x, y = one[0], one[1] + pose.pivot + pose.heave
        ends = (pane.at(x + 0.10 * nx, y + 0.10 * ny), pane.at(x + 0.30 * nx, y + 0.30 * ny))
        shapes.append(Path(ends, "ink", 2.0))
    return shapes


def side_line(pose: Pose, pane: ViewFrame, ends: Sequence[float], within: float) -> list[Shape]:
    """Return the way of the tip that is asked for, dashed, and ticks round its end; ends are out and up [m]."""
    if len(ends) != 4:
        return []
    base = pose.pivot + pose.heave
    out, up = ends[2], ends[3] + base
    shapes: list[Shape] = [
        Path((pane.at(ends[0], ends[1] + base), pane.at(out, up)), "ink", 2.0, dash=(7.0, 5.0)),
    ]
    for edge in (out - within, out + within):
        shapes.append(Path((pane.at(edge, up - 0.16), pane.at(edge, up + 0.16)), "ink", 2.0))
    return shapes


def _ring(at: tuple[float, float], radius: float) -> tuple[tuple[float, float], ...]:
    turns = (k * math.pi / 16 for k in range(32))
    return tuple((at[0] + radius * math.cos(turn), at[1] + radius * math.sin(turn)) for turn in turns)


def plan_target(pose: Pose, pane: ViewFrame, target: float, within: float, length: float) -> list[Shape]:
    """Return where the log is to lie from above, dashed on white, and ticks at the tolerance on the arc."""
    reach = pose.reach
    c, s = math.cos(target), math.sin(target)

    def at(out: float, aside: float) -> tuple[float, float]:
        return pane.at(-(out * s + aside * c), out * c - aside * s)

    half, wide = length / 2, 0.2
    box = tuple(at(reach + a * wide, b * half) for a, b in ((-1, -1), (1, -1), (1, 1), (-1, 1)))
    shapes: list[Shape] = [Path(box, "ink", 2.0, "cell", True, dash=(5.0, 4.0))]
    for edge in (target - within, target + within):
        c, s = math.cos(edge), math.sin(edge)
        ends = tuple(pane.at(-radius * s, radius * c) for radius in (_RADIUS - 0.15, _RADIUS + 0.2))
        shapes.append(Path(ends, "ink", 2.4))
    return shapes


def plan_spot(pane: ViewFrame, ahead: float, left: float, length: float) -> list[Shape]:
    """Return where a log is to be set down from above, dashed, across the way there."""
    away = math.hypot(ahead, left) or 1.0
    c, s = ahead / away, left / away
    half, wide = length / 2, 0.2
    box = [
        pane.at(-(left + a * wide * s + b * half * c), ahead + a * wide * c - b * half * s)
        for a, b in ((-1, -1), (1, -1), (1, 1), (-1, 1))
    ]
    return [Path(tuple(box), "ink", 2.0, closed=True, dash=(5.0, 4.0))]


def trail_above(points: Sequence[Place], pane: ViewFrame, best: bool) -> list[Shape]:
    """Return a way from above: one's own, or the best run's, dotted."""
    if len(points) < 2:
        return []
    places = tuple(pane.at(-y, x) for x, y, _ in points)
    return [Path(places, "ink2", 1.6, dash=_DOTS) if best else Path(places, "accent", 2.0)]


def ghost_above(ghost: dict[str, float], pane: ViewFrame, length: float) -> list[Shape]:
    """Return the log of the best run from above, and its direction from the column, dotted."""
    c, s = math.cos(ghost["slew"]), math.sin(ghost["slew"])
    half, wide = length / 2, 0.2
    x, y = ghost["ahead"], ghost["left"]
    box = []
    for a, b in ((-1, -1), (1, -1), (1, 1), (-1, 1)):
        out, aside = a * wide, b * half
        box.append(pane.at(-(y + out * s + aside * c), x + out * c - aside * s))
    reach = ghost["reach"]
    line = (pane.at(0.0, 0.0), pane.at(-reach * s, reach * c))
    return [Path(tuple(box), "ink2", 1.6, closed=True, dash=_DOTS), Path(line, "ink2", 1.6, dash=_DOTS)]


def ghost_aside(ghost: dict[str, float], pose: Pose, pane: ViewFrame) -> list[Shape]:
    """Return the log of the best run in the boom's plane, dotted."""
    out = math.hypot(ghost["ahead"], ghost["left"])
    ring = _ring(pane.at(out, ghost["up"] - pose.belly + pose.radius), pose.radius * pane.scale)
    return [Path(ring, "ink2", 1.6, closed=True, dash=_DOTS)]


def ghost_along(ghost: dict[str, float], pose: Pose, pane: ViewFrame, length: float) -> list[Shape]:
    """Return the log of the best run along its own boom, dotted: its sway, not where it is."""
    c, s = math.cos(ghost["slew"]), math.sin(ghost["slew"])
    aside = ghost["left"] * c - ghost["ahead"] * s
    up = ghost["up"] - pose.tip[2]
    half, radius = length / 2, pose.radius
    box = tuple(
        pane.at(-aside + a * half, up - pose.belly + pose.radius + b * radius)
        for a, b in ((-1, -1), (1, -1), (1, 1), (-1, 1))
    )
    return [Path(box, "ink2", 1.6, closed=True, dash=_DOTS)]


def wedge(pose: Pose, pane: ViewFrame, limit: float) -> list[Shape]:
    """Return how far from plumb is near enough, in white with hatched edges, from the tip down."""
    length = 1.4 * pose.link
    left, right = (pane.at(side * length * math.tan(limit), -length) for side in (-1, 1))
    top, foot = pane.at(0.0, 0.0), pane.at(0.0, -length)
    shapes: list[Shape] = [
        Path((top, left, right), None, 0.0, "cell", True),
        Path((top, left), "ink2", 1.4),
        Path((top, right), "ink2", 1.4),
        Path((top, foot), "ink2", 1.2, dash=(5.0, 4.0)),
    ]
    for side in (left, right):  # hatched: white on a light ground is faint before a class
        for k in range(4, 12):
            x, y = (a + (b - a) * k / 12 for a, b in zip(top, side, strict=True))
            way = -7.0 if side is left else 7.0
            shapes.append(Path(((x, y), (x + way, y + 5.0)), "ink2", 1.0))
    return shapes
