"""Lines as pipes: routed from a rig and its layout, painted by pressure step, with flow marks along them."""

from __future__ import annotations

import itertools
import math
from collections import Counter
from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from trainer.drawing.free_ground import FACE, FreeGround, Spot, along, around, figures_ground
from trainer.drawing.layout import place_of
from trainer.drawing.nets import Net, Port, Run, Terminal, ring_in, tree_of
from trainer.drawing.placed import Layout, Placed, reach
from trainer.drawing.route import Box, Router
from trainer.drawing.shapes import Circle, Path, Point, Row, Shape
from trainer.drawing.symbols import SYMBOLS, M, Symbol
from trainer.drawing.theme import Theme
from trainer.errors import Fault, RigError
from trainer.language import tr
from trainer.parts.part import Kind
from trainer.parts.roles import Check, Conduit, DirectionalValve, Pump
from trainer.rig.rig import Line, Rig

__all__ = [
    "MARK",
    "PITCH",
    "STANDING",
    "Gauge",
    "Pipes",
    "Track",
    "flowing",
    "oil_speed",
    "pilot_runs",
    "route_rig",
    "shared_pressure",
    "ticks",
]

PITCH = 38.0  # between two flow marks [px]
MARK = 11.0  # length of a flow mark [px]
_PILOT = (9.0, 5.0)  # of a pilot line: dash and gap [px]
_TICK = (2.0, 9.0)  # of a covered pipe: thickness, and the room between two [px]
STANDING = 3e-7  # flows below this, or a hundredth of the pumps' flow, are drawn as standing oil [m3/s]
_DEFAULT_BORE = 0.010
_DOT_GAP, _CORNER_GAP, _END_GAP = 13.0, 8.0, 8.0
_NAME = 19.8  # size of a gauge's name [px]
_FARTHEST = 140.0  # of a gauge's place in the drawing table from its line [px]
_TAPS = (50.0, 60.0, 70.0, 80.0, 100.0, 120.0, 150.0, 180.0)  # from a pipe to the centre of its gauge [px]


def oil_speed(flow: float, bore: float | None, standing: float = STANDING) -> float:
    """Return the speed of the flow marks [px/s] for a flow [m3/s]: sign and root of the oil's speed.

    Flows below ``standing`` [m3/s] are drawn as standing oil.
    """
    if abs(flow) < standing:
        return 0.0
    velocity = flow / (math.pi / 4 * (bore or _DEFAULT_BORE) ** 2)
    return math.copysign(90.0 * math.sqrt(abs(velocity)), flow)


class Track:
    """The ground on which marks travel: stretches of a polyline clear of dots, corners and ends."""

    __slots__ = ("stretches",)

    def __init__(
        self, points: Sequence[Point], dotted: tuple[bool, bool] = (False, False), end_gap: float = _END_GAP
    ) -> None:
        self.stretches: list[tuple[float, float, float, float, float, float]] = []
        travelled = 0.0
        last = len(points) - 2
        for k, ((ax, ay), (bx, by)) in enumerate(itertools.pairwise(points)):
            length = math.hypot(bx - ax, by - ay)
            if length == 0:
                continue
            ux, uy = (bx - ax) / length, (by - ay) / length
            start = (_DOT_GAP if dotted[0] else end_gap) if k == 0 else _CORNER_GAP
            end = length - ((_DOT_GAP if dotted[1] else end_gap) if k == last else _CORNER_GAP)
            degrees = math.degrees(math.atan2(-uy, ux))
            if end >= start:
                self.stretches.append((start, end, travelled, ax, ay, degrees))
            travelled += length

    def marks(self, phase: float, way: float, into: list[Row]) -> None:
        """Append the marks' rows at a phase [px] to ``into``, tips along the track, or back for a ``way`` < 0."""
        for start, end, travelled, ax, ay, degrees in self.stretches:
            along = start + (phase - travelled - start) % PITCH
            if along <= end:
                ux, uy = _UNIT.get(degrees) or (math.cos(math.radians(degrees)), -math.sin(math.radians(degrees)))
                more = int((end - along) / PITCH)
                if way < 0:
                    along += more * PITCH
                    degrees += 180.0
                into.append((ax + ux * along, ay + uy * along, degrees, more + 1))


