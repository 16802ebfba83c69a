"""Where the parts of a rig are drawn: from its drawing table, else one column for each function."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import replace
from itertools import pairwise
from typing import Any

from trainer.drawing.automatic import Automatic, Place
from trainer.drawing.placed import Layout, Placed, Vessel, circuit, reach, side_of, stands, symbol_of
from trainer.drawing.shapes import Point
from trainer.drawing.symbols import SYMBOLS, M
from trainer.drawing.symbols.symbol import turned
from trainer.errors import Fault, RigError
from trainer.language import tr
from trainer.parts.part import Control, Kind
from trainer.parts.roles import (
    Actuator,
    Pump,
    Tank,
)
from trainer.rig.rig import Rig

__all__ = ["lay_out", "place_of"]

_WIDEST, _APART = 150.0, 6.0  # of the rows below for what has no room; between two parts there [M]


def _table(rig: Rig, id_: str) -> Mapping[str, Any]:
    table = rig.drawing.get(id_, {})
    if not isinstance(table, Mapping):
        raise RigError(
            [
                Fault(
                    "drawing",
                    f"[drawing] {id_}",
                    tr("{table!r:.40} is no place.").format(table=table),
                    tr("Write { at = [6, 40] }."),
                )
            ],
            rig.source,
        )
    return table


def _numbers(rig: Rig, id_: str, key: str, count: int) -> tuple[float, ...] | None:
    value = _table(rig, id_).get(key)
    if value is None:
        return None
    written = list(value) if isinstance(value, (list, tuple)) else [value]
    good = all(isinstance(v, (int, float)) and not isinstance(v, bool) and abs(v) < 1e4 for v in written)
    if len(written) != count or not good:
        example = "[6, 40]" if count == 2 else "90"
        raise RigError(
            [
                Fault(
                    "drawing",
                    f"[drawing] {id_}",
                    tr("{key} = {value!r:.40} cannot be used.").format(key=key, value=value),
                    tr("Write {key} = {example}.").format(key=key, example=example),
                )
            ],
            rig.source,
        )
    return tuple(float(v) for v in written)


def place_of(rig: Rig, id_: str) -> Point | None:
    """Return the place that the drawing table gives to a name [px], or None. Raises RigError."""
    at = _numbers(rig, id_, "at", 2)
    return (at[0] * M, at[1] * M) if at else None


def lay_out(rig: Rig, room: Point = (0.0, 0.0)) -> Layout:
    """Return where every part of a rig is drawn. Raises RigError for a drawing table that cannot be used.

    ``room`` is what words need at the left and above, beyond the parts themselves [px].
    """
    automatic = Automatic(rig)
    automatic.place()
    places: dict[str, Place] = {}
    for id_ in rig.parts:
        x, y, turn, mirror = automatic.at[id_]
        at = _numbers(rig, id_, "at", 2)
        if at is not None:
            x, y = at
            turn, mirror = (90 if stands(rig.parts[id_]) else 0), False
        quarter = _numbers(rig, id_, "turn", 1)
        turn = round(quarter[0] / 90) * 90 % 360 if quarter else turn
        places[id_] = (x * M, y * M, turn, bool(_table(rig, id_).get("mirror", mirror)))
    _move_apart(rig, places)
    bodies = [
        SYMBOLS[automatic.symbols[id_]].placed(*place).box
        for id_, place in places.items()
        if not SYMBOLS[automatic.symbols[id_]].manner.machine
    ]
    least = [min((b[k] for b in bodies), default=99.0) for k in (0, 1)]
    shift = tuple(max(0.0, _on_grid(3 * M - least[k])) + _on_grid(room[k]) for k in (0, 1))
    placed = {
        id_: Placed(
            rig.parts[id_],
            SYMBOLS[automatic.symbols[id_]].placed(x + shift[0], y + shift[1], turn, mirror),
            x + shift[0],
            y + shift[1],
            turn,
            mirror,
        )
        for id_, (x, y, turn, mirror) in places.items()
    }
    rods = {
        load: id_
        for id_, p in placed.items()
        if p.symbol.manner.moves == "piston"
        for load in side_of(rig, id_, Kind.ROD)
        if "rod" in placed[load].symbol.anchors
        and not placed[load].elsewhere
        and placed[load].symbol.manner.moves != "piston"
    }
    for id_, part in list(placed.items()):
        if id_ in rods and "at" not in _table(rig, id_) and not part.elsewhere:
            placed[id_] = _on_rod(part, placed[rods[id_]], _beside(rig, id_, placed, rods))
        elif part.elsewhere:
            placed[id_] = _over_actuator(rig, part, placed)
        if isinstance(part.role, Tank):
            vessel = _vessel(rig, id_, part.x, part.y, placed, (shift[0], shift[1]))
            placed[id_] = replace(part, vessel=vessel)
    levers = {id_: p.x for id_, p in placed.items() if "lever" in p.fitted.part.declared(Control)}
    columns: dict[str, float] = {}
    for id_, p in placed.items():
        if id_ in levers or (circuit(id_) not in columns and isinstance(p.fitted.part.role, (Actuator, Pump))):
            columns[circuit(id_)] = p.x
    for id_, x in levers.items():
        columns[circuit(id_)] = x
    return Layout(placed, columns, levers, rods, (shift[0], shift[1]), frozenset(_drains(rig, placed)))


def _move_apart(rig: Rig, places: dict[str, Place]) -> None:
    """Move parts without a written place that lie on others into rows below all else; ``places`` are in px."""
    loads = {
        load for id_, role in rig.having(Actuator).items() if role.linear for load in side_of(rig, id_, Kind.ROD)
    }
    ground: dict[str, tuple[float, float, float, float]] = {}
    homeless: list[str] = []
    for id_ in sorted(places, key=lambda id_: "at" not in _table(rig, id_)):
        fitted = rig.parts[id_]
        name = symbol_of(fitted)
        if SYMBOLS[name].manner.machine or id_ in loads:
            continue
        box = reach(Placed(fitted, SYMBOLS[name].placed(*places[id_]), *places[id_]))
        if "at" not in _table(rig, id_) and any(_meet(box, other) for other in ground.values()):
            homeless.append(id_)
        else:
            ground[id_] = box
    left, top = 3 * M, max((box[3] for box in ground.values()), default=0.0) + 4 * _APART * M
    x, bottom = left, top
    for id_ in homeless:
        name = symbol_of(rig.parts[id_])
        _, _, turn, mirror = places[id_]
        box = reach(Placed(rig.parts[id_], SYMBOLS[name].placed(0.0, 0.0, turn, mirror), 0.0, 0.0, turn, mirror))
        room = max(box[2] - box[0], 12 * M) if isinstance(rig.parts[id_].part.role, Tank) else box[2] - box[0]
        if x > left and x + room > _WIDEST * M:
            x, top = left, bottom + _APART * M
        places[id_] = (_on_grid(x + room / 2 - (box[0] + box[2]) / 2), _on_grid(top - box[1]), turn, mirror)
        x, bottom = x + room + _APART * M, max(bottom, top + box[3] - box[1])


def _on_grid(length: float) -> float:
    return math.ceil(length / M) * M


def _meet(one: tuple[float, float, float, float], other: tuple[float, float, float, float]) -> bool:
    return one[0] < other[2] and other[0] < one[2] and one[1] < other[3] and other[1] < one[3]


def _drains(rig: Rig, placed: Mapping[str, Placed]) -> list[tuple[str, str]]:
    """Return the case drains that lead to a tank without a written route."""
    routes = rig.drawing.get("routes", {})
    branches = [branch for line in routes.values() for branch in line] if isinstance(routes, Mapping) else []
    written = {step for branch in branches for step in branch if isinstance(step, str)}
    found: list[tuple[str, str]] = []
    for line in rig.lines_of_kind(Kind.OIL):
        if any(placed[owner].vessel is not None for owner, _ in line.joins):
            found += [
                (owner, port)
                for owner, port, role in rig.at_ports(line.name, Actuator)
                if port == role.drain and port in placed[owner].symbol.anchors
            ]
    return [port for port in found if ".".join(port) not in written]


def _over_actuator(rig: Rig, part: Placed, placed: Mapping[str, Placed]) -> Placed:
    """Return a part that is shown elsewhere, placed over what drives it first."""
    id_ = part.fitted.id
    drives = [*side_of(rig, id_, Kind.ROD), *side_of(rig, id_, Kind.SHAFT)]
    if not drives:
        return part
    driving = placed[drives[0]]
    x, y = driving.x, reach(driving)[1] + 2 * M
    return replace(part, x=x, y=y, turn=0, mirror=False, symbol=SYMBOLS[part.symbol.name].placed(x, y))


def _beside(rig: Rig, load: str, placed: Mapping[str, Placed], rods: Mapping[str, str]) -> float:
    """Return how far the middle of the upright cylinders that carry a load together lies from the one it is drawn on.

    They stand abreast and look the same way; where they do not, the load stays on that one's rod [px].
    """
    own = placed[rods[load]]
    abreast = [
        placed[id_]
        for id_ in side_of(rig, load, Kind.ROD)
        if placed[id_].symbol.manner.moves == "piston" and placed[id_].upwards and placed[id_].y == own.y
    ]
    return sum(part.x for part in abreast) / len(abreast) - own.x if own in abreast else 0.0


def _on_rod(load: Placed, cylinder: Placed, beside: float = 0.0) -> Placed:
    """Return a load placed at the end of a cylinder's extended rod, its middle ``beside`` it [px]."""
    across, down = turned((-105.0 if cylinder.mirror else 105.0, 0.0), cylinder.turn)
    anchor = SYMBOLS[load.symbol.name].anchors["rod"]
    x, y = cylinder.x + across - anchor.x, cylinder.y + down - anchor.y
    left, top, right, bottom = SYMBOLS[load.symbol.name].box
    if not cylinder.upright and right - left > bottom - top > M:  # pushed by its side
        beside, y = left if cylinder.mirror else right, y + anchor.y
    symbol = SYMBOLS[load.symbol.name].placed(x + beside, y)
    if beside:  # what is carried by several hangs on the rod of the one that it moves with
        rod = replace(symbol.anchors["rod"], x=x + anchor.x, y=cylinder.y + down)
        symbol = replace(symbol, anchors={**symbol.anchors, "rod": rod})
    return replace(load, x=x + beside, y=y, turn=0, mirror=False, symbol=symbol)


