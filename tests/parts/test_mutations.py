"""Parts broken on purpose, and which check finds each: a check that finds nothing proves nothing."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace
from typing import Any

import casadi as ca
import pytest
from battery import (
    CHECKS,
    check_anchors,
    check_continuous,
    check_explained,
    check_finite,
    check_heat_positive,
    check_no_jump_operation,
    check_oil_kept,
    check_power_kept,
    check_workings,
)  # fmt: skip
from test_cylinder_and_load_laws import check_cylinder_areas, check_wall_never_pulls
from test_supply_laws import check_pump_compression, check_pump_efficiencies
from test_valve_laws import check_relief_points, check_section_areas, check_section_direction

from trainer.formula import Working
from trainer.parts.conduits import Hose
from trainer.parts.cylinder import Cylinder
from trainer.parts.loads import Wall, Weight
from trainer.parts.part import At, Heat, Kind, Law, Loss, Parameter, Part
from trainer.parts.relief import ReliefValve
from trainer.parts.restrictors import CheckValve, Orifice
from trainer.parts.section import OpenCentreSection
from trainer.parts.sheet import Sheet
from trainer.parts.supply import FixedPump

Check = Callable[..., None]


def seen(at: At, **changed: Any) -> At:
    """Return what a part is given, with some of its own numbers changed."""
    groups = {name: getattr(at, name) for name in ("p", "h", "w", "speed", "place", "given", "inertia", "oil")}
    return At({**at._own, **changed}, **groups)


class PushesWithTooMuch(Cylinder):
    """Its force counts one per cent more piston than its oil does."""

    def equations(self, at: At) -> Law:
        law = super().equations(at)
        law.into["rod"] -= 0.01 * at.p.A * at.bore**2
        return law


class BoredTooWide(Cylinder):
    """Force and oil agree on an area that is four per cent too large."""

    def equations(self, at: At) -> Law:
        return super().equations(seen(at, bore=at.bore * 1.02))


class SweepsNothing(Cylinder):
    """The oil behind its piston does not take part in the volume of the line."""

    def equations(self, at: At) -> Law:
        law = super().equations(at)
        law.volume["A"] = at.dead_volume
        return law


class ForgetsItsStop(Cylinder):
    """The spring of its end stop stores nothing."""

    def equations(self, at: At) -> Law:
        law = super().equations(at)
        law.stored.clear()
        return law


class PushedByItsSeals(Cylinder):
    """Friction helps, and the books agree."""

    def equations(self, at: At) -> Law:
        kinds = ("kinetic_friction", "viscous_friction", "pressure_friction")
        return super().equations(seen(at, **{kind: -getattr(at, kind) for kind in kinds}))


class PressesForNothing(FixedPump):
    """The work of pressing oil together is in no book."""

    def equations(self, at: At) -> Law:
        law = super().equations(at)
        del law.heat["filling"]
        return law


class PressesUnyieldingOil(FixedPump):
    """It moves as if oil did not yield, in pump and books alike; torque and heat agree."""

    def equations(self, at: At) -> Law:
        law = super().equations(at)
        law.into["shaft"] -= law.heat["filling"].watts / at.speed.shaft
        law.heat["filling"] = Heat(0.0, Loss.PUMP)
        return law


class SlipsTwice(FixedPump):
    """Twice the slip that was written down."""

    def equations(self, at: At) -> Law:
        return super().equations(seen(at, slip=2 * at.slip))


class MetersCold(OpenCentreSection):
    """What the metering edge takes from the oil warms nothing."""

    def equations(self, at: At) -> Law:
        law = super().equations(at)
        stream = law.streams.pop("P_to_A")
        law.into |= {"P": stream.flow, "A": -stream.flow}
        return law


class Reversed(OpenCentreSection):
    """The spool is put in the wrong way round."""

    def equations(self, at: At) -> Law:
        law = super().equations(seen(at, spool=-at.spool))
        law.rate["spool"] = (at.lever - at.spool) / at.lag
        return law


class OpensTooSoon(OpenCentreSection):
    """Its dead band is half a millimetre short."""

    def equations(self, at: At) -> Law:
        return super().equations(seen(at, dead_band=at.dead_band - 0.5e-3))


class ThriceAsSteep(ReliefValve):
    """It passes three times its rated flow at its setting."""

    def equations(self, at: At) -> Law:
        return super().equations(seen(at, rated_flow=3 * at.rated_flow))


class LeaksWhenShut(ReliefValve):
    """A rounding with a tail: it passes a little at any pressure."""

    def equations(self, at: At) -> Law:
        law = super().equations(at)
        tail = 1e-13 * (at.p.P - at.p.T)
        law.streams["over_relief"] = replace(law.streams["over_relief"], flow=law.streams["over_relief"].flow + tail)
        return law


class MakesOil(Cylinder):
    """What leaks past the piston also stays."""

    def equations(self, at: At) -> Law:
        law = super().equations(at)
        leak = law.streams.pop("past_piston").flow
        law.into["B"] = -leak
        law.heat["past_piston"] = Heat(leak * -at.h.B, Loss.LEAKAGE)
        return law


class Switched(CheckValve):
    """Opens by a switch instead of a ramp."""

    def equations(self, at: At) -> Law:
        law = super().equations(at)
        stream = law.streams["through"]
        open_ = ca.if_else(at.p["1"] - at.p["2"] > at.cracking, 1.0, 0.0)
        law.streams["through"] = replace(stream, flow=stream.flow * open_ * 0.5)
        return law


class JumpsSmoothly(Orifice):
    """The sign of the drop made of nothing but smooth operations."""

    def equations(self, at: At) -> Law:
        law = super().equations(at)
        drop = at.p["1"] - at.p["2"] + 1e-3
        flow = law.streams["through"].flow + 1e-6 * ca.sqrt(drop * drop) / drop * at.diameter**2
        law.streams["through"] = replace(law.streams["through"], flow=flow)
        return law


class RootOfSuction(Hose):
    """Takes the root of a pressure that may be below zero."""

    def equations(self, at: At) -> Law:
        law = super().equations(at)
        law.readings["root"] = (ca.sqrt(at.p["1"]), "ratio")
        return law


class ForgetsTheRod(Weight):
    """Accelerates alone, though a rod and a piston move with it."""

    def equations(self, at: At) -> Law:
        law = super().equations(at)
        law.rate["v"] *= (at.mass + at.inertia.rod) / at.mass
        return law


class Sticky(Wall):
    """Damps with the full force in both directions."""

    words = {**Wall.words, "stick": "stick"}

    def equations(self, at: At) -> Law:
        law = super().equations(at)
        v = at.speed.rod
        law.into["rod"] += 1e5 * v * law.readings["force"][0] / at.rate
        law.heat["stick"] = Heat(1e5 * v * v * law.readings["force"][0] / at.rate, Loss.FRICTION)
        return law


class Unexplained(Orifice):
    """Has a number that nobody explains."""

    mystery = Parameter("1 mm", low="0 mm", high="2 mm", meaning=" ")


class OneMorePort(Orifice):
    """Has a port that its symbol does not show."""

    ports = {"1": Kind.OIL, "2": Kind.OIL, "X": Kind.OIL}


class ShowsWhatIsNotRead(Orifice):
    """Its working takes an intermediate result that its law does not tell."""

    @classmethod
    def workings(cls, at: Sheet) -> Iterator[Working]:
        yield from super().workings(at)
        at.reading("A", "free area", "hole")


class Unworked(Orifice):
    """Opens no number, and does not say why."""

    @classmethod
    def workings(cls, at: Sheet) -> Iterator[Working]:
        yield from ()


FOUND: list[tuple[type[Part], Check]] = [
    (PushesWithTooMuch, check_power_kept),
    (SweepsNothing, check_power_kept),
    (ForgetsItsStop, check_power_kept),
    (PressesForNothing, check_power_kept),
    (MetersCold, check_power_kept),
    (ForgetsTheRod, check_power_kept),
    (PushedByItsSeals, check_heat_positive),
    (MakesOil, check_oil_kept),
    (Switched, check_no_jump_operation),
    (Switched, check_continuous),
    (JumpsSmoothly, check_continuous),
    (RootOfSuction, check_finite),
    (Unexplained, check_explained),
    (OneMorePort, check_anchors),
    (ShowsWhatIsNotRead, check_workings),
    (Unworked, check_workings),
]
CHARACTERISTIC: list[tuple[type[Part], Check]] = [  # the whole battery is content with these
    (BoredTooWide, check_cylinder_areas),
    (SlipsTwice, check_pump_efficiencies),
    (Reversed, check_section_direction),
    (OpensTooSoon, check_section_areas),
    (ThriceAsSteep, check_relief_points),
    (LeaksWhenShut, check_relief_points),
    (Sticky, check_wall_never_pulls),
]


def _name(value: Any) -> str:
    return str(value.__name__).removeprefix("check_")


@pytest.mark.parametrize(
    ("mutant", "check"),
    [*FOUND, *CHARACTERISTIC, (PressesUnyieldingOil, check_pump_compression)],
    ids=_name,
)
def test_the_check_finds_the_fault_and_passes_the_healthy_part(mutant: type[Part], check: Check) -> None:
    (healthy,) = mutant.__bases__
    check(healthy)
    with pytest.raises(AssertionError):
        check(mutant)


@pytest.mark.soak
@pytest.mark.parametrize("mutant", [mutant for mutant, _ in CHARACTERISTIC], ids=_name)
def test_conservation_says_nothing_about_a_characteristic(mutant: type[Part]) -> None:
    for check in CHECKS:
        if check is not check_heat_positive:  # the same random states as power_kept, and slower
            check(mutant)