_UNIT = {0.0: (1.0, 0.0), 90.0: (0.0, -1.0), 180.0: (-1.0, 0.0), -180.0: (-1.0, 0.0), -90.0: (0.0, 1.0)}


@dataclass(frozen=True, slots=True)
class Gauge:
    """An instrument drawn on a line: its name, its placed symbol and its centre [px]."""

    name: str
    symbol: Symbol
    x: float
    y: float

    @property
    def name_at(self) -> tuple[float, float, str]:
        """Where its name stands, x, baseline and alignment: above it, or below where its pipe comes from above."""
        below = self.symbol.anchors["P"].y < self.y - 1.0
        return self.x, (self.y + FACE + 20.0 if below else self.y - 28.0), "centre"


def _terminal(placed: Placed, port: str) -> Terminal:
    owner = placed.fitted.id
    if placed.vessel is not None:
        v = placed.vessel
        middle = ((v.left + v.right) / 2, v.lip)
        return Terminal((owner, port), middle, middle, (v.left, v.right, v.lip, v.end))
    anchor = placed.symbol.anchors.get(port)
    if anchor is None:  # a port that the symbol does not show: on its right edge
        _left, top, right, _ = placed.symbol.box
        slot = sorted(placed.fitted.part.ports).index(port)
        at = (math.ceil(right / M) * M + M, round(top / M) * M + M * slot)
        return Terminal((owner, port), at, (right, at[1]))
    return Terminal((owner, port), (anchor.x, anchor.y), anchor.inner)


def _written(rig: Rig, line: Line, terminals: Sequence[Terminal], shift: Point) -> list[list[Point]]:
    """Return the polylines that the drawing table gives to a line [px]. Raises RigError."""
    routes: Any = rig.drawing.get("routes", {})
    known = {".".join(t.port): t for t in terminals}
    found: list[list[Point]] = []
    for written in routes.get(line.name, []) if isinstance(routes, dict) else []:
        points: list[Point] = []
        steps = [known.get(step) if isinstance(step, str) else step for step in written]
        for k, step in enumerate(steps):
            if isinstance(step, Terminal):
                if step.drop is not None and len(steps) > 1:
                    beside: Any = steps[k - 1] if k else steps[1]
                    x = beside.at[0] if isinstance(beside, Terminal) else float(beside[0]) * M + shift[0]
                    points.append((x, step.drop[3]))
                else:
                    points.append(step.at)
            elif (
                isinstance(step, (list, tuple))
                and len(step) == 2
                and all(isinstance(v, (int, float)) and abs(v) < 1e4 for v in step)
            ):
                points.append((float(step[0]) * M + shift[0], float(step[1]) * M + shift[1]))
            else:
                raise RigError(
                    [
                        Fault(
                            "drawing",
                            f"[drawing.routes] {line.name}",
                            tr("{written!r:.40} is neither a port of this line nor a point.").format(
                                written=written[k]
                            ),
                            tr("Write one of {known} or [x, y].").format(known=", ".join(sorted(known))),
                        )
                    ],
                    rig.source,
                )
        squared: list[Point] = []
        for p in points:
            if squared and p[0] != squared[-1][0] and p[1] != squared[-1][1]:
                squared.append((squared[-1][0], p[1]) if len(squared) % 2 else (p[0], squared[-1][1]))
            squared.append(p)
        if len(squared) > 1:
            found.append(squared)
    return found


def _trunk(line: Line, layout: Layout) -> list[list[Point]]:
    """Return a pump's line up to the gallery and along it to the first section, where that is free."""
    anchors = {(owner, port): layout.placed[owner].symbol.anchors.get(port) for owner, port in line.joins}
    roles = {key: layout.placed[key[0]].role for key in anchors}
    pumps = [a for key, a in anchors.items() if a and isinstance(own := roles[key], Pump) and key[1] == own.outlet]
    sections = [
        a
        for key, a in anchors.items()
        if a and isinstance(own := roles[key], DirectionalValve) and key[1] == own.gallery[0]
    ]
    if len(pumps) != 1 or len(sections) != 1:
        return []
    pump, section = pumps[0], sections[0]
    crossed = any(
        pump.x < part.x < section.x and reach(part)[1] - M < section.y < reach(part)[3] + M
        for part in layout.placed.values()
    )
    if crossed or not (pump.y > section.y and pump.x < section.x):
        return []
    return [[(pump.x, pump.y), (pump.x, section.y), (section.x, section.y)]]


