"""From parts and lines to one system: each pass puts what the pass before found into the parts' functions.

1. carriers say places, speeds and tank pressures (of their own states); other moving lines have states.
2. places give the parts' volumes; contents and volumes give pressures by the oil law.
3. pressures and speeds give what flows into the parts; carriers come last, since they are given the others' sum.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import Any

import casadi as ca

from trainer.engine.topology import Topology
from trainer.parts import oil as oil_law
from trainer.parts.model import OIL_NUMBERS, PartModel
from trainer.parts.part import Expr, Kind

__all__ = ["Assembly"]

_Key = tuple[str, ...]


def _split(column: Expr) -> list[Expr]:
    return list(ca.vertsplit(column)) if column.shape[0] else []


def _sum(values: Iterable[Expr]) -> Expr:
    return sum(values, ca.SX(0))


class Assembly:
    """The expressions of a network, by name: built once, then only read."""

    def __init__(self, network: Topology, models: Mapping[str, PartModel]) -> None:
        self._network, self._models = network, models
        self.x = ca.SX.sym("x", len(network.states))
        self.pu = ca.SX.sym("pu", len(network.parameters) + len(network.controls))
        self._state = {name: self.x[i] for name, i in network.state_index.items()}
        self._number = {name: self.pu[i] for name, i in network.pu_index.items()}
        for name, (place, healthy) in network.showing.items():
            self._number[name] = healthy + self.pu[place] * (self._number[name] - healthy)
        oil_numbers: dict[str, Any] = {name: self._number[f"oil.{name}"] for name in OIL_NUMBERS}
        self._oil = oil_law.Properties(**oil_numbers, air_index=network.rig.oil.air_index)
        self._oil_column = ca.vertcat(*oil_numbers.values())
        self.inertia = {
            (id_, node): mass
            for id_, model in models.items()
            for node, mass in zip(model.moving, _split(model.inertia(self._parameters(id_))), strict=True)
        }
        self.heat: dict[tuple[str, str], Expr] = {}
        self.supply: dict[tuple[str, str], Expr] = {}
        self.stored: dict[tuple[str, str], Expr] = {}
        self.reads: dict[_Key, Expr] = {}
        self._into: dict[tuple[str, str], Expr] = {}
        self._rates: dict[str, Expr] = {}
        self._room: dict[tuple[str, str], Expr] = {}  # volume of each part at each oil node
        self.pressure: dict[str, Expr] = {}
        self.place: dict[str, Expr] = {}
        self.speed: dict[str, Expr] = {}

        self._ask_carriers()
        self._find_pressures()
        for id_ in self._in_order():
            self._apply_law(id_, models[id_])
        self._move_lines()
        rank = {id_: k for k, id_ in enumerate(models)}  # stores stand in the order of the rig, whoever gives to whom
        self.stored = dict(sorted(self.stored.items(), key=lambda entry: rank.get(entry[0][0], -1)))
        self.rate = ca.vertcat(*[self._rates[slot.name] for slot in network.states])
        self._read_lines()

    def _in_order(self) -> Iterator[str]:
        """Yield the parts, each after all that gives to a line which it carries."""
        network, done = self._network, dict.fromkeys(self._models, False)

        def after(id_: str) -> Iterator[str]:
            if not done[id_]:
                done[id_] = True
                for node in self._models[id_].carried:
                    for other, _ in network.lines[network.line_of[id_, node]].joins:
                        yield from after(other)
                yield id_

        for id_ in sorted(self._models, key=lambda id_: len(self._models[id_].carried)):
            yield from after(id_)

    def _own(self, id_: str, names: Iterable[str], values: dict[str, Expr]) -> Expr:
        return ca.vertcat(*[values[f"{id_}.{name}"] for name in names])

    def _parameters(self, id_: str) -> Expr:
        return self._own(id_, self._network.models[id_].numbers, self._number)

    def _states(self, id_: str) -> Expr:
        return self._own(id_, self._network.models[id_].states, self._state)

    def _at(self, id_: str, nodes: Sequence[str], values: dict[str, Expr]) -> Expr:
        return ca.vertcat(*[values[self._network.line_of[id_, node]] for node in nodes])

    def _ask_carriers(self) -> None:
        network = self._network
        for id_, model in self._models.items():
            if not model.carried:
                continue
            places, values = model.across(self._states(id_), self._parameters(id_))
            for node, place, value in zip(model.carried, _split(places), _split(values), strict=True):
                line = network.line_of[id_, node]
                if model.nodes[node] is Kind.OIL:
                    self.pressure[line] = value
                else:
                    self.place[line], self.speed[line] = place, value
        for name in sorted(network.still_lines):
            self.place[name] = self.speed[name] = ca.SX(0)
        for moving in network.moving_lines:
            self.place[moving.name] = self._state.get(f"{moving.name}.place", ca.SX(0))
            self.speed[moving.name] = self._state[f"{moving.name}.speed"]

    def _find_pressures(self) -> None:
        network = self._network
        volume: dict[str, Expr] = {}
        compliance: dict[str, Expr] = {}
        for id_, model in self._models.items():
            volumes = model.volume(self._states(id_), self._parameters(id_), self._at(id_, model.moving, self.place))
            compliances = model.compliance(self._parameters(id_))
            for i, node in enumerate(model.oil):
                on = network.line_of[id_, node]
                volume[on] = volume.get(on, 0) + volumes[i]
                self._room[id_, node] = volumes[i]
                compliance[on] = compliance.get(on, 0) + compliances[i]
        self.volume, self.content = volume, {}
        self.filled: dict[str, Expr] = {}  # contents that have the pressures in ``wanted``
        self.wanted = ca.SX.sym("wanted", len(network.content_lines))
        y: dict[str, Expr] = {name: oil_law.of_pressure(value, self._oil) for name, value in self.pressure.items()}
        for i, line in enumerate(network.content_lines):
            name = line.name
            volume[name] += self._number[f"{name}.volume"]
            soft = compliance[name] + self._number[f"{name}.compliance"]
            content = self._number[f"{name}.start content"] + self._state[f"{name}.content"]
            y[name], self.pressure[name] = oil_law.of_content(content, volume[name], soft, self._oil)
            self.content[name] = content
            self.filled[name] = oil_law.content(self.wanted[i], volume[name], soft, self._oil)
            self.stored[name, "oil"] = oil_law.content_energy(
                content, volume[name], soft, y[name], self.pressure[name], self._oil
            )
        self._enthalpy = {name: oil_law.enthalpy(value, self._oil) for name, value in y.items()}
        self._specific = {name: oil_law.specific_volume(value, self._oil) for name, value in y.items()}

    def _apply_law(self, id_: str, model: PartModel) -> None:
        network = self._network
        given, others = [], []
        for node in model.carried:
            pairs = [pair for pair in network.lines[network.line_of[id_, node]].joins if pair != (id_, node)]
            given.append(-_sum(self._into[pair] for pair in pairs))
            others.append(_sum(self.inertia.get(pair, 0) for pair in pairs))
        results: Any = model.law(
            self._states(id_),
            self._own(id_, model.controls, self._number),
            self._parameters(id_),
            self._oil_column,
            *(self._at(id_, model.oil, values) for values in (self.pressure, self._enthalpy, self._specific)),
            *(self._at(id_, model.moving, values) for values in (self.speed, self.place)),
            ca.vertcat(*given),
            ca.vertcat(*others),
        )
        into, rate, heat, supply, stored, reads, streams = (_split(column) for column in results)
        self._into.update({(id_, node): value for node, value in zip(model.nodes, into, strict=True)})
        for node, value, mass in zip(model.carried, given, others, strict=True):
            self._into[id_, node] = value
            if model.nodes[node] is not Kind.OIL:
                line = network.line_of[id_, node]
                self.stored[line, "motion"] = mass * self.speed[line] ** 2 / 2
        self._rates.update({f"{id_}.{name}": value for name, value in zip(model.states, rate, strict=True)})
        for names, values, found in (
            (model.heats, heat, self.heat),
            (model.supplies, supply, self.supply),
            (model.stores, stored, self.stored),
        ):
            found.update({(id_, name): value for name, value in zip(names, values, strict=True)})
        for name, value in zip(model.reads, reads, strict=True):
            self.reads["value", id_, name] = value
        for (name, (start, _)), value in zip(model.streams.items(), streams, strict=True):
            self.reads["passes", id_, name] = value
            self.reads["stream", id_, name] = value * self._specific[network.line_of[id_, start]]

    def _move_lines(self) -> None:
        network = self._network
        for line in network.content_lines:
            self._rates[f"{line.name}.content"] = -_sum(self._into[pair] for pair in line.joins)
            self.reads["fills", line.name] = self._rates[f"{line.name}.content"]
        for line in network.moving_lines:
            mass = _sum(self.inertia.get(pair, 0) for pair in line.joins)
            self._rates[f"{line.name}.speed"] = -_sum(self._into[pair] for pair in line.joins) / mass
            if line.kind is Kind.ROD:
                self._rates[f"{line.name}.place"] = self.speed[line.name]
            self.stored[line.name, "motion"] = mass * self.speed[line.name] ** 2 / 2

    def _read_lines(self) -> None:
        for kind, values in (("pressure", self.pressure), ("place", self.place), ("speed", self.speed)):
            self.reads.update({(kind, name): value for name, value in values.items()})
        growth = dict(
            zip(self._room, _split(ca.jtimes(ca.vertcat(*self._room.values()), self.x, self.rate)), strict=True)
        )
        for (id_, node), value in self._into.items():
            line = self._network.line_of[id_, node]
            if self._network.lines[line].kind is Kind.OIL:
                if self._network.carrier.get(line) == (id_, node):  # it is given what others there push out, too
                    others = [growth[pair] for pair in self._network.lines[line].joins if pair != (id_, node)]
                    value = value - _sum(others) / self._specific[line]
                self.reads["enters", id_, node] = value  # passes its border, at tank density
                self.reads["swells", id_, node] = growth[id_, node] / self._specific[line]  # fills what moves aside
                self.reads["flow", id_, node] = value * self._specific[line] + growth[id_, node]
            else:
                self.reads["load", id_, node] = value
