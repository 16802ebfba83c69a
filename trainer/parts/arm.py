"""The arm of a log loader: column, boom and stick, where they are, what they weigh and how they are sped up."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field

import casadi as ca

from trainer.parts.laws import bristle, pos, pos_energy, ramp
from trainer.parts.mechanics import mechanism, pin_distance
from trainer.parts.part import At, Expr
from trainer.units import GRAVITY

__all__ = ["BELLY", "BOOM", "BOOM_CLOSED", "BOOM_PINS", "STICK", "STICK_CLOSED", "STICK_PINS", "Arm", "tip_of"]

# Geometry of our own small log loader [m, kg, kg m2]: frames as in the crane's text.
BOOM, STICK = 2.60, 2.05
BOOM_PINS = ((0.33, -0.15), (0.18, -1.08))  # on the boom, on the column
STICK_PINS = ((-0.27, 0.09), (1.32 - BOOM, 0.20))  # on the stick, on the boom, both from the stick's pivot
BOOM_CLOSED, STICK_CLOSED = 0.825, 1.03  # pin distance of the closed cylinders
BELLY = (0.35, 0.15)  # how far open tongs reach below their middle, and how much less they do when closed [m]
_STOP = 3e5  # N m/rad of the column's end stops


@dataclass(slots=True)
class Arm:
    """The arm's law at one instant: angles ``q`` and rates ``v``, what it stands on heaved and rolled.

    ``moves`` are the rates of all that its places depend on; ``slope`` points [-] up against gravity.
    """

    at: At
    q: Expr = field(init=False)
    v: Expr = field(init=False)
    under: Expr = field(init=False)
    moves: Expr = field(init=False)
    slope: Expr = field(init=False)
    reach: Expr = field(init=False)
    up: Expr = field(init=False)
    place: dict[str, Expr] = field(init=False)
    speed: dict[str, Expr] = field(init=False)

    def __post_init__(self) -> None:
        at = self.at
        self.q = ca.vertcat(at.slew, at.boom, at.stick)
        self.v = ca.vertcat(at.slew_rate, at.boom_rate, at.stick_rate)
        self.under = ca.vertcat(self.q, at.place.heave, at.place.roll)
        self.moves = ca.vertcat(self.v, at.speed.heave, at.speed.roll)
        self.slope = ca.vertcat(-ca.sin(at.slope), 0, ca.cos(at.slope))
        fold = at.boom + at.stick
        self.reach = BOOM * ca.cos(at.boom) + STICK * ca.cos(fold)
        self.up = BOOM * ca.sin(at.boom) + STICK * ca.sin(fold)
        self.place = {
            "boom": pin_distance(at.boom, *BOOM_PINS) - BOOM_CLOSED,
            "stick": pin_distance(at.stick, *STICK_PINS) - STICK_CLOSED,
            "slew": at.slew,
        }
        self.speed = {port: self.rate(value) for port, value in self.place.items()}

    def rate(self, value: Expr) -> Expr:
        """Return how fast something that the angles give changes."""
        return ca.jtimes(value, self.q, self.v)

    def there(self, out: Expr, up: Expr) -> Expr:
        """Return a place in the plane of the arm, from the boom's pivot, as ahead, left and up of the ground [m]."""
        at = self.at
        side, up = out * ca.sin(at.slew), at.pivot + up
        lean, level = ca.sin(at.place.roll), ca.cos(at.place.roll)
        return ca.vertcat(out * ca.cos(at.slew), side * level - up * lean, at.place.heave + up * level + side * lean)

    @property
    def bodies(self) -> list[tuple[Expr, Expr, Expr]]:
        """Mass of boom and stick, and where their middles are in the arm's plane."""
        at = self.at
        th, fold = at.boom, at.boom + at.stick
        knee, high = BOOM * ca.cos(th), BOOM * ca.sin(th)
        return [
            (at.boom_mass, 1.15 * ca.cos(th) - 0.06 * ca.sin(th), 1.15 * ca.sin(th) + 0.06 * ca.cos(th)),
            (
                at.stick_mass,
                knee + 0.80 * ca.cos(fold) - 0.03 * ca.sin(fold),
                high + 0.80 * ca.sin(fold) + 0.03 * ca.cos(fold),
            ),
        ]

    @property
    def weight(self) -> Expr:
        """The energy of its weight [J]."""
        return GRAVITY * sum((mass * ca.dot(self.slope, self.there(x, h)) for mass, x, h in self.bodies), ca.SX(0))

    @property
    def points(self) -> list[tuple[Expr, Expr]]:
        """Masses and speeds of boom and stick: outward, sideways, up."""
        return [(mass, ca.vertcat(self.rate(x), x * self.v[0], self.rate(h))) for mass, x, h in self.bodies]

    @property
    def spin(self) -> Expr:
        """The energy of what turns [J]."""
        at, v = self.at, self.v
        return (
            at.column_inertia * v[0] ** 2 / 2
            + 105.0 * (v[1] ** 2 + (v[0] * ca.cos(at.boom)) ** 2) / 2
            + 38.0 * ((v[1] + v[2]) ** 2 + (v[0] * ca.cos(at.boom + at.stick)) ** 2) / 2
        )

    @property
    def motion(self) -> Expr:
        """The energy of its motion [J]."""
        return sum((mass * ca.dot(u, u) / 2 for mass, u in self.points), ca.SX(0)) + self.spin

    def past_end(self) -> tuple[Expr, Expr]:
        """Return by how much the slew is past its end, to the left and to the right [rad]."""
        at = self.at
        return at.slew - at.slew_range, -at.slew - at.slew_range

    @property
    def end_energy(self) -> Expr:
        """What its end stops store [J]."""
        return _STOP * sum((pos_energy(past, 1e-3) for past in self.past_end()), ca.SX(0))

    @property
    def end_torque(self) -> Expr:
        """What an end stop turns it back with [N m]."""
        left, right = self.past_end()
        return _STOP * (ca.fmax(left, 0) - ca.fmax(right, 0))

    def held(self) -> Held:
        """Return the friction that holds it."""
        at, v = self.at, self.v
        rate, hold, heat, stored = bristle(
            at.bend, v[0], at.column_friction, 3e-4, 0.45 * 20.0 * ca.sqrt(at.column_friction + 1e-12)
        )
        pins = [at.pin_friction * ca.tanh(w / 0.01) for w in (v[1], v[2])]
        left, right = self.past_end()
        bump = 3e4 * (ramp(left / 0.005) + ramp(right / 0.005))
        end = _STOP * (pos(left, 1e-3) - pos(right, 1e-3))
        return Held(
            ca.vertcat(-hold - at.column_drag * v[0] - bump * v[0] - end, -pins[0], -pins[1]),
            rate,
            heat + at.column_drag * v[0] ** 2 + bump * v[0] ** 2,
            pins[0] * v[1] + pins[1] * v[2],
            stored,
        )

    def acceleration(self, force: Expr) -> list[Expr]:
        """Return the accelerations of its angles under generalised forces [N m], those of its ports besides."""
        at = self.at
        others = sum((at.inertia[port] * self.speed[port] ** 2 / 2 for port in self.place), ca.SX(0))
        for port, value in self.place.items():
            force = force + ca.gradient(value, self.q) * at.given[port]
        none = ca.SX.zeros(3)
        return mechanism(self.q, self.v, self.points, self.spin + others, force, none, order=(0, 1, 2))


