"""What is to be known of a network, as columns of expressions by the name of the function that they become."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import casadi as ca
import msgspec

from trainer.engine.assembly import Assembly
from trainer.engine.topology import Topology
from trainer.parts.model import LawNames, PartModel

__all__ = ["Columns", "NetworkNames"]


class NetworkNames(msgspec.Struct, frozen=True):
    """What the entries of the columns are called, in their order; and the names of every part's law."""

    parts: dict[str, LawNames]
    heats: list[tuple[str, str]]
    supplies: list[tuple[str, str]]
    stores: list[tuple[str, str]]
    reads: list[tuple[str, ...]]
    inertias: list[tuple[str, str]]


class Columns:
    """The expressions of a network in ``x`` and ``pu``: ``rate`` of the states, ``quadrature`` of the totals.

    ``of``: by name, what a function takes and the column that it returns.
    """

    def __init__(self, network: Topology, models: Mapping[str, PartModel]) -> None:
        built = Assembly(network, models)
        x, pu = self.x, self.pu = built.x, built.pu
        self.rate = built.rate
        heat, supply, stored = (ca.vertcat(*column.values()) for column in (built.heat, built.supply, built.stored))
        gain = ca.jtimes(stored, x, built.rate)
        self.quadrature = ca.vertcat(heat, supply)
        reads = built.reads | {("heat", *key): value for key, value in built.heat.items()}
        reads |= {("supply", *key): value for key, value in built.supply.items()}
        reads |= {("gain", *key): gain[i] for i, key in enumerate(built.stored)}
        self.names = NetworkNames(
            parts={id_: model.law_names for id_, model in models.items()},
            heats=[*built.heat],
            supplies=[*built.supply],
            stores=[*built.stored],
            reads=[*reads],
            inertias=[*built.inertia],
        )

        def through(id_: str) -> Any:  # as ``Readings.through``
            nodes = models[id_].oil
            at = [ca.fabs(reads["enters", id_, node] + reads["swells", id_, node]) for node in nodes]
            return ca.sum1(ca.vertcat(*at)) / 2

        def total(kind: str) -> Any:
            values = [value for key, value in reads.items() if key[0] == "value" and key[2] == kind]
            return ca.sum1(ca.vertcat(0, *values))

        lines = [line.name for line in network.content_lines]
        columns = {
            "read": [*reads.values()],
            "derivative": [built.rate],
            "content": [built.content[name] for name in lines],
            "volumes": [built.volume[name] for name in lines],
            "filled": [built.filled[name] for name in lines],
            "stores": [stored],
            "energy": [ca.sum1(stored)],
            "thermal": [total("heat_capacity"), total("heat_to_air")],
            "balance": [
                ca.sum1(ca.vertcat(supply, -heat, -gain)),
                ca.sum1(ca.fabs(ca.vertcat(supply, heat, gain))),
            ],
            "inertias": [*built.inertia.values()],
            "flows": [through(id_) for id_, model in models.items() if model.oil],
        }
        more = {"filled": [built.wanted]}
        self.of = {name: ([x, pu, *more.get(name, [])], ca.vertcat(*rows)) for name, rows in columns.items()}
