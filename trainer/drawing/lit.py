"""What is lit on a drawing: a quiet halo around lines and parts, the keyboard's ring, numbered steps of a path."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterable, Mapping, Sequence

from trainer.drawing.nets import Net, Run
from trainer.drawing.placed import Layout, Placed, Vessel
from trainer.drawing.route import Box
from trainer.drawing.scene_state import Place, StepShown
from trainer.drawing.shapes import Circle, Path, Point, Shape, Words
from trainer.drawing.theme import Theme

__all__ = ["Halo", "disc_size", "step_discs"]

_HALF = 10.0  # half the width of a line's halo [px]
_GAP = 2.5  # between the box of a part and its frame [px]
_BAND, _RIM = 3.5, 1.25  # width of a frame's pale band; of every rim
_RING = 2.0  # width of the keyboard's ring
_STEP = 8.0  # between places tried for a disc


class Halo:
    """Halos of one drawing, each made once and kept; ``boxes`` are those of its parts and instruments.

    Those of the sections slide with their envelopes: ``around`` makes them.
    """

    def __init__(self, nets: Mapping[str, Net], layout: Layout, boxes: Mapping[str, Box]) -> None:
        self._nets, self._layout, self._boxes = nets, layout, boxes
        self._kept: dict[tuple[Place, bool], tuple[list[Shape], list[Shape]]] = {}
        self._sliding: dict[str, tuple[object, list[Shape]]] = {}

    def shapes(self, lit: Iterable[Place], chosen: Place | None = None) -> list[Shape]:
        """Return halos around what is lit and a ring around what is chosen, to be painted under the pipes."""
        frames: list[Shape] = []
        rims: list[Shape] = []
        bands: list[Shape] = []
        for place in sorted(lit):
            rim, band = self._of(place, False)
            if place[0] == "line":
                rims += rim
                bands += band
            else:
                frames += [*band, *rim]
        found = [*frames, *rims, *bands]
        if chosen is not None:
            rim, band = self._of(chosen, True)
            found += [*rim, *(band if chosen not in lit else self._of(chosen, False)[1])]
        return found

    def around(self, id_: str, box: Box, lit: bool, chosen: bool) -> list[Shape]:
        """Return halo and ring of a section around its envelope where that is now (left, top, width, height) [px]."""
        kept = self._sliding.get(id_)
        if kept is None or kept[0] != (box, lit, chosen):
            rim, band = _frame(box, False) if lit else ([], [])
            ring, _ = _frame(box, True) if chosen else ([], [])
            kept = self._sliding[id_] = ((box, lit, chosen), [*band, *rim, *ring])
        return kept[1]

    def _of(self, place: Place, ring: bool) -> tuple[list[Shape], list[Shape]]:
        """Return (rims, bands) of a line, a part or an instrument; nothing for what is not drawn here."""
        kept = self._kept.get((place, ring))
        if kept is None:
            kind, name = place
            if kind == "line":
                kept = self._line(name, ring) if name in self._nets else ([], [])
            else:
                seen = name in self._boxes and (kind == "instrument" or self._stands(name))
                kept = _frame(self._boxes[name], ring) if seen else ([], [])
            self._kept[place, ring] = kept
        return kept

    def _stands(self, id_: str) -> bool:
        return self._layout.seen(id_) and self._layout.placed[id_].symbol.manner.moves != "spool"

    def _line(self, name: str, ring: bool) -> tuple[list[Shape], list[Shape]]:
        ink, wide = ("ink", _RING) if ring else ("accent", _RIM)
        fill = "paper" if ring else "accent-pale"
        rims: list[Shape] = []
        bands: list[Shape] = []
        net = self._nets[name]
        for run in net.runs:
            points = self._clear(run)
            if len(points) > 1:
                rims.append(Path(_longer(points, run.dotted, wide), ink, 2 * (_HALF + wide)))
                bands.append(Path(points, fill, 2 * _HALF))
        for x, y in net.dots:
            rims.append(Circle(x, y, _HALF + wide, None, 0.0, ink))
            bands.append(Circle(x, y, _HALF, None, 0.0, fill))
        return rims, bands

    def _clear(self, run: Run) -> tuple[Point, ...]:
        """Return a run without what of it lies in the frames of the parts at its ends."""
        boxes = [self._frame_of(part) for part in self._layout.placed.values() if self._layout.seen(part.fitted.id)]
        points = list(run.points)
        for end, dotted in ((0, run.dotted[0]), (-1, run.dotted[1])):
            if dotted:
                continue
            if end:
                points.reverse()
            box = next((b for b in boxes if _inside(points[0], b)), None)
            if box is not None:
                points = _outside(points, box)
            if end:
                points.reverse()
        return tuple(points)

    def _frame_of(self, part: Placed) -> Box:
        if part.vessel is not None:
            v = part.vessel
            return v.left, v.lip, v.right - v.left, v.bottom - v.lip
        left, top, wide, high = self._boxes[part.fitted.id]
        slack = _GAP + _BAND
        return left - slack, top - slack, wide + 2 * slack, high + 2 * slack


def _frame(box: Box, ring: bool) -> tuple[list[Shape], list[Shape]]:
    """Return (rim, band) around a box (left, top, width, height)."""
    if ring:
        return [Path(_corners(box, _GAP + _BAND + 1.0), "ink", _RING, closed=True)], []
    band = Path(_corners(box, _GAP + _BAND / 2), "accent-pale", _BAND, closed=True)
    return [Path(_corners(box, _GAP + _BAND), "accent", _RIM, closed=True)], [band]


def _corners(box: Box, slack: float) -> tuple[Point, ...]:
    left, top, wide, high = box
    right, bottom = left + wide + slack, top + high + slack
    return (left - slack, top - slack), (right, top - slack), (right, bottom), (left - slack, bottom)


def _inside(point: Point, box: Box) -> bool:
    left, top, wide, high = box
    return left <= point[0] <= left + wide and top <= point[1] <= top + high


def _outside(points: Sequence[Point], box: Box) -> list[Point]:
    """Return a polyline from where it leaves the box that it begins in; nothing where it never does."""
    left, top, wide, high = box
    for k, (a, b) in enumerate(itertools.pairwise(points)):
        if not _inside(b, box):
            x = min(max(b[0], left), left + wide)
            y = min(max(b[1], top), top + high)
            edge = (x, a[1]) if a[1] == b[1] else (a[0], y)
            return [edge, *points[k + 1 :]]
    return []


def _longer(points: Sequence[Point], dotted: tuple[bool, bool], by: float) -> tuple[Point, ...]:
    """Return a polyline drawn out at its loose ends, so that a rim closes them."""
    made = list(points)
    for end, beside, joined in ((0, 1, dotted[0]), (-1, -2, dotted[1])):
        (x, y), (bx, by_) = made[end], made[beside]
        length = math.hypot(x - bx, y - by_)
        if not joined and length > 0:
            made[end] = (x + (x - bx) / length * by, y + (y - by_) / length * by)
    return tuple(made)


# -- numbered steps --------------------------------------------------------------------------------------------------


def disc_size(theme: Theme, least: float) -> tuple[float, float]:
    """Return (size of the number, radius of its disc) [px], where no text is smaller than ``least`` [px]."""
    size = max(theme.label, least)
    return size, 0.74 * size


def step_discs(
    nets: Mapping[str, Net],
    layout: Layout,
    boxes: Mapping[str, Box],
    steps: Iterable[StepShown],
    theme: Theme,
    least: float = 0.0,
    written: Sequence[Box] = (),
) -> list[Shape]:
    """Return a numbered disc for each step, on its line where the oil enters it, clear of instruments and discs.

    ``written`` is where figures stand (left, top, right, bottom) [px], which are kept clear of too.
    """
    size, radius = disc_size(theme, least)
    instruments = (box for name, box in boxes.items() if name not in layout.placed)
    taken = [(left + wide / 2, top + high / 2, 0.5 * min(wide, high)) for left, top, wide, high in instruments]
    ground = _ground(nets, layout, boxes)
    found: list[Shape] = []
    for step in steps:
        spots = list(_spots(nets, layout, step, radius + 5.0))
        if not spots:
            continue
        apart = [s for s in spots if all(math.dist(s, (x, y)) >= r + radius + 2.0 for x, y, r in taken)]
        free = [s for s in apart if not any(_meets(s, radius, box) for box in written)]
        own = layout.placed.get(step.place[1])
        if step.entry is None and (own is None or own.vessel is None):  # of a path all know what it goes along
            others = _others(nets, boxes, step.place[1])
            clear = [s for s in free if not any(_meets(s, radius - 3.0, box) for box in others)]
            far = [s for s in clear if not any(_meets(s, radius + 8.0, box) for box in others)]
            free = [*far, *clear, *free]
        x, y = next(iter((*free, *apart, *spots)))  # rather on a figure than on another disc
        taken.append((x, y, radius))
        found.append(Circle(x, y, radius, "accent", theme.outline, "cell"))
        found.append(Words(x, y + 0.34 * size, str(step.number), size, "ink", 600, "centre"))
        if step.words:
            found.append(_named(step.words, (x, y), radius, size, ground + [_square(spot) for spot in taken]))
    return found


def _ground(nets: Mapping[str, Net], layout: Layout, boxes: Mapping[str, Box]) -> list[Box]:
    """Return what a word beside a disc should not cover (left, top, right, bottom) [px]: bodies, pipes, passages."""
    found = [_sides(box) for box in boxes.values()]
    for part in layout.placed.values():
        if part.symbol.manner.moves == "spool":
            found.append((part.x - 60.0, part.y - 44.0, part.x + 60.0, part.y + 44.0))
    for net in nets.values():
        for (ax, ay), (bx, by) in (pair for run in net.runs for pair in itertools.pairwise(run.points)):
            found.append((min(ax, bx) - 6.0, min(ay, by) - 6.0, max(ax, bx) + 6.0, max(ay, by) + 6.0))
    return found


def _others(nets: Mapping[str, Net], boxes: Mapping[str, Box], own: str) -> list[Box]:
    """Return where parts and lines are, but for one (left, top, right, bottom) [px]: a disc there would be theirs."""
    found = [_sides(box) for name, box in boxes.items() if name != own]
    runs = (run for name, net in nets.items() if name != own for run in net.runs)
    for (ax, ay), (bx, by) in (pair for run in runs for pair in itertools.pairwise(run.points)):
        found.append((min(ax, bx), min(ay, by), max(ax, bx), max(ay, by)))
    return found


def _sides(box: Box) -> tuple[float, float, float, float]:
    """Return left, top, right, bottom of a box (left, top, width, height)."""
    left, top, wide, high = box
    return left, top, left + wide, top + high


def _meets(at: Point, radius: float, box: Box) -> bool:
    """Return whether a disc meets a box (left, top, right, bottom), or all but touches it."""
    radius += 4.0
    return box[0] - radius < at[0] < box[2] + radius and box[1] - radius < at[1] < box[3] + radius


def _square(disc: tuple[float, float, float]) -> tuple[float, float, float, float]:
    x, y, radius = disc
    return x - radius, y - radius, x + radius, y + radius


def _named(words: str, at: Point, radius: float, size: float, ground: Iterable[Box]) -> Words:
    """Return a word beside a disc, on the side where it covers least of the ground."""
    (x, y), out = at, radius + 4.0
    wide, high = 0.55 * size * len(words), 0.75 * size
    obstacles = list(ground)
    sides = [
        (x + across, y + down, align)
        for down in (-0.5 * radius, 1.1 * size, -out - 0.3 * size, out + 1.1 * size)
        for across, align in ((out, "left"), (-out, "right"))
    ] + [(x, y - out, "centre"), (x, y + out + high, "centre")]  # fmt: skip

    def covered(side: tuple[float, float, str]) -> float:
        left = side[0] - {"left": 0.0, "centre": 0.5, "right": 1.0}[side[2]] * wide
        top, right, bottom = side[1] - high, left + wide, side[1] + 0.2 * size
        return sum(
            max(min(right, b[2]) - max(left, b[0]), 0.0) * max(min(bottom, b[3]) - max(top, b[1]), 0.0)
            for b in obstacles
        )

    left, base, align = min(sides, key=covered)
    return Words(left, base, words, size, "ink", 600, align)


def _spots(nets: Mapping[str, Net], layout: Layout, step: StepShown, begins: float) -> Iterable[Point]:
    """Yield places for the disc of a step, from where the oil enters on."""
    kind, name = step.place
    if kind == "part":
        part = layout.placed.get(name)
        if part is not None and part.vessel is not None:
            yield from _in_vessel(part.vessel, nets, begins)
        elif part is not None:
            left, top, right, bottom = part.box
            yield right + begins, top
            yield left - begins, top
            yield right + begins, bottom
            yield left - begins, bottom
            yield right + begins, 0.5 * (top + bottom)
            yield left - begins, 0.5 * (top + bottom)
        return
    if name not in nets:
        return
    for k, points in enumerate(_onward(nets[name], layout, step.entry)):
        travelled, along = 0.0, begins if k == 0 else begins + _STEP  # clear of the part, and of a junction
        for a, b in itertools.pairwise(points):
            length = math.dist(a, b)
            while along <= travelled + length and length > 0:
                share = (along - travelled) / length
                yield a[0] + (b[0] - a[0]) * share, a[1] + (b[1] - a[1]) * share
                along += _STEP
            travelled += length
    longest = max((pair for run in nets[name].runs for pair in itertools.pairwise(run.points)),
                  key=lambda pair: math.dist(*pair), default=None)  # fmt: skip
    if longest is not None:
        (ax, ay), (bx, by) = longest
        tries = int(math.dist((ax, ay), (bx, by)) / _STEP)
        for k in range(max(tries, 1)):  # from its middle on, to either side
            share = 0.5 + (-1) ** k * ((k + 1) // 2) / max(tries, 1)
            yield ax + (bx - ax) * share, ay + (by - ay) * share


def _in_vessel(vessel: Vessel, nets: Mapping[str, Net], begins: float) -> Iterable[Point]:
    """Yield places in a vessel from the right, clear of the pipes that end in it; at its corner where none is."""
    pipes = [x for net in nets.values() for run in net.runs for x, y in run.points if y == vessel.end]
    y = 0.5 * (vessel.level + vessel.bottom)
    x = vessel.right - begins
    while x > vessel.left + begins:
        if all(abs(x - pipe) > begins + 2.0 for pipe in pipes):
            yield x, y
        x -= _STEP
    yield vessel.right + begins, y


def _onward(net: Net, layout: Layout, entry: tuple[str, str] | None) -> Iterable[tuple[Point, ...]]:
    """Yield the runs of a net from a port on, nearest first, each seen the way the oil enters it."""
    part = layout.placed.get(entry[0]) if entry is not None else None
    anchor = part.symbol.anchors.get(entry[1]) if part is not None and entry is not None else None
    if anchor is None:
        return
    left, ends = list(net.runs), [anchor.inner]
    while ends:
        at = ends.pop(0)
        meeting = [run for run in left if at in (run.points[0], run.points[-1])]
        for run in sorted(meeting, key=lambda run: -run.length):
            left.remove(run)
            points = run.points if run.points[0] == at else run.points[::-1]
            ends.append(points[-1])
            yield points
