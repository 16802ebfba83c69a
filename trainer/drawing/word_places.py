"""Where the words of a drawing stand so that none runs into another, a pipe or a part: at home, or moved."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Any

import numpy as np
import numpy.typing as npt

from trainer.drawing.route import Box
from trainer.drawing.scene import Scene
from trainer.drawing.shapes import AnyShape, DrawList, Figure, Moving, Path, Point, Shape, Sliding, Words
from trainer.drawing.type_widths import text_width
from trainer.drawing.word_ground import Numbers, Standing, WordGround, array, depths, shared

__all__ = ["WordPlaces", "box_of"]

_UP, _DOWN = 0.72, 0.2  # of the height of type above and below the baseline
_WITHIN = 5.0  # px by which a word that belongs into a part lies in it
_TOUCH = 0.5  # two boxes that share less do not meet [screen px]
_APART = 0.5  # kept between words [screen px]
_WORDS, _BODY, _PIPE, _WALL, _LINE, _OUT = 9000.0, 2500.0, 900.0, 450.0, 60.0, 9000.0  # cost of lying on each
_CROWDED = 150.0  # cost from which words count as without room
_FAR, _FARTHEST = (64.0, 44.0), (90.0, 90.0)  # how far words move across and down [screen px], [px]
_BELOW = 1.6  # heights of a line within which the next one follows it
_WAYS = sorted({sign * way for way in (*range(0, 14, 2), *range(14, 65, 3)) for sign in (-1.0, 1.0)})  # either way
_WENT = 4.0  # of a word's home before a place is looked for anew [screen px]
_NAMED = re.compile(r"[A-Za-z]\d+( |$)")
_FIGURES = re.compile(r"[0-9.−-]+")
_HOME = (0.0, 0.0)
_COVER = "cover"  # what tells a cover
_MOST_KNOWN = 500  # words moved that are kept
_Known = dict[int, tuple[Shape | Sliding, Point, Any]]
_SLANT = 0.2  # dearer, of the smaller of both ways


def box_of(words: Words, zoom: float, least: float, text: str = "") -> Box:
    """Return the box of some words [px of the drawing] at a zoom where no type is smaller than ``least``."""
    size = round(max(words.size * zoom, least)) / zoom
    wide = text_width(text or words.text, size, words.weight)
    left = words.x
    if words.align != "left":
        left -= wide / 2 if words.align == "centre" else wide
    return left, words.y - _UP * size, left + wide, words.y + _DOWN * size


@lru_cache(maxsize=2048)
def _at_most(text: str) -> str:
    """Return a text with room for as many figures as a reading has: "0 bar" as "000 bar"."""
    return re.sub(r"(?<![\w.])(\d{1,2})(?=[ °])", lambda found: found[1].rjust(3, "0"), text)


_Key = tuple[int, Figure | str, int]  # rank of a line, what it tells, how many such lines stand before it
_Alike = tuple[Any, ...]  # rank of a line, and what of its shapes tells what is read of them
_ZEROS = str.maketrans("123456789", "000000000")  # all figures are of one width
_Asked = tuple[Box, Box, bool, Point | None, bytes]  # boxes of words, named, where they were, words near them


@lru_cache(maxsize=2048)
def _name_of(text: str, align: str) -> str:
    """Return what some words are known by, whatever their figures are."""
    return f"{_FIGURES.sub('#', text)} {align}"


@dataclass(frozen=True, slots=True)
class _Line:
    """A line of words, or a covered figure with its unit and name: its places in the draw list, its boxes [px].

    ``box`` has room for longer figures, ``plain`` is that at the drawing's own size; ``rank``: the smallest chooses
    first, a line of 3 may be left out.
    """

    at: tuple[int, ...]
    box: Box
    plain: Box
    key: _Key
    rank: int
    fixed: bool  # a sign of its part, such as the letter of a motor
    named: bool  # says of which instrument it is, so that it may stand further off


@dataclass(frozen=True, slots=True)
class _Item:
    """Lines that stay together, each moved down by so much that it clears the one before [px]."""

    lines: tuple[_Line, ...]
    down: tuple[float, ...]

    @property
    def box(self) -> Box:
        """The box of all lines [px]."""
        if len(self.lines) == 1:
            return self.lines[0].box
        return _joint([_gone(line.box, (0.0, down)) for line, down in zip(self.lines, self.down, strict=True)])

    @property
    def plain(self) -> Box:
        """The box of all lines at the drawing's own size [px]."""
        if len(self.lines) == 1:
            return self.lines[0].plain
        return _joint([line.plain for line in self.lines])

    def ways(self, way: Point) -> dict[_Key, Point]:
        """Return by how much each line is moved, where the first is moved by a way [px]."""
        return {line.key: (way[0], way[1] + down) for line, down in zip(self.lines, self.down, strict=True)}


