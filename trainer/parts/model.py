"""A part as functions of plain vectors: the form in which the network joins it and the tests examine it."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import Any, NamedTuple

import casadi as ca
import msgspec

from trainer.parts.part import At, Choice, Control, Expr, Kind, Latched, Law, Loss, Names, Parameter, Part, State

__all__ = ["OIL_NUMBERS", "HeatKind", "LawNames", "PartModel", "PartNames"]

OIL_NUMBERS = ("density", "viscosity", "stiffness", "stiffening", "air", "temperature")
_GROUPS = ("p", "h", "w", "speed", "place", "given", "inertia", "oil")


def _column(values: Sequence[Expr]) -> Expr:
    return ca.vertcat(*[ca.SX(value) for value in values]) if values else ca.SX(0, 1)


class HeatKind(NamedTuple):
    """Where a heat is booked, and whether it goes into the oil or not."""

    loss: Loss
    dry: bool


class LawNames(msgspec.Struct, frozen=True):
    """What a law has to say, by name: heats, readings with their quantities, streams with start and end and so on."""

    heats: dict[str, HeatKind]
    supplies: list[str]
    stores: list[str]
    reads: dict[str, str]
    streams: dict[str, tuple[str, str]]
    stores_oil: frozenset[str]
    has_inertia: frozenset[str]


class PartNames:
    """One part class as it stands in a network: what it declares, and the names of what its law says."""

    def __init__(self, part: type[Part], law: LawNames) -> None:
        self._declare(part)
        self._take(law)

    def _declare(self, part: type[Part]) -> None:
        self.part = part
        self.nodes = part.nodes()
        self.oil = [name for name, kind in self.nodes.items() if kind is Kind.OIL]
        self.moving = [name for name, kind in self.nodes.items() if kind is not Kind.OIL]
        self.carried = list(part.carries)
        self.states: dict[str, State] = part.declared(State)
        self.controls: dict[str, Control] = part.declared(Control)
        self.parameters: dict[str, Parameter] = part.declared(Parameter)
        self.latched: dict[str, Latched] = part.declared(Latched)
        self.numbers: dict[str, Parameter | Latched] = {**self.parameters, **self.latched}

    def _take(self, law: LawNames) -> None:
        self.law_names = law
        self.heats, self.supplies, self.stores = law.heats, law.supplies, law.stores
        self.reads, self.streams = law.reads, law.streams
        self.stores_oil, self.has_inertia = law.stores_oil, law.has_inertia


class PartModel(PartNames):
    """One part class with its chosen words, turned into casadi functions.

    ``law`` takes (x, u, q, oil, p, h, w, speed, place, given, inertia), each a column in the order of ``states``,
    ``controls``, ``numbers``, OIL_NUMBERS, ``oil``, ``oil``, ``oil``, ``moving``, ``moving``, ``carried``,
    ``carried``, and returns (into, rate, heat, supply, stored, readings, streams) in the order of ``nodes``,
    ``states``, ``heats``, ``supplies``, ``stores``, ``reads``, ``streams``. Raises ValueError where a declaration
    breaks the contract.
    """

    def __init__(self, part: type[Part], choices: Mapping[str, str] | None = None) -> None:
        self._declare(part)
        words = {name: (choices or {}).get(name, choice.start) for name, choice in part.declared(Choice).items()}
        clash = sorted(
            (self.states.keys() | self.controls.keys() | self.numbers.keys() | words.keys()) & set(_GROUPS)
        )
        if clash:
            raise ValueError(f"{part.__name__} declares {clash}, names that 'at' uses itself")

        def symbols(tag: str, names: Sequence[str]) -> dict[str, Expr]:
            return {name: ca.SX.sym(f"{tag}_{name}") for name in names}

        x, u, q = (
            symbols("x", [*self.states]),
            symbols("u", [*self.controls]),
            symbols("q", [*self.numbers]),
        )
        groups = {
            "oil": symbols("oil", OIL_NUMBERS),
            "p": symbols("p", self.oil),
            "h": symbols("h", self.oil),
            "w": symbols("w", self.oil),
            "speed": symbols("speed", self.moving),
            "place": symbols("place", self.moving),
            "given": symbols("given", self.carried),
            "inertia": symbols("inertia", self.carried),
        }
        law = part().equations(At({**x, **u, **q, **words}, **groups))
        self._examine(law)
        heats = law.all_heat(Names(groups["h"]))
        self._take(
            LawNames(
                heats={name: HeatKind(heat.loss, heat.dry) for name, heat in heats.items()},
                supplies=[*law.supply],
                stores=[*law.stored],
                reads={name: quantity for name, (_, quantity) in law.readings.items()},
                streams={name: (s.start, s.end) for name, s in law.streams.items()},
                stores_oil=frozenset(name for name in self.oil if name in law.volume),
                has_inertia=frozenset(name for name in self.moving if name in law.inertia),
            )
        )

        def column(symbols_: Mapping[str, Expr]) -> Expr:
            return _column([*symbols_.values()])

        into = law.all_into(self.nodes)
        self.law = self._function(
            "law",
            "",
            [
                column(x),
                column(u),
                column(q),
                *(column(groups[g]) for g in ("oil", "p", "h", "w", "speed", "place", "given", "inertia")),
            ],
            [
                [into[name] for name in self.nodes],
                [law.rate[name] for name in self.states],
                [heat.watts for heat in heats.values()],
                [*law.supply.values()],
                [*law.stored.values()],
                [value for value, _ in law.readings.values()],
                [s.flow for s in law.streams.values()],
            ],
        )
        self.inertia = self._function(
            "inertia",
            "of parameters only",
            [column(q)],
            [[law.inertia.get(name, 0.0) for name in self.moving]],
        )
        self.compliance = self._function(
            "compliance",
            "of parameters only",
            [column(q)],
            [[law.compliance.get(name, 0.0) for name in self.oil]],
        )
        self.volume = self._function(
            "volume",
            "of own states, places and parameters only",
            [column(x), column(q), column(groups["place"])],
            [[law.volume.get(name, 0.0) for name in self.oil]],
        )
        pairs = [
            law.carries[name] if isinstance(law.carries[name], tuple) else (0.0, law.carries[name])
            for name in self.carried
        ]
        self.across = self._function(
            "carries",
            "of own states and parameters only",
            [column(x), column(q)],
            [[place for place, _ in pairs], [value for _, value in pairs]],
        )

    def _examine(self, law: Law) -> None:
        name = self.part.__name__
        for what, found, wanted in (("rate", law.rate, self.states), ("carries", law.carries, self.carried)):
            if set(found) != set(wanted):
                raise ValueError(f"{name}: {what} has {sorted(found)}, wanted {sorted(wanted)}")
        for what, found, allowed in (
            ("into", law.into, self.nodes),
            ("volume", law.volume, self.oil),
            ("compliance", law.compliance, self.oil),
            ("inertia", law.inertia, self.moving),
        ):
            if not set(found) <= set(allowed):
                raise ValueError(f"{name}: {what} names {sorted(set(found) - set(allowed))}, not among its nodes")

    def _function(self, what: str, rule: str, inputs: list[Expr], outputs: list[list[Expr]]) -> Callable[..., Any]:
        try:
            function: Callable[..., Any] = ca.Function(what, inputs, [_column(group) for group in outputs])
        except RuntimeError as error:
            raise ValueError(f"{self.part.__name__}: '{what}' may be made {rule}: {error}") from error
        return function
