"""Instruments as drawn on the lines of a rig: faces, names and live figures, and the cover over them."""

from __future__ import annotations

import math
from collections.abc import Mapping
from functools import lru_cache

from trainer import units
from trainer.drawing.free_ground import FACE
from trainer.drawing.instruments import QUANTITIES, on_scale, scale_of
from trainer.drawing.meter_places import Meter, place_meters
from trainer.drawing.nets import Net
from trainer.drawing.pipes import Gauge
from trainer.drawing.placed import Layout
from trainer.drawing.shapes import Circle, Figure, Path, Point, Shape, Sliding, Words
from trainer.drawing.theme import Theme
from trainer.parts.roles import Pump
from trainer.rig.live import Live
from trainer.rig.rig import Instrument, Rig
from trainer.units import System

__all__ = ["Meter", "covered_figure", "face", "figures", "place_meters", "pump_figures", "read_figures", "reading"]


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


def read_figures(instrument: Instrument, read: float, system: System, fine: bool = False) -> tuple[str, str]:
    """Return (figures, unit) of what is read off a pointer [SI]; on a stop it says so, as its dial does."""
    quantity = QUANTITIES[instrument.kind]
    unit = units.shown_unit(quantity, system)
    end = unit.value(scale_of(instrument.range_, quantity, system).end)
    written = on_scale(read, end, quantity, lambda value: figures(value, quantity, system, fine)[0])
    return written, unit.pretty


def covered_figure(
    x: float, y: float, unit: str, theme: Theme, align: str, before: str = "", about: Figure | None = None
) -> list[Shape]:
    """Return a hatched field in the place of a figure; its unit and what stands before it stay."""
    size = theme.label
    wide, gap = 2.4 * size, 0.3 * size
    tail = 0.52 * size * len(unit)
    head = 0.55 * size * len(before) + (gap if before else 0.0)
    left = x if align == "left" else x - head - wide - gap - tail
    shapes: list[Shape] = [Words(left, y, before, size, "ink2", about=about)] if before else []
    left += head
    field = (
        (left, y - 0.72 * size),
        (left + wide, y - 0.72 * size),
        (left + wide, y + 0.1 * size),
        (left, y + 0.1 * size),
    )
    shapes.append(Path(field, "ink2", 1.0, "cover", closed=True, hatch="cover-hatch", about=about))
    shapes.append(Words(left + wide + gap, y, unit, size, "ink2", about=about))
    return shapes


@lru_cache(maxsize=256)
def _plate(x: float, y: float, width: float) -> Sliding:
    return Sliding((Circle(x, y, FACE, "ink", width, "cell"),))


def face(gauge: Gauge, share: float | None, theme: Theme) -> list[Shape | Sliding]:
    """Return a gauge's face with its needle at a share of the scale; None is a covered face."""
    if share is None:
        return [Circle(gauge.x, gauge.y, FACE, "ink", theme.outline, "cover", "cover-hatch")]
    angle = math.radians(225 - 270 * max(-0.03, min(1.05, share)))
    cos, sin = math.cos(angle), -math.sin(angle)
    x, y = gauge.x, gauge.y
    tip, neck = (x + 15 * cos, y + 15 * sin), (x + 5 * cos, y + 5 * sin)
    half = 4.5
    head = (tip, (neck[0] - half * sin, neck[1] + half * cos), (neck[0] + half * sin, neck[1] - half * cos))
    return [
        _plate(x, y, theme.outline),
        Path(((x - 13 * cos, y - 13 * sin), neck), width=theme.outline),
        Path(head, None, 0.0, "ink", closed=True),
    ]


def reading(
    meter: Meter,
    live: Live,
    theme: Theme,
    system: System,
    covered: bool,
    told: bool = False,
    read: float | None = None,
) -> list[Shape]:
    """Return a meter's name and figure; the name alone where the figure is ``told`` elsewhere.

    ``read`` is what is read off its pointer [SI], the truth where nothing is given.
    """
    x, y, align = meter.words
    name, kind = meter.instrument.name, meter.instrument.kind
    quantity = QUANTITIES[kind]
    about = Figure("instrument", name, quantity)
    if told or meter.brief:
        return [Words(x, y, name, theme.label, "ink", 600, align, about)]
    if covered:
        return covered_figure(x, y, units.shown_unit(quantity, system).pretty, theme, align, name, about)
    if read is None:
        value = _truth(meter, live)
        written = figures(abs(value) if kind == "flow meter" else value, quantity, system)
    else:
        written = read_figures(meter.instrument, read, system)
    return [Words(x, y, f"{name}  {' '.join(written)}", theme.label, "ink", 600, align, about)]


def _truth(meter: Meter, live: Live) -> float:
    """Return what a perfect instrument would read [SI; C]."""
    on = meter.instrument.on
    match meter.instrument.kind:
        case "flow meter":
            owner, _, port = on.partition(".")
            return -live.flow(owner, port)
        case "tachometer":
            return live.speed(on)
        case "differential gauge":
            before, behind = meter.instrument.between
            return live.pressure(before) - live.pressure(behind)
    return live.temperature if meter.dipped else live.skin(on)


def pump_figures(layout: Layout, nets: Mapping[str, Net], rig: Rig) -> dict[str, Point]:
    """Return for each pump where the figures of its pressure line stand [px]: beside the pipe's upper end."""
    found: dict[str, Point] = {}
    for id_, part in layout.placed.items():
        if not isinstance(part.role, Pump) or part.role.outlet not in part.symbol.anchors:
            continue
        anchor, net = part.symbol.anchors[part.role.outlet], nets[rig.line_of(id_, part.role.outlet).name]
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
