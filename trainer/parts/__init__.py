"""The parts: one class, one symbol, one set of laws each. ``CATALOGUE`` is the only list of them."""

from __future__ import annotations

from trainer.parts.conduits import Cooler, Hose, ReturnFilter
from trainer.parts.crane import Crane, Grapple
from trainer.parts.cylinder import Cylinder
from trainer.parts.drives import DieselEngine, HydraulicMotor, InductionMotor, ReductionGear
from trainer.parts.ground import Trailer
from trainer.parts.loads import ConstantForce, Wall, Weight
from trainer.parts.part import Part
from trainer.parts.relief import ReliefValve
from trainer.parts.restrictors import CheckValve, Orifice, Throttle
from trainer.parts.section import OpenCentreSection
from trainer.parts.supply import FixedPump, HandCrank, Reservoir, ShaftCoupling, SteadyDrive

__all__ = ["CATALOGUE"]

CATALOGUE: dict[str, type[Part]] = {
    part.__name__: part
    for part in (
        Reservoir,
        FixedPump,
        HandCrank,
        SteadyDrive,
        DieselEngine,
        InductionMotor,
        ShaftCoupling,
        ReductionGear,
        ReliefValve,
        OpenCentreSection,
        CheckValve,
        Orifice,
        Throttle,
        Hose,
        ReturnFilter,
        Cooler,
        Cylinder,
        HydraulicMotor,
        Weight,
        Wall,
        ConstantForce,
        Crane,
        Grapple,
        Trailer,
    )
}
