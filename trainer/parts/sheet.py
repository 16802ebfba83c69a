"""What a part's workings are written from: its terms at one instant, and the units and sums they are written with.

The rows above have the sheet itself; here stands what it offers, always of the one part that is asked about.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable
from dataclasses import replace
from typing import Protocol

from trainer.formula import Tell, Term, Working
from trainer.units import Units, pair

__all__ = [
    "COOLING", "DROP", "EDGE", "LEAK", "MOMENT", "PERCENT", "SLOW", "TRICKLE", "VELOCITY", "VISCOUS",
    "Oil", "Sheet", "Terms", "balance", "summed",
]  # fmt: skip

LEAK = pair("cm3/min/bar", 3, "in3/min/psi", 5)
DROP = pair("bar", 2, "psi", 1)
EDGE = pair("mm2", 2, "in2", 5)
VELOCITY = pair("m/s", 2, "ft/s", 2)
VISCOUS = pair("mPa s", 1, "cP", 1)
TRICKLE = pair("cm3/min", 1, "in3/min", 2)
MOMENT = pair("kN m", 2, "lbf ft", 0)
SLOW = pair("deg/s", 1, "deg/s", 1)
PERCENT = pair("%", 1, "%", 1)
COOLING = pair("W/C", 1, "Btu/h F", 1)


class Oil(Protocol):
    """The oil at its present temperature: density [kg/m3], dynamic viscosity [Pa s]."""

    @property
    def density(self) -> float:
        """Density [kg/m3]."""

    @property
    def viscosity(self) -> float:
        """Dynamic viscosity [Pa s]."""


class Terms(Protocol):
    """What makes terms."""

    def term(
        self,
        letter: str,
        value: float,
        quantity: str,
        source: str,
        refers_to: tuple[Tell, ...] = (),
        units: Units | None = None,
    ) -> Term:
        """Return a term in the units that suit the rig; quantity "drop" is a small pressure."""


class Sheet(Terms, Protocol):
    """Numbers [SI], terms and shared workings of one part at one instant; ports, streams and readings by name.

    ``fine`` is a small rig: powers in W. ``kw`` and ``rev`` are the shop constants of its powers, from bar L/min or
    N m r/min; ``moves`` the least flow that counts as moving [m3/s]; ``temperature`` of the oil in the tank ``tank``.
    KeyError for a name that the part does not declare.
    """

    part: str
    fine: bool
    kw: str
    rev: str
    moves: float
    tank: str
    temperature: float
    streams: Collection[str]
    supplies: Collection[str]

    @property
    def oil(self) -> Oil:
        """The oil."""

    # -- numbers ---------------------------------------------------------------------------------------------------

    def value(self, name: str) -> float:
        """Return a reading of the part's law."""

    def parameter(self, name: str) -> float:
        """Return a parameter's present number."""

    def control(self, name: str) -> float:
        """Return where a control stands."""

    def state(self, name: str) -> float:
        """Return a state."""

    def rate(self, name: str) -> float:
        """Return how fast a state changes [SI a second]."""

    def choice(self, name: str) -> str:
        """Return a chosen word."""

    def pressure_at(self, port: str) -> float:
        """Return the pressure at a port."""

    def speed_at(self, port: str) -> float:
        """Return the speed of a shaft or rod port."""

    def place_at(self, port: str) -> float:
        """Return the place of a rod port."""

    def passes(self, stream: str) -> float:
        """Return the flow of a stream, at tank density."""

    def ends(self, stream: str) -> tuple[str, str]:
        """Return the ports from and to which a stream counts as positive."""

    def enters(self, port: str) -> float:
        """Return the flow into a port, at tank density."""

    def flow(self, port: str) -> float:
        """Return the flow into a port as a meter there would measure it."""

    def load(self, port: str) -> float:
        """Return the torque or force that a port takes from its line."""

    def word(self, name: str) -> str:
        """Return what a heat, stream, supply or store of the part is called."""

    def heat(self, name: str) -> float:
        """Return a named heat of the law."""

    def supply(self, name: str) -> float:
        """Return a named supply of the law."""

    def specific(self, port: str) -> float:
        """Return the volume at a port of what is 1 m3 at tank pressure."""

    def inertia(self, port: str) -> float:
        """Return the inertia of the others on a shaft or rod port."""

    # -- what is around it -----------------------------------------------------------------------------------------

    def label(self) -> str:
        """Return the part's id with its label."""

    def line(self, port: str) -> str:
        """Return the name of the line at a port."""

    def called(self, port: str) -> str:
        """Return what the line at a port is called."""

    def rods(self, port: str) -> tuple[tuple[str, float], ...]:
        """Return the cylinders on a rod port, and the force [N] that each gives."""

    def held(self, port: str) -> str:
        """Return in a sentence which cylinders the pressure at a port holds at an end of their stroke, else ""."""

    # -- terms -----------------------------------------------------------------------------------------------------

    def number(self, letter: str, name: str, source: str = "", units: Units | None = None) -> Term:
        """Return a parameter's present number."""

    def reading(
        self, letter: str, name: str, source: str, refers_to: tuple[Tell, ...] = (), units: Units | None = None
    ) -> Term:
        """Return a reading of the law."""

    def at_port(self, port: str, letter: str = "p") -> Term:
        """Return the pressure at a port."""

    def drop(self, start: str, end: str, letter: str = "Δp", source: str = "") -> Term:
        """Return the pressure at one port less that at another."""

    def flow_at(self, port: str, value: float, letter: str = "q", source: str = "") -> Term:
        """Return a flow that passes a port."""

    def mean(self, start: str, end: str, passes: float, letter: str, source: str) -> Term:
        """Return a flow, given at tank density, as it passes from port to port: at the pressure between them."""

    def turns(self, port: str, letter: str = "n", source: str = "") -> Term:
        """Return the speed of a shaft port, without its sign."""

    def density(self) -> Term:
        """Return the density of the oil."""

    def gravity(self) -> Term:
        """Return the specific gravity of the oil, as US books refer it."""

    def viscosity(self) -> Term:
        """Return the dynamic viscosity of the oil."""

    def warmth(self, letter: str, source: str) -> Term:
        """Return the temperature of the oil in the tank."""

    def power(self, letter: str, value: float, source: str, refers_to: tuple[Tell, ...] = ()) -> Term:
        """Return a power."""

    # -- workings that many parts share ----------------------------------------------------------------------------

    def hydraulic(self, name: str, found: float, pressure: Term, flow: Term, note: str = "") -> Working:
        """Return hydraulic power as pressure times flow."""

    def turning(self, name: str, found: float, torque: Term, speed: Term) -> Working:
        """Return the power of a shaft as torque times speed."""

    def pushing(self, name: str, found: float, force: Term, speed: Term) -> Working:
        """Return the power of a rod as force times speed."""

    def comes_to(self, port: str) -> Working | None:
        """Return the flow into a port as what comes into its line less what goes elsewhere, where it is more."""


def summed(terms: Iterable[Term]) -> tuple[str, tuple[Term, ...]]:
    """Return the words of a sum of signed terms, the positive ones first, and the terms without their signs."""
    ordered = sorted(terms, key=lambda term: term.value < 0)
    words = ""
    for term in ordered:
        sign = "−" if term.value < 0 else "+"
        words += f" {sign} {term.letter}" if words else (f"− {term.letter}" if sign == "−" else term.letter)
    return words, tuple(replace(term, value=abs(term.value)) for term in ordered)


def balance(part: str, name: str, result: Term, terms: Iterable[Term], note: str = "") -> Working:
    """Return a result as the sum of signed terms of its own kind."""
    words, shown = summed(terms)
    return Working(part, name, result, shown, (f"{result.letter} = {words}",) * 2, note)