def _vessel(rig: Rig, id_: str, x: float, y: float, placed: Mapping[str, Placed], shift: Point) -> Vessel:
    """Return a reservoir wide enough for every line that the drawing table drops into it."""
    lip, bottom = y - 2.5 * M, y + 2.5 * M
    width = _numbers(rig, id_, "width", 1)
    if width:
        return Vessel(x - width[0] * M / 2, x + width[0] * M / 2, lip, bottom)
    if "at" not in _table(rig, id_):
        half = max(x - shift[0] - 18 * M, 6 * M)
        return Vessel(x - half, x + half, lip, bottom)
    drops = [x]
    routes = rig.drawing.get("routes", {})
    branches = [branch for line in routes.values() for branch in line] if isinstance(routes, Mapping) else []
    for branch in branches:
        for step, beside in [*pairwise(branch), *zip(branch[1:], branch, strict=False)]:
            if isinstance(step, str) and step.partition(".")[0] == id_:
                if isinstance(beside, str):
                    owner, _, port = beside.partition(".")
                    anchor = placed[owner].symbol.anchors.get(port) if owner in placed else None
                    drops += [anchor.x] if anchor else []
                elif isinstance(beside, (list, tuple)) and beside and isinstance(beside[0], (int, float)):
                    drops.append(beside[0] * M + shift[0])
    return Vessel(min(x - 6 * M, min(drops) - 4 * M), max(x + 6 * M, max(drops) + 4 * M), lip, bottom)
