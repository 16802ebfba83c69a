"""What a gauge shows at a set screw: of the dials that are fitted, the one on its line."""

from __future__ import annotations

from collections.abc import Sequence

from trainer.language import tr
from trainer.parts.roles import PressureLimiter, Pump
from trainer.rig.rig import Rig
from trainer.window.dials.dials import DialView

__all__ = ["gauge_at_screw"]


def gauge_at_screw(rig: Rig, part: str, dials: Sequence[DialView]) -> str:
    """Return what the gauge on the line of a part's screw shows, in words; or that there is none."""
    role = rig.parts[part].part.role
    ports = role.spoken
    if isinstance(role, (PressureLimiter, Pump)):
        ports = role.outlets if isinstance(role, Pump) else (role.inlet,)
    lines = [rig.line_of(part, port).name for port in ports]
    for dial in dials:
        if dial.instrument.kind == "gauge" and dial.instrument.on in lines:
            return tr("gauge {name}: {accessibleDescription}").format(
                name=dial.instrument.name, accessibleDescription=dial.accessibleDescription()
            )
    return tr("no gauge on {lines}: fit one").format(lines=" or ".join(lines))
