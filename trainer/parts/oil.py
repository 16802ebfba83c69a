"""Oil: grades, viscosity, density, stiffness, and the law that ties content, volume and pressure.

Content is counted as volume at tank density [m3]. All properties are taken at one temperature per call.

That temperature is the tank's. Oil that is shut in does not take it, since none flows: it is not let swell as the
tank warms, or a locked cylinder would get some ten bar from each kelvin that never reaches it. What the surroundings
do to standing oil has a part of its own, the line in the sun.

Air in the oil is pressed as p V^n = constant with an index n of the rig's choice: 1, isothermal, for slow changes and
fine bubbles, which take the oil's temperature; 1.4, adiabatic, for a sudden stroke. With 1, pressure follows from
content in closed form; else the logarithm of the absolute pressure is found by Newton steps from there.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

import casadi as ca

from trainer.parts.laws import pos
from trainer.parts.part import Expr

__all__ = [
    "ATMOSPHERE",
    "GRADES",
    "HEAT_CAPACITY",
    "MOST_AIR",
    "Properties",
    "content",
    "content_energy",
    "enthalpy",
    "kinematic_viscosity",
    "of_content",
    "of_pressure",
    "properties",
    "specific_volume",
    "walther",
]

ATMOSPHERE = 101325.0  # standard atmosphere [Pa]
MOST_AIR = 0.2  # share of the oil at atmospheric pressure: foam beyond that is no oil
_VAPOUR = 2000.0  # vapour pressure of mineral oil with its light ends [Pa absolute]; order of magnitude, from memory
FLOOR = ATMOSPHERE - _VAPOUR  # how far the pseudo-pressure can fall below zero gauge [Pa]
HEAT_CAPACITY = 1900.0  # of mineral oil [J/(kg K)], from memory of handbooks (1800–2000)
_NEWTON = 4  # steps from the isothermal pressure to that of another index: 2e-12 of it at the worst
_LEAST_CONTENT = 1e-3  # share of the volume at which the content is floored, smoothly

# Kinematic viscosity [mm2/s] at 40 and 100 C. ISO 3448 fixes the first; the second is what ASTM D2270 calls
# viscosity index 100 (found with chemicals.viscosity.viscosity_index).
GRADES: Mapping[str, tuple[float, float]] = {
    "VG 15": (15.0, 3.4),
    "VG 22": (22.0, 4.3),
    "VG 32": (32.0, 5.36),
    "VG 46": (46.0, 6.76),
    "VG 68": (68.0, 8.73),
    "VG 100": (100.0, 11.4),
}


def walther(cold: tuple[float, float], hot: tuple[float, float]) -> tuple[float, float]:
    """Return A and B of ASTM D341, log10(log10(nu + 0.7)) = A - B log10(T).

    Each point is (kinematic viscosity [mm2/s], temperature [K]).
    """
    z_cold, z_hot = (math.log10(math.log10(nu + 0.7)) for nu, _ in (cold, hot))
    t_cold, t_hot = math.log10(cold[1]), math.log10(hot[1])
    slope = (z_cold - z_hot) / (t_hot - t_cold)
    return z_cold + slope * t_cold, slope


def kinematic_viscosity(grade: str, temperature: float) -> float:
    """Return the viscosity [m2/s] of an ISO VG grade at a temperature [C], held in 5e-6 … 5e-3.

    ASTM D341 through the grade's points at 40 and 100 C. Raises KeyError for an unknown grade.
    """
    at_40, at_100 = GRADES[grade]
    a, b = walther((at_40, 313.15), (at_100, 373.15))
    inner = 10 ** (10 ** (a - b * math.log10(temperature + 273.15))) - 0.7
    return min(max(inner, 5.0), 5000.0) * 1e-6


@dataclass(frozen=True, slots=True)
class Properties:
    """The oil at one temperature [C]; the numbers that enter a call.

    density [kg/m3], viscosity dynamic [Pa s], stiffness [Pa] at zero gauge, stiffening [-], air [-]; ``air_index`` is
    the polytropic one, 1 … 1.4, a number also where the others are expressions.
    """

    density: float
    viscosity: float
    stiffness: float
    stiffening: float
    air: float
    temperature: float
    air_index: float = 1.0


def properties(
    grade: str,
    temperature: float,
    air: float,
    *,
    density: float | None = None,
    viscosity: float | None = None,
    stiffness: float | None = None,
    stiffening: float | None = None,
    air_index: float = 1.0,
) -> Properties:
    """Return the oil's properties at a temperature [C]; numbers given rule over the grade's curves.

    Density falls by 7e-4 a kelvin from 875 kg/m3 at 15 C and stiffness by 0.5 % a kelvin from 1.5 GPa at 50 C
    (from memory, mineral oil of VG 32–46); air is kept at 1e-4 or more.
    """
    rho = density if density is not None else 875.0 * (1 - 7e-4 * (temperature - 15.0))
    nu = viscosity if viscosity is not None else kinematic_viscosity(grade, temperature)
    bulk = stiffness if stiffness is not None else 1.5e9 * math.exp(-0.005 * (temperature - 50.0))
    rise = stiffening if stiffening is not None else 10.0
    return Properties(rho, rho * nu, bulk, rise, max(air, 1e-4), temperature, air_index)


def _curve(oil: Properties) -> Expr:
    return (oil.stiffening + 1) / oil.stiffness


def of_content(content: Expr, volume: Expr, compliance: Expr, oil: Properties) -> tuple[Expr, Expr]:
    """Return pseudo-pressure and pressure [Pa gauge] of a content in a volume [m3].

    compliance [m3/Pa] is that of hose walls. Monotone; with stiffening 0 the tangent modulus is
    constant to (p/K)^2. Never reaches full vacuum.
    """
    k, a, b = oil.stiffness, oil.air, _curve(oil)
    content = _LEAST_CONTENT * volume + pos(content - _LEAST_CONTENT * volume, _LEAST_CONTENT * volume)
    first = content * (1 - a) / k + compliance
    second = content * (1 - a) * (1 + FLOOR / k) - volume + compliance * FLOOR
    above = (second + ca.sqrt(second * second + 4 * first * content * a * FLOOR)) / (2 * first)
    if oil.air_index != 1.0:
        above = _polytropic(above, first * FLOOR, second, content * a, oil.air_index)
    y = above - FLOOR
    return y, y + b * y * y / 2


def _polytropic(above: Expr, liquid: Expr, room: Expr, air: Expr, index: float) -> Expr:
    """Return the pressure above the floor, z = ln(it / FLOOR), where liquid e^z - air e^(-z/n) = room.

    ``above`` is its value for an index of 1; bubbles alone stand at its power n.
    """
    z = ca.log(above / FLOOR)
    z = z + (index - 1) * ca.fmin(z, 0)
    for _ in range(_NEWTON):
        pressed, bubbles = liquid * ca.exp(z), air * ca.exp(-z / index)
        z = z - (pressed - bubbles - room) / (pressed + bubbles / index)
    return FLOOR * ca.exp(z)


def of_pressure(pressure: Expr, oil: Properties) -> Expr:
    """Return the pseudo-pressure [Pa] of a gauge pressure [Pa]: the inverse of the law's second half."""
    b = _curve(oil)
    return (ca.sqrt(1 + 2 * b * pressure) - 1) / b


