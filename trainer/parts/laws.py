"""Laws that several parts use: smooth primitives, orifices, checks, reliefs, stops, friction.

Every one is continuous with its first derivative and safe at zero, for numbers and casadi expressions alike.
The compact forms are exactly zero when off: a closed relief or check leaks nothing by mathematics.
"""

from __future__ import annotations

import math
from typing import Any

import casadi as ca

from trainer.parts.part import Expr

__all__ = [
    "LAMINAR",
    "RATED_VISCOSITY",
    "SPILLS",
    "TOUCH",
    "bristle",
    "check",
    "clip",
    "contact",
    "displaced",
    "drag_torque",
    "edge_flow",
    "edge_laminar",
    "edge_rate",
    "friction_force",
    "gaps",
    "leak_rate",
    "opened",
    "pos",
    "pos_energy",
    "pressed",
    "quadratic_root",
    "ramp",
    "relief",
    "relief_corner",
    "shock",
    "smooth_abs",
    "smooth_min",
    "smooth_sign",
    "spilt",
    "sqrt_flow",
    "stop",
    "straight_ramp",
]

SPILLS = 0.65  # discharge coefficient of a hole that oil is lost by
TOUCH = 1e-4  # m over which a stiff contact is rounded
RATED_VISCOSITY = 0.035  # dynamic [Pa s], for which leaks and laminar drops are given
LAMINAR = 5e3  # Pa, below which a sharp edge is laminar
_WARMED = 0.35  # dynamic [Pa s] at which the film between moving faces is half as thick-flowing as its oil


def clip(x: Expr, low: Expr, high: Expr) -> Expr:
    """Return x held between low and high."""
    return ca.fmin(ca.fmax(x, low), high)


def pos(x: Expr, width: Expr) -> Expr:
    """Return max(x, 0) rounded over -width … width; exactly 0 below."""
    above = ca.fmax(x + width, 0)
    rounded = ca.fmin(above, 2 * width)
    return rounded * (above - rounded / 2) / (2 * width)  # in few operations: a loader has some 150 of these


def pos_energy(x: Expr, width: Expr) -> Expr:
    """Return the integral of ``pos`` from minus infinity to x."""
    t = clip(x, -width, width)
    beyond = ca.fmax(x, width)
    return (t + width) ** 3 / (12 * width) + (beyond * beyond - width * width) / 2


def ramp(x: Expr) -> Expr:
    """Return 0 for x <= 0, 1 for x >= 1 and a cubic between, flat at both ends."""
    t = clip(x, 0, 1)
    return t * t * (3 - 2 * t)


def straight_ramp(x: Expr, width: Expr = 0.02) -> Expr:
    """Return 0 for x <= 0, 1 for x >= 1 and x between, with corners rounded over ``width``; exactly 0 when off."""
    return pos(x, width) - pos(x - 1, width)


def contact(depth: Expr, closing: Expr, rate: Expr, damping: Expr) -> tuple[Expr, Expr, Expr]:
    """Return (force [N], heat [W], stored [J]) of a stiff contact: ``rate`` [N/m] on ``depth`` [m].

    Damping [s/m] grows with the force and its ``closing`` speed [m/s]; the contact never pulls.
    """
    push = rate * pressed(depth)
    force = push * shock(closing, damping)
    return force, (force - push) * closing, rate * pos_energy(depth, TOUCH)


def pressed(depth: Expr) -> Expr:
    """Return how far a stiff contact is pressed in [m], rounded where it begins."""
    return pos(depth, TOUCH)


def shock(closing: Expr, damping: Expr) -> Expr:
    """Return by how much a contact pushes more while it is hit: 1 at rest, never less than nothing."""
    return pos(1 + damping * closing, 0.05)


def smooth_abs(x: Expr, width: Expr) -> Expr:
    """Return |x| rounded at zero, >= 0."""
    return ca.sqrt(x * x + width * width)


def smooth_sign(x: Expr, width: Expr) -> Expr:
    """Return -1 … 1, odd, the sign of x outside a few widths."""
    return x / ca.sqrt(x * x + width * width)