def route_rig(
    rig: Rig, layout: Layout, boxes: Sequence[Box], soft: Sequence[Box]
) -> tuple[dict[str, Net], dict[str, Gauge]]:
    """Return the drawn net of every oil line and the gauges on them. Raises RigError for unusable routes."""
    terminals = {
        line.name: [_terminal(layout.placed[p[0]], p[1]) for p in line.joins if p not in layout.drains]
        for line in rig.lines_of_kind(Kind.OIL)
    }
    trunks = {name: _trunk(rig.lines[name], layout) for name in terminals}
    written = {
        line.name: _written(rig, line, terminals[line.name], layout.shift) or trunks[line.name]
        for line in rig.lines_of_kind(Kind.OIL)
    }
    edges = [*boxes, *((t.at[0], t.at[1], t.at[0], t.at[1]) for ts in terminals.values() for t in ts)]
    edges = edges or [(0.0, 0.0, 10 * M, 10 * M)]  # nothing with oil in it
    area = (
        min(b[0] for b in edges) - 6 * M,
        min(b[1] for b in edges) - 6 * M,
        max(b[2] for b in edges) + 6 * M,
        max(b[3] for b in edges) + 6 * M,
    )
    router = Router(boxes, area, soft)
    gauges = {
        name: _gauge(name, place[0] + layout.shift[0], place[1] + layout.shift[1])
        for name, instrument in rig.instruments.items()
        if instrument.on_line and instrument.on in terminals and (place := place_of(rig, name))
    }
    for name, gauge in list(gauges.items()):
        on = rig.instruments[name].on
        if _far(gauge, terminals[on], written[on]):  # the table's place is that of another line
            del gauges[name]
        else:
            terminals[on].append(_tap(gauge))
    for name, ts in terminals.items():
        router.reserve(name, ts)
        for path in written[name]:
            router.take(name, path)
    _refuse_rings(rig, written, layout.shift)
    nets: dict[str, Net] = {}
    joined: dict[str, tuple[list[Sequence[Point]], dict[Point, Port]]] = {}
    for name in sorted(terminals, key=lambda n: _order(terminals[n])):
        ts = terminals[name]
        paths, drops = router.join(name, ts, written[name])
        if len(ts) == 1 and ts[0].drop is None:
            paths = [(ts[0].at, ts[0].inner)]
        nets[name] = tree_of(name, paths, ts, drops)
        joined[name] = paths, drops
    loose = {n: i.on for n, i in rig.instruments.items() if i.on_line and i.on in nets and n not in gauges}
    faces = [_face(gauge) for gauge in gauges.values()]
    free = FreeGround([*boxes, *faces], soft, figures_ground(rig, layout), nets)
    spots = free.all_of({name: (on, list(_spots(name, nets[on]))) for name, on in loose.items()})
    crowded = Counter[str]()  # gauges without room, by line
    for name, on in loose.items():
        spot = spots.get(name)
        if spot is None or spot.foot is None:
            gauges[name] = _on_pipe(name, nets[on], terminals[on], crowded[on])
            crowded[on] += 1
            continue
        gauges[name] = gauge = _gauge(name, spot.x, spot.y, _turn(spot))
        tap = _tap(gauge)
        terminals[on].append(tap)
        paths, drops = joined[on]
        paths.append([tap.at, spot.foot])
        nets[on] = tree_of(on, paths, terminals[on], drops)
    return nets, gauges


