"""What a picture asks of the running machine: one instant, by name, in SI units."""

from __future__ import annotations

from collections.abc import Callable
from typing import Protocol

__all__ = ["Live", "Number"]

Number = Callable[[str, str], float]  # of a part, by its id and own name [SI]


class Live(Protocol):
    """Readings of one instant; the drawing needs nothing else of the engine.

    Flows are true volume flows [m3/s] into the part; pressures are gauge pressures [Pa]; places are m for
    rods and rad for shafts, speeds m/s and rad/s. Names that do not exist raise KeyError.
    """

    @property
    def time(self) -> float:
        """Simulated time [s]."""

    @property
    def temperature(self) -> float:
        """Temperature of the oil in the tank [C]."""

    def pressure(self, line: str) -> float:
        """Return the gauge pressure of an oil line [Pa]."""

    def flow(self, part: str, port: str) -> float:
        """Return the true volume flow into a part at one of its oil ports [m3/s]."""

    def stream(self, part: str, name: str) -> float:
        """Return the flow through a part by the stream's name, from its start to its end [m3/s]."""

    def place(self, line: str) -> float:
        """Return the place of a rod line [m] or the angle of a shaft line [rad]."""

    def speed(self, line: str) -> float:
        """Return the speed of a rod line [m/s] or of a shaft line [rad/s]."""

    def state(self, part: str, name: str) -> float:
        """Return a state of a part [SI]."""

    def control(self, part: str, name: str) -> float:
        """Return a control of a part [SI]; levers run from -1 to 1."""

    def value(self, part: str, name: str) -> float:
        """Return one of the readings that a part gives of itself [SI]."""

    def parameter(self, part: str, name: str) -> float:
        """Return the present number of a part's parameter [SI]."""

    def skin(self, part: str) -> float:
        """Return the temperature of the body of a part with oil [C]."""
