"""Where the pumps' oil goes now: line by line from the outlet to the tank, in the order in which it gets there."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field

from trainer.engine.network import Network
from trainer.engine.readings import Readings
from trainer.parts.part import Kind
from trainer.parts.roles import Pump, Store

__all__ = ["LEAST", "OilPath", "PathPlace", "PathStep", "Way", "lit_by", "sharing", "trace", "ways_of"]

LEAST = 0.01  # share of its pump's flow that a port must carry to belong to the path
_STANDS = 0.01  # share of its rated delivery below which a pump counts as standing

PathPlace = tuple[str, str]  # ("line", name) or ("part", id), the latter only for a tank or a store


@dataclass(frozen=True, slots=True)
class Way:
    """Oil on its way through a part, from the line at one port to the line at another.

    ``flow`` at tank density [m3/s]; ``pushed``: what enters at ``start`` pushes other oil out at ``end``, as a piston
    does. Where oil ends in a tank or a store, ``end`` is "" and ``to`` is that itself.
    """

    part: str
    start: str
    end: str
    begin: PathPlace
    to: PathPlace
    flow: float
    pushed: bool = False


@dataclass(frozen=True, slots=True)
class PathStep:
    """One place that the oil gets to: its number from 1, how many parts lie before it, and how it is reached.

    ``ways`` are those by which oil comes, the first one first; ``flow`` is their sum [m3/s at tank density];
    ``other`` tells that all of it is oil that was pushed out, none of it the pump's.
    """

    number: int
    level: int
    place: PathPlace
    ways: tuple[Way, ...]
    other: bool = False

    @property
    def flow(self) -> float:
        """What comes here in all [m3/s at tank density]."""
        return sum(way.flow for way in self.ways)

    @property
    def pushed(self) -> bool:
        """Whether all that comes here is pushed out by what enters at the other side of an actuator."""
        return all(way.pushed for way in self.ways)


@dataclass(frozen=True, slots=True)
class OilPath:
    """The path of the pumps' oil at one instant; ``pumps`` are those that deliver, each with its flow [m3/s]."""

    steps: tuple[PathStep, ...]
    ways: tuple[Way, ...]
    pumps: Mapping[str, float] = field(default_factory=dict)

    def step(self, place: PathPlace) -> PathStep | None:
        """Return the step at a place, or nothing where no oil of a pump gets there."""
        return next((step for step in self.steps if step.place == place), None)


def trace(now: Readings) -> OilPath:
    """Return the path of the pumps' oil: breadth first from each outlet, to the tanks.

    The path goes on through every port that carries more than ``LEAST`` of the flow of the pump it began at. Lines
    reached through equally many parts are ordered by the time the oil takes to them (the hoses before them, their
    volume over the flow in them), then by flow, the largest first, then as the rig lists them.
    """
    network = now.network
    pumps = {id_: flow for id_, flow in _deliveries(now).items() if flow > _STANDS * _rated(now, id_)}
    outlets = {id_: role.outlets for id_, role in network.rig.having(Pump).items()}
    onward: dict[PathPlace, list[Way]] = {}
    for way in ways_of(now):
        onward.setdefault(way.begin, []).append(way)
    arrived: dict[PathPlace, list[Way]] = {}
    for way in (way for ways in onward.values() for way in ways):
        if way.part in pumps and way.end in outlets[way.part] and way.flow > LEAST * pumps[way.part]:
            arrived.setdefault(way.to, []).append(way)
    least = {place: min(LEAST * pumps[way.part] for way in ways) for place, ways in arrived.items()}
    time = dict.fromkeys(arrived, 0.0)
    found: dict[PathPlace, tuple[int, list[Way]]] = {}
    rank = {("line", name): k for k, name in enumerate(network.lines)}
    followed: list[Way] = []
    level = 0
    while arrived:
        order = sorted(
            arrived, key=lambda p: (time[p], -sum(way.flow for way in arrived[p]), rank.get(p, len(rank)), p)
        )
        for place in order:
            first = sorted(arrived[place], key=lambda way: (time.get(way.begin, 0.0), -way.flow))
            found[place] = (level, first)
            followed += first
        arrived, before = {}, order
        for place in before:
            reached = time[place] + _delay(now, place, sum(way.flow for way in found[place][1]))
            for way in onward.get(place, ()):
                if way.flow <= least[place] or (way.part in pumps and way.end in outlets[way.part]):
                    continue
                if way.to in found:
                    if way.to != place:
                        found[way.to][1].append(way)
                        followed.append(way)
                    continue
                arrived.setdefault(way.to, []).append(way)
                time[way.to] = min(time.get(way.to, reached), reached)
                least[way.to] = min(least.get(way.to, least[place]), least[place])
        level += 1
    return OilPath(_numbered(found), tuple(followed), pumps)