def _refuse_rings(rig: Rig, written: Mapping[str, Sequence[Sequence[Point]]], shift: Point) -> None:
    """Raise RigError with every written route that closes a ring."""
    faults = [
        Fault(
            "drawing",
            f"[drawing.routes] {name}",
            tr("the route closes a ring at [{ring:g}, {ring2:g}].").format(
                ring=(ring[0] - shift[0]) / M, ring2=(ring[1] - shift[1]) / M
            ),
            tr("Write branches that part and do not meet again."),
        )
        for name, paths in written.items()
        if (ring := ring_in(paths)) is not None
    ]
    if faults:
        raise RigError(faults, rig.source)


def _order(terminals: Sequence[Terminal]) -> tuple[int, float]:
    """Short lines of two ports first, then work lines; galleries with many ports last."""
    spread = sum(abs(a.at[0] - b.at[0]) + abs(a.at[1] - b.at[1]) for a, b in itertools.pairwise(terminals))
    return len(terminals), spread


def _gauge(name: str, x: float, y: float, turn: int = 0) -> Gauge:
    return Gauge(name, SYMBOLS["gauge"].placed(x, y, turn), x, y)


def _tap(gauge: Gauge) -> Terminal:
    anchor = gauge.symbol.anchors["P"]
    return Terminal(("", gauge.name), (anchor.x, anchor.y), anchor.inner)


def _face(gauge: Gauge) -> Box:
    return gauge.x - FACE, gauge.y - 44.0, gauge.x + FACE, gauge.y + FACE


def _far(gauge: Gauge, terminals: Sequence[Terminal], written: Sequence[Sequence[Point]]) -> bool:
    """Return whether a gauge's place in the drawing table is far from everything of its line."""
    near = [(t.at, t.at) for t in terminals if t.drop is None]
    near += [pair for path in written for pair in itertools.pairwise(path)]
    return all(
        max(min(a[0], b[0]) - gauge.x, gauge.x - max(a[0], b[0]), 0.0)
        + max(min(a[1], b[1]) - gauge.y, gauge.y - max(a[1], b[1]), 0.0)
        > _FARTHEST
        for a, b in near
    )


def _spots(name: str, net: Net) -> Iterator[Spot]:
    """Yield places for a gauge around a line's pipes, its name above it, or below it where it hangs."""
    half = max(0.31 * _NAME * len(name), FACE)
    words = {"above": (-half, -46.0, half, -22.0), "below": (-half, 22.0, half, 44.0)}
    for run in net.runs:
        for foot, _, dear in along(run.points, 16.0):
            for spot in around(foot, _TAPS, words, dear):
                if (spot.words[1] > spot.y) == (spot.y > foot[1]):
                    yield spot


def _turn(spot: Spot) -> int:
    """Return how a gauge is turned so that its port points at its line."""
    assert spot.foot is not None
    across = spot.foot[0] - spot.x
    if across == 0:
        return 0 if spot.foot[1] > spot.y else 180
    return 90 if across > 0 else 270


def _on_pipe(name: str, net: Net, terminals: Sequence[Terminal], others: int) -> Gauge:
    """Return a gauge in the middle of a line's longest straight piece, where there is no room beside it.

    It stands right of so many ``others`` of that line that had none either.
    """
    pieces = [pair for run in net.runs for pair in itertools.pairwise(run.points)]
    pieces = pieces or [(t.at, t.at) for t in terminals]
    (ax, ay), (bx, by) = max(pieces, key=lambda p: abs(p[0][0] - p[1][0]) + abs(p[0][1] - p[1][1]))
    apart = others * 2.4 * max(0.31 * _NAME * len(name), FACE)
    return _gauge(name, (ax + bx) / 2 + apart, (ay + by) / 2)


