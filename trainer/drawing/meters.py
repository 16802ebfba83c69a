"""Instruments as drawn on the lines of a rig: faces, names and live figures, and the cover over them."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

from trainer import units
from trainer.drawing.layout import Layout, place_of
from trainer.drawing.live import Live
from trainer.drawing.pipes import Gauge
from trainer.drawing.route import Net
from trainer.drawing.shapes import Circle, Path, Point, Shape, Words
from trainer.drawing.symbols import SYMBOLS, M
from trainer.drawing.symbols.symbol import bounds_of
from trainer.drawing.theme import Theme
from trainer.rig import Instrument, Rig
from trainer.units import System

__all__ = ["Meter", "covered_figure", "face", "figures", "place_meters", "pump_figures", "reading"]

_FACE = 20.0  # radius of an instrument's circle [px]


@dataclass(frozen=True, slots=True)
class Meter:
    """A flow meter, tachometer or thermometer on the drawing: face, and where its figure stands [px]."""

    instrument: Instrument
    x: float
    y: float
    shapes: tuple[Shape, ...]
    words: tuple[float, float, str]  # x, baseline, alignment of "name  figure"


def figures(value: float, quantity: str, system: System, fine: bool = False) -> tuple[str, str]:
    """Return (figures, unit) of a reading on the drawing: few decimals, the same number all the time."""
    metric = system is System.METRIC
    decimals = {
        "pressure": 1 if fine and metric else 0,
        "flow": (2 if fine else 1) + (0 if metric else 1),
        "force": 1 if metric else 0,
        "speed": 0 if metric else 1,
    }.get(quantity)
    return units.text(value, quantity, system, decimals)


def covered_figure(x: float, y: float, unit: str, theme: Theme, align: str, before: str = "") -> list[Shape]:
    """Return a hatched field in the place of a figure; its unit and what stands before it stay."""
    size = theme.label
    wide, gap = 2.4 * size, 0.3 * size
    tail = 0.52 * size * len(unit)
    head = 0.55 * size * len(before) + (gap if before else 0.0)
    left = x if align == "left" else x - head - wide - gap - tail
    shapes: list[Shape] = [Words(left, y, before, size, "ink2")] if before else []
    left += head
    field = (
        (left, y - 0.72 * size),
        (left + wide, y - 0.72 * size),
        (left + wide, y + 0.1 * size),
        (left, y + 0.1 * size),
    )
    shapes.append(Path(field, "ink2", 1.0, "cover", closed=True, hatch="cover-hatch"))
    shapes.append(Words(left + wide + gap, y, unit, size, "ink2"))
    return shapes


def face(gauge: Gauge, share: float | None, theme: Theme) -> list[Shape]:
    """Return a gauge's face with its needle at a share of the scale; None is a covered face."""
    if share is None:
        return [Circle(gauge.x, gauge.y, _FACE, "ink", theme.outline, "cover", "cover-hatch")]
    angle = math.radians(225 - 270 * max(-0.03, min(1.05, share)))
    cos, sin = math.cos(angle), -math.sin(angle)
    x, y = gauge.x, gauge.y
    tip, neck = (x + 15 * cos, y + 15 * sin), (x + 5 * cos, y + 5 * sin)
    half = 4.5
    head = (tip, (neck[0] - half * sin, neck[1] + half * cos), (neck[0] + half * sin, neck[1] - half * cos))
    return [
        Circle(x, y, _FACE, "ink", theme.outline, "cell"),
        Path(((x - 13 * cos, y - 13 * sin), neck), width=theme.outline),
        Path(head, None, 0.0, "ink", closed=True),
    ]


def _flow_meter(
    instrument: Instrument, layout: Layout, nets: Mapping[str, Net], rig: Rig
) -> tuple[float, float, float] | None:
    """Return where a flow meter stands on its port's pipe: x, y [px] and the pipe's direction [degrees]."""
    owner, _, port = instrument.on.partition(".")
    part = layout.placed.get(owner)
    anchor = part.symbol.anchors.get(port) if part else None
    if anchor is None:
        return None
    for run in nets[rig.line_of(owner, port).name].runs:
        for points in (run.points, run.points[::-1]):
            if points[0] == anchor.inner:
                (ax, ay), (bx, by) = points[:2]
                length = math.hypot(bx - ax, by - ay)
                share = min(55.0, length / 2) / length
                return (
                    ax + (bx - ax) * share,
                    ay + (by - ay) * share,
                    math.degrees(math.atan2(ay - by, bx - ax)),
                )
    return None


