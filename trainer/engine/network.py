"""A rig's parts joined by its lines: its equations, and all that can be read from it."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from trainer.engine.built import Built
from trainer.engine.columns import Columns
from trainer.engine.topology import Slot, Topology, Vector
from trainer.engine.vector_function import VectorFunction
from trainer.parts.model import PartModel, PartNames
from trainer.parts.part import Choice, Part
from trainer.rig.rig import Rig

__all__ = ["Network", "Slot", "Vector"]


class _Named:
    """A function of a network, by its own name there."""

    def __set_name__(self, owner: type[Network], name: str) -> None:
        self._name = name

    def __get__(self, network: Network, owner: type[Network]) -> VectorFunction:
        return network.function(self._name)


class Network(Topology):
    """The equations of a rig as functions of (x, pu).

    read -> every reading, in the order of ``read_index``; derivative -> rates of x; content, volumes -> of the
    ``content_lines``, and filled, of a third input of their pressures [Pa], their contents at these; stores ->
    energies [J] in the order of ``stored_names``, energy -> all of them [J]; balance -> (supply - heat - gain,
    sum of their sizes) [W]; thermal -> (heat capacity [J/K], heat to the air [W]); flows -> oil through each part
    of the ``skin_index`` [m3/s at tank density]; inertias -> of parts on their shafts and rods [kg m2, kg], in the
    order of ``inertia_index``.

    Each is made when it is asked for first: from what was built of such a rig before, where that is given, else from
    ``columns``.
    """

    read, derivative = _Named(), _Named()
    content, volumes, filled = _Named(), _Named(), _Named()
    stores, energy, balance = _Named(), _Named(), _Named()
    thermal, flows, inertias = _Named(), _Named(), _Named()

    def __init__(self, rig: Rig, built: Built | None = None) -> None:
        self.built = built
        self._columns: Columns | None = None
        self._functions: dict[str, VectorFunction] = {}
        if built is None:
            models = _models(rig)
            super().__init__(rig, models)
            self._columns = Columns(self, models)
            names = self._columns.names
        else:
            names = built.names
            super().__init__(rig, {id_: PartNames(f.part, names.parts[id_]) for id_, f in rig.parts.items()})
        self.names = names
        self.heats = {key: self.models[key[0]].heats[key[1]] for key in names.heats}
        self.heat_names, self.supply_names, self.stored_names = names.heats, names.supplies, names.stores
        self.skin_index = {i: k for k, i in enumerate(i for i, model in self.models.items() if model.oil)}
        self.inertia_index = {key: i for i, key in enumerate(names.inertias)}
        self.read_index = {key: i for i, key in enumerate(names.reads)}
        self._places: dict[str, list[tuple[list[str], list[int]]]] = {}  # of a part's own names
        self.fitted = [id_ for id_, model in self.models.items() if "begin" in vars(model.part)]

    @property
    def columns(self) -> Columns:
        """The expressions of the network; made anew where what was built before had none."""
        if self._columns is None:
            self._columns = Columns(self, _models(self.rig))
        return self._columns

    def function(self, name: str) -> VectorFunction:
        """Return one of the functions. Raises KeyError."""
        made = self._functions.get(name)
        if made is None:
            known = self.built.function(name) if self.built is not None else None
            made = VectorFunction(known) if known is not None else VectorFunction.of(name, *self.columns.of[name])
            self._functions[name] = made
        return made

    def written(self) -> dict[str, str]:
        """Return every function as casadi writes it down."""
        return {name: self.function(name).written() for name in self.columns.of}

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
        self.fit(x, pu)
        return x, pu

    def fit(self, x: Vector, pu: Vector) -> None:
        """Put states that follow from others, and that the rig's start does not give, to where these have them."""
        if not self.fitted:
            return
        reads = self.read(x, pu)
        for id_ in self.fitted:
            model = self.models[id_]
            places = {node: float(reads[self.read_index["place", self.line_of[id_, node]]]) for node in model.moving}
            for name, value in model.part.begin(places | self.own(id_, x, pu)).items():
                if f"{id_}.{name}" not in self.rig.start:
                    self.put(f"{id_}.{name}", value, x, pu)

    def put(self, name: str, value: float, x: Vector, pu: Vector) -> None:
        """Set a state or a number that is latched [SI]. Raises KeyError."""
        if name in self.state_index:
            x[self.state_index[name]] = value
        else:
            pu[self.pu_index[name]] = value

    def own(self, id_: str, x: Vector, pu: Vector) -> dict[str, float]:
        """Return states, controls, parameters and what is latched of a part by their own names.

        Of a wear that comes and goes, what shows of it.
        """
        model = self.models[id_]
        if id_ not in self._places:
            names = [*model.states], [*model.controls, *model.numbers]
            where = zip(names, (self.state_index, self.pu_index), strict=True)
            self._places[id_] = [(own, [index[f"{id_}.{name}"] for name in own]) for own, index in where]
        (states, at), (numbers, on) = self._places[id_]
        found = dict(zip(states, x[at].tolist(), strict=True)) | dict(zip(numbers, pu[on].tolist(), strict=True))
        for number, (place, healthy) in self.showing.items():
            part, _, name = number.partition(".")
            if part == id_:
                found[name] = healthy + float(pu[place]) * (found[name] - healthy)
        return found


def _models(rig: Rig) -> dict[str, PartModel]:
    """Return the model of each part; parts of one class with the same chosen words have one together."""
    made: dict[tuple[type[Part], frozenset[tuple[str, str]]], PartModel] = {}
    models = {}
    for id_, fitted in rig.parts.items():
        alike = fitted.part, frozenset((name, fitted.choice(name)) for name in fitted.part.declared(Choice))
        if alike not in made:
            made[alike] = PartModel(fitted.part, fitted.choices)
        models[id_] = made[alike]
    return models
