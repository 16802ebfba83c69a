"""Three views of a crane on its trailer, to scale: in the plane of the boom, from above, from behind."""

from __future__ import annotations

import math
from collections.abc import Sequence

from trainer.drawing.hung_views import hung_above, hung_aside, yard_above, yard_aside
from trainer.drawing.machine_pose import Pose
from trainer.drawing.shapes import Arc, Circle, Path, Point, Shape
from trainer.drawing.theme import Theme
from trainer.drawing.view_frame import ViewFrame
from trainer.parts import arm as geometry

__all__ = ["plan_view", "rear_view", "side_view"]

_FRAME, _DECK = 0.72, 0.92  # lower and upper edge of the trailer's frame [m]
_WHEEL = 0.40  # radius of a wheel [m]
_BOOM_OUTLINE = (
    (-0.13, 0.12), (1.18, 0.17), (1.24, 0.26), (1.38, 0.26), (1.44, 0.16), (2.68, 0.10), (2.70, -0.09), (1.2, -0.12),
    (0.44, -0.12), (0.39, -0.21), (0.27, -0.21), (0.20, -0.12), (-0.13, -0.12),
)  # fmt: skip
_STICK_OUTLINE = (
    (-0.36, 0.08), (-0.29, 0.17), (-0.20, 0.16), (0.06, 0.12), (2.06, 0.06), (2.09, -0.05), (0.2, -0.13),
    (-0.10, -0.10),
)  # fmt: skip
_BARRELS = (0.76, 0.92)  # lengths of the cylinders' barrels from their eyes [m]
_TRAILER = (-3.1, 0.32, 0.70)  # rear, front, half width; straight ahead is positive [m]
_AXLE = -1.9
_LEGS = -0.15


def _turned(point: Point, angle: float, origin: Point) -> Point:
    c, s = math.cos(angle), math.sin(angle)
    return origin[0] + c * point[0] - s * point[1], origin[1] + s * point[0] + c * point[1]


def _beam(start: Point, end: Point, one: float, other: float) -> tuple[Point, ...]:
    """Return the outline of a bar between two points, its thickness at either end [px]."""
    length = math.dist(start, end) or 1.0
    nx, ny = -(end[1] - start[1]) / length / 2, (end[0] - start[0]) / length / 2
    return (
        (start[0] + nx * one, start[1] + ny * one),
        (end[0] + nx * other, end[1] + ny * other),
        (end[0] - nx * other, end[1] - ny * other),
        (start[0] - nx * one, start[1] - ny * one),
    )


def _cylinder(pane: ViewFrame, base: Point, rod: Point, barrel: float, thick: float, wide: float) -> list[Shape]:
    """Return a cylinder from its eye to the eye of its rod: a barrel of fixed length, the rod leaving it."""
    share = min(0.98, barrel / (math.dist(base, rod) or 1.0))
    mouth = (base[0] + (rod[0] - base[0]) * share, base[1] + (rod[1] - base[1]) * share)
    foot, end, far = pane.at(*base), pane.at(*mouth), pane.at(*rod)
    bar = thick * pane.scale
    return [
        Path((end, far), "ink", max(3.0, 0.4 * bar)),
        Path(_beam(foot, end, bar, bar), "ink", wide, "cell", closed=True),
        Circle(*foot, 2.6, None, 0.0, "ink"),
        Circle(*far, 2.6, None, 0.0, "ink"),
    ]


