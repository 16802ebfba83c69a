"""What stands still on a drawing: symbols, vessels, shafts, enclosures, and the ground that lines avoid."""

from __future__ import annotations

import itertools
import math
from collections.abc import Mapping

from trainer.drawing.labels import label_lines
from trainer.drawing.nets import Net
from trainer.drawing.placed import Layout, Placed, Vessel, circuit, reach
from trainer.drawing.route import Box
from trainer.drawing.shapes import Path, Point, Shape, Words
from trainer.drawing.symbols import M
from trainer.drawing.symbols.notation import CHAIN
from trainer.drawing.theme import Theme
from trainer.parts.part import Kind
from trainer.parts.roles import DirectionalValve, PressureLimiter, Pump
from trainer.rig.rig import Rig
from trainer.units import System

__all__ = ["ground", "soft_ground", "still_parts"]


def ground(layout: Layout) -> list[Box]:
    """Return what lines must not cross [px]."""
    boxes: list[Box] = []
    for id_, part in layout.placed.items():
        if part.vessel is not None:
            boxes.append((part.vessel.left, part.vessel.lip + 1, part.vessel.right, part.vessel.bottom))
        elif not layout.seen(id_):
            continue
        elif id_ in layout.rods:
            left, top, right, bottom = part.box
            upright = layout.placed[layout.rods[id_]].upwards
            boxes.append((left, top, right, bottom + 50) if upright else part.box)
        else:
            boxes.append(reach(part))
        if part.symbol.manner.moves == "spool":
            boxes.append((part.x - 80, part.y - 32, part.x - 68, part.y - 8))
            boxes.append((part.x - 56, part.y - 48, part.x + 56, part.y + 48))
    return boxes


def soft_ground(layout: Layout) -> list[Box]:
    """Return what lines should rather not cross [px]: where figures will stand."""
    boxes: list[Box] = []
    for part in layout.placed.values():
        if part.symbol.manner.moves == "spool":
            boxes.append((part.x + 30, part.y + 60, part.x + 76, part.y + 200))
        elif isinstance(part.role, Pump):
            boxes.append((part.x - 100, part.y - 140, part.x - 10, part.y - 40))
    return boxes


def _vessel(part: Placed, rig: Rig, nets: Mapping[str, Net], theme: Theme, system: System) -> list[Shape]:
    v = part.vessel
    assert v is not None
    shapes: list[Shape] = [
        Path(((v.left + 1, v.level), (v.right - 1, v.level)), "hairline", theme.hairline),
        Path(((v.left, v.lip), (v.left, v.bottom), (v.right, v.bottom), (v.right, v.lip)), width=theme.main),
    ]
    text = label_lines(part, rig, lambda name: rig.parts[part.fitted.id].value(name), system)[0][0]
    wide, x = _widest_gap(v, nets)
    y = v.bottom - 11
    if wide < 0.5 * theme.label * len(text) + 14:  # no room between the lines: below the vessel
        x, y = (v.left + v.right) / 2, v.bottom + 4 + theme.label
    shapes.append(Words(x, y, text, theme.label, "ink2", 400, "centre"))
    return shapes


def _widest_gap(v: Vessel, nets: Mapping[str, Net]) -> tuple[float, float]:
    """Return width and middle of the widest stretch of a vessel without a line in it [px]."""
    drops = {
        x for net in nets.values() for run in net.runs for x, y in run.points if y == v.end and v.left < x < v.right
    }
    edges = [v.left, *sorted(drops), v.right]
    return max((b - a, (a + b) / 2) for a, b in itertools.pairwise(edges))


def _shafts(rig: Rig, layout: Layout, theme: Theme) -> list[Shape]:
    shapes: list[Shape] = []
    for line in rig.lines_of_kind(Kind.SHAFT):
        ends = [
            layout.placed[owner].symbol.anchors[port]
            for owner, port in line.joins
            if port in layout.placed[owner].symbol.anchors and layout.seen(owner)
        ]
        for a, b in itertools.pairwise(ends):
            level = a.y == b.y or a.x == b.x
            points: list[Point] = [a.inner, *(() if level else ((a.x, a.y), (b.x, a.y), (b.x, b.y))), b.inner]
            kept = [p for k, p in enumerate(points) if k == 0 or p != points[k - 1]]
            if len(kept) > 1:
                shapes.append(Path(tuple(kept), "ink", 5 + theme.outline))
                shapes.append(Path(tuple(kept), "cell", 5 - theme.outline))
    return shapes


