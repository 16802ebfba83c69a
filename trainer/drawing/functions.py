"""Functions of a machine as its circuit tells them: their names, and cylinders that serve one side by side."""

from __future__ import annotations

from collections.abc import Mapping

from trainer.parts.part import Kind
from trainer.parts.roles import Actuator, DirectionalValve
from trainer.rig.rig import Rig

__all__ = ["function_of", "twins"]


def function_of(rig: Rig, actuator: str) -> str:
    """Return the name of the function that an actuator serves: its section's label, else its own, else ""."""
    for line in rig.lines_of_kind(Kind.OIL):
        if any(owner == actuator for owner, _ in line.joins):
            for owner, _, _ in rig.at_ports(line.name, DirectionalValve):
                if label := rig.parts[owner].label:
                    return label[:1].upper() + label[1:]
    return rig.parts[actuator].label


def twins(rig: Rig) -> Mapping[str, tuple[str, ...]]:
    """Return the cylinders that work side by side on the same two lines: the first one's id -> all their ids."""
    return rig.once(_twins)


def _twins(rig: Rig) -> dict[str, tuple[str, ...]]:
    found: dict[tuple[str, str], list[str]] = {}
    for id_, role in rig.having(Actuator).items():
        if role.linear:
            cap, rod_end = (rig.line_of(id_, port).name for port in role.chambers)
            found.setdefault((cap, rod_end), []).append(id_)
    alike = [[id_ for id_ in ids if rig.parts[id_].values == rig.parts[ids[0]].values] for ids in found.values()]
    return {ids[0]: tuple(ids) for ids in alike if len(ids) > 1}