def content(pressure: Expr, volume: Expr, compliance: Expr, oil: Properties) -> Expr:
    """Return the content [m3 at tank density] that has a gauge pressure [Pa] in a volume: of_content backwards."""
    y = of_pressure(pressure, oil)
    return (volume + compliance * y) / specific_volume(y, oil)


def specific_volume(y: Expr, oil: Properties) -> Expr:
    """Return the volume now of what is 1 m3 at tank pressure [-]."""
    bubbles = FLOOR / (y + FLOOR)
    if oil.air_index != 1.0:
        bubbles = bubbles ** (1 / oil.air_index)
    return (1 - oil.air) * (1 - y / oil.stiffness) + oil.air * bubbles


def enthalpy(y: Expr, oil: Properties) -> Expr:
    """Return the integral of the specific volume over pressure from zero gauge [J/m3]."""
    k, a, b = oil.stiffness, oil.air, _curve(oil)
    liquid = y + (b - 1 / k) * y * y / 2 - b * y**3 / (3 * k)
    ratio = (y + FLOOR) / FLOOR
    if oil.air_index == 1.0:
        gas = FLOOR * ((1 - b * FLOOR) * ca.log(ratio) + b * y)
    else:
        one = 1 - 1 / oil.air_index
        gas = (1 - b * FLOOR) * (ratio**one - 1) / one + b * FLOOR * (ratio ** (one + 1) - 1) / (one + 1)
        gas = FLOOR * gas
    return (1 - a) * liquid + a * gas


def content_energy(content: Expr, volume: Expr, compliance: Expr, y: Expr, pressure: Expr, oil: Properties) -> Expr:
    """Return the energy [J] stored in a line's oil and hose walls."""
    b = _curve(oil)
    wall = compliance * (y * y / 2 + b * y**3 / 6)
    return content * enthalpy(y, oil) - (volume + compliance * y) * pressure + wall
