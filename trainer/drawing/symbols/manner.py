"""How a symbol behaves on a board: what moves in it, where its label stands. Declared beside its drawing."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

__all__ = ["ALL", "PLAIN", "LabelPlace", "Manner"]

ALL = range(999)


@dataclass(frozen=True, slots=True)
class LabelPlace:
    """Where a label's first line stands, and how it is set.

    ``across`` and ``down`` [px] count from the centre, or from a side of the body: "left" or "right", "top" or
    "bottom"; ``rows`` of text further down, ``lifted`` by so many rows for each line after the first.
    """

    across: float
    down: float
    align: str
    beside: str = ""
    below: str = ""
    rows: float = 0.0
    lifted: float = 0.0


@dataclass(frozen=True, slots=True)
class Manner:
    """What is declared beside a symbol's drawing.

    ``moves``: what moves in it, "spool", "piston", "arrow", "back" (an arrow that way) or "crank"; the shapes that
    ``moving`` counts are drawn with that. ``body``: what a cylinder is where it is not the usual one: "plunger",
    "stages", "pistoned stages", with a "spring", with "cushions", a rod "through" both ends. ``fixed``: it does not
    go with the rod that it is on. ``machine``: what it is in the view of the machine, where it is shown instead.
    ``labels``: where its label stands: "" always, else where the symbol is "level", "upright", "driven" (a pump, its
    engine at the left) or "banked" (in the circuit of a bank of valves).
    """

    moves: str = ""
    moving: range = range(0)
    fixed: bool = False
    machine: str = ""
    body: str = ""
    labels: Mapping[str, LabelPlace] = field(default_factory=dict)


PLAIN = Manner()
