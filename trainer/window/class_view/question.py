"""The question for the class, "What does the gauge read?": the case found in a rig, the entry, the working."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass

from trainer import units
from trainer.drawing.instruments import QUANTITIES, scale_of
from trainer.language import tr
from trainer.parts.part import Kind
from trainer.parts.roles import Actuator, Load
from trainer.rig.live import Live
from trainer.rig.rig import Instrument, Rig
from trainer.units import System

__all__ = ["Case", "find_case", "read_entry", "shown", "verdict"]

RISING = 2e-4  # rod speed from which a load moves [m/s]
_ENTRY = re.compile(r"\s*([+\-−]?\d{0,6}(?:[.,]\d{0,6})?)\s*(\S.*)?")


@dataclass(frozen=True, slots=True)
class Case:
    """A gauge, a cylinder and the load on its rod. ``area`` is that of the piston [m2]."""

    gauge: Instrument
    cylinder: str
    load: str
    rod: str
    area: float
    load_word: str
    told_by: str  # the part whose reading is the force

    def force(self, live: Live) -> float:
        """Return the force of the load on the rod [N]."""
        return live.value(self.told_by, "force")

    def moves(self, live: Live) -> int:
        """Return +1 while the load rises, -1 while it sinks, 0 at rest."""
        speed = live.speed(self.rod)
        return 0 if abs(speed) < RISING else (1 if speed > 0 else -1)

    def heading(self, live: Live) -> str:
        """Return what can be seen without a gauge."""
        way = {1: tr("is rising"), -1: tr("is sinking"), 0: tr("stands still")}[self.moves(live)]
        return tr("The {load_word} {way}.").format(load_word=self.load_word, way=way)

    def from_load(self, live: Live) -> float:
        """Return the pressure on the piston that the load alone needs [Pa]."""
        return self.force(live) / self.area


def find_case(rig: Rig) -> Case | str:
    """Return the case for the question, or a sentence that says what the rig lacks."""
    gauge = next((i for i in rig.instruments.values() if i.kind == "gauge"), None)
    if gauge is None:
        return tr("This rig has no pressure gauge. Put one under [instruments].")
    for pushes in (True, False):  # a load that only pushes is the plainest case
        for line in rig.lines_of_kind(Kind.ROD):
            cylinders = [id_ for id_, _, role in rig.at_ports(line.name, Actuator) if role.linear]
            for load, port, role in rig.at_ports(line.name, Load):
                if cylinders and port == role.lifted and role.pushes is pushes:
                    word = role.word if not pushes else rig.parts[load].label or role.word
                    area = math.pi / 4 * rig.parts[cylinders[0]].value("bore") ** 2
                    lifted = load if pushes else cylinders[0]
                    return Case(gauge, cylinders[0], load, line.name, area, word, lifted)
    return tr("This rig has no cylinder with a load on its rod, so there is nothing to work out.")


def shown(value: float, quantity: str, system: System, decimals: int | None = None) -> str:
    """Return a number with its unit as the class reads it."""
    if quantity == "force" and system is System.METRIC and decimals is None:
        decimals = 1 if abs(value) >= 1e3 else 2
    return " ".join(units.text(value, quantity, system, decimals))


def read_entry(written: str, case: Case, system: System) -> float:
    """Return the reading that the class commits to [Pa]. Raises ValueError with a sentence for the class."""
    unit = units.shown_unit("pressure", system)
    example = f"{0.4 * scale_of(case.gauge.range_, QUANTITIES['gauge'], system).end:.0f}"
    match = _ENTRY.fullmatch(written)
    if not written.strip():
        raise ValueError(
            tr("Write a reading in {symbol} first, such as {example}.").format(symbol=unit.symbol, example=example)
        )
    if match is None or not any(c.isdigit() for c in match[1]):
        raise ValueError(
            tr("That is not a number. Write it in {symbol}, such as {example}.").format(
                symbol=unit.symbol, example=example
            )
        )
    if match[2] and match[2].strip().lower() != unit.symbol:
        raise ValueError(
            tr("Write the number in {symbol}, such as {example}.").format(symbol=unit.symbol, example=example)
        )
    number = float(match[1].replace(",", ".").replace("−", "-"))
    end = scale_of(case.gauge.range_, QUANTITIES["gauge"], system).end
    if not 0 <= number <= end:
        raise ValueError(
            tr("The gauge reads from 0 to {end:g} {symbol}. Write a number from its scale.").format(
                end=end, symbol=unit.symbol
            )
        )
    return unit.value(number)


def verdict(said: float, read: float, case: Case, system: System) -> tuple[str, str]:
    """Return the difference with its unit, and the word for it: ("0.4 bar", "too low")."""
    decimals = scale_of(case.gauge.range_, "pressure", system).decimals
    unit = units.shown_unit("pressure", system)
    gap = round((said - read) / unit.factor, decimals)
    if gap == 0:
        return tr("Exactly"), tr("as read")
    return f"{abs(gap):.{decimals}f} {unit.symbol}", tr("too high") if gap > 0 else tr("too low")
