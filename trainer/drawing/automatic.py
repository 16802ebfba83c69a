"""Places for the parts that a drawing table leaves open: the supply at the left, one column for each function."""

from __future__ import annotations

from trainer.drawing.placed import by_number, circuit, side_of, stands, symbol_of
from trainer.drawing.symbols import SYMBOLS
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
from trainer.rig.rig import Rig

__all__ = ["GALLERY", "Automatic", "Place"]

GALLERY = 44.0  # y of the open-centre gallery [M]
_PITCH = 19.0  # between the columns of two functions [M]
_STACK = 9.0
Place = tuple[float, float, int, bool]  # x, y [M], turn [degrees], mirrored


class Automatic:
    """Places for the parts that the drawing table leaves open; ``at`` has all that are known."""

    def __init__(self, rig: Rig) -> None:
        self.rig = rig
        self.at: dict[str, Place] = {}
        self.symbols = {id_: symbol_of(fitted) for id_, fitted in rig.parts.items()}
        self.right = 0.0

    def _having(self, *roles: type[Role]) -> list[str]:
        found = (id_ for id_, fitted in self.rig.parts.items() if isinstance(fitted.part.role, roles))
        return sorted(found, key=by_number)

    def _free(self, *ids: str) -> list[str]:
        return [id_ for id_ in ids if id_ not in self.at]

    def place(self) -> None:
        """Find a place for each part that is not in ``at`` yet."""
        self._supply()
        self._columns()
        self._returns()
        self._rest()

    def _supply(self) -> None:
        x = 22.0
        driving = (
            *self._having(PrimeMover),
            *(id_ for id_, role in self.rig.having(Transmission).items() if not role.geared),
        )
        reliefs = [id_ for id_ in self._having(PressureLimiter) if circuit(id_) == "0"]
        for pump in self.rig.having(Pump):
            self.at[pump] = (x, GALLERY + 19, 0, True)
            chain, reach_x = [pump], x
            while chain:
                for id_ in self._free(*side_of(self.rig, chain.pop(), Kind.SHAFT)):
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
        actuators = self._having(Actuator)
        sections = self._having(DirectionalValve)
        for section in sections:
            self.at[section] = (x, GALLERY, 0, False)
            mine = self._driven(section, actuators)
            for k, actuator in enumerate(mine):
                self._actuator(actuator, x + 17 * k)
            x += _PITCH + 17 * max(0, len(mine) - 1)
        for actuator in self._free(*actuators):
            self._actuator(actuator, x)
            x += _PITCH
        self.right = x - 5

    def _actuator(self, actuator: str, x: float) -> None:
        turn = 90 if stands(self.rig.parts[actuator]) else 0
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
        reliefs = [id_ for id_ in self._having(PressureLimiter) if id_ in self.at]
        x = self.at[reliefs[0]][0] + 11 if reliefs else self.right - 10
        filters = self._free(*(id_ for id_ in self._having(Conduit) if not self.rig.role(id_, Conduit).hose))
        for id_ in filters:
            self.at[id_] = (x, GALLERY + 30, 270, False)
            x += 13
        first = True
        for id_ in self._free(*self._having(Tank)):
            right = x - 8 if filters else self.right
            self.at[id_] = ((18 + right) / 2, GALLERY + 41, 0, False) if first else (8.0, GALLERY + 41, 0, False)
            first = False

    def _rest(self) -> None:
        x = 8.0
        for id_ in self._free(*self.symbols):
            self.at[id_] = (x, GALLERY - 12, 0, False)
            x += 10
