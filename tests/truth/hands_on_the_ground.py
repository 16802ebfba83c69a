"""Hands that lower, press, drag, swing, lift and grip by chance, and what is to be seen of the books meanwhile."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from stored import energy_in

from trainer.engine.session import FRAME, Session

__all__ = ["Seen", "work"]

_LEVERS = ("2V1.lever", "3V1.lever", "4V1.lever", "5V1.lever")
_EVEN = (-1.0, -0.6, 0.0, 0.0, 0.6, 1.0)
_AIM = {"5V1.lever": (-0.8,)}
_KINDS = (
    {"3V1.lever": (0.6, 0.8, 1.0)},
    _AIM,
    {"3V1.lever": (-0.5, -0.6)},
    {"5V1.lever": (0.7, 1.0)},
    {"5V1.lever": (0.7, 1.0), "3V1.lever": (0.0, -0.4)},
    {"3V1.lever": (0.6, 0.8)},
    {"2V1.lever": (-0.6, -0.4, 0.4, 0.6), "3V1.lever": (0.0, 0.5)},
    {"3V1.lever": (-0.5, -0.7), "5V1.lever": (0.0, -0.7)},
    dict.fromkeys(_LEVERS, _EVEN),
)
_STRETCH, _SECOND = 45, 60  # calls


@dataclass(slots=True)
class Seen:
    """The worst of the identity, of any second's energy, as shares; time on the ground; how often a log was taken."""

    identity: float = 0.0
    window: float = 0.0
    on_ground: float = 0.0
    gripped: int = 0
    dropped: int = 0
    tipped: float = 0.0


def aim(session: Session) -> None:
    """Lead slew and stick to the log that is nearest to the tip's direction."""
    r = session.readings
    slew, reach = r.place("slew"), r.value("3W1", "reach")
    found = []
    for log in ("log1", "log2", "log3"):
        if r.state("3W1", log) == 1.0:
            x, y = (r.value("3W1", f"{log}_at_{axis}") for axis in ("ahead", "left"))
            found.append((abs(math.atan2(y, x) - slew), math.atan2(y, x) - slew, math.hypot(x, y) - reach))
    if found:
        _, turn, far = min(found)
        swing = max(-0.6, min(0.6, 0.3 * np.sign(turn) + 0.8 * turn))
        fold = max(-0.7, min(0.7, -0.35 * np.sign(far) - far))
        session.set_control("2V1.lever", swing if abs(turn) > 0.03 else 0.0)
        session.set_control("4V1.lever", fold if abs(far) > 0.1 else 0.0)


def work(session: Session, seconds: float, seed: int) -> Seen:
    """Move a loader's levers for a stretch of model time [s], and tell what was seen."""
    random, seen, network = np.random.default_rng(seed), Seen(), session.network
    heats = len(network.heat_names)
    rows, on_ground, calls, had = [], 0, round(seconds / FRAME), False
    for call in range(calls):
        stretch, within = divmod(call, _STRETCH)
        if within == 0:
            kind = _KINDS[stretch % len(_KINDS)]
            levers = dict.fromkeys(_LEVERS, 0.0) | {name: float(random.choice(at)) for name, at in kind.items()}
        for name, share in levers.items():
            session.set_control(name, share)
        if kind is _AIM:
            aim(session)
        session.advance(FRAME)
        assert np.isfinite(session.x).all()
        residual, size = (float(one) for one in network.balance(session.x, session.pu))
        seen.identity = max(seen.identity, abs(residual) / size)
        rows.append((energy_in(session), session.totals[heats:].sum(), session.totals[:heats].sum()))
        r = session.readings
        on_ground += r.value("3W1", "contact") > 0
        has = r.value("3W1", "held") > 0
        seen.gripped += has and not had
        seen.dropped += had and not has
        had = has
        seen.tipped = max(seen.tipped, abs(r.value("1W1", "roll")))
    stored, supplied, heated = (np.array(column) for column in zip(*rows, strict=True))
    gain, supply, heat = (one[_SECOND:] - one[:-_SECOND] for one in (stored, supplied, heated))
    fair = np.maximum.reduce([np.abs(supply), heat, np.abs(gain), np.full_like(gain, 100.0)])
    seen.window = float((np.abs(supply - heat - gain) / fair).max())
    seen.on_ground = on_ground / calls
    return seen
