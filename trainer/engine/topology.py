"""How a rig's parts are joined: its lines, who carries them, and the slots of its vectors.

States: the oil that has entered each line since the call began, speed (and place) of each shaft and rod line that
no part carries, and the parts' own. ``pu`` is one vector of parameters, then controls; its first element is the
length of the call [s]. ``kept`` are the places in it that belong to the state of an instant: what the lines held when
the call began, what parts have latched, and how much shows of a wear that comes and goes.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np

from trainer.errors import Fault, RigError
from trainer.language import tr
from trainer.parts.model import OIL_NUMBERS, PartNames
from trainer.parts.part import Kind, Parameter
from trainer.rig.rig import Line, Rig

__all__ = ["SHOWS", "Slot", "Topology", "Vector"]

SHOWS = "@shows"  # after the name of a wear that comes and goes: how much of it shows, 0 … 1

Vector = np.ndarray[Any, np.dtype[np.float64]]
_CONTENT_NOMINAL = 2e-7  # m3
_NOMINAL = {Kind.SHAFT: 10.0, Kind.ROD: 0.1}  # rad/s, m/s


@dataclass(frozen=True, slots=True)
class Slot:
    """One element of a vector: its name, start [SI], scale, whether it is an angle kept in one turn, or oil."""

    name: str
    start: float
    nominal: float = 1.0
    wraps: bool = False
    content: bool = False


class Topology:
    """Parts and lines of a rig in the order of its vectors. Raises RigError for lines that store nothing."""

    def __init__(self, rig: Rig, models: Mapping[str, PartNames]) -> None:
        self.rig = rig.checked()
        self.models = models
        self.lines: dict[str, Line] = dict(rig.lines)
        for id_, model in self.models.items():
            for node in model.part.inside:
                self.lines[f"{id_}.{node}"] = Line(f"{id_}.{node}", model.nodes[node], ((id_, node),))
        self.still_lines = self._spare_lines()
        self.line_of = {pair: line.name for line in self.lines.values() for pair in line.joins}
        self.carrier = {
            line.name: pair
            for line in self.lines.values()
            for pair in line.joins
            if pair[1] in self.models[pair[0]].carried
        }
        self.content_lines = [
            line for line in self.lines.values() if line.kind is Kind.OIL and line.name not in self.carrier
        ]
        self.moving_lines = [
            line
            for line in self.lines.values()
            if line.kind is not Kind.OIL and line.name not in self.carrier and line.name not in self.still_lines
        ]
        self._require_storage()
        self.parameters = self._parameter_slots()
        self.controls = [
            Slot(f"{id_}.{name}", rig.start.get(f"{id_}.{name}", control.start))
            for id_, model in self.models.items()
            for name, control in model.controls.items()
        ]
        self.states = self._state_slots()
        self.state_index = {slot.name: i for i, slot in enumerate(self.states)}
        self.pu_index = {slot.name: i for i, slot in enumerate([*self.parameters, *self.controls])}
        own = {f"{id_}.{name}" for id_, model in self.models.items() for name in model.latched}
        ends = ".start content", SHOWS
        self.kept = [i for name, i in self.pu_index.items() if name in own or name.endswith(ends)]
        self.showing = {  # by "part.wear": the place of how much of it shows, and the number of a new part
            name: (self.pu_index[f"{name}{SHOWS}"], rig.parts[id_].healthy(own))
            for name in rig.shows
            for id_, _, own in [name.partition(".")]
        }
        self.nominal: Vector = np.array([slot.nominal for slot in self.states])

    def _spare_lines(self) -> set[str]:
        """Give every spare port that is on no line one of its own; return those that nobody moves."""
        joined = {pair for line in self.lines.values() for pair in line.joins}
        still = set()
        for id_, model in self.models.items():
            for port in model.part.spare:
                if (id_, port) not in joined:
                    name = f"{id_}.{port}"
                    self.lines[name] = Line(name, model.nodes[port], ((id_, port),))
                    if port not in model.carried:
                        still.add(name)
        return still

    def _require_storage(self) -> None:
        faults = []
        for line in [*self.content_lines, *self.moving_lines]:
            stores = any(
                port in (self.models[id_].stores_oil | self.models[id_].has_inertia) for id_, port in line.joins
            )
            if not stores and not (line.kind is Kind.OIL and (line.volume > 0 or (line.hose > 0 and line.bore))):
                remedy = (
                    tr('Give it some oil: volume = "20 cm3", or hose and bore.')
                    if line.kind is Kind.OIL
                    else tr("Join a part with mass or inertia to it.")
                )
                faults.append(
                    Fault("no storage", f"[lines] {line.name}", tr("nothing on this line stores anything."), remedy)
                )
        if faults:
            raise RigError(faults, self.rig.source)

    def _parameter_slots(self) -> list[Slot]:
        slots = [Slot("call.length", 1 / 60)]
        slots += [Slot(f"oil.{name}", 0.0) for name in OIL_NUMBERS]
        for line in self.content_lines:
            hose = line.hose * math.pi * line.bore**2 / 4 if line.bore else 0.0
            slots += [
                Slot(f"{line.name}.start content", 0.0),
                Slot(f"{line.name}.volume", line.volume + hose),
                Slot(f"{line.name}.compliance", hose / line.stiffness),
            ]
        for id_, model in self.models.items():
            slots += [Slot(f"{id_}.{name}", self.rig.value(id_, name)) for name in model.parameters]
            slots += [Slot(f"{id_}.{name}", latched.start) for name, latched in model.latched.items()]
        slots += [Slot(f"{name}{SHOWS}", 1.0) for name in self.rig.shows]
        return slots

    def _state_slots(self) -> list[Slot]:
        start = self.rig.start
        slots = [Slot(f"{line.name}.content", 0.0, _CONTENT_NOMINAL, content=True) for line in self.content_lines]
        for line in self.moving_lines:
            if line.kind is Kind.ROD:
                slots.append(Slot(f"{line.name}.place", start.get(f"{line.name}.place", 0.0), 0.1))
            slots.append(Slot(f"{line.name}.speed", start.get(f"{line.name}.speed", 0.0), _NOMINAL[line.kind]))
        for id_, model in self.models.items():
            carries_oil = any(model.nodes[node] is Kind.OIL for node in model.carried)
            for name, state in model.states.items():
                slots.append(
                    Slot(
                        f"{id_}.{name}",
                        start.get(f"{id_}.{name}", state.start),
                        state.nominal,
                        state.wraps,
                        content=carries_oil and state.quantity == "volume",
                    )
                )
        return slots

    def parameter(self, name: str) -> Parameter:
        """Return the declaration of "part.parameter". Raises KeyError."""
        id_, _, own = name.partition(".")
        return self.models[id_].parameters[own]
