"""What a session's rig holds, for tests of conservation: oil and energy."""

from __future__ import annotations

from trainer.engine.session import Session

__all__ = ["brought_by", "energy_in", "oil_in"]


def oil_in(session: Session) -> float:
    """Return all the oil in a session's rig [m3 at tank density]: lines and what the tanks have gained."""
    network = session.network
    lines = float(network.content(session.x, session.pu).sum())
    own = {f"{line.name}.content" for line in network.content_lines}
    gained = [i for i, slot in enumerate(network.states) if slot.content and slot.name not in own]
    return lines + float(session.x[gained].sum())


def energy_in(session: Session) -> float:
    """Return the energy stored in oil, motion, heights and springs [J]."""
    return float(session.network.energy(session.x, session.pu).sum())


def brought_by(session: Session, name: str, value: float) -> float:
    """Return what a number [SI] changed at the instant that is shown brings to the energy stored [J]."""
    network, pu = session.network, session.pu.copy()
    pu[network.pu_index[name]] = value
    return float(network.energy(session.x, pu).sum()) - energy_in(session)
