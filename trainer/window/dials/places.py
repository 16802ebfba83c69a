"""What lies under a carried instrument on the drawing: the place it would be fitted to, or why it cannot go there."""

from __future__ import annotations

import itertools
import math
from dataclasses import dataclass

from trainer.drawing.picking import Pick, distance, pick
from trainer.drawing.scene import Scene
from trainer.drawing.shapes import Point
from trainer.language import mark, tr
from trainer.measuring.instruments import places
from trainer.parts.part import Kind

__all__ = ["Target", "target_at"]

_SHAFT = 12.0  # from a shaft's middle [px]
_WHY = {
    "gauge": mark("a gauge goes onto an oil line"),
    "vacuum gauge": mark("a vacuum gauge goes onto an oil line"),
    "differential gauge": mark("a differential gauge goes over a part with a line before it and one behind"),
    "flow meter": mark("a flow meter goes to a port of an oil line"),
    "tachometer": mark("a tachometer goes onto a shaft"),
    "thermometer": mark("a thermometer goes into a tank or onto a part with oil in it"),
}


@dataclass(frozen=True, slots=True)
class Target:
    """A place on the drawing: ``on`` as in ``Instrument``, "" where nothing goes; ``words`` of where, or why not.

    ``lit`` are the line and the part that are meant, as the drawing lights them.
    """

    on: str
    words: str
    lit: frozenset[tuple[str, str]] = frozenset()


def target_at(scene: Scene, kind: str, x: float, y: float) -> Target:
    """Return what a kind of instrument would be fitted to at a place of the drawing [px]."""
    found = pick(scene, x, y)
    if kind == "tachometer":
        on = _shaft(scene, x, y) or _shaft_of(scene, found, (x, y))
    elif found is None:
        on = ""
    elif kind in ("gauge", "vacuum gauge"):
        on = _line(scene, found)
    elif kind == "flow meter":
        on = _port(scene, found, (x, y))
    else:
        on = _part(scene, found)
    if not on:
        return Target("", tr(_WHY[kind]))
    words = next((place.words for place in places(scene.rig, kind) if place.on == on), "")
    return Target(on, words, _lit(scene, kind, on)) if words else Target("", tr(_WHY[kind]))


def _line(scene: Scene, found: Pick) -> str:
    if found.kind == "line":
        return found.name
    instrument = scene.rig.instruments.get(found.name) if found.kind == "instrument" else None
    return instrument.on if instrument is not None and instrument.on_line else ""


def _port(scene: Scene, found: Pick, place: Point) -> str:
    if found.kind == "line" and found.port is not None:
        return ".".join(found.port)
    if found.kind == "instrument":
        instrument = scene.rig.instruments[found.name]
        return instrument.on if instrument.kind == "flow meter" else ""
    return _nearest(scene, found.name, Kind.OIL, place) if found.kind == "part" else ""


def _part(scene: Scene, found: Pick) -> str:
    if found.kind == "part":
        return found.name if Kind.OIL in scene.rig.parts[found.name].part.ports.values() else ""
    return found.port[0] if found.kind == "line" and found.port is not None else ""


def _shaft_of(scene: Scene, found: Pick | None, place: Point) -> str:
    if found is None or found.kind != "part":
        return ""
    port = _nearest(scene, found.name, Kind.SHAFT, place)
    return scene.rig.line_of(*port.split(".", 1)).name if port else ""


def _nearest(scene: Scene, part: str, kind: Kind, place: Point) -> str:
    """Return the port of a kind of a part that stands nearest to a place, "part.port", else nothing."""
    placed = scene.layout.placed[part]
    ports = []
    for port, its_kind in placed.fitted.part.ports.items():
        if its_kind is kind:
            anchor = placed.symbol.anchors.get(port)
            away = math.dist((anchor.x, anchor.y), place) if anchor is not None else math.inf
            ports.append((away, port))
    return f"{part}.{min(ports)[1]}" if ports else ""


def _shaft(scene: Scene, x: float, y: float) -> str:
    """Return the shaft line at a place, else nothing."""
    found = [
        (away, line.name)
        for line in scene.rig.lines_of_kind(Kind.SHAFT)
        for a, b in itertools.pairwise(_ends(scene, line.joins))
        if (away := distance((x, y), a, b)) <= _SHAFT
    ]
    return min(found)[1] if found else ""


def _ends(scene: Scene, joins: tuple[tuple[str, str], ...]) -> list[Point]:
    ends = []
    for owner, port in joins:
        anchor = scene.layout.placed[owner].symbol.anchors.get(port)
        if anchor is not None and scene.layout.seen(owner):
            ends.append(anchor.inner)
    return ends


def _lit(scene: Scene, kind: str, on: str) -> frozenset[tuple[str, str]]:
    if kind in ("gauge", "vacuum gauge"):
        return frozenset({("line", on)})
    if kind == "flow meter":
        part, _, port = on.partition(".")
        return frozenset({("line", scene.rig.line_of(part, port).name), ("part", part)})
    if kind == "tachometer":
        return frozenset(("part", owner) for owner, _ in scene.rig.lines[on].joins if scene.layout.seen(owner))
    return frozenset({("part", on)})
