"""Where flow meters, tachometers and thermometers stand on a drawing: on what they read, or beside it on a leader."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from types import MappingProxyType

from trainer.drawing.free_ground import FACE, FreeGround, Spot, along, around, figures_ground
from trainer.drawing.layout import place_of
from trainer.drawing.nets import Net
from trainer.drawing.pipes import Gauge
from trainer.drawing.placed import Layout, Placed, Vessel, reach
from trainer.drawing.route import Box
from trainer.drawing.shapes import Circle, Path, Point, Shape, Words
from trainer.drawing.still import ground
from trainer.drawing.symbols import SYMBOLS, M
from trainer.drawing.symbols.symbol import bounds_of
from trainer.drawing.theme import Theme
from trainer.parts.roles import PrimeMover, Pump
from trainer.rig.rig import Instrument, Rig

__all__ = ["Meter", "meter_box", "place_meters"]

_BRIEF = 32.0  # words that are narrower are a name alone [px]
_DEAR = 150.0  # cost of a place from which others are looked for
_REACHES = (36.0, 44.0, 52.0, 60.0, 72.0, 86.0, 100.0, 120.0)  # of a meter from what it reads [px]


@dataclass(frozen=True, slots=True)
class Meter:
    """A flow meter, tachometer or thermometer on the drawing: face, and where its figure stands [px].

    ``brief``: there is no room for its figure, only for its name; ``dipped``: a thermometer in the oil of a tank.
    """

    instrument: Instrument
    x: float
    y: float
    shapes: tuple[Shape, ...]
    words: tuple[float, float, str]  # x, baseline, alignment of "name  figure"
    brief: bool = False
    dipped: bool = False


def place_meters(
    rig: Rig,
    layout: Layout,
    nets: Mapping[str, Net],
    theme: Theme,
    words: Sequence[Box] = (),
    gauges: Mapping[str, Gauge] = MappingProxyType({}),
) -> dict[str, Meter]:
    """Return the meters of a rig by name, each where there is room beside what it reads.

    ``words`` are the boxes of what is written [px], ``gauges`` stand already. Instruments on what is not drawn are
    left out.
    """
    free = FreeGround(ground(layout), words, figures_ground(rig, layout), nets)
    for gauge in gauges.values():
        x, y, _ = gauge.name_at
        box = bounds_of((Words(x, y, gauge.name, theme.name_size, align="centre"),))
        free.take(Spot(gauge.x, gauge.y, None, box, 0.0))
    found: dict[str, Meter] = {}
    for name, instrument in rig.instruments.items():
        given = place_of(rig, name)
        if given is not None:
            given = given[0] + layout.shift[0], given[1] + layout.shift[1]
        meter = None
        if instrument.kind == "flow meter":
            meter = _at_port(instrument, given, layout, nets, rig, theme, free)
        elif instrument.kind == "tachometer":
            first = not any(other.instrument.on == instrument.on for other in found.values())
            meter = _on_shaft(instrument, given, layout, rig, theme, free, first)
        elif instrument.kind in _ON_PARTS:
            meter = _in_oil(instrument, given, layout, theme, free)
        if meter is not None:
            found[name] = meter
            free.take(Spot(meter.x, meter.y, None, _words_box(meter, theme), 0.0))
    return found


def _inner(name: str, x: float, y: float, turn: int) -> tuple[Shape, ...]:
    """Return the symbol without what leaves its circle."""
    symbol = SYMBOLS[name].placed(x, y, turn)
    kept = []
    for shape in symbol.drawn():
        left, top, right, bottom = bounds_of((shape,))
        if left > x - 21 and right < x + 21 and top > y - 21 and bottom < y + 21:
            kept.append(shape)
    return tuple(kept)


_ON_PARTS = {"thermometer": "thermometer", "differential gauge": "gauge_diff"}  # kind -> its symbol
_LONGEST = {
    "flow meter": "Q00  000.0 L/min",
    "tachometer": "n00  0000 r/min",
    "thermometer": "T00  000 °C",
    "differential gauge": "P00  000 bar",
}


def _sides(kind: str, theme: Theme) -> dict[str, Box]:
    """Return the boxes of a meter's words about its centre, by the side on which they stand."""
    high = max(theme.label, 17.0)
    wide = 0.5 * high * len(_LONGEST[kind])
    return {
        "right": (27.0, -0.4 * high, 27.0 + wide, 0.6 * high),
        "left": (-27.0 - wide, -0.4 * high, -27.0, 0.6 * high),
        "far right": (38.0, -0.4 * high, 38.0 + wide, 0.6 * high),
        "above": (-wide / 2, -25.0 - high, wide / 2, -24.0),
        "below": (-wide / 2, 24.0, wide / 2, 26.0 + high),
    }


