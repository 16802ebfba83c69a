"""What a lever moves: the cylinders and motors beyond the work ports of its valve, or of its pump."""

from __future__ import annotations

from trainer.parts.part import Kind
from trainer.parts.roles import Actuator, DirectionalValve, Pump, Tank
from trainer.rig.rig import Rig

__all__ = ["actuators_of"]


def actuators_of(rig: Rig, section: str) -> tuple[str, ...]:
    """Return the cylinders and motors that a section, or a pump with a lever, gives its oil to; those on A first.

    Couplings, throttles and locks may stand between; a line of a tank, a pump or another valve leads no further.
    """
    role = rig.parts[section].part.role
    ports = role.work if isinstance(role, DirectionalValve) else role.outlets if isinstance(role, Pump) else ()
    found: dict[str, None] = {}
    for port in ports:
        beyond, seen = [rig.line_of(section, port).name], set[str]()
        while beyond:
            line = beyond.pop(0)
            seen.add(line)
            reached = [id_ for id_, _, _ in rig.at_ports(line, Actuator)]
            found.update(dict.fromkeys(reached))
            if reached or (len(seen) > 1 and _ends(rig, line)):
                continue
            for id_, _ in rig.lines[line].joins:
                if isinstance(rig.parts[id_].part.role, (DirectionalValve, Pump, Tank)):
                    continue
                next_ = (one.name for one in rig.lines_of_kind(Kind.OIL) if any(id_ == own for own, _ in one.joins))
                beyond += [name for name in next_ if name not in seen and name not in beyond]
    return tuple(found)


def _ends(rig: Rig, line: str) -> bool:
    return any(
        isinstance(rig.parts[id_].part.role, (DirectionalValve, Pump, Tank)) for id_, _ in rig.lines[line].joins
    )