def place_meters(rig: Rig, layout: Layout, nets: Mapping[str, Net], theme: Theme) -> dict[str, Meter]:
    """Return the meters of a rig by name; instruments whose place cannot be told are left out."""
    found: dict[str, Meter] = {}
    for name, instrument in rig.instruments.items():
        given = place_of(rig, name)
        if given is not None:
            given = given[0] + layout.shift[0], given[1] + layout.shift[1]
        meter = None
        if instrument.kind == "flow meter":
            meter = _on_pipe(instrument, given, layout, nets, rig, theme)
        elif instrument.kind == "tachometer":
            meter = _on_shaft(instrument, given, layout, rig, theme)
        elif instrument.kind == "thermometer":
            meter = _in_oil(instrument, given, layout)
        if meter is not None:
            found[name] = meter
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


def _on_pipe(
    instrument: Instrument, given: Point | None, layout: Layout, nets: Mapping[str, Net], rig: Rig, theme: Theme
) -> Meter | None:
    place = _flow_meter(instrument, layout, nets, rig)
    if place is None:
        return None
    x, y, degrees = place
    if given is not None:
        x, y = given
    turn = round(degrees / 90) * 90 % 360
    along = (_FACE, 0.0) if turn % 180 == 0 else (0.0, _FACE)
    line = Path(((x - along[0], y - along[1]), (x + along[0], y + along[1])))
    words = (x - 28, y + 2 - 2 * (theme.label - 15.4), "right") if turn % 180 else (x, y + 36, "centre")
    return Meter(instrument, x, y, (*_inner("flow_meter", x, y, turn), line), words)


def _on_shaft(instrument: Instrument, given: Point | None, layout: Layout, rig: Rig, theme: Theme) -> Meter | None:
    line = rig.lines.get(instrument.on)
    if line is None:
        return None
    ends = [layout.placed[owner].symbol.anchors.get(port) for owner, port in line.joins]
    points = [(a.x, a.y) for a in ends if a is not None]
    if not points:
        return None
    engine = next((layout.placed[o] for o, _ in line.joins if layout.placed[o].symbol.name == "engine"), None)
    if engine is not None and given is None:  # its label says which shaft is meant
        left, _, _, bottom = engine.box
        return Meter(instrument, engine.x, engine.y, (), (left, bottom + 4 + 2.12 * theme.label, "left"))
    x, y = points[0]
    if len(points) > 1:
        x, y = (x + points[1][0]) / 2, (y + points[1][1]) / 2
    if given is not None:
        x, y = given
    return Meter(instrument, x, y, _inner("tachometer", x, y, 0), (x, y - 27, "centre"))


def _in_oil(instrument: Instrument, given: Point | None, layout: Layout) -> Meter | None:
    part = layout.placed.get(instrument.on)
    if part is None:
        return None
    if part.vessel is not None:
        x, y = given or (part.vessel.left - 4 * M, (part.vessel.level + part.vessel.bottom) / 2)
        side = 1 if x < part.vessel.left else -1
        dip = (part.vessel.left if side > 0 else part.vessel.right) + side * 14
    else:
        x, y = given or (part.box[0] - 4 * M, part.y)
        side, dip = 1, part.box[0]
    stem = Path(((x + side * _FACE, y), (dip, y)))
    return Meter(
        instrument,
        x,
        y,
        (*_inner("thermometer", x, y, 0), stem),
        (x - side * 27, y + 5, "right" if side > 0 else "left"),
    )


def reading(meter: Meter, live: Live, theme: Theme, system: System, covered: bool, told: bool = False) -> list[Shape]:
    """Return a meter's name and figure; the name alone where the figure is ``told`` elsewhere."""
    x, y, align = meter.words
    name, kind, on = meter.instrument.name, meter.instrument.kind, meter.instrument.on
    if told:
        return [Words(x, y, name, theme.label, "ink", 600, align)]
    quantity = {"flow meter": "flow", "tachometer": "shaft speed"}.get(kind, "temperature")
    if covered:
        return covered_figure(x, y, units.text(0.0, quantity, system)[1], theme, align, name)
    if kind == "flow meter":
        owner, _, port = on.partition(".")
        value = abs(live.flow(owner, port))
    else:
        value = live.speed(on) if kind == "tachometer" else live.temperature
    text = " ".join(figures(value, quantity, system))
    return [Words(x, y, f"{name}  {text}", theme.label, "ink", 600, align)]


def pump_figures(layout: Layout, nets: Mapping[str, Net], rig: Rig) -> dict[str, Point]:
    """Return for each pump where the figures of its pressure line stand [px]: beside the pipe's upper end."""
    found: dict[str, Point] = {}
    for id_, part in layout.placed.items():
        anchor = part.symbol.anchors.get("P")
        if anchor is None or not part.symbol.name.startswith("pump"):
            continue
        net = nets[rig.line_of(id_, "P").name]
        x, y = anchor.inner
        top = y
        for _ in range(8):
            for run in net.runs:
                for a, b in zip(run.points, run.points[1:], strict=False):
                    low, high = max(a[1], b[1]), min(a[1], b[1])
                    if a[0] == b[0] == x and low >= top > high:
                        top = high
        found[id_] = (x, top + 38 if y - top > 60 else y - 20)
    return found
