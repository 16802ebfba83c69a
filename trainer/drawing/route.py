"""Orthogonal routes: ways for every line between its ports, without lying on another line.

Routes of the drawing table are taken as they are; whatever they leave unjoined is searched on a grid of one
module (and the half modules on which a port stands), cheapest in length, bends and crossings.
"""

from __future__ import annotations

import heapq
import itertools
from collections.abc import Iterable, Mapping, Sequence

from trainer.drawing.nets import Graph, Port, Terminal, plain
from trainer.drawing.shapes import Point
from trainer.drawing.symbols import M

__all__ = ["Box", "Router"]

Box = tuple[float, float, float, float]
Cell = tuple[int, int]  # in half modules
HALF = M / 2

_BEND, _CROSS, _BESIDE, _NEAR = 8.0, 14.0, 3.0, 3.0
_STEPS = ((1, 0), (0, -1), (-1, 0), (0, 1))
_MOST, _MOST_IN_ALL = 30_000, 250_000  # cells looked at in one search, and for one drawing


class Router:
    """Searches routes one after another; each takes the ground that later ones must not lie on."""

    def __init__(self, boxes: Iterable[Box], area: Box, soft: Iterable[Box] = ()) -> None:
        self.area = tuple(round(v / HALF) for v in area)
        self.blocked: set[Cell] = set()
        self.near: set[Cell] = set()
        self.taken: dict[Cell, tuple[str, bool, bool]] = {}  # line, runs across, runs down
        self.looked = 0
        for left, top, right, bottom in boxes:
            for x in range(round(left / HALF) - 1, round(right / HALF) + 2):
                for y in range(round(top / HALF) - 1, round(bottom / HALF) + 2):
                    inside = left - 1 < x * HALF < right + 1 and top - 1 < y * HALF < bottom + 1
                    (self.blocked if inside else self.near).add((x, y))
        for left, top, right, bottom in soft:
            self.near |= {
                (x, y)
                for x in range(round(left / HALF), round(right / HALF) + 1)
                for y in range(round(top / HALF), round(bottom / HALF) + 1)
            }

    @staticmethod
    def _cell(p: Point) -> Cell:
        return round(p[0] / HALF), round(p[1] / HALF)

    def take(self, line: str, path: Sequence[Point]) -> None:
        """Claim the ground under a path."""
        for a, b in itertools.pairwise(path):
            (ax, ay), (bx, by) = self._cell(a), self._cell(b)
            across, down = ay == by and ax != bx, ax == bx and ay != by
            n = max(abs(bx - ax), abs(by - ay), 1)
            for k in range(n + 1):
                cell = (ax + (bx - ax) * k // n, ay + (by - ay) * k // n)
                _, was_across, was_down = self.taken.get(cell, (line, False, False))
                end = k in (0, n)  # corners and ends may not be crossed at all
                self.taken[cell] = (line, was_across or across or end, was_down or down or end)

    def reserve(self, line: str, terminals: Iterable[Terminal]) -> None:
        """Keep the ports of a line free for it."""
        for t in terminals:
            if t.drop is None:
                self.take(line, (t.inner, t.at) if t.inner != t.at else (t.at, t.at))

    def search(self, line: str, start: Point, goals: Iterable[Point]) -> list[Point]:  # noqa: C901 - a call per cell costs
        """Return the cheapest free path from a point to the nearest goal; [] when none is found soon."""
        ends = {self._cell(g) for g in goals}
        if not ends:
            return []
        origin = self._cell(start)
        xs = [c[0] for c in ends]
        ys = [c[1] for c in ends]
        left, right, top, bottom = min(xs), max(xs), min(ys), max(ys)
        lines_x = {c[0] for c in ends} | {origin[0]}
        lines_y = {c[1] for c in ends} | {origin[1]}
        x0, y0, x1, y1 = self.area
        taken, blocked, near = self.taken, self.blocked, self.near
        best: dict[tuple[Cell, int], float] = {}
        before: dict[tuple[Cell, int], tuple[Cell, int]] = {}
        queue: list[tuple[float, float, Cell, int]] = [(0.0, 0.0, origin, -1)]
        most = min(self.looked + _MOST, _MOST_IN_ALL)
        while queue and self.looked < most:
            self.looked += 1
            _, cost, cell, way = heapq.heappop(queue)
            if best.get((cell, way), cost) < cost:
                continue
            if cell in ends and way >= 0:
                return self._back(before, (cell, way), start)
            on = taken.get(cell)
            crossing = on is not None and on[0] != line and cell != origin
            for turn, (dx, dy) in enumerate(_STEPS):
                if way >= 0 and (turn == (way + 2) % 4 or (crossing and turn != way)):
                    continue
                x, y = cell[0] + dx, cell[1] + dy
                if not (x0 <= x <= x1 and y0 <= y <= y1):
                    continue
                to = (x, y)
                if (to in blocked and to not in ends) or (to in blocked and taken.get(to, ("",))[0] != line):
                    continue
                if (dx and y % 2 and y not in lines_y) or (dy and x % 2 and x not in lines_x):
                    continue  # half-module tracks only where a port stands on one
                price = cost + 1.0 + (_BEND if way >= 0 and turn != way else 0.0)
                there = taken.get(to)
                if there is not None and there[0] == line and to not in ends:
                    continue
                if there is not None and there[0] != line:
                    if there[1] if dx else there[2]:
                        continue
                    price += _CROSS
                elif to in near:
                    price += _NEAR
                for side in (-1, 1):
                    for reach in (1, 2, 3):
                        beside = taken.get((x + side * reach * (dy != 0), y + side * reach * (dx != 0)))
                        if beside is not None and beside[0] != line and (beside[1] if dx else beside[2]):
                            price += _BESIDE
                            break
                key = (to, turn)
                if price < best.get(key, 1e18):
                    best[key] = price
                    before[key] = (cell, way)
                    ahead = max(left - x, x - right, 0) + max(top - y, y - bottom, 0)
                    heapq.heappush(queue, (price + ahead, price, to, turn))
        return []

    @staticmethod
    def _back(
        before: Mapping[tuple[Cell, int], tuple[Cell, int]], key: tuple[Cell, int], start: Point
    ) -> list[Point]:
        cells = [key[0]]
        while key in before:
            key = before[key]
            cells.append(key[0])
        points = [(x * HALF, y * HALF) for x, y in reversed(cells)]
        points[0] = start
        return plain(points)

    def join(
        self, line: str, terminals: Sequence[Terminal], given: Sequence[Sequence[Point]] = ()
    ) -> tuple[list[Sequence[Point]], dict[Point, Port]]:
        """Return the paths that join a line's terminals, given ones first, and where they drop into a vessel.

        Where there is no free way the straightest one is taken, over whatever lies there.
        """
        paths: list[Sequence[Point]] = list(given)
        vessel = next((t for t in terminals if t.drop is not None), None)
        drops: dict[Point, Port] = {}
        goals: list[Point] = []
        if vessel is not None and vessel.drop is not None:
            left, right, lip, end = vessel.drop
            for path in paths:
                drops |= {p: vessel.port for p in (path[0], path[-1]) if p[1] == end and left <= p[0] <= right}
            first, last = round(left / M) + 2, round(right / M) - 2
            goals = [(x * M, lip) for x in range(first, last + 1)]
            goals += [
                t.at for t in terminals if t.drop is None and left + M <= t.at[0] <= right - M and t.at[1] == lip
            ]
        joined = Graph()
        for path in paths:
            joined.add(path)
        ports = [t for t in terminals if t.drop is None]
        tree, groups = _groups(joined, [t.at for t in ports], list(drops))
        if vessel is None:
            tree = groups.pop(0)
        while groups:
            origin = min(groups, key=lambda g: _gap(g, tree) if tree else 0)
            groups.remove(origin)
            found = self._connect(line, origin, tree, goals)
            if not found:
                found = _straightest(origin, tree, goals)
            if goals and found[-1] in goals and vessel is not None and vessel.drop is not None:
                end_point = (found[-1][0], vessel.drop[3])
                found = plain([*found, end_point])
                drops[end_point] = vessel.port
            paths.append(found)
            self.take(line, found)
            joined.add(found)
            tree |= origin | set(_lattice(found))
        if vessel is not None and vessel.drop is not None and not drops and not ports:
            left, right, lip, end = vessel.drop  # a port of a tank that is plugged: a stub
            x = round((left + right) / 2 / M) * M
            paths.append([(x, lip - M), (x, end)])
            drops[x, end] = vessel.port
        return paths, drops

    def _connect(self, line: str, origin: set[Point], tree: set[Point], goals: list[Point]) -> list[Point]:
        starts = sorted(origin, key=lambda p: _gap({p}, tree) if tree else 0)[:3]
        options = [self.search(line, s, [*tree, *goals]) for s in starts]
        return min((o for o in options if o), key=_consumption, default=[])


def _straightest(origin: set[Point], tree: set[Point], goals: Sequence[Point]) -> list[Point]:
    """Return the shortest path of one corner from a group of points to a tree, as far as the tree's first point."""
    ends = tree or set(goals)
    _, a, b = min((abs(a[0] - b[0]) + abs(a[1] - b[1]), a, b) for a in origin for b in ends)
    path = plain([a, (b[0], a[1]), b])
    points = [a, *(p for p in _lattice(path) if p != a)]
    met = next((k for k, p in enumerate(points) if p in ends), len(points) - 1)
    return plain(points[: met + 1])


def _consumption(path: Sequence[Point]) -> float:
    length = sum(abs(a[0] - b[0]) + abs(a[1] - b[1]) for a, b in itertools.pairwise(path))
    return length / HALF + _BEND * len(path)


def _gap(one: set[Point], other: set[Point]) -> float:
    return min((abs(a[0] - b[0]) + abs(a[1] - b[1]) for a in one for b in other), default=0.0)


def _lattice(path: Sequence[Point]) -> list[Point]:
    found: list[Point] = []
    for (ax, ay), (bx, by) in itertools.pairwise(path):
        n = max(1, round(max(abs(bx - ax), abs(by - ay)) / M))
        found += [(ax + (bx - ax) * k / n, ay + (by - ay) * k / n) for k in range(n + 1)]
    return found


def _groups(graph: Graph, ports: list[Point], drops: list[Point]) -> tuple[set[Point], list[set[Point]]]:
    """Return what already reaches a vessel by one of its drops, and the other connected groups of points."""
    left = set(graph.links) | set(ports)
    groups: list[set[Point]] = []
    rooted: set[Point] = set()
    while left:
        start = min(left)
        group, stack = {start}, [start]
        while stack:
            for near in graph.links.get(stack.pop(), ()):
                if near not in group:
                    group.add(near)
                    stack.append(near)
        left -= group
        full = set(group)
        for p in group:
            for q in graph.links.get(p, ()):
                full |= set(_lattice((p, q)))
        if any(d in group for d in drops):
            rooted |= full
        else:
            groups.append(full)
    groups.sort(key=lambda g: (-len(g), min(g)))
    return rooted, groups
