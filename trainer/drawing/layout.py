"""Where the parts of a rig are drawn: from its drawing table, else one column for each function."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from itertools import pairwise, takewhile
from typing import Any

from trainer.drawing.shapes import Point
from trainer.drawing.symbols import SYMBOLS, M, Symbol
from trainer.drawing.symbols.symbol import turned
from trainer.errors import Fault, RigError
from trainer.language import tr
from trainer.parts.part import Kind
from trainer.parts.roles import (
    Actuator,
    Conduit,
    DirectionalValve,
    PressureLimiter,
    PrimeMover,
    Pump,
    Restrictor,
    Role,
    Tank,
    Transmission,
)
from trainer.rig.rig import Fitted, Rig

__all__ = [
    "Layout",
    "Placed",
    "Vessel",
    "circuit",
    "lay_out",
    "reach",
    "side_of",
]

GALLERY = 44.0  # y of the open-centre gallery in an automatic layout [M]
PITCH = 19.0  # between the columns of two functions [M]
_WIDEST, _APART = 150.0, 6.0  # of the rows below for what has no room; between two parts there [M]
_Place = tuple[float, float, int, bool]
_STACK = 9.0


@dataclass(frozen=True, slots=True)
class Vessel:
    """An open reservoir as drawn [px]: lines of its ports may drop into it anywhere along its width."""

    left: float
    right: float
    lip: float
    bottom: float

    @property
    def level(self) -> float:
        """Height of the oil's surface, its y."""
        return self.lip + 13.0

    @property
    def end(self) -> float:
        """Height where the lines that drop into the oil end, its y."""
        return self.bottom - 13.0


@dataclass(frozen=True, slots=True)
class Placed:
    """A part as drawn: its symbol where it stands [px], how it is turned, and its vessel if it is one."""

    fitted: Fitted
    symbol: Symbol
    x: float
    y: float
    turn: int
    mirror: bool
    vessel: Vessel | None = None

    @property
    def box(self) -> tuple[float, float, float, float]:
        """Left, top, right, bottom of the body [px]."""
        if self.vessel is not None:
            return self.vessel.left, self.vessel.lip, self.vessel.right, self.vessel.bottom
        return self.symbol.box

    @property
    def role(self) -> Role:
        """What kind of thing the part is."""
        return self.fitted.part.role

    @property
    def upright(self) -> bool:
        """Whether the symbol is turned by a quarter."""
        return self.turn % 180 == 90

    @property
    def elsewhere(self) -> bool:
        """Whether it is shown in the view of the machine; the circuit shows what it asks of it."""
        return bool(self.symbol.manner.machine)

    @property
    def upwards(self) -> bool:
        """Whether what leaves the symbol to the right at rest, such as a rod, leaves upwards."""
        return self.upright and (self.turn == 90) != self.mirror


@dataclass(frozen=True, slots=True)
class Layout:
    """Placed parts by id and the x of each column [px]."""

    placed: Mapping[str, Placed]
    columns: Mapping[str, float]
    levers: Mapping[str, float]
    rods: Mapping[str, str]  # a load's id -> the id of the cylinder that carries it
    shift: Point = (0.0, 0.0)  # by which the whole drawing is moved so that nothing lies left of or above it [px]
    drains: frozenset[tuple[str, str]] = frozenset()  # ports whose oil goes to a tank sign of their own

    def seen(self, part: str) -> bool:
        """Return whether a part is drawn in the circuit."""
        return not self.placed[part].elsewhere


def circuit(part: str) -> str:
    """Return the circuit of a part's id: the digits before its letter."""
    return "".join(takewhile(str.isdigit, part))


def reach(part: Placed) -> tuple[float, float, float, float]:
    """Return the box that a part may fill when it moves [px]."""
    x, y = part.x, part.y
    left, top, right, bottom = part.box
    match part.symbol.manner.moves:
        case "spool":
            return x - 32, y - 176, x + 32, y + 194
        case "piston" if part.upright:
            return (x - 20, y - 106, x + 20, y + 46) if part.upwards else (x - 20, y - 46, x + 20, y + 106)
        case "piston":
            return x - 106, y - 20, x + 106, y + 20
        case "crank":
            return x - 36, y - 68, x + 36, y + 68
    return left, top, right, bottom


