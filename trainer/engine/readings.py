"""All that can be read from a rig at one instant."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from trainer.engine.network import Network, Vector
from trainer.parts.oil import HEAT_CAPACITY

__all__ = ["Readings"]


@dataclass(frozen=True, slots=True, eq=False)
class Readings:
    """One instant of a rig, frozen; every number in SI, temperatures in degrees Celsius.

    Names are those of the rig: lines, "part" and port, part and state. Unknown names raise KeyError.
    """

    network: Network
    time: float
    x: Vector
    pu: Vector
    values: Vector
    skin_temperatures: Vector

    @classmethod
    def of(cls, network: Network, time: float, x: Vector, pu: Vector, skin_temperatures: Vector) -> Readings:
        """Return the readings at given states, parameters and skin temperatures [C]."""
        x, pu = x.copy(), pu.copy()
        return cls(network, time, x, pu, network.read(x, pu), skin_temperatures)

    def __getitem__(self, key: tuple[str, ...]) -> float:
        return self.values.item(self.network.read_index[key])

    @property
    def temperature(self) -> float:
        """Of the oil [C]."""
        return float(self.pu[self.network.pu_index["oil.temperature"]])

    def pressure(self, line: str) -> float:
        """Gauge pressure of an oil line [Pa]."""
        return self["pressure", line]

    def flow(self, part: str, port: str) -> float:
        """Volume flow into a part at a port, at the pressure there [m3/s]."""
        return self.values.item(self.network.read_index["flow", part, port])

    def stream(self, part: str, name: str) -> float:
        """Volume flow of a stream through a part, from its start to its end [m3/s]."""
        return self.values.item(self.network.read_index["stream", part, name])

    def place(self, line: str) -> float:
        """Place of a rod [m], or angle of a shaft where a part keeps it [rad], else 0."""
        return self["place", line]

    def speed(self, line: str) -> float:
        """Speed of a rod [m/s] or a shaft [rad/s]."""
        return self["speed", line]

    def load(self, part: str, port: str) -> float:
        """Torque [N m] or force [N] into a part at a shaft or rod port."""
        return self["load", part, port]

    def state(self, part: str, name: str) -> float:
        """A part's state [SI], or a number that it has latched."""
        place = self.network.state_index.get(f"{part}.{name}")
        return self.parameter(part, name) if place is None else float(self.x[place])

    def control(self, part: str, name: str) -> float:
        """A control [SI]."""
        return float(self.pu[self.network.pu_index[f"{part}.{name}"]])

    def parameter(self, part: str, name: str) -> float:
        """A parameter's present number [SI]; of a wear that comes and goes, what shows of it."""
        value = float(self.pu[self.network.pu_index[f"{part}.{name}"]])
        return self._shown(f"{part}.{name}", value) if self.network.showing else value

    def _shown(self, number: str, value: float) -> float:
        if number in self.network.showing:
            place, healthy = self.network.showing[number]
            value = healthy + float(self.pu[place]) * (value - healthy)
        return value

    def value(self, part: str, name: str) -> float:
        """A part's own reading [SI]."""
        return self["value", part, name]

    def heat(self, part: str) -> float:
        """What a part heats the oil with [W]."""
        wet = [key for key, heat in self.network.heats.items() if key[0] == part and not heat.dry]
        return sum(self["heat", *key] for key in wet)

    def through(self, part: str) -> float:
        """Oil that goes through a part [m3/s at tank density], what its piston takes and gives included."""
        nodes = self.network.models[part].oil
        return sum(abs(self["enters", part, node] + self["swells", part, node]) for node in nodes) / 2

    def outlet_temperature(self, part: str) -> float:
        """Temperature of the oil that leaves a part [C]: what comes in, and the part's heat carried away by it.

        Where less than 1 cm3/min passes, the oil's own temperature.
        """
        flow = self.through(part)
        density = float(self.pu[self.network.pu_index["oil.density"]])
        if flow < 1e-6 / 60:
            return self.temperature
        return self.temperature + self.heat(part) / (density * HEAT_CAPACITY * flow)

    def skin(self, part: str) -> float:
        """Temperature of the body of a part with oil [C]."""
        return float(self.skin_temperatures[self.network.skin_index[part]])

    def group(self, kind: str) -> Mapping[tuple[str, ...], float]:
        """All readings of one kind ("heat", "supply", "gain", "stream" …) by the rest of their names."""
        return {key[1:]: float(self.values[i]) for key, i in self.network.read_index.items() if key[0] == kind}