def _brief(theme: Theme) -> dict[str, Box]:
    """Return the boxes of a meter's name alone."""
    high = max(theme.label, 17.0)
    wide = _BRIEF - 1.0
    return {
        "right": (27.0, -0.4 * high, 27.0 + wide, 0.6 * high),
        "left": (-27.0 - wide, -0.4 * high, -27.0, 0.6 * high),
        "above": (-wide / 2, -25.0 - high, wide / 2, -24.0),
        "below": (-wide / 2, 24.0, wide / 2, 26.0 + high),
    }


def _told_at(spot: Spot, theme: Theme) -> tuple[float, float, str]:
    """Return x, baseline and alignment of a meter's words in the box of its spot."""
    left, top, right, bottom = spot.words
    if left > spot.x:
        return left + 1, spot.y + 0.33 * theme.label, "left"
    if right < spot.x:
        return right - 1, spot.y + 0.33 * theme.label, "right"
    return spot.x, (bottom - 4 if bottom < spot.y else top + 0.75 * theme.label), "centre"


def meter_box(meter: Meter, theme: Theme) -> Box:
    """Return the box of a meter with its leader and the longest words that it may tell [px]."""
    boxes = [_words_box(meter, theme), *([bounds_of(meter.shapes)] if meter.shapes else [])]
    lows, highs = ([min(box[k] for box in boxes) for k in (0, 1)], [max(box[k] for box in boxes) for k in (2, 3)])
    return lows[0], lows[1], highs[0], highs[1]


def _words_box(meter: Meter, theme: Theme) -> Box:
    x, y, align = meter.words
    if meter.brief:
        return bounds_of((Words(x, y, "Q00", theme.label, align=align),))
    return bounds_of((Words(x, y, _LONGEST[meter.instrument.kind], theme.label, align=align),))


def _meter(instrument: Instrument, symbol: str, spot: Spot, theme: Theme, turn: int = 0) -> Meter:
    """Return a meter at a spot, with its leader where it stands beside what it reads."""
    shapes = _inner(symbol, spot.x, spot.y, turn)
    if spot.foot is not None:
        (x, y), gap = spot.foot, math.hypot(spot.foot[0] - spot.x, spot.foot[1] - spot.y)
        edge = spot.x + (x - spot.x) * FACE / gap, spot.y + (y - spot.y) * FACE / gap
        shapes = (Path((edge, spot.foot), width=theme.pilot), Circle(x, y, 4.0, "ink", theme.pilot, "cell"), *shapes)
    brief = spot.words[2] - spot.words[0] < _BRIEF
    return Meter(instrument, spot.x, spot.y, shapes, _told_at(spot, theme), brief)


def _feet(owner: str, port: str, layout: Layout, nets: Mapping[str, Net], rig: Rig) -> list[tuple[Point, int, float]]:
    """Return where the oil of a port can be measured: a point of its pipe, the pipe's direction there, a cost.

    The direction is in degrees, -1 where only a leader reaches; costs grow with the way from the port.
    """
    part = layout.placed.get(owner)
    if part is None:
        return []
    anchor = part.symbol.anchors.get(port)
    ends = {(anchor.x, anchor.y), anchor.inner} if anchor else set()
    net = nets.get(rig.line_of(owner, port).name)
    found: list[tuple[Point, int, float]] = []
    for run in net.runs if net is not None else ():
        for points in (run.points, run.points[::-1]):
            x, y = points[0]
            vessel = part.vessel
            if points[0] not in ends and not (vessel and y == vessel.end and vessel.left < x < vessel.right):
                continue
            if vessel is not None:  # above its rim
                points = ((x, vessel.lip), *points[1:])
            for ends_clear, cost in ((FACE + 4.0, 0.0), (10.0, 8.0)):
                for (px, py), level, dear in along(points, ends_clear):
                    away = 0.03 * (abs(px - x) + abs(py - y))
                    found.append(((px, py), (0 if level else 90) if not cost else -1, cost + dear + away))
    if not found and anchor is not None:
        found.append(((anchor.x, anchor.y), -1, 20.0))
    return found