def _stack(lines: Sequence[_Line]) -> _Item:
    """Return lines as one item, each below the one before."""
    downs, lowest = [0.0], lines[0].box[3]
    for line in lines[1:]:
        downs.append(max(downs[-1], lowest - line.box[1]))
        lowest = line.box[3] + downs[-1]
    return _Item(tuple(lines), tuple(downs))


def _joint(boxes: Sequence[Box]) -> Box:
    lows = [min(box[k] for box in boxes) for k in (0, 1)]
    highs = [max(box[k] for box in boxes) for k in (2, 3)]
    return lows[0], lows[1], highs[0], highs[1]


class WordPlaces:
    """Places for the words of one scene at one zoom; no type is smaller than ``least`` [screen px].

    ``area`` is what of the drawing is seen [px], None where it may go on beyond its view. What has no
    room within reach of its home is left out, ids and sizes first; ``without_room`` tells how many.
    """

    def __init__(self, scene: Scene, zoom: float, least: float, area: Box | None) -> None:
        self._zoom, self._least, self._area = zoom, least, area
        self._pixel = 1 / zoom
        far = _FAR[0] * self._pixel, _FAR[1] * self._pixel
        self._far = {True: far, False: (min(far[0], _FARTHEST[0]), min(far[1], _FARTHEST[1]))}
        self._ground = WordGround(scene)
        self._bodies = self._ground.bodies
        self._taken: list[Box] = []
        self._clear: list[Box] = []
        self._still: list[Box] = []
        self._shifts: dict[_Key, Point | None] = {}
        self._widest: dict[str, str] = {}
        self._grown = False  # whether one of them is longer than when lines were read
        self._read: dict[_Alike, _Line] = {}  # lines by what they are like, the first of its kind each
        self._ways: dict[
            tuple[_Key, ...], tuple[_Asked, tuple[Point, float]]
        ] = {}  # by lines: the last that was sought
        self._settled: dict[_Key, Box] = {}  # lines that move, and where they were when places were sought
        self._gone: dict[tuple[Figure | str, int], Point | None] = {}  # by how much words and covers are moved
        self._crowded = 0  # lines that move and have no room
        self.wait = False  # whether words that move wait for their places
        self._known: _Known = {}
        self._free: dict[tuple[Box, Box], bool] = {}  # of words' boxes: whether they lie on nothing drawn
        self.left_out: set[_Key] = set()  # of what stands still

    # -- what is asked for ---------------------------------------------------------------------------------------

    def still(self, shapes: DrawList, moving: Moving) -> list[Shape]:
        """Return what stands still with its words moved where they must be, beside what moves now."""
        first, lines = self._lines_of(moving, 0), self._lines_of(shapes, 2)
        places = self._settle([*self._stacked(first), *self._stacked(lines)], self._taken)
        self._still = [_gone(line.box, way) for line in lines if (way := places[line.key]) is not None]
        self._settled, self._clear, self._gone = {}, [], {}
        self.left_out = {line.key for line in lines if places[line.key] is None}
        return [*_moved(shapes, {k: places[line.key] for line in lines for k in line.at}, self._known)]

    def moving(self, shapes: Sequence[AnyShape], anew: bool) -> Sequence[AnyShape]:
        """Return what moves with its words beside each other; places are looked for where ``anew``.

        Words that are new wait for that, out of the picture, but what covers a figure does not. Where words go the
        others stay where they are.
        """
        told = _told(shapes)
        new = {one[0] for one in told.values() if one not in self._gone}
        self.wait = bool(new) and bool(self._gone) and not anew and _COVER not in new
        if anew or (new and not self.wait):
            lines = self._lines_of(shapes, 0)
            if not self._settled.keys() >= {line.key for line in lines} or (anew and self._went(lines)):
                self._settled = {line.key: line.box for line in lines}
                self._shifts = self._settle(self._stacked(lines), [*self._still, *self._taken, *self._clear])
            ways = {k: self._shifts[line.key] for line in lines for k in line.at}
            self._gone = {what: ways.get(k, _HOME) for k, what in told.items()}
            self._crowded = sum(self._shifts[line.key] is None for line in lines)
        moved = {k: way for k, what in told.items() if (way := self._gone.get(what)) != _HOME}
        return [*_moved(shapes, moved, self._known)] if moved else shapes

    def clear(self, boxes: Iterable[Box]) -> Box:
        """Return the first of some boxes [px] in which nothing is drawn, else the last."""
        ground = self._ground
        drawn = np.vstack((ground.pipes, ground.bodies, ground.walls, ground.lines))
        found = (0.0, 0.0, 0.0, 0.0)
        for found in boxes:
            if not shared(np.array([found]), drawn).any():
                break
        return found

    def keep_clear(self, box: Box, always: bool = False) -> None:
        """Let no words stand in a box [px]; unless ``always``, only until what stands still is placed anew."""
        (self._taken if always else self._clear).append(box)

    @property
    def without_room(self) -> int:
        """Number of lines of words that are left out."""
        return len(self.left_out) + self._crowded

    # -- how it is found -----------------------------------------------------------------------------------------

    def _went(self, lines: Sequence[_Line]) -> bool:
        """Return whether words have gone from where they were when places were found, or have grown."""
        far, settled = _WENT * self._pixel, self._settled
        return any(
            abs(box[0] - was[0]) > far
            or abs(box[1] - was[1]) > far
            or abs(box[2] - was[2]) > far
            or abs(box[3] - was[3]) > far
            for box, was in ((line.box, settled[line.key]) for line in lines)
        )

    def _lines_of(self, shapes: Moving, rank: int) -> list[_Line]:
        """Return the lines of words of a draw list."""
        if self._grown or len(self._read) > _MOST_KNOWN:
            self._read, self._grown = {}, False
        groups: list[tuple[int, ...]] = []
        k = 0
        while k < len(shapes):
            shape = shapes[k]
            at = _together(shapes, k) if isinstance(shape, Words) or _covers(shape) else ()
            if at:
                groups.append(at)
            k = at[-1] + 1 if at else k + 1
        keys = [(rank, *[_alike(shapes[k]) for k in at]) for at in groups]
        fresh = {key: [shapes[k] for k in at] for key, at in zip(keys, groups, strict=True) if key not in self._read}
        if fresh:
            self._read.update(self._read_now(fresh))
        counts: Counter[Figure | str] = Counter()
        found = []
        for at, key in zip(groups, keys, strict=True):
            line = self._read[key]
            what = line.key[1]
            counts[what] += 1
            found.append(replace(line, at=at, key=(rank, what, counts[what])))
        return found

    def _read_now(self, lines: Mapping[_Alike, Sequence[Shape | Sliding]]) -> Iterator[tuple[_Alike, _Line]]:
        """Yield lines of these shapes, by the rank of each and what it is like; nowhere in a draw list yet."""
        boxes = [self._boxes(shapes) for shapes in lines.values()]
        plain = array(own for _, own in boxes)[:, None, :]
        b = self._bodies
        within = (b[:, 0] < plain[..., 0]) & (b[:, 1] < plain[..., 1])
        within &= (plain[..., 2] < b[:, 2]) & (plain[..., 3] < b[:, 3])
        fixed: list[bool] = np.asarray(within.any(axis=1)).tolist()
        for k, (key, shapes) in enumerate(lines.items()):
            rank = key[0]
            words = [shape for shape in shapes if isinstance(shape, Words)]
            what = words[0].about or " ".join([_name_of(shape.text, shape.align) for shape in words])
            second = rank + (words[-1].ink == "ink2" if rank else words[-1].weight < 600)
            named = any(_NAMED.match(shape.text) for shape in words)
            yield key, _Line((), *boxes[k], (rank, what, 1), second, fixed[k], named)

    def _boxes(self, shapes: Sequence[Shape | Sliding]) -> tuple[Box, Box]:
        """Return the box of a line with room for longer figures, and that at the drawing's own size [px]."""
        boxes, plain = [], []
        for shape in shapes:
            if isinstance(shape, Words):
                name = _name_of(shape.text, shape.align)
                widest = _at_most(shape.text)
                if text_width(self._widest.get(name, ""), 1.0) < text_width(widest, 1.0):
                    self._widest[name] = widest
                    self._grown = True
                widest = self._widest.get(name, widest)
                boxes.append(box_of(shape, self._zoom, self._least, widest))
                plain.append(box_of(shape, 1.0, 0.0))
            elif isinstance(shape, Path):
                xs, ys = [p[0] for p in shape.points], [p[1] for p in shape.points]
                boxes.append((min(xs), min(ys), max(xs), max(ys)))
                plain.append(boxes[-1])
        return (boxes[0], plain[0]) if len(boxes) == 1 else (_joint(boxes), _joint(plain))

    def _stacked(self, lines: Sequence[_Line]) -> list[_Item]:
        """Return lines that stand below each other as one, each clear of the one before."""
        found: list[list[_Line]] = []
        for line in lines:
            if found and not line.fixed and not found[-1][-1].fixed and _follows(found[-1][-1], line):
                found[-1].append(line)
            else:
                found.append([line])
        return [_stack(lines) for lines in found]

    def _settle(self, items: Sequence[_Item], taken: Sequence[Box]) -> dict[_Key, Point | None]:
        """Return by how much each line is moved; None for one that is left out."""
        found: dict[_Key, Point | None] = {}
        stands = Standing(taken, [item.box for item in items], _APART * self._pixel)

        def stand(item: _Item, way: Point) -> None:
            found.update(item.ways(way))
            stands.add(_gone(line.box, found[line.key] or way) for line in item.lines)

        def place(lines: Sequence[_Line]) -> bool:
            item = _stack(lines)
            way, cost = self._way(item, stands)
            if cost < _CROWDED:
                stand(item, way)
            return cost < _CROWDED

        free = self._free_homes(items)
        firsts = [item.lines[0] for item in items]
        for k in sorted(range(len(items)), key=lambda k: (not firsts[k].fixed, firsts[k].rank)):
            item, lines = items[k], [*items[k].lines]
            if firsts[k].fixed or (free[k] and not stands.meet(k)):
                stand(item, _HOME)
                continue
            placed, apart = place(lines), list[_Line]()
            while not placed and (spare := [line for line in lines if line.rank == 3]):  # ids and sizes
                apart.append(max(spare, key=lambda line: line.box[2] - line.box[0]))
                lines.remove(apart[-1])
                placed = bool(lines) and place(lines)
            if placed and apart:  # they may have room by themselves, together or each
                apart.sort(key=item.lines.index)
                if not place(apart) and len(apart) > 1:
                    for line in apart:
                        place([line])
            for line in lines if not placed and len(lines) > 1 else ():
                place([line])
            for line in item.lines:
                found.setdefault(line.key, None)
        return found

    def _free_homes(self, items: Sequence[_Item]) -> list[bool]:
        """Return of which words the home lies on nothing drawn, but for the part into which they belong."""
        if len(self._free) > _MOST_KNOWN:
            self._free.clear()
        asked = [(item.box, item.plain) for item in items]
        fresh = [*dict.fromkeys(both for both in asked if both not in self._free)]
        if fresh:
            touch = np.array([1.0, 1.0, -1.0, -1.0]) * _TOUCH * self._pixel
            homes = array(box for box, _ in fresh)
            own = depths(array(plain for _, plain in fresh), self._bodies) >= _WITHIN
            met = (shared(homes + touch, self._bodies) > 0) & ~own
            crowded = met.any(axis=1) | self._outside(homes)
            for others in (self._ground.pipes, self._ground.walls, self._ground.lines):
                crowded |= (shared(homes + touch, others) > 0).any(axis=1)
            self._free.update(zip(fresh, (not one for one in crowded), strict=True))
        return [self._free[both] for both in asked]

    def _outside(self, boxes: Numbers) -> npt.NDArray[np.bool_]:
        if self._area is None:
            return np.zeros(len(boxes), dtype=bool)
        low, high = np.array(self._area[:2]), np.array(self._area[2:])
        return np.array(((boxes[:, :2] < low) | (boxes[:, 2:] > high)).any(axis=1), dtype=bool)

    def _way(self, item: _Item, stands: Standing) -> tuple[Point, float]:
        """Return by how much words are moved, and what they lie on costs there.

        It is looked for where it is not known: the drawing stands, so that it depends on the words alone, where they
        were, and on those near them. Of a large drawing few words move at a time.
        """
        keys = tuple(line.key for line in item.lines)
        across, down = self._far[item.lines[0].named]
        near = (np.array(item.box) + np.array([-across, -down, across, down]))[None, :]
        standing = stands.boxes
        words = standing[shared(near, standing)[0] > 0]
        kept = self._shifts.get(keys[0])
        asked = (item.box, item.plain, item.lines[0].named, kept, words.tobytes())
        known = self._ways.get(keys)
        if known is None or known[0] != asked:
            known = self._ways[keys] = (asked, self._sought(item, near, words, kept))
        return known[1]

    def _sought(self, item: _Item, near: Numbers, words: Numbers, kept: Point | None) -> tuple[Point, float]:
        """Return the way of some words among others, kept where it was if it may be."""
        box = np.array(item.box)
        own = depths(np.array([item.plain]), self._bodies)[0] >= _WITHIN
        all_grounds = (
            (_PIPE, self._ground.pipes),
            (_WALL, self._ground.walls),
            (_LINE, self._ground.lines),
            (_BODY, self._bodies[~own]),
        )
        grounds = [(_WORDS, words), *((cost, other[shared(near, other)[0] > 0]) for cost, other in all_grounds)]
        if float(self._costs(box, np.zeros((1, 2)), grounds)[0]) <= 0.0:
            return (0.0, 0.0), 0.0
        grounds.append((_BODY, self._bodies[own]))
        if kept is not None and float(self._costs(box, np.array([kept]), grounds)[0]) <= 0.0:
            return kept, 0.0
        ways, dear = _ways(self._pixel, self._far[item.lines[0].named])
        costs = self._costs(box, ways, grounds)
        best = int(np.argmin(costs + dear))
        return (float(ways[best][0]), float(ways[best][1])), float(costs[best])

    def _costs(self, box: Numbers, ways: Numbers, grounds: Sequence[tuple[float, Numbers]]) -> Numbers:
        boxes = box[None, :] + np.hstack([ways, ways])
        size = max(float((box[2] - box[0]) * (box[3] - box[1])), 1e-9)
        slack = _TOUCH * self._pixel
        costs = np.zeros(len(ways))
        for dear, others in grounds:
            if not len(others):
                continue
            grown = (_APART if dear == _WORDS else -_TOUCH) * self._pixel
            met = shared(boxes + np.array([-grown, -grown, grown, grown]), others)
            costs += dear * ((met > slack**2) * 0.3 + 0.7 * met / size).sum(axis=1)
        return costs + _OUT * self._outside(boxes)