@dataclass(slots=True)
class Held:
    """What friction does to an arm: generalised ``force`` [N m], rate of the bristle, heats [W], stored [J]."""

    force: Expr
    rate: Expr
    column: Expr
    pins: Expr
    stored: Expr


def tip_of(values: Mapping[str, float]) -> tuple[tuple[float, float, float], tuple[float, float, float]]:
    """Return place [m] and speed [m/s] of the tip by numbers: angles, rates, ``pivot``, ``heave`` and ``roll``."""
    slew, boom, fold = values["slew"], values["boom"], values["boom"] + values["stick"]
    turn, lift, bend = (values[f"{name}_rate"] for name in ("slew", "boom", "stick"))
    out = BOOM * math.cos(boom) + STICK * math.cos(fold)
    up = values["pivot"] + BOOM * math.sin(boom) + STICK * math.sin(fold)
    out_rate = -BOOM * math.sin(boom) * lift - STICK * math.sin(fold) * (lift + bend)
    up_rate = BOOM * math.cos(boom) * lift + STICK * math.cos(fold) * (lift + bend)
    c, s = math.cos(slew), math.sin(slew)
    level, lean = math.cos(values["roll"]), math.sin(values["roll"])
    side, side_rate = out * s, out_rate * s + out * c * turn
    return (
        (out * c, side * level - up * lean, values["heave"] + up * level + side * lean),
        (out_rate * c - out * s * turn, side_rate * level - up_rate * lean, up_rate * level + side_rate * lean),
    )