def _at_port(
    instrument: Instrument,
    given: Point | None,
    layout: Layout,
    nets: Mapping[str, Net],
    rig: Rig,
    theme: Theme,
    free: FreeGround,
) -> Meter | None:
    owner, _, port = instrument.on.partition(".")
    feet = _feet(owner, port, layout, nets, rig)
    if not feet:
        return None
    line = rig.line_of(owner, port).name
    part = layout.placed[owner]
    if isinstance(part.role, Pump) and port == part.role.outlet:  # beside the pump's own figures, which tell its flow
        anchor = part.symbol.anchors[port]
        at = _first_place(anchor.inner, nets[line]) or feet[0][0]
        return _in_pipe(instrument, given if given and _near(given, at) else at, 90, theme)
    if given and any(_near(given, foot) for foot, _, _ in feet):
        turn = min(feet, key=lambda f: math.dist(f[0], given))[1]
        return _in_pipe(instrument, given, max(turn, 0), theme)
    sides = _sides(instrument.kind, theme)
    spots: list[Spot] = []
    for foot, turn, cost in feet:
        if turn >= 0:
            shown = ("above", "below") if turn == 0 else ("right", "left", "far right")
            spots += [_spot(foot, None, sides[side], cost + 2 * k) for k, side in enumerate(shown)]
        spots += around(foot, _REACHES, sides, cost + 30.0)

    best = _better(
        free, free.best(spots, line), lambda: _slanted((f for f, _, _ in feet[::3]), sides, _brief(theme)), line
    )
    if best is None:
        return None
    turn = next((turn for foot, turn, _ in feet if foot == (best.x, best.y)), 0)
    meter = _meter(instrument, "flow_meter", best, theme, max(turn, 0))
    return replace(meter, shapes=(*meter.shapes, _through(best.x, best.y, max(turn, 0)))) if not best.foot else meter


def _slanted(feet: Iterable[Point], sides: Mapping[str, Box], brief: Mapping[str, Box]) -> Iterable[Spot]:
    """Return places all around some feet, also for the name alone, for where those straight beside them are taken."""
    tried = (_REACHES[1::2], sides, 30.0), (_REACHES[::2], brief, 90.0)
    return (spot for foot in feet for options in tried for spot in around(foot, *options, slanted=True))


def _better(free: FreeGround, found: Spot | None, others: Callable[[], Iterable[Spot]], own: str = "") -> Spot | None:
    """Return a place, or a cheaper one among others where it costs too much."""
    if found is not None and found.cost < _DEAR:
        return found
    other = free.best(others(), own)
    return other if found is None or (other is not None and other.cost < found.cost) else found


def _first_place(inner: Point, net: Net) -> Point | None:
    """Return where a meter stands near a port on its pipe: 55 px on, or in the middle of a short piece."""
    for run in net.runs:
        for points in (run.points, run.points[::-1]):
            if points[0] == inner:
                (ax, ay), (bx, by) = points[:2]
                length = math.hypot(bx - ax, by - ay)
                share = min(55.0, length / 2) / length
                return ax + (bx - ax) * share, ay + (by - ay) * share
    return None


def _near(one: Point, other: Point) -> bool:
    return math.dist(one, other) < 140.0


def _spot(at: Point, foot: Point | None, words: Box, cost: float) -> Spot:
    x, y = at
    return Spot(x, y, foot, (x + words[0], y + words[1], x + words[2], y + words[3]), cost)


def _through(x: float, y: float, turn: int) -> Path:
    along = (FACE, 0.0) if turn % 180 == 0 else (0.0, FACE)
    return Path(((x - along[0], y - along[1]), (x + along[0], y + along[1])))


def _in_pipe(instrument: Instrument, at: Point, turn: int, theme: Theme) -> Meter:
    x, y = at
    words = (x - 28, y + 2 - 2 * (theme.label - 15.4), "right") if turn % 180 else (x, y + 36, "centre")
    return Meter(instrument, x, y, (*_inner("flow_meter", x, y, turn), _through(x, y, turn)), words)


