"""The telescopic cylinder that oil drives home as well."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator

import casadi as ca

from trainer.formula import Working
from trainer.language import mark, tr
from trainer.parts.cylinder import (
    Cylinder,
    areas,
    both_ways,
    end_pressure,
    force_of,
    leak_past,
    rod_force,
    speeds,
)
from trainer.parts.part import At, Kind, Law, Parameter, Part
from trainer.parts.plain import Plain
from trainer.parts.rams import Guided, TelescopicCylinder, stages, tube_area
from trainer.parts.roles import Actuator
from trainer.parts.sheet import PERCENT, Sheet
from trainer.parts.workings import lost

__all__ = ["DoubleActingTelescopicCylinder"]

_MOVES = 1e-4  # m/s


class DoubleActingTelescopicCylinder(Guided, Part):
    """Tubes in one another with a piston on each: oil at A sends them out, oil at B in the rings brings them home.

    Out it is a telescopic cylinder of single action. Home, the ring between piston and tube acts: a small share of
    the area, so that the same oil brings it home much faster and the same pressure pulls little (common practice,
    no source). The rings are joined: the narrowest goes in first, as it came out last.
    """

    ports = {"A": Kind.OIL, "B": Kind.OIL, "rod": Kind.ROD}
    port_names = Cylinder.port_names
    symbol = "cyl_tele_da"
    plate = TelescopicCylinder.plate
    letter = "A"
    plain = Plain(
        mark("Double-acting telescopic cylinder"),
        does=mark("It reaches far out of a short body, in steps, and oil brings it home again."),
        works=mark(
            "Out, the widest tube moves first, for it needs the least pressure. Home, oil in the narrow rings round "
            "the tubes pulls them in. These rings are small: it pulls with little force, goes home fast, and sends "
            "out of its cap end many times the oil that comes in at its rod end."
        ),
        set=mark(
            "It is chosen where no load brings it home: ejector blades, packers, long reaches laid flat. The way "
            "from its cap end home to the tank, valve, hoses and filter, has to be wide enough for the oil of the "
            "way in. With the cap end shut, oil at the rod end makes many times its pressure there: it is never fed "
            "so."
        ),
        law=mark(
            "Force = pA · A − pB · a − friction, A of the tube whose turn it is and a its ring; speed = flow over "
            "A out, over a home (textbooks of fluid power). The change from one tube to the next takes 2 mm of "
            "travel (our own rounding)."
        ),
    )
    role = Actuator(areas=("cap_area", "rod_end_area"), stroke="stroke")
    words = Cylinder.words
    spills = Cylinder.spills
    tubes = TelescopicCylinder.tubes
    stroke = TelescopicCylinder.stroke
    widest = TelescopicCylinder.widest
    narrowest = TelescopicCylinder.narrowest
    ring = Parameter(
        "20 %", low="3 %", high="60 %", meaning="ring that brings a tube home, share of its area", at_rest=True
    )
    leakage = Cylinder.leakage
    gland = Cylinder.gland

    @classmethod
    def objections(cls, value: Callable[[str], float]) -> list[str]:
        """Return what cannot be: a last tube that is as wide as the first."""
        return TelescopicCylinder.objections(value)

    def equations(self, at: At) -> Law:
        """Return the law of the tube whose turn it is, and of its ring."""
        widest, moves, swept, whole = stages(at)
        law = both_ways(
            at, ("A", "B"), (widest, at.ring * widest), (swept, at.ring * (whole - swept)), (moves, at.ring * moves)
        )
        law.readings["tube"] = (ca.sqrt(4 * moves / math.pi), "length")
        return law

    @classmethod
    def workings(cls, at: Sheet) -> Iterator[Working]:
        """Yield force, speed, the oil that comes back, power, both areas and the leak."""
        behind, before = at.at_port("A", "pA"), at.at_port("B", "pB")
        yield force_of(at, behind, before)
        yield from lost(at, before, "gland")
        _, _, went = yield from speeds(at, {"A": "A", "B": "B"})
        if abs(at.speed_at("rod")) > _MOVES:
            given = at.value("force") * at.speed_at("rod")
            name = tr("Power at the rod") if given >= 0 else tr("Power that the load gives back")
            yield at.pushing(name, abs(given), rod_force(at), went)
        yield tube_area(at)
        area, ring = areas(at)
        share = at.number("r", "ring", tr("ring, of the tube's area"), PERCENT)
        yield Working(at.part, tr("Ring that brings it home"), ring, (area, share), ("a = A · r / 100",) * 2)
        if abs(behind.value - before.value) > 1e3:
            yield leak_past(at, at.drop(*(("A", "B") if behind.value > before.value else ("B", "A"))))

    @classmethod
    def asks(cls, at: Sheet, port: str) -> Working | None:
        """Return the pressure at an end as what it stands for: load, friction, back pressure."""
        return end_pressure(at, port)
