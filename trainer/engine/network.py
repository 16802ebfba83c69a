"""A rig's parts joined by its lines: one system of equations, its energy, and all that can be read from it.

States: the oil that has entered each line since the call began, speed (and place) of each shaft and rod line that
no part carries, and the parts' own. ``pu`` is one vector of parameters, then controls; its first element is the
length of the call [s].
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

import casadi as ca
import numpy as np

from trainer.errors import Fault, RigError
from trainer.parts import oil as oil_law
from trainer.parts.model import OIL_NUMBERS, PartModel
from trainer.parts.part import Expr, Heat, Kind, Parameter
from trainer.rig import Line, Rig

__all__ = ["Network", "Slot", "Vector"]

Vector = np.ndarray[Any, np.dtype[np.float64]]
_CONTENT_NOMINAL = 2e-7  # m3
_NOMINAL = {Kind.SHAFT: 10.0, Kind.ROD: 0.1}  # rad/s, m/s


@dataclass(frozen=True, slots=True)
class Slot:
    """One element of a vector: its name, start [SI], scale, and whether it is an angle kept in one turn."""

    name: str
    start: float
    nominal: float = 1.0
    wraps: bool = False
    content: bool = False


class Network:
    """The equations of a rig. Raises RigError for lines that store nothing."""

    def __init__(self, rig: Rig) -> None:
        self.rig = rig.checked()
        self.models = {id_: PartModel(f.part, f.choices) for id_, f in rig.parts.items()}
        self.lines: dict[str, Line] = dict(rig.lines)
        for id_, model in self.models.items():
            for node in model.part.inside:
                self.lines[f"{id_}.{node}"] = Line(f"{id_}.{node}", model.nodes[node], ((id_, node),))
        self.line_of = {pair: line.name for line in self.lines.values() for pair in line.joins}
        self.carrier = {line.name: pair for line in self.lines.values() for pair in line.joins
                        if pair[1] in self.models[pair[0]].carried}
        self._require_storage()
        self.parameters = self._parameter_slots()
        self.controls = [Slot(f"{id_}.{name}", rig.start.get(f"{id_}.{name}", c.start))
                         for id_, m in self.models.items() for name, c in m.controls.items()]
        self.states = self._state_slots()
        self.state_index = {slot.name: i for i, slot in enumerate(self.states)}
        self.pu_index = {slot.name: i for i, slot in enumerate([*self.parameters, *self.controls])}
        self.nominal: Vector = np.array([slot.nominal for slot in self.states])
        self.content_lines = [line for line in self.lines.values() if line.kind is Kind.OIL
                              and line.name not in self.carrier]
        self._build()

    def _require_storage(self) -> None:
        faults = []
        for line in self.lines.values():
            if line.name in self.carrier:
                continue
            stores = any(port in (self.models[id_].stores_oil | self.models[id_].has_inertia)
                         for id_, port in line.joins)
            if not stores and not (line.kind is Kind.OIL and (line.volume > 0 or (line.hose > 0 and line.bore))):
                remedy = ('Give it some oil: volume = "20 cm3", or hose and bore.' if line.kind is Kind.OIL
                          else "Join a part with mass or inertia to it.")
                faults.append(Fault("no storage", f"[lines] {line.name}", "nothing on this line stores anything.",
                                    remedy))
        if faults:
            raise RigError(faults, self.rig.source)

    def _parameter_slots(self) -> list[Slot]:
        slots = [Slot("call.length", 1 / 60)]
        slots += [Slot(f"oil.{name}", 0.0) for name in OIL_NUMBERS]
        for line in self.lines.values():
            if line.kind is Kind.OIL and line.name not in self.carrier:
                hose = line.hose * math.pi * line.bore**2 / 4 if line.bore else 0.0
                slots += [Slot(f"{line.name}.start content", 0.0), Slot(f"{line.name}.volume", line.volume + hose),
                          Slot(f"{line.name}.compliance", hose / line.stiffness)]
        for id_, model in self.models.items():
            slots += [Slot(f"{id_}.{name}", self.rig.value(id_, name)) for name in model.parameters]
        return slots

    def _state_slots(self) -> list[Slot]:
        slots = []
        for line in self.lines.values():
            if line.name in self.carrier:
                continue
            if line.kind is Kind.OIL:
                slots.append(Slot(f"{line.name}.content", 0.0, _CONTENT_NOMINAL, content=True))
            else:
                if line.kind is Kind.ROD:
                    slots.append(Slot(f"{line.name}.place", self.rig.start.get(f"{line.name}.place", 0.0), 0.1))
                start = self.rig.start.get(f"{line.name}.speed", 0.0)
                slots.append(Slot(f"{line.name}.speed", start, _NOMINAL[line.kind]))
        for id_, model in self.models.items():
            for name, state in model.states.items():
                start = self.rig.start.get(f"{id_}.{name}", state.start)
                slots.append(Slot(f"{id_}.{name}", start, state.nominal, state.wraps,
                                  content=state.quantity == "volume" and model.part.carries != ()))
        return slots

    def _build(self) -> None:
        x = ca.SX.sym("x", len(self.states))
        pu = ca.SX.sym("pu", len(self.parameters) + len(self.controls))
        state = {slot.name: x[i] for i, slot in enumerate(self.states)}
        given_number = {name: pu[i] for name, i in self.pu_index.items()}
        oil = oil_law.Properties(**{name: given_number[f"oil.{name}"] for name in OIL_NUMBERS})
        oil_column = ca.vertcat(*[given_number[f"oil.{name}"] for name in OIL_NUMBERS])

        own = {id_: (self._column(id_, m.states, state), self._column(id_, m.controls, given_number),
                     self._column(id_, m.parameters, given_number)) for id_, m in self.models.items()}
        inertia = {(id_, node): value for id_, m in self.models.items()
                   for node, value in zip(m.moving, ca.vertsplit(m.inertia(own[id_][2])), strict=True)}

        place: dict[str, Expr] = {}
        speed: dict[str, Expr] = {}
        pressure: dict[str, Expr] = {}
        for id_, m in self.models.items():
            if m.carried:
                places, values = m.across(own[id_][0], own[id_][2])
                for i, node in enumerate(m.carried):
                    line = self.line_of[id_, node]
                    if m.nodes[node] is Kind.OIL:
                        pressure[line] = values[i]
                    else:
                        place[line], speed[line] = places[i], values[i]
        for line in self.lines.values():
            if line.name not in self.carrier and line.kind is not Kind.OIL:
                place[line.name] = state.get(f"{line.name}.place", ca.SX(0))
                speed[line.name] = state[f"{line.name}.speed"]

        volume: dict[str, Expr] = {}
        compliance: dict[str, Expr] = {}
        for id_, m in self.models.items():
            places = ca.vertcat(*[place[self.line_of[id_, node]] for node in m.moving])
            v, c = m.volume(own[id_][0], own[id_][2], places), m.compliance(own[id_][2])
            for i, node in enumerate(m.oil):
                line = self.line_of[id_, node]
                volume[line] = volume.get(line, 0) + v[i]
                compliance[line] = compliance.get(line, 0) + c[i]
        y: dict[str, Expr] = {}
        stored: dict[tuple[str, str], Expr] = {}
        content: dict[str, Expr] = {}
        for line in self.content_lines:
            name = line.name
            volume[name] += given_number[f"{name}.volume"]
            compliance[name] += given_number[f"{name}.compliance"]
            content[name] = given_number[f"{name}.start content"] + state[f"{name}.content"]
            y[name], pressure[name] = oil_law.of_content(content[name], volume[name], compliance[name], oil)
            stored[name, "oil"] = oil_law.content_energy(content[name], volume[name], compliance[name], y[name],
                                                         pressure[name], oil)
        for name, value in pressure.items():
            y.setdefault(name, oil_law.of_pressure(value, oil))
        enthalpy = {name: oil_law.enthalpy(value, oil) for name, value in y.items()}
        specific = {name: oil_law.specific_volume(value, oil) for name, value in y.items()}

        into: dict[tuple[str, str], Expr] = {}
        rates: dict[str, Expr] = {}
        self.heats: dict[tuple[str, str], Heat] = {}
        heat: dict[tuple[str, str], Expr] = {}
        supply: dict[tuple[str, str], Expr] = {}
        reads: dict[tuple[str, ...], Expr] = {}
        self.quantities: dict[tuple[str, ...], str] = {}
        order = sorted(self.models, key=lambda id_: len(self.models[id_].carried))
        for id_ in order:
            m = self.models[id_]
            own_lines = {node: self.line_of[id_, node] for node in m.nodes}
            given, others = [], []
            for node in m.carried:
                pairs = [pair for pair in self.lines[own_lines[node]].joins if pair != (id_, node)]
                given.append(-sum((into[pair] for pair in pairs), ca.SX(0)))
                others.append(sum((inertia.get(pair, 0) for pair in pairs), ca.SX(0)))
            column = ca.vertcat
            results = m.law(
                *own[id_], oil_column,
                column(*[pressure[own_lines[n]] for n in m.oil]), column(*[enthalpy[own_lines[n]] for n in m.oil]),
                column(*[specific[own_lines[n]] for n in m.oil]), column(*[speed[own_lines[n]] for n in m.moving]),
                column(*[place[own_lines[n]] for n in m.moving]), column(*given), column(*others))
            flows, rate, watts, supplies, stores, readings, streams = (ca.vertsplit(r) if r.shape[0] else []
                                                                      for r in results)
            into.update({(id_, node): value for node, value in zip(m.nodes, flows, strict=True)})
            for node, value, mass in zip(m.carried, given, others, strict=True):
                into[id_, node] = value
                if m.nodes[node] is not Kind.OIL:
                    stored[own_lines[node], "motion"] = mass * speed[own_lines[node]] ** 2 / 2
            rates.update({f"{id_}.{name}": value for name, value in zip(m.states, rate, strict=True)})
            heat.update({(id_, name): value for name, value in zip(m.heats, watts, strict=True)})
            self.heats.update({(id_, name): value for name, value in m.heats.items()})
            supply.update({(id_, name): value for name, value in zip(m.supplies, supplies, strict=True)})
            stored.update({(id_, name): value for name, value in zip(m.stores, stores, strict=True)})
            for (name, quantity), value in zip(m.reads.items(), readings, strict=True):
                reads["value", id_, name] = value
                self.quantities["value", id_, name] = quantity
            for (name, (start, _)), value in zip(m.streams.items(), streams, strict=True):
                reads["stream", id_, name] = value * specific[own_lines[start]]
                reads["passes", id_, name] = value

        for line in self.lines.values():
            if line.name in self.carrier:
                continue
            total = sum((into[pair] for pair in line.joins), ca.SX(0))
            if line.kind is Kind.OIL:
                rates[f"{line.name}.content"] = -total
            else:
                mass = sum((inertia.get(pair, 0) for pair in line.joins), ca.SX(0))
                rates[f"{line.name}.speed"] = -total / mass
                if line.kind is Kind.ROD:
                    rates[f"{line.name}.place"] = speed[line.name]
                stored[line.name, "motion"] = mass * speed[line.name] ** 2 / 2

        self.x, self.pu = x, pu
        self.rate = ca.vertcat(*[rates[slot.name] for slot in self.states])
        self.supply_names, self.stored_names = [*supply], [*stored]
        self.heat_names = [*self.heats]
        heat_column = ca.vertcat(*[heat[key] for key in self.heat_names])
        supply_column = ca.vertcat(*[supply[key] for key in self.supply_names])
        stored_column = ca.vertcat(*[stored[key] for key in self.stored_names])
        gains = ca.jtimes(stored_column, x, self.rate)
        self.quadrature = ca.vertcat(heat_column, supply_column)
        reads.update({("pressure", name): value for name, value in pressure.items()})
        reads.update({("place", name): value for name, value in place.items()})
        reads.update({("speed", name): value for name, value in speed.items()})
        for (id_, node), value in into.items():
            line = self.line_of[id_, node]
            if self.lines[line].kind is Kind.OIL:
                reads["flow", id_, node] = value * specific[line]
                reads["enters", id_, node] = value
            else:
                reads["load", id_, node] = value
        for kind, names, values in (("heat", self.heat_names, heat_column), ("supply", self.supply_names, supply_column),
                                    ("gain", self.stored_names, gains)):
            for i, key in enumerate(names):
                reads[kind, *key] = values[i]
        for line in self.content_lines:
            reads["fills", line.name] = rates[f"{line.name}.content"]
        self.read_index = {key: i for i, key in enumerate(reads)}
        self.read = ca.Function("read", [x, pu], [ca.vertcat(*reads.values())])
        self.derivative = ca.Function("derivative", [x, pu], [self.rate])
        self.content = ca.Function("content", [x, pu], [ca.vertcat(*[content[line.name] for line in self.content_lines])])
        self.volumes = ca.Function("volumes", [x, pu], [ca.vertcat(*[volume[line.name] for line in self.content_lines])])
        self.energy = ca.Function("energy", [x, pu], [ca.sum1(stored_column)])
        self.balance = ca.Function("balance", [x, pu], [
            ca.sum1(supply_column) - ca.sum1(heat_column) - ca.sum1(gains),
            ca.sum1(ca.fabs(supply_column)) + ca.sum1(ca.fabs(heat_column)) + ca.sum1(ca.fabs(gains))])

    @staticmethod
    def _column(id_: str, names: dict[str, Any], values: dict[str, Expr]) -> Expr:
        return ca.vertcat(*[values[f"{id_}.{name}"] for name in names])

    def start(self) -> tuple[Vector, Vector]:
        """Return states and ``pu`` at the rig's start: every line filled with oil at zero gauge."""
        x = np.array([slot.start for slot in self.states])
        pu = np.array([slot.start for slot in [*self.parameters, *self.controls]])
        volumes = self.volumes(x, pu).full().ravel()
        for line, volume in zip(self.content_lines, volumes, strict=True):
            pu[self.pu_index[f"{line.name}.start content"]] = volume
        return x, pu

    def parameter(self, name: str) -> Parameter:
        """Return the declaration of "part.parameter". Raises KeyError."""
        id_, _, own = name.partition(".")
        return self.models[id_].parameters[own]