@lru_cache(maxsize=64)
def _ways(pixel: float, far: Point) -> tuple[Numbers, Numbers]:
    """Return ways [px] that words may be moved, no further than ``far``, and what each costs [screen px]."""
    across, down = (np.array([way for way in _WAYS if abs(way) <= length / pixel]) for length in far)
    x, y = (grid.ravel() for grid in np.meshgrid(across, down))
    dear = np.maximum(abs(x), abs(y)) + _SLANT * np.minimum(abs(x), abs(y)) + 0.01 * (y > 0)
    return np.stack([x, y], axis=1) * pixel, dear


def _told(shapes: Sequence[Shape | Sliding]) -> dict[int, tuple[Figure | str, int]]:
    """Return the places of words and covers in a draw list, each with what it tells, as the how manieth."""
    counts: Counter[Figure | str] = Counter()
    found = {}
    for k, shape in enumerate(shapes):
        if isinstance(shape, Words):
            what = shape.about or _name_of(shape.text, shape.align)
        elif _covers(shape):
            what = _COVER
        else:
            continue
        counts[what] += 1
        found[k] = (what, counts[what])
    return found


def _together(shapes: Moving, k: int) -> tuple[int, ...]:
    """Return the places of what is one line of words from a place of a draw list on, none where no words are."""

    def cover(at: int) -> bool:
        return at < len(shapes) and _covers(shapes[at])

    def words(at: int) -> Words | None:
        shape = shapes[at] if at < len(shapes) else None
        return shape if isinstance(shape, Words) and shape.text else None

    first, last = words(k), words(k + 2)
    if first and last and cover(k + 1) and first.y == last.y:
        return k, k + 1, k + 2
    if cover(k) and words(k + 1):
        return k, k + 1
    return (k,) if words(k) else ()


