"""How slip, leaks and drag make the efficiencies of a pump or a motor, from its own numbers.

Volumetric is what comes out of what it sweeps (a motor: what it sweeps of what goes in): gaps leak Cs V dp / mu at
every speed. Hydromechanical is the torque that oil and displacement make, dp V, against that on the shaft: drag
is Cv V mu w + Cf V dp + Tc. Both after Wilson (1946); their product is the overall efficiency (terms: ISO 4391).
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from trainer.language import tr
from trainer.parts.laws import RATED_VISCOSITY, drag_torque, gaps
from trainer.parts.part import Efficiency

__all__ = ["HOT", "PRESSURES", "Curve", "curve", "of_motor", "of_pump", "words"]

PRESSURES = tuple(bar * 1e5 for bar in (10, 25, 50, 100, 150, 200, 250, 300))  # [Pa]
HOT = 0.010  # dynamic [Pa s]: an oil of VG 46 near 80 C
Value = Callable[[str], float]
Halves = tuple[tuple[str, str], ...]
_ONE = (("displacement", "slip"),)


@dataclass(frozen=True, slots=True)
class Curve:
    """Efficiencies [-] over ``drops`` [Pa] at a speed [rad/s] and a dynamic viscosity [Pa s]."""

    speed: float
    viscosity: float
    drops: tuple[float, ...]
    volumetric: tuple[float, ...]
    mechanical: tuple[float, ...]

    @property
    def overall(self) -> tuple[float, ...]:
        """Their products."""
        return tuple(one * other for one, other in zip(self.volumetric, self.mechanical, strict=True))


def of_pump(value: Value, speed: float, halves: Halves = _ONE, sides: int = 1) -> Efficiency:
    """Return the efficiencies of a pump that turns at a speed [rad/s]; ``value`` gives its parameters.

    ``halves`` are its displacements with what they slip, all pressing on one line; its gaps are parted among
    ``sides``, of which one is under pressure.
    """
    size = sum(value(own) for own, _ in halves)

    def law(drop: float, viscosity: float) -> tuple[float, float]:
        leak = sum(gaps(value(slip), value(own), viscosity) for own, slip in halves) / sides * drop
        torque = size * drop
        drag = _drag(value, size, speed, drop, viscosity)
        return _held(1 - leak / (size * speed)), _held(torque / (torque + drag))

    return speed, law


def of_motor(value: Value, speed: float) -> Efficiency:
    """Return the efficiencies of a motor that turns at a speed [rad/s], with nothing behind it."""
    size = value("displacement")

    def law(drop: float, viscosity: float) -> tuple[float, float]:
        leak = gaps(value("leakage"), size, viscosity) * drop
        swept = size * speed
        return _held(swept / (swept + leak)), _held(1 - _drag(value, size, speed, drop, viscosity) / (size * drop))

    return speed, law


def _drag(value: Value, size: float, speed: float, drop: float, viscosity: float) -> float:
    """Return the drag torque of all its displacement, which grows with it [N m]."""
    return float(
        drag_torque(
            size, speed, drop, viscosity,
            viscous=value("viscous_drag"), pressed=value("pressure_drag"), steady=value("breakaway"),
        )
    )  # fmt: skip


def _held(share: float) -> float:
    return min(max(share, 0.0), 1.0)


def curve(efficiency: Efficiency, viscosity: float = RATED_VISCOSITY, drops: tuple[float, ...] = PRESSURES) -> Curve:
    """Return a part's efficiencies over pressure, with the oil that its numbers are for or another."""
    speed, law = efficiency
    found = [law(drop, viscosity) for drop in drops]
    return Curve(speed, viscosity, drops, tuple(one for one, _ in found), tuple(one for _, one in found))


def words(motor: bool) -> str:
    """Return in words how they come about."""
    if motor:
        return tr(
            "Of the oil that comes in, some leaks past: so much for each bar, more of thin oil, as much at every "
            "speed. What it sweeps, of what comes in, is the volumetric efficiency ηv. Of the torque that drop and "
            "displacement make, friction takes a share, and a little always: what is left is the "
            "hydromechanical efficiency ηhm. Multiplied, they are the overall one, η."
        )
    return tr(
        "Of the oil that it sweeps, some slips back: so much for each bar, more of thin oil, as much at every speed. "
        "What comes out, of what it sweeps, is the volumetric efficiency ηv. Friction asks for torque besides what "
        "pressure and displacement make: a little always, the rest with pressure, speed and thick oil. What they "
        "make, of all the torque, is the hydromechanical efficiency ηhm. Multiplied, they make the overall η."
    )
