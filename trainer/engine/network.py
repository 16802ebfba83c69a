"""A rig's parts joined by its lines: its equations, and all that can be read from it."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import casadi as ca
import numpy as np

from trainer.engine.assembly import Assembly
from trainer.engine.topology import Slot, Topology, Vector
from trainer.engine.vector_function import VectorFunction
from trainer.rig.rig import Rig

__all__ = ["Network", "Slot", "Vector"]


class Network(Topology):
    """The equations of a rig as functions of (x, pu).

    read -> every reading, in the order of ``read_index``; derivative -> rates of x; content, volumes -> of the
    ``content_lines``, and filled, of a third input of their pressures [Pa], their contents at these; stores ->
    energies [J] in the order of ``stored_names``, energy -> all of them [J]; balance -> (supply - heat - gain,
    sum of their sizes) [W].
    """

    def __init__(self, rig: Rig) -> None:
        super().__init__(rig)
        built = Assembly(self)
        self.x, self.pu, self.rate = built.x, built.pu, built.rate
        self.heats, self.supply_names, self.stored_names = built.heats, [*built.supply], [*built.stored]
        self.heat_names = [*self.heats]
        heat, supply, stored = (ca.vertcat(*column.values()) for column in (built.heat, built.supply, built.stored))
        gain = ca.jtimes(stored, self.x, self.rate)
        self.quadrature = ca.vertcat(heat, supply)
        reads = built.reads | {("heat", *key): value for key, value in built.heat.items()}
        reads |= {("supply", *key): value for key, value in built.supply.items()}
        reads |= {("gain", *key): gain[i] for i, key in enumerate(self.stored_names)}
        self.reads = reads
        self.skin_index = {i: k for k, i in enumerate(i for i, model in self.models.items() if model.oil)}
        self.quantities = built.quantities
        self.read_index = {key: i for i, key in enumerate(reads)}

        def function(name: str, *rows: Any) -> VectorFunction:
            return VectorFunction(name, [self.x, self.pu], ca.vertcat(*rows))

        self.read = function("read", *reads.values())
        self.derivative = function("derivative", self.rate)
        names = [line.name for line in self.content_lines]
        self.content = function("content", *[built.content[name] for name in names])
        self.volumes = function("volumes", *[built.volume[name] for name in names])
        filled = ca.vertcat(*[built.filled[name] for name in names])
        self.filled = VectorFunction("filled", [self.x, self.pu, built.wanted], filled)
        self.stores = function("stores", stored)
        self.energy = function("energy", ca.sum1(stored))
        thermal = {
            kind: [value for key, value in reads.items() if key[0] == "value" and key[2] == kind]
            for kind in ("heat_capacity", "heat_to_air")
        }
        self.thermal = function("thermal", *(ca.sum1(ca.vertcat(0, *values)) for values in thermal.values()))
        self.balance = function(
            "balance",
            ca.sum1(ca.vertcat(supply, -heat, -gain)),
            ca.sum1(ca.fabs(ca.vertcat(supply, heat, gain))),
        )

    def start(self, numbers: Mapping[str, float] | None = None) -> tuple[Vector, Vector]:
        """Return states and ``pu`` at the rig's start, every line filled with oil at zero gauge.

        ``numbers``: parameters [SI] that are not as the rig has them.
        """
        x = np.array([slot.start for slot in self.states])
        pu = np.array([slot.start for slot in [*self.parameters, *self.controls]])
        for name, value in (numbers or {}).items():
            pu[self.pu_index[name]] = value
        volumes = self.volumes(x, pu)
        for line, volume in zip(self.content_lines, volumes, strict=True):
            pu[self.pu_index[f"{line.name}.start content"]] = volume
        return x, pu