def _alike(shape: Shape | Sliding) -> _Alike:
    """Return all that matters of words or a cover but which figures they have."""
    if isinstance(shape, Words):
        text = shape.text.translate(_ZEROS)
        return text, shape.x, shape.y, shape.size, shape.ink, shape.weight, shape.align, shape.about
    assert isinstance(shape, Path)
    return shape.points


def _covers(shape: Shape | Sliding) -> bool:
    """Return whether a shape covers a figure."""
    return isinstance(shape, Path) and shape.hatch == "cover-hatch" and len(shape.points) == 4


def _follows(one: _Line, other: _Line) -> bool:
    """Return whether a line stands right below another."""
    high = one.plain[3] - one.plain[1]
    below = other.plain[3] - one.plain[3]
    overlap = min(one.plain[2], other.plain[2]) - max(one.plain[0], other.plain[0])
    return 0.0 < below < _BELOW * high and overlap > 0 and (one.rank < 2) == (other.rank < 2)


def _moved(shapes: Sequence[AnyShape], ways: Mapping[int, Point | None], known: _Known) -> Iterator[AnyShape]:
    """Yield shapes, those at some places of the list moved by a way, without those whose way is None.

    The same shape moved the same way again is the same one: what is ``known`` is kept from list to list.
    """
    if len(known) > _MOST_KNOWN:
        known.clear()
    for k, shape in enumerate(shapes):
        way = ways.get(k, _HOME)
        if way == _HOME:
            yield shape
        elif way is not None:
            kept = known.get(id(shape))
            if kept is None or kept[0] is not shape or kept[1] != way:
                kept = known[id(shape)] = (shape, way, _shifted(shape, way))
            yield kept[2]


def _gone(box: Box, way: Point) -> Box:
    return box[0] + way[0], box[1] + way[1], box[2] + way[0], box[3] + way[1]


def _shifted(shape: AnyShape, way: Point) -> AnyShape:
    if isinstance(shape, Words):
        return replace(shape, x=shape.x + way[0], y=shape.y + way[1])
    assert isinstance(shape, Path)
    return replace(shape, points=tuple((x + way[0], y + way[1]) for x, y in shape.points))