def _banks(rig: Rig, layout: Layout) -> list[list[str]]:
    """Return the sections that pass the bypass on to one another without a part between, bank by bank."""
    banks: list[list[str]] = []
    for line in rig.lines_of_kind(Kind.OIL):
        if line.hose:  # leads from one bank to the next
            continue
        sections = [id_ for id_, port, role in rig.at_ports(line.name, DirectionalValve) if port in role.gallery]
        joined = [bank for bank in banks if any(owner in bank for owner in sections)]
        bank = sorted({owner for part in joined for owner in part} | set(sections))
        banks = [b for b in banks if b not in joined] + ([bank] if bank else [])
    banks += [
        [id_] for id_ in layout.levers if not any(id_ in bank for bank in banks) and _upright(layout.placed[id_])
    ]
    return banks if len(layout.levers) > 1 else []


def _upright(part: Placed) -> bool:
    """Return whether a part is drawn as a section is: what lies, as an electric valve, is in no bank."""
    left, top, right, bottom = part.box
    return bottom - top > right - left


def _enclosures(rig: Rig, layout: Layout, theme: Theme) -> list[Shape]:
    """Return a chain line around every bank of several sections."""
    shapes: list[Shape] = []
    for bank in _banks(rig, layout):
        inside = [layout.placed[id_] for id_ in bank]
        circuits = {circuit(id_) for id_ in bank}
        inlets = [layout.placed[id_].x for id_ in rig.having(PressureLimiter) if circuit(id_) in circuits]
        left = min(min(p.x for p in inside) - 11 * M, *(x - 8 * M for x in inlets), 1e9)
        right = max(p.x for p in inside) + (9.5 * M if len(bank) == 1 else 10.4 * M)
        top, bottom = min(p.y for p in inside) - 17.3 * M, max(p.y for p in inside) + 22.4 * M
        corners = ((left, top), (right, top), (right, bottom), (left, bottom))
        shapes.append(Path(corners, "ink2", theme.chain, closed=True, dash=CHAIN))
        name = min(circuits) + "V"
        shapes.append(Words(left + 10, top + 5 + theme.label, name, theme.label, "ink2"))
    return shapes


def _drains(layout: Layout, theme: Theme) -> list[Shape]:
    """Return a small tank sign under every case drain."""
    shapes: list[Shape] = []
    for owner, port in sorted(layout.drains):
        anchor = layout.placed[owner].symbol.anchors[port]
        x, y = anchor.x, anchor.y + (0 if anchor.direction == 270 else 8)
        sign = ((x - 9, y - 5), (x - 9, y + 3), (x + 9, y + 3), (x + 9, y - 5))
        shapes.append(Path(sign, width=theme.outline))
    return shapes


def _plugs(rig: Rig, layout: Layout, nets: Mapping[str, Net], theme: Theme) -> list[Shape]:
    """Return a cross at the end of every line that is joined to one port alone: plugged (ISO 1219-1)."""
    shapes: list[Shape] = []
    for line in rig.lines_of_kind(Kind.OIL):
        net = nets.get(line.name)
        if net is None or len(line.joins) > 1 or len(net.runs) != 1 or layout.placed[line.joins[0][0]].vessel:
            continue
        (x0, y0), (x, y) = net.runs[0].points[-2:]
        length, half = math.hypot(x - x0, y - y0), 0.5 * M
        x, y = x + half * (x - x0) / length, y + half * (y - y0) / length  # clear of the pipe's end
        for way in (1.0, -1.0):
            shapes.append(Path(((x - half, y - way * half), (x + half, y + way * half)), width=theme.outline))
    return shapes


def still_parts(rig: Rig, layout: Layout, nets: Mapping[str, Net], theme: Theme, system: System) -> list[Shape]:
    """Return everything that stands still but labels and names of instruments."""
    shapes: list[Shape] = _enclosures(rig, layout, theme)
    shapes += _shafts(rig, layout, theme)
    shapes += _drains(layout, theme)
    shapes += _plugs(rig, layout, nets, theme)
    for id_, part in layout.placed.items():
        if not layout.seen(id_):
            continue
        if part.vessel is not None:
            shapes += _vessel(part, rig, nets, theme, system)
        elif id_ in layout.rods:
            if part.symbol.manner.fixed:
                shapes += part.symbol.drawn()
        elif not part.symbol.through:
            shapes += [shape for k, shape in enumerate(part.symbol.drawn()) if k not in part.symbol.manner.moving]
    return shapes
