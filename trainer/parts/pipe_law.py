"""Flow in a round pipe from the drop over it: laminar, turbulent smooth or rough, and a monotone way between.

With the Kármán number K = Re sqrt(lambda) = (d/nu) sqrt(2 d drop / (rho L)), which the drop gives, both laws are
explicit: laminar Re = K^2/64 (Hagen–Poiseuille), turbulent Re = -2 K log10(eps/(3.7 d) + 2.51/K) (Colebrook 1939,
whose implicit form is implicit in Re only). Between K = 384 (Re 2304) and K = 800 (Re 4005 in a smooth pipe) log Re
goes straight over log K. Fittings take K-factors of the velocity head in series with the pipe.
"""

from __future__ import annotations

import math

import casadi as ca

from trainer.parts.laws import clip, pos
from trainer.parts.part import Expr

__all__ = ["LAMINAR", "ROUGHEST", "TURBULENT", "karman", "pipe_flow"]

LAMINAR = 384.0  # Kármán number up to which flow is laminar: Re 2304
TURBULENT = 800.0  # and from which it is turbulent
ROUGHEST = 0.05  # relative roughness up to which Colebrook's law was measured (Moody 1944); more counts as this
_ROUNDING = 0.06  # half the width of the rounded ends, in ln K
_STEPS = 3  # Newton steps that share a drop between pipe and fittings: to 4e-8 of the flow, 5e-5 in a rounded end


def _bracket(rough: Expr, log_karman: Expr) -> Expr:
    """Return the argument of Colebrook's logarithm."""
    return rough + 2.51 * ca.exp(-log_karman)


def _log_reynolds(rough: Expr, log_karman: Expr) -> tuple[Expr, Expr]:
    """Return ln Re less its laminar value 2 ln K - ln 64, and d(ln Re)/d(ln K); ``rough`` is eps/(3.7 d)."""
    begin, end, width = math.log(LAMINAR), math.log(TURBULENT), _ROUNDING
    at_end = end + ca.log(-2 / math.log(10) * ca.log(_bracket(rough, end)))
    slope = (at_end - (2 * begin - math.log(64))) / (end - begin)
    left, beyond = log_karman - begin, pos(log_karman - end, width)
    inner = _bracket(rough, end + beyond)
    turbulent = end + beyond + ca.log(-2 / math.log(10) * ca.log(inner))
    steeper = 1 - (1 - rough / inner) / ca.log(inner)
    entered, passed = ((clip(x, -width, width) + width) / (2 * width) for x in (left, log_karman - end))
    return (
        (slope - 2) * pos(left, width) + turbulent - at_end - slope * beyond,
        2 + (slope - 2) * entered + (steeper - slope) * passed,
    )


def karman(drop: Expr, length: Expr, bore: Expr, density: Expr, viscosity: Expr) -> Expr:
    """Return the square of the Kármán number of a drop [Pa] over a pipe, with the drop's sign; viscosity [Pa s]."""
    return 2 * density * bore**3 * drop / (viscosity * viscosity * length)


def pipe_flow(
    drop: Expr,
    length: Expr,
    bore: Expr,
    density: Expr,
    viscosity: Expr,
    roughness: Expr = 0.0,
    fittings: Expr = 0.0,
) -> Expr:
    """Return the flow [m3/s] that a drop [Pa] drives through a pipe of ``length`` and ``bore`` [m].

    Viscosity dynamic [Pa s], roughness of the wall [m], ``fittings`` the sum of their K-factors. Odd in the drop,
    smooth, and Hagen–Poiseuille's at zero.
    """
    squared = karman(drop, length, bore, density, viscosity)
    rough = ca.fmin(roughness / bore, ROUGHEST) / 3.7
    whole = ca.sqrt(squared * squared + 1e-4)  # K^2, held above a Reynolds number of 1.6e-4
    share = fittings * bore / length / 64**2
    laminar = 2 * whole / (1 + ca.sqrt(1 + 4 * share * whole))  # is the pipe's part of it while all is laminar
    left = ca.log(ca.fmax(laminar, whole / (1 + share * LAMINAR**2)))  # and this with the friction of Re 2304
    fall: Expr = 0.0
    for _ in range(_STEPS):  # towards ln(x + share x^2 f^2) = ln(whole), x the pipe's part and f = exp(fall)
        fall, slope = _log_reynolds(rough, left / 2)
        head = share * ca.exp(left + 2 * fall)
        step = -(left + ca.log(1 + head) - ca.log(whole)) * (1 + head) / (1 + head * slope)
        left, fall = left + step, fall + (slope / 2 - 1) * step
    reynolds = squared / whole * ca.exp(left + fall) / 64
    return reynolds * math.pi * bore * viscosity / (4 * density)
