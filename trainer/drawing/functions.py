"""Functions of a machine as its circuit tells them: their names, and cylinders that serve one side by side."""

from __future__ import annotations

from collections.abc import Mapping

from trainer.parts.part import Kind
from trainer.parts.roles import Actuator, DirectionalValve
from trainer.rig.names import capital
from trainer.rig.rig import Fitted, Rig

__all__ = ["function_of", "twins"]


def function_of(rig: Rig, actuator: str) -> str:
    """Return the name of the function that an actuator serves: its section's label, else its own, else "".

    Where a section moves several that are no twins, each is called by a label of its own.
    """
    section, own = _section(rig, actuator), rig.parts[actuator].label
    if not section:
        return capital(own)
    alike = next((ids for ids in twins(rig).values() if actuator in ids), (actuator,))
    others = [id_ for id_ in rig.having(Actuator) if id_ not in alike and _section(rig, id_) == section]
    label = own if own and others else rig.parts[section].label
    return capital(label)


def _section(rig: Rig, actuator: str) -> str:
    """Return the section with a label that shares a line with an actuator, "" without one."""
    for line in rig.lines_of_kind(Kind.OIL):
        if any(owner == actuator for owner, _ in line.joins):
            for owner, _, _ in rig.at_ports(line.name, DirectionalValve):
                if rig.parts[owner].label:
                    return owner
    return ""


def twins(rig: Rig) -> Mapping[str, tuple[str, ...]]:
    """Return the cylinders that work side by side on the same two lines: the first one's id -> all their ids."""
    return rig.once(_twins)


def _twins(rig: Rig) -> dict[str, tuple[str, ...]]:
    found: dict[tuple[str, ...], list[str]] = {}
    for id_, role in rig.having(Actuator).items():
        if role.linear:
            lines = tuple(rig.line_of(id_, port).name for port in role.chambers)
            found.setdefault(lines, []).append(id_)
    alike = [[id_ for id_ in ids if _same(rig.parts[id_], rig.parts[ids[0]])] for ids in found.values()]
    return {ids[0]: tuple(ids) for ids in alike if len(ids) > 1}


def _same(one: Fitted, other: Fitted) -> bool:
    """Return whether two cylinders are built alike."""
    return one.part is other.part and one.values == other.values
