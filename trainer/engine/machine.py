"""The machine's own numbers as they are now: every parameter of its parts that is no load, and how a run starts.

Levers, speeds, loads and the oil's temperature belong to the run: they are those of the instant that is shown. The
machine's numbers are where the hand that turned a screw has left it, whichever instant is shown.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping

import numpy as np

from trainer.engine.network import Network, Vector
from trainer.rig.rig import OIL_TEMPERATURE

__all__ = ["AT_START", "Machine"]

AT_START = "@start"  # after the name of what is the run's: what it is at the start


class Machine:
    """Numbers [SI] by "part.parameter", and by "part.control@start", "part.load@start", "oil.temperature@start" [C].

    ``places``: where the parameters, which come first, stand in a network's ``pu``.
    """

    def __init__(self, network: Network) -> None:
        loads = {
            f"{id_}.{own}"
            for id_, model in network.models.items()
            for own, parameter in model.parameters.items()
            if parameter.load
        }
        parts = {f"{id_}.{own}" for id_, model in network.models.items() for own in model.parameters}
        own = [slot for slot in network.parameters if slot.name in parts - loads]
        run = [*(slot for slot in network.parameters if slot.name in loads), *network.controls]
        self.places = np.array([network.pu_index[slot.name] for slot in own], dtype=np.intp)
        starts = {slot.name: slot.start for slot in run}
        starts[OIL_TEMPERATURE.name] = network.rig.oil.temperature
        built = {slot.name: slot.start for slot in own} | {f"{name}{AT_START}": now for name, now in starts.items()}
        self._names = [*built]
        self._index = {name: k for k, name in enumerate(built)}
        self._built: Vector = np.array([*built.values()])
        self.numbers: Vector = self._built.copy()

    def __contains__(self, name: object) -> bool:
        return name in self._index

    def __getitem__(self, name: str) -> float:
        return float(self.numbers[self._index[name]])

    def __setitem__(self, name: str, value: float) -> None:
        self.numbers[self._index[name]] = value

    def start_from(self, numbers: Mapping[str, float]) -> None:
        """Be as the rig has it, but for some numbers. Raises KeyError; then nothing has changed."""
        places = [(self._index[name], value) for name, value in numbers.items()]
        self.numbers = self._built.copy()
        for k, value in places:
            self.numbers[k] = value

    def changed(self) -> dict[str, float]:
        """Return what is not as in the rig that was built."""
        return self._of(np.flatnonzero(self.numbers != self._built))

    def not_as_in(self, pu: Vector) -> dict[str, float]:
        """Return the parameters that are others than those of an instant."""
        return self._of(np.flatnonzero(self.numbers[: len(self.places)] != pu[self.places]))

    def _of(self, places: Iterable[int]) -> dict[str, float]:
        return {self._names[k]: float(self.numbers[k]) for k in places}
