"""What is hidden before an answer."""

from __future__ import annotations

from dataclasses import dataclass

from trainer.rig.rig import Rig

__all__ = ["Cover"]


@dataclass(frozen=True, slots=True)
class Cover:
    """What is hidden before an answer: instruments by name; all pressures, flows, speeds, names, ledgers and traces.

    ``instruments`` are covered wherever they are read; ``names`` hides those of the parts, ``marks`` those of flow.
    ``units``: what is shown is not to be shown in other ones.
    """

    instruments: frozenset[str] = frozenset()
    pressures: bool = False
    flows: bool = False
    names: bool = False
    marks: bool = False
    units: bool = False
    rest: bool = False  # ledgers, strip, workings, tracer, temperatures, what tooltips and exports tell

    @classmethod
    def all_of(cls, rig: Rig) -> Cover:
        """Return what hides all that a rig tells, but for its names."""
        return cls(frozenset(rig.instruments), pressures=True, flows=True, rest=True)

    @property
    def anything(self) -> bool:
        """Whether anything is hidden that is shown."""
        return bool(self.instruments) or self.pressures or self.flows or self.names or self.marks or self.rest
