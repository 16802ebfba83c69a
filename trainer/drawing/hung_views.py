"""What hangs from a crane and what lies round it, seen from the side, from above and along the boom, to scale."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator

from trainer.drawing.machine_pose import Log, Place, Pose, Stand
from trainer.drawing.shapes import Circle, Path, Point, Shape
from trainer.drawing.theme import Theme
from trainer.drawing.view_frame import ViewFrame

__all__ = ["along_view", "hung_above", "hung_aside", "yard_above", "yard_aside"]

Flat = Callable[[Place], Point]
_ARM, _CLAW = 0.38, 0.36  # lengths of a tong's halves [m]
_PIVOT = (0.08, 0.28)  # aside and above the tongs' middle
_CLEAR = 0.08  # between a large log and the tongs' pins [m]
_ROUND = tuple(math.radians(angle) for angle in range(60, -45, -5))  # where a claw may touch a log, below its middle
_MOUTH = 0.375  # half the width of the open tongs
_SEEN = 0.02  # rad of sway from which the plumb line is drawn
_STROP = 0.4  # half of what is between a strop's turns round a log [m]
_EDGE = 0.15  # over which a stand rises [m]


def _claw(pose: Pose) -> tuple[Point, Point, Point]:
    """Return pin, elbow and end of the right tong, aside and below the middle of the tongs or of what they grip."""
    if log := pose.gripped:
        pin = (_PIVOT[0], -max(_PIVOT[1], log.radius + _CLEAR))
        for angle in _ROUND:
            end = (log.radius * math.cos(angle), log.radius * math.sin(angle))
            elbow = _bent(pin, end)
            if (elbow[0] - end[0]) * end[0] + (elbow[1] - end[1]) * end[1] >= 0:
                break  # the claw touches the log and does not go through it
        return pin, elbow, end
    pin, end = (_PIVOT[0], -_PIVOT[1]), (_MOUTH * (1 - pose.shut), pose.belly)
    return pin, _bent(pin, end), end


def _bent(pin: Point, end: Point) -> Point:
    """Return the elbow of a tong between its pin and its end, bent outward, by the law of cosines."""
    dx, dy = end[0] - pin[0], end[1] - pin[1]
    far = math.hypot(dx, dy)
    along = (_ARM**2 - _CLAW**2 + far**2) / (2 * far)
    off = math.sqrt(max(_ARM**2 - along**2, 0.0))
    return pin[0] + (along * dx + off * dy) / far, pin[1] + (along * dy - off * dx) / far


def _grapple(pose: Pose, pane: ViewFrame, theme: Theme, flat: Flat, *, wide: float = 1.0) -> Iterator[Shape]:
    """Yield link, head and tongs; ``wide`` is the share of their width that is seen."""
    gripped = pose.gripped
    tip, elbow, body = flat(pose.tip), flat(pose.elbow), flat(gripped.place if gripped else pose.body)
    dx, dy = body[0] - elbow[0], body[1] - elbow[1]
    far = math.hypot(dx, dy)
    dx, dy = (dx / far, dy / far) if far > 1e-6 else (0.0, -1.0)

    def hang(aside: float, down: float) -> Point:
        return pane.at(body[0] + dx * down - dy * aside * wide, body[1] + dy * down + dx * aside * wide)

    tong_of = _claw(pose)
    pin = tong_of[0][1]
    yield Path((pane.at(*tip), pane.at(*elbow), hang(0.0, pin - 0.22)), "ink", 3.0)
    for side in (-1, 1):
        tong = [hang(side * x, y) for x, y in tong_of]
        yield Path(tuple(tong), "ink", 3.0)
    head = [hang(x, y + pin) for x, y in ((-0.09, -0.24), (0.09, -0.24), (0.12, 0.02), (-0.12, 0.02))]
    yield Path(tuple(head), "ink", theme.outline, "cell", closed=True)
    yield Circle(*pane.at(*elbow), 2.2, "ink", theme.outline, "paper")
    yield Circle(*pane.at(*tip), 3.4, "ink", theme.outline, "paper")


def _under(pose: Pose, pane: ViewFrame, flat: Flat) -> Iterator[Shape]:
    """Yield the shadow under what hangs, and the plumb line down to it."""
    carried = pose.carries
    (x, y, z), radius = (carried.place, carried.radius) if carried else (pose.body, 0.25)
    across, up = flat((x, y, z))
    belly = up - radius if carried else up - pose.belly
    ground = belly - pose.over
    if pose.over > 0.05:
        yield Path((pane.at(across, belly), pane.at(across, ground)), "ink2", 1.0, dash=(3.0, 4.0))
    yield Path((pane.at(across - radius, ground), pane.at(across + radius, ground)), "ink2", 4.0)


def _strop(pose: Pose, pane: ViewFrame, flat: Flat, half: float, down: float) -> Iterator[Shape]:
    """Yield the strop of a load that is hooked on by hand while the tongs are open: they do not hold it.

    It goes from the grapple's head to both sides of the log, ``half`` of its length or width apart, and ``down`` from
    its top [m].
    """
    if not pose.hooked or pose.closed or (log := pose.carries) is None:
        return
    x, up = flat(log.place)
    at_x, at_up = flat(pose.body)
    hook = pane.at(at_x, at_up + _PIVOT[1])
    foot = up + log.radius - down
    yield Path((pane.at(x - half, foot), hook, pane.at(x + half, foot)), "ink", 2.0)


def hung_aside(pose: Pose, pane: ViewFrame, theme: Theme) -> list[Shape]:
    """Return what hangs in the plane of the boom, with a plumb line where the sway can be seen, and its shadow."""

    def flat(place: Place) -> Point:
        return pose.out(place), place[2]

    shapes = list(_under(pose, pane, flat))
    tip = flat(pose.tip)
    if abs(pose.sway) > _SEEN and pose.contact < 1.0:
        shapes.append(Path((pane.at(*tip), pane.at(tip[0], tip[1] - pose.link)), "ink2", 1.0, dash=(5.0, 4.0)))
    if carried := pose.carries:
        at = pane.at(*flat(carried.place))
        shapes.append(Circle(*at, carried.radius * pane.scale, "accent", theme.main, "accent-pale"))
        shapes += _strop(pose, pane, flat, 0.94 * carried.radius, 0.66 * carried.radius)
    return [*shapes, *_grapple(pose, pane, theme, flat)]


def along_view(pose: Pose, pane: ViewFrame, theme: Theme) -> list[Shape]:
    """Return what hangs as the operator sees it along the boom: left is left, the tip stands still at the origin."""

    def flat(place: Place) -> Point:
        return pose.aside(pose.tip) - pose.aside(place), place[2] - pose.tip[2]

    shapes: list[Shape] = []
    if abs(pose.sway) > _SEEN and pose.contact < 1.0:
        shapes.append(Path((pane.at(0, 0), pane.at(0, -pose.link)), "ink2", 1.0, dash=(5.0, 4.0)))
    x, y = pane.at(0, 0)
    shapes.append(
        Path(((x - 10, y - 7), (x + 10, y - 7), (x + 10, y + 7), (x - 10, y + 7)), "ink", theme.outline, "cell",
             closed=True)
    )  # fmt: skip
    shapes += _under(pose, pane, flat)
    if carried := pose.carries:
        across, up = flat(carried.place)
        half, radius = pose.log_length / 2, carried.radius
        corners = [(-half, -radius), (half, -radius), (half, radius), (-half, radius)]
        outline = tuple(pane.at(across + a, up + b) for a, b in corners)
        shapes.append(Path(outline, "accent", theme.main, "accent-pale", closed=True))
        shapes += _strop(pose, pane, flat, _STROP, 0.0)
    return [*shapes, *_grapple(pose, pane, theme, flat, wide=0.4)]


def hung_above(pose: Pose, pane: ViewFrame, theme: Theme) -> list[Shape]:
    """Return what hangs from above: the links to it, and the log across the arm."""
    wide = theme.outline
    tip, body = pane.at(-pose.tip[1], pose.tip[0]), pane.at(-pose.body[1], pose.body[0])
    carried = pose.carries
    shapes: list[Shape] = []
    if carried:
        outline = _lying(pane, carried, pose.log_length, pose.slew)
        shapes.append(Path(outline, "accent", wide, "accent-pale", closed=True))
    shapes.append(Path((tip, body), "ink", wide))
    ink, fill = ("accent", "accent-pale") if carried else ("ink", "cell")
    shapes.append(Circle(*body, 6.0, ink, wide, fill))
    return shapes


def _lying(pane: ViewFrame, log: Log, length: float, angle: float) -> tuple[Point, ...]:
    """Return the outline of a log from above that lies across a direction [rad]."""
    c, s = math.cos(angle), math.sin(angle)
    x, y, _ = log.place
    corners = [(-1, -1), (1, -1), (1, 1), (-1, 1)]
    found = []
    for a, b in corners:
        out, side = a * log.radius, b * length / 2
        found.append(pane.at(-(y + out * s + side * c), x + out * c - side * s))
    return tuple(found)


def yard_above(pose: Pose, pane: ViewFrame, theme: Theme) -> list[Shape]:
    """Return stands, lying logs and the mark from above."""
    shapes: list[Shape] = []
    for stand in pose.stands:
        corners = [(-1, -1), (1, -1), (1, 1), (-1, 1)]
        outline = tuple(
            pane.at(-(stand.left + b * stand.wide / 2), stand.ahead + a * stand.long / 2) for a, b in corners
        )
        shapes.append(Path(outline, "ink2", theme.outline, closed=True))
    for log in pose.logs:
        if not log.carried:
            angle = math.atan2(log.place[1], log.place[0])
            shapes.append(Path(_lying(pane, log, pose.log_length, angle), "ink2", theme.outline, "cell", closed=True))
    ahead, left, size = pose.mark
    if size > 0:
        ring = [(math.cos(k * math.pi / 12), math.sin(k * math.pi / 12)) for k in range(24)]
        outline = tuple(pane.at(-left + size / 2 * a, ahead + size / 2 * b) for a, b in ring)
        shapes.append(Path(outline, "ink", theme.outline, closed=True, dash=(5.0, 4.0)))
    return shapes


def _crossed(pose: Pose, stand: Stand) -> tuple[float, float] | None:
    """Return from where to where the arm's direction crosses a stand [m out], None where it does not."""
    near, far = 0.0, 1e3
    directions = (math.cos(pose.slew), math.sin(pose.slew))
    for direction, middle, size in zip(directions, (stand.ahead, stand.left), (stand.long, stand.wide), strict=True):
        if abs(direction) < 1e-6:
            if abs(middle) > size / 2:
                return None
            continue
        ends = sorted(((middle - size / 2) / direction, (middle + size / 2) / direction))
        near, far = max(near, ends[0]), min(far, ends[1])
    return (near, far) if far > near + 2 * _EDGE else None