def smooth_min(a: Expr, b: Expr, width: Expr) -> Expr:
    """Return the smaller of two, rounded over one width."""
    return a - pos(a - b, width)


def sqrt_flow(drop: Expr, width: Expr = LAMINAR) -> Expr:
    """Return sign(drop) sqrt(|drop|) with a laminar beginning up to about ``width`` [Pa]."""
    return drop / ca.sqrt(ca.sqrt(drop * drop + width * width))


def edge_rate(area: Expr, discharge: Expr, oil: Any) -> Expr:
    """Return what a metering edge of ``area`` [m2] passes per root of its drop [m3/s per root of Pa]."""
    return discharge * area * math.sqrt(2) / ca.sqrt(oil.density)


def edge_laminar(area: Expr, oil: Any, discharge: Expr, number: float) -> Expr:
    """Return the drop [Pa] up to which flow over a metering edge of ``area`` [m2] is laminar, at least 0.05 bar.

    There Re = sqrt(2 drop / rho) Cd D / nu is half of ``number``, with the edge as four openings of diameter D
    (Borutzky, Barnard & Thoma 2002, whose number is 10 … 100: sharp edges … long notches; from memory).
    """
    square = math.pi * 4 / 8 * (number * oil.viscosity / discharge) ** 2 / oil.density
    return LAMINAR + square / (area + 1e-10)


def edge_flow(drop: Expr, edge: Expr, laminar: Expr, passage: Expr = 0.0) -> Expr:
    """Return the flow [m3/s] over an edge, ``edge`` [m3/s per root of Pa], behind a laminar ``passage`` [Pa s/m3].

    Turbulent from about ``laminar`` [Pa] on.
    """
    behind = edge * passage
    return 2 * edge * drop / (behind + ca.sqrt(behind * behind + 4 * ca.sqrt(drop * drop + laminar * laminar)))


def opened(drop: Expr, cracking: Expr, full: Expr = 1e5) -> Expr:
    """Return how far a check has opened, 0 … 1: not below ``cracking`` [Pa], all the way ``full`` [Pa] above it."""
    return ramp((drop - cracking) / full)


def check(drop: Expr, cracking: Expr, full: Expr, width: Expr = LAMINAR) -> Expr:
    """Return sqrt-flow that passes one way only: none below ``cracking`` [Pa], free ``full`` above it."""
    return sqrt_flow(drop, width) * opened(drop, cracking, full)


def relief_corner(cracking: Expr, full: Expr) -> Expr:
    """Return how far above cracking [Pa] the lift of a relief is rounded."""
    return ca.fmin(ca.fmin(2e4, cracking / 2), (full - cracking) / 4)


def relief(drop: Expr, cracking: Expr, full: Expr, rated: Expr) -> Expr:
    """Return the flow [m3/s] of a spring-loaded poppet: none below ``cracking``, ``rated`` at ``full`` [Pa].

    Lift grows with pressure above cracking and the edge passes lift * sqrt(drop): q ~ (p - p_c) sqrt(p).
    """
    lift = pos(drop - cracking, relief_corner(cracking, full)) / (full - cracking)
    return rated * lift * ca.sqrt(ca.fmax(drop, 0) / full + 1e-9)


def leak_rate(coefficient: Expr, viscosity: Expr) -> Expr:
    """Return what a seat or a gap leaks [m3/s per Pa] that leaks ``coefficient`` with oil of RATED_VISCOSITY.

    It is laminar, and so as much more as the oil is thinner.
    """
    return coefficient * RATED_VISCOSITY / viscosity


def gaps(coefficient: Expr, displacement: Expr, viscosity: Expr) -> Expr:
    """Return what the gaps of a pump or motor leak [m3/s per Pa]: Cs V / mu (Wilson 1946).

    It leaks as much at every speed: the faster it turns, the less that is of what it moves.
    """
    return coefficient * displacement / viscosity


