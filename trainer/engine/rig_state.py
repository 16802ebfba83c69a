"""What a rig is at one instant, and how a call of the solver brings it to the next."""

from __future__ import annotations

import copy
import math
from collections.abc import Callable, Iterator, Mapping

import numpy as np

from trainer.engine.history import Snapshot
from trainer.engine.network import Network, Vector
from trainer.engine.readings import Readings
from trainer.engine.skin_temperatures import SkinTemperatures
from trainer.engine.solver import Solver
from trainer.parts import oil
from trainer.parts.part import Kind
from trainer.rig.rig import OIL_TEMPERATURE

__all__ = ["RigState"]

_OIL = OIL_TEMPERATURE.name


class RigState:
    """One instant of a rig. ``x`` and ``pu`` are those of its network, at a ``time`` [s] since the start.

    ``temperature`` of the oil and ``skin`` of the bodies of its parts [C]; ``totals`` [J] are what the quadratures
    have summed up since the start.
    """

    def __init__(self, network: Network, solver: Solver, numbers: Mapping[str, float], temperature: float) -> None:
        self.network, self.solver = network, solver
        self.skin_temperatures = SkinTemperatures(network)
        self._content_states = [network.state_index[f"{line.name}.content"] for line in network.content_lines]
        self._content_starts = [network.pu_index[f"{line.name}.start content"] for line in network.content_lines]
        self._oil = [
            network.pu_index[f"oil.{name}"]
            for name in ("density", "viscosity", "stiffness", "stiffening", "air", "temperature")
        ]
        self._wraps = [i for i, slot in enumerate(network.states) if slot.wraps]
        self._wet = np.array([not heat.dry for heat in network.heats.values()])
        self._tanks = [id_ for id_ in network.rig.parts if "oil" in vars(network.models[id_].part)]
        self._shows = network.rig.shows
        self._oil_shows = not {name.partition(".")[0] for name in self._shows}.isdisjoint(self._tanks)
        self._latched = {
            id_: [network.pu_index[f"{id_}.{name}"] for name in fitted.part.latched_by]
            for id_, fitted in network.rig.parts.items() if "latch" in vars(fitted.part)
        }  # fmt: skip
        self.x, self.pu = network.start(dict(numbers))
        self.temperature = temperature
        self.show(0.0)
        self.take_oil()
        self.begin()

    def begin(self) -> None:
        """Count time and totals from here, with bodies as warm as the oil."""
        self.time = 0.0
        self.skin = self.skin_temperatures.start(self.temperature)
        self.totals: Vector = np.zeros(len(self.network.heat_names) + len(self.network.supply_names))
        self._readings: Readings | None = None

    def copy(self) -> RigState:
        """Return the same; what happens to one leaves the other alone."""
        made = copy.copy(self)
        made.x, made.pu = self.x.copy(), self.pu.copy()
        return made

    # -- what it is ----------------------------------------------------------------------------------------

    @property
    def readings(self) -> Readings:
        """All that can be read."""
        if self._readings is None:
            self._readings = Readings.of(self.network, self.time, self.x, self.pu, self.skin)
        return self._readings

    def present(self, name: str) -> float:
        """Return a number or a control [SI], or "oil.temperature" [C]. Raises KeyError."""
        return self.temperature if name == _OIL else float(self.pu[self.network.pu_index[name]])

    def snapshot(self) -> Snapshot:
        """Return what numbers and controls do not say of it."""
        return Snapshot(self.x, self.pu[self.network.kept].copy(), self.temperature, self.totals, self.skin)

    # -- what is done to it --------------------------------------------------------------------------------

    def put(self, name: str, value: float) -> None:
        """Give it a number, a control [SI] or "oil.temperature" [C]. Raises KeyError."""
        if name == _OIL:
            self.temperature = value
            self.take_oil()
        else:
            self.pu[self.network.pu_index[name]] = value
            if name.partition(".")[0] in self._tanks:
                self.take_oil()
        self._readings = None

    def take_numbers(self, pu: Vector) -> None:
        """Take numbers and controls from another instant; contents of lines stay, and what is latched."""
        kept = self.pu[self.network.kept].copy()
        self.pu[:] = pu
        self.pu[self.network.kept] = kept
        self._readings = None

    def restore(self, snapshot: Snapshot, time: float) -> None:
        """Be at the instant of a snapshot, with the numbers and controls that there are."""
        self.time = time
        self.x = snapshot.x.copy()
        self.pu[self.network.kept] = snapshot.kept
        self.temperature, self.totals, self.skin = snapshot.temperature, snapshot.totals, snapshot.skin
        self.take_oil()

    def take_oil(self) -> None:
        """Give the network the oil's properties at its temperature, as it stands in the tanks."""
        spec = self.network.rig.oil
        thick, air = 1.0, spec.air
        for id_ in self._tanks:
            times, more = self.network.models[id_].part.oil(self.network.own(id_, self.x, self.pu))
            thick, air = thick * times, air + more
        now = oil.properties(
            spec.grade,
            self.temperature,
            min(air, oil.MOST_AIR),
            density=spec.density,
            viscosity=spec.viscosity,
            stiffness=spec.stiffness,
            stiffening=spec.stiffening,
            air_index=spec.air_index,
        )
        viscosity = thick * now.viscosity
        self.pu[self._oil] = (now.density, viscosity, now.stiffness, now.stiffening, now.air, now.temperature)
        self._readings = None

    def show(self, time: float) -> None:
        """Let as much show of the wear that comes and goes as it does at a time [s], in oil as warm as it is."""
        for name, showing in self._shows.items():
            self.pu[self.network.showing[name][0]] = showing.share(time, self.temperature)
            self._readings = None
        if self._oil_shows:
            self.take_oil()

    def hold(self, states: Mapping[int, float], pressures: Mapping[int, float]) -> None:
        """Set states [SI] by place, and pressures of oil lines [Pa]; other lines keep the pressure that they have."""
        if not states and not pressures:
            return
        network, values = self.network, self.network.read(self.x, self.pu)
        wanted = values[[network.read_index["pressure", line.name] for line in network.content_lines]]
        self.x[[*states]] = [*states.values()]
        network.fit(self.x, self.pu)
        wanted[[*pressures]] = [*pressures.values()]
        self.pu[self._content_starts] = network.filled(self.x, self.pu, wanted)
        self._readings = None

    def forget_carried(self) -> None:
        """Let the oil lines whose pressure a part carries count their oil from nothing."""
        for line, pair in self.network.carrier.items():
            if self.network.lines[line].kind is Kind.OIL:
                self.x[self.network.state_index[f"{pair[0]}.content"]] = 0.0
        self._readings = None

    def call(self, length: float, over: Callable[[], bool] | None = None, warm: bool = True) -> bool:
        """Go on by a stretch of time [s]; return whether that could only be done roughly. Raises SolverError.

        ``over`` is asked as by the solver; ``warm``: the oil takes up the heat, and wear comes and goes.
        """
        self.pu[0] = length
        self.show(self.time if warm else 0.0)
        result = self.solver.call(self.x, self.pu, over)
        self.time += length
        self.x = result.x
        self.pu[self._content_starts] += self.x[self._content_states]
        self.x[self._content_states] = 0.0
        if self._wraps:
            self.x[self._wraps] = np.remainder(self.x[self._wraps], 2 * math.pi)
        self._readings = None
        self.totals = self.totals + result.totals
        for id_, by in self._latched.items():
            if not by or self.pu[by].any():
                self._latch(id_)
        heats = result.totals[: len(self._wet)]
        self.skin = self.skin_temperatures.after(self.skin, self.x, self.pu, heats, length, self.temperature)
        self._readings = None
        if warm and self.network.rig.oil.warms:
            self._warm(heats, length)
        self.take_oil()
        return result.rough

    def _latch(self, id_: str) -> None:
        network, part = self.network, self.network.models[id_].part
        own = network.own(id_, self.x, self.pu) | {"call.length": float(self.pu[0])}
        found = part.latch(_Latched(self, id_, own))
        found = {name: value for name, value in found.items() if value != own[name]}
        if not found:
            return
        before = float(network.energy(self.x, self.pu)[0]) if all(part.booked) else 0.0
        for name, value in found.items():
            network.put(f"{id_}.{name}", value, self.x, self.pu)
        self._readings = None
        if all(part.booked):
            gained = float(network.energy(self.x, self.pu)[0]) - before
            supply, heat = part.booked
            heats = len(network.heat_names)
            place = (
                heats + network.supply_names.index((id_, supply))
                if gained > 0
                else network.heat_names.index((id_, heat))
            )
            self.totals[place] += abs(gained)

    def _warm(self, heats: Vector, length: float) -> None:
        capacity, away = (float(value) for value in self.network.thermal(self.x, self.pu))
        if capacity <= 0:
            return
        gained = float(heats[self._wet].sum())
        self.temperature += (gained - away * length) / capacity


class _Latched(Mapping[str, float]):
    """What a part may look at when it switches: own numbers, speeds by port, and readings, taken when asked for."""

    def __init__(self, state: RigState, id_: str, own: Mapping[str, float]) -> None:
        self._state, self._id, self._own = state, id_, own

    def __getitem__(self, name: str) -> float:
        if name in self._own:
            return self._own[name]
        network = self._state.network
        if name in network.models[self._id].nodes:
            line = network.line_of[self._id, name]
            own = network.state_index.get(f"{line}.speed")
            return float(self._state.x[own]) if own is not None else self._state.readings.speed(line)
        return self._state.readings.value(self._id, name)

    def __iter__(self) -> Iterator[str]:
        return iter(self._own)

    def __len__(self) -> int:
        return len(self._own)