def yard_aside(pose: Pose, pane: ViewFrame, theme: Theme) -> list[Shape]:
    """Return the ground in the boom's plane: stands that it crosses, logs that lie there, the mark."""
    shapes: list[Shape] = []
    for stand in pose.stands:
        if crossed := _crossed(pose, stand):
            near, far = crossed
            points = ((near, 0.0), (near + _EDGE, stand.height), (far - _EDGE, stand.height), (far, 0.0))
            shapes.append(Path(tuple(pane.at(*p) for p in points), "ink", theme.outline, "cell", closed=True))
    for log in pose.logs:
        far = math.hypot(log.place[0], log.place[1])
        if not log.carried and abs(pose.aside(log.place)) < pose.log_length / 2 and pose.out(log.place) > 0:
            shapes.append(Circle(*pane.at(far, log.place[2]), log.radius * pane.scale, "ink2", theme.outline, "cell"))
    ahead, left, size = pose.mark
    if size > 0 and abs(pose.aside((ahead, left, 0.0))) < size:
        out = pose.out((ahead, left, 0.0))
        for edge in (out - size / 2, out + size / 2):
            x, y = pane.at(edge, 0.0)
            shapes.append(Path(((x, y + 7), (x, y - 7)), "ink", theme.outline))
    return shapes