def drag_torque(
    displacement: Expr, speed: Expr, drop: Expr, viscosity: Expr, *, viscous: Expr, pressed: Expr, steady: Expr,
    knee: float = 0.5,
) -> Expr:  # fmt: skip
    """Return the torque [N m] that a pump or motor rubs away: Cv V mu w + Cf V |dp| + Tc (Wilson 1946).

    ``viscous`` is Cv, ``pressed`` Cf, ``steady`` Tc [N m]; its sign turns over ``knee`` [rad/s]. Where the oil is
    thick its film warms itself and drags less.
    """
    film = viscosity / (1 + viscosity / _WARMED)
    return viscous * displacement * film * speed + (
        pressed * displacement * smooth_abs(drop, 1e4) + steady
    ) * smooth_sign(speed, knee)


def spilt(pressure: Expr, area: Expr, oil: Any) -> Expr:
    """Return the flow [m3/s] out of the machine through a hole of ``area`` [m2]; no air comes in by it."""
    return edge_rate(area, SPILLS, oil) * sqrt_flow(pressure) * opened(pressure, 0.0, 2e4)


def quadratic_root(drop: Expr, linear: Expr, square: Expr) -> Expr:
    """Return the flow [m3/s] that makes linear*q + square*q*|q| equal the drop [Pa]."""
    return 2 * drop / (linear + ca.sqrt(linear * linear + 4 * square * ca.sqrt(drop * drop + 1e4)))


def stop(place: Expr, speed: Expr, stroke: Expr, rate: Expr, damping: Expr, give: Expr) -> tuple[Expr, Expr, Expr]:
    """Return (force on the rod [N], heat [W], stored [J]) of end stops at 0 and ``stroke``.

    ``rate`` [N/m] of the metal, which hardens with the cube of the depth from five times ``give`` [m] on, so that no
    load goes far; ``damping`` [N s/m] growing in over the first 0.2 mm.
    """
    width, hard = 1e-4, (5 * give) ** 2
    out, back = place - stroke, -place
    grip = damping * (ramp(out / 2e-4) + ramp(back / 2e-4))
    deep_out, deep_back = pos(out, width), pos(back, width)  # of which one is nothing
    entered = (clip(ca.fmax(out, back), -width, width) + width) / (2 * width)
    deep = deep_out + deep_back
    square = deep * deep / hard
    force = rate * (deep_back - deep_out) * (1 + square * entered) - grip * speed
    stored = rate * (pos_energy(out, width) + pos_energy(back, width) + square * deep * deep / 4)
    return force, grip * speed * speed, stored


def friction_force(
    speed: Expr, kinetic: Expr, static: Expr, viscous: Expr, fade: float = 0.015, knee: float = 0.002
) -> Expr:
    """Return seal friction [N] against a speed [m/s]: static, falling to kinetic over ``fade``, then viscous.

    The sign turns over ``knee`` [m/s]: at rest the rod creeps a little instead of sticking.
    """
    dry = kinetic + (static - kinetic) * ca.exp(-((speed / fade) ** 2))
    return dry * ca.tanh(speed / knee) + viscous * speed


def bristle(bend: Expr, speed: Expr, limit: Expr, reach: Expr, damping: Expr) -> tuple[Expr, Expr, Expr, Expr]:
    """Return (rate of bend, force, heat [W], stored [J]) of dry friction that holds without a switch.

    The bristle bends with the motion up to ``reach`` and slips beyond 85 % of it; ``limit`` is the force then.
    """
    share = bend / reach
    slip = ramp((share - 0.85) / 0.15) * ca.fmax(speed, 0) + ramp((-share - 0.85) / 0.15) * ca.fmin(speed, 0)
    rate = speed - slip
    return (
        rate,
        limit * share + damping * rate,
        limit * share * slip + damping * rate * speed,
        limit * reach * share * share / 2,
    )


def displaced(swept: Expr, before: Expr, after: Expr, width: Expr) -> Expr:
    """Return what a unit that sweeps so much [m3/s] moves, at tank density [m3/s].

    It fills with what is on the side it comes from: ``before`` and ``after`` are the specific volumes there.
    """
    return pos(swept, width) / before - pos(-swept, width) / after