def side_of(rig: Rig, part: str, kind: Kind = Kind.OIL) -> list[str]:
    """Return the parts that share a line of one kind with a part, nearest line first."""
    found: list[str] = []
    for line in rig.lines_of_kind(kind):
        if any(owner == part for owner, _ in line.joins):
            found += [owner for owner, _ in line.joins if owner != part and owner not in found]
    return found


def _stands(fitted: Fitted) -> bool:
    """Return whether a part is drawn upright where nothing else is written: a cylinder, its rod upwards."""
    return isinstance(fitted.part.role, Actuator) and fitted.part.role.linear


def _symbol(fitted: Fitted) -> str:
    known = SYMBOLS.get(fitted.part.symbol)
    return known.name if known is not None else "cell"


class _Automatic:
    """Places for the parts that the drawing table leaves open."""

    def __init__(self, rig: Rig) -> None:
        self.rig = rig
        self.at: dict[str, _Place] = {}
        self.symbols = {id_: _symbol(fitted) for id_, fitted in rig.parts.items()}
        self.right = 0.0

    def having(self, *roles: type[Role]) -> list[str]:
        return sorted(id_ for id_, fitted in self.rig.parts.items() if isinstance(fitted.part.role, roles))

    def free(self, *ids: str) -> list[str]:
        return [id_ for id_ in ids if id_ not in self.at]

    def place(self) -> None:
        self._supply()
        self._columns()
        self._returns()
        self._rest()

    def _supply(self) -> None:
        x = 22.0
        driving = (
            *self.having(PrimeMover),
            *(id_ for id_, role in self.rig.having(Transmission).items() if not role.geared),
        )
        reliefs = [id_ for id_ in self.having(PressureLimiter) if circuit(id_) == "0"]
        for pump in self.rig.having(Pump):
            self.at[pump] = (x, GALLERY + 19, 0, True)
            chain, reach_x = [pump], x
            while chain:
                for id_ in self.free(*side_of(self.rig, chain.pop(), Kind.SHAFT)):
                    if id_ in driving:
                        reach_x -= 12
                        self.at[id_] = (reach_x, GALLERY + 19, 0, False)
                        chain.append(id_)
            x += 10
        for id_ in reliefs:
            self.at[id_] = (x, GALLERY + 13, 180, True)
            x += 11
        self.right = x

    def _columns(self) -> None:
        x = self.right + 13
        actuators = self.having(Actuator)
        sections = self.having(DirectionalValve)
        for section in sections:
            self.at[section] = (x, GALLERY, 0, False)
            mine = self._driven(section, actuators)
            for k, actuator in enumerate(mine):
                self._actuator(actuator, x + 17 * k)
            x += PITCH + 17 * max(0, len(mine) - 1)
        for actuator in self.free(*actuators):
            self._actuator(actuator, x)
            x += PITCH
        self.right = x - 5

    def _actuator(self, actuator: str, x: float) -> None:
        turn = 90 if _stands(self.rig.parts[actuator]) else 0
        self.at[actuator] = (x, GALLERY - 25, turn, False)
        for load in [*side_of(self.rig, actuator, Kind.ROD), *side_of(self.rig, actuator, Kind.SHAFT)]:
            self.at.setdefault(load, (x, GALLERY - 38, 0, False))

    def _driven(self, section: str, actuators: list[str]) -> list[str]:
        """Return the actuators fed from a section's work ports, and place what stands between on the way."""
        found: list[str] = []
        for port, x in zip(self.rig.role(section, DirectionalValve).work, (6.0, 13.0), strict=True):
            try:
                lines = [self.rig.line_of(section, port)]
            except KeyError:
                continue
            seen: set[str] = {section}
            depth = 0
            while lines:
                line = lines.pop()
                for owner, letter in line.joins:
                    role = self.rig.parts[owner].part.role
                    if owner in seen or isinstance(role, (DirectionalValve, Tank)):
                        continue
                    seen.add(owner)
                    if owner in actuators:
                        if owner not in found and owner not in self.at:
                            found.append(owner)
                    elif isinstance(role, (Restrictor, Conduit)) and letter in role.ends:
                        if owner not in self.at:
                            base_x = self.at[section][0]
                            turn = 0 if letter == role.ends[0] else 180
                            if SYMBOLS[self.symbols[owner]].anchors[role.ends[0]].direction == 180:
                                turn += 90
                            self.at[owner] = (base_x + x, GALLERY - 8 - _STACK * depth, turn % 360, False)
                            depth += 1
                        lines.append(
                            self.rig.line_of(owner, role.ends[1] if letter == role.ends[0] else role.ends[0])
                        )
        return found

    def _returns(self) -> None:
        reliefs = [id_ for id_ in self.having(PressureLimiter) if id_ in self.at]
        x = self.at[reliefs[0]][0] + 11 if reliefs else self.right - 10
        filters = self.free(*(id_ for id_ in self.having(Conduit) if not self.rig.role(id_, Conduit).hose))
        for id_ in filters:
            self.at[id_] = (x, GALLERY + 30, 270, False)
            x += 13
        first = True
        for id_ in self.free(*self.having(Tank)):
            right = x - 8 if filters else self.right
            self.at[id_] = ((18 + right) / 2, GALLERY + 41, 0, False) if first else (8.0, GALLERY + 41, 0, False)
            first = False

    def _rest(self) -> None:
        x = 8.0
        for id_ in self.free(*self.symbols):
            self.at[id_] = (x, GALLERY - 12, 0, False)
            x += 10