def _numbered(found: Mapping[PathPlace, tuple[int, Sequence[Way]]]) -> tuple[PathStep, ...]:
    """Return the steps in order, each told whether only pushed-out oil comes there."""
    own = {place for place, (level, _) in found.items() if level == 0}
    while more := {
        place
        for place, (_, ways) in found.items()
        if place not in own and any(not way.pushed and way.begin in own for way in ways)
    }:
        own |= more
    return tuple(
        PathStep(number, level, place, tuple(ways), place not in own)
        for number, (place, (level, ways)) in enumerate(found.items(), 1)
    )


def ways_of(now: Readings) -> list[Way]:
    """Return every way that oil takes through a part now, however little it is, and those that end in a tank."""
    return [way for id_ in now.network.models for way in _through(now, id_)]


def _through(now: Readings, id_: str) -> list[Way]:
    network, model = now.network, now.network.models[id_]
    ending = {node: now["enters", id_, node] for node in model.carried if model.nodes[node] is Kind.OIL}
    if isinstance(role := network.rig.parts[id_].part.role, Store):
        ending[role.port] = now["enters", id_, role.port] + now["swells", id_, role.port]
    if ending:
        return [
            Way(id_, node, "", ("line", network.line_of[id_, node]), ("part", id_), flow)
            for node, flow in ending.items()
            if flow > 0
        ]
    passing: dict[tuple[str, str], float] = {}
    own = {node: now["enters", id_, node] for node in model.oil}  # what the streams do not account for
    for name, (start, end) in model.streams.items():
        flow = now["passes", id_, name]
        own[start] -= flow
        own[end] += flow
        passing[start, end] = passing.get((start, end), 0.0) + flow
    for pair, flow in _from_to(own):
        passing[pair] = passing.get(pair, 0.0) + flow
    found = [
        _way(network, id_, pair if flow > 0 else pair[::-1], abs(flow)) for pair, flow in passing.items() if flow
    ]
    swells = {node: now["swells", id_, node] for node in model.oil}
    found += [_way(network, id_, pair, -swells[pair[1]], True) for pair, _ in _from_to(swells)]
    return [way for way in found if way.begin != way.to]


def _way(network: Network, id_: str, pair: tuple[str, str], flow: float, pushed: bool = False) -> Way:
    begin, to = (("line", network.line_of[id_, node]) for node in pair)
    return Way(id_, *pair, begin, to, flow, pushed)


def _from_to(into: Mapping[str, float]) -> list[tuple[tuple[str, str], float]]:
    """Return how what goes in at some ports comes out at others, shared out in proportion."""
    ends = {node: -flow for node, flow in into.items() if flow < 0}
    starts = {node: flow for node, flow in into.items() if flow > 0}
    total = sum(ends.values())
    return [
        ((start, end), flow * out / total) for start, flow in starts.items() for end, out in ends.items() if total
    ]


def _deliveries(now: Readings) -> dict[str, float]:
    pumps = now.network.rig.having(Pump).items()
    return {id_: sum(max(-now["enters", id_, outlet], 0.0) for outlet in role.outlets) for id_, role in pumps}


def _rated(now: Readings, id_: str) -> float:
    fitted = now.network.rig.parts[id_]
    return fitted.part.delivery(fitted.value)


def _delay(now: Readings, place: PathPlace, flow: float) -> float:
    """Return the time [s] that oil takes through the hose of a line; 0 where it has none."""
    index = now.network.pu_index.get(f"{place[1]}.volume") if place[0] == "line" else None
    return float(now.pu[index]) / flow if index is not None and flow > 0 else 0.0


def sharing(found: OilPath, line: str) -> tuple[PathStep, ...]:
    """Return the path that shares its oil with a line: the steps that lead to it, itself, and those that follow.

    They are numbered from 1, and their flows are what comes along this path. Empty where no oil of a pump gets there.
    """
    place: PathPlace = ("line", line)
    if found.step(place) is None:
        return ()
    before, after = {place}, {place}
    while more := {way.begin for way in found.ways if way.to in before and found.step(way.begin)} - before:
        before |= more
    while more := {way.to for way in found.ways if way.begin in after} - after:
        after |= more
    chosen = {step.place: step for step in found.steps if step.place in before | after}
    kept = {
        place: (step.level, [way for way in step.ways if step.level == 0 or way.begin in chosen])
        for place, step in chosen.items()
    }
    return _numbered(kept)


def lit_by(steps: Iterable[PathStep]) -> set[PathPlace]:
    """Return what is to be lit for steps of a path: their places, and the parts that the oil passes between them."""
    chosen = list(steps)
    places = {step.place for step in chosen}
    ways = [(step, way) for step in chosen for way in step.ways]
    return places | {("part", way.part) for step, way in ways if step.level == 0 or way.begin in places}