def _on_shaft(
    instrument: Instrument,
    given: Point | None,
    layout: Layout,
    rig: Rig,
    theme: Theme,
    free: FreeGround,
    first: bool,
) -> Meter | None:
    line = rig.lines.get(instrument.on)
    if line is None:
        return None
    seen = [owner for owner, port in line.joins if layout.seen(owner)]
    anchors = [layout.placed[o].symbol.anchors.get(p) for o, p in line.joins if o in seen]
    points = [a.inner for a in anchors if a is not None]
    if not points:
        return None
    movers = [layout.placed[o] for o, _, role in rig.at_ports(line.name, PrimeMover) if role.burns and o in seen]
    engine = next(iter(movers), None)
    if engine is not None and given is None and first:  # its label says which shaft is meant
        left, _, _, bottom = engine.box
        return Meter(instrument, engine.x, engine.y, (), (left, bottom + 4 + 2.12 * theme.label, "left"))
    x, y = (sum(p[k] for p in points) / len(points) for k in (0, 1))
    roomy = first and math.dist(points[0], points[-1]) > 2.5 * FACE
    sides = _sides(instrument.kind, theme)
    given = given if given is not None and _near(given, (x, y)) else None
    if given is not None or roomy:
        return _meter(instrument, "tachometer", _spot(given or (x, y), None, sides["above"], 0.0), theme)
    spots = list(around((x, y), _REACHES, sides))
    best = _better(free, free.best(spots), lambda: _slanted([(x, y)], sides, _brief(theme)))
    return _meter(instrument, "tachometer", best, theme) if best else None


def _in_oil(
    instrument: Instrument, given: Point | None, layout: Layout, theme: Theme, free: FreeGround
) -> Meter | None:
    part = layout.placed.get(instrument.on)
    if part is None or not layout.seen(instrument.on):
        return None
    sides = _sides(instrument.kind, theme)
    left, top, right, bottom = _box(part)
    if part.vessel is not None:
        return _dipped(instrument, given, part.vessel, sides, theme, free)
    if given is not None and _near(given, (part.x, part.y)):
        foot = (min(max(given[0], left), right), min(max(given[1], top), bottom))
        return _meter(instrument, _ON_PARTS[instrument.kind], _spot(given, foot, sides["left"], 0.0), theme)
    feet: list[tuple[Point, Point]] = []  # with the way out of the part
    for share in (0.5, 0.25, 0.75):
        x, y = left + share * (right - left), top + share * (bottom - top)
        feet += [((left, y), (-1, 0)), ((right, y), (1, 0)), ((x, bottom), (0, 1)), ((x, top), (0, -1))]

    def outwards(make: Callable[[Point], Iterable[Spot]]) -> list[Spot]:
        return [s for foot, (dx, dy) in feet for s in make(foot) if (s.x - foot[0]) * dx + (s.y - foot[1]) * dy > 0]

    best = free.best(outwards(lambda foot: around(foot, _REACHES, sides)))
    best = _better(free, best, lambda: outwards(lambda foot: _slanted([foot], sides, _brief(theme))))
    return _meter(instrument, _ON_PARTS[instrument.kind], best, theme) if best else None


def _box(part: Placed) -> Box:
    """Return the box on whose border a skin is touched; a section's spool slides within it."""
    if part.symbol.manner.moves == "spool":
        left, top, right, bottom = reach(part)
        return left - 2, top, right + 2, bottom
    return part.box


def _dipped(
    instrument: Instrument,
    given: Point | None,
    vessel: Vessel,
    sides: Mapping[str, Box],
    theme: Theme,
    free: FreeGround,
) -> Meter | None:
    """Return a thermometer whose stem reaches into the oil: from the left, from the right, or from above."""
    y = (vessel.level + vessel.bottom) / 2
    spots = []
    if given is not None and vessel.left - 140 < given[0] < vessel.right + 140 and abs(given[1] - y) < 140:
        foot = (min(max(given[0], vessel.left + 14), vessel.right - 14), min(max(given[1], y), vessel.bottom - 8))
        spots.append(_spot(given, foot, sides["left" if given[0] <= foot[0] else "right"], -1e6))
    spots += [
        _spot((vessel.left - 4 * M, y), (vessel.left + 14, y), sides["left"], 0.0),
        _spot((vessel.right + 4 * M, y), (vessel.right - 14, y), sides["right"], 5.0),
    ]
    for k in range(3, int((vessel.right - vessel.left) / 10) - 2):
        foot = (vessel.left + 10 * k, vessel.level + 8)
        spots += [
            _spot((foot[0], foot[1] - up), foot, sides[side], 10.0 + 0.1 * up)
            for up in (52, 60, 70, 80, 95, 110)
            for side in ("left", "right", "above")
        ]
    best = free.best(spots)
    if best is None or best.foot is None:
        return None
    meter, gap = _meter(instrument, "thermometer", best, theme), math.dist(best.foot, (best.x, best.y))
    edge = best.x + (best.foot[0] - best.x) * FACE / gap, best.y + (best.foot[1] - best.y) * FACE / gap
    return replace(meter, shapes=(*_inner("thermometer", best.x, best.y, 0), Path((edge, best.foot))), dipped=True)