def _table(rig: Rig, id_: str) -> Mapping[str, Any]:
    table = rig.drawing.get(id_, {})
    if not isinstance(table, Mapping):
        raise RigError(
            [
                Fault(
                    "drawing",
                    f"[drawing] {id_}",
                    tr("{table!r:.40} is no place.").format(table=table),
                    "Write { at = [6, 40] }.",
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
                    f"Write {key} = {example}.",
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
    automatic = _Automatic(rig)
    automatic.place()
    places: dict[str, _Place] = {}
    for id_ in rig.parts:
        x, y, turn, mirror = automatic.at[id_]
        at = _numbers(rig, id_, "at", 2)
        if at is not None:
            x, y = at
            turn, mirror = (90 if _stands(rig.parts[id_]) else 0), False
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
        if "rod" in placed[load].symbol.anchors and not placed[load].elsewhere
    }
    for id_, part in list(placed.items()):
        if id_ in rods and "at" not in _table(rig, id_) and not part.elsewhere:
            placed[id_] = _on_rod(part, placed[rods[id_]])
        elif part.elsewhere:
            placed[id_] = _over_actuator(rig, part, placed)
        if isinstance(part.role, Tank):
            vessel = _vessel(rig, id_, part.x, part.y, placed, (shift[0], shift[1]))
            placed[id_] = replace(part, vessel=vessel)
    levers = {id_: p.x for id_, p in placed.items() if isinstance(p.role, DirectionalValve)}
    columns: dict[str, float] = {}
    for id_, p in placed.items():
        if id_ in levers or (circuit(id_) not in columns and isinstance(p.fitted.part.role, (Actuator, Pump))):
            columns[circuit(id_)] = p.x
    for id_, x in levers.items():
        columns[circuit(id_)] = x
    return Layout(placed, columns, levers, rods, (shift[0], shift[1]), frozenset(_drains(rig, placed)))


def _move_apart(rig: Rig, places: dict[str, _Place]) -> None:
    """Move parts without a written place that lie on others into rows below all else; ``places`` are in px."""
    loads = {
        load for id_, role in rig.having(Actuator).items() if role.linear for load in side_of(rig, id_, Kind.ROD)
    }
    ground: dict[str, tuple[float, float, float, float]] = {}
    homeless: list[str] = []
    for id_ in sorted(places, key=lambda id_: "at" not in _table(rig, id_)):
        fitted = rig.parts[id_]
        name = _symbol(fitted)
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
        name = _symbol(rig.parts[id_])
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


def _on_rod(load: Placed, cylinder: Placed) -> Placed:
    """Return a load placed at the end of a cylinder's extended rod."""
    across, down = turned((-105.0 if cylinder.mirror else 105.0, 0.0), cylinder.turn)
    anchor = SYMBOLS[load.symbol.name].anchors["rod"]
    x, y = cylinder.x + across - anchor.x, cylinder.y + down - anchor.y
    return replace(load, x=x, y=y, turn=0, mirror=False, symbol=SYMBOLS[load.symbol.name].placed(x, y))


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