class Pipes:
    """The painted form of nets: casings, cores and dots per pressure step, prepared once and kept.

    ``pilots`` are runs of pilot lines: thin and dashed.
    """

    def __init__(self, nets: dict[str, Net], theme: Theme, pilots: Collection[Run] = ()) -> None:
        self.nets = nets
        self.theme = theme
        self._pilots = frozenset(pilots)
        self._kept: dict[tuple[str, int | None], tuple[list[Shape], list[Shape]]] = {}
        self.dots = {
            name: [Circle(x, y, self._dot(net, (x, y)), None, 0.0, "casing") for x, y in net.dots]
            for name, net in nets.items()
        }

    def _dot(self, net: Net, at: Point) -> float:
        """Return the radius of a junction [px], less where pilot lines alone meet."""
        here = [run for run in net.runs if at in (run.points[0], run.points[-1])]
        return 4.0 if here and all(run in self._pilots for run in here) else 5.0

    def painted(self, line: str, step: int | None) -> tuple[list[Shape], list[Shape]]:
        """Return (casings, cores) of a line at a pressure step; None is a covered line."""
        kept = self._kept.get((line, step))
        if kept is None:
            pieces = [
                self.pilot(run.points, step) if run in self._pilots else self.piece(run.points, step)
                for run in self.nets[line].runs
            ]
            kept = self._kept[line, step] = ([c for c, _ in pieces], [core for _, core in pieces])
            if step is None:
                runs = (run for run in self.nets[line].runs if run not in self._pilots)
                kept[1].extend(tick for run in runs for tick in ticks(run.points, self.theme))
        return kept

    def pilot(self, points: tuple[Point, ...], step: int | None) -> tuple[Shape, Shape]:
        """Return (casing, core) of one stretch of a pilot line."""
        role = "cover" if step is None else f"pressure{step}"
        wide = 2 * self.theme.pilot
        return Path(points, "casing", wide + 2.0, dash=_PILOT), Path(points, role, wide - 1.0, dash=_PILOT)

    def piece(self, points: tuple[Point, ...], step: int | None, width: float = 0.0) -> tuple[Shape, Shape]:
        """Return (casing, core) of one stretch of pipe; ``width`` overrides the step's width."""
        whole = width or self.theme.pipe(step)
        role = "cover" if step is None else f"pressure{step}"
        return Path(points, "casing", whole), Path(points, role, whole - 2 * self.theme.casing)


def pilot_runs(rig: Rig, nets: Mapping[str, Net]) -> frozenset[Run]:
    """Return the runs of lines beyond one of whose ends there are only ports that are told a pressure."""
    told = frozenset((id_, port) for id_, fitted in rig.parts.items() for port in fitted.part.signals)
    found: set[Run] = set()
    for name, net in nets.items():
        joins = frozenset(rig.lines[name].joins)
        if joins & told:
            for run in net.runs:
                far = joins.intersection(run.far)
                found |= {run} if any(side and side <= told for side in (far, joins - far)) else set()
    return frozenset(found)


def ticks(points: tuple[Point, ...], theme: Theme) -> list[Shape]:
    """Return the ticks across a covered pipe, where a theme asks for them."""
    return [Path(points, "casing", theme.pipe(None), dash=_TICK)] if theme.ticked else []


def _feeds(rig: Rig, line: str) -> list[str]:
    """Return the sections that take their oil from a line."""
    valves = rig.at_ports(line, DirectionalValve)
    return [owner for owner, port, role in valves if port in (role.feed, role.gallery[0])]


def _gallery(rig: Rig, line: str) -> set[str]:
    """Return the lines that open-centre bypasses join to a line, as far as they feed sections."""
    found, ahead = {line}, [line]
    while ahead:
        for owner, port, role in rig.at_ports(ahead.pop(), DirectionalValve):
            if port in role.gallery:
                other = rig.line_of(owner, role.gallery[port == role.gallery[0]]).name
                if other not in found and _feeds(rig, other):
                    found.add(other)
                    ahead.append(other)
    return found


def shared_pressure(rig: Rig, line: str) -> set[str]:
    """Return the lines whose pressure would give away that of a line: its gallery, work lines, behind checks."""
    found = _gallery(rig, line)
    valves = rig.having(DirectionalValve)
    for section in {section for name in found for section in _feeds(rig, name)}:
        found |= {rig.line_of(section, port).name for port in valves[section].work}
    for name in list(found):
        for owner, _ in rig.lines[name].joins:
            role = rig.parts[owner].part.role
            if isinstance(role, Check) or (isinstance(role, Conduit) and role.hose):
                found |= {rig.line_of(owner, port).name for port in role.ends}
    return found


def flowing(run: Run) -> tuple[Port, ...]:
    """Return the far ports of a run through which oil can flow (gauges take none)."""
    return tuple(port for port in run.far if port[0])
