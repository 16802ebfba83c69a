"""Laws of a body that hangs on a tie, is set down, dragged and pushed: it has a place and a speed, and no angles."""

from __future__ import annotations

from dataclasses import dataclass

import casadi as ca

from trainer.parts.laws import contact, pos, ramp
from trainer.parts.part import Expr
from trainer.units import GRAVITY

__all__ = ["FOLDED", "FRICTION", "SOIL", "TIE", "Push", "Rub", "Tie", "drag", "meet", "rub", "tie"]

FRICTION = 0.6  # of wood and steel on soil
TIE = (5e6, 5.0)  # stiffness [N/m] and damping [s/m] of the links
SOIL = (5e5, 3.0)  # of the ground under a load
FOLDED = 0.65 / 1.35  # share of its length at which a chain of two links is folded
_SHEAR, _SHEAR_DAMPING = 4e5, 4000.0  # N/m, N s/m
_LEAST = 5e-6  # m that the ground's shear may have without a load on it
_LETS_GO = 0.01  # s
_LIGHT = 5.0  # N of load with which half the shear is felt


@dataclass(slots=True)
class Tie:
    """What a tie does: ``force`` on the body [N, three axes], ``tension`` [N], ``heat`` [W], ``stored`` [J]."""

    force: Expr
    tension: Expr
    heat: Expr
    stored: Expr


@dataclass(slots=True)
class Push:
    """What the ground does to a place that it meets: ``load`` [N] upward, ``force`` [N, three axes], heat, stored."""

    load: Expr
    force: Expr
    heat: Expr
    stored: Expr


@dataclass(slots=True)
class Rub:
    """Friction on the ground: ``force`` [N, level], rates of the shear, heat [W], stored [J]."""

    force: Expr
    rate: Expr
    heat: Expr
    stored: Expr


def tie(away: Expr, parting: Expr, length: Expr, damping: Expr) -> Tie:
    """Return what a chain of two links does to what hangs on it: past its ``length`` [m] it pulls, below it is slack.

    Folded to its shortest it pushes. ``away`` [m] and ``parting`` [m/s]: the body's place and speed from where it
    hangs. ``damping``: ratio of the pendulum's, which dies with the tension. The links themselves weigh nothing.
    """
    far = ca.sqrt(ca.dot(away, away) + 1e-8)
    along = away / far
    out = ca.dot(along, parting)
    pull, pull_heat, pull_stored = contact(far - length, out, *TIE)
    push, push_heat, push_stored = contact(FOLDED * length - far, -out, *TIE)
    aside = parting - along * out
    rate = 2 * damping / ca.sqrt(GRAVITY * length) * pull
    return Tie(
        along * (push - pull) - rate * aside,
        pull,
        pull_heat + push_heat + rate * ca.dot(aside, parting),
        pull_stored + push_stored,
    )


def meet(
    ground: tuple[Expr, Expr, Expr], up: Expr, speed: Expr, more: Expr = 0.0, soil: tuple[float, float] = SOIL
) -> Push:
    """Return what ground of some height and slopes does to a belly that is ``up`` [m] and moves with ``speed`` [m/s].

    ``more`` [m/s]: how fast the belly itself comes out of the body.
    """
    height, along, across = ground
    closing = along * speed[0] + across * speed[1] - speed[2] + more
    load, heat, stored = contact(height - up, closing, *soil)
    return Push(load, ca.vertcat(-load * along, -load * across, load), heat, stored)


def rub(shear: Expr, speed: Expr, load: Expr) -> Rub:
    """Return dry friction under a ``load`` [N] that changes: the ground's ``shear`` [m, level] bends, then slips.

    Its stiffness is constant and its reach goes with the load, so that books close; where the load is gone the shear
    dies and is not felt.
    """
    reach = FRICTION * load / _SHEAR + _LEAST
    bent = ca.sqrt(ca.dot(shear, shear) + (0.01 * reach) ** 2)
    along = shear / bent
    slip = ramp((bent / reach - 0.85) / 0.15) * ca.fmax(ca.dot(along, speed), 0)
    shed = pos(bent - 1.02 * reach, 0.01 * reach) / _LETS_GO
    felt = load / (load + _LIGHT)
    damping = _SHEAR_DAMPING * load / (load + 200.0)
    rate = felt * speed - along * (felt * slip + shed)
    moved = speed - along * slip
    return Rub(
        -felt * _SHEAR * shear - damping * moved,
        rate,
        _SHEAR * ca.dot(shear, along) * (felt * slip + shed) + damping * ca.dot(moved, speed),
        _SHEAR * ca.dot(shear, shear) / 2,
    )


def drag(push: Push, speed: Expr, friction: float = FRICTION) -> tuple[Expr, Expr]:
    """Return (force [N, three axes], heat [W]) of friction that holds nothing: with the speed it goes to 0."""
    level = speed[:2]
    rate = friction * push.load / ca.sqrt(ca.dot(level, level) + 0.02**2)
    return ca.vertcat(-rate * level, 0), rate * ca.dot(level, level)