def side_view(pose: Pose, pane: ViewFrame, theme: Theme) -> list[Shape]:
    """Return the crane in the plane of its boom, the trailer behind it as seen from there."""
    wide, at, lean = theme.outline, pane.at, pose.lean
    boom, fold = pose.boom + lean, pose.boom + pose.stick + lean

    def flat(out: float, up: float) -> Point:
        place = pose.there(out, up)
        return pose.out(place), place[2]

    heel = flat(0.0, 0.0)
    knee = flat(geometry.BOOM * math.cos(pose.boom), geometry.BOOM * math.sin(pose.boom))
    boom_base = _turned(geometry.BOOM_PINS[1], lean, heel)
    boom_rod = _turned(geometry.BOOM_PINS[0], boom, heel)
    stick_base = _turned(geometry.STICK_PINS[1], boom, knee)
    stick_rod = _turned(geometry.STICK_PINS[0], fold, knee)
    foot = _DECK - pose.pivot
    column = ((-0.30, foot), (-0.15, 0.10), (0.14, 0.12), (0.30, -0.95), (0.32, foot))
    return [
        *_trailer_aside(pose, pane, theme),
        *yard_aside(pose, pane, theme),
        Path(pane.outline(column, lean, heel), "ink", wide, "cell", closed=True),
        *_cylinder(pane, boom_base, boom_rod, _BARRELS[0], 0.15, wide),
        Path(pane.outline(_BOOM_OUTLINE, boom, heel), "ink", wide, "cell", closed=True),
        Path(pane.outline(_STICK_OUTLINE, fold, knee), "ink", wide, "cell", closed=True),
        *_cylinder(pane, stick_base, stick_rod, _BARRELS[1], 0.13, wide),
        *(Circle(*at(*pin), 4.0, "ink", wide, "paper") for pin in (heel, knee)),
        *hung_aside(pose, pane, theme),
    ]


def _trailer_aside(pose: Pose, pane: ViewFrame, theme: Theme) -> list[Shape]:
    """Return frame, wheels and legs of the trailer projected on the plane of the boom."""
    wide, at = theme.outline, pane.at
    c, s = math.cos(pose.slew), math.sin(pose.slew)  # a point (ahead, to the left) is at ahead * c + left * s
    rear, front, half = _TRAILER
    corners = [x * c + y * s for x in (rear, front) for y in (-half, half)]
    left, right = max(min(corners), pane.x0), max(corners)
    shapes: list[Shape] = []

    def leant(points: Sequence[Point]) -> tuple[Point, ...]:
        return pane.outline(points, pose.lean, (0.0, pose.heave))

    broad = _WHEEL * abs(c) + 0.13 * abs(s)
    for track in sorted((pose.track, -pose.track), key=lambda y: y * c):
        middle = _AXLE * c + track * s
        hub = _WHEEL + max(0.0, pose.heave + track * math.sin(pose.roll))  # a tyre flattens, it does not sink
        ring = [k * math.pi / 10 for k in range(20)]
        rim = tuple(at(middle + broad * math.cos(turn), hub + _WHEEL * math.sin(turn)) for turn in ring)
        if middle - broad > pane.x0:
            shapes.append(Path(rim, "ink", wide, "cell", closed=True))
    frame = leant(((left, _FRAME), (right, _FRAME), (right, _DECK), (left, _DECK)))
    shapes.append(Path(frame, "ink", wide, "cell", closed=True))
    for side, foot, load, ground in zip((1, -1), pose.feet, pose.loads, pose.grounds, strict=True):
        x = _LEGS * c + side * pose.spread * s
        if abs(ground) > 0.005:  # this foot stands on a step of its own
            step = ((x - 0.2, 0.0), (x - 0.2, ground), (x + 0.2, ground), (x + 0.2, 0.0))
            shapes.append(Path(tuple(at(*p) for p in step), "ink", wide))
        top, inside, end = leant(((x, _DECK + 0.2), (x, _FRAME - 0.1), (x, _FRAME - 0.15)))
        shapes.append(Path((inside, at(x, foot)), "ink", 3.5))
        shapes.append(Path(_beam(top, end, 8.0, 8.0), "ink", wide, "cell", closed=True))
        shapes.append(Path((at(x - 0.15, foot + 0.03), at(x + 0.15, foot + 0.03)), "ink", 4.0 if load > 1 else 3.0))
    return shapes


