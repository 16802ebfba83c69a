"""Parts where they are drawn: each with its symbol, its turn, the room that it may fill."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from itertools import takewhile

from trainer.drawing.shapes import Point
from trainer.drawing.symbols import SYMBOLS, Symbol
from trainer.parts.part import Kind
from trainer.parts.roles import Actuator, Role
from trainer.rig.rig import Fitted, Rig

__all__ = ["Layout", "Placed", "Vessel", "by_number", "circuit", "reach", "side_of", "stands", "symbol_of"]


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


def by_number(part: str) -> list[str | int]:
    """Return what parts are ordered by: the numbers in their ids count as such, 9V1 comes before 10V1."""
    return [int(piece) if piece.isdecimal() else piece for piece in re.split(r"(\d+)", part)]


def reach(part: Placed) -> tuple[float, float, float, float]:
    """Return the box that a part may fill when it moves [px]."""
    x, y = part.x, part.y
    left, top, right, bottom = part.box
    match part.symbol.manner.moves:
        case "spool":
            return x - 32, y - 176, x + 32, y + 194
        case "piston" if part.upright:
            foot = 114 if part.symbol.manner.body == "through" else 46
            return (x - 20, y - 106, x + 20, y + foot) if part.upwards else (x - 20, y - foot, x + 20, y + 106)
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


def stands(fitted: Fitted) -> bool:
    """Return whether a part is drawn upright where nothing else is written: a cylinder, its rod upwards."""
    return isinstance(fitted.part.role, Actuator) and fitted.part.role.linear


def symbol_of(fitted: Fitted) -> str:
    """Return the name of the symbol of a part; one that there is not is a plain cell."""
    known = SYMBOLS.get(fitted.part.symbol)
    return known.name if known is not None else "cell"
