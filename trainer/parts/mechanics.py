"""Laws of mechanisms: accelerations of linked bodies from points, energies and forces, without a matrix call."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import casadi as ca

from trainer.parts.part import Expr

__all__ = ["lagrange", "mechanism", "pin_distance", "solve_symmetric"]


def pin_distance(angle: Expr, moving: tuple[float, float], fixed: tuple[float, float]) -> Expr:
    """Return the distance [m] from a fixed pin to one that turns about the origin by an angle [rad]."""
    x = ca.cos(angle) * moving[0] - ca.sin(angle) * moving[1] - fixed[0]
    y = ca.sin(angle) * moving[0] + ca.cos(angle) * moving[1] - fixed[1]
    return ca.sqrt(x * x + y * y)


def solve_symmetric(matrix: Expr, right: Expr, order: Sequence[int]) -> list[Expr]:
    """Return the solution of a symmetric positive system by unrolled LDL^T, pivots in the order given."""
    n = len(order)
    a: dict[tuple[int, int], Any] = {(i, j): matrix[order[i], order[j]] for i in range(n) for j in range(i + 1)}
    b = [right[k] for k in order]
    lower: dict[tuple[int, int], Any] = {}
    for j in range(n):
        for i in range(j + 1, n):
            lower[i, j] = a[i, j] / a[j, j]
            for k in range(j + 1, i + 1):
                a[i, k] = a[i, k] - lower[i, j] * a[k, j]
    for i in range(n):
        for j in range(i):
            b[i] = b[i] - lower[i, j] * b[j]
    b = [b[i] / a[i, i] for i in range(n)]
    for i in reversed(range(n)):
        for j in range(i + 1, n):
            b[i] = b[i] - lower[j, i] * b[j]
    found: list[Any] = [None] * n
    for i, k in enumerate(order):
        found[k] = b[i]
    return found


def _momentum(kinetic: Expr, q: Expr, v: Expr) -> tuple[Expr, Expr]:
    momentum = ca.gradient(kinetic, v)
    force = ca.gradient(kinetic, q) - ca.jtimes(momentum, q, v)
    return ca.jacobian(momentum, v), force


def lagrange(
    q: Expr, v: Expr, kinetic: Expr, potential: Expr, force: Expr, order: Sequence[int] | None = None
) -> list[Expr]:
    """Return accelerations from kinetic and potential energy [J] and generalised forces (Lagrange, 2nd kind)."""
    mass, inertial = _momentum(kinetic, q, v)
    right = force - ca.gradient(potential, q) + inertial
    return solve_symmetric(mass, right, order or range(q.shape[0]))


def mechanism(
    q: Expr,
    v: Expr,
    points: Sequence[tuple[Expr, Expr]],
    kinetic: Expr,
    force: Expr,
    gravity: Expr,
    order: Sequence[int],
) -> list[Expr]:
    """Return accelerations of bodies in a frame that turns about its vertical with v[0] [rad/s].

    points: (mass [kg], velocity [m/s] in the turning frame's axes: radial, sideways, up); kinetic [J] is what the
    points leave out (spin of bodies, other parts' rods and rotors); gravity [m/s2] in the same axes, pointing up.
    """
    mass, inertial = _momentum(kinetic, q, v)
    right = force + inertial
    for body, velocity in points:
        jacobian = ca.jacobian(velocity, v)
        turning = ca.vertcat(-v[0] * velocity[1], v[0] * velocity[0], 0)
        right -= body * ca.mtimes(jacobian.T, ca.jtimes(velocity, q, v) + turning + gravity)
        mass += body * ca.mtimes(jacobian.T, jacobian)
    return solve_symmetric(mass, right, order)