def plan_view(pose: Pose, pane: ViewFrame, theme: Theme) -> list[Shape]:
    """Return the crane from above, straight ahead up the page, slewing to the left positive."""
    wide, at = theme.outline, pane.at
    rear, front, half = _TRAILER
    middle = at(0, 0)
    limit = min(180.0, math.degrees(pose.limit))
    radius = 4.75 * pane.scale
    bend = pose.there(geometry.BOOM * math.cos(pose.boom), geometry.BOOM * math.sin(pose.boom))
    heel, knee, tip = (at(-place[1], place[0]) for place in (pose.there(0.0, 0.0), bend, pose.tip))
    shapes: list[Shape] = [
        Arc(*middle, radius, 90 - limit, 2 * limit, "hairline", 1.5),
        Path((middle, at(0, 4.75)), "hairline", 1.0, dash=(6.0, 5.0)),
    ]
    for side in (-1, 1):
        x, y = side * pose.track, _AXLE
        wheel = (
            at(x - 0.14, y - _WHEEL),
            at(x + 0.14, y - _WHEEL),
            at(x + 0.14, y + _WHEEL),
            at(x - 0.14, y + _WHEEL),
        )
        shapes.append(Path(wheel, "ink", wide, "cell", closed=True))
    frame = (at(-half, rear), at(half, rear), at(half, front), at(-half, front))
    shapes.append(Path(frame, "ink", wide, "cell", closed=True))
    if pose.loads:
        bar = (at(-pose.spread, _LEGS - 0.08), at(pose.spread, _LEGS - 0.08))
        shapes.append(Path(bar, "ink", 4.0))
    for side, load in zip((1, -1), pose.loads, strict=False):
        x, y = at(-side * pose.spread, _LEGS - 0.08)
        plate = ((x - 5, y - 5), (x + 5, y - 5), (x + 5, y + 5), (x - 5, y + 5))
        shapes.append(Path(plate, "ink", wide, "ink" if load > 1 else "cell", closed=True))
    return [
        *yard_above(pose, pane, theme),
        *shapes,
        Path(_beam(heel, knee, 11.0, 8.0), "ink", wide, "cell", closed=True),
        Circle(*heel, 8.0, "ink", wide, "cell"),
        Path(_beam(knee, tip, 7.0, 5.0), "ink", wide, "cell", closed=True),
        Circle(*knee, 3.2, "ink", wide, "paper"),
        *hung_above(pose, pane, theme),
    ]


def rear_view(pose: Pose, pane: ViewFrame, theme: Theme) -> list[Shape]:
    """Return the trailer from behind as it heaves and leans, each foot over its own ground."""
    wide, at = theme.outline, pane.at
    edge = (pose.track + pose.spread) / 2
    one, other = pose.grounds
    steps = ((-1.55, one), (-edge, one), (-edge, 0.0), (edge, 0.0), (edge, other), (1.55, other))
    shapes: list[Shape] = []

    def leant(points: Sequence[Point]) -> tuple[Point, ...]:  # leaning to the right is positive: the left side rises
        return pane.outline(points, -pose.roll, (0.0, pose.heave))

    for side in (-1, 1):
        x = side * pose.track
        lift = max(0.0, pose.heave - side * pose.track * math.sin(pose.roll))  # a tyre flattens, it does not sink
        wheel = [(x - 0.13, lift), (x + 0.13, lift), (x + 0.13, lift + 2 * _WHEEL), (x - 0.13, lift + 2 * _WHEEL)]
        shapes.append(Path(tuple(at(*p) for p in wheel), "ink", wide, "cell", closed=True))
    frame = [(-pose.spread, _FRAME), (pose.spread, _FRAME), (pose.spread, _DECK), (-pose.spread, _DECK)]
    column = [(-0.17, _DECK), (0.17, _DECK), (0.15, 1.45), (-0.15, 1.45)]
    shapes.append(Path(leant(frame), "ink", wide, "cell", closed=True))
    shapes.append(Path(leant(column), "ink", wide, "cell", closed=True))
    for side, foot, load in zip((1, -1), pose.feet, pose.loads, strict=True):
        x = -side * pose.spread
        (top,) = leant([(x, _FRAME - 0.2)])
        end = at(x, foot)
        shapes.append(Path((top, end), "ink", 4.0))
        tube = [
            (x - 0.075, _DECK + 0.2),
            (x + 0.075, _DECK + 0.2),
            (x + 0.075, _FRAME - 0.35),
            (x - 0.075, _FRAME - 0.35),
        ]
        shapes.append(Path(leant(tube), "ink", wide, "cell", closed=True))
        plate = 5.0 if load > 1 else 3.5
        half = 0.13 * pane.scale
        shapes.append(Path(((end[0] - half, end[1] - plate / 2), (end[0] + half, end[1] - plate / 2)), "ink", plate))
    shapes.append(Path(tuple(at(*p) for p in steps), "ink", wide))
    return shapes
