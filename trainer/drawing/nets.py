"""A drawn line as a tree of runs: between ports, junctions and the vessel in which it ends."""

from __future__ import annotations

import itertools
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field

from trainer.drawing.shapes import Point

__all__ = ["Graph", "Net", "Port", "Run", "Terminal", "plain", "ring_in", "tree_of"]

Port = tuple[str, str]


@dataclass(frozen=True, slots=True)
class Terminal:
    """A port of a line as drawn: where the line meets it, and where its pipe ends inside [px].

    ``drop``: it may end anywhere in a vessel; ``span`` is then (left, right, lip, end of the pipe).
    """

    port: Port
    at: Point
    inner: Point
    drop: tuple[float, float, float, float] | None = None


@dataclass(frozen=True, slots=True)
class Run:
    """A stretch of a line without branches [px]; ``far`` are the ports beyond its last point.

    The flow along it is the sum of the flows into the far ports. Dotted ends are junctions.
    """

    line: str
    points: tuple[Point, ...]
    far: tuple[Port, ...]
    dotted: tuple[bool, bool] = (False, False)

    @property
    def length(self) -> float:
        """Length along the run [px]."""
        return sum(abs(a[0] - b[0]) + abs(a[1] - b[1]) for a, b in zip(self.points, self.points[1:], strict=False))


@dataclass(frozen=True, slots=True)
class Net:
    """A drawn line: its runs and its junctions [px]."""

    line: str
    runs: tuple[Run, ...]
    dots: tuple[Point, ...]


@dataclass(slots=True)
class Graph:
    """Points joined by straight segments: ``links`` of each to its neighbours."""

    links: dict[Point, set[Point]] = field(default_factory=dict)

    def add(self, points: Sequence[Point]) -> None:
        """Join points one after the other, with whatever they meet on their way."""
        for a, b in itertools.pairwise(points):
            if a != b:
                self._join(a, b)

    def _join(self, a: Point, b: Point) -> None:
        """Join two points, splitting at points that lie between, and other segments at these two."""
        for p in (a, b):
            self._split(p)
        between = [p for p in self.links if _inside(p, a, b)]
        between.sort(key=lambda p: abs(p[0] - a[0]) + abs(p[1] - a[1]))
        chain = [a, *between, b]
        for p, q in itertools.pairwise(chain):
            self.links.setdefault(p, set()).add(q)
            self.links.setdefault(q, set()).add(p)

    def _split(self, p: Point) -> None:
        if p in self.links:
            return
        for a, ends in list(self.links.items()):
            for b in list(ends):
                if a < b and _inside(p, a, b):
                    self.links[a].discard(b)
                    self.links[b].discard(a)
                    self.links[p] = {a, b}
                    self.links[a].add(p)
                    self.links[b].add(p)
                    return


def _inside(p: Point, a: Point, b: Point) -> bool:
    if a[0] == b[0] == p[0]:
        return min(a[1], b[1]) < p[1] < max(a[1], b[1])
    if a[1] == b[1] == p[1]:
        return min(a[0], b[0]) < p[0] < max(a[0], b[0])
    return False


def _straight(a: Point, b: Point, c: Point) -> bool:
    return a[0] == b[0] == c[0] or a[1] == b[1] == c[1]


def tree_of(
    line: str, paths: Iterable[Sequence[Point]], terminals: Sequence[Terminal], drops: Mapping[Point, Port]
) -> Net:
    """Return the net of a line's paths: runs between ports and junctions, each with its far ports.

    ``drops`` are the points where the line ends in a vessel; they are all one place, the root of the tree. Where
    paths close a ring, it is left open. Raises ValueError when they leave a port out.
    """
    graph = Graph()
    for path in paths:
        graph.add(path)
    own = [t for t in terminals if t.drop is None]
    met = [t.inner for t in own]  # two ports of one part may meet in its middle: they end outside it
    ports = {t.inner if met.count(t.inner) == 1 else t.at: t for t in own}
    for p, t in ports.items():
        graph.add((t.at, p))
        graph.links.setdefault(p, set())
    if not graph.links:
        return Net(line, (), ())
    # rooted at a junction, the runs to the ports carry exactly what their port takes, compression left out
    busiest = max(graph.links, key=lambda p: (len(graph.links[p]), p))
    roots = [p for p in drops if p in graph.links]
    roots = roots or [busiest if len(graph.links[busiest]) > 2 or not ports else next(iter(ports))]
    nodes = {p for p, near in graph.links.items() if len(near) != 2 or p in ports or p in drops}
    runs: list[Run] = []
    seen: set[Point] = set(roots)

    def far(node: Point, came: Point) -> tuple[Port, ...]:
        """Return the ports on a branch, recording its runs on the way."""
        found: list[Port] = [ports[node].port] if node in ports else []
        for near in sorted(graph.links[node]):
            if near == came:
                continue
            points = [node]
            before, here = node, near
            while here not in nodes:
                (after,) = graph.links[here] - {before}
                if not _straight(before, here, after):
                    points.append(here)
                before, here = here, after
            points.append(here)
            if here in seen:
                continue
            seen.add(here)
            beyond = far(here, before)
            found += beyond
            dotted = (len(graph.links[node]) > 2, len(graph.links[here]) > 2)
            runs.append(Run(line, tuple(plain(points)), beyond, dotted))
        return tuple(found)

    for root in roots:
        far(root, root)
    if any(p not in seen for p in ports):
        raise ValueError("the routes do not join all its ports")
    dots = tuple(sorted(p for p, near in graph.links.items() if len(near) > 2))
    return Net(line, tuple(runs), dots)


def ring_in(paths: Iterable[Sequence[Point]]) -> Point | None:
    """Return a point of a ring that paths close, None where they close none."""
    graph = Graph()
    for path in paths:
        graph.add(path)
    seen: set[Point] = set()
    for start in sorted(graph.links):
        if start in seen:
            continue
        ahead: list[tuple[Point, Point | None]] = [(start, None)]
        while ahead:
            here, came = ahead.pop()
            if here in seen:
                return here
            seen.add(here)
            ahead += [(near, here) for near in sorted(graph.links[here]) if near != came]
    return None


def plain(points: Sequence[Point]) -> list[Point]:
    """Return the same way with its corners alone."""
    kept: list[Point] = []
    for p in points:
        if kept and p == kept[-1]:
            continue
        if len(kept) > 1 and _straight(kept[-2], kept[-1], p):
            kept[-1] = p
        else:
            kept.append(p)
    return kept
