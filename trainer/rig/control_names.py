"""What levers and prime movers are called on the board."""

from __future__ import annotations

from trainer.rig.names import capital
from trainer.rig.rig import Rig

__all__ = ["lever_name", "setting_name"]


def lever_name(rig: Rig, control: str) -> str:
    """Return what a lever is called: its section's label, else the actuator on its work ports, else its id."""
    section = control.partition(".")[0]
    title = rig.parts[section].label
    for port in ("A", "B"):
        if title or port not in rig.parts[section].part.ports:
            break
        others = (rig.parts[id_] for id_, _ in rig.line_of(section, port).joins if id_ != section)
        title = next((other.label for other in others if other.label), "")
    return capital(title or section)


def setting_name(rig: Rig, control: str) -> str:
    """Return what a prime mover, a load or a throttle is called: its label, else what it is."""
    fitted = rig.parts[control.partition(".")[0]]
    return capital(fitted.label or fitted.what)
