"""How warm each part feels to a hand or a thermometer: its metal trails the oil that has passed it.

A body takes the temperature of the oil that leaves it: what comes in, warmed by the part's own heat. It gets there
within about a minute, as a kilogram or two of steel does behind a film of oil (25 W/K, 2 kg: 40 s; our own numbers).
The air outside, some ten W/m2 K against some hundreds within, is left out.
"""

from __future__ import annotations

import math

import numpy as np

from trainer.engine.network import Network, Vector
from trainer.parts.oil import HEAT_CAPACITY

__all__ = ["LAG", "SkinTemperatures"]

LAG = 40.0  # time constant of a body [s]
_LEAST = 0.05e-3 / 60  # flow below which the oil stands in a part [m3/s]


class SkinTemperatures:
    """The temperatures of all parts with oil, in the order of the network's ``skin_index``, moved on by each call."""

    def __init__(self, network: Network) -> None:
        index = network.skin_index
        self._flows = network.flows
        self._heats = np.zeros((len(index), len(network.heats)))
        for column, ((id_, _), heat) in enumerate(network.heats.items()):
            if id_ in index and not heat.dry:
                self._heats[index[id_], column] = 1.0
        self._density = network.pu_index["oil.density"]

    def start(self, oil: float) -> Vector:
        """Return the bodies as warm as the oil [C]."""
        return np.full(len(self._heats), oil)

    def after(self, before: Vector, x: Vector, pu: Vector, heats: Vector, length: float, oil: float) -> Vector:
        """Return the temperatures [C] after a call of some length [s] that made some heats [J] out of the oil's."""
        flows = self._flows(x, pu)
        warmer = (self._heats @ heats) / length / (pu[self._density] * HEAT_CAPACITY * np.maximum(flows, _LEAST))
        aim = oil + np.where(flows > _LEAST, warmer, 0.0)
        return before + (aim - before) * -math.expm1(-length / LAG)
