"""Which actuators stand at an end stop with pressure behind them: what the ledgers then call by that name."""

from __future__ import annotations

import numpy as np

from trainer.engine.network import Network, Vector
from trainer.engine.readings import Readings
from trainer.parts.part import Loss
from trainer.parts.roles import Actuator, Transmission

__all__ = ["EndStops"]

_NEAR = 1e-4  # m from a stop, which the metal gives way by at once
_SEEN = 0.01  # of the pumps' delivery below which a relief is not said to pass
_BEHIND = 0.8  # of the pressure before a relief that stands in an actuator which made it open
_TAKEN = (Loss.LEAKAGE, Loss.FRICTION)


class EndStops:
    """Finds what stands at an end stop; built once per network.

    A cylinder's stops are its own. What turns is stopped by what it turns: a part tells the torque of its stop as a
    reading, see ``Part.ends``, and the motor is behind the gears that lead there. ``taken``: by motor, the heats that
    an entry of its end stop takes over while it is held there; a cylinder holds tight, it has none.
    """

    def __init__(self, network: Network) -> None:
        self.network = network
        rig = network.rig
        self._actuators = rig.having(Actuator)
        self._cylinders = {id_: role for id_, role in self._actuators.items() if role.stroke}
        self._motors: dict[str, list[tuple[str, str]]] = {}
        for id_, fitted in rig.parts.items():
            for port, reading in fitted.part.ends.items():
                for motor in self._turning(id_, port):
                    self._motors.setdefault(motor, []).append((id_, reading))
        heats = {
            motor: tuple(key for key, heat in network.heats.items() if key[0] == motor and heat.loss in _TAKEN)
            for motor in self._motors
        }
        self.taken = {motor: keys for motor, keys in heats.items() if keys}
        self._reliefs = [
            (id_, name, network.line_of[id_, start])
            for id_, model in network.models.items()
            for name, (start, _) in model.streams.items()
            if model.heats[name].loss is Loss.RELIEF
        ]

    def _turning(self, id_: str, port: str) -> list[str]:
        """Return the motors that turn a port of a part, through gears or without; one that has stops is its own."""
        rig = self.network.rig
        lines, known = [rig.line_of(id_, port)], {id_}
        found = [id_] if isinstance(rig.parts[id_].part.role, Actuator) else []
        while lines:
            for other, _ in lines.pop().joins:
                if other in known:
                    continue
                known.add(other)
                role = rig.parts[other].part.role
                if isinstance(role, Actuator):
                    found.append(other)
                elif isinstance(role, Transmission):
                    lines += [rig.line_of(other, end) for end in role.ends]
        return found

    def held(self, now: Readings) -> dict[str, float]:
        """Return the actuators that pressure holds at an end stop, and that pressure [Pa]."""
        line_of, found = self.network.line_of, {}
        for id_, role in self._cylinders.items():
            place, force = now.place(line_of[id_, role.output]), now.value(id_, "force")
            out = place > now.parameter(id_, role.stroke) - _NEAR and force > 0
            if out or (place < _NEAR and force < 0 and len(role.chambers) > 1):
                found[id_] = now.pressure(line_of[id_, role.chambers[not out]])
        for id_ in self._motors:
            if self._stands(now, id_):
                found[id_] = max(self._pressures(now, id_))
        return found

    def _stands(self, now: Readings, motor: str) -> bool:
        inlet, outlet = self._pressures(now, motor)
        return any(now.value(stopped, reading) * (inlet - outlet) > 0 for stopped, reading in self._motors[motor])

    def _pressures(self, now: Readings, motor: str) -> tuple[float, ...]:
        ports = self._actuators[motor].chambers
        return tuple(now.pressure(self.network.line_of[motor, port]) for port in ports)

    def standing(self, now: Readings) -> Vector:
        """Return 1 for each motor of ``taken`` that pressure holds at an end stop, 0 for the others."""
        return np.array([float(self._stands(now, motor)) for motor in self.taken])

    def opened(self, now: Readings, held: dict[str, float], delivery: float) -> dict[str, tuple[str, ...]]:
        """Return the reliefs that pass oil because actuators stand at their stops: by its part, which actuators.

        ``delivery`` of the pumps [m3/s].
        """
        found = {}
        for id_, name, line in self._reliefs:
            if now.stream(id_, name) > _SEEN * abs(delivery):
                behind = tuple(one for one, p in held.items() if p > _BEHIND * now.pressure(line))
                if behind:
                    found[id_] = behind
        return found
