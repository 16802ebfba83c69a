"""What each function of a machine does at an instant, in a word or two, by the lever that moves it."""

from __future__ import annotations

from collections.abc import Mapping

from trainer import units
from trainer.drawing.functions import twins
from trainer.language import tr
from trainer.parts.roles import Actuator, DirectionalValve
from trainer.rig.live import Live
from trainer.rig.moving import actuators_of
from trainer.rig.rig import Rig
from trainer.units import System

__all__ = ["doings", "moved_by"]

_RESTS = {"speed": 1e-3, "shaft speed": 0.05}  # what is slower rests [m/s, rad/s]; our own numbers


def moved_by(rig: Rig, section: str) -> tuple[str, ...]:
    """Return the cylinders and motors that a section moves; of twins the first."""
    others = {id_ for ids in twins(rig).values() for id_ in ids[1:]}
    return tuple(id_ for id_ in actuators_of(rig, section) if id_ not in others)


def doings(rig: Rig, live: Live, system: System) -> Mapping[str, str]:
    """Return {"section.lever": what its actuator does}: "34 mm/s out", "4.2 r/min"; nothing of what rests."""
    found: dict[str, str] = {}
    for section in rig.having(DirectionalValve):
        for id_ in moved_by(rig, section):
            role = rig.parts[id_].part.role
            assert isinstance(role, Actuator)
            quantity = "speed" if role.linear else "shaft speed"
            speed = live.speed(rig.line_of(id_, role.output).name)
            if abs(speed) < _RESTS[quantity]:
                continue
            figures, unit = units.text(abs(speed), quantity, system)
            way = (tr("out") if speed > 0 else tr("in")) if role.linear else ""
            found[f"{section}.lever"] = f"{figures} {unit} {way}".rstrip()
            break
    return found
