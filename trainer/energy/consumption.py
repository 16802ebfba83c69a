"""What a prime mover uses up: diesel fuel, a person's work, electricity; for a stretch of a run.

Fuel after the line of Willans (Heywood, Internal Combustion Engine Fundamentals, chapter 13, from memory): what
burning does inside the engine is its work at the shaft and its own friction together, and a nearly constant share of
the fuel's heat. ``INDICATED`` is that share, chosen so that the shipped diesel needs about 250 g/kWh at its largest
torque, as small diesels do at their best point (handbook value, from memory); at a quarter of the load it needs a
third more, and some fuel for turning without any.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from trainer.engine.network import Network
from trainer.language import tr
from trainer.parts.roles import PrimeMover
from trainer.units import System, text, text_in, unit

__all__ = ["FUEL_DENSITY", "HEAT_VALUE", "INDICATED", "Consumption", "Mover", "consumption_of", "movers"]

INDICATED = 0.375  # share of the fuel's heat that becomes work inside the engine
HEAT_VALUE = 42.8e6  # of diesel fuel, lower [J/kg]: handbook value, from memory
FUEL_DENSITY = 835.0  # of diesel fuel at 15 C [kg/m3]: within the 820 … 845 of EN 590


@dataclass(frozen=True, slots=True)
class Mover:
    """A prime mover of a rig: its id, its kind as its role has it, its shaft line and the name of its supply."""

    id: str
    kind: str
    shaft: str
    supply: str


def movers(network: Network) -> tuple[Mover, ...]:
    """Return the prime movers of a rig in the order of their supplies."""
    roles = network.rig.having(PrimeMover)
    return tuple(
        Mover(id_, roles[id_].kind, network.line_of[id_, roles[id_].shaft], name)
        for id_, name in network.supply_names
        if id_ in roles
    )


@dataclass(frozen=True, slots=True)
class Consumption:
    """What one prime mover used up in a stretch of a run.

    ``seconds``; ``work`` at its border [J]; ``turns`` of its shaft; ``burnt``: work of the burning inside a diesel
    [J]; ``steady``: what the person can keep up [W], 0 where it is no person.
    """

    mover: Mover
    seconds: float
    work: float
    turns: float
    burnt: float = 0.0
    steady: float = 0.0

    @property
    def fuel(self) -> float:
        """Diesel fuel [m3]; 0 for what burns none."""
        return self.burnt / (INDICATED * HEAT_VALUE * FUEL_DENSITY)

    @property
    def specific(self) -> float:
        """Fuel per work at the shaft [kg/J]; nan where there is no work."""
        return self.fuel * FUEL_DENSITY / self.work if self.work > 0 else math.nan

    @property
    def mean_power(self) -> float:
        """Mean power at the border [W]."""
        return self.work / self.seconds if self.seconds > 0 else 0.0

    @property
    def share(self) -> float:
        """Mean power over what the person can keep up; nan for an engine."""
        return self.mean_power / self.steady if self.steady > 0 else math.nan

    @property
    def word(self) -> str:
        """What it uses, in one word."""
        return {"diesel": tr("fuel"), "hand": tr("effort")}.get(self.mover.kind, tr("mains"))

    def short(self, system: System, count: int = 1) -> tuple[str, str]:
        """Return what one of ``count`` cycles used as (figures, unit): mL of fuel, percent of steady power, Wh."""
        if self.mover.kind == "diesel":
            return _fuel(self.fuel / count, system, math.inf)
        if self.mover.kind == "hand":
            return f"{100 * self.share:.0f}", "%"
        return text_in(self.work / count, unit("Wh"), 2)

    def told(self, system: System) -> list[tuple[str, str]]:
        """Return what is printed of it: (words, figures with unit)."""
        if self.mover.kind == "hand":
            return [
                (
                    tr("Effort of the arms"),
                    _in(self.work, "kJ", 2) if abs(self.work) >= 1e3 else _in(self.work, "J", 0),
                ),
                (tr("Mean power of the person"), f"{self.mean_power:.0f} W"),
                (tr("Of the steady {steady:.0f} W").format(steady=self.steady), f"{100 * self.share:.0f} %"),
                (tr("Turns of the crank"), f"{self.turns:.1f}"),
            ]
        if self.mover.kind in ("electric", "ideal"):
            kilo = abs(self.work) >= unit("kWh").factor
            words = tr("Electricity") if self.mover.kind == "electric" else tr("Electricity, motor without losses")
            power = " ".join(text(self.mean_power, "power", system, 2))
            return [(words, _in(self.work, "kWh" if kilo else "Wh", 2)), (tr("Mean power"), power)]
        return [
            (tr("Fuel"), " ".join(_fuel(self.fuel, system))),
            (tr("Fuel rate"), _rate(self.fuel / self.seconds if self.seconds > 0 else 0.0, system)),
            (tr("Fuel per work"), _specific(self.specific, system)),
        ]


def consumption_of(
    mover: Mover, seconds: float, work: float, angle: float, burnt: float, steady: float
) -> Consumption:
    """Return the use of a mover in a stretch [s] from its work [J], the angle turned [rad] and what was burnt [J]."""
    return Consumption(mover, seconds, work, angle / (2 * math.pi), burnt, steady if mover.kind == "hand" else 0.0)


def _in(value: float, symbol: str, decimals: int) -> str:
    return " ".join(text_in(value, unit(symbol), decimals))


def _fuel(volume: float, system: System, large: float = 1e-3) -> tuple[str, str]:
    """Return fuel as it is printed; from ``large`` on [m3] in litres."""
    if system is System.US:
        return text_in(volume, unit("fl oz"), 3)
    return text_in(volume, unit("mL"), 1) if volume < large else text_in(volume, unit("L"), 2)


def _rate(flow: float, system: System) -> str:
    return _in(flow, "gal/h" if system is System.US else "L/h", 2)


def _specific(specific: float, system: System) -> str:
    if not math.isfinite(specific):
        return "–"
    return _in(specific, "lb/hp h", 2) if system is System.US else _in(specific, "g/kWh", 0)
